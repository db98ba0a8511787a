// SPDX-License-Identifier: GPL-3.0-or-later
// A record put right twice shows its whole history on each of its forms; piglets lost after birth are written in the form,
// counted on the sow's page, and flagged when more than were born.
import { openFarm } from './browser.mjs';
import { asked, checks, looks, open, openBrowser, settled, signIn } from './checks.mjs';

const c = checks('mended'), house = await openFarm(), browser = await openBrowser();
const { page, messages } = await signIn(browser, house);
const newest = async (kind) => (await asked(page, `/api/list/${kind}?most=1`)).facts[0];
const plain = (s) => s.replace(/[\u00a0\u202f]/g, ' ');
const lines = async () => (await page.locator('#main section', { has: page.getByRole('heading', { name: 'How it came about' }) }).locator('li.change').allInnerTexts()).map(plain);
async function mend(from, label, words) {
  await open(page, house, `records/weighing/${from}?edit`);
  await page.getByLabel(label).fill(words);
  await page.locator('#theform').getByRole('button', { name: 'Keep it so' }).click();
  await page.locator('.saidline', { hasText: 'Put right' }).waitFor();
  await page.waitForFunction((was) => !location.pathname.includes(was), from);
  await settled(page);
  return location_uid();
}
const location_uid = () => page.url().split('/').at(-1).split('?')[0];
try {
  await open(page, house, 'records/weighing');
  await page.getByLabel(/^Animal/).selectOption({ label: await page.locator('select option', { hasText: 'Bramble' }).first().innerText() });
  await page.getByLabel(/^Weight/).fill('198 kg');
  await page.locator('#theform').getByRole('button', { name: 'Keep it' }).click();
  await page.locator('.saidline', { hasText: 'Kept' }).waitFor();
  const first = (await newest('weighing')).uid, second = await mend(first, /^Weight/, '205 kg'), third = await mend(second, /^Weight/, '201 kg');
  c.ok(new Set([first, second, third]).size === 3, 'three forms of one record');
  for (const [which, uid] of [['as it stands', third], ['as it was between', second], ['as it was first', first]]) {
    await open(page, house, `records/weighing/${uid}`);
    const all = await lines();
    c.equal(all.length, 3, `${which}: three lines: written, put right, put right`);
    c.ok(/put right/.test(all[0]) && /205 kg, now 201 kg/.test(all[0]), `${which}: the newest says what it changed: ${all[0]}`);
    c.ok(/put right/.test(all[1]) && /198 kg, now 205 kg/.test(all[1]), `${which}: so does the one before: ${all[1]}`);
    c.ok(/written/.test(all[2] ?? '') && !/now/.test(all[2] ?? ''), `${which}: and the first was written`);
    const way = page.getByRole('link', { name: 'As it was put right' });
    c.equal(await way.count(), uid === third ? 0 : 1, `${which}: ${uid === third ? 'it stands' : 'a way to the form that stands'}`);
    if (uid === first) { await way.click(); await page.waitForURL(new RegExp(third)); await settled(page); c.ok(/201/.test(await page.locator('table.says').innerText()), 'and there it is'); }
  }
  await looks(c, page, house, `records/weighing/${third}`);

  // taken back: the older form stands again, and the history tells that too
  await page.evaluate((u) => fetch('/api/undo', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ what: u }) }), third);
  await open(page, house, `records/weighing/${second}`);
  c.ok(await page.getByText('This stands no more').count() === 0, 'an undone correction leaves the older form standing');
  c.equal((await lines()).length, 5, 'and both changes of the undo are in its history');

  // piglets lost, on a sow whose litter lives
  const t = await asked(page, '/api/tonight'), young = t.young_litters[0];
  await open(page, house, 'records/loss');
  await page.getByLabel(/^Sow/).selectOption({ label: await page.locator('select option', { hasText: young.sow }).first().innerText() });
  await page.getByLabel(/^How many/).fill('1');
  await page.getByLabel(/^What of/).fill('<b>lain on</b>');
  await page.locator('#theform').getByRole('button', { name: 'Keep it' }).click();
  await page.locator('.saidline', { hasText: 'Kept' }).waitFor();
  c.equal((await asked(page, '/api/tonight')).young_litters.find((l) => l.sow === young.sow).living, young.living - 1, 'one fewer lives in the night');
  await open(page, house, `sow/${encodeURIComponent(young.sow)}`);
  c.ok((await page.locator('table', { has: page.getByText('lost since') }).locator('tbody tr').first().innerText()).includes('1: <b>lain on</b>'), 'the sow\u2019s page counts it, and the cause stays text');
  c.equal(await page.locator('#main td b').count(), 0, 'and makes no mark-up');
  c.ok(!/mortality|will die/i.test(await page.locator('#main').innerText()), 'nothing is foretold');
  const made = await page.evaluate(async ([sow, at]) => (await fetch('/api/record/loss', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ uid: 'c'.repeat(32), fact: { sow, at, many: 30 } }) })).json(), [young.sow, t.at]);
  c.ok(JSON.stringify(made).includes('were some fostered on'), 'more than were alive is kept and flagged');
  await open(page, house, 'records/flags');
  c.ok((await page.locator('#main').innerText()).includes('born alive'), 'and waits among the odd ones');
} catch (e) { c.ok(false, String(e.stack ?? e).split('\n').slice(0, 4).join(' / ')); } finally { await browser.close(); await house.close(); }
c.equal(messages, [], 'no message in the console');
process.exit(c.end());
