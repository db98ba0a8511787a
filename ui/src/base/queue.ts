// SPDX-License-Identifier: GPL-3.0-or-later
// Recording: every record goes through here, in reach or out of it. Ids are made here, so that a repeat is harmless.
import { post } from './api.ts';

export type Value = string | number | boolean;
export type Fact = Record<string, Value | undefined>;
export interface RecordedFact { uid: string; status: 'recorded' | 'already' | 'waiting'; number?: number; called?: string; flags: { number: number; key: string; says: string }[] }

/** 32 hexadecimal digits; works without a secure context too. */
export function newUid(): string {
  const b = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(b, (x) => x.toString(16).padStart(2, '0')).join('');
}

/** Record one fact, made now. Refusals throw (api.ts Refused); out of reach it waits on this device. */
export async function record(kind: string, fact: Fact, how: { replaces?: string; batch?: string; uid?: string } = {}): Promise<RecordedFact> {
  const uid = how.uid ?? newUid();
  const r = await post<{ uid: string; number: number; already: boolean; called: string; flags: RecordedFact['flags'] }>(`/api/record/${kind}`,
    { uid, fact, recorded: new Date().toISOString(), ...(how.replaces ? { replaces: how.replaces } : {}), ...(how.batch ? { batch: how.batch } : {}) });
  return { uid, status: r.already ? 'already' : 'recorded', number: r.number, called: r.called, flags: r.flags };
}

/** Take a record back: one that still waits is dropped, one that was kept is undone with its batch. */
export async function undo(uid: string): Promise<void> {
  await post('/api/undo', { what: uid });
}
