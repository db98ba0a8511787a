/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Weather into the farm file: from files, from the forecast services, from what was heard on the radio. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/sun/sun.h"
#include "desk/farm_words.h"
#include "desk/keeping.h"
#include "weather/fetch.h"
#include "weather/typed.h"
#include "weather/weather.h"

static struct weather_lot lot_of(enum weather_sort sort, const char *source, int64_t issued, const struct weather *w)
{
    return (struct weather_lot){ .sort = sort,
                                 .source = source,
                                 .issued_utc_s = issued,
                                 .expires_utc_s = w ? w->expires_utc_s : 0,
                                 .address = "",
                                 .etag = "",
                                 .last_modified = "",
                                 .expires = "",
                                 .credit = w ? w->credit : "",
                                 .place = w ? w->place : "",
                                 .lat_deg = w ? w->lat_deg : (double)NAN,
                                 .lon_deg = w ? w->lon_deg : (double)NAN,
                                 .elevation_m = w ? w->elevation_m : (double)NAN };
}

static struct weather_options options_of(const struct zone **zone)
{
    struct weather_options o = { .offset_s = zone_offset_of_local_s };
    /* the reader's callback has no const; the zone is never written to */
    memcpy(&o.zone, zone, sizeof o.zone);
    return o;
}

enum status keep_weather_file(struct farm *farm, const char *path, const struct keep_weather_how *how,
                              int64_t now_utc_s, struct arena *mem, struct kept_weather *kept, struct message *why)
{
    const struct zone *zone = NULL;
    struct weather w;
    struct weather filled;

    enum status st = desk_zone(farm, mem, &zone, why);
    struct weather_options o = options_of(&zone);
    o.columns = how->columns;
    o.where = how->where;
    o.has_at = true;
    o.at_utc_s = now_utc_s;
    if (st == ST_OK)
        st = weather_read_file(path, &o, mem, &w, why);
    if (st == ST_OK)
        st = weather_fill(&w, mem, &filled, why);
    if (st != ST_OK)
        return st;
    const bool all_past = filled.n > 0 && filled.hour[filled.n - 1].utc_s + HOUR_S <= now_utc_s;
    const enum weather_sort sort = !how->tell ? how->sort : all_past ? WEATHER_PAST : WEATHER_FORECAST;
    if (how->ahead && all_past)
        return refuse(ST_BAD_INPUT, why, "past",
                      "all hours of this file are past: as a forecast it says nothing; take it in as past weather");
    if (sort != WEATHER_FORECAST && !all_past && filled.n > 0 && w.format != WEATHER_EPW)
        return refuse(ST_BAD_INPUT, why, "as",
                      "%s has hours that are still to come: take it in as a forecast, or cut them off", path);
    const char *source = how->name ? how->name : w.n_sources ? w.source[0].name : weather_format_name[w.format];
    const bool forecast = sort == WEATHER_FORECAST;
    struct weather_lot lot = lot_of(sort, source,
                                    how->issued_utc_s            ? how->issued_utc_s
                                    : forecast && w.issued_utc_s ? w.issued_utc_s
                                    : forecast                   ? now_utc_s
                                                                 : 0,
                                    &w);
    const struct farm_meta meta = { .recorded_utc_s = now_utc_s };
    st = farm_weather_put(farm, &lot, filled.n, filled.hour, &meta, why);
    if (st != ST_OK)
        return st;
    *kept = (struct kept_weather){ .sort = sort,
                                   .n_hours = lot.n_hours,
                                   .first_utc_s = lot.first_utc_s,
                                   .last_utc_s = lot.last_utc_s,
                                   .source = source,
                                   .format = weather_format_name[w.format],
                                   .note = filled.note,
                                   .n_notes = filled.n_notes,
                                   .n_rejected = w.n_rejected };
    if (w.n_rejected_listed > 0)
        kept->first_rejected = arena_print(mem, "line %zu: %s", w.rejected[0].line, w.rejected[0].says);
    return ST_OK;
}

/* ---- fetching
 * ------------------------------------------------------------------------------------------------------------- */

struct good { /* a reply counts when it can be read */
    struct weather_options options;
    int64_t now_utc_s;
};

static enum status readable(void *own, enum fetch_part part, const char *bytes, size_t n, struct message *why)
{
    const struct good *g = own;
    struct arena mem;
    struct weather w;

    if (part == FETCH_POINT)
        return ST_OK;
    arena_open(&mem, 64u << 20);
    const enum status st = weather_read("the reply", bytes, n, &g->options, &mem, &w, why);
    arena_close(&mem);
    return st;
}

static enum status memory_of(struct farm *farm, const char *source, struct arena *mem, struct fetch_memory *m,
                             struct message *why)
{
    struct weather_lot *lots = NULL;
    size_t n = 0;
    const enum status st = farm_weather_lots(farm, source, WEATHER_FORECAST, 0, mem, &lots, &n, why);

    *m = (struct fetch_memory){ .not_before_utc_s = 0 };
    /* what is remembered between two fetches rests with the newest lot, in its address */
    if (st == ST_OK && n > 0 && *lots[0].address)
        (void)fetch_memory_read(lots[0].address, m);
    return st;
}

static enum status keep_part(struct farm *farm, enum fetch_service service, enum fetch_part part,
                             const struct fetch_result *r, const struct weather_options *o, int64_t now_utc_s,
                             struct arena *mem, struct text *report, struct message *why)
{
    struct weather w, filled;
    struct text memory;
    const char *source = arena_print(mem, "%s%s", fetch_service_name[service], part == FETCH_GRID ? " grid" : "");

    enum status st = weather_read(source, r->part[part].bytes, r->part[part].n_bytes, o, mem, &w, why);
    if (st == ST_OK)
        st = weather_fill(&w, mem, &filled, why);
    if (st != ST_OK)
        return st;
    text_open(&memory, 8192);
    fetch_memory_text(&r->memory, &memory);
    struct weather_lot lot = lot_of(WEATHER_FORECAST, source, w.issued_utc_s ? w.issued_utc_s : now_utc_s, &w);
    lot.fetched_utc_s = now_utc_s;
    lot.expires_utc_s = r->memory.page[part].expires_utc_s;
    lot.last_modified = r->memory.page[part].last_modified;
    lot.address = text_get(&memory);
    lot.credit = fetch_service_credit[service];
    const struct farm_meta meta = { .recorded_utc_s = now_utc_s };
    st = farm_weather_put(farm, &lot, filled.n, filled.hour, &meta, why);
    text_close(&memory);
    if (st == ST_OK)
        text_print(report, "%s: %zu hours kept.\n", source, lot.n_hours);
    return st;
}

static bool find_service(const char *name, enum fetch_service *service)
{
    for (int i = 0; i < FETCH_SERVICES; i++)
        if (strcmp(fetch_service_name[i], name) == 0) {
            *service = (enum fetch_service)i;
            return true;
        }
    return false;
}

/* The first source recorded that is a service, where none was named. */
static enum status from_record(struct farm *farm, struct arena *mem, const char **service, const char **base,
                               const char **contact, struct message *why)
{
    struct fact *f = NULL;
    size_t n = 0;
    enum fetch_service found;
    const enum status st = farm_facts(farm, fact_kind_find("weather_source"), 0, mem, &f, &n, why);

    for (size_t i = 0; i < n; i++) {
        const char *is = fact_text(f[i].kind, f[i].value, "is");
        if (!is || !find_service(is, &found) || fact_whole(f[i].kind, f[i].value, "unused", 0) == 1 ||
            (*service && strcmp(*service, is) != 0))
            continue;
        *service = is;
        if (!*base)
            *base = fact_text(f[i].kind, f[i].value, "address");
        if (!*contact)
            *contact = fact_text(f[i].kind, f[i].value, "contact");
        break;
    }
    return st;
}

enum status keep_weather_fetch(struct farm *farm, const struct keep_fetch_how *how, int64_t now_utc_s,
                               struct arena *mem, struct text *report, struct message *why)
{
    const char *service_name = how->service, *base = how->base, *contact = how->contact;
    enum fetch_service service = FETCH_MET_NORWAY_COMPACT;
    struct desk_place place;
    const struct zone *zone = NULL;
    struct fetch_memory memory;
    struct fetch_result r;

    enum status st = from_record(farm, mem, &service_name, &base, &contact, why);
    if (st == ST_OK && !service_name)
        return refuse(ST_BAD_INPUT, why, "service",
                      "no weather service is recorded; give --service us-national or met-norway, or record one: "
                      "leenest record weather-source --name forecast --is met-norway --contact you@example.org");
    if (st == ST_OK && !find_service(service_name, &service))
        return refuse(ST_BAD_INPUT, why, "service",
                      "unknown service \"%.40s\"; there are us-national, met-norway and met-norway-complete",
                      service_name);
    if (st == ST_OK && (!contact || !*contact))
        return refuse(ST_BAD_INPUT, why, "contact",
                      "the service wants to know who asks; give --contact with an address or web page of yours");
    if (st == ST_OK)
        st = desk_place(farm, 0, mem, &place, why);
    if (st == ST_OK)
        st = desk_zone(farm, mem, &zone, why);
    if (st == ST_OK)
        st = memory_of(farm, fetch_service_name[service], mem, &memory, why);
    if (st == ST_OK)
        st = fetch_begin(why);
    if (st != ST_OK)
        return st;
    struct good good = { .options = options_of(&zone), .now_utc_s = now_utc_s };
    const struct fetch_ask ask = { .service = service,
                                   .base = base,
                                   .contact = contact,
                                   .lat_deg = place.lat_deg,
                                   .lon_deg = place.lon_deg,
                                   .altitude_m = place.elevation_m,
                                   .now_utc_s = now_utc_s,
                                   .may_sleep = fetch_sleep,
                                   .good = readable,
                                   .own = &good,
                                   .plain_loopback = how->plain_loopback };
    st = fetch_forecast(&ask, &memory, mem, &r, why);
    for (size_t i = 0; i < r.n_notes && report; i++)
        text_print(report, "%s\n", r.note[i]);
    for (int p = FETCH_HOURLY; p < FETCH_PARTS && st == ST_OK; p++) {
        const char *source = arena_print(mem, "%s%s", fetch_service_name[service], p == FETCH_GRID ? " grid" : "");
        switch (r.part[p].outcome) {
        case FETCH_NEW:
            st = keep_part(farm, service, (enum fetch_part)p, &r, &good.options, now_utc_s, mem, report, why);
            break;
        case FETCH_UNCHANGED:
            st = farm_weather_seen(farm, source, now_utc_s, r.memory.page[p].expires_utc_s, "", why);
            text_print(report, "%s: nothing new since.\n", source);
            break;
        case FETCH_STILL_GOOD: text_print(report, "%s: what is kept is still fresh.\n", source); break;
        case FETCH_FAILED: text_print(report, "%s: %s; the last good one is kept.\n", source, r.part[p].says); break;
        case FETCH_NOT_ASKED: break;
        }
    }
    if (st == ST_OK && r.credit)
        text_print(report, "%s\n", r.credit);
    return st;
}

const char *keep_weather_credit(struct farm *farm, struct arena *mem)
{
    struct weather_lot *lots = NULL;
    struct message ignored;
    size_t n = 0;

    const enum status st = farm_weather_lots(farm, NULL, WEATHER_FORECAST, 0, mem, &lots, &n, &ignored);
    arena_heed(mem, st);
    if (st != ST_OK || n == 0)
        return NULL;
    return *lots[0].credit ? lots[0].credit : NULL;
}

/* ---- typed
 * ------------------------------------------------------------------------------------------------------------------ */

static void as_sentence(struct text *report, const char *note)
{
    if (!note[0])
        return;
    const bool small = note[0] >= 'a' && note[0] <= 'z';
    text_print(report, "%c%s.\n", small ? note[0] - 'a' + 'A' : note[0], note + 1);
}

enum status keep_weather_typed(struct farm *farm, const char *text, int64_t now_utc_s, size_t n_hours,
                               struct arena *mem, struct text *report, struct message *why)
{
    struct desk_place place;
    const struct zone *zone = NULL;
    struct typed t;
    struct hour *hours = NULL;
    const char **note = NULL;
    size_t n_notes = 0;
    const int64_t from = now_utc_s - now_utc_s % HOUR_S;

    enum status st = desk_place(farm, 0, mem, &place, why);
    if (st == ST_OK)
        st = desk_zone(farm, mem, &zone, why);
    if (st == ST_OK)
        st = typed_read(text, from, zone_offset_s(zone, now_utc_s), &t, why);
    if (st != ST_OK)
        return st;
    const struct sun_day day = sun_day(now_utc_s, place.lat_deg, place.lon_deg);
    const double length = day.has_rise && day.has_set  ? (double)(day.set_utc_s - day.rise_utc_s)
                          : day.state == SUN_ALWAYS_UP ? (double)DAY_S
                                                       : 0.0;
    st = typed_hours(&t, from, n_hours, day.transit_utc_s, length, mem, &hours, &note, &n_notes, why);
    if (st != ST_OK)
        return st;
    struct weather_lot lot = lot_of(WEATHER_TYPED, "typed by hand", now_utc_s, NULL);
    const struct farm_meta meta = { .recorded_utc_s = now_utc_s };
    st = farm_weather_put(farm, &lot, n_hours, hours, &meta, why);
    for (size_t i = 0; i < n_notes && st == ST_OK; i++)
        as_sentence(report, note[i]);
    if (st == ST_OK)
        text_print(report, "%zu hours kept.\n", lot.n_hours);
    return st;
}
