/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Facing: which way the opening should look, from hours of weather at a place.
 *
 * One objective and no hand weights: degree-hours a day in which feels_c at the nest (piglet.h) falls short of a
 * comfort line. Wind, driving rain and sun act through the hut's own balance (nest.h). Hours may be weighted, so the
 * same serves a site (past winters, all weights 1) and the coming nights (weights = chance that she farrows in that
 * hour).
 *
 * In the lee of a windbreak the "facing" is where the nest looks, the break standing behind it.
 * Calm and variable hours, and hours without a direction, are averaged over the circle; each reported direction is
 * spread over +-10 degrees. All pure; formulas, sources and limits: docs/reckoning/facing.md.
 */
#ifndef CORE_NEST_FACING_H
#define CORE_NEST_FACING_H

#include "core/base/arena.h"
#include "core/nest/nest.h"

enum { FACING_BEARINGS = 72, FACING_ARCS = 36 }; /* every 5 degrees */
enum { FACING_BLOCK = 256 };

struct facing_ask { /* start from facing_ask_default() */
    size_t n;
    const struct hour *hours; /* in order of time; holes are allowed. NULL: by fetch */
    /* Writes `most` hours from the first-th on; by two threads at once. For those who hold theirs packed. */
    void (*fetch)(const void *from, size_t first, size_t most, struct hour out[]);
    const void *from;
    const double *weight; /* n, each 0 or more; NULL = 1 each */
    double lat_deg, lon_deg;
    const struct shelter *shelter;    /* a hut or a nest in the lee; its own facing is not read */
    const struct place *place;        /* NULL = default */
    const struct nest_inside *inside; /* NULL = default */
    double comfort_c;                 /* 8 */
    unsigned months;                  /* bit 0 = January .. bit 11; 0 = all. Of the evening when night_only */
    bool night_only;                  /* 18:00 .. 06:00 local standard time */
    int standard_offset_s;            /* local standard time minus UTC */
    double spread_deg;                /* 10; 0 = reported directions as they stand */
    const struct nest_model *model;   /* NULL = published */
    const struct feels_table *feels;  /* of the published piglet; NULL = made here */
    void (*change)(struct hour *hour,
                   const void *by); /* each usable hour is taken as this leaves it; NULL = as it is */
    const void *by;                 /* given to it */
};
struct facing_ask facing_ask_default(void);

/* The hours of an ask from the first-th on, FACING_BLOCK or what is left of them: *hours is where they stand, else room. */
size_t facing_hours(const struct facing_ask *ask, size_t first, struct hour room[static FACING_BLOCK],
                    const struct hour **hours);

struct facing_row {
    double facing_deg;
    double cold_degree_hours_per_day;
    double wind_mps;               /* mean component into the opening, at the height of a hut's door */
    double rain_l_m2;              /* driven into the opening, sum of the hours taken (weighted hours: as weighted) */
    double sun_kwh_m2_day;         /* into the opening */
    double morning_sun_kwh_m2_day; /* before solar noon */
};

struct facing_arc {
    double from_deg, to_deg;
}; /* clockwise, both ends belong to it; a whole circle is 0 .. 360 */

struct facing {
    struct facing_row rows[FACING_BEARINGS];
    size_t hours, calm_hours, variable_hours,
        skipped_hours;                    /* taken; of them calm, variable or unknown; without temp or wind */
    size_t no_cloud_hours, no_rain_hours; /* taken without it: 4 oktas, no rain */
    double weight;                        /* sum of weights of the hours taken */
    double best_deg, worst_deg;           /* middle of a flat run; best with most morning sun where nothing differs */
    double best, worst;                   /* degree-hours a day there */
    struct facing_arc arcs[FACING_ARCS];  /* every bearing within 5 % of the range, best's arc first */
    size_t n_arcs;
    bool hardly_matters;  /* (worst - best)/best under 15 % */
    bool nothing_differs; /* under 0.001 degree-hours between best and worst */
};

/* In steps, so that a caller may share the scan over threads: prepare, then next and scan until next gives false, then
 * conclude. However many hours there are, no more than some thousands of them are held ready. */
struct facing_prepared; /* lives in the arena; the ask's hours, weights and `by` stay where they are */

/* Fails     ST_BAD_INPUT naming the field; ST_NO_MEMORY */
enum status facing_prepare(const struct facing_ask *ask, struct arena *mem, struct facing_prepared **prepared,
                           struct message *why) MUST_USE;

/* Makes the next hours ready, in order of time; false: there are no more. */
bool facing_next(struct facing_prepared *prepared);

/* Takes bearings [first .. last) through the hours made ready: each of those wanted once after each facing_next(). Touches
 * nothing else: two threads may scan two ranges at once. */
void facing_scan(struct facing_prepared *prepared, size_t first, size_t last);

/* After the last hours: one bearing's row; best, arcs and worst from all rows, and counts. */
struct facing_row facing_row_of(const struct facing_prepared *prepared, size_t bearing);
void facing_conclude(const struct facing_prepared *prepared, struct facing *f);

/* All of it on one thread. */
enum status facing_find(const struct facing_ask *ask, struct arena *mem, struct facing *f,
                        struct message *why) MUST_USE;

/* The last step alone: from f->rows (facing_deg, cold degree-hours, morning sun) everything after `weight`. */
void facing_judge(struct facing *f);

#endif
