/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Parents before offspring, without recursion; loops are told whole and cut. */
#include <string.h>

#include "core/base/text.h"
#include "core/pedigree/given.h"

const char *name_text(struct order *o, uint32_t name)
{
    const struct piece p = o->g->names.text[name];
    const char *text = arena_bytes(o->pot->mem, p.at, p.n);
    return text ? text : "";
}

static int texts(struct piece a, struct piece b)
{
    const uint32_t n = a.n < b.n ? a.n : b.n;
    const int d = n ? memcmp(a.at, b.at, n) : 0;
    return d ? d : a.n < b.n ? -1 : a.n > b.n;
}

/* Days by which `child` is older than `parent`; INT64_MIN where a birth is not known. */
static int64_t older_by(const struct order *o, uint32_t child, uint32_t parent)
{
    const struct given *g = o->g;

    if (!g->born || !o->row[child] || !o->row[parent])
        return INT64_MIN;
    const int32_t c = g->born[o->row[child] - 1], p = g->born[o->row[parent] - 1];
    return c == PEDIGREE_NO_DAY || p == PEDIGREE_NO_DAY ? INT64_MIN : (int64_t)p - c;
}

/* Which link of the loop to cut, by place of its offspring: the one births contradict most, else that of the offspring
 * whose id sorts first, so that the order of rows does not matter. ring[k] is a parent of ring[k + 1]. */
static size_t weakest(const struct order *o, size_t n, const uint32_t ring[])
{
    size_t best = 0;
    int64_t most = INT64_MIN;

    for (size_t k = 0; k < n; k++) {
        const int64_t by = older_by(o, ring[k], ring[k ? k - 1 : n - 1]);
        if (k == 0 || by > most || (by == most && texts(o->g->names.text[ring[k]], o->g->names.text[ring[best]]) < 0)) {
            best = k;
            most = by;
        }
    }
    return best;
}

static bool tell_loop(struct order *o, size_t n, const uint32_t ring[], size_t cut)
{
    const uint32_t child = ring[cut], parent = ring[cut ? cut - 1 : n - 1];
    const uint32_t line = o->row[child] ? o->g->line[o->row[child] - 1] : 0;
    const char *role = o->sire[child] == parent ? "sire" : "dam";
    struct text t;

    if (!o->loop && !(o->loop = ARENA_NEW(o->work, uint8_t, (size_t)o->g->names.n + 1)))
        return false;
    for (size_t k = 0; k < n; k++)
        o->loop[ring[k]] = 1;
    if (n == 1) {
        const char *id = name_text(o, child);
        tell(o->pot, PK_LOOP, PEDIGREE_WRONG, line, id,
             "%s is entered as its own %s. The %s was left out; it gets no inbreeding figure.", id,
             o->sire[child] == child && o->dam[child] == child ? "sire and dam" : role, role);
        return !arena_full(o->pot->mem);
    }
    if (older_by(o, child, parent) >= 0)
        tell(o->pot, PK_BORN, PEDIGREE_WRONG, line, name_text(o, child),
             "%s is not younger than its %s %s; the loop it closes is told too.", name_text(o, child), role,
             name_text(o, parent));
    text_open(&t, SIZE_MAX);
    for (size_t k = 0; k <= n; k++) { /* from the offspring of the cut link down to its parent, and round again */
        const struct piece p = o->g->names.text[ring[(cut + k) % n]];
        text_add(&t, k ? " > " : "");
        text_add_bytes(&t, p.at, p.n);
    }
    const bool whole = !text_full(&t);
    tell(o->pot, PK_LOOP, PEDIGREE_WRONG, line, name_text(o, child),
         "These %zu are their own ancestors, each a parent of the next: %s. The %s of %s was left out; none of them "
         "gets an inbreeding figure.",
         n, text_get(&t), role, name_text(o, child));
    text_close(&t);
    return whole && !arena_full(o->pot->mem);
}

static void cut_link(struct order *o, uint32_t child, uint32_t parent)
{
    if (o->sire[child] == parent)
        o->sire[child] = 0;
    if (o->dam[child] == parent)
        o->dam[child] = 0;
}

enum { WHITE, GREY, BLACK };

/* The stack from `from` up is a loop, each member a parent of the one before it. Cut it, and go back to where the cut
 * is. */
static bool close_loop(struct order *o, uint32_t *stack, size_t from, size_t *top, uint8_t *state)
{
    const size_t n = *top - from;
    uint32_t *ring = stack + from;

    for (size_t a = 0, b = n - 1; a < b; a++, b--) { /* parents first */
        const uint32_t t = ring[a];
        ring[a] = ring[b];
        ring[b] = t;
    }
    const size_t cut = weakest(o, n, ring);
    if (!tell_loop(o, n, ring, cut))
        return false;
    const uint32_t child = ring[cut];
    cut_link(o, child, ring[cut ? cut - 1 : n - 1]);
    for (size_t a = 0, b = n - 1; a < b; a++, b--) {
        const uint32_t t = ring[a];
        ring[a] = ring[b];
        ring[b] = t;
    }
    while (stack[*top - 1] != child)
        state[stack[--*top]] = WHITE;
    return true;
}

static bool climb(struct order *o, uint32_t start, uint32_t *stack, uint32_t *place, uint8_t *state)
{
    size_t top = 0;

    stack[top++] = start;
    state[start] = GREY;
    place[start] = 0;
    while (top) {
        const uint32_t i = stack[top - 1], s = o->sire[i], m = o->dam[i];
        const uint32_t next = s && state[s] != BLACK ? s : m && state[m] != BLACK ? m : 0;
        if (!next) {
            state[i] = BLACK;
            o->sequence[++o->n] = i;
            top--;
        } else if (state[next] == GREY) {
            if (!close_loop(o, stack, place[next], &top, state))
                return false;
        } else {
            state[next] = GREY;
            place[next] = (uint32_t)top;
            stack[top++] = next;
        }
    }
    return true;
}

bool order_make(struct order *o)
{
    const size_t all = (size_t)o->g->names.n + 1;
    uint32_t *stack = ARENA_NEW(o->work, uint32_t, all), *place = ARENA_NEW(o->work, uint32_t, all);
    uint8_t *state = ARENA_NEW(o->work, uint8_t, all);

    o->sequence = ARENA_NEW(o->work, uint32_t, all);
    if (!stack || !place || !state || !o->sequence)
        return false;
    for (size_t r = 0; r < o->g->n; r++) { /* as the rows stand, where they stand right */
        const uint32_t i = o->g->id[r];
        if (i && !state[i] && !o->nobody[i] && !climb(o, i, stack, place, state))
            return false;
    }
    return true;
}
