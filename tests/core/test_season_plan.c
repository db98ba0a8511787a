/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The season's plan: sums of independent sows against counting through all cases, the winters drawn against the
 * exact figures, and what has to hold of any plan. Days by hand are worked in the test; the binomial figures are
 * those of any table (n 10, p 0.5: 252/1024 for five).
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "core/base/dice.h"
#include "core/season/plan.h"

enum { DAYS = 200, SOWS = 8 };
static size_t checks;

static void near(double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("want %.6f, got %.6f, allowed %g", want, got, off);
    checks++;
}

static void sums_of_independent_events(void **state)
{
    double q[10], count[11];
    struct dice d = dice_from(3);

    (void)state;
    for (size_t i = 0; i < 10; i++)
        q[i] = 0.5;
    plan_sum_of(10, q, count);
    near(count[5], 252.0 / 1024.0, 1e-12);
    near(count[0], 1.0 / 1024.0, 1e-15);
    for (int turn = 0; turn < 50; turn++) { /* against every one of 2^n cases */
        const size_t n = 1 + (size_t)(dice_bits(&d) % 9);
        double brute[11] = { 0.0 };
        for (size_t i = 0; i < n; i++)
            q[i] = dice_even(&d);
        for (unsigned set = 0; set < 1u << n; set++) {
            double chance = 1.0;
            size_t in = 0;
            for (size_t i = 0; i < n; i++) {
                const bool yes = set >> i & 1u;
                chance *= yes ? q[i] : 1.0 - q[i];
                in += yes;
            }
            brute[in] += chance;
        }
        plan_sum_of(n, q, count);
        for (size_t k = 0; k <= n; k++)
            near(count[k], brute[k], 1e-12);
    }
}

/* A farm: sows spread over 24 days from `first`, each certain but for one part in ten. */
struct farm {
    struct plan plan;
    struct plan_sow sow[SOWS];
    struct plan_asked asked[2];
    double born[SOWS][DAYS];
    float in_hut[2][DAYS], in_open[2][DAYS];
    const float *hut[2], *open[2];
};

static void some_farm(struct farm *f, size_t first)
{
    memset(f, 0, sizeof *f);
    f->plan = plan_default();
    f->plan.n_days = DAYS;
    f->plan.sows = f->sow;
    f->plan.n_sows = SOWS;
    f->plan.huts = 5;
    f->plan.asked = f->asked;
    f->plan.n_asked = 2;
    f->asked[0] = (struct plan_asked){ 90, 110, 20.0, 100.0 };
    f->asked[1] = (struct plan_asked){ 111, 130, 20.0, 80.0 };
    f->plan.keep_cost = 1.0;
    f->plan.late_price = 30.0;
    f->plan.danger_cost = 50.0;
    for (size_t s = 0; s < SOWS; s++) {
        f->sow[s] = (struct plan_sow){ .born = f->born[s], .litter = 7.0, .litter_sd = 2.5 };
        for (size_t d = 0; d < 24; d++)
            f->born[s][first + d] = 0.9 / 24.0;
    }
    for (size_t w = 0; w < 2; w++) {
        for (size_t d = 0; d < DAYS; d++) { /* cold that ends, one winter harder than the other */
            f->in_hut[w][d] = d < 60 ? 0.1f + 0.1f * (float)w : 0.0f;
            f->in_open[w][d] = d < 60 ? 0.6f + 0.2f * (float)w : 0.0f;
        }
        f->hut[w] = f->in_hut[w];
        f->open[w] = f->in_open[w];
    }
    f->plan.n_winters = 2;
    f->plan.in_hut = f->hut;
    f->plan.in_open = f->open;
}

static struct plan_exact exact_of(const struct farm *f, struct arena *mem)
{
    struct message why = { "", "" };
    struct plan_exact x;

    if (plan_exact(&f->plan, mem, &x, &why) != ST_OK)
        fail_msg("%s", why.text);
    return x;
}

static struct plan_winters winters_of(const struct farm *f, size_t n, uint64_t seed, struct arena *mem)
{
    struct message why = { "", "" };
    struct plan_winters x;

    memset(&x, 0, sizeof x);
    if (plan_winters(&f->plan, n, seed, mem, &x, &why) != ST_OK)
        fail_msg("%s", why.text);
    return x;
}

static void the_days_add_up(void **state)
{
    struct arena mem;
    struct farm f;
    double litters = 0.0, ready = 0.0, counted = 0.0, mean = 0.0;

    (void)state;
    arena_open(&mem, 16u << 20);
    some_farm(&f, 20);
    const struct plan_exact x = exact_of(&f, &mem);
    for (size_t d = 0; d < DAYS; d++)
        litters += x.day[d].litters;
    for (size_t d = 0; d < x.n_ready; d++)
        ready += x.ready[d];
    for (size_t k = 0; k <= SOWS; k++) {
        counted += x.count[k];
        mean += (double)k * x.count[k];
    }
    near(litters, 0.95 * 0.9 * SOWS, 1e-9); /* the demand curve sums to the expected farrowings */
    near(x.litters, litters, 1e-9);
    near(counted, 1.0, 1e-12);
    near(mean, litters, 1e-9);
    near(ready, 7.0 * litters, 1e-9);
    near(x.pigs, ready, 1e-9);
    near(x.ready[20 + 56], 7.0 * 0.95 * SOWS * 0.9 / 24.0, 1e-12); /* the first at eight weeks, none before */
    near(x.ready[20 + 55], 0.0, 0.0);
    near(x.day[13].huts, 0.95 * SOWS * 0.9 / 24.0, 1e-12); /* a week before the first births the first hut */
    near(x.day[12].huts, 0.0, 0.0);
    assert_true(x.huts_worst >= 6.0 && x.huts_worst <= SOWS);
    checks++;
    arena_close(&mem);
}

static void winters_agree_with_the_exact(void **state)
{
    enum { N = 40000 };
    struct arena mem;
    struct farm f;

    (void)state;
    arena_open(&mem, 64u << 20);
    some_farm(&f, 20);
    f.plan.huts = SOWS; /* nobody waits: then the exact danger is exact */
    const struct plan_exact x = exact_of(&f, &mem);
    const struct plan_winters w = winters_of(&f, N, 5, &mem), again = winters_of(&f, N, 5, &mem);
    near(w.litters.mean, x.litters, 4.0 * 2.0 / sqrt(N));
    near(w.danger.mean, x.danger, 4.0 * 1.5 / sqrt(N));
    near(w.in_time.mean + w.late.mean, x.pigs, 4.0 * 15.0 / sqrt(N));
    assert_memory_equal(&w, &again, sizeof w);
    assert_true(w.bad_p >= 0.05 - 0.01 && w.worth.p05 <= w.worth.p50 && w.worth.p50 <= w.worth.p95);
    f.plan.boar_fails = 1.0;
    const struct plan_winters none = winters_of(&f, 1000, 5, &mem);
    near(none.litters.mean, 0.0, 0.0);
    near(none.bad_p, 1.0, 0.0);
    checks += 2;
    arena_close(&mem);
}

/* What a breeder would say without reckoning (common practice, no source). */
static void sane(void **state)
{
    struct arena mem;
    struct farm f;

    (void)state;
    arena_open(&mem, 64u << 20);
    some_farm(&f, 20);
    const struct plan_winters base = winters_of(&f, 4000, 9, &mem);
    f.plan.huts++; /* one hut more: never more danger */
    assert_true(winters_of(&f, 4000, 9, &mem).danger.mean <= base.danger.mean);
    f.plan.huts = 0;
    assert_true(winters_of(&f, 4000, 9, &mem).danger.mean > base.danger.mean);
    some_farm(&f, 60); /* after the cold no danger, and too late for the first who ask */
    const struct plan_winters later = winters_of(&f, 4000, 9, &mem);
    near(later.danger.mean, 0.0, 0.0);
    assert_true(later.in_time.mean < base.in_time.mean);
    some_farm(&f, 20);
    f.plan.n_asked = 0;
    const struct plan_winters nobody = winters_of(&f, 4000, 9, &mem);
    near(nobody.in_time.mean, 0.0, 0.0);
    near(nobody.late.mean, base.in_time.mean + base.late.mean, 1e-9); /* the same luck */
    f.plan.n_winters = 0;
    assert_true(isnan(exact_of(&f, &mem).danger));
    checks += 4;
    arena_close(&mem);
}

static void bad_input(void **state)
{
    struct arena mem;
    struct farm f;
    struct message why = { "", "" };
    struct plan_exact x;
    struct plan_winters w;

    (void)state;
    arena_open(&mem, 16u << 20);
    some_farm(&f, 20);
    f.born[3][100] = 0.5;
    assert_int_equal(plan_exact(&f.plan, &mem, &x, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "born");
    f.born[3][100] = NAN;
    assert_int_equal(plan_exact(&f.plan, &mem, &x, &why), ST_BAD_INPUT);
    some_farm(&f, 20);
    f.asked[0].to = 80;
    assert_int_equal(plan_exact(&f.plan, &mem, &x, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "asked");
    some_farm(&f, 20);
    assert_int_equal(plan_winters(&f.plan, 5, 1, &mem, &w, &why), ST_BAD_INPUT);
    f.plan.ready_d = NAN;
    assert_int_equal(plan_winters(&f.plan, 500, 1, &mem, &w, &why), ST_BAD_INPUT);
    f.plan.ready_d = 56.0;
    f.plan.uses_hut = 1.5;
    assert_int_equal(plan_winters(&f.plan, 500, 1, &mem, &w, &why), ST_BAD_INPUT);
    checks += 8;
    arena_close(&mem);
}

static int closing(void **state)
{
    (void)state;
    printf("season_plan: %zu checks\n", checks);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sums_of_independent_events),
        cmocka_unit_test(the_days_add_up),
        cmocka_unit_test(winters_agree_with_the_exact),
        cmocka_unit_test(sane),
        cmocka_unit_test(bad_input),
    };
    return cmocka_run_group_tests_name("season plan", tests, NULL, closing);
}
