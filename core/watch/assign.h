/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Assign: sows to places with nothing scarce, at the least cost, and the prices that prove it. Private to core/watch.
 */
#ifndef CORE_WATCH_ASSIGN_H
#define CORE_WATCH_ASSIGN_H

#include "core/base/arena.h"
#include "core/watch/choose.h"

struct assignment { /* laid out once, used again and again */
    const struct choose_problem *p;
    size_t n_sites_slots; /* slots that are places: sites, each as often as it has room and is wanted */
    size_t n_slots;       /* and after them one 'stays' for each sow */
    unsigned *wanted;     /* n_sites: sows with a column there that is better than staying */
    size_t *slot_site;
    double *cheapest; /* n_sows x n_sites */
    size_t *which;    /* the column behind it */
    double *sow_price, *slot_price;
    size_t *slot_sow;   /* SIZE_MAX = free */
    double *site_price; /* of several places of one site the dearest; 0 or below */
    double *dist;
    size_t *from;
    bool *done;
    double *cost; /* n_sows x n_slots */
};

bool assign_open(const struct choose_problem *p, struct arena *mem, struct assignment *a) MUST_USE;

/* Least cost over the n columns listed (each sow's own in any order); cost and stay by column and sow of the problem.
 * pick: column or SIZE_MAX = stays. Sure that, for any column k, no plan with it costs less than
 * total + cost[k] - sow_price[its sow] - site_price[its site]. */
double assign_best(struct assignment *a, size_t n, const size_t *col, const double *cost, const double *stay,
                   size_t *pick);

#endif
