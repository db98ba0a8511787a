/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Plan: what one choice of days for the boar brings, over a season and over ten thousand winters: litters by day,
 * sows in a night, huts wanted, litters born into danger of cold, pigs ready when they are asked for, and what that
 * is worth.
 *
 * Days are whole, from first_day on. Each sow comes with the chance of first birth on each day (core/breeding
 * reckons it from the boar's stay); what is left of 1 is that she does not farrow. Sows are independent but for what
 * they share: whether their boar takes anybody, whether the boar in reserve does, and the winter.
 * Formulas, sources and limits: docs/reckoning/season-plan.md.
 */
#ifndef CORE_SEASON_PLAN_H
#define CORE_SEASON_PLAN_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"

enum { PLAN_BOARS = 16 };

/* A second litter in the year, given the day of the first: chance that it comes so many days after it. */
struct plan_second {
    size_t from, n;  /* first lag, days; how many lags follow */
    const double *p; /* n; sum at most 1 */
};

struct plan_sow {
    const double *born;    /* n_days: chance of first birth on that day; sum at most 1. With a boar that is sound */
    double litter;         /* pigs she weans, on average, over 0 */
    double litter_sd;      /* between litters */
    size_t boar;           /* whose luck she shares: below n_boars */
    const double *both;    /* n_days: the same with the reserve at hand and sound as well; NULL: as `born` */
    const double *instead; /* n_days: her boar takes nobody and the reserve is sound; NULL: none */
    const struct plan_second *second; /* n_days, by day of the first litter; NULL: one litter in the year */
};

struct plan_asked {   /* pigs asked for, first day to last */
    int32_t from, to; /* day indexes; from <= to; may lie past n_days */
    double pigs, price;
};

struct plan { /* start from plan_default() */
    size_t n_days;
    int64_t first_day;
    size_t n_sows;
    const struct plan_sow *sows;
    size_t n_asked;
    const struct plan_asked *asked; /* in order of `from` */
    double ready_d;                 /* age at which a pig is ready to go, days */
    size_t huts;
    double hut_before_d, hut_after_d; /* a sow holds her hut so long before and after the birth: 7, 14 */
    double uses_hut;                  /* chance that she takes the hut that stands for her: 0.75 */
    size_t n_winters;                 /* 1 or more, or 0: the two below are then not read and danger is not known */
    const float *const
        *in_hut; /* n_winters arrays of n_days: share of that day's births in danger; NAN = no danger known */
    const float *const *in_open;
    double danger_cost;   /* money for a litter born into danger (judgement of the asker) */
    double wait_most_d;   /* ready longer than that before it is asked for it is no longer what was asked for: 42 */
    double keep_cost;     /* money a day for a pig that is ready and waits */
    double late_price;    /* money for a pig that nobody asked for in time */
    double boar_fails;    /* chance that a boar takes nobody, each for himself: 0.05 */
    size_t n_boars;       /* 1 .. PLAN_BOARS */
    double reserve_fails; /* the same of a boar in reserve; 1: there is none */
};
struct plan plan_default(void);

struct plan_day {
    double litters;        /* expected births */
    double huts, huts_p90; /* in use: expected, and enough in nine seasons of ten */
    double short_p;        /* chance that more are wanted than there are */
    double danger;         /* expected litters born into danger */
};

struct plan_exact {
    double litters;                    /* expected in all */
    double second;                     /* of them second litters of the year */
    const double *count;               /* n_sows + 1: chance that so many sows farrow in the season */
    double danger;                     /* expected litters born into danger; NAN not known */
    double night_worst;                /* expected births on the day that has most */
    size_t night_worst_day, night_p90; /* and so many at most, on that day, in nine seasons of ten */
    double huts_worst;                 /* highest huts_p90 */
    size_t huts_worst_day;
    double pigs;         /* expected in all */
    double second_pigs;  /* of them of second litters */
    const double *ready; /* n_days + ceil(ready_d) + 1: pigs that become ready on that day, expected */
    size_t n_ready;
    const struct plan_day *day; /* n_days */
};

/* Exact: no dice. Sums of independent sows by folding them in one after the other.
 *
 * Fails     ST_BAD_INPUT naming the field; ST_NO_MEMORY
 */
enum status plan_exact(const struct plan *p, struct arena *mem, struct plan_exact *out, struct message *why) MUST_USE;

/* Of n sows with chances sound[] (her boar and no reserve), both[] (her boar and the reserve) and instead[] (the reserve
 * alone): count[k] the chance that it happens to k of them, over the luck of boars and reserve. */
void plan_sum_with_boars(const struct plan *p, const double sound[], const double both[], const double instead[],
                         double scratch[], double count[]); /* scratch 5 (n_sows + 1), count n_sows + 1 */

/* How many of n independent events with chances q happen: count[0 .. n]. Poisson's binomial, by folding in. */
void plan_sum_of(size_t n, const double q[], double count[]);

struct plan_spread {
    double mean, p05, p50, p95;
};
struct plan_winters { /* over all winters drawn */
    size_t n;
    struct plan_spread worth, in_time, late, danger, litters; /* money; pigs sold when asked for; others; litters */
    double bad_p; /* chance that less than half the pigs asked for are sold in time */
};

/* Drawn: a winter of the past, which boars are sound, each sow's day and litter. The same seed gives the same
 * figures, and two plans of the same farm meet the same luck, so that their difference is the plan's. n 100 ..
 * 100,000.
 *
 * Fails     ST_BAD_INPUT; ST_NO_MEMORY
 */
enum status plan_winters(const struct plan *p, size_t n, uint64_t seed, struct arena *mem, struct plan_winters *out,
                         struct message *why) MUST_USE;

struct plan_change {
    double mean, se; /* of a difference, and its standard error */
};
struct plan_changes { /* what b has more than a */
    size_t n;
    struct plan_change worth, in_time, late, danger, litters, bad;
};

/* Two plans in the same n winters, winter by winter. Sow i of one is sow i of the other.
 *
 * Fails     as plan_winters()
 */
enum status plan_compare(const struct plan *a, const struct plan *b, size_t n, uint64_t seed, struct arena *mem,
                         struct plan_changes *out, struct message *why) MUST_USE;

struct plan_wish {                      /* one asking, and what it brings to give it up */
    double met_p;                       /* chance that it is met in full */
    double rest_before_p, rest_after_p; /* that all the others are: with it kept, with it given up */
    struct plan_change gain;            /* the second less the first */
    struct plan_change worth, pigs;     /* given up less kept: money; pigs sold when asked for */
};
struct plan_wishes {
    size_t n;                     /* winters */
    double all_p;                 /* chance that every asking is met in full */
    const struct plan_wish *wish; /* n_asked */
    size_t give_up; /* of those that help the others by more than two standard errors the one that costs least; n_asked:
                       none does */
};

/* Which asking to give up: each left out in the same n winters with the same dice.
 *
 * Fails     as plan_winters()
 */
enum status plan_wishes(const struct plan *p, size_t n, uint64_t seed, struct arena *mem, struct plan_wishes *out,
                        struct message *why) MUST_USE;

struct plan_amount {           /* pigs */
    double expected, mean, se; /* exact; of the winters drawn, and its standard error */
    double p10, p50, p90;
};
struct plan_week {
    int32_t from;                      /* first of seven days, index */
    struct plan_amount ready, by_then; /* become ready in it; have become ready by its end */
};

/* Pigs that become ready, week by week, from the week before which there are none to the last that has any. Weeks begin
 * on `first` (0 .. 6) and every seventh day after. Expected is exact; the rest is drawn as in plan_winters().
 *
 * Returned  weeks in *n; 0 when nothing is expected
 * Fails     as plan_winters()
 */
enum status plan_weeks(const struct plan *p, const struct plan_exact *x, size_t first, size_t n_winters, uint64_t seed,
                       struct arena *mem, struct plan_week **week, size_t *n, struct message *why) MUST_USE;

#endif
