/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A refusal is one line that any terminal can show, whatever was typed into it. */
#include <stdio.h>

#include "doors/cli/cli.h"

/* Length of the character at s, 0 when it is not UTF-8, a control character (C0, C1) or one that turns the line round.
 */
static size_t character(const unsigned char *s)
{
    const size_t n = s[0] < 0x80                   ? 1
                     : s[0] >= 0xC2 && s[0] < 0xE0 ? 2
                     : s[0] >= 0xE0 && s[0] < 0xF0 ? 3
                     : s[0] >= 0xF0 && s[0] < 0xF5 ? 4
                                                   : 0;
    unsigned long point = n == 1 ? s[0] : n == 2 ? s[0] & 0x1Fu : n == 3 ? s[0] & 0x0Fu : s[0] & 0x07u;

    for (size_t i = 1; i < n; i++) {
        if ((s[i] & 0xC0) != 0x80)
            return 0;
        point = point << 6 | (s[i] & 0x3Fu);
    }
    if (point < 0x20 || (point >= 0x7F && point < 0xA0) || (point >= 0xD800 && point < 0xE000) || point > 0x10FFFF)
        return 0;
    if ((n == 3 && point < 0x800) || (n == 4 && point < 0x10000))
        return 0;
    if ((point >= 0x202A && point <= 0x202E) || (point >= 0x2066 && point <= 0x2069))
        return 0;
    return n;
}

void print_refusal(const char *text)
{
    (void)fputs("leenest: ", stderr);
    for (const unsigned char *s = (const unsigned char *)text; *s;) {
        const size_t n = character(s);
        if (n == 0)
            (void)fputc('?', stderr);
        else
            (void)fwrite(s, 1, n, stderr);
        s += n ? n : 1;
    }
    (void)fputc('\n', stderr);
}
