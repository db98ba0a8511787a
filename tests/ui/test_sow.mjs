// SPDX-License-Identifier: GPL-3.0-or-later
// One sow's page, for each kind of sow the demo farm has: due, farrowed, open, nothing known; and what axe finds.
import { axe, openBrowser, openFarm } from './browser.mjs';

let checks = 0, failed = 0;
const check = (ok, what, more = '') => { checks++; if (!ok) { failed++; console.log(`FAILED: ${what} ${more}`); } };
const house = await openFarm();
process.on('exit', () => house.process?.kill());
const browser = await openBrowser();
const context = await browser.newContext({ locale: 'en-GB' });
const page = await context.newPage(), said = [];
page.on('console', (m) => said.push(`${m.type()} ${m.text()}`));
page.on('pageerror', (e) => said.push(String(e)));
await page.setViewportSize({ width: 390, height: 844 });
await page.goto(house.address);
await page.waitForSelector('main h1', { timeout: 60000 });
await page.goto(`${house.origin}/tonight`);
await page.waitForSelector('.board', { timeout: 60000 });
const t = await page.evaluate(async () => (await fetch('/api/tonight')).json());
const due = t.sows.find((s) => s.hours).name, open = t.others.find((o) => o.state === 'open')?.name, young = t.young_litters[0]?.sow, bare = t.others.find((o) => o.state === 'nothing known')?.name;
for (const [name, wanted] of [[due, /nine in ten|most likely to farrow/], [young, /Her litters/], [open, /Not served since/], [bare, /is written down, nothing more/]]) {
  if (!name) continue;
  await page.goto(`${house.origin}/sow/${encodeURIComponent(name)}`);
  await page.getByRole('heading', { level: 1, name }).waitFor({ timeout: 60000 });
  await page.waitForFunction(() => !document.querySelector('.reckoning'), null, { timeout: 60000 });
  const s = await page.evaluate(async (n) => (await fetch(`/api/sow?NAME=${encodeURIComponent(n)}`)).json(), name), text = await page.locator('main').innerText();
  check(wanted.test(text), `${name}: what about her`, text.slice(0, 200));
  check(!s.tag || text.includes(`tag ${s.tag}`), `${name}: her tag`);
  check(await page.getByRole('img', { name: /^Her year/ }).count() === 1, `${name}: her year`);
  for (const l of s.litters.slice(0, 3)) check(text.includes(String(l.born_alive)), `${name}: a litter of ${l.born_alive}`);
  if (s.looks.length) check(text.includes('What each look said'), `${name}: what each look said`);
  check(/Go and look/.test(text), `${name}: go and look`);
  for (const width of [390, 1280]) {
    await page.setViewportSize({ width, height: 844 });
    check(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${name}: nothing runs sideways at ${width}`, String(await page.evaluate(() => document.documentElement.scrollWidth)));
    const found = await axe(page);
    check(found.length === 0, `${name}: axe at ${width}`, found.join(' | '));
  }
  await page.setViewportSize({ width: 390, height: 844 });
}
check(said.length === 0, 'the console is silent', said.join(' | '));
await browser.close();
await house.close();
console.log(`sow: ${checks} checks, ${failed} failed`);
process.exit(failed ? 1 : 0);
