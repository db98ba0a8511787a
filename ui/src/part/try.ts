// SPDX-License-Identifier: GPL-3.0-or-later
// What-if: a hut turned, moved, bedded or closed as it is being tried, answered by the house while the hand is still on it.
// Only the last answer counts; one that comes late is dropped.
import { html, nothing, type TemplateResult } from 'lit-html';
import { OutOfReach, get } from '../base/api.ts';
import { redraw } from '../base/page.ts';
import type { Pt } from './plan.ts';
import { clock, feels, tidy, weekday } from './words.ts';

export interface What { shelter: string; facing_deg: number | undefined; at: Pt | undefined; flap: boolean | undefined; bales: number }
interface State { stands: string; grade: number; words: string; runt_grade: number; heat_grade: number; feels_c: number | null; coldest: string; danger: number }
interface Answer { now: State | null; then: State; says: string; leave_because: string | null; best_facing_deg: number | null }

const WAIT = 30; // ms after the last change before the house is asked
const cold = ['bearable', 'cold', 'danger', 'not here'], hot = ['bearable', 'warm', 'danger from heat', 'too hot'];
let timer = 0, turn = 0, key = '', asked = 0, took = 0;
let answer: Answer | undefined, trouble = '', asking = false;

export const tried = {
  clear(): void { clearTimeout(timer); turn++; answer = undefined; trouble = ''; asking = false; key = ''; },
  took: (): number => took,
};
const keyOf = (w: What): string => JSON.stringify(w);
export function tryOut(w: What): void {
  const mine = ++turn;
  key = keyOf(w);
  asking = true;
  clearTimeout(timer);
  timer = setTimeout(() => void ask(mine, w), WAIT) as unknown as number;
}
async function ask(mine: number, w: What): Promise<void> {
  let got: Answer | undefined, wrong = '';
  asked = performance.now();
  const began = asked;
  try {
    got = await get<Answer>('/api/try', { shelter: w.shelter, facing: w.facing_deg, x: w.at?.x, y: w.at?.y, flap: w.flap === undefined ? undefined : w.flap ? 'hung' : 'none', bales: w.bales || undefined });
  } catch (e) {
    wrong = e instanceof OutOfReach ? 'The house is out of reach: the danger this way cannot be asked for now.' : e instanceof Error ? e.message : String(e);
  }
  if (mine !== turn) return;
  took = performance.now() - began;
  answer = got;
  trouble = wrong;
  asking = false;
  redraw();
}

export function gradeMark(grade: number, heat = false): TemplateResult {
  const g = Math.min(3, grade); // heat has four grades, of which the last two bear one word
  return html`<span class="grade"><svg class="mk" viewBox="0 0 34 20" aria-hidden="true"><use href=${`#${heat && g > 0 ? 'w' : 'k'}${g}`}/></svg>${(heat ? hot : cold)[g]}</span>`;
}
const heatWords = (s: State): string => `${s.heat_grade > 2 ? 'It gets too hot in there for a sow' : 'It gets hot in there for a sow'}: shade, a wallow and water.${s.grade > 0 ? ` In other hours: ${s.words}.` : ''}`;
function one(label: string, s: State): TemplateResult {
  const heat = s.heat_grade >= 2;
  return html`<div class="trystate"><p><span class="trylabel">${label}</span> ${gradeMark(heat ? s.heat_grade : s.grade, heat)}</p>
<p class="small">${heat ? heatWords(s) : s.feels_c === null ? tidy(s.words) : html`At ${clock(s.coldest)} ${weekday(s.coldest, true)} a wet newborn would feel ${feels(s.feels_c)}.${s.runt_grade > s.grade ? ` Under 0.9 kg: ${cold[s.runt_grade]}.` : ''}`}</p></div>`;
}
/** The answer to what is being tried, as it stands beside. */
export function tryNow(w: What | undefined): TemplateResult {
  if (!w) return html`<p class="small">Turn it, move it, hang the flap or add straw: the danger that way stands here at once.</p>`;
  if (trouble) return html`<p class="small">${tidy(trouble)}</p>`;
  if (!answer) return html`<p class="small">${asking ? 'Reckoning.' : ''}</p>`;
  return html`<div class=${asking || key !== keyOf(w) ? 'grades old' : 'grades'}>${answer.now ? one('As it stands', answer.now) : nothing}${one('So', answer.then)}</div><p class="small">${tidy(answer.says)}</p>`;
}
