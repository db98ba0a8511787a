/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Facts out of the file and into it, made from the fact table.
 */
#include <stdio.h>
#include <string.h>

#include "farm/own.h"

/* What every row brings besides its fields. ?1 = known_to. */
static const char row_head[] = "SELECT f.uid, f.number, j.recorded_utc_s, j.who, j.device, j.batch, f.root";

/* The fact that stands in place of a root as of ?1: the member of its chain that lives, else the root itself. */
static const char standing_sql[] =
    "coalesce((SELECT s.uid FROM fact s JOIN lived sl ON sl.fact = s.id WHERE s.root = t.\"%s\" AND sl.from_number <= "
    "?1"
    " AND (sl.to_number IS NULL OR sl.to_number > ?1)), (SELECT s.uid FROM fact s WHERE s.id = t.\"%s\"))";

enum { HEAD = 7, EVER = 0 };

static void select_text(const struct fact_kind *kind, const char *where, struct text *sql)
{
    text_add(sql, row_head);
    for (size_t i = 0; i < kind->n_fields; i++) {
        const struct fact_field *field = &kind->fields[i];
        text_add(sql, ", ");
        if (field->type != FACT_REF) {
            text_print(sql, "t.\"%s\"", field->name);
            continue;
        }
        text_print(sql, "CASE WHEN t.\"%s\" IS NULL THEN NULL ELSE ", field->name);
        text_print(sql, standing_sql, field->name, field->name);
        text_add(sql, " END");
    }
    text_print(sql, " FROM \"%s\" t JOIN fact f ON f.id = t.id JOIN journal j ON j.number = f.number %s", kind->name,
               where);
}

static sqlite3_stmt *select_statement(struct farm *f, const struct fact_kind *kind, const char *where, int64_t known_to,
                                      struct message *why)
{
    struct text sql;

    text_open(&sql, 64 * 1024);
    select_text(kind, where, &sql);
    sqlite3_stmt *s = farm_statement_of(f, &sql, why);
    if (s)
        (void)sqlite3_bind_int64(s, 1, known_to > 0 ? known_to : INT64_MAX);
    return s;
}

static void read_value(sqlite3_stmt *s, int column, const struct fact_field *field, struct arena *mem,
                       struct fact_value *v)
{
    if (sqlite3_column_type(s, column) == SQLITE_NULL)
        return;
    v->given = true;
    switch (field->type) {
    case FACT_TEXT:
    case FACT_CHOICE:
    case FACT_SET:
    case FACT_REF: v->text = farm_column(s, column, mem); break;
    case FACT_REAL: v->real = sqlite3_column_double(s, column); break;
    case FACT_WHOLE:
    case FACT_DAY:
    case FACT_MOMENT:
    case FACT_FLAG: v->whole = sqlite3_column_int64(s, column); break;
    }
}

static bool read_fact(sqlite3_stmt *s, const struct fact_kind *kind, struct arena *mem, struct fact *fact)
{
    struct fact_value *values = ARENA_NEW(mem, struct fact_value, kind->n_fields);

    if (!values)
        return false;
    *fact = (struct fact){
        .kind = kind,
        .uid = farm_column(s, 0, mem),
        .value = values,
        .number = sqlite3_column_int64(s, 1),
        .recorded_utc_s = sqlite3_column_int64(s, 2),
        .who = farm_column(s, 3, mem),
        .device = farm_column(s, 4, mem),
        .batch = farm_column(s, 5, mem),
        .live = true,
    };
    for (size_t i = 0; i < kind->n_fields; i++)
        read_value(s, HEAD + (int)i, &kind->fields[i], mem, &values[i]);
    return !arena_full(mem);
}

/* All rows of a statement. The list grows by doubling inside the arena. */
static enum status collect(struct farm *f, sqlite3_stmt *s, const struct fact_kind *kind, struct arena *mem,
                           struct fact **facts, size_t *n, struct message *why)
{
    size_t room = 16, count = 0;
    struct fact *list = ARENA_NEW(mem, struct fact, room);
    enum status st = ST_OK;
    bool full = !list;

    while (farm_row(f, s, &st, why)) {
        if (!full && count == room) {
            struct fact *more = room < FARM_ROWS ? ARENA_NEW(mem, struct fact, room * 2) : NULL;
            if (more)
                memcpy(more, list, count * sizeof *list);
            list = more;
            room *= 2;
        }
        full = full || !list || !read_fact(s, kind, mem, &list[count]);
        if (full) {
            (void)sqlite3_reset(s);
            return refuse(ST_NO_MEMORY, why, "", "too many facts of the kind %s to hold at once", kind->name);
        }
        count++;
    }
    if (st == ST_OK) {
        *facts = list;
        *n = count;
    }
    return st;
}

enum status farm_facts(struct farm *f, const struct fact_kind *kind, int64_t known_to, struct arena *mem,
                       struct fact **facts, size_t *n, struct message *why)
{
    sqlite3_stmt *s = select_statement(f, kind,
                                       "JOIN lived l ON l.fact = f.id AND l.from_number <= ?1"
                                       " AND (l.to_number IS NULL OR l.to_number > ?1) ORDER BY f.number",
                                       known_to, why);
    return collect(f, s, kind, mem, facts, n, why);
}

enum status farm_facts_of(struct farm *f, const struct fact_kind *kind, const char *field, int64_t root,
                          struct arena *mem, struct fact **facts, size_t *n, struct message *why)
{
    char where[256];

    (void)snprintf(where, sizeof where,
                   "JOIN lived l ON l.fact = f.id AND l.to_number IS NULL WHERE t.\"%.60s\" = ?2"
                   " ORDER BY f.number",
                   field);
    sqlite3_stmt *s = select_statement(f, kind, where, EVER, why);
    if (s)
        (void)sqlite3_bind_int64(s, 2, root);
    return collect(f, s, kind, mem, facts, n, why);
}

enum status farm_facts_all(struct farm *f, const struct fact_kind *kind, struct arena *mem, struct fact **facts,
                           size_t *n, struct message *why)
{
    return collect(f, select_statement(f, kind, "ORDER BY f.number", EVER, why), kind, mem, facts, n, why);
}

enum status farm_facts_called(struct farm *f, const struct fact_kind *kind, const char *name, struct arena *mem,
                              struct fact **facts, size_t *n, struct message *why)
{
    char also[320] = "", where[640];

    if (kind->also_called) {
        const struct fact_field *field = &kind->fields[fact_field_find(kind, kind->also_called)];
        if (field->type == FACT_REF)
            (void)snprintf(
                also, sizeof also,
                " OR t.\"%.40s\" IN (SELECT g.root FROM \"%.40s\" o JOIN fact g ON g.id = o.id"
                " JOIN lived ol ON ol.fact = o.id AND ol.to_number IS NULL WHERE o.\"%.40s\" = ?2 COLLATE NOCASE)",
                field->name, field->refers_to, fact_kind_find(field->refers_to)->called);
        else
            (void)snprintf(also, sizeof also, " OR t.\"%.40s\" = ?2 COLLATE NOCASE", field->name);
    }
    (void)snprintf(where, sizeof where,
                   "JOIN lived l ON l.fact = f.id AND l.to_number IS NULL WHERE (t.\"%.40s\" = ?2"
                   " COLLATE NOCASE%s) ORDER BY f.number",
                   kind->called, also);
    sqlite3_stmt *s = select_statement(f, kind, where, EVER, why);
    farm_bind_text(s, 2, name);
    return collect(f, s, kind, mem, facts, n, why);
}

enum status farm_root(struct farm *f, const char *uid, int64_t *root, const struct fact_kind **kind,
                      struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT root, kind FROM fact WHERE uid = ?1", why);
    enum status st = ST_OK;
    int64_t got = 0;

    farm_bind_text(s, 1, uid);
    while (farm_row(f, s, &st, why)) {
        got = sqlite3_column_int64(s, 0);
        if (kind)
            *kind = fact_kind_find((const char *)sqlite3_column_text(s, 1));
    }
    *root = got;
    return st;
}

enum status farm_standing(struct farm *f, int64_t root, int64_t known_to, char uid[static FARM_UID], bool *live,
                          struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(f,
                       "SELECT s.uid, sl.from_number <= ?1 AND (sl.to_number IS NULL OR sl.to_number > ?1) AS here"
                       " FROM fact s JOIN lived sl ON sl.fact = s.id WHERE s.root = ?2"
                       " ORDER BY here DESC, sl.from_number DESC LIMIT 1",
                       why);
    enum status st = ST_OK;

    uid[0] = '\0';
    *live = false;
    if (s) {
        (void)sqlite3_bind_int64(s, 1, known_to > 0 ? known_to : INT64_MAX);
        (void)sqlite3_bind_int64(s, 2, root);
    }
    while (farm_row(f, s, &st, why)) {
        (void)snprintf(uid, FARM_UID, "%s", (const char *)sqlite3_column_text(s, 0));
        *live = sqlite3_column_int(s, 1) != 0;
    }
    return st;
}

static enum status lives(struct farm *f, const char *uid, int64_t known_to, bool *live, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f,
                                     "SELECT 1 FROM lived l JOIN fact f ON f.id = l.fact WHERE f.uid = ?2 AND"
                                     " l.from_number <= ?1 AND (l.to_number IS NULL OR l.to_number > ?1)",
                                     why);
    enum status st = ST_OK;

    *live = false;
    if (s)
        (void)sqlite3_bind_int64(s, 1, known_to > 0 ? known_to : INT64_MAX);
    farm_bind_text(s, 2, uid);
    while (farm_row(f, s, &st, why))
        *live = true;
    return st;
}

enum status farm_fact(struct farm *f, const char *uid, int64_t known_to, struct arena *mem, struct fact *fact,
                      struct message *why)
{
    const struct fact_kind *kind = NULL;
    struct fact *got = NULL;
    int64_t root = 0;
    size_t n = 0;
    enum status st = farm_root(f, uid, &root, &kind, why);

    if (st != ST_OK)
        return st;
    if (root == 0)
        return refuse(ST_NOT_FOUND, why, "uid", "no fact %.40s is recorded", uid);
    if (!kind)
        return refuse(ST_IO, why, "uid", "the fact %.40s is of a kind this leenest does not know", uid);
    sqlite3_stmt *s = select_statement(f, kind, "WHERE f.uid = ?2 AND f.number <= ?1", known_to, why);
    farm_bind_text(s, 2, uid);
    st = collect(f, s, kind, mem, &got, &n, why);
    if (st == ST_OK && n == 0)
        return refuse(ST_NOT_FOUND, why, "uid", "the fact %.40s was not recorded then", uid);
    if (st == ST_OK)
        st = lives(f, uid, known_to, &got[0].live, why);
    if (st == ST_OK)
        *fact = got[0];
    return st;
}

enum status farm_bind_values(struct farm *f, sqlite3_stmt *s, int first, const struct fact_kind *kind,
                             const struct fact_value values[], struct message *why)
{
    for (size_t i = 0; i < kind->n_fields; i++) {
        const struct fact_value *v = &values[i];
        const int at = first + (int)i;
        int64_t root = 0;
        if (!v->given)
            continue;
        switch (kind->fields[i].type) {
        case FACT_TEXT:
        case FACT_CHOICE:
        case FACT_SET: farm_bind_text(s, at, v->text); break;
        case FACT_REAL: (void)sqlite3_bind_double(s, at, v->real); break;
        case FACT_WHOLE:
        case FACT_DAY:
        case FACT_MOMENT:
        case FACT_FLAG: (void)sqlite3_bind_int64(s, at, v->whole); break;
        case FACT_REF: {
            const enum status st = farm_root(f, v->text, &root, NULL, why);
            if (st != ST_OK)
                return st;
            if (root == 0)
                return refuse(ST_NOT_FOUND, why, kind->fields[i].name, "%s: no fact %.40s is recorded",
                              kind->fields[i].name, v->text);
            (void)sqlite3_bind_int64(s, at, root);
            break;
        }
        }
    }
    return ST_OK;
}

enum status farm_rooted(struct farm *f, const struct fact_kind *kind, const struct fact_value values[],
                        struct arena *mem, struct fact_value **rooted, struct message *why)
{
    struct fact_value *copy = ARENA_NEW(mem, struct fact_value, kind->n_fields);
    enum status st = ST_OK;

    if (!copy)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    memcpy(copy, values, kind->n_fields * sizeof *copy);
    for (size_t i = 0; i < kind->n_fields && st == ST_OK; i++) {
        if (kind->fields[i].type != FACT_REF || !copy[i].given)
            continue;
        sqlite3_stmt *s =
            farm_statement(f, "SELECT r.uid FROM fact f JOIN fact r ON r.id = f.root WHERE f.uid = ?1", why);
        farm_bind_text(s, 1, values[i].text);
        while (farm_row(f, s, &st, why))
            copy[i].text = farm_column(s, 0, mem);
    }
    *rooted = copy;
    return st == ST_OK && arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : st;
}
