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
    case ANSWER_REAL: text_print(out, "%.10g", a->is.real); break;
    case ANSWER_WHOLE: text_print(out, "%lld", (long long)a->is.whole); break;
    case ANSWER_TEXT: cell_text(out, a->is.text); break;
    case ANSWER_MOMENT: text_add(out, civil_moment_text(a->is.whole, text)); break;
    case ANSWER_DAY: text_add(out, civil_date_text(a->is.whole, text)); break;
    case ANSWER_FLAG: text_add(out, a->is.flag ? "true" : "false"); break;
    case ANSWER_NULL:
    case ANSWER_OBJECT:
    case ANSWER_LIST:
    case ANSWER_REALS: break;
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

/* One column of hours: numbers, or a list of plain items. */
static size_t column_length(const struct answer *c)
{
    if (c->kind == ANSWER_REALS)
        return c->is.reals.n;
    if (c->kind != ANSWER_LIST)
        return 0;
    size_t n = 0;
    for (const struct answer *item = c->first; item; item = item->next, n++)
        if (!is_plain(item))
            return 0;
    return n;
}

/* An object of columns: one row a number. The columns are the first unbroken run of members that are as long as the
 * first of them; what stands before and after (counts, notes) is no part of the table. */
static enum status columns(const struct answer *a, struct text *out, struct message *why)
{
    const struct answer *column[MOST_COLUMNS], *at[MOST_COLUMNS];
    size_t n = 0, rows_n = 0;

    for (const struct answer *c = a->first; c; c = c->next) {
        const size_t here = column_length(c);
        if (n > 0 && here != rows_n)
            break;
        if (here == 0)
            continue;
        if (n == MOST_COLUMNS)
            return refuse(ST_NO_MEMORY, why, "", "the table has more than %d columns", MOST_COLUMNS);
        rows_n = here;
        at[n] = c->kind == ANSWER_LIST ? c->first : NULL;
        column[n++] = c;
    }
    for (size_t k = 0; k < n; k++)
        text_print(out, "%s%s", k ? "," : "", column[k]->key ? column[k]->key : "");
    text_add(out, "\n");
    for (size_t i = 0; i < rows_n; i++) {
        for (size_t k = 0; k < n; k++) {
            text_add(out, k ? "," : "");
            if (at[k]) {
                cell(out, at[k]);
                at[k] = at[k]->next;
            } else if (column[k]->kind == ANSWER_REALS && isfinite(column[k]->is.reals.at[i])) {
                text_print(out, "%.10g", column[k]->is.reals.at[i]);
            }
        }
        text_add(out, "\n");
    }
    return ST_OK;
}

enum status show_csv(const struct answer *a, const char *path, struct text *out, struct message *why)
{
    const struct answer *list = path ? answer_at(a, path) : NULL;

    if (!list)
        return refuse(ST_BAD_INPUT, why, "csv", "this answer is not a table; leave out --csv");
    const enum status st = list->kind == ANSWER_OBJECT ? columns(list, out, why) : rows(list, out, why);
    if (st != ST_OK)
        return st;
    return text_full(out) ? refuse(ST_NO_MEMORY, why, "", "the table is too long to be written out") : ST_OK;
}
