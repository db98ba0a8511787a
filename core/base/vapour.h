/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Water vapour: saturation over ice and over water, and the change from the dew point that weather services report
 * (over water, also below freezing) to the one over ice that this program keeps.
 */
#ifndef CORE_BASE_VAPOUR_H
#define CORE_BASE_VAPOUR_H

/* Saturation vapour pressure.
 *
 * Given     temp_c   over ice -100 .. 0.01; over water -60 .. 100 (below 0: supercooled, the form continued)
 * Returned  Pa; NAN outside the range
 * Source    ASHRAE Handbook - Fundamentals (2017), ch. 1, eq. 5 (ice) and eq. 6 (water), after Hyland & Wexler (1983).
 *           eq. 6 is given for 0 .. 200 C; continued to -45 C it stays within 1 % of the Magnus form over water of
 *           WMO-No. 8, annex 4.B (tests/core/test_vapour.c)
 */
double vapour_over_ice_pa(double temp_c);
double vapour_over_water_pa(double temp_c);

/* Over ice below 0.01 C, over water from there on. */
double vapour_saturation_pa(double temp_c);

/* Dew point as reported (over water) -> over ice below 0.01 C; unchanged above. Range -60 .. 60 C, NAN outside. */
double vapour_dew_point_over_ice_c(double over_water_c);
/* The way back. */
double vapour_dew_point_over_water_c(double over_ice_c);

/* Dew point or frost point for a vapour pressure: vapour_saturation_pa solved for the temperature. Range 0.002 .. 20000
 * Pa. */
double vapour_dew_point_c(double vapour_pa);

#endif
