/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Many positions at one place. Two things make it fast enough to scan winters of hours for every bearing
 * (bench/bench_sun.c):
 *
 * - within a day the sun moves a degree along the ecliptic, so the series are reckoned for the middle of each UTC day
 * and carried over half a day by their differences; only the clock's turn and the two final angles are left;
 * - sine, cosine and arc are polynomials for the small ranges that come up here, without branches.
 *
 * Together under 1e-6 degree (tests/core/test_sun.c compares with sun_position()). */
#include "core/sun/sun.h"

#include <math.h>

#include "core/sun/own.h"

static const double right_deg = 90.0, eighth_rad = 0.78539816339744831, tan_sixteenth = 0.41421356237309505;

/* Sine and cosine of an angle in degrees, -720 .. 720: Taylor series within 45 degrees, off by less than 1e-11. */
static inline void turn(double deg, double *sine, double *cosine)
{
    const int quarter = (int)(deg / right_deg + (deg < 0.0 ? -0.5 : 0.5));
    const double x = SUN_RAD * (deg - right_deg * quarter), u = x * x;
    const double s =
        x * (1.0 + u * (-1.0 / 6 + u * (1.0 / 120 + u * (-1.0 / 5040 + u * (1.0 / 362880 - u / 39916800)))));
    const double c =
        1.0 +
        u * (-1.0 / 2 + u * (1.0 / 24 + u * (-1.0 / 720 + u * (1.0 / 40320 - u * (1.0 / 3628800 - u / 479001600)))));
    const double swap_s = quarter & 1 ? c : s, swap_c = quarter & 1 ? s : c;
    *sine = quarter & 2 ? -swap_s : swap_s;
    *cosine = (quarter + 1) & 2 ? -swap_c : swap_c;
}

/* atan2 in degrees, -180 .. 180; 0 for 0, 0. A polynomial through Chebyshev's nodes within 22.5 degrees, off by 5e-10
 * degree. */
static inline double arc_deg(double y, double x)
{
    const double ay = fabs(y), ax = fabs(x), small = ay < ax ? ay : ax, large = ay < ax ? ax : ay;
    const bool past = small > tan_sixteenth * large;
    const double above = past ? small - large : small, below = past ? small + large : large;
    const double t = above / (below > 0.0 ? below : 1.0), u = t * t;
    const double near =
        t * (0.999999999978 +
             u * (-0.333333320969 +
                  u * (0.199998838039 +
                       u * (-0.14281587309 + u * (0.110404710308 + u * (-0.0845608957234 + u * 0.0470712984903))))));
    const double first = (past ? near + eighth_rad : near) / SUN_RAD;
    const double half = ay > ax ? right_deg - first : first, full = x < 0.0 ? 180.0 - half : half;
    return y < 0.0 ? -full : full;
}

struct day_sun {
    double sin_l, cos_l, sin_e, cos_e,
        tilt_rate;     /* longitude and obliquity at noon UTC; the latter's change in a day */
    double rate, bend; /* of the longitude, rad per day and per day squared */
    double clock_deg, clock_rate;
};

static struct day_sun day_sun_at(int64_t day)
{
    const double noon_s = 86400.0 * ((double)day + 0.5);
    const struct sun_vector before = sun_vector_at(noon_s - 43200.0), mid = sun_vector_at(noon_s),
                            after = sun_vector_at(noon_s + 43200.0);
    return (struct day_sun){
        .sin_l = sin(mid.longitude_rad),
        .cos_l = cos(mid.longitude_rad),
        .sin_e = sin(mid.obliquity_rad),
        .cos_e = cos(mid.obliquity_rad),
        .tilt_rate = after.obliquity_rad - before.obliquity_rad,
        .rate = after.longitude_rad - before.longitude_rad,
        .bend = 2.0 * (after.longitude_rad - 2.0 * mid.longitude_rad + before.longitude_rad),
        .clock_deg = sun_wrap(mid.clock_deg),
        .clock_rate = after.clock_deg - before.clock_deg,
    };
}

static int64_t day_of(int64_t utc_s)
{
    return utc_s >= 0 ? utc_s / 86400 : -((86399 - utc_s) / 86400);
}

struct spot {
    double sin_lat, cos_lat, lon_deg;
};

static inline void one(const struct day_sun *d, double part, const struct spot *at, double *azimuth_deg,
                       double *elevation_deg)
{
    const double h = part - 0.5, step = h * (d->rate + h * d->bend), tilt = h * d->tilt_rate;
    const double sin_s = step * (1.0 - step * step / 6.0), cos_s = 1.0 - step * step * (0.5 - step * step / 24.0);
    const double x = d->cos_l * cos_s - d->sin_l * sin_s, sin_l = d->sin_l * cos_s + d->cos_l * sin_s;
    const double y = (d->cos_e - tilt * d->sin_e) * sin_l, z = (d->sin_e + tilt * d->cos_e) * sin_l;
    double sin_t, cos_t;
    turn(360.0 * part - 180.0 + at->lon_deg + (d->clock_deg - 180.0) + h * d->clock_rate, &sin_t, &cos_t);
    const double out = -(x * cos_t + y * sin_t), east = -(y * cos_t - x * sin_t); /* half a turn taken off above */
    const double north = z * at->cos_lat - out * at->sin_lat, up = z * at->sin_lat + out * at->cos_lat;
    const double level = sqrt(north * north + east * east), azimuth = arc_deg(east, north);

    const double full = azimuth < 0.0 ? azimuth + 360.0 : azimuth;
    *azimuth_deg = full < 360.0 ? full : 0.0; /* a tiny negative angle rounds up to 360 itself */
    *elevation_deg = arc_deg(up, level) - SUN_PARALLAX_DEG * level;
}

void sun_positions(size_t n, const int64_t utc_s[], double lat_deg, double lon_deg, double azimuth_deg[],
                   double elevation_true_deg[])
{
    const bool known = sun_spot_known(lat_deg, lon_deg);
    const struct spot at = { sin(SUN_RAD * lat_deg), cos(SUN_RAD * lat_deg), lon_deg };
    struct day_sun d = { 0 };
    int64_t day = -1000000; /* none yet: long before 1900 */

    for (size_t i = 0; i < n; i++) {
        double azimuth = NAN, elevation = NAN;
        if (known && sun_time_known(utc_s[i])) {
            const int64_t since_s = utc_s[i] - day * 86400;
            if (since_s < 0 || since_s >= 86400) {
                day = day_of(utc_s[i]);
                d = day_sun_at(day);
            }
            one(&d, (double)(utc_s[i] - day * 86400) / 86400.0, &at, &azimuth, &elevation);
        }
        if (azimuth_deg)
            azimuth_deg[i] = azimuth;
        if (elevation_true_deg)
            elevation_true_deg[i] = elevation;
    }
}
