/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the quick solver of one piglet and that of several abreast share: the clock of a run, what depends on age alone,
 * the lowest point inside a step.
 */
#ifndef CORE_PIGLET_STEPS_H
#define CORE_PIGLET_STEPS_H

#include "core/piglet/own.h"

/* Step lengths in minutes while the run is younger than until_min; the last until_min is INFINITY. */
struct pace {
    double until_min, step_min;
};
extern const struct pace piglet_brisk[];

static inline double pace_at(const struct pace *pace, double at_min)
{
    while (at_min + 1e-6 >= pace->until_min)
        pace++;
    return pace->step_min;
}

/* The next minute at which something jumps, after at_min. */
double piglet_next_jump(const struct piglet_model *m, const struct piglet *who, double at_min);

/* What depends on age alone, at one moment; or its factors over half a step. */
struct aged {
    double vessel, birth, neutral, summit; /* exp(-age/tau) of each */
};

static inline struct aged aged_at(const struct piglet_model *m, double age_h)
{
    return (struct aged){ exp(-age_h / m->vessel_h), exp(-age_h / m->summit_birth_h), exp(-age_h / m->neutral_fed_h),
                          exp(-age_h / m->summit_fed_h) };
}

static inline struct aged aged_on(const struct aged *a, const struct aged *by)
{
    return (struct aged){ a->vessel * by->vessel, a->birth * by->birth, a->neutral * by->neutral,
                          a->summit * by->summit };
}

/* Lowest point of the cubic through two temperatures with their slopes (per s), inside the step; NAN if there is none.
 */
static inline double cubic_low(double t0, double t1, double d0, double d1, double dt_s, double *share)
{
    const double a = 2.0 * (t0 - t1) + dt_s * (d0 + d1), b = 3.0 * (t1 - t0) - dt_s * (2.0 * d0 + d1), c = dt_s * d0;
    const double root = b * b - 3.0 * a * c;

    if (root < 0.0)
        return NAN;
    *share = -c / (b + sqrt(root)); /* the minimum of the two turning points, in the form that stands a == 0 */
    if (!(*share > 0.0 && *share < 1.0))
        return NAN;
    return t0 + *share * (c + *share * (b + *share * a));
}

/* Grade 2 or 3 whatever comes: the lowest never rises again, and the mark of two hours stands (NAN: not come yet). */
static inline bool piglet_danger_is_sure(double min_c, double at_2h_c)
{
    return piglet_grade(min_c, isnan(at_2h_c) ? 39.0 : at_2h_c, 39.0) >= 2;
}

#endif
