// SPDX-License-Identifier: GPL-3.0-or-later
// What if: the boar's day, how many are asked for, their age, what danger counts. The house answers while the hand is still on the slider:
// one question at a time, and of those that came meanwhile only the last.
import { html, nothing, type TemplateResult } from 'lit-html';
import { Refused, get } from '../base/api.ts';
import { redraw } from '../base/page.ts';
import { dayMonth } from './stair.ts';
import { plural, usUnits } from './words.ts';

/** What the sliders rest on, as the house says it. */
export interface Base {
  at: string; plan: { boar_in: string; first_litters: string | null; ready_from: string | null };
  asked: { from: string; to: string; pigs: number; price: number }[]; asked_pigs: number;
}
interface Knobs { day?: string; pigs?: number; cost?: number; age?: number; weight?: string; feedPrice?: string; strawPrice?: string; feedThere?: string }

const WAIT = 60; // ms after the last change before the house is asked
const DAY = 864e5, days = (a: string, b: string): number => Math.round((Date.parse(b) - Date.parse(a)) / DAY);
const after = (a: string, n: number): string => new Date(Date.parse(a.slice(0, 10)) + n * DAY).toISOString().slice(0, 10);
const longDay = (d: string): string => `${dayMonth(d)} ${d.slice(0, 4)}`;

let knobs: Knobs = {}, answer: unknown, trouble = '', waiting = false, asking = false, late = false, timer = 0, turn = 0;

const total = (s: Base): number => s.asked.reduce((n, a) => n + a.pigs, 0);
const price = (s: Base): number => (total(s) > 0 ? s.asked.reduce((n, a) => n + a.pigs * a.price, 0) / total(s) : 100);
const ageOf = (s: Base): number => (s.plan.ready_from && s.plan.first_litters ? days(s.plan.first_litters, s.plan.ready_from) : 56);

/** The question as it goes to the house; what was not moved is left to it. */
export function address(s: Base, k: Knobs): string {
  const q = new URLSearchParams();
  if (k.day !== undefined) q.set('boar-in', k.day);
  if (k.pigs !== undefined && s.asked.length > 0) {
    q.set('sell-from', s.asked[0]!.from);
    q.set('sell-to', s.asked.reduce((last, a) => (a.to > last ? a.to : last), s.asked[0]!.to));
    q.set('pigs', String(k.pigs));
    q.set('price', price(s).toFixed(2));
  }
  if (k.cost !== undefined) q.set('danger-cost', String(k.cost));
  if (k.weight) q.set('weight', k.weight); // an age and a weight do not go together: what was moved last stands (move)
  else if (k.age !== undefined) q.set('age', `${k.age}d`);
  if (k.feedPrice) q.set('feed-price', k.feedPrice);
  if (k.strawPrice) q.set('straw-price', k.strawPrice);
  if (k.feedThere) q.set('feed-there', k.feedThere);
  q.set('choices', 'no'); // what would change it takes longer than a slider may
  return `/api/season?${q.toString()}`;
}
async function ask(s: Base): Promise<void> {
  waiting = false;
  if (asking) { late = true; return; }
  const mine = turn;
  let got: unknown, wrong = '';
  asking = true;
  try { got = await get(address(s, knobs)); } catch (e) { wrong = e instanceof Refused ? e.message : 'The house did not answer. The plan stands as it was; try again in reach.'; }
  asking = false;
  if (mine === turn) {
    answer = wrong ? undefined : got;
    trouble = wrong;
    if (wrong) knobs = {};
  }
  if (late) { late = false; if (tried.moved()) void ask(s); }
  redraw();
}
export const tried = {
  answer: <T>(): T | undefined => answer as T | undefined,
  moved: (): boolean => Object.keys(knobs).length > 0,
  busy: (): boolean => waiting || asking || late,
  trouble: (): string => trouble,
  clear(): void { clearTimeout(timer); turn++; knobs = {}; answer = undefined; trouble = ''; waiting = late = false; redraw(); },
  move(s: Base, k: Knobs, wait = WAIT): void {
    turn++;
    knobs = { ...knobs, ...(k.age === undefined ? {} : { weight: '' }), ...k };
    trouble = '';
    waiting = true;
    clearTimeout(timer);
    timer = setTimeout(() => void ask(s), wait) as unknown as number;
    redraw();
  },
};

/** A weight in place of an age, prices, feed in store: a form, for these are typed and not slid. */
export function weightsAndPrices(s: Base): TemplateResult | typeof nothing {
  if (!s.asked.length) return nothing;
  const unit = usUnits() ? 'lb' : 'kg', typed = (f: FormData, name: string, after = ''): string => { const v = f.get(name); return typeof v === 'string' && v ? v + after : ''; };
  const field = (name: keyof Knobs, label: string): TemplateResult => html`<label>${label} <input type="number" name=${name} min="0" step="any" inputmode="decimal" .value=${Number.parseFloat(String(knobs[name] ?? '')) >= 0 ? String(Number.parseFloat(String(knobs[name]))) : ''}></label>`;
  return html`<details class="prices"><summary>A weight, and what things cost</summary><form class="acts start" aria-label="A weight, and what things cost" @submit=${(e: Event) => {
    e.preventDefault();
    const f = new FormData(e.target as HTMLFormElement);
    tried.move(s, { weight: typed(f, 'weight', unit), feedPrice: typed(f, 'feedPrice'), strawPrice: typed(f, 'strawPrice'), feedThere: typed(f, 'feedThere', unit) }, 0);
  }}>${field('weight', `Weight wanted at sale, ${unit}`)}${field('feedPrice', 'A kg of feed costs')}${field('strawPrice', 'A bale of straw costs')}${field('feedThere', `Feed there is, ${unit}`)}<button>Reckon with these</button></form><p class="small">What is left empty is left to the house. Prices in your own money; a weight goes before the age.</p></details>`;
}

interface Slider { name: keyof Knobs; label: string; said: string; min: number; max: number; step: number; value: number; to: (n: number) => Knobs; plain?: string }
function slider(s: Base, k: Slider): TemplateResult {
  return html`<label class="knob"><span>${k.label} <b>${k.said}</b></span><input type="range" name=${k.name} min=${k.min} max=${k.max} step=${k.step} .value=${String(k.value)} aria-valuetext=${k.plain ?? k.said} @input=${(e: Event) => tried.move(s, k.to((e.target as HTMLInputElement).valueAsNumber))}></label>`;
}
/** The sliders. `s` is what stands untried. */
export function whatIf(s: Base): TemplateResult | typeof nothing {
  if (!s.asked.length) return nothing;
  const now = s.at.slice(0, 10), day = knobs.day ?? s.plan.boar_in, pigs = knobs.pigs ?? Math.round(total(s)), p = price(s), cost = knobs.cost ?? Math.round(2 * p), age = knobs.age ?? ageOf(s);
  const step = p >= 50 ? 10 : 1, most = Math.max(10 * step, Math.ceil((8 * p) / step) * step);
  return html`<fieldset class="whatif"><legend>What if</legend>
${slider(s, { name: 'day', label: 'The boar goes in on', said: longDay(day), min: 0, max: 364, step: 1, value: days(now, day), to: (n) => ({ day: after(now, n) }) })}
${slider(s, { name: 'pigs', label: 'Pigs asked for', said: plural(pigs, 'pig'), min: 1, max: Math.max(60, Math.ceil(total(s) * 3)), step: 1, value: pigs, to: (n) => ({ pigs: n }) })}
${slider(s, { name: 'age', label: 'Ready to go at', said: `${age} days`, min: 30, max: 180, step: 1, value: age, to: (n) => ({ age: n }) })}
${slider(s, { name: 'cost', label: 'A litter born into danger counts', said: `${cost} in your own money`, min: 0, max: most, step, value: cost, to: (n) => ({ cost: n }) })}
<p class="small">${knobs.pigs !== undefined && s.asked.length > 1 ? 'Asked for in one stretch, from the first day to the last, at the price in the middle. ' : ''}What danger counts is yours to say: it decides how much cold the best week may have. It is weighed, not paid.</p></fieldset>`;
}
