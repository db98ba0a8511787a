// SPDX-License-Identifier: GPL-3.0-or-later
// Settings: the farm, its people and breeds, phones, password, backups, what is open, about.
import { html, nothing, type TemplateResult } from 'lit-html';
import { get, post } from '../base/api.ts';
import { go, redraw, reload, type Page, type Place } from '../base/page.ts';
import { record } from '../base/queue.ts';
import { fault } from '../part/choose.ts';
import { formOf, formView, namesFor, type Form } from '../part/form.ts';
import { graticule, latWords, lonWords, placeSays } from '../part/graticule.ts';
import { house, iAm, me, nowOf, type House } from '../part/house.ts';
import { kindOf, listed, type Listed } from '../part/kinds.ts';
import { noPlace, placeFields, placeRead } from '../part/place.ts';
import { said, saidLine, saidNothing } from '../part/said.ts';
import { devicesView } from './phone.ts';
import { capital, clock, dayYear, name, plural, tidy } from '../part/words.ts';

interface Session { called: string; here: boolean; master: boolean; lan: boolean; password_set: boolean }
interface Backup { name: string; made: string; bytes: number }
interface Device { device: number; called: string; since: string; seen: string; this_one: boolean }
interface Data {
  house: House; session: Session; farm: Listed | undefined; form: Form | undefined; people: Listed[]; breeds: Listed[]; devices: Device[]; backups: Backup[];
  check: { sound: boolean; lines: { says: string; bad: boolean }[] } | undefined; edit: string;
}
let form: { uid: string; form: Form } | undefined, place: ReturnType<typeof noPlace> | undefined, placeOf = '';
let trouble: { at: string; says: string } | undefined, busy = '', restoring = '', pass = { now: '', next: '' }, passErrors: Record<string, string> = {};

async function load(where: Place): Promise<Data> {
  const [h, session] = await Promise.all([house(), get<Session>('/api/session')]);
  const empty: Data = { house: h, session, farm: undefined, form: undefined, people: [], breeds: [], devices: [], backups: [], check: undefined, edit: where.rest };
  if (h.farm === null) return empty;
  const [kind, farms, people, breeds, devices, backups, check] = await Promise.all([kindOf('farm'), listed('farm', { most: 1 }), listed('person', { most: 100 }), listed('breed', { most: 100 }),
    get<{ devices: Device[] }>('/api/devices').then((r) => r.devices), get<{ backups: Backup[] }>('/api/backups').then((r) => r.backups), get<NonNullable<Data['check']>>('/api/check')]);
  const farm = farms.facts[0];
  if (farm && form?.uid !== farm.uid) form = { uid: farm.uid, form: formOf(kind, nowOf(h), await namesFor(kind, nowOf(h)), farm) };
  return { ...empty, farm, form: form?.form, people: people.facts, breeds: breeds.facts, devices, backups, check };
}
async function act(at: string, what: () => Promise<void>): Promise<void> {
  if (busy) return;
  busy = at; trouble = undefined; redraw();
  try { await what(); } catch (e) { trouble = { at, says: e instanceof Error ? e.message : String(e) }; }
  busy = ''; redraw();
  if (trouble) document.getElementById(`fault-${at}`)?.focus();
}
const faultAt = (at: string): TemplateResult => html`<p class="fault" id=${`fault-${at}`} tabindex="-1" role="alert">${trouble?.at === at ? html`<svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble.says}</span>` : nothing}</p>`;

/** Degrees east of true north are plus. */
function compassWords(deg: unknown): string {
  const d = Number(deg);
  if (deg === undefined || deg === null || Number.isNaN(d)) return '';
  return Math.abs(d) < 0.05 ? 'true north' : `${Math.abs(d).toFixed(1)}° ${d < 0 ? 'west' : 'east'} of true north`;
}
function farmPart(d: Data): TemplateResult {
  const f = d.farm;
  if (!f) return html`<p>The farm is not written down yet.</p><div class="acts"><a class="btn do" href="/begin">Begin a farm</a></div>`;
  const lat = Number(f.fact['lat_deg']), lon = Number(f.fact['lon_deg']);
  const row = (label: string, v: unknown): TemplateResult | typeof nothing => (v === undefined || v === null || v === '' ? nothing : html`<tr><th scope="row">${label}</th><td><bdi>${String(v)}</bdi></td></tr>`);
  return html`<div class="placed"><figure class="place">${graticule(lat, lon)}<figcaption>${placeSays(lat, lon)}</figcaption></figure><table class="says"><caption class="unseen">The farm</caption><tbody>${row('Name', f.fact['name'])}${row('Place', `${latWords(lat)}, ${lonWords(lon)}`)}${row('Height above the sea', f.shown['elevation_m'])}${row('Time zone', f.fact['zone'])}${row('Units', f.fact['units'] === 'us' ? 'US customary' : 'metric')}${row('A compass points', compassWords(f.fact['declination_deg']))}${row('Ground', f.fact['soil'])}${row('People at one time', f.fact['people'])}</tbody></table></div><div class="acts"><a class="btn" href="/settings/farm">Change it</a><a class="btn" href="/settings/place">Change the place</a><a class="btn" href=${`/records/farm/${f.uid}`}>How it came about</a></div>`;
}
function placeView(d: Data): TemplateResult {
  const f = d.farm;
  if (!f) return html`${nothing}`;
  if (!place || placeOf !== f.uid) { place = { ...noPlace(), lat: String(f.fact['lat_deg']), lon: String(f.fact['lon_deg']) }; placeOf = f.uid; }
  const p = place;
  return html`<div class="lead"><div><h1>Change the place</h1><p>The sun, the length of the night and the forecast hang on it.</p></div></div><section class="sec write"><form class="form" novalidate @submit=${(e: Event) => { e.preventDefault(); const where = placeRead(p); if (!where) { redraw(); document.getElementById(p.errors.lat ? 'lat' : 'lon')?.focus(); return; } void act('place', async () => { const r = await record('farm', { ...(f.fact as Record<string, string | number>), ...where }, { replaces: f.uid }); said('The place is changed', [r], reload); place = undefined; go('/settings'); }); }}>${placeFields(p)}${faultAt('place')}<div class="acts"><button type="submit" class="do" ?disabled=${busy !== ''}>Keep this place</button><a class="btn" href="/settings">Leave it as it was</a></div></form></section>`;
}
function passwordPart(d: Data): TemplateResult {
  const s = d.session;
  if (!s.master) return html`<p>The password is set at the machine itself.</p>`;
  const field = (id: 'now' | 'next', label: string, help: string, complete: 'current-password' | 'new-password'): TemplateResult => html`<div class="field"><label for=${`pass-${id}`}>${label}</label><p class="hint" id=${`pass-${id}-h`}>${help}</p><input id=${`pass-${id}`} type="password" autocomplete=${complete} .value=${pass[id]} aria-describedby=${`pass-${id}-h${passErrors[id] ? ` pass-${id}-e` : ''}`} @input=${(e: Event) => { pass[id] = (e.target as HTMLInputElement).value; if (passErrors[id]) { delete passErrors[id]; redraw(); } }}>${fault(`pass-${id}`, passErrors[id])}</div>`;
  return html`<form class="form" novalidate @submit=${(e: Event) => { e.preventDefault(); if (!pass.next) { passErrors = { next: 'Write the new password.' }; redraw(); document.getElementById('pass-next')?.focus(); return; } void act('password', async () => { await post('/api/password', { password: pass.next, ...(pass.now ? { old: pass.now } : {}) }); pass = { now: '', next: '' }; said('The password is set. All other devices are signed out.', []); reload(); }); }}><input class="unseen" type="text" autocomplete="username" tabindex="-1" aria-hidden="true" .value=${d.house.farm ?? ''}>${s.password_set ? field('now', 'Password now', 'the one that stands', 'current-password') : nothing}${field('next', 'New password', 'four words that nobody guesses are better than one with signs', 'new-password')}${faultAt('password')}<div class="acts"><button type="submit" ?disabled=${busy !== ''}>${s.password_set ? 'Change the password' : 'Set a password'}</button></div></form>`;
}
const bytes = (n: number): string => (n < 1e6 ? `${Math.ceil(n / 1e3)} kB` : `${(n / 1e6).toFixed(1)} MB`);
function backupPart(d: Data): TemplateResult {
  return html`<p>${d.backups.length ? html`The newest is of ${dayYear(d.backups[0]?.made ?? '')}, ${clock(d.backups[0]?.made ?? '')}.` : 'There is none yet.'} Keep one away from this machine.</p><div class="acts"><button type="button" class="do" ?disabled=${busy !== ''} @click=${() => void act('backup', async () => { await post('/api/backups', {}); said('A backup is made', []); reload(); })}>${busy === 'backup' ? 'Making it' : 'Make a backup'}</button><a class="btn" href="/api/export-all" download="leenest.json">Save everything as one file</a></div>${faultAt('backup')}
${d.backups.length ? html`<ul class="list facts">${d.backups.map((b) => html`<li class="fact backup"><p><b>${dayYear(b.made)}, ${clock(b.made)}</b> <span class="quiet">${bytes(b.bytes)}</span></p><div class="acts"><a class="btn plainbtn" href=${`/api/backups/${encodeURIComponent(b.name)}`} download=${b.name}>Save a copy<span class="unseen"> of ${b.name}</span></a>${d.session.master ? html`<button type="button" class="plainbtn" @click=${() => { restoring = b.name; redraw(); document.getElementById('restore')?.focus(); }}>Go back to it<span class="unseen">: ${b.name}</span></button>` : nothing}</div>
${restoring === b.name ? html`<div class="takeout" id="restore" tabindex="-1" role="group" aria-label="Go back"><p><b>Go back to ${dayYear(b.made)}, ${clock(b.made)}?</b> What was recorded since then is then in no answer. The farm file of now is kept beside it.</p><div class="acts"><button type="button" ?disabled=${busy !== ''} @click=${() => void act('restore', async () => { await post('/api/restore', { name: b.name }); restoring = ''; said('The farm stands as it did then. What was there is kept beside it.', []); reload(); })}>Go back to it</button><button type="button" @click=${() => { restoring = ''; redraw(); }}>Stay as it is</button></div></div>` : nothing}</li>`)}</ul>` : nothing}${faultAt('restore')}`;
}
function view(d: Data): TemplateResult {
  if (d.edit === 'farm' && d.form) return html`<div class="lead"><div><h1>Change the farm</h1><p>What the reckoning takes for granted of this farm.</p></div></div><section class="sec write">${formView(d.form, 'Keep it so', (done) => { form = undefined; said('The farm is changed', done, reload); go('/settings'); scrollTo(0, 0); }, html`<a class="btn" href="/settings" @click=${() => { form = undefined; }}>Leave it as it was</a>`)}</section>`;
  if (d.edit === 'place' && d.farm) return placeView(d);
  const bad = d.check?.lines.filter((l) => l.bad) ?? [];
  return html`<div class="lead"><div><h1>Settings</h1><p>${d.house.farm === null ? 'There is no farm yet.' : html`${name(d.house.farm)}. ${d.check?.sound ? 'The farm file is sound.' : d.check ? 'The farm file needs a look: see below.' : ''}`}</p></div></div>${saidLine()}
<section class="sec"><h2>The farm</h2>${farmPart(d)}</section>
${d.farm ? html`<div class="cols even secs"><section class="sec"><h2>People</h2>${d.people.length ? html`<ul class="plainlist">${d.people.map((p) => html`<li><a href=${`/records/person/${p.uid}`}>${name(String(p.fact['name']))}</a> <span class="quiet">${String(p.fact['is'] ?? '')}${p.fact['phone'] ? html`, <a href=${`tel:${String(p.fact['phone']).replace(/[^+0-9]/g, '')}`}>${p.fact['phone']}</a>` : nothing}</span></li>`)}</ul>` : html`<p>Nobody is written down.</p>`}${d.people.length ? html`<div class="field"><label for="me">Who uses this device</label><select id="me" @change=${(e: Event) => { iAm((e.target as HTMLSelectElement).value); redraw(); }}><option value="" ?selected=${!me()}>not said</option>${d.people.map((p) => html`<option value=${String(p.fact['name'])} ?selected=${me() === p.fact['name']}>${p.fact['name']}</option>`)}</select></div>` : nothing}<div class="acts"><a class="btn" href="/records/person">Write a person</a></div></section>
<section class="sec"><h2>Breeds</h2>${d.breeds.length ? html`<table class="says"><caption class="unseen">What is taken for each breed</caption><thead><tr><th scope="col">Breed</th><th scope="col">Longer in pig</th><th scope="col">Hardier by</th></tr></thead><tbody>${d.breeds.map((b) => html`<tr><th scope="row"><a href=${`/records/breed/${b.uid}?edit`}>${name(String(b.fact['name']))}</a></th><td>${tidy(String(b.shown['gestation_shift_d'] ?? 'as usual'))}</td><td>${tidy(String(b.shown['hardy_k'] ?? 'as usual')).replace(/\s*K$/, ' degrees')}</td></tr>`)}</tbody></table>` : html`<p>None is written; every sow is taken as a usual one.</p>`}<div class="acts"><a class="btn" href="/records/breed">Write a breed</a></div></section>
<section class="sec"><h2>Phones and browsers</h2>${devicesView(d.devices, (x) => void act('devices', async () => { await post('/api/devices/end', { device: x.device }); said(html`Signed out: ${name(x.called)}`, []); reload(); }))}${faultAt('devices')}<div class="acts"><a class="btn" href="/phone">Set up a phone</a></div></section>
<section class="sec"><h2>Password</h2>${passwordPart(d)}</section>
<section class="sec"><h2>Backups</h2>${backupPart(d)}</section>
<section class="sec"><h2>What is open</h2>${d.check && d.check.lines.length ? html`<ul class="list facts">${d.check.lines.map((l) => html`<li class="fact">${l.bad ? html`<b>Not sound: </b>` : nothing}${l.bad ? tidy(l.says) : capital(tidy(l.says))}.</li>`)}</ul>` : html`<p>Nothing. The farm file is sound.</p>`}${bad.length ? html`<p class="note"><b>Go back to a backup</b> before more is recorded, or ask somebody who knows the program.</p>` : nothing}<div class="acts">${d.house.held ? html`<a class="btn" href="/held">${plural(d.house.held, 'record')} held</a>` : nothing}${d.house.flags ? html`<a class="btn" href="/records/flags">${plural(d.house.flags, 'odd record')}</a>` : nothing}<a class="btn" href="/records/csv">Tables in and out</a></div></section></div>` : nothing}
<section class="sec"><h2>About</h2><p>leenest ${d.house.version}, page ${d.house.build}. Free software under the GNU General Public Licence, version 3 or later; there is no warranty. It advises; who stands at the gate decides, and the vet and local rules come first.</p><div class="acts"><a class="btn" href="/licences.txt" target="_blank" rel="noopener">Licences of what is inside</a><a class="btn" href="/begin">The first steps</a></div></section>`;
}
export const page: Page<Data> = {
  path: 'settings', title: 'Settings', menu: true, load, view,
  thumb: () => html`<a class="btn" href="/round">To the round</a><a class="btn" href="/phone">Phone</a>`,
  leave() { form = undefined; place = undefined; trouble = undefined; restoring = ''; pass = { now: '', next: '' }; passErrors = {}; if (!location.pathname.startsWith('/settings')) saidNothing(); },
};
