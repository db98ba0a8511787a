// SPDX-License-Identifier: GPL-3.0-or-later
// Which boar to which sow: the table says what the house says; one pair put otherwise by keyboard; kept; axe, two sizes, light and dark.
import { axe, openBrowser, openFarm } from './browser.mjs';
import { checks, signIn } from './checks.mjs';

const c = checks('pairings'), check = (ok, what, more = '') => c.ok(ok, more ? `${what} ${more}` : what);
const house = await openFarm(), browser = await openBrowser();
const { page, messages: said } = await signIn(browser, house);
const open = async () => { await page.goto(`${house.origin}/pairings`); await page.waitForSelector('.matrix', { timeout: 60000 }); };
await open();
const p = await page.evaluate(async () => (await fetch('/api/pairings')).json());
check(await page.locator('.matrix tbody tr').count() === p.plan.length, 'one row a sow');
check(await page.locator('.matrix td').count() === p.pairs.length, 'one cell a pair');
check(await page.locator('.matrix td.pick').count() === p.plan.filter((s) => s.boar).length, 'the chosen in straw');
check(await page.locator('.matrix td.no').count() === p.pairs.filter((x) => !x.chosen && (x.too_close || x.forbidden)).length, 'too close is marked');
for (const colorScheme of ['light', 'dark']) for (const width of [390, 1280]) {
  await page.emulateMedia({ colorScheme });
  await page.setViewportSize({ width, height: 844 });
  check(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `nothing runs sideways at ${width}`);
  const found = await axe(page);
  check(found.length === 0, `axe at ${width}, ${colorScheme}`, found.join(' | '));
}
await page.emulateMedia({ colorScheme: 'light' });
// One pair by the keyboard alone: the first that may be pressed; the house says what it costs.
const button = page.locator('.matrix button.cell').first(), label = await button.getAttribute('aria-label');
const [, sow, boar] = /^(.*) to (.*): /.exec(label);
await button.focus();
await page.keyboard.press('Enter');
await page.getByText('Put by hand:').waitFor({ timeout: 30000 });
await page.waitForFunction(() => !/being decided again/.test(document.querySelector('main').innerText), null, { timeout: 60000 });
const by = await page.evaluate(async (q) => (await fetch(`/api/pairings?fix=${encodeURIComponent(q)}`)).json(), `${sow}=${boar}`);
const note = await page.locator('.note').first().innerText();
check(by.mean_f === p.mean_f || note.includes(`${(by.mean_f * 100).toFixed(1)}`), 'the change in the mean is said', note);
check(by.plan.find((s) => s.sow === sow)?.boar === boar && await page.locator('.matrix .tag', { hasText: 'by hand' }).count() === 1, `${sow} to ${boar} stands by hand`, note);
await page.locator('main').getByRole('button', { name: 'Keep this plan' }).click();
await page.getByText(/pairs? kept, for the season/).waitFor({ timeout: 60000 });
const kept = await page.evaluate(async () => (await fetch('/api/list/pairing?most=100')).json());
check(kept.facts.filter((f) => f.fact.decided === 'by-hand').length === 1, 'one pair is kept as by hand', JSON.stringify(kept.facts.map((f) => f.fact.decided)));
check(kept.facts.some((f) => f.shown.sow === sow && f.shown.boar === boar), 'and it is the one that was put', JSON.stringify(kept.facts[0]?.shown));
check((await page.pdf()).length > 5000, 'it prints');
check(said.length === 0, 'the console is silent', said.join(' | '));
await browser.close();
await house.close();
process.exit(c.end());
