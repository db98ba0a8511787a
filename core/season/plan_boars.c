/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The luck that sows share: which boars take anybody. Given that luck they are independent, so the number of them is
 * folded in boar by boar and the boars' numbers are added. */
#include <stdint.h>
#include <string.h>

#include "core/season/plan_inside.h"

const double *plan_born(const struct plan_sow *s, enum plan_luck luck)
{
    switch (luck) {
    case PLAN_BOTH: return s->both ? s->both : s->born;
    case PLAN_INSTEAD: return s->instead;
    case PLAN_SOUND:
    case PLAN_LUCKS: break;
    }
    return s->born;
}

static size_t slot_of(const void *born, const void *second, size_t n_slots)
{
    uint64_t h = (uint64_t)(uintptr_t)born * 0x9e3779b97f4a7c15u ^ (uint64_t)(uintptr_t)second;

    h ^= h >> 29;
    h *= 0xbf58476d1ce4e5b9u;
    return (size_t)(h >> 32) & (n_slots - 1);
}

const size_t *plan_alike(const struct plan *p, struct arena *mem)
{
    const size_t n = PLAN_LUCKS * p->n_sows;
    size_t n_slots = 16;

    while (n_slots < 2 * n)
        n_slots *= 2;
    size_t *first = ARENA_NEW(mem, size_t, n + 1), *slot = ARENA_NEW(mem, size_t, n_slots); /* place + 1; 0: free */
    if (!first || !slot)
        return NULL;
    for (size_t i = 0; i < n; i++) {
        const struct plan_sow *s = &p->sows[i % p->n_sows];
        const double *born = plan_born(s, (enum plan_luck)(i / p->n_sows));
        size_t at = slot_of(born, s->second, n_slots);
        for (; slot[at] > 0; at = (at + 1) & (n_slots - 1)) {
            const size_t k = slot[at] - 1;
            const struct plan_sow *other = &p->sows[k % p->n_sows];
            if (plan_born(other, (enum plan_luck)(k / p->n_sows)) == born && other->second == s->second)
                break;
        }
        slot[at] = slot[at] > 0 ? slot[at] : i + 1;
        first[i] = slot[at] - 1;
    }
    return first;
}

bool plan_reserve(const struct plan *p)
{
    return p->reserve_fails < 1.0;
}

double plan_share(const struct plan *p, enum plan_luck luck)
{
    const double sound = luck == PLAN_INSTEAD ? p->boar_fails : 1.0 - p->boar_fails;

    return sound * (luck == PLAN_SOUND ? p->reserve_fails : 1.0 - p->reserve_fails);
}

void plan_sum_of(size_t n, const double q[], double count[])
{
    count[0] = 1.0;
    for (size_t i = 0; i < n; i++) {
        count[i + 1] = count[i] * q[i];
        for (size_t k = i; k > 0; k--)
            count[k] = count[k] * (1.0 - q[i]) + count[k - 1] * q[i];
        count[0] *= 1.0 - q[i];
    }
}

/* One boar's sows that may come at all: into count[0 .. n], n of them; q and other hold n_sows each. */
static size_t of_boar(const struct plan *p, size_t boar, const double sound[], const double fails[], double q[],
                      double other[], double count[])
{
    size_t n = 0;
    bool any = false;

    for (size_t s = 0; s < p->n_sows; s++)
        if (p->sows[s].boar == boar && (sound[s] > 0.0 || (fails && fails[s] > 0.0)))
            q[n++] = sound[s];
    plan_sum_of(n, q, count);
    n = 0;
    for (size_t s = 0; s < p->n_sows; s++)
        if (p->sows[s].boar == boar && (sound[s] > 0.0 || (fails && fails[s] > 0.0))) {
            q[n++] = fails ? fails[s] : 0.0;
            any = any || q[n - 1] > 0.0;
        }
    if (any)
        plan_sum_of(n, q, other);
    for (size_t k = 0; k <= n; k++)
        count[k] = (1.0 - p->boar_fails) * count[k] + p->boar_fails * (any ? other[k] : k == 0 ? 1.0 : 0.0);
    return n;
}

/* all[0 .. n] with m more: their numbers added, into sum. Of many sows, numbers that do not come once in 10^30 are left
 * out: far less than a last bit of anything that is said. */
static void add_numbers(size_t n, const double *restrict all, size_t m, const double *restrict more,
                        double *restrict sum)
{
    enum { MANY = 128 };
    const double least = n + m > MANY ? 1e-30 : 0.0;

    memset(sum, 0, (n + m + 1) * sizeof *sum);
    for (size_t i = 0; i <= n; i++)
        if (all[i] >= least)
            for (size_t k = 0; k <= m; k++)
                sum[i + k] += all[i] * more[k];
}

/* Has the boar a sow that may come? Most days of a plan see none. */
static void sows_come(const struct plan *p, const double sound[], const double fails[], bool any[PLAN_BOARS])
{
    for (size_t b = 0; b < PLAN_BOARS; b++)
        any[b] = false;
    for (size_t s = 0; s < p->n_sows; s++)
        if (sound[s] > 0.0 || (fails && fails[s] > 0.0))
            any[p->sows[s].boar] = true;
}

void plan_sum_with_boars(const struct plan *p, const double sound[], const double both[], const double instead[],
                         double scratch[], double count[])
{
    const size_t room = p->n_sows + 1;
    double *q = scratch, *other = scratch + room, *mine = scratch + 2 * room, *all = scratch + 3 * room,
           *sum = scratch + 4 * room;

    memset(count, 0, room * sizeof *count);
    for (int with = 0; with < 1 + plan_reserve(p); with++) {
        const double weight = with ? 1.0 - p->reserve_fails : p->reserve_fails;
        size_t n = 0;
        bool any[PLAN_BOARS];
        sows_come(p, with ? both : sound, with ? instead : NULL, any);
        all[0] = 1.0;
        for (size_t b = 0; b < p->n_boars; b++) {
            if (!any[b])
                continue;
            const size_t m = of_boar(p, b, with ? both : sound, with ? instead : NULL, q, other, mine);
            add_numbers(n, all, m, mine, sum);
            n += m;
            memcpy(all, sum, (n + 1) * sizeof *all);
        }
        for (size_t k = 0; k <= n; k++)
            count[k] += weight * all[k];
    }
}
