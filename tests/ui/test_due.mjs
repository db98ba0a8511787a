// SPDX-License-Identifier: GPL-3.0-or-later
// Due: what the house says of each sow stands in the drawing and the table, prints on one sheet, and goes into a calendar.
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { openFarm, sizes } from './browser.mjs';
import { asked, checks, looks, open, openBrowser, settled, signIn, tabTo } from './checks.mjs';

const c = checks('due'), house = await openFarm(), browser = await openBrowser();
const { page, messages } = await signIn(browser, house);
try {
  const due = await asked(page, '/api/due'), known = due.sows.filter((s) => s.p5 && s.p95);
  await open(page, house, 'due');
  c.ok(known.length > 3, 'the demo farm has sows in pig');
  const row = (name) => page.locator('table.stack tbody tr', { has: page.getByRole('link', { name, exact: true }) });
  for (const s of known) {
    c.equal(await row(s.name).count(), 1, `${s.name} stands in the table`);
    const chance = s.p_pregnant < 0.01 ? 'under 1' : s.p_pregnant > 0.99 ? 'over 99' : String(Math.round(s.p_pregnant * 100));
    c.ok((await row(s.name).innerText()).replace(/[\u00a0\u202f]/g, ' ').includes(`${chance} in 100`), `${s.name}: chance of being in pig as the house gives it, and never 0 or 100`);
  }
  // days are those of the farm's zone (Europe/London keeps UTC in January: the witness is the ISO text itself)
  const first = [...known].sort((a, b) => a.p5.localeCompare(b.p5))[0];
  c.ok((await row(first.name).innerText()).includes(`${Number(first.p5.slice(8, 10))} Jan`), 'the first window begins on its day');
  c.equal(await page.locator('figure .screen svg[role=img]').count(), 1, 'one drawing, with a label');
  c.ok(((await page.locator('figure .screen svg[role=img]').getAttribute('aria-label')) ?? '').length > 40, 'which says what it shows');

  // bars lie in the order of their days on one axis
  const bars = await page.evaluate(() => [...document.querySelectorAll('figure .screen svg rect.f-rule.l-ink, figure .screen svg rect.dash')].map((e) => Number(e.getAttribute('x'))));
  c.ok(bars.length > 2 && bars.every((x, i) => i === 0 || x >= bars[i - 1] - 0.11), 'bars follow each other by their first day');
  const far = known.some((s) => Date.parse(s.p95) > Date.parse(due.at) + 35 * 864e5);
  if (c.ok(far, 'one window lies far ahead')) {
    await page.getByRole('button', { name: 'Show as far as the last one' }).click();
    c.ok(await page.getByRole('button', { name: 'Show the next weeks only' }).isVisible(), 'the axis is drawn as far as the last one when asked');
    await page.getByRole('button', { name: 'Show the next weeks only' }).click();
  }

  // what a boar may still have done, and the vet, are said
  for (const s of known.filter((x) => x.notes.length)) c.ok((await page.locator('article.due', { has: page.getByRole('link', { name: s.name, exact: true }) }).innerText()).includes(s.notes[0].slice(0, 40)), `${s.name}: what is to be heeded stands there`);
  c.ok((await page.locator('.caution').innerText()).includes('Go and look. This page cannot see her.'), 'the caution stands there');
  c.ok(!/\b(die|dead|death|mortality|lost)\b/i.test(await page.locator('#main').innerText()), 'no death is foretold');
  for (const r of due.record) c.ok((await page.locator('#main').innerText()).includes(r.split(':')[0]), 'what to write down is said');
  c.ok(!(await page.locator('#main').innerText()).includes('leenest record'), 'in words, not as a command');

  // chance by date, by the keyboard alone
  await page.locator('article.due summary').first().focus();
  await page.keyboard.press('Enter');
  const one = known.sort((a, b) => a.p5.localeCompare(b.p5)).find((s) => s.by_date.length);
  c.equal(await page.locator('article.due details[open] tbody tr').count(), one.by_date.length, 'a line for each date, opened by a key');
  c.ok(await tabTo(page, 'a[href^="/sow/"]'), 'the sows are reached by Tab');

  // calendar: RFC 5545 begins so
  const ics = await page.evaluate(async () => { const r = await fetch('/api/calendar?format=ics'); return [r.status, r.headers.get('content-type') ?? '', (await r.text()).slice(0, 15)]; });
  c.equal([ics[0], ics[1].startsWith('text/calendar'), ics[2]], [200, true, 'BEGIN:VCALENDAR'], 'the days come as a calendar file');
  c.equal(await page.locator('a[href="/api/calendar?format=ics"][download]').count(), 1, 'by a link on the page');

  // paper: one sheet of A4; US Letter is shorter and may take a second; black words that can be found in it
  await page.setViewportSize(sizes.laptop);
  await open(page, house, 'due');
  for (const [format, size] of [['A4', /595(\.\d+)? x 84[12]|594\.\d+ x 841\.\d+/], ['Letter', /612 x 792/]]) {
    const file = join(house.folder, `due-${format}.pdf`);
    writeFileSync(file, await page.pdf({ format, preferCSSPageSize: true }));
    const told = execFileSync('pdfinfo', [file], { encoding: 'utf8' }), words = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
    const pages = Number(/Pages:\s+(\d+)/.exec(told)?.[1]), most = format === 'A4' ? 1 : 2;
    c.ok(pages <= most && size.test(told), `prints on ${most} of ${format} at most (${pages})`);
    for (const s of known) c.ok(words.includes(s.name), `${format}: ${s.name} stands on it`);
    c.ok(words.includes('Go and look'), `${format}: with the caution`);
  }

  // names that are no names to a machine
  for (const odd of ['<img src=x onerror=alert(1)>', 'שָׂרָה', 'Long'.repeat(20)]) {
    const made = await page.evaluate(async (name) => {
      const rec = async (kind, fact) => { const r = await fetch(`/api/record/${kind}`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ uid: [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, '0')).join(''), fact, recorded: new Date().toISOString() }) }); return [r.status, await r.text()]; };
      const a = await rec('animal', { name, is: 'sow' }); return a[0] === 200 ? rec('service', { sow: name, at: '2025-10-12 10:00' }) : a;
    }, odd);
    c.equal(made[0], 200, `a sow of that name is taken: ${made[1].slice(0, 120)}`);
  }
  await page.setViewportSize(sizes.phone);
  await open(page, house, 'due');
  c.equal(await page.locator('img').count(), 0, 'a name with angle brackets stays text');
  c.ok((await page.locator('#main').innerText()).includes('<img src=x onerror=alert(1)>'), 'and is read as it was written');
  c.equal(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth > 0), false, 'long names run nowhere');

  await looks(c, page, house, 'due');

  // nothing yet
  await settled(page);
} finally { await browser.close(); await house.close(); }
c.equal(messages, [], 'no message in the console');
process.exit(c.end());
