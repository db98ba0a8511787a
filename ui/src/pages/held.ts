// SPDX-License-Identifier: GPL-3.0-or-later
// Held: what the house could not take, with its reason, until somebody mends it or drops it. Nothing is lost here by itself.
import { html, nothing, type TemplateResult } from 'lit-html';
import { get, post } from '../base/api.ts';
import { redraw, reload, type Page } from '../base/page.ts';
import { factOf, fields, formFor, namesFor, refusedIn, type Form } from '../part/form.ts';
import { house, nowOf } from '../part/house.ts';
import { kindTitle, kinds, type Value } from '../part/kinds.ts';
import { said, saidLine, saidNothing } from '../part/said.ts';
import { clock, dayYear, name, plural, typedMoment } from '../part/words.ts';

interface Held { number: number; kind: string; uid: string; body: string; fact: Record<string, Value> | null; who: string | null; device: string | null; recorded: string; held: string; field: string | null; reason: string }
interface Row { held: Held; form: Form | undefined }
const forms = new Map<number, Form>();
let dropping: number | undefined, trouble: { number: number; says: string } | undefined, busy = false;

async function load(): Promise<Row[]> {
  const h = await house();
  const held = (await get<{ held: Held[] }>('/api/held')).held;
  if (held.length === 0) return [];
  const all = await kinds();
  return Promise.all(held.map(async (q) => {
    const kind = all.find((k) => k.name === q.kind);
    if (!kind || !q.fact) return { held: q, form: undefined };
    let form = forms.get(q.number);
    if (!form) {
      form = formFor(kind, nowOf(h), await namesFor(kind, nowOf(h)));
      form.values = {};
      for (const f of kind.fields) {
        const v = q.fact[f.name] ?? q.fact[f.flag];
        if (v === undefined || v === null) continue;
        const words = f.type === 'flag' ? (v === true || v === 'yes' ? 'yes' : '') : f.type === 'moment' && /Z$/.test(String(v)) ? typedMoment(String(v)) : String(v);
        form.values[f.name] = f.type === 'ref' ? (form.named.get(f.refers_to ?? '')?.find((n) => n.uid === words || n.name === words)?.uid ?? '') : words;
        if (typeof v === 'number' && q.fact[f.name] !== undefined) { form.was[f.name] = words; form.exact[f.name] = v; }
      }
      form.before = new Set(Object.keys(form.values));
      const wrong = kind.fields.find((f) => f.name === q.field || f.flag === q.field);
      if (wrong) form.errors[wrong.name] = q.reason;
      forms.set(q.number, form);
    }
    return { held: q, form };
  }));
}
async function mend(r: Row): Promise<void> {
  if (!r.form || busy) return;
  busy = true; redraw();
  try {
    await post('/api/held', { number: r.held.number, fact: factOf(r.form) });
    said(html`Mended and kept: ${kindTitle(r.held.kind)}`, []);
    forms.delete(r.held.number); reload();
  } catch (e) { refusedIn(r.form, e); }
  busy = false; redraw();
}
async function drop(r: Row): Promise<void> {
  trouble = undefined;
  try { await post('/api/held', { number: r.held.number, drop: true }); said(html`Dropped: ${kindTitle(r.held.kind)}`, []); forms.delete(r.held.number); dropping = undefined; reload(); }
  catch (e) { trouble = { number: r.held.number, says: e instanceof Error ? e.message : String(e) }; redraw(); }
}
function row(r: Row): TemplateResult {
  const q = r.held;
  return html`<section class="sec held"><h2>${kindTitle(q.kind)}</h2><p class="big2"><b>Not taken:</b> <bdi>${q.reason}</bdi></p><p class="small">Written ${dayYear(q.recorded)}, ${clock(q.recorded)}${q.who ? html`, by ${name(q.who)}` : nothing}${q.device ? html`, on ${name(q.device)}` : nothing}; held since ${dayYear(q.held)}, ${clock(q.held)}.</p>
${r.form ? html`<form class="form" novalidate @submit=${(e: Event) => { e.preventDefault(); void mend(r); }}>${fields(r.form)}<div class="acts"><button class="do" type="submit" ?disabled=${busy}>Mend and keep</button>${dropping === q.number ? nothing : html`<button type="button" @click=${() => { dropping = q.number; redraw(); document.getElementById(`drop-${q.number}`)?.focus(); }}>Drop it</button>`}</div></form>`
    : html`<pre class="raw"><bdi>${q.body}</bdi></pre><p>What arrived could not be read as a record. Write it anew, then drop this.</p><div class="acts"><a class="btn do" href=${`/records/${q.kind}`}>Write it anew</a><button type="button" @click=${() => { dropping = q.number; redraw(); }}>Drop it</button></div>`}
${dropping === q.number ? html`<div class="takeout" id=${`drop-${q.number}`} tabindex="-1" role="group" aria-label="Drop it"><p><b>Drop this record?</b> What it said is then in no answer.</p><div class="acts"><button type="button" @click=${() => void drop(r)}>Drop it for good</button><button type="button" @click=${() => { dropping = undefined; redraw(); }}>Leave it</button></div></div>` : nothing}
${trouble?.number === q.number ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble.says}</span></p>` : nothing}</section>`;
}
export const page: Page<Row[]> = {
  path: 'held', title: 'Held', menu: false, load,
  view: (rows) => html`<div class="lead"><div><h1>Held</h1><p>${rows.length ? html`The house did not take ${plural(rows.length, 'record')}. Mend ${rows.length === 1 ? 'it' : 'each'} or drop it; until then nothing rests on it.` : 'Nothing is held. Every record that arrived was taken.'}</p></div></div>${saidLine()}${rows.map(row)}<div class="acts end"><a class="btn" href="/records">All kinds</a><a class="btn" href="/round">To the round</a></div>`,
  thumb: () => html`<a class="btn" href="/round">To the round</a><a class="btn" href="/records">Records</a>`,
  leave() { forms.clear(); dropping = undefined; trouble = undefined; saidNothing(); },
};
