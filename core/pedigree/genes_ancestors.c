/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Effective ancestors (Boichard, Maignel & Verrier 1997, section "probabilities of gene origin", algorithm there). */
#include <math.h>

#include "core/pedigree/genes_inside.h"

struct cut {
    const struct pedigree *p; /* parents of those picked taken away */
    uint32_t *sire, *dam;
    double *c, *q, *x;
    bool *picked;
};

static enum status cut_open(struct cut *w, const struct pedigree *p, struct pedigree *shorn, struct arena *mem,
                            struct message *why)
{
    const size_t n = (size_t)p->n + 1;

    *w = (struct cut){ .p = shorn,
                       .sire = ARENA_NEW(mem, uint32_t, n),
                       .dam = ARENA_NEW(mem, uint32_t, n),
                       .c = ARENA_NEW(mem, double, n),
                       .q = ARENA_NEW(mem, double, n),
                       .x = ARENA_NEW(mem, double, n),
                       .picked = ARENA_NEW(mem, bool, n) };
    if (!w->sire || !w->dam || !w->c || !w->q || !w->x || !w->picked)
        return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
    for (size_t i = 0; i < n; i++) {
        w->sire[i] = p->sire[i];
        w->dam[i] = p->dam[i];
    }
    *shorn = *p;
    shorn->sire = w->sire;
    shorn->dam = w->dam;
    return ST_OK;
}

/* The animal with the largest marginal part, the lower number of equals; 0: nothing is left. */
static uint32_t next_pick(struct cut *w, double *marginal)
{
    const uint32_t n = w->p->n;
    uint32_t best = 0;

    for (uint32_t i = 0; i <= n; i++)
        w->q[i] = w->c[i];
    genes_handed_down(w->p, w->q);
    *marginal = 0.0;
    w->x[0] = 0.0;
    for (uint32_t i = 1; i <= n; i++) {
        w->x[i] = w->picked[i] ? 1.0 : 0.5 * (w->x[w->sire[i]] + w->x[w->dam[i]]);
        const double m = w->q[i] * (1.0 - w->x[i]);
        if (m > *marginal) {
            *marginal = m;
            best = i;
        }
    }
    return best;
}

static double ancestors(const struct pedigree *p, const double c[], double q[])
{
    double n = 0.0;

    for (uint32_t i = 0; i <= p->n; i++)
        q[i] = c[i];
    genes_handed_down(p, q);
    for (uint32_t i = 1; i <= p->n; i++)
        n += q[i] > 0.0;
    return n;
}

enum status genes_ancestors_of(const struct pedigree *p, const struct genes_group *group, double explain, size_t most,
                               struct arena *mem, struct genes_ancestors *out, struct message *why)
{
    struct cut w;
    struct pedigree shorn;
    double sum = 0.0, squares = 0.0, last = 0.0;
    size_t n = 0;
    enum status st = cut_open(&w, p, &shorn, mem, why);

    if (st == ST_OK)
        st = genes_weights(p, group, w.c, why);
    if (st != ST_OK)
        return st;
    const double all = ancestors(p, w.c, w.q);
    const size_t ceiling = most && (double)most < all ? most : (size_t)all;
    struct genes_ancestor *list = ARENA_NEW(mem, struct genes_ancestor, ceiling + 1);
    if (!list)
        return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
    while (n < ceiling && sum < explain - 1e-12) {
        double m;
        const uint32_t a = next_pick(&w, &m);
        if (a == 0)
            break;
        list[n++] = (struct genes_ancestor){ a, m };
        w.picked[a] = true;
        w.sire[a] = w.dam[a] = 0;
        sum += m;
        squares += m * m;
        last = m;
    }
    const double rest = fmax(0.0, 1.0 - sum), room = all - (double)n;
    *out = (struct genes_ancestors){ .n = n, .ancestor = list, .fa = 1.0 / squares, .explained = sum };
    out->fa_low = rest > 1e-12 ? 1.0 / (squares + rest * last) : out->fa;
    out->fa_high = rest > 1e-12 && room > 0.0 ? 1.0 / (squares + rest * rest / room) : out->fa;
    return ST_OK;
}
