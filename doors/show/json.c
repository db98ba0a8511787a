/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jansson.h>
#include <math.h>

#include "core/base/civil.h"
#include "doors/show/show.h"

/* A number with so many digits after the point: 87 kB of hours instead of 383. */
static json_t *rounded(double x, int digits)
{
    if (!isfinite(x))
        return json_null();
    const double scale = pow(10.0, digits);
    const double r = round(x * scale) / scale;
    return json_real(r == 0.0 ? 0.0 : r);
}

static json_t *json_from(const struct answer *a)
{
    char text[32];

    switch (a->kind) {
    case ANSWER_REAL: return json_real(a->is.real == 0.0 ? 0.0 : a->is.real);
    case ANSWER_WHOLE: return json_integer(a->is.whole);
    case ANSWER_TEXT: return json_string(a->is.text);
    case ANSWER_MOMENT: return json_string(civil_moment_text(a->is.whole, text));
    case ANSWER_DAY: return json_string(civil_date_text(a->is.whole, text));
    case ANSWER_FLAG: return json_boolean(a->is.flag);
    case ANSWER_NULL: return json_null();
    case ANSWER_REALS: {
        json_t *list = json_array();
        for (size_t i = 0; list && i < a->is.reals.n; i++)
            if (json_array_append_new(list, rounded(a->is.reals.at[i], a->is.reals.digits)) != 0) {
                json_decref(list);
                return NULL;
            }
        return list;
    }
    case ANSWER_OBJECT:
    case ANSWER_LIST: {
        const bool object = a->kind == ANSWER_OBJECT;
        json_t *whole = object ? json_object() : json_array();
        for (const struct answer *c = a->first; whole && c; c = c->next) {
            json_t *part = json_from(c);
            const int rc =
                object ? json_object_set_new(whole, c->key ? c->key : "", part) : json_array_append_new(whole, part);
            if (rc != 0) {
                json_decref(whole);
                return NULL;
            }
        }
        return whole;
    }
    }
    return NULL;
}

static int add_piece(const char *bytes, size_t n, void *out)
{
    text_add_bytes(out, bytes, n);
    return text_full(out) ? -1 : 0;
}

enum status show_json(const struct answer *a, struct text *out, struct message *why)
{
    json_t *tree = json_from(a);

    if (!tree)
        return refuse(ST_NO_MEMORY, why, "", "the answer could not be written as JSON: out of memory or not UTF-8");
    const int rc = json_dump_callback(tree, add_piece, out, JSON_INDENT(1) | JSON_REAL_PRECISION(15));
    json_decref(tree);
    text_add(out, "\n");
    if (rc != 0 || text_full(out))
        return refuse(ST_NO_MEMORY, why, "", "the answer is too long to be written out");
    return ST_OK;
}
