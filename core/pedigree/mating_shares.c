/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shares that keep mean kinship least, and the ring of boar lines. */
#include <math.h>

#include "core/pedigree/mating.h"

/* A convex program with shares of 0 or more. Meuwissen (1997) drops what comes out negative and solves again; here
 * shares are dropped one by one on the way to each solution, and taken back where that would lower kinship (the active
 * set method; Nocedal & Wright, Numerical Optimization, 16.5, from memory), so that the end is the least there is. */
struct shares {
    const struct mating_shares_ask *ask;
    double *c;
    bool *in;    /* free to move */
    size_t *who; /* those in */
    double *m;   /* (in + 2) x (in + 3): the equations and their right side */
    double *x;   /* by animal: where the equations would go */
    double price[2];
};

static double a_of(const struct shares *w, size_t i, size_t j)
{
    return w->ask->a[i * w->ask->n + j];
}

static bool solve(double *m, size_t n) /* n x (n + 1), rows swapped to the largest */
{
    for (size_t k = 0; k < n; k++) {
        size_t best = k;
        for (size_t r = k + 1; r < n; r++)
            if (fabs(m[r * (n + 1) + k]) > fabs(m[best * (n + 1) + k]))
                best = r;
        if (!(fabs(m[best * (n + 1) + k]) > 1e-12))
            return false;
        for (size_t c = k; best != k && c <= n; c++) {
            const double swap = m[k * (n + 1) + c];
            m[k * (n + 1) + c] = m[best * (n + 1) + c];
            m[best * (n + 1) + c] = swap;
        }
        for (size_t r = 0; r < n; r++) {
            const double by = r == k ? 0.0 : m[r * (n + 1) + k] / m[k * (n + 1) + k];
            for (size_t c = k; by != 0.0 && c <= n; c++)
                m[r * (n + 1) + c] -= by * m[k * (n + 1) + c];
        }
    }
    for (size_t k = 0; k < n; k++)
        m[k * (n + 1) + n] /= m[k * (n + 1) + k];
    return true;
}

static bool moves(const struct shares *w, size_t i)
{
    return w->ask->male[i] || !w->ask->females_equal;
}

/* Lagrange: A c = price of its sex for those in, the shares of a sex summing to a half. */
static bool equations(struct shares *w)
{
    const size_t all = w->ask->n;
    size_t n = 0, size;
    bool sex[2] = { false, false };

    for (size_t i = 0; i < all; i++)
        if (w->in[i]) {
            w->who[n++] = i;
            sex[w->ask->male[i]] = true;
        }
    size = n + sex[0] + sex[1];
    for (size_t k = 0; k < size * (size + 1); k++)
        w->m[k] = 0.0;
    for (size_t r = 0; r < n; r++) {
        const size_t i = w->who[r], s = w->ask->male[i] && sex[0] ? n + 1 : n;
        for (size_t c = 0; c < n; c++)
            w->m[r * (size + 1) + c] = a_of(w, i, w->who[c]);
        w->m[r * (size + 1) + s] = -1.0;
        w->m[s * (size + 1) + r] = 1.0;
        w->m[s * (size + 1) + size] = 0.5;
        for (size_t j = 0; j < all; j++)
            if (!w->in[j]) /* those that stand still: 0, or the females' equal part */
                w->m[r * (size + 1) + size] -= a_of(w, i, j) * w->c[j];
    }
    if (!solve(w->m, size))
        return false;
    for (size_t r = 0; r < n; r++)
        w->x[w->who[r]] = w->m[r * (size + 1) + size];
    for (int male = 0; male < 2; male++)
        w->price[male] = sex[male] ? w->m[(male && sex[0] ? n + 1 : n) * (size + 1) + size] : (double)NAN;
    return true;
}

/* Toward x as far as no share falls under 0; true: all the way. */
static bool step(struct shares *w)
{
    const size_t n = w->ask->n;
    size_t stop = n;
    double far = 1.0;

    for (size_t i = 0; i < n; i++)
        if (w->in[i] && w->x[i] < 0.0 && w->c[i] / (w->c[i] - w->x[i]) < far) {
            far = w->c[i] / (w->c[i] - w->x[i]);
            stop = i;
        }
    for (size_t i = 0; i < n; i++)
        if (w->in[i])
            w->c[i] += far * (w->x[i] - w->c[i]);
    if (stop == n)
        return true;
    w->c[stop] = 0.0;
    w->in[stop] = false;
    return false;
}

/* The one left out that would lower kinship most; n: none. */
static size_t wanted_back(const struct shares *w)
{
    const size_t n = w->ask->n;
    size_t best = n;
    double most = -1e-10;

    for (size_t i = 0; i < n; i++) {
        if (w->in[i] || !moves(w, i))
            continue;
        double slope = -w->price[w->ask->male[i]];
        for (size_t j = 0; j < n; j++)
            slope += a_of(w, i, j) * w->c[j];
        if (slope < most) {
            most = slope;
            best = i;
        }
    }
    return best;
}

static enum status begin(struct shares *w, struct message *why)
{
    const size_t n = w->ask->n;
    double males = 0.0;

    for (size_t i = 0; i < n; i++)
        males += w->ask->male[i];
    if (!(males > 0.0) || !(males < (double)n))
        return refuse(ST_BAD_INPUT, why, "animals", "shares need one male and one female or more");
    for (size_t i = 0; i < n; i++) {
        w->c[i] = 0.5 / (w->ask->male[i] ? males : (double)n - males);
        w->in[i] = moves(w, i);
    }
    return ST_OK;
}

enum status mating_shares(const struct mating_shares_ask *ask, struct arena *mem, double c[], double *mean_kinship,
                          struct message *why)
{
    const size_t n = ask->n;
    struct shares w = { .ask = ask,
                        .c = ARENA_NEW(mem, double, n),
                        .in = ARENA_NEW(mem, bool, n),
                        .who = ARENA_NEW(mem, size_t, n),
                        .m = ARENA_NEW(mem, double, (n + 2) * (n + 3)),
                        .x = ARENA_NEW(mem, double, n) };
    double sum = 0.0;

    if (arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "animals", "too many animals for the memory of this machine");
    enum status st = begin(&w, why);
    if (st != ST_OK)
        return st;
    for (size_t tries = 0;; tries++) {
        if (tries > 100 * n + 100 || !equations(&w))
            return refuse(ST_BAD_INPUT, why, "animals",
                          "two of the animals can't be told apart by their kin; leave out one "
                          "of identical twins");
        if (!step(&w))
            continue;
        const size_t back = wanted_back(&w);
        if (back == n)
            break;
        w.in[back] = true;
    }
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            sum += w.c[i] * w.c[j] * a_of(&w, i, j);
    for (size_t i = 0; i < n; i++)
        c[i] = w.c[i];
    *mean_kinship = 0.5 * sum;
    return ST_OK;
}

enum status mating_circle(size_t n_sows, const uint32_t line[], uint32_t n_lines, uint32_t boar[], struct message *why)
{
    if (n_lines < 3)
        return refuse(ST_BAD_INPUT, why, "lines", "%u lines; a ring needs three or more", (unsigned)n_lines);
    for (size_t s = 0; s < n_sows; s++)
        if (line[s] != MATING_NONE && line[s] >= n_lines)
            return refuse(ST_BAD_INPUT, why, "lines", "sow %zu is of line %u; there are %u", s + 1,
                          (unsigned)line[s] + 1, (unsigned)n_lines);
    for (size_t s = 0; s < n_sows; s++)
        boar[s] = line[s] == MATING_NONE ? MATING_NONE : (line[s] + 1) % n_lines;
    return ST_OK;
}
