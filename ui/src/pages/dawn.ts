// SPDX-License-Identifier: GPL-3.0-or-later
// Dawn round: what was found, hut by hut, in as few presses as can be, with wet hands and no signal. Sows stand in the order
// they are walked to. Nothing is chosen beforehand: what is not pressed is not recorded.
import { html, nothing, type TemplateResult } from 'lit-html';
import { go, redraw, type Page, type Place } from '../base/page.ts';
import { newUid, record, type Fact, type RecordedFact } from '../base/queue.ts';
import { caution } from '../part/caution.ts';
import { chooseOne, chooseSome, type Option } from '../part/choose.ts';
import { counter } from '../part/counter.ts';
import { helpView, type Phone } from '../part/first_help.ts';
import { house, iso, me, nowOf, type House } from '../part/house.ts';
import { choiceWord, listed, names, type Named } from '../part/kinds.ts';
import { lossFact, lossPanel, lossWords, lostOne, type Lost } from '../part/loss.ts';
import { said, saidLine, saidNothing } from '../part/said.ts';
import { whoIsNear } from '../part/without_weather.ts';
import { capital, clock, day, isoDay, moment, name, plural, tidy, weekday } from '../part/words.ts';

interface Sow {
  uid: string; name: string; says: string; // says: where she lies and what is expected
  suckling: boolean; near: boolean; last_look: string | null; begun: boolean;
}
interface Data { sows: Sow[]; others: Named[]; beds: Named[]; vets: Phone[]; house: House; order: string[]; orderUid: string | undefined; kept: boolean }
type See = 'born' | 'now' | 'sign' | 'wrong' | 'lost';
interface Draft { see?: See; living?: number | undefined; dead?: number | undefined; temper?: string; litter?: string; span?: string; where?: string; signs: Set<string>; rest: boolean; births: number; lost: Lost }
interface Done { uid: string; at: string; words: string; waiting: boolean }

const signs = ['milk-streams', 'nest', 'restless', 'straining', 'bloody-fluid', 'milk-drops', 'udder-tight', 'not-at-feed', 'fast-breathing', 'away', 'vulva-swollen', 'temperature'];
const SETTING = 'walking-order';
let open: string | undefined; // uid of the sow whose row is open
const drafts = new Map<string, Draft>();
let round: { day: string; done: Done[] } = { day: '', done: [] };
let trouble: { uid: string; says: string } | undefined;
let busy = false;
let order: string[] | undefined; // while it is being changed

/* ---- what was done this morning stays on the device, so that the page may be closed between two huts */
const KEPT = 'leenest-dawn';
function remember(): void { try { localStorage.setItem(KEPT, JSON.stringify(round)); } catch { /* kept only while the page is open */ } }
function recall(today: string): void {
  if (round.day === today) return;
  round = { day: today, done: [] };
  try { const r = JSON.parse(localStorage.getItem(KEPT) ?? 'null') as typeof round | null; if (r?.day === today && Array.isArray(r.done)) round = r; } catch { /* nothing readable was kept */ }
}

async function load(place: Place): Promise<Data> {
  const h = await house();
  if (place.rest === 'help') return { sows: [], others: [], beds: [], vets: await vetsIfKnown(), house: h, order: [], orderUid: undefined, kept: false };
  if (h.farm === null) return { sows: [], others: [], beds: [], vets: [], house: h, order: [], orderUid: undefined, kept: false };
  const now = nowOf(h), on = isoDay(now);
  recall(on);
  const [tonight, animals, beds, settings, vets] = await Promise.all([whoIsNear(), names('animal', on), names('placement', on), listed('setting', { most: 200 }), vetsIfKnown()]);
  const set = settings.facts.find((f) => f.fact['name'] === SETTING);
  const here = animals.filter((a) => a.here && (a.is === 'sow' || a.is === 'gilt'));
  const sows: Sow[] = [];
  const rest: Named[] = [];
  for (const a of here) {
    const t = tonight.answer.sows.find((s) => s.name === a.name), o = tonight.answer.others.find((s) => s.name === a.name);
    if (t) sows.push({ uid: a.uid, name: a.name, says: t.near ? (t.p_before_dawn >= 0.3 ? `expected, ${t.lies}` : t.lies) : 'not expected yet', suckling: false, near: t.near, last_look: t.last_look, begun: false });
    else if (o && /suckling|farrow/.test(o.state)) sows.push({ uid: a.uid, name: a.name, says: o.says, suckling: o.state === 'suckling', near: true, last_look: null, begun: /farrowing/.test(o.state) });
    else rest.push(a);
  }
  const walk = String(set?.fact['value'] ?? '').split('\n').filter(Boolean);
  const likely = [...tonight.answer.sows, ...tonight.answer.others].map((s) => s.name);
  const rank = (s: Sow): number => { const i = walk.indexOf(s.name); return i < 0 ? walk.length + likely.indexOf(s.name) : i; };
  sows.sort((a, b) => rank(a) - rank(b)); // those without a place in it come after, in the order of tonight
  return { sows, others: rest, beds: beds.filter((b) => b.here), vets, house: h, order: walk, orderUid: set?.uid, kept: tonight.kept };
}
async function vetsIfKnown(): Promise<Phone[]> {
  const people = await listed('person', { most: 200 });
  return people.facts.filter((p) => p.fact['is'] === 'vet' && p.fact['phone']).map((p) => ({ name: String(p.fact['name']), phone: String(p.fact['phone']) }));
}

/* ---- recording */
const draft = (uid: string): Draft => { let d = drafts.get(uid); if (!d) drafts.set(uid, d = { signs: new Set(), rest: false, births: 0, lost: lostOne() }); return d; };
const doneOf = (uid: string): Done | undefined => round.done.find((d) => d.uid === uid);
const left = (d: Data): Sow[] => d.sows.filter((s) => !doneOf(s.uid));
const by = (): Fact => (me() ? { by: me() } : {});

async function keepAll(d: Data, s: Sow, facts: [kind: string, fact: Fact][], words: string): Promise<void> {
  if (busy) return;
  busy = true; trouble = undefined; redraw();
  const at = nowOf(d.house), batch = newUid(), kept: RecordedFact[] = [];
  try {
    for (const [kind, fact] of facts) kept.push(await record(kind, fact, { batch }));
    const done = { uid: s.uid, at: iso(at), words, waiting: kept.some((k) => k.status === 'waiting') };
    round.done = [...round.done.filter((q) => q.uid !== s.uid), done];
    remember();
    drafts.delete(s.uid); open = undefined;
    said(html`${name(s.name)}: ${words} <span class="quiet">${clock(at)}</span>`, kept, () => { round.done = round.done.filter((q) => q.uid !== s.uid); remember(); }, true);
    const next = left(d)[0];
    busy = false; redraw();
    document.querySelector('.saidline')?.scrollIntoView({ block: 'start' }); // what was kept and its Undo stay in sight, above the next one
    document.getElementById(next ? `row-${next.uid}` : 'dawn-end')?.focus({ preventScroll: true });
  } catch (e) { trouble = { uid: s.uid, says: e instanceof Error ? e.message : String(e) }; busy = false; redraw(); document.getElementById(`fault-${s.uid}`)?.focus(); }
}
const nothingNew = (d: Data, s: Sow): Promise<void> => (s.suckling
  ? keepAll(d, s, [['note', { animal: s.uid, at: iso(nowOf(d.house)), text: 'Dawn round: litter looked at, all well.', ...by() }]], 'litter all well')
  : keepAll(d, s, [['look', { sow: s.uid, at: iso(nowOf(d.house)), ...by() }]], 'nothing new'));

/** Three spans from the last look (or eight hours ago) until now, to say when the first one came. */
interface Span { key: string; words: string; from: Date; to: Date }
function spans(d: Data, s: Sow): Span[] {
  const now = nowOf(d.house), H = 3600e3, last = s.last_look ? new Date(s.last_look) : undefined;
  const from = last && now.getTime() - last.getTime() < 16 * H && last < now ? last : new Date(now.getTime() - 8 * H), w = (now.getTime() - from.getTime()) / 3;
  if (w < 600e3) return [{ key: '0', words: `after ${clock(from)}`, from, to: now }];
  const cut = [1, 2].map((i) => new Date(Math.round((from.getTime() + i * w) / (H / 2)) * (H / 2)));
  return [{ key: '0', words: `before ${clock(cut[0]!)}`, from, to: cut[0]! }, { key: '1', words: `${clock(cut[0]!)} to ${clock(cut[1]!)}`, from: cut[0]!, to: cut[1]! }, { key: '2', words: `after ${clock(cut[1]!)}`, from: cut[1]!, to: now }];
}

async function keepDraft(d: Data, s: Sow): Promise<void> {
  const q = draft(s.uid), at = iso(nowOf(d.house));
  const fail = (says: string): void => { trouble = { uid: s.uid, says }; redraw(); document.getElementById(`fault-${s.uid}`)?.focus(); };
  if (!q.see) return fail(`Press what you see at ${s.name} first.`);
  if (q.see === 'now') return q.births ? keepAll(d, s, [], `farrowing, ${plural(q.births, 'birth')} written`) : fail('Press One more born at each birth. If none is born yet, press Saw a sign and say what you see.');
  if (q.see === 'sign') {
    if (q.signs.size === 0) return fail('Press the signs you saw. If there were none: Nothing new.');
    const facts: [string, Fact][] = [...q.signs].map((sign) => ['sign', { sow: s.uid, at, sign, ...by() }]);
    if (q.rest) facts.push(['look', { sow: s.uid, at, absent: signs.filter((g) => !q.signs.has(g)).join(','), ...by() }]);
    return keepAll(d, s, facts, [...q.signs].map(choiceWord).join(', '));
  }
  if (q.see === 'lost') return keepAll(d, s, [['loss', lossFact(s.uid, at, q.lost)]], lossWords(q.lost));
  if (q.see === 'wrong') {
    if (!q.litter) return fail('Press what is wrong with the litter.');
    return keepAll(d, s, [['note', { animal: s.uid, at, text: `Dawn round: litter ${q.litter}.${q.living !== undefined ? ` ${q.living} living.` : ''}${q.dead !== undefined ? ` ${q.dead} dead when found.` : ''}`, ...by() }]], `litter ${q.litter}`);
  }
  const all = spans(d, s), span = all.find((p) => p.key === q.span), from = span?.from ?? all[0]!.from, to = span?.to ?? all[all.length - 1]!.to;
  const notes = [q.litter ? `Litter ${q.litter}.` : '', q.dead ? 'Counted dead when found: whether stillborn or died since is not known.' : ''].filter(Boolean).join(' ');
  const bed = d.beds.find((b) => b.uid === q.where);
  const fact: Fact = {
    sow: s.uid, start: iso(new Date((from.getTime() + to.getTime()) / 2)), not_before: iso(from),
    ...(q.living !== undefined ? { born_alive: q.living } : {}), ...(q.dead !== undefined ? { still: q.dead } : {}), ...(q.temper ? { temper: q.temper } : {}),
    ...(bed ? { placement: bed.uid } : q.where ? { place: q.where } : {}), ...(notes ? { note: notes } : {}), ...by(),
  };
  return keepAll(d, s, [['farrowing', fact]], `farrowed${q.living !== undefined ? `, ${q.living} living` : ''}${q.dead !== undefined ? `, ${q.dead} dead` : ''}`);
}

async function born(d: Data, s: Sow, is: 'alive' | 'dead'): Promise<void> {
  if (busy) return;
  busy = true; trouble = undefined; redraw();
  const at = nowOf(d.house), q = draft(s.uid);
  try {
    const r = await record('birth', { sow: s.uid, at: iso(at), is, ...by() });
    q.births++;
    said(html`${name(s.name)}: one ${is === 'alive' ? 'more born' : 'born dead'} <span class="quiet">${clock(at)}</span>`, [r], () => { q.births--; });
  } catch (e) { trouble = { uid: s.uid, says: e instanceof Error ? e.message : String(e) }; }
  busy = false; redraw();
}

async function asLastNight(d: Data): Promise<void> {
  if (busy) return;
  busy = true; trouble = undefined; redraw();
  const at = nowOf(d.house), batch = newUid(), kept: RecordedFact[] = [], who = left(d).filter((s) => !s.suckling && !s.begun);
  try {
    for (const s of who) {
      const r = await record('look', { sow: s.uid, at: iso(at), ...by() }, { batch });
      kept.push(r);
      round.done.push({ uid: s.uid, at: iso(at), words: 'as last night', waiting: r.status === 'waiting' });
    }
  } catch (e) { trouble = { uid: 'all', says: e instanceof Error ? e.message : String(e) }; }
  remember();
  const uids = new Set(who.map((s) => s.uid));
  if (kept.length) said(html`${plural(kept.length, 'sow')} looked at, all as last night <span class="quiet">${clock(at)}</span>`, kept, () => { round.done = round.done.filter((q) => !uids.has(q.uid)); remember(); }, true);
  busy = false; redraw();
}

/* ---- drawing */
const faultLine = (uid: string): TemplateResult => html`<p class="fault" id=${`fault-${uid}`} tabindex="-1" role="alert">${trouble?.uid === uid ? html`<svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble.says}</span>` : nothing}</p>`;
function see(s: Sow, what: See): void { open = s.uid; draft(s.uid).see = what; trouble = undefined; redraw(); document.getElementById(`panel-${s.uid}`)?.focus({ preventScroll: true }); document.getElementById(`row-${s.uid}`)?.scrollIntoView({ block: 'start' }); }

function panel(d: Data, s: Sow, next: Sow | undefined): TemplateResult {
  const q = draft(s.uid), put = <K extends keyof Draft>(k: K) => (v: Draft[K]): void => { q[k] = v; redraw(); };
  const id = (k: string): string => `${k}-${s.uid}`;
  const helpLink = html`<p class="small"><a href="/dawn/help">One looks wrong: what to do</a></p>`;
  const litter = (legend: string, words: string[]): TemplateResult => html`${chooseOne(id('litter'), legend, words.map((w): Option => [w, capital(w)]), q.litter, put('litter'))}${q.litter && /wet|cold|thin|scattered/.test(q.litter) ? html`<p class="note">First dry and warm the cold ones. <a href="/dawn/help">The three steps</a></p>` : nothing}`;
  const counts = html`${counter('Living', 'moving, breathing', q.living, put('living'))}${counter('Dead', 'looked dead when found', q.dead, put('dead'))}`;
  const where: Option[] = [...d.beds.slice(0, 9).map((b): Option => [b.uid, name(b.name)]), ['lee', 'In the lee'], ['open', 'In the open']];
  const body = q.see === 'born' ? html`${counts}${chooseOne(id('temper'), 'The sow', [['calm', 'Calm'], ['steady', 'Steady'], ['wary', 'Wary'], ['fierce', 'Fierce']], q.temper, put('temper'), { wide: true })}
${litter('The litter', ['dry, at the udder', 'wet or cold', 'scattered'])}${chooseOne(id('span'), 'First one born, about', spans(d, s).map((p): Option => [p.key, p.words]), q.span, put('span'))}${chooseOne(id('where'), 'Where', where, q.where, put('where'))}
<p class="small">More can wait for the kitchen: sexes, weights, notches.</p>${helpLink}`
    : q.see === 'now' ? html`<p>Write each one as it comes; the clock is noted. Do not stand over her.</p><div class="pad"><button type="button" class="do" ?disabled=${busy} @click=${() => void born(d, s, 'alive')}>One more born</button><button type="button" ?disabled=${busy} @click=${() => void born(d, s, 'dead')}>One born dead</button></div>${q.births ? html`<p><b>${plural(q.births, 'birth')} written this round.</b></p>` : nothing}<p>45 minutes of straining with none born, or 45 minutes between two: ring the vet.</p><p class="small"><a href=${`/sow/${encodeURIComponent(s.name)}`}>Her page</a></p>${helpLink}`
      : q.see === 'sign' ? html`${chooseSome(id('signs'), 'What do you see?', signs.map((g): Option => [g, capital(choiceWord(g))]), q.signs, put('signs'), { wide: true })}${q.signs.size ? html`<label class="opt tickopt"><input type="checkbox" .checked=${q.rest} @change=${() => put('rest')(!q.rest)}><span>Looked for all the others too: not there</span></label>` : nothing}${q.signs.has('straining') || q.signs.has('bloody-fluid') ? html`<p class="note">She has begun. Straining 45 minutes with none born: ring the vet. <a href="/dawn/help">What to do</a></p>` : nothing}${q.signs.has('nest') ? html`<p class="note">She is nesting: do not move her or the hut.</p>` : nothing}`
        : q.see === 'lost' ? html`${lossPanel(s.uid, q.lost, put('lost'))}${helpLink}`
        : html`${litter('What is wrong with the litter?', ['some are cold', 'some are thin', 'some are missing', 'scattered', 'wet bed'])}${counts}${helpLink}`;
  return html`<div class="panel" id=${`panel-${s.uid}`} tabindex="-1">${body}${faultLine(s.uid)}<div class="acts"><button type="button" class="do keep" ?disabled=${busy} @click=${() => void keepDraft(d, s)}>${next ? html`<span>Keep, go to ${name(next.name)}</span>` : 'Keep, that was the last'}</button><button type="button" @click=${() => { open = undefined; drafts.delete(s.uid); trouble = undefined; redraw(); }}>Drop it</button></div></div>`;
}

function row(d: Data, s: Sow): TemplateResult {
  const q = drafts.get(s.uid), isOpen = open === s.uid, first = left(d)[0]?.uid === s.uid, next = left(d).find((x) => x.uid !== s.uid);
  const press = (what: See, words: string): TemplateResult => html`<button type="button" aria-pressed=${isOpen && q?.see === what ? 'true' : 'false'} @click=${() => see(s, what)}>${words}<span class="unseen">, ${s.name}</span></button>`;
  return html`<section class="round ${isOpen || (first && !open) ? 'open' : ''}" id=${`row-${s.uid}`} tabindex="-1" aria-label=${s.name}><div class="line"><h2>${name(s.name)}</h2><span>${tidy(s.says)}</span></div>
<div class="pad">${s.begun ? nothing : html`<button type="button" ?disabled=${busy} @click=${() => void nothingNew(d, s)}>${s.suckling ? 'All well' : 'Nothing new'}<span class="unseen">, ${s.name}</span></button>`}${s.suckling ? html`${press('lost', 'Piglet lost')}${press('wrong', 'Something is wrong')}` : html`${s.begun ? nothing : press('sign', 'Saw a sign')}${press('now', 'Farrowing now')}${press('born', 'Farrowed')}`}</div>
${isOpen ? panel(d, s, next) : faultLine(s.uid)}</section>`;
}

async function keepOrder(d: Data): Promise<void> {
  const list = order ?? d.sows.map((s) => s.name);
  try { await record('setting', { name: SETTING, value: list.join('\n') }, d.orderUid ? { replaces: d.orderUid } : {}); order = undefined; go('/dawn'); scrollTo(0, 0); }
  catch (e) { trouble = { uid: 'order', says: e instanceof Error ? e.message : String(e) }; redraw(); document.getElementById('fault-order')?.focus(); }
}
function orderView(d: Data): TemplateResult {
  const list = order ??= d.sows.map((s) => s.name);
  const move = (i: number, by: number): void => { const n = list[i]; if (n === undefined) return; list.splice(i, 1); list.splice(i + by, 0, n); redraw(); document.getElementById(`order-${i + by}-${by < 0 ? 'up' : 'down'}`)?.focus(); };
  return html`<div class="lead"><div><h1>Walking order</h1><p>In which order you come past them. Those you meet first stand first.</p></div></div>
<ol class="order list">${list.map((n, i) => html`<li><span class="nth">${i + 1}</span><b>${name(n)}</b><button type="button" id=${`order-${i}-up`} ?disabled=${i === 0} @click=${() => move(i, -1)}>Up<span class="unseen">: ${n}</span></button><button type="button" id=${`order-${i}-down`} ?disabled=${i === list.length - 1} @click=${() => move(i, 1)}>Down<span class="unseen">: ${n}</span></button></li>`)}</ol>
${faultLine('order')}<div class="acts end"><button type="button" class="do" @click=${() => void keepOrder(d)}>Keep this order</button><a class="btn" href="/dawn">Leave it as it was</a></div>`;
}

function view(d: Data, place: Place): TemplateResult {
  if (place.rest === 'help') return helpView(d.vets);
  if (d.house.farm === null || d.sows.length === 0) return html`<div class="lead"><div><h1>Dawn round</h1><p>${d.house.farm === null ? 'The farm is not written down yet.' : 'No sow is in pig or with a litter. Write a sow and when the boar was with her; then she stands here.'}</p></div></div><div class="acts start">${d.house.farm === null ? html`<a class="btn do" href="/begin">Begin a farm</a>` : html`<a class="btn do" href="/records/animal">Write a sow</a><a class="btn" href="/records/service">Write a service</a>`}<a class="btn" href="/dawn/help">Help at the hut</a></div>`;
  if (place.rest === 'order') return orderView(d);
  const now = nowOf(d.house), todo = left(d), done = d.sows.filter((s) => doneOf(s.uid)), next = todo[0], plain = todo.filter((s) => !s.suckling && !s.begun);
  return html`<div class="lead"><div><h1>Dawn round <span class="date">${weekday(now, true)} ${day(now)}</span></h1><p>${next ? html`${done.length} of ${d.sows.length} done. Next: <b>${name(next.name)}</b>, ${tidy(next.says)}${/\.$/.test(next.says) ? '' : '.'}` : html`All ${d.sows.length} done.`}</p></div></div>
<div class="rounds">
${done.length ? html`<details class="donefold"><summary>Done (${done.length})</summary><ul class="list">${done.map((s) => { const q = doneOf(s.uid); return html`<li class="donerow"><svg class="mk" aria-hidden="true"><use href=${q?.waiting ? '#phone' : '#tick'}/></svg><span>${name(s.name)} <span class="quiet">${q ? moment(q.at, now) : ''}: ${q?.words}${q?.waiting ? '; waits on this device' : ''}</span></span><button type="button" class="plainbtn" @click=${() => { round.done = round.done.filter((x) => x.uid !== s.uid); remember(); redraw(); }}>Look again<span class="unseen"> at ${s.name}</span></button></li>`; })}</ul></details>` : nothing}
${saidLine()}${todo.map((s) => row(d, s))}
<div class="acts end" id="dawn-end" tabindex="-1">${plain.length > 1 ? html`<button type="button" ?disabled=${busy} @click=${() => void asLastNight(d)}>Looked at all ${plain.length}: as last night</button>` : nothing}<a class="btn" href="/dawn/order">Change the walking order</a>${next ? nothing : html`<a class="btn do" href="/round">To the round</a>`}</div>${faultLine('all')}
${d.others.length ? html`<details class="donefold"><summary>The others (${d.others.length})</summary><ul class="list">${d.others.map((a) => html`<li class="donerow"><span><a href=${`/sow/${encodeURIComponent(a.name)}`}>${name(a.name)}</a> <span class="quiet">not in pig as far as is known</span></span></li>`)}</ul></details>` : nothing}</div>
${caution(['Do not reach over a sow with a litter. Cold, wet or limp: dry it, warm it, then the teat. Straining 45 minutes with none born, or 45 minutes between two: ring the vet.'], 'Board between you and her. Go and look: this page cannot see her.')}`;
}

export const page: Page<Data> = {
  path: 'dawn', title: 'Dawn round', menu: true, load, view,
  thumb(d, place) {
    if (place.rest === 'order') return html`<button type="button" class="do" @click=${() => void keepOrder(d)}>Keep the order</button><a class="btn" href="/dawn">Leave it</a>`;
    if (place.rest) return html`<a class="btn do" href="/dawn">Back to the round</a><a class="btn" href="/dawn/help">Help</a>`;
    const s = d.sows.find((x) => x.uid === open) ?? left(d)[0];
    const deed = !s ? html`<a class="btn do" href="/round">To the round</a>` : open === s.uid ? html`<button type="button" class="do" ?disabled=${busy} @click=${() => void keepDraft(d, s)}>Keep, next</button>`
      : s.begun ? html`<button type="button" class="do" @click=${() => see(s, 'now')}>Farrowing now</button>` : html`<button type="button" class="do deed" ?disabled=${busy} @click=${() => void nothingNew(d, s)}><span class="cut">${name(s.name)}</span>${s.suckling ? 'all well' : 'nothing new'}</button>`;
    return html`${deed}<a class="btn" href="/dawn/help">Help</a>`;
  },
  leave() { open = undefined; order = undefined; trouble = undefined; saidNothing(); },
};
