/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rose: from which side the wind blows at a place, and what its nights are like.
 *
 * All pure. Hours are taken as they stand; a value that is NAN is left out of its own figure alone.
 * Formulas, sources and limits: docs/reckoning/wind.md.
 */
#ifndef CORE_AIR_ROSE_H
#define CORE_AIR_ROSE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/hour.h"
#include "core/base/status.h"

enum { ROSE_SECTORS = 16 };
extern const char *const rose_sector_name[ROSE_SECTORS]; /* "N", "NNE", ... "NNW" */

/* Sector of 22.5 degrees centred on its name: 11.25 is NNE, 348.75 is N. -1 for NAN. Any angle. */
int rose_sector(double from_deg);
/* 16-point name -> degrees, either case; NAN when it is none. */
double rose_sector_deg(const char *name);

struct rose {
    size_t hours;                   /* with a known wind speed */
    size_t calm, variable;          /* of them: speed 0; speed > 0 and no direction */
    size_t no_wind;                 /* speed not known: left out */
    double count[ROSE_SECTORS];     /* hours; parts of hours when spread. Their sum + calm + variable = hours */
    double speed_sum[ROSE_SECTORS]; /* m/s x hours: speed_sum / count = mean wind out of the sector */
    double mean_mps;                /* over all hours, calm and variable too; NAN with none */
    double max_mps;
    double vector_from_deg; /* of the mean wind vector; NAN when it is 0 */
    double vector_mps;      /* length of the mean wind vector, over all hours */
    double unit_from_deg;   /* mean of directions, each hour alike */
    double steadiness;      /* vector_mps / mean_mps, 0 .. 1; variable hours count as going nowhere */
    int modal;              /* index of the fullest sector; -1 with none */
    bool prevailing;        /* steadiness at least 0.3: only then speak of a prevailing wind */
};

/* Given     spread_deg   each direction shared evenly over +- this; 0 = as reported. 0 .. 45. Reports to 10 degrees
 *                        beat with sectors of 22.5 (two or three values to a sector): 5 takes that away
 * Returned  a rose with 0 hours when there are none, or when spread_deg is out of range
 */
struct rose rose_of(size_t n, const struct hour hours[], double spread_deg);

/* The same hour by hour, for those who do not hold them all. */
struct rose_tally {
    struct rose rose;
    double spread_deg, east, north, unit_east, unit_north, speed;
};
struct rose_tally rose_begin(double spread_deg);
void rose_add(struct rose_tally *tally, const struct hour *hour);
struct rose rose_end(const struct rose_tally *tally);

/* ---- Nights: 18:00 to 06:00 local standard time, named by the evening ---- */

struct rose_night {
    int64_t evening; /* day of the evening: days since 1970-01-01 (civil.h) */
    size_t hours;    /* that have a temperature, 0 .. 12 */
    double min_temp_c, mean_temp_c;
    double mean_wind_mps, max_wind_mps;
    double vector_from_deg; /* NAN: calm, or no direction known */
    double rain_mm;         /* sum of what is known; NAN when nothing is */
};

struct rose_nights {
    struct rose_night *night; /* in the arena, in order of time; only nights with a temperature */
    size_t n;
    double p10_min_temp_c, p50_min_temp_c, p90_min_temp_c; /* of the minima, linear between ranks; NAN with none */
    double mean_min_temp_c;
    size_t at_or_under_minus_10, at_or_under_minus_15;
};

/* Given     hours               in order of time (each hour once)
 *           standard_offset_s   local standard time minus UTC; +-18 h
 *           months              bit 0 = January .. bit 11, of the evening; 0 = all
 * Returned  *out; untouched on failure
 * Fails     ST_BAD_INPUT offset or hours out of order; ST_NO_MEMORY
 */
enum status rose_nights(size_t n, const struct hour hours[], int standard_offset_s, unsigned months, struct arena *mem,
                        struct rose_nights *out, struct message *why) MUST_USE;

/* p 0 .. 1 of n sorted values, linear between ranks (p (n - 1)); NAN with none. */
double rose_quantile(size_t n, const double sorted[], double p);

#endif
