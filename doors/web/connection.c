/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Who is connected. When an address, or everybody together, has all the connections there are, one that is doing
 * nothing, or has been long about it, makes room for the newcomer: a crowd of silent ones locks nobody out.
 */
#include <arpa/inet.h>
#include <netinet/in.h>
#include <sodium.h>
#include <stdlib.h>
#include <sys/socket.h>

#include "doors/web/server.h"

static bool address_text(const struct sockaddr *from, char out[static SERVE_ADDRESS])
{
    struct sockaddr_in four;
    struct sockaddr_in6 six;

    if (from->sa_family == AF_INET) {
        memcpy(&four, from, sizeof four);
        return inet_ntop(AF_INET, &four.sin_addr, out, SERVE_ADDRESS) != NULL;
    }
    if (from->sa_family == AF_INET6) {
        memcpy(&six, from, sizeof six);
        return inet_ntop(AF_INET6, &six.sin6_addr, out, SERVE_ADDRESS) != NULL;
    }
    return false;
}

static void drop(struct connection *c)
{
    c->dropped = true;
    (void)shutdown(c->fd, SHUT_RDWR); /* the library sees the end and closes it */
}

/* Whoever has nothing to lose: first one that never finished a request, then the one idle longest. A request that has
 * been coming in for some seconds goes too. */
static struct connection *least_missed(const struct web *web, const char *address, int64_t now_ms)
{
    struct connection *least = NULL;

    for (struct connection *c = web->connections; c; c = c->next) {
        if (c->dropped || c->busy || (address && strcmp(c->address, address) != 0))
            continue;
        if (c->request_ms && now_ms - c->request_ms < SERVE_STALLED_S * 1000)
            continue;
        const bool none_done = c->n_done == 0;
        if (!least || (none_done && least->n_done > 0) ||
            (none_done == (least->n_done == 0) && c->since_ms < least->since_ms))
            least = c;
    }
    return least;
}

enum MHD_Result connection_may(void *given, const struct sockaddr *from, socklen_t n)
{
    struct web *web = given;
    char address[SERVE_ADDRESS];
    size_t all = 0, same = 0;

    (void)n;
    if (!address_text(from, address) || !door_lets(address))
        return MHD_NO;
    for (const struct connection *c = web->connections; c; c = c->next) {
        all += !c->dropped;
        same += !c->dropped && strcmp(c->address, address) == 0;
    }
    if (all < SERVE_CONNECTIONS && same < SERVE_PER_ADDRESS)
        return MHD_YES;
    struct connection *least = least_missed(web, same >= SERVE_PER_ADDRESS ? address : NULL, server_ms());
    if (!least)
        return MHD_NO;
    drop(least);
    return MHD_YES;
}

void connection_notify(void *given, struct MHD_Connection *mhd, void **context,
                       enum MHD_ConnectionNotificationCode code)
{
    struct web *web = given;
    struct connection *c = *context;

    if (code == MHD_CONNECTION_NOTIFY_CLOSED) {
        if (!c)
            return;
        *c->back = c->next;
        if (c->next)
            c->next->back = c->back;
        web->n_connections--;
        sodium_memzero(&c->cookie, sizeof c->cookie);
        free(c);
        *context = NULL;
        return;
    }
    const union MHD_ConnectionInfo *from = MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    const union MHD_ConnectionInfo *fd = MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CONNECTION_FD);
    const union MHD_ConnectionInfo *daemon = MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_DAEMON);
    c = calloc(1, sizeof *c);
    if (!c || !from || !fd || !address_text(from->client_addr, c->address)) {
        free(c); /* without its record the request is refused (serve_begin) */
        *context = NULL;
        return;
    }
    for (size_t i = 0; daemon && i < web->n_listeners; i++)
        if (web->listener[i].daemon == daemon->daemon)
            c->secure = web->listener[i].secure;
    c->web = web;
    c->fd = fd->connect_fd;
    c->since_ms = server_ms();
    c->next = web->connections;
    c->back = &web->connections;
    if (c->next)
        c->next->back = &c->next;
    web->connections = c;
    web->n_connections++;
    *context = c;
}

void connection_sweep(struct web *web, int64_t now_ms)
{
    for (struct connection *c = web->connections; c; c = c->next) {
        /* between requests it may first be idle, which the library ends by itself */
        const int64_t from_ms = c->request_ms ? c->request_ms : c->since_ms;
        const int64_t most_s = c->busy                           ? SERVE_REPLY_S
                               : c->request_ms || c->n_done == 0 ? SERVE_REQUEST_S
                                                                 : SERVE_REQUEST_S + SERVE_IDLE_S;
        if (!c->dropped && now_ms - from_ms > most_s * 1000)
            drop(c);
    }
}
