/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/door.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "desk/devices.h"
#include "doors/web/pair.h"
#include "doors/web/rate.h"

enum { IN_MEMORY = 8, LOOKED_UP = 32, LOOK_AGAIN_S = 2, SEEN_EVERY_S = 600, SEEN_TRY_S = 60, MEM_BYTES = 1 << 20 };
enum { START_KEY = 44 };

struct known { /* a device as it was looked up last; a password changed by another program shows after two seconds */
    struct farm_device device;
    char called[4 * DEVICE_CALLED + 1];
    int64_t looked_utc_s; /* 0 = empty */
    int64_t seen_tried_utc_s;
};

struct door {
    struct arena mem; /* of reached and certificate, made anew with them */
    char key[START_KEY];
    bool key_used, lan, writes_later;
    int port;
    const char *farm_path, *names; /* the caller's */
    struct reached reached;
    struct certificate certificate;
    struct rate rate;
    struct pair pair;
    struct known memory[IN_MEMORY]; /* sessions that no file holds; device.number below 0 */
    int64_t last_in_memory;
    struct known known[LOOKED_UP];
    size_t next_known;
};

/* ---- opening ---- */

static enum status password_there(const struct door_how *how, struct message *why)
{
    struct arena mem;
    const char *hash = NULL;

    arena_open(&mem, MEM_BYTES);
    enum status st = how->farm ? farm_password(how->farm, &mem, &hash, why) : ST_OK;
    if (st == ST_OK && !hash)
        st = refuse(ST_BAD_INPUT, why, "lan",
                    "--lan: no password is set, and without one nobody but this machine is let in; set it with leenest "
                    "password");
    arena_close(&mem);
    return st;
}

enum status door_again(struct door *d, int64_t now_utc_s, struct message *why)
{
    struct arena mem;
    struct reached reached;
    struct certificate certificate;

    arena_open(&mem, MEM_BYTES);
    enum status st = reached_find(d->names, &mem, &reached, why);
    const char *folder = certificate_folder(d->farm_path, &mem);
    if (st == ST_OK && !folder)
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK)
        st = certificate_ready(folder, &reached, now_utc_s, &mem, &certificate, why);
    if (st != ST_OK) {
        arena_close(&mem);
        return st;
    }
    arena_close(&d->mem);
    d->mem = mem;
    d->reached = reached;
    d->certificate = certificate;
    return ST_OK;
}

enum status door_open(const struct door_how *how, struct door **door, struct message *why)
{
    unsigned char bytes[32];
    struct door *d = sodium_init() < 0 ? NULL : calloc(1, sizeof *d);
    enum status st = ST_OK;

    if (!d)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    arena_open(&d->mem, MEM_BYTES);
    d->lan = how->lan;
    d->writes_later = how->writes_later;
    d->names = how->names;
    d->farm_path = how->farm_path;
    randombytes_buf(bytes, sizeof bytes);
    (void)sodium_bin2base64(d->key, sizeof d->key, bytes, sizeof bytes, sodium_base64_VARIANT_URLSAFE_NO_PADDING);
    if (d->lan)
        st = password_there(how, why);
    if (d->lan && st == ST_OK)
        st = door_again(d, how->now_utc_s, why);
    if (st == ST_OK)
        *door = d;
    else
        door_close(d);
    return st;
}

void door_close(struct door *d)
{
    if (!d)
        return;
    arena_close(&d->mem);
    sodium_memzero(d, sizeof *d);
    free(d);
}

void door_port(struct door *d, int port)
{
    d->port = port;
}

int door_told_port(const struct door *d)
{
    return d->port;
}

const char *door_key(const struct door *d)
{
    return d->key;
}

bool door_key_used(const struct door *d)
{
    return d->key_used;
}

const struct certificate *door_tls(const struct door *d)
{
    return d->lan ? &d->certificate : NULL;
}

const struct reached *door_reached(const struct door *d)
{
    return &d->reached;
}

bool door_lan(const struct door *d)
{
    return d->lan;
}

bool door_addresses_changed(const struct door *d)
{
    return d->certificate.addresses_changed;
}

bool door_moved(const struct door *d)
{
    struct arena mem;
    struct reached now;
    struct message ignored = { "", "" };

    if (!d->lan)
        return false;
    arena_open(&mem, MEM_BYTES);
    const bool moved = reached_find(d->names, &mem, &now, &ignored) == ST_OK && !reached_same(&now, &d->reached);
    arena_close(&mem);
    return moved;
}

bool door_lets(const char *address)
{
    return reached_is_private(address);
}

struct pair *door_pair(struct door *d)
{
    return &d->pair;
}

struct rate *door_rate(struct door *d)
{
    return &d->rate;
}

bool door_take_key(struct door *d, const char *key)
{
    const size_t n = strlen(d->key);

    if (d->key_used || strlen(key) != n || sodium_memcmp(key, d->key, n) != 0)
        return false;
    d->key_used = true;
    return true;
}

/* ---- tokens ---- */

const char *door_token(unsigned char digest[static DEVICE_DIGEST], struct arena *mem)
{
    unsigned char token[DEVICE_TOKEN];
    char *text = arena_get(mem, DOOR_TOKEN_TEXT, 1);

    randombytes_buf(token, sizeof token);
    device_digest(token, digest);
    if (text)
        (void)sodium_bin2base64(text, DOOR_TOKEN_TEXT, token, sizeof token, sodium_base64_VARIANT_URLSAFE_NO_PADDING);
    sodium_memzero(token, sizeof token);
    return text;
}

bool door_digest(const char *cookie, unsigned char digest[static DEVICE_DIGEST])
{
    unsigned char token[DEVICE_TOKEN];
    size_t n = 0;
    const char *end = NULL;

    if (!cookie || strlen(cookie) != DOOR_TOKEN_TEXT - 1 ||
        sodium_base642bin(token, sizeof token, cookie, DOOR_TOKEN_TEXT - 1, NULL, &n, &end,
                          sodium_base64_VARIANT_URLSAFE_NO_PADDING) != 0 ||
        n != sizeof token || *end)
        return false;
    device_digest(token, digest);
    return true;
}

/* ---- who is known ---- */

static void know(struct known *k, const struct farm_device *device, int64_t now_utc_s)
{
    *k = (struct known){ .device = *device, .looked_utc_s = now_utc_s };
    (void)snprintf(k->called, sizeof k->called, "%s", device->called);
    k->device.called = k->called;
}

static struct known *in_memory(struct door *d, const unsigned char digest[static DEVICE_DIGEST])
{
    for (size_t i = 0; i < IN_MEMORY; i++)
        if (d->memory[i].device.number && memcmp(d->memory[i].device.digest, digest, DEVICE_DIGEST) == 0)
            return &d->memory[i];
    return NULL;
}

static struct known *looked_up(struct door *d, const unsigned char digest[static DEVICE_DIGEST], int64_t now_utc_s)
{
    for (size_t i = 0; i < LOOKED_UP; i++) {
        struct known *k = &d->known[i];
        if (k->looked_utc_s && memcmp(k->device.digest, digest, DEVICE_DIGEST) == 0)
            return now_utc_s >= k->looked_utc_s && now_utc_s - k->looked_utc_s < LOOK_AGAIN_S ? k : NULL;
    }
    return NULL;
}

void door_forget(struct door *d)
{
    for (size_t i = 0; i < LOOKED_UP; i++)
        d->known[i].looked_utc_s = 0;
}

/* The place where that digest was kept, else the next in turn. */
static struct known *place_for(struct door *d, const unsigned char digest[static DEVICE_DIGEST])
{
    for (size_t i = 0; i < LOOKED_UP; i++)
        if (memcmp(d->known[i].device.digest, digest, DEVICE_DIGEST) == 0)
            return &d->known[i];
    d->next_known = (d->next_known + 1) % LOOKED_UP;
    return &d->known[d->next_known];
}

bool door_writes(const struct door *d, struct farm *farm)
{
    const char *sentence;
    return !d->writes_later && farm && !farm_read_only(farm, &sentence);
}

static size_t free_in_memory(struct door *d)
{
    size_t oldest = 0;

    for (size_t i = 0; i < IN_MEMORY; i++) {
        if (!d->memory[i].device.number)
            return i;
        if (d->memory[i].device.seen_utc_s < d->memory[oldest].device.seen_utc_s)
            oldest = i;
    }
    return oldest;
}

/* A farm file is there now: the session moves into it. */
static enum status write_down(struct door *d, struct farm *farm, struct known **k, int64_t now_utc_s,
                              struct message *why)
{
    struct known *from = *k;
    struct farm_device device = from->device;
    const enum status st = farm_device_add(farm, &device, why);

    if (st == ST_OK) {
        *k = place_for(d, device.digest);
        know(*k, &device, now_utc_s);
        *from = (struct known){ .looked_utc_s = 0 };
    }
    return st;
}

void door_may_write(struct door *d, struct farm *farm, int64_t now_utc_s)
{
    struct message ignored = { "", "" };

    d->writes_later = false;
    for (size_t i = 0; i < IN_MEMORY; i++) {
        struct known *k = &d->memory[i];
        if (k->device.number && door_writes(d, farm) && write_down(d, farm, &k, now_utc_s, &ignored) != ST_OK)
            return;
    }
}

static enum status look_up(struct door *d, struct farm *farm, const unsigned char digest[static DEVICE_DIGEST],
                           int64_t now_utc_s, struct arena *mem, struct known **known, struct message *why)
{
    struct message none = { "", "" };
    struct farm_device device = { .number = 0 };
    struct known *k = in_memory(d, digest);

    *known = NULL;
    if (k && door_writes(d, farm)) {
        const enum status st = write_down(d, farm, &k, now_utc_s, why);
        if (st != ST_OK)
            return st;
    }
    if (!k)
        k = looked_up(d, digest, now_utc_s);
    if (!k && farm) {
        const enum status st = farm_device_find(farm, digest, mem, &device, &none);
        if (st != ST_OK && st != ST_NOT_FOUND)
            return refuse(st, why, none.field, "%s", none.text);
        k = place_for(d, digest);
        if (st == ST_NOT_FOUND) {
            if (memcmp(k->device.digest, digest, DEVICE_DIGEST) == 0)
                *k = (struct known){ .looked_utc_s = 0 };
            return ST_OK;
        }
        const int64_t tried = memcmp(k->device.digest, digest, DEVICE_DIGEST) == 0 ? k->seen_tried_utc_s : 0;
        know(k, &device, now_utc_s);
        k->seen_tried_utc_s = tried;
    }
    *known = k;
    return ST_OK;
}

/* When somebody was seen last is written down now and then; a farm file that is busy just then is left alone. */
static void seen(const struct door *d, struct farm *farm, struct known *k, int64_t now_utc_s)
{
    struct message ignored = { "", "" };

    if (k->device.number < 0) {
        k->device.seen_utc_s = now_utc_s;
    } else if (door_writes(d, farm) && now_utc_s - k->device.seen_utc_s >= SEEN_EVERY_S &&
               now_utc_s - k->seen_tried_utc_s >= SEEN_TRY_S) {
        k->seen_tried_utc_s = now_utc_s;
        if (farm_device_seen(farm, k->device.number, now_utc_s, &ignored) == ST_OK)
            k->device.seen_utc_s = now_utc_s;
    }
}

static bool digest_of(const char *cookie, struct door_cookie *last)
{
    const size_t n = cookie ? strlen(cookie) : 0;

    if (n == sizeof last->text - 1 && sodium_memcmp(last->text, cookie, n) == 0)
        return true;
    sodium_memzero(last, sizeof *last);
    if (!door_digest(cookie, last->digest))
        return false;
    memcpy(last->text, cookie, sizeof last->text);
    return true;
}

enum status door_who(struct door *d, struct farm *farm, const char *cookie, struct door_cookie *last,
                     const char *address, int64_t now_utc_s, struct arena *mem, struct web_who *who,
                     struct message *why)
{
    struct known *k = NULL;

    *who = (struct web_who){ .device = 0, .called = "", .here = reached_is_loopback(address) };
    if (!digest_of(cookie, last))
        return ST_OK;
    const enum status st = look_up(d, farm, last->digest, now_utc_s, mem, &k, why);
    if (st != ST_OK || !k || device_ended(&k->device, now_utc_s))
        return st;
    seen(d, farm, k, now_utc_s);
    who->device = k->device.number;
    who->master = k->device.master;
    who->called = arena_text(mem, k->called);
    return who->called ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");
}

enum status door_enter(struct door *d, struct farm *farm, const struct farm_device *as, struct arena *mem,
                       const char **token, struct message *why)
{
    struct farm_device device = *as;

    *token = door_token(device.digest, mem);
    if (!*token)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (door_writes(d, farm))
        return farm_device_add(farm, &device, why);
    device.number = --d->last_in_memory;
    know(&d->memory[free_in_memory(d)], &device, device.seen_utc_s);
    return ST_OK;
}

size_t door_in_memory(const struct door *d, const struct farm_device **list)
{
    size_t n = 0;

    for (size_t i = 0; i < IN_MEMORY; i++)
        if (d->memory[i].device.number)
            list[n++] = &d->memory[i].device;
    return n;
}

enum status door_end(struct door *d, struct farm *farm, int64_t device, struct message *why)
{
    door_forget(d);
    if (device > 0 && farm)
        return farm_device_end(farm, device, why);
    for (size_t i = 0; i < IN_MEMORY; i++)
        if (device < 0 && d->memory[i].device.number == device) {
            d->memory[i] = (struct known){ .looked_utc_s = 0 };
            return ST_OK;
        }
    return refuse(ST_NOT_FOUND, why, "device", "there is no device %lld any more", (long long)device);
}
