// SPDX-License-Identifier: GPL-3.0-or-later
// Store: what this device keeps by itself, in the browser's database: records until the house has said that it has them, and
// the last answer to each question. A browser that keeps nothing gets memory instead, as long as the page is open.

/** One thing that waits: a record, or that one be taken back. `n` is the order of making; clocks are not asked. */
export interface Waiting {
  n: number;
  what: 'record' | 'undo';
  uid: string;
  kind: string;
  fact: Record<string, string | number | boolean | undefined>;
  made: string; // by this device's clock
  who?: string;
  batch?: string;
  replaces?: string;
  sent: boolean; // handing over was begun once: it may have arrived
  direct_until: number; // until then the page that made it hands it over itself; 0 = anybody may
  refused?: { sentence: string; where: 'held' | 'here'; status: string };
}
/** An answer as it was given: key is the question with its parameters, like the question without its moments. */
export interface Kept { key: string; like: string; at: number; answer: unknown }

const MOST_ANSWERS = 160;
let base: Promise<IDBDatabase | undefined> | undefined;
const memory = { queue: new Map<number, Waiting>(), answers: new Map<string, Kept>(), notes: new Map<string, unknown>(), last: 0 };

function open(): Promise<IDBDatabase | undefined> {
  return (base ??= new Promise((resolve) => {
    let r: IDBOpenDBRequest;
    try { r = indexedDB.open('leenest', 1); } catch { resolve(undefined); return; }
    r.onupgradeneeded = () => {
      r.result.createObjectStore('queue', { keyPath: 'n', autoIncrement: true }).createIndex('uid', 'uid');
      const answers = r.result.createObjectStore('answers', { keyPath: 'key' });
      answers.createIndex('like', 'like');
      answers.createIndex('at', 'at');
      r.result.createObjectStore('notes');
    };
    r.onsuccess = () => {
      const forget = (): void => { base = undefined; };
      r.result.onversionchange = () => { r.result.close(); forget(); };
      r.result.onclose = forget;
      resolve(r.result);
    };
    r.onerror = () => resolve(undefined);
  }));
}
/** One transaction. `work` starts the requests; what the promise gives is read when all of it is on the disk. */
async function run<T>(names: string[], mode: IDBTransactionMode, work: (t: IDBTransaction) => () => T): Promise<T | undefined> {
  const db = await open();
  if (!db) return undefined;
  return new Promise((resolve, reject) => {
    const t = db.transaction(names, mode, { durability: 'strict' });
    const read = work(t);
    t.oncomplete = () => resolve(read());
    t.onabort = () => reject(t.error ?? new Error('This browser could not keep it.'));
  });
}
/** Whether what is kept outlives the page. */
export async function lasting(): Promise<boolean> { return (await open()) !== undefined; }

/* ---- the queue */

export async function queueAdd(item: Omit<Waiting, 'n'>): Promise<number> {
  if (!(await lasting())) { memory.queue.set(++memory.last, { ...item, n: memory.last }); return memory.last; }
  return (await run(['queue'], 'readwrite', (t) => { const r = t.objectStore('queue').add(item); return () => r.result as number; }))!;
}
/** All that waits, in the order of making. */
export async function queueAll(): Promise<Waiting[]> {
  if (!(await lasting())) return [...memory.queue.values()].map((x) => ({ ...x }));
  return (await run(['queue'], 'readonly', (t) => { const r = t.objectStore('queue').getAll(); return () => r.result as Waiting[]; }))!;
}
/** Put back what was changed and take away what is done, together. One that is gone meanwhile stays gone. */
export async function queueChange(put: readonly Waiting[], gone: readonly number[] = []): Promise<void> {
  if (!(await lasting())) {
    for (const x of put) if (memory.queue.has(x.n)) memory.queue.set(x.n, { ...x });
    for (const n of gone) memory.queue.delete(n);
    return;
  }
  await run(['queue'], 'readwrite', (t) => {
    const s = t.objectStore('queue');
    for (const x of put) s.getKey(x.n).onsuccess = (e) => { if ((e.target as IDBRequest).result !== undefined) s.put(x); };
    for (const n of gone) s.delete(n);
    return () => undefined;
  });
}

/* ---- answers */

let sinceSwept = 0;
export async function answerKeep(k: Kept): Promise<void> {
  if (!(await lasting())) { memory.answers.set(k.key, k); return; }
  const sweep = sinceSwept++ % 40 === 0;
  await run(['answers'], 'readwrite', (t) => {
    const s = t.objectStore('answers');
    s.put(k);
    if (sweep) s.count().onsuccess = (e) => {
      let over = (e.target as IDBRequest<number>).result - MOST_ANSWERS;
      if (over > 0) s.index('at').openCursor().onsuccess = (f) => {
        const c = (f.target as IDBRequest<IDBCursorWithValue | null>).result;
        if (c && over-- > 0) { c.delete(); c.continue(); }
      };
    };
    return () => undefined;
  });
}
/** The answer to that very question, else the newest to the same question about another moment. */
export async function answerKept(key: string, like: string): Promise<Kept | undefined> {
  const newest = (list: Kept[]): Kept | undefined => list.reduce<Kept | undefined>((a, b) => (a && a.at >= b.at ? a : b), undefined);
  if (!(await lasting())) return memory.answers.get(key) ?? newest([...memory.answers.values()].filter((k) => k.like === like));
  return run(['answers'], 'readonly', (t) => {
    const s = t.objectStore('answers'), exact = s.get(key), near = s.index('like').getAll(like);
    return () => (exact.result as Kept | undefined) ?? newest(near.result as Kept[]);
  });
}
/** Forget the answers: who was sent out does not go on reading. What waits stays. */
export async function answersForget(): Promise<void> {
  memory.answers.clear();
  await run(['answers'], 'readwrite', (t) => { t.objectStore('answers').clear(); return () => undefined; });
}

/* ---- one at a time, over all pages of this browser */

const HOLD_MS = 20000;
/** Take the lease for `holder` if nobody else has it; where the browser has no locks of its own. */
async function lease(holder: string, give_up: boolean): Promise<boolean> {
  interface Lease { holder: string; until: number }
  const take = (l: Lease | undefined): Lease | undefined => {
    const free = !l || l.holder === holder || l.until < Date.now() || l.until > Date.now() + 2 * HOLD_MS; // the last: a clock was put back
    return free ? { holder, until: give_up ? 0 : Date.now() + HOLD_MS } : undefined;
  };
  if (!(await lasting())) {
    const mine = take(memory.notes.get('lease') as Lease | undefined);
    if (mine) memory.notes.set('lease', mine);
    return !!mine;
  }
  let got = false;
  await run(['notes'], 'readwrite', (t) => {
    const s = t.objectStore('notes');
    s.get('lease').onsuccess = (e) => { const mine = take((e.target as IDBRequest).result); if (mine) { got = true; s.put(mine, 'lease'); } };
    return () => undefined;
  });
  return got;
}
const sleep = (ms: number): Promise<void> => new Promise((r) => setTimeout(r, ms));

/** Do it while no other page of this browser does; undefined when its turn did not come within wait_ms. */
export async function alone<T>(wait_ms: number, work: () => Promise<T>): Promise<T | undefined> {
  if (navigator.locks) {
    const stop = new AbortController(), timer = setTimeout(() => stop.abort(), wait_ms);
    try {
      return await navigator.locks.request('leenest-queue', { signal: stop.signal }, () => { clearTimeout(timer); return work(); });
    } catch (e) {
      if (stop.signal.aborted) return undefined;
      throw e;
    } finally { clearTimeout(timer); }
  }
  const holder = Array.from(crypto.getRandomValues(new Uint32Array(4))).join('-'), end = performance.now() + wait_ms;
  while (!(await lease(holder, false))) {
    if (performance.now() > end) return undefined;
    await sleep(60 + Math.random() * 60);
  }
  const renew = setInterval(() => void lease(holder, false), HOLD_MS / 3);
  try { return await work(); } finally { clearInterval(renew); await lease(holder, true); }
}
