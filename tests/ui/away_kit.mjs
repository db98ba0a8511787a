// SPDX-License-Identifier: GPL-3.0-or-later
// For the tests of the page out of reach: a road to the house that can be cut, notes written as a person writes them, a count.
import http from 'node:http';
import { once } from 'node:events';

/** Counts checks; the last line says how many, and the exit code whether all held. */
export function counter(name) {
  let done = 0, failed = 0;
  return {
    check(holds, words, more = '') {
      done++;
      if (!holds) { failed++; console.log(`not so: ${words}${more === '' ? '' : `: ${typeof more === 'string' ? more : JSON.stringify(more)}`}`); }
    },
    end() { console.log(`${name}: ${done} checks, ${failed} failed`); process.exitCode = failed ? 1 : 0; },
    get failed() { return failed; },
  };
}

/** Waits until `ask` gives something true, at most that long; gives what it gave last. */
export async function until(ask, ms = 15000, step = 120) {
  const end = Date.now() + ms;
  for (;;) {
    let got;
    try { got = await ask(); } catch (e) { got = undefined; if (Date.now() > end) throw e; }
    if (got || Date.now() > end) return got;
    await new Promise((r) => setTimeout(r, step));
  }
}

/** A road to the house: an address of its own whose requests go on to it. `road.how(path, method)` may say, for each:
 *  'cut' (the house gets it and answers, the answer is lost), 'half' (half of the answer arrives), 'gone' (nothing gets
 *  through), 'hang' (nobody answers); `road.change(path, body)` may give other bytes for a reply. */
export async function openRoad(houseOrigin) {
  const house = new URL(houseOrigin), road = { how: () => undefined, change: undefined, seen: [] };
  const server = http.createServer((q, r) => {
    const how = road.how(q.url, q.method);
    if (how === 'gone') { q.socket.destroy(); return; }
    if (how === 'hang') return;
    const body = [];
    q.on('data', (d) => body.push(d));
    q.on('end', () => {
      const sent = Buffer.concat(body), headers = { ...q.headers, host: house.host };
      for (const h of ['accept-encoding', 'if-none-match', 'if-modified-since']) delete headers[h]; // whole replies, so that they can be changed
      if (headers.origin) headers.origin = house.origin;
      road.seen.push({ method: q.method, path: q.url, body: sent.toString() });
      const on = http.request({ host: house.hostname, port: house.port, path: q.url, method: q.method, headers }, (a) => {
        const parts = [];
        a.on('data', (d) => parts.push(d));
        a.on('end', () => {
          let reply = Buffer.concat(parts);
          if (how === 'cut') { q.socket.destroy(); return; }
          const other = road.change?.(q.url, reply.toString());
          if (other !== undefined) reply = Buffer.from(other);
          const h = { ...a.headers };
          delete h['transfer-encoding'];
          delete h['content-encoding'];
          if (other !== undefined) delete h.etag;
          h['content-length'] = reply.length;
          r.writeHead(a.statusCode, h);
          if (how === 'half') { r.write(reply.subarray(0, reply.length >> 1)); setTimeout(() => q.socket.destroy(), 20); } else r.end(reply);
        });
      });
      on.on('error', () => q.socket.destroy());
      on.end(sent);
    });
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  road.port = server.address().port;
  road.origin = `http://127.0.0.1:${road.port}`;
  road.close = () => { server.closeAllConnections(); server.close(); };
  return road;
}

/** What a browser says by itself when nobody answers or a request is refused; everything else is the page's own and counts. */
export function listen(page, c, name) {
  page.on('console', (m) => {
    if (/Failed to load resource: (net::ERR_|the server responded with a status of (400|401|409|503))/.test(m.text())) return;
    if (/Cross-Origin-Opener-Policy header has been ignored/.test(m.text()) && /farm\.test/.test(page.url())) return; // plain http under another name
    if (/^(error|warning)$/.test(m.type())) c.check(false, `${name}: no console message`, m.text());
  });
  page.on('pageerror', (e) => c.check(false, `${name}: no error`, String(e)));
}

/** Asks the house from within a page, past the page's own code. */
export const api = (page, path, body) => page.evaluate(async ([p, b]) => {
  const r = await fetch(p, b === undefined ? {} : { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(b) });
  return { code: r.status, ...(await r.json()) };
}, [path, body]);
/** All notes the house has, oldest first, each with its text. */
export async function notes(page) {
  const out = [];
  let before;
  for (;;) {
    const got = await api(page, `/api/list/note?most=100${before ? `&before=${before}` : ''}`);
    out.push(...got.facts);
    if (!got.more || got.facts.length === 0) return out.reverse().map((f) => ({ ...f, text: f.fact.text }));
    before = got.facts.at(-1).number;
  }
}

/** Writes a note in the form of the page, as a person does; returns when the page has said that it is kept. */
export async function writeNote(page, text) {
  const box = page.locator('form.form textarea').first();
  await box.fill(text);
  await page.locator('form.form button.do').first().click();
  await page.waitForFunction(() => document.querySelector('form.form textarea')?.value === '', undefined, { timeout: 20000 });
}
/** Many notes, typed by the page itself: as fast as its form takes them. */
export const writeMany = (page, texts) => page.evaluate(async (all) => {
  const turn = () => new Promise((r) => setTimeout(r, 4));
  for (const t of all) {
    const box = document.querySelector('form.form textarea');
    box.value = t;
    box.dispatchEvent(new Event('input', { bubbles: true }));
    document.querySelector('form.form button.do').click();
    const end = performance.now() + 15000;
    do { await turn(); } while ((document.querySelector('form.form textarea')?.value !== '' || document.querySelector('form.form button.do').disabled) && performance.now() < end);
  }
}, texts);
export const bars = (page) => page.locator('.standing').innerText();
/** What lies in the browser's own queue. */
export const queued = (page) => page.evaluate(() => new Promise((resolve, reject) => {
  const r = indexedDB.open('leenest', 1);
  r.onerror = () => reject(r.error);
  r.onsuccess = () => {
    const all = r.result.transaction('queue').objectStore('queue').getAll();
    all.onsuccess = () => { r.result.close(); resolve(all.result); };
  };
}));
