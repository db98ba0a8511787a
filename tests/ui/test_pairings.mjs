// SPDX-License-Identifier: GPL-3.0-or-later
// Which boar to which sow: the table says what the house says; one pair put otherwise by keyboard, by mouse, by dragging; put
// back; odd names; kept; the founders' bars; axe, two sizes, light and dark, zoom.
import { openFarm } from './browser.mjs';
import { anew, asked, checks, looks, openBrowser, signIn, tabTo } from './checks.mjs';
import { noPoppler, odd, printed, recordAll, zoomed } from './herd_kit.mjs';

const c = checks('pairings'), house = await openFarm(), browser = await openBrowser();
process.on('exit', () => house.process?.kill());
const { page, messages } = await signIn(browser, house);
c.equal(await recordAll(page, 'animal', [
  { name: odd.hostile, is: 'sow', tag: '14-6', sire: 'Bracken', dam: 'Nettle', born: '2023-02-02' }, { name: odd.rtl, is: 'boar', sire: 'Tern', dam: 'Poppy', born: '2023-05-01', 'sows-most': 1 },
  { name: odd.long, is: 'sow', sire: 'Moss', dam: 'Willow', born: '2023-03-03' }]), [], 'two sows and a boar with odd names');
await anew(page, house, 'pairings');
const p = await asked(page, '/api/pairings'), founders = await asked(page, '/api/founders');
c.equal(await page.locator('.matrix tbody tr').count(), p.plan.length, 'one row a sow');
c.equal(await page.locator('.matrix td').count(), p.pairs.length, 'one cell a pair');
c.equal(await page.locator('.matrix td.pick').count(), p.plan.filter((s) => s.boar).length, 'the chosen in straw');
c.equal(await page.locator('.matrix td.no').count(), p.pairs.filter((x) => !x.chosen && (x.too_close || x.forbidden)).length, 'too close is marked');
c.equal(await page.locator('.matrix th a').allInnerTexts(), p.plan.map((s) => s.sow), 'every sow by name, the odd ones too');
c.equal(await page.locator('main b[onclick], main img').count(), 0, 'a name is text');
c.equal(await page.locator('.matrix td.pick .tag').count(), p.plan.filter((s) => s.boar).length, 'chosen is said, not only coloured');
await looks(c, page, house, 'pairings');
await zoomed(c, page, 'pairings');

// A sentence with a name from right to left keeps its figures in place: the name stands apart in it.
const turned = page.locator('ul.why li', { hasText: odd.rtl });
c.ok(await turned.count() > 0 && await turned.locator('bdi').count() >= await turned.count(), 'names from right to left stand apart in the sentences');

// The founders: each bar as long as its share, on one scale; the lost dashed and said.
const bars = await page.locator('.founders li').evaluateAll((all) => all.map((li) => ({ name: li.querySelector('b').textContent, w: Number(li.querySelector('rect').getAttribute('width')), dashed: getComputedStyle(li.querySelector('rect')).strokeDasharray !== 'none', says: li.querySelector('span').innerText })));
c.equal(bars.map((b) => b.name), founders.founders.map((f) => f.name), 'every founder has a bar');
const top = Math.max(...founders.founders.map((f) => f.share));
c.ok(bars.every((b, i) => founders.founders[i].lost || Math.abs(b.w - (founders.founders[i].share / top) * 196) < 1.5), 'each bar as long as its share');
c.ok(bars.every((b, i) => b.dashed === founders.founders[i].lost && /^lost/.test(b.says) === founders.founders[i].lost), 'lost ones are dashed, and said to be lost');

const settledDown = async () => {
  await page.getByText('Put by hand:').waitFor();
  await page.waitForFunction(() => !/being decided again/.test(document.querySelector('main').innerText));
};
const mean = (f) => (f * 100).toFixed(1);
/** It stands as the house says for the same pairs. */
const stands = async (fix, what) => {
  const uid = (s, b) => `${p.plan.find((x) => x.sow === s).uid}=${p.boars.find((x) => x.name === b).uid}`;
  const by = await asked(page, `/api/pairings?${fix.map(([s, b]) => `fix=${uid(s, b)}`).join('&')}`), note = await page.locator('.note').first().innerText();
  c.ok(mean(by.mean_f) === mean(p.mean_f) || note.includes(mean(by.mean_f)), `${what}: the change in the mean is said: ${note}`);
  for (const [s, b] of fix) c.equal(by.plan.find((x) => x.sow === s)?.boar, b, `${what}: ${s} to ${b}`);
  c.equal(await page.locator('.matrix .tag', { hasText: 'by hand' }).count(), fix.length, `${what}: so many by hand`);
  const shown = await page.locator('.matrix tbody tr').evaluateAll((rows) => rows.map((r) => [r.querySelector('th').innerText.trim(), [...r.querySelectorAll('td')].findIndex((d) => d.classList.contains('pick'))]));
  c.equal(shown, by.plan.map((x) => [x.sow, by.boars.findIndex((b) => b.name === x.boar)]), `${what}: the others as the house decides them`);
  return by;
};
const labelled = (l) => /^(.*) to (.*): [\d.]/.exec(l).slice(1, 3);

// By the keyboard alone, all the way from the top of the page.
await page.setViewportSize({ width: 1280, height: 800 });
await page.evaluate(() => document.activeElement?.blur());
c.ok(await tabTo(page, '.matrix button.cell'), 'a pair is reached by Tab');
const byKey = labelled(await page.evaluate(() => document.activeElement.getAttribute('aria-label')));
await page.keyboard.press('Enter');
await settledDown();
await stands([byKey], 'by keyboard');
c.equal(await page.locator('[role=status]').count() > 0, true, 'what changed is told to a screen reader');
c.ok(await tabTo(page, '.note .inlinebtn'), 'Put back is reached by Tab');
await page.keyboard.press('Space');
await page.waitForFunction(() => !document.querySelector('.matrix .tag')?.closest('main').innerText.includes('Put by hand'));
c.equal(await page.locator('.matrix .tag', { hasText: 'by hand' }).count(), 0, 'put back by keyboard');

// By the mouse: pressed, then dragged.
const press = page.locator('.matrix button.cell').nth(3), byPress = labelled(await press.getAttribute('aria-label'));
await press.click();
await settledDown();
await stands([byPress], 'pressed');
/** Take the word in her row and let it go over another boar of the same row. */
const drag = async (row, cell) => {
  const tag = page.locator('.matrix tbody tr').nth(row).locator('.tag'), to = page.locator('.matrix tbody tr').nth(cell.row ?? row).locator('td').nth(cell.col);
  await tag.scrollIntoViewIfNeeded();
  const a = await tag.boundingBox(), b = await to.boundingBox();
  await page.mouse.move(a.x + a.width / 2, a.y + a.height / 2);
  await page.mouse.down();
  await page.mouse.move((a.x + b.x) / 2, a.y + 6, { steps: 6 });
  await page.mouse.move(b.x + b.width / 2, b.y + b.height / 2, { steps: 8 });
  await page.mouse.up();
};
const r = p.plan.findIndex((s) => s.sow === 'Tansy'), free = p.boars.findIndex((b) => b.name === 'Rook');
c.ok(byPress[0] !== 'Tansy', 'another sow was pressed');
await drag(r, { col: free });
await page.getByText(/Tansy to Rook/).first().waitFor();
await settledDown();
await stands([byPress, ['Tansy', 'Rook']], 'dragged');
/* Over the row of another sow nothing happens. */
const other = await page.locator('.note').first().innerText(), r2 = r === 0 ? 1 : r - 1;
await drag(r, { row: r2, col: 0 });
await page.waitForTimeout(300);
c.equal(await page.locator('.note').first().innerText(), other, 'let go over another sow’s row: nothing changes');
/* The hostile one, by keyboard, and the list for the gate has what was put by hand. */
const hers = page.getByRole('button', { name: `${odd.hostile} to `, exact: false }).first(), byHostile = labelled(await hers.getAttribute('aria-label'));
await hers.focus();
await page.keyboard.press('Enter');
await page.waitForFunction(() => document.querySelectorAll('.matrix .tag').length && [...document.querySelectorAll('.matrix .tag')].filter((t) => t.innerText === 'by hand').length === 3);
await settledDown();
await stands([byPress, ['Tansy', 'Rook'], byHostile], 'a hostile name');
await page.getByRole('link', { name: 'List for the gate' }).click();
await page.waitForSelector('.plist');
const list = await page.locator('.plist').innerText();
c.ok(/3 put by hand/.test(list) && (list.match(/by hand/g) ?? []).length >= 4, 'they come along to the list');
await page.goBack();
await page.waitForSelector('.matrix');
c.equal(await page.locator('.matrix .tag', { hasText: 'by hand' }).count(), 0, 'left and come back, the plan is as reckoned');

// Kept, with one by hand.
const again = page.getByRole('button', { name: `${byPress[0]} to ${byPress[1]}:`, exact: false });
await again.click();
await settledDown();
await page.locator('main').getByRole('button', { name: 'Keep this plan' }).click();
await page.getByText(/pairs? kept, for the season/).waitFor();
const kept = await asked(page, '/api/list/pairing?most=100');
c.equal(kept.facts.filter((f) => f.fact.decided === 'by-hand').length, 1, 'one pair is kept as by hand');
c.ok(kept.facts.some((f) => f.shown.sow === byPress[0] && f.shown.boar === byPress[1]), 'and it is the one that was put');
c.equal(kept.facts.length, p.plan.length, 'the others as reckoned');
await anew(page, house, 'pairings');
c.equal(await page.locator('.matrix .tag', { hasText: 'settled' }).count(), p.plan.length, 'what is kept stands as settled');
c.equal(await page.locator('.matrix button.cell').count(), 0, 'and is not put otherwise by a slip');
if (!noPoppler()) { const d = await printed(page, house, 'pairings'); c.ok(d.words > 200 && d.outside.length === 0, `it prints, ${d.pages} pages: ${d.outside}`); }
c.equal(messages, [], 'the console is silent');
await browser.close();
await house.close();
process.exit(c.end());
