// SPDX-License-Identifier: GPL-3.0-or-later
// The pictures of the README, from the demo farm: node pictures.mjs OUT. Each is kept under 300 kB.
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openBrowser, openFarm, sizes } from './browser.mjs';

const out = process.argv[2];
if (!out) { console.error('node pictures.mjs OUT'); process.exit(2); }
mkdirSync(out, { recursive: true });
const wanted = [
  ['tonight', 'laptop', 'light'], ['tonight', 'phone', 'light'], ['tonight', 'phone', 'dark'],
  ['field', 'laptop', 'light'], ['field', 'laptop', 'dark'], ['dawn', 'phone', 'light'], ['round', 'laptop', 'light'],
];
const house = await openFarm();
const browser = await openBrowser();
let bad = 0;
const check = (file) => {
  const size = statSync(file).size;
  if (size > 300_000) bad++;
  console.log(`${file}: ${size} bytes${size > 300_000 ? ', TOO LARGE' : ''}`);
};
try {
  const context = await browser.newContext();
  const first = await context.newPage();
  await first.goto(house.address);
  await first.waitForSelector('main h1');
  await first.close();
  const open = async (name, size, colorScheme) => {
    const page = await context.newPage();
    await page.setViewportSize(sizes[size]);
    await page.emulateMedia({ colorScheme });
    await page.goto(`${house.origin}/${name}`);
    await page.waitForFunction(() => !/One moment/.test(document.querySelector('main')?.textContent ?? 'One moment'));
    await page.waitForFunction(() => !document.querySelector('.reckoning, .facingwaits'), undefined, { timeout: 45000 });
    await page.waitForTimeout(1500);
    return page;
  };
  for (const [name, size, scheme] of wanted) {
    const page = await open(name, size, scheme);
    const file = join(out, `${name}-${size}${scheme === 'dark' ? '-dark' : ''}.png`);
    await page.screenshot({ path: file });
    check(file);
    await page.close();
  }
  const page = await open('sheet', 'laptop', 'light');
  const folder = mkdtempSync(join(tmpdir(), 'leenest-sheet-'));
  await page.pdf({ path: join(folder, 'sheet.pdf'), format: 'A4', preferCSSPageSize: true });
  const drawn = spawnSync('pdftoppm', ['-r', '90', '-png', '-f', '1', '-l', '1', '-singlefile', join(folder, 'sheet.pdf'), join(out, 'sheet-print')]);
  if (drawn.status !== 0) throw new Error(`pdftoppm: ${drawn.stderr}`);
  check(join(out, 'sheet-print.png'));
  rmSync(folder, { recursive: true, force: true });
} finally {
  await browser.close();
  await house.close();
}
process.exit(bad ? 1 : 0);
