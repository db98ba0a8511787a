// SPDX-License-Identifier: GPL-3.0-or-later
// Carry: what waits, as text that goes over by hand, and such text read in again. Each part stands for itself: a line with its
// place and its check sum, then one record a line. Read in twice, or beside the queue, it does no harm: the ids are the same.
import type { Waiting } from './store.ts';

/** As the text has it. */
export interface Carried { n: number; kind?: string; uid: string; recorded?: string; fact?: Waiting['fact']; who?: string; batch?: string; replaces?: string; undo?: boolean }
const HEAD = /^leenest records (\d+) of (\d+) ([0-9a-f]{8})$/;

/** CRC-32 as in ISO-HDLC and zip files, of the text's bytes. */
export function crc32(text: string): string {
  let c = 0xffffffff;
  for (const b of new TextEncoder().encode(text)) {
    c ^= b;
    for (let i = 0; i < 8; i++) c = (c >>> 1) ^ (c & 1 ? 0xedb88320 : 0);
  }
  return ((c ^ 0xffffffff) >>> 0).toString(16).padStart(8, '0');
}
function line(w: Waiting): string {
  const c: Carried = w.what === 'undo' ? { n: w.n, uid: w.uid, undo: true } : { n: w.n, kind: w.kind, uid: w.uid, recorded: w.made, fact: w.fact, ...(w.who ? { who: w.who } : {}), ...(w.batch ? { batch: w.batch } : {}), ...(w.replaces ? { replaces: w.replaces } : {}) };
  return JSON.stringify(c);
}
/** Parts of at most that many bytes; a record longer than that has a part of its own. */
export function carryParts(all: readonly Waiting[], most: number): string[] {
  const size = (s: string): number => new TextEncoder().encode(s).length, head = 40, groups: string[][] = [];
  let room = 0;
  for (const l of all.map(line)) {
    const need = size(l) + 1;
    if (groups.length === 0 || need > room) { groups.push([]); room = most - head; }
    groups.at(-1)!.push(l);
    room -= need;
  }
  return groups.map((g, i) => `leenest records ${i + 1} of ${groups.length} ${crc32(g.join('\n'))}\n${g.join('\n')}`);
}
export interface ReadIn { items: Carried[]; troubles: string[] }
/** Text that was carried over. Parts may come in any order and more than once; what is not whole is named and left out. */
export function readCarried(text: string): ReadIn {
  const parts: { no: number; of: number; sum: string; lines: string[] }[] = [], troubles: string[] = [], items = new Map<string, Carried>();
  for (const raw of text.split(/\r?\n/)) {
    const l = raw.trim(), m = HEAD.exec(l);
    if (m) parts.push({ no: Number(m[1]), of: Number(m[2]), sum: m[3]!, lines: [] });
    else if (l && parts.length) parts.at(-1)!.lines.push(l);
    else if (l && troubles.length === 0) troubles.push('It does not begin with “leenest records”. Bring the whole text, from that line on.');
  }
  if (parts.length === 0 && troubles.length === 0) troubles.push('There is no text yet.');
  const whole = new Set<number>();
  for (const p of parts) {
    if (crc32(p.lines.join('\n')) !== p.sum) { troubles.push(`Part ${p.no} did not come over whole. Read it again.`); continue; }
    whole.add(p.no);
    for (const l of p.lines) {
      let c: Carried | undefined;
      try { c = JSON.parse(l) as Carried; } catch { /* below */ }
      if (!c || typeof c.uid !== 'string' || !/^[0-9a-f]{32}$/.test(c.uid) || (!c.undo && (typeof c.kind !== 'string' || typeof c.fact !== 'object')))
        { troubles.push(`A line of part ${p.no} is no record.`); continue; }
      items.set(`${c.uid} ${c.undo ? 'undo' : ''}`, c);
    }
  }
  const of = Math.max(0, ...parts.map((p) => p.of));
  for (let i = 1; i <= of; i++) if (!parts.some((p) => p.no === i)) troubles.push(`Part ${i} of ${of} is still missing.`);
  return { items: [...items.values()].sort((a, b) => a.n - b.n), troubles };
}
