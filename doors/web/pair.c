/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/pair.h"

#include <sodium.h>
#include <stdio.h>
#include <string.h>

enum { KEY_BYTES = 16 };
_Static_assert(PAIR_KEY >= sodium_base64_ENCODED_LEN(KEY_BYTES, sodium_base64_VARIANT_URLSAFE_NO_PADDING),
               "room for a key");

static void key_digest(const char *key, unsigned char digest[static DEVICE_DIGEST])
{
    (void)crypto_generichash(digest, DEVICE_DIGEST, (const unsigned char *)key, strlen(key), NULL, 0);
}

void pair_offer(struct pair *p, int64_t now_utc_s, char key[static PAIR_KEY])
{
    struct pair_offer *oldest = &p->offer[0];
    unsigned char bytes[KEY_BYTES];

    for (size_t i = 1; i < PAIR_OFFERS; i++)
        if (p->offer[i].until_utc_s < oldest->until_utc_s)
            oldest = &p->offer[i];
    randombytes_buf(bytes, sizeof bytes);
    (void)sodium_bin2base64(key, PAIR_KEY, bytes, sizeof bytes, sodium_base64_VARIANT_URLSAFE_NO_PADDING);
    key_digest(key, oldest->digest);
    oldest->until_utc_s = now_utc_s + PAIR_FOR_S;
}

static void drop_old(struct pair *p, int64_t now_utc_s)
{
    for (size_t i = 0; i < PAIR_WAITING; i++)
        if (p->waiting[i].number && p->waiting[i].until_utc_s < now_utc_s)
            p->waiting[i] = (struct pair_waiting){ .number = 0 };
}

bool pair_come(struct pair *p, const char *key, const char *called, const unsigned char session[static DEVICE_DIGEST],
               int64_t now_utc_s)
{
    unsigned char digest[DEVICE_DIGEST];
    struct pair_waiting *room = NULL;
    bool good = false;

    drop_old(p, now_utc_s);
    key_digest(key, digest);
    for (size_t i = 0; i < PAIR_WAITING && !room; i++)
        if (!p->waiting[i].number)
            room = &p->waiting[i];
    for (size_t i = 0; i < PAIR_OFFERS && room; i++) {
        struct pair_offer *o = &p->offer[i];
        if (o->until_utc_s >= now_utc_s && sodium_memcmp(o->digest, digest, sizeof digest) == 0) {
            *o = (struct pair_offer){ .until_utc_s = 0 };
            good = true;
        }
    }
    if (!good)
        return false;
    *room = (struct pair_waiting){ .number = ++p->last_number, .until_utc_s = now_utc_s + PAIR_FOR_S };
    (void)snprintf(room->called, sizeof room->called, "%s", called);
    memcpy(room->session, session, DEVICE_DIGEST);
    return true;
}

struct pair_waiting *pair_by_session(struct pair *p, const unsigned char session[static DEVICE_DIGEST],
                                     int64_t now_utc_s)
{
    drop_old(p, now_utc_s);
    for (size_t i = 0; i < PAIR_WAITING; i++)
        if (p->waiting[i].number && sodium_memcmp(p->waiting[i].session, session, DEVICE_DIGEST) == 0)
            return &p->waiting[i];
    return NULL;
}

struct pair_waiting *pair_by_number(struct pair *p, int64_t number, int64_t now_utc_s)
{
    drop_old(p, now_utc_s);
    for (size_t i = 0; i < PAIR_WAITING; i++)
        if (number > 0 && p->waiting[i].number == number)
            return &p->waiting[i];
    return NULL;
}
