/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What comes in: the address of a request taken apart, and a JSON body read strictly. Pure: no socket, no file.
 */
#ifndef DOORS_WEB_REQUEST_H
#define DOORS_WEB_REQUEST_H

#include <jansson.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "doors/web/web.h"

enum { REQUEST_URL = 2048, REQUEST_BODY = 64 * 1024, REQUEST_UPLOAD = 8 * 1024 * 1024 };
enum { REQUEST_DEPTH = 16, REQUEST_PAIRS = 128 };

struct request_address {
    const char *path; /* decoded; begins with "/" */
    const struct web_pair *query;
    size_t n_query;
};

/* "/api/due?sow=Bramble&at=2026-01-22T15%3A40" -> its parts, all in mem. A plus sign in the query is a blank.
 * Fails     ST_BAD_INPUT: no "/" first, a % without two digits, a zero byte, a control character, text that is not
 *           UTF-8, more than REQUEST_PAIRS parameters; ST_NO_MEMORY */
enum status request_address_read(const char *uri, struct arena *mem, struct request_address *a,
                                 struct message *why) MUST_USE;

/* A body that is one JSON object: nothing after it, no name twice, no zero byte in a text, no number that overflows, at
 * most REQUEST_DEPTH deep. *body is to be given back with json_decref(). ST_BAD_INPUT says what is wrong and where. */
enum status request_body_read(const char *bytes, size_t n, json_t **body, struct message *why) MUST_USE;

/* Are the members of the body those the route takes, the required ones there, each of its type? null is as if it were
 * not there. ST_BAD_INPUT names the member. */
enum status request_body_fits(const json_t *body, size_t n, const struct web_field takes[],
                              struct message *why) MUST_USE;
/* The same for the parameters of a query: each at most once. */
enum status request_query_fits(size_t n_query, const struct web_pair query[], size_t n, const struct web_field takes[],
                               struct message *why) MUST_USE;

/* Is that address one of the route's? *rest is then what its star stands for ("" without one), within path. */
bool request_matches(const struct web_route *route, const char *path, const char **rest);

/* "1", "yes", "true", "" -> true; "0", "no", "false" -> false; anything else gives false and *known false. */
bool request_flag(const char *value, bool *known);

#endif
