// SPDX-License-Identifier: GPL-3.0-or-later
// The herd and the family of one: all listed, found by a part of a name, ears drawn from a tag by both keys, hostile names as
// text, the tree as the house says it with its lines, common ancestors told without colour, axe, zoom, print.
import { looks, checks, anew, asked, openBrowser, signIn } from './checks.mjs';
import { openFarm } from './browser.mjs';
import { noPoppler, odd, printed, recordAll, sticksOut, uidOf, zoomed } from './herd_kit.mjs';

const c = checks('herd'), house = await openFarm(), browser = await openBrowser();
process.on('exit', () => house.process?.kill());
const { page, messages } = await signIn(browser, house);
const refused = await recordAll(page, 'animal', [
  { name: odd.hostile, is: 'gilt', tag: '14-6', sire: 'Rook', dam: 'Vetch' }, { name: odd.rtl, is: 'gilt', tag: '301-7', sire: 'Rook', dam: 'Vetch' },
  { name: odd.long, is: 'gilt', tag: '161-161', sire: 'Rook', dam: 'Vetch' }, { name: odd.quotes, is: 'gilt', tag: '443-1', dam: odd.hostile }]);
c.equal(refused, [], 'four gilts with odd names are taken');
const h = await asked(page, '/api/herd');
await looks(c, page, house, 'herd');
await zoomed(c, page, 'herd');
c.equal(await page.locator('main tbody tr').count(), h.animals.length, 'one line an animal');

// Ears: the key of core/litter/notch.h. 14 = 9 + 3 + 1 + 1, 6 = 3 + 3; 161 = 81 + 27 + 27 + 9 + 9 + 3 + 3 + 1 + 1; 301 needs the local extra.
const ears = (n) => page.getByRole('img', { name: new RegExp(`^Ear notches of ${n},`) }), cuts = async (n) => ears(n).locator('.earline').evaluateAll((p) => p.map((x) => Number(x.dataset.notches)));
c.equal(await cuts('14-6'), [4, 2], 'the ears of 14-6: four notches and two');
c.ok(/own right ear, on your left, is litter 14: 9, 3, 1, 1\..*own left ear, on your right, is pig 6: 3, 3\./.test(await ears('14-6').getAttribute('aria-label')), 'told in words, the pig’s own right on the left');
c.equal(await cuts('161-161'), [9, 9], 'the most an ear holds');
const extra = await asked(page, '/api/reckon/notch?LITTER-PIG=301-7&local-extra=true');
c.equal(await cuts('301-7'), [extra.right.length, extra.left.length], '301-7 by the local extra, as the house cuts it');
c.ok(/Local extra/.test(await ears('301-7').getAttribute('aria-label')), 'and it is said that it is the local extra');
c.equal(await ears('443-1').count(), 0, 'no ears where no key holds the number');
c.ok(await ears('31-4').count() === 1 && await ears('32-7').count() === 1, 'animals of the demo have notches');
const corners = await ears('14-6').locator('.earline').evaluateAll((all) => all.map((p) => p.getAttribute('d').slice(1).split('L').length));
c.ok(corners.every((n) => n > 80), 'an ear is an outline with the notches cut out of it');

for (const n of [odd.hostile, odd.quotes]) c.equal(await page.locator('main').getByText(n, { exact: true }).count(), 1, `${n} is text`);
c.equal(await page.locator('main b[onclick], main img[src="x"]').count(), 0, 'and no element was made of it');
c.equal(await page.locator('main bdi', { hasText: odd.rtl }).count(), 1, 'a name that runs right to left stands apart');
await page.getByLabel('Name, tag or breed').fill('Brambl');
await page.keyboard.press('Enter');
await page.waitForFunction(() => document.querySelectorAll('main tbody tr').length === 1);
c.ok(/Bramble/.test(await page.locator('main tbody').innerText()), 'found by a part of her name');
await page.getByLabel('Name, tag or breed').fill(odd.hostile + 'x');
await page.keyboard.press('Enter');
await page.getByText('Nobody here has').waitFor();
c.equal(await page.locator('main').getByText(`${odd.hostile}x`, { exact: true }).count(), 1, 'what was searched for in vain is text');

// The tree: what the house says, each where it belongs, with lines.
const tree = async (uid, what) => {
  await anew(page, house, `herd/${uid}`);
  const f = (await asked(page, `/api/herd?family=${uid}&generations=4`)).family;
  c.equal(await page.locator('.anc:not(.bare)').count(), f.members.length, `${what}: every known ancestor stands in the tree`);
  const shown = await page.locator('.anc:not(.bare)').evaluateAll((all) => all.map((e) => [e.querySelector('.unseen').textContent.replace(': ', ''), e.querySelector('bdi').textContent]));
  const role = (k) => (k === 1 ? 'the animal' : [...k.toString(2).slice(1)].map((b) => (b === '0' ? 'sire' : 'dam')).join('’s '));
  c.equal(shown.sort().join('|'), f.members.map((m) => [role(m.index), m.name]).sort().join('|'), `${what}: each under its own child`);
  const common = f.members.filter((m) => m.common);
  c.equal(await page.locator('.anc.common').count(), common.length, `${what}: common ancestors are marked`);
  return { f, common };
};
const campion = h.animals.find((a) => a.name === 'Campion').uid, { common } = await tree(campion, 'Campion');
c.ok(common.length > 3, 'Campion has common ancestors');
/* Without colour: a double frame and a number; the same animal has the same number, another one another. */
const marks = await page.locator('.anc.common').evaluateAll((all) => all.map((e) => ({ name: e.querySelector('bdi').textContent, n: e.querySelector('.tagno').innerText.replace(/\D/g, ''), frame: getComputedStyle(e).borderTopStyle, width: getComputedStyle(e).borderTopWidth })));
c.ok(marks.every((m) => m.frame === 'double' && m.width === '4px'), 'a double frame');
c.equal(new Set(marks.map((m) => m.name + m.n)).size, new Set(marks.map((m) => m.name)).size, 'the same number is the same animal');
c.equal(new Set(marks.map((m) => m.n)).size, new Set(marks.map((m) => m.name)).size, 'and another animal has another');
c.equal(await page.locator('.anc:not(.common) .tagno').count(), 0, 'nobody else has a number');
/* Lines: at both widths the corner of child and parent is joined, drawn in ink. */
for (const width of [1280, 390]) {
  await page.setViewportSize({ width, height: 844 });
  const lines = await page.locator('.famtree li').evaluateAll((all) => all.filter((e) => e.parentElement.matches('.famtree li > ul')).map((e) => { const s = getComputedStyle(e, '::before'); return [s.borderTopWidth, s.borderTopStyle, parseFloat(s.width) > 5].join(); }));
  c.ok(lines.length > 10 && lines.every((l) => l === '2px,solid,true'), `a line from child to each parent at ${width}`);
}
const [first, second] = await page.locator('.famtree .anc').evaluateAll((all) => all.slice(0, 2).map((e) => e.getBoundingClientRect().toJSON()));
c.ok(second.top >= first.bottom - 1 && second.left > first.left, 'on a phone the parents stand below, set in');
await page.setViewportSize({ width: 1280, height: 800 });
const side = await page.locator('.famtree .anc').evaluateAll((all) => all.slice(0, 2).map((e) => e.getBoundingClientRect().toJSON()));
c.ok(side[1].left > side[0].right, 'on a laptop beside');
await looks(c, page, house, `herd/${campion}`);
await zoomed(c, page, 'family');
if (!noPoppler()) for (const paper of ['a4']) {
  c.equal(await sticksOut(page, paper), [], `family on ${paper}: nothing sticks out`);
  const p = await printed(page, house, `family-${paper}`);
  c.equal([p.pages, p.outside], [1, []], `family on ${paper}: one page, nothing cut`);
  c.ok(p.words > 50 && marks.every((m) => p.text.includes(m.name)), 'every common ancestor is on paper');
}
const { f: young } = await tree(uidOf(1), 'a gilt with a hostile name');
c.ok(young.common.length > 0, 'her parents are kin');
await tree(uidOf(4), 'one parent known');
c.equal(await page.locator('.anc.bare', { hasText: 'sire not known' }).count(), 1, 'the other is said to be not known');
await tree(uidOf(2), 'a name from right to left');
await tree(uidOf(3), 'a long name');
c.equal(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false, 'a long name wraps');
const meg = (await asked(page, '/api/herd?all=1&search=Old%20Meg')).animals[0].uid;
await tree(meg, 'no parent known');
c.equal(await page.locator('.anc.bare').innerText(), 'parents not known', 'a founder: no empty tree');
c.equal(messages, [], 'the console is silent');
await browser.close();
await house.close();
process.exit(c.end());
