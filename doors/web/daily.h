/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Daily: what a server that runs on does of itself. Once an hour it looks whether the day's backup of the farm file is due
 * (desk/keeping.h), and makes it on a thread of its own, with a handle of its own, so that nobody waits.
 */
#ifndef DOORS_WEB_DAILY_H
#define DOORS_WEB_DAILY_H

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

struct daily {
    const char *farm_path;
    int64_t next_ms; /* on the clock of daily_tick() */
    pthread_t thread;
    bool running;
    atomic_bool over; /* the thread has nothing left to do */
};

void daily_begin(struct daily *daily, const char *farm_path, int64_t now_ms);
void daily_tick(struct daily *daily, int64_t now_ms); /* once a second or so; never waits */
void daily_end(struct daily *daily);                  /* waits for a backup that is being made */

#endif
