// SPDX-License-Identifier: GPL-3.0-or-later
// The outline of a field: typed as lengths, walked with a phone, pressed on the plan, or read from a file.
import { html, nothing, type TemplateResult } from 'lit-html';
import { get, upload } from '../base/api.ts';
import { redraw, reload } from '../base/page.ts';
import { record, type Fact } from '../base/queue.ts';
import { fault } from './choose.ts';
import type { Field } from './field_model.ts';
import type { Pt } from './plan.ts';
import { bearing as readBearing } from './polar.ts';
import { said } from './said.ts';
import { area, crosses, fromSides, settled, standing, toLocal, type World } from './survey.ts';
import { metres, plural, usUnits } from './words.ts';

type Fix = World & { accuracy_m: number };
let sides: { length: string; towards: string }[] = [];
let draft: Pt[] | undefined, origin: World | undefined, how = '', error = '', wrong = -1, busy = false;
let watch: number | undefined, fixes: Fix[] = [], walked: Fix[] = [], gps = '';

export const outlineDraft = (): Pt[] | undefined => draft;
function drop(): void { draft = undefined; origin = undefined; how = error = ''; wrong = -1; stopWalk(); walked = []; redraw(); }

/** A length as it is typed: 105, 105 m, 340 ft; bare figures are in the farm's unit. */
export function length(text: string): number | undefined {
  const m = /^\s*(\d+(?:[.,]\d+)?)\s*(m|metres|meters|ft|feet|yd|yards|')?\s*$/i.exec(text);
  if (!m) return undefined;
  const v = Number(m[1]!.replace(',', '.')), u = (m[2] ?? (usUnits() ? 'ft' : 'm')).toLowerCase();
  const metre = u.startsWith('m') ? v : u.startsWith('y') ? v * 0.9144 : v * 0.3048;
  return metre > 0 && metre <= 5000 ? metre : undefined;
}

function lengths(): void {
  error = '';
  wrong = -1;
  const filled = sides.filter((s) => s.length.trim() || s.towards.trim()), out = [];
  for (const s of filled) {
    const l = length(s.length), b = readBearing(s.towards);
    if (l === undefined || b === undefined) {
      wrong = sides.indexOf(s);
      error = l === undefined ? `"${s.length}" is no length. Write ${usUnits() ? '340 ft' : '105 m'}.` : `"${s.towards}" is no direction. Write a word or degrees: E, SSE, 160.`;
      draft = undefined;
      redraw();
      document.getElementById(`side-${wrong}-${l === undefined ? 'l' : 't'}`)?.focus();
      return;
    }
    out.push({ length_m: l, towards_deg: b });
  }
  if (out.length < 2) { error = 'Write two sides or more; the last one closes the field by itself.'; draft = undefined; redraw(); return; }
  const got = fromSides(out);
  if (got.corners.length < 3) { error = 'These sides do not enclose a field.'; draft = undefined; redraw(); return; }
  take(got.corners, undefined, 'sides');
}
function take(corners: Pt[], place: World | undefined, by: string): void {
  how = by;
  if (crosses(corners)) { error = 'Two sides cross each other: the corners are not in the order in which one walks round.'; draft = undefined; redraw(); return; }
  error = '';
  draft = corners;
  origin = place;
  redraw();
}
/** Corners on the earth: laid out from the south-west corner of their box. */
function takeWorld(corners: World[], by: string): void {
  const low = { lat: Math.min(...corners.map((c) => c.lat)), lon: Math.min(...corners.map((c) => c.lon)) };
  take(settled(corners.map((c) => toLocal(c, low))).corners, low, by);
}

/* ---- walking */

function walk(): void {
  gps = '';
  if (!('geolocation' in navigator)) { gps = 'This browser has no place-finding. Type the lengths instead.'; redraw(); return; }
  if (!isSecureContext) { gps = 'This browser gives its place only to a page it trusts: set the phone up with the certificate (Settings, Phones), or type the lengths.'; redraw(); return; }
  walked = [];
  fixes = [];
  gps = 'Looking for satellites. Hold the phone to the open sky.';
  watch = navigator.geolocation.watchPosition((p) => {
    fixes = [...fixes, { lat: p.coords.latitude, lon: p.coords.longitude, accuracy_m: p.coords.accuracy }].slice(-8);
    gps = `Place known to about ${metres(Math.max(1, p.coords.accuracy))}. Stand at a corner for ten breaths, then press.`;
    redraw();
  }, (e) => {
    gps = e.code === 1 ? 'The browser was not allowed to tell its place. Allow it in its settings, or type the lengths.' : e.code === 3 ? 'No place yet: go into the open and wait.' : 'The phone does not know where it is. Type the lengths instead.';
    if (e.code === 1) stopWalk();
    redraw();
  }, { enableHighAccuracy: true, maximumAge: 0, timeout: 60000 });
  redraw();
}
export function stopWalk(): void { if (watch !== undefined) navigator.geolocation.clearWatch(watch); watch = undefined; fixes = []; }
function corner(): void {
  if (!fixes.length) return;
  walked = [...walked, standing(fixes)];
  fixes = [];
  if (walked.length >= 3) takeWorld(walked, 'walk');
  redraw();
}

/* ---- files */

interface Held { name: string | null; corners: { x_m: number; y_m: number }[]; origin_lat_deg: number; origin_lon_deg: number; places: number; gap_m: number }
let held: Held | undefined; // what the file held, as the house reads it
async function readFile(e: Event): Promise<void> {
  const input = e.target as HTMLInputElement, file = input.files?.[0];
  if (!file) return;
  error = '';
  how = 'file';
  held = undefined;
  busy = true;
  redraw();
  try {
    if (file.size > 8 * 2 ** 20) throw new Error('This file is larger than 8 MB: an outline is a few lines, a walk some hundred.');
    held = await upload<Held>('/api/ground/read', file);
    take(held.corners.map((c) => ({ x: c.x_m, y: c.y_m })), { lat: held.origin_lat_deg, lon: held.origin_lon_deg }, 'file');
  } catch (x) { error = x instanceof Error ? x.message : String(x); draft = undefined; }
  busy = false;
  redraw();
  input.value = '';
}
function writeFile(f: Field): void {
  const url = URL.createObjectURL(new Blob([f.geojson!], { type: 'application/geo+json' })), a = document.createElement('a');
  a.href = url;
  a.download = 'field.geojson';
  a.click();
  setTimeout(() => URL.revokeObjectURL(url), 1000);
}

async function keep(f: Field): Promise<void> {
  if (!draft || !f.paddock || busy) return;
  busy = true;
  redraw();
  try {
    // What stands now is put right: it may have been put right before, and then bears another uid than the field itself.
    const all = await get<{ facts: { uid: string; fact: Fact }[] }>('/api/list/paddock', { search: f.paddock.name, most: 100 });
    const was = all.facts.find((x) => x.fact['name'] === f.paddock!.name);
    if (!was) throw new Error(`${f.paddock.name} is not written down any more.`);
    const fact: Fact = { ...was.fact, outline: draft.map((c) => `${c.x},${c.y}`).join(' ') };
    for (const k of ['width_m', 'length_m', 'area_m2']) delete fact[k]; // the outline tells them now
    if (origin) { fact['origin_lat_deg'] = origin.lat; fact['origin_lon_deg'] = origin.lon; }
    const r = await record('paddock', fact, { replaces: was.uid });
    said(`The outline of ${f.paddock.name} is kept.`, [r], reload);
    busy = false;
    drop();
    reload();
  } catch (e) { error = e instanceof Error ? e.message : String(e); busy = false; redraw(); }
}

const heldWords = (h: Held): TemplateResult => html`<p>${h.name ? html`<b><bdi>${h.name}</bdi></b>: ` : nothing}${plural(h.corners.length, 'corner')} of ${plural(h.places, 'place')} in the file.${h.gap_m > 0 ? ` The walk ended ${metres(h.gap_m)} from where it began; a straight side closes it.` : ''}</p>`;
const kept = (f: Field): TemplateResult => html`${draft ? html`<div class="note"><p><b>${plural(draft.length, 'corner')}, ${hectares(area(draft))}.</b> The dashes on the plan show it. Hedges and huts drawn before keep their places from the south-west corner: look whether they still fit.</p></div><div class="acts"><button type="button" class="do" ?disabled=${busy} @click=${() => void keep(f)}>Keep this outline</button><button type="button" @click=${drop}>Leave it</button></div>` : nothing}`;
const hectares = (m2: number): string => (usUnits() ? `${(m2 / 4046.8564224).toFixed(1)} acres` : m2 < 10000 ? `${Math.round(m2)} m²` : `${(m2 / 10000).toFixed(1)} ha`);

export function outlineTools(f: Field): TemplateResult {
  if (!sides.length) sides = Array.from({ length: 4 }, () => ({ length: '', towards: '' }));
  return html`<details class="outliner"><summary>Outline: type lengths</summary><p>Walk round in your head: each side with its length and the way it runs. The last side closes by itself.</p>
<div class="sides">${sides.map((s, i) => html`<div class="side"><label>Side ${i + 1}, long <input id=${`side-${i}-l`} type="text" inputmode="decimal" placeholder=${usUnits() ? '340 ft' : '105 m'} .value=${s.length} aria-describedby=${wrong === i ? 'sides-e' : nothing} @input=${(e: Event) => { s.length = (e.target as HTMLInputElement).value; }}></label><label>runs to <input id=${`side-${i}-t`} type="text" placeholder="E" .value=${s.towards} aria-describedby=${wrong === i ? 'sides-e' : nothing} @input=${(e: Event) => { s.towards = (e.target as HTMLInputElement).value; }}></label></div>`)}</div>
${how !== 'file' && how !== 'walk' ? fault('sides', error || undefined) : nothing}
<div class="acts"><button type="button" @click=${lengths}>Show it on the plan</button><button type="button" @click=${() => { sides = [...sides, { length: '', towards: '' }]; redraw(); }}>One side more</button></div>${how === 'sides' ? kept(f) : nothing}</details>
<details class="outliner"><summary>Outline: walk it with the phone</summary><p>Stand at each corner in turn, and press there. Good to a few metres: enough for the plan.</p><div role="status">${gps ? html`<p>${gps}</p>` : nothing}${walked.length ? html`<p><b>${plural(walked.length, 'corner')}</b> so far.</p>` : nothing}</div>
<div class="acts">${watch === undefined ? html`<button type="button" @click=${walk}>Begin the walk</button>` : html`<button type="button" class="do" ?disabled=${!fixes.length} @click=${corner}>Corner here</button>${walked.length ? html`<button type="button" @click=${() => { walked = walked.slice(0, -1); if (walked.length >= 3) takeWorld(walked, 'walk'); else { draft = undefined; redraw(); } }}>Take the last corner back</button>` : nothing}<button type="button" @click=${() => { stopWalk(); redraw(); }}>That is all of it</button>`}</div>${how === 'walk' ? html`${fault('walk', error || undefined)}${kept(f)}` : nothing}</details>
<details class="outliner"><summary>Outline: from or to a file (GeoJSON, GPX)</summary><p>A plan as GeoJSON, or a walk round the field that a phone saved as GPX. A long walk is made simpler: 60 corners at most.</p><label class="filebtn">Read an outline from a file <input type="file" accept=".geojson,.json,.gpx,application/geo+json,application/json,application/gpx+xml" @change=${(e: Event) => void readFile(e)}></label>${how === 'file' ? html`${fault('file', error || undefined)}${draft && held ? heldWords(held) : nothing}${kept(f)}` : nothing}
<div class="acts">${f.geojson ? html`<button type="button" @click=${() => writeFile(f)}>Save the plan as GeoJSON</button>` : html`<p class="small">To save the plan as GeoJSON, the house has to know where on earth its corner lies: walk the outline or read it from a file once.</p>`}</div></details>`;
}
