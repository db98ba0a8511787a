/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Undo and redo. Undoing a batch does the opposite of each of its changes, as one new batch: what it recorded is voided
 * with all that rests on it, what it voided is brought back. Redo is the undo of an undo.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "farm/exchange.h"
#include "farm/undo_own.h"

enum { WORK_BYTES = 256 * 1024 * 1024 };

struct fact_id {
    int64_t id, root;
    const char *uid;
    const struct fact_kind *kind;
};

struct undoing {
    struct farm *farm;
    const struct farm_meta *meta;
    const char *batch; /* the new one */
    struct arena *mem;
    struct fact_id *voids, *back; /* to be voided, to be brought back */
    size_t n_voids, n_back, n_own, room;
    bool *voided; /* by fact id */
    int64_t last_id;
    struct farm_change *change;
    size_t n_changes;
};

/* ---- what is to be done ---- */

static enum status identify(struct undoing *u, const char *uid, struct fact_id *id, struct message *why)
{
    sqlite3_stmt *s = farm_statement(u->farm, "SELECT id, root, kind FROM fact WHERE uid = ?1", why);
    enum status st = ST_OK;

    *id = (struct fact_id){ .uid = arena_text(u->mem, uid) };
    farm_bind_text(s, 1, uid);
    while (farm_row(u->farm, s, &st, why)) {
        id->id = sqlite3_column_int64(s, 0);
        id->root = sqlite3_column_int64(s, 1);
        id->kind = fact_kind_find((const char *)sqlite3_column_text(s, 2));
    }
    if (st == ST_OK && (id->id == 0 || !id->kind || !id->uid))
        return refuse(id->uid ? ST_NOT_FOUND : ST_NO_MEMORY, why, "", "there is no fact %.40s", uid);
    return st;
}

static enum status add(struct undoing *u, bool back, struct fact_id id, struct message *why)
{
    if (!back && u->voided[id.id])
        return ST_OK;
    if (u->n_voids + u->n_back >= u->room)
        return refuse(ST_NO_MEMORY, why, "", "too many facts to undo at once");
    if (back) {
        u->back[u->n_back++] = id;
    } else {
        u->voids[u->n_voids++] = id;
        u->voided[id.id] = true;
    }
    return ST_OK;
}

static enum status make_room(struct undoing *u, struct message *why)
{
    sqlite3_stmt *s = farm_statement(u->farm, "SELECT coalesce(max(id), 0), count(*) FROM fact", why);
    enum status st = ST_OK;

    while (farm_row(u->farm, s, &st, why)) {
        u->last_id = sqlite3_column_int64(s, 0);
        u->room = (size_t)sqlite3_column_int64(s, 1) + 1;
    }
    if (st != ST_OK)
        return st;
    u->voids = ARENA_NEW(u->mem, struct fact_id, u->room);
    u->back = ARENA_NEW(u->mem, struct fact_id, u->room);
    u->voided = ARENA_NEW(u->mem, bool, (size_t)u->last_id + 1);
    u->change = ARENA_NEW(u->mem, struct farm_change, u->room);
    return u->voids && u->back && u->voided && u->change
               ? ST_OK
               : refuse(ST_NO_MEMORY, why, "", "too many facts to undo at once");
}

static enum status is_live(struct farm *f, int64_t id, bool *live, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT 1 FROM lived WHERE fact = ?1 AND to_number IS NULL", why);
    enum status st = ST_OK;

    *live = false;
    if (s)
        (void)sqlite3_bind_int64(s, 1, id);
    while (farm_row(f, s, &st, why))
        *live = true;
    return st;
}

static enum status to_void(struct undoing *u, const char *uid, struct message *why)
{
    struct fact_id id;
    bool live = false, other = false;
    char standing[FARM_UID];

    enum status st = identify(u, uid, &id, why);
    if (st == ST_OK)
        st = is_live(u->farm, id.id, &live, why);
    if (st != ST_OK || live)
        return st == ST_OK ? add(u, false, id, why) : st;
    st = farm_standing(u->farm, id.root, 0, standing, &other, why);
    if (st == ST_OK && other)
        return refuse(ST_CONFLICT, why, "", "%s has been corrected since; undo the correction first (%s)",
                      farm_called(u->farm, uid, u->mem), standing);
    return st; /* voided since: nothing to do */
}

struct row {
    enum farm_change_what what;
    const char *uid;
};

static enum status rows_of_batch(struct undoing *u, const char *batch, struct row **rows, size_t *n,
                                 struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(u->farm,
                       "SELECT what, uid FROM journal WHERE batch = ?1 AND what IN('recorded','voided','restored')"
                       " ORDER BY number DESC",
                       why);
    struct row *list = ARENA_NEW(u->mem, struct row, u->room * 2);
    enum status st = ST_OK;
    size_t count = 0;

    if (!list)
        return refuse(ST_NO_MEMORY, why, "", "too many facts to undo at once");
    farm_bind_text(s, 1, batch);
    while (farm_row(u->farm, s, &st, why)) {
        const char *what = (const char *)sqlite3_column_text(s, 0);
        if (count >= u->room * 2)
            continue;
        list[count].what = strcmp(what, "recorded") == 0 ? FARM_RECORDED
                           : strcmp(what, "voided") == 0 ? FARM_VOIDED
                                                         : FARM_RESTORED;
        list[count].uid = farm_column(s, 1, u->mem);
        count++;
    }
    *rows = list;
    *n = count;
    return st;
}

static enum status opposite(struct undoing *u, const char *batch, struct message *why)
{
    struct row *rows = NULL;
    size_t n = 0;
    enum status st = rows_of_batch(u, batch, &rows, &n, why);

    for (size_t i = 0; st == ST_OK && i < n; i++) {
        struct fact_id id;
        if (rows[i].what != FARM_VOIDED) {
            st = to_void(u, rows[i].uid, why);
            continue;
        }
        st = identify(u, rows[i].uid, &id, why);
        if (st == ST_OK)
            st = add(u, true, id, why);
    }
    u->n_own = u->n_voids;
    return st;
}

static bool comes_back(const struct undoing *u, int64_t root)
{
    for (size_t i = 0; i < u->n_back; i++)
        if (u->back[i].root == root)
            return true;
    return false;
}

/* Live facts that refer to this root and would hang in the air. */
static enum status dependents_of(struct undoing *u, int64_t root, struct message *why)
{
    enum status st = ST_OK;

    for (size_t k = 0; fact_kinds[k] && st == ST_OK; k++) {
        const struct fact_kind *kind = fact_kinds[k];
        for (size_t i = 0; i < kind->n_fields && st == ST_OK; i++) {
            if (kind->fields[i].type != FACT_REF)
                continue;
            sqlite3_stmt *s =
                farm_statement_print(u->farm, why,
                                     "SELECT f.id, f.root, f.uid FROM \"%s\" t JOIN fact f ON f.id = t.id"
                                     " JOIN lived l ON l.fact = f.id AND l.to_number IS NULL WHERE t.\"%s\" = ?1",
                                     kind->name, kind->fields[i].name);
            if (s)
                (void)sqlite3_bind_int64(s, 1, root);
            while (farm_row(u->farm, s, &st, why)) {
                const struct fact_id id = { sqlite3_column_int64(s, 0), sqlite3_column_int64(s, 1),
                                            farm_column(s, 2, u->mem), kind };
                st = add(u, false, id, why);
                if (st != ST_OK) {
                    (void)sqlite3_reset(s);
                    return st;
                }
            }
        }
    }
    return st;
}

static enum status all_dependents(struct undoing *u, struct message *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < u->n_voids && st == ST_OK; i++) /* the list grows while it is walked */
        if (!comes_back(u, u->voids[i].root))
            st = dependents_of(u, u->voids[i].root, why);
    return st;
}

/* ---- doing it ---- */

static void note_change(struct undoing *u, const struct farm_entry *e, int64_t number, const char *called)
{
    u->change[u->n_changes++] = (struct farm_change){
        .number = number,
        .what = e->what,
        .kind = e->kind,
        .uid = e->uid,
        .batch = u->batch,
        .who = u->meta->who ? u->meta->who : "",
        .device = u->meta->device ? u->meta->device : "",
        .before = e->before ? e->before : "",
        .after = e->after ? e->after : "",
        .undoes = "",
        .called = called ? called : "",
        .at_utc_s = farm_now(),
        .recorded_utc_s = u->meta->recorded_utc_s ? u->meta->recorded_utc_s : farm_now(),
    };
}

static enum status body_of(struct undoing *u, const struct fact_id *id, struct fact *fact, const char **body,
                           struct message *why)
{
    struct fact_value *rooted = NULL;
    enum status st = farm_fact(u->farm, id->uid, 0, u->mem, fact, why);

    if (st == ST_OK)
        st = farm_rooted(u->farm, id->kind, fact->value, u->mem, &rooted, why);
    *body = st == ST_OK ? fact_json(id->kind, rooted, u->mem) : NULL;
    return st == ST_OK && !*body ? refuse(ST_NO_MEMORY, why, "", "too many facts to undo at once") : st;
}

static enum status void_one(struct undoing *u, const struct fact_id *id, struct message *why)
{
    struct fact fact;
    struct farm_entry entry = { FARM_VOIDED, id->kind->name, id->uid, u->batch, NULL, NULL, u->meta };
    const char *called = farm_called(u->farm, id->uid, u->mem), *by = NULL;
    int64_t number = 0;

    enum status st = body_of(u, id, &fact, &entry.before, why);
    if (st == ST_OK)
        st = farm_journal(u->farm, &entry, &number, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < u->n_back; i++)
        if (u->back[i].root == id->root)
            by = u->back[i].uid;
    sqlite3_stmt *s = farm_statement(
        u->farm, "UPDATE lived SET to_number = ?1, voided_by = ?2 WHERE fact = ?3 AND to_number IS NULL", why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, number);
        (void)sqlite3_bind_int64(s, 3, id->id);
    }
    farm_bind_text(s, 2, by);
    st = farm_run(u->farm, s, why);
    note_change(u, &entry, number, called);
    return st;
}

static enum status references_stand(struct undoing *u, const struct fact *fact, struct message *why)
{
    for (size_t i = 0; i < fact->kind->n_fields; i++) {
        int64_t root = 0;
        char standing[FARM_UID];
        bool live = false;
        if (fact->kind->fields[i].type != FACT_REF || !fact->value[i].given)
            continue;
        enum status st = farm_root(u->farm, fact->value[i].text, &root, NULL, why);
        if (st == ST_OK)
            st = farm_standing(u->farm, root, 0, standing, &live, why);
        if (st != ST_OK)
            return st;
        if (!live)
            return refuse(ST_CONFLICT, why, fact->kind->fields[i].name, "%s cannot come back: its %s has been voided",
                          farm_called(u->farm, fact->uid, u->mem), fact->kind->fields[i].name);
    }
    return ST_OK;
}

static enum status nothing_in_its_place(struct undoing *u, const struct fact_id *id, struct message *why)
{
    char standing[FARM_UID];
    bool live = false;
    const enum status st = farm_standing(u->farm, id->root, 0, standing, &live, why);

    if (st == ST_OK && live)
        return refuse(ST_CONFLICT, why, "", "%s has been corrected or brought back since",
                      farm_called(u->farm, standing, u->mem));
    return st;
}

static enum status bring_back(struct undoing *u, const struct fact_id *id, struct message *why)
{
    struct fact fact;
    struct farm_entry entry = { FARM_RESTORED, id->kind->name, id->uid, u->batch, NULL, NULL, u->meta };
    int64_t number = 0;

    enum status st = nothing_in_its_place(u, id, why);
    if (st == ST_OK)
        st = body_of(u, id, &fact, &entry.after, why);
    if (st == ST_OK)
        st = farm_journal(u->farm, &entry, &number, why);
    if (st != ST_OK)
        return st;
    sqlite3_stmt *s = farm_statement(u->farm, "INSERT INTO lived(fact, from_number) VALUES(?1, ?2)", why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, id->id);
        (void)sqlite3_bind_int64(s, 2, number);
    }
    st = farm_run(u->farm, s, why);
    note_change(u, &entry, number, farm_called(u->farm, id->uid, u->mem));
    return st;
}

/* Once all are back: does each still fit what is there now? Flags were raised when it was recorded. */
static enum status still_fits(struct undoing *u, const struct fact_id *id, struct message *why)
{
    struct fact fact;
    struct arena work;

    arena_open(&work, WORK_BYTES);
    enum status st = farm_fact(u->farm, id->uid, 0, &work, &fact, why);
    if (st == ST_OK)
        st = references_stand(u, &fact, why);
    if (st == ST_OK) {
        struct farm_contra contra = { .farm = u->farm,
                                      .kind = id->kind,
                                      .values = fact.value,
                                      .replaces = id->uid,
                                      .recorded_utc_s = fact.recorded_utc_s,
                                      .again = true,
                                      .mem = &work };
        st = farm_contradict(&contra, why);
    }
    arena_close(&work);
    return st;
}

static int by_id(const void *a, const void *b)
{
    const struct fact_id *x = a, *y = b;
    return (x->id > y->id) - (x->id < y->id);
}

/* Newest first out, oldest first in. */
static enum status carry_out(struct undoing *u, struct message *why)
{
    enum status st = ST_OK;

    qsort(u->voids, u->n_voids, sizeof *u->voids, by_id);
    qsort(u->back, u->n_back, sizeof *u->back, by_id);
    for (size_t i = u->n_voids; i-- > 0 && st == ST_OK;)
        st = void_one(u, &u->voids[i], why);
    for (size_t i = 0; i < u->n_back && st == ST_OK; i++)
        st = bring_back(u, &u->back[i], why);
    for (size_t i = 0; i < u->n_back && st == ST_OK;
         i++) /* a correction may point to what was recorded after the first form */
        st = still_fits(u, &u->back[i], why);
    if (st == ST_OK && u->n_changes == 0)
        return refuse(ST_CONFLICT, why, "", "there is nothing left of that to undo");
    return st;
}

static enum status write_undo(struct undoing *u, const char *undoes, struct message *why)
{
    sqlite3_stmt *s = farm_statement(u->farm, "INSERT INTO undo(batch, undoes) VALUES(?1, ?2)", why);

    farm_bind_text(s, 1, u->batch);
    farm_bind_text(s, 2, undoes);
    return farm_run(u->farm, s, why);
}

static enum status end(struct undoing *u, enum status st, bool dry_run, struct farm_undo *undo, struct message *why)
{
    struct message ignored;

    if (st == ST_OK && dry_run) {
        for (size_t i = 0; i < u->n_changes; i++)
            u->change[i].number = 0;
        st = farm_do(u->farm, "ROLLBACK", why);
    } else {
        st = farm_end(u->farm, st, st == ST_OK ? why : &ignored);
    }
    if (st == ST_OK) {
        (void)snprintf(undo->new_batch, sizeof undo->new_batch, "%s", dry_run ? "" : u->batch);
        undo->changes = u->change;
        undo->n_changes = u->n_changes;
        undo->n_dependents = u->n_voids - u->n_own;
    }
    return st;
}

static enum status turn_back(struct farm *f, const char *what, bool redo, bool dry_run, const struct farm_meta *meta,
                             struct arena *mem, struct farm_undo *undo, struct message *why)
{
    char new_batch[FARM_UID];
    const char *batch = NULL;
    bool gone = false;
    struct undoing u = { .farm = f, .meta = meta, .mem = mem };

    farm_new_uid(new_batch);
    u.batch = meta->batch ? meta->batch : arena_text(mem, new_batch);
    *undo = (struct farm_undo){ .n_changes = 0 };
    enum status st = farm_begin(f, why);
    if (st != ST_OK)
        return st;
    st = what ? undo_batch_of(f, what, mem, &batch, why) : undo_newest(f, redo, mem, &batch, why);
    if (st == ST_OK)
        st = undo_is_undone(f, batch, &gone, why);
    if (st == ST_OK && gone)
        st = refuse(ST_CONFLICT, why, "", "that is undone already");
    if (st == ST_OK)
        st = make_room(&u, why);
    if (st == ST_OK)
        st = opposite(&u, batch, why);
    if (st == ST_OK)
        st = all_dependents(&u, why);
    if (st == ST_OK)
        st = carry_out(&u, why);
    if (st == ST_OK)
        st = write_undo(&u, batch, why);
    if (st == ST_OK)
        (void)snprintf(undo->batch, sizeof undo->batch, "%s", batch);
    return end(&u, st, dry_run, undo, why);
}

enum status farm_undo(struct farm *farm, const char *what, bool dry_run, const struct farm_meta *meta,
                      struct arena *mem, struct farm_undo *undo, struct message *why)
{
    return turn_back(farm, what, false, dry_run, meta, mem, undo, why);
}

enum status farm_redo(struct farm *farm, const char *what, bool dry_run, const struct farm_meta *meta,
                      struct arena *mem, struct farm_undo *undo, struct message *why)
{
    return turn_back(farm, what, true, dry_run, meta, mem, undo, why);
}

enum status farm_void(struct farm *farm, const char *uid, bool dry_run, const struct farm_meta *meta, struct arena *mem,
                      struct farm_undo *undo, struct message *why)
{
    char new_batch[FARM_UID];
    struct undoing u = { .farm = farm, .meta = meta, .mem = mem };

    farm_new_uid(new_batch);
    u.batch = meta->batch ? meta->batch : arena_text(mem, new_batch);
    *undo = (struct farm_undo){ .n_changes = 0 };
    enum status st = farm_begin(farm, why);
    if (st != ST_OK)
        return st;
    st = make_room(&u, why);
    if (st == ST_OK)
        st = to_void(&u, uid, why);
    if (st == ST_OK && u.n_voids == 0)
        st = refuse(ST_CONFLICT, why, "uid", "%.40s is voided already", uid);
    u.n_own = u.n_voids;
    if (st == ST_OK)
        st = all_dependents(&u, why);
    if (st == ST_OK)
        st = carry_out(&u, why);
    return end(&u, st, dry_run, undo, why);
}
