// SPDX-License-Identifier: GPL-3.0-or-later
// The field while the facing is being reckoned for the first time: the plan at once, the facing when its answer comes, and what
// is said when it does not come.
import { axe, openFarm } from './browser.mjs';
import { asked, checks, open, openBrowser, settled, signIn } from './checks.mjs';

const c = checks('field waits'), house = await openFarm(), browser = await openBrowser();
const { page, messages, wanted } = await signIn(browser, house);
wanted.push(/Failed to load resource/, /ERR_/);
const plain = async () => (await page.locator('#main').innerText()).replace(/[\u00a0\u202f]/g, ' ');
try {
  // held back by the browser until let go
  let go;
  await page.route('**/api/where*', async (route) => { await new Promise((r) => { go = r; }); await route.continue(); });
  await page.goto(`${house.origin}/field`);
  await page.locator('.facingwaits').waitFor();
  const f = await asked(page, '/api/field'), huts = f.huts.filter((h) => h.kind === 'hut');
  c.equal(await page.locator('.planbox circle[data-hut]').count(), huts.filter((h) => h.x_m !== null).length, 'the huts stand on the plan while the facing is being reckoned');
  c.ok(/being reckoned/.test(await plain()), 'and it is said that it is being reckoned');
  c.ok(!/none is in the farm file|Bring in past/.test(await plain()), 'not that past winters are missing');
  c.equal(await page.locator('.job').count(), 0, 'no hut is to be turned yet');
  c.ok(/being reckoned/.test(await page.locator('.turner').getAttribute('aria-valuetext')), 'read aloud it is the same');
  c.ok(!/NaN|Infinity|undefined/.test(await page.locator('#main').innerHTML()), 'no figure is missing');
  c.equal(await axe(page), [], 'axe while it waits');
  // what is being tried meanwhile stays
  const turner = page.locator('.turner'), from = Number(await turner.getAttribute('aria-valuenow'));
  await turner.focus();
  await page.keyboard.press('ArrowRight');
  c.equal(Number(await turner.getAttribute('aria-valuenow')), (from + 5) % 360, 'the dial turns meanwhile');
  go();
  await settled(page);
  c.ok(/Best looks|hardly matters/.test(await plain()), 'then the best stands there');
  c.equal(await page.locator('.facingwaits').count(), 0, 'and nothing waits');
  c.ok(await page.evaluate(() => document.activeElement?.matches('.turner')), 'the focus has not moved');
  c.equal(Number(await turner.getAttribute('aria-valuenow')), (from + 5) % 360, 'nor what was being tried');
  c.equal(messages, [], 'no message in the console');

  // it does not come
  await page.unroute('**/api/where*');
  await page.route('**/api/where*', async (route) => { await new Promise((r) => setTimeout(r, 600)); await route.abort(); });
  await page.evaluate(() => indexedDB.databases().then((all) => Promise.all(all.map((d) => new Promise((r) => { const q = indexedDB.deleteDatabase(d.name); q.onsuccess = q.onerror = q.onblocked = r; })))));
  await page.goto(`${house.origin}/field`);
  await page.locator('.facingwaits').waitFor();
  await settled(page);
  c.ok(/could not be asked/.test(await plain()), 'a facing that does not come is said');
  c.ok(await page.locator('.planbox circle[data-hut]').count() > 0, 'and the plan stands');
  c.equal(await axe(page), [], 'axe without the facing');
  await page.unroute('**/api/where*');
  await page.getByRole('button', { name: 'Ask again' }).click();
  await page.waitForFunction(() => /Best looks|hardly matters/.test(document.querySelector('#main').innerText));
  c.ok(true, 'asked again it comes');
  await open(page, house, 'round');
} catch (e) { c.ok(false, String(e.stack ?? e).split('\n').slice(0, 4).join(' / ')); } finally { await browser.close(); await house.close(); }
process.exit(c.end());
