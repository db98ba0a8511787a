/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Facing: what must hold for every site, how ties and arcs are told, weights, halves of the circle, refusals. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "core/base/civil.h"
#include "core/nest/facing.h"
#include "tests/prop.h"

enum { HOURS = 14 * 24 };

static struct hour hours[HOURS];

/* A fortnight in January, wind round `from_deg`, by night and day, from a fixed seed. */
static void make_hours(double from_deg, double swing_deg, double temp_c, double wind_mps, double oktas)
{
    struct dice d = prop_start();

    for (int i = 0; i < HOURS; i++)
        hours[i] = (struct hour){
            .utc_s = civil_days(2026, 1, 5) * 86400 + i * INT64_C(3600),
            .temp_c = temp_c + prop_between(&d, -3.0, 3.0),
            .rh = 0.85,
            .wind_mps = wind_mps * prop_between(&d, 0.5, 1.5),
            .cloud_oktas = oktas,
            .rain_mm = 0.0,
            .wind_from_deg = fmod(from_deg + prop_between(&d, -swing_deg, swing_deg) + 360.0, 360.0),
            .ghi_w_m2 = NAN,
            .dni_w_m2 = NAN,
            .dhi_w_m2 = NAN,
        };
}

static struct facing_ask usual(const struct shelter *s)
{
    struct facing_ask ask = facing_ask_default();

    ask.n = HOURS;
    ask.hours = hours;
    ask.lat_deg = 45.0;
    ask.lon_deg = 0.0;
    ask.shelter = s;
    return ask;
}

static struct facing found(const struct facing_ask *ask)
{
    struct arena mem;
    struct message why = { "", "" };
    struct facing f;

    arena_open(&mem, 64u << 20);
    if (facing_find(ask, &mem, &f, &why) != ST_OK)
        fail_msg("%s: %s", why.field, why.text);
    arena_close(&mem);
    return f;
}

static double apart(double a_deg, double b_deg)
{
    return fabs(remainder(a_deg - b_deg, 360.0));
}

static void without_sun_the_back_goes_to_the_wind(void **state)
{
    const struct shelter hut = shelter_default(SHELTER_HUT), lee = shelter_default(SHELTER_LEE);

    (void)state;
    for (double from_deg = 0.0; from_deg < 360.0; from_deg += 30.0) {
        struct facing_ask ask = usual(&hut);
        make_hours(from_deg, 15.0, -5.0, 5.0, 8.0);
        ask.lat_deg = 80.0; /* polar night */
        struct facing f = found(&ask);
        assert_true(apart(f.best_deg, from_deg + 180.0) <= 20.0 && apart(f.worst_deg, from_deg) <= 10.0);
        assert_false(f.hardly_matters);
        assert_true(f.rows[0].sun_kwh_m2_day == 0.0);
        ask.shelter = &lee;
        f = found(&ask);
        assert_true(apart(f.best_deg, from_deg + 180.0) <= 10.0);
    }
}

static void the_sun_pulls_towards_it_and_flips_in_the_south(void **state)
{
    const struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = usual(&hut);

    (void)state;
    make_hours(0.0, 180.0, -5.0, 0.0, 1.0); /* calm: nothing but sun differs */
    const struct facing north = found(&ask);
    assert_int_equal(north.calm_hours, HOURS);
    assert_true(apart(north.best_deg, 180.0) <= 30.0);
    for (int i = 0; i < HOURS; i++)
        hours[i].utc_s += 182 * 86400;
    ask.lat_deg = -45.0;
    const struct facing south = found(&ask);
    assert_true(apart(south.best_deg, 0.0) <= 30.0);
}

static void calm_hours_without_sun_differ_in_nothing(void **state)
{
    const struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = usual(&hut);

    (void)state;
    make_hours(0.0, 0.0, -5.0, 0.0, 8.0);
    ask.lat_deg = 80.0;
    const struct facing f = found(&ask);
    assert_true(f.nothing_differs && f.hardly_matters && f.n_arcs == 1 && f.arcs[0].to_deg == 360.0);
}

static void variable_wind_is_taken_all_round(void **state)
{
    const struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = usual(&hut);

    (void)state;
    make_hours(270.0, 0.0, -5.0, 4.0, 8.0);
    ask.lat_deg = 80.0;
    for (int i = 0; i < HOURS; i++)
        hours[i].wind_from_deg = NAN;
    const struct facing f = found(&ask);
    assert_true(f.variable_hours == HOURS && f.nothing_differs);
    assert_true(fabs(f.rows[7].wind_mps - f.rows[40].wind_mps) < 1e-12 && f.rows[0].wind_mps > 0.3);
}

static void one_turn_of_the_compass_turns_the_answer(void **state)
{
    const struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = usual(&hut);

    (void)state;
    ask.lat_deg = 80.0;
    make_hours(200.0, 40.0, -5.0, 5.0, 8.0);
    const struct facing f = found(&ask);
    make_hours(245.0, 40.0, -5.0, 5.0, 8.0);
    const struct facing g = found(&ask);
    for (int i = 0; i < FACING_BEARINGS; i++)
        assert_true(fabs(f.rows[i].cold_degree_hours_per_day -
                         g.rows[(i + 9) % FACING_BEARINGS].cold_degree_hours_per_day) < 1e-6);
}

static void halves_of_the_circle_make_the_whole(void **state)
{
    const struct shelter hut = shelter_default(SHELTER_HUT);
    const struct facing_ask ask = usual(&hut);
    struct facing_prepared *p;
    struct facing halves;
    struct message why = { "", "" };
    struct arena mem;

    (void)state;
    make_hours(240.0, 60.0, -3.0, 5.0, 4.0);
    arena_open(&mem, 64u << 20);
    assert_int_equal(facing_prepare(&ask, &mem, &p, &why), ST_OK);
    while (facing_next(p)) {
        facing_scan(p, 36, 72);
        facing_scan(p, 0, 36);
    }
    facing_conclude(p, &halves);
    const struct facing whole = found(&ask);
    assert_memory_equal(halves.rows, whole.rows, sizeof whole.rows);
    assert_true(halves.best_deg == whole.best_deg && halves.n_arcs == whole.n_arcs);
    arena_close(&mem);
}

/* More hours than are held ready at once: the same fortnight thirty times over, with holes between, under a closed sky
 * without light, for which one day is like another. A day's degree-hours stay, all the rain is thirty times as much. */
static void thirty_fortnights_are_as_cold_as_one(void **state)
{
    enum { TIMES = 30 };
    const enum shelter_kind kind[] = { SHELTER_HUT, SHELTER_LEE };
    struct hour *many = calloc((size_t)TIMES * HOURS, sizeof *many);

    (void)state;
    assert_non_null(many);
    make_hours(240.0, 60.0, -3.0, 5.0, 8.0);
    for (int i = 0; i < HOURS; i++) {
        hours[i].rain_mm = i % 9 == 0 ? 1.5 : 0.0;
        hours[i].ghi_w_m2 = hours[i].dni_w_m2 = hours[i].dhi_w_m2 = 0.0;
    }
    for (int i = 0; i < TIMES * HOURS; i++) {
        many[i] = hours[i % HOURS];
        many[i].utc_s += i / HOURS * INT64_C(20) * 86400;
    }
    for (size_t k = 0; k < COUNT(kind); k++) {
        const struct shelter is = shelter_default(kind[k]);
        struct facing_ask ask = usual(&is);
        ask.hours = many;
        const struct facing one = found(&ask);
        ask.n = (size_t)TIMES * HOURS;
        const struct facing all = found(&ask);
        assert_int_equal(all.hours, TIMES * one.hours);
        for (size_t g = 0; g < FACING_BEARINGS; g++) {
            const struct facing_row *a = &one.rows[g], *b = &all.rows[g];
            assert_true(a->cold_degree_hours_per_day > 1.0);
            assert_true(fabs(b->cold_degree_hours_per_day - a->cold_degree_hours_per_day) < 1e-9);
            assert_true(fabs(b->wind_mps - a->wind_mps) < 1e-9);
            assert_true(fabs(b->rain_l_m2 - TIMES * a->rain_l_m2) < 1e-6);
        }
    }
    free(many);
}

static void weights_pick_the_hours(void **state)
{
    const struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = usual(&hut);
    static double weight[HOURS];

    (void)state;
    make_hours(90.0, 10.0, -5.0, 5.0, 8.0);
    for (int i = HOURS / 2; i < HOURS; i++)
        hours[i].wind_from_deg = 270.0; /* veers: the second week comes from the west */
    ask.lat_deg = 80.0;
    ask.weight = weight;
    for (int i = 0; i < HOURS; i++)
        weight[i] = i < HOURS / 2 ? 0.01 : 0.0;
    assert_true(apart(found(&ask).best_deg, 270.0) <= 20.0);
    for (int i = 0; i < HOURS; i++)
        weight[i] = i < HOURS / 2 ? 0.0 : 0.002;
    const struct facing west = found(&ask);
    assert_true(apart(west.best_deg, 90.0) <= 20.0);
    assert_int_equal(west.hours, HOURS / 2);
}

static void months_and_nights_choose_hours(void **state)
{
    const struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = usual(&hut);
    struct message why = { "", "" };
    struct facing f;
    struct arena mem;

    (void)state;
    make_hours(270.0, 30.0, -5.0, 5.0, 2.0);
    ask.night_only = true;
    assert_int_equal(found(&ask).hours, HOURS / 2);
    ask.standard_offset_s = 5 * 3600; /* nights begin at 13:00 UTC there */
    assert_int_equal(found(&ask).hours, HOURS / 2);
    ask.months = 1u << 6;
    arena_open(&mem, 64u << 20);
    assert_int_equal(facing_find(&ask, &mem, &f, &why), ST_BAD_INPUT);
    arena_close(&mem);
}

static void rain_wets_the_straw_behind_a_door_into_the_wind(void **state)
{
    const struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = usual(&hut);

    (void)state;
    make_hours(270.0, 5.0, 4.0, 9.0, 8.0);
    ask.lat_deg = 80.0;
    const struct facing dry = found(&ask);
    for (int i = 0; i < HOURS; i++)
        hours[i].rain_mm = 1.0;
    const struct facing wet = found(&ask);
    assert_true(wet.rows[54].rain_l_m2 > 100.0 && wet.rows[18].rain_l_m2 < 1e-6);
    assert_true(wet.rows[54].cold_degree_hours_per_day > dry.rows[54].cold_degree_hours_per_day + 10.0);
    assert_true(fabs(wet.rows[18].cold_degree_hours_per_day - dry.rows[18].cold_degree_hours_per_day) < 1e-9);
}

static void two_arcs_stay_two_arcs(void **state)
{
    struct facing f = { .hours = 1 };

    (void)state;
    for (int g = 0; g < FACING_BEARINGS; g++) {
        f.rows[g].facing_deg = 5.0 * g;
        f.rows[g].cold_degree_hours_per_day = 100.0;
        if (g >= 70 || g <= 2) /* 350 .. 10 */
            f.rows[g].cold_degree_hours_per_day = 50.0;
        if (g >= 36 && g <= 38) /* 180 .. 190 */
            f.rows[g].cold_degree_hours_per_day = 51.0;
    }
    facing_judge(&f);
    assert_int_equal(f.n_arcs, 2);
    assert_true(f.best_deg == 0.0 && f.best == 50.0 && f.worst == 100.0);
    assert_true(f.arcs[0].from_deg == 350.0 && f.arcs[0].to_deg == 10.0);
    assert_true(f.arcs[1].from_deg == 180.0 && f.arcs[1].to_deg == 190.0);
    assert_false(f.hardly_matters);
}

static void extreme_cold_is_not_lost(void **state)
{
    struct shelter lee = shelter_default(SHELTER_LEE);
    struct facing_ask ask = usual(&lee);

    (void)state;
    lee.straw_m = 0.0;
    make_hours(270.0, 5.0, -45.0, 20.0, 0.0);
    const struct facing f = found(&ask);
    for (int g = 0; g < FACING_BEARINGS; g++)
        assert_true(f.rows[g].cold_degree_hours_per_day > 24.0 * 50.0);
}

static void what_cannot_be_faced_is_refused(void **state)
{
    const struct shelter open = shelter_default(SHELTER_OPEN), hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = usual(&open);
    struct message why = { "", "" };
    struct facing f;
    struct arena mem;

    (void)state;
    make_hours(270.0, 5.0, -5.0, 5.0, 4.0);
    arena_open(&mem, 64u << 20);
    assert_int_equal(facing_find(&ask, &mem, &f, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "shelter");
    ask.shelter = &hut;
    ask.lat_deg = 91.0;
    assert_int_equal(facing_find(&ask, &mem, &f, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "lat");
    ask.lat_deg = 45.0;
    for (int i = 0; i < HOURS; i++)
        hours[i].wind_mps = NAN;
    assert_int_equal(facing_find(&ask, &mem, &f, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "no hour"));
    arena_close(&mem);
    arena_open(&mem, 2000); /* too small a ceiling */
    assert_int_equal(facing_find(&ask, &mem, &f, &why), ST_NO_MEMORY);
    arena_close(&mem);
}

/* The same hour through nest_hour() and through the facing's own path. */
static void facing_and_the_single_hour_are_one_balance(void **state)
{
    struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = usual(&hut);
    const struct nest_sun night = { 0.0, -50.0, 0.0, 0.0, 0.0, 1410.0 };
    struct feels_table feels;
    struct message why = { "", "" };

    (void)state;
    feels_table_make(NULL, &feels);
    make_hours(270.0, 0.0, -8.0, 5.0, 3.0);
    ask.n = 1;
    ask.spread_deg = 0.0;
    ask.lat_deg = 80.0;
    const struct facing f = found(&ask);
    for (int g = 0; g < FACING_BEARINGS; g += 5) {
        struct nest n;
        hut.hut.facing_deg = 5.0 * g;
        assert_int_equal(nest_hour(NULL, &hut, NULL, NULL, NULL, &hours[0], &night, &feels, &n, &why), ST_OK);
        const double want = 24.0 * fmax(0.0, 8.0 - n.feels_c);
        if (!(fabs(f.rows[g].cold_degree_hours_per_day - want) < 0.1))
            fail_msg("at %d: facing %.3f, single hour %.3f", 5 * g, f.rows[g].cold_degree_hours_per_day, want);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_sun_the_back_goes_to_the_wind),
        cmocka_unit_test(the_sun_pulls_towards_it_and_flips_in_the_south),
        cmocka_unit_test(calm_hours_without_sun_differ_in_nothing),
        cmocka_unit_test(variable_wind_is_taken_all_round),
        cmocka_unit_test(one_turn_of_the_compass_turns_the_answer),
        cmocka_unit_test(halves_of_the_circle_make_the_whole),
        cmocka_unit_test(thirty_fortnights_are_as_cold_as_one),
        cmocka_unit_test(weights_pick_the_hours),
        cmocka_unit_test(months_and_nights_choose_hours),
        cmocka_unit_test(rain_wets_the_straw_behind_a_door_into_the_wind),
        cmocka_unit_test(two_arcs_stay_two_arcs),
        cmocka_unit_test(extreme_cold_is_not_lost),
        cmocka_unit_test(what_cannot_be_faced_is_refused),
        cmocka_unit_test(facing_and_the_single_hour_are_one_balance),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
