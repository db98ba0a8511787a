/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Several names or doings in one sentence: "Bramble, Sedge and Teasel". */
#ifndef DESK_JOINED_H
#define DESK_JOINED_H

#include "core/base/arena.h"

/* In mem; "" for none, NULL when mem is full. */
const char *joined_with_and(size_t n, const char *const words[], struct arena *mem);

#endif
