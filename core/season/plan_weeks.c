/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pigs by week: pigs are whole numbers, so each week keeps how many winters gave so many. */
#include <assert.h>
#include <math.h>

#include "core/season/plan_inside.h"

struct heap {          /* of one week */
    uint32_t *winters; /* n_most + 1: winters that gave so many pigs */
    double sum, square;
};

struct weeks {
    size_t n, n_most;
    int32_t first_day; /* may lie before the grid */
    struct heap *ready, *by_then;
    uint32_t *now; /* n: of the winter that is drawn */
};

static bool span_of(const struct plan_exact *x, size_t first, struct weeks *w)
{
    size_t from = x->n_ready, to = 0;

    for (size_t d = 0; d < x->n_ready; d++)
        if (x->ready[d] > 0.0) {
            from = from == x->n_ready ? d : from;
            to = d;
        }
    if (from == x->n_ready)
        return false;
    w->first_day = (int32_t)from - ((int32_t)from - (int32_t)first + 7) % 7;
    w->n = (size_t)((int32_t)to - w->first_day) / 7 + 1;
    return true;
}

static struct heap *heaps(size_t n, size_t n_most, struct arena *mem)
{
    struct heap *h = ARENA_NEW(mem, struct heap, n);
    uint32_t *room = ARENA_NEW(mem, uint32_t, n * (n_most + 1));

    for (size_t i = 0; h && room && i < n; i++)
        h[i].winters = room + i * (n_most + 1);
    return room ? h : NULL;
}

static enum status weeks_open(const struct plan *p, struct arena *mem, struct weeks *w, struct message *why)
{
    w->n_most = 0; /* dice of 53 bits throw no normal beyond 8.6: more pigs cannot be */
    for (size_t s = 0; s < p->n_sows; s++)
        w->n_most += (p->sows[s].second ? 2 : 1) * (size_t)ceil(p->sows[s].litter + 9.0 * p->sows[s].litter_sd + 1.0);
    w->ready = heaps(w->n, w->n_most, mem);
    w->by_then = heaps(w->n, w->n_most, mem);
    w->now = ARENA_NEW(mem, uint32_t, w->n);
    if (!w->ready || !w->by_then || !w->now)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and weeks at once");
    return ST_OK;
}

static void pile(struct heap *h, size_t n_most, uint32_t pigs)
{
    assert(pigs <= n_most);
    h->winters[pigs]++;
    h->sum += pigs;
    h->square += (double)pigs * pigs;
}

static void count_winter(const struct plan_season *s, struct weeks *w)
{
    uint32_t so_far = 0;

    for (size_t i = 0; i < w->n; i++)
        w->now[i] = 0;
    for (size_t i = 0; i < s->n_lots; i++) {
        const size_t week = (size_t)(s->lot[i].ready - w->first_day) / 7;
        w->now[week] += (uint32_t)s->lot[i].pigs;
    }
    for (size_t i = 0; i < w->n; i++) {
        so_far += w->now[i];
        pile(&w->ready[i], w->n_most, w->now[i]);
        pile(&w->by_then[i], w->n_most, so_far);
    }
}

static double quantile(const struct heap *h, size_t n_most, double n, double q)
{
    double sum = 0.0;

    for (size_t k = 0; k <= n_most; k++)
        if ((sum += h->winters[k]) >= q * n)
            return (double)k;
    return (double)n_most;
}

static struct plan_amount amount(const struct weeks *w, const struct heap *h, double n, double expected)
{
    const double mean = h->sum / n, spread = h->square / n - mean * mean;

    return (struct plan_amount){ expected,
                                 mean,
                                 spread > 0.0 ? sqrt(spread / n) : 0.0,
                                 quantile(h, w->n_most, n, 0.1),
                                 quantile(h, w->n_most, n, 0.5),
                                 quantile(h, w->n_most, n, 0.9) };
}

static void lay_out(const struct weeks *w, const struct plan_exact *x, double n, struct plan_week week[])
{
    double so_far = 0.0;

    for (size_t i = 0; i < w->n; i++) {
        const int32_t from = w->first_day + 7 * (int32_t)i;
        double in_it = 0.0;
        for (int32_t d = from < 0 ? 0 : from; d < from + 7 && d < (int32_t)x->n_ready; d++)
            in_it += x->ready[d];
        so_far += in_it;
        week[i] = (struct plan_week){ from, amount(w, &w->ready[i], n, in_it), amount(w, &w->by_then[i], n, so_far) };
    }
}

enum status plan_weeks(const struct plan *p, const struct plan_exact *x, size_t first, size_t n_winters, uint64_t seed,
                       struct arena *mem, struct plan_week **week, size_t *n, struct message *why)
{
    struct plan_season s;
    struct weeks w = { 0 };
    enum status st = plan_season_open(p, mem, &s, why);

    *n = 0;
    if (st == ST_OK)
        st = plan_draws(n_winters, why);
    if (st != ST_OK || !span_of(x, first, &w))
        return st;
    st = weeks_open(p, mem, &w, why);
    *week = ARENA_NEW(mem, struct plan_week, w.n);
    if (st == ST_OK && !*week)
        st = refuse(ST_NO_MEMORY, why, "", "too many sows and weeks at once");
    for (size_t i = 0; i < n_winters && st == ST_OK; i++) {
        plan_season_births(&s, i, seed);
        count_winter(&s, &w);
    }
    if (st == ST_OK) {
        lay_out(&w, x, (double)n_winters, *week);
        *n = w.n;
    }
    return st;
}
