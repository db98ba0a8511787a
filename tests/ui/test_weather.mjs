// SPDX-License-Identifier: GPL-3.0-or-later
// Weather: hours, their source and age, how right the forecast has been, what is typed and read.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { openFarm } from './browser.mjs';
import { asked, checks, looks, open, openBrowser, settled, signIn, tabTo } from './checks.mjs';

const c = checks('weather'), house = await openFarm(), browser = await openBrowser();
const { page, messages, wanted } = await signIn(browser, house);
const plain = (s) => s.replace(/[\u00a0\u202f]/g, ' ').replaceAll('−', '-');
const main = async () => plain(await page.locator('#main').innerText());
const newest = async (kind) => (await asked(page, `/api/list/${kind}?most=1`)).facts[0];
try {
  await open(page, house, 'weather');
  const w = await asked(page, '/api/weather?hours=168'), words = await main();
  c.equal(w.hours.length, 168, 'seven days of hours');
  c.ok(words.includes(w.weather.says.split(',')[0]), 'the source of the forecast stands under the sentence');
  c.ok(((await page.locator('.skyfig svg[role=img]').last().getAttribute('aria-label')) ?? '').length > 60, 'the drawing says in words what it shows');

  // every hour in the table, with source and age
  for (const d of await page.locator('.dayhours summary').all()) await d.click();
  c.equal(await page.locator('.hourtable tbody tr').count(), 168, 'a line for each hour');
  const cells = plain(await page.locator('.hourtable tbody tr').first().innerText());
  c.ok(cells.includes(`${Math.round(w.hours[0].temp_c)} °C`) && cells.includes(w.hours[0].source) && /made \d+ (h|min) ago/.test(cells), 'with air, source and age of the forecast');
  const beyond = w.hours.findIndex((h) => !h.made);
  if (c.ok(beyond > 0, 'the forecast ends before the seven days')) c.ok(plain(await page.locator('.hourtable tbody tr').nth(beyond).innerText()).includes(w.hours[beyond].source), 'and what stands in is named');

  // read against said: the mean of differences, done again here from the rows of the answer
  await page.locator('.plotted[role=img]').first().waitFor();
  c.equal(await page.locator('svg.plotted[role=img]').count(), 2, 'two charts, each one image');
  c.equal(await page.locator('svg.plotted [aria-label]').count(), 0, 'without inner labels');
  c.equal(await page.locator('svg.plotted style').count(), 0, 'and without a style of their own');
  c.ok(w.last_nights.length > 8, 'nights of the last ten days');
  await page.locator('summary', { hasText: 'The nights in figures' }).click();
  c.equal(await page.locator('table', { has: page.locator('caption', { hasText: 'Read and forecast' }) }).locator('tbody tr').count(), w.last_nights.length, 'each night in the table');
  c.equal(await page.locator('svg.plotted').first().locator('[aria-label], circle, path').count() > w.last_nights.length, true, 'and in the chart');
  const table = page.locator('table', { has: page.locator('caption', { hasText: 'by lead time' }) });
  for (const v of w.verified) c.ok(plain(await table.innerText()).includes(`${v.temp_bias_k > 0 ? '+' : ''}${v.temp_bias_k.toFixed(1)}`), `forecasts made ${v.from_h} h before: their mean error stands in the table`);
  const best = [...w.verified].sort((a, b) => b.readings - a.readings)[0];
  c.ok((await main()).includes(best.temp_bias_k > 0 ? 'colder than said' : 'warmer than said'), 'said in a sentence, the right way round: forecast less reading is plus where it was colder');
  for (const o of w.own_offsets) c.ok((await main()).includes(o.when), `${o.when}: what this place does`);

  // a reading, by the keyboard alone
  c.ok(await tabTo(page, '#w-temp', 300), 'the fields are reached by Tab');
  await page.keyboard.type('-7.5');
  await page.keyboard.press('Enter');
  await page.locator('.saidline', { hasText: 'kept' }).waitFor();
  c.equal((await newest('reading')).fact.temp_c, -7.5, 'the reading is kept as typed');
  await settled(page);
  await page.locator('.saidline button', { hasText: 'Undo' }).click();
  await page.waitForFunction(() => /Taken back/.test(document.querySelector('.saidline')?.textContent ?? ''));
  c.ok((await newest('reading')).fact.temp_c !== -7.5, 'and taken back');
  wanted.push(/400/);
  await page.locator('#w-wind').fill('brisk');
  await page.getByRole('button', { name: 'Keep the reading' }).click();
  await page.locator('#bring .fault').first().waitFor();
  c.equal(await page.locator('#w-wind').inputValue(), 'brisk', 'what is no wind stays as typed, and is said');
  await page.locator('#w-wind').fill('');

  // a forecast as a person says it; a file that is none
  await page.locator('#w-forecast').fill('low -9C, wind N 6 m/s');
  await page.getByRole('button', { name: 'Keep what was said' }).click();
  await page.locator('#bring .note').waitFor();
  const typed = await asked(page, '/api/weather-kept');
  c.ok(typed.kept.some((k) => /typ/.test(k.sort)), 'a typed forecast is kept');
  const file = join(house.folder, 'no.csv');
  writeFileSync(file, 'this is\nno weather\n');
  await page.locator('#bring input[type=file]').setInputFiles(file);
  await page.locator('#w-file-e, .fault').first().waitFor();
  c.ok((await page.locator('#bring .fault').last().innerText()).length > 20, 'a file without hours is refused in a sentence');

  await looks(c, page, house, 'weather');
} catch (e) { c.ok(false, String(e.stack ?? e).split('\n').slice(0, 4).join(' / ')); } finally { await browser.close(); await house.close(); }
c.equal(messages, [], 'no message in the console');
process.exit(c.end());
