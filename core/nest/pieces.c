/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A windbreak's lee, the sow's heat, flow through a door, sun on it, angles.
 */
#include "core/nest/own.h"

#include <assert.h>

#include "core/air/air.h"
#include "core/sun/sun.h"

double nest_lee_ratio(const struct windbreak *b, double wind_from_deg)
{
    if (isnan(b->bearing_deg)) {
        const double width = isnan(b->width_heights) ? 1.0 : fmin(1.0, b->width_heights / 10.0);
        return 1.0 - (1.0 - air_lee_ratio(b->distance_heights, b->porosity)) * width;
    }
    if (isnan(wind_from_deg))
        return 1.0; /* it may come from the open side */
    const struct air_break there = {
        .distance_heights = fabs(b->distance_heights),
        .porosity = b->porosity,
        .bearing_deg = b->distance_heights < 0.0 ? b->bearing_deg + 180.0 - (b->bearing_deg >= 180.0 ? 360.0 : 0.0)
                                                 : b->bearing_deg,
        .width_heights = b->width_heights,
    };
    return air_lee_ratio_from(&there, wind_from_deg);
}

double nest_sow_heat_w(const struct nest_model *m, double sow_kg, double milk_kg_d, double air_c, bool sensible)
{
    if (!m)
        m = &nest_published;
    if (!(sow_kg >= 0.0 && sow_kg <= 600.0) || !(milk_kg_d >= 0.0 && milk_kg_d <= 20.0) ||
        !(air_c >= -60.0 && air_c <= 60.0))
        return NAN;
    if (sow_kg == 0.0)
        return 0.0;
    const double at_20_w = m->sow_total_coef * pow(sow_kg, 0.75) + m->sow_milk_coef * milk_kg_d;
    const double by_temp = 1.0 + m->sow_per_k * (20.0 - air_c);
    const double cube = air_c * air_c * air_c;

    return at_20_w * (sensible ? fmax(0.0, m->sow_sensible_0 * by_temp - m->sow_sensible_6 * cube * cube) : by_temp);
}

double nest_flow_single(const struct nest_model *m, double door_m2, double height_m, double wind_mps, double warmer_k)
{
    if (!m)
        m = &nest_published;
    if (!(door_m2 >= 0.0) || !(height_m >= 0.0) || !(wind_mps >= 0.0) || isnan(warmer_k))
        return NAN;
    return 0.5 * door_m2 *
           sqrt(m->flow_wind * wind_mps * wind_mps + m->flow_buoyancy * height_m * fabs(warmer_k) + m->flow_rest);
}

double nest_sun_in_w_m2(const struct nest_sun *sun, double facing_deg, double albedo)
{
    if (!(sun->ghi_w_m2 > 0.0) || isnan(facing_deg))
        return 0.0;
    if (isnan(sun->dni_w_m2) || isnan(sun->dhi_w_m2) || !(sun->elevation_deg > 0.0))
        return 0.5 * sun->ghi_w_m2 * (1.0 + albedo); /* not known how much is beam: all from the whole sky */
    const struct sun_light light = { sun->ghi_w_m2, sun->dni_w_m2, sun->dhi_w_m2 };
    return sun_into_opening_w_m2(facing_deg, albedo, &light, sun->elevation_deg, sun->azimuth_deg,
                                 isnan(sun->top_w_m2) ? 1366.1 : sun->top_w_m2, NULL);
}

double nest_angle_between(double a_deg, double b_deg)
{
    const double turn = fabs(fmod(a_deg - b_deg, 360.0));

    return turn > 180.0 ? 360.0 - turn : turn;
}

/* Slope at knot i of a table over equal steps: none at both ends, where the angle folds back on itself, nor where the
 * table turns; else the harmonic mean of its neighbours' (Fritsch & Carlson 1980), so that nothing overshoots. */
static double slope_at(const double v[5], size_t i)
{
    if (i == 0 || i == 4)
        return 0.0;
    const double before = v[i] - v[i - 1], after = v[i + 1] - v[i];
    return before * after > 0.0 ? 2.0 * before * after / (before + after) : 0.0;
}

static double along(const double v[5], size_t i, double share)
{
    const double rest = 1.0 - share, s0 = slope_at(v, i), s1 = slope_at(v, i + 1);

    return rest * rest * ((1.0 + 2.0 * share) * v[i] + share * s0) +
           share * share * ((3.0 - 2.0 * share) * v[i + 1] - rest * s1);
}

void nest_angle(const struct nest_model *m, double angle_deg, double *through, double *draught)
{
    const double x = angle_deg / 45.0;
    const size_t i = x >= 3.0 ? 3 : (size_t)x;

    assert(angle_deg >= 0.0 && angle_deg <= 180.0);
    *through = along(m->through, i, x - (double)i);
    *draught = along(m->draught, i, x - (double)i);
}
