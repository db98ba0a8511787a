// SPDX-License-Identifier: GPL-3.0-or-later
// Keep: the order, the reasons and the line as the house says them; places and weights by the keyboard, kept in the address; nothing is
// told to go unless a number of places was said; a name as markup stays text; one side of paper or two.
import { openFarm, sizes } from './browser.mjs';
import { asked, checks, looks, open, openBrowser, settled, signIn, tabTo } from './checks.mjs';
import { flat, noPoppler, odd, printed, recordAll, zoomed } from './herd_kit.mjs';

const c = checks('keep'), house = await openFarm(), browser = await openBrowser();
const { page, messages } = await signIn(browser, house);
const main = page.locator('#main'), names = () => main.locator('.female h3 a').allInnerTexts();
/** The page has come to another address by itself. */
const came = async (to) => { await page.waitForURL((u) => to.test(u.search)); await settled(page); };
try {
  const k = await asked(page, '/api/keep');
  await open(page, house, 'keep');
  c.equal(await names(), k.females.map((f) => f.name), 'every sow and gilt in the order of the house');
  c.equal(await main.locator('.decision').count(), 0, 'nobody stays or goes unless so many have a place');
  c.ok(!(await main.innerText()).includes('--'), 'in words, not as a command');
  for (const f of k.females) {
    const her = main.locator(`.female[data-uid="${f.uid}"]`), told = f.reasons.filter((r) => r.sign !== 'not known');
    c.equal(await her.locator('li[data-key]').count(), told.length, `${f.name}: a line for each reason that is known`);
    const unknown = f.reasons.filter((r) => r.sign === 'not known').map((r) => r.label);
    if (unknown.length) c.ok((await her.innerText()).includes(`Not known: ${unknown.join(', ')}`), `${f.name}: what is not known is said to be`);
  }

  // places, by the keyboard
  c.ok(await tabTo(page, 'input[name=places]'), 'places are reached by Tab');
  await page.keyboard.type('8');
  await page.keyboard.press('Enter');
  await came(/places=8/);
  const eight = await asked(page, '/api/keep?places=8');
  c.equal(await main.locator('.decision').allInnerTexts(), eight.females.map((f) => f.decision), 'where the line falls, as the house says');
  c.equal(await main.locator('section', { has: page.getByRole('heading', { name: /^Above the line/ }) }).locator('.female').count(), 8, 'eight stand above the line');
  const held = eight.females.filter((f) => f.held && f.decision !== 'stays');
  c.ok(held.length > 0, 'one of the demo is in pig and below the line');
  for (const f of held) c.ok(flat(await main.locator(`.female[data-uid="${f.uid}"]`).innerText()).toLowerCase().includes(f.held.toLowerCase().slice(0, 40)), `${f.name}: not before her litter is weaned`);

  // what counts how much
  await main.locator('summary', { hasText: 'What counts how much' }).focus();
  await page.keyboard.press('Enter');
  c.equal(await main.locator('.weights input').count(), k.weights.length, 'each reason has its weight');
  await main.locator('input[name=line]').fill('0');
  await main.locator('input[name=temper]').fill('5');
  await page.keyboard.press('Enter');
  await came(/weigh=line%3D0/);
  const other = await asked(page, '/api/keep?places=8&weigh=line%3D0&weigh=temper%3D5');
  c.ok(JSON.stringify(other.females.map((f) => f.name)) !== JSON.stringify(eight.females.map((f) => f.name)), 'other weights, another order');
  c.equal(await names(), other.females.map((f) => f.name), 'and the page follows');
  c.equal(await main.locator('input[name=temper]').inputValue(), '5', 'what was set stands in its field');
  await main.getByRole('link', { name: 'As it usually counts' }).click();
  await page.waitForURL((u) => u.search === '');
  await settled(page);
  c.equal(await names(), k.females.map((f) => f.name), 'and back');

  await looks(c, page, house, 'keep?places=8');

  // paper
  await page.setViewportSize(sizes.laptop);
  await open(page, house, 'keep?places=8');
  if (noPoppler()) console.log('skipped: no poppler here, the paper is not read');
  else {
    const sheet = await printed(page, house, 'keep');
    for (const f of eight.females) c.ok(sheet.text.includes(f.name), `${f.name} stands on the paper`);
    c.ok(sheet.text.includes('The list sees no animal'), 'and that the list sees no animal');
    c.ok(sheet.pages <= 2, `sides of paper: ${sheet.pages}`);
    c.equal(sheet.outside, [], 'nothing runs off the paper');
  }
  await zoomed(c, page, 'keep');

  // names as markup, from right to left, and very long
  const names4 = [odd.hostile, odd.rtl, odd.long, odd.quotes];
  c.equal(await recordAll(page, 'animal', names4.map((x) => ({ name: x, is: 'gilt', born: '2025-03-01' }))), [], 'gilts with strange names are written');
  await looks(c, page, house, 'keep');
  for (const x of names4) c.ok((await names()).includes(x), `${x} stays text`);
  c.equal(await main.locator('img, [onclick]').count(), 0, 'and makes nothing');
  c.equal(messages, [], 'no messages');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
