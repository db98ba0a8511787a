/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A phone's queue over HTTP: in the order made, one by one, exactly once; what is refused rests in the tray. The server
 * is killed (SIGKILL, POSIX.1-2017: cannot be caught) while records come in: what it acknowledged is there.
 */
#include "tests/doors/web_shape.h"

#include "core/base/civil.h"

static struct web_case farm;

static int start(void **state)
{
    static const char *const sows[] = { "Bramble", "Sedge" };

    (void)state;
    web_begin(&farm);
    for (size_t i = 0; i < COUNT(sows); i++) {
        char body[120];
        (void)snprintf(body, sizeof body, "{\"fact\": {\"name\": \"%s\", \"born\": \"2022-03-01\"}}", sows[i]);
        struct web_got got = web_posted(&farm, "/api/record/sow", body);
        WEB_WANT(&got, 200);
        web_free(&got);
    }
    return 0;
}

static int stop(void **state)
{
    (void)state;
    return web_done(&farm);
}

static size_t held_count(void)
{
    struct web_got got = web_looked(&farm, "/api/held");
    const size_t n = json_array_size(web_at(&got, "held"));
    web_free(&got);
    return n;
}

/* A litter out of reach: the sow that is new, her farrowing, a slip, what is no record at all, and what came after. */
#define ITEM(n, kind, fact)                                                                                            \
    "{\"kind\": \"" kind "\", \"uid\": \"000000000000000000000000000000" n "\", "                                      \
    "\"recorded\": \"2024-11-24T" n ":00:00Z\", \"who\": \"Wenna\", \"fact\": " fact "}"
/* clang-format off */
static const char night[] =
    "{\"items\": ["
    ITEM("01", "sow", "{\"name\": \"Fern\", \"born\": \"2021-01-01\"}") ","
    ITEM("02", "farrowing", "{\"sow\": \"Fern\", \"start\": \"2024-11-24T01:30:00Z\", \"born_alive\": 8}") ","
    ITEM("03", "look", "{\"sow\": \"Fren\"}") ","
    ITEM("04", "unicorn", "{\"horn\": 1}") ","
    "{\"kind\": \"note\", \"uid\": \"not one\", \"recorded\": \"2024-11-24T05:00:00Z\", \"fact\": {\"text\": \"x\"}},"
    ITEM("06", "note", "[1, 2]") ","
    "{\"kind\": \"note\", \"uid\": \"00000000000000000000000000000007\", \"colour\": 1, \"fact\": {\"text\": \"x\"}},"
    "{\"kind\": \"note\", \"uid\": \"00000000000000000000000000000008\", \"recorded\": \"dawn\", \"fact\": {}},"
    ITEM("09", "look", "{\"sow\": \"Bramble\"}") "]}";
/* clang-format on */

static void one_by_one_and_what_is_refused_rests(void **state)
{
    static const char *const want[] = { "recorded", "recorded", "held", "held",    "held",
                                        "held",     "held",     "held", "recorded" };
    static const char *const field[] = { "", "", "sow", "kind", "uid", "fact", "colour", "recorded", "" };
    int64_t number = 0;

    (void)state;
    for (int again = 0; again < 3; again++) {
        struct web_got got = web_posted(&farm, "/api/queue", night);
        WEB_WANT(&got, 200);
        assert_int_equal(json_array_size(web_at(&got, "items")), COUNT(want));
        for (size_t i = 0; i < COUNT(want); i++) {
            const json_t *row = json_array_get(web_at(&got, "items"), i);
            const char *status = json_string_value(json_object_get(row, "status"));
            const char *is = again && strcmp(want[i], "recorded") == 0 ? "already" : want[i];
            const char *f = json_string_value(json_object_get(row, "field"));
            if (strcmp(status, is) != 0 || strcmp(f ? f : "", field[i]) != 0)
                fail_msg("item %zu, time %d: %s %s: %s", i, again, status, f ? f : "", text_get(&got.body));
            if (strcmp(status, "recorded") == 0) { /* in the order made */
                assert_true(json_integer_value(json_object_get(row, "number")) > number);
                number = json_integer_value(json_object_get(row, "number"));
            }
        }
        web_free(&got);
        assert_int_equal(held_count(), 6); /* each once, however often it comes */
    }
    struct web_got got = web_looked(&farm, "/api/list/farrowing");
    assert_int_equal(json_array_size(web_at(&got, "facts")), 1);
    assert_string_equal(web_text(&got, "facts[0].shown.sow"), "Fern");
    assert_string_equal(web_text(&got, "facts[0].recorded"), "2024-11-24T02:00:00Z");
    assert_string_equal(web_text(&got, "facts[0].who"), "Wenna");
    web_free(&got);
}

static int64_t held_number(const char *uid_end)
{
    struct web_got got = web_looked(&farm, "/api/held");
    int64_t number = -1;
    size_t i;
    const json_t *row;

    json_array_foreach(web_at(&got, "held"), i, row)
    {
        const char *uid = json_string_value(json_object_get(row, "uid"));
        if (strcmp(uid + 32 - strlen(uid_end), uid_end) == 0)
            number = json_integer_value(json_object_get(row, "number"));
    }
    web_free(&got);
    return number;
}

static void a_person_settles_what_waits(void **state)
{
    char body[256];

    (void)state;
    struct web_got got = web_looked(&farm, "/api/held");
    assert_string_equal(web_text(&got, "held[0].kind"), "look");
    assert_string_equal(web_text(&got, "held[0].fact.sow"), "Fren");
    assert_string_equal(web_text(&got, "held[0].field"), "sow");
    assert_string_equal(web_text(&got, "held[0].who"), "Wenna");
    assert_string_equal(web_text(&got, "held[0].recorded"), "2024-11-24T03:00:00Z");
    web_free(&got);

    (void)snprintf(body, sizeof body, "{\"number\": %lld, \"fact\": {\"sow\": \"Frne\"}}",
                   (long long)held_number("03"));
    got = web_posted(&farm, "/api/held", body); /* still wrong: it goes on waiting */
    WEB_REFUSED(&got, 404, "sow");
    web_free(&got);
    assert_int_equal(held_count(), 6);
    (void)snprintf(body, sizeof body, "{\"number\": %lld, \"fact\": {\"sow\": \"Sedge\"}}",
                   (long long)held_number("03"));
    got = web_posted(&farm, "/api/held", body);
    WEB_WANT(&got, 200);
    web_free(&got);
    assert_int_equal(held_count(), 5);
    got = web_looked(&farm,
                     "/api/fact/00000000000000000000000000000003"); /* as of the time it was made, by whoever made it */
    assert_string_equal(web_text(&got, "recorded"), "2024-11-24T03:00:00Z");
    assert_string_equal(web_text(&got, "fact.at"), "2024-11-24T03:00:00Z");
    assert_string_equal(web_text(&got, "who"), "Wenna");
    web_free(&got);

    (void)snprintf(body, sizeof body, "{\"number\": %lld, \"fact\": {\"text\": \"x\"}}", (long long)held_number("04"));
    got = web_posted(&farm, "/api/held", body); /* of no kind that is known: there is nothing to record it as */
    WEB_REFUSED(&got, 400, "number");
    web_free(&got);
    (void)snprintf(body, sizeof body, "{\"number\": %lld, \"drop\": true}", (long long)held_number("04"));
    got = web_posted(&farm, "/api/held", body);
    WEB_WANT(&got, 200);
    web_free(&got);
    static const char *const bad[] = { "{\"number\": 999, \"drop\": true}", "{\"number\": 1}",
                                       "{\"number\": 1, \"drop\": true, \"fact\": {}}", "{\"drop\": true}",
                                       "{\"number\": \"1\", \"drop\": true}" };
    for (size_t i = 0; i < COUNT(bad); i++) {
        got = web_posted(&farm, "/api/held", bad[i]);
        if (got.code != (i == 0 ? 404 : 400))
            fail_msg("%s: %d %s", bad[i], got.code, text_get(&got.body));
        web_free(&got);
    }
    assert_int_equal(held_count(), 4);
    got = web_posted(&farm, "/api/queue", night); /* the phone never heard of it: nothing is there twice */
    WEB_WANT(&got, 200);
    assert_string_equal(web_text(&got, "items[2].status"), "already");
    assert_string_equal(web_text(&got, "items[3].status"), "already");
    web_free(&got);
    assert_int_equal(held_count(), 4);
}

static void the_same_uid_with_another_body_is_a_conflict(void **state)
{
    static const char other[] = "{\"items\": [" ITEM("09", "look", "{\"sow\": \"Sedge\"}") "]}";

    (void)state;
    struct web_got got = web_posted(&farm, "/api/queue", other);
    WEB_WANT(&got, 200);
    assert_string_equal(web_text(&got, "items[0].status"), "conflict");
    assert_string_equal(web_text(&got, "items[0].field"), "uid");
    assert_true(*web_text(&got, "items[0].sentence") != '\0');
    web_free(&got);
    got = web_looked(&farm, "/api/fact/00000000000000000000000000000009");
    assert_string_equal(web_text(&got, "shown.sow"), "Bramble");
    web_free(&got);
    assert_int_equal(held_count(), 5); /* shown, not dropped */
}

static void each_is_undone_by_itself(void **state)
{
    static const char two[] =
        "{\"items\": [{\"kind\": \"note\", \"uid\": \"000000000000000000000000000000e1\", \"fact\": {\"text\": "
        "\"one\"}}, {\"kind\": \"note\", \"uid\": \"000000000000000000000000000000e2\", \"fact\": {\"text\": "
        "\"two\"}}]}";

    (void)state;
    struct web_got got = web_posted(&farm, "/api/queue", two);
    WEB_WANT(&got, 200);
    web_free(&got);
    got = web_posted(&farm, "/api/undo", "{}");
    WEB_WANT(&got, 200);
    assert_int_equal(json_array_size(web_at(&got, "changes")), 1);
    assert_string_equal(web_text(&got, "changes[0].uid"), "000000000000000000000000000000e2");
    web_free(&got);
    got = web_posted(&farm, "/api/queue", two); /* sent again after it was taken back: it stays taken back */
    WEB_WANT(&got, 200);
    assert_string_equal(web_text(&got, "items[1].status"), "already");
    web_free(&got);
    got = web_looked(&farm, "/api/list/note?search=two");
    assert_int_equal(json_array_size(web_at(&got, "facts")), 0);
    web_free(&got);
}

static void a_queue_that_is_none_is_refused_whole(void **state)
{
    static const char *const bad[] = { "{}",
                                       "{\"items\": 5}",
                                       "{\"items\": {}}",
                                       "{\"items\": [5]}",
                                       "{\"items\": [[]]}",
                                       "{\"items\": [], \"colour\": 1}",
                                       "{\"items\": [null]}",
                                       "{\"items\": [], \"clock\": \"noon\"}" };
    struct text many;

    (void)state;
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct web_got got = web_posted(&farm, "/api/queue", bad[i]);
        if (got.code != 400)
            fail_msg("%s: %d", bad[i], got.code);
        web_free(&got);
    }
    text_open(&many, 1 << 20);
    text_add(&many, "{\"items\": [");
    for (int i = 0; i < 201; i++)
        text_print(&many, "%s{\"kind\": \"note\"}", i ? "," : "");
    text_add(&many, "]}");
    struct web_got got = web_posted(&farm, "/api/queue", text_get(&many));
    WEB_REFUSED(&got, 400, "items");
    web_free(&got);
    text_close(&many);
    got = web_posted(&farm, "/api/queue", "{\"items\": []}");
    WEB_WANT(&got, 200);
    web_free(&got);
}

/* ---- the server is killed ---- */

enum { ROUNDS = 6, LOADS = 10, LOAD = 5 };

static void a_load(unsigned round, unsigned load, struct text *out)
{
    text_add(out, "{\"items\": [");
    for (unsigned i = 0; i < LOAD; i++)
        text_print(out,
                   "%s{\"kind\": \"note\", \"uid\": \"%08x%08x%08xcccccccc\", \"recorded\": "
                   "\"2024-12-0%uT10:%02u:%02uZ\", \"fact\": {\"text\": \"%u %u %u\"}}",
                   i ? "," : "", round, load, i, round + 1, load, i, round, load, i);
    text_add(out, "]}");
}

/* Another process kills the server after so many milliseconds, while loads are on the way. */
static pid_t killer(pid_t victim, unsigned after_ms)
{
    const pid_t pid = fork();

    if (pid == 0) {
        const struct timespec wait = { .tv_sec = after_ms / 1000, .tv_nsec = (long)(after_ms % 1000) * 1000000L };
        (void)nanosleep(&wait, NULL);
        (void)kill(victim, SIGKILL);
        _exit(0);
    }
    return pid;
}

/* How long one load takes on this machine. */
static unsigned load_ms(void)
{
    struct timespec from, to;
    struct text body;

    text_open(&body, 1 << 20);
    a_load(ROUNDS, 0, &body);
    (void)clock_gettime(CLOCK_MONOTONIC, &from);
    struct web_got got = web_post(&farm, "/api/queue", text_get(&body));
    (void)clock_gettime(CLOCK_MONOTONIC, &to);
    WEB_WANT(&got, 200);
    web_free(&got);
    text_close(&body);
    return (unsigned)((to.tv_sec - from.tv_sec) * 1000 + (to.tv_nsec - from.tv_nsec) / 1000000) + 1;
}

static void what_was_acknowledged_outlives_a_kill(void **state)
{
    size_t acknowledged = 0, cut = 0;
    const unsigned usual_ms = load_ms();

    (void)state;
    for (unsigned round = 0; round < ROUNDS; round++) {
        bool answered[LOADS] = { false };
        int status = 0;
        const pid_t k = killer(farm.pid, usual_ms / 2 + usual_ms * 5 * round / 4);
        for (unsigned load = 0; load < LOADS; load++) {
            struct text body;
            text_open(&body, 1 << 20);
            a_load(round, load, &body);
            struct web_got got = web_post(&farm, "/api/queue", text_get(&body));
            answered[load] = got.code == 200;
            acknowledged += answered[load] ? LOAD : 0;
            cut += !answered[load];
            web_free(&got);
            text_close(&body);
        }
        (void)waitpid(k, &status, 0);
        (void)web_end(&farm, SIGKILL);
        web_start(&farm, farm.farm, NULL);
        for (unsigned load = 0; load < LOADS; load++) { /* the phone sends it all again */
            struct text body;
            text_open(&body, 1 << 20);
            a_load(round, load, &body);
            struct web_got got = web_posted(&farm, "/api/queue", text_get(&body));
            WEB_WANT(&got, 200);
            for (unsigned i = 0; i < LOAD; i++) {
                const json_t *row = json_array_get(web_at(&got, "items"), i);
                const char *is = json_string_value(json_object_get(row, "status"));
                if (strcmp(is, "already") != 0 && (answered[load] || strcmp(is, "recorded") != 0))
                    fail_msg("round %u, load %u (%s), item %u: %s", round, load,
                             answered[load] ? "acknowledged" : "not acknowledged", i, is);
            }
            web_free(&got);
            text_close(&body);
        }
    }
    size_t n = 0;
    int64_t before = 0;
    for (bool more = true; more;) {
        char path[80];
        (void)snprintf(path, sizeof path, "/api/list/note?most=500&before=%lld", (long long)before);
        struct web_got got = web_looked(&farm, path);
        const json_t *facts = web_at(&got, "facts");
        for (size_t i = 0; i < json_array_size(facts); i++) {
            const json_t *row = json_array_get(facts, i);
            n += strncmp(json_string_value(json_object_get(row, "recorded")), "2024-12-0", 9) == 0;
            before = json_integer_value(json_object_get(row, "number"));
        }
        more = json_is_true(web_at(&got, "more"));
        web_free(&got);
    }
    assert_int_equal(n, ROUNDS * LOADS * LOAD + LOAD); /* each once */
    if (acknowledged == 0 || cut == 0)
        fail_msg("the kills came too early or too late to tell anything: %zu acknowledged, %zu cut", acknowledged, cut);
    struct web_got got = web_looked(&farm, "/api/check");
    assert_true(json_is_true(web_at(&got, "sound")));
    web_free(&got);
    print_message("%zu records acknowledged before a kill, %zu loads cut; none lost, none twice\n", acknowledged, cut);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_by_one_and_what_is_refused_rests),
        cmocka_unit_test(a_person_settles_what_waits),
        cmocka_unit_test(the_same_uid_with_another_body_is_a_conflict),
        cmocka_unit_test(each_is_undone_by_itself),
        cmocka_unit_test(a_queue_that_is_none_is_refused_whole),
        cmocka_unit_test(what_was_acknowledged_outlives_a_kill),
    };
    return cmocka_run_group_tests_name("web record queue", tests, start, stop);
}
