// SPDX-License-Identifier: GPL-3.0-or-later
// Waiting: the records on this device that the house does not have yet; as text or square codes to carry over by hand; such text
// read in again; what the house did not take, until it was read.
import { html, nothing, svg, type TemplateResult } from 'lit-html';
import { carryParts, readCarried } from '../base/carry.ts';
import { live, look, whenCounted } from '../base/live.ts';
import { redraw, reload, type Page } from '../base/page.ts';
import { asNew, queueAll, read, takeIn, undo } from '../base/queue.ts';
import type { Waiting } from '../base/store.ts';
import { caution } from '../part/caution.ts';
import { house } from '../part/house.ts';
import { choiceWord, kindTitle, kinds, names, type Kind } from '../part/kinds.ts';
import { qr, QR_MOST } from '../part/qr.ts';
import { capital, moment, plural } from '../part/words.ts';

interface Data { all: Waiting[]; kinds: Kind[]; named: Map<string, string> }
const QUIET = 4, CODE_BYTES = 640; // a code of 640 bytes still reads well from a phone held in the hand
let code = 0, shown: 'text' | 'code' | undefined, typed = '', said = '', troubles: string[] = [], busy = false, trouble = '';

async function load(): Promise<Data> {
  whenCounted.add(reload);
  const all = await queueAll();
  // The words of kinds and names are what was kept of them; without any, the record is shown as it is.
  await house().catch(() => undefined);
  const known = await kinds().catch(() => [] as Kind[]), named = new Map<string, string>();
  const wanted = new Set(all.flatMap((w) => known.find((k) => k.name === w.kind)?.fields.flatMap((f) => (f.refers_to && w.fact[f.name] !== undefined ? [f.refers_to] : [])) ?? []));
  for (const k of wanted) for (const n of await names(k).catch(() => [])) named.set(n.uid, n.name);
  return { all, kinds: known, named };
}

/** One record in words: what was typed, names for marks. */
function says(d: Data, w: Waiting): TemplateResult {
  const kind = d.kinds.find((k) => k.name === w.kind);
  const parts = Object.entries(w.fact).filter(([, v]) => v !== undefined && v !== '' && v !== false).map(([key, v]) => {
    const f = kind?.fields.find((q) => q.name === key || q.flag === key), text = String(v);
    const value = f?.type === 'ref' ? (d.named.get(text) ?? (/^[0-9a-f]{32}$/.test(text) ? 'one of this device' : text)) : f?.type === 'choice' || f?.type === 'set' ? text.split(',').map(choiceWord).join(', ')
      : v === true ? 'yes' : /^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?Z$/.test(text) ? moment(text) : f?.unit && typeof v === 'number' ? `${text} (SI)` : text;
    return html`<span class="quiet">${f?.label ?? key.replaceAll('_', ' ')}</span> <bdi>${value}</bdi>`;
  });
  return html`${parts.map((p, i) => html`${i ? ' · ' : ''}${p}`)}`;
}
const title = (w: Waiting): string => (w.what === 'undo' ? 'Take a record back' : `${kindTitle(w.kind)}${w.replaces ? ', put right' : ''}`);
async function act(work: () => Promise<unknown>): Promise<void> {
  if (busy) return;
  busy = true; trouble = ''; redraw();
  try { await work(); } catch (e) { trouble = e instanceof Error ? e.message : String(e); }
  busy = false; reload();
}
function waitingRow(d: Data, w: Waiting): TemplateResult {
  return html`<li class="fact"><h3><svg class="mk" aria-hidden="true"><use href="#phone"/></svg>${title(w)}</h3><p>${says(d, w)}</p><p class="small">Written ${moment(w.made)}${w.sent ? '. It was on its way once; whether it arrived is not known, and it is written once all the same' : ''}.</p>
<div class="acts"><button type="button" ?disabled=${busy} @click=${() => void act(() => (w.what === 'undo' ? read(w.n) : undo(w.uid)))}>${w.what === 'undo' ? 'Leave it standing' : 'Take it back'}<span class="unseen">: ${title(w)}, ${moment(w.made)}</span></button></div></li>`;
}
function refusedRow(d: Data, w: Waiting): TemplateResult {
  const r = w.refused!, held = r.where === 'held';
  return html`<li class="fact"><h3><svg class="mk warnmk" aria-hidden="true"><use href="#warn"/></svg>${title(w)}</h3><p class="strong"><bdi>${capital(r.sentence || 'The house did not take it.')}</bdi></p><p>${says(d, w)}</p><p class="small">Written ${moment(w.made)}. ${r.status === 'conflict' ? 'The house has another record under the same mark. It keeps this one too, until somebody says which is right.' : held ? 'The house keeps it until somebody mends it or drops it.' : 'It is on this device alone.'}</p>
<div class="acts">${held ? html`<a class="btn do" href="/held">Mend it</a><button type="button" ?disabled=${busy} @click=${() => void act(() => read(w.n))}>I have read it</button>`
    : html`<button type="button" class="do" ?disabled=${busy} @click=${() => void act(() => asNew(w.n))}>Hand it over once more</button><button type="button" ?disabled=${busy} @click=${() => void act(() => read(w.n))}>Drop it</button>`}</div></li>`;
}

/* ---- by hand */
let drawn = { text: '', size: 0, path: '' };
function path(text: string): typeof drawn {
  const g = qr(text) ?? [], runs: string[] = [];
  g.forEach((row, y) => { for (let x = 0; x < row.length; x++) { if (!row[x]) continue; let n = 1; while (row[x + n]) n++; runs.push(`M${x + QUIET} ${y + QUIET}h${n}v1h-${n}z`); x += n - 1; } });
  return { text, size: g.length + 2 * QUIET, path: runs.join('') };
}
function picture(text: string, label: string): TemplateResult {
  if (drawn.text !== text) drawn = path(text);
  return html`<svg class="qr carry" role="img" aria-label=${label} viewBox="0 0 ${drawn.size} ${drawn.size}" shape-rendering="crispEdges">${svg`<rect class="qrpaper" width=${drawn.size} height=${drawn.size}/><path class="qrink" d=${drawn.path}/>`}</svg>`;
}
async function copy(text: string): Promise<void> {
  const box = document.getElementById('carry-text') as HTMLTextAreaElement | null;
  box?.select();
  try { await navigator.clipboard.writeText(text); said = 'Copied.'; } catch { said = 'It is marked: copy it with the phone’s own menu.'; }
  redraw();
}
function byHand(waits: Waiting[]): TemplateResult {
  const codes = carryParts(waits, Math.min(CODE_BYTES, QR_MOST)), at = Math.min(code, codes.length - 1), text = carryParts(waits, 1e6).join('\n'), fits = codes.every((c) => new TextEncoder().encode(c).length <= QR_MOST);
  return html`<section class="sec"><h2>Carry them over by hand</h2><p>When this device does not get back to the house: show this to another that does, or send it there as a message. What goes over twice is written once.</p>
<div class="acts"><button type="button" aria-expanded=${shown === 'text'} @click=${() => { shown = shown === 'text' ? undefined : 'text'; said = ''; redraw(); }}>Show as text</button><button type="button" aria-expanded=${shown === 'code'} @click=${() => { shown = shown === 'code' ? undefined : 'code'; code = 0; redraw(); }}>Show as square code</button></div>
${shown === 'text' ? html`<div class="field"><label for="carry-text">What waits, as text</label><textarea id="carry-text" class="raw" rows="8" readonly .value=${text}></textarea></div><div class="acts"><button type="button" class="do" @click=${() => void copy(text)}>Copy it</button></div><p role="status">${said}</p>` : nothing}
${shown === 'code' ? (fits ? html`<p id="carry-which" role="status">Code ${at + 1} of ${codes.length}. Another phone’s camera reads it as text.</p>${picture(codes[at]!, `Square code ${at + 1} of ${codes.length} with records that wait`)}
<div class="acts">${codes.length > 1 ? html`<button type="button" class="do" @click=${() => { code = (at + 1) % codes.length; redraw(); }}>Next code</button>` : nothing}</div>` : html`<p>One of them is too long for a square code. Show them as text.</p>`) : nothing}</section>`;
}
async function readIn(e: Event): Promise<void> {
  e.preventDefault();
  const got = readCarried(typed);
  troubles = got.troubles; said = '';
  if (got.items.length && !busy) {
    busy = true; redraw();
    const fresh = await takeIn(got.items);
    busy = false;
    said = `${plural(got.items.length, 'record')} read${fresh < got.items.length ? `, ${got.items.length - fresh} of them here already` : ''}. They go over like the records of this device.`;
    if (troubles.length === 0) typed = '';
  }
  reload();
}
function readingIn(): TemplateResult {
  return html`<section class="sec"><h2>Read in what was carried over</h2><form class="form" novalidate @submit=${(e: Event) => void readIn(e)}><div class="field"><label for="carried">Text of the other device</label><p class="hint" id="carried-h">From the line “leenest records” on; several parts one after the other</p><textarea id="carried" class="raw" rows="5" dir="ltr" spellcheck="false" aria-describedby="carried-h" .value=${typed} @input=${(e: Event) => { typed = (e.target as HTMLTextAreaElement).value; }}></textarea></div>
<div role="alert">${troubles.map((t) => html`<p class="fault"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${t}</span></p>`)}</div><p role="status">${shown === 'text' ? '' : said}</p><div class="acts"><button type="submit" class="do" ?disabled=${busy}>Read them in</button></div></form></section>`;
}

function view(d: Data): TemplateResult {
  const l = live(), waits = d.all.filter((w) => !w.refused), refused = d.all.filter((w) => w.refused);
  const lead = waits.length ? html`${plural(waits.length, 'record')} ${waits.length === 1 ? 'waits' : 'wait'} on this device${waits.length === 1 ? '' : ', in the order they were made'}. ${l.reach === 'out' ? `The house is out of reach${l.out_since ? ` since ${moment(l.out_since)}` : ''}.` : waits.length === 1 ? 'The house answers: it is being handed over.' : 'The house answers: they are being handed over.'} ${l.safe ? `${waits.length === 1 ? 'It stays' : 'They stay'} here when the page is closed.` : `Leave this page open until ${waits.length === 1 ? 'it is' : 'they are'} over.`}` : html`Nothing waits. All that was written here is in the farm file.`;
  return html`<div class="lead"><div><h1>Records that wait</h1><p>${lead}</p></div></div><div class="waits">
${trouble ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble}</span></p>` : nothing}
${refused.length ? html`<section class="sec"><h2>Not taken by the house</h2><ul class="list facts">${refused.map((w) => refusedRow(d, w))}</ul></section>` : nothing}
${waits.length ? html`<section class="sec"><h2>Waiting</h2><ul class="list facts">${waits.map((w) => waitingRow(d, w))}</ul><div class="acts"><button type="button" class="do" ?disabled=${busy} @click=${() => void act(() => look())}>Try the house now</button></div></section>${byHand(waits)}` : nothing}
${readingIn()}${caution(['What waits here is in no reckoning yet. The board at home does not know of it: say by word of mouth what cannot wait.'])}</div>`;
}
export const page: Page<Data> = {
  path: 'waiting', title: 'Waiting', menu: false, load, view,
  thumb: () => html`<a class="btn do" href="/dawn">Dawn round</a><a class="btn" href="/tonight">Tonight</a>`,
  leave() { whenCounted.delete(reload); shown = undefined; said = ''; troubles = []; trouble = ''; code = 0; },
};
