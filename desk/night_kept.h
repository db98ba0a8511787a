/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a server keeps of the nights it has reckoned: cells of shelters, known by all they hang on (every hour of every
 * version of the forecast, the sun, who lies there, the shelter itself). So a question in the same hour, or after a
 * change at one shelter, reckons that one alone. Answers are the same with it and without it.
 *
 * Threads   several may ask it at once.
 */
#ifndef DESK_NIGHT_KEPT_H
#define DESK_NIGHT_KEPT_H

#include <stdbool.h>
#include <stdint.h>

#include "desk/night_inside.h"

struct night_kept *night_kept_open(void); /* NULL: out of memory */
void night_kept_close(struct night_kept *k);

/* Digest of what the cells of every shelter hang on in this night. Nothing below is called before it. */
void night_kept_world(struct night *n);

/* k is n->kept, and may be NULL in all of them: nothing is kept then.
 * The forecast at every third birth hour: cells of member 0, as sketched. `assumed`: bits of enum nest_assumption. */
bool night_kept_sketch(const struct night *n, struct night_option *o, unsigned *assumed);
void night_kept_sketch_is(const struct night *n, const struct night_option *o, unsigned assumed);

/* All versions, and the hours of the forecast itself. */
bool night_kept_whole(const struct night *n, struct night_option *o, unsigned *assumed);
void night_kept_whole_is(const struct night *n, const struct night_option *o, unsigned assumed);

#endif
