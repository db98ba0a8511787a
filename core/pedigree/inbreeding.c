/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which method for F, and the method of buckets (Sargolzaei & Iwaisaki 2005). */
#include "core/pedigree/inbreeding.h"

#include <string.h>

/* ---- only parents matter as ancestors ---- */

/* Who has offspring: list[1 .. n] in order; use[] by animal. */
static uint32_t list_parents(const struct pedigree *p, uint8_t *use, uint32_t *list)
{
    uint32_t n = 0;

    for (uint32_t i = 1; i <= p->n; i++) {
        use[p->sire[i]] |= 1;
        use[p->dam[i]] |= 2;
    }
    use[0] = 0;
    for (uint32_t from = 0; from <= p->n; from += 8) { /* few have: eight at a time; use[] is longer than it must be */
        uint64_t eight;
        memcpy(&eight, use + from, sizeof eight);
        for (uint32_t i = from; eight && i < from + 8; i++)
            if (use[i])
                list[++n] = i;
    }
    return n;
}

/* Longest ancestral paths of list[1 .. n] and, in end[l + 1], how many have one of l. */
static void levels(const struct pedigree *p, const uint32_t *list, uint32_t n, uint32_t *by_animal, uint32_t *end)
{
    for (uint32_t k = 1; k <= n; k++) { /* one more than the path, so that 0 is an unknown parent's */
        const uint32_t i = list[k], a = by_animal[p->sire[i]], b = by_animal[p->dam[i]];
        by_animal[i] = 1 + (a > b ? a : b);
        end[by_animal[i]]++;
    }
}

static bool parents_open(struct parents *out, uint32_t n, struct arena *work)
{
    out->n = n;
    out->sire = ARENA_NEW(work, uint32_t, (size_t)n + 1);
    out->dam = ARENA_NEW(work, uint32_t, (size_t)n + 1);
    out->level = ARENA_NEW(work, uint32_t, (size_t)n + 1);
    out->of = ARENA_NEW(work, uint32_t, (size_t)n + 1);
    out->use = ARENA_NEW(work, uint8_t, (size_t)n + 1);
    return !arena_full(work);
}

bool parents_find(const struct pedigree *p, struct arena *work, struct parents *out)
{
    uint8_t *use = ARENA_NEW(work, uint8_t, (size_t)p->n + 16);
    uint32_t *list = ARENA_NEW(work, uint32_t, (size_t)p->n + 1), *end;

    *out = (struct parents){ .number = ARENA_NEW(work, uint32_t, (size_t)p->n + 1) };
    if (!use || !list || !out->number)
        return false;
    const uint32_t n = list_parents(p, use, list);
    if (!parents_open(out, n, work) || !(end = ARENA_NEW(work, uint32_t, (size_t)n + 2)))
        return false;
    levels(p, list, n, out->number, end);
    for (uint32_t l = 1; l <= n; l++)
        end[l + 1] += end[l];
    for (uint32_t k = 1; k <= n; k++) { /* end[l] = those of shorter paths, and those numbered so far */
        const uint32_t i = list[k], path = out->number[i] - 1, number = ++end[path];
        out->of[number] = i;
        out->level[number] = path;
        out->use[number] = use[i];
        out->n_sires += use[i] & 1;
        out->n_dams += use[i] >> 1 & 1;
    }
    for (uint32_t k = 1; k <= n; k++)
        out->number[out->of[k]] = k;
    for (uint32_t k = 1; k <= n; k++) {
        out->sire[k] = out->number[p->sire[out->of[k]]];
        out->dam[k] = out->number[p->dam[out->of[k]]];
    }
    return true;
}

/* ---- buckets ---- */

/* Ancestors wait in a list for each longest ancestral path and are taken from the longest down, so that each is taken
 * once, with all its share. */
struct buckets {
    const struct parents *up;
    const double *d; /* of parents */
    double *share;
    uint32_t *next, *head; /* by parent; by level */
    size_t visited;
};

static void put(struct buckets *b, uint32_t i, double share)
{
    if (i && b->share[i] <= 0.0) {
        b->next[i] = b->head[b->up->level[i]];
        b->head[b->up->level[i]] = i;
    }
    b->share[i] += share;
}

/* F of an animal of these parents: its own row of T squared, weighted by D, less 1. */
static double bucket_f(struct buckets *b, uint32_t sire, uint32_t dam, double own_d)
{
    const uint32_t *level = b->up->level;
    double sum = own_d;

    put(b, sire, 0.5);
    put(b, dam, 0.5);
    for (uint32_t at = (level[sire] > level[dam] ? level[sire] : level[dam]) + 1; at-- > 0;)
        while (b->head[at]) {
            const uint32_t i = b->head[at];
            const double t = b->share[i];
            b->head[at] = b->next[i];
            b->share[i] = 0.0;
            b->visited++;
            sum += t * t * b->d[i];
            put(b, b->up->sire[i], 0.5 * t);
            put(b, b->up->dam[i], 0.5 * t);
        }
    return sum - 1.0;
}

static bool buckets_open(struct buckets *b, const struct parents *up, const double *d, struct arena *work)
{
    uint32_t top = 0;

    for (uint32_t i = 1; i <= up->n; i++)
        top = up->level[i] > top ? up->level[i] : top;
    *b = (struct buckets){ .up = up,
                           .d = d,
                           .share = ARENA_NEW(work, double, (size_t)up->n + 1),
                           .next = ARENA_NEW(work, uint32_t, (size_t)up->n + 1),
                           .head = ARENA_NEW(work, uint32_t, (size_t)top + 2) };
    return b->share && b->next && b->head;
}

/* For each animal the first of its full sibs, found through the offspring of each sire. False: memory. */
static bool first_sib(const struct pedigree *p, const struct parents *up, struct arena *work, uint32_t first[])
{
    uint32_t *start = ARENA_NEW(work, uint32_t, (size_t)up->n + 2), *of = ARENA_NEW(work, uint32_t, (size_t)p->n + 1);
    uint32_t *seen = ARENA_NEW(work, uint32_t, (size_t)up->n + 1), *sib = ARENA_NEW(work, uint32_t, (size_t)up->n + 1);

    if (!start || !of || !seen || !sib)
        return false;
    for (uint32_t i = 1; i <= p->n; i++)
        start[up->number[p->sire[i]] + 1]++;
    for (uint32_t s = 0; s <= up->n; s++)
        start[s + 1] += start[s];
    for (uint32_t i = 1; i <= p->n; i++)
        of[start[up->number[p->sire[i]]]++] = i; /* start[s] ends as the end of s */
    for (uint32_t s = 0, at = 0; s <= up->n; s++)
        for (; at < start[s]; at++) {
            const uint32_t i = of[at], m = up->number[p->dam[i]];
            first[i] = seen[m] == s + 1 ? sib[m] : i;
            seen[m] = s + 1;
            sib[m] = first[i];
        }
    return true;
}

bool inbreeding_by_buckets(const struct pedigree *p, const struct parents *up, struct arena *work, double f[])
{
    double *d = ARENA_NEW(work, double, (size_t)up->n + 1);
    uint32_t *first = ARENA_NEW(work, uint32_t, (size_t)p->n + 1);
    struct buckets b;

    if (!d || !first || !buckets_open(&b, up, d, work) || !first_sib(p, up, work, first))
        return false;
    for (uint32_t i = 1; i <= p->n; i++) {
        const uint32_t s = p->sire[i], m = p->dam[i];
        const double own_d = 0.5 - 0.25 * ((s ? f[s] : -1.0) + (m ? f[m] : -1.0));
        d[up->number[i]] = own_d;
        if (!s || !m)
            f[i] = 0.0;
        else
            f[i] = first[i] != i ? f[first[i]] : bucket_f(&b, up->number[s], up->number[m], own_d);
    }
    return true;
}

/* ---- which ---- */

/* Steps of the buckets for a sample of matings, against those of the sweeps: a share of a step of eight lanes each. */
static bool few_enough(const struct pedigree *p, const struct parents *up, struct arena *work, bool *few)
{
    enum { SAMPLE = 64 };
    const uint32_t side = up->n_sires < up->n_dams ? up->n_sires : up->n_dams;
    const double sweeps = (double)side / 8.0 * 2.0 * up->n;
    double *d = ARENA_NEW(work, double, (size_t)up->n + 1);
    struct buckets b;
    size_t asked = 0;

    if (!d || !buckets_open(&b, up, d, work))
        return false;
    for (uint32_t k = 0; k < SAMPLE; k++) {
        const uint32_t i = (uint32_t)((uint64_t)p->n * (2 * k + 1) / (2 * SAMPLE)) + 1;
        if (i <= p->n && p->sire[i] && p->dam[i]) {
            (void)bucket_f(&b, up->number[p->sire[i]], up->number[p->dam[i]], 0.0);
            asked++;
        }
    }
    /* Full sibs are done once by the buckets: at best one mating for each dam and four litters. */
    const double matings = (double)up->n_dams * 4.0 < p->n ? (double)up->n_dams * 4.0 : (double)p->n;
    *few = asked == 0 || sweeps <= matings * 6.0 * (double)b.visited / (double)asked;
    return true;
}

enum status pedigree_inbreeding(const struct pedigree *p, enum pedigree_method how, const struct pedigree_hands *hands,
                                struct arena *mem, double f[], struct message *why)
{
    struct parents up;
    struct arena work;
    bool by_sire = how == PEDIGREE_BY_SIRE;

    (void)mem;
    arena_open(&work, SIZE_MAX);
    for (uint32_t i = 1; i <= p->n; i++)
        f[i] = 0.0;
    f[0] = -1.0;
    bool done = parents_find(p, &work, &up);
    if (done && how == PEDIGREE_BEST)
        done = few_enough(p, &up, &work, &by_sire);
    if (done)
        done = by_sire ? inbreeding_by_sire(p, &up, hands, &work, f) : inbreeding_by_buckets(p, &up, &work, f);
    arena_close(&work);
    return done ? ST_OK : refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
}
