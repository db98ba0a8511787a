/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a group carries of its founders, and how fast it loses it. */
#include <math.h>
#include <stdlib.h>

#include "core/pedigree/genes_inside.h"

static enum status no_room(struct message *why)
{
    return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
}

enum status genes_weights(const struct pedigree *p, const struct genes_group *group, double c[], struct message *why)
{
    double sum = 0.0;

    if (group->n == 0)
        return refuse(ST_BAD_INPUT, why, "candidates", "no animal is in the group; name one or more");
    for (uint32_t i = 0; i <= p->n; i++)
        c[i] = 0.0;
    for (size_t k = 0; k < group->n; k++) {
        const double w = group->weight ? group->weight[k] : 1.0 / (double)group->n;
        if (group->animal[k] == 0 || group->animal[k] > p->n)
            return refuse(ST_BAD_INPUT, why, "candidates", "animal %zu of the group is not in the pedigree", k + 1);
        if (!(w >= 0.0 && w <= 1.0))
            return refuse(ST_BAD_INPUT, why, "candidates", "weight %zu is %g; give 0 to 1", k + 1, w);
        c[group->animal[k]] += w;
        sum += w;
    }
    if (!(fabs(sum - 1.0) <= 1e-9))
        return refuse(ST_BAD_INPUT, why, "candidates", "the weights sum to %.9g; they must sum to 1", sum);
    return ST_OK;
}

void genes_handed_down(const struct pedigree *p, double q[])
{
    for (uint32_t i = p->n; i > 0; i--) {
        q[p->sire[i]] += 0.5 * q[i];
        q[p->dam[i]] += 0.5 * q[i];
    }
    q[0] = 0.0;
}

void genes_ballou(const struct pedigree *p, const double f[], double b[])
{
    b[0] = 0.0;
    for (uint32_t i = 1; i <= p->n; i++) {
        const uint32_t s = p->sire[i], d = p->dam[i];
        const double from_s = s ? b[s] + (1.0 - b[s]) * f[s] : 0.0, from_d = d ? b[d] + (1.0 - b[d]) * f[d] : 0.0;
        b[i] = 0.5 * (from_s + from_d);
    }
}

enum status genes_mean_kinship(const struct pedigree *p, const double d[], const struct genes_group *group,
                               struct arena *mem, double mk[], struct message *why)
{
    double *v = ARENA_NEW(mem, double, (size_t)p->n + 1);
    enum status st;

    if (!v)
        return no_room(why);
    st = genes_weights(p, group, mk, why);
    if (st != ST_OK)
        return st;
    pedigree_times(p, d, mk, mk, v);
    for (uint32_t i = 0; i <= p->n; i++)
        mk[i] *= 0.5;
    return ST_OK;
}

/* ---- founders ---- */

static int by_share(const void *left, const void *right)
{
    const struct genes_founder *a = left, *b = right;

    if (a->share != b->share)
        return a->share < b->share ? 1 : -1;
    if (a->animal != b->animal)
        return a->animal < b->animal ? -1 : 1;
    return (int)a->phantom - (int)b->phantom;
}

/* Which members of the group descend from which of 64 founders at once: one bit each, handed down. */
static void carriers_of_64(const struct pedigree *p, const double c[], size_t n, struct genes_founder f[],
                           uint64_t bits[])
{
    for (uint32_t i = 0; i <= p->n; i++)
        bits[i] = 0;
    for (size_t k = 0; k < n; k++)
        bits[f[k].animal] |= UINT64_C(1) << k;
    for (uint32_t i = 1; i <= p->n; i++) {
        bits[i] |= bits[p->sire[i]] | bits[p->dam[i]];
        if (!(c[i] > 0.0))
            continue;
        for (size_t k = 0; k < n; k++)
            if (bits[i] >> k & 1) {
                f[k].only = f[k].carriers == 0 ? i : 0;
                f[k].carriers++;
            }
    }
}

static bool half_known(const struct pedigree *p, uint32_t i)
{
    return (p->sire[i] == 0) != (p->dam[i] == 0);
}

static bool founder(const struct pedigree *p, uint32_t i)
{
    return p->sire[i] == 0 && p->dam[i] == 0;
}

static enum status founders_of(const struct pedigree *p, const double c[], const double q[], struct arena *mem,
                               struct genes *out, struct message *why)
{
    bool *parent = ARENA_NEW(mem, bool, (size_t)p->n + 1);
    uint64_t *bits = ARENA_NEW(mem, uint64_t, (size_t)p->n + 1);
    size_t n = 0, alive = 0;
    double squares = 0.0;

    if (!parent || !bits)
        return no_room(why);
    for (uint32_t i = 1; i <= p->n; i++)
        parent[p->sire[i]] = parent[p->dam[i]] = true;
    for (uint32_t i = 1; i <= p->n; i++)
        n += (founder(p, i) || half_known(p, i)) && (q[i] > 0.0 || parent[i]);
    struct genes_founder *f = ARENA_NEW(mem, struct genes_founder, n + 1);
    if (!f)
        return no_room(why);
    n = 0;
    for (uint32_t i = 1; i <= p->n; i++) {
        const bool phantom = half_known(p, i);
        if ((phantom || founder(p, i)) && (q[i] > 0.0 || parent[i]))
            f[n++] = (struct genes_founder){ i, phantom, phantom ? 0.5 * q[i] : q[i], 0, 0, NAN, NAN };
    }
    qsort(f, n, sizeof *f, by_share);
    for (; alive < n && f[alive].share > 0.0; alive++)
        squares += f[alive].share * f[alive].share;
    for (size_t k = 0; k < alive; k += 64)
        carriers_of_64(p, c, alive - k < 64 ? alive - k : 64, f + k, bits);
    out->founder = f;
    out->n_founders = n;
    out->fe = 1.0 / squares;
    return ST_OK;
}

/* ---- the rest ---- */

/* Gutierrez, Cervantes & Goyache 2009: 1 - (1 - F)^(1 / (t - 1)); those with t of 1 or less can't be inbred yet. */
static double ne_of(const struct pedigree *p, const double c[], const double f[], const double t[])
{
    double sum = 0.0, weight = 0.0;

    for (uint32_t i = 1; i <= p->n; i++)
        if (c[i] > 0.0 && t[i] > 1.0) {
            sum += c[i] * (1.0 - pow(1.0 - f[i], 1.0 / (t[i] - 1.0)));
            weight += c[i];
        }
    if (!(weight > 0.0))
        return NAN;
    return sum > 0.0 ? weight / (2.0 * sum) : (double)INFINITY;
}

static double ne_of_numbers(const struct pedigree *p, const double c[], bool seen[])
{
    double males = 0.0, females = 0.0;

    for (uint32_t i = 0; i <= p->n; i++)
        seen[i] = false;
    for (uint32_t i = 1; i <= p->n; i++)
        if (c[i] > 0.0) {
            const uint32_t s = p->sire[i], d = p->dam[i];
            males += s && !seen[s];
            seen[s] = true;
            females += d && !seen[d];
            seen[d] = true;
        }
    return males > 0.0 && females > 0.0 ? 4.0 * males * females / (males + females) : (double)NAN;
}

enum status genes_of(const struct pedigree *p, const double f[], const double d[], const struct genes_group *group,
                     struct arena *mem, struct genes *out, struct message *why)
{
    const size_t n = (size_t)p->n + 1;
    double *c = ARENA_NEW(mem, double, n), *q = ARENA_NEW(mem, double, n), *t = ARENA_NEW(mem, double, n),
           *b = ARENA_NEW(mem, double, n);
    bool *seen = ARENA_NEW(mem, bool, n);
    double all = 0.0, selves = 0.0, squares = 0.0;
    struct genes g = { 0 };

    if (!c || !q || !t || !b || !seen)
        return no_room(why);
    enum status st = genes_weights(p, group, c, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < n; i++)
        q[i] = c[i];
    genes_handed_down(p, q);
    pedigree_equivalent(p, t);
    genes_ballou(p, f, b);
    for (uint32_t i = 1; i <= p->n; i++) {
        all += q[i] * q[i] * d[i]; /* c'A c, since A = T D T' */
        selves += c[i] * c[i] * (1.0 + f[i]);
        squares += c[i] * c[i];
        if (c[i] > 0.0) {
            g.mean_f += c[i] * f[i];
            g.equivalent_generations += c[i] * t[i];
            g.ballou += c[i] * b[i];
        }
    }
    g.fg = 1.0 / all;
    g.mean_kinship = 0.5 * all;
    g.mean_kinship_without_self = squares < 1.0 ? 0.5 * (all - selves) / (1.0 - squares) : (double)NAN;
    g.ne = ne_of(p, c, f, t);
    g.ne_numbers = ne_of_numbers(p, c, seen);
    st = founders_of(p, c, q, mem, &g, why);
    if (st == ST_OK)
        *out = g;
    return st;
}

double genes_ne_by_year(const struct pedigree *p, const double f[], double generation_years)
{
    double n = 0.0, x = 0.0, y = 0.0, xx = 0.0, xy = 0.0;

    for (int pass = 0; pass < 2; pass++)
        for (uint32_t i = 1; i <= p->n; i++) {
            if (p->born[i] == PEDIGREE_NO_DAY || !(f[i] < 1.0))
                continue;
            const double year = floor((double)p->born[i] / 365.2425), log_out = log1p(-f[i]);
            if (pass == 0) {
                n += 1.0;
                x += year;
                y += log_out;
            } else {
                xx += (year - x / n) * (year - x / n);
                xy += (year - x / n) * (log_out - y / n);
            }
        }
    if (!(xx > 0.0) || !(xy < 0.0) || !(generation_years > 0.0))
        return NAN;
    return 1.0 / (2.0 * -expm1(generation_years * xy / xx));
}
