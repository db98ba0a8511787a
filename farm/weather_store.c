/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/weather_store.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/weather_own.h"

enum { MOST_LOTS = 200000 };

const char *const weather_sort_name[WEATHER_SORTS] = { "past years", "observed", "forecast", "typed" };

int64_t weather_day_of(int64_t utc_s)
{
    return utc_s >= 0 ? utc_s / DAY_S : -((-utc_s + DAY_S - 1) / DAY_S);
}

/* ---- reading days ---- */

bool weather_add_hour(struct hours *h, const struct hour *hour)
{
    if (h->n == h->room) {
        const size_t room = h->room ? h->room * 2 : h->hint ? h->hint : 256;
        struct hour *more = room <= WEATHER_MOST_HOURS * 2 ? ARENA_NEW(h->mem, struct hour, room) : NULL;
        if (!more)
            return false;
        if (h->n)
            memcpy(more, h->hour, h->n * sizeof *more);
        h->hour = more;
        h->room = room;
    }
    h->hour[h->n++] = *hour;
    return true;
}

/* Lay the hours of a newer lot over those of the same day, from `start` on: both sorted. */
static void overlay(struct hour day[], size_t *n, const struct hour newer[], size_t n_newer)
{
    for (size_t i = 0; i < n_newer; i++) {
        size_t at = *n;
        while (at > 0 && day[at - 1].utc_s >= newer[i].utc_s)
            at--;
        if (at < *n && day[at].utc_s == newer[i].utc_s) {
            day[at] = newer[i];
        } else if (*n < PACK_HOURS * 2) {
            memmove(&day[at + 1], &day[at], (*n - at) * sizeof *day);
            day[at] = newer[i];
            (*n)++;
        }
    }
}

struct day_work {
    struct hour merged[PACK_HOURS * 2 + 1], one[PACK_HOURS];
    size_t n;
    int64_t day;
};

static bool pack_day(struct day_work *w, const struct window *window, struct weather_packed *to)
{
    size_t first = 0, end = w->n;

    while (first < end && w->merged[first].utc_s < window->from_s)
        first++;
    while (end > first && w->merged[end - 1].utc_s > window->to_s)
        end--;
    return first == end || weather_packed_add(to, w->day, end - first, &w->merged[first]);
}

static bool flush_day(struct day_work *w, const struct window *window, struct hours *out)
{
    if (out->packed) {
        const bool fits = pack_day(w, window, out->packed);
        w->n = 0;
        return fits;
    }
    for (size_t i = 0; i < w->n; i++)
        if (w->merged[i].utc_s >= window->from_s && w->merged[i].utc_s <= window->to_s &&
            !weather_add_hour(out, &w->merged[i]))
            return false;
    w->n = 0;
    return true;
}

/* Rows (day, hours) by day, older lots first. */
static enum status gather(struct farm *f, sqlite3_stmt *s, const struct window *window, struct hours *out,
                          struct message *why)
{
    struct day_work *w = malloc(sizeof *w);
    enum status st = ST_OK, bad = ST_OK;

    if (!w)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    w->n = 0;
    w->day = INT64_MIN;
    while (bad == ST_OK && farm_row(f, s, &st, why)) {
        const int64_t day = sqlite3_column_int64(s, 0);
        size_t n = 0;
        if (day != w->day && !flush_day(w, window, out))
            bad = refuse(ST_NO_MEMORY, why, "", "too many hours of weather to hold at once");
        w->day = day;
        if (bad == ST_OK &&
            !weather_unpack(day, sqlite3_column_blob(s, 1), (size_t)sqlite3_column_bytes(s, 1), w->one, &n))
            bad = refuse(ST_IO, why, "",
                         "weather stored in the farm file is damaged; go back to a backup with `restore`");
        if (bad == ST_OK)
            overlay(w->merged, &w->n, w->one, n);
    }
    if (bad == ST_OK && st == ST_OK && !flush_day(w, window, out))
        bad = refuse(ST_NO_MEMORY, why, "", "too many hours of weather to hold at once");
    if (s)
        (void)sqlite3_reset(s);
    free(w);
    return bad != ST_OK ? bad : st;
}

/* CROSS: lots first, then their days by key; the planner would read every day of every lot instead */
static const char hours_sql[] =
    "SELECT d.day, d.hours FROM weather_lot l CROSS JOIN weather_day d ON d.lot = l.number WHERE (?1 IS NULL OR "
    "l.source = ?1)"
    " AND l.sort = ?2 AND d.day BETWEEN ?3 AND ?4 AND l.number <= ?5 ORDER BY d.day, l.number";

enum status weather_merged(struct farm *f, const char *source, enum weather_sort sort, const struct window *window,
                           int64_t known_to, struct hours *out, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, hours_sql, why);

    farm_bind_text(s, 1, source);
    farm_bind_text(s, 2, weather_sort_name[sort]);
    if (s) {
        (void)sqlite3_bind_int64(s, 3, weather_day_of(window->from_s));
        (void)sqlite3_bind_int64(s, 4, weather_day_of(window->to_s));
        (void)sqlite3_bind_int64(s, 5, known_to > 0 ? known_to : INT64_MAX);
    }
    return gather(f, s, window, out, why);
}

/* Hours there are at most, doubles counted too. */
static enum status stored(struct farm *f, const char *source, enum weather_sort sort, size_t *n, struct message *why)
{
    sqlite3_stmt *s = farm_statement(
        f, "SELECT coalesce(sum(n_hours), 0) FROM weather_lot WHERE (?1 IS NULL OR source = ?1) AND sort = ?2", why);
    enum status st = ST_OK;

    farm_bind_text(s, 1, source);
    farm_bind_text(s, 2, weather_sort_name[sort]);
    while (farm_row(f, s, &st, why))
        *n = (size_t)sqlite3_column_int64(s, 0);
    *n = *n < WEATHER_MOST_HOURS ? *n : WEATHER_MOST_HOURS;
    return st;
}

enum status farm_weather_hours(struct farm *f, const char *source, enum weather_sort sort, int64_t from_utc_s,
                               int64_t to_utc_s, int64_t known_to, struct arena *mem, struct hour **hours, size_t *n,
                               struct message *why)
{
    const struct window window = { from_utc_s, to_utc_s };
    struct hours out = { .mem = mem };
    enum status st = stored(f, source, sort, &out.hint, why);

    if (st == ST_OK && to_utc_s - from_utc_s < (int64_t)out.hint * HOUR_S)
        out.hint = to_utc_s > from_utc_s ? (size_t)((to_utc_s - from_utc_s) / HOUR_S) + 2 : 2;
    if (st == ST_OK)
        st = weather_merged(f, source, sort, &window, known_to, &out, why);

    if (st == ST_OK) {
        *hours = out.hour;
        *n = out.n;
    }
    return st;
}

enum status farm_weather_of_lot(struct farm *f, int64_t lot, int64_t from_utc_s, int64_t to_utc_s, struct arena *mem,
                                struct hour **hours, size_t *n, struct message *why)
{
    const struct window window = { from_utc_s, to_utc_s };
    struct hours out = { .mem = mem };
    sqlite3_stmt *s = farm_statement(
        f, "SELECT day, hours FROM weather_day WHERE lot = ?1 AND day BETWEEN ?2 AND ?3 ORDER BY day", why);

    if (s) {
        (void)sqlite3_bind_int64(s, 1, lot);
        (void)sqlite3_bind_int64(s, 2, weather_day_of(from_utc_s));
        (void)sqlite3_bind_int64(s, 3, weather_day_of(to_utc_s));
    }
    const enum status st = gather(f, s, &window, &out, why);
    if (st == ST_OK) {
        *hours = out.hour;
        *n = out.n;
    }
    return st;
}

/* ---- what there is ---- */

enum status farm_weather_holdings(struct farm *f, int64_t known_to, struct arena *mem,
                                  struct weather_holding **holdings, size_t *n, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f,
                                     "SELECT source, sort, min(first_utc_s), max(last_utc_s), count(*), sum(n_hours)"
                                     " FROM weather_lot WHERE number <= ?1 GROUP BY source, sort ORDER BY sort, source",
                                     why);
    struct weather_holding *list = NULL;
    size_t count = 0, room = 0;
    enum status st = ST_OK;

    if (s)
        (void)sqlite3_bind_int64(s, 1, known_to > 0 ? known_to : INT64_MAX);
    while (farm_row(f, s, &st, why)) {
        if (count == room) {
            struct weather_holding *more = ARENA_NEW(mem, struct weather_holding, room ? room * 2 : 16);
            if (!more) {
                (void)sqlite3_reset(s);
                return refuse(ST_NO_MEMORY, why, "", "out of memory");
            }
            if (count)
                memcpy(more, list, count * sizeof *list);
            list = more;
            room = room ? room * 2 : 16;
        }
        struct weather_holding *h = &list[count++];
        h->source = farm_column(s, 0, mem);
        for (h->sort = WEATHER_PAST; h->sort < WEATHER_TYPED; h->sort++)
            if (strcmp(weather_sort_name[h->sort], (const char *)sqlite3_column_text(s, 1)) == 0)
                break;
        h->first_utc_s = sqlite3_column_int64(s, 2);
        h->last_utc_s = sqlite3_column_int64(s, 3);
        h->n_lots = (size_t)sqlite3_column_int64(s, 4);
        h->n_hours = (size_t)sqlite3_column_int64(s, 5);
    }
    if (st == ST_OK) {
        *holdings = list;
        *n = count;
    }
    return st == ST_OK && arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : st;
}

enum status farm_weather_season(struct farm *f, const char *source, int first_day, int n_days, int64_t known_to,
                                struct arena *mem, struct hour **hours, size_t *n, struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(f,
                       "SELECT min(first_utc_s), max(last_utc_s) FROM weather_lot WHERE (?1 IS NULL OR source = ?1)"
                       " AND sort = 'past years' AND number <= ?2",
                       why);
    struct hours out = { .mem = mem };
    int64_t first_s = 0, last_s = 0;
    bool any = false;
    enum status st = ST_OK;

    if (first_day < 1 || first_day > 366 || n_days < 1 || n_days > 366)
        return refuse(ST_BAD_INPUT, why, "", "a season begins on day 1 to 366 of the year and lasts 1 to 366 days");
    farm_bind_text(s, 1, source);
    if (s)
        (void)sqlite3_bind_int64(s, 2, known_to > 0 ? known_to : INT64_MAX);
    while (farm_row(f, s, &st, why)) {
        any = sqlite3_column_type(s, 0) != SQLITE_NULL;
        first_s = sqlite3_column_int64(s, 0);
        last_s = sqlite3_column_int64(s, 1);
    }
    if (st == ST_OK)
        st = stored(f, source, WEATHER_PAST, &out.hint, why);
    out.hint = out.hint * (size_t)(n_days + 2) / 365 + 48;
    const int first_year = civil_from_seconds(first_s).year - 1, last_year = civil_from_seconds(last_s).year;
    for (int y = first_year; any && st == ST_OK && y <= last_year; y++) {
        const int64_t from_s = (civil_days(y, 1, 1) + first_day - 1) * DAY_S;
        const struct window window = { from_s, from_s + n_days * DAY_S - 1 };
        if (window.to_s >= first_s && window.from_s <= last_s)
            st = weather_merged(f, source, WEATHER_PAST, &window, known_to, &out, why);
    }
    if (st == ST_OK) {
        *hours = out.hour;
        *n = out.n;
    }
    return st;
}

static double real_or_nan(sqlite3_stmt *s, int column)
{
    return sqlite3_column_type(s, column) == SQLITE_NULL ? (double)NAN : sqlite3_column_double(s, column);
}

static void read_lot(sqlite3_stmt *s, struct arena *mem, struct weather_lot *lot)
{
    *lot = (struct weather_lot){
        .number = sqlite3_column_int64(s, 0),
        .source = farm_column(s, 2, mem),
        .issued_utc_s = sqlite3_column_int64(s, 3),
        .fetched_utc_s = sqlite3_column_int64(s, 4),
        .expires_utc_s = sqlite3_column_int64(s, 5),
        .address = farm_column(s, 6, mem),
        .etag = farm_column(s, 7, mem),
        .last_modified = farm_column(s, 8, mem),
        .expires = farm_column(s, 9, mem),
        .credit = farm_column(s, 10, mem),
        .place = farm_column(s, 11, mem),
        .lat_deg = real_or_nan(s, 12),
        .lon_deg = real_or_nan(s, 13),
        .elevation_m = real_or_nan(s, 14),
        .first_utc_s = sqlite3_column_int64(s, 15),
        .last_utc_s = sqlite3_column_int64(s, 16),
        .n_hours = (size_t)sqlite3_column_int64(s, 17),
    };
    for (lot->sort = WEATHER_PAST; lot->sort < WEATHER_TYPED; lot->sort++)
        if (strcmp(weather_sort_name[lot->sort], (const char *)sqlite3_column_text(s, 1)) == 0)
            break;
}

enum status farm_weather_lots(struct farm *f, const char *source, enum weather_sort sort, int64_t known_to,
                              struct arena *mem, struct weather_lot **lots, size_t *n, struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(f,
                       "SELECT number, sort, source, issued_utc_s, fetched_utc_s, expires_utc_s, address, etag,"
                       " last_modified, expires, credit, place, lat_deg, lon_deg, elevation_m, first_utc_s,"
                       " last_utc_s, n_hours FROM weather_lot WHERE (?1 IS NULL OR source = ?1) AND"
                       " (?2 IS NULL OR sort = ?2) AND number <= ?3 ORDER BY number DESC",
                       why);
    struct weather_lot *list = NULL;
    size_t count = 0, room = 0;
    enum status st = ST_OK;

    farm_bind_text(s, 1, source);
    farm_bind_text(s, 2, sort < WEATHER_SORTS ? weather_sort_name[sort] : NULL);
    if (s)
        (void)sqlite3_bind_int64(s, 3, known_to > 0 ? known_to : INT64_MAX);
    while (farm_row(f, s, &st, why)) {
        if (count == room) {
            struct weather_lot *more =
                room < MOST_LOTS ? ARENA_NEW(mem, struct weather_lot, room ? room * 2 : 16) : NULL;
            if (!more) {
                (void)sqlite3_reset(s);
                return refuse(ST_NO_MEMORY, why, "", "too many forecasts to list at once");
            }
            if (count)
                memcpy(more, list, count * sizeof *list);
            list = more;
            room = room ? room * 2 : 16;
        }
        read_lot(s, mem, &list[count++]);
    }
    if (st == ST_OK && arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "too many forecasts to list at once");
    if (st == ST_OK) {
        *lots = list;
        *n = count;
    }
    return st;
}

/* ---- small things to remember ---- */

enum status farm_remember(struct farm *f, const char *name, const char *bytes, size_t n, struct message *why)
{
    if (n > FARM_REMEMBER_BYTES)
        return refuse(ST_BAD_INPUT, why, "", "%zu bytes are too many to remember as %.40s", n, name);
    enum status st = farm_begin(f, why);
    if (st != ST_OK)
        return st;
    sqlite3_stmt *s =
        bytes ? farm_statement(f,
                               "INSERT INTO remember(name, bytes) VALUES(?1, ?2) ON CONFLICT(name) DO UPDATE"
                               " SET bytes = excluded.bytes",
                               why)
              : farm_statement(f, "DELETE FROM remember WHERE name = ?1", why);
    farm_bind_text(s, 1, name);
    if (s && bytes)
        (void)sqlite3_bind_blob(s, 2, n ? bytes : "", (int)n, SQLITE_STATIC);
    return farm_end(f, farm_run(f, s, why), why);
}

enum status farm_recall(struct farm *f, const char *name, struct arena *mem, const char **bytes, size_t *n,
                        struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT bytes FROM remember WHERE name = ?1", why);
    enum status st = ST_OK;
    const char *got = NULL;
    bool found = false;

    farm_bind_text(s, 1, name);
    while (farm_row(f, s, &st, why)) {
        const void *blob = sqlite3_column_blob(s, 0);
        found = true;
        *n = (size_t)sqlite3_column_bytes(s, 0);
        got = arena_bytes(mem, blob ? blob : "", *n);
    }
    if (st != ST_OK)
        return st;
    if (!found)
        return refuse(ST_NOT_FOUND, why, "", "nothing is remembered as %.40s", name);
    *bytes = got;
    return got ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");
}
