// SPDX-License-Identifier: GPL-3.0-or-later
// Where on the earth: a small map of coordinates, drawn from nothing but coordinates, so that a wrong sign or swapped
// figures are seen at once. No map of any country, nothing fetched.
import { html, svg, type SVGTemplateResult, type TemplateResult } from 'lit-html';
import { far } from './words.ts';

/** "54.62", "54.62 N", "-2.41", "54 37 12 N", "54°37.2'N"; decimal commas too. undefined: not an angle of that kind. */
export function degreesOf(text: string, kind: 'lat' | 'lon'): number | undefined {
  const t = text.trim().replace(/[−–]/g, '-').replace(/(\d),(\d)/g, '$1.$2').toUpperCase();
  const m = /^([NSEW])?\s*([+-])?\s*(\d{1,3}(?:\.\d+)?)\s*(?:°|D|DEG)?\s*(?:(\d{1,2}(?:\.\d+)?)\s*['′]?\s*(?:(\d{1,2}(?:\.\d+)?)\s*(?:"|″|'')?)?)?\s*([NSEW])?$/.exec(t);
  if (!m) return undefined;
  const side = m[1] ?? m[6];
  if (m[1] && m[6]) return undefined;
  if (side && m[2]) return undefined; // "-54 S": which?
  if (side && (kind === 'lat' ? !'NS'.includes(side) : !'EW'.includes(side))) return undefined;
  if (Number(m[4] ?? 0) >= 60 || Number(m[5] ?? 0) >= 60) return undefined;
  const v = Number(m[3]) + Number(m[4] ?? 0) / 60 + Number(m[5] ?? 0) / 3600;
  const signed = m[2] === '-' || side === 'S' || side === 'W' ? -v : v;
  return Math.abs(signed) <= (kind === 'lat' ? 90 : 180) ? signed : undefined;
}
const side = (v: number, plus: string, minus: string): string => (v >= 0 ? plus : minus);
const trim = (v: number): string => String(Math.round(Math.abs(v) * 1e4) / 1e4);
export const latWords = (lat: number): string => `${trim(lat)}° ${side(lat, 'north', 'south')}`;
export const lonWords = (lon: number): string => `${trim(lon)}° ${side(lon, 'east', 'west')}`;

/** What those coordinates mean, to be checked by anyone who lives there. */
export function placeSays(lat: number, lon: number): string {
  const half = Math.abs(lat) < 0.05 ? 'On the equator' : `${far(Math.abs(lat) * 111.2)} ${side(lat, 'north', 'south')} of the equator`;
  const clockAt = Math.round(Math.abs(lon) / 15);
  const noon = Math.abs(lat) < 23.5 ? 'The noon sun stands north in one season and south in the other.' : `The noon sun stands ${side(lat, 'south', 'north')}, and midwinter is in ${side(lat, 'December', 'June')}.`;
  return `${half}, ${Math.abs(lon) < 0.05 ? 'on the line of Greenwich' : `${trim(lon)}° ${side(lon, 'east', 'west')} of Greenwich`}: by the sun about ${clockAt === 0 ? 'the same hour as there' : `${clockAt} ${clockAt === 1 ? 'hour' : 'hours'} ${side(lon, 'before', 'behind')} it`}. ${noon}`;
}

export function graticule(lat: number | undefined, lon: number | undefined): TemplateResult {
  const W = 360, H = 190, x = (l: number): number => Math.round((l + 180) * 10) / 10, y = (l: number): number => 5 + 90 - l;
  const meridians = [-150, -120, -90, -60, -30, 0, 30, 60, 90, 120, 150], parallels = [-60, -30, 0, 30, 60];
  const word = (text: string, at: [number, number], end = false): SVGTemplateResult => svg`<text class=${end ? 'end halo' : 'halo'} x=${at[0]} y=${at[1]}>${text}</text>`;
  const dot = lat !== undefined && lon !== undefined ? svg`<path class="l-ink w15 dash" d=${`M${x(lon)} 5V185M0 ${y(lat)}H360`}/><circle class="f-straw l-ink w2" cx=${x(lon)} cy=${y(lat)} r="6"/>` : '';
  const label = lat !== undefined && lon !== undefined ? `A map of coordinates with your place at ${latWords(lat)}, ${lonWords(lon)}. ${placeSays(lat, lon)}` : 'A map of coordinates, with no place marked yet.';
  return html`<svg class="graticule" viewBox="0 0 ${W} ${H}" role="img" aria-label=${label}><rect class="f-panel l-edge w15" x="0.5" y="5" width="359" height="180"/><rect class="f-night" x="1" y="95" width="358" height="89.5"/>
${meridians.map((l) => svg`<path class=${l === 0 ? 'l-ink w2' : 'l-rule w1'} d=${`M${x(l)} 5V185`}/>`)}${parallels.map((l) => svg`<path class=${l === 0 ? 'l-ink w2' : 'l-rule w1'} d=${`M0 ${y(l)}H360`}/>`)}
${word('north', [6, 20])}${word('south', [6, 180])}${word('west', [174, 180], true)}${word('east', [354, 180], true)}${dot}</svg>`;
}
