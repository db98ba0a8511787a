/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One request, from its first line to its reply. What must hold before a handler is called is checked here, in order:
 * length, name of the host, where the page came from that asks, who asks, what is sent.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <strings.h>
#include <unistd.h>

#include "desk/version.h"
#include "doors/web/door_routes.h"
#include "doors/web/server.h"

static bool of_door(const struct web_route *route)
{
    for (const struct web_route *r = web_routes_door; r->path; r++)
        if (r == route)
            return true;
    return false;
}

/* ---- beginning and end ---- */

static struct connection *connection_of(struct MHD_Connection *mhd)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    return info ? info->socket_context : NULL;
}

struct request *serve_request_new(struct web *web, const char *uri)
{
    struct request *rq = calloc(1, sizeof *rq);

    if (!rq)
        return NULL;
    rq->web = web;
    rq->upload_fd = -1;
    arena_open(&rq->mem, CALL_BYTES);
    text_open(&rq->out, OUT_BYTES);
    if (strnlen(uri, REQUEST_URL + 1) <= REQUEST_URL)
        rq->uri = arena_text(&rq->mem, uri);
    return rq;
}

void serve_request_free(struct request *rq)
{
    shared_let_go(rq->ready);
    json_decref(rq->body);
    free(rq->bytes);
    text_close(&rq->out);
    arena_close(&rq->mem);
    free(rq);
}

void *serve_begin(void *web, const char *uri, struct MHD_Connection *mhd)
{
    struct request *rq = serve_request_new(web, uri);

    if (!rq)
        return NULL;
    rq->mhd = mhd;
    rq->connection = connection_of(mhd);
    if (rq->connection)
        rq->connection->request_ms = server_ms();
    return rq;
}

void serve_end(void *given, struct MHD_Connection *mhd, void **context, enum MHD_RequestTerminationCode how)
{
    struct request *rq = *context;

    (void)given;
    (void)mhd;
    (void)how;
    if (!rq)
        return;
    if (rq->connection) {
        rq->connection->request_ms = 0;
        rq->connection->busy = false;
        rq->connection->since_ms = server_ms();
        rq->connection->n_done++;
    }
    if (rq->upload_fd >= 0)
        (void)close(rq->upload_fd);
    if (*rq->upload_path)
        (void)unlink(rq->upload_path);
    rq->web->answered_ms = server_ms();
    serve_request_free(rq);
    *context = NULL;
}

/* ---- replies ---- */

void serve_log_failure(const struct request *rq, int code)
{
    if (code >= 500 && code != MHD_HTTP_SERVICE_UNAVAILABLE)
        server_log("failed (%d): %s", code, rq->why.text);
}

static enum MHD_Result send_response(struct request *rq, struct MHD_Response *response, int code)
{
    rq->step = REQUEST_ANSWERED;
    rq->connection->busy = true;
    return response ? MHD_queue_response(rq->mhd, (unsigned)code, response) : MHD_NO;
}

static enum MHD_Result send_reply(struct request *rq)
{
    int code = 0;

    if (rq->ready)
        return send_response(rq, rq->ready->response, rq->ready_code);
    struct MHD_Response *response = reply_response(rq, &code);
    serve_log_failure(rq, code);
    const enum MHD_Result sent = send_response(rq, response, code);
    if (response)
        MHD_destroy_response(response);
    return sent;
}

static enum MHD_Result refused(struct request *rq, int code, const char *field, const char *sentence)
{
    rq->status = refuse(ST_BAD_INPUT, &rq->why, field, "%s", sentence);
    rq->reply = (struct web_reply){ .code = code };
    return send_reply(rq);
}

/* ---- what the headers say ---- */

static const char *header(const struct request *rq, const char *name)
{
    return MHD_lookup_connection_value(rq->mhd, MHD_HEADER_KIND, name);
}

struct counted {
    const char *name;
    int n;
};

static enum MHD_Result count_one(void *given, enum MHD_ValueKind kind, const char *key, const char *value)
{
    struct counted *c = given;

    (void)kind;
    (void)value;
    c->n += strcasecmp(key, c->name) == 0;
    return MHD_YES;
}

/* Whole, with the port: a name that merely begins like ours, or ours on another port, is a stranger's. */
static bool host_is_ours(const struct request *rq)
{
    struct counted hosts = { MHD_HTTP_HEADER_HOST, 0 };
    const char *host = header(rq, MHD_HTTP_HEADER_HOST);

    (void)MHD_get_connection_values(rq->mhd, MHD_HEADER_KIND, count_one, &hosts);
    if (!host || hosts.n != 1)
        return false;
    for (size_t i = 0; i < rq->web->n_hosts; i++)
        if (strcasecmp(host, rq->web->host[i]) == 0)
            return true;
    return false;
}

/* Does a page of ours ask? Sec-Fetch-Site is sent by every current browser, and scripts cannot forge it. */
static bool same_origin(const struct request *rq)
{
    const char *site = header(rq, "Sec-Fetch-Site"), *origin = header(rq, MHD_HTTP_HEADER_ORIGIN);
    char own[SERVE_HOST + 16];

    if (site)
        return strcmp(site, "same-origin") == 0;
    (void)snprintf(own, sizeof own, "http%s://%s", rq->connection->secure ? "s" : "", header(rq, MHD_HTTP_HEADER_HOST));
    return origin && strcasecmp(origin, own) == 0;
}

/* May a page from there ask for this at all? Typed addresses ("none") and our own pages may. */
static bool may_read(const struct request *rq)
{
    const char *site = header(rq, "Sec-Fetch-Site");
    return !site || strcmp(site, "same-origin") == 0 || strcmp(site, "none") == 0;
}

static bool type_is(const struct request *rq, const char *wanted)
{
    const char *type = header(rq, MHD_HTTP_HEADER_CONTENT_TYPE);
    const size_t n = strlen(wanted);
    return type && strncasecmp(type, wanted, n) == 0 && (!type[n] || type[n] == ';' || type[n] == ' ');
}

static size_t body_most(const struct web_route *route)
{
    return route->how & WEB_UPLOAD ? REQUEST_UPLOAD : REQUEST_BODY;
}

/* What Content-Length promises; SIZE_MAX: nothing to be read from it. A body without one is counted as it comes. */
static size_t promised(const struct request *rq)
{
    const char *text = header(rq, MHD_HTTP_HEADER_CONTENT_LENGTH);
    int64_t n = 0;

    if (!text)
        return header(rq, MHD_HTTP_HEADER_TRANSFER_ENCODING) ? 1 : 0;
    return read_whole(text, &n) && n >= 0 ? (size_t)n : SIZE_MAX;
}

/* ---- which route ---- */

const struct web_route *serve_route(const char *path, enum web_method method, const char **rest, bool *other_method)
{
    const struct web_route *best = NULL;
    const char *part = "";

    *other_method = false;
    for (size_t t = 0; web_routes[t]; t++)
        for (const struct web_route *r = web_routes[t]; r->path; r++) {
            if (!request_matches(r, path, &part))
                continue;
            if (r->method != method) {
                *other_method = true;
                continue;
            }
            /* the longer pattern is the nearer one; a whole path before a star */
            if (!best || (*part == '\0') || strlen(r->path) > strlen(best->path)) {
                best = r;
                *rest = part;
            }
            if (*part == '\0')
                return best;
        }
    return best;
}

/* ---- running ---- */

static enum MHD_Result sleep_until_done(struct request *rq)
{
    rq->step = REQUEST_AT_WORK;
    MHD_suspend_connection(rq->mhd);
    return MHD_YES;
}

static enum MHD_Result give(struct request *rq, enum work_kind kind)
{
    rq->looked_at = rq->web->farm != NULL;
    const enum status st = work_give(&rq->web->work, kind, rq, &rq->why);

    if (st != ST_OK) {
        rq->status = st;
        return send_reply(rq);
    }
    return sleep_until_done(rq);
}

/* An answer that may be kept: from what is kept, from who asks the same already, or from a worker. */
static enum MHD_Result run_kept(struct request *rq)
{
    struct shared *kept = NULL;

    rq->status = serve_kept_key(rq);
    if (rq->status != ST_OK)
        return send_reply(rq);
    switch (serve_kept_find(rq, &kept)) {
    case SERVE_KEPT: return send_response(rq, kept->response, MHD_HTTP_OK);
    case SERVE_ASKED: return sleep_until_done(rq);
    case SERVE_NEW: break;
    }
    const enum MHD_Result given = give(rq, rq->call.route->how & WEB_SLOW ? WORK_FETCH : WORK_ASK);
    if (rq->step == REQUEST_AT_WORK)
        serve_kept_wait(rq);
    return given;
}

static enum MHD_Result run(struct request *rq)
{
    const struct web_route *route = rq->call.route;

    rq->connection->busy = true;
    rq->key.generation = rq->web->generation;
    if (of_door(route)) {
        const struct own_write before = serve_own_write(rq->web);
        work_answer(rq);
        serve_own_written(rq->web, &before);
        return send_reply(rq);
    }
    if (route->method == WEB_GET && (route->how & WEB_KEPT))
        return run_kept(rq);
    return give(rq, route->how & WEB_SLOW ? WORK_FETCH : route->method == WEB_POST ? WORK_WRITE : WORK_ASK);
}

void serve_done(struct web *web)
{
    struct request *next = NULL;

    for (struct request *rq = work_take_done(&web->work); rq; rq = next) {
        next = rq->next;
        web->heap_used = true;
        if (rq->reply.farm_changed) {
            farm_close(web->farm);
            web->farm = NULL;
            web->generation++;
        }
        if (rq->call.method == WEB_POST)
            web->changes++;
        if (rq->waiting_back) {
            serve_kept_share(rq);
            continue;
        }
        MHD_resume_connection(rq->mhd);
    }
}

/* ---- coming in ---- */

/* A reply to somebody who is still sending is lost with the connection; so what is a little too long is heard out. */
enum { DRAIN = 4 };

static enum MHD_Result too_long(struct request *rq)
{
    return refused(rq, MHD_HTTP_CONTENT_TOO_LARGE, "",
                   rq->call.route->how & WEB_UPLOAD ? "that is more than 8 MB" : "that is more than 64 kB");
}

static enum status body_piece(struct request *rq, const char *bytes, size_t n)
{
    if (rq->n_bytes + n > body_most(rq->call.route)) { /* not kept; the asker hears of it at the end */
        rq->n_bytes += n;
        return rq->n_bytes > DRAIN * body_most(rq->call.route) ? ST_BAD_INPUT : ST_OK;
    }
    if (rq->call.route->how & WEB_UPLOAD) {
        for (size_t done = 0; done < n;) {
            const ssize_t k = write(rq->upload_fd, bytes + done, n - done);
            if (k < 0 && errno != EINTR)
                return refuse(ST_IO, &rq->why, "", "what was sent cannot be kept: %s", strerror(errno));
            done += k > 0 ? (size_t)k : 0;
        }
        rq->n_bytes += n;
        return ST_OK;
    }
    if (rq->n_bytes + n > rq->room) {
        const size_t more = rq->room ? 2 * rq->room : 1024, room = more > rq->n_bytes + n ? more : rq->n_bytes + n;
        char *grown = realloc(rq->bytes, room);
        if (!grown)
            return refuse(ST_NO_MEMORY, &rq->why, "", "out of memory");
        rq->bytes = grown;
        rq->room = room;
    }
    memcpy(rq->bytes + rq->n_bytes, bytes, n);
    rq->n_bytes += n;
    return ST_OK;
}

static enum MHD_Result body_whole(struct request *rq)
{
    const struct web_route *route = rq->call.route;

    if (rq->n_bytes > body_most(route))
        return too_long(rq);
    rq->connection->busy = true;
    if (route->how & WEB_UPLOAD) {
        rq->call.upload = rq->upload_path;
        rq->call.upload_bytes = rq->n_bytes;
    } else if (rq->n_bytes == 0) {
        rq->body = json_object();
    } else if (rq->status == ST_OK) {
        rq->status = request_body_read(rq->bytes, rq->n_bytes, &rq->body, &rq->why);
    }
    if (rq->status == ST_OK && !(route->how & WEB_UPLOAD))
        rq->status = request_body_fits(rq->body, route->n_takes, route->takes, &rq->why);
    rq->call.body = rq->body;
    return rq->status == ST_OK ? run(rq) : send_reply(rq);
}

static enum MHD_Result begin_upload(struct request *rq)
{
    const char *folder = getenv("TMPDIR");

    const int n = snprintf(rq->upload_path, sizeof rq->upload_path, "%s/leenest-XXXXXX",
                           folder && *folder && strlen(folder) < 180 ? folder : "/tmp");
    rq->upload_fd = n > 0 ? mkstemp(rq->upload_path) : -1;
    if (rq->upload_fd >= 0)
        return MHD_YES;
    *rq->upload_path = '\0';
    return refused(rq, MHD_HTTP_INTERNAL_SERVER_ERROR, "", "what is sent cannot be kept: no temporary file to be had");
}

/* The checks that hang on what is sent. */
static enum MHD_Result check_sent(struct request *rq)
{
    const struct web_route *route = rq->call.route;
    const size_t n = promised(rq);

    if (route->method == WEB_GET)
        return n > 0 ? refused(rq, MHD_HTTP_BAD_REQUEST, "", "a question has no body") : run(rq);
    if (route->how & WEB_UPLOAD
            ? !type_is(rq, "text/csv") && !type_is(rq, "application/json") && !type_is(rq, "application/octet-stream")
            : !type_is(rq, "application/json"))
        return refused(rq, MHD_HTTP_UNSUPPORTED_MEDIA_TYPE, "",
                       route->how & WEB_UPLOAD ? "send text/csv, application/json or application/octet-stream"
                                               : "send application/json");
    if (n > DRAIN * body_most(route))
        return too_long(rq);
    return route->how & WEB_UPLOAD ? begin_upload(rq) : MHD_YES;
}

/* Those that may be answered before the file has been looked through: questions, and coming in, whose session the door
 * writes down afterwards. */
static bool reads_only(const struct web_route *route)
{
    return of_door(route) ? route->handle == door_session_post : route->method == WEB_GET;
}

static enum MHD_Result check_who(struct request *rq)
{
    const struct web_route *route = rq->call.route;
    struct message why = { "", "" };
    struct farm *farm = NULL;

    if (!reads_only(route))
        serve_look(rq->web);
    enum status st = serve_farm(rq->web, &farm, &why);
    rq->call.farm = farm;
    if (st == ST_OK || (route->how & WEB_NO_FARM))
        st = door_who(rq->web->door, farm, rq->call.cookie, &rq->connection->cookie, rq->call.address,
                      rq->call.now_utc_s, &rq->mem, &rq->call.who, &why);
    if (st != ST_OK) {
        rq->status = st;
        rq->why = why;
        rq->connection->busy = true;
        return send_reply(rq);
    }
    if (!(route->how & WEB_OPEN) && rq->call.who.device == 0)
        return refused(rq, MHD_HTTP_UNAUTHORIZED, "", "nobody is signed in here; open the page from its start address");
    if ((route->how & WEB_MASTER) && !rq->call.who.master)
        return refused(rq, MHD_HTTP_FORBIDDEN, "", "only the machine itself, or who gave the password, may do that");
    if (!farm && !(route->how & WEB_NO_FARM))
        return refused(rq, MHD_HTTP_NOT_FOUND, "farm",
                       "there is no farm file yet; give the farm a name and a place to begin one");
    if (!(route->how & WEB_OWN_QUERY)) {
        const bool of_query = route->method == WEB_GET || (route->how & WEB_UPLOAD);
        st =
            request_query_fits(rq->call.n_query, rq->call.query, of_query ? route->n_takes : 0, route->takes, &rq->why);
        if (st != ST_OK)
            return refused(rq, MHD_HTTP_BAD_REQUEST, rq->why.field, arena_text(&rq->mem, rq->why.text));
    }
    return check_sent(rq);
}

static enum MHD_Result page_file(struct request *rq, enum web_method method)
{
    int code = 0;
    const char *accepts = header(rq, MHD_HTTP_HEADER_ACCEPT_ENCODING);

    if (method != WEB_GET)
        return refused(rq, MHD_HTTP_METHOD_NOT_ALLOWED, "", "there is nothing to be sent to here");
    struct MHD_Response *response =
        reply_file(rq->call.path, header(rq, MHD_HTTP_HEADER_IF_NONE_MATCH), accepts && strstr(accepts, "gzip"), &code);
    if (!response)
        return refused(rq, MHD_HTTP_NOT_FOUND, "", "there is no such page");
    if (strcmp(rq->call.path, "/") == 0 && rq->web->ahead_ms != INT64_MAX)
        rq->web->ahead_ms = 0;
    const enum MHD_Result sent = send_response(rq, response, code);
    MHD_destroy_response(response);
    return sent;
}

static enum MHD_Result begin(struct request *rq, const char *method)
{
    struct web_call *call = &rq->call;
    struct request_address a;
    bool other_method = false;
    const bool get = strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0;

    rq->step = REQUEST_BODY_COMES;
    if (!rq->uri)
        return refused(rq, MHD_HTTP_URI_TOO_LONG, "", "the address is longer than 2,048 bytes");
    if (!host_is_ours(rq))
        return refused(rq, MHD_HTTP_MISDIRECTED_REQUEST, "", "this address is not one of the farm's");
    if (!get && strcmp(method, "POST") != 0)
        return refused(rq, MHD_HTTP_METHOD_NOT_ALLOWED, "", "GET and POST are understood here");
    if (request_address_read(rq->uri, &rq->mem, &a, &rq->why) != ST_OK)
        return refused(rq, MHD_HTTP_BAD_REQUEST, "", arena_text(&rq->mem, rq->why.text));
    if (rq->web->stopping)
        return refused(rq, MHD_HTTP_SERVICE_UNAVAILABLE, "", "the program is stopping");
    *call = (struct web_call){ .web = rq->web,
                               .method = get ? WEB_GET : WEB_POST,
                               .path = a.path,
                               .rest = "",
                               .query = a.query,
                               .n_query = a.n_query,
                               .farm_path = rq->web->how->farm_path,
                               .address = rq->connection->address,
                               .secure = rq->connection->secure,
                               .cookie = MHD_lookup_connection_value(rq->mhd, MHD_COOKIE_KIND, "leenest_session"),
                               .now_utc_s = (int64_t)time(NULL),
                               .mem = &rq->mem };
    if (strncmp(a.path, "/api", 4) != 0 || (a.path[4] && a.path[4] != '/'))
        return page_file(rq, call->method);
    if (get ? !may_read(rq) : !same_origin(rq))
        return refused(rq, MHD_HTTP_FORBIDDEN, "", "a page from elsewhere asked for this");
    call->route = serve_route(a.path, call->method, &call->rest, &other_method);
    if (!call->route)
        return other_method ? refused(rq, MHD_HTTP_METHOD_NOT_ALLOWED, "",
                                      get ? "that is to be sent, not asked for" : "that is to be asked for, not sent")
                            : refused(rq, MHD_HTTP_NOT_FOUND, "", "there is no such question or record here");
    return check_who(rq);
}

/* The library ends the connection after a reply given at the first call: what is still being sent would be taken for
 * the next request. Where nothing is sent the second call comes at once, and the connection stays for the next
 * question. */
static bool brings_nothing(const struct request *rq, const char *method)
{
    return (strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0) && promised(rq) == 0;
}

enum MHD_Result serve(void *given, struct MHD_Connection *mhd, const char *url, const char *method, const char *version,
                      const char *upload_data, size_t *upload_data_size, void **context)
{
    struct request *rq = *context;

    (void)given;
    (void)mhd;
    (void)url;
    (void)version;
    if (!rq || !rq->connection)
        return MHD_NO;
    switch (rq->step) {
    case REQUEST_NEW:
        if (!brings_nothing(rq, method))
            return begin(rq, method);
        rq->step = REQUEST_HEAD_READ;
        return MHD_YES;
    case REQUEST_HEAD_READ: return begin(rq, method);
    case REQUEST_BODY_COMES: {
        if (*upload_data_size == 0)
            return body_whole(rq);
        const enum status st = body_piece(rq, upload_data, *upload_data_size);
        *upload_data_size = 0;
        if (st == ST_BAD_INPUT) /* more than was promised, or nothing was: the connection ends */
            return MHD_NO;
        if (st != ST_OK)
            rq->status = st;
        return MHD_YES;
    }
    case REQUEST_AT_WORK: return send_reply(rq);
    case REQUEST_ANSWERED: *upload_data_size = 0; return MHD_YES;
    }
    return MHD_NO;
}
