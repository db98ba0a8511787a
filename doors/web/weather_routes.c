/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Weather from outside: fetched, typed, from a file; and what is kept of it. The rows of these routes stand in keep.c.
 */
#include <string.h>

#include "core/base/civil.h"
#include "desk/farm_words.h"
#include "desk/when.h"
#include "doors/web/recording.h"

enum { SAYS_BYTES = 64 * 1024, WEATHER_BYTES = 400 << 20, TYPED_HOURS = 36 };

static enum status says(struct web_call *call, struct answer *a, const struct text *report, struct message *why)
{
    size_t n = report->length;

    while (n > 0 && report->bytes[n - 1] == '\n')
        n--;
    answer_text(a, "says", arena_bytes(call->mem, text_get(report), n));
    return text_full(report) ? refuse(ST_NO_MEMORY, why, "", "the answer is too long to be written out") : ST_OK;
}

/* ---- fetched ---- */

const struct web_field web_fetch_takes[2] = {
    { "from", SHAPE_TEXT, false,
      "us (the United States' own) or world; the one recorded as weather source unless given" },
    { "contact", SHAPE_TEXT, false, "mail or web page of yours, for the service; as recorded unless given" },
};
const struct shape web_fetch_gives[2] = {
    { "says", SHAPE_TEXT, false, "what came, line by line" },
    { "credit", SHAPE_TEXT, true, "the line that the service wants to see beside it" },
};

/* What the command line says of its flags, for people at a page. */
static enum status in_page_words(enum status st, const struct message *inner, struct message *why)
{
    if (strcmp(inner->field, "service") == 0)
        return refuse(
            st, why, "from",
            "no weather service is recorded: choose where the forecast comes from, or record a weather source");
    if (strcmp(inner->field, "contact") == 0)
        return refuse(st, why, "contact",
                      "the weather service wants to know who asks: give a mail address or web page of yours, here or "
                      "with the weather source");
    return refuse(st, why, inner->field, "%s", inner->text);
}

enum status web_weather_fetch(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const char *from = NULL, *contact = NULL;
    struct message inner = { "", "" };
    struct text report;

    enum status st = web_body_text(call, "from", &from, why);
    if (st == ST_OK)
        st = web_body_text(call, "contact", &contact, why);
    if (st == ST_OK && from && *from && strcmp(from, "us") != 0 && strcmp(from, "world") != 0)
        st = refuse(ST_BAD_INPUT, why, "from", "from: give us or world");
    if (st != ST_OK)
        return st;
    const struct keep_fetch_how how = { .service = !from || !*from           ? NULL
                                                   : strcmp(from, "us") == 0 ? "us-national"
                                                                             : "met-norway",
                                        .contact = contact && *contact ? contact : NULL };
    struct answer *a = answer_new(call->mem);
    text_open(&report, SAYS_BYTES);
    st = keep_weather_fetch(call->farm, &how, call->now_utc_s, call->mem, &report, &inner);
    if (st != ST_OK)
        st = in_page_words(st, &inner, why);
    else
        st = says(call, a, &report, why);
    text_close(&report);
    answer_text(a, "credit", keep_weather_credit(call->farm, call->mem));
    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

/* ---- typed ---- */

const struct web_field web_type_takes[2] = {
    { "forecast", SHAPE_TEXT, true, "as a person says it: low 12F, wind SW 15 mph, rain until 21:00" },
    { "from", SHAPE_TEXT, false, "from when it holds; now unless given" },
};
const struct shape web_type_gives[1] = {
    { "says", SHAPE_TEXT, false, "how it was understood, line by line" },
};

enum status web_weather_type(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const char *forecast = NULL, *from = NULL;
    struct text report;
    int64_t at = 0;

    enum status st = web_body_text(call, "forecast", &forecast, why);
    if (st == ST_OK)
        st = web_body_text(call, "from", &from, why);
    if (st == ST_OK)
        st = web_moment(call->farm, "from", from, call->mem, &at, why);
    if (st == ST_OK && (!forecast || !forecast[strspn(forecast, " \t\r\n")]))
        st = refuse(ST_BAD_INPUT, why, "forecast",
                    "forecast: it is empty; write what was said, as low 12F, wind SW 15 mph");
    if (st != ST_OK)
        return st;
    struct answer *a = answer_new(call->mem);
    text_open(&report, SAYS_BYTES);
    st = keep_weather_typed(call->farm, forecast, at ? at : desk_now(call->farm, call->now_utc_s, call->mem),
                            TYPED_HOURS, call->mem, &report, why);
    if (st != ST_OK && strcmp(why->field, "text") == 0)
        (void)snprintf(why->field, sizeof why->field, "forecast");
    if (st == ST_OK)
        st = says(call, a, &report, why);
    text_close(&report);
    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

/* ---- from a file ---- */

const struct web_field web_weather_takes[1] = {
    { "past", SHAPE_FLAG, false,
      "1: hours that have been: past years, a station's record; 0: a forecast; not given: as the hours say" },
};
const struct shape web_weather_gives[6] = {
    { "format", SHAPE_TEXT, false, "what kind of file it is" },
    { "source", SHAPE_TEXT, false, "whose hours they are" },
    { "hours", SHAPE_WHOLE, false, "kept" },
    { "first", SHAPE_MOMENT, false, "of them" },
    { "last", SHAPE_MOMENT, false, "of them" },
    { "says", SHAPE_TEXT, false, "how it went, line by line" },
};

/* The file is known here by a name of ours, which says nothing to anybody. */
static void without_path(const char *path, struct message *why)
{
    const char *slash = strrchr(path, '/');
    const char *const names[] = { path, slash ? slash + 1 : path };
    const struct message was = *why;

    for (size_t i = 0; i < COUNT(names); i++) {
        const char *at = strstr(was.text, names[i]);
        if (!at)
            continue;
        (void)refuse(ST_BAD_INPUT, why, was.field, "%.*sthe file%s", (int)(at - was.text), was.text,
                     at + strlen(names[i]));
        return;
    }
}

static const char *day_of(const struct zone *zone, int64_t utc_s, struct arena *mem)
{
    const struct civil c = when_local(zone, utc_s);
    return arena_print(mem, "%04d-%02d-%02d %02d:%02d", c.year, c.month, c.day, c.hour, c.minute);
}

static void told(struct web_call *call, const struct kept_weather *k, const struct zone *zone, struct text *report)
{
    text_print(report, "%zu hours of %s, %s to %s, kept as %s.\n", k->n_hours, k->source,
               day_of(zone, k->first_utc_s, call->mem), day_of(zone, k->last_utc_s, call->mem),
               k->sort == WEATHER_FORECAST ? "a forecast" : "past weather");
    for (size_t i = 0; i < k->n_notes; i++)
        text_print(report, "%s\n", k->note[i]);
    if (k->n_rejected)
        text_print(report, "%zu values or rows could not be taken; the first: %s\n", k->n_rejected,
                   k->first_rejected ? k->first_rejected : "");
}

enum status web_weather_import(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const char *past = web_query(call, "past");
    const bool is_past = past && strcmp(past, "0") != 0 && strcmp(past, "no") != 0 && strcmp(past, "false") != 0;
    const struct keep_weather_how how = { .sort = is_past ? WEATHER_PAST : WEATHER_FORECAST,
                                          .ahead = past && !is_past,
                                          .tell = !past };
    const struct zone *zone = NULL;
    struct kept_weather kept;
    struct arena mem;
    struct text report;

    enum status st = desk_zone(call->farm, call->mem, &zone, why);
    if (st != ST_OK)
        return st;
    arena_open(&mem, WEATHER_BYTES);
    text_open(&report, SAYS_BYTES);
    struct answer *a = answer_new(call->mem);
    st = keep_weather_file(call->farm, call->upload, &how, desk_now(call->farm, call->now_utc_s, call->mem), &mem,
                           &kept, why);
    if (st != ST_OK) {
        without_path(call->upload, why);
        if (strcmp(why->field, "as") == 0)
            (void)snprintf(why->field, sizeof why->field, "past");
    } else {
        answer_text(a, "format", kept.format);
        answer_text(a, "source", arena_text(call->mem, kept.source));
        answer_whole(a, "hours", (int64_t)kept.n_hours);
        answer_moment(a, "first", kept.first_utc_s);
        answer_moment(a, "last", kept.last_utc_s);
        told(call, &kept, zone, &report);
        st = says(call, a, &report, why);
    }
    text_close(&report);
    arena_close(&mem);
    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

/* ---- what is kept ---- */

const struct shape web_kept_gives[7] = {
    { "kept", SHAPE_LIST, false, "source by source" },
    { "kept[]", SHAPE_OBJECT, true, "" },
    { "kept[].sort", SHAPE_TEXT, false, "past years, observed, forecast or typed" },
    { "kept[].source", SHAPE_TEXT, false, "whose hours they are" },
    { "kept[].hours", SHAPE_WHOLE, false, "how many" },
    { "kept[].first", SHAPE_MOMENT, false, "of them" },
    { "kept[].last", SHAPE_MOMENT, false, "of them" },
};

enum status web_weather_kept(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct weather_holding *h = NULL;
    size_t n = 0;
    const enum status st = farm_weather_holdings(call->farm, 0, call->mem, &h, &n, why);

    if (st != ST_OK)
        return st;
    struct answer *a = answer_new(call->mem), *rows = answer_list(a, "kept");
    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(rows);
        answer_text(row, "sort", weather_sort_name[h[i].sort]);
        answer_text(row, "source", h[i].source);
        answer_whole(row, "hours", (int64_t)h[i].n_hours);
        answer_moment(row, "first", h[i].first_utc_s);
        answer_moment(row, "last", h[i].last_utc_s);
    }
    return web_answer(call, reply, a, why);
}
