/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What waits for a person: flags on odd facts, and the tray of queued records that were refused.
 */
#include <stdio.h>
#include <string.h>

#include "farm/exchange.h"
#include "farm/own.h"

enum { MOST_WAITING = 100000, BODY_BYTES = 24 * 1024 /* no sound record is longer */ };

/* ---- flags ---- */

static enum status raise_one(struct farm *f, const char *uid, int64_t number, const struct farm_odd *odd, int64_t *flag,
                             struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(f, "INSERT INTO flag(key, uid, other_uid, says, raised) VALUES(?1, ?2, ?3, ?4, ?5)", why);

    farm_bind_text(s, 1, odd->key);
    farm_bind_text(s, 2, uid);
    farm_bind_text(s, 3, odd->other_uid);
    farm_bind_text(s, 4, odd->says);
    if (s)
        (void)sqlite3_bind_int64(s, 5, number);
    const enum status st = farm_run(f, s, why);
    *flag = sqlite3_last_insert_rowid(f->db);
    return st;
}

enum status farm_raise(struct farm *f, const char *uid, int64_t number, const struct farm_contra *c, struct arena *mem,
                       struct farm_outcome *outcome, struct message *why)
{
    struct farm_flag *flags = ARENA_NEW(mem, struct farm_flag, c->n_odd + 1);
    enum status st = ST_OK;

    if (!flags)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < c->n_odd && st == ST_OK; i++) {
        flags[i] = (struct farm_flag){ .key = c->odd[i].key,
                                       .kind = c->kind->name,
                                       .uid = arena_text(mem, uid),
                                       .other_uid = arena_text(mem, c->odd[i].other_uid),
                                       .says = arena_text(mem, c->odd[i].says),
                                       .raised_utc_s = c->recorded_utc_s,
                                       .settled_by = "",
                                       .settled_note = "" };
        st = raise_one(f, uid, number, &c->odd[i], &flags[i].number, why);
    }
    outcome->flags = flags;
    outcome->n_flags = c->n_odd;
    return st;
}

/* Both facts must live as of ?1: a flag about something voided is no news. */
static const char flags_sql[] =
    "SELECT g.number, g.key, f.kind, g.uid, g.other_uid, g.says, j.at_utc_s,"
    " g.settled IS NOT NULL AND g.settled <= ?1 AS done, g.settled_by, g.note"
    " FROM flag g JOIN fact f ON f.uid = g.uid JOIN journal j ON j.number = g.raised"
    " WHERE g.raised <= ?1 AND (?2 OR g.settled IS NULL OR g.settled > ?1)"
    " AND EXISTS(SELECT 1 FROM lived l WHERE l.fact = f.id AND l.from_number <= ?1 AND (l.to_number IS NULL OR "
    "l.to_number > ?1))"
    " AND (g.other_uid = '' OR EXISTS(SELECT 1 FROM fact o JOIN lived l ON l.fact = o.id WHERE o.uid = g.other_uid"
    " AND l.from_number <= ?1 AND (l.to_number IS NULL OR l.to_number > ?1))) ORDER BY g.number";

enum status farm_flags(struct farm *f, bool settled_too, int64_t known_to, struct arena *mem, struct farm_flag **flags,
                       size_t *n, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT count(*) FROM flag", why);
    enum status st = ST_OK;
    size_t room = 0, count = 0;

    while (farm_row(f, s, &st, why))
        room = (size_t)sqlite3_column_int64(s, 0);
    struct farm_flag *list = room <= MOST_WAITING ? ARENA_NEW(mem, struct farm_flag, room + 1) : NULL;
    if (st != ST_OK)
        return st;
    if (!list)
        return refuse(ST_NO_MEMORY, why, "", "too many flags to hold at once");
    s = farm_statement(f, flags_sql, why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, known_to > 0 ? known_to : INT64_MAX);
        (void)sqlite3_bind_int(s, 2, settled_too);
    }
    while (farm_row(f, s, &st, why)) {
        if (count >= room) /* another program raised one in between: the next look has it */
            continue;
        list[count++] = (struct farm_flag){
            .number = sqlite3_column_int64(s, 0),
            .key = farm_column(s, 1, mem),
            .kind = farm_column(s, 2, mem),
            .uid = farm_column(s, 3, mem),
            .other_uid = farm_column(s, 4, mem),
            .says = farm_column(s, 5, mem),
            .raised_utc_s = sqlite3_column_int64(s, 6),
            .settled = sqlite3_column_int(s, 7) != 0,
            .settled_by = farm_column(s, 8, mem),
            .settled_note = farm_column(s, 9, mem),
        };
    }
    if (st == ST_OK && arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "too many flags to hold at once");
    if (st == ST_OK) {
        *flags = list;
        *n = count;
    }
    return st;
}

static enum status settle(struct farm *f, int64_t flag, const char *note, const struct farm_meta *meta,
                          struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(f,
                       "SELECT f.kind, g.uid, g.key, g.settled IS NOT NULL FROM flag g JOIN fact f ON f.uid = g.uid"
                       " WHERE g.number = ?1",
                       why);
    char kind[40] = "", uid[FARM_UID] = "", key[40] = "", batch[FARM_UID];
    bool found = false, settled = false;
    int64_t number = 0;
    enum status st = ST_OK;

    if (s)
        (void)sqlite3_bind_int64(s, 1, flag);
    while (farm_row(f, s, &st, why)) {
        found = true;
        (void)snprintf(kind, sizeof kind, "%s", (const char *)sqlite3_column_text(s, 0));
        (void)snprintf(uid, sizeof uid, "%s", (const char *)sqlite3_column_text(s, 1));
        (void)snprintf(key, sizeof key, "%s", (const char *)sqlite3_column_text(s, 2));
        settled = sqlite3_column_int(s, 3) != 0;
    }
    if (st != ST_OK)
        return st;
    if (!found)
        return refuse(ST_NOT_FOUND, why, "flag", "there is no flag %lld", (long long)flag);
    if (note && (!words_clean(note) || strlen(note) > FACT_TEXT_BYTES))
        return refuse(ST_BAD_INPUT, why, "note", "note: it is not text, or too long");
    if (settled)
        return refuse(ST_CONFLICT, why, "flag", "flag %lld is settled already", (long long)flag);
    farm_new_uid(batch);
    const struct farm_entry entry = { FARM_SETTLED, kind, uid, meta->batch ? meta->batch : batch, key, note, meta };
    st = farm_journal(f, &entry, &number, why);
    if (st != ST_OK)
        return st;
    s = farm_statement(f, "UPDATE flag SET settled = ?2, settled_by = ?3, note = ?4 WHERE number = ?1", why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, flag);
        (void)sqlite3_bind_int64(s, 2, number);
    }
    farm_bind_text(s, 3, meta->who ? meta->who : "");
    farm_bind_text(s, 4, note ? note : "");
    return farm_run(f, s, why);
}

enum status farm_settle(struct farm *f, int64_t flag, const char *note, const struct farm_meta *meta,
                        struct message *why)
{
    const enum status st = farm_begin(f, why);
    return st == ST_OK ? farm_end(f, settle(f, flag, note, meta, why), why) : st;
}

/* ---- the tray ---- */

/* This very record rested here before; *settled: a person has recorded it, put right, or dropped it. */
static enum status held_before(struct farm *f, const char *uid, const char *body, int64_t *number, bool *settled,
                               struct message *why)
{
    sqlite3_stmt *s = farm_statement(
        f, "SELECT number, settled FROM held WHERE uid = ?1 AND body = ?2 ORDER BY number DESC LIMIT 1", why);
    enum status st = ST_OK;

    *number = 0;
    *settled = false;
    farm_bind_text(s, 1, uid);
    farm_bind_text(s, 2, body);
    while (farm_row(f, s, &st, why)) {
        *number = sqlite3_column_int64(s, 0);
        *settled = sqlite3_column_bytes(s, 1) > 0;
    }
    return st;
}

static enum status write_held(struct farm *f, const struct farm_item *item, const char *uid, const char *body,
                              const char *batch, int64_t number, struct message *why)
{
    sqlite3_stmt *s =
        number ? farm_statement(f, "UPDATE held SET field = ?2, reason = ?3 WHERE number = ?1", why)
               : farm_statement(
                     f,
                     "INSERT INTO held(field, reason, kind, uid, body, who, device, batch, recorded_utc_s, held_utc_s)"
                     " VALUES(?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
                     why);
    if (s && number)
        (void)sqlite3_bind_int64(s, 1, number);
    farm_bind_text(s, 2, item->why.field);
    farm_bind_text(s, 3, item->why.text);
    if (!number && s) {
        farm_bind_text(s, 4, item->kind ? item->kind->name : "");
        farm_bind_text(s, 5, uid);
        farm_bind_text(s, 6, body);
        farm_bind_text(s, 7, item->meta.who ? item->meta.who : "");
        farm_bind_text(s, 8, item->meta.device ? item->meta.device : "");
        farm_bind_text(s, 9, batch);
        (void)sqlite3_bind_int64(s, 10, item->meta.recorded_utc_s ? item->meta.recorded_utc_s : farm_now());
        (void)sqlite3_bind_int64(s, 11, farm_now());
    }
    return farm_run(f, s, why);
}

enum status farm_hold(struct farm *f, const struct farm_item *item, const char *batch, struct arena *mem, bool *settled,
                      struct message *why)
{
    const char *body = item->body                   ? item->body
                       : item->values && item->kind ? fact_json(item->kind, item->values, mem)
                                                    : "";
    const char *uid = item->meta.uid ? item->meta.uid : item->outcome.uid;
    int64_t number = 0;

    if (body && strlen(body) > BODY_BYTES) {
        size_t end = BODY_BYTES;
        while (end > 0 && ((unsigned char)body[end] & 0xC0) == 0x80)
            end--;
        body = arena_bytes(mem, body, end);
    }
    if (!body)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = farm_begin(f, why);
    if (st != ST_OK)
        return st;
    st = held_before(f, uid, body, &number, settled, why);
    if (st == ST_OK && !*settled)
        st = write_held(f, item, uid, body, batch, number, why);
    return farm_end(f, st, why);
}

enum status farm_unhold(struct farm *f, const char *uid, const struct farm_meta *meta, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f,
                                     "UPDATE held SET settled = 'recorded', settled_utc_s = ?2, settled_by = ?3"
                                     " WHERE uid = ?1 AND settled = ''",
                                     why);
    farm_bind_text(s, 1, uid);
    if (s)
        (void)sqlite3_bind_int64(s, 2, farm_now());
    farm_bind_text(s, 3, meta->who ? meta->who : "");
    return farm_run(f, s, why);
}

enum status farm_held(struct farm *f, bool settled_too, struct arena *mem, struct farm_held **held, size_t *n,
                      struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT count(*) FROM held WHERE ?1 OR settled = ''", why);
    enum status st = ST_OK;
    size_t room = 0, count = 0;

    if (s)
        (void)sqlite3_bind_int(s, 1, settled_too);
    while (farm_row(f, s, &st, why))
        room = (size_t)sqlite3_column_int64(s, 0);
    struct farm_held *list = room <= MOST_WAITING ? ARENA_NEW(mem, struct farm_held, room + 1) : NULL;
    if (st != ST_OK)
        return st;
    if (!list)
        return refuse(ST_NO_MEMORY, why, "", "too many held records to show at once");
    s = farm_statement(f,
                       "SELECT number, kind, uid, body, who, device, recorded_utc_s, held_utc_s, field, reason, settled"
                       " FROM held WHERE ?1 OR settled = '' ORDER BY number",
                       why);
    if (s)
        (void)sqlite3_bind_int(s, 1, settled_too);
    while (farm_row(f, s, &st, why)) {
        if (count >= room)
            continue;
        list[count++] = (struct farm_held){
            .number = sqlite3_column_int64(s, 0),
            .kind = farm_column(s, 1, mem),
            .uid = farm_column(s, 2, mem),
            .body = farm_column(s, 3, mem),
            .who = farm_column(s, 4, mem),
            .device = farm_column(s, 5, mem),
            .recorded_utc_s = sqlite3_column_int64(s, 6),
            .held_utc_s = sqlite3_column_int64(s, 7),
            .field = farm_column(s, 8, mem),
            .reason = farm_column(s, 9, mem),
            .settled = farm_column(s, 10, mem),
        };
    }
    if (st == ST_OK && arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "too many held records to show at once");
    if (st == ST_OK) {
        *held = list;
        *n = count;
    }
    return st;
}

static enum status find_held(struct farm *f, int64_t number, struct arena *mem, struct farm_held *held,
                             struct message *why)
{
    struct farm_held *list = NULL;
    size_t n = 0;
    const enum status st = farm_held(f, true, mem, &list, &n, why);

    for (size_t i = 0; st == ST_OK && i < n; i++) {
        if (list[i].number != number)
            continue;
        *held = list[i];
        return list[i].settled[0] ? refuse(ST_CONFLICT, why, "held", "held record %lld is settled already: %s",
                                           (long long)number, list[i].settled)
                                  : ST_OK;
    }
    return st == ST_OK ? refuse(ST_NOT_FOUND, why, "held", "there is no held record %lld", (long long)number) : st;
}

static enum status drop_held(struct farm *f, int64_t number, const struct farm_meta *meta, struct message *why)
{
    sqlite3_stmt *s = farm_statement(
        f, "UPDATE held SET settled = 'dropped', settled_utc_s = ?2, settled_by = ?3 WHERE number = ?1", why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, number);
        (void)sqlite3_bind_int64(s, 2, farm_now());
    }
    farm_bind_text(s, 3, meta->who ? meta->who : "");
    return farm_run(f, s, why);
}

enum status farm_settle_held(struct farm *f, int64_t number, const struct fact_value values[],
                             const struct farm_meta *meta, struct arena *mem, struct farm_outcome *outcome,
                             struct message *why)
{
    struct farm_held held = { .number = 0 };
    enum status st = farm_who_plain(meta, why);

    if (st == ST_OK)
        st = farm_begin(f, why);

    if (st != ST_OK)
        return st;
    st = find_held(f, number, mem, &held, why);
    if (st != ST_OK || !values)
        return farm_end(f, st == ST_OK ? drop_held(f, number, meta, why) : st, why);
    const struct fact_kind *kind = fact_kind_find(held.kind);
    if (!kind)
        return farm_end(
            f, refuse(ST_BAD_INPUT, why, "kind", "\"%.40s\" is no kind of fact; it can only be dropped", held.kind),
            why);
    const struct farm_meta as = { .uid = held.uid,
                                  .batch = meta->batch,
                                  .who = held.who,
                                  .device = held.device,
                                  .recorded_utc_s = held.recorded_utc_s,
                                  .replaces = meta->replaces };
    st = farm_put(f, kind, values, &as, as.batch, mem, outcome, why);
    if (st == ST_OK)
        st = farm_unhold(f, held.uid, meta, why);
    return farm_end(f, st, why);
}
