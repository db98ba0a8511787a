// SPDX-License-Identifier: GPL-3.0-or-later
// Session: coming in with the key of the address, a password, or the key of a square code; what the house says of the door.
import { getNow, post } from './api.ts';
import { changed } from './live.ts';

export interface Session {
  signed_in: boolean; called: string | null; here: boolean; master: boolean; lan: boolean; password_set: boolean; secure: boolean; setting_up: boolean; address_changed: boolean;
}
/** How coming in stands, for the page that asks for a password. */
export interface Coming { busy: boolean; pair: string | undefined; trouble: string; door: Session | undefined }
export const coming: Coming = { busy: false, pair: undefined, trouble: '', door: undefined };

const sentence = (e: unknown): string => { const s = e instanceof Error ? e.message : String(e); return s.charAt(0).toUpperCase() + s.slice(1) + (/[.?]$/.test(s) ? '' : '.'); };

/** What the house says of the door and of this device; undefined out of reach. */
export async function session(): Promise<Session | undefined> {
  try {
    const s = await getNow<Session>('/api/session');
    coming.door = s;
    changed({ moved: s.lan && s.address_changed && !s.here, signed: s.signed_in });
    return s;
  } catch { return undefined; }
}
async function comeIn(how: Record<string, string>): Promise<boolean> {
  coming.busy = true; coming.trouble = '';
  try {
    const r = await post<{ waiting?: boolean }>('/api/session', how);
    if (r.waiting) return false;
    coming.pair = undefined;
    changed({ signed: true });
    return true;
  } catch (e) {
    coming.trouble = sentence(e);
    coming.pair = undefined;
    return false;
  } finally { coming.busy = false; }
}
/** What this device might be called, for the list of devices. */
export function calledHere(): string {
  const a = navigator.userAgent;
  return /iPhone/.test(a) ? 'iPhone' : /iPad/.test(a) ? 'iPad' : /Android/.test(a) ? 'Android phone' : /Mac OS/.test(a) ? 'Mac' : /Windows/.test(a) ? 'Windows computer' : 'Another computer';
}
export const withPassword = (password: string, called: string): Promise<boolean> => comeIn({ password, called });

const AGAIN_MS = 3000;
/** The key of a square code: asks again until somebody at the machine has said yes or no; `drawn` after each turn. */
export async function withPairing(key: string, called: string, drawn: () => void): Promise<boolean> {
  coming.pair = key;
  for (;;) {
    if (await comeIn({ pair: key, called })) return true;
    drawn();
    if (coming.pair !== key) return false; // refused, and said why
    await new Promise((r) => setTimeout(r, AGAIN_MS));
  }
}

/** The keys of the address, which do not stay in it. */
export async function fromAddress(drawn: () => void): Promise<void> {
  const m = /^#(key|pair)=([\w-]+)$/.exec(location.hash);
  if (!m) return;
  history.replaceState(null, '', location.pathname + location.search);
  if (m[1] === 'key') { await comeIn({ key: m[2]! }); coming.trouble = ''; } // used up already: an older session may still stand
  else { changed({ signed: false }); void withPairing(m[2]!, calledHere(), drawn); }
}
