/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Cold and heat by day and week of birth: of the litters born on a day in one shelter at a site, the share whose
 * typical piglet, and the share whose runt, would be in danger of cold (grade 2 or 3 of piglet.h), from every hour of
 * past years, none left out.
 *
 * Danger, never a death rate. Days are those of local standard time; a day's births lie over its hours as the clock
 * of farrowing has them (breeding.h). Fresh straw lies in the shelter from each noon on, as the night's advice would
 * have it. Formulas, sources and limits: docs/reckoning/season.md.
 */
#ifndef CORE_SEASON_COLD_H
#define CORE_SEASON_COLD_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/hour.h"
#include "core/base/status.h"
#include "core/nest/nest.h"

struct cold_site { /* start from cold_site_default() */
    size_t n;
    const struct hour *hours; /* in order of time; holes are allowed, an hour without temp or wind is one */
    double lat_deg, lon_deg;
    const struct place *place;        /* NULL = default */
    const struct nest_inside *inside; /* NULL = default */
    int standard_offset_s;            /* local standard time minus UTC */
    double clock_share, clock_peak_h; /* 0.25, 21: 1 + share cos(2 pi (hour - peak) / 24) */
};
struct cold_site cold_site_default(void);

/* Hours, suns and days, made once; read only afterwards, so that shelters may be shared out over threads. */
struct cold_past {
    size_t n; /* hours with temp and wind */
    const struct hour *hours;
    const struct nest_sun *sun;
    const uint32_t *day; /* of each hour, from first_day */
    const float *weight; /* of each hour among its day's births */
    int64_t first_day;   /* days since 1970-01-01 */
    size_t n_days;
    const float *known;   /* n_days: share of the day's births that fall in known hours, 0 .. 1 */
    const float *night_c; /* n_days: lowest from 18:00 to 06:00, by the evening; NAN under 9 known hours */
    const struct feels_table *feels;
    struct cold_site site;
};

/* Fails     ST_BAD_INPUT naming the field (no hour of use, out of order, place); ST_NO_MEMORY (about 230 bytes an
 * hour) */
enum status cold_prepare(const struct cold_site *site, struct arena *mem, struct cold_past **past,
                         struct message *why) MUST_USE;

enum cold_how {
    COLD_QUICK, /* feels_c first; the whole balance of the piglet only where the grade is not plain from it */
    COLD_WHOLE, /* the whole balance for every birth hour: the yardstick */
};

#define COLD_RUNT_KG 0.9 /* the runt of a litter (../shared/science/cold-and-shelter.md 4) */

struct cold_daily {              /* the caller's arrays, past->n_days each; NAN where known is under 0.75 */
    float *danger, *runt, *heat; /* share of the day's births whose typical piglet, whose runt is in danger of cold;
                                   share that falls in hours with heat grade 3 or 4 for the sow */
};

/* One shelter over all days.
 *
 * Given     scratch   its own for each thread, about 4 bytes an hour and a megabyte; emptied by the caller
 * Returned  out       runt NULL: the runt is not followed
 *           *wholly   piglets for which the whole balance was run; may be NULL
 * Fails     ST_BAD_INPUT from shelter_check(); ST_NO_MEMORY
 * Error     QUICK against WHOLE: none in the hours tried (docs/reckoning/season.md); the tests ask for 1 birth in
 *           100,000
 */
enum status cold_of_shelter(const struct cold_past *past, const struct shelter *shelter, enum cold_how how,
                            struct arena *scratch, const struct cold_daily *out, size_t *wholly,
                            struct message *why) MUST_USE;

enum { COLD_WEEKS = 52 };         /* seven days each from 1 January; the last has eight or nine */
size_t cold_week_of(int64_t day); /* 0 .. 51 */

struct cold_week { /* between years; all NAN with years 0 */
    size_t years;  /* with at least five known days in that week */
    double mean, p10, p50, p90;
};
/* Any daily figure over the years, NAN days left out. */
void cold_by_week(int64_t first_day, size_t n_days, const float daily[], struct cold_week week[COLD_WEEKS]);
/* Days a week on which a daily figure is at or under a limit (nights at or under -10). */
void cold_days_under(int64_t first_day, size_t n_days, const float daily[], double limit,
                     struct cold_week week[COLD_WEEKS]);

/* Quantiles q of n numbers, straight between neighbours (type 7 of Hyndman & Fan 1996); x comes back in another order.
 * NAN for n 0. At most eight at once. */
void cold_quantiles(size_t n, double x[], size_t n_q, const double q[], double out[]);
double cold_quantile(size_t n, double x[], double q);

#endif
