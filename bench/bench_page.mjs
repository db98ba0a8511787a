// SPDX-License-Identifier: GPL-3.0-or-later
// The first page in Debian's Chromium on loopback: from asking for the start address to the page drawn with its answer. Cold: a
// program just started and a browser that has never been here. Warm: the same browser once more, the page held by its worker.
// What is timed is the browser's own clock from the beginning of the navigation; the bytes are those that came over the wire.
import { openBrowser, openFarm, sizes } from '../tests/ui/browser.mjs';

const RUNS = 7, WIRE_MOST_KB = 300, READY_MS = 500;
const middle = (all) => [...all].sort((a, b) => a - b)[Math.floor(all.length / 2)];
const least = (all) => Math.min(...all);

/** Notes when the page is drawn, and when with an answer of now: both in ms since the navigation began. */
function watch() {
  const main = () => document.querySelector('#main'), clock = { drawn: 0, fresh: 0 };
  globalThis.benchClock = clock;
  const look = () => {
    if (!main()?.querySelector('h1') || /One moment/.test(main().textContent)) return;
    clock.drawn ||= performance.now();
    if (!document.querySelector('.reckoning')) clock.fresh ||= performance.now();
  };
  new MutationObserver(look).observe(document, { childList: true, subtree: true, characterData: true });
}

async function visit(context, address) {
  const page = await context.newPage(), wire = await context.newCDPSession(page);
  let bytes = 0, requests = 0;
  await wire.send('Network.enable');
  wire.on('Network.loadingFinished', (e) => { bytes += e.encodedDataLength; requests++; });
  await page.addInitScript(watch);
  await page.goto(address);
  await page.waitForFunction(() => globalThis.benchClock.fresh > 0, undefined, { timeout: 60000 });
  const clock = await page.evaluate(() => ({ ...globalThis.benchClock, paint: performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? 0 }));
  return { page, ...clock, kb: bytes / 1000, requests };
}

const browser = await openBrowser(), cold = [], warm = [];
try {
  for (let i = 0; i < RUNS; i++) {
    const house = await openFarm(), context = await browser.newContext({ viewport: sizes.phone, locale: 'en-GB', timezoneId: 'Europe/London' });
    const first = await visit(context, house.address);
    cold.push(first);
    await first.page.waitForFunction(() => navigator.serviceWorker.controller !== null, undefined, { timeout: 60000 });
    await first.page.waitForLoadState('networkidle');
    await first.page.close();
    const second = await visit(context, house.origin);
    warm.push(second);
    await context.close();
    await house.close();
  }
} finally { await browser.close(); }
const row = (what, all) => {
  const of = (key) => `${least(all.map((q) => q[key])).toFixed(0)} (${middle(all.map((q) => q[key])).toFixed(0)})`;
  console.log(`${what.padEnd(24)}first paint ${of('paint').padStart(11)}   drawn ${of('drawn').padStart(11)}   answer of now ${of('fresh').padStart(11)} ms; best and (middle) of ${all.length}; goal ${READY_MS}`);
};
row('page, cold', cold);
row('page, warm', warm);
const kb = Math.max(...cold.map((q) => q.kb));
console.log(`first page, on the wire ${kb.toFixed(1)} kB compressed with headers, in ${Math.max(...cold.map((q) => q.requests))} answers; goal ${WIRE_MOST_KB}`);
