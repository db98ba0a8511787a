// SPDX-License-Identifier: GPL-3.0-or-later
// A weight in place of an age, prices and feed in store, typed on the season page by the keyboard: the page says what the house says to the
// same question, and goes back. How sure each asking is and the runt's danger by week stand as the house says them.
import { asked, checks, open, openBrowser, signIn, tabTo } from './checks.mjs';
import { openFarm } from './browser.mjs';

const c = checks('season prices');
const browser = await openBrowser(), house = await openFarm();
try {
  const { page, messages } = await signIn(browser, house, { timezoneId: 'Europe/London' });
  await open(page, house, 'season');
  const s = await asked(page, '/api/season'), main = page.locator('#main');
  const flat = (t) => t.replace(/[\s\u00a0\u2009\u202f]+/g, ' ').trim();
  c.ok(s.wishes.asked.length >= 2, 'the demo has several askings');
  c.ok(flat(await main.locator('.wishes p').first().innerText()) === flat(s.wishes.says), 'how sure, in a sentence');
  c.equal(await main.locator('.wishes tbody tr').count(), s.wishes.asked.length, 'a row for each asking');
  c.equal(await main.locator('.wishes tr.pick').count(), s.wishes.asked.filter((a) => a.give_up).length, 'the one to give up is marked');
  const cold = s.cold_weeks.filter((w, i) => i % 2 === 0 && Math.max(w.danger_in_hut ?? 0, w.danger_in_open ?? 0, w.runt_danger_in_hut ?? 0, w.runt_danger_in_open ?? 0) >= 0.005);
  c.equal(await main.locator('.coldweeks tbody tr').count(), cold.length, 'every second week with danger');
  c.equal((await main.locator('.coldweeks td[data-l="hut, runt"]').first().textContent()).trim(), String(Math.round(100 * cold[0].runt_danger_in_hut)), 'the runt beside the typical piglet');

  await main.locator('.prices summary').focus();
  await page.keyboard.press('Enter');
  for (const [name, value] of [['weight', '15'], ['feedPrice', '0.4'], ['strawPrice', '3'], ['feedThere', '500']]) {
    c.ok(await tabTo(page, `.prices input[name=${name}]`), `${name}: reached by the keyboard`);
    await page.keyboard.type(value);
  }
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Back to the best' }).waitFor({ timeout: 60000 });
  await page.waitForTimeout(100);
  await page.waitForFunction(() => !/being reckoned/.test(document.querySelector('#main .tryday [role=status]')?.textContent ?? ''), undefined, { timeout: 60000 });
  const same = await asked(page, '/api/season?weight=15kg&feed-price=0.4&straw-price=3&feed-there=500kg&choices=no');
  const text = flat(await main.locator('.needs').innerText());
  c.ok(text.includes(flat(same.growth.says)), 'the weight is taken');
  c.equal(same.needs.feed_there_kg, 500, 'and the feed');
  for (const said of same.needs.says) c.ok(text.includes(flat(said)), said);
  c.ok(same.needs.says.some((x) => x.includes('costs')), 'prices are said');
  await page.getByRole('button', { name: 'Back to the best' }).click();
  c.ok(flat(await main.locator('.needs').innerText()).includes(flat(s.growth.says)), 'and back to the best');
  c.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'nothing runs out of the page');
  c.equal(messages, [], 'no messages');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
