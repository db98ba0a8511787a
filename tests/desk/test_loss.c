/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Piglets lost after birth in the answers: how many live, on the sow's page, in the night and on the round. Counts are
 * worked out by hand. Nothing is foretold: only what was written down is subtracted.
 */
#include "ask_case.h"
#include "farm_case.h"

static void litter_of_eight(struct farm_case *c)
{
    case_open(c);
    case_record(c, "sow", "name=Bramble", "litters-before=2", NULL);
    case_record(c, "farrowing", "sow=Bramble", "start=2026-01-21T21:40Z", "born-alive=8", "still=1", NULL);
    case_record(c, "loss", "sow=Bramble", "at=2026-01-22T09:00Z", "many=2", "cause=lain on", NULL);
}

static void the_fold_knows_how_many_live(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    litter_of_eight(&c);
    case_fold(&c, "2026-01-22T08:00", &h); /* before it was found */
    assert_int_equal(herd_living(case_sow(&h, "Bramble")), 8);
    case_fold(&c, "2026-01-22T12:00", &h);
    assert_int_equal(herd_living(case_sow(&h, "Bramble")), 6);
    assert_int_equal(case_sow(&h, "Bramble")->born_alive, 8);
    case_record(&c, "loss", "sow=Bramble", "at=2026-01-23T09:00Z", "many=9", NULL); /* more than were: flagged */
    case_fold(&c, "2026-01-23T12:00", &h);
    assert_int_equal(herd_living(case_sow(&h, "Bramble")), 0);
    case_close(&c);
}

static void an_older_litter_takes_nothing_from_the_new(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Bramble", "litters-before=2", NULL);
    case_record(&c, "farrowing", "sow=Bramble", "start=2025-08-12T04:00Z", "born-alive=8", NULL);
    case_record(&c, "loss", "sow=Bramble", "at=2025-08-14T09:00Z", "many=2", NULL);
    case_record(&c, "weaning", "sow=Bramble", "at=2025-09-30T10:00Z", "weaned=6", NULL);
    case_record(&c, "farrowing", "sow=Bramble", "start=2026-01-21T04:00Z", "born-alive=9", NULL);
    case_fold(&c, "2026-01-22T12:00", &h);
    assert_int_equal(herd_living(case_sow(&h, "Bramble")), 9);
    case_record(&c, "sow", "name=Sedge", NULL);
    case_record(&c, "farrowing", "sow=Sedge", "start=2026-01-21T05:00Z", NULL); /* not counted */
    case_record(&c, "loss", "sow=Sedge", "at=2026-01-21T09:00Z", "many=1", NULL);
    case_fold(&c, "2026-01-22T12:00", &h);
    assert_int_equal(herd_living(case_sow(&h, "Sedge")), -1);
    case_close(&c);
}

static void her_page_shows_them(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    litter_of_eight(&c);
    case_record(&c, "loss", "sow=Bramble", "at=2026-01-23T09:00Z", "many=1", "cause=cold", NULL);
    const struct answer *a = ask(&s, c.farm, "sow", "NAME=Bramble", "2026-01-24T12:00Z");
    const struct answer *l = answer_at(a, "litters")->first;
    case_near(answer_get_real(l, "lost"), 3.0, 0.0, "two and one");
    assert_string_equal(answer_get_text(l, "lost_of"), "2: lain on; 1: cold");
    case_near(answer_get_real(l, "born_alive"), 8.0, 0.0, "what was born stays");
    ask_close(&s);
    case_close(&c);
}

static const char *wean_words(const struct answer *a)
{
    for (const struct answer *p = answer_at(a, "to_do")->first; p; p = p->next)
        if (strncmp(answer_get_text(p, "key"), "wean:", 5) == 0)
            return answer_get_text(p, "what");
    return NULL;
}

static void the_round_counts_what_lives(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    litter_of_eight(&c);
    const struct answer *a = ask(&s, c.farm, "round", "", "2026-03-12T12:00Z"); /* seven weeks on */
    assert_string_equal(wean_words(a), "Plan the weaning of Bramble: 6 piglets.");
    ask_close(&s);
    case_record(&c, "loss", "sow=Bramble", "at=2026-01-24T09:00Z", "many=6", NULL);
    a = ask(&s, c.farm, "round", "", "2026-03-12T12:00Z");
    assert_null(wean_words(a)); /* none is left to wean */
    ask_close(&s);
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_fold_knows_how_many_live),
        cmocka_unit_test(an_older_litter_takes_nothing_from_the_new),
        cmocka_unit_test(her_page_shows_them),
        cmocka_unit_test(the_round_counts_what_lives),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
