// SPDX-License-Identifier: GPL-3.0-or-later
// Records of every kind: the form the house's table gives, recorded, found, put right, taken out and back; tables; odd and held.
import { openFarm } from './browser.mjs';
import { asked, checks, looks, open, openBrowser, settled, signIn, tabTo } from './checks.mjs';

const c = checks('records'), house = await openFarm(), browser = await openBrowser();
const { page, messages } = await signIn(browser, house);
const newest = async (kind) => (await asked(page, `/api/list/${kind}?most=1`)).facts[0];
const send = (path, body) => page.evaluate(async ([p, b]) => { const r = await fetch(p, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(b) }); return [r.status, await r.json()]; }, [path, body]);
const hex = (n) => n.toString(16).padStart(32, 'a');
try {
  // every kind has its page and its form, made from the house's table
  const kinds = (await asked(page, '/api/kinds')).kinds;
  await open(page, house, 'records');
  for (const k of kinds) c.equal(await page.locator(`.kindlist a[href="/records/${k.name}"]`).count(), 1, `${k.name} stands in the menu`);
  for (const k of kinds) {
    await open(page, house, `records/${k.name}`);
    if (k.single) continue;
    for (const d of await page.locator('.restfields').all()) await d.evaluate((e) => { e.open = true; });
    const ids = await page.evaluate(() => [...document.querySelectorAll('#theform [id]')].map((e) => e.id.replace(/^[0-9a-f]{6}-/, '')));
    c.equal(k.fields.map((f) => f.name).filter((f) => !ids.includes(f)), [], `${k.name}: each field stands in the form`);
    c.equal(await page.evaluate(() => [...document.querySelectorAll('#theform input:not([aria-hidden]), #theform select, #theform textarea')].filter((e) => !e.labels?.length).length), 0, `${k.name}: each box has its words`);
  }

  // one is written: a weighing, in the farm's units and in others
  await open(page, house, 'records/weighing');
  await page.getByLabel(/^Animal/).selectOption({ label: await page.locator('select option', { hasText: 'Bramble' }).first().innerText() });
  await page.getByLabel(/^Weight/).fill('440 lb');
  await page.locator('#theform').getByRole('button', { name: 'Keep it' }).click();
  await page.locator('.saidline', { hasText: 'Kept' }).waitFor();
  let w = await newest('weighing');
  // 1 lb is 0.45359237 kg exactly: International Yard and Pound Agreement, 1959
  c.ok(Math.abs(w.fact.mass_kg - 440 * 0.45359237) < 1e-9 && w.shown.animal === 'Bramble', 'a weight in pounds is kept in kilograms');
  await page.locator('.saidline button').click();
  await page.getByText('Taken back').waitFor();
  c.ok((await newest('weighing'))?.uid !== w.uid, 'and taken back by Undo');

  // what is wrong stands under its field, the words stay, the focus goes there
  await open(page, house, 'records/service');
  await page.getByRole('checkbox', { name: /^Vetch/ }).check();
  const when = page.getByLabel(/^When/);
  await when.fill('14 Febuary');
  await page.locator('#theform').getByRole('button', { name: 'Keep it' }).click();
  await page.locator('.field .fault').waitFor();
  c.ok(/14 Febuary/.test(await page.locator('.field .fault').innerText()), 'the sentence names what was typed');
  c.equal(await when.inputValue(), '14 Febuary', 'the words stay as typed');
  c.equal(await when.evaluate((e) => [document.activeElement === e, e.getAttribute('aria-invalid'), e.getAttribute('aria-describedby').includes('-e')]), [true, 'true', true], 'the focus is there, and the sentence belongs to it');
  await open(page, house, 'records/animal');
  await page.locator('#theform').getByRole('button', { name: 'Keep it' }).click();
  c.ok(await page.locator('.field .fault').first().isVisible(), 'a name is needed, and said so');

  // several sows make one record each, undone together
  await open(page, house, 'records/service');
  const had = (await asked(page, '/api/list/service?most=200')).facts.length;
  for (const name of [/^Vetch/, /^Betony/]) await page.getByRole('checkbox', { name }).check();
  await page.locator('#theform').getByRole('button', { name: 'Keep it' }).click();
  await page.locator('.saidline', { hasText: /2.records/ }).waitFor();
  c.equal((await asked(page, '/api/list/service?most=200')).facts.length, had + 2, 'two sows, two services');
  await page.locator('.saidline button').click();
  await page.getByText('Taken back').waitFor();
  c.equal((await asked(page, '/api/list/service?most=200')).facts.length, had, 'one Undo takes both back');

  // names of all kinds stay text
  const hard = ['<img onerror=alert(1) src=x>', 'שָׂדֶה الشمالي', `Old ${'Marigold'.repeat(9)}`];
  for (const [i, n] of hard.entries()) c.equal((await send('/api/record/animal', { uid: hex(i + 1), fact: { name: n, is: 'sow' } }))[0], 200, `recorded: ${n.slice(0, 20)}`);
  for (const path of ['records/animal', 'records/service', 'dawn', 'round']) {
    await open(page, house, path);
    c.equal(await page.locator('#main img').count(), 0, `/${path}: a name makes no picture`);
    c.equal(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth > 0), false, `/${path}: a long name does not run sideways`);
  }
  await open(page, house, 'records/animal');
  for (const n of hard) c.ok((await page.locator('#main').innerText()).replace(/\s+/g, ' ').includes(n), `shown as it is: ${n.slice(0, 20)}`);

  // find, page on
  await open(page, house, 'records/animal');
  await page.getByLabel('Any part of it').fill('brambl');
  await page.keyboard.press('Enter');
  await page.waitForURL(/search=brambl/); await settled(page);
  await page.waitForFunction(() => document.querySelectorAll('.facts .fact').length > 0 && [...document.querySelectorAll('.facts .fact')].every((e) => /bramble/i.test(e.textContent)));
  c.ok(await page.locator('.facts .fact', { hasText: 'Bramble' }).count() > 0, 'found by any part of the name');
  for (let i = 0; i < 30; i++) await send('/api/record/note', { uid: hex(100 + i), fact: { at: '2026-01-22T10:00:00Z', text: `note ${i}` } });
  await open(page, house, 'records/note');
  c.equal(await page.locator('.facts .fact').count(), 25, 'twenty-five at first');
  await page.getByRole('button', { name: 'Show older' }).click();
  await page.waitForFunction(() => document.querySelectorAll('.facts .fact').length >= 30);
  c.equal(new Set(await page.locator('.facts .fact > a').evaluateAll((l) => l.map((a) => a.getAttribute('href')))).size, await page.locator('.facts .fact').count(), 'older ones, each once');

  // put right: what is not touched stays exactly as it was
  const shelter = (await asked(page, '/api/list/shelter')).facts[0];
  await open(page, house, `records/shelter/${shelter.uid}?edit`);
  await page.locator('#theform').getByLabel(/^Note/).evaluate((e) => { e.closest('details')?.setAttribute('open', ''); });
  await page.locator('#theform').getByLabel(/^Note/).fill('tied down');
  await page.locator('#theform').getByRole('button', { name: 'Keep it so' }).click();
  await page.locator('.saidline', { hasText: 'Put right' }).waitFor();
  const again = (await asked(page, '/api/list/shelter')).facts.find((f) => f.fact.name === shelter.fact.name);
  c.equal([{ ...again.fact, note: undefined }, again.fact.note], [{ ...shelter.fact, note: undefined }, 'tied down'], 'one field is changed and no other');
  await settled(page);
  c.ok(await page.locator('.change').count() >= 1, 'with how it came about');

  // take out: what rests on it is said, goes with it, and comes back
  const sow = (await asked(page, '/api/list/animal?most=200')).facts.find((f) => f.fact.name === 'Bramble');
  const services = (await asked(page, '/api/list/service?most=200')).facts.length;
  await open(page, house, `records/animal/${sow.uid}`);
  await page.getByRole('button', { name: 'Take it out' }).click();
  await page.locator('#takeout').waitFor();
  c.ok(await page.locator('#takeout li').count() > 0, 'what goes with her is listed first');
  c.equal(await page.evaluate(() => document.activeElement?.id), 'takeout', 'and has the focus');
  await page.getByRole('button', { name: 'Leave it' }).click();
  c.ok((await asked(page, `/api/fact/${sow.uid}`)).live, 'Leave it leaves her');
  await page.getByRole('button', { name: 'Take it out' }).click();
  await page.locator('#takeout').getByRole('button', { name: 'Take it out' }).click();
  await page.locator('.saidline', { hasText: 'Taken out' }).waitFor();
  c.equal((await asked(page, `/api/fact/${sow.uid}`)).live, false, 'she is taken out');
  c.ok((await asked(page, '/api/list/service?most=200')).facts.length < services, 'with her services');
  await open(page, house, 'records/history');
  await page.locator('.change').first().getByRole('button', { name: /^Take back/ }).click();
  await page.locator('.takeout').getByRole('button', { name: 'Take back' }).click();
  await page.locator('.saidline', { hasText: 'Taken back' }).waitFor();
  c.equal([(await asked(page, `/api/fact/${sow.uid}`)).live, (await asked(page, '/api/list/service?most=200')).facts.length], [true, services], 'taken back, all stands again');

  // tables: tried first, rows with their sentences, then kept
  await open(page, house, 'records/csv');
  await page.getByLabel('What it holds').selectOption('weighing');
  const csv = (rows) => ({ name: 'w.csv', mimeType: 'text/csv', buffer: Buffer.from(`animal,on,mass_kg\n${rows.join('\n')}\n`) });
  const weights = (await asked(page, '/api/list/weighing?most=200')).facts.length;
  await page.getByLabel('The file').setInputFiles(csv(['Sedge,2026-01-10,190', 'Nobody,2026-01-10,190', 'Teasel,2026-13-10,180']));
  await page.getByRole('button', { name: 'Look it through' }).click();
  await page.locator('#csv-result').waitFor();
  c.ok(/3 rows read: 1 good, 2 not/.test((await page.locator('#csv-result').innerText()).replace(/\u00a0/g, ' ')), 'good and bad rows are counted');
  c.equal(await page.locator('#csv-result tbody tr').evaluateAll((l) => l.map((r) => r.cells[0].textContent)), ['3', '4'], 'each bad row with its line');
  c.equal((await asked(page, '/api/list/weighing?most=200')).facts.length, weights, 'nothing is kept by trying');
  await page.getByLabel('The file').setInputFiles(csv(['Sedge,2026-01-10,190', 'Teasel,2026-01-10,180']));
  await page.getByRole('button', { name: 'Look it through' }).click();
  await page.getByRole('button', { name: 'Keep all 2' }).click();
  await page.getByText('2 records kept').or(page.getByText('2\u00a0records kept')).waitFor();
  c.equal((await asked(page, '/api/list/weighing?most=200')).facts.length, weights + 2, 'then all are kept');
  const out = await page.evaluate(async () => (await fetch('/api/export/weighing')).text());
  c.ok(out.split('\n')[0].includes('mass_kg') && out.trim().split('\n').length === weights + 3, 'and come out as a table');

  // held: refused on arrival, mended here
  const bad = await send('/api/queue', { items: [{ kind: 'weighing', uid: hex(900), fact: { animal: sow.uid, on: '2026-01-21', mass_kg: 9000 }, recorded: '2026-01-22T10:00:00Z' }, { kind: 'weighing', uid: hex(901), fact: { animal: sow.uid, on: '2026-01-20', mass_kg: 7000 }, recorded: '2026-01-22T10:00:00Z' }] });
  c.equal(bad[1].items?.map((i) => i.status), ['held', 'held'], 'the house holds what it cannot take');
  await open(page, house, 'held');
  c.equal(await page.locator('section.held').count(), 2, 'both stand in the tray');
  c.ok(await page.locator('section.held .fault', { hasText: /./ }).first().isVisible(), 'with the reason at its field');
  await looks(c, page, house, 'held');
  await open(page, house, 'held');
  await page.locator('section.held').first().getByLabel(/^Weight/).fill('210');
  await page.locator('section.held').first().getByRole('button', { name: 'Mend and keep' }).click();
  await page.locator('.saidline', { hasText: 'Mended' }).waitFor();
  await page.waitForFunction(() => document.querySelectorAll('section.held').length === 1);
  c.equal((await newest('weighing')).fact.mass_kg, 210, 'mended, it is kept');
  await page.getByRole('button', { name: 'Drop it' }).click();
  await page.getByRole('button', { name: 'Drop it for good' }).click();
  await page.getByText('Nothing is held').waitFor();
  c.equal((await asked(page, '/api/held')).held.length, 0, 'dropped, the tray is empty');

  // odd: kept, and settled
  const odd = (await asked(page, '/api/flags')).flags;
  await open(page, house, 'records/flags');
  c.equal(await page.locator('#main section').count(), odd.length, 'what is odd stands there');
  if (odd.length) {
    await page.getByRole('button', { name: 'It is right as it stands' }).first().click();
    await page.locator('.saidline', { hasText: 'Settled' }).waitFor();
    c.equal((await asked(page, '/api/flags')).flags.length, odd.length - 1, 'settled');
  }

  // keyboard alone
  await open(page, house, 'records/note');
  c.ok(await tabTo(page, '#theform textarea'), 'the box is reached by Tab');
  await page.keyboard.type('by keys');
  c.ok(await tabTo(page, '#theform button[type=submit]'), 'and the button');
  await page.keyboard.press('Enter');
  await page.locator('.saidline', { hasText: 'Kept' }).waitFor();
  c.equal((await newest('note')).fact.text, 'by keys', 'a record by the keyboard alone');

  for (const path of ['records', 'records/farrowing', 'records/animal', `records/animal/${sow.uid}?edit`, 'records/history', 'records/csv']) await looks(c, page, house, path);
  c.equal(messages.filter((m) => !/status of 400/.test(m)), [], 'no messages but the refusals that were asked for');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
