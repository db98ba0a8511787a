/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A reply as it goes out: its code, its headers, its bytes.
 */
#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "doors/show/show.h"
#include "doors/web/files.h"
#include "doors/web/server.h"

int reply_code(enum status st)
{
    switch (st) {
    case ST_OK: return MHD_HTTP_OK;
    case ST_BAD_INPUT: return MHD_HTTP_BAD_REQUEST;
    case ST_NOT_FOUND: return MHD_HTTP_NOT_FOUND;
    case ST_CONFLICT: return MHD_HTTP_CONFLICT;
    case ST_BUSY: return MHD_HTTP_SERVICE_UNAVAILABLE;
    case ST_AWAY: return MHD_HTTP_BAD_GATEWAY;
    case ST_IO:
    case ST_NO_MEMORY: return MHD_HTTP_INTERNAL_SERVER_ERROR;
    }
    return MHD_HTTP_INTERNAL_SERVER_ERROR;
}

static const char *word_of(int code)
{
    switch (code) {
    case 400: return "bad-input";
    case 401: return "no-session";
    case 403: return "not-allowed";
    case 404: return "not-found";
    case 405: return "wrong-method";
    case 409: return "conflict";
    case 413:
    case 414: return "too-long";
    case 415: return "not-json";
    case 421: return "wrong-name";
    case 429: return "too-many-tries";
    case 502: return "away";
    case 503: return "busy";
    default: return "failed";
    }
}

static int add_piece(const char *bytes, size_t n, void *out)
{
    text_add_bytes(out, bytes, n);
    return text_full(out) ? -1 : 0;
}

/* "--wind: give 0 to 75" is how a command line says it; on a page the dashes are only noise. */
static void without_dashes(const char *from, size_t room, char *to)
{
    size_t k = 0;

    for (size_t i = 0; from[i] && k + 1 < room; i++) {
        const bool begins = i == 0 || from[i - 1] == ' ' || from[i - 1] == '(';
        if (begins && from[i] == '-' && from[i + 1] == '-' && from[i + 2] >= 'a' && from[i + 2] <= 'z') {
            i++;
            continue;
        }
        to[k++] = from[i];
    }
    to[k] = '\0';
}

void reply_refusal(int code, enum status st, const struct message *why, struct text *out)
{
    char sentence[sizeof why->text];

    (void)st;
    without_dashes(*why->text ? why->text : "that did not work", sizeof sentence, sentence);
    json_t *body =
        json_pack("{s:{s:s,s:s,s:s}}", "error", "status", word_of(code), "field", why->field, "sentence", sentence);
    if (!body || json_dump_callback(body, add_piece, out, JSON_INDENT(1)) != 0)
        text_add(out, "{\"error\": {\"status\": \"failed\", \"field\": \"\", \"sentence\": \"that did not work\"}}");
    text_add(out, "\n");
    json_decref(body);
}

/* Nothing from elsewhere, nothing in place, in nobody's frame. Each in every reply. */
static const struct {
    const char *name, *value;
} on_all[] = {
    { "Content-Security-Policy",
      "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
      "worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'" },
    { "X-Content-Type-Options", "nosniff" },
    { "Referrer-Policy", "no-referrer" },
    { "Cross-Origin-Resource-Policy", "same-origin" },
    { "Cross-Origin-Opener-Policy", "same-origin" },
};

void reply_headers(struct MHD_Response *response)
{
    for (size_t i = 0; i < COUNT(on_all); i++)
        (void)MHD_add_response_header(response, on_all[i].name, on_all[i].value);
}

static struct MHD_Response *of_bytes(const void *bytes, size_t n, enum MHD_ResponseMemoryMode mode)
{
    void *plain = NULL; /* the library's parameter is not const; it does not write to it */
    memcpy(&plain, &bytes, sizeof plain);
    return MHD_create_response_from_buffer(n, plain, mode);
}

static const char *const type_of[] = {
    [WEB_JSON_OUT] = "application/json; charset=utf-8",
    [WEB_TEXT_OUT] = "text/plain; charset=utf-8",
    [WEB_CSV_OUT] = "text/csv; charset=utf-8",
    [WEB_ICS_OUT] = "text/calendar; charset=utf-8",
    [WEB_SVG_OUT] = "image/svg+xml",
    [WEB_FILE_OUT] = "application/octet-stream",
    [WEB_CERTIFICATE_OUT] = "application/x-x509-ca-cert",
};

/* A file's bytes from its descriptor: the library closes it. */
static struct MHD_Response *of_file(const struct web_reply *reply, struct message *why)
{
    struct stat is;
    const int fd = open(reply->file, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);

    if (fd < 0 || fstat(fd, &is) != 0 || !S_ISREG(is.st_mode)) {
        (void)refuse(ST_IO, why, "", "the file to be sent cannot be read: %s", strerror(errno));
        if (fd >= 0)
            (void)close(fd);
        return NULL;
    }
    if (reply->file_once)
        (void)unlink(reply->file);
    struct MHD_Response *response = MHD_create_response_from_fd64((uint64_t)is.st_size, fd);
    if (!response)
        (void)close(fd);
    return response;
}

/* Only letters, digits, dot and dash of a name go into a header. */
static void offered_as(struct MHD_Response *response, const char *name)
{
    char line[160];
    int n = snprintf(line, sizeof line, "attachment; filename=\"");

    for (const char *s = name; *s && (size_t)n + 3 < sizeof line; s++) {
        const bool fine = (*s >= 'a' && *s <= 'z') || (*s >= 'A' && *s <= 'Z') || (*s >= '0' && *s <= '9') ||
                          *s == '.' || *s == '-' || *s == '_';
        line[n++] = fine ? *s : '_';
    }
    line[n++] = '"';
    line[n] = '\0';
    (void)MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_DISPOSITION, line);
}

static void cookie(struct MHD_Response *response, const struct request *rq)
{
    char line[200];
    const struct web_reply *r = &rq->reply;

    if (!r->set_session && !r->end_session)
        return;
    /* the farm file says when a session ends (30 days after it was last used); a browser only must not forget before */
    (void)snprintf(line, sizeof line, "leenest_session=%.80s; Path=/; Max-Age=%d; HttpOnly; SameSite=Strict%s",
                   r->set_session ? r->set_session : "", r->set_session ? SERVE_COOKIE_S : 0,
                   rq->connection->secure ? "; Secure" : "");
    (void)MHD_add_response_header(response, MHD_HTTP_HEADER_SET_COOKIE, line);
}

struct MHD_Response *reply_response(struct request *rq, int *code)
{
    struct web_reply *r = &rq->reply;
    struct MHD_Response *response = NULL;
    enum web_type type = r->type;
    char seconds[16];

    if (rq->status == ST_OK && r->file) {
        response = of_file(r, &rq->why);
        rq->status = response ? ST_OK : ST_IO;
    }
    *code = r->code ? r->code : reply_code(rq->status);
    if (!response) {
        if (rq->status != ST_OK) {
            type = WEB_JSON_OUT;
            text_close(&rq->out);
            text_open(&rq->out, OUT_BYTES);
            reply_refusal(*code, rq->status, &rq->why, &rq->out);
        }
        response = of_bytes(text_get(&rq->out), rq->out.length,
                            rq->out.bytes ? MHD_RESPMEM_MUST_FREE : MHD_RESPMEM_PERSISTENT);
        if (response)
            rq->out = (struct text){ .ceiling = OUT_BYTES }; /* its bytes are the response's now */
    }
    if (!response)
        return NULL;
    reply_headers(response);
    (void)MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, type_of[type]);
    (void)MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-store");
    if (rq->status == ST_OK && r->download_as)
        offered_as(response, r->download_as);
    if (r->retry_after_s > 0 || *code == MHD_HTTP_SERVICE_UNAVAILABLE) {
        (void)snprintf(seconds, sizeof seconds, "%d", r->retry_after_s > 0 ? r->retry_after_s : 2);
        (void)MHD_add_response_header(response, MHD_HTTP_HEADER_RETRY_AFTER, seconds);
    }
    if (*code == MHD_HTTP_METHOD_NOT_ALLOWED)
        (void)MHD_add_response_header(response, MHD_HTTP_HEADER_ALLOW, "GET, HEAD, POST");
    cookie(response, rq);
    return response;
}

struct MHD_Response *reply_file(const char *path, const char *known_tag, bool gzip, int *code)
{
    const struct web_file *file = web_file_find(path);

    if (!file)
        return NULL;
    const bool packed = gzip && file->gz && file->gz_end - file->gz < file->end - file->bytes;
    const bool same = known_tag && strcmp(known_tag, file->etag) == 0;
    const unsigned char *from = packed ? file->gz : file->bytes, *to = packed ? file->gz_end : file->end;
    struct MHD_Response *response = of_bytes(from, same ? 0 : (size_t)(to - from), MHD_RESPMEM_PERSISTENT);

    if (!response)
        return NULL;
    *code = same ? MHD_HTTP_NOT_MODIFIED : MHD_HTTP_OK;
    reply_headers(response);
    (void)MHD_add_response_header(response, MHD_HTTP_HEADER_ETAG, file->etag);
    (void)MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-cache");
    (void)MHD_add_response_header(response, MHD_HTTP_HEADER_VARY, "Accept-Encoding");
    if (!same)
        (void)MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, file->type);
    if (packed && !same)
        (void)MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_ENCODING, "gzip");
    return response;
}
