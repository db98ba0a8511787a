// SPDX-License-Identifier: GPL-3.0-or-later
// Worker: holds the page itself, so that it opens with the house gone. It never touches /api/: answers are kept by store.ts, with
// their age. Each build has its own store; the one before stays for pages that still run it.
declare const SHELL: string[]; // what makes up the page, and
declare const VERSION: string; // the mark of this build: both from build.mjs
const worker = self as unknown as ServiceWorkerGlobalScope;
const NAME = 'leenest-page-', MINE = NAME + VERSION;

worker.addEventListener('install', (e) => {
  e.waitUntil((async () => {
    const mine = await caches.open(MINE);
    await mine.addAll(SHELL.map((path) => new Request(path, { cache: 'reload', credentials: 'same-origin' })));
    await worker.skipWaiting();
  })());
});
worker.addEventListener('activate', (e) => {
  e.waitUntil((async () => {
    const others = (await caches.keys()).filter((k) => k.startsWith(NAME) && k !== MINE);
    for (const k of others.slice(0, -1)) await caches.delete(k); // keys come in the order they were made
    await worker.clients.claim();
  })());
});

async function held(path: string): Promise<Response | undefined> {
  return (await (await caches.open(MINE)).match(path)) ?? (await caches.match(path)); // a part of the build before
}
worker.addEventListener('fetch', (e) => {
  const to = new URL(e.request.url);
  if (e.request.method !== 'GET' || to.origin !== location.origin || to.pathname.startsWith('/api/') || to.pathname === '/sw.js') return;
  const opens = e.request.mode === 'navigate', file = /\.\w+$/.test(to.pathname);
  if (opens && file && !SHELL.includes(to.pathname)) return; // /licences.txt
  e.respondWith((async () => (await held(opens ? '/' : to.pathname)) ?? fetch(e.request))());
});
