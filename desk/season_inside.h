/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the files of `season` share: the farm as it comes to the table in which the boar's days are settled. */
#ifndef DESK_SEASON_INSIDE_H
#define DESK_SEASON_INSIDE_H

#include "core/season/plan.h"
#include "desk/herd.h"
#include "desk/question.h"
#include "desk/season_needs.h"
#include "desk/season_ways.h"

enum { /* parameters, as season_shape.c lists them */
       SEASON_AT,
       SEASON_SELL_FROM,
       SEASON_SELL_TO,
       SEASON_PIGS,
       SEASON_PRICE,
       SEASON_AGE,
       SEASON_STAY,
       SEASON_BOAR_IN,
       SEASON_BOAR_OUT,
       SEASON_WEANING,
       SEASON_DANGER_COST,
       SEASON_LATE_PRICE,
       SEASON_KEEP_COST,
       SEASON_WINTERS,
       SEASON_WEIGHT,
       SEASON_FEED_PRICE,
       SEASON_STRAW_PRICE,
       SEASON_FEED_THERE,
       SEASON_FEED_KCAL,
       SEASON_RESERVE,
       SEASON_HAND,
       SEASON_LITTERS,
       SEASON_CHOOSE
};
enum { SEASON_WINTERS_MOST = 64, SEASON_WEEKS = 52 };

struct season_sow {
    const char *name;
    struct breeding_evidence evidence; /* without the run that is tried */
    int64_t free_utc_s;                /* weaned, or open now; INT64_MAX: not for a boar */
    bool expected;                     /* the day is reckoned, not recorded: she has still to farrow */
    double litter, litter_sd;          /* pigs she weans */
};

struct season {
    const struct asked *q;
    struct herd herd;
    int64_t today;                           /* first day of the grid */
    size_t n_sows, n_asked, n_winters, over; /* over: weeks asked for that lie behind */
    struct season_sow *sows;
    struct plan_asked *asked;
    double asked_pigs, mean_price;
    const float *in_hut[SEASON_WINTERS_MOST], *in_open[SEASON_WINTERS_MOST];
    int winter_from, winter_to; /* years of the past that are laid under the plan */
    double facing_deg;          /* of the hut taken: NAN no past hours */
    const char *hut;            /* made like this one of the farm's; NULL none recorded */
    size_t huts, boars, boar_places;
    struct season_ways ways;   /* boars at hand, and the way asked about */
    struct plan costs;         /* everything of a plan but its sows' days */
    struct season_grown grown; /* what a pig weighs at what age */
    double air_c[SEASON_AIR_WEEKS];
    struct answer *assumed;
};

/* One choice of days, reckoned through. */
struct season_try {
    int64_t boar_in, boar_out; /* days: of the first run, and of the last */
    int64_t first_stay;        /* of the first run, days */
    struct plan_exact exact;
    struct plan_winters winters;
    int64_t first_litters, last_litters; /* nine litters of ten lie between; INT64_MIN: none */
    int64_t second_from, second_to;      /* the same of second litters of the year */
};

int64_t season_midnight(const struct season *s, int64_t day);
enum status season_sows(struct season *s, double weaning_d, struct message *why) MUST_USE;
enum status season_cold(struct season *s, struct answer *weeks, struct message *why) MUST_USE;
enum status season_reckon(const struct season *s, int64_t boar_in, int64_t boar_out, size_t n_winters,
                          struct arena *mem, struct season_try *t, struct message *why) MUST_USE;
/* Into the list: the boar in on each Monday of the coming year. *best_in: the best of them. */
enum status season_weeks(struct season *s, int64_t stay, struct answer *list, int64_t *best_in,
                         struct message *why) MUST_USE;
void season_say(const struct season *s, const struct season_try *t, struct answer *a); /* the one sentence */
void season_say_try(const struct season *s, const struct season_try *t, struct answer *row);
void season_say_days(const struct season *s, const struct season_try *t, struct answer *list);
void season_say_sows(const struct season *s, struct answer *list);
void season_say_cautions(const struct season *s, const struct season_try *t, struct answer *list);
void season_diary(const struct season *s, const struct season_try *t, struct answer *list);

enum status season_put(const struct asked *q, struct answer *a, struct message *why) MUST_USE;

#endif
