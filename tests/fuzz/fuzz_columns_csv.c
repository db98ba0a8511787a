/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tests/fuzz/weather_case.h"

/* A zone in which every hour of one day is shown twice: the hardest there can be. */
static int odd_zone(void *zone, int64_t local_s, bool *ambiguous)
{
    (void)zone;
    *ambiguous = local_s / 86400 % 2 == 0;
    return *ambiguous ? 3600 : -7200;
}

/* The first line is --columns, the second --where ("" = none), the rest the file. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char columns[512] = "", where[128] = "";
    const char *s = (const char *)data, *end = s + size;
    struct weather_options opt = { .offset_s = odd_zone };

    for (int line = 0; line < 2; line++) {
        char *to = line == 0 ? columns : where;
        const size_t room = line == 0 ? sizeof columns : sizeof where;
        const char *nl = s < end ? memchr(s, '\n', (size_t)(end - s)) : NULL;
        if (!nl || (size_t)(nl - s) >= room || memchr(s, 0, (size_t)(nl - s)))
            return 0;
        memcpy(to, s, (size_t)(nl - s));
        s = nl + 1;
    }
    opt.columns = columns;
    opt.where = where[0] ? where : NULL;
    weather_case(s, (size_t)(end - s), &opt);
    return 0;
}
