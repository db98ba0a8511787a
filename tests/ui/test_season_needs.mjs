// SPDX-License-Identifier: GPL-3.0-or-later
// What a season wants, on the page as the house says it: the sentences, the table by four weeks against the weeks it is made of, on a phone
// folded and opened by the keyboard, on a laptop open.
import { asked, checks, looks, open, openBrowser, signIn } from './checks.mjs';
import { openFarm, sizes } from './browser.mjs';

const c = checks('season needs');
const browser = await openBrowser(), house = await openFarm();
try {
  const { page, messages } = await signIn(browser, house, { timezoneId: 'Europe/London' });
  await open(page, house, 'season');
  const s = await asked(page, '/api/season'), main = page.locator('#main .needs');
  const flat = (t) => t.replace(/[\s\u00a0\u2009\u202f]+/g, ' ');
  const text = flat(await main.innerText());
  c.ok(text.includes(flat(s.growth.says)), 'what a pig weighs');
  c.equal(await main.locator('.plainlist li').count(), s.needs.says.length, 'every sentence of what has to be there');
  for (const said of s.needs.says) c.ok(text.includes(flat(said)), said);
  c.ok(s.needs.by_week.length > 10, 'weeks from the boar to the last sale');
  const closed = main.locator('details');
  c.equal(await closed.getAttribute('open'), null, 'folded on a phone');
  await closed.locator('summary').focus();
  await page.keyboard.press('Enter');
  await main.locator('tbody tr').first().waitFor({ state: 'visible' });
  c.equal(await main.locator('tbody tr').count(), Math.ceil(s.needs.by_week.length / 4), 'a row for four weeks');
  const kg = (await main.locator('td[data-l="feed for sows"]').allInnerTexts()).map((t) => Number(t.replace(/[^\d]/g, '')));
  c.ok(Math.abs(kg.reduce((a, b) => a + b, 0) - s.needs.sow_feed_kg) < kg.length, 'the rows add up to what the house says', kg.join(' '));
  const first = s.needs.by_week.slice(0, 4), dry = first.reduce((n, w) => n + w.dry * w.days, 0) / first.reduce((n, w) => n + w.days, 0);
  c.equal(await main.locator('td[data-l="sows dry"]').first().innerText(), dry.toFixed(1), 'heads are means over the days');
  await looks(c, page, house, 'season');
  await page.setViewportSize(sizes.laptop ?? { width: 1280, height: 800 });
  await open(page, house, 'round');
  await open(page, house, 'season');
  c.ok((await page.locator('#main .needs details').getAttribute('open')) !== null, 'open on a laptop');
  const heavier = await asked(page, '/api/season?weight=15kg');
  c.ok(heavier.growth.age_d > s.growth.age_d && heavier.needs.pig_feed_kg > s.needs.pig_feed_kg, 'a heavier pig is older and eats longer');
  c.equal(messages, [], 'no messages');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
