/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is remembered between two fetches, as one line of JSON, and what a reply must look like to be believed.
 */
#include "weather/fetch.h"

#include <jansson.h>
#include <string.h>

#include "weather/fetch_own.h"

const char *const fetch_part_name[FETCH_PARTS] = { "point", "hourly", "grid", "global" };

/* A member that is a text of plain signs and fits, into `out`; anything else leaves "". */
static bool take_text(const json_t *object, const char *name, char *out, size_t room)
{
    const char *text = json_string_value(json_object_get(object, name));

    out[0] = 0;
    if (!text || strlen(text) >= room)
        return false;
    for (const char *p = text; *p; p++)
        if ((unsigned char)*p < 32 || (unsigned char)*p > 126)
            return false;
    memcpy(out, text, strlen(text) + 1);
    return true;
}

static int64_t take_moment(const json_t *object, const char *name)
{
    const json_int_t s = json_integer_value(json_object_get(object, name));

    return s > 0 && s < INT64_C(100000000000) ? (int64_t)s : 0;
}

void fetch_memory_text(const struct fetch_memory *m, struct text *out)
{
    json_t *all = json_pack("{s:s, s:s, s:s, s:I}", "hourly_url", m->hourly_url, "grid_url", m->grid_url, "zone",
                            m->zone, "not_before_utc_s", (json_int_t)m->not_before_utc_s);
    char *line = NULL;

    for (int p = 0; all && p < FETCH_PARTS; p++) {
        const struct fetch_page *page = &m->page[p];
        json_t *one =
            json_pack("{s:s, s:s, s:I, s:I}", "url", page->url, "last_modified", page->last_modified, "expires_utc_s",
                      (json_int_t)page->expires_utc_s, "fetched_utc_s", (json_int_t)page->fetched_utc_s);

        if (json_object_set_new(all, fetch_part_name[p], one) != 0) {
            json_decref(all);
            all = NULL;
        }
    }
    if (all)
        line = json_dumps(all, JSON_COMPACT | JSON_SORT_KEYS);
    text_add(out, line ? line : "{}"); /* "{}" reads back as nothing kept: the next fetch asks for all again */
    free(line);
    json_decref(all);
}

bool fetch_memory_read(const char *text, struct fetch_memory *m)
{
    json_t *all = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
    const bool good = json_is_object(all);

    *m = (struct fetch_memory){ 0 };
    if (good) {
        (void)take_text(all, "hourly_url", m->hourly_url, sizeof m->hourly_url);
        (void)take_text(all, "grid_url", m->grid_url, sizeof m->grid_url);
        (void)take_text(all, "zone", m->zone, sizeof m->zone);
        m->not_before_utc_s = take_moment(all, "not_before_utc_s");
        for (int p = 0; p < FETCH_PARTS; p++) {
            const json_t *one = json_object_get(all, fetch_part_name[p]);
            struct fetch_page *page = &m->page[p];

            (void)take_text(one, "url", page->url, sizeof page->url);
            (void)take_text(one, "last_modified", page->last_modified, sizeof page->last_modified);
            page->expires_utc_s = take_moment(one, "expires_utc_s");
            page->fetched_utc_s = take_moment(one, "fetched_utc_s");
        }
    }
    json_decref(all);
    return good;
}

/* ---- what a reply must be ---- */

static bool filled_list(const json_t *list)
{
    return json_is_array(list) && json_array_size(list) > 0;
}

static bool has_its_members(enum fetch_part part, const json_t *all, struct fetch_memory *m)
{
    const json_t *properties = json_object_get(all, "properties");

    switch (part) {
    case FETCH_POINT:
        (void)take_text(properties, "timeZone", m->zone, sizeof m->zone);
        return take_text(properties, "forecastHourly", m->hourly_url, sizeof m->hourly_url) &&
               take_text(properties, "forecastGridData", m->grid_url, sizeof m->grid_url);
    case FETCH_HOURLY: return filled_list(json_object_get(properties, "periods"));
    case FETCH_GRID: return filled_list(json_object_get(json_object_get(properties, "temperature"), "values"));
    case FETCH_GLOBAL: return filled_list(json_object_get(properties, "timeseries"));
    case FETCH_PARTS: break;
    }
    return false;
}

enum status fetch_check(enum fetch_part part, const char *bytes, size_t n, struct fetch_memory *m, struct message *why)
{
    static const char *const wanted[FETCH_PARTS] = {
        "where its forecasts are",
        "hours",
        "temperatures",
        "hours",
    };
    json_error_t at = { .position = 0 };
    json_t *all = json_loadb(bytes, n, 0, &at);
    struct fetch_memory found = *m;
    enum status st = ST_OK;

    if (!all)
        st = refuse(ST_IO, why, "", "the reply is not whole: it breaks off or is garbled at byte %d of %zu",
                    at.position, n);
    else if (!has_its_members(part, all, &found))
        st = refuse(ST_IO, why, "", "the reply says nothing of %s", part < FETCH_PARTS ? wanted[part] : "its matter");
    else
        *m = found;
    json_decref(all);
    return st;
}
