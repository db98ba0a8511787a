/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Past hours through huts, for `where`: all bearings of one, some bearings of others, each reckoned once. What was
 * reckoned is known by all it hangs on, hours and hut and all, so that a server answers at once when asked again.
 */
#ifndef DESK_WHERE_ROWS_H
#define DESK_WHERE_ROWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/nest/facing.h"

enum { WHERE_SCRATCH = 256 << 20 }; /* most memory for one scan of past hours */

enum where_without { WHERE_WIND, WHERE_RAIN, WHERE_SUN, WHERE_WHOLE /* nothing is taken away */ };

struct where_rows; /* several threads may ask it at once: who asks what another is reckoning waits for it */

struct where_rows *where_rows_open(void); /* NULL: no memory */
void where_rows_close(struct where_rows *known);

struct where_job { /* zeroed, then what is wanted */
    struct shelter is;
    enum where_without without;
    bool wanted[FACING_BEARINGS];
    struct facing_row rows[FACING_BEARINGS]; /* those wanted are filled in */
    bool reckon[FACING_BEARINGS];            /* not known yet */
};

/* A digest goes on with one word, or number, more. */
void where_mix(uint64_t digest[static 2], uint64_t word);
void where_mix_real(uint64_t digest[static 2], double x);
/* Digest of the hours of an ask: reckoned once for all that is asked of them. */
void where_digest(const struct facing_ask *ask, uint64_t digest[static 2]);

/* facing_find() of the ask as it stands. */
enum status where_whole(struct where_rows *known, const struct facing_ask *ask, const uint64_t digest[static 2],
                        struct facing *f, struct message *why) MUST_USE;

/* The rows wanted of every job: the ask with the job's shelter and without what the job takes away. Two threads. */
enum status where_some(struct where_rows *known, const struct facing_ask *ask, const uint64_t digest[static 2],
                       size_t n, struct where_job job[], struct message *why) MUST_USE;

#endif
