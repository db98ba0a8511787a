// SPDX-License-Identifier: GPL-3.0-or-later
// Odd records: kept as they are, until somebody says that they are right, or puts them right.
import { html, nothing, type TemplateResult } from 'lit-html';
import { post } from '../base/api.ts';
import { redraw, reload } from '../base/page.ts';
import { kindTitle } from './kinds.ts';
import { said, saidLine } from './said.ts';
import { clock, dayYear, name } from './words.ts';

export interface Flag { number: number; key: string; kind: string; uid: string; called: string; other_uid: string | null; says: string; raised: string }
let trouble: { number: number; says: string } | undefined;
const notes = new Map<number, string>();

async function settle(f: Flag): Promise<void> {
  trouble = undefined;
  const note = notes.get(f.number)?.trim();
  try { await post('/api/flags', { number: f.number, ...(note ? { note } : {}) }); said(html`Settled: it is right as it stands. <span class="quiet">${f.says}</span>`, []); notes.delete(f.number); reload(); }
  catch (e) { trouble = { number: f.number, says: e instanceof Error ? e.message : String(e) }; redraw(); }
}
export function flagsView(flags: readonly Flag[]): TemplateResult {
  return html`<div class="lead"><div><h1>Odd records</h1><p>${flags.length ? 'These were kept, but something about them is unusual. Put them right, or say that they are right.' : 'Nothing odd is open.'}</p></div></div>${saidLine()}
${flags.map((f) => html`<section class="sec"><h2>${kindTitle(f.kind)}: ${name(f.called)}</h2><p class="big2">${f.says}</p><p class="small">Noticed ${dayYear(f.raised)}, ${clock(f.raised)}</p>
<div class="field"><label for=${`note-${f.number}`}>Why it is right <span class="optional">may be left out</span></label><div class="entry"><input id=${`note-${f.number}`} type="text" dir="auto" .value=${notes.get(f.number) ?? ''} @input=${(e: Event) => notes.set(f.number, (e.target as HTMLInputElement).value)}></div></div>
${trouble?.number === f.number ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble.says}</span></p>` : nothing}
<div class="acts"><button type="button" class="do" @click=${() => void settle(f)}>It is right as it stands</button><a class="btn" href=${`/records/${f.kind}/${f.uid}?edit`}>Put it right</a>${f.other_uid ? html`<a class="btn" href=${`/records/${f.kind}/${f.other_uid}`}>See the other</a>` : nothing}</div></section>`)}
<div class="acts end"><a class="btn" href="/records">All kinds</a></div>`;
}
