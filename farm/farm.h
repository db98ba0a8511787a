/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The farm file: one SQLite database, opened once per thread that needs it.
 *
 * Owner    farm_open() or farm_create() gives a handle, farm_close() takes it. What is read out lives in the arena
 * given. Writes   every change is one transaction together with its journal row. When a recording function gives
 * ST_OK the
 *          fact is on the disk.
 * Kept     nothing is deleted: a fact is voided, or replaced by another, and the journal keeps before and after. Every
 *          change has a number; `known_to` = that number gives the facts as they were known then, for ever. 0 = all.
 * Threads  a handle stays with the thread that opened it; several handles on one file are fine, in several programs
 * too.
 */
#ifndef FARM_FARM_H
#define FARM_FARM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "farm/facts.h"
#include "farm/zone.h"

struct farm;

/* ---- opening -------------------------------------------------------------------------------------------------- */

struct farm_how { /* zeroed = as usual */
    bool read_only;
    bool network_too;  /* open on a network file system all the same: whose locks may not hold */
    bool no_migration; /* an older file is read as it is, read-only */
    int busy_ms;       /* how long to wait for another writer; 0 = 3000 */
    bool looked_at;    /* this program has the very file open already: its pages and tables are not looked at again */
    bool pages_later;  /* for reading at once: farm_look() comes soon, and before anything is written */
    bool one_of_many;  /* the program has several handles on the file: this one keeps half a megabyte of it, not two */
    const char *vfs;   /* SQLite VFS by name, for tests; NULL = usual */
};

/* For a program that opens many files or has several threads, before the first of either: SQLite then counts no bytes,
 * which takes a lock of all threads at each allocation. Without it all works as well. */
void farm_uncounted(void);

/* Open a file that is there. An older one is migrated after a backup beside it; a newer one is opened read-only.
 * Fails  ST_NOT_FOUND no such file; ST_BAD_INPUT not a farm file; ST_IO damaged (names the newest good backup),
 * unreadable, on a
 *        network file system; ST_BUSY */
enum status farm_open(const char *path, struct farm **farm, struct message *why) MUST_USE;
enum status farm_open_how(const char *path, const struct farm_how *how, struct farm **farm,
                          struct message *why) MUST_USE;
/* A new file; ST_CONFLICT when there is one. Folder must exist. */
enum status farm_create(const char *path, const struct farm_how *how, struct farm **farm, struct message *why) MUST_USE;
/* Look through the pages, as opening does without pages_later. Fails  ST_IO damaged; ST_BUSY */
enum status farm_look(struct farm *farm, struct message *why) MUST_USE;
void farm_close(struct farm *farm); /* NULL is fine */

const char *farm_path(const struct farm *farm);
bool farm_read_only(const struct farm *farm, const char **sentence); /* true: *sentence says why */
enum status farm_number(struct farm *farm, int64_t *number, struct message *why) MUST_USE; /* of the newest change */

/* The farm's own zone and units, for reading and showing values. Zone UTC and metric until a fact `farm` is recorded.
 * Lives as long as the handle; changes when the fact is corrected. */
enum status farm_speech(struct farm *farm, struct fact_speech *speech, struct message *why) MUST_USE;

/* ---- recording ------------------------------------------------------------------------------------------------ */

enum { FARM_UID = 33 };                       /* 32 hexadecimal digits and a 0 */
void farm_new_uid(char uid[static FARM_UID]); /* 128 random bits; whoever records makes it */
bool farm_is_uid(const char *text);
void farm_uid_from(const char *text, char uid[static FARM_UID]); /* the same text gives the same uid */

struct farm_meta {            /* who says so; all but `recorded_utc_s` may be NULL */
    const char *uid;          /* of the fact; NULL = made here (then a repeat is a second fact) */
    const char *batch;        /* uid of what is undone together; NULL = by itself */
    const char *who, *device; /* "" and NULL = not said */
    int64_t recorded_utc_s;   /* when the person recorded it; 0 = now by the clock of this machine */
    const char *replaces;     /* uid of a live fact of the same kind that this one corrects; references follow it */
};

struct farm_flag {          /* something odd, shown until a person settles it */
    int64_t number;         /* to settle it by */
    const char *key;        /* "gestation-odd", "two-boars" ... */
    const char *kind, *uid; /* the fact that brought it up */
    const char *other_uid;  /* the fact it is at odds with; "" */
    const char *says;       /* one sentence */
    int64_t raised_utc_s;
    bool settled;
    const char *settled_by, *settled_note; /* "" */
};

struct farm_outcome {
    char uid[FARM_UID];
    bool already;                  /* this very fact was there before: nothing was changed */
    int64_t number;                /* of the change; of the first recording when `already` */
    const struct farm_flag *flags; /* in the arena given: kept, but odd */
    size_t n_flags;
};

/* Record one fact.
 *
 * Given     values    kind->n_fields; a reference by uid or by a name among those alive and here that day. Defaults
 *                     are filled in
 *           mem       for flags and messages
 * Returned  *outcome  after ST_OK the fact is on the disk
 * Fails     ST_BAD_INPUT a field is wrong or missing; ST_NOT_FOUND a name nobody has (near ones are listed),
 * ST_CONFLICT a name
 *           several have, same uid with another body, or impossible beside what is recorded (the sentence says which
 *           fact); ST_BUSY, ST_IO (also read-only), ST_NO_MEMORY. Nothing is kept then.
 */
enum status farm_record(struct farm *farm, const struct fact_kind *kind, const struct fact_value values[],
                        const struct farm_meta *meta, struct arena *mem, struct farm_outcome *outcome,
                        struct message *why) MUST_USE;

struct farm_item { /* one of several facts */
    const struct fact_kind *kind;
    const struct fact_value *values;
    struct farm_meta meta; /* meta.batch is taken from the call */
    const char *file;      /* it came from; NULL = none */
    size_t line;           /* of it; 0 = none */
    const char *body;      /* as it came (JSON or text), for the held tray; NULL = made from the values */
    /* answered: */
    enum status status; /* going in: ST_OK, or why it could not even be read (then `why` says so) */
    struct message why;
    bool told; /* `why` names file and line already */
    struct farm_outcome outcome;
};

enum farm_batch_how {
    FARM_ALL_OR_NOTHING, /* one transaction; the first bad row refuses all (every row still gets its own status) */
    FARM_KEEP_GOOD,      /* good rows are kept, bad ones are answered in item->why */
    FARM_TRY,            /* a dry run: everything is checked, nothing is kept */
    FARM_QUEUED,         /* a phone's queue: one by one in the order given; what is refused rests in the held tray */
};

/* Several facts, undone together. Items may refer to each other by uid or name, in any order (but FARM_QUEUED: in
 * order).
 * Returned  *n_good; item[i].status. ST_OK: done as asked (FARM_KEEP_GOOD, FARM_QUEUED: whatever n_good is)
 * Fails     with the first bad item's status and sentence (line named) under FARM_ALL_OR_NOTHING and FARM_TRY;
 * ST_BUSY, ST_IO */
enum status farm_record_batch(struct farm *farm, enum farm_batch_how how, const struct farm_meta *meta, size_t n,
                              struct farm_item item[], struct arena *mem, size_t *n_good, struct message *why) MUST_USE;

/* ---- reading -------------------------------------------------------------------------------------------------- */

struct fact {
    const struct fact_kind *kind;
    const char *uid;
    const struct fact_value
        *value;               /* kind->n_fields; a reference is the uid of the fact that stands today in its place */
    int64_t number;           /* of the change that recorded it */
    int64_t recorded_utc_s;   /* when the person recorded it */
    const char *who, *device; /* "" = not said */
    const char *batch;
    bool live; /* false only from farm_fact() and farm_history() */
};

/* Live facts of a kind, in the order recorded. */
enum status farm_facts(struct farm *farm, const struct fact_kind *kind, int64_t known_to, struct arena *mem,
                       struct fact **facts, size_t *n, struct message *why) MUST_USE;
/* One fact by uid, live or not. ST_NOT_FOUND. */
enum status farm_fact(struct farm *farm, const char *uid, int64_t known_to, struct arena *mem, struct fact *fact,
                      struct message *why) MUST_USE;
/* A name (or tag, or uid) -> uid, among those alive and here on that day (INT64_MIN: any day).
 * ST_NOT_FOUND lists near names; ST_CONFLICT lists the candidates. */
enum status farm_resolve(struct farm *farm, const struct fact_kind *kind, const char *name, int64_t day,
                         char uid[static FARM_UID], struct message *why) MUST_USE;
/* Does this fact hold on that day: an animal alive, kept here, come and not gone; else by its own dates. */
enum status farm_fact_here(struct farm *farm, const struct fact *fact, int64_t day, struct arena *mem, bool *here,
                           struct message *why) MUST_USE;
/* What a fact is called: "Bramble", else "service of Bramble, 2026-01-22". NULL: arena full or no such fact. */
const char *farm_called(struct farm *farm, const char *uid, struct arena *mem) MUST_USE;

/* ---- undo and history ------------------------------------------------------------------------------------------ */

enum farm_change_what { FARM_RECORDED, FARM_VOIDED, FARM_RESTORED, FARM_SETTLED, FARM_WEATHER };
extern const char *const farm_change_name[]; /* "recorded" "voided" "restored" "settled" "weather" */

struct farm_change { /* a row of the journal */
    int64_t number, at_utc_s, recorded_utc_s;
    enum farm_change_what what;
    const char *kind, *uid, *batch, *who, *device;
    const char *before, *after; /* JSON bodies; "" = none */
    const char *undoes;         /* batch that this one undid; "" */
    const char *called;         /* in words: "farrowing of Bramble, 2026-01-22" */
};

/* Newest first; uid = of any form of a fact: the history of all its forms; NULL = all; before_number 0 = from the newest;
 * at most `most`. */
enum status farm_history(struct farm *farm, const char *uid, int64_t before_number, size_t most, struct arena *mem,
                         struct farm_change **changes, size_t *n, struct message *why) MUST_USE;

struct farm_undo {                     /* what an undo or redo did, or would do */
    char batch[FARM_UID];              /* the batch undone */
    char new_batch[FARM_UID];          /* the batch that did it; "" in a dry run */
    const struct farm_change *changes; /* voided and restored facts, number 0 in a dry run */
    size_t n_changes;
    size_t n_dependents; /* of those: not in the batch itself, but rested on it */
};

/* Undo a batch: facts it recorded are voided with all that refer to them, facts it voided are restored. All in one
 * batch.
 * Given     what     uid of a batch or of a fact (then the batch that recorded it); NULL = the newest not yet undone
 *           dry_run  say what would be done
 * Fails     ST_NOT_FOUND nothing to undo; ST_CONFLICT already undone, or what would come back contradicts what is
 *           recorded since, or (what NULL) a forecast was typed in since: weather is not taken back
 */
enum status farm_undo(struct farm *farm, const char *what, bool dry_run, const struct farm_meta *meta,
                      struct arena *mem, struct farm_undo *undo, struct message *why) MUST_USE;
/* Take the newest undo back (or the one given by its batch). */
enum status farm_redo(struct farm *farm, const char *what, bool dry_run, const struct farm_meta *meta,
                      struct arena *mem, struct farm_undo *undo, struct message *why) MUST_USE;
/* Void one fact with all that refer to it, as one batch. */
enum status farm_void(struct farm *farm, const char *uid, bool dry_run, const struct farm_meta *meta, struct arena *mem,
                      struct farm_undo *undo, struct message *why) MUST_USE;

/* ---- flags and the held tray ------------------------------------------------------------------------------------- */

/* Flags on live facts; settled ones too if asked. */
enum status farm_flags(struct farm *farm, bool settled_too, int64_t known_to, struct arena *mem,
                       struct farm_flag **flags, size_t *n, struct message *why) MUST_USE;
enum status farm_settle(struct farm *farm, int64_t flag, const char *note, const struct farm_meta *meta,
                        struct message *why) MUST_USE;

struct farm_held { /* a queued record that was refused */
    int64_t number;
    const char *kind, *uid, *body; /* body: JSON as it came */
    const char *who, *device;
    int64_t recorded_utc_s, held_utc_s;
    const char *field, *reason;
    const char *settled; /* "" still waiting, "recorded", "dropped" */
};
enum status farm_held(struct farm *farm, bool settled_too, struct arena *mem, struct farm_held **held, size_t *n,
                      struct message *why) MUST_USE;
/* Settle one: with values it is recorded anew under the same uid, by the same person at the same time (what is refused
 * again stays held); meta->replaces is the fact it corrects; NULL values drop it. */
enum status farm_settle_held(struct farm *farm, int64_t number, const struct fact_value values[],
                             const struct farm_meta *meta, struct arena *mem, struct farm_outcome *outcome,
                             struct message *why) MUST_USE;

#endif
