/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Facts of one kind from CSV and to CSV.
 */
#include <stdio.h>
#include <string.h>

#include "core/base/csv.h"
#include "farm/exchange_own.h"
#include "farm/near.h"

const char *const beside_name[BESIDE_END] = { "uid", "recorded", "who", "device", "replaces", "kind" };

enum beside beside_find(const char *name)
{
    for (int i = 0; i < BESIDE_END; i++)
        if (strcmp(beside_name[i], name) == 0)
            return (enum beside)i;
    return BESIDE_END;
}

enum status beside_read(enum beside which, const char *text, const struct fact_speech *speech, struct arena *mem,
                        struct farm_item *item, struct message *why)
{
    static const struct fact_field recorded = { .name = "recorded", .type = FACT_MOMENT },
                                   words = { .name = "who", .type = FACT_TEXT };
    struct fact_value v = { .given = false };
    enum status st =
        fact_value_read(which == BESIDE_RECORDED ? &recorded : &words, beside_name[which], text, speech, mem, &v, why);

    if (st != ST_OK || !v.given)
        return st;
    if ((which == BESIDE_UID || which == BESIDE_REPLACES) && !farm_is_uid(v.text))
        return refuse(ST_BAD_INPUT, why, beside_name[which],
                      "%s: \"%.40s\" is not a uid; 32 digits of 0-9 and a-f are wanted", beside_name[which], v.text);
    switch (which) {
    case BESIDE_UID: item->meta.uid = v.text; break;
    case BESIDE_RECORDED: item->meta.recorded_utc_s = v.whole; break;
    case BESIDE_WHO: item->meta.who = v.text; break;
    case BESIDE_DEVICE: item->meta.device = v.text; break;
    case BESIDE_REPLACES: item->meta.replaces = v.text; break;
    case BESIDE_KIND:
    case BESIDE_END: break;
    }
    return ST_OK;
}

struct column {
    size_t field; /* FACT_NO_FIELD: beside */
    enum beside beside;
    const char *named;
};

struct reading_csv {
    const char *name;
    const struct fact_kind *kind;
    const struct fact_speech *speech;
    struct arena *mem;
    struct csv csv;
    struct column column[CSV_FIELDS];
    size_t n_columns;
    struct farm_item *item;
    size_t n, room;
};

static enum status unknown_column(const struct reading_csv *r, const char *named, struct message *why)
{
    char flag[40];

    for (size_t i = 0; i < r->kind->n_fields; i++)
        if (near_enough(named, r->kind->fields[i].name) ||
            near_enough(named, fact_flag_name(&r->kind->fields[i], flag)))
            return refuse(ST_BAD_INPUT, why, named, "%s, line %zu: the kind %s has no \"%.40s\"; did you mean %s?",
                          r->name, r->csv.line, r->kind->name, named, r->kind->fields[i].name);
    return refuse(ST_BAD_INPUT, why, named, "%s, line %zu: the kind %s has no \"%.40s\"; its help lists what it has",
                  r->name, r->csv.line, r->kind->name, named);
}

static enum status read_header(struct reading_csv *r, struct message *why)
{
    struct message says = { "", "" };
    const enum csv_result got = csv_next(&r->csv, &says);

    if (got == CSV_END)
        return refuse(ST_BAD_INPUT, why, "", "%s is empty; its first line names the columns", r->name);
    if (got == CSV_BAD)
        return refuse(ST_BAD_INPUT, why, "", "%s, line %zu: %s", r->name, r->csv.line, says.text);
    r->n_columns = r->csv.n_fields;
    for (size_t c = 0; c < r->n_columns; c++) {
        struct column *column = &r->column[c];
        column->named = arena_text(r->mem, r->csv.field[c]);
        if (!column->named)
            return refuse(ST_NO_MEMORY, why, "", "%s is too large", r->name);
        if (!words_clean(column->named) || strlen(column->named) > 60)
            return refuse(ST_BAD_INPUT, why, "", "%s, line %zu: the header is not text; is this a CSV file?", r->name,
                          r->csv.line);
        column->field = fact_field_find(r->kind, column->named);
        column->beside = column->field == FACT_NO_FIELD ? beside_find(column->named) : BESIDE_END;
        if (column->field == FACT_NO_FIELD && (column->beside == BESIDE_END || column->beside == BESIDE_KIND))
            return unknown_column(r, column->named, why);
        for (size_t b = 0; b < c; b++)
            if (r->column[b].field == column->field && r->column[b].beside == column->beside)
                return refuse(ST_BAD_INPUT, why, column->named,
                              "%s, line %zu: the columns \"%s\" and \"%s\" say the same thing; keep one", r->name,
                              r->csv.line, r->column[b].named, column->named);
    }
    return ST_OK;
}

static enum status read_cells(struct reading_csv *r, struct farm_item *item, struct fact_value *values,
                              struct message *why)
{
    enum status st = ST_OK;

    if (r->csv.n_fields > r->n_columns)
        return refuse(ST_BAD_INPUT, why, "", "%zu cells in a row of %zu columns", r->csv.n_fields, r->n_columns);
    for (size_t c = 0; c < r->csv.n_fields && st == ST_OK; c++) {
        const struct column *column = &r->column[c];
        if (column->field != FACT_NO_FIELD)
            st = fact_value_read(&r->kind->fields[column->field], column->named, r->csv.field[c], r->speech, r->mem,
                                 &values[column->field], why);
        else
            st = beside_read(column->beside, r->csv.field[c], r->speech, r->mem, item, why);
    }
    return st;
}

static struct farm_item *new_item(struct reading_csv *r)
{
    if (r->n == r->room) {
        const size_t room = r->room ? r->room * 2 : 64;
        struct farm_item *more = r->n < FARM_IMPORT_ROWS ? ARENA_NEW(r->mem, struct farm_item, room) : NULL;
        if (!more)
            return NULL;
        if (r->n)
            memcpy(more, r->item, r->n * sizeof *more);
        r->item = more;
        r->room = room;
    }
    return &r->item[r->n++];
}

static enum status read_rows(struct reading_csv *r, struct message *why)
{
    for (;;) {
        struct message says = { "", "" };
        const enum csv_result got = csv_next(&r->csv, &says);
        if (got == CSV_END)
            return ST_OK;
        struct farm_item *item = new_item(r);
        struct fact_value *values = item ? ARENA_NEW(r->mem, struct fact_value, r->kind->n_fields) : NULL;
        if (!values)
            return refuse(ST_NO_MEMORY, why, "", "%s is too large; at most %d rows at once", r->name, FARM_IMPORT_ROWS);
        *item = (struct farm_item){ .kind = r->kind, .values = values, .file = r->name, .line = r->csv.line };
        item->status = got == CSV_BAD ? ST_BAD_INPUT : read_cells(r, item, values, &says);
        if (item->status == ST_NO_MEMORY)
            return refuse(ST_NO_MEMORY, why, "", "%s is too large", r->name);
        if (item->status != ST_OK) {
            (void)refuse(item->status, &item->why, says.field, "%s, line %zu, %s", r->name, r->csv.line, says.text);
            item->told = true;
        }
    }
}

enum status farm_csv_read(const char *name, const char *bytes, size_t n, const struct fact_kind *kind,
                          const struct fact_speech *speech, struct arena *mem, struct farm_item **items,
                          size_t *n_items, struct message *why)
{
    struct reading_csv *r = ARENA_NEW(mem, struct reading_csv, 1);

    if (!r)
        return refuse(ST_NO_MEMORY, why, "", "%s is too large", name);
    if (n > FARM_IMPORT_BYTES)
        return refuse(ST_BAD_INPUT, why, "", "%s has %zu bytes; at most %d at once", name, n, FARM_IMPORT_BYTES);
    r->name = arena_text(mem, name);
    r->kind = kind;
    r->speech = speech;
    r->mem = mem;
    enum status st = csv_open(&r->csv, bytes, n, 0, why);
    if (st != ST_OK)
        return st;
    st = read_header(r, why);
    if (st == ST_OK)
        st = read_rows(r, why);
    csv_close(&r->csv);
    if (st == ST_OK && r->n == 0)
        return refuse(ST_BAD_INPUT, why, "", "%s has a header and no rows", name);
    if (st == ST_OK) {
        *items = r->item;
        *n_items = r->n;
    }
    return st;
}

enum status farm_csv_write(struct farm *farm, const struct fact_kind *kind, int64_t known_to, struct text *out,
                           struct message *why)
{
    struct arena mem;
    struct fact *facts = NULL;
    size_t n = 0;

    arena_open(&mem, 1024 * 1024 * 1024);
    enum status st = farm_facts(farm, kind, known_to, &mem, &facts, &n, why);
    if (st == ST_OK) {
        text_add(out, "uid");
        for (size_t i = 0; i < kind->n_fields; i++)
            text_print(out, ",%s", kind->fields[i].name);
        text_add(out, "\n");
    }
    for (size_t f = 0; st == ST_OK && f < n; f++) {
        text_add(out, facts[f].uid);
        for (size_t i = 0; i < kind->n_fields; i++) {
            const char *cell = fact_value_text(&kind->fields[i], &facts[f].value[i], &mem);
            text_add(out, ",");
            words_csv(out, cell ? cell : "");
        }
        text_add(out, "\n");
    }
    if (st == ST_OK && (text_full(out) || arena_full(&mem)))
        st = refuse(ST_NO_MEMORY, why, "", "too many facts to write out at once");
    arena_close(&mem);
    return st;
}
