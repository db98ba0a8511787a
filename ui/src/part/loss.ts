// SPDX-License-Identifier: GPL-3.0-or-later
// Piglets found dead, born alive: how many, and what of where that is plain. The press that opens it says one; more are counted
// up. What of is not chosen beforehand, and stays unwritten where nobody can tell.
import { html, nothing, type TemplateResult } from 'lit-html';
import { me } from './house.ts';
import type { Fact } from '../base/queue.ts';
import { chooseOne, type Option } from './choose.ts';
import { counter } from './counter.ts';
import { plural } from './words.ts';

export interface Lost { many: number; cause?: string }
export const lostOne = (): Lost => ({ many: 1 });

/** The words that are written, and what stands on the button. */
const causes: Option[] = [['lain on', 'Lain on'], ['cold', 'Cold'], ['starved', 'Starved'], ['born weak', 'Born weak'], ['scour', 'Scour'], ['bitten by the sow', 'Bitten by her'], ['taken by a fox or bird', 'Fox or bird'], ['hurt', 'Hurt']];

export const lossFact = (sow: string, at: string, q: Lost): Fact => ({ sow, at, many: q.many, ...(q.cause ? { cause: q.cause } : {}), ...(me() ? { by: me() } : {}) });
export const lossWords = (q: Lost): string => `${plural(q.many, 'piglet')} lost${q.cause ? `, ${q.cause}` : ''}`;

/** `change` is told each press; the buttons that keep or drop it are the page's own. */
export function lossPanel(id: string, q: Lost, change: (q: Lost) => void): TemplateResult {
  const { cause: _, ...unsaid } = q;
  return html`${counter('Lost', 'born alive, found dead or gone', q.many, (n) => change({ ...q, many: Math.max(1, n ?? 1) }))}
${chooseOne(`cause-${id}`, 'What of?', [...causes, ['', 'Cannot tell']], q.cause, (cause) => change(cause ? { ...unsaid, cause } : unsaid))}
${q.cause === 'cold' || q.cause === 'starved' ? html`<p class="note">Feel the others. Dry and warm the cold ones first. <a href="/dawn/help">The three steps</a></p>` : nothing}
${q.cause === 'scour' || q.many > 2 ? html`<p class="note">${q.cause === 'scour' ? 'Scour' : 'So many at once'}: ring the vet.</p>` : nothing}
<p class="small">Take the dead ones away. What may be done with them is said by your local rules.</p>`;
}
