/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/fold.h"

#include <stddef.h>

/* Next code point, folded; *s moves on. A byte that begins no character stands for itself. */
static unsigned long next_folded(const unsigned char **s)
{
    const unsigned char *c = *s;
    unsigned long p = c[0];
    size_t n = 1;

    if (c[0] >= 0xC2 && c[0] <= 0xDF && (c[1] & 0xC0) == 0x80) {
        p = (c[0] & 0x1FUL) << 6 | (c[1] & 0x3FUL);
        n = 2;
    } else if (c[0] >= 0xE0 && c[0] <= 0xEF && (c[1] & 0xC0) == 0x80 && (c[2] & 0xC0) == 0x80) {
        p = (c[0] & 0x0FUL) << 12 | (c[1] & 0x3FUL) << 6 | (c[2] & 0x3FUL);
        n = 3;
    } else if (c[0] >= 0x80) {
        p = 0x110000UL + c[0]; /* of a longer character, or none: compared byte by byte */
    }
    *s = c + n;
    if (p >= 'A' && p <= 'Z')
        return p + 0x20;
    if ((p >= 0xC0 && p <= 0xDE && p != 0xD7) || (p >= 0x391 && p <= 0x3AB && p != 0x3A2) || (p >= 0x410 && p <= 0x42F))
        return p + 0x20;
    if (p >= 0x400 && p <= 0x40F)
        return p + 0x50;
    if (p == 0x178)
        return 0xFF;
    if (p == 0x3C2) /* the sigma that ends a word */
        return 0x3C3;
    if ((p >= 0x139 && p <= 0x148) || (p >= 0x179 && p <= 0x17E))
        return p + (p & 1UL);
    if (p >= 0x100 && p <= 0x177 && p != 0x130 && p != 0x131 && p != 0x138 && p != 0x149)
        return p | 1UL;
    return p;
}

static bool begins(const unsigned char *text, const unsigned char *part)
{
    while (*part) {
        if (!*text || next_folded(&text) != next_folded(&part))
            return false;
    }
    return true;
}

bool fold_holds(const char *text, const char *part)
{
    const unsigned char *t = (const unsigned char *)text, *p = (const unsigned char *)part;

    if (!*p)
        return true;
    while (*t) {
        if (begins(t, p))
            return true;
        (void)next_folded(&t);
    }
    return false;
}
