/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a person types becomes checked parameters, or one sentence. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "core/base/civil.h"
#include "desk/question.h"
#include "desk/when.h"

enum { WIND, COUNT_OF, WORDS, KIND, AT, DAY, PLAIN, FILE_IN, ZONE, MANY, BARE, DEFAULT };

static const struct param params[] = {
    [WIND] = { "wind", P_QUANTITY, Q_SPEED, 0, 75, NULL, NULL, 0, "wind" },
    [COUNT_OF] = { "count", P_WHOLE, Q_NUMBER, 1, 12, NULL, NULL, 0, "how many" },
    [WORDS] = { "words", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "words" },
    [KIND] = { "kind", P_CHOICE, Q_NUMBER, 0, 0, NULL, "open|lee|hut", 0, "kind" },
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "when" },
    [DAY] = { "day", P_DAY, Q_NUMBER, 0, 0, NULL, NULL, 0, "which day" },
    [PLAIN] = { "plain", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "plainly" },
    [FILE_IN] = { "file", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, 0, "a file" },
    [ZONE] = { "zone", P_ZONE, Q_NUMBER, 0, 0, "UTC", NULL, 0, "time zone" },
    [MANY] = { "many", P_QUANTITY, Q_TEMPERATURE, -70, 60, NULL, NULL, PARAM_REPEAT, "several" },
    [BARE] = { "bare", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD, "a bare word" },
    [DEFAULT] = { "mass", P_QUANTITY, Q_MASS, 0.3, 3, "1.3 kg", NULL, 0, "mass at birth" },
};

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    if (given_is(q, WORDS) && strcmp(given_text(q, WORDS), "fail") == 0)
        return refuse(ST_BAD_INPUT, why, "wind", "too much of it");
    answer_real(a, "wind", given_real(q, WIND));
    return ST_OK;
}

static const struct question question = { "trial", "a question to try", params, COUNT(params), NULL, 0, NULL, put };

static enum status read_them(struct arena *mem, struct asked *q, size_t n, const struct typed_param typed[],
                             struct message *why)
{
    *q = (struct asked){ .question = &question, .mem = mem };
    return asked_read(q, n, typed, why);
}

static void good_values_become_si(void **state)
{
    const struct typed_param typed[] = { { WIND, "36kmh" },     { COUNT_OF, "12" },
                                         { KIND, "lee" },       { AT, "2026-01-22T15:40" },
                                         { DAY, "2026-01-22" }, { ZONE, "America/Chicago" },
                                         { MANY, "32F" },       { MANY, "-5" } };
    struct arena mem;
    struct asked q;
    struct message why = { "", "" };

    (void)state;
    arena_open(&mem, 1 << 20);
    if (read_them(&mem, &q, COUNT(typed), typed, &why) != ST_OK)
        fail_msg("%s", why.text);
    assert_true(fabs(given_real(&q, WIND) - 10.0) < 1e-12);
    assert_true(given_real(&q, COUNT_OF) == 12.0);
    assert_string_equal(given_text(&q, KIND), "lee");
    /* 15:40 in Chicago in January is 21:40 UTC: US Code of Federal Regulations, title 49, part 71 (six hours, central
     * zone) */
    const struct civil want = { 2026, 1, 22, 21, 40, 0 };
    assert_true(given_when(&q, AT) == civil_seconds(&want) && q.at_utc_s == given_when(&q, AT) && q.at_typed);
    assert_true(given_when(&q, DAY) == civil_days(2026, 1, 22));
    assert_int_equal(q.given[MANY].n, 2);
    assert_true(fabs(q.given[MANY].real[0]) < 1e-12 && q.given[MANY].real[1] == -5.0);
    assert_false(given_is(&q, WORDS) || given_flag(&q, PLAIN) || given_typed(&q, DEFAULT));
    assert_true(isnan(given_real(&q, WORDS)) && given_text(&q, WORDS) == NULL && given_when(&q, FILE_IN) == INT64_MIN);
    assert_true(given_real(&q, DEFAULT) == 1.3);
    arena_close(&mem);
}

static void a_date_alone_is_noon_of_the_zone(void **state)
{
    const struct typed_param typed[] = { { AT, "2026-07-01" }, { ZONE, "Europe/Berlin" } };
    struct arena mem;
    struct asked q;
    struct message why = { "", "" };

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(read_them(&mem, &q, COUNT(typed), typed, &why), ST_OK);
    const struct civil want = { 2026, 7, 1, 10, 0, 0 }; /* summer time there is UTC+2: Directive 2000/84/EC */
    assert_true(given_when(&q, AT) == civil_seconds(&want));
    arena_close(&mem);
}

static void rubbish_of_every_kind_is_one_sentence_with_the_flag(void **state)
{
    static const struct {
        size_t param;
        const char *text, *must_say;
    } rubbish[] = {
        { WIND, "", "0 to 75" },
        { WIND, "abc", "0 to 75" },
        { WIND, "nan", "0 to 75" },
        { WIND, "-1", "0 to 75" },
        { WIND, "1e9", "0 to 75" },
        { WIND, "5kg", "0 to 75" },
        { WIND, "inf", "0 to 75" },
        { COUNT_OF, "", "1 to 12" },
        { COUNT_OF, "0", "1 to 12" },
        { COUNT_OF, "13", "1 to 12" },
        { COUNT_OF, "2.5", "1 to 12" },
        { COUNT_OF, "99999999999999999999999", "1 to 12" },
        { WORDS, "", "empty" },
        { WORDS, "\xff", "UTF-8" },
        { WORDS, "\xc0\xaf", "UTF-8" },
        { WORDS, "\xed\xa0\x80", "UTF-8" },
        { WORDS, "a\x07", "UTF-8" },
        { KIND, "barn", "open|lee|hut" },
        { KIND, "", "open|lee|hut" },
        { KIND, "open|lee", "open|lee|hut" },
        { AT, "noon", "2026-01-22" },
        { AT, "2026-02-30", "2026-01-22" },
        { AT, "", "2026-01-22" },
        { DAY, "2026-01-22T12:00", "2026-01-22" },
        { DAY, "0", "2026-01-22" },
        { FILE_IN, "", "empty" },
        { ZONE, "Atlantis/Capital", "zone" },
        { ZONE, "", "zone" },
        { MANY, "warm", "-70 to 60" },
    };
    struct arena mem;

    (void)state;
    for (size_t i = 0; i < COUNT(rubbish); i++) {
        const struct typed_param typed = { rubbish[i].param, rubbish[i].text };
        struct message why = { "", "" };
        struct asked q;
        char flag[64];
        arena_open(&mem, 1 << 20);
        const enum status st = read_them(&mem, &q, 1, &typed, &why);
        (void)snprintf(flag, sizeof flag, "--%s", params[rubbish[i].param].name);
        if ((st != ST_BAD_INPUT && st != ST_NOT_FOUND) || !strstr(why.text, flag) ||
            !strstr(why.text, rubbish[i].must_say) || strchr(why.text, '\n') ||
            strcmp(why.field, params[rubbish[i].param].name) != 0)
            fail_msg("--%s=\"%s\": status %d, field %s, says: %s", params[rubbish[i].param].name, rubbish[i].text,
                     (int)st, why.field, why.text);
        arena_close(&mem);
    }
}

static void a_time_that_never_was_is_refused_with_the_flag(void **state)
{
    /* clocks in Chicago went from 02:00 to 03:00 on 2026-03-08: 15 U.S.C. 260a, second Sunday of March */
    const struct typed_param typed[] = { { AT, "2026-03-08T02:30" }, { ZONE, "America/Chicago" } };
    struct message why = { "", "" };
    struct arena mem;
    struct asked q;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(read_them(&mem, &q, COUNT(typed), typed, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "--at"));
    arena_close(&mem);
}

static void twice_is_refused_where_once_is_meant(void **state)
{
    const struct typed_param typed[] = { { WIND, "3" }, { WIND, "4" } };
    struct message why = { "", "" };
    struct arena mem;
    struct asked q;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(read_them(&mem, &q, COUNT(typed), typed, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "--wind"));
    assert_non_null(strstr(why.text, "2 times"));
    arena_close(&mem);
}

static void defaults_that_stood_are_said(void **state)
{
    const struct typed_param typed[] = { { WIND, "3" } }, all[] = { { WIND, "3" }, { DEFAULT, "2" }, { ZONE, "UTC" } };
    struct message why = { "", "" };
    struct answer *a = NULL;
    struct arena mem;
    struct asked q;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(read_them(&mem, &q, COUNT(typed), typed, &why), ST_OK);
    assert_int_equal(question_put(&q, &a, &why), ST_OK);
    assert_int_equal(answer_count(answer_at(a, "assumed")), 2);
    assert_string_equal(answer_get_text(a, "assumed[0]"), "zone UTC: time zone");
    assert_string_equal(answer_get_text(a, "assumed[1]"), "mass 1.3 kg: mass at birth");
    assert_int_equal(read_them(&mem, &q, COUNT(all), all, &why), ST_OK);
    assert_int_equal(question_put(&q, &a, &why), ST_OK);
    assert_int_equal(answer_count(answer_at(a, "assumed")), 0);
    assert_non_null(answer_at(a, "assumed"));
    arena_close(&mem);
}

static void a_refusal_of_the_reckoning_names_the_flag(void **state)
{
    const struct typed_param typed[] = { { WORDS, "fail" } };
    struct message why = { "", "" };
    struct answer *a = NULL;
    struct arena mem;
    struct asked q;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(read_them(&mem, &q, COUNT(typed), typed, &why), ST_OK);
    assert_int_equal(question_put(&q, &a, &why), ST_BAD_INPUT);
    assert_string_equal(why.text, "--wind: too much of it");
    assert_null(a);
    arena_close(&mem);
}

static void nights_are_named_by_their_evening(void **state)
{
    const struct zone *chicago = NULL;
    struct message why = { "", "" };
    struct arena mem;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(zone_open("America/Chicago", &mem, &chicago, &why), ST_OK);
    const struct civil late = { 2026, 1, 23, 5, 59, 0 },
                       dawn = { 2026, 1, 23, 12, 0, 0 }; /* UTC: 23:59 and 06:00 there */
    assert_true(when_evening(chicago, civil_seconds(&late)) == civil_days(2026, 1, 22));
    assert_true(when_evening(chicago, civil_seconds(&dawn)) == civil_days(2026, 1, 23));
    assert_true(when_evening(chicago, civil_seconds(&dawn) - 1) == civil_days(2026, 1, 22));
    assert_int_equal(when_local(chicago, civil_seconds(&late)).hour, 23);
    assert_int_equal(when_offset_s(chicago, civil_seconds(&late)), -6 * 3600);
    assert_string_equal(when_zone_name(chicago), "America/Chicago");
    /* the next half past one at night, from 01:30 itself and from a second later */
    const struct civil half = { 2026, 1, 23, 7, 30, 0 };
    assert_true(when_next_clock(chicago, civil_seconds(&half), 1, 30) == civil_seconds(&half));
    assert_true(when_next_clock(chicago, civil_seconds(&half) + 1, 1, 30) == civil_seconds(&half) + DAY_S);
    /* 01:30 is shown twice on 2026-11-01 */
    const struct civil first = { 2026, 11, 1, 6, 30, 0 };
    assert_true(when_next_clock(chicago, civil_seconds(&first) + 1, 1, 30) == civil_seconds(&first) + HOUR_S);
    arena_close(&mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(good_values_become_si),
        cmocka_unit_test(a_date_alone_is_noon_of_the_zone),
        cmocka_unit_test(rubbish_of_every_kind_is_one_sentence_with_the_flag),
        cmocka_unit_test(a_time_that_never_was_is_refused_with_the_flag),
        cmocka_unit_test(twice_is_refused_where_once_is_meant),
        cmocka_unit_test(defaults_that_stood_are_said),
        cmocka_unit_test(a_refusal_of_the_reckoning_names_the_flag),
        cmocka_unit_test(nights_are_named_by_their_evening),
    };
    return cmocka_run_group_tests_name("question", tests, NULL, NULL);
}
