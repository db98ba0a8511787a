/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sows and boars, each with each: shared by kinship and pairings.
 */
#ifndef DESK_KIN_TABLE_H
#define DESK_KIN_TABLE_H

#include "desk/kin.h"

struct kin_named { /* for putting in order of name */
    const char *name, *uid;
    size_t animal;
};

struct kin_table {
    size_t n_sows, n_boars, n_all;
    size_t *sows, *boars; /* animals, in the order of rows and columns */
    const size_t *all;    /* both */
    double *f;            /* f[sow * n_boars + boar]: kinship; NAN: no figure */
    double *best;         /* by sow: the least; NAN */
};

/* Fills f and best from sows and boars. ST_NO_MEMORY. */
enum status kin_table_reckon(const struct kin *kin, struct kin_table *t, struct arena *mem,
                             struct message *why) MUST_USE;
double kin_table_mean(const struct kin_table *t); /* of the pairs that have a figure; NAN */

/* Breeding animals of the herd of one sex, by name, added to list[]. */
enum status kin_here(const struct kin *kin, bool male, struct arena *mem, size_t list[], size_t *n,
                     struct message *why) MUST_USE;

#endif
