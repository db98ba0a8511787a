/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which asking to give up: the same winters with all askings and with each of them left out. Births, litters and luck
 * are drawn once; only the selling is done again. */
#include <math.h>
#include <string.h>

#include "core/season/plan_inside.h"

struct sums { /* of one asking, over winters */
    double met, before, after, gain2, worth, worth2, pigs, pigs2;
};

struct without {
    struct plan plan;
    struct plan_season season;
    struct sums sum;
};

static enum status leave_out(const struct plan *p, size_t a, const struct plan_season *all, struct arena *mem,
                             struct without *w, struct message *why)
{
    struct plan_asked *asked = ARENA_NEW(mem, struct plan_asked, p->n_asked);
    double *open = ARENA_NEW(mem, double, p->n_asked + 1);

    if (!asked || !open)
        return refuse(ST_NO_MEMORY, why, "", "too many askings at once");
    for (size_t i = 0, n = 0; i < p->n_asked; i++)
        if (i != a)
            asked[n++] = p->asked[i];
    w->plan = *p;
    w->plan.asked = asked;
    w->plan.n_asked = p->n_asked - 1;
    w->season = *all;
    w->season.p = &w->plan;
    w->season.open = open;
    w->season.lot = ARENA_NEW(mem, struct pig_lot, 2 * p->n_sows + 1);
    return w->season.lot ? ST_OK : refuse(ST_NO_MEMORY, why, "", "too many sows and winters at once");
}

static bool met(double open)
{
    return open < 1e-9;
}

/* Are all met but the one left out (SIZE_MAX: none is)? */
static bool all_met(const struct plan_season *s, size_t but)
{
    for (size_t a = 0; a < s->p->n_asked; a++)
        if (a != but && !met(s->open[a]))
            return false;
    return true;
}

static void compare(const struct plan_season *all, size_t a, struct without *w)
{
    struct sums *x = &w->sum;
    const bool before = all_met(all, a), after = all_met(&w->season, SIZE_MAX);
    const double worth = w->season.worth - all->worth, pigs = w->season.in_time - all->in_time;

    x->met += met(all->open[a]) ? 1.0 : 0.0;
    x->before += before ? 1.0 : 0.0;
    x->after += after ? 1.0 : 0.0;
    x->gain2 += before != after ? 1.0 : 0.0;
    x->worth += worth;
    x->worth2 += worth * worth;
    x->pigs += pigs;
    x->pigs2 += pigs * pigs;
}

static struct plan_change change_of(double sum, double square, double n)
{
    const double mean = sum / n, spread = square / n - mean * mean;

    return (struct plan_change){ mean, spread > 0.0 ? sqrt(spread / (n - 1.0)) : 0.0 };
}

static bool helps(const struct plan_wish *w)
{
    return w->gain.mean > 2.0 * w->gain.se && w->gain.mean > 0.0;
}

static void conclude(const struct without part[], size_t n_asked, double n, struct plan_wish wish[],
                     struct plan_wishes *out)
{
    out->give_up = n_asked;
    for (size_t a = 0; a < n_asked; a++) {
        const struct sums *x = &part[a].sum;
        wish[a] = (struct plan_wish){ .met_p = x->met / n,
                                      .rest_before_p = x->before / n,
                                      .rest_after_p = x->after / n,
                                      .gain = change_of(x->after - x->before, x->gain2, n),
                                      .worth = change_of(x->worth, x->worth2, n),
                                      .pigs = change_of(x->pigs, x->pigs2, n) };
        if (helps(&wish[a]) && (out->give_up == n_asked || wish[a].worth.mean > wish[out->give_up].worth.mean))
            out->give_up = a;
    }
}

enum status plan_wishes(const struct plan *p, size_t n, uint64_t seed, struct arena *mem, struct plan_wishes *out,
                        struct message *why)
{
    struct without *part = ARENA_NEW(mem, struct without, p->n_asked + 1);
    struct plan_wish *wish = ARENA_NEW(mem, struct plan_wish, p->n_asked + 1);
    struct plan_season all;
    double all_p = 0.0;
    enum status st =
        part && wish ? plan_season_open(p, mem, &all, why) : refuse(ST_NO_MEMORY, why, "", "too many askings at once");

    if (st == ST_OK)
        st = plan_draws(n, why);
    for (size_t a = 0; a < p->n_asked && st == ST_OK; a++)
        st = leave_out(p, a, &all, mem, &part[a], why);
    if (st != ST_OK)
        return st;
    for (size_t w = 0; w < n; w++) {
        plan_season_births(&all, w, seed);
        for (size_t a = 0; a < p->n_asked; a++) {
            struct plan_season *s = &part[a].season;
            memcpy(s->lot, all.lot, all.n_lots * sizeof *s->lot);
            s->n_lots = all.n_lots;
            s->worth = s->in_time = s->late = s->danger = 0.0;
            plan_season_sell(s, w);
        }
        plan_season_sell(&all, w);
        all_p += all_met(&all, SIZE_MAX) ? 1.0 : 0.0;
        for (size_t a = 0; a < p->n_asked; a++)
            compare(&all, a, &part[a]);
    }
    *out = (struct plan_wishes){ .n = n, .all_p = all_p / (double)n, .wish = wish };
    conclude(part, p->n_asked, (double)n, wish, out);
    return ST_OK;
}
