/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/arena.h"

#include <stdalign.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct arena_block {
    struct arena_block *below;
    size_t size, used; /* bytes after this header */
    alignas(max_align_t) unsigned char bytes[];
};

/* Many a call needs hardly any. What grows large grows in blocks that malloc takes from the system by themselves, and
 * gives back when they are freed. */
enum { FIRST_BYTES = 4 * 1024, BLOCK_BYTES = 64 * 1024, LARGE_BYTES = 256 * 1024 };

static size_t usual_room(const struct arena *a)
{
    return !a->top ? FIRST_BYTES : a->used < LARGE_BYTES ? BLOCK_BYTES : LARGE_BYTES;
}

void arena_open(struct arena *a, size_t ceiling_bytes)
{
    *a = (struct arena){ .ceiling = ceiling_bytes };
}

void arena_close(struct arena *a)
{
    while (a->top) {
        struct arena_block *below = a->top->below;
        free(a->top);
        a->top = below;
    }
    a->used = 0;
    a->full = false;
}

bool arena_full(const struct arena *a)
{
    return a->full;
}

void arena_heed(struct arena *a, enum status st)
{
    a->full = a->full || st == ST_NO_MEMORY;
}

static void *full(struct arena *a)
{
    a->full = true;
    return NULL;
}

void *arena_get(struct arena *a, size_t count, size_t size)
{
    const size_t align = alignof(max_align_t);

    if (a->full || (size && count > (SIZE_MAX - align) / size))
        return full(a);
    size_t bytes = (count * size + align - 1) / align * align;
    if (bytes == 0)
        bytes = align;
    if (bytes > a->ceiling || a->used > a->ceiling - bytes)
        return full(a);
    if (!a->top || a->top->size - a->top->used < bytes) {
        const size_t usual = usual_room(a), room = bytes > usual ? bytes : usual;
        struct arena_block *block = calloc(1, sizeof *block + room);
        if (!block)
            return full(a);
        block->below = a->top;
        block->size = room;
        a->top = block;
    }
    void *given = a->top->bytes + a->top->used;
    a->top->used += bytes;
    a->used += bytes;
    return given;
}

char *arena_bytes(struct arena *a, const char *s, size_t n)
{
    char *copy = n < SIZE_MAX ? arena_get(a, n + 1, 1) : full(a);
    if (copy && n)
        memcpy(copy, s, n);
    return copy;
}

char *arena_text(struct arena *a, const char *s)
{
    return s ? arena_bytes(a, s, strlen(s)) : NULL;
}

char *arena_print(struct arena *a, const char *fmt, ...)
{
    va_list args, again;

    va_start(args, fmt);
    va_copy(again, args);
    const int n = vsnprintf(NULL, 0, fmt, args);
    va_end(args);
    char *text = n < 0 ? full(a) : arena_get(a, (size_t)n + 1, 1);
    if (text)
        (void)vsnprintf(text, (size_t)n + 1, fmt, again);
    va_end(again);
    return text;
}
