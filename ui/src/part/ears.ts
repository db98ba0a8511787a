// SPDX-License-Identifier: GPL-3.0-or-later
// Ears: a tag such as 14-6 drawn as notches, facing the pig: the pig's own right ear (litter) stands on the reader's left.
// What to cut comes from the house (reckon notch); a tag of another form, or one the key cannot hold, has no ears.
import { html, nothing, svg, type SVGTemplateResult, type TemplateResult } from 'lit-html';
import { get } from '../base/api.ts';

export interface Ears { number: string; litter: number; pig: number; right: number[]; left: number[]; says: string }
const asked = new Map<string, Promise<Ears | undefined>>();

/** The notches of a tag; undefined where it is no notch number or the house cannot be asked. */
export function earsOf(tag: string | null | undefined): Promise<Ears | undefined> {
  const t = (tag ?? '').trim();
  if (!/^\d{1,4} ?- ?\d{1,4}$/.test(t)) return Promise.resolve(undefined);
  let e = asked.get(t);
  if (!e) asked.set(t, e = get<Ears>('/api/reckon/notch', { 'LITTER-PIG': t }).catch(() => { asked.delete(t); return undefined; }));
  return e;
}

// The left half: an ear that stands out from the head (at the right) to its tip. The upper edge is the inner one.
const edge: Record<number, [x: number, y: number, dx: number, dy: number]> = { 27: [86, 13.3, 0, 9], 9: [48, 18.5, 1, 9], 3: [48, 45.5, 1, -9], 1: [86, 50.7, 0, -9], 81: [14, 32, 9, 0] };
const tooth = (value: number, x: number, y: number): SVGTemplateResult => {
  const [, , dx, dy] = edge[value]!;
  return dx > 5 ? svg`<path class="f-ground l-ink w2" d="M${x - 2} ${y - 6}l${dx + 3} 6l-${dx + 3} 6z"/>` : svg`<path class="f-ground l-ink w2" d="M${x - 5} ${y - Math.sign(dy) * 2}L${x} ${y + dy + Math.sign(dy) * 2}L${x + 5} ${y - Math.sign(dy) * 2}z"/>`;
};
const ear = (values: readonly number[]): SVGTemplateResult => svg`<path class="f-panel l-ink w2" d="M112 12C70 8 34 20 14 32C34 44 70 56 112 52z"/>${[1, 3, 9, 27, 81].map((v) => {
  const n = values.filter((x) => x === v).length, [x, y] = edge[v]!;
  return Array.from({ length: n }, (_, k) => tooth(v, n === 1 ? x : x - 6.5 + 13 * k, y));
})}`;
const spelled = (v: readonly number[]): string => (v.length ? v.join(', ') : 'none');

/** Both ears as seen facing the pig. */
export function ears(e: Ears | undefined, how: { small?: boolean } = {}): TemplateResult | typeof nothing {
  if (!e) return nothing;
  const label = `Ear notches of ${e.number}, as seen facing the pig. The pig’s own right ear, on your left, is litter ${e.litter}: ${spelled(e.right)}. The pig’s own left ear, on your right, is pig ${e.pig}: ${spelled(e.left)}.`;
  const pic = html`<svg class=${how.small ? 'ears small' : 'ears'} viewBox="0 0 260 64" role="img" aria-label=${label}><g>${ear(e.right)}</g><g transform="translate(260 0) scale(-1 1)">${ear(e.left)}</g><path class="f-none l-ink w2" d="M112 12q18 -8 36 0M112 52q0 8 6 12M148 52q0 8 -6 12"/></svg>`;
  return how.small ? pic : html`<figure class="earfig">${pic}<figcaption class="small">Facing the pig. Its own right ear, on your left: litter ${e.litter} (${spelled(e.right)}). Its own left ear: pig ${e.pig} (${spelled(e.left)}).</figcaption></figure>`;
}
