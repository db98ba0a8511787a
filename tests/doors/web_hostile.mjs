// SPDX-License-Identifier: GPL-3.0-or-later
// A hostile client: 100,000 malformed requests, a thousand connections, senders of a byte now and then. Others are
// answered all the while, and the server ends clean. Waits (30 s idle, 60 s a request) run side by side.
import net from 'node:net';
import { readFileSync } from 'node:fs';
import http from 'node:http';
import { check, farm, finish, pause, same, serve } from './web.mjs';

const s = await serve(farm());
await s.enter();
const many = Number(process.env.LEENEST_HOSTILE ?? 100000);

// Another client, from another address, that asks all the while.
const calm = { asked: 0, good: 0, worst: 0, done: false };
const agent = new http.Agent({ keepAlive: true, maxSockets: 1, localAddress: '127.0.0.2' });
const calmly = (async () => {
  while (!calm.done) {
    const from = performance.now();
    const r = await s.ask('/api/number', { agent });
    calm.asked += 1;
    calm.good += r.code === 200 ? 1 : 0;
    calm.worst = Math.max(calm.worst, performance.now() - from);
    await pause(20);
  }
})();

// --- slow senders: a byte a second of a header, of a body; silence; half a request
const slow = [];
function sender(first, then, every, from = '127.0.0.3') {
  const one = { began: Date.now(), ended: 0, got: '' };
  const c = net.connect({ port: s.port, host: '127.0.0.1', localAddress: from }, () => { c.write(first); });
  const timer = every ? setInterval(() => { if (!c.destroyed) c.write(then); }, every) : null;
  const end = () => { if (!one.ended) one.ended = Date.now(); clearInterval(timer); c.destroy(); };
  c.on('data', (d) => { one.got += d.toString('latin1'); });
  c.on('end', end); c.on('error', end); c.on('close', end);
  one.close = () => c.destroy();
  slow.push(one);
  return one;
}
const head = `GET / HTTP/1.1\r\nHost: ${s.host}\r\n`;
const post = `POST /api/undo HTTP/1.1\r\nHost: ${s.host}\r\nSec-Fetch-Site: same-origin\r\nCookie: ${s.cookie}\r\nContent-Type: application/json\r\nContent-Length: 60000\r\n\r\n`;

// --- malformed requests, many to a connection where the server lets them
const odd = [
  'GET\r\n\r\n', 'G\0T / HTTP/1.1\r\n\r\n', '\r\n\r\n\r\n\r\n', 'GET / HTTP/9.9\r\n\r\n', `GET ${'/'.repeat(5000)} HTTP/1.1\r\nHost: ${s.host}\r\n\r\n`,
  `GET / HTTP/1.1\r\nHost ${s.host}\r\n\r\n`, `GET / HTTP/1.1\r\nHost: ${s.host}\r\nContent-Length: -5\r\n\r\n`, `POST /api/undo HTTP/1.1\r\nHost: ${s.host}\r\nContent-Length: 99999999999999999999\r\n\r\n`,
  `POST /api/undo HTTP/1.1\r\nHost: ${s.host}\r\nTransfer-Encoding: chunked\r\n\r\nZZ\r\n`, `POST /api/undo HTTP/1.1\r\nHost: ${s.host}\r\nTransfer-Encoding: chunked\r\nContent-Length: 5\r\n\r\n0\r\n\r\n`,
  `GET / HTTP/1.1\r\n${'A: b\r\n'.repeat(3000)}\r\n`, '\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03', 'PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n', `GET /%00%ff%zz?%%%= HTTP/1.1\r\nHost: ${s.host}\r\n\r\n`,
  `GET /api/tonight?at=2026-01-22T${'9'.repeat(300)} HTTP/1.1\r\nHost: ${s.host}\r\n\r\n`, `GET / HTTP/1.1\r\nHost: ${s.host}\r\nCookie: ${'leenest_session=x;'.repeat(200)}\r\n\r\n`,
  `HEAD / HTTP/1.1\r\nHost: evil.example\r\n\r\n`, `POST /api/session HTTP/1.1\r\nHost: ${s.host}\r\nSec-Fetch-Site: same-origin\r\nContent-Type: application/json\r\nContent-Length: 9\r\n\r\n{"key":1}`,
  `GET / HTTP/1.1\r\nHost: ${s.host}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n`, ' / HTTP/1.1\r\n\r\n',
];
let sent = 0, seed = 7;
const dice = (n) => { seed = (seed * 1103515245 + 12345) % 2147483648; return seed % n; };
function malformed() {
  let t = odd[dice(odd.length)];
  if (dice(3) === 0) { const i = dice(t.length); t = t.slice(0, i) + String.fromCharCode(dice(256)) + t.slice(i + 1 + dice(4)); }
  return t;
}
async function crowd() {
  while (sent < many) {
    await new Promise((done) => {
      const c = net.connect({ port: s.port, host: '127.0.0.1', localAddress: '127.0.0.4' }, () => {
        let bytes = '';
        for (let i = 0; i < 20; i += 1) { bytes += malformed(); sent += 1; } // as much of it as the server reads
        c.end(Buffer.from(bytes, 'latin1'));
      });
      c.setTimeout(2000, () => c.destroy());
      c.on('data', () => {}); c.on('error', () => {}); c.on('close', done);
    });
  }
}
let from = Date.now();
await Promise.all(Array.from({ length: 16 }, crowd));
const crowdS = (Date.now() - from) / 1000;
check(sent >= many, `${sent} malformed requests sent`);

// --- a thousand connections that say nothing, from one address and from many
from = Date.now();
const idle = [];
for (let i = 0; i < 1000; i += 1) {
  const c = net.connect({ port: s.port, host: '127.0.0.1', localAddress: i < 500 ? '127.0.0.5' : `127.0.1.${1 + (i % 50)}` });
  c.on('error', () => {}); c.on('data', () => {});
  idle.push(c);
  if (i % 50 === 49) await pause(10);
}
const newcomer = await s.ask('/api/number', { from: '127.0.0.5' });
same(newcomer.code, 200, 'a newcomer from the crowded address is answered');
same((await s.ask('/api/number')).code, 200, 'and one from elsewhere');
await pause(300);
const open = idle.filter((c) => c.readyState === 'open').length;
check(open <= 160, `${open} of 1000 are kept open`);
const newcomerMs = Date.now() - from;
for (const c of idle) c.destroy();

// --- the slow are sent away, when it is quiet again and nobody needs their place
await pause(500);
const slowly = [sender('G', 'E', 1000), sender(head, 'x', 1000), sender(post, ' ', 1000)];
const silent = [sender('', '', 0), sender(head, '', 0), sender(post, '', 0)];

const longest = Number(process.env.LEENEST_PATIENCE_S ?? 66);
while (Date.now() - slow[0].began < longest * 1000 && slow.some((o) => !o.ended)) await pause(200);
for (const o of silent) check(o.ended && o.ended - o.began < 36000, `a silent one is sent away after 30 s: ${o.ended - o.began} ms`);
for (const o of silent) check(o.ended - o.began > 25000, `but not before: ${o.ended - o.began} ms`);
for (const o of slowly) check(o.ended && o.ended - o.began < 66000, `one of a byte a second is sent away after 60 s: ${o.ended - o.began} ms`);
for (const o of slowly.slice(1)) check(o.ended - o.began > 50000, `but not before: ${o.ended - o.began} ms`);
for (const o of slow) o.close();

calm.done = true;
await calmly;
agent.destroy();
same(calm.good, calm.asked, `another client was answered each time (${calm.asked})`);
check(calm.asked > 50, `it asked ${calm.asked} times`);
const rss = Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${s.child.pid}/status`, 'utf8'))[1]);
const fds = (await import('node:fs')).readdirSync(`/proc/${s.child.pid}/fd`).length;
check(fds < 60, `${fds} descriptors open afterwards`);
same((await s.stop()).code, 0, 'a clean end');
finish(`${sent} malformed in ${crowdS.toFixed(1)} s; 1000 connections in ${newcomerMs} ms; another client asked ${calm.asked} times, at worst ${calm.worst.toFixed(0)} ms; ${(rss / 1024).toFixed(1)} MB`);
