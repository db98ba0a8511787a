/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tonight and round with what is kept of nights before: the same bytes as without, in the same hour and the next, after
 * records at one shelter, and over new hours. The witness is the question put with no memory. The farm is invented. */
#include "demo_case.h"
#include "put_with.h"

static size_t checks;

/* Gives whether the answer differs from `before`, which it replaces. */
static bool same(struct farm *farm, struct desk_memory *memory, const char *question, const char *words, const char *at,
                 char **before)
{
    char *with = put_with(farm, memory, question, words, at), *without = put_with(farm, NULL, question, words, at);
    const bool differs = !*before || strcmp(with, *before) != 0;

    if (strcmp(with, without) != 0)
        fail_msg("%s %s at %s differs with what is kept", question, words, at);
    checks++;
    free(without);
    free(*before);
    *before = with;
    return differs;
}

static void in_any_order(void **state)
{
    static const struct {
        const char *question, *words, *at;
    } ask[] = { { "round", "", "2026-01-22T15:40Z" },
                { "tonight", "", "2026-01-22T15:40Z" },
                { "tonight", "", "2026-01-22T15:57Z" },
                { "tonight", "hours", "2026-01-22T15:58Z" },
                { "tonight", "horizon=2", "2026-01-22T15:58Z" },
                { "tonight", "seen-now", "2026-01-22T15:59Z" },
                { "tonight", "", "2026-01-22T16:02Z" },
                { "tonight", "horizon=1", "2026-01-22T16:03Z" },
                { "round", "", "2026-01-22T16:05Z" },
                { "tonight", "", "2026-01-23T16:05Z" },
                { "tonight", "", "2026-01-22T15:41Z" } };
    struct desk_memory *memory = desk_memory_open();
    struct farm_case c = { .farm = NULL };
    char *before = NULL;

    (void)state;
    case_open_demo(&c);
    for (size_t i = 0; i < COUNT(ask); i++)
        (void)same(c.farm, memory, ask[i].question, ask[i].words, ask[i].at, &before);
    free(before);
    case_close(&c);
    desk_memory_close(memory);
}

/* One fact after the other, each of which shows in the answer. */
static void what_changes_is_seen(void **state)
{
    static const char at[] = "2026-01-22T21:40Z";
    struct desk_memory *memory = desk_memory_open();
    struct farm_case c = { .farm = NULL };
    struct hour hours[48];
    char *before = NULL;

    (void)state;
    case_open_demo(&c);
    (void)same(c.farm, memory, "tonight", "", at, &before);
    case_record(&c, "placement", "shelter=Hut 4", "from=2026-01-22T20:00Z", "facing_deg=95", "straw_depth_m=0.2",
                "straw_state=dry", NULL);
    assert_true(same(c.farm, memory, "tonight", "", at, &before));
    case_record(&c, "weighing", "animal=Bramble", "on=2026-01-22", "mass_kg=262", NULL);
    (void)same(c.farm, memory, "tonight", "", at, &before);
    for (size_t i = 0; i < COUNT(hours); i++) {
        hours[i] = hour_unknown(case_moment("2026-01-22T22:00Z") + (int64_t)i * HOUR_S);
        hours[i].temp_c = -15.0;
        hours[i].wind_mps = 9.0;
    }
    case_put_hours(&c, WEATHER_TYPED, "a hard night", case_moment("2026-01-22T21:00Z"), COUNT(hours), hours);
    assert_true(same(c.farm, memory, "tonight", "", at, &before));
    (void)same(c.farm, memory, "round", "", at, &before);
    free(before);
    case_close(&c);
    desk_memory_close(memory);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_any_order),
        cmocka_unit_test(what_changes_is_seen),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    printf("%zu answers held against those without a memory\n", checks);
    return failed;
}
