// SPDX-License-Identifier: GPL-3.0-or-later
// Tables in and out. A table is tried first: nothing is kept before it was looked through.
import { html, nothing, type TemplateResult } from 'lit-html';
import { upload } from '../base/api.ts';
import { redraw } from '../base/page.ts';
import { kindTitle, type Kind } from './kinds.ts';
import { plural } from './words.ts';

interface Tried { rows: number; good: number; recorded: number; bad: { line: number; field: string | null; sentence: string }[] }
let kind = '', file: File | undefined, tried: Tried | undefined, kept: Tried | undefined, trouble = '', busy = false;
export function leaveCsv(): void { file = undefined; tried = undefined; kept = undefined; trouble = ''; }

async function send(how: 'try' | 'all' | 'good'): Promise<void> {
  if (!file || !kind) { trouble = kind ? 'Choose the file first.' : 'Say first what kind of records it holds.'; redraw(); return; }
  busy = true; trouble = ''; redraw();
  try {
    const got = await upload<Tried>(`/api/import/${kind}${how === 'try' ? '?try=1' : how === 'good' ? '?keep_good=1' : ''}`, file);
    if (how === 'try') { tried = got; kept = undefined; } else { kept = got; tried = undefined; file = undefined; }
  } catch (e) { trouble = e instanceof Error ? e.message : String(e); }
  busy = false; redraw(); document.getElementById('csv-result')?.focus();
}
function result(t: Tried, done: boolean): TemplateResult {
  return html`<div class="note" id="csv-result" tabindex="-1" role="status"><p class="big2">${done ? html`${plural(t.recorded, 'record')} kept.` : html`${plural(t.rows, 'row')} read: ${t.good} good${t.bad.length ? `, ${t.bad.length} not` : ''}. Nothing is kept yet.`}</p>
${t.bad.length ? html`<table><caption class="unseen">Rows that are not good</caption><thead><tr><th scope="col" class="n">Line</th><th scope="col">What is wrong</th></tr></thead><tbody>${t.bad.slice(0, 100).map((b) => html`<tr><td class="n">${b.line}</td><td><bdi>${b.sentence}</bdi></td></tr>`)}</tbody></table>${t.bad.length > 100 ? html`<p class="small">and ${t.bad.length - 100} more</p>` : nothing}` : nothing}
${done ? html`<div class="acts"><a class="btn" href=${`/records/${kind}`}>See them</a></div>` : html`<div class="acts">${t.bad.length === 0 && t.rows > 0 ? html`<button type="button" class="do" ?disabled=${busy} @click=${() => void send('all')}>Keep all ${t.rows}</button>` : nothing}${t.bad.length && t.good ? html`<button type="button" ?disabled=${busy} @click=${() => void send('good')}>Keep the ${t.good} good ones only</button>` : nothing}</div>`}</div>`;
}
export function csvView(kinds: readonly Kind[]): TemplateResult {
  return html`<div class="lead"><div><h1>Tables in and out</h1><p>Every kind of record can be saved as a table (CSV) and read from one. The first line names the fields.</p></div></div>
<section class="sec"><h2>In</h2><div class="form"><div class="field"><label for="csv-kind">What it holds</label><select id="csv-kind" @change=${(e: Event) => { kind = (e.target as HTMLSelectElement).value; tried = undefined; redraw(); }}><option value="" ?selected=${!kind}>choose</option>${kinds.map((k) => html`<option value=${k.name} ?selected=${kind === k.name}>${kindTitle(k.name)}</option>`)}</select></div>
${kind ? html`<p class="hint">Fields: ${kinds.find((k) => k.name === kind)?.fields.map((f, i) => html`${i ? ', ' : ''}<code>${f.name}</code>${f.required ? ' (needed)' : ''}`)}</p>` : nothing}
<div class="field"><label for="csv-file">The file</label><input id="csv-file" type="file" accept=".csv,text/csv" @change=${(e: Event) => { file = (e.target as HTMLInputElement).files?.[0]; tried = undefined; kept = undefined; redraw(); }}></div>
${trouble ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble}</span></p>` : nothing}
<div class="acts"><button type="button" class="do" ?disabled=${busy} @click=${() => void send('try')}>Look it through</button></div>${tried ? result(tried, false) : nothing}${kept ? result(kept, true) : nothing}</div></section>
<section class="sec"><h2>Out</h2><ul class="outlist list">${kinds.map((k) => html`<li><a href=${`/api/export/${k.name}`} download=${`${k.name}.csv`}>${kindTitle(k.name)}</a></li>`)}</ul><div class="acts"><a class="btn" href="/api/export-all" download="leenest.json">Everything, in one file (JSON)</a><a class="btn" href="/records">All kinds</a></div></section>`;
}
