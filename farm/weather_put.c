/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Weather into the farm file.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/weather_own.h"

static const char *known(const char *text)
{
    return text ? text : "";
}

static int by_time(const void *a, const void *b)
{
    const struct hour *x = *(const struct hour *const *)a, *y = *(const struct hour *const *)b;

    if (x->utc_s != y->utc_s)
        return x->utc_s < y->utc_s ? -1 : 1;
    return x < y ? -1 : x > y; /* as given: the last of one moment wins */
}

/* Sorted, each moment once, a copy of ours. */
static enum status sorted(size_t n, const struct hour hours[], struct arena *mem, struct hours *out,
                          struct message *why)
{
    const struct hour **order = ARENA_NEW(mem, const struct hour *, n + 1);

    if (n > WEATHER_MOST_HOURS || !order)
        return refuse(ST_NO_MEMORY, why, "", "%zu hours of weather are too many at once", n);
    for (size_t i = 0; i < n; i++)
        order[i] = &hours[i];
    qsort(order, n, sizeof(const struct hour *), by_time);
    for (size_t i = 0; i < n; i++) {
        if (i + 1 < n && order[i + 1]->utc_s == order[i]->utc_s)
            continue;
        if (!weather_add_hour(out, order[i]))
            return refuse(ST_NO_MEMORY, why, "", "%zu hours of weather are too many at once", n);
        weather_no_minus_zero(&out->hour[out->n - 1]);
    }
    return ST_OK;
}

/* Hours that are there already, the very same, are left out. */
static enum status only_news(struct farm *f, const struct weather_lot *lot, struct hours *given, struct arena *mem,
                             struct message *why)
{
    struct hours there = { .mem = mem };
    size_t kept = 0, k = 0;

    if (given->n == 0)
        return ST_OK;
    const struct window window = { given->hour[0].utc_s, given->hour[given->n - 1].utc_s };
    const enum status st = weather_merged(f, lot->source, lot->sort, &window, 0, &there, why);
    for (size_t i = 0; st == ST_OK && i < given->n; i++) {
        while (k < there.n && there.hour[k].utc_s < given->hour[i].utc_s)
            k++;
        if (k >= there.n || !weather_same_hour(&there.hour[k], &given->hour[i]))
            given->hour[kept++] = given->hour[i];
    }
    if (st == ST_OK)
        given->n = kept;
    return st;
}

static enum status write_days(struct farm *f, int64_t lot, const struct hours *h, struct message *why)
{
    unsigned char *packed = malloc(PACK_BYTES);
    enum status st = packed ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");

    for (size_t i = 0; st == ST_OK && i < h->n;) {
        const int64_t day = weather_day_of(h->hour[i].utc_s);
        size_t n = 1;
        while (i + n < h->n && weather_day_of(h->hour[i + n].utc_s) == day)
            n++;
        if (n > PACK_HOURS) {
            st = refuse(ST_BAD_INPUT, why, "", "%zu reports of weather on one day; %d at most", n, PACK_HOURS);
            break;
        }
        const size_t bytes = weather_pack(day, n, &h->hour[i], packed);
        sqlite3_stmt *s = farm_statement(f, "INSERT INTO weather_day(lot, day, hours) VALUES(?1, ?2, ?3)", why);
        if (s) {
            (void)sqlite3_bind_int64(s, 1, lot);
            (void)sqlite3_bind_int64(s, 2, day);
            (void)sqlite3_bind_blob(s, 3, packed, (int)bytes, SQLITE_STATIC);
        }
        st = farm_run(f, s, why);
        i += n;
    }
    free(packed);
    return st;
}

static void bind_real(sqlite3_stmt *s, int at, double x)
{
    if (s && isfinite(x))
        (void)sqlite3_bind_double(s, at, x);
}

static enum status write_lot(struct farm *f, const struct weather_lot *lot, struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(f,
                       "INSERT INTO weather_lot(number, sort, source, issued_utc_s, fetched_utc_s, expires_utc_s,"
                       " address, etag, last_modified, expires, credit, place, lat_deg, lon_deg, elevation_m,"
                       " first_utc_s, last_utc_s, n_hours)"
                       " VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18)",
                       why);
    const struct {
        int at;
        int64_t value;
    } whole[] = {
        { 1, lot->number },       { 4, lot->issued_utc_s }, { 5, lot->fetched_utc_s },     { 6, lot->expires_utc_s },
        { 16, lot->first_utc_s }, { 17, lot->last_utc_s },  { 18, (int64_t)lot->n_hours },
    };

    for (size_t i = 0; s && i < COUNT(whole); i++)
        (void)sqlite3_bind_int64(s, whole[i].at, whole[i].value);
    farm_bind_text(s, 2, weather_sort_name[lot->sort]);
    farm_bind_text(s, 3, lot->source);
    farm_bind_text(s, 7, known(lot->address));
    farm_bind_text(s, 8, known(lot->etag));
    farm_bind_text(s, 9, known(lot->last_modified));
    farm_bind_text(s, 10, known(lot->expires));
    farm_bind_text(s, 11, known(lot->credit));
    farm_bind_text(s, 12, known(lot->place));
    bind_real(s, 13, lot->lat_deg);
    bind_real(s, 14, lot->lon_deg);
    bind_real(s, 15, lot->elevation_m);
    return farm_run(f, s, why);
}

static enum status new_lot(struct farm *f, struct weather_lot *lot, const struct hours *h, const struct farm_meta *meta,
                           struct message *why)
{
    char says[160], batch[FARM_UID];

    farm_new_uid(batch);
    (void)snprintf(says, sizeof says, "%s: %.100s, %zu hours", weather_sort_name[lot->sort], lot->source, h->n);
    const struct farm_entry entry = { FARM_WEATHER, "weather", batch, meta->batch ? meta->batch : batch,
                                      NULL,         says,      meta };
    enum status st = farm_journal(f, &entry, &lot->number, why);
    if (st == ST_OK)
        st = write_lot(f, lot, why);
    return st == ST_OK ? write_days(f, lot->number, h, why) : st;
}

/* The newest lot of the source: the same hours? then it has only been seen again. */
static enum status seen_again(struct farm *f, struct weather_lot *lot, const struct hours *h, struct arena *mem,
                              bool *yes, struct message *why)
{
    struct weather_lot *lots = NULL;
    struct hour *there = NULL;
    size_t n_lots = 0, n = 0;
    enum status st = farm_weather_lots(f, lot->source, lot->sort, 0, mem, &lots, &n_lots, why);

    *yes = false;
    if (st != ST_OK || n_lots == 0 || lots[0].n_hours != h->n || lots[0].issued_utc_s != lot->issued_utc_s)
        return st;
    st = farm_weather_of_lot(f, lots[0].number, lots[0].first_utc_s, lots[0].last_utc_s, mem, &there, &n, why);
    *yes = st == ST_OK && n == h->n;
    for (size_t i = 0; *yes && i < n; i++)
        *yes = weather_same_hour(&there[i], &h->hour[i]);
    if (*yes)
        lot->number = lots[0].number;
    return st;
}

static enum status write_seen(struct farm *f, const struct weather_lot *lot, struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(f,
                       "UPDATE weather_lot SET fetched_utc_s = ?2, expires_utc_s = ?3, etag = ?4, last_modified = ?5,"
                       " expires = ?6, address = ?7 WHERE number = ?1",
                       why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, lot->number);
        (void)sqlite3_bind_int64(s, 2, lot->fetched_utc_s);
        (void)sqlite3_bind_int64(s, 3, lot->expires_utc_s);
    }
    farm_bind_text(s, 4, known(lot->etag));
    farm_bind_text(s, 5, known(lot->last_modified));
    farm_bind_text(s, 6, known(lot->expires));
    farm_bind_text(s, 7, known(lot->address));
    return farm_run(f, s, why);
}

static enum status put_hours(struct farm *f, struct weather_lot *lot, struct hours *h, struct arena *mem,
                             const struct farm_meta *meta, struct message *why)
{
    const bool kept_whole = lot->sort == WEATHER_FORECAST || lot->sort == WEATHER_TYPED;
    bool again = false;

    enum status st = kept_whole ? seen_again(f, lot, h, mem, &again, why) : only_news(f, lot, h, mem, why);
    if (st != ST_OK)
        return st;
    lot->n_hours = h->n;
    lot->first_utc_s = h->n ? h->hour[0].utc_s : 0;
    lot->last_utc_s = h->n ? h->hour[h->n - 1].utc_s : 0;
    if (again)
        return write_seen(f, lot, why);
    return h->n ? new_lot(f, lot, h, meta, why) : ST_OK;
}

enum status farm_weather_put(struct farm *f, struct weather_lot *lot, size_t n, const struct hour hours[],
                             const struct farm_meta *meta, struct message *why)
{
    struct arena mem;
    struct hours h = { .mem = &mem };

    if (!lot->source || !*lot->source)
        return refuse(ST_BAD_INPUT, why, "source", "weather needs the name of its source");
    if (n == 0)
        return refuse(ST_BAD_INPUT, why, "", "there are no hours of weather to keep");
    const char *const texts[] = { lot->source,  lot->address, lot->etag, lot->last_modified,
                                  lot->expires, lot->credit,  lot->place };
    for (size_t i = 0; i < COUNT(texts); i++)
        if (texts[i] && (!words_clean(texts[i]) || strlen(texts[i]) > FACT_TEXT_BYTES))
            return refuse(ST_BAD_INPUT, why, "source",
                          "what goes with the weather of \"%.40s\" is not text, or too long", lot->source);
    for (size_t i = 0; i < n; i++)
        if (hours[i].utc_s < civil_days(1800, 1, 1) * DAY_S || hours[i].utc_s >= civil_days(2300, 1, 1) * DAY_S)
            return refuse(ST_BAD_INPUT, why, "", "hour %zu of the weather of \"%.40s\" lies in an impossible year", i,
                          lot->source);
    if (lot->fetched_utc_s == 0)
        lot->fetched_utc_s = farm_now();
    lot->number = 0;
    arena_open(&mem, WEATHER_WORK_BYTES);
    enum status st = sorted(n, hours, &mem, &h, why);
    if (st == ST_OK)
        st = farm_begin(f, why);
    if (st == ST_OK)
        st = farm_end(f, put_hours(f, lot, &h, &mem, meta, why), why);
    arena_close(&mem);
    return st;
}

enum status farm_weather_seen(struct farm *f, const char *source, int64_t fetched_utc_s, int64_t expires_utc_s,
                              const char *expires, struct message *why)
{
    enum status st = farm_begin(f, why);

    if (st != ST_OK)
        return st;
    sqlite3_stmt *s = farm_statement(f,
                                     "UPDATE weather_lot SET fetched_utc_s = ?2, expires_utc_s = ?3, expires = ?4"
                                     " WHERE number = (SELECT max(number) FROM weather_lot WHERE source = ?1)",
                                     why);
    farm_bind_text(s, 1, source);
    if (s) {
        (void)sqlite3_bind_int64(s, 2, fetched_utc_s);
        (void)sqlite3_bind_int64(s, 3, expires_utc_s);
    }
    farm_bind_text(s, 4, known(expires));
    st = farm_run(f, s, why);
    if (st == ST_OK && sqlite3_changes(f->db) == 0)
        st = refuse(ST_NOT_FOUND, why, "source", "no weather of \"%.60s\" is kept", source);
    return farm_end(f, st, why);
}
