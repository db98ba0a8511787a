/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Growth: what a slow outdoor pig weighs at an age, how far pigs lie apart, and at what age one weighs so much.
 *
 * Up to weaning, or to 42 days where that is sooner, the curve of suckling pigs (Beltsville work, 3,587 pigs to 42
 * days), slowed; from there Gompertz in its step form, which rolls a weight forward by days. A farm's own weighings
 * shift the curve as a whole. Weights in kg, ages in days from birth. Sources and limits:
 * docs/reckoning/growth-and-feed.md.
 */
#ifndef CORE_GROWTH_GROWTH_H
#define CORE_GROWTH_GROWTH_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/status.h"

enum { GROWTH_AGE_MOST_D = 730 };

struct growth {           /* start from growth_default() */
    double suckling_pace; /* of the suckling curve's gain: 0.92 (0.7 .. 1.1; so that 8 weeks are 12 kg) */
    double weaning_d;     /* 56; 14 .. 120 */
    double most_kg;       /* A: what the curve tends to: 220 (200 .. 240 on pasture; 90 .. 120 small breeds) */
    double rate_per_d;    /* k at full feed: 0.0073 (Mangalica .0073, Nero di Parma .0074) */
    double fed;           /* share of it reached: 0.85 (0.55 sparse .. 1 full) */
    double pig_spread;    /* of a pig in its litter, of ln weight: 0.15 (judgement: 9 .. 15 kg at 8 weeks) */
    double litter_spread; /* between litters of a farm, of ln weight: 0.10 (judgement) */
    double farm_spread;   /* of this farm from the curve, of ln weight: 0.15 (judgement) */
    double farm_shift;    /* of ln weight: 0; from the farm's own weighings */
};
struct growth growth_default(void);

/* Fails     ST_BAD_INPUT naming the field */
enum status growth_check(const struct growth *g, struct message *why) MUST_USE;

/* Gompertz rolled forward (Sabbioni et al. 2009 for the form): w now, kg, so many days on. */
double growth_step(double w_kg, double days, double most_kg, double rate_per_d);

/* Of the suckling curve as published: exp(0.2127 + 0.07545 d - 0.000558 d^2), 0 .. 42 d. */
double growth_suckling(double age_d);

double growth_weight(const struct growth *g, double age_d); /* of the pig in the middle; age 0 .. 730 */
double growth_gain(const struct growth *g, double age_d);   /* kg a day, over the day that begins then */
double growth_spread(const struct growth *g);               /* of ln weight, of one pig, all three together */
double growth_part_under(const struct growth *g, double age_d, double kg); /* share of pigs lighter than that */

/* Age at which a share of the pigs (0.5: the one in the middle; 0.84: five in six) has reached a weight.
 *
 * Fails     ST_BAD_INPUT when it is not reached in GROWTH_AGE_MOST_D days, or is under the weight at birth
 */
enum status growth_age(const struct growth *g, double kg, double share, double *age_d, struct message *why) MUST_USE;

struct growth_weighing {
    double age_d, kg; /* 10 .. 180 (older ones are fed to other plans); of one pig, or the mean of several */
    double pigs;      /* so many: 1 or more */
    size_t litter;    /* which of them belong together, any number */
    size_t pig;       /* which are of one pig, or of the same pigs */
};
struct growth_own {
    size_t used, litters; /* weighings taken, of so many litters */
    double weight;        /* 0 .. 1: how far the farm's own count against the curve */
};

/* Shift and farm spread from the farm's own weighings: each litter's mean of its pigs' ln(weighed / curve), a pig's
 * weighings averaged first; litters weighted by what is left uncertain of them, and all of it drawn toward the curve by
 * farm_spread (normal, normal). Weighings outside the ages are left out.
 *
 * Fails     ST_BAD_INPUT for a weight that is no number or not over 0
 */
enum status growth_from_own(struct growth *g, size_t n, const struct growth_weighing w[], struct growth_own *own,
                            struct message *why) MUST_USE;

#endif
