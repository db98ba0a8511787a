/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * season with a memory: the same bytes as without, whatever is moved in whatever order; hours, place and records that
 * change are seen at once. The witness is the question put with no memory. One thread and two say the same bytes too. The
 * farm is invented. */
#include "demo_case.h"
#include "put_with.h"

#include <errno.h>
#include <pthread.h>

#include "desk/memory.h"
#include "desk/questions.h"
#include "desk/season_births.h"
#include "desk/season_kept.h"

static size_t checks;
static const char moment[] = "2026-01-22T21:40Z";

static void same(struct farm *farm, struct desk_memory *memory, const char *words, const char *at)
{
    char *with = put_with(farm, memory, "season", words, at), *without = put_with(farm, NULL, "season", words, at);

    if (strcmp(with, without) != 0)
        fail_msg("%s at %s differs with a memory", words, at);
    checks++;
    free(with);
    free(without);
}

static void hours_of(struct farm_case *c, const char *from, size_t n, double temp_c)
{
    struct hour *hours = ARENA_NEW(&c->mem, struct hour, n);

    assert_non_null(hours);
    for (size_t i = 0; i < n; i++) {
        hours[i] = hour_unknown(case_moment(from) + (int64_t)i * HOUR_S);
        hours[i].temp_c = temp_c + (double)(i % 24) / 4.0 - (double)(i % 211) / 20.0;
        hours[i].wind_mps = 2.0 + (double)(i % 7);
        hours[i].wind_from_deg = 200.0 + (double)(i % 100);
    }
    case_put_hours(c, WEATHER_PAST, from, case_moment(CASE_RECORDED "Z"), n, hours);
}

/* Small, so that much can be moved in a little time: four sows, one of them in pig, and two winters. */
static void small_case(struct farm_case *c)
{
    static const char *const sows[] = { "name=Bramble", "name=Sedge", "name=Tansy", "name=Clover" };

    case_open_empty(c);
    case_record(c, "farm", "name=Larkmoor", "lat=54.6", "lon=-2.4", "zone=Europe/London", NULL);
    for (size_t i = 0; i < COUNT(sows); i++)
        case_record(c, "sow", sows[i], "born=2022-03-01", "litters-before=3", NULL);
    case_record(c, "boar", "name=Flint", "born=2022-03-01", NULL);
    case_record(c, "hut", "name=Hut 1", "wall=steel", NULL);
    case_record(c, "hut", "name=Hut 2", "wall=wood", NULL);
    case_record(c, "service", "sow=Sedge", "boar=Flint", "at=2025-11-20 10:00", NULL);
    case_record(c, "asked", "from=2027-03-29", "to=2027-04-25", "pigs=16", "price=80", NULL);
    hours_of(c, "2023-11-01T00:00Z", (size_t)24 * 150, 1.0);
    hours_of(c, "2024-11-01T00:00Z", (size_t)24 * 150, -2.0);
}

static void moved_in_any_order(void **state)
{
    static const char *const words[] = { "winters=500",
                                         "boar-in=2026-10-05 winters=500",
                                         "boar-in=2026-10-19 winters=500",
                                         "danger-cost=400 winters=500",
                                         "boar-in=2026-10-19 danger-cost=400 winters=500",
                                         "price=70 winters=500",
                                         "age=70d boar-in=2026-09-28 winters=500",
                                         "winters=500" };
    struct desk_memory *memory = desk_memory_open();
    struct farm_case c = { .farm = NULL };

    (void)state;
    small_case(&c);
    for (size_t i = 0; i < COUNT(words); i++)
        same(c.farm, memory, words[i], moment);
    same(c.farm, memory, "winters=500", "2026-01-23T08:10Z");
    same(c.farm, memory, "boar-in=2026-10-19 winters=500", "2026-01-23T08:10Z");
    case_close(&c);
    desk_memory_close(memory);
}

/* Records and newly kept past hours in between. */
static void what_changes_is_seen(void **state)
{
    struct desk_memory *memory = desk_memory_open();
    struct farm_case c = { .farm = NULL };

    (void)state;
    small_case(&c);
    char *before = put_with(c.farm, memory, "season", "winters=500", moment);
    case_record(&c, "boar", "name=Sorrel", "born=2022-03-01", NULL);
    case_record(&c, "asked", "from=2027-06-01", "to=2027-06-20", "pigs=10", "price=90", NULL);
    char *after = put_with(c.farm, memory, "season", "winters=500", moment);
    assert_string_not_equal(before, after);
    same(c.farm, memory, "winters=500", moment);
    hours_of(&c, "2025-01-05T00:00Z", (size_t)24 * 40, -25.0);
    char *colder = put_with(c.farm, memory, "season", "winters=500", moment);
    assert_string_not_equal(after, colder);
    same(c.farm, memory, "winters=500", moment);
    same(c.farm, memory, "winters=500", "2026-01-22T12:40Z");
    checks += 2;
    free(before);
    free(after);
    free(colder);
    case_close(&c);
    desk_memory_close(memory);
}

/* Days of birth kept after one question by a herd of n sows that came from a list: a birthday is all that is known. */
static size_t kept_of_list(size_t n)
{
    struct desk_memory *memory = desk_memory_open();
    struct farm_case c = { .farm = NULL };

    case_open_empty(&c);
    case_record(&c, "farm", "name=Larkmoor", "lat=54.6", "lon=-2.4", "zone=Europe/London", NULL);
    for (size_t i = 0; i < n; i++) {
        char name[32];
        (void)snprintf(name, sizeof name, "name=Sow %03zu", i);
        case_record(&c, "sow", name, i % 2 ? "born=2021-03-01" : "born=2022-03-01", "litters-before=3", NULL);
    }
    case_record(&c, "boar", "name=Flint", "born=2022-03-01", NULL);
    case_record(&c, "asked", "from=2027-03-29", "to=2027-04-25", "pigs=16", "price=80", NULL);
    free(put_with(c.farm, memory, "season", "winters=100 choices=no", moment));
    const size_t kept = season_births_count(season_kept_births(desk_memory_season(memory)));
    case_close(&c);
    desk_memory_close(memory);
    return kept;
}

/* What is reckoned does not grow with sows of whom the same is known. */
static void sows_that_are_alike_are_reckoned_once(void **state)
{
    const size_t few = kept_of_list(2), many = kept_of_list(90);

    (void)state;
    (void)printf("days of birth reckoned: %zu for 2 sows, %zu for 90 like them\n", few, many);
    assert_true(few > 50);
    assert_int_equal(many, few);
    checks += 2;
}

/* ---- one thread and two: pthread_create is wrapped by the linker (tests/CMakeLists.txt) ---- */

int __real_pthread_create(pthread_t *, const pthread_attr_t *, void *(*)(void *), void *);
int __wrap_pthread_create(pthread_t *, const pthread_attr_t *, void *(*)(void *), void *);

static bool one_thread;
static size_t made, refused;

int __wrap_pthread_create(pthread_t *thread, const pthread_attr_t *how, void *(*what)(void *), void *with)
{
    if (one_thread)
        refused++;
    else
        made++;
    return one_thread ? EAGAIN : __real_pthread_create(thread, how, what, with);
}

/* The whole demo, choices and all, with a memory that has moved and without. */
static void one_thread_says_what_two_say(void **state)
{
    static const char *const words[] = { "winters=300", "boar-in=2026-10-19 winters=300" };
    struct desk_memory *memory = desk_memory_open();
    struct farm_case c = { .farm = NULL };
    char *two[COUNT(words)];

    (void)state;
    case_open_demo(&c);
    for (size_t i = 0; i < COUNT(words); i++)
        two[i] = put_with(c.farm, memory, "season", words[i], moment);
    one_thread = true;
    char *one = put_with(c.farm, NULL, "season", words[1], moment);
    assert_string_equal(one, two[1]);
    free(one);
    one = put_with(c.farm, memory, "season", words[0], moment);
    assert_string_equal(one, two[0]);
    one_thread = false;
    assert_true(made > 0 && refused > 0);
    checks += 3;
    free(one);
    for (size_t i = 0; i < COUNT(words); i++)
        free(two[i]);
    case_close(&c);
    desk_memory_close(memory);
}

static int closing(void **state)
{
    (void)state;
    printf("season with a memory: %zu checks\n", checks);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(moved_in_any_order),
        cmocka_unit_test(sows_that_are_alike_are_reckoned_once),
        cmocka_unit_test(what_changes_is_seen),
        cmocka_unit_test(one_thread_says_what_two_say),
    };
    return cmocka_run_group_tests_name("season with a memory", tests, NULL, closing);
}
