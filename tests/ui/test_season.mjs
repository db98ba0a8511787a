// SPDX-License-Identifier: GPL-3.0-or-later
// When the boar goes in: the page says what the house says; another day tried by the keyboard; the plan taken, undone and printed; with
// nothing asked one button to write it.
import { asked, checks, looks, open, openBrowser, signIn } from './checks.mjs';
import { openFarm } from './browser.mjs';

const c = checks('season');
const browser = await openBrowser(), house = await openFarm();
try {
  const { page, messages } = await signIn(browser, house, { timezoneId: 'Europe/London' });
  await open(page, house, 'season');
  const s = await asked(page, '/api/season'), main = page.locator('#main');
  c.ok((await main.innerText()).includes('Boar in on'), 'the plan in a sentence');
  c.equal(await main.locator('.weeks tbody tr').count(), Math.ceil(s.by_week.length / 2), 'every second week of the year');
  c.equal(await main.locator('.diary li').count(), s.events.length, 'the diary');
  c.equal(await main.locator('.stairfig .screen svg[role=img]').count(), 1, 'the stair is one drawing with a label');
  c.ok(s.cold_weeks.length === 52 && s.asked.length > 0, 'the demo has winters and buyers');

  const day = new Date(Date.parse(s.plan.boar_in) - 21 * 864e5).toISOString().slice(0, 10);
  await page.getByLabel('Try another day for the boar').fill(day);
  await page.getByLabel('Try another day for the boar').press('Enter');
  await page.getByRole('button', { name: 'Back to the best' }).waitFor({ timeout: 60000 });
  const other = await asked(page, `/api/season?boar-in=${day}`);
  c.equal(other.plan.boar_in, day, 'the house reckons the day that was tried');
  c.ok((await main.innerText()).replace(/\s+/g, ' ').includes(other.says.slice(0, 30).replace(/\s+/g, ' ')), 'and the page says it');
  await page.getByLabel('Try another day for the boar').fill('2040-01-01');
  await page.getByRole('button', { name: 'Reckon that day' }).click();
  await page.getByRole('alert').waitFor({ timeout: 60000 });
  c.ok((await page.getByRole('alert').innerText()).includes('boar-in'), 'a day too far is refused in words', await page.getByRole('alert').innerText());

  await main.getByRole('button', { name: 'Take this plan' }).click();
  await page.getByText('the plan is taken').waitFor({ timeout: 60000 });
  const kept = await asked(page, '/api/list/season_plan');
  c.equal(kept.facts[0]?.fact.boar_in, s.plan.boar_in, 'the plan is written down');
  await main.getByRole('button', { name: 'Undo' }).click();
  await page.getByText('Taken back').waitFor({ timeout: 60000 });
  c.equal((await asked(page, '/api/list/season_plan')).facts.length, 0, 'and can be taken back');
  c.ok((await page.pdf({ format: 'A4' })).length > 5000 && (await page.pdf({ format: 'Letter' })).length > 5000, 'it prints on A4 and Letter');
  await looks(c, page, house, 'season');
  c.equal(messages.filter((m) => !/status of 400/.test(m)), [], 'no messages but the refusal that was asked for');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
