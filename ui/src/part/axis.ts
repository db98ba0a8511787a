// SPDX-License-Identifier: GPL-3.0-or-later
// Axis: one row of hours for everything drawn on a page, left to right, from now; redrawn at the width it has, never stretched.
import { html, nothing, svg, type SVGTemplateResult, type TemplateResult } from 'lit-html';
import { directive } from 'lit-html/directive.js';
import { AsyncDirective } from 'lit-html/async-directive.js';
import { ref } from 'lit-html/directives/ref.js';
import { hourOfDay, weekday } from './words.ts';

export interface Axis {
  w: number; // of the drawing, px
  span: number; // hours
  from: number; // moment of hour 0, ms
  now: number; // hours from there to now
  k: number; // size of text against 16 px
  x(h: number): number;
  px: number; // of one hour
  moment(h: number): number;
  hour(t: string | number): number;
}

export const r1 = (x: number): number => Math.round(x * 10) / 10;

export function axis(w: number, span: number, from: string, at: string, k = textScale()): Axis {
  const pad = 5, t0 = Date.parse(from), px = (w - 2 * pad) / span;
  return { w, span, from: t0, now: Math.max(0, (Date.parse(at) - t0) / 3600e3), k, px,
    x: (h) => r1(pad + h * px), moment: (h) => t0 + h * 3600e3, hour: (t) => ((typeof t === 'number' ? t : Date.parse(t)) - t0) / 3600e3 };
}

/** How large the reader has set text: 1 at 16 px. */
export function textScale(): number {
  return (parseFloat(getComputedStyle(document.documentElement).fontSize) || 16) / 16;
}
/** Phone 42 hours (two whole nights), wider screens 72. */
export const spanFor = (w: number): number => (w < 560 ? 42 : 72);

/* ---- widths */

const last = new Map<string, number>();
class Drawn extends AsyncDirective {
  private watch: ResizeObserver | undefined;
  private at: Element | undefined;
  private w = 0;
  private key = '';
  private draw: (w: number) => unknown = () => nothing;

  private readonly meet = (e: Element | undefined): void => {
    this.watch?.disconnect();
    this.at = e;
    if (!e) return;
    this.watch = new ResizeObserver(() => this.fit());
    this.watch.observe(e);
  };
  private fit(): void {
    const w = Math.floor(this.at?.getBoundingClientRect().width ?? 0);
    if (w < 40 || w === this.w) return; // not laid out, or as it was
    this.w = w;
    last.set(this.key, w);
    this.setValue(this.body());
  }
  private body(): TemplateResult { return html`<div class="drawn" ${ref(this.meet)}>${this.draw(this.w)}</div>`; }
  render(key: string, draw: (w: number) => unknown): TemplateResult {
    this.key = key;
    this.draw = draw;
    this.w ||= last.get(key) ?? Math.min(390, innerWidth);
    return this.body();
  }
  override disconnected(): void { this.watch?.disconnect(); }
  override reconnected(): void { this.meet(this.at); }
}
/** Draw at the width there is, and again whenever that changes. Drawings of the same key begin at the width of the last. */
export const drawn = directive(Drawn);

/* ---- text */

let pen: CanvasRenderingContext2D | null | undefined;
const widths = new Map<string, number>();
/** How wide a text will be in a drawing, px. */
export function textWidth(text: string, px: number, bold = false): number {
  const key = `${px}${bold ? 'b' : ''}${text}`;
  let w = widths.get(key);
  if (w === undefined) {
    pen ??= document.createElement('canvas').getContext('2d');
    if (!pen) return text.length * px * 0.62;
    pen.font = `${bold ? 700 : 400} ${px}px ${getComputedStyle(document.body).fontFamily}`;
    widths.set(key, w = pen.measureText(text).width);
  }
  return w;
}

/* ---- nights, now, hours */

/** Runs of hours without sun, in hours of the axis. */
export function nights(daylight: readonly (number | null)[], span: number): [number, number][] {
  const out: [number, number][] = [];
  for (let h = 0; h < span; h++) {
    if (daylight[h] !== 0) continue;
    const last = out.at(-1);
    if (last && last[1] === h) last[1] = h + 1;
    else out.push([h, h + 1]);
  }
  return out;
}
export const nightRects = (ax: Axis, dark: [number, number][], y: number, h: number): SVGTemplateResult[] =>
  dark.map(([a, b]) => svg`<rect class="f-night" x=${ax.x(a)} y=${y} width=${r1(ax.x(b) - ax.x(a))} height=${h}/>`);
/** The past is hatched, now is a line. */
export const nowLine = (ax: Axis, y: number, h: number): SVGTemplateResult =>
  svg`<rect class="f-past" x=${ax.x(0)} y=${y} width=${r1(ax.x(ax.now) - ax.x(0))} height=${h}/><line class="l-ink w15" x1=${ax.x(ax.now)} x2=${ax.x(ax.now)} y1=${y} y2=${y + h}/>`;

/** Nights and days by name, hours in figures, a foot under now. */
export function ruler(ax: Axis, dark: [number, number][]): TemplateResult {
  const k = ax.k, line = 15 * k, height = r1(42 * k), every = [1, 2, 3, 6, 12].find((n) => n * ax.px >= 22 * k) ?? 12;
  const names: SVGTemplateResult[] = [], ticks: SVGTemplateResult[] = [];
  const put = (a: number, b: number, long: string, short: string, bold: boolean): void => {
    const room = ax.x(b) - ax.x(a), text = textWidth(long, 13 * k, bold) < room - 6 ? long : textWidth(short, 13 * k, bold) < room - 4 ? short : '';
    if (text) names.push(svg`<text class=${bold ? 'tb mid' : 'mid t2'} x=${r1((ax.x(a) + ax.x(b)) / 2)} y=${line}>${text}</text>`);
  };
  let lit = Math.max(0, ax.now);
  for (const [a, b] of [...dark, [ax.span, ax.span] as [number, number]]) {
    if (a - lit > 2) put(lit, a, weekday(ax.moment((lit + a) / 2)), weekday(ax.moment((lit + a) / 2), true), false);
    if (b > a) {
      const eve = weekday(ax.moment(a) - (hourOfDay(ax.moment(a)) < 9 ? 12 * 3600e3 : 0));
      put(Math.max(a, ax.now), b, `${eve} night`, `${eve.slice(0, 3)} night`, true);
    }
    lit = b;
  }
  for (let h = Math.ceil(ax.now + 0.2); h <= ax.span; h++) {
    const hr = hourOfDay(ax.moment(h)), x = ax.x(h);
    if (hr % every !== 0 || x < 12 * k || x > ax.w - 9 * k) continue;
    ticks.push(svg`<line class="l-edge w1" x1=${x} x2=${x} y1=${r1(36 * k)} y2=${height}/><text class=${hr === 0 ? 'mid tb' : 'mid'} x=${x} y=${r1(33 * k)}>${hr}</text>`);
  }
  const n = ax.x(ax.now);
  return html`<svg class="full" viewBox="0 0 ${ax.w} ${height}" role="img" aria-label="Time runs from now on the left to the right, ${ax.span} hours. Nights are tinted.">${nightRects(ax, dark, 0, height)}${names}${ticks}<path class="f-ink" d="M${n} ${height}l-5-8h10z"/></svg>`;
}
