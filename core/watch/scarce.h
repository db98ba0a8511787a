/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Scarce: the best picks where flaps, bales, straw or hands do not reach. Private to core/watch.
 *
 * Method   What is scarce is given a price, and each sow then picks as if nothing were scarce: that is a bound on every
 *          plan (Lagrangean relaxation: Geoffrion 1974; prices bettered step by step as in Held, Wolfe and Crowder
 * 1974, Mathematical Programming 6:62; both from memory). Plans met on the way, put right where they overspend, are
 * held. Columns that the bound shows to be in no better plan are struck out. What is left is gone through, nearest to
 *          the bound first; where that is too much the solver for integer programs goes on for solver_ms.
 */
#ifndef CORE_WATCH_SCARCE_H
#define CORE_WATCH_SCARCE_H

#include "core/watch/assign.h"

/* known: a pick to begin from, or NULL; one that does not fit is passed over. a: opened for this problem. */
enum status scarce_best(const struct choose_problem *p, const struct choose_case *c, struct assignment *a,
                        const size_t *known, struct arena *mem, struct choose_pick *pick, struct message *why) MUST_USE;

/* From choose.c */
double choose_hands_by(const struct choose_limits *l, double at_h);

#endif
