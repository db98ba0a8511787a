// SPDX-License-Identifier: GPL-3.0-or-later
// Ordinary charts by Observable Plot, fetched when the first one is drawn. The chart is one image with one label: its inner
// labels are taken off (a group may not carry one), and its <style> is left out, for the page takes styles from its own
// sheet alone (style/weather.css has the few rules that matter). The figures stand in a table beside it.
import { html, type TemplateResult } from 'lit-html';
import { AsyncDirective } from 'lit-html/async-directive.js';
import { directive } from 'lit-html/directive.js';

export type Plot = typeof import('./plot_parts.ts');
let fetched: Promise<Plot> | undefined;

class Plotted extends AsyncDirective {
  private key = '';
  private turn = 0;
  render(_w: number, label: string, key: string, make: (p: Plot) => Element): TemplateResult | unknown {
    const mine = `${key} ${_w}`;
    if (mine === this.key) return this.last ?? html``;
    this.key = mine;
    const turn = ++this.turn;
    fetched ??= import('./plot_parts.ts');
    fetched.then((p) => { if (turn === this.turn) { this.last = framed(make(p), label); this.setValue(this.last); } })
      .catch(() => { fetched = undefined; if (turn === this.turn) this.setValue(html`<p class="small">The chart could not be fetched: the house is out of reach. The table beside it stands.</p>`); });
    return this.last ?? html`<p class="small">Drawing.</p>`;
  }
  private last: Element | undefined;
}
function framed(svg: Element, label: string): Element {
  for (const s of svg.querySelectorAll('style')) s.remove();
  for (const e of svg.querySelectorAll('[aria-label],[aria-description]')) { e.removeAttribute('aria-label'); e.removeAttribute('aria-description'); }
  svg.setAttribute('role', 'img');
  svg.setAttribute('aria-label', label);
  svg.classList.add('plotted');
  return svg;
}
/** plotted(width, label, key, make): `make` draws at that width; another key or width draws anew. */
export const plotted = directive(Plotted) as (w: number, label: string, key: string, make: (p: Plot) => Element) => unknown;
