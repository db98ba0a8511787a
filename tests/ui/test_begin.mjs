// SPDX-License-Identifier: GPL-3.0-or-later
// A newcomer's path: empty farm, place, first sow, service, hut, forecast, tonight; under two minutes, by presses and words alone.
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openFarm } from './browser.mjs';
import { asked, checks, looks, open, openBrowser, settled, signIn } from './checks.mjs';

const c = checks('begin'), folder = mkdtempSync(join(tmpdir(), 'leenest-begin-')), path = join(folder, 'new.leenest');
const house = await openFarm({ farm: path }), browser = await openBrowser();
const { page, messages } = await signIn(browser, house);
let presses = 0;
const press = async (what) => { presses++; await what.click(); };
const choose = async (name) => { presses++; await page.getByRole('radio', { name, exact: true }).check(); };
const at = async (title) => { await page.getByRole('heading', { name: title }).waitFor(); await settled(page); };
try {
  // every page of an empty farm says what belongs there and gives a way on
  c.ok(!existsSync(path), 'there is no farm file yet');
  for (const p of ['', 'round', 'dawn', 'settings']) {
    await open(page, house, p);
    c.ok(await page.locator('#main a[href="/begin"]').count() > 0, `/${p}: a way to begin`);
  }
  await looks(c, page, house, 'begin');

  const began = Date.now();
  await page.goto(house.origin); await settled(page);
  await press(page.locator('#main a[href="/begin"]').first());
  await at('1. The place');
  await page.locator('form').getByRole('button', { name: /^Keep/ }).click();
  c.equal(await page.evaluate(() => document.activeElement?.id), 'farm-name', 'what is missing first has the focus');
  await page.getByLabel('What the farm is called').fill('Stonebeck');
  await page.getByLabel('Latitude').fill('95 N');
  await page.getByLabel('Longitude').fill('2.41 W');
  await page.locator('form').getByRole('button', { name: /^Keep/ }).click();
  c.ok(/95 N/.test(await page.locator('#lat-e').innerText()), 'a latitude that is none is refused in words');
  await page.getByLabel('Latitude').fill('33.9 S');
  c.ok(/south of the equator/.test(await page.locator('figure.place').innerText()) && /midwinter is in June/.test(await page.locator('figure.place').innerText()), 'a wrong side of the equator is said in plain words');
  await page.getByLabel('Latitude').fill('54.62, -2.41');
  c.equal([await page.getByLabel('Latitude').inputValue(), await page.getByLabel('Longitude').inputValue()], ['54.62', '-2.41'], 'both figures may be pasted at once');
  // one degree of latitude is 111.2 km on a sphere of 6371 km radius (IUGG mean radius): 54.62 degrees are 6070 km
  c.ok(/6070\skm north/.test(await page.locator('figure.place').innerText()), 'the distance from the equator is right');
  await press(page.locator('form').getByRole('button', { name: /^Keep/ }));
  await at('2. A sow');
  const farm = (await asked(page, '/api/list/farm')).facts[0];
  c.equal([farm.fact.name, farm.fact.lat_deg, farm.fact.lon_deg, farm.fact.zone], ['Stonebeck', 54.62, -2.41, 'Europe/London'], 'the farm is recorded as typed');

  await page.getByLabel('Her name or number').fill('Bryony');
  await choose('Yes: a sow');
  await press(page.locator('form').getByRole('button', { name: /^Keep/ }));
  await at('3. When the boar was with her');
  await choose('Seen on a day');
  const served = new Date(Date.now() - 114 * 24 * 3600e3).toISOString().slice(0, 10);
  await page.getByLabel('The day', { exact: true }).fill('soon');
  await page.locator('form').getByRole('button', { name: /^Keep/ }).click();
  await page.locator('#day-e').waitFor();
  c.equal([await page.getByLabel('The day', { exact: true }).inputValue(), await page.evaluate(() => document.activeElement?.id)], ['soon', 'day'], 'the house\u2019s refusal stands at its field, the words stay');
  await page.getByLabel('The day', { exact: true }).fill(served);
  await page.getByLabel(/^The boar/).fill('Flint');
  await press(page.locator('form').getByRole('button', { name: /^Keep/ }));
  await at('4. Huts');
  const service = (await asked(page, '/api/list/service')).facts[0];
  c.equal([service.shown.sow, service.shown.boar, service.shown.at?.slice(0, 10)], ['Bryony', 'Flint', served], 'the service is recorded, and the boar with it');

  await page.getByLabel('What the hut is called').fill('Hut 1');
  await choose('SE'); await choose('good, 15 cm'); await choose('can be hung');
  await press(page.locator('form').getByRole('button', { name: /^Keep/ }));
  await at('5. The weather');
  const stands = (await asked(page, '/api/list/placement')).facts[0];
  c.equal([stands.shown.shelter, stands.fact.facing_deg, stands.fact.straw_depth_m], ['Hut 1', 135, 0.15], 'the hut is recorded where it stands');

  await choose('Type what was said');
  await page.getByRole('textbox', { name: 'What was said' }).fill('low -6 C, wind SW 8 m/s, rain until 21:00');
  await press(page.locator('form').getByRole('button', { name: /^Take it in/ }));
  await at('6. Tonight');
  await press(page.locator('#main').getByRole('link', { name: 'See tonight' }));
  await page.waitForURL(/\/tonight/); await settled(page);
  const took = (Date.now() - began) / 1000;
  c.ok(took < 120, `under two minutes: ${took.toFixed(0)} s`);
  c.ok((await page.locator('#main').innerText()).includes('Bryony'), 'tonight speaks of her');
  c.ok((await asked(page, '/api/tonight')).sows.some((s) => s.name === 'Bryony' && s.p_within_72h > 0.1), 'and reckons when');
  console.log(`${presses} presses, ${took.toFixed(0)} s`);

  for (const s of ['place', 'sow', 'service', 'hut', 'weather', 'tonight']) await looks(c, page, house, `begin/${s}`);
  c.equal(messages.filter((m) => !/status of 40[04]/.test(m)), [], 'no messages but the refusals that were asked for');
} finally { await browser.close(); await house.close(); rmSync(folder, { recursive: true, force: true }); }
process.exit(c.end());
