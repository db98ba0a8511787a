/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What can be asked of a farm. One row a question; its file beside this one has the rest. */
#include "desk/question.h"

const struct question *const questions[] = {
    NULL,
};
