/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Wind at a height, windbreaks, the sow's heat, flow through a door, rain and sun on an opening.
 */
#include "core/nest/own.h"

#include <assert.h>

double nest_wind_at(const struct nest_model *m, double wind10_mps, double height_m)
{
    if (!m)
        m = &nest_published;
    if (!(wind10_mps >= 0.0 && wind10_mps <= 75.0) || !(height_m > 0.0 && height_m <= 10.0))
        return NAN;
    const double factor = log(height_m / m->roughness_m) / log(10.0 / m->roughness_m);
    return wind10_mps * fmax(m->height_least_factor, factor);
}

enum { LEE_DISTANCES = 10, LEE_SOLIDITIES = 6 };

/* Distance in heights (windward side below 0) x solid share. Brandle & Finch 1991, extension circular EC91-1763 (recalled):
 * 40 .. 60 % solid as given there; 0.30, 0.70 and 1.0 are its thinner and denser rows, given from 5 heights on. Nearer than
 * that, and on the windward side, those three rows are assumed. */
static const double lee_distance[LEE_DISTANCES] = { -5.0, 0.0, 0.5, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 40.0 };
static const double lee_solid[LEE_SOLIDITIES] = { 0.0, 0.30, 0.40, 0.60, 0.70, 1.0 };
static const double lee_ratio[LEE_SOLIDITIES][LEE_DISTANCES] = {
    { 1.0, 1.00, 1.00, 1.00, 1.00, 1.00, 1.00, 1.00, 1.00, 1.0 },
    { 1.0, 0.80, 0.70, 0.55, 0.50, 0.65, 0.80, 0.85, 1.00, 1.0 },
    { 1.0, 0.65, 0.55, 0.35, 0.30, 0.50, 0.60, 0.75, 0.95, 1.0 },
    { 1.0, 0.65, 0.55, 0.35, 0.30, 0.50, 0.60, 0.75, 0.95, 1.0 },
    { 1.0, 0.60, 0.50, 0.30, 0.25, 0.35, 0.65, 0.85, 0.95, 1.0 },
    { 1.0, 0.60, 0.55, 0.40, 0.25, 0.70, 0.90, 0.95, 1.00, 1.0 },
};

/* Cell of x among rising knots, and the share of the way through it; beyond the ends the end value. */
static size_t cell(size_t n, const double knots[], double x, double *share)
{
    size_t i = 0;

    while (i + 2 < n && x >= knots[i + 1])
        i++;
    *share = fmin(1.0, fmax(0.0, (x - knots[i]) / (knots[i + 1] - knots[i])));
    return i;
}

double nest_lee_ratio(double distance_heights, double porosity)
{
    double along, across;

    if (!(porosity >= 0.0 && porosity <= 1.0) || isnan(distance_heights))
        return NAN;
    const size_t d = cell(LEE_DISTANCES, lee_distance, distance_heights, &along);
    const size_t s = cell(LEE_SOLIDITIES, lee_solid, 1.0 - porosity, &across);
    const double thin = lee_ratio[s][d] + along * (lee_ratio[s][d + 1] - lee_ratio[s][d]);
    const double dense = lee_ratio[s + 1][d] + along * (lee_ratio[s + 1][d + 1] - lee_ratio[s + 1][d]);
    return thin + across * (dense - thin);
}

double nest_lee_ratio_from(const struct windbreak *b, double wind_from_deg)
{
    double square = 1.0, distance = b->distance_heights;

    if (!isnan(b->bearing_deg)) {
        if (isnan(wind_from_deg))
            return 1.0; /* it may come from the open side */
        const double across = cos((wind_from_deg - b->bearing_deg) * RADIANS);
        square = fmin(1.0, fabs(across) / cos(30.0 * RADIANS));
        if (across < 0.0)
            distance = -distance;
    }
    const double width = isnan(b->width_heights) ? 1.0 : fmin(1.0, b->width_heights / 10.0);
    return 1.0 - (1.0 - nest_lee_ratio(distance, b->porosity)) * square * width;
}

double nest_sow_heat_w(const struct nest_model *m, double sow_kg, double milk_kg_d, double air_c, bool sensible)
{
    if (!m)
        m = &nest_published;
    if (!(sow_kg >= 0.0 && sow_kg <= 600.0) || !(milk_kg_d >= 0.0 && milk_kg_d <= 20.0) || !(air_c >= -60.0 && air_c <= 60.0))
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

double nest_driving_rain_l_m2(double wind_mps, double rain_mm_h, double angle_deg)
{
    if (!(wind_mps >= 0.0) || !(rain_mm_h >= 0.0) || isnan(angle_deg))
        return NAN;
    return 2.0 / 9.0 * wind_mps * pow(rain_mm_h, 8.0 / 9.0) * fmax(0.0, cos(angle_deg * RADIANS));
}

double nest_opening_sun_w_m2(const struct nest_sun *sun, double facing_deg, double albedo, double *beam_w_m2)
{
    const double ghi = sun->ghi_w_m2;
    double beam = 0.0, sky;

    if (beam_w_m2)
        *beam_w_m2 = 0.0;
    if (isnan(ghi) || isnan(facing_deg) || ghi <= 0.0)
        return 0.0;
    if (isnan(sun->dni_w_m2) || isnan(sun->dhi_w_m2) || !(sun->elevation_deg > 0.0)) {
        sky = 0.5 * ghi; /* not known how much is beam: all from the whole sky */
    } else {
        const double high = sin(sun->elevation_deg * RADIANS), level = cos(sun->elevation_deg * RADIANS);
        const double square = fmax(0.0, level * cos((sun->azimuth_deg - facing_deg) * RADIANS));
        const double clear = sun->dni_w_m2 / (isnan(sun->top_w_m2) ? 1366.0 : sun->top_w_m2);
        beam = sun->dni_w_m2 * square;
        sky = sun->dhi_w_m2 * (clear * square / fmax(high, 0.01745) + 0.5 * (1.0 - clear));
    }
    if (beam_w_m2)
        *beam_w_m2 = beam;
    return beam + sky + 0.5 * albedo * ghi;
}

double nest_angle_between(double a_deg, double b_deg)
{
    const double turn = fabs(fmod(a_deg - b_deg, 360.0));

    return turn > 180.0 ? 360.0 - turn : turn;
}

void nest_angle(const struct nest_model *m, double angle_deg, double *through, double *draught)
{
    const double x = angle_deg / 45.0;
    const size_t i = x >= 3.0 ? 3 : (size_t)x;
    const double share = x - (double)i;

    assert(angle_deg >= 0.0 && angle_deg <= 180.0);
    *through = m->through[i] + share * (m->through[i + 1] - m->through[i]);
    *draught = m->draught[i] + share * (m->draught[i + 1] - m->draught[i]);
}
