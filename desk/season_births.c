/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/season_births.h"

#include <stdlib.h>
#include <string.h>
#include <pthread.h>

#include "core/base/arena.h"

enum { SLOTS = 8192, MOST = SLOTS * 3 / 4, ROOM = 12 << 20 };

struct kept_births {
    struct season_births_key key;
    size_t from, n; /* days of the grid that are not 0 */
    double *born;
};

struct season_births {
    pthread_mutex_t lock;
    struct arena mem;
    size_t n;
    struct kept_births *slot[SLOTS];
};

static void empty(struct season_births *b)
{
    memset(b->slot, 0, sizeof b->slot);
    b->n = 0;
    arena_close(&b->mem);
    arena_open(&b->mem, ROOM);
}

struct season_births *season_births_open(void)
{
    struct season_births *b = calloc(1, sizeof *b);

    if (b && pthread_mutex_init(&b->lock, NULL) != 0) {
        free(b);
        b = NULL;
    }
    if (b)
        arena_open(&b->mem, ROOM);
    return b;
}

void season_births_close(struct season_births *b)
{
    if (!b)
        return;
    arena_close(&b->mem);
    (void)pthread_mutex_destroy(&b->lock);
    free(b);
}

void season_births_forget(struct season_births *b)
{
    if (!b)
        return;
    (void)pthread_mutex_lock(&b->lock);
    empty(b);
    (void)pthread_mutex_unlock(&b->lock);
}

uint64_t season_births_hash(const void *key, size_t n_bytes)
{
    const unsigned char *bytes = key;
    uint64_t h = 14695981039346656037u;

    for (size_t i = 0; i < n_bytes; i++)
        h = (h ^ bytes[i]) * 1099511628211u;
    return h ^ h >> 32;
}

/* The slot that holds the key, or the free one where it belongs. */
static struct kept_births **slot_of(struct season_births *b, const struct season_births_key *key)
{
    for (size_t at = season_births_hash(key, sizeof *key) % SLOTS;; at = (at + 1) % SLOTS)
        if (!b->slot[at] || memcmp(&b->slot[at]->key, key, sizeof *key) == 0)
            return &b->slot[at];
}

size_t season_births_count(struct season_births *b)
{
    (void)pthread_mutex_lock(&b->lock);
    const size_t n = b->n;
    (void)pthread_mutex_unlock(&b->lock);
    return n;
}

bool season_births_find(struct season_births *b, const struct season_births_key *key, size_t n, double born[])
{
    bool found = false;

    if (!b)
        return false;
    (void)pthread_mutex_lock(&b->lock);
    const struct kept_births *k = *slot_of(b, key);
    if (k && k->from + k->n <= n) {
        memcpy(born + k->from, k->born, k->n * sizeof *born);
        found = true;
    }
    (void)pthread_mutex_unlock(&b->lock);
    return found;
}

void season_births_add(struct season_births *b, const struct season_births_key *key, size_t n, const double born[])
{
    size_t from = 0, to = n;

    if (!b)
        return;
    while (from < to && !(born[from] > 0.0))
        from++;
    while (to > from && !(born[to - 1] > 0.0))
        to--;
    (void)pthread_mutex_lock(&b->lock);
    if (b->n >= MOST || arena_full(&b->mem))
        empty(b); /* reckoned anew when it is asked for again */
    struct kept_births **slot = slot_of(b, key), *k = *slot ? NULL : ARENA_NEW(&b->mem, struct kept_births, 1);
    double *copy = k ? ARENA_NEW(&b->mem, double, to - from + 1) : NULL;
    if (copy) {
        memcpy(copy, born + from, (to - from) * sizeof *copy);
        *k = (struct kept_births){ *key, from, to - from, copy };
        *slot = k;
        b->n++;
    }
    (void)pthread_mutex_unlock(&b->lock);
}
