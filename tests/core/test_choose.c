/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Choosing under scarcity at sizes too large to try everything: against the plain integer program of the whole problem,
 * every row written out, solved by the library.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "core/base/lp.h"
#include "core/watch/choose.h"
#include "tests/prop.h"

enum { SOWS = 9, SITES = 10, COLS = SOWS * 24, HOURS = 24, ROWS = SOWS + SITES + CHOOSE_THINGS + 400 };

struct some {
    struct choose_problem p;
    struct choose_case c;
    struct choose_limits limits;
    struct choose_col cols[COLS];
    unsigned room[SITES];
    double cost[COLS], stay[SOWS], due_h[COLS], hands[HOURS + 1];
};

static size_t pick_of(struct dice *d, size_t n)
{
    return (size_t)(prop_bits(d) % n);
}

static void some_problem(struct dice *d, struct some *s)
{
    memset(s, 0, sizeof *s);
    s->p = (struct choose_problem){ .n_sows = 3 + pick_of(d, SOWS - 2),
                                    .n_sites = 4 + pick_of(d, SITES - 3),
                                    .cols = s->cols,
                                    .room = s->room,
                                    .solver_ms = 2000 };
    for (size_t j = 0; j < s->p.n_sites; j++)
        s->room[j] = pick_of(d, 8) ? 1 : 2;
    for (size_t i = 0; i < s->p.n_sows; i++) {
        s->stay[i] = prop_between(d, 0.5, 3.0);
        const size_t n = 6 + pick_of(d, 18);
        for (size_t k = 0; k < n; k++) {
            const size_t at = s->p.n_cols++;
            s->cols[at] = (struct choose_col){ .sow = i, .site = pick_of(d, s->p.n_sites), .takes = SIZE_MAX };
            s->cost[at] = s->stay[i] * prop_between(d, 0.1, 1.2);
            s->due_h[at] = 1.0 + (double)pick_of(d, HOURS);
            if (pick_of(d, 4) == 0)
                continue; /* as it stands */
            s->cols[at].work = 10.0 + 5.0 * (double)pick_of(d, 12);
            s->cols[at].earliest_h = pick_of(d, 4) ? 0.0 : (double)pick_of(d, (size_t)s->due_h[at] + 1);
            for (int t = 0; t < CHOOSE_THINGS; t++)
                s->cols[at].uses[t] = pick_of(d, 3) ? 0.0 : 1.0 + (double)pick_of(d, 4);
            if (pick_of(d, 6) == 0)
                s->cols[at].takes = (s->cols[at].site + 1) % s->p.n_sites;
        }
    }
    for (int t = 0; t < CHOOSE_THINGS; t++)
        s->limits.most[t] = (double)pick_of(d, 12);
    s->limits.n_hours = HOURS;
    for (size_t h = 0; h < HOURS; h++)
        s->hands[h + 1] = s->hands[h] + (pick_of(d, 3) ? 0.0 : 40.0);
    s->limits.hands = pick_of(d, 3) ? s->hands : NULL;
    s->c = (struct choose_case){ s->cost, s->stay, s->due_h, &s->limits };
}

/* Hands between two whole hours. */
static double hands_between(const struct some *s, double from_h, double to_h)
{
    return s->hands[(size_t)to_h] - s->hands[(size_t)from_h];
}

static double by_library(const struct some *s, bool *proved)
{
    static struct lp_bounds rows[ROWS], cols[COLS];
    static struct lp_entry e[ROWS * COLS];
    double cost[COLS], base = 0.0;
    bool whole[COLS];
    struct arena mem;
    struct lp_answer a;
    struct message why = { "", "" };
    size_t n_rows = 0, n = 0;

    for (size_t i = 0; i < s->p.n_sows; i++, n_rows++) {
        base += s->stay[i];
        rows[n_rows] = (struct lp_bounds){ -HUGE_VAL, 1.0 };
        for (size_t k = 0; k < s->p.n_cols; k++)
            if (s->cols[k].sow == i)
                e[n++] = (struct lp_entry){ n_rows, k, 1.0 };
    }
    for (size_t j = 0; j < s->p.n_sites; j++, n_rows++) {
        rows[n_rows] = (struct lp_bounds){ -HUGE_VAL, s->room[j] };
        for (size_t k = 0; k < s->p.n_cols; k++)
            if (s->cols[k].site == j || s->cols[k].takes == j)
                e[n++] = (struct lp_entry){ n_rows, k, 1.0 };
    }
    for (int t = 0; t < CHOOSE_THINGS; t++, n_rows++) {
        rows[n_rows] = (struct lp_bounds){ -HUGE_VAL, s->limits.most[t] };
        for (size_t k = 0; k < s->p.n_cols; k++)
            if (s->cols[k].uses[t] > 0.0)
                e[n++] = (struct lp_entry){ n_rows, k, s->cols[k].uses[t] };
    }
    for (double from = 0.0; s->limits.hands && from < HOURS; from += 1.0)
        for (double to = from + 1.0; to <= HOURS; to += 1.0, n_rows++) {
            rows[n_rows] = (struct lp_bounds){ -HUGE_VAL, hands_between(s, from, to) };
            for (size_t k = 0; k < s->p.n_cols; k++)
                if (s->cols[k].work > 0.0 && s->cols[k].earliest_h >= from && s->due_h[k] <= to)
                    e[n++] = (struct lp_entry){ n_rows, k, s->cols[k].work };
        }
    for (size_t k = 0; k < s->p.n_cols; k++) {
        cost[k] = s->cost[k] - s->stay[s->cols[k].sow];
        /* work that must be done in no time at all cannot be */
        const bool never = s->limits.hands && s->cols[k].work > 0.0 && s->due_h[k] <= s->cols[k].earliest_h;
        cols[k] = (struct lp_bounds){ 0.0, never ? 0.0 : 1.0 };
        whole[k] = true;
    }
    const struct lp_model m = { .n_rows = n_rows,
                                .n_cols = s->p.n_cols,
                                .n_entries = n,
                                .rows = rows,
                                .cols = cols,
                                .cost = cost,
                                .whole = whole,
                                .entries = e,
                                .time_ms = 5000 };
    arena_open(&mem, 64u << 20);
    if (lp_solve(&m, &mem, &a, &why) != ST_OK)
        fail_msg("%s", why.text);
    *proved = a.found == LP_BEST;
    const double best = base + (a.x ? a.cost : 0.0);
    arena_close(&mem);
    return best;
}

static void scarcity_is_shared_out_for_the_best(void **state)
{
    static struct some s;
    struct dice d = prop_start();
    int scarce = 0, proved = 0, compared = 0;

    (void)state;
    for (int k = 0; k < 250; k++) {
        struct message why = { "", "" };
        size_t col[SOWS];
        struct choose_pick pick = { .col = col };
        bool sure = false;
        double cost = 0.0;

        some_problem(&d, &s);
        assert_int_equal(choose_best(&s.p, &s.c, NULL, &pick, &why), ST_OK);
        assert_true(choose_fits(&s.p, &s.c, s.p.n_sows, col));
        for (size_t i = 0; i < s.p.n_sows; i++)
            cost += col[i] == SIZE_MAX ? s.stay[i] : s.cost[col[i]];
        assert_true(fabs(cost - pick.cost) < 1e-9);
        const double best = by_library(&s, &sure);
        if (sure && pick.proved && !(fabs(pick.cost - best) < 1e-6))
            fail_msg("case %d: %.9g, the whole integer program says %.9g", k, pick.cost, best);
        if (!sure && pick.proved)
            assert_true(pick.cost <= best + 1e-6);
        if (sure && !pick.proved)
            assert_true(pick.cost >= best - 1e-6);
        scarce += !pick.slack;
        proved += pick.proved;
        compared += sure && pick.proved;
    }
    if (!(scarce > 150 && proved > 240 && compared > 230))
        fail_msg("of 250: %d scarce, %d proved, %d compared", scarce, proved, compared);
}

/* Begun from a plan that is known, or from none, the best is the best. */
static void where_it_begins_does_not_matter(void **state)
{
    static struct some s;
    struct dice d = prop_start();

    (void)state;
    for (int k = 0; k < 300; k++) {
        struct message why = { "", "" };
        size_t first[SOWS], again[SOWS], nonsense[SOWS];
        struct choose_pick a = { .col = first }, b = { .col = again };

        some_problem(&d, &s);
        assert_int_equal(choose_best(&s.p, &s.c, NULL, &a, &why), ST_OK);
        for (size_t i = 0; i < s.p.n_sows; i++) /* may well overspend: then it is passed over */
            for (size_t c = 0; c < s.p.n_cols; c++)
                if (s.cols[c].sow == i)
                    nonsense[i] = c;
        assert_int_equal(choose_best(&s.p, &s.c, k % 2 ? first : nonsense, &b, &why), ST_OK);
        if (a.proved && b.proved)
            assert_true(fabs(a.cost - b.cost) < 1e-8);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(scarcity_is_shared_out_for_the_best),
        cmocka_unit_test(where_it_begins_does_not_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
