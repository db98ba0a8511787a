// SPDX-License-Identifier: GPL-3.0-or-later
// Bring: every page, and the answers that the rounds and the forms need, brought to this device while the house is in reach, so
// that out of reach also those open that nobody has opened yet.
import { ask } from './api.ts';
import { live } from './live.ts';
import type { PageRow } from './page.ts';
import { answerKept } from './store.ts';

const FRESH_MS = 10 * 60000, AGAIN_MS = 30 * 60000;

async function bringAnswer(about: string, params: Record<string, string | number> = {}): Promise<void> {
  if (live().reach === 'out' || !live().signed) throw new Error('not now');
  const query = new URLSearchParams(Object.entries(params).map(([k, v]) => [k, String(v)])).toString();
  const key = `/api/${about}${query ? '?' + query : ''}`, kept = await answerKept(key, key);
  if (!kept || Date.now() - kept.at > FRESH_MS) await ask(about, params);
}
interface Kinds { kinds: { name: string; fields: { refers_to: string | null }[] }[] }

export async function bring(pages: readonly PageRow[]): Promise<void> {
  try {
    for (const p of pages) await p.open();
    for (const q of ['round', 'tonight', 'due']) await bringAnswer(q);
    const { kinds } = (await ask<Kinds>('kinds')).answer;
    for (const k of new Set(kinds.flatMap((q) => q.fields.flatMap((f) => (f.refers_to ? [f.refers_to] : []))))) await bringAnswer(`names/${k}`);
    for (const k of kinds) await bringAnswer(`list/${k.name}`, { most: 25 });
  } catch { /* out of reach, or no farm yet: next time */ }
  setTimeout(() => void bring(pages), AGAIN_MS);
}
