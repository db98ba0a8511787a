/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * When she may farrow, as the questions about one night and about one sow give it. */
#ifndef DESK_WINDOW_H
#define DESK_WINDOW_H

#include "core/breeding/breeding.h"
#include "desk/answer.h"

/* window: from, likeliest, to: nine in ten lie between; null where nothing recorded gives a day. */
void window_answer(const struct breeding_posterior *post, struct answer *parent);

#endif
