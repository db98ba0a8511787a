/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pairing a phone. The machine shows a square code with an address and, after its `#`, a key: browsers keep that part to
 * themselves, so it stands in no request line and no log. The phone sends the key in a body. A key serves once and for
 * five minutes, and then a person at the machine still has to say that this is the phone.
 *
 * All of it is in memory: the farm file learns of a phone when it has been let in, and then gets its digest alone.
 */
#ifndef DOORS_WEB_PAIR_H
#define DOORS_WEB_PAIR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/text.h"
#include "desk/devices.h"

enum { PAIR_KEY = 23, PAIR_OFFERS = 4, PAIR_WAITING = 8, PAIR_FOR_S = 300 }; /* 16 random bytes as 22 characters */

struct pair {
    struct pair_offer { /* keys that were shown */
        unsigned char digest[DEVICE_DIGEST];
        int64_t until_utc_s; /* 0 = none, or used */
    } offer[PAIR_OFFERS];
    struct pair_waiting { /* phones that gave a key */
        int64_t number;   /* 0 = none */
        char called[DEVICE_CALLED + 1];
        unsigned char session[DEVICE_DIGEST]; /* of the token it was given: worth nothing until somebody says yes */
        int64_t until_utc_s;
        bool refused;
    } waiting[PAIR_WAITING];
    int64_t last_number;
};

/* A new key, valid for five minutes. */
void pair_offer(struct pair *p, int64_t now_utc_s, char key[static PAIR_KEY]);
/* Takes the key. False: no such key, used or too old. Else the phone waits under the digest of its session. */
bool pair_come(struct pair *p, const char *key, const char *called, const unsigned char session[static DEVICE_DIGEST],
               int64_t now_utc_s);
/* The one with that session, or of that number; NULL: nobody waits so. Those whose time is over are dropped here. */
struct pair_waiting *pair_by_session(struct pair *p, const unsigned char session[static DEVICE_DIGEST],
                                     int64_t now_utc_s);
struct pair_waiting *pair_by_number(struct pair *p, int64_t number, int64_t now_utc_s);

/* A square code (ISO/IEC 18004, level M) as SVG: black on white with its quiet zone, no style in it. */
enum status square_svg(const char *text, struct text *svg, struct message *why) MUST_USE;

#endif
