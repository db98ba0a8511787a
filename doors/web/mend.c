/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Mending: taking back, looking back, settling what is odd and what waits.
 */
#include <string.h>

#include "desk/keep_body.h"
#include "desk/labels.h"
#include "desk/records.h"
#include "doors/web/recording.h"

static enum status meta_of(const struct web_call *call, struct farm_meta *meta, struct message *why)
{
    const char *who = NULL;
    const enum status st = web_body_text(call, "who", &who, why);

    *meta = (struct farm_meta){ .who = who && *who ? who : NULL, .device = web_device(call) };
    return st;
}

/* ---- undo, redo, void ---- */

static const struct web_field turn_takes[] = {
    { "what", SHAPE_TEXT, false, "uid of a record or of what is undone together; the newest unless given" },
    { "try", SHAPE_FLAG, false, "say what would be done, and do nothing" },
    { "who", SHAPE_TEXT, false, "who says so" },
};
static const struct web_field void_takes[] = {
    { "uid", SHAPE_TEXT, true, "of the record to be taken out" },
    { "try", SHAPE_FLAG, false, "say what would be done, and do nothing" },
    { "who", SHAPE_TEXT, false, "who says so" },
};
static const struct shape turn_gives[] = {
    { "batch", SHAPE_TEXT, true, "of this very change, to take it back by; none when it was only tried" },
    CHANGED_SHAPE,
    { "dependents", SHAPE_WHOLE, false, "of those, how many only because they rest on the others" },
};

typedef enum status turning(struct farm *farm, const char *what, bool dry_run, const struct farm_meta *meta,
                            struct arena *mem, struct farm_undo *undo, struct message *why);

static enum status turn(struct web_call *call, struct web_reply *reply, const char *named, turning *how,
                        struct message *why)
{
    struct farm_undo u = { .n_changes = 0 };
    struct farm_meta meta;
    const char *what = NULL;

    enum status st = web_body_text(call, named, &what, why);
    if (st == ST_OK && what && !farm_is_uid(what))
        st = refuse(ST_BAD_INPUT, why, named, "%s: \"%.40s\" is not a uid; 32 digits of 0-9 and a-f are wanted", named,
                    what);
    if (st == ST_OK)
        st = meta_of(call, &meta, why);
    if (st == ST_OK)
        st = how(call->farm, what, json_is_true(json_object_get(call->body, "try")), &meta, call->mem, &u, why);
    if (st != ST_OK)
        return st;
    struct answer *a = answer_new(call->mem);
    records_undone(a, &u);
    return web_answer(call, reply, a, why);
}

static enum status undo(struct web_call *call, struct web_reply *reply, struct message *why)
{
    return turn(call, reply, "what", farm_undo, why);
}

static enum status redo(struct web_call *call, struct web_reply *reply, struct message *why)
{
    return turn(call, reply, "what", farm_redo, why);
}

static enum status void_one(struct web_call *call, struct web_reply *reply, struct message *why)
{
    return turn(call, reply, "uid", farm_void, why);
}

/* ---- history ---- */

static const struct web_field history_takes[] = {
    { "uid", SHAPE_TEXT, false, "of one record alone" },
    { "before", SHAPE_WHOLE, false, "number of a change: what is older than that" },
    { "most", SHAPE_WHOLE, false, "how many, 1 to 500; 50 unless given" },
};
static const struct shape history_gives[] = { CHANGE_SHAPE };

static enum status history(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const char *uid = web_query(call, "uid");
    int64_t before = 0;
    size_t most = 0;
    enum status st = web_page(call, &before, &most, why);

    if (st == ST_OK && uid && !farm_is_uid(uid))
        st = refuse(ST_BAD_INPUT, why, "uid", "uid: \"%.40s\" is not one; 32 digits of 0-9 and a-f are wanted", uid);
    struct answer *a = answer_new(call->mem);
    if (st == ST_OK)
        st = records_history(call->farm, uid, before, most, a, why);
    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

/* ---- what is odd ---- */

static const struct web_field settle_takes[] = {
    { "number", SHAPE_WHOLE, true, "of what is odd" },
    { "note", SHAPE_TEXT, false, "why it is right after all" },
    { "who", SHAPE_TEXT, false, "who says so" },
};
static const struct shape flags_gives[] = {
    { "flags", SHAPE_LIST, false, "what is odd and not settled" },
    { "flags[]", SHAPE_OBJECT, true, "" },
    { "flags[].number", SHAPE_WHOLE, false, "to settle it by" },
    { "flags[].key", SHAPE_TEXT, false, "what is odd, as a key" },
    { "flags[].kind", SHAPE_TEXT, false, "kind of the record that brought it up" },
    { "flags[].uid", SHAPE_TEXT, false, "of that record" },
    { "flags[].called", SHAPE_TEXT, true, "what that is called" },
    { "flags[].other_uid", SHAPE_TEXT, true, "of the record it is at odds with" },
    { "flags[].says", SHAPE_TEXT, false, "as a sentence" },
    { "flags[].raised", SHAPE_MOMENT, false, "when it was noticed" },
};

static enum status flags(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct answer *a = answer_new(call->mem);
    const enum status st = records_flags(call->farm, a, why);

    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

static enum status settle(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const json_int_t number = json_integer_value(json_object_get(call->body, "number"));
    struct farm_meta meta;
    const char *note = NULL;

    enum status st = web_body_text(call, "note", &note, why);
    if (st == ST_OK)
        st = meta_of(call, &meta, why);
    if (st == ST_OK)
        st = farm_settle(call->farm, number, note, &meta, why);
    if (st != ST_OK && strcmp(why->field, "flag") == 0)
        (void)snprintf(why->field, sizeof why->field, "number"); /* as it is called in this body */
    return st == ST_OK ? flags(call, reply, why) : st;
}

/* ---- what waits ---- */

static const struct web_field held_takes[] = {
    { "number", SHAPE_WHOLE, true, "of the one that waits" },
    { "fact", SHAPE_OBJECT, false, "all its fields, put right: it is recorded as of the time it was made" },
    { "drop", SHAPE_FLAG, false, "it is not to be recorded" },
    { "who", SHAPE_TEXT, false, "who says so" },
};
static const struct shape held_gives[] = {
    { "held", SHAPE_LIST, false, "what was refused and waits for a person" },
    { "held[]", SHAPE_OBJECT, true, "" },
    { "held[].number", SHAPE_WHOLE, false, "to settle it by" },
    { "held[].kind", SHAPE_TEXT, true, "kind of record; none where it is of no kind that is known" },
    { "held[].uid", SHAPE_TEXT, false, "of the record" },
    { "held[].body", SHAPE_TEXT, false, "as it came" },
    { "held[].fact", SHAPE_OBJECT, false, "the same as fields of a form" },
    { "held[].fact.*", SHAPE_OBJECT, true, "a field" },
    { "held[].replaces", SHAPE_TEXT, true, "uid of the record it was to put right" },
    { "held[].who", SHAPE_TEXT, true, "who said so" },
    { "held[].device", SHAPE_TEXT, true, "on which device" },
    { "held[].recorded", SHAPE_MOMENT, false, "when the person recorded it" },
    { "held[].held", SHAPE_MOMENT, false, "when it was refused" },
    { "held[].field", SHAPE_TEXT, true, "the field that is wrong" },
    { "held[].reason", SHAPE_TEXT, false, "why, as a sentence" },
};

static enum status held(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct answer *a = answer_new(call->mem);
    const enum status st = records_held(call->farm, a, why);

    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

static enum status put_right(struct web_call *call, const struct farm_held *h, struct farm_meta *meta,
                             struct message *why)
{
    const struct fact_kind *kind = fact_kind_find(h->kind);
    const struct keep_body body = { .kind = h->kind,
                                    .fact = json_object_get(call->body, "fact"),
                                    .meta = { .uid = h->uid, .recorded_utc_s = h->recorded_utc_s } };
    struct fact_value *values = NULL;
    struct farm_outcome o;

    if (!kind)
        return refuse(ST_BAD_INPUT, why, "number", "that is of no kind that is known here; it can only be dropped");
    enum status st = keep_body_values(call->farm, &body, kind, call->now_utc_s, call->mem, &values, why);
    if (st != ST_OK)
        return st;
    st = farm_settle_held(call->farm, h->number, values, meta, call->mem, &o, why);
    if (st != ST_OK)
        fact_label_message(kind, why);
    return st;
}

static enum status held_settle(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const bool drop = json_is_true(json_object_get(call->body, "drop"));
    const bool fact = json_is_object(json_object_get(call->body, "fact"));
    struct farm_held one = { .number = 0 };
    struct farm_meta meta;
    const char *replaces = NULL;

    if (drop == fact)
        return refuse(ST_BAD_INPUT, why, "fact", "give the record put right, or drop: one of the two");
    enum status st = meta_of(call, &meta, why);
    if (st == ST_OK)
        st = records_held_one(call->farm, json_integer_value(json_object_get(call->body, "number")), call->mem, &one,
                              &replaces, why);
    if (st != ST_OK)
        return st;
    meta.replaces = replaces;
    st = drop ? farm_settle_held(call->farm, one.number, NULL, &meta, call->mem, NULL, why)
              : put_right(call, &one, &meta, why);
    return st == ST_OK ? held(call, reply, why) : st;
}

#define TAKES(list) .takes = (list), .n_takes = COUNT(list)
#define GIVES(list) .gives = (list), .n_gives = COUNT(list)

const struct web_route web_routes_mend[] = {
    { WEB_POST, "/api/undo", WEB_JSON, "Take back the newest change to the record, or one named", TAKES(turn_takes),
      GIVES(turn_gives), .handle = undo },
    { WEB_POST, "/api/redo", WEB_JSON, "Take an undo back", TAKES(turn_takes), GIVES(turn_gives), .handle = redo },
    { WEB_POST, "/api/void", WEB_JSON, "Take one record out, with what rests on it", TAKES(void_takes),
      GIVES(turn_gives), .handle = void_one },
    { WEB_GET, "/api/history", 0, "What was changed, when and by whom, newest first", TAKES(history_takes),
      GIVES(history_gives), .handle = history },
    { WEB_GET, "/api/flags", 0, "What is recorded but odd, until somebody settles it", GIVES(flags_gives),
      .handle = flags },
    { WEB_POST, "/api/flags", WEB_JSON, "Say that an odd record is right", TAKES(settle_takes), GIVES(flags_gives),
      .handle = settle },
    { WEB_GET, "/api/held", 0, "Records that were refused and wait for somebody to settle them", GIVES(held_gives),
      .handle = held },
    { WEB_POST, "/api/held", WEB_JSON, "Record one that waits, put right; or drop it", TAKES(held_takes),
      GIVES(held_gives), .handle = held_settle },
    { .path = NULL },
};
