/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Mating: which boar to which sow. A transport problem in numbers: every sow once, boar i between least[i] and most[i]
 * sows, the sum of costs least; exact. Costs are kinships of the pair = F of the litter, or anything else that adds up.
 * Formulas, sources and limits: docs/reckoning/genes-and-pairings.md.
 */
#ifndef CORE_PEDIGREE_MATING_H
#define CORE_PEDIGREE_MATING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"

#define MATING_NONE UINT32_MAX

struct mating_ask {
    size_t n_sows, n_boars;
    const double *cost;    /* cost[sow * n_boars + boar], finite, 0 or more */
    const bool *forbidden; /* the same shape; NULL = none */
    const uint32_t *most;  /* n_boars */
    const uint32_t *least; /* n_boars; NULL = 0 each */
    const uint32_t *fixed; /* n_sows: a boar decided by hand, MATING_NONE = free; NULL = all free */
    double limit;          /* a pair above it is forbidden; INFINITY = none */
    bool worst_first;      /* first the least worst litter, then the mean below that */
};

enum mating_relax {
    MATING_FITS,
    MATING_MORE,    /* `boar` would need `needs` sows at most, in place of most[boar] */
    MATING_LIMIT,   /* the limit would have to be `limit` */
    MATING_FEWER,   /* least[boar] can't be met: `needs` is what can */
    MATING_NO_BOAR, /* no boar is allowed for `sow`: every pair forbidden (lifted for her in plan->boar) */
};

struct mating_plan {
    uint32_t *boar; /* n_sows: index of the boar */
    double mean, worst;
    double free_mean;        /* every sow to her best boar, whatever his number */
    double listed_mean;      /* sow after sow in list order, best boar with room left; NAN when that runs aground */
    double worst_possible;   /* the worst litter can't be below this */
    enum mating_relax relax; /* MATING_FITS, or the smallest change that makes it work */
    uint32_t relax_boar, relax_sow;
    double relax_needs,
        relax_limit;  /* relax_limit is set beside another `relax` too, when that would do instead; NAN */
    bool relax_alone; /* false: that change is needed but not enough by itself */
};

/* Ties: of plans of equal cost the one whose sows, in order, have the earlier boars; the same input gives the same plan.
 *
 * Returned  *plan; when nothing fits, plan->relax says what would, plan->boar is of the relaxed problem
 * Fails     ST_BAD_INPUT naming the field; ST_NO_MEMORY
 */
enum status mating_find(const struct mating_ask *ask, struct arena *mem, struct mating_plan *plan,
                        struct message *why) MUST_USE;

/* Shares c of n animals, each sex half (or the females fixed equal), that keep mean kinship c'A c / 2 least: Lagrange's
 * form, negative shares set to 0 and repeated (Meuwissen 1997, without breeding values). a[n * n] is a(i,j) among them. */
struct mating_shares_ask {
    size_t n;
    const double *a;
    const bool *male;
    bool females_equal;
};
enum status mating_shares(const struct mating_shares_ask *ask, struct arena *mem, double c[], double *mean_kinship,
                          struct message *why) MUST_USE;

/* Three or more boar lines in a ring: daughters of line i go to the boar of line i + 1. line[] of n_sows is the line of each
 * sow's sire, MATING_NONE = not known. boar[] of n_sows. */
enum status mating_circle(size_t n_sows, const uint32_t line[], uint32_t n_lines, uint32_t boar[],
                          struct message *why) MUST_USE;

#endif
