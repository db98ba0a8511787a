/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Past hours through huts, for `where`: all bearings of one, some bearings of others, each reckoned once. What was
 * reckoned is known by all it hangs on, hours and hut and all, so that a server answers at once when asked again.
 */
#ifndef DESK_WHERE_ROWS_H
#define DESK_WHERE_ROWS_H

#include "core/nest/facing.h"
#include "desk/night_inside.h"

enum { WHERE_SCRATCH = 256 << 20 }; /* most memory for one scan of past hours */
enum { WHERE_KEPT = 12 };

enum where_without { WHERE_WIND, WHERE_RAIN, WHERE_SUN, WHERE_WHOLE /* nothing is taken away */ };

struct where_key {
    double real[NIGHT_KEY + 4]; /* the shelter; latitude, longitude, comfort, spread */
    uint64_t hours[2];          /* digest of all hours in their order */
    size_t n;
    unsigned months;
    int standard_offset_s;
    bool night_only;
    enum where_without without;
};

struct where_kept { /* one hut in one weather */
    struct where_key key;
    uint64_t used; /* 0 = empty */
    bool whole;    /* all of `f`; else the rows that are there */
    bool there[FACING_BEARINGS];
    struct facing f;
};
struct where_rows { /* zeroed = empty */
    struct where_kept kept[WHERE_KEPT];
    uint64_t clock;
};

struct where_job { /* zeroed, then what is wanted */
    struct shelter is;
    enum where_without without;
    bool wanted[FACING_BEARINGS];
    struct facing_row rows[FACING_BEARINGS]; /* those wanted are filled in */
    bool reckon[FACING_BEARINGS];            /* not known yet */
};

/* Digest of the hours of an ask: reckoned once for all that is asked of them. */
void where_digest(const struct facing_ask *ask, uint64_t digest[static 2]);

/* facing_find() of the ask as it stands. */
enum status where_whole(struct where_rows *known, const struct facing_ask *ask, const uint64_t digest[static 2],
                        struct facing *f, struct message *why) MUST_USE;

/* The rows wanted of every job: the ask with the job's shelter and without what the job takes away. Two threads. */
enum status where_some(struct where_rows *known, const struct facing_ask *ask, const uint64_t digest[static 2],
                       size_t n, struct where_job job[], struct message *why) MUST_USE;

#endif
