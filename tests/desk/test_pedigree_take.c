/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A pedigree file taken into the farm and given out again.
 */
#include "ask_case.h"

#include <math.h>

#include "core/base/text.h"
#include "desk/pedigree_take.h"

#define AT "2026-06-01T12:00"

static size_t figures;

struct taken_case {
    struct farm_case farm;
    struct pedigree_taken done;
    struct text report;
    struct message why;
};

static void open_case(struct taken_case *t)
{
    *t = (struct taken_case){ .why = { "", "" } };
    case_open(&t->farm);
}

static void close_case(struct taken_case *t)
{
    text_close(&t->report);
    case_close(&t->farm);
}

static enum status take_path(struct taken_case *t, const char *path, bool only_try)
{
    const struct farm_meta meta = { .who = "Wenna" };

    text_close(&t->report);
    text_open(&t->report, 1u << 20);
    t->why = (struct message){ "", "" };
    return pedigree_take(t->farm.farm, path, only_try, &meta, &t->done, &t->report, &t->why);
}

static enum status take(struct taken_case *t, const char *csv, bool only_try)
{
    char path[256];

    case_path(path);
    FILE *f = fopen(path, "wb");
    assert_non_null(f);
    assert_int_equal(fwrite(csv, 1, strlen(csv), f), strlen(csv));
    assert_int_equal(fclose(f), 0);
    const enum status st = take_path(t, path, only_try);
    (void)unlink(path);
    return st;
}

static void counts(const struct taken_case *t, size_t added, size_t linked, size_t already, size_t left_out)
{
    figures += 4;
    if (t->done.added != added || t->done.linked != linked || t->done.already != already ||
        t->done.left_out != left_out)
        fail_msg("want %zu new, %zu linked, %zu known, %zu left out; got %zu, %zu, %zu, %zu\n%s%s", added, linked,
                 already, left_out, t->done.added, t->done.linked, t->done.already, t->done.left_out,
                 text_get(&t->report), t->why.text);
}

static double f_of(struct taken_case *t, const char *name)
{
    struct ask_case s;
    const struct answer *a = ask(&s, t->farm.farm, "herd", "all", AT), *list = answer_at(a, "animals");
    double f = -1.0;

    for (const struct answer *r = list->first; r; r = r->next)
        if (strcmp(answer_get_text(r, "name"), name) == 0)
            f = answer_get_real(r, "f");
    ask_close(&s);
    return f;
}

/* Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1, the young first; F of 5 and 6 is 0.125. */
static const char mrode[] =
    "id;sire;dam;sex;born;name\r\n6;5;2;f;2024-05-01;Six\r\n5;4;3;m;;\r\n3;1;2;f;;\r\n4;1;NA;m;1999;\r\n";

static void rows_in_any_order_are_taken_with_parents_that_lack_a_row(void **state)
{
    struct taken_case t;

    (void)state;
    open_case(&t);
    assert_int_equal(take(&t, mrode, true), ST_OK);
    counts(&t, 6, 0, 0, 0);
    case_near(f_of(&t, "Six"), -1.0, 0.0, "a try keeps nothing");
    assert_int_equal(take(&t, mrode, false), ST_OK);
    counts(&t, 6, 0, 0, 0);
    case_near(f_of(&t, "Six"), 0.125, 1e-12, "F of 6");
    case_near(f_of(&t, "5"), 0.125, 1e-12, "F of 5");
    case_near(f_of(&t, "4"), 0.0, 1e-12, "F of 4");
    assert_int_equal(take(&t, mrode, false), ST_OK); /* once more: all are known, 6 by its tag */
    counts(&t, 0, 0, 6, 0);
    figures += 4;
    close_case(&t);
}

static void ones_own_animals_stay_and_get_their_parents(void **state)
{
    struct taken_case t;
    struct ask_case s;

    (void)state;
    open_case(&t);
    case_record(&t.farm, "animal", "name=Ann", "is=sow", "tag=6", "breed=Hedgerow Black", NULL);
    case_record(&t.farm, "animal", "name=5", "is=boar", NULL);
    case_record(&t.farm, "service", "sow=Ann", "at=2026-05-01T10:00", "boar=5", NULL);
    assert_int_equal(take(&t, "id,sire,dam,sex\n6,5,2,F\n5,4,3,M\n3,1,2,F\n4,1,,M\n7,,,\n", false), ST_OK);
    counts(&t, 4, 2, 0, 1); /* 1, 2, 3, 4 are new; Ann and 5 are here; 7 has no sex */
    case_near(f_of(&t, "Ann"), 0.125, 1e-12, "Ann is 6");
    const struct answer *a = ask(&s, t.farm.farm, "herd", "", AT);
    case_near(answer_get_real(a, "here"), 2.0, 0.0, "none of the ancestors is of the herd");
    ask_close(&s);
    a = ask(&s, t.farm.farm, "sow", "Ann", AT); /* what was recorded of her is still hers */
    assert_string_equal(answer_get_text(a, "state"), "served");
    assert_string_equal(answer_get_text(a, "breed"), "Hedgerow Black");
    ask_close(&s);
    assert_int_equal(take(&t, "id,sire,dam\n6,5,9\n", false), ST_OK); /* another mother: ours stays */
    assert_non_null(strstr(text_get(&t.report), "what is recorded here stays"));
    case_near(f_of(&t, "Ann"), 0.125, 1e-12, "as before");
    figures += 5;
    close_case(&t);
}

static void what_cannot_be_right_keeps_all_out(void **state)
{
    static const struct {
        const char *csv, *says;
    } bad[] = {
        { "id,sire,dam\nA,B,\nB,A,\n", "ancestor" },                         /* a loop */
        { "id,sire,dam\nA,B,C\nA,C,B\n", "twice" },                          /* one id, two pairs of parents */
        { "id,sire,dam\nA,B,\nC,,B\n", "dam" },                              /* B is sire and dam */
        { "id,sire,dam,born\nA,B,,2020-01-01\nB,,,2021-01-01\n", "before" }, /* older than its father */
        { "id,sire,dam,sex\nAnn,,,m\nA,Ann,,f\n", "other sex" },             /* here she is a sow */
        { "id,sire,dam\nTwin,,X\n", "several animals" },                     /* two of that name here */
        { "no,header,of,ours\n1,2,3,4\n", "" },
        { "", "" },
    };
    struct taken_case t;

    (void)state;
    open_case(&t);
    case_record(&t.farm, "animal", "name=Ann", "is=sow", NULL);
    case_record(&t.farm, "animal", "name=Twin", "is=sow", "tag=1", NULL);
    case_record(&t.farm, "animal", "name=Twin", "is=sow", "tag=2", NULL);
    for (size_t i = 0; i < COUNT(bad); i++) {
        const enum status st = take(&t, bad[i].csv, false);
        struct ask_case s;
        figures++;
        if (st == ST_OK || !*t.why.text || (*bad[i].says && !strstr(text_get(&t.report), bad[i].says)))
            fail_msg("%s: status %d, %s\n%s", bad[i].csv, (int)st, t.why.text, text_get(&t.report));
        const struct answer *a = ask(&s, t.farm.farm, "herd", "all", AT);
        case_near((double)answer_count(answer_at(a, "animals")), 3.0, 0.0, bad[i].csv);
        ask_close(&s);
    }
    assert_int_equal(take_path(&t, "/nowhere/at/all.csv", false), ST_NOT_FOUND);
    close_case(&t);
}

/* Exact fractions of the public pedigree of 87 persons (habsburg_extended.csv); Charles II 257059/1048576. */
static void a_public_pedigree_goes_in_and_comes_out_with_its_figures(void **state)
{
    static const struct {
        const char *name;
        double f;
    } want[] = {
        { "Philip II", 209.0 / 2048.0 },        { "Don Carlos", 783.0 / 4096.0 },
        { "Philip III", 3309.0 / 16384.0 },     { "Philip IV", 13479.0 / 131072.0 },
        { "Ferdinand II", 1077.0 / 8192.0 },    { "Mariana of Austria", 77177.0 / 524288.0 },
        { "Charles II", 257059.0 / 1048576.0 },
    };
    const char *folder = getenv("LEENEST_OUTSIDE");
    struct taken_case t;
    char path[512];

    (void)state;
    (void)snprintf(path, sizeof path, "%s/habsburg_extended.csv", folder ? folder : "");
    if (!folder || access(path, R_OK) != 0) {
        printf("skipped: no habsburg_extended.csv in LEENEST_OUTSIDE\n");
        skip();
    }
    open_case(&t);
    assert_int_equal(take_path(&t, path, false), ST_OK);
    for (size_t i = 0; i < COUNT(want); i++) {
        case_near(f_of(&t, want[i].name), want[i].f, 1e-12, want[i].name);
        figures++;
    }
    close_case(&t);
}

/* gazelle_dama.csv, an open studbook, with the mating plan reckoned for it outside this program (a tabular reference):
 * best mean, every male for all, down the list, and the least worst litter. */
static void an_open_studbook_gives_the_plan_reckoned_outside(void **state)
{
    static const char words[] =
        "boar=1171:4 boar=1226:4 boar=1271:4 sow=1169 sow=1187 sow=1198 sow=1207 sow=1216 sow=1236 "
        "sow=1263 sow=1277 sow=1292 sow=1304";
    static const char *const plan[] = {
        "1226", "1171", "1271", "1171", "1171", "1271", "1171", "1271", "1271", "1226"
    };
    const char *folder = getenv("LEENEST_OUTSIDE");
    struct taken_case t;
    struct ask_case s;
    char path[512];
    size_t i = 0;

    (void)state;
    (void)snprintf(path, sizeof path, "%s/gazelle_dama.csv", folder ? folder : "");
    if (!folder || access(path, R_OK) != 0) {
        printf("skipped: no gazelle_dama.csv in LEENEST_OUTSIDE\n");
        skip();
    }
    open_case(&t);
    assert_int_equal(take_path(&t, path, false), ST_OK);
    const struct answer *a = ask(&s, t.farm.farm, "pairings", words, AT), *list = answer_at(a, "plan");
    case_near(answer_get_real(a, "mean_f"), 0.2755178459, 1e-9, "best mean");
    case_near(answer_get_real(a, "free_choice_mean_f"), 0.2749518164, 1e-9, "free choice");
    case_near(answer_get_real(a, "in_list_order_mean_f"), 0.2759980582, 1e-9, "in list order");
    case_near(answer_get_real(a, "least_worst_f"), 0.2942936346, 1e-9, "least worst");
    case_near(answer_get_real(a, "crop.best"), 0.3261494560, 1e-9, "mean kinship with the best shares");
    case_near(answer_get_real(a, "crop.now"), 0.3261652346, 1e-9, "mean kinship with equal shares");
    figures += 6;
    for (const struct answer *r = list->first; r && i < COUNT(plan); r = r->next, i++, figures++)
        assert_string_equal(answer_get_text(r, "boar"), plan[i]);
    assert_int_equal(i, COUNT(plan));
    ask_close(&s);
    close_case(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_in_any_order_are_taken_with_parents_that_lack_a_row),
        cmocka_unit_test(ones_own_animals_stay_and_get_their_parents),
        cmocka_unit_test(what_cannot_be_right_keeps_all_out),
        cmocka_unit_test(a_public_pedigree_goes_in_and_comes_out_with_its_figures),
        cmocka_unit_test(an_open_studbook_gives_the_plan_reckoned_outside),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);

    printf("%zu figures and sentences compared\n", figures);
    return failed;
}
