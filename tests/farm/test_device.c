/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Who may come in, as the farm file keeps it: digests only, ended with the password, kept through going back to a
 * backup, made in an older file.
 */
#include "farm_help.h"

#include <sodium.h>
#include <sqlite3.h>

#include "farm/device.h"
#include "farm/own.h"

static const int64_t now_s = 1800000000;

static int64_t add_at(struct scratch *s, unsigned char token[static DEVICE_TOKEN], const char *called, bool here,
                      int64_t at_utc_s)
{
    struct farm_device d = {
        .called = called, .here = here, .master = here, .since_utc_s = at_utc_s, .seen_utc_s = at_utc_s
    };

    randombytes_buf(token, DEVICE_TOKEN);
    device_digest(token, d.digest);
    if (farm_device_add(s->farm, &d, &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
    assert_true(d.number > 0);
    return d.number;
}

static int64_t add(struct scratch *s, unsigned char token[static DEVICE_TOKEN], const char *called, bool here)
{
    return add_at(s, token, called, here, now_s);
}

static enum status find(struct scratch *s, const unsigned char token[static DEVICE_TOKEN], struct farm_device *d)
{
    unsigned char digest[DEVICE_DIGEST];

    device_digest(token, digest);
    return farm_device_find(s->farm, digest, &s->mem, d, &s->why);
}

/* Does any stretch of the file hold these bytes, as they are or in hexadecimal? */
static bool file_holds(const char *path, const unsigned char *bytes, size_t n)
{
    char hex[2 * 64 + 1];
    FILE *f = fopen(path, "rb");
    static unsigned char all[4 << 20];
    const size_t got = f ? fread(all, 1, sizeof all, f) : 0;
    bool found = false;

    assert_non_null(f);
    (void)fclose(f);
    assert_true(got > 4096 && got < sizeof all);
    (void)sodium_bin2hex(hex, sizeof hex, bytes, n);
    for (size_t i = 0; i + n <= got && !found; i++)
        found = memcmp(all + i, bytes, n) == 0 || (i + 2 * n <= got && memcmp(all + i, hex, 2 * n) == 0);
    return found;
}

/* BLAKE2b-256, unkeyed: b2sum -l 256 of 32 zero bytes (GNU coreutils) gives this figure. */
static void the_digest_is_blake2b(void **state)
{
    const unsigned char zeros[DEVICE_TOKEN] = { 0 };
    unsigned char digest[DEVICE_DIGEST];
    char hex[2 * DEVICE_DIGEST + 1];

    (void)state;
    device_digest(zeros, digest);
    (void)sodium_bin2hex(hex, sizeof hex, digest, sizeof digest);
    assert_string_equal(hex, "89eb0d6a8a691dae2cd15ed0369931ce0a949ecafa5c3f93f8121833646e15c3");
}

static void a_session_is_found_by_its_token_alone_and_only_its_digest_is_kept(void **state)
{
    struct scratch s;
    unsigned char phone[DEVICE_TOKEN], laptop[DEVICE_TOKEN], other[DEVICE_TOKEN];
    struct farm_device d = { 0 }, *list = NULL;
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    const int64_t a = add(&s, phone, "Wenna's phone", false), b = add(&s, laptop, "this machine", true);
    assert_int_equal(find(&s, phone, &d), ST_OK);
    assert_int_equal(d.number, a);
    assert_string_equal(d.called, "Wenna's phone");
    assert_true(!d.master && !d.here);
    assert_int_equal(find(&s, laptop, &d), ST_OK);
    assert_true(d.number == b && d.master && d.here);
    randombytes_buf(other, sizeof other);
    assert_int_equal(find(&s, other, &d), ST_NOT_FOUND);
    assert_int_equal(farm_devices(s.farm, &s.mem, &list, &n, &s.why), ST_OK);
    assert_int_equal(n, 2);
    /* a stolen file: neither token is in it, and what is in it opens nothing */
    assert_false(file_holds(s.path, phone, sizeof phone));
    assert_false(file_holds(s.path, laptop, sizeof laptop));
    for (size_t i = 0; i < n; i++) {
        assert_true(file_holds(s.path, list[i].digest, DEVICE_DIGEST)); /* the search does find what is there */
        assert_int_equal(find(&s, list[i].digest, &d), ST_NOT_FOUND);
    }
    /* taken off the list */
    assert_int_equal(farm_device_end(s.farm, a, &s.why), ST_OK);
    assert_int_equal(find(&s, phone, &d), ST_NOT_FOUND);
    assert_int_equal(farm_device_end(s.farm, a, &s.why), ST_NOT_FOUND);
    assert_int_equal(find(&s, laptop, &d), ST_OK);
    scratch_close(&s);
}

static void a_session_unused_for_thirty_days_has_ended(void **state)
{
    struct scratch s;
    unsigned char phone[DEVICE_TOKEN];
    struct farm_device d = { 0 };

    (void)state;
    scratch_open(&s);
    const int64_t number = add(&s, phone, "phone", false);
    assert_int_equal(find(&s, phone, &d), ST_OK);
    assert_false(device_ended(&d, now_s + 30 * DAY_S));
    assert_true(device_ended(&d, now_s + 30 * DAY_S + 1));
    assert_int_equal(farm_device_seen(s.farm, number, now_s + 20 * DAY_S, &s.why), ST_OK);
    assert_int_equal(farm_device_seen(s.farm, number, now_s + 3 * DAY_S, &s.why), ST_OK); /* a clock that went back */
    assert_int_equal(find(&s, phone, &d), ST_OK);
    assert_int_equal(d.seen_utc_s, now_s + 20 * DAY_S);
    assert_false(device_ended(&d, now_s + 50 * DAY_S));
    scratch_close(&s);
}

static void a_new_password_sends_all_others_out(void **state)
{
    struct scratch s;
    unsigned char phone[DEVICE_TOKEN], laptop[DEVICE_TOKEN];
    struct farm_device d = { 0 };
    const char *hash = "x";

    (void)state;
    scratch_open(&s);
    assert_int_equal(farm_password(s.farm, &s.mem, &hash, &s.why), ST_OK);
    assert_null(hash);
    (void)add(&s, phone, "phone", false);
    const int64_t here = add(&s, laptop, "this machine", true);
    assert_int_equal(farm_password_set(s.farm, "$one", here, now_s, &s.why), ST_OK);
    assert_int_equal(find(&s, phone, &d), ST_NOT_FOUND);
    assert_int_equal(find(&s, laptop, &d), ST_OK);
    assert_int_equal(farm_password(s.farm, &s.mem, &hash, &s.why), ST_OK);
    assert_string_equal(hash, "$one");
    assert_int_equal(farm_password_rehash(s.farm, "$two", &s.why), ST_OK);
    assert_int_equal(find(&s, laptop, &d), ST_OK);
    assert_int_equal(farm_password_set(s.farm, "$three", 0, now_s, &s.why), ST_OK);
    assert_int_equal(find(&s, laptop, &d), ST_NOT_FOUND);
    assert_int_equal(farm_password(s.farm, &s.mem, &hash, &s.why), ST_OK);
    assert_string_equal(hash, "$three");
    scratch_close(&s);
}

static void old_sessions_of_the_machine_itself_go(void **state)
{
    struct scratch s;
    unsigned char token[12][DEVICE_TOKEN], phone[DEVICE_TOKEN];
    struct farm_device d = { 0 };

    (void)state;
    scratch_open(&s);
    (void)add(&s, phone, "phone", false);
    for (int i = 0; i < 12; i++)
        (void)add_at(&s, token[i], "this machine", true, now_s + i);
    for (int i = 0; i < 12; i++)
        assert_int_equal(find(&s, token[i], &d), i < 4 ? ST_NOT_FOUND : ST_OK);
    for (int i = 0; i < 60; i++) { /* all in one second: whoever came last is in */
        (void)add_at(&s, token[0], "this machine", true, now_s + 20);
        assert_int_equal(find(&s, token[0], &d), ST_OK);
    }
    assert_int_equal(find(&s, phone, &d), ST_OK);
    scratch_close(&s);
}

/* Going back to a backup must not let a lost phone in again, nor bring an old password back. */
static void going_back_leaves_the_door_as_it_is_today(void **state)
{
    struct scratch s;
    struct farm_backup made;
    unsigned char lost[DEVICE_TOKEN], phone[DEVICE_TOKEN];
    struct farm_device d = { 0 };
    const char *hash = NULL;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    const int64_t number = add(&s, lost, "lost phone", false);
    assert_int_equal(farm_password_set(s.farm, "$old", number, now_s, &s.why), ST_OK);
    assert_int_equal(farm_backup(s.farm, NULL, NULL, now_s, &s.mem, &made, &s.why), ST_OK);
    RECORDED(&s, "note", "at", "2026-10-03", "text", "after the backup", NULL);
    assert_int_equal(farm_device_end(s.farm, number, &s.why), ST_OK);
    assert_int_equal(farm_password_set(s.farm, "$new", 0, now_s + 60, &s.why), ST_OK);
    (void)add(&s, phone, "new phone", false);
    if (farm_restore(made.path, s.path, now_s + 100, &s.why) != ST_OK)
        fail_msg("%s", s.why.text);
    assert_int_equal(count_facts(&s, "note", 0), 0); /* the facts have gone back */
    assert_int_equal(find(&s, lost, &d), ST_NOT_FOUND);
    assert_int_equal(find(&s, phone, &d), ST_OK);
    assert_int_equal(farm_password(s.farm, &s.mem, &hash, &s.why), ST_OK);
    assert_string_equal(hash, "$new");
    /* a file that can no longer be read: nobody has a session */
    farm_close(s.farm);
    s.farm = NULL;
    FILE *f = fopen(s.path, "r+b");
    assert_non_null(f);
    assert_int_equal(fseek(f, 100, SEEK_SET), 0);
    for (int i = 0; i < 3000; i++)
        assert_int_not_equal(fputc(0x5a, f), EOF);
    assert_int_equal(fclose(f), 0);
    if (farm_restore(made.path, s.path, now_s + 200, &s.why) != ST_OK)
        fail_msg("%s", s.why.text);
    assert_int_equal(farm_open(s.path, &s.farm, &s.why), ST_OK);
    assert_int_equal(find(&s, lost, &d), ST_NOT_FOUND);
    assert_int_equal(find(&s, phone, &d), ST_NOT_FOUND);
    scratch_close(&s);
}

static void a_file_of_version_1_gets_its_door(void **state)
{
    struct scratch s;
    unsigned char phone[DEVICE_TOKEN];
    struct farm_device d = { 0 };
    struct farm_backup *backups = NULL;
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    assert_int_equal(
        sqlite3_exec(s.farm->db, "DROP TABLE device; DROP TABLE password; PRAGMA user_version = 1", NULL, NULL, NULL),
        SQLITE_OK);
    farm_close(s.farm);
    s.farm = NULL;
    if (farm_open(s.path, &s.farm, &s.why) != ST_OK)
        fail_msg("%s", s.why.text);
    assert_int_equal(farm_backups(s.path, NULL, &s.mem, &backups, &n, &s.why), ST_OK);
    assert_int_equal(n, 1);
    assert_int_equal(count_facts(&s, "animal", 0), 4);
    (void)add(&s, phone, "phone", false);
    assert_int_equal(find(&s, phone, &d), ST_OK);
    scratch_close(&s);
}

static void the_door_is_not_carried_out(void **state)
{
    struct scratch s;
    unsigned char phone[DEVICE_TOKEN];
    struct farm_device *list = NULL;
    char path[160];
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    const int64_t number = add(&s, phone, "Wenna's own telephone", false);
    assert_int_equal(farm_password_set(s.farm, "$argon2id$never", number, now_s, &s.why), ST_OK);
    (void)snprintf(path, sizeof path, "%s/all.json", s.folder);
    assert_int_equal(farm_export_json(s.farm, path, &s.why), ST_OK);
    assert_false(file_holds(path, (const unsigned char *)"$argon2id$never", 15));
    assert_false(file_holds(path, (const unsigned char *)"own telephone", 13));
    assert_true(file_holds(path, (const unsigned char *)"Bramble", 7));
    assert_int_equal(farm_devices(s.farm, &s.mem, &list, &n, &s.why), ST_OK);
    assert_int_equal(n, 1);
    assert_false(file_holds(path, list[0].digest, DEVICE_DIGEST));
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_digest_is_blake2b),
        cmocka_unit_test(a_session_is_found_by_its_token_alone_and_only_its_digest_is_kept),
        cmocka_unit_test(a_session_unused_for_thirty_days_has_ended),
        cmocka_unit_test(a_new_password_sends_all_others_out),
        cmocka_unit_test(old_sessions_of_the_machine_itself_go),
        cmocka_unit_test(going_back_leaves_the_door_as_it_is_today),
        cmocka_unit_test(a_file_of_version_1_gets_its_door),
        cmocka_unit_test(the_door_is_not_carried_out),
    };

    if (sodium_init() < 0)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
