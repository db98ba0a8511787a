/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Forecasts typed by hand. The shape of the day is checked against Parton & Logan (1981), Agricultural Meteorology 23:
 * 205-216, whose day curve is T = low + (high - low) sin(pi m / (Y + 2 a)), a = 1.86 h for air at 1.5 m (published
 * copies of the model agree on a = 1.86, b = 2.20, c = -0.17); here m counts from the low, which they put c after
 * sunrise.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/attr.h"
#include "core/base/civil.h"
#include "core/base/dice.h"
#include "weather/typed.h"

static const int64_t evening_utc_s = 1768521600; /* 2026-01-16T00:00:00Z = 18:00 of the 15th at UTC-6 */
static const int west_s = -6 * 3600;
static const int64_t noon_utc_s = 1768501800; /* solar noon at 12:30 by that clock */
static const double day_s = 9 * 3600.0;       /* sunrise 08:00, sunset 17:00 by that clock */

static struct arena mem;
static struct message why;
static struct hour *hour;
static const char **note;
static size_t n_notes;

static int begin(void **state)
{
    (void)state;
    arena_open(&mem, 1u << 20);
    why = (struct message){ "", "" };
    return 0;
}

static int end(void **state)
{
    (void)state;
    arena_close(&mem);
    return 0;
}

static void near(const char *what, double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.10g within %g, got %.10g", what, want, off, got);
}

static struct typed read_well(const char *text)
{
    struct typed t;

    if (typed_read(text, evening_utc_s, west_s, &t, &why) != ST_OK)
        fail_msg("'%s' refused: %s", text, why.text);
    return t;
}

static void hours_of(const struct typed *t, size_t n)
{
    if (typed_hours(t, evening_utc_s, n, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why) != ST_OK)
        fail_msg("refused: %s", why.text);
}

static bool noted(const char *says)
{
    for (size_t i = 0; i < n_notes; i++)
        if (strstr(note[i], says))
            return true;
    return false;
}

/* ---- reading ---- */

static void the_evening_sentence_is_understood(void **state)
{
    const struct typed t = read_well("tonight low 12F, wind SW 15 mph, rain until 21:00");

    (void)state;
    near("12 F", t.low_c, -11.1111, 1e-4);
    near("SW", t.wind_from_deg, 225.0, 0.0);
    near("15 mph", t.wind_mps, 6.7056, 1e-9); /* the international mile, 1609.344 m */
    assert_true(t.rain && !t.snow && !t.dry && isnan(t.rain_mm));
    assert_int_equal(t.rain_from_utc_s, 0);
    assert_int_equal(t.rain_until_utc_s, evening_utc_s + 3 * HOUR_S);
    assert_true(isnan(t.high_c) && isnan(t.now_c) && isnan(t.gust_mps) && isnan(t.rh) && isnan(t.cloud_oktas));
}

static void the_same_thing_said_otherwise(void **state)
{
    static const char *const same[] = {
        "wind SW 15 mph gusts 30 mph",
        "Wind from the south-west 15mph, gusts 30mph",
        "wind 15 mph south west; gusts to 30 mph",
        "wind southwesterly about 15 mph gusting up to 30 mph",
        "gust 30mph\nwind 15mph sw",
        "WIND SW 6.7056mps GUSTS 13.4112",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(same); i++) {
        const struct typed t = read_well(same[i]);

        if (!(fabs(t.wind_mps - 6.7056) < 1e-9 && fabs(t.gust_mps - 13.4112) < 1e-9 && t.wind_from_deg == 225.0))
            fail_msg("'%s': %g from %g, gusts %g", same[i], t.wind_mps, t.wind_from_deg, t.gust_mps);
    }
}

static void every_part_is_read(void **state)
{
    struct typed t = read_well("now 20\xc2\xb0"
                               "F, low -11.5C at 5am, high 25 F at 2pm, calm, overcast, humidity 80%");

    (void)state;
    near("now", t.now_c, -6.6667, 1e-4);
    near("low", t.low_c, -11.5, 0.0);
    assert_int_equal(t.low_utc_s, evening_utc_s + 11 * HOUR_S);
    near("high", t.high_c, -3.8889, 1e-4);
    assert_int_equal(t.high_utc_s, evening_utc_s + 20 * HOUR_S);
    near("calm", t.wind_mps, 0.0, 0.0);
    near("overcast", t.cloud_oktas, 8.0, 0.0);
    near("humidity", t.rh, 0.8, 1e-12);
    t = read_well("snow 2 in from 22:00 until 4am, wind variable 5 kn, cloud 25%");
    near("2 inches as it lies", t.snow_cm, 5.08, 1e-9);
    assert_int_equal(t.rain_from_utc_s, evening_utc_s + 4 * HOUR_S);
    assert_int_equal(t.rain_until_utc_s, evening_utc_s + 10 * HOUR_S);
    assert_true(t.snow && !t.rain && t.wind_variable && isnan(t.wind_from_deg));
    near("quarter", t.cloud_oktas, 2.0, 1e-12);
    t = read_well("rain 6mm from midnight to noon, clear, dry"); /* contradicts itself: said when hours are made */
    assert_int_equal(t.rain_from_utc_s, evening_utc_s + 6 * HOUR_S);
    assert_int_equal(t.rain_until_utc_s, evening_utc_s + 18 * HOUR_S);
    assert_int_equal(typed_hours(&t, evening_utc_s, 24, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why),
                     ST_BAD_INPUT);
}

static void compass_names_are_the_sixteen(void **state)
{
    static const struct {
        const char *name;
        double deg;
    } row[] = {
        { "N", 0 },
        { "nne", 22.5 },
        { "NE", 45 },
        { "east-northeast", 67.5 },
        { "East", 90 },
        { "ESE", 112.5 },
        { "SE", 135 },
        { "south-south-east", 157.5 },
        { "s", 180 },
        { "SSW", 202.5 },
        { "southwest", 225 },
        { "WSW", 247.5 },
        { "westerly", 270 },
        { "WNW", 292.5 },
        { "north-westerly", 315 },
        { "NNW", 337.5 },
        { "225", 225 },
        { "360", 0 },
        { "45deg", 45 },
    };
    static const char *const bad[] = { "",
                                       "NS",
                                       "nnn",
                                       "up",
                                       "westward",
                                       "361",
                                       "-1",
                                       "nan",
                                       "1e",
                                       "south of here",
                                       "northnorthnorthnorth",
                                       "sixteen hundred and more" };
    double deg;
    bool variable;

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++)
        if (typed_compass(row[i].name, "wind-from", &deg, &variable, &why) != ST_OK || !(deg == row[i].deg) || variable)
            fail_msg("%s: %g", row[i].name, deg);
    assert_int_equal(typed_compass("Variable", "wind-from", &deg, &variable, &why), ST_OK);
    assert_true(variable && isnan(deg));
    for (size_t i = 0; i < COUNT(bad); i++)
        if (typed_compass(bad[i], "wind-from", &deg, &variable, &why) != ST_BAD_INPUT ||
            strcmp(why.field, "wind-from") != 0)
            fail_msg("'%s' was taken as %g", bad[i], deg);
}

static void what_is_not_understood_is_named(void **state)
{
    static const struct {
        const char *text, *field, *says;
    } row[] = {
        { "", "forecast", "nothing was said" },
        { " , ;; ", "forecast", "nothing was said" },
        { "tonight", "forecast", "not understood" },
        { "hail", "forecast", "'hail'" },
        { "low", "low", "missing" },
        { "low 12F cheese", "forecast", "'cheese'" },
        { "low 500", "low", "" },
        { "low nan", "low", "missing" },
        { "low 1e999", "low", "" },
        { "wind", "wind", "needs" },
        { "wind 15 cheese", "forecast", "'cheese'" },
        { "wind 900mph", "wind", "" },
        { "rain until", "rain", "rain: a clock" },
        { "rain until 9", "rain", "clock" }, /* morning or evening? */
        { "rain until 25:00", "rain", "rain: a clock" },
        { "rain until 21:60", "rain", "clock" },
        { "rain until 13pm", "rain", "clock" },
        { "rain until 21:5", "rain", "clock" },
        { "rain -3mm", "rain", "" },
        { "humidity 180%", "humidity", "" },
        { "low 12F at dawn", "low", "clock" },
        { "low 12F \x01", "forecast", "sign" },
        { "l\xc3\xb6w 12F", "forecast", "sign" },
        { "a b c d e f g h i j k l m n o p q r s t", "forecast", "too long" },
        { "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", "forecast", "too long" },
    };
    char endless[1000];

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++) {
        struct typed t = typed_nothing();

        why = (struct message){ "", "" };
        t.low_c = 77.0;
        if (typed_read(row[i].text, evening_utc_s, west_s, &t, &why) != ST_BAD_INPUT)
            fail_msg("'%s' was taken", row[i].text);
        if (strcmp(why.field, row[i].field) != 0 || !strstr(why.text, row[i].says))
            fail_msg("'%s': %s: %s", row[i].text, why.field, why.text);
        near("untouched", t.low_c, 77.0, 0.0);
    }
    memset(endless, ',', sizeof endless - 1);
    endless[sizeof endless - 1] = 0;
    assert_int_equal(typed_read(endless, evening_utc_s, west_s, &(struct typed){ 0 }, &why), ST_BAD_INPUT);
}

static void clock_times_are_the_next_such(void **state)
{
    const struct typed a = read_well("rain from 18:00 until 18:00"), b = read_well("rain until 17:59");

    (void)state;
    assert_int_equal(a.rain_from_utc_s, evening_utc_s);
    assert_int_equal(a.rain_until_utc_s, evening_utc_s + DAY_S);
    assert_int_equal(b.rain_until_utc_s, evening_utc_s + DAY_S - 60);
}

/* ---- hours ---- */

static void day_has_the_published_shape(void **state)
{
    struct typed t = typed_nothing();
    const double pi = 3.14159265358979323846;
    int coldest = 0, warmest = 0;

    (void)state;
    t.low_c = -12.0;
    t.high_c = -2.0;
    hours_of(&t, 48);
    for (int i = 0; i < 48; i++) {
        const double clock_h = fmod(18.0 + i, 24.0), m = clock_h - (8.0 - 0.17);

        assert_true(hour[i].temp_c >= -12.0 - 1e-9 && hour[i].temp_c <= -2.0 + 1e-9);
        if (clock_h > 8.0 && clock_h <= 17.0 && clock_h != 14.0) /* by day; 14:00 holds the high */
            near("sine by day", hour[i].temp_c, -12.0 + 10.0 * sin(pi * m / (9.0 + 2.0 * (1.86 + 0.17))), 1e-9);
        if (hour[i].temp_c < hour[coldest].temp_c)
            coldest = i;
        if (hour[i].temp_c > hour[warmest].temp_c)
            warmest = i;
    }
    assert_int_equal(coldest, 13); /* the hour from 07:00, in which the low comes: 07:50 */
    near("the low itself", hour[13].temp_c, -12.0, 0.0);
    assert_int_equal(warmest, 20); /* the hour from 14:00: solar noon and 1.86 h is 14:22 */
    near("the high itself", hour[20].temp_c, -2.0, 0.0);
    for (int i = 1; i <= 13; i++)
        assert_true(hour[i].temp_c < hour[i - 1].temp_c);                            /* falls all night */
    assert_true(hour[0].temp_c - hour[3].temp_c > hour[9].temp_c - hour[12].temp_c); /* and faster at first */
    for (int i = 0; i < 24; i++)
        near("the next day is the same", hour[i + 24].temp_c, hour[i].temp_c, 1e-9);
}

static void given_times_are_kept(void **state)
{
    struct typed t = read_well("low 10F at 05:00, high 30F at 15:00");
    int coldest = 0, warmest = 0;

    (void)state;
    hours_of(&t, 24);
    for (int i = 0; i < 24; i++) {
        if (hour[i].temp_c < hour[coldest].temp_c)
            coldest = i;
        if (hour[i].temp_c > hour[warmest].temp_c)
            warmest = i;
    }
    assert_int_equal(coldest, 11);
    assert_int_equal(warmest, 21);
}

static void low_alone_is_taken_the_colder_way(void **state)
{
    struct typed t = read_well("low 12F");

    (void)state;
    hours_of(&t, 24);
    for (int i = 0; i < 24; i++)
        near("held", hour[i].temp_c, -11.1111, 1e-4);
    assert_true(noted("only the low"));
    t = read_well("now 30F, low 12F at 06:00");
    hours_of(&t, 24);
    near("begins with now", hour[0].temp_c, -1.1111, 1e-4);
    for (int i = 1; i < 24; i++)
        assert_true(hour[i].temp_c <= hour[i - 1].temp_c + 1e-12);
    near("reached", hour[12].temp_c, -11.1111, 1e-4);
    near("and kept", hour[23].temp_c, -11.1111, 1e-4);
    assert_true(noted("stay there"));
    t = read_well("now 30F");
    hours_of(&t, 5);
    near("only now", hour[4].temp_c, -1.1111, 1e-4);
    assert_true(noted("may well be colder"));
}

static void now_fades_into_the_day(void **state)
{
    struct typed t = typed_nothing();
    struct hour *plain;

    (void)state;
    t.low_c = -12.0;
    t.high_c = -2.0;
    hours_of(&t, 12);
    plain = hour;
    t.now_c = plain[0].temp_c + 3.0;
    hours_of(&t, 12);
    near("now", hour[0].temp_c, plain[0].temp_c + 3.0, 1e-9);
    near("half of it after three hours", hour[3].temp_c, plain[3].temp_c + 1.5, 1e-9);
    near("gone after six", hour[6].temp_c, plain[6].temp_c, 1e-9);
}

static void rain_lies_in_its_hours(void **state)
{
    struct typed t = read_well("rain until 20:30");
    double sum_mm = 0.0;

    (void)state;
    hours_of(&t, 6);
    near("1 mm an hour", hour[0].rain_mm, 1.0, 1e-12);
    near("half of the last hour", hour[2].rain_mm, 0.5, 1e-12);
    near("then dry, and known to be", hour[3].rain_mm, 0.0, 0.0);
    assert_true(noted("1 mm an hour"));
    t = read_well("rain 9 mm from 20:00 until 2am");
    hours_of(&t, 24);
    for (int i = 0; i < 24; i++)
        sum_mm += hour[i].rain_mm;
    near("all of it falls", sum_mm, 9.0, 1e-9);
    near("evenly", hour[3].rain_mm, 1.5, 1e-12);
    near("not before", hour[1].rain_mm, 0.0, 0.0);
    t = read_well("snow 12 cm until midnight");
    hours_of(&t, 8);
    near("snow", hour[0].snow_cm, 2.0, 1e-12);
    near("melted, a tenth", hour[0].rain_mm, 2.0, 1e-12);
    assert_true(hour[5].snow && !hour[6].snow);
    t = read_well("low 12F");
    hours_of(&t, 3);
    assert_true(isnan(hour[0].rain_mm)); /* not spoken of is not dry */
    t = read_well("low 12F, dry");
    hours_of(&t, 3);
    near("said to be dry", hour[0].rain_mm, 0.0, 0.0);
}

static void wind_and_sky_are_laid_out(void **state)
{
    struct typed t = read_well("wind NNW 20 kn gusts 35kn, cloudy, humidity 90%");

    (void)state;
    hours_of(&t, 3);
    near("20 knots", hour[2].wind_mps, 20.0 * 1852.0 / 3600.0, 1e-9);
    near("35 knots", hour[2].gust_mps, 35.0 * 1852.0 / 3600.0, 1e-9);
    near("from", hour[2].wind_from_deg, 337.5, 0.0);
    near("sky", hour[2].cloud_oktas, 6.0, 0.0);
    near("humidity", hour[2].rh, 0.9, 1e-12);
    assert_true(isnan(hour[2].temp_c) && isnan(hour[2].pressure_kpa));
    t = read_well("calm, low 3");
    hours_of(&t, 1);
    assert_true(isnan(hour[0].wind_from_deg) && hour[0].wind_mps == 0.0);
    t = read_well("wind 4, low 3");
    hours_of(&t, 1);
    assert_true(noted("where the wind comes from"));
}

static void contradictions_are_refused(void **state)
{
    static const struct {
        const char *text, *field;
    } row[] = {
        { "low 30F, high 12F", "low" },
        { "high 30F", "low" },
        { "wind 30mph, gusts 20mph", "gust" },
        { "rain, snow", "rain" },
        { "rain, dry", "rain" },
        { "rain from 20:00 until 21:00", "" },
        { "low 3, rain from 9am until 10am", "rain" },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++) {
        const struct typed t = read_well(row[i].text);
        const enum status st =
            typed_hours(&t, evening_utc_s, 12, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why);

        if (row[i].field[0] && (st != ST_BAD_INPUT || strcmp(why.field, row[i].field) != 0))
            fail_msg("'%s': %s", row[i].text, why.text);
        if (!row[i].field[0] && st != ST_OK)
            fail_msg("'%s': %s", row[i].text, why.text);
    }
}

static void figures_from_flags_are_checked_too(void **state)
{
    struct typed t = typed_nothing();

    (void)state;
    assert_int_equal(typed_hours(&t, evening_utc_s, 12, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why),
                     ST_BAD_INPUT);
    t.low_c = -200.0;
    assert_int_equal(typed_hours(&t, evening_utc_s, 12, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why),
                     ST_BAD_INPUT);
    t.low_c = INFINITY;
    assert_int_equal(typed_hours(&t, evening_utc_s, 12, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why),
                     ST_BAD_INPUT);
    t.low_c = 1.0;
    t.wind_mps = -1.0;
    assert_int_equal(typed_hours(&t, evening_utc_s, 12, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why),
                     ST_BAD_INPUT);
    t = typed_nothing();
    t.rain = true;
    t.rain_from_utc_s = evening_utc_s + 3600;
    t.rain_until_utc_s = evening_utc_s + 3600;
    assert_int_equal(typed_hours(&t, evening_utc_s, 12, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why),
                     ST_BAD_INPUT);
    assert_int_equal(typed_hours(&t, evening_utc_s + 1, 12, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why),
                     ST_BAD_INPUT);
    assert_int_equal(typed_hours(&t, evening_utc_s, 241, noon_utc_s, day_s, &mem, &hour, &note, &n_notes, &why),
                     ST_BAD_INPUT);
}

/* Any low, high, time and day length: the low is never passed, and every hour has a temperature. */
static void no_odd_day_breaks_the_shape(void **state)
{
    struct dice p = dice_from(7);

    (void)state;
    for (int round = 0; round < 3000; round++) {
        struct typed t = typed_nothing();
        const int64_t noon = evening_utc_s + (int64_t)dice_between(&p, -90000.0, 90000.0);
        double length_s = dice_between(&p, -1e4, 1e5);

        t.low_c = dice_between(&p, -30.0, 10.0);
        t.high_c = t.low_c + dice_between(&p, 0.0, 20.0);
        if (round % 3 == 0)
            t.low_utc_s = evening_utc_s + (int64_t)dice_between(&p, -5000.0, 90000.0);
        if (round % 2 == 0)
            t.high_utc_s = evening_utc_s + (int64_t)dice_between(&p, -5000.0, 90000.0);
        if (typed_hours(&t, evening_utc_s, 48, noon, length_s, &mem, &hour, &note, &n_notes, &why) != ST_OK)
            fail_msg("%s", why.text);
        for (int i = 0; i < 48; i++)
            if (!(hour[i].temp_c >= t.low_c - 1e-9 && hour[i].temp_c <= t.high_c + 1e-9))
                fail_msg("round %d hour %d: %g outside %g .. %g", round, i, hour[i].temp_c, t.low_c, t.high_c);
        arena_close(&mem);
        arena_open(&mem, 1u << 20);
    }
}

#define CASE(f) cmocka_unit_test_setup_teardown(f, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(the_evening_sentence_is_understood),
        CASE(the_same_thing_said_otherwise),
        CASE(every_part_is_read),
        CASE(compass_names_are_the_sixteen),
        CASE(what_is_not_understood_is_named),
        CASE(clock_times_are_the_next_such),
        CASE(day_has_the_published_shape),
        CASE(given_times_are_kept),
        CASE(low_alone_is_taken_the_colder_way),
        CASE(now_fades_into_the_day),
        CASE(rain_lies_in_its_hours),
        CASE(wind_and_sky_are_laid_out),
        CASE(contradictions_are_refused),
        CASE(figures_from_flags_are_checked_too),
        CASE(no_odd_day_breaks_the_shape),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
