/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/sun/sun.h"

#include <math.h>

#include "core/base/attr.h"
#include "core/base/civil.h"
#include "core/sun/own.h"

static const double nothing_known_oktas = 4.0; /* half a sky: least wrong where nobody looked */
static const double most_dni_w_m2 = 1000.0;    /* the strongest beams measured at low altitude are near this */

static const struct sun_light not_known = { NAN, NAN, NAN }, dark = { 0.0, 0.0, 0.0 };

double sun_air_mass(double zenith_deg)
{
    if (!sun_within(zenith_deg, 0.0, 90.0))
        return NAN;
    return 1.0 / (cos(SUN_RAD * zenith_deg) + 0.50572 * pow(96.07995 - zenith_deg, -1.6364));
}

double sun_top_w_m2(int day_of_year)
{
    if (day_of_year < 1 || day_of_year > 366)
        return NAN;
    return 1366.1 *
           (1.0 + 0.033412 * cos(SUN_RAD * 360.0 * (day_of_year - 3) / 365.0)); /* Spencer's first term, 1971 */
}

double sun_top_at_w_m2(int64_t utc_s)
{
    if (!sun_time_known(utc_s))
        return NAN;
    const struct civil c = civil_from_seconds(utc_s);
    return sun_top_w_m2(civil_day_of_year(c.year, c.month, c.day));
}

double sun_haurwitz_w_m2(double elevation_deg)
{
    if (!sun_within(elevation_deg, -90.0, 90.0))
        return NAN;
    const double s = sin(SUN_RAD * elevation_deg);
    return s > 0.0 ? 1098.0 * s * exp(-0.059 / s) : 0.0;
}

struct sun_light sun_ineichen(double elevation_deg, double air_mass, double linke, double altitude_m, double top_w_m2)
{
    if (!sun_within(elevation_deg, -90.0, 90.0) || !sun_within(linke, 1.0, 10.0) ||
        !sun_within(altitude_m, -500.0, 9000.0) || !sun_within(top_w_m2, 0.0, 1500.0))
        return not_known;
    const double s = sin(SUN_RAD * elevation_deg);
    if (!(s > 0.0))
        return dark;
    if (!sun_within(air_mass, 0.0, 60.0))
        return not_known;
    const double fh1 = exp(-altitude_m / 8000.0), fh2 = exp(-altitude_m / 1250.0);
    const double cg1 = 5.09e-5 * altitude_m + 0.868, cg2 = 3.92e-5 * altitude_m + 0.0387;
    const double ghi = cg1 * top_w_m2 * s * exp(-cg2 * air_mass * (fh1 + fh2 * (linke - 1.0)));
    const double b = 0.664 + 0.163 / fh1;
    const double by_beam = top_w_m2 * b * exp(-0.09 * air_mass * (linke - 1.0));
    const double by_ghi = ghi * (1.0 - (0.1 - 0.2 * exp(-linke)) / (0.1 + 0.882 / fh1)) / s;
    const double dni = fmin(by_beam, by_ghi);
    return (struct sun_light){ .ghi = ghi, .dni = dni, .dhi = ghi - dni * s };
}

/* A W/m2, B, C of the clear day on the 21st: ASHRAE Handbook - Fundamentals (2005), ch. 31, table 1. C from memory but
 * for December to February. */
static const struct {
    double a, b, c;
} clear_day[12] = {
    { 1202, 0.141, 0.103 }, { 1187, 0.142, 0.104 }, { 1164, 0.149, 0.109 }, { 1130, 0.164, 0.120 },
    { 1106, 0.177, 0.130 }, { 1092, 0.185, 0.137 }, { 1093, 0.186, 0.138 }, { 1107, 0.182, 0.134 },
    { 1136, 0.165, 0.121 }, { 1166, 0.152, 0.111 }, { 1190, 0.144, 0.106 }, { 1204, 0.141, 0.103 },
};

struct sun_light sun_ashrae(int month, double elevation_deg)
{
    if (month < 1 || month > (int)COUNT(clear_day) || !sun_within(elevation_deg, -90.0, 90.0))
        return not_known;
    const double s = sin(SUN_RAD * elevation_deg);
    if (!(s > 0.0))
        return dark;
    const double dni = clear_day[month - 1].a * exp(-clear_day[month - 1].b / s), dhi = clear_day[month - 1].c * dni;
    return (struct sun_light){ .ghi = dhi + dni * s, .dni = dni, .dhi = dhi };
}

double sun_kasten_w_m2(double elevation_deg)
{
    if (!sun_within(elevation_deg, -90.0, 90.0))
        return NAN;
    return fmax(0.0, 910.0 * sin(SUN_RAD * elevation_deg) - 30.0);
}

double sun_cloud_factor(double oktas)
{
    return sun_within(oktas, 0.0, 8.0) ? 1.0 - 0.75 * pow(oktas / 8.0, 3.4) : (double)NAN;
}

double sun_diffuse_share(double oktas)
{
    return sun_within(oktas, 0.0, 8.0) ? 0.3 + 0.7 * (oktas / 8.0) * (oktas / 8.0) : (double)NAN;
}

/* Beam and sky out of a GHI, by the clouds. What the ceiling on the beam cuts off is the sky's. */
static struct sun_light split(double ghi, double sin_elevation, double oktas)
{
    const double beam = ghi * (1.0 - sun_diffuse_share(oktas));
    const double dni = fmin(beam / sin_elevation, most_dni_w_m2);
    return (struct sun_light){ .ghi = ghi, .dni = dni, .dhi = ghi - dni * sin_elevation };
}

struct sun_light sun_light_of_clouds(double elevation_deg, double oktas)
{
    const double n = isnan(oktas) ? nothing_known_oktas : oktas;

    if (!sun_within(elevation_deg, -90.0, 90.0) || !sun_within(n, 0.0, 8.0))
        return not_known;
    const double s = sin(SUN_RAD * elevation_deg);
    if (!(s > 0.0))
        return dark;
    return split(sun_haurwitz_w_m2(elevation_deg) * sun_cloud_factor(n), s, n);
}

struct sun_hour sun_of_hour(const struct hour *hour, double lat_deg, double lon_deg)
{
    const int64_t middle_s = hour->utc_s + HOUR_S / 2;
    struct sun_hour h = { .sun = sun_position(middle_s, lat_deg, lon_deg),
                          .light = not_known,
                          .top_w_m2 = sun_top_at_w_m2(middle_s),
                          .air_mass = NAN,
                          .from = SUN_LIGHT_CLOUDS };

    if (isnan(h.sun.elevation_deg))
        return h;
    const double elevation_deg = h.sun.elevation_true_deg, s = sin(SUN_RAD * elevation_deg);
    h.morning = sun_hour_angle_deg(middle_s, lon_deg) < 0.0;
    if (h.sun.elevation_deg > 0.0)
        h.air_mass = sun_air_mass(90.0 - h.sun.elevation_deg);
    if (!isnan(hour->ghi_w_m2) && !isnan(hour->dni_w_m2) && !isnan(hour->dhi_w_m2)) {
        h.light = (struct sun_light){ hour->ghi_w_m2, hour->dni_w_m2, hour->dhi_w_m2 };
        h.from = SUN_LIGHT_REPORTED;
        return h;
    }
    if (!(s > 0.0)) {
        h.light = dark;
        return h;
    }
    h.cloud_assumed = isnan(hour->cloud_oktas);
    const double oktas = h.cloud_assumed ? nothing_known_oktas : hour->cloud_oktas;
    if (!isnan(hour->ghi_w_m2)) {
        h.light = split(hour->ghi_w_m2, s, oktas);
        h.from = SUN_LIGHT_SPLIT;
    } else {
        h.light = sun_light_of_clouds(elevation_deg, oktas);
    }
    return h;
}
