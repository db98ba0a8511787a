/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Looking the farm over: the findings that test_keep.c does not stage, the backup that is named, the machine's clock.
 */
#include <sqlite3.h>
#include <sys/stat.h>

#include "farm/own.h"
#include "farm/weather_store.h"
#include "tests/farm/farm_help.h"

static bool finds(struct scratch *s, int64_t at_utc_s, const char *key)
{
    struct farm_finding *findings = NULL;
    size_t n = 0;
    bool found = false;

    if (farm_check(s->farm, at_utc_s, &s->mem, &findings, &n, &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
    for (size_t i = 0; i < n; i++)
        found = found || strcmp(findings[i].key, key) == 0;
    return found;
}

#define FINDS(s, at, key)                                                                                              \
    do {                                                                                                               \
        if (!finds((s), (at), (key)))                                                                                  \
            fail_msg("line %d: no finding %s", __LINE__, (key));                                                       \
    } while (0)

#define NOT_FOUND(s, at, key)                                                                                          \
    do {                                                                                                               \
        if (finds((s), (at), (key)))                                                                                   \
            fail_msg("line %d: a finding %s", __LINE__, (key));                                                        \
    } while (0)

/* The newest backup may be damaged as well: the one that is named is the newest that is sound. */
static void the_newest_sound_backup_is_named(void **state)
{
    struct scratch s;
    struct farm_backup older, newer;
    struct farm_finding *findings = NULL;
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    assert_int_equal(farm_backup(s.farm, NULL, NULL, utc(2026, 1, 1, 0, 0), &s.mem, &older, &s.why), ST_OK);
    assert_int_equal(farm_backup(s.farm, NULL, NULL, utc(2026, 1, 2, 0, 0), &s.mem, &newer, &s.why), ST_OK);
    assert_int_equal(
        sqlite3_exec(s.farm->db, "UPDATE note SET text = 'x'; UPDATE animal SET tag = '13'", NULL, NULL, NULL),
        SQLITE_OK);
    for (int sound = 2; sound >= 0; sound--) {
        const char *wanted = sound == 2 ? newer.path : sound == 1 ? older.path : "no sound backup";
        assert_int_equal(farm_check(s.farm, utc(2026, 1, 3, 0, 0), &s.mem, &findings, &n, &s.why), ST_OK);
        size_t said = 0;
        for (size_t i = 0; i < n; i++)
            said += findings[i].grade == FARM_WRONG && strstr(findings[i].says, wanted) != NULL;
        if (said == 0)
            fail_msg("%d sound: the check does not say \"%s\"", sound, wanted);
        if (sound)
            assert_int_equal(truncate(sound == 2 ? newer.path : older.path, 9000), 0);
    }
    farm_close(s.farm);
    s.farm = NULL;
    struct stat is;
    assert_int_equal(stat(s.path, &is), 0);
    assert_int_equal(truncate(s.path, is.st_size / 2), 0);
    assert_int_equal(farm_open(s.path, &s.farm, &s.why), ST_IO);
    assert_non_null(strstr(s.why.text, "so is every backup"));
    scratch_close(&s);
}

/* Each finding that no other test stages. */
static void the_check_says_what_else_is_old(void **state)
{
    struct scratch s;
    struct farm_backup made;
    const int64_t at = utc(2027, 6, 1, 12, 0);

    (void)state;
    scratch_open(&s);
    FINDS(&s, at, "no-farm");
    some_farm(&s);
    FINDS(&s, at, "no-past-years");
    RECORDED(&s, "stock", "at", "2027-03-01", "straw_kg", "400", NULL);
    FINDS(&s, at, "stock-old");
    assert_int_equal(farm_backup(s.farm, NULL, NULL, at - 8 * DAY_S, &s.mem, &made, &s.why), ST_OK);
    FINDS(&s, at, "backup-old");
    struct hour hours[2] = { { .utc_s = at - 30 * HOUR_S }, { .utc_s = at - 29 * HOUR_S } };
    struct weather_lot lot = { .sort = WEATHER_FORECAST, .source = "s", .fetched_utc_s = at - 40 * HOUR_S };
    assert_int_equal(farm_weather_put(s.farm, &lot, 2, hours, &(struct farm_meta){ .who = "" }, &s.why), ST_OK);
    FINDS(&s, at, "forecast-over");
    assert_int_equal(sqlite3_exec(s.farm->db, "UPDATE animal SET tag = '13'", NULL, NULL, NULL), SQLITE_OK);
    FINDS(&s, at, "content");
    assert_int_equal(
        sqlite3_exec(s.farm->db, "PRAGMA foreign_keys=OFF; DELETE FROM fact WHERE kind = 'paddock'", NULL, NULL, NULL),
        SQLITE_OK);
    FINDS(&s, at, "references");
    assert_int_equal(sqlite3_exec(s.farm->db, "PRAGMA user_version = 99", NULL, NULL, NULL), SQLITE_OK);
    farm_close(s.farm);
    assert_int_equal(farm_open(s.path, &s.farm, &s.why), ST_OK);
    FINDS(&s, at, "read-only");
    scratch_close(&s);
}

/* The machine's clock stands an hour, then two minutes, then half a minute before what was recorded by it. */
static void a_clock_that_went_back_is_said(void **state)
{
    static const int back_s[] = { 3600, 120, 30 };
    struct scratch s;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    NOT_FOUND(&s, utc(2027, 6, 1, 12, 0), "clock-back");
    for (size_t i = 0; i < COUNT(back_s); i++) {
        int64_t said_s = 0;
        char sql[120];
        (void)snprintf(sql, sizeof sql, "UPDATE journal SET at_utc_s = %lld WHERE number = 3",
                       (long long)(farm_now() + back_s[i]));
        assert_int_equal(sqlite3_exec(s.farm->db, sql, NULL, NULL, NULL), SQLITE_OK);
        assert_int_equal(farm_clock_back(s.farm, &said_s, &s.why), ST_OK);
        if (back_s[i] > 60) {
            assert_in_range(said_s, back_s[i] - 50, back_s[i]);
            FINDS(&s, utc(2027, 6, 1, 12, 0), "clock-back");
        } else {
            assert_int_equal(said_s, 0);
            NOT_FOUND(&s, utc(2027, 6, 1, 12, 0), "clock-back");
        }
    }
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_newest_sound_backup_is_named),
        cmocka_unit_test(the_check_says_what_else_is_old),
        cmocka_unit_test(a_clock_that_went_back_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
