// SPDX-License-Identifier: GPL-3.0-or-later
// What the tests of the web door share: a server of the program under test on a farm of its own, asked over plain sockets
// so that every byte sent is the test's.
import { spawn, spawnSync } from 'node:child_process';
import http from 'node:http';
import net from 'node:net';
import { mkdtempSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';

export const program = process.env.LEENEST;
const scratch = process.env.LEENEST_SCRATCH ?? '/tmp';

export const leenest = (farm, ...words) => spawnSync(program, ['--farm', farm, ...words], { encoding: 'utf8', maxBuffer: 1 << 28 });

let checks = 0, bad = 0;
export function check(good, what) {
  checks += 1;
  if (!good) { bad += 1; console.log(`NOT SO: ${what}`); }
}
export function same(got, wanted, what) { check(got === wanted, `${what}: ${JSON.stringify(got)}, wanted ${JSON.stringify(wanted)}`); }
export function finish(words = '') {
  console.log(`${checks} checks, ${bad} not so${words ? `; ${words}` : ''}`);
  process.exitCode = bad || checks === 0 ? 1 : 0;
}
export const pause = (ms) => new Promise((done) => setTimeout(done, ms));

// A farm of the demo's kind in a folder of its own; '' leaves the file out.
export function farm(demo = true) {
  const folder = mkdtempSync(join(scratch, 'web-'));
  const path = join(folder, 'farm.leenest');
  if (demo) {
    const made = spawnSync(program, ['demo', '--to', path], { encoding: 'utf8' });
    if (made.status !== 0) throw new Error(made.stderr);
  }
  process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
  return path;
}

export async function serve(path, ...words) {
  const child = spawn(program, ['--farm', path, 'serve', '--port', '0', '--no-browser', ...words], { stdio: ['ignore', 'pipe', 'pipe'], env: { ...process.env, TMPDIR: dirname(path) } });
  const s = { child, path, log: '', said: '' };
  child.stderr.on('data', (d) => { s.log += d; });
  await new Promise((done, fail) => {
    child.stdout.on('data', (d) => { s.said += d; if (/#key=\S+\n/.test(s.said)) done(); });
    child.on('exit', (code) => fail(new Error(`the server ended: ${code} ${s.log}`)));
  });
  child.removeAllListeners('exit');
  s.ended = new Promise((done) => child.on('exit', (code, signal) => done({ code, signal })));
  s.port = Number(/127\.0\.0\.1:(\d+)/.exec(s.said)[1]);
  s.key = /#key=(\S+)/.exec(s.said)[1];
  s.host = `127.0.0.1:${s.port}`;
  process.on('exit', () => child.kill('SIGKILL'));
  s.ask = (path_, o = {}) => new Promise((done) => {
    const headers = { 'Sec-Fetch-Site': 'same-origin', ...(s.cookie ? { Cookie: s.cookie } : {}), ...o.headers };
    for (const k of Object.keys(headers)) if (headers[k] === null) delete headers[k];
    const rq = http.request({ host: o.at ?? '127.0.0.1', port: s.port, path: path_, method: o.method ?? 'GET', headers, agent: o.agent ?? false, localAddress: o.from }, (rs) => {
      const parts = [];
      rs.on('data', (d) => parts.push(d));
      rs.on('end', () => {
        const text = Buffer.concat(parts).toString('utf8');
        let json = null;
        try { json = JSON.parse(text); } catch { /* no JSON: the test looks at the text */ }
        done({ code: rs.statusCode, headers: rs.headers, text, json });
      });
      rs.on('error', (e) => done({ code: 0, headers: {}, text: e.message, json: null }));
    });
    rq.on('error', (e) => done({ code: 0, headers: {}, text: e.message, json: null }));
    if (o.body !== undefined) rq.write(o.body);
    rq.end();
  });
  s.post = (path_, body, o = {}) => s.ask(path_, { ...o, method: 'POST', body: typeof body === 'string' ? body : JSON.stringify(body),
    headers: { 'Content-Type': 'application/json', ...o.headers } });
  // Bytes as they are; what comes back until the end, or until `ms` have gone by.
  s.raw = (bytes, ms = 3000) => new Promise((done) => {
    let got = '';
    const c = net.connect(s.port, '127.0.0.1', () => c.write(bytes));
    const end = () => { clearTimeout(timer); c.destroy(); done(got); };
    const timer = setTimeout(end, ms);
    c.on('data', (d) => { got += d.toString('latin1'); });
    c.on('end', end); c.on('error', end); c.on('close', end);
  });
  s.enter = async () => {
    const r = await s.post('/api/session', { key: s.key });
    s.cookie = (r.headers['set-cookie']?.[0] ?? '').split(';')[0];
    return r;
  };
  s.stop = async (signal = 'SIGTERM') => { child.kill(signal); return s.ended; };
  return s;
}
