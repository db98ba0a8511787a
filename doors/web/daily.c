/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/daily.h"

#include <time.h>

#include "desk/keeping.h"
#include "doors/web/server.h"

enum { FIRST_MS = 5000, AGAIN_MS = 3600 * 1000 };

static void *backup_of_day(void *given)
{
    struct daily *d = given;
    struct farm_backup made;
    struct message why = { "", "" };
    struct arena mem;

    arena_open(&mem, (size_t)1 << 20);
    if (farm_backup_of_day(d->farm_path, (int64_t)time(NULL), &mem, &made, &why) != ST_OK)
        server_log("the day's backup could not be made; leenest backup says why");
    else if (made.path)
        server_log("the day's backup is made");
    arena_close(&mem);
    atomic_store(&d->over, true);
    return NULL;
}

void daily_begin(struct daily *d, const char *farm_path, int64_t now_ms)
{
    *d = (struct daily){ .farm_path = farm_path, .next_ms = now_ms + FIRST_MS };
}

void daily_tick(struct daily *d, int64_t now_ms)
{
    if (d->running && atomic_load(&d->over))
        daily_end(d);
    if (d->running || now_ms < d->next_ms || !d->farm_path)
        return;
    d->next_ms = now_ms + AGAIN_MS;
    atomic_store(&d->over, false);
    d->running = pthread_create(&d->thread, NULL, backup_of_day, d) == 0;
    if (!d->running)
        server_log("the day's backup could not be begun");
}

void daily_end(struct daily *d)
{
    if (d->running)
        (void)pthread_join(d->thread, NULL);
    d->running = false;
}
