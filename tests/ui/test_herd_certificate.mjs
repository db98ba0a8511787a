// SPDX-License-Identifier: GPL-3.0-or-later
// The sheet of one animal for a buyer: what the house says stands on it and nothing else; it says what it is not; odd names, axe,
// zoom, both papers read back by poppler.
import { openFarm } from './browser.mjs';
import { anew, asked, checks, looks, openBrowser, signIn } from './checks.mjs';
import { flat, noPoppler, odd, printed, recordAll, sticksOut, uidOf, zoomed } from './herd_kit.mjs';

const c = checks('herd certificate'), house = await openFarm(), browser = await openBrowser();
process.on('exit', () => house.process?.kill());
const { page, messages } = await signIn(browser, house);
const sheet = async (uid) => { await anew(page, house, `certificate/${uid}`); return flat(await page.locator('.sheet').innerText()); };
const says = (text, what, ...all) => { for (const w of all) c.ok(text.includes(flat(w)), `${what} says "${w}"`); };
const h = await asked(page, '/api/herd?all=1'), of = (n) => h.animals.find((a) => a.name === n);

// One of the demo herd: all of it from the house.
const campion = of('Campion'), text = await sheet(campion.uid), f = (await asked(page, `/api/herd?all=1&family=${campion.uid}`)).family;
says(text, 'Campion', 'Pedigree of Campion', 'Larkmoor', '31-4', '30 December 2024', 'gilt, female', 'Hedgerow Black', 'Signature', 'Date', `Inbreeding: ${(f.f * 100).toFixed(1)} %`, f.common[0].name,
  'The breeder’s own statement. No breed society’s certificate, no paper on health or medicine.', 'this farm is invented', 'written down on 22 January 2026, by Wenna', 'for the breed society to decide');
for (const m of f.members.filter((x) => x.generation > 0)) says(text, 'Campion', m.name);
const at = (g) => f.members.filter((m) => m.generation === g).length;
says(text, 'completeness', 'Parents: both.', 'Grandparents: all 4.', `Great-grandparents: ${at(3)} of 8.`, `Before those: ${at(4)} of 16.`);
c.ok(at(4) > 0, 'four generations are there');
c.ok(/litter at birth not recorded/.test(text) && /teats not recorded/.test(await sheet(of('Vetch').uid)), 'what is not recorded is said to be so');
c.equal(await page.locator('.sheet .ear').count(), 2, 'her ears are drawn');
c.equal(f.common.reduce((s, x) => s + x.part, 0).toFixed(9), f.f.toFixed(9), 'the parts named beside F add up to it, as the house promises');
await looks(c, page, house, `certificate/${campion.uid}`);
await zoomed(c, page, 'certificate');

// A boar elsewhere, a founder, a sow under a waiting time, one sold.
says(await sheet(of('Bracken').uid), 'Bracken', 'boar, male', 'Elsewhere', 'born');
says(await sheet(of('Old Meg').uid), 'a founder', 'No parent is recorded.', 'So little is known that the figure says nothing.');
c.equal(await page.locator('.sheet .anc, .sheet .ear').count(), 0, 'no empty tree, no ears');
c.equal(await recordAll(page, 'treatment', [{ animal: 'Clover', at: '2026-01-20 09:00', what: 'as the vet set', 'withdrawal-ends': '2026-02-11' }]), [], 'a waiting time');
says(await sheet(of('Clover').uid), 'Clover', 'Not for meat before 11 February 2026', '4 litters');

// All of it recorded: the litter she was born in, teats, odd names, another hand on another day; a name in both lines.
c.equal(await recordAll(page, 'farrowing', [{ sow: 'Bramble', start: '2025-02-01 22:30', end: '2025-02-02 01:10', 'born-alive': 9, still: 1 }]), [], 'a litter');
c.equal(await recordAll(page, 'animal', [
  { name: odd.hostile, is: 'gilt', tag: '14-6', sire: 'Thorn', dam: 'Bramble', born: '2025-02-02', teats: 14, 'blind-teats': 0 },
  { name: odd.rtl, is: 'boar', tag: '301-7', sire: 'Flint', dam: odd.hostile, born: '2025-12-30', teats: 13 },
  { name: odd.long, is: 'gilt', sire: odd.rtl, dam: odd.hostile, tag: odd.quotes.slice(0, 20), breed: `${'Of a breed with a very long name, '.repeat(3)}and more` },
  { name: `${odd.long}-2`, is: 'gilt', sire: odd.rtl, dam: odd.hostile }]), [], 'odd animals');
const first = await asked(page, '/api/herd?all=1'), [hostile, rtl, long] = [odd.hostile, odd.rtl, odd.long].map((n) => first.animals.find((a) => a.name === n));
let t = await sheet(hostile.uid);
says(t, 'the first', odd.hostile, '9 born alive, 1 dead', '14 good, none blind', '2 February 2025', 'the litter it was born in', 'Tam', 'Wenna');
c.equal((await page.locator('.written li').allInnerTexts()).map((x) => flat(x).replace(/ on \d+ \w+ \d+/, '')), ['This animal and the litter it was born in: written down, by Tam.', 'Its sire, its dam and 10 ancestors before them: written down, by Wenna.'], 'who and when, what is alike together');
c.equal(await page.locator('.sheet b[onclick], .sheet img').count(), 0, 'a name is text');
says(await sheet(rtl.uid), 'right to left', odd.rtl, 'Local extra', '13 good');
t = await sheet(long.uid);
says(t, 'the long one', odd.long);
c.ok(await page.locator('.anc.common .tagno').count() > 4, 'ancestors of both sides are numbered');

if (noPoppler()) console.log('skipped: no poppler here');
else for (const [uid, what, pages] of [[campion.uid, 'campion', [1, 1]], [hostile.uid, 'hostile', [1, 1]], [rtl.uid, 'rtl, all known', [1, 2]], [long.uid, 'long', [2, 2]], [of('Old Meg').uid, 'founder', [1, 1]]]) {
  await anew(page, house, `certificate/${uid}`);
  for (const [paper, button, w, h2] of [['a4', 'A4', 595, 842], ['letter', 'US Letter', 612, 792]]) {
    await page.getByRole('button', { name: button, exact: true }).click();
    const p = await printed(page, house, `certificate-${what}-${paper}`), shown = await page.locator('.anc:not(.bare) b bdi').allInnerTexts();
    c.ok(Math.abs(p.w - w) < 1 && Math.abs(p.h - h2) < 1, `${what}: ${paper} has its size: ${p.w} x ${p.h}`);
    const most = pages[paper === 'a4' ? 0 : 1];
    c.ok(p.pages <= most, `${what} on ${paper}: ${p.pages} pages, at most ${most}`);
    c.equal(p.outside, [], `${what} on ${paper}: nothing over the edge`);
    c.equal(await sticksOut(page, paper), [], `${what} on ${paper}: nothing sticks out of the sheet`);
    const packed = p.text.replace(/ /g, '');
    for (const n of shown.filter((x) => !/[א-ת]/.test(x))) c.ok(packed.includes(n.slice(0, 12).replace(/ /g, '')), `${what} on ${paper}: ${n}`);
    for (const n of ['Signature', 'Date handed over', 'No breed society’s certificate']) c.ok(p.text.includes(n), `${what} on ${paper}: ${n}`);
    c.ok(!/Pages|Back to the family|US Letter|Round/.test(p.text), `${what} on ${paper}: no buttons`);
  }
}
// Black and white: nothing on paper has a hue.
await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
c.equal(await page.evaluate(() => [...document.querySelectorAll('.sheet, .sheet *')].flatMap((e) => { const s = getComputedStyle(e); return [s.color, s.backgroundColor, s.borderTopColor, s.stroke, s.fill]; }).filter((x) => { const m = /^rgba?\((\d+), (\d+), (\d+)/.exec(x); return m && (m[1] !== m[2] || m[2] !== m[3]); }).slice(0, 3)), [], 'black, white and grey alone, on a dark screen too');
await page.emulateMedia({ media: null, colorScheme: 'light' });

// The way there and back; without an animal.
await anew(page, house, `herd/${campion.uid}`);
await page.getByRole('link', { name: 'Paper for a buyer' }).click();
await page.waitForSelector('.cert');
await page.locator('.screenonly').getByRole('link', { name: 'Back to the family' }).click();
await page.waitForSelector('.family');
await anew(page, house, 'certificate');
c.ok(/Choose the animal/.test(await page.locator('main').innerText()), 'without an animal it says where to choose one');
c.equal(messages, [], 'the console is silent');

// West of Greenwich a birthday is still that day.
await house.close();
const west = await openFarm();
const other = await signIn(browser, west), page2 = other.page;
const farm = (await asked(page2, '/api/list/farm?most=5')).facts[0];
c.equal(await page2.evaluate(async ([uid, fact]) => (await fetch('/api/record/farm', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ uid, replaces: fact.uid, fact: { ...fact.fact, zone: 'America/Chicago', units: 'us' } }) })).status, [uidOf(900), farm]), 200, 'the farm moves west');
await anew(page2, west, `certificate/${(await asked(page2, '/api/herd')).animals.find((a) => a.name === 'Campion').uid}`);
c.ok(/30 December 2024/.test(await page2.locator('.sheet').innerText()), 'born on the same day in Chicago');
c.equal(await page2.locator('.sheet.letter').count(), 1, 'US Letter where the farm reckons in feet');
c.equal(other.messages, [], 'the console is silent there too');
await browser.close();
await west.close();
process.exit(c.end());
