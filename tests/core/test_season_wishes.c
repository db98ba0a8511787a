/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which asking to give up. The witness counts through every case of a farm so small that it can be: each sow farrows on
 * one of two days or not at all, every litter is of seven, and a plain seller written anew here serves the askings.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "core/season/plan.h"

enum { DAYS = 200, SOWS = 3, ASKED = 3, EARLY = 30, LATE = 60, READY = 56, LITTER = 7, WINTERS = 40000 };
static size_t checks;

struct farm {
    struct plan plan;
    struct plan_sow sow[SOWS];
    struct plan_asked asked[ASKED];
    double born[SOWS][DAYS];
};

static void small_farm(struct farm *f)
{
    static const double early[SOWS] = { 0.5, 0.3, 0.2 }, late[SOWS] = { 0.3, 0.5, 0.6 };

    memset(f, 0, sizeof *f);
    f->plan = plan_default();
    f->plan.n_days = DAYS;
    f->plan.sows = f->sow;
    f->plan.n_sows = SOWS;
    f->plan.huts = SOWS;
    f->plan.boar_fails = 0.0;
    f->plan.asked = f->asked;
    f->plan.n_asked = ASKED;
    f->plan.keep_cost = 0.5;
    f->plan.late_price = 30.0;
    f->asked[0] = (struct plan_asked){ 86, 100, 7.0, 90.0 };
    f->asked[1] = (struct plan_asked){ 101, 118, 4.0, 70.0 };
    f->asked[2] = (struct plan_asked){ 119, 130, 10.0, 120.0 };
    for (size_t s = 0; s < SOWS; s++) {
        f->sow[s] = (struct plan_sow){ .born = f->born[s], .litter = LITTER, .litter_sd = 0.0 };
        f->born[s][EARLY] = early[s];
        f->born[s][LATE] = late[s];
    }
}

/* Pigs left of each kind, early and late, are served to the askings in turn; asking `out` is not there. */
struct sold {
    double worth, pigs;
    bool met[ASKED];
};
static struct sold sell(const struct farm *f, double early, double late, size_t out)
{
    double left[2] = { early * LITTER, late * LITTER };
    const int ready[2] = { EARLY + READY, LATE + READY };
    struct sold x = { 0.0, 0.0, { false } };

    for (size_t a = 0; a < ASKED; a++) {
        double open = f->asked[a].pigs;
        for (int k = 0; k < 2 && a != out; k++) {
            const double wait = fmax(0.0, f->asked[a].from - ready[k]);
            if (ready[k] > f->asked[a].to || wait > f->plan.wait_most_d)
                continue;
            const double go = fmin(open, left[k]);
            left[k] -= go;
            open -= go;
            x.worth += go * (f->asked[a].price - wait * f->plan.keep_cost);
            x.pigs += go;
        }
        x.met[a] = open <= 0.0;
    }
    x.worth += (left[0] + left[1]) * f->plan.late_price;
    return x;
}

struct truth {
    double all, met[ASKED], before[ASKED], after[ASKED], worth[ASKED], pigs[ASKED];
};
static struct truth count_through(const struct farm *f)
{
    struct truth t = { 0.0, { 0.0 }, { 0.0 }, { 0.0 }, { 0.0 }, { 0.0 } };

    for (int c = 0; c < 27; c++) {
        double chance = 1.0, early = 0.0, late = 0.0;
        for (int s = 0, rest = c; s < SOWS; s++, rest /= 3) {
            const double e = f->born[s][EARLY], l = f->born[s][LATE];
            chance *= rest % 3 == 0 ? e : rest % 3 == 1 ? l : 1.0 - e - l;
            early += rest % 3 == 0;
            late += rest % 3 == 1;
        }
        const struct sold kept = sell(f, early, late, ASKED);
        t.all += kept.met[0] && kept.met[1] && kept.met[2] ? chance : 0.0;
        for (size_t a = 0; a < ASKED; a++) {
            const struct sold given = sell(f, early, late, a);
            const size_t b = (a + 1) % ASKED, d = (a + 2) % ASKED;
            t.met[a] += kept.met[a] ? chance : 0.0;
            t.before[a] += kept.met[b] && kept.met[d] ? chance : 0.0;
            t.after[a] += given.met[b] && given.met[d] ? chance : 0.0;
            t.worth[a] += chance * (given.worth - kept.worth);
            t.pigs[a] += chance * (given.pigs - kept.pigs);
        }
    }
    return t;
}

static void near(const char *what, double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.4f, got %.4f, allowed %.4f", what, want, got, off);
    checks++;
}

/* Four standard errors, of a share or as the plan says. */
static double four(double p)
{
    return 4.0 * sqrt(p * (1.0 - p) / WINTERS) + 1e-9;
}

static struct plan_wishes wishes_of(const struct farm *f, struct arena *mem)
{
    struct message why = { "", "" };
    struct plan_wishes w;

    memset(&w, 0, sizeof w);
    if (plan_wishes(&f->plan, WINTERS, 7, mem, &w, &why) != ST_OK)
        fail_msg("%s", why.text);
    return w;
}

static void as_counted_through(void **state)
{
    struct arena mem;
    struct farm f;

    (void)state;
    arena_open(&mem, 32u << 20);
    small_farm(&f);
    const struct truth t = count_through(&f);
    const struct plan_wishes w = wishes_of(&f, &mem);
    size_t best = ASKED;
    near("all", w.all_p, t.all, four(t.all));
    for (size_t a = 0; a < ASKED; a++) {
        const struct plan_wish *x = &w.wish[a];
        near("met", x->met_p, t.met[a], four(t.met[a]));
        near("before", x->rest_before_p, t.before[a], four(t.before[a]));
        near("after", x->rest_after_p, t.after[a], four(t.after[a]));
        near("gain", x->gain.mean, t.after[a] - t.before[a], 4.0 * x->gain.se + 1e-9);
        near("worth", x->worth.mean, t.worth[a], 4.0 * x->worth.se + 1e-9);
        near("pigs", x->pigs.mean, t.pigs[a], 4.0 * x->pigs.se + 1e-9);
        if (t.after[a] - t.before[a] > 0.02 && (best == ASKED || t.worth[a] > t.worth[best]))
            best = a;
    }
    assert_true(best < ASKED); /* the case is not an empty one */
    assert_int_equal(w.give_up, best);
    /* the last asking comes after the others and cannot help them: it is sold to last */
    near("last", w.wish[2].gain.mean, 0.0, 0.0);
    checks += 2;
    arena_close(&mem);
}

/* With twice the sows' luck and nearly nothing asked for nobody has to give way; with one asking there is no rest. */
static void nothing_to_give_up(void **state)
{
    struct arena mem;
    struct farm f;

    (void)state;
    arena_open(&mem, 32u << 20);
    small_farm(&f);
    for (size_t s = 0; s < SOWS; s++) {
        f.born[s][EARLY] = s == 0 ? 1.0 : 0.0;
        f.born[s][LATE] = s == 0 ? 0.0 : 1.0;
    }
    f.asked[0].pigs = 3.0;
    struct plan_wishes w = wishes_of(&f, &mem);
    near("all", w.all_p, 1.0, 0.0);
    assert_int_equal(w.give_up, ASKED);
    small_farm(&f);
    f.plan.n_asked = 1;
    w = wishes_of(&f, &mem);
    near("rest", w.wish[0].rest_before_p, 1.0, 0.0);
    assert_int_equal(w.give_up, 1);
    checks += 2;
    arena_close(&mem);
}

static int closing(void **state)
{
    (void)state;
    printf("season_wishes: %zu checks\n", checks);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(as_counted_through), cmocka_unit_test(nothing_to_give_up) };
    return cmocka_run_group_tests_name("season wishes", tests, NULL, closing);
}
