// SPDX-License-Identifier: GPL-3.0-or-later
// Ears: a tag such as 14-6 drawn as notches in the two ears of a pig that looks at the reader: its own right ear (litter) stands
// on the reader's left. What to cut comes from the house (reckon notch); a tag of another form, or one no key holds, has no ears.
import { html, nothing, svg, type SVGTemplateResult, type TemplateResult } from 'lit-html';
import { get } from '../base/api.ts';

export interface Ears { number: string; litter: number; pig: number; right: number[]; left: number[]; local_extra: boolean; says: string }
const asked = new Map<string, Promise<Ears | undefined>>();
const MOST = 161, MOST_EXTRA = 442, PIG_EXTRA = 26; // what the ears hold: core/litter/notch.h

/** The notches of a tag, by the universal key, or by the local extra where the litter is too large for it. */
export function earsOf(tag: string | null | undefined): Promise<Ears | undefined> {
  const m = /^(\d{1,3}) ?- ?(\d{1,3})$/.exec((tag ?? '').trim());
  if (!m) return Promise.resolve(undefined);
  const litter = Number(m[1]), pig = Number(m[2]), t = `${litter}-${pig}`, extra = litter > MOST;
  if (litter < 1 || pig < 1 || litter > MOST_EXTRA || pig > (extra ? PIG_EXTRA : MOST)) return Promise.resolve(undefined);
  let e = asked.get(t);
  if (!e) asked.set(t, e = get<Ears>('/api/reckon/notch', { 'LITTER-PIG': t, 'local-extra': extra || undefined }).catch(() => { asked.delete(t); return undefined; }));
  return e;
}
/** Of several animals at once, by tag. */
export async function earsOfAll(tags: readonly (string | null | undefined)[]): Promise<Map<string, Ears>> {
  const out = new Map<string, Ears>();
  await Promise.all(tags.map(async (t) => { const e = t ? await earsOf(t) : undefined; if (t && e) out.set(t, e); }));
  return out;
}

/* The ear on the reader's left: its upper (inner) edge from the head to the tip, its lower (outer) edge back to the head. */
type P = readonly [x: number, y: number];
interface Edge { at: P[]; far: number[] }
function edge(a: P, b: P, c: P, d: P): Edge {
  const at: P[] = [], far: number[] = [];
  for (let i = 0; i <= 80; i++) {
    const t = i / 80, u = 1 - t, k = [u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t] as const;
    const p: P = [k[0] * a[0] + k[1] * b[0] + k[2] * c[0] + k[3] * d[0], k[0] * a[1] + k[1] * b[1] + k[2] * c[1] + k[3] * d[1]], before = at[i - 1];
    far.push(before ? far[i - 1]! + Math.hypot(p[0] - before[0], p[1] - before[1]) : 0);
    at.push(p);
  }
  return { at, far };
}
const tip: P = [17, 52], upper = edge([143, 52], [116, 14], [58, 12], tip), lower = edge(tip, [38, 88], [92, 102], [127, 86]);
/** The place so far along an edge, `deep` inwards. */
function place(e: Edge, s: number, deep: number): P {
  const i = Math.min(79, Math.max(0, e.far.findIndex((f) => f > s) - 1)), [x0, y0] = e.at[i]!, [x1, y1] = e.at[i + 1]!, long = e.far[i + 1]! - e.far[i]!, k = (s - e.far[i]!) / long;
  return [x0 + (x1 - x0) * k + (deep * (y1 - y0)) / long, y0 + (y1 - y0) * k - (deep * (x1 - x0)) / long];
}
const where: Record<number, [e: Edge, part: number]> = { 27: [upper, 0.27], 9: [upper, 0.72], 3: [lower, 0.37], 1: [lower, 0.76] };
const r1 = (x: number): number => Math.round(x * 10) / 10;
const path = (p: readonly P[]): string => p.map(([x, y]) => `${r1(x)} ${r1(y)}`).join('L');

/** An edge with its notches cut out of it, and where the figure of each notch is written. */
function cut(e: Edge, values: readonly number[], big: number): { points: P[]; marks: { value: number; at: P }[] } {
  const half = 5.5 * big, deep = 14 * big, length = e.far[80]!, ends = values.includes(81) ? 11 * big : 0, marks: { value: number; at: P }[] = [];
  const centres = Object.entries(where).flatMap(([v, [on, part]]) => {
    const n = on === e ? values.filter((x) => x === Number(v)).length : 0;
    return Array.from({ length: n }, (_, k) => { const s = part * length + (n === 1 ? 0 : (k - 0.5) * 2.7 * half); marks.push({ value: Number(v), at: place(e, s, -9) }); return s; });
  }).sort((a, b) => a - b);
  const from = e === lower ? ends : 0, to = length - (e === upper ? ends : 0), points: P[] = [];
  for (let i = 0; i <= 80; i++) {
    const s = e.far[i]!, before = i ? e.far[i - 1]! : -1;
    for (const c of centres) if (c > before && c <= s) points.push(place(e, c - half, 0), place(e, c, deep), place(e, c + half, 0));
    if (s >= from && s <= to && !centres.some((c) => Math.abs(s - c) < half)) points.push(e.at[i]!);
  }
  return { points, marks };
}
function ear(values: readonly number[], how: { big: number; figures: boolean; mirror: boolean }): SVGTemplateResult {
  const up = cut(upper, values, how.big), low = cut(lower, values, how.big), off = values.includes(81), inner: P[] = off ? [[tip[0] + 22 * how.big, tip[1] + 4]] : [];
  const marks = [...up.marks, ...low.marks, ...(off ? [{ value: 81, at: [tip[0] - 2, tip[1] + 3] as P }] : [])], x = (p: P): number => r1(how.mirror ? 340 - p[0] : p[0]);
  return svg`<g class="ear"><path class="f-panel l-ink w2 earline" transform=${how.mirror ? 'translate(340 0) scale(-1 1)' : 'translate(0 0)'} d=${`M${path([...up.points, ...inner, ...low.points])}`} data-notches=${values.length}/>${how.figures ? svg`<path class="f-none l-edge w1" transform=${how.mirror ? 'translate(340 0) scale(-1 1)' : 'translate(0 0)'} d="M128 66C104 48 78 48 56 56"/>` : nothing}${how.figures ? marks.map((m) => svg`<text class="earno mid" x=${x(m.at)} y=${r1(m.at[1] + 4)}>${m.value}</text>`) : nothing}</g>`;
}
const head = svg`<path class="f-panel l-ink w2" d="M143 52Q170 38 197 52Q212 66 213 86Q216 112 197 130Q170 146 143 130Q124 112 127 86Q128 66 143 52z"/><ellipse class="f-panel l-ink w2" cx="170" cy="118" rx="24" ry="17"/><ellipse class="f-ink" cx="162" cy="118" rx="4" ry="6"/><ellipse class="f-ink" cx="178" cy="118" rx="4" ry="6"/><circle class="f-ink" cx="148" cy="82" r="4"/><circle class="f-ink" cx="192" cy="82" r="4"/>`;
const spelled = (v: readonly number[]): string => (v.length ? v.join(', ') : 'none');
const byExtra = 'Local extra: its left 27 adds 200 to the litter, its left 81 adds 81.';

/** The pig's head with both ears, as seen facing it. */
export function ears(e: Ears | undefined, how: { small?: boolean } = {}): TemplateResult | typeof nothing {
  if (!e) return nothing;
  const label = `Ear notches of ${e.number}, as seen facing the pig. The pig’s own right ear, on your left, is litter ${e.litter}: ${spelled(e.right)}. The pig’s own left ear, on your right, is pig ${e.pig}: ${spelled(e.left)}.${e.local_extra ? ` ${byExtra}` : ''}`;
  const to = { big: how.small ? 1.35 : 1, figures: !how.small };
  const pic = html`<svg class=${how.small ? 'ears small' : 'ears'} viewBox=${how.small ? '10 18 320 126' : '0 4 340 144'} role="img" aria-label=${label}>${ear(e.right, { ...to, mirror: false })}${ear(e.left, { ...to, mirror: true })}${head}</svg>`;
  return how.small ? pic : html`<figure class="earfig">${pic}<figcaption class="small"><span>its own <b>right</b> ear: litter ${e.litter}<br>${spelled(e.right)}</span><span>its own <b>left</b> ear: pig ${e.pig}<br>${spelled(e.left)}</span><span class="earway">Seen facing the pig.${e.local_extra ? ` ${byExtra}` : ''}</span></figcaption></figure>`;
}
