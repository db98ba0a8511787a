/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A fresh farm file for one test, and facts written into it the way a person types them.
 *
 *     struct farm_case c;
 *     case_open(&c);
 *     case_record(&c, "sow", "name=Bramble", NULL);
 *     case_fold(&c, "2026-01-22T15:40", &herd);
 *     case_close(&c);
 */
#ifndef TESTS_DESK_FARM_CASE_H
#define TESTS_DESK_FARM_CASE_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "core/base/civil.h"
#include "core/base/hour.h"
#include "desk/herd.h"
#include "desk/keeping.h"
#include "desk/question.h"
#include "farm/weather_store.h"

struct farm_case {
    char path[256];
    struct farm *farm;
    struct arena mem;
    char uid[FARM_UID]; /* of the fact recorded last */
};

static inline void case_path(char path[static 256])
{
    const char *folder = getenv("TMPDIR");
    (void)snprintf(path, 256, "%s/leenest-case-%ld-XXXXXX", folder && *folder ? folder : "/tmp", (long)getpid());
    const int fd = mkstemp(path);
    assert_true(fd >= 0);
    (void)close(fd);
    (void)unlink(path);
}

/* The farm lies at 54.6 N 2.4 W, Europe/London, metric, unless `farm` says otherwise (pairs as for case_record, NULL at
 * the end). */
static inline void case_open_empty(struct farm_case *c)
{
    struct message why = { "", "" };

    *c = (struct farm_case){ .farm = NULL };
    case_path(c->path);
    arena_open(&c->mem, (size_t)1 << 29);
    if (farm_create(c->path, NULL, &c->farm, &why) != ST_OK)
        fail_msg("%s", why.text);
}

/* As a person types it; gives the status. Pairs "flag=text", NULL at the end. `corrects`: uid or NULL. */
static inline enum status case_say_v(struct farm_case *c, const char *kind, const char *corrects, const char *recorded,
                                     va_list pairs, struct message *why)
{
    struct said said[32];
    size_t n = 0, outs = 0;
    struct farm_outcome *out = NULL;
    struct civil_text at = { 0 };

    if (!civil_read(recorded, &at))
        fail_msg("%s is no moment", recorded);
    for (const char *pair = va_arg(pairs, const char *); pair; pair = va_arg(pairs, const char *)) {
        const char *equals = strchr(pair, '=');
        assert_non_null(equals);
        char *field = arena_get(&c->mem, (size_t)(equals - pair) + 1, 1);
        assert_non_null(field);
        memcpy(field, pair, (size_t)(equals - pair));
        said[n++] = (struct said){ field, equals + 1 };
    }
    const struct farm_meta meta = { .who = "Wenna", .replaces = corrects, .recorded_utc_s = civil_seconds(&at.at) };
    const enum status st = keep_record(c->farm, kind, n, said, &meta, civil_seconds(&at.at), &c->mem, &out, &outs, why);
    if (st == ST_OK)
        memcpy(c->uid, out[0].uid, FARM_UID);
    return st;
}

#define CASE_RECORDED "2026-06-01T12:00" /* when the facts of a test were written down, unless it says otherwise */

static inline void case_record(struct farm_case *c, const char *kind, ...)
{
    struct message why = { "", "" };
    va_list pairs;

    va_start(pairs, kind);
    const enum status st = case_say_v(c, kind, NULL, CASE_RECORDED, pairs, &why);
    va_end(pairs);
    if (st != ST_OK)
        fail_msg("record %s: %s", kind, why.text);
}

static inline void case_correct(struct farm_case *c, const char *uid, const char *kind, ...)
{
    struct message why = { "", "" };
    va_list pairs;

    va_start(pairs, kind);
    const enum status st = case_say_v(c, kind, uid, CASE_RECORDED, pairs, &why);
    va_end(pairs);
    if (st != ST_OK)
        fail_msg("correct %s: %s", kind, why.text);
}

static inline void case_open(struct farm_case *c)
{
    case_open_empty(c);
    case_record(c, "farm", "name=Larkmoor", "lat=54.62", "lon=-2.41", "zone=Europe/London", NULL);
}

/* The farm at another place, each as it is typed. */
static inline void case_open_at(struct farm_case *c, const char *lat, const char *lon, const char *zone)
{
    char words[3][48];

    case_open_empty(c);
    (void)snprintf(words[0], sizeof words[0], "lat=%s", lat);
    (void)snprintf(words[1], sizeof words[1], "lon=%s", lon);
    (void)snprintf(words[2], sizeof words[2], "zone=%s", zone);
    case_record(c, "farm", "name=Larkmoor", words[0], words[1], words[2], NULL);
}

static inline void case_close(struct farm_case *c)
{
    char beside[300];

    farm_close(c->farm);
    arena_close(&c->mem);
    (void)unlink(c->path);
    (void)snprintf(beside, sizeof beside, "%s-journal", c->path);
    (void)unlink(beside);
}

static inline int64_t case_moment(const char *text)
{
    struct civil_text t = { 0 };
    if (!civil_read(text, &t))
        fail_msg("%s is no moment", text);
    return civil_seconds(&t.at) - (t.has_offset ? t.offset_s : 0);
}

/* An overcast hour with a west wind of 4 m/s; nothing else is known of it. */
static inline struct hour case_hour(int64_t utc_s, double temp_c, double rain_mm)
{
    struct hour h = hour_unknown(utc_s);

    h.temp_c = temp_c;
    h.rh = 0.85;
    h.wind_mps = 4.0;
    h.wind_from_deg = 270.0;
    h.cloud_oktas = 8.0;
    h.rain_mm = rain_mm;
    return h;
}

/* Hours of a source as they come from it, made at that moment. */
static inline void case_put_hours(struct farm_case *c, enum weather_sort sort, const char *source, int64_t made_utc_s,
                                  size_t n, const struct hour hours[])
{
    struct weather_lot lot = { .sort = sort,
                               .source = source,
                               .issued_utc_s = made_utc_s,
                               .fetched_utc_s = made_utc_s,
                               .address = "",
                               .etag = "",
                               .last_modified = "",
                               .expires = "",
                               .credit = "",
                               .place = "",
                               .lat_deg = NAN,
                               .lon_deg = NAN,
                               .elevation_m = NAN };
    const struct farm_meta meta = { .who = "Wenna", .recorded_utc_s = made_utc_s };
    struct message why = { "", "" };

    if (farm_weather_put(c->farm, &lot, n, hours, &meta, &why) != ST_OK)
        fail_msg("%s: %s", source, why.text);
}

static inline void case_fold_to(struct farm_case *c, const char *at, int64_t known_to, struct herd *herd)
{
    struct message why = { "", "" };
    if (herd_fold(c->farm, case_moment(at), known_to, &c->mem, herd, &why) != ST_OK)
        fail_msg("fold: %s", why.text);
}

/* Moments without an offset are UTC; in these tests the farm's clock is Europe/London's, the same in winter. */
static inline void case_fold(struct farm_case *c, const char *at, struct herd *herd)
{
    case_fold_to(c, at, 0, herd);
}

static inline const struct herd_sow *case_sow(const struct herd *h, const char *name)
{
    size_t i = 0;
    while (i < h->n_sows && strcmp(h->sows[i].name, name) != 0)
        i++;
    if (i == h->n_sows)
        fail_msg("%s is not there", name);
    return &h->sows[i];
}

static inline const struct herd_site *case_site(const struct herd *h, const char *name)
{
    size_t i = 0;
    while (i < h->n_sites && strcmp(h->sites[i].name, name) != 0)
        i++;
    if (i == h->n_sites)
        fail_msg("%s is not there", name);
    return &h->sites[i];
}

static inline void case_near(double got, double want, double within, const char *words)
{
    if (!(got >= want - within && got <= want + within))
        fail_msg("%s: want %.10g, got %.10g (within %g)", words, want, got, within);
}

#endif
