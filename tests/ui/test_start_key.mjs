// SPDX-License-Identifier: GPL-3.0-or-later
// The key of the start address, from `leenest serve` to the machine's own browser: on no command line and in no environment, in a
// file that its owner alone may read and that is gone once the key has served, in no Referer and no request line. What the
// browser itself keeps of the address (its history) holds a key that opens nothing any more.
// A stand-in for xdg-open notes what it is given; Chromium, with a profile of its own, then opens just that.
import { spawn, spawnSync } from 'node:child_process';
import { chmodSync, existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { until } from './away_kit.mjs';
import { checks, settled } from './checks.mjs';

const c = checks('start key');
const folder = mkdtempSync(join(tmpdir(), 'leenest-key-')), at = (name) => join(folder, name);
const program = process.env.LEENEST ?? join(import.meta.dirname, '../../build/leenest');
const made = spawnSync(program, ['demo', '--to', at('farm.leenest')], { encoding: 'utf8' });
if (made.status !== 0) throw new Error(made.stderr);
for (const d of ['bin', 'run', 'profile']) mkdirSync(at(d), { mode: 0o700 });
writeFileSync(at('bin/xdg-open'), `#!/bin/sh\ntr '\\0' '\\n' </proc/$$/cmdline >'${at('argv.part')}'\ntr '\\0' '\\n' </proc/$$/environ >'${at('environ')}'\nmv '${at('argv.part')}' '${at('argv')}'\nsleep 20\n`);
chmodSync(at('bin/xdg-open'), 0o755);

/** Processes of this machine in whose command line or environment the key stands. */
function seenBy(key) {
  const found = [];
  for (const p of readdirSync('/proc').filter((n) => /^\d+$/.test(n) && Number(n) !== process.pid)) {
    for (const f of ['cmdline', 'environ']) {
      try { if (readFileSync(`/proc/${p}/${f}`, 'latin1').includes(key)) found.push(`${p}/${f}`); } catch { /* it ended, or is another's */ }
    }
  }
  return found;
}
function filesWith(key, where) {
  const found = [];
  for (const e of readdirSync(where, { withFileTypes: true, recursive: true })) {
    if (e.isFile()) { try { if (readFileSync(join(e.parentPath ?? e.path, e.name), 'latin1').includes(key)) found.push(e.name); } catch { /* gone meanwhile */ } }
  }
  return found;
}

const house = spawn(program, ['--farm', at('farm.leenest'), 'serve', '--port', '0'], { env: { ...process.env, PATH: `${at('bin')}:${process.env.PATH}`, DISPLAY: ':99', XDG_RUNTIME_DIR: at('run') } });
let said = '', log = '', context;
house.stdout.on('data', (d) => { said += d; });
house.stderr.on('data', (d) => { log += d; });
try {
  c.ok(await until(() => /#key=[\w-]{20,}\n/.test(said) && existsSync(at('argv'))), 'the program calls for the browser');
  const key = /#key=([\w-]+)/.exec(said)[1], origin = /(http:\/\/127\.0\.0\.1:\d+)\//.exec(said)[1];
  const argv = readFileSync(at('argv'), 'utf8').trim().split('\n'), file = argv[argv.length - 1];
  c.ok(!argv.join(' ').includes(key), 'the key is not among the words of the browser');
  c.ok(!readFileSync(at('environ'), 'utf8').includes(key), 'nor in its environment');
  c.equal(seenBy(key), [], 'nor in any other process of the machine');
  c.ok(file.startsWith(at('run/')) && existsSync(file), 'it is given a file of the session');
  c.equal((statSync(file).mode & 0o777).toString(8), '600', 'that its owner alone may read');
  c.ok(readFileSync(file, 'utf8').includes(key), 'and that has the key');
  c.ok(!log.includes(key), 'the log does not have it');

  const asked = [];
  context = await chromium.launchPersistentContext(at('profile'), { executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: process.getuid?.() === 0 ? ['--no-sandbox'] : [], env: { ...process.env, HOME: at('profile') }, timezoneId: 'Europe/London' });
  context.on('request', (r) => asked.push(r));
  const page = await context.newPage();
  await page.goto(`file://${file}`);
  await page.waitForURL(`${origin}/**`);
  c.equal(seenBy(key), [], 'nor is it on a command line of the browser\u2019s own processes');
  await settled(page);
  c.ok(!page.url().includes('key='), 'the key does not stay in the address');
  c.ok(await until(() => !existsSync(file), 5000), 'the file is gone once the key has served');
  c.equal(readdirSync(at('run')), [], 'and nothing is left beside it');
  const lines = await Promise.all(asked.map(async (r) => `${r.url().split('#')[0]} ${JSON.stringify(await r.allHeaders().catch(() => ({})))}`));
  c.ok(lines.length > 3, `${lines.length} requests were seen`);
  c.equal(lines.filter((l) => l.includes(key) && !l.startsWith('file:')), [], 'no request line, Referer or other header has the key');
  c.equal(await page.evaluate(() => document.referrer), '', 'the page knows no referrer');
  c.equal(await page.evaluate(async (k) => (await fetch('/api/session', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ key: k }) })).status, key), 401, 'the key opens nothing a second time');
  await page.goBack().catch(() => null); // the way back leads to no other session
  await page.goto(`${origin}/held`);
  await settled(page);
  c.ok(!page.url().includes('key='), 'and going on in the page does not bring it back');
  await context.close();
  context = null;
  const kept = filesWith(key, at('profile'));
  console.log(`the browser's own profile has the used key in: ${kept.join(', ') || 'nothing'}`);
  c.ok(kept.every((n) => /History|Session|Tabs|Top Sites|Network Action|Visited|Favicons|Shortcuts|ukm_db/.test(n)), `only where the browser keeps addresses: ${kept}`);
} finally {
  await context?.close();
  house.kill('SIGTERM');
  await new Promise((done) => { if (house.exitCode !== null) done(); else house.on('exit', done); });
  c.equal(house.exitCode, 0, 'a clean end');
  rmSync(folder, { recursive: true, force: true });
}
process.exit(c.end());
