// SPDX-License-Identifier: GPL-3.0-or-later
// The herd and the family of one: all listed, found by a part of a name, ears drawn from a tag, hostile names as text, axe.
import { axe, openBrowser, openFarm } from './browser.mjs';
import { checks, signIn } from './checks.mjs';

const c = checks('herd'), check = (ok, what, more = '') => c.ok(ok, more ? `${what} ${more}` : what);
const house = await openFarm(), browser = await openBrowser();
const { page, messages: said } = await signIn(browser, house);
const hostile = '<b onclick=alert(1)>'.slice(0, 20), rtl = 'זברה', long = 'Wilhelminaofthelongmeadow'.repeat(2);
const made = await page.evaluate(async (names) => {
  const out = [];
  for (const [i, n] of names.entries()) {
    const r = await fetch('/api/record/animal', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ uid: String(i + 1).padStart(32, 'a'), fact: { name: n, is: 'gilt', tag: i === 0 ? '14-6' : `${100 + i}-${i}`, sire: 'Rook', dam: 'Vetch' } }) });
    out.push(r.status === 200 ? '' : await r.text());
  }
  return out;
}, [hostile, rtl, long]);
check(made.every((m) => !m), 'three gilts with odd names are taken', made.join(' '));
const h = await page.evaluate(async () => (await fetch('/api/herd')).json());
const look = async (path, what) => {
  await page.goto(`${house.origin}/${path}`);
  await page.waitForSelector('main table', { timeout: 60000 });
  for (const colorScheme of ['light', 'dark']) for (const width of [390, 1280]) {
    await page.emulateMedia({ colorScheme });
    await page.setViewportSize({ width, height: 844 });
    check(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${what}: nothing runs sideways at ${width}`);
    const found = await axe(page);
    check(found.length === 0, `${what}: axe at ${width}, ${colorScheme}`, found.join(' | '));
  }
};
await look('herd', 'herd');
check(await page.locator('main tbody tr').count() === h.animals.length, 'one line an animal');
const drawn = page.getByRole('img', { name: /^Ear notches of 14-6, as seen facing the pig.*litter 14: 9, 3, 1, 1\..*pig 6: 3, 3\./ });
check(await drawn.count() === 1, 'the ears of 14-6');
check(await drawn.first().locator('g path.w2').count() === 2 + 4 + 2, 'two ears, four notches and two', String(await drawn.first().locator('g path.w2').count()));
check(await page.locator('main').getByText(hostile, { exact: true }).count() === 1, 'a hostile name is text');
await page.getByLabel('Name, tag or breed').fill('Brambl');
await page.keyboard.press('Enter');
await page.waitForFunction(() => document.querySelectorAll('main tbody tr').length === 1, null, { timeout: 60000 });
check(/Bramble/.test(await page.locator('main tbody').innerText()), 'found by a part of her name');
const uid = h.animals.find((a) => a.name === hostile).uid;
await look(`herd/${uid}`, 'family');
const f = (await page.evaluate(async (u) => (await fetch(`/api/herd?family=${u}&generations=4`)).json(), uid)).family;
check(await page.locator('.anc:not(.bare)').count() === f.members.length, 'every known ancestor stands in the tree');
check(await page.locator('.anc.common').count() === f.members.filter((m) => m.common).length && f.members.some((m) => m.common), 'common ancestors are marked', String(f.members.filter((m) => m.common).length));
check((await page.pdf()).length > 5000, 'it prints');
check(said.length === 0, 'the console is silent', said.join(' | '));
if (process.env.PICTURES) { await page.setViewportSize({ width: 1280, height: 800 }); await page.emulateMedia({ colorScheme: 'light' }); await page.screenshot({ path: `${process.env.PICTURES}_family.png` }); await page.pdf({ path: `${process.env.PICTURES}_family.pdf` }); await page.goto(`${house.origin}/sow/${uid}`); await page.waitForTimeout(1500); await page.screenshot({ path: `${process.env.PICTURES}_sow.png` }); }
await browser.close();
await house.close();
process.exit(c.end());
