/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the tests of fetching share: a server, an arena, small invented replies. Included once in each program.
 */
#ifndef TESTS_WEATHER_FETCH_STAGE_H
#define TESTS_WEATHER_FETCH_STAGE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "small_server.h"
#include "weather/fetch.h"

static const int64_t now_utc_s = 1768500000; /* 2026-01-15T18:00:00Z */

static struct server server; /* plain */
static struct arena mem;
static struct fetch_result got;
static struct message why;
static double slept_s[16];
static int n_slept;

static bool count_sleep(void *own, double seconds)
{
    (void)own;
    if (n_slept < 16)
        slept_s[n_slept++] = seconds;
    return true;
}

static int begin(void **state)
{
    (void)state;
    arena_open(&mem, 24u << 20);
    why = (struct message){ "", "" };
    n_slept = 0;
    return 0;
}

static int end(void **state)
{
    (void)state;
    arena_close(&mem);
    return 0;
}

static struct fetch_ask ask_of(enum fetch_service service)
{
    return (struct fetch_ask){
        .service = service,
        .base = server.base,
        .contact = "farm@example.org",
        .lat_deg = 44.98765,
        .lon_deg = -93.2901,
        .altitude_m = NAN,
        .now_utc_s = now_utc_s,
        .may_sleep = count_sleep,
        .plain_loopback = true,
        .time_limit_s = 3.0,
    };
}

static enum status fetch_met(const struct fetch_memory *m)
{
    const struct fetch_ask ask = ask_of(FETCH_MET_NORWAY_COMPACT);

    return fetch_forecast(&ask, m, &mem, &got, &why);
}

static const struct fetch_memory nothing;

/* Small invented replies with the members the real ones have. */
#define GLOBAL_BODY                                                                                                    \
    "{\"type\":\"Feature\",\"geometry\":{\"type\":\"Point\",\"coordinates\":[-93.29,44.99,259]},\"properties\":"       \
    "{\"meta\":{\"updated_at\":\"2026-01-15T17:30:00Z\",\"units\":{}},\"timeseries\":["                                \
    "{\"time\":\"2026-01-15T18:00:00Z\","                                                                              \
    "\"data\":{\"instant\":{\"details\":{\"air_temperature\":-12.5,\"wind_speed\":4.0,\"wind_from_direction\":300.0,"  \
    "\"relative_humidity\":70.0}}}}]}}"
#define MET_HEAD                                                                                                       \
    "Content-Type: application/json\r\nDate: Thu, 15 Jan 2026 18:00:05 GMT\r\n"                                        \
    "Expires: Thu, 15 Jan 2026 18:31:05 GMT\r\nLast-Modified: Thu, 15 Jan 2026 17:59:30 GMT\r\n"

static const char *text_of(const struct fetch_reply *r)
{
    return r->bytes ? r->bytes : "";
}

/* A failure must leave memory as it was and say why. */
static void assert_refused(enum status st, const struct fetch_memory *before, enum fetch_part part, const char *says)
{
    assert_int_equal(st, ST_AWAY);
    assert_int_equal(got.part[part].outcome, FETCH_FAILED);
    assert_null(got.part[part].bytes);
    if (!strstr(got.part[part].says, says))
        fail_msg("wanted '%s' in: %s", says, got.part[part].says);
    if (!strstr(why.text, says))
        fail_msg("wanted '%s' in: %s", says, why.text);
    got.memory.not_before_utc_s = before->not_before_utc_s;
    assert_memory_equal(&got.memory, before, sizeof *before);
}

/* A memory with something good in it, to see that it survives. */
static struct fetch_memory filled_memory(void)
{
    struct fetch_memory m;
    const struct scene good = { "/locationforecast", 200, MET_HEAD, GLOBAL_BODY, WHOLE, 0 };

    server_play(&server, 1, &good);
    assert_int_equal(fetch_met(&nothing), ST_OK);
    m = got.memory;
    m.page[FETCH_GLOBAL].expires_utc_s = 0; /* so that it is asked again */
    return m;
}

#define CASE(f) cmocka_unit_test_setup_teardown(f, begin, end)

/* No proxy: what is tested is the line to the service itself. */
static bool raise_curtain(void)
{
    static const char *const proxy[] = { "http_proxy", "https_proxy", "HTTPS_PROXY", "all_proxy", "ALL_PROXY" };

    for (size_t i = 0; i < COUNT(proxy); i++)
        (void)unsetenv(proxy[i]);
    if (fetch_begin(&why) == ST_OK && server_open(&server, NULL, NULL))
        return true;
    (void)fprintf(stderr, "no server to test against: %s\n", why.text);
    return false;
}

#endif
