/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * season with a memory: the same bytes as without, whatever is moved in whatever order; hours, place and records that
 * change are seen at once. The witness is the question put with no memory. The farm is invented. */
#include "put_with.h"

#include "demo/demo.h"
#include "desk/memory.h"
#include "desk/questions.h"

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

static void demo_case(struct farm_case *c)
{
    struct message why = { "", "" };

    case_path(c->path);
    arena_open(&c->mem, (size_t)1 << 29);
    if (demo_make(c->path, 1, &why) != ST_OK || farm_open(c->path, &c->farm, &why) != ST_OK)
        fail_msg("%s", why.text);
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
    demo_case(&c);
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
    struct hour hours[24 * 40];

    (void)state;
    demo_case(&c);
    char *before = put_with(c.farm, memory, "season", "winters=500", moment);
    case_record(&c, "boar", "name=Sorrel", "born=2022-03-01", NULL);
    case_record(&c, "asked", "from=2027-06-01", "to=2027-06-20", "pigs=10", "price=90", NULL);
    char *after = put_with(c.farm, memory, "season", "winters=500", moment);
    assert_string_not_equal(before, after);
    same(c.farm, memory, "winters=500", moment);
    for (size_t i = 0; i < COUNT(hours); i++) {
        hours[i] = hour_unknown(case_moment("2025-01-05T00:00Z") + (int64_t)i * HOUR_S);
        hours[i].temp_c = -25.0;
        hours[i].wind_mps = 9.0;
    }
    case_put_hours(&c, WEATHER_PAST, "a hard month", case_moment(CASE_RECORDED "Z"), COUNT(hours), hours);
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
        cmocka_unit_test(what_changes_is_seen),
    };
    return cmocka_run_group_tests_name("season with a memory", tests, NULL, closing);
}
