/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fetching, against a server of our own: what is asked, what is kept, the real replies.
 * What the services ask of their users: weather.gov API documentation (User-Agent, points looked up first, addresses
 * followed) and the terms of service of api.met.no (identification, Expires, If-Modified-Since, four decimals, 203,
 * 429). Headers: RFC 9110 (dates, 304) and RFC 9111 (lifetime = max-age, or Expires less Date; less Age).
 */
#include "tests/weather/outside.h"

#include "fetch_stage.h"

/* ---- what is asked ---- */

static void met_norway_is_asked_as_its_terms_say(void **state)
{
    const struct scene scene[] = { { NULL, 200, MET_HEAD, GLOBAL_BODY, GZIPPED, 0 } };
    struct fetch_ask ask = ask_of(FETCH_MET_NORWAY_COMPLETE);
    const char *head;

    (void)state;
    ask.altitude_m = 257.4;
    server_play(&server, 1, scene);
    assert_int_equal(fetch_forecast(&ask, &nothing, &mem, &got, &why), ST_OK);
    assert_int_equal(server_asked(&server), 1);
    head = server_request(&server, 0);
    assert_non_null(strstr(head, "GET /locationforecast/2.0/complete?lat=44.99&lon=-93.29&altitude=260 HTTP/1.1\r\n"));
    assert_non_null(strstr(head, "\r\nUser-Agent: leenest/0.1 (farm@example.org)\r\n"));
    assert_non_null(strstr(head, "\r\nAccept-Encoding: gzip\r\n"));
    assert_null(strstr(head, "If-Modified-Since"));
    assert_null(strstr(head, "44.987")); /* nothing finer than 0.01 degree leaves the farm */
    assert_int_equal(got.part[FETCH_GLOBAL].outcome, FETCH_NEW);
    assert_string_equal(text_of(&got.part[FETCH_GLOBAL]), GLOBAL_BODY);
    assert_int_equal(got.part[FETCH_GLOBAL].n_bytes, strlen(GLOBAL_BODY));
    assert_int_equal(got.memory.page[FETCH_GLOBAL].expires_utc_s, now_utc_s + 31 * 60);
    assert_string_equal(got.memory.page[FETCH_GLOBAL].last_modified, "Thu, 15 Jan 2026 17:59:30 GMT");
    assert_non_null(strstr(got.credit, "MET Norway"));
}

static void kept_until_it_expires_then_asked_whether_it_changed(void **state)
{
    const struct scene scene[] = { { NULL, 200, MET_HEAD, GLOBAL_BODY, WHOLE, 1 },
                                   { NULL, 304,
                                     "Expires: Thu, 15 Jan 2026 19:10:00 GMT\r\n"
                                     "Date: Thu, 15 Jan 2026 18:40:00 GMT\r\n",
                                     NULL, WHOLE, 0 } };
    struct fetch_ask ask = ask_of(FETCH_MET_NORWAY_COMPACT);
    struct fetch_memory m;

    (void)state;
    server_play(&server, 2, scene);
    assert_int_equal(fetch_met(&nothing), ST_OK);
    m = got.memory;
    ask.now_utc_s += 30 * 60; /* Expires is 31 min after Date */
    assert_int_equal(fetch_forecast(&ask, &m, &mem, &got, &why), ST_OK);
    assert_int_equal(got.part[FETCH_GLOBAL].outcome, FETCH_STILL_GOOD);
    assert_int_equal(server_asked(&server), 1);
    ask.now_utc_s += 2 * 60;
    assert_int_equal(fetch_forecast(&ask, &m, &mem, &got, &why), ST_OK);
    assert_int_equal(server_asked(&server), 2);
    assert_non_null(strstr(server_request(&server, 1), "\r\nIf-Modified-Since: Thu, 15 Jan 2026 17:59:30 GMT\r\n"));
    assert_int_equal(got.part[FETCH_GLOBAL].outcome, FETCH_UNCHANGED);
    assert_null(got.part[FETCH_GLOBAL].bytes);
    assert_int_equal(got.memory.page[FETCH_GLOBAL].fetched_utc_s, now_utc_s);
    assert_int_equal(got.memory.page[FETCH_GLOBAL].expires_utc_s, ask.now_utc_s + 30 * 60);
    assert_string_equal(got.memory.page[FETCH_GLOBAL].last_modified, "Thu, 15 Jan 2026 17:59:30 GMT");
}

static void lifetime_follows_the_headers(void **state)
{
    static const struct {
        const char *head;
        int64_t life_s;
        const char *why;
    } row[] = {
        { "Cache-Control: public, max-age=1200, s-maxage=3600\r\n", 1200, "RFC 9111 5.2.2.1" },
        { "Cache-Control: max-age=1200\r\nAge: 200\r\n", 1000, "RFC 9111 4.2.3: less Age" },
        { "Cache-Control: max-age=60\r\nDate: Thu, 15 Jan 2026 18:00:00 GMT\r\n"
          "Expires: Thu, 15 Jan 2026 20:00:00 GMT\r\n",
          60, "RFC 9111 5.3: max-age over Expires" },
        { "Date: Thu, 01 Jan 2015 00:00:00 GMT\r\nExpires: Thu, 01 Jan 2015 00:10:00 GMT\r\n", 600,
          "their clock against their clock" },
        { "Date: Thu, 15 Jan 2026 18:00:00 GMT\r\nExpires: Thu, 15 Jan 2026 17:00:00 GMT\r\n", 0, "past" },
        { "Date: Thu, 15 Jan 2026 18:00:00 GMT\r\nExpires: 0\r\n", 0, "RFC 9111 5.3: invalid = expired" },
        { "Cache-Control: no-cache, max-age=500\r\n", 0, "no-cache" },
        { "Cache-Control: max-age=99999999999999999999999\r\n", 86400, "held to a day" },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++) {
        char head[300];
        struct scene scene = { NULL, 200, head, GLOBAL_BODY, WHOLE, 0 };
        int64_t expires_utc_s;

        (void)snprintf(head, sizeof head, "Content-Type: application/json; charset=utf-8\r\n%s", row[i].head);
        server_play(&server, 1, &scene);
        assert_int_equal(fetch_met(&nothing), ST_OK);
        expires_utc_s = got.memory.page[FETCH_GLOBAL].expires_utc_s;
        if (expires_utc_s != (row[i].life_s ? now_utc_s + row[i].life_s : 0))
            fail_msg("%s: lifetime %lld, want %lld", row[i].why, (long long)(expires_utc_s - now_utc_s),
                     (long long)row[i].life_s);
    }
}

/* ---- the US national service ---- */

static char point_body[512];

static void write_point(const char *base, const char *cell)
{
    (void)snprintf(point_body, sizeof point_body,
                   "{\"properties\":{\"gridId\":\"AAA\",\"gridX\":\"7\",\"gridY\":8,\"timeZone\":\"America/Chicago\","
                   "\"forecastHourly\":\"%s/gridpoints/AAA/%s/forecast/hourly\","
                   "\"forecastGridData\":\"%s/gridpoints/AAA/%s\"}}",
                   base, cell, base, cell);
}

#define HOURLY_BODY "{\"properties\":{\"periods\":[{\"number\":1,\"temperature\":10}]}}"
#define GRID_BODY   "{\"properties\":{\"temperature\":{\"values\":[{\"validTime\":\"x/PT1H\",\"value\":-12}]}}}"

static void point_is_looked_up_followed_and_kept(void **state)
{
    const struct scene scene[] = {
        { "/points/44.99,-93.29 ", 200, "Content-Type: application/geo+json\r\nCache-Control: max-age=20000\r\n",
          point_body, WHOLE, 0 },
        { "/gridpoints/AAA/7,8/forecast/hourly ", 200, NULL, HOURLY_BODY, WHOLE, 0 },
        { "/gridpoints/AAA/7,8 ", 200, NULL, GRID_BODY, WHOLE, 0 },
    };
    struct fetch_ask ask = ask_of(FETCH_US_NATIONAL);
    struct fetch_memory m;

    (void)state;
    write_point(server.base, "7,8");
    server_play(&server, 3, scene);
    assert_int_equal(fetch_forecast(&ask, &nothing, &mem, &got, &why), ST_OK);
    assert_int_equal(server_asked(&server), 3);
    assert_int_equal(got.part[FETCH_POINT].outcome, FETCH_NEW);
    assert_string_equal(text_of(&got.part[FETCH_HOURLY]), HOURLY_BODY);
    assert_string_equal(text_of(&got.part[FETCH_GRID]), GRID_BODY);
    assert_string_equal(got.memory.zone, "America/Chicago");
    assert_non_null(strstr(server_request(&server, 2), "User-Agent: leenest/0.1 (farm@example.org)"));
    m = got.memory;
    ask.now_utc_s += 6 * 86400; /* six days on the point is still kept, the forecasts are not */
    assert_int_equal(fetch_forecast(&ask, &m, &mem, &got, &why), ST_OK);
    assert_int_equal(server_asked(&server), 5);
    assert_int_equal(got.part[FETCH_POINT].outcome, FETCH_STILL_GOOD);
    ask.now_utc_s += 2 * 86400; /* eight days: looked up again, since cells can move */
    assert_int_equal(fetch_forecast(&ask, &m, &mem, &got, &why), ST_OK);
    assert_int_equal(server_asked(&server), 8);
}

static void moved_cell_is_found_again(void **state)
{
    const struct scene scene[] = {
        { "/points/", 200, NULL, point_body, WHOLE, 0 },
        { "/gridpoints/AAA/1,1", 404, NULL, "{}", WHOLE, 0 },
        { "/gridpoints/AAA/2,2/forecast/hourly", 200, NULL, HOURLY_BODY, WHOLE, 0 },
        { "/gridpoints/AAA/2,2", 200, NULL, GRID_BODY, WHOLE, 0 },
    };
    struct fetch_ask ask = ask_of(FETCH_US_NATIONAL);
    struct fetch_memory m = { .page[FETCH_POINT].fetched_utc_s = now_utc_s - 3600 };

    (void)state;
    write_point(server.base, "2,2");
    (void)snprintf(m.page[FETCH_POINT].url, sizeof m.page[FETCH_POINT].url, "%s/points/44.99,-93.29", server.base);
    (void)snprintf(m.hourly_url, sizeof m.hourly_url, "%s/gridpoints/AAA/1,1/forecast/hourly", server.base);
    (void)snprintf(m.grid_url, sizeof m.grid_url, "%s/gridpoints/AAA/1,1", server.base);
    server_play(&server, 4, scene);
    assert_int_equal(fetch_forecast(&ask, &m, &mem, &got, &why), ST_OK);
    assert_int_equal(got.part[FETCH_HOURLY].outcome, FETCH_NEW);
    assert_int_equal(got.part[FETCH_GRID].outcome, FETCH_NEW);
    assert_non_null(strstr(got.memory.hourly_url, "2,2"));
    assert_int_equal(server_asked(&server), 5);
}

static void half_a_forecast_is_better_than_none_and_said(void **state)
{
    const struct scene scene[] = {
        { "/points/", 200, NULL, point_body, WHOLE, 0 },
        { "/forecast/hourly", 200, NULL, HOURLY_BODY, WHOLE, 0 },
        { "/gridpoints/", 500, NULL, "{}", WHOLE, 0 },
    };
    struct fetch_ask ask = ask_of(FETCH_US_NATIONAL);

    (void)state;
    write_point(server.base, "7,8");
    server_play(&server, 3, scene);
    assert_int_equal(fetch_forecast(&ask, &nothing, &mem, &got, &why), ST_OK);
    assert_int_equal(got.part[FETCH_HOURLY].outcome, FETCH_NEW);
    assert_int_equal(got.part[FETCH_GRID].outcome, FETCH_FAILED);
    assert_int_equal(got.n_notes, 1);
    assert_non_null(strstr(got.note[0], "grid part"));
    assert_non_null(strstr(got.note[0], "(500)"));
}

static void point_answer_that_leads_elsewhere_is_not_followed(void **state)
{
    static const char *const elsewhere[] = { "http://127.0.0.1:1", "https://forecast.invalid", "file:///etc",
                                             "nonsense" };
    const struct scene scene[] = { { "/points/", 200, NULL, point_body, WHOLE, 0 },
                                   { NULL, 200, NULL, HOURLY_BODY, WHOLE, 0 } };
    const struct fetch_ask ask = ask_of(FETCH_US_NATIONAL);

    (void)state;
    for (size_t i = 0; i < COUNT(elsewhere); i++) {
        write_point(elsewhere[i], "7,8");
        server_play(&server, 2, scene);
        assert_refused(fetch_forecast(&ask, &nothing, &mem, &got, &why), &nothing, FETCH_POINT, "another host");
        assert_int_equal(server_asked(&server), 1);
        why.text[0] = 0;
    }
}

static void place_outside_the_united_states_is_said(void **state)
{
    const struct scene scene = { "/points/",         404,   "Content-Type: application/problem+json\r\n",
                                 "{\"status\":404}", WHOLE, 0 };
    const struct fetch_ask ask = ask_of(FETCH_US_NATIONAL);

    (void)state;
    server_play(&server, 1, &scene);
    assert_refused(fetch_forecast(&ask, &nothing, &mem, &got, &why), &nothing, FETCH_POINT, "United States");
    assert_int_equal(server_asked(&server), 1); /* a 404 is not tried again */
}

/* ---- what is remembered ---- */

static void memory_is_kept_as_text_and_back(void **state)
{
    static const char *const bad[] = { "", "[]", "{", "nonsense", "{\"zone\":1,\"zone\":2}" };
    const struct fetch_memory m = filled_memory();
    struct fetch_memory back;
    struct text line;

    (void)state;
    text_open(&line, 8192);
    fetch_memory_text(&m, &line);
    assert_true(fetch_memory_read(text_get(&line), &back));
    assert_memory_equal(&back, &m, sizeof m);
    assert_null(strchr(text_get(&line), '\n'));
    text_close(&line);
    for (size_t i = 0; i < COUNT(bad); i++) {
        assert_false(fetch_memory_read(bad[i], &back));
        assert_memory_equal(&back, &nothing, sizeof back);
    }
    /* what could end up in a request header must be plain */
    assert_true(fetch_memory_read("{\"global\":{\"last_modified\":\"x\\r\\nX-Evil: 1\",\"expires_utc_s\":-5}}", &back));
    assert_memory_equal(&back, &nothing, sizeof back);
}

static void next_time_is_spread_and_off_the_hour(void **state)
{
    struct fetch_memory m = { 0 };
    int64_t first = 0, last = 0;

    (void)state;
    for (uint64_t seed = 0; seed < 2000; seed++) {
        int64_t next;

        m.page[FETCH_HOURLY].expires_utc_s = now_utc_s + (int64_t)(seed % 40) * 97;
        next = fetch_next_utc_s(&m, now_utc_s, seed);
        assert_true(next >= m.page[FETCH_HOURLY].expires_utc_s && next >= now_utc_s + 600);
        assert_true(next <= now_utc_s + 40 * 97 + 600 + 600 + 1200);
        assert_true(next % 3600 >= 300 && next % 3600 < 3300);
        if (seed % 40 == 0) {
            first = first == 0 || next < first ? next : first;
            last = next > last ? next : last;
        }
    }
    assert_true(last - first > 480); /* ten minutes of spread, less the edges a few draws miss */
    m.not_before_utc_s = now_utc_s + 86400;
    assert_true(fetch_next_utc_s(&m, now_utc_s, 1) >= now_utc_s + 86400);
}

/* ---- the real replies ---- */

static char *whole_file(const char *name, size_t *n)
{
    char path[600];
    char *bytes = NULL;
    long size;
    FILE *f;

    f = fopen(outside_path(name, path), "rb");
    if (!f)
        return NULL;
    if (fseek(f, 0, SEEK_END) == 0 && (size = ftell(f)) > 0 && fseek(f, 0, SEEK_SET) == 0) {
        bytes = malloc((size_t)size + 1);
        *n = bytes ? fread(bytes, 1, (size_t)size, f) : 0;
        if (bytes)
            bytes[*n] = 0;
    }
    (void)fclose(f);
    return bytes;
}

static enum status read_as_hours(void *own, enum fetch_part part, const char *bytes, size_t n, struct message *message)
{
    static struct weather w;
    size_t *hours = own;
    enum status st = ST_OK;

    if (part != FETCH_POINT) {
        st = weather_read(fetch_part_name[part], bytes, n, NULL, &mem, &w, message);
        if (st == ST_OK)
            hours[part] = w.n;
    }
    return st;
}

/* The recorded head, less its first line and what the sender must set anew. */
static void head_of(const char *recorded, char *head, size_t room)
{
    size_t n = 0;

    for (const char *p = strchr(recorded, '\n'); p && p[1]; p = strchr(p + 1, '\n')) {
        const size_t length = strcspn(p + 1, "\r\n");

        if (length == 0 || strncmp(p + 1, "Content-Length", 14) == 0 || strncmp(p + 1, "Content-Encoding", 16) == 0 ||
            strncmp(p + 1, "Connection", 10) == 0 || n + length + 3 > room)
            continue;
        memcpy(&head[n], p + 1, length);
        memcpy(&head[n + length], "\r\n", 2);
        n += length + 2;
    }
    head[n] = 0;
}

static void real_met_norway_replies_come_through(void **state)
{
    static const struct {
        const char *name;
        enum fetch_service service;
        int64_t life_s;
        size_t steps;
    } row[] = {
        { "metno-compact-40.7_-74.0-2020-07-20", FETCH_MET_NORWAY_COMPACT, 30 * 60 + 22, 82 },
        { "metno-complete-51.5_-0.1-2020-07-20", FETCH_MET_NORWAY_COMPLETE, 31 * 60 + 52, 82 },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++) {
        char name[96], head[2048];
        size_t n_head = 0, n_body = 0, hours[FETCH_PARTS] = { 0 };
        struct fetch_ask ask = ask_of(row[i].service);
        char *recorded, *body;

        (void)snprintf(name, sizeof name, "%s.headers.txt", row[i].name);
        recorded = whole_file(name, &n_head);
        (void)snprintf(name, sizeof name, "%s.json", row[i].name);
        body = whole_file(name, &n_body);
        if (!recorded || !body) {
            free(recorded);
            free(body);
            print_message("skipped: the recorded replies are not here\n");
            skip();
        }
        head_of(recorded, head, sizeof head);
        server_play(&server, 1, &(struct scene){ "/locationforecast/2.0/", 200, head, body, GZIPPED, 0 });
        ask.good = read_as_hours;
        ask.own = hours;
        if (fetch_forecast(&ask, &nothing, &mem, &got, &why) != ST_OK)
            fail_msg("%s: %s", row[i].name, why.text);
        assert_int_equal(got.part[FETCH_GLOBAL].n_bytes, n_body);
        assert_memory_equal(got.part[FETCH_GLOBAL].bytes, body, n_body);
        assert_int_equal(got.memory.page[FETCH_GLOBAL].expires_utc_s, now_utc_s + row[i].life_s);
        assert_string_equal(got.memory.page[FETCH_GLOBAL].last_modified, "Mon, 20 Jul 2020 11:44:31 GMT");
        assert_int_equal(hours[FETCH_GLOBAL], row[i].steps);
        free(recorded);
        free(body);
    }
}

/* The recorded point, with its addresses turned to our server. */
static char *at_our_server(const char *text)
{
    static const char theirs[] = "https://api.weather.gov";
    const size_t room = 2 * strlen(text) + 1;
    char *out = malloc(room);
    size_t n = 0;

    assert_non_null(out);
    while (*text && n + sizeof server.base < room) {
        if (strncmp(text, theirs, strlen(theirs)) == 0) {
            memcpy(&out[n], server.base, strlen(server.base));
            n += strlen(server.base);
            text += strlen(theirs);
        } else {
            out[n++] = *text++;
        }
    }
    out[n] = 0;
    return out;
}

static void real_us_replies_come_through(void **state)
{
    size_t n = 0, hours[FETCH_PARTS] = { 0 };
    char *point = whole_file("nws-points-45_-93.json", &n);
    char *hourly = whole_file("nws-hourly-MPX-45N-2024-01-11.json", &n);
    char *grid = whole_file("nws-grid-LZK-2024-02-20.json", &n), *ours = NULL;
    struct fetch_ask ask = ask_of(FETCH_US_NATIONAL);

    (void)state;
    if (!point || !hourly || !grid) {
        free(point);
        free(hourly);
        free(grid);
        print_message("skipped: the recorded replies are not here\n");
        skip();
    }
    ours = at_our_server(point);
    server_play(&server, 3,
                (const struct scene[]){ { "/points/45,-93 ", 200, NULL, ours, GZIPPED, 0 },
                                        { "/gridpoints/MPX/1,1/forecast/hourly ", 200, NULL, hourly, GZIPPED, 0 },
                                        { "/gridpoints/MPX/1,1 ", 200, NULL, grid, GZIPPED, 0 } });
    ask.lat_deg = 45.0;
    ask.lon_deg = -93.0;
    ask.good = read_as_hours;
    ask.own = hours;
    if (fetch_forecast(&ask, &nothing, &mem, &got, &why) != ST_OK)
        fail_msg("%s", why.text);
    assert_string_equal(got.memory.zone, "America/Chicago");
    assert_int_equal(hours[FETCH_HOURLY], 156); /* 156 periods of an hour in the file */
    assert_true(hours[FETCH_GRID] >= 194);      /* 162 temperature entries stand for 194 hours */
    free(point);
    free(hourly);
    free(grid);
    free(ours);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(met_norway_is_asked_as_its_terms_say),
        CASE(kept_until_it_expires_then_asked_whether_it_changed),
        CASE(lifetime_follows_the_headers),
        CASE(point_is_looked_up_followed_and_kept),
        CASE(moved_cell_is_found_again),
        CASE(half_a_forecast_is_better_than_none_and_said),
        CASE(point_answer_that_leads_elsewhere_is_not_followed),
        CASE(place_outside_the_united_states_is_said),
        CASE(memory_is_kept_as_text_and_back),
        CASE(next_time_is_spread_and_off_the_hour),
        CASE(real_met_norway_replies_come_through),
        CASE(real_us_replies_come_through),
    };
    int failed;

    if (!raise_curtain())
        return 1;
    failed = cmocka_run_group_tests(tests, NULL, NULL);
    server_close(&server);
    return failed;
}
