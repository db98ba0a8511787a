/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The disk that forgets: see forget_vfs.h. Included once by the test program that uses it.
 */
#include "tests/farm/power/forget_vfs.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/dice.h"

enum { FILES = 16, SECTOR = 512, LOG = 100000 };

enum op_kind { OP_WRITE, OP_TRUNCATE };
struct op {
    enum op_kind kind;
    size_t at, n;
    unsigned char *bytes;
}; /* not yet synced, in order */

struct disk_file {
    char name[200];
    bool there;                /* as programs see it */
    bool entry_synced;         /* its name is on the disk */
    bool was_there;            /* on the disk, before an unsynced deletion */
    unsigned char *now, *disk; /* as programs see it; what surely survives */
    size_t n_now, n_disk, room_now, room_disk;
    struct op *op;
    size_t n_ops, room_ops;
    int locked; /* SQLite's lock levels; one program only */
};

static struct disk_file files[FILES];
static size_t calls, off_at, error_at;
static bool is_off, full_from, full_now;

struct open_file {
    sqlite3_file base;
    struct disk_file *f;
    int lock;
    bool delete_on_close;
};

static void *need(void *p)
{
    if (!p) {
        (void)fputs("out of memory\n", stderr);
        exit(1);
    }
    return p;
}

static void set_size(unsigned char **bytes, size_t *n, size_t *room, size_t size)
{
    if (size > *room) {
        const size_t more = size > *room * 2 ? size : *room * 2;
        *bytes = need(realloc(*bytes, more));
        *room = more;
    }
    if (size > *n)
        memset(*bytes + *n, 0, size - *n);
    *n = size;
}

static struct disk_file *find_file(const char *name, bool make)
{
    struct disk_file *unused = NULL;

    for (size_t i = 0; i < FILES; i++) {
        if (files[i].name[0] && strcmp(files[i].name, name) == 0)
            return &files[i];
        if (!files[i].name[0] && !unused)
            unused = &files[i];
    }
    if (!make)
        return NULL;
    need(unused);
    (void)snprintf(unused->name, sizeof unused->name, "%s", name);
    return unused;
}

static void drop_ops(struct disk_file *f)
{
    for (size_t i = 0; i < f->n_ops; i++)
        free(f->op[i].bytes);
    f->n_ops = 0;
}

static void apply(struct disk_file *f, const struct op *op, size_t from, size_t n)
{
    if (op->kind == OP_TRUNCATE) {
        set_size(&f->disk, &f->n_disk, &f->room_disk, op->at);
        return;
    }
    if (f->n_disk < op->at + from + n)
        set_size(&f->disk, &f->n_disk, &f->room_disk, op->at + from + n);
    memcpy(f->disk + op->at + from, op->bytes + from, n);
}

static void remember(struct disk_file *f, enum op_kind kind, size_t at, size_t n, const void *bytes)
{
    if (f->n_ops == f->room_ops) {
        f->room_ops = f->room_ops ? f->room_ops * 2 : 64;
        f->op = need(realloc(f->op, f->room_ops * sizeof *f->op));
    }
    struct op *op = &f->op[f->n_ops++];
    *op = (struct op){ kind, at, n, n ? need(malloc(n)) : NULL };
    if (n)
        memcpy(op->bytes, bytes, n);
}

/* Each changing call passes here. SQLITE_OK, or how it fails. A full disk still syncs, shortens and deletes. */
static int changing(bool takes_room)
{
    if (is_off)
        return SQLITE_IOERR;
    calls++;
    if (off_at && calls >= off_at) {
        is_off = true;
        return SQLITE_IOERR;
    }
    if (full_now && takes_room)
        return SQLITE_FULL;
    if (error_at && calls >= error_at && (takes_room || !full_from)) {
        error_at = 0;
        full_now = full_from;
        return full_from ? SQLITE_FULL : SQLITE_IOERR;
    }
    return SQLITE_OK;
}

/* ---- methods of an open file ---- */

static int file_close(sqlite3_file *h)
{
    struct open_file *o = (struct open_file *)h;
    if (o->delete_on_close)
        o->f->there = false;
    o->f->locked = 0;
    return SQLITE_OK;
}

static int file_read(sqlite3_file *h, void *out, int n, sqlite3_int64 at)
{
    const struct disk_file *f = ((struct open_file *)h)->f;
    const size_t start = (size_t)at, want = (size_t)n;
    const size_t have = start < f->n_now ? (f->n_now - start < want ? f->n_now - start : want) : 0;

    if (is_off)
        return SQLITE_IOERR_READ;
    if (have)
        memcpy(out, f->now + start, have);
    if (have < want) {
        memset((unsigned char *)out + have, 0, want - have);
        return SQLITE_IOERR_SHORT_READ;
    }
    return SQLITE_OK;
}

static int file_write(sqlite3_file *h, const void *bytes, int n, sqlite3_int64 at)
{
    struct disk_file *f = ((struct open_file *)h)->f;
    const bool was_off = is_off;
    const int rc = changing(true);

    if (rc == SQLITE_IOERR && is_off && !was_off) /* the write during which the light went out may be on its way */
        remember(f, OP_WRITE, (size_t)at, (size_t)n, bytes);
    if (rc != SQLITE_OK)
        return rc == SQLITE_FULL ? SQLITE_FULL : SQLITE_IOERR_WRITE;
    if (f->n_now < (size_t)at + (size_t)n)
        set_size(&f->now, &f->n_now, &f->room_now, (size_t)at + (size_t)n);
    memcpy(f->now + at, bytes, (size_t)n);
    remember(f, OP_WRITE, (size_t)at, (size_t)n, bytes);
    return SQLITE_OK;
}

static int file_truncate(sqlite3_file *h, sqlite3_int64 size)
{
    struct disk_file *f = ((struct open_file *)h)->f;

    if (changing(false) != SQLITE_OK)
        return SQLITE_IOERR_TRUNCATE;
    set_size(&f->now, &f->n_now, &f->room_now, (size_t)size);
    remember(f, OP_TRUNCATE, (size_t)size, 0, NULL);
    return SQLITE_OK;
}

static int file_sync(sqlite3_file *h, int flags)
{
    struct disk_file *f = ((struct open_file *)h)->f;

    (void)flags;
    if (changing(false) != SQLITE_OK)
        return SQLITE_IOERR_FSYNC;
    for (size_t i = 0; i < f->n_ops; i++)
        apply(f, &f->op[i], 0, f->op[i].n);
    drop_ops(f);
    f->entry_synced =
        true; /* on the file systems in use fsync of a new file brings its name along; the folder is asked too */
    return SQLITE_OK;
}

static int file_size(sqlite3_file *h, sqlite3_int64 *size)
{
    *size = (sqlite3_int64)((struct open_file *)h)->f->n_now;
    return SQLITE_OK;
}

static int file_lock(sqlite3_file *h, int level)
{
    ((struct open_file *)h)->lock = level;
    return SQLITE_OK;
}

static int file_reserved(sqlite3_file *h, int *out)
{
    *out = ((struct open_file *)h)->lock >= SQLITE_LOCK_RESERVED;
    return SQLITE_OK;
}

static int file_control(sqlite3_file *h, int op, void *arg)
{
    (void)h;
    (void)op;
    (void)arg;
    return SQLITE_NOTFOUND;
}

static int file_sector(sqlite3_file *h)
{
    (void)h;
    return SECTOR;
}

static int file_traits(sqlite3_file *h)
{
    (void)h;
    return 0; /* nothing is promised: no atomic writes, no safe append, no order */
}

static const sqlite3_io_methods methods = {
    .iVersion = 1,
    .xClose = file_close,
    .xRead = file_read,
    .xWrite = file_write,
    .xTruncate = file_truncate,
    .xSync = file_sync,
    .xFileSize = file_size,
    .xLock = file_lock,
    .xUnlock = file_lock,
    .xCheckReservedLock = file_reserved,
    .xFileControl = file_control,
    .xSectorSize = file_sector,
    .xDeviceCharacteristics = file_traits,
};

/* ---- the file system ---- */

static int vfs_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *h, int flags, int *out_flags)
{
    static unsigned serial;
    struct open_file *o = (struct open_file *)h;
    char temporary[32];

    (void)vfs;
    o->base.pMethods = NULL;
    if (is_off)
        return SQLITE_IOERR;
    (void)snprintf(temporary, sizeof temporary, "temporary-%u", serial++);
    o->f = find_file(name ? name : temporary, true);
    if (!o->f->there) {
        if (name && !(flags & SQLITE_OPEN_CREATE))
            return SQLITE_CANTOPEN;
        o->f->there = true;
        o->f->entry_synced = false;
        o->f->n_now = 0;
        drop_ops(o->f);
        if (!o->f->was_there)
            o->f->n_disk = 0;
        remember(o->f, OP_TRUNCATE, 0, 0, NULL); /* what an older file of that name held is gone with it */
    }
    o->lock = 0;
    o->delete_on_close = (flags & SQLITE_OPEN_DELETEONCLOSE) != 0;
    o->base.pMethods = &methods;
    if (out_flags)
        *out_flags = flags;
    return SQLITE_OK;
}

static int vfs_delete(sqlite3_vfs *vfs, const char *name, int sync_folder)
{
    struct disk_file *f = find_file(name, false);

    (void)vfs;
    if (changing(false) != SQLITE_OK)
        return SQLITE_IOERR_DELETE;
    if (!f || !f->there)
        return SQLITE_IOERR_DELETE_NOENT;
    f->was_there = f->entry_synced || f->was_there;
    f->there = false;
    f->n_now = 0;
    if (sync_folder) { /* gone for good */
        f->was_there = f->entry_synced = false;
        f->n_disk = 0;
        drop_ops(f);
    }
    return SQLITE_OK;
}

static int vfs_access(sqlite3_vfs *vfs, const char *name, int flags, int *out)
{
    const struct disk_file *f = find_file(name, false);

    (void)vfs;
    (void)flags;
    if (is_off)
        return SQLITE_IOERR_ACCESS;
    *out = f && f->there && (flags != SQLITE_ACCESS_EXISTS || f->n_now > 0);
    return SQLITE_OK;
}

static int vfs_path(sqlite3_vfs *vfs, const char *name, int n, char *out)
{
    (void)vfs;
    (void)snprintf(out, (size_t)n, "%s", name);
    return SQLITE_OK;
}

static sqlite3_vfs forget_vfs;

void forget_begin(void)
{
    const sqlite3_vfs *usual = sqlite3_vfs_find(NULL);

    forget_vfs = *usual; /* time and randomness as usual */
    forget_vfs.zName = FORGET_VFS;
    forget_vfs.szOsFile = (int)sizeof(struct open_file);
    forget_vfs.pNext = NULL;
    forget_vfs.xOpen = vfs_open;
    forget_vfs.xDelete = vfs_delete;
    forget_vfs.xAccess = vfs_access;
    forget_vfs.xFullPathname = vfs_path;
    if (sqlite3_vfs_register(&forget_vfs, 0) != SQLITE_OK)
        exit(1);
}

void forget_empty(void)
{
    for (size_t i = 0; i < FILES; i++) {
        drop_ops(&files[i]);
        free(files[i].op);
        free(files[i].now);
        free(files[i].disk);
        files[i] = (struct disk_file){ .there = false };
    }
    calls = off_at = error_at = 0;
    is_off = full_from = full_now = false;
}

void forget_load(const char *path, const void *bytes, size_t n)
{
    struct disk_file *f = find_file(path, true);

    set_size(&f->now, &f->n_now, &f->room_now, n);
    set_size(&f->disk, &f->n_disk, &f->room_disk, n);
    memcpy(f->now, bytes, n);
    memcpy(f->disk, bytes, n);
    f->there = f->entry_synced = f->was_there = true;
}

size_t forget_size(const char *path)
{
    const struct disk_file *f = find_file(path, false);
    return f && f->there ? f->n_now : 0;
}

const unsigned char *forget_bytes(const char *path)
{
    const struct disk_file *f = find_file(path, false);
    return f ? f->now : NULL;
}

void forget_power_off_at(size_t n)
{
    off_at = n ? calls + n : 0;
}

bool forget_power_is_off(void)
{
    return is_off;
}

void forget_error_at(size_t n, bool disk_full)
{
    error_at = n ? calls + n : 0;
    full_from = disk_full;
    full_now = false;
}

size_t forget_calls(void)
{
    return calls;
}

/* Any subset of the unsynced writes, each whole, in part, or not at all. */
static void settle(struct disk_file *f, struct dice *d)
{
    const double share = dice_even(d); /* from "hardly any" to "nearly all" */

    for (size_t i = 0; i < f->n_ops; i++) {
        const struct op *op = &f->op[i];
        if (dice_even(d) > share)
            continue;
        if (op->kind == OP_WRITE && op->n > SECTOR && dice_even(d) < 0.3) { /* torn: some of its sectors */
            for (size_t at = 0; at < op->n; at += SECTOR)
                if (dice_even(d) < 0.5)
                    apply(f, op, at, op->n - at < SECTOR ? op->n - at : SECTOR);
            continue;
        }
        apply(f, op, 0, op->n);
    }
    drop_ops(f);
}

void forget_power_on(uint64_t seed)
{
    struct dice d = dice_from(seed);

    for (size_t i = 0; i < FILES; i++) {
        struct disk_file *f = &files[i];
        if (!f->name[0])
            continue;
        const bool name_on_disk =
            f->there ? f->entry_synced || dice_even(&d) < 0.5 : f->was_there && dice_even(&d) < 0.5;
        if (f->there)
            settle(f, &d);
        drop_ops(f);
        f->there = f->entry_synced = f->was_there = name_on_disk;
        if (!name_on_disk)
            f->n_disk = 0;
        f->n_now = 0;
        set_size(&f->now, &f->n_now, &f->room_now, f->n_disk);
        if (f->n_disk)
            memcpy(f->now, f->disk, f->n_disk);
        f->locked = 0;
    }
    calls = off_at = error_at = 0;
    is_off = full_from = full_now = false;
}
