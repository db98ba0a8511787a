/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which batch an undo or redo is about.
 */
#include <stdio.h>
#include <string.h>

#include "farm/undo_own.h"

enum status undo_is_undone(struct farm *f, const char *batch, bool *yes, struct message *why)
{
    char next[FARM_UID], by[FARM_UID] = "";
    enum status st = ST_OK;

    *yes = false;
    (void)snprintf(next, sizeof next, "%s", batch);
    for (;;) { /* undone, unless that undo is itself undone, unless ... */
        sqlite3_stmt *s =
            farm_statement(f,
                           "SELECT u.batch FROM undo u JOIN journal j ON j.batch = u.batch WHERE u.undoes = ?1"
                           " ORDER BY j.number DESC LIMIT 1",
                           why);
        by[0] = '\0';
        farm_bind_text(s, 1, next);
        while (farm_row(f, s, &st, why))
            (void)snprintf(by, sizeof by, "%s", (const char *)sqlite3_column_text(s, 0));
        if (st != ST_OK || !by[0])
            return st;
        *yes = !*yes;
        memcpy(next, by, sizeof next);
    }
}

/* Whoever mistyped a forecast and then undoes means the forecast, not the record before it. */
static enum status no_weather_typed_since(struct farm *f, const char *batch, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f,
                                     "SELECT 1 FROM weather_lot WHERE sort = 'typed' AND number >"
                                     " (SELECT max(number) FROM journal WHERE batch = ?1) LIMIT 1",
                                     why);
    enum status st = ST_OK;
    bool typed = false;

    farm_bind_text(s, 1, batch);
    while (farm_row(f, s, &st, why))
        typed = true;
    if (st == ST_OK && typed)
        return refuse(
            ST_CONFLICT, why, "",
            "the newest thing is a forecast that was typed in. Weather is not taken back: type it anew, for as"
            " many hours, and the newer one counts. The record before it: undo %s",
            batch);
    return st;
}

/* Newest batch that stands: an undo, or something else. */
enum status undo_newest(struct farm *f, bool of_undo, struct arena *mem, const char **batch, struct message *why)
{
    const char *const sql[2] = {
        "SELECT batch, max(number) AS newest FROM journal WHERE what IN('recorded','voided','restored')"
        " AND batch NOT IN(SELECT batch FROM undo) GROUP BY batch ORDER BY newest DESC",
        "SELECT u.batch, max(j.number) AS newest FROM undo u JOIN journal j ON j.batch = u.batch"
        " WHERE u.undoes NOT IN(SELECT batch FROM undo) GROUP BY u.batch ORDER BY newest DESC",
    };
    sqlite3_stmt *s = farm_statement(f, sql[of_undo], why);
    enum status st = ST_OK;
    const char **list = NULL;
    size_t n = 0, room = 0;

    while (farm_row(f, s, &st, why)) { /* read out first: `undone` runs statements of its own */
        if (n == room) {
            const char **more = ARENA_NEW(mem, const char *, room ? room * 2 : 64);
            if (!more) {
                (void)sqlite3_reset(s);
                return refuse(ST_NO_MEMORY, why, "", "out of memory");
            }
            if (n)
                memcpy(more, list, n * sizeof *list);
            list = more;
            room = room ? room * 2 : 64;
        }
        list[n++] = farm_column(s, 0, mem);
    }
    for (size_t i = 0; st == ST_OK && i < n; i++) {
        bool gone = false;
        st = undo_is_undone(f, list[i], &gone, why);
        if (st == ST_OK && !gone) {
            *batch = list[i];
            return of_undo ? ST_OK : no_weather_typed_since(f, list[i], why);
        }
    }
    return st == ST_OK
               ? refuse(ST_NOT_FOUND, why, "", of_undo ? "there is no undo to take back" : "there is nothing to undo")
               : st;
}

/* A batch, or the fact that a batch recorded. */
enum status undo_batch_of(struct farm *f, const char *what, struct arena *mem, const char **batch, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f,
                                     "SELECT batch FROM journal WHERE batch = ?1 OR (uid = ?1 AND what = 'recorded')"
                                     " ORDER BY batch = ?1 DESC, number DESC LIMIT 1",
                                     why);
    enum status st = ST_OK;

    *batch = NULL;
    farm_bind_text(s, 1, what);
    while (farm_row(f, s, &st, why))
        *batch = farm_column(s, 0, mem);
    if (st == ST_OK && !*batch)
        return refuse(ST_NOT_FOUND, why, "", "there is no fact and no batch %.40s", what);
    return st;
}
