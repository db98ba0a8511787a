/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "small_server.h"

#include <arpa/inet.h>
#include <errno.h>
#include <gnutls/gnutls.h>
#include <gnutls/x509.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>
#include <zlib.h>

struct line { /* one connection, plain or TLS */
    int fd;
    gnutls_session_t tls;
};

static long line_read(const struct line *l, char *bytes, size_t n)
{
    return l->tls ? (long)gnutls_record_recv(l->tls, bytes, n) : (long)recv(l->fd, bytes, n, 0);
}

static bool line_write(const struct line *l, const char *bytes, size_t n)
{
    while (n > 0) {
        const long sent =
            l->tls ? (long)gnutls_record_send(l->tls, bytes, n) : (long)send(l->fd, bytes, n, MSG_NOSIGNAL);

        if (sent <= 0)
            return false;
        bytes += sent;
        n -= (size_t)sent;
    }
    return true;
}

static bool read_head(const struct line *l, char head[static SERVER_HEAD])
{
    size_t n = 0;

    head[0] = 0;
    while (n + 1 < SERVER_HEAD) {
        const long got = line_read(l, &head[n], SERVER_HEAD - 1 - n);

        if (got <= 0)
            return false;
        n += (size_t)got;
        head[n] = 0;
        if (strstr(head, "\r\n\r\n"))
            return true;
    }
    return false;
}

static char *gzipped(const char *bytes, size_t n, size_t *packed)
{
    const size_t room = compressBound((uLong)n) + 64;
    char *out = malloc(room);
    z_stream z = { 0 };

    if (!out || deflateInit2(&z, 9, Z_DEFLATED, 31, 8, Z_DEFAULT_STRATEGY) != Z_OK)
        abort();
    z.next_in = (Bytef *)(size_t)bytes;
    z.avail_in = (uInt)n;
    z.next_out = (Bytef *)out;
    z.avail_out = (uInt)room;
    if (deflate(&z, Z_FINISH) != Z_STREAM_END)
        abort();
    *packed = z.total_out;
    (void)deflateEnd(&z);
    return out;
}

static void nap_ms(long ms)
{
    const struct timespec t = { ms / 1000, (ms % 1000) * 1000000 };

    (void)nanosleep(&t, NULL);
}

static void pour(const struct line *l, const struct scene *sc, const char *body, size_t n)
{
    const struct linger now = { 1, 0 };

    switch (sc->manner) {
    case WHOLE:
    case GZIPPED: (void)line_write(l, body, n); break;
    case RESET_HALFWAY:
        (void)line_write(l, body, n / 2);
        nap_ms(30);
        (void)setsockopt(l->fd, SOL_SOCKET, SO_LINGER, &now, sizeof now);
        break;
    case CUT_HALFWAY: (void)line_write(l, body, n / 2); break;
    case ENDLESS:
        while (line_write(l, body, n))
            ;
        break;
    case ENDLESS_HEAD:
        while (line_write(l, "X-More: and more and more\r\n", 27))
            ;
        break;
    case DRIP:
        for (size_t i = 0; i < n && line_write(l, &body[i], 1); i++)
            nap_ms(50);
        break;
    case HANG_UP: break;
    }
}

static void play(const struct line *l, const struct scene *sc)
{
    const char *head = sc->head ? sc->head : "Content-Type: application/geo+json\r\n";
    const char *plain = sc->body ? sc->body : "";
    size_t n = strlen(plain);
    char *packed = NULL, top[256];

    if (sc->manner == HANG_UP)
        return;
    if (sc->manner == GZIPPED)
        packed = gzipped(plain, n, &n);
    (void)snprintf(top, sizeof top, "HTTP/1.1 %d Words\r\nConnection: close\r\n", sc->status);
    if (!line_write(l, top, strlen(top)) || !line_write(l, head, strlen(head))) {
        free(packed);
        return;
    }
    if (sc->manner == GZIPPED)
        (void)line_write(l, "Content-Encoding: gzip\r\n", 24);
    if (sc->manner != ENDLESS && sc->manner != ENDLESS_HEAD) {
        (void)snprintf(top, sizeof top, "Content-Length: %zu\r\n", n);
        (void)line_write(l, top, strlen(top));
    }
    if (sc->manner != ENDLESS_HEAD)
        (void)line_write(l, "\r\n", 2);
    pour(l, sc, packed ? packed : plain, n);
    free(packed);
}

static const struct scene *choose(struct server *s, const char *head)
{
    static const struct scene nothing = { NULL, 599, NULL, "{}", WHOLE, 0 };
    const struct scene *found = &nothing;
    const char *line_end = strstr(head, "\r\n");

    (void)pthread_mutex_lock(&s->lock);
    if (s->n_log < SERVER_LOG)
        (void)snprintf(s->log[s->n_log++], SERVER_HEAD, "%s", head);
    for (int i = 0; i < s->n_scenes; i++) {
        const struct scene *sc = &s->scene[i];
        const char *at = sc->path ? strstr(head, sc->path) : head;

        if (!at || at > line_end || (sc->times > 0 && s->played[i] >= sc->times))
            continue;
        s->played[i]++;
        found = sc;
        break;
    }
    (void)pthread_mutex_unlock(&s->lock);
    return found;
}

static void serve(struct server *s, int fd)
{
    static const struct timeval patience = { 10, 0 };
    struct line l = { fd, NULL };
    char head[SERVER_HEAD];

    (void)setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    (void)setsockopt(fd, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof patience);
    if (s->tls) {
        if (gnutls_init(&l.tls, GNUTLS_SERVER | GNUTLS_NO_SIGNAL) != 0 || gnutls_set_default_priority(l.tls) != 0 ||
            gnutls_credentials_set(l.tls, GNUTLS_CRD_CERTIFICATE, s->credentials) != 0)
            abort();
        gnutls_transport_set_int(l.tls, fd);
    }
    if ((!l.tls || gnutls_handshake(l.tls) == 0) && read_head(&l, head))
        play(&l, choose(s, head));
    if (l.tls) {
        (void)gnutls_bye(l.tls, GNUTLS_SHUT_WR);
        gnutls_deinit(l.tls);
    }
    (void)close(fd);
}

static void *run(void *own)
{
    struct server *s = own;

    for (;;) {
        const int fd = accept(s->listening, NULL, NULL);

        if (fd < 0 && errno == EINTR)
            continue;
        if (fd < 0)
            return NULL; /* shut down */
        serve(s, fd);
    }
}

bool server_open(struct server *s, const char *certificate, const char *key)
{
    struct sockaddr_in a = { .sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK) };
    socklen_t n = sizeof a;
    gnutls_certificate_credentials_t credentials = NULL;

    memset(s, 0, sizeof *s);
    s->listening = socket(AF_INET, SOCK_STREAM, 0);
    if (s->listening < 0 || bind(s->listening, (struct sockaddr *)&a, sizeof a) != 0 || listen(s->listening, 8) != 0 ||
        getsockname(s->listening, (struct sockaddr *)&a, &n) != 0)
        return false;
    s->port = ntohs(a.sin_port);
    if (certificate) {
        s->tls = true;
        if (gnutls_certificate_allocate_credentials(&credentials) != 0 ||
            gnutls_certificate_set_x509_key_file(credentials, certificate, key, GNUTLS_X509_FMT_PEM) != 0)
            return false;
        s->credentials = credentials;
    }
    (void)snprintf(s->base, sizeof s->base, "%s://127.0.0.1:%d", s->tls ? "https" : "http", s->port);
    return pthread_mutex_init(&s->lock, NULL) == 0 && pthread_create(&s->thread, NULL, run, s) == 0;
}

void server_close(struct server *s)
{
    (void)shutdown(s->listening, SHUT_RDWR);
    (void)pthread_join(s->thread, NULL);
    (void)close(s->listening);
    (void)pthread_mutex_destroy(&s->lock);
    if (s->credentials)
        gnutls_certificate_free_credentials(s->credentials);
}

void server_play(struct server *s, int n, const struct scene scene[])
{
    (void)pthread_mutex_lock(&s->lock);
    s->n_log = 0;
    s->n_scenes = n < SERVER_SCENES ? n : SERVER_SCENES;
    for (int i = 0; i < s->n_scenes; i++) {
        s->scene[i] = scene[i];
        s->played[i] = 0;
    }
    (void)pthread_mutex_unlock(&s->lock);
}

int server_asked(struct server *s)
{
    int n;

    (void)pthread_mutex_lock(&s->lock);
    n = s->n_log;
    (void)pthread_mutex_unlock(&s->lock);
    return n;
}

const char *server_request(struct server *s, int i)
{
    return i < server_asked(s) ? s->log[i] : "";
}

static bool write_file(const char *path, const gnutls_datum_t *d)
{
    FILE *f = fopen(path, "wb");
    bool good = f && fwrite(d->data, 1, d->size, f) == d->size;

    if (f && fclose(f) != 0)
        good = false;
    return good;
}

bool server_certificate(const char *certificate, const char *key, const char *name, int begin_days, int days)
{
    const unsigned char serial[] = { 7 }, address[] = { 127, 0, 0, 1 };
    const time_t begin = time(NULL) + (time_t)begin_days * 86400;
    const bool number = strcmp(name, "127.0.0.1") == 0;
    gnutls_x509_privkey_t k = NULL;
    gnutls_x509_crt_t c = NULL;
    gnutls_datum_t pem_c = { NULL, 0 }, pem_k = { NULL, 0 };
    const bool good =
        gnutls_x509_privkey_init(&k) == 0 && gnutls_x509_crt_init(&c) == 0 &&
        gnutls_x509_privkey_generate(k, GNUTLS_PK_ECDSA, GNUTLS_CURVE_TO_BITS(GNUTLS_ECC_CURVE_SECP256R1), 0) == 0 &&
        gnutls_x509_crt_set_version(c, 3) == 0 && gnutls_x509_crt_set_serial(c, serial, sizeof serial) == 0 &&
        gnutls_x509_crt_set_activation_time(c, begin) == 0 &&
        gnutls_x509_crt_set_expiration_time(c, begin + (time_t)days * 86400) == 0 &&
        gnutls_x509_crt_set_dn(c, "CN=a made-up weather service", NULL) == 0 &&
        (number
             ? gnutls_x509_crt_set_subject_alt_name(c, GNUTLS_SAN_IPADDRESS, address, sizeof address, GNUTLS_FSAN_SET)
             : gnutls_x509_crt_set_subject_alt_name(c, GNUTLS_SAN_DNSNAME, name, (unsigned)strlen(name),
                                                    GNUTLS_FSAN_SET)) == 0 &&
        gnutls_x509_crt_set_basic_constraints(c, 1, 0) == 0 &&
        gnutls_x509_crt_set_key_usage(c, GNUTLS_KEY_DIGITAL_SIGNATURE | GNUTLS_KEY_KEY_CERT_SIGN) == 0 &&
        gnutls_x509_crt_set_key(c, k) == 0 && gnutls_x509_crt_sign2(c, c, k, GNUTLS_DIG_SHA256, 0) == 0 &&
        gnutls_x509_crt_export2(c, GNUTLS_X509_FMT_PEM, &pem_c) == 0 &&
        gnutls_x509_privkey_export2(k, GNUTLS_X509_FMT_PEM, &pem_k) == 0 && write_file(certificate, &pem_c) &&
        write_file(key, &pem_k);

    gnutls_free(pem_c.data);
    gnutls_free(pem_k.data);
    gnutls_x509_crt_deinit(c);
    gnutls_x509_privkey_deinit(k);
    return good;
}
