/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the texts of herd, kinship, pairings, founders and season.
 */
#ifndef DOORS_SHOW_SAY_KIN_H
#define DOORS_SHOW_SAY_KIN_H

#include "doors/show/say_section.h"

const char *say_percent(double fraction, char out[static 32]); /* "6.3 %", "?" */
/* What it rests on, findings, what to record, what was assumed, cautions. */
void say_kin_tail(const struct answer *a, const struct show_how *how, struct text *out);

/* The list `pairs` as a table, one line a sow; where `chosen` marks a pair, with the mark. Boars that find no room on
 * the line stand in a table of their own below. */
void say_kin_table(const struct answer *a, const struct show_how *how, struct text *out);

#endif
