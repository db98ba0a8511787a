/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sows to boars whatever the cost: augmenting paths over boars, breadth first. First every boar up to his least, then
 * all up to their most. A path never takes from a boar's number, so what was met stays met; and where sows can be placed
 * and leasts can be met, both can at once (Mendelsohn & Dulmage 1958, Canadian J. Math. 10:517). */
#include <string.h>

#include "core/pedigree/mating_inside.h"

struct match {
    const struct mating_net *net;
    uint32_t *at, *used;
    uint32_t *first, *next; /* sows of a boar as a list */
    uint32_t *queue, *via;  /* by boar: the sow that leads there */
    bool *seen;
};

static void rehang(struct match *m, uint32_t sow, uint32_t to)
{
    const uint32_t from = m->at[sow];

    if (from != MATING_NONE) {
        uint32_t *link = &m->first[from];
        while (*link != sow)
            link = &m->next[*link];
        *link = m->next[sow];
    }
    m->at[sow] = to;
    m->next[sow] = m->first[to];
    m->first[to] = sow;
}

/* Along the path back to the sow that began it. */
static void follow(struct match *m, uint32_t end)
{
    uint32_t boar = end;

    m->used[end]++;
    for (;;) {
        const uint32_t sow = m->via[boar], from = m->at[sow];
        rehang(m, sow, boar);
        if (from == MATING_NONE)
            return;
        boar = from;
    }
}

static bool place(struct match *m, uint32_t sow, const uint32_t room[])
{
    const struct mating_net *net = m->net;
    size_t head = 0, tail = 0;

    memset(m->seen, 0, net->n_boars * sizeof *m->seen);
    for (uint32_t from = MATING_NONE, x = sow;;) {
        const bool *ok = net->ok + x * net->n_boars;
        for (uint32_t b = 0; b < net->n_boars; b++) {
            if (!ok[b] || m->seen[b])
                continue;
            m->seen[b] = true;
            m->via[b] = x;
            if (m->used[b] < room[b]) {
                follow(m, b);
                return true;
            }
            m->queue[tail++] = b;
        }
        x = from == MATING_NONE ? MATING_NONE : m->next[x];
        while (x == MATING_NONE) {
            if (head == tail)
                return false;
            from = m->queue[head++];
            x = m->first[from];
        }
    }
}

static bool match_open(struct match *m, const struct mating_net *net, struct arena *mem)
{
    m->net = net;
    m->first = ARENA_NEW(mem, uint32_t, net->n_boars);
    m->queue = ARENA_NEW(mem, uint32_t, net->n_boars);
    m->via = ARENA_NEW(mem, uint32_t, net->n_boars);
    m->seen = ARENA_NEW(mem, bool, net->n_boars);
    m->next = ARENA_NEW(mem, uint32_t, net->n_sows);
    return !arena_full(mem);
}

enum status mating_match(const struct mating_net *net, struct arena *mem, uint32_t at[], uint32_t used[],
                         size_t *toward, size_t *unplaced, struct message *why)
{
    struct match m = { .at = at, .used = used };
    size_t n = 0, left = 0;

    (void)mem;
    struct arena own; /* asked for many times in one search: given back each time */
    arena_open(&own, SIZE_MAX);
    if (!match_open(&m, net, &own)) {
        arena_close(&own);
        return refuse(ST_NO_MEMORY, why, "sows", "too many sows and boars for the memory of this machine");
    }
    for (size_t b = 0; b < net->n_boars; b++) {
        used[b] = 0;
        m.first[b] = MATING_NONE;
    }
    for (uint32_t s = 0; s < net->n_sows; s++)
        at[s] = MATING_NONE;
    for (uint32_t s = 0; s < net->n_sows; s++)
        n += net->open[s] && place(&m, s, net->least);
    for (uint32_t s = 0; s < net->n_sows; s++)
        left += net->open[s] && at[s] == MATING_NONE && !place(&m, s, net->most);
    if (toward)
        *toward = n;
    *unplaced = left;
    arena_close(&own);
    return ST_OK;
}
