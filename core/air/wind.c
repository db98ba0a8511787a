/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/air/air.h"

#include <math.h>

#include "core/air/own.h"

static const double least_factor = 0.2; /* near the ground the law runs to nothing; wind does not */
static const double chill_warmest_c = 10.0, chill_least_kmh = 4.8;

static bool wind_known(double wind_mps)
{
    return air_within(wind_mps, 0.0, 75.0);
}

double air_wind_factor(double height_m, double roughness_m)
{
    if (!air_within(height_m, 0.01, 50.0) || !air_within(roughness_m, 0.0001, 2.0))
        return NAN;
    return fmax(least_factor, log(height_m / roughness_m) / log(10.0 / roughness_m));
}

double air_wind_at_mps(double wind10_mps, double height_m, double roughness_m)
{
    return wind_known(wind10_mps) ? wind10_mps * air_wind_factor(height_m, roughness_m) : (double)NAN;
}

double air_wind_power_factor(double height_m, double exponent)
{
    if (!air_within(height_m, 0.01, 50.0) || !air_within(exponent, 0.05, 0.6))
        return NAN;
    return pow(height_m / 10.0, exponent);
}

double air_gust_guess_mps(double wind10_mps, double roughness_m)
{
    if (!wind_known(wind10_mps) || !air_within(roughness_m, 0.0001, 2.0))
        return NAN;
    return wind10_mps * (1.0 + 2.4 / log(10.0 / roughness_m));
}

static bool chill_wind(double wind_mps)
{
    return 3.6 * wind_mps >= chill_least_kmh - 1e-9; /* 4.8 km/h given as m/s still counts */
}

double air_wind_chill_c(double temp_c, double wind_mps)
{
    if (!air_within(temp_c, -60.0, chill_warmest_c) || !wind_known(wind_mps) || !chill_wind(wind_mps))
        return NAN;
    const double v = pow(3.6 * wind_mps, 0.16);
    return 13.12 + 0.6215 * temp_c - 11.37 * v + 0.3965 * temp_c * v;
}

const char *air_wind_chill_none(double temp_c, double wind_mps)
{
    if (isnan(temp_c) || isnan(wind_mps))
        return "Temperature or wind is not known.";
    if (temp_c > chill_warmest_c)
        return "Wind chill is not used above 10 C.";
    if (!chill_wind(wind_mps))
        return "Wind chill is not used in wind under 4.8 km/h (1.33 m/s).";
    return isnan(air_wind_chill_c(temp_c, wind_mps)) ? "Wind chill is not used below -60 C or in wind over 75 m/s."
                                                     : NULL;
}
