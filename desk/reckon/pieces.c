/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pieces of the reckoning that can be asked for by themselves: `leenest reckon NAME`. */
#include "desk/question.h"

const struct question *const pieces[] = {
    NULL,
};
