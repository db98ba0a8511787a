/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The season's plan for very many sows: order of birth and who has a hut against a plain count of each case, sows that
 * share their days against the same sows with days of their own, and how much memory sharing takes. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "core/base/arena.h"
#include "core/base/dice.h"
#include "core/season/plan_inside.h"

enum { DAYS = 400, SOWS = 300, KINDS = 3, BOARS = 4, WINTERS = 60, HERD = 2000 };
static size_t checks;

struct farm {
    struct plan plan;
    struct plan_sow sow[HERD];
    struct plan_second second[KINDS][DAYS];
    struct plan_asked asked[2];
    double days[KINDS][DAYS], later[20];
    float in_hut[DAYS], in_open[DAYS];
    const float *hut, *open;
};

/* Three kinds of sows, each spread over its month; every second sow may have a second litter. */
static void some_farm(struct farm *f, size_t n_sows)
{
    memset(f, 0, sizeof *f);
    f->hut = f->in_hut;
    f->open = f->in_open;
    f->plan = plan_default();
    f->plan.n_days = DAYS;
    f->plan.sows = f->sow;
    f->plan.n_sows = n_sows;
    f->plan.n_boars = BOARS;
    f->plan.huts = 40;
    f->plan.n_winters = 1;
    f->plan.in_hut = &f->hut;
    f->plan.in_open = &f->open;
    f->plan.asked = f->asked;
    f->plan.n_asked = 2;
    f->plan.danger_cost = 50.0;
    f->asked[0] = (struct plan_asked){ 90, 110, 200.0, 100.0 };
    f->asked[1] = (struct plan_asked){ 111, 130, 200.0, 80.0 };
    for (size_t d = 0; d < DAYS; d++) {
        f->in_hut[d] = 0.1f;
        f->in_open[d] = 0.6f;
    }
    for (size_t i = 0; i < 20; i++)
        f->later[i] = 0.045;
    for (size_t k = 0; k < KINDS; k++) {
        for (size_t d = 0; d < 30; d++)
            f->days[k][10 + 20 * k + d] = 0.9 / 30.0;
        for (size_t d = 0; d < DAYS; d++)
            f->second[k][d] = (struct plan_second){ 150, 20, f->later };
    }
    for (size_t s = 0; s < n_sows; s++)
        f->sow[s] = (struct plan_sow){ .born = f->days[s % KINDS],
                                       .litter = 7.0,
                                       .litter_sd = 2.5,
                                       .boar = s % BOARS,
                                       .second = s % 2 ? f->second[s % KINDS] : NULL };
}

/* Who was before her and still holds a hut on the day she wants one: counted anew for each. */
static void hut_by_hut(const struct plan *p, struct pig_lot lot[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        size_t taken = 0;
        for (size_t k = 0; k < i; k++)
            taken += lot[k].housed && (double)lot[k].born + p->hut_after_d >= (double)lot[i].born - p->hut_before_d;
        lot[i].housed = taken < p->huts;
    }
}

static void births_in_order_and_huts_as_they_fall_free(void **state)
{
    static struct farm f;
    static struct pig_lot plain[2 * SOWS];
    struct arena mem;
    struct plan_season s;
    struct message why = { "", "" };
    size_t seconds = 0, without = 0;

    (void)state;
    some_farm(&f, SOWS);
    arena_open(&mem, (size_t)64 << 20);
    assert_int_equal(plan_season_open(&f.plan, &mem, &s, &why), ST_OK);
    for (size_t w = 0; w < WINTERS; w++) {
        plan_season_births(&s, w, 1);
        assert_in_range(s.n_lots, 100, 2 * SOWS);
        for (size_t i = 1; i < s.n_lots; i++)
            if (!(s.lot[i - 1].born < s.lot[i].born ||
                  (s.lot[i - 1].born == s.lot[i].born && s.lot[i - 1].sow < s.lot[i].sow)))
                fail_msg("winter %zu: litter %zu is out of order", w, i);
        memcpy(plain, s.lot, s.n_lots * sizeof *plain);
        hut_by_hut(&f.plan, plain, s.n_lots);
        plan_season_sell(&s, w);
        for (size_t i = 0; i < s.n_lots; i++) {
            assert_int_equal(s.lot[i].housed, plain[i].housed);
            seconds += s.lot[i].sow >= SOWS;
            without += !s.lot[i].housed;
        }
        checks += 2 * s.n_lots;
    }
    assert_true(seconds > 1000 && without > 1000);
    arena_close(&mem);
}

static size_t whole_plan(const struct plan *p, struct plan_exact *x, struct plan_winters *w, struct arena *mem)
{
    struct message why = { "", "" };

    if (plan_exact(p, mem, x, &why) != ST_OK || plan_winters(p, 200, 1, mem, w, &why) != ST_OK)
        fail_msg("%s", why.text);
    return mem->used;
}

static void sows_that_are_alike(void **state)
{
    static struct farm shared, own;
    static double days[SOWS][DAYS];
    static struct plan_second second[SOWS][DAYS];
    struct plan_exact a, b;
    struct plan_winters x, y;
    struct arena mem;

    (void)state;
    some_farm(&shared, SOWS);
    some_farm(&own, SOWS);
    for (size_t s = 0; s < SOWS; s++) {
        memcpy(days[s], own.sow[s].born, sizeof days[s]);
        own.sow[s].born = days[s];
        if (own.sow[s].second) {
            memcpy(second[s], own.sow[s].second, sizeof second[s]);
            own.sow[s].second = second[s];
        }
    }
    arena_open(&mem, (size_t)64 << 20);
    (void)whole_plan(&shared.plan, &a, &x, &mem);
    (void)whole_plan(&own.plan, &b, &y, &mem);
    assert_memory_equal(a.day, b.day, DAYS * sizeof *a.day);
    assert_memory_equal(a.count, b.count, (SOWS + 1) * sizeof *a.count);
    assert_memory_equal(a.ready, b.ready, a.n_ready * sizeof *a.ready);
    assert_memory_equal(&x, &y, sizeof x);
    checks += 4;
    arena_close(&mem);
}

/* Two thousand sows of three kinds: what is kept grows by the sow, not by the sow and day. */
static void memory_of_a_large_herd(void **state)
{
    static struct farm f;
    struct plan_exact x;
    struct plan_winters w;
    struct arena mem;

    (void)state;
    some_farm(&f, HERD);
    arena_open(&mem, (size_t)64 << 20);
    const size_t used = whole_plan(&f.plan, &x, &w, &mem);
    (void)printf("a herd of %d: %zu bytes a sow, %.0f litters\n", (int)HERD, used / HERD, x.litters);
    assert_true(used / HERD < 1000); /* 3,200 a sow and kind of luck where each had sums of her own */
    assert_true(fabs(w.litters.mean - x.litters) < 0.05 * x.litters);
    checks += 2;
    arena_close(&mem);
}

/* Numbers that never come are left out of the sum; against the binomial that all sows alike make. */
static void very_many_added_boar_by_boar(void **state)
{
    static struct farm f;
    static double q[HERD], count[HERD + 1], scratch[5 * (HERD + 1)];
    double sum = 0.0, mean = 0.0, spread = 0.0;

    (void)state;
    some_farm(&f, HERD);
    f.plan.boar_fails = 0.0;
    for (size_t s = 0; s < HERD; s++)
        q[s] = 0.05;
    plan_sum_with_boars(&f.plan, q, q, q, scratch, count);
    for (size_t k = 0; k <= HERD; k++) {
        const double n = HERD, j = (double)k;
        const double want =
            exp(lgamma(n + 1.0) - lgamma(j + 1.0) - lgamma(n - j + 1.0) + j * log(0.05) + (n - j) * log(0.95));
        if (!(fabs(count[k] - want) <= 1e-9 * want + 1e-25))
            fail_msg("%zu of %d: want %g, got %g", k, (int)HERD, want, count[k]);
        sum += count[k];
        mean += j * count[k];
        spread += (j - 100.0) * (j - 100.0) * count[k];
        checks++;
    }
    assert_true(fabs(sum - 1.0) < 1e-12 && fabs(mean - 100.0) < 1e-9 && fabs(spread - 95.0) < 1e-7);
}

static int say_counts(void **state)
{
    (void)state;
    (void)printf("season of very many sows: %zu checks\n", checks);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(births_in_order_and_huts_as_they_fall_free),
        cmocka_unit_test(sows_that_are_alike),
        cmocka_unit_test(memory_of_a_large_herd),
        cmocka_unit_test(very_many_added_boar_by_boar),
    };

    return cmocka_run_group_tests(tests, NULL, say_counts);
}
