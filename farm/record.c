/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Recording: one fact, its journal row and its flags in one transaction.
 */
#include <sodium.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "farm/exchange.h"
#include "farm/own.h"

enum { WORK_BYTES = 256 * 1024 * 1024, NAME_BYTES = 200 };

int64_t farm_now(void)
{
    return (int64_t)time(NULL);
}

void farm_new_uid(char uid[static FARM_UID])
{
    unsigned char bytes[16];

    randombytes_buf(bytes, sizeof bytes);
    (void)sodium_bin2hex(uid, FARM_UID, bytes, sizeof bytes);
}

void farm_uid_from(const char *text, char uid[static FARM_UID])
{
    unsigned char digest[16];

    (void)crypto_generichash(digest, sizeof digest, (const unsigned char *)text, strlen(text), NULL, 0);
    (void)sodium_bin2hex(uid, FARM_UID, digest, sizeof digest);
}

bool farm_is_uid(const char *text)
{
    size_t n = 0;

    for (; text[n]; n++)
        if (n >= FARM_UID - 1 || !((text[n] >= '0' && text[n] <= '9') || (text[n] >= 'a' && text[n] <= 'f')))
            return false;
    return n == FARM_UID - 1;
}

enum status farm_who_plain(const struct farm_meta *meta, struct message *why)
{
    const struct {
        const char *field, *name, *of;
    } said[] = { { "who", meta->who, "person" }, { "device", meta->device, "device" } };
    for (size_t i = 0; i < COUNT(said); i++)
        if (said[i].name && (!words_one_line(said[i].name) || strlen(said[i].name) > NAME_BYTES))
            return refuse(ST_BAD_INPUT, why, said[i].field,
                          "%s: the name of a %s is one plain line of text, %d bytes at most", said[i].field, said[i].of,
                          NAME_BYTES);
    return ST_OK;
}

/* ---- journal ---- */

const char *const farm_change_name[] = { "recorded", "voided", "restored", "settled", "weather" };

static void chain_add(crypto_generichash_state *state, const char *text)
{
    (void)crypto_generichash_update(state, (const unsigned char *)(text ? text : ""), text ? strlen(text) + 1 : 1);
}

/* Each row's digest holds the one before it: a byte changed anywhere shows. */
void farm_chain(const char *last, const struct farm_entry *e, const char *numbers, char out[static FARM_UID])
{
    crypto_generichash_state state;
    unsigned char digest[16];

    (void)crypto_generichash_init(&state, NULL, 0, sizeof digest);
    chain_add(&state, last);
    chain_add(&state, numbers);
    chain_add(&state, farm_change_name[e->what]);
    chain_add(&state, e->kind);
    chain_add(&state, e->uid);
    chain_add(&state, e->batch);
    chain_add(&state, e->meta->who ? e->meta->who : "");
    chain_add(&state, e->meta->device ? e->meta->device : "");
    chain_add(&state, e->before);
    chain_add(&state, e->after);
    (void)crypto_generichash_final(&state, digest, sizeof digest);
    (void)sodium_bin2hex(out, FARM_UID, digest, sizeof digest);
}

static enum status last_of_journal(struct farm *f, int64_t *number, char chain[static FARM_UID], struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT number, chain FROM journal ORDER BY number DESC LIMIT 1", why);
    enum status st = ST_OK;

    *number = 0;
    chain[0] = '\0';
    while (farm_row(f, s, &st, why)) {
        *number = sqlite3_column_int64(s, 0);
        (void)snprintf(chain, FARM_UID, "%s", (const char *)sqlite3_column_text(s, 1));
    }
    return st;
}

enum status farm_journal(struct farm *f, const struct farm_entry *e, int64_t *number, struct message *why)
{
    char last[FARM_UID], chain[FARM_UID], numbers[96];
    const int64_t now_s = farm_now(), recorded_s = e->meta->recorded_utc_s ? e->meta->recorded_utc_s : now_s;
    enum status st = farm_who_plain(e->meta, why);

    if (st == ST_OK)
        st = last_of_journal(f, number, last, why);
    if (st != ST_OK)
        return st;
    ++*number;
    (void)snprintf(numbers, sizeof numbers, "%lld %lld %lld", (long long)*number, (long long)now_s,
                   (long long)recorded_s);
    farm_chain(last, e, numbers, chain);
    sqlite3_stmt *s =
        farm_statement(f,
                       "INSERT INTO journal(number, at_utc_s, recorded_utc_s, what, kind, uid, batch, who, device,"
                       " before, after, chain) VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
                       why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, *number);
        (void)sqlite3_bind_int64(s, 2, now_s);
        (void)sqlite3_bind_int64(s, 3, recorded_s);
    }
    farm_bind_text(s, 4, farm_change_name[e->what]);
    farm_bind_text(s, 5, e->kind);
    farm_bind_text(s, 6, e->uid);
    farm_bind_text(s, 7, e->batch);
    farm_bind_text(s, 8, e->meta->who ? e->meta->who : "");
    farm_bind_text(s, 9, e->meta->device ? e->meta->device : "");
    farm_bind_text(s, 10, e->before);
    farm_bind_text(s, 11, e->after);
    farm_bind_text(s, 12, chain);
    return farm_run(f, s, why);
}

/* ---- a fact that is there already ---- */

/* Digest of the body as it came in, names not yet resolved: a repeat is recognised by it whatever has happened since.
 * */
static void given_digest(const struct fact_kind *kind, const char *body, const char *replaces,
                         char out[static FARM_UID])
{
    crypto_generichash_state state;
    unsigned char digest[16];

    (void)crypto_generichash_init(&state, NULL, 0, sizeof digest);
    chain_add(&state, kind->name);
    chain_add(&state, body);
    chain_add(&state, replaces);
    (void)crypto_generichash_final(&state, digest, sizeof digest);
    (void)sodium_bin2hex(out, FARM_UID, digest, sizeof digest);
}

struct there {
    int64_t number; /* 0: no such uid */
    char given[FARM_UID], kind[40];
    char *after;
};

static enum status look_up(struct farm *f, const char *uid, struct arena *mem, struct there *there, struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(f,
                       "SELECT f.number, f.given, f.kind, j.after FROM fact f JOIN journal j ON j.number = f.number"
                       " WHERE f.uid = ?1",
                       why);
    enum status st = ST_OK;

    *there = (struct there){ .number = 0 };
    farm_bind_text(s, 1, uid);
    while (farm_row(f, s, &st, why)) {
        there->number = sqlite3_column_int64(s, 0);
        (void)snprintf(there->given, sizeof there->given, "%s", (const char *)sqlite3_column_text(s, 1));
        (void)snprintf(there->kind, sizeof there->kind, "%s", (const char *)sqlite3_column_text(s, 2));
        there->after = farm_column(s, 3, mem);
    }
    return st;
}

static enum status same_or_conflict(struct farm *f, const struct fact_kind *kind, struct fact_value values[],
                                    const char *uid, const char *given, const struct there *there, struct arena *mem,
                                    bool *same, struct message *why)
{
    struct fact_value *rooted = NULL;
    struct message ignored;

    *same = strcmp(there->given, given) == 0;
    if (!*same && strcmp(there->kind, kind->name) == 0) {
        enum status st = farm_resolve_all(f, kind, values, mem, &ignored);
        if (st == ST_OK)
            st = farm_rooted(f, kind, values, mem, &rooted, &ignored);
        const char *body = st == ST_OK ? fact_json(kind, rooted, mem) : NULL;
        *same = body && strcmp(body, there->after) == 0;
        arena_heed(mem, st);
    }
    if (*same)
        return ST_OK;
    if (arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    return refuse(ST_CONFLICT, why, "uid",
                  "the uid %s is taken by a %s that says something else; a new record needs a new uid", uid,
                  there->kind);
}

/* ---- putting it in ---- */

struct putting {
    struct farm *farm;
    const struct fact_kind *kind;
    struct fact_value *values; /* defaults filled in, references resolved */
    const char *uid, *batch, *given;
    const struct farm_meta *meta;
    struct arena *mem, *answer; /* for the work, given back at the end; for what is handed out */
    int64_t replaced_root;      /* 0: corrects nothing */
    int64_t replaced_id;
    int64_t number, id;
};

static enum status find_replaced(struct putting *p, struct message *why)
{
    const struct fact_kind *kind = NULL;
    char standing[FARM_UID];
    bool live = false;

    if (!p->meta->replaces)
        return ST_OK;
    enum status st = farm_root(p->farm, p->meta->replaces, &p->replaced_root, &kind, why);
    if (st == ST_OK && p->replaced_root == 0)
        st = refuse(ST_NOT_FOUND, why, "replaces", "there is no fact %.40s to correct", p->meta->replaces);
    if (st == ST_OK && kind != p->kind)
        st = refuse(ST_BAD_INPUT, why, "replaces", "%.40s is a %s; only another %s can take its place",
                    p->meta->replaces, kind ? kind->name : "fact of an unknown kind",
                    kind ? kind->name : "of that kind");
    if (st == ST_OK)
        st = farm_standing(p->farm, p->replaced_root, 0, standing, &live, why);
    if (st == ST_OK && (!live || strcmp(standing, p->meta->replaces) != 0))
        st = refuse(ST_CONFLICT, why, "replaces", "%.40s has been %s already; look at its history", p->meta->replaces,
                    live ? "corrected" : "voided");
    if (st != ST_OK)
        return st;
    sqlite3_stmt *s = farm_statement(p->farm, "SELECT id FROM fact WHERE uid = ?1", why);
    farm_bind_text(s, 1, p->meta->replaces);
    while (farm_row(p->farm, s, &st, why))
        p->replaced_id = sqlite3_column_int64(s, 0);
    return st;
}

static enum status only_one(struct putting *p, struct message *why)
{
    struct fact *facts = NULL;
    size_t n = 0;

    if (!p->kind->single || p->replaced_root)
        return ST_OK;
    const enum status st = farm_facts(p->farm, p->kind, 0, p->mem, &facts, &n, why);
    if (st == ST_OK && n > 0)
        return refuse(ST_CONFLICT, why, "", "the %s is recorded already; correct it instead (it replaces %s)",
                      p->kind->name, facts[0].uid);
    return st;
}

static enum status void_replaced(struct putting *p, struct message *why)
{
    struct fact old;
    struct fact_value *rooted = NULL;
    int64_t number = 0;

    enum status st = farm_fact(p->farm, p->meta->replaces, 0, p->mem, &old, why);
    if (st == ST_OK)
        st = farm_rooted(p->farm, p->kind, old.value, p->mem, &rooted, why);
    if (st != ST_OK)
        return st;
    const struct farm_entry entry = {
        FARM_VOIDED, p->kind->name, p->meta->replaces, p->batch, fact_json(p->kind, rooted, p->mem), NULL, p->meta
    };
    return farm_journal(p->farm, &entry, &number, why);
}

static enum status end_replaced(struct putting *p, struct message *why)
{
    sqlite3_stmt *s = farm_statement(
        p->farm, "UPDATE lived SET to_number = ?1, voided_by = ?2 WHERE fact = ?3 AND to_number IS NULL", why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, p->number);
        (void)sqlite3_bind_int64(s, 3, p->replaced_id);
    }
    farm_bind_text(s, 2, p->uid);
    return farm_run(p->farm, s, why);
}

static enum status insert_fact(struct putting *p, struct message *why)
{
    sqlite3_stmt *s = farm_statement(p->farm,
                                     "INSERT INTO fact(id, uid, kind, root, number, given)"
                                     " VALUES(?1, ?2, ?3, ?4, ?5, ?6)",
                                     why);
    p->id = p->number; /* one number for one fact: that of the change that recorded it */
    if (s) {
        (void)sqlite3_bind_int64(s, 1, p->id);
        (void)sqlite3_bind_int64(s, 4, p->replaced_root ? p->replaced_root : p->id);
        (void)sqlite3_bind_int64(s, 5, p->number);
    }
    farm_bind_text(s, 2, p->uid);
    farm_bind_text(s, 3, p->kind->name);
    farm_bind_text(s, 6, p->given);
    enum status st = farm_run(p->farm, s, why);
    if (st != ST_OK)
        return st;
    s = farm_statement(p->farm, "INSERT INTO lived(fact, from_number) VALUES(?1, ?2)", why);
    if (s) {
        (void)sqlite3_bind_int64(s, 1, p->id);
        (void)sqlite3_bind_int64(s, 2, p->number);
    }
    return farm_run(p->farm, s, why);
}

static enum status insert_values(struct putting *p, struct message *why)
{
    struct text sql;

    text_open(&sql, 16384);
    text_print(&sql, "INSERT INTO \"%s\"(id", p->kind->name);
    for (size_t i = 0; i < p->kind->n_fields; i++)
        text_print(&sql, ", \"%s\"", p->kind->fields[i].name);
    text_add(&sql, ") VALUES(?1");
    for (size_t i = 0; i < p->kind->n_fields; i++)
        text_print(&sql, ", ?%zu", i + 2);
    text_add(&sql, ")");
    sqlite3_stmt *s = farm_statement_of(p->farm, &sql, why);
    if (!s)
        return farm_run(p->farm, s, why);
    (void)sqlite3_bind_int64(s, 1, p->id);
    const enum status st = farm_bind_values(p->farm, s, 2, p->kind, p->values, why);
    return st == ST_OK ? farm_run(p->farm, s, why) : st;
}

static enum status write_all(struct putting *p, const struct farm_contra *c, struct farm_outcome *out,
                             struct message *why)
{
    struct fact_value *rooted = NULL;
    enum status st = farm_rooted(p->farm, p->kind, p->values, p->mem, &rooted, why);

    if (st == ST_OK && p->replaced_root)
        st = void_replaced(p, why);
    if (st != ST_OK)
        return st;
    const struct farm_entry entry = { FARM_RECORDED, p->kind->name, p->uid,
                                      p->batch,      NULL,          fact_json(p->kind, rooted, p->mem),
                                      p->meta };
    if (!entry.after)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    st = farm_journal(p->farm, &entry, &p->number, why);
    if (st == ST_OK)
        st = insert_fact(p, why);
    if (st == ST_OK)
        st = insert_values(p, why);
    if (st == ST_OK && p->replaced_root)
        st = end_replaced(p, why);
    out->number = p->number;
    return st == ST_OK ? farm_raise(p->farm, p->uid, p->number, c, p->answer, out, why) : st;
}

static enum status put_new(struct putting *p, struct farm_outcome *out, struct message *why)
{
    struct farm_contra contra = { .farm = p->farm,
                                  .kind = p->kind,
                                  .values = p->values,
                                  .replaces = p->meta->replaces,
                                  .recorded_utc_s = p->meta->recorded_utc_s ? p->meta->recorded_utc_s : farm_now(),
                                  .mem = p->mem };
    enum status st = find_replaced(p, why);

    if (st == ST_OK)
        st = farm_resolve_all(p->farm, p->kind, p->values, p->mem, why);
    if (st == ST_OK)
        st = only_one(p, why);
    if (st == ST_OK)
        st = farm_contradict(&contra, why);
    return st == ST_OK ? write_all(p, &contra, out, why) : st;
}

static enum status put(struct putting *p, struct farm_outcome *out, struct message *why)
{
    char given[FARM_UID];
    struct there there;

    enum status st = fact_check(p->kind, p->values, p->mem, why);
    const char *body = st == ST_OK ? fact_json(p->kind, p->values, p->mem) : NULL;
    if (st == ST_OK && !body)
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st != ST_OK)
        return st;
    given_digest(p->kind, body, p->meta->replaces, given);
    p->given = given;
    st = look_up(p->farm, p->uid, p->mem, &there, why);
    if (st == ST_OK && there.number) {
        out->number = there.number;
        st = same_or_conflict(p->farm, p->kind, p->values, p->uid, given, &there, p->mem, &out->already, why);
    } else if (st == ST_OK) {
        st = put_new(p, out, why);
    }
    p->given = NULL;
    return st;
}

enum status farm_put(struct farm *f, const struct fact_kind *kind, const struct fact_value values[],
                     const struct farm_meta *meta, const char *batch, struct arena *mem, struct farm_outcome *outcome,
                     struct message *why)
{
    struct farm_outcome out = { .already = false };
    struct arena work;
    struct putting p = { .farm = f,
                         .kind = kind,
                         .meta = meta,
                         .uid = out.uid,
                         .batch = batch ? batch : out.uid,
                         .mem = &work,
                         .answer = mem };

    enum status st = farm_who_plain(meta, why);
    if (st != ST_OK)
        return st;
    if (meta->batch && !farm_is_uid(meta->batch))
        return refuse(ST_BAD_INPUT, why, "batch", "\"%.40s\" is not a uid; 32 digits of 0-9 and a-f are wanted",
                      meta->batch);
    if (meta->uid && !farm_is_uid(meta->uid))
        return refuse(ST_BAD_INPUT, why, "uid", "\"%.40s\" is not a uid; 32 digits of 0-9 and a-f are wanted",
                      meta->uid);
    if (meta->uid)
        (void)snprintf(out.uid, sizeof out.uid, "%s", meta->uid);
    else
        farm_new_uid(out.uid);
    arena_open(&work, WORK_BYTES);
    p.values = ARENA_NEW(&work, struct fact_value, kind->n_fields);
    st = ST_NO_MEMORY;
    if (p.values) {
        memcpy(p.values, values, kind->n_fields * sizeof *values);
        st = put(&p, &out, why);
    } else {
        (void)refuse(ST_NO_MEMORY, why, "", "out of memory");
    }
    arena_close(&work);
    if (st == ST_OK)
        *outcome = out;
    return st;
}

enum status farm_record(struct farm *f, const struct fact_kind *kind, const struct fact_value values[],
                        const struct farm_meta *meta, struct arena *mem, struct farm_outcome *outcome,
                        struct message *why)
{
    enum status st = farm_begin(f, why);

    if (st == ST_OK)
        st = farm_end(f, farm_put(f, kind, values, meta, meta->batch, mem, outcome, why), why);
    return st;
}
