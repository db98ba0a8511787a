// SPDX-License-Identifier: GPL-3.0-or-later
// The place of the farm: typed coordinates or the device's own, drawn on a map of coordinates, said in plain words.
import { html, nothing, type TemplateResult } from 'lit-html';
import { redraw } from '../base/page.ts';
import { fault } from './choose.ts';
import { degreesOf, graticule, latWords, lonWords, placeSays } from './graticule.ts';

export interface PlaceTyped { lat: string; lon: string; errors: { lat?: string; lon?: string }; asking: boolean; says: string }
export const noPlace = (): PlaceTyped => ({ lat: '', lon: '', errors: {}, asking: false, says: '' });

/** The two figures, or undefined with what is wrong under its field. */
export function placeRead(p: PlaceTyped): { lat_deg: number; lon_deg: number } | undefined {
  const lat = degreesOf(p.lat, 'lat'), lon = degreesOf(p.lon, 'lon');
  p.errors = {};
  if (lat === undefined) p.errors.lat = p.lat.trim() ? `“${p.lat.trim()}” is not a latitude. Write it as 54.62 N or 33.9 S: degrees up to 90.` : 'This is needed: how far north or south you are.';
  if (lon === undefined) p.errors.lon = p.lon.trim() ? `“${p.lon.trim()}” is not a longitude. Write it as 2.41 W or 151.2 E: degrees up to 180.` : 'This is needed: how far east or west you are.';
  return lat === undefined || lon === undefined ? undefined : { lat_deg: lat, lon_deg: lon };
}
function here(p: PlaceTyped): void {
  p.asking = true; p.says = ''; redraw();
  navigator.geolocation.getCurrentPosition((g) => {
    p.lat = latWords(Number(g.coords.latitude.toFixed(4))).replace(/ (\w).*/, (_, c: string) => ` ${c.toUpperCase()}`); p.lon = lonWords(Number(g.coords.longitude.toFixed(4))).replace(/ (\w).*/, (_, c: string) => ` ${c.toUpperCase()}`);
    p.errors = {}; p.asking = false; p.says = `Taken from this device, to about ${Math.round(g.coords.accuracy)} m.`; redraw();
  }, (e) => { p.asking = false; p.says = `This device gives no position (${e.message}). Type the figures instead.`; redraw(); }, { enableHighAccuracy: true, timeout: 20000 });
}
export function placeFields(p: PlaceTyped): TemplateResult {
  const lat = degreesOf(p.lat, 'lat'), lon = degreesOf(p.lon, 'lon');
  const typed = (k: 'lat' | 'lon') => (e: Event): void => {
    const v = (e.target as HTMLInputElement).value, pair = /^(.*\d.*?)[,;]\s*(.*\d.*)$/.exec(v);
    if (k === 'lat' && pair && degreesOf(pair[1] ?? '', 'lat') !== undefined && degreesOf(pair[2] ?? '', 'lon') !== undefined && degreesOf(v, 'lat') === undefined) { p.lat = (pair[1] ?? '').trim(); p.lon = (pair[2] ?? '').trim(); } else p[k] = v;
    delete p.errors[k]; redraw();
  };
  return html`<div class="twofields"><div class="field"><label for="lat">Latitude</label><p class="hint" id="lat-h">how far north or south, as 54.62 N; both figures may be pasted here</p><div class="entry"><input id="lat" type="text" autocomplete="off" .value=${p.lat} aria-describedby=${`lat-h${p.errors.lat ? ' lat-e' : ''}`} aria-invalid=${p.errors.lat ? 'true' : nothing} aria-required="true" @input=${typed('lat')}></div>${fault('lat', p.errors.lat)}</div>
<div class="field"><label for="lon">Longitude</label><p class="hint" id="lon-h">how far east or west, as 2.41 W</p><div class="entry"><input id="lon" type="text" autocomplete="off" .value=${p.lon} aria-describedby=${`lon-h${p.errors.lon ? ' lon-e' : ''}`} aria-invalid=${p.errors.lon ? 'true' : nothing} aria-required="true" @input=${typed('lon')}></div>${fault('lon', p.errors.lon)}</div></div>
${'geolocation' in navigator && isSecureContext ? html`<div class="acts"><button type="button" ?disabled=${p.asking} @click=${() => here(p)}>${p.asking ? 'Asking the device' : 'Take it from this device'}</button></div>` : nothing}<p class="small" role="status">${p.says}</p>
<figure class="place">${graticule(lat, lon)}<figcaption>${lat !== undefined && lon !== undefined ? html`<b>${latWords(lat)}, ${lonWords(lon)}.</b> ${placeSays(lat, lon)} Is that so?` : 'Type both figures and your place shows here.'}</figcaption></figure>`;
}
