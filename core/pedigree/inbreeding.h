/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Within core/pedigree: the two methods that fill F. Work space is the caller's.
 */
#ifndef CORE_PEDIGREE_INBREEDING_H
#define CORE_PEDIGREE_INBREEDING_H

#include "core/pedigree/pedigree.h"

/* The animals that have offspring, renumbered 1 .. n by longest ancestral path, then in the same order; array 0 is a
 * dummy. */
struct parents {
    uint32_t n, n_sires, n_dams;
    uint32_t *number;     /* by animal of the whole pedigree; 0 = has no offspring */
    uint32_t *sire, *dam; /* in new numbers */
    uint32_t *level;      /* longest ancestral path */
    uint8_t *use;         /* 1 = a sire, 2 = a dam, 3 = both */
    uint32_t *of;         /* the animal behind a new number */
};

/* False: memory. */
bool parents_find(const struct pedigree *p, struct arena *work, struct parents *out);
bool inbreeding_by_sire(const struct pedigree *p, const struct parents *up, const struct pedigree_hands *hands,
                        struct arena *work, double f[]);
bool inbreeding_by_buckets(const struct pedigree *p, const struct parents *up, struct arena *work, double f[]);

#endif
