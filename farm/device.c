/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/device.h"

#include <sodium.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/own.h"

enum { MOST_DEVICES = 500 };

_Static_assert(DEVICE_DIGEST >= crypto_generichash_BYTES_MIN && DEVICE_DIGEST <= crypto_generichash_BYTES_MAX,
               "a length that the digest has");

void device_digest(const unsigned char token[static DEVICE_TOKEN], unsigned char digest[static DEVICE_DIGEST])
{
    (void)crypto_generichash(digest, DEVICE_DIGEST, token, DEVICE_TOKEN, NULL, 0); /* fails on a bad length alone */
}

bool device_ended(const struct farm_device *d, int64_t now_utc_s)
{
    return now_utc_s - d->seen_utc_s > DEVICE_SESSION_D * DAY_S;
}

#define DEVICE_COLUMNS "number, called, master, here, since_utc_s, seen_utc_s, digest"

static void read_row(sqlite3_stmt *s, struct arena *mem, struct farm_device *d)
{
    const void *digest = sqlite3_column_blob(s, 6);

    d->number = sqlite3_column_int64(s, 0);
    d->called = farm_column(s, 1, mem);
    d->master = sqlite3_column_int(s, 2) != 0;
    d->here = sqlite3_column_int(s, 3) != 0;
    d->since_utc_s = sqlite3_column_int64(s, 4);
    d->seen_utc_s = sqlite3_column_int64(s, 5);
    if (digest && sqlite3_column_bytes(s, 6) == DEVICE_DIGEST)
        memcpy(d->digest, digest, DEVICE_DIGEST);
}

static void bind_blob(sqlite3_stmt *s, int at, const unsigned char *bytes, int n)
{
    if (s)
        (void)sqlite3_bind_blob(s, at, bytes, n, SQLITE_STATIC);
}

static void bind_whole(sqlite3_stmt *s, int at, int64_t value)
{
    if (s)
        (void)sqlite3_bind_int64(s, at, value);
}

enum status farm_device_add(struct farm *f, struct farm_device *d, struct message *why)
{
    enum status st = farm_begin(f, why);

    if (st != ST_OK)
        return st;
    /* a number of its own: one that has ended is never given again, so that a list gone stale ends nobody else */
    d->number = 1 + ((int64_t)randombytes_random() << 16) + (int64_t)(randombytes_random() & 0xffff);
    sqlite3_stmt *s = farm_statement(f,
                                     "INSERT INTO device(called, master, here, since_utc_s, seen_utc_s, digest, number)"
                                     " VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                                     why);
    farm_bind_text(s, 1, d->called);
    bind_whole(s, 2, d->master);
    bind_whole(s, 3, d->here);
    bind_whole(s, 4, d->since_utc_s);
    bind_whole(s, 5, d->seen_utc_s);
    bind_blob(s, 6, d->digest, DEVICE_DIGEST);
    bind_whole(s, 7, d->number);
    st = farm_run(f, s, why);
    if (st == ST_OK) { /* eight of the machine itself; the new one stays, whatever came in the same second */
        s = farm_statement(
            f,
            "DELETE FROM device WHERE here = 1 AND number <> ?1 AND number NOT IN (SELECT number FROM device"
            " WHERE here = 1 AND number <> ?1 ORDER BY seen_utc_s DESC, number DESC LIMIT 7)",
            why);
        bind_whole(s, 1, d->number);
        st = farm_run(f, s, why);
    }
    return farm_end(f, st, why);
}

enum status farm_device_find(struct farm *f, const unsigned char digest[static DEVICE_DIGEST], struct arena *mem,
                             struct farm_device *d, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT " DEVICE_COLUMNS " FROM device WHERE digest = ?1", why);
    enum status st = ST_OK;
    bool found = false;

    bind_blob(s, 1, digest, DEVICE_DIGEST);
    while (farm_row(f, s, &st, why)) {
        read_row(s, mem, d);
        found = true;
    }
    if (st == ST_OK && arena_full(mem))
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    return st == ST_OK && !found ? refuse(ST_NOT_FOUND, why, "", "no device has that session") : st;
}

enum status farm_device_seen(struct farm *f, int64_t number, int64_t at_utc_s, struct message *why)
{
    enum status st = farm_begin(f, why);

    if (st != ST_OK)
        return st;
    sqlite3_stmt *s = farm_statement(f, "UPDATE device SET seen_utc_s = max(seen_utc_s, ?2) WHERE number = ?1", why);
    bind_whole(s, 1, number);
    bind_whole(s, 2, at_utc_s);
    return farm_end(f, farm_run(f, s, why), why);
}

enum status farm_devices(struct farm *f, struct arena *mem, struct farm_device **devices, size_t *n,
                         struct message *why)
{
    struct farm_device *list = ARENA_NEW(mem, struct farm_device, MOST_DEVICES);
    sqlite3_stmt *s =
        farm_statement(f, "SELECT " DEVICE_COLUMNS " FROM device ORDER BY seen_utc_s DESC, number DESC LIMIT 500", why);
    enum status st = ST_OK;
    size_t count = 0;

    if (!list)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    while (farm_row(f, s, &st, why))
        if (count < MOST_DEVICES)
            read_row(s, mem, &list[count++]);
    if (st == ST_OK && arena_full(mem))
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK) {
        *devices = list;
        *n = count;
    }
    return st;
}

enum status farm_device_end(struct farm *f, int64_t number, struct message *why)
{
    enum status st = farm_begin(f, why);

    if (st != ST_OK)
        return st;
    sqlite3_stmt *s = farm_statement(f, "DELETE FROM device WHERE number = ?1", why);
    bind_whole(s, 1, number);
    st = farm_run(f, s, why);
    if (st == ST_OK && sqlite3_changes(f->db) == 0)
        st = refuse(ST_NOT_FOUND, why, "device", "there is no device %lld any more", (long long)number);
    return farm_end(f, st, why);
}

enum status farm_password(struct farm *f, struct arena *mem, const char **hash, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, "SELECT hash FROM password", why);
    enum status st = ST_OK;

    *hash = NULL;
    while (farm_row(f, s, &st, why))
        *hash = farm_column(s, 0, mem);
    return st == ST_OK && arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : st;
}

enum status farm_password_set(struct farm *f, const char *hash, int64_t but_device, int64_t now_utc_s,
                              struct message *why)
{
    enum status st = farm_begin(f, why);

    if (st != ST_OK)
        return st;
    sqlite3_stmt *s = farm_statement(f,
                                     "INSERT INTO password(one, hash, set_utc_s) VALUES(1, ?1, ?2) ON CONFLICT(one)"
                                     " DO UPDATE SET hash = excluded.hash, set_utc_s = excluded.set_utc_s",
                                     why);
    farm_bind_text(s, 1, hash);
    bind_whole(s, 2, now_utc_s);
    st = farm_run(f, s, why);
    if (st == ST_OK) {
        s = farm_statement(f, "DELETE FROM device WHERE number <> ?1", why);
        bind_whole(s, 1, but_device);
        st = farm_run(f, s, why);
    }
    return farm_end(f, st, why);
}

enum status farm_password_rehash(struct farm *f, const char *hash, struct message *why)
{
    enum status st = farm_begin(f, why);

    if (st != ST_OK)
        return st;
    sqlite3_stmt *s = farm_statement(f, "UPDATE password SET hash = ?1", why);
    farm_bind_text(s, 1, hash);
    return farm_end(f, farm_run(f, s, why), why);
}
