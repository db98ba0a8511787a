/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/keep_body.h"

#include <string.h>

#include "core/base/civil.h"
#include "desk/farm_words.h"
#include "desk/keeping.h"
#include "desk/labels.h"

/* "sow" says by itself what an animal is. */
static void say_by_word(const struct fact_kind *kind, const char *word, struct fact_value *values)
{
    const size_t is = fact_field_find(kind, "is");

    if (is != FACT_NO_FIELD && fact_kind_find(word) != kind && !values[is].given)
        values[is] = (struct fact_value){ .given = true, .text = word };
}

/* The moment that was not said: that of the very record when it is there already, else when it was recorded. */
static void fill_now(struct farm *farm, const struct fact_kind *kind, const struct farm_meta *meta, int64_t now_utc_s,
                     struct arena *mem, struct fact_value *values)
{
    struct message ignored;
    struct fact there;

    for (size_t f = 0; f < kind->n_fields; f++) {
        if (values[f].given || !keep_now_will_do(kind, f))
            continue;
        const int64_t at = desk_now(farm, meta->recorded_utc_s ? meta->recorded_utc_s : now_utc_s, mem);
        values[f] = (struct fact_value){ .given = true, .whole = at };
        if (!meta->uid || !farm_is_uid(meta->uid))
            continue;
        const enum status st = farm_fact(farm, meta->uid, 0, mem, &there, &ignored);
        if (st == ST_OK && there.kind == kind)
            values[f] = there.value[f];
        arena_heed(mem, st);
    }
}

enum status keep_body_values(struct farm *farm, const struct keep_body *body, const struct fact_kind *kind,
                             int64_t now_utc_s, struct arena *mem, struct fact_value **values, struct message *why)
{
    struct fact_speech speech;
    enum status st = farm_speech(farm, &speech, why);

    if (st == ST_OK)
        st = farm_json_fact(body->fact, kind, &speech, mem, values, why);
    if (st != ST_OK) {
        fact_label_message(kind, why);
        return st;
    }
    say_by_word(kind, body->kind, *values);
    fill_now(farm, kind, &body->meta, now_utc_s, mem, *values);
    return arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : ST_OK;
}

static enum status no_such_kind(const char *word, struct message *why)
{
    return refuse(ST_NOT_FOUND, why, "kind", "kind: nothing is recorded under the word \"%.40s\"", word);
}

enum status keep_body(struct farm *farm, const struct keep_body *body, int64_t now_utc_s, struct arena *mem,
                      struct farm_outcome *outcome, struct message *why)
{
    const struct fact_kind *kind = keep_kind(body->kind);
    struct fact_value *values = NULL;

    if (!kind)
        return no_such_kind(body->kind, why);
    enum status st = keep_body_values(farm, body, kind, now_utc_s, mem, &values, why);
    if (st != ST_OK)
        return st;
    st = farm_record(farm, kind, values, &body->meta, mem, outcome, why);
    if (st != ST_OK)
        fact_label_message(kind, why);
    return st;
}

/* One without a usable uid is known by what it says, so that the same sent twice rests in the tray once. */
static const char *own_uid(const struct keep_body *b, const char *text, struct arena *mem)
{
    char uid[FARM_UID];
    const char *all = arena_print(mem, "%s %lld %s", b->kind, (long long)b->meta.recorded_utc_s, text ? text : "");

    if (!all)
        return NULL;
    farm_uid_from(all, uid);
    return arena_text(mem, uid);
}

static enum status queued(struct farm *farm, struct keep_body *b, int64_t now_utc_s, struct arena *mem,
                          struct farm_item *item, struct message *why)
{
    const struct fact_kind *kind = keep_kind(b->kind);
    struct fact_value *values = NULL;
    size_t good = 0;

    *item = (struct farm_item){ .kind = kind,
                                .meta = b->meta,
                                .status = b->status,
                                .why = b->why,
                                .body = farm_json_body(b->fact, kind, b->kind, b->meta.replaces, mem) };
    if (item->status == ST_OK && !kind)
        item->status = no_such_kind(b->kind, &item->why);
    if (item->status == ST_OK && !item->meta.uid)
        item->status = refuse(ST_BAD_INPUT, &item->why, "uid",
                              "uid: a record that waited has one of its own, 32 digits of 0-9 and a-f");
    if (!item->meta.uid || !farm_is_uid(item->meta.uid)) {
        if (item->status == ST_OK)
            item->status = refuse(ST_BAD_INPUT, &item->why, "uid",
                                  "uid: \"%.40s\" is not one; 32 digits of 0-9 and a-f are wanted", item->meta.uid);
        item->meta.uid = own_uid(b, item->body, mem);
    }
    if (!item->body || !item->meta.uid)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (item->status == ST_OK)
        item->status = keep_body_values(farm, b, kind, now_utc_s, mem, &values, &item->why);
    if (item->status == ST_NO_MEMORY)
        return refuse(ST_NO_MEMORY, why, "", "%s", item->why.text);
    item->values = values;
    const struct farm_meta meta = { .batch = b->meta.batch };
    const enum status st = farm_record_batch(farm, FARM_QUEUED, &meta, 1, item, mem, &good, why);
    if (item->status != ST_OK && kind)
        fact_label_message(kind, &item->why);
    return st;
}

enum status keep_queue(struct farm *farm, size_t n, struct keep_body body[], int64_t now_utc_s, struct arena *mem,
                       struct farm_item **items, struct message *why)
{
    struct farm_item *list = ARENA_NEW(mem, struct farm_item, n + 1);
    enum status st = list ? ST_OK : refuse(ST_NO_MEMORY, why, "", "too many records at once");

    for (size_t i = 0; i < n && st == ST_OK; i++)
        st = queued(farm, &body[i], now_utc_s, mem, &list[i], why);
    if (st == ST_OK)
        *items = list;
    return st;
}

static const char *how_long(int64_t s, struct arena *mem)
{
    return s < 2 * HOUR_S  ? arena_print(mem, "%lld minutes", (long long)((s + 30) / 60))
           : s < 2 * DAY_S ? arena_print(mem, "%lld hours", (long long)((s + HOUR_S / 2) / HOUR_S))
                           : arena_print(mem, "%lld days", (long long)((s + DAY_S / 2) / DAY_S));
}

const char *keep_clock(int64_t recorded_utc_s, int64_t sent_utc_s, int64_t now_utc_s, struct arena *mem)
{
    enum { SLACK_S = 120 };
    /* sent is compared both ways; recorded alone can only be too early to have been: later may have waited */
    const int64_t ahead_s = sent_utc_s                                               ? sent_utc_s - now_utc_s
                            : recorded_utc_s && recorded_utc_s > now_utc_s + SLACK_S ? recorded_utc_s - now_utc_s
                                                                                     : 0;
    const int64_t off_s = ahead_s < 0 ? -ahead_s : ahead_s;

    if (off_s <= SLACK_S)
        return NULL;
    const char *by = how_long(off_s, mem);
    return arena_print(mem,
                       "The clock of this device is %s %s that of the farm's machine. The record keeps the time it "
                       "gave; put the clock right, and correct the record where the hour matters.",
                       by ? by : "", ahead_s > 0 ? "ahead of" : "behind");
}

const char *keep_clock_back(struct farm *farm, struct arena *mem)
{
    struct message ignored; /* the record itself stands */
    int64_t back_s = 0;

    const enum status st = farm_clock_back(farm, &back_s, &ignored);
    arena_heed(mem, st);
    if (st != ST_OK || back_s == 0)
        return NULL;
    const char *by = how_long(back_s, mem);
    return arena_print(mem,
                       "The clock of the farm's machine has gone back: something was recorded %s later than it shows "
                       "now. Put it right, and correct the record where the hour matters.",
                       by ? by : "");
}
