// SPDX-License-Identifier: GPL-3.0-or-later
// Main: comes in with the key of the address, finds the page, puts the frame around it; draws what is kept at once and what the
// house says when it has said it.
import { html, nothing, render, type TemplateResult } from 'lit-html';
import { OutOfReach, Refused, everKept, fromKept } from './base/api.ts';
import { bring } from './base/bring.ts';
import { changed, live, loaded, loading, start } from './base/live.ts';
import { frameIs, go, type Page, type Place } from './base/page.ts';
import { fromAddress, session } from './base/session.ts';
import { first, pages } from './pages/index.ts';
import { frame } from './part/frame.ts';
import { hadSession, signInPage } from './part/signin.ts';
import { missing, wayOn } from './part/way_on.ts';

let page: Page<any> | undefined;
let place: Place = { path: '', rest: '', query: new URLSearchParams() };
let data: unknown;
let trouble: string | undefined, failed: unknown;
let turn = 0;
const LATE_MS = 1500, HELD_MS = 15000, WORKER_MS = 4000;

function draw(): void {
  const root = document.getElementById('app');
  if (!root) return;
  const l = live(), there = page && data !== undefined && !trouble;
  let body: TemplateResult = html`<div class="lead"><div><h1>${page?.title ?? 'leenest'}</h1><p>${trouble ?? 'One moment.'}</p></div></div>${trouble ? wayOn(failed) : nothing}`;
  if (!l.signed) body = signInPage();
  else if (there) body = page!.view(data, place);
  render(frame({ page, place, body, thumb: there && l.signed ? page!.thumb?.(data, place) : undefined }), root);
}

/** The reader is at the top and writes nothing: a new answer may take the place of the old one. */
function atRest(): boolean {
  const a = document.activeElement;
  return scrollY < 40 && !document.querySelector('dialog[open]') && !(a && /^(INPUT|TEXTAREA|SELECT)$/.test(a.tagName));
}
function sentence(e: unknown): string {
  if (e instanceof OutOfReach) return 'The house is out of reach, and nothing of this page is kept on this device yet. What you record elsewhere is kept.';
  if (e instanceof Refused && e.code === 401) return 'This device is not signed in.';
  return missing(e) ?? (e instanceof Error ? e.message : String(e));
}

/** Ask for the page of this address. `behind`: the reader did not ask; what stands there stays until the answer is here. */
async function open(behind = false): Promise<void> {
  const mine = ++turn;
  const parts = location.pathname.split('/').filter(Boolean).map((p) => { try { return decodeURIComponent(p); } catch { return p; } });
  const path = parts[0] ?? first;
  const next = { path, rest: parts.slice(1).join('/'), query: new URLSearchParams(location.search) };
  const row = pages.find((p) => p.path === path), elsewhere = path !== place.path || next.rest !== place.rest;
  if (elsewhere) { page?.leave?.(); data = undefined; if (path !== page?.path) page = undefined; }
  place = next;
  if (!row) { page = undefined; trouble = 'There is no such page here.'; failed = undefined; draw(); answered(mine); return; }
  if (!behind || data === undefined) trouble = undefined;
  try {
    page = await row.open().then((m) => m.page, () => { throw new Error(live().reach === 'out' ? 'The house is out of reach, and this page was not yet brought to this device.' : 'This page could not be fetched. Load it anew.'); });
    if (mine !== turn) return;
    document.title = `${page.title} · leenest`;
    if (data === undefined && everKept()) await showKept(mine);
    if (mine !== turn) return;
    loading();
    const slow = setTimeout(() => { if (mine === turn) changed({ late: true }); }, LATE_MS);
    const coming = page.load(place).finally(() => clearTimeout(slow)); // asked before anything is drawn: the house works meanwhile
    changed({ reckoning: true });
    draw();
    const got = await coming;
    if (mine !== turn) return;
    if (behind && !atRest()) { changed({ newer: true, reckoning: false, late: false }); answered(mine); return; }
    data = got;
    trouble = undefined;
    changed({ newer: false, ...loaded() });
    hadSession();
  } catch (e) {
    if (mine !== turn) return;
    // What stands there stays when the house falls silent; the bar says of when it is.
    if (!(data !== undefined && (behind || e instanceof OutOfReach))) { trouble = sentence(e); failed = e; }
  }
  changed({ reckoning: false, late: false });
  draw();
  answered(mine);
}
/** Which asking the page last came to an end with: for who drives the page from outside. */
function answered(mine: number): void { document.documentElement.dataset['turn'] = String(mine); }
/** The last answer at once, with its hour, until the new one is here. */
async function showKept(mine: number): Promise<void> {
  loading();
  try {
    const got = await fromKept(() => page!.load(place));
    if (mine !== turn) return;
    data = got;
    changed(loaded());
  } catch { /* nothing kept, or of an older shape: the house is asked next, and what is wrong then is said */ }
}

/** A worker that holds the page, so that it opens with the house gone. A newer one has the newer page: shown when the reader asks. */
function worker(): void {
  const w = navigator.serviceWorker;
  if (!w) return;
  let had = !!w.controller;
  changed({ safe: had });
  w.addEventListener('controllerchange', () => { changed({ safe: !!w.controller, renewed: had }); had = true; });
  // A page that could not be brought whole (the house was busy) is brought again; under a name without certificate it works as
  // long as it is open.
  const bringIt = (again: number): void => {
    void w.register('/sw.js').then(() => true, (e: unknown) => !(e instanceof DOMException && e.name === 'SecurityError'))
      .then((may) => { if (may && again > 0) setTimeout(() => { if (!w.controller) bringIt(again - 1); }, HELD_MS); });
  };
  bringIt(6);
}

frameIs({ draw, again: () => void open() });
addEventListener('popstate', () => { void open(); });
addEventListener('click', (e: MouseEvent) => {
  const a = (e.target as Element | null)?.closest?.('a[href^="/"]');
  if (!a || e.defaultPrevented || e.ctrlKey || e.metaKey || e.shiftKey || a.hasAttribute('download') || a.getAttribute('href')!.startsWith('/api/') || a.hasAttribute('target')) return;
  e.preventDefault();
  go(a.getAttribute('href')!);
  scrollTo(0, 0);
});
await fromAddress(draw);
start({ draw, newer: () => { if (data === undefined || atRest()) void open(true); else changed({ newer: true }); } });
void session();
// The first page before all else: the worker brings every part of every page to this device.
await Promise.race([open(), new Promise((r) => setTimeout(r, WORKER_MS))]);
worker();
setTimeout(() => void bring(pages), 1500);
