/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The demo farm for tests of the desk: a copy that facts may be written into, or one that all tests of a program read.
 */
#ifndef TESTS_DESK_DEMO_CASE_H
#define TESTS_DESK_DEMO_CASE_H

#include "demo/demo.h"
#include "farm_case.h"

/* Close with case_close(). */
static inline void case_open_demo(struct farm_case *c)
{
    struct message why = { "", "" };

    *c = (struct farm_case){ .farm = NULL };
    case_path(c->path);
    arena_open(&c->mem, (size_t)1 << 29);
    if (demo_make(c->path, 1, &why) != ST_OK || farm_open(c->path, &c->farm, &why) != ST_OK)
        fail_msg("%s", why.text);
}

static char demo_path[256]; /* after demo_begin */

/* Before and after a group of tests. */
static inline int demo_begin(void **state)
{
    struct message why = { "", "" };

    (void)state;
    case_path(demo_path);
    if (demo_make(demo_path, 1, &why) == ST_OK)
        return 0;
    (void)fprintf(stderr, "%s\n", why.text);
    return 1;
}

static inline int demo_end(void **state)
{
    (void)state;
    return unlink(demo_path);
}

#endif
