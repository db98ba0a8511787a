/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is odd, and what waits in the held tray.
 */
#include <jansson.h>
#include <string.h>

#include "desk/labels.h"
#include "desk/records.h"

void records_odd(struct answer *answer, const char *key, size_t n, const struct farm_flag flags[])
{
    struct answer *rows = answer_list(answer, key);

    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(rows);
        answer_whole(row, "number", flags[i].number);
        answer_text(row, "key", flags[i].key);
        answer_text(row, "says", flags[i].says);
    }
}

enum status records_flags(struct farm *farm, struct answer *answer, struct message *why)
{
    struct farm_flag *list = NULL;
    size_t n = 0;
    const enum status st = farm_flags(farm, false, 0, answer->mem, &list, &n, why);

    if (st != ST_OK)
        return st;
    struct answer *rows = answer_list(answer, "flags");
    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(rows);
        answer_whole(row, "number", list[i].number);
        answer_text(row, "key", list[i].key);
        answer_text(row, "kind", list[i].kind);
        answer_text(row, "uid", list[i].uid);
        answer_text(row, "called", farm_called(farm, list[i].uid, answer->mem));
        answer_text(row, "other_uid", *list[i].other_uid ? list[i].other_uid : NULL);
        answer_text(row, "says", list[i].says);
        answer_moment(row, "raised", list[i].raised_utc_s);
    }
    return ST_OK;
}

/* ---- the tray ---- */

/* One member as a form can show it; what no field can hold stays in the body alone. */
static void put_member(struct answer *fact, const char *key, const json_t *v)
{
    struct arena *mem = fact->mem;
    const char *k = arena_text(mem, key);

    if (json_is_string(v))
        answer_text(fact, k, arena_text(mem, json_string_value(v)));
    else if (json_is_integer(v))
        answer_whole(fact, k, json_integer_value(v));
    else if (json_is_real(v))
        answer_real(fact, k, json_real_value(v));
    else if (json_is_boolean(v))
        answer_flag(fact, k, json_is_true(v));
    else if (json_is_array(v)) {
        struct answer *words = answer_list(fact, k);
        for (size_t i = 0; i < json_array_size(v); i++)
            if (json_is_string(json_array_get(v, i)))
                answer_words(words, arena_text(mem, json_string_value(json_array_get(v, i))));
    }
}

static void put_body(struct answer *row, const struct fact_kind *kind, const char *body)
{
    json_t *said = json_loads(body, JSON_REJECT_DUPLICATES, NULL); /* NULL: it was too long to be kept whole */
    struct answer *fact = answer_object(row, "fact");
    const char *replaces = json_string_value(json_object_get(said, "replaces"));
    const char *key;
    json_t *v;

    if (kind && json_is_object(said))
        json_object_foreach(said, key, v) if (fact_field_find(kind, key) != FACT_NO_FIELD) put_member(fact, key, v);
    answer_text(row, "replaces", replaces ? arena_text(row->mem, replaces) : NULL);
    json_decref(said);
}

enum status records_held(struct farm *farm, struct answer *answer, struct message *why)
{
    struct farm_held *list = NULL;
    size_t n = 0;
    const enum status st = farm_held(farm, false, answer->mem, &list, &n, why);

    if (st != ST_OK)
        return st;
    struct answer *rows = answer_list(answer, "held");
    for (size_t i = 0; i < n; i++) {
        const struct fact_kind *kind = fact_kind_find(list[i].kind);
        struct answer *row = answer_item(rows);
        struct message reason = { "", "" };
        (void)refuse(ST_BAD_INPUT, &reason, list[i].field, "%s", list[i].reason);
        if (kind)
            fact_label_message(kind, &reason);
        answer_whole(row, "number", list[i].number);
        answer_text(row, "kind", list[i].kind[0] ? list[i].kind : NULL);
        answer_text(row, "uid", list[i].uid);
        answer_text(row, "body", list[i].body);
        put_body(row, kind, list[i].body);
        answer_text(row, "who", list[i].who[0] ? list[i].who : NULL);
        answer_text(row, "device", list[i].device[0] ? list[i].device : NULL);
        answer_moment(row, "recorded", list[i].recorded_utc_s);
        answer_moment(row, "held", list[i].held_utc_s);
        answer_text(row, "field", reason.field[0] ? arena_text(answer->mem, reason.field) : NULL);
        answer_text(row, "reason", arena_text(answer->mem, reason.text));
    }
    return ST_OK;
}

enum status records_held_one(struct farm *farm, int64_t number, struct arena *mem, struct farm_held *held,
                             const char **replaces, struct message *why)
{
    struct farm_held *list = NULL;
    size_t n = 0, i = 0;
    const enum status st = farm_held(farm, false, mem, &list, &n, why);

    if (st != ST_OK)
        return st;
    while (i < n && list[i].number != number)
        i++;
    if (i == n)
        return refuse(ST_NOT_FOUND, why, "number", "no record that waits has the number %lld", (long long)number);
    *held = list[i];
    json_t *said = json_loads(held->body, JSON_REJECT_DUPLICATES, NULL);
    const char *was = json_string_value(json_object_get(said, "replaces"));
    *replaces = was ? arena_text(mem, was) : NULL;
    json_decref(said);
    return ST_OK;
}
