/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A farm with a few animals behind one running server, for the tests of recording over HTTP. */
#ifndef TESTS_DOORS_RECORD_CASE_H
#define TESTS_DOORS_RECORD_CASE_H

#include "tests/doors/web_case.h"

static struct web_case farm; /* one server for all of this file */

static inline int64_t newest_change(void)
{
    struct web_got got = web_get(&farm, "/api/history?most=1");
    WEB_WANT(&got, 200);
    const int64_t number = web_number(&got, "changes[0].number");
    web_free(&got);
    return number;
}

static inline void recorded(const char *kind, const char *fact)
{
    struct text body;
    char path[64];

    text_open(&body, 1 << 20);
    text_print(&body, "{\"fact\": %s}", fact);
    (void)snprintf(path, sizeof path, "/api/record/%s", kind);
    struct web_got got = web_post(&farm, path, text_get(&body));
    if (got.code != 200)
        fail_msg("%s %s: %d %s", kind, fact, got.code, text_get(&got.body));
    web_free(&got);
    text_close(&body);
}

static inline int start(void **state)
{
    (void)state;
    web_scratch(&farm);
    web_start(&farm, farm.farm, NULL);
    struct web_got got = web_post(&farm, "/api/begin",
                                  "{\"name\": \"Withy Bottom\", \"lat_deg\": 44.9, \"lon_deg\": -93.3, \"zone\": "
                                  "\"America/Chicago\", \"units\": \"us\", \"elevation\": \"850\"}");
    WEB_WANT(&got, 200);
    web_free(&got);
    recorded("sow", "{\"name\": \"Bramble\", \"tag\": \"12\", \"born\": \"2022-03-01\"}");
    recorded("animal", "{\"name\": \"Sedge\", \"is\": \"gilt\", \"born\": \"2023-01-10\"}");
    recorded("boar", "{\"name\": \"Otis\", \"born\": \"2021-05-05\"}");
    recorded("paddock", "{\"name\": \"Low\"}");
    recorded("group", "{\"name\": \"Dry\"}");
    recorded("hut", "{\"name\": \"North\"}");
    recorded("placement", "{\"shelter\": \"North\", \"from\": \"2024-06-01\"}");
    recorded("person", "{\"name\": \"Wenna\"}");
    return 0;
}

static inline int stop(void **state)
{
    (void)state;
    if (web_stop(&farm) != 0)
        return -1;
    web_scratch_gone(&farm);
    return 0;
}

#endif
