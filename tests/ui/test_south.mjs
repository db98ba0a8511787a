// SPDX-License-Identifier: GPL-3.0-or-later
// South of the equator wind feathers stand on the other side; and a page that runs right to left keeps its drawings.
// Feathers point to the side of lower pressure. Outside check: Buys Ballot's law (1857): with the wind at the back low
// pressure lies to the left in the northern half of the earth, to the right in the southern.
import { openFarm } from './browser.mjs';
import { checks, looks, open, openBrowser, signIn } from './checks.mjs';
import { newFarm } from './farm_kit.mjs';

const c = checks('south'), browser = await openBrowser(), H = 3600e3, now = Date.UTC(2025, 6, 10, 6);
const winds = [[0, 3], [45, 8], [90, 13], [180, 18], [225, 26], [300, 5]]; // from, m/s: feathers of every kind

/** Every barb on the page: where its wind comes from, and to which side its longest feather points, in the drawing's own axes. */
const barbs = (page) => page.evaluate(() => [...document.querySelectorAll('#main .skyfig svg g[transform^="rotate"], #main .strips svg g[transform^="rotate"], #main svg g[transform^="translate"] > g[transform^="rotate"]')].map((g) => {
  const from = Number(/rotate\((-?[\d.]+)\)/.exec(g.getAttribute('transform'))[1]), on = (e, x, y) => { const p = new DOMPoint(x, y).matrixTransform(e.getCTM()); return [p.x, p.y]; };
  const shaft = g.querySelector('line'), tip = shaft && on(shaft, 0, -25), foot = shaft && on(shaft, 0, 0);
  const ends = [...g.querySelectorAll('line')].slice(1).map((l) => on(l, Number(l.getAttribute('x2')), Number(l.getAttribute('y2')))).concat([...g.querySelectorAll('path')].map((p) => { const m = /L(-?[\d.]+) (-?[\d.]+)/.exec(p.getAttribute('d')); return on(p, Number(m[1]), Number(m[2])); }));
  return tip && ends.length ? { from, tip, foot, ends } : undefined;
}).filter(Boolean));
/** Left (1) or right (-1) of one who has the wind at the back, looking from the tip of the shaft to its foot; y runs down the page. */
const side = (b, [x, y]) => Math.sign((b.foot[1] - b.tip[1]) * (x - b.tip[0]) - (b.foot[0] - b.tip[0]) * (y - b.tip[1]));

for (const [where, lat, lon, zone, low] of [['north', 54.62, -2.41, 'Europe/London', 1], ['south', -42.1, 147.2, 'Australia/Hobart', -1]]) {
  const made = newFarm({ name: where === 'south' ? 'מור העפרוני' : 'Larkmoor', lat, lon, zone, at: new Date(now).toISOString() });
  made.tell('record', 'animal', '--name', 'Sorrel', '--is', 'sow');
  made.tell('record', 'service', '--sow', 'Sorrel', '--at', '2025-03-17');
  made.weather('forecast', now - H, 120, (i) => ({ temp: 2, from: winds[i % 6][0], wind: winds[i % 6][1] }), ['--issued', new Date(now - H).toISOString(), '--name', 'תחנת הגבעה 2']);
  const house = await openFarm({ farm: made.path });
  try {
    const { context, page, messages } = await signIn(browser, house);
    for (const path of ['weather', 'tonight', 'sheet']) {
      await open(page, house, path);
      if (path === 'sheet') await page.emulateMedia({ media: 'print' });
      const all = await barbs(page);
      c.ok(all.length > 3, `${where}, ${path}: ${all.length} barbs`);
      c.equal(all.filter((b) => b.ends.some((e) => side(b, e) !== low)).map((b) => b.from), [], `${where}, ${path}: every feather on the side of low pressure`);
      c.equal(all.filter((b) => Math.abs(((Math.atan2(b.tip[0] - b.foot[0], b.foot[1] - b.tip[1]) * 180) / Math.PI - b.from + 540) % 360 - 180) > 1).length, 0, `${where}, ${path}: every shaft points to where the wind comes from`);
      await page.emulateMedia({ media: 'screen' });
    }

    // a page turned right to left by its reader: words change sides, hours and drawings do not
    await open(page, house, 'weather');
    const drawn = () => page.evaluate(() => { const svg = document.querySelector('.skyfig svg[role=img]'), box = svg.getBoundingClientRect(); return [...document.querySelectorAll('.skyfig svg text')].map((t) => { const b = t.getBoundingClientRect(); return [t.textContent, Math.round(b.x - box.x), Math.round(b.width)]; }); });
    const ltr = await drawn(), before = await barbs(page);
    await page.evaluate(() => { document.documentElement.dir = 'rtl'; });
    await page.waitForFunction(() => getComputedStyle(document.querySelector('#main p')).direction === 'rtl');
    const rtl = await drawn(), after = await barbs(page);
    c.ok(ltr.length > 8, `${where}: ${ltr.length} words in the drawing`);
    c.equal(rtl.filter((t, i) => t[0] !== ltr[i]?.[0] || Math.abs(t[1] - ltr[i][1]) > 2), [], `${where}, right to left: words of the drawing stand where they stood`);
    c.equal(after.map((b) => b.ends.map((e) => side(b, e))), before.map((b) => b.ends.map((e) => side(b, e))), `${where}, right to left: feathers too`);
    c.equal(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth > 0), false, `${where}, right to left: nothing runs sideways`);
    await page.evaluate(() => { document.documentElement.dir = ''; });
    c.ok((await page.locator('#main').innerText()).includes('תחנת הגבעה 2'), `${where}: a source with a Hebrew name stands under its name`);
    if (where === 'south') await looks(c, page, house, 'weather');
    c.equal(messages, [], `${where}: no message in the console`);
    await context.close();
  } catch (e) { c.ok(false, String(e.stack ?? e).split('\n').slice(0, 4).join(' / ')); } finally { await house.close(); made.close(); }
}
await browser.close();
process.exit(c.end());
