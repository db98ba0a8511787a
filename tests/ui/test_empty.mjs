// SPDX-License-Identifier: GPL-3.0-or-later
// Empty states: no farm yet, a farm with nothing in it, sows and no weather. Each page says what is missing and has the button to
// it; none tells a phone what to type at a terminal. The dawn round takes a look where no weather is known.
import { openFarm } from './browser.mjs';
import { newFarm } from './farm_kit.mjs';
import { anew, asked, checks, looks, open, openBrowser, settled, signIn } from './checks.mjs';

const c = checks('empty'), browser = await openBrowser();
const words = (page) => page.locator('#main').innerText();
const way = (page, to) => page.locator(`#main a[href="${to}"]`).count();

const none = newFarm(), nothing = `${none.folder}/nothing.leenest`; // a folder to be thrown away; no such file in it
let house = await openFarm({ farm: nothing });
try {
  const { page, messages, wanted } = await signIn(browser, house);
  wanted.push(/status of 404/);
  for (const p of ['round', 'tonight', 'dawn', 'due', 'season', 'herd', 'pairings', 'keep', 'field', 'weather', 'records', 'records/animal', 'held', 'sheet', 'settings', 'pairing-list', 'sow/Nobody']) {
    await open(page, house, p);
    c.ok(await way(page, '/begin') > 0, `no farm, /${p}: a way to begin`);
  }
  await looks(c, page, house, 'due');
  c.equal(messages.filter((m) => !/status of 404/.test(m)), [], 'no farm: the console is silent');
} finally { await house.close(); none.close(); }

const farm = newFarm({ name: 'Stonebeck', lat: 45, lon: -93, zone: 'America/Chicago' });
farm.tell('record', 'sow', '--name', 'Bryony', '--litters-before', '2');
farm.tell('record', 'service', '--sow', 'Bryony', '--at', new Date(Date.now() - 114 * 86400e3).toISOString().slice(0, 10));
house = await openFarm({ farm: farm.path });
try {
  const { page, messages, wanted } = await signIn(browser, house);
  wanted.push(/status of 404/);
  for (const p of ['tonight', 'sheet']) {
    await open(page, house, p);
    c.ok(await way(page, '/weather#bring') > 0, `no weather, /${p}: a way to bring it in`);
    c.ok(/No weather is known/.test(await words(page)), `no weather, /${p}: says what is missing`);
  }
  await open(page, house, 'weather');
  c.ok(/No weather is known/.test(await words(page)) && await page.locator('#bring').count() === 1, 'the weather page says so and has the fields for it');
  for (const p of ['round', 'tonight', 'sheet', 'weather', 'dawn', 'due', 'season', 'herd', 'pairings', 'keep', 'field', 'settings']) {
    await open(page, house, p);
    c.ok(!/\(leenest |leenest record/.test(await words(page)), `/${p}: nothing to be typed at a terminal`);
  }
  await looks(c, page, house, 'tonight');

  await anew(page, house, 'dawn');
  const row = page.getByRole('region', { name: 'Bryony' });
  c.ok(/served/.test(await row.innerText()), 'dawn without weather: she stands there, with what is known of her');
  await row.getByRole('button', { name: /^Nothing new/ }).click();
  await page.locator('.saidline button').waitFor();
  const look = (await asked(page, '/api/list/look')).facts;
  c.equal(look.map((f) => f.shown.sow), ['Bryony'], 'and the look is in the farm file');

  // brought in by the button that was offered: a file, as a newcomer would choose it
  const first = Math.floor(Date.now() / 3600e3) * 3600e3 - 2 * 3600e3;
  await open(page, house, 'tonight');
  await page.locator('#main a[href="/weather#bring"]').click();
  await settled(page);
  const rows = ['time,temp_c,wind_ms,wind_from_deg,rain_mm,rh_pct,cloud_oktas', ...Array.from({ length: 80 }, (_, i) => `${new Date(first + i * 3600e3).toISOString().replace('.000', '')},-6,7,300,0,85,8`)];
  await page.getByLabel('A file of hours').setInputFiles({ name: 'hours.csv', mimeType: 'text/csv', buffer: Buffer.from(`# hut-weather 1\n# place,Stonebeck\n# lat,45\n# lon,-93\n${rows.join('\n')}\n`) });
  await page.waitForFunction(() => !/No weather is known/.test(document.querySelector('#main')?.textContent ?? ''));
  await open(page, house, 'tonight');
  c.ok(/Bryony/.test(await words(page)) && !/No weather is known/.test(await words(page)), 'then tonight speaks of her');
  c.equal(messages.filter((m) => !/status of 404/.test(m)), [], 'the console is silent');
} finally { await house.close(); farm.close(); await browser.close(); }
process.exit(c.end());
