/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/watch/choose.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "core/base/arena.h"
#include "core/base/lp.h"

static const double hair = 1e-9;      /* two costs nearer than this are equal */
static const size_t scratch_bytes = 64u << 20;

/* ---- what fits ---- */

static double hands_by(const struct choose_limits *l, double at_h)
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
    return work - (hands_by(c->limits, to_h) - hands_by(c->limits, from_h));
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

/* ---- nothing scarce: assignment ---- */

struct assignment {
    size_t n_slots;              /* sites, each as often as it has room; then one 'stays' for each sow */
    size_t *slot_site;
    double *cost;                /* n_sows x n_slots */
    size_t *best;                /* the column behind that cost */
    double *sow_price, *slot_price;
    size_t *slot_sow;            /* SIZE_MAX = free */
};

static bool lay_out(const struct choose_problem *p, const struct choose_case *c, struct arena *mem, struct assignment *a)
{
    size_t n = 0;

    for (size_t j = 0; j < p->n_sites; j++)
        n += p->room[j] < p->n_sows ? p->room[j] : p->n_sows;
    a->n_slots = n + p->n_sows;
    a->slot_site = ARENA_NEW(mem, size_t, a->n_slots);
    a->cost = ARENA_NEW(mem, double, p->n_sows * a->n_slots);
    a->best = ARENA_NEW(mem, size_t, p->n_sows * a->n_slots);
    a->sow_price = ARENA_NEW(mem, double, p->n_sows + 1);
    a->slot_price = ARENA_NEW(mem, double, a->n_slots + 1);
    a->slot_sow = ARENA_NEW(mem, size_t, a->n_slots + 1);
    double *cheapest = ARENA_NEW(mem, double, p->n_sows * p->n_sites);
    size_t *which = ARENA_NEW(mem, size_t, p->n_sows * p->n_sites);
    if (arena_full(mem))
        return false;
    for (size_t i = 0; i < p->n_sows * p->n_sites; i++)
        cheapest[i] = HUGE_VAL;
    for (size_t k = 0; k < p->n_cols; k++) {
        const size_t at = p->cols[k].sow * p->n_sites + p->cols[k].site;
        if (c->cost[k] < cheapest[at] && c->cost[k] < c->stay[p->cols[k].sow] - hair) {
            cheapest[at] = c->cost[k];
            which[at] = k;
        }
    }
    n = 0;
    for (size_t j = 0; j < p->n_sites; j++)
        for (unsigned r = 0; r < p->room[j] && r < p->n_sows; r++)
            a->slot_site[n++] = j;
    for (size_t s = 0; s < p->n_sows; s++)
        for (size_t j = 0; j < a->n_slots; j++) {
            const size_t at = s * a->n_slots + j;
            const bool site = j < n;
            a->cost[at] = site ? cheapest[s * p->n_sites + a->slot_site[j]] : j == n + s ? c->stay[s] : HUGE_VAL;
            a->best[at] = site && a->cost[at] < HUGE_VAL ? which[s * p->n_sites + a->slot_site[j]] : SIZE_MAX;
        }
    return true;
}

/* One sow more: the shortest path from her to a free slot through slots that could be given up. Her own 'stays' slot
 * is always free at that moment or reached at a finite cost, so a path exists. */
static void seat(struct assignment *a, size_t sow, double *dist, size_t *from, bool *done)
{
    const size_t none = a->n_slots; /* a slot outside, holding the new sow */
    size_t at = none;

    a->slot_sow[none] = sow;
    for (size_t j = 0; j <= a->n_slots; j++) {
        dist[j] = HUGE_VAL;
        done[j] = false;
    }
    while (a->slot_sow[at] != SIZE_MAX) {
        const size_t s = a->slot_sow[at];
        double least = HUGE_VAL;
        size_t next = none;
        done[at] = true;
        for (size_t j = 0; j < a->n_slots; j++) {
            if (done[j])
                continue;
            const double d = a->cost[s * a->n_slots + j] - a->sow_price[s] - a->slot_price[j];
            if (d < dist[j]) {
                dist[j] = d;
                from[j] = at;
            }
            if (dist[j] < least) {
                least = dist[j];
                next = j;
            }
        }
        assert(least < HUGE_VAL);
        for (size_t j = 0; j <= a->n_slots; j++) {
            if (done[j]) {
                a->sow_price[a->slot_sow[j]] += least;
                a->slot_price[j] -= j == none ? 0.0 : least;
            } else {
                dist[j] -= least;
            }
        }
        at = next;
    }
    while (at != none) {
        a->slot_sow[at] = a->slot_sow[from[at]];
        at = from[at];
    }
}

static bool assign(const struct choose_problem *p, const struct choose_case *c, struct arena *mem, struct assignment *a,
                   struct choose_pick *pick)
{
    if (!lay_out(p, c, mem, a))
        return false;
    double *dist = ARENA_NEW(mem, double, a->n_slots + 1);
    size_t *from = ARENA_NEW(mem, size_t, a->n_slots + 1);
    bool *done = ARENA_NEW(mem, bool, a->n_slots + 1);
    if (arena_full(mem))
        return false;
    for (size_t j = 0; j <= a->n_slots; j++)
        a->slot_sow[j] = SIZE_MAX;
    for (size_t s = 0; s < p->n_sows; s++)
        seat(a, s, dist, from, done);
    pick->cost = 0.0;
    for (size_t j = 0; j < a->n_slots; j++)
        if (a->slot_sow[j] != SIZE_MAX)
            pick->col[a->slot_sow[j]] = a->best[a->slot_sow[j] * a->n_slots + j];
    for (size_t s = 0; s < p->n_sows; s++)
        pick->cost += pick->col[s] == SIZE_MAX ? c->stay[s] : c->cost[pick->col[s]];
    pick->proved = pick->slack = true;
    return true;
}

static enum status too_large(struct message *why)
{
    return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to weigh at once");
}

enum status choose_bound(const struct choose_problem *p, const struct choose_case *c, struct choose_pick *pick,
                         bool *fits, struct message *why)
{
    struct assignment a;
    struct arena mem;

    arena_open(&mem, scratch_bytes);
    const bool good = assign(p, c, &mem, &a, pick);
    arena_close(&mem);
    if (!good)
        return too_large(why);
    *fits = choose_fits(p, c, p->n_sows, pick->col);
    return ST_OK;
}

/* ---- something scarce: an integer program ---- */

struct window {
    double from_h, to_h;
};

struct program {
    const struct choose_problem *p;
    const struct choose_case *c;
    struct arena *mem;
    size_t n;                    /* columns left */
    size_t *col;
    size_t n_windows;
    struct window windows[64];
    size_t *hold;                /* best pick in hand */
    double hold_cost;
};

static double cost_of(const struct program *g, const size_t *col)
{
    double sum = 0.0;
    for (size_t s = 0; s < g->p->n_sows; s++)
        sum += col[s] == SIZE_MAX ? g->c->stay[s] : g->c->cost[col[s]];
    return sum;
}

static void offer(struct program *g, const size_t *col)
{
    if (!choose_fits(g->p, g->c, g->p->n_sows, col))
        return;
    const double cost = cost_of(g, col);
    if (cost < g->hold_cost) {
        g->hold_cost = cost;
        for (size_t s = 0; s < g->p->n_sows; s++)
            g->hold[s] = col[s];
    }
}

struct gain {
    double gain;
    size_t col;
};

static int most_gain_first(const void *a, const void *b)
{
    const struct gain *x = a, *y = b;
    return x->gain > y->gain ? -1 : x->gain < y->gain ? 1 : x->col < y->col ? -1 : x->col > y->col;
}

/* The largest gain that still fits, again and again; then once round: anything better for one sow alone? */
static bool greedy(struct program *g)
{
    const struct choose_problem *p = g->p;
    size_t *col = ARENA_NEW(g->mem, size_t, p->n_sows), n = 0;
    struct gain *order = ARENA_NEW(g->mem, struct gain, p->n_cols);

    if (arena_full(g->mem))
        return false;
    for (size_t s = 0; s < p->n_sows; s++)
        col[s] = SIZE_MAX;
    for (size_t k = 0; k < p->n_cols; k++)
        if (g->c->cost[k] < g->c->stay[p->cols[k].sow] - hair)
            order[n++] = (struct gain){ g->c->stay[p->cols[k].sow] - g->c->cost[k], k };
    qsort(order, n, sizeof *order, most_gain_first);
    for (int round = 0; round < 2; round++)
        for (size_t i = 0; i < n; i++) {
            const size_t s = p->cols[order[i].col].sow, was = col[s];
            if (was != SIZE_MAX && g->c->cost[was] <= g->c->cost[order[i].col])
                continue;
            col[s] = order[i].col;
            if (!choose_fits(p, g->c, p->n_sows, col))
                col[s] = was;
        }
    offer(g, col);
    return true;
}

static bool beats(const struct program *g, size_t a, size_t b)
{
    const struct choose_col *x = &g->p->cols[a], *y = &g->p->cols[b];

    if (x->site != y->site || (x->takes != SIZE_MAX && x->takes != y->takes) || g->c->cost[a] > g->c->cost[b])
        return false;
    for (int t = 0; t < CHOOSE_THINGS; t++)
        if (g->c->limits->most[t] < HUGE_VAL && x->uses[t] > y->uses[t])
            return false;
    if (g->c->limits->hands && x->work > 0.0 &&
        (x->work > y->work || x->earliest_h > y->earliest_h || g->c->due_h[a] < g->c->due_h[b]))
        return false;
    return g->c->cost[a] < g->c->cost[b] || a < b;
}

/* Strike out what cannot be in a plan better than the one in hand. bound: cost with nothing scarce. */
static bool strike_out(struct program *g, const struct assignment *a, double bound)
{
    const struct choose_problem *p = g->p;
    double *site_price = ARENA_NEW(g->mem, double, p->n_sites);
    size_t n = 0;

    g->col = ARENA_NEW(g->mem, size_t, p->n_cols);
    if (arena_full(g->mem))
        return false;
    for (size_t j = 0; j + p->n_sows < a->n_slots; j++) /* of several places of one site the dearest binds */
        site_price[a->slot_site[j]] = fmin(site_price[a->slot_site[j]], a->slot_price[j]);
    for (size_t k = 0; k < p->n_cols; k++) {
        const struct choose_col *x = &p->cols[k];
        if (!(g->c->cost[k] < g->c->stay[x->sow] - hair))
            continue;
        if (g->c->cost[k] - a->sow_price[x->sow] - site_price[x->site] > g->hold_cost - bound + hair)
            continue;
        g->col[n++] = k;
    }
    for (size_t i = 0; i < n; i++) { /* columns come by sow, so rivals stand near */
        bool beaten = false;
        for (size_t k = 0; k < n && !beaten; k++)
            beaten = k != i && p->cols[g->col[k]].sow == p->cols[g->col[i]].sow && beats(g, g->col[k], g->col[i]);
        if (!beaten)
            g->col[g->n++] = g->col[i]; /* g->n <= i: a beaten column's beater stands or is beaten by one that stands */
    }
    return true;
}

static double in_row(const struct program *g, size_t row, size_t k)
{
    const struct choose_problem *p = g->p;
    const struct choose_col *x = &p->cols[k];

    if (row < p->n_sows)
        return x->sow == row ? 1.0 : 0.0;
    row -= p->n_sows;
    if (row < p->n_sites)
        return x->site == row || x->takes == row ? 1.0 : 0.0;
    row -= p->n_sites;
    if (row < CHOOSE_THINGS)
        return x->uses[row];
    const struct window *w = &g->windows[row - CHOOSE_THINGS];
    return x->earliest_h >= w->from_h && g->c->due_h[k] <= w->to_h ? x->work : 0.0;
}

static double row_most(const struct program *g, size_t row)
{
    const struct choose_problem *p = g->p;

    if (row < p->n_sows)
        return 1.0;
    row -= p->n_sows;
    if (row < p->n_sites)
        return p->room[row];
    row -= p->n_sites;
    if (row < CHOOSE_THINGS)
        return g->c->limits->most[row];
    const struct window *w = &g->windows[row - CHOOSE_THINGS];
    return hands_by(g->c->limits, w->to_h) - hands_by(g->c->limits, w->from_h);
}

static enum status solve(struct program *g, size_t *col, bool *proved, bool *better, struct message *why)
{
    const size_t rows = g->p->n_sows + g->p->n_sites + CHOOSE_THINGS + g->n_windows;
    struct lp_bounds *row = ARENA_NEW(g->mem, struct lp_bounds, rows), *unit = ARENA_NEW(g->mem, struct lp_bounds, g->n);
    struct lp_entry *e = ARENA_NEW(g->mem, struct lp_entry, rows * g->n);
    double *cost = ARENA_NEW(g->mem, double, g->n), *known = ARENA_NEW(g->mem, double, g->n);
    bool *whole = ARENA_NEW(g->mem, bool, g->n);
    struct lp_answer answer;
    size_t n_entries = 0, n_rows = 0;

    if (arena_full(g->mem))
        return too_large(why);
    for (size_t i = 0; i < rows; i++) {
        double sum = 0.0;
        const size_t before = n_entries;
        for (size_t k = 0; k < g->n; k++) {
            const double a = in_row(g, i, g->col[k]);
            sum += a;
            if (a != 0.0)
                e[n_entries++] = (struct lp_entry){ n_rows, k, a };
        }
        if (sum <= row_most(g, i))
            n_entries = before; /* cannot bind */
        else
            row[n_rows++] = (struct lp_bounds){ -HUGE_VAL, row_most(g, i) };
    }
    for (size_t k = 0; k < g->n; k++) {
        const size_t s = g->p->cols[g->col[k]].sow;
        cost[k] = g->c->cost[g->col[k]] - g->c->stay[s];
        known[k] = g->hold[s] == g->col[k] ? 1.0 : 0.0;
        unit[k] = (struct lp_bounds){ 0.0, 1.0 };
        whole[k] = true;
    }
    const struct lp_model model = { .n_rows = n_rows, .n_cols = g->n, .n_entries = n_entries, .rows = row, .cols = unit,
                                    .cost = cost, .whole = whole, .entries = e, .time_ms = g->p->solver_ms,
                                    .known = known };
    const enum status st = lp_solve(&model, g->mem, &answer, why);
    if (st != ST_OK)
        return st;
    *proved = answer.found == LP_BEST;
    *better = answer.x != NULL;
    for (size_t s = 0; s < g->p->n_sows; s++)
        col[s] = SIZE_MAX;
    for (size_t k = 0; answer.x && k < g->n; k++)
        if (answer.x[k] > 0.5)
            col[g->p->cols[g->col[k]].sow] = g->col[k];
    return ST_OK;
}

/* Windows of overwork come in as they are met: most never bind. */
static enum status by_program(struct program *g, const struct assignment *a, struct choose_pick *pick, struct message *why)
{
    size_t *col = ARENA_NEW(g->mem, size_t, g->p->n_sows);
    const double bound = pick->cost;
    bool proved = false, better = true;
    enum status st = ST_OK;

    pick->slack = false;
    if (arena_full(g->mem) || !greedy(g) || !strike_out(g, a, bound))
        return too_large(why);
    struct window *w = g->windows;
    while (st == ST_OK && g->n) {
        st = solve(g, col, &proved, &better, why);
        if (st != ST_OK || !better)
            break;
        offer(g, col);
        if (g->n_windows == COUNT(g->windows)) {
            proved = false;
            break;
        }
        if (!overworked(g->p, g->c, g->p->n_sows, col, &w[g->n_windows].from_h, &w[g->n_windows].to_h))
            break;
        g->n_windows++;
    }
    for (size_t s = 0; s < g->p->n_sows; s++)
        pick->col[s] = g->hold[s];
    pick->cost = g->hold_cost;
    pick->proved = proved || g->n == 0;
    return st;
}

enum status choose_best(const struct choose_problem *p, const struct choose_case *c, const size_t *known,
                        struct choose_pick *pick, struct message *why)
{
    struct assignment a;
    struct arena mem;
    enum status st = ST_OK;

    arena_open(&mem, scratch_bytes);
    struct program g = { .p = p, .c = c, .mem = &mem, .hold = ARENA_NEW(&mem, size_t, p->n_sows), .hold_cost = HUGE_VAL };
    if (!g.hold || !assign(p, c, &mem, &a, pick)) {
        st = too_large(why);
    } else if (!choose_fits(p, c, p->n_sows, pick->col)) {
        for (size_t s = 0; s < p->n_sows; s++)
            g.hold[s] = SIZE_MAX;
        g.hold_cost = cost_of(&g, g.hold); /* nothing put out always fits */
        if (known)
            offer(&g, known);
        st = by_program(&g, &a, pick, why);
    }
    arena_close(&mem);
    return st;
}
