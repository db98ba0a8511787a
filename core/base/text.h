/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Text that grows, with a ceiling. Past the ceiling nothing is added and text_full() says so.
 */
#ifndef CORE_BASE_TEXT_H
#define CORE_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/attr.h"

struct text {
    char *bytes; /* always ends in 0 once something was added; NULL while empty */
    size_t length, room, ceiling;
    bool full;
};

void text_open(struct text *t, size_t ceiling_bytes);
void text_close(struct text *t);
bool text_full(const struct text *t);
void text_add(struct text *t, const char *s);
void text_add_bytes(struct text *t, const char *s, size_t n);
void text_print(struct text *t, const char *fmt, ...) PRINTF_LIKE(2, 3);
const char *text_get(const struct text *t); /* "" while empty */

#endif
