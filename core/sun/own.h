/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the files of core/sun, not for others.
 */
#ifndef CORE_SUN_OWN_H
#define CORE_SUN_OWN_H

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

#define SUN_RAD 0.017453292519943295 /* radians in a degree */

#define SUN_PARALLAX_DEG (8.794 / 3600.0) /* of the sun at its mean distance: IAU 1976 */

/* The apparent sun of one moment: direction in equatorial axes, and the angle by which the clock turns them. */
struct sun_vector {
    double x, y, z;       /* to the equinox, 90 degrees east of it, to the pole: unit length */
    double longitude_rad; /* apparent, not wrapped */
    double obliquity_rad;
    double clock_deg; /* mean longitude, aberration and equation of the equinoxes: E = clock - right ascension */
};

static inline bool sun_within(double x, double low, double high)
{
    return x >= low && x <= high; /* false for NAN */
}

static inline double sun_wrap(double deg) /* 0 <= x < 360 */
{
    const double w = deg - 360.0 * floor(deg / 360.0);
    return w < 360.0 ? w : 0.0; /* a tiny negative angle rounds up to 360 itself */
}

static inline double sun_wrap_half(double deg) /* -180 < x <= 180 */
{
    const double w = sun_wrap(deg);
    return w > 180.0 ? w - 360.0 : w;
}

/* 1900-01-01 .. 2100-12-31 */
static inline bool sun_time_known(int64_t utc_s)
{
    return utc_s >= INT64_C(-2208988800) && utc_s < INT64_C(4133980800);
}

static inline bool sun_spot_known(double lat_deg, double lon_deg)
{
    return sun_within(lat_deg, -90.0, 90.0) && sun_within(lon_deg, -180.0, 180.0);
}

/* Julian centuries since 2000-01-01 12:00. */
static inline double sun_centuries(double utc_s)
{
    return (utc_s - 946728000.0) / (86400.0 * 36525.0);
}

struct sun_vector sun_vector_at(double utc_s);
/* Elevation of the middle, parallax taken off, without refraction; degrees. No range is checked. */
double sun_elevation_at(double utc_s, double lat_deg, double lon_deg, double *azimuth_deg);

#define SUN_RISE_DEG (-0.8333) /* 34' of refraction and 16' of half the disc: NOAA solar calculator */

#endif
