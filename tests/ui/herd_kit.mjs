// SPDX-License-Identifier: GPL-3.0-or-later
// What the tests of the herd's pages share: animals with odd names, a sheet printed to both papers and read back by poppler
// (pdfinfo, pdftotext), a witness of its own.
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';

export const odd = {
  hostile: '<b onclick=alert(1)>', rtl: 'זברה השחורה', long: 'Wilhelminaofthelongmeadow'.repeat(2), quotes: '"><img src=x onerror=alert(2)>',
};
let made = 0;
/** Record facts as the page does; the sentences of those refused. */
export const recordAll = (page, kind, facts) => page.evaluate(async ([k, all, from]) => {
  const out = [];
  for (const [i, fact] of all.entries()) {
    const r = await fetch(`/api/record/${k}`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ uid: String(from + i + 1).padStart(32, 'a'), fact, who: 'Tam' }) });
    if (r.status !== 200) out.push(await r.text());
  }
  return out;
}, [kind, facts, (made += facts.length) - facts.length]);
export const uidOf = (n) => String(n).padStart(32, 'a');

export const flat = (s) => s.replace(/[\s\u00a0\u202f\u200e\u200f\u202a-\u202e\u2066-\u2069]+/g, ' ');
export const noPoppler = () => Boolean(spawnSync('pdfinfo', ['-v']).error);

/** Print what stands there; pages, their size in points, the text, and words that lie outside 10 mm of the edges. */
export async function printed(page, house, name) {
  const file = join(process.env.PICTURES ?? house.folder, `${name}.pdf`);
  await page.pdf({ path: file, format: 'A4', preferCSSPageSize: true, printBackground: true });
  const info = spawnSync('pdfinfo', [file], { encoding: 'utf8' }).stdout, m = /Page size:\s+([\d.]+) x ([\d.]+)/.exec(info), w = Number(m[1]), h = Number(m[2]);
  const words = [...spawnSync('pdftotext', ['-bbox', file, '-'], { encoding: 'utf8' }).stdout.matchAll(/<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)<\/word>/g)];
  const edge = (10 / 25.4) * 72;
  return { pages: Number(/Pages:\s+(\d+)/.exec(info)[1]), w, h, text: flat(spawnSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' }).stdout), words: words.length,
    outside: words.filter(([, x0, y0, x1, y1]) => x0 < edge || y0 < edge || x1 > w - edge || y1 > h - edge).map((x) => x[5]) };
}
/** Elements of the sheet that stick out of it, laid out as on paper. */
export async function sticksOut(page, paper) {
  await page.emulateMedia({ media: 'print', colorScheme: 'light' });
  await page.setViewportSize({ width: paper === 'a4' ? 703 : 725, height: 1000 });
  const out = await page.evaluate(() => {
    const s = document.querySelector('.sheet, .family'), edge = s.getBoundingClientRect();
    return [...s.querySelectorAll('*')].filter((e) => !e.closest('.unseen') && e.getBoundingClientRect().width > 0).filter((e) => { const r = e.getBoundingClientRect(); return r.right > edge.right + 0.5 || r.left < edge.left - 0.5; })
      .map((e) => `${e.tagName}.${e.getAttribute('class')} ${e.textContent.slice(0, 20)}`).slice(0, 5);
  });
  await page.emulateMedia({ media: null, colorScheme: 'light' });
  return out;
}
/** Twice the size of text, and the browser's zoom of 200 %, which halves the width: WCAG 2.2, 1.4.4 and 1.4.10. */
export async function zoomed(c, page, what) {
  const runsOut = () => page.evaluate(() => document.documentElement.scrollWidth - innerWidth > 0);
  await page.setViewportSize({ width: 1280, height: 800 });
  await page.evaluate(() => { document.documentElement.style.fontSize = '200%'; });
  c.equal(await runsOut(), false, `${what}: text twice as large, nothing runs sideways`);
  if (process.env.PICTURES) await page.screenshot({ path: join(process.env.PICTURES, `${what.replaceAll(' ', '-')}-200.png`), fullPage: true });
  await page.evaluate(() => { document.documentElement.style.fontSize = ''; });
  for (const width of [640, 320]) {
    await page.setViewportSize({ width, height: 400 });
    c.equal(await runsOut(), false, `${what}: at ${width} px, as zoomed in, nothing runs sideways`);
  }
  await page.setViewportSize({ width: 1280, height: 800 });
}
