/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The solver's door against a plain simplex written here (dense, two phases, Bland's rule: Bland (1977), Mathematics of
 * Operations Research 2:103, method from memory) and against counting through every whole point; and wicked models.
 */
#include <glpk.h> /* only to provoke its faults on purpose */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <cmocka.h>

#include "core/base/lp.h"
#include "tests/prop.h"

enum { MAX_N = 6, MAX_M = 6, TALL = 2 * (MAX_M + MAX_N), WIDE = 2 * MAX_N + 2 * TALL + 1 };

struct small {
    size_t m, n;
    struct lp_bounds rows[MAX_M], cols[MAX_N];
    double cost[MAX_N], a[MAX_M][MAX_N];
    bool whole[MAX_N];
};

/* ---- the witness ---- */

enum verdict { BEST, NONE, ENDLESS };

struct table {
    size_t m, n; /* rows; columns before the right-hand side */
    double t[TALL][WIDE];
    size_t basis[TALL];
};

static void pivot(struct table *s, double *cost, size_t row, size_t col)
{
    const double by = s->t[row][col];
    for (size_t j = 0; j <= s->n; j++)
        s->t[row][j] /= by;
    for (size_t i = 0; i < s->m; i++) {
        const double f = s->t[i][col];
        for (size_t j = 0; i != row && f != 0.0 && j <= s->n; j++)
            s->t[i][j] -= f * s->t[row][j];
    }
    const double f = cost[col];
    for (size_t j = 0; j <= s->n; j++)
        cost[j] -= f * s->t[row][j];
    s->basis[row] = col;
}

static enum verdict walk(struct table *s, double *cost, size_t n_free)
{
    for (int step = 0; step < 5000; step++) {
        size_t in = n_free, out = s->m;
        for (size_t j = 0; j < n_free && in == n_free; j++)
            if (cost[j] < -1e-7)
                in = j;
        if (in == n_free)
            return BEST;
        for (size_t i = 0; i < s->m; i++) {
            if (s->t[i][in] <= 1e-7)
                continue;
            const double ratio = s->t[i][s->n] / s->t[i][in];
            const double least = out < s->m ? s->t[out][s->n] / s->t[out][in] : HUGE_VAL;
            if (ratio < least - 1e-12 || (ratio <= least + 1e-12 && (out == s->m || s->basis[i] < s->basis[out])))
                out = i;
        }
        if (out == s->m)
            return ENDLESS;
        pivot(s, cost, out, in);
    }
    fail_msg("the witness ran in a circle");
    return NONE;
}

/* x_j = plus_j - minus_j, both >= 0; every finite bound a row with its slack; one artificial a row. */
static enum verdict witness(const struct small *p, double *best)
{
    static struct table s;
    double phase1[WIDE] = { 0 }, phase2[WIDE] = { 0 };
    size_t m = 0;

    memset(&s, 0, sizeof s);
    for (size_t k = 0; k < 2 * (p->m + p->n); k++) { /* count rows first: slacks and artificials come after */
        const struct lp_bounds b = k / 2 < p->m ? p->rows[k / 2] : p->cols[k / 2 - p->m];
        m += isfinite(k % 2 ? b.high : b.low) ? 1 : 0;
    }
    s.m = m;
    s.n = 2 * p->n + 2 * m;
    m = 0;
    for (size_t k = 0; k < 2 * (p->m + p->n); k++) {
        const bool row = k / 2 < p->m, high = k % 2;
        const struct lp_bounds b = row ? p->rows[k / 2] : p->cols[k / 2 - p->m];
        const double side = high ? b.high : b.low;
        if (!isfinite(side))
            continue;
        const double sign = side < 0.0 ? -1.0 : 1.0;
        for (size_t j = 0; j < p->n; j++) {
            const double a = row ? p->a[k / 2][j] : (j == k / 2 - p->m ? 1.0 : 0.0);
            s.t[m][2 * j] = sign * a;
            s.t[m][2 * j + 1] = -sign * a;
        }
        s.t[m][2 * p->n + m] = sign * (high ? 1.0 : -1.0);
        s.t[m][2 * p->n + s.m + m] = 1.0;
        s.t[m][s.n] = sign * side;
        s.basis[m] = 2 * p->n + s.m + m;
        for (size_t j = 0; j < 2 * p->n + s.m; j++)
            phase1[j] -= s.t[m][j];
        phase1[s.n] -= s.t[m][s.n];
        m++;
    }
    if (walk(&s, phase1, 2 * p->n + s.m) != BEST || phase1[s.n] < -1e-7)
        return NONE;
    for (size_t i = 0; i < s.m; i++) /* artificials still in at zero: out, where anything else can come in */
        for (size_t j = 0; s.basis[i] >= 2 * p->n + s.m && j < 2 * p->n + s.m; j++)
            if (fabs(s.t[i][j]) > 1e-7)
                pivot(&s, phase1, i, j);
    for (size_t j = 0; j < p->n; j++) {
        phase2[2 * j] = p->cost[j];
        phase2[2 * j + 1] = -p->cost[j];
    }
    for (size_t i = 0; i < s.m; i++) {
        const double f = phase2[s.basis[i]];
        for (size_t j = 0; f != 0.0 && j <= s.n; j++)
            phase2[j] -= f * s.t[i][j];
    }
    if (walk(&s, phase2, 2 * p->n + s.m) == ENDLESS)
        return ENDLESS;
    *best = -phase2[s.n];
    return BEST;
}

static bool count_through(const struct small *p, double *best)
{
    double x[MAX_N];
    bool found = false;

    for (size_t j = 0; j < p->n; j++)
        x[j] = ceil(p->cols[j].low);
    for (;;) {
        double cost = 0.0;
        bool good = true;
        for (size_t i = 0; i < p->m; i++) {
            double sum = 0.0;
            for (size_t j = 0; j < p->n; j++)
                sum += p->a[i][j] * x[j];
            good = good && sum >= p->rows[i].low - 1e-9 && sum <= p->rows[i].high + 1e-9;
        }
        for (size_t j = 0; j < p->n; j++)
            cost += p->cost[j] * x[j];
        for (size_t j = 0; j < p->n; j++)
            good = good && x[j] <= p->cols[j].high;
        if (good && (!found || cost < *best)) {
            found = true;
            *best = cost;
        }
        size_t j = 0;
        for (; j < p->n && x[j] + 1.0 > p->cols[j].high; j++)
            x[j] = ceil(p->cols[j].low);
        if (j == p->n)
            return found;
        x[j] += 1.0;
    }
}

/* ---- the models ---- */

static double whole_between(struct dice *d, int low, int high)
{
    return floor(prop_between(d, low, high + 1));
}

static struct lp_bounds some_bounds(struct dice *d, int low, int high)
{
    const double a = whole_between(d, low, high), b = whole_between(d, low, high);
    switch (prop_bits(d) % 5) {
    case 0: return (struct lp_bounds){ a, HUGE_VAL };
    case 1: return (struct lp_bounds){ -HUGE_VAL, b };
    case 2: return (struct lp_bounds){ a, a };
    default: return (struct lp_bounds){ fmin(a, b), fmax(a, b) };
    }
}

static struct small some_model(struct dice *d, bool boxed)
{
    struct small p = { .m = 1 + prop_bits(d) % MAX_M, .n = 1 + prop_bits(d) % (boxed ? 4 : MAX_N) };

    for (size_t j = 0; j < p.n; j++) {
        p.cost[j] = whole_between(d, -5, 5);
        p.whole[j] = boxed;
        if (boxed)
            p.cols[j] = (struct lp_bounds){ whole_between(d, -2, 1) - 0.25, whole_between(d, 1, 3) + 0.5 };
        else
            p.cols[j] = prop_bits(d) % 3 ? (struct lp_bounds){ 0.0, HUGE_VAL } : some_bounds(d, -4, 4);
        for (size_t i = 0; i < p.m; i++)
            p.a[i][j] = prop_bits(d) % 3 ? whole_between(d, -4, 4) : 0.0;
    }
    for (size_t i = 0; i < p.m; i++)
        p.rows[i] = some_bounds(d, -6, 8);
    return p;
}

static enum status put(const struct small *p, bool whole, const double *known, struct arena *mem,
                       struct lp_answer *answer, struct message *why)
{
    struct lp_entry e[MAX_M * MAX_N];
    size_t k = 0;

    for (size_t i = p->m; i-- > 0;) /* backwards: the order of entries must not matter */
        for (size_t j = 0; j < p->n; j++)
            if (p->a[i][j] != 0.0)
                e[k++] = (struct lp_entry){ i, j, p->a[i][j] };
    const struct lp_model model = { .n_rows = p->m,
                                    .n_cols = p->n,
                                    .n_entries = k,
                                    .rows = p->rows,
                                    .cols = p->cols,
                                    .cost = p->cost,
                                    .whole = whole ? p->whole : NULL,
                                    .entries = e,
                                    .known = known };
    return lp_solve(&model, mem, answer, why);
}

static void clash_is_one_and_is_least(const struct small *p, const struct lp_answer *a)
{
    const struct lp_bounds any = { -HUGE_VAL, HUGE_VAL };
    struct small q = *p;
    double best = 0.0;

    for (size_t i = 0; i < p->m; i++)
        if (!a->clash_rows[i])
            q.rows[i] = any;
    for (size_t j = 0; j < p->n; j++)
        if (!a->clash_cols[j])
            q.cols[j] = any;
    assert_true(a->clash_least);
    assert_int_equal(witness(&q, &best), NONE);
    for (size_t i = 0; i < p->m; i++)
        if (a->clash_rows[i]) {
            struct small without = q;
            without.rows[i] = any;
            assert_int_not_equal(witness(&without, &best), NONE);
        }
    for (size_t j = 0; j < p->n; j++)
        if (a->clash_cols[j]) {
            struct small without = q;
            without.cols[j] = any;
            assert_int_not_equal(witness(&without, &best), NONE);
        }
}

static void prices_hold(const struct small *p, const struct lp_answer *a)
{
    for (size_t j = 0; j < p->n; j++) { /* cost = prices of the rows it is in + its own reduced cost */
        double sum = a->col_price[j];
        for (size_t i = 0; i < p->m; i++)
            sum += a->row_price[i] * p->a[i][j];
        assert_true(fabs(sum - p->cost[j]) < 1e-6);
    }
    for (size_t i = 0; i < p->m; i++) { /* a row with room on both sides has no price */
        const bool binds = a->row_value[i] < p->rows[i].low + 1e-6 || a->row_value[i] > p->rows[i].high - 1e-6;
        assert_true(binds || fabs(a->row_price[i]) < 1e-7);
    }
}

static void agrees_with_a_plain_simplex(void **state)
{
    struct dice d = prop_start();
    int seen[3] = { 0, 0, 0 };

    (void)state;
    for (int k = 0; k < 6000; k++) {
        const struct small p = some_model(&d, false);
        struct lp_answer a;
        struct message why = { "", "" };
        struct arena mem;
        double best = 0.0;

        arena_open(&mem, 1 << 20);
        const enum verdict v = witness(&p, &best);
        const enum status st = put(&p, false, NULL, &mem, &a, &why);
        if (st != ST_OK)
            fail_msg("case %d: %s", k, why.text);
        if (v == BEST && !(a.found == LP_BEST && fabs(a.cost - best) < 1e-6 * (1.0 + fabs(best))))
            fail_msg("case %d: the witness finds %g, the solver says %d, %g", k, best, (int)a.found, a.cost);
        if ((v == NONE) != (a.found == LP_INFEASIBLE) || (v == ENDLESS) != (a.found == LP_UNBOUNDED))
            fail_msg("case %d: the witness says %d, the solver %d", k, (int)v, (int)a.found);
        if (v == NONE)
            clash_is_one_and_is_least(&p, &a);
        if (v == BEST)
            prices_hold(&p, &a);
        seen[v]++;
        arena_close(&mem);
    }
    for (int v = 0; v < 3; v++)
        assert_true(seen[v] > 300); /* every kind was really met */
}

static void whole_numbers_agree_with_counting(void **state)
{
    struct dice d = prop_start();
    int feasible = 0;

    (void)state;
    for (int k = 0; k < 3000; k++) {
        const struct small p = some_model(&d, true);
        struct lp_answer a, again;
        struct message why = { "", "" };
        struct arena mem;
        double best = 0.0;

        arena_open(&mem, 1 << 20);
        const bool any = count_through(&p, &best);
        if (put(&p, true, NULL, &mem, &a, &why) != ST_OK)
            fail_msg("case %d: %s", k, why.text);
        assert_int_equal(a.found, any ? LP_BEST : LP_INFEASIBLE);
        if (any) {
            if (!(fabs(a.cost - best) < 1e-6))
                fail_msg("case %d: counting finds %g, the solver %g", k, best, a.cost);
            assert_int_equal(put(&p, true, a.x, &mem, &again, &why), ST_OK); /* begun from the best itself */
            assert_int_equal(again.found, LP_BEST);
            assert_true(fabs(again.cost - best) < 1e-6);
            feasible++;
        } else {
            assert_non_null(a.clash_rows);
            assert_non_null(a.clash_cols);
        }
        arena_close(&mem);
    }
    assert_true(feasible > 300 && feasible < 2700);
}

/* ---- wicked ---- */

static void nothing_at_all(void **state)
{
    struct lp_model model = { 0 };
    struct lp_answer a;
    struct message why = { "", "" };
    struct arena mem;
    const struct lp_bounds row = { 1.0, 2.0 }, zero = { 0.0, 5.0 };
    const double cost = -2.0;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(lp_solve(&model, &mem, &a, &why), ST_OK); /* no rows, no columns */
    assert_int_equal(a.found, LP_BEST);
    assert_true(a.cost == 0.0);
    model.n_rows = 1;
    model.rows = &row;
    assert_int_equal(lp_solve(&model, &mem, &a, &why), ST_OK); /* a row without columns: 0 is not between 1 and 2 */
    assert_int_equal(a.found, LP_INFEASIBLE);
    assert_true(a.clash_rows[0]);
    model = (struct lp_model){ .n_cols = 1, .cols = &zero, .cost = &cost };
    assert_int_equal(lp_solve(&model, &mem, &a, &why), ST_OK); /* a column without rows */
    assert_int_equal(a.found, LP_BEST);
    assert_true(fabs(a.cost + 10.0) < 1e-9);
    arena_close(&mem);
}

/* A model on which the textbook simplex goes in a circle: Beale (1955), from memory; best value -1/20. */
static void degenerate_models_end(void **state)
{
    const struct lp_bounds up[3] = { { -HUGE_VAL, 0.0 }, { -HUGE_VAL, 0.0 }, { -HUGE_VAL, 1.0 } };
    const struct lp_bounds from0[4] = { { 0, HUGE_VAL }, { 0, HUGE_VAL }, { 0, HUGE_VAL }, { 0, HUGE_VAL } };
    const double cost[4] = { -0.75, 150.0, -0.02, 6.0 };
    const struct lp_entry e[] = { { 0, 0, 0.25 },  { 0, 1, -60.0 }, { 0, 2, -0.04 }, { 0, 3, 9.0 }, { 1, 0, 0.5 },
                                  { 1, 1, -90.0 }, { 1, 2, -0.02 }, { 1, 3, 3.0 },   { 2, 2, 1.0 } };
    const struct lp_model model = {
        .n_rows = 3, .n_cols = 4, .n_entries = COUNT(e), .rows = up, .cols = from0, .cost = cost, .entries = e
    };
    struct lp_answer a;
    struct message why = { "", "" };
    struct arena mem;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(lp_solve(&model, &mem, &a, &why), ST_OK);
    assert_int_equal(a.found, LP_BEST);
    assert_true(fabs(a.cost + 0.05) < 1e-9);
    arena_close(&mem);
}

static void mistakes_are_sentences(void **state)
{
    const struct lp_bounds row[1] = { { 0, 1 } }, col[1] = { { 0, 1 } }, crossed[1] = { { 2, 1 } },
                           nan[1] = { { NAN, 1 } };
    const double cost[1] = { 1.0 }, bad[1] = { NAN };
    const struct lp_entry good[1] = { { 0, 0, 1.0 } }, twice[2] = { { 0, 0, 1.0 }, { 0, 0, 2.0 } };
    const struct lp_entry far[1] = { { 1, 0, 1.0 } }, endless[1] = { { 0, 0, HUGE_VAL } };
    const struct lp_model base = {
        .n_rows = 1, .n_cols = 1, .n_entries = 1, .rows = row, .cols = col, .cost = cost, .entries = good
    };
    struct lp_model wrong[8];
    struct arena mem;

    (void)state;
    for (size_t i = 0; i < COUNT(wrong); i++)
        wrong[i] = base;
    wrong[0].rows = crossed;
    wrong[1].cols = crossed;
    wrong[2].rows = nan;
    wrong[3].cost = bad;
    wrong[4].entries = twice;
    wrong[4].n_entries = 2;
    wrong[5].entries = far;
    wrong[6].entries = endless;
    wrong[7].n_rows = 20001;
    for (size_t i = 0; i < COUNT(wrong); i++) {
        struct lp_answer a = { .cost = 77.0 };
        struct message why = { "", "" };
        arena_open(&mem, 1 << 22);
        assert_int_equal(lp_solve(&wrong[i], &mem, &a, &why), ST_BAD_INPUT);
        assert_true(why.text[0] != '\0' && a.cost == 77.0);
        arena_close(&mem);
    }
    struct lp_answer a;
    struct message why = { "", "" };
    arena_open(&mem, 64); /* hardly any memory */
    assert_int_equal(lp_solve(&base, &mem, &a, &why), ST_NO_MEMORY);
    arena_close(&mem);
}

static void a_start_that_breaks_a_bound_is_refused(void **state)
{
    const struct lp_bounds row[1] = { { 0, 3 } }, col[1] = { { 0, 9 } };
    const double cost[1] = { -1.0 }, over[1] = { 4.0 };
    const bool whole[1] = { true };
    const struct lp_entry e[1] = { { 0, 0, 1.0 } };
    struct lp_model model = { .n_rows = 1,
                              .n_cols = 1,
                              .n_entries = 1,
                              .rows = row,
                              .cols = col,
                              .cost = cost,
                              .whole = whole,
                              .entries = e,
                              .known = over };
    struct lp_answer a;
    struct message why = { "", "" };
    struct arena mem;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(lp_solve(&model, &mem, &a, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "known");
    arena_close(&mem);
}

static void no_whole_number_between(void **state)
{
    const struct lp_bounds col[1] = { { 0.2, 0.8 } };
    const double cost[1] = { 1.0 };
    const bool whole[1] = { true };
    const struct lp_model model = { .n_cols = 1, .cols = col, .cost = cost, .whole = whole };
    struct lp_answer a;
    struct message why = { "", "" };
    struct arena mem;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(lp_solve(&model, &mem, &a, &why), ST_OK);
    assert_int_equal(a.found, LP_INFEASIBLE);
    assert_true(a.clash_cols[0]);
    arena_close(&mem);
}

static void one_row(void *what)
{
    glp_prob *p = glp_create_prob();
    (void)what;
    (void)glp_add_rows(p, -1); /* the library's own answer to this is to end the process */
}

static void unpaired(void *what)
{
    glp_prob *p = glp_create_prob();
    (void)what;
    (void)glp_add_rows(p, 1);
    (void)glp_get_row_prim(p, 2);
}

static void faults_inside_the_solver_come_back(void **state)
{
    (void)state;
    for (int k = 0; k < 20; k++) {
        struct message why = { "", "" };
        assert_int_equal(lp_guarded(k % 2 ? one_row : unpaired, NULL, &why), ST_IO);
        assert_non_null(strstr(why.text, k % 2 ? "nrs" : "row"));
        nothing_at_all(state); /* and the next call is as good as the first */
    }
}

/* A knapsack that is hard on purpose (even weights, odd capacity): time runs out, and says so. */
static void time_runs_out_with_the_known_plan_kept(void **state)
{
    enum { N = 60 };
    struct lp_bounds row[1] = { { 2.0 * N + 1, 2.0 * N + 1 } }, col[N + 1];
    struct lp_entry e[N + 1];
    double cost[N + 1], known[N + 1] = { 0 };
    bool whole[N + 1];
    struct lp_model model = { .n_rows = 1,
                              .n_cols = N + 1,
                              .n_entries = N + 1,
                              .rows = row,
                              .cols = col,
                              .cost = cost,
                              .whole = whole,
                              .entries = e,
                              .known = known,
                              .time_ms = 60 };
    struct lp_answer a;
    struct message why = { "", "" };
    struct arena mem;

    (void)state;
    for (size_t j = 0; j < N; j++) {
        e[j] = (struct lp_entry){ 0, j, 4.0 };
        cost[j] = 0.0;
        col[j] = (struct lp_bounds){ 0.0, 1.0 };
        whole[j] = true;
    }
    e[N] = (struct lp_entry){ 0, N, 1.0 }; /* what is missing, dear: one at least must stay missing */
    cost[N] = 1.0;
    col[N] = (struct lp_bounds){ 0.0, 2.0 * N + 1 };
    whole[N] = false;
    known[N] = 2.0 * N + 1;
    arena_open(&mem, 1 << 22);
    assert_int_equal(lp_solve(&model, &mem, &a, &why), ST_OK);
    assert_true(a.found == LP_FEASIBLE || a.found == LP_BEST);
    assert_non_null(a.x);
    assert_true(a.cost >= 1.0 - 1e-9 && a.cost <= 2.0 * N + 1);
    model.known = NULL;
    model.time_ms = 1;
    assert_int_equal(lp_solve(&model, &mem, &a, &why), ST_OK);
    assert_true(a.found == LP_FEASIBLE || a.found == LP_OUT_OF_TIME || a.found == LP_BEST);
    assert_true((a.x != NULL) == (a.found != LP_OUT_OF_TIME));
    arena_close(&mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_a_plain_simplex),
        cmocka_unit_test(whole_numbers_agree_with_counting),
        cmocka_unit_test(nothing_at_all),
        cmocka_unit_test(degenerate_models_end),
        cmocka_unit_test(mistakes_are_sentences),
        cmocka_unit_test(a_start_that_breaks_a_bound_is_refused),
        cmocka_unit_test(no_whole_number_between),
        cmocka_unit_test(faults_inside_the_solver_come_back),
        cmocka_unit_test(time_runs_out_with_the_known_plan_kept),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
