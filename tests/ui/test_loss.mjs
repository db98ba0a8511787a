// SPDX-License-Identifier: GPL-3.0-or-later
// A lost piglet from the dawn round and from the sow's page: how many, what of, next; Undo; by the keyboard alone; out of reach.
import { axe, openFarm, sizes } from './browser.mjs';
import { anew, asked, checks, open, openBrowser, saidAnew, signIn, tabTo } from './checks.mjs';

const c = checks('loss'), house = await openFarm(), browser = await openBrowser();
const { page, messages, wanted } = await signIn(browser, house);
const losses = async () => (await asked(page, '/api/list/loss?most=50')).facts;
const living = async (name) => (await asked(page, '/api/tonight')).young_litters.find((l) => l.sow === name)?.living;
const row = (name) => page.locator('section.round', { has: page.getByRole('heading', { name, exact: true }) });
const focused = () => page.evaluate(() => document.activeElement?.textContent?.trim() ?? '');
const look = async (what) => {
  for (const [size, viewport] of Object.entries(sizes)) {
    for (const colorScheme of ['light', 'dark']) {
      await page.setViewportSize(viewport);
      await page.emulateMedia({ colorScheme });
      await page.waitForTimeout(100);
      c.equal(await axe(page), [], `${what} ${size} ${colorScheme}: axe`);
      c.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${what} ${size} ${colorScheme}: nothing runs sideways`);
      if (process.env.PICTURES) await page.screenshot({ path: `${process.env.PICTURES}/loss-${what.replaceAll(' ', '-')}-${size}-${colorScheme}.png`, fullPage: true });
    }
  }
  await page.setViewportSize(sizes.phone);
  await page.emulateMedia({ colorScheme: 'light' });
};
try {
  await open(page, house, 'dawn');
  const t = await asked(page, '/api/tonight'), litter = t.young_litters[0], name = litter.sow, before = (await losses()).length;
  c.ok(litter.living > 2, `${name} has a litter of ${litter.living}`);

  // dawn: the press says one, one more is counted up, what of is not chosen
  await row(name).getByRole('button', { name: /^Piglet lost/ }).click();
  const count = page.getByRole('group', { name: 'Lost' });
  c.equal(await count.locator('output').innerText(), '1', 'the press says one');
  c.equal(await page.locator('.panel input:checked').count(), 0, 'what of is not chosen beforehand');
  await count.getByRole('button', { name: /one fewer/ }).click();
  c.equal(await count.locator('output').innerText(), '1', 'none lost is nothing to write');
  await count.getByRole('button', { name: /one more/ }).click();
  c.ok(await page.locator('.thumb button.do').isVisible(), 'Keep stands under the thumb');
  c.equal(await page.locator('.panel button, .panel .opt > span').evaluateAll((l) => l.filter((e) => e.getBoundingClientRect().height < 55.5).map((e) => e.textContent)), [], 'what is pressed is 56 px high');
  await page.getByRole('radio', { name: 'Scour' }).check();
  c.ok(await page.locator('.panel').getByText('ring the vet').isVisible(), 'scour: ring the vet');
  await page.getByRole('radio', { name: 'Lain on' }).check();
  c.equal(await page.locator('.panel').getByText('ring the vet').count(), 0, 'two lain on: no call for that');
  await look('dawn round');
  await page.locator('.panel .keep').click();
  await page.locator('.saidline', { hasText: '2\u00a0piglets lost, lain on' }).waitFor();
  const l = (await losses())[0];
  c.equal([l.shown.sow, l.fact.many, l.fact.cause], [name, 2, 'lain on'], 'it is recorded as pressed');
  c.equal(await living(name), litter.living - 2, 'the house counts two fewer');
  c.ok(await row(name).count() === 0, 'and the round goes on to the next');
  await page.locator('.saidline button').click();
  await row(name).waitFor();
  c.equal([(await losses()).length, await living(name)], [before, litter.living], 'Undo takes it back');

  // cannot tell: no word of a cause is written
  await row(name).getByRole('button', { name: /^Piglet lost/ }).click();
  await page.getByRole('radio', { name: 'Cold', exact: true }).check();
  c.ok(await page.locator('.panel').getByText('Feel the others').isVisible(), 'cold: feel the others');
  await page.getByRole('radio', { name: 'Cannot tell' }).check();
  await saidAnew(page, () => page.locator('.panel .keep').click());
  c.equal([(await losses())[0].fact.many, (await losses())[0].fact.cause ?? null], [1, null], 'one, and nothing of a cause');
  await page.locator('.saidline button').click();
  await row(name).waitFor();

  // her page
  await open(page, house, `sow/${encodeURIComponent(name)}`);
  await page.locator('main').getByRole('button', { name: 'Piglet lost' }).click();
  await page.getByRole('radio', { name: 'Starved' }).check();
  await look('sow');
  await page.locator('.thumb').getByRole('button', { name: 'Keep' }).click();
  await page.locator('.saidline', { hasText: '1\u00a0piglet lost, starved' }).waitFor();
  await page.locator('td', { hasText: '1: starved' }).or(page.locator('td small', { hasText: 'starved' })).first().waitFor();
  c.equal([(await losses())[0].fact.cause, await living(name)], ['starved', litter.living - 1], 'her page writes it, and shows it in her litters');
  await page.locator('.saidline button').click();
  await page.locator('.saidline', { hasText: 'Taken back' }).waitFor();
  c.equal([(await losses()).length, await living(name)], [before, litter.living], 'Undo there too');
  const due = t.sows[0].name;
  await open(page, house, `sow/${encodeURIComponent(due)}`);
  c.equal(await page.getByRole('button', { name: 'Piglet lost' }).count(), 0, `${due} has no litter with her: no such button`);
  c.equal(await page.locator('.saidline p').count(), 0, 'and what was said of another is not said of her');

  // keyboard alone, on both
  await anew(page, house, 'dawn');
  await page.evaluate((n) => [...document.querySelectorAll('section.round')].find((r) => r.querySelector('h2').textContent === n).setAttribute('data-mine', ''), name);
  c.ok(await tabTo(page, 'section[data-mine] .pad button:nth-child(2)'), 'the button is reached by Tab');
  await page.keyboard.press('Enter');
  c.ok(await tabTo(page, '.panel .count button:last-child', 8), 'the counter next');
  await page.keyboard.press('Space');
  c.ok(await tabTo(page, '.panel input[type=radio]', 4), 'what of next');
  await page.keyboard.press('ArrowDown');
  c.equal(await page.locator('.panel input:checked').count(), 1, 'an arrow chooses');
  c.ok(await tabTo(page, '.panel .keep', 6), 'Keep next');
  await page.keyboard.press('Enter');
  await page.locator('.saidline', { hasText: '2\u00a0piglets lost, cold' }).waitFor();
  c.ok(await tabTo(page, '.saidline button', 400), 'Undo is reached');
  await page.keyboard.press('Enter');
  await row(name).waitFor();
  c.equal((await losses()).length, before, 'and takes it back');
  await open(page, house, `sow/${encodeURIComponent(name)}`);
  c.ok(await tabTo(page, '#loss-open'), 'her page: the button is reached');
  await page.keyboard.press('Enter');
  c.equal(await page.evaluate(() => document.activeElement?.id), 'loss', 'and what opens has the focus');
  c.ok(await tabTo(page, '#loss .keep', 10), 'Keep is reached');
  await page.keyboard.press('Enter');
  await page.locator('.saidline', { hasText: '1\u00a0piglet lost' }).waitFor();
  await page.waitForFunction(() => document.activeElement?.textContent?.trim() === 'Undo');
  c.equal(await focused(), 'Undo', 'Undo has the focus');
  await page.keyboard.press('Enter');
  await page.locator('.saidline', { hasText: 'Taken back' }).waitFor();
  c.equal((await losses()).length, before, 'all as it was');

  // the last of a litter: she has none with her any more
  await open(page, house, 'dawn');
  await row(name).getByRole('button', { name: /^Piglet lost/ }).click();
  for (let i = 1; i < litter.living; i++) await count.getByRole('button', { name: /one more/ }).click();
  await saidAnew(page, () => page.locator('.panel .keep').click());
  await anew(page, house, `sow/${encodeURIComponent(name)}`);
  c.ok(/Lost all of her litter by .*Not served since\./.test(await page.locator('main .lead').innerText()), 'her page says that she lost all');
  c.equal(await page.getByRole('button', { name: 'Piglet lost' }).count(), 0, 'there is none to lose');
  c.equal(await page.getByRole('cell', { name: 'none left' }).count(), 1, 'none left stands with her litter');
  await open(page, house, 'dawn');
  c.equal(await row(name).count(), 0, 'and she is off the round');
  await page.evaluate((u) => fetch('/api/undo', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ what: u }) }), (await losses())[0].uid);
  await page.evaluate(() => localStorage.removeItem('leenest-dawn'));
  await anew(page, house, 'dawn');
  c.equal([(await losses()).length, await row(name).count()], [before, 1], 'taken back, she stands there again');

  // out of reach: both wait on this device, and one is taken back there; the other goes over when the house answers
  wanted.push(/ERR_CONNECTION|ERR_INTERNET|Failed to load|fetch/);
  await open(page, house, `sow/${encodeURIComponent(name)}`);
  const port = new URL(house.origin).port;
  await house.stop();
  await page.locator('main').getByRole('button', { name: 'Piglet lost' }).click();
  await page.locator('#loss .keep').click();
  await page.locator('.saidline', { hasText: 'waits on this device' }).waitFor();
  await page.locator('.saidline button').click();
  await page.locator('.saidline', { hasText: 'Taken back' }).waitFor();
  await open(page, house, 'dawn');
  await row(name).getByRole('button', { name: /^Piglet lost/ }).click();
  await page.getByRole('radio', { name: 'Fox or bird' }).check();
  await page.locator('.panel .keep').click();
  await page.locator('.saidline', { hasText: 'waits on this device' }).waitFor();
  await house.start(['--port', port]);
  for (let i = 0; i < 60 && (await losses().catch(() => [])).length === before; i++) await page.waitForTimeout(500);
  const over = await losses();
  c.equal([over.length - before, over[0]?.shown.sow, over[0]?.fact.many, over[0]?.fact.cause], [1, name, 1, 'taken by a fox or bird'], 'the one that was kept went over, the one taken back did not');
  c.equal(messages, [], 'no messages');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
