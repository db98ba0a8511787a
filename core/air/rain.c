/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * ISO 15927-3:2009, Hygrothermal performance of buildings - Calculation of a driving rain index for vertical surfaces
 * from hourly wind and rain data. The factors are from memory of the standard. */
#include "core/air/air.h"

#include <math.h>

#include "core/air/own.h"
#include "core/base/attr.h"

static const double hours_in_year = 8766.0;

const char *const air_ground_name[AIR_GROUND_END] = { "open", "farmland", "suburb", "town" };

double air_driving_rain_l_m2(double wind_mps, double rain_mm, double angle_deg)
{
    if (!air_within(wind_mps, 0.0, 75.0) || !air_within(rain_mm, 0.0, 500.0) || !isfinite(angle_deg))
        return NAN;
    const double toward = cos(AIR_RAD * angle_deg);
    return toward > 0.0 ? 2.0 / 9.0 * wind_mps * pow(rain_mm, 8.0 / 9.0) * toward : 0.0;
}

/* What one hour adds; NAN when it cannot be told. */
static double hour_adds(const struct hour *h, double facing_deg, bool *wet)
{
    *wet = false;
    if (h->rain_mm == 0.0 || h->temp_c <= AIR_RAIN_FROM_C || h->snow)
        return 0.0;
    if (isnan(h->rain_mm) || isnan(h->temp_c) || isnan(h->wind_mps))
        return NAN;
    *wet = true;
    if (h->wind_mps == 0.0 || h->wind_variable)
        return 0.0;
    return air_driving_rain_l_m2(h->wind_mps, h->rain_mm, h->wind_from_deg - facing_deg);
}

struct air_rain_index air_rain_index(size_t n, const struct hour hours[], double facing_deg)
{
    struct air_rain_index r = { 0 };

    for (size_t i = 0; i < n; i++) {
        bool wet;
        const double adds = hour_adds(&hours[i], facing_deg, &wet);
        if (isnan(adds)) {
            r.not_known++;
            continue;
        }
        r.hours++;
        r.wet_hours += wet;
        r.index_l_m2 += adds;
    }
    r.per_year_l_m2 = r.hours ? r.index_l_m2 * hours_in_year / (double)r.hours : (double)NAN;
    return r;
}

static const struct {
    double k, roughness_m, least_m;
} ground[AIR_GROUND_END] = {
    [AIR_OPEN] = { 0.17, 0.01, 2.0 },
    [AIR_FARMLAND] = { 0.19, 0.05, 4.0 },
    [AIR_SUBURB] = { 0.22, 0.3, 8.0 },
    [AIR_TOWN] = { 0.24, 1.0, 16.0 },
};

double air_rain_roughness(enum air_ground g, double height_m)
{
    if ((int)g < 0 || g >= AIR_GROUND_END || !air_within(height_m, 0.1, 100.0))
        return NAN;
    return ground[g].k * log(fmax(height_m, ground[g].least_m) / ground[g].roughness_m);
}

static const struct {
    double up_to_m, factor;
} obstruction[] = {
    { 8.0, 0.2 },  { 15.0, 0.3 }, { 25.0, 0.4 },  { 40.0, 0.5 },
    { 60.0, 0.6 }, { 80.0, 0.7 }, { 100.0, 0.8 }, { 120.0, 0.9 },
};

double air_rain_obstruction(double distance_m)
{
    if (!(distance_m >= 4.0))
        return NAN; /* nearer than the standard's table begins */
    for (size_t i = 0; i < COUNT(obstruction); i++)
        if (distance_m <= obstruction[i].up_to_m)
            return obstruction[i].factor;
    return 1.0;
}
