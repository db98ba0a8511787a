// SPDX-License-Identifier: GPL-3.0-or-later
// Changes to the record, newest first, each with its way back.
import { html, nothing, type TemplateResult } from 'lit-html';
import { post } from '../base/api.ts';
import { redraw, reload } from '../base/page.ts';
import { kindTitle } from './kinds.ts';
import { said } from './said.ts';
import { clock, dayYear, name, plural, tidy } from './words.ts';

export interface Change {
  number: number; at: string; recorded: string | null; what: string; kind: string; uid: string; batch: string;
  who: string | null; device: string | null; called: string; undoes: string | null; changed?: string | null;
}
interface Undone { batch: string | null; changes: { what: string; kind: string; uid: string; called: string }[] }
const verbs: Record<string, string> = { record: 'written', recorded: 'written', insert: 'written', replace: 'put right', replaced: 'put right', correct: 'put right', corrected: 'put right', void: 'taken out', voided: 'taken out', undo: 'taken back', redo: 'done again', restore: 'put back', restored: 'put back', weather: 'weather taken in', settle: 'settled', settled: 'settled' };

let asked: { batch: string; goes: Undone['changes'] } | undefined;
let trouble: { batch: string; says: string } | undefined;
const words = (e: unknown): string => (e instanceof Error ? e.message : String(e));

async function tryBack(batch: string): Promise<void> {
  trouble = undefined;
  try { asked = { batch, goes: (await post<Undone>('/api/undo', { what: batch, try: true })).changes }; }
  catch (e) { asked = undefined; trouble = { batch, says: words(e) }; }
  redraw(); document.getElementById(`back-${batch}`)?.focus();
}
async function back(batch: string): Promise<void> {
  trouble = undefined;
  try {
    const r = await post<Undone>('/api/undo', { what: batch });
    asked = undefined;
    said(html`Taken back: ${plural(r.changes.length, 'record')}. <span class="quiet">It stands in the history.</span>`, []);
    reload();
  } catch (e) { trouble = { batch, says: words(e) }; redraw(); }
}

/** One record's history as a person reads it: a correction is one line, not an old form taken out and a new one written. */
export function ofOne(changes: readonly Change[]): Change[] {
  const mended = new Set(changes.filter((c) => c.what === 'recorded' && changes.some((q) => q.what === 'voided' && q.batch === c.batch && q.uid !== c.uid)).map((c) => c.batch));
  return changes.filter((c) => !(c.what === 'voided' && mended.has(c.batch))).map((c) => (c.what === 'recorded' && mended.has(c.batch) ? { ...c, what: 'corrected' } : c));
}
export function historyRows(changes: readonly Change[], undoable = false): TemplateResult {
  if (changes.length === 0) return html`<p>Nothing was changed yet.</p>`;
  return html`<ul class="list facts">${changes.map((c, i) => {
    const firstOfBatch = changes.findIndex((q) => q.batch === c.batch) === i;
    return html`<li class="fact change"><p><b>${kindTitle(c.kind)}</b> ${c.kind === 'weather' ? tidy(c.called) : html`<a href=${`/records/${c.kind}/${c.uid}`}>${name(c.called || 'this one')}</a>`}, ${verbs[c.what] ?? c.what.replaceAll('-', ' ')}</p>${c.changed ? html`<p>${c.changed.split('; ').map((q, i) => html`${i ? html`<br>` : nothing}<bdi>${tidy(q)}</bdi>`)}</p>` : nothing}
<p class="small">${dayYear(c.at)}, ${clock(c.at)}${c.who ? html`, by ${name(c.who)}` : nothing}${c.device ? html`, on ${name(c.device)}` : nothing}, change ${c.number}</p>
${trouble?.batch === c.batch && firstOfBatch ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble.says}</span></p>` : nothing}
${asked?.batch === c.batch && firstOfBatch ? html`<div class="takeout" id=${`back-${c.batch}`} tabindex="-1" role="group" aria-label="Take it back"><p><b>Take back ${plural(asked.goes.length, 'record')}?</b></p><ul>${asked.goes.slice(0, 12).map((g) => html`<li>${kindTitle(g.kind)}: ${name(g.called)}</li>`)}${asked.goes.length > 12 ? html`<li>and ${asked.goes.length - 12} more</li>` : nothing}</ul><div class="acts"><button type="button" @click=${() => void back(c.batch)}>Take back</button><button type="button" @click=${() => { asked = undefined; redraw(); }}>Leave it</button></div></div>`
        : undoable && firstOfBatch && c.kind !== 'weather' ? html`<button type="button" class="plainbtn" @click=${() => void tryBack(c.batch)}>Take back<span class="unseen">: ${c.called}</span></button>` : nothing}</li>`;
  })}</ul>`;
}
