/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A bucket is kept as the moment at which it will be full again: each try puts that off by what one try takes to come
 * back. (The leaky bucket as a meter: ITU-T I.371 (03/2004), annex A, "virtual scheduling".)
 */
#include "doors/web/rate.h"

#include <arpa/inet.h>
#include <string.h>

static void from_of(const char *address, unsigned char from[static 16])
{
    static const unsigned char mapped[12] = { [10] = 0xff, [11] = 0xff };
    struct in_addr v4;
    struct in6_addr v6;

    memset(from, 0, 16);
    if (address && inet_pton(AF_INET, address, &v4) == 1) {
        memcpy(from, mapped, sizeof mapped);
        memcpy(from + 12, &v4, 4);
    } else if (address && inet_pton(AF_INET6, address, &v6) == 1) {
        memcpy(from, &v6, memcmp(&v6, mapped, sizeof mapped) == 0 ? 16 : 8);
    }
}

static int64_t later(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

/* Seconds until one more try fits; 0 = it does now. A clock that went back does not lock anybody out for longer. */
static int64_t wait_s(int64_t *full_utc_s, int64_t now_utc_s, int tries, int one_in_s)
{
    const int64_t most_utc_s = now_utc_s + (int64_t)tries * one_in_s;

    if (*full_utc_s > most_utc_s)
        *full_utc_s = most_utc_s;
    const int64_t after = later(*full_utc_s, now_utc_s) + one_in_s;
    return after > most_utc_s ? after - most_utc_s : 0;
}

/* The bucket of an address; a new one takes the place of that which is full soonest. */
static struct rate_bucket *bucket_of(struct rate *r, const unsigned char from[static 16])
{
    struct rate_bucket *soonest = &r->bucket[0];

    for (size_t i = 0; i < RATE_ADDRESSES; i++) {
        if (r->bucket[i].full_utc_s && memcmp(r->bucket[i].from, from, 16) == 0)
            return &r->bucket[i];
        if (r->bucket[i].full_utc_s < soonest->full_utc_s)
            soonest = &r->bucket[i];
    }
    memcpy(soonest->from, from, 16);
    soonest->full_utc_s = 0;
    return soonest;
}

int rate_take(struct rate *r, const char *address, int64_t now_utc_s)
{
    unsigned char from[16];

    from_of(address, from);
    struct rate_bucket *b = bucket_of(r, from);
    const int64_t own = wait_s(&b->full_utc_s, now_utc_s, RATE_TRIES, RATE_ONE_IN_S);
    const int64_t all = wait_s(&r->all_full_utc_s, now_utc_s, RATE_ALL_TRIES, RATE_ALL_ONE_IN_S);
    if (own > 0 || all > 0)
        return (int)later(own, all);
    b->full_utc_s = later(b->full_utc_s, now_utc_s) + RATE_ONE_IN_S;
    r->all_full_utc_s = later(r->all_full_utc_s, now_utc_s) + RATE_ALL_ONE_IN_S;
    return 0;
}

void rate_give_back(struct rate *r, const char *address)
{
    unsigned char from[16];

    from_of(address, from);
    for (size_t i = 0; i < RATE_ADDRESSES; i++)
        if (r->bucket[i].full_utc_s && memcmp(r->bucket[i].from, from, 16) == 0) {
            r->bucket[i].full_utc_s -= RATE_ONE_IN_S;
            r->all_full_utc_s -= RATE_ALL_ONE_IN_S;
            return;
        }
}
