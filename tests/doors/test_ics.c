/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The calendar as libical itself reads and judges it (RFC 5545): no line it cannot take, no rule broken, and the same days
 * in it as in the answer. The library is opened here as the program opens it: by name, when it is wanted. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <dlfcn.h>
#include <jansson.h>
#include <libical/ical.h>

#include "core/base/civil.h"
#include "tests/doors/run.h"

static char farm[256];
static size_t events_seen;

static struct {
    icalcomponent *(*parse)(const char *);
    int (*errors)(icalcomponent *);
    int (*keeps_rules)(icalcomponent *);
    icalcomponent_kind (*isa)(const icalcomponent *);
    icalcomponent *(*first)(icalcomponent *, icalcomponent_kind);
    icalcomponent *(*next)(icalcomponent *, icalcomponent_kind);
    const char *(*uid)(icalcomponent *);
    const char *(*summary)(icalcomponent *);
    struct icaltimetype (*start)(icalcomponent *);
    struct icaltimetype (*end)(icalcomponent *);
    void (*done)(icalcomponent *);
} ical;

static void find(void *library, const char *name, void *into, size_t n)
{
    void *const at = dlsym(library, name);
    if (!at)
        fail_msg("libical has no %s", name);
    memcpy(into, &at, n); /* a pointer to data copied into one to code, as POSIX has it (dlsym, rationale) */
}

static int open_all(void **state)
{
    void *library = dlopen("libical.so.3", RTLD_NOW | RTLD_LOCAL);

    (void)state;
    if (!library)
        fail_msg("%s", dlerror());
    find(library, "icalparser_parse_string", &ical.parse, sizeof ical.parse);
    find(library, "icalcomponent_count_errors", &ical.errors, sizeof ical.errors);
    find(library, "icalrestriction_check", &ical.keeps_rules, sizeof ical.keeps_rules);
    find(library, "icalcomponent_isa", &ical.isa, sizeof ical.isa);
    find(library, "icalcomponent_get_first_component", &ical.first, sizeof ical.first);
    find(library, "icalcomponent_get_next_component", &ical.next, sizeof ical.next);
    find(library, "icalcomponent_get_uid", &ical.uid, sizeof ical.uid);
    find(library, "icalcomponent_get_summary", &ical.summary, sizeof ical.summary);
    find(library, "icalcomponent_get_dtstart", &ical.start, sizeof ical.start);
    find(library, "icalcomponent_get_dtend", &ical.end, sizeof ical.end);
    find(library, "icalcomponent_free", &ical.done, sizeof ical.done);
    const char *tmp = getenv("TMPDIR");
    (void)snprintf(farm, sizeof farm, "%s/leenest-ics-%ld.leenest", tmp && *tmp ? tmp : "/tmp", (long)getpid());
    (void)unlink(farm);
    return 0;
}

static int close_all(void **state)
{
    (void)state;
    (void)unlink(farm);
    print_message("%zu events read back\n", events_seen);
    return events_seen > 10 ? 0 : -1;
}

static struct run told(const char *const words[])
{
    struct run r = run_how(words, false);
    if (r.code != 0)
        fail_msg("%s %s: %s", words[0], words[1], text_get(&r.err));
    return r;
}
#define TOLD(...) told((const char *const[]){ "--farm", farm, __VA_ARGS__, NULL })

/* A calendar that libical takes without a word. */
static icalcomponent *read_back(const char *at)
{
    struct run r = TOLD("calendar", "--at", at, "--ics");
    icalcomponent *cal = ical.parse(text_get(&r.out));

    assert_non_null(cal);
    assert_int_equal(ical.isa(cal), ICAL_VCALENDAR_COMPONENT);
    assert_int_equal(ical.errors(cal), 0);
    assert_true(ical.keeps_rules(cal));
    assert_int_equal(ical.errors(cal), 0); /* the check writes what it found into the calendar */
    run_close(&r);
    return cal;
}

static void same_day(struct icaltimetype got, const char *want, int64_t later)
{
    struct civil_text t = { 0 };

    assert_true(civil_read(want, &t));
    assert_true(got.is_date);
    assert_int_equal(civil_days(got.year, got.month, got.day), civil_days(t.at.year, t.at.month, t.at.day) + later);
}

/* Event by event: the days (an end is exclusive, RFC 5545, 3.6.1), the words, an identity of its own. */
static void the_same_days(const char *at)
{
    struct run r = TOLD("calendar", "--at", at, "--json");
    json_t *answer = json_loads(text_get(&r.out), 0, NULL), *row = NULL;
    icalcomponent *cal = read_back(at), *e = ical.first(cal, ICAL_VEVENT_COMPONENT);
    size_t i = 0;

    assert_non_null(answer);
    json_array_foreach(json_object_get(answer, "events"), i, row)
    {
        assert_non_null(e);
        same_day(ical.start(e), json_string_value(json_object_get(row, "from")), 0);
        same_day(ical.end(e), json_string_value(json_object_get(row, "to")), 1);
        assert_string_equal(ical.summary(e), json_string_value(json_object_get(row, "title")));
        assert_int_equal(strncmp(ical.uid(e), json_string_value(json_object_get(row, "key")),
                                 strlen(json_string_value(json_object_get(row, "key")))),
                         0);
        events_seen++;
        e = ical.next(cal, ICAL_VEVENT_COMPONENT);
    }
    assert_null(e);
    ical.done(cal);
    json_decref(answer);
    run_close(&r);
}

static void an_invented_farm(void **state)
{
    struct run r = run_how((const char *const[]){ "demo", "--to", farm, NULL }, false);

    (void)state;
    assert_int_equal(r.code, 0);
    run_close(&r);
    the_same_days("2026-01-22T15:40Z");
    the_same_days("2025-11-02T06:00Z");
    (void)unlink(farm);
}

static void names_that_a_calendar_must_escape(void **state)
{
    struct run r = TOLD("record", "farm", "--name", "Here; there, and\\so on", "--lat", "54.6", "--lon", "-2.4",
                        "--zone", "Europe/London");

    (void)state;
    run_close(&r);
    r = TOLD("record", "sow", "--name", "Old, \"fat\"; \\n BEGIN:VEVENT \xd7\xa9\xd7\x95\xd7\xa9\xd7\x9f",
             "--litters-before", "2");
    run_close(&r);
    r = TOLD("record", "service", "--sow", "Old, \"fat\"; \\n BEGIN:VEVENT \xd7\xa9\xd7\x95\xd7\xa9\xd7\x9f", "--at",
             "2025-09-29T16:00Z");
    run_close(&r);
    the_same_days("2026-01-10T12:00Z");
    (void)unlink(farm);
}

static void a_farm_with_nothing_to_come(void **state)
{
    struct run r =
        TOLD("record", "farm", "--name", "Bare", "--lat", "54.6", "--lon", "-2.4", "--zone", "Europe/London");

    (void)state;
    run_close(&r);
    icalcomponent *cal = read_back("2026-01-10T12:00Z");
    assert_null(ical.first(cal, ICAL_VEVENT_COMPONENT));
    ical.done(cal);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_invented_farm),
        cmocka_unit_test(names_that_a_calendar_must_escape),
        cmocka_unit_test(a_farm_with_nothing_to_come),
    };
    return cmocka_run_group_tests(tests, open_all, close_all);
}
