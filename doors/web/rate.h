/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How often somebody may try a password or a key: five tries, then one a minute, for each address; and for all
 * addresses together twenty, then four a minute. No try is looked at beyond that, right or wrong.
 *
 * Kept in memory only, for as long as a bucket is not full again. An IPv6 address counts by its /64, since one machine
 * has as many of those as it likes.
 */
#ifndef DOORS_WEB_RATE_H
#define DOORS_WEB_RATE_H

#include <stddef.h>
#include <stdint.h>

enum { RATE_TRIES = 5, RATE_ONE_IN_S = 60, RATE_ALL_TRIES = 20, RATE_ALL_ONE_IN_S = 15, RATE_ADDRESSES = 256 };

struct rate {
    int64_t all_full_utc_s; /* when the bucket for all is full again */
    struct rate_bucket {
        unsigned char from[16];
        int64_t full_utc_s;
    } bucket[RATE_ADDRESSES];
};

/* One try: 0 = go on; else seconds until the next one is looked at. */
int rate_take(struct rate *r, const char *address, int64_t now_utc_s);
/* The try was right: it does not count. */
void rate_give_back(struct rate *r, const char *address);

#endif
