/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * keep on a farm of three sows, a boar and one that has left: failed services, days back to the boar, lines lost, mean
 * kinship after. All figures by hand, from the formulas of docs/reckoning/keep.md and the calendar; kinship from the
 * tabular method (Emik & Terrill 1949: full sisters of unrelated parents 1/4, each with herself 1/2). */
#include "ask_case.h"

#define AT "2026-06-01T12:00"

static size_t checks;

static const struct answer *reason(const struct answer *a, const char *name, const char *key)
{
    return ask_row(answer_at(ask_row(answer_at(a, "females"), "name", name), "reasons"), "key", key);
}

static void near(const struct answer *a, const char *path, double want)
{
    checks++;
    case_near(answer_get_real(a, path), want, 1e-9, path);
}

static void says(const struct answer *a, const char *path, const char *part)
{
    const char *text = answer_get_text(a, path);
    checks++;
    if (!text || !strstr(text, part))
        fail_msg("%s: \"%s\" lacks \"%s\"", path, text ? text : "(null)", part);
}

static void sow(struct farm_case *c, const char *name, const char *dam, const char *sire, const char *temper)
{
    char words[4][48];

    (void)snprintf(words[0], sizeof words[0], "name=%s", name);
    (void)snprintf(words[1], sizeof words[1], "dam=%s", dam);
    (void)snprintf(words[2], sizeof words[2], "sire=%s", sire);
    (void)snprintf(words[3], sizeof words[3], "temper=%s", temper);
    case_record(c, "animal", "is=sow", words[0], words[1], words[2], words[3], NULL);
}

static void served(struct farm_case *c, const char *name, const char *day)
{
    char words[2][48];

    (void)snprintf(words[0], sizeof words[0], "sow=%s", name);
    (void)snprintf(words[1], sizeof words[1], "at=%sT06:00Z", day);
    case_record(c, "service", "boar=Flint", words[0], words[1], NULL);
}

static void litter(struct farm_case *c, const char *name, const char *born, const char *weaned)
{
    char words[3][48];

    (void)snprintf(words[0], sizeof words[0], "sow=%s", name);
    (void)snprintf(words[1], sizeof words[1], "start=%sT06:00Z", born);
    (void)snprintf(words[2], sizeof words[2], "at=%sT06:00Z", weaned);
    case_record(c, "farrowing", words[0], words[1], "born-alive=8", NULL);
    case_record(c, "weaning", words[0], words[2], "weaned=7", NULL);
}

/* Ann and Bess are full sisters of the line of Old, Cass alone is of the line of Elder. Flint is kin to none. */
static void herd(struct farm_case *c, const char *ann, const char *bess, const char *cass)
{
    static const char *const elsewhere[][2] = {
        { "name=Old", "is=sow" }, { "name=Elder", "is=sow" }, { "name=Rook", "is=boar" }, { "name=Jay", "is=boar" }
    };
    case_open(c);
    for (size_t i = 0; i < COUNT(elsewhere); i++)
        case_record(c, "animal", elsewhere[i][0], elsewhere[i][1], "kept=elsewhere", NULL);
    case_record(c, "boar", "name=Flint", NULL);
    sow(c, "Ann", "Old", "Rook", ann);
    sow(c, "Bess", "Old", "Rook", bess);
    sow(c, "Cass", "Elder", "Jay", cass);
}

/* Four tries of Ann's: took (115 days), served again at 21 days, took, scanned empty at 22 days (two services a day
 * apart are one try). Three of Bess's: took, came back at 21 days, took. Two of Cass's, both took. Dora, sold since,
 * was scanned empty once. */
static void their_years(struct farm_case *c)
{
    served(c, "Ann", "2025-01-01");
    litter(c, "Ann", "2025-04-26", "2025-06-15");
    served(c, "Ann", "2025-06-21"); /* 6 days after */
    served(c, "Ann", "2025-07-12");
    litter(c, "Ann", "2025-11-04", "2025-12-24");
    served(c, "Ann", "2026-01-03"); /* 10 days after */
    served(c, "Ann", "2026-01-04");
    case_record(c, "scan", "sow=Ann", "at=2026-01-26T06:00Z", "result=negative", NULL);
    served(c, "Bess", "2025-01-01");
    litter(c, "Bess", "2025-04-26", "2025-06-15");
    served(c, "Bess", "2025-06-19"); /* 4 days after */
    case_record(c, "return", "sow=Bess", "at=2025-07-10T06:00Z", "seen=heat", NULL);
    served(c, "Bess", "2025-07-11");
    litter(c, "Bess", "2025-11-03", "2025-12-23");
    served(c, "Cass", "2025-01-01");
    litter(c, "Cass", "2025-04-26", "2025-06-15");
    served(c, "Cass", "2025-09-01"); /* 78 days after: past 60, no wait of hers */
    litter(c, "Cass", "2025-12-25", "2026-02-13");
    case_record(c, "sow", "name=Dora", NULL);
    served(c, "Dora", "2025-01-01");
    case_record(c, "scan", "sow=Dora", "at=2025-01-25T06:00Z", "result=negative", NULL);
    case_record(c, "leaving", "animal=Dora", "on=2025-03-01", "how=sold", NULL);
}

/* The herd: 4 of 10 failed. s 0.4, r 0.05: s sqrt r = 0.0894427. Ann n 4, w = 0.2 / 1.15 = 0.173913, 0.1 above the herd:
 * -0.194441. Bess n 3, w = 0.15 / 1.1 = 0.136364, 1/15 below: 0.101639. Cass n 2, w = 0.1 / 1.05 = 0.095238, 0.4 below:
 * 0.425918. */
static void failed_services(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    herd(&c, "calm", "calm", "calm");
    their_years(&c);
    const struct answer *a = ask(&s, c.farm, "keep", "", AT);
    near(reason(a, "Ann", "returns"), "own", 0.5);
    near(reason(a, "Ann", "returns"), "records", 4.0);
    near(reason(a, "Ann", "returns"), "value", -0.19444069369563385);
    says(reason(a, "Ann", "returns"), "says", "2 of 4");
    near(reason(a, "Bess", "returns"), "own", 1.0 / 3.0);
    near(reason(a, "Bess", "returns"), "value", 0.10163945352271779);
    near(reason(a, "Cass", "returns"), "own", 0.0);
    near(reason(a, "Cass", "returns"), "value", 0.42591770999996);
    near(ask_row(answer_at(a, "weights"), "key", "returns"), "herd", 0.4);
    near(ask_row(answer_at(a, "weights"), "key", "returns"), "of", 10.0);
    ask_close(&s);
    served(&c, "Bess", "2026-05-20"); /* twelve days ago: nobody knows yet, it counts for nothing */
    a = ask(&s, c.farm, "keep", "", AT);
    near(reason(a, "Bess", "returns"), "records", 3.0);
    near(ask_row(answer_at(a, "weights"), "key", "returns"), "of", 10.0);
    ask_close(&s);
    case_close(&c);
}

/* The herd: 6, 10 and 4 days, mean 20/3. s 8, r 0.1: s sqrt r = 2.529822. Ann n 2, w = 0.2 / 1.1, 4/3 above: -0.095827.
 * Bess n 1, w = 0.1, 8/3 below: 0.105409. */
static void days_back_to_the_boar(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    herd(&c, "calm", "calm", "calm");
    their_years(&c);
    const struct answer *a = ask(&s, c.farm, "keep", "", AT);
    near(reason(a, "Ann", "back"), "own", 8.0);
    near(reason(a, "Ann", "back"), "value", -0.09582659576267814);
    says(reason(a, "Ann", "back"), "says", "served 8 days after weaning, mean of 2");
    near(reason(a, "Bess", "back"), "own", 4.0);
    near(reason(a, "Bess", "back"), "value", 0.10540925533894599);
    says(reason(a, "Cass", "back"), "sign", "not known");
    near(ask_row(answer_at(a, "weights"), "key", "back"), "herd", 20.0 / 3.0);
    ask_close(&s);
    case_close(&c);
}

/* Now Ann, Bess, Cass and Flint: (4 x 1/2 + 2 x 1/4) / 16 = 5/32. Without Cass: (3 x 1/2 + 2 x 1/4) / 9 = 2/9. */
static void the_last_of_a_line_goes(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    herd(&c, "calm", "calm", "fierce");
    their_years(&c);
    const struct answer *a = ask(&s, c.farm, "keep", "places=2 weigh=temper=10", AT);
    says(ask_row(answer_at(a, "females"), "name", "Cass"), "decision", "goes");
    checks++;
    assert_int_equal(answer_count(answer_at(a, "lines_lost")), 1);
    says(a, "lines_lost[0]", "The line of Elder would be gone");
    near(a, "mean_kinship", 5.0 / 32.0);
    near(a, "mean_kinship_then", 2.0 / 9.0);
    ask_close(&s);
    a = ask(&s, c.farm, "keep", "places=3 weigh=temper=10", AT); /* a place for all: nothing is lost */
    checks++;
    assert_int_equal(answer_count(answer_at(a, "lines_lost")), 0);
    near(a, "mean_kinship_then", 5.0 / 32.0);
    ask_close(&s);
    case_close(&c);
}

/* Of two sisters one may go and the line stays: {Ann, Cass, Flint} (3 x 1/2) / 9 = 1/6. Both go: the line is named once,
 * and {Cass, Flint} has (2 x 1/2) / 4 = 1/4. */
static void two_sisters_of_a_line(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    herd(&c, "wary", "fierce", "calm");
    their_years(&c);
    const struct answer *a = ask(&s, c.farm, "keep", "places=2 weigh=temper=10", AT);
    says(ask_row(answer_at(a, "females"), "name", "Bess"), "decision", "goes");
    checks++;
    assert_int_equal(answer_count(answer_at(a, "lines_lost")), 0);
    near(a, "mean_kinship_then", 1.0 / 6.0);
    ask_close(&s);
    a = ask(&s, c.farm, "keep", "places=1 weigh=temper=10", AT);
    checks++;
    assert_int_equal(answer_count(answer_at(a, "lines_lost")), 1);
    says(a, "lines_lost[0]", "The line of Old would be gone");
    near(a, "mean_kinship_then", 1.0 / 4.0);
    ask_close(&s);
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(failed_services),
        cmocka_unit_test(days_back_to_the_boar),
        cmocka_unit_test(the_last_of_a_line_goes),
        cmocka_unit_test(two_sisters_of_a_line),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    printf("keep, records and lines: %zu checks\n", checks);
    return failed;
}
