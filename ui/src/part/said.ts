// SPDX-License-Identifier: GPL-3.0-or-later
// What was just recorded, with its Undo, for as long as the page is open; and what was odd about it.
import { html, nothing, type TemplateResult } from 'lit-html';
import { redraw } from '../base/page.ts';
import { undo, type RecordedFact } from '../base/queue.ts';

export interface Said { words: string | TemplateResult; uids: string[]; loose: string[]; waiting: boolean; odd: string[]; taken?: () => void }
let last: Said | undefined;
let trouble = '';

/** `facts` of one batch go back together where the house has them; those that still wait are taken back one by one. */
export function said(words: string | TemplateResult, facts: readonly RecordedFact[], taken?: () => void, oneBatch = false): void {
  trouble = '';
  const there = facts.filter((f) => f.status !== 'waiting'), waits = facts.filter((f) => f.status === 'waiting');
  last = { words, uids: (oneBatch ? there.slice(-1) : there).map((f) => f.uid), loose: waits.map((f) => f.uid), waiting: facts.some((f) => f.status === 'waiting'), odd: facts.flatMap((f) => f.flags.map((g) => g.says)), ...(taken ? { taken } : {}) };
}
export function saidNothing(): void { last = undefined; trouble = ''; }
export const saidLast = (): Said | undefined => last;

export async function takeBack(s: Said): Promise<void> {
  try {
    for (const uid of [...s.uids, ...s.loose].reverse()) await undo(uid);
    s.taken?.();
    if (last === s) last = { words: html`Taken back: ${s.words}`, uids: [], loose: [], waiting: false, odd: [] };
    trouble = '';
  } catch (e) { trouble = e instanceof Error ? e.message : String(e); }
  redraw();
}
export function saidLine(): TemplateResult {
  return html`<div class="saidline" role="status">${last ? html`<p><svg class="mk" aria-hidden="true"><use href=${last.waiting ? '#phone' : '#tick'}/></svg><span>${last.words}${last.waiting ? html` <span class="quiet">It waits on this device.</span>` : nothing}${last.odd.map((o) => html`<br><b>Odd, and kept:</b> ${o} <a href="/records/flags">Settle it</a>`)}</span></p>${last.uids.length + last.loose.length ? html`<button type="button" @click=${() => { const s = last; if (s) void takeBack(s); }}>Undo</button>` : nothing}` : nothing}${trouble ? html`<p class="fault"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble}</span></p>` : nothing}</div>`;
}
