/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What one or two sweeps over a numbered pedigree give, and the dense tables for checks. */
#include <math.h>
#include <string.h>

#include "core/pedigree/pedigree.h"

void pedigree_mendelian(const struct pedigree *p, const double f[], double d[])
{
    d[0] = 0.0;
    for (uint32_t i = 1; i <= p->n; i++) {
        const double fs = p->sire[i] ? f[p->sire[i]] : -1.0, fd = p->dam[i] ? f[p->dam[i]] : -1.0;
        d[i] = 0.5 - 0.25 * (fs + fd);
    }
}

void pedigree_times(const struct pedigree *p, const double d[], const double x[], double y[], double v[])
{
    memcpy(v, x, ((size_t)p->n + 1) * sizeof *v);
    for (uint32_t i = p->n; i > 0; i--) {
        v[p->sire[i]] += 0.5 * v[i];
        v[p->dam[i]] += 0.5 * v[i];
    }
    y[0] = 0.0;
    for (uint32_t i = 1; i <= p->n; i++)
        y[i] = v[i] * d[i] + 0.5 * (y[p->sire[i]] + y[p->dam[i]]);
}

void pedigree_table(const struct pedigree *p, double a[])
{
    const size_t w = (size_t)p->n + 1;

    memset(a, 0, w * w * sizeof *a);
    for (size_t i = 1; i < w; i++) {
        const size_t s = p->sire[i], m = p->dam[i];
        for (size_t j = 1; j < i; j++)
            a[i * w + j] = a[j * w + i] = 0.5 * (a[s * w + j] + a[m * w + j]);
        a[i * w + i] = 1.0 + 0.5 * a[s * w + m];
    }
}

void pedigree_inverse(const struct pedigree *p, const double d[], double inverse[])
{
    const size_t w = (size_t)p->n + 1;

    memset(inverse, 0, w * w * sizeof *inverse);
    for (size_t i = 1; i < w; i++) {
        const size_t who[3] = { i, p->sire[i], p->dam[i] };
        const double part[3] = { 1.0, who[1] ? -0.5 : 0.0, who[2] ? -0.5 : 0.0 };
        for (size_t r = 0; r < 3; r++)
            for (size_t c = 0; c < 3; c++)
                inverse[who[r] * w + who[c]] += part[r] * part[c] / d[i];
    }
}

void pedigree_equivalent(const struct pedigree *p, double t[])
{
    t[0] = -1.0;
    for (uint32_t i = 1; i <= p->n; i++)
        t[i] = 0.5 * (t[p->sire[i]] + 1.0) + 0.5 * (t[p->dam[i]] + 1.0);
}

/* Share of the ancestors `back` generations ago that is known, 1 .. 5 generations. */
static double share_back(const struct pedigree *p, uint32_t animal, unsigned back)
{
    uint32_t at[64] = { animal };
    size_t n = 1;

    for (unsigned g = 0; g < back; g++) {
        uint32_t up[64];
        size_t k = 0;
        for (size_t i = 0; i < n; i++) {
            if (p->sire[at[i]])
                up[k++] = p->sire[at[i]];
            if (p->dam[at[i]])
                up[k++] = p->dam[at[i]];
        }
        memcpy(at, up, k * sizeof *at);
        n = k;
    }
    return (double)n / (double)(1u << back);
}

struct depth {
    uint32_t complete, longest;
};

struct pedigree_known pedigree_known_of(const struct pedigree *p, uint32_t animal)
{
    struct pedigree_known known = { .complete = 0 };
    struct arena work;

    for (unsigned g = 0; g < 5; g++)
        known.share[g] = share_back(p, animal, g + 1);
    arena_open(&work, SIZE_MAX);
    struct depth *depth = ARENA_NEW(&work, struct depth, (size_t)animal + 1);
    double *t = ARENA_NEW(&work, double, (size_t)animal + 1);
    if (!depth || !t) {
        arena_close(&work);
        known.equivalent = NAN;
        return known;
    }
    t[0] = -1.0;
    for (uint32_t i = 1; i <= animal; i++) {
        const uint32_t s = p->sire[i], m = p->dam[i];
        const struct depth a = depth[s], b = depth[m];
        t[i] = 0.5 * (t[s] + 1.0) + 0.5 * (t[m] + 1.0);
        if (s && m)
            depth[i].complete = 1 + (a.complete < b.complete ? a.complete : b.complete);
        if (s || m)
            depth[i].longest = 1 + (a.longest > b.longest ? a.longest : b.longest);
    }
    known.complete = depth[animal].complete;
    known.longest = depth[animal].longest;
    known.equivalent = t[animal];
    arena_close(&work);
    return known;
}
