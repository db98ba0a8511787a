/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "demo/demo.h"

#include "demo/inside.h"

const int64_t demo_at_utc_s = 1769096400; /* 2026-01-22T15:40:00Z */

enum status demo_make(const char *path, uint64_t seed, struct message *why)
{
    struct farm *farm = NULL;
    struct arena mem;
    enum status st = farm_create(path, NULL, &farm, why);

    arena_open(&mem, 256u << 20);
    if (st == ST_OK)
        st = demo_facts(farm, &mem, why);
    if (st == ST_OK)
        st = demo_weather(farm, seed, &mem, why);
    arena_close(&mem);
    farm_close(farm);
    if (st != ST_OK && farm)
        (void)remove(path); /* half a demo is no demo */
    return st;
}
