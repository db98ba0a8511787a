/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One fact from a JSON object that a form or a phone made.
 */
#include <jansson.h>
#include <string.h>

#include "farm/exchange_own.h"

static enum status read_member(const struct fact_kind *kind, const char *key, const json_t *v,
                               const struct fact_speech *speech, struct arena *mem, struct fact_value *values,
                               struct message *why)
{
    char flag[40];
    const size_t i = fact_field_find(kind, key);

    if (i == FACT_NO_FIELD)
        return json_unknown_key(kind, key, why);
    const struct fact_field *f = &kind->fields[i];
    const char *text = json_as_typed(f, v, mem, why);
    if (!text)
        return ST_BAD_INPUT;
    if (values[i].given)
        return refuse(ST_BAD_INPUT, why, f->name, "%s is given twice", fact_flag_name(f, flag));
    const char *named = json_is_string(v) ? fact_flag_name(f, flag) : f->name;
    struct message inner = { "", "" };
    const enum status st = fact_value_read(f, named, text, speech, mem, &values[i], &inner);
    return st == ST_OK ? st : refuse(st, why, f->name, "%s", inner.text);
}

enum status farm_json_fact(const struct json_t *object, const struct fact_kind *kind, const struct fact_speech *speech,
                           struct arena *mem, struct fact_value **values, struct message *why)
{
    struct fact_value *list = ARENA_NEW(mem, struct fact_value, kind->n_fields);
    enum status st = ST_OK;

    if (!list)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (!json_is_object(object))
        return refuse(ST_BAD_INPUT, why, "fact", "fact: an object of the fields of a %s is wanted", kind->name);
    for (void *at = json_object_iter((json_t *)(uintptr_t)object); at && st == ST_OK;
         at = json_object_iter_next((json_t *)(uintptr_t)object, at)) /* jansson's iterator knows no const */
        st = read_member(kind, json_object_iter_key(at), json_object_iter_value(at), speech, mem, list, why);
    if (st == ST_OK)
        *values = list;
    return st;
}

/* The name under which farm_json_read() takes this value as it was meant. */
static const char *key_for(const struct fact_kind *kind, const char *key, const json_t *v, char flag[static 40])
{
    const size_t i = kind ? fact_field_find(kind, key) : FACT_NO_FIELD;

    if (i == FACT_NO_FIELD)
        return key;
    return json_is_string(v) ? fact_flag_name(&kind->fields[i], flag) : kind->fields[i].name;
}

const char *farm_json_body(const struct json_t *fact, const struct fact_kind *kind, const char *kind_said,
                           const char *replaces, struct arena *mem)
{
    json_t *whole = (json_t *)(uintptr_t)fact, *out = json_object(),
           *said = kind || !kind_said ? NULL : json_string(kind_said);
    bool good = out != NULL;

    for (void *at = json_is_object(fact) ? json_object_iter(whole) : NULL; at && good;
         at = json_object_iter_next(whole, at)) {
        char flag[40];
        json_t *v = json_object_iter_value(at);
        const char *key = key_for(kind, json_object_iter_key(at), v, flag);
        if (json_object_get(out, key)) /* said twice, under both names: kept so, and refused so */
            key = json_object_iter_key(at);
        good = json_object_set(out, key, v) == 0;
    }
    if (good && !json_is_object(fact) && fact)
        good = json_object_set(out, "fact", whole) == 0;
    if (good && said)
        good = json_object_set(out, "kind", said) == 0;
    if (good && replaces)
        good = json_object_set_new(out, "replaces", json_string(replaces)) == 0;
    char *text = good ? json_dumps(out, JSON_COMPACT | JSON_REAL_PRECISION(17)) : NULL;
    const char *kept = text ? arena_text(mem, text) : NULL;
    free(text);
    json_decref(said);
    json_decref(out);
    return kept;
}
