/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Danger of many births at once: what piglet_run_danger() says of each, which itself stands on the yardstick of
 * tests/core/test_piglet.c. Births near the limits on purpose: there a last bit would show. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "core/piglet/piglet.h"
#include "tests/core/piglet_case.h"
#include "tests/prop.h"

enum { BIRTHS = 203, HOURS_MOST = 7 }; /* not a multiple of how many are reckoned side by side */
static size_t births, dangers, late;

static struct piglet any_piglet(struct dice *d)
{
    struct piglet who = piglet_newborn();

    who.mass_kg = dice_even(d) < 0.5 ? 1.3 : prop_between(d, 0.6, 2.0);
    who.hours = dice_even(d) < 0.5 ? 2.0 : prop_between(d, 2.0, 9.0);
    who.suckles = dice_even(d) < 0.9;
    who.milk_at_once = dice_even(d) < 0.1;
    who.at_udder = dice_even(d) < 0.8;
    if (dice_even(d) < 0.5) {
        who.mates = floor(prop_between(d, 0.0, 9.0));
        who.alone_min = prop_between(d, 0.0, 100.0);
        who.age_h = dice_even(d) < 0.3 ? prop_between(d, 0.0, 30.0) : 0.0;
        who.wet = dice_even(d);
        who.body_c = prop_between(d, 32.0, 40.0);
    }
    if (dice_even(d) < 0.2) {
        who.mates_per_h = 3.0;
        who.mates_most = 8.0;
    }
    return who;
}

static void any_air(struct dice *d, double temp_c, size_t n, struct piglet_air air[])
{
    const double wind = dice_even(d) * dice_even(d), straw_m = prop_between(d, 0.0, 0.35);
    const enum piglet_floor on = dice_even(d) < 0.7 ? PIGLET_STRAW : (enum piglet_floor)(int)(3.999 * dice_even(d));

    for (size_t h = 0; h < n; h++)
        air[h] = case_hour(d, temp_c, wind, on, straw_m);
}

/* The air temperature at which this birth is just in danger, found by halving: neighbours of it are asked about. */
static double edge_c(struct dice *d, const struct piglet *who, size_t n, struct piglet_air air[])
{
    double low_c = -30.0, high_c = 36.0;
    const struct dice here = *d;

    for (int i = 0; i < 12; i++) {
        struct dice again = here;
        struct message why = { "", "" };
        bool danger = false;
        any_air(&again, 0.5 * (low_c + high_c), n, air);
        assert_int_equal(piglet_run_danger(NULL, who, n, air, &danger, &why), ST_OK);
        if (danger)
            low_c = 0.5 * (low_c + high_c);
        else
            high_c = 0.5 * (low_c + high_c);
    }
    return 0.5 * (low_c + high_c);
}

static void many_say_what_each_says(void **state)
{
    static struct piglet_air air[BIRTHS * HOURS_MOST];
    struct dice d = prop_start();

    (void)state;
    for (int c = 0; c < 60; c++) {
        const struct piglet who = any_piglet(&d);
        const size_t n = 1 + (size_t)(dice_even(&d) * HOURS_MOST);
        struct message why = { "", "" };
        bool danger[BIRTHS];
        for (size_t b = 0; b < BIRTHS; b++) {
            struct dice here = d;
            const double near_c = edge_c(&here, &who, n, air + b * n) + prop_between(&here, -1.5, 1.5);
            any_air(&d, b % 8 == 7 ? prop_between(&here, -20.0, 40.0) : near_c, n, air + b * n);
        }
        assert_int_equal(piglet_run_danger_many(NULL, &who, BIRTHS, n, air, danger, &why), ST_OK);
        for (size_t b = 0; b < BIRTHS; b++) {
            bool one = false;
            struct piglet_result r;
            assert_int_equal(piglet_run_danger(NULL, &who, n, air + b * n, &one, &why), ST_OK);
            if (danger[b] != one)
                fail_msg("case %d, birth %zu of %zu hours, %g kg: %d among many, %d alone", c, b, n, who.mass_kg,
                         danger[b], one);
            assert_int_equal(piglet_run_brisk(NULL, &who, n, air + b * n, &r, &why), ST_OK);
            late += r.milk_g_kg > 0.0 && r.min_c < 34.0;
            dangers += one;
        }
        births += BIRTHS;
    }
    assert_true(dangers > births / 10 && dangers < births - births / 10); /* both answers come up */
    assert_true(late > births / 20);                                      /* and those that suck late */
}

static void what_is_refused(void **state)
{
    struct piglet_air air[2 * 2];
    struct piglet who = piglet_newborn();
    struct dice d = prop_start();
    struct message why = { "", "" };
    bool danger[2] = { true, true };

    (void)state;
    any_air(&d, 5.0, 4, air);
    assert_int_equal(piglet_run_danger_many(NULL, &who, 0, 2, air, danger, &why), ST_OK);
    air[3].rh = 1.5;
    assert_int_equal(piglet_run_danger_many(NULL, &who, 2, 2, air, danger, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "rh");
    air[3].rh = 0.5;
    assert_int_equal(piglet_run_danger_many(NULL, &who, 2, 0, air, danger, &why), ST_BAD_INPUT);
    who.hours = 1.5;
    assert_int_equal(piglet_run_danger_many(NULL, &who, 2, 2, air, danger, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "hours");
}

static int say_counts(void **state)
{
    (void)state;
    (void)printf("many births: %zu, of them %zu in danger, %zu that sucked only after they had been under 34 C\n",
                 births, dangers, late);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(many_say_what_each_says), cmocka_unit_test(what_is_refused) };

    return cmocka_run_group_tests(tests, NULL, say_counts);
}
