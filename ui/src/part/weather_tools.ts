// SPDX-License-Identifier: GPL-3.0-or-later
// Bringing weather in: fetch, type a forecast, type a reading, read a file.
import { html, type TemplateResult } from 'lit-html';
import { Refused, post, upload } from '../base/api.ts';
import { redraw, reload } from '../base/page.ts';
import { record, type Fact } from '../base/queue.ts';
import { fault } from './choose.ts';
import { iso } from './house.ts';
import { said, saidLine } from './said.ts';
import { plural, tidy, usUnits } from './words.ts';

let busy = '', done = '', bad: { where: string; field: string; says: string } | undefined;
const typed: Record<string, string> = { forecast: '', temp: '', wind: '', from: '', low: '' };

async function run(what: string, work: () => Promise<string>): Promise<void> {
  if (busy) return;
  busy = what;
  done = '';
  bad = undefined;
  redraw();
  try { done = await work(); busy = ''; if (done) reload(); }
  catch (e) { busy = ''; bad = { where: what, field: e instanceof Refused ? e.field : '', says: e instanceof Error ? e.message : String(e) }; }
  redraw();
}
export const fetchForecast = (): Promise<void> => run('fetch', async () => tidy((await post<{ says: string }>('/api/weather/fetch', {})).says ?? 'The forecast is here.'));
const typeForecast = (): Promise<void> => run('forecast', async () => {
  if (!typed['forecast']!.trim()) throw new Refused(400, 'bad-input', 'forecast', 'Write what was said, for example: low −6 °C, wind NW 8 m/s, snow until 21:00.');
  const says = (await post<{ says: string }>('/api/weather/type', { forecast: typed['forecast']!.trim() })).says ?? 'The forecast is kept.';
  typed['forecast'] = '';
  return tidy(says);
});
const typeReading = (now: Date): Promise<void> => run('reading', async () => {
  const fact: Fact = { at: iso(now) };
  for (const [k, flag] of [['temp', 'temp'], ['low', 'low'], ['wind', 'wind'], ['from', 'wind-from']] as const) if (typed[k]!.trim()) fact[flag] = typed[k]!.trim();
  if (Object.keys(fact).length === 1) throw new Refused(400, 'bad-input', 'temp', 'Write one figure or more.');
  const r = await record('reading', fact);
  for (const k of ['temp', 'low', 'wind', 'from']) typed[k] = '';
  said('The reading is kept.', [r], reload);
  reload();
  return '';
});
async function readFile(e: Event): Promise<void> {
  const input = e.target as HTMLInputElement, file = input.files?.[0];
  if (!file) return;
  await run('file', async () => {
    if (file.size > 8e6) throw new Error('This file is larger than 8 MB. Read it on the machine: leenest weather import FILE.');
    const r = await upload<{ format: string; hours: number; says: string }>('/api/weather/import', file);
    return tidy(r.says ?? `${plural(r.hours, 'hour')} read.`);
  });
  input.value = '';
}
const badOf = (where: string): string | undefined => (bad?.where === where ? bad.says : undefined);
const input = (k: string, label: string, hint: string, where: string): TemplateResult => html`<div class="askfield"><label for=${`w-${k}`}>${label}</label><input id=${`w-${k}`} type="text" placeholder=${hint} .value=${typed[k]!} aria-describedby=${badOf(where) ? `w-${where}-e` : `w-${k}`} @input=${(e: Event) => { typed[k] = (e.target as HTMLInputElement).value; }}></div>`;

export function weatherTools(now: Date): TemplateResult {
  const us = usUnits();
  return html`<section class="sec screen" id="bring"><h2>Bring weather in</h2><div role="status">${done ? html`<p class="note">${done}</p>` : ''}${busy === 'fetch' ? html`<p>Fetching.</p>` : ''}</div>${saidLine()}
<div class="cols even"><form @submit=${(e: Event) => { e.preventDefault(); void typeReading(now); }}><h3>Type a reading</h3><p class="small">As it stands at the gate now. What you read here teaches the page this place.</p>
<div class="four">${input('temp', 'Air', us ? '21F' : '−3', 'reading')}${input('low', 'Lowest since', us ? '18F' : '−6', 'reading')}${input('wind', 'Wind', us ? '10 mph' : '4 m/s', 'reading')}${input('from', 'Wind from', 'NW', 'reading')}</div>
${fault('w-reading', badOf('reading'))}<div class="acts"><button class="do" ?disabled=${busy !== ''}>Keep the reading</button><a class="btn" href="/records/reading">More to a reading</a></div></form>
<div><h3>Fetch a forecast</h3><p class="small">From the service that the farm chose. Works only where this house has the internet.</p>${fault('w-fetch', badOf('fetch'))}<div class="acts"><button type="button" ?disabled=${busy !== ''} @click=${() => void fetchForecast()}>Fetch the forecast</button></div>
<form @submit=${(e: Event) => { e.preventDefault(); void typeForecast(); }}><h3>Type a forecast</h3>${input('forecast', 'As it was heard or read', us ? 'low 12F, wind SW 15 mph, rain until 21:00' : 'low −6, wind NW 8 m/s, snow until 21:00', 'forecast')}${fault('w-forecast', badOf('forecast'))}<div class="acts"><button ?disabled=${busy !== ''}>Keep what was said</button></div></form>
<h3>Read a file</h3><p class="small">Past years, a station’s hours or a forecast: the program tells by itself which it is. From hours that are past it learns this place.</p><label class="filebtn">A file of hours <input type="file" @change=${(e: Event) => void readFile(e)}></label>${fault('w-file', badOf('file'))}</div></div></section>`;
}
