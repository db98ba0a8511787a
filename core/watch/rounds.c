/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Night rounds: the fewest visits that cover the danger.
 *
 * A birth is met by the first visit after it, and by that visit alone: what is left to save only falls with time. So
 * the cost of a plan is a sum over gaps between visits, and dynamic programming over the time of the last visit
 * (Bellman 1957) finds the best plan of each length exactly.
 */
#include <math.h>
#include <stdlib.h>

#include "core/watch/watch.h"

/* Judgement. A chilled newborn is coldest 20 to 30 minutes after birth and one that is failing goes on falling; dried
 * and warmed in the first quarter of an hour it is as good as any. A farrowing lasts some three hours. */
static const double unhurt_min = 10.0, fall_min = 40.0, farrowing_min = 180.0;

/* Mean over piglets born evenly through the farrowing, of 1 for those not born yet and for the first minutes, then of
 * the fall. */
double watch_saved(double minutes)
{
    if (!(minutes >= 0.0))
        return NAN;
    const double born = fmin(minutes, farrowing_min);         /* minutes of farrowing behind us */
    const double youngest = minutes - born, oldest = minutes; /* ages of those born, evenly between */
    const double whole = fmin(fmax(unhurt_min - youngest, 0.0), born);
    const double from = fmax(youngest - unhurt_min, 0.0), to = fmax(oldest - unhurt_min, 0.0);
    const double falling = fall_min * (exp(-from / fall_min) - exp(-to / fall_min));
    return (farrowing_min - born + whole + falling) / farrowing_min;
}

struct walk {
    const struct watch_rounds_ask *ask;
    size_t n_slots, first, last; /* visits at the start of slots first .. last */
    double *risk;                /* n_slots: all sows together */
    double *missed;              /* (n_slots + 1) x (n_slots + 1): births from slot a on, met at slot b */
};

static double slot_h(const struct walk *w, size_t slot)
{
    return (double)slot * w->ask->slot_minutes / 60.0;
}

static double saved_at(const struct walk *w, size_t born, size_t visit)
{
    return watch_saved(((double)(visit - born) - 0.5) * w->ask->slot_minutes); /* born in the middle of its slot */
}

static double sow_risk(const struct walk *w, size_t sow, size_t slot)
{
    const size_t h = slot * w->ask->slot_minutes / 60;
    return h < w->ask->n_hours ? w->ask->risk[sow][h] * w->ask->slot_minutes / 60.0 : 0.0;
}

static enum status check(const struct watch_rounds_ask *a, struct message *why)
{
    if (a->slot_minutes != 15 && a->slot_minutes != 20 && a->slot_minutes != 30 && a->slot_minutes != 60)
        return refuse(ST_BAD_INPUT, why, "slot_minutes", "%u minutes; give 15, 20, 30 or 60", a->slot_minutes);
    if (a->most < 1 || a->most > 24)
        return refuse(ST_BAD_INPUT, why, "visits", "%u visits; give 1 to 24", a->most);
    if (a->n_hours < 1 || a->n_hours > 240 || a->n_sows > 500)
        return refuse(ST_BAD_INPUT, why, "hours", "%zu hours, %zu sows; give 1 to 240 hours, at most 500 sows",
                      a->n_hours, a->n_sows);
    if (!(a->from_h >= 0.0 && a->from_h <= a->until_h && a->until_h <= (double)a->n_hours))
        return refuse(ST_BAD_INPUT, why, "until", "rounds from hour %g to hour %g; they lie within 0 to %zu", a->from_h,
                      a->until_h, a->n_hours);
    if (!(a->enough >= 0.0 && a->enough <= 1.0 && a->enough_chance >= 0.0 && a->enough_chance <= 1.0))
        return refuse(ST_BAD_INPUT, why, "enough", "enough is %g of the danger or a chance of %g; give 0 to 1",
                      a->enough, a->enough_chance);
    for (size_t s = 0; s < a->n_sows; s++)
        for (size_t h = 0; h < a->n_hours; h++)
            if (!(a->risk[s][h] >= 0.0 && a->risk[s][h] <= 1.0))
                return refuse(ST_BAD_INPUT, why, "risk", "sow %zu, hour %zu: %g; give a chance from 0 to 1", s, h,
                              a->risk[s][h]);
    return ST_OK;
}

static bool lay_walk(struct walk *w, struct arena *mem)
{
    const struct watch_rounds_ask *a = w->ask;
    const double slot = a->slot_minutes / 60.0;

    w->first = (size_t)ceil(a->from_h / slot - 1e-9);
    w->last = (size_t)floor(a->until_h / slot + 1e-9);
    w->n_slots = w->last; /* a birth after the last possible visit is not this round's */
    w->risk = ARENA_NEW(mem, double, w->n_slots + 1);
    w->missed = ARENA_NEW(mem, double, (w->last + 2) * (w->last + 2));
    if (arena_full(mem))
        return false;
    for (size_t t = 0; t < w->n_slots; t++)
        for (size_t s = 0; s < a->n_sows; s++)
            w->risk[t] += sow_risk(w, s, t);
    for (size_t b = 1; b <= w->last; b++) /* missed[a][b] = missed[a + 1][b] + what is lost of slot a's births */
        for (size_t t = b; t-- > 0;)
            w->missed[t * (w->last + 2) + b] =
                w->missed[(t + 1) * (w->last + 2) + b] + w->risk[t] * (1.0 - saved_at(w, t, b));
    for (size_t t = w->last; t-- > 0;) /* no visit after: all is missed; kept in the column past the last */
        w->missed[t * (w->last + 2) + w->last + 1] = w->missed[(t + 1) * (w->last + 2) + w->last + 1] + w->risk[t];
    return true;
}

struct tours {
    double *best;        /* (most + 1) x n: least missed up to slot b with k visits, the last at b */
    size_t *before;      /* where the one before was */
    double *uncovered;   /* most + 1, with k visits or fewer */
    size_t *uses, *last; /* most + 1: how many of them it takes, and the last of those */
};

static bool plan_visits(const struct walk *w, struct arena *mem, struct tours *t)
{
    const size_t n = w->last + 1, most = w->ask->most, wide = w->last + 2;

    t->best = ARENA_NEW(mem, double, (most + 1) * n);
    t->before = ARENA_NEW(mem, size_t, (most + 1) * n);
    t->uncovered = ARENA_NEW(mem, double, most + 1);
    t->uses = ARENA_NEW(mem, size_t, most + 1);
    t->last = ARENA_NEW(mem, size_t, most + 1);
    if (arena_full(mem))
        return false;
    t->uncovered[0] = w->missed[w->last + 1];
    for (size_t k = 1; k <= most; k++) {
        t->uncovered[k] = t->uncovered[k - 1];
        t->uses[k] = t->uses[k - 1];
        t->last[k] = t->last[k - 1];
        for (size_t b = w->first; b < n; b++) {
            double *best = &t->best[k * n + b];
            *best = k == 1 ? w->missed[b] : HUGE_VAL;
            for (size_t a = w->first; k > 1 && a < b; a++)
                if (t->best[(k - 1) * n + a] + w->missed[a * wide + b] < *best) {
                    *best = t->best[(k - 1) * n + a] + w->missed[a * wide + b];
                    t->before[k * n + b] = a;
                }
            if (*best + w->missed[b * wide + w->last + 1] < t->uncovered[k] - 1e-12) {
                t->uncovered[k] = *best + w->missed[b * wide + w->last + 1];
                t->uses[k] = k;
                t->last[k] = b;
            }
        }
    }
    return true;
}

struct by_risk {
    double risk;
    size_t sow;
};

static int most_first(const void *a, const void *b)
{
    const struct by_risk *x = a, *y = b;
    return x->risk > y->risk ? -1 : x->risk < y->risk ? 1 : x->sow < y->sow ? -1 : x->sow > y->sow;
}

static bool fill_visit(const struct walk *w, size_t before, size_t at, struct watch_visit *v, struct arena *mem)
{
    struct by_risk *order = ARENA_NEW(mem, struct by_risk, w->ask->n_sows);
    size_t *sows = ARENA_NEW(mem, size_t, w->ask->n_sows);
    double all = 0.0;

    if (arena_full(mem))
        return false;
    v->at_h = slot_h(w, at);
    for (size_t s = 0; s < w->ask->n_sows; s++) {
        order[s].sow = s;
        for (size_t t = before; t < at; t++) {
            order[s].risk += sow_risk(w, s, t);
            v->meets += sow_risk(w, s, t) * saved_at(w, t, at);
        }
        all += order[s].risk;
    }
    qsort(order, w->ask->n_sows, sizeof *order, most_first);
    for (size_t i = 0; i < w->ask->n_sows; i++)
        if (order[i].risk > 0.0 && order[i].risk >= 0.1 * all)
            sows[v->n_sows++] = order[i].sow;
    v->sows = sows;
    return true;
}

static bool fill(const struct walk *w, const struct tours *t, size_t most, struct watch_rounds *r, struct arena *mem)
{
    const size_t n = t->uses[most];
    struct watch_visit *v = ARENA_NEW(mem, struct watch_visit, n);
    size_t *at = ARENA_NEW(mem, size_t, n + 1);

    if (arena_full(mem))
        return false;
    for (size_t i = n, b = t->last[most]; i > 0; i--) {
        at[i - 1] = b;
        b = t->before[i * (w->last + 1) + b];
    }
    for (size_t i = 0; i < n; i++)
        if (!fill_visit(w, i ? at[i - 1] : 0, at[i], &v[i], mem))
            return false;
    for (size_t i = 0; i <= n; i++) { /* the longest stretch between */
        const double from_h = i ? v[i - 1].at_h : w->ask->from_h, to_h = i < n ? v[i].at_h : w->ask->until_h;
        if (i == 0 || to_h - from_h > r->sleep_to_h - r->sleep_from_h) {
            r->sleep_from_h = from_h;
            r->sleep_to_h = to_h;
        }
    }
    r->n_visits = n;
    r->visits = v;
    return true;
}

enum status watch_rounds(const struct watch_rounds_ask *ask, struct arena *mem, struct watch_rounds *rounds,
                         struct message *why)
{
    struct walk w = { .ask = ask };
    struct watch_rounds r = { 0 };
    struct tours t;
    size_t k = 0;
    const enum status st = check(ask, why);

    if (st != ST_OK)
        return st;
    if (!lay_walk(&w, mem) || !plan_visits(&w, mem, &t))
        return refuse(ST_NO_MEMORY, why, "", "too many hours to plan rounds for");
    const double goal = fmax(ask->enough * t.uncovered[0], ask->enough_chance);
    while (k < ask->most && !(t.uncovered[k] <= goal))
        k++;
    r.enough = t.uncovered[k] <= goal;
    r.uncovered = t.uncovered;
    if (!fill(&w, &t, k, &r, mem))
        return refuse(ST_NO_MEMORY, why, "", "too many hours to plan rounds for");
    *rounds = r;
    return ST_OK;
}
