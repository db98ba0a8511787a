/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/csv.h"

#include <stdlib.h>
#include <string.h>

static char guess_separator(const char *s, const char *end)
{
    static const char candidate[] = { ',', ';', '\t' };
    size_t n[sizeof candidate] = { 0 };
    bool quoted = false;

    while (s < end && (*s == '#' || *s == '\n' || *s == '\r')) {
        const char *nl = memchr(s, '\n', (size_t)(end - s));
        s = nl ? nl + 1 : end;
    }
    for (; s < end && (quoted || (*s != '\n' && *s != '\r')); s++) {
        if (*s == '"')
            quoted = !quoted;
        for (size_t i = 0; i < sizeof candidate && !quoted; i++)
            n[i] += *s == candidate[i];
    }
    size_t best = 0;
    for (size_t i = 1; i < sizeof candidate; i++)
        if (n[i] > n[best])
            best = i;
    return candidate[best];
}

enum status csv_open(struct csv *c, const char *bytes, size_t n, char separator, struct message *why)
{
    *c = (struct csv){ .at = bytes, .end = n ? bytes + n : bytes, .next_line = 1 };
    if (n >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0)
        c->at += 3;
    c->separator = separator ? separator : guess_separator(c->at, c->end);
    c->field = calloc(CSV_FIELDS, sizeof *c->field);
    c->own = calloc(1, CSV_ROW_BYTES + 1);
    if (!c->field || !c->own) {
        csv_close(c);
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    }
    return ST_OK;
}

void csv_close(struct csv *c)
{
    free(c->field);
    free(c->own);
    c->field = NULL;
    c->own = NULL;
    c->n_fields = 0;
}

/* Where one row is being taken apart. */
struct taking {
    size_t used;
    bool too_long;
};

static void keep(struct csv *c, struct taking *t, char byte)
{
    if (t->used < CSV_ROW_BYTES)
        c->own[t->used++] = byte;
    else
        t->too_long = true;
}

static bool at_row_end(const struct csv *c)
{
    return c->at >= c->end || *c->at == '\n' || (*c->at == '\r' && (c->at + 1 >= c->end || c->at[1] == '\n'));
}

/* A quoted field, the opening quote at c->at. False: no closing quote, or something but spaces after it. */
static bool take_quoted(struct csv *c, struct taking *t, struct message *why)
{
    for (c->at++;; c->at++) {
        if (c->at >= c->end || t->too_long) {
            (void)refuse(ST_BAD_INPUT, why, "", "a quotation mark is opened and never closed");
            return false;
        }
        if (*c->at == '"') {
            if (c->at + 1 >= c->end || c->at[1] != '"')
                break;
            c->at++;
        }
        c->next_line += *c->at == '\n';
        keep(c, t, *c->at);
    }
    c->at++;
    while (c->at < c->end && (*c->at == ' ' || (*c->at == '\t' && c->separator != '\t')))
        c->at++;
    if (at_row_end(c) || *c->at == c->separator)
        return true;
    (void)refuse(ST_BAD_INPUT, why, "", "text follows a closing quotation mark; double the marks inside a field");
    return false;
}

static void take_plain(struct csv *c, struct taking *t)
{
    const size_t start = t->used;

    for (; !at_row_end(c) && *c->at != c->separator; c->at++)
        keep(c, t, *c->at);
    while (t->used > start && (c->own[t->used - 1] == ' ' || c->own[t->used - 1] == '\t'))
        t->used--;
}

static void skip_to_row_end(struct csv *c)
{
    const char *nl = c->at < c->end ? memchr(c->at, '\n', (size_t)(c->end - c->at)) : NULL;
    c->at = nl ? nl : c->end;
}

static void pass_row_end(struct csv *c)
{
    if (c->at < c->end && *c->at == '\r')
        c->at++;
    if (c->at < c->end && *c->at == '\n') {
        c->at++;
        c->next_line++;
    }
}

enum { MOST_RESUMED = 16 }; /* each may look ahead as far as a row is long */

/* Give this row up. When it has run over line ends, the lines after its first are most likely rows of their own. */
static enum csv_result bad(struct csv *c, const char *row)
{
    if (c->next_line > c->line && c->resumed++ < MOST_RESUMED) {
        c->at = row;
        c->next_line = c->line;
    }
    skip_to_row_end(c);
    pass_row_end(c);
    c->n_fields = 0;
    return CSV_BAD;
}

enum csv_result csv_next(struct csv *c, struct message *why)
{
    struct taking t = { .used = 0 };

    while (c->at < c->end && at_row_end(c))
        pass_row_end(c);
    c->n_fields = 0;
    c->line = c->next_line;
    const char *row = c->at;
    if (c->at >= c->end)
        return CSV_END;
    for (;;) {
        while (c->at < c->end && (*c->at == ' ' || (*c->at == '\t' && c->separator != '\t')))
            c->at++;
        if (c->n_fields == CSV_FIELDS) {
            (void)refuse(ST_BAD_INPUT, why, "", "more than %d columns", CSV_FIELDS);
            return bad(c, row);
        }
        c->field[c->n_fields++] = c->own + t.used;
        if (c->at < c->end && *c->at == '"') {
            if (!take_quoted(c, &t, why))
                return bad(c, row);
        } else {
            take_plain(c, &t);
        }
        keep(c, &t, '\0');
        if (t.too_long) {
            (void)refuse(ST_BAD_INPUT, why, "", "longer than %d bytes", CSV_ROW_BYTES);
            return bad(c, row);
        }
        if (at_row_end(c))
            break;
        c->at++; /* the separator */
    }
    pass_row_end(c);
    return CSV_ROW;
}

int csv_column(const struct csv *header, const char *name)
{
    int found = -1;

    for (size_t i = 0; i < header->n_fields; i++)
        if (strcmp(header->field[i], name) == 0) {
            if (found >= 0)
                return -2;
            found = (int)i;
        }
    return found;
}
