// SPDX-License-Identifier: GPL-3.0-or-later
// Main: signs in with the key of the address, finds the page, puts the frame around it.
import { html, render, type TemplateResult } from 'lit-html';
import { Refused, post } from './base/api.ts';
import { frameIs, go, type Page, type Place } from './base/page.ts';
import { pages } from './pages/index.ts';
import { frame } from './part/frame.ts';

let page: Page<any> | undefined;
let place: Place = { path: '', rest: '', query: new URLSearchParams() };
let data: unknown;
let trouble: string | undefined;
let turn = 0;

function draw(): void {
  const root = document.getElementById('app');
  if (!root) return;
  let body: TemplateResult = html`<div class="lead"><h1>${page?.title ?? 'leenest'}</h1><p>${trouble ?? 'One moment.'}</p></div>`;
  if (page && data !== undefined && !trouble) body = page.view(data, place);
  render(frame({ page, place, body, thumb: page && data !== undefined ? page.thumb?.(data, place) : undefined }), root);
}

async function open(): Promise<void> {
  const mine = ++turn;
  const parts = location.pathname.split('/').filter(Boolean).map(decodeURIComponent);
  const path = parts[0] ?? 'tonight';
  const next = { path, rest: parts.slice(1).join('/'), query: new URLSearchParams(location.search) };
  const row = pages.find((p) => p.path === path);
  if (path !== page?.path || next.rest !== place.rest) { page?.leave?.(); data = undefined; }
  place = next;
  trouble = undefined;
  if (!row) { page = undefined; trouble = 'There is no such page here.'; draw(); return; }
  try {
    page = (await row.open()).page;
    document.title = `${page.title} · leenest`;
    draw();
    const got = await page.load(place);
    if (mine !== turn) return;
    data = got;
  } catch (e) {
    if (mine !== turn) return;
    trouble = e instanceof Error ? e.message : String(e);
    if (e instanceof Refused && e.code === 401) trouble = 'This browser is not signed in. Open the address that the program printed, or give the password.';
  }
  draw();
}

async function signIn(): Promise<void> {
  const key = /^#key=(.+)$/.exec(location.hash)?.[1];
  if (!key) return;
  history.replaceState(null, '', location.pathname + location.search);
  try { await post('/api/session', { key }); } catch { /* used up already: an old session may still stand */ }
}

frameIs({ draw, again: () => void open() });
addEventListener('popstate', () => void open());
addEventListener('click', (e: MouseEvent) => {
  const a = (e.target as Element | null)?.closest?.('a[href^="/"]');
  if (!a || e.defaultPrevented || e.ctrlKey || e.metaKey || e.shiftKey || a.hasAttribute('download') || a.getAttribute('href')!.startsWith('/api/') || a.hasAttribute('target')) return;
  e.preventDefault();
  go(a.getAttribute('href')!);
  scrollTo(0, 0);
});
await signIn();
await open();
