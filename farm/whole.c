/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The whole farm as a folder of CSV files, or as one JSON document; and back.
 */
#include <dirent.h>
#include <errno.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/base/csv.h"
#include "farm/json_room.h"
#include "farm/weather_pack.h"
#include "farm/whole.h"

enum { PATH = 4096 };

/* ---- out: CSV ---- */

struct csv_out {
    const char *folder;
    char path[PATH];
    struct text text;
};

static enum status csv_table(void *own, const char *name, size_t n, const char *const column[], struct message *why)
{
    struct csv_out *o = own;

    const int length = snprintf(o->path, sizeof o->path, "%s/%s.csv", o->folder, name);
    if (length < 0 || (size_t)length >= sizeof o->path)
        return refuse(ST_BAD_INPUT, why, "", "the path %.80s... is too long", o->folder);
    text_open(&o->text, FARM_WHOLE_BYTES);
    for (size_t i = 0; i < n; i++)
        text_print(&o->text, "%s%s", i ? "," : "", column[i]);
    text_add(&o->text, "\n");
    return ST_OK;
}

static enum status csv_row(void *own, size_t n, const struct cell cell[], struct message *why)
{
    struct csv_out *o = own;

    for (size_t i = 0; i < n; i++) {
        if (i)
            text_add(&o->text, ",");
        words_csv(&o->text, cell[i].text);
    }
    text_add(&o->text, "\n");
    return text_full(&o->text) ? refuse(ST_NO_MEMORY, why, "", "the farm is too large to be written out") : ST_OK;
}

static enum status csv_end(void *own, struct message *why)
{
    struct csv_out *o = own;
    const enum status st = write_file(o->path, &o->text, why);

    text_close(&o->text);
    return st;
}

static enum status empty_folder(const char *folder, struct message *why)
{
    bool empty = true;

    if (mkdir(folder, 0700) == 0)
        return ST_OK;
    if (errno != EEXIST)
        return refuse(ST_IO, why, "", "the folder %s could not be made: %s", folder, strerror(errno));
    DIR *dir = opendir(folder);
    if (!dir)
        return refuse(ST_IO, why, "", "%s: %s", folder, strerror(errno));
    for (struct dirent *e; empty && (e = readdir(dir));)
        empty = strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0;
    (void)closedir(dir);
    return empty ? ST_OK
                 : refuse(ST_CONFLICT, why, "", "the folder %s holds files already; name one that is new or empty",
                          folder);
}

/* Half an export looks like a whole one of a smaller farm. */
static void take_away(const char *folder)
{
    char path[PATH];

    for (size_t i = 0; i < whole_tables(); i++) {
        const int n = snprintf(path, sizeof path, "%s/%s.csv", folder, whole_table(i));
        if (n > 0 && (size_t)n < sizeof path)
            (void)unlink(path);
    }
}

enum status farm_export_folder(struct farm *farm, const char *folder, struct message *why)
{
    struct csv_out *o = calloc(1, sizeof *o);
    enum status st = o ? empty_folder(folder, why) : refuse(ST_NO_MEMORY, why, "", "out of memory");

    if (st == ST_OK) {
        const struct whole_sink sink = { o, csv_table, csv_row, csv_end };
        o->folder = folder;
        st = whole_out(farm, &sink, why);
        text_close(&o->text);
        if (st != ST_OK)
            take_away(folder);
    }
    free(o);
    return st;
}

/* ---- out: JSON ---- */

struct json_out {
    struct text text;
    bool any_table, any_row;
};

static enum status json_table(void *own, const char *name, size_t n, const char *const column[], struct message *why)
{
    struct json_out *o = own;

    (void)why;
    text_add(&o->text, o->any_table ? ",\n" : "\n");
    words_json(&o->text, name);
    text_add(&o->text, ": {\"columns\": [");
    for (size_t i = 0; i < n; i++) {
        text_add(&o->text, i ? ", " : "");
        words_json(&o->text, column[i]);
    }
    text_add(&o->text, "], \"rows\": [");
    o->any_table = true;
    o->any_row = false;
    return ST_OK;
}

static enum status json_row(void *own, size_t n, const struct cell cell[], struct message *why)
{
    struct json_out *o = own;

    text_add(&o->text, o->any_row ? ",\n [" : "\n [");
    for (size_t i = 0; i < n; i++) {
        text_add(&o->text, i ? ", " : "");
        if (cell[i].number)
            text_add(&o->text, cell[i].text[0] ? cell[i].text : "null");
        else
            words_json(&o->text, cell[i].text);
    }
    text_add(&o->text, "]");
    o->any_row = true;
    return text_full(&o->text) ? refuse(ST_NO_MEMORY, why, "", "the farm is too large to be written out") : ST_OK;
}

static enum status json_end(void *own, struct message *why)
{
    struct json_out *o = own;

    (void)why;
    text_add(&o->text, "]}");
    return ST_OK;
}

enum status farm_export_json(struct farm *farm, const char *path, struct message *why)
{
    struct json_out o = { .any_table = false };
    const struct whole_sink sink = { &o, json_table, json_row, json_end };

    text_open(&o.text, FARM_WHOLE_BYTES);
    text_add(&o.text, "{\"leenest\": {");
    enum status st = whole_out(farm, &sink, why);
    text_add(&o.text, "\n}}\n");
    if (st == ST_OK)
        st = write_file(path, &o.text, why);
    text_close(&o.text);
    return st;
}

/* ---- in: CSV ---- */

/* Facts of a kind that an older export does not have are simply none. */
static bool may_be_absent(size_t table)
{
    return fact_kind_find(whole_table(table)) != NULL;
}

static enum status says_where(struct message *why, enum status st, const char *file, const char *word, size_t line)
{
    const struct message was = *why;
    return refuse(st, why, was.field, "%s, %s %zu, %s", file, word, line, was.text);
}

static enum status csv_rows(struct whole_in *in, size_t table, struct csv *csv, const char *file, struct arena *header,
                            struct message *why)
{
    const char *column[CSV_FIELDS];
    struct message says = { "", "" };
    enum csv_result got = csv_next(csv, &says);
    enum status st;

    if (got != CSV_ROW)
        return refuse(ST_BAD_INPUT, why, "", "%s: %s", file,
                      got == CSV_BAD ? says.text : "empty; its first line names the columns");
    for (size_t c = 0; c < csv->n_fields; c++)
        column[c] = arena_text(header, csv->field[c]);
    if (arena_full(header))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    st = whole_in_columns(in, table, csv->n_fields, column, why);
    if (st != ST_OK)
        return says_where(why, st, file, "line", csv->line);
    while ((got = csv_next(csv, &says)) != CSV_END) {
        struct arena row;
        if (got == CSV_BAD)
            return refuse(ST_BAD_INPUT, why, "", "%s, line %zu, %s", file, csv->line, says.text);
        arena_open(&row, 4 * 1024 * 1024);
        in->mem = &row;
        st = whole_in_row(in, csv->n_fields, (const char *const *)csv->field, why);
        arena_close(&row);
        if (st != ST_OK)
            return says_where(why, st, file, "line", csv->line);
    }
    return whole_in_end(in, why);
}

static enum status csv_one(struct whole_in *in, size_t table, const char *folder, struct message *why)
{
    char path[PATH], file[80];
    struct text bytes;
    struct csv csv = { .own = NULL };
    struct arena header;

    (void)snprintf(file, sizeof file, "%.60s.csv", whole_table(table));
    const int n = snprintf(path, sizeof path, "%s/%s", folder, file);
    if (n < 0 || (size_t)n >= sizeof path)
        return refuse(ST_BAD_INPUT, why, "", "the path %.80s... is too long", folder);
    text_open(&bytes, FARM_WHOLE_BYTES + 65536);
    arena_open(&header, 65536);
    enum status st = read_file(path, FARM_WHOLE_BYTES, &bytes, why);
    if (st == ST_OK) {
        st = csv_open(&csv, text_get(&bytes), bytes.length, ',', why);
        if (st == ST_OK)
            st = csv_rows(in, table, &csv, file, &header, why);
        csv_close(&csv);
    } else if (st == ST_NOT_FOUND) {
        st = may_be_absent(table)
                 ? ST_OK
                 : refuse(ST_BAD_INPUT, why, "", "%s has no %s; is it the folder of an export?", folder, file);
    }
    arena_close(&header);
    text_close(&bytes);
    return st;
}

static enum status csv_in(struct whole_in *in, const char *folder, struct message *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < whole_tables() && st == ST_OK; i++)
        st = csv_one(in, i, folder, why);
    return st;
}

/* ---- in: JSON ---- */

static const char *json_cell(const json_t *v, struct arena *mem)
{
    char number[40];

    if (json_is_string(v))
        return json_string_value(v);
    if (json_is_null(v))
        return "";
    if (json_is_integer(v))
        return arena_print(mem, "%lld", (long long)json_integer_value(v));
    if (json_is_real(v))
        return arena_text(mem, words_real(json_real_value(v), number));
    return NULL;
}

static enum status json_one_row(struct whole_in *in, const json_t *row, struct message *why)
{
    const char *cell[WHOLE_COLUMNS];
    const size_t n = json_array_size(row);
    struct arena mem;

    if (!json_is_array(row) || n > WHOLE_COLUMNS)
        return refuse(ST_BAD_INPUT, why, "", "a row is a list of cells");
    arena_open(&mem, 4 * 1024 * 1024);
    enum status st = ST_OK;
    for (size_t c = 0; c < n && st == ST_OK; c++) {
        cell[c] = json_cell(json_array_get(row, c), &mem);
        if (!cell[c] && arena_full(&mem))
            st = refuse(ST_NO_MEMORY, why, "", "out of memory");
        else if (!cell[c])
            st = refuse(ST_BAD_INPUT, why, "", "cell %zu is neither text nor a number", c + 1);
    }
    in->mem = &mem;
    if (st == ST_OK)
        st = whole_in_row(in, n, cell, why);
    arena_close(&mem);
    return st;
}

static enum status json_one(struct whole_in *in, size_t table, const json_t *t, const char *file, struct message *why)
{
    const json_t *columns = json_object_get(t, "columns"), *rows = json_object_get(t, "rows");
    const char *column[WHOLE_COLUMNS];
    const size_t n = json_array_size(columns);

    if (!json_is_array(columns) || !json_is_array(rows) || n > WHOLE_COLUMNS)
        return refuse(ST_BAD_INPUT, why, "", "%s: %s has no lists \"columns\" and \"rows\"", file, whole_table(table));
    for (size_t c = 0; c < n; c++) {
        column[c] = json_string_value(json_array_get(columns, c));
        if (!column[c])
            return refuse(ST_BAD_INPUT, why, "", "%s: a column of %s is not text", file, whole_table(table));
    }
    enum status st = whole_in_columns(in, table, n, column, why);
    for (size_t r = 0; st == ST_OK && r < json_array_size(rows); r++) {
        st = json_one_row(in, json_array_get(rows, r), why);
        if (st != ST_OK) {
            const struct message was = *why;
            return refuse(st, why, was.field, "%s, %s, row %zu, %s", file, whole_table(table), r + 1, was.text);
        }
    }
    return st == ST_OK ? whole_in_end(in, why) : st;
}

static enum status json_tables(struct whole_in *in, const json_t *root, const char *file, struct message *why)
{
    const json_t *tables = json_object_get(root, "leenest");
    const char *key;
    json_t *unused;
    enum status st = ST_OK;

    if (!json_is_object(tables))
        return refuse(ST_BAD_INPUT, why, "", "%s is not the export of a farm", file);
    json_object_foreach(json_object_get(root, "leenest"), key, unused)
    {
        bool known = false;
        (void)unused;
        for (size_t i = 0; i < whole_tables(); i++)
            known = known || strcmp(whole_table(i), key) == 0;
        if (!known)
            return refuse(ST_BAD_INPUT, why, "", "%s: nothing here is called \"%.40s\"", file, key);
    }
    for (size_t i = 0; i < whole_tables() && st == ST_OK; i++) {
        const json_t *t = json_object_get(tables, whole_table(i));
        if (t)
            st = json_one(in, i, t, file, why);
        else if (!may_be_absent(i))
            st = refuse(ST_BAD_INPUT, why, "", "%s has no \"%s\"; is it the export of a whole farm?", file,
                        whole_table(i));
    }
    return st;
}

static enum status json_in(struct whole_in *in, const char *path, struct message *why)
{
    const char *file = strrchr(path, '/') ? strrchr(path, '/') + 1 : path;
    json_error_t error;
    struct text bytes;

    text_open(&bytes, FARM_WHOLE_BYTES + 65536);
    enum status st = read_file(path, FARM_WHOLE_BYTES, &bytes, why);
    json_t *root = st == ST_OK ? json_room_load(text_get(&bytes), bytes.length, &error) : NULL;
    text_close(&bytes);
    if (st == ST_OK && !root && json_had_no_room(&error))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK && !root)
        return refuse(ST_BAD_INPUT, why, "", "%s, line %d: not JSON: %.120s", file, error.line > 0 ? error.line : 1,
                      error.text);
    if (st == ST_OK)
        st = json_tables(in, root, file, why);
    json_decref(root);
    return st;
}

/* ---- both ---- */

static enum status fill(struct farm *f, const char *from, bool folder, struct message *why)
{
    struct whole_in in = { .farm = f, .hour = calloc(PACK_HOURS, sizeof *in.hour) };
    enum status st = in.hour ? farm_begin(f, why) : refuse(ST_NO_MEMORY, why, "", "out of memory");

    if (st == ST_OK) {
        st = farm_do(f, "PRAGMA defer_foreign_keys = ON", why); /* until the end of this transaction */
        if (st == ST_OK)
            st = folder ? csv_in(&in, from, why) : json_in(&in, from, why);
        if (st == ST_OK)
            st = farm_verify(f, why);
        if (st == ST_IO)
            st = ST_BAD_INPUT; /* what was exported has been changed since */
        st = farm_end(f, st, why);
    }
    free(in.hour);
    return st;
}

enum status farm_import_whole(const char *from, const char *path, const struct farm_how *how, struct message *why)
{
    struct stat is;
    struct farm *f = NULL;

    if (stat(from, &is) != 0)
        return refuse(ST_NOT_FOUND, why, "", "%s: %s", from, strerror(errno));
    enum status st = farm_create(path, how, &f, why);
    if (st != ST_OK)
        return st;
    st = fill(f, from, S_ISDIR(is.st_mode), why);
    farm_close(f);
    if (st != ST_OK)
        (void)unlink(path); /* made a moment ago, and empty */
    return st;
}
