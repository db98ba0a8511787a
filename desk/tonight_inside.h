/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the files of tonight (tonight.c, tonight_rounds.c, tonight_strip.c, tonight_litters.c, tonight_shape.c) and
 * by round.c, whose night jobs must be the same.
 */
#ifndef DESK_TONIGHT_INSIDE_H
#define DESK_TONIGHT_INSIDE_H

#include "desk/night.h"
#include "desk/question.h"

enum { TONIGHT_AT, TONIGHT_HORIZON, TONIGHT_SEEN_NOW, TONIGHT_VISITS, TONIGHT_HOURS_TOO };

enum status tonight_put(const struct asked *q, struct answer *a, struct message *why);

int64_t tonight_moment(const struct night *n, double h); /* hours from the first; never before the moment asked about */

/* One sow's hours as columns: everything her strip is drawn from. */
void tonight_columns(const struct night *n, const struct watch_advice *v, const struct night_sow *s,
                     struct answer *row);
/* The plan's actions, soonest first: indices into plan->actions. */
void tonight_by_deadline(const struct night *n, const struct watch_plan *plan, size_t order[]);
/* How an option stands: kind, door, straw, flap, windbreak, where. */
void tonight_place(const struct night *n, size_t option, const char *key, struct answer *row);
/* What a job starts from and ends with: `lay`. */
void tonight_lay(const struct night *n, size_t option, struct answer *row);

enum status tonight_rounds(const struct asked *q, const struct night *n, const struct watch_plan *plan,
                           struct answer *a, struct message *why) MUST_USE;
enum status tonight_looks(const struct night *n, const struct watch_plan *plan, struct answer *a,
                          struct message *why) MUST_USE;

/* Sows that are farrowing now, and litters in their first three days. */
enum status tonight_farrowing(const struct night *n, struct answer *a, struct message *why) MUST_USE;
enum status tonight_litters(const struct night *n, struct answer *a, struct message *why) MUST_USE;

#endif
