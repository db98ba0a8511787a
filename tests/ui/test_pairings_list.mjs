// SPDX-License-Identifier: GPL-3.0-or-later
// The list of pairings on paper: boar by boar as the house decides, with tags, days and boxes; the caution; whom he must not meet;
// odd names, axe, zoom, both papers read back by poppler, the states without a boar and without a farm's plan.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openFarm } from './browser.mjs';
import { anew, asked, checks, looks, openBrowser, signIn } from './checks.mjs';
import { flat, noPoppler, odd, printed, recordAll, sticksOut, zoomed } from './herd_kit.mjs';

const c = checks('pairing list'), house = await openFarm(), browser = await openBrowser();
process.on('exit', () => house.process?.kill());
const { page, messages } = await signIn(browser, house);
/** The sections of the sheet: boar, sows, and each row's cells. */
const read = () => page.locator('.plist section').evaluateAll((all) => all.map((s) => ({ boar: s.querySelector('h2 bdi')?.textContent ?? s.querySelector('h2').textContent, text: s.innerText,
  rows: [...s.querySelectorAll('tbody tr')].map((r) => ({ sow: r.querySelector('th bdi').textContent, tag: r.querySelector('.tagcol bdi')?.textContent ?? null, from: r.querySelector('.date').innerText, to: r.querySelector('.out').innerText, lines: r.querySelectorAll('.write').length, why: r.querySelector('.reason').innerText, boxes: r.querySelectorAll('.box').length })) })));

await anew(page, house, 'pairing-list');
const p = await asked(page, '/api/pairings'), h = await asked(page, '/api/herd?all=1'), of = (uid) => h.animals.find((a) => a.uid === uid), s = await read();
c.equal(s.filter((x) => p.boars.some((b) => b.name === x.boar)).map((x) => [x.boar, x.rows.map((r) => r.sow)]), p.boars.map((b) => [b.name, p.plan.filter((x) => x.boar_uid === b.uid).map((x) => x.sow)]), 'boar by boar, each sow once');
const rows = s.flatMap((x) => x.rows);
c.equal(rows.map((r) => [r.sow, r.tag]).sort(), p.plan.filter((x) => x.boar).map((x) => [x.sow, of(x.uid).tag]).sort(), 'with their tags');
c.ok(rows.every((r) => r.boxes === 3), 'three boxes to tick for each');
for (const x of p.plan) c.ok(flat(rows.find((r) => r.sow === x.sow).why).startsWith(`${x.word}, ${(x.f * 100).toFixed(1)} %`), `${x.sow}: why in few words`);
const row = (n) => rows.find((r) => r.sow === n);
c.ok(/^8 December, with him now/.test(row('Burdock').from) && row('Burdock').lines === 1, 'the boar she runs with, since when; till when is a line to write on');
c.ok(/now with Thorn/.test(row('Mallow').from), 'one that runs with another boar now: said');
const late = p.plan.find((x) => x.free_on && x.free_on > p.from && !/now with/.test(row(x.sow).from) && x.sow !== 'Burdock');
c.ok(flat(row(late.sow).from).includes(`about ${Number(late.free_on.slice(8))} `), `${late.sow}: from when she is free`);
for (const b of p.boars) {
  const no = p.pairs.filter((x) => x.boar === b.name && !x.chosen && (x.too_close || x.forbidden)), text = flat(s.find((x) => x.boar === b.name).text);
  for (const x of no) c.ok(text.includes(`${x.sow} (`), `${b.name} must not meet ${x.sow}`);
  c.equal(text.includes('Not to him'), no.length > 0, `${b.name}: whom he must not meet`);
}
const whole = flat(await page.locator('.plist').innerText());
c.ok(whole.includes('Never with your back to a boar.') && whole.includes('a board in hand') && whole.includes('stays apart first, as long as your vet asks for'), 'the cautions');
c.ok(whole.includes('Larkmoor') && whole.includes('none settled yet') && whole.includes('Pairings from 22 January 2026'), 'whose, from when, and how settled');
await looks(c, page, house, 'pairing-list');
await zoomed(c, page, 'pairing list');

const onPaper = async (what, most) => {
  if (noPoppler()) { console.log('skipped: no poppler here'); return; }
  for (const [paper, button, w, h2] of [['a4', 'A4', 595, 842], ['letter', 'US Letter', 612, 792]]) {
    await page.getByRole('button', { name: button, exact: true }).click();
    const d = await printed(page, house, `pairing-list-${what}-${paper}`), packed = d.text.replace(/ /g, '');
    c.ok(Math.abs(d.w - w) < 1 && Math.abs(d.h - h2) < 1, `${what}: ${paper} has its size`);
    c.ok(d.pages <= most[paper], `${what} on ${paper}: ${d.pages} pages, at most ${most[paper]}`);
    c.equal(d.outside, [], `${what} on ${paper}: nothing over the edge`);
    c.equal(await sticksOut(page, paper), [], `${what} on ${paper}: nothing sticks out`);
    for (const n of [...p.plan.map((x) => x.sow), ...p.boars.map((b) => b.name), 'Never with your back to a boar', 'served']) c.ok(packed.includes(n.replace(/ /g, '')), `${what} on ${paper}: ${n}`);
    c.ok(!/Back to the pairings|US Letter/.test(d.text), `${what} on ${paper}: no buttons`);
  }
};
await onPaper('demo', { a4: 1, letter: 1 });

// Settled, by hand, odd names, a boar from elsewhere, one bound to a run with an end.
c.equal(await recordAll(page, 'animal', [
  { name: odd.hostile, is: 'sow', tag: '14-6', sire: 'Bracken', dam: 'Nettle', born: '2023-02-02' }, { name: odd.long, is: 'sow', sire: 'Moss', dam: 'Willow', born: '2023-03-03', tag: 'L'.repeat(24) },
  { name: odd.rtl, is: 'boar', sire: 'Tern', dam: 'Poppy', born: '2023-05-01', 'sows-most': 2 }]), [], 'odd animals');
c.equal(await recordAll(page, 'pairing', [{ sow: odd.hostile, boar: odd.rtl, from: '2026-01-22' }]), [], 'one is settled');
c.equal(await recordAll(page, 'boar_run', [{ sow: odd.hostile, boar: odd.rtl, from: '2026-01-20 09:00', to: '2026-02-20 09:00' }]), [], 'and runs with him');
await anew(page, house, 'pairing-list');
const t = await read(), his = t.find((x) => x.boar === odd.rtl), hers = his.rows.find((r) => r.sow === odd.hostile);
c.ok(hers && /settled/.test(hers.why), 'settled is said');
c.ok(/^20 January, with him now/.test(hers?.from) && /20 February/.test(hers?.to), `from and to, where they are known: ${hers?.from}, ${hers?.to}`);
c.equal(await page.locator('.plist b[onclick], .plist img').count(), 0, 'a name is text');
c.ok(flat(await page.locator('.plist').innerText()).includes('1 of 14 settled'), 'how many are settled');
await looks(c, page, house, 'pairing-list', { pictures: undefined });
await onPaper('odd', { a4: 2, letter: 2 });
c.equal(messages, [], 'the console is silent');
await house.close();

// Nobody to pair: said, and no empty sheet.
const folder = mkdtempSync(join(tmpdir(), 'leenest-bare-')), bare = await openFarm({ farm: join(folder, 'new.leenest') }), other = await signIn(browser, bare);
process.on('exit', () => bare.process?.kill());
c.equal(await other.page.evaluate(async () => (await fetch('/api/begin', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ name: 'Emptyleigh', lat: '54.6', lon: '-2.4', zone: 'Europe/London' }) })).status), 200, 'a farm without animals');
await anew(other.page, bare, 'pairing-list');
c.ok(/No boar is written down here/.test(await other.page.locator('main').innerText()), 'without a boar it says so');
c.equal(await other.page.locator('.plist').count(), 0, 'and there is no empty sheet');
c.equal(other.messages.filter((m) => !/^\/held: .* 404 /.test(m)), [], 'the console is silent there too, but for what was asked before there was a farm');
await bare.close();
rmSync(folder, { recursive: true });
await browser.close();
process.exit(c.end());
