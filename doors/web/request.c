/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/request.h"

#include <string.h>

#include "core/base/units.h"
#include "desk/keeping.h"

/* ---- the address ---- */

static int hex(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    c |= 0x20;
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

/* n bytes of the address, decoded; NULL: badly written, or out of memory. */
static const char *decoded(const char *s, size_t n, bool plus, struct arena *mem)
{
    char *out = arena_get(mem, n + 1, 1);
    size_t k = 0;

    for (size_t i = 0; out && i < n; i++) {
        int c = (unsigned char)s[i];
        if (c == '%') {
            const int a = i + 1 < n ? hex(s[i + 1]) : -1, b = i + 2 < n ? hex(s[i + 2]) : -1;
            if (a < 0 || b < 0)
                return NULL;
            c = a * 16 + b;
            i += 2;
        } else if (c == '+' && plus) {
            c = ' ';
        }
        if (c < 0x20 || c == 0x7F)
            return NULL;
        out[k++] = (char)c;
    }
    /* jansson's own check of UTF-8 */
    json_t *text = out ? json_stringn(out, k) : NULL;
    json_decref(text);
    return text ? out : NULL;
}

static enum status badly_written(struct arena *mem, struct message *why)
{
    return arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "the address is too long")
                           : refuse(ST_BAD_INPUT, why, "", "the address of this request is not well written");
}

enum status request_address_read(const char *uri, struct arena *mem, struct request_address *a, struct message *why)
{
    const size_t path = strcspn(uri, "?#");
    struct web_pair *pairs = NULL;
    size_t n = 0;

    *a = (struct request_address){ .path = *uri == '/' ? decoded(uri, path, false, mem) : NULL };
    if (!a->path)
        return badly_written(mem, why);
    if (uri[path] != '?')
        return ST_OK;
    for (const char *s = uri + path + 1; *s && *s != '#';) {
        const size_t whole = strcspn(s, "&#");
        const char *equals = memchr(s, '=', whole);
        const size_t name = equals ? (size_t)(equals - s) : whole;
        if (whole > 0) {
            if (n == REQUEST_PAIRS)
                return refuse(ST_BAD_INPUT, why, "", "too many parameters; %d at most", REQUEST_PAIRS);
            if (!pairs)
                pairs = ARENA_NEW(mem, struct web_pair, REQUEST_PAIRS);
            if (!pairs)
                return badly_written(mem, why);
            pairs[n].name = decoded(s, name, true, mem);
            pairs[n].text = equals ? decoded(equals + 1, whole - name - 1, true, mem) : "";
            if (!pairs[n].name || !pairs[n].text)
                return badly_written(mem, why);
            n++;
        }
        s += whole + (s[whole] == '&');
    }
    a->query = pairs;
    a->n_query = n;
    return ST_OK;
}

bool request_matches(const struct web_route *route, const char *path, const char **rest)
{
    const size_t n = strlen(route->path);

    *rest = "";
    if (n == 0 || route->path[n - 1] != '*')
        return strcmp(route->path, path) == 0;
    if (strncmp(route->path, path, n - 1) != 0 || !path[n - 1] || strchr(path + n - 1, '/'))
        return false;
    *rest = path + n - 1;
    return true;
}

/* ---- the body ---- */

/* jansson goes down as deep as 2,048; a body of ours never does. */
static bool too_deep(const char *s, size_t n)
{
    bool in_text = false;
    int depth = 0;

    for (size_t i = 0; i < n; i++) {
        if (in_text) {
            if (s[i] == '\\')
                i++;
            else if (s[i] == '"')
                in_text = false;
        } else if (s[i] == '"') {
            in_text = true;
        } else if (s[i] == '{' || s[i] == '[') {
            if (++depth > REQUEST_DEPTH)
                return true;
        } else if (s[i] == '}' || s[i] == ']') {
            depth--;
        }
    }
    return false;
}

enum status request_body_read(const char *bytes, size_t n, json_t **body, struct message *why)
{
    json_error_t error;

    if (n == 0)
        return refuse(ST_BAD_INPUT, why, "", "the request is empty; it takes a JSON object");
    if (too_deep(bytes, n))
        return refuse(ST_BAD_INPUT, why, "", "the JSON goes more than %d levels deep", REQUEST_DEPTH);
    json_t *read = json_room_load(bytes, n, &error);
    if (!read && json_had_no_room(&error))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (!read)
        return refuse(ST_BAD_INPUT, why, "", "that is not JSON as it is read here: %.120s (line %d, column %d)",
                      error.text, error.line, error.column);
    if (!json_is_object(read)) {
        json_decref(read);
        return refuse(ST_BAD_INPUT, why, "", "the request takes a JSON object, {...}");
    }
    *body = read;
    return ST_OK;
}

static const struct web_field *field_of(size_t n, const struct web_field takes[], const char *name)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(takes[i].name, name) == 0)
            return &takes[i];
    return NULL;
}

static bool of_type(const json_t *v, enum shape_of of)
{
    switch (of) {
    case SHAPE_OBJECT: return json_is_object(v);
    case SHAPE_LIST:
    case SHAPE_REALS: return json_is_array(v);
    case SHAPE_REAL: return json_is_number(v);
    case SHAPE_WHOLE: return json_is_integer(v);
    case SHAPE_TEXT:
    case SHAPE_MOMENT:
    case SHAPE_DAY: return json_is_string(v);
    case SHAPE_FLAG: return json_is_boolean(v);
    }
    return false;
}

static const char *const type_words[] = {
    [SHAPE_OBJECT] = "an object",     [SHAPE_LIST] = "a list",    [SHAPE_REAL] = "a number",
    [SHAPE_WHOLE] = "a whole number", [SHAPE_TEXT] = "a text",    [SHAPE_MOMENT] = "a text",
    [SHAPE_DAY] = "a text",           [SHAPE_FLAG] = "yes or no", [SHAPE_REALS] = "a list",
};

static enum status no_such(const char *what, const char *name, struct message *why)
{
    return refuse(ST_BAD_INPUT, why, name, "%s \"%.60s\" is not known here", what, name);
}

static enum status missing(const struct web_field *f, struct message *why)
{
    return refuse(ST_BAD_INPUT, why, f->name, "%s is needed: %s", f->name, f->help);
}

enum status request_body_fits(const json_t *body, size_t n, const struct web_field takes[], struct message *why)
{
    const char *name;
    json_t *v;

    json_object_foreach((json_t *)(uintptr_t)body, name, v)
    {
        const struct web_field *f = field_of(n, takes, name);
        if (!f)
            return no_such("the member", name, why);
        if (!json_is_null(v) && !of_type(v, f->of))
            return refuse(ST_BAD_INPUT, why, name, "%s will not do; give %s: %s", name, type_words[f->of], f->help);
    }
    for (size_t i = 0; i < n; i++)
        if (takes[i].required &&
            (!json_object_get(body, takes[i].name) || json_is_null(json_object_get(body, takes[i].name))))
            return missing(&takes[i], why);
    return ST_OK;
}

bool request_flag(const char *value, bool *known)
{
    static const char *const yes[] = { "", "1", "yes", "true" }, *const no[] = { "0", "no", "false" };

    *known = true;
    for (size_t i = 0; i < COUNT(yes); i++)
        if (strcmp(value, yes[i]) == 0)
            return true;
    for (size_t i = 0; i < COUNT(no); i++)
        if (strcmp(value, no[i]) == 0)
            return false;
    *known = false;
    return false;
}

static bool query_of_type(const char *text, enum shape_of of)
{
    int64_t whole = 0;
    double real = 0.0;
    bool known = true;

    if (of == SHAPE_WHOLE)
        return read_whole(text, &whole);
    if (of == SHAPE_REAL)
        return read_real(text, &real);
    if (of == SHAPE_FLAG)
        (void)request_flag(text, &known);
    return known;
}

enum status request_query_fits(size_t n_query, const struct web_pair query[], size_t n, const struct web_field takes[],
                               struct message *why)
{
    for (size_t q = 0; q < n_query; q++) {
        const struct web_field *f = field_of(n, takes, query[q].name);
        if (!f)
            return no_such("the parameter", query[q].name, why);
        for (size_t before = 0; before < q; before++)
            if (strcmp(query[before].name, query[q].name) == 0)
                return refuse(ST_BAD_INPUT, why, f->name, "%s is given twice; once is enough", f->name);
        if (!query_of_type(query[q].text, f->of))
            return refuse(ST_BAD_INPUT, why, f->name, "%s: \"%.40s\" will not do; give %s: %s", f->name, query[q].text,
                          type_words[f->of], f->help);
    }
    for (size_t i = 0; i < n; i++) {
        bool there = !takes[i].required;
        for (size_t q = 0; q < n_query && !there; q++)
            there = strcmp(query[q].name, takes[i].name) == 0;
        if (!there)
            return missing(&takes[i], why);
    }
    return ST_OK;
}
