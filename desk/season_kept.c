/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/season_kept.h"

#include <stdlib.h>
#include <string.h>

enum { ROOM = 64 << 20 };

struct season_kept {
    struct arena cold_mem; /* of the arrays of `cold` */
    bool cold_is;
    struct season_cold_table cold;
};

struct season_kept *season_kept_open(void)
{
    struct season_kept *k = calloc(1, sizeof *k);

    if (k)
        arena_open(&k->cold_mem, ROOM);
    return k;
}

void season_kept_close(struct season_kept *k)
{
    if (!k)
        return;
    arena_close(&k->cold_mem);
    free(k);
}

const struct season_cold_table *season_kept_cold(const struct season_kept *k, const double key[SEASON_COLD_KEY],
                                                 int64_t at_utc_s)
{
    if (!k || !k->cold_is || at_utc_s < k->cold.from_utc_s || at_utc_s >= k->cold.to_utc_s)
        return NULL;
    for (size_t i = 0; i < SEASON_COLD_KEY; i++)
        if (k->cold.key[i] < key[i] || k->cold.key[i] > key[i])
            return NULL;
    return &k->cold;
}

struct season_cold_table *season_kept_new_cold(struct season_kept *k, struct arena **mem)
{
    k->cold_is = false;
    arena_close(&k->cold_mem);
    arena_open(&k->cold_mem, ROOM);
    *mem = &k->cold_mem;
    return &k->cold;
}

void season_kept_cold_is(struct season_kept *k)
{
    k->cold_is = true;
}
