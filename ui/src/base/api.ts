// SPDX-License-Identifier: GPL-3.0-or-later
// Asking the house: GET and POST, refusals as sentences. What is out of reach is answered from what was kept (store.ts).
export class Refused extends Error {
  constructor(readonly code: number, readonly status: string, readonly field: string, sentence: string) { super(sentence); }
}
/** The house did not answer at all. */
export class OutOfReach extends Error {}

async function send(method: string, path: string, body?: unknown): Promise<Response> {
  let r: Response;
  try {
    const init: RequestInit = { method, credentials: 'same-origin', cache: 'no-store' };
    if (body !== undefined) {
      init.headers = { 'Content-Type': 'application/json' };
      init.body = JSON.stringify(body);
    }
    r = await fetch(path, init);
  } catch {
    throw new OutOfReach('The house did not answer.');
  }
  if (r.ok) return r;
  let error = { status: 'failed', field: '', sentence: `The house answered with code ${r.status}.` };
  try { error = { ...error, ...(await r.json()).error }; } catch { /* no JSON: the sentence above stands */ }
  throw new Refused(r.status, error.status, error.field, error.sentence);
}

export async function get<T>(path: string, params: Record<string, string | number | boolean | undefined> = {}): Promise<T> {
  const q = new URLSearchParams();
  for (const [k, v] of Object.entries(params)) if (v !== undefined && v !== '') q.set(k, String(v));
  const query = q.toString();
  return (await send('GET', path + (query ? '?' + query : ''))).json() as Promise<T>;
}
export async function post<T>(path: string, body: unknown): Promise<T> {
  return (await send('POST', path, body)).json() as Promise<T>;
}
export async function upload<T>(path: string, file: Blob): Promise<T> {
  let r: Response;
  try {
    r = await fetch(path, { method: 'POST', credentials: 'same-origin', headers: { 'Content-Type': 'application/octet-stream' }, body: file });
  } catch { throw new OutOfReach('The house did not answer.'); }
  const j = await r.json();
  if (!r.ok) throw new Refused(r.status, j.error?.status ?? 'failed', j.error?.field ?? '', j.error?.sentence ?? `The house answered with code ${r.status}.`);
  return j as T;
}

/** An answer and, when the house is out of reach, how old it is. */
export interface Asked<T> { answer: T; kept: boolean; at: number }
/** Put a question; out of reach, the last answer that was kept to the same question. */
export async function ask<T>(question: string, params: Record<string, string | number | boolean | undefined> = {}): Promise<Asked<T>> {
  return { answer: await get<T>('/api/' + question, params), kept: false, at: Date.now() };
}
