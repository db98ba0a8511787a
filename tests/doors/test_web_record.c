/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Recording over HTTP, through the running server. What is right is told by the fact table, by RFC 8259 and 9110 (codes)
 * and by the exact pound and foot of 1959; the farm is invented.
 */
#include "tests/doors/record_case.h"

#include <math.h>

#include "desk/labels.h"
#include "farm/facts.h"

/* ---- what a form needs ---- */

static void kinds_tell_all_that_a_form_needs(void **state)
{
    char flag[40], label[40];

    (void)state;
    struct web_got got = web_get(&farm, "/api/kinds");
    WEB_WANT(&got, 200);
    for (size_t k = 0; fact_kinds[k]; k++) {
        const json_t *kind = json_array_get(web_at(&got, "kinds"), k), *fields = json_object_get(kind, "fields");
        assert_string_equal(json_string_value(json_object_get(kind, "name")), fact_kinds[k]->name);
        assert_int_equal(json_array_size(fields), fact_kinds[k]->n_fields);
        for (size_t i = 0; i < fact_kinds[k]->n_fields; i++) {
            const struct fact_field *f = &fact_kinds[k]->fields[i];
            const json_t *row = json_array_get(fields, i);
            const char *said = json_string_value(json_object_get(row, "label"));
            assert_string_equal(json_string_value(json_object_get(row, "name")), f->name);
            assert_string_equal(json_string_value(json_object_get(row, "flag")), fact_flag_name(f, flag));
            assert_string_equal(said, fact_label(fact_kinds[k], f, label));
            if (strpbrk(said, "_-") || !*said) /* a label is words */
                fail_msg("%s.%s is labelled \"%s\"", fact_kinds[k]->name, f->name, said);
            for (size_t b = 0; b < i; b++) /* two boxes of one form are told apart */
                if (strcmp(said, json_string_value(json_object_get(json_array_get(fields, b), "label"))) == 0)
                    fail_msg("%s has two fields labelled \"%s\"", fact_kinds[k]->name, said);
            assert_int_equal(json_array_size(json_object_get(row, "choices")) > 0, f->choices != NULL);
        }
    }
    web_free(&got);
}

static const json_t *field_row(const struct web_got *got, const char *kind, const char *field)
{
    size_t i = 0, k = 0;
    const json_t *row, *f;

    json_array_foreach(web_at(got, "kinds"), k,
                       row) if (strcmp(json_string_value(json_object_get(row, "name")), kind) == 0)
        json_array_foreach(json_object_get(row, "fields"), i,
                           f) if (strcmp(json_string_value(json_object_get(f, "name")), field) == 0) return f;
    fail_msg("no %s.%s", kind, field);
    return NULL;
}

/* The international pound is 0.45359237 kg, the foot 0.3048 m, exactly (agreement of 1959). */
static void limits_are_in_the_farms_units(void **state)
{
    (void)state;
    struct web_got got = web_get(&farm, "/api/kinds");
    const json_t *mass = field_row(&got, "animal", "mass_kg"), *height = field_row(&got, "shelter", "height_m");
    const json_t *temp = field_row(&got, "reading", "temp_c"), *straw = field_row(&got, "bedding", "straw_depth_m");
    assert_string_equal(json_string_value(json_object_get(mass, "unit")), "lb");
    assert_true(fabs(json_number_value(json_object_get(mass, "high")) - 500.0 / 0.45359237) < 1e-6);
    assert_string_equal(json_string_value(json_object_get(height, "unit")), "ft");
    assert_true(fabs(json_number_value(json_object_get(height, "low")) - 0.4 / 0.3048) < 1e-9);
    assert_string_equal(json_string_value(json_object_get(temp, "unit")), "F");
    assert_true(fabs(json_number_value(json_object_get(temp, "low")) - (-70.0 * 1.8 + 32.0)) < 1e-9);
    assert_string_equal(json_string_value(json_object_get(straw, "unit")), "in");
    assert_string_equal(json_string_value(json_object_get(field_row(&got, "look", "at"), "otherwise")), "now");
    assert_true(json_is_false(json_object_get(field_row(&got, "look", "at"), "required")));
    assert_true(json_is_true(json_object_get(field_row(&got, "service", "at"), "required")));
    web_free(&got);
}

/* A number is SI; a text is what a person types, a bare one in the farm's units. */
static void numbers_are_si_and_texts_are_typed(void **state)
{
    static const struct {
        const char *fact;
        double want_kg;
    } rows[] = {
        { "{\"animal\": \"Otis\", \"on\": \"2024-12-01\", \"mass_kg\": 200}", 200.0 },
        { "{\"animal\": \"Otis\", \"on\": \"2024-12-02\", \"mass\": 200}", 200.0 },
        { "{\"animal\": \"Otis\", \"on\": \"2024-12-03\", \"mass\": \"200\"}", 200.0 * 0.45359237 },
        { "{\"animal\": \"Otis\", \"on\": \"2024-12-04\", \"mass_kg\": \"200\"}", 200.0 * 0.45359237 },
        { "{\"animal\": \"Otis\", \"on\": \"2024-12-05\", \"mass\": \"200 kg\"}", 200.0 },
        { "{\"animal\": \"Otis\", \"on\": \"2024-12-06\", \"mass_kg\": \"440 lb\"}", 440.0 * 0.45359237 },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        recorded("weighing", rows[i].fact);
        struct web_got got = web_get(&farm, "/api/list/weighing?most=1");
        const double kg = json_number_value(web_at(&got, "facts[0].fact.mass_kg"));
        if (!(fabs(kg - rows[i].want_kg) < 1e-9))
            fail_msg("%s: want %.10g kg, got %.10g", rows[i].fact, rows[i].want_kg, kg);
        assert_non_null(strstr(web_text(&got, "facts[0].shown.mass_kg"), " lb"));
        assert_string_equal(web_text(&got, "facts[0].shown.animal"), "Otis");
        assert_int_equal(strlen(web_text(&got, "facts[0].fact.animal")), 32);
        assert_string_equal(web_text(&got, "facts[0].device"), "this machine");
        web_free(&got);
    }
    struct web_got got = web_get(&farm, "/api/list/farm"); /* the height as typed at the beginning: 850 ft */
    assert_true(fabs(json_number_value(web_at(&got, "facts[0].fact.elevation_m")) - 850 * 0.3048) < 1e-9);
    web_free(&got);
}

/* ---- exactly once ---- */

static void the_same_sent_again_is_the_same_record(void **state)
{
    static const char first[] =
        "{\"uid\": \"000000000000000000000000000000a1\", \"recorded\": \"2024-11-20T22:10:00Z\", "
        "\"who\": \"Wenna\", \"fact\": {\"sow\": \"Bramble\"}}";
    static const char other[] =
        "{\"uid\": \"000000000000000000000000000000a1\", \"recorded\": \"2024-11-20T22:10:00Z\", "
        "\"who\": \"Wenna\", \"fact\": {\"sow\": \"Sedge\"}}";
    static const char when_not_said[] =
        "{\"uid\": \"000000000000000000000000000000a2\", \"fact\": {\"sow\": \"Sedge\"}}";

    (void)state;
    struct web_got got = web_post(&farm, "/api/record/look", first);
    WEB_WANT(&got, 200);
    assert_true(json_is_false(web_at(&got, "already")));
    const int64_t number = web_number(&got, "number");
    web_free(&got);
    for (int i = 0; i < 3; i++) {
        got = web_post(&farm, "/api/record/look", first);
        WEB_WANT(&got, 200);
        assert_true(json_is_true(web_at(&got, "already")));
        assert_int_equal(web_number(&got, "number"), number);
        web_free(&got);
    }
    got = web_post(&farm, "/api/record/look", other);
    WEB_REFUSED(&got, 409, "uid");
    web_free(&got);
    got = web_get(&farm, "/api/fact/000000000000000000000000000000a1"); /* the recorder's own clock is kept */
    assert_string_equal(web_text(&got, "recorded"), "2024-11-20T22:10:00Z");
    assert_string_equal(web_text(&got, "fact.at"), "2024-11-20T22:10:00Z");
    assert_string_equal(web_text(&got, "shown.at"), "2024-11-20 16:10");
    assert_string_equal(web_text(&got, "who"), "Wenna");
    assert_int_equal(json_array_size(web_at(&got, "changes")), 1);
    web_free(&got);
    got = web_post(&farm, "/api/record/look", when_not_said);
    WEB_WANT(&got, 200);
    web_free(&got);
    sleep(2); /* a later second: what was not said is still that of the first time */
    got = web_post(&farm, "/api/record/look", when_not_said);
    WEB_WANT(&got, 200);
    assert_true(json_is_true(web_at(&got, "already")));
    web_free(&got);
}

static void a_correction_takes_the_place_of_what_it_corrects(void **state)
{
    (void)state;
    struct web_got got = web_post(&farm, "/api/record/note",
                                  "{\"uid\": \"000000000000000000000000000000b1\", \"fact\": {\"at\": "
                                  "\"2024-11-20\", \"text\": \"gate brken\"}}");
    WEB_WANT(&got, 200);
    web_free(&got);
    got = web_post(&farm, "/api/record/note",
                   "{\"uid\": \"000000000000000000000000000000b2\", \"replaces\": "
                   "\"000000000000000000000000000000b1\", \"fact\": {\"at\": \"2024-11-20\", \"text\": "
                   "\"gate broken\"}}");
    WEB_WANT(&got, 200);
    web_free(&got);
    got = web_get(&farm, "/api/list/note?search=GATE");
    assert_int_equal(json_array_size(web_at(&got, "facts")), 1);
    assert_string_equal(web_text(&got, "facts[0].fact.text"), "gate broken");
    web_free(&got);
    got = web_get(&farm, "/api/fact/000000000000000000000000000000b1");
    assert_true(json_is_false(web_at(&got, "live")));
    web_free(&got);
    got = web_post(&farm, "/api/record/note",
                   "{\"replaces\": \"000000000000000000000000000000b1\", \"fact\": {\"at\": \"2024-11-20\", "
                   "\"text\": \"x\"}}");
    WEB_REFUSED(&got, 409, "replaces");
    web_free(&got);
}

static void a_clock_that_is_plainly_wrong_is_noticed(void **state)
{
    char body[256], ahead[40], behind[40], now[40];
    time_t t = time(NULL);
    const struct {
        const char *recorded, *clock, *want;
    } rows[] = {
        { ahead, NULL, "3 days ahead" }, { now, NULL, NULL },          { behind, NULL, NULL },
        { behind, now, NULL },           { behind, behind, "behind" }, { ahead, ahead, "ahead of" },
    };
    struct tm utc;

    (void)state;
    (void)strftime(now, sizeof now, "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&t, &utc));
    t += 3 * 86400;
    (void)strftime(ahead, sizeof ahead, "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&t, &utc));
    t -= 6 * 86400;
    (void)strftime(behind, sizeof behind, "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&t, &utc));
    for (size_t i = 0; i < COUNT(rows); i++) {
        (void)snprintf(body, sizeof body, "{\"recorded\": \"%s\"%s%s%s, \"fact\": {\"text\": \"clock\"}}",
                       rows[i].recorded, rows[i].clock ? ", \"clock\": \"" : "", rows[i].clock ? rows[i].clock : "",
                       rows[i].clock ? "\"" : "");
        struct web_got got = web_post(&farm, "/api/record/note", body);
        WEB_WANT(&got, 200);
        const char *said = json_string_value(web_at(&got, "clock"));
        if (rows[i].want ? !said || !strstr(said, rows[i].want) : said != NULL)
            fail_msg("row %zu: %s", i, said ? said : "nothing said");
        web_free(&got);
    }
}

/* ---- lists ---- */

static void a_list_is_searched_and_paged(void **state)
{
    static const char *const texts[] = { "Zaun am Bach f\xC3\xA4llt", "water trough frozen", "WATER line burst",
                                         "\xD7\xA2\xD7\xA0\xD7\x91\xD7\x9C", "<img onerror=alert(1)>" };
    char fact[200];

    (void)state;
    for (size_t i = 0; i < COUNT(texts); i++) {
        (void)snprintf(fact, sizeof fact, "{\"at\": \"2024-10-0%zuT10:00\", \"text\": \"%s\", \"animal\": \"Sedge\"}",
                       i + 1, texts[i]);
        recorded("note", fact);
    }
    struct web_got got = web_get(&farm, "/api/list/note?search=water");
    assert_int_equal(json_array_size(web_at(&got, "facts")), 2);
    assert_string_equal(web_text(&got, "facts[0].fact.text"), "WATER line burst"); /* newest first */
    web_free(&got);
    got = web_get(&farm, "/api/list/note?search=F%C3%84LLT"); /* an umlaut in capitals finds the small one */
    assert_int_equal(json_array_size(web_at(&got, "facts")), 1);
    web_free(&got);
    got = web_get(&farm, "/api/list/note?search=sedge"); /* by a name, though a uid is what is kept */
    assert_int_equal(json_array_size(web_at(&got, "facts")), 5);
    web_free(&got);
    got = web_get(&farm, "/api/list/note?search=nowhere+to+be+found");
    assert_int_equal(json_array_size(web_at(&got, "facts")), 0);
    assert_true(json_is_false(web_at(&got, "more")));
    web_free(&got);

    size_t seen = 0;
    int64_t before = 0, last = INT64_MAX;
    for (bool more = true; more && seen < 100;) {
        char path[80];
        (void)snprintf(path, sizeof path, "/api/list/note?search=sedge&most=2&before=%lld", (long long)before);
        got = web_get(&farm, path);
        WEB_WANT(&got, 200);
        const size_t n = json_array_size(web_at(&got, "facts"));
        for (size_t i = 0; i < n; i++) {
            const json_t *row = json_array_get(web_at(&got, "facts"), i);
            before = json_integer_value(json_object_get(row, "number"));
            assert_true(before < last);
            last = before;
        }
        seen += n;
        more = json_is_true(web_at(&got, "more"));
        web_free(&got);
    }
    assert_int_equal(seen, 5);
    static const char *const bad[] = { "most=0",     "most=501",      "most=x",    "before=-1",
                                       "before=1.5", "most=1&most=2", "colour=red" };
    for (size_t i = 0; i < COUNT(bad); i++) {
        char path[80];
        (void)snprintf(path, sizeof path, "/api/list/note?%s", bad[i]);
        got = web_get(&farm, path);
        WEB_WANT(&got, 400);
        web_free(&got);
    }
    got = web_get(&farm, "/api/list/unicorn");
    WEB_REFUSED(&got, 404, "kind");
    web_free(&got);
}

static void names_tell_who_is_here(void **state)
{
    (void)state;
    recorded("animal", "{\"name\": \"Thistle\", \"is\": \"sow\", \"born\": \"2020-01-01\"}");
    recorded("animal", "{\"name\": \"Old Rufus\", \"is\": \"boar\", \"kept\": \"elsewhere\"}");
    recorded("leaving", "{\"animal\": \"Thistle\", \"on\": \"2024-09-01\", \"how\": \"sold\"}");
    const struct {
        const char *path, *name;
        bool here;
    } rows[] = {
        { "/api/names/animal", "Bramble", true },
        { "/api/names/animal", "Thistle", false },
        { "/api/names/animal?on=2024-08-31", "Thistle", true },
        { "/api/names/animal?on=2019-12-31", "Thistle", false },
        { "/api/names/animal", "Old Rufus", false },
        { "/api/names/placement", "North", true },
        { "/api/names/placement?on=2024-05-31", "North", false },
    };
    for (size_t r = 0; r < COUNT(rows); r++) {
        struct web_got got = web_get(&farm, rows[r].path);
        WEB_WANT(&got, 200);
        size_t i = 0, found = 0;
        const json_t *row;
        json_array_foreach(web_at(&got, "names"), i,
                           row) if (strcmp(json_string_value(json_object_get(row, "name")), rows[r].name) == 0)
        {
            found++;
            assert_int_equal(json_is_true(json_object_get(row, "here")), rows[r].here);
        }
        if (found != 1)
            fail_msg("%s: %s is there %zu times", rows[r].path, rows[r].name, found);
        web_free(&got);
    }
    struct web_got got = web_get(&farm, "/api/names/look");
    WEB_REFUSED(&got, 400, "kind");
    web_free(&got);
    got = web_get(&farm, "/api/names/animal?on=yesterday");
    WEB_REFUSED(&got, 400, "on");
    web_free(&got);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kinds_tell_all_that_a_form_needs),
        cmocka_unit_test(limits_are_in_the_farms_units),
        cmocka_unit_test(numbers_are_si_and_texts_are_typed),
        cmocka_unit_test(the_same_sent_again_is_the_same_record),
        cmocka_unit_test(a_correction_takes_the_place_of_what_it_corrects),
        cmocka_unit_test(a_clock_that_is_plainly_wrong_is_noticed),
        cmocka_unit_test(a_list_is_searched_and_paged),
        cmocka_unit_test(names_tell_who_is_here),
    };
    return cmocka_run_group_tests_name("web record", tests, start, stop);
}
