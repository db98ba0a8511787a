/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Night rounds and looks, against witnesses that try every set of visits, and every plan after every answer.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <cmocka.h>

#include "core/watch/watch.h"
#include "tests/prop.h"

enum { HOURS = 12, SOWS = 4 };

static size_t pick_of(struct dice *d, size_t n)
{
    return (size_t)(prop_bits(d) % n);
}

/* The mean over a litter, piglet by piglet: 20 000 of them born evenly through three hours. */
static double counted(double minutes)
{
    double sum = 0.0;
    for (int i = 0; i < 20000; i++) {
        const double age = minutes - 180.0 * (i + 0.5) / 20000.0;
        sum += age <= 10.0 ? 1.0 : exp(-(age - 10.0) / 40.0);
    }
    return sum / 20000.0;
}

static void what_a_visit_still_meets(void **state)
{
    double before = 1.0;

    (void)state;
    assert_true(watch_saved(0.0) == 1.0);
    for (double m = 0.0; m < 600.0; m += 7.3) {
        const double x = watch_saved(m);
        if (!(fabs(x - counted(m)) < 1e-4 && x <= before + 1e-12 && x >= 0.0))
            fail_msg("%g minutes: %g, counted %g", m, x, counted(m));
        before = x;
    }
    assert_true(isnan(watch_saved(-1.0)) && isnan(watch_saved(NAN)));
}

struct night {
    struct watch_rounds_ask ask;
    double risk[SOWS][HOURS];
    const double *rows[SOWS];
};

static void some_night(struct dice *d, struct night *n)
{
    *n = (struct night){ .ask = { .n_hours = HOURS,
                                  .n_sows = 1 + pick_of(d, SOWS),
                                  .risk = n->rows,
                                  .from_h = (double)pick_of(d, 3),
                                  .slot_minutes = 60,
                                  .most = 1 + (unsigned)pick_of(d, 5),
                                  .enough = prop_between(d, 0.0, 0.6),
                                  .enough_chance = 0.0 } };
    n->ask.until_h = 7.0 + (double)pick_of(d, 6);
    for (size_t s = 0; s < SOWS; s++) {
        n->rows[s] = n->risk[s];
        for (size_t h = 0; h < HOURS; h++)
            n->risk[s][h] = pick_of(d, 3) ? 0.0 : prop_between(d, 0.0, 0.15);
    }
}

/* What a set of visits (bits: whole hours) leaves of births before the end. */
static double left_by(const struct watch_rounds_ask *a, unsigned visits)
{
    double sum = 0.0;
    for (size_t s = 0; s < a->n_sows; s++)
        for (size_t h = 0; (double)h < a->until_h; h++) {
            double met = 0.0;
            for (size_t v = h + 1; v <= HOURS && met == 0.0; v++)
                if (visits & (1u << v))
                    met = watch_saved(60.0 * ((double)v - (double)h - 0.5));
            sum += a->risk[s][h] * (1.0 - met);
        }
    return sum;
}

static unsigned count_bits(unsigned x)
{
    unsigned n = 0;
    for (; x; x &= x - 1)
        n++;
    return n;
}

static void the_fewest_visits_that_cover(void **state)
{
    struct dice d = prop_start();
    int more_than_one = 0;

    (void)state;
    for (int k = 0; k < 400; k++) {
        struct night n;
        struct arena mem;
        struct watch_rounds r;
        struct message why = { "", "" };
        double best[6];
        some_night(&d, &n);
        for (unsigned i = 0; i <= n.ask.most; i++)
            best[i] = HUGE_VAL;
        for (unsigned set = 0; set < 1u << (HOURS + 1); set++) {
            bool inside = true;
            for (unsigned v = 0; v <= HOURS; v++)
                inside = inside && (!(set & (1u << v)) || ((double)v >= n.ask.from_h && (double)v <= n.ask.until_h));
            for (unsigned i = count_bits(set); inside && i <= n.ask.most; i++)
                best[i] = fmin(best[i], left_by(&n.ask, set));
        }
        arena_open(&mem, 8 << 20);
        if (watch_rounds(&n.ask, &mem, &r, &why) != ST_OK)
            fail_msg("case %d: %s", k, why.text);
        unsigned set = 0;
        double met = 0.0;
        for (size_t i = 0; i < r.n_visits; i++) {
            set |= 1u << (unsigned)r.visits[i].at_h;
            met += r.visits[i].meets;
            assert_true(r.visits[i].n_sows >= 1 && (i == 0 || r.visits[i].at_h > r.visits[i - 1].at_h));
        }
        for (unsigned i = 0; i <= n.ask.most; i++) {
            if (!(fabs(r.uncovered[i] - best[i]) < 1e-9))
                fail_msg("case %d: %u visits leave %g, the witness finds %g", k, i, r.uncovered[i], best[i]);
            assert_true(i == 0 || r.uncovered[i] <= r.uncovered[i - 1]);
        }
        assert_true(fabs(left_by(&n.ask, set) - r.uncovered[r.n_visits]) < 1e-9);
        assert_true(fabs(met + r.uncovered[r.n_visits] - r.uncovered[0]) < 1e-9);
        assert_true(r.enough == (r.uncovered[r.n_visits] <= n.ask.enough * r.uncovered[0] + 1e-12));
        assert_true(!r.enough || r.n_visits == 0 || r.uncovered[r.n_visits - 1] > n.ask.enough * r.uncovered[0]);
        double longest = 0.0, from = n.ask.from_h;
        for (size_t i = 0; i <= r.n_visits; i++) {
            const double to = i < r.n_visits ? r.visits[i].at_h : n.ask.until_h;
            longest = fmax(longest, to - from);
            from = to;
        }
        assert_true(fabs(longest - (r.sleep_to_h - r.sleep_from_h)) < 1e-12);
        more_than_one += r.n_visits > 1;
        arena_close(&mem);
    }
    assert_true(more_than_one > 50);
}

static void a_quiet_night_needs_no_visit(void **state)
{
    struct night n;
    struct arena mem;
    struct watch_rounds r;
    struct message why = { "", "" };
    struct dice d = prop_start();

    (void)state;
    some_night(&d, &n);
    for (size_t s = 0; s < SOWS; s++)
        for (size_t h = 0; h < HOURS; h++)
            n.risk[s][h] = 0.0;
    arena_open(&mem, 1 << 20);
    assert_int_equal(watch_rounds(&n.ask, &mem, &r, &why), ST_OK);
    assert_true(r.n_visits == 0 && r.enough && r.sleep_from_h == n.ask.from_h && r.sleep_to_h == n.ask.until_h);
    n.ask.slot_minutes = 17;
    assert_int_equal(watch_rounds(&n.ask, &mem, &r, &why), ST_BAD_INPUT);
    n.ask.slot_minutes = 30;
    n.ask.until_h = 99.0;
    assert_int_equal(watch_rounds(&n.ask, &mem, &r, &why), ST_BAD_INPUT);
    n.ask.until_h = NAN;
    assert_int_equal(watch_rounds(&n.ask, &mem, &r, &why), ST_BAD_INPUT);
    n.ask.until_h = 9.0;
    n.risk[0][2] = -0.5;
    assert_int_equal(watch_rounds(&n.ask, &mem, &r, &why), ST_BAD_INPUT);
    n.risk[0][2] = 0.5;
    n.ask.most = 0;
    assert_int_equal(watch_rounds(&n.ask, &mem, &r, &why), ST_BAD_INPUT);
    arena_close(&mem);
}

/* ---- looks: two sows, two places, no side limits; every plan after every answer is tried ---- */

enum { OPEN, HUT, BED, HUT_BETTER, BED_BETTER, N_OPTIONS };

struct farm {
    struct watch_night n;
    struct watch_sow sows[2];
    struct watch_site sites[3];
    struct watch_option options[N_OPTIONS];
    struct watch_moments moment;
    struct watch_cell cells[N_OPTIONS][HOURS];
    double birth[2][HOURS], yes[HOURS], no[HOURS];
};

static void some_farm(struct dice *d, struct farm *f)
{
    static const char *const key[] = { "a", "b", "c", "d", "e" };
    static const size_t site[] = { 2, 0, 1, 0, 1 };

    memset(f, 0, sizeof *f);
    f->n = (struct watch_night){ .n_hours = HOURS,
                                 .n_members = 1,
                                 .n_sows = 2,
                                 .n_sites = 3,
                                 .n_options = N_OPTIONS,
                                 .sows = f->sows,
                                 .sites = f->sites,
                                 .options = f->options,
                                 .moments = &f->moment,
                                 .limits = { .people = 2 } };
    f->moment = (struct watch_moments){ NAN, NAN, NAN, NAN, NAN, NAN, NAN };
    for (size_t j = 0; j < 3; j++)
        f->sites[j] = (struct watch_site){ .key = key[j], .room = j == 2 ? 9 : 1 };
    for (size_t o = 0; o < N_OPTIONS; o++) {
        f->options[o] =
            (struct watch_option){ .key = key[o], .site = site[o], .takes = WATCH_NONE, .cells = f->cells[o] };
        if (o >= HUT_BETTER) {
            f->options[o].change = WATCH_FLAP;
            f->options[o].minutes = 60.0 + 60.0 * (double)pick_of(d, 4);
            f->options[o].people = 1 + (unsigned)pick_of(d, 2);
        }
        for (size_t h = 0; h < HOURS; h++)
            f->cells[o][h] =
                (struct watch_cell){ .grade = 2,
                                     .runt_grade = 2,
                                     .shortfall_c =
                                         o == OPEN ? 6.0f : (float)prop_between(d, 0.0, o >= HUT_BETTER ? 2.0 : 6.0),
                                     .runt_shortfall_c = 1.0f };
    }
    for (size_t s = 0; s < 2; s++) {
        f->sows[s] = (struct watch_sow){
            .key = key[s], .birth = f->birth[s], .p_use = 0.9, .near = true, .lies = OPEN, .nests_at = WATCH_NONE
        };
        for (size_t h = 0; h < HOURS; h++)
            f->birth[s][h] = prop_between(d, 0.0, pick_of(d, 2) ? 0.07 : 0.005);
    }
}

static double need_at(const struct farm *f, size_t o, size_t h)
{
    return 0.85 * fmax((double)f->cells[o][h].shortfall_c, 1.0) + 0.15;
}

static double cost_for(const struct farm *f, size_t s, const double *birth, size_t option, bool kept, double at_h)
{
    const struct watch_option *o = option == WATCH_NONE ? NULL : &f->options[option];
    double sum = o ? watch_usual_weights.minute_c * o->minutes * o->people : 0.0;

    for (size_t h = 0; h < HOURS; h++) {
        const double ready = o ? fmax(floor(o->minutes / 60.0), kept || o->minutes == 0.0 ? 0.0 : ceil(at_h)) : 0.0;
        const double p = o && (double)h >= ready ? f->sows[s].p_use : 0.0;
        sum += birth[h] * ((1.0 - p) * need_at(f, OPEN, h) + (p > 0.0 ? p * need_at(f, option, h) : 0.0));
    }
    return sum;
}

static double best_after(const struct farm *f, const struct watch_plan *plan, const double *birth0, double at_h)
{
    static const size_t choice[] = { WATCH_NONE, HUT, BED, HUT_BETTER, BED_BETTER };
    double best = HUGE_VAL;

    for (size_t i = 0; i < 5; i++)
        for (size_t k = 0; k < 5; k++) {
            const size_t a = choice[i], b = choice[k];
            if (a != WATCH_NONE && b != WATCH_NONE && f->options[a].site == f->options[b].site)
                continue;
            best = fmin(best, cost_for(f, 0, birth0, a, a == plan->chosen[0], at_h) +
                                  cost_for(f, 1, f->birth[1], b, b == plan->chosen[1], at_h));
        }
    return best;
}

static double as_planned(const struct farm *f, const struct watch_plan *plan, const double *birth0)
{
    return cost_for(f, 0, birth0, plan->chosen[0], true, 0.0) + cost_for(f, 1, f->birth[1], plan->chosen[1], true, 0.0);
}

/* An answer moves her hours about: chance p of `yes`, and the two average to what is believed now. */
static void some_answers(struct dice *d, struct farm *f, double p)
{
    for (size_t h = 0; h < HOURS; h++) {
        f->yes[h] = f->birth[0][h] * (h < 6 ? prop_between(d, 1.0, 1.0 / p) : prop_between(d, 0.0, 1.0));
        f->no[h] = (f->birth[0][h] - p * f->yes[h]) / (1.0 - p);
    }
}

static void a_look_is_worth_what_it_changes(void **state)
{
    static struct farm f;
    struct dice d = prop_start();
    int worth_something = 0;

    (void)state;
    for (int k = 0; k < 3000; k++) {
        struct arena mem;
        struct watch_plan plan;
        struct watch_look_worth *w = NULL;
        struct message why = { "", "" };
        const double p = prop_between(&d, 0.1, 0.9);
        size_t n = 99;
        some_farm(&d, &f);
        some_answers(&d, &f, p);
        arena_open(&mem, 8 << 20);
        assert_int_equal(watch_plan(&f.n, &watch_usual_weights, &mem, &plan, &why), ST_OK);
        const double at_h = (double)pick_of(&d, 5) / 2.0;
        const struct watch_look looks[2] = { { 0, "nest", at_h, p, f.yes, f.no },
                                             { 0, "milk", at_h, p, f.birth[0], f.birth[0] } };
        if (watch_looks(&f.n, &watch_usual_weights, &plan, 2, looks, 2, &mem, &w, &n, &why) != ST_OK)
            fail_msg("case %d: %s", k, why.text);
        const double want = p * (as_planned(&f, &plan, f.yes) - best_after(&f, &plan, f.yes, at_h)) +
                            (1.0 - p) * (as_planned(&f, &plan, f.no) - best_after(&f, &plan, f.no, at_h));
        assert_true(n <= 1); /* a look that tells nothing is worth nothing */
        const double got = n ? w[0].worth_c : 0.0;
        if (!(fabs(got - want) < 1e-6) || (n && w[0].look != 0))
            fail_msg("case %d: worth %g, the witness finds %g", k, got, want);
        worth_something += n > 0;
        arena_close(&mem);
    }
    assert_true(worth_something > 300);
}

static void the_best_looks_come_first(void **state)
{
    static struct farm f;
    static double yes[40][HOURS], no[40][HOURS];
    struct dice d = prop_start();

    (void)state;
    for (int k = 0; k < 200; k++) {
        struct arena mem;
        struct watch_plan plan;
        struct watch_look_worth *few = NULL, *all = NULL;
        struct watch_look looks[40];
        struct message why = { "", "" };
        size_t n_few = 0, n_all = 0;
        some_farm(&d, &f);
        f.n.limits = (struct watch_limits){ .people = 2, .bales = 1 }; /* scarce: both better ones want the same bale */
        f.options[HUT_BETTER].bales = f.options[BED_BETTER].bales = 1;
        arena_open(&mem, 32 << 20);
        assert_int_equal(watch_plan(&f.n, &watch_usual_weights, &mem, &plan, &why), ST_OK);
        for (size_t i = 0; i < 40; i++) {
            const double p = prop_between(&d, 0.1, 0.9);
            some_answers(&d, &f, p);
            memcpy(yes[i], f.yes, sizeof f.yes);
            memcpy(no[i], f.no, sizeof f.no);
            looks[i] = (struct watch_look){ 0, "nest", 0.0, p, yes[i], no[i] };
        }
        assert_int_equal(watch_looks(&f.n, &watch_usual_weights, &plan, 40, looks, 3, &mem, &few, &n_few, &why), ST_OK);
        assert_int_equal(watch_looks(&f.n, &watch_usual_weights, &plan, 40, looks, 40, &mem, &all, &n_all, &why),
                         ST_OK);
        assert_true(n_few == (n_all < 3 ? n_all : 3));
        for (size_t i = 0; i < n_few; i++)
            assert_true(few[i].look == all[i].look && few[i].worth_c == all[i].worth_c);
        for (size_t i = 1; i < n_all; i++)
            assert_true(all[i].worth_c <= all[i - 1].worth_c && all[i].worth_c > 0.0);
        arena_close(&mem);
    }
}

static void a_look_at_a_sow_that_is_not_near(void **state)
{
    static struct farm f;
    struct dice d = prop_start();
    int worth_something = 0;

    (void)state;
    for (int k = 0; k < 500; k++) {
        struct arena mem;
        struct watch_plan plan;
        struct watch_look_worth *w = NULL;
        struct message why = { "", "" };
        size_t n = 0;
        some_farm(&d, &f);
        f.sows[0].near = false;
        some_answers(&d, &f, 0.3);
        arena_open(&mem, 8 << 20);
        assert_int_equal(watch_plan(&f.n, &watch_usual_weights, &mem, &plan, &why), ST_OK);
        const struct watch_look looks[2] = { { 0, "nest", 0.0, 0.3, f.yes, f.no },
                                             { 0, "milk", 0.0, 0.3, f.birth[0], f.birth[0] } };
        assert_int_equal(watch_looks(&f.n, &watch_usual_weights, &plan, 2, looks, 2, &mem, &w, &n, &why), ST_OK);
        assert_true(n == 0 || (n == 1 && w[0].look == 0));
        worth_something += n > 0;
        arena_close(&mem);
    }
    assert_true(worth_something > 20);
}

static void wrong_looks_are_sentences(void **state)
{
    static struct farm f;
    struct dice d = prop_start();
    struct arena mem;
    struct watch_plan plan;
    struct watch_look_worth *w = NULL;
    struct message why = { "", "" };
    size_t n = 0;

    (void)state;
    some_farm(&d, &f);
    some_answers(&d, &f, 0.5);
    arena_open(&mem, 8 << 20);
    assert_int_equal(watch_plan(&f.n, &watch_usual_weights, &mem, &plan, &why), ST_OK);
    const struct watch_look wrong[] = { { 2, "nest", 0.0, 0.5, f.yes, f.no },
                                        { 0, "nest", -1.0, 0.5, f.yes, f.no },
                                        { 0, "nest", 0.0, NAN, f.yes, f.no } };
    for (size_t i = 0; i < COUNT(wrong); i++)
        assert_int_equal(watch_looks(&f.n, &watch_usual_weights, &plan, 1, &wrong[i], 1, &mem, &w, &n, &why),
                         ST_BAD_INPUT);
    assert_int_equal(watch_looks(&f.n, &watch_usual_weights, &plan, 0, NULL, 1, &mem, &w, &n, &why), ST_OK);
    assert_int_equal(n, 0);
    arena_close(&mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_visit_still_meets),     cmocka_unit_test(the_fewest_visits_that_cover),
        cmocka_unit_test(a_quiet_night_needs_no_visit), cmocka_unit_test(a_look_is_worth_what_it_changes),
        cmocka_unit_test(the_best_looks_come_first),    cmocka_unit_test(a_look_at_a_sow_that_is_not_near),
        cmocka_unit_test(wrong_looks_are_sentences),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
