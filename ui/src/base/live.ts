// SPDX-License-Identifier: GPL-3.0-or-later
// Live: whether the house answers, what waits on this device, how fresh the page is. One state; whoever shows it reads live().
// The house is asked for its number every 15 seconds while the page is seen, at once when it is looked at again and after a record.
import { earIs, getNow } from './api.ts';
import { handOver, queueAll, queueEarIs } from './queue.ts';

/** How it stands with the house and this device. Moments are milliseconds of this device's clock. */
export interface Live {
  reach: 'asking' | 'in' | 'out'; // asking: not known yet, right after the page was opened
  out_since: number | undefined; // when the house stopped answering
  tried: number | undefined; // when it was last asked
  signed: boolean; // false: the house answered that this device has no session
  reckoning: boolean; // an answer is on its way: a thin line under the header
  drawn: number | undefined; // when the house gave what the page shows
  kept: boolean; // what the page shows is a kept answer, from `drawn`
  late: boolean; // the house takes its time: what the page shows is kept until it has answered
  newer: boolean; // a newer answer waits for a tap, because the reader has scrolled or is writing
  number: number | undefined; // of the last change in the farm file, as the house said last
  forecast_age_h: number | undefined; // undefined: no forecast
  held: number; // records the house holds, refused
  flags: number; // odd ones, kept
  read_only: boolean;
  waiting: number; // records on this device that the house does not have yet
  waiting_since: number | undefined; // when the oldest of them was made
  handed: number; // how many were just handed over; back to 0 ten seconds later
  refused: readonly { uid: string; called: string; sentence: string; where: 'held' | 'here' }[]; // not taken, and not yet read
  clock_off_s: number; // how far this device's clock is ahead of the house's; 0 when under a minute
  safe: boolean; // the page opens out of reach too: a service worker holds it
  renewed: boolean; // the house has another build of the page than the one that runs here
  moved: boolean; // came by a new address: records may wait under the old one
}

const state: Live = {
  reach: 'asking', out_since: undefined, tried: undefined, signed: true, reckoning: false, drawn: undefined, kept: false, late: false, newer: false,
  number: undefined, forecast_age_h: undefined, held: 0, flags: 0, read_only: false, waiting: 0, waiting_since: undefined, handed: 0,
  refused: [], clock_off_s: 0, safe: false, renewed: false, moved: false,
};
export function live(): Readonly<Live> { return state; }

interface Number { number: number; forecast_made?: string | null; forecast_age_h: number | null; held: number; flags: number; read_only: boolean; clock: string; build: string }
/** What main.ts does when something is new here. */
interface Page {
  draw(): void; // the state changed
  newer(): void; // the farm file changed behind the page
}
let page: Page = { draw() {}, newer() {} };

const EVERY_MS = 15000, OUT_MS = 5000, HIDDEN_MS = 60000, HANDED_MS = 10000, OFF_S = 60;
let build: string | undefined, mark: string | undefined; // the number and the forecast that the page on screen rests on, or newer
let asking: Promise<void> | undefined, onceMore = false, timer = 0, handedTimer = 0;
const others = typeof BroadcastChannel === 'function' ? new BroadcastChannel('leenest') : undefined;

/** Change the state, and draw where that shows. */
function now(change: Partial<Live>): void {
  const before = JSON.stringify({ ...state, tried: 0, drawn: 0 });
  Object.assign(state, change);
  if (JSON.stringify({ ...state, tried: 0, drawn: 0 }) !== before) page.draw();
}
export const changed = now;

function outOfReach(): void { now({ reach: 'out', tried: Date.now(), ...(state.reach === 'out' ? {} : { out_since: Date.now() }) }); }

/** The house spoke of itself; asked at asked_ms, heard now. `loading`: the page asked, and draws what is new by itself. */
function heard(n: Number, asked_ms: number, loading: boolean): void {
  const off = (asked_ms + Date.now()) / 2 - Date.parse(n.clock), own = Number.isFinite(off) && Math.abs(off) >= OFF_S * 1000 ? Math.round(off / 1000) : 0;
  build ??= n.build;
  const next = `${n.number} ${n.forecast_made ?? ''}`, changedThere = mark !== undefined && mark !== next;
  mark = next;
  // With a worker, renewed is when that has the new page: main.ts.
  now({
    reach: 'in', out_since: undefined, tried: Date.now(), signed: true, number: n.number, forecast_age_h: n.forecast_age_h ?? undefined, held: n.held ?? 0, flags: n.flags ?? 0,
    read_only: n.read_only === true, renewed: state.renewed || (n.build !== build && !state.safe), clock_off_s: Math.abs(own - state.clock_off_s) > 5 || own === 0 ? own : state.clock_off_s,
  });
  if (n.build !== build) void navigator.serviceWorker?.getRegistration().then((r) => r?.update()).catch(() => undefined);
  if (!changedThere) return;
  others?.postMessage('number');
  if (!loading) page.newer();
}

/** Ask the house for its number now; hand over what waits when it answers. What was asked before the news came may answer with
 *  the number of before: then once more. */
export function look(): Promise<void> {
  onceMore = asking !== undefined;
  return (asking ??= (async () => {
    const asked = Date.now();
    try { heard(await getNow<Number>('/api/number'), asked, false); }
    catch { /* out of reach, sent out, or busy: the ears below have it already */ }
    await count();
    if (state.reach === 'in' && state.signed && state.waiting > 0) await handOver().catch(() => undefined);
  })().finally(() => { asking = undefined; if (onceMore) void look(); else plan(); }));
}
function plan(): void {
  clearTimeout(timer);
  const hidden = document.visibilityState === 'hidden';
  if (hidden && state.waiting === 0) return;
  timer = setTimeout(() => void look(), hidden ? HIDDEN_MS : state.reach === 'out' ? OUT_MS : EVERY_MS) as unknown as number;
}
let soon = 0;
function lookSoon(ms: number): void { clearTimeout(soon); soon = setTimeout(() => void look(), ms) as unknown as number; }

/** Called when what waits has changed: for the page that lists it. */
export const whenCounted = new Set<() => void>();
/** What waits here, counted anew. */
let counted = '';
async function count(): Promise<void> {
  const all = await queueAll().catch(() => []), waits = all.filter((w) => !w.refused && w.direct_until < Date.now()); // one on its way does not wait yet
  now({
    waiting: waits.length, waiting_since: waits[0] ? Date.parse(waits[0].made) : undefined,
    refused: all.flatMap((w) => (w.refused ? [{ uid: w.uid, called: w.kind, sentence: w.refused.sentence, where: w.refused.where }] : [])),
  });
  const mark = JSON.stringify(all.map((w) => [w.n, w.refused, w.direct_until > Date.now()]));
  if (mark !== counted) for (const f of whenCounted) f();
  counted = mark;
}

/* ---- what a page rests on, while it is being asked for */

let oldest: number | undefined, anyKept = false;
export function loading(): void { oldest = undefined; anyKept = false; }
export function loaded(): { drawn: number | undefined; kept: boolean } { return { drawn: oldest, kept: anyKept }; }

export function start(p: Page): void {
  page = p;
  earIs({
    answered: () => now({ reach: 'in', out_since: undefined, tried: Date.now() }),
    silent: outOfReach,
    sentOut: () => now({ signed: false }),
    drew: (kept, at) => { oldest = Math.min(oldest ?? at, at); anyKept ||= kept; },
    said: (path, answer) => { if (path === '/api/number') heard(answer as Number, Date.now(), true); },
    far: () => state.reach === 'out',
  });
  queueEarIs({
    changed: () => { others?.postMessage('queue'); void count(); if (state.reach === 'out') return; lookSoon(1500); },
    handed: (n) => {
      clearTimeout(handedTimer);
      handedTimer = setTimeout(() => now({ handed: 0 }), HANDED_MS) as unknown as number;
      now({ handed: state.handed + n });
    },
    recorded: () => lookSoon(250),
    far: () => state.reach === 'out',
  });
  if (others) others.onmessage = (e) => { if (e.data === 'queue') void count(); else void look(); };
  addEventListener('online', () => void look());
  addEventListener('offline', outOfReach);
  addEventListener('focus', () => void look());
  document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'visible') { void count(); void look(); } else plan(); });
  addEventListener('pageshow', (e: PageTransitionEvent) => { if (e.persisted) void look(); });
  addEventListener('beforeunload', (e) => { if (state.waiting > 0 && !state.safe) e.preventDefault(); });
  void count().then(look);
}
