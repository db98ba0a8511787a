/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/status.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>

/* Bytes of one UTF-8 character (RFC 3629) at c, 0: none begins here; and its code point. */
static unsigned whole_character(const unsigned char *c, unsigned long *point)
{
    const unsigned n = c[0] < 0x80                    ? 1
                       : c[0] >= 0xF0 && c[0] <= 0xF4 ? 4
                       : c[0] >= 0xE0 && c[0] < 0xF0  ? 3
                       : c[0] >= 0xC2 && c[0] < 0xE0  ? 2
                                                      : 0;

    *point = n < 2 ? c[0] : c[0] & (0x7FU >> n);
    for (unsigned i = 1; i < n; i++) {
        if ((c[i] & 0xC0) != 0x80)
            return 0;
        *point = *point << 6 | (c[i] & 0x3FU);
    }
    static const unsigned long least[] = { 0, 0, 0x80, 0x800, 0x10000 };
    return *point < least[n] || *point > 0x10FFFF || (*point >= 0xD800 && *point <= 0xDFFF) ? 0 : n;
}

/* What would break the line, turn its direction, or is half a character (a quoted word is cut by its bytes). */
static void put_to_rest(char *text)
{
    unsigned char *c = (unsigned char *)text;

    while (*c) {
        unsigned long point = 0;
        const unsigned n = whole_character(c, &point);
        const bool turns = (point >= 0x202A && point <= 0x202E) || (point >= 0x2066 && point <= 0x2069);
        const bool breaks = point < 0x20 || (point >= 0x7F && point < 0xA0) || point == 0x2028 || point == 0x2029;
        if (n == 0)
            *c = '?';
        for (unsigned i = 0; i < n && (turns || breaks); i++)
            c[i] = ' ';
        c += n ? n : 1;
    }
}

/* Cut at a whole character and put control characters to rest. */
static void tidy(char *text, size_t size, int wanted)
{
    if (wanted >= (int)size) {
        size_t end = size - 1;
        while (end > 0 && ((unsigned char)text[end - 1] & 0xC0) == 0x80)
            end--;
        if (end > 0 && (unsigned char)text[end - 1] >= 0xC0)
            end--;
        text[end] = '\0';
    }
    put_to_rest(text);
}

#undef refuse /* see status.h */
enum status refuse(enum status st, struct message *why, const char *field, const char *fmt, ...)
{
    struct message made; /* field and what is quoted may stand in *why itself */
    va_list args;

    const int n_field = snprintf(made.field, sizeof made.field, "%s", field);
    tidy(made.field, sizeof made.field, n_field);
    va_start(args, fmt);
    const int n_text = vsnprintf(made.text, sizeof made.text, fmt, args);
    va_end(args);
    tidy(made.text, sizeof made.text, n_text);
    *why = made;
    return st;
}
