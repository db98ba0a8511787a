/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/watch/work.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double tie_change = 1e-9, tie_order = 1e-12; /* far below any worth: they settle equals, nothing else */

/* ---- checks ---- */

static bool within(double x, double low, double high)
{
    return x >= low && x <= high; /* false for NAN */
}

static enum status check_sizes(const struct watch_night *n, struct message *why)
{
    if (n->n_hours < 1 || n->n_hours > 240)
        return refuse(ST_BAD_INPUT, why, "hours", "%zu hours ahead; give 1 to 240", n->n_hours);
    if (n->n_members < 1 || n->n_members > 101)
        return refuse(ST_BAD_INPUT, why, "members", "%zu forecasts; give 1 to 101", n->n_members);
    if (n->n_sows > 500 || n->n_sites > 1000 || n->n_options > 5000)
        return refuse(ST_BAD_INPUT, why, "", "%zu sows, %zu sites, %zu options; at most 500, 1000 and 5000", n->n_sows,
                      n->n_sites, n->n_options);
    return ST_OK;
}

static enum status check_sow(const struct watch_night *n, const struct watch_sow *s, struct message *why)
{
    double sum = 0.0;

    for (size_t h = 0; h < n->n_hours; h++) {
        if (!within(s->birth[h], 0.0, 1.0))
            return refuse(ST_BAD_INPUT, why, "birth", "%s: the chance in hour %zu is %g; give 0 to 1", s->key, h,
                          s->birth[h]);
        sum += s->birth[h];
    }
    if (!(sum <= 1.0 + 1e-6))
        return refuse(ST_BAD_INPUT, why, "birth", "%s: her chances add up to %g; at most 1", s->key, sum);
    if (!within(s->p_use, 0.0, 1.0))
        return refuse(ST_BAD_INPUT, why, "p_use", "%s: the chance that she uses a shelter is %g; give 0 to 1", s->key,
                      s->p_use);
    if (s->lies >= n->n_options)
        return refuse(ST_BAD_INPUT, why, "lies", "%s: say where she lies", s->key);
    if (s->nests_at != WATCH_NONE && s->nests_at >= n->n_sites)
        return refuse(ST_BAD_INPUT, why, "nests_at", "%s: she nests at a site that is not there", s->key);
    return ST_OK;
}

static enum status check_option(const struct watch_night *n, const struct watch_option *o, struct message *why)
{
    if (o->site >= n->n_sites || (o->takes != WATCH_NONE && (o->takes >= n->n_sites || o->takes == o->site)))
        return refuse(ST_BAD_INPUT, why, "site", "%s: its site is not there", o->key);
    if (!within(o->minutes, 0.0, 10000.0) || !within(o->straw_kg, 0.0, 10000.0) || !within(o->earliest_h, 0.0, 240.0))
        return refuse(ST_BAD_INPUT, why, "minutes",
                      "%s: %g minutes, %g kg of straw, not before %g h; none may be below 0", o->key, o->minutes,
                      o->straw_kg, o->earliest_h);
    if (o->brings && (o->takes == WATCH_NONE || !(o->change & WATCH_MOVE)))
        return refuse(ST_BAD_INPUT, why, "takes", "%s: say which hut is brought", o->key);
    if (o->people > 100 || o->change >= 64 || o->needs >= 16 || (o->minutes > 0.0 && o->people == 0))
        return refuse(ST_BAD_INPUT, why, "people", "%s: work wants 1 to 100 people", o->key);
    for (size_t i = 0; i < n->n_members * n->n_hours; i++) {
        const struct watch_cell *c = &o->cells[i];
        if (c->grade > 3 || c->runt_grade > 3 || c->heat_grade > 4 || !within((double)c->shortfall_c, 0.0, 50.0) ||
            !within((double)c->runt_shortfall_c, 0.0, 50.0))
            return refuse(ST_BAD_INPUT, why, "cells",
                          "%s: forecast %zu, hour %zu is out of range; grades go from 0 to 3, "
                          "a shortfall is not below 0",
                          o->key, i / n->n_hours, i % n->n_hours);
    }
    return ST_OK;
}

struct keyed {
    const char *site, *key;
    unsigned change;
    size_t index;
};

static int by_key(const void *a, const void *b)
{
    const struct keyed *x = a, *y = b;
    const int site = strcmp(x->site, y->site);

    if (site)
        return site;
    if (x->change != y->change)
        return x->change < y->change ? -1 : 1;
    return strcmp(x->key, y->key);
}

static enum status sort_keys(struct keyed *k, size_t n, size_t *order, const char *what, struct message *why)
{
    qsort(k, n, sizeof *k, by_key);
    for (size_t i = 0; i < n; i++) {
        if (i && by_key(&k[i - 1], &k[i]) == 0)
            return refuse(ST_BAD_INPUT, why, what, "%s is there twice among the %ss; each needs a name of its own",
                          k[i].key, what);
        order[i] = k[i].index;
    }
    return ST_OK;
}

static enum status check_limits(const struct watch_night *n, struct message *why)
{
    if (!within(n->limits.straw_kg, 0.0, 1e9))
        return refuse(ST_BAD_INPUT, why, "straw_kg", "%g kg of straw at hand; give 0 or more", n->limits.straw_kg);
    for (size_t h = 0; n->limits.hand_minutes && h < n->n_hours; h++)
        if (!within(n->limits.hand_minutes[h], 0.0, 6000.0))
            return refuse(ST_BAD_INPUT, why, "hand_minutes", "%g hand-minutes in hour %zu; give 0 to 6000",
                          n->limits.hand_minutes[h], h);
    for (size_t m = 0; m < n->n_members; m++) {
        const struct watch_moments *t = &n->moments[m];
        if (isinf(t->rain_h) || isinf(t->freeze_h) || isinf(t->thaw_h) || isinf(t->dusk_h) || isinf(t->drift_h) ||
            isinf(t->dry_again_h) || isinf(t->light_again_h))
            return refuse(ST_BAD_INPUT, why, "moments", "forecast %zu has a moment that is not finite", m);
    }
    return ST_OK;
}

enum status work_check(const struct watch_night *n, const struct watch_weights *w, struct message *why)
{
    enum status st = check_sizes(n, why);

    if (st == ST_OK && !(within(w->typical, 0.0, 1.0) && within(w->runt, 0.0, 1.0) && within(w->minute_c, 0.0, 10.0) &&
                         within(w->straw_kg_c, 0.0, 10.0) && within(w->still_worth, 0.01, 1.0) &&
                         within(w->heat_c, 0.0, 50.0) && w->solver_ms >= 1))
        st = refuse(ST_BAD_INPUT, why, "weights", "a weight is out of range; start from the usual ones");
    if (st == ST_OK)
        st = check_limits(n, why);
    for (size_t i = 0; st == ST_OK && i < n->n_options; i++)
        st = check_option(n, &n->options[i], why);
    for (size_t i = 0; st == ST_OK && i < n->n_sows; i++)
        st = check_sow(n, &n->sows[i], why);
    return st;
}

/* ---- laying out ---- */

static enum status put_in_order(struct work *k, struct message *why)
{
    const struct watch_night *n = k->in;
    const size_t most = n->n_sows + n->n_sites + n->n_options;
    struct keyed *keyed = ARENA_NEW(k->mem, struct keyed, most);
    size_t *site = ARENA_NEW(k->mem, size_t, n->n_sites);

    k->sow = ARENA_NEW(k->mem, size_t, n->n_sows);
    k->near = ARENA_NEW(k->mem, size_t, n->n_sows);
    k->option = ARENA_NEW(k->mem, size_t, n->n_options);
    k->site_rank = ARENA_NEW(k->mem, size_t, n->n_sites);
    if (arena_full(k->mem))
        return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to hold at once");
    for (size_t i = 0; i < n->n_sows; i++)
        keyed[i] = (struct keyed){ "", n->sows[i].key, 0, i };
    enum status st = sort_keys(keyed, n->n_sows, k->sow, "sow", why);
    for (size_t i = 0; i < n->n_sites; i++)
        keyed[i] = (struct keyed){ "", n->sites[i].key, 0, i };
    if (st == ST_OK)
        st = sort_keys(keyed, n->n_sites, site, "site", why);
    for (size_t i = 0; i < n->n_options; i++)
        keyed[i] = (struct keyed){ n->sites[n->options[i].site].key, n->options[i].key, n->options[i].change, i };
    if (st == ST_OK)
        st = sort_keys(keyed, n->n_options, k->option, "option", why);
    for (size_t i = 0; st == ST_OK && i < n->n_sites; i++)
        k->site_rank[site[i]] = i;
    for (size_t i = 0; st == ST_OK && i < n->n_sows; i++)
        if (n->sows[k->sow[i]].near)
            k->near[k->n_near++] = k->sow[i];
    return st;
}

static bool lay_needs(struct work *k)
{
    const struct watch_night *n = k->in;

    k->need = ARENA_NEW(k->mem, double, n->n_options * n->n_members * n->n_hours);
    k->need_mean = ARENA_NEW(k->mem, double, n->n_options * n->n_hours);
    if (arena_full(k->mem))
        return false;
    for (size_t o = 0; o < n->n_options; o++) {
        double *mean = k->need_mean + o * n->n_hours;
        for (size_t m = 0; m < n->n_members; m++) {
            const struct watch_cell *cell = work_cells(k, o, m);
            double *need = k->need + (o * n->n_members + m) * n->n_hours;
            for (size_t h = 0; h < n->n_hours; h++) {
                need[h] = watch_need_c(k->w, &cell[h]);
                mean[h] += need[h] / (double)n->n_members;
            }
        }
    }
    return true;
}

static bool never_moved(const struct watch_site *s)
{
    return s->has_nest || s->has_litter || s->frozen_in;
}

/* What no forecast changes: may this option ever serve this sow? */
static bool may_serve(const struct work *k, size_t sow, size_t option)
{
    const struct watch_night *n = k->in;
    const struct watch_sow *s = &n->sows[sow];
    const struct watch_option *o = &n->options[option];
    const struct watch_site *site = &n->sites[o->site], *taken = o->takes == WATCH_NONE ? NULL : &n->sites[o->takes];
    const bool hers = s->nests_at == o->site, carried = (o->change & WATCH_MOVE) && !o->brings;

    if (n->reach && !n->reach[sow * n->n_options + option])
        return false;
    if (s->nests_at != WATCH_NONE && !hers)
        return false; /* a sow that nests is never moved */
    if ((site->has_nest || site->has_litter) && site->room < 2 && (!hers || site->has_litter))
        return false;
    if (((o->change & WATCH_TURN) || carried) && (never_moved(site) || hers))
        return false;
    if (taken && never_moved(taken))
        return false;
    for (size_t i = 0; i < n->n_sows; i++) { /* begun to nest though nobody marked the site */
        const size_t nest = n->sows[i].nests_at;
        const bool here = nest == o->site && (site->room < 2 || (o->change & WATCH_TURN) || carried);
        if (i != sow && nest != WATCH_NONE && (here || nest == o->takes))
            return false;
    }
    return o->people <= n->limits.people || o->minutes <= 0.0;
}

double work_own_due(const struct work *k, const double *birth, size_t sow, size_t option)
{
    const struct watch_night *n = k->in;
    const struct watch_option *o = &n->options[option];
    const double *lies = k->need_mean + n->sows[sow].lies * n->n_hours, *there = k->need_mean + option * n->n_hours;
    double total = 0.0, past = 0.0;
    size_t h = 0;

    for (size_t i = 0; i < n->n_hours; i++)
        total += birth[i] * fmax(0.0, lies[i] - there[i]);
    for (; h < n->n_hours; h++) {
        past += birth[h] * fmax(0.0, lies[h] - there[h]);
        if (past > 0.5 * total)
            break;
    }
    return fmin(fmax((double)h, o->earliest_h + o->minutes / 60.0), (double)n->n_hours);
}

static bool lay_columns(struct work *k)
{
    const struct watch_night *n = k->in;
    const size_t most = k->n_near * n->n_options;
    size_t c = 0;

    k->cols = ARENA_NEW(k->mem, struct choose_col, most);
    k->col_option = ARENA_NEW(k->mem, size_t, most);
    k->pains = ARENA_NEW(k->mem, double, most);
    k->due_own_h = ARENA_NEW(k->mem, double, most);
    k->room = ARENA_NEW(k->mem, unsigned, n->n_sites);
    if (arena_full(k->mem))
        return false;
    for (size_t j = 0; j < n->n_sites; j++)
        k->room[j] = n->sites[j].room;
    for (size_t s = 0; s < k->n_near; s++)
        for (size_t i = 0; i < n->n_options; i++) {
            const size_t option = k->option[i];
            const struct watch_option *o = &n->options[option];
            if (!may_serve(k, k->near[s], option))
                continue;
            const double work = o->minutes * o->people;
            k->cols[c] = (struct choose_col){ .sow = s,
                                              .site = o->site,
                                              .takes = o->takes,
                                              .work = work,
                                              .uses = { o->flaps, o->bales, o->panels, o->straw_kg },
                                              .earliest_h = o->earliest_h };
            k->col_option[c] = option;
            k->pains[c] =
                k->w->minute_c * work + k->w->straw_kg_c * o->straw_kg + tie_change * o->change + tie_order * (double)i;
            k->due_own_h[c] = work_own_due(k, n->sows[k->near[s]].birth, k->near[s], option);
            c++;
        }
    k->problem = (struct choose_problem){
        .n_sows = k->n_near, .n_sites = n->n_sites, .n_cols = c, .cols = k->cols, .room = k->room, .solver_ms = 0
    };
    return true;
}

enum status work_lay_out(const struct watch_night *n, const struct watch_weights *w, struct arena *mem, struct work *k,
                         struct message *why)
{
    *k = (struct work){ .in = n, .w = w, .mem = mem };
    const enum status st = put_in_order(k, why);

    if (st != ST_OK)
        return st;
    if (n->limits.hand_minutes) {
        k->hands = ARENA_NEW(mem, double, n->n_hours + 1);
        for (size_t h = 0; k->hands && h < n->n_hours; h++)
            k->hands[h + 1] = k->hands[h] + n->limits.hand_minutes[h];
    }
    k->limits =
        (struct choose_limits){ .most = { n->limits.flaps, n->limits.bales, n->limits.panels, n->limits.straw_kg },
                                .n_hours = n->n_hours,
                                .hands = k->hands };
    if (arena_full(mem) || !lay_needs(k) || !lay_columns(k))
        return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to hold at once");
    return ST_OK;
}

/* ---- one forecast ---- */

/* Rain or dark is over in time for her hours: the work can wait till then. */
static bool waits(const struct watch_option *o, double again_h, double own_h)
{
    return again_h > 0.0 && again_h + o->minutes / 60.0 <= own_h;
}

double work_p_use(const struct work *k, size_t sow, size_t option)
{
    const struct watch_sow *s = &k->in->sows[sow];
    const size_t site = k->in->options[option].site;

    return site == s->nests_at || site == k->in->options[s->lies].site ? 1.0 : s->p_use;
}

size_t work_ready_h(const struct work *k, const struct watch_option *o, const struct watch_moments *m, double own_h)
{
    const double took_h = o->minutes / 60.0;
    double begin_h = o->earliest_h;

    if (o->needs & WATCH_BEFORE_RAIN && m->rain_h > 0.0 && m->rain_h < o->earliest_h + took_h &&
        waits(o, m->dry_again_h, own_h))
        begin_h = fmax(begin_h, m->dry_again_h);
    if (o->needs & WATCH_BEFORE_DUSK && m->dusk_h > 0.0 && m->dusk_h < o->earliest_h + took_h &&
        waits(o, m->light_again_h, own_h))
        begin_h = fmax(begin_h, m->light_again_h);
    const double h = floor(begin_h + took_h + 1e-9);
    return h < (double)k->in->n_hours ? (size_t)h : k->in->n_hours;
}

double work_expected(const struct work *k, const double *birth, const double *lies, const double *there, double p_use,
                     size_t ready_h)
{
    double sum = 0.0;

    for (size_t h = 0; h < ready_h; h++)
        sum += birth[h] * lies[h];
    for (size_t h = ready_h; h < k->in->n_hours; h++)
        sum += birth[h] * (p_use * there[h] + (1.0 - p_use) * lies[h]);
    return sum;
}

double work_physical_due(const struct watch_option *o, const struct watch_moments *m, double own_h,
                         enum watch_why *reason)
{
    double due = NAN;
    const struct {
        double at_h, again_h;
        unsigned need;
        enum watch_why why;
        bool soft;
    } each[] = {
        { m->rain_h, m->dry_again_h, WATCH_BEFORE_RAIN, WATCH_RAIN, true },
        { m->freeze_h, NAN, WATCH_BEFORE_FREEZE, WATCH_FREEZE, false },
        { m->thaw_h, NAN, WATCH_BEFORE_THAW, WATCH_THAW, false },
        { m->dusk_h, m->light_again_h, WATCH_BEFORE_DUSK, WATCH_DUSK, true },
    };

    *reason = WATCH_NO_DEADLINE;
    for (size_t i = 0; i < COUNT(each); i++) {
        if (!(o->needs & each[i].need) || isnan(each[i].at_h) || (each[i].soft && each[i].at_h <= 0.0))
            continue;
        if (waits(o, each[i].again_h, own_h))
            continue;
        if (isnan(due) || each[i].at_h < due) {
            due = each[i].at_h;
            *reason = each[i].why;
        }
    }
    return due;
}

bool work_possible(const struct work *k, size_t sow, const struct watch_option *o, const struct watch_moments *m,
                   double own_h)
{
    enum watch_why reason;
    const double due = work_physical_due(o, m, own_h, &reason);
    const size_t stands = (o->change & WATCH_MOVE) && !o->brings && o->takes != WATCH_NONE ? o->takes : o->site;
    const bool there = stands == k->in->sows[sow].nests_at || stands == k->in->options[k->in->sows[sow].lies].site;

    if (!isnan(m->drift_h) && k->in->sites[stands].drift_prone && !there)
        return false;
    return isnan(due) || o->earliest_h + o->minutes / 60.0 <= due + 1e-9;
}

void work_case(const struct work *k, size_t member, double *cost, double *stay, double *due_h)
{
    const struct watch_night *n = k->in;
    const bool mean = member == n->n_members;
    const struct watch_moments *moments = &n->moments[mean ? 0 : member];
    const size_t step = mean ? n->n_hours : n->n_members * n->n_hours;
    const double *layer = mean ? k->need_mean : k->need + member * n->n_hours;

    for (size_t s = 0; s < k->n_near; s++) {
        const double *lies = layer + n->sows[k->near[s]].lies * step;
        stay[s] = work_expected(k, n->sows[k->near[s]].birth, lies, lies, 0.0, 0);
    }
    for (size_t c = 0; c < k->problem.n_cols; c++) {
        const size_t sow = k->near[k->cols[c].sow], option = k->col_option[c];
        const struct watch_option *o = &n->options[option];
        enum watch_why reason;
        if (!work_possible(k, sow, o, moments, k->due_own_h[c])) {
            cost[c] = HUGE_VAL;
            due_h[c] = 0.0;
            continue;
        }
        const double due = work_physical_due(o, moments, k->due_own_h[c], &reason);
        due_h[c] = isnan(due) ? k->due_own_h[c] : fmin(due, k->due_own_h[c]);
        cost[c] =
            k->pains[c] + work_expected(k, n->sows[sow].birth, layer + n->sows[sow].lies * step, layer + option * step,
                                        work_p_use(k, sow, option), work_ready_h(k, o, moments, k->due_own_h[c]));
    }
}
