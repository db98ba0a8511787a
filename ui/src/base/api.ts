// SPDX-License-Identifier: GPL-3.0-or-later
// Asking the house: GET and POST, refusals as sentences. What is out of reach is answered from what was kept (store.ts).
import { answerKeep, answerKept, answersForget } from './store.ts';

export class Refused extends Error {
  constructor(readonly code: number, readonly status: string, readonly field: string, sentence: string) { super(sentence); }
}
/** The house did not answer at all. */
export class OutOfReach extends Error {}
/** Nothing is kept of that: only while a page is drawn from what is kept. */
export class NotKept extends Error {}

/** What live.ts wants to know of every exchange. */
interface Ear {
  answered(): void; // the house said something, even a refusal
  silent(): void;
  sentOut(): void; // no session
  drew(kept: boolean, at: number): void; // an answer was given to a page
  said(path: string, answer: unknown): void;
  far(): boolean; // it did not answer a moment ago: do not wait long
}
let ear: Ear = { answered() {}, silent() {}, sentOut() {}, drew() {}, said() {}, far: () => false };
export function earIs(e: Ear): void { ear = e; }

const LONG_MS = 120000, SHORT_MS = 5000, WRITE_MS = 10000, QUEUE_MS = 40000; // a house may be slow to write fifty of them to its disk
/** How long an answer is waited for. At the edge of a network a request may hang for minutes. */
function patience(method: string, path: string): number {
  if (path.startsWith('/api/number') || (method === 'GET' && ear.far())) return SHORT_MS;
  if (path === '/api/queue') return QUEUE_MS;
  return /^\/api\/(record|undo|session)/.test(path) && method === 'POST' ? WRITE_MS : LONG_MS;
}

/** What the house said, whole. Whatever is not its own JSON (a hotel's log-in page, a proxy) is not the house. */
async function send<T>(method: string, path: string, what: { body?: unknown; file?: Blob } = {}): Promise<T> {
  const stop = new AbortController(), timer = setTimeout(() => stop.abort(), patience(method, path));
  let code: number, said: unknown;
  try {
    const init: RequestInit = { method, credentials: 'same-origin', cache: 'no-store', signal: stop.signal };
    if (what.file) { init.headers = { 'Content-Type': 'application/octet-stream' }; init.body = what.file; }
    else if (what.body !== undefined) { init.headers = { 'Content-Type': 'application/json' }; init.body = JSON.stringify(what.body); }
    const r = await fetch(path, init);
    code = r.status;
    said = await r.json(); // one that breaks off in the middle is no answer
    if (typeof said !== 'object' || said === null || (!r.ok && typeof (said as { error?: { sentence?: unknown } }).error?.sentence !== 'string')) throw new Error('not the house');
  } catch {
    ear.silent();
    throw new OutOfReach('The house did not answer.');
  } finally { clearTimeout(timer); }
  ear.answered();
  if (code < 400) return said as T;
  const error = (said as { error: { status?: string; field?: string; sentence: string } }).error;
  if (code === 401 && !path.startsWith('/api/session')) { ear.sentOut(); void answersForget().catch(() => undefined); }
  throw new Refused(code, error.status ?? 'failed', error.field ?? '', error.sentence);
}

type Params = Record<string, string | number | boolean | undefined>;
function address(path: string, params: Params, without: readonly string[] = []): string {
  const q = new URLSearchParams();
  for (const [k, v] of Object.entries(params)) if (v !== undefined && v !== '' && !without.includes(k)) q.set(k, String(v));
  const query = q.toString();
  return path + (query ? '?' + query : '');
}
/** What is not kept: who is let in, what-ifs by the hundred, files. */
const passing = /^\/api\/(session|pair|devices|addresses|certificate|backups|check|export|try|season\?|reckon|openapi)/;
const moments = ['at', 'on', 'known_to'];

let keptOnly = 0;
/** Let a page ask what is kept alone; NotKept where nothing is. */
export async function fromKept<T>(work: () => Promise<T>): Promise<T> {
  keptOnly++;
  try { return await work(); } finally { keptOnly--; }
}

/** Something was kept on this device once: a new one need not open its store before it asks. */
const KEPT = 'leenest-kept';
export function everKept(): boolean { try { return localStorage.getItem(KEPT) !== null; } catch { return true; } }
let marked = false;
function mark(): void {
  if (marked) return;
  marked = true;
  try { localStorage.setItem(KEPT, '1'); } catch { /* a browser that keeps no marks: its store is always opened */ }
}

async function question<T>(path: string, params: Params): Promise<Asked<T>> {
  const key = address(path, params), like = address(path, params, moments), keeps = !passing.test(path);
  const old = async (): Promise<Asked<T> | undefined> => {
    const k = keeps ? await answerKept(key, like).catch(() => undefined) : undefined;
    if (k) ear.drew(true, k.at);
    return k && { answer: k.answer as T, kept: true, at: k.at };
  };
  if (keptOnly) {
    const k = await old();
    if (k) return k;
    throw new NotKept('Nothing is kept of that here.');
  }
  let answer: T;
  try {
    answer = await send<T>('GET', key);
  } catch (e) {
    const k = e instanceof OutOfReach || (e instanceof Refused && e.code === 503) ? await old() : undefined;
    if (k) return k;
    throw e;
  }
  const at = Date.now();
  if (keeps) void answerKeep({ key, like, at, answer }).then(mark).catch(() => answersForget().catch(() => undefined)); // no room: the old ones go
  ear.said(path, answer);
  ear.drew(false, at);
  return { answer, kept: false, at };
}

export async function get<T>(path: string, params: Params = {}): Promise<T> {
  return (await question<T>(path, params)).answer;
}
/** Past what is kept, and unheard by the page that is being drawn: for live.ts. */
export async function getNow<T>(path: string): Promise<T> { return send<T>('GET', path); }
export async function post<T>(path: string, body: unknown): Promise<T> { return send<T>('POST', path, { body }); }
export async function upload<T>(path: string, file: Blob): Promise<T> { return send<T>('POST', path, { file }); }

/** An answer and, when the house is out of reach, how old it is. */
export interface Asked<T> { answer: T; kept: boolean; at: number }
/** Put a question; out of reach, the last answer that was kept to the same question. */
export async function ask<T>(about: string, params: Params = {}): Promise<Asked<T>> {
  return question<T>('/api/' + about, params);
}
