/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What would change the plan: two plans in the same winters. Their luck is common, so the difference is known far
 * better than either. */
#include <math.h>

#include "core/season/plan_inside.h"

struct tally { /* of differences */
    double sum, square;
};

static void add(struct tally *t, double x)
{
    t->sum += x;
    t->square += x * x;
}

static struct plan_change change_of(const struct tally *t, double n)
{
    const double mean = t->sum / n, spread = t->square / n - mean * mean;

    return (struct plan_change){ mean, spread > 0.0 ? sqrt(spread / (n - 1.0)) : 0.0 };
}

enum status plan_compare(const struct plan *a, const struct plan *b, size_t n, uint64_t seed, struct arena *mem,
                         struct plan_changes *out, struct message *why)
{
    struct plan_season x, y;
    struct tally worth = { 0 }, in_time = { 0 }, late = { 0 }, danger = { 0 }, litters = { 0 }, bad = { 0 };
    enum status st = plan_season_open(a, mem, &x, why);

    if (st == ST_OK)
        st = plan_season_open(b, mem, &y, why);
    if (st == ST_OK)
        st = plan_draws(n, why);
    if (st != ST_OK)
        return st;
    const double half_a = plan_half_asked(a), half_b = plan_half_asked(b);
    for (size_t w = 0; w < n; w++) {
        plan_season_births(&x, w, seed);
        plan_season_sell(&x, w);
        plan_season_births(&y, w, seed);
        plan_season_sell(&y, w);
        add(&worth, y.worth - x.worth);
        add(&in_time, y.in_time - x.in_time);
        add(&late, y.late - x.late);
        add(&danger, y.danger - x.danger);
        add(&litters, (double)y.n_lots - (double)x.n_lots);
        add(&bad, (double)(y.in_time < half_b) - (double)(x.in_time < half_a));
    }
    *out = (struct plan_changes){ .n = n,
                                  .worth = change_of(&worth, (double)n),
                                  .in_time = change_of(&in_time, (double)n),
                                  .late = change_of(&late, (double)n),
                                  .danger = change_of(&danger, (double)n),
                                  .litters = change_of(&litters, (double)n),
                                  .bad = change_of(&bad, (double)n) };
    return ST_OK;
}
