// SPDX-License-Identifier: GPL-3.0-or-later
// Recording: every record goes through here, in reach or out of it. It is on this device first and stays until the house has
// said that it has it. Ids are made here, so that a repeat is harmless; the order is a count, so that no clock is asked.
import { OutOfReach, Refused, post } from './api.ts';
import type { Carried } from './carry.ts';
import { alone, queueAdd, queueAll, queueChange, type Waiting } from './store.ts';

export type Value = string | number | boolean;
export type Fact = Record<string, Value | undefined>;
export interface RecordedFact { uid: string; status: 'recorded' | 'already' | 'waiting'; number?: number; called?: string; flags: { number: number; key: string; says: string }[] }

/** What live.ts wants to know of the queue, and what the queue wants to know of it. */
interface Ear {
  changed(): void; // something waits that did not, or no longer does
  handed(count: number): void; // the house has them now
  recorded(): void; // the farm file changed by this device
  far(): boolean; // the house did not answer a moment ago
}
let ear: Ear = { changed() {}, handed() {}, recorded() {}, far: () => false };
export function queueEarIs(e: Ear): void { ear = e; }

/** 32 hexadecimal digits; works without a secure context too. */
export function newUid(): string {
  const b = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(b, (x) => x.toString(16).padStart(2, '0')).join('');
}

const DIRECT_MS = 15000, TURN_MS = 6000, MOST = 50, MOST_BYTES = 48000;
/** The house said that it cannot just now, or does not know this device: the record waits, as if it had said nothing. */
const later = (e: unknown): boolean => e instanceof OutOfReach || (e instanceof Refused && (e.code === 401 || e.code === 429 || e.code >= 500));

function body(w: Waiting): Record<string, unknown> {
  return { uid: w.uid, fact: w.fact, recorded: w.made, ...(w.who ? { who: w.who } : {}), ...(w.batch ? { batch: w.batch } : {}), ...(w.replaces ? { replaces: w.replaces } : {}) };
}
const waitingStill = (w: Waiting): boolean => w.refused === undefined;

/** Record one fact, made now. Refusals throw (api.ts Refused); out of reach it waits on this device. */
export async function record(kind: string, fact: Fact, how: { replaces?: string; batch?: string; uid?: string } = {}): Promise<RecordedFact> {
  const uid = how.uid ?? newUid(), direct = !ear.far() && navigator.onLine !== false;
  const w: Omit<Waiting, 'n'> = { what: 'record', uid, kind, fact: JSON.parse(JSON.stringify(fact)), made: new Date().toISOString(), ...(how.replaces ? { replaces: how.replaces } : {}),
    ...(how.batch ? { batch: how.batch } : {}), sent: direct, direct_until: direct ? Date.now() + DIRECT_MS : 0 };
  const mine: Waiting = { ...w, n: await queueAdd(w) };
  const waits = async (): Promise<RecordedFact> => {
    await queueChange([{ ...mine, direct_until: 0 }]);
    ear.changed();
    return { uid, status: 'waiting', flags: [] };
  };
  if (!direct) return waits();
  return (await alone(TURN_MS, async () => {
    // What was made before goes before; where that cannot go, this waits behind it.
    await handOverNow((x) => x.n < mine.n);
    if ((await queueAll()).some((x) => x.n < mine.n && waitingStill(x))) return waits();
    try {
      const r = await post<{ uid: string; number: number; already: boolean; called: string; flags: RecordedFact['flags'] }>(`/api/record/${kind}`, body(mine));
      await queueChange([], [mine.n]);
      ear.recorded();
      return { uid: r.uid, status: r.already ? 'already' : 'recorded', number: r.number, called: r.called, flags: r.flags } as RecordedFact;
    } catch (e) {
      if (later(e)) return waits();
      await queueChange([], [mine.n]); // whoever is at the form sees why and mends it there
      throw e;
    }
  })) ?? waits();
}

/** Take a record back: one that still waits is dropped, one that was kept is undone with its batch. Out of reach that waits too. */
export async function undo(uid: string): Promise<void> {
  const dropped = await alone(TURN_MS, async () => {
    const w = (await queueAll()).find((x) => x.uid === uid && x.what === 'record');
    if (w) await queueChange([], [w.n]);
    return w !== undefined && !(w.sent && waitingStill(w)); // one that may have arrived is undone there as well
  });
  if (dropped) { ear.changed(); return; }
  if (!ear.far()) {
    try { await post('/api/undo', { what: uid }); ear.recorded(); ear.changed(); return; }
    catch (e) {
      if (e instanceof Refused && e.code === 404) { ear.changed(); return; } // it never arrived
      if (!later(e)) throw e;
    }
  }
  await queueAdd({ what: 'undo', uid, kind: '', fact: {}, made: new Date().toISOString(), sent: false, direct_until: 0 });
  ear.changed();
}

/* ---- handing over */

interface Said { uid: string; status: 'recorded' | 'already' | 'held' | 'conflict'; sentence?: string | null; called?: string | null }
const notTaken = (w: Waiting, sentence: string, where: 'held' | 'here', status: string): Waiting => ({ ...w, direct_until: 0, refused: { sentence, where, status } });

/** What goes over together: from the first on, up to an undo or to one that a page is just handing over itself. */
function load(all: readonly Waiting[], most: number): Waiting[] {
  const out: Waiting[] = [];
  let bytes = 0;
  for (const w of all) {
    if (w.direct_until > Date.now() && w.direct_until < Date.now() + 2 * DIRECT_MS) break;
    if (w.what === 'undo') { if (out.length === 0) out.push(w); break; }
    bytes += JSON.stringify(body(w)).length * 2;
    if (out.length > 0 && (out.length >= most || bytes > MOST_BYTES * 2)) break;
    out.push(w);
  }
  return out;
}
async function handUndo(w: Waiting): Promise<number> {
  try { await post('/api/undo', { what: w.uid }); }
  catch (e) {
    if (later(e)) throw e;
    if (!(e instanceof Refused && e.code === 404)) { await queueChange([notTaken(w, (e as Error).message, 'here', 'undo')]); return 0; }
  }
  await queueChange([], [w.n]);
  return 1;
}
async function handRecords(list: Waiting[]): Promise<number> {
  await queueChange(list.map((w) => ({ ...w, sent: true })));
  const r = await post<{ items: Said[] }>('/api/queue', { items: list.map((w) => ({ kind: w.kind, ...body(w) })), clock: new Date().toISOString() });
  const gone: number[] = [], stay: Waiting[] = [];
  list.forEach((w, i) => {
    const s = r.items[i];
    if (!s || s.uid !== w.uid) return; // not spoken of: it goes again
    if (s.status === 'recorded' || s.status === 'already') gone.push(w.n);
    else stay.push(notTaken({ ...w, sent: true }, s.sentence ?? '', 'held', s.status));
  });
  if (gone.length + stay.length === 0) throw new OutOfReach('The house answered nothing about the records.');
  await queueChange(stay, gone);
  return gone.length;
}
/** Within one's turn. Throws when the house cannot take anything now. */
async function handOverNow(which: (w: Waiting) => boolean): Promise<void> {
  let most = MOST;
  try {
    for (;;) {
      const list = load((await queueAll()).filter((w) => waitingStill(w) && which(w)), most);
      if (list.length === 0) return;
      let count: number;
      try {
        count = list[0]!.what === 'undo' ? await handUndo(list[0]!) : await handRecords(list);
      } catch (e) {
        if (later(e) || !(e instanceof Refused) || e.code === 404) throw e;
        if (list.length > 1) { most = e.code === 413 ? Math.ceil(list.length / 2) : 1; continue; } // find the one it is about
        await queueChange([notTaken(list[0]!, e.message, 'here', e.status)]);
        ear.changed();
        continue;
      }
      ear.changed();
      if (count) { ear.handed(count); ear.recorded(); }
    }
  } catch (e) { if (!(e instanceof OutOfReach || e instanceof Refused)) throw e; }
}
/** Hand over what waits, in the order of making, if no other page of this browser is at it. */
export async function handOver(): Promise<void> {
  await alone(500, () => handOverNow(() => true));
}

/* ---- for the page of what waits */

/** What came over by hand goes into this device's queue, in its order; how many were new here. */
export async function takeIn(items: readonly Carried[]): Promise<number> {
  const here = new Set((await queueAll()).map((w) => `${w.uid} ${w.what}`));
  let count = 0;
  for (const c of items) {
    const what = c.undo ? 'undo' : 'record';
    if (here.has(`${c.uid} ${what}`)) continue;
    await queueAdd({ what, uid: c.uid, kind: c.kind ?? '', fact: c.fact ?? {}, made: c.recorded ?? new Date().toISOString(), ...(c.who ? { who: c.who } : {}), ...(c.batch ? { batch: c.batch } : {}), ...(c.replaces ? { replaces: c.replaces } : {}), sent: true, direct_until: 0 });
    count++;
  }
  ear.changed();
  await handOver();
  return count;
}

export { queueAll };
/** A refusal was read: what the house holds leaves this device; what it does not hold goes only when somebody says so. */
export async function read(n: number): Promise<void> {
  await alone(TURN_MS, () => queueChange([], [n]));
  ear.changed();
}
/** One that met another record of the same mark goes again as a record of its own. */
export async function asNew(n: number): Promise<void> {
  await alone(TURN_MS, async () => {
    const w = (await queueAll()).find((x) => x.n === n);
    if (!w) return;
    const { refused: _, n: __, ...rest } = w;
    await queueAdd({ ...rest, uid: newUid(), sent: false, direct_until: 0 });
    await queueChange([], [n]);
  });
  ear.changed();
}
