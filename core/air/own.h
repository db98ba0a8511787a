/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the files of core/air, not for others.
 */
#ifndef CORE_AIR_OWN_H
#define CORE_AIR_OWN_H

#include <math.h>
#include <stdbool.h>

#define AIR_RAD 0.017453292519943295 /* radians in a degree */

static inline bool air_within(double x, double low, double high)
{
    return x >= low && x <= high; /* false for NAN */
}

static inline double air_wrap(double deg) /* 0 <= x < 360 */
{
    const double w = deg - 360.0 * floor(deg / 360.0);
    return w < 360.0 ? w : 0.0;
}

/* The angle between two bearings, 0 .. 180. */
static inline double air_between(double a_deg, double b_deg)
{
    const double w = air_wrap(a_deg - b_deg);
    return w > 180.0 ? 360.0 - w : w;
}

#endif
