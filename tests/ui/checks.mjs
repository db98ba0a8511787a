// SPDX-License-Identifier: GPL-3.0-or-later
// Checks counted and said; a page watched for messages; the same look at every page: axe, no sideways scroll, one h1, targets.
import { mkdirSync } from 'node:fs';
import { axe, openBrowser, sizes } from './browser.mjs';

export function checks(name) {
  let done = 0, failed = 0;
  return {
    ok(holds, what) { done++; if (!holds) { failed++; console.log(`NOT: ${what}`); } return holds; },
    equal(got, wanted, what) { return this.ok(JSON.stringify(got) === JSON.stringify(wanted), `${what}: got ${JSON.stringify(got)}, wanted ${JSON.stringify(wanted)}`); },
    async holds(what, work) { try { this.ok(await work(), what); } catch (e) { this.ok(false, `${what}: ${String(e.message ?? e).split('\n').slice(0, 3).join(' / ')}`); } },
    end() { console.log(`${name}: ${done} checks, ${failed} failed`); return failed ? 1 : 0; },
  };
}

/** Signed in, and every message of every page noted in `messages`. */
export async function signIn(browser, house, how = {}) { // by way of a page that asks little
  const context = await browser.newContext({ viewport: sizes.phone, locale: 'en-GB', timezoneId: 'Europe/London', ...how });
  context.setDefaultTimeout(40000);
  const messages = [], wanted = [];
  context.on('page', (page) => {
    page.on('console', (m) => { if (m.type() !== 'debug' && !wanted.some((w) => w.test(m.text()))) messages.push(`${new URL(page.url()).pathname}: ${m.text()}`); });
    page.on('pageerror', (e) => messages.push(`${page.url()}: ${e}`));
  });
  const page = await context.newPage();
  await page.goto(house.address.replace('/#', '/held#'));
  await settled(page);
  return { context, page, messages, wanted };
}
/** The page has asked and drawn. */
export async function settled(page) {
  await page.waitForFunction(() => document.querySelector('#main')?.dataset.place === (decodeURIComponent(location.pathname).replace(/^\/|\/$/g, '') || 'round') && document.querySelector('#main h1') && !/One moment/.test(document.querySelector('#main')?.textContent ?? '') && !document.querySelector('.reckoning, .facingwaits'), undefined, { timeout: 45000 });
}
/** Go to a page of the house as a link in it goes: without loading all anew, where something stands already. */
export async function open(page, house, path) {
  if (!page.url().startsWith(house.origin)) await anew(page, house, path);
  const was = await page.evaluate((to) => {
    const turn = document.documentElement.dataset.turn;
    history.pushState(null, '', to);
    dispatchEvent(new PopStateEvent('popstate'));
    scrollTo(0, 0);
    return turn;
  }, `/${path}`);
  await page.waitForFunction((turn) => document.documentElement.dataset.turn !== turn, was, { timeout: 60000 });
  await settled(page);
}
/** Load it as from nothing. */
export async function anew(page, house, path) { await page.goto(`${house.origin}/${path}`); await settled(page); }
/** A question to the house as this browser asks it. */
export const asked = (page, path) => page.evaluate(async (p) => (await fetch(p)).json(), path);

/** What holds of every page, at both sizes, by day and dark, and at twice the size of text. */
export async function looks(c, page, house, path, { pictures = process.env.PICTURES } = {}) {
  await open(page, house, path);
  for (const [size, viewport] of Object.entries(sizes)) {
    for (const colorScheme of ['light', 'dark']) {
      await page.setViewportSize(viewport);
      await page.emulateMedia({ colorScheme });
      await page.waitForTimeout(100); // drawings are drawn anew at their width
      c.equal(await axe(page), [], `/${path} ${size} ${colorScheme}: axe`);
      c.equal(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth > 0), false, `/${path} ${size} ${colorScheme}: nothing runs sideways`);
      if (colorScheme === 'light') {
        c.equal(await page.locator('h1').count(), 1, `/${path}: one h1`);
        if (size === 'phone') c.equal(await small(page), [], `/${path}: what is pressed to record is 56 px high`);
      }
      if (pictures) { mkdirSync(pictures, { recursive: true }); await page.screenshot({ path: `${pictures}/${path.replace(/[^a-z0-9]+/gi, '-')}-${size}-${colorScheme}.png`, fullPage: true }); }
    }
  }
  await page.emulateMedia({ colorScheme: 'light' });
  // Text twice as large: WCAG 2.2, 1.4.4 Resize Text (AA), here on a laptop.
  await page.setViewportSize(sizes.laptop);
  await page.evaluate(() => { document.documentElement.style.fontSize = '200%'; });
  c.equal(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth > 0), false, `/${path} at 200 %: nothing runs sideways`);
  if (pictures) await page.screenshot({ path: `${pictures}/${path.replace(/[^a-z0-9]+/gi, '-')}-200.png`, fullPage: true });
  await page.evaluate(() => { document.documentElement.style.fontSize = ''; });
  await page.setViewportSize(sizes.phone);
}
const small = (page) => page.evaluate(() => [...document.querySelectorAll('#main button, #main .btn, .thumb button, .thumb .btn, #main .opt')]
  .filter((e) => e.offsetParent !== null && e.getBoundingClientRect().height < 55.5).map((e) => `${e.textContent.trim().slice(0, 30)} ${Math.round(e.getBoundingClientRect().height)}`));

/** Reach it by the keyboard alone: Tab until it has the focus; false when it never does. */
export async function tabTo(page, selector, most = 120) {
  for (let i = 0; i < most; i++) {
    if (await page.evaluate((s) => document.activeElement?.matches(s) ?? false, selector)) return true;
    await page.keyboard.press('Tab');
  }
  return false;
}
/** Do it, and wait for the sentence about it: another one may stand there from before. */
export async function saidAnew(page, work) {
  const was = await page.locator('.saidline').innerText();
  await work();
  await page.waitForFunction((w) => document.querySelector('.saidline')?.innerText !== w, was);
}
export { openBrowser };
