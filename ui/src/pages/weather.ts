// SPDX-License-Identifier: GPL-3.0-or-later
// Weather: what comes, from where that is known, and how right it has been here.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask, get } from '../base/api.ts';
import { redraw, type Page } from '../base/page.ts';
import { axis, drawn, nights, ruler } from '../part/axis.ts';
import { house, nowOf, type House } from '../part/house.ts';
import { plotted } from '../part/plotted.ts';
import { sky, skyUnits, skyWords, type WeatherHours } from '../part/sky.ts';
import { fetchForecast, weatherTools } from '../part/weather_tools.ts';
import { missing, noFarm } from '../part/way_on.ts';
import { capital, clock, day, dayYear, degrees, evening, isoDay, plural, point, rain, span, temp, tempUnit, tidy, usUnits, weekday, wind, windUnit } from '../part/words.ts';

interface Hour { time: string; temp_c: number | null; temp_low_c: number | null; temp_high_c: number | null; wind_mps: number | null; gust_mps: number | null; wind_from_deg: number | null; cloud_oktas: number | null; rain_mm: number | null; snow: boolean; source: string; wind_source: string; rain_source: string; made: string | null }
interface Night { time: string; made: string; said_temp_c: number | null; read_temp_c: number | null; said_wind_mps: number | null; read_wind_mps: number | null }
interface Verified { from_h: number; to_h: number | null; readings: number; temp_bias_k: number | null; temp_error_k: number | null; wind_bias_mps: number | null; wind_error_mps: number | null }
interface Weather {
  at: string;
  weather: { says: string; from: string; forecast: string | null; made: string | null; age_h: number | null; firm_h: number; credit: string | null; notes: string[]; hours: WeatherHours };
  hours: Hour[]; own_offsets: { when: string; temp_k: number; wind_factor: number; readings: number }[]; verified: Verified[]; last_nights: Night[]; pairs: number; assumed: string[];
}
interface Kept { sort: string; source: string; hours: number; first: string; last: string }
interface Data { farm: House; w: Weather | undefined; none: unknown; kept: Kept[] }

const DAYS = 7;
let few = true; // on a narrow screen the first three days, until asked for all

const dash = '\u2013';
const step = (k: number): string => (usUnits() ? `${(Math.abs(k) * 1.8).toFixed(1)} °F` : `${Math.abs(k).toFixed(1)} degrees`);
const num = (v: number | null | undefined, how: (v: number) => string): string => (v === null || v === undefined || !Number.isFinite(v) ? dash : how(v));

/* ---- what comes */

function coming(w: Weather): TemplateResult {
  const all = w.weather.hours, hours: WeatherHours = { ...all, temp_low_c: w.hours.map((h) => h.temp_low_c), temp_high_c: w.hours.map((h) => h.temp_high_c) };
  return html`<figure class="fig skyfig"><h2 class="unseen">The hours to come</h2>${drawn('week', (px) => {
    const slim = px < 560, n = Math.min(all.time.length, slim && few ? 72 : DAYS * 24), ax = axis(px, n, w.weather.from, w.at);
    return html`${ruler(ax, nights(all.daylight, n))}${sky(ax, hours)}`;
  })}<figcaption class="small">${skyUnits()}: the line, and the grey band in which eight forecasts of ten lie; dashes: freezing. Dots rain, stars snow: one light, two moderate, three heavy. Circle filled by eighths: cloud. The shaft points to where the wind comes from; its speed in ${windUnit()} stands under it.${w.weather.firm_h < w.hours.length ? html` Forecast to ${weekday(Date.parse(w.weather.from) + w.weather.firm_h * 3600e3)}; after that past years stand in.` : nothing}</figcaption>
<div class="acts narrow screen"><button type="button" @click=${() => { few = !few; redraw(); }}>${few ? 'Show all seven days' : 'Show three days'}</button></div></figure>`;
}
function lead(d: Data, w: Weather): TemplateResult {
  const ax = axis(600, Math.min(72, w.hours.length), w.weather.from, w.at, 1);
  return html`<div class="lead"><div><h1>Weather <span class="date">${weekday(w.at)}, ${day(w.at)}, ${clock(w.at)}</span></h1><p>${skyWords(ax, w.weather.hours).map(tidy).slice(0, 3).join(' ')}</p></div>
<p class="small">${tidy(w.weather.says)}${d.farm.read_only ? nothing : html` `}</p></div>`;
}

/* ---- hours in figures, day by day */

function dayRows(w: Weather): { name: string; hours: Hour[] }[] {
  const out: { key: string; name: string; hours: Hour[] }[] = [];
  for (const h of w.hours) {
    const key = isoDay(h.time);
    if (out.at(-1)?.key !== key) out.push({ key, name: `${weekday(h.time)} ${day(h.time)}`, hours: [] });
    out.at(-1)!.hours.push(h);
  }
  return out;
}
function age(w: Weather, h: Hour): string {
  return h.made ? `made ${span(Math.max(0, (Date.parse(w.at) - Date.parse(h.made)) / 3600e3))} ago` : '';
}
function figures(w: Weather): TemplateResult {
  return html`<section class="sec hoursec"><h2>The hours in figures</h2>${dayRows(w).map((g, i) => {
    const t = g.hours.map((h) => h.temp_c).filter((v): v is number => v !== null), gust = g.hours.map((h) => h.gust_mps ?? h.wind_mps ?? 0), wet = g.hours.reduce((s, h) => s + (h.rain_mm ?? 0), 0);
    return html`<details class="dayhours" ?open=${i === 0 && false}><summary>${g.name}: ${t.length ? `${degrees(Math.min(...t))} to ${temp(Math.max(...t))}` : 'no temperature'}, gusts ${wind(Math.max(...gust))}, ${wet >= 0.1 ? `${rain(wet)} of ${g.hours.some((h) => h.snow) ? 'rain and snow' : 'rain'}` : 'dry'}</summary>
<table class="hourtable"><caption class="unseen">${g.name}, hour by hour</caption><thead><tr><th scope="col">Hour</th><th scope="col" class="n">Air</th><th scope="col" class="n">8 of 10</th><th scope="col" class="n">Wind</th><th scope="col" class="n">Gust</th><th scope="col">From</th><th scope="col" class="n">Cloud</th><th scope="col" class="n">Falls</th><th scope="col">Where from</th></tr></thead><tbody>
${g.hours.map((h) => html`<tr><th scope="row">${clock(h.time)}</th><td class="n" data-l="Air">${num(h.temp_c, temp)}</td><td class="n" data-l="8 of 10">${num(h.temp_low_c, degrees)} to ${num(h.temp_high_c, degrees)}</td><td class="n" data-l="Wind">${num(h.wind_mps, wind)}</td><td class="n" data-l="Gust">${num(h.gust_mps, wind)}</td><td data-l="From">${num(h.wind_from_deg, point)}</td><td class="n" data-l="Cloud">${num(h.cloud_oktas, (v) => `${Math.round(v)}/8`)}</td><td class="n" data-l="Falls">${h.rain_mm === null ? 'not known' : h.rain_mm < 0.05 ? dash : `${rain(h.rain_mm)}${h.snow ? ' snow' : ''}`}</td><td class="small" data-l="Where from">${h.source}${age(w, h) ? `, ${age(w, h)}` : ''}${h.wind_source && h.wind_source !== h.source ? html`<br>wind: ${h.wind_source}` : nothing}${h.rain_source && h.rain_source !== h.source ? html`<br>rain: ${h.rain_source}` : nothing}</td></tr>`)}</tbody></table></details>`;
  })}</section>`;
}

/* ---- how right it has been */

const leadOf = (v: Verified): string => (v.to_h === null ? `${v.from_h} h and more` : `${v.from_h} to ${v.to_h} h`);
function sentenceOf(v: Verified[]): TemplateResult {
  const best = [...v].sort((a, b) => b.readings - a.readings)[0];
  if (!best || best.temp_bias_k === null) return html`<p>Nothing read here stands against a forecast yet. Readings at the gate at night teach the page most.</p>`;
  const way = best.temp_bias_k > 0.05 ? 'colder' : best.temp_bias_k < -0.05 ? 'warmer' : undefined;
  return html`<p>By your readings it was ${way ? html`<b>${step(best.temp_bias_k)} ${way} than said</b>` : html`as it was said`} ${leadOf(best)} before.</p>`;
}
function nightsChart(w: Weather): TemplateResult {
  const us = usUnits(), deg = (c: number): number => (us ? c * 1.8 + 32 : c);
  const rows = w.last_nights.filter((n) => n.said_temp_c !== null && n.read_temp_c !== null).map((n) => ({ at: new Date(n.time), said: deg(n.said_temp_c!), read: deg(n.read_temp_c!) }));
  if (!rows.length) return html``;
  return html`<figure>${drawn('nights', (px) => html`${plotted(px, `Last nights: air as read here and as it was forecast, ${plural(rows.length, 'reading')}. The figures stand in the table.`, `${w.at}${rows.length}${us}`, (P) => P.plot({
    width: px, height: 230, marginLeft: 44, marginBottom: 34, className: 'plotted',
    x: { type: 'utc', label: null, tickFormat: (t: Date) => day(t, true), ticks: px < 560 ? 4 : 8 }, y: { label: null, grid: true, tickFormat: (v: number) => `${String(Math.round(v)).replace('-', '\u2212')}°`, nice: true },
    marks: [
      P.ruleX(rows, { x: 'at', y1: 'said', y2: 'read', stroke: 'var(--ink2)', strokeWidth: 2 }),
      P.dot(rows, { x: 'at', y: 'said', r: 5, symbol: 'circle', fill: 'var(--panel)', stroke: 'var(--ink)', strokeWidth: 2 }),
      P.dot(rows, { x: 'at', y: 'read', r: 5, symbol: 'square', fill: 'var(--ink)', stroke: 'var(--ink)' }),
    ],
  }))}`)}<figcaption class="small">${tempUnit()}. Open ring: as it was forecast. Black square: as read here. The longer the stem, the further out.</figcaption></figure>`;
}
function leadChart(w: Weather): TemplateResult {
  const us = usUnits(), k = us ? 1.8 : 1, rows = w.verified.filter((v) => v.temp_error_k !== null).map((v) => ({ lead: leadOf(v), error: v.temp_error_k! * k, bias: (v.temp_bias_k ?? 0) * k }));
  if (!rows.length) return html``;
  return html`<figure>${drawn('leads', (px) => html`${plotted(px, 'How far the forecast of the air was out, by how long before it was made. The figures stand in the table.', `${w.at}${rows.length}${us}`, (P) => P.plot({
    width: px, height: 52 + rows.length * 34, marginLeft: 112, marginRight: 20, marginBottom: 30, className: 'plotted',
    x: { label: null, grid: true, domain: [Math.min(0, ...rows.map((r) => r.bias)), Math.max(1, ...rows.map((r) => r.error))], nice: true, ticks: 5, tickFormat: (v: number) => `${String(v).replace('-', '\u2212')}°` }, y: { label: null, domain: rows.map((r) => r.lead) },
    marks: [P.barX(rows, { y: 'lead', x: 'error', fill: 'var(--rule)', stroke: 'var(--ink)', strokeWidth: 1.5, insetTop: 5, insetBottom: 5 }), P.tickX(rows, { y: 'lead', x: 'bias', stroke: 'var(--ink)', strokeWidth: 4 }), P.ruleX([0], { stroke: 'var(--ink)' })],
  }))}`)}<figcaption class="small">Bar: how far out on the whole, ${us ? '°F' : 'degrees'}. Black line: how much too warm on the mean.</figcaption></figure>`;
}
function rightness(w: Weather): TemplateResult {
  const signed = (k: number): string => `${k > 0 ? '+' : k < 0 ? '\u2212' : ''}${(Math.abs(k) * (usUnits() ? 1.8 : 1)).toFixed(1)}`;
  return html`<section class="sec right"><h2>How right it has been here</h2>${sentenceOf(w.verified)}
${w.verified.length ? html`<div class="cols even"><div><h3>The last ten nights</h3>${nightsChart(w)}${w.last_nights.length ? html`<details><summary>The nights in figures</summary><table><caption class="unseen">Read and forecast, last nights</caption><thead><tr><th scope="col">Hour</th><th scope="col" class="n">Forecast</th><th scope="col" class="n">Read</th><th scope="col" class="n">Wind forecast</th><th scope="col" class="n">Wind read</th></tr></thead><tbody>
${[...w.last_nights].reverse().map((n) => html`<tr><th scope="row">${weekday(evening(n.time), true)} night, ${clock(n.time)}</th><td class="n">${num(n.said_temp_c, temp)}</td><td class="n">${num(n.read_temp_c, temp)}</td><td class="n">${num(n.said_wind_mps, wind)}</td><td class="n">${num(n.read_wind_mps, wind)}</td></tr>`)}</tbody></table></details>` : html`<p class="small">No reading at night in the last ten days.</p>`}</div>
<div><h3>By how long before</h3>${leadChart(w)}<table><caption class="unseen">Forecast against reading, by lead time</caption><thead><tr><th scope="col">Made before</th><th scope="col" class="n">Out by, ${usUnits() ? '°F' : 'degrees'}</th><th scope="col" class="n">Too warm</th><th scope="col" class="n">Wind out by</th><th scope="col" class="n">Times</th></tr></thead><tbody>
${w.verified.map((v) => html`<tr><th scope="row">${leadOf(v)}</th><td class="n">${num(v.temp_error_k, (k) => signed(k).replace('+', ''))}</td><td class="n">${num(v.temp_bias_k, signed)}</td><td class="n">${num(v.wind_error_mps, (m) => (usUnits() ? `${(m / 0.44704).toFixed(1)} mph` : `${m.toFixed(1)} m/s`))}</td><td class="n">${v.readings}</td></tr>`)}</tbody></table></div></div>` : nothing}
${w.own_offsets.length ? html`<h3>This place against the forecast</h3><ul class="plainlist">${w.own_offsets.map((o) => html`<li>On a ${o.when}: ${step(o.temp_k)} ${o.temp_k < 0 ? 'colder' : 'warmer'}, wind ${Math.round(o.wind_factor * 100)} in 100 of what is forecast (${plural(o.readings, 'reading')}).</li>`)}</ul><p class="small">Laid on the forecast hours above.</p>` : nothing}</section>`;
}

/* ---- sources */

const SORT: Record<string, string> = { forecast: 'Forecast', typed: 'Typed forecast', observed: 'Read by a station', past: 'Past years', 'past-years': 'Past years' };
function sources(d: Data): TemplateResult {
  const w = d.w, missing = w ? w.hours.filter((h) => h.temp_c === null || h.wind_mps === null).length : 0;
  return html`<section class="sec"><h2>Where the hours come from</h2>${w ? html`<p>${missing ? html`<b>${plural(missing, 'hour')}</b> of these ${w.hours.length} lack air or wind.` : `No hour of these ${w.hours.length} lacks air or wind.`}</p>${w.weather.notes.length ? html`<ul class="plainlist">${w.weather.notes.map((n) => html`<li>${tidy(n)}</li>`)}</ul>` : nothing}` : nothing}
${d.kept.length ? html`<table class="stack"><caption class="unseen">Hours of weather in the farm file</caption><thead><tr><th scope="col">Source</th><th scope="col">What</th><th scope="col" class="n">Hours</th><th scope="col">From</th><th scope="col">To</th></tr></thead><tbody>${d.kept.map((k) => html`<tr><th scope="row">${k.source}</th><td data-l="What">${SORT[k.sort] ?? capital(k.sort)}</td><td class="n" data-l="Hours">${k.hours}</td><td data-l="From">${dayYear(k.first)}</td><td data-l="To">${dayYear(k.last)}</td></tr>`)}</tbody></table>` : html`<p>No hours of weather are kept.</p>`}
${w?.weather.credit ? html`<p class="small credit">${w.weather.credit}</p>` : nothing}</section>`;
}

export const page: Page<Data> = {
  path: 'weather', title: 'Weather', menu: true,
  async load(): Promise<Data> {
    const farm = await house();
    let w: Weather | undefined, none: unknown, kept: Kept[] = [];
    try { w = (await ask<Weather>('weather', { hours: DAYS * 24 })).answer; } catch (e) { if (noFarm(e)) throw e; none = e; }
    try { const k = await get<any>('/api/weather-kept'); kept = k.kept ?? k.sources ?? k.hours ?? []; } catch { /* the table is left out */ }
    return { farm, w, none, kept };
  },
  view(d: Data): TemplateResult {
    const w = d.w;
    return html`<div class="weatherpage">${w ? html`${lead(d, w)}${coming(w)}${rightness(w)}${figures(w)}` : html`<div class="lead"><h1>Weather</h1><p>${missing(d.none) ?? tidy(d.none instanceof Error ? d.none.message : '')}</p></div>`}
${weatherTools(nowOf(d.farm))}${sources(d)}</div>`;
  },
  thumb(): TemplateResult { return html`<button class="do" @click=${() => void fetchForecast()}>Fetch</button><a class="btn" href="#bring">Type</a>`; },
};
