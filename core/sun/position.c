/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Meeus, Astronomical Algorithms (2nd ed. 1998): ch. 25 for the sun, 28.1 for the equation of time, 16 for refraction. */
#include "core/sun/sun.h"

#include <math.h>

#include "core/sun/own.h"

static const double parallax_deg = 8.794 / 3600.0; /* of the sun at its mean distance: IAU 1976 */

struct sun_vector sun_vector_at(double utc_s)
{
    const double t = sun_centuries(utc_s);
    const double mean_deg = 280.46646 + t * (36000.76983 + 0.0003032 * t);
    const double m = SUN_RAD * (357.52911 + t * (35999.05029 - 0.0001537 * t));
    const double w = SUN_RAD * (125.04 - 1934.136 * t);
    const double sin_m = sin(m), cos_m = cos(m), sin_w = sin(w);
    const double centre_deg = (1.914602 - t * (0.004817 + 0.000014 * t)) * sin_m +
                              (0.019993 - 0.000101 * t) * 2.0 * sin_m * cos_m +
                              0.000289 * sin_m * (3.0 - 4.0 * sin_m * sin_m); /* sin 2M, sin 3M */
    const double longitude = SUN_RAD * (mean_deg + centre_deg - 0.00569 - 0.00478 * sin_w);
    const double obliquity = SUN_RAD * (23.4392911 - 0.0130042 * t + 0.00256 * cos(w));
    const double sin_l = sin(longitude), cos_e = cos(obliquity);

    return (struct sun_vector){
        .x = cos(longitude), .y = cos_e * sin_l, .z = sin(obliquity) * sin_l,
        .longitude_rad = longitude, .obliquity_rad = obliquity,
        .clock_deg = mean_deg - 0.0057183 - 0.00478 * sin_w * cos_e, /* 28.1 without its right ascension */
    };
}

/* Degrees by which the meridian of the place has turned past the equinox. */
static double turned_deg(const struct sun_vector *v, double utc_s, double lon_deg)
{
    return (utc_s - 86400.0 * floor(utc_s / 86400.0)) / 240.0 - 180.0 + lon_deg + v->clock_deg;
}

double sun_elevation_at(double utc_s, double lat_deg, double lon_deg, double *azimuth_deg)
{
    const struct sun_vector v = sun_vector_at(utc_s);
    const double turned = SUN_RAD * turned_deg(&v, utc_s, lon_deg), lat = SUN_RAD * lat_deg;
    const double out = v.x * cos(turned) + v.y * sin(turned);   /* towards the meridian, in the plane of the equator */
    const double east = v.y * cos(turned) - v.x * sin(turned);
    const double north = v.z * cos(lat) - out * sin(lat), up = v.z * sin(lat) + out * cos(lat);
    const double level = hypot(north, east);

    if (azimuth_deg)
        *azimuth_deg = sun_wrap(atan2(east, north) / SUN_RAD);
    return atan2(up, level) / SUN_RAD - parallax_deg * level;
}

double sun_refraction_deg(double elevation_true_deg, double pressure_kpa, double temp_c)
{
    if (!sun_within(elevation_true_deg, -90.0, 90.0) || !sun_within(pressure_kpa, 50.0, 110.0) ||
        !sun_within(temp_c, -70.0, 60.0))
        return NAN;
    const double end_deg = -10.5; /* ours: between tables that apply none below the horizon and those that hold the value */
    const double h = fmax(elevation_true_deg, SUN_RISE_DEG);
    const double arcmin = 1.02 / tan(SUN_RAD * (h + 10.3 / (h + 5.11)));
    const double below = elevation_true_deg >= SUN_RISE_DEG
                             ? 1.0
                             : fmax(0.0, (elevation_true_deg - end_deg) / (SUN_RISE_DEG - end_deg));
    return fmax(0.0, arcmin) / 60.0 * below * (pressure_kpa / 101.0) * (283.0 / (273.0 + temp_c));
}

struct sun_position sun_position_in_air(int64_t utc_s, double lat_deg, double lon_deg, double pressure_kpa, double temp_c)
{
    struct sun_position p = { NAN, NAN, NAN };

    if (!sun_time_known(utc_s) || !sun_spot_known(lat_deg, lon_deg) || isnan(sun_refraction_deg(0.0, pressure_kpa, temp_c)))
        return p;
    p.elevation_true_deg = sun_elevation_at((double)utc_s, lat_deg, lon_deg, &p.azimuth_deg);
    p.elevation_deg = p.elevation_true_deg + sun_refraction_deg(p.elevation_true_deg, pressure_kpa, temp_c);
    return p;
}

struct sun_position sun_position(int64_t utc_s, double lat_deg, double lon_deg)
{
    return sun_position_in_air(utc_s, lat_deg, lon_deg, 101.0, 10.0); /* the air Saemundsson's form is made for */
}

struct sun_place sun_place(int64_t utc_s)
{
    if (!sun_time_known(utc_s))
        return (struct sun_place){ NAN, NAN, NAN, NAN, NAN };
    const struct sun_vector v = sun_vector_at((double)utc_s);
    const double ascension_deg = sun_wrap(atan2(v.y, v.x) / SUN_RAD);
    return (struct sun_place){
        .longitude_deg = sun_wrap(v.longitude_rad / SUN_RAD),
        .right_ascension_deg = ascension_deg,
        .declination_deg = asin(v.z) / SUN_RAD,
        .obliquity_deg = v.obliquity_rad / SUN_RAD,
        .equation_of_time_min = 4.0 * sun_wrap_half(v.clock_deg - ascension_deg),
    };
}

double sun_hour_angle_deg(int64_t utc_s, double lon_deg)
{
    if (!sun_time_known(utc_s) || !sun_within(lon_deg, -180.0, 180.0))
        return NAN;
    const struct sun_vector v = sun_vector_at((double)utc_s);
    return sun_wrap_half(turned_deg(&v, (double)utc_s, lon_deg) - atan2(v.y, v.x) / SUN_RAD);
}

/* ---- Many at once ----
 *
 * Within a day the sun moves a degree along the ecliptic, so the series are reckoned once for the middle of each UTC day
 * and carried over half a day by their first two differences; only the clock's turn and the two final angles are left for
 * each moment. Measured in bench/bench_sun.c; the carrying costs under 1e-6 degree (tests/core/test_sun.c). */
struct day_sun {
    int64_t day;
    double sin_l, cos_l, sin_e, cos_e, tilt_rate;
    double rate, bend;       /* longitude, rad per day and per day squared */
    double clock_deg, clock_rate;
};

static void day_sun_at(struct day_sun *d, int64_t day)
{
    const double noon_s = 86400.0 * ((double)day + 0.5);
    const struct sun_vector before = sun_vector_at(noon_s - 43200.0), mid = sun_vector_at(noon_s),
                            after = sun_vector_at(noon_s + 43200.0);
    d->day = day;
    d->sin_l = sin(mid.longitude_rad);
    d->cos_l = cos(mid.longitude_rad);
    d->sin_e = sin(mid.obliquity_rad);
    d->cos_e = cos(mid.obliquity_rad);
    d->tilt_rate = after.obliquity_rad - before.obliquity_rad;
    d->rate = after.longitude_rad - before.longitude_rad;
    d->bend = 2.0 * (after.longitude_rad - 2.0 * mid.longitude_rad + before.longitude_rad);
    d->clock_deg = mid.clock_deg;
    d->clock_rate = after.clock_deg - before.clock_deg;
}

static int64_t day_of(int64_t utc_s)
{
    return utc_s >= 0 ? utc_s / 86400 : -((86399 - utc_s) / 86400);
}

void sun_positions(size_t n, const int64_t utc_s[], double lat_deg, double lon_deg, double azimuth_deg[],
                   double elevation_true_deg[])
{
    const bool spot = sun_spot_known(lat_deg, lon_deg);
    const double sin_lat = sin(SUN_RAD * lat_deg), cos_lat = cos(SUN_RAD * lat_deg);
    struct day_sun d = { .day = INT64_MIN };

    for (size_t i = 0; i < n; i++) {
        double azimuth = NAN, elevation = NAN;
        if (spot && sun_time_known(utc_s[i])) {
            const int64_t day = day_of(utc_s[i]);
            if (day != d.day)
                day_sun_at(&d, day);
            const double part = (double)(utc_s[i] - day * 86400) / 86400.0, h = part - 0.5;
            const double step = h * (d.rate + h * d.bend), sin_s = step * (1.0 - step * step / 6.0),
                         cos_s = 1.0 - step * step * (0.5 - step * step / 24.0);
            const double x = d.cos_l * cos_s - d.sin_l * sin_s, sin_l = d.sin_l * cos_s + d.cos_l * sin_s;
            const double tilt = h * d.tilt_rate;
            const double y = (d.cos_e - tilt * d.sin_e) * sin_l, z = (d.sin_e + tilt * d.cos_e) * sin_l;
            const double turned = SUN_RAD * (360.0 * part - 180.0 + lon_deg + sun_wrap(d.clock_deg) + h * d.clock_rate);
            const double sin_t = sin(turned), cos_t = cos(turned);
            const double out = x * cos_t + y * sin_t, east = y * cos_t - x * sin_t;
            const double north = z * cos_lat - out * sin_lat, up = z * sin_lat + out * cos_lat;
            const double level = sqrt(north * north + east * east);
            azimuth = atan2(east, north) / SUN_RAD;
            azimuth += azimuth < 0.0 ? 360.0 : 0.0;
            azimuth = azimuth < 360.0 ? azimuth : 0.0;
            elevation = atan2(up, level) / SUN_RAD - parallax_deg * level;
        }
        if (azimuth_deg)
            azimuth_deg[i] = azimuth;
        if (elevation_true_deg)
            elevation_true_deg[i] = elevation;
    }
}
