/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The door's pieces by themselves: how often one may try, the password's hash, which names and addresses are ours, the
 * keys of pairing, the square code.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>
#include <sodium.h>

#include "doors/web/pair.h"
#include "doors/web/password.h"
#include "doors/web/rate.h"
#include "doors/web/reached.h"

static const int64_t now_s = 1800000000;

/* ---- tries ---- */

static void five_tries_then_one_a_minute(void **state)
{
    struct rate r = { 0 };

    (void)state;
    for (int i = 0; i < 5; i++)
        assert_int_equal(rate_take(&r, "192.168.1.5", now_s), 0);
    assert_int_equal(rate_take(&r, "192.168.1.5", now_s), 60);
    assert_int_equal(rate_take(&r, "192.168.1.5", now_s + 59), 1);
    assert_int_equal(rate_take(&r, "192.168.1.6", now_s), 0); /* another address is not held up */
    assert_int_equal(rate_take(&r, "192.168.1.5", now_s + 60), 0);
    assert_int_equal(rate_take(&r, "192.168.1.5", now_s + 61), 59);
    for (int i = 0; i < 5; i++) /* after five quiet minutes all five are back */
        assert_int_equal(rate_take(&r, "192.168.1.5", now_s + 60 + 300), 0);
    assert_true(rate_take(&r, "192.168.1.5", now_s + 60 + 300) > 0);
}

/* Over an hour of trying as fast as it goes: 5 + 60, whatever the rhythm. */
static void nobody_gets_more_than_the_figure_allows(void **state)
{
    static const int every_s[] = { 1, 7, 13, 59 };

    (void)state;
    for (size_t k = 0; k < COUNT(every_s); k++) {
        struct rate r = { 0 };
        int looked_at = 0;
        for (int t = 0; t < 3600; t += every_s[k])
            looked_at += rate_take(&r, "10.0.0.9", now_s + t) == 0;
        if (looked_at > 5 + 60 || looked_at < 60)
            fail_msg("every %d s: %d tries in an hour", every_s[k], looked_at);
    }
}

static void a_try_that_was_right_does_not_count(void **state)
{
    struct rate r = { 0 };

    (void)state;
    for (int i = 0; i < 200; i++) {
        assert_int_equal(rate_take(&r, "10.0.0.9", now_s), 0);
        rate_give_back(&r, "10.0.0.9");
    }
}

static void all_together_are_limited_too(void **state)
{
    struct rate r = { 0 };
    char address[32];
    int looked_at = 0;

    (void)state;
    for (int i = 0; i < 1000; i++) { /* more addresses than there are buckets */
        (void)snprintf(address, sizeof address, "10.0.%d.%d", i / 250, i % 250 + 1);
        looked_at += rate_take(&r, address, now_s) == 0;
    }
    assert_int_equal(looked_at, RATE_ALL_TRIES);
    assert_int_equal(rate_take(&r, "10.9.9.9", now_s + RATE_ALL_ONE_IN_S), 0);
}

static void an_ipv6_network_counts_as_one(void **state)
{
    struct rate r = { 0 };
    char address[64];

    (void)state;
    for (int i = 0; i < 5; i++) {
        (void)snprintf(address, sizeof address, "fd00:1:2:3::%x", i + 1);
        assert_int_equal(rate_take(&r, address, now_s), 0);
    }
    assert_true(rate_take(&r, "fd00:1:2:3:aaaa::1", now_s) > 0);
    assert_int_equal(rate_take(&r, "fd00:1:2:4::1", now_s), 0);
    /* the same IPv4 address, written through IPv6 */
    for (int i = 0; i < 5; i++)
        assert_int_equal(rate_take(&r, i % 2 ? "10.1.1.1" : "::ffff:10.1.1.1", now_s), 0);
    assert_true(rate_take(&r, "10.1.1.1", now_s) > 0);
}

static void a_clock_that_goes_back_locks_nobody_out(void **state)
{
    struct rate r = { 0 };

    (void)state;
    for (int i = 0; i < 6; i++)
        (void)rate_take(&r, "10.0.0.9", now_s);
    assert_true(rate_take(&r, "10.0.0.9", now_s - 86400) <= 60);
    assert_int_equal(rate_take(&r, "10.0.0.9", now_s - 86400 + 60), 0);
}

/* ---- password ---- */

static void the_hash_is_argon2id_of_64_mib_and_2_passes(void **state)
{
    char a[PASSWORD_HASH], b[PASSWORD_HASH];
    struct message why;

    (void)state;
    assert_int_equal(password_hash("three dry straw bales", a, &why), ST_OK);
    assert_int_equal(password_hash("three dry straw bales", b, &why), ST_OK);
    /* the text form of the reference implementation of RFC 9106: version, memory in KiB, passes, lanes */
    assert_int_equal(strncmp(a, "$argon2id$v=19$m=65536,t=2,p=1$", 31), 0);
    assert_string_not_equal(a, b); /* salted */
    assert_true(password_right(a, "three dry straw bales"));
    assert_true(password_right(b, "three dry straw bales"));
    assert_false(password_right(a, "three dry straw bale"));
    assert_false(password_right(a, ""));
    assert_false(password_old_hash(a));
}

/* libsodium's own with lesser settings stands for what an earlier release may have made. */
static void an_older_hash_is_known_and_said_to_be_old(void **state)
{
    char old[crypto_pwhash_STRBYTES];

    (void)state;
    assert_int_equal(crypto_pwhash_str(old, "winter litter", 13, 1, 8 << 20), 0);
    assert_true(password_right(old, "winter litter"));
    assert_true(password_old_hash(old));
    assert_true(password_old_hash("rubbish"));
    assert_false(password_right("rubbish", "rubbish"));
}

static void what_may_be_a_password(void **state)
{
    static const struct {
        const char *text, *says;
    } bad[] = {
        { "", "too short" },
        { "seven77", "too short" },
        { "aaaaaaaaaaaa", "over and over" },
        { "h\xc3\xa4h\xc3\xa4h\xc3\xa4h", "too short" }, /* 7 characters in 10 bytes */
        { "not \xff utf-8 \xff", "too short" },
    };
    static char most[PASSWORD_MOST + 2];
    char hash[PASSWORD_HASH];
    struct message why = { "", "" };

    (void)state;
    for (size_t i = 0; i < COUNT(bad); i++) {
        assert_int_equal(password_fits(bad[i].text, &why), ST_BAD_INPUT);
        assert_string_equal(why.field, "password");
        if (!strstr(why.text, bad[i].says))
            fail_msg("case %zu: %s", i, why.text);
    }
    assert_int_equal(password_fits("eight888", &why), ST_OK);
    assert_int_equal(password_fits("F\xc3\xa4hre \xf0\x9f\x90\x96 im Stroh", &why), ST_OK);
    memset(most, 'a', PASSWORD_MOST);
    most[0] = 'b';
    assert_int_equal(password_fits(most, &why), ST_OK);
    assert_int_equal(password_hash(most, hash, &why), ST_OK);
    assert_true(password_right(hash, most));
    most[PASSWORD_MOST] = 'a';
    assert_int_equal(password_fits(most, &why), ST_BAD_INPUT);
    /* one that is too long costs nothing, not even when coming in */
    const clock_t from = clock();
    for (int i = 0; i < 1000; i++)
        assert_false(password_right(hash, most));
    assert_true((double)(clock() - from) / CLOCKS_PER_SEC < 0.5);
}

/* ---- names and addresses ---- */

static void private_addresses_are_told_from_public_ones(void **state)
{
    /* RFC 1918, RFC 4193, RFC 3927, RFC 4291 2.5.3 and 2.5.6; the neighbours on either side are not */
    static const char *const ours[] = {
        "10.0.0.0",        "10.255.255.255", "172.16.0.0",      "172.31.255.255", "192.168.0.0",
        "192.168.255.255", "127.0.0.1",      "127.255.255.254", "169.254.7.7",    "::1",
        "fc00::1",         "fdff:ffff::1",   "fe80::1",         "febf::1",        "::ffff:192.168.1.1"
    };
    static const char *const others[] = {
        "9.255.255.255",   "11.0.0.0",  "172.15.255.255", "172.32.0.0",  "192.167.255.255", "192.169.0.0",
        "126.255.255.255", "128.0.0.1", "100.64.0.1",     "203.0.113.1", "0.0.0.0",         "::",
        "2001:db8::1",     "fbff::1",   "fe00::1",        "fec0::1",     "::ffff:8.8.8.8",  "",
        "home.arpa",       "1.2.3"
    };
    static const char *const loop[] = { "127.0.0.1", "127.9.9.9", "::1", "::ffff:127.0.0.1" };

    (void)state;
    for (size_t i = 0; i < COUNT(ours); i++)
        if (!reached_is_private(ours[i]))
            fail_msg("%s is private", ours[i]);
    for (size_t i = 0; i < COUNT(others); i++)
        if (reached_is_private(others[i]) || reached_is_loopback(others[i]))
            fail_msg("%s is not private", others[i]);
    for (size_t i = 0; i < COUNT(loop); i++)
        if (!reached_is_loopback(loop[i]))
            fail_msg("%s is loopback", loop[i]);
    assert_false(reached_is_loopback("10.0.0.1"));
    assert_false(reached_is_loopback(NULL));
}

static void only_names_that_the_certificate_may_carry(void **state)
{
    static const char *const good[] = { "localhost", "barn.home.arpa", "a-1.b.home.arpa" };
    static const char *const bad[] = {
        "",           "home.arpa",    "homexarpa",    "barn.local",   "barn",          "barn.home.arpa.evil",
        ".home.arpa", "-a.home.arpa", "a-.home.arpa", "a..home.arpa", "a b.home.arpa", "a/b.home.arpa"
    };
    struct arena mem;
    struct reached r;
    struct message why = { "", "" };

    (void)state;
    for (size_t i = 0; i < COUNT(good); i++)
        assert_true(reached_is_name(good[i]));
    for (size_t i = 0; i < COUNT(bad); i++)
        if (reached_is_name(bad[i]))
            fail_msg("\"%s\" passes", bad[i]);
    arena_open(&mem, 1 << 20);
    assert_int_equal(reached_find("Barn.home.arpa,kitchen.home.arpa", &mem, &r, &why), ST_OK);
    assert_string_equal(r.best, "barn.home.arpa");
    assert_string_equal(r.name[0], "localhost");
    assert_string_equal(r.address[0], "127.0.0.1");
    assert_string_equal(r.address[1], "::1");
    for (size_t i = 0; i < r.n_addresses; i++)
        assert_true(reached_is_private(r.address[i]));
    assert_int_equal(reached_find("barn.example", &mem, &r, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "home.arpa"));
    arena_close(&mem);
}

/* ---- pairing ---- */

static void a_pairing_key_serves_once_and_for_five_minutes(void **state)
{
    struct pair p = { 0 };
    char key[PAIR_KEY], other[PAIR_KEY];
    unsigned char phone[DEVICE_DIGEST] = { 1 }, thief[DEVICE_DIGEST] = { 2 };

    (void)state;
    pair_offer(&p, now_s, key);
    pair_offer(&p, now_s, other);
    assert_int_equal(strlen(key), 22);
    assert_string_not_equal(key, other);
    assert_false(pair_come(&p, "", "thief", thief, now_s));
    assert_false(pair_come(&p, "AAAAAAAAAAAAAAAAAAAAAA", "thief", thief, now_s));
    assert_true(pair_come(&p, key, "Wenna's phone", phone, now_s + 300));
    assert_false(pair_come(&p, key, "thief", thief, now_s + 300));
    assert_false(pair_come(&p, other, "thief", thief, now_s + 301)); /* too old */
    struct pair_waiting *w = pair_by_session(&p, phone, now_s + 301);
    assert_non_null(w);
    assert_string_equal(w->called, "Wenna's phone");
    assert_ptr_equal(pair_by_number(&p, w->number, now_s + 301), w);
    assert_null(pair_by_session(&p, thief, now_s + 301));
    assert_null(pair_by_number(&p, 0, now_s));
    assert_null(pair_by_session(&p, phone, now_s + 601)); /* nobody said yes in time */
    /* the key is in no byte of what is kept */
    const char *bytes = (const char *)&p;
    for (size_t i = 0; i + 22 <= sizeof p; i++)
        assert_int_not_equal(memcmp(bytes + i, key, 22), 0);
}

static void no_more_wait_than_a_person_can_look_at(void **state)
{
    struct pair p = { 0 };
    char key[PAIR_KEY];

    (void)state;
    for (int i = 0; i < PAIR_WAITING + 3; i++) {
        unsigned char phone[DEVICE_DIGEST] = { (unsigned char)(i + 1) };
        pair_offer(&p, now_s, key);
        assert_int_equal(pair_come(&p, key, "phone", phone, now_s), i < PAIR_WAITING);
    }
}

/* ---- the square code ---- */

/* ISO/IEC 18004: three finder patterns of 7 x 7, a quiet zone of four; 53 to 62 bytes at level M are version 4, 33 x 33. */
static void the_square_code_is_one_and_carries_no_style(void **state)
{
    static bool black[64][64];
    const char *address = "https://192.168.100.200:8711/#pair=AAAAAAAAAAAAAAAAAAAAAA";
    struct text svg;
    struct message why;
    int n = 0;

    (void)state;
    assert_int_equal(strlen(address), 57);
    text_open(&svg, 65536);
    assert_int_equal(square_svg(address, &svg, &why), ST_OK);
    const char *s = text_get(&svg);
    assert_non_null(strstr(s, "viewBox=\"0 0 41 41\""));
    assert_null(strstr(s, "style"));
    assert_null(strstr(s, "script"));
    for (const char *m = strstr(strstr(s, "#000"), "d=\"") + 2; (m = strchr(m + 1, 'M'));) {
        int x, y, run, used;
        assert_int_equal(sscanf(m, "M%d %dh%dv1%n", &x, &y, &run, &used), 3);
        for (int i = 0; i < run; i++, n++)
            black[y][x + i] = true;
    }
    assert_true(n > 33 * 33 / 3 && n < 33 * 33 * 2 / 3);
    for (int y = 0; y < 41; y++)
        for (int x = 0; x < 41; x++)
            if (x < 4 || y < 4 || x > 36 || y > 36)
                assert_false(black[y][x]);
    static const char *const finder[7] = {
        "#######", "#     #", "# ### #", "# ### #", "# ### #", "#     #", "#######"
    };
    for (int y = 0; y < 7; y++)
        for (int x = 0; x < 7; x++) {
            const bool want = finder[y][x] == '#';
            assert_int_equal(black[4 + y][4 + x], want);
            assert_int_equal(black[4 + y][4 + 26 + x], want);
            assert_int_equal(black[4 + 26 + y][4 + x], want);
        }
    text_close(&svg);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(five_tries_then_one_a_minute),
        cmocka_unit_test(nobody_gets_more_than_the_figure_allows),
        cmocka_unit_test(a_try_that_was_right_does_not_count),
        cmocka_unit_test(all_together_are_limited_too),
        cmocka_unit_test(an_ipv6_network_counts_as_one),
        cmocka_unit_test(a_clock_that_goes_back_locks_nobody_out),
        cmocka_unit_test(the_hash_is_argon2id_of_64_mib_and_2_passes),
        cmocka_unit_test(an_older_hash_is_known_and_said_to_be_old),
        cmocka_unit_test(what_may_be_a_password),
        cmocka_unit_test(private_addresses_are_told_from_public_ones),
        cmocka_unit_test(only_names_that_the_certificate_may_carry),
        cmocka_unit_test(a_pairing_key_serves_once_and_for_five_minutes),
        cmocka_unit_test(no_more_wait_than_a_person_can_look_at),
        cmocka_unit_test(the_square_code_is_one_and_carries_no_style),
    };

    if (sodium_init() < 0)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
