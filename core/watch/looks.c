/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The look worth taking. Worth of a look = sum over its two answers of their chance x (cost of the plan as it stands
 * - cost of the best plan), both with her hours as they would be after that answer. (Expected value of sample
 * information: Raiffa and Schlaifer, Applied Statistical Decision Theory, 1961.) The plan as it stands is among the
 * plans compared, so no look is worth less than nothing.
 *
 * A sow who is not near has no place in the plan by rule, not for want of knowing: what a place for her would gain
 * without any look is taken off.
 *
 * Looked at first with nothing scarce, which is quick and can only make a look seem worth more; only the looks that
 * seem worth most are then reckoned exactly.
 */
#include <math.h>
#include <stdlib.h>

#include "core/watch/assign.h"
#include "core/watch/work.h"

struct seen {       /* one answer to one look */
    double worth_c; /* not weighted with its chance */
    size_t option;
};

struct desk_top {
    struct work k;             /* every sow that is looked at counts as near */
    double *cost, *stay, *due; /* as things are */
    size_t *planned;           /* n_near: columns of the plan */
    double *cost2, *stay2, *due2;
    double *physical_h; /* n_cols: deadline from the weather; HUGE_VAL = none */
    struct assignment a;
    size_t *pick, *col;
    const struct watch_plan *plan;
    bool *is_near;   /* n_sows: as the night has it */
    double **waited; /* n_hours + 1 */
};

/* Hard deadlines do not wait for a look. */
static bool can_wait(const struct desk_top *d, size_t col, double at_h)
{
    const struct watch_option *o = &d->k.in->options[d->k.col_option[col]];

    return o->minutes <= 0.0 || fmax(at_h, o->earliest_h) + o->minutes / 60.0 <= d->physical_h[col] + 1e-9;
}

static size_t waits_until(const struct desk_top *d, size_t col, double at_h)
{
    const struct work *k = &d->k;
    const struct watch_option *o = &k->in->options[k->col_option[col]];
    const size_t ready_h = work_ready_h(k, o, &k->in->moments[0], k->due_own_h[col]);
    const size_t wait_h = o->minutes > 0.0 ? (size_t)ceil(at_h) : 0;
    const size_t h = ready_h > wait_h ? ready_h : wait_h;

    return h < k->in->n_hours ? h : k->in->n_hours;
}

static double cost_from(const struct desk_top *d, size_t col, const double *birth, size_t ready_h)
{
    const struct work *k = &d->k;
    const size_t n_hours = k->in->n_hours, sow = k->near[k->cols[col].sow], option = k->col_option[col];

    return k->pains[col] + work_expected(k, birth, k->need_mean + k->in->sows[sow].lies * n_hours,
                                         k->need_mean + option * n_hours, work_p_use(k, sow, option), ready_h);
}

/* What each column costs when it is only begun after a look in that hour; reckoned once for each hour. */
static const double *waited_costs(struct desk_top *d, double at_h)
{
    const size_t hour = (size_t)ceil(at_h);

    if (!d->waited[hour]) {
        double *cost = ARENA_NEW(d->k.mem, double, d->k.problem.n_cols);
        for (size_t c = 0; cost && c < d->k.problem.n_cols; c++)
            cost[c] = d->cost[c] < HUGE_VAL
                          ? cost_from(d, c, d->k.in->sows[d->k.near[d->k.cols[c].sow]].birth, waits_until(d, c, at_h))
                          : HUGE_VAL;
        d->waited[hour] = cost;
    }
    return d->waited[hour];
}

/* Her costs after an answer. What the plan has out stays as planned; all else begins after the look. */
static bool after_answer(struct desk_top *d, size_t s, const double *birth, double at_h)
{
    const struct work *k = &d->k;
    const size_t sow = k->near[s];
    const double *lies = k->need_mean + k->in->sows[sow].lies * k->in->n_hours, *waited = waited_costs(d, at_h);

    if (!waited)
        return false;
    for (size_t i = 0; i < k->n_near; i++)
        d->stay2[i] = d->stay[i];
    d->stay2[s] = work_expected(k, birth, lies, lies, 0.0, 0);
    for (size_t c = 0; c < k->problem.n_cols; c++) {
        const size_t of = k->cols[c].sow, option = k->col_option[c];
        const bool kept = d->planned[of] == c, out = of != s && !d->is_near[k->near[of]];
        d->cost2[c] = HUGE_VAL;
        if (!out && d->cost[c] < HUGE_VAL && (kept || can_wait(d, c, at_h)))
            d->cost2[c] = of == s ? cost_from(d, c, birth, waits_until(d, c, kept ? 0.0 : at_h))
                          : kept  ? d->cost[c]
                                  : waited[c];
        d->due2[c] = d->due[c];
        if (!kept) {
            const double own = of == s ? work_own_due(k, birth, sow, option) : k->due_own_h[c];
            d->due2[c] = fmin(fmax(own, at_h + k->in->options[option].minutes / 60.0), d->physical_h[c]);
        }
    }
    return true;
}

static enum status weigh(struct desk_top *d, size_t s, const double *birth, double at_h, bool exactly,
                         struct seen *seen, bool *exact, struct message *why)
{
    const struct work *k = &d->k;
    const struct choose_case c = { d->cost2, d->stay2, d->due2, &k->limits };
    struct choose_pick best = { .col = d->pick };
    double as_planned = 0.0;
    enum status st = ST_OK;
    size_t n = 0;

    if (!after_answer(d, s, birth, at_h))
        return refuse(ST_NO_MEMORY, why, "", "too many looks to weigh at once");
    for (size_t i = 0; i < k->n_near; i++)
        as_planned += d->planned[i] == SIZE_MAX ? d->stay2[i] : d->cost2[d->planned[i]];
    *exact = true;
    if (exactly) {
        st = choose_best(&k->problem, &c, d->planned, &best, why);
    } else {
        for (size_t i = 0; i < k->problem.n_cols; i++)
            if (d->cost2[i] < d->stay2[k->cols[i].sow])
                d->col[n++] = i;
        best.cost = assign_best(&d->a, n, d->col, d->cost2, d->stay2, d->pick);
        *exact = choose_fits(&k->problem, &c, k->n_near, d->pick);
    }
    if (st != ST_OK)
        return st;
    *seen = (struct seen){ fmax(0.0, as_planned - best.cost),
                           best.col[s] == SIZE_MAX ? WATCH_NONE : k->col_option[best.col[s]] };
    return ST_OK;
}

static enum status worth_of(struct desk_top *d, const struct watch_look *looks, size_t i, bool exactly,
                            struct watch_look_worth *w, bool *exact, struct message *why)
{
    const struct watch_look *l = &looks[i];
    const size_t now = d->plan->chosen[l->sow];
    const bool near = d->is_near[l->sow];
    struct seen yes = { 0 }, no = { 0 }, anyway = { 0 };
    bool a = false, b = false, c = true;
    size_t s = 0;

    while (d->k.near[s] != l->sow)
        s++;
    enum status st = weigh(d, s, l->birth_present, l->at_h, exactly, &yes, &a, why);
    if (st == ST_OK)
        st = weigh(d, s, l->birth_absent, l->at_h, exactly, &no, &b, why);
    if (st == ST_OK && !near)
        st = weigh(d, s, d->k.in->sows[l->sow].birth, l->at_h, exactly, &anyway, &c, why);
    if (st != ST_OK)
        return st;
    *exact = a && b && c;
    const double worth = l->p_present * yes.worth_c + (1.0 - l->p_present) * no.worth_c;
    *w = (struct watch_look_worth){
        .look = i,
        .option_present = yes.option,
        .option_absent = no.option,
        .worth_c = fmax(0.0, worth - (*exact ? anyway.worth_c : 0.0)), /* a bound must not be too small */
        .p_changes = (yes.option != now ? l->p_present : 0.0) + (no.option != now ? 1.0 - l->p_present : 0.0)
    };
    return ST_OK;
}

static enum status check_looks(const struct watch_night *n, size_t n_looks, const struct watch_look *looks,
                               struct message *why)
{
    for (size_t i = 0; i < n_looks; i++) {
        const struct watch_look *l = &looks[i];
        if (l->sow >= n->n_sows)
            return refuse(ST_BAD_INPUT, why, "sow", "look %zu is at a sow that is not there", i);
        if (!(l->p_present >= 0.0 && l->p_present <= 1.0))
            return refuse(ST_BAD_INPUT, why, "p_present", "look %zu: the chance to see it is %g; give 0 to 1", i,
                          l->p_present);
        if (!(l->at_h >= 0.0 && l->at_h <= (double)n->n_hours))
            return refuse(ST_BAD_INPUT, why, "at", "look %zu is at hour %g; give 0 to %zu", i, l->at_h, n->n_hours);
        for (size_t h = 0; h < n->n_hours; h++)
            if (!(l->birth_present[h] >= 0.0 && l->birth_present[h] <= 1.0 && l->birth_absent[h] >= 0.0 &&
                  l->birth_absent[h] <= 1.0))
                return refuse(ST_BAD_INPUT, why, "birth", "look %zu, hour %zu: a chance is not from 0 to 1", i, h);
    }
    return ST_OK;
}

/* Sows that are looked at but not near may become so: they get columns, and the plan has nothing out for them. */
static enum status open_desk(const struct watch_night *n, const struct watch_weights *w, const struct watch_plan *plan,
                             size_t n_looks, const struct watch_look *looks, struct arena *mem, struct desk_top *d,
                             struct message *why)
{
    struct watch_night *wide = ARENA_NEW(mem, struct watch_night, 1);
    struct watch_sow *sows = ARENA_NEW(mem, struct watch_sow, n->n_sows);

    if (arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "too many looks to weigh at once");
    d->is_near = ARENA_NEW(mem, bool, n->n_sows);
    if (!d->is_near)
        return refuse(ST_NO_MEMORY, why, "", "too many looks to weigh at once");
    *wide = *n;
    for (size_t i = 0; i < n->n_sows; i++) {
        sows[i] = n->sows[i];
        d->is_near[i] = n->sows[i].near;
    }
    for (size_t i = 0; i < n_looks; i++)
        sows[looks[i].sow].near = true;
    wide->sows = sows;
    const enum status st = work_lay_out(wide, w, mem, &d->k, why);
    if (st != ST_OK)
        return st;
    const size_t n_cols = d->k.problem.n_cols, near = d->k.n_near;
    d->plan = plan;
    d->cost = ARENA_NEW(mem, double, n_cols);
    d->due = ARENA_NEW(mem, double, n_cols);
    d->stay = ARENA_NEW(mem, double, near);
    d->cost2 = ARENA_NEW(mem, double, n_cols);
    d->due2 = ARENA_NEW(mem, double, n_cols);
    d->stay2 = ARENA_NEW(mem, double, near);
    d->waited = ARENA_NEW(mem, double *, n->n_hours + 1);
    d->planned = ARENA_NEW(mem, size_t, near);
    d->pick = ARENA_NEW(mem, size_t, near);
    d->col = ARENA_NEW(mem, size_t, n_cols);
    d->physical_h = ARENA_NEW(mem, double, n_cols);
    if (!assign_open(&d->k.problem, mem, &d->a) || arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "too many looks to weigh at once");
    work_case(&d->k, n->n_members, d->cost, d->stay, d->due);
    for (size_t c = 0; c < n_cols; c++) {
        enum watch_why reason;
        const double due =
            work_physical_due(&n->options[d->k.col_option[c]], &n->moments[0], d->k.due_own_h[c], &reason);
        d->physical_h[c] = isnan(due) ? HUGE_VAL : due;
    }
    for (size_t s = 0; s < near; s++)
        d->planned[s] = SIZE_MAX;
    for (size_t c = 0; c < n_cols; c++)
        if (plan->chosen[d->k.near[d->k.cols[c].sow]] == d->k.col_option[c])
            d->planned[d->k.cols[c].sow] = c;
    return ST_OK;
}

static int worth_most_first(const void *a, const void *b)
{
    const struct watch_look_worth *x = a, *y = b;
    return x->worth_c > y->worth_c ? -1 : x->worth_c < y->worth_c ? 1 : x->look < y->look ? -1 : x->look > y->look;
}

enum status watch_looks(const struct watch_night *night, const struct watch_weights *weights,
                        const struct watch_plan *plan, size_t n_looks, const struct watch_look *looks, size_t most,
                        struct arena *mem, struct watch_look_worth **worth, size_t *n, struct message *why)
{
    struct watch_look_worth *all = ARENA_NEW(mem, struct watch_look_worth, n_looks);
    bool *exact = ARENA_NEW(mem, bool, n_looks);
    struct desk_top d = { 0 };
    size_t kept = 0, done = 0;
    enum status st = work_check(night, weights, why);

    if (st == ST_OK)
        st = check_looks(night, n_looks, looks, why);
    if (st == ST_OK && arena_full(mem))
        st = refuse(ST_NO_MEMORY, why, "", "too many looks to weigh at once");
    if (st == ST_OK)
        st = open_desk(night, weights, plan, n_looks, looks, mem, &d, why);
    for (size_t i = 0; st == ST_OK && i < n_looks; i++)
        st = worth_of(&d, looks, i, false, &all[i], &exact[i], why);
    if (st != ST_OK)
        return st;
    qsort(all, n_looks, sizeof *all, worth_most_first);
    while (done < n_looks && done < most &&
           all[done].worth_c > 1e-9) { /* the first is as good as it seems, or is put right */
        struct watch_look_worth *w = &all[done];
        if (exact[w->look]) {
            done++;
            continue;
        }
        st = worth_of(&d, looks, w->look, true, w, &exact[w->look], why);
        if (st != ST_OK)
            return st;
        qsort(w, n_looks - done, sizeof *w, worth_most_first);
    }
    for (size_t i = 0; i < done; i++)
        kept += all[i].worth_c > 1e-9 ? 1 : 0;
    *worth = all;
    *n = kept;
    return ST_OK;
}
