/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The names and addresses this machine is reached by from the farm's own network. Only those that the certificate may
 * carry: home.arpa and what is below it (RFC 8375), localhost, and private addresses (RFC 1918, RFC 4193, loopback,
 * link-local RFC 3927). Public addresses are left out and nobody is let in from one.
 */
#ifndef DOORS_WEB_REACHED_H
#define DOORS_WEB_REACHED_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/arena.h"
#include "core/base/status.h"

enum { REACHED_MOST = 24 };

struct reached {
    const char *name[REACHED_MOST]; /* "localhost" first, then the machine's, then those given */
    size_t n_names;
    const char *address[REACHED_MOST]; /* "127.0.0.1", "::1", then that of the way out, then others */
    size_t n_addresses;
    const char
        *best; /* what a phone is told: the first name given, else the first address that is not loopback; NULL */
};

/* names: further names, comma between; NULL. ST_BAD_INPUT: one that the certificate could not carry. */
enum status reached_find(const char *names, struct arena *mem, struct reached *r, struct message *why) MUST_USE;
/* The same names and addresses, in whatever order? */
bool reached_same(const struct reached *a, const struct reached *b);

bool reached_is_private(const char *address);  /* text of an address, "192.168.1.7" or "fd00::7" */
bool reached_is_loopback(const char *address); /* 127.0.0.0/8, ::1, also written as ::ffff:127.0.0.1 */
bool reached_is_name(const char *name);        /* localhost, or a name in home.arpa */

#endif
