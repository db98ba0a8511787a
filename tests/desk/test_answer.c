/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The tree of an answer: reading it back as JSON with a library of its own, as CSV, and holding it against a shape. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "core/base/civil.h"
#include "doors/show/show.h"

static const double column[] = { 1.23456, (double)NAN, -0.0004 };

static struct answer *a_tree(struct arena *mem)
{
    struct answer *a = answer_new(mem);

    answer_real(a, "temp_c", -4.25);
    answer_real_or(a, "flow_m3_s", (double)NAN, "no hut");
    answer_real(a, "zero", -0.0);
    answer_whole(a, "piglets", 9);
    answer_text(a, "name", "Sedge \"the\" quiet, Bramble's");
    answer_text(a, "nothing", NULL);
    answer_print(a, "made", "%d of %s", 3, "these");
    answer_moment(a, "at", INT64_C(1769096400)); /* 2026-01-22T15:40:00Z */
    answer_day(a, "night", civil_days(2026, 1, 22));
    answer_flag(a, "nests", true);
    struct answer *sows = answer_list(a, "sows");
    for (int i = 0; i < 3; i++) {
        struct answer *row = answer_item(sows);
        answer_text(row, "name", i == 0 ? "=Bramble" : i == 1 ? "Sedge, old" : "Rush");
        answer_real(row, "p", i == 1 ? (double)NAN : 0.25 * i);
        if (i == 2)
            answer_flag(row, "seen", false);
        answer_words(answer_list(row, "signs"), "nest");
    }
    struct answer *hours = answer_object(a, "hours");
    answer_whole(hours, "count", 3);
    struct answer *time = answer_list(hours, "time");
    for (int i = 0; i < 3; i++)
        answer_moment_item(time, INT64_C(1769096400) + i * HOUR_S);
    answer_reals(hours, "temp_c", column, COUNT(column), 2);
    answer_words(answer_list(hours, "notes"), "one");
    return a;
}

static void members_are_found_by_path(void **state)
{
    struct arena mem;

    (void)state;
    arena_open(&mem, 1 << 20);
    const struct answer *a = a_tree(&mem);
    assert_true(answer_get_real(a, "temp_c") == -4.25);
    assert_true(isnan(answer_get_real(a, "flow_m3_s")) && isnan(answer_get_real(a, "not there")) &&
                isnan(answer_get_real(a, "name")));
    assert_string_equal(answer_get_text(a, "flow_m3_s_because"), "no hut");
    assert_string_equal(answer_get_text(a, "sows[1].name"), "Sedge, old");
    assert_string_equal(answer_get_text(a, "sows[2].signs[0]"), "nest");
    assert_null(answer_at(a, "sows[3]"));
    assert_null(answer_at(a, "sows[0].name.deeper"));
    assert_int_equal(answer_count(answer_at(a, "sows")), 3);
    assert_true(answer_at(a, "") == a);
    arena_close(&mem);
}

static void json_reads_back_as_it_was(void **state)
{
    struct message why = { "", "" };
    struct arena mem;
    struct text out;
    json_error_t error;

    (void)state;
    arena_open(&mem, 1 << 20);
    text_open(&out, 1 << 20);
    assert_int_equal(show_json(a_tree(&mem), &out, &why), ST_OK);
    json_t *j = json_loads(text_get(&out), JSON_REJECT_DUPLICATES, &error);
    if (!j)
        fail_msg("not JSON: %s in %s", error.text, text_get(&out));
    assert_true(json_real_value(json_object_get(j, "temp_c")) == -4.25);
    assert_true(json_is_null(json_object_get(j, "flow_m3_s")) && json_is_null(json_object_get(j, "nothing")));
    assert_false(signbit(json_real_value(json_object_get(j, "zero"))));
    assert_string_equal(json_string_value(json_object_get(j, "name")), "Sedge \"the\" quiet, Bramble's");
    assert_string_equal(json_string_value(json_object_get(j, "at")), "2026-01-22T15:40:00Z");
    assert_string_equal(json_string_value(json_object_get(j, "night")), "2026-01-22");
    assert_true(json_is_true(json_object_get(j, "nests")));
    assert_int_equal(json_array_size(json_object_get(j, "sows")), 3);
    const json_t *temps = json_object_get(json_object_get(j, "hours"), "temp_c");
    assert_true(json_real_value(json_array_get(temps, 0)) == 1.23 && json_is_null(json_array_get(temps, 1)));
    assert_true(json_real_value(json_array_get(temps, 2)) == 0.0 &&
                !signbit(json_real_value(json_array_get(temps, 2))));
    assert_int_equal(text_get(&out)[out.length - 1], '\n');
    struct text again;
    text_open(&again, 1 << 20);
    assert_int_equal(show_json(a_tree(&mem), &again, &why), ST_OK);
    assert_string_equal(text_get(&out), text_get(&again)); /* the same answer, the same bytes */
    json_decref(j);
    text_close(&again);
    text_close(&out);
    arena_close(&mem);
}

static void a_list_is_a_table_with_quotes_where_they_are_due(void **state)
{
    struct message why = { "", "" };
    struct arena mem;
    struct text out;

    (void)state;
    arena_open(&mem, 1 << 20);
    text_open(&out, 1 << 20);
    const struct answer *a = a_tree(&mem);
    assert_int_equal(show_csv(a, "sows", &out, &why), ST_OK);
    /* RFC 4180, section 2: fields with commas in double quotes; a leading = is disarmed for spreadsheets */
    assert_string_equal(text_get(&out), "name,p,seen\n\"'=Bramble\",0,\n\"Sedge, old\",,\nRush,0.5,false\n");
    text_close(&out);
    text_open(&out, 1 << 20);
    assert_int_equal(show_csv(a, "hours", &out, &why), ST_OK);
    assert_string_equal(
        text_get(&out),
        "time,temp_c\n2026-01-22T15:40:00Z,1.23456\n2026-01-22T16:40:00Z,\n2026-01-22T17:40:00Z,-0.0004\n");
    text_close(&out);
    text_open(&out, 1 << 20);
    assert_int_equal(show_csv(a, "nothing there", &out, &why), ST_BAD_INPUT);
    assert_int_equal(show_csv(a, NULL, &out, &why), ST_BAD_INPUT);
    text_close(&out);
    arena_close(&mem);
}

static const struct shape shape[] = {
    { "temp_c", SHAPE_REAL, false, "" },         { "flow_m3_s", SHAPE_REAL, true, "" },
    { "zero", SHAPE_REAL, false, "" },           { "piglets", SHAPE_WHOLE, false, "" },
    { "name", SHAPE_TEXT, false, "" },           { "nothing", SHAPE_TEXT, true, "" },
    { "made", SHAPE_TEXT, false, "" },           { "at", SHAPE_MOMENT, false, "" },
    { "night", SHAPE_DAY, false, "" },           { "nests", SHAPE_FLAG, false, "" },
    { "sows", SHAPE_LIST, false, "" },           { "sows[]", SHAPE_OBJECT, false, "" },
    { "sows[].name", SHAPE_TEXT, false, "" },    { "sows[].p", SHAPE_REAL, true, "" },
    { "sows[].seen", SHAPE_FLAG, true, "" },     { "sows[].signs", SHAPE_LIST, false, "" },
    { "sows[].signs[]", SHAPE_TEXT, false, "" }, { "hours", SHAPE_OBJECT, false, "" },
    { "hours.count", SHAPE_WHOLE, false, "" },   { "hours.time", SHAPE_LIST, false, "" },
    { "hours.time[]", SHAPE_MOMENT, false, "" }, { "hours.temp_c", SHAPE_REALS, false, "" },
    { "hours.notes", SHAPE_LIST, false, "" },    { "hours.notes[]", SHAPE_TEXT, false, "" },
};

static void a_shape_holds_and_every_broken_one_is_found(void **state)
{
    struct message why = { "", "" };
    struct shape broken[COUNT(shape) + 1];
    struct arena mem;

    (void)state;
    arena_open(&mem, 1 << 20);
    const struct answer *a = a_tree(&mem);
    if (shape_check(a, COUNT(shape), shape, &why) != ST_OK)
        fail_msg("%s", why.text);
    for (size_t i = 0; i < COUNT(shape); i++) { /* a row left out: that member is not known */
        size_t n = 0;
        for (size_t k = 0; k < COUNT(shape); k++)
            if (k != i)
                broken[n++] = shape[k];
        if (shape_check(a, n, broken, &why) == ST_OK)
            fail_msg("%s is not missed in the shape", shape[i].path);
    }
    for (size_t i = 0; i < COUNT(shape); i++) { /* a row of another kind */
        memcpy(broken, shape, sizeof shape);
        broken[i].of = shape[i].of == SHAPE_DAY ? SHAPE_FLAG : SHAPE_DAY;
        if (strcmp(shape[i].path, "nothing") != 0 && strcmp(shape[i].path, "flow_m3_s") != 0 &&
            shape_check(a, COUNT(shape), broken, &why) == ST_OK)
            fail_msg("%s may be anything", shape[i].path);
    }
    static const char *const must[] = { "more", "sows[].more", "hours.more" };
    for (size_t i = 0; i < COUNT(must); i++) { /* a member that must be there and is not */
        memcpy(broken, shape, sizeof shape);
        broken[COUNT(shape)] = (struct shape){ must[i], SHAPE_REAL, false, "" };
        assert_int_equal(shape_check(a, COUNT(shape) + 1, broken, &why), ST_CONFLICT);
        assert_non_null(strstr(why.text, must[i]));
    }
    memcpy(broken, shape, sizeof shape);
    broken[1].nullable = false; /* null where it may not be */
    assert_int_equal(shape_check(a, COUNT(shape), broken, &why), ST_CONFLICT);
    arena_close(&mem);
}

static void members_whose_names_are_data_are_covered_by_a_star(void **state)
{
    static const struct shape texts[] = { { "fact", SHAPE_OBJECT, false, "" }, { "fact.*", SHAPE_TEXT, false, "" } },
                              any[] = { { "fact", SHAPE_OBJECT, false, "" }, { "fact.*", SHAPE_OBJECT, false, "" } },
                              root[] = { { "*", SHAPE_OBJECT, false, "" } };
    struct message why = { "", "" };
    struct arena mem;

    (void)state;
    arena_open(&mem, 1 << 20);
    struct answer *a = answer_new(&mem), *fact = answer_object(a, "fact");
    assert_int_equal(shape_check(a, COUNT(texts), texts, &why), ST_OK); /* none of them need be there */
    answer_text(fact, "name", "Bramble");
    assert_int_equal(shape_check(a, COUNT(texts), texts, &why), ST_OK);
    assert_int_equal(shape_check(a, 1, texts, &why), ST_CONFLICT);
    answer_real(answer_item(answer_list(fact, "list")), "x_m", 3.0);
    assert_int_equal(shape_check(a, COUNT(texts), texts, &why), ST_CONFLICT);
    assert_non_null(strstr(why.text, "fact.list"));
    assert_int_equal(shape_check(a, COUNT(any), any, &why), ST_OK);
    assert_int_equal(shape_check(a, COUNT(root), root, &why), ST_OK);
    answer_flag(a, "beside", true);
    assert_int_equal(shape_check(a, COUNT(any), any, &why), ST_CONFLICT); /* a star covers its own floor alone */
    arena_close(&mem);
}

/* RFC 5545, 3.4 and 3.6: icalbody = calprops component, component = 1*(...); 3.6.5: a VTIMEZONE has a TZID and a
 * STANDARD with DTSTART, TZOFFSETTO and TZOFFSETFROM. */
static void a_calendar_without_events_is_a_calendar_all_the_same(void **state)
{
    static const char *const parts[] = { "BEGIN:VCALENDAR\r\n",
                                         "VERSION:2.0\r\n",
                                         "PRODID:",
                                         "BEGIN:VTIMEZONE\r\n",
                                         "TZID:Etc/UTC\r\n",
                                         "BEGIN:STANDARD\r\n",
                                         "DTSTART:19700101T000000\r\n",
                                         "TZOFFSETFROM:+0000\r\n",
                                         "TZOFFSETTO:+0000\r\n",
                                         "END:STANDARD\r\n",
                                         "END:VTIMEZONE\r\n",
                                         "END:VCALENDAR\r\n" };
    struct message why = { "", "" };
    struct arena mem;
    struct text out;

    (void)state;
    arena_open(&mem, 1 << 20);
    text_open(&out, 1 << 16);
    struct answer *a = answer_new(&mem);
    answer_moment(a, "at", 0);
    struct answer *events = answer_list(a, "events");
    assert_int_equal(show_ics(a, &out, &why), ST_OK);
    for (size_t i = 0; i < COUNT(parts); i++)
        if (!strstr(text_get(&out), parts[i]))
            fail_msg("%s is missing from:\n%s", parts[i], text_get(&out));
    text_close(&out);
    text_open(&out, 1 << 16);
    struct answer *row = answer_item(events); /* and where there is something to come, that alone */
    answer_text(row, "key", "farrow:1");
    answer_day(row, "from", 20000);
    answer_day(row, "to", 20001);
    answer_text(row, "title", "Bramble farrows");
    assert_int_equal(show_ics(a, &out, &why), ST_OK);
    assert_non_null(strstr(text_get(&out), "BEGIN:VEVENT"));
    assert_null(strstr(text_get(&out), "VTIMEZONE"));
    text_close(&out);
    arena_close(&mem);
}

static void a_full_arena_swallows_and_says_so(void **state)
{
    struct arena mem;

    (void)state;
    arena_open(&mem, 4096);
    struct answer *a = answer_new(&mem);
    for (int i = 0; i < 1000; i++)
        answer_real(answer_item(answer_list(a, "list")), "x", i);
    assert_true(arena_full(&mem));
    arena_close(&mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(members_are_found_by_path),
        cmocka_unit_test(json_reads_back_as_it_was),
        cmocka_unit_test(a_list_is_a_table_with_quotes_where_they_are_due),
        cmocka_unit_test(a_shape_holds_and_every_broken_one_is_found),
        cmocka_unit_test(members_whose_names_are_data_are_covered_by_a_star),
        cmocka_unit_test(a_calendar_without_events_is_a_calendar_all_the_same),
        cmocka_unit_test(a_full_arena_swallows_and_says_so),
    };
    return cmocka_run_group_tests_name("answer", tests, NULL, NULL);
}
