/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to the fetcher: what fetch.c (libcurl) gives to fetch_forecast.c (what to ask, when, and what to believe).
 */
#ifndef WEATHER_FETCH_OWN_H
#define WEATHER_FETCH_OWN_H

#include "weather/fetch.h"

enum { FETCH_URL_BYTES = 256, FETCH_ORIGIN_BYTES = 192 };

/* "https://host:port" of an address. ST_BAD_INPUT with a sentence: not https (or http on a loopback that is allowed), a
 * name and password in it, no address at all. */
enum status fetch_origin(const char *url, bool plain_loopback, char origin[static FETCH_ORIGIN_BYTES],
                         struct message *why) MUST_USE;

enum fetch_line {                    /* how a request ended on the wire */
                  FETCH_LINE_OK = 0, /* a whole reply, of whatever status */
                  FETCH_LINE_BROKEN, /* refused, reset, cut off: may be better in a moment */
                  FETCH_LINE_SLOW,   /* the time limit */
                  FETCH_LINE_BAD,    /* will not get better by itself: name, certificate, size */
};

struct fetch_got {
    enum fetch_line line;
    int status; /* 0: no reply */
    bool json;  /* by its Content-Type */
    char last_modified[64];
    int64_t lifetime_s;             /* from Cache-Control or Expires less Date, less Age; 0: not said */
    int64_t retry_after_s;          /* 0: not said */
    char location[FETCH_URL_BYTES]; /* of a redirect, made whole; "" none or too long */
    char says[192];                 /* line not OK: what went wrong, in words */
    struct text body;               /* the caller closes it */
};

/* One GET, without following anything. if_modified_since "" = not sent. Always fills *got. */
enum status fetch_get(const struct fetch_ask *ask, const char *url, const char *if_modified_since,
                      struct fetch_got *got, struct message *why) MUST_USE;

/* ---- what a reply must be ---- */

/* Whole JSON with the members its part must have. A point answer also fills the three texts of *m. */
enum status fetch_check(enum fetch_part part, const char *bytes, size_t n, struct fetch_memory *m,
                        struct message *why) MUST_USE;

#endif
