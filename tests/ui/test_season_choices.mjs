// SPDX-License-Identifier: GPL-3.0-or-later
// What would change the plan, and pigs by week, on the page as the house says them: a row for each choice, what cannot be told from luck as
// none, what is not known as such; the sentences under a fold that the keyboard opens.
import { asked, checks, open, openBrowser, signIn } from './checks.mjs';
import { openFarm } from './browser.mjs';

const c = checks('season choices');
const browser = await openBrowser(), house = await openFarm();
try {
  const { page, messages } = await signIn(browser, house, { timezoneId: 'Europe/London' });
  await open(page, house, 'season');
  const s = await asked(page, '/api/season'), main = page.locator('#main'), table = main.locator('.choices table');
  c.ok(s.choices.length >= 7, 'the house says what would change it');
  c.equal(await table.locator('tbody tr').count(), s.choices.length, 'a row for each choice');
  for (const x of s.choices) {
    const row = table.locator(`tr[data-key="${x.key}"]`), cell = async (l) => (await row.locator(`td[data-l="${l}"]`).textContent()).trim();
    c.equal((await row.locator('th').textContent()).trim(), x.title, x.title);
    const pigs = await cell('pigs in time');
    const told = Math.abs(x.pigs.mean) > 2 * x.pigs.se && Math.abs(x.pigs.mean).toFixed(1) !== '0.0';
    c.equal(pigs, told ? `${x.pigs.mean > 0 ? '+' : '−'}${Math.abs(x.pigs.mean).toFixed(1)}` : 'none', `${x.key}: pigs in time`);
    if (x.danger.mean === null) c.equal(await cell('into danger'), 'not known', `${x.key}: cold not known`);
  }
  await main.locator('.choices summary').focus();
  await page.keyboard.press('Enter');
  c.equal(await main.locator('.choices details li').count(), s.choices.length, 'each as a sentence');
  const weeks = s.sale_weeks.filter((w) => w.ready.expected >= 0.05);
  c.equal(await main.locator('.saleweeks tbody tr').count(), weeks.length, 'a row for each week with pigs');
  c.ok((await main.locator('.saleweeks tbody tr').first().textContent()).includes(`(${Math.round(weeks[0].ready.p10)} to ${Math.round(weeks[0].ready.p90)})`), 'with its spread');
  const wide = await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth);
  c.ok(wide, 'nothing runs out of the page');
  c.equal(messages, [], 'no messages');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
