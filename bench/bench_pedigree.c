/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A simulated pig pedigree with all piglets recorded: few boars, litters of 8 to 12, ids and rows shuffled. Ours: from
 * the bytes to F. The witness: the published method with buckets (Sargolzaei & Iwaisaki 2005), every animal by itself,
 * written plainly here. Seeds are fixed. BENCH_PEDIGREE=animals, 100000 unless given. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "core/pedigree/pedigree.h"

enum { BOARS = 40, SOWS = 800 };

static uint64_t state = 20260122;
static uint32_t die(uint32_t n)
{
    state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)((state >> 33) % n);
}

static double now(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void must(bool ok)
{
    if (!ok) {
        (void)fprintf(stderr, "bench_pedigree: it went wrong\n");
        exit(1);
    }
}

/* Animals 1 .. n; after each round a quarter of the boars and a third of the sows are replaced by their young. */
static void simulate(uint32_t n, uint32_t *sire, uint32_t *dam)
{
    uint32_t boar[BOARS], sow[SOWS], i = 0;

    for (uint32_t k = 0; k < BOARS; k++)
        boar[k] = ++i;
    for (uint32_t k = 0; k < SOWS; k++)
        sow[k] = ++i;
    while (i < n) {
        const uint32_t first = i + 1;
        for (uint32_t k = 0; k < SOWS && i < n; k++) {
            const uint32_t s = boar[die(BOARS)], young = 8 + die(5);
            for (uint32_t y = 0; y < young && i < n; y++) {
                sire[++i] = s;
                dam[i] = sow[k];
            }
        }
        for (uint32_t k = 0; k < BOARS / 4; k++)
            boar[die(BOARS)] = first + 2 * die((i - first + 1) / 2);
        for (uint32_t k = 0; k < SOWS / 3; k++)
            sow[die(SOWS)] = first + 2 * die((i - first + 1) / 2) + 1;
    }
}

static char *as_text(uint32_t n, const uint32_t *sire, const uint32_t *dam, size_t *bytes)
{
    uint32_t *row = malloc((size_t)n * sizeof *row), *id = malloc(((size_t)n + 1) * sizeof *id);
    char *text = malloc((size_t)n * 40 + 64);

    must(row && id && text);
    for (uint32_t i = 0; i < n; i++)
        row[i] = id[i + 1] = i + 1;
    for (uint32_t i = n - 1; i > 0; i--) {
        const uint32_t a = die(i + 1), b = die(i + 1), r = row[i], t = id[i + 1];
        row[i] = row[a], row[a] = r;
        id[i + 1] = id[b + 1], id[b + 1] = t;
    }
    size_t at = (size_t)snprintf(text, 64, "id,sire,dam\n");
    for (uint32_t k = 0; k < n; k++) {
        const uint32_t i = row[k];
        if (sire[i])
            at += (size_t)snprintf(text + at, 40, "P%u,P%u,P%u\n", id[i], id[sire[i]], id[dam[i]]);
        else
            at += (size_t)snprintf(text + at, 40, "P%u,,\n", id[i]);
    }
    free(row);
    free(id);
    *bytes = at;
    return text;
}

/* The witness. */
static void plain_buckets(const struct pedigree *p, double *f)
{
    const size_t all = (size_t)p->n + 1;
    uint32_t *level = calloc(all, sizeof *level), *next = calloc(all, sizeof *next), *head, top = 0;
    double *t = calloc(all, sizeof *t), *d = calloc(all, sizeof *d);

    must(level && next && t && d);
    for (size_t i = 1; i < all; i++) {
        const uint32_t s = p->sire[i], m = p->dam[i];
        const uint32_t a = s ? level[s] + 1 : 0, b = m ? level[m] + 1 : 0;
        level[i] = a > b ? a : b;
        top = level[i] > top ? level[i] : top;
    }
    must((head = calloc((size_t)top + 1, sizeof *head)) != NULL);
    f[0] = -1.0;
    for (uint32_t i = 1; i < all; i++) {
        double sum = 0.0;
        d[i] = 0.5 - 0.25 * (f[p->sire[i]] + f[p->dam[i]]);
        t[i] = 1.0;
        next[i] = 0;
        head[level[i]] = i;
        for (uint32_t l = level[i] + 1; l-- > 0;)
            while (head[l]) {
                const uint32_t j = head[l], up[2] = { p->sire[j], p->dam[j] };
                head[l] = next[j];
                for (int k = 0; k < 2; k++)
                    if (up[k]) {
                        if (t[up[k]] <= 0.0) {
                            next[up[k]] = head[level[up[k]]];
                            head[level[up[k]]] = up[k];
                        }
                        t[up[k]] += 0.5 * t[j];
                    }
                sum += t[j] * t[j] * d[j];
                t[j] = 0.0;
            }
        f[i] = sum - 1.0;
    }
    free(level), free(next), free(head), free(t), free(d);
}

int main(void)
{
    const char *asked = getenv("BENCH_PEDIGREE");
    const uint32_t n = asked ? (uint32_t)strtoul(asked, NULL, 10) : 100000;
    uint32_t *sire = calloc((size_t)n + 1, sizeof *sire), *dam = calloc((size_t)n + 1, sizeof *dam);
    struct arena mem;
    struct pedigree p;
    struct pedigree_findings found;
    struct message why;
    size_t bytes;

    must(n > 2 * (BOARS + SOWS) && sire && dam);
    simulate(n, sire, dam);
    char *text = as_text(n, sire, dam, &bytes);
    arena_open(&mem, SIZE_MAX);
    const double t0 = now();
    must(pedigree_read(text, bytes, NULL, &mem, &p, &found, NULL, &why) == ST_OK);
    const double t1 = now();
    double *f[4];
    for (int k = 0; k < 4; k++)
        must((f[k] = calloc((size_t)p.n + 1, sizeof **f)) != NULL);
    const double t2 = now();
    must(pedigree_inbreeding(&p, PEDIGREE_BEST, NULL, &mem, f[0], &why) == ST_OK);
    const double t3 = now();
    must(pedigree_inbreeding(&p, PEDIGREE_BUCKETS, NULL, &mem, f[1], &why) == ST_OK);
    const double t4 = now();
    plain_buckets(&p, f[2]);
    const double t5 = now();
    double off = 0.0, sum = 0.0;
    for (uint32_t i = 1; i <= p.n; i++) {
        off = fmax(off, fmax(fabs(f[0][i] - f[2][i]), fabs(f[1][i] - f[2][i])));
        sum += f[0][i];
    }
    printf("%u animals, %.1f MB, mean F %.6f, largest difference %.2g\n", p.n, (double)bytes / 1e6, sum / p.n, off);
    printf("read, order, check   %.3f s\n", t1 - t0);
    printf("F, best method       %.3f s\n", t3 - t2);
    printf("F, our buckets       %.3f s\n", t4 - t3);
    printf("F, plain buckets     %.3f s (witness)\n", t5 - t4);
    return off < 1e-12 ? 0 : 1;
}
