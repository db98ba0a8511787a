// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of pages: node look.mjs ADDRESS OUT page... Each at phone and laptop, by day and dark, and printed to A4.
// ADDRESS is the one that `leenest serve` prints, key and all.
import { mkdirSync } from 'node:fs';
import { openBrowser, sizes } from './browser.mjs';

const [address, out, ...pages] = process.argv.slice(2);
if (!out || pages.length === 0) { console.error('node look.mjs ADDRESS OUT page...'); process.exit(2); }
mkdirSync(out, { recursive: true });
const browser = await openBrowser();
const context = await browser.newContext();
const first = await context.newPage();
await first.goto(address);
await first.waitForLoadState('networkidle');
await first.close();
const origin = new URL(address).origin;
for (const name of pages) {
  const file = name.replaceAll('/', '-');
  for (const [size, viewport] of Object.entries(sizes)) {
    for (const colorScheme of ['light', 'dark']) {
      const page = await context.newPage();
      page.on('console', (m) => console.log(`${name} ${size} ${colorScheme}: ${m.type()} ${m.text()}`));
      page.on('pageerror', (e) => console.log(`${name} ${size} ${colorScheme}: ${e}`));
      await page.setViewportSize(viewport);
      await page.emulateMedia({ colorScheme });
      await page.goto(`${origin}/${name}`);
      await page.waitForLoadState('networkidle', { timeout: 60000 }).catch(() => console.log(`${name} ${size} ${colorScheme}: not quiet`));
      await page.screenshot({ path: `${out}/${file}-${size}-${colorScheme}.png` });
      if (colorScheme === 'light') {
        await page.screenshot({ path: `${out}/${file}-${size}-whole.png`, fullPage: true });
        if (size === 'laptop') await page.pdf({ path: `${out}/${file}.pdf`, format: 'A4', preferCSSPageSize: true });
      }
      await page.close();
    }
  }
}
await browser.close();
