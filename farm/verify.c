/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What SQLite's own check cannot see: a changed byte inside a value. The journal is a chain of digests and holds every
 * fact a second time; weather carries a sum of its own.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "farm/exchange.h"
#include "farm/own.h"
#include "farm/weather_pack.h"

static const char *text_or_null(sqlite3_stmt *s, int column)
{
    return (const char *)sqlite3_column_text(s, column);
}

static enum farm_change_what what_of(const char *text)
{
    for (size_t i = 0; text && i <= FARM_WEATHER; i++)
        if (strcmp(text, farm_change_name[i]) == 0)
            return (enum farm_change_what)i;
    return FARM_RECORDED;
}

static enum status chain_holds(struct farm *f, struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(f,
                       "SELECT number, at_utc_s, recorded_utc_s, what, kind, uid, batch, who, device, before, after,"
                       " chain FROM journal ORDER BY number",
                       why);
    char last[FARM_UID] = "", chain[FARM_UID], numbers[96];
    enum status st = ST_OK;
    int64_t expected = 1;

    while (farm_row(f, s, &st, why)) {
        const struct farm_meta meta = { .who = text_or_null(s, 7), .device = text_or_null(s, 8) };
        const struct farm_entry e = { what_of(text_or_null(s, 3)),
                                      text_or_null(s, 4),
                                      text_or_null(s, 5),
                                      text_or_null(s, 6),
                                      text_or_null(s, 9),
                                      text_or_null(s, 10),
                                      &meta };
        const int64_t number = sqlite3_column_int64(s, 0);
        (void)snprintf(numbers, sizeof numbers, "%lld %lld %lld", (long long)number,
                       (long long)sqlite3_column_int64(s, 1), (long long)sqlite3_column_int64(s, 2));
        farm_chain(last, &e, numbers, chain);
        if (number != expected++ || strcmp(chain, text_or_null(s, 11) ? text_or_null(s, 11) : "") != 0) {
            (void)sqlite3_reset(s);
            return refuse(ST_IO, why, "",
                          "the journal of %s does not hang together at change %lld: something changed it from outside",
                          f->path, (long long)number);
        }
        memcpy(last, chain, sizeof last);
    }
    return st;
}

/* One row of a kind, references as uid of their root, as the journal has it. */
static enum status same_as_journal(struct farm *f, const struct fact *fact, struct message *why)
{
    struct arena mem;
    struct fact_value *rooted = NULL;
    bool same = false;

    arena_open(&mem, 4 * 1024 * 1024);
    enum status st = farm_rooted(f, fact->kind, fact->value, &mem, &rooted, why);
    const char *body = st == ST_OK ? fact_json(fact->kind, rooted, &mem) : NULL;
    sqlite3_stmt *s = farm_statement(f, "SELECT after FROM journal WHERE number = ?1", why);
    if (s)
        (void)sqlite3_bind_int64(s, 1, fact->number);
    while (st == ST_OK && farm_row(f, s, &st, why))
        same = body && sqlite3_column_text(s, 0) && strcmp(body, text_or_null(s, 0)) == 0;
    arena_close(&mem);
    if (st == ST_OK && !same)
        return refuse(ST_IO, why, "",
                      "a %s (%s) no longer says what the journal of %s says of it: something changed it from outside",
                      fact->kind->name, fact->uid, f->path);
    return st;
}

static enum status facts_hold(struct farm *f, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT count(*) FROM fact", why);
    struct arena mem;
    char(*uids)[FARM_UID] = NULL;
    size_t n = 0, room = 0;
    enum status st = ST_OK;

    while (farm_row(f, s, &st, why))
        room = (size_t)sqlite3_column_int64(s, 0);
    if (st != ST_OK || room == 0)
        return st;
    uids = calloc(room, sizeof *uids);
    if (!uids)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    s = farm_statement(f, "SELECT uid FROM fact ORDER BY id", why);
    while (farm_row(f, s, &st, why))
        if (n < room)
            (void)snprintf(uids[n++], FARM_UID, "%s", text_or_null(s, 0));
    for (size_t i = 0; st == ST_OK && i < n; i++) {
        struct fact fact;
        arena_open(&mem, 4 * 1024 * 1024);
        st = farm_fact(f, uids[i], 0, &mem, &fact, why);
        if (st == ST_NOT_FOUND)
            st = refuse(ST_IO, why, "", "the fact %s of %s has lost its row: something changed the file from outside",
                        uids[i], f->path);
        if (st == ST_OK)
            st = same_as_journal(f, &fact, why);
        arena_close(&mem);
    }
    free(uids);
    return st;
}

static enum status weather_holds(struct farm *f, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT day, hours, lot FROM weather_day", why);
    struct hour *hours = calloc(PACK_HOURS, sizeof *hours);
    enum status st = hours ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");
    bool damaged = false;
    size_t n = 0;

    while (st == ST_OK && farm_row(f, s, &st, why))
        damaged = damaged || !weather_unpack(sqlite3_column_int64(s, 0), sqlite3_column_blob(s, 1),
                                             (size_t)sqlite3_column_bytes(s, 1), hours, &n);
    free(hours);
    return st == ST_OK && damaged ? refuse(ST_IO, why, "", "weather stored in %s is damaged", f->path) : st;
}

enum status farm_verify(struct farm *f, struct message *why)
{
    enum status st = chain_holds(f, why);

    if (st == ST_OK)
        st = facts_hold(f, why);
    return st == ST_OK ? weather_holds(f, why) : st;
}
