/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/watch/choose.h"

#include <math.h>
#include <stdint.h>

#include "core/watch/scarce.h"

static const size_t scratch_bytes = 64u << 20;

/* ---- what fits ---- */

double choose_hands_by(const struct choose_limits *l, double at_h)
{
    const double h = fmin(fmax(at_h, 0.0), (double)l->n_hours);
    const size_t i = (size_t)h < l->n_hours ? (size_t)h : l->n_hours - 1;
    return l->hands[i] + (h - (double)i) * (l->hands[i + 1] - l->hands[i]);
}

/* Work that must be done wholly between the two hours, against the hands there are between them. With work that can be
 * laid aside and taken up again, that these all hold is enough (Horn 1974, Naval Research Logistics Quarterly 21:177,
 * from memory). */
static double overwork(const struct choose_problem *p, const struct choose_case *c, size_t n, const size_t *col,
                       double from_h, double to_h)
{
    double work = 0.0;
    for (size_t i = 0; i < n; i++)
        if (col[i] != SIZE_MAX && p->cols[col[i]].earliest_h >= from_h && c->due_h[col[i]] <= to_h)
            work += p->cols[col[i]].work;
    return work - (choose_hands_by(c->limits, to_h) - choose_hands_by(c->limits, from_h));
}

/* The window most overspent among those the picked columns span; false when hands are enough. */
static bool overworked(const struct choose_problem *p, const struct choose_case *c, size_t n, const size_t *col,
                       double *from_h, double *to_h)
{
    double worst = 1e-6;

    if (!c->limits->hands)
        return false;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++) {
            if (col[i] == SIZE_MAX || col[k] == SIZE_MAX || p->cols[col[i]].work <= 0.0 || p->cols[col[k]].work <= 0.0)
                continue;
            const double from = p->cols[col[i]].earliest_h, to = c->due_h[col[k]];
            const double over = from <= to ? overwork(p, c, n, col, from, to) : 0.0;
            if (over > worst) {
                worst = over;
                *from_h = from;
                *to_h = to;
            }
        }
    return worst > 1e-6;
}

static double used(const struct choose_problem *p, size_t n, const size_t *col, int thing)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++)
        if (col[i] != SIZE_MAX)
            sum += p->cols[col[i]].uses[thing];
    return sum;
}

static unsigned at_site(const struct choose_problem *p, size_t n, const size_t *col, size_t site)
{
    unsigned sum = 0;
    for (size_t i = 0; i < n; i++)
        if (col[i] != SIZE_MAX && (p->cols[col[i]].site == site || p->cols[col[i]].takes == site))
            sum++;
    return sum;
}

bool choose_fits(const struct choose_problem *p, const struct choose_case *c, size_t n, const size_t *col)
{
    double from_h = 0.0, to_h = 0.0;

    for (size_t i = 0; i < n; i++) {
        if (col[i] == SIZE_MAX)
            continue;
        const struct choose_col *k = &p->cols[col[i]];
        if (!(c->cost[col[i]] < HUGE_VAL) || at_site(p, n, col, k->site) > p->room[k->site])
            return false;
        if (k->takes != SIZE_MAX && at_site(p, n, col, k->takes) > p->room[k->takes])
            return false;
    }
    for (int t = 0; t < CHOOSE_THINGS; t++)
        if (used(p, n, col, t) > c->limits->most[t] * (1.0 + 1e-9) + 1e-6)
            return false;
    return !overworked(p, c, n, col, &from_h, &to_h);
}

/* ---- choosing ---- */

static enum status too_large(struct message *why)
{
    return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to weigh at once");
}

/* Without what is scarce. Columns dearer than staying are never worth it and left out. */
static bool loosely(const struct choose_problem *p, const struct choose_case *c, struct arena *mem,
                    struct assignment *a, struct choose_pick *pick)
{
    size_t *col = ARENA_NEW(mem, size_t, p->n_cols), n = 0;

    if (!assign_open(p, mem, a) || !col)
        return false;
    for (size_t k = 0; k < p->n_cols; k++)
        if (c->cost[k] < c->stay[p->cols[k].sow])
            col[n++] = k;
    pick->cost = assign_best(a, n, col, c->cost, c->stay, pick->col);
    pick->proved = pick->slack = true;
    return true;
}

enum status choose_bound(const struct choose_problem *p, const struct choose_case *c, struct choose_pick *pick,
                         bool *fits, struct message *why)
{
    struct assignment a;
    struct arena mem;

    arena_open(&mem, scratch_bytes);
    const bool good = loosely(p, c, &mem, &a, pick);
    arena_close(&mem);
    if (!good)
        return too_large(why);
    *fits = choose_fits(p, c, p->n_sows, pick->col);
    return ST_OK;
}

enum status choose_best(const struct choose_problem *p, const struct choose_case *c, const size_t *known,
                        struct choose_pick *pick, struct message *why)
{
    struct assignment a;
    struct arena mem;
    enum status st = ST_OK;

    arena_open(&mem, scratch_bytes);
    if (!loosely(p, c, &mem, &a, pick))
        st = too_large(why);
    else if (!choose_fits(p, c, p->n_sows, pick->col))
        st = scarce_best(p, c, &a, known, &mem, pick, why);
    arena_close(&mem);
    return st;
}
