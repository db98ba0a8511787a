/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Speed of the plan of pairings beside GLPK in the same run, of a farm's own, and of the gene drop.
 */
#include <math.h>
#include <stdio.h>
#include <time.h>

#include "core/base/dice.h"
#include "core/base/lp.h"
#include "core/pedigree/genes.h"
#include "core/pedigree/mating.h"

enum { SOWS = 2000, BOARS = 100, WITNESS_SOWS = 200, WITNESS_BOARS = 40, ANIMALS = 100000 };

static double now_s(void)
{
    struct timespec t;

    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t); /* one thread; what else the machine does is left out */
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double cost[SOWS * BOARS];
static uint32_t most[BOARS];

static double ours(size_t n_sows, size_t n_boars, bool worst_first, struct mating_plan *plan, struct arena *mem)
{
    const struct mating_ask ask = { .n_sows = n_sows,
                                    .n_boars = n_boars,
                                    .cost = cost,
                                    .most = most,
                                    .limit = (double)INFINITY,
                                    .worst_first = worst_first };
    struct message why = { "", "" };
    const double start = now_s();

    if (mating_find(&ask, mem, plan, &why) != ST_OK) {
        (void)fprintf(stderr, "%s\n", why.text);
        return (double)NAN;
    }
    return now_s() - start;
}

static double glpk(size_t n_sows, size_t n_boars, double *mean, struct arena *mem)
{
    const size_t n = n_sows * n_boars;
    struct lp_bounds *rows = ARENA_NEW(mem, struct lp_bounds, n_sows + n_boars),
                     *cols = ARENA_NEW(mem, struct lp_bounds, n);
    struct lp_entry *entries = ARENA_NEW(mem, struct lp_entry, 2 * n);
    struct lp_answer answer;
    struct message why = { "", "" };

    if (!rows || !cols || !entries)
        return (double)NAN;
    for (size_t s = 0; s < n_sows; s++)
        rows[s] = (struct lp_bounds){ 1.0, 1.0 };
    for (size_t b = 0; b < n_boars; b++)
        rows[n_sows + b] = (struct lp_bounds){ 0.0, most[b] };
    for (size_t k = 0; k < n; k++) {
        cols[k] = (struct lp_bounds){ 0.0, 1.0 };
        entries[2 * k] = (struct lp_entry){ k / n_boars, k, 1.0 };
        entries[2 * k + 1] = (struct lp_entry){ n_sows + k % n_boars, k, 1.0 };
    }
    const struct lp_model model = { .n_rows = n_sows + n_boars,
                                    .n_cols = n,
                                    .n_entries = 2 * n,
                                    .rows = rows,
                                    .cols = cols,
                                    .cost = cost,
                                    .entries = entries,
                                    .time_ms = 60000 };
    const double start = now_s();
    if (lp_solve(&model, mem, &answer, &why) != ST_OK || answer.found != LP_BEST) {
        (void)fprintf(stderr, "witness: %s (%d)\n", why.text, (int)answer.found);
        return (double)NAN;
    }
    *mean = answer.cost / (double)n_sows;
    return now_s() - start;
}

static void fill(size_t n, size_t n_boars, uint32_t room)
{
    struct dice d = dice_from(1);

    for (size_t k = 0; k < n; k++)
        cost[k] = dice_between(&d, 0.0, 0.3);
    for (size_t b = 0; b < n_boars; b++)
        most[b] = room;
}

static void drop(void)
{
    static uint32_t sire[ANIMALS + 1], dam[ANIMALS + 1], last[1000];
    static double f[ANIMALS + 1], d[ANIMALS + 1];
    const struct pedigree p = { .n = ANIMALS, .sire = sire, .dam = dam };
    struct dice dice = dice_from(2);
    struct arena mem;
    struct message why = { "", "" };
    struct genes g;

    arena_open(&mem, (size_t)1 << 30);
    for (uint32_t i = 101; i <= ANIMALS; i++) {
        const uint32_t back = i - 1 < 2000 ? i - 1 : 2000;
        sire[i] = i - 1 - (uint32_t)(dice_bits(&dice) % back);
        dam[i] = i - 1 - (uint32_t)(dice_bits(&dice) % back);
    }
    for (uint32_t k = 0; k < 1000; k++)
        last[k] = ANIMALS - k;
    const struct genes_group group = { 1000, last, NULL };
    if (pedigree_inbreeding(&p, PEDIGREE_BUCKETS, NULL, &mem, f, &why) != ST_OK)
        goto done;
    pedigree_mendelian(&p, f, d);
    double start = now_s();
    if (genes_of(&p, f, d, &group, &mem, &g, &why) != ST_OK)
        goto done;
    printf("measures of a group of 1000 in %d animals     %8.1f ms\n", ANIMALS, 1e3 * (now_s() - start));
    start = now_s();
    if (genes_drop(&p, &group, 1, 10000, NULL, &mem, &g, &why) != ST_OK)
        goto done;
    printf("gene drop, 10000 replicates, one thread          %8.1f ms\n", 1e3 * (now_s() - start));
done:
    if (why.text[0])
        (void)fprintf(stderr, "%s\n", why.text);
    arena_close(&mem);
}

int main(void)
{
    struct mating_plan plan;
    struct arena mem;
    double mean = 0.0, s;

    arena_open(&mem, (size_t)1 << 30);
    fill((size_t)SOWS * BOARS, BOARS, 22);
    s = ours(SOWS, BOARS, false, &plan, &mem);
    printf("%d sows x %d boars, least mean              %8.1f ms, mean F %.9f\n", SOWS, BOARS, 1e3 * s, plan.mean);
    s = ours(SOWS, BOARS, true, &plan, &mem);
    printf("%d sows x %d boars, least worst first       %8.1f ms, mean F %.9f\n", SOWS, BOARS, 1e3 * s, plan.mean);
    fill((size_t)SOWS * BOARS, BOARS, 19); /* 100 places too few: which boar has to have more? */
    s = ours(SOWS, BOARS, false, &plan, &mem);
    printf("%d sows x %d boars, %d places too few        %8.1f ms, boar %u needs %.0f\n", SOWS, BOARS,
           SOWS - 19 * BOARS, 1e3 * s, plan.relax_boar, plan.relax_needs);
    fill((size_t)WITNESS_SOWS * WITNESS_BOARS, WITNESS_BOARS, 6);
    s = ours(WITNESS_SOWS, WITNESS_BOARS, false, &plan, &mem);
    printf("%d sows x %d boars, least mean                %8.1f ms, mean F %.9f\n", WITNESS_SOWS, WITNESS_BOARS,
           1e3 * s, plan.mean);
    s = glpk(WITNESS_SOWS, WITNESS_BOARS, &mean, &mem);
    printf("  the same by GLPK                               %8.1f ms, mean F %.9f\n", 1e3 * s, mean);
    fill(30, 3, 4);
    s = 0.0;
    for (int i = 0; i < 100; i++)
        s += ours(10, 3, i % 2, &plan, &mem);
    printf("10 sows x 3 boars, mean of 100                   %8.3f ms\n", 10.0 * s);
    arena_close(&mem);
    drop();
    return 0;
}
