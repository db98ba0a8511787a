// SPDX-License-Identifier: GPL-3.0-or-later
// The night sheet on paper: two sides of A4 and of US Letter, everything a helper needs in words on the side where it belongs;
// read back from the PDF by poppler (pdfinfo, pdftotext), a witness of its own.
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { axe, openBrowser, openFarm } from './browser.mjs';

let checks = 0, failed = 0;
const check = (ok, what, more = '') => { checks++; if (!ok) { failed++; console.log(`FAILED: ${what} ${more}`); } };
if (spawnSync('pdfinfo', ['-v']).error) { console.log('skipped: no poppler here'); process.exit(77); }
const house = await openFarm();
process.on('exit', () => house.process?.kill());
const browser = await openBrowser();
const context = await browser.newContext({ locale: 'en-GB' });
const page = await context.newPage(), said = [];
page.on('console', (m) => said.push(`${m.type()} ${m.text()}`));
page.on('pageerror', (e) => said.push(String(e)));
await page.goto(house.address);
await page.waitForSelector('main h1', { timeout: 60000 });
await page.goto(`${house.origin}/sheet`);
await page.waitForSelector('.sheet', { timeout: 60000 });
await page.waitForFunction(() => !document.querySelector('.reckoning'), null, { timeout: 60000 });
const t = await page.evaluate(async () => (await fetch('/api/tonight')).json());
const flat = (s) => s.replace(/[\s\u00a0\u202f]+/g, ' ');
const side = (file, n) => flat(spawnSync('pdftotext', ['-f', String(n), '-l', String(n), '-layout', file, '-'], { encoding: 'utf8' }).stdout);

for (const [paper, button, size] of [['a4', 'A4', /595(\.\d+)? x 842|594\.96 x 841\.92/], ['letter', 'US Letter', /612 x 792/]]) {
  await page.getByRole('button', { name: button, exact: true }).click();
  const file = join(house.folder, `${paper}.pdf`);
  await page.pdf({ path: file, preferCSSPageSize: true, printBackground: true });
  const info = spawnSync('pdfinfo', [file], { encoding: 'utf8' }).stdout;
  check(/Pages:\s+2\b/.test(info), `${paper}: two sides`, /Pages:.*/.exec(info)?.[0]);
  check(size.test(info), `${paper}: its size`, /Page size:.*/.exec(info)?.[0]);
  const front = side(file, 1), back = side(file, 2);
  for (const w of ['Night sheet:', 'First ring:', 'Vet:', 'Next farm:', 'forecast of', 'ask if it has changed', 'Look', 'Go and look: paper cannot see her', 'Turn over']) check(front.includes(w), `${paper}: front says ${w}`);
  for (const w of ['If she has begun', '45 minutes', 'Keep safe', 'Board between you and her', 'No lamp', 'What I found', 'ring the vet']) check(back.includes(w), `${paper}: back says ${w}`);
  for (const s of t.sows.filter((x) => x.hours)) check(front.includes(s.name), `${paper}: ${s.name} is on the front`);
  for (const v of t.rounds.visits ?? []) check(front.includes(v.at.slice(11, 16)), `${paper}: round of ${v.at.slice(11, 16)}`);
  const both = front + back;
  for (const j of t.jobs) check(both.toLowerCase().includes(j.place.toLowerCase()), `${paper}: job at ${j.place}`);
  check(/hour by hour/.test(both), `${paper}: one sow hour by hour`);
  check(!/Pages|Print\b|Back to the night/.test(both), `${paper}: no buttons on paper`);
}
for (const width of [390, 1280]) {
  await page.setViewportSize({ width, height: 844 });
  check(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `nothing runs sideways at ${width}`);
  const found = await axe(page);
  check(found.length === 0, `axe at ${width}`, found.join(' | '));
}
check(said.length === 0, 'the console is silent', said.join(' | '));
await browser.close();
await house.close();
console.log(`sheet: ${checks} checks, ${failed} failed`);
process.exit(failed ? 1 : 0);
