/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/air/air.h"

#include <math.h>

#include "core/air/own.h"
#include "core/base/attr.h"

/* Wind behind a long break over open wind, by distance and solid share. Brandle & Finch (1991), University of Nebraska
 * extension EC91-1763 (from memory): 40 .. 60 % solid from 0.5 heights on; one row of leafless broad-leaved trees
 * (25-35 %), several rows of conifers (60-80 %) and a solid fence from 5 heights on. Nearer than that those three are
 * our own estimate, and so are the windward side (the effect begins 2 to 5 heights before the break: the same circular)
 * and 40 heights. */
static const double porosity_of[] = { 0.0, 0.30, 0.40, 0.60, 0.70, 1.0 };
static const struct {
    double heights, ratio[COUNT(porosity_of)];
} lee[] = {
    /* clang-format off */
    { -5.0, { 1.00, 1.00, 1.00, 1.00, 1.00, 1.0 } },
    { 0.0, { 0.60, 0.60, 0.65, 0.65, 0.80, 1.0 } },
    { 0.5, { 0.55, 0.50, 0.55, 0.55, 0.70, 1.0 } },
    { 2.0, { 0.40, 0.30, 0.35, 0.35, 0.55, 1.0 } },
    { 5.0, { 0.25, 0.25, 0.30, 0.30, 0.50, 1.0 } },
    { 10.0, { 0.70, 0.35, 0.50, 0.50, 0.65, 1.0 } },
    { 15.0, { 0.90, 0.65, 0.60, 0.60, 0.80, 1.0 } },
    { 20.0, { 0.95, 0.85, 0.75, 0.75, 0.85, 1.0 } },
    { 30.0, { 1.00, 0.95, 0.95, 0.95, 1.00, 1.0 } },
    { 40.0, { 1.00, 1.00, 1.00, 1.00, 1.00, 1.0 } },
};
/* clang-format on */

static const double square_deg = 30.0; /* full effect within this of square: the same circular */
static const double full_width_heights = 10.0;
static const double solid_under = 0.2;

static double along_row(size_t i, double porosity)
{
    size_t j = 1;

    while (j + 1 < COUNT(porosity_of) && porosity > porosity_of[j])
        j++;
    const double part = (porosity - porosity_of[j - 1]) / (porosity_of[j] - porosity_of[j - 1]);
    return lee[i].ratio[j - 1] + part * (lee[i].ratio[j] - lee[i].ratio[j - 1]);
}

double air_lee_ratio(double distance_heights, double porosity)
{
    if (!air_within(distance_heights, -20.0, 60.0) || !air_within(porosity, 0.0, 1.0))
        return NAN;
    if (distance_heights <= lee[0].heights || distance_heights >= lee[COUNT(lee) - 1].heights)
        return 1.0;
    size_t i = 1;
    while (distance_heights > lee[i].heights)
        i++;
    const double part = (distance_heights - lee[i - 1].heights) / (lee[i].heights - lee[i - 1].heights);
    const double near = along_row(i - 1, porosity), far = along_row(i, porosity);
    return near + part * (far - near);
}

bool air_lee_eddies(double distance_heights, double porosity)
{
    return air_within(distance_heights, 1.0, 3.0) && porosity >= 0.0 && porosity < solid_under;
}

double air_lee_ratio_from(const struct air_break *b, double wind_from_deg)
{
    const double width = isnan(b->width_heights) ? full_width_heights : b->width_heights;

    if (!air_within(b->distance_heights, 0.0, 60.0) || !air_within(b->porosity, 0.0, 1.0) || !(width >= 0.0) ||
        !air_within(wind_from_deg, -360.0, 720.0) || !air_within(b->bearing_deg, -360.0, 720.0))
        return NAN;
    const double angle = air_between(wind_from_deg, b->bearing_deg);
    const bool behind = angle < 90.0; /* the wind reaches the break first */
    const double off_square = behind ? angle : 180.0 - angle;
    const double ratio = air_lee_ratio(behind ? b->distance_heights : fmax(-20.0, -b->distance_heights), b->porosity);
    const double turned = fmin(1.0, cos(AIR_RAD * off_square) / cos(AIR_RAD * square_deg));
    return 1.0 - (1.0 - ratio) * fmax(0.0, turned) * fmin(1.0, width / full_width_heights);
}
