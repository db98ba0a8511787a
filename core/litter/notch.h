/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Notch: the universal key of ear notches for pigs, "litter-pig" <-> notches.
 *
 * The pig's own right ear is the litter, her own left ear the pig in the litter. Facing her, her right ear is on the
 * reader's left. Places and values, the same on both ears: lower (outer) edge near the head 1, lower edge near the tip
 * 3, upper (inner) edge near the tip 9, upper edge near the head 27, the tip itself 81. At most two notches at 1, 3, 9
 * and 27, at most one at 81; an ear is the sum of its notches. So a number is written in base 3 with one 81 more, and every
 * number from 1 to 161 has one set of notches and no other.
 *
 * Source     Penn State Extension, "Universal ear notching"; the same key in the teaching sheets of breed registries.
 * Local extra  some herds count on: a notch at the left 27 adds 200 to the litter, one at the left 81 adds 81. Then the
 *            left ear counts pigs up to 26 only. Which litters from 201 to 242 take 200 and which 81 is settled
 *            nowhere; here the set with fewest notches is taken, then the one with 81. Off unless asked for.
 *            (from memory)
 * Limits     breed societies have keys of their own. A worn or torn ear is read wrongly: nothing here can tell.
 */
#ifndef CORE_LITTER_NOTCH_H
#define CORE_LITTER_NOTCH_H

#include <stdbool.h>

#include "core/base/status.h"

enum notch_place { NOTCH_1, NOTCH_3, NOTCH_9, NOTCH_27, NOTCH_81, NOTCH_PLACES };
enum {
    NOTCH_MOST = 161,        /* 2 (1 + 3 + 9 + 27) + 81 */
    NOTCH_PIG_USUAL = 26,    /* of the left ear without 27: more than any litter needs */
    NOTCH_LITTER_EXTRA = 442 /* with the local extra: 161 + 81 + 200 */
};

extern const int notch_value[NOTCH_PLACES];         /* 1, 3, 9, 27, 81 */
extern const char *const notch_where[NOTCH_PLACES]; /* "lower edge near the head" */

struct notch_ears {
    int right[NOTCH_PLACES], left[NOTCH_PLACES]; /* how many notches at each place: 0 .. 2, at 81 0 .. 1 */
};

struct notch_number {
    int litter, pig; /* 1 .. 161 each; with the extra litter 1 .. 442, pig 1 .. 26 */
};

/* Number -> notches.
 *
 * Errors    ST_BAD_INPUT, field "number": a number out of range */
enum status notch_cut(struct notch_number n, bool local_extra, struct notch_ears *ears, struct message *why) MUST_USE;

/* Notches -> number.
 *
 * Errors    ST_BAD_INPUT, field "right" or "left": too many notches at a place, or none on an ear */
enum status notch_count(const struct notch_ears *ears, bool local_extra, struct notch_number *n,
                        struct message *why) MUST_USE;

/* "14-6" -> 14 and 6. Spaces round the figures are allowed, signs and anything else are not.
 *
 * Errors    ST_BAD_INPUT, field "number": no such text. The range is notch_cut()'s to say. */
enum status notch_read(const char *text, struct notch_number *n, struct message *why) MUST_USE;

#endif
