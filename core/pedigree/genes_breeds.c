/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Parts of breeds, and the words of grading up. */
#include <math.h>

#include "core/pedigree/genes.h"

static void own(const struct pedigree *p, uint32_t i, double row[], double part)
{
    const size_t b = p->breed && p->breed[i] != PEDIGREE_NO_BREED ? p->breed[i] : p->n_breeds;

    row[b] += part;
}

enum status genes_breeds(const struct pedigree *p, bool own_breed, struct arena *mem, double *const g[],
                         struct message *why)
{
    (void)mem;
    for (uint32_t i = 1; p->breed && i <= p->n; i++)
        if (p->breed[i] != PEDIGREE_NO_BREED && p->breed[i] >= p->n_breeds)
            return refuse(ST_BAD_INPUT, why, "breed", "animal %u has breed %u of %zu", (unsigned)i,
                          (unsigned)p->breed[i], p->n_breeds);
    for (uint32_t i = 0; i <= p->n; i++) {
        const uint32_t parent[2] = { i ? p->sire[i] : 0, i ? p->dam[i] : 0 };
        double *row = g[i];
        for (size_t b = 0; b <= p->n_breeds; b++)
            row[b] = 0.0;
        if (i == 0)
            continue;
        if (parent[0] == 0 && parent[1] == 0) {
            own(p, i, row, 1.0);
            continue;
        }
        for (int k = 0; k < 2; k++)
            if (parent[k])
                for (size_t b = 0; b <= p->n_breeds; b++)
                    row[b] += 0.5 * g[parent[k]][b];
            else if (own_breed)
                own(p, i, row, 0.5);
            else
                row[p->n_breeds] += 0.5;
    }
    return ST_OK;
}

unsigned genes_grade(double share)
{
    if (!(share >= 0.5 - 1e-12)) /* NAN too */
        return 0;
    if (share >= 1.0)
        return GENES_PURE;
    return (unsigned)floor(-log2(1.0 - share) + 1e-9);
}

bool genes_fraction(double share, uint32_t *over, uint32_t *under)
{
    if (!(share >= 0.0 && share <= 4095.0)) /* so that the upper number fits */
        return false;
    for (uint32_t u = 1; u <= UINT32_C(1) << 20; u <<= 1) {
        const double o = share * (double)u;
        if (o == floor(o)) {
            *over = (uint32_t)o;
            *under = u;
            return true;
        }
    }
    return false;
}
