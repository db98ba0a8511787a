/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Outlook: how far a forecast can be trusted at this place. Fifteen versions of the coming hours instead of one line,
 * the place's own offsets learned from readings, how good past forecasts were, and what past years say beyond the end.
 *
 * All pure; hours are struct hour. Figures marked [J] are judgement until the farm's own readings replace them.
 */
#ifndef CORE_OUTLOOK_OUTLOOK_H
#define CORE_OUTLOOK_OUTLOOK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/hour.h"

/* ---- how uncertain ---- */

enum { OUTLOOK_MEMBERS = 15 }; /* member 0 is the forecast itself; 1 and 2, 3 and 4 ... are opposite pairs */

struct outlook_grow {
    double first, last;
}; /* at 1 h and at 72 h ahead; straight between, flat after */

struct outlook_spread {
    double rho;                        /* of the errors of one hour and the next, 0 .. 1 */
    struct outlook_grow temp_k;        /* standard deviation */
    struct outlook_grow wind_fraction; /* standard deviation of the factor on the wind */
    struct outlook_grow from_deg;      /* standard deviation of the direction */
    struct outlook_grow rain_log;      /* standard deviation of ln(factor on the rain) */
    struct outlook_grow rain_shift_h;  /* standard deviation of when a wet spell starts (or ends, if it is under way) */
    size_t n_temp, n_wind, n_from;     /* own pairs behind the figure; 0: judgement */
};
extern const struct outlook_spread outlook_default_spread; /* [J] */
extern const uint64_t outlook_seed;                        /* the fixed one */

double outlook_grown(struct outlook_grow g, double lead_h); /* lead under 1: as at 1 */

/* Where the forecast ends and what stands in beyond it; n_past 0: nothing, the line itself goes on. */
struct outlook_beyond {
    size_t n_firm; /* hours of the line that are forecast; the rest leans on past years */
    size_t n_past;
    const struct hour *past; /* past hours, sorted by utc_s, gaps allowed */
};

/* The members.
 *
 * Given     spread
 *           seed             outlook_seed, unless a test wants another
 *           now_utc_s        hours that have ended by now are observed: they stay as they are
 *           n_hours, line    consecutive hours, the unperturbed forecast
 *           beyond           NULL: all of the line is forecast
 * Returned  member           OUTLOOK_MEMBERS x n_hours; member m begins at member[m * n_hours]; its hour i is for the
 *                            same utc_s as line[i]
 * Rules     temperature: line + sd x e; dew point moves with it, humidity stays. Wind and gust: times exp(s e) with
 *           s = sqrt(ln(1 + sd^2)), so never negative; calm stays calm. Direction turns by sd x e; variable stays
 *           variable. Rain: times exp(sd e); each wet spell moves as a whole by a whole number of hours, never to
 *           before now; one under way ends earlier or later. Snow turns to rain where the member is warmer than the
 *           line and above 1.5 C, rain to snow where it is colder and below -0.5 C [J]. e: first-order autoregressive,
 *           variance 1, one series each. Sky, sun and pressure stay. Beyond n_firm each perturbed member follows past
 *           hours of its own, blended in over 6 h.
 * NAN       stays NAN
 * Memory    none is taken
 */
void outlook_members(const struct outlook_spread *spread, uint64_t seed, int64_t now_utc_s, size_t n_hours,
                     const struct hour line[], const struct outlook_beyond *beyond, struct hour member[]);

/* ---- beyond the forecast ---- */

struct outlook_analog {
    int64_t shift_s; /* past hour + shift_s = hour of the window; a whole number of days */
    double distance; /* how unlike the end of the forecast it was; 0 = the same; NAN: can't be compared */
};

/* Past stretches of the same season to go on with after the forecast.
 *
 * Given     n_past, past    sorted by utc_s
 *           n_line, line    the forecast; its last 24 h (or what there is) are compared. 0: only the season counts
 *           from_utc_s      the first hour wanted
 *           n_hours         how many
 *           room            for how many analogs
 * Returned  how many were written, the most alike first; a stretch counts when 90 % of its hours have a temperature.
 *           Each year gives the same day of the year and the days 5 and 10 before and after
 * Distance  root mean square over the compared hours of temperature difference / 3 K and wind difference / 2 m/s [J]
 */
size_t outlook_analogs(size_t n_past, const struct hour past[], size_t n_line, const struct hour line[],
                       int64_t from_utc_s, size_t n_hours, size_t room, struct outlook_analog analog[]);

/* The hours of one analog, dated for the window from_utc_s .. ; writes n_hours, unknown hours all NAN. */
void outlook_analog_hours(size_t n_past, const struct hour past[], const struct outlook_analog *analog,
                          int64_t from_utc_s, size_t n_hours, struct hour out[]);

/* What the season usually brings at an hour: from all hours of the same time of day within 10 days of the date,
 * all years. Quantiles linear between ranks. n is 0 and the rest NAN when there are none. */
struct outlook_usual {
    size_t n;
    double temp_p10_c, temp_p50_c, temp_p90_c, wind_mean_mps, wet_fraction; /* wet: 0.1 mm or more */
};
struct outlook_usual outlook_usual(size_t n_past, const struct hour past[], int64_t utc_s);

/* ---- this place against the forecast ---- */

/* A forecast and what was then read, at one hour. */
struct outlook_pair {
    int64_t made_utc_s;   /* when the forecast was made */
    struct hour forecast; /* as it came, before any offset */
    bool daylight;        /* sun above the horizon in that hour */
    double temp_c;        /* as read at the place; NAN here and below: not read */
    double wind_mps;      /* as at 10 m: the caller brings a reading at the gate up to that height */
    double wind_from_deg, rain_mm;
};

enum { /* class = sum of these: 0 is a still clear night */
       OUTLOOK_DAY = 1,
       OUTLOOK_WINDY = 2,  /* 2 m/s or more */
       OUTLOOK_CLOUDY = 4, /* 4 oktas or more */
       OUTLOOK_CLASSES = 8
};
extern const char *const outlook_class_name[OUTLOOK_CLASSES];  /* "still clear night" ... */
int outlook_class(const struct hour *forecast, bool daylight); /* wind not known: windy; sky not known: cloudy */

struct outlook_offset {
    size_t n_temp_readings, n_temp; /* readings, and occasions: readings of a class within 6 h count as one */
    double temp_raw_k;              /* mean of read less forecast; NAN with none */
    double temp_k;                  /* shrunk: raw x n / (n + 6); 0 with none */
    size_t n_wind_readings, n_wind;
    double wind_raw, wind_factor; /* read over forecast (sums); shrunk toward 1; forecasts under 1 m/s don't count */
};
struct outlook_site {
    struct outlook_offset by_class[OUTLOOK_CLASSES];
};

/* Learn. Of several forecasts for one reading the newest made counts. `pair` sorted by forecast.utc_s. */
void outlook_site_learn(size_t n, const struct outlook_pair pair[], struct outlook_site *site);

/* Lay the offsets on forecast hours: temperature and dew point shifted, wind and gust multiplied. daylight: n of them.
 * Never on observed or own hours: the caller leaves those out. */
void outlook_site_apply(const struct outlook_site *site, size_t n, const bool daylight[], struct hour hours[]);

/* ---- how good the forecast has been ---- */

enum { OUTLOOK_BINS = 5 };                                /* lead 0-6, 6-12, 12-24, 24-48, 48 h and more */
extern const double outlook_bin_from_h[OUTLOOK_BINS + 1]; /* the last is infinite */

/* Forecast less read; sd about the bias, over n - 1. NAN where there are too few. */
struct outlook_score {
    size_t n;
    double bias, mae, sd;
};
struct outlook_verified {
    struct outlook_score temp_k[OUTLOOK_BINS], wind_mps[OUTLOOK_BINS];
    struct outlook_score from_deg[OUTLOOK_BINS]; /* -180 .. 180, clockwise of what was read is positive */
    struct {
        size_t hit, missed, false_alarm, dry;
    } rain[OUTLOOK_BINS]; /* wet: 0.1 mm or more */
};
void outlook_verify(size_t n, const struct outlook_pair pair[], struct outlook_verified *v);

enum { OUTLOOK_OWN_FROM = 30 }; /* pairs before own figures replace judgement [J] */

/* The spread to use: the default, each of temperature, wind and direction scaled by the farm's own errors once 30
 * pairs of it stand; pairs in the same lead bin less than 6 h apart count as one toward the 30. Scale =
 * root of the mean of (error less mean error)^2 / default sd^2 at that lead; wind as ln(read / forecast) where both
 * are 0.5 m/s or more, direction where the forecast wind is 1 m/s or more. Held between 0.3 and 3. */
struct outlook_spread outlook_own_spread(size_t n, const struct outlook_pair pair[]);

#endif
