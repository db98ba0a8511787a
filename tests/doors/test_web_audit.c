/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What `leenest check` says of the door: each finding staged once, and not said before it was.
 */
#include "tests/farm/farm_help.h"

#include <sodium.h>
#include <sys/stat.h>
#include <time.h>

#include "doors/web/audit.h"
#include "doors/web/certificate.h"
#include "doors/web/password.h"

static const struct reached here = { .name = { "localhost", "barn.home.arpa" },
                                     .n_names = 2,
                                     .address = { "127.0.0.1", "192.168.7.20" },
                                     .n_addresses = 2 };

/* The sentence of that key; NULL: it is not said. */
static const char *said(struct scratch *s, const char *key, size_t *times)
{
    struct farm_finding *f = NULL;
    const char *says = NULL;
    size_t n = 0;

    *times = 0;
    if (audit(s->farm, (int64_t)time(NULL), &s->mem, &f, &n, &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
    for (size_t i = 0; i < n; i++)
        if (strcmp(f[i].key, key) == 0) {
            says = f[i].says;
            (*times)++;
        }
    return says;
}

#define NOT_SAID(s, key)                                                                                               \
    do {                                                                                                               \
        size_t n_;                                                                                                     \
        if (said((s), (key), &n_))                                                                                     \
            fail_msg("line %d: %s is said", __LINE__, (key));                                                          \
    } while (0)

#define SAID(s, key, words)                                                                                            \
    do {                                                                                                               \
        size_t n_;                                                                                                     \
        const char *says_ = said((s), (key), &n_);                                                                     \
        if (!says_ || !strstr(says_, (words)) || n_ != 1)                                                              \
            fail_msg("line %d: %s: \"%s\" (%zu times)", __LINE__, (key), says_ ? says_ : "not said", n_);              \
    } while (0)

static void set_password(struct scratch *s, const char *hash)
{
    if (farm_password_set(s->farm, hash, 0, (int64_t)time(NULL), &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
}

static const char *door_folder(struct scratch *s)
{
    return certificate_folder(s->path, &s->mem);
}

static void make_certificate(struct scratch *s, int64_t when_utc_s)
{
    struct certificate c;

    if (certificate_ready(door_folder(s), &here, when_utc_s, &s->mem, &c, &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
}

static void a_password_that_is_missing_or_weak(void **state)
{
    char weak[crypto_pwhash_STRBYTES], good[PASSWORD_HASH];
    struct scratch s;

    (void)state;
    scratch_open(&s);
    NOT_SAID(&s, "no-password"); /* nobody has ever served it to phones */
    make_certificate(&s, (int64_t)time(NULL));
    SAID(&s, "no-password", "leenest password");
    assert_int_equal(crypto_pwhash_str(weak, "clean straw", 11, 1, 8 << 20), 0);
    set_password(&s, weak);
    NOT_SAID(&s, "no-password");
    SAID(&s, "password-weak", "set it again");
    assert_int_equal(password_hash("clean straw", good, &s.why), ST_OK);
    set_password(&s, good);
    NOT_SAID(&s, "password-weak");
    scratch_close(&s);
}

static void devices_that_nobody_has_seen_for_long(void **state)
{
    const int64_t now_s = (int64_t)time(NULL);
    struct scratch s;

    (void)state;
    scratch_open(&s);
    NOT_SAID(&s, "devices");
    struct farm_device phone = { .called = "Wenna's phone",
                                 .since_utc_s = now_s - 200 * DAY_S,
                                 .seen_utc_s = now_s - 89 * DAY_S,
                                 .digest = { 1 } },
                       old = { .called = "old tablet",
                               .since_utc_s = now_s - 200 * DAY_S,
                               .seen_utc_s = now_s - 92 * DAY_S,
                               .digest = { 2 } },
                       in = { .called = "kitchen laptop",
                              .master = true,
                              .since_utc_s = now_s - DAY_S,
                              .seen_utc_s = now_s - 60,
                              .digest = { 3 } };
    assert_int_equal(farm_device_add(s.farm, &phone, &s.why), ST_OK);
    NOT_SAID(&s, "device-unseen");
    assert_int_equal(farm_device_add(s.farm, &old, &s.why), ST_OK);
    SAID(&s, "device-unseen", "old tablet has not been seen for 92 days");
    assert_int_equal(farm_device_add(s.farm, &in, &s.why), ST_OK);
    SAID(&s, "devices", "1 device may come in: kitchen laptop");
    assert_int_equal(farm_device_end(s.farm, old.number, &s.why), ST_OK);
    NOT_SAID(&s, "device-unseen");
    scratch_close(&s);
}

static void a_certificate_near_its_end(void **state)
{
    const int64_t now_s = (int64_t)time(NULL);
    struct scratch s;

    (void)state;
    scratch_open(&s);
    make_certificate(&s, now_s - 360 * DAY_S); /* 36 days are left */
    NOT_SAID(&s, "certificate-ends");
    NOT_SAID(&s, "authority-ends");
    scratch_close(&s);
    scratch_open(&s);
    make_certificate(&s, now_s - 370 * DAY_S); /* 26 days */
    SAID(&s, "certificate-ends", "ends on");
    scratch_close(&s);
    scratch_open(&s);
    make_certificate(&s, now_s - 400 * DAY_S);
    SAID(&s, "certificate-ends", "ended on");
    scratch_close(&s);
    scratch_open(&s);
    make_certificate(&s, now_s - 9 * 365 * DAY_S - 10 * DAY_S);
    SAID(&s, "authority-ends", "quiet week");
    scratch_close(&s);
}

static void keys_that_others_can_read(void **state)
{
    static const char *const open[] = { "", "/issuer.pem", "/server.pem" };
    struct scratch s;

    (void)state;
    scratch_open(&s);
    make_certificate(&s, (int64_t)time(NULL));
    NOT_SAID(&s, "key-open");
    for (size_t i = 0; i < COUNT(open); i++) {
        const char *path = arena_print(&s.mem, "%s%s", door_folder(&s), open[i]);
        assert_int_equal(chmod(path, *open[i] ? 0640 : 0711), 0);
        SAID(&s, "key-open", path);
        assert_int_equal(chmod(path, *open[i] ? 0600 : 0700), 0);
        NOT_SAID(&s, "key-open");
    }
    const char *server = arena_print(&s.mem, "%s/server.pem", door_folder(&s));
    NOT_SAID(&s, "certificate-broken");
    assert_int_equal(truncate(server, 100), 0);
    SAID(&s, "certificate-broken", "damaged");
    assert_int_equal(unlink(server), 0);
    SAID(&s, "certificate-broken", "damaged");
    scratch_close(&s);
}

static void no_backup_and_what_others_can_look_into(void **state)
{
    struct farm_backup made;
    struct scratch s;

    (void)state;
    scratch_open(&s);
    SAID(&s, "no-backup", "there is no backup");
    assert_int_equal(farm_backup(s.farm, NULL, NULL, (int64_t)time(NULL), &s.mem, &made, &s.why), ST_OK);
    NOT_SAID(&s, "no-backup");
    NOT_SAID(&s, "backups-open");
    const char *folder = arena_print(&s.mem, "%s.backups", s.path);
    assert_int_equal(chmod(folder, 0755), 0);
    SAID(&s, "backups-open", "chmod 700");
    NOT_SAID(&s, "file-open");
    assert_int_equal(chmod(s.path, 0644), 0);
    SAID(&s, "file-open", "chmod 600");
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_password_that_is_missing_or_weak),
        cmocka_unit_test(devices_that_nobody_has_seen_for_long),
        cmocka_unit_test(a_certificate_near_its_end),
        cmocka_unit_test(keys_that_others_can_read),
        cmocka_unit_test(no_backup_and_what_others_can_look_into),
    };

    if (sodium_init() < 0)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
