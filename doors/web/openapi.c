/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The API as a document (OpenAPI 3.1), made from the same tables that the server and the command line read.
 */
#include "doors/web/openapi.h"

#include <string.h>

#include "desk/keeping.h"
#include "doors/cli/cli.h"

struct document {
    json_t *paths, *schemas;
};

/* "#/components/schemas/NAME" */
static json_t *reference(const char *name)
{
    char path[256];

    (void)snprintf(path, sizeof path, "#/components/schemas/%s", name);
    return json_pack("{s:s}", "$ref", path);
}

static json_t *content(const char *type, json_t *schema)
{
    return json_pack("{s:{s:o}}", type, "schema", schema);
}

static json_t *parameter(const char *name, const char *where, bool required, const char *help, json_t *schema)
{
    json_t *p = json_pack("{s:s,s:s,s:b,s:s,s:o}", "name", name, "in", where, "required", (int)required, "description",
                          help && *help ? help : name, "schema", schema);
    return p;
}

/* Answers that every operation may give beside the good one. */
static json_t *responses(json_t *good)
{
    static const struct {
        const char *code, *says;
    } refusals[] = {
        { "400", "something in the request is wrong" },     { "401", "nobody is signed in" },
        { "403", "not allowed, or asked from elsewhere" },  { "404", "there is none" },
        { "409", "it contradicts what is recorded" },       { "502", "a weather service gave nothing" },
        { "503", "another program is writing; try again" },
    };
    json_t *all = json_pack("{s:{s:s,s:o}}", "200", "description", "the answer", "content", good);

    for (size_t i = 0; i < COUNT(refusals); i++)
        (void)json_object_set_new(all, refusals[i].code,
                                  json_pack("{s:s,s:o}", "description", refusals[i].says, "content",
                                            content("application/json", reference("Refusal"))));
    return all;
}

static void operation(struct document *d, const char *path, const struct web_route *r, const char *id, const char *help,
                      json_t *parameters, json_t *body, json_t *good)
{
    json_t *o = json_pack("{s:s,s:s,s:o,s:o}", "operationId", id, "summary", help, "parameters", parameters,
                          "responses", responses(good));

    if (body)
        (void)json_object_set_new(o, "requestBody", json_pack("{s:b,s:o}", "required", 1, "content", body));
    if (r->how & WEB_OPEN)
        (void)json_object_set_new(o, "security", json_array());
    if (!json_object_get(d->paths, path))
        (void)json_object_set_new(d->paths, path, json_object());
    (void)json_object_set_new(json_object_get(d->paths, path), r->method == WEB_GET ? "get" : "post", o);
}

/* ---- questions and pieces ---- */

static bool wants_file(const struct question *q)
{
    for (size_t i = 0; i < q->n_params; i++)
        if (q->params[i].kind == P_FILE && (q->params[i].how & PARAM_REQUIRED))
            return true;
    return false;
}

static json_t *formats(const struct question *q)
{
    json_t *list = json_pack("[s,s]", "json", "text");

    if (q->table)
        (void)json_array_append_new(list, json_string("csv"));
    for (size_t i = 0; i < q->n_shape; i++)
        if (strcmp(q->shape[i].path, "events") == 0)
            (void)json_array_append_new(list, json_string("ics"));
    return json_pack("{s:s,s:o}", "type", "string", "enum", list);
}

static json_t *question_parameters(const struct question *q, bool piece)
{
    json_t *list = json_array();

    for (size_t i = 0; i < q->n_params; i++) {
        const struct param *p = &q->params[i];
        char help[400];
        if (p->kind == P_FILE)
            continue;
        (void)snprintf(help, sizeof help, "%s%s%s%s", p->help ? p->help : "", p->otherwise && *p->otherwise ? " (" : "",
                       p->otherwise && *p->otherwise ? p->otherwise : "",
                       p->otherwise && *p->otherwise ? " unless given)" : "");
        (void)json_array_append_new(
            list, parameter(p->name, "query", (p->how & PARAM_REQUIRED) != 0, help, schema_of_param(p)));
    }
    (void)json_array_append_new(list, parameter("format", "query", false, "how the answer is written", formats(q)));
    (void)json_array_append_new(
        list, parameter("narrow", "query", false, "text for a narrow screen", schema_type(SHAPE_FLAG, false)));
    if (!piece)
        (void)json_array_append_new(list, parameter("known_to", "query", false, "as it was known at this change",
                                                    schema_type(SHAPE_WHOLE, false)));
    return list;
}

static void questions_of(struct document *d, const struct web_route *r, const struct question *const list[], bool piece)
{
    for (size_t i = 0; list[i]; i++) {
        const struct question *q = list[i];
        char path[160], id[160];
        if (wants_file(q))
            continue;
        (void)snprintf(path, sizeof path, "%.*s%s", (int)strlen(r->path) - 1, r->path, q->name);
        (void)snprintf(id, sizeof id, "%s-%s", piece ? "reckon" : "ask", q->name);
        (void)json_object_set_new(d->schemas, id, schema_of_shape(q->n_shape, q->shape));
        operation(d, path, r, id, q->help, question_parameters(q, piece), NULL,
                  content("application/json", reference(id)));
    }
}

/* ---- everything else ---- */

static json_t *route_parameters(const struct web_route *r, bool named)
{
    json_t *list = json_array();

    if (named)
        (void)json_array_append_new(
            list, parameter("name", "path", true, "kind, uid or name", schema_type(SHAPE_TEXT, false)));
    if (r->method == WEB_GET || (r->how & WEB_UPLOAD))
        for (size_t i = 0; i < r->n_takes; i++)
            (void)json_array_append_new(list, parameter(r->takes[i].name, "query", r->takes[i].required,
                                                        r->takes[i].help, schema_type(r->takes[i].of, false)));
    return list;
}

static json_t *route_body(const struct web_route *r, const struct fact_kind *kind)
{
    json_t *schema = NULL;

    if (r->method == WEB_GET)
        return NULL;
    if (r->how & WEB_UPLOAD)
        return json_pack("{s:{},s:{},s:{}}", "text/csv", "application/json", "application/octet-stream");
    schema = schema_of_body(r->n_takes, r->takes);
    if (kind) {
        char name[80];
        (void)snprintf(name, sizeof name, "fact-%s", kind->name);
        (void)json_object_set_new(json_object_get(schema, "properties"), "fact", reference(name));
    }
    return content("application/json", schema);
}

static void route_of(struct document *d, const struct web_route *r, const struct fact_kind *kind)
{
    const size_t n = strlen(r->path);
    const bool star = n > 0 && r->path[n - 1] == '*';
    char path[160], id[160];

    (void)snprintf(path, sizeof path, "%.*s%s", (int)(star ? n - 1 : n), r->path,
                   kind   ? kind->name
                   : star ? "{name}"
                          : "");
    (void)snprintf(id, sizeof id, "%s-%.*s%s", r->method == WEB_GET ? "get" : "post", (int)(star ? n - 6 : n - 5),
                   r->path + 5, kind ? kind->name : "");
    for (char *s = id; *s; s++)
        *s = *s == '/' || *s == '*' ? '-' : *s;
    json_t *good = NULL;
    if (r->gives) {
        if (!json_object_get(d->schemas, id))
            (void)json_object_set_new(d->schemas, id, schema_of_shape(r->n_gives, r->gives));
        good = content("application/json", reference(id));
    } else {
        good = json_pack("{s:{}}", "*/*");
    }
    operation(d, path, r, id, r->help, route_parameters(r, star && !kind), route_body(r, kind), good);
}

static void all_routes(struct document *d)
{
    for (size_t t = 0; web_routes[t]; t++)
        for (const struct web_route *r = web_routes[t]; r->path; r++) {
            if (strcmp(r->path, "/api/*") == 0)
                questions_of(d, r, questions, false);
            else if (strcmp(r->path, "/api/reckon/*") == 0)
                questions_of(d, r, pieces, true);
            else if (strcmp(r->path, "/api/record/*") == 0)
                for (size_t k = 0; fact_kinds[k]; k++)
                    route_of(d, r, fact_kinds[k]);
            else
                route_of(d, r, NULL);
        }
}

static json_t *refusal_schema(void)
{
    return json_pack("{s:s,s:[s],s:{s:{s:s,s:[s,s,s],s:{s:{s:s},s:{s:s},s:{s:s}}}}}", "type", "object", "required",
                     "error", "properties", "error", "type", "object", "required", "status", "field", "sentence",
                     "properties", "status", "type", "string", "field", "type", "string", "sentence", "type", "string");
}

static int add_piece(const char *bytes, size_t n, void *out)
{
    text_add_bytes(out, bytes, n);
    return text_full(out) ? -1 : 0;
}

enum status web_openapi(struct text *out, struct message *why)
{
    struct document d = { json_object(), json_object() };
    json_t *whole = json_pack(
        "{s:s,s:{s:s,s:s,s:s,s:{s:s,s:s}},s:[{s:s}],s:[{s:[]}],s:O,s:{s:O,s:{s:{s:s,s:s,s:s}}}}", "openapi", "3.1.0",
        "info", "title", "leenest", "version", LEENEST_VERSION, "description",
        "What a farm file can be asked, and what can be recorded in it. Numbers are SI and their names carry the unit.",
        "license", "name", "GPL-3.0-or-later", "identifier", "GPL-3.0-or-later", "servers", "url", "/", "security",
        "session", "paths", d.paths, "components", "schemas", d.schemas, "securitySchemes", "session", "type", "apiKey",
        "in", "cookie", "name", "leenest_session");

    (void)json_object_set_new(d.schemas, "Refusal", refusal_schema());
    for (size_t k = 0; fact_kinds[k]; k++) {
        char name[80];
        (void)snprintf(name, sizeof name, "fact-%s", fact_kinds[k]->name);
        (void)json_object_set_new(d.schemas, name, schema_of_kind(fact_kinds[k]));
    }
    all_routes(&d);
    const bool done = whole && json_dump_callback(whole, add_piece, out, JSON_INDENT(1) | JSON_REAL_PRECISION(15)) == 0;
    text_add(out, "\n");
    json_decref(whole);
    json_decref(d.paths);
    json_decref(d.schemas);
    return done && !text_full(out) ? ST_OK
                                   : refuse(ST_NO_MEMORY, why, "", "the document is too long to be written out");
}
