/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One hour of weather, as every reader gives it and every piece of reckoning takes it. A value that is not known is
 * NAN, never a stand-in; whoever fills a gap says so in `filled`.
 */
#ifndef CORE_BASE_HOUR_H
#define CORE_BASE_HOUR_H

#include <stdbool.h>
#include <stdint.h>

enum hour_field { /* bits of `filled` */
                  HOUR_TEMP = 1 << 0,
                  HOUR_DEW_POINT = 1 << 1,
                  HOUR_RH = 1 << 2,
                  HOUR_WIND = 1 << 3,
                  HOUR_GUST = 1 << 4,
                  HOUR_WIND_FROM = 1 << 5,
                  HOUR_CLOUD = 1 << 6,
                  HOUR_RAIN = 1 << 7,
                  HOUR_SNOW = 1 << 8,
                  HOUR_SUN = 1 << 9,
                  HOUR_PRESSURE = 1 << 10,
};

struct hour {
    int64_t utc_s;        /* the hour that begins here; an instant report counts for the hour it falls in */
    double temp_c;        /* dry bulb, -70 .. 60 */
    double dew_point_c;   /* over ICE below 0.01 °C (readers convert from over water) */
    double rh;            /* 0 .. 1, over water above 0.01 °C, over ice below */
    double wind_mps;      /* mean at 10 m, 0 .. 75; 0 = calm */
    double gust_mps;      /* never a fixed multiple of the mean */
    double wind_from_deg; /* 0 .. 360 exclusive, true north, where from; NAN with wind > 0 = variable or not known */
    double cloud_oktas;   /* 0 .. 8 */
    double rain_mm;       /* liquid (or melted) in this hour; trace = 0 */
    double snow_cm;       /* fresh snow in this hour */
    double pressure_kpa;
    double ghi_w_m2, dni_w_m2, dhi_w_m2; /* mean over the hour where the source has them */
    double rain_probability;             /* 0 .. 1, of any rain in the hour */
    bool snow;                           /* what falls is snow, by code or by temperature */
    bool wind_variable;                  /* reported as variable (not merely missing) */
    bool rain_trace;                     /* rain_mm is 0, and a trace was reported */
    unsigned filled;                     /* enum hour_field bits: not reported, taken from a rule */
    unsigned risk;                       /* bits, weather/ defines them: heavier weather possible (TEMPO, PROB) */
    int source;                          /* index of the source it came from */
};

/* The hour that begins there, of which nothing is known. */
struct hour hour_unknown(int64_t utc_s);

#endif
