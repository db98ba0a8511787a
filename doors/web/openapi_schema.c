/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "desk/keeping.h"
#include "doors/web/openapi.h"

static const struct {
    const char *type, *format;
} types[] = {
    [SHAPE_OBJECT] = { "object", NULL }, [SHAPE_LIST] = { "array", NULL },   [SHAPE_REAL] = { "number", NULL },
    [SHAPE_WHOLE] = { "integer", NULL }, [SHAPE_TEXT] = { "string", NULL },  [SHAPE_MOMENT] = { "string", "date-time" },
    [SHAPE_DAY] = { "string", "date" },  [SHAPE_FLAG] = { "boolean", NULL }, [SHAPE_REALS] = { "array", NULL },
};

static void say(json_t *schema, const char *key, const char *text)
{
    if (text && *text)
        (void)json_object_set_new(schema, key, json_string(text));
}

static void fill(json_t *schema, enum shape_of of, bool nullable)
{
    const char *type = types[of].type;

    (void)json_object_set_new(schema, "type", nullable ? json_pack("[s,s]", type, "null") : json_string(type));
    say(schema, "format", types[of].format);
    if (of == SHAPE_REALS)
        (void)json_object_set_new(schema, "items", json_pack("{s:[s,s]}", "type", "number", "null"));
}

json_t *schema_type(enum shape_of of, bool nullable)
{
    json_t *schema = json_object();
    fill(schema, of, nullable);
    return schema;
}

/* The object under that key, made if it is not there. */
static json_t *within(json_t *object, const char *key)
{
    json_t *there = json_object_get(object, key);

    if (there)
        return there;
    return json_object_set_new(object, key, json_object()) == 0 ? json_object_get(object, key) : NULL;
}

/* One row: its path is walked down from the whole answer, and the schema at its end filled in. */
static void add_row(json_t *whole, const struct shape *row)
{
    json_t *at = whole, *above = NULL;
    char name[128];
    bool item = false;

    for (const char *s = row->path; *s && at;) {
        const size_t n = strcspn(s, ".[");
        if (n > 0) {
            (void)snprintf(name, sizeof name, "%.*s", (int)n, s);
            above = at;
            item = strcmp(name, "*") == 0;
            at = item ? within(at, "additionalProperties") : within(within(at, "properties"), name);
            s += n;
        } else if (*s == '[') {
            at = within(at, "items");
            item = true;
            s += strcspn(s, "]") + 1;
        } else {
            s++;
        }
    }
    if (!at)
        return;
    const size_t n = strlen(row->path);
    const bool anything = row->of == SHAPE_OBJECT && n > 0 && row->path[n - 1] == '*';
    if (!anything)
        fill(at, row->of, row->nullable && !item);
    say(at, "description", row->help);
    if (item || row->nullable || !above)
        return;
    if (!json_object_get(above, "required"))
        (void)json_object_set_new(above, "required", json_array());
    (void)json_array_append_new(json_object_get(above, "required"), json_string(name));
}

json_t *schema_of_shape(size_t n, const struct shape shape[])
{
    json_t *whole = schema_type(SHAPE_OBJECT, false);

    for (size_t i = 0; i < n; i++)
        add_row(whole, &shape[i]);
    return whole;
}

json_t *schema_of_body(size_t n, const struct web_field takes[])
{
    json_t *schema = schema_type(SHAPE_OBJECT, false), *fields = within(schema, "properties"), *required = json_array();

    for (size_t i = 0; i < n; i++) {
        json_t *field = schema_type(takes[i].of, !takes[i].required);
        say(field, "description", takes[i].help);
        (void)json_object_set_new(fields, takes[i].name, field);
        if (takes[i].required)
            (void)json_array_append_new(required, json_string(takes[i].name));
    }
    if (json_array_size(required) > 0)
        (void)json_object_set(schema, "required", required);
    json_decref(required);
    (void)json_object_set_new(schema, "additionalProperties", json_false());
    return schema;
}

/* "open|lee|hut" -> ["open", "lee", "hut"] */
static json_t *choices_of(const char *choices)
{
    json_t *list = json_array();

    for (const char *c = choices; *c;) {
        const size_t n = strcspn(c, "|");
        (void)json_array_append_new(list, json_stringn(c, n));
        c += n + (c[n] == '|');
    }
    return list;
}

json_t *schema_of_param(const struct param *p)
{
    json_t *schema = schema_type(p->kind == P_WHOLE  ? SHAPE_WHOLE
                                 : p->kind == P_FLAG ? SHAPE_FLAG
                                 : p->kind == P_DAY  ? SHAPE_DAY
                                                     : SHAPE_TEXT,
                                 false);

    if (p->kind == P_WHOLE) {
        (void)json_object_set_new(schema, "minimum", json_real(p->low));
        (void)json_object_set_new(schema, "maximum", json_real(p->high));
    }
    if (p->kind == P_CHOICE)
        (void)json_object_set_new(schema, "enum", choices_of(p->choices));
    return p->how & PARAM_REPEAT ? json_pack("{s:s,s:o}", "type", "array", "items", schema) : schema;
}

static const char *type_of(const struct fact_field *f)
{
    switch (f->type) {
    case FACT_REAL: return "number";
    case FACT_WHOLE: return "integer";
    case FACT_FLAG: return "boolean";
    case FACT_TEXT:
    case FACT_CHOICE:
    case FACT_SET:
    case FACT_DAY:
    case FACT_MOMENT:
    case FACT_REF: return "string";
    }
    return "string";
}

/* Under the field's own name a value of its type will do, and a text always; under the flag's name a text. */
static json_t *field_schema(const struct fact_field *f, bool own_name)
{
    const char *type = own_name ? type_of(f) : "string";
    json_t *schema = json_object(), *list = json_array();

    if (strcmp(type, "string") != 0)
        (void)json_array_append_new(list, json_string(type));
    (void)json_array_append_new(list, json_string("string"));
    if (f->type == FACT_SET)
        (void)json_array_append_new(list, json_string("array"));
    (void)json_array_append_new(list, json_string("null"));
    (void)json_object_set_new(schema, "type", list);
    say(schema, "description", f->help);
    if (f->type == FACT_SET)
        (void)json_object_set_new(schema, "items", json_pack("{s:o}", "enum", choices_of(f->choices)));
    if (f->type == FACT_CHOICE) {
        json_t *choices = choices_of(f->choices);
        (void)json_array_append_new(choices, json_null());
        (void)json_object_set_new(schema, "enum", choices);
    }
    if (own_name && (f->type == FACT_REAL || f->type == FACT_WHOLE)) { /* hold for numbers alone */
        (void)json_object_set_new(schema, "minimum", json_real(f->low));
        (void)json_object_set_new(schema, "maximum", json_real(f->high));
    }
    return schema;
}

json_t *schema_of_kind(const struct fact_kind *kind)
{
    json_t *schema = schema_type(SHAPE_OBJECT, false), *fields = within(schema, "properties"), *all = json_array();

    say(schema, "description", kind->help);
    for (size_t i = 0; i < kind->n_fields; i++) {
        const struct fact_field *f = &kind->fields[i];
        char flag[40];
        (void)fact_flag_name(f, flag);
        const bool two = strcmp(flag, f->name) != 0;
        (void)json_object_set_new(fields, f->name, field_schema(f, true));
        if (two)
            (void)json_object_set_new(fields, flag, field_schema(f, false));
        if (!(f->how & FACT_REQUIRED) || f->otherwise)
            continue;
        (void)json_array_append_new(
            all, two ? json_pack("{s:[{s:[s]},{s:[s]}]}", "anyOf", "required", f->name, "required", flag)
                     : json_pack("{s:[s]}", "required", f->name));
    }
    if (json_array_size(all) > 0)
        (void)json_object_set(schema, "allOf", all);
    json_decref(all);
    (void)json_object_set_new(schema, "additionalProperties", json_false());
    return schema;
}
