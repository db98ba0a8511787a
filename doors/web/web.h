/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The web door: the same questions and the same records over HTTP, and the page that draws them. What comes in and goes
 * out is in docs/change/web-door.md.
 *
 * A handler gets a whole request and gives a whole reply; it never sees libmicrohttpd, which only the files behind
 * server.h know. One thread has the sockets; the handlers of door.c run on it. All other handlers run on threads beside
 * it (server.h says which), each with its own handle on the farm file: they keep nothing between calls.
 */
#ifndef DOORS_WEB_WEB_H
#define DOORS_WEB_WEB_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "core/base/text.h"
#include "desk/answer.h"
#include "desk/question.h"

struct web; /* the server; web_serve() owns it */

enum web_method { WEB_GET, WEB_POST };

/* Who is asking, from the session. */
struct web_who {
    int64_t device;     /* number of the device's row; 0 = nobody yet */
    const char *called; /* "this machine", "Wenna's phone" */
    bool here;          /* came over the loopback address */
    bool master; /* may pair phones, set the password, restore: the machine itself, or one who gave the password */
};

struct web_pair {
    const char *name, *text;
};

struct web_call {
    struct web *web;
    const struct web_route *route;
    enum web_method method;
    const char *path;             /* whole, decoded: "/api/list/animal" */
    const char *rest;             /* what the route's last "*" stood for: "animal"; "" */
    const struct web_pair *query; /* decoded, in order */
    size_t n_query;
    const json_t *body; /* WEB_JSON: an object, never NULL then */
    const char *upload; /* WEB_UPLOAD: path of a temporary file with the body; taken away after the reply */
    size_t upload_bytes;
    struct farm *farm;          /* this thread's handle; NULL while there is no farm file yet */
    struct desk_memory *memory; /* this thread's, for questions; NULL = none */
    const char *farm_path;      /* where it is, or would be */
    struct web_who who;
    const char *address; /* of the asker, for limits; never kept or logged */
    int64_t now_utc_s;   /* of this machine's clock */
    struct arena *mem;   /* all of this call; text handed to the reply lives here */
    const char *cookie;  /* what the session cookie holds; NULL = none. For door_routes.c alone */
    bool secure;         /* came over TLS */
};
/* The first value of that name in the query; NULL when there is none. */
const char *web_query(const struct web_call *call, const char *name);
/* A member of the body as text; NULL when absent or null. ST_BAD_INPUT, field = name, when it is no text. */
enum status web_body_text(const struct web_call *call, const char *name, const char **text,
                          struct message *why) MUST_USE;

enum web_type { WEB_JSON_OUT, WEB_TEXT_OUT, WEB_CSV_OUT, WEB_ICS_OUT, WEB_SVG_OUT, WEB_FILE_OUT, WEB_CERTIFICATE_OUT };

struct web_reply {
    int code;              /* 0: 200 with ST_OK, else from the status */
    struct answer *answer; /* becomes JSON; or */
    const char *bytes;     /* ready bytes (in call->mem or const) with their length and type; or */
    size_t length;
    enum web_type type;
    const char *file; /* path of a file that is sent and, with file_once, taken away afterwards */
    bool file_once;
    const char *download_as; /* name offered for saving; NULL = shown in place */
    const char *set_session; /* token for a new session cookie (in call->mem) */
    bool end_session;        /* the cookie is taken back */
    bool farm_changed;       /* the file was made or put back: every handle on it is opened anew */
    int retry_after_s;       /* 0 = none */
};

/* One route. `path` is whole ("/api/number") or ends in a star ("/api/list/\*": one more segment, in call->rest).
 * On a status other than ST_OK the server answers 400, 404, 409, 503 or 500 with
 * {"error": {"status": "bad-input", "field": "...", "sentence": "..."}}; reply->code, when set, goes before. */
enum {
    WEB_OPEN = 1,     /* no session needed */
    WEB_MASTER = 2,   /* call->who.master needed, else 403 */
    WEB_JSON = 4,     /* POST with a JSON object of at most 64 kB */
    WEB_UPLOAD = 8,   /* POST with bytes of at most 8 MB, to a temporary file */
    WEB_NO_FARM = 16, /* works without a farm file; others then answer 404 with how to begin one */
    WEB_SLOW = 32,    /* may take seconds (a forecast is fetched): does not hold up other records */
    WEB_KEPT = 64,    /* GET: the answer hangs on farm file, address and minute alone, so it may be kept for a minute */
    WEB_OWN_QUERY = 128 /* the handler looks at the query itself; `takes` is not held against it */
};
struct
    web_field { /* a member of the JSON body, or a query parameter, for the API document and for checking: unknown ones
                    * are refused before the handler is called */
    const char *name;
    enum shape_of of; /* SHAPE_TEXT, SHAPE_WHOLE, SHAPE_REAL, SHAPE_FLAG, SHAPE_OBJECT, SHAPE_LIST */
    bool required;
    const char *help;
};
struct web_route {
    enum web_method method;
    const char *path;
    unsigned how;
    const char *help; /* one line */
    const struct web_field *takes;
    size_t n_takes;
    const struct shape *gives; /* shape of the answer; NULL for ready bytes */
    size_t n_gives;
    enum status (*handle)(struct web_call *call, struct web_reply *reply, struct message *why);
};

/* The tables, each in the file of its handlers; every one ends with a row whose path is NULL. routes.c joins them. */
extern const struct web_route web_routes_ask[];    /* ask.c: what the questions and pieces are asked by */
extern const struct web_route web_routes_record[]; /* record.c: kinds, record, queue, list, fact, names */
extern const struct web_route web_routes_mend[];   /* mend.c: undo, redo, void, history, flags, held */
extern const struct web_route web_routes_keep[];   /* keep.c: check, backups, restore, export, import, weather */
extern const struct web_route web_routes_door[];   /* door.c: session, password, devices, pairing, certificate */
extern const struct web_route *const web_routes[]; /* routes.c: all of them; NULL at the end */

/* OpenAPI 3.1 document of all routes, questions, pieces and kinds of fact. */
enum status web_openapi(struct text *out, struct message *why) MUST_USE;

struct web_how {
    const char *farm_path;
    int port;          /* 0 = any free one */
    bool lan;          /* not loopback alone: needs a password set and makes its certificate */
    bool no_browser;   /* do not open one */
    const char *names; /* --lan: further names of this machine, comma between; NULL */
};
/* Serve until SIGTERM or SIGINT; prints the address with its one-time key on standard output. */
enum status web_serve(const struct web_how *how, struct message *why) MUST_USE;

#endif
