/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Statements: prepared once, found by their text. Values are only ever bound.
 */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "farm/own.h"

enum { STATEMENTS = 512, SQL_BYTES = 64 * 1024 };

enum status farm_sql_status(struct farm *f, int rc, struct message *why)
{
    switch (rc & 0xff) {
    case SQLITE_OK:
    case SQLITE_ROW:
    case SQLITE_DONE: return ST_OK;
    case SQLITE_BUSY:
    case SQLITE_LOCKED: return refuse(ST_BUSY, why, "", "another program is writing to the farm file; try again");
    case SQLITE_CONSTRAINT:
        return refuse(ST_CONFLICT, why, "", "that does not fit what is recorded: %s", sqlite3_errmsg(f->db));
    case SQLITE_NOMEM: return refuse(ST_NO_MEMORY, why, "", "out of memory");
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return refuse(ST_IO, why, "", "the farm file %s is damaged (%s); go back to a backup with `restore`", f->path,
                      sqlite3_errmsg(f->db));
    case SQLITE_FULL: return refuse(ST_IO, why, "", "the disk that holds %s is full; make room and try again", f->path);
    case SQLITE_READONLY: return refuse(ST_IO, why, "", "the farm file %s may not be written to", f->path);
    default: return refuse(ST_IO, why, "", "the farm file %s: %s", f->path, sqlite3_errmsg(f->db));
    }
}

static enum status room_for_one(struct farm *f, struct message *why)
{
    if (f->n_statements < f->room)
        return ST_OK;
    const size_t more = f->room ? f->room * 2 : 64;
    struct farm_statement *grown = more <= STATEMENTS ? realloc(f->statement, more * sizeof *grown) : NULL;
    if (!grown)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    f->statement = grown;
    f->room = more;
    return ST_OK;
}

sqlite3_stmt *farm_statement(struct farm *f, const char *sql, struct message *why)
{
    struct farm_statement new = { NULL, NULL };

    for (size_t i = 0; i < f->n_statements; i++) {
        if (strcmp(f->statement[i].sql, sql) == 0) {
            (void)sqlite3_reset(f->statement[i].stmt);
            (void)sqlite3_clear_bindings(f->statement[i].stmt);
            return f->statement[i].stmt;
        }
    }
    if (room_for_one(f, why) != ST_OK)
        return NULL;
    const size_t n = strlen(sql) + 1;
    new.sql = malloc(n);
    if (!new.sql) {
        (void)refuse(ST_NO_MEMORY, why, "", "out of memory");
        return NULL;
    }
    memcpy(new.sql, sql, n);
    const int rc = sqlite3_prepare_v3(f->db, sql, -1, SQLITE_PREPARE_PERSISTENT, &new.stmt, NULL);
    if (rc != SQLITE_OK) {
        (void)farm_sql_status(f, rc, why);
        free(new.sql);
        return NULL;
    }
    f->statement[f->n_statements++] = new;
    return new.stmt;
}

sqlite3_stmt *farm_statement_print(struct farm *f, struct message *why, const char *fmt, ...)
{
    char sql[4096];
    va_list args;

    va_start(args, fmt);
    const int n = vsnprintf(sql, sizeof sql, fmt, args);
    va_end(args);
    if (n < 0 || (size_t)n >= sizeof sql) {
        (void)refuse(ST_NO_MEMORY, why, "", "a statement is too long");
        return NULL;
    }
    return farm_statement(f, sql, why);
}

sqlite3_stmt *farm_statement_of(struct farm *f, struct text *sql, struct message *why)
{
    sqlite3_stmt *s = NULL;

    if (text_full(sql))
        (void)refuse(ST_NO_MEMORY, why, "", "out of memory");
    else
        s = farm_statement(f, text_get(sql), why);
    text_close(sql);
    return s;
}

/* The status behind a NULL statement: its message is there, its status is not. */
static enum status no_statement(struct farm *f, struct message *why)
{
    const int rc = sqlite3_errcode(f->db);

    if (rc == SQLITE_OK || rc == SQLITE_ROW || rc == SQLITE_DONE)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    return farm_sql_status(f, rc, why);
}

enum status farm_run(struct farm *f, sqlite3_stmt *s, struct message *why)
{
    if (!s)
        return no_statement(f, why);
    const enum status st = farm_sql_status(f, sqlite3_step(s), why);
    (void)sqlite3_reset(s);
    (void)sqlite3_clear_bindings(s);
    return st;
}

enum status farm_do(struct farm *f, const char *sql, struct message *why)
{
    return farm_run(f, farm_statement(f, sql, why), why);
}

bool farm_row(struct farm *f, sqlite3_stmt *s, enum status *st, struct message *why)
{
    if (!s) {
        *st = no_statement(f, why);
        return false;
    }
    const int rc = sqlite3_step(s);
    if (rc == SQLITE_ROW)
        return true;
    *st = farm_sql_status(f, rc, why);
    (void)sqlite3_reset(s);
    return false;
}

char *farm_column(sqlite3_stmt *s, int column, struct arena *mem)
{
    const bool given = sqlite3_column_type(s, column) != SQLITE_NULL;
    const char *text = (const char *)sqlite3_column_text(s, column);

    mem->full = mem->full || (given && !text); /* there was no memory for it */
    return text ? arena_bytes(mem, text, (size_t)sqlite3_column_bytes(s, column)) : arena_text(mem, "");
}

void farm_bind_text(sqlite3_stmt *s, int at, const char *text)
{
    if (s && text)
        (void)sqlite3_bind_text(s, at, text, -1, SQLITE_STATIC);
    else if (s)
        (void)sqlite3_bind_null(s, at);
}

enum status farm_begin(struct farm *f, struct message *why)
{
    if (f->read_only)
        return refuse(ST_IO, why, "", "%s", f->sentence);
    return farm_do(f, "BEGIN IMMEDIATE", why);
}

enum status farm_end(struct farm *f, enum status st, struct message *why)
{
    struct message ignored = { "", "" }; /* the first reason stays */

    if (st == ST_OK)
        st = farm_do(f, "COMMIT", why);
    if (st != ST_OK && !sqlite3_get_autocommit(f->db))
        (void)farm_do(f, "ROLLBACK", &ignored);
    return st;
}
