/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/reckon/weather_in.h"

#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/reckon/reckon.h"

/* A date alone names a whole day here, not its noon: `noon` -> its first or last second by the zone's clock. */
static int64_t edge_of_day(const struct zone *zone, const char *text, int64_t noon_utc_s, bool end)
{
    struct civil_text t;
    int64_t first, second;

    if (!civil_read(text, &t) || t.has_time)
        return noon_utc_s;
    const int64_t midnight_s = (civil_days(t.at.year, t.at.month, t.at.day) + end) * DAY_S;
    if (t.has_offset)
        return midnight_s - t.offset_s - end;
    (void)zone_from_local(zone, midnight_s, &first, &second);
    return end ? second - 1 : first;
}

static enum status options_of(const struct asked *q, struct weather_options *opt, struct message *why)
{
    *opt = (struct weather_options){
        .columns = given_text(q, WIN_COLUMNS),
        .where = given_text(q, WIN_WHERE),
        .has_at = given_is(q, WIN_AT),
        .has_from = given_is(q, WIN_FROM),
        .has_to = given_is(q, WIN_TO),
        .offset_s = zone_offset_of_local_s,
        .zone = (void *)(uintptr_t)q->zone,
    };
    if (opt->has_at)
        opt->at_utc_s = given_when(q, WIN_AT);
    if (opt->has_from)
        opt->from_utc_s = edge_of_day(q->zone, given_text(q, WIN_FROM), given_when(q, WIN_FROM), false);
    if (opt->has_to)
        opt->to_utc_s = edge_of_day(q->zone, given_text(q, WIN_TO), given_when(q, WIN_TO), true);
    if (opt->has_from && opt->has_to && opt->to_utc_s < opt->from_utc_s)
        return refuse(ST_BAD_INPUT, why, "to", "--to is before --from; give a later time");
    return ST_OK;
}

enum status weather_in_read(const struct asked *q, struct weather *w, struct message *why)
{
    const struct given *files = &q->given[WIN_WEATHER];
    struct weather *part = ARENA_NEW(q->mem, struct weather, files->n);
    struct weather_options opt;
    enum status st = options_of(q, &opt, why);

    if (!part)
        return refuse(ST_NO_MEMORY, why, "weather", "too many weather files");
    for (size_t i = 0; st == ST_OK && i < files->n; i++)
        st = weather_read_file(files->text[i], &opt, q->mem, &part[i], why);
    if (st == ST_OK)
        st = weather_join(part, files->n, q->mem, w, why);
    if (st == ST_OK && w->n == 0)
        st = refuse(ST_BAD_INPUT, why, "weather", "--weather: no hour is left to reckon with%s",
                    opt.has_from || opt.has_to ? "; give an earlier --from or a later --to"
                                               : "; give a file that has some");
    return st;
}

enum status weather_in_read_once(const struct asked *q, struct weather *w, struct message *why)
{
    const enum status st = weather_in_read(q, w, why);

    for (size_t i = 1; st == ST_OK && i < w->n; i++)
        if (w->hour[i].utc_s == w->hour[i - 1].utc_s)
            return refuse(ST_BAD_INPUT, why, "weather", "--weather: %s and %s give the same hours; keep one of them%s",
                          w->source[w->hour[i - 1].source].name, w->source[w->hour[i].source].name,
                          w->format == WEATHER_COLUMNS_CSV ? " with --where HEADER=VALUE" : "");
    return st;
}

int weather_in_standard_s(const struct asked *q, const struct weather *w)
{
    return w->n ? zone_standard_offset_s(q->zone, w->hour[0].utc_s) : 0;
}

bool weather_in_month(const struct hour *h, int standard_s, unsigned months)
{
    return months == 0 || (months >> (civil_from_seconds(h->utc_s + standard_s).month - 1) & 1u);
}

static void answer_rejected(const struct weather *w, struct answer *a)
{
    struct answer *list = answer_list(a, "rejected");

    for (size_t i = 0; i < w->n_rejected_listed; i++) {
        const struct weather_rejected *r = &w->rejected[i];
        struct answer *row = answer_item(list);
        if (r->line)
            answer_whole(row, "line", (int64_t)r->line);
        else
            answer_null(row, "line", NULL);
        answer_text(row, "field", r->field && *r->field ? r->field : NULL);
        answer_text(row, "says", r->says);
    }
    answer_whole(a, "rejected_count", (int64_t)w->n_rejected);
}

void weather_in_answer(const struct weather *w, struct answer *a)
{
    answer_text(a, "format", weather_format_name[w->format]);
    answer_text(a, "place", w->place && *w->place ? w->place : NULL);
    answer_real(a, "lat_deg", w->lat_deg);
    answer_real(a, "lon_deg", w->lon_deg);
    answer_real(a, "elevation_m", w->elevation_m);
    struct answer *sources = answer_list(a, "sources");
    for (size_t i = 0; i < w->n_sources; i++)
        answer_words(sources, w->source[i].name);
    answer_text(a, "credit", w->credit && *w->credit ? w->credit : NULL);
    answer_whole(a, "rows", (int64_t)w->rows);
    answer_whole(a, "doubles", (int64_t)w->doubles);
    answer_whole(a, "calm", (int64_t)w->calm);
    answer_whole(a, "variable", (int64_t)w->variable);
    answer_whole(a, "trace", (int64_t)w->trace);
    struct answer *missing = answer_object(a, "missing");
    for (int f = 0; f < WF_END; f++)
        answer_whole(missing, weather_field_name[f], (int64_t)w->missing[f]);
    answer_rejected(w, a);
    struct answer *notes = answer_list(a, "notes");
    for (size_t i = 0; i < w->n_notes; i++)
        answer_words(notes, w->note[i]);
}

/* ---- months ---- */

static int month_of(const char *text, size_t n)
{
    static const char *const name[12] = { "january", "february", "march",     "april",   "may",      "june",
                                          "july",    "august",   "september", "october", "november", "december" };
    char word[16];
    int64_t number = 0;

    if (n == 0 || n >= sizeof word)
        return 0;
    for (size_t i = 0; i < n; i++)
        word[i] = (char)(text[i] >= 'A' && text[i] <= 'Z' ? text[i] + ('a' - 'A') : text[i]);
    word[n] = '\0';
    if (read_whole(word, &number))
        return number >= 1 && number <= 12 ? (int)number : 0;
    for (int m = 0; m < 12 && n >= 3; m++)
        if (strncmp(name[m], word, n) == 0)
            return m + 1;
    return 0;
}

enum status months_read(const char *text, unsigned *months, struct message *why)
{
    unsigned got = 0;

    for (const char *s = text; *s || s == text;) {
        const size_t n = strcspn(s, ","), to = strcspn(s, "-,");
        const int first = month_of(s, to), last = to < n ? month_of(s + to + 1, n - to - 1) : first;
        if (!first || !last)
            return refuse(ST_BAD_INPUT, why, "months",
                          "--months: \"%.40s\" is no list of months; write 12,1,2 or Dec-Feb (1 to 12)", text);
        for (int m = first;; m = m % 12 + 1) {
            got |= 1u << (m - 1);
            if (m == last)
                break;
        }
        s += n;
        if (*s == ',' && !s[1])
            return refuse(ST_BAD_INPUT, why, "months",
                          "--months: \"%.40s\" ends in a comma; write 12,1,2 or Dec-Feb (1 to 12)", text);
        s += *s == ',';
        if (!*s)
            break;
    }
    *months = got;
    return ST_OK;
}
