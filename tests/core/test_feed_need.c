/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Need against handbook formulae worked by hand (NRC 2012, Noblet et al. 1997, Edwards 2003), an extension table (Kansas
 * State: 0.05 lb more feed for each degF under 68) and the recommended allowances of "The Gestating and Lactating Sow"
 * (Farmer ed. 2015, table 6.3); and what has to hold of any: colder never wants less.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "core/base/dice.h"
#include "core/feed/need.h"

static size_t checks;

static void near(double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("want %.6f, got %.6f, allowed %g", want, got, off);
    checks++;
}

static void is_true(int is, const char *what)
{
    if (!is)
        fail_msg("%s", what);
    checks++;
}

/* 200-kg sow, day 60, litter 10, gain 0.25, a group on straw, 2 C: 5,318 + 1,271 + 180 + 1,250 = 8,020 kcal, 2.63 kg of
 * 3,050; day 105: 553 for the unborn, 8,392; the short way at day 60: 6,749 x 1.15 = 7,761. */
static void a_sow_in_pig(void **state)
{
    struct need_sow s = need_sow_default();

    (void)state;
    s.gestation_d = 60.0;
    s.litter = 10.0;
    s.gain_kg = 0.25;
    s.on_foot_min = 0.0;
    s.temp_c = 2.0;
    near(need_keep(200.0), 5318.0, 1.0);
    near(need_cold(&s), 1271.0, 1.0);
    near(need_carried(60.0, 10.0), 180.0, 1.0);
    near(need_carried(105.0, 10.0), 553.0, 1.0);
    near(need_sow(&s), 8020.0, 2.0);
    near(need_feed_kg(need_sow(&s), 3050.0, 0.0), 2.63, 0.005);
    s.gestation_d = 105.0;
    near(need_sow(&s), 8392.0, 2.0);
    s.gestation_d = 60.0;
    s.temp_c = NAN; /* not known: the short way */
    near(need_sow(&s), 7761.0, 2.0);
    s.on_foot_min = 120.0;
    near(need_walk(&s), 458.0, 1.0);
    /* litter 12: 143, 515, 618, 712 kcal at 50, 90, 100, 110 days */
    near(need_carried(50.0, 12.0), 143.0, 1.0);
    near(need_carried(90.0, 12.0), 515.0, 1.0);
    near(need_carried(100.0, 12.0), 618.0, 1.0);
    near(need_carried(110.0, 12.0), 712.0, 1.0);
    /* Kansas State: 0.05 lb a degF = 41 g a degC; here 42 of 3,050 kcal */
    s.temp_c = need_lower_critical(s.bed) - 1.0;
    near(1000.0 * need_cold(&s) / 3050.0, 0.05 * 453.59 * 1.8, 1.5);
    /* alone 15 kJ per kg^0.75 measured, 18 of NRC */
    s.bed = NEED_ALONE;
    s.temp_c = 19.0;
    near(need_cold(&s) * 4.184 / pow(200.0, 0.75), 18.0, 0.05);
}

/* The band to warn against: 1.8 to 2.3 kg in mild weather, 2.5 to 3.5 outdoors in winter. */
static void within_the_band(void **state)
{
    struct need_sow s = need_sow_default();

    (void)state;
    for (double day = 0.0; day <= 115.0; day += 5.0)
        for (double c = -10.0; c <= 5.0; c += 5.0) {
            s.gestation_d = day;
            s.temp_c = c;
            const double kg = need_feed_kg(need_sow(&s), 3050.0, 0.10);
            is_true(kg > 2.4 && kg < 3.6, "a sow outdoors in winter gets 2.5 to 3.5 kg");
        }
}

/* 200 kg, 8 piglets of 200 g: milk 7,152, 15,535 kcal, 5.01 kg of 3,100. Table 6.3: with 210 kg and
 * 11.5 piglets they eat 6.61 kg of 3,300 kcal with 5 % waste at any gain: at 190 g that is the need within 8 in 100, at
 * 270 g it is not enough and the rest comes off her back. */
static void a_sow_in_milk(void **state)
{
    (void)state;
    near(need_suckling(200.0, 8.0, 0.2), 15535.0, 2.0);
    near(need_feed_kg(need_suckling(200.0, 8.0, 0.2), 3100.0, 0.0), 5.01, 0.005);
    is_true(fabs(need_feed_kg(need_suckling(210.0, 11.5, 0.190), 3300.0, 0.05) / 6.61 - 1.0) < 0.08, "first row");
    is_true(need_feed_kg(need_suckling(210.0, 11.5, 0.270), 3300.0, 0.05) > 6.61, "last row: off her back");
    for (double n = 7.0; n <= 9.0; n += 1.0) /* slow litters of 7 to 9: 4.5 to 5.5 kg a day */
        is_true(need_feed_kg(need_suckling(200.0, n, 0.18), 3100.0, 0.0) > 4.0 &&
                    need_feed_kg(need_suckling(200.0, n, 0.18), 3100.0, 0.10) < 5.7,
                "4.5 to 5.5 kg");
    near(need_suckling(200.0, 0.0, 0.0), need_keep(200.0), 1e-9);
    double creep = 0.0;
    for (double d = 0.0; d < 56.0; d += 1.0)
        creep += need_creep_kg(d + 0.5);
    near(8.0 * creep, 64.0, 0.2); /* the worked unit: 64 kg for 8 piglets by weaning */
}

/* NRC 2012, table 16-1: kg, kcal, g a day; outdoors 15 in 100 more. */
static void growing_pigs(void **state)
{
    static const double row[][3] = { { 6, 904, .210 },     { 9, 1592, .335 },    { 18, 3033, .585 },
                                     { 37.5, 4959, .758 }, { 62.5, 6989, .900 }, { 87.5, 8265, .917 },
                                     { 117.5, 9196, .867 } };

    (void)state;
    for (size_t i = 0; i < 7; i++)
        near(need_pig(row[i][0], row[i][2], NAN) / 1.15, row[i][1], 1.0);
    /* slow pigs of 30 to 80 kg at 60 to 75 in 100 of that gain are planned with 3.5 to 4.5 kg of feed a kg gained
     * (assumption, fat ones); this table's lean gain comes to less, never to more */
    for (size_t i = 3; i < 5; i++) {
        const double gain = 0.675 * row[i][2], per = need_feed_kg(need_pig(row[i][0], gain, 10.0), 3050.0, 0.0) / gain;
        is_true(per > 2.3 && per < 4.5, "feed a kg gained");
    }
}

static void any_need(void **state)
{
    struct dice d = dice_from(5);

    (void)state;
    for (int turn = 0; turn < 2000; turn++) {
        struct need_sow s = need_sow_default(), t;
        s.mass_kg = 80.0 + 300.0 * dice_even(&d);
        s.gestation_d = dice_even(&d) < 0.3 ? 0.0 : 114.0 * dice_even(&d);
        s.litter = 14.0 * dice_even(&d);
        s.gain_kg = 0.4 * dice_even(&d);
        s.bed = (enum need_bed)(dice_bits(&d) % 3);
        s.temp_c = -25.0 + 50.0 * dice_even(&d);
        t = s;
        t.temp_c -= 1.0 + 5.0 * dice_even(&d);
        is_true(need_sow(&t) >= need_sow(&s), "colder never wants less");
        is_true(need_pig(20.0, 0.3, t.temp_c) >= need_pig(20.0, 0.3, s.temp_c), "nor does a pig");
        t = s;
        t.mass_kg += 10.0;
        is_true(need_sow(&t) > need_sow(&s), "heavier wants more");
        t = s;
        t.gestation_d = fmin(114.0, s.gestation_d + 10.0);
        is_true(need_sow(&t) >= need_sow(&s), "later in pig never wants less");
        is_true(need_feed_kg(1000.0, 3000.0, 0.2) > need_feed_kg(1000.0, 3000.0, 0.1), "waste is put out too");
        is_true(need_suckling(s.mass_kg, s.litter + 1.0, 0.2) > need_suckling(s.mass_kg, s.litter, 0.2),
                "one more pig");
    }
    /* the winter store worked in the note: 2,028 kg eaten with 15 in 100 lost is 2,386, not 2,332 */
    near(need_feed_kg(2028.0, 1.0, 0.15), 2386.0, 0.5);
}

static int closing(void **state)
{
    (void)state;
    printf("feed need: %zu checks\n", checks);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sow_in_pig), cmocka_unit_test(within_the_band), cmocka_unit_test(a_sow_in_milk),
        cmocka_unit_test(growing_pigs), cmocka_unit_test(any_need),
    };
    return cmocka_run_group_tests_name("feed need", tests, NULL, closing);
}
