/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "weather/series.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/blend.h"
#include "core/base/civil.h"

const char *const series_rank_name[SERIES_RANKS] = { "own reading", "observed", "forecast", "past years" };
const char *const series_field_name[SERIES_FIELDS] = {
    "temperature", "dew point", "humidity", "wind", "gusts",    "wind direction",
    "sky cover",   "rain",      "snow",     "sun",  "pressure",
};

enum {
    MOST_HOURS = 8784,
    MOST_SOURCES = 1000,
    NOTE_ROOM = 4 * SERIES_FIELDS,
    BRIDGE_H = 6,
    SKY_CARRY_H = 3,
    DRY_GAP_H = 3
};
static const double sky_unknown_oktas = 4.0;

/* The fields that are one number each; the others (sun) are handled beside it. */
static double *figure(struct hour *h, enum series_field f)
{
    switch (f) {
    case SERIES_TEMP: return &h->temp_c;
    case SERIES_DEW_POINT: return &h->dew_point_c;
    case SERIES_RH: return &h->rh;
    case SERIES_WIND: return &h->wind_mps;
    case SERIES_GUST: return &h->gust_mps;
    case SERIES_WIND_FROM: return &h->wind_from_deg;
    case SERIES_CLOUD: return &h->cloud_oktas;
    case SERIES_RAIN: return &h->rain_mm;
    case SERIES_SNOW: return &h->snow_cm;
    case SERIES_SUN: return &h->ghi_w_m2;
    case SERIES_PRESSURE: return &h->pressure_kpa;
    case SERIES_FIELDS: break;
    }
    return NULL;
}

/* A variable wind is a known direction: nothing of lower rank may put a bearing in its place. A sky that was already
 * filled by rule says nothing: another source may know it, and else the same rule is used here. */
static bool says(const struct hour *h, enum series_field f)
{
    struct hour copy = *h;

    if (f == SERIES_WIND_FROM)
        return h->wind_variable || h->wind_mps == 0.0 || !isnan(h->wind_from_deg);
    if (f == SERIES_CLOUD && (h->filled & HOUR_CLOUD))
        return false;
    return !isnan(*figure(&copy, f));
}

static void take(struct series_hour *into, const struct hour *h, enum series_field f, int source)
{
    struct hour copy = *h;

    *figure(&into->is, f) = *figure(&copy, f);
    into->from[f] = (short)source;
    into->is.filled = (into->is.filled & ~(1u << f)) | (h->filled & (1u << f));
    switch (f) {
    case SERIES_TEMP: into->is.source = source; break;
    case SERIES_WIND_FROM: into->is.wind_variable = h->wind_variable; break;
    case SERIES_RAIN:
        into->is.rain_trace = h->rain_trace;
        into->is.rain_probability = h->rain_probability;
        into->is.snow = h->snow;
        into->is.risk = h->risk;
        break;
    case SERIES_SUN:
        into->is.dni_w_m2 = h->dni_w_m2;
        into->is.dhi_w_m2 = h->dhi_w_m2;
        break;
    case SERIES_DEW_POINT:
    case SERIES_RH:
    case SERIES_WIND:
    case SERIES_GUST:
    case SERIES_CLOUD:
    case SERIES_SNOW:
    case SERIES_PRESSURE:
    case SERIES_FIELDS: break;
    }
}

/* A gust goes with its own mean wind, and dew point and humidity are one measurement: never half of each source. */
static bool waits_for(const struct series_hour *into, enum series_field f, int source)
{
    switch (f) {
    case SERIES_GUST: return into->from[SERIES_WIND] >= 0 && into->from[SERIES_WIND] != source;
    case SERIES_DEW_POINT: return into->from[SERIES_RH] >= 0 && into->from[SERIES_RH] != source;
    case SERIES_RH: return into->from[SERIES_DEW_POINT] >= 0 && into->from[SERIES_DEW_POINT] != source;
    case SERIES_TEMP:
    case SERIES_WIND:
    case SERIES_WIND_FROM:
    case SERIES_CLOUD:
    case SERIES_RAIN:
    case SERIES_SNOW:
    case SERIES_SUN:
    case SERIES_PRESSURE:
    case SERIES_FIELDS: break;
    }
    return false;
}

static void offer(struct series_hour *into, const struct hour *h, int source)
{
    for (int f = 0; f < SERIES_FIELDS; f++)
        if (into->from[f] == SERIES_NOT_KNOWN && says(h, (enum series_field)f) &&
            !waits_for(into, (enum series_field)f, source))
            take(into, h, (enum series_field)f, source);
}

/* ---- order of the sources ---- */

struct turn {
    const struct series_source *source;
    int index;
};

static int by_rank(const void *a, const void *b)
{
    const struct turn *x = a, *y = b;

    if (x->source->rank != y->source->rank)
        return x->source->rank < y->source->rank ? -1 : 1;
    if (x->source->made_utc_s != y->source->made_utc_s)
        return x->source->made_utc_s > y->source->made_utc_s ? -1 : 1;
    return x->index < y->index ? -1 : 1;
}

/* Where an hour of a source falls in the window; n_hours: outside. */
static size_t place(int64_t utc_s, int64_t from_utc_s, size_t n_hours)
{
    const int64_t after_s = utc_s - from_utc_s;

    return after_s < 0 || after_s / HOUR_S >= (int64_t)n_hours ? n_hours : (size_t)(after_s / HOUR_S);
}

static void lay_source(const struct turn *t, int64_t from_utc_s, struct series *s, bool beyond_only)
{
    for (size_t i = 0; i < t->source->n_hours; i++) {
        const struct hour *h = &t->source->hours[i];
        const size_t at = place(h->utc_s, from_utc_s, s->n_hours);

        if (at < s->n_hours && (!beyond_only || at >= s->n_firm))
            offer(&s->hours[at], h, t->index);
    }
}

static bool anything_said(const struct series_hour *h)
{
    return h->from[SERIES_TEMP] != SERIES_NOT_KNOWN || h->from[SERIES_WIND] != SERIES_NOT_KNOWN;
}

/* ---- rules for holes ---- */

static void fill(struct series *s, size_t i, enum series_field f, double value)
{
    *figure(&s->hours[i].is, f) = value;
    s->hours[i].from[f] = SERIES_BY_RULE;
    s->hours[i].is.filled |= 1u << f;
    s->n_filled[f]++;
}

/* The next hour at or after i that says f; n: none. */
static size_t next_known(const struct series *s, size_t i, size_t n, enum series_field f)
{
    while (i < n && s->hours[i].from[f] == SERIES_NOT_KNOWN)
        i++;
    return i;
}

static void bridge(struct series *s, size_t begin, size_t n, enum series_field f)
{
    for (size_t i = next_known(s, begin, n, f); i < n;) {
        const size_t next = next_known(s, i + 1, n, f);
        const double a = *figure(&s->hours[i].is, f), b = next < n ? *figure(&s->hours[next].is, f) : (double)NAN;

        for (size_t k = i + 1; k < next && next < n && next - i <= BRIDGE_H; k++) {
            const double w = (double)(k - i) / (double)(next - i);

            if (f != SERIES_WIND_FROM)
                fill(s, k, f, a + w * (b - a));
            else if (!isnan(a) && !isnan(b) && s->hours[k].is.wind_mps > 0.0)
                fill(s, k, f, blend_deg(a, b, w));
        }
        i = next;
    }
}

static void fill_sky(struct series *s, size_t begin, size_t n)
{
    size_t carried = SKY_CARRY_H;
    double last = NAN;

    for (size_t i = begin; i < n; i++) {
        if (s->hours[i].from[SERIES_CLOUD] != SERIES_NOT_KNOWN) {
            last = s->hours[i].is.cloud_oktas;
            carried = 0;
            continue;
        }
        fill(s, i, SERIES_CLOUD, !isnan(last) && carried < SKY_CARRY_H ? last : sky_unknown_oktas);
        carried++;
    }
}

static void fill_dry(struct series *s, size_t begin, size_t n)
{
    for (size_t i = next_known(s, begin, n, SERIES_RAIN); i < n;) {
        const size_t next = next_known(s, i + 1, n, SERIES_RAIN);

        if (next < n && next - i <= DRY_GAP_H && s->hours[i].is.rain_mm == 0.0 && s->hours[next].is.rain_mm == 0.0)
            for (size_t k = i + 1; k < next; k++)
                fill(s, k, SERIES_RAIN, 0.0);
        i = next;
    }
}

/* A figure read at another temperature: humidity travels, dew point does not. Never a dew point above the air. */
static void settle_moisture(struct series *s, size_t i)
{
    struct series_hour *h = &s->hours[i];

    if (isnan(h->is.temp_c) || h->from[SERIES_DEW_POINT] == SERIES_NOT_KNOWN ||
        h->from[SERIES_DEW_POINT] == h->from[SERIES_TEMP])
        return;
    if (h->from[SERIES_RH] != SERIES_NOT_KNOWN) {
        h->is.dew_point_c = NAN;
        h->from[SERIES_DEW_POINT] = SERIES_NOT_KNOWN;
        h->is.filled &= ~(unsigned)HOUR_DEW_POINT;
    } else if (h->is.dew_point_c > h->is.temp_c) {
        fill(s, i, SERIES_DEW_POINT, h->is.temp_c);
    }
}

static void fill_holes(struct series *s, size_t begin, size_t n)
{
    static const enum series_field straight[] = {
        SERIES_TEMP, SERIES_DEW_POINT, SERIES_RH, SERIES_WIND, SERIES_GUST, SERIES_WIND_FROM, SERIES_PRESSURE
    }; /* wind before its direction */

    for (size_t k = 0; k < COUNT(straight); k++)
        bridge(s, begin, n, straight[k]);
    fill_sky(s, begin, n);
    fill_dry(s, begin, n);
    for (size_t i = begin; i < n; i++)
        settle_moisture(s, i);
}

/* ---- beyond the forecast ---- */

static void blend_end(struct series *s, const struct hour *past_last)
{
    const size_t end = s->n_firm;

    if (end == 0)
        return;
    for (size_t k = 1; k <= BLEND_HOURS && end + k - 1 < s->n_hours; k++) {
        struct series_hour *h = &s->hours[end + k - 1];
        const struct hour past = h->is;

        if (h->from[SERIES_TEMP] < 0)
            continue;
        h->is = blend_hour(&s->hours[end - 1].is, past_last, &past, (long)k);
        for (int f = 0; f < SERIES_FIELDS; f++) {
            struct hour before = past;
            const double was = *figure(&before, (enum series_field)f), now = *figure(&h->is, (enum series_field)f);

            if (now < was || now > was)
                h->from[f] = SERIES_BLENDED;
        }
        h->is.source = h->from[SERIES_TEMP];
        s->n_blended++;
    }
}

static bool any_past(const struct turn *turn, size_t n_sources)
{
    return n_sources > 0 && turn[n_sources - 1].source->rank == SERIES_PAST_YEARS; /* sorted: they come last */
}

/* The past source's own word on the last hour of the forecast, so that only the difference is carried over. */
static const struct hour *past_at(const struct turn *turn, size_t n_sources, int64_t utc_s)
{
    for (size_t t = 0; t < n_sources; t++) {
        if (turn[t].source->rank != SERIES_PAST_YEARS)
            continue;
        for (size_t i = 0; i < turn[t].source->n_hours; i++)
            if (turn[t].source->hours[i].utc_s / HOUR_S == utc_s / HOUR_S && !isnan(turn[t].source->hours[i].temp_c))
                return &turn[t].source->hours[i];
    }
    return NULL;
}

/* ---- what is said about it ---- */

static enum status say_all(struct series *s, struct arena *mem, struct message *why)
{
    const char **note = ARENA_NEW(mem, const char *, NOTE_ROOM);

    for (int f = 0; note && f < SERIES_FIELDS; f++) {
        if (s->n_filled[f] > 0)
            note[s->n_notes++] = arena_print(
                mem, "%s: not given in %zu of %zu hours; %s", series_field_name[f], s->n_filled[f], s->n_hours,
                f == SERIES_CLOUD ? "the last one was carried for at most 3 h, else half cloud was taken"
                                  : "filled from the hours beside them");
        if (s->n_missing[f] > 0 && (f == SERIES_TEMP || f == SERIES_WIND || f == SERIES_RAIN || f == SERIES_WIND_FROM))
            note[s->n_notes++] = arena_print(mem, "%s: not known in %zu of %zu hours", series_field_name[f],
                                             s->n_missing[f], s->n_hours);
    }
    if (note && s->n_missing[SERIES_RH] > 0)
        note[s->n_notes++] =
            arena_print(mem, "humidity: not known in %zu of %zu hours", s->n_missing[SERIES_RH], s->n_hours);
    if (note && s->n_firm < s->n_hours)
        note[s->n_notes++] = arena_print(
            mem, "the last %zu of %zu hours lie beyond the forecast%s", s->n_hours - s->n_firm, s->n_hours,
            s->hours[s->n_hours - 1].from[SERIES_TEMP] == SERIES_NOT_KNOWN ? "; no past years are at hand for them"
                                                                           : " and lean on past years");
    s->note = note;
    if (arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "%zu hours are more than fits in memory", s->n_hours);
    return ST_OK;
}

/* A humidity stands in for a dew point and the other way: only both missing is a hole. A direction is not missing in
 * calm or variable wind. */
static void count_missing(struct series *s)
{
    for (size_t i = 0; i < s->n_hours; i++) {
        const struct series_hour *h = &s->hours[i];

        for (int f = 0; f < SERIES_FIELDS; f++) {
            bool missing = h->from[f] == SERIES_NOT_KNOWN;

            if (f == SERIES_RH || f == SERIES_DEW_POINT)
                missing = h->from[SERIES_RH] == SERIES_NOT_KNOWN && h->from[SERIES_DEW_POINT] == SERIES_NOT_KNOWN;
            if (f == SERIES_WIND_FROM)
                missing = missing && h->is.wind_mps > 0.0;
            s->n_missing[f] += missing;
        }
    }
}

static enum status series_blank(int64_t from_utc_s, size_t n_hours, struct arena *mem, struct series *s,
                                struct message *why)
{
    *s = (struct series){ .n_hours = n_hours, .hours = ARENA_NEW(mem, struct series_hour, n_hours) };
    if (!s->hours)
        return refuse(ST_NO_MEMORY, why, "", "%zu hours are more than fits in memory", n_hours);
    for (size_t i = 0; i < n_hours; i++) {
        s->hours[i].is = hour_unknown(from_utc_s + (int64_t)i * HOUR_S);
        s->hours[i].is.source = SERIES_NOT_KNOWN;
        for (int f = 0; f < SERIES_FIELDS; f++)
            s->hours[i].from[f] = SERIES_NOT_KNOWN;
    }
    return ST_OK;
}

static void lay_all(size_t n_sources, const struct turn turn[], int64_t from_utc_s, struct series *s)
{
    for (size_t t = 0; t < n_sources; t++)
        if (turn[t].source->rank != SERIES_PAST_YEARS)
            lay_source(&turn[t], from_utc_s, s, false);
    for (size_t i = 0; i < s->n_hours; i++)
        if (anything_said(&s->hours[i]))
            s->n_firm = i + 1;
    for (size_t t = 0; t < n_sources; t++)
        if (turn[t].source->rank == SERIES_PAST_YEARS)
            lay_source(&turn[t], from_utc_s, s, true);
}

static int64_t newest_used(const struct series *s, const struct series_source sources[])
{
    int64_t newest_utc_s = 0;

    for (size_t i = 0; i < s->n_hours; i++) {
        const int from = s->hours[i].from[SERIES_TEMP];

        if (from >= 0 && sources[from].rank == SERIES_FORECAST && sources[from].made_utc_s > newest_utc_s)
            newest_utc_s = sources[from].made_utc_s;
    }
    return newest_utc_s;
}

enum status series_merge(int64_t from_utc_s, size_t n_hours, size_t n_sources, const struct series_source sources[],
                         struct arena *mem, struct series *out, struct message *why)
{
    struct series s;
    struct turn *turn;

    if (from_utc_s % HOUR_S != 0)
        return refuse(ST_BAD_INPUT, why, "from", "the hours begin between two full hours; begin on a full hour");
    if (n_hours < 1 || n_hours > MOST_HOURS)
        return refuse(ST_BAD_INPUT, why, "hours", "%zu hours were asked for; ask for 1 to %d", n_hours, MOST_HOURS);
    if (n_sources > MOST_SOURCES)
        return refuse(ST_BAD_INPUT, why, "sources", "%zu sources of weather are too many; give at most %d", n_sources,
                      MOST_SOURCES);
    turn = ARENA_NEW(mem, struct turn, n_sources + 1);
    if (!turn)
        return refuse(ST_NO_MEMORY, why, "", "%zu sources of weather are more than fits in memory", n_sources);
    if (series_blank(from_utc_s, n_hours, mem, &s, why) != ST_OK)
        return ST_NO_MEMORY;
    for (size_t t = 0; t < n_sources; t++)
        turn[t] = (struct turn){ &sources[t], (int)t };
    qsort(turn, n_sources, sizeof turn[0], by_rank);
    lay_all(n_sources, turn, from_utc_s, &s);
    s.newest_forecast_utc_s = newest_used(&s, sources);
    fill_holes(&s, 0, s.n_firm);
    if (any_past(turn, n_sources)) /* without, the hours beyond stay not known: no sky is made up for them */
        fill_holes(&s, s.n_firm, n_hours);
    if (s.n_firm > 0 && s.n_firm < n_hours)
        blend_end(&s, past_at(turn, n_sources, s.hours[s.n_firm - 1].is.utc_s));
    count_missing(&s);
    if (say_all(&s, mem, why) != ST_OK)
        return ST_NO_MEMORY;
    *out = s;
    return ST_OK;
}

struct hour *series_plain(const struct series *s, struct arena *mem)
{
    struct hour *h = ARENA_NEW(mem, struct hour, s->n_hours);

    for (size_t i = 0; h && i < s->n_hours; i++)
        h[i] = s->hours[i].is;
    return h;
}

const char *series_from_name(int from, size_t n_sources, const struct series_source sources[])
{
    if (from == SERIES_NOT_KNOWN)
        return "not known";
    if (from == SERIES_BY_RULE)
        return "by rule";
    if (from == SERIES_BLENDED)
        return "between forecast and past years";
    return from >= 0 && (size_t)from < n_sources ? sources[from].name : "not known";
}
