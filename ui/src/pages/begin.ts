// SPDX-License-Identifier: GPL-3.0-or-later
// Begin: from an empty farm to tonight, one thing at a time: place, sow, service, hut, weather. What is written stands; the
// page may be left at any step and goes on where it was.
import { html, nothing, type TemplateResult } from 'lit-html';
import { Refused, post, upload } from '../base/api.ts';
import { go, redraw, reload, type Page, type Place } from '../base/page.ts';
import { newUid, record, type RecordedFact } from '../base/queue.ts';
import { chooseOne, fault, type Option } from '../part/choose.ts';
import { house, iso, nowOf, type House } from '../part/house.ts';
import { listed, names, type Named } from '../part/kinds.ts';
import { noPlace, placeFields, placeRead } from '../part/place.ts';
import { said, saidLine, saidNothing } from '../part/said.ts';
import { isoDay, name, tidy, usUnits } from '../part/words.ts';

type Step = 'place' | 'sow' | 'service' | 'hut' | 'weather' | 'tonight';
const steps: [Step, string][] = [['place', 'The place'], ['sow', 'A sow'], ['service', 'When the boar was with her'], ['hut', 'Huts'], ['weather', 'The weather'], ['tonight', 'Tonight']];
interface Data { house: House; sows: Named[]; boars: Named[]; services: number; huts: Named[]; done: Set<Step>; step: Step }

const place = noPlace();
const v: Record<string, string> = {};
let errors: Record<string, string> = {}, trouble = '', busy = false, file: File | undefined;

async function load(where: Place): Promise<Data> {
  const h = await house();
  const d: Data = { house: h, sows: [], boars: [], services: 0, huts: [], done: new Set(), step: 'place' };
  if (h.farm !== null) {
    const on = isoDay(nowOf(h));
    const [animals, services, runs, huts] = await Promise.all([names('animal', on), listed('service', { most: 1 }), listed('boar_run', { most: 1 }), names('placement', on)]);
    d.sows = animals.filter((a) => a.is === 'sow' || a.is === 'gilt'); d.boars = animals.filter((a) => a.is === 'boar');
    d.services = services.facts.length + runs.facts.length; d.huts = huts;
    d.done.add('place');
    if (d.sows.length) d.done.add('sow');
    if (d.services) d.done.add('service');
    if (d.huts.length) d.done.add('hut');
    if (h.forecast_age_h !== null) d.done.add('weather');
  }
  const asked = steps.find(([s]) => s === where.rest)?.[0];
  d.step = asked && (d.done.has('place') || asked === 'place') ? asked : (steps.find(([s]) => !d.done.has(s))?.[0] ?? 'tonight');
  return d;
}
const words = (e: unknown): string => (e instanceof Error ? e.message : String(e));
/** Do it; a refusal stands at its field, `at` says where fields are called otherwise here. */
async function doIt(what: () => Promise<void>, at: Record<string, string> = {}): Promise<void> {
  if (busy) return;
  busy = true; errors = {}; trouble = ''; redraw();
  try { await what(); } catch (e) {
    const field = e instanceof Refused ? (at[e.field] ?? e.field) : '', box = field ? document.getElementById(field) : null;
    if (box) { errors[field] = words(e).replace(/^[a-z_0-9-]+: /, '').replace(/^./, (c) => c.toUpperCase()); box.focus(); } else { trouble = words(e); requestAnimationFrame(() => document.getElementById('begin-trouble')?.focus()); }
  }
  busy = false; redraw();
}
function wanted(field: string, says: string): boolean {
  if (v[field]?.trim()) return true;
  errors = { [field]: says }; redraw(); document.getElementById(field)?.focus();
  return false;
}
const next = (to: Step): void => { go(`/begin/${to}`); scrollTo(0, 0); requestAnimationFrame(() => document.querySelector<HTMLElement>('#main h2')?.focus()); };
const put = (k: string) => (x: string): void => { v[k] = x; delete errors[k]; redraw(); };
function text(id: string, label: string, help: string, how: { optional?: boolean; today?: string; unit?: string; mode?: 'decimal' | 'numeric' } = {}): TemplateResult {
  return html`<div class="field ${how.today ? 'dated' : ''} ${how.mode ? 'figure' : ''}"><label for=${id}>${label}${how.optional ? html` <span class="optional">may be left out</span>` : nothing}</label><p class="hint" id=${`${id}-h`}>${help}</p><div class="entry"><input id=${id} type="text" dir="auto" autocomplete="off" inputmode=${how.mode ?? 'text'} .value=${v[id] ?? ''} aria-describedby=${`${id}-h${errors[id] ? ` ${id}-e` : ''}`} aria-invalid=${errors[id] ? 'true' : nothing} @input=${(e: Event) => { v[id] = (e.target as HTMLInputElement).value; if (errors[id]) { delete errors[id]; redraw(); } }}>${how.unit ? html`<span class="unit">${how.unit}</span>` : nothing}${how.today ? html`<button type="button" @click=${() => put(id)(how.today ?? '')}>Today<span class="unseen"> as ${label}</span></button>` : nothing}</div>${fault(id, errors[id])}</div>`;
}
const form = (what: () => void, button: string | TemplateResult, body: TemplateResult, more: TemplateResult | typeof nothing = nothing): TemplateResult =>
  html`<form class="form" novalidate @submit=${(e: Event) => { e.preventDefault(); what(); }}>${body}<p class="fault" id="begin-trouble" tabindex="-1" role="alert">${trouble ? html`<svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble}</span>` : nothing}</p><div class="acts"><button type="submit" class="do" ?disabled=${busy}>${busy ? 'Keeping' : button}</button>${more}</div></form>`;

/* ---- the steps */
function placeStep(d: Data): TemplateResult {
  if (d.house.farm !== null) return html`<p>${name(d.house.farm)} is written down. <a href="/settings">Its place and units</a> are in the settings.</p><div class="acts"><a class="btn do" href="/begin/sow">Go on: a sow</a></div>`;
  v['zone'] ??= Intl.DateTimeFormat().resolvedOptions().timeZone;
  v['units'] ??= /^en-US/.test(navigator.language) ? 'us' : 'metric';
  return form(() => {
    const where = placeRead(place);
    if (!wanted('farm-name', 'The farm needs a name: any you like.')) return;
    if (!where) { redraw(); document.getElementById(place.errors.lat ? 'lat' : 'lon')?.focus(); return; }
    void doIt(async () => {
      const up = v['elevation']?.trim();
      await post('/api/begin', { name: v['farm-name']?.trim(), ...where, zone: v['zone']?.trim(), units: v['units'], ...(up ? { elevation: up } : {}) });
      next('sow');
    }, { name: 'farm-name', lat_deg: 'lat', lon_deg: 'lon', elevation_m: 'elevation' });
  }, 'Keep, go to the first sow', html`${text('farm-name', 'What the farm is called', 'as you call it')}${placeFields(place)}
${text('elevation', 'Height above the sea', 'a guess will do; it shifts the cold a little', { optional: true, mode: 'decimal', unit: v['units'] === 'us' ? 'ft' : 'm' })}
${chooseOne('units', 'Units', [['metric', '°C, metres, kilograms'], ['us', '°F, feet, pounds']], v['units'], put('units'), { wide: true })}${text('zone', 'Time zone', 'as this device has it; written as Area/City')}`);
}
function sowStep(d: Data): TemplateResult {
  const more = d.sows.length ? html`<a class="btn" href="/begin/service">Go on: the boar</a>` : nothing;
  return html`${d.sows.length ? html`<p>Written: ${d.sows.map((s, i) => html`${i ? ', ' : ''}${name(s.name)}`)}. Write another, or go on.</p>` : html`<p>One is enough to begin with. Others can follow, or come from a <a href="/records/csv">table</a>.</p>`}${form(() => {
    if (!wanted('sow-name', 'Write her name or number.') || !wanted('is', 'Say whether she has had a litter.')) return;
    void doIt(async () => {
      const r = await record('animal', { name: v['sow-name']?.trim() ?? '', is: v['is'] ?? '', ...(v['born']?.trim() ? { born: v['born'].trim() } : {}) });
      said(html`Kept: ${name(v['sow-name']?.trim() ?? '')}`, [r], reload); v['sow'] = r.uid; v['sow-name'] = ''; v['born'] = ''; delete v['is'];
      if (d.sows.length === 0) next('service'); else reload();
    }, { name: 'sow-name' });
  }, d.sows.length ? 'Keep her' : 'Keep, go to the boar', html`${text('sow-name', 'Her name or number', 'as you call her')}${chooseOne('is', 'Has she had a litter?', [['sow', 'Yes: a sow'], ['gilt', 'Not yet: a gilt']], v['is'], put('is'), { wide: true, error: errors['is'] })}${text('born', 'Born', 'her day of birth, as 2023-04-12', { optional: true })}`, more)}`;
}
function serviceStep(d: Data): TemplateResult {
  if (d.sows.length === 0) return html`<p>Write a sow first.</p><div class="acts"><a class="btn do" href="/begin/sow">Write a sow</a></div>`;
  if (!d.sows.some((s) => s.uid === v['sow'])) v['sow'] = d.sows.at(-1)?.uid ?? '';
  const today = isoDay(nowOf(d.house)), ran = v['how'] === 'ran';
  return form(() => {
    if (!wanted('how', 'Press which it was.') || !wanted('day', ran ? 'Write the day he was put in.' : 'Write the day; about will do.')) return;
    if (ran && !wanted('boar-name', 'Write which boar it was.')) return;
    void doIt(async () => {
      const facts: RecordedFact[] = [], called = v['boar-name']?.trim() ?? '';
      let boar = d.boars.find((b) => b.name.toLowerCase() === called.toLowerCase())?.uid;
      if (called && !boar) { const b = await record('animal', { name: called, is: 'boar' }); facts.push(b); boar = b.uid; }
      facts.push(ran ? await record('boar_run', { boar: boar ?? '', sow: v['sow'] ?? '', from: v['day']?.trim() ?? '', ...(v['until']?.trim() ? { to: v['until'].trim() } : {}) })
        : await record('service', { sow: v['sow'] ?? '', at: v['day']?.trim() ?? '', ...(boar ? { boar } : {}), ...(v['how'] === 'guess' ? { how: 'guess' } : {}) }));
      said(html`Kept: when the boar was with ${name(d.sows.find((s) => s.uid === v['sow'])?.name ?? '')}`, facts, reload); v['day'] = ''; v['until'] = '';
      next('hut');
    }, { at: 'day', from: 'day', to: 'until', boar: 'boar-name', name: 'boar-name' });
  }, 'Keep, go to the huts', html`${d.sows.length > 1 ? chooseOne('sow', 'Which sow', d.sows.slice(0, 12).map((s): Option => [s.uid, name(s.name)]), v['sow'], put('sow')) : html`<p>For <b>${name(d.sows[0]?.name ?? '')}</b>.</p>`}
${chooseOne('how', 'What is known', [['seen', 'Seen on a day'], ['ran', 'A boar ran with her'], ['guess', 'Guessed']], v['how'], put('how'), { error: errors['how'] })}
${v['how'] ? html`${text('day', ran ? 'He was put in' : 'The day', 'as 2025-09-29, or with the hour: 2025-09-29 16:00', { today })}${ran ? text('until', 'He was taken out', 'leave it out if he is still in', { optional: true, today }) : nothing}${text('boar-name', 'The boar', d.boars.length ? `written: ${d.boars.map((b) => b.name).join(', ')}` : 'his name', { optional: !ran })}` : nothing}`, html`<a class="btn" href="/begin/hut">Nothing is known: go on</a>`);
}
const faces: [string, string][] = [['0', 'N'], ['45', 'NE'], ['90', 'E'], ['135', 'SE'], ['180', 'S'], ['225', 'SW'], ['270', 'W'], ['315', 'NW']];
function hutStep(d: Data): TemplateResult {
  const us = usUnits();
  return html`${d.huts.length ? html`<p>Written: ${d.huts.map((s, i) => html`${i ? ', ' : ''}${name(s.name)}`)}. Write another, or go on.</p>` : html`<p>A hut that stands out now. Its sizes can follow; without them a usual one is taken.</p>`}${form(() => {
    if (!wanted('hut-name', 'Write what the hut is called, or its number.') || !wanted('facing', 'Press where its door looks to.')) return;
    void doIt(async () => {
      const uid = newUid(), batch = newUid();
      const s = await record('shelter', { name: v['hut-name']?.trim() ?? '', ...(v['flap'] ? { flap: v['flap'] } : {}) }, { uid, batch });
      const p = await record('placement', { shelter: s.uid, from: iso(nowOf(d.house)), facing_deg: Number(v['facing']), ...(v['straw'] ? { straw_depth_m: Number(v['straw']) } : {}) }, { batch });
      said(html`Kept: ${name(v['hut-name']?.trim() ?? '')}`, [s, p], reload, true); v['hut-name'] = ''; delete v['facing'];
      if (d.huts.length === 0) next('weather'); else reload();
    }, { name: 'hut-name', facing_deg: 'facing' });
  }, d.huts.length ? 'Keep it' : 'Keep, go to the weather', html`${text('hut-name', 'What the hut is called, or its number', 'as Hut 1')}${chooseOne('facing', 'Where its door looks to', faces.map(([a, w]): Option => [a, w]), v['facing'], put('facing'), { error: errors['facing'], help: 'by the sun: it rises in the east and sets in the west' })}
${chooseOne('straw', 'Straw in it, settled', [['0', 'none'], ['0.05', us ? 'thin, 2 in' : 'thin, 5 cm'], ['0.15', us ? 'good, 6 in' : 'good, 15 cm'], ['0.25', us ? 'deep, 10 in' : 'deep, 25 cm']], v['straw'], put('straw'), { wide: true })}${chooseOne('flap', 'Curtain at the door', [['none', 'cannot be hung'], ['can-hang', 'can be hung'], ['hung', 'hangs']], v['flap'], put('flap'))}`, html`<a class="btn" href="/begin/weather">${d.huts.length ? 'Go on: the weather' : 'There are no huts: go on'}</a>`)}`;
}
function weatherStep(d: Data): TemplateResult {
  const got = (says: string): void => { said(tidy(says), []); next('tonight'); };
  const how = v['from'];
  return form(() => {
    if (!wanted('from', 'Press how the weather comes in.')) return;
    if (how === 'typed') { if (!wanted('forecast', 'Write what was said.')) return; void doIt(async () => got((await post<{ says: string }>('/api/weather/type', { forecast: v['forecast']?.trim(), from: iso(nowOf(d.house)) })).says), { text: 'forecast' }); }
    else if (how === 'file') { if (!file) { errors = { 'weather-file': 'Choose the file first.' }; redraw(); return; } const f = file; void doIt(async () => got((await upload<{ says: string }>('/api/weather/import?past=0', f)).says)); }
    else void doIt(async () => {
      const contact = v['contact']?.trim();
      if (contact) await record('weather_source', { name: how === 'us' ? 'National forecast' : 'World forecast', is: how === 'us' ? 'us-national' : 'met-norway', contact });
      got((await post<{ says: string }>('/api/weather/fetch', { from: how })).says);
    });
  }, 'Take it in, go to tonight', html`${d.house.forecast_age_h !== null ? html`<p>A forecast is there, ${Math.round(d.house.forecast_age_h)} h old.</p>` : html`<p>How cold the coming nights will be. A forecast read aloud on the radio is enough.</p>`}
${chooseOne('from', 'Where it comes from', [['typed', 'Type what was said'], ['file', 'A file'], ['us', 'Fetch: United States'], ['world', 'Fetch: the world']], v['from'], put('from'), { wide: true, error: errors['from'] })}
${how === 'typed' ? text('forecast', 'What was said', usUnits() ? 'as: low 12F, wind SW 15 mph, rain until 21:00' : 'as: low -6 C, wind SW 8 m/s, rain until 21:00') : how === 'file' ? html`<div class="field"><label for="weather-file">The file</label><p class="hint" id="weather-file-h">hourly table, station record or saved forecast</p><input id="weather-file" type="file" aria-describedby="weather-file-h" @change=${(e: Event) => { file = (e.target as HTMLInputElement).files?.[0]; errors = {}; redraw(); }}>${fault('weather-file', errors['weather-file'])}</div>`
      : how ? html`<p class="hint">Only the place, rounded, goes to the weather service; nothing of the herd.</p>${text('contact', 'An address of yours', 'mail or web page: the service wants to know who asks', { optional: true })}` : nothing}`, html`<a class="btn" href="/begin/tonight">Without a forecast: go on</a>`);
}
function view(d: Data): TemplateResult {
  const nth = steps.findIndex(([s]) => s === d.step), title = steps[nth]?.[1] ?? '';
  const body = d.step === 'place' ? placeStep(d) : d.step === 'sow' ? sowStep(d) : d.step === 'service' ? serviceStep(d) : d.step === 'hut' ? hutStep(d) : d.step === 'weather' ? weatherStep(d)
    : html`<p class="big2">${d.done.size === 5 ? 'All is there for the first answer.' : 'An answer can be given; what is missing is said there.'}</p><div class="acts"><a class="btn do" href="/tonight">See tonight</a><a class="btn" href="/round">See the round</a></div><p>More sows, huts and looks make it surer. <a href="/records">Records</a>, <a href="/records/csv">tables</a>, <a href="/phone">a phone</a>.</p>`;
  return html`<div class="lead"><div><h1>Begin</h1><p>${d.house.farm === null ? 'Five things are written down; then tonight can be reckoned. It takes two minutes.' : html`${name(d.house.farm)}: ${d.done.size} of 5 things are there.`}</p></div></div>${saidLine()}
<ol class="steps list">${steps.map(([s, t], i) => html`<li class=${s === d.step ? 'here' : ''}><a href=${`/begin/${s}`} aria-current=${s === d.step ? 'step' : nothing}>${d.done.has(s) ? html`<svg class="mk" aria-hidden="true"><use href="#tick"/></svg>` : html`<span class="nth">${i + 1}</span>`}${t}${d.done.has(s) ? html`<span class="unseen">, done</span>` : nothing}</a></li>`)}</ol>
<section class="sec write"><h2 tabindex="-1">${nth + 1}. ${title}</h2>${body}</section>`;
}
export const page: Page<Data> = {
  path: 'begin', title: 'Begin', menu: false, load, view,
  thumb: (d) => html`${d.done.has('place') ? html`<a class="btn do" href="/tonight">See tonight</a><a class="btn" href="/records">Records</a>` : nothing}`,
  leave() { errors = {}; trouble = ''; if (!location.pathname.startsWith('/begin')) saidNothing(); },
};
