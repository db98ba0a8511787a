/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Opening, making and closing the farm file.
 */
#include <errno.h>
#include <fcntl.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statfs.h>
#include <unistd.h>

#include "farm/keep.h"
#include "farm/own.h"

enum { BUSY_MS = 3000, SPEECH_BYTES = 16 * 1024 * 1024, CHECK_BYTES = 2 * 1024 * 1024 };

void farm_uncounted(void)
{
    (void)sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0); /* refused, and harmless, once SQLite is at work */
}

const char *farm_network_name(unsigned long type)
{
    /* Linux: statfs(2) and linux/magic.h */
    static const struct {
        unsigned long type;
        const char *name;
    } network[] = {
        { 0x6969, "NFS" },      { 0x517B, "SMB" },      { 0xFF534D42, "CIFS" },   { 0xFE534D42, "SMB2" },
        { 0x5346414F, "AFS" },  { 0x6B414653, "AFS" },  { 0x73757245, "Coda" },   { 0x65735546, "FUSE" },
        { 0x01021997, "9P" },   { 0x00C36400, "Ceph" }, { 0x0BD00BD0, "Lustre" }, { 0x7461636F, "OCFS2" },
        { 0x01161970, "GFS2" }, { 0x564C, "NCP" },
    };

    for (size_t i = 0; i < COUNT(network); i++)
        if (network[i].type == (type & 0xFFFFFFFFUL))
            return network[i].name;
    return NULL;
}

static enum status on_local_disk(const char *path, const struct farm_how *how, struct message *why)
{
    struct statfs fs;
    char folder[4096];
    const char *slash = strrchr(path, '/');

    if (how->network_too)
        return ST_OK;
    const int n = snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - path) + 1 : 1, slash ? path : ".");
    if (n < 0 || (size_t)n >= sizeof folder)
        return refuse(ST_BAD_INPUT, why, "farm", "the path of the farm file is too long");
    if (statfs(folder, &fs) != 0)
        return refuse(ST_NOT_FOUND, why, "farm", "the folder of %s: %s", path, strerror(errno));
    const char *name = farm_network_name((unsigned long)fs.f_type);
    if (name)
        return refuse(
            ST_IO, why, "farm",
            "%s lies on a network or joined file system (%s), where two programs writing at once can ruin it; "
            "keep the farm file on this machine's own disk",
            path, name);
    return ST_OK;
}

void farm_close(struct farm *f)
{
    if (!f)
        return;
    for (size_t i = 0; i < f->n_statements; i++) {
        (void)sqlite3_finalize(f->statement[i].stmt);
        free(f->statement[i].sql);
    }
    free(f->statement);
    (void)sqlite3_close(f->db);
    arena_close(&f->speech_mem);
    free(f->path);
    free(f);
}

static enum status damaged(struct farm *f, const char *says, struct message *why)
{
    struct arena mem;
    size_t n = 0;

    arena_open(&mem, 1024 * 1024);
    const char *sound = farm_newest_sound(f->path, &mem, &n);
    const enum status st =
        sound ? refuse(ST_IO, why, "farm", "the farm file %s is damaged (%.80s); the newest sound backup is %s",
                       f->path, says, sound)
        : n > 0
            ? refuse(ST_IO, why, "farm", "the farm file %s is damaged (%.80s), and so is every backup beside it (%zu)",
                     f->path, says, n)
            : refuse(ST_IO, why, "farm", "the farm file %s is damaged (%.80s), and there is no backup beside it",
                     f->path, says);
    arena_close(&mem);
    return st;
}

/* A handle with the settings; nothing of the content is looked at yet. */
static enum status connect(const char *path, const struct farm_how *how, struct farm **out, struct message *why)
{
    struct farm *f = calloc(1, sizeof *f);
    const size_t n = strlen(path) + 1;

    if (f)
        f->path = malloc(n);
    if (!f || !f->path || sodium_init() < 0) {
        farm_close(f);
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    }
    memcpy(f->path, path, n);
    f->speech_number = -1;
    arena_open(&f->speech_mem, SPEECH_BYTES);
    const int flags =
        (how->read_only ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE) | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
    int rc = sqlite3_open_v2(path, &f->db, flags, how->vfs);
    if (rc == SQLITE_OK)
        rc = sqlite3_busy_timeout(f->db, how->busy_ms > 0 ? how->busy_ms : BUSY_MS); /* before the first PRAGMA */
    if (rc == SQLITE_OK)
        rc = sqlite3_db_config(f->db, SQLITE_DBCONFIG_DEFENSIVE, 1, (int *)NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(f->db,
                          "PRAGMA journal_mode=DELETE; PRAGMA synchronous=EXTRA; PRAGMA foreign_keys=ON;"
                          "PRAGMA trusted_schema=OFF; PRAGMA cell_size_check=ON",
                          NULL, NULL, NULL);
    if (rc == SQLITE_OK && how->one_of_many)
        rc = sqlite3_exec(f->db, "PRAGMA cache_size=-512", NULL, NULL, NULL);
    if ((rc & 0xff) == SQLITE_NOTADB) {
        farm_close(f);
        return refuse(ST_BAD_INPUT, why, "farm", "%s is not a farm file", path);
    }
    const enum status st =
        (rc & 0xff) == SQLITE_CORRUPT ? damaged(f, sqlite3_errmsg(f->db), why) : farm_sql_status(f, rc, why);
    if (st == ST_OK)
        *out = f;
    else
        farm_close(f);
    return st;
}

static enum status pragma(struct farm *f, const char *sql, int64_t *value, struct message *why)
{
    sqlite3_stmt *s = NULL;
    int rc = sqlite3_prepare_v2(f->db, sql, -1, &s, NULL);

    if (rc == SQLITE_OK && (rc = sqlite3_step(s)) == SQLITE_ROW)
        *value = sqlite3_column_int64(s, 0);
    const enum status st = farm_sql_status(f, rc, why);
    (void)sqlite3_finalize(s);
    return st;
}

static enum status check_pages(struct farm *f, const char *sql, struct message *why)
{
    sqlite3_stmt *s = NULL;
    char says[120] = "";
    struct message kept = { "", "" };

    int rc = sqlite3_prepare_v2(f->db, sql, -1, &s, NULL);
    if (rc == SQLITE_OK && (rc = sqlite3_step(s)) == SQLITE_ROW)
        farm_says(s, says, sizeof says);
    enum status st = farm_sql_status(f, rc, &kept);
    (void)sqlite3_finalize(s);
    if (st == ST_OK && farm_says_no_memory(says))
        st = refuse(ST_NO_MEMORY, &kept, "", "out of memory");
    if (st == ST_BUSY || st == ST_NO_MEMORY) {
        *why = kept;
        return st;
    }
    if (st != ST_OK)
        return damaged(f, sqlite3_errmsg(f->db), why);
    return strcmp(says, "ok") == 0 ? ST_OK : damaged(f, says, why);
}

static void only_read(struct farm *f, const char *sentence)
{
    f->read_only = true;
    (void)snprintf(f->sentence, sizeof f->sentence, "%s", sentence);
    (void)sqlite3_exec(f->db, "PRAGMA query_only=ON", NULL, NULL, NULL); /* a second fence; farm_begin() is the first */
}

static enum status bring_up(struct farm *f, const struct farm_how *how, int version, struct message *why)
{
    struct farm_backup made;
    struct arena mem;
    bool differ = false;

    if (version > FARM_VERSION) {
        only_read(f,
                  "this farm file was written by a newer leenest; it can be read here, and written to after an update");
        return ST_OK;
    }
    enum status st = farm_tables_differ(f, &differ, why);
    if (st != ST_OK || (version == FARM_VERSION && !differ))
        return st;
    if (f->read_only || how->no_migration)
        return refuse(ST_IO, why, "farm",
                      "the farm file %s is of an older leenest and has to be brought up to date first; "
                      "open it once for writing",
                      f->path);
    st = check_pages(f, "PRAGMA integrity_check(1)", why); /* a damaged file is not copied, and not touched */
    if (st != ST_OK)
        return st;
    arena_open(&mem, 1024 * 1024);
    st = farm_backup(f, NULL, NULL, farm_now(), &mem, &made, why);
    arena_close(&mem);
    return st == ST_OK ? farm_migrate(f, version, why) : st;
}

enum status farm_look(struct farm *f, struct message *why)
{
    int64_t pages = 0, page_bytes = 0;
    enum status st = pragma(f, "PRAGMA page_count", &pages, why);

    if (st == ST_OK)
        st = pragma(f, "PRAGMA page_size", &page_bytes, why);
    const bool small = pages * page_bytes <= CHECK_BYTES, strange = st == ST_OK && !small && farm_is_new_here(f->path);
    if (st == ST_OK && (small || strange)) /* 5 ms a MB; a large one also after a bad end, and in `check` */
        st = check_pages(f, "PRAGMA quick_check(1)", why);
    if (st == ST_OK && strange)
        farm_mark_looked(f->path);
    (void)sqlite3_db_release_memory(f->db); /* the whole file is in its hands now */
    return st;
}

static enum status look_inside(struct farm *f, const struct farm_how *how, bool left_over, struct message *why)
{
    int64_t application = 0, version = 0, pages = 0;
    enum status st = pragma(f, "PRAGMA application_id", &application, why);

    if (st == ST_OK)
        st = pragma(f, "PRAGMA user_version", &version, why);
    if (st == ST_OK)
        st = pragma(f, "PRAGMA page_count", &pages, why);
    if (st != ST_OK)
        return st;
    if (pages == 0)
        return refuse(ST_BAD_INPUT, why, "farm",
                      "%s is empty: making it was cut short; delete it and make the farm anew", f->path);
    if (application != FARM_APPLICATION || version < 1)
        return refuse(ST_BAD_INPUT, why, "farm", "%s is a database, but not a farm file", f->path);
    if (how->read_only || sqlite3_db_readonly(f->db, "main") == 1)
        only_read(f, how->read_only ? "the farm file was opened for reading only"
                                    : "the farm file may not be written to by you");
    if (how->looked_at && !left_over && version == FARM_VERSION)
        return ST_OK;
    if (left_over)
        st = check_pages(f, "PRAGMA quick_check(1)", why);
    else if (!how->pages_later)
        st = farm_look(f, why);
    return st == ST_OK ? bring_up(f, how, (int)version, why) : st;
}

/* A journal that was not put away: the last program to write did not end well. */
static bool journal_left_over(const char *path)
{
    char journal[4096];
    struct stat is;

    const int n = snprintf(journal, sizeof journal, "%s-journal", path);
    return n > 0 && (size_t)n < sizeof journal && stat(journal, &is) == 0 && is.st_size > 0;
}

enum status farm_open_how(const char *path, const struct farm_how *how, struct farm **farm, struct message *why)
{
    struct farm *f = NULL;
    struct stat is;

    if (stat(path, &is) != 0)
        return errno == ENOENT ? refuse(ST_NOT_FOUND, why, "farm",
                                        "there is no farm file %s; make one first, or name another", path)
                               : refuse(ST_IO, why, "farm", "%s: %s", path, strerror(errno));
    if (!S_ISREG(is.st_mode))
        return refuse(ST_BAD_INPUT, why, "farm", "%s is not a file", path);
    enum status st = on_local_disk(path, how, why);
    const bool left_over = journal_left_over(path);
    if (st == ST_OK)
        st = connect(path, how, &f, why);
    if (st == ST_OK) {
        st = look_inside(f, how, left_over, why);
        const int rc = sqlite3_errcode(f->db) & 0xff;
        if (st == ST_IO && (rc == SQLITE_CORRUPT || rc == SQLITE_NOTADB))
            st = damaged(f, sqlite3_errstr(rc), why);
    }
    if (st == ST_OK)
        *farm = f;
    else
        farm_close(f);
    return st;
}

enum status farm_open(const char *path, struct farm **farm, struct message *why)
{
    const struct farm_how how = { .read_only = false };
    return farm_open_how(path, &how, farm, why);
}

enum status farm_create(const char *path, const struct farm_how *how, struct farm **farm, struct message *why)
{
    const struct farm_how usual = { .read_only = false };
    struct farm *f = NULL;

    if (!how)
        how = &usual;
    enum status st = on_local_disk(path, how, why);
    if (st != ST_OK)
        return st;
    const int fd = open(path, O_CREAT | O_EXCL | O_RDWR | O_CLOEXEC, 0600);
    if (fd < 0)
        return errno == EEXIST
                   ? refuse(ST_CONFLICT, why, "farm", "%s is there already; a new farm needs a new name", path)
                   : refuse(ST_IO, why, "farm", "%s: %s", path, strerror(errno));
    (void)close(fd);
    st = connect(path, how, &f, why);
    if (st == ST_OK)
        st = farm_begin(f, why);
    if (st == ST_OK)
        st = farm_end(f, farm_make_tables(f, why), why);
    if (st == ST_OK) {
        *farm = f;
    } else {
        farm_close(f);
        (void)unlink(path); /* ours, and nothing is in it */
    }
    return st;
}

const char *farm_path(const struct farm *farm)
{
    return farm->path;
}

bool farm_read_only(const struct farm *farm, const char **sentence)
{
    *sentence = farm->sentence;
    return farm->read_only;
}

enum status farm_number(struct farm *f, int64_t *number, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT coalesce(max(number), 0) FROM journal", why);
    enum status st = ST_OK;
    int64_t got = 0;

    while (farm_row(f, s, &st, why))
        got = sqlite3_column_int64(s, 0);
    if (st == ST_OK)
        *number = got;
    return st;
}

static enum status read_speech(struct farm *f, struct message *why)
{
    sqlite3_stmt *s = farm_statement(
        f, "SELECT t.zone, t.units FROM farm t JOIN lived l ON l.fact = t.id AND l.to_number IS NULL", why);
    char zone[80] = "UTC";
    enum status st = ST_OK;

    f->us_units = false;
    while (farm_row(f, s, &st, why)) {
        (void)snprintf(zone, sizeof zone, "%s", (const char *)sqlite3_column_text(s, 0));
        f->us_units = sqlite3_column_text(s, 1) && strcmp((const char *)sqlite3_column_text(s, 1), "us") == 0;
    }
    if (st == ST_OK && (!f->zone || strcmp(zone_name(f->zone), zone) != 0))
        st = zone_open(zone, &f->speech_mem, &f->zone, why);
    return st;
}

enum status farm_speech(struct farm *f, struct fact_speech *speech, struct message *why)
{
    int64_t number = 0;
    enum status st = farm_number(f, &number, why);

    if (st == ST_OK && number != f->speech_number) {
        st = read_speech(f, why);
        if (st == ST_OK)
            f->speech_number = number;
    }
    if (st == ST_OK)
        *speech = (struct fact_speech){ .zone = f->zone, .us_units = f->us_units };
    return st;
}
