// SPDX-License-Identifier: GPL-3.0-or-later
// A form made from a kind of fact. Words stay as they were typed; what is wrong stands under its field and takes the focus.
import { html, nothing, type TemplateResult } from 'lit-html';
import { Refused } from '../base/api.ts';
import { redraw } from '../base/page.ts';
import { newUid, record, type Fact, type RecordedFact } from '../base/queue.ts';
import { chooseOne, chooseSome, fault, type Option } from './choose.ts';
import { askedFirst, choiceWord, names, type Field, type Kind, type Listed, type Named } from './kinds.ts';
import { me } from './house.ts';
import { capital, isoDay, typedMoment } from './words.ts';

export interface Form {
  id: string; kind: Kind; now: Date; named: Map<string, Named[]>;
  values: Record<string, string>; // by field name: as typed; sets and several references with commas between
  was: Record<string, string>; // as they stood when a record was opened
  exact: Record<string, string | number | boolean>; // what those words stood for
  errors: Record<string, string>; trouble: string; busy: boolean; replaces: string | undefined; before: ReadonlySet<string>;
}

/** Names for every kind the form refers to. */
export async function namesFor(kind: Kind, now: Date): Promise<Map<string, Named[]>> {
  const wanted = [...new Set(kind.fields.flatMap((f) => (f.refers_to ? [f.refers_to] : [])))];
  return new Map(await Promise.all(wanted.map(async (k) => [k, await names(k, isoDay(now))] as [string, Named[]])));
}

/** A new form; `given` holds values known beforehand (names or uids), by field name or flag. */
export function formFor(kind: Kind, now: Date, named: Map<string, Named[]>, given: Record<string, string> = {}): Form {
  const f: Form = { id: newUid().slice(0, 6), kind, now, named, values: {}, was: {}, exact: {}, errors: {}, trouble: '', busy: false, replaces: undefined, before: new Set() };
  for (const q of kind.fields) {
    const v = given[q.name] ?? given[q.flag];
    if (q.name === 'by' && v === undefined && me()) { const one = named.get('person')?.find((n) => n.name === me()); if (one) f.values[q.name] = one.uid; continue; }
    if (v !== undefined && v !== '') f.values[q.name] = q.refers_to ? (named.get(q.refers_to)?.find((n) => n.uid === v || n.name === v)?.uid ?? '') : v;
    else if (q.name === kind.when && q.required) f.values[q.name] = q.type === 'moment' ? typedMoment(now) : isoDay(now);
  }
  f.before = new Set(Object.keys(f.values).filter((n) => n !== 'by'));
  return f;
}
/** A record opened to be put right. */
export function formOf(kind: Kind, now: Date, named: Map<string, Named[]>, fact: Pick<Listed, 'uid' | 'fact' | 'shown'>): Form {
  const f = formFor(kind, now, named);
  f.values = {};
  f.replaces = fact.uid;
  for (const q of kind.fields) {
    const exact = fact.fact[q.name], shown = fact.shown[q.name];
    if (exact === undefined || exact === null) continue;
    f.exact[q.name] = exact;
    f.values[q.name] = f.was[q.name] = q.type === 'flag' ? (exact === true || exact === 'yes' ? 'yes' : '') : q.type === 'ref' || q.type === 'choice' || q.type === 'set' ? String(exact) : String(shown ?? exact);
  }
  f.before = new Set(Object.keys(f.values));
  return f;
}

/** What is sent: words under the flag's name, what was not touched under its own as it stood. */
export function factOf(f: Form, values: Record<string, string> = f.values): Fact {
  const fact: Fact = {};
  for (const q of f.kind.fields) {
    const v = values[q.name]?.trim() ?? '';
    if (v === '') continue;
    if (f.was[q.name] !== undefined && f.was[q.name] === values[q.name] && q.type !== 'flag' && f.exact[q.name] !== undefined) fact[q.name] = f.exact[q.name];
    else if (q.type === 'flag') { if (v === 'yes') fact[q.name] = true; }
    else fact[q.flag] = v;
  }
  return fact;
}

/** Refusals go under their field; returns false then. */
export function refusedIn(f: Form, e: unknown): void {
  f.errors = {}; f.trouble = '';
  const field = e instanceof Refused ? f.kind.fields.find((q) => q.name === e.field || q.flag === e.field) : undefined;
  const words = e instanceof Error ? e.message : String(e);
  if (field) f.errors[field.name] = capital([field.label, field.name, field.flag].reduce((w, n) => (w.startsWith(`${n}: `) ? w.slice(n.length + 2) : w), words));
  else f.trouble = words;
  redraw();
  const box = document.getElementById(field ? `${f.id}-${field.name}` : `${f.id}-trouble`);
  box?.closest('details')?.setAttribute('open', '');
  box?.focus();
}

/** Record what the form says; a field that names several makes one fact for each, in one batch. undefined: refused, and said so. */
export async function keep(f: Form): Promise<RecordedFact[] | undefined> {
  if (f.busy) return undefined;
  const missing = f.kind.fields.find((q) => q.required && !f.values[q.name]?.trim() && !q.otherwise);
  if (missing) { refusedIn(f, new Refused(400, 'bad-input', missing.name, `This is needed: ${missing.help}.`)); return undefined; }
  f.busy = true; f.errors = {}; f.trouble = ''; redraw();
  const several = f.kind.fields.filter((q) => q.each && !f.replaces && (f.values[q.name] ?? '').includes(','));
  let sets: Record<string, string>[] = [{ ...f.values }];
  for (const q of several) sets = sets.flatMap((v) => (v[q.name] ?? '').split(',').map((one) => ({ ...v, [q.name]: one })));
  const batch = sets.length > 1 ? newUid() : undefined;
  const done: RecordedFact[] = [];
  try {
    for (const v of sets) done.push(await record(f.kind.name, factOf(f, v), { ...(f.replaces ? { replaces: f.replaces } : {}), ...(batch ? { batch } : {}) }));
    return done;
  } catch (e) {
    refusedIn(f, e);
    if (done.length) f.trouble = `${done.length} of ${sets.length} were kept; then: ${f.trouble || Object.values(f.errors)[0] || ''}`;
    return undefined;
  } finally { f.busy = false; redraw(); }
}

/* ---- drawing */

/** Whether this field is asked for at once, or only under "More". */
const early = (f: Form, q: Field): boolean => q.required || f.before.has(q.name) || f.errors[q.name] !== undefined || f.kind.exactly_one.includes(q.name) || f.kind.at_least_one.includes(q.name) || askedFirst(f.kind.name, q.name);

function refOptions(f: Form, q: Field): Named[] {
  const all = f.named.get(q.refers_to ?? '') ?? [];
  if (q.refers_to !== 'animal') return all;
  const wanted = q.name === 'sow' || q.name === 'dam' ? ['sow', 'gilt'] : q.name === 'boar' || q.name === 'sire' ? ['boar'] : undefined;
  return wanted ? all.filter((n) => !n.is || wanted.includes(n.is) || n.uid === f.values[q.name]) : all;
}
const called = (n: Named): TemplateResult => html`<b><bdi>${n.name}</bdi>${n.tag && n.tag !== n.name ? html` <small>${n.tag}</small>` : nothing}</b>`;

function reference(f: Form, q: Field, id: string, label: TemplateResult, label0: string, set: (v: string) => void): TemplateResult {
  const options = refOptions(f, q), here = options.filter((n) => n.here), value = f.values[q.name] ?? '', error = f.errors[q.name];
  if (q.each && !f.replaces && here.length > 0 && here.length <= 40)
    return chooseSome(id, label, here.map((n) => [n.uid, called(n)]), new Set(value.split(',').filter(Boolean)), (s) => set([...s].join(',')), { help: `${q.help}; several may be chosen`, error });
  if (here.length > 0 && here.length <= 6 && options.length === here.length && q.required)
    return chooseOne(id, label, here.map((n): Option => [n.uid, called(n)]), value || undefined, set, { help: q.help, error });
  const away = options.filter((n) => !n.here);
  const item = (n: Named): TemplateResult => html`<option value=${n.uid} ?selected=${n.uid === value}>${n.name}${n.tag && n.tag !== n.name ? ` (${n.tag})` : ''}</option>`;
  return html`<div class="field"><label for=${id}>${label}</label><p class="hint" id=${`${id}-h`}>${helpOf(q, label0)}${options.length ? '' : '. There is none yet.'}${options.length ? nothing : html` <a href=${`/records/${q.refers_to}`}>Write one</a>`}</p>
<select id=${id} aria-describedby=${`${id}-h${error ? ` ${id}-e` : ''}`} aria-invalid=${error ? 'true' : nothing} @change=${(e: Event) => set((e.target as HTMLSelectElement).value)}><option value="" ?selected=${value === ''}>not said</option>${here.map(item)}${away.length ? html`<optgroup label="Not here on that day">${away.map(item)}</optgroup>` : nothing}</select>${fault(id, error)}</div>`;
}

/** Help that only repeats the label is left out. */
const helpOf = (q: Field, said: string): string => (q.help.toLowerCase() === said.toLowerCase() ? '' : q.help);

function picker(id: string, q: Field, said: string, set: (v: string) => void): TemplateResult {
  const type = q.type === 'moment' ? 'datetime-local' : 'date';
  return html`<button type="button" @click=${() => (document.getElementById(`${id}-p`) as HTMLInputElement | null)?.showPicker()}>Pick<span class="unseen"> ${said}</span></button><input class="picked" type=${type} id=${`${id}-p`} tabindex="-1" aria-hidden="true" @change=${(e: Event) => { const v = (e.target as HTMLInputElement).value; if (v) set(v.replace('T', ' ')); }}>`;
}

function field(f: Form, q: Field): TemplateResult {
  const id = `${f.id}-${q.name}`, value = f.values[q.name] ?? '', error = f.errors[q.name];
  const set = (v: string): void => { f.values[q.name] = v; delete f.errors[q.name]; redraw(); };
  const said = capital(q.label), label = html`${said}${q.required ? nothing : html` <span class="optional">may be left out</span>`}`;
  const otherwise = q.otherwise && !(q.name === f.kind.when) ? `; not said: ${choiceWord(q.otherwise)}` : '';
  if (q.type === 'ref') return reference(f, q, id, label, said, set);
  if (q.type === 'choice' && q.each && !f.replaces) return chooseSome(id, label, q.choices.map((c) => [c, choiceWord(c)]), new Set(value.split(',').filter(Boolean)), (s) => set([...s].join(',')), { help: `${q.help}; several may be chosen`, error });
  if (q.type === 'choice') return chooseOne(id, label, [...q.choices.map((c): Option => [c, choiceWord(c)]), ...(q.required ? [] : [['', 'not said'] as Option])], value, set, { help: q.help + otherwise, error });
  if (q.type === 'set') return chooseSome(id, label, q.choices.map((c) => [c, choiceWord(c)]), new Set(value.split(',').filter(Boolean)), (s) => set(q.choices.filter((c) => s.has(c)).join(',')), { help: q.help.replace(/, comma between/, ''), error });
  if (q.type === 'flag') return html`<div class="field"><label class="opt tickopt"><input type="checkbox" id=${id} .checked=${value === 'yes'} @change=${() => set(value === 'yes' ? '' : 'yes')}><span>${capital(q.help)}</span></label>${fault(id, error)}</div>`;
  const limits = q.low !== null && q.high !== null && (q.type === 'whole' || q.type === 'real') && q.high < 1e6 ? ` (${round(q.low)} to ${round(q.high)}${q.unit ? ` ${q.unit}` : ''})` : '';
  const dated = q.type === 'moment' || q.type === 'day';
  const desc = `${id}-h${error ? ` ${id}-e` : ''}`;
  const typed = (e: Event): void => { f.values[q.name] = (e.target as HTMLInputElement).value; if (f.errors[q.name]) { delete f.errors[q.name]; redraw(); } };
  const mode = q.type === 'whole' ? 'numeric' : q.type === 'real' && !/deg|temp|_c$|_d$|declin/.test(q.name) ? 'decimal' : 'text';
  const box = q.name === 'note' || q.name === 'text' || q.name === 'value'
    ? html`<textarea id=${id} rows="2" dir="auto" .value=${value} aria-describedby=${desc} aria-invalid=${error ? 'true' : nothing} @input=${typed}></textarea>`
    : html`<input id=${id} type="text" dir="auto" autocomplete="off" inputmode=${dated ? 'text' : mode} .value=${value} aria-describedby=${desc} aria-invalid=${error ? 'true' : nothing} aria-required=${q.required ? 'true' : nothing} @input=${typed}>`;
  return html`<div class="field ${dated ? 'dated' : ''} ${q.type === 'real' || q.type === 'whole' ? 'figure' : ''}"><label for=${id}>${label}</label><p class="hint" id=${`${id}-h`}>${helpOf(q, said)}${limits}${dated ? (q.type === 'moment' ? ', as 2026-01-22 15:40' : ', as 2026-01-22') : ''}${otherwise}</p>
<div class="entry">${box}${q.unit ? html`<span class="unit">${q.unit}</span>` : nothing}${dated ? html`<button type="button" @click=${() => set(q.type === 'moment' ? typedMoment(f.now) : isoDay(f.now))}>${q.type === 'moment' ? 'Now' : 'Today'}<span class="unseen"> as ${said}</span></button>${picker(id, q, said, set)}` : nothing}</div>${fault(id, error)}</div>`;
}
const round = (x: number): string => String(Math.round(x * 100) / 100).replace('-', '−');

/** The fields; the button is the caller's. */
export function fields(f: Form): TemplateResult {
  const first = f.kind.fields.filter((q) => early(f, q)), rest = f.kind.fields.filter((q) => !early(f, q));
  const one = f.kind.exactly_one, some = f.kind.at_least_one, label = (n: string): string => { const q = f.kind.fields.find((x) => x.name === n); return q?.label ?? n; };
  return html`<p class="fault trouble" id=${`${f.id}-trouble`} tabindex="-1" role="alert">${f.trouble ? html`<svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${f.trouble}</span>` : nothing}</p>
${one.length ? html`<p class="hint">One of these is needed, not more: ${one.map(label).join(', ')}.</p>` : nothing}${some.length ? html`<p class="hint">At least one of these: ${some.map(label).join(', ')}.</p>` : nothing}
${first.map((q) => field(f, q))}${rest.length ? html`<details class="restfields"><summary>More that can be said (${rest.length})</summary>${rest.map((q) => field(f, q))}</details>` : nothing}`;
}
export function formView(f: Form, button: string | TemplateResult, after: (done: RecordedFact[]) => void, more: TemplateResult | typeof nothing = nothing): TemplateResult {
  return html`<form class="form" id="theform" novalidate @submit=${(e: Event) => { e.preventDefault(); void keep(f).then((done) => { if (done) after(done); }); }}>${fields(f)}<div class="acts"><button class="do" type="submit" ?disabled=${f.busy}>${f.busy ? 'Keeping' : button}</button>${more}</div></form>`;
}
