/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * try: the same figures as tonight's for what stands, better for what helps, and the same with a memory as without.
 */
#include "put_with.h"
#include "demo_case.h"

#include <math.h>

#include "desk/memory.h"
#include "doors/show/show.h"

static struct farm *demo(void)
{
    struct message why = { "", "" };
    struct farm *farm = NULL;

    if (farm_open(demo_path, &farm, &why) != ST_OK)
        fail_msg("%s", why.text);
    return farm;
}

static const char moment[] = "2026-01-22T15:40Z";

/* Bramble nests in Hut 2: what stands is what tonight says of her. */
static void what_stands_is_what_tonight_says(void **state)
{
    struct farm *farm = demo();
    struct ask_case s, t;

    (void)state;
    const struct answer *a = ask(&s, farm, "try", "shelter=Hut_2 horizon=72h", moment);
    const struct answer *b = ask(&t, farm, "tonight", "", moment);
    assert_string_equal(answer_get_text(a, "sow"), "Bramble");
    const struct answer *sow = answer_at(b, "sows")->first;
    while (sow && strcmp(answer_get_text(sow, "name"), "Bramble") != 0)
        sow = sow->next;
    assert_non_null(sow);
    case_near(answer_get_real(a, "now.danger"), answer_get_real(sow, "now.danger"), 1e-9, "danger as it stands");
    case_near(answer_get_real(a, "then.danger"), answer_get_real(a, "now.danger"), 0.0,
              "nothing tried, nothing changed");
    ask_close(&s);
    ask_close(&t);
    farm_close(farm);
}

static double danger(struct farm *farm, const char *words)
{
    struct ask_case s;
    const double d = answer_get_real(ask(&s, farm, "try", words, moment), "then.danger");
    ask_close(&s);
    return d;
}

static void what_helps_helps(void **state)
{
    struct farm *farm = demo();
    const double stands = danger(farm, "shelter=Hut_2");

    (void)state;
    assert_true(danger(farm, "shelter=Hut_2 flap=hung") < stands);
    assert_true(danger(farm, "shelter=Hut_2 bales=0.5") < stands);
    assert_true(danger(farm, "shelter=Hut_2 straw-depth=0.25m") < stands);
    assert_true(danger(farm, "shelter=Hut_2 straw-depth=0") > stands);
    assert_true(danger(farm, "shelter=Hut_2 facing=110") < danger(farm, "shelter=Hut_2 facing=290")); /* W-NW winds */
    struct ask_case s;
    const struct answer *a = ask(&s, farm, "try", "shelter=Hut_2 facing=110", moment);
    assert_non_null(answer_get_text(a, "leave_because")); /* a nest is in it */
    ask_close(&s);
    a = ask(&s, farm, "try", "shelter=Hut_7 facing=110", moment); /* in store */
    assert_int_equal(answer_at(a, "now")->kind, ANSWER_NULL);
    ask_close(&s);
    farm_close(farm);
}

/* Moved behind the drawn hedge and out into the open, in a wind square to it. */
static void the_plan_shelters(void **state)
{
    struct farm *farm = demo();
    struct ask_case s;

    (void)state;
    const struct answer *a = ask(&s, farm, "try", "shelter=Hut_4 x=80 y=82", moment);
    assert_non_null(strstr(answer_get_text(a, "says"), "the north hedge"));
    const double behind = answer_get_real(a, "then.feels_c");
    ask_close(&s);
    a = ask(&s, farm, "try", "shelter=Hut_4 x=90 y=20", moment);
    assert_non_null(strstr(answer_get_text(a, "says"), "no drawn hedge"));
    assert_true(answer_get_real(a, "then.feels_c") <= behind + 1e-9);
    ask_close(&s);
    farm_close(farm);
}

static void what_makes_no_sense_is_refused(void **state)
{
    static const struct {
        const char *words;
        enum status st;
        const char *says;
    } bad[] = {
        { "shelter=Hut_99", ST_NOT_FOUND, "no hut" },
        { "shelter=Hut_4 sow=Nobody", ST_NOT_FOUND, "Nobody" },
        { "shelter=Hut_4 sow=Clover", ST_NOT_FOUND, "not waited for" },
        { "shelter=Hut_4 x=10", ST_BAD_INPUT, "go together" },
        { "shelter=Hut_4 bales=1 straw-depth=10cm", ST_BAD_INPUT, "not both" },
        { "shelter=Hut_4 lee=the_moon", ST_NOT_FOUND, "no windbreak" },
        { "shelter=Hut_4 x=1 y=1 paddock=Nowhere", ST_NOT_FOUND, "no field" },
    };
    struct farm *farm = demo();

    (void)state;
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct ask_case s;
        struct message why = { "", "" };
        const enum status st = ask_try(&s, farm, "try", bad[i].words, moment, &why);
        if (st != bad[i].st || !strstr(why.text, bad[i].says))
            fail_msg("%s: %d %s", bad[i].words, (int)st, why.text);
        ask_close(&s);
    }
    farm_close(farm);
}

/* ---- memory ---- */

static void with_a_memory_answers_are_the_same(void **state)
{
    static const char *const words[] = { "shelter=Hut_2",
                                         "shelter=Hut_2 flap=hung",
                                         "shelter=Hut_4 facing=150",
                                         "shelter=Hut_4 facing=155 bales=1",
                                         "shelter=Hut_4 facing=150",
                                         "shelter=Hut_2 flap=hung horizon=24h",
                                         "shelter=Hut_5 x=70 y=80",
                                         "shelter=Hut_2" };
    struct desk_memory *memory = desk_memory_open();
    struct farm *farm = demo();

    (void)state;
    assert_non_null(memory);
    for (int round = 0; round < 2; round++)
        for (size_t i = 0; i < COUNT(words); i++) {
            const char *at = round ? "2026-01-22T22:30Z" : moment;
            char *with = put_with(farm, memory, "try", words[i], at),
                 *without = put_with(farm, NULL, "try", words[i], at);
            if (strcmp(with, without) != 0)
                fail_msg("%s at %s differs with a memory", words[i], at);
            free(with);
            free(without);
        }
    farm_close(farm);
    desk_memory_close(memory);
}

/* A record in between must be seen at once. */
static void a_record_is_seen_at_once(void **state)
{
    struct desk_memory *memory = desk_memory_open();
    struct farm_case c = { .farm = NULL };
    struct message why = { "", "" };

    (void)state;
    case_path(c.path);
    arena_open(&c.mem, (size_t)1 << 29);
    if (demo_make(c.path, 1, &why) != ST_OK || farm_open(c.path, &c.farm, &why) != ST_OK)
        fail_msg("%s", why.text);
    char *before = put_with(c.farm, memory, "try", "shelter=Hut_2", moment);
    case_record(&c, "bedding", "placement=Hut 2", "at=2026-01-22 15:00", "straw_depth_m=0.25", NULL);
    char *after = put_with(c.farm, memory, "try", "shelter=Hut_2", moment),
         *fresh = put_with(c.farm, NULL, "try", "shelter=Hut_2", moment);
    assert_string_not_equal(before, after);
    assert_string_equal(after, fresh);
    free(before);
    free(after);
    free(fresh);
    case_close(&c);
    desk_memory_close(memory);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_stands_is_what_tonight_says),
        cmocka_unit_test(what_helps_helps),
        cmocka_unit_test(the_plan_shelters),
        cmocka_unit_test(what_makes_no_sense_is_refused),
        cmocka_unit_test(with_a_memory_answers_are_the_same),
        cmocka_unit_test(a_record_is_seen_at_once),
    };
    return cmocka_run_group_tests(tests, demo_begin, demo_end);
}
