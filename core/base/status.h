/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Status: how every function that can fail says so.
 *
 * A function that can fail returns enum status and takes `struct message *why` last. On ST_OK it leaves
 * *why alone, so calls chain and one message survives: the first. `why` is never NULL.
 */
#ifndef CORE_BASE_STATUS_H
#define CORE_BASE_STATUS_H

#include "core/base/attr.h"

enum status {
    ST_OK = 0,
    ST_BAD_INPUT, /* the asker can put it right; message names the field   (exit 2, HTTP 400) */
    ST_NOT_FOUND, /* no such animal, place, day                            (exit 2, HTTP 404) */
    ST_CONFLICT,  /* true already, or contradicts a recorded fact          (exit 2, HTTP 409) */
    ST_BUSY,      /* another writer holds the farm file; try again         (exit 3, HTTP 503) */
    ST_AWAY,      /* a service outside this machine gave nothing of use    (exit 3, HTTP 502) */
    ST_IO,        /* the disk, or this machine's own network, failed       (exit 3, HTTP 500) */
    ST_NO_MEMORY, /* an arena met its ceiling                              (exit 3, HTTP 500) */
};

struct message {
    char field[32]; /* which field, as the user knows it: "served_on"; "" when no single field */
    char text[384]; /* one sentence: what is wrong, then what would be right */
};

/* Fill *why and give back `st`, so that `return refuse(...)` is one line. A text too long for the message
 * is cut at a whole UTF-8 character; line breaks in it become spaces, since a refusal is one line. `field` and what is
 * printed may stand in *why itself. */
enum status refuse(enum status st, struct message *why, const char *field, const char *fmt, ...) PRINTF_LIKE(4, 5);
#ifdef __clang_analyzer__ /* it cannot see into another file: a refusal gives back the status it was given */
#define refuse(st, ...) (refuse((st), __VA_ARGS__), (st))
#endif

#endif
