// SPDX-License-Identifier: GPL-3.0-or-later
// Live: what one device records shows on another within 30 seconds without a reload; a reader who has scrolled or is writing is
// not disturbed; a second page of the same browser sees it at once.
import { openBrowser, openFarm, sizes } from './browser.mjs';
import { api, counter, listen, until, writeNote } from './away_kit.mjs';

const c = counter('live');
const browser = await openBrowser();
const house = await openFarm();
const open = async (viewport, name) => {
  const context = await browser.newContext({ viewport, timezoneId: 'Europe/London' });
  const cookies = await browser.contexts()[0]?.cookies() ?? [];
  if (cookies.length) await context.addCookies(cookies.map(({ name: n, value }) => ({ name: n, value, url: house.origin })));
  const page = await context.newPage();
  listen(page, c, name);
  return { context, page };
};
const a = await open(sizes.laptop, 'kitchen');
await a.page.goto(house.address);
await until(() => a.page.evaluate(() => document.querySelector('.top .age') !== null), 30000);
await a.page.goto(`${house.origin}/records/note`);
await a.page.waitForSelector('form.form textarea', { timeout: 30000 });
const b = await open(sizes.phone, 'field');
await b.page.goto(`${house.origin}/records/note`);
await b.page.waitForSelector('form.form textarea', { timeout: 30000 });
// Every page has asked once for what it shows; from here on no page is loaded anew.
await a.page.evaluate(() => {
  window.mark = 1;
  window.gone = 0;
  new MutationObserver(() => { const h = document.querySelector('h1'); if (!h || h.textContent !== 'Notes') window.gone++; }).observe(document.getElementById('app'), { childList: true, subtree: true, characterData: true });
});
const sees = (page, text) => page.evaluate((t) => document.querySelector('#find')?.textContent.includes(t), text);

const t0 = Date.now();
await writeNote(b.page, 'seen from afar');
c.check(await until(() => sees(a.page, 'seen from afar'), 30000), 'recorded on one device, seen on the other within 30 s', Date.now() - t0);
console.log(`seen after ${((Date.now() - t0) / 1000).toFixed(1)} s`);
c.check((await a.page.evaluate(() => window.mark)) === 1, 'without a reload');
c.check((await a.page.evaluate(() => window.gone)) === 0, 'and the page never went blank meanwhile');

/* a second page of the same browser: at once */
const twin = await a.context.newPage();
listen(twin, c, 'twin');
await twin.goto(`${house.origin}/records/note`);
await twin.waitForSelector('form.form textarea', { timeout: 30000 });
await until(() => sees(twin, 'seen from afar'), 20000);
const t1 = Date.now();
await writeNote(twin, 'seen next to it');
c.check(await until(() => sees(a.page, 'seen next to it'), 14000), 'a second page of the same browser sees it before its next turn', Date.now() - t1);

/* at once when the page is looked at again */
await api(b.page, '/api/record/note', { uid: Array.from(crypto.getRandomValues(new Uint8Array(16)), (x) => x.toString(16).padStart(2, '0')).join(''), fact: { text: 'on coming back' } });
const t2 = Date.now();
await a.page.evaluate(() => dispatchEvent(new Event('focus')));
c.check(await until(() => sees(a.page, 'on coming back'), 12000), 'asked at once when it is looked at again', Date.now() - t2);

/* who writes is not disturbed */
await a.page.locator('form.form textarea').first().fill('half a senten');
await a.page.locator('form.form textarea').first().focus();
await writeNote(b.page, 'while writing');
const show = a.page.getByRole('button', { name: 'Newer answer: show' });
c.check(await until(async () => (await show.count()) === 1, 30000), 'to who writes a newer answer is offered');
c.check(!(await sees(a.page, 'while writing')), 'and not put in front of them');
c.check(await a.page.evaluate(() => document.activeElement.tagName === 'TEXTAREA' && document.activeElement.value === 'half a senten'), 'words and cursor stay');
await show.click();
c.check(await until(() => sees(a.page, 'while writing')), 'shown on a tap');
c.check(await a.page.evaluate(() => document.querySelector('form.form textarea').value === 'half a senten'), 'and the words still stand');
c.check((await until(async () => (await show.count()) === 0)) === true, 'then nothing is offered any more');

/* who has scrolled is not moved */
await a.page.evaluate(() => { document.activeElement.blur(); scrollTo(0, 400); });
const y = await a.page.evaluate(() => scrollY), topOf = () => a.page.evaluate(() => document.querySelector('#find h2').getBoundingClientRect().top), stood = await topOf();
await writeNote(b.page, 'while reading');
c.check(y > 40 && await until(async () => (await show.count()) === 1, 30000), 'to who has scrolled a newer answer is offered', y);
c.check(Math.abs((await topOf()) - stood) < 1 && !(await sees(a.page, 'while reading')), 'nothing moves', [stood, await topOf()]);
c.check(await show.evaluate((s) => { const r = s.getBoundingClientRect(); return r.top >= 0 && r.bottom <= innerHeight; }), 'the offer is in sight');
await show.click();
c.check(await until(() => sees(a.page, 'while reading')), 'shown on a tap');
c.check(await a.page.evaluate(() => window.mark) === 1 && await a.page.evaluate(() => window.gone) === 0, 'all of it without a reload and without a blank page');

await browser.close();
await house.close();
c.end();
process.exit(process.exitCode ?? 0);
