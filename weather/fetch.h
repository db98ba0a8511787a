/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fetching a forecast: the one subject that touches the network (fetch.c is the one file that knows libcurl).
 *
 * Two services. The US national one is asked in two steps: the point, then the two addresses its answer gives (hourly
 * forecast and grid layers). MET Norway's is asked once. What comes back is bytes, checked to be a whole reply of the
 * right kind; weather/weather.h reads them. A reply that fails in any way never takes the place of what was kept:
 * struct fetch_memory changes only for the parts that arrived whole and good.
 *
 * What leaves the farm: its coordinates rounded to 0.01 degree (about 1 km), its height to 10 m if given, and the
 * contact in the User-Agent. Nothing else. https only, certificates checked, redirects only within the same host and
 * https, 10 s and 5 MB a request.
 *
 * Thread safety: each call has its own handle. Call fetch_begin() once before the first, from one thread.
 */
#ifndef WEATHER_FETCH_H
#define WEATHER_FETCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "core/base/text.h"

enum fetch_service {
    FETCH_US_NATIONAL = 0,     /* hourly forecast and grid layers; United States only */
    FETCH_MET_NORWAY_COMPACT,  /* the world */
    FETCH_MET_NORWAY_COMPLETE, /* the same with dew point, gusts, cloud layers */
    FETCH_SERVICES
};

enum fetch_part { FETCH_POINT = 0, FETCH_HOURLY, FETCH_GRID, FETCH_GLOBAL, FETCH_PARTS };

enum fetch_outcome {
    FETCH_NOT_ASKED = 0, /* this service has no such part, or an earlier step failed */
    FETCH_NEW,           /* bytes hold a new reply */
    FETCH_UNCHANGED,     /* asked; the service says 304: keep what is kept */
    FETCH_STILL_GOOD,    /* not asked: the kept reply has not expired */
    FETCH_FAILED,        /* says holds the reason; keep what is kept */
};

extern const char *const fetch_service_name[FETCH_SERVICES];   /* "us-national", "met-norway", "met-norway-complete" */
extern const char *const fetch_service_base[FETCH_SERVICES];   /* where it is asked unless told otherwise */
extern const char *const fetch_service_credit[FETCH_SERVICES]; /* the line to show with its figures */
extern const char *const fetch_part_name[FETCH_PARTS];         /* "point", "hourly", "grid", "global" */

/* What is remembered of one service between two fetches. All zero = nothing yet. Flat, so that it can be copied. */
struct fetch_page {
    char url[256];
    char last_modified[64]; /* as the service sent it; "" = not sent */
    int64_t expires_utc_s;  /* 0 = not said */
    int64_t fetched_utc_s;  /* when the kept bytes came; 0 = none kept */
};
struct fetch_memory {
    struct fetch_page page[FETCH_PARTS];
    char hourly_url[256], grid_url[256]; /* from the point answer */
    char zone[64];                       /* "America/Chicago", from the point answer; "" = not known */
    int64_t not_before_utc_s;            /* the service asked to be left alone until then; 0 = no */
};

/* One line of JSON for keeping, and back. A text that can't be read gives an empty memory and false. */
void fetch_memory_text(const struct fetch_memory *m, struct text *out);
bool fetch_memory_read(const char *text, struct fetch_memory *m);

struct fetch_ask {
    enum fetch_service service;
    const char *base;        /* NULL: fetch_service_base; else "https://host[:port][/path]" without a final "/" */
    const char *contact;     /* an address or web page of whoever runs this; required by both services */
    double lat_deg, lon_deg; /* -90 .. 90, -180 .. 180; rounded to 0.01 before they leave */
    double altitude_m;       /* NAN: not sent. Used by MET Norway alone, to 10 m */
    int64_t now_utc_s;
    /* Waits between tries. Gives false when the caller will not wait any more: the fetch then ends with what it has.
     * NULL: never wait, one try only. fetch_sleep() really sleeps. */
    bool (*may_sleep)(void *own, double seconds);
    /* A last look at a reply before it counts as good, for example by reading it. Anything but ST_OK throws the reply
     * away. NULL: only the form is checked (whole JSON with the members that part must have). */
    enum status (*good)(void *own, enum fetch_part part, const char *bytes, size_t n, struct message *why);
    void *own; /* handed to both */
    /* For tests and for a farm's own relay. */
    bool plain_loopback; /* allow http:// to 127.0.0.1 and [::1], and to nothing else */
    const char *ca_file; /* NULL: the machine's own list of certificate authorities */
    double time_limit_s; /* a request; 0: 10. Never more than 10 */
    size_t size_limit;   /* bytes after unpacking; 0: 5 MB. Never more than 5 MB */
};

struct fetch_reply {
    enum fetch_outcome outcome;
    const char *bytes; /* FETCH_NEW alone; ends in 0; else NULL */
    size_t n_bytes;
    int http_status; /* last one seen; 0 = none */
    int tries;
    const char *says; /* FETCH_FAILED: one sentence; else "" */
};

struct fetch_result {
    struct fetch_reply part[FETCH_PARTS];
    struct fetch_memory memory; /* what to keep from now on, after the bytes are kept too */
    const char *credit;         /* to be shown with the figures */
    const char **note;          /* sentences worth showing: deprecated version, slow down, one part failed */
    size_t n_notes;
};

/* Once in a program, before any other call; again is harmless. */
enum status fetch_begin(struct message *why) MUST_USE;

/* Ask a service.
 *
 * Given     ask, memory     memory as kept from the last time (all zero at first)
 *           mem             the bytes and sentences live there; 12 MB is enough for every reply
 * Returned  *out            also on failure: then memory is the one given, but for not_before_utc_s, and part[].says
 *                           tells what went wrong with each
 * Retries   429, 500, 502, 503, 504 and a broken line: up to 4 tries, 2, 4, 8 s apart, or as Retry-After says up to
 *           60 s; a longer Retry-After ends the fetch and is kept in not_before_utc_s
 * Fails     ST_BAD_INPUT contact, base, coordinates; ST_AWAY: no forecast part is new, unchanged or still good;
 *           ST_NO_MEMORY the arena
 */
enum status fetch_forecast(const struct fetch_ask *ask, const struct fetch_memory *memory, struct arena *mem,
                           struct fetch_result *out, struct message *why) MUST_USE;

/* When to ask again: after the latest Expires, at a moment spread by `seed` over ten minutes and never within five
 * minutes of a full hour. At least ten minutes after now. */
int64_t fetch_next_utc_s(const struct fetch_memory *m, int64_t now_utc_s, uint64_t seed);

bool fetch_sleep(void *own, double seconds); /* a may_sleep that sleeps; own is not used */

#endif
