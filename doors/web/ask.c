/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Asking: every question of the farm, every piece of the reckoning, and how things stand in short.
 */
#include <math.h>

#include "desk/farm_words.h"
#include "desk/keeping.h"
#include "desk/when.h"
#include "doors/cli/cli.h"
#include "doors/show/show.h"
#include "doors/web/files.h"
#include "doors/web/request.h"
#include "doors/web/web.h"

enum { OUT_MOST = 1 << 28, WIDTH = 80, NARROW = 44 };

/* ---- how the answer is wanted ---- */

struct wanted {
    enum web_type type;
    bool narrow;
    int64_t known_to;
    struct typed_param *typed;
    size_t n;
};

static enum status format_of(const char *text, enum web_type *type, struct message *why)
{
    static const struct {
        const char *name;
        enum web_type type;
    } known[] = { { "json", WEB_JSON_OUT }, { "text", WEB_TEXT_OUT }, { "csv", WEB_CSV_OUT }, { "ics", WEB_ICS_OUT } };

    for (size_t i = 0; i < COUNT(known); i++)
        if (strcmp(text, known[i].name) == 0) {
            *type = known[i].type;
            return ST_OK;
        }
    return refuse(ST_BAD_INPUT, why, "format", "format: \"%.40s\" is none of json, text, csv, ics", text);
}

/* What every question knows beside its own parameters; *taken false: it is none of these. */
static enum status general(const struct web_pair *p, struct wanted *w, bool *taken, struct message *why)
{
    bool known = true;

    *taken = true;
    if (strcmp(p->name, "format") == 0)
        return format_of(p->text, &w->type, why);
    if (strcmp(p->name, "narrow") == 0) {
        w->narrow = request_flag(p->text, &known);
        return known ? ST_OK : refuse(ST_BAD_INPUT, why, "narrow", "narrow: give 1 or 0");
    }
    if (strcmp(p->name, "known_to") == 0) {
        if (!read_whole(p->text, &w->known_to) || w->known_to < 1)
            return refuse(ST_BAD_INPUT, why, "known_to", "known_to: \"%.40s\" is no change number", p->text);
        return ST_OK;
    }
    *taken = false;
    return ST_OK;
}

static enum status own_param(const struct question *q, const struct web_pair *p, struct wanted *w, struct message *why)
{
    bool known = true;

    for (size_t i = 0; i < q->n_params; i++) {
        if (strcmp(q->params[i].name, p->name) != 0)
            continue;
        if (q->params[i].kind == P_FILE)
            return refuse(ST_BAD_INPUT, why, p->name, "%s names a file; files are read on the command line only",
                          p->name);
        if (q->params[i].kind == P_FLAG && !request_flag(p->text, &known))
            return known ? ST_OK : refuse(ST_BAD_INPUT, why, p->name, "%s: give 1 or 0", p->name);
        w->typed[w->n++] = (struct typed_param){ i, q->params[i].kind == P_FLAG ? "yes" : p->text };
        return ST_OK;
    }
    return refuse(ST_BAD_INPUT, why, p->name, "%s knows no \"%.60s\"", q->name, p->name);
}

static enum status query_read(const struct web_call *call, const struct question *q, struct wanted *w,
                              struct message *why)
{
    enum status st = ST_OK;

    *w = (struct wanted){ .type = WEB_JSON_OUT };
    w->typed = ARENA_NEW(call->mem, struct typed_param, call->n_query + 1);
    if (!w->typed)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < call->n_query && st == ST_OK; i++) {
        bool taken = false;
        st = general(&call->query[i], w, &taken, why);
        if (st == ST_OK && !taken)
            st = own_param(q, &call->query[i], w, why);
    }
    if (st == ST_OK && w->type == WEB_CSV_OUT && !q->table)
        st = refuse(ST_BAD_INPUT, why, "format", "%s gives no table", q->name);
    return st;
}

/* ---- putting it ---- */

static enum status farm_words_for(struct web_call *call, struct asked *q, int64_t known_to, struct message *why)
{
    int64_t newest = 0;

    q->farm = call->farm;
    q->memory = call->memory;
    q->at_utc_s = desk_now(q->farm, q->at_utc_s, q->mem);
    enum status st = desk_zone(q->farm, q->mem, &q->zone, why);
    if (st != ST_OK || known_to == 0)
        return st;
    st = farm_number(q->farm, &newest, why);
    if (st == ST_OK && known_to > newest)
        return refuse(ST_BAD_INPUT, why, "known_to", "known_to: the newest change has the number %lld",
                      (long long)newest);
    q->known_to = known_to;
    return st;
}

static enum status written(struct web_call *call, const struct asked *q, const struct wanted *w, const char *words,
                           struct answer *a, struct web_reply *reply, struct message *why)
{
    const struct show_how how = { .width = w->narrow ? NARROW : WIDTH,
                                  .zone = q->zone,
                                  .us_units = q->farm && desk_us_units(q->farm) };
    struct text out;
    enum status st = ST_OK;

    if (w->type == WEB_JSON_OUT) {
        reply->answer = a;
        return ST_OK;
    }
    text_open(&out, OUT_MOST);
    if (w->type == WEB_CSV_OUT)
        st = show_csv(a, q->question->table, &out, why);
    else if (w->type == WEB_ICS_OUT)
        st = show_ics(a, &out, why);
    else
        show_text(words, a, &how, &out);
    if (st == ST_OK && text_full(&out))
        st = refuse(ST_NO_MEMORY, why, "", "the answer is too long to be written out");
    reply->type = w->type;
    reply->bytes = st == ST_OK ? arena_bytes(call->mem, text_get(&out), out.length) : NULL;
    reply->length = out.length;
    if (w->type == WEB_CSV_OUT || w->type == WEB_ICS_OUT)
        reply->download_as = arena_print(call->mem, "%s.%s", q->question->name, w->type == WEB_CSV_OUT ? "csv" : "ics");
    if (st == ST_OK && !reply->bytes)
        st = refuse(ST_NO_MEMORY, why, "", "the answer is too long to hold");
    text_close(&out);
    return st;
}

static enum status put(struct web_call *call, const struct question *question, bool piece, struct web_reply *reply,
                       struct message *why)
{
    /* kept for a minute, so asked at its end: what was recorded in it counts */
    struct asked q = { .question = question, .mem = call->mem, .at_utc_s = call->now_utc_s / 60 * 60 + 59 };
    struct answer *answer = NULL;
    struct wanted w;

    const char *words = piece ? arena_print(call->mem, "reckon %s", question->name) : question->name;
    enum status st = query_read(call, question, &w, why);
    if (st == ST_OK && piece && w.known_to)
        st = refuse(ST_BAD_INPUT, why, "known_to", "known_to: only a question to the farm file goes back");
    if (st == ST_OK && !piece)
        st = farm_words_for(call, &q, w.known_to, why);
    if (st == ST_OK)
        st = asked_read(&q, w.n, w.typed, why);
    if (st == ST_OK)
        st = question_put(&q, &answer, why);
    return st == ST_OK && words ? written(call, &q, &w, words, answer, reply, why) : st;
}

static enum status ask(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const struct question *question = question_find(questions, call->rest);

    if (!question)
        return refuse(ST_NOT_FOUND, why, "", "there is no question \"%.60s\"", call->rest);
    return put(call, question, false, reply, why);
}

static bool reads_files(const struct question *q)
{
    for (size_t i = 0; i < q->n_params; i++)
        if (q->params[i].kind == P_FILE && (q->params[i].how & PARAM_REQUIRED))
            return true;
    return false;
}

static enum status reckon(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const struct question *piece = question_find(pieces, call->rest);

    if (!piece || reads_files(piece))
        return refuse(ST_NOT_FOUND, why, "",
                      piece ? "\"%.60s\" reads files; ask it on the command line" : "there is no piece \"%.60s\"",
                      call->rest);
    return put(call, piece, true, reply, why);
}

/* ---- how things stand ---- */

static const struct shape number_shape[] = {
    { "number", SHAPE_WHOLE, false, "of the newest change of the farm file" },
    { "forecast_made", SHAPE_MOMENT, true, "when the newest forecast was made or typed in" },
    { "forecast_age_h", SHAPE_REAL, true, "hours since then" },
    { "held", SHAPE_WHOLE, false, "records that were refused and wait" },
    { "flags", SHAPE_WHOLE, false, "odd records nobody has looked at yet" },
    { "farm", SHAPE_TEXT, true, "its name; null: nothing is recorded of the farm yet" },
    { "show_at", SHAPE_MOMENT, true, "the farm stands still at this moment, to be looked at" },
    { "clock", SHAPE_MOMENT, false, "of this machine" },
    { "zone", SHAPE_TEXT, false, "of the farm" },
    { "utc_offset_s", SHAPE_WHOLE, false, "of that zone now, or at show_at" },
    { "us_units", SHAPE_FLAG, false, "are people shown Fahrenheit, miles and pounds" },
    { "south", SHAPE_FLAG, false, "the farm lies south of the equator: wind feathers stand on the other side" },
    { "version", SHAPE_TEXT, false, "of the program" },
    { "build", SHAPE_TEXT, false, "of the page: another one, and the page is to be loaded anew" },
    { "read_only", SHAPE_FLAG, false, "the farm file cannot be written to" },
};

static enum status forecast_age(struct web_call *call, int64_t at_utc_s, struct answer *a, struct message *why)
{
    struct weather_lot *lots = NULL;
    size_t n = 0;
    int64_t newest = 0;
    static const enum weather_sort ahead[] = { WEATHER_FORECAST, WEATHER_TYPED };
    enum status st = ST_OK;

    for (size_t k = 0; call->farm && k < COUNT(ahead) && st == ST_OK; k++) {
        st = farm_weather_lots(call->farm, NULL, ahead[k], 0, call->mem, &lots, &n, why);
        for (size_t i = 0; i < n && st == ST_OK; i++)
            newest = lots[i].issued_utc_s > newest ? lots[i].issued_utc_s : newest;
    }
    if (newest > 0) {
        answer_moment(a, "forecast_made", newest);
        answer_real(a, "forecast_age_h", round((double)(at_utc_s - newest) / 360.0) / 10.0);
    } else {
        answer_null(a, "forecast_made", "there is no forecast yet");
        answer_null(a, "forecast_age_h", "there is no forecast yet");
    }
    return st;
}

struct standing {
    int64_t number;
    size_t n_held, n_flags;
    const char *farm;
    const struct zone *zone;
    bool us_units, south, read_only;
};

static enum status stands(struct web_call *call, struct standing *s, struct message *why)
{
    struct farm_held *held = NULL;
    struct farm_flag *flags = NULL;
    struct desk_place place;
    struct message none = { "", "" };
    const char *sentence = NULL;

    enum status st = farm_number(call->farm, &s->number, why);
    if (st == ST_OK)
        st = farm_held(call->farm, false, call->mem, &held, &s->n_held, why);
    if (st == ST_OK)
        st = farm_flags(call->farm, false, 0, call->mem, &flags, &s->n_flags, why);
    if (st == ST_OK)
        st = desk_zone(call->farm, call->mem, &s->zone, why);
    if (st == ST_OK && desk_place(call->farm, 0, call->mem, &place, &none) == ST_OK) { /* else: not recorded yet */
        s->farm = place.name;
        s->us_units = place.us_units;
        s->south = place.lat_deg < 0.0;
    }
    s->read_only = farm_read_only(call->farm, &sentence);
    return st;
}

static enum status number(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct answer *a = answer_new(call->mem);
    struct standing s = { .number = 0 };
    enum status st = call->farm ? stands(call, &s, why) : ST_OK;
    const int64_t at_utc_s = call->farm ? desk_now(call->farm, call->now_utc_s, call->mem) : call->now_utc_s;

    answer_whole(a, "number", s.number);
    if (st == ST_OK)
        st = forecast_age(call, at_utc_s, a, why);
    answer_whole(a, "held", (int64_t)s.n_held);
    answer_whole(a, "flags", (int64_t)s.n_flags);
    answer_text(a, "farm", s.farm);
    if (at_utc_s != call->now_utc_s)
        answer_moment(a, "show_at", at_utc_s);
    else
        answer_null(a, "show_at", "the farm goes by the clock");
    answer_moment(a, "clock", call->now_utc_s);
    answer_text(a, "zone", when_zone_name(s.zone));
    answer_whole(a, "utc_offset_s", when_offset_s(s.zone, at_utc_s));
    answer_flag(a, "us_units", s.us_units);
    answer_flag(a, "south", s.south);
    answer_text(a, "version", LEENEST_VERSION);
    answer_text(a, "build", web_build);
    answer_flag(a, "read_only", s.read_only);
    reply->answer = a;
    return st;
}

static enum status openapi(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct text out;

    text_open(&out, OUT_MOST);
    enum status st = web_openapi(&out, why);
    reply->bytes = st == ST_OK ? arena_bytes(call->mem, text_get(&out), out.length) : NULL;
    reply->length = out.length;
    if (st == ST_OK && !reply->bytes)
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    text_close(&out);
    return st;
}

const struct web_route web_routes_ask[] = {
    { .method = WEB_GET,
      .path = "/api/openapi.json",
      .how = WEB_NO_FARM | WEB_KEPT,
      .help = "This very document",
      .handle = openapi },
    { .method = WEB_GET,
      .path = "/api/number",
      .how = WEB_NO_FARM | WEB_KEPT,
      .help = "How things stand in short: asked often, to see whether anything is new",
      .gives = number_shape,
      .n_gives = COUNT(number_shape),
      .handle = number },
    { .method = WEB_GET,
      .path = "/api/reckon/*",
      .how = WEB_NO_FARM | WEB_KEPT | WEB_OWN_QUERY,
      .help = "One piece of the reckoning",
      .handle = reckon },
    { .method = WEB_GET,
      .path = "/api/*",
      .how = WEB_KEPT | WEB_OWN_QUERY,
      .help = "A question to the farm file",
      .handle = ask },
    { .path = NULL },
};

const char *web_query(const struct web_call *call, const char *name)
{
    for (size_t i = 0; i < call->n_query; i++)
        if (strcmp(call->query[i].name, name) == 0)
            return call->query[i].text;
    return NULL;
}

enum status web_body_text(const struct web_call *call, const char *name, const char **text, struct message *why)
{
    const json_t *v = json_object_get(call->body, name);

    *text = NULL;
    if (!v || json_is_null(v))
        return ST_OK;
    if (!json_is_string(v))
        return refuse(ST_BAD_INPUT, why, name, "%s: give a text", name);
    *text = json_string_value(v);
    return ST_OK;
}
