/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Facts from JSON. The library reads; what may stand where is checked here.
 */
#include <jansson.h>
#include <stdio.h>
#include <string.h>

#include "farm/exchange_own.h"
#include "farm/json_room.h"
#include "farm/near.h"

struct reading_json {
    const char *name;
    const struct fact_kind *only; /* NULL: each says its own */
    const struct fact_speech *speech;
    struct arena *mem;
    struct farm_item *item;
    size_t n;
};

enum status json_unknown_key(const struct fact_kind *kind, const char *key, struct message *why)
{
    char flag[40];

    for (size_t i = 0; i < kind->n_fields; i++)
        if (near_enough(key, kind->fields[i].name) || near_enough(key, fact_flag_name(&kind->fields[i], flag)))
            return refuse(ST_BAD_INPUT, why, key, "the kind %s has no \"%.40s\"; did you mean %s?", kind->name, key,
                          kind->fields[i].name);
    return refuse(ST_BAD_INPUT, why, key, "the kind %s has no \"%.40s\"; its help lists what it has", kind->name, key);
}

/* A list of words -> "a,b". */
static const char *joined(const json_t *list, struct arena *mem)
{
    const char *out = "";
    size_t i;
    const json_t *word;

    json_array_foreach(list, i, word)
    {
        if (!json_is_string(word))
            return NULL;
        out = arena_print(mem, "%s%s%s", out, i ? "," : "", json_string_value(word));
        if (!out)
            return NULL;
    }
    return out;
}

/* The value as the text that a person would type; NULL with *why when the type will not do. */
const char *json_as_typed(const struct fact_field *f, const json_t *v, struct arena *mem, struct message *why)
{
    const char *text = NULL;
    char number[40];

    if (json_is_null(v))
        return "";
    if (json_is_string(v)) {
        if (strlen(json_string_value(v)) == json_string_length(v))
            return json_string_value(v);
        (void)refuse(ST_BAD_INPUT, why, f->name, "%s: it holds a character that is no text (a zero)", f->name);
        return NULL;
    }
    if (f->type == FACT_REAL && json_is_number(v))
        text = arena_text(mem, words_real(json_number_value(v), number));
    else if (f->type == FACT_WHOLE && json_is_integer(v))
        text = arena_print(mem, "%lld", (long long)json_integer_value(v));
    else if (f->type == FACT_FLAG && json_is_boolean(v))
        text = json_is_true(v) ? "yes" : "no";
    else if (f->type == FACT_SET && json_is_array(v))
        text = joined(v, mem);
    if (!text)
        (void)refuse(ST_BAD_INPUT, why, f->name, "%s: a %s will not do here; give %s", f->name,
                     json_is_object(v)    ? "{...}"
                     : json_is_array(v)   ? "list"
                     : json_is_boolean(v) ? "true or false"
                                          : "number",
                     f->type == FACT_REAL || f->type == FACT_WHOLE ? "a number"
                     : f->type == FACT_FLAG                        ? "true or false"
                     : f->type == FACT_SET                         ? "a list of words"
                                                                   : "text");
    return text;
}

static enum status read_key(const struct reading_json *r, struct farm_item *item, struct fact_value *values,
                            const char *key, const json_t *v, struct message *why)
{
    static const struct fact_field words = { .name = "text", .type = FACT_TEXT };
    const size_t i = fact_field_find(item->kind, key);
    const enum beside beside = i == FACT_NO_FIELD ? beside_find(key) : BESIDE_END;

    if (beside == BESIDE_KIND)
        return ST_OK;
    if (i == FACT_NO_FIELD && beside == BESIDE_END)
        return json_unknown_key(item->kind, key, why);
    const char *text = json_as_typed(i == FACT_NO_FIELD ? &words : &item->kind->fields[i], v, r->mem, why);
    if (!text)
        return ST_BAD_INPUT;
    if (i == FACT_NO_FIELD)
        return beside_read(beside, text, r->speech, r->mem, item, why);
    if (values[i].given)
        return refuse(ST_BAD_INPUT, why, key, "%s is given twice", key);
    return fact_value_read(&item->kind->fields[i], key, text, r->speech, r->mem, &values[i], why);
}

static enum status kind_of(const struct reading_json *r, const json_t *object, struct farm_item *item,
                           struct message *why)
{
    const json_t *says = json_object_get(object, "kind");
    /* an animal has no field "kind", and nothing else has: the word is free */

    item->kind = r->only;
    if (!says)
        return r->only ? ST_OK : refuse(ST_BAD_INPUT, why, "kind", "kind: not said; give one such as \"service\"");
    const struct fact_kind *kind = json_is_string(says) ? fact_kind_find(json_string_value(says)) : NULL;
    if (!kind)
        return refuse(ST_BAD_INPUT, why, "kind", "kind: \"%.40s\" is no kind of fact",
                      json_is_string(says) ? json_string_value(says) : "?");
    if (r->only && kind != r->only)
        return refuse(ST_BAD_INPUT, why, "kind", "kind: a %s is wanted here, not a %s", r->only->name, kind->name);
    item->kind = kind;
    return ST_OK;
}

static enum status read_object(struct reading_json *r, json_t *object, struct farm_item *item, struct message *why)
{
    const char *key;
    json_t *v;

    if (!json_is_object(object))
        return refuse(ST_BAD_INPUT, why, "", "a record is written {\"kind\": ..., ...}");
    char *body = json_dumps(object, JSON_COMPACT | JSON_REAL_PRECISION(17));
    if (!body)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    item->body = arena_text(r->mem, body);
    free(body);
    enum status st = kind_of(r, object, item, why);
    if (st != ST_OK)
        return st;
    struct fact_value *values = ARENA_NEW(r->mem, struct fact_value, item->kind->n_fields);
    if (!values || !item->body)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    item->values = values;
    const json_t *uid = json_object_get(object, "uid"); /* first, so that a refused one is still known by it */
    if (json_is_string(uid) && farm_is_uid(json_string_value(uid)))
        item->meta.uid = arena_text(r->mem, json_string_value(uid));
    json_object_foreach(object, key, v)
    {
        st = read_key(r, item, values, key, v, why);
        if (st != ST_OK)
            return st;
    }
    return ST_OK;
}

static enum status read_all(struct reading_json *r, json_t *root, struct message *why)
{
    const size_t count = json_is_array(root) ? json_array_size(root) : 1;

    if (!json_is_array(root) && !json_is_object(root))
        return refuse(ST_BAD_INPUT, why, "", "%s holds neither a record {...} nor a list of them [...]", r->name);
    if (count == 0)
        return refuse(ST_BAD_INPUT, why, "", "%s is an empty list", r->name);
    if (count > FARM_IMPORT_ROWS)
        return refuse(ST_BAD_INPUT, why, "", "%s has %zu records; at most %d at once", r->name, count,
                      FARM_IMPORT_ROWS);
    r->item = ARENA_NEW(r->mem, struct farm_item, count);
    if (!r->item)
        return refuse(ST_NO_MEMORY, why, "", "%s is too large", r->name);
    for (; r->n < count; r->n++) {
        struct farm_item *item = &r->item[r->n];
        struct message says = { "", "" };
        *item = (struct farm_item){ .file = r->name, .line = r->n + 1 };
        item->status = read_object(r, json_is_array(root) ? json_array_get(root, r->n) : root, item, &says);
        if (item->status == ST_NO_MEMORY)
            return refuse(ST_NO_MEMORY, why, "", "%s is too large", r->name);
        if (item->status != ST_OK)
            (void)refuse(item->status, &item->why, says.field, "%s, record %zu, %s", r->name, r->n + 1, says.text);
        item->told = item->status != ST_OK;
    }
    return ST_OK;
}

enum status farm_json_read(const char *name, const char *bytes, size_t n, const struct fact_kind *kind,
                           const struct fact_speech *speech, struct arena *mem, struct farm_item **items,
                           size_t *n_items, struct message *why)
{
    struct reading_json r = { .name = arena_text(mem, name), .only = kind, .speech = speech, .mem = mem };
    json_error_t error;

    if (!r.name)
        return refuse(ST_NO_MEMORY, why, "", "%s is too large", name);
    if (n > FARM_IMPORT_BYTES)
        return refuse(ST_BAD_INPUT, why, "", "%s has %zu bytes; at most %d at once", name, n, FARM_IMPORT_BYTES);
    json_t *root = json_room_load(bytes, n, &error);
    if (!root && json_had_no_room(&error))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (!root)
        return refuse(ST_BAD_INPUT, why, "", "%s, line %d: not JSON: %.120s", name, error.line > 0 ? error.line : 1,
                      error.text);
    const enum status st = read_all(&r, root, why);
    json_decref(root);
    if (st == ST_OK) {
        *items = r.item;
        *n_items = r.n;
    }
    return st;
}
