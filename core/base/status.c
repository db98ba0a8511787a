/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/status.h"

#include <stdarg.h>
#include <stdio.h>

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
    for (char *c = text; *c; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7f)
            *c = ' ';
}

#undef refuse /* see status.h */
enum status refuse(enum status st, struct message *why, const char *field, const char *fmt, ...)
{
    va_list args;

    const int n_field = snprintf(why->field, sizeof why->field, "%s", field);
    tidy(why->field, sizeof why->field, n_field);
    va_start(args, fmt);
    const int n_text = vsnprintf(why->text, sizeof why->text, fmt, args);
    va_end(args);
    tidy(why->text, sizeof why->text, n_text);
    return st;
}
