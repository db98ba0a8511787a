/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/answer.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static struct answer *node(struct answer *parent, const char *key, enum answer_kind kind)
{
    struct answer *a = parent ? ARENA_NEW(parent->mem, struct answer, 1) : NULL;

    if (!a)
        return parent; /* the arena is full and stays so: what is put into the new node is swallowed here */
    a->kind = kind;
    a->key = key;
    a->mem = parent->mem;
    if (parent->last)
        parent->last->next = a;
    else
        parent->first = a;
    parent->last = a;
    return a;
}

struct answer *answer_new(struct arena *mem)
{
    struct answer *a = ARENA_NEW(mem, struct answer, 1);
    if (a) {
        a->kind = ANSWER_OBJECT;
        a->mem = mem;
    }
    return a;
}

struct answer *answer_object(struct answer *parent, const char *key)
{
    return node(parent, key, ANSWER_OBJECT);
}

struct answer *answer_list(struct answer *parent, const char *key)
{
    return node(parent, key, ANSWER_LIST);
}

struct answer *answer_item(struct answer *list)
{
    return node(list, NULL, ANSWER_OBJECT);
}

void answer_null(struct answer *parent, const char *key, const char *because)
{
    (void)node(parent, key, ANSWER_NULL);
    if (because && parent && key) {
        struct answer *why = node(parent, arena_print(parent->mem, "%s_because", key), ANSWER_TEXT);
        if (why)
            why->is.text = because;
    }
}

void answer_real_or(struct answer *parent, const char *key, double value, const char *because)
{
    if (!isfinite(value)) {
        answer_null(parent, key, because);
        return;
    }
    struct answer *a = node(parent, key, ANSWER_REAL);
    if (a)
        a->is.real = value;
}

void answer_real(struct answer *parent, const char *key, double value)
{
    answer_real_or(parent, key, value, NULL);
}

void answer_whole(struct answer *parent, const char *key, int64_t value)
{
    struct answer *a = node(parent, key, ANSWER_WHOLE);
    if (a)
        a->is.whole = value;
}

void answer_text(struct answer *parent, const char *key, const char *text)
{
    struct answer *a = node(parent, key, text ? ANSWER_TEXT : ANSWER_NULL);
    if (a && text)
        a->is.text = text;
}

void answer_print(struct answer *parent, const char *key, const char *fmt, ...)
{
    va_list args, again;

    if (!parent)
        return;
    va_start(args, fmt);
    va_copy(again, args);
    const int n = vsnprintf(NULL, 0, fmt, args);
    va_end(args);
    char *text = arena_get(parent->mem, n < 0 ? 1 : (size_t)n + 1, 1);
    if (text)
        (void)vsnprintf(text, n < 0 ? 1 : (size_t)n + 1, fmt, again);
    va_end(again);
    answer_text(parent, key, text);
}

static void whole_of(struct answer *parent, const char *key, enum answer_kind kind, int64_t value)
{
    struct answer *a = node(parent, key, kind);
    if (a)
        a->is.whole = value;
}

void answer_moment(struct answer *parent, const char *key, int64_t utc_s)
{
    whole_of(parent, key, ANSWER_MOMENT, utc_s);
}

void answer_day(struct answer *parent, const char *key, int64_t days)
{
    whole_of(parent, key, ANSWER_DAY, days);
}

void answer_moment_or(struct answer *parent, const char *key, int64_t utc_s, const char *because)
{
    if (utc_s == INT64_MIN)
        answer_null(parent, key, because);
    else
        answer_moment(parent, key, utc_s);
}

void answer_day_or(struct answer *parent, const char *key, int64_t days, const char *because)
{
    if (days == INT64_MIN)
        answer_null(parent, key, because);
    else
        answer_day(parent, key, days);
}

void answer_flag(struct answer *parent, const char *key, bool value)
{
    struct answer *a = node(parent, key, ANSWER_FLAG);
    if (a)
        a->is.flag = value;
}

void answer_reals(struct answer *parent, const char *key, const double *at, size_t n, int digits)
{
    struct answer *a = node(parent, key, ANSWER_REALS);
    if (a) {
        a->is.reals.at = at;
        a->is.reals.n = n;
        a->is.reals.digits = digits;
    }
}

void answer_words(struct answer *list, const char *text)
{
    answer_text(list, NULL, text);
}

void answer_number_item(struct answer *list, double value)
{
    answer_real(list, NULL, value);
}

void answer_moment_item(struct answer *list, int64_t utc_s)
{
    answer_moment(list, NULL, utc_s);
}

static const struct answer *member(const struct answer *a, const char *name, size_t n)
{
    if (a->kind != ANSWER_OBJECT)
        return NULL;
    for (const struct answer *c = a->first; c; c = c->next)
        if (c->key && strncmp(c->key, name, n) == 0 && c->key[n] == '\0')
            return c;
    return NULL;
}

const struct answer *answer_at(const struct answer *a, const char *path)
{
    while (a && *path) {
        const size_t n = strcspn(path, ".[");
        if (n > 0)
            a = member(a, path, n);
        path += n;
        if (a && *path == '[') {
            size_t want = 0;
            for (path++; *path >= '0' && *path <= '9'; path++)
                want = want * 10 + (size_t)(*path - '0');
            path += *path == ']';
            a = a->kind == ANSWER_LIST ? a->first : NULL;
            for (; a && want > 0; want--)
                a = a->next;
        }
        path += *path == '.';
    }
    return a;
}

double answer_get_real(const struct answer *a, const char *path)
{
    a = answer_at(a, path);
    if (!a)
        return NAN;
    if (a->kind == ANSWER_REAL)
        return a->is.real;
    return a->kind == ANSWER_WHOLE || a->kind == ANSWER_MOMENT || a->kind == ANSWER_DAY ? (double)a->is.whole
                                                                                        : (double)NAN;
}

const char *answer_get_text(const struct answer *a, const char *path)
{
    a = answer_at(a, path);
    return a && a->kind == ANSWER_TEXT ? a->is.text : NULL;
}

size_t answer_count(const struct answer *list)
{
    size_t n = 0;
    for (const struct answer *c = list ? list->first : NULL; c; c = c->next)
        n++;
    return n;
}

static const char *const shape_name[] = {
    [SHAPE_OBJECT] = "object",
    [SHAPE_LIST] = "list",
    [SHAPE_REAL] = "number",
    [SHAPE_WHOLE] = "whole number",
    [SHAPE_TEXT] = "text",
    [SHAPE_MOMENT] = "moment",
    [SHAPE_DAY] = "day",
    [SHAPE_FLAG] = "true or false",
    [SHAPE_REALS] = "array of numbers",
};

static bool shape_fits(const struct answer *a, const struct shape *s)
{
    switch (a->kind) {
    case ANSWER_OBJECT: return s->of == SHAPE_OBJECT;
    case ANSWER_LIST: return s->of == SHAPE_LIST;
    case ANSWER_REAL: return s->of == SHAPE_REAL;
    case ANSWER_WHOLE: return s->of == SHAPE_WHOLE || s->of == SHAPE_REAL;
    case ANSWER_TEXT: return s->of == SHAPE_TEXT;
    case ANSWER_MOMENT: return s->of == SHAPE_MOMENT;
    case ANSWER_DAY: return s->of == SHAPE_DAY;
    case ANSWER_FLAG: return s->of == SHAPE_FLAG;
    case ANSWER_NULL: return s->nullable;
    case ANSWER_REALS: return s->of == SHAPE_REALS;
    }
    return false;
}

/* The row of a path, else the one that stands for any member there ("fact.*"). */
static const struct shape *shape_row(size_t n, const struct shape shape[], const char *path, bool *any)
{
    const char *dot = strrchr(path, '.');
    const size_t above = dot ? (size_t)(dot - path) + 1 : 0;

    *any = false;
    for (size_t i = 0; i < n; i++)
        if (strcmp(shape[i].path, path) == 0)
            return &shape[i];
    for (size_t i = 0; i < n; i++)
        if (strncmp(shape[i].path, path, above) == 0 && strcmp(shape[i].path + above, "*") == 0) {
            *any = shape[i].of == SHAPE_OBJECT;
            return &shape[i];
        }
    return NULL;
}

enum { PATH_BYTES = 256 };

static enum status shape_below(const struct answer *a, const char *path, size_t n, const struct shape shape[],
                               struct message *why)
{
    char below[PATH_BYTES];
    enum status st = ST_OK;

    for (const struct answer *c = a->first; c && st == ST_OK; c = c->next) {
        if (a->kind == ANSWER_LIST)
            (void)snprintf(below, sizeof below, "%s[]", path);
        else
            (void)snprintf(below, sizeof below, "%s%s%s", path, *path ? "." : "", c->key ? c->key : "?");
        const size_t length = strlen(below);
        if (length > 8 && strcmp(below + length - 8, "_because") == 0 && c->kind == ANSWER_TEXT)
            continue;
        bool any = false;
        const struct shape *row = shape_row(n, shape, below, &any);
        if (any)
            continue;
        if (!row)
            return refuse(ST_CONFLICT, why, "", "the answer holds %s, which its shape does not know", below);
        if (!shape_fits(c, row))
            return refuse(ST_CONFLICT, why, "", "%s should be %s%s", below, shape_name[row->of],
                          c->kind == ANSWER_NULL ? ", but is null" : "");
        st = shape_below(c, below, n, shape, why);
    }
    /* members that must be there: rows one step below this path */
    const size_t here = strlen(path);
    for (size_t i = 0; a->kind == ANSWER_OBJECT && st == ST_OK && i < n; i++) {
        const char *p = shape[i].path;
        if (shape[i].nullable || strncmp(p, path, here) != 0)
            continue;
        p += here;
        if (here) {
            if (*p != '.')
                continue;
            p++;
        }
        if (!*p || strpbrk(p, ".[*"))
            continue;
        if (!member(a, p, strlen(p)))
            return refuse(ST_CONFLICT, why, "", "%s is missing from the answer", shape[i].path);
    }
    return st;
}

enum status shape_check(const struct answer *a, size_t n, const struct shape shape[], struct message *why)
{
    return shape_below(a, "", n, shape, why);
}
