/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The farm's own certificates: what they may speak for, files and modes, made anew when an address changes, nothing half
 * written. OpenSSL's command line is the witness, since GnuTLS made them.
 */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "core/base/civil.h"
#include "doors/web/certificate_own.h"

struct scratch {
    char folder[64];
    struct arena mem;
    struct message why;
    int64_t now_utc_s;
};

static const struct reached here = { .name = { "localhost", "barn.home.arpa" },
                                     .n_names = 2,
                                     .address = { "127.0.0.1", "::1", "192.168.7.20", "10.1.2.3", "fd12:3456::7" },
                                     .n_addresses = 5,
                                     .best = "192.168.7.20" };

static void scratch_open(struct scratch *s)
{
    memset(s, 0, sizeof *s);
    (void)snprintf(s->folder, sizeof s->folder, "/tmp/leenest-cert-XXXXXX");
    if (!mkdtemp(s->folder))
        fail_msg("no scratch folder");
    arena_open(&s->mem, 16 << 20);
    s->now_utc_s = (int64_t)time(NULL);
}

static int run(const char *fmt, ...) PRINTF_LIKE(1, 2);

static int run(const char *fmt, ...)
{
    char command[2048];
    va_list args;

    va_start(args, fmt);
    (void)vsnprintf(command, sizeof command, fmt, args);
    va_end(args);
    const int status = system(command);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 255;
}

static void scratch_close(struct scratch *s)
{
    arena_close(&s->mem);
    assert_int_equal(run("rm -rf '%s'", s->folder), 0);
}

/* Does `folder` hold a file, and does that file hold this pattern? */
static bool grep(const struct scratch *s, const char *pattern, const char *file)
{
    return run("grep -qE -- '%s' '%s/%s'", pattern, s->folder, file) == 0;
}

static struct certificate ready(struct scratch *s, const struct reached *r)
{
    struct certificate c;
    char folder[80];

    (void)snprintf(folder, sizeof folder, "%s/door", s->folder);
    if (certificate_ready(folder, r, s->now_utc_s, &s->mem, &c, &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
    return c;
}

static void put(struct scratch *s, const char *name, const char *text)
{
    if (file_put(s->folder, name, text, strlen(text), &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
}

static void they_are_what_rfc_5280_asks_for(void **state)
{
    struct scratch s;

    (void)state;
    scratch_open(&s);
    const struct certificate c = ready(&s, &here);
    assert_true(c.made && !c.remade && !c.addresses_changed);
    put(&s, "chain.pem", c.chain);
    put(&s, "ca.pem", c.authority);
    put(&s, "key.pem", c.key);
    assert_int_equal(run("openssl x509 -in %s/chain.pem -noout -text > %s/server.txt 2>&1", s.folder, s.folder), 0);
    assert_int_equal(run("openssl x509 -in %s/ca.pem -noout -text > %s/ca.txt 2>&1", s.folder, s.folder), 0);
    assert_true(grep(&s, "prime256v1", "server.txt"));
    assert_true(grep(&s, "ecdsa-with-SHA256", "server.txt"));
    assert_true(grep(&s,
                     "DNS:localhost, DNS:barn.home.arpa, IP Address:127.0.0.1, IP Address:0:0:0:0:0:0:0:1, "
                     "IP Address:192.168.7.20, IP Address:10.1.2.3, IP Address:FD12:3456:0:0:0:0:0:7",
                     "server.txt"));
    assert_true(grep(&s, "TLS Web Server Authentication", "server.txt"));
    assert_true(grep(&s, "CA:FALSE", "server.txt"));
    assert_true(grep(&s, "X509v3 Name Constraints: critical", "ca.txt"));
    static const char *const may[] = { "DNS:home.arpa",
                                       "DNS:localhost",
                                       "IP:10.0.0.0/255.0.0.0",
                                       "IP:172.16.0.0/255.240.0.0",
                                       "IP:192.168.0.0/255.255.0.0",
                                       "IP:FC00:0:0:0:0:0:0:0/FE00:0:0:0:0:0:0:0" };
    for (size_t i = 0; i < COUNT(may); i++)
        assert_true(grep(&s, may[i], "ca.txt"));
    /* 397 days: from a day before to 396 days after, to the second (openssl's checkend counts from now) */
    assert_int_equal(c.ends_utc_s, s.now_utc_s + (CERTIFICATE_DAYS - 1) * DAY_S);
    assert_int_equal(run("openssl x509 -in %s/chain.pem -noout -checkend %ld >/dev/null", s.folder, 395 * 86400L), 0);
    assert_int_equal(run("openssl x509 -in %s/chain.pem -noout -checkend %ld >/dev/null", s.folder, 397 * 86400L), 1);
    /* key and certificate belong together */
    assert_int_equal(run("openssl x509 -in %s/chain.pem -noout -pubkey > %s/a; openssl pkey -in %s/key.pem -pubout > "
                         "%s/b && cmp -s %s/a %s/b",
                         s.folder, s.folder, s.folder, s.folder, s.folder, s.folder),
                     0);
    /* the fingerprint that people compare is the one that openssl reckons */
    put(&s, "print", c.fingerprint);
    assert_int_equal(strlen(c.fingerprint), 95);
    assert_int_equal(
        run("openssl x509 -in %s/ca.pem -noout -fingerprint -sha256 | cut -d= -f2 | tr -d '\\n' | cmp -s - "
            "%s/print",
            s.folder, s.folder),
        0);
    scratch_close(&s);
}

static int verify(const struct scratch *s, const char *options)
{
    return run("openssl verify -x509_strict -purpose sslserver -CAfile %s/ca.pem -untrusted %s/chain.pem %s "
               "%s/chain.pem >%s/says 2>&1",
               s->folder, s->folder, options, s->folder, s->folder);
}

static void openssl_accepts_it_for_its_names_and_no_other(void **state)
{
    struct scratch s;

    (void)state;
    scratch_open(&s);
    const struct certificate c = ready(&s, &here);
    put(&s, "chain.pem", c.chain);
    put(&s, "ca.pem", c.authority);
    assert_int_equal(verify(&s, ""), 0);
    assert_int_equal(verify(&s, "-verify_hostname barn.home.arpa"), 0);
    assert_int_equal(verify(&s, "-verify_ip 192.168.7.20"), 0);
    assert_int_equal(verify(&s, "-verify_ip fd12:3456::7"), 0);
    assert_int_equal(verify(&s, "-verify_hostname other.home.arpa"), 2);
    assert_int_equal(verify(&s, "-verify_ip 192.168.7.21"), 2);
    assert_int_equal(verify(&s, "-attime 4102444800"), 2); /* 2100 */
    scratch_close(&s);
}

/* The issuer's key, read from the farm's folder by a thief, who signs a certificate of his own with it. */
static void forge(struct scratch *s, const struct reached *r, bool as_authority)
{
    gnutls_datum_t bytes, pem = { NULL, 0 };
    gnutls_x509_privkey_t issuer_key, key;
    gnutls_x509_crt_t issuer[4], crt;
    char path[120];
    unsigned n = 4;

    (void)snprintf(path, sizeof path, "%s/door/issuer.pem", s->folder);
    assert_int_equal(gnutls_load_file(path, &bytes), 0);
    assert_int_equal(gnutls_x509_privkey_init(&issuer_key), 0);
    assert_int_equal(gnutls_x509_privkey_import(issuer_key, &bytes, GNUTLS_X509_FMT_PEM), 0);
    assert_true(gnutls_x509_crt_list_import(issuer, &n, &bytes, GNUTLS_X509_FMT_PEM, 0) > 0);
    assert_int_equal(n, 2);
    assert_int_equal(certificate_key(&key), 0);
    const struct certificate_plan plan = {
        .called = "thief", .key = key, .by = issuer[0], .by_key = issuer_key, .now_utc_s = s->now_utc_s, .days = 30
    };
    assert_int_equal(as_authority ? certificate_authority(&crt, &plan) : certificate_server(&crt, &plan, r), 0);
    assert_int_equal(gnutls_x509_crt_export2(crt, GNUTLS_X509_FMT_PEM, &pem), 0);
    char *text = arena_bytes(&s->mem, (const char *)pem.data, pem.size);
    gnutls_free(pem.data);
    assert_int_equal(gnutls_x509_crt_export2(issuer[0], GNUTLS_X509_FMT_PEM, &pem), 0);
    put(s, "chain.pem", arena_print(&s->mem, "%s%.*s", text, (int)pem.size, (const char *)pem.data));
    gnutls_free(pem.data);
    gnutls_free(bytes.data);
    gnutls_x509_crt_deinit(crt);
    gnutls_x509_privkey_deinit(key);
    gnutls_x509_privkey_deinit(issuer_key);
    for (unsigned i = 0; i < n; i++)
        gnutls_x509_crt_deinit(issuer[i]);
}

static void a_stolen_key_speaks_for_nothing_else(void **state)
{
    static const struct {
        struct reached as;
        int want;
    } thief[] = {
        { { .name = { "barn.home.arpa" }, .n_names = 1 }, 0 }, /* what it is for, so that the others are no accident */
        { { .name = { "bank.example" }, .n_names = 1 }, 2 },
        { { .name = { "home.arpa.example" }, .n_names = 1 }, 2 },
        { { .name = { "barn.home.arpa", "bank.example" }, .n_names = 2 }, 2 },
        { { .address = { "192.168.9.9" }, .n_addresses = 1 }, 0 },
        { { .address = { "203.0.113.9" }, .n_addresses = 1 }, 2 },
        { { .address = { "172.32.0.1" }, .n_addresses = 1 }, 2 },
        { { .address = { "2001:db8::1" }, .n_addresses = 1 }, 2 },
    };
    struct scratch s;

    (void)state;
    scratch_open(&s);
    put(&s, "ca.pem", ready(&s, &here).authority);
    for (size_t i = 0; i < COUNT(thief); i++) {
        forge(&s, &thief[i].as, false);
        if (verify(&s, "") != thief[i].want)
            fail_msg("case %zu: openssl says otherwise", i);
        if (thief[i].want && !grep(&s, "permitted subtree violation", "says"))
            fail_msg("case %zu: refused for another reason", i);
    }
    forge(&s, NULL, true); /* nor can it make an authority below itself: path length 0 */
    assert_int_equal(run("openssl x509 -in %s/door/issuer.pem -noout -text | grep -q 'CA:TRUE, pathlen:0'", s.folder),
                     0);
    scratch_close(&s);
}

static mode_t mode_of(const struct scratch *s, const char *name)
{
    char path[160];
    struct stat is;

    (void)snprintf(path, sizeof path, "%s/door%s", s->folder, name);
    if (stat(path, &is) != 0)
        fail_msg("%s is not there", path);
    return is.st_mode & 07777;
}

static void files_are_the_owners_alone_and_the_authority_has_no_key(void **state)
{
    struct scratch s;
    const mode_t before = umask(0);

    (void)state;
    scratch_open(&s);
    (void)ready(&s, &here);
    (void)umask(before);
    assert_int_equal(mode_of(&s, ""), 0700);
    assert_int_equal(mode_of(&s, "/issuer.pem"), 0600);
    assert_int_equal(mode_of(&s, "/server.pem"), 0600);
    assert_int_equal(mode_of(&s, "/authority.crt"), 0600);
    assert_int_equal(run("[ $(ls %s/door | wc -l) = 3 ]", s.folder), 0);
    assert_int_equal(run("[ $(cat %s/door/* | grep -c 'BEGIN.*PRIVATE KEY') = 2 ]", s.folder), 0);
    /* neither of the two keys is the authority's */
    assert_int_equal(run("cd %s/door; openssl x509 -in authority.crt -noout -pubkey >../a; for f in issuer server; do "
                         "openssl pkey -in $f.pem -pubout >../$f.b; cmp -s ../a ../$f.b && exit 1; done; exit 0",
                         s.folder),
                     0);
    scratch_close(&s);
}

static void it_is_made_anew_for_a_new_address_and_near_its_end(void **state)
{
    struct scratch s;
    struct reached moved = here, turned = here;

    (void)state;
    scratch_open(&s);
    const struct certificate first = ready(&s, &here);
    struct certificate c = ready(&s, &here);
    assert_true(!c.made && !c.remade && !c.addresses_changed);
    assert_string_equal(c.chain, first.chain);
    turned.address[2] = here.address[4], turned.address[4] = here.address[2]; /* another order is no change */
    c = ready(&s, &turned);
    assert_false(c.remade);
    moved.address[2] = "192.168.7.99";
    c = ready(&s, &moved);
    assert_true(c.remade && c.addresses_changed && !c.made);
    assert_string_not_equal(c.chain, first.chain);
    assert_string_equal(c.authority, first.authority); /* phones need not be set up anew */
    put(&s, "chain.pem", c.chain);
    put(&s, "ca.pem", c.authority);
    assert_int_equal(verify(&s, "-verify_ip 192.168.7.99"), 0);
    assert_int_equal(verify(&s, "-verify_ip 192.168.7.20"), 2);
    s.now_utc_s = c.ends_utc_s - CERTIFICATE_RENEW_DAYS * DAY_S;
    c = ready(&s, &moved);
    assert_false(c.remade);
    s.now_utc_s += 1;
    c = ready(&s, &moved);
    assert_true(c.remade && !c.addresses_changed && !c.made);
    s.now_utc_s += 10 * 365 * DAY_S; /* the authority itself is over */
    c = ready(&s, &moved);
    assert_true(c.made);
    assert_string_not_equal(c.authority, first.authority);
    scratch_close(&s);
}

static void what_is_damaged_is_made_anew_or_said(void **state)
{
    struct scratch s;
    struct certificate c;
    struct certificate_state look;
    char folder[80];

    (void)state;
    scratch_open(&s);
    (void)snprintf(folder, sizeof folder, "%s/door", s.folder);
    assert_int_equal(certificate_look(folder, &s.mem, &look, &s.why), ST_OK);
    assert_false(look.there);
    const struct certificate first = ready(&s, &here);
    assert_int_equal(certificate_look(folder, &s.mem, &look, &s.why), ST_OK);
    assert_true(look.there && !look.broken && !look.open_file && look.ends_utc_s == first.ends_utc_s);
    assert_true(look.authority_ends_utc_s == s.now_utc_s + (AUTHORITY_DAYS - 1) * DAY_S);
    /* the server's file cut short, as by a full disk long ago: made anew under the same authority */
    assert_int_equal(run("truncate -s 300 %s/door/server.pem; chmod 644 %s/door/issuer.pem", s.folder, s.folder), 0);
    assert_int_equal(certificate_look(folder, &s.mem, &look, &s.why), ST_OK);
    assert_true(look.broken);
    assert_non_null(strstr(look.open_file, "issuer.pem"));
    c = ready(&s, &here);
    assert_true(c.remade && !c.made && !c.addresses_changed);
    assert_string_equal(c.authority, first.authority);
    /* a server.pem of another farm does not belong here */
    struct scratch other;
    scratch_open(&other);
    (void)ready(&other, &here);
    assert_int_equal(run("cp %s/door/server.pem %s/door/server.pem", other.folder, s.folder), 0);
    scratch_close(&other);
    c = ready(&s, &here);
    assert_true(c.remade && !c.made);
    /* the issuer's file: phones trust it, so it is not replaced behind anybody's back */
    assert_int_equal(run("echo x > %s/door/issuer.pem", s.folder), 0);
    assert_int_equal(certificate_ready(folder, &here, s.now_utc_s, &s.mem, &c, &s.why), ST_IO);
    assert_non_null(strstr(s.why.text, "issuer.pem"));
    scratch_close(&s);
}

/* Killed at any moment while all is made: what is there afterwards is whole, and the next start goes on from it. */
static void a_kill_leaves_nothing_half_made(void **state)
{
    struct scratch s;
    int killed = 0;

    (void)state;
    scratch_open(&s);
    for (int i = 0; i < 40; i++) {
        struct reached r = here;
        char address[32];
        assert_int_equal(run("[ $((%d %% 5)) = 0 ] && rm -rf %s/door; exit 0", i, s.folder), 0);
        (void)snprintf(address, sizeof address, "10.0.0.%d", i + 1);
        r.address[2] = address;
        (void)fflush(NULL);
        const pid_t child = fork();
        assert_true(child >= 0);
        if (child == 0) {
            for (;;) {
                struct certificate c;
                char folder[80];
                (void)snprintf(folder, sizeof folder, "%s/door", s.folder);
                r.n_addresses = r.n_addresses == 5 ? 4 : 5; /* each time another one */
                if (certificate_ready(folder, &r, s.now_utc_s, &s.mem, &c, &s.why) != ST_OK)
                    _exit(3);
                arena_close(&s.mem);
            }
        }
        const struct timespec nap = { 0, (i * 137 % 40) * 200000 };
        (void)nanosleep(&nap, NULL);
        assert_int_equal(kill(child, SIGKILL), 0);
        int status = 0;
        assert_int_equal(waitpid(child, &status, 0), child);
        assert_true(WIFSIGNALED(status)); /* it had not given up by itself */
        killed++;
        const struct certificate c = ready(&s, &here);
        put(&s, "chain.pem", c.chain);
        put(&s, "ca.pem", c.authority);
        assert_int_equal(verify(&s, "-verify_ip 192.168.7.20"), 0);
        assert_int_equal(run("cmp -s %s/door/authority.crt %s/ca.pem", s.folder, s.folder), 0);
        assert_int_equal(
            run("[ -z \"$(ls %s/door | grep -v -e '^authority.crt$' -e '^issuer.pem$' -e '^server.pem$' -e "
                "part$)\" ]",
                s.folder),
            0);
    }
    print_message("%d kills\n", killed);
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(they_are_what_rfc_5280_asks_for),
        cmocka_unit_test(openssl_accepts_it_for_its_names_and_no_other),
        cmocka_unit_test(a_stolen_key_speaks_for_nothing_else),
        cmocka_unit_test(files_are_the_owners_alone_and_the_authority_has_no_key),
        cmocka_unit_test(it_is_made_anew_for_a_new_address_and_near_its_end),
        cmocka_unit_test(what_is_damaged_is_made_anew_or_said),
        cmocka_unit_test(a_kill_leaves_nothing_half_made),
    };

    if (run("openssl version >/dev/null 2>&1") != 0) {
        printf("skipped: no openssl here\n");
        return 0;
    }
    return cmocka_run_group_tests(tests, NULL, NULL);
}
