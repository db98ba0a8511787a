/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Linear and integer programs: minimise cost . x with rows and columns between bounds, some columns whole.
 *
 * The only door to the solver. A model is made, solved and forgotten within one call; nothing is kept, nothing is
 * printed, and a fault inside the solver comes back as a status.
 * Threads  calls on different threads do not meet.
 */
#ifndef CORE_BASE_LP_H
#define CORE_BASE_LP_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/arena.h"
#include "core/base/status.h"

struct lp_bounds { /* low <= value <= high; -INFINITY and INFINITY = free on that side */
    double low, high;
};

struct lp_entry { /* one coefficient; each row and column pair at most once */
    size_t row, col;
    double value;
};

struct lp_model {
    size_t n_rows, n_cols, n_entries;
    const struct lp_bounds *rows, *cols;
    const double *cost; /* n_cols, minimised */
    const bool *whole;  /* n_cols, true = whole number; NULL = none */
    const struct lp_entry *entries;
    unsigned time_ms;    /* for the whole call; 0 = 1000 */
    double gap;          /* whole numbers: stop within this share of the best possible; 0 = prove */
    const double *known; /* whole numbers: an x that obeys all bounds, where the search starts; NULL = none */
};

enum lp_found {
    LP_BEST,        /* x is optimal (within gap) */
    LP_FEASIBLE,    /* time ran out; x obeys all bounds and is the best found */
    LP_INFEASIBLE,  /* no x obeys all bounds; clash_rows, clash_cols say which cannot stand together */
    LP_UNBOUNDED,   /* cost falls for ever */
    LP_OUT_OF_TIME, /* time ran out with nothing to show */
};

struct lp_answer { /* arrays in the arena; x and the values are NULL unless LP_BEST or LP_FEASIBLE */
    enum lp_found found;
    double cost;
    const double *x;         /* n_cols */
    const double *row_value; /* n_rows */
    const double *row_price; /* n_rows: change of cost for one more unit of the bound that binds; NULL with whole */
    const double
        *col_price; /* n_cols: reduced cost. A column at 0 comes in when its cost falls by this; NULL with whole */
    const bool *clash_rows; /* LP_INFEASIBLE: an irreducible set: take any one away and the rest can be met */
    const bool *clash_cols; /* the bounds of these columns belong to it (none named where parts of columns would do) */
    bool clash_least;       /* false: time ran out, the set holds the clash and perhaps more */
};

/* Fails     ST_BAD_INPUT  a size over 20 000, an index out of range, a pair twice, a figure that is not finite, low >
 * high ST_NO_MEMORY  arena full ST_IO         the solver itself failed; *why holds its words
 */
enum status lp_solve(const struct lp_model *model, struct arena *mem, struct lp_answer *answer,
                     struct message *why) MUST_USE;

/* Run work(what) with the solver's faults caught and its words kept: for lp.c and its test. */
enum status lp_guarded(void (*work)(void *what), void *what, struct message *why) MUST_USE;

#endif
