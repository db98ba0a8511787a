/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The base: numbers and units as people type them, civil dates, memory, text. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "core/base/arena.h"
#include "core/base/civil.h"
#include "core/base/dice.h"
#include "core/base/fold.h"
#include "core/base/text.h"
#include "core/base/units.h"
#include "tests/prop.h"

static const struct {
    const char *text;
    enum quantity of;
    double want, tolerance;
    const char *source;
} typed[] = {
    { "12F", Q_TEMPERATURE, -11.1111111, 1e-6, "definition of the degree Fahrenheit" },
    { "-40 F", Q_TEMPERATURE, -40.0, 1e-9, "the two scales meet at -40" },
    { "273.15K", Q_TEMPERATURE, 0.0, 1e-9, "SI Brochure, 9th ed., 2.3.1" },
    { "15mph", Q_SPEED, 6.7056, 1e-9, "mile of 1609.344 m, exact" },
    { "10 kn", Q_SPEED, 5.144444, 1e-5, "WMO-No. 306: 1 kt = 0.514444 m/s" },
    { "36kmh", Q_SPEED, 10.0, 1e-9, "arithmetic" },
    { "3lb", Q_MASS, 1.36077711, 1e-8, "international pound, exact" },
    { "6in", Q_LENGTH, 0.1524, 1e-12, "international inch, exact" },
    { "1 acre", Q_AREA, 4046.8564224, 1e-7, "NIST SP 811, appendix B" },
    { "85%", Q_FRACTION, 0.85, 1e-12, "SI Brochure 5.4.7" },
    { "4okta", Q_CLOUD, 0.5, 1e-12, "eighths" },
    { "1013.25hPa", Q_PRESSURE, 101.325, 1e-9, "standard atmosphere: CGPM 1954" },
    { "29.92inHg", Q_PRESSURE, 101.3207, 2e-3, "NIST SP 811, appendix B" },
    { "  7  ", Q_NUMBER, 7.0, 0.0, "spaces round a number are taken off" },
    { "1e3", Q_NUMBER, 1000.0, 0.0, "exponent" },
};

static void what_people_type_becomes_si(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(typed); i++) {
        struct message why = { "", "" };
        double si = NAN;
        const enum status st = quantity_read(typed[i].text, typed[i].of, -1e9, 1e9, "x", &si, &why);
        if (st != ST_OK || !(fabs(si - typed[i].want) <= typed[i].tolerance))
            fail_msg("\"%s\": want %.9g, got %.9g %s — %s", typed[i].text, typed[i].want, si, why.text,
                     typed[i].source);
    }
}

static void rubbish_is_refused_with_the_field_and_an_example(void **state)
{
    static const char *const rubbish[] = { "",
                                           " ",
                                           "cold",
                                           "nan",
                                           "NaN",
                                           "inf",
                                           "-inf",
                                           "0x10",
                                           "1,5",
                                           "--5",
                                           "1e999",
                                           "5 furlongs",
                                           "5kg",
                                           "5CC",
                                           "1 2",
                                           "٣",
                                           "1e",
                                           "5\n\n6",
                                           "999999999999999999999999999999999999999999999999999999999999999999999999" };
    (void)state;
    for (size_t i = 0; i < COUNT(rubbish); i++) {
        struct message why = { "", "" };
        double si = -99.0;
        assert_int_equal(quantity_read(rubbish[i], Q_TEMPERATURE, -70.0, 60.0, "temp", &si, &why), ST_BAD_INPUT);
        assert_string_equal(why.field, "temp");
        assert_non_null(strstr(why.text, "temp"));
        assert_null(strchr(why.text, '\n'));
        assert_true(si == -99.0); /* untouched */
    }
}

static void a_bearing_may_be_a_point_of_the_compass_and_no_other_angle_may(void **state)
{
    struct message why = { "", "" };
    double si = 0.0;

    (void)state;
    assert_int_equal(quantity_read("SE", Q_ANGLE, 0.0, 360.0, "facing", &si, &why), ST_OK);
    assert_true(fabs(si - 135.0) < 1e-12);
    assert_int_equal(quantity_read(" wnw ", Q_ANGLE, 0.0, 360.0, "facing", &si, &why), ST_OK);
    assert_true(fabs(si - 292.5) < 1e-12);
    assert_int_equal(quantity_read("SEE", Q_ANGLE, 0.0, 360.0, "facing", &si, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "is not a bearing; give one such as 135 or SE"));
    assert_int_equal(quantity_read("N", Q_ANGLE, -90.0, 90.0, "lat", &si, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "is not an angle"));
}

static void a_bare_85_is_not_a_fraction(void **state)
{
    struct message why = { "", "" };
    double si = 0.0;

    (void)state;
    assert_int_equal(quantity_read("85", Q_FRACTION, 0.0, 1.0, "rh", &si, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "%"));
}

static void units_go_there_and_back(void **state)
{
    static const struct {
        const char *unit;
        enum quantity of;
    } pairs[] = { { "F", Q_TEMPERATURE }, { "K", Q_TEMPERATURE }, { "mph", Q_SPEED },
                  { "lb", Q_MASS },       { "in", Q_RAIN },       { "acre", Q_AREA } };
    struct dice d = prop_start();
    struct message why = { "", "" };

    (void)state;
    for (int i = 0; i < 3000; i++) {
        const size_t k = (size_t)i % COUNT(pairs);
        const double x = prop_between(&d, -100.0, 100.0);
        double si = NAN;
        assert_int_equal(unit_to_si(x, pairs[k].unit, pairs[k].of, &si, &why), ST_OK);
        assert_true(fabs(unit_from_si(si, pairs[k].unit, pairs[k].of) - x) < 1e-9);
    }
}

static void whole_numbers_have_limits(void **state)
{
    int64_t value = 7;

    (void)state;
    assert_true(read_whole("-12", &value) && value == -12);
    assert_true(read_whole("9223372036854775", &value));
    assert_false(read_whole("99999999999999999999", &value));
    assert_false(read_whole("1.5", &value));
    assert_false(read_whole("", &value));
    assert_false(read_whole("-", &value));
}

/* Julian day numbers from Meeus, Astronomical Algorithms, 2nd ed., chapter 7, worked examples and table 7.1
 * (midnight: day number minus a half). Days since 1970 = JD - 2440587.5. */
static const struct {
    int year, month, day;
    double jd_midnight;
} julian[] = {
    { 1957, 10, 4, 2436115.5 }, { 2000, 1, 1, 2451544.5 }, { 1999, 1, 1, 2451179.5 }, { 1987, 1, 27, 2446822.5 },
    { 1988, 6, 19, 2447331.5 }, { 1900, 1, 1, 2415020.5 }, { 1600, 1, 1, 2305447.5 }, { 1600, 12, 31, 2305812.5 },
};

static void days_agree_with_julian_day_numbers(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(julian); i++)
        assert_int_equal(civil_days(julian[i].year, julian[i].month, julian[i].day),
                         (int64_t)(julian[i].jd_midnight - 2440587.5));
}

static void days_go_there_and_back(void **state)
{
    (void)state;
    for (int64_t d = -135000; d < 150000; d++) {
        const struct civil c = civil_from_days(d);
        assert_true(civil_is_date(c.year, c.month, c.day));
        assert_int_equal(civil_days(c.year, c.month, c.day), d);
    }
    assert_int_equal(civil_weekday(civil_days(2026, 1, 22)), 3); /* ISO 8601 calendar: Thursday */
    assert_int_equal(civil_day_of_year(2024, 12, 31), 366);
}

static void iso_texts_are_read_or_refused(void **state)
{
    static const char *const bad[] = { "",
                                       "2026",
                                       "2026-02-29",
                                       "2026-13-01",
                                       "2026-1-1",
                                       "22/01/2026",
                                       "2026-01-22T25:00",
                                       "2026-01-22T10",
                                       "2026-01-22T10:61",
                                       "2026-01-22T10:00+1",
                                       "2026-01-22T10:00+16:00",
                                       "2026-01-22x",
                                       "9999-01-01",
                                       "-026-01-01" };
    struct civil_text t;

    (void)state;
    assert_true(civil_read("2026-01-22T15:40:30.25-06:00", &t));
    assert_true(t.has_time && t.has_offset && t.offset_s == -21600 && t.at.second == 30);
    assert_true(civil_read("2026-01-22 15:40Z", &t) && t.has_offset && t.offset_s == 0);
    assert_true(civil_read("2024-02-29", &t) && !t.has_time && !t.has_offset);
    for (size_t i = 0; i < COUNT(bad); i++)
        if (civil_read(bad[i], &t))
            fail_msg("\"%s\" was read as a date", bad[i]);
}

static void an_arena_stays_under_its_ceiling(void **state)
{
    struct arena a;

    (void)state;
    arena_open(&a, 4096);
    for (int i = 0; i < 1000; i++) {
        char *p = arena_get(&a, 10, 1);
        if (p)
            for (int k = 0; k < 10; k++)
                assert_int_equal(p[k], 0);
    }
    assert_true(arena_full(&a) && a.used <= 4096);
    assert_null(arena_get(&a, 1, 1)); /* once full, full */
    arena_close(&a);
    arena_open(&a, SIZE_MAX);
    assert_null(arena_get(&a, SIZE_MAX / 2, 3)); /* the product overflows */
    arena_close(&a);
    arena_open(&a, 1 << 20);
    assert_string_equal(arena_print(&a, "%d %s", 7, "pigs"), "7 pigs");
    arena_close(&a);
}

static void text_stops_at_its_ceiling(void **state)
{
    struct text t;

    (void)state;
    text_open(&t, 10);
    text_add(&t, "12345");
    text_print(&t, "%s", "67890");
    assert_false(text_full(&t));
    text_add(&t, "1");
    assert_true(text_full(&t));
    assert_string_equal(text_get(&t), "1234567890");
    text_close(&t);
}

static void a_long_refusal_is_cut_at_a_whole_character(void **state)
{
    struct message why;
    char name[600];

    (void)state;
    for (size_t i = 0; i + 2 < sizeof name; i += 2)
        memcpy(name + i, "é", 3);
    (void)refuse(ST_BAD_INPUT, &why, name, "x%s", name);
    assert_int_equal((unsigned char)why.text[strlen(why.text) - 1] & 0xC0, 0x80); /* ends in a whole é */
    assert_int_equal((strlen(why.text) - 1) % 2, 0);
    assert_int_equal(strlen(why.field) % 2, 0);
    (void)refuse(ST_BAD_INPUT, &why, "", "a\nb\tc");
    assert_string_equal(why.text, "a b c");
}

/* A quoted word is cut by its bytes, and may come from anywhere: what is left is UTF-8 (RFC 3629) all the same, without
 * what breaks a line or turns the direction of writing. */
static void a_refusal_is_clean_text_whatever_is_quoted(void **state)
{
    static const struct {
        const char *quoted, *want;
    } rows[] = {
        { "\xC3\xA9\xC3", "\xC3\xA9?" },
        { "a\xFF\xFE"
          "b",
          "a??b" },
        { "\xC0\xAF", "??" },           /* longer than it need be */
        { "\xED\xA0\x80", "???" },      /* half of a pair */
        { "\xF4\x90\x80\x80", "????" }, /* past U+10FFFF */
        { "x\xE2\x80\xAE"
          "y",
          "x   y" },
        { "x\xE2\x81\xA9"
          "y",
          "x   y" },
        { "x\xC2\x85y", "x  y" },
        { "x\x1B[2Jy\x7F", "x [2Jy " },
        { "\xF0\x9F\x90\x96 \xE2\x82\xAC", "\xF0\x9F\x90\x96 \xE2\x82\xAC" },
    };
    struct message why;

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        (void)refuse(ST_BAD_INPUT, &why, rows[i].quoted, "%s", rows[i].quoted);
        assert_string_equal(why.text, rows[i].want);
        assert_string_equal(why.field, rows[i].want);
    }
    (void)refuse(ST_BAD_INPUT, &why, "", "%.3s", "a\xC3\xA9\xC3\xA9"); /* cut in a letter? no: after one */
    assert_string_equal(why.text, "a\xC3\xA9");
    (void)refuse(ST_BAD_INPUT, &why, "", "\"%.2s\"", "a\xC3\xA9");
    assert_string_equal(why.text, "\"a?\"");
    (void)refuse(ST_BAD_INPUT, &why, "wind", "wind: no"); /* told again with more before it, from where it stands */
    (void)refuse(ST_BAD_INPUT, &why, why.field, "line 3, %s", why.text);
    assert_string_equal(why.field, "wind");
    assert_string_equal(why.text, "line 3, wind: no");
}

/* Pairs of Unicode's CaseFolding.txt (15.0, status C); accents count, and any bytes are safe. */
static void words_are_found_in_either_case(void **state)
{
    static const struct {
        const char *text, *part;
        bool found;
    } rows[] = {
        { "Bramble of Withy Bottom", "BRAM", true },
        { "Bramble", "ramble ", false },
        { "Bramble", "", true },
        { "", "x", false },
        { "aaab", "aab", true },
        { "Stra\xC3\x9F"
          "e",
          "STRA\xC3\x9F"
          "E",
          true },
        { "\xC3\x84pfel", "\xC3\xA4PFEL", true }, /* U+00C4, U+00E4 */
        { "Apfel", "\xC3\xA4pfel", false },
        { "3\xC3\x97"
          "4",
          "3\xC3\xB7"
          "4",
          false },                                                        /* times and divided by are no pair */
        { "\xC5\xBD\xC5\xA1", "\xC5\xBE\xC5\xA0", true },                 /* U+017D U+0161 */
        { "\xC5\x81", "\xC5\x82", true },                                 /* U+0141 */
        { "\xC4\xB8", "\xC4\xB9", false },                                /* U+0138 has no pair */
        { "\xCE\xA3\xCE\xA5\xCE\xA3", "\xCF\x83\xCF\x85\xCF\x82", true }, /* the sigma that ends a word */
        { "\xD0\x96\xD0\x81", "\xD0\xB6\xD1\x91", true },                 /* U+0416 U+0401 */
        { "\xD7\xA2\xD7\xA0", "\xD7\xA0", true },
        { "\xF0\x9F\x90\x96!", "\xF0\x9F\x90\x96", true },
        { "a\xFF\xC3", "\xC3", true },
        { "a\xC3", "\xC3\xA4", false },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        if (fold_holds(rows[i].text, rows[i].part) != rows[i].found)
            fail_msg("row %zu: \"%s\" in \"%s\"", i, rows[i].part, rows[i].text);
}

static void dice_are_even_and_normal(void **state)
{
    struct dice d = dice_from(1);
    double sum = 0.0, square = 0.0;
    const int n = 200000;

    (void)state;
    for (int i = 0; i < n; i++) {
        const double z = dice_normal(&d);
        sum += z;
        square += z * z;
    }
    assert_true(fabs(sum / n) < 4.0 / sqrt(n));
    assert_true(fabs(square / n - 1.0) < 4.0 * sqrt(2.0 / n));
    d = dice_from(1234567);
    /* SplitMix64's published first outputs for this seed: the reference implementation by S. Vigna (from memory) */
    assert_true(dice_bits(&d) == UINT64_C(6457827717110365317));
    assert_true(dice_bits(&d) == UINT64_C(3203168211198807973));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_people_type_becomes_si),
        cmocka_unit_test(rubbish_is_refused_with_the_field_and_an_example),
        cmocka_unit_test(a_bearing_may_be_a_point_of_the_compass_and_no_other_angle_may),
        cmocka_unit_test(a_bare_85_is_not_a_fraction),
        cmocka_unit_test(units_go_there_and_back),
        cmocka_unit_test(whole_numbers_have_limits),
        cmocka_unit_test(days_agree_with_julian_day_numbers),
        cmocka_unit_test(days_go_there_and_back),
        cmocka_unit_test(iso_texts_are_read_or_refused),
        cmocka_unit_test(an_arena_stays_under_its_ceiling),
        cmocka_unit_test(text_stops_at_its_ceiling),
        cmocka_unit_test(a_long_refusal_is_cut_at_a_whole_character),
        cmocka_unit_test(a_refusal_is_clean_text_whatever_is_quoted),
        cmocka_unit_test(words_are_found_in_either_case),
        cmocka_unit_test(dice_are_even_and_normal),
    };
    return cmocka_run_group_tests_name("base", tests, NULL, NULL);
}
