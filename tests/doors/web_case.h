/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * For tests of the web door: the server started as a person starts it, and a client small enough to misbehave on
 * purpose. A test that needs a raw line of its own takes web_connect() and web_talk().
 */
#ifndef TESTS_DOORS_WEB_CASE_H
#define TESTS_DOORS_WEB_CASE_H

#include <arpa/inet.h>
#include <jansson.h>
#include <netinet/in.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "core/base/text.h"

enum { WEB_REPLY_BYTES = 64 << 20, WEB_WAIT_S = 60 };

struct web_case {
    pid_t pid; /* 0: not running */
    int port;
    char key[128], session[256]; /* one-time key of the address; token once signed in */
    char folder[64], farm[128];  /* scratch folder and the farm file in it; see web_scratch() */
};

struct web_got {
    int code;         /* 0: no reply came */
    struct text head; /* status line and headers */
    struct text body;
    json_t *json; /* of the body, NULL when it is none */
};

static inline const char *web_program(void)
{
    const char *program = getenv("LEENEST");
    return program && *program ? program : "build/leenest";
}

/* A folder of one's own; c->farm names a farm file in it that is not there yet. */
static inline void web_scratch(struct web_case *c)
{
    memset(c, 0, sizeof *c);
    (void)snprintf(c->folder, sizeof c->folder, "/tmp/leenest-web-XXXXXX");
    if (!mkdtemp(c->folder))
        fail_msg("no scratch folder");
    (void)snprintf(c->farm, sizeof c->farm, "%s/test.leenest", c->folder);
}

static inline void web_scratch_gone(struct web_case *c)
{
    char command[128];

    (void)snprintf(command, sizeof command, "rm -rf '%s'", c->folder);
    if (system(command) != 0)
        fail_msg("%s is left over", c->folder);
}

/* The program with its words, NULL at the end; waits for it. Gives the exit code; what it prints goes nowhere. */
static inline int web_run(const char *const words[])
{
    int status = 0;
    const pid_t pid = fork();

    if (pid == 0) {
        char *argv[64] = { NULL };
        size_t n = 0;
        argv[n++] = strdup(web_program());
        for (; words[n - 1] && n < 63; n++)
            argv[n] = strdup(words[n - 1]);
        if (!freopen("/dev/null", "w", stdout) || !freopen("/dev/null", "w", stderr))
            _exit(126);
        execv(argv[0], argv);
        _exit(127);
    }
    (void)waitpid(pid, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

/* ---- the line ---- */

static inline int web_connect(const struct web_case *c)
{
    const struct sockaddr_in to = { .sin_family = AF_INET,
                                    .sin_port = htons((uint16_t)c->port),
                                    .sin_addr = { htonl(INADDR_LOOPBACK) } };
    const struct timeval wait = { .tv_sec = WEB_WAIT_S };
    const int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);

    if (fd < 0)
        return -1;
    (void)setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &wait, sizeof wait);
    (void)setsockopt(fd, SOL_SOCKET, SO_SNDTIMEO, &wait, sizeof wait);
    if (connect(fd, (const struct sockaddr *)&to, sizeof to) != 0) {
        (void)close(fd);
        return -1;
    }
    return fd;
}

static inline bool web_write(int fd, const char *bytes, size_t n)
{
    for (size_t done = 0; done < n;) {
        const ssize_t k = send(fd, bytes + done, n - done, MSG_NOSIGNAL);
        if (k <= 0)
            return false;
        done += (size_t)k;
    }
    return true;
}

/* Everything the other end says until it closes, taken apart. */
static inline struct web_got web_hear(int fd)
{
    struct web_got got = { .code = 0 };
    struct text all;
    char piece[65536];
    ssize_t n = 0;

    text_open(&all, WEB_REPLY_BYTES);
    text_open(&got.head, WEB_REPLY_BYTES);
    text_open(&got.body, WEB_REPLY_BYTES);
    while ((n = recv(fd, piece, sizeof piece, 0)) > 0)
        text_add_bytes(&all, piece, (size_t)n);
    const char *bytes = text_get(&all), *end = NULL;
    for (size_t i = 0; !end && i + 3 < all.length; i++)
        if (memcmp(bytes + i, "\r\n\r\n", 4) == 0)
            end = bytes + i + 4;
    if (end) {
        text_add_bytes(&got.head, bytes, (size_t)(end - bytes));
        text_add_bytes(&got.body, end, all.length - (size_t)(end - bytes));
        if (all.length > 12 && strncmp(bytes, "HTTP/1.", 7) == 0)
            got.code = (int)strtol(bytes + 9, NULL, 10);
    }
    text_close(&all);
    got.json = json_loadb(text_get(&got.body), got.body.length, JSON_DECODE_ANY, NULL);
    return got;
}

static inline void web_free(struct web_got *got)
{
    text_close(&got->head);
    text_close(&got->body);
    json_decref(got->json);
    got->json = NULL;
}

/* One header's value into out; false: there is none. */
static inline bool web_header(const struct web_got *got, const char *name, char *out, size_t size)
{
    const size_t n = strlen(name);

    for (const char *s = strstr(text_get(&got->head), "\r\n"); s && s[2]; s = strstr(s + 2, "\r\n")) {
        if (strncasecmp(s + 2, name, n) != 0 || s[2 + n] != ':')
            continue;
        const char *v = s + 3 + n;
        v += strspn(v, " ");
        (void)snprintf(out, size, "%.*s", (int)strcspn(v, "\r"), v);
        return true;
    }
    return false;
}

/* One request as a page of the farm sends it. type NULL: no body. */
static inline struct web_got web_ask(const struct web_case *c, const char *method, const char *path, const char *type,
                                     const char *body, size_t n)
{
    struct text out;
    struct web_got got = { .code = 0 };
    const int fd = web_connect(c);

    if (fd < 0)
        return got;
    text_open(&out, WEB_REPLY_BYTES);
    text_print(&out, "%s %s HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nSec-Fetch-Site: same-origin\r\nConnection: close\r\n",
               method, path, c->port);
    if (*c->session)
        text_print(&out, "Cookie: leenest_session=%s\r\n", c->session);
    if (type)
        text_print(&out, "Content-Type: %s\r\nContent-Length: %zu\r\n", type, n);
    text_add(&out, "\r\n");
    if (type)
        text_add_bytes(&out, body, n);
    (void)web_write(fd, text_get(&out), out.length); /* refused half-way: the reply says so */
    text_close(&out);
    got = web_hear(fd);
    (void)close(fd);
    return got;
}

static inline struct web_got web_get(const struct web_case *c, const char *path)
{
    return web_ask(c, "GET", path, NULL, NULL, 0);
}

/* body: JSON text */
static inline struct web_got web_post(const struct web_case *c, const char *path, const char *body)
{
    return web_ask(c, "POST", path, "application/json", body, strlen(body));
}

static inline struct web_got web_upload(const struct web_case *c, const char *path, const char *type, const char *bytes,
                                        size_t n)
{
    return web_ask(c, "POST", path, type, bytes, n);
}

/* ---- the program ---- */

/* Sign in with the address's own key. */
static inline void web_sign_in(struct web_case *c)
{
    char body[192], cookie[512];

    (void)snprintf(body, sizeof body, "{\"key\": \"%s\"}", c->key);
    *c->session = '\0';
    struct web_got got = web_post(c, "/api/session", body);
    if (got.code != 200 || !web_header(&got, "Set-Cookie", cookie, sizeof cookie))
        fail_msg("signing in: %d %s", got.code, text_get(&got.body));
    const char *token = strstr(cookie, "leenest_session=");
    if (!token)
        fail_msg("no session in %s", cookie);
    token += strlen("leenest_session=");
    (void)snprintf(c->session, sizeof c->session, "%.*s", (int)strcspn(token, ";"), token);
    web_free(&got);
}

/* `leenest --farm FARM serve --port 0 --no-browser ...`, extra words NULL at the end (or extra NULL); waits for its
 * address. Signed in unless c->key is empty afterwards. */
static inline void web_start_only(struct web_case *c, const char *farm, const char *const extra[])
{
    char line[512] = "";
    size_t used = 0;
    int out[2];

    if (pipe(out) != 0)
        abort();
    c->pid = fork();
    if (c->pid < 0)
        abort();
    if (c->pid == 0) {
        char *argv[32] = { strdup(web_program()), strdup("--farm"), strdup(farm),          strdup("serve"),
                           strdup("--port"),      strdup("0"),      strdup("--no-browser") };
        size_t n = 7;
        for (size_t i = 0; extra && extra[i] && n < 31; i++)
            argv[n++] = strdup(extra[i]);
        (void)dup2(out[1], 1);
        (void)close(out[0]);
        (void)close(out[1]);
        execv(argv[0], argv);
        _exit(127);
    }
    (void)close(out[1]);
    while (used + 1 < sizeof line && read(out[0], line + used, 1) == 1 && line[used] != '\n')
        used++;
    line[used] = '\0';
    (void)close(out[0]);
    const char *port = strstr(line, "127.0.0.1:"), *key = strstr(line, "#key=");
    if (!port || !key)
        fail_msg("the server said no address but \"%s\"", line);
    c->port = (int)strtol(port + 10, NULL, 10);
    (void)snprintf(c->key, sizeof c->key, "%s", key + 5);
}

static inline void web_start(struct web_case *c, const char *farm, const char *const extra[])
{
    web_start_only(c, farm, extra);
    web_sign_in(c);
}

/* signal: SIGTERM asks it to end, SIGKILL does not ask. Gives the exit code, 128 + signal when it was killed. */
static inline int web_end(struct web_case *c, int signal)
{
    int status = 0;

    if (c->pid <= 0)
        return 0;
    (void)kill(c->pid, signal);
    (void)waitpid(c->pid, &status, 0);
    c->pid = 0;
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

static inline int web_stop(struct web_case *c)
{
    return web_end(c, SIGTERM);
}

/* For the end of a group: the server ends well and nothing is left of it. */
static inline int web_done(struct web_case *c)
{
    if (web_stop(c) != 0)
        return -1;
    web_scratch_gone(c);
    return 0;
}

/* ---- looking at what came ---- */

/* "items[0].status" of the JSON; NULL: no such member. */
static inline const json_t *web_at(const struct web_got *got, const char *path)
{
    const json_t *v = got->json;

    while (v && *path) {
        const size_t n = strcspn(path, ".[");
        char name[64];
        if (n > 0) {
            (void)snprintf(name, sizeof name, "%.*s", (int)n, path);
            v = json_object_get(v, name);
            path += n;
        }
        for (; *path == '['; path += strcspn(path, "]") + 1)
            v = json_array_get(v, (size_t)strtoul(path + 1, NULL, 10));
        path += *path == '.';
    }
    return v;
}

static inline const char *web_text(const struct web_got *got, const char *path)
{
    const char *text = json_string_value(web_at(got, path));
    return text ? text : "";
}

static inline int64_t web_number(const struct web_got *got, const char *path)
{
    return json_integer_value(web_at(got, path));
}

/* The code, or the test fails with what came instead. */
#define WEB_WANT(got, wanted)                                                                                          \
    do {                                                                                                               \
        if ((got)->code != (wanted))                                                                                   \
            fail_msg("line %d: want %d, got %d: %.600s", __LINE__, (wanted), (got)->code, text_get(&(got)->body));     \
    } while (0)

/* A refusal: its code, its field, one sentence. */
#define WEB_REFUSED(got, wanted, wanted_field)                                                                         \
    do {                                                                                                               \
        WEB_WANT((got), (wanted));                                                                                     \
        if (strcmp(web_text((got), "error.field"), (wanted_field)) != 0 || !*web_text((got), "error.sentence"))        \
            fail_msg("line %d: want a sentence about \"%s\", got %.600s", __LINE__, (wanted_field),                    \
                     text_get(&(got)->body));                                                                          \
    } while (0)

#endif
