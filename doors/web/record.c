/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Recording: what can be written down, one record, a phone's queue; and what is written down.
 */
#include <string.h>

#include "desk/farm_words.h"
#include "desk/keep_body.h"
#include "desk/keeping.h"
#include "desk/records.h"
#include "desk/when.h"
#include "doors/web/recording.h"

enum { QUEUE_MOST = 200 };

/* ---- shared with mend.c and keep.c ---- */

enum status web_answer(struct web_call *call, struct web_reply *reply, struct answer *answer, struct message *why)
{
    if (!answer || arena_full(call->mem))
        return refuse(ST_NO_MEMORY, why, "", "the answer is too long; ask for less of it");
    reply->answer = answer;
    return ST_OK;
}

enum status web_kind(const char *word, const struct fact_kind **kind, struct message *why)
{
    *kind = keep_kind(word);
    return *kind ? ST_OK
                 : refuse(ST_NOT_FOUND, why, "kind", "kind: nothing is recorded under the word \"%.40s\"", word);
}

int64_t web_whole(const struct web_call *call, const char *name, int64_t otherwise)
{
    const char *text = web_query(call, name);
    int64_t value = 0;

    return text && read_whole(text, &value) ? value : otherwise;
}

enum status web_page(const struct web_call *call, int64_t *before, size_t *most, struct message *why)
{
    const int64_t wanted = web_whole(call, "most", RECORDS_USUAL);

    *before = web_whole(call, "before", 0);
    if (wanted < 1 || wanted > RECORDS_MOST)
        return refuse(ST_BAD_INPUT, why, "most", "most: give 1 to %d", RECORDS_MOST);
    if (*before < 0)
        return refuse(ST_BAD_INPUT, why, "before", "before: give the number of a change, or leave it out");
    *most = (size_t)wanted;
    return ST_OK;
}

/* A device's name was chosen by whoever has it; in the record it is one plain line, whatever is in it. */
const char *web_device(const struct web_call *call)
{
    struct message plain;

    (void)refuse(ST_OK, &plain, "", "%.190s", call->who.called ? call->who.called : "");
    return arena_text(call->mem, plain.text);
}

enum status web_moment(struct farm *farm, const char *field, const char *text, struct arena *mem, int64_t *utc_s,
                       struct message *why)
{
    const struct zone *zone = NULL;

    *utc_s = 0;
    if (!text || !*text)
        return ST_OK;
    const enum status st = farm ? desk_zone(farm, mem, &zone, why) : ST_OK;
    return st == ST_OK ? moment_from_text(field, text, zone, utc_s, NULL, why) : st;
}

/* ---- what a record carries beside its fields ---- */

struct beside {
    const char *uid, *recorded, *who, *batch, *replaces, *clock;
};

static enum status text_of(const json_t *object, const char *name, const char **text, struct message *why)
{
    const json_t *v = json_object_get(object, name);

    *text = NULL;
    if (!v || json_is_null(v))
        return ST_OK;
    if (!json_is_string(v))
        return refuse(ST_BAD_INPUT, why, name, "%s: give a text", name);
    if (json_string_value(v)[0])
        *text = json_string_value(v);
    return ST_OK;
}

static enum status read_beside(const json_t *object, struct beside *b, struct message *why)
{
    const struct {
        const char *name, **to;
    } all[] = { { "uid", &b->uid },     { "recorded", &b->recorded }, { "who", &b->who },
                { "batch", &b->batch }, { "replaces", &b->replaces }, { "clock", &b->clock } };
    enum status st = ST_OK;

    *b = (struct beside){ .uid = NULL };
    for (size_t i = 0; i < COUNT(all) && st == ST_OK; i++)
        st = text_of(object, all[i].name, all[i].to, why);
    return st;
}

static enum status meta_of(const struct web_call *call, const struct beside *b, struct farm_meta *meta,
                           struct message *why)
{
    int64_t recorded = 0;
    const enum status st = web_moment(call->farm, "recorded", b->recorded, call->mem, &recorded, why);

    *meta = (struct farm_meta){ .uid = b->uid,
                                .batch = b->batch,
                                .who = b->who,
                                .device = web_device(call),
                                .recorded_utc_s = recorded,
                                .replaces = b->replaces };
    if (st == ST_OK && b->replaces && !farm_is_uid(b->replaces))
        return refuse(ST_BAD_INPUT, why, "replaces",
                      "replaces: \"%.40s\" is no uid; 32 digits of 0-9 and a-f are wanted", b->replaces);
    return st;
}

/* ---- POST /api/record/KIND ---- */

static const struct web_field record_takes[] = {
    { "fact", SHAPE_OBJECT, true, "its fields: a number is SI, a text as a person types it" },
    { "uid", SHAPE_TEXT, false, "32 hexadecimal digits made by whoever records; sent again it is the same record" },
    { "recorded", SHAPE_TEXT, false, "ISO time at which the person recorded it, by their own clock" },
    { "who", SHAPE_TEXT, false, "who says so" },
    { "batch", SHAPE_TEXT, false, "32 hexadecimal digits shared by what is undone together" },
    { "replaces", SHAPE_TEXT, false, "uid of the record that this one puts right" },
    { "clock", SHAPE_TEXT, false,
      "ISO time on the clock of the device as this is sent, to notice a clock that is wrong" },
};
static const struct shape record_gives[] = {
    { "uid", SHAPE_TEXT, false, "of the record" },
    { "number", SHAPE_WHOLE, false, "of the change that recorded it" },
    { "already", SHAPE_FLAG, false, "this very record was there before; nothing was changed" },
    { "called", SHAPE_TEXT, true, "what it is called" },
    { "flags", SHAPE_LIST, false, "what is odd about it" },
    ODD_SHAPE("flags[]"),
    { "clock", SHAPE_TEXT, true,
      "a sentence where the device's clock is plainly wrong, or the machine's has gone back" },
};

/* What is said of the clocks: the sender's, else the machine's own. */
static const char *clock_of(const struct web_call *call, int64_t recorded_utc_s, int64_t sent_utc_s)
{
    const char *theirs = keep_clock(recorded_utc_s, sent_utc_s, call->now_utc_s, call->mem);
    return theirs ? theirs : keep_clock_back(call->farm, call->mem);
}

static enum status record(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct keep_body body = { .kind = call->rest, .fact = json_object_get(call->body, "fact") };
    struct farm_outcome o;
    struct beside beside;
    int64_t sent = 0;

    enum status st = read_beside(call->body, &beside, why);
    if (st == ST_OK)
        st = meta_of(call, &beside, &body.meta, why);
    if (st == ST_OK)
        st = web_moment(call->farm, "clock", beside.clock, call->mem, &sent, why);
    if (st == ST_OK)
        st = keep_body(call->farm, &body, call->now_utc_s, call->mem, &o, why);
    if (st != ST_OK)
        return st;
    struct answer *a = answer_new(call->mem);
    answer_text(a, "uid", arena_text(call->mem, o.uid));
    answer_whole(a, "number", o.number);
    answer_flag(a, "already", o.already);
    answer_text(a, "called", farm_called(call->farm, o.uid, call->mem));
    records_odd(a, "flags", o.n_flags, o.flags);
    answer_text(a, "clock", clock_of(call, body.meta.recorded_utc_s, sent));
    return web_answer(call, reply, a, why);
}

/* ---- POST /api/queue ---- */

static const struct web_field queue_takes[] = {
    { "items", SHAPE_LIST, true, "each with kind, uid, fact, recorded, who, batch, replaces; at most 200" },
    { "clock", SHAPE_TEXT, false,
      "ISO time on the clock of the device as this is sent, to notice a clock that is wrong" },
};
static const struct shape queue_gives[] = {
    { "items", SHAPE_LIST, false, "in the order sent" },
    { "items[]", SHAPE_OBJECT, true, "" },
    { "items[].uid", SHAPE_TEXT, false, "of the record" },
    { "items[].status", SHAPE_TEXT, false,
      "recorded, already, held (rests in the tray) or conflict (rests there too)" },
    { "items[].number", SHAPE_WHOLE, true, "of the change that recorded it" },
    { "items[].called", SHAPE_TEXT, true, "what it is called" },
    { "items[].field", SHAPE_TEXT, true, "held: the field that is wrong" },
    { "items[].sentence", SHAPE_TEXT, true, "held: why" },
    { "items[].flags", SHAPE_LIST, false, "what is odd about it" },
    ODD_SHAPE("items[].flags[]"),
    { "clock", SHAPE_TEXT, true,
      "a sentence where the device's clock is plainly wrong, or the machine's has gone back" },
};

static const char *unknown_member(const json_t *item)
{
    static const char *const known[] = { "kind", "uid", "fact", "recorded", "who", "batch", "replaces" };
    const char *key;
    const json_t *v;

    json_object_foreach((json_t *)(uintptr_t)item, key, v)
    {
        size_t k = 0;
        while (k < COUNT(known) && strcmp(known[k], key) != 0)
            k++;
        if (k == COUNT(known))
            return key;
    }
    return NULL;
}

/* One that cannot be read is held like one that is refused: it must not stop those behind it. */
static void item_of(const struct web_call *call, const json_t *item, struct keep_body *body)
{
    const json_t *kind = json_object_get(item, "kind");
    const char *unknown = unknown_member(item);
    struct beside beside;

    *body = (struct keep_body){ .kind = json_is_string(kind) ? json_string_value(kind) : "",
                                .fact = json_object_get(item, "fact") };
    body->status = read_beside(item, &beside, &body->why);
    if (body->status == ST_OK)
        body->status = meta_of(call, &beside, &body->meta, &body->why);
    else
        body->meta = (struct farm_meta){ .uid = beside.uid, .device = web_device(call) };
    if (body->status == ST_OK && unknown)
        body->status = refuse(ST_BAD_INPUT, &body->why, unknown, "the member \"%.40s\" is not known here", unknown);
}

static void queue_row(const struct web_call *call, struct answer *list, const struct farm_item *item)
{
    struct answer *row = answer_item(list);
    const struct farm_outcome *o = &item->outcome;
    const bool kept = item->status == ST_OK;
    const bool conflict = item->status == ST_CONFLICT && strcmp(item->why.field, "uid") == 0;

    answer_text(row, "uid", item->meta.uid);
    answer_text(row, "status", kept ? (o->already ? "already" : "recorded") : conflict ? "conflict" : "held");
    if (kept && o->number > 0)
        answer_whole(row, "number", o->number);
    else
        answer_null(row, "number", NULL);
    answer_text(row, "called", kept ? farm_called(call->farm, item->meta.uid, call->mem) : NULL);
    answer_text(row, "field", !kept && item->why.field[0] ? item->why.field : NULL);
    answer_text(row, "sentence", kept ? NULL : item->why.text);
    records_odd(row, "flags", kept ? o->n_flags : 0, o->flags);
}

static enum status queue(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const json_t *items = json_object_get(call->body, "items");
    const size_t n = json_array_size(items);
    struct keep_body *bodies = ARENA_NEW(call->mem, struct keep_body, n + 1);
    struct farm_item *done = NULL;
    struct beside beside;
    int64_t sent = 0, latest = 0;

    if (n > QUEUE_MOST)
        return refuse(ST_BAD_INPUT, why, "items", "items: %zu at once are too many; send %d at most", n, QUEUE_MOST);
    if (!bodies)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = read_beside(call->body, &beside, why);
    if (st == ST_OK)
        st = web_moment(call->farm, "clock", beside.clock, call->mem, &sent, why);
    for (size_t i = 0; i < n && st == ST_OK; i++) {
        if (!json_is_object(json_array_get(items, i)))
            st = refuse(ST_BAD_INPUT, why, "items", "items: number %zu is not an object", i + 1);
        else
            item_of(call, json_array_get(items, i), &bodies[i]);
        latest = bodies[i].meta.recorded_utc_s > latest ? bodies[i].meta.recorded_utc_s : latest;
    }
    if (st == ST_OK)
        st = keep_queue(call->farm, n, bodies, call->now_utc_s, call->mem, &done, why);
    if (st != ST_OK)
        return st;
    struct answer *a = answer_new(call->mem), *list = answer_list(a, "items");
    for (size_t i = 0; i < n; i++)
        queue_row(call, list, &done[i]);
    answer_text(a, "clock", clock_of(call, latest, sent));
    return web_answer(call, reply, a, why);
}

/* ---- kinds and names ---- */

static const struct shape kinds_gives[] = {
    { "kinds", SHAPE_LIST, false, "every kind of record, what is referred to before what refers to it" },
    { "kinds[]", SHAPE_OBJECT, false, "" },
    { "kinds[].name", SHAPE_TEXT, false, "as in the routes" },
    { "kinds[].help", SHAPE_TEXT, false, "one line" },
    { "kinds[].when", SHAPE_TEXT, true, "field that says when it happened or begins to hold" },
    { "kinds[].until", SHAPE_TEXT, true, "field that ends it" },
    { "kinds[].called", SHAPE_TEXT, true, "field by which people name one" },
    { "kinds[].single", SHAPE_FLAG, false, "a farm has one of them" },
    { "kinds[].exactly_one", SHAPE_LIST, false, "one of these fields is given, no more" },
    { "kinds[].exactly_one[]", SHAPE_TEXT, true, "" },
    { "kinds[].at_least_one", SHAPE_LIST, false, "one of these fields at least is given" },
    { "kinds[].at_least_one[]", SHAPE_TEXT, true, "" },
    { "kinds[].fields", SHAPE_LIST, false, "in the order of a form" },
    { "kinds[].fields[]", SHAPE_OBJECT, false, "" },
    { "kinds[].fields[].name", SHAPE_TEXT, false, "a number under it is SI" },
    { "kinds[].fields[].flag", SHAPE_TEXT, false, "a text under it is as a person types it" },
    { "kinds[].fields[].label", SHAPE_TEXT, false, "for a form" },
    { "kinds[].fields[].type", SHAPE_TEXT, false, "text, choice, set, real, whole, day, moment, flag or ref" },
    { "kinds[].fields[].unit", SHAPE_TEXT, true, "of a bare number that is typed" },
    { "kinds[].fields[].low", SHAPE_REAL, true, "least, in that unit" },
    { "kinds[].fields[].high", SHAPE_REAL, true, "most, in that unit" },
    { "kinds[].fields[].required", SHAPE_FLAG, false, "must be given" },
    { "kinds[].fields[].each", SHAPE_FLAG, false, "several of them make one record each, in one batch" },
    { "kinds[].fields[].choices", SHAPE_LIST, false, "the words it may be" },
    { "kinds[].fields[].choices[]", SHAPE_TEXT, true, "" },
    { "kinds[].fields[].refers_to", SHAPE_TEXT, true, "kind of what it names" },
    { "kinds[].fields[].otherwise", SHAPE_TEXT, true, "taken when it is left out; now: the moment of recording" },
    { "kinds[].fields[].help", SHAPE_TEXT, false, "one line" },
};

static enum status kinds(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct answer *a = answer_new(call->mem);

    records_kinds(call->farm, a);
    return web_answer(call, reply, a, why);
}

static const struct web_field names_takes[] = {
    { "on", SHAPE_DAY, false, "a day, 2026-01-22; today unless given" },
};
static const struct shape names_gives[] = {
    { "names", SHAPE_LIST, false, "all that were recorded and stand, in that order" },
    { "names[]", SHAPE_OBJECT, true, "" },
    { "names[].uid", SHAPE_TEXT, false, "to refer to it by" },
    { "names[].name", SHAPE_TEXT, true, "what people call it" },
    { "names[].tag", SHAPE_TEXT, true, "ear tag, notch or tattoo" },
    { "names[].is", SHAPE_TEXT, true, "sow, boar, hut ..." },
    { "names[].here", SHAPE_FLAG, false, "alive and here on that day; standing; not gone" },
};

static enum status names(struct web_call *call, struct web_reply *reply, struct message *why)
{
    static const struct fact_field on = { .name = "on", .type = FACT_DAY };
    const char *text = web_query(call, "on");
    const struct fact_speech plain = { .zone = NULL };
    const struct fact_kind *kind = NULL;
    const struct zone *zone = NULL;
    struct fact_value day = { .given = false };

    enum status st = web_kind(call->rest, &kind, why);
    if (st == ST_OK)
        st = desk_zone(call->farm, call->mem, &zone, why);
    if (st == ST_OK && text)
        st = fact_value_read(&on, "on", text, &plain, call->mem, &day, why);
    if (st != ST_OK)
        return st;
    if (!day.given) {
        const struct civil c = when_local(zone, desk_now(call->farm, call->now_utc_s, call->mem));
        day.whole = civil_days(c.year, c.month, c.day);
    }
    struct answer *a = answer_new(call->mem);
    st = records_names(call->farm, kind, day.whole, a, why);
    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

/* ---- what is recorded ---- */

static const struct web_field list_takes[] = {
    { "search", SHAPE_TEXT, false, "any part of any text shown, upper and lower case alike" },
    { "before", SHAPE_WHOLE, false, "number of a change: what is older than that" },
    { "most", SHAPE_WHOLE, false, "how many, 1 to 500; 50 unless given" },
};
static const struct shape list_gives[] = {
    { "facts", SHAPE_LIST, false, "newest first" },
    { "facts[]", SHAPE_OBJECT, true, "" },
    FACT_SHAPE("facts[]."),
    { "more", SHAPE_FLAG, false, "there are older ones" },
};

static enum status list(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const char *search = web_query(call, "search");
    const struct fact_kind *kind = NULL;
    int64_t before = 0;
    size_t most = 0;

    enum status st = web_kind(call->rest, &kind, why);
    if (st == ST_OK)
        st = web_page(call, &before, &most, why);
    if (st == ST_OK && search && strlen(search) > RECORDS_SEARCH_BYTES)
        st = refuse(ST_BAD_INPUT, why, "search", "search: that is too long; a word or two will do");
    struct answer *a = answer_new(call->mem);
    if (st == ST_OK)
        st = records_list(call->farm, kind, search, before, most, a, why);
    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

static const struct shape fact_gives[] = {
    FACT_SHAPE(""),
    { "kind", SHAPE_TEXT, false, "kind of record" },
    { "live", SHAPE_FLAG, false, "false: taken out, or another stands in its place" },
    CHANGE_SHAPE,
};

static enum status fact(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct answer *a = answer_new(call->mem);
    const enum status st = records_fact(call->farm, call->rest, a, why);

    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

#define TAKES(list) .takes = (list), .n_takes = COUNT(list)
#define GIVES(list) .gives = (list), .n_gives = COUNT(list)

const struct web_route web_routes_record[] = {
    { WEB_GET, "/api/kinds", WEB_NO_FARM, "What can be recorded, as a form needs it", GIVES(kinds_gives),
      .handle = kinds },
    { WEB_GET, "/api/names/*", 0, "Whom or what a record may name", TAKES(names_takes), GIVES(names_gives),
      .handle = names },
    { WEB_POST, "/api/record/*", WEB_JSON, "Record one thing", TAKES(record_takes), GIVES(record_gives),
      .handle = record },
    { WEB_POST, "/api/queue", WEB_JSON, "Record what waited on a device, one by one in the order made",
      TAKES(queue_takes), GIVES(queue_gives), .handle = queue },
    { WEB_GET, "/api/list/*", 0, "What is recorded of one kind", TAKES(list_takes), GIVES(list_gives), .handle = list },
    { WEB_GET, "/api/fact/*", 0, "One record and what was done to it", GIVES(fact_gives), .handle = fact },
    { .path = NULL },
};
