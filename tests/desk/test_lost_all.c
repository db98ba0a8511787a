/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A sow that lost all of a litter: dry and free from the moment the last was found, in the herd, on the round, in the
 * season, in pairings and in keep. Days are counted by hand from what is written down. The first heat after it is taken
 * as after a weaning (docs/reckoning/breeding.md: judgement). */
#include "ask_case.h"

#define AT "2026-06-01T12:00"

static size_t checks;

static void one_of_each(struct farm_case *c)
{
    case_open(c);
    case_record(c, "sow", "name=Bramble", "litters-before=2", NULL);
    case_record(c, "sow", "name=Sedge", "litters-before=2", NULL);
    case_record(c, "boar", "name=Flint", "born=2022-03-01", NULL);
    case_record(c, "farrowing", "sow=Bramble", "start=2026-05-01T06:00Z", "born-alive=8", NULL);
    case_record(c, "farrowing", "sow=Sedge", "start=2026-05-01T06:00Z", "born-alive=8", NULL);
    case_record(c, "loss", "sow=Bramble", "at=2026-05-03T09:00Z", "many=2", NULL);
    case_record(c, "loss", "sow=Sedge", "at=2026-05-03T09:00Z", "many=2", NULL);
    case_record(c, "loss", "sow=Bramble", "at=2026-05-10T09:00Z", "many=6", "cause=fox", NULL);
}

static void is(struct farm_case *c, const char *at, const char *name, enum herd_state state, bool lost_all,
               const char *dry)
{
    struct herd h;

    case_fold(c, at, &h);
    const struct herd_sow *s = case_sow(&h, name);
    if (s->state != state || s->lost_all != lost_all)
        fail_msg("%s at %s: %s, lost all %d", name, at, herd_state_name[s->state], s->lost_all);
    if (s->weaned_utc_s != (dry ? case_moment(dry) : INT64_MIN))
        fail_msg("%s at %s: dry from %lld", name, at, (long long)s->weaned_utc_s);
    checks += 3;
}

static void dry_from_the_last_one(void **state)
{
    struct farm_case c;

    (void)state;
    one_of_each(&c);
    is(&c, "2026-05-09T12:00", "Bramble", HERD_SUCKLING, false, NULL); /* six are left */
    is(&c, AT, "Bramble", HERD_OPEN, true, "2026-05-10T09:00Z");
    is(&c, AT, "Sedge", HERD_SUCKLING, false, NULL);
    case_record(&c, "loss", "sow=Sedge", "at=2026-05-20T09:00Z", "many=9",
                NULL); /* more than were: flagged, none left */
    is(&c, AT, "Sedge", HERD_OPEN, true, "2026-05-20T09:00Z");
    case_close(&c);
}

static void what_is_written_of_the_weaning_goes_before(void **state)
{
    struct farm_case c;

    (void)state;
    one_of_each(&c);
    case_record(&c, "weaning", "sow=Bramble", "at=2026-05-25T09:00Z", "all-lost=yes", NULL); /* said a fortnight late */
    is(&c, AT, "Bramble", HERD_OPEN, true, "2026-05-10T09:00Z");
    case_record(&c, "weaning", "sow=Sedge", "at=2026-05-25T09:00Z", "all-lost=yes",
                NULL); /* no single losses written */
    is(&c, AT, "Sedge", HERD_OPEN, true, "2026-05-25T09:00Z");
    case_record(&c, "sow", "name=Clover", NULL); /* suckled others': weaned five */
    case_record(&c, "farrowing", "sow=Clover", "start=2026-04-01T06:00Z", "born-alive=3", NULL);
    case_record(&c, "loss", "sow=Clover", "at=2026-04-02T06:00Z", "many=3", NULL);
    case_record(&c, "weaning", "sow=Clover", "at=2026-05-20T09:00Z", "weaned=5", NULL);
    is(&c, AT, "Clover", HERD_OPEN, false, "2026-05-20T09:00Z");
    case_close(&c);
}

static void born_dead_all_of_them(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Bramble", NULL);
    case_record(&c, "farrowing", "sow=Bramble", "start=2026-05-01T06:00Z", "born-alive=0", "still=7", NULL);
    is(&c, AT, "Bramble", HERD_OPEN, true, "2026-05-01T06:00Z");
    case_record(&c, "sow", "name=Sedge", NULL); /* not counted: nobody knows */
    case_record(&c, "farrowing", "sow=Sedge", "start=2026-05-01T06:00Z", NULL);
    case_record(&c, "loss", "sow=Sedge", "at=2026-05-02T06:00Z", "many=4", NULL);
    is(&c, AT, "Sedge", HERD_SUCKLING, false, NULL);
    case_record(&c, "sow", "name=Clover", NULL); /* still at it: one born, one dead, more may come */
    case_record(&c, "birth", "sow=Clover", "at=2026-06-01T10:00Z", "is=alive", NULL);
    case_record(&c, "loss", "sow=Clover", "at=2026-06-01T11:00Z", "many=1", NULL);
    is(&c, AT, "Clover", HERD_SUCKLING, false, NULL);
    case_close(&c);
}

/* A boar put to her after it: in pig by him, the first heat counted from the loss as from a weaning. */
static void served_since(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    one_of_each(&c);
    case_record(&c, "boar-run", "sow=Bramble", "boar=Flint", "from=2026-05-12T09:00Z", NULL);
    is(&c, AT, "Bramble", HERD_SERVED, true, "2026-05-10T09:00Z");
    case_fold(&c, AT, &h);
    const struct breeding_evidence *e = &case_sow(&h, "Bramble")->evidence;
    assert_int_equal(e->state, BREEDING_WEANED);
    assert_int_equal(e->weaned_utc_s, case_moment("2026-05-10T09:00Z"));
    checks += 2;
    case_close(&c);
}

static void holds(const char *text, const char *part)
{
    checks++;
    if (!text || !strstr(text, part))
        fail_msg("\"%s\" lacks \"%s\"", text ? text : "(null)", part);
}

static void every_answer_follows(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    one_of_each(&c);
    const struct answer *a = ask(&s, c.farm, "sow", "NAME=Bramble", AT);
    holds(answer_get_text(a, "state"), "open");
    assert_int_equal(answer_at(a, "lost_all_at")->is.whole, case_moment("2026-05-10T09:00Z"));
    ask_close(&s);
    a = ask_row(answer_at(ask(&s, c.farm, "herd", "", AT), "animals"), "name", "Bramble");
    holds(answer_get_text(a, "next"), "lost her litter 10 May 2026; to be served");
    ask_close(&s);
    a = ask_row(answer_at(ask(&s, c.farm, "due", "", AT), "others"), "name", "Bramble");
    holds(answer_get_text(a, "state"), "open");
    assert_int_equal(answer_at(a, "lost_all_at")->is.whole, case_moment("2026-05-10T09:00Z"));
    ask_close(&s);
    const struct answer *to_do = answer_at(ask(&s, c.farm, "round", "", "2026-06-20T12:00"), "to_do");
    size_t of_her = 0, of_sedge = 0;
    for (const struct answer *p = to_do->first; p; p = p->next) {
        of_her += strstr(answer_get_text(p, "what"), "Bramble") != NULL;
        of_sedge += strstr(answer_get_text(p, "what"), "Sedge") != NULL;
    }
    assert_int_equal(of_her, 0); /* nothing to feed, mark or wean */
    assert_true(of_sedge > 0);
    ask_close(&s);
    a = answer_at(ask(&s, c.farm, "season", "sell-from=2027-04-01 pigs=6", AT), "sows");
    assert_int_equal(answer_at(ask_row(a, "name", "Bramble"), "free_from")->is.whole, case_moment(AT));
    assert_true(answer_at(ask_row(a, "name", "Sedge"), "free_from")->is.whole > case_moment("2026-06-20T12:00"));
    ask_close(&s);
    a = answer_at(ask(&s, c.farm, "pairings", "", AT), "plan");
    assert_int_equal(answer_at(ask_row(a, "sow", "Bramble"), "free_on")->kind, ANSWER_NULL);
    assert_int_equal(answer_at(ask_row(a, "sow", "Sedge"), "free_on")->kind, ANSWER_DAY);
    ask_close(&s);
    a = answer_at(ask(&s, c.farm, "keep", "places=1", AT), "females");
    assert_null(answer_get_text(ask_row(a, "name", "Bramble"), "held"));
    holds(answer_get_text(ask_row(a, "name", "Sedge"), "held"), "suckling");
    checks += 8;
    ask_close(&s);
    case_close(&c);
}

static const struct answer *reason(const struct answer *females, const char *name, const char *key)
{
    return ask_row(answer_at(ask_row(females, "name", name), "reasons"), "key", key);
}

/* Keep: such a litter is one of none weaned; the wait for the boar counts from the loss, where she had suckled for 14
 * days at least. Bramble's seven more days with the boar put nothing against her: she lost hers at nine days. */
static void keep_counts_it_as_none_weaned(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    one_of_each(&c);
    case_record(&c, "loss", "sow=Sedge", "at=2026-05-19T06:00Z", "many=6", NULL); /* at 18 days */
    case_record(&c, "service", "sow=Sedge", "boar=Flint", "at=2026-05-25T06:00Z", NULL);
    case_record(&c, "service", "sow=Bramble", "boar=Flint", "at=2026-05-30T06:00Z", NULL);
    const struct answer *a = answer_at(ask(&s, c.farm, "keep", "", AT), "females");
    case_near(answer_get_real(reason(a, "Bramble", "weaned"), "own"), 0.0, 0.0, "none weaned");
    case_near(answer_get_real(reason(a, "Sedge", "back"), "own"), 6.0, 1e-9, "six days back to the boar");
    assert_int_equal(answer_at(reason(a, "Bramble", "back"), "own")->kind, ANSWER_NULL);
    checks += 3;
    ask_close(&s);
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dry_from_the_last_one), cmocka_unit_test(what_is_written_of_the_weaning_goes_before),
        cmocka_unit_test(born_dead_all_of_them), cmocka_unit_test(served_since),
        cmocka_unit_test(every_answer_follows),  cmocka_unit_test(keep_counts_it_as_none_weaned),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    printf("lost all: %zu checks\n", checks);
    return failed;
}
