/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <gnutls/crypto.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/base/civil.h"
#include "core/base/text.h"
#include "doors/web/certificate_own.h"

enum { FILE_BYTES = 64 * 1024, PATH = 4096 };

const char *certificate_folder(const char *farm_path, struct arena *mem)
{
    return arena_print(mem, "%s.door", farm_path);
}

/* ---- small files ---- */

static enum status path_of(char out[static PATH], const char *folder, const char *name, const char *end,
                           struct message *why)
{
    const int n = snprintf(out, PATH, "%s/%s%s", folder, name, end);
    return n > 0 && n < PATH ? ST_OK : refuse(ST_BAD_INPUT, why, "farm", "the path of the farm file is too long");
}

static enum status write_all(int fd, const char *bytes, size_t n, const char *path, struct message *why)
{
    for (size_t done = 0; done < n;) {
        const ssize_t w = write(fd, bytes + done, n - done);
        if (w < 0 && errno != EINTR)
            return refuse(ST_IO, why, "", "%s: %s", path, strerror(errno));
        done += w > 0 ? (size_t)w : 0;
    }
    return fsync(fd) == 0 ? ST_OK : refuse(ST_IO, why, "", "%s: %s", path, strerror(errno));
}

static enum status sync_folder(const char *folder, struct message *why)
{
    const int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool good = fd >= 0 && fsync(fd) == 0;
    const int failed = errno;

    if (fd >= 0)
        (void)close(fd);
    return good ? ST_OK : refuse(ST_IO, why, "", "%s: %s", folder, strerror(failed));
}

enum status file_put(const char *folder, const char *name, const char *bytes, size_t n, struct message *why)
{
    char path[PATH], part[PATH];
    enum status st = path_of(path, folder, name, "", why);

    if (st == ST_OK)
        st = path_of(part, folder, name, ".part", why);
    if (st != ST_OK)
        return st;
    if (unlink(part) != 0 && errno != ENOENT) /* left over from one that was cut short */
        return refuse(ST_IO, why, "", "%s: %s", part, strerror(errno));
    const int fd = open(part, O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (fd < 0)
        return refuse(ST_IO, why, "", "%s: %s", part, strerror(errno));
    st = write_all(fd, bytes, n, part, why);
    if (close(fd) != 0 && st == ST_OK)
        st = refuse(ST_IO, why, "", "%s: %s", part, strerror(errno));
    if (st == ST_OK && rename(part, path) != 0)
        st = refuse(ST_IO, why, "", "%s: %s", path, strerror(errno));
    if (st != ST_OK)
        (void)unlink(part); /* the first reason stays */
    return st == ST_OK ? sync_folder(folder, why) : st;
}

/* ST_NOT_FOUND: there is no such file. */
static enum status file_get(const char *folder, const char *name, struct arena *mem, gnutls_datum_t *out,
                            struct message *why)
{
    char path[PATH];
    enum status st = path_of(path, folder, name, "", why);

    if (st != ST_OK)
        return st;
    const int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    if (fd < 0)
        return refuse(errno == ENOENT ? ST_NOT_FOUND : ST_IO, why, "", "%s: %s", path, strerror(errno));
    unsigned char *bytes = arena_get(mem, FILE_BYTES, 1);
    size_t n = 0;
    ssize_t got = bytes ? 1 : 0;
    while (got > 0 && n < FILE_BYTES - 1 && (got = read(fd, bytes + n, FILE_BYTES - 1 - n)) > 0)
        n += (size_t)got;
    const int failed = errno;
    (void)close(fd);
    if (!bytes)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (got < 0)
        return refuse(ST_IO, why, "", "%s: %s", path, strerror(failed));
    *out = (gnutls_datum_t){ bytes, (unsigned)n };
    return ST_OK;
}

/* ---- what is kept together ---- */

enum { CHAIN = 3 };
struct kept { /* a key with its certificate and those above it */
    gnutls_x509_privkey_t key;
    gnutls_x509_crt_t crt[CHAIN];
    unsigned n;
};

static void kept_close(struct kept *k)
{
    for (unsigned i = 0; i < k->n; i++)
        gnutls_x509_crt_deinit(k->crt[i]);
    if (k->key)
        gnutls_x509_privkey_deinit(k->key);
    *k = (struct kept){ NULL, { NULL }, 0 };
}

static bool belongs(const struct kept *k)
{
    unsigned char a[20], b[20];
    size_t n = sizeof a, m = sizeof b;

    return gnutls_x509_privkey_get_key_id(k->key, GNUTLS_KEYID_USE_SHA1, a, &n) >= 0 &&
           gnutls_x509_crt_get_key_id(k->crt[0], GNUTLS_KEYID_USE_SHA1, b, &m) >= 0 && n == m && memcmp(a, b, n) == 0;
}

/* Key, certificate, and n - 1 certificates above it. */
static enum status kept_read(const char *folder, const char *name, unsigned n, struct arena *mem, struct kept *k,
                             struct message *why)
{
    gnutls_datum_t bytes = { NULL, 0 };
    enum status st = file_get(folder, name, mem, &bytes, why);

    *k = (struct kept){ NULL, { NULL }, 0 };
    if (st != ST_OK)
        return st;
    unsigned got = CHAIN;
    int rc = gnutls_x509_privkey_init(&k->key);
    if (rc >= 0)
        rc = gnutls_x509_privkey_import(k->key, &bytes, GNUTLS_X509_FMT_PEM);
    if (rc >= 0)
        rc = gnutls_x509_crt_list_import(k->crt, &got, &bytes, GNUTLS_X509_FMT_PEM,
                                         GNUTLS_X509_CRT_LIST_IMPORT_FAIL_IF_EXCEED);
    k->n = rc >= 0 ? got : 0;
    if (rc >= 0 && got == n && belongs(k))
        return ST_OK;
    kept_close(k);
    return refuse(ST_IO, why, "",
                  "%s/%s cannot be read as a key with its certificate; take the folder away and phones "
                  "have to be set up anew",
                  folder, name);
}

static int add_crt(struct text *out, gnutls_x509_crt_t crt)
{
    gnutls_datum_t pem = { NULL, 0 };
    const int rc = gnutls_x509_crt_export2(crt, GNUTLS_X509_FMT_PEM, &pem);

    if (rc >= 0)
        text_add_bytes(out, (const char *)pem.data, pem.size);
    gnutls_free(pem.data);
    return rc;
}

static int add_key(struct text *out, gnutls_x509_privkey_t key)
{
    gnutls_datum_t pem = { NULL, 0 };
    const int rc = gnutls_x509_privkey_export2_pkcs8(key, GNUTLS_X509_FMT_PEM, NULL, GNUTLS_PKCS_PLAIN, &pem);

    if (rc >= 0) {
        text_add_bytes(out, (const char *)pem.data, pem.size);
        gnutls_memset(pem.data, 0, pem.size);
    }
    gnutls_free(pem.data);
    return rc;
}

static enum status kept_write(const char *folder, const char *name, const struct kept *k, struct message *why)
{
    struct text out;

    text_open(&out, FILE_BYTES);
    int rc = add_key(&out, k->key);
    for (unsigned i = 0; i < k->n && rc >= 0; i++)
        rc = add_crt(&out, k->crt[i]);
    enum status st = certificate_status(rc, "writing it out", why);
    if (st == ST_OK && text_full(&out))
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK)
        st = file_put(folder, name, text_get(&out), out.length, why);
    if (out.bytes)
        gnutls_memset(out.bytes, 0, out.length);
    text_close(&out);
    return st;
}

/* ---- authority and issuer ---- */

/* A new authority signs the issuer, and its key goes at once. */
static enum status issuer_make(const char *folder, int64_t now_utc_s, struct kept *issuer, struct message *why)
{
    struct kept authority = { NULL, { NULL }, 0 };
    unsigned char mark[4] = { 0 };
    char called[2][48];
    struct text pem;

    *issuer = (struct kept){ NULL, { NULL }, 0 };
    int rc = gnutls_rnd(GNUTLS_RND_NONCE, mark, sizeof mark);
    for (int i = 0; i < 2; i++) /* two farms, or a farm set up anew, are to be told apart in a phone's list */
        (void)snprintf(called[i], sizeof called[i], "leenest farm %s %02x%02x%02x%02x", i ? "issuer" : "authority",
                       mark[0], mark[1], mark[2], mark[3]);
    if (rc >= 0)
        rc = certificate_key(&authority.key);
    if (rc >= 0)
        rc = certificate_key(&issuer->key);
    struct certificate_plan plan = {
        .called = called[0], .key = authority.key, .now_utc_s = now_utc_s, .days = AUTHORITY_DAYS
    };
    if (rc >= 0)
        rc = certificate_authority(&authority.crt[0], &plan);
    authority.n = authority.crt[0] ? 1 : 0;
    plan.called = called[1];
    plan.key = issuer->key;
    plan.by = authority.crt[0];
    plan.by_key = authority.key;
    if (rc >= 0)
        rc = certificate_authority(&issuer->crt[0], &plan);
    issuer->n = issuer->crt[0] ? 1 : 0;
    enum status st = certificate_status(rc, "the farm's authority", why);
    text_open(&pem, FILE_BYTES);
    if (st == ST_OK)
        st = certificate_status(add_crt(&pem, authority.crt[0]), "writing it out", why);
    if (st == ST_OK)
        st = file_put(folder, "authority.crt", text_get(&pem), pem.length, why);
    text_close(&pem);
    if (st == ST_OK) /* the issuer's file holds the authority's certificate too: one rename, and both are of one make */
        issuer->crt[issuer->n++] = authority.crt[0];
    else
        gnutls_x509_crt_deinit(authority.crt[0]);
    authority.n = 0;
    kept_close(&authority);
    return st == ST_OK ? kept_write(folder, "issuer.pem", issuer, why) : st;
}

/* ---- the server's own ---- */

static enum status server_make(const char *folder, const struct kept *issuer, const struct reached *r,
                               int64_t now_utc_s, struct kept *server, struct message *why)
{
    *server = (struct kept){ NULL, { NULL }, 0 };
    int rc = certificate_key(&server->key);
    const struct certificate_plan plan = { .called = "leenest",
                                           .key = server->key,
                                           .by = issuer->crt[0],
                                           .by_key = issuer->key,
                                           .now_utc_s = now_utc_s,
                                           .days = CERTIFICATE_DAYS };
    if (rc >= 0)
        rc = certificate_server(&server->crt[0], &plan, r);
    server->n = server->crt[0] ? 1 : 0;
    gnutls_datum_t der = { NULL, 0 };
    if (rc >= 0)
        rc = gnutls_x509_crt_export2(issuer->crt[0], GNUTLS_X509_FMT_DER, &der);
    if (rc >= 0)
        rc = gnutls_x509_crt_init(&server->crt[1]);
    if (rc >= 0) {
        server->n = 2;
        rc = gnutls_x509_crt_import(server->crt[1], &der, GNUTLS_X509_FMT_DER);
    }
    gnutls_free(der.data);
    const enum status st = certificate_status(rc, "for this machine", why);
    return st == ST_OK ? kept_write(folder, "server.pem", server, why) : st;
}

/* Names and addresses that a certificate carries. */
static bool carried(gnutls_x509_crt_t crt, struct arena *mem, struct reached *r)
{
    *r = (struct reached){ .n_names = 0 };
    for (unsigned i = 0; r->n_names < REACHED_MOST && r->n_addresses < REACHED_MOST; i++) {
        unsigned char bytes[256];
        char text[INET6_ADDRSTRLEN];
        size_t n = sizeof bytes - 1;
        const int type = gnutls_x509_crt_get_subject_alt_name(crt, i, bytes, &n, NULL);
        if (type == GNUTLS_E_REQUESTED_DATA_NOT_AVAILABLE)
            return !arena_full(mem);
        if (type == GNUTLS_SAN_DNSNAME)
            r->name[r->n_names++] = arena_bytes(mem, (const char *)bytes, n);
        else if (type == GNUTLS_SAN_IPADDRESS && (n == 4 || n == 16) &&
                 inet_ntop(n == 4 ? AF_INET : AF_INET6, bytes, text, sizeof text))
            r->address[r->n_addresses++] = arena_text(mem, text);
        else
            return false;
    }
    return !arena_full(mem);
}

static bool signed_by(gnutls_x509_crt_t crt, gnutls_x509_crt_t by)
{
    unsigned verdict = 0;

    return gnutls_x509_crt_verify(crt, &by, 1, GNUTLS_VERIFY_DISABLE_TIME_CHECKS, &verdict) >= 0 && verdict == 0;
}

static bool near_end(gnutls_x509_crt_t crt, int64_t now_utc_s)
{
    return (int64_t)gnutls_x509_crt_get_expiration_time(crt) - now_utc_s < CERTIFICATE_RENEW_DAYS * DAY_S ||
           (int64_t)gnutls_x509_crt_get_activation_time(crt) > now_utc_s;
}

static enum status give(const struct kept *server, const struct kept *issuer, struct arena *mem, struct certificate *c,
                        struct message *why)
{
    struct text key, chain, authority;
    unsigned char digest[32];
    size_t n = sizeof digest;
    char *print = arena_get(mem, 3 * sizeof digest, 1);

    text_open(&key, FILE_BYTES);
    text_open(&chain, FILE_BYTES);
    text_open(&authority, FILE_BYTES);
    int rc = add_key(&key, server->key);
    for (unsigned i = 0; i < server->n && rc >= 0; i++)
        rc = add_crt(&chain, server->crt[i]);
    if (rc >= 0)
        rc = add_crt(&authority, issuer->crt[1]);
    if (rc >= 0)
        rc = gnutls_x509_crt_get_fingerprint(issuer->crt[1], GNUTLS_DIG_SHA256, digest, &n);
    for (size_t i = 0; print && rc >= 0 && i < n; i++)
        (void)snprintf(print + 3 * i, 4 - (i + 1 == n), i + 1 < n ? "%02X:" : "%02X", digest[i]);
    c->key = arena_text(mem, text_get(&key));
    c->chain = arena_text(mem, text_get(&chain));
    c->authority = arena_text(mem, text_get(&authority));
    c->fingerprint = print;
    c->ends_utc_s = (int64_t)gnutls_x509_crt_get_expiration_time(server->crt[0]);
    if (key.bytes)
        gnutls_memset(key.bytes, 0, key.length);
    text_close(&key);
    text_close(&chain);
    text_close(&authority);
    const enum status st = certificate_status(rc, "reading it", why);
    return st == ST_OK && arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : st;
}

static enum status folder_ready(const char *folder, struct message *why)
{
    struct stat is;

    if (mkdir(folder, 0700) != 0 && errno != EEXIST)
        return refuse(ST_IO, why, "", "the folder %s could not be made: %s", folder, strerror(errno));
    if (lstat(folder, &is) != 0 || !S_ISDIR(is.st_mode))
        return refuse(ST_IO, why, "", "%s is not a folder", folder);
    return ST_OK;
}

enum status certificate_ready(const char *folder, const struct reached *r, int64_t now_utc_s, struct arena *mem,
                              struct certificate *c, struct message *why)
{
    struct kept issuer, server = { NULL, { NULL }, 0 };
    struct message none = { "", "" };
    struct reached has;

    *c = (struct certificate){ .key = NULL };
    enum status st = folder_ready(folder, why);
    if (st != ST_OK)
        return st;
    st = kept_read(folder, "issuer.pem", 2, mem, &issuer, &none);
    if (st == ST_OK && near_end(issuer.crt[0], now_utc_s)) {
        kept_close(&issuer);
        st = ST_NOT_FOUND;
    }
    if (st == ST_NOT_FOUND) {
        c->made = true;
        st = issuer_make(folder, now_utc_s, &issuer, why);
    } else if (st != ST_OK) {
        return refuse(st, why, "", "%s", none.text);
    }
    if (st == ST_OK && !c->made) {
        const enum status read = kept_read(folder, "server.pem", 2, mem, &server, &none);
        const bool good = read == ST_OK && signed_by(server.crt[0], issuer.crt[0]);
        c->addresses_changed = good && !(carried(server.crt[0], mem, &has) && reached_same(&has, r));
        c->remade = !good || c->addresses_changed || near_end(server.crt[0], now_utc_s);
    }
    if (st == ST_OK && (c->made || c->remade)) {
        kept_close(&server);
        st = server_make(folder, &issuer, r, now_utc_s, &server, why);
    }
    if (st == ST_OK)
        st = give(&server, &issuer, mem, c, why);
    kept_close(&server);
    kept_close(&issuer);
    return st;
}

/* ---- looking it over ---- */

static enum status modes(const char *folder, struct arena *mem, struct certificate_state *s, struct message *why)
{
    static const char *const name[] = { "", "issuer.pem", "server.pem" };

    for (size_t i = 0; i < COUNT(name); i++) {
        char path[PATH];
        struct stat is;
        const enum status st = path_of(path, folder, name[i], "", why);
        if (st != ST_OK)
            return st;
        if (stat(path, &is) == 0 && (is.st_mode & 077) != 0 && !s->open_file)
            s->open_file = arena_text(mem, path);
    }
    return arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : ST_OK;
}

enum status certificate_look(const char *folder, struct arena *mem, struct certificate_state *s, struct message *why)
{
    struct kept issuer, server = { NULL, { NULL }, 0 };
    struct message none = { "", "" };
    struct stat is;

    *s = (struct certificate_state){ .there = stat(folder, &is) == 0 };
    if (!s->there)
        return ST_OK;
    const enum status st = modes(folder, mem, s, why);
    if (st != ST_OK)
        return st;
    s->broken = kept_read(folder, "issuer.pem", 2, mem, &issuer, &none) != ST_OK ||
                kept_read(folder, "server.pem", 2, mem, &server, &none) != ST_OK ||
                !signed_by(server.crt[0], issuer.crt[0]);
    if (issuer.n)
        s->authority_ends_utc_s = (int64_t)gnutls_x509_crt_get_expiration_time(issuer.crt[0]);
    if (server.n)
        s->ends_utc_s = (int64_t)gnutls_x509_crt_get_expiration_time(server.crt[0]);
    kept_close(&server);
    kept_close(&issuer);
    return ST_OK;
}
