// SPDX-License-Identifier: GPL-3.0-or-later
// Kinds of fact, as the house describes them: its table makes the forms, so that the page knows no kind by heart. What stands
// here by name is only the order of the menu and kinder words; a kind without them is shown under its own name.
import { ask } from '../base/api.ts';

export interface Field {
  name: string; flag: string; label: string; type: 'text' | 'choice' | 'set' | 'real' | 'whole' | 'day' | 'moment' | 'flag' | 'ref';
  unit: string | null; low: number | null; high: number | null; required: boolean; each: boolean; choices: string[];
  refers_to: string | null; otherwise: string | null; help: string;
}
export interface Kind {
  name: string; help: string; when: string | null; until: string | null; called: string | null; single: boolean;
  exactly_one: string[]; at_least_one: string[]; fields: Field[];
}
export interface Named { uid: string; name: string; tag: string | null; is: string | null; here: boolean }
export type Value = string | number | boolean | null;
export interface Listed {
  uid: string; number: number; recorded: string; who: string | null; device: string | null; called: string;
  fact: Record<string, Value>; shown: Record<string, Value>;
}

export async function kinds(): Promise<Kind[]> { return (await ask<{ kinds: Kind[] }>('kinds')).answer.kinds; }
export async function kindOf(name: string): Promise<Kind> {
  const k = (await kinds()).find((q) => q.name === name || q.name === name.replaceAll('-', '_'));
  if (!k) throw new Error(`There is no kind of record called "${name}".`);
  return k;
}
export async function names(kind: string, on?: string): Promise<Named[]> {
  return (await ask<{ names: Named[] }>(`names/${kind}`, { on })).answer.names;
}
export interface Page { facts: Listed[]; more: boolean }
export async function listed(kind: string, how: { search?: string; before?: number; most?: number } = {}): Promise<Page> {
  return (await ask<Page>(`list/${kind}`, how)).answer;
}

/** Title of a kind, and what its button says. */
const titles: Record<string, [title: string, one: string]> = {
  farm: ['The farm', 'the farm'], person: ['People', 'a person'], breed: ['Breeds', 'a breed'], animal: ['Animals', 'an animal'],
  group: ['Groups', 'a group'], paddock: ['Fields', 'a field'], shelter: ['Huts and buildings', 'a hut'], windbreak: ['Windbreaks', 'a windbreak'], mark: ['Water, wet ground and gateways', 'a mark on the plan'],
  placement: ['Where huts stand', 'where a hut stands'], bedding: ['Bedding', 'bedding'], stock: ['Stores', 'what is in store'], leaving: ['Leavings', 'that an animal left'],
  weighing: ['Weights and condition', 'a weight'], heat: ['Heats', 'a heat'], service: ['Services', 'a service'], boar_run: ['Boar with the sows', 'that a boar ran with them'],
  scan: ['Scans', 'a scan'], return: ['Returns to heat', 'a return'], sign: ['Signs', 'a sign'], look: ['Looks', 'a look'], farrowing: ['Farrowings', 'a farrowing'],
  birth: ['Births, one by one', 'a birth'], weaning: ['Weanings', 'a weaning'], loss: ['Piglets lost', 'that piglets were lost'], move: ['Moves', 'a move'], nested: ['Where they did nest', 'where she did nest'],
  treatment: ['Treatments', 'a treatment'], weather_source: ['Weather sources', 'a weather source'], reading: ['Own readings', 'a reading'],
  tick: ['Ticked off', 'a tick'], note: ['Notes', 'a note'], asked: ['Pigs asked for', 'that pigs are asked for'], season_plan: ['Boar in and out, settled', 'when the boar goes in'],
  pairing: ['Pairings, settled', 'a pairing'], society: ['Rules of breed societies', 'a society\u2019s rule'], setting: ['Settings of the reckoning', 'a setting'],
};
export const kindTitle = (kind: string): string => titles[kind]?.[0] ?? (kind.charAt(0).toUpperCase() + kind.slice(1)).replaceAll('_', ' ');
export const kindOne = (kind: string): string => titles[kind]?.[1] ?? `a ${kind.replaceAll('_', ' ')}`;
/** How the kinds stand together in the menu of records; what is in none comes last. */
export const kindGroups: [string, string[]][] = [
  ['Farrowing', ['look', 'sign', 'farrowing', 'birth', 'nested', 'loss', 'weaning']],
  ['Breeding', ['service', 'boar_run', 'heat', 'scan', 'return', 'pairing', 'season_plan', 'asked', 'society']],
  ['Animals', ['animal', 'group', 'move', 'weighing', 'treatment', 'leaving']],
  ['Huts and field', ['shelter', 'placement', 'bedding', 'stock', 'paddock', 'windbreak', 'mark']],
  ['Weather and the rest', ['reading', 'weather_source', 'tick', 'note', 'person', 'breed', 'setting', 'farm']],
];

/** What is asked for at once beside what is needed; all else waits under "More". */
const asked: Record<string, string[]> = {
  farm: ['elevation_m', 'units', 'declination_deg', 'soil', 'people'], person: ['is', 'phone'], breed: ['gestation_shift_d', 'hardy_k'], animal: ['tag', 'breed', 'born', 'sire', 'dam'], paddock: ['width_m', 'length_m', 'lies', 'drains'],
  shelter: ['is', 'length_m', 'width_m', 'height_m', 'door_width_m', 'door_height_m', 'wall', 'flap'], windbreak: ['paddock', 'porosity', 'length_m', 'bearing_deg'],
  placement: ['paddock', 'facing_deg', 'straw_depth_m', 'straw_state', 'flap'], leaving: ['to', 'why'], weighing: ['how'], heat: ['strength', 'boar'], service: ['boar', 'how'], boar_run: ['to'],
  return: ['from'], sign: ['quiet', 'placement'], look: ['absent'], farrowing: ['born_alive', 'still', 'placement', 'place', 'temper'], birth: ['is'], weaning: ['weaned', 'mass_kg'], loss: ['cause'], move: ['alone'], nested: ['placement'],
  treatment: ['dose', 'why', 'withdrawal_ends'], weather_source: ['contact'], reading: ['paddock'], tick: ['is'], note: ['animal', 'shelter'],
};
export const askedFirst = (kind: string, field: string): boolean => asked[kind]?.includes(field) ?? false;
const plain: Record<string, string> = {
  ai: 'artificial', us: 'US customary', 'us-national': 'US national', 'met-norway': 'world', 'met-norway-complete': 'world, all hours', ultrasound: 'ultrasound',
  'not-at-feed': 'not at the feed', away: 'gone off alone', 'udder-tight': 'udder tight', 'milk-drops': 'milk in drops', 'milk-streams': 'milk in streams', nest: 'makes a nest',
  'fast-breathing': 'breathes fast', temperature: 'warm to the touch', restless: 'up and down', 'bloody-fluid': 'bloody fluid', straining: 'strains', 'vulva-swollen': 'vulva swollen',
  lee: 'in the lee', open: 'in the open', hut: 'hut', barn: 'building', 'put-out': 'in what was put out', seen: 'seen', hand: 'in hand',
};
/** A choice in words. */
export const choiceWord = (choice: string): string => plain[choice] ?? choice.replaceAll('-', ' ');
