/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Backups. A copy counts only when it is whole, checked, on the disk and under its own name; what was there before is
 * touched only after that.
 */
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/base/civil.h"
#include "farm/keep.h"
#include "farm/own.h"

enum { PATH = 4096, MOST_BACKUPS = 10000 };
static const char ending[] = ".leenest";

/* ---- disk ---- */

enum status farm_sync_path(const char *path, bool folder, struct message *why)
{
    const int fd = open(path, O_RDONLY | O_CLOEXEC | (folder ? O_DIRECTORY : 0));

    if (fd < 0 || fsync(fd) != 0) {
        const int failed = errno;
        if (fd >= 0)
            (void)close(fd);
        return refuse(ST_IO, why, "", "%s could not be put on the disk: %s", path, strerror(failed));
    }
    return close(fd) == 0 ? ST_OK : refuse(ST_IO, why, "", "%s: %s", path, strerror(errno));
}

static enum status join(char out[static PATH], struct message *why, const char *a, const char *b, const char *c)
{
    const int n = snprintf(out, PATH, "%s%s%s", a, b, c);
    return n > 0 && n < PATH ? ST_OK : refuse(ST_BAD_INPUT, why, "", "the path %.80s... is too long", a);
}

static enum status folder_of(const char *farm_path, const char *folder, char out[static PATH], struct message *why)
{
    return folder ? join(out, why, folder, "", "") : join(out, why, farm_path, ".backups", "");
}

static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* ---- names: "<farm>-20260122T154000Z.leenest" ---- */

static bool digits(const char **s, int n, int *value)
{
    *value = 0;
    for (int i = 0; i < n; i++) {
        if ((*s)[i] < '0' || (*s)[i] > '9')
            return false;
        *value = *value * 10 + ((*s)[i] - '0');
    }
    *s += n;
    return true;
}

static bool made_when(const char *farm_name, const char *file, int64_t *utc_s)
{
    const size_t n = strlen(farm_name);
    struct civil c = { .second = 0 };

    if (strncmp(file, farm_name, n) != 0 || file[n] != '-')
        return false;
    const char *s = file + n + 1;
    if (!digits(&s, 4, &c.year) || !digits(&s, 2, &c.month) || !digits(&s, 2, &c.day) || *s++ != 'T' ||
        !digits(&s, 2, &c.hour) || !digits(&s, 2, &c.minute) || !digits(&s, 2, &c.second) || *s++ != 'Z' ||
        strcmp(s, ending) != 0)
        return false;
    if (!civil_is_date(c.year, c.month, c.day))
        return false;
    *utc_s = civil_seconds(&c);
    return true;
}

static enum status name_for(const char *folder, const char *farm_path, int64_t utc_s, char out[static PATH],
                            struct message *why)
{
    const struct civil c = civil_from_seconds(utc_s);

    const int n = snprintf(out, PATH, "%s/%s-%04d%02d%02dT%02d%02d%02dZ%s", folder, base_name(farm_path), c.year,
                           c.month, c.day, c.hour, c.minute, c.second, ending);
    return n > 0 && n < PATH ? ST_OK : refuse(ST_BAD_INPUT, why, "", "the path of the backup is too long");
}

/* ---- a sound copy? ---- */

void farm_says(sqlite3_stmt *s, char says[], size_t room)
{
    const char *text = (const char *)sqlite3_column_text(s, 0);
    (void)snprintf(says, room, "%s", text ? text : "error code=7");
}

bool farm_says_no_memory(const char *says)
{
    const char *code = strstr(says, "error code=7"); /* SQLITE_NOMEM, sqlite3.c, checkAppendMsg() */
    return code && code[strlen("error code=7")] == '\0';
}

enum status farm_sound(const char *path, struct message *why)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    bool good = false;
    char says[120] = "";

    int rc = sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_prepare_v2(
            db,
            "SELECT (SELECT * FROM pragma_integrity_check(1)), (SELECT count(*) FROM pragma_foreign_key_check),"
            " (SELECT application_id FROM pragma_application_id)",
            -1, &s, NULL);
    if (rc == SQLITE_OK && (rc = sqlite3_step(s)) == SQLITE_ROW) {
        farm_says(s, says, sizeof says);
        good = strcmp(says, "ok") == 0 && sqlite3_column_int64(s, 1) == 0 &&
               sqlite3_column_int64(s, 2) == FARM_APPLICATION;
        if (!good && strcmp(says, "ok") == 0)
            (void)snprintf(says, sizeof says,
                           sqlite3_column_int64(s, 1) ? "references are broken" : "it is not a farm file");
    } else {
        (void)snprintf(says, sizeof says, "%s", db ? sqlite3_errmsg(db) : "out of memory");
    }
    (void)sqlite3_finalize(s);
    (void)sqlite3_close(db);
    if ((rc & 0xff) == SQLITE_NOMEM || (!good && farm_says_no_memory(says)))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    return good ? ST_OK : refuse(ST_IO, why, "", "%s is not a sound farm file: %s", path, says);
}

static enum status copy_into(struct farm *f, const char *part, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "VACUUM INTO ?1", why);

    if (unlink(part) != 0 && errno != ENOENT) /* left over from one that was cut short */
        return refuse(ST_IO, why, "", "%s: %s", part, strerror(errno));
    farm_bind_text(s, 1, part);
    return farm_run(f, s, why);
}

static enum status copy_to(struct farm *f, const char *folder, int64_t at_utc_s, char path[static PATH],
                           struct message *why)
{
    char part[PATH];
    struct message ignored;

    if (mkdir(folder, 0700) != 0 && errno != EEXIST)
        return refuse(ST_IO, why, "", "the folder %s could not be made: %s", folder, strerror(errno));
    enum status st = name_for(folder, f->path, at_utc_s, path, why);
    if (st == ST_OK)
        st = join(part, why, path, ".part", "");
    if (st == ST_OK)
        st = copy_into(f, part, why);
    if (st == ST_OK && chmod(part, 0600) != 0)
        st = refuse(ST_IO, why, "", "%s: %s", part, strerror(errno));
    if (st == ST_OK)
        st = farm_sync_path(part, false, why);
    if (st == ST_OK)
        st = farm_sound(part, why);
    if (st == ST_OK && rename(part, path) != 0)
        st = refuse(ST_IO, why, "", "%s could not get its name: %s", path, strerror(errno));
    if (st == ST_OK)
        st = farm_sync_path(folder, true, why);
    if (st != ST_OK && unlink(part) != 0 && errno != ENOENT)
        (void)refuse(ST_IO, &ignored, "", "left over"); /* the first reason stays; the next backup takes it away */
    return st;
}

/* ---- listing and thinning ---- */

static int newest_first(const void *a, const void *b)
{
    const struct farm_backup *x = a, *y = b;
    return (x->made_utc_s < y->made_utc_s) - (x->made_utc_s > y->made_utc_s);
}

enum status farm_backups(const char *farm_path, const char *folder, struct arena *mem, struct farm_backup **backups,
                         size_t *n, struct message *why)
{
    char where[PATH];
    struct farm_backup *list = ARENA_NEW(mem, struct farm_backup, MOST_BACKUPS);
    size_t count = 0;
    enum status st = folder_of(farm_path, folder, where, why);

    if (st != ST_OK)
        return st;
    if (!list)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    DIR *dir = opendir(where);
    if (!dir && errno != ENOENT)
        return refuse(ST_IO, why, "", "%s: %s", where, strerror(errno));
    for (struct dirent *e; dir && count < MOST_BACKUPS && (e = readdir(dir));) {
        struct stat is;
        struct farm_backup b;
        if (!made_when(base_name(farm_path), e->d_name, &b.made_utc_s))
            continue;
        b.path = arena_print(mem, "%s/%s", where, e->d_name);
        if (!b.path || stat(b.path, &is) != 0)
            continue;
        b.bytes = (int64_t)is.st_size;
        list[count++] = b;
    }
    if (dir)
        (void)closedir(dir);
    if (arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    qsort(list, count, sizeof *list, newest_first);
    *backups = list;
    *n = count;
    return ST_OK;
}

const char *farm_newest_sound(const char *farm_path, struct arena *mem, size_t *n)
{
    struct farm_backup *list = NULL;
    struct message ignored;

    *n = 0;
    if (farm_backups(farm_path, NULL, mem, &list, n, &ignored) != ST_OK)
        return NULL;
    for (size_t i = 0; i < *n; i++)
        if (farm_sound(list[i].path, &ignored) == ST_OK)
            return list[i].path;
    return NULL;
}

static int64_t period(int64_t utc_s, int which)
{
    const struct civil c = civil_from_seconds(utc_s);
    const int64_t day = civil_days(c.year, c.month, c.day);

    return which == 0   ? day
           : which == 1 ? (day + 3) / 7
                        : (int64_t)c.year * 12 + c.month; /* days, Monday weeks, months */
}

/* The newest of each of the last days, weeks and months stays. */
static void choose(const struct farm_backup *list, size_t n, bool *stays)
{
    static const int most[3] = { KEEP_DAYS, KEEP_WEEKS, KEEP_MONTHS };

    for (int which = 0; which < 3; which++) {
        int64_t last = INT64_MIN;
        int kept = 0;
        for (size_t i = 0; i < n && kept < most[which]; i++) {
            const int64_t p = period(list[i].made_utc_s, which);
            if (p == last)
                continue;
            stays[i] = true;
            last = p;
            kept++;
        }
    }
}

static enum status thin(const char *farm_path, const char *folder, struct arena *mem, struct message *why)
{
    struct farm_backup *list = NULL;
    size_t n = 0;
    enum status st = farm_backups(farm_path, folder, mem, &list, &n, why);
    bool *stays = st == ST_OK ? ARENA_NEW(mem, bool, n + 1) : NULL;

    if (st != ST_OK)
        return st;
    if (!stays)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    choose(list, n, stays);
    for (size_t i = 0; i < n; i++)
        if (!stays[i] && unlink(list[i].path) != 0)
            return refuse(ST_IO, why, "", "the backup stands, but the old one %s could not be taken away: %s",
                          list[i].path, strerror(errno));
    return ST_OK;
}

enum status farm_backup(struct farm *f, const char *folder, const char *second, int64_t at_utc_s, struct arena *mem,
                        struct farm_backup *made, struct message *why)
{
    char where[PATH], path[PATH], other[PATH];
    struct stat is;
    struct message second_why = { "", "" };

    enum status st = folder_of(f->path, folder, where, why);
    if (st == ST_OK)
        st = copy_to(f, where, at_utc_s, path, why);
    if (st == ST_OK && stat(path, &is) != 0)
        st = refuse(ST_IO, why, "", "%s: %s", path, strerror(errno));
    if (st != ST_OK)
        return st;
    *made = (struct farm_backup){ arena_text(mem, path), at_utc_s, (int64_t)is.st_size };
    st = thin(f->path, where, mem, why);
    if (second && st == ST_OK) {
        st = copy_to(f, second, at_utc_s, other, &second_why);
        if (st == ST_OK)
            st = thin(f->path, second, mem, &second_why);
        if (st != ST_OK)
            return refuse(st, why, "", "the backup %s stands; the second copy failed: %s", path, second_why.text);
    }
    return st == ST_OK && !made->path ? refuse(ST_NO_MEMORY, why, "", "out of memory") : st;
}

enum status farm_backup_of_day(const char *farm_path, int64_t at_utc_s, struct arena *mem, struct farm_backup *made,
                               struct message *why)
{
    struct farm_backup *list = NULL;
    struct farm *f = NULL;
    struct stat is;
    size_t n = 0;

    *made = (struct farm_backup){ .path = NULL };
    if (stat(farm_path, &is) != 0)
        return ST_OK; /* no farm has begun yet */
    enum status st = farm_backups(farm_path, NULL, mem, &list, &n, why);
    if (st != ST_OK || (n && (at_utc_s - list[0].made_utc_s < DAY_S || is.st_mtim.tv_sec <= list[0].made_utc_s)))
        return st;
    st = farm_open(farm_path, &f, why);
    if (st == ST_OK)
        st = farm_backup(f, NULL, NULL, at_utc_s, mem, made, why);
    farm_close(f);
    return st;
}

/* ---- restore ---- */

/* Bytes of one file into a new one, on the disk before it returns. */
static enum status copy_bytes(const char *from, const char *to, struct message *why)
{
    char buffer[65536];
    const int in = open(from, O_RDONLY | O_CLOEXEC);
    const int out = in < 0 ? -1 : open(to, O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, 0600);
    ssize_t n = in < 0 || out < 0 ? -1 : 1;

    while (n > 0 && (n = read(in, buffer, sizeof buffer)) > 0)
        for (ssize_t done = 0, w; done < n; done += w)
            if ((w = write(out, buffer + done, (size_t)(n - done))) < 0) {
                n = -1;
                break;
            }
    if (n == 0 && fsync(out) != 0)
        n = -1;
    const int failed = errno;
    if (in >= 0)
        (void)close(in);
    if (out >= 0 && close(out) != 0)
        n = -1;
    return n == 0 ? ST_OK : refuse(ST_IO, why, "", "copying %s to %s: %s", from, to, strerror(failed));
}

/* Page by page into the file that is there, as one transaction of SQLite's: whoever has it open sees the change. */
static enum status overwrite(const char *backup, const char *farm_path, bool new, struct message *why)
{
    sqlite3 *from = NULL, *to = NULL;
    enum status st = ST_OK;

    int rc = sqlite3_open_v2(backup, &from, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_open_v2(farm_path, &to,
                             SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | (new ? SQLITE_OPEN_CREATE : 0), NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_busy_timeout(to, 3000);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(to, "PRAGMA synchronous=EXTRA", NULL, NULL, NULL);
    sqlite3_backup *b = rc == SQLITE_OK ? sqlite3_backup_init(to, "main", from, "main") : NULL;
    if (b) {
        rc = sqlite3_backup_step(b, -1);
        const int finished = sqlite3_backup_finish(b);
        rc = rc == SQLITE_DONE ? finished : rc;
    } else if (rc == SQLITE_OK) {
        rc = sqlite3_errcode(to);
    }
    if ((rc & 0xff) == SQLITE_BUSY || (rc & 0xff) == SQLITE_LOCKED)
        st = refuse(ST_BUSY, why, "", "another program is writing to %s; close it and try again", farm_path);
    else if (rc != SQLITE_OK)
        st = refuse(ST_IO, why, "", "putting %s back: %s", backup, to ? sqlite3_errmsg(to) : sqlite3_errstr(rc));
    (void)sqlite3_close(from);
    (void)sqlite3_close(to);
    return st;
}

/* Who may come in does not go back with the rest: a copy of the backup takes its devices and its password from the file
 * of today (`today` NULL: that cannot be read any more, or there is none; then nobody has a session). */
static enum status door_of_today(const char *copy, const char *today, struct message *why)
{
    sqlite3 *db = NULL;
    char *sql = today ? sqlite3_mprintf("ATTACH %Q AS today", today) : NULL;
    bool tables = false, today_too = false;

    int rc = sqlite3_open_v2(copy, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(db, "PRAGMA journal_mode=DELETE; PRAGMA synchronous=EXTRA", NULL, NULL, NULL);
    if (rc == SQLITE_OK) /* an older farm file has none: they are made, empty, when it is brought up to date */
        tables =
            sqlite3_table_column_metadata(db, "main", "device", "digest", NULL, NULL, NULL, NULL, NULL) == SQLITE_OK;
    if (rc == SQLITE_OK && tables && sql) {
        rc = sqlite3_exec(db, sql, NULL, NULL, NULL);
        today_too = rc == SQLITE_OK && sqlite3_table_column_metadata(db, "today", "device", "digest", NULL, NULL, NULL,
                                                                     NULL, NULL) == SQLITE_OK;
    }
    if (rc == SQLITE_OK && tables)
        rc = sqlite3_exec(db,
                          today_too ? "BEGIN; DELETE FROM main.device; DELETE FROM main.password;"
                                      "INSERT INTO main.device SELECT * FROM today.device;"
                                      "INSERT INTO main.password SELECT * FROM today.password; COMMIT"
                                    : "DELETE FROM main.device",
                          NULL, NULL, NULL);
    const enum status st = rc == SQLITE_OK ? ST_OK
                                           : refuse((rc & 0xff) == SQLITE_BUSY ? ST_BUSY : ST_IO, why, "",
                                                    "keeping today's devices and password: %s; nothing was changed",
                                                    db ? sqlite3_errmsg(db) : "");
    sqlite3_free(sql);
    (void)sqlite3_close(db);
    return st;
}

/* The backup as it is to be put back, beside the farm file. */
static enum status ready_copy(const char *backup, const char *farm_path, const char *today, char part[static PATH],
                              struct message *why)
{
    enum status st = join(part, why, farm_path, ".restore-part", "");

    if (st != ST_OK)
        return st;
    if (unlink(part) != 0 && errno != ENOENT)
        return refuse(ST_IO, why, "", "%s: %s", part, strerror(errno));
    st = copy_bytes(backup, part, why);
    if (st == ST_OK)
        st = door_of_today(part, today, why);
    if (st != ST_OK)
        (void)unlink(part); /* the first reason stays; the next one takes it away */
    return st;
}

/* The copy made ready takes the farm file's name. */
static enum status put_new(const char *part, const char *farm_path, struct message *why)
{
    char folder[PATH];
    const char *slash = strrchr(farm_path, '/');

    if (rename(part, farm_path) != 0) {
        const int failed = errno;
        (void)unlink(part); /* only a copy */
        return refuse(ST_IO, why, "", "%s: %s", farm_path, strerror(failed));
    }
    (void)snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - farm_path) + 1 : 1, slash ? farm_path : ".");
    return farm_sync_path(folder, true, why);
}

/* Another name for the file, so that its own stays in place; a file system that knows no second names gives it up. */
static bool put_aside(const char *path, const char *aside)
{
    return link(path, aside) == 0 || (errno != EEXIST && rename(path, aside) == 0);
}

/* A file that cannot be opened any more is put aside with its left-over journal, and the backup takes its place. At no
 * step is there no farm file: the damaged one keeps its name until the backup takes it. */
static enum status replace(const char *backup, const char *farm_path, const char *aside, struct message *why)
{
    char journal[PATH], journal_aside[PATH], part[PATH];
    enum status st = join(journal, why, farm_path, "-journal", "");

    if (st == ST_OK)
        st = join(journal_aside, why, aside, "-journal", "");
    if (st == ST_OK)
        st = ready_copy(backup, farm_path, NULL, part, why);
    if (st != ST_OK)
        return st;
    if (!put_aside(farm_path, aside))
        st = refuse(ST_IO, why, "", "%s could not be put aside: %s", farm_path, strerror(errno));
    else if (rename(journal, journal_aside) != 0 && errno != ENOENT)
        st = refuse(ST_IO, why, "", "%s could not be put aside: %s", journal, strerror(errno));
    else
        return put_new(part, farm_path, why);
    (void)unlink(part); /* only a copy */
    return st;
}

enum status farm_restore(const char *backup, const char *farm_path, int64_t at_utc_s, struct message *why)
{
    char aside[PATH], part[PATH], moment[32];
    struct stat is, now;
    struct message ignored;

    if (stat(backup, &is) != 0)
        return refuse(ST_NOT_FOUND, why, "", "there is no backup %s", backup);
    if (stat(farm_path, &now) == 0 && now.st_dev == is.st_dev && now.st_ino == is.st_ino)
        return refuse(ST_BAD_INPUT, why, "",
                      "%s is the farm file itself, as it stands now; give one of its backups to go back to", backup);
    if (farm_sound(backup, why) != ST_OK)
        return ST_BAD_INPUT;
    if (stat(farm_path, &is) != 0) {
        const enum status ready = ready_copy(backup, farm_path, NULL, part, why);
        return ready == ST_OK ? put_new(part, farm_path, why) : ready;
    }
    (void)civil_moment_text(at_utc_s, moment);
    for (char *c = moment, *to = moment;; c++) { /* "2026-01-22T15:40:00Z" -> "20260122T154000Z" */
        if (*c != '-' && *c != ':')
            *to++ = *c;
        if (!*c)
            break;
    }
    enum status st = join(aside, why, farm_path, ".before-restore-", moment);
    if (st == ST_OK && farm_sound(farm_path, &ignored) != ST_OK)
        return replace(backup, farm_path, aside, why);
    if (st == ST_OK) /* a copy of what is there now, taken under SQLite's own lock */
        st = overwrite(farm_path, aside, true, why);
    if (st == ST_OK && chmod(aside, 0600) != 0)
        st = refuse(ST_IO, why, "", "%s: %s", aside, strerror(errno));
    if (st == ST_OK)
        st = ready_copy(backup, farm_path, aside, part, why);
    if (st != ST_OK)
        return st;
    st = overwrite(part, farm_path, false, why);
    (void)unlink(part); /* only a copy */
    return st;
}
