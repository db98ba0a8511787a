// SPDX-License-Identifier: GPL-3.0-or-later
// The square code that the house drew: its modules are read from the SVG and drawn anew, so that no markup of another is
// put into the page.
import { html, svg, type TemplateResult } from 'lit-html';

export function squareCode(text: string, label: string): TemplateResult {
  const doc = new DOMParser().parseFromString(text, 'image/svg+xml'), root = doc.documentElement;
  const box = root.getAttribute('viewBox') ?? `0 0 ${root.getAttribute('width') ?? 0} ${root.getAttribute('height') ?? 0}`;
  const paths = [...doc.querySelectorAll('path')].map((p) => p.getAttribute('d') ?? '').filter((d) => /^[\sMmHhVvLlZz0-9.,+-]*$/.test(d));
  const rects = [...doc.querySelectorAll('rect')].map((r) => ['x', 'y', 'width', 'height'].map((k) => Number(r.getAttribute(k) ?? 0)) as [number, number, number, number]);
  const [, , w = 0] = box.split(/\s+/).map(Number);
  const modules = rects.filter((r) => r[2] < w * 0.9);
  return html`<svg class="qr" viewBox=${box} role="img" aria-label=${label}><rect class="qrpaper" x="-100" y="-100" width="10000" height="10000"/>${paths.map((d) => svg`<path class="qrink" d=${d}/>`)}${modules.map(([x, y, mw, mh]) => svg`<rect class="qrink" x=${x} y=${y} width=${mw} height=${mh}/>`)}</svg>`;
}
