// SPDX-License-Identifier: GPL-3.0-or-later
// Moist air by PsychroLib: a table for tests/witness/test_libraries.c.
import { createRequire } from 'node:module';

const air = createRequire(import.meta.url)('psychrolib');
air.SetUnitSystem(air.SI);

console.log('what,temp_c,rh,pressure_pa,saturation_pa,vapour_pa,ratio,enthalpy_j,dew_c,bulb_c,volume,density');
for (let t = -55; t <= 55; t += 2.5)
  for (const rh of [0.05, 0.2, 0.4, 0.6, 0.8, 0.95, 1])
    for (const p of [101325, 89875]) {
      const w = air.GetHumRatioFromRelHum(t, rh, p);
      const row = [t, rh, p, air.GetSatVapPres(t), air.GetVapPresFromRelHum(t, rh), w, air.GetMoistAirEnthalpy(t, w),
        air.GetTDewPointFromRelHum(t, rh), air.GetTWetBulbFromRelHum(t, rh, p), air.GetMoistAirVolume(t, w, p),
        air.GetMoistAirDensity(t, w, p)];
      console.log(`air,${row.join(',')}`);
    }
