/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Keeping over HTTP, through the running server: beginning a farm, backups, tables out and in, weather. Codes: RFC 9110;
 * CSV: RFC 4180; a SQLite file begins "SQLite format 3" (its file format, 1.3.1).
 */
#include "tests/doors/web_shape.h"

#include <dirent.h>
#include <poll.h>
#include <sys/stat.h>

#include "core/base/civil.h"
#include "farm/facts.h"

static struct web_case farm;

static struct web_got uploaded(const char *path, const char *type, const char *bytes)
{
    struct web_got got = web_upload(&farm, path, type, bytes, strlen(bytes));
    web_as_declared(WEB_POST, path, &got);
    return got;
}

static void recorded(const char *kind, const char *fact)
{
    char path[64], body[512];

    (void)snprintf(path, sizeof path, "/api/record/%s", kind);
    (void)snprintf(body, sizeof body, "{\"fact\": %s}", fact);
    struct web_got got = web_posted(&farm, path, body);
    WEB_WANT(&got, 200);
    web_free(&got);
}

static int start(void **state)
{
    (void)state;
    web_scratch(&farm);
    web_start(&farm, farm.farm, NULL);
    return 0;
}

static int stop(void **state)
{
    (void)state;
    return web_done(&farm);
}

/* ---- beginning ---- */

static bool there(const char *path)
{
    struct stat is;
    return stat(path, &is) == 0;
}

static void what_a_farm_has_can_be_said_at_the_beginning(void **state)
{
    const struct web_route *r = web_route_of(WEB_POST, "/api/begin");
    const struct fact_kind *kind = fact_kind_find("farm");
    char flag[40];

    (void)state;
    assert_non_null(r);
    for (size_t i = 0; i < kind->n_fields; i++) {
        size_t found = 0;
        (void)fact_flag_name(&kind->fields[i], flag);
        for (size_t t = 0; t < r->n_takes; t++) {
            found += strcmp(r->takes[t].name, kind->fields[i].name) == 0;
            found += strcmp(flag, kind->fields[i].name) != 0 && strcmp(r->takes[t].name, flag) == 0;
        }
        if (found != (strcmp(flag, kind->fields[i].name) != 0 ? 2 : 1))
            fail_msg("%s cannot be said", kind->fields[i].name);
    }
}

static void without_a_farm_there_is_only_a_beginning(void **state)
{
    static const char *const need_one[] = { "/api/list/animal", "/api/history",     "/api/flags",
                                            "/api/held",        "/api/check",       "/api/export/animal",
                                            "/api/export-all",  "/api/weather-kept" };
    static const struct {
        const char *body, *field;
    } bad[] = {
        { "{}", "name" },
        { "{\"name\": \"Withy\"}", "zone" },
        { "{\"name\": \"Withy\", \"zone\": \"UTC\"}", "lat_deg" },
        { "{\"name\": \"Withy\", \"zone\": \"UTC\", \"lat_deg\": 91, \"lon_deg\": 0}", "lat_deg" },
        { "{\"name\": \"Withy\", \"zone\": \"UTC\", \"lat\": \"north\", \"lon_deg\": 0}", "lat_deg" },
        { "{\"name\": \"Withy\", \"zone\": \"UTC\", \"lat_deg\": 1, \"lon_deg\": 1, \"units\": \"cubits\"}", "units" },
        { "{\"name\": \"Wi\\nthy\", \"zone\": \"UTC\", \"lat_deg\": 1, \"lon_deg\": 1}", "name" },
        { "{\"name\": \"Withy\", \"zone\": \"UTC\", \"lat_deg\": 1, \"lat\": \"1\", \"lon_deg\": 1}", "lat_deg" },
        { "{\"name\": \"Withy\", \"zone\": \"UTC\", \"lat_deg\": 1, \"lon_deg\": 1, \"pigs\": 5}", "pigs" },
        { "{\"name\": \"Withy\", \"zone\": \"UTC\", \"lat_deg\": 1, \"lon_deg\": 1, \"uid\": \"x\"}", "uid" },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(need_one); i++) {
        struct web_got got = web_get(&farm, need_one[i]);
        WEB_WANT(&got, 404);
        web_free(&got);
    }
    struct web_got got = web_looked(&farm, "/api/kinds");
    web_free(&got);
    got = web_looked(&farm, "/api/backups");
    assert_int_equal(json_array_size(web_at(&got, "backups")), 0);
    web_free(&got);
    for (size_t i = 0; i < COUNT(bad); i++) {
        got = web_posted(&farm, "/api/begin", bad[i].body);
        if (got.code != 400 || strcmp(web_text(&got, "error.field"), bad[i].field) != 0)
            fail_msg("%s: %d %s", bad[i].body, got.code, text_get(&got.body));
        web_free(&got);
        if (there(farm.farm))
            fail_msg("%s left a farm file behind", bad[i].body);
    }
    got = web_posted(&farm, "/api/begin",
                     "{\"name\": \"Withy\", \"zone\": \"Europe/Nowhere\", \"lat_deg\": 1, \"lon_deg\": 1}");
    WEB_REFUSED(&got, 404, "zone");
    web_free(&got);
    assert_false(there(farm.farm));
}

static void a_farm_is_begun_once(void **state)
{
    static const char same[] = "{\"uid\": \"000000000000000000000000000000aa\", \"name\": \"Withy Bottom\", \"lat\": "
                               "\"44.9\", \"lon_deg\": -93.3, \"zone\": \"America/Chicago\", \"units\": \"us\", "
                               "\"elevation\": \"850\"}";

    (void)state;
    struct web_got got = web_posted(&farm, "/api/begin", same);
    WEB_WANT(&got, 200);
    web_free(&got);
    got = web_posted(&farm, "/api/begin", same); /* the answer was lost: sent again, it is the same */
    WEB_WANT(&got, 200);
    assert_true(json_is_true(web_at(&got, "already")));
    web_free(&got);
    got = web_posted(&farm, "/api/begin", "{\"name\": \"Two\", \"lat_deg\": 1, \"lon_deg\": 1, \"zone\": \"UTC\"}");
    WEB_WANT(&got, 409);
    web_free(&got);
    got = web_looked(&farm, "/api/list/farm");
    assert_int_equal(json_array_size(web_at(&got, "facts")), 1);
    assert_string_equal(web_text(&got, "facts[0].shown.elevation_m"), "850 ft"); /* typed in the units said with it */
    web_free(&got);
    got = web_looked(&farm, "/api/check");
    assert_true(json_is_true(web_at(&got, "sound")));
    web_free(&got);
}

/* ---- backups ---- */

static void a_backup_is_made_loaded_and_gone_back_to(void **state)
{
    static const char *const no_backup[] = { "nothing", "..%2Ftest.leenest", "%2Fetc%2Fpasswd", "test.leenest",
                                             "%2e%2e%2f%2e%2e%2fetc%2fpasswd" };
    char path[256], body[256];

    (void)state;
    recorded("sow", "{\"name\": \"Bramble\"}");
    struct web_got got = web_posted(&farm, "/api/backups", "{}");
    WEB_WANT(&got, 200);
    assert_int_equal(json_array_size(web_at(&got, "backups")), 1);
    char name[160];
    (void)snprintf(name, sizeof name, "%s", web_text(&got, "backups[0].name"));
    const int64_t bytes = web_number(&got, "backups[0].bytes");
    web_free(&got);

    (void)snprintf(path, sizeof path, "/api/backups/%s", name);
    got = web_get(&farm, path);
    WEB_WANT(&got, 200);
    assert_int_equal(got.body.length, bytes);
    assert_memory_equal(text_get(&got.body), "SQLite format 3", 16);
    web_free(&got);
    for (size_t i = 0; i < COUNT(no_backup); i++) {
        (void)snprintf(path, sizeof path, "/api/backups/%s", no_backup[i]);
        got = web_get(&farm, path);
        if (got.code != 404)
            fail_msg("%s: %d", path, got.code);
        web_free(&got);
    }

    recorded("sow", "{\"name\": \"Sedge\"}");
    assert_int_equal(web_count(&farm, "animal"), 2);
    (void)snprintf(body, sizeof body, "{\"name\": \"%s\"}", name);
    got = web_posted(&farm, "/api/restore", body);
    WEB_WANT(&got, 200);
    assert_string_equal(web_text(&got, "name"), name);
    web_free(&got);
    assert_int_equal(web_count(&farm, "animal"), 1);
    got = web_posted(&farm, "/api/restore", "{\"name\": \"../test.leenest\"}");
    WEB_REFUSED(&got, 404, "name");
    web_free(&got);
    got = web_posted(&farm, "/api/restore", "{}");
    WEB_REFUSED(&got, 400, "name");
    web_free(&got);

    size_t aside = 0; /* what was there is kept beside it */
    DIR *d = opendir(farm.folder);
    for (struct dirent *e = d ? readdir(d) : NULL; e; e = readdir(d))
        aside += strstr(e->d_name, ".before-restore-") != NULL;
    if (d)
        (void)closedir(d);
    assert_int_equal(aside, 1);
    recorded("sow", "{\"name\": \"Fern\"}"); /* and recording goes on */
    assert_int_equal(web_count(&farm, "animal"), 2);
}

/* ---- tables ---- */

static void a_table_goes_out_and_in(void **state)
{
    char type[80];

    (void)state;
    recorded("note", "{\"at\": \"2024-11-20\", \"text\": \"quotes \\\"here\\\", a comma\\nand a line\"}");
    recorded("note", "{\"at\": \"2024-11-21\", \"text\": \"=1+1\"}");
    struct web_got out = web_get(&farm, "/api/export/note");
    WEB_WANT(&out, 200);
    assert_true(web_header(&out, "Content-Type", type, sizeof type) && strncmp(type, "text/csv", 8) == 0);
    struct web_got got = web_upload(&farm, "/api/import/note", "text/csv", text_get(&out.body), out.body.length);
    WEB_WANT(&got, 200);
    web_as_declared(WEB_POST, "/api/import/note", &got);
    assert_int_equal(web_number(&got, "rows"), 2);
    assert_int_equal(web_number(&got, "already"), 2); /* the same uids, the same facts */
    assert_int_equal(web_number(&got, "recorded"), 0);
    web_free(&got);
    web_free(&out);
    assert_int_equal(web_count(&farm, "note"), 2);
    got = web_get(&farm, "/api/export/unicorn");
    WEB_REFUSED(&got, 404, "kind");
    web_free(&got);
}

static void a_bad_row_is_told_by_its_line(void **state)
{
    static const char rows[] = "name,is,mass,born\n"
                               "Thistle,sow,440,2022-01-01\n"
                               "Wren,cow,440,2022-01-01\n"
                               "Moss,sow,twelve,2022-01-01\n"
                               "Clover,sow,400 lb,2022-02-30\n";
    static const struct {
        int64_t line;
        const char *field;
    } bad[] = { { 3, "is" }, { 4, "mass_kg" }, { 5, "born" } };
    const size_t before = web_count(&farm, "animal");

    (void)state;
    static const char *const how[] = { "/api/import/animal?try=1", "/api/import/animal",
                                       "/api/import/animal?keep_good=1" };
    for (size_t h = 0; h < COUNT(how); h++) {
        struct web_got got = uploaded(how[h], "text/csv", rows);
        WEB_WANT(&got, 200);
        assert_int_equal(web_number(&got, "rows"), 4);
        assert_int_equal(web_number(&got, "good"), 1);
        assert_int_equal(web_number(&got, "recorded"), h == 2 ? 1 : 0);
        assert_int_equal(json_array_size(web_at(&got, "bad")), COUNT(bad));
        for (size_t i = 0; i < COUNT(bad); i++) {
            const json_t *row = json_array_get(web_at(&got, "bad"), i);
            const char *says = json_string_value(json_object_get(row, "sentence"));
            assert_int_equal(json_integer_value(json_object_get(row, "line")), bad[i].line);
            assert_string_equal(json_string_value(json_object_get(row, "field")), bad[i].field);
            if (strstr(says, "table") || strstr(says, "line ") || strchr(says, '_'))
                fail_msg("no sentence for people: %s", says);
        }
        web_free(&got);
        assert_int_equal(web_count(&farm, "animal"), before + (h == 2));
    }
    static const char *const none[] = {
        "", "\n", "name,colour\nBramble,red\n", "{", "[]", "\x01\x02", "name,name\na,b\n"
    };
    for (size_t i = 0; i < COUNT(none); i++) {
        struct web_got got = uploaded("/api/import/animal", "text/csv", none[i]);
        if (got.code != 400)
            fail_msg("%s: %d %s", none[i], got.code, text_get(&got.body));
        assert_true(*web_text(&got, "error.sentence") != '\0');
        assert_null(strstr(text_get(&got.body), "/tmp"));
        web_free(&got);
    }
    struct web_got got = uploaded("/api/import/animal?try=maybe", "text/csv", rows);
    WEB_REFUSED(&got, 400, "try");
    web_free(&got);
    got = uploaded("/api/import/unicorn", "text/csv", rows);
    WEB_REFUSED(&got, 404, "kind");
    web_free(&got);
}

static void everything_goes_out_as_one_document(void **state)
{
    char name[120];

    (void)state;
    struct web_got got = web_get(&farm, "/api/export-all");
    WEB_WANT(&got, 200);
    assert_true(json_is_object(got.json));
    assert_true(web_header(&got, "Content-Disposition", name, sizeof name) && strstr(name, "leenest.json"));
    assert_null(strstr(text_get(&got.body), "argon2")); /* what opens the door is no record */
    web_free(&got);
}

/* ---- weather ---- */

static void an_hour_from_now(int hours, char out[static 40])
{
    const time_t t = (time(NULL) / 3600 + hours) * 3600;
    struct tm utc;
    (void)strftime(out, 40, "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&t, &utc));
}

static void weather_comes_from_files(void **state)
{
    struct text ahead, past;
    char when[40];

    (void)state;
    text_open(&ahead, 1 << 16);
    text_open(&past, 1 << 16);
    text_add(&ahead, "# hut-weather 1\ntime,temp_c,wind_ms\n");
    text_add(&past, "# hut-weather 1\ntime,temp_c,wind_ms\n");
    for (int h = 0; h < 24; h++) {
        an_hour_from_now(h, when);
        text_print(&ahead, "%s,-%d,3\n", when, h % 7);
        text_print(&past, "2023-01-%02dT%02d:00:00Z,-%d,3\n", 5, h, h % 7);
    }
    struct web_got got = uploaded("/api/weather/import?past=0", "text/csv", text_get(&past));
    WEB_REFUSED(&got, 400, "past"); /* as a forecast it says nothing */
    web_free(&got);
    got = uploaded("/api/weather/import?past=1", "text/csv", text_get(&ahead));
    WEB_REFUSED(&got, 400, "past"); /* what is still to come is no past year */
    assert_null(strstr(text_get(&got.body), "/tmp"));
    web_free(&got);
    got = uploaded("/api/weather/import?past=1", "text/csv", text_get(&past));
    WEB_WANT(&got, 200);
    assert_int_equal(web_number(&got, "hours"), 24);
    assert_string_equal(web_text(&got, "first"), "2023-01-05T00:00:00Z");
    web_free(&got);
    got = uploaded("/api/weather/import", "text/csv", text_get(&past)); /* the hours say what they are */
    WEB_WANT(&got, 200);
    assert_non_null(strstr(web_text(&got, "says"), "kept as past weather"));
    web_free(&got);
    got = uploaded("/api/weather/import", "application/octet-stream", text_get(&ahead));
    WEB_WANT(&got, 200);
    assert_non_null(strstr(web_text(&got, "says"), "kept as a forecast"));
    assert_int_equal(web_number(&got, "hours"), 24);
    web_free(&got);
    got = web_looked(&farm, "/api/weather-kept");
    assert_int_equal(json_array_size(web_at(&got, "kept")), 2);
    web_free(&got);
    static const char *const none[] = { "", "not weather at all", "{}", "\x1f\x8b\x08", "a,b\n1,2\n" };
    for (size_t i = 0; i < COUNT(none); i++) {
        got = uploaded("/api/weather/import", "application/octet-stream", none[i]);
        if (got.code != 400)
            fail_msg("%zu: %d %s", i, got.code, text_get(&got.body));
        assert_null(strstr(text_get(&got.body), "/tmp"));
        web_free(&got);
    }
    text_close(&ahead);
    text_close(&past);
}

static void a_forecast_is_typed(void **state)
{
    static const struct {
        const char *body, *field;
    } bad[] = {
        { "{}", "forecast" },
        { "{\"forecast\": \"\"}", "forecast" },
        { "{\"forecast\": \"  \"}", "forecast" },
        { "{\"forecast\": \"lovely\"}", "forecast" },
        { "{\"forecast\": \"low 12F\", \"from\": \"soon\"}", "from" },
        { "{\"forecast\": 12}", "forecast" },
        { "{\"forecast\": \"low 12F\", \"colour\": 1}", "colour" },
    };

    (void)state;
    struct web_got got =
        web_posted(&farm, "/api/weather/type", "{\"forecast\": \"low 12F, wind SW 15 mph, rain until 21:00\"}");
    WEB_WANT(&got, 200);
    assert_non_null(strstr(web_text(&got, "says"), "36 hours kept"));
    web_free(&got);
    got = web_looked(&farm, "/api/weather"); /* what was typed this minute is known this minute */
    WEB_WANT(&got, 200);
    assert_true(json_array_size(web_at(&got, "hours")) >= 36);
    web_free(&got);
    got = web_looked(&farm, "/api/number"); /* and it is the forecast that the head of every page tells the age of */
    WEB_WANT(&got, 200);
    assert_true(json_is_number(web_at(&got, "forecast_age_h")));
    web_free(&got);
    for (size_t i = 0; i < COUNT(bad); i++) {
        got = web_posted(&farm, "/api/weather/type", bad[i].body);
        if (got.code != 400 || strcmp(web_text(&got, "error.field"), bad[i].field) != 0)
            fail_msg("%s: %d %s", bad[i].body, got.code, text_get(&got.body));
        web_free(&got);
    }
}

/* A service that takes the call and then says nothing: whoever asks waits, the others do not. */
static void a_slow_service_holds_up_nobody_else(void **state)
{
    struct sockaddr_in at = { .sin_family = AF_INET, .sin_addr = { htonl(INADDR_LOOPBACK) } };
    socklen_t size = sizeof at;
    struct timespec from, to;
    char fact[200], line[512];

    (void)state;
    struct web_got got = web_posted(&farm, "/api/weather/fetch", "{}");
    WEB_REFUSED(&got, 400, "from");
    web_free(&got);
    got = web_posted(&farm, "/api/weather/fetch", "{\"from\": \"world\"}");
    WEB_REFUSED(&got, 400, "contact");
    assert_null(strstr(text_get(&got.body), "leenest record"));
    web_free(&got);
    got = web_posted(&farm, "/api/weather/fetch", "{\"from\": \"moon\"}");
    WEB_REFUSED(&got, 400, "from");
    web_free(&got);

    const int silent = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(silent >= 0 && bind(silent, (struct sockaddr *)&at, sizeof at) == 0 && listen(silent, 8) == 0);
    assert_int_equal(getsockname(silent, (struct sockaddr *)&at, &size), 0);
    (void)snprintf(fact, sizeof fact,
                   "{\"name\": \"slow\", \"is\": \"met-norway\", \"contact\": \"ada@example.org\", \"address\": "
                   "\"https://127.0.0.1:%d\"}",
                   ntohs(at.sin_port));
    recorded("weather_source", fact);
    const int fd = web_connect(&farm);
    (void)snprintf(line, sizeof line,
                   "POST /api/weather/fetch HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nSec-Fetch-Site: same-origin\r\n"
                   "Content-Type: application/json\r\nContent-Length: 2\r\nConnection: close\r\nCookie: ",
                   farm.port);
    assert_true(web_write(fd, line, strlen(line)));
    (void)snprintf(line, sizeof line, "leenest_session=%s\r\n\r\n{}", farm.session);
    assert_true(web_write(fd, line, strlen(line)));
    const int taken = accept(silent, NULL, NULL); /* the service has the call, and is silent */
    assert_true(taken >= 0);
    (void)clock_gettime(CLOCK_MONOTONIC, &from);
    recorded("note", "{\"text\": \"meanwhile\"}");
    got = web_looked(&farm, "/api/list/note?search=meanwhile");
    assert_int_equal(json_array_size(web_at(&got, "facts")), 1);
    web_free(&got);
    (void)clock_gettime(CLOCK_MONOTONIC, &to);
    struct pollfd still = { .fd = fd, .events = POLLIN };
    assert_int_equal(poll(&still, 1, 0), 0); /* it is still waiting */
    if (to.tv_sec - from.tv_sec > 3)
        fail_msg("others waited %ld s", (long)(to.tv_sec - from.tv_sec));
    (void)close(taken);
    (void)close(silent);
    got = web_hear(fd); /* the service hung up: said in words, and what was kept is kept */
    if (got.code != 502 || strcmp(web_text(&got, "error.status"), "away") != 0)
        fail_msg("%d %s", got.code, text_get(&got.body));
    web_free(&got);
    (void)close(fd);
    got = web_looked(&farm, "/api/weather-kept");
    assert_true(json_array_size(web_at(&got, "kept")) >= 2);
    web_free(&got);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_farm_has_can_be_said_at_the_beginning),
        cmocka_unit_test(without_a_farm_there_is_only_a_beginning),
        cmocka_unit_test(a_farm_is_begun_once),
        cmocka_unit_test(a_backup_is_made_loaded_and_gone_back_to),
        cmocka_unit_test(a_table_goes_out_and_in),
        cmocka_unit_test(a_bad_row_is_told_by_its_line),
        cmocka_unit_test(everything_goes_out_as_one_document),
        cmocka_unit_test(weather_comes_from_files),
        cmocka_unit_test(a_forecast_is_typed),
        cmocka_unit_test(a_slow_service_holds_up_nobody_else),
    };
    return cmocka_run_group_tests_name("web keep", tests, start, stop);
}
