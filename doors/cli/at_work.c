/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/cli/at_work.h"

#include <stdio.h>
#include <time.h>
#include <unistd.h>

static void *count(void *given)
{
    struct at_work *w = given;
    struct timespec next;
    int seconds = 0;

    (void)clock_gettime(CLOCK_MONOTONIC, &next);
    (void)pthread_mutex_lock(&w->lock);
    while (!w->over) {
        next.tv_sec++;
        while (!w->over && pthread_cond_timedwait(&w->change, &w->lock, &next) == 0) /* woken for nothing */
            ;
        if (!w->over && ++seconds >= 2)
            (void)fprintf(stderr, "\r%s: at work, %d s ", w->words, seconds);
    }
    if (seconds >= 2)
        (void)fprintf(stderr, "\r\033[K"); /* ECMA-48: erase in line */
    (void)pthread_mutex_unlock(&w->lock);
    return NULL;
}

void at_work_begin(struct at_work *w, const char *words)
{
    pthread_condattr_t clock;

    *w = (struct at_work){ .words = words };
    if (!isatty(STDERR_FILENO) || pthread_condattr_init(&clock) != 0)
        return;
    (void)pthread_condattr_setclock(&clock, CLOCK_MONOTONIC);
    if (pthread_mutex_init(&w->lock, NULL) == 0 && pthread_cond_init(&w->change, &clock) == 0)
        w->runs = pthread_create(&w->thread, NULL, count, w) == 0; /* without one it is silent, and the answer comes */
    (void)pthread_condattr_destroy(&clock);
}

void at_work_end(struct at_work *w)
{
    if (!w->runs)
        return;
    (void)pthread_mutex_lock(&w->lock);
    w->over = true;
    (void)pthread_cond_signal(&w->change);
    (void)pthread_mutex_unlock(&w->lock);
    (void)pthread_join(w->thread, NULL);
    (void)pthread_cond_destroy(&w->change);
    (void)pthread_mutex_destroy(&w->lock);
    w->runs = false;
}
