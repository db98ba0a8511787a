/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * ASHRAE Handbook - Fundamentals (2017), ch. 1; the numbers beside the formulas are its equations. */
#include "core/air/air.h"

#include <math.h>

#include "core/air/own.h"
#include "core/base/vapour.h"

static const double water_to_air = 0.621945; /* molar masses, 18.015268 / 28.966 */
static const double dry_air_gas = 0.287042;  /* kJ/(kg K) */
static const double coldest_c = -60.0, warmest_c = 60.0, driest = 0.01, thinnest_kpa = 50.0, thickest_kpa = 110.0;

static bool temp_known(double temp_c)
{
    return air_within(temp_c, coldest_c, warmest_c);
}

double air_saturation_kpa(double temp_c)
{
    return temp_known(temp_c) ? vapour_saturation_pa(temp_c) / 1000.0 : (double)NAN;
}

double air_dew_point_c(double temp_c, double rh)
{
    if (!temp_known(temp_c) || !air_within(rh, driest, 1.0))
        return NAN;
    return rh < 1.0 ? vapour_dew_point_c(1000.0 * rh * air_saturation_kpa(temp_c)) : temp_c;
}

double air_rh(double temp_c, double dew_point_c)
{
    if (!temp_known(temp_c) || !air_within(dew_point_c, -95.0, temp_c))
        return NAN;
    return vapour_saturation_pa(dew_point_c) / vapour_saturation_pa(temp_c);
}

double air_humidity_ratio(double vapour_kpa, double pressure_kpa) /* 20 */
{
    if (!air_within(pressure_kpa, thinnest_kpa, thickest_kpa) || !air_within(vapour_kpa, 0.0, 0.5 * pressure_kpa))
        return NAN;
    return water_to_air * vapour_kpa / (pressure_kpa - vapour_kpa);
}

static bool mixture_known(double temp_c, double ratio, double pressure_kpa)
{
    return temp_known(temp_c) && air_within(ratio, 0.0, 0.5) && air_within(pressure_kpa, thinnest_kpa, thickest_kpa);
}

/* Humidity ratio of air at temp_c whose wet bulb stands at bulb_c: 33 over water, 35 over ice. Saturation over the bulb
 * follows the bulb: ice below 0.01 C, and the heat of an ice bulb below 0. */
static double ratio_of_bulb(double temp_c, double bulb_c, double pressure_kpa)
{
    const double full = air_humidity_ratio(vapour_saturation_pa(bulb_c) / 1000.0, pressure_kpa);
    if (bulb_c >= 0.0)
        return ((2501.0 - 2.326 * bulb_c) * full - 1.006 * (temp_c - bulb_c)) /
               (2501.0 + 1.86 * temp_c - 4.186 * bulb_c);
    return ((2830.0 - 0.24 * bulb_c) * full - 1.006 * (temp_c - bulb_c)) / (2830.0 + 1.86 * temp_c - 2.1 * bulb_c);
}

double air_wet_bulb_c(double temp_c, double ratio, double pressure_kpa)
{
    if (!mixture_known(temp_c, ratio, pressure_kpa))
        return NAN;
    if (ratio >= ratio_of_bulb(temp_c, temp_c, pressure_kpa))
        return temp_c;
    /* The ratio grows with the bulb, but falls back where ice turns to water: just above 0 C a bulb of either can stand
     * in the same air. Taken is the wet one, as long as there is one. */
    const bool wet = temp_c > 0.0 && ratio >= ratio_of_bulb(temp_c, 0.0, pressure_kpa);
    double low_c = wet ? 0.0 : -90.0, high_c = wet ? temp_c : fmin(temp_c, -1e-9);
    while (high_c - low_c > 1e-7) {
        const double middle_c = 0.5 * (low_c + high_c);
        if (ratio_of_bulb(temp_c, middle_c, pressure_kpa) > ratio)
            high_c = middle_c;
        else
            low_c = middle_c;
    }
    return 0.5 * (low_c + high_c);
}

double air_enthalpy_kj_kg(double temp_c, double ratio) /* 30 */
{
    return temp_known(temp_c) && air_within(ratio, 0.0, 0.5) ? 1.006 * temp_c + ratio * (2501.0 + 1.86 * temp_c)
                                                             : (double)NAN;
}

double air_volume_m3_kg(double temp_c, double ratio, double pressure_kpa) /* 26 */
{
    if (!mixture_known(temp_c, ratio, pressure_kpa))
        return NAN;
    return dry_air_gas * (temp_c + 273.15) * (1.0 + 1.607858 * ratio) / pressure_kpa;
}

double air_density_kg_m3(double temp_c, double ratio, double pressure_kpa) /* 11 */
{
    return (1.0 + ratio) / air_volume_m3_kg(temp_c, ratio, pressure_kpa);
}

double air_pressure_at_kpa(double altitude_m) /* 3 */
{
    return air_within(altitude_m, -500.0, 9000.0) ? 101.325 * pow(1.0 - 2.25577e-5 * altitude_m, 5.2559) : (double)NAN;
}

double air_dew_point_over_ice_c(double over_water_c)
{
    return vapour_dew_point_over_ice_c(over_water_c);
}

double air_dew_point_over_water_c(double over_ice_c)
{
    return vapour_dew_point_over_water_c(over_ice_c);
}

static enum status check(double temp_c, double pressure_kpa, struct message *why)
{
    if (!temp_known(temp_c))
        return refuse(ST_BAD_INPUT, why, "temp", "temp is %g C; air is taken from %g to %g C", temp_c, coldest_c,
                      warmest_c);
    if (!air_within(pressure_kpa, thinnest_kpa, thickest_kpa))
        return refuse(ST_BAD_INPUT, why, "pressure", "pressure is %g kPa; give %g to %g kPa, as it stands at the place",
                      pressure_kpa, thinnest_kpa, thickest_kpa);
    return ST_OK;
}

static void fill(struct air *a)
{
    a->humidity_ratio = air_humidity_ratio(a->vapour_kpa, a->pressure_kpa);
    a->wet_bulb_c = air_wet_bulb_c(a->temp_c, a->humidity_ratio, a->pressure_kpa);
    a->enthalpy_kj_kg = air_enthalpy_kj_kg(a->temp_c, a->humidity_ratio);
    a->volume_m3_kg = air_volume_m3_kg(a->temp_c, a->humidity_ratio, a->pressure_kpa);
    a->density_kg_m3 = air_density_kg_m3(a->temp_c, a->humidity_ratio, a->pressure_kpa);
}

enum status air_from_rh(double temp_c, double rh, double pressure_kpa, struct air *out, struct message *why)
{
    const enum status st = check(temp_c, pressure_kpa, why);

    if (st != ST_OK)
        return st;
    if (!air_within(rh, driest, 1.0))
        return refuse(ST_BAD_INPUT, why, "rh", "rh is %g; give a fraction from %g to 1, or a percentage with %%", rh,
                      driest);
    struct air a = {
        .temp_c = temp_c, .rh = rh, .pressure_kpa = pressure_kpa, .saturation_kpa = air_saturation_kpa(temp_c)
    };
    a.vapour_kpa = rh * a.saturation_kpa;
    a.dew_point_c = air_dew_point_c(temp_c, rh);
    fill(&a);
    *out = a;
    return ST_OK;
}

enum status air_from_dew_point(double temp_c, double dew_point_c, double pressure_kpa, struct air *out,
                               struct message *why)
{
    const enum status st = check(temp_c, pressure_kpa, why);

    if (st != ST_OK)
        return st;
    if (!air_within(dew_point_c, -95.0, temp_c))
        return refuse(ST_BAD_INPUT, why, "dew_point",
                      "dew_point is %g C in air of %g C; give -95 C up to the air's own temperature", dew_point_c,
                      temp_c);
    struct air a = { .temp_c = temp_c,
                     .dew_point_c = dew_point_c,
                     .pressure_kpa = pressure_kpa,
                     .saturation_kpa = air_saturation_kpa(temp_c),
                     .vapour_kpa = vapour_saturation_pa(dew_point_c) / 1000.0 };
    a.rh = a.vapour_kpa / a.saturation_kpa;
    fill(&a);
    *out = a;
    return ST_OK;
}
