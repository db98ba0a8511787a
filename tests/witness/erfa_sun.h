/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sun's place by ERFA (the IAU's SOFA routines): earth's orbit by epv00, light time, aberration, precession and
 * nutation of 2006/2000A, sidereal time, parallax of a place on the WGS84 ellipsoid; no refraction, no polar motion,
 * UT1 = UTC.
 * A witness for tests and for the bench.
 */
#ifndef TESTS_WITNESS_ERFA_SUN_H
#define TESTS_WITNESS_ERFA_SUN_H

#include <erfa.h>
#include <erfam.h>
#include <math.h>
#include <stdint.h>

static const double erfa_light_day_au = 499.004782 / 86400.0; /* days for light to cross an astronomical unit */
static const double erfa_degree = 0.017453292519943295;

/* Apparent direction and distance (AU) of the sun, in axes of the true equator and equinox. */
static inline double erfa_sun_apparent(double tt1, double tt2, double rotation[3][3], double sun[3])
{
    double earth_h[2][3], earth_b[2][3], then_h[2][3], then_b[2][3], to_sun[3], at[3], v[3];

    eraEpv00(tt1, tt2, earth_h, earth_b);
    const double away = eraPm(earth_h[0]);
    eraEpv00(tt1, tt2 - away * erfa_light_day_au, then_h, then_b);
    for (int i = 0; i < 3; i++) {
        to_sun[i] = then_b[0][i] - then_h[0][i] - earth_b[0][i];
        v[i] = earth_b[1][i] * erfa_light_day_au;
    }
    const double far = eraPm(to_sun);
    for (int i = 0; i < 3; i++)
        at[i] = to_sun[i] / far;
    eraAb(at, v, far, sqrt(1.0 - (v[0] * v[0] + v[1] * v[1] + v[2] * v[2])), to_sun);
    eraPnm06a(tt1, tt2, rotation);
    eraRxp(rotation, to_sun, sun);
    return far;
}

static inline void erfa_sun(int64_t utc_s, double lat_deg, double lon_deg, double *azimuth_deg, double *elevation_deg)
{
    const double day = floor((double)utc_s / 86400.0);
    const double utc1 = 2440587.5 + day, utc2 = ((double)utc_s - 86400.0 * day) / 86400.0;
    double tai1, tai2, tt1, tt2, rotation[3][3], sun[3], ground[3];

    (void)eraUtctai(utc1, utc2, &tai1, &tai2); /* its only complaint is a year without known leap seconds */
    (void)eraTaitt(tai1, tai2, &tt1, &tt2);
    const double far = erfa_sun_apparent(tt1, tt2, rotation, sun);
    const double turned = eraGst06(utc1, utc2, tt1, tt2, rotation) + lon_deg * erfa_degree, lat = lat_deg * erfa_degree;
    (void)eraGd2gc(1, 0.0, lat, 0.0, ground);
    const double x = far * (sun[0] * cos(turned) + sun[1] * sin(turned)) - hypot(ground[0], ground[1]) / ERFA_DAU;
    const double y = far * (sun[1] * cos(turned) - sun[0] * sin(turned));
    const double z = far * sun[2] - ground[2] / ERFA_DAU;
    const double north = z * cos(lat) - x * sin(lat), up = z * sin(lat) + x * cos(lat);

    *azimuth_deg = atan2(y, north) / erfa_degree;
    *azimuth_deg += *azimuth_deg < 0.0 ? 360.0 : 0.0;
    *elevation_deg = atan2(up, hypot(north, y)) / erfa_degree;
}

#endif
