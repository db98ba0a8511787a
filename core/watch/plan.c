/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The plan: the best picks for the mean of the forecasts, for each forecast by itself, and with nothing done; what is
 * tight; a spare. Telling it is advice.c.
 */
#include <math.h>

#include "core/watch/advice.h"

struct cases {
    struct choose_case *of; /* n_members + 1; the last is the mean */
    size_t **pick;          /* n_members + 1 of n_near columns */
    struct choose_pick mean;
};

static enum status no_room(struct message *why)
{
    return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to hold at once");
}

static enum status lay_cases(const struct work *k, struct cases *c, struct message *why)
{
    const size_t n = k->in->n_members + 1;

    c->of = ARENA_NEW(k->mem, struct choose_case, n);
    c->pick = ARENA_NEW(k->mem, size_t *, n);
    for (size_t m = 0; c->of && c->pick && m < n; m++) {
        double *cost = ARENA_NEW(k->mem, double, k->problem.n_cols),
               *due = ARENA_NEW(k->mem, double, k->problem.n_cols);
        double *stay = ARENA_NEW(k->mem, double, k->n_near);
        c->pick[m] = ARENA_NEW(k->mem, size_t, k->n_near);
        if (arena_full(k->mem))
            break;
        work_case(k, m, cost, stay, due);
        c->of[m] = (struct choose_case){ cost, stay, due, &k->limits };
    }
    return arena_full(k->mem) ? no_room(why) : ST_OK;
}

/* ---- with nothing done ---- */

static bool free_of_work(const struct work *k, size_t col)
{
    const struct watch_option *o = &k->in->options[k->col_option[col]];
    return o->change == WATCH_AS_IT_STANDS && o->minutes <= 0.0 && o->straw_kg <= 0.0 && o->takes == WATCH_NONE &&
           o->flaps + o->bales + o->panels == 0;
}

static enum status with_nothing_done(const struct work *k, const struct choose_case *mean, size_t *pick,
                                     struct message *why)
{
    double *cost = ARENA_NEW(k->mem, double, k->problem.n_cols);
    struct choose_case c = *mean;
    struct choose_pick found = { .col = pick };
    bool fits = false;

    if (!cost)
        return no_room(why);
    for (size_t i = 0; i < k->problem.n_cols; i++)
        cost[i] = free_of_work(k, i) ? mean->cost[i] : HUGE_VAL;
    c.cost = cost;
    return choose_bound(&k->problem, &c, &found, &fits, why);
}

/* ---- what is tight: would more of it make the plan better? ---- */

static enum status try_more(const struct work *k, const struct choose_problem *p, const struct choose_case *c,
                            const struct choose_pick *mean, unsigned bit, unsigned *tight, struct message *why)
{
    struct choose_pick more = { .col = ARENA_NEW(k->mem, size_t, k->n_near) };

    if (!more.col)
        return no_room(why);
    const enum status st = choose_best(p, c, mean->col, &more, why);
    if (st == ST_OK && more.cost < mean->cost - 1e-6)
        *tight |= bit;
    return st;
}

static enum status find_tight(const struct work *k, const struct choose_case *c, const struct choose_pick *mean,
                              unsigned *tight, struct message *why)
{
    static const unsigned bit[CHOOSE_THINGS] = { WATCH_TIGHT_FLAPS, WATCH_TIGHT_BALES, WATCH_TIGHT_PANELS,
                                                 WATCH_TIGHT_STRAW };
    struct choose_limits limits = k->limits;
    struct choose_case loose = *c;
    struct choose_problem roomy = k->problem;
    unsigned *room = ARENA_NEW(k->mem, unsigned, k->in->n_sites);
    enum status st = ST_OK;

    if (!room)
        return no_room(why);
    loose.limits = &limits;
    for (int t = 0; !mean->slack && st == ST_OK && t < CHOOSE_THINGS; t++) {
        limits.most[t] = HUGE_VAL;
        st = try_more(k, &k->problem, &loose, mean, bit[t], tight, why);
        limits.most[t] = k->limits.most[t];
    }
    if (!mean->slack && limits.hands && st == ST_OK) {
        limits.hands = NULL;
        st = try_more(k, &k->problem, &loose, mean, WATCH_TIGHT_HANDS, tight, why);
        limits.hands = k->limits.hands;
    }
    for (size_t j = 0; j < k->in->n_sites; j++)
        room[j] = k->room[j] ? k->room[j] + 1 : 0;
    roomy.room = room;
    return st == ST_OK ? try_more(k, &roomy, c, mean, WATCH_TIGHT_PLACES, tight, why) : st;
}

/* ---- the spare ----
 * A sow passes by what was put out for her with chance 1 - p; she may then use the spare, with chance p again. Of all
 * that is left the one that gains most by that for some sow who has been given a place away from where she lies. What
 * is work must be a real help there, and not one bad place for another. */

static bool worth_the_work(const struct work *k, const struct choose_case *c, size_t s, size_t col, double again)
{
    return !(k->pains[col] > 0.0) ||
           c->stay[s] - (c->cost[col] - k->pains[col]) >= k->w->spare_share * again * c->stay[s];
}

static struct spare find_spare(const struct work *k, const struct choose_case *c, const size_t *pick, size_t *with)
{
    struct spare best = { WATCH_NONE, WATCH_NONE };
    double best_gain = 1e-9;

    for (size_t s = 0; s < k->n_near; s++)
        with[s] = pick[s];
    for (size_t col = 0; col < k->problem.n_cols; col++) {
        const size_t s = k->cols[col].sow, sow = k->near[s];
        if (pick[s] == WATCH_NONE || !(c->cost[col] < HUGE_VAL))
            continue;
        const double p = work_p_use(k, sow, k->col_option[pick[s]]), again = work_p_use(k, sow, k->col_option[col]);
        const double gain = (1.0 - p) * (c->stay[s] - (c->cost[col] - k->pains[col])) - k->pains[col];
        if (p >= 1.0 || again >= 1.0 || gain <= best_gain || !worth_the_work(k, c, s, col, again))
            continue;
        with[k->n_near] = col;
        if (!choose_fits(&k->problem, c, k->n_near + 1, with))
            continue;
        best_gain = gain;
        best = (struct spare){ k->col_option[col], sow };
    }
    return best;
}

/* ---- all together ---- */

static void to_options(const struct work *k, const size_t *pick, size_t *option)
{
    for (size_t s = 0; s < k->in->n_sows; s++)
        option[s] = WATCH_NONE;
    for (size_t s = 0; s < k->n_near; s++)
        if (pick[s] != WATCH_NONE)
            option[k->near[s]] = k->col_option[pick[s]];
}

static enum status choose_all(const struct work *k, struct cases *c, struct chosen *chosen, struct watch_plan *plan,
                              struct message *why)
{
    const size_t n = k->in->n_members;
    size_t *with = ARENA_NEW(k->mem, size_t, k->n_near + 1), *now = ARENA_NEW(k->mem, size_t, k->n_near);

    chosen->now = ARENA_NEW(k->mem, size_t, k->in->n_sows);
    chosen->after = ARENA_NEW(k->mem, size_t, k->in->n_sows);
    chosen->by_member = ARENA_NEW(k->mem, size_t, k->in->n_sows * n);
    chosen->spare_by_member = ARENA_NEW(k->mem, struct spare, n);
    if (arena_full(k->mem))
        return no_room(why);
    struct choose_problem first = k->problem;
    first.solver_ms = k->w->solver_ms; /* the plan itself is worth the solver's time; the comparisons go without */
    c->mean.col = c->pick[n];
    enum status st = choose_best(&first, &c->of[n], NULL, &c->mean, why);
    if (st == ST_OK)
        st = with_nothing_done(k, &c->of[n], now, why);
    if (st == ST_OK)
        st = find_tight(k, &c->of[n], &c->mean, &plan->tight, why);
    if (st != ST_OK)
        return st;
    plan->proved = c->mean.proved;
    to_options(k, now, chosen->now);
    to_options(k, c->mean.col, chosen->after);
    chosen->spare = find_spare(k, &c->of[n], c->mean.col, with);
    for (size_t m = 0; st == ST_OK && m < n; m++) {
        struct choose_pick own = { .col = c->pick[m] };
        st = choose_best(&k->problem, &c->of[m], c->mean.col, &own, why);
        if (st != ST_OK)
            break;
        to_options(k, own.col, chosen->by_member + m * k->in->n_sows);
        chosen->spare_by_member[m] = find_spare(k, &c->of[m], own.col, with);
    }
    return st;
}

enum status watch_plan(const struct watch_night *night, const struct watch_weights *weights, struct arena *mem,
                       struct watch_plan *plan, struct message *why)
{
    struct watch_plan made = { .spare = WATCH_NONE };
    struct chosen chosen = { 0 };
    struct cases cases = { 0 };
    struct work k;
    enum status st = work_check(night, weights, why);

    if (st == ST_OK)
        st = work_lay_out(night, weights, mem, &k, why);
    if (st == ST_OK)
        st = lay_cases(&k, &cases, why);
    if (st == ST_OK)
        st = choose_all(&k, &cases, &chosen, &made, why);
    if (st == ST_OK)
        st = advise(&k, &chosen, &made, why);
    if (st == ST_OK)
        st = advise_heat(&k, &chosen, &made, why);
    if (st == ST_OK)
        *plan = made;
    return st;
}
