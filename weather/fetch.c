/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The one file that knows libcurl: one request at a time, nothing followed, nothing believed.
 */
#include "weather/fetch.h"

#include <curl/curl.h>
#include <errno.h>
#include <string.h>
#include <time.h>

#include "core/base/units.h"
#include "weather/fetch_own.h"

static const double longest_request_s = 10.0, longest_connect_s = 5.0;
static const size_t largest_reply = 5u * 1024 * 1024, largest_head = 256u * 1024;
static const int64_t longest_lifetime_s = 24 * 3600;
static const char agent[] = "leenest/0.1";

enum status fetch_begin(struct message *why)
{
    if (curl_global_init(CURL_GLOBAL_DEFAULT) != CURLE_OK)
        return refuse(ST_IO, why, "", "the network library did not start");
    return ST_OK;
}

bool fetch_sleep(void *own, double seconds)
{
    struct timespec left = { (time_t)seconds, (long)((seconds - (double)(time_t)seconds) * 1e9) };

    (void)own;
    while (nanosleep(&left, &left) != 0)
        if (errno != EINTR)
            return false;
    return true;
}

/* ---- addresses ---- */

static bool loopback(const char *host)
{
    return strcmp(host, "127.0.0.1") == 0 || strcmp(host, "[::1]") == 0 || strcmp(host, "::1") == 0;
}

static enum status origin_of(CURLU *url, bool plain_loopback, char origin[static FETCH_ORIGIN_BYTES],
                             struct message *why)
{
    char *scheme = NULL, *host = NULL, *port = NULL, *user = NULL;
    enum status st = ST_OK;
    int length;

    if (curl_url_get(url, CURLUPART_SCHEME, &scheme, 0) != CURLUE_OK ||
        curl_url_get(url, CURLUPART_HOST, &host, 0) != CURLUE_OK ||
        curl_url_get(url, CURLUPART_PORT, &port, CURLU_DEFAULT_PORT) != CURLUE_OK) {
        st = refuse(ST_BAD_INPUT, why, "base", "that is no web address; it begins with https://");
        goto done;
    }
    if (strcmp(scheme, "https") != 0 && !(plain_loopback && strcmp(scheme, "http") == 0 && loopback(host))) {
        st = refuse(ST_BAD_INPUT, why, "base", "the address is not https; forecasts are fetched over https alone");
        goto done;
    }
    if (curl_url_get(url, CURLUPART_USER, &user, 0) == CURLUE_OK) {
        st = refuse(ST_BAD_INPUT, why, "base", "the address holds a user name; give it without");
        goto done;
    }
    length = snprintf(origin, FETCH_ORIGIN_BYTES, "%s://%s:%s", scheme, host, port);
    if (length < 0 || length >= FETCH_ORIGIN_BYTES)
        st = refuse(ST_BAD_INPUT, why, "base", "the name of the host is too long");
done:
    curl_free(scheme);
    curl_free(host);
    curl_free(port);
    curl_free(user);
    return st;
}

enum status fetch_origin(const char *url, bool plain_loopback, char origin[static FETCH_ORIGIN_BYTES],
                         struct message *why)
{
    CURLU *u = curl_url();
    enum status st;

    if (!u)
        return refuse(ST_NO_MEMORY, why, "", "no memory for an address");
    if (curl_url_set(u, CURLUPART_URL, url, 0) == CURLUE_OK)
        st = origin_of(u, plain_loopback, origin, why);
    else
        st = refuse(ST_BAD_INPUT, why, "base", "that is no web address; it begins with https://");
    curl_url_cleanup(u);
    return st;
}

/* ---- what comes in ---- */

struct incoming {
    struct fetch_got *got;
    size_t size_limit, head_bytes;
    bool too_large;
    int64_t date_utc_s, expires_utc_s, max_age_s, age_s, retry_utc_s;
};

/* The value of a header line of that name, trimmed, in value[]; false: another header, or a value with signs that have
 * no business there, or one too long. */
static bool header_is(const char *line, size_t n, const char *name, char *value, size_t room)
{
    const size_t length = strlen(name);
    size_t begin = length + 1, end = n;

    if (n <= length || line[length] != ':' || !curl_strnequal(line, name, length))
        return false;
    while (begin < end && (line[begin] == ' ' || line[begin] == '\t'))
        begin++;
    while (end > begin && (line[end - 1] == '\r' || line[end - 1] == '\n' || line[end - 1] == ' '))
        end--;
    if (end - begin >= room)
        return false;
    for (size_t i = begin; i < end; i++)
        if ((unsigned char)line[i] < 32 || (unsigned char)line[i] > 126)
            return false;
    memcpy(value, &line[begin], end - begin);
    value[end - begin] = 0;
    return true;
}

static int64_t seconds_or_zero(const char *text)
{
    int64_t s;

    return read_whole(text, &s) && s > 0 ? s : 0;
}

static int64_t moment_or_zero(const char *text)
{
    const time_t t = curl_getdate(text, NULL);

    return t > 0 ? (int64_t)t : 0;
}

static int64_t max_age(const char *cache_control)
{
    const char *at = strstr(cache_control, "max-age=");
    int64_t s = 0;

    if (!at || strstr(cache_control, "no-store") || strstr(cache_control, "no-cache"))
        return 0;
    for (at += strlen("max-age="); *at >= '0' && *at <= '9' && s < longest_lifetime_s; at++)
        s = s * 10 + (*at - '0');
    return s;
}

/* "application/json", "application/geo+json; charset=utf-8" and their kin. */
static bool is_json_type(const char *type)
{
    const size_t n = strcspn(type, "; ");

    return n >= 5 && (curl_strnequal(type, "application/json", 16)
                          ? n == 16
                          : curl_strnequal(type, "application/", 12) && curl_strnequal(&type[n - 5], "+json", 5));
}

static size_t on_header(char *line, size_t size, size_t count, void *own)
{
    struct incoming *in = own;
    const size_t n = size * count;
    char value[FETCH_URL_BYTES];

    in->head_bytes += n;
    if (in->head_bytes > largest_head) {
        in->too_large = true;
        return 0;
    }
    if (header_is(line, n, "Last-Modified", in->got->last_modified, sizeof in->got->last_modified))
        return n;
    if (header_is(line, n, "Date", value, sizeof value))
        in->date_utc_s = moment_or_zero(value);
    else if (header_is(line, n, "Expires", value, sizeof value))
        in->expires_utc_s = moment_or_zero(value);
    else if (header_is(line, n, "Cache-Control", value, sizeof value))
        in->max_age_s = max_age(value);
    else if (header_is(line, n, "Age", value, sizeof value))
        in->age_s = seconds_or_zero(value);
    else if (header_is(line, n, "Content-Type", value, sizeof value))
        in->got->json = is_json_type(value);
    else if (header_is(line, n, "Retry-After", value, sizeof value)) {
        in->got->retry_after_s = seconds_or_zero(value);
        in->retry_utc_s = moment_or_zero(value);
    }
    return n;
}

static size_t on_body(char *bytes, size_t size, size_t count, void *own)
{
    struct incoming *in = own;
    const size_t n = size * count;

    if (in->got->body.length + n > in->size_limit) {
        in->too_large = true;
        return 0; /* libcurl then ends the transfer */
    }
    text_add_bytes(&in->got->body, bytes, n);
    return text_full(&in->got->body) ? 0 : n;
}

/* Lifetime by the service's own clock, so that a farm computer whose clock is wrong neither asks all the time nor
 * never. */
static void settle_times(struct incoming *in)
{
    int64_t life_s = in->max_age_s;

    if (life_s == 0 && in->expires_utc_s > 0 && in->date_utc_s > 0)
        life_s = in->expires_utc_s - in->date_utc_s;
    life_s -= in->age_s;
    in->got->lifetime_s = life_s < 0 ? 0 : life_s > longest_lifetime_s ? longest_lifetime_s : life_s;
    if (in->got->retry_after_s == 0 && in->retry_utc_s > 0 && in->date_utc_s > 0)
        in->got->retry_after_s = in->retry_utc_s - in->date_utc_s > 0 ? in->retry_utc_s - in->date_utc_s : 0;
    if (in->got->retry_after_s > longest_lifetime_s)
        in->got->retry_after_s = longest_lifetime_s;
}

/* ---- one request ---- */

static void say(struct fetch_got *got, enum fetch_line line, const char *says)
{
    got->line = line;
    (void)snprintf(got->says, sizeof got->says, "%s", says);
}

static void judge(CURLcode code, const struct incoming *in, struct fetch_got *got)
{
    if (in->too_large || code == CURLE_FILESIZE_EXCEEDED) {
        say(got, FETCH_LINE_BAD, "the reply is larger than any forecast, so it was cut off");
        return;
    }
    switch ((int)code) {
    case CURLE_OK: got->line = FETCH_LINE_OK; return;
    case CURLE_OPERATION_TIMEDOUT: say(got, FETCH_LINE_SLOW, "the service did not answer in time"); return;
    case CURLE_COULDNT_RESOLVE_HOST:
    case CURLE_COULDNT_RESOLVE_PROXY:
        say(got, FETCH_LINE_BAD, "the name of the service was not found; is this machine on the internet?");
        return;
    case CURLE_PEER_FAILED_VERIFICATION:
    case CURLE_SSL_ISSUER_ERROR:
    case CURLE_SSL_CERTPROBLEM:
    case CURLE_SSL_CACERT_BADFILE:
        say(got, FETCH_LINE_BAD, "the service could not prove who it is (bad certificate); nothing was taken from it");
        return;
    case CURLE_COULDNT_CONNECT: say(got, FETCH_LINE_BROKEN, "the service could not be reached"); return;
    case CURLE_BAD_CONTENT_ENCODING:
        say(got, FETCH_LINE_BROKEN, "the reply was packed in a way that can't be unpacked");
        return;
    case CURLE_GOT_NOTHING:
    case CURLE_PARTIAL_FILE:
    case CURLE_RECV_ERROR:
    case CURLE_SEND_ERROR:
    case CURLE_SSL_CONNECT_ERROR: say(got, FETCH_LINE_BROKEN, "the line broke before the reply was whole"); return;
    default:
        (void)snprintf(got->says, sizeof got->says, "the request failed (%s)", curl_easy_strerror(code));
        got->line = FETCH_LINE_BAD;
        return;
    }
}

struct request {
    CURL *curl;
    struct curl_slist *headers;
    char user_agent[192], condition[96];
};

static bool set_limits(const struct fetch_ask *ask, struct request *r, struct incoming *in)
{
    const double asked_s = ask->time_limit_s,
                 limit_s = asked_s > 0.0 && asked_s < longest_request_s ? asked_s : longest_request_s;
    const double connect_s = limit_s < longest_connect_s ? limit_s : longest_connect_s;
    CURL *c = r->curl;

    in->size_limit = ask->size_limit > 0 && ask->size_limit < largest_reply ? ask->size_limit : largest_reply;
    return curl_easy_setopt(c, CURLOPT_TIMEOUT_MS, (long)(limit_s * 1000.0)) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_CONNECTTIMEOUT_MS, (long)(connect_s * 1000.0)) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_MAXFILESIZE_LARGE, (curl_off_t)in->size_limit) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_PROTOCOLS_STR, ask->plain_loopback ? "https,http" : "https") == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_FOLLOWLOCATION, 0L) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_SSL_VERIFYPEER, 1L) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_SSL_VERIFYHOST, 2L) == CURLE_OK &&
           (!ask->ca_file || curl_easy_setopt(c, CURLOPT_CAINFO, ask->ca_file) == CURLE_OK) &&
           (!ask->plain_loopback || curl_easy_setopt(c, CURLOPT_PROXY, "") == CURLE_OK);
}

static bool set_request(const struct fetch_ask *ask, const char *url, const char *since, struct request *r,
                        struct incoming *in)
{
    struct curl_slist *more;
    CURL *c = r->curl;

    (void)snprintf(r->user_agent, sizeof r->user_agent, "%s (%s)", agent, ask->contact);
    r->headers = curl_slist_append(NULL, "Accept: application/geo+json, application/json");
    if (r->headers && *since) {
        (void)snprintf(r->condition, sizeof r->condition, "If-Modified-Since: %s", since);
        more = curl_slist_append(r->headers, r->condition);
        if (!more)
            return false;
        r->headers = more;
    }
    return r->headers && curl_easy_setopt(c, CURLOPT_URL, url) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_USERAGENT, r->user_agent) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_HTTPHEADER, r->headers) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_ACCEPT_ENCODING, "gzip") == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_NOSIGNAL, 1L) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_NETRC, (long)CURL_NETRC_IGNORED) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_HEADERFUNCTION, on_header) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_HEADERDATA, in) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_WRITEFUNCTION, on_body) == CURLE_OK &&
           curl_easy_setopt(c, CURLOPT_WRITEDATA, in) == CURLE_OK;
}

static void read_outcome(CURL *c, struct fetch_got *got)
{
    long status = 0;
    char *location = NULL;

    (void)curl_easy_getinfo(c, CURLINFO_RESPONSE_CODE, &status);
    got->status = (int)status;
    if (curl_easy_getinfo(c, CURLINFO_REDIRECT_URL, &location) == CURLE_OK && location &&
        strlen(location) < sizeof got->location)
        memcpy(got->location, location, strlen(location) + 1);
}

enum status fetch_get(const struct fetch_ask *ask, const char *url, const char *if_modified_since,
                      struct fetch_got *got, struct message *why)
{
    struct incoming in = { .got = got };
    struct request r = { .curl = curl_easy_init() };
    enum status st = ST_OK;
    CURLcode code;

    *got = (struct fetch_got){ .line = FETCH_LINE_BAD };
    text_open(&got->body, largest_reply + 1);
    if (!r.curl || !set_limits(ask, &r, &in) || !set_request(ask, url, if_modified_since, &r, &in)) {
        st = refuse(ST_NO_MEMORY, why, "", "no memory for a request");
        goto done;
    }
    code = curl_easy_perform(r.curl);
    judge(code, &in, got);
    settle_times(&in);
    read_outcome(r.curl, got);
    if (text_full(&got->body))
        st = refuse(ST_NO_MEMORY, why, "", "no memory for the reply");
done:
    curl_slist_free_all(r.headers);
    curl_easy_cleanup(r.curl);
    return st;
}
