/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the exact plan and the winters drawn share. */
#ifndef CORE_SEASON_PLAN_INSIDE_H
#define CORE_SEASON_PLAN_INSIDE_H

#include <stdbool.h>

#include "core/season/plan.h"

enum status plan_check(const struct plan *p, struct message *why) MUST_USE;

/* Chance that a litter born on that day of that winter meets danger, given the chance that it lies in a hut; unknown
 * = 0. */
double plan_danger_on(const struct plan *p, size_t winter, size_t day, double in_hut);

/* The three ways in which a sow may come to a litter. */
enum plan_luck { PLAN_SOUND, PLAN_BOTH, PLAN_INSTEAD, PLAN_LUCKS };

/* Her chances of first birth with that luck; NULL: none. */
const double *plan_born(const struct plan_sow *s, enum plan_luck luck);
/* Of each luck and sow, luck * n_sows + sow: the first of them whose days (first births and second litters) are the same
 * arrays. Where many sows are alike, what follows from their days is reckoned once. NULL: out of memory. */
const size_t *plan_alike(const struct plan *p, struct arena *mem);
bool plan_reserve(const struct plan *p);                      /* is there one? */
double plan_share(const struct plan *p, enum plan_luck luck); /* chance of that luck for any one sow */

struct pig_lot { /* the pigs of one litter */
    int32_t born, ready;
    size_t sow;
    double pigs, hut, cold; /* her dice for where she lies and for the weather of her day */
    bool housed;
};

/* Where a share of her births lies: sums of the days, and the day at which to begin to look for each part of the whole. */
enum { PLAN_GUIDE = 64 };
struct plan_sums {
    const double *up_to; /* n_days + 1 */
    double parts;        /* PLAN_GUIDE over the whole */
    uint16_t start[PLAN_GUIDE + 1];
};

/* A season that can be drawn again and again. */
struct plan_season {
    const struct plan *p;
    const struct plan_sums **sums; /* PLAN_LUCKS x n_sows, or NULL */
    struct pig_lot *lot;           /* 2 n_sows */
    struct pig_lot *sorted;        /* as many */
    size_t *upto;                  /* n_days */
    size_t n_lots;
    double worth, in_time, late, danger;
    double *open; /* n_asked: pigs of each asking that were not to be had */
};

enum status plan_season_open(const struct plan *p, struct arena *mem, struct plan_season *s,
                             struct message *why) MUST_USE;
void plan_season_births(struct plan_season *s, size_t winter, uint64_t seed); /* lots in order of birth */
void plan_season_sell(struct plan_season *s, size_t winter);                  /* housed, in danger, sold */
double plan_half_asked(const struct plan *p);                                 /* under that a season is bad */
enum status plan_draws(size_t n, struct message *why) MUST_USE;               /* is n a number of winters? */

#endif
