/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Time zones against the C library's own reading of the same database (mktime and localtime under TZ: an independent
 * reader of TZif files), and against the rules as published: summer time of the United States by the Energy Policy Act
 * of 2005 (second Sunday of March, first Sunday of November, 02:00 local), of the European Union by directive
 * 2000/84/EC (last Sundays of March and October, 01:00 UTC).
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "core/base/civil.h"
#include "core/base/dice.h"
#include "farm/zone.h"

static struct arena mem;

static const struct zone *zone(const char *name)
{
    const struct zone *z = NULL;
    struct message why;

    if (zone_open(name, &mem, &z, &why) != ST_OK)
        fail_msg("%s: %s", name, why.text);
    return z;
}

static int64_t at(int year, int month, int day, int hour, int minute)
{
    const struct civil c = { year, month, day, hour, minute, 0 };
    return civil_seconds(&c);
}

static const char *const many[] = {
    "UTC",
    "America/Chicago",
    "America/New_York",
    "America/Denver",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Anchorage",
    "America/St_Johns",
    "America/Sao_Paulo",
    "America/Caracas",
    "America/Havana",
    "America/Santiago",
    "America/Indiana/Knox",
    "Europe/London",
    "Europe/Dublin",
    "Europe/Berlin",
    "Europe/Madrid",
    "Europe/Moscow",
    "Europe/Istanbul",
    "Atlantic/Azores",
    "Africa/Casablanca",
    "Africa/Cairo",
    "Africa/Johannesburg",
    "Asia/Kathmandu",
    "Asia/Kolkata",
    "Asia/Tehran",
    "Asia/Tokyo",
    "Asia/Gaza",
    "Asia/Jerusalem",
    "Australia/Lord_Howe",
    "Australia/Sydney",
    "Australia/Adelaide",
    "Pacific/Auckland",
    "Pacific/Chatham",
    "Pacific/Apia",
    "Pacific/Kiritimati",
    "Antarctica/Troll",
    "Etc/GMT+8",
};

/* Every sixth hour and every half hour round the changes would be long: random moments and each change with its
 * neighbours. */
static void offsets_agree_with_the_c_library(void **state)
{
    size_t tried = 0;
    struct dice dice = dice_from(7);

    (void)state;
    for (size_t k = 0; k < COUNT(many); k++) {
        const struct zone *z = zone(many[k]);
        assert_int_equal(setenv("TZ", many[k], 1), 0);
        tzset();
        int64_t t = at(1902, 1, 1, 0, 0), change = t;
        for (int i = 0; i < 2000; i++) {
            int64_t moment = (int64_t)dice_between(&dice, (double)at(1902, 1, 1, 0, 0), (double)at(2100, 1, 1, 0, 0));
            if (i % 2 == 0 && zone_next_change(z, change, &t) && t < at(2100, 1, 1, 0, 0)) {
                moment = t - (i % 4 == 0);
                change = i % 4 == 0 ? change : t;
            }
            const time_t seconds = (time_t)moment;
            struct tm tm;
            if (!localtime_r(&seconds, &tm))
                fail_msg("localtime_r");
            const struct civil c = { tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday, tm.tm_hour, tm.tm_min, tm.tm_sec };
            const int want = (int)(civil_seconds(&c) - moment);
            if (zone_offset_s(z, moment) != want)
                fail_msg("%s at %lld: want %d, got %d", many[k], (long long)moment, want, zone_offset_s(z, moment));
            if (strcmp(zone_abbreviation(z, moment), tm.tm_isdst >= 0 ? tzname[tm.tm_isdst > 0] : "") != 0 &&
                moment > at(1990, 1, 1, 0, 0) && strcmp(many[k], "America/Chicago") == 0)
                fail_msg("%s at %lld: called %s", many[k], (long long)moment, zone_abbreviation(z, moment));
            tried++;
        }
    }
    assert_int_equal(setenv("TZ", "UTC", 1), 0);
    tzset();
    print_message("%zu moments in %zu zones\n", tried, COUNT(many));
}

static void local_times_lead_back(void **state)
{
    struct dice dice = dice_from(11);
    size_t twice = 0, never = 0;

    (void)state;
    for (size_t k = 0; k < COUNT(many); k++) {
        const struct zone *z = zone(many[k]);
        int64_t change = at(1971, 1, 1, 0, 0);
        for (int i = 0; i < 3000; i++) {
            int64_t local_s = (int64_t)dice_between(&dice, (double)at(1971, 1, 1, 0, 0), (double)at(2080, 1, 1, 0, 0));
            if (i % 3 == 0 && zone_next_change(z, change, &change)) /* near a change, where it matters */
                local_s = change + zone_offset_s(z, change) + (int64_t)dice_between(&dice, -7200, 7200);
            int64_t first, second;
            const enum zone_times times = zone_from_local(z, local_s, &first, &second);
            /* by brute force: every offset there is within two days, every quarter of an hour */
            size_t found = 0;
            int64_t want[4] = { 0 }, last_offset = INT64_MIN;
            for (int64_t u = local_s - 2 * DAY_S; u < local_s + 2 * DAY_S && found < 4; u += 900) {
                const int offset_s = zone_offset_s(z, u);
                if (offset_s == last_offset)
                    continue;
                last_offset = offset_s;
                if (zone_offset_s(z, local_s - offset_s) == offset_s &&
                    (found == 0 || want[found - 1] != local_s - offset_s))
                    want[found++] = local_s - offset_s;
            }
            if (found != (times == ZONE_NEVER ? 0U : times == ZONE_ONCE ? 1U : 2U))
                fail_msg("%s, local %lld: %zu ways, said %d", many[k], (long long)local_s, found, (int)times);
            if (found == 1 && (first != want[0] || second != first))
                fail_msg("%s, local %lld", many[k], (long long)local_s);
            if (found == 2 &&
                (first != (want[0] < want[1] ? want[0] : want[1]) || second != (want[0] < want[1] ? want[1] : want[0])))
                fail_msg("%s, local %lld twice", many[k], (long long)local_s);
            twice += times == ZONE_TWICE;
            never += times == ZONE_NEVER;
        }
    }
    print_message("%zu double, %zu missing local times met\n", twice, never);
    assert_true(twice > 1000 && never > 1000);
}

static void published_changes(void **state)
{
    const struct zone *chicago = zone("America/Chicago"), *berlin = zone("Europe/Berlin"),
                      *sydney = zone("Australia/Sydney");
    int64_t change;

    (void)state;
    assert_true(zone_next_change(chicago, at(2026, 1, 1, 0, 0), &change));
    assert_int_equal(change, at(2026, 3, 8, 8, 0)); /* 02:00 CST */
    assert_true(zone_next_change(chicago, change, &change));
    assert_int_equal(change, at(2026, 11, 1, 7, 0)); /* 02:00 CDT */
    assert_true(zone_next_change(berlin, at(2026, 1, 1, 0, 0), &change));
    assert_int_equal(change, at(2026, 3, 29, 1, 0));
    assert_true(zone_next_change(berlin, at(2051, 6, 1, 0, 0), &change)); /* past the listed changes: by rule */
    assert_int_equal(change, at(2051, 10, 29, 1, 0));
    assert_int_equal(zone_offset_s(sydney, at(2026, 1, 15, 0, 0)), 11 * 3600);
    assert_int_equal(zone_standard_offset_s(sydney, at(2026, 1, 15, 0, 0)), 10 * 3600);
    assert_int_equal(zone_standard_offset_s(chicago, at(2026, 7, 1, 0, 0)), -6 * 3600);
    assert_int_equal(zone_standard_offset_s(chicago, at(2026, 1, 1, 0, 0)), -6 * 3600);
    assert_true(zone_is_summer(chicago, at(2026, 7, 1, 0, 0)));
    assert_false(zone_is_summer(chicago, at(2026, 1, 1, 0, 0)));
    const struct zone *dublin =
        zone("Europe/Dublin"); /* its file marks the winter; standard time is Greenwich's all the same */
    for (int month = 1; month <= 12; month++)
        assert_int_equal(zone_standard_offset_s(dublin, at(2026, month, 15, 12, 0)), 0);
    assert_true(zone_is_summer(dublin, at(2026, 7, 1, 0, 0)));
    assert_int_equal(zone_offset_s(NULL, 0), 0);
    assert_string_equal(zone_name(NULL), "UTC");
}

static void what_a_person_typed(void **state)
{
    const struct zone *z = zone("America/Chicago");
    struct message why = { "", "" };
    int64_t utc_s = 0;

    (void)state;
    assert_int_equal(zone_from_local_text(z, at(2026, 1, 22, 15, 40), "at", &utc_s, &why), ST_OK);
    assert_int_equal(utc_s, at(2026, 1, 22, 21, 40));
    assert_int_equal(zone_from_local_text(z, at(2026, 3, 8, 2, 30), "at", &utc_s, &why), ST_BAD_INPUT);
    assert_string_equal(
        why.text, "at: there is no 02:30 on 2026-03-08 in America/Chicago; the clocks go from 02:00 to 03:00 then");
    assert_int_equal(zone_from_local_text(z, at(2026, 11, 1, 1, 30), "at", &utc_s, &why), ST_BAD_INPUT);
    assert_string_equal(
        why.text,
        "at: the clock shows 01:30 twice on 2026-11-01 in America/Chicago; write 01:30-05:00 for the first or "
        "01:30-06:00 for the second");
    bool ambiguous = false;
    const struct zone *same = z;
    union {
        const struct zone *in;
        void *out;
    } plain = { same };
    assert_int_equal(zone_offset_of_local_s(plain.out, at(2026, 11, 1, 1, 30), &ambiguous), -5 * 3600);
    assert_true(ambiguous);
}

static void names(void **state)
{
    struct message why = { "", "" };
    const struct zone *z = NULL;
    static const char *const bad[] = {
        "",
        "../etc/passwd",
        "/etc/passwd",
        "America//Chicago",
        "America/",
        "a b",
        "Chi\xc3\xa9",
        "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"
    };

    (void)state;
    for (size_t i = 0; i < COUNT(bad); i++)
        assert_int_equal(zone_open(bad[i], &mem, &z, &why), ST_BAD_INPUT);
    assert_int_equal(zone_open("Chicago", &mem, &z, &why), ST_NOT_FOUND);
    assert_non_null(strstr(why.text, "did you mean America/Chicago?"));
    assert_int_equal(zone_open("America", &mem, &z, &why), ST_NOT_FOUND);
    assert_int_equal(zone_open("zone.tab", &mem, &z, &why), ST_BAD_INPUT);
}

/* The file cut anywhere, and any byte changed: read or refused, never more. */
static void damaged_files_are_refused(void **state)
{
    char bytes[8192];
    struct message why = { "", "" };
    const struct zone *z = NULL;
    FILE *f = fopen("/usr/share/zoneinfo/America/Chicago", "rb");

    (void)state;
    if (!f)
        skip();
    const size_t n = fread(bytes, 1, sizeof bytes, f);
    (void)fclose(f);
    for (size_t cut = 0; cut < n; cut++)
        assert_int_equal(zone_read("cut", bytes, cut, &mem, &z, &why), ST_BAD_INPUT);
    size_t refused = 0;
    for (size_t i = 0; i < n; i++) {
        const char was = bytes[i];
        bytes[i] = (char)~was;
        const enum status st = zone_read("changed", bytes, n, &mem, &z, &why);
        if (st == ST_OK)
            (void)zone_offset_s(z, at(2026, 7, 1, 0, 0));
        refused += st != ST_OK;
        bytes[i] = was;
    }
    assert_true(refused > 100);
}

/* Forms of RFC 8536 that the usual files do not have. */
static void odd_rules(void **state)
{
    static const struct {
        const char *footer;
        int month, hour, want_h;
    } rows[] = {
        { "EST5", 7, 12, -5 },
        { "<-03>3<-02>,M3.5.0/-2,M10.5.0/-1", 1, 12, -3 }, /* America/Nuuk's: changes on the day before */
        { "<-03>3<-02>,M3.5.0/-2,M10.5.0/-1", 7, 12, -2 },
        { "XXX3EDT4,0/0,J365/23", 7, 12, -4 }, /* RFC 8536, 3.3.1: summer time all year */
        { "XXX3EDT4,0/0,J365/23", 1, 0, -4 },
        { "IST-2IDT,M3.4.4/26,M10.5.0", 7, 12, 3 },
        { "NZST-12NZDT,M9.5.0,M4.1.0/3", 1, 12, 13 },
    };
    struct message why = { "", "" };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        unsigned char file[256] = "TZif2";
        const struct zone *z = NULL;
        size_t n = 44;
        file[36 + 3] = 1; /* one type */
        file[40 + 3] = 4; /* four characters */
        n += 6 + 4;
        memcpy(file + n, file, 44);
        n += 44;
        n += 6; /* offset 0, no summer, abbreviation at 0 */
        memcpy(file + n - 6 - 44 - 4, "LMT", 4);
        memcpy(file + n, "LMT", 4);
        n += 4;
        n += (size_t)snprintf((char *)file + n, sizeof file - n, "\n%s\n", rows[i].footer);
        if (zone_read("made", file, n, &mem, &z, &why) != ST_OK)
            fail_msg("%s: %s", rows[i].footer, why.text);
        if (zone_offset_s(z, at(2026, rows[i].month, 1, rows[i].hour, 0)) != rows[i].want_h * 3600)
            fail_msg("%s in month %d: %d", rows[i].footer, rows[i].month,
                     zone_offset_s(z, at(2026, rows[i].month, 1, rows[i].hour, 0)));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(offsets_agree_with_the_c_library),
        cmocka_unit_test(local_times_lead_back),
        cmocka_unit_test(published_changes),
        cmocka_unit_test(what_a_person_typed),
        cmocka_unit_test(names),
        cmocka_unit_test(damaged_files_are_refused),
        cmocka_unit_test(odd_rules),
    };
    arena_open(&mem, (size_t)4 << 30);
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    arena_close(&mem);
    return failed;
}
