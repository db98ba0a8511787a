/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Chances as people say them: whole parts in 100, and never 0 or 100 of a living animal. */
#ifndef DESK_IN_100_H
#define DESK_IN_100_H

#include "core/base/arena.h"

int in_100(double p);                                     /* 0 .. 100, rounded; 0 for NAN */
const char *in_100_figure(double p, char out[static 16]); /* "34", "under 1", "over 99" */
const char *in_100_words(double p, struct arena *mem);    /* "34 in 100", "under 1 in 100", "over 99 in 100" */

#endif
