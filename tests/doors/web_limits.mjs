// SPDX-License-Identifier: GPL-3.0-or-later
// The web door's limits, each line of the list: who may ask, from where, how much, how slowly, in what form.
import net from 'node:net';
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { dirname } from 'node:path';
import { spawnSync } from 'node:child_process';
import { check, farm, finish, leenest, pause, same, serve } from './web.mjs';

const path = farm();
const s = await serve(path);
const other = await serve(farm(false));

// --- loopback alone
const listening = spawnSync('ss', ['-ltnp'], { encoding: 'utf8' });
if (listening.status === 0) {
  const lines = listening.stdout.split('\n').filter((l) => l.includes(`:${s.port} `));
  check(lines.length >= 1, 'it listens');
  for (const l of lines) check(/\s(127\.0\.0\.1|\[::1\]):/.test(l), `loopback alone: ${l}`);
} else {
  const table = readFileSync('/proc/net/tcp', 'utf8').split('\n').filter((l) => l.split(/\s+/)[2]?.endsWith(`:${s.port.toString(16).toUpperCase().padStart(4, '0')}`) && l.split(/\s+/)[4] === '0A');
  check(table.length >= 1, 'it listens');
  for (const l of table) same(l.split(/\s+/)[2].split(':')[0], '0100007F', 'loopback alone');
}
if (existsSync('/proc/net/if_inet6')) {
  const r = await s.ask('/api/session', { at: '::1', headers: { Host: `[::1]:${s.port}` } });
  same(r.code, 200, '::1 answers');
}

// --- who asks
same((await s.ask('/api/number')).code, 401, 'without a session');
same((await s.ask('/api/number', { headers: { Cookie: 'leenest_session=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA' } })).code, 401, 'with a made-up session');
same((await s.post('/api/session', { key: 'A'.repeat(43) })).code >= 400, true, 'a wrong key');
const entered = await s.enter();
same(entered.code, 200, 'the key opens');
const cookie = entered.headers['set-cookie'][0];
check(/^leenest_session=[\w-]{43}; Path=\/; Max-Age=\d+; HttpOnly; SameSite=Strict$/.test(cookie), `the cookie: ${cookie.replace(/=[\w-]{43}/, '=...')}`);
check((await s.post('/api/session', { key: s.key }, { headers: { Cookie: null } })).code >= 400, 'the key works once');
same((await s.ask('/api/number')).code, 200, 'with the session');

// --- names of the host
for (const host of ['evil.example', 'localhost.evil.example', `127.0.0.1:${other.port}`, '127.0.0.1', `127.0.0.1:${s.port}.evil.example`, `evil.example:${s.port}`, `127.0.0.1:${s.port}@evil.example`, `127.0.0.1:0${s.port}`])
  for (const p of ['/', '/api/number']) same((await s.ask(p, { headers: { Host: host } })).code, 421, `Host ${host} at ${p}`);
for (const host of [`127.0.0.1:${s.port}`, `localhost:${s.port}`, `LOCALHOST:${s.port}`, `[::1]:${s.port}`])
  same((await s.ask('/api/number', { headers: { Host: host } })).code, 200, `Host ${host}`);
const line = (got) => Number(/^HTTP\/1\.[01] (\d+)/.exec(got)?.[1] ?? 0);
check([400, 421].includes(line(await s.raw('GET / HTTP/1.1\r\nConnection: close\r\n\r\n'))), 'no Host');
check([400, 421].includes(line(await s.raw(`GET / HTTP/1.1\r\nHost: ${s.host}\r\nHost: evil.example\r\nConnection: close\r\n\r\n`))), 'two Hosts');
same(line(await s.raw(`GET http://evil.example/ HTTP/1.1\r\nHost: ${s.host}\r\nConnection: close\r\n\r\n`)) >= 400, true, 'a whole address as the path');

// --- one connection serves one question after another (RFC 9112, 9.3); after a body nobody reads it ends, so that the body is no question
const question = (p, more = '') => `GET ${p} HTTP/1.1\r\nHost: ${s.host}\r\nCookie: ${s.cookie}\r\n${more}\r\n`;
const codes = (got) => [...got.matchAll(/^HTTP\/1\.1 (\d+)/gm)].map((m) => m[1]).join(' ');
same(codes(await s.raw(question('/api/number') + question('/nothing.js') + question('/api/nothing') + question('/', 'Connection: close\r\n'))), '200 404 404 200', 'four questions over one connection');
const hidden = question('/api/number');
for (const [p, code] of [['/api/number', '400'], ['/', '200']]) same(codes(await s.raw(question(p, `Content-Length: ${hidden.length}\r\n`) + hidden)), code, `the body sent with ${p} is no question`);

// --- from where
const looking = { uid: '00000000000000000000000000000001', fact: { name: 'trial', value: '1' } };
const before = (await s.ask('/api/number')).json.number;
for (const site of ['cross-site', 'same-site', 'none']) same((await s.post('/api/record/setting', looking, { headers: { 'Sec-Fetch-Site': site } })).code, 403, `POST from ${site}`);
same((await s.post('/api/record/setting', looking, { headers: { 'Sec-Fetch-Site': null } })).code, 403, 'POST from nowhere');
for (const origin of ['http://evil.example', `http://127.0.0.1:${other.port}`, 'null', `https://127.0.0.1:${s.port}`, `http://127.0.0.1:${s.port}0`])
  same((await s.post('/api/record/setting', looking, { headers: { 'Sec-Fetch-Site': null, Origin: origin } })).code, 403, `POST with Origin ${origin}`);
for (const site of ['cross-site', 'same-site']) same((await s.ask('/api/number', { headers: { 'Sec-Fetch-Site': site } })).code, 403, `GET from ${site}`);
for (const type of ['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data; boundary=x', 'application/jsonp', 'text/json', ''])
  same((await s.post('/api/record/setting', looking, { headers: { 'Content-Type': type } })).code, 415, `POST as ${type}`);
same((await s.ask('/api/number')).json.number, before, 'nothing was recorded by any of these');

// --- GET changes nothing; other methods
for (const p of ['/api/record/animal', '/api/undo', '/api/restore', '/api/password', '/api/pair/yes', '/api/session/end']) {
  const r = await s.ask(p);
  check([404, 405].includes(r.code), `GET ${p}: ${r.code}`);
}
for (const m of ['PUT', 'DELETE', 'OPTIONS', 'TRACE', 'PATCH', 'PROPFIND']) {
  const r = await s.ask('/api/number', { method: m });
  check([405, 400, 501].includes(r.code), `${m}: ${r.code}`);
}
same((await s.ask('/api/number', { method: 'HEAD' })).text, '', 'HEAD has no body');
same((await s.post('/', {})).code, 405, 'POST to a page');
same((await s.ask('/api/number')).json.number, before, 'GET changed nothing');

// --- headers on every reply, errors too
const wanted = { 'content-security-policy': /^default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'$/,
  'x-content-type-options': /^nosniff$/, 'referrer-policy': /^no-referrer$/, 'cross-origin-resource-policy': /^same-origin$/, 'cross-origin-opener-policy': /^same-origin$/ };
for (const [p, o] of [['/', {}], ['/index.html', {}], ['/nothing.js', {}], ['/api/number', {}], ['/api/nothing', {}], ['/api/due?x=1', {}], ['/api/number', { headers: { Cookie: null } }],
  ['/api/number', { headers: { Host: 'evil.example' } }], ['/api/number', { headers: { 'Sec-Fetch-Site': 'cross-site' } }], ['/api/number', { method: 'PUT' }], [`/${'x'.repeat(3000)}`, {}], ['/api/undo', { method: 'POST' }], ['/%zz', {}]]) {
  const r = await s.ask(p, o);
  for (const h of Object.keys(wanted)) check(wanted[h].test(r.headers[h] ?? ''), `${p.slice(0, 30)} (${r.code}) has ${h}: ${r.headers[h]}`);
}

// --- sizes
same((await s.ask(`/${'x'.repeat(2100)}`)).code, 414, 'an address of 2,100 bytes');
same((await s.ask(`/${'x'.repeat(2000)}`)).code, 200, 'an address of 2,000 bytes is a page');
same((await s.post('/api/record/setting', `{"uid":"${'1'.repeat(200000)}"}`)).code, 413, 'a body of 200 kB');
check([413, 431, 400, 0].includes(line(await s.raw(`GET / HTTP/1.1\r\nHost: ${s.host}\r\nX-Long: ${'y'.repeat(40000)}\r\nConnection: close\r\n\r\n`))), 'headers of 40 kB');
const chunks = Array.from({ length: 20 }, () => `1000\r\n${'z'.repeat(4096)}\r\n`).join('');
const chunked = await s.raw(`POST /api/record/setting HTTP/1.1\r\nHost: ${s.host}\r\nSec-Fetch-Site: same-origin\r\nCookie: ${s.cookie}\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n${chunks}0\r\n\r\n`);
check(line(chunked) !== 200, '80 kB in pieces that promise nothing');
same((await s.ask('/api/import/animal?try=1', { method: 'POST', body: 'x'.repeat(9 << 20), headers: { 'Content-Type': 'text/csv' } }).catch(() => ({ code: 413 }))).code, 413, 'an upload of 9 MB');
const big = await s.ask('/api/import/animal?try=1', { method: 'POST', body: `name,is,nothing\n${'Bramble,sow,x\n'.repeat(20000)}`, headers: { 'Content-Type': 'text/csv' } });
check(big.code < 500, `an upload of 240 kB is looked at: ${big.code}`);
const leftOver = () => readdirSync(dirname(path)).filter((f) => /^leenest-[A-Za-z0-9]{6}$/.test(f)).length;
for (let i = 0; i < 100 && leftOver() > 0; i++) await pause(50); // the answer is sent before the file is gone
same(leftOver(), 0, 'no temporary file is left');
same((await s.ask('/api/number', { method: 'GET', body: '{}', headers: { 'Content-Type': 'application/json', 'Content-Length': '2' } })).code, 400, 'a question with a body');

// --- paths
for (const p of ['/../../etc/passwd', '/%2e%2e/%2e%2e/etc/passwd', '/..%2f..%2fetc/passwd', '//etc/passwd', '/index.html/', '/index.html%00.js', '/./index.html', '/api/../index.html', '/%69ndex.html%20', '/.git/config', '/app.js.map2', '/index.htm', '/INDEX.HTML'])
  check([400, 404].includes(line(await s.raw(`GET ${p} HTTP/1.1\r\nHost: ${s.host}\r\nConnection: close\r\n\r\n`))), `${p} is nowhere`);
for (const p of ['/api', '/api/', '/api/number/', '/api/Number', '/api/number/x', '/api/list/animal/x', '/api/backups/..%2ffarm.leenest', '/api/backups/../farm.leenest', '/api/nothing', '/api/record/', '/api/reckon/', '/api/reckon/facing?x=1'])
  check([400, 404, 405].includes((await s.ask(p)).code), `${p} is nowhere: ${(await s.ask(p)).code}`);
for (const p of ['/', '/tonight', '/sow/bramble', '/field']) { const r = await s.ask(p, { headers: { Cookie: null } }); same(r.code, 200, `${p} is a page`); check(/^text\/html/.test(r.headers['content-type']), `${p} is HTML`); }
const page = await s.ask('/');
same((await s.ask('/', { headers: { 'If-None-Match': page.headers.etag } })).code, 304, 'a page that is known is not sent again');

// --- JSON
const json = async (body) => (await s.post('/api/undo', body)).code;
for (const [body, what] of [['{"try":true,"try":true}', 'a name twice'], ['{"try":true,"nothing":1}', 'an unknown member'], [`${'{"try":'.repeat(40)}1${'}'.repeat(40)}`, 'forty deep'],
  ['{"what":"a\\u0000b"}', 'a zero byte'], ['[]', 'a list'], ['1', 'a number'], ['{"try":true} x', 'something after it'], ['{"try":tru}', 'half a word'], ['{"try":1e999}', 'a number too large'],
  ['\xff\xfe', 'bytes that are no text'], ['{"try":"yes"}', 'a text for yes or no'], ['{"what":5}', 'a number for a text'], ['{', 'half an object'], ["{'try':true}", 'the wrong quotes'], ['{"try":NaN}', 'NaN']])
  same(await json(body), 400, what);
same(await json('{"try":true}'), 200, 'as it should be');
same((await s.ask('/api/due?at=2026-01-22&at=2026-01-22')).code, 400, 'a parameter twice');
same((await s.ask('/api/due?nothing=1')).code, 400, 'a parameter nobody knows');
for (const q of ['at=%', 'at=%zz', 'at=%00', 'at=%ff', 'at=%0a']) same((await s.ask(`/api/due?${q}`)).code, 400, q);

// --- when a record comes, a kept answer is not given any more; by either door
const first = (await s.ask('/api/number')).json;
same(leenest(path, 'record', 'note', '--text', 'a trial').status ?? 1, 0, 'the command line records');
const second = (await s.ask('/api/number')).json;
check(second.number > first.number, `the change by the other program shows at once: ${first.number}, ${second.number}`);
const posted = await s.post('/api/record/note', { uid: '0123456789abcdef0123456789abcdef', fact: { text: 'another' } });
same(posted.code, 200, `recorded: ${posted.text.slice(0, 200)}`);
check((await s.ask('/api/number')).json.number > second.number, 'and the change by this one');
const again = await s.post('/api/record/note', { uid: '0123456789abcdef0123456789abcdef', fact: { text: 'another' } });
same(again.json.already, true, 'the same once more is one');

// --- without a farm file
await other.enter();
same((await other.ask('/api/number')).json.farm, null, 'no farm yet');
same((await other.ask('/api/tonight')).code, 404, 'no farm to be asked');

// --- the end: what is being answered is answered, and the log names nobody
const late = s.ask('/api/tonight?at=2026-01-22T16:00:00Z');
await pause(30);
const ended = await s.stop('SIGTERM');
same(ended.code, 0, 'SIGTERM: a clean end');
same((await late).code, 200, 'the answer under way came');
same((await other.stop('SIGINT')).code, 0, 'SIGINT: a clean end');
check(!existsSync(`${path}-journal`), 'no journal left');
const log = s.log + other.log;
for (const secret of [s.key, other.key, s.cookie.split('=')[1], 'Bramble', 'Larkmoor', '127.0.0.1', '::1']) check(!log.includes(secret), `the log says ${secret}`);
check(log.split('\n').every((l) => l === '' || l.startsWith('leenest serve: ')), 'one line an event');
const busy = net.createServer().listen(0, '127.0.0.1');
await new Promise((done) => busy.on('listening', done));
const taken = leenest(path, 'serve', '--port', String(busy.address().port), '--no-browser');
same(taken.status, 3, 'a port that is taken');
check(/is taken by another program/.test(taken.stderr), taken.stderr);
busy.close();
same(leenest(path, 'serve', '--lan', '--no-browser', '--port', '0').status, 2, '--lan without a password');
finish();
