/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The whole farm file out, table by table.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/weather_pack.h"
#include "farm/whole.h"
#include "farm/whole_hours.h"

enum { TABLE_BYTES = 1024 * 1024 * 1024 };

static const char *const before_facts[] = { "about", "journal", "undo", "fact" };
static const char *const after_facts[] = { "lived", "flag", "held", "weather_lot", "weather_hour" };

static size_t n_kinds(void)
{
    size_t n = 0;

    while (fact_kinds[n])
        n++;
    return n;
}

size_t whole_tables(void)
{
    return COUNT(before_facts) + n_kinds() + COUNT(after_facts);
}

const char *whole_table(size_t i)
{
    if (i < COUNT(before_facts))
        return before_facts[i];
    i -= COUNT(before_facts);
    return i < n_kinds() ? fact_kinds[i]->name : after_facts[i - n_kinds()];
}

static enum status about(struct farm *f, const struct whole_sink *sink, struct message *why)
{
    static const char *const column[] = { "name", "value" };
    char shape[FARM_UID], version[16], file_version[16];

    (void)f;
    if (!farm_shape(shape))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    (void)snprintf(version, sizeof version, "%d", WHOLE_VERSION);
    (void)snprintf(file_version, sizeof file_version, "%d", FARM_VERSION);
    const struct cell rows[3][2] = { { { "export", false }, { version, false } },
                                     { { "farm file", false }, { file_version, false } },
                                     { { "shape", false }, { shape, false } } };
    enum status st = sink->table(sink->own, "about", COUNT(column), column, why);
    for (size_t i = 0; i < COUNT(rows) && st == ST_OK; i++)
        st = sink->row(sink->own, 2, rows[i], why);
    return st == ST_OK ? sink->end(sink->own, why) : st;
}

/* ---- the fixed tables, as they are ---- */

static struct cell cell_of(sqlite3_stmt *s, int column, struct arena *mem)
{
    char number[40];

    switch (sqlite3_column_type(s, column)) {
    case SQLITE_INTEGER:
        return (struct cell){ arena_print(mem, "%lld", (long long)sqlite3_column_int64(s, column)), true };
    case SQLITE_FLOAT:
        return (struct cell){ arena_text(mem, words_real(sqlite3_column_double(s, column), number)), true };
    case SQLITE_TEXT: return (struct cell){ farm_column(s, column, mem), false };
    default: return (struct cell){ "", false };
    }
}

static enum status fixed_table(struct farm *f, const char *name, const struct whole_sink *sink, struct message *why)
{
    sqlite3_stmt *s = farm_statement_print(f, why, "SELECT * FROM \"%s\" ORDER BY 1, 2", name);
    const char *column[WHOLE_COLUMNS];
    struct cell cell[WHOLE_COLUMNS];
    struct arena mem;
    const int n = s ? sqlite3_column_count(s) : 0;
    enum status st = ST_OK, bad;

    arena_open(&mem, TABLE_BYTES);
    for (int c = 0; c < n && c < WHOLE_COLUMNS; c++)
        column[c] = arena_text(&mem, sqlite3_column_name(s, c));
    bad = arena_full(&mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory")
                           : sink->table(sink->own, name, (size_t)n, column, why);
    while (bad == ST_OK && farm_row(f, s, &st, why)) {
        struct arena row;
        arena_open(&row, 4 * 1024 * 1024);
        for (int c = 0; c < n && c < WHOLE_COLUMNS; c++)
            cell[c] = cell_of(s, c, &row);
        bad = arena_full(&row) ? refuse(ST_NO_MEMORY, why, "", "out of memory")
                               : sink->row(sink->own, (size_t)n, cell, why);
        arena_close(&row);
    }
    if (s)
        (void)sqlite3_reset(s);
    arena_close(&mem);
    if (bad == ST_OK)
        bad = st;
    return bad == ST_OK ? sink->end(sink->own, why) : bad;
}

/* ---- facts, as people read them ---- */

static enum status fact_row(struct farm *f, const struct fact *fact, const struct whole_sink *sink, struct message *why)
{
    struct cell cell[WHOLE_COLUMNS];
    struct fact_value *rooted = NULL;
    const struct fact_kind *k = fact->kind;
    struct arena mem;

    arena_open(&mem, 4 * 1024 * 1024);
    enum status st = farm_rooted(f, k, fact->value, &mem, &rooted, why);
    cell[0] = (struct cell){ arena_print(&mem, "%lld", (long long)fact->number), true };
    cell[1] = (struct cell){ fact->uid, false };
    for (size_t i = 0; st == ST_OK && i < k->n_fields; i++)
        cell[2 + i] = (struct cell){ fact_value_text(&k->fields[i], &rooted[i], &mem),
                                     k->fields[i].type == FACT_REAL || k->fields[i].type == FACT_WHOLE };
    if (st == ST_OK && arena_full(&mem))
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK)
        st = sink->row(sink->own, 2 + k->n_fields, cell, why);
    arena_close(&mem);
    return st;
}

static enum status kind_table(struct farm *f, const struct fact_kind *kind, const struct whole_sink *sink,
                              struct message *why)
{
    const char *column[WHOLE_COLUMNS] = { "number", "uid" };
    struct fact *facts = NULL;
    struct arena mem;
    size_t n = 0;

    arena_open(&mem, TABLE_BYTES);
    for (size_t i = 0; i < kind->n_fields; i++)
        column[2 + i] = kind->fields[i].name;
    enum status st = farm_facts_all(f, kind, &mem, &facts, &n, why);
    if (st == ST_OK)
        st = sink->table(sink->own, kind->name, 2 + kind->n_fields, column, why);
    for (size_t i = 0; st == ST_OK && i < n; i++)
        st = fact_row(f, &facts[i], sink, why);
    arena_close(&mem);
    return st == ST_OK ? sink->end(sink->own, why) : st;
}

/* ---- hours of weather ---- */

static enum status hour_row(int64_t lot, const struct hour *h, const struct whole_sink *sink, struct message *why)
{
    struct cell cell[WHOLE_HOUR_COLUMNS];
    char text[WHOLE_HOUR_COLUMNS][40];

    (void)snprintf(text[0], 40, "%lld", (long long)lot);
    (void)civil_moment_text(h->utc_s, text[1]);
    cell[0] = (struct cell){ text[0], true };
    cell[1] = (struct cell){ text[1], false };
    for (size_t i = 0; i < WHOLE_HOUR_REALS; i++) {
        const double x = whole_hour_real(h, i);
        cell[2 + i] = (struct cell){ isnan(x) ? "" : words_real(x, text[2 + i]), true };
    }
    for (size_t i = 0; i < WHOLE_HOUR_WHOLES; i++) {
        (void)snprintf(text[2 + WHOLE_HOUR_REALS + i], 40, "%u", whole_hour_whole(h, i));
        cell[2 + WHOLE_HOUR_REALS + i] = (struct cell){ text[2 + WHOLE_HOUR_REALS + i], true };
    }
    return sink->row(sink->own, WHOLE_HOUR_COLUMNS, cell, why);
}

static enum status hours_table(struct farm *f, const struct whole_sink *sink, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT lot, day, hours FROM weather_day ORDER BY lot, day", why);
    struct hour *hours = calloc(PACK_HOURS, sizeof *hours);
    enum status st = ST_OK, bad = hours ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");

    if (bad == ST_OK)
        bad = sink->table(sink->own, "weather_hour", WHOLE_HOUR_COLUMNS, whole_hour_column, why);
    while (bad == ST_OK && farm_row(f, s, &st, why)) {
        size_t n = 0;
        if (!weather_unpack(sqlite3_column_int64(s, 1), sqlite3_column_blob(s, 2), (size_t)sqlite3_column_bytes(s, 2),
                            hours, &n))
            bad = refuse(ST_IO, why, "", "weather stored in %s is damaged", f->path);
        for (size_t i = 0; i < n && bad == ST_OK; i++)
            bad = hour_row(sqlite3_column_int64(s, 0), &hours[i], sink, why);
    }
    if (s)
        (void)sqlite3_reset(s);
    free(hours);
    if (bad == ST_OK)
        bad = st;
    return bad == ST_OK ? sink->end(sink->own, why) : bad;
}

static enum status tables_out(struct farm *farm, const struct whole_sink *sink, struct message *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < whole_tables() && st == ST_OK; i++) {
        const char *name = whole_table(i);
        if (strcmp(name, "about") == 0)
            st = about(farm, sink, why);
        else if (strcmp(name, "weather_hour") == 0)
            st = hours_table(farm, sink, why);
        else if (i >= COUNT(before_facts) && i < COUNT(before_facts) + n_kinds())
            st = kind_table(farm, fact_kinds[i - COUNT(before_facts)], sink, why);
        else
            st = fixed_table(farm, name, sink, why);
    }
    return st;
}

enum status whole_out(struct farm *farm, const struct whole_sink *sink, struct message *why)
{
    enum status st = farm_do(farm, "BEGIN", why); /* one state of the file, whoever writes meanwhile */

    if (st == ST_OK)
        st = farm_end(farm, tables_out(farm, sink, why), why);
    return st;
}
