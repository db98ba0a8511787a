/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tables of text cells into a new farm file.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/units.h"
#include "farm/near.h"
#include "farm/weather_pack.h"
#include "farm/whole.h"
#include "farm/whole_hours.h"

static const struct fact_kind *kind_of(const struct whole_in *in)
{
    return fact_kind_find(whole_table(in->table));
}

static bool is_table(const struct whole_in *in, const char *name)
{
    return strcmp(whole_table(in->table), name) == 0;
}

/* ---- columns ---- */

static enum status fixed_columns(struct whole_in *in, struct message *why)
{
    sqlite3_stmt *s = farm_statement(in->farm, "SELECT name FROM pragma_table_info(?1)", why);
    enum status st = ST_OK;
    int at = 0;

    farm_bind_text(s, 1, whole_table(in->table));
    while (farm_row(in->farm, s, &st, why)) {
        for (size_t c = 0; c < in->n_columns; c++)
            if (strcmp(in->named[c], (const char *)sqlite3_column_text(s, 0)) == 0)
                in->to[c] = at;
        at++;
    }
    return st;
}

static void kind_columns(struct whole_in *in, const struct fact_kind *kind)
{
    for (size_t c = 0; c < in->n_columns; c++) {
        if (strcmp(in->named[c], "number") == 0)
            in->to[c] = 0;
        else if (strcmp(in->named[c], "uid") == 0)
            in->to[c] = 1;
        for (size_t i = 0; i < kind->n_fields; i++)
            if (strcmp(in->named[c], kind->fields[i].name) == 0)
                in->to[c] = 2 + (int)i;
    }
}

static void listed_columns(struct whole_in *in, size_t n, const char *const column[])
{
    for (size_t c = 0; c < in->n_columns; c++)
        for (size_t i = 0; i < n; i++)
            if (strcmp(in->named[c], column[i]) == 0)
                in->to[c] = (int)i;
}

enum status whole_in_columns(struct whole_in *in, size_t table, size_t n, const char *const column[],
                             struct message *why)
{
    static const char *const about[] = { "name", "value" };
    enum status st = ST_OK;

    in->table = table;
    in->n_columns = n;
    if (n > WHOLE_COLUMNS)
        return refuse(ST_BAD_INPUT, why, "", "%zu columns are too many", n);
    for (size_t c = 0; c < n; c++) {
        in->to[c] = -1;
        in->named[c] = column[c];
    }
    if (is_table(in, "about"))
        listed_columns(in, COUNT(about), about);
    else if (is_table(in, "weather_hour"))
        listed_columns(in, WHOLE_HOUR_COLUMNS, whole_hour_column);
    else if (kind_of(in))
        kind_columns(in, kind_of(in));
    else
        st = fixed_columns(in, why);
    for (size_t c = 0; c < n && st == ST_OK; c++) {
        if (in->to[c] < 0)
            return refuse(ST_BAD_INPUT, why, column[c], "%s has no column \"%.40s\"", whole_table(table), column[c]);
        for (size_t b = 0; b < c; b++)
            if (in->to[b] == in->to[c])
                return refuse(ST_BAD_INPUT, why, column[c], "the column \"%.40s\" stands twice", column[c]);
    }
    return st;
}

/* ---- rows ---- */

static const char *cell_at(const struct whole_in *in, size_t n, const char *const cell[], int column)
{
    for (size_t c = 0; c < n && c < in->n_columns; c++)
        if (in->to[c] == column)
            return cell[c];
    return "";
}

static enum status about_row(const struct whole_in *in, size_t n, const char *const cell[], struct message *why)
{
    int64_t value = 0;
    const char *name = cell_at(in, n, cell, 0), *text = cell_at(in, n, cell, 1);
    const int64_t most = strcmp(name, "export") == 0      ? WHOLE_VERSION
                         : strcmp(name, "farm file") == 0 ? FARM_VERSION
                                                          : 0;

    if (most == 0)
        return ST_OK;
    if (!read_whole(text, &value) || value < 1)
        return refuse(ST_BAD_INPUT, why, name, "\"%.40s\" is not the version of an export", text);
    if (value > most)
        return refuse(ST_BAD_INPUT, why, name, "this export was written by a newer leenest; update this one first");
    return ST_OK;
}

static enum status bind_cell(sqlite3_stmt *s, int at, const char *type, bool may_be_null, const char *name,
                             const char *text, struct message *why)
{
    int64_t whole;
    double real;

    if (!*text && (may_be_null || strcmp(type, "TEXT") != 0))
        return may_be_null ? ST_OK : refuse(ST_BAD_INPUT, why, name, "%s: empty", name);
    if (strcmp(type, "INTEGER") == 0) {
        if (!read_whole(text, &whole))
            return refuse(ST_BAD_INPUT, why, name, "%s: \"%.40s\" is not a whole number", name, text);
        (void)sqlite3_bind_int64(s, at, whole);
    } else if (strcmp(type, "REAL") == 0) {
        if (!read_real(text, &real))
            return refuse(ST_BAD_INPUT, why, name, "%s: \"%.40s\" is not a number", name, text);
        (void)sqlite3_bind_double(s, at, real);
    } else {
        if (!words_clean(text))
            return refuse(ST_BAD_INPUT, why, name, "%s: holds bytes that are not text (UTF-8 is wanted)", name);
        (void)sqlite3_bind_text(s, at, text, -1, SQLITE_STATIC);
    }
    return ST_OK;
}

/* INSERT with a place for each column. */
static sqlite3_stmt *insert_statement(struct farm *f, const char *table, size_t n, struct message *why)
{
    struct text sql;

    text_open(&sql, 8192);
    text_print(&sql, "INSERT INTO \"%s\" VALUES(", table);
    for (size_t i = 0; i < n; i++)
        text_print(&sql, "%s?%zu", i ? ", " : "", i + 1);
    text_add(&sql, ")");
    return farm_statement_of(f, &sql, why);
}

static enum status fixed_row(const struct whole_in *in, size_t n, const char *const cell[], struct message *why)
{
    const char *table = whole_table(in->table);
    struct {
        char name[40], type[12];
        bool may_be_null;
    } column[WHOLE_COLUMNS];
    enum status st = ST_OK;
    size_t count = 0;

    /* a rowid table's primary key is never null, whatever table_info says of it */
    sqlite3_stmt *info =
        farm_statement(in->farm, "SELECT name, type, \"notnull\" = 0 AND pk = 0 FROM pragma_table_info(?1)", why);
    farm_bind_text(info, 1, table);
    while (farm_row(in->farm, info, &st, why) && count < WHOLE_COLUMNS) {
        (void)snprintf(column[count].name, sizeof column[count].name, "%s", (const char *)sqlite3_column_text(info, 0));
        (void)snprintf(column[count].type, sizeof column[count].type, "%s", (const char *)sqlite3_column_text(info, 1));
        column[count++].may_be_null = sqlite3_column_int(info, 2) != 0;
    }
    if (st != ST_OK)
        return st;
    sqlite3_stmt *s = insert_statement(in->farm, table, count, why);
    for (size_t i = 0; s && i < count && st == ST_OK; i++)
        st = bind_cell(s, (int)i + 1, column[i].type, column[i].may_be_null, column[i].name,
                       cell_at(in, n, cell, (int)i), why);
    return st == ST_OK ? farm_run(in->farm, s, why) : st;
}

static enum status kind_row(const struct whole_in *in, size_t n, const char *const cell[], struct message *why)
{
    static const struct fact_speech plain = { .zone = NULL };
    const struct fact_kind *kind = kind_of(in);
    struct fact_value *values = ARENA_NEW(in->mem, struct fact_value, kind->n_fields);
    int64_t number = 0;
    enum status st = values ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");

    if (st == ST_OK && (!read_whole(cell_at(in, n, cell, 0), &number) || number < 1))
        return refuse(ST_BAD_INPUT, why, "number", "number: \"%.40s\" is not the number of a change",
                      cell_at(in, n, cell, 0));
    for (size_t i = 0; i < kind->n_fields && st == ST_OK; i++)
        st = fact_value_read(&kind->fields[i], kind->fields[i].name, cell_at(in, n, cell, 2 + (int)i), &plain, in->mem,
                             &values[i], why);
    if (st == ST_OK)
        st = fact_check(kind, values, in->mem, why);
    if (st != ST_OK)
        return st;
    sqlite3_stmt *s = insert_statement(in->farm, kind->name, 1 + kind->n_fields, why);
    if (!s)
        return farm_run(in->farm, s, why);
    (void)sqlite3_bind_int64(s, 1, number);
    st = farm_bind_values(in->farm, s, 2, kind, values, why);
    return st == ST_OK ? farm_run(in->farm, s, why) : st;
}

/* ---- hours: gathered day by day ---- */

static enum status write_day(struct whole_in *in, struct message *why)
{
    unsigned char *packed = in->n_hours ? malloc(PACK_BYTES) : NULL;

    if (in->n_hours == 0)
        return ST_OK;
    if (!packed)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    const size_t bytes = weather_pack(in->day, in->n_hours, in->hour, packed);
    sqlite3_stmt *s = farm_statement(in->farm, "INSERT INTO weather_day(lot, day, hours) VALUES(?1, ?2, ?3)", why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, in->lot);
        (void)sqlite3_bind_int64(s, 2, in->day);
        (void)sqlite3_bind_blob(s, 3, packed, (int)bytes, SQLITE_STATIC);
    }
    const enum status st = farm_run(in->farm, s, why);
    free(packed);
    in->n_hours = 0;
    return st;
}

static enum status read_hour(const struct whole_in *in, size_t n, const char *const cell[], int64_t *lot,
                             struct hour *h, struct message *why)
{
    struct civil_text t;
    const char *time = cell_at(in, n, cell, 1);

    *h = (struct hour){ .utc_s = 0 };
    if (!read_whole(cell_at(in, n, cell, 0), lot))
        return refuse(ST_BAD_INPUT, why, "lot", "lot: \"%.40s\" is not a whole number", cell_at(in, n, cell, 0));
    if (!civil_read(time, &t) || !t.has_offset || t.offset_s != 0)
        return refuse(ST_BAD_INPUT, why, "time", "time: \"%.40s\" is not a moment such as 2026-01-22T15:00:00Z", time);
    h->utc_s = civil_seconds(&t.at);
    for (size_t i = 0; i < WHOLE_HOUR_REALS; i++) {
        const char *text = cell_at(in, n, cell, 2 + (int)i);
        double x = NAN;
        if (*text && !read_real(text, &x))
            return refuse(ST_BAD_INPUT, why, whole_hour_column[2 + i], "%s: \"%.40s\" is not a number",
                          whole_hour_column[2 + i], text);
        whole_hour_set_real(h, i, x);
    }
    for (size_t i = 0; i < WHOLE_HOUR_WHOLES; i++) {
        const int at = 2 + WHOLE_HOUR_REALS + (int)i;
        const char *text = cell_at(in, n, cell, at);
        int64_t x = 0;
        if (!read_whole(text, &x) || x < 0 || x > (i < 3 ? 1 : i == 3 ? 0xFFFF : INT64_C(0xFFFFFFFF)))
            return refuse(ST_BAD_INPUT, why, whole_hour_column[at], "%s: \"%.40s\" will not do", whole_hour_column[at],
                          text);
        whole_hour_set_whole(h, i, (unsigned)x);
    }
    return ST_OK;
}

static enum status hour_row(struct whole_in *in, size_t n, const char *const cell[], struct message *why)
{
    struct hour h;
    int64_t lot = 0;
    enum status st = read_hour(in, n, cell, &lot, &h, why);

    if (st != ST_OK)
        return st;
    const struct civil c = civil_from_seconds(h.utc_s);
    const int64_t day = civil_days(c.year, c.month, c.day);
    if (in->n_hours && (lot != in->lot || day != in->day))
        st = write_day(in, why);
    if (st == ST_OK && in->n_hours && h.utc_s <= in->hour[in->n_hours - 1].utc_s)
        return refuse(ST_BAD_INPUT, why, "time", "time: the hours of a day must come in order, each once");
    if (st == ST_OK && in->n_hours == PACK_HOURS)
        return refuse(ST_BAD_INPUT, why, "time", "time: more than %d hours on one day", PACK_HOURS);
    if (st != ST_OK)
        return st;
    in->lot = lot;
    in->day = day;
    in->hour[in->n_hours++] = h;
    return ST_OK;
}

enum status whole_in_row(struct whole_in *in, size_t n, const char *const cell[], struct message *why)
{
    if (n != in->n_columns)
        return refuse(ST_BAD_INPUT, why, "", "%zu cells in a row of %zu columns", n, in->n_columns);
    if (is_table(in, "about"))
        return about_row(in, n, cell, why);
    if (is_table(in, "weather_hour"))
        return hour_row(in, n, cell, why);
    return kind_of(in) ? kind_row(in, n, cell, why) : fixed_row(in, n, cell, why);
}

enum status whole_in_end(struct whole_in *in, struct message *why)
{
    return is_table(in, "weather_hour") ? write_day(in, why) : ST_OK;
}
