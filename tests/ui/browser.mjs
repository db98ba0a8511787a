// SPDX-License-Identifier: GPL-3.0-or-later
// Debian's Chromium, driven by playwright-core; a demo farm and the program serving it; axe.
import { spawn, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

export const sizes = { phone: { width: 390, height: 844 }, laptop: { width: 1280, height: 800 } };

/** `trust`: a file of an authority that this browser trusts as after its owner loaded it. Chromium on Linux reads it from the NSS
 * data base in its home, which is thrown away with it; certutil is Debian's libnss3-tools. */
export async function openBrowser(args = [], { trust } = {}) {
  const home = mkdtempSync(join(tmpdir(), 'leenest-home-'));
  if (trust) {
    const db = join(home, '.pki/nssdb'), certutil = (...a) => { const r = spawnSync('certutil', ['-d', `sql:${db}`, ...a], { encoding: 'utf8' }); if (r.status !== 0) throw new Error(`certutil: ${r.error ?? r.stderr}`); };
    mkdirSync(db, { recursive: true });
    certutil('-N', '--empty-password');
    certutil('-A', '-n', 'house', '-t', 'C,,', '-i', trust);
  }
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: [...(process.getuid?.() === 0 ? ['--no-sandbox'] : []), ...args],
    env: { ...process.env, HOME: home },
  });
  browser.on('disconnected', () => rmSync(home, { recursive: true, force: true }));
  return browser;
}

/** A farm file of its own (the demo farm unless `farm` is given: a path, or null for none yet), served on a free port. */
export async function openFarm({ farm, args = [] } = {}) {
  const program = process.env.LEENEST ?? join(import.meta.dirname ?? '.', '../../build/leenest');
  const folder = mkdtempSync(join(tmpdir(), 'leenest-farm-'));
  const path = farm ?? join(folder, 'farm.leenest');
  if (farm === undefined) {
    const made = spawnSync(program, ['demo', '--to', path], { encoding: 'utf8' });
    if (made.status !== 0) throw new Error(made.stderr);
  }
  const house = { path, folder, program, log: '' };
  house.start = (more = []) => new Promise((resolve, reject) => {
    const p = spawn(program, ['--farm', path, 'serve', '--no-browser', ...(more.includes('--port') ? [] : ['--port', '0']), ...args, ...more]);
    let said = '';
    p.stdout.on('data', (d) => {
      said += d;
      const m = /(https?:\/\/\S+)/.exec(said);
      if (m) { house.process = p; house.address = m[1]; house.origin = new URL(m[1]).origin; resolve(house); }
    });
    p.stderr.on('data', (d) => { house.log += d; });
    p.on('exit', (code) => reject(new Error(`the program ended with ${code}: ${house.log}`)));
  });
  house.stop = (signal = 'SIGTERM') => new Promise((resolve) => {
    if (!house.process || house.process.exitCode !== null) return resolve();
    house.process.on('exit', resolve);
    house.process.kill(signal);
  });
  house.close = async () => { await house.stop(); rmSync(folder, { recursive: true, force: true }); };
  return house.start();
}

const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
/** Violations of WCAG 2.2 A and AA and of best practice, as lines of text; [] when there is none. */
export async function axe(page) {
  await page.evaluate(axeSource);
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }));
  return found.violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.target.join(' ')).join(' | ')}`);
}
