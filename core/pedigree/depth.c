/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * F from so many generations of ancestors of each animal. What is known of one mating is a small pedigree of its own,
 * reckoned whole by the buckets; full sibs are done once. */
#include <stdlib.h>

#include "core/pedigree/pedigree.h"

struct mating {
    uint32_t sire, dam, animal;
};

static int by_parents(const void *left, const void *right)
{
    const struct mating *a = left, *b = right;

    if (a->sire != b->sire)
        return a->sire < b->sire ? -1 : 1;
    if (a->dam != b->dam)
        return a->dam < b->dam ? -1 : 1;
    return a->animal < b->animal ? -1 : a->animal > b->animal;
}

static int rising(const void *left, const void *right)
{
    const uint32_t a = *(const uint32_t *)left, b = *(const uint32_t *)right;

    return a < b ? -1 : a > b;
}

struct small {
    const struct pedigree *p;
    uint32_t *found;      /* the animal and its ancestors: nearest first, then by number; n of them */
    uint32_t *back;       /* by animal: shortest generations back + 1; 0 between uses */
    uint32_t *number;     /* by animal: in the small pedigree */
    uint32_t *sire, *dam; /* of the small pedigree */
    double *f;
    uint32_t n;
};

static bool small_open(struct small *s, const struct pedigree *p, struct arena *work)
{
    const size_t all = (size_t)p->n + 1;

    *s = (struct small){ .p = p,
                         .found = ARENA_NEW(work, uint32_t, all),
                         .back = ARENA_NEW(work, uint32_t, all),
                         .number = ARENA_NEW(work, uint32_t, all),
                         .sire = ARENA_NEW(work, uint32_t, all),
                         .dam = ARENA_NEW(work, uint32_t, all),
                         .f = ARENA_NEW(work, double, all) };
    return !arena_full(work);
}

/* The ancestors of `animal` up to so many generations back, by the shortest way. */
static void gather(struct small *s, uint32_t animal, unsigned generations)
{
    s->n = 0;
    s->found[s->n++] = animal;
    s->back[animal] = 1;
    for (uint32_t at = 0; at < s->n && s->back[s->found[at]] <= generations; at++) {
        const uint32_t i = s->found[at], up[2] = { s->p->sire[i], s->p->dam[i] };
        for (int k = 0; k < 2; k++)
            if (up[k] && !s->back[up[k]]) {
                s->back[up[k]] = s->back[i] + 1;
                s->found[s->n++] = up[k];
            }
    }
    qsort(s->found, s->n, sizeof *s->found, rising);
}

static enum status reckon(struct small *s, uint32_t animal, unsigned generations, struct arena *mem, double *f,
                          struct message *why)
{
    gather(s, animal, generations);
    for (uint32_t k = 1; k <= s->n; k++) {
        const uint32_t i = s->found[k - 1];
        const bool known = s->back[i] <= generations;
        s->number[i] = k;
        s->sire[k] = known ? s->number[s->p->sire[i]] : 0;
        s->dam[k] = known ? s->number[s->p->dam[i]] : 0;
    }
    const struct pedigree few = { .n = s->n, .sire = s->sire, .dam = s->dam };
    const enum status st = pedigree_inbreeding(&few, PEDIGREE_BUCKETS, NULL, mem, s->f, why);
    *f = s->f[s->n]; /* the animal is the youngest */
    for (uint32_t k = 0; k < s->n; k++)
        s->back[s->found[k]] = s->number[s->found[k]] = 0;
    return st;
}

enum status pedigree_inbreeding_depth(const struct pedigree *p, unsigned generations, struct arena *mem, double f[],
                                      struct message *why)
{
    struct arena work;
    struct small s;
    size_t n = 0;
    enum status st = ST_OK;

    arena_open(&work, SIZE_MAX);
    struct mating *list = ARENA_NEW(&work, struct mating, p->n);
    if (!list || !small_open(&s, p, &work)) {
        arena_close(&work);
        return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
    }
    f[0] = -1.0;
    for (uint32_t i = 1; i <= p->n; i++) {
        f[i] = 0.0;
        if (p->sire[i] && p->dam[i])
            list[n++] = (struct mating){ p->sire[i], p->dam[i], i };
    }
    qsort(list, n, sizeof *list, by_parents);
    for (size_t k = 0; st == ST_OK && k < n; k++)
        if (k && list[k].sire == list[k - 1].sire && list[k].dam == list[k - 1].dam)
            f[list[k].animal] = f[list[k - 1].animal];
        else
            st = reckon(&s, list[k].animal, generations, mem, &f[list[k].animal], why);
    arena_close(&work);
    return st;
}
