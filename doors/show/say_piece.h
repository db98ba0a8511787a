/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the texts of the pieces (`leenest reckon ...`): sentences first, then the figures, then what was taken for
 * granted. Pieces speak SI, as typed without a unit.
 */
#ifndef DOORS_SHOW_SAY_PIECE_H
#define DOORS_SHOW_SAY_PIECE_H

#include <stdint.h>

#include "core/base/attr.h"
#include "desk/in_100.h"
#include "doors/show/own.h"

/* A folded sentence, printf-like. */
void say(struct text *out, const struct show_how *how, const char *fmt, ...) PRINTF_LIKE(3, 4);

/* "  wet bulb             17.7 °C"; "-" and the reason when the figure is null. */
void say_figure(struct text *out, const struct show_how *how, const struct answer *a, const char *key,
                const char *words, int digits, const char *unit);

/* Cautions, then what was taken for granted. */
void say_tail(struct text *out, const struct show_how *how, const struct answer *a);

/* A list of texts under a heading; nothing when it is empty. `most` of them. */
void say_list(struct text *out, const struct show_how *how, const struct answer *list, const char *heading,
              size_t most);

int64_t say_moment_at(const struct answer *a, const char *path); /* INT64_MIN when absent or null */
/* "30 December 2024"; NULL when it is no day. */
const char *say_day_year(const struct answer *a, const char *key, char out[static 32]);
bool say_flag_at(const struct answer *a, const char *path);

#endif
