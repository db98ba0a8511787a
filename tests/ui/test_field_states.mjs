// SPDX-License-Identifier: GPL-3.0-or-later
// The field in its rarer states: it hardly matters which way a hut looks, two ways are as good, no past weather, danger from heat.
// Each farm has weather of one kind, so that what must come out is known beforehand.
import { openFarm } from './browser.mjs';
import { asked, checks, looks, open, openBrowser, signIn } from './checks.mjs';
import { newFarm } from './farm_kit.mjs';

const c = checks('field states'), browser = await openBrowser(), H = 3600e3;
const plain = (s) => s.replace(/[\u00a0\u202f]/g, ' ').replaceAll('−', '-');
const winter = (made, hour) => made.weather('past', Date.UTC(2024, 10, 1), 151 * 24, hour);
function hutted(at) {
  const made = newFarm({ at });
  made.tell('record', 'paddock', '--name', 'Long Ground', '--width', '120', '--length', '80');
  made.tell('record', 'shelter', '--name', 'Hut 1', '--length', '2.4', '--width', '1.8');
  made.tell('record', 'placement', '--shelter', 'Hut 1', '--paddock', 'Long Ground', '--x', '60', '--y', '40', '--facing', '180', '--straw-depth', '0.2', '--from', '2024-10-01');
  return made;
}
async function state(made, work, refusals = []) {
  let house;
  try {
    house = await openFarm({ farm: made.path });
    const { context, page, messages, wanted } = await signIn(browser, house);
    wanted.push(...refusals);
    await open(page, house, 'field');
    await work({ page, house, words: plain(await page.locator('#main').innerText()), f: await asked(page, '/api/field') });
    c.equal(messages, [], 'no message in the console');
    await context.close();
  } catch (e) { c.ok(false, String(e.stack ?? e).split('\n').slice(0, 4).join(' / ')); } finally { await house?.close(); made.close(); }
}

// Calm, grey, dry: nothing can differ. Wind by turns from all sides: hardly anything.
for (const [what, hour] of [['calm', () => ({ wind: 0, from: '' })], ['wind from all sides alike', (i) => ({ from: (i % 36) * 10 })]]) {
  const made = hutted('2025-12-10T15:00:00Z');
  winter(made, hour);
  await state(made, async ({ page, house, words }) => {
    const w = await asked(page, '/api/where');
    c.ok(w.hardly_matters || w.nothing_differs, `${what}: the house says that it hardly matters`);
    c.ok(/hardly matters which way Hut 1 looks/.test(words), `${what}: the sentence says so`);
    c.equal(await page.locator('.job').count(), 0, `${what}: no job says to turn the hut`);
    c.ok(!/Best looks|Best is|Turn Hut 1/.test(words), `${what}: and no way is called the best`);
    c.equal(await page.locator('.dial .turner svg circle.l-straw.wrim2').count(), 1, `${what}: the straw rim is closed`);
    c.equal(await page.locator('.dial .turner svg path.l-straw.wrim2, .dial .turner svg line.l-straw').count(), 0, `${what}: no piece of a rim, no needle`);
    c.ok(/hardly matters/.test(await page.locator('.turner').getAttribute('aria-valuetext')), `${what}: read aloud it is the same`);
    c.ok(await page.locator('.hands button.do').count() === 0 && await page.locator('.hands').getByRole('button', { name: /^Try \d/ }).count() === 0, `${what}: no button to try a best that is none`);
    const band = await page.locator('.sec svg rect.f-strawsoft').first(), svg = page.locator('.sec svg', { has: page.locator('rect.f-strawsoft') }).first();
    const [b, s] = [await band.boundingBox(), await svg.boundingBox()];
    c.ok(b.width > 0.8 * s.width && await page.locator('.sec svg circle').count() === 0, `${what}: the curve is straw all along and has no best`);
    c.ok(!/NaN|Infinity|undefined/.test(await page.locator('#main').innerHTML()), `${what}: no figure is missing`);
    if (what === 'calm') await looks(c, page, house, 'field');
  });
}

// A day from the north, a day from the south, as strong: east and west are as good, by the symmetry of it.
{
  const made = hutted('2025-12-10T15:00:00Z');
  winter(made, (i) => ({ from: Math.floor(i / 24) % 2 ? 0 : 180 }));
  await state(made, async ({ page, house, words }) => {
    const w = await asked(page, '/api/where');
    c.equal(w.arcs.length, 2, 'two arcs');
    for (const deg of [90, 270]) c.ok(w.arcs.some((a) => a.from_deg <= deg && deg <= a.to_deg), `one of them round ${deg}`);
    c.ok(/Two ways are as good: from \d+° to \d+°, or from \d+° to \d+°/.test(words), 'both stand in the sentence');
    for (const a of w.arcs) c.ok(words.includes(`from ${Math.round(a.from_deg)}° to ${Math.round(a.to_deg)}°`), `from ${a.from_deg} to ${a.to_deg}`);
    c.equal(await page.locator('.dial .turner svg path.l-straw.wrim2').count(), 2, 'the rim has two pieces');
    // each piece lies on the side its degrees say: east is right, west is left of the middle
    const at = await page.locator('.dial .turner svg path.l-straw.wrim2').evaluateAll((all) => all.map((p) => { const b = p.getBBox(); return b.x + b.width / 2 > 210 ? 'east' : 'west'; }));
    c.equal(at.sort(), ['east', 'west'], 'one in the east, one in the west');
    c.equal(await page.locator('.dial .turner svg line.l-straw').count(), 1, 'one needle');
    const best = Math.round(w.best_facing_deg), other = best === 90 ? 270 : 90;
    c.ok((await page.locator('.job .what').innerText()).includes('Hut 1'), 'a hut that looks into the wind is to be turned');
    // turned to the other good way, the page calls it well
    const turner = page.locator('.turner');
    await turner.focus();
    for (let i = 0; i < 18; i++) await page.keyboard.press(other === 270 ? 'ArrowRight' : 'ArrowLeft');
    c.equal(Number(await turner.getAttribute('aria-valuenow')), other, 'turned to the other good way');
    await page.getByRole('button', { name: `Hut is turned to ${other}°` }).first().click();
    await page.locator('.saidline', { hasText: 'is turned' }).waitFor();
    await page.waitForFunction(() => /: well\./.test(document.querySelector('.lead')?.textContent ?? ''));
    c.equal(await page.locator('.job').count(), 0, 'then no job is left: either way will do');
    await looks(c, page, house, 'field');
  });
}

// No past hours at all; and past hours, but none of a winter.
for (const summer of [false, true]) {
  const made = hutted('2025-12-10T15:00:00Z'), what = summer ? 'a summer alone' : 'no past weather';
  if (summer) made.weather('past', Date.UTC(2024, 5, 1), 60 * 24, () => ({ temp: 15 }));
  await state(made, async ({ page, house, words }) => {
    c.ok(/not known yet/.test(words), `${what}: it is said that the best way is not known`);
    const way = page.locator('#main a[href="/weather#bring"]');
    c.equal(await way.count(), 1, `${what}: one way on`);
    c.ok(!/Best looks|hardly matters/.test(words), `${what}: nothing is called good`);
    c.equal(await page.locator('.dial svg path.l-straw, .dial svg circle.l-straw').count(), 0, `${what}: no straw on the dial`);
    c.equal(await page.locator('.sec h2', { hasText: 'Why' }).count(), 0, `${what}: no chart stands empty`);
    c.equal(await page.locator('.planbox circle[data-hut="Hut 1"]').count(), 1, `${what}: the plan has its hut`);
    await page.locator('.turner').focus();
    await page.keyboard.press('ArrowRight');
    c.ok(await page.getByRole('button', { name: 'Hut is turned to 185°' }).first().isVisible(), `${what}: a hut can be turned and written down all the same`);
    if (!summer) await looks(c, page, house, 'field');
    await way.click();
    await page.locator('#bring').waitFor();
    await page.waitForFunction(() => { const b = document.querySelector('#bring')?.getBoundingClientRect(); return b && b.top < innerHeight && b.bottom > 0; });
    c.ok(true, `${what}: and lands where weather is brought in`);
  }, [summer ? /40[04]/ : /404/]); // the house refuses to reckon a facing
}

// A hot July: a sow due that night in a steel hut. Heat is told in its own words and marks, cold is not spoken of.
{
  const now = Date.UTC(2025, 6, 10, 12), made = newFarm({ at: '2025-07-10T12:00:00Z' });
  made.tell('record', 'paddock', '--name', 'Long Ground', '--width', '120', '--length', '80');
  made.tell('record', 'shelter', '--name', 'Hut 1', '--length', '2.4', '--width', '1.8', '--wall', 'steel');
  made.tell('record', 'placement', '--shelter', 'Hut 1', '--paddock', 'Long Ground', '--x', '60', '--y', '40', '--facing', '180', '--straw-depth', '0.1', '--from', '2025-06-01');
  made.tell('record', 'animal', '--name', 'Sorrel', '--is', 'sow');
  made.tell('record', 'service', '--sow', 'Sorrel', '--at', '2025-03-17');
  made.tell('record', 'move', '--animal', 'Sorrel', '--at', '2025-07-01', '--to-placement', 'Hut 1');
  made.weather('forecast', now - H, 120, (i) => ({ temp: 31 + 6 * Math.cos(((i - 3) * Math.PI) / 12), wind: 0.5, rh: 60, cloud: 0 }), ['--issued', '2025-07-10T11:00:00Z']);
  await state(made, async ({ page, house }) => {
    await page.locator('.turner').focus();
    await page.keyboard.press('ArrowRight');
    await page.waitForFunction(() => document.querySelector('.grades') && !document.querySelector('.grades.old'));
    const t = await asked(page, '/api/try?shelter=Hut%201&facing=185');
    c.ok(t.then.heat_grade >= 2, `the house says danger from heat (${t.then.heat_grade})`);
    const state = page.locator('.trystate').last(), says = plain(await state.innerText());
    c.ok(new RegExp(t.then.heat_grade >= 3 ? 'too hot' : 'danger from heat').test(says), `its word: ${says}`);
    c.equal(await state.locator('use').getAttribute('href'), `#w${Math.min(3, t.then.heat_grade)}`, 'its mark has humps, not teeth');
    c.ok(await page.evaluate((id) => document.querySelector(id) !== null, `#w${Math.min(3, t.then.heat_grade)}`), 'and the mark is there to be drawn');
    c.ok(/danger from cold/.test(t.says) && /gets hot for a sow/.test(t.says), `the sentence tells heat and cold apart: ${t.says}`);
    c.ok(!/would feel/.test(says), 'how cold a newborn would feel is not spoken of');
    c.ok(!/\b(die|dies|dead)\b/i.test(says), 'no death is foretold');
    await looks(c, page, house, 'field');
  }, [/404/]); // no past winters
}
await browser.close();
process.exit(c.end());
