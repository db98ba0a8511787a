/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The tables: those of the facts made from the fact table, and the fixed ones beside them.
 */
#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "farm/migrate/steps.h"
#include "farm/own.h"

/* fact: the identity of every fact of every kind. lived: from which change to which it counted (to: NULL = still).
 * root: the first of a chain of corrections; references point there, and reading finds the member that lives. */
static const char *const fixed[] = {
    "CREATE TABLE journal(number INTEGER PRIMARY KEY, at_utc_s INTEGER NOT NULL, recorded_utc_s INTEGER NOT NULL,"
    " what TEXT NOT NULL CHECK(what IN('recorded','voided','restored','settled','weather')), kind TEXT NOT NULL,"
    " uid TEXT NOT NULL, batch TEXT NOT NULL, who TEXT NOT NULL, device TEXT NOT NULL, before TEXT, after TEXT,"
    " chain TEXT NOT NULL) STRICT",
    "CREATE INDEX journal_uid ON journal(uid)",
    "CREATE INDEX journal_batch ON journal(batch)",
    "CREATE TABLE undo(batch TEXT PRIMARY KEY, undoes TEXT NOT NULL) STRICT, WITHOUT ROWID",
    "CREATE INDEX undo_undoes ON undo(undoes)",
    "CREATE TABLE fact(id INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE CHECK(length(uid) = 32), kind TEXT NOT NULL,"
    " root INTEGER NOT NULL REFERENCES fact(id), number INTEGER NOT NULL REFERENCES journal(number),"
    " given TEXT NOT NULL) STRICT",
    "CREATE INDEX fact_root ON fact(root)",
    "CREATE INDEX fact_kind ON fact(kind)",
    "CREATE TABLE lived(fact INTEGER NOT NULL REFERENCES fact(id), from_number INTEGER NOT NULL REFERENCES "
    "journal(number),"
    " to_number INTEGER REFERENCES journal(number), voided_by TEXT, PRIMARY KEY(fact, from_number)) STRICT, WITHOUT "
    "ROWID",
    "CREATE TABLE flag(number INTEGER PRIMARY KEY, key TEXT NOT NULL, uid TEXT NOT NULL REFERENCES fact(uid),"
    " other_uid TEXT NOT NULL, says TEXT NOT NULL, raised INTEGER NOT NULL REFERENCES journal(number),"
    " settled INTEGER REFERENCES journal(number), settled_by TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT '') "
    "STRICT",
    "CREATE INDEX flag_uid ON flag(uid)",
    "CREATE TABLE held(number INTEGER PRIMARY KEY, kind TEXT NOT NULL, uid TEXT NOT NULL, body TEXT NOT NULL,"
    " who TEXT NOT NULL, device TEXT NOT NULL, batch TEXT NOT NULL, recorded_utc_s INTEGER NOT NULL,"
    " held_utc_s INTEGER NOT NULL, field TEXT NOT NULL, reason TEXT NOT NULL, settled TEXT NOT NULL DEFAULT ''"
    " CHECK(settled IN('','recorded','dropped')), settled_utc_s INTEGER, settled_by TEXT NOT NULL DEFAULT '') STRICT",
    "CREATE TABLE weather_lot(number INTEGER PRIMARY KEY REFERENCES journal(number), sort TEXT NOT NULL"
    " CHECK(sort IN('past years','observed','forecast','typed')), source TEXT NOT NULL, issued_utc_s INTEGER NOT NULL,"
    " fetched_utc_s INTEGER NOT NULL, expires_utc_s INTEGER NOT NULL, address TEXT NOT NULL, etag TEXT NOT NULL,"
    " last_modified TEXT NOT NULL, expires TEXT NOT NULL, credit TEXT NOT NULL, place TEXT NOT NULL, lat_deg REAL,"
    " lon_deg REAL, elevation_m REAL, first_utc_s INTEGER NOT NULL, last_utc_s INTEGER NOT NULL,"
    " n_hours INTEGER NOT NULL) STRICT",
    "CREATE INDEX weather_lot_source ON weather_lot(source, sort)",
    ("CREATE TABLE weather_day(lot INTEGER NOT NULL REFERENCES weather_lot(number), day INTEGER NOT NULL,"
     " hours BLOB NOT NULL, PRIMARY KEY(lot, day)) STRICT, WITHOUT ROWID"),
    "CREATE TABLE remember(name TEXT PRIMARY KEY, bytes BLOB NOT NULL) STRICT",
    FARM_DOOR_SQL_1,
    FARM_DOOR_SQL_2,
};

static void add_choices(const struct fact_field *f, struct text *out)
{
    text_print(out, " CHECK(\"%s\" IN(", f->name);
    for (const char *c = f->choices; *c;) {
        const int n = (int)strcspn(c, "|");
        text_print(out, "%s'%.*s'", c == f->choices ? "" : ",", n, c);
        c += n + (c[n] == '|');
    }
    text_add(out, "))");
}

static void add_column(const struct fact_field *f, struct text *out)
{
    static const char *const column_type[] = {
        [FACT_TEXT] = "TEXT",      [FACT_CHOICE] = "TEXT",   [FACT_SET] = "TEXT",
        [FACT_REAL] = "REAL",      [FACT_WHOLE] = "INTEGER", [FACT_DAY] = "INTEGER",
        [FACT_MOMENT] = "INTEGER", [FACT_FLAG] = "INTEGER",  [FACT_REF] = "INTEGER",
    };

    text_print(out, ",\n \"%s\" %s%s", f->name, column_type[f->type], f->how & FACT_REQUIRED ? " NOT NULL" : "");
    switch (f->type) {
    case FACT_CHOICE: add_choices(f, out); break;
    case FACT_REAL:
    case FACT_WHOLE: text_print(out, " CHECK(\"%s\" BETWEEN %.17g AND %.17g)", f->name, f->low, f->high); break;
    case FACT_FLAG: text_print(out, " CHECK(\"%s\" IN(0,1))", f->name); break;
    case FACT_REF: text_print(out, " REFERENCES \"%s\"(id)", f->refers_to); break;
    case FACT_TEXT:
    case FACT_SET:
    case FACT_DAY:
    case FACT_MOMENT: break;
    }
}

/* Exactly one of the fields is set, as a rule of the table itself. */
static void add_exactly_one(const struct fact_kind *kind, struct text *out)
{
    bool first = true;

    text_add(out, ",\n CHECK(");
    for (size_t i = 0; i < kind->n_fields; i++) {
        if (!word_in(kind->exactly_one, kind->fields[i].name, strlen(kind->fields[i].name)))
            continue;
        text_print(out, "%s(\"%s\" IS NOT NULL)", first ? "" : " + ", kind->fields[i].name);
        first = false;
    }
    text_add(out, " = 1)");
}

void farm_kind_sql(const struct fact_kind *kind, const char *name, struct text *out)
{
    text_print(out, "CREATE TABLE \"%s\"(\n id INTEGER PRIMARY KEY REFERENCES fact(id)", name ? name : kind->name);
    for (size_t i = 0; i < kind->n_fields; i++)
        add_column(&kind->fields[i], out);
    if (kind->exactly_one)
        add_exactly_one(kind, out);
    text_add(out, "\n) STRICT");
}

/* Names are looked up, and references followed backwards. */
static bool indexed(const struct fact_kind *kind, const struct fact_field *f)
{
    return f->type == FACT_REF || (kind->called && strcmp(kind->called, f->name) == 0) ||
           (kind->also_called && strcmp(kind->also_called, f->name) == 0);
}

static void index_sql(const struct fact_kind *kind, const struct fact_field *f, struct text *out)
{
    text_print(out, "CREATE INDEX \"%s.%s\" ON \"%s\"(\"%s\"%s)", kind->name, f->name, kind->name, f->name,
               f->type == FACT_TEXT ? " COLLATE NOCASE" : "");
}

static enum status execute(struct farm *f, const struct text *sql, struct message *why)
{
    if (text_full(sql))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    return farm_sql_status(f, sqlite3_exec(f->db, text_get(sql), NULL, NULL, NULL), why);
}

static enum status make_kind(struct farm *f, const struct fact_kind *kind, const char *name, struct message *why)
{
    struct text sql;

    text_open(&sql, 64 * 1024);
    farm_kind_sql(kind, name, &sql);
    const enum status st = execute(f, &sql, why);
    text_close(&sql);
    return st;
}

static enum status make_indexes(struct farm *f, const struct fact_kind *kind, struct message *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < kind->n_fields && st == ST_OK; i++) {
        if (!indexed(kind, &kind->fields[i]))
            continue;
        struct text sql;
        text_open(&sql, 4096);
        index_sql(kind, &kind->fields[i], &sql);
        st = execute(f, &sql, why);
        text_close(&sql);
    }
    return st;
}

bool farm_shape(char out[static FARM_UID])
{
    bool whole = true;
    crypto_generichash_state state;
    unsigned char digest[16];
    struct text sql;

    (void)crypto_generichash_init(&state, NULL, 0, sizeof digest);
    for (size_t i = 0; i < COUNT(fixed); i++)
        (void)crypto_generichash_update(&state, (const unsigned char *)fixed[i], strlen(fixed[i]));
    for (size_t k = 0; fact_kinds[k]; k++) {
        text_open(&sql, 64 * 1024);
        farm_kind_sql(fact_kinds[k], NULL, &sql);
        for (size_t i = 0; i < fact_kinds[k]->n_fields; i++)
            if (indexed(fact_kinds[k], &fact_kinds[k]->fields[i]))
                index_sql(fact_kinds[k], &fact_kinds[k]->fields[i], &sql);
        (void)crypto_generichash_update(&state, (const unsigned char *)text_get(&sql), sql.length);
        whole = whole && !text_full(&sql);
        text_close(&sql);
    }
    (void)crypto_generichash_final(&state, digest, sizeof digest);
    (void)sodium_bin2hex(out, FARM_UID, digest, sizeof digest);
    return whole;
}

static enum status write_version(struct farm *f, struct message *why)
{
    char sql[80];

    (void)snprintf(sql, sizeof sql, "PRAGMA user_version = %d", FARM_VERSION);
    return farm_sql_status(f, sqlite3_exec(f->db, sql, NULL, NULL, NULL), why);
}

enum status farm_make_tables(struct farm *f, struct message *why)
{
    char sql[80];
    enum status st = ST_OK;

    for (size_t i = 0; i < COUNT(fixed) && st == ST_OK; i++)
        st = farm_sql_status(f, sqlite3_exec(f->db, fixed[i], NULL, NULL, NULL), why);
    for (size_t k = 0; fact_kinds[k] && st == ST_OK; k++) {
        st = make_kind(f, fact_kinds[k], NULL, why);
        if (st == ST_OK)
            st = make_indexes(f, fact_kinds[k], why);
    }
    (void)snprintf(sql, sizeof sql, "PRAGMA application_id = %d", FARM_APPLICATION);
    if (st == ST_OK)
        st = farm_sql_status(f, sqlite3_exec(f->db, sql, NULL, NULL, NULL), why);
    return st == ST_OK ? write_version(f, why) : st;
}

/* ---- migration ---- */

static void text_add_column(struct text *out, sqlite3_stmt *s)
{
    const char *text = (const char *)sqlite3_column_text(s, 0);

    out->full = out->full || !text; /* none of them is NULL */
    text_add(out, text ? text : "");
}

static enum status table_sql(struct farm *f, const char *name, struct text *out, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = ?1", why);
    enum status st = ST_OK;

    farm_bind_text(s, 1, name);
    while (farm_row(f, s, &st, why))
        text_add_column(out, s);
    return st;
}

/* Columns that both the old table and the new one have: "\"name\",\"tag\"". */
static enum status common_columns(struct farm *f, const struct fact_kind *kind, struct text *out, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT name FROM pragma_table_info(?1)", why);
    enum status st = ST_OK;

    text_add(out, "id");
    farm_bind_text(s, 1, kind->name);
    while (farm_row(f, s, &st, why)) {
        const char *name = (const char *)sqlite3_column_text(s, 0);
        out->full = out->full || !name;
        for (size_t i = 0; i < kind->n_fields; i++)
            if (name && strcmp(kind->fields[i].name, name) == 0)
                text_print(out, ",\"%s\"", name);
    }
    return st;
}

/* A kind whose table has changed: a new table beside, what both have copied, the old one put away. */
static enum status remake_kind(struct farm *f, const struct fact_kind *kind, struct message *why)
{
    struct text columns, sql;
    char name[64];

    (void)snprintf(name, sizeof name, "%.40s.new", kind->name);
    text_open(&columns, 8192);
    text_open(&sql, 32768);
    enum status st = common_columns(f, kind, &columns, why);
    if (st == ST_OK)
        st = text_full(&columns) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : make_kind(f, kind, name, why);
    if (st == ST_OK) {
        text_print(
            &sql,
            "INSERT INTO \"%s\"(%s) SELECT %s FROM \"%s\"; DROP TABLE \"%s\"; ALTER TABLE \"%s\" RENAME TO \"%s\"",
            name, text_get(&columns), text_get(&columns), kind->name, kind->name, name, kind->name);
        st = execute(f, &sql, why);
    }
    if (st == ST_OK)
        st = make_indexes(f, kind, why);
    text_close(&columns);
    text_close(&sql);
    return st;
}

static enum status bring_kind_up(struct farm *f, const struct fact_kind *kind, struct message *why)
{
    struct text is, wanted;

    text_open(&is, 64 * 1024);
    text_open(&wanted, 64 * 1024);
    farm_kind_sql(kind, NULL, &wanted);
    enum status st = table_sql(f, kind->name, &is, why);
    if (st == ST_OK && (text_full(&is) || text_full(&wanted)))
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK && is.length == 0) {
        st = make_kind(f, kind, NULL, why);
        if (st == ST_OK)
            st = make_indexes(f, kind, why);
    } else if (st == ST_OK && strcmp(text_get(&is), text_get(&wanted)) != 0) {
        st = remake_kind(f, kind, why);
    }
    text_close(&is);
    text_close(&wanted);
    return st;
}

static enum status references_hold(struct farm *f, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT \"table\" FROM pragma_foreign_key_check LIMIT 1", why);
    enum status st = ST_OK;
    bool broken = false;

    while (farm_row(f, s, &st, why)) {
        (void)refuse(ST_IO, why, "",
                     "bringing the farm file up to date would break a reference in %s; nothing was changed",
                     (const char *)sqlite3_column_text(s, 0));
        broken = true;
    }
    return st == ST_OK && broken ? ST_IO : st;
}

/* *room: was there memory to tell? */
static bool is_as_wanted(const char *name, const char *sql, bool *room)
{
    *room = *room && name && sql;
    for (size_t k = 0; fact_kinds[k] && name && sql; k++)
        if (strcmp(fact_kinds[k]->name, name) == 0) {
            struct text wanted;
            text_open(&wanted, 64 * 1024);
            farm_kind_sql(fact_kinds[k], NULL, &wanted);
            const bool same = strcmp(text_get(&wanted), sql) == 0;
            *room = *room && !text_full(&wanted);
            text_close(&wanted);
            return same;
        }
    return false;
}

enum status farm_tables_differ(struct farm *f, bool *differ, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT name, sql FROM sqlite_schema WHERE type = 'table'", why);
    enum status st = ST_OK;
    size_t n_same = 0, n_kinds = 0;
    bool room = true;

    while (farm_row(f, s, &st, why))
        n_same += is_as_wanted((const char *)sqlite3_column_text(s, 0), (const char *)sqlite3_column_text(s, 1), &room);
    while (fact_kinds[n_kinds])
        n_kinds++;
    *differ = n_same != n_kinds;
    return st == ST_OK && !room ? refuse(ST_NO_MEMORY, why, "", "out of memory") : st;
}

enum status farm_migrate(struct farm *f, int from_version, struct message *why)
{
    /* tables are dropped and made anew: references are checked at the end instead, and names in them left alone */
    enum status st = farm_sql_status(
        f, sqlite3_exec(f->db, "PRAGMA foreign_keys=OFF; PRAGMA legacy_alter_table=ON", NULL, NULL, NULL), why);
    if (st == ST_OK)
        st = farm_begin(f, why);
    for (size_t i = 0; i < farm_n_steps && st == ST_OK; i++)
        if (farm_steps[i].to_version > from_version)
            st = farm_sql_status(f, sqlite3_exec(f->db, farm_steps[i].sql, NULL, NULL, NULL), why);
    for (size_t k = 0; fact_kinds[k] && st == ST_OK; k++)
        st = bring_kind_up(f, fact_kinds[k], why);
    if (st == ST_OK)
        st = references_hold(f, why);
    if (st == ST_OK)
        st = write_version(f, why);
    st = farm_end(f, st, why);
    const int rc = sqlite3_exec(f->db, "PRAGMA legacy_alter_table=OFF; PRAGMA foreign_keys=ON", NULL, NULL, NULL);
    return st == ST_OK ? farm_sql_status(f, rc, why) : st;
}
