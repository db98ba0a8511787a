/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Speed of the farrowing density: a dozen sows at one evening, and the normal distribution beside GSL's in the same
 * run.
 */
#include <gsl/gsl_cdf.h>
#include <malloc.h>
#include <math.h>
#include <stdio.h>
#include <time.h>

#include "core/base/civil.h"
#include "core/breeding/breeding.h"

#define DAYS(d) ((int64_t)((d)*86400.0))

static const int64_t noon = INT64_C(20089) * 86400 + 43200;

static double now_s(void)
{
    struct timespec t;

    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t); /* one thread; what else the machine does is left out */
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

struct sow {
    struct breeding_evidence e;
    struct breeding_service services[2];
    struct breeding_run run;
    struct breeding_scan scan;
    struct breeding_look looks[8];
};

/* Every third sow ran with the boar for 42 days; all were looked at five or more times. */
static void fill(struct sow *s, int i, int64_t at)
{
    s->e = breeding_evidence_none();
    s->e.services = s->services;
    s->e.runs = &s->run;
    s->e.scans = &s->scan;
    s->e.looks = s->looks;
    s->e.parity = i % 5;
    if (i % 3 == 0) {
        s->run = (struct breeding_run){ noon - DAYS(10 + i), noon + DAYS(32 - i), 0 };
        s->e.n_runs = 1;
        s->e.state = BREEDING_CYCLING;
        s->scan = (struct breeding_scan){ noon + DAYS(60), true };
        s->e.n_scans = 1;
    } else {
        s->services[0] = (struct breeding_service){ noon - DAYS(0.4 * i), NAN, 0, true };
        s->services[1] = (struct breeding_service){ noon - DAYS(0.4 * i - 0.5), NAN, 0, false };
        s->e.n_services = 2;
    }
    for (int k = 0; k < 5 + i % 4; k++)
        s->looks[s->e.n_looks++] =
            (struct breeding_look){ at - DAYS(0.25 * (k % 3)), (enum breeding_sign)((i + 2 * k) % BS_END),
                                    (i + k) % 2 == 0, 0 };
}

static double a_dozen(struct sow sows[12], int64_t at, double *kept_kb)
{
    const struct breeding_rules rules = breeding_rules_default();
    double sum = 0.0, hours[72];
    struct arena mem; /* one for the whole question, as a question has it */

    arena_open(&mem, (size_t)8 << 20);
    for (int i = 0; i < 12; i++) {
        struct breeding_prior prior;
        struct breeding_posterior post;
        struct message why = { "", "" };
        if (breeding_prior(&rules, &sows[i].e, &mem, &prior, &why) != ST_OK ||
            breeding_posterior(&rules, &sows[i].e, &prior, at, BREEDING_SEEN_NOW, &mem, &post, &why) != ST_OK) {
            (void)fprintf(stderr, "%s\n", why.text);
            return NAN;
        }
        breeding_hours(&post.density, at, 72, hours);
        sum += hours[0] + breeding_within(&post, 12.0);
    }
    *kept_kb = (double)mem.used / 1024.0;
    arena_close(&mem);
    return sum;
}

/* Once, with memory fresh from the system. */
static void bench_first(struct sow sows[12], int64_t at)
{
    double kb = 0.0;
    const double start = now_s(), sum = a_dozen(sows, at, &kb);

    printf("the first time        %8.2f ms   %.0f kB kept   [%g]\n", 1e3 * (now_s() - start), kb, sum);
}

static void bench_dozen(struct sow sows[12], int64_t at)
{
    double sum = 0.0, kb = 0.0, best = 1e9;
    int n = 0;
    const double start = now_s();

    while (now_s() - start < 1.0) {
        const double t = now_s();
        sum += a_dozen(sows, at, &kb);
        best = fmin(best, now_s() - t);
        n++;
    }
    const double each = (now_s() - start) / n;
    printf("twelve sows, evening  %8.2f ms (best %.2f)   %8.0f densities/s   %.0f kB kept   [%g]\n", 1e3 * each,
           1e3 * best, 12.0 / each, kb, sum / n);
}

static void bench_look_ahead(const struct sow *s, int64_t at)
{
    const struct breeding_rules rules = breeding_rules_default();
    struct breeding_prior prior;
    struct breeding_posterior post;
    struct breeding_ahead ahead;
    struct message why = { "", "" };
    struct arena mem;
    double seen[72], not_seen[72], sum = 0.0;
    int n = 0;

    arena_open(&mem, (size_t)8 << 20);
    if (breeding_prior(&rules, &s->e, &mem, &prior, &why) != ST_OK ||
        breeding_posterior(&rules, &s->e, &prior, at, BREEDING_SEEN_NOW, &mem, &post, &why) != ST_OK) {
        (void)fprintf(stderr, "%s\n", why.text);
        return;
    }
    const double start = now_s();
    for (; now_s() - start < 0.5; n++) {
        const struct breeding_look look = { at + n % 48 * 900, (enum breeding_sign)(n % BS_END), false, 0 };
        if (breeding_look_ahead(&post, &look, at, 72, seen, not_seen, &ahead, &why) == ST_OK)
            sum += ahead.p_seen;
    }
    printf("a look ahead          %8.1f us                                               [%g]\n",
           1e6 * (now_s() - start) / n, sum / n);
    arena_close(&mem);
}

/* One sow's density is mostly this: the distribution of a normal at some thousands of moments. */
static void bench_gsl(void)
{
    double sum = 0.0;
    long n = 0;
    const double start = now_s();

    while (now_s() - start < 0.5)
        for (int i = 0; i < 10000; i++, n++)
            sum += gsl_cdf_ugaussian_P(-8.0 + 0.0016 * i);
    const double each = (now_s() - start) / (double)n;
    printf("GSL normal            %8.1f ns each; a service through it (2 x 3,697 edges x 7 dates) %.2f ms   [%g]\n",
           1e9 * each, 1e3 * each * 2.0 * 3697.0 * 7.0, sum / (double)n);
}

int main(void)
{
    static struct sow sows[12];
    const int64_t at = noon + DAYS(113.3);

    for (int i = 0; i < 12; i++)
        fill(&sows[i], i, at);
    bench_first(sows, at);
    (void)mallopt(M_MMAP_THRESHOLD, 1 << 27); /* from here on memory stays with the process between questions */
    (void)mallopt(M_TRIM_THRESHOLD, 1 << 27);
    bench_dozen(sows, at);
    for (int i = 0; i < 12; i++) { /* the same without the boar runs */
        sows[i] = (struct sow){ 0 };
        fill(&sows[i], i % 3 ? i : i + 1, at);
    }
    bench_dozen(sows, at);
    bench_look_ahead(&sows[1], at);
    bench_gsl();
    return 0;
}
