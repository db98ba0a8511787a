/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Within core/pedigree: the two sweeps that most measures of a group are made of.
 */
#ifndef CORE_PEDIGREE_GENES_INSIDE_H
#define CORE_PEDIGREE_GENES_INSIDE_H

#include "core/pedigree/genes.h"

/* Weights of the group by animal into c[0 .. n]; an animal named twice counts twice.
 *
 * Fails     ST_BAD_INPUT  no animal, a number that is none, a weight below 0, weights that don't sum to 1 (1e-9) */
enum status genes_weights(const struct pedigree *p, const struct genes_group *group, double c[],
                          struct message *why) MUST_USE;

/* q = T'c in place: what each animal hands down to the group. */
void genes_handed_down(const struct pedigree *p, double q[]);

#endif
