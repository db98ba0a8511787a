/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Text that grows, with a ceiling. Past the ceiling, or where memory runs out, nothing is added and text_full() says so.
 */
#ifndef CORE_BASE_TEXT_H
#define CORE_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/arena.h"
#include "core/base/attr.h"

struct text {
    char *bytes; /* always ends in 0 once something was added; NULL while empty */
    size_t length, room, ceiling;
    bool full;
    struct text *whole; /* that this is a part of; NULL */
};

void text_open(struct text *t, size_t ceiling_bytes);
/* A part that is put together by itself and then added to `whole`, under the same ceiling: one that came out short makes
 * the whole full when it is closed. */
void text_open_part(struct text *t, struct text *whole);
void text_close(struct text *t);
bool text_full(const struct text *t);
void text_add(struct text *t, const char *s);
void text_add_bytes(struct text *t, const char *s, size_t n);
void text_print(struct text *t, const char *fmt, ...) PRINTF_LIKE(2, 3);
const char *text_get(const struct text *t); /* "" while empty */
/* Closes the text; a copy of it in the arena. NULL, and the arena is full: it came out short, or does not fit. */
char *text_keep(struct text *t, struct arena *mem) MUST_USE;

#endif
