/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Does a reply hold what its route declares, no more and no less? The routes' own tables are the measure.
 */
#ifndef TESTS_DOORS_WEB_SHAPE_H
#define TESTS_DOORS_WEB_SHAPE_H

#include "doors/web/web.h"
#include "tests/doors/web_case.h"

static inline const struct web_route *web_route_of(enum web_method method, const char *path)
{
    const size_t whole = strcspn(path, "?");
    const struct web_route *found = NULL;

    for (size_t t = 0; web_routes[t]; t++)
        for (const struct web_route *r = web_routes[t]; r->path; r++) {
            const size_t n = strlen(r->path);
            if (r->method != method)
                continue;
            if (n == whole && strncmp(r->path, path, n) == 0)
                return r;
            if (r->path[n - 1] == '*' && n <= whole && strncmp(r->path, path, n - 1) == 0 &&
                !memchr(path + n - 1, '/', whole - n + 1) && (!found || n > strlen(found->path)))
                found = r;
        }
    return found;
}

static inline bool web_shape_fits(const json_t *v, const struct shape *s)
{
    if (json_is_null(v))
        return s->nullable;
    switch (s->of) {
    case SHAPE_OBJECT: return json_is_object(v);
    case SHAPE_LIST:
    case SHAPE_REALS: return json_is_array(v);
    case SHAPE_REAL: return json_is_number(v);
    case SHAPE_WHOLE: return json_is_integer(v);
    case SHAPE_TEXT: return json_is_string(v);
    case SHAPE_MOMENT: return json_is_string(v) && json_string_length(v) == 20 && json_string_value(v)[19] == 'Z';
    case SHAPE_DAY: return json_is_string(v) && json_string_length(v) == 10;
    case SHAPE_FLAG: return json_is_boolean(v);
    }
    return false;
}

static inline const struct shape *web_shape_row(const struct web_route *r, const char *path, bool *any)
{
    const char *dot = strrchr(path, '.');
    char star[512];

    *any = false;
    for (size_t i = 0; i < r->n_gives; i++)
        if (strcmp(r->gives[i].path, path) == 0)
            return &r->gives[i];
    (void)snprintf(star, sizeof star, "%.*s*", dot ? (int)(dot - path) + 1 : 0, path);
    for (size_t i = 0; i < r->n_gives; i++)
        if (strcmp(r->gives[i].path, star) == 0) {
            *any = r->gives[i].of == SHAPE_OBJECT;
            return &r->gives[i];
        }
    return NULL;
}

/* "KEY_because", a text beside a KEY that may be null, goes without saying: answer_null() writes it. */
static inline bool web_shape_why(const struct web_route *r, const json_t *v, const char *path)
{
    char of[512];
    bool any = false;
    const size_t length = strlen(path);

    if (length <= 8 || length >= sizeof of || strcmp(path + length - 8, "_because") != 0 || !json_is_string(v))
        return false;
    (void)snprintf(of, sizeof of, "%.*s", (int)(length - 8), path);
    const struct shape *s = web_shape_row(r, of, &any);
    return s && s->nullable;
}

static inline void web_shape_below(const struct web_route *r, const json_t *v, const char *path)
{
    char below[512];
    const char *key;
    json_t *c;
    size_t i;
    bool any = false;

    if (json_is_array(v)) {
        (void)snprintf(below, sizeof below, "%s[]", path);
        json_array_foreach(v, i, c)
        {
            const struct shape *s = web_shape_row(r, below, &any);
            if (!s || !web_shape_fits(c, s))
                fail_msg("%s: %s is not as declared", r->path, below);
            web_shape_below(r, c, below);
        }
        return;
    }
    json_object_foreach((json_t *)(uintptr_t)v, key, c)
    {
        (void)snprintf(below, sizeof below, "%s%s%s", path, *path ? "." : "", key);
        const struct shape *s = web_shape_row(r, below, &any);
        if (any || web_shape_why(r, c, below))
            continue;
        if (!s || !web_shape_fits(c, s))
            fail_msg("%s: %s is not as declared", r->path, below);
        web_shape_below(r, c, below);
    }
    for (i = 0; json_is_object(v) && i < r->n_gives; i++) {
        const char *p = r->gives[i].path;
        const size_t here = strlen(path);
        if (r->gives[i].nullable || strncmp(p, path, here) != 0 || (here && p[here] != '.'))
            continue;
        p += here + (here > 0);
        if (*p && !strpbrk(p, ".[*") && !json_object_get(v, p))
            fail_msg("%s: %s is missing", r->path, r->gives[i].path);
    }
}

/* The reply of a request that was answered (200). */
static inline void web_as_declared(enum web_method method, const char *path, const struct web_got *got)
{
    const struct web_route *r = web_route_of(method, path);

    if (!r)
        fail_msg("%s is no route", path);
    if (got->code == 200 && r->gives)
        web_shape_below(r, got->json, "");
}

/* Ask, and hold the reply against what its route declares. */
static inline struct web_got web_posted(const struct web_case *c, const char *path, const char *body)
{
    struct web_got got = web_post(c, path, body);
    web_as_declared(WEB_POST, path, &got);
    return got;
}

static inline struct web_got web_looked(const struct web_case *c, const char *path)
{
    struct web_got got = web_get(c, path);
    WEB_WANT(&got, 200);
    web_as_declared(WEB_GET, path, &got);
    return got;
}

/* Records of a kind that stand, up to 500. */
static inline size_t web_count(const struct web_case *c, const char *kind)
{
    char path[64];

    (void)snprintf(path, sizeof path, "/api/list/%s?most=500", kind);
    struct web_got got = web_looked(c, path);
    const size_t n = json_array_size(web_at(&got, "facts"));
    web_free(&got);
    return n;
}

/* A server on a farm begun over HTTP, at 44.9 N 93.3 W. */
static inline void web_begin(struct web_case *c)
{
    web_scratch(c);
    web_start(c, c->farm, NULL);
    struct web_got got = web_posted(c, "/api/begin",
                                    "{\"name\": \"Withy Bottom\", \"lat_deg\": 44.9, \"lon_deg\": -93.3, "
                                    "\"zone\": \"America/Chicago\"}");
    WEB_WANT(&got, 200);
    web_free(&got);
}

#endif
