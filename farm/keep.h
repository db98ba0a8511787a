/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Keeping the farm file safe: backups, going back to one, and looking for what is damaged, open, old or unbacked.
 */
#ifndef FARM_KEEP_H
#define FARM_KEEP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "farm/farm.h"

enum { KEEP_DAYS = 7, KEEP_WEEKS = 4, KEEP_MONTHS = 12 };

struct farm_backup {
    const char *path;
    int64_t made_utc_s;
    int64_t bytes;
};

/* Copy the file as it is now, sound and whole: VACUUM INTO a temporary name, fsync, integrity check of the copy,
 * rename, fsync of the folder. Then older ones are thinned: the newest of each of 7 days, 4 weeks, 12 months stays.
 * Given     folder   NULL = "<farm file>.backups" beside it; made if absent
 *           second   another folder (a stick); NULL = none. Its failure is told after the first copy stands
 *           at_utc_s names the copy and counts the days
 * Fails     ST_IO the sentence says which step; older backups are then untouched */
enum status farm_backup(struct farm *farm, const char *folder, const char *second, int64_t at_utc_s, struct arena *mem,
                        struct farm_backup *made, struct message *why) MUST_USE;
/* The day's own, beside the farm file, for a program that runs on: none is made where the newest is not a day old yet, or
 * nothing has been written since it. As every backup it is looked through whole before it counts as one.
 * Given     at_utc_s  now
 * Returned  made->path NULL: none was due
 * Fails     as farm_open() and farm_backup() */
enum status farm_backup_of_day(const char *farm_path, int64_t at_utc_s, struct arena *mem, struct farm_backup *made,
                               struct message *why) MUST_USE;
/* Newest first. */
enum status farm_backups(const char *farm_path, const char *folder, struct arena *mem, struct farm_backup **backups,
                         size_t *n, struct message *why) MUST_USE;
/* Put a backup in the place of the farm file, which is kept beside it as "<farm file>.before-restore-<moment>".
 * Fails     ST_BAD_INPUT not a sound farm file; ST_BUSY somebody has the farm file open for writing */
enum status farm_restore(const char *backup, const char *farm_path, int64_t at_utc_s, struct message *why) MUST_USE;

enum farm_grade { FARM_SOUND, FARM_LOOK, FARM_WRONG }; /* a note, to be looked at, damaged */
struct farm_finding {
    enum farm_grade grade;
    const char *key;  /* "integrity" "references" "forecast-old" "no-backup" "held" "flags" "overdue" ... */
    const char *says; /* one sentence, with what to do */
    const char *uid;  /* of the fact concerned; "" */
};
/* Integrity, references, and what is open or stale at that moment. */
enum status farm_check(struct farm *farm, int64_t at_utc_s, struct arena *mem, struct farm_finding **findings,
                       size_t *n, struct message *why) MUST_USE;

/* Seconds by which this machine's clock stands before the newest of what was recorded by it; 0: not, or by no more than
 * a minute. */
enum status farm_clock_back(struct farm *farm, int64_t *back_s, struct message *why) MUST_USE;

#endif
