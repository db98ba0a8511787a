/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A small HTTP server on the loopback that plays a list of scenes and misbehaves on request. One connection at a time,
 * one request each. Only for tests.
 */
#ifndef TESTS_WEATHER_SMALL_SERVER_H
#define TESTS_WEATHER_SMALL_SERVER_H

#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>

enum manner {
    WHOLE = 0,
    GZIPPED,       /* whole, packed, said so */
    RESET_HALFWAY, /* half of the body, then the line is reset */
    CUT_HALFWAY,   /* half of the body, then an orderly end */
    ENDLESS,       /* the body, again and again, until nobody listens */
    ENDLESS_HEAD,  /* header lines without end */
    DRIP,          /* a byte every 50 ms */
    HANG_UP,       /* nothing at all */
};

struct scene {
    const char *path; /* in the request's target; NULL: any */
    int status;
    const char *head; /* further header lines, each ending in \r\n; NULL: JSON */
    const char *body; /* NULL: "" */
    enum manner manner;
    int times; /* how often it may be played; 0: always */
};

enum { SERVER_SCENES = 24, SERVER_LOG = 64, SERVER_HEAD = 2048 };

struct server {
    int listening, port;
    pthread_t thread;
    bool tls; /* with the certificate of server_certificate() */
    void *credentials;
    struct scene scene[SERVER_SCENES];
    int n_scenes, played[SERVER_SCENES];
    char log[SERVER_LOG][SERVER_HEAD]; /* each request's head, as it came */
    int n_log;
    char base[64]; /* "http://127.0.0.1:PORT" */
    pthread_mutex_t lock;
};

/* `certificate` and `key`: PEM files for TLS, or NULL for plain. False: no socket. */
bool server_open(struct server *s, const char *certificate, const char *key);
void server_close(struct server *s);
void server_play(struct server *s, int n, const struct scene scene[]); /* and forget the log */
int server_asked(struct server *s);                                    /* how many requests came */
const char *server_request(struct server *s, int i);                   /* head of the i-th; "" = no such */

/* A self-made certificate for `name` (a host name or 127.0.0.1) in two PEM files; valid for `days` from `begin_days`
 * after now (negative: before). */
bool server_certificate(const char *certificate, const char *key, const char *name, int begin_days, int days);

#endif
