/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Paper for a buyer: what was recorded stands on it and nothing else. Figures: the young of a sire and his daughter by
 * an unrelated dam have F = 1/4 (Wright 1922, two rules of the relationship table). */
#include "ask_case.h"

#include "desk/answer.h"

#define AT "2026-06-01T12:00"

static void what_is_recorded_stands_on_it(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open(&c);
    case_record(&c, "animal", "name=Alder", "is=boar", "breed=Hedgerow Black", NULL);
    case_record(&c, "animal", "name=Gran", "is=sow", "breed=Marsh Ginger", NULL);
    case_record(&c, "animal", "name=Ann", "is=sow", "sire=Alder", "dam=Gran", "litters-before=2",
                "mean-litter-before=7.5", NULL);
    case_record(&c, "farrowing", "sow=Ann", "start=2025-02-01T22:30", "end=2025-02-02T01:10", "born-alive=9", "still=1",
                NULL);
    case_record(&c, "animal", "name=Bess", "is=gilt", "tag=14-6", "sire=Alder", "dam=Ann", "born=2025-02-02",
                "teats=14", "blind-teats=1", "breed=Hedgerow Black", NULL);
    const struct answer *a = ask(&s, c.farm, "paper", "Bess", AT);
    case_near(answer_get_real(a, "family.f"), 0.25, 1e-12, "sire and daughter");
    case_near(answer_get_real(a, "teats"), 14.0, 0.0, "teats");
    case_near(answer_get_real(a, "blind_teats"), 1.0, 0.0, "blind");
    case_near(answer_get_real(a, "born_alive"), 9.0, 0.0, "the litter that ended on her birthday");
    case_near(answer_get_real(a, "born_dead"), 1.0, 0.0, "dead in it");
    assert_string_equal(answer_get_text(a, "tag"), "14-6");
    assert_string_equal(answer_get_text(a, "family.members[1].name"), "Alder");
    assert_int_equal(answer_count(answer_at(a, "family.members")), 5);
    /* 14 = 9 + 3 + 1 + 1, 6 = 3 + 3 by the universal key (Penn State Extension, "Universal ear notching") */
    assert_string_equal(
        answer_get_text(a, "notches"),
        "its own right ear (litter 14): two at the lower edge near the head, one at the lower edge near "
        "the tip, one at the upper edge near the tip; its own left ear (pig 6): two at the lower edge "
        "near the tip");
    assert_string_equal(answer_get_text(a, "breeds_say"), "Hedgerow Black 3/4, Marsh Ginger 1/4");
    assert_true(answer_at(a, "mean_litter")->kind == ANSWER_NULL); /* a gilt */
    assert_int_equal(answer_count(answer_at(a, "written")), 4);
    assert_string_equal(answer_get_text(a, "written[0].who"), "Wenna");
    assert_true(answer_at(a, "withdrawal_until")->kind == ANSWER_NULL);
    ask_close(&s);
    a = ask(&s, c.farm, "paper", "Ann", AT);
    case_near(answer_get_real(a, "litters"), 3.0, 0.0, "two before and one recorded");
    case_near(answer_get_real(a, "mean_litter"), (2.0 * 7.5 + 9.0) / 3.0, 1e-12, "born alive over all three");
    assert_true(answer_at(a, "notches")->kind == ANSWER_NULL); /* no tag */
    ask_close(&s);
    case_record(&c, "treatment", "animal=Bess", "at=2026-05-20T09:00", "what=as the vet set",
                "withdrawal-ends=2026-06-11", NULL);
    a = ask(&s, c.farm, "paper", "14-6", AT); /* by her tag */
    assert_true(answer_at(a, "withdrawal_until")->is.whole == civil_days(2026, 6, 11));
    ask_close(&s);
    a = ask(&s, c.farm, "paper", "Bess", "2026-06-11T12:00"); /* that day meat may be eaten again */
    assert_true(answer_at(a, "withdrawal_until")->kind == ANSWER_NULL);
    ask_close(&s);
    case_close(&c);
}

static void what_is_not_is_said_to_be_so(void **state)
{
    struct message why = { "", "" };
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open(&c);
    case_record(&c, "animal", "name=Alder", "is=boar", "kept=elsewhere", NULL);
    const struct answer *a = ask(&s, c.farm, "paper", "Alder", AT);
    assert_string_equal(answer_get_text(a, "teats_because"), "not recorded");
    assert_string_equal(answer_get_text(a, "born_alive_because"), "not recorded");
    assert_string_equal(answer_get_text(a, "gone"), "elsewhere");
    assert_int_equal(answer_count(answer_at(a, "written")), 1);
    ask_close(&s);
    assert_int_equal(ask_try(&s, c.farm, "paper", "Nobody", AT, &why), ST_NOT_FOUND);
    assert_string_equal(why.field, "NAME");
    ask_close(&s);
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_recorded_stands_on_it),
        cmocka_unit_test(what_is_not_is_said_to_be_so),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    (void)printf("desk, paper for a buyer: %zu tests, %d failed\n", COUNT(tests), failed);
    return failed;
}
