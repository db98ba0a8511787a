// SPDX-License-Identifier: GPL-3.0-or-later
// Deeds: what is recorded from the night's page: work done, a sign seen, a look that found nothing, births. Each shows at
// once, can be taken back as long as the page is open, and says afterwards what it changed.
import { html, nothing, type TemplateResult } from 'lit-html';
import { live } from '../base/live.ts';
import { redraw, reload } from '../base/page.ts';
import { record, undo, type Fact } from '../base/queue.ts';
import type { Heat, Job, Sow, Tonight } from './answer.ts';
import { clock, in100, typedMoment } from './words.ts';

export interface Kept { uid: string; says: string; at: number; state: 'saving' | 'kept' | 'waiting'; sow?: string; dawn?: number; danger?: number; job?: string; number?: number }
const kept: Kept[] = [];
const trouble = new Map<string, string>(); // by row
const jobKey = (j: Job): string => `${j.place}\n${j.do}`;

/** The moment a deed is written down for: now, or the moment asked about where that is another day (the demo farm, the past). */
export function momentOfDeed(at: string): number {
  const asked = Date.parse(at), now = Date.now();
  return Math.abs(now - asked) > 12 * 3600e3 ? asked : now;
}

async function write(row: string, kind: string, fact: Fact, is: Omit<Kept, 'uid' | 'state'>): Promise<void> {
  const k: Kept = { ...is, uid: '', state: 'saving' };
  trouble.delete(row);
  kept.push(k);
  redraw();
  try {
    const r = await record(kind, fact);
    k.uid = r.uid;
    k.state = r.status === 'waiting' ? 'waiting' : 'kept';
    if (r.number !== undefined) k.number = r.number;
  } catch (e) {
    kept.splice(kept.indexOf(k), 1);
    trouble.set(row, e instanceof Error ? e.message : String(e));
    redraw();
    return;
  }
  if (k.state === 'waiting') redraw();
  else reload();
}
async function takeBack(row: string, k: Kept): Promise<void> {
  try {
    await undo(k.uid);
    kept.splice(kept.indexOf(k), 1);
    trouble.delete(row);
    reload();
  } catch (e) {
    trouble.set(row, e instanceof Error ? e.message : String(e));
    redraw();
  }
}

/* ---- work */

/** The fact that a job becomes when it is done; undefined where more must be said than a button can. */
export function factOf(j: Job, at: number): { kind: string; fact: Fact } | undefined {
  const l = j.lay, a = l?.after;
  if (!l || !a || l.walled) return undefined;
  const when = typedMoment(at), straw = l.bedded ? { straw_state: 'dry' } : {};
  if (l.placed && !l.moved && !l.turned) {
    const wet = l.bedded && l.before && l.before.straw !== 'dry' && l.before.straw_m > 0;
    return { kind: 'bedding', fact: { placement: l.uid ?? j.place, at: when, ...(l.bedded ? { added_kg: j.straw_kg, straw_depth_m: a.straw_m, ...straw } : {}), ...(l.flapped ? { flap: 'hung' } : {}), ...(wet ? { cleared: true } : {}) } };
  }
  const where: Fact = { ...(a.paddock ? { paddock: a.paddock } : {}), ...(a.x_m !== null && a.y_m !== null ? { x_m: a.x_m, y_m: a.y_m } : {}) };
  const lee: Fact = l.lee ? { lee: l.lee, ...(a.break_bearing_deg !== null ? { lee_bearing_deg: a.break_bearing_deg } : {}) } : {};
  const bed: Fact = a.straw_m > 0 ? { straw_depth_m: a.straw_m, straw_state: l.bedded ? 'dry' : a.straw, ...(l.bedded ? { straw_kg: j.straw_kg } : {}) } : {};
  if (a.kind === 'hut' && l.shelter)
    return { kind: 'placement', fact: { shelter: l.shelter, is: 'hut', from: when, ...where, ...lee, ...bed, ...(a.facing_deg !== null ? { facing_deg: a.facing_deg } : {}), flap: a.flap ? 'hung' : 'none' } };
  if (a.kind === 'lee' || a.kind === 'open')
    return { kind: 'placement', fact: { name: a.name, is: a.kind, from: when, ...where, ...lee, ...bed } };
  return undefined;
}
/** A verb in the past: Flap is up, Straw is in, Hut 8 stands ready. */
export function deedWords(j: Job): string {
  const l = j.lay;
  if (l?.walled) return 'Wall of bales stands';
  if (l?.moved) return `${j.place} stands ready`;
  if (l?.turned) return l.bedded || l.flapped ? 'Turned and ready' : 'Hut is turned';
  if (l?.bedded && l.flapped) return 'Straw and flap are in';
  if (l?.flapped) return 'Flap is up';
  return l?.after?.kind === 'lee' || l?.after?.kind === 'open' ? 'The bed is laid' : 'Straw is in';
}
export const isDone = (j: Job): Kept | undefined => kept.find((k) => k.job === jobKey(j));
export function deedButton(row: string, j: Job, t: Tonight, sow?: Sow): TemplateResult {
  const at = momentOfDeed(t.at), f = factOf(j, at);
  if (!f) return html`<a class="btn do" href=${`/records/${j.lay?.walled ? 'windbreak' : 'placement'}`}>${deedWords(j)}: write it</a>`;
  return html`<button class="do" @click=${() => void write(row, f.kind, f.fact, { says: deedWords(j), at, job: jobKey(j), ...(sow ? { sow: sow.name, dawn: sow.p_before_dawn, danger: sow.now.danger } : {}) })}>${deedWords(j)}</button>`;
}

/** Shade, water and vents have no fact of their own: they are kept as a note. */
export function heatButton(row: string, x: Heat, t: Tonight, sow?: Sow): TemplateResult {
  const at = momentOfDeed(t.at), says = 'Shade and water are there';
  return html`<button class="do" @click=${() => void write(row, 'note', { at: typedMoment(at), text: `${x.place}: done against heat. ${x.do}`, ...(sow ? { animal: sow.name } : {}) }, { says, at, job: row, ...(sow ? { sow: sow.name } : {}) })}>${says}</button>`;
}

/* ---- looks */

/** Signs, those that tell most first; as a fact of kind sign names them. */
const signs: [string, string][] = [
  ['nest', 'Builds a nest'], ['milk-streams', 'Milk comes in streams'], ['straining', 'Straining'], ['milk-drops', 'Milk comes in drops'],
  ['udder-tight', 'Udder is tight'], ['restless', 'Up and down, restless'], ['bloody-fluid', 'Bloody fluid'], ['fast-breathing', 'Breathes fast'],
  ['not-at-feed', 'Stayed from the feed'], ['away', 'Went off alone'], ['vulva-swollen', 'Vulva swollen'],
];
const firstSigns = 6;
const open = new Set<string>();
/** She nests already: then a nest is no news, and she is not to be moved. */
export const nests = (s: Sow): boolean => s.p_use >= 0.995 && s.place_now !== undefined && s.place_now.name === s.lies;

export function lookButtons(row: string, s: Sow, t: Tonight): TemplateResult {
  const at = momentOfDeed(t.at), was = { sow: s.name, dawn: s.p_before_dawn, danger: s.now.danger, at };
  const nested = nests(s);
  return html`<button aria-expanded=${open.has(row) ? 'true' : 'false'} @click=${() => { if (!open.delete(row)) open.add(row); redraw(); }}>Saw a sign</button>
<button @click=${() => void write(row, 'look', { sow: s.name, at: typedMoment(at), absent: nested ? 'milk-streams' : 'nest,milk-streams' }, { ...was, says: nested ? 'Looked: no milk yet' : 'Looked: no nest, no milk' })}>${nested ? 'Looked: no milk yet' : 'Looked: no nest, no milk'}</button>`;
}
export function signPanel(row: string, s: Sow, t: Tonight): TemplateResult | typeof nothing {
  if (!open.has(row)) return nothing;
  const at = momentOfDeed(t.at), was = { sow: s.name, dawn: s.p_before_dawn, danger: s.now.danger, at }, nested = nests(s);
  const sign = ([key, words]: [string, string]): TemplateResult => html`<button @click=${() => { open.delete(row); void write(row, 'sign', { sow: s.name, at: typedMoment(at), sign: key }, { ...was, says: words }); }}>${words}</button>`;
  const list = signs.filter(([key]) => key !== 'nest' || !nested);
  return html`<div class="signs" role="group" aria-label="What was seen"><p><b>What did you see?</b> Each press is one sign, written down for ${clock(at)}.</p>
<div class="pad">${list.slice(0, firstSigns).map(sign)}</div>
<details><summary>Other signs</summary><div class="pad">${list.slice(firstSigns).map(sign)}</div></details>
<div class="pad"><button class="ember" @click=${() => { open.delete(row); void write(row, 'birth', { sow: s.name, at: typedMoment(at), is: 'alive' }, { ...was, says: 'The first piglet is there' }); }}>The first piglet is there</button>
<button @click=${() => { open.delete(row); redraw(); }}>Close, nothing to write</button></div></div>`;
}

/* ---- births */

export function birthButtons(row: string, f: { sow: string; started: string; born_so_far?: number; born_dead?: number }, t: Tonight, litter: (() => Promise<string | undefined>)): TemplateResult {
  const at = momentOfDeed(t.at), when = typedMoment(at);
  return html`<button class="do" @click=${() => void write(row, 'birth', { sow: f.sow, at: when, is: 'alive' }, { at, says: 'One more born' })}>One more born</button>
<button @click=${() => void write(row, 'birth', { sow: f.sow, at: when, is: 'dead' }, { at, says: 'One born dead' })}>One born dead</button>
<button @click=${() => void write(row, 'sign', { sow: f.sow, at: when, sign: 'straining' }, { at, says: 'She strains' })}>She strains</button>
<button @click=${() => void allOut(row, f, at, litter)}>All out</button>`;
}
async function allOut(row: string, f: { sow: string; started: string; born_so_far?: number; born_dead?: number }, at: number, litter: () => Promise<string | undefined>): Promise<void> {
  const fact: Fact = { sow: f.sow, start: typedMoment(f.started), end: typedMoment(at), ...(f.born_so_far !== undefined ? { born_alive: f.born_so_far } : {}), ...(f.born_dead !== undefined ? { still: f.born_dead } : {}) };
  const k: Kept = { uid: '', says: 'All out', at, state: 'saving' };
  kept.push(k);
  try {
    const replaces = await litter();
    const r = await record('farrowing', fact, replaces ? { replaces } : {});
    k.uid = r.uid;
    k.state = r.status === 'waiting' ? 'waiting' : 'kept';
    reload();
  } catch (e) {
    kept.splice(kept.indexOf(k), 1);
    trouble.set(row, e instanceof Error ? e.message : String(e));
    redraw();
  }
}

/* ---- what it changed */

export function keptLines(row: string, mine: (k: Kept) => boolean, s?: Sow, known = 0): TemplateResult | typeof nothing {
  if (live().waiting === 0) for (const k of kept) if (k.state === 'waiting') k.state = 'kept'; // handed over meanwhile
  const rows = kept.filter(mine).slice(-3), t = trouble.get(row);
  if (rows.length === 0 && !t) return nothing;
  return html`<div class="kept" role="status">${rows.map((k) => html`<p><svg aria-hidden="true"><use href=${k.state === 'waiting' ? '#phone' : '#tick'}/></svg><span><b>${k.says}</b>, ${clock(k.at)}${k.state === 'waiting' ? ' · waits on this device' : k.state === 'saving' ? ' · going over' : ''}${k.state === 'kept' && s && k.number !== undefined && known >= k.number ? changed(k, s) : nothing}</span>${k.state === 'saving' ? nothing : html`<button class="undo" @click=${() => void takeBack(row, k)}>Undo</button>`}</p>`)}${t ? html`<p class="bad"><svg aria-hidden="true"><use href="#warn"/></svg><span><b>Not recorded.</b> ${t}</span></p>` : nothing}</div>`;
}
function changed(k: Kept, s: Sow): TemplateResult | typeof nothing {
  const dawn = k.dawn !== undefined && in100(k.dawn) !== in100(s.p_before_dawn), danger = k.danger !== undefined && in100(k.danger) !== in100(s.now.danger);
  if (!dawn && !danger) return html` · the figures stay as they were`;
  return html`${dawn ? html` · before dawn <b>${in100(s.p_before_dawn)}</b> was ${in100(k.dawn!)} in\u00a0100` : nothing}${danger ? html` · into danger <b>${in100(s.now.danger)}</b> was ${in100(k.danger!)} in\u00a0100` : nothing}`;
}
/** What was kept of one sow, or of one job. */
export const ofSow = (sow: string) => (k: Kept): boolean => k.sow === sow;
export const ofJob = (j: Job) => (k: Kept): boolean => k.job === jobKey(j);
export const ofRow = (row: string) => (k: Kept): boolean => k.job === row;
export const ofBirths = (says: readonly string[] = ['One more born', 'One born dead', 'She strains', 'All out']) => (k: Kept): boolean => says.includes(k.says);
