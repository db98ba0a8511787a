/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Within core/pedigree: the pairs that may be, and how sows are put to boars over them.
 */
#ifndef CORE_PEDIGREE_MATING_INSIDE_H
#define CORE_PEDIGREE_MATING_INSIDE_H

#include "core/pedigree/mating.h"

struct mating_net {
    size_t n_sows, n_boars;
    const double *cost;     /* of every pair */
    const bool *ok;         /* the same shape: the pair may be */
    const bool *open;       /* n_sows: still to be placed; the others are left out */
    uint32_t *least, *most; /* n_boars: of the open sows */
};

/* Sows to boars whatever the cost: as many as can be, of them as many toward `least` as can be.
 *
 * Returned  at[]      MATING_NONE: not placed (or not open)
 *           used[]    sows of each boar
 *           *toward   of the sum of least, how much was met; NULL when least is all 0 */
enum status mating_match(const struct mating_net *net, struct arena *mem, uint32_t at[], uint32_t used[],
                         size_t *toward, size_t *unplaced, struct message *why) MUST_USE;

/* The least sum of costs, ties by order; the net must have a plan (mating_match says so). */
enum status mating_flow(const struct mating_net *net, struct arena *mem, uint32_t at[], struct message *why) MUST_USE;

/* The net has no plan, for so many sows find no place. Of the boars who alone, with `more` places, would do: he whose plan
 * is cheapest, the earlier of equals. *who MATING_NONE: nobody. `least` can be met. */
enum status mating_flow_more(const struct mating_net *net, uint32_t more, uint32_t *who, struct message *why) MUST_USE;

#endif
