/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "core/air/air.h"
#include "core/air/own.h"

static const double waver_deg[] = { -20.0, -10.0, 0.0, 10.0, 20.0 };
static const double square_deg = 30.0, full_width_heights = 10.0; /* as in lee.c */

/* What one line drawn from the place towards the wind loses on its way over the break, 0 .. 1. */
static double loss_along(const struct air_line *b, double x_m, double y_m, double towards_deg)
{
    const double ux = sin(AIR_RAD * towards_deg), uy = cos(AIR_RAD * towards_deg);
    const double dx = b->x2_m - b->x_m, dy = b->y2_m - b->y_m, length = hypot(dx, dy);
    const double px = b->x_m - x_m, py = b->y_m - y_m, cross = ux * dy - uy * dx;

    if (!(length > 0.0) || fabs(cross) < 1e-9 * length) /* along the break: no shelter */
        return 0.0;
    const double t = (px * dy - py * dx) / cross;  /* along the wind to the break; under 0: it lies downwind */
    const double at = (px * uy - py * ux) / cross; /* share of the break's length at which it is met */
    if (!(at >= 0.0 && at <= 1.0))
        return 0.0;
    const double square = fabs(cross) / length; /* cosine of the angle off square */
    const double heights = t * square / b->height_m;
    if (heights < -5.0 || heights > 40.0)
        return 0.0;
    return (1.0 - air_lee_ratio(heights, b->porosity)) * fmin(1.0, square / cos(AIR_RAD * square_deg)) *
           fmin(1.0, length / b->height_m / full_width_heights);
}

double air_lee_at(const struct air_line *b, double x_m, double y_m, double wind_from_deg)
{
    double sum = 0.0;

    if (!(b->height_m > 0.0) || !air_within(b->porosity, 0.0, 1.0) || !isfinite(b->x_m + b->y_m + b->x2_m + b->y2_m) ||
        !isfinite(x_m + y_m) || !air_within(wind_from_deg, -360.0, 720.0))
        return NAN;
    for (size_t k = 0; k < COUNT(waver_deg); k++)
        sum += loss_along(b, x_m, y_m, wind_from_deg + waver_deg[k]);
    const size_t n = COUNT(waver_deg);
    return 1.0 - sum / (double)n;
}

double air_lee_among(size_t n, const struct air_line breaks[], double x_m, double y_m, double wind_from_deg)
{
    double least = 1.0;
    for (size_t i = 0; i < n; i++)
        least = fmin(least, air_lee_at(&breaks[i], x_m, y_m, wind_from_deg));
    return least;
}
