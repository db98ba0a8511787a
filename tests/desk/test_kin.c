/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Kin on the farm: facts in, inbreeding, kinship, founders and pairings out. Figures are held against published ones
 * where the source stands beside them; the rest follow from the two rules of the relationship table and are said so.
 */
#include "ask_case.h"

#include <math.h>

#define AT "2026-06-01T12:00"

static size_t figures; /* compared, for the count at the end */

static void near(double got, double want, double within, const char *words)
{
    figures++;
    case_near(got, want, within, words);
}

static void animal(struct farm_case *c, const char *name, const char *is, const char *sire, const char *dam,
                   const char *more)
{
    char n[64], i[32], s[64], d[64];
    const bool sired = *sire != '\0', borne = *dam != '\0';

    (void)snprintf(n, sizeof n, "name=%s", name);
    (void)snprintf(i, sizeof i, "is=%s", is);
    (void)snprintf(s, sizeof s, "sire=%s", sire);
    (void)snprintf(d, sizeof d, "dam=%s", dam);
    case_record(c, "animal", n, i, more, sired ? s : borne ? d : NULL, sired && borne ? d : NULL, NULL);
}

static const struct answer *pair_of(const struct answer *a, const char *sow, const char *boar)
{
    const struct answer *list = answer_at(a, "pairs");
    for (const struct answer *r = list ? list->first : NULL; r; r = r->next)
        if (strcmp(answer_get_text(r, "sow"), sow) == 0 && strcmp(answer_get_text(r, "boar"), boar) == 0)
            return r;
    fail_msg("no pair %s with %s", sow, boar);
    return NULL;
}

/* Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1: six animals, F of 5 and 6 is 0.125, of
 * the others 0; a(4,6) = 0.3125, so that a litter of 4 and 6 would have half of it. */
static void mrode(struct farm_case *c)
{
    case_open(c);
    animal(c, "One", "boar", "", "", "kept=here");
    animal(c, "Two", "sow", "", "", "kept=here");
    animal(c, "Three", "sow", "One", "Two", "kept=here");
    animal(c, "Four", "boar", "One", "", "kept=here");
    animal(c, "Five", "boar", "Four", "Three", "kept=here");
    animal(c, "Six", "sow", "Five", "Two", "kept=here");
}

static void herd_gives_the_inbreeding_of_the_book(void **state)
{
    static const struct {
        const char *name;
        double f, generations; /* [t(sire) + 1] / 2 + [t(dam) + 1] / 2 over known parents */
        const char *sure;
    } want[] = {
        { "One", 0.0, 0.0, "unknown" }, { "Two", 0.0, 0.0, "unknown" },    { "Three", 0.0, 1.0, "little" },
        { "Four", 0.0, 0.5, "little" }, { "Five", 0.125, 1.75, "little" }, { "Six", 0.125, 1.875, "little" },
    };
    struct farm_case c;
    struct ask_case s;

    (void)state;
    mrode(&c);
    const struct answer *a = ask(&s, c.farm, "herd", "", AT);
    for (size_t i = 0; i < COUNT(want); i++) {
        const struct answer *r = ask_row(answer_at(a, "animals"), "name", want[i].name);
        near(answer_get_real(r, "f"), want[i].f, 1e-12, want[i].name);
        near(answer_get_real(r, "generations"), want[i].generations, 1e-12, want[i].name);
        assert_string_equal(answer_get_text(r, "sure"), want[i].sure);
    }
    /* F of nothing known does not look like F of much known */
    assert_non_null(strstr(answer_get_text(ask_row(answer_at(a, "animals"), "name", "One"), "f_says"), "no parents"));
    assert_non_null(strstr(answer_get_text(ask_row(answer_at(a, "animals"), "name", "Four"), "f_says"), "only 0.5"));
    ask_close(&s);
    case_close(&c);
}

static void kinship_is_half_the_relationship_of_the_book(void **state)
{
    static const struct {
        const char *sow, *boar;
        double a; /* Mrode, table 2.1: the relationship matrix */
    } want[] = {
        { "Two", "One", 0.0 },   { "Three", "One", 0.5 },    { "Six", "One", 0.25 },
        { "Two", "Four", 0.0 },  { "Three", "Four", 0.25 },  { "Six", "Four", 0.3125 },
        { "Two", "Five", 0.25 }, { "Three", "Five", 0.625 }, { "Six", "Five", 0.6875 },
    };
    struct farm_case c;
    struct ask_case s;

    (void)state;
    mrode(&c);
    const struct answer *a = ask(&s, c.farm, "kinship", "", AT);
    for (size_t i = 0; i < COUNT(want); i++) {
        const struct answer *p = pair_of(a, want[i].sow, want[i].boar), *through = answer_at(p, "through");
        double sum = 0.0;
        near(answer_get_real(p, "f"), want[i].a / 2.0, 1e-12, want[i].sow);
        for (const struct answer *t = through->first; t; t = t->next)
            sum += answer_get_real(t, "part");
        near(sum, want[i].a / 2.0, 1e-12, "parts add up");
    }
    assert_string_equal(answer_get_text(pair_of(a, "Three", "One"), "relation"), "her father");
    assert_string_equal(answer_get_text(pair_of(a, "Two", "Five"), "relation"), "her grandson");
    ask_close(&s);
    case_close(&c);
}

/* Wright 1922 and every handbook: a litter of father and daughter or of full sibs is a quarter inbred, of half-sibs an
 * eighth, of cousins a sixteenth, of half-cousins 1/32. */
static void plain_matings_have_their_plain_figures_and_words(void **state)
{
    static const struct {
        const char *sow, *boar;
        double f;
        int squares;
        const char *word, *relation;
        bool too_close;
    } want[] = {
        { "Ann", "Sam", 0.25, 8, "as full brother", "her father", true },
        { "Ann", "Bob", 0.25, 8, "as full brother", "her full brother", true },
        { "Ann", "Hal", 0.125, 4, "as half-brother", "her half-brother", true },
        { "Cass", "Cob", 0.0625, 2, "as first cousin", NULL, false },
        { "Cass", "Stranger", 0.0, 0, "not kin as far as is known", NULL, false },
        { "Cass", "Hek", 0.03125, 1, "as half-cousin", NULL, false },
    };
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open(&c);
    animal(&c, "Sam", "boar", "", "", "kept=here");
    animal(&c, "Dot", "sow", "", "", "kept=elsewhere");
    animal(&c, "Other", "sow", "", "", "kept=elsewhere");
    animal(&c, "Third", "sow", "", "", "kept=elsewhere");
    animal(&c, "Fourth", "boar", "", "", "kept=elsewhere");
    animal(&c, "Stranger", "boar", "", "", "kept=here");
    animal(&c, "Ann", "sow", "Sam", "Dot", "kept=here");
    animal(&c, "Bob", "boar", "Sam", "Dot", "kept=here");
    animal(&c, "Hal", "boar", "Sam", "Other", "kept=here");
    animal(&c, "Cass", "sow", "Fourth", "Ann", "kept=here");
    animal(&c, "Cob", "boar", "Bob", "Third", "kept=here");
    animal(&c, "Hek", "boar", "Hal", "Third", "kept=here");
    const struct answer *a = ask(&s, c.farm, "kinship", "", AT);
    for (size_t i = 0; i < COUNT(want); i++) {
        const struct answer *p = pair_of(a, want[i].sow, want[i].boar), *close = answer_at(p, "too_close");
        near(answer_get_real(p, "f"), want[i].f, 1e-12, want[i].word);
        near(answer_get_real(p, "squares"), want[i].squares, 0.0, want[i].word);
        assert_string_equal(answer_get_text(p, "word"), want[i].word);
        if (want[i].relation)
            assert_string_equal(answer_get_text(p, "relation"), want[i].relation);
        else
            assert_null(answer_get_text(p, "relation"));
        assert_int_equal(close->is.flag, want[i].too_close);
    }
    ask_close(&s);
    case_close(&c);
}

/* In a rare breed every pair may stand at a quarter: then none is marked as too close. */
static void what_cannot_be_avoided_is_not_called_too_close(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open(&c);
    animal(&c, "Sam", "boar", "", "", "kept=elsewhere");
    animal(&c, "Dot", "sow", "", "", "kept=elsewhere");
    animal(&c, "Ann", "sow", "Sam", "Dot", "kept=here");
    animal(&c, "Bob", "boar", "Sam", "Dot", "kept=here");
    animal(&c, "Cob", "boar", "Sam", "Dot", "kept=here");
    const struct answer *a = ask(&s, c.farm, "kinship", "", AT);
    assert_false(answer_at(pair_of(a, "Ann", "Bob"), "too_close")->is.flag);
    assert_true(answer_at(pair_of(a, "Ann", "Bob"), "best")->is.flag);
    assert_non_null(answer_get_text(a, "unavoidable"));
    near(answer_get_real(a, "mean_f"), 0.25, 1e-12, "mean");
    ask_close(&s);
    case_close(&c);
}

/* ---- breeds ---- */

/* Grading up: 1/2, 3/4, 7/8 with a pure boar each time; 7/8 x 3/4 = 13/16 (the note on generation codes, by the mean of
 * the parents). */
static void parts_of_breeds_are_exact_and_the_society_is_asked(void **state)
{
    static const struct {
        const char *name, *fraction, *code, *society;
        double share;
    } want[] = {
        { "F1", "1/2", "F1", "two more crosses", 0.5 },   { "F2", "3/4", "F2", "one more cross", 0.75 },
        { "F3", "7/8", "F3", "may be entered", 0.875 },   { "Mixed", "13/16", "F2", "one more cross", 0.8125 },
        { "Pure", "1/1", "pure", "may be entered", 1.0 }, { "Said", "3/4", "F2", "one more cross", 0.75 },
    };
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open(&c);
    case_record(&c, "society", "breed=Hedgerow Black", "sow-share=0.875", "boars=no", "source=invented", NULL);
    animal(&c, "Pure", "boar", "", "", "breed=Hedgerow Black");
    animal(&c, "Base", "sow", "", "", "breed=Marsh Ginger");
    animal(&c, "F1", "sow", "Pure", "Base", "kept=here");
    animal(&c, "F2", "sow", "Pure", "F1", "kept=here");
    animal(&c, "F2b", "boar", "Pure", "F1", "kept=here");
    animal(&c, "F3", "sow", "Pure", "F2", "kept=here");
    animal(&c, "Mixed", "sow", "F2b", "F3", "kept=here");
    animal(&c, "Said", "sow", "", "", "breed=Hedgerow Black 3/4, Marsh Ginger 25%");
    const struct answer *a = ask(&s, c.farm, "herd", "", AT);
    for (size_t i = 0; i < COUNT(want); i++) {
        const struct answer *r = ask_row(answer_at(a, "animals"), "name", want[i].name);
        const struct answer *b = ask_row(answer_at(r, "breeds"), "breed", "Hedgerow Black");
        near(answer_get_real(b, "share"), want[i].share, 0.0, want[i].name);
        assert_string_equal(answer_get_text(b, "fraction"), want[i].fraction);
        assert_string_equal(answer_get_text(b, "code"), want[i].code);
        assert_int_equal(strncmp(answer_get_text(b, "society"), want[i].society, strlen(want[i].society)), 0);
    }
    const struct answer *boar = ask_row(answer_at(a, "animals"), "name", "F2b");
    assert_non_null(
        strstr(answer_get_text(ask_row(answer_at(boar, "breeds"), "breed", "Hedgerow Black"), "society"), "not"));
    ask_close(&s);
    case_close(&c);
}

/* ---- the herd ---- */

static void ancestors_elsewhere_are_no_part_of_the_herd(void **state)
{
    struct farm_case c;
    struct ask_case s, all, family;
    struct herd herd;

    (void)state;
    mrode(&c);
    animal(&c, "Gone", "sow", "One", "Two", "kept=here");
    case_record(&c, "leaving", "animal=Gone", "on=2026-05-01", "how=sold", NULL);
    for (int i = 0; i < 20; i++) { /* more boars elsewhere than a sow's evidence has room for */
        char name[32];
        (void)snprintf(name, sizeof name, "Old %d", i);
        animal(&c, name, "boar", "", "", "kept=elsewhere");
    }
    const struct answer *a = ask(&s, c.farm, "herd", "", AT);
    near(answer_get_real(a, "here"), 6.0, 0.0, "of the herd");
    near((double)answer_count(answer_at(a, "animals")), 6.0, 0.0, "listed");
    a = ask(&all, c.farm, "herd", "all", AT);
    near((double)answer_count(answer_at(a, "animals")), 27.0, 0.0, "all");
    assert_string_equal(answer_get_text(ask_row(answer_at(a, "animals"), "name", "Gone"), "gone"), "sold 1 May 2026");
    case_fold(&c, AT, &herd);
    near((double)herd.n_boars, 3.0, 0.0, "boars that can have served");
    a = ask(&family, c.farm, "herd", "family=Six search=ix", AT);
    near((double)answer_count(answer_at(a, "animals")), 1.0, 0.0, "with ix in the name");
    const struct answer *f = answer_at(a, "family"), *m = answer_at(f, "members");
    assert_string_equal(answer_get_text(ask_row(m, "position", "SD"), "name"), "Three");
    assert_string_equal(answer_get_text(ask_row(m, "position", "SDD"), "name"), "Two");
    near(answer_get_real(ask_row(m, "position", "D"), "times"), 2.0, 0.0, "Two stands twice");
    assert_true(answer_at(ask_row(m, "position", "D"), "common")->is.flag);
    assert_false(answer_at(ask_row(m, "position", "SS"), "common")->is.flag);
    near(answer_get_real(ask_row(answer_at(f, "common"), "name", "Two"), "part"), 0.125, 1e-12, "all of F through Two");
    ask_close(&s);
    ask_close(&all);
    ask_close(&family);
    case_close(&c);
}

static void a_limited_depth_changes_f_and_is_stated(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open(&c);
    animal(&c, "One", "boar", "", "", "kept=elsewhere");
    animal(&c, "Two", "sow", "", "", "kept=elsewhere");
    animal(&c, "Left", "boar", "One", "Two", "kept=elsewhere");
    animal(&c, "Right", "sow", "One", "Two", "kept=elsewhere");
    animal(&c, "Young", "sow", "Left", "Right", "kept=here"); /* of full sibs: a quarter */
    const struct answer *a = ask(&s, c.farm, "herd", "", AT);
    near(answer_get_real(ask_row(answer_at(a, "animals"), "name", "Young"), "f"), 0.25, 1e-12, "all known");
    ask_close(&s);
    a = ask(&s, c.farm, "herd", "depth=1", AT);
    near(answer_get_real(ask_row(answer_at(a, "animals"), "name", "Young"), "f"), 0.0, 1e-12, "one generation");
    assert_non_null(strstr(answer_get_text(a, "rests_on.says"), "1 generation deep"));
    ask_close(&s);
    case_close(&c);
}

/* ---- founders ---- */

/* By hand: two founders with one litter of two that are kept: each gives a half. Lacy 1989: fe = 1 / sum p^2 = 2.
 * c'Ac with c = 1/2 each: (1 + 1/2 + 1/2 + 1) / 4 = 0.75, fg = 4/3. The chance that an allele of a founder is in none of
 * two young is 1/4: 1.5 of its 2 alleles are expected, and each founder's genes survive surely. */
static void founders_of_one_litter(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open(&c);
    animal(&c, "Sam", "boar", "", "", "kept=elsewhere");
    animal(&c, "Dot", "sow", "", "", "kept=elsewhere");
    animal(&c, "Lost", "sow", "", "", "kept=elsewhere");
    animal(&c, "Nobody's", "boar", "Sam", "Lost", "kept=elsewhere");
    animal(&c, "Ann", "sow", "Sam", "Dot", "kept=here");
    animal(&c, "Bob", "boar", "Sam", "Dot", "kept=here");
    const struct answer *a = ask(&s, c.farm, "founders", "", AT);
    near(answer_get_real(ask_row(answer_at(a, "founders"), "name", "Sam"), "share"), 0.5, 1e-12, "half");
    near(answer_get_real(a, "fe"), 2.0, 1e-12, "fe");
    near(answer_get_real(a, "fg"), 4.0 / 3.0, 1e-12, "fg");
    near(answer_get_real(a, "lost"), 1.0, 0.0, "Lost is lost");
    near(answer_get_real(ask_row(answer_at(a, "founders"), "name", "Dot"), "alleles"), 1.5, 0.03, "alleles kept");
    near(answer_get_real(ask_row(answer_at(a, "founders"), "name", "Dot"), "survives"), 1.0, 1e-12, "genes kept");
    assert_true(answer_at(ask_row(answer_at(a, "founders"), "name", "Lost"), "lost")->is.flag);
    ask_close(&s);
    case_close(&c);
}

/* ---- pairings ---- */

static void three_boars(struct farm_case *c)
{
    case_open(c);
    animal(c, "Gran", "sow", "", "", "kept=elsewhere");
    animal(c, "Alder", "boar", "", "", "sows-most=2");
    animal(c, "Rook", "boar", "", "", "sows-most=2");
    animal(c, "Ann", "sow", "Alder", "Gran", "kept=here");
    animal(c, "Bess", "sow", "Rook", "Gran", "kept=here");
    animal(c, "Cass", "sow", "Alder", "Gran", "kept=here");
}

static void fathers_are_kept_from_their_daughters(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    three_boars(&c);
    const struct answer *a = ask(&s, c.farm, "pairings", "outside", AT);
    assert_string_equal(answer_get_text(a, "says"), "Alder to Bess. Rook to Ann and Cass.");
    near(answer_get_real(a, "mean_f"), 0.0, 1e-12, "mean");
    near(answer_get_real(a, "chance_mean_f"), 0.125, 1e-12, "by chance: three of six pairs at a quarter");
    assert_false(a->no);
    const struct answer *lame = ask_row(answer_at(a, "if_lame"), "boar", "Alder");
    assert_non_null(strstr(answer_get_text(lame, "says"), "Rook would need 3 sows"));
    /* c'Ac / 2 by hand, c = 1/6 each sow, 1/6 Alder, 1/3 Rook. The same with one boar kin to none is less. */
    const double k =
        (3 * 0.5 + 2 * (0.25 + 2 * 0.125)) / 36.0 + (0.5 / 36.0 + 0.5 / 9.0) + 2 * (2 * 0.25 / 36.0 + 0.25 / 18.0);
    near(answer_get_real(a, "crop.next"), k, 1e-12, "mean kinship of the crop");
    assert_true(answer_get_real(a, "outside.change") < 0.0);
    assert_true(answer_get_real(a, "crop.best") <= answer_get_real(a, "crop.next") + 1e-12);
    ask_close(&s);
    case_close(&c);
}

static void a_hand_may_decide_and_the_rest_follows(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    three_boars(&c);
    const struct answer *a = ask(&s, c.farm, "pairings", "fix=Ann=Alder", AT);
    const struct answer *ann = ask_row(answer_at(a, "plan"), "sow", "Ann");
    assert_string_equal(answer_get_text(ann, "boar"), "Alder");
    assert_string_equal(answer_get_text(ann, "decided"), "by hand");
    near(answer_get_real(a, "mean_f"), 0.25 / 3.0, 1e-12, "mean with one father and daughter");
    ask_close(&s);
    case_record(&c, "pairing", "sow=Bess", "boar=Rook", "from=2026-06-01", NULL);
    a = ask(&s, c.farm, "pairings", "", AT);
    assert_string_equal(answer_get_text(ask_row(answer_at(a, "plan"), "sow", "Bess"), "decided"), "settled");
    assert_string_equal(answer_get_text(ask_row(answer_at(a, "plan"), "sow", "Bess"), "boar"), "Rook");
    ask_close(&s);
    a = ask(&s, c.farm, "pairings", "forbid=Bess=Rook", AT); /* asked otherwise, it is open again */
    assert_string_equal(answer_get_text(ask_row(answer_at(a, "plan"), "sow", "Bess"), "boar"), "Alder");
    ask_close(&s);
    case_close(&c);
}

static void what_does_not_fit_says_what_would(void **state)
{
    static const struct {
        const char *words, *says;
    } want[] = {
        { "boar=Rook:2", "Rook would need 3 sows" },
        { "boar=Rook", "Rook would need 3 sows" },
        { "boar=Alder:3 limit=10%", "the limit would have to be 25.0 %" },
        { "boar=Rook:3 forbid=Ann=Rook", "no boar is allowed for Ann" },
        { "boar=Rook:4:4", "Rook can get 3 at most" },
    };
    struct farm_case c;
    struct ask_case s;

    (void)state;
    three_boars(&c);
    for (size_t i = 0; i < COUNT(want); i++) {
        const struct answer *a = ask(&s, c.farm, "pairings", want[i].words, AT);
        const char *says = answer_get_text(a, "infeasible");
        figures++;
        if (!a->no || !says || !strstr(says, want[i].says))
            fail_msg("%s: want \"%s\", got \"%s\"", want[i].words, want[i].says, says ? says : "nothing");
        ask_close(&s);
    }
    case_close(&c);
}

static void three_lines_go_round_in_a_circle(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    three_boars(&c);
    animal(&c, "Zed", "boar", "", "", "sows-most=2");
    const struct answer *a = ask(&s, c.farm, "pairings", "", AT), *rows = answer_at(a, "circle.sows");
    assert_string_equal(answer_get_text(ask_row(rows, "sow", "Ann"), "line"), "Alder");
    assert_string_equal(answer_get_text(ask_row(rows, "sow", "Ann"), "boar"), "Rook");
    assert_string_equal(answer_get_text(ask_row(rows, "sow", "Bess"), "boar"), "Zed");
    ask_close(&s);
    case_close(&c);
}

/* ---- rubbish, and nothing ---- */

static void rubbish_is_refused_with_a_sentence(void **state)
{
    static const struct {
        const char *question, *words, *field;
    } bad[] = {
        { "pairings", "boar=Rook:x", "boar" },
        { "pairings", "boar=Rook:2:3", "boar" },
        { "pairings", "boar=Rook:1:1:1", "boar" },
        { "pairings", "boar=Rook: ", "boar" },
        { "pairings", "boar=Rook boar=Rook", "boar" },
        { "pairings", "boar=Nobody", "boar" },
        { "pairings", "boar=Ann", "boar" },
        { "pairings", "sow=Rook", "sow" },
        { "pairings", "sow=Ann sow=Ann", "sow" },
        { "pairings", "fix=Ann", "fix" },
        { "pairings", "fix==Rook", "fix" },
        { "pairings", "fix=Ann=", "fix" },
        { "pairings", "fix=Ann=Nobody", "fix" },
        { "pairings", "fix=Ann=Rook fix=Ann=Alder", "fix" },
        { "pairings", "fix=Gran=Rook", "fix" },
        { "pairings", "fix=Ann=Rook forbid=Ann=Rook", "fix" },
        { "pairings", "boar=Rook fix=Ann=Alder", "fix" },
        { "pairings", "limit=-1", "limit" },
        { "pairings", "depth=0", "depth" },
        { "kinship", "sow=Nobody", "sow" },
        { "kinship", "boar=Rook boar=Rook", "boar" },
        { "herd", "family=Nobody", "family" },
        { "herd", "generations=9", "generations" },
        { "founders", "replicates=1", "replicates" },
    };
    struct farm_case c;
    struct ask_case s;

    (void)state;
    three_boars(&c);
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct message why = { "", "" };
        const enum status st = ask_try(&s, c.farm, bad[i].question, bad[i].words, AT, &why);
        figures++;
        if (st == ST_OK || strcmp(why.field, bad[i].field) != 0 || !*why.text)
            fail_msg("%s %s: status %d, field \"%s\": %s", bad[i].question, bad[i].words, (int)st, why.field, why.text);
        ask_close(&s);
    }
    case_close(&c);
}

static void an_empty_farm_answers_too(void **state)
{
    static const char *const questions_of[] = { "herd", "kinship", "founders", "pairings" };
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open(&c);
    for (size_t i = 0; i < COUNT(questions_of); i++) {
        (void)ask(&s, c.farm, questions_of[i], "", AT);
        ask_close(&s);
    }
    animal(&c, "Ann", "sow", "", "", "kept=here"); /* one sow alone, then with one boar */
    for (size_t i = 0; i < COUNT(questions_of); i++) {
        (void)ask(&s, c.farm, questions_of[i], "", AT);
        ask_close(&s);
    }
    animal(&c, "Bob", "boar", "", "", "kept=here");
    const struct answer *a = ask(&s, c.farm, "pairings", "", AT);
    assert_string_equal(answer_get_text(a, "says"), "Bob to Ann.");
    ask_close(&s);
    case_close(&c);
}

/* A name that stands for nobody would make half-sibs of strangers: it is taken for no parent at all. */
static void an_unknown_boar_makes_no_half_sibs(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open(&c);
    animal(&c, "UNKNOWN BOAR", "boar", "", "", "kept=elsewhere");
    animal(&c, "Ann", "sow", "UNKNOWN BOAR", "", "kept=here");
    animal(&c, "Bob", "boar", "UNKNOWN BOAR", "", "kept=here");
    const struct answer *a = ask(&s, c.farm, "kinship", "", AT);
    near(answer_get_real(pair_of(a, "Ann", "Bob"), "f"), 0.0, 1e-12, "no half-sibs");
    assert_string_equal(answer_get_text(ask_row(answer_at(a, "findings"), "kind", "placeholder"), "kind"),
                        "placeholder");
    ask_close(&s);
    a = ask(&s, c.farm, "herd", "all family=UNKNOWN_BOAR", AT); /* and may be looked at all the same */
    ask_close(&s);
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(herd_gives_the_inbreeding_of_the_book),
        cmocka_unit_test(kinship_is_half_the_relationship_of_the_book),
        cmocka_unit_test(plain_matings_have_their_plain_figures_and_words),
        cmocka_unit_test(what_cannot_be_avoided_is_not_called_too_close),
        cmocka_unit_test(parts_of_breeds_are_exact_and_the_society_is_asked),
        cmocka_unit_test(ancestors_elsewhere_are_no_part_of_the_herd),
        cmocka_unit_test(a_limited_depth_changes_f_and_is_stated),
        cmocka_unit_test(founders_of_one_litter),
        cmocka_unit_test(fathers_are_kept_from_their_daughters),
        cmocka_unit_test(a_hand_may_decide_and_the_rest_follows),
        cmocka_unit_test(what_does_not_fit_says_what_would),
        cmocka_unit_test(three_lines_go_round_in_a_circle),
        cmocka_unit_test(rubbish_is_refused_with_a_sentence),
        cmocka_unit_test(an_empty_farm_answers_too),
        cmocka_unit_test(an_unknown_boar_makes_no_half_sibs),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);

    printf("%zu figures and sentences compared\n", figures);
    return failed;
}
