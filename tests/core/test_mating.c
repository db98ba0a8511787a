/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which boar to which sow: against counting through every plan in small cases, against GLPK in larger ones, and against
 * the plan of a captive programme's studbook (data set `dama` of purgeR 1.8.2) reckoned once outside this program.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <cmocka.h>

#include "core/base/lp.h"
#include "core/pedigree/mating.h"
#include "core/pedigree/pedigree.h"
#include "tests/prop.h"

enum { SOWS = 6, BOARS = 4, ROOM = 256 << 20 };

struct made { /* an ask and what it stands on */
    struct mating_ask ask;
    double cost[SOWS * BOARS];
    bool forbidden[SOWS * BOARS];
    uint32_t most[BOARS], least[BOARS], fixed[SOWS];
};

static void make(struct made *m, struct dice *p)
{
    const size_t ns = 1 + prop_bits(p) % SOWS, nb = 1 + prop_bits(p) % BOARS;
    const bool coarse = prop_bits(p) % 2; /* many ties */

    *m = (struct made){ .ask = { .n_sows = ns, .n_boars = nb, .limit = INFINITY } };
    for (size_t k = 0; k < ns * nb; k++) {
        m->cost[k] = coarse ? (double)(prop_bits(p) % 5) / 16.0 : prop_between(p, 0.0, 0.4);
        m->forbidden[k] = prop_bits(p) % 6 == 0;
    }
    for (size_t b = 0; b < nb; b++) {
        m->least[b] = prop_bits(p) % 4 == 0 ? (uint32_t)(prop_bits(p) % 3) : 0;
        m->most[b] = m->least[b] + (uint32_t)(prop_bits(p) % 4);
    }
    for (size_t s = 0; s < ns; s++)
        m->fixed[s] = prop_bits(p) % 8 == 0 ? (uint32_t)(prop_bits(p) % nb) : MATING_NONE;
    for (size_t s = 0; s < ns; s++)
        if (m->fixed[s] != MATING_NONE)
            m->forbidden[s * nb + m->fixed[s]] = false;
    m->ask.worst_first = prop_bits(p) % 3 == 0;
    if (prop_bits(p) % 3 == 0)
        m->ask.limit = 0.25;
    m->ask.cost = m->cost;
    m->ask.forbidden = m->forbidden;
    m->ask.most = m->most;
    m->ask.least = m->least;
    m->ask.fixed = m->fixed;
}

struct best { /* by counting through all */
    bool any;
    double sum, worst, least_worst;
    uint32_t boar[SOWS];
};

static bool may(const struct mating_ask *a, size_t s, uint32_t b)
{
    if (a->fixed && a->fixed[s] != MATING_NONE)
        return a->fixed[s] == b;
    return !(a->forbidden && a->forbidden[s * a->n_boars + b]) && a->cost[s * a->n_boars + b] <= a->limit;
}

/* Plans in the order of the sows' boars, so that the first of the best is the one that ties should give. */
static bool next_plan(const struct mating_ask *a, uint32_t boar[])
{
    for (size_t s = a->n_sows; s-- > 0;) {
        if (++boar[s] < a->n_boars)
            return true;
        boar[s] = 0;
    }
    return false;
}

static bool obeys(const struct mating_ask *a, const uint32_t boar[], double *sum, double *worst)
{
    uint32_t used[BOARS] = { 0 };

    *sum = *worst = 0.0;
    for (size_t s = 0; s < a->n_sows; s++) {
        if (!may(a, s, boar[s]))
            return false;
        used[boar[s]]++;
        *sum += a->cost[s * a->n_boars + boar[s]];
        *worst = fmax(*worst, a->cost[s * a->n_boars + boar[s]]);
    }
    for (size_t b = 0; b < a->n_boars; b++)
        if (used[b] > a->most[b] || used[b] < a->least[b])
            return false;
    return true;
}

static struct best count_through(const struct mating_ask *a)
{
    struct best best = { .least_worst = INFINITY };
    uint32_t boar[SOWS] = { 0 };
    double sum, worst;

    do
        if (obeys(a, boar, &sum, &worst))
            best.least_worst = fmin(best.least_worst, worst);
    while (next_plan(a, boar));
    do {
        if (!obeys(a, boar, &sum, &worst) || (a->worst_first && worst > best.least_worst))
            continue;
        if (!best.any || sum < best.sum - 1e-13) {
            best = (struct best){ .any = true, .sum = sum, .worst = worst, .least_worst = best.least_worst };
            for (size_t s = 0; s < a->n_sows; s++)
                best.boar[s] = boar[s];
        }
    } while (next_plan(a, boar));
    return best;
}

/* Of the boars who alone would do with as many more, he whose plan is cheapest, the earlier of equals. */
static void nobody_is_cheaper(struct made *r, const struct mating_plan *plan, int number)
{
    const uint32_t more = (uint32_t)plan->relax_needs - r->most[plan->relax_boar];
    double best = INFINITY;
    uint32_t who = MATING_NONE;

    r->ask.worst_first = false;
    for (uint32_t b = 0; b < r->ask.n_boars; b++) {
        r->most[b] += more;
        const struct best found = count_through(&r->ask);
        r->most[b] -= more;
        if (found.any && found.sum < best - 1e-12) {
            best = found.sum;
            who = b;
        }
    }
    if (who != plan->relax_boar)
        fail_msg("case %d: boar %u is to have %u more; boar %u would be cheaper", number, plan->relax_boar, more, who);
}

/* The relaxed ask, as the plan says it: one boar's number, the limit, a least. */
static void relaxed_works(const struct made *m, const struct mating_plan *plan, int number)
{
    struct made r = *m;

    r.ask.cost = r.cost;
    r.ask.forbidden = r.forbidden;
    r.ask.most = r.most;
    r.ask.least = r.least;
    r.ask.fixed = r.fixed;
    switch (plan->relax) {
    case MATING_FITS: return;
    case MATING_MORE: r.most[plan->relax_boar] = (uint32_t)plan->relax_needs; break;
    case MATING_LIMIT: r.ask.limit = plan->relax_limit; break;
    case MATING_FEWER: r.least[plan->relax_boar] = (uint32_t)plan->relax_needs; break;
    case MATING_NO_BOAR:
        for (size_t b = 0; b < r.ask.n_boars; b++) {
            if (!m->forbidden[plan->relax_sow * r.ask.n_boars + b])
                fail_msg("case %d: sow %u has boar %zu", number, plan->relax_sow, b);
            r.forbidden[plan->relax_sow * r.ask.n_boars + b] = false;
        }
        break;
    }
    if (count_through(&r.ask).any != plan->relax_alone)
        fail_msg("case %d: relaxation %d (boar %u, %g, limit %g) %s", number, (int)plan->relax, plan->relax_boar,
                 plan->relax_needs, plan->relax_limit, plan->relax_alone ? "does not work" : "would have been enough");
    if (plan->relax == MATING_MORE && plan->relax_alone) { /* one fewer would not do */
        r.most[plan->relax_boar]--;
        assert_false(count_through(&r.ask).any);
        r.most[plan->relax_boar] = m->most[plan->relax_boar];
        nobody_is_cheaper(&r, plan, number);
    }
}

static void plans_agree_with_counting_through_all(void **state)
{
    struct dice prop = prop_start();
    size_t fit = 0, relaxed[MATING_NO_BOAR + 1] = { 0 };

    (void)state;
    for (int c = 0; c < 6000; c++) {
        struct made m;
        struct arena mem;
        struct message why = { "", "" };
        struct mating_plan plan;
        make(&m, &prop);
        const struct best best = count_through(&m.ask);
        arena_open(&mem, ROOM);
        if (mating_find(&m.ask, &mem, &plan, &why) != ST_OK)
            fail_msg("case %d: %s", c, why.text);
        if (best.any != (plan.relax == MATING_FITS))
            fail_msg("case %d: %s, and the plan says %d", c, best.any ? "fits" : "does not fit", (int)plan.relax);
        for (size_t s = 0; s < m.ask.n_sows; s++)
            assert_true(plan.boar[s] < m.ask.n_boars);
        relaxed[plan.relax]++;
        if (best.any) {
            const double ns = (double)m.ask.n_sows;
            fit++;
            for (size_t s = 0; s < m.ask.n_sows; s++)
                if (plan.boar[s] != best.boar[s])
                    fail_msg("case %d: sow %zu: want boar %u, got %u (sums %.17g, %.17g)", c, s, best.boar[s],
                             plan.boar[s], best.sum, plan.mean * ns);
            assert_true(fabs(plan.mean * ns - best.sum) < 1e-12 && plan.worst == best.worst);
            if (plan.worst_possible != best.least_worst)
                fail_msg("case %d: worst possible %g, want %g", c, plan.worst_possible, best.least_worst);
            if (!m.ask.worst_first) {
                bool no_least = true;
                for (size_t b = 0; b < m.ask.n_boars; b++)
                    no_least = no_least && m.least[b] == 0;
                assert_true(plan.free_mean <= plan.mean + 1e-12);
                assert_true(!no_least || isnan(plan.listed_mean) || plan.mean <= plan.listed_mean + 1e-12);
            }
        } else
            relaxed_works(&m, &plan, c);
        arena_close(&mem);
    }
    print_message("6000 asks: %zu fit; more %zu, limit %zu, fewer %zu, no boar %zu\n", fit, relaxed[MATING_MORE],
                  relaxed[MATING_LIMIT], relaxed[MATING_FEWER], relaxed[MATING_NO_BOAR]);
    assert_true(fit > 1000 && relaxed[MATING_MORE] > 50 && relaxed[MATING_LIMIT] > 20 && relaxed[MATING_FEWER] > 20);
}

/* The transport problem's polygon has whole corners: the plain linear program is a witness. */
static double by_glpk(const struct mating_ask *a, struct arena *mem)
{
    const size_t n = a->n_sows * a->n_boars;
    struct lp_bounds *rows = ARENA_NEW(mem, struct lp_bounds, a->n_sows + a->n_boars),
                     *cols = ARENA_NEW(mem, struct lp_bounds, n);
    struct lp_entry *entries = ARENA_NEW(mem, struct lp_entry, 2 * n);
    struct lp_answer answer;
    struct message why = { "", "" };

    for (size_t s = 0; s < a->n_sows; s++)
        rows[s] = (struct lp_bounds){ 1.0, 1.0 };
    for (size_t b = 0; b < a->n_boars; b++)
        rows[a->n_sows + b] = (struct lp_bounds){ a->least ? a->least[b] : 0.0, a->most[b] };
    for (size_t k = 0; k < n; k++) {
        cols[k] = (struct lp_bounds){ 0.0, a->forbidden && a->forbidden[k] ? 0.0 : 1.0 };
        entries[2 * k] = (struct lp_entry){ k / a->n_boars, k, 1.0 };
        entries[2 * k + 1] = (struct lp_entry){ a->n_sows + k % a->n_boars, k, 1.0 };
    }
    const struct lp_model model = { .n_rows = a->n_sows + a->n_boars,
                                    .n_cols = n,
                                    .n_entries = 2 * n,
                                    .rows = rows,
                                    .cols = cols,
                                    .cost = a->cost,
                                    .entries = entries,
                                    .time_ms = 20000 };
    if (lp_solve(&model, mem, &answer, &why) != ST_OK)
        fail_msg("%s", why.text);
    assert_int_equal(answer.found, LP_BEST);
    return answer.cost;
}

static void larger_plans_cost_what_glpk_says(void **state)
{
    enum { MANY = 120, SOME = 12 };
    struct dice prop = prop_start();

    (void)state;
    for (int c = 0; c < 10; c++) {
        static double cost[MANY * SOME];
        static bool forbidden[MANY * SOME];
        uint32_t most[SOME], least[SOME];
        struct arena mem;
        struct message why = { "", "" };
        struct mating_plan plan, again;
        for (size_t k = 0; k < MANY * SOME; k++) {
            cost[k] = prop_between(&prop, 0.0, 0.3);
            forbidden[k] = prop_bits(&prop) % 5 == 0;
        }
        for (size_t b = 0; b < SOME; b++) {
            most[b] = 10 + (uint32_t)b;
            least[b] = b % 3 ? 0 : 9;
        }
        const struct mating_ask ask = { .n_sows = MANY,
                                        .n_boars = SOME,
                                        .cost = cost,
                                        .forbidden = forbidden,
                                        .most = most,
                                        .least = least,
                                        .limit = INFINITY };
        arena_open(&mem, ROOM);
        assert_int_equal(mating_find(&ask, &mem, &plan, &why), ST_OK);
        assert_int_equal(plan.relax, MATING_FITS);
        const double witness = by_glpk(&ask, &mem);
        if (!(fabs(plan.mean * MANY - witness) < 1e-9))
            fail_msg("case %d: ours %.12g, GLPK %.12g", c, plan.mean * MANY, witness);
        assert_int_equal(mating_find(&ask, &mem, &again, &why), ST_OK);
        assert_memory_equal(plan.boar, again.boar, MANY * sizeof *plan.boar);
        arena_close(&mem);
    }
}

/* ---- the studbook ---- */

static uint32_t animals(const struct pedigree *p, const struct pedigree_index *index, const char *const ids[], size_t n,
                        uint32_t list[])
{
    for (size_t k = 0; k < n; k++) {
        list[k] = pedigree_find(p, index, ids[k]);
        assert_true(list[k] > 0);
    }
    return (uint32_t)n;
}

static void gazelles_as_reckoned_elsewhere(void **state)
{
    static const char *const males[] = { "1171", "1226", "1271" }, *const females[] = { "1169", "1187", "1198", "1207",
                                                                                        "1216", "1236", "1263", "1277",
                                                                                        "1292", "1304" };
    static char bytes[1 << 16];
    const char *folder = getenv("LEENEST_OUTSIDE");
    char path[4096];
    struct arena mem;
    struct message why = { "", "" };
    struct pedigree p;
    struct pedigree_findings found;
    struct pedigree_index *index;
    const uint8_t *in_loop;
    uint32_t who[13];
    double cost[30], a[169], c[13], mk;
    bool male[13] = { true, true, true };
    const uint32_t most[] = { 4, 4, 4 };
    struct mating_plan plan;

    (void)state;
    (void)snprintf(path, sizeof path, "%s/gazelle_dama.csv", folder ? folder : "../shared/data");
    FILE *in = fopen(path, "rb");
    if (!in) {
        print_message("skipped: no %s\n", path);
        skip();
    }
    const size_t n = fread(bytes, 1, sizeof bytes, in);
    (void)fclose(in);
    arena_open(&mem, ROOM);
    assert_int_equal(pedigree_read(bytes, n, NULL, &mem, &p, &found, &in_loop, &why), ST_OK);
    assert_int_equal(pedigree_index_make(&p, &mem, &index, &why), ST_OK);
    double *f = ARENA_NEW(&mem, double, (size_t)p.n + 1), *d = ARENA_NEW(&mem, double, (size_t)p.n + 1);
    assert_int_equal(pedigree_inbreeding(&p, PEDIGREE_BEST, NULL, &mem, f, &why), ST_OK);
    pedigree_mendelian(&p, f, d);
    (void)animals(&p, index, males, 3, who);
    (void)animals(&p, index, females, 10, who + 3);
    assert_int_equal(pedigree_kinship(&p, d, 10, who + 3, 3, who, NULL, &mem, cost, &why), ST_OK);
    const struct mating_ask ask = { .n_sows = 10, .n_boars = 3, .cost = cost, .most = most, .limit = INFINITY };
    assert_int_equal(mating_find(&ask, &mem, &plan, &why), ST_OK);
    assert_true(fabs(plan.mean - 0.2755178459) < 1e-10);
    assert_true(fabs(plan.free_mean - 0.2749518164) < 1e-10);
    assert_true(fabs(plan.listed_mean - 0.2759980582) < 1e-10);
    assert_true(fabs(plan.worst_possible - 0.2942936346) < 1e-10);
    /* females equal, males free */
    assert_int_equal(pedigree_kinship(&p, d, 13, who, 13, who, NULL, &mem, a, &why), ST_OK);
    double equal = 0.0;
    for (size_t k = 0; k < 169; k++) {
        a[k] *= 2.0;
        equal += a[k] * (k / 13 < 3 ? 1.0 / 6.0 : 0.05) * (k % 13 < 3 ? 1.0 / 6.0 : 0.05);
    }
    const struct mating_shares_ask shares = { .n = 13, .a = a, .male = male, .females_equal = true };
    assert_int_equal(mating_shares(&shares, &mem, c, &mk, &why), ST_OK);
    assert_true(fabs(0.5 * equal - 0.3261652346) < 1e-10 && fabs(mk - 0.3261494560) < 1e-10);
    assert_true(fabs(c[0] - 0.172056) < 5e-7 && fabs(c[1] - 0.164429) < 5e-7 && fabs(c[2] - 0.163515) < 5e-7);
    arena_close(&mem);
}

/* ---- shares, rings, refusals ---- */

static void shares_are_the_least_there_is(void **state)
{
    struct dice prop = prop_start();
    size_t dropped = 0;

    (void)state;
    for (int c = 0; c < 300; c++) {
        enum { N = 7 };
        double b[N][N], a[N * N], x[N], mk, sum[2] = { 0.0, 0.0 };
        bool male[N];
        struct arena mem;
        struct message why = { "", "" };
        for (size_t i = 0; i < N; i++)
            for (size_t j = 0; j < N; j++)
                b[i][j] = prop_between(&prop, 0.0, 1.0);
        for (size_t i = 0; i < N; i++)
            for (size_t j = 0; j < N; j++) { /* B B' and a ridge: any matrix that A could be, and worse */
                a[i * N + j] = i == j ? 0.2 : 0.0;
                for (size_t k = 0; k < N; k++)
                    a[i * N + j] += b[i][k] * b[j][k] / N;
            }
        for (size_t i = 0; i < N; i++)
            male[i] = i < 3;
        arena_open(&mem, ROOM);
        const struct mating_shares_ask ask = { .n = N, .a = a, .male = male };
        assert_int_equal(mating_shares(&ask, &mem, x, &mk, &why), ST_OK);
        for (size_t i = 0; i < N; i++) {
            assert_true(x[i] >= 0.0);
            sum[male[i]] += x[i];
            dropped += x[i] == 0.0;
        }
        assert_true(fabs(sum[0] - 0.5) < 1e-12 && fabs(sum[1] - 0.5) < 1e-12);
        for (int t = 0; t < 200; t++) { /* no move of share within a sex is better */
            const size_t i = prop_bits(&prop) % N, j = prop_bits(&prop) % N;
            double y[N], other = 0.0, by = prop_between(&prop, 0.0, 1.0) * x[j];
            if (male[i] != male[j])
                continue;
            for (size_t k = 0; k < N; k++)
                y[k] = x[k];
            y[i] += by;
            y[j] -= by;
            for (size_t k = 0; k < N * N; k++)
                other += 0.5 * a[k] * y[k / N] * y[k % N];
            if (!(other >= mk - 1e-12))
                fail_msg("case %d: %.15g is better than %.15g", c, other, mk);
        }
        arena_close(&mem);
    }
    assert_true(dropped > 50);
}

static void ring_and_refusals(void **state)
{
    const uint32_t line[] = { 0, 2, MATING_NONE, 1 }, most[] = { 1, 1 }, least[] = { 2, 0 };
    const double cost[] = { 0.1, 0.2, 0.3, NAN }, good[] = { 0.1, 0.2, 0.3, 0.4 };
    uint32_t boar[4];
    struct arena mem;
    struct message why = { "", "" };
    struct mating_plan plan;

    (void)state;
    arena_open(&mem, ROOM);
    assert_int_equal(mating_circle(4, line, 3, boar, &why), ST_OK);
    assert_true(boar[0] == 1 && boar[1] == 0 && boar[2] == MATING_NONE && boar[3] == 2);
    assert_int_equal(mating_circle(4, line, 2, boar, &why), ST_BAD_INPUT);
    struct mating_ask ask = { .n_sows = 2, .n_boars = 2, .cost = cost, .most = most, .limit = INFINITY };
    assert_int_equal(mating_find(&ask, &mem, &plan, &why), ST_BAD_INPUT);
    ask.cost = good;
    ask.least = least;
    assert_int_equal(mating_find(&ask, &mem, &plan, &why), ST_BAD_INPUT);
    ask.least = NULL;
    ask.n_sows = 0;
    assert_int_equal(mating_find(&ask, &mem, &plan, &why), ST_BAD_INPUT);
    arena_close(&mem);
    arena_open(&mem, 64);
    ask.n_sows = 2;
    assert_int_equal(mating_find(&ask, &mem, &plan, &why), ST_NO_MEMORY);
    arena_close(&mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plans_agree_with_counting_through_all),
        cmocka_unit_test(larger_plans_cost_what_glpk_says),
        cmocka_unit_test(gazelles_as_reckoned_elsewhere),
        cmocka_unit_test(shares_are_the_least_there_is),
        cmocka_unit_test(ring_and_refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
