// SPDX-License-Identifier: GPL-3.0-or-later
// Farms that a test makes for itself, by the command line: a place, its fields and huts, and hours of weather as wanted.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const program = process.env.LEENEST ?? join(import.meta.dirname ?? '.', '../../build/leenest');

/** An empty farm file in a folder of its own. `tell('record', 'sow', ...)` runs the program on it; a refusal is thrown. */
export function newFarm({ name = 'Larkmoor', lat = 54.62, lon = -2.41, zone = 'Europe/London', at } = {}) {
  const folder = mkdtempSync(join(tmpdir(), 'leenest-made-')), path = join(folder, 'farm.leenest');
  const tell = (...args) => {
    const r = spawnSync(program, ['--farm', path, ...args], { encoding: 'utf8' });
    if (r.status !== 0) throw new Error(`leenest ${args.join(' ')}: ${r.stderr}`);
    return r.stdout;
  };
  tell('record', 'farm', '--name', name, '--lat', String(lat), '--lon', String(lon), '--zone', zone);
  if (at) tell('record', 'setting', '--name', 'show-at', '--value', at);
  return { path, folder, tell, close: () => rmSync(folder, { recursive: true, force: true }),
    /** Hours `hours(i)` = { temp, wind, from } from `first` (ms) on, as past years or as a forecast. */
    weather(as, first, n, hour, more = []) {
      const rows = ['# hut-weather 1', `# place,${name}`, `# lat,${lat}`, `# lon,${lon}`, 'time,temp_c,wind_ms,wind_from_deg,rain_mm,rh_pct,cloud_oktas'];
      for (let i = 0; i < n; i++) {
        const h = { temp: -2, wind: 6, from: 270, rain: 0, rh: 85, cloud: 8, ...hour(i) };
        rows.push([new Date(first + i * 3600e3).toISOString().replace('.000', ''), h.temp, h.wind, h.from, h.rain, h.rh, h.cloud].join(','));
      }
      const file = join(folder, `${as}.csv`);
      writeFileSync(file, rows.join('\n') + '\n');
      return tell('weather', 'import', file, '--as', as, ...more);
    } };
}
