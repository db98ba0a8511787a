/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "doors/show/show.h"

enum { MOST_COLUMNS = 128 };

static void cell_text(struct text *out, const char *s)
{
    /* a spreadsheet must not take a name for a formula */
    const bool formula = *s && strchr("=+-@\t", *s);

    if (!formula && !strpbrk(s, ",\"\r\n")) {
        text_add(out, s);
        return;
    }
    text_add(out, formula ? "\"'" : "\"");
    for (; *s; s++) {
        if (*s == '"')
            text_add(out, "\"");
        text_add_bytes(out, s, 1);
    }
    text_add(out, "\"");
}

static void cell(struct text *out, const struct answer *a)
{
    char text[32];

    switch (a->kind) {
    case ANSWER_REAL:   text_print(out, "%.10g", a->is.real); break;
    case ANSWER_WHOLE:  text_print(out, "%lld", (long long)a->is.whole); break;
    case ANSWER_TEXT:   cell_text(out, a->is.text); break;
    case ANSWER_MOMENT: text_add(out, civil_moment_text(a->is.whole, text)); break;
    case ANSWER_DAY:    text_add(out, civil_date_text(a->is.whole, text)); break;
    case ANSWER_FLAG:   text_add(out, a->is.flag ? "true" : "false"); break;
    case ANSWER_NULL: case ANSWER_OBJECT: case ANSWER_LIST: case ANSWER_REALS: break;
    }
}

static bool is_plain(const struct answer *a)
{
    return a->kind != ANSWER_OBJECT && a->kind != ANSWER_LIST && a->kind != ANSWER_REALS;
}

static enum status rows(const struct answer *list, struct text *out, struct message *why)
{
    const char *name[MOST_COLUMNS];
    size_t n = 0;

    for (const struct answer *row = list->first; row; row = row->next)
        for (const struct answer *c = row->first; c; c = c->next) {
            size_t i = 0;
            while (i < n && strcmp(name[i], c->key ? c->key : "") != 0)
                i++;
            if (i == n && is_plain(c) && c->key) {
                if (n == MOST_COLUMNS)
                    return refuse(ST_NO_MEMORY, why, "", "the table has more than %d columns", MOST_COLUMNS);
                name[n++] = c->key;
            }
        }
    for (size_t i = 0; i < n; i++)
        text_print(out, "%s%s", i ? "," : "", name[i]);
    text_add(out, "\n");
    for (const struct answer *row = list->first; row; row = row->next) {
        for (size_t i = 0; i < n; i++) {
            const struct answer *c = answer_at(row, name[i]);
            text_add(out, i ? "," : "");
            if (c)
                cell(out, c);
        }
        text_add(out, "\n");
    }
    return ST_OK;
}

/* An object of columns (arrays of hours): one row a number. */
static void columns(const struct answer *a, struct text *out)
{
    size_t n = 0;
    const char *comma = "";

    for (const struct answer *c = a->first; c; c = c->next) {
        const size_t here = c->kind == ANSWER_REALS ? c->is.reals.n : c->kind == ANSWER_LIST ? answer_count(c) : 0;
        if (here == 0)
            continue;
        text_print(out, "%s%s", comma, c->key);
        comma = ",";
        n = here > n ? here : n;
    }
    text_add(out, "\n");
    for (size_t i = 0; i < n; i++) {
        comma = "";
        for (const struct answer *c = a->first; c; c = c->next) {
            if (c->kind == ANSWER_REALS && c->is.reals.n > 0) {
                text_add(out, comma);
                if (i < c->is.reals.n && isfinite(c->is.reals.at[i]))
                    text_print(out, "%.10g", c->is.reals.at[i]);
                comma = ",";
            } else if (c->kind == ANSWER_LIST && c->first) {
                const struct answer *item = c->first;
                for (size_t k = 0; item && k < i; k++)
                    item = item->next;
                text_add(out, comma);
                if (item)
                    cell(out, item);
                comma = ",";
            }
        }
        text_add(out, "\n");
    }
}

enum status show_csv(const struct answer *a, const char *path, struct text *out, struct message *why)
{
    const struct answer *list = path ? answer_at(a, path) : NULL;

    if (!list)
        return refuse(ST_BAD_INPUT, why, "csv", "this answer is not a table; leave out --csv");
    if (list->kind == ANSWER_OBJECT) {
        columns(list, out);
    } else {
        const enum status st = rows(list, out, why);
        if (st != ST_OK)
            return st;
    }
    return text_full(out) ? refuse(ST_NO_MEMORY, why, "", "the table is too long to be written out") : ST_OK;
}
