/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/joined.h"

const char *joined_with_and(size_t n, const char *const words[], struct arena *mem)
{
    const char *all = n ? words[0] : "";

    for (size_t i = 1; i < n && all; i++)
        all = arena_print(mem, "%s%s%s", all, i + 1 == n ? " and " : ", ", words[i]);
    return all;
}
