/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void text_open(struct text *t, size_t ceiling_bytes)
{
    *t = (struct text){ .ceiling = ceiling_bytes };
}

void text_open_part(struct text *t, struct text *whole)
{
    *t = (struct text){ .ceiling = whole->ceiling, .whole = whole };
}

void text_close(struct text *t)
{
    if (t->full && t->whole)
        t->whole->full = true;
    free(t->bytes);
    *t = (struct text){ .ceiling = t->ceiling, .whole = t->whole };
}

bool text_full(const struct text *t)
{
    return t->full;
}

const char *text_get(const struct text *t)
{
    return t->bytes ? t->bytes : "";
}

static bool make_room(struct text *t, size_t more)
{
    if (t->full || more > t->ceiling || t->length > t->ceiling - more)
        return !(t->full = true);
    const size_t need = t->length + more + 1;
    if (need <= t->room)
        return true;
    size_t room = t->room ? t->room * 2 : 256;
    while (room < need)
        room *= 2;
    char *bytes = realloc(t->bytes, room);
    if (!bytes)
        return !(t->full = true);
    t->bytes = bytes;
    t->room = room;
    return true;
}

void text_add_bytes(struct text *t, const char *s, size_t n)
{
    if (!make_room(t, n))
        return;
    if (n)
        memcpy(t->bytes + t->length, s, n);
    t->length += n;
    t->bytes[t->length] = '\0';
}

void text_add(struct text *t, const char *s)
{
    text_add_bytes(t, s, strlen(s));
}

void text_print(struct text *t, const char *fmt, ...)
{
    va_list args, again;

    va_start(args, fmt);
    va_copy(again, args);
    const size_t left = t->bytes ? t->room - t->length : 0;
    const int n = vsnprintf(left ? t->bytes + t->length : NULL, left, fmt, args); /* mostly there is room already */
    va_end(args);
    const bool fits = n >= 0 && make_room(t, (size_t)n);
    if (fits && (size_t)n >= left)
        (void)vsnprintf(t->bytes + t->length, (size_t)n + 1, fmt, again);
    if (fits)
        t->length += (size_t)n;
    else
        t->full = true;
    if (t->bytes)
        t->bytes[t->length] = '\0';
    va_end(again);
}

char *text_keep(struct text *t, struct arena *mem)
{
    char *copy = t->full ? NULL : arena_bytes(mem, text_get(t), t->length);

    mem->full = mem->full || !copy;
    text_close(t);
    return copy;
}
