// SPDX-License-Identifier: GPL-3.0-or-later
// Settings: the farm put right, its place, people, backups and going back, devices, what is open; the phone in three steps.
import { openFarm } from './browser.mjs';
import { anew, asked, checks, looks, open, openBrowser, settled, signIn } from './checks.mjs';

const c = checks('settings'), house = await openFarm(), browser = await openBrowser();
const { page, messages } = await signIn(browser, house);
const farm = async () => (await asked(page, '/api/list/farm')).facts[0];
try {
  await open(page, house, 'settings');
  const was = await farm();
  for (const h of ['The farm', 'People', 'Breeds', 'Phones and browsers', 'Password', 'Backups', 'What is open', 'About']) c.equal(await page.getByRole('heading', { name: h, exact: true }).count(), 1, `settings: ${h}`);
  c.ok((await page.locator('#main').innerText()).includes('54.62° north, 2.41° west'), 'the place in words');

  // put right; what is not touched stays
  await page.getByRole('link', { name: 'Change it' }).click();
  await page.locator('#theform').waitFor(); await settled(page);
  await page.getByRole('radio', { name: 'US customary' }).check();
  await page.locator('#theform').getByRole('button', { name: 'Keep it so' }).click();
  await page.locator('.saidline', { hasText: 'changed' }).waitFor();
  let now = await farm();
  c.equal({ ...now.fact, units: '' }, { ...was.fact, units: '' }, 'only the units are changed');
  c.equal([now.fact.units, (await asked(page, '/api/number')).us_units], ['us', true], 'the farm is in US units');
  await page.waitForFunction(() => /869\.4.ft/.test(document.querySelector('#main')?.textContent ?? ''));
  // 265 m / 0.3048 m = 869.4 ft (the international foot of 1959)
  c.ok(true, 'heights are then in feet');
  await page.locator('.saidline button').click();
  await page.getByText('Taken back').waitFor();
  c.equal((await farm()).fact.units, 'metric', 'Undo brings the metric ones back');

  await open(page, house, 'settings/place');
  await page.getByLabel('Latitude').fill('54.7 N');
  await page.getByRole('button', { name: 'Keep this place' }).click();
  await page.locator('.saidline', { hasText: 'place is changed' }).waitFor();
  now = await farm();
  c.equal([now.fact.lat_deg, now.fact.lon_deg, now.fact.name], [54.7, -2.41, 'Larkmoor'], 'the place is changed and nothing else');
  await settled(page);

  // backup, then back to it
  await open(page, house, 'settings');
  const backups = (await asked(page, '/api/backups')).backups.length;
  await page.getByRole('button', { name: 'Make a backup' }).click();
  await page.locator('.saidline', { hasText: 'backup is made' }).waitFor();
  c.equal((await asked(page, '/api/backups')).backups.length, backups + 1, 'a backup is made');
  await page.evaluate(() => fetch('/api/record/note', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ uid: 'b'.repeat(32), fact: { at: '2026-01-22T10:00:00Z', text: 'after the backup' } }) }));
  await open(page, house, 'settings');
  await page.getByRole('button', { name: /^Go back to it/ }).first().click();
  await page.locator('#restore').waitFor();
  c.equal(await page.evaluate(() => document.activeElement?.id), 'restore', 'going back asks first, with the focus there');
  await page.getByRole('button', { name: 'Stay as it is' }).click();
  c.equal((await asked(page, '/api/list/note')).facts[0]?.fact.text, 'after the backup', 'Stay leaves all as it is');
  await page.getByRole('button', { name: /^Go back to it/ }).first().click();
  await page.locator('#restore').getByRole('button', { name: 'Go back to it' }).click();
  await page.locator('.saidline', { hasText: 'as it did then' }).waitFor();
  c.equal((await asked(page, '/api/list/note')).facts.filter((f) => f.fact.text === 'after the backup').length, 0, 'the farm stands as it did then');

  await page.getByLabel('Who uses this device').selectOption('Wenna');
  await open(page, house, 'records/note');
  c.ok(await page.locator('#theform select option:checked', { hasText: 'Wenna' }).count() === 1, 'who uses the device is said in the forms');

  await open(page, house, 'phone');
  c.equal(await page.getByRole('heading', { level: 2 }).allInnerTexts(), ['1. Same network', '2. Trust', '3. Try it', 'Who is signed in'], 'the phone in three steps');
  c.ok(await page.getByText('leenest serve --lan').isVisible(), 'on this machine alone it says how to let a phone in');
  await page.getByRole('radio', { name: 'Android' }).check();
  c.equal(await page.locator('.phonestep ol li').count(), 4, 'what to press, for that phone');
  await page.getByRole('checkbox', { name: /Try it/ }).check();
  await anew(page, house, 'phone');
  c.ok(await page.getByRole('checkbox', { name: /Try it/ }).isChecked(), 'each step keeps its tick');
  c.ok((await page.evaluate(async () => (await fetch('/licences.txt')).text())).includes('lit-html'), 'licences of what is inside');

  for (const p of ['settings', 'settings/farm', 'settings/place', 'phone']) await looks(c, page, house, p);
  c.equal(messages, [], 'no messages');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
