// SPDX-License-Identifier: GPL-3.0-or-later
// The dawn round: nothing chosen beforehand, few presses, what is not pressed is not recorded.
import { openFarm } from './browser.mjs';
import { anew, asked, checks, looks, open, openBrowser, signIn, tabTo, saidAnew } from './checks.mjs';

const c = checks('dawn'), house = await openFarm(), browser = await openBrowser();
const { page, messages, wanted } = await signIn(browser, house);
const newest = async (kind) => (await asked(page, `/api/list/${kind}?most=1`)).facts[0];
const row = (name) => page.locator('section.round', { has: page.getByRole('heading', { name, exact: true }) });
try {
  await open(page, house, 'dawn');
  c.equal(await page.locator('section.round input:checked').count(), 0, 'nothing is chosen beforehand');
  const tonight = await asked(page, '/api/tonight');
  for (const s of tonight.sows) c.equal(await row(s.name).count(), 1, `${s.name} stands on the round`);

  // one press: nothing new
  const [a, b] = tonight.sows.filter((s) => s.near).map((s) => s.name);
  await row(a).getByRole('button', { name: /^Nothing new/ }).click();
  await page.locator('.saidline button').waitFor();
  const look = await newest('look');
  c.equal([look.shown.sow, look.fact.absent], [a, undefined], 'one press records a look, and no sign that nobody looked for');
  c.ok(await page.locator('.saidline button').isVisible(), 'with Undo in sight');
  await page.locator('.saidline button').click();
  await row(a).waitFor();
  c.ok((await newest('look')).uid !== look.uid, 'Undo takes it back');

  // farrowed: counters begin at a dash
  await row(b).getByRole('button', { name: /^Farrowed/ }).click();
  const living = page.getByRole('group', { name: 'Living' }), dead = page.getByRole('group', { name: 'Dead' });
  c.equal([await living.locator('output').innerText(), await dead.locator('output').innerText()], ['–', '–'], 'counters begin at a dash');
  c.equal(await page.locator('.panel input:checked').count(), 0, 'nothing is chosen in what opens either');
  for (let i = 0; i < 8; i++) await living.getByRole('button', { name: /one more/ }).click();
  await dead.getByRole('button', { name: /one fewer/ }).click();
  c.equal([await living.locator('output').innerText(), await dead.locator('output').innerText()], ['8', '0'], 'one fewer from the dash is none');
  await page.getByRole('radio', { name: 'Calm' }).check();
  c.ok(/^Keep, go to /.test(await page.locator('.keep').innerText()), 'the button says whom it goes to');
  await page.locator('.keep').click();
  await page.locator('.saidline', { hasText: 'farrowed, 8 living' }).waitFor();
  const f = await newest('farrowing');
  c.equal([f.shown.sow, f.fact.born_alive, f.fact.still, f.fact.temper, f.fact.place], [b, 8, 0, 'calm', undefined], 'the litter is recorded as pressed, and nothing else');
  c.ok(new Date(f.fact.not_before) < new Date(f.fact.start), 'with the span in which it began');
  c.equal(await page.locator('section.round').first().getByRole('heading').innerText() !== b, true, 'the next one stands first');
  await page.locator('.saidline button').click();
  await row(b).waitFor();
  c.ok((await newest('farrowing')).uid !== f.uid, 'the litter is taken back');

  // nothing pressed, nothing kept
  await row(b).getByRole('button', { name: /^Saw a sign/ }).click();
  await page.locator('.keep').click();
  c.ok(await page.locator('.panel .fault').isVisible(), 'Keep without a sign says what is missing');
  await page.getByRole('checkbox', { name: 'Makes a nest' }).check();
  c.ok(await page.getByText('do not move her').isVisible(), 'a nesting sow is not to be moved');
  await page.getByRole('checkbox', { name: 'Looked for all the others too' }).check();
  await saidAnew(page, () => page.locator('.keep').click());
  const sign = await newest('sign'), absent = (await newest('look')).fact.absent ?? '';
  c.equal([sign.shown.sow, sign.fact.sign], [b, 'nest'], 'the sign is recorded');
  c.ok(absent.includes('straining') && !absent.split(',').includes('nest'), 'and the others as looked for and not there');
  await page.locator('.saidline button').click();
  await row(b).waitFor();
  c.equal([(await newest('sign')).uid !== sign.uid, ((await newest('look')).fact.absent ?? '') !== absent], [true, true], 'one Undo takes back both');

  // births one by one
  await row(b).getByRole('button', { name: /^Farrowing now/ }).click();
  await page.getByRole('button', { name: 'One more born' }).click();
  await page.locator('.saidline', { hasText: 'one more born' }).waitFor();
  c.equal([(await newest('birth')).shown.sow, (await newest('birth')).fact.is], [b, 'alive'], 'a birth is recorded with its clock');
  await page.locator('.saidline button').click();
  await page.getByText('Taken back').waitFor();
  c.equal((await asked(page, '/api/list/birth')).facts.length, 0, 'and taken back');
  await page.getByRole('button', { name: 'Drop it' }).click();

  // all as last night
  await page.getByRole('button', { name: /as last night/ }).click();
  await page.locator('.saidline', { hasText: 'as last night' }).waitFor();
  const left = await page.locator('section.round').count(), looks0 = (await asked(page, '/api/list/look')).facts.length;
  await anew(page, house, 'dawn');
  c.equal(await page.locator('section.round').count(), left, 'what is done stays done when the page is opened anew');
  c.ok(looks0 >= tonight.sows.length, 'one look for each');

  // walking order
  await open(page, house, 'dawn/order');
  const first = await page.locator('.order li b').first().innerText();
  await page.locator('#order-0-down').click();
  c.equal(await page.locator('.order li b').nth(1).innerText(), first, 'Down moves her down');
  await page.locator('.acts').getByRole('button', { name: 'Keep this order' }).click();
  await page.getByRole('heading', { name: /Dawn round/ }).waitFor();
  const set = (await asked(page, '/api/list/setting')).facts.find((s) => s.fact.name === 'walking-order');
  c.equal(set?.fact.value.split('\n')[1], first, 'the order is a fact of the farm');

  // help, without the house
  await open(page, house, 'dawn/help');
  for (const h of ['A cold or limp piglet', 'She strains and nothing comes', 'A fierce sow']) c.equal(await page.getByRole('heading', { name: h }).count(), 1, `help: ${h}`);
  c.equal(await page.locator('.help ol').evaluateAll((l) => l.map((o) => o.children.length)), [3, 3, 3], 'three steps each');
  c.equal(await page.getByText('Ring the vet:').count(), 3, 'each says when to ring the vet');
  await looks(c, page, house, 'dawn/help');
  await looks(c, page, house, 'dawn/order');
  await page.evaluate(() => localStorage.removeItem('leenest-dawn'));
  await anew(page, house, 'dawn');
  await looks(c, page, house, 'dawn');

  // keyboard alone
  await open(page, house, 'dawn');
  c.ok(await tabTo(page, 'section.round .pad button'), 'the first button is reached by Tab');
  await page.keyboard.press('Enter');
  await page.locator('.saidline button').waitFor();
  c.ok(true, 'and pressed by Enter');

  // out of reach: it waits, and is said to
  wanted.push(/ERR_CONNECTION|ERR_INTERNET|Failed to load|fetch/);
  await open(page, house, 'dawn');
  await house.stop();
  await page.locator('section.round').first().getByRole('button', { name: /^(Nothing new|All well)/ }).first().click();
  await page.locator('.saidline', { hasText: 'waits on this device' }).waitFor();
  c.ok(true, 'out of reach the record waits on the device');
  await page.locator('nav.thumb').getByText('Help').click();
  await page.getByRole('heading', { name: 'Help at the hut' }).waitFor();
  c.ok(true, 'help opens with the house gone');
  c.equal(messages, [], 'no messages');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
