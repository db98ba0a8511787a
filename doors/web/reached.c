/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/reached.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <netinet/in.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

/* An address as 16 bytes; IPv4 in its mapped form. False: none. */
static bool bytes_of(const char *address, unsigned char out[static 16])
{
    static const unsigned char mapped[12] = { [10] = 0xff, [11] = 0xff };
    struct in_addr v4;

    if (inet_pton(AF_INET, address, &v4) == 1) {
        memcpy(out, mapped, sizeof mapped);
        memcpy(out + 12, &v4, 4);
        return true;
    }
    return inet_pton(AF_INET6, address, out) == 1;
}

static bool is_v4(const unsigned char b[static 16])
{
    static const unsigned char mapped[12] = { [10] = 0xff, [11] = 0xff };
    return memcmp(b, mapped, sizeof mapped) == 0;
}

bool reached_is_loopback(const char *address)
{
    static const unsigned char one[16] = { [15] = 1 };
    unsigned char b[16];

    return address && bytes_of(address, b) && (is_v4(b) ? b[12] == 127 : memcmp(b, one, 16) == 0);
}

bool reached_is_private(const char *address)
{
    unsigned char b[16];

    if (!address || !bytes_of(address, b))
        return false;
    if (reached_is_loopback(address))
        return true;
    if (is_v4(b))
        return b[12] == 10 || (b[12] == 172 && (b[13] & 0xf0) == 16) || (b[12] == 192 && b[13] == 168) ||
               (b[12] == 169 && b[13] == 254);
    return (b[0] & 0xfe) == 0xfc || (b[0] == 0xfe && (b[1] & 0xc0) == 0x80);
}

/* Letters, digits and hyphens between dots (RFC 1123, 2.1). */
static bool is_host(const char *name)
{
    size_t label = 0;

    for (const char *s = name;; s++) {
        if (*s == '.' || !*s) {
            if (label == 0 || label > 63 || s[-1] == '-')
                return false;
            if (!*s)
                return s - name <= 253;
            label = 0;
        } else if ((*s >= 'a' && *s <= 'z') || (*s >= '0' && *s <= '9') || (*s == '-' && label > 0)) {
            label++;
        } else {
            return false;
        }
    }
}

bool reached_is_name(const char *name)
{
    static const char below[] = ".home.arpa";
    const size_t n = strlen(name), k = sizeof below - 1;

    return strcmp(name, "localhost") == 0 || (is_host(name) && n > k && strcmp(name + n - k, below) == 0);
}

static void add(const char **list, size_t *n, const char *text)
{
    for (size_t i = 0; text && i < *n; i++)
        if (strcmp(list[i], text) == 0)
            return;
    if (text && *n < REACHED_MOST)
        list[(*n)++] = text;
}

static const char *lower(struct arena *mem, const char *text, size_t n)
{
    char *copy = arena_bytes(mem, text, n);

    for (char *c = copy; c && *c; c++)
        if (*c >= 'A' && *c <= 'Z')
            *c = (char)(*c - 'A' + 'a');
    return copy;
}

static enum status add_given(const char *names, struct arena *mem, struct reached *r, struct message *why)
{
    for (const char *s = names; s && *s;) {
        const size_t n = strcspn(s, ",");
        const char *name = lower(mem, s, n);
        if (!name)
            return refuse(ST_NO_MEMORY, why, "", "out of memory");
        if (!reached_is_name(name))
            return refuse(ST_BAD_INPUT, why, "names",
                          "\"%.60s\" is no name the farm's certificate can carry; give one that ends in .home.arpa, "
                          "barn.home.arpa for example",
                          name);
        if (r->n_names >= REACHED_MOST - 1)
            return refuse(ST_BAD_INPUT, why, "names", "more than %d names; give fewer", (int)REACHED_MOST - 2);
        add(r->name, &r->n_names, name);
        r->best = r->best ? r->best : name;
        s += n + (s[n] == ',');
    }
    return ST_OK;
}

/* Text of a socket address; NULL: of another family. */
static const char *text_of(const struct sockaddr *a, struct arena *mem)
{
    char text[INET6_ADDRSTRLEN];
    struct sockaddr_in v4;
    struct sockaddr_in6 v6;

    if (a->sa_family == AF_INET) {
        memcpy(&v4, a, sizeof v4);
        return inet_ntop(AF_INET, &v4.sin_addr, text, sizeof text) ? arena_text(mem, text) : NULL;
    }
    if (a->sa_family == AF_INET6) {
        memcpy(&v6, a, sizeof v6);
        return inet_ntop(AF_INET6, &v6.sin6_addr, text, sizeof text) ? arena_text(mem, text) : NULL;
    }
    return NULL;
}

/* The address with which this machine would go out: the one on the network where a phone is too. Nothing is sent; a
 * datagram socket that is "connected" only looks up its way. 203.0.113.0/24 belongs to nobody (RFC 5737). */
static const char *way_out(struct arena *mem)
{
    struct sockaddr_in to = { .sin_family = AF_INET, .sin_port = htons(9) }, own;
    struct sockaddr plain;
    socklen_t n = sizeof own;
    const char *text = NULL;
    const int fd = socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0);

    if (fd < 0)
        return NULL;
    memset(&own, 0, sizeof own);
    if (inet_pton(AF_INET, "203.0.113.1", &to.sin_addr) == 1) {
        memcpy(&plain, &to, sizeof plain);
        if (connect(fd, &plain, sizeof to) == 0 && getsockname(fd, &plain, &n) == 0 && n == sizeof own)
            text = text_of(&plain, mem);
    }
    (void)close(fd);
    return text;
}

static void machine_name(struct arena *mem, struct reached *r)
{
    char host[256] = "";

    if (gethostname(host, sizeof host - 1) != 0)
        return;
    const char *name = lower(mem, host, strcspn(host, "."));
    const char *whole = name ? arena_print(mem, "%s.home.arpa", name) : NULL;
    if (whole && reached_is_name(whole))
        add(r->name, &r->n_names, whole);
}

enum status reached_find(const char *names, struct arena *mem, struct reached *r, struct message *why)
{
    struct ifaddrs *list = NULL;

    *r = (struct reached){ .n_names = 0 };
    add(r->name, &r->n_names, "localhost");
    machine_name(mem, r);
    const enum status st = add_given(names, mem, r, why);
    if (st != ST_OK)
        return st;
    add(r->address, &r->n_addresses, "127.0.0.1");
    add(r->address, &r->n_addresses, "::1");
    const char *out = way_out(mem);
    if (out && reached_is_private(out))
        add(r->address, &r->n_addresses, out);
    if (getifaddrs(&list) != 0)
        return refuse(ST_IO, why, "", "the addresses of this machine could not be listed");
    for (const struct ifaddrs *i = list; i; i = i->ifa_next) {
        const char *text = i->ifa_addr ? text_of(i->ifa_addr, mem) : NULL;
        if (text && reached_is_private(text) &&
            strncmp(text, "fe80:", 5) != 0) /* those need a zone: no browser takes it */
            add(r->address, &r->n_addresses, text);
    }
    freeifaddrs(list);
    for (size_t i = 0; i < r->n_addresses && !r->best; i++)
        if (!reached_is_loopback(r->address[i]))
            r->best = r->address[i];
    return arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : ST_OK;
}

static bool all_in(const char *const *a, size_t n, const char *const *b, size_t m)
{
    for (size_t i = 0; i < n; i++) {
        bool found = false;
        for (size_t k = 0; k < m && !found; k++)
            found = strcmp(a[i], b[k]) == 0;
        if (!found)
            return false;
    }
    return n == m;
}

bool reached_same(const struct reached *a, const struct reached *b)
{
    return all_in(a->name, a->n_names, b->name, b->n_names) &&
           all_in(a->address, a->n_addresses, b->address, b->n_addresses);
}
