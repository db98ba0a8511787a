/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Arena: memory that lives as long as one question, freed in one call.
 *
 * Owner    whoever called arena_open(). Nothing handed out by an arena is ever freed by itself.
 * Ceiling  set at opening. Past it arena_get() gives NULL and the arena stays full: callers may make
 *          several calls and look at arena_full() once.
 * Threads  an arena belongs to one thread at a time.
 */
#ifndef CORE_BASE_ARENA_H
#define CORE_BASE_ARENA_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/attr.h"
#include "core/base/status.h"

struct arena {
    struct arena_block *top; /* newest block; NULL while empty */
    size_t used, ceiling;    /* bytes */
    bool full;               /* a request has been refused */
};

void arena_open(struct arena *a, size_t ceiling_bytes);
void arena_close(struct arena *a); /* frees all; the arena may be opened again */
bool arena_full(const struct arena *a);

/* Something is left out because it could not be read: where that was for want of memory the arena is full, so that the
 * rest does not pass for the whole. */
void arena_heed(struct arena *a, enum status st);

/* count x size bytes, zeroed, aligned for any type. NULL: ceiling met, or the product overflows. */
void *arena_get(struct arena *a, size_t count, size_t size) MUST_USE;
char *arena_text(struct arena *a, const char *s) MUST_USE;            /* a copy of s; NULL for NULL or when full */
char *arena_bytes(struct arena *a, const char *s, size_t n) MUST_USE; /* n bytes and a 0 after them */
char *arena_print(struct arena *a, const char *fmt, ...) MUST_USE PRINTF_LIKE(2, 3);

#define ARENA_NEW(a, type, count) ((type *)arena_get((a), (count), sizeof(type)))

#endif
