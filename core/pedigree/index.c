/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "core/pedigree/names.h"
#include "core/pedigree/pedigree.h"

struct pedigree_index {
    size_t mask;
    uint32_t *slot;
};

static size_t hash_of(const char *id)
{
    uint64_t h = UINT64_C(14695981039346656037);

    for (; *id; id++)
        h = (h ^ (unsigned char)*id) * UINT64_C(1099511628211);
    return (size_t)(h ^ h >> 32);
}

enum status pedigree_index_make(const struct pedigree *p, struct arena *mem, struct pedigree_index **index,
                                struct message *why)
{
    struct pedigree_index *x = ARENA_NEW(mem, struct pedigree_index, 1);
    size_t slots = 16;

    while (slots < (size_t)p->n * 2)
        slots *= 2;
    if (x)
        *x = (struct pedigree_index){ .mask = slots - 1, .slot = ARENA_NEW(mem, uint32_t, slots) };
    if (!x || !x->slot)
        return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
    for (uint32_t i = 1; i <= p->n; i++) {
        size_t at = hash_of(p->id[i]) & x->mask;
        while (x->slot[at])
            at = (at + 1) & x->mask;
        x->slot[at] = i;
    }
    *index = x;
    return ST_OK;
}

uint32_t pedigree_find(const struct pedigree *p, const struct pedigree_index *index, const char *id)
{
    if (!index) {
        for (uint32_t i = 1; i <= p->n; i++)
            if (strcmp(p->id[i], id) == 0)
                return i;
        return 0;
    }
    size_t at = hash_of(id) & index->mask;
    while (index->slot[at] && strcmp(p->id[index->slot[at]], id) != 0)
        at = (at + 1) & index->mask;
    return index->slot[at];
}
