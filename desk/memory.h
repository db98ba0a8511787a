/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Memory: what a server keeps between questions so that a what-if answers at once: the herd, the hours to come, when
 * each sow may farrow, and what births in shelters tried lately would meet. Owned by whoever opens it; the command line
 * has none. Answers are the same with it and without it, but for the moment: one within five minutes of the last and
 * not typed is taken as the last, and the answer says which it is.
 *
 * Threads   belongs to one thread at a time, as the farm handle it is used with.
 */
#ifndef DESK_MEMORY_H
#define DESK_MEMORY_H

#include "desk/night.h"
#include "desk/question.h"

struct desk_memory;

struct where_rows;
struct night_kept;

struct desk_memory *desk_memory_open(void); /* NULL: no memory */
void desk_memory_close(struct desk_memory *m);

/* Herd, hours and sows for a question, from its memory where they still hold (same change number, moment and span),
 * else made anew (and kept, where there is a memory). The night has neither sites nor options yet; what is added to a
 * copy of it goes into the question's own arena. */
enum status desk_memory_night(const struct asked *q, size_t n_hours, bool seen_now, struct night *night,
                              struct message *why) MUST_USE;

/* Cells of these shelters, all versions of the forecast, as options 0 .. n - 1 of the night (from desk_memory_night):
 * those in memory are not reckoned again. */
enum status desk_memory_shelters(const struct asked *q, struct night *night, size_t n, const struct shelter is[],
                                 struct message *why) MUST_USE;

/* What season keeps (desk/season_kept.h); NULL: no memory. It looks itself whether it still holds. */
struct season_kept *desk_memory_season(struct desk_memory *m);

/* Past hours through huts, as `where` reckoned them (desk/where_rows.h); NULL: none. They are the memory's own, or the
 * caller's who shares them between threads and closes them after their memories. */
struct where_rows *desk_memory_rows(struct desk_memory *m);
/* Cells of nights that were laid out (desk/night_kept.h); NULL: none. Likewise. */
struct night_kept *desk_memory_cells(struct desk_memory *m);
/* Before the first question; NULL is fine. */
void desk_memory_share(struct desk_memory *m, struct where_rows *rows, struct night_kept *cells);

#endif
