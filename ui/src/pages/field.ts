// SPDX-License-Identifier: GPL-3.0-or-later
// Field: where a hut should stand and which way it should look; the paddock to scale, drawn and changed here.
import { html, nothing, type TemplateResult } from 'lit-html';
import { go, redraw, reload, type Page, type Place } from '../base/page.ts';
import { record } from '../base/queue.ts';
import { drawn } from '../part/axis.ts';
import { caution } from '../part/caution.ts';
import { dial } from '../part/dial.ts';
import { facingCurve } from '../part/facing_curve.ts';
import { field, keepsOf, type CurveRow, type Field, type Hut } from '../part/field_model.ts';
import { house, iso, nowOf, type House } from '../part/house.ts';
import { layout, plan, toField, type Draft, type Plan, type Pt } from '../part/plan.ts';
import { turn, wrap } from '../part/polar.ts';
import { said, saidLine } from '../part/said.ts';
import { outlineTools, outlineDraft } from '../part/outline.ts';
import { pen, penBody, penClick, penKey, startPen, type PenKind } from '../part/pen.ts';
import { tried, tryNow, tryOut, type What } from '../part/try.ts';
import { beginPage } from '../part/way_on.ts';
import { windsTable } from '../part/winds_table.ts';
import { bearing, clock, coldHours, coldUnit, metres, name, point, tidy, usUnits, weekday, wind } from '../part/words.ts';

interface Data { field: Field; house: House }

// What is being tried, for as long as the page is open: the hut, turned and moved from where it stands.
interface Trial { shelter: string; facing_deg: number; at: Pt | undefined; flap: boolean | undefined; bales: number }
let chosen = '';
let last = ''; // the field looked at last: it stays in sight when it is drawn anew
let trial: Trial | undefined;
let step = 1;

const hutOf = (f: Field): Hut | undefined => f.huts.find((h) => h.name === chosen) ?? f.huts.find((h) => h.worth && !h.leave) ?? f.huts[0];
const trialOf = (h: Hut): Trial => (trial && trial.shelter === h.shelter ? trial : { shelter: h.shelter, facing_deg: h.facing_deg ?? 180, at: h.at, flap: undefined, bales: 0 });
const turned = (h: Hut, t: Trial): boolean => h.facing_deg === undefined || Math.abs(turn(h.facing_deg, t.facing_deg)) > 0.5;
const moved = (h: Hut, t: Trial): boolean => t.at !== undefined && (h.at === undefined || Math.hypot(t.at.x - h.at.x, t.at.y - h.at.y) > 0.2);
const whatOf = (h: Hut, t: Trial): What | undefined => (turned(h, t) || moved(h, t) || t.flap !== undefined || t.bales > 0 ? { shelter: h.name, facing_deg: turned(h, t) ? t.facing_deg : undefined, at: moved(h, t) ? t.at : undefined, flap: t.flap, bales: t.bales } : undefined);
const here = (address: string): string => '/field' + (address ? '/' + encodeURIComponent(address) : '');

function rowAt(f: Field, deg: number): CurveRow | undefined {
  return f.curve.reduce<CurveRow | undefined>((best, q) => (!best || Math.abs(turn(q.facing_deg, deg)) < Math.abs(turn(best.facing_deg, deg)) ? q : best), undefined);
}
const isGood = (f: Field, deg: number): boolean => f.hardly || f.arcs.some((a) => wrap(deg - a.from_deg) <= wrap(a.to_deg - a.from_deg) + 0.5);
const arcWords = (f: Field): string => f.arcs.map((a) => (Math.abs(turn(a.from_deg, a.to_deg)) < 1 ? `near ${Math.round(a.from_deg)}°` : `from ${Math.round(a.from_deg)}° to ${Math.round(a.to_deg)}°`)).join(', or ');

function set(h: Hut, change: Partial<Trial>): void {
  const t = trialOf(h);
  trial = { ...t, ...change, facing_deg: wrap(Math.round(change.facing_deg ?? t.facing_deg)) };
  chosen = h.name;
  const w = whatOf(h, trial);
  if (w) tryOut(w); else tried.clear();
  redraw();
}
function choose(n: string): void { chosen = n; trial = undefined; tried.clear(); redraw(); }

/* ---- the sentence and the job */

function sentence(f: Field, h: Hut | undefined): TemplateResult {
  if (f.waits?.busy) return html`<p class="facingwaits" role="status">Which way is best here is <b>being reckoned</b> from the past winters. Plan and sun stand already.</p>`;
  if (f.waits) return html`<p>Which way is best here <b>could not be asked</b>: ${tidy(f.waits.says)} Plan and sun stand all the same.</p>`;
  if (f.best_deg === undefined) return html`<p>Which way is best here is <b>not known yet</b>: past winters tell it, and none is in the farm file. Plan and sun stand all the same.</p>`;
  if (f.hardly) return html`<p>Here it <b>hardly matters</b> which way ${h ? name(h.name) : 'a hut'} looks. Choose what is handy at the gate.</p>`;
  const two = f.arcs.length > 1 ? html`Two ways are as good: ${arcWords(f)}.` : html`Anything ${arcWords(f)} is about as good.`;
  const now = !h ? '' : h.facing_deg === undefined ? html` Which way ${name(h.name)} looks is not written down.` : isGood(f, h.facing_deg) ? html` ${name(h.name)} looks ${bearing(h.facing_deg)}: well.` : html` ${name(h.name)} now looks ${bearing(h.facing_deg)}.`;
  return html`<p>Best looks <b>${bearing(f.best_deg)}</b>. ${two}${now}</p>`;
}

/** The bearing at the gate: by compass, and where the sun stands then. */
function byHand(f: Field, to: number): TemplateResult {
  const d = f.declination_deg, compass = d === null ? undefined : Math.round(wrap(to - d));
  const best = f.best_deg !== undefined && Math.abs(turn(to, f.best_deg)) < 1, when = (t: string): string => `${clock(t)} ${weekday(t, true)}`;
  const b = f.beside, by = b ? Math.round(turn(b.sun_deg, to)) : 0;
  const sun = best && f.stands_there ? html`The sun stands there at ${when(f.stands_there)}.` : best && f.shadow_there ? html`The shadow of a post points there at ${when(f.shadow_there)}.`
    : b && b.at ? html`By the sun: at ${b.when}, ${when(b.at)}, face it${Math.abs(by) < 2 ? '' : ` and turn ${Math.abs(by)}° to the ${by < 0 ? 'left' : 'right'}`}.` : nothing;
  return html`${compass === undefined ? html`How far a compass is out here is not written down: <a href="/records/farm">write the declination</a>.` : html`By compass: <b>${compass}°</b>${d !== null && Math.abs(d) >= 1 ? ` (a compass here reads ${Math.abs(Math.round(d))}° too ${d > 0 ? 'little' : 'much'})` : ''}.`} ${sun}`;
}
function job(f: Field, h: Hut | undefined): TemplateResult | typeof nothing {
  if (f.waits) return f.waits.busy ? nothing : html`<div class="note"><p>The facing is missing here.</p><div class="acts"><button type="button" @click=${reload}>Ask again</button></div></div>`;
  if (f.best_deg === undefined) return html`<div class="note"><p><b>Bring in past hours of weather.</b> One winter of a station near by is enough to begin; ten are better. Then the dial has its black line and its straw rim.</p><div class="acts pageacts"><a class="btn do" href="/weather#bring">Bring in past weather</a></div>${f.no_facing ? html`<p class="small">${tidy(f.no_facing)}</p>` : nothing}</div>`;
  const to = h?.turn_to_deg !== undefined && !f.hardly ? h.turn_to_deg : f.best_deg;
  if (h?.leave) return html`<div class="note"><p><b>Leave ${name(h.name)} as it stands.</b> ${tidy(h.leave)}</p><p>${f.hardly || (h.facing_deg !== undefined && isGood(f, h.facing_deg)) ? nothing : html`Afterwards it would look better ${bearing(to)}. ${byHand(f, to)}`}</p></div>`;
  if (!h || !h.worth || f.hardly) return html`<div class="note"><p>${h?.says ? html`<b>${name(h.name)}:</b> ${tidy(h.says)}` : html`<b>Set a hut to ${bearing(f.best_deg)}.</b>`}</p><p>${byHand(f, to)}</p></div>`;
  return html`<div class="job"><p class="by">set it<b>${Math.round(to)}°</b>true</p><div><p class="what">Turn ${name(h.name)} until its opening looks ${bearing(to)}.</p><p class="what2">${byHand(f, to)}</p><p class="what2">${tidy(h.says)}${f.best_deg !== undefined && Math.abs(turn(to, f.best_deg)) >= 1 ? html` <span class="screen">${Math.round(to)}° is the nearest of the good ways.</span>` : nothing} Then tie it down.</p></div></div>`;
}

/* ---- turning and moving */

function keyTurn(h: Hut, f: Field, e: KeyboardEvent): void {
  const t = trialOf(h), by: Record<string, number> = { ArrowRight: 5, ArrowUp: 5, ArrowLeft: -5, ArrowDown: -5, PageUp: 45, PageDown: -45 };
  const step = e.shiftKey ? 1 : undefined, d = by[e.key];
  if (d !== undefined) set(h, { facing_deg: t.facing_deg + (step !== undefined ? Math.sign(d) * step : d) });
  else if (e.key === 'Home' && f.best_deg !== undefined) set(h, { facing_deg: f.best_deg });
  else if (e.key === 'End' && h.facing_deg !== undefined) set(h, { facing_deg: h.facing_deg });
  else return;
  e.preventDefault();
}
function pointDial(h: Hut, e: PointerEvent | MouseEvent): void {
  const box = (e.currentTarget as Element).querySelector('svg')!.getBoundingClientRect();
  const x = e.clientX - box.left - box.width / 2, y = e.clientY - box.top - box.height / 2;
  if (Math.hypot(x, y) < 12) return;
  set(h, { facing_deg: Math.round(wrap((Math.atan2(x, -y) * 180) / Math.PI) / 5) * 5 });
}
function dialBox(f: Field, h: Hut | undefined): TemplateResult {
  const t = h ? trialOf(h) : undefined;
  const d = { curve: f.curve.map((q) => ({ facing_deg: q.facing_deg, cold: q.cold })), arcs: f.arcs, best_deg: f.best_deg, hardly: f.hardly, now_deg: h?.facing_deg, try_deg: h && t && turned(h, t) ? t.facing_deg : undefined, rose: f.rose, sun: f.sun };
  const says = `${f.waits?.busy ? 'The best facing is being reckoned.' : f.best_deg === undefined ? 'No facing reckoned.' : `Best ${Math.round(f.best_deg)} degrees; ${f.hardly ? 'it hardly matters' : 'good ' + arcWords(f)}; worst ${Math.round(f.worst_deg ?? 0)}.`}${h?.facing_deg !== undefined ? ` Now ${Math.round(h.facing_deg)}.` : ''}`;
  const pic = html`<svg class="full" viewBox="0 0 420 420" role="img" aria-label=${`Facing dial. ${says}`}>${dial(d)}</svg>`;
  return html`<div class="dial">${h && t ? html`<div class="turner" role="slider" tabindex="0" aria-label=${`Which way ${h.name} looks`} aria-valuemin="0" aria-valuemax="359" aria-valuenow=${Math.round(t.facing_deg)} aria-valuetext=${`${bearing(t.facing_deg)}. ${says}`} aria-describedby="dialhow" @keydown=${(e: KeyboardEvent) => keyTurn(h, f, e)}
 @click=${(e: MouseEvent) => pointDial(h, e)} @pointermove=${(e: PointerEvent) => { if (e.buttons === 1 && e.pointerType === 'mouse') pointDial(h, e); }}><svg class="full" viewBox="0 0 420 420" aria-hidden="true">${dial(d)}</svg></div>` : pic}</div>`;
}
const pad = (label: string, words: string | TemplateResult, press: () => void, how = ''): TemplateResult => html`<button type="button" class=${`padbtn ${how}`} aria-label=${label} @click=${press}>${words}</button>`;

function hands(f: Field, h: Hut, d: Data): TemplateResult {
  const t = trialOf(h), tu = turned(h, t), mo = moved(h, t);
  const shift = (x: number, y: number): void => { const at = t.at ?? middle(f); set(h, { at: { x: Math.round((at.x + x * step) * 10) / 10, y: Math.round((at.y + y * step) * 10) / 10 } }); };
  return html`<section class="hands" aria-label="Try it another way">
<h2 class="unseen">Try it another way</h2>
<div class="turning">${pad('Turn 45 degrees to the left', '↺ 45°', () => set(h, { facing_deg: t.facing_deg - 45 }))}${pad('Turn 5 degrees to the left', '↺ 5°', () => set(h, { facing_deg: t.facing_deg - 5 }))}<output class="big" aria-label="Looks">${Math.round(t.facing_deg)}°<small>${point(t.facing_deg)}</small></output>${pad('Turn 5 degrees to the right', '↻ 5°', () => set(h, { facing_deg: t.facing_deg + 5 }))}${pad('Turn 45 degrees to the right', '↻ 45°', () => set(h, { facing_deg: t.facing_deg + 45 }))}</div>
<div class="acts whatifs">${h.flap_possible ? html`<button type="button" aria-pressed=${t.flap !== undefined} @click=${() => set(h, { flap: t.flap === undefined ? !h.flap : undefined })}>${h.flap ? 'Flap taken off' : 'Flap hung'}</button>` : nothing}<button type="button" aria-pressed=${t.bales === 0.5} @click=${() => set(h, { bales: t.bales === 0.5 ? 0 : 0.5 })}>Half a bale in</button><button type="button" aria-pressed=${t.bales === 1} @click=${() => set(h, { bales: t.bales === 1 ? 0 : 1 })}>A bale in</button></div>
${answerLine(f, h, t)}
${h.leave && (tu || mo) ? html`<p class="fault"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span><b>Not now.</b> ${tidy(h.leave)}</span></p>` : nothing}
<div class="acts">${tu && !mo ? html`<button type="button" class="do" @click=${() => void placed(d, h, t, false)}>Hut is turned to ${Math.round(t.facing_deg)}°</button>` : nothing}${mo ? html`<button type="button" class="do" @click=${() => void placed(d, h, t, true)}>Hut stands here now</button>` : nothing}${f.best_deg !== undefined && !f.hardly && Math.abs(turn(t.facing_deg, h.turn_to_deg ?? f.best_deg)) > 1 ? html`<button type="button" @click=${() => set(h, { facing_deg: h.turn_to_deg ?? f.best_deg! })}>Try ${Math.round(h.turn_to_deg ?? f.best_deg)}°</button>` : nothing}${whatOf(h, t) ? html`<button type="button" @click=${() => { trial = undefined; tried.clear(); redraw(); }}>As it stands</button>` : nothing}</div>
${saidLine()}
<details class="mover"><summary>Move it on the plan</summary><div class="cross">${pad(`North ${metres(step)}`, 'N', () => shift(0, 1), 'n')}${pad(`West ${metres(step)}`, 'W', () => shift(-1, 0), 'w')}<span class="mid small">${metres(step)} a press</span>${pad(`East ${metres(step)}`, 'E', () => shift(1, 0), 'e')}${pad(`South ${metres(step)}`, 'S', () => shift(0, -1), 's')}</div>
<div class="acts">${[1, 5, 20].map((s) => html`<button type="button" aria-pressed=${step === s} @click=${() => { step = s; redraw(); }}>${metres(s)} a press</button>`)}</div></details></section>`;
}
function middle(f: Field): Pt {
  const c = f.outline.length ? f.outline : [{ x: 0, y: 0 }];
  return { x: Math.round(c.reduce((s, p) => s + p.x, 0) / c.length), y: Math.round(c.reduce((s, p) => s + p.y, 0) / c.length) };
}
function answerLine(f: Field, h: Hut, t: Trial): TemplateResult {
  const was = h.facing_deg === undefined ? undefined : rowAt(f, h.facing_deg), is = rowAt(f, t.facing_deg);
  return html`<div class="tryline" role="status" aria-live="polite">${tryNow(whatOf(h, t))}${turned(h, t) && was && is ? html`<p class="small">Whole winters: ${coldHours(is.cold)} ${coldUnit()} of cold a day this way, ${coldHours(was.cold)} as it looks now.</p>` : nothing}</div>`;
}

async function placed(d: Data, h: Hut, t: Trial, away: boolean): Promise<void> {
  const f = d.field;
  try {
    const fact = { shelter: h.shelter, from: iso(nowOf(d.house)), facing_deg: t.facing_deg, ...(f.paddock ? { paddock: f.paddock.uid } : {}), ...(t.at ? { x_m: t.at.x, y_m: t.at.y } : {}), ...(await keepsOf(h, away)) };
    const r = await record('placement', fact);
    said(away ? html`${name(h.name)} stands here now, looking ${bearing(t.facing_deg)}. The straw stayed behind: <a href="/records/bedding">write what was put in</a>.` : html`${name(h.name)} is turned to ${bearing(t.facing_deg)}.`, [r], reload);
    chosen = h.name;
    trial = undefined;
    tried.clear();
    reload();
  } catch (e) {
    said(html`Not recorded: ${e instanceof Error ? e.message : String(e)}`, []);
    redraw();
  }
}

/* ---- the plan */

function planOf(f: Field, h: Hut | undefined): Plan {
  const t = h ? trialOf(h) : undefined, p = pen(), o = outlineDraft();
  const draft: Draft | undefined = o ? { points: o, closes: true, cursor: undefined } : p ? { points: p.points, closes: p.kind === 'wet' || p.kind === 'outline', cursor: p.cursor } : undefined;
  return {
    outline: f.outline, breaks: f.breaks, marks: f.marks,
    beds: f.beds.filter((q) => q.at).map((q) => ({ name: q.name, at: q.at! })),
    huts: f.huts.filter((q) => q.at).map((q) => ({ uid: q.name, name: q.name, who: q.who, at: q.at!, facing_deg: q.facing_deg, length_m: q.length_m, width_m: q.width_m, chosen: q === h })),
    ghost: h && t?.at && (turned(h, t) || moved(h, t)) ? { at: t.at, facing_deg: t.facing_deg, length_m: h.length_m, width_m: h.width_m } : undefined,
    spots: f.spots.map((s, i) => ({ at: s.at, label: String.fromCharCode(65 + i) })),
    lee: f.lee, rose: f.rose, sun: f.sun, wind: f.night ? { from_deg: f.night.from_deg, mps: f.night.mps, says: `${point(f.night.from_deg)}, ${wind(f.night.mps)}` } : undefined, draft, feet: usUnits(),
  };
}
function planSays(f: Field): string {
  const xs = f.outline.map((p) => p.x), ys = f.outline.map((p) => p.y);
  const size = f.outline.length ? `${metres(Math.max(...xs) - Math.min(...xs))} by ${metres(Math.max(...ys) - Math.min(...ys))}. ` : 'No outline yet. ';
  return `Plan of ${f.paddock?.name ?? 'the field'}, to scale, north up: ${size}${f.breaks.length ? `Windbreaks: ${f.breaks.map((b) => b.says).join('; ')}. ` : ''}${f.marks.map((m) => m.says).join(', ')}${f.marks.length ? '. ' : ''}Huts: ${f.huts.filter((q) => q.at).map((q) => q.name).join(', ') || 'none'}.`;
}
let dragged = false;
function planBox(f: Field, h: Hut | undefined): TemplateResult {
  const p = planOf(f, h);
  return html`<figure class="fig planfig"><h2 class="unseen">Plan</h2>${drawn('plan', (w) => {
    const l = layout(p, w, Math.max(280, Math.min(w * 0.8, 620)));
    const spot = (e: PointerEvent | MouseEvent): Pt => { const box = (e.currentTarget as Element).getBoundingClientRect(); return toField(l, ((e.clientX - box.left) / box.width) * l.w, ((e.clientY - box.top) / box.height) * l.h); };
    return html`<div class="planbox" tabindex="0" role="group" aria-label=${pen() ? 'Plan: arrow keys move the cross, Enter sets a corner' : h ? `Plan: arrow keys move ${h.name}` : 'Plan'} @keydown=${(e: KeyboardEvent) => planKey(f, h, e)}
 @click=${(e: MouseEvent) => { if (dragged) { dragged = false; return; } if (pen()) { penClick(spot(e)); return; } const n = (e.target as Element).getAttribute('data-hut'); if (n) choose(n); }}
 @pointermove=${(e: PointerEvent) => { if (e.buttons !== 1 || e.pointerType !== 'mouse' || pen() || !h?.at) return; const q = spot(e), t = trialOf(h); if (!dragged && Math.hypot(q.x - t.at!.x, q.y - t.at!.y) * l.k > 26) return; dragged = true; set(h, { at: { x: Math.round(q.x * 2) / 2, y: Math.round(q.y * 2) / 2 } }); }}>
<svg class="full" viewBox=${`0 0 ${w} ${Math.round(l.h)}`} role="img" aria-label=${planSays(f)}>${plan(p, l)}</svg></div>`;
  })}${onPaper(p)}<figcaption class="small">To scale, north up. Black tip: the way the opening looks. Straw ring: the hut asked about.${f.lee ? ' Pale ground: a quarter of the winter wind or more is kept off; palest: half or more.' : ''} Waves: wet ground. At the top: the wind of the night to come; under N where the winter wind comes from, round it the sun by day.</figcaption></figure>`;
}
/** For the printer at the width of the sheet: drawings keep the size of their words there too. */
function onPaper(p: Plan): TemplateResult {
  const l = layout({ ...p, ghost: undefined, draft: undefined }, 690, 420);
  return html`<div class="paper" aria-hidden="true"><svg class="full" viewBox=${`0 0 690 ${Math.round(l.h)}`}>${plan({ ...p, ghost: undefined, draft: undefined }, l)}</svg></div>`;
}
function planKey(f: Field, h: Hut | undefined, e: KeyboardEvent): void {
  const way: Record<string, [number, number]> = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };
  const d = way[e.key];
  if (pen()) { if (penKey(e)) e.preventDefault(); return; }
  if (!h || !d) return;
  const by = e.shiftKey ? 5 : 1, at = trialOf(h).at ?? middle(f);
  set(h, { at: { x: at.x + d[0] * by, y: at.y + d[1] * by } });
  e.preventDefault();
}

/* ---- why */

function why(f: Field, h: Hut | undefined): TemplateResult {
  if (f.curve.length < 3 || f.best_deg === undefined) return html``;
  const best = rowAt(f, f.best_deg)!, worst = rowAt(f, f.worst_deg ?? f.best_deg)!, now = h?.facing_deg === undefined ? undefined : rowAt(f, h.facing_deg);
  const line = (label: string, of: (r: CurveRow) => string): TemplateResult => html`<tr><th scope="row">${label}</th>${now ? html`<td class="n">${of(now)}</td>` : nothing}<td class="n">${of(best)}</td><td class="n">${of(worst)}</td></tr>`;
  const rain = (mm: number): string => (usUnits() ? `${(mm / 25.4).toFixed(1)} in` : `${Math.round(mm)} mm`);
  const breeze = (v: number): string => (usUnits() ? `${(v / 0.44704).toFixed(1)} mph` : `${v.toFixed(1)} m/s`);
  return html`<section class="sec"><h2>Why</h2><div class="cols even"><div>${drawn('curve', (w) => html`<svg class="full" viewBox="0 0 ${w} 190" role="img" aria-label=${`Cold at the nest by the way the opening looks: least at ${Math.round(f.best_deg!)} degrees, most at ${Math.round(f.worst_deg ?? 0)}. The figures stand in the table.`}>${facingCurve({ rows: f.curve, arcs: f.arcs, best_deg: f.best_deg, worst_deg: f.worst_deg, now_deg: h?.facing_deg, hardly: f.hardly }, w)}</svg>`)}
<p class="small">${coldUnit()} a day short of comfort at the nest, as a wet newborn feels it: mean of ${f.months}, ${f.seasons} winters, for each way the opening can look.<span class="screen"> From: ${f.sources.join(', ')}.</span></p></div>
<div><table><caption class="unseen">What wind, rain and sun do</caption><thead><tr><th scope="col">${h ? name(h.name) : 'a hut'}</th>${now ? html`<th scope="col" class="n">as it stands, ${Math.round(h!.facing_deg!)}°</th>` : nothing}<th scope="col" class="n">best, ${Math.round(f.best_deg)}°</th><th scope="col" class="n">worst, ${Math.round(f.worst_deg ?? 0)}°</th></tr></thead><tbody>
${line(`Cold, ${coldUnit()} a day`, (r) => coldHours(r.cold))}${line('Wind in at the door, mean', (r) => breeze(r.wind_mps))}${line('Rain in at the door, a winter', (r) => rain(r.rain_mm))}${line('Sun on the bedding, kWh/m² a day', (r) => r.sun.toFixed(2))}${line('Of that before noon', (r) => r.morning.toFixed(2))}</tbody></table>
${f.parts ? html`<p class="small">Of the ${coldHours(f.parts.all)} ${coldUnit()} between best and worst, wind makes ${coldHours(f.parts.wind)}, rain ${coldHours(f.parts.rain)}, sun ${coldHours(f.parts.sun)}. Minus: it would have the hut look the other way. <span class="screen">They overlap, so they need not add up.</span></p>` : nothing}
<details><summary>Every facing in figures</summary><table><caption class="unseen">Cold, wind, rain and sun for each facing</caption><thead><tr><th scope="col">Looks</th><th scope="col" class="n">Cold, ${coldUnit()} a day</th><th scope="col" class="n">Wind</th><th scope="col" class="n">Rain a winter</th><th scope="col" class="n">Sun, kWh/m² a day</th></tr></thead><tbody>${f.curve.filter((r) => r.facing_deg % 15 === 0).map((r) => html`<tr><th scope="row">${bearing(r.facing_deg)}</th><td class="n">${coldHours(r.cold)}</td><td class="n">${breeze(r.wind_mps)}</td><td class="n">${rain(r.rain_mm)}</td><td class="n">${r.sun.toFixed(2)}</td></tr>`)}</tbody></table></details></div></div></section>`;
}

/* ---- all of it */

function chooser(f: Field, h: Hut | undefined): TemplateResult {
  return html`<div class="pickers"><label>Field <select @change=${(e: Event) => { choose(''); go(here((e.target as HTMLSelectElement).value)); }}>${f.paddocks.map((p) => html`<option value=${p.name} ?selected=${p.uid === f.paddock?.uid}>${p.name}</option>`)}</select></label>
${f.huts.length ? html`<label>Hut <select @change=${(e: Event) => choose((e.target as HTMLSelectElement).value)}>${f.huts.map((q) => html`<option value=${q.name} ?selected=${q === h}>${q.name}</option>`)}</select></label>` : nothing}</div>`;
}
function spots(f: Field): TemplateResult {
  if (!f.spots.length) return html``;
  return html`<section class="sec"><h2>Where the next hut could stand</h2><ol class="spots">${f.spots.map((s, i) => html`<li><b class="spotmark" aria-hidden="true">${String.fromCharCode(65 + i)}</b><div><p><b>${tidy(s.says)}</b></p>${s.reasons.length ? html`<ul class="plainlist">${s.reasons.map((r) => html`<li>${tidy(r)}</li>`)}</ul>` : nothing}
<div class="acts">${hutOf(f) && !hutOf(f)!.leave ? html`<button type="button" @click=${() => { const q = hutOf(f); if (q) set(q, { at: s.at, ...(f.best_deg !== undefined && !f.hardly ? { facing_deg: f.best_deg } : {}) }); document.querySelector('.planbox')?.scrollIntoView({ block: 'center' }); }}>Try ${hutOf(f)?.name ?? 'a hut'} here</button>` : nothing}</div></div></li>`)}</ol></section>`;
}
function drawTools(d: Data): TemplateResult {
  const f = d.field, kinds: [PenKind, string][] = [['hedge', 'Add a hedge or wall'], ['wet', 'Add a wet place'], ['water', 'Add water'], ['gateway', 'Add a gateway'], ['tree', 'Add a tree'], ['hut', 'Put a hut here']];
  return html`<section class="sec screen" id="draw"><h2>Draw on the plan</h2>${pen() ? penBody(f, nowOf(d.house)) : html`<div class="acts">${kinds.map(([k, words]) => html`<button type="button" @click=${() => startPen(k, f)}>${words}</button>`)}</div>`}
${f.unplaced.length ? html`<p class="small">Not on the plan yet: ${f.unplaced.map((b, i) => html`${i ? ', ' : ''}<a href=${`/records/windbreak/${b.uid}`}>${b.name}</a>`)}. Press its two ends with <b>Add a hedge or wall</b> and call it by the same name, or write its ends there.</p>` : nothing}
${outlineTools(f)}</section>`;
}

export const page: Page<Data> = {
  path: 'field', title: 'Field', menu: true,
  async load(place: Place): Promise<Data> {
    const h = await house();
    const f = await field(place.rest || last), d: Data = { house: h, field: f.now };
    last = f.now.paddock?.name ?? '';
    void f.later?.then((whole) => { d.field = whole; redraw(); });
    return d;
  },
  view(d: Data): TemplateResult {
    const f = d.field, h = hutOf(f);
    if (d.house.farm === null) return beginPage('Field');
    if (!f.paddock) return html`<div class="lead"><h1>Field</h1><p>No field is written down yet. Give it a name, then walk its corners with the phone, or type their lengths.</p></div><div class="acts pageacts"><a class="btn do" href="/records/paddock">Write a field</a></div>`;
    return html`<div class="fieldpage"><div class="lead"><div><h1>${name(f.paddock.name)}${h ? html`: where ${name(h.name)} stands and looks` : nothing}</h1>${sentence(f, h)}</div></div>
${chooser(f, h)}
<div class="cols two flip"><div class="fig now-side">${job(f, h)}${dialBox(f, h)}${h ? hands(f, h, d) : saidLine()}
<ul class="dialkey list small screen" id="dialhow"><li><b>Black line</b>: cold at the nest for each way it can look. Far out is cold; pinched in is good.</li><li><b>Straw rim</b>: good ways. <b>Straw needle</b>: the best. <b>Dashes</b>: as it stands now.</li><li><b>Grey blades</b>: how often the wind comes from there. <b>Dots outside</b>: where the sun stands, by the hour.</li>${h ? html`<li>By keys: the dial turns with the arrow keys by 5°, with Shift by 1°, Page up and down by 45°, Home for the best.</li>` : nothing}</ul></div>
<div class="planside">${f.outline.length < 3 ? html`<div class="note"><p><b>No outline yet.</b> Walk the corners with the phone, or type their lengths, under <a href="#draw">Draw on the plan</a>.</p></div>` : nothing}${planBox(f, h)}${windsTable(f.rose, f.calm, f.sun, f.night ? `${bearing(f.night.from_deg)}, ${wind(f.night.mps)}` : undefined)}</div></div>
${why(f, h)}${spots(f)}${drawTools(d)}
<section class="sec screen"><details><summary>What this rests on</summary><ul>${f.assumed.map((a) => html`<li>${tidy(a)}</li>`)}</ul></details>${f.record.length ? html`<h3>To make it surer</h3><ul class="plainlist">${f.record.map((r) => html`<li>${tidy(r)}</li>`)}</ul>` : nothing}</section>
${caution([...f.cautions, 'Shift a hut with the sow out of it and behind a fence, the fence switched off first. Lift with the legs.'])}</div>`;
  },
  thumb(d: Data): TemplateResult {
    const h = hutOf(d.field), t = h ? trialOf(h) : undefined;
    if (h && t && moved(h, t)) return html`<button class="do" @click=${() => void placed(d, h, t, true)}>Hut stands here</button><button @click=${() => { trial = undefined; tried.clear(); redraw(); }}>As it was</button>`;
    if (h && t && turned(h, t)) return html`<button class="do" @click=${() => void placed(d, h, t, false)}>Hut is turned</button><button @click=${() => { trial = undefined; tried.clear(); redraw(); }}>As it was</button>`;
    if (h && d.field.best_deg !== undefined && !h.leave) return html`<button class="do" @click=${() => set(h, { facing_deg: h.turn_to_deg ?? d.field.best_deg! })}>Try ${Math.round(wrap(h.turn_to_deg ?? d.field.best_deg))}°</button><a class="btn" href="#draw">Draw</a>`;
    return html`<a class="btn do" href="#draw">Draw</a><button @click=${() => print()}>Print</button>`;
  },
  leave(): void { trial = undefined; last = ''; tried.clear(); },
};
