// SPDX-License-Identifier: GPL-3.0-or-later
// The pen: hedges, wet places, water and huts put on the plan, corner after corner. Big crosses and arrow keys move the
// cross; a press on the plan sets a corner too. Nothing needs dragging.
import { html, nothing, type TemplateResult } from 'lit-html';
import { Refused } from '../base/api.ts';
import { redraw, reload } from '../base/page.ts';
import { newUid, record, type Fact } from '../base/queue.ts';
import { chooseOne, fault } from './choose.ts';
import type { Field } from './field_model.ts';
import { iso } from './house.ts';
import type { Pt } from './plan.ts';
import { said } from './said.ts';
import { metres, usUnits } from './words.ts';

export type PenKind = 'hedge' | 'wet' | 'water' | 'gateway' | 'tree' | 'hut' | 'outline';
export interface Pen { kind: PenKind; points: Pt[]; cursor: Pt; step: number; done: boolean; values: Record<string, string>; error: string; field: string; busy: boolean }
let now: Pen | undefined;
export const pen = (): Pen | undefined => now;

const WORDS: Record<PenKind, { what: string; corner: string; least: number; most: number }> = {
  hedge: { what: 'Hedge, wall, bales: press the corners along it', corner: 'Corner here', least: 2, most: 20 },
  wet: { what: 'Wet place: press round its edge', corner: 'Corner here', least: 3, most: 40 },
  water: { what: 'Water: where the trough or tap is', corner: 'Water is here', least: 1, most: 1 },
  gateway: { what: 'Gateway: where it is', corner: 'Gateway is here', least: 1, most: 1 },
  tree: { what: 'Tree: where it stands', corner: 'Tree is here', least: 1, most: 1 },
  hut: { what: 'Hut: where it stands', corner: 'Hut is here', least: 1, most: 1 },
  outline: { what: 'Outline: press the corners of the field in their order', corner: 'Corner here', least: 3, most: 60 },
};
export function startPen(kind: PenKind, f: Field): void {
  const c = f.outline.length ? f.outline : [{ x: 0, y: 0 }, { x: 60, y: 40 }];
  now = { kind, points: [], cursor: { x: Math.round(c.reduce((s, p) => s + p.x, 0) / c.length), y: Math.round(c.reduce((s, p) => s + p.y, 0) / c.length) }, step: 5, done: false, values: {}, error: '', field: '', busy: false };
  redraw();
  requestAnimationFrame(() => document.querySelector<HTMLElement>('.planbox')?.focus({ preventScroll: false }));
}
export function stopPen(): void { now = undefined; redraw(); }
const at = (p: Pt): Pt => ({ x: Math.round(p.x * 2) / 2, y: Math.round(p.y * 2) / 2 });
function corner(p: Pt): void {
  if (!now || now.done) return;
  const w = WORDS[now.kind];
  if (w.most === 1) now.points = [at(p)];
  else if (now.points.length < w.most) now.points = [...now.points, at(p)];
  now.cursor = at(p);
  if (w.most === 1) now.done = true;
  redraw();
}
export const penClick = (p: Pt): void => corner(p);
function shift(x: number, y: number): void { if (now) { now.cursor = { x: now.cursor.x + x * now.step, y: now.cursor.y + y * now.step }; redraw(); } }
export function penKey(e: KeyboardEvent): boolean {
  if (!now) return false;
  const way: Record<string, [number, number]> = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };
  const d = way[e.key];
  if (d) shift(d[0], d[1]);
  else if (e.key === 'Enter') corner(now.cursor);
  else if (e.key === 'Backspace') { now.points = now.points.slice(0, -1); redraw(); }
  else if (e.key === 'Escape') stopPen();
  else return false;
  return true;
}

const text = (p: Pen, key: string, label: string, help: string): TemplateResult => html`<div class="askfield"><label for=${`pen-${key}`}>${label}</label>${help ? html`<p class="hint">${help}</p>` : nothing}<input id=${`pen-${key}`} type="text" .value=${p.values[key] ?? ''} aria-describedby=${p.field === key ? `pen-${key}-e` : nothing} @input=${(e: Event) => { p.values[key] = (e.target as HTMLInputElement).value; }}>${fault(`pen-${key}`, p.field === key ? p.error : undefined)}</div>`;
const pick = (p: Pen, key: string, legend: string, options: [string, string][]): TemplateResult => chooseOne(`pen-${key}`, legend, options, p.values[key], (v) => { p.values[key] = v; redraw(); }, { error: p.field === key ? p.error : undefined });

function form(p: Pen, f: Field, moment: Date): TemplateResult {
  const keep = (words: string): TemplateResult => html`<div class="acts"><button type="button" class="do" ?disabled=${p.busy} @click=${() => void save(p, f, moment)}>${words}</button><button type="button" @click=${() => { p.done = false; redraw(); }}>Back to the plan</button><button type="button" @click=${stopPen}>Leave it</button></div>${p.error && !p.field ? fault('pen', p.error) : nothing}`;
  if (p.kind === 'hedge') return html`${pick(p, 'is', 'What is it?', [['hedge', 'Hedge'], ['trees', 'Trees'], ['bales', 'Wall of bales'], ['boards', 'Boards'], ['wall', 'Wall'], ['bank', 'Bank'], ['panels', 'Panels']])}
${text(p, 'height', 'How high is it?', usUnits() ? 'for example 8 ft' : 'for example 2.4 m')}${pick(p, 'porosity', 'How much of it is gaps?', [['0', 'None: solid'], ['0.25', 'A quarter'], ['0.45', 'About half'], ['0.7', 'Most of it']])}
${text(p, 'name', 'What is it called?', 'for example: the north hedge')}${keep('Keep it')}`;
  if (p.kind === 'hut') return html`${pick(p, 'shelter', 'Which hut?', [...f.elsewhere.map((h): [string, string] => [h.shelter, h.name]), ...f.huts.map((h): [string, string] => [h.shelter, `${h.name} (stands here already)`])])}
<p class="small">A hut that is not written down yet: <a href="/records/shelter">write it first</a>.</p>${text(p, 'facing', 'Which way does its opening look?', 'a word or degrees from true north: SSE, 160')}${keep('Hut stands here now')}`;
  return html`${text(p, 'name', 'What to call it', p.kind === 'wet' ? 'may stay empty; for example: floods after rain' : 'may stay empty')}${keep('Keep it')}`;
}

export function penBody(f: Field, moment: Date): TemplateResult {
  const p = now!, w = WORDS[p.kind], n = p.points.length;
  const b = (label: string, words: string, x: number, y: number, how: string): TemplateResult => html`<button type="button" class=${`padbtn ${how}`} aria-label=${label} @click=${() => shift(x, y)}>${words}</button>`;
  if (p.done) return html`<div class="penbox">${form(p, f, moment)}</div>`;
  return html`<div class="penbox"><p><b>${w.what}.</b> ${n ? `${n} ${n === 1 ? 'corner' : 'corners'} so far.` : 'Move the cross with the arrows, or press on the plan.'}</p>
<div class="cross">${b(`North ${metres(p.step)}`, 'N', 0, 1, 'n')}${b(`West ${metres(p.step)}`, 'W', -1, 0, 'w')}<button type="button" class="do padbtn mid" @click=${() => corner(p.cursor)}>${w.corner}</button>${b(`East ${metres(p.step)}`, 'E', 1, 0, 'e')}${b(`South ${metres(p.step)}`, 'S', 0, -1, 's')}</div>
<p class="small">The cross stands ${metres(p.cursor.x)} east and ${metres(p.cursor.y)} north of the south-west corner.</p>
<div class="acts">${[1, 5, 20].map((s) => html`<button type="button" aria-pressed=${p.step === s} @click=${() => { p.step = s; redraw(); }}>${metres(s)} a press</button>`)}</div>
<div class="acts">${n >= w.least && w.most > 1 ? html`<button type="button" class="do" @click=${() => { p.done = true; redraw(); }}>That is all of it</button>` : nothing}${n ? html`<button type="button" @click=${() => { p.points = p.points.slice(0, -1); redraw(); }}>Take the last corner back</button>` : nothing}<button type="button" @click=${stopPen}>Leave it</button></div></div>`;
}

function need(p: Pen, key: string, sentence: string): boolean {
  if (p.values[key]?.trim()) return false;
  p.field = key;
  p.error = sentence;
  redraw();
  document.getElementById(`pen-${key}`)?.focus();
  return true;
}
async function save(p: Pen, f: Field, moment: Date): Promise<void> {
  p.error = p.field = '';
  const facts: { kind: string; fact: Fact }[] = [], paddock = f.paddock!.uid, name = p.values['name']?.trim() ?? '';
  if (p.kind === 'hedge') {
    if (need(p, 'is', 'Say what it is.') || need(p, 'height', 'Say how high it is.') || need(p, 'name', 'Give it a name.')) return;
    for (let i = 1; i < p.points.length; i++) {
      const a = p.points[i - 1]!, b = p.points[i]!;
      facts.push({ kind: 'windbreak', fact: { name: p.points.length > 2 ? `${name}, part ${i}` : name, is: p.values['is']!, paddock, height: p.values['height']!, ...(p.values['porosity'] ? { porosity: Number(p.values['porosity']) } : {}), x_m: a.x, y_m: a.y, x2_m: b.x, y2_m: b.y, length_m: Math.round(Math.hypot(b.x - a.x, b.y - a.y) * 10) / 10 } });
    }
  } else if (p.kind === 'hut') {
    if (need(p, 'shelter', 'Say which hut it is.')) return;
    facts.push({ kind: 'placement', fact: { shelter: p.values['shelter']!, paddock, x_m: p.points[0]!.x, y_m: p.points[0]!.y, from: iso(moment), ...(p.values['facing']?.trim() ? { facing: p.values['facing'].trim() } : {}) } });
  } else facts.push({ kind: 'mark', fact: { is: p.kind, paddock, points: p.points.map((c) => `${c.x},${c.y}`).join(' '), ...(name ? { name } : {}) } });
  p.busy = true;
  redraw();
  try {
    const batch = newUid(), kept = [];
    for (const q of facts) kept.push(await record(q.kind, q.fact, { batch }));
    said(p.kind === 'hut' ? 'The hut stands there now.' : `${name || 'It'} is on the plan.`, kept, reload);
    now = undefined;
    reload();
  } catch (e) {
    p.error = e instanceof Error ? e.message : String(e);
    p.field = e instanceof Refused ? (e.field in { is: 1, height: 1, porosity: 1, name: 1, shelter: 1, facing: 1 } ? e.field : '') : '';
    p.busy = false;
    redraw();
  }
}
