/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Mending over HTTP, through the running server: taking back, putting back, looking back, settling what is odd.
 */
#include "tests/doors/web_shape.h"

#include "core/base/civil.h"

static struct web_case farm;

/* Recorded under this uid (its last two digits). */
static void recorded(const char *uid_end, const char *kind, const char *fact)
{
    char path[64], body[512];

    (void)snprintf(path, sizeof path, "/api/record/%s", kind);
    (void)snprintf(body, sizeof body, "{\"uid\": \"000000000000000000000000000000%s\", \"fact\": %s}", uid_end, fact);
    struct web_got got = web_posted(&farm, path, body);
    WEB_WANT(&got, 200);
    web_free(&got);
}

static int start(void **state)
{
    (void)state;
    web_begin(&farm);
    recorded("01", "sow", "{\"name\": \"Bramble\", \"born\": \"2022-03-01\"}");
    recorded("02", "boar", "{\"name\": \"Otis\", \"born\": \"2021-03-01\"}");
    recorded("03", "service", "{\"sow\": \"Bramble\", \"boar\": \"Otis\", \"at\": \"2024-07-30T08:00\"}");
    recorded("04", "look", "{\"sow\": \"Bramble\", \"at\": \"2024-11-20T17:00\"}");
    return 0;
}

static int stop(void **state)
{
    (void)state;
    return web_done(&farm);
}

/* What rests on a record goes with it and comes back with it. */
static void what_is_taken_back_can_be_put_back(void **state)
{
    static const char sow[] = "{\"uid\": \"00000000000000000000000000000001\"}";
    static const char only_tried[] = "{\"uid\": \"00000000000000000000000000000001\", \"try\": true}";
    char body[128];

    (void)state;
    struct web_got got = web_posted(&farm, "/api/void", only_tried);
    WEB_WANT(&got, 200);
    assert_true(json_is_null(web_at(&got, "batch")));
    assert_int_equal(json_array_size(web_at(&got, "changes")), 3); /* she, her service, the look at her */
    assert_int_equal(web_number(&got, "dependents"), 2);
    web_free(&got);
    assert_int_equal(web_count(&farm, "animal"), 2); /* tried alone */
    got = web_posted(&farm, "/api/void", sow);
    WEB_WANT(&got, 200);
    const json_t *batch = web_at(&got, "batch");
    (void)snprintf(body, sizeof body, "{\"what\": \"%s\"}", json_string_value(batch));
    web_free(&got);
    assert_int_equal(web_count(&farm, "animal"), 1);
    assert_int_equal(web_count(&farm, "service"), 0);
    assert_int_equal(web_count(&farm, "look"), 0);
    got = web_posted(&farm, "/api/void", sow);
    WEB_WANT(&got, 409); /* gone already */
    web_free(&got);
    got = web_posted(&farm, "/api/undo", body);
    WEB_WANT(&got, 200);
    assert_string_equal(web_text(&got, "changes[0].what"), "restored");
    web_free(&got);
    assert_int_equal(web_count(&farm, "animal"), 2);
    assert_int_equal(web_count(&farm, "service"), 1);
    got = web_posted(&farm, "/api/redo", "{}");
    WEB_WANT(&got, 200);
    web_free(&got);
    assert_int_equal(web_count(&farm, "animal"), 1);
    got = web_posted(&farm, "/api/undo", "{}");
    WEB_WANT(&got, 200);
    web_free(&got);
    assert_int_equal(web_count(&farm, "animal"), 2);
    assert_int_equal(web_count(&farm, "look"), 1);
}

/* A batch is undone whole, by its uid or that of one of it. */
static void what_was_recorded_together_is_undone_together(void **state)
{
    static const char *const notes[] = {
        "{\"batch\": \"000000000000000000000000000000bb\", \"uid\": \"00000000000000000000000000000011\", \"fact\": "
        "{\"text\": \"one\"}}",
        "{\"batch\": \"000000000000000000000000000000bb\", \"uid\": \"00000000000000000000000000000012\", \"fact\": "
        "{\"text\": \"two\"}}"
    };

    (void)state;
    for (size_t i = 0; i < COUNT(notes); i++) {
        struct web_got got = web_posted(&farm, "/api/record/note", notes[i]);
        WEB_WANT(&got, 200);
        web_free(&got);
    }
    struct web_got got =
        web_posted(&farm, "/api/undo", "{\"what\": \"00000000000000000000000000000011\", \"who\": \"Wenna\"}");
    WEB_WANT(&got, 200);
    assert_int_equal(json_array_size(web_at(&got, "changes")), 2);
    web_free(&got);
    assert_int_equal(web_count(&farm, "note"), 0);
    got = web_looked(&farm, "/api/history?most=2");
    assert_string_equal(web_text(&got, "changes[0].what"), "voided");
    assert_string_equal(web_text(&got, "changes[0].who"), "Wenna");
    assert_string_equal(web_text(&got, "changes[0].device"), "this machine");
    assert_string_equal(web_text(&got, "changes[0].undoes"), "000000000000000000000000000000bb");
    assert_true(json_is_true(web_at(&got, "more")));
    web_free(&got);
}

static void history_is_paged_and_of_one(void **state)
{
    (void)state;
    struct web_got got = web_looked(&farm, "/api/history?most=500");
    const size_t all = json_array_size(web_at(&got, "changes"));
    assert_true(json_is_false(web_at(&got, "more")));
    web_free(&got);
    size_t seen = 0;
    int64_t before = 0;
    for (bool more = true; more;) {
        char path[80];
        (void)snprintf(path, sizeof path, "/api/history?most=3&before=%lld", (long long)before);
        got = web_looked(&farm, path);
        const json_t *rows = web_at(&got, "changes");
        seen += json_array_size(rows);
        before = json_integer_value(json_object_get(json_array_get(rows, json_array_size(rows) - 1), "number"));
        more = json_is_true(web_at(&got, "more"));
        web_free(&got);
    }
    assert_int_equal(seen, all);
    got = web_looked(&farm, "/api/history?uid=00000000000000000000000000000001");
    assert_int_equal(json_array_size(web_at(&got, "changes")), 5); /* recorded, out, back, out, back */
    web_free(&got);
    got = web_looked(&farm, "/api/fact/00000000000000000000000000000001");
    assert_int_equal(json_array_size(web_at(&got, "changes")), 5);
    assert_true(json_is_true(web_at(&got, "live")));
    web_free(&got);
    got = web_get(&farm, "/api/fact/ffffffffffffffffffffffffffffffff");
    WEB_WANT(&got, 404);
    web_free(&got);
}

static void what_is_odd_waits_until_it_is_settled(void **state)
{
    char body[128];

    (void)state;
    recorded("21", "sow", "{\"name\": \"Bramble\"}"); /* a second of that name */
    struct web_got got = web_looked(&farm, "/api/flags");
    assert_int_equal(json_array_size(web_at(&got, "flags")), 1);
    assert_string_equal(web_text(&got, "flags[0].key"), "same-name");
    assert_string_equal(web_text(&got, "flags[0].uid"), "00000000000000000000000000000021");
    assert_string_equal(web_text(&got, "flags[0].other_uid"), "00000000000000000000000000000001");
    const int64_t number = web_number(&got, "flags[0].number");
    web_free(&got);
    got = web_posted(&farm, "/api/flags", "{\"number\": 4711}");
    WEB_REFUSED(&got, 404, "number");
    web_free(&got);
    (void)snprintf(body, sizeof body, "{\"number\": %lld, \"note\": \"her daughter\"}", (long long)number);
    got = web_posted(&farm, "/api/flags", body);
    WEB_WANT(&got, 200);
    assert_int_equal(json_array_size(web_at(&got, "flags")), 0);
    web_free(&got);
    got = web_posted(&farm, "/api/flags", body);
    WEB_REFUSED(&got, 409, "number");
    web_free(&got);
}

static void rubbish_is_refused_and_changes_nothing(void **state)
{
    static const struct {
        const char *path, *body, *field;
    } rows[] = {
        { "/api/undo", "{\"what\": \"xyz\"}", "what" },
        { "/api/undo", "{\"what\": 5}", "what" },
        { "/api/undo", "{\"try\": \"yes\"}", "try" },
        { "/api/undo", "{\"colour\": 1}", "colour" },
        { "/api/undo", "[]", "" },
        { "/api/undo", "{\"who\": \"a\\nb\"}", "who" },
        { "/api/redo", "{\"what\": \"\"}", "what" },
        { "/api/void", "{}", "uid" },
        { "/api/void", "{\"uid\": null}", "uid" },
        { "/api/void", "{\"uid\": \"'; DROP TABLE fact; --\"}", "uid" },
        { "/api/flags", "{}", "number" },
        { "/api/flags", "{\"number\": 1e308}", "number" },
        { "/api/flags", "{\"number\": \"1\"}", "number" },
        { "/api/held", "{\"number\": true, \"drop\": true}", "number" },
    };
    struct web_got got = web_looked(&farm, "/api/history?most=1");
    const int64_t before = web_number(&got, "changes[0].number");

    (void)state;
    web_free(&got);
    for (size_t i = 0; i < COUNT(rows); i++) {
        got = web_posted(&farm, rows[i].path, rows[i].body);
        if (got.code != 400 || strcmp(web_text(&got, "error.field"), rows[i].field) != 0)
            fail_msg("%s %s: %d %s", rows[i].path, rows[i].body, got.code, text_get(&got.body));
        web_free(&got);
    }
    static const char *const bad[] = { "/api/history?uid=xyz",   "/api/history?most=0",   "/api/history?most=501",
                                       "/api/history?before=-5", "/api/history?colour=1", "/api/fact/xyz" };
    for (size_t i = 0; i < COUNT(bad); i++) {
        got = web_get(&farm, bad[i]);
        if (got.code != 400)
            fail_msg("%s: %d", bad[i], got.code);
        web_free(&got);
    }
    got = web_looked(&farm, "/api/history?most=1");
    assert_int_equal(web_number(&got, "changes[0].number"), before);
    web_free(&got);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_taken_back_can_be_put_back),
        cmocka_unit_test(what_was_recorded_together_is_undone_together),
        cmocka_unit_test(history_is_paged_and_of_one),
        cmocka_unit_test(what_is_odd_waits_until_it_is_settled),
        cmocka_unit_test(rubbish_is_refused_and_changes_nothing),
    };
    return cmocka_run_group_tests_name("web mend", tests, start, stop);
}
