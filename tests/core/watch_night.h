/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Small nights: invented at random, or laid out by hand.
 */
#ifndef TESTS_CORE_WATCH_NIGHT_H
#define TESTS_CORE_WATCH_NIGHT_H

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

static inline bool heads(struct dice *d, double p)
{
    return prop_between(d, 0.0, 1.0) < p;
}

static inline size_t pick_of(struct dice *d, size_t n)
{
    return (size_t)(prop_bits(d) % n);
}

static inline struct watch_cell some_cell(struct dice *d, bool better)
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

static inline double maybe_h(struct dice *d, double p, double low, double high)
{
    return heads(d, p) ? floor(prop_between(d, low, high)) : (double)NAN;
}

static inline void some_option(struct dice *d, struct small_night *s, size_t i, size_t site, bool change)
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

static inline void some_night(struct dice *d, struct small_night *s)
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
        s->moments[m] = (struct watch_moments){
            .rain_h = maybe_h(d, 0.5, -1, 8),
            .freeze_h = maybe_h(d, 0.3, -1, 8),
            .thaw_h = maybe_h(d, 0.3, -1, 8),
            .dusk_h = maybe_h(d, 0.5, -1, 8),
            .drift_h = maybe_h(d, 0.2, 0, 8),
            .dry_again_h = maybe_h(d, 0.3, 0, 8),
            .light_again_h = maybe_h(d, 0.3, 0, 8),
        };
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

static inline struct watch_plan planned(const struct watch_night *n, const struct watch_weights *w, struct arena *mem,
                                        int k)
{
    struct watch_plan plan;
    struct message why = { "", "" };

    if (watch_plan(n, w, mem, &plan, &why) != ST_OK)
        fail_msg("case %d: %s: %s", k, why.field, why.text);
    return plan;
}

#endif
