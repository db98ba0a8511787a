/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Several boars, one in reserve, second litters, pigs by week and plans compared: sums against counting through every
 * case of boars and sows, the winters drawn against the exact figures, and what has to hold of any plan. Figures by
 * hand are worked in the test.
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

enum { DAYS = 420, SOWS = 6, LAGS = 30 };
static size_t checks;

static void near(double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("want %.9f, got %.9f, allowed %g", want, got, off);
    checks++;
}

struct farm { /* sows of two boars; the reserve's litters come some weeks later; second litters 180 days on */
    struct plan plan;
    struct plan_sow sow[SOWS];
    struct plan_asked asked[1];
    struct plan_second second[DAYS];
    double born[SOWS][DAYS], both[SOWS][DAYS], instead[SOWS][DAYS], lag[LAGS];
    float in_hut[DAYS], in_open[DAYS];
    const float *hut[1], *open[1];
};

static void some_farm(struct farm *f)
{
    memset(f, 0, sizeof *f);
    f->plan = plan_default();
    f->plan.n_days = DAYS;
    f->plan.sows = f->sow;
    f->plan.n_sows = SOWS;
    f->plan.huts = 3;
    f->asked[0] = (struct plan_asked){ 70, 110, 30.0, 100.0 };
    f->plan.asked = f->asked;
    f->plan.n_asked = 1;
    f->plan.keep_cost = 1.0;
    f->plan.late_price = 30.0;
    f->plan.danger_cost = 50.0;
    f->plan.n_boars = 2;
    for (size_t d = 0; d < DAYS; d++)
        f->second[d] = (struct plan_second){ 180, LAGS, f->lag };
    for (size_t i = 0; i < LAGS; i++)
        f->lag[i] = 0.7 / LAGS;
    for (size_t s = 0; s < SOWS; s++) {
        f->sow[s] = (struct plan_sow){ .born = f->born[s], .litter = 6.0, .litter_sd = 2.0, .boar = s % 2 };
        for (size_t d = 0; d < 21; d++) {
            f->born[s][20 + d + s] = 0.8 / 21.0;
            f->both[s][20 + d + s] = 0.8 / 21.0;
            f->both[s][44 + d + s] += 0.15 / 21.0;
            f->instead[s][44 + d + s] = 0.75 / 21.0;
        }
    }
    for (size_t d = 0; d < DAYS; d++) {
        f->in_hut[d] = d < 60 ? 0.1f : 0.0f;
        f->in_open[d] = d < 60 ? 0.7f : 0.0f;
    }
    f->hut[0] = f->in_hut;
    f->open[0] = f->in_open;
    f->plan.n_winters = 1;
    f->plan.in_hut = f->hut;
    f->plan.in_open = f->open;
}

static void give_reserve(struct farm *f)
{
    f->plan.reserve_fails = 0.05;
    for (size_t s = 0; s < SOWS; s++) {
        f->sow[s].both = f->both[s];
        f->sow[s].instead = f->instead[s];
    }
}

static void give_second(struct farm *f)
{
    for (size_t s = 0; s < SOWS; s++)
        f->sow[s].second = f->second;
}

static struct plan_exact exact_of(const struct farm *f, struct arena *mem)
{
    struct message why = { "", "" };
    struct plan_exact x;

    memset(&x, 0, sizeof x);
    if (plan_exact(&f->plan, mem, &x, &why) != ST_OK)
        fail_msg("%s", why.text);
    return x;
}

static struct plan_winters winters_of(const struct farm *f, size_t n, struct arena *mem)
{
    struct message why = { "", "" };
    struct plan_winters x;

    memset(&x, 0, sizeof x);
    if (plan_winters(&f->plan, n, 5, mem, &x, &why) != ST_OK)
        fail_msg("%s", why.text);
    return x;
}

static struct plan_changes changes_of(const struct farm *a, const struct farm *b, size_t n, struct arena *mem)
{
    struct message why = { "", "" };
    struct plan_changes x;

    memset(&x, 0, sizeof x);
    if (plan_compare(&a->plan, &b->plan, n, 5, mem, &x, &why) != ST_OK)
        fail_msg("%s", why.text);
    return x;
}

/* Every case: which boars are sound, whether the reserve is, which sows farrow. */
static void brute_counts(const struct plan *p, const double *const q[3], double count[])
{
    const unsigned cases = 1u << (p->n_boars + 1 + p->n_sows);

    for (unsigned c = 0; c < cases; c++) {
        const bool reserve = c >> p->n_boars & 1u;
        double chance = reserve ? 1.0 - p->reserve_fails : p->reserve_fails;
        size_t in = 0;
        for (size_t b = 0; b < p->n_boars; b++)
            chance *= c >> b & 1u ? 1.0 - p->boar_fails : p->boar_fails;
        for (size_t s = 0; s < p->n_sows; s++) {
            const bool sound = c >> p->sows[s].boar & 1u, yes = c >> (p->n_boars + 1 + s) & 1u;
            const double has = sound ? q[reserve ? 1 : 0][s] : reserve ? q[2][s] : 0.0;
            chance *= yes ? has : 1.0 - has;
            in += yes;
        }
        count[in] += chance;
    }
}

static void boars_against_every_case(void **state)
{
    struct dice d = dice_from(11);

    (void)state;
    for (int turn = 0; turn < 60; turn++) {
        struct plan p = plan_default();
        struct plan_sow sow[7];
        double sound[7], both[7], instead[7], brute[8] = { 0.0 }, got[8], scratch[5 * 8];
        const double *const q[3] = { sound, both, instead };
        memset(sow, 0, sizeof sow);
        p.sows = sow;
        p.n_sows = 1 + (size_t)(dice_bits(&d) % 7);
        p.n_boars = 1 + (size_t)(dice_bits(&d) % 3);
        p.boar_fails = dice_even(&d);
        p.reserve_fails = turn % 3 ? dice_even(&d) : 1.0;
        for (size_t s = 0; s < p.n_sows; s++) {
            sow[s].boar = (size_t)(dice_bits(&d) % p.n_boars);
            sound[s] = dice_even(&d) < 0.2 ? 0.0 : dice_even(&d);
            both[s] = dice_even(&d);
            instead[s] = dice_even(&d) < 0.3 ? 0.0 : dice_even(&d);
        }
        brute_counts(&p, q, brute);
        plan_sum_with_boars(&p, sound, both, instead, scratch, got);
        for (size_t k = 0; k <= p.n_sows; k++)
            near(got[k], brute[k], 1e-12);
    }
}

/* Two boars of 0.9 sound, two sows each certain to take: none 0.01, two 0.18, four 0.81. */
static void two_boars_by_hand(void **state)
{
    struct arena mem;
    struct farm f;

    (void)state;
    arena_open(&mem, 32u << 20);
    some_farm(&f);
    f.plan.n_sows = 4;
    f.plan.boar_fails = 0.1;
    for (size_t s = 0; s < 4; s++) {
        memset(f.born[s], 0, sizeof f.born[s]);
        f.born[s][30] = 1.0;
    }
    const struct plan_exact x = exact_of(&f, &mem);
    near(x.count[0], 0.01, 1e-12);
    near(x.count[1], 0.0, 1e-12);
    near(x.count[2], 0.18, 1e-12);
    near(x.count[4], 0.81, 1e-12);
    near(x.litters, 3.6, 1e-12);
    assert_int_equal(x.night_p90, 4); /* the two cases under it are 0.19 */
    for (size_t s = 0; s < 4; s++)
        f.sow[s].boar = 0; /* one boar for all: nothing in between, the same on average */
    const struct plan_exact one = exact_of(&f, &mem);
    near(one.count[0], 0.1, 1e-12);
    near(one.count[2], 0.0, 1e-12);
    near(one.litters, 3.6, 1e-12);
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
    for (int turn = 0; turn < 4; turn++) {
        some_farm(&f);
        f.plan.huts = SOWS; /* nobody waits: then the exact danger is exact */
        f.plan.boar_fails = 0.2;
        if (turn & 1)
            give_reserve(&f);
        if (turn & 2)
            give_second(&f);
        const struct plan_exact x = exact_of(&f, &mem);
        const struct plan_winters w = winters_of(&f, N, &mem), again = winters_of(&f, N, &mem);
        near(w.litters.mean, x.litters, 4.0 * 3.5 / sqrt(N)); /* spreads: no more than 3.5 litters, 20 pigs */
        near(w.danger.mean, x.danger, 4.0 * 1.5 / sqrt(N));
        near(w.in_time.mean + w.late.mean, x.pigs, 4.0 * 20.0 / sqrt(N) + 0.02); /* no litter under 0: 0.001 each */
        assert_memory_equal(&w, &again, sizeof w);
        /* litters by hand: 0.8 x 0.8 a sow; with the reserve 0.8 (0.05 0.8 + 0.95 0.95) + 0.2 0.95 0.75; 0.7 more each */
        near(x.litters,
             SOWS * (turn & 1 ? 0.8 * (0.05 * 0.8 + 0.95 * 0.95) + 0.2 * 0.95 * 0.75 : 0.64) * (turn & 2 ? 1.7 : 1.0),
             1e-9);
        near(x.second, turn & 2 ? x.litters * 0.7 / 1.7 : 0.0, 1e-9);
        checks++;
    }
    arena_close(&mem);
}

static void what_has_to_hold(void **state)
{
    struct arena mem;
    struct farm base, other;
    struct dice d = dice_from(8);

    (void)state;
    arena_open(&mem, 256u << 20);
    for (int turn = 0; turn < 20; turn++) {
        some_farm(&base);
        base.plan.boar_fails = dice_even(&d);
        base.plan.huts = (size_t)(dice_bits(&d) % 7);
        for (size_t s = 0; s < SOWS; s++)
            base.sow[s].boar = (size_t)(dice_bits(&d) % 2);
        other = base;
        other.plan.sows = other.sow;
        other.plan.asked = other.asked;
        for (size_t s = 0; s < SOWS; s++)
            other.sow[s].born = other.born[s];
        give_reserve(&other);
        const struct plan_exact without = exact_of(&base, &mem), with = exact_of(&other, &mem);
        assert_true(with.litters >= without.litters - 1e-12); /* a reserve never lowers the litters expected */
        assert_true(with.count[0] <= without.count[0] + 1e-12);
        base.plan.huts++;
        const struct plan_exact hut = exact_of(&base, &mem);
        assert_true(hut.danger <= without.danger + 1e-12); /* one hut more never raises the danger */
        near(hut.litters, without.litters, 1e-12);
        checks += 3;
    }
    arena_close(&mem);
}

static void compared_in_the_same_winters(void **state)
{
    enum { N = 4000 };
    struct arena mem;
    struct farm a, b;

    (void)state;
    arena_open(&mem, 64u << 20);
    some_farm(&a);
    some_farm(&b);
    const struct plan_changes none = changes_of(&a, &b, N, &mem);
    near(none.worth.mean, 0.0, 0.0);
    near(none.worth.se, 0.0, 0.0);
    give_reserve(&b);
    const struct plan_changes c = changes_of(&a, &b, N, &mem);
    const struct plan_winters x = winters_of(&a, N, &mem), y = winters_of(&b, N, &mem);
    near(c.worth.mean, y.worth.mean - x.worth.mean, 1e-9);
    near(c.litters.mean, y.litters.mean - x.litters.mean, 1e-9);
    near(c.bad.mean, y.bad_p - x.bad_p, 1e-9);
    assert_true(c.litters.mean > 0.0 && c.litters.se > 0.0);
    near(c.litters.mean, exact_of(&b, &mem).litters - exact_of(&a, &mem).litters, 4.0 * c.litters.se);
    /* common luck: far surer than two plans with luck of their own, of which the spread is some two litters each */
    assert_true(c.litters.se < 0.6 * sqrt(2.0) * 2.0 / sqrt(N));
    some_farm(&b);
    b.plan.huts++;
    const struct plan_changes hut = changes_of(&a, &b, N, &mem);
    assert_true(hut.danger.mean <= 0.0);
    near(hut.litters.mean, 0.0, 0.0);
    checks += 3;
    arena_close(&mem);
}

static void pigs_by_week(void **state)
{
    enum { N = 10000 };
    struct arena mem;
    struct farm f;
    struct message why = { "", "" };
    struct plan_week *week = NULL;
    size_t n = 0;

    (void)state;
    arena_open(&mem, 128u << 20);
    for (size_t first = 0; first < 7; first++) {
        some_farm(&f);
        if (first % 2)
            give_reserve(&f);
        if (first % 3 == 0)
            give_second(&f);
        const struct plan_exact x = exact_of(&f, &mem);
        double sum = 0.0;
        assert_int_equal(plan_weeks(&f.plan, &x, first, N, 5, &mem, &week, &n, &why), ST_OK);
        assert_true(n >= 4 && (week[0].from - (int32_t)first) % 7 == 0);
        for (size_t i = 0; i < n; i++) {
            assert_int_equal(week[i].from, week[0].from + 7 * (int32_t)i);
            near(week[i].ready.mean, week[i].ready.expected, 4.0 * week[i].ready.se + 0.01);
            near(week[i].by_then.mean, week[i].by_then.expected, 4.0 * week[i].by_then.se + 0.02);
            assert_true(week[i].ready.p10 <= week[i].ready.p50 && week[i].ready.p50 <= week[i].ready.p90);
            sum += week[i].ready.expected;
            near(week[i].by_then.expected, sum, 1e-9);
        }
        near(sum, x.pigs, 1e-9);
    }
    some_farm(&f);
    for (size_t s = 0; s < SOWS; s++)
        memset(f.born[s], 0, sizeof f.born[s]);
    const struct plan_exact nothing = exact_of(&f, &mem);
    assert_int_equal(plan_weeks(&f.plan, &nothing, 0, N, 5, &mem, &week, &n, &why), ST_OK);
    assert_int_equal(n, 0);
    checks += 2;
    arena_close(&mem);
}

static void bad_input(void **state)
{
    struct arena mem;
    struct farm f;
    struct message why = { "", "" };
    struct plan_exact x;

    (void)state;
    arena_open(&mem, 16u << 20);
    some_farm(&f);
    f.sow[2].boar = 2;
    assert_int_equal(plan_exact(&f.plan, &mem, &x, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "boar");
    some_farm(&f);
    f.plan.n_boars = 0;
    assert_int_equal(plan_exact(&f.plan, &mem, &x, &why), ST_BAD_INPUT);
    some_farm(&f);
    give_reserve(&f);
    f.instead[1][3] = NAN;
    assert_int_equal(plan_exact(&f.plan, &mem, &x, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "born");
    some_farm(&f);
    give_second(&f);
    f.lag[0] = 0.5;
    assert_int_equal(plan_exact(&f.plan, &mem, &x, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "second");
    some_farm(&f);
    f.plan.reserve_fails = 1.5;
    assert_int_equal(plan_exact(&f.plan, &mem, &x, &why), ST_BAD_INPUT);
    checks += 8;
    arena_close(&mem);
}

static int closing(void **state)
{
    (void)state;
    printf("season_plan_boars: %zu checks\n", checks);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(boars_against_every_case),
        cmocka_unit_test(two_boars_by_hand),
        cmocka_unit_test(winters_agree_with_the_exact),
        cmocka_unit_test(what_has_to_hold),
        cmocka_unit_test(compared_in_the_same_winters),
        cmocka_unit_test(pigs_by_week),
        cmocka_unit_test(bad_input),
    };
    return cmocka_run_group_tests_name("season plan, boars", tests, NULL, closing);
}
