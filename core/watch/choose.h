/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Choose: each sow gets one column (an option of a site) or stays, each site serves no more than its room, and what
 * is scarce (flaps, bales, panels, straw, hands before each deadline) is not overspent, at the least cost. Exact.
 * Private to core/watch.
 *
 * Without the scarce things this is an assignment problem (assign.h). If its answer overspends nothing it is the best.
 * Otherwise scarce.h goes on from it.
 */
#ifndef CORE_WATCH_CHOOSE_H
#define CORE_WATCH_CHOOSE_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/status.h"

enum choose_thing { CHOOSE_FLAPS, CHOOSE_BALES, CHOOSE_PANELS, CHOOSE_STRAW, CHOOSE_THINGS };

struct choose_col {
    size_t sow, site, takes; /* sow by place in this problem; takes: another site, or SIZE_MAX */
    double uses[CHOOSE_THINGS];
    double work; /* hand-minutes */
    double earliest_h;
};

struct choose_limits {
    double most[CHOOSE_THINGS]; /* HUGE_VAL = no limit */
    size_t n_hours;
    const double *hands; /* n_hours + 1: hand-minutes from now to the start of each hour; NULL = no limit */
};

struct choose_problem { /* what is the same in every forecast */
    size_t n_sows, n_sites, n_cols;
    const struct choose_col *cols; /* by sow, then in the order in which ties are settled */
    const unsigned *room;          /* n_sites */
    unsigned solver_ms;            /* 0 = the solver is not asked */
};

struct choose_case {     /* what is not */
    const double *cost;  /* n_cols; HUGE_VAL = cannot be had */
    const double *stay;  /* n_sows: cost of nothing put out for her */
    const double *due_h; /* n_cols: the work is done by then */
    const struct choose_limits *limits;
};

struct choose_pick {
    size_t *col; /* n_sows, the caller's: column or SIZE_MAX = stays */
    double cost;
    bool proved;
    bool slack; /* nothing scarce stood in the way */
};

/* known     a pick to begin from, or NULL; one that does not fit this case is passed over */
enum status choose_best(const struct choose_problem *p, const struct choose_case *c, const size_t *known,
                        struct choose_pick *pick, struct message *why) MUST_USE;

/* The bound alone: cost of the best pick with nothing scarce; fits = it overspends nothing and so is the best. */
enum status choose_bound(const struct choose_problem *p, const struct choose_case *c, struct choose_pick *pick,
                         bool *fits, struct message *why) MUST_USE;

/* True when these columns (SIZE_MAX = none) can all be had: rooms, scarce things, hands. */
bool choose_fits(const struct choose_problem *p, const struct choose_case *c, size_t n, const size_t *col);

#endif
