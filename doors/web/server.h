/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the files of the server: server.c (addresses, loop, stopping), connection.c (who is connected, for how long),
 * serve.c (one request from its first byte to its reply), serve_kept.c (who asks the same, and what is asked ahead),
 * work.c (the threads that reckon and write), kept.c (answers kept), reply.c (a reply as it goes out). Handlers include
 * web.h alone.
 *
 * Threads  One thread owns the sockets, the door and every request; it never waits for the disk longer than to read a
 *          few pages, and never reckons. It gives what is not at hand to four kinds of worker, each with its own handle
 *          on the farm file, and leaves the connection asleep meanwhile (MHD_suspend_connection):
 *            askers   two: questions and everything else that is read. Two, so that a what-if of 50 ms does not wait
 *                     behind a whole night's table of 300 ms
 *            writer   one: whatever is POSTed, in the order it came; may wait 3 s for another program's lock
 *            fetcher  one: WEB_SLOW, what waits for the network
 *            ahead    one, for the question put before anybody asks, so that the askers stay free for small ones
 *          Each is started when first needed. While a worker has a request nobody else touches it.
 * Door     The routes of door.c run on the one thread, as door.h asks.
 */
#ifndef DOORS_WEB_SERVER_H
#define DOORS_WEB_SERVER_H

#include <microhttpd.h>
#include <pthread.h>
#include <sys/stat.h>

#include "doors/web/daily.h"
#include "doors/web/door.h"
#include "doors/web/kept.h"
#include "doors/web/request.h"
#include "doors/web/web.h"

enum { SERVE_CONNECTIONS = 128, SERVE_PER_ADDRESS = 32, SERVE_SPARE = 16, SERVE_IDLE_S = 30, SERVE_REQUEST_S = 60 };
enum { SERVE_HEADERS = 32 * 1024, SERVE_REPLY_S = 600, SERVE_STALLED_S = 5, SERVE_STOP_S = 5, SERVE_LOOK_S = 10 };
enum { SERVE_AHEAD_MS = 30, SERVE_QUIET_MS = 1000, SERVE_OWED_MS = 3000 };
enum { SERVE_COOKIE_S = 400 * 86400 }; /* the longest that browsers keep one */
enum { SERVE_ADDRESS = 46, SERVE_LISTENERS = 32, SERVE_HOST = 280 };
enum { SERVE_BUSY_MS = 500 }; /* the thread of the sockets waits no longer for another program's lock */
enum { CALL_BYTES = 1 << 28, OUT_BYTES = 1 << 28 };

struct connection {
    struct web *web;
    struct connection *next, **back;
    int fd;
    char address[SERVE_ADDRESS];
    struct door_cookie cookie; /* the one that came last */
    bool secure;               /* TLS */
    int64_t since_ms;          /* connected, or last reply finished */
    int64_t request_ms;        /* the request's first line came; 0 = between requests */
    bool busy;                 /* it waits for us: asleep, or taking the reply */
    bool dropped;              /* shut down by us, its end is on the way */
    unsigned n_done;           /* requests answered */
};

struct request {
    struct web *web;
    struct connection *connection;
    struct MHD_Connection *mhd; /* NULL, as connection: asked ahead, and nobody waits for it */
    char *uri;                  /* as it came; NULL = too long */
    enum { REQUEST_NEW, REQUEST_HEAD_READ, REQUEST_BODY_COMES, REQUEST_AT_WORK, REQUEST_ANSWERED } step;
    struct arena mem;
    struct web_call call;
    struct web_reply reply;
    struct message why;
    enum status status;
    json_t *body;
    char *bytes; /* of the body */
    size_t n_bytes, room;
    int upload_fd; /* -1 = none */
    char upload_path[200];
    struct text out;      /* the reply, ready */
    struct shared *ready; /* shared with others who asked the same; NULL = made from the above */
    int ready_code;
    struct request *next; /* in a queue */
    struct request *same; /* others that wait for this very answer */
    bool looked_at;       /* the socket's own thread has the farm file open, so that it has been looked through */
    struct kept_key key;  /* under which the answer is kept; key.generation: which file the handles are to be on */
    struct request *waiting_next, **waiting_back; /* of those whose answer will be kept */
};

struct work { /* the threads that reckon and write */
    struct web *web;
    pthread_mutex_t lock;
    struct work_line {
        struct web *web;
        const char *called;
        pthread_cond_t more;
        struct request *first, **last;
        pthread_t thread[2];
        int n_threads, n_idle, most;
        bool opening_ahead; /* the first thread is at it */
    } line[4];
    struct request *done; /* answered, newest first */
    bool stop;
    struct { /* the first handle, opened before it is needed, for the thread of the sockets */
        pthread_cond_t there;
        struct farm *farm;
        uint64_t device, inode;
        bool coming;
    } first;
    int wake;                 /* eventfd */
    struct where_rows *rows;  /* what the askers know of past hours; NULL = each knows its own */
    struct night_kept *cells; /* and of the coming nights */
};
enum work_kind { WORK_ASK, WORK_WRITE, WORK_FETCH, WORK_AHEAD };

struct listener {
    struct MHD_Daemon *daemon;
    int epoll_fd;
    bool secure;
    char address[SERVE_ADDRESS];
};

struct web {
    const struct web_how *how;
    struct door *door;
    struct farm *farm; /* this thread's */
    struct {
        uint64_t device, inode;
        int64_t changed_ns;
    } file;              /* which file the handles are on; when it was written to last */
    bool look_owed;      /* its pages have not been looked through yet */
    int64_t begun_ms;    /* the loop, by server_ms() */
    int64_t answered_ms; /* the last reply of any kind; 0 = none yet */
    int64_t ahead_ms;    /* when the first page's question is put, by server_ms(); INT64_MAX = it has been */
    unsigned generation; /* goes up when handles are to be opened anew */
    unsigned changes;    /* goes up with each POST, for kept answers */
    int port;
    struct listener listener[SERVE_LISTENERS];
    size_t n_listeners;
    char host[2 * REACHED_MOST + 8][SERVE_HOST]; /* what a Host header may say, whole */
    size_t n_hosts;
    struct connection *connections;
    size_t n_connections;
    struct work work;
    struct kept kept;
    struct daily daily;
    struct request *waiting; /* at work, and their answer will be kept */
    bool heap_used;          /* a worker has answered since the heap was gone over last */
    bool stopping;
    char small_file[200]; /* that shows the page (show_page.h); "" = none */
};

int64_t server_ms(void); /* a clock that only goes forward */
/* One line on standard error. No keys, names or addresses. */
void server_log(const char *fmt, ...) PRINTF_LIKE(1, 2);

/* ---- show_page.c ---- */
void show_page(struct web *web);      /* in the machine's own browser; without a screen: nothing */
void show_page_over(struct web *web); /* takes the small file away, whose key has served */

/* ---- connection.c: callbacks of libmicrohttpd, and the sweep ---- */
enum MHD_Result connection_may(void *web, const struct sockaddr *from, socklen_t n);
void connection_notify(void *web, struct MHD_Connection *mhd, void **context, enum MHD_ConnectionNotificationCode code);
/* Those that take too long are shut down; called once a second. */
void connection_sweep(struct web *web, int64_t now_ms);

/* ---- serve.c: callbacks ---- */
void *serve_begin(void *web, const char *uri, struct MHD_Connection *mhd);
enum MHD_Result serve(void *web, struct MHD_Connection *mhd, const char *url, const char *method, const char *version,
                      const char *upload_data, size_t *upload_data_size, void **context);
void serve_end(void *web, struct MHD_Connection *mhd, void **context, enum MHD_RequestTerminationCode how);
/* Give back what the workers have finished. */
void serve_done(struct web *web);
/* The one thread's handle, opened anew when the file is another; NULL in *farm: there is none. */
enum status serve_farm(struct web *web, struct farm **farm, struct message *why) MUST_USE;
/* The first questions are answered before the pages of the file have been looked through; nothing is written before. It
 * is done when nobody has asked for SERVE_QUIET_MS (a first page asks for some twenty things), or SERVE_OWED_MS after the
 * start. */
void serve_look(struct web *web);

/* A request of nobody's as yet; NULL: out of memory. */
struct request *serve_request_new(struct web *web, const char *uri);
void serve_request_free(struct request *rq);
void serve_log_failure(const struct request *rq, int code);
/* The route of a path, and what its star stands for. *other_method: there is one, but not by this method. */
const struct web_route *serve_route(const char *path, enum web_method method, const char **rest, bool *other_method);

/* ---- serve_kept.c ---- */
/* Under what the answer to this request is kept; the farm file is open, or there is none. */
enum status serve_kept_key(struct request *rq) MUST_USE;
/* SERVE_KEPT: *kept is it. SERVE_ASKED: another waits for the same already, and this one waits with it. */
enum serve_kept { SERVE_KEPT, SERVE_ASKED, SERVE_NEW } serve_kept_find(struct request *rq, struct shared **kept);
void serve_kept_wait(struct request *rq); /* it is at work; others may wait for the same */
/* The same bytes for all who asked the same, and kept for who asks next. */
void serve_kept_share(struct request *rq);
/* The question of the first page, put once: when the start address is asked for, or when a little time has gone by in
 * which nobody asked for anything, while the browser starts. When the page asks for it, it is reckoned or on its way. */
void serve_ahead(struct web *web);
/* Around a write of this thread's own that no answer hangs on (a session): what was kept stays true, unless another
 * program wrote at the same time. */
struct own_write {
    bool known;
    int64_t version, others, changed_ns;
};
struct own_write serve_own_write(struct web *web);
void serve_own_written(struct web *web, const struct own_write *before);

/* ---- work.c ---- */
enum status work_open(struct work *work, struct web *web, struct message *why) MUST_USE;
/* Hand one over; ST_NO_MEMORY: no thread could be started. */
enum status work_give(struct work *work, enum work_kind kind, struct request *rq, struct message *why) MUST_USE;
struct request *work_take_done(struct work *work); /* list by ->next, oldest first; NULL = none */
/* The farm file as opened ahead (its pages not looked through yet), and which file that is; waits for it. NULL: it could
 * not be opened, or was taken before. */
struct farm *work_take_first(struct work *work, uint64_t *device, uint64_t *inode);
void work_close(struct work *work); /* waits for the threads */
/* Put the call to its handler and write the reply out; by whichever thread has the request. */
void work_answer(struct request *rq);

/* ---- reply.c ---- */
int reply_code(enum status st);
/* {"error": {...}}: status as a word, field and sentence. */
void reply_refusal(int code, enum status st, const struct message *why, struct text *out);
/* The headers that every reply has. */
void reply_headers(struct MHD_Response *response);
/* A request's reply as libmicrohttpd wants it; NULL: out of memory. */
struct MHD_Response *reply_response(struct request *rq, int *code);
/* One of the page's own files, or "not changed". */
struct MHD_Response *reply_file(const char *path, const char *known_tag, bool gzip, int *code);

#endif
