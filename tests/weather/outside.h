/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Outside data for tests: where it lies, and reading it. Absent: the test says 'skipped' and does not count as passed.
 */
#ifndef TESTS_WEATHER_OUTSIDE_H
#define TESTS_WEATHER_OUTSIDE_H

#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <setjmp.h>

#include <cmocka.h>

#include "weather/weather.h"

static inline const char *outside_path(const char *file, char path[static 600])
{
    const char *folder = getenv("LEENEST_OUTSIDE");
    (void)snprintf(path, 600, "%s/weather/%s", folder && folder[0] ? folder : "../shared/data", file);
    return path;
}

/* Skips the running test when the file is not there; fails it when it can't be read. */
static inline void outside_read(const char *file, const struct weather_options *opt, struct arena *mem,
                                struct weather *out)
{
    char path[600];
    struct message why = { "", "" };
    FILE *f = fopen(outside_path(file, path), "rb");

    if (!f) {
        print_message("skipped: no outside file %s\n", file);
        skip();
    }
    (void)fclose(f);
    if (weather_read_file(path, opt, mem, out, &why) != ST_OK)
        fail_msg("%s", why.text);
}

#endif
