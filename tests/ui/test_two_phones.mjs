// SPDX-License-Identifier: GPL-3.0-or-later
// Two phones out of reach at once, and two pages of one phone with one queue between them: each record once, each phone's own order.
import { openBrowser, openFarm, sizes } from './browser.mjs';
import { counter, listen, notes, queued, until, writeMany, writeNote } from './away_kit.mjs';

const c = counter('two phones');
const browser = await openBrowser();
const house = await openFarm();
const first = await browser.newContext();
const start = await first.newPage();
await start.goto(house.address);
await until(() => start.evaluate(() => document.querySelector('.top .age') !== null), 30000);
const cookies = (await first.cookies()).map(({ name, value }) => ({ name, value, url: house.origin }));
await start.close();
const phone = async (script) => {
  const context = await browser.newContext({ viewport: sizes.phone, timezoneId: 'Europe/London' });
  await context.addCookies(cookies);
  if (script) await context.addInitScript(script);
  return context;
};
const openPage = async (context, name) => {
  const page = await context.newPage();
  listen(page, c, name);
  await page.goto(`${house.origin}/records/note`);
  await page.waitForSelector('form.form textarea', { timeout: 30000 });
  return page;
};
const texts = (head, n) => Array.from({ length: n }, (_, i) => `${head} ${i}`);
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);
const of = (all, head) => all.filter((n) => n.text.startsWith(head)).map((n) => n.text);

/* two phones, both away, both writing, back at the same moment */
const one = await phone(), two = await phone();
const p1 = await openPage(one, 'one'), p2 = await openPage(two, 'two');
await one.setOffline(true); await two.setOffline(true);
await Promise.all([writeMany(p1, texts('one', 25)), writeMany(p2, texts('two', 25))]);
c.check((await queued(p1)).length === 25 && (await queued(p2)).length === 25, 'both keep their own', [(await queued(p1)).length, (await queued(p2)).length]);
await Promise.all([one.setOffline(false), two.setOffline(false)]);
c.check(await until(async () => (await queued(p1)).length === 0 && (await queued(p2)).length === 0, 30000), 'both hand over');
let all = await notes(p1);
c.check(same(of(all, 'one'), texts('one', 25)), 'the first phone: each once, in order', of(all, 'one').length);
c.check(same(of(all, 'two'), texts('two', 25)), 'the second phone: each once, in order', of(all, 'two').length);
c.check(new Set(all.map((n) => n.uid)).size === all.length, 'no mark twice');

/* both in reach, both writing at the same time */
await Promise.all([writeMany(p1, texts('near one', 12)), writeMany(p2, texts('near two', 12))]);
c.check(await until(async () => (await queued(p1)).length === 0 && (await queued(p2)).length === 0, 20000), 'in reach: nothing waits');
all = await notes(p1);
c.check(same(of(all, 'near one'), texts('near one', 12)) && same(of(all, 'near two'), texts('near two', 12)), 'in reach, at the same time: each once, in order', [of(all, 'near one').length, of(all, 'near two').length]);

/* one phone, two pages, one queue; with the browser's locks and without */
for (const [head, script] of [['locks', undefined], ['lease', () => { Object.defineProperty(Navigator.prototype, 'locks', { get: () => undefined }); delete globalThis.BroadcastChannel; }]]) {
  const context = await phone(script), a = await openPage(context, `${head} a`), b = await openPage(context, `${head} b`);
  if (script) c.check(await a.evaluate(() => !navigator.locks && typeof BroadcastChannel === 'undefined'), 'this browser has neither locks nor channels');
  let posts = 0;
  const sent = [];
  context.on('request', (r) => { if (r.url().endsWith('/api/queue')) { posts++; sent.push(...JSON.parse(r.postData()).items.map((i) => i.uid)); } });
  await context.setOffline(true);
  for (let i = 0; i < 8; i++) await writeNote(i % 2 ? a : b, `${head} ${i}`);
  c.check((await queued(a)).length === 8, `${head}: two pages, one queue`, (await queued(a)).length);
  await context.setOffline(false);
  await Promise.all([a.evaluate(() => dispatchEvent(new Event('online'))), b.evaluate(() => dispatchEvent(new Event('online')))]);
  c.check(await until(async () => (await queued(a)).length === 0, 45000), `${head}: handed over`);
  c.check(same(of(await notes(a), head), texts(head, 8)), `${head}: each once, in order`, of(await notes(a), head));
  c.check(new Set(sent).size === sent.length && sent.length === 8, `${head}: only one page hands over`, [posts, sent.length]);
  await context.close();
}

await browser.close();
await house.close();
c.end();
process.exit(process.exitCode ?? 0);
