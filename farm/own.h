/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the files of this room: the open farm file, its statements, its rows. Nothing outside farm/ includes this.
 */
#ifndef FARM_OWN_H
#define FARM_OWN_H

#include <sqlite3.h>

#include "farm/farm.h"
#include "farm/words.h"

enum { FARM_VERSION = 4 };              /* user_version; goes up with every change of the tables */
enum { FARM_APPLICATION = 0x4C65654E }; /* "LeeN" */
enum { FARM_ROWS = 2000000 };           /* most rows read out at once */

struct farm_statement {
    char *sql;
    sqlite3_stmt *stmt;
};

struct farm {
    sqlite3 *db;
    char *path;
    bool read_only;
    char sentence[256];               /* why read-only */
    struct farm_statement *statement; /* prepared once, found by their text */
    size_t n_statements, room;
    struct arena speech_mem; /* zones opened so far */
    const struct zone *zone;
    bool us_units;
    int64_t speech_number; /* change after which the speech was read; -1 = never */
};

/* ---- sql.c ---- */

/* The one place where SQLite's codes become ours. */
enum status farm_sql_status(struct farm *f, int rc, struct message *why);
/* A statement by its text, prepared at first use, reset and without bindings. NULL: *why says so. */
sqlite3_stmt *farm_statement(struct farm *f, const char *sql, struct message *why);
/* The same for a text made from the fact table. */
sqlite3_stmt *farm_statement_print(struct farm *f, struct message *why, const char *fmt, ...) PRINTF_LIKE(3, 4);
/* The same for one put together, which is closed; one that came out short is no statement. */
sqlite3_stmt *farm_statement_of(struct farm *f, struct text *sql, struct message *why);
enum status farm_run(struct farm *f, sqlite3_stmt *s,
                     struct message *why); /* one step, reset; s NULL: ST_IO as *why says */
enum status farm_do(struct farm *f, const char *sql, struct message *why); /* without values */
/* Next row: true; at the end or on failure false, *st says which; the statement is reset then. */
bool farm_row(struct farm *f, sqlite3_stmt *s, enum status *st, struct message *why);
char *farm_column(sqlite3_stmt *s, int column, struct arena *mem); /* text in the arena; "" for NULL */
void farm_bind_text(sqlite3_stmt *s, int at, const char *text);    /* NULL: SQL NULL; must outlive the step */

enum status farm_begin(struct farm *f, struct message *why); /* refuses a read-only file */
enum status farm_end(struct farm *f, enum status st,
                     struct message *why); /* commit if ST_OK, else roll back; gives st */

/* ---- schema.c ---- */

enum status farm_make_tables(struct farm *f, struct message *why);
/* What the tables of this program look like, as a digest; false: out of memory. */
bool farm_shape(char out[static FARM_UID]);
/* Is a table of the file another than the fact table makes today? */
enum status farm_tables_differ(struct farm *f, bool *differ, struct message *why);
enum status farm_migrate(struct farm *f, int from_version, struct message *why);
/* "CREATE TABLE ..." of one kind, under another name if given. */
void farm_kind_sql(const struct fact_kind *kind, const char *name, struct text *out);

/* ---- rows.c ---- */

/* Identity: references point to the root, the first fact of a chain of corrections. 0 = no such fact. */
enum status farm_root(struct farm *f, const char *uid, int64_t *root, const struct fact_kind **kind,
                      struct message *why);
/* Uid of what stands today in place of a root: live, else the newest. */
enum status farm_standing(struct farm *f, int64_t root, int64_t known_to, char uid[static FARM_UID], bool *live,
                          struct message *why);
/* Live facts of a kind whose reference `field` is this root, in the order recorded. */
enum status farm_facts_of(struct farm *f, const struct fact_kind *kind, const char *field, int64_t root,
                          struct arena *mem, struct fact **facts, size_t *n, struct message *why);
/* Live or not. */
enum status farm_facts_all(struct farm *f, const struct fact_kind *kind, struct arena *mem, struct fact **facts,
                           size_t *n, struct message *why);
/* Live facts people would mean by this name: called, or also called, so; upper and lower case alike. */
enum status farm_facts_called(struct farm *f, const struct fact_kind *kind, const char *name, struct arena *mem,
                              struct fact **facts, size_t *n, struct message *why);
enum status farm_bind_values(struct farm *f, sqlite3_stmt *s, int first, const struct fact_kind *kind,
                             const struct fact_value values[], struct message *why);
/* References as uid of their root: the body that is compared and journalled. */
enum status farm_rooted(struct farm *f, const struct fact_kind *kind, const struct fact_value values[],
                        struct arena *mem, struct fact_value **rooted, struct message *why);

/* ---- names.c ---- */

/* Every reference of a fact from a name to the uid of what stands. */
/* May be recorded of an animal after its death: a litter of a dead boar, piglets of a dead sow. */
bool farm_outlives(const char *kind, const char *field);
enum status farm_resolve_all(struct farm *f, const struct fact_kind *kind, struct fact_value values[],
                             struct arena *mem, struct message *why) MUST_USE;
/* Day on which a fact holds; INT64_MIN = always. */
int64_t farm_day_of(const struct farm *f, const struct fact_kind *kind, const struct fact_value values[]);

/* ---- record.c ---- */

/* Put one fact in, inside a transaction that is open. */
enum status farm_put(struct farm *f, const struct fact_kind *kind, const struct fact_value values[],
                     const struct farm_meta *meta, const char *batch, struct arena *mem, struct farm_outcome *outcome,
                     struct message *why);
struct farm_entry { /* a journal row to be written */
    enum farm_change_what what;
    const char *kind, *uid, *batch, *before, *after;
    const struct farm_meta *meta;
};
/* Who says so, and on what: one plain line each. */
enum status farm_who_plain(const struct farm_meta *meta, struct message *why) MUST_USE;
enum status farm_journal(struct farm *f, const struct farm_entry *entry, int64_t *number, struct message *why);
void farm_chain(const char *last, const struct farm_entry *e, const char *numbers, char out[static FARM_UID]);
int64_t farm_now(void);

/* ---- contradict.c ---- */

/* What a fact is up against. */
struct farm_contra {
    struct farm *farm;
    const struct fact_kind *kind;
    const struct fact_value *values; /* references as uid of what stands */
    const char *replaces;            /* uid of the fact that goes when this one comes; NULL */
    int64_t recorded_utc_s;
    bool again; /* brought back by undo or redo: its dates were taken before */
    struct arena *mem;
    size_t n_odd; /* filled: what is merely odd */
    struct farm_odd {
        const char *key, *other_uid, *says;
    } odd[16];
};
/* ST_CONFLICT or ST_BAD_INPUT: impossible, the sentence says beside what. */
enum status farm_contradict(struct farm_contra *c, struct message *why);
void farm_odd(struct farm_contra *c, const char *key, const char *other_uid, const char *fmt, ...) PRINTF_LIKE(4, 5);

/* ---- flags.c ---- */

enum status farm_raise(struct farm *f, const char *uid, int64_t number, const struct farm_contra *c, struct arena *mem,
                       struct farm_outcome *outcome, struct message *why);
/* A refused record of a queue into the tray; *settled: a person recorded or dropped this very one before. Opens its own
 * transaction. */
enum status farm_hold(struct farm *f, const struct farm_item *item, const char *batch, struct arena *mem, bool *settled,
                      struct message *why);
/* It has been recorded after all. Inside a transaction. */
enum status farm_unhold(struct farm *f, const char *uid, const struct farm_meta *meta, struct message *why);

/* ---- batch_order.c ---- */

/* Indexes of the items not yet done in the order to try them, then SIZE_MAX; n long. NULL: arena full. */
size_t *farm_batch_order(size_t n, const struct farm_item item[], const bool done[], struct arena *mem);

/* ---- verify.c ---- */

/* Does the journal hang together, does every fact say what the journal says of it, can all weather be read?
 * ST_IO and a sentence at the first thing that does not. */
enum status farm_verify(struct farm *f, struct message *why);

/* ---- looked.c ---- */

/* Not looked through yet under this number on the disk: a copy, or just made; false also where that cannot be told. */
bool farm_is_new_here(const char *path);
void farm_mark_looked(const char *path);

/* ---- backup.c ---- */

enum status farm_sync_path(const char *path, bool folder, struct message *why);
/* What a check of the pages says, in its first column. It tells of memory that ran out like of any other fault. */
void farm_says(sqlite3_stmt *s, char says[], size_t room);
bool farm_says_no_memory(const char *says);
/* Integrity, references and kind of a file, looked at from outside. */
enum status farm_sound(const char *path, struct message *why);
/* The newest backup beside the farm file that is sound; NULL: none of the *n is. */
const char *farm_newest_sound(const char *farm_path, struct arena *mem, size_t *n);

/* ---- open.c ---- */

/* NULL: a local file system; else the name of a network one. `type` as statfs() gives it. */
const char *farm_network_name(unsigned long type);

#endif
