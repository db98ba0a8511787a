/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Growth against published curves and worked tables: Gompertz of Nero di Parma castrates (Sabbioni et al. 2009, Ital J
 * Anim Sci 8:719), the suckling curve of 3,587 pigs (Beltsville), the table of a 12-kg pig bought on 1 April worked from
 * the step form by hand, and what has to hold of any curve.
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
#include "core/growth/growth.h"

static size_t checks;

static void near(double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("want %.6f, got %.6f, allowed %g", want, got, off);
    checks++;
}

static void is_true(bool is, const char *what)
{
    if (!is)
        fail_msg("%s", what);
    checks++;
}

/* Sabbioni et al. 2009: A 229.0, k .00738, ti 205.7; the weights stand in the note as 28 d 5.6 ... 365 d 168.2. The
 * closed form is the witness of the step form. */
static void published_gompertz(void **state)
{
    static const double age[] = { 28, 56, 120, 180, 240, 365 }, kg[] = { 5.6, 11.2, 34.9, 68.4, 105.4, 168.2 };

    (void)state;
    for (size_t i = 0; i < 6; i++) {
        const double closed = 229.0 * exp(-exp(-0.00738 * (age[i] - 205.7)));
        near(closed, kg[i], 0.06);
        near(growth_step(229.0 * exp(-exp(-0.00738 * (28.0 - 205.7))), age[i] - 28.0, 229.0, 0.00738), closed, 1e-9);
    }
    /* greatest gain A k / e at A / e: 622 g a day at 84.2 kg */
    near(growth_step(84.2445, 0.5, 229.0, 0.00738) - growth_step(84.2445, -0.5, 229.0, 0.00738), 0.622, 0.001);
}

/* 12 kg on 1 April, A 220, k .0073 f: worked table. */
static void bought_in_april(void **state)
{
    static const double days[] = { 61, 122, 183, 244 };
    static const struct {
        double fed, kg[4], to_110;
    } row[] = { { 1.0, { 34.1, 66.7, 102.4, 134.8 }, 196 },
                { 0.85, { 30.0, 56.2, 86.4, 116.0 }, 231 },
                { 0.70, { 26.2, 46.3, 70.2, 95.4 }, 281 },
                { 0.55, { 22.6, 37.0, 54.5, 73.8 }, 357 } };

    (void)state;
    for (size_t i = 0; i < 4; i++) {
        for (size_t j = 0; j < 4; j++)
            near(growth_step(12.0, days[j], 220.0, 0.0073 * row[i].fed), row[i].kg[j], 0.06);
        is_true(growth_step(12.0, row[i].to_110 + 1.0, 220.0, 0.0073 * row[i].fed) >= 110.0 &&
                    growth_step(12.0, row[i].to_110 - 1.0, 220.0, 0.0073 * row[i].fed) < 110.0,
                "days to 110 kg");
    }
}

static void suckling(void **state)
{
    const struct growth g = growth_default();
    struct message why = { 0 };
    static const double day[] = { 14, 16, 18, 20, 22, 24, 26, 28 };
    static const double factor[] = { 1.479, 1.315, 1.175, 1.054, .950, .860, .782, .714 };

    (void)state;
    for (size_t i = 0; i < 8; i++) /* the published factors to 21 days */
        near(growth_suckling(21.0) / growth_suckling(day[i]), factor[i], 0.0006);
    near(growth_suckling(21.0), 4.7, 0.05);
    near(growth_suckling(42.0), 11.0, 0.05);
    is_true(growth_check(&g, &why) == ST_OK, why.text);
    near(growth_weight(&g, 56.0), 12.0, 0.1); /* slow weaners of 8 weeks weigh 9 to 15 kg (from memory): the middle */
    is_true(growth_part_under(&g, 56.0, 9.0) < 0.12 && growth_part_under(&g, 56.0, 15.0) > 0.80, "8 weeks: 9 to 15 kg");
    near(growth_weight(&g, 0.0), 1.24, 0.01); /* newborn of about 1.3 kg */
    near(growth_weight(&g, 28.0), 5.6, 0.4);  /* Nero di Parma curve: 5.6, and low there */
}

static void any_curve(void **state)
{
    struct dice d = dice_from(8);
    struct message why = { 0 };

    (void)state;
    for (int turn = 0; turn < 200; turn++) {
        struct growth g = growth_default(), more;
        double age = 0.0, later = 0.0;
        g.suckling_pace = 0.7 + 0.4 * dice_even(&d);
        g.weaning_d = 20.0 + 60.0 * dice_even(&d);
        g.most_kg = 90.0 + 150.0 * dice_even(&d);
        g.fed = 0.55 + 0.45 * dice_even(&d);
        g.farm_shift = 0.4 * (dice_even(&d) - 0.5);
        more = g;
        more.fed += 0.05;
        for (double a = 0.0; a < 700.0; a += 7.0) {
            is_true(growth_weight(&g, a + 7.0) > growth_weight(&g, a), "older is never lighter");
            is_true(growth_weight(&more, a) >= growth_weight(&g, a), "more feed is never lighter");
            is_true(growth_part_under(&g, a + 7.0, 15.0) <= growth_part_under(&g, a, 15.0), "fewer are light later");
        }
        const double kg = 5.0 + 40.0 * dice_even(&d);
        if (growth_age(&g, kg, 0.5, &age, &why) != ST_OK || growth_age(&g, kg, 5.0 / 6.0, &later, &why) != ST_OK)
            fail_msg("%s", why.text);
        near(growth_weight(&g, age), kg, 0.01); /* there and back */
        near(growth_part_under(&g, later, kg), 1.0 / 6.0, 1e-3);
        is_true(later > age, "five in six come later than the one in the middle");
    }
}

/* One weighing, by hand: precision 1 / (0.1^2 + 0.15^2) = 30.77 against 1 / 0.15^2 = 44.44 of the curve: weight 0.4091;
 * of a litter of nine: 1 / (0.01 + 0.0025) = 80: 0.6429. */
static void own_weighings(void **state)
{
    struct message why = { 0 };
    struct growth_own own;
    struct growth g = growth_default();
    const double curve = growth_weight(&g, 56.0);
    struct growth_weighing w[40];

    (void)state;
    w[0] = (struct growth_weighing){ 56.0, curve * 1.2, 1.0, 7, 1 };
    is_true(growth_from_own(&g, 1, w, &own, &why) == ST_OK && own.used == 1 && own.litters == 1, "one is taken");
    near(own.weight, 0.4091, 1e-3);
    near(g.farm_shift, 0.4091 * log(1.2), 1e-4);
    near(g.farm_spread, sqrt(1.0 / (30.769 + 44.444)), 1e-4);
    g = growth_default();
    w[0].pigs = 9.0;
    is_true(growth_from_own(&g, 1, w, &own, &why) == ST_OK, "a litter is taken");
    near(own.weight, 0.6429, 1e-3);
    double last = 0.0;
    for (size_t n = 1; n <= 40; n++) { /* more of the same: nearer to what was weighed, never past it */
        g = growth_default();
        for (size_t i = 0; i < n; i++)
            w[i] = (struct growth_weighing){ 30.0 + (double)i, 0.8 * growth_weight(&g, 30.0 + (double)i), 1.0, i, i };
        is_true(growth_from_own(&g, n, w, &own, &why) == ST_OK, why.text);
        is_true(g.farm_shift < last && g.farm_shift > log(0.8), "drawn toward what was weighed");
        last = g.farm_shift;
    }
    for (size_t i = 0; i < 40; i++) /* one pig weighed forty times is one pig */
        w[i].litter = w[i].pig = 3;
    g = growth_default();
    is_true(growth_from_own(&g, 40, w, &own, &why) == ST_OK && own.used == 40 && own.litters == 1, "one litter");
    near(own.weight, 0.4091, 1e-3);
    w[0] = (struct growth_weighing){ 900.0, 200.0, 1.0, 0, 0 }; /* a sow says nothing of young pigs */
    g = growth_default();
    is_true(growth_from_own(&g, 1, w, &own, &why) == ST_OK && own.used == 0 && g.farm_shift == 0.0,
            "old ones are left");
}

static void rubbish(void **state)
{
    struct growth g = growth_default();
    struct message why = { 0 };
    struct growth_own own;
    double age;
    const struct growth_weighing bad[] = { { 50.0, 0.0, 1.0, 0, 0 },
                                           { 50.0, NAN, 1.0, 0, 0 },
                                           { 50.0, 9.0, 0.0, 0, 0 } };

    (void)state;
    is_true(growth_age(&g, 0.5, 0.5, &age, &why) == ST_BAD_INPUT, "lighter than at birth");
    is_true(growth_age(&g, 400.0, 0.5, &age, &why) == ST_BAD_INPUT, "never reached");
    is_true(growth_age(&g, NAN, 0.5, &age, &why) == ST_BAD_INPUT, "no number");
    is_true(growth_age(&g, 12.0, 1.0, &age, &why) == ST_BAD_INPUT, "every pig");
    for (size_t i = 0; i < 3; i++)
        is_true(growth_from_own(&g, 1, &bad[i], &own, &why) == ST_BAD_INPUT, "no weight");
    g.fed = NAN;
    is_true(growth_check(&g, &why) == ST_BAD_INPUT && strcmp(why.field, "suckling_pace") != 0, "a field is named");
}

static int closing(void **state)
{
    (void)state;
    printf("growth: %zu checks\n", checks);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_gompertz), cmocka_unit_test(bought_in_april), cmocka_unit_test(suckling),
        cmocka_unit_test(any_curve),          cmocka_unit_test(own_weighings),   cmocka_unit_test(rubbish),
    };
    return cmocka_run_group_tests_name("growth", tests, NULL, closing);
}
