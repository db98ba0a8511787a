/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The journal read backwards.
 */
#include <string.h>

#include "farm/own.h"

enum { MOST_CHANGES = 100000 };

static enum farm_change_what what_of(const char *text)
{
    for (size_t i = 0; i <= FARM_WEATHER; i++)
        if (strcmp(text, farm_change_name[i]) == 0)
            return (enum farm_change_what)i;
    return FARM_RECORDED;
}

/* ?3: the uid of any form of a fact: all its forms, as it was first and as it was put right; or NULL for all */
static const char history_sql[] =
    "SELECT j.number, j.at_utc_s, j.recorded_utc_s, j.what, j.kind, j.uid, j.batch, j.who, j.device, j.before, "
    "j.after, u.undoes"
    " FROM journal j LEFT JOIN undo u ON u.batch = j.batch WHERE j.number < ?1 AND (?3 IS NULL OR j.uid = ?3"
    " OR j.uid IN (SELECT o.uid FROM fact o WHERE o.root = (SELECT f.root FROM fact f WHERE f.uid = ?3)))"
    " ORDER BY j.number DESC LIMIT ?2";

enum status farm_history(struct farm *f, const char *uid, int64_t before_number, size_t most, struct arena *mem,
                         struct farm_change **changes, size_t *n, struct message *why)
{
    const size_t room = most < MOST_CHANGES ? most : MOST_CHANGES;
    struct farm_change *list = ARENA_NEW(mem, struct farm_change, room + 1);
    sqlite3_stmt *s = farm_statement(f, history_sql, why);
    enum status st = ST_OK;
    size_t count = 0;

    if (!list)
        return refuse(ST_NO_MEMORY, why, "", "that history is too long; ask for less of it");
    if (s) {
        (void)sqlite3_bind_int64(s, 1, before_number > 0 ? before_number : INT64_MAX);
        (void)sqlite3_bind_int64(s, 2, (int64_t)room);
    }
    farm_bind_text(s, 3, uid);
    while (farm_row(f, s, &st, why)) {
        list[count++] = (struct farm_change){
            .number = sqlite3_column_int64(s, 0),
            .at_utc_s = sqlite3_column_int64(s, 1),
            .recorded_utc_s = sqlite3_column_int64(s, 2),
            .what = what_of((const char *)sqlite3_column_text(s, 3)),
            .kind = farm_column(s, 4, mem),
            .uid = farm_column(s, 5, mem),
            .batch = farm_column(s, 6, mem),
            .who = farm_column(s, 7, mem),
            .device = farm_column(s, 8, mem),
            .before = farm_column(s, 9, mem),
            .after = farm_column(s, 10, mem),
            .undoes = farm_column(s, 11, mem),
            .called = "",
        };
    }
    for (size_t i = 0; st == ST_OK && i < count; i++) {
        const char *called = list[i].what == FARM_WEATHER ? list[i].after : farm_called(f, list[i].uid, mem);
        list[i].called = called ? called : "";
    }
    if (st == ST_OK && arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "that history is too long; ask for less of it");
    if (st == ST_OK) {
        *changes = list;
        *n = count;
    }
    return st;
}
