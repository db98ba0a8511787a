/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Advice: what has been chosen, told sow by sow and piece of work by piece of work. Private to core/watch.
 */
#ifndef CORE_WATCH_ADVICE_H
#define CORE_WATCH_ADVICE_H

#include "core/watch/work.h"

struct spare {
    size_t option; /* WATCH_NONE = none */
    size_t sow;    /* for whom most */
};

struct chosen {        /* options, not columns; WATCH_NONE = nothing */
    size_t *now;       /* n_sows: by what stands already */
    size_t *after;     /* n_sows */
    size_t *by_member; /* n_members x n_sows */
    struct spare spare;
    struct spare *spare_by_member;
};

enum status advise(const struct work *k, const struct chosen *chosen, struct watch_plan *plan,
                   struct message *why) MUST_USE;

/* Hours too hot, sow by sow. */
enum status advise_heat(const struct work *k, const struct chosen *chosen, struct watch_plan *plan,
                        struct message *why) MUST_USE;

#endif
