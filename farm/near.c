/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/near.h"

#include <string.h>
#include <strings.h>

enum { LONGEST = 63, FAR = 99 };

static char small(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static unsigned least(unsigned a, unsigned b)
{
    return a < b ? a : b;
}

unsigned near_steps(const char *a, const char *b)
{
    unsigned row[3][LONGEST + 2]; /* row[i % 3]: distance of a's first i letters to each beginning of b */
    const size_t n = strnlen(a, LONGEST + 1), m = strnlen(b, LONGEST + 1);

    if (n > LONGEST || m > LONGEST)
        return FAR;
    for (size_t j = 0; j <= m; j++)
        row[0][j] = (unsigned)j;
    for (size_t i = 1; i <= n; i++) {
        unsigned *now = row[i % 3];
        const unsigned *last = row[(i + 2) % 3], *before = row[(i + 1) % 3];
        now[0] = (unsigned)i;
        for (size_t j = 1; j <= m; j++) {
            const bool same = small(a[i - 1]) == small(b[j - 1]);
            now[j] = least(least(last[j], now[j - 1]) + 1, last[j - 1] + !same);
            if (i > 1 && j > 1 && small(a[i - 1]) == small(b[j - 2]) && small(a[i - 2]) == small(b[j - 1]))
                now[j] = least(now[j], before[j - 2] + 1);
        }
    }
    return least(row[n % 3][m], FAR);
}

bool near_enough(const char *typed, const char *known)
{
    const size_t n = strlen(typed), m = strlen(known), shorter = n < m ? n : m;

    if (shorter >= 3 && strncasecmp(typed, known, shorter) == 0)
        return true;
    return n >= 2 && near_steps(typed, known) <= (n < 4 ? 1 : n / 3);
}
