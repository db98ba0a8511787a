// SPDX-License-Identifier: GPL-3.0-or-later
// What-if: a hut turned or moved as it is being tried, answered by the house while the hand is still on it. Only the last
// answer counts; one that comes late is dropped.
import { html, nothing, svg, type TemplateResult } from 'lit-html';
import { OutOfReach, get } from '../base/api.ts';
import { redraw } from '../base/page.ts';
import type { Hut } from './field_model.ts';
import type { Pt } from './plan.ts';
import { feels, tidy } from './words.ts';

export interface Grade { grade: number; words: string; feels_c: number | null; runt_grade: number | null }
interface Answer { now: Grade | undefined; then: Grade | undefined; says: string }

const WAIT = 40; // ms after the last change before the house is asked
const words = ['bearable', 'cold', 'danger', 'not here'];
let timer = 0, turn = 0, key = '';
let answer: Answer | undefined, trouble = '', asking = false;

export const tried = { clear(): void { clearTimeout(timer); turn++; answer = undefined; trouble = ''; asking = false; key = ''; } };

const keyOf = (h: Hut, facing: number, at: Pt | undefined): string => `${h.shelter} ${facing} ${at?.x ?? ''} ${at?.y ?? ''}`;
export function tryOut(h: Hut, facing_deg: number, at: Pt | undefined): void {
  const mine = ++turn;
  key = keyOf(h, facing_deg, at);
  asking = true;
  clearTimeout(timer);
  timer = setTimeout(() => void ask(mine, h, facing_deg, at), WAIT) as unknown as number;
}
async function ask(mine: number, h: Hut, facing_deg: number, at: Pt | undefined): Promise<void> {
  let got: Answer | undefined, wrong = '';
  try {
    const a = await get<any>('/api/try', { shelter: h.name, facing: facing_deg, ...(at ? { x: at.x, y: at.y } : {}) });
    got = read(a);
  } catch (e) {
    wrong = e instanceof OutOfReach ? 'The house is out of reach: the danger this way cannot be asked for now.' : e instanceof Error ? e.message : String(e);
  }
  if (mine !== turn) return;
  answer = got;
  trouble = wrong;
  asking = false;
  redraw();
}
function read(_a: any): Answer { return { now: undefined, then: undefined, says: '' }; }

export function gradeMark(grade: number): TemplateResult {
  return html`<span class="grade"><svg class="mk" viewBox="0 0 34 20" aria-hidden="true">${svg`<use href=${`#k${grade}`}/>`}</svg>${words[grade] ?? ''}</span>`;
}
const one = (label: string, g: Grade): TemplateResult => html`<p><span class="trylabel">${label}</span> ${gradeMark(g.grade)}${g.feels_c !== null ? html` <span class="nowrap">feels ${feels(g.feels_c)}</span>` : nothing}</p>`;
export function tryNow(h: Hut, t: { facing_deg: number; at: Pt | undefined }): TemplateResult {
  if (trouble) return html`<p class="small">${trouble}</p>`;
  if (!answer || key !== keyOf(h, t.facing_deg, t.at)) return asking ? html`<p class="small">Reckoning.</p>` : html`<p class="small">Turn it or move it, and the danger that way stands here.</p>`;
  return html`<div class=${asking ? 'grades old' : 'grades'}>${answer.now ? one('As it stands', answer.now) : nothing}${answer.then ? one('So', answer.then) : nothing}</div>${answer.says ? html`<p class="small">${tidy(answer.says)}</p>` : nothing}`;
}
