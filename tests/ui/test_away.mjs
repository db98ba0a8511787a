// SPDX-License-Identifier: GPL-3.0-or-later
// Out of reach: the house killed, the road cut in the middle of a request, the clock wrong, the page renewed, the session ended.
// What must hold is our own promise: each record in the farm file exactly once, in the order and with the hour it was made.
import { createRequire } from 'node:module';
import { axe, openBrowser, openFarm, sizes } from './browser.mjs';
import { api, bars, counter, listen, notes, openRoad, queued, until, writeMany, writeNote } from './away_kit.mjs';

const jsqr = createRequire(import.meta.url)('jsqr');
const readCode = jsqr.default ?? jsqr;
const c = counter('away');
const browser = await openBrowser();
const house = await openFarm();
const port = new URL(house.origin).port;
const startAgain = () => house.start(['--port', port]);
const openPhone = async (how = {}) => {
  const context = await browser.newContext({ viewport: sizes.phone, timezoneId: 'Europe/London', ...how });
  return context;
};
const openPage = async (context, address, name) => {
  const page = await context.newPage();
  listen(page, c, name);
  await page.goto(address);
  return page;
};
const signIn = async (context) => { // the start key serves once: every start has a new one
  const page = await context.newPage();
  await page.goto(house.address);
  await until(() => page.evaluate(() => document.querySelector('.top .age') !== null));
  await page.close();
};
const textOf = (list, head) => list.filter((n) => n.text.startsWith(head)).map((n) => n.text);
const inOrder = (got, wanted) => JSON.stringify(got) === JSON.stringify(wanted);
const newUid = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (x) => x.toString(16).padStart(2, '0')).join('');

/* ---- an installed page, the house killed */
const phone = await openPhone();
await signIn(phone);
const page = await openPage(phone, `${house.origin}/records/note`, 'installed');
await page.waitForSelector('form.form textarea');
c.check(await until(() => page.evaluate(() => !!navigator.serviceWorker.controller), 60000), 'a worker holds the page');
await writeNote(page, 'reach 1');
c.check(await until(async () => textOf(await notes(page), 'reach').length === 1), 'a record in reach arrives at once');
c.check((await queued(page)).length === 0, 'and nothing of it stays in the queue');
// What the page brings here by itself while in reach.
await until(async () => (await page.evaluate(() => new Promise((res) => { const r = indexedDB.open('leenest', 1); r.onsuccess = () => { const q = r.result.transaction('answers').objectStore('answers').getAllKeys(); q.onsuccess = () => { r.result.close(); res(q.result.some((k) => k.startsWith('/api/list/note?'))); }; }; }))), 20000);

await house.stop('SIGKILL');
const began = Date.now();
await writeNote(page, 'away 0');
c.check(await until(async () => /1.record waits on this device/.test(await bars(page))), 'one record waits, and the bar says so', await bars(page));
c.check(await until(async () => /out of reach since \d\d:\d\d/i.test(await bars(page))), 'and since when the house is out of reach', await bars(page));
c.check(/safe here/.test(await bars(page)), 'and that it is safe here, the page being held by a worker');
await page.reload();
await page.waitForSelector('form.form textarea', { timeout: 20000 });
c.check(/1.record waits/.test(await bars(page)), 'loaded anew with the house gone: the page opens, the record still waits');
c.check(await until(async () => /What you see is from \d\d:\d\d/.test(await bars(page))), 'and says of when its answer is', await bars(page));
c.check((await page.locator('main').innerText()).includes('reach 1'), 'the last answer is shown');

const many = Array.from({ length: 200 }, (_, i) => `away ${i + 1}`), few = many.slice(0, 6);
/* ---- square codes, with a few that wait */
await writeMany(page, few);
await page.goto(`${house.origin}/waiting`);
await page.waitForSelector('h1');
await until(async () => (await page.locator('main li.fact').count()) === 7);
await page.getByRole('button', { name: 'Show as square code' }).click();
const codes = [];
for (;;) { // read from the screen's own path, by a reader of square codes that is none of ours (jsQR, ISO/IEC 18004)
  const which = await page.locator('#carry-which').innerText(), m = /Code (\d+) of (\d+)/.exec(which);
  const drawn = await page.locator('svg.carry').evaluate((s) => ({ d: s.querySelector('path').getAttribute('d'), size: s.viewBox.baseVal.width }));
  const k = 4, n = drawn.size * k, px = new Uint8ClampedArray(n * n * 4).fill(255);
  for (const r of drawn.d.matchAll(/M(\d+) (\d+)h(\d+)/g)) for (let x = k * r[1]; x < k * (+r[1] + +r[3]); x++) for (let y = k * r[2]; y < k * (+r[2] + 1); y++) px.fill(0, 4 * (y * n + x), 4 * (y * n + x) + 3);
  codes.push(readCode(px, n, n)?.data);
  if (m[1] === m[2] || codes.length > 60) break;
  await page.getByRole('button', { name: 'Next code' }).evaluate((b) => b.click());
}
c.check(codes.every((t) => t?.startsWith('leenest records ')) && codes.join('\n').match(/"uid"/g)?.length === 7, `all records in ${codes.length} square codes, each read back`, codes.filter((t) => !t).length);

await page.goto(`${house.origin}/records/note`);
await page.waitForSelector('form.form textarea');

await writeMany(page, many.slice(6));
c.check(await until(async () => /201.records wait/.test(await bars(page)), 20000), '201 records wait', await bars(page));
await writeNote(page, 'drop me');
await page.locator('.saidline button').click();
c.check(await until(async () => /201.records wait/.test(await bars(page)) && !(await queued(page)).some((w) => w.fact.text === 'drop me')), 'undo of one that waits drops it', (await queued(page)).length);

/* ---- the page of what waits */
await page.goto(`${house.origin}/waiting`);
await page.waitForSelector('h1');
c.check(await until(async () => (await page.locator('main li.fact').count()) === 201), 'each one is listed', await page.locator('main li.fact').count());
c.check((await axe(page)).length === 0, 'axe: what waits', await axe(page));
await page.getByRole('button', { name: 'Show as text' }).click();
const carried = await page.locator('#carry-text').inputValue();
c.check(carried.startsWith('leenest records 1 of 1 ') && carried.split('\n').length === 202, 'shown as text', carried.slice(0, 60));
/* ---- the house is back */
await startAgain();
const handed = await until(async () => /201.are in the farm file/.test(await bars(page)), 20000, 60);
c.check(handed, 'handed over, and said so', await bars(page));
const got = await notes(page), away = got.filter((n) => n.text.startsWith('away'));
c.check(inOrder(away.map((n) => n.text), ['away 0', ...many]), '201 records in order, each once', away.length);
c.check(away.every((n, i) => Date.parse(n.recorded) >= began - 1000 && Date.parse(n.recorded) <= Date.now() && (i === 0 || Date.parse(n.recorded) >= Date.parse(away[i - 1].recorded))), 'with the hour they were made');
c.check(await until(async () => (await queued(page)).length === 0 && !/wait/.test(await bars(page)), 15000), 'nothing waits any more; the bar goes', await bars(page));

/* ---- carried over by hand: what went over already is written once */
await page.goto(`${house.origin}/waiting`);
await page.waitForSelector('#carried');
await page.fill('#carried', carried);
await page.getByRole('button', { name: 'Read them in' }).click();
c.check(await until(async () => (await queued(page)).length === 0 && /201.records read/.test(await page.locator('main').innerText()), 15000), 'text carried over is read in');
c.check((await notes(page)).length === got.length, 'and nothing is written twice');
await page.fill('#carried', [...codes].reverse().join('\n'));
await page.getByRole('button', { name: 'Read them in' }).click();
c.check(await until(async () => /7.records read/.test(await page.locator('main').innerText()) && (await queued(page)).length === 0), 'square codes too, in any order');
await page.fill('#carried', codes[0].replace('away 1', 'away 9'));
await page.getByRole('button', { name: 'Read them in' }).click();
c.check(await until(async () => /did not come over whole/.test(await page.locator('main').innerText())), 'a damaged part is refused');
if (codes.length > 1) c.check(/Part 2 of \d+ is still missing/.test(await page.locator('main').innerText()), 'and a missing one is named');

/* ---- not taken: shown until it was read, kept in the house */
const crc = await (await import('node:zlib')).crc32;
const part = (items) => { const lines = items.map((i) => JSON.stringify(i)).join('\n'); return `leenest records 1 of 1 ${(crc(lines) >>> 0).toString(16).padStart(8, '0')}\n${lines}`; };
const first = away[0];
await page.fill('#carried', part([
  { n: 1, kind: 'look', uid: newUid(), recorded: new Date().toISOString(), fact: { sow: 'Nobody of that name' } },
  { n: 2, kind: 'note', uid: first.uid, recorded: first.recorded, fact: { text: 'another text under the same mark' } },
  { n: 3, kind: 'note', uid: newUid(), recorded: new Date().toISOString(), fact: { text: 'behind them' } },
]));
await page.getByRole('button', { name: 'Read them in' }).click();
c.check(await until(async () => /did not take 2.records/.test(await bars(page))), 'refused on arrival: the bar says so', await bars(page));
c.check(textOf(await notes(page), 'behind them').length === 1, 'what comes behind them arrives');
c.check((await notes(page)).find((n) => n.uid === first.uid)?.text === 'away 0', 'a conflict overwrites nothing');
c.check((await api(page, '/api/held')).held.length === 2, 'the house holds both', (await api(page, '/api/held')).held.length);
await page.reload();
await page.waitForSelector('#carried');
c.check(await until(async () => (await page.getByRole('button', { name: 'I have read it' }).count()) === 2), 'their sentences stay until they were read');
c.check((await axe(page)).length === 0, 'axe: not taken', await axe(page));
await page.getByRole('button', { name: 'I have read it' }).first().click();
await until(async () => (await page.getByRole('button', { name: 'I have read it' }).count()) === 1);
await page.getByRole('button', { name: 'I have read it' }).first().click();
c.check(await until(async () => (await queued(page)).length === 0), 'read: gone from this device');

/* ---- the road cut in the middle, after the house has written it down */
const road = await openRoad(house.origin);
const cookies = (await phone.cookies()).map(({ name, value }) => ({ name, value, url: road.origin }));
const far = await openPhone();
await far.addCookies(cookies);
const cut = await openPage(far, `${road.origin}/records/note`, 'cut');
await cut.waitForSelector('form.form textarea');
for (const how of ['cut', 'half']) {
  road.how = (p, method) => (method === 'POST' && p.startsWith('/api/record/') ? how : undefined);
  await writeNote(cut, `${how} record`);
  road.how = () => undefined;
  c.check(await until(async () => (await queued(cut)).length === 0), `${how} after it was written: handed over again`);
  c.check(textOf(await notes(cut), `${how} record`).length === 1, `${how}: there once`);
}
road.how = () => 'gone';
await writeMany(cut, Array.from({ length: 12 }, (_, i) => `queue ${i}`));
let cuts = 0;
road.how = (p) => (p === '/api/queue' && cuts++ < 2 ? 'cut' : undefined);
c.check(await until(async () => (await queued(cut)).length === 0, 30000), 'a queue whose answer is lost twice is handed over in the end');
c.check(inOrder(textOf(await notes(cut), 'queue'), Array.from({ length: 12 }, (_, i) => `queue ${i}`)) && cuts > 2, 'each once, in order', textOf(await notes(cut), 'queue'));
// Taken back while nobody knows whether it arrived: it must not stand in the end.
road.how = (p, method) => (method === 'POST' ? 'cut' : undefined);
await writeNote(cut, 'taken back');
road.how = () => 'gone';
await cut.locator('.saidline button').click();
await until(async () => (await queued(cut)).some((w) => w.what === 'undo'));
c.check((await queued(cut)).every((w) => w.what === 'undo'), 'taken back after a cut: that it be undone waits too', await queued(cut));
road.how = () => undefined;
c.check(await until(async () => (await queued(cut)).length === 0 && textOf(await notes(cut), 'taken back').length === 0, 20000), 'and it stands no more', textOf(await notes(cut), 'taken back'));
// Nobody answers at all: a page at the edge of the network does not hang.
road.how = (p, method) => (method === 'POST' ? 'hang' : undefined);
const t0 = Date.now();
await writeNote(cut, 'edge');
c.check(Date.now() - t0 < 14000, 'a house that hangs is given up within 14 s', Date.now() - t0);
road.how = () => undefined;
c.check(await until(async () => textOf(await notes(cut), 'edge').length === 1 && (await queued(cut)).length === 0, 20000), 'and has it afterwards, once');
// Something else answers there: a log-in page of a hotel is not the house.
road.how = () => undefined;
road.change = (p) => (p.startsWith('/api/') ? '<!doctype html><title>Welcome</title>' : undefined);
await writeNote(cut, 'hotel');
c.check((await queued(cut)).length === 1, 'what answers in another tongue is not the house');
road.change = undefined;
c.check(await until(async () => textOf(await notes(cut), 'hotel').length === 1 && (await queued(cut)).length === 0, 20000), 'and the house gets it later, once');
// The browser itself is off the air.
await far.setOffline(true);
await writeNote(cut, 'off the air');
c.check(await until(async () => /1.record waits/.test(await bars(cut))), 'off the air: it waits');
await far.setOffline(false);
c.check(await until(async () => textOf(await notes(cut), 'off the air').length === 1), 'on the air: it is there');

/* ---- a wrong clock */
const late = await openPhone();
await late.addCookies(cookies);
await late.addInitScript(() => {
  const real = Date; let off = 37 * 60000;
  globalThis.turnClock = (ms) => { off = ms; };
  globalThis.Date = class extends real { constructor(...a) { if (a.length) super(...a); else super(real.now() + off); } static now() { return real.now() + off; } };
});
const wrong = await openPage(late, `${road.origin}/records/note`, 'clock');
await wrong.waitForSelector('form.form textarea');
c.check(await until(async () => /clock of this device is 37.min ahead/.test(await bars(wrong))), 'a clock 37 minutes ahead is said', await bars(wrong));
road.how = () => 'gone';
await writeNote(wrong, 'clock a');
await wrong.evaluate(() => turnClock(-3 * 3600e3));
await writeNote(wrong, 'clock b');
await wrong.evaluate(() => turnClock(37 * 60000));
await writeNote(wrong, 'clock c');
road.how = () => undefined;
c.check(await until(async () => (await queued(wrong)).length === 0, 20000), 'records of a wrong clock are handed over', await queued(wrong));
const clocked = (await notes(wrong)).filter((n) => n.text.startsWith('clock'));
c.check(inOrder(clocked.map((n) => n.text), ['clock a', 'clock b', 'clock c']), 'in the order they were made, whatever the clock said', clocked.map((n) => n.text));
c.check(clocked.length === 3 && Date.parse(clocked[1].recorded) < Date.parse(clocked[0].recorded), 'with the hours that it said', clocked.map((n) => n.recorded));
c.check(/"clock":"/.test(road.seen.filter((s) => s.path === '/api/queue').at(-1)?.body ?? ''), 'the clock goes with the queue');
await late.close();

/* ---- a newer page */
await until(() => cut.evaluate(() => !!navigator.serviceWorker.controller));
road.how = () => undefined;
let renewed = false;
road.change = (p, body) => {
  if (!renewed) return undefined;
  if (p === '/sw.js') return body.replace(/"[0-9a-f]{12}"/, '"renewed00000"');
  if (p === '/app.css') return `${body}\n:root{--renewed:1}`;
  if (p === '/api/number') return body.replace(/"build": ?"[^"]*"/, '"build":"renewed00000"');
  if (p === '/api/queue') return 'not now';
  return undefined;
};
road.how = (p) => (p.startsWith('/api/') ? 'gone' : undefined);
await writeNote(cut, 'over the renewal');
await cut.locator('form.form textarea').first().fill('half a sentence');
renewed = true;
road.how = (p) => (p === '/api/queue' ? 'gone' : undefined);
const newerPage = cut.getByRole('button', { name: 'Newer page: show' });
c.check(await until(async () => (await newerPage.count()) === 1, 30000), 'a newer page is offered, not forced');
c.check((await cut.locator('form.form textarea').first().inputValue()) === 'half a sentence' && (await queued(cut)).length === 1, 'nothing is lost meanwhile');
await newerPage.click();
c.check(await until(() => cut.evaluate(() => getComputedStyle(document.documentElement).getPropertyValue('--renewed') === '1').catch(() => false)), 'then the newer page is there');
c.check((await queued(cut)).length === 1 && await until(async () => /1.record waits/.test(await bars(cut))), 'and the record still waits');
c.check((await cut.evaluate(async () => (await caches.keys()).filter((k) => k.startsWith('leenest-page-')).length)) <= 2, 'older shells go');
c.check(await cut.evaluate(async () => { for (const k of await caches.keys()) for (const r of await (await caches.open(k)).keys()) if (new URL(r.url).pathname.startsWith('/api/')) return false; return true; }), 'the worker holds no answers');
road.change = undefined; renewed = false; road.how = () => undefined;
c.check(await until(async () => textOf(await notes(cut), 'over the renewal').length === 1 && (await queued(cut)).length === 0, 20000), 'and goes over, once');
await far.close();

/* ---- plain http under another name: no worker, no locks, no randomUUID; the page left open */
const other = await openBrowser(['--host-resolver-rules=MAP farm.test 127.0.0.1']);
const plainContext = await other.newContext({ viewport: sizes.phone });
const plainOrigin = `http://farm.test:${road.port}`;
await plainContext.addCookies(cookies.map(({ name, value }) => ({ name, value, url: plainOrigin })));
const plain = await openPage(plainContext, `${plainOrigin}/records/note`, 'plain');
await plain.waitForSelector('form.form textarea');
c.check(await plain.evaluate(() => !isSecureContext && !navigator.serviceWorker && !navigator.locks && !crypto.randomUUID), 'this is no secure context');
road.how = () => 'gone';
await writeNote(plain, 'plain 1');
await writeNote(plain, 'plain 2');
c.check(await until(async () => /2.records wait on this device[\s\S]*Leave this page open/.test(await bars(plain))), 'records wait; the page is to be left open', await bars(plain));
const asked = plain.waitForEvent('dialog', { timeout: 10000 }).then(async (d) => { const t = d.type(); await d.dismiss(); return t; }, () => 'none');
await plain.close({ runBeforeUnload: true });
c.check((await asked) === 'beforeunload', 'closing it is asked about');
const second = await openPage(plainContext, `${plainOrigin}/records/note`, 'plain second').catch(() => undefined);
road.how = () => undefined;
if (second) await second.goto(`${plainOrigin}/records/note`);
c.check(await until(async () => (await queued(plain)).length === 0, 40000), 'without locks too they go over');
c.check(inOrder(textOf(await notes(plain), 'plain'), ['plain 1', 'plain 2']), 'each once, in order, from two open pages', textOf(await notes(plain), 'plain'));
await other.close();

/* ---- the session ended */
const owner = await openPhone();
await signIn(owner).catch(() => undefined);
const kitchen = await openPage(owner, `${house.origin}/records/note`, 'kitchen');
await kitchen.waitForSelector('form.form textarea');
await phone.setOffline(true);
await page.goto(`${house.origin}/records/note`);
await page.waitForSelector('form.form textarea');
await writeNote(page, 'while signed out');
const set = await api(kitchen, '/api/password', { password: 'sedge and sorrel 7' });
c.check(set.code === 200, 'a password is set; all other sessions end', set);
await phone.setOffline(false);
c.check(await until(async () => (await page.locator('h1').innerText()) === 'Sign in', 20000), 'the page says that it was signed out');
c.check(/1.record waits/.test(await page.locator('main').innerText()) && (await queued(page)).length === 1, 'and what waits stays');
c.check((await axe(page)).length === 0, 'axe: sign in', await axe(page));
c.check(await page.evaluate(() => new Promise((res) => { const r = indexedDB.open('leenest', 1); r.onsuccess = () => { const q = r.result.transaction('answers').objectStore('answers').count(); q.onsuccess = () => { r.result.close(); res(q.result); }; }; })) === 0, 'answers that were kept are forgotten');
await page.fill('#signin-password', 'not the password');
await page.getByRole('button', { name: 'Sign in' }).click();
c.check(await until(async () => /not the password/.test(await page.locator('#signin-trouble').innerText())), 'a wrong password is said');
await page.fill('#signin-password', 'sedge and sorrel 7');
await page.getByRole('button', { name: 'Sign in' }).click();
await page.waitForSelector('form.form textarea', { timeout: 20000 });
c.check(await until(async () => (await queued(page)).length === 0 && textOf(await notes(page), 'while signed out').length === 1, 20000), 'signed in: it goes over, once');

road.close();
await browser.close();
await house.close();
c.end();
process.exit(process.exitCode ?? 0);
