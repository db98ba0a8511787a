// SPDX-License-Identifier: GPL-3.0-or-later
// Every question and every piece through both doors: the JSON is the same, byte for byte. And text, CSV and calendar.
import { check, farm, finish, leenest, same, serve } from './web.mjs';

const path = farm();
const s = await serve(path);
same((await s.enter()).code, 200, 'the key opens');

const at = '2026-01-22T15:40:00Z';
const document = (await s.ask('/api/openapi.json')).json;
const questions = [], pieces = [];
for (const p of Object.keys(document.paths)) {
  const op = document.paths[p].get;
  if (op?.operationId.startsWith('ask-')) questions.push([p.slice(5), op]);
  if (op?.operationId.startsWith('reckon-')) pieces.push([p.slice(12), op]);
}
check(questions.length >= 8, 'the document names the questions');
check(pieces.length >= 9, 'the document names the pieces');

const sows = leenest(path, 'list', 'animal', '--json');
const has = (op, name) => op.parameters.some((p) => p.name === name);
const asked = []; // [words on the command line, query]
for (const [name, op] of questions) {
  const general = has(op, 'at') ? [['at', at]] : [];
  const sow = op.parameters.find((p) => p.required && p.name.toUpperCase() === p.name);
  const bare = sow ? [[sow.name, name === 'sow' || /sow/i.test(sow.name) ? 'Bramble' : 'Bramble']] : [];
  asked.push([[name], [...bare, ...general]]);
  asked.push([[name], [...bare, ...general, ['known_to', '100']]]);
  if (has(op, 'nights')) asked.push([[name], [...bare, ...general, ['nights', '2']]]);
  if (has(op, 'days')) asked.push([[name], [...bare, ...general, ['days', '30']]]);
  if (has(op, 'hours')) asked.push([[name], [...bare, ...general, ['hours', '12']]]);
  asked.push([[name], [...bare, ...general, ['format', 'text']]]);
  asked.push([[name], [...bare, ...general, ['format', 'text'], ['narrow', '1']]]);
  asked.push([[name], [...bare, ...general, ['format', 'csv']]]);
  asked.push([[name], [...bare, ...general, ['format', 'ics']]]);
  asked.push([[name], [...bare, ...general, ['no-such', '1']]]);
  if (has(op, 'at')) asked.push([[name], [...bare, ['at', 'yesterdayish']]]);
  if (bare.length) asked.push([[name], general], [[name], [[sow.name, 'Nobody'], ...general]]);
}
for (const more of [['sun', 'lat=54.6&lon=-2.4&at=2026-01-22T12:00'], ['sun', 'lat=70&lon=20&at=2026-12-21T12:00'], ['sun', 'lat=100&lon=0&at=2026-01-01'],
  ['beam', 'lat=54.6&lon=-2.4&at=2026-06-22T12:00&facing=135&cloud=0.3'], ['air', 'temp=-3&rh=90%25'], ['air', 'temp=20&dew-point=5'], ['wind-chill', 'temp=-10&wind=15mph'],
  ['wind-at', 'wind=8&height=0.5'], ['lee', 'distance-heights=4&porosity=0.4'], ['due', 'service=2025-10-01&at=2026-01-22T12:00&not-farrowed-by=2026-01-22T11:00'],
  ['due', 'service=2025-10-01&service=2025-10-22&at=2026-01-22T12:00&sign=nest%402026-01-22T08:00&given-pregnant=1'], ['piglet', 'temp=-5&wet=1&suckling=1'],
  ['piglet', 'temp=20F&draught=1&floor=straw&hours=12&series=1'], ['piglet', 'temp=5&wet=1&dry=1'], ['nest', 'shelter=hut&temp=-6&wind=7&wind-from=90&facing=90&wall=steel'],
  ['nest', 'shelter=cave&temp=0&wind=0&wind-from=0'], ['notch', 'LITTER-PIG=40-8'], ['growth', 'weight=30&age=70&mature=250&rate=0.01'], ['payback', 'price=900&yearly-gain=200'],
  ['litter-weight', 'weight=50&age=20'], ['seed', 'crop=rye&area=1']])
  asked.push([['reckon', more[0]], [...new URLSearchParams(more[1])]]);
for (const [name] of pieces) asked.push([['reckon', name], []]); // what is missing is said alike

let alike = 0, refused = 0;
for (const [words, query] of asked) {
  const q = new URLSearchParams(query).toString();
  const format = query.find(([k]) => k === 'format')?.[1] ?? 'json';
  const flags = [];
  for (const [k, v] of query) {
    if (k === 'format') flags.push(...({ json: ['--json'], csv: ['--csv'], ics: ['--ics'], text: [] })[v]);
    else if (k === 'narrow') flags.push('--narrow');
    else if (k === 'known_to') flags.push('--known-to', v);
    else if (k.toUpperCase() === k) flags.unshift(v);
    else if (v === '1' && /^(wet|dry|suckling|series|given-pregnant)$/.test(k)) flags.push(`--${k}`);
    else flags.push(`--${k}=${v}`);
  }
  if (!query.some(([k]) => k === 'format')) flags.push('--json');
  const cli = leenest(path, ...words, ...flags, '--colour', 'never');
  const web = await s.ask(`/api/${words.join('/')}?${q}`);
  const what = `${words.join(' ')} ${q}`;
  if (cli.status === 0 || cli.status === 1) {
    same(web.code, 200, `${what} answers (${web.json?.error?.sentence ?? ''})`);
    if (web.text !== cli.stdout) {
      const i = [...web.text].findIndex((c, k) => c !== cli.stdout[k]);
      check(false, `${what}: differs at ${i}: ${web.text.slice(i - 60, i + 60)} | ${cli.stdout.slice(i - 60, i + 60)}`);
    } else { check(true, what); alike += 1; }
    check(format !== 'json' || web.json !== null, `${what} is JSON`);
  } else {
    check(web.code >= 400 && web.code < 500, `${what}: refused by the command line (${cli.stderr.trim()}), ${web.code} by the web`);
    check(!/--[a-z]/.test(web.json?.error?.sentence ?? '--x'), `${what}: no dashes in ${web.json?.error?.sentence}`);
    refused += 1;
  }
}
check(sows.status === 0, 'the list is there');
const ended = await s.stop();
same(ended.code, 0, 'a clean end');
finish(`${questions.length} questions and ${pieces.length} pieces; ${alike} answers alike, ${refused} refused by both`);
