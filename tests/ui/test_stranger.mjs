// SPDX-License-Identifier: GPL-3.0-or-later
// A page of somebody else's, open in the same browser that is signed in to the farm: it posts forms of all three kinds, fetches,
// beacons, frames, images, scripts, an event stream and a socket at it. Nothing is recorded, nothing can be read. From another
// port of the same address (the same site: the browser sends the session's cookie), from `localhost` (another site), and, in a
// network of its own, against the house open to phones over TLS.
// What a browser lets a strange page do: WHATWG Fetch (CORS, no-cors, Sec-Fetch-Site), HTML (form submission, COOP).
import { spawnSync } from 'node:child_process';
import http from 'node:http';
import { join } from 'node:path';
import { openFarm, sizes } from './browser.mjs';
import { asked, checks, openBrowser, signIn } from './checks.mjs';

const lan = process.argv[2] === 'inside';
const c = checks(lan ? 'stranger, TLS' : 'stranger');
const uid = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (x) => x.toString(16).padStart(2, '0')).join('');

/** A server that gives an empty page at any of its names; `lines`: what reached it. */
const stranger = http.createServer((rq, rs) => { rs.setHeader('Content-Type', 'text/html'); rs.end('<!doctype html><title>A strange page</title><body>'); });
await new Promise((done) => stranger.listen(0, lan ? '0.0.0.0' : '127.0.0.1', done));

/** In the strange page: everything at once, at that house; gives what it could learn. */
async function attack({ house, uids, session }) {
  const learnt = {}, notes = '/api/record/note';
  const fact = (text) => JSON.stringify({ uid: uids.shift(), fact: { text } });
  const wait = (ms) => new Promise((r) => setTimeout(r, ms));
  const frame = (name) => { const f = document.createElement('iframe'); f.name = name; document.body.append(f); return f; };
  const form = (path, enctype, fields, target, method = 'post') => {
    const f = document.createElement('form');
    Object.assign(f, { action: house + path, method, enctype, target });
    for (const [name, value] of fields) { const i = document.createElement('input'); Object.assign(i, { name, value }); f.append(i); }
    document.body.append(f);
    f.submit();
  };
  const frames = ['a', 'b', 'c', 'd', 'e', 'f', 'g'].map(frame);
  const json = fact('a form shaped as JSON');
  form(notes, 'application/x-www-form-urlencoded', [['uid', uids.shift()], ['text', 'a form']], 'a');
  form(notes, 'text/plain', [[`${json.slice(0, -1)},"x":"`, '"}']], 'b');
  form(notes, 'multipart/form-data', [['uid', uids.shift()], ['text', 'a form in parts']], 'c');
  form('/api/undo', 'text/plain', [['{"x":"', '"}']], 'd');
  form('/api/undo', 'application/x-www-form-urlencoded', [], 'e', 'get');
  form('/api/tonight', 'application/x-www-form-urlencoded', [], 'f', 'get');
  frames[6].src = `${house}/records/note`;
  const body = (type) => new Blob([fact(`sent as ${type}`)], { type });
  const attempt = async (name, work) => { try { learnt[name] = await work(); } catch (e) { learnt[name] = `refused: ${e.name}`; } };
  for (const mode of ['no-cors', 'cors']) {
    for (const type of ['text/plain', 'application/x-www-form-urlencoded', 'application/json']) {
      await attempt(`post ${mode} ${type}`, async () => {
        const r = await fetch(house + notes, { method: 'POST', mode, credentials: 'include', headers: { 'Content-Type': type }, body: fact(`${mode} ${type}`) });
        return r.type === 'opaque' ? `opaque ${await r.text()}` : `read ${r.status} ${await r.text()}`;
      });
    }
    for (const path of ['/api/list/note', '/api/tonight', '/api/export', '/api/number', '/openapi.json', '/']) {
      await attempt(`get ${mode} ${path}`, async () => {
        const r = await fetch(house + path, { mode, credentials: 'include' });
        return r.type === 'opaque' ? `opaque ${await r.text()}` : `read ${r.status} ${(await r.text()).slice(0, 80)}`;
      });
    }
    await attempt(`session ${mode}`, async () => {
      const r = await fetch(`${house}/api/session`, { method: 'POST', mode, credentials: 'include', headers: { 'Content-Type': 'text/plain' }, body: session });
      return r.type === 'opaque' ? `opaque ${await r.text()}` : `read ${r.status}`;
    });
  }
  for (const type of ['text/plain', 'application/json']) navigator.sendBeacon(house + notes, body(type));
  await attempt('image', () => new Promise((r) => { const i = new Image(); i.onload = () => r(`read ${i.naturalWidth}`); i.onerror = () => r('refused'); i.src = `${house}/api/field?svg`; }));
  await attempt('icon', () => new Promise((r) => { const i = new Image(); i.onload = () => r(`read ${i.naturalWidth}`); i.onerror = () => r('refused'); i.src = `${house}/icon.svg`; }));
  for (const path of ['/api/tonight', '/api/list/note']) {
    await attempt(`script ${path}`, () => new Promise((r) => { const s = document.createElement('script'); s.onload = () => r('read'); s.onerror = () => r('refused'); s.src = house + path; document.head.append(s); }));
  }
  await attempt('event stream', () => new Promise((r) => { const e = new EventSource(`${house}/api/number`, { withCredentials: true }); e.onmessage = (m) => r(`read ${m.data}`); e.onopen = () => r('read'); e.onerror = () => { e.close(); r('refused'); }; }));
  await attempt('socket', () => new Promise((r) => { const w = new WebSocket(`${house.replace(/^http/, 'ws')}/api/number`); w.onopen = () => r('read'); w.onerror = () => r('refused'); }));
  const seen = window.open(`${house}/records/note`);
  await wait(1500);
  await attempt('window', () => (seen && !seen.closed ? `read ${seen.document.title}` : 'refused: closed to its opener'));
  seen?.close();
  frames.forEach((f, i) => { let d = null; try { d = f.contentDocument; } catch { /* as it should be */ } learnt[`frame ${i}`] = d && d.location.href !== 'about:blank' ? `read ${d.body?.textContent.slice(0, 60)}` : 'refused'; });
  let open = 0;
  try { open = frames[6].contentWindow.length; } catch { open = -1; }
  learnt['frame of the page'] = open > 0 ? `read ${open} frames` : 'refused';
  return learnt;
}

/** From a page at `origin` in that context, against `house`, whose own page `mine` looks on. */
async function tried(context, mine, house, origin, name) {
  const before = { notes: await asked(mine, '/api/list/note'), number: await asked(mine, '/api/number') };
  const page = await context.newPage(), came = [];
  const noted = (r) => { if (r.url().startsWith(house) && r.frame().page() === page) came.push(`${r.request().method()} ${r.status()} ${new URL(r.url()).pathname}`); };
  const note = (r) => { try { noted(r); } catch { /* of a worker or a page that is gone */ } };
  context.on('response', note);
  await page.goto(`${origin}/`);
  const learnt = await page.evaluate(attack, { house, uids: Array.from({ length: 40 }, uid), session: JSON.stringify({ password: 'clean straw tonight', called: 'stranger' }) });
  await page.waitForTimeout(500);
  // a form that takes the whole window along
  await page.evaluate(({ to, id }) => { const f = document.createElement('form'); Object.assign(f, { action: to, method: 'post', enctype: 'text/plain' }); const i = document.createElement('input'); Object.assign(i, { name: `{"uid":"${id}","fact":{"text":"a whole window"},"x":"`, value: '"}' }); f.append(i); document.body.append(f); f.submit(); }, { to: `${house}/api/record/note`, id: uid() });
  await page.waitForURL(`${house}/**`).catch(() => null);
  context.off('response', note);
  const text = await page.evaluate(() => document.body?.textContent ?? '').catch(() => '');
  c.ok(/a page from elsewhere/.test(text), `${name}: a form in the whole window is told why: ${text.slice(0, 90)}`);
  await page.close();
  for (const [what, got] of Object.entries(learnt)) c.ok(/^refused|^opaque $/.test(got), `${name}, ${what}: ${got}`);
  c.ok(Object.keys(learnt).length >= 30, `${name}: ${Object.keys(learnt).length} ways were tried`);
  const posts = came.filter((l) => l.startsWith('POST')), done = came.filter((l) => / 2\d\d \/api\//.test(l));
  c.ok(posts.length >= 5, `${name}: ${posts.length} posts reached the house (${[...new Set(posts)].join(', ')})`);
  c.equal(done, [], `${name}: none was answered`);
  c.equal({ notes: await asked(mine, '/api/list/note'), number: await asked(mine, '/api/number') }, before, `${name}: nothing was recorded or taken back`);
}

/** The same post by the farm's own page is taken: what was refused above was refused for where it came from. */
async function control(mine, name) {
  const code = await mine.evaluate(async (b) => (await fetch('/api/record/note', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: b })).status, JSON.stringify({ uid: uid(), fact: { text: 'by the farm itself' } }));
  c.equal(code, 200, `${name}: the farm\u2019s own page may`);
}

const has = (tool, ...args) => spawnSync(tool, args).status === 0;
const port = stranger.address().port;
const house = await openFarm();
let browser;
try {
  if (lan) {
    for (const args of [['link', 'set', 'lo', 'up'], ['address', 'add', '192.168.7.20/24', 'dev', 'lo']]) if (!has('ip', ...args)) { console.log('skipped: no address of its own to be had'); process.exit(77); }
    const word = spawnSync(house.program, ['--farm', house.path, 'password'], { input: 'clean straw tonight\n', encoding: 'utf8' });
    if (word.status !== 0) throw new Error(word.stderr);
    await house.stop();
    await house.start(['--lan', '--names', 'barn.home.arpa', '--port', new URL(house.origin).port]);
    const authority = join(house.path.replace(/\.leenest$/, '.leenest.door'), 'authority.crt');
    browser = await openBrowser(['--host-resolver-rules=MAP barn.home.arpa 192.168.7.20'], { trust: authority });
    const { context, page } = await signIn(browser, house, { viewport: sizes.laptop });
    const tls = await page.evaluate(async () => { const r = await (await fetch('/api/pair', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: '{}' })).json(); return new URL(r.address).origin; });
    c.ok(/^https:\/\/barn\.home\.arpa:\d+$/.test(tls), `the house is at ${tls}`);
    const mine = await context.newPage();
    await mine.goto(`${tls}/held`);
    c.equal(await mine.evaluate(async () => (await fetch('/api/session', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ password: 'clean straw tonight', called: 'phone' }) })).status), 200, 'signed in over TLS');
    for (const host of ['barn.home.arpa', '192.168.7.20', 'localhost']) await tried(context, mine, tls, `http://${host}:${port}`, `over TLS, from ${host}`);
    await control(mine, 'over TLS');
    await tried(context, page, house.origin, `http://127.0.0.1:${port}`, 'open to phones, on the machine itself');
  } else {
    browser = await openBrowser();
    const { context, page } = await signIn(browser, house, { viewport: sizes.laptop });
    for (const host of ['127.0.0.1', 'localhost']) await tried(context, page, house.origin, `http://${host}:${port}`, `from ${host}`);
    await tried(context, page, house.origin.replace('127.0.0.1', 'localhost'), `http://localhost:${port}`, 'at localhost, from localhost');
    await control(page, 'here');
  }
} finally {
  await browser?.close();
  stranger.close();
  await house.close();
}
let code = c.end();
if (!lan) {
  const net = process.getuid?.() === 0 ? '-n' : '-rn', missing = [['unshare', '--version'], ['ip', '-V'], ['certutil', '-H']].find(([tool, ...args]) => spawnSync(tool, args).error);
  if (missing || !has('unshare', net, 'ip', 'link', 'set', 'lo', 'up')) console.log(`the house open to phones: skipped, no ${missing ? missing[0] : 'network of its own'} here`);
  else {
    const inside = spawnSync('unshare', [net, process.execPath, process.argv[1], 'inside'], { stdio: 'inherit' }).status ?? 1;
    if (inside !== 77) code ||= inside;
  }
}
process.exit(code);
