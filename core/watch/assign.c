/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shortest augmenting paths with prices (Kuhn 1955, Munkres 1957; in the form of Burkard, Dell'Amico and Martello,
 * Assignment Problems, 2009, from memory).
 */
#include "core/watch/assign.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>

static const double hair = 1e-12;

bool assign_open(const struct choose_problem *p, struct arena *mem, struct assignment *a)
{
    size_t most = p->n_sows;

    *a = (struct assignment){ .p = p };
    for (size_t j = 0; j < p->n_sites; j++)
        most += p->room[j] < p->n_sows ? p->room[j] : p->n_sows;
    a->slot_site = ARENA_NEW(mem, size_t, most);
    a->wanted = ARENA_NEW(mem, unsigned, p->n_sites);
    a->cheapest = ARENA_NEW(mem, double, p->n_sows * p->n_sites);
    a->which = ARENA_NEW(mem, size_t, p->n_sows * p->n_sites);
    a->sow_price = ARENA_NEW(mem, double, p->n_sows);
    a->slot_price = ARENA_NEW(mem, double, most + 1);
    a->slot_sow = ARENA_NEW(mem, size_t, most + 1);
    a->site_price = ARENA_NEW(mem, double, p->n_sites);
    a->dist = ARENA_NEW(mem, double, most + 1);
    a->from = ARENA_NEW(mem, size_t, most + 1);
    a->done = ARENA_NEW(mem, bool, most + 1);
    a->cost = ARENA_NEW(mem, double, p->n_sows *most);
    return !arena_full(mem);
}

static void lay_out(struct assignment *a, size_t n, const size_t *col, const double *cost, const double *stay)
{
    const struct choose_problem *p = a->p;

    for (size_t i = 0; i < p->n_sows * p->n_sites; i++)
        a->cheapest[i] = HUGE_VAL;
    for (size_t j = 0; j < p->n_sites; j++)
        a->wanted[j] = 0;
    for (size_t i = 0; i < n; i++) {
        const struct choose_col *x = &p->cols[col[i]];
        const size_t at = x->sow * p->n_sites + x->site;
        if (cost[col[i]] < a->cheapest[at] && cost[col[i]] < stay[x->sow] - hair) {
            a->wanted[x->site] += a->cheapest[at] < HUGE_VAL ? 0 : 1;
            a->cheapest[at] = cost[col[i]];
            a->which[at] = col[i];
        }
    }
    a->n_sites_slots = 0; /* a site nobody wants has no slot, and none has more slots than sows that want it */
    for (size_t j = 0; j < p->n_sites; j++)
        for (unsigned r = 0; r < p->room[j] && r < a->wanted[j]; r++)
            a->slot_site[a->n_sites_slots++] = j;
    a->n_slots = a->n_sites_slots + p->n_sows;
    for (size_t s = 0; s < p->n_sows; s++) {
        double *row = a->cost + s * a->n_slots;
        for (size_t j = 0; j < a->n_sites_slots; j++)
            row[j] = a->cheapest[s * p->n_sites + a->slot_site[j]];
        for (size_t j = a->n_sites_slots; j < a->n_slots; j++)
            row[j] = HUGE_VAL;
        row[a->n_sites_slots + s] = stay[s];
        a->sow_price[s] = 0.0;
    }
    for (size_t j = 0; j <= a->n_slots; j++) {
        a->slot_price[j] = 0.0;
        a->slot_sow[j] = SIZE_MAX;
    }
}

/* One sow more: the shortest path from her to a free slot through slots that could be given up. Her own 'stays' can
 * be reached at a finite cost and is hers alone, so there is a path. */
static void seat(struct assignment *a, size_t sow)
{
    const size_t none = a->n_slots; /* a slot outside, holding the new sow */
    size_t at = none;

    a->slot_sow[none] = sow;
    for (size_t j = 0; j <= a->n_slots; j++) {
        a->dist[j] = HUGE_VAL;
        a->done[j] = false;
    }
    while (a->slot_sow[at] != SIZE_MAX) {
        const size_t s = a->slot_sow[at];
        const double *row = a->cost + s * a->n_slots;
        double least = HUGE_VAL;
        size_t next = none;
        a->done[at] = true;
        for (size_t j = 0; j < a->n_slots; j++) {
            if (a->done[j])
                continue;
            const double d = row[j] - a->sow_price[s] - a->slot_price[j];
            if (d < a->dist[j]) {
                a->dist[j] = d;
                a->from[j] = at;
            }
            if (a->dist[j] < least) {
                least = a->dist[j];
                next = j;
            }
        }
        assert(least < HUGE_VAL);
        for (size_t j = 0; j <= a->n_slots; j++) {
            if (a->done[j]) {
                a->sow_price[a->slot_sow[j]] += least;
                a->slot_price[j] -= j == none ? 0.0 : least;
            } else {
                a->dist[j] -= least;
            }
        }
        at = next;
    }
    while (at != none) {
        a->slot_sow[at] = a->slot_sow[a->from[at]];
        at = a->from[at];
    }
}

double assign_best(struct assignment *a, size_t n, const size_t *col, const double *cost, const double *stay,
                   size_t *pick)
{
    const struct choose_problem *p = a->p;
    double total = 0.0;

    lay_out(a, n, col, cost, stay);
    for (size_t s = 0; s < p->n_sows; s++)
        seat(a, s);
    for (size_t j = 0; j < p->n_sites; j++)
        a->site_price[j] = 0.0;
    for (size_t j = 0; j < a->n_slots; j++) {
        const size_t s = a->slot_sow[j];
        const bool site = j < a->n_sites_slots;
        if (site)
            a->site_price[a->slot_site[j]] = fmin(a->site_price[a->slot_site[j]], a->slot_price[j]);
        if (s == SIZE_MAX)
            continue;
        pick[s] = site ? a->which[s * p->n_sites + a->slot_site[j]] : SIZE_MAX;
        total += a->cost[s * a->n_slots + j];
    }
    return total;
}
