// SPDX-License-Identifier: GPL-3.0-or-later
// The round: what the house asks for today, ticked off, taken back, printed.
import { openFarm } from './browser.mjs';
import { asked, checks, looks, open, openBrowser, saidAnew, settled, signIn, tabTo } from './checks.mjs';

const c = checks('round'), house = await openFarm(), browser = await openBrowser();
const { page, messages } = await signIn(browser, house);
try {
  await open(page, house, 'round');
  const before = await asked(page, '/api/round'), openOnes = before.to_do.filter((p) => !p.ticked);
  c.ok(openOnes.length > 3, 'the demo farm has things to do');
  const main = await page.locator('#main').innerText();
  for (const p of openOnes) if (p.kind !== 'look') c.ok(main.replace(/\s+/g, ' ').includes(p.what.split(/[-−]?\d/)[0].trim()), `shown: ${p.what}`);
  for (const who of new Set(openOnes.filter((p) => p.kind === 'look').map((p) => p.who))) c.equal(await page.getByText(`Look at ${who}`, { exact: true }).count(), 1, `looks at ${who} stand in one row`);
  c.ok(await page.locator('.nighthead').isVisible(), 'in the farrowing weeks the night stands on top');
  c.equal(await page.locator('.nighthead a[href="/tonight"]').first().isVisible(), true, 'with a way to tonight');

  // tick one: it is recorded under its key, leaves the list, and goes back
  const one = openOnes.find((p) => p.key === 'feed') ?? openOnes.find((p) => p.kind !== 'look');
  const row = page.locator(`[id="task-${one.key}"]`);
  await row.getByRole('button', { name: /^Done/ }).click();
  await page.locator('.saidline button').waitFor();
  c.equal(await row.count(), 0, 'what is done leaves the list');
  const ticks = await asked(page, '/api/list/tick');
  c.equal([ticks.facts[0]?.fact.prompt, ticks.facts[0]?.fact.is], [one.key, 'done'], 'the tick is recorded');
  c.equal((await asked(page, '/api/round')).to_do.find((p) => p.key === one.key)?.ticked, true, 'the house knows it as done');
  await page.locator('.saidline button').click();
  await row.waitFor();
  c.equal((await asked(page, '/api/list/tick')).facts.length, 0, 'Undo takes the tick back');
  await row.getByRole('button', { name: /^Not needed/ }).click();
  await page.locator('.saidline button').waitFor();
  c.equal((await asked(page, '/api/list/tick')).facts[0]?.fact.is, 'not-needed', 'not needed is recorded as such');

  // a look is a look, not a tick
  const look = openOnes.find((p) => p.kind === 'look');
  await page.locator(`[id="task-${look.key}"]`).getByRole('button', { name: /^Nothing new/ }).click();
  await page.getByText(`Looked at ${look.who}, nothing new`).waitFor();
  c.equal((await asked(page, '/api/list/look?most=1')).facts[0]?.shown.sow, look.who, 'a look at her is recorded');

  // who ticks, said once
  await page.getByLabel('Ticked off by').selectOption('Tam');
  const next = (await asked(page, '/api/round')).to_do.find((p) => !p.ticked && p.kind !== 'look');
  await page.locator(`[id="task-${next.key}"]`).getByRole('button', { name: /^Done/ }).click();
  await page.locator('.saidline', { hasText: 'Tam' }).waitFor();
  c.equal((await asked(page, '/api/list/tick')).facts.find((f) => f.fact.prompt === next.key)?.shown.by, 'Tam', 'who did it is recorded');

  // keyboard alone
  await open(page, house, 'round');
  c.ok(await tabTo(page, '.task .tick'), 'the first tick is reached by Tab');
  const kept = async () => (await asked(page, '/api/list/tick')).facts.length + (await asked(page, '/api/list/look?most=500')).facts.length;
  const had = await kept(); // a look may stand first: then it is a look that is kept
  await saidAnew(page, () => page.keyboard.press('Enter'));
  c.equal(await kept(), had + 1, 'and pressed by Enter');

  // paper: boxes, no buttons
  await open(page, house, 'round');
  await page.emulateMedia({ media: 'print' });
  c.ok(await page.locator('.task .paperbox').first().isVisible(), 'on paper there is a box to tick');
  c.equal(await page.locator('#main button:visible').count(), 0, 'and no button');
  if (process.env.PICTURES) await page.pdf({ path: `${process.env.PICTURES}/round.pdf`, format: 'A4', preferCSSPageSize: true });
  await page.emulateMedia({ media: 'screen' });
  await looks(c, page, house, 'round');
  await page.goto(house.origin); await settled(page);
  c.equal(await page.locator('h1').innerText().then((t) => t.split(' ')[0]), 'Round', 'the first page is the round');
  c.equal(messages, [], 'no messages');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
