/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The plan: what may be, the least worst litter, the plan itself, and what stands beside it to judge it by. */
#include "core/pedigree/mating.h"

#include <math.h>
#include <stdlib.h>

#include "core/pedigree/mating_inside.h"

struct find {
    const struct mating_ask *ask;
    struct arena *mem;
    bool *ok, *open;
    bool *lifted;           /* by sow: what was forbidden counts no more */
    uint32_t *least, *most; /* of the open sows */
    uint32_t *full;         /* of all sows, by hand ones too: ask->most, perhaps relaxed */
    uint32_t *by_hand;      /* by boar */
    uint32_t *at, *used;    /* scratch of the matching */
    double *costs;          /* of pairs that may be, rising */
    struct mating_net net;
};

static double cost_of(const struct find *w, size_t sow, size_t boar)
{
    return w->ask->cost[sow * w->ask->n_boars + boar];
}

static enum status check(const struct mating_ask *a, struct message *why)
{
    if (a->n_sows == 0 || a->n_sows >= UINT32_MAX)
        return refuse(ST_BAD_INPUT, why, "sows", "no sow is named; name one or more");
    if (a->n_boars == 0 || a->n_boars >= UINT32_MAX)
        return refuse(ST_BAD_INPUT, why, "boars", "no boar is named; name one or more");
    if (!(a->limit >= 0.0))
        return refuse(ST_BAD_INPUT, why, "limit", "the limit is %g; give 0 or more", a->limit);
    for (size_t k = 0; k < a->n_sows * a->n_boars; k++)
        if (!(isfinite(a->cost[k]) && a->cost[k] >= 0.0))
            return refuse(ST_BAD_INPUT, why, "cost", "sow %zu with boar %zu costs %g; give a figure of 0 or more",
                          k / a->n_boars + 1, k % a->n_boars + 1, a->cost[k]);
    for (size_t b = 0; a->least && b < a->n_boars; b++)
        if (a->least[b] > a->most[b])
            return refuse(ST_BAD_INPUT, why, "boars",
                          "boar %zu is to have %u sows or more and %u or fewer; give a most "
                          "no smaller than the least",
                          b + 1, (unsigned)a->least[b], (unsigned)a->most[b]);
    for (size_t s = 0; a->fixed && s < a->n_sows; s++) {
        const uint32_t b = a->fixed[s];
        if (b == MATING_NONE)
            continue;
        if (b >= a->n_boars)
            return refuse(ST_BAD_INPUT, why, "fix", "sow %zu is put to a boar that is not among them", s + 1);
        if (a->forbidden && a->forbidden[s * a->n_boars + b])
            return refuse(ST_BAD_INPUT, why, "fix",
                          "sow %zu is put to boar %zu by hand and forbidden him; leave one out", s + 1, (size_t)b + 1);
    }
    return ST_OK;
}

static bool find_open(struct find *w, const struct mating_ask *a, struct arena *mem)
{
    const size_t n = a->n_sows * a->n_boars;

    if (n / a->n_boars != a->n_sows)
        return false;
    *w = (struct find){ .ask = a,
                        .mem = mem,
                        .ok = ARENA_NEW(mem, bool, n),
                        .open = ARENA_NEW(mem, bool, a->n_sows),
                        .lifted = ARENA_NEW(mem, bool, a->n_sows),
                        .least = ARENA_NEW(mem, uint32_t, a->n_boars),
                        .most = ARENA_NEW(mem, uint32_t, a->n_boars),
                        .full = ARENA_NEW(mem, uint32_t, a->n_boars),
                        .by_hand = ARENA_NEW(mem, uint32_t, a->n_boars),
                        .at = ARENA_NEW(mem, uint32_t, a->n_sows),
                        .used = ARENA_NEW(mem, uint32_t, a->n_boars),
                        .costs = ARENA_NEW(mem, double, n + 1) };
    if (arena_full(mem))
        return false;
    w->net = (struct mating_net){ a->n_sows, a->n_boars, a->cost, w->ok, w->open, w->least, w->most };
    for (size_t s = 0; s < a->n_sows; s++) {
        w->open[s] = !a->fixed || a->fixed[s] == MATING_NONE;
        if (!w->open[s])
            w->by_hand[a->fixed[s]]++;
    }
    for (size_t b = 0; b < a->n_boars; b++)
        w->full[b] = a->most[b];
    return true;
}

/* What is left to the open sows; false: more are put to a boar by hand than he may have. */
static bool rooms(struct find *w)
{
    bool fits = true;

    for (size_t b = 0; b < w->ask->n_boars; b++) {
        const uint32_t hand = w->by_hand[b], least = w->ask->least ? w->ask->least[b] : 0;
        fits = fits && hand <= w->full[b];
        w->most[b] = hand <= w->full[b] ? w->full[b] - hand : 0;
        w->least[b] = hand < least ? least - hand : 0;
    }
    return fits;
}

static void allow(struct find *w, double limit)
{
    for (size_t k = 0; k < w->ask->n_sows * w->ask->n_boars; k++)
        w->ok[k] =
            w->ask->cost[k] <= limit && (!w->ask->forbidden || !w->ask->forbidden[k] || w->lifted[k / w->ask->n_boars]);
}

static enum status fits(struct find *w, bool *yes, size_t *unplaced, struct message *why)
{
    size_t toward, wanted = 0;
    enum status st = mating_match(&w->net, w->mem, w->at, w->used, &toward, unplaced, why);

    for (size_t b = 0; b < w->ask->n_boars; b++)
        wanted += w->least[b];
    *yes = st == ST_OK && *unplaced == 0 && toward == wanted;
    return st;
}

static int rising(const void *left, const void *right)
{
    const double a = *(const double *)left, b = *(const double *)right;

    return a < b ? -1 : a > b;
}

/* The least limit, of those up to `limit`, under which a plan is left; INFINITY when none is. Leaves `ok` as of it. */
static enum status bottleneck(struct find *w, double limit, double *least, struct message *why)
{
    size_t n = 0, low = 0, high, unplaced;
    bool yes = false;
    enum status st;

    *least = (double)INFINITY;
    allow(w, limit);
    for (size_t k = 0; k < w->ask->n_sows * w->ask->n_boars; k++)
        if (w->ok[k] && w->open[k / w->ask->n_boars])
            w->costs[n++] = w->ask->cost[k];
    w->costs[n++] = 0.0; /* every sow put by hand: nothing is left to limit */
    qsort(w->costs, n, sizeof *w->costs, rising);
    for (high = n; low < high;) {
        const size_t middle = low + (high - low) / 2;
        allow(w, w->costs[middle]);
        st = fits(w, &yes, &unplaced, why);
        if (st != ST_OK)
            return st;
        if (yes)
            high = middle;
        else
            low = middle + 1;
    }
    if (low < n)
        *least = w->costs[low];
    return ST_OK;
}

/* ---- beside the plan ---- */

static double mean_of(const struct find *w, const uint32_t boar[], double *worst)
{
    double sum = 0.0;

    *worst = 0.0;
    for (size_t s = 0; s < w->ask->n_sows; s++) {
        const double c = boar[s] == MATING_NONE ? (double)NAN : cost_of(w, s, boar[s]);
        sum += c;
        *worst = fmax(*worst, c);
    }
    return sum / (double)w->ask->n_sows;
}

static uint32_t best_of(const struct find *w, size_t sow, const uint32_t room[])
{
    uint32_t best = MATING_NONE;

    for (uint32_t b = 0; b < w->ask->n_boars; b++)
        if (w->ok[sow * w->ask->n_boars + b] && (!room || room[b] > 0) &&
            (best == MATING_NONE || cost_of(w, sow, b) < cost_of(w, sow, best)))
            best = b;
    return best;
}

/* Sow after sow: with room, in list order as a person would; without, every sow to her best. Those by hand stay. */
static double greedy_mean(struct find *w, bool room)
{
    double worst;

    for (size_t b = 0; b < w->ask->n_boars; b++)
        w->used[b] = w->most[b];
    for (size_t s = 0; s < w->ask->n_sows; s++) {
        w->at[s] = w->open[s] ? best_of(w, s, room ? w->used : NULL) : w->ask->fixed[s];
        if (w->open[s] && w->at[s] != MATING_NONE)
            w->used[w->at[s]] -= room;
    }
    return mean_of(w, w->at, &worst);
}

/* ---- the plan ---- */

static double worst_by_hand(const struct find *w)
{
    double worst = 0.0;

    for (size_t s = 0; s < w->ask->n_sows; s++)
        if (!w->open[s])
            worst = fmax(worst, cost_of(w, s, w->ask->fixed[s]));
    return worst;
}

/* The net has a plan under `limit`. */
static enum status plan_under(struct find *w, double limit, struct mating_plan *plan, struct message *why)
{
    double least;
    enum status st = bottleneck(w, limit, &least, why);

    if (st != ST_OK)
        return st;
    plan->worst_possible = fmax(least, worst_by_hand(w));
    allow(w, limit);
    plan->free_mean = greedy_mean(w, false);
    plan->listed_mean = greedy_mean(w, true);
    if (w->ask->worst_first) /* what is put by hand may be worse already: no need to be stricter than that */
        allow(w, fmin(limit, plan->worst_possible));
    st = mating_flow(&w->net, w->mem, plan->boar, why);
    for (size_t s = 0; st == ST_OK && s < w->ask->n_sows; s++)
        if (!w->open[s])
            plan->boar[s] = w->ask->fixed[s];
    if (st == ST_OK)
        plan->mean = mean_of(w, plan->boar, &plan->worst);
    return st;
}

/* ---- what would make it work ---- */

static void must(struct mating_plan *plan, enum mating_relax relax, uint32_t who, double needs)
{
    if (plan->relax != MATING_FITS) { /* the first stands; it is not enough by itself */
        plan->relax_alone = false;
        return;
    }
    plan->relax = relax;
    plan->relax_needs = needs;
    if (relax == MATING_NO_BOAR)
        plan->relax_sow = who;
    else if (relax == MATING_LIMIT)
        plan->relax_limit = needs;
    else
        plan->relax_boar = who;
}

static void by_hand_too_many(struct find *w, struct mating_plan *plan)
{
    for (uint32_t b = 0; b < w->ask->n_boars; b++)
        if (w->by_hand[b] > w->full[b]) {
            must(plan, MATING_MORE, b, (double)w->by_hand[b]);
            w->full[b] = w->by_hand[b];
        }
    (void)rooms(w);
}

/* Sows for whom every boar is forbidden: lifted, so that a plan can be shown. */
static void no_boar(struct find *w, struct mating_plan *plan)
{
    allow(w, (double)INFINITY);
    for (uint32_t s = 0; s < w->ask->n_sows; s++)
        if (w->open[s] && best_of(w, s, NULL) == MATING_NONE) {
            must(plan, MATING_NO_BOAR, s, 0.0);
            w->lifted[s] = true;
        }
}

/* Leasts that can't be met, cut to what can be. */
static enum status fewer(struct find *w, struct mating_plan *plan, struct message *why)
{
    size_t toward, unplaced;
    enum status st;

    w->net.most = w->least; /* toward the leasts alone */
    st = mating_match(&w->net, w->mem, w->at, w->used, &toward, &unplaced, why);
    w->net.most = w->most;
    for (uint32_t b = 0; st == ST_OK && b < w->ask->n_boars; b++)
        if (w->used[b] < w->least[b]) {
            w->least[b] = w->used[b];
            must(plan, MATING_FEWER, b, (double)w->used[b] + (double)w->by_hand[b]);
        }
    return st;
}

/* Several boars must have more: room by room, the best boar of the first sow that finds none. */
static enum status many_boars_more(struct find *w, struct mating_plan *plan, struct message *why)
{
    uint32_t first = MATING_NONE;

    for (;;) {
        bool yes;
        size_t left;
        enum status st = fits(w, &yes, &left, why);
        if (st != ST_OK || left == 0)
            return st;
        size_t s = 0;
        while (!w->open[s] || w->at[s] != MATING_NONE)
            s++;
        const uint32_t b = best_of(w, s, NULL);
        w->most[b]++;
        w->full[b]++;
        if (b == first && plan->relax == MATING_MORE && plan->relax_boar == b) {
            plan->relax_needs = (double)w->full[b];
            continue;
        }
        first = first == MATING_NONE ? b : first;
        must(plan, MATING_MORE, b, (double)w->full[b]);
    }
}

/* The least limit that leaves each sow somebody. */
static double limit_for_each(struct find *w, double limit)
{
    allow(w, (double)INFINITY);
    for (size_t s = 0; s < w->ask->n_sows; s++)
        if (w->open[s])
            limit = fmax(limit, cost_of(w, s, best_of(w, s, NULL)));
    return limit;
}

static enum status more_room(struct find *w, double *limit, double could, const struct mating_plan *before,
                             struct mating_plan *plan, struct message *why)
{
    bool yes;
    size_t unplaced;
    uint32_t who = MATING_NONE;
    enum status st = fits(w, &yes, &unplaced, why);

    if (st != ST_OK || unplaced == 0)
        return st;
    /* Every further place of a boar places one more sow or none (the largest flow is concave in one room), so one who
     * would do alone needs as many more as are unplaced. */
    st = mating_flow_more(&w->net, (uint32_t)unplaced, &who, why);
    if (st != ST_OK)
        return st;
    if (who != MATING_NONE) {
        must(plan, MATING_MORE, who, (double)w->full[who] + (double)unplaced);
        w->full[who] += (uint32_t)unplaced;
        w->most[who] += (uint32_t)unplaced;
        return ST_OK;
    }
    if (isfinite(could)) { /* more room is no help: the limit must go up, and then leasts can be met as asked */
        *plan = *before;
        *limit = could;
        must(plan, MATING_LIMIT, 0, could);
        (void)rooms(w);
        return ST_OK;
    }
    const double each = limit_for_each(w, *limit);
    if (each > *limit) {
        *limit = each;
        must(plan, MATING_LIMIT, 0, each);
    }
    allow(w, *limit);
    return many_boars_more(w, plan, why);
}

static enum status relaxed(struct find *w, struct mating_plan *plan, struct message *why)
{
    double limit = w->ask->limit, could = (double)INFINITY;
    enum status st = ST_OK;

    by_hand_too_many(w, plan);
    no_boar(w, plan);
    if (isfinite(limit))
        st = bottleneck(w, (double)INFINITY, &could, why);
    if (!(isfinite(could) && could > limit))
        could = (double)INFINITY;
    else if (plan->relax == MATING_FITS)
        plan->relax_limit = could; /* another way out, beside what `relax` will say */
    const struct mating_plan before = *plan;
    allow(w, limit);
    if (st == ST_OK)
        st = fewer(w, plan, why);
    if (st == ST_OK)
        st = more_room(w, &limit, could, &before, plan, why);
    return st == ST_OK ? plan_under(w, limit, plan, why) : st;
}

enum status mating_find(const struct mating_ask *ask, struct arena *mem, struct mating_plan *plan, struct message *why)
{
    struct find w;
    struct mating_plan out = { .relax = MATING_FITS, .relax_limit = (double)NAN, .relax_alone = true };
    size_t unplaced;
    bool yes = false;
    enum status st = check(ask, why);

    if (st != ST_OK)
        return st;
    out.boar = ARENA_NEW(mem, uint32_t, ask->n_sows);
    if (!out.boar || !find_open(&w, ask, mem))
        return refuse(ST_NO_MEMORY, why, "sows", "too many sows and boars for the memory of this machine");
    allow(&w, ask->limit);
    if (rooms(&w))
        st = fits(&w, &yes, &unplaced, why);
    if (st == ST_OK)
        st = yes ? plan_under(&w, ask->limit, &out, why) : relaxed(&w, &out, why);
    if (st == ST_OK)
        *plan = out;
    return st;
}
