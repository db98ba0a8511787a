/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Watch: on thousands of small invented nights, against a witness written here that tries every plan there is and lets
 * hands work hour by hour, earliest deadline first (Horn 1974 shows that nothing beats it; from memory).
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <cmocka.h>

#include "core/watch/watch.h"
#include "tests/prop.h"

enum { HOURS = 12, MEMBERS = 3, SOWS = 4, SITES = 5, OPTIONS = 12 };

struct small_night {
    struct watch_night n;
    struct watch_sow sows[SOWS];
    struct watch_site sites[SITES];
    struct watch_option options[OPTIONS];
    struct watch_moments moments[MEMBERS];
    struct watch_cell cells[OPTIONS][MEMBERS * HOURS];
    double birth[SOWS][HOURS], hands[HOURS];
    bool reach[SOWS * OPTIONS];
};

static const char *const sow_key[SOWS] = { "Bracken", "Dulse", "Fescue", "Sorrel" };
static const char *const site_key[SITES] = { "alder hut", "beech hut", "cedar hut", "hedge lee", "open" };
static const char *const option_key[OPTIONS] = { "o00", "o01", "o02", "o03", "o04", "o05",
                                                 "o06", "o07", "o08", "o09", "o10", "o11" };

static bool heads(struct dice *d, double p)
{
    return prop_between(d, 0.0, 1.0) < p;
}

static size_t pick_of(struct dice *d, size_t n)
{
    return (size_t)(prop_bits(d) % n);
}

static struct watch_cell some_cell(struct dice *d, bool better)
{
    const size_t a = pick_of(d, 4), b = pick_of(d, 4);
    const unsigned char grade = (unsigned char)(better == (a < b) ? a : b); /* work mostly helps */
    const double up[4] = { 0.5, 1.5, 3.0, 9.0 };
    struct watch_cell c = { .grade = grade,
                            .runt_grade = grade < 3 && heads(d, 0.7) ? (unsigned char)(grade + 1) : grade,
                            .near_limit = heads(d, 0.1) };
    c.shortfall_c = (float)prop_between(d, 0.0, up[grade]);
    c.runt_shortfall_c = (float)fmin(9.0, (double)c.shortfall_c + prop_between(d, 0.0, 2.0));
    if (heads(d, 0.05))
        c.heat_grade = (unsigned char)(1 + pick_of(d, 4));
    return c;
}

static double maybe_h(struct dice *d, double p, double low, double high)
{
    return heads(d, p) ? floor(prop_between(d, low, high)) : (double)NAN;
}

static void some_option(struct dice *d, struct small_night *s, size_t i, size_t site, bool change)
{
    struct watch_option *o = &s->options[i];

    *o = (struct watch_option){ .key = option_key[i], .site = site, .takes = WATCH_NONE, .cells = s->cells[i] };
    for (size_t c = 0; c < s->n.n_members * s->n.n_hours; c++)
        s->cells[i][c] = some_cell(d, change);
    if (!change)
        return;
    o->change = 1 + (unsigned)pick_of(d, 31);
    o->needs = (unsigned)(prop_bits(d) & prop_bits(d) & 15);
    o->minutes = 5.0 + 5.0 * (double)pick_of(d, 16);
    o->people = 1 + (unsigned)pick_of(d, 2);
    o->straw_kg = heads(d, 0.5) ? 5.0 * (double)pick_of(d, 4) : 0.0;
    o->flaps = heads(d, 0.3) ? 1 : 0;
    o->bales = heads(d, 0.3) ? 1 + (unsigned)pick_of(d, 4) : 0;
    o->panels = heads(d, 0.2) ? 1 : 0;
    o->earliest_h = heads(d, 0.3) ? (double)pick_of(d, 4) : 0.0;
    if (heads(d, 0.3)) {
        o->takes = pick_of(d, s->n.n_sites);
        o->brings = (o->change & WATCH_MOVE) && heads(d, 0.5);
    }
    if (o->takes == site) {
        o->takes = WATCH_NONE;
        o->brings = false;
    }
}

static void some_night(struct dice *d, struct small_night *s)
{
    memset(s, 0, sizeof *s);
    struct watch_night *n = &s->n;
    *n = (struct watch_night){ .n_hours = 4 + pick_of(d, HOURS - 3),
                               .n_members = 1 + pick_of(d, MEMBERS),
                               .n_sows = 1 + pick_of(d, SOWS),
                               .n_sites = 2 + pick_of(d, SITES - 1),
                               .sows = s->sows,
                               .sites = s->sites,
                               .options = s->options,
                               .moments = s->moments };
    for (size_t j = 0; j < n->n_sites; j++)
        s->sites[j] = (struct watch_site){ .key = site_key[j],
                                           .room = heads(d, 0.85) ? 1 : 2,
                                           .has_nest = heads(d, 0.1),
                                           .has_litter = heads(d, 0.05),
                                           .frozen_in = heads(d, 0.15),
                                           .drift_prone = heads(d, 0.15),
                                           .opens = heads(d, 0.5) };
    for (size_t i = 0; i < OPTIONS; i++) /* the first of each site as it stands */
        some_option(d, s, i, i < n->n_sites ? i : pick_of(d, n->n_sites), i >= n->n_sites);
    n->n_options = n->n_sites + pick_of(d, OPTIONS - n->n_sites + 1);
    for (size_t i = 0; i < n->n_sows; i++) {
        double left = 1.0;
        s->sows[i] = (struct watch_sow){ .key = sow_key[i],
                                         .birth = s->birth[i],
                                         .p_use = prop_between(d, 0.0, 1.0),
                                         .near = heads(d, 0.85),
                                         .lies = pick_of(d, n->n_sites),
                                         .nests_at = heads(d, 0.15) ? pick_of(d, n->n_sites) : WATCH_NONE };
        for (size_t h = 0; h < n->n_hours; h++) {
            s->birth[i][h] = heads(d, 0.3) ? prop_between(d, 0.0, left) : 0.0;
            left -= s->birth[i][h];
        }
    }
    for (size_t m = 0; m < n->n_members; m++)
        s->moments[m] = (struct watch_moments){ maybe_h(d, 0.5, -1, 8), maybe_h(d, 0.3, -1, 8), maybe_h(d, 0.3, -1, 8),
                                                maybe_h(d, 0.5, -1, 8), maybe_h(d, 0.2, 0, 8) };
    for (size_t h = 0; h < n->n_hours; h++)
        s->hands[h] = heads(d, 0.6) ? 60.0 : heads(d, 0.5) ? 20.0 : 0.0;
    n->limits = (struct watch_limits){ .people = 1 + (unsigned)pick_of(d, 2),
                                       .flaps = (unsigned)pick_of(d, 3),
                                       .bales = (unsigned)pick_of(d, 6),
                                       .panels = (unsigned)pick_of(d, 2),
                                       .straw_kg = 5.0 * (double)pick_of(d, 8),
                                       .hand_minutes = heads(d, 0.6) ? s->hands : NULL };
    for (size_t i = 0; i < n->n_sows * n->n_options; i++)
        s->reach[i] = heads(d, 0.9);
    n->reach = heads(d, 0.3) ? s->reach : NULL;
}

/* ---- the witness ---- */

static double need_of(const struct watch_cell *c)
{
    const double floor_c[4] = { 0.0, 0.0, 1.0, 2.5 };
    if (c->heat_grade >= 2)
        return c->heat_grade - 1.0;
    return (c->grade >= 2 ? 0.85 * fmax((double)c->shortfall_c, floor_c[c->grade]) : 0.0) +
           (c->runt_grade >= 2 ? 0.15 * fmax((double)c->runt_shortfall_c, floor_c[c->runt_grade]) : 0.0);
}

static double mean_need(const struct watch_night *n, size_t option, size_t h)
{
    double sum = 0.0;
    for (size_t m = 0; m < n->n_members; m++)
        sum += need_of(&n->options[option].cells[m * n->n_hours + h]);
    return sum / (double)n->n_members;
}

static double expected_need(const struct watch_night *n, size_t sow, size_t option)
{
    const struct watch_sow *s = &n->sows[sow];
    double sum = 0.0;

    for (size_t h = 0; h < n->n_hours; h++) {
        double p = 0.0;
        if (option != WATCH_NONE &&
            (double)h + 1e-9 >= floor(n->options[option].earliest_h + n->options[option].minutes / 60.0 + 1e-9))
            p = n->options[option].site == n->options[s->lies].site || n->options[option].site == s->nests_at
                    ? 1.0
                    : s->p_use;
        sum += s->birth[h] * (1.0 - p) * mean_need(n, s->lies, h);
        if (p > 0.0)
            sum += s->birth[h] * p * mean_need(n, option, h);
    }
    return sum;
}

static double physical_due(const struct watch_option *o, const struct watch_moments *m)
{
    double due = HUGE_VAL;
    if ((o->needs & WATCH_BEFORE_RAIN) && m->rain_h > 0.0)
        due = fmin(due, m->rain_h);
    if ((o->needs & WATCH_BEFORE_DUSK) && m->dusk_h > 0.0)
        due = fmin(due, m->dusk_h);
    if ((o->needs & WATCH_BEFORE_FREEZE) && !isnan(m->freeze_h))
        due = fmin(due, m->freeze_h);
    if ((o->needs & WATCH_BEFORE_THAW) && !isnan(m->thaw_h))
        due = fmin(due, m->thaw_h);
    return due;
}

static double useful_until(const struct watch_night *n, size_t sow, size_t option)
{
    const struct watch_option *o = &n->options[option];
    double total = 0.0, past = 0.0, h = 0.0;

    for (size_t i = 0; i < n->n_hours; i++)
        total += n->sows[sow].birth[i] * fmax(0.0, mean_need(n, n->sows[sow].lies, i) - mean_need(n, option, i));
    for (size_t i = 0; i < n->n_hours && !(past > 0.5 * total); i++) {
        past += n->sows[sow].birth[i] * fmax(0.0, mean_need(n, n->sows[sow].lies, i) - mean_need(n, option, i));
        h = past > 0.5 * total ? (double)i : (double)i + 1.0;
    }
    return fmin(fmax(h, o->earliest_h + o->minutes / 60.0), (double)n->n_hours);
}

static bool nested(const struct watch_night *n, size_t site, size_t but)
{
    for (size_t i = 0; i < n->n_sows; i++)
        if (i != but && n->sows[i].nests_at == site)
            return true;
    return n->sites[site].has_nest || n->sites[site].has_litter;
}

static bool allowed(const struct watch_night *n, size_t sow, size_t option)
{
    const struct watch_option *o = &n->options[option];
    const struct watch_sow *s = &n->sows[sow];
    const struct watch_moments *m = &n->moments[0];
    const bool away = (o->change & WATCH_MOVE) && !o->brings, hers = s->nests_at == o->site;
    const size_t stands = away && o->takes != WATCH_NONE ? o->takes : o->site;

    if (n->reach && !n->reach[sow * n->n_options + option])
        return false;
    if (!s->near || (s->nests_at != WATCH_NONE && !hers) || o->people > n->limits.people)
        return false;
    if (n->sites[o->site].room < 2 && (n->sites[o->site].has_litter || (n->sites[o->site].has_nest && !hers)))
        return false;
    for (size_t i = 0; i < n->n_sows; i++)
        if (i != sow && n->sows[i].nests_at == o->site && n->sites[o->site].room < 2)
            return false;
    if (((o->change & WATCH_TURN) || away) && (nested(n, o->site, WATCH_NONE) || n->sites[o->site].frozen_in))
        return false;
    if (o->takes != WATCH_NONE && (nested(n, o->takes, WATCH_NONE) || n->sites[o->takes].frozen_in))
        return false;
    if (!isnan(m->drift_h) && n->sites[stands].drift_prone && s->nests_at != stands &&
        n->options[s->lies].site != stands)
        return false;
    return o->earliest_h + o->minutes / 60.0 <= physical_due(o, m) + 1e-9;
}

struct job {
    double from_h, to_h, left;
};

/* Minute by minute, the job with the earliest deadline first. Figures of the nights here are whole minutes. */
static bool hands_suffice(const struct watch_night *n, struct job *job, size_t n_jobs)
{
    if (!n->limits.hand_minutes)
        return true;
    for (size_t minute = 0; minute < n->n_hours * 60; minute++) {
        double hands = n->limits.hand_minutes[minute / 60] / 60.0;
        while (hands > 1e-12) {
            struct job *next = NULL;
            for (size_t i = 0; i < n_jobs; i++)
                if (job[i].left > 1e-9 && job[i].from_h * 60.0 <= (double)minute + 1e-9 &&
                    job[i].to_h * 60.0 >= (double)minute + 1.0 - 1e-9 && (!next || job[i].to_h < next->to_h))
                    next = &job[i];
            if (!next)
                break;
            const double done = fmin(hands, next->left);
            next->left -= done;
            hands -= done;
        }
    }
    for (size_t i = 0; i < n_jobs; i++)
        if (job[i].left > 1e-6)
            return false;
    return true;
}

static bool can_all_be_had(const struct watch_night *n, const size_t *chosen)
{
    double flaps = 0, bales = 0, panels = 0, straw = 0;
    unsigned at[SITES] = { 0 };
    struct job job[SOWS];
    size_t n_jobs = 0;

    for (size_t s = 0; s < n->n_sows; s++) {
        if (chosen[s] == WATCH_NONE)
            continue;
        const struct watch_option *o = &n->options[chosen[s]];
        if (!allowed(n, s, chosen[s]))
            return false;
        flaps += o->flaps;
        bales += o->bales;
        panels += o->panels;
        straw += o->straw_kg;
        at[o->site]++;
        if (o->takes != WATCH_NONE)
            at[o->takes]++;
        if (o->minutes > 0.0)
            job[n_jobs++] =
                (struct job){ o->earliest_h, fmin(physical_due(o, &n->moments[0]), useful_until(n, s, chosen[s])),
                              o->minutes * o->people };
    }
    for (size_t s = 0; s < n->n_sows; s++) /* who stays puts no claim on a site, but a claimed one must have room */
        if (chosen[s] != WATCH_NONE) {
            const struct watch_option *o = &n->options[chosen[s]];
            if (at[o->site] > n->sites[o->site].room ||
                (o->takes != WATCH_NONE && at[o->takes] > n->sites[o->takes].room))
                return false;
        }
    return flaps <= n->limits.flaps && bales <= n->limits.bales && panels <= n->limits.panels &&
           straw <= n->limits.straw_kg && hands_suffice(n, job, n_jobs);
}

static double cost_of(const struct watch_night *n, const struct watch_weights *w, const size_t *chosen)
{
    double sum = 0.0;
    for (size_t s = 0; s < n->n_sows; s++) {
        sum += expected_need(n, s, chosen[s]);
        if (chosen[s] != WATCH_NONE)
            sum += w->minute_c * n->options[chosen[s]].minutes * n->options[chosen[s]].people +
                   w->straw_kg_c * n->options[chosen[s]].straw_kg;
    }
    return sum;
}

static void try_all(const struct watch_night *n, const struct watch_weights *w, size_t sow, size_t *chosen,
                    double *best)
{
    if (sow == n->n_sows) {
        const double cost = cost_of(n, w, chosen);
        if (cost < *best && can_all_be_had(n, chosen))
            *best = cost;
        return;
    }
    chosen[sow] = WATCH_NONE;
    try_all(n, w, sow + 1, chosen, best);
    for (size_t o = 0; o < n->n_options; o++)
        if (allowed(n, sow, o)) {
            chosen[sow] = o;
            try_all(n, w, sow + 1, chosen, best);
        }
    chosen[sow] = WATCH_NONE;
}

static struct watch_plan planned(const struct watch_night *n, const struct watch_weights *w, struct arena *mem, int k)
{
    struct watch_plan plan;
    struct message why = { "", "" };

    if (watch_plan(n, w, mem, &plan, &why) != ST_OK)
        fail_msg("case %d: %s: %s", k, why.field, why.text);
    return plan;
}

/* ---- the plan ---- */

static void the_plan_is_the_best_there_is(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();
    int worked = 0, tight = 0;

    (void)state;
    for (int k = 0; k < 4000; k++) {
        struct arena mem;
        size_t chosen[SOWS];
        double best = HUGE_VAL, need = 0.0;

        some_night(&d, &s);
        arena_open(&mem, 8 << 20);
        const struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, k);
        try_all(&s.n, &watch_usual_weights, 0, chosen, &best);
        const double got = cost_of(&s.n, &watch_usual_weights, plan.chosen);
        if (!can_all_be_had(&s.n, plan.chosen))
            fail_msg("case %d: the plan cannot be had", k);
        if (!plan.proved || !(got <= best + 1e-6))
            fail_msg("case %d: the best plan costs %.9g, the given one %.9g", k, best, got);
        for (size_t i = 0; i < s.n.n_sows; i++)
            need += expected_need(&s.n, i, plan.chosen[i]);
        assert_true(fabs(need - plan.need_after_c) < 1e-9);
        assert_true(plan.need_after_c <= plan.need_now_c + 1e-6);
        worked += plan.n_actions > 0;
        tight += (plan.tight & ~(unsigned)WATCH_TIGHT_PLACES) != 0;
        arena_close(&mem);
    }
    if (!(worked > 1200 && tight > 500))
        fail_msg("the cases were idle: %d with work, %d with something tight", worked, tight);
}

static void chances_add_up(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();

    (void)state;
    for (int k = 0; k < 1000; k++) {
        struct arena mem;
        some_night(&d, &s);
        arena_open(&mem, 8 << 20);
        const struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, k);
        assert_int_equal(plan.n_advice, s.n.n_sows);
        for (size_t i = 0; i < plan.n_advice; i++) {
            const struct watch_advice *a = &plan.advice[i];
            double now = 0.0, after = 0.0, gain = 0.0, want = 0.0;
            for (size_t h = 0; h < s.n.n_hours; h++) {
                now += a->danger_now[h];
                after += a->danger_after[h];
                gain += a->gain_c[h];
                for (size_t m = 0; m < s.n.n_members; m++) { /* the sum as it is defined */
                    const struct watch_sow *sow = &s.sows[a->sow];
                    const struct watch_cell *lies = &s.options[sow->lies].cells[m * s.n.n_hours + h], *to = lies;
                    double p = 0.0;
                    if (a->option != WATCH_NONE && (double)h >= floor(s.options[a->option].earliest_h +
                                                                      s.options[a->option].minutes / 60.0 + 1e-9)) {
                        to = &s.options[a->option].cells[m * s.n.n_hours + h];
                        p = s.options[a->option].site == s.options[sow->lies].site ||
                                    s.options[a->option].site == sow->nests_at
                                ? 1.0
                                : sow->p_use;
                    }
                    want += sow->birth[h] *
                            (p * (to->grade >= 2 && to->heat_grade < 2) +
                             (1.0 - p) * (lies->grade >= 2 && lies->heat_grade < 2)) /
                            (double)s.n.n_members;
                }
            }
            assert_true(fabs(now - a->now.danger) < 1e-9 && fabs(after - a->after.danger) < 1e-9);
            assert_true(fabs(want - a->after.danger) < 1e-9);
            assert_true(fabs(gain - (a->now.need_c - a->after.need_c)) < 1e-9);
            assert_true(a->after.danger <= a->p_birth + 1e-9 && a->after.danger >= -1e-12);
            assert_true(a->after.unfit <= a->after.danger + 1e-12);
            assert_true(a->least_danger <= a->after.danger + 1e-9 && a->most_danger >= a->after.danger - 1e-9);
            assert_true(a->agree >= 0.0 && a->agree <= 1.0 && a->from_h <= a->to_h && a->to_h <= s.n.n_hours);
            assert_true(i == 0 || plan.advice[i - 1].now.need_c >= a->now.need_c);
        }
        if (s.n.n_members == 1) /* the only forecast's own plan is the plan */
            for (size_t i = 0; i < plan.n_actions; i++)
                assert_true(plan.actions[i].agree == 1.0);
        arena_close(&mem);
    }
}

/* Take one site out with all its options; with it in again the cost must not be higher. */
static void another_hut_never_raises_the_need(void **state)
{
    static struct small_night s;
    struct watch_weights work_is_free = watch_usual_weights;
    struct dice d = prop_start();
    int changed = 0;

    (void)state;
    work_is_free.minute_c = work_is_free.straw_kg_c = 0.0;
    for (int k = 0; k < 3000; k++) {
        struct arena mem;
        bool without[SOWS * OPTIONS];
        some_night(&d, &s);
        const size_t gone = pick_of(&d, s.n.n_sites);
        arena_open(&mem, 8 << 20);
        const struct watch_plan with = planned(&s.n, &work_is_free, &mem, k);
        for (size_t i = 0; i < s.n.n_sows; i++)
            for (size_t o = 0; o < s.n.n_options; o++) {
                const size_t at = i * s.n.n_options + o;
                without[at] = (!s.n.reach || s.n.reach[at]) && s.options[o].site != gone && s.options[o].takes != gone;
            }
        s.n.reach = without;
        const struct watch_plan less = planned(&s.n, &work_is_free, &mem, k);
        if (!(with.need_after_c <= less.need_after_c + 1e-6))
            fail_msg("case %d: %g with one more, %g without", k, with.need_after_c, less.need_after_c);
        changed += with.need_after_c < less.need_after_c - 1e-6;
        arena_close(&mem);
    }
    assert_true(changed > 500);
}

static void more_of_anything_never_raises_the_cost(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();

    (void)state;
    for (int k = 0; k < 1500; k++) {
        struct arena mem;
        some_night(&d, &s);
        arena_open(&mem, 8 << 20);
        const struct watch_plan little = planned(&s.n, &watch_usual_weights, &mem, k);
        s.n.limits.flaps += (unsigned)pick_of(&d, 2);
        s.n.limits.bales += (unsigned)pick_of(&d, 3);
        s.n.limits.panels += (unsigned)pick_of(&d, 2);
        s.n.limits.straw_kg += 5.0 * (double)pick_of(&d, 3);
        for (size_t h = 0; h < s.n.n_hours; h++)
            s.hands[h] += 30.0 * (double)pick_of(&d, 2);
        const struct watch_plan much = planned(&s.n, &watch_usual_weights, &mem, k);
        assert_true(cost_of(&s.n, &watch_usual_weights, much.chosen) <=
                    cost_of(&s.n, &watch_usual_weights, little.chosen) + 1e-6);
        arena_close(&mem);
    }
}

/* ---- order ---- */

static void shuffle(struct dice *d, size_t n, size_t *to)
{
    for (size_t i = 0; i < n; i++)
        to[i] = i;
    for (size_t i = n; i > 1; i--) {
        const size_t j = pick_of(d, i), x = to[i - 1];
        to[i - 1] = to[j];
        to[j] = x;
    }
}

static size_t moved(const size_t *to, size_t i)
{
    return i == WATCH_NONE ? WATCH_NONE : to[i];
}

static void shuffled(struct dice *d, const struct small_night *a, struct small_night *b, size_t *sow, size_t *site,
                     size_t *option)
{
    *b = *a;
    shuffle(d, a->n.n_sows, sow);
    shuffle(d, a->n.n_sites, site);
    shuffle(d, a->n.n_options, option);
    for (size_t i = 0; i < a->n.n_sites; i++)
        b->sites[site[i]] = a->sites[i];
    for (size_t i = 0; i < a->n.n_options; i++) {
        b->options[option[i]] = a->options[i];
        b->options[option[i]].site = site[a->options[i].site];
        b->options[option[i]].takes = moved(site, a->options[i].takes);
    }
    for (size_t i = 0; i < a->n.n_sows; i++) {
        b->sows[sow[i]] = a->sows[i];
        b->sows[sow[i]].lies = option[a->sows[i].lies];
        b->sows[sow[i]].nests_at = moved(site, a->sows[i].nests_at);
        for (size_t o = 0; o < a->n.n_options; o++)
            b->reach[sow[i] * a->n.n_options + option[o]] = a->reach[i * a->n.n_options + o];
    }
    b->n.sows = b->sows;
    b->n.sites = b->sites;
    b->n.options = b->options;
    b->n.reach = a->n.reach ? b->reach : NULL;
}

static bool same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static void order_given_changes_nothing(void **state)
{
    static struct small_night a, b;
    struct dice d = prop_start();

    (void)state;
    for (int k = 0; k < 1500; k++) {
        size_t sow[SOWS], site[SITES], option[OPTIONS];
        struct arena mem;
        some_night(&d, &a);
        shuffled(&d, &a, &b, sow, site, option);
        arena_open(&mem, 8 << 20);
        const struct watch_plan x = planned(&a.n, &watch_usual_weights, &mem, k),
                                y = planned(&b.n, &watch_usual_weights, &mem, k);
        assert_true(x.need_now_c == y.need_now_c && x.need_after_c == y.need_after_c && x.tight == y.tight);
        assert_true(x.n_actions == y.n_actions && x.n_heat == y.n_heat && moved(option, x.spare) == y.spare);
        assert_true(x.hand_minutes == y.hand_minutes && x.straw_kg == y.straw_kg && x.n_ready == y.n_ready);
        for (size_t i = 0; i < x.n_advice; i++) {
            const struct watch_advice *p = &x.advice[i], *q = &y.advice[i];
            assert_true(sow[p->sow] == q->sow && moved(option, p->option) == q->option && p->agree == q->agree);
            assert_true(memcmp(&p->after, &q->after, sizeof p->after) == 0 && p->record == q->record);
        }
        for (size_t i = 0; i < x.n_actions; i++) {
            const struct watch_action *p = &x.actions[i], *q = &y.actions[i];
            assert_true(option[p->option] == q->option && p->n_sows == q->n_sows && p->gain_c == q->gain_c);
            assert_true(same(p->deadline.by_h, q->deadline.by_h) && p->agree == q->agree);
            for (size_t j = 0; j < p->n_sows; j++)
                assert_true(sow[p->sows[j]] == q->sows[j]);
        }
        arena_close(&mem);
    }
}

/* ---- least change, nests, deadlines: a night laid out by hand ---- */

static void fill_cells(struct small_night *s, size_t option, unsigned char grade, double shortfall_c)
{
    for (size_t i = 0; i < s->n.n_members * s->n.n_hours; i++)
        s->cells[option][i] = (struct watch_cell){ .grade = grade,
                                                   .runt_grade = grade,
                                                   .shortfall_c = (float)shortfall_c,
                                                   .runt_shortfall_c = (float)shortfall_c };
}

enum { OPEN, HUT, TURNED, FLAPPED, STRAWED, MOVED };

/* One sow in the open in danger; one hut, badly faced; four things could be done to it. */
static void one_hut(struct small_night *s)
{
    static const unsigned change[] = { WATCH_AS_IT_STANDS,      WATCH_AS_IT_STANDS,       WATCH_TURN,
                                       WATCH_TURN | WATCH_FLAP, WATCH_TURN | WATCH_STRAW, WATCH_MOVE };
    static const unsigned needs[] = {
        0, 0, WATCH_BEFORE_FREEZE, WATCH_BEFORE_FREEZE, WATCH_BEFORE_RAIN, WATCH_BEFORE_THAW
    };
    static const double minutes[] = { 0, 0, 15, 25, 30, 60 };

    memset(s, 0, sizeof *s);
    s->n = (struct watch_night){ .n_hours = 12,
                                 .n_members = 3,
                                 .n_sows = 1,
                                 .n_sites = 2,
                                 .n_options = 6,
                                 .sows = s->sows,
                                 .sites = s->sites,
                                 .options = s->options,
                                 .moments = s->moments,
                                 .limits = { .people = 2, .flaps = 1, .bales = 4, .panels = 1, .straw_kg = 100.0 } };
    s->sites[0] = (struct watch_site){ .key = "alder hut", .room = 1, .opens = true };
    s->sites[1] = (struct watch_site){ .key = "open", .room = 10 };
    for (size_t i = 0; i < 6; i++)
        s->options[i] = (struct watch_option){ .key = option_key[i],
                                               .site = i == OPEN ? 1 : 0,
                                               .takes = WATCH_NONE,
                                               .change = change[i],
                                               .needs = needs[i],
                                               .minutes = minutes[i],
                                               .people = i < 2 ? 0 : 2,
                                               .straw_kg = i == STRAWED ? 17.0 : 0.0,
                                               .flaps = i == FLAPPED ? 1 : 0,
                                               .cells = s->cells[i] };
    fill_cells(s, OPEN, 3, 6.0);
    fill_cells(s, HUT, 3, 4.0);
    fill_cells(s, TURNED, 1, 0.8);
    fill_cells(s, FLAPPED, 0, 0.2);
    fill_cells(s, STRAWED, 0, 0.0);
    fill_cells(s, MOVED, 0, 0.0);
    s->sows[0] = (struct watch_sow){
        .key = "Bracken", .birth = s->birth[0], .p_use = 0.75, .near = true, .lies = OPEN, .nests_at = WATCH_NONE
    };
    for (size_t h = 4; h < 10; h++)
        s->birth[0][h] = 0.1;
    for (size_t m = 0; m < 3; m++)
        s->moments[m] = (struct watch_moments){ NAN, NAN, NAN, NAN, NAN };
}

static void the_least_change_that_is_bearable_wins(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_int_equal(plan.chosen[0], TURNED); /* warmer ones are to be had; a bearable night is enough */
    assert_int_equal(plan.n_actions, 1);
    assert_true(fabs(plan.advice[0].now.danger - 0.6) < 1e-9);
    assert_true(fabs(plan.advice[0].after.danger - 0.25 * 0.6) < 1e-9);
    assert_true(fabs(plan.advice[0].after.cold - 0.75 * 0.6) < 1e-9);
    assert_true(plan.actions[0].agree == 1.0 && plan.n_unserved == 0 && plan.n_ready == 1);

    s.options[TURNED].minutes = s.options[STRAWED].minutes; /* same work: the lesser change */
    fill_cells(&s, TURNED, 0, 0.0);
    plan = planned(&s.n, &watch_usual_weights, &mem, 1);
    assert_int_equal(plan.chosen[0], FLAPPED); /* it alone is less work now */
    s.options[FLAPPED].minutes = s.options[STRAWED].minutes;
    plan = planned(&s.n, &watch_usual_weights, &mem, 2);
    assert_int_equal(plan.chosen[0], TURNED);

    fill_cells(&s, OPEN, 1, 0.9); /* a bearable night: nothing at all */
    plan = planned(&s.n, &watch_usual_weights, &mem, 3);
    assert_int_equal(plan.n_actions, 0);
    assert_int_equal(plan.n_unserved, 0);
    arena_close(&mem);
}

static void a_nest_is_never_moved_and_help_comes_to_it(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    s.sites[0].has_nest = true; /* another's: not for her at all */
    assert_int_equal(planned(&s.n, &watch_usual_weights, &mem, 0).n_actions, 0);
    s.sites[0].has_nest = false;
    s.sites[0].frozen_in = true; /* neither turned nor moved */
    assert_true(planned(&s.n, &watch_usual_weights, &mem, 1).chosen[0] == HUT);
    s.sites[0].frozen_in = false;
    s.sows[0].nests_at = 0; /* she nests in the badly faced hut: it is bedded and flapped, never turned */
    s.sites[0].has_nest = true;
    s.options[FLAPPED].change = WATCH_FLAP;
    fill_cells(&s, FLAPPED, 1, 0.5);
    s.options[STRAWED].change = WATCH_STRAW;
    fill_cells(&s, STRAWED, 2, 1.5);
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 2);
    assert_int_equal(plan.chosen[0], FLAPPED);
    assert_true(plan.advice[0].after.danger < 1e-12); /* she is there: no chance that she goes elsewhere */

    one_hut(&s); /* she nests in the open: the hut is carried to her, or a wall of bales built; she stays */
    s.sites[1].room = 1;
    s.sites[1].has_nest = true;
    s.sows[0].nests_at = 1;
    s.options[TURNED] = (struct watch_option){ .key = "o02",
                                               .site = 1,
                                               .takes = WATCH_NONE,
                                               .change = WATCH_WINDBREAK,
                                               .minutes = 20,
                                               .people = 1,
                                               .bales = 4,
                                               .cells = s.cells[TURNED] };
    plan = planned(&s.n, &watch_usual_weights, &mem, 3);
    assert_int_equal(plan.chosen[0], TURNED);
    s.n.limits.bales = 3;
    s.options[MOVED].site = 1;
    s.options[MOVED].takes = 0;
    s.options[MOVED].brings = true;
    plan = planned(&s.n, &watch_usual_weights, &mem, 4);
    assert_int_equal(plan.chosen[0], MOVED);
    assert_true(plan.tight & WATCH_TIGHT_BALES);
    s.options[MOVED].brings = false; /* carried away from under her: never */
    plan = planned(&s.n, &watch_usual_weights, &mem, 5);
    assert_true(plan.chosen[0] == WATCH_NONE || plan.chosen[0] == OPEN);
    assert_int_equal(plan.n_actions, 0);
    arena_close(&mem);
}

static void deadlines_come_from_the_weather_and_from_her(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_int_equal(plan.actions[0].deadline.why, WATCH_HER_CHANCE);
    assert_true(plan.actions[0].deadline.by_h == 4.0); /* her first chance is in hour 4: a sixth of the gain is there */
    assert_true(fabs(plan.actions[0].deadline.start_h - 3.75) < 1e-12);
    for (size_t m = 0; m < 3; m++)
        s.moments[m].freeze_h = 2.0;
    s.moments[2].freeze_h = 1.0;
    plan = planned(&s.n, &watch_usual_weights, &mem, 1);
    assert_int_equal(plan.actions[0].deadline.why, WATCH_FREEZE);
    assert_true(plan.actions[0].deadline.by_h == 2.0 && plan.actions[0].deadline.earliest_h == 1.0);
    for (size_t m = 0; m < 3; m++)
        s.moments[m].freeze_h = 0.0; /* frozen already: nothing is turned; straw would need a turn too */
    s.options[STRAWED].change = WATCH_STRAW;
    plan = planned(&s.n, &watch_usual_weights, &mem, 2);
    assert_true(plan.chosen[0] == STRAWED);
    for (size_t m = 0; m < 3; m++)
        s.moments[m].rain_h = 3.0;
    plan = planned(&s.n, &watch_usual_weights, &mem, 3);
    assert_int_equal(plan.actions[0].deadline.why, WATCH_RAIN);
    assert_true(plan.actions[0].deadline.by_h == 3.0);
    for (size_t m = 0; m < 3; m++)
        s.moments[m].rain_h = 0.0; /* raining already: no deadline from it */
    plan = planned(&s.n, &watch_usual_weights, &mem, 4);
    assert_int_equal(plan.actions[0].deadline.why, WATCH_HER_CHANCE);
    arena_close(&mem);
}

static void earlier_rain_never_gives_a_later_deadline(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();
    int earlier = 0;

    (void)state;
    for (int k = 0; k < 5000; k++) {
        double gain[HOURS];
        some_night(&d, &s);
        struct watch_option o = s.options[pick_of(&d, s.n.n_options)];
        struct watch_moments late = s.moments[0], soon;
        o.needs |= WATCH_BEFORE_RAIN;
        late.rain_h = prop_between(&d, 1.0, 10.0);
        soon = late;
        soon.rain_h = prop_between(&d, 0.1, late.rain_h);
        for (size_t h = 0; h < s.n.n_hours; h++)
            gain[h] = prop_between(&d, -0.2, 1.0);
        const struct watch_deadline a = watch_deadline_of(&o, &late, s.n.n_hours, gain, 0.9);
        const struct watch_deadline b = watch_deadline_of(&o, &soon, s.n.n_hours, gain, 0.9);
        assert_true(b.by_h <= a.by_h && b.start_h <= a.start_h);
        assert_true(b.why != WATCH_RAIN || b.by_h == soon.rain_h);
        earlier += b.by_h < a.by_h;
    }
    assert_true(earlier > 1000);
}

/* Rain in the plan: where the same work is still chosen it is never due later; and it can be had in time. */
static void earlier_rain_in_the_plan(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();
    int met = 0;

    (void)state;
    for (int k = 0; k < 2000; k++) {
        struct arena mem;
        some_night(&d, &s);
        for (size_t m = 0; m < s.n.n_members; m++)
            s.moments[m].rain_h = 6.0;
        arena_open(&mem, 8 << 20);
        const struct watch_plan late = planned(&s.n, &watch_usual_weights, &mem, k);
        for (size_t m = 0; m < s.n.n_members; m++)
            s.moments[m].rain_h = 2.0;
        const struct watch_plan soon = planned(&s.n, &watch_usual_weights, &mem, k);
        for (size_t i = 0; i < soon.n_actions; i++)
            for (size_t j = 0; j < late.n_actions; j++) {
                const struct watch_action *a = &soon.actions[i], *b = &late.actions[j];
                if (a->option != b->option || !(s.options[a->option].needs & WATCH_BEFORE_RAIN) ||
                    a->deadline.why != WATCH_RAIN)
                    continue;
                assert_true(a->deadline.by_h <= 2.0 && a->deadline.start_h >= 0.0);
                met++;
            }
        arena_close(&mem);
    }
    assert_true(met > 50);
}

static void a_spare_stands_ready_for_whoever_passes_hers_by(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    s.n.n_sites = 3;
    s.n.n_options = 8;
    s.sites[2] = (struct watch_site){ .key = "hedge lee", .room = 1 };
    s.options[6] = (struct watch_option){ .key = "o06",
                                          .site = 2,
                                          .takes = WATCH_NONE,
                                          .change = WATCH_STRAW,
                                          .minutes = 20,
                                          .people = 1,
                                          .straw_kg = 10,
                                          .cells = s.cells[6] };
    s.options[7] = (struct watch_option){ .key = "o07", .site = 2, .takes = WATCH_NONE, .cells = s.cells[7] };
    fill_cells(&s, 6, 1, 0.9);
    fill_cells(&s, 7, 3, 6.0);
    s.options[TURNED].minutes = 5;
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_int_equal(plan.chosen[0], TURNED);
    assert_int_equal(plan.spare, 6);
    assert_int_equal(plan.n_ready, 2);
    assert_int_equal(plan.n_actions, 2);
    for (size_t i = 0; i < 2; i++)
        assert_true(plan.actions[i].option != 6 || (plan.actions[i].n_sows == 0 && plan.actions[i].gain_c > 0.0));
    s.sows[0].p_use = 1.0; /* sure to use hers: none needed */
    plan = planned(&s.n, &watch_usual_weights, &mem, 1);
    assert_int_equal(plan.n_actions, 1);
    assert_true(plan.spare == WATCH_NONE);
    arena_close(&mem);
}

static void forecasts_that_disagree_are_said(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    for (size_t h = 0; h < s.n.n_hours; h++) /* in one forecast of three turning is not enough, a flap is */
        s.cells[TURNED][2 * s.n.n_hours + h] =
            (struct watch_cell){ .grade = 2, .runt_grade = 2, .shortfall_c = 0.2f, .runt_shortfall_c = 0.2f };
    struct watch_weights w = watch_usual_weights;
    w.minute_c = 0.01;
    struct watch_plan plan = planned(&s.n, &w, &mem, 0);
    assert_int_equal(plan.chosen[0], TURNED);
    assert_true(fabs(plan.actions[0].agree - 2.0 / 3.0) < 1e-12);
    assert_true(plan.actions[0].record & WATCH_RECORD_WEATHER);
    assert_true(plan.advice[0].record & WATCH_RECORD_SIGNS); /* a birth within the night has a chance of 0.6: open */
    assert_true(plan.advice[0].most_danger > plan.advice[0].least_danger + 0.3);
    arena_close(&mem);
}

/* 38 °C: heat grade 4 in every hour. Grades of cold are whatever the model said; they are not to be spoken of. */
static void a_hot_afternoon_brings_no_cold_advice(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    for (size_t o = 0; o < s.n.n_options; o++)
        for (size_t i = 0; i < s.n.n_members * s.n.n_hours; i++)
            s.cells[o][i] = (struct watch_cell){ .grade = 3, .runt_grade = 3, .heat_grade = 4, .shortfall_c = 9.0f };
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_int_equal(plan.n_actions, 0);
    assert_true(plan.advice[0].now.danger == 0.0 && plan.advice[0].after.danger == 0.0 &&
                plan.advice[0].after.cold == 0.0);
    assert_int_equal(plan.n_heat, 1);
    assert_int_equal(plan.heat[0].worst_grade, 4);
    assert_int_equal(plan.heat[0].n_hours, 12);
    assert_int_equal(plan.heat[0].from_h, 0);
    s.sows[0].lies = HUT;
    plan = planned(&s.n, &watch_usual_weights, &mem, 1);
    assert_true(plan.heat[0].vents);
    for (size_t i = 0; i < s.n.n_hours; i++) /* one forecast of three: not yet said */
        for (size_t o = 0; o < s.n.n_options; o++)
            for (size_t m = 1; m < 3; m++)
                s.cells[o][m * s.n.n_hours + i].heat_grade = 1;
    assert_int_equal(planned(&s.n, &watch_usual_weights, &mem, 2).n_heat, 0);
    arena_close(&mem);
}

static void wrong_figures_are_sentences(void **state)
{
    static struct small_night s;
    struct watch_weights w = watch_usual_weights;
    struct arena mem;
    static double many[300];

    (void)state;
    for (int k = 0; k < 16; k++) {
        struct watch_plan plan = { .hand_minutes = -7.0 };
        struct message why = { "", "" };
        one_hut(&s);
        w = watch_usual_weights;
        switch (k) {
        case 0: s.birth[0][3] = 1.5; break;
        case 1: s.birth[0][3] = NAN; break;
        case 2: s.birth[0][3] = 0.5; break; /* sums to 1.1 */
        case 3: s.sows[0].p_use = -0.1; break;
        case 4: s.sows[0].lies = 99; break;
        case 5: s.sows[0].nests_at = 7; break;
        case 6: s.options[TURNED].site = 9; break;
        case 7: s.options[TURNED].minutes = HUGE_VAL; break;
        case 8: s.cells[TURNED][5].grade = 4; break;
        case 9: s.cells[TURNED][5].shortfall_c = -1.0f; break;
        case 10:
            s.options[FLAPPED].key = "o02";
            s.options[FLAPPED].change = WATCH_TURN;
            break; /* twice */
        case 11: s.n.limits.straw_kg = NAN; break;
        case 12: s.moments[1].rain_h = HUGE_VAL; break;
        case 13: w.minute_c = NAN; break;
        case 14: s.n.n_hours = 0; break;
        case 15:
            many[0] = -1.0;
            s.n.limits.hand_minutes = many;
            break;
        default: break;
        }
        arena_open(&mem, 8 << 20);
        if (watch_plan(&s.n, &w, &mem, &plan, &why) != ST_BAD_INPUT || why.text[0] == '\0' || plan.hand_minutes != -7.0)
            fail_msg("mistake %d was not refused", k);
        arena_close(&mem);
    }
    for (size_t ceiling = 64; ceiling < 60000; ceiling += 997) { /* memory that ends anywhere ends in a sentence */
        struct watch_plan plan;
        struct message why = { "", "" };
        one_hut(&s);
        arena_open(&mem, ceiling);
        const enum status st = watch_plan(&s.n, &w, &mem, &plan, &why);
        assert_true(st == ST_OK || st == ST_NO_MEMORY || st == ST_BAD_INPUT);
        arena_close(&mem);
    }
}

static void nobody_at_all(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    s.n.n_sows = 0;
    const struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_true(plan.n_advice == 0 && plan.n_actions == 0 && plan.need_now_c == 0.0 && plan.proved);
    arena_close(&mem);
}

/* The limits of the watch advice (judgement of the project's own notes; common practice, no source). */
static void how_often_to_look(void **state)
{
    (void)state;
    assert_int_equal(watch_how_often(0.049, false), WATCH_ROUTINE);
    assert_int_equal(watch_how_often(0.05, false), WATCH_TWICE_A_DAY);
    assert_int_equal(watch_how_often(0.25, false), WATCH_EVERY_6H);
    assert_int_equal(watch_how_often(0.61, false), WATCH_EVERY_3H);
    assert_int_equal(watch_how_often(0.01, true), WATCH_TWICE_A_DAY);
    assert_int_equal(watch_how_often(0.99, true), WATCH_EVERY_3H);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_plan_is_the_best_there_is),
        cmocka_unit_test(chances_add_up),
        cmocka_unit_test(another_hut_never_raises_the_need),
        cmocka_unit_test(more_of_anything_never_raises_the_cost),
        cmocka_unit_test(order_given_changes_nothing),
        cmocka_unit_test(the_least_change_that_is_bearable_wins),
        cmocka_unit_test(a_nest_is_never_moved_and_help_comes_to_it),
        cmocka_unit_test(deadlines_come_from_the_weather_and_from_her),
        cmocka_unit_test(earlier_rain_never_gives_a_later_deadline),
        cmocka_unit_test(earlier_rain_in_the_plan),
        cmocka_unit_test(a_spare_stands_ready_for_whoever_passes_hers_by),
        cmocka_unit_test(forecasts_that_disagree_are_said),
        cmocka_unit_test(a_hot_afternoon_brings_no_cold_advice),
        cmocka_unit_test(wrong_figures_are_sentences),
        cmocka_unit_test(nobody_at_all),
        cmocka_unit_test(how_often_to_look),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
