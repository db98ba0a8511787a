// SPDX-License-Identifier: GPL-3.0-or-later
// An outline out of a file: an invented walk of some hundred places as GPX, a plan as GeoJSON, rubbish; shown before it is kept.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { axe, openFarm, sizes } from './browser.mjs';
import { asked, checks, open, openBrowser, settled, signIn, tabTo } from './checks.mjs';

const c = checks('outline-file'), house = await openFarm(), browser = await openBrowser();
const { page, messages, wanted } = await signIn(browser, house);
const file = (name, text) => { const path = join(house.folder, name); writeFileSync(path, text); return path; };
const part = page.locator('details.outliner', { has: page.locator('summary', { hasText: 'from or to a file' }) });
// metres in a degree: 47 CFR 73.208(c)(1)
const lat = 54.62, r = Math.PI / 180, north = 111132.09 - 566.05 * Math.cos(2 * lat * r) + 1.2 * Math.cos(4 * lat * r), east = 111415.13 * Math.cos(lat * r) - 94.55 * Math.cos(3 * lat * r) + 0.12 * Math.cos(5 * lat * r);
/** Round a field of 120 by 80 m, a place each metre that wavers by 0.4 m, and back to within `short` metres of the gate. */
function walk(short) {
  const points = [], sides = [[0, 0, 1, 0, 120], [120, 0, 0, 1, 80], [120, 80, -1, 0, 120], [0, 80, 0, -1, 80 - short]];
  for (const [x, y, dx, dy, long] of sides) for (let i = 0; i < long; i++) { const off = 0.4 * Math.sin(points.length * 2.3); points.push([x + dx * i + dy * off, y + dy * i + dx * off]); }
  return points.map(([x, y]) => `<trkpt lat="${(lat + y / north).toFixed(8)}" lon="${(-2.41 + x / east).toFixed(8)}"><ele>265</ele></trkpt>`);
}
const gpx = (points) => `<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>Round Long Lea</name><trkseg>${points.join('')}</trkseg></trk></gpx>\n`;
try {
  await open(page, house, 'field');
  const f = await asked(page, '/api/field'), same = `/api/field?paddock=${encodeURIComponent(f.paddock.name)}`;
  const records = async () => (await asked(page, '/api/number')).number, before = await records();
  await part.locator('summary').click();

  const points = walk(12);
  c.ok(points.length > 300, `${points.length} places walked`);
  await part.locator('input[type=file]').setInputFiles(file('walk.gpx', gpx(points)));
  await part.getByRole('button', { name: 'Keep this outline' }).waitFor();
  const words = (await part.innerText()).replace(/[\u00a0\u202f]/g, ' '), corners = Number(/(\d+) corners of/.exec(words)?.[1]);
  c.ok(words.includes(`of ${points.length} places`), 'how many places the file held');
  c.ok(corners >= 4 && corners <= 10, `made simpler: ${corners} corners`);
  c.ok(words.includes('Round Long Lea'), 'what the file calls it');
  c.ok(/ended 1[1-4] m from where it began/.test(words), 'how far the walk ended from where it began');
  c.ok(/\b(9[3-9]\d\d m²|0\.9 ha|1\.0 ha)/.test(words), 'and what it encloses: 9600 m2');
  c.equal(await records(), before, 'nothing is kept by looking');
  for (const [size, viewport] of Object.entries(sizes)) {
    for (const colorScheme of ['light', 'dark']) {
      await page.setViewportSize(viewport);
      await page.emulateMedia({ colorScheme });
      await page.waitForTimeout(100);
      c.equal(await axe(page), [], `${size} ${colorScheme}: axe`);
      c.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${size} ${colorScheme}: nothing runs sideways`);
      if (process.env.PICTURES) await part.screenshot({ path: `${process.env.PICTURES}/outline-file-${size}-${colorScheme}.png` });
    }
  }
  await page.setViewportSize(sizes.phone);
  await page.emulateMedia({ colorScheme: 'light' });

  // kept by the keyboard alone
  await part.locator('summary').focus();
  c.ok(await tabTo(page, '.outliner[open] .do', 12), 'Keep is reached by Tab');
  await page.keyboard.press('Enter');
  await page.locator('.saidline', { hasText: 'outline' }).waitFor();
  await page.waitForFunction(async (p) => Math.abs(Math.max(...(await (await fetch(p)).json()).outline.x_m) - 120) < 2, same);
  await settled(page);
  const o = await asked(page, same);
  c.equal(o.outline.x_m.length, corners, 'the corners that were shown are kept');
  c.ok(Math.abs(Math.max(...o.outline.x_m) - 120) < 1.5 && Math.abs(Math.max(...o.outline.y_m) - 80) < 1.5, `120 by 80 m: ${Math.max(...o.outline.x_m)} by ${Math.max(...o.outline.y_m)}`);
  c.equal(o.huts.length, f.huts.length, 'and the huts still belong to the field');
  await page.locator('.saidline button').click();
  await page.waitForFunction(async ([p, x]) => JSON.stringify((await (await fetch(p)).json()).outline.x_m) === x, [same, JSON.stringify(f.outline.x_m)]);
  c.ok(true, 'Undo brings the old outline back');
  await settled(page);

  // many corners in a plan are made fewer as well
  const ring = Array.from({ length: 241 }, (_, i) => [-2.41 + 60 * Math.cos(i * Math.PI / 120) / east, lat + 60 * Math.sin(i * Math.PI / 120) / north]);
  ring[240] = ring[0];
  if (!(await part.locator('input[type=file]').isVisible())) await part.locator('summary').click();
  await part.locator('input[type=file]').setInputFiles(file('round.geojson', JSON.stringify({ type: 'Polygon', coordinates: [ring] })));
  await part.getByText(/corners of/).waitFor();
  const round = Number(/(\d+)\s+corners of/.exec(await part.innerText())?.[1]);
  c.ok(round >= 12 && round <= 60, `a round plan of 240 corners is read as ${round}`);
  await part.getByRole('button', { name: 'Leave it' }).click();

  // what holds no outline is said to hold none
  wanted.push(/400 \(Bad Request\)/);
  for (const [name, text, says] of [['none.gpx', '<gpx></gpx>', 'no whole track'], ['point.geojson', '{"type":"Point","coordinates":[1,2]}', 'no outline'], ['note.gpx', 'a walk round the field', 'neither GeoJSON nor GPX'], ['crossed.geojson', '{"type":"Polygon","coordinates":[[[0,0],[0.001,0.001],[0.001,0],[0,0.001],[0,0]]]}', 'cross']]) {
    await part.locator('input[type=file]').setInputFiles(file(name, text));
    await part.locator('.fault', { hasText: says }).waitFor();
    c.equal(await part.getByRole('button', { name: 'Keep this outline' }).count(), 0, `${name}: ${says}`);
  }
  c.equal(messages, [], 'no messages');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
