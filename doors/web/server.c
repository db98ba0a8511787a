/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The server: its addresses, its loop, its end. The one file that starts libmicrohttpd.
 */
#include "doors/web/server.h"

#include <arpa/inet.h>
#include <errno.h>
#include <malloc.h>
#include <netinet/in.h>
#include <poll.h>
#include <signal.h>
#include <stdarg.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

int64_t server_ms(void)
{
    struct timespec t;

    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

void server_log(const char *fmt, ...)
{
    char line[600];
    va_list args;

    va_start(args, fmt);
    (void)vsnprintf(line, sizeof line, fmt, args);
    va_end(args);
    for (char *s = line; *s; s++)
        if ((unsigned char)*s < 0x20)
            *s = ' ';
    (void)fprintf(stderr, "leenest serve: %s\n", line);
}

struct door *web_door(const struct web *web)
{
    return web->door;
}

/* The library's own lines (a client that hung up, a handshake that failed) name addresses and help nobody. */
static void library_says(void *web, const char *fmt, va_list args)
{
    (void)web;
    (void)fmt;
    (void)args;
}

/* ---- addresses ---- */

static int listen_at(const char *address, int port, int *bound)
{
    union {
        struct sockaddr any;
        struct sockaddr_in four;
        struct sockaddr_in6 six;
    } at = { .any = { .sa_family = AF_UNSPEC } };
    const bool six = strchr(address, ':') != NULL;
    const int on = 1;
    socklen_t n = six ? sizeof at.six : sizeof at.four;

    if (six) {
        at.six = (struct sockaddr_in6){ .sin6_family = AF_INET6, .sin6_port = htons((uint16_t)port) };
        if (inet_pton(AF_INET6, address, &at.six.sin6_addr) != 1)
            return -1;
    } else {
        at.four = (struct sockaddr_in){ .sin_family = AF_INET, .sin_port = htons((uint16_t)port) };
        if (inet_pton(AF_INET, address, &at.four.sin_addr) != 1)
            return -1;
    }
    const int fd = socket(six ? AF_INET6 : AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    if (fd < 0)
        return -1;
    (void)setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (six)
        (void)setsockopt(fd, IPPROTO_IPV6, IPV6_V6ONLY, &on, sizeof on);
    if (bind(fd, &at.any, n) != 0 || listen(fd, SERVE_CONNECTIONS) != 0 || getsockname(fd, &at.any, &n) != 0) {
        const int was = errno;
        (void)close(fd);
        errno = was;
        return -1;
    }
    *bound = ntohs(six ? at.six.sin6_port : at.four.sin_port);
    return fd;
}

static struct MHD_Daemon *daemon_at(struct web *web, int fd, const struct certificate *tls)
{
    static char priorities[] = "SECURE128:-VERS-ALL:+VERS-TLS1.3:+VERS-TLS1.2";
    const unsigned flags = MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ERROR_LOG | (tls ? MHD_USE_TLS : 0);
    struct MHD_OptionItem with_tls[] = { { MHD_OPTION_HTTPS_PRIORITIES, 0, priorities },
                                         { MHD_OPTION_END, 0, NULL },
                                         { MHD_OPTION_END, 0, NULL },
                                         { MHD_OPTION_END, 0, NULL } };

    if (tls) { /* the library's pointers are not const; it copies both */
        void *key = NULL, *chain = NULL;
        memcpy(&key, &tls->key, sizeof key);
        memcpy(&chain, &tls->chain, sizeof chain);
        with_tls[1] = (struct MHD_OptionItem){ MHD_OPTION_HTTPS_MEM_KEY, 0, key };
        with_tls[2] = (struct MHD_OptionItem){ MHD_OPTION_HTTPS_MEM_CERT, 0, chain };
    } else {
        with_tls[0] = (struct MHD_OptionItem){ MHD_OPTION_END, 0, NULL };
    }
    return MHD_start_daemon(flags, 0, connection_may, web, serve, web, MHD_OPTION_EXTERNAL_LOGGER, library_says, web,
                            MHD_OPTION_LISTEN_SOCKET, fd, MHD_OPTION_CONNECTION_LIMIT,
                            (unsigned)(SERVE_CONNECTIONS + SERVE_SPARE), MHD_OPTION_CONNECTION_TIMEOUT,
                            (unsigned)SERVE_IDLE_S, MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)SERVE_HEADERS,
                            MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_NOTIFY_CONNECTION, connection_notify, web,
                            MHD_OPTION_NOTIFY_COMPLETED, serve_end, web, MHD_OPTION_URI_LOG_CALLBACK, serve_begin, web,
                            MHD_OPTION_ARRAY, with_tls, MHD_OPTION_END);
}

static enum status add_listener(struct web *web, const char *address, int port, bool secure, struct message *why)
{
    struct listener *l = &web->listener[web->n_listeners];
    int bound = 0;
    const int fd = web->n_listeners < SERVE_LISTENERS ? listen_at(address, port, &bound) : -1;

    if (fd < 0)
        return refuse(ST_IO, why, "port",
                      errno == EADDRINUSE ? "--port: %d is taken by another program; give another, or 0 for any"
                                          : "--port: nothing can be served at %d: %s",
                      port, strerror(errno));
    *l = (struct listener){ .daemon = daemon_at(web, fd, secure ? door_tls(web->door) : NULL), .secure = secure };
    (void)snprintf(l->address, sizeof l->address, "%s", address);
    const union MHD_DaemonInfo *epoll = l->daemon ? MHD_get_daemon_info(l->daemon, MHD_DAEMON_INFO_EPOLL_FD) : NULL;
    if (!epoll) {
        if (l->daemon)
            MHD_stop_daemon(l->daemon);
        (void)close(fd);
        return refuse(ST_IO, why, "", "the server could not be started");
    }
    l->epoll_fd = epoll->epoll_fd;
    web->n_listeners++;
    web->port = bound;
    return ST_OK;
}

static void host_add(struct web *web, const char *name)
{
    const bool six = strchr(name, ':') != NULL;

    if (web->n_hosts + 2 > COUNT(web->host))
        return;
    (void)snprintf(web->host[web->n_hosts++], SERVE_HOST, six ? "[%s]:%d" : "%s:%d", name, web->port);
    if (web->port == 80 || web->port == 443) /* a browser leaves the usual port out */
        (void)snprintf(web->host[web->n_hosts++], SERVE_HOST, six ? "[%s]" : "%s", name);
}

static void hosts(struct web *web)
{
    const struct reached *r = door_reached(web->door);

    web->n_hosts = 0;
    host_add(web, "127.0.0.1");
    host_add(web, "localhost");
    host_add(web, "::1");
    for (size_t i = 0; i < r->n_names; i++)
        host_add(web, r->name[i]);
    for (size_t i = 0; i < r->n_addresses; i++)
        host_add(web, r->address[i]);
}

static bool listens(const struct web *web, const char *address)
{
    for (size_t i = 0; i < web->n_listeners; i++)
        if (strcmp(web->listener[i].address, address) == 0)
            return true;
    return false;
}

/* With --lan: every private address of this machine, by TLS alone. */
static void lan_listeners(struct web *web)
{
    const struct reached *r = door_reached(web->door);

    for (size_t i = 0; door_lan(web->door) && i < r->n_addresses; i++) {
        struct message why = { "", "" };
        if (!reached_is_loopback(r->address[i]) && !listens(web, r->address[i]) &&
            add_listener(web, r->address[i], web->port, true, &why) != ST_OK)
            server_log("one of this machine's addresses cannot be served: %s", why.text);
    }
}

static enum status open_listeners(struct web *web, struct message *why)
{
    enum status st = add_listener(web, "127.0.0.1", web->how->port, false, why);
    struct message no_six = { "", "" };

    if (st != ST_OK)
        return st;
    if (add_listener(web, "::1", web->port, false, &no_six) != ST_OK && errno == EADDRINUSE)
        return refuse(ST_IO, why, "port", "%s", no_six.text);
    lan_listeners(web);
    hosts(web);
    door_port(web->door, web->port);
    return ST_OK;
}

/* This machine has other addresses than before: those by TLS are served anew, with a certificate for them. Waits for
 * what is being answered there. */
static void follow_addresses(struct web *web)
{
    struct message why = { "", "" };
    size_t plain = 0;

    if (!door_moved(web->door))
        return;
    for (const struct connection *c = web->connections; c; c = c->next)
        if (c->secure && c->request_ms)
            return;
    while (plain < web->n_listeners && !web->listener[plain].secure)
        plain++;
    for (size_t i = plain; i < web->n_listeners; i++)
        MHD_stop_daemon(web->listener[i].daemon);
    web->n_listeners = plain;
    if (door_again(web->door, (int64_t)time(NULL), &why) != ST_OK)
        server_log("this machine's new address cannot be served: %s", why.text);
    else
        server_log("this machine's address has changed; phones that know the old one do not find it");
    lan_listeners(web);
    hosts(web);
}

/* ---- the loop ---- */

/* `all`: connections were woken, which shows in no descriptor. */
static void run_listeners(struct web *web, const struct pollfd fds[], bool all, int64_t slept_ms)
{
    for (size_t i = 0; i < web->n_listeners; i++) {
        MHD_UNSIGNED_LONG_LONG due_ms = 0;
        const bool due = MHD_get_timeout(web->listener[i].daemon, &due_ms) == MHD_YES && (int64_t)due_ms <= slept_ms;
        if (all || due || fds[i].revents)
            (void)MHD_run(web->listener[i].daemon);
    }
}

static int next_wait_ms(const struct web *web)
{
    const int64_t ahead_ms = web->ahead_ms - server_ms();
    int wait_ms = ahead_ms < 1000 ? ahead_ms > 0 ? (int)ahead_ms : 0 : 1000;

    for (size_t i = 0; i < web->n_listeners; i++) {
        MHD_UNSIGNED_LONG_LONG due_ms = 0;
        if (MHD_get_timeout(web->listener[i].daemon, &due_ms) == MHD_YES && due_ms < (unsigned)wait_ms)
            wait_ms = (int)due_ms;
    }
    return wait_ms;
}

static bool anyone_served(const struct web *web)
{
    for (const struct connection *c = web->connections; c; c = c->next)
        if (c->request_ms)
            return true;
    return false;
}

static bool look_is_due(const struct web *web)
{
    const int64_t now_ms = server_ms(), from_ms = web->answered_ms ? web->answered_ms : web->begun_ms;

    return web->look_owed &&
           (now_ms >= web->begun_ms + SERVE_OWED_MS || (now_ms >= from_ms + SERVE_QUIET_MS && !anyone_served(web)));
}

static void listen_no_more(struct web *web)
{
    web->stopping = true;
    server_log("stopping");
    for (size_t i = 0; i < web->n_listeners; i++) {
        const int fd = MHD_quiesce_daemon(web->listener[i].daemon);
        if (fd >= 0)
            (void)close(fd);
    }
}

/* One heap for all threads, which gives back what it no longer needs: a heap of each thread's own grows page by page
 * and keeps what the largest answer took. */
static void heap(void)
{
#ifdef __GLIBC__
    (void)mallopt(M_ARENA_MAX, 1);
    (void)mallopt(M_MMAP_THRESHOLD, 128 * 1024);
    (void)mallopt(M_TRIM_THRESHOLD, 512 * 1024);
#endif
}

static void heap_give_back(void)
{
#ifdef __GLIBC__
    (void)malloc_trim(0);
#endif
}

/* Until a signal comes; then until what is being answered is answered. */
static void loop(struct web *web, int signals)
{
    int64_t swept_ms = server_ms(), looked_ms = swept_ms, stop_ms = 0;

    web->begun_ms = swept_ms;
    web->ahead_ms = swept_ms + SERVE_AHEAD_MS;
    daily_begin(&web->daily, web->how->farm_path, swept_ms);
    while (!web->stopping || (anyone_served(web) && server_ms() < stop_ms)) {
        struct pollfd fds[SERVE_LISTENERS + 2];
        const size_t n = web->n_listeners;

        for (size_t i = 0; i < n; i++)
            fds[i] = (struct pollfd){ .fd = web->listener[i].epoll_fd, .events = POLLIN };
        fds[n] = (struct pollfd){ .fd = web->work.wake, .events = POLLIN };
        fds[n + 1] = (struct pollfd){ .fd = web->stopping ? -1 : signals, .events = POLLIN };
        const int64_t before_ms = server_ms();
        if (poll(fds, n + 2, next_wait_ms(web)) < 0) /* EINTR: a debugger */
            memset(fds, 0, sizeof fds);
        if (fds[n].revents)
            serve_done(web);
        run_listeners(web, fds, fds[n].revents != 0, server_ms() - before_ms);
        if (server_ms() >= web->ahead_ms && !web->stopping)
            serve_ahead(web);
        if (look_is_due(web))
            serve_look(web);
        if (door_key_used(web->door))
            show_page_over(web);
        if (fds[n + 1].revents && !web->stopping) {
            stop_ms = server_ms() + SERVE_STOP_S * 1000;
            listen_no_more(web);
        }
        if (server_ms() - swept_ms >= 1000) {
            swept_ms = server_ms();
            connection_sweep(web, swept_ms);
            if (web->heap_used) { /* what the workers have let go of, also where something kept lies above it */
                web->heap_used = false;
                heap_give_back();
            }
            if (!web->stopping)
                daily_tick(&web->daily, swept_ms);
            if (!web->stopping && swept_ms - looked_ms >= SERVE_LOOK_S * 1000) {
                looked_ms = swept_ms;
                follow_addresses(web);
            }
        }
    }
    serve_look(web); /* who came in just now is still to be written down */
}

/* ---- from start to end ---- */

static enum status signals_open(int *fd, struct message *why)
{
    sigset_t set;

    (void)sigemptyset(&set);
    (void)sigaddset(&set, SIGTERM);
    (void)sigaddset(&set, SIGINT);
    (void)sigaddset(&set, SIGHUP);
    (void)signal(SIGPIPE, SIG_IGN);
    if (pthread_sigmask(SIG_BLOCK, &set, NULL) != 0)
        return refuse(ST_IO, why, "", "signals cannot be blocked");
    *fd = signalfd(-1, &set, SFD_CLOEXEC | SFD_NONBLOCK);
    return *fd >= 0 ? ST_OK : refuse(ST_IO, why, "", "signals cannot be read: %s", strerror(errno));
}

static enum status door_ready(struct web *web, struct message *why)
{
    struct farm *farm = NULL;

    web->look_owed = !web->how->lan;
    enum status st = web->how->lan ? serve_farm(web, &farm, why) : ST_OK; /* else it is opened when first asked */
    const struct door_how how = { .farm_path = web->how->farm_path,
                                  .farm = farm,
                                  .lan = web->how->lan,
                                  .writes_later = web->look_owed,
                                  .names = web->how->names,
                                  .now_utc_s = (int64_t)time(NULL) };
    return st == ST_OK ? door_open(&how, &web->door, why) : st;
}

static void say_where(const struct web *web)
{
    (void)printf("http://127.0.0.1:%d/#key=%s\n", web->port, door_key(web->door));
    const char *best = door_lan(web->door) ? door_reached(web->door)->best : NULL;
    if (best)
        (void)printf(strchr(best, ':') ? "https://[%s]:%d/\n" : "https://%s:%d/\n", best, web->port);
    (void)fflush(stdout);
}

static void close_all(struct web *web)
{
    daily_end(&web->daily);
    work_close(&web->work);
    if (web->work.web)
        serve_done(web);
    for (size_t i = 0; i < web->n_listeners; i++) {
        (void)MHD_run(web->listener[i].daemon);
        MHD_stop_daemon(web->listener[i].daemon);
    }
    kept_clear(&web->kept);
    farm_close(web->farm);
    door_close(web->door);
    if (web->work.web && web->work.wake >= 0)
        (void)close(web->work.wake);
}

enum status web_serve(const struct web_how *how, struct message *why)
{
    struct web *web = calloc(1, sizeof *web);
    int signals = -1;

    if (!web)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    web->how = how;
    heap();
    farm_uncounted(); /* these two before there are threads */
    json_object_seed(0);
    enum status st = signals_open(&signals, why);
    if (st == ST_OK)
        st = work_open(&web->work, web, why);
    if (st == ST_OK)
        st = door_ready(web, why);
    if (st == ST_OK)
        st = open_listeners(web, why);
    if (st == ST_OK) {
        say_where(web);
        if (!how->no_browser)
            show_page(web);
        loop(web, signals);
    }
    close_all(web);
    show_page_over(web);
    free(web);
    if (signals >= 0)
        (void)close(signals);
    return st;
}
