/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/share.h"

#include <pthread.h>
#include <stdbool.h>

struct hand {
    pthread_t thread;
    void (*part)(void *job, size_t i);
    void *job;
    size_t i;
    bool runs;
};

static void *one_part(void *self)
{
    struct hand *h = self;

    h->part(h->job, h->i);
    return NULL;
}

void share_parts(void *self, void (*part)(void *job, size_t i), void *job, size_t n)
{
    enum { MOST = 64 };
    struct hand hand[MOST];

    (void)self;
    for (size_t i = 1; i < n && i < MOST; i++) {
        hand[i] = (struct hand){ .part = part, .job = job, .i = i };
        hand[i].runs = pthread_create(&hand[i].thread, NULL, one_part, &hand[i]) == 0;
    }
    if (n)
        part(job, 0);
    for (size_t i = MOST; i < n; i++)
        part(job, i);
    for (size_t i = 1; i < n && i < MOST; i++)
        if (hand[i].runs)
            (void)pthread_join(hand[i].thread, NULL);
        else
            part(job, i);
}
