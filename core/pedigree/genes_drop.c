/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Gene drop, told backwards: instead of dropping alleles down to the group, each animal asks of its two alleles whether
 * a copy is in the group, from the youngest up. One bit a replicate, 64 a word, so that a replicate costs the same
 * whatever the number of founders. Coins come from a counter, not from a state: see the bottom of genes_drop(). */
#include <stdlib.h>

#include "core/pedigree/genes_inside.h"

struct work {
    uint64_t *sires, *dams; /* of n + 1: a copy of the allele from the sire, from the dam is in the group */
    uint64_t *any, *both;   /* by founder: replicates with at least one; alleles that survived */
};

struct job {
    const struct pedigree *p;
    const double *c;
    size_t n_founders;
    const struct genes_founder *founder;
    uint64_t seed;
    size_t replicates, workers;
    struct work *work;
};

static uint64_t mixed(uint64_t z) /* the finish of SplitMix64: Steele, Lea & Flood (2014) */
{
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

static uint64_t ones(uint64_t x)
{
    x -= x >> 1 & UINT64_C(0x5555555555555555);
    x = (x & UINT64_C(0x3333333333333333)) + (x >> 2 & UINT64_C(0x3333333333333333));
    x = (x + (x >> 4)) & UINT64_C(0x0f0f0f0f0f0f0f0f);
    return x * UINT64_C(0x0101010101010101) >> 56;
}

static void block(const struct job *j, const struct work *w, uint64_t number, uint64_t live)
{
    const struct pedigree *p = j->p;
    const uint64_t step = UINT64_C(0x9e3779b97f4a7c15), key = mixed(j->seed + step * mixed(number + 1));

    for (uint32_t i = 0; i <= p->n; i++)
        w->sires[i] = w->dams[i] = j->c[i] > 0.0 ? live : 0;
    for (uint32_t i = p->n; i > 0; i--) {
        const uint32_t s = p->sire[i], d = p->dam[i];
        if (!(w->sires[i] | w->dams[i]))
            continue;
        if (s) {
            const uint64_t coin = mixed(key + step * (2 * (uint64_t)i));
            w->sires[s] |= w->sires[i] & coin;
            w->dams[s] |= w->sires[i] & ~coin;
        }
        if (d) {
            const uint64_t coin = mixed(key + step * (2 * (uint64_t)i + 1));
            w->sires[d] |= w->dams[i] & coin;
            w->dams[d] |= w->dams[i] & ~coin;
        }
    }
    for (size_t k = 0; k < j->n_founders; k++) {
        const uint32_t i = j->founder[k].animal;
        /* of an unknown parent only the one allele it handed down can be there */
        const uint64_t one = j->founder[k].phantom && p->sire[i] ? 0 : w->sires[i],
                       other = j->founder[k].phantom && p->dam[i] ? 0 : w->dams[i];
        w->any[k] += ones(one | other);
        w->both[k] += ones(one) + ones(other);
    }
}

static void part(void *self, size_t worker)
{
    const struct job *j = self;
    const size_t blocks = (j->replicates + 63) / 64;

    for (size_t b = worker; b < blocks; b += j->workers) {
        const size_t left = j->replicates - b * 64;
        block(j, &j->work[worker], b, left >= 64 ? UINT64_MAX : (UINT64_C(1) << left) - 1);
    }
}

static bool work_open(struct job *j, struct arena *mem)
{
    const size_t n = (size_t)j->p->n + 1, nf = j->n_founders + 1;

    j->work = ARENA_NEW(mem, struct work, j->workers);
    for (size_t i = 0; j->work && i < j->workers; i++)
        j->work[i] = (struct work){ ARENA_NEW(mem, uint64_t, n), ARENA_NEW(mem, uint64_t, n),
                                    ARENA_NEW(mem, uint64_t, nf), ARENA_NEW(mem, uint64_t, nf) };
    return !arena_full(mem);
}

enum status genes_drop(const struct pedigree *p, const struct genes_group *group, uint64_t seed, size_t replicates,
                       const struct pedigree_hands *hands, struct arena *mem, struct genes *g, struct message *why)
{
    const size_t blocks = (replicates + 63) / 64, threads = hands && hands->threads ? hands->threads : 1;
    double *c = ARENA_NEW(mem, double, (size_t)p->n + 1);
    struct genes_founder *f = ARENA_NEW(mem, struct genes_founder, g->n_founders + 1);
    struct job j = { .p = p,
                     .c = c,
                     .n_founders = g->n_founders,
                     .founder = g->founder,
                     .seed = seed,
                     .replicates = replicates,
                     .workers = threads < blocks ? threads : blocks };

    if (replicates == 0 || replicates > SIZE_MAX - 63)
        return refuse(ST_BAD_INPUT, why, "replicates", "%zu replicates; give 1 or more", replicates);
    if (!c || !f || !work_open(&j, mem))
        return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
    enum status st = genes_weights(p, group, c, why);
    if (st != ST_OK)
        return st;
    if (hands && hands->share)
        hands->share(hands->self, part, &j, j.workers);
    else
        for (size_t i = 0; i < j.workers; i++)
            part(&j, i);
    for (size_t k = 0; k < g->n_founders; k++) {
        uint64_t any = 0, both = 0; /* whole numbers, so that the order of adding is nothing */
        for (size_t i = 0; i < j.workers; i++) {
            any += j.work[i].any[k];
            both += j.work[i].both[k];
        }
        f[k] = g->founder[k];
        f[k].survives = (double)any / (double)replicates;
        f[k].alleles = (double)both / (double)replicates;
    }
    g->founder = f;
    return ST_OK;
}
