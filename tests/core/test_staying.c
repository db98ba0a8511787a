/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Staying: what speaks for each female. Worked examples by hand with the formula beside them; the weight of a record
 * held against Mrode's; and what must hold of any herd. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "core/staying/staying.h"
#include "tests/prop.h"

enum { HERDS = 400, MOST = 14 };

static size_t checks;

static void near(double got, double want, double within, const char *words)
{
    checks++;
    if (!(got >= want - within && got <= want + within))
        fail_msg("%s: want %.12g, got %.12g", words, want, got);
}

static void holds(bool ok, const char *words)
{
    checks++;
    if (!ok)
        fail_msg("%s", words);
}

static size_t whole(struct dice *d, size_t low, size_t high)
{
    return low + (size_t)(dice_even(d) * (double)(high - low + 1));
}

static struct staying_animal nobody(void)
{
    struct staying_animal a = { .generations = NAN };
    for (int r = 0; r < STAYING_END; r++)
        a.seen[r] = NAN;
    return a;
}

static void score(size_t n, const struct staying_animal a[], const double record[STAYING_END],
                  struct staying_score scores[])
{
    struct message why = { "", "" };
    if (staying_scores(n, a, staying_weights_usual, record, scores, &why) != ST_OK)
        fail_msg("%s: %s", why.field, why.text);
}

static const double no_record[STAYING_END] = {
    [STAYING_BORN] = NAN, [STAYING_WEANED] = NAN, [STAYING_BACK] = NAN, [STAYING_RETURNS] = NAN, [STAYING_TROUBLE] = NAN
};
static const double some_record[STAYING_END] = { [STAYING_BORN] = 8.1,
                                                 [STAYING_WEANED] = 6.9,
                                                 [STAYING_BACK] = 9.0,
                                                 [STAYING_RETURNS] = 0.25,
                                                 [STAYING_TROUBLE] = 0.2 };

/* ---- by hand ---- */

/* Born 9, 8, 10: n 3, mean 9; the herd has 8.1; r 0.15. w = n r / (1 + (n - 1) r) = 0.45 / 1.3 = 0.346154, so that what is
 * believed of her is 8.1 + 0.346154 x 0.9 = 8.411538. In usual differences, s sqrt r = 2.5 x 0.387298 = 0.968246:
 * 0.311538 / 0.968246 = 0.321756. What is not known of it: 1 - w = 0.653846. */
static void three_litters_by_hand(void **state)
{
    struct staying_animal a = nobody();
    struct staying_score s;

    (void)state;
    a.seen[STAYING_BORN] = 9.0;
    a.n[STAYING_BORN] = 3;
    score(1, &a, some_record, &s);
    near(s.part[STAYING_BORN].known, 0.45 / 1.3, 1e-12, "w");
    near(s.part[STAYING_BORN].value, 0.321756, 1e-6, "value");
    near(8.1 + s.part[STAYING_BORN].value * 2.5 * sqrt(0.15), 8.411538, 1e-6, "what is believed of her");
    near(s.part[STAYING_BORN].points, 1.0 * 0.321756, 1e-6, "points");
    near(s.score, s.part[STAYING_BORN].points, 1e-12, "nothing else counts");
}

/* The gain in accuracy from repeated records: Mrode, Linear Models for the Prediction of Animal Breeding Values, section
 * 1.3.2: b = n h2 / (1 + (n - 1) t); with h2 = t it is the weight of the producing ability. Falconer's table for t 0.15 by
 * the same formula: 1 0.150, 2 0.261, 4 0.414, 8 0.585. */
static void the_weight_of_records(void **state)
{
    static const struct {
        size_t n;
        double w;
    } want[] = { { 1, 0.15 }, { 2, 0.30 / 1.15 }, { 4, 0.60 / 1.45 }, { 8, 1.20 / 2.05 } };

    (void)state;
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        struct staying_animal a = nobody();
        struct staying_score s;
        a.seen[STAYING_BORN] = 10.0;
        a.n[STAYING_BORN] = want[i].n;
        score(1, &a, some_record, &s);
        near(s.part[STAYING_BORN].value * 2.5 * sqrt(0.15), want[i].w * (10.0 - 8.1), 1e-12,
             "from the herd to her own");
    }
}

/* Three gilts: 14 and 12 teats, one not counted. Mean of those counted 13: (14 - 13) / 1.5 = 0.666667, its mirror, and 0.
 * Weight 0.75: 0.5, -0.5, 0. */
static void teats_by_hand(void **state)
{
    struct staying_animal a[3] = { nobody(), nobody(), nobody() };
    struct staying_score s[3];

    (void)state;
    a[0].seen[STAYING_TEATS] = 14;
    a[1].seen[STAYING_TEATS] = 12;
    score(3, a, no_record, s);
    near(s[0].score, 0.5, 1e-12, "14");
    near(s[1].score, -0.5, 1e-12, "12");
    near(s[2].score, 0.0, 0.0, "not counted");
    holds(s[0].rank == 1 && s[2].rank == 2 && s[1].rank == 3, "in this order");
}

/* Mean kinship 0.10 at three generations and 0.14 at one: k 0.75 and 0.5, mean (0.075 + 0.07) / 1.25 = 0.116. First: 0.75 x
 * 0.016 x 32 = 0.384; second 0.5 x -0.024 x 32 = -0.384. A third of whom no parent is known stands at the herd, however
 * rare she looks. */
static void genes_by_hand(void **state)
{
    struct staying_animal a[3] = { nobody(), nobody(), nobody() };
    struct staying_score s[3];

    (void)state;
    a[0].seen[STAYING_LINE] = 0.10;
    a[0].generations = 3.0;
    a[1].seen[STAYING_LINE] = 0.14;
    a[1].generations = 1.0;
    a[2].seen[STAYING_LINE] = 0.01;
    score(3, a, no_record, s);
    near(s[0].part[STAYING_LINE].value, 0.384, 1e-12, "rare");
    near(s[1].part[STAYING_LINE].value, -0.384, 1e-12, "common");
    near(s[2].part[STAYING_LINE].value, 0.0, 0.0, "unknown");
}

/* Two of nothing but what is not known: sd of the difference hypot(s, s), chance of the first Phi(d / (s sqrt 2)).
 * Phi(1) = 0.841345 (Abramowitz & Stegun, table 26.1). */
static void chance_of_the_better(void **state)
{
    const struct staying_score a = { .score = 2.0, .sd = 0.6 }, b = { .score = 1.0, .sd = 0.8 };

    (void)state;
    near(staying_better(&a, &b), 0.841345, 1e-6, "one sd apart");
    near(staying_better(&b, &a), 1.0 - 0.841345, 1e-6, "the other way");
    near(staying_better(&a, &a), 0.5, 1e-15, "level");
    const struct staying_score sure = { .score = 1.0 }, surer = { .score = 2.0 };
    near(staying_better(&surer, &sure), 1.0, 0.0, "all known");
}

/* ---- of any herd ---- */

static double any(struct dice *d, double low, double high)
{
    return prop_between(d, low, high);
}

static struct staying_animal drawn(struct dice *d)
{
    static const double high[STAYING_END] = { 0.4, 0.4, 9, 18, 5, 3, 10, 14, 12, 40, 1, 1 };
    struct staying_animal a = nobody();

    a.generations = any(d, 0.0, 6.0);
    for (int r = 0; r < STAYING_END; r++) {
        if (whole(d, 0, 3) == 0)
            continue; /* not known */
        a.seen[r] = any(d, 0.0, high[r]);
        if (r == STAYING_LEFT || r == STAYING_TEATS || r == STAYING_TEMPER || r == STAYING_AGE)
            a.seen[r] = floor(a.seen[r]);
        if (r == STAYING_LEFT || r == STAYING_LEGS)
            a.seen[r] = fmax(1.0, a.seen[r]);
        a.n[r] = whole(d, 1, 8);
    }
    return a;
}

static size_t herd(struct dice *d, struct staying_animal a[MOST])
{
    const size_t n = whole(d, 2, MOST);
    for (size_t i = 0; i < n; i++)
        a[i] = drawn(d);
    return n;
}

static void another_order_changes_nothing(void **state)
{
    struct dice d = prop_start();

    (void)state;
    for (int t = 0; t < HERDS; t++) {
        struct staying_animal a[MOST], b[MOST];
        struct staying_score sa[MOST], sb[MOST];
        size_t to[MOST];
        const size_t n = herd(&d, a);
        for (size_t i = 0; i < n; i++)
            to[i] = i;
        for (size_t i = n - 1; i > 0; i--) {
            const size_t k = whole(&d, 0, i), was = to[i];
            to[i] = to[k];
            to[k] = was;
        }
        for (size_t i = 0; i < n; i++)
            b[to[i]] = a[i];
        score(n, a, some_record, sa);
        score(n, b, some_record, sb);
        for (size_t i = 0; i < n; i++) {
            near(sb[to[i]].score, sa[i].score, 1e-9, "score");
            holds(sb[to[i]].rank == sa[i].rank, "rank");
        }
    }
}

/* More of what is better (or less of what is worse) never ranks lower, whoever else is there. */
static void better_never_ranks_lower(void **state)
{
    static const struct {
        enum staying_reason of;
        double by;
    } step[] = { { STAYING_TEATS, 1 },      { STAYING_LEGS, 0.5 }, { STAYING_TEMPER, -1 },
                 { STAYING_LINE, -0.01 },   { STAYING_AGE, -1 },   { STAYING_BORN, 0.5 },
                 { STAYING_WEANED, 0.5 },   { STAYING_BACK, -1 },  { STAYING_RETURNS, -0.1 },
                 { STAYING_TROUBLE, -0.1 }, { STAYING_LEFT, -1 },  { STAYING_INBRED, -0.01 } };
    static const double low[STAYING_END] = { [STAYING_LEFT] = 1, [STAYING_LEGS] = 1 },
                        high[STAYING_END] = { 1, 1, 1e6, 24, 5, 3, 25, 30, 30, 60, 1, 1 };
    struct dice d = prop_start();
    size_t tried[STAYING_END] = { 0 };

    (void)state;
    for (int t = 0; t < HERDS * 3; t++) {
        struct staying_animal a[MOST];
        struct staying_score before[MOST], after[MOST];
        const size_t n = herd(&d, a), i = whole(&d, 0, n - 1);
        const size_t k = whole(&d, 0, sizeof step / sizeof *step - 1);
        const enum staying_reason r = step[k].of;
        score(n, a, some_record, before);
        a[i].seen[r] += step[k].by;
        if (isnan(a[i].seen[r]) || a[i].seen[r] < low[r] || a[i].seen[r] > high[r])
            continue;
        score(n, a, some_record, after);
        holds(after[i].score >= before[i].score - 1e-9, staying_name[r]);
        holds(after[i].rank <= before[i].rank, staying_name[r]);
        tried[r]++;
    }
    for (int r = 0; r < STAYING_END; r++)
        holds(tried[r] > 20, "each reason was tried");
}

/* What is not known counts 0, moves nobody else, and leaves her less sure. */
static void not_known_is_neutral(void **state)
{
    struct dice d = prop_start();

    (void)state;
    for (int t = 0; t < HERDS; t++) {
        struct staying_animal a[MOST + 1];
        struct staying_score with[MOST + 1], without[MOST];
        const size_t n = herd(&d, a);
        score(n, a, some_record, without);
        a[n] = nobody();
        score(n + 1, a, some_record, with);
        near(with[n].score, 0.0, 0.0, "nobody knows her: the herd");
        near(with[n].known, 0.0, 0.0, "nothing is known");
        for (size_t i = 0; i < n; i++) {
            near(with[i].score, without[i].score, 0.0, "she moves nobody");
            holds(with[i].sd <= with[n].sd, "she is the least sure");
        }
        const int r = (int)whole(&d, 0, STAYING_END - 1);
        a[0].seen[r] = NAN;
        a[0].n[r] = 0;
        score(n, a, some_record, with);
        near(with[0].part[r].points, 0.0, 0.0, "not known, no points");
        holds(with[0].sd >= without[0].sd, "less sure");
    }
}

/* One more litter at her own mean moves her on towards it, exactly by the gain in w; with very many she is there. */
static void more_litters_move_her_towards_her_own(void **state)
{
    struct dice d = prop_start();

    (void)state;
    for (int t = 0; t < HERDS; t++) {
        struct staying_animal a = nobody();
        struct staying_score s;
        const double own = any(&d, 2.0, 14.0);
        double last = 0.0;
        a.seen[STAYING_BORN] = own;
        for (size_t n = 1; n <= 12; n++) {
            const double r = 0.15, w = (double)n * r / (1.0 + ((double)n - 1.0) * r);
            a.n[STAYING_BORN] = n;
            score(1, &a, some_record, &s);
            const double is = 8.1 + s.part[STAYING_BORN].value * 2.5 * sqrt(r);
            near(is, 8.1 + w * (own - 8.1), 1e-9, "exactly by w");
            holds(fabs(is - 8.1) >= last - 1e-12, "on towards her own");
            last = fabs(is - 8.1);
        }
        a.n[STAYING_BORN] = 1000000;
        score(1, &a, some_record, &s);
        near(8.1 + s.part[STAYING_BORN].value * 2.5 * sqrt(0.15), own, 1e-4, "with very many she is there");
    }
}

static void parts_make_the_whole(void **state)
{
    struct dice d = prop_start();

    (void)state;
    for (int t = 0; t < HERDS; t++) {
        struct staying_animal a[MOST];
        struct staying_score s[MOST];
        const size_t n = herd(&d, a);
        score(n, a, some_record, s);
        for (size_t i = 0; i < n; i++) {
            double sum = 0.0, var = 0.0, weight = 0.0, known = 0.0;
            for (int r = 0; r < STAYING_END; r++) {
                const double w = staying_weights_usual[r];
                sum += s[i].part[r].points;
                var += w * w * (1.0 - s[i].part[r].known);
                weight += w;
                known += w * s[i].part[r].known;
                near(s[i].part[r].points, w * s[i].part[r].value, 1e-12, "points");
            }
            near(s[i].score, sum, 1e-9, "score");
            near(s[i].sd, sqrt(var), 1e-12, "sd");
            near(s[i].known, known / weight, 1e-12, "known");
            holds(s[i].rank >= 1 && s[i].rank <= n, "rank");
        }
    }
}

static void refused(void **state)
{
    static const struct {
        enum staying_reason of;
        double is;
    } bad[] = { { STAYING_LINE, -0.01 },  { STAYING_LINE, 1.01 },
                { STAYING_LEFT, 0.0 },    { STAYING_TEATS, 25 },
                { STAYING_LEGS, 0.5 },    { STAYING_TEMPER, 4.0 },
                { STAYING_BORN, 40.0 },   { STAYING_BACK, 61.0 },
                { STAYING_RETURNS, 1.5 }, { STAYING_AGE, (double)INFINITY } };
    struct staying_score s;
    double weight[STAYING_END];

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct staying_animal a = nobody();
        struct message why = { "", "" };
        a.seen[bad[i].of] = bad[i].is;
        holds(staying_scores(1, &a, staying_weights_usual, some_record, &s, &why) == ST_BAD_INPUT, "a figure");
        assert_string_equal(why.field, staying_name[bad[i].of]);
    }
    for (int r = 0; r < STAYING_END; r++) {
        const double no[] = { -0.1, 10.1, (double)NAN };
        for (size_t k = 0; k < 3; k++) {
            const struct staying_animal a = nobody();
            struct message why = { "", "" };
            memcpy(weight, staying_weights_usual, sizeof weight);
            weight[r] = no[k];
            holds(staying_scores(1, &a, weight, some_record, &s, &why) == ST_BAD_INPUT, "a weight");
            assert_string_equal(why.field, staying_name[r]);
        }
    }
    struct message why = { "", "" };
    memset(weight, 0, sizeof weight);
    const struct staying_animal a = nobody();
    holds(staying_scores(1, &a, weight, no_record, &s, &why) == ST_OK && s.known == 0.0,
          "no weight at all is a herd of equals");
    holds(staying_scores(0, NULL, staying_weights_usual, no_record, NULL, &why) == ST_OK, "an empty herd");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_litters_by_hand),
        cmocka_unit_test(the_weight_of_records),
        cmocka_unit_test(teats_by_hand),
        cmocka_unit_test(genes_by_hand),
        cmocka_unit_test(chance_of_the_better),
        cmocka_unit_test(another_order_changes_nothing),
        cmocka_unit_test(better_never_ranks_lower),
        cmocka_unit_test(not_known_is_neutral),
        cmocka_unit_test(more_litters_move_her_towards_her_own),
        cmocka_unit_test(parts_make_the_whole),
        cmocka_unit_test(refused),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    printf("staying: %zu checks\n", checks);
    return failed;
}
