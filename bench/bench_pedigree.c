/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A simulated pig pedigree with all piglets recorded: few boars, litters of 8 to 12, ids and rows shuffled. Ours: from
 * the bytes to F. The witness: the published method with buckets (Sargolzaei & Iwaisaki 2005), written plainly here and
 * sharing nothing with ours; of a litter the first alone goes through the buckets, as is usual with it. Up to 200000
 * animals every animal goes through them as well, which takes long. Times are on the clock and, in brackets, of all
 * threads, best of five (buckets: once). Seeds are fixed. BENCH_PEDIGREE=animals, 100000 unless given. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "core/pedigree/pedigree.h"
#include "desk/reckon/pedigree_in.h"

enum { BOARS = 40, SOWS = 800 };

static uint64_t state = 20260122;
static uint32_t die(uint32_t n)
{
    state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)((state >> 33) % n);
}

struct spent {
    double clock, work; /* s */
};

static double seconds(clockid_t id)
{
    struct timespec t;
    (void)clock_gettime(id, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static struct spent now(void)
{
    return (struct spent){ seconds(CLOCK_MONOTONIC), seconds(CLOCK_PROCESS_CPUTIME_ID) };
}

static void keep_best(struct spent *best, struct spent from)
{
    const struct spent t = now();
    best->clock = fmin(best->clock, t.clock - from.clock);
    best->work = fmin(best->work, t.work - from.work);
}

static void say(const char *what, struct spent t)
{
    printf("%-26s %.4f s (%.4f s)\n", what, t.clock, t.work);
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

/* ---- the witness ---- */

struct plain {
    const struct pedigree *p;
    uint32_t *level, *next, *head; /* longest ancestral path; lists of those that wait */
    double *t, *d;
};

static void plain_open(struct plain *w, const struct pedigree *p)
{
    const size_t all = (size_t)p->n + 1;
    uint32_t top = 0;

    *w = (struct plain){ p,    calloc(all, sizeof *w->level), calloc(all, sizeof *w->next),
                         NULL, calloc(all, sizeof *w->t),     calloc(all, sizeof *w->d) };
    must(w->level && w->next && w->t && w->d);
    for (size_t i = 1; i < all; i++) {
        const uint32_t s = p->sire[i], m = p->dam[i];
        const uint32_t a = s ? w->level[s] + 1 : 0, b = m ? w->level[m] + 1 : 0;
        w->level[i] = a > b ? a : b;
        top = w->level[i] > top ? w->level[i] : top;
    }
    must((w->head = calloc((size_t)top + 1, sizeof *w->head)) != NULL);
}

static void plain_close(struct plain *w)
{
    free(w->level), free(w->next), free(w->head), free(w->t), free(w->d);
}

static void plain_add(struct plain *w, uint32_t i, double share)
{
    if (!i)
        return;
    if (w->t[i] <= 0.0) {
        w->next[i] = w->head[w->level[i]];
        w->head[w->level[i]] = i;
    }
    w->t[i] += share;
}

static double plain_one(struct plain *w, uint32_t i)
{
    double sum = 0.0;

    plain_add(w, i, 1.0);
    for (uint32_t l = w->level[i] + 1; l-- > 0;)
        while (w->head[l]) {
            const uint32_t j = w->head[l];
            const double t = w->t[j];
            w->head[l] = w->next[j];
            w->t[j] = 0.0;
            sum += t * t * w->d[j];
            plain_add(w, w->p->sire[j], 0.5 * t);
            plain_add(w, w->p->dam[j], 0.5 * t);
        }
    return sum - 1.0;
}

/* Where the first of these parents' young stands, in a table of their pairs that is never more than half full. */
static uint32_t *first_young(uint32_t *young, uint64_t *pair, size_t room, uint32_t sire, uint32_t dam)
{
    const uint64_t key = (uint64_t)sire << 32 | dam;
    size_t k = (size_t)((key * UINT64_C(0x9E3779B97F4A7C15)) >> 20) & (room - 1);

    for (; young[k] && pair[k] != key; k = (k + 1) & (room - 1)) {
    }
    pair[k] = key;
    return &young[k];
}

static void plain_buckets(const struct pedigree *p, bool litters, double *f)
{
    struct plain w;
    size_t room = 2;

    while (room < 2 * ((size_t)p->n + 1))
        room *= 2;
    uint32_t *young = calloc(room, sizeof *young);
    uint64_t *pair = calloc(room, sizeof *pair);
    must(young && pair);
    plain_open(&w, p);
    f[0] = -1.0;
    for (uint32_t i = 1; i <= p->n; i++) {
        const uint32_t s = p->sire[i], m = p->dam[i];
        uint32_t *first = litters && s && m ? first_young(young, pair, room, s, m) : NULL;
        w.d[i] = 0.5 - 0.25 * (f[s] + f[m]);
        if (first && *first) {
            f[i] = f[*first];
            continue;
        }
        f[i] = plain_one(&w, i);
        if (first)
            *first = i;
    }
    plain_close(&w);
    free(young), free(pair);
}

static struct spent witness(const struct pedigree *p, bool litters, double *f)
{
    struct spent best = { HUGE_VAL, HUGE_VAL };
    const struct spent from = now();

    plain_buckets(p, litters, f);
    keep_best(&best, from);
    return best;
}

/* ---- ours ---- */

static struct spent reckon(const struct pedigree *p, enum pedigree_method how, size_t threads, int times, double *f)
{
    const struct pedigree_hands hands = pedigree_in_hands(threads);
    struct spent best = { HUGE_VAL, HUGE_VAL };
    struct arena mem;
    struct message why;

    arena_open(&mem, SIZE_MAX);
    for (int k = 0; k < times; k++) {
        const struct spent from = now();
        must(pedigree_inbreeding(p, how, &hands, &mem, f, &why) == ST_OK);
        keep_best(&best, from);
    }
    arena_close(&mem);
    return best;
}

static struct spent read_all(const char *text, size_t bytes, struct arena *mem, struct pedigree *p)
{
    struct spent best = { HUGE_VAL, HUGE_VAL };
    struct pedigree_findings found;
    struct message why;

    for (int k = 0; k < 5; k++) {
        arena_close(mem);
        arena_open(mem, SIZE_MAX);
        const struct spent from = now();
        must(pedigree_read(text, bytes, NULL, mem, p, &found, NULL, &why) == ST_OK);
        keep_best(&best, from);
    }
    return best;
}

static double largest_off(uint32_t n, const double *a, const double *b)
{
    double off = 0.0;

    for (uint32_t i = 1; i <= n; i++)
        off = fmax(off, fabs(a[i] - b[i]));
    return off;
}

/* All methods over one pedigree. The largest difference from the witness. */
static double against_witness(const struct pedigree *p, double *f[3])
{
    const struct spent best = reckon(p, PEDIGREE_BEST, 1, 5, f[0]);

    say("F, best method", best);
    say("F, best method, 2 threads", reckon(p, PEDIGREE_BEST, 2, 5, f[1]));
    must(memcmp(f[0], f[1], ((size_t)p->n + 1) * sizeof **f) == 0);
    say("F, our buckets", reckon(p, PEDIGREE_BUCKETS, 1, 1, f[1]));
    const struct spent plain = witness(p, true, f[2]);
    say("F, witness, by litter", plain);
    double off = fmax(largest_off(p->n, f[0], f[2]), largest_off(p->n, f[1], f[2]));
    if (p->n <= 200000) {
        say("F, witness, each animal", witness(p, false, f[2]));
        off = fmax(off, largest_off(p->n, f[0], f[2]));
    }
    printf("%-26s %.1f times ours (best method, 1 thread)\n", "witness, by litter", plain.work / best.work);
    return off;
}

int main(void)
{
    const char *asked = getenv("BENCH_PEDIGREE");
    const uint32_t n = asked ? (uint32_t)strtoul(asked, NULL, 10) : 100000;
    uint32_t *sire = calloc((size_t)n + 1, sizeof *sire), *dam = calloc((size_t)n + 1, sizeof *dam);
    struct arena mem;
    struct pedigree p;
    double sum = 0.0, *f[3];
    size_t bytes;

    must(n > 2 * (BOARS + SOWS) && sire && dam);
    simulate(n, sire, dam);
    char *text = as_text(n, sire, dam, &bytes);
    arena_open(&mem, SIZE_MAX);
    say("read, order, check", read_all(text, bytes, &mem, &p));
    for (int k = 0; k < 3; k++)
        must((f[k] = calloc((size_t)p.n + 1, sizeof **f)) != NULL);
    const double off = against_witness(&p, f);
    for (uint32_t i = 1; i <= p.n; i++)
        sum += f[0][i];
    printf("%u animals, %.1f MB, mean F %.6f, largest difference %.2g\n", p.n, (double)bytes / 1e6, sum / p.n, off);
    return off < 1e-12 ? 0 : 1;
}
