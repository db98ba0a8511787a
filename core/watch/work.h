/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Work: the night laid out once for plan, advice and looks. Private to core/watch.
 */
#ifndef CORE_WATCH_WORK_H
#define CORE_WATCH_WORK_H

#include "core/watch/choose.h"
#include "core/watch/watch.h"

struct work {
    const struct watch_night *in;
    const struct watch_weights *w;
    struct arena *mem;
    size_t n_near;
    size_t *sow;       /* n_sows: indices of all sows by key */
    size_t *near;      /* n_near: indices of the near ones by key */
    size_t *option;    /* n_options: indices by site key, least change, key */
    size_t *site_rank; /* n_sites: place by key */
    double *need;      /* n_options x n_members x n_hours, °C */
    double *need_mean; /* n_options x n_hours */
    double *hands;     /* n_hours + 1, or NULL */
    unsigned *room;    /* n_sites */
    struct choose_limits limits;
    struct choose_problem problem;
    struct choose_col *cols;
    size_t *col_option; /* option behind each column */
    double *pains;      /* work, straw and ties of each column, °C */
    double *due_own_h;  /* n_cols: half of the gain is past by then; never sooner than the work takes */
};

/* Check every figure, then lay out. */
enum status work_check(const struct watch_night *night, const struct watch_weights *w, struct message *why) MUST_USE;
enum status work_lay_out(const struct watch_night *night, const struct watch_weights *w, struct arena *mem,
                         struct work *k, struct message *why) MUST_USE;

/* Chance that she uses this option when it is put out for her; 1 where she lies or nests. */
double work_p_use(const struct work *k, size_t sow, size_t option);

/* Hours in which an option is not ready yet: she has what she has where she lies. own_h as below. */
size_t work_ready_h(const struct work *k, const struct watch_option *o, const struct watch_moments *m, double own_h);

/* Expected need of a sow with these birth chances (n_hours), by one layer of needs (n_hours an option). */
double work_expected(const struct work *k, const double *birth, const double *need_lies, const double *need_option,
                     double p_use, size_t ready_h);

/* Cost, stay and due of every column in member m (m == n_members: mean needs, moments of member 0). Arrays are the
 * caller's, n_cols and n_near long. */
void work_case(const struct work *k, size_t member, double *cost, double *stay, double *due_h);

/* The physical deadline of an option (NAN = none), and whether it can be met at all.
 * own_h: by when her own hours want it done; NAN = no gain. Rain and dusk that pass in time for it set no deadline. */
double work_physical_due(const struct watch_option *o, const struct watch_moments *m, double own_h,
                         enum watch_why *reason);
bool work_possible(const struct work *k, size_t sow, const struct watch_option *o, const struct watch_moments *m,
                   double own_h);

/* The hour by which half of what the option gains a sow with these birth chances is past; not before it can be done. */
double work_own_due(const struct work *k, const double *birth, size_t sow, size_t option);

static inline const struct watch_cell *work_cells(const struct work *k, size_t option, size_t member)
{
    return k->in->options[option].cells + member * k->in->n_hours;
}

#endif
