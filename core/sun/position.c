/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Meeus, Astronomical Algorithms (2nd ed. 1998): ch. 25 for the sun, 28.1 for the equation of time, 16 for refraction.
 */
#include "core/sun/sun.h"

#include <math.h>

#include "core/sun/own.h"

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
        .x = cos(longitude),
        .y = cos_e * sin_l,
        .z = sin(obliquity) * sin_l,
        .longitude_rad = longitude,
        .obliquity_rad = obliquity,
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
    const double out = v.x * cos(turned) + v.y * sin(turned); /* towards the meridian, in the plane of the equator */
    const double east = v.y * cos(turned) - v.x * sin(turned);
    const double north = v.z * cos(lat) - out * sin(lat), up = v.z * sin(lat) + out * cos(lat);
    const double level = hypot(north, east);

    if (azimuth_deg)
        *azimuth_deg = sun_wrap(atan2(east, north) / SUN_RAD);
    return atan2(up, level) / SUN_RAD - SUN_PARALLAX_DEG * level;
}

double sun_refraction_deg(double elevation_true_deg, double pressure_kpa, double temp_c)
{
    if (!sun_within(elevation_true_deg, -90.0, 90.0) || !sun_within(pressure_kpa, 50.0, 110.0) ||
        !sun_within(temp_c, -70.0, 60.0))
        return NAN;
    const double end_deg =
        -10.5; /* ours: between tables that apply none below the horizon and those that hold the value */
    const double h = fmax(elevation_true_deg, SUN_RISE_DEG);
    const double arcmin = 1.02 / tan(SUN_RAD * (h + 10.3 / (h + 5.11)));
    const double below =
        elevation_true_deg >= SUN_RISE_DEG ? 1.0 : fmax(0.0, (elevation_true_deg - end_deg) / (SUN_RISE_DEG - end_deg));
    return fmax(0.0, arcmin) / 60.0 * below * (pressure_kpa / 101.0) * (283.0 / (273.0 + temp_c));
}

struct sun_position sun_position_in_air(int64_t utc_s, double lat_deg, double lon_deg, double pressure_kpa,
                                        double temp_c)
{
    struct sun_position p = { NAN, NAN, NAN };

    if (!sun_time_known(utc_s) || !sun_spot_known(lat_deg, lon_deg) ||
        isnan(sun_refraction_deg(0.0, pressure_kpa, temp_c)))
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
