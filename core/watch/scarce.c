/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/watch/scarce.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/lp.h"

static const double hair = 1e-9;
enum { MOST_ROWS = 96, STEPS = 80, MOST_NODES = 20000 };

struct scarce {
    const struct choose_problem *p;
    const struct choose_case *c;
    struct assignment *a;
    struct arena *mem;
    size_t n; /* columns still in */
    size_t *col;
    size_t n_rows; /* what can be overspent */
    double *use;   /* n_rows x n_cols of the problem */
    double most[MOST_ROWS];
    double price[MOST_ROWS], best_price[MOST_ROWS];
    double bound;               /* no plan costs less */
    double *priced;             /* n_cols: cost and prices */
    size_t *pick, *plan, *hold; /* n_sows each */
    double hold_cost;           /* of the best plan in hand */
    unsigned *at;               /* n_sites: scratch */
};

/* ---- rows ---- */

static double *new_row(struct scarce *g, double most)
{
    if (g->n_rows == MOST_ROWS)
        return NULL;
    g->most[g->n_rows] = most;
    double *row = g->use + g->n_rows * g->p->n_cols;
    for (size_t k = 0; k < g->p->n_cols; k++)
        row[k] = 0.0;
    return row;
}

/* Keep the row just filled if some plan could overspend it: each sow's largest use together. */
static void keep_row(struct scarce *g)
{
    const double *row = g->use + g->n_rows * g->p->n_cols;
    double sum = 0.0, hers = 0.0;

    for (size_t i = 0; i < g->n; i++) { /* columns come sow by sow */
        const size_t k = g->col[i];
        hers = fmax(hers, row[k]);
        if (i + 1 == g->n || g->p->cols[g->col[i + 1]].sow != g->p->cols[k].sow) {
            sum += hers;
            hers = 0.0;
        }
    }
    if (sum > g->most[g->n_rows] * (1.0 + 1e-12))
        g->n_rows++;
}

static int up(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

static size_t distinct(double *x, size_t n)
{
    size_t kept = 0;
    qsort(x, n, sizeof *x, up);
    for (size_t i = 0; i < n; i++)
        if (kept == 0 || x[i] > x[kept - 1])
            x[kept++] = x[i];
    return kept;
}

/* Windows from each earliest to each due hour. Of those that end with the same hands the widest says it all. */
static bool window_rows(struct scarce *g)
{
    double *from = ARENA_NEW(g->mem, double, g->n), *to = ARENA_NEW(g->mem, double, g->n), *row;

    if (arena_full(g->mem))
        return false;
    for (size_t i = 0; i < g->n; i++) {
        from[i] = g->p->cols[g->col[i]].earliest_h;
        to[i] = g->c->due_h[g->col[i]];
    }
    const size_t n_from = distinct(from, g->n), n_to = distinct(to, g->n);
    for (size_t f = 0; f < n_from; f++)
        for (size_t t = 0; t < n_to; t++) {
            const double by = choose_hands_by(g->c->limits, to[t]), most = by - choose_hands_by(g->c->limits, from[f]);
            if (to[t] < from[f] || (t + 1 < n_to && choose_hands_by(g->c->limits, to[t + 1]) <= by))
                continue;
            if (!(row = new_row(g, most)))
                return true; /* the rest are looked after when they are met */
            for (size_t i = 0; i < g->n; i++) {
                const size_t k = g->col[i];
                row[k] = g->p->cols[k].earliest_h >= from[f] && g->c->due_h[k] <= to[t] ? g->p->cols[k].work : 0.0;
            }
            keep_row(g);
        }
    return true;
}

static bool all_rows(struct scarce *g)
{
    const struct choose_problem *p = g->p;
    double *row;

    for (int t = 0; t < CHOOSE_THINGS; t++)
        if (g->c->limits->most[t] < HUGE_VAL && (row = new_row(g, g->c->limits->most[t]))) {
            for (size_t i = 0; i < g->n; i++)
                row[g->col[i]] = p->cols[g->col[i]].uses[t];
            keep_row(g);
        }
    for (size_t j = 0; j < p->n_sites; j++) {
        bool taken = false;
        for (size_t i = 0; i < g->n; i++)
            taken = taken || p->cols[g->col[i]].takes == j;
        if (!taken || !(row = new_row(g, p->room[j])))
            continue;
        for (size_t i = 0; i < g->n; i++)
            row[g->col[i]] = p->cols[g->col[i]].takes == j || p->cols[g->col[i]].site == j ? 1.0 : 0.0;
        keep_row(g);
    }
    return !g->c->limits->hands || window_rows(g);
}

/* Out with columns that overspend alone; then every row in shares of what there is. */
static void even_rows(struct scarce *g)
{
    size_t n = 0;

    for (size_t i = 0; i < g->n; i++) {
        bool alone = true;
        for (size_t r = 0; r < g->n_rows; r++)
            alone = alone && g->use[r * g->p->n_cols + g->col[i]] <= g->most[r] + 1e-7;
        if (alone)
            g->col[n++] = g->col[i];
    }
    g->n = n;
    for (size_t r = 0; r < g->n_rows; r++) {
        const double by = g->most[r] > 1e-6 ? g->most[r] : 1.0;
        for (size_t i = 0; i < g->n; i++)
            g->use[r * g->p->n_cols + g->col[i]] /= by;
        g->most[r] /= by;
    }
}

/* ---- plans in hand ---- */

struct spent {
    double row[MOST_ROWS];
};

static bool has_room(const struct scarce *g, const struct spent *spent, size_t out, size_t in)
{
    const struct choose_problem *p = g->p;
    const size_t site = p->cols[in].site;
    const bool leaves = out != SIZE_MAX && p->cols[out].site == site;

    if (g->at[site] + 1 - (leaves ? 1 : 0) > p->room[site])
        return false;
    for (size_t r = 0; r < g->n_rows; r++) {
        const double *use = g->use + r * p->n_cols;
        if (spent->row[r] + use[in] - (out == SIZE_MAX ? 0.0 : use[out]) > g->most[r] + 1e-7)
            return false;
    }
    return true;
}

static void swap_in(struct scarce *g, struct spent *spent, size_t sow, size_t in)
{
    const size_t out = g->plan[sow], n = g->p->n_cols;

    for (size_t r = 0; r < g->n_rows; r++)
        spent->row[r] += (in == SIZE_MAX ? 0.0 : g->use[r * n + in]) - (out == SIZE_MAX ? 0.0 : g->use[r * n + out]);
    if (out != SIZE_MAX)
        g->at[g->p->cols[out].site]--;
    if (in != SIZE_MAX)
        g->at[g->p->cols[in].site]++;
    g->plan[sow] = in;
}

static double cost_of(const struct scarce *g, size_t sow, size_t col)
{
    return col == SIZE_MAX ? g->c->stay[sow] : g->c->cost[col];
}

static void offer(struct scarce *g, const size_t *plan)
{
    double cost = 0.0;

    for (size_t s = 0; s < g->p->n_sows; s++)
        cost += cost_of(g, s, plan[s]);
    if (cost < g->hold_cost - 1e-12 && choose_fits(g->p, g->c, g->p->n_sows, plan)) {
        g->hold_cost = cost;
        memcpy(g->hold, plan, g->p->n_sows * sizeof *plan);
    }
}

/* Make a plan of a pick that may overspend: what pays most at these prices comes first; then better it sow by sow. */
static void put_right(struct scarce *g, const size_t *pick)
{
    const size_t n_sows = g->p->n_sows;
    struct spent spent = { { 0.0 } };
    bool again = true;

    memset(g->at, 0, g->p->n_sites * sizeof *g->at);
    for (size_t s = 0; s < n_sows; s++)
        g->plan[s] = SIZE_MAX;
    for (size_t turn = 0; turn < n_sows; turn++) {
        size_t next = SIZE_MAX;
        double most = 0.0;
        for (size_t s = 0; s < n_sows; s++)
            if (g->plan[s] == SIZE_MAX && pick[s] != SIZE_MAX && g->c->stay[s] - g->priced[pick[s]] > most &&
                has_room(g, &spent, SIZE_MAX, pick[s])) {
                most = g->c->stay[s] - g->priced[pick[s]];
                next = s;
            }
        if (next == SIZE_MAX)
            break;
        swap_in(g, &spent, next, pick[next]);
    }
    for (int round = 0; again && round < 20; round++) {
        double most = hair;
        size_t sow = SIZE_MAX, in = SIZE_MAX;
        for (size_t i = 0; i < g->n; i++) {
            const size_t k = g->col[i], s = g->p->cols[k].sow;
            const double gain = cost_of(g, s, g->plan[s]) - g->c->cost[k];
            if (gain > most && has_room(g, &spent, g->plan[s], k)) {
                most = gain;
                sow = s;
                in = k;
            }
        }
        again = sow != SIZE_MAX;
        if (again)
            swap_in(g, &spent, sow, in);
    }
    offer(g, g->plan);
}

/* ---- prices ---- */

static double relaxed(struct scarce *g, const double *price)
{
    const size_t n_cols = g->p->n_cols;
    double fixed = 0.0;

    for (size_t i = 0; i < g->n; i++)
        g->priced[g->col[i]] = g->c->cost[g->col[i]];
    for (size_t r = 0; r < g->n_rows; r++) {
        fixed += price[r] * g->most[r];
        for (size_t i = 0; price[r] > 0.0 && i < g->n; i++)
            g->priced[g->col[i]] += price[r] * g->use[r * n_cols + g->col[i]];
    }
    return assign_best(g->a, g->n, g->col, g->priced, g->c->stay, g->pick) - fixed;
}

static void strike_out(struct scarce *g, double bound)
{
    size_t n = 0;

    for (size_t i = 0; i < g->n; i++) {
        const size_t k = g->col[i];
        const double least =
            bound + g->priced[k] - g->a->sow_price[g->p->cols[k].sow] - g->a->site_price[g->p->cols[k].site];
        if (least < g->hold_cost - hair)
            g->col[n++] = k;
    }
    g->n = n;
}

static void better_prices(struct scarce *g)
{
    double step = 1.0;
    int stale = 0;

    for (int k = 0; k < STEPS && g->n; k++) {
        double over[MOST_ROWS], square = 0.0;
        const double bound = relaxed(g, g->price);
        put_right(g, g->pick);
        if (bound > g->bound + 1e-9) {
            g->bound = bound;
            memcpy(g->best_price, g->price, g->n_rows * sizeof *g->price);
            stale = 0;
        } else if (++stale >= 6) {
            step *= 0.5;
            stale = 0;
            memcpy(g->price, g->best_price, g->n_rows * sizeof *g->price);
        }
        strike_out(g, bound);
        if (g->bound >= g->hold_cost - hair || step < 0.01) {
            break;
        }
        for (size_t r = 0; r < g->n_rows; r++) {
            over[r] = -g->most[r];
            for (size_t s = 0; s < g->p->n_sows; s++)
                over[r] += g->pick[s] == SIZE_MAX ? 0.0 : g->use[r * g->p->n_cols + g->pick[s]];
            if (g->price[r] <= 0.0 && over[r] < 0.0)
                over[r] = 0.0;
            square += over[r] * over[r];
        }
        if (square <= 0.0)
            break;
        for (size_t r = 0; r < g->n_rows; r++)
            g->price[r] = fmax(0.0, g->price[r] + step * (g->hold_cost - bound) / square * over[r]);
    }
}

/* ---- what is left: go through it, nearest to the bound first ----
 * Any plan costs at least the bound and, for each sow, what her pick lies above her price; so a plan begun is given up
 * as soon as these alone come to more than the plan in hand. */

struct choice {
    size_t col; /* SIZE_MAX = stays */
    double above;
};

struct walk {
    struct scarce *g;
    size_t *order; /* n_sows: fewest choices first */
    size_t *first; /* n_sows + 1, by place in order */
    struct choice *choice;
    struct spent spent;
    size_t nodes;
};

static int least_above(const void *a, const void *b)
{
    const struct choice *x = a, *y = b;
    return x->above < y->above ? -1 : x->above > y->above ? 1 : x->col < y->col ? -1 : x->col > y->col;
}

static void go_on(struct walk *w, size_t depth, double least)
{
    struct scarce *g = w->g;

    if (depth == g->p->n_sows) {
        offer(g, g->plan);
        return;
    }
    const size_t s = w->order[depth];
    for (size_t i = w->first[depth]; i < w->first[depth + 1] && w->nodes < MOST_NODES; i++) {
        const struct choice *x = &w->choice[i];
        if (least + x->above >= g->hold_cost - hair)
            break;
        w->nodes++;
        if (x->col != SIZE_MAX && !has_room(g, &w->spent, SIZE_MAX, x->col))
            continue;
        swap_in(g, &w->spent, s, x->col);
        go_on(w, depth + 1, least + x->above);
        swap_in(g, &w->spent, s, SIZE_MAX);
    }
}

static size_t choices_of(const struct scarce *g, size_t s, struct choice *choice)
{
    const struct assignment *a = g->a;
    size_t n = 0;

    choice[n++] = (struct choice){ SIZE_MAX, g->c->stay[s] - a->sow_price[s] - a->slot_price[a->n_sites_slots + s] };
    for (size_t i = 0; i < g->n; i++)
        if (g->p->cols[g->col[i]].sow == s)
            choice[n++] = (struct choice){ g->col[i], g->priced[g->col[i]] - a->sow_price[s] -
                                                          a->site_price[g->p->cols[g->col[i]].site] };
    for (size_t i = 0; i < n; i++)
        choice[i].above = fmax(0.0, choice[i].above);
    qsort(choice, n, sizeof *choice, least_above);
    return n;
}

struct count {
    size_t n, sow;
};

static int fewest(const void *a, const void *b)
{
    const struct count *x = a, *y = b;
    return x->n < y->n ? -1 : x->n > y->n ? 1 : x->sow < y->sow ? -1 : x->sow > y->sow;
}

/* True when all was gone through. */
static bool go_through(struct scarce *g, bool *all)
{
    const size_t n_sows = g->p->n_sows;
    struct walk w = { .g = g,
                      .order = ARENA_NEW(g->mem, size_t, n_sows),
                      .first = ARENA_NEW(g->mem, size_t, n_sows + 1),
                      .choice = ARENA_NEW(g->mem, struct choice, g->n + n_sows) };
    struct count *count = ARENA_NEW(g->mem, struct count, n_sows);

    if (arena_full(g->mem))
        return false;
    const double bound = relaxed(g, g->best_price);
    strike_out(g, bound);
    for (size_t s = 0; s < n_sows; s++)
        count[s].sow = s;
    for (size_t i = 0; i < g->n; i++)
        count[g->p->cols[g->col[i]].sow].n++;
    qsort(count, n_sows, sizeof *count, fewest);
    for (size_t i = 0; i < n_sows; i++) {
        w.order[i] = count[i].sow;
        w.first[i + 1] = w.first[i] + choices_of(g, count[i].sow, w.choice + w.first[i]);
    }
    memset(g->at, 0, g->p->n_sites * sizeof *g->at);
    for (size_t s = 0; s < n_sows; s++)
        g->plan[s] = SIZE_MAX;
    go_on(&w, 0, bound);
    *all = w.nodes < MOST_NODES;
    return true;
}

/* ---- and where that is too much, the solver, for as long as it may ---- */

static void add_row(struct lp_entry *e, size_t *n, size_t row, size_t col, double value)
{
    if (value != 0.0)
        e[(*n)++] = (struct lp_entry){ row, col, value };
}

static enum status by_solver(struct scarce *g, bool *all, struct message *why)
{
    const size_t n_sows = g->p->n_sows, n_sites = g->p->n_sites, rows = n_sows + n_sites + g->n_rows;
    struct lp_bounds *row = ARENA_NEW(g->mem, struct lp_bounds, rows),
                     *unit = ARENA_NEW(g->mem, struct lp_bounds, g->n);
    struct lp_entry *e = ARENA_NEW(g->mem, struct lp_entry, g->n * (2 + g->n_rows));
    double *cost = ARENA_NEW(g->mem, double, g->n), *known = ARENA_NEW(g->mem, double, g->n);
    bool *whole = ARENA_NEW(g->mem, bool, g->n);
    struct lp_answer answer;
    size_t n = 0;

    if (arena_full(g->mem))
        return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to weigh at once");
    for (size_t i = 0; i < rows; i++)
        row[i] = (struct lp_bounds){ -HUGE_VAL, i < n_sows             ? 1.0
                                                : i < n_sows + n_sites ? g->p->room[i - n_sows]
                                                                       : g->most[i - n_sows - n_sites] };
    for (size_t i = 0; i < g->n; i++) {
        const size_t k = g->col[i], s = g->p->cols[k].sow;
        add_row(e, &n, s, i, 1.0);
        add_row(e, &n, n_sows + g->p->cols[k].site, i, 1.0);
        for (size_t r = 0; r < g->n_rows; r++)
            add_row(e, &n, n_sows + n_sites + r, i, g->use[r * g->p->n_cols + k]);
        cost[i] = g->c->cost[k] - g->c->stay[s];
        known[i] =
            g->hold[s] == k ? 1.0 : 0.0; /* some of the plan in hand may be struck out: what is left still fits */
        unit[i] = (struct lp_bounds){ 0.0, 1.0 };
        whole[i] = true;
    }
    const struct lp_model model = { .n_rows = rows,
                                    .n_cols = g->n,
                                    .n_entries = n,
                                    .rows = row,
                                    .cols = unit,
                                    .cost = cost,
                                    .whole = whole,
                                    .entries = e,
                                    .time_ms = g->p->solver_ms,
                                    .known = known };
    const enum status st = lp_solve(&model, g->mem, &answer, why);
    if (st != ST_OK)
        return st;
    *all = answer.found == LP_BEST;
    for (size_t s = 0; s < n_sows; s++)
        g->plan[s] = SIZE_MAX;
    for (size_t i = 0; answer.x && i < g->n; i++)
        if (answer.x[i] > 0.5)
            g->plan[g->p->cols[g->col[i]].sow] = g->col[i];
    if (answer.x)
        offer(g, g->plan);
    return ST_OK;
}

static enum status weigh(struct scarce *g, bool *all, struct message *why)
{
    if (!all_rows(g))
        return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to weigh at once");
    even_rows(g);
    better_prices(g);
    if (!go_through(g, all))
        return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to weigh at once");
    return *all || !g->p->solver_ms ? ST_OK : by_solver(g, all, why);
}

enum status scarce_best(const struct choose_problem *p, const struct choose_case *c, struct assignment *a,
                        const size_t *known, struct arena *mem, struct choose_pick *pick, struct message *why)
{
    struct scarce g = { .p = p, .c = c, .a = a, .mem = mem, .bound = -HUGE_VAL, .hold_cost = HUGE_VAL };
    bool all = true;

    g.col = ARENA_NEW(mem, size_t, p->n_cols);
    g.use = ARENA_NEW(mem, double, MOST_ROWS * p->n_cols);
    g.priced = ARENA_NEW(mem, double, p->n_cols);
    g.pick = ARENA_NEW(mem, size_t, p->n_sows);
    g.plan = ARENA_NEW(mem, size_t, p->n_sows);
    g.hold = ARENA_NEW(mem, size_t, p->n_sows);
    g.at = ARENA_NEW(mem, unsigned, p->n_sites);
    if (arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to weigh at once");
    for (size_t k = 0; k < p->n_cols; k++)
        if (c->cost[k] < c->stay[p->cols[k].sow])
            g.col[g.n++] = k;
    for (size_t s = 0; s < p->n_sows; s++)
        g.plan[s] = SIZE_MAX;
    offer(&g, g.plan); /* nothing put out always fits */
    if (known)
        offer(&g, known);
    const enum status st = weigh(&g, &all, why);
    for (size_t s = 0; s < p->n_sows; s++)
        pick->col[s] = g.hold[s];
    pick->cost = g.hold_cost;
    pick->slack = false;
    pick->proved = all && g.n_rows < MOST_ROWS; /* rows past the last place were only looked after, not priced */
    return st;
}
