/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What must hold for every sow, and the distributions, a fine integration and a simulation by GSL as witnesses.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "tests/core/breeding_case.h"

static void must(enum status st, const struct message *why, int i)
{
    if (st != ST_OK)
        fail_msg("case %d: %s: %s", i, why->field, why->text);
}

static void sound(const struct breeding_density *d, const char *what, int i)
{
    for (size_t k = 0; k < d->n; k++)
        if (!(d->up_to[k + 1] >= d->up_to[k]))
            fail_msg("case %d, %s: mass falls at cell %zu", i, what, k);
    if (!(fabs((d->n ? d->up_to[d->n] : 0.0) + d->open - 1.0) < 1e-9) || !(d->open >= 0.0))
        fail_msg("case %d, %s: mass %.12g and open %.12g", i, what, d->n ? d->up_to[d->n] : 0.0, d->open);
}

static void densities_and_open_mass_sum_to_one(void **state)
{
    struct dice p = prop_start();
    struct sow_case c;

    (void)state;
    for (int i = 0; i < 1500; i++) {
        struct message why = { "", "" };
        case_fill(&c, &p);
        must(case_reckon(&c, (enum breeding_from)(i % 3), &why), &why, i);
        sound(&c.prior.density, "prior", i);
        sound(&c.post.density, "posterior", i);
        if (c.post.known && i % 3 == 0 && !(c.post.already == 0.0))
            fail_msg("case %d: seen now, yet %g has gone by", i, c.post.already);
        const double p6 = breeding_within(&c.post, 6.0), p24 = breeding_within(&c.post, 24.0);
        if (!(p6 >= 0.0 && p6 <= p24 && p24 <= 1.0))
            fail_msg("case %d: P6 %g, P24 %g", i, p6, p24);
        if (c.post.density.n && breeding_quantile(&c.post.density, .25) > breeding_quantile(&c.post.density, .75))
            fail_msg("case %d: quantiles out of order", i);
        case_close(&c);
    }
}

static void shuffle(struct dice *p, void *list, size_t n, size_t size)
{
    unsigned char *bytes = list, spare[128];

    for (size_t i = n; i > 1; i--) {
        const size_t k = case_below(p, i);
        memcpy(spare, bytes + (i - 1) * size, size);
        memcpy(bytes + (i - 1) * size, bytes + k * size, size);
        memcpy(bytes + k * size, spare, size);
    }
}

static void order_of_listing_never_matters(void **state)
{
    struct dice p = prop_start();
    struct sow_case a, b;

    (void)state;
    for (int i = 0; i < 600; i++) {
        struct message why = { "", "" };
        case_fill(&a, &p);
        b = a;
        arena_open(&b.mem, (size_t)256 << 20);
        case_wire(&b);
        shuffle(&p, b.services, b.e.n_services, sizeof b.services[0]);
        shuffle(&p, b.runs, b.e.n_runs, sizeof b.runs[0]);
        shuffle(&p, b.scans, b.e.n_scans, sizeof b.scans[0]);
        shuffle(&p, b.heats, b.e.n_heats, sizeof b.heats[0]);
        shuffle(&p, b.looks, b.e.n_looks, sizeof b.looks[0]);
        must(case_reckon(&a, BREEDING_SEEN_NOW, &why), &why, i);
        must(case_reckon(&b, BREEDING_SEEN_NOW, &why), &why, i);
        assert_int_equal(a.post.density.n, b.post.density.n);
        for (double h = 3.0; h < 200.0; h *= 2.0)
            if (!(fabs(breeding_within(&a.post, h) - breeding_within(&b.post, h)) < 1e-12))
                fail_msg("case %d: P%g %.15g against %.15g", i, h, breeding_within(&a.post, h),
                         breeding_within(&b.post, h));
        assert_int_equal(a.post.notes.cautions, b.post.notes.cautions);
        assert_int_equal(a.post.notes.assumed, b.post.notes.assumed);
        assert_int_equal(a.post.strongest, b.post.strongest);
        case_close(&a);
        case_close(&b);
    }
}

static bool looked_for(const struct sow_case *c, enum breeding_sign s)
{
    for (size_t i = 0; i < c->e.n_looks; i++)
        if (c->looks[i].sign == s)
            return true;
    return false;
}

/* One more sign, not looked for before. Seen: P12 never falls. Looked for and absent: P12 never rises. */
static void one_more_sign(bool present, int cases)
{
    struct dice p = prop_start();
    struct sow_case c;
    int tried = 0, moved = 0;

    for (int i = 0; i < cases; i++) {
        struct message why = { "", "" };
        case_fill(&c, &p);
        struct breeding_look extra = case_look(&p, c.at_utc_s);
        extra.present = present;
        extra.flags &= ~(unsigned)(BL_HOT | BL_NEST_FINISHED); /* a look that is left out moves nothing */
        must(case_reckon(&c, BREEDING_SEEN_NOW, &why), &why, i);
        const double before = breeding_within(&c.post, 12.0);
        if (c.post.density.n && !looked_for(&c, extra.sign)) {
            c.looks[c.e.n_looks++] = extra;
            must(breeding_posterior(&c.rules, &c.e, &c.prior, c.at_utc_s, BREEDING_SEEN_NOW, &c.mem, &c.post, &why),
                 &why, i);
            const double after = breeding_within(&c.post, 12.0);
            if (present ? after < before - 1e-12 : after > before + 1e-12)
                fail_msg("case %d: %s %s turns P12 %.9g into %.9g", i, breeding_sign_name[extra.sign],
                         present ? "seen" : "absent", before, after);
            tried++;
            moved += fabs(after - before) > 1e-6;
        }
        case_close(&c);
    }
    assert_true(tried > cases / 3 && moved > cases / 10); /* the property was put to the test */
}

static void an_agreeing_sign_never_lowers_p12(void **state)
{
    (void)state;
    one_more_sign(true, 6000);
}

static void a_sign_looked_for_and_absent_never_raises_p12(void **state)
{
    (void)state;
    one_more_sign(false, 2000);
}

static void waiting_never_makes_her_more_pregnant(void **state)
{
    struct dice p = prop_start();
    struct sow_case c;

    (void)state;
    for (int i = 0; i < 300; i++) {
        struct message why = { "", "" };
        double before = 1.0;
        case_fill(&c, &p);
        c.e.n_looks = 0;
        must(breeding_prior(&c.rules, &c.e, &c.mem, &c.prior, &why), &why, i);
        for (int k = 0; k < 40; k++) {
            must(breeding_posterior(&c.rules, &c.e, &c.prior, day_0 + DAYS(100.0 + 0.7 * k), BREEDING_SEEN_NOW, &c.mem,
                                    &c.post, &why),
                 &why, i);
            if (c.post.p_pregnant > before + 1e-9)
                fail_msg("case %d, day %g: %g after %g", i, 100.0 + 0.7 * k, c.post.p_pregnant, before);
            before = c.post.p_pregnant;
        }
        case_close(&c);
    }
}

static void longer_runs_and_better_boars_leave_fewer_open(void **state)
{
    struct sow_case c;
    struct message why = { "", "" };

    (void)state;
    for (int s = 0; s < 5; s++) {
        for (int by_p = 0; by_p < 2; by_p++) {
            double before = 1.0;
            for (int k = 1; k <= 30; k++) {
                case_open(&c);
                c.e.n_runs = 1;
                c.e.state = (enum breeding_state)s;
                c.e.weaned_utc_s = day_0 + DAYS(4.0);
                c.e.farrowed_utc_s = day_0 - DAYS(30.0);
                c.runs[0] = (struct breeding_run){ day_0, day_0 + DAYS(by_p ? 40.0 : 2.5 * k), 0 };
                if (by_p)
                    c.rules.value[BR_CONCEPTION] = k / 30.0;
                must(breeding_prior(&c.rules, &c.e, &c.mem, &c.prior, &why), &why, k);
                if (c.prior.density.open > before + 1e-9)
                    fail_msg("state %d, step %d: open %.9g after %.9g", s, k, c.prior.density.open, before);
                before = c.prior.density.open;
                case_close(&c);
            }
        }
    }
}

/* ---- witnesses: GSL ---- */

static void signs_and_service_follow_gsl(void **state)
{
    struct sow_case c;
    struct message why = { "", "" };
    double worst = 0.0;

    (void)state;
    for (int s = 0; s < BS_END; s++)
        for (double h = 0.01; h < 400.0; h *= 1.07) {
            const struct breeding_sign_rule *r = &breeding_sign_defaults[s];
            const double want =
                r->false_seen + (r->seen - r->false_seen) * gsl_cdf_lognormal_Q(h, log(r->median_h), r->log_sd);
            worst = fmax(worst, fabs(breeding_sign_chance(r, h) - want));
        }
    if (!(worst < 1e-13))
        fail_msg("signs: off by %g", worst);
    worst = 0.0;
    case_open(&c);
    c.rules = breeding_rules_plain();
    c.rules.value[BR_TAIL] = 0.05;
    c.rules.value[BR_WRONG_DATE] = 0.05;
    c.rules.value[BR_CONCEPTION] = 0.8;
    c.services[0] = (struct breeding_service){ day_0 + 437, NAN, -1, false }; /* off the grid on purpose */
    c.e.n_services = 1;
    must(breeding_prior(&c.rules, &c.e, &c.mem, &c.prior, &why), &why, 0);
    for (double x = 100.0; x < 131.0; x += 0.013) {
        double want = 0.0;
        for (int d = -3; d <= 3; d++)
            want += (d ? 0.05 / 6.0 : 0.95) *
                    (0.95 * gsl_cdf_gaussian_P(x - d - 115.0, 1.4) + 0.05 * gsl_cdf_gaussian_P(x - d - 115.5, 3.5));
        const double got = breeding_between(&c.prior.density, day_0, day_0 + 437 + DAYS(x));
        worst = fmax(worst, fabs(got - 0.8 * want));
    }
    if (!(worst < 4e-6)) /* straight line over a quarter of an hour, twice: h^2 / 8 max|f'| = 1.7e-6 each */
        fail_msg("service: off by %g", worst);
    case_close(&c);
}

/* One service and any single looks, integrated minute by minute with GSL's functions: 15 times finer than ours. */
static double fine_p(const struct sow_case *c, double hours)
{
    double within = 0.0, total = c->prior.density.open;

    for (size_t k = 0; k < c->e.n_looks; k++) {
        const double f = breeding_sign_defaults[c->looks[k].sign].false_seen;
        total *= c->looks[k].present ? f : 1.0 - f;
    }
    for (double m = 0.5; m < 30.0 * 1440.0; m += 1.0) {
        const double day = ((double)(c->at_utc_s - day_0) + 60.0 * m) / 86400.0;
        double w = 0.8 * gsl_ran_gaussian_pdf(day - 115.0, 1.4) / 1440.0;
        for (size_t k = 0; k < c->e.n_looks; k++) {
            const struct breeding_sign_rule *r = &breeding_sign_defaults[c->looks[k].sign];
            const double h = ((double)(c->at_utc_s - c->looks[k].at_utc_s) + 60.0 * m) / 3600.0;
            const double seen =
                r->false_seen + (r->seen - r->false_seen) * gsl_cdf_lognormal_Q(h, log(r->median_h), r->log_sd);
            w *= c->looks[k].present ? seen : 1.0 - seen;
        }
        total += w;
        within += m < hours * 60.0 ? w : 0.0;
    }
    return within / total;
}

static void quarters_of_an_hour_are_fine_enough(void **state)
{
    struct dice p = prop_start();
    struct sow_case c;

    (void)state;
    for (int i = 0; i < 60; i++) {
        struct message why = { "", "" };
        bool used[BS_END] = { false };
        case_open(&c);
        c.rules = breeding_rules_plain();
        c.rules.value[BR_CONCEPTION] = 0.8;
        c.services[0] = (struct breeding_service){ day_0, NAN, -1, false };
        c.e.n_services = 1;
        c.at_utc_s = day_0 + DAYS(prop_between(&p, 112.0, 117.0));
        for (size_t n = case_below(&p, 5); c.e.n_looks < n;) {
            struct breeding_look l = case_look(&p, c.at_utc_s);
            l.flags = 0;
            if (i < 20 && c.e.n_looks == 0) /* the shortest signs are the hardest */
                l = (struct breeding_look){ c.at_utc_s, i % 2 ? BS_STRAINING : BS_FLUID, i % 4 < 2, 0 };
            if (!used[l.sign])
                c.looks[c.e.n_looks++] = l;
            used[l.sign] = true;
        }
        must(case_reckon(&c, BREEDING_SEEN_NOW, &why), &why, i);
        for (double h = 1.0; h <= 24.0; h *= 2.0) {
            const double got = breeding_within(&c.post, h), want = fine_p(&c, h);
            if (!(fabs(got - want) < .003))
                fail_msg("case %d: P%g %.5g, minute by minute %.5g", i, h, got, want);
        }
        case_close(&c);
    }
}

/* The boar run lived through, sow by sow, with GSL's random numbers: cycle N(21, 1.5), p .8 then .64, 42 days, scan on
 * day 45 that was positive, not farrowed by day 125. */
static void a_simulated_boar_run_agrees(void **state)
{
    enum { SOWS = 400000, BINS = 40 };
    static long born[BINS];
    long pregnant = 0, passed = 0, still = 0;
    struct sow_case c;
    struct message why = { "", "" };
    gsl_rng *g = gsl_rng_alloc(gsl_rng_mt19937);

    (void)state;
    gsl_rng_set(g, 20260101);
    for (long i = 0; i < SOWS; i++) {
        double heat = gsl_ran_flat(g, 0.0, 21.0), taken = -1.0;
        for (int k = 0; heat <= 42.0 && taken < 0.0; k++) {
            if (gsl_rng_uniform(g) < (k ? 0.64 : 0.8))
                taken = heat;
            heat += 21.0 + gsl_ran_gaussian(g, 1.5);
        }
        const double age = taken < 0.0 ? -1.0 : 45.0 - taken;
        const double sees = age < 18.0 ? .05 : age >= 24.0 ? .97 : .05 + .92 * (age - 18.0) / 6.0;
        pregnant += taken >= 0.0;
        if (gsl_rng_uniform(g) >= sees)
            continue;
        passed++;
        const double birth = taken < 0.0 ? 1e9 : taken + 115.0 + gsl_ran_gaussian(g, 1.4);
        if (birth < 125.0)
            continue;
        still++;
        if (birth < 125.0 + BINS)
            born[(int)(birth - 125.0)]++;
    }
    gsl_rng_free(g);
    case_open(&c);
    c.rules = breeding_rules_plain();
    c.rules.value[BR_CONCEPTION] = 0.8;
    c.e.n_runs = 1;
    c.e.state = BREEDING_CYCLING;
    c.runs[0] = (struct breeding_run){ day_0, day_0 + DAYS(42.0), 0 };
    must(breeding_prior(&c.rules, &c.e, &c.mem, &c.prior, &why), &why, 0);
    assert_true(fabs(1.0 - c.prior.density.open - (double)pregnant / SOWS) < 4.0 * 0.5 / sqrt(SOWS));
    c.e.n_scans = 1;
    c.scans[0] = (struct breeding_scan){ day_0 + DAYS(45.0), true };
    c.at_utc_s = day_0 + DAYS(125.0);
    must(case_reckon(&c, BREEDING_SEEN_NOW, &why), &why, 1);
    for (int k = 0; k < BINS; k++) {
        const double got = breeding_between(&c.post.density, c.at_utc_s + DAYS(k), c.at_utc_s + DAYS(k + 1));
        const double want = (double)born[k] / (double)still, error = 4.5 * sqrt(fmax(want, 1e-5) / (double)still);
        if (!(fabs(got - want) < error))
            fail_msg("day %d: %.6g, simulated %.6g +/- %.2g", 125 + k, got, want, error);
    }
    assert_true(passed > SOWS / 2);
    case_close(&c);
}

/* Signs lived through: onsets lognormal, one look each at noon of day 114; of the simulated sows with the same
 * findings, how many farrow within 6, 12, 24 h. */
static void simulated_signs_agree(void **state)
{
    static const struct {
        enum breeding_sign sign;
        bool present;
    } found[3] = { { BS_UDDER, true }, { BS_NEST, true }, { BS_RESTLESS, false } };
    static const double hours[3] = { 6.0, 12.0, 24.0 };
    long kept = 0, within[3] = { 0, 0, 0 };
    struct sow_case c;
    struct message why = { "", "" };
    gsl_rng *g = gsl_rng_alloc(gsl_rng_mt19937);

    (void)state;
    gsl_rng_set(g, 7);
    for (long i = 0; i < 1500000; i++) {
        const double h = gsl_rng_uniform(g) < 0.8 ? 24.0 * (1.0 + gsl_ran_gaussian(g, 1.4)) : 1e9;
        bool same = h > 0.0;
        for (int k = 0; k < 3 && same; k++) {
            const struct breeding_sign_rule *r = &breeding_sign_defaults[found[k].sign];
            const bool begun = gsl_ran_lognormal(g, log(r->median_h), r->log_sd) > h;
            same = (gsl_rng_uniform(g) < (begun ? r->seen : r->false_seen)) == found[k].present;
        }
        kept += same;
        for (int k = 0; k < 3; k++)
            within[k] += same && h <= hours[k];
    }
    gsl_rng_free(g);
    case_open(&c);
    c.rules = breeding_rules_plain();
    c.rules.value[BR_CONCEPTION] = 0.8;
    c.services[0] = (struct breeding_service){ day_0, NAN, -1, false };
    c.e.n_services = 1;
    c.at_utc_s = day_0 + DAYS(114.0);
    for (int k = 0; k < 3; k++)
        c.looks[c.e.n_looks++] = (struct breeding_look){ c.at_utc_s, found[k].sign, found[k].present, 0 };
    must(case_reckon(&c, BREEDING_SEEN_NOW, &why), &why, 0);
    assert_true(kept > 50000);
    for (int k = 0; k < 3; k++) {
        const double want = (double)within[k] / (double)kept, got = breeding_within(&c.post, hours[k]);
        if (!(fabs(got - want) < 4.5 * sqrt(want * (1.0 - want) / (double)kept)))
            fail_msg("P%g: %.5g, simulated %.5g of %ld", hours[k], got, want, kept);
    }
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(densities_and_open_mass_sum_to_one),
        cmocka_unit_test(order_of_listing_never_matters),
        cmocka_unit_test(an_agreeing_sign_never_lowers_p12),
        cmocka_unit_test(a_sign_looked_for_and_absent_never_raises_p12),
        cmocka_unit_test(waiting_never_makes_her_more_pregnant),
        cmocka_unit_test(longer_runs_and_better_boars_leave_fewer_open),
        cmocka_unit_test(signs_and_service_follow_gsl),
        cmocka_unit_test(quarters_of_an_hour_are_fine_enough),
        cmocka_unit_test(a_simulated_boar_run_agrees),
        cmocka_unit_test(simulated_signs_agree),
    };

    return cmocka_run_group_tests_name("core/breeding", tests, NULL, NULL);
}
