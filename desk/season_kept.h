/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a server keeps of season between questions, so that a slider answers while it moves: the cold of past winters,
 * which rests on the hours kept, the place and the hut alone and so outlives a change of the record; what every Monday
 * of the year brings, while nothing but the boar's days is changed. Belongs to desk/memory.h; answers are the same
 * without, but for the moment (desk/memory.h). */
#ifndef DESK_SEASON_KEPT_H
#define DESK_SEASON_KEPT_H

#include <stdbool.h>
#include <stdint.h>

#include "core/season/cold.h"
#include "desk/night_inside.h"
#include "desk/season_births.h"
#include "desk/season_inside.h"

enum { SEASON_COLD_KEY = NIGHT_KEY + 5 };

struct season_cold_table { /* one hut and the open nest, every past day; arrays of n_days */
    double key[SEASON_COLD_KEY];
    int64_t from_utc_s, to_utc_s; /* holds for a moment from here to before there: the same hours lie behind it */
    int64_t first_day;
    size_t n_days; /* 0: no past hour is kept */
    double facing_deg;
    double air_c[SEASON_AIR_WEEKS]; /* mean of past hours */
    float *hut, *open;
    struct cold_week hut_week[COLD_WEEKS], open_week[COLD_WEEKS], hut_runt_week[COLD_WEEKS], open_runt_week[COLD_WEEKS];
    struct cold_week heat_week[COLD_WEEKS], nights_week[COLD_WEEKS];
};

struct season_kept;
struct season_kept *season_kept_open(void); /* NULL: out of memory */
void season_kept_close(struct season_kept *k);

/* The table for that key and moment; NULL: it is not there. k may be NULL. */
const struct season_cold_table *season_kept_cold(const struct season_kept *k, const double key[SEASON_COLD_KEY],
                                                 int64_t at_utc_s);
/* The arena and the place for a new one; the old one is gone. Call season_kept_cold_is() when it is filled. */
struct season_cold_table *season_kept_new_cold(struct season_kept *k, struct arena **mem);
void season_kept_cold_is(struct season_kept *k);

/* The moment to answer for: that of the last question, where it may be taken. What was kept for another moment or
 * another state of the record is dropped. Call it first. */
enum status season_kept_moment(struct season_kept *k, const struct asked *q, int64_t *at_utc_s,
                               struct message *why) MUST_USE;

struct season_births *season_kept_births(struct season_kept *k); /* NULL: nothing is kept; k may be NULL */

/* Every Monday's try (SEASON_WEEKS), without its days, when all that was typed is the same but the day of a single run
 * and the winters; NULL: not there. */
struct season_try *season_kept_weeks(struct season_kept *k, const struct asked *q);
struct season_try *season_kept_new_weeks(struct season_kept *k); /* to be filled */
void season_kept_weeks_are(struct season_kept *k, const struct asked *q);

#endif
