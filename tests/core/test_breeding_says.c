/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the breeding model says, refuses, flags and admits not to know; looks ahead; memory that runs out.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "tests/core/breeding_case.h"

static void must(enum status st, const struct message *why, int i)
{
    if (st != ST_OK)
        fail_msg("case %d: %s: %s", i, why->field, why->text);
}

static void served(struct sow_case *c, double day)
{
    c->services[c->e.n_services++] = (struct breeding_service){ day_0 + DAYS(day), NAN, -1, false };
}

static void look(struct sow_case *c, double day, enum breeding_sign s, bool present, unsigned flags)
{
    c->looks[c->e.n_looks++] = (struct breeding_look){ day_0 + DAYS(day), s, present, flags };
}

static void ask(struct sow_case *c, double day)
{
    struct message why = { "", "" };

    c->at_utc_s = day_0 + DAYS(day);
    must(case_reckon(c, BREEDING_SEEN_NOW, &why), &why, (int)day);
}

static bool warned(const struct sow_case *c, enum breeding_caution which)
{
    return c->post.notes.cautions >> which & 1U;
}

static void a_sow_with_nothing_recorded_is_unknown(void **state)
{
    struct sow_case c;
    struct message why = { "", "" };
    struct breeding_ahead ahead;
    double hours[3], p[BREEDING_BOARS + 1];

    (void)state;
    case_open(&c);
    look(&c, 0.0, BS_STRAINING, true, 0);
    ask(&c, 0.0);
    assert_false(c.post.known);
    assert_true(warned(&c, BC_NOTHING_KNOWN) && warned(&c, BC_LABOUR));
    assert_true(isnan(breeding_not_pregnant(&c.post)) && isnan(c.post.day));
    assert_true(breeding_within(&c.post, 12.0) == 0.0);
    assert_true(breeding_quantile(&c.post.density, .5) == BREEDING_NONE);
    breeding_hours(&c.post.density, day_0, 3, hours);
    assert_true(hours[0] == 0.0 && hours[2] == 0.0);
    assert_int_equal(breeding_watch_for(&c.post, false), BW_EVERY_2H); /* she strains, dates or no dates */
    assert_false(breeding_boar_now(&c.prior, &c.post, p));
    assert_true(isnan(p[0]));
    assert_int_equal(breeding_look_ahead(&c.post, &c.looks[0], day_0, 0, NULL, NULL, &ahead, &why), ST_BAD_INPUT);
    case_close(&c);
    case_open(&c);
    ask(&c, 0.0);
    assert_int_equal(breeding_watch_for(&c.post, false), BW_TWICE_A_DAY);
    case_close(&c);
}

/* From dates alone: never "not pregnant" before day 125; the vet from day 118 on. */
static void overdue_sows_are_never_written_off_early(void **state)
{
    struct sow_case c;

    (void)state;
    for (double day = 100.0; day < 140.0; day += 0.5) {
        case_open(&c);
        served(&c, 0.0);
        ask(&c, day);
        assert_int_equal(warned(&c, BC_RING_VET), day >= 118.0);
        if (day < 125.0)
            assert_false(warned(&c, BC_MAY_BE_EMPTY));
        if (day > 119.0 && day < 125.0) /* open mass has grown, and the answer does not say empty */
            assert_true(warned(&c, BC_NOT_FROM_DATES));
        if (day >= 126.0)
            assert_true(warned(&c, BC_MAY_BE_EMPTY) || warned(&c, BC_SPENT));
        case_close(&c);
    }
    case_open(&c); /* a scan that found nothing does say so */
    served(&c, 0.0);
    c.e.n_scans = 1;
    c.scans[0] = (struct breeding_scan){ day_0 + DAYS(30.0), false };
    ask(&c, 60.0);
    assert_true(warned(&c, BC_MAY_BE_EMPTY));
    case_close(&c);
}

static void services_apart_are_one_heat_two_heats_or_flagged(void **state)
{
    static const struct {
        double gap;
        bool odd, two;
    } gaps[] = { { 0.5, false, false }, { 4.0, false, false }, { 5.0, true, false }, { 14.0, true, false },
                 { 15.0, false, true }, { 21.0, false, true }, { 42.0, false, true } };
    struct sow_case c;

    (void)state;
    for (size_t i = 0; i < COUNT(gaps); i++) {
        case_open(&c);
        served(&c, 0.0);
        served(&c, gaps[i].gap);
        ask(&c, 100.0);
        assert_int_equal(warned(&c, BC_ODD_GAP), gaps[i].odd);
        const double first = breeding_between(&c.prior.density, day_0, day_0 + DAYS(115.0 + gaps[i].gap / 2.0));
        const double all = 1.0 - c.prior.density.open;
        if (gaps[i].two ? first > 0.3 * all : fabs(first - 0.5 * all) > 0.05)
            fail_msg("gap %g: %.3g of %.3g to the first", gaps[i].gap, first, all);
        case_close(&c);
    }
}

static void a_heat_before_the_run_sets_the_day(void **state)
{
    struct sow_case c;
    double before, after;

    (void)state;
    case_open(&c);
    c.e.n_heats = 1;
    c.heats[0] = day_0 - DAYS(11.0); /* next about day 10 of the run, then day 31 */
    c.e.n_runs = 1;
    c.runs[0] = (struct breeding_run){ day_0, day_0 + DAYS(25.0), 0 };
    c.rules.value[BR_TAIL] = 0.0;
    ask(&c, 100.0);
    before = breeding_between(&c.prior.density, day_0, day_0 + DAYS(118.0));
    after = breeding_between(&c.prior.density, day_0 + DAYS(118.0), day_0 + DAYS(132.0));
    assert_true(before < 0.01 && after > 0.75 && after < 0.85);
    assert_true(fabs((double)(breeding_quantile(&c.prior.density, .5) - day_0) / 86400.0 - 125.0) < 0.05);
    case_close(&c);
}

static void suckling_sows_and_gilts_keep_an_open_share(void **state)
{
    struct sow_case c;

    (void)state;
    case_open(&c);
    c.e.n_runs = 1;
    c.e.state = BREEDING_SUCKLING;
    c.e.farrowed_utc_s = day_0;
    c.runs[0] = (struct breeding_run){ day_0, day_0 + DAYS(30.0), 0 };
    c.rules.value[BR_CONCEPTION] = 1.0;
    ask(&c, 100.0);
    /* .4 of them, 16 + 10.2 days after farrowing, of N(26.2, 3.3) what falls before day 30: .875 (table of the normal)
     */
    assert_true(fabs(1.0 - c.prior.density.open - 0.4 * 0.875) < 0.003);
    assert_true(breeding_between(&c.prior.density, day_0, day_0 + DAYS(16.0 + 108.0)) < 1e-4); /* none before day 16 */
    case_close(&c);
    case_open(&c); /* weaned during the run: the rest come in heat after it */
    c.e.n_runs = 1;
    c.e.state = BREEDING_SUCKLING;
    c.e.farrowed_utc_s = day_0;
    c.e.weaned_utc_s = day_0 + DAYS(42.0);
    c.runs[0] = (struct breeding_run){ day_0, day_0 + DAYS(60.0), 0 };
    c.rules.value[BR_CONCEPTION] = 1.0;
    ask(&c, 100.0);
    assert_true(1.0 - c.prior.density.open > 0.9);
    case_close(&c);
    case_open(&c);
    c.e.n_runs = 1;
    c.e.state = BREEDING_GILT;
    c.e.p_cycling = 0.35;
    c.runs[0] = (struct breeding_run){ day_0, day_0 + DAYS(21.0), 0 };
    c.rules.value[BR_CONCEPTION] = 1.0;
    c.rules.value[BR_CYCLE_SD_D] = 0.0;
    ask(&c, 100.0);
    assert_true(fabs(1.0 - c.prior.density.open - 0.35) < 1e-6);
    assert_true(warned(&c, BC_BUNCHED));
    case_close(&c);
}

static void a_service_seen_during_the_run_rules(void **state)
{
    struct sow_case c;

    (void)state;
    case_open(&c);
    served(&c, 20.0);
    c.e.n_runs = 1;
    c.runs[0] = (struct breeding_run){ day_0, day_0 + DAYS(50.0), 0 };
    c.e.state = BREEDING_CYCLING;
    ask(&c, 100.0);
    const double from_seen = breeding_between(&c.prior.density, day_0 + DAYS(131.0), day_0 + DAYS(139.0));
    const double later = breeding_between(&c.prior.density, day_0 + DAYS(148.0), day_0 + DAYS(166.0));
    const double earlier = breeding_between(&c.prior.density, day_0 + DAYS(105.0), day_0 + DAYS(130.0));
    assert_true(from_seen > 0.65 && later > 0.05 && later < 0.2 && earlier < 0.12);
    case_close(&c);
}

static void which_service_is_likelier_follows_first_standing(void **state)
{
    struct sow_case c;

    (void)state;
    case_open(&c);
    served(&c, 0.5);
    served(&c, 1.7);
    c.e.standing_utc_s = day_0;
    ask(&c, 100.0);
    assert_false(c.prior.notes.assumed >> BA_EVEN_SERVICES & 1U);
    const double with = (double)(breeding_quantile(&c.prior.density, .5) - day_0) / 86400.0;
    c.e.standing_utc_s = BREEDING_NONE;
    ask(&c, 100.0);
    assert_true(c.prior.notes.assumed >> BA_EVEN_SERVICES & 1U);
    assert_true(with > (double)(breeding_quantile(&c.prior.density, .5) - day_0) / 86400.0 + 0.2);
    case_close(&c);
}

static void looks_that_do_not_count_change_nothing(void **state)
{
    struct sow_case c;

    (void)state;
    case_open(&c);
    served(&c, 0.0);
    ask(&c, 114.0);
    const double p12 = breeding_within(&c.post, 12.0);
    look(&c, 113.9, BS_BREATHING, true, BL_HOT);
    ask(&c, 114.0);
    assert_true(fabs(breeding_within(&c.post, 12.0) - p12) < 1e-12 && warned(&c, BC_HOT_BREATHING));
    c.looks[0] = (struct breeding_look){ day_0 + DAYS(113.9), BS_NEST, false, BL_NEST_FINISHED };
    ask(&c, 114.0);
    assert_true(fabs(breeding_within(&c.post, 12.0) - p12) < 1e-12 && warned(&c, BC_NEST_FINISHED));
    assert_int_equal(breeding_watch_for(&c.post, false), BW_EVERY_2H);
    c.looks[0].flags = 0; /* looked for and simply absent: strong news */
    ask(&c, 114.0);
    assert_true(breeding_within(&c.post, 12.0) < 0.5 * p12);
    case_close(&c);
}

static void repeated_looks_count_once(void **state)
{
    struct sow_case c;

    (void)state;
    case_open(&c);
    served(&c, 0.0);
    look(&c, 113.5, BS_UDDER, true, 0);
    ask(&c, 114.0);
    const double once = breeding_within(&c.post, 12.0);
    look(&c, 113.8, BS_UDDER, true, 0);
    look(&c, 113.9, BS_UDDER, true, 0);
    ask(&c, 114.0);
    assert_true(breeding_within(&c.post, 12.0) == once);
    c.e.n_looks = 0;
    look(&c, 113.9, BS_UDDER, false, 0);
    ask(&c, 114.0);
    const double absent = breeding_within(&c.post, 12.0);
    look(&c, 113.2, BS_UDDER, false, 0);
    ask(&c, 114.0);
    assert_true(breeding_within(&c.post, 12.0) == absent);
    look(&c, 112.0, BS_UDDER, true, 0); /* seen, then gone */
    ask(&c, 114.0);
    assert_true(warned(&c, BC_SIGN_GONE));
    case_close(&c);
}

static void early_signs_and_labour_are_said(void **state)
{
    struct sow_case c;

    (void)state;
    case_open(&c);
    served(&c, 0.0);
    look(&c, 104.0, BS_STREAMS, true, 0);
    ask(&c, 104.0);
    assert_true(warned(&c, BC_EARLY) && !warned(&c, BC_LABOUR));
    look(&c, 104.0, BS_STRAINING, true, 0);
    ask(&c, 104.0);
    assert_true(warned(&c, BC_LABOUR));
    assert_int_equal(breeding_watch_for(&c.post, false), BW_EVERY_2H);
    case_close(&c);
}

static void since_the_last_look_she_may_have_farrowed(void **state)
{
    struct sow_case c;
    struct message why = { "", "" };

    (void)state;
    case_open(&c);
    served(&c, 0.0);
    c.rules = breeding_rules_plain();
    c.rules.value[BR_CONCEPTION] = 1.0;
    c.e.not_farrowed_by_utc_s = day_0 + DAYS(114.0);
    c.at_utc_s = day_0 + DAYS(115.0);
    must(case_reckon(&c, BREEDING_SINCE_LAST_LOOK, &why), &why, 0);
    /* of N(115, 1.4) beyond 114: (Phi(0) - Phi(-.714)) / (1 - Phi(-.714)) = (.5 - .2375) / .7625 = .3443 */
    assert_true(fabs(c.post.already - .3443) < .001);
    must(case_reckon(&c, BREEDING_SEEN_NOW, &why), &why, 1);
    assert_true(c.post.already == 0.0);
    must(case_reckon(&c, BREEDING_NOT_PRESENT, &why), &why, 2);
    assert_int_equal(c.post.from_utc_s, c.e.not_farrowed_by_utc_s);
    case_close(&c);
}

static void hours_add_up_to_windows(void **state)
{
    struct dice p = prop_start();
    struct sow_case c;
    double hours[48];

    (void)state;
    for (int i = 0; i < 200; i++) {
        struct message why = { "", "" };
        double sum = 0.0;
        case_fill(&c, &p);
        must(case_reckon(&c, BREEDING_SEEN_NOW, &why), &why, i);
        breeding_hours(&c.post.density, c.at_utc_s, 48, hours);
        for (int k = 0; k < 48; k++)
            sum += hours[k];
        if (!(fabs(sum - breeding_within(&c.post, 48.0)) < 1e-12))
            fail_msg("case %d: %g against %g", i, sum, breeding_within(&c.post, 48.0));
        case_close(&c);
    }
}

/* Both outcomes of a look, weighed by their chances, are today's answer; and each is whole. */
static void a_look_ahead_never_makes_news_from_nothing(void **state)
{
    enum { N = 2400 };
    static double seen[N], not_seen[N], today[N];
    struct dice p = prop_start();
    struct sow_case c;
    int tried = 0;

    (void)state;
    for (int i = 0; i < 400; i++) {
        struct message why = { "", "" };
        struct breeding_ahead a;
        case_fill(&c, &p);
        must(case_reckon(&c, (enum breeding_from)(i % 2), &why), &why, i);
        struct breeding_look l = case_look(&p, c.at_utc_s);
        l.at_utc_s = c.at_utc_s + DAYS(prop_between(&p, 0.0, 3.0));
        const int64_t end = c.post.density.start_utc_s + (int64_t)c.post.density.n * BREEDING_STEP_S;
        if (c.post.density.n && end <= l.at_utc_s + N * HOUR_S) {
            double sum_seen = 0.0, sum_not = 0.0;
            must(breeding_look_ahead(&c.post, &l, l.at_utc_s, N, seen, not_seen, &a, &why), &why, i);
            breeding_hours(&c.post.density, l.at_utc_s, N, today);
            const double left = 1.0 - a.p_before;
            for (int k = 0; k < N && left > 1e-9; k++) {
                const double back = left * (a.p_seen * seen[k] + (1.0 - a.p_seen) * not_seen[k]);
                if (!(fabs(back - today[k]) < 1e-9) || seen[k] < -1e-15 || not_seen[k] < -1e-15)
                    fail_msg("case %d, hour %d: %g and %g give %g, today %g", i, k, seen[k], not_seen[k], back,
                             today[k]);
                sum_seen += seen[k];
                sum_not += not_seen[k];
            }
            if (left > 1e-9 &&
                (!(fabs(sum_seen + a.seen.open - 1.0) < 1e-9) || !(fabs(sum_not + a.not_seen.open - 1.0) < 1e-9)))
                fail_msg("case %d: %g and %g", i, sum_seen + a.seen.open, sum_not + a.not_seen.open);
            tried++;
        }
        case_close(&c);
    }
    assert_true(tried > 250);
}

/* With nothing looked for before, the outcome is what the answer would be with that look in the records. */
static void a_look_ahead_is_the_answer_it_foretells(void **state)
{
    struct sow_case c;
    struct message why = { "", "" };
    struct breeding_ahead a;

    (void)state;
    for (int s = 0; s < BS_END; s++) {
        case_open(&c);
        served(&c, 0.0);
        ask(&c, 113.6);
        const struct breeding_look l = { day_0 + DAYS(114.0), (enum breeding_sign)s, true, 0 };
        must(breeding_look_ahead(&c.post, &l, l.at_utc_s, 0, NULL, NULL, &a, &why), &why, s);
        look(&c, 114.0, (enum breeding_sign)s, true, 0);
        ask(&c, 114.0);
        if (!(fabs(a.seen.within_12h - breeding_within(&c.post, 12.0)) < 1e-4))
            fail_msg("%s: %g foretold, %g said", breeding_sign_name[s], a.seen.within_12h,
                     breeding_within(&c.post, 12.0));
        c.looks[0].present = false;
        ask(&c, 114.0);
        assert_true(fabs(a.not_seen.within_12h - breeding_within(&c.post, 12.0)) < 1e-4);
        assert_true(a.seen.within_12h >= a.not_seen.within_12h);
        case_close(&c);
    }
}

static void what_was_assumed_is_listed_and_only_that(void **state)
{
    struct sow_case c;

    (void)state;
    case_open(&c);
    served(&c, 0.0);
    ask(&c, 113.0);
    const uint64_t all = c.post.notes.rules;
    assert_true(all >> BR_GESTATION_D & 1U && all >> BR_CONCEPTION_SOW & 1U && all >> BR_CLOCK & 1U &&
                all >> BR_TAIL & 1U);
    assert_false(all >> BR_CYCLE_D & 1U);   /* no run */
    assert_false(all >> BR_SCAN_TRUE & 1U); /* no scan */
    assert_true(c.post.notes.assumed >> BA_PARITY & 1U);
    c.rules.value[BR_GESTATION_D] = 114.0;
    c.rules.value[BR_CONCEPTION] = 0.9;
    c.e.parity = 3;
    ask(&c, 113.0);
    assert_false(c.post.notes.rules >> BR_GESTATION_D & 1U);
    assert_false(c.post.notes.rules >> BR_CONCEPTION_SOW & 1U);
    assert_false(c.post.notes.assumed >> BA_PARITY & 1U);
    assert_true(fabs(1.0 - c.prior.density.open - 0.9) < 1e-9);
    case_close(&c);
    for (int i = 0; i < BR_END; i++) {
        assert_true(strlen(breeding_defaults[i].name) > 3 && strlen(breeding_defaults[i].words) > 3);
        assert_true(strlen(breeding_defaults[i].source) > 3);
        if (!isnan(breeding_defaults[i].value))
            assert_true(breeding_defaults[i].value >= breeding_defaults[i].low &&
                        breeding_defaults[i].value <= breeding_defaults[i].high);
    }
    for (int i = 0; i < BA_END; i++)
        assert_non_null(breeding_assumed_words[i]);
    for (int i = 0; i < BC_END; i++)
        assert_true(breeding_caution_words[i] && breeding_caution_name[i]);
    for (int s = 0; s < BS_END; s++)
        assert_int_equal(breeding_sign_find(breeding_sign_name[s]), s);
    assert_int_equal(breeding_sign_find("yawning"), BS_END);
}

static void bands_of_watching(void **state)
{
    (void)state;
    assert_int_equal(breeding_watch_band(.049, false), BW_ROUTINE);
    assert_int_equal(breeding_watch_band(.05, false), BW_TWICE_A_DAY);
    assert_int_equal(breeding_watch_band(.25, false), BW_EVERY_6H);
    assert_int_equal(breeding_watch_band(.61, false), BW_EVERY_2H);
    assert_int_equal(breeding_watch_band(.049, true), BW_TWICE_A_DAY);
    assert_int_equal(breeding_watch_band(.61, true), BW_EVERY_2H);
    assert_int_equal(breeding_watch_band(NAN, false), BW_TWICE_A_DAY);
}

struct refusal {
    const char *field;
    void (*spoil)(struct sow_case *c);
};

static void spoil_sd(struct sow_case *c)
{
    c->rules.value[BR_GESTATION_SD_D] = 0.0;
}
static void spoil_p(struct sow_case *c)
{
    c->rules.value[BR_CONCEPTION] = 1.2;
}
static void spoil_infinity(struct sow_case *c)
{
    c->rules.value[BR_CLOCK] = INFINITY;
}
static void spoil_sign_rule(struct sow_case *c)
{
    c->rules.sign[BS_NEST].false_seen = 0.95;
}
static void spoil_wei(struct sow_case *c)
{
    for (int d = 0; d < BREEDING_WEI_DAYS; d++)
        c->rules.wei[d] = 0.1;
}
static void spoil_service(struct sow_case *c)
{
    c->services[0].at_utc_s = BREEDING_NONE;
}
static void spoil_weight(struct sow_case *c)
{
    c->services[0].weight = -1.0;
}
static void spoil_boar(struct sow_case *c)
{
    c->services[0].boar = BREEDING_BOARS;
}
static void spoil_run(struct sow_case *c)
{
    c->e.n_runs = 1;
    c->runs[0] = (struct breeding_run){ day_0, day_0 - 1, 0 };
}
static void spoil_open_run(struct sow_case *c)
{
    c->e.n_runs = 1;
    c->runs[0] = (struct breeding_run){ day_0, BREEDING_NONE, 0 };
}
static void spoil_long_run(struct sow_case *c)
{
    c->e.n_runs = 1;
    c->runs[0] = (struct breeding_run){ day_0, day_0 + DAYS(900), 0 };
}
static void spoil_span(struct sow_case *c)
{
    spoil_run(c);
    c->runs[0] = (struct breeding_run){ day_0 + DAYS(2000), day_0 + DAYS(2030), 0 };
}
static void spoil_weaned(struct sow_case *c)
{
    spoil_run(c);
    c->runs[0].to_utc_s = day_0 + DAYS(20);
    c->e.state = BREEDING_WEANED;
}
static void spoil_past(struct sow_case *c)
{
    c->e.n_past = 1;
    c->past[0] = NAN;
}
static void spoil_look(struct sow_case *c)
{
    look(c, 200.0, BS_NEST, true, 0);
}
static void spoil_absent(struct sow_case *c)
{
    look(c, 200.0, BS_NEST, false, 0);
}
static void spoil_last_seen(struct sow_case *c)
{
    c->e.not_farrowed_by_utc_s = day_0 + DAYS(200);
}
static void spoil_pregnant(struct sow_case *c)
{
    c->rules.value[BR_CONCEPTION] = 0.0;
    c->e.given_pregnant = true;
}
static void spoil_cycling(struct sow_case *c)
{
    c->e.p_cycling = 2.0;
}

static void bad_input_gets_a_sentence_and_leaves_no_trace(void **state)
{
    static const struct refusal refusals[] = { { "gestation-sd", spoil_sd },
                                               { "conception", spoil_p },
                                               { "clock", spoil_infinity },
                                               { "sign", spoil_sign_rule },
                                               { "wei", spoil_wei },
                                               { "service", spoil_service },
                                               { "service", spoil_weight },
                                               { "boar", spoil_boar },
                                               { "boar-to", spoil_run },
                                               { "boar-to", spoil_open_run },
                                               { "boar-from", spoil_long_run },
                                               { "boar-from", spoil_span },
                                               { "weaned", spoil_weaned },
                                               { "past-gestation", spoil_past },
                                               { "sign", spoil_look },
                                               { "no-sign", spoil_absent },
                                               { "not-farrowed-by", spoil_last_seen },
                                               { "given-pregnant", spoil_pregnant },
                                               { "cycling", spoil_cycling } };
    struct sow_case c;

    (void)state;
    for (size_t i = 0; i < COUNT(refusals); i++) {
        struct message why = { "", "" };
        case_open(&c);
        served(&c, 0.0);
        c.at_utc_s = day_0 + DAYS(114.0);
        refusals[i].spoil(&c);
        c.post.day = -77.0;
        assert_int_equal(case_reckon(&c, BREEDING_SEEN_NOW, &why), ST_BAD_INPUT);
        if (strcmp(why.field, refusals[i].field) != 0 || strlen(why.text) < 15 || strchr(why.text, '\n'))
            fail_msg("refusal %zu: field \"%s\", wanted \"%s\": %s", i, why.field, refusals[i].field, why.text);
        assert_true(c.post.day == -77.0);
        case_close(&c);
    }
}

static void memory_that_runs_out_is_said(void **state)
{
    struct dice p = prop_start();
    struct sow_case c;
    int refused = 0, went = 0;

    (void)state;
    for (int i = 0; i < 8; i++) {
        case_fill(&c, &p);
        for (size_t ceiling = 0; ceiling < 700000; ceiling += 900 + ceiling / 7) {
            struct message why = { "", "" };
            arena_close(&c.mem);
            arena_open(&c.mem, ceiling);
            const enum status st = case_reckon(&c, BREEDING_SEEN_NOW, &why);
            if (st != ST_OK && st != ST_NO_MEMORY)
                fail_msg("ceiling %zu: %d, %s", ceiling, (int)st, why.text);
            refused += st == ST_NO_MEMORY;
            went += st == ST_OK;
        }
        case_close(&c);
    }
    assert_true(refused > 20 && went > 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sow_with_nothing_recorded_is_unknown),
        cmocka_unit_test(overdue_sows_are_never_written_off_early),
        cmocka_unit_test(services_apart_are_one_heat_two_heats_or_flagged),
        cmocka_unit_test(a_heat_before_the_run_sets_the_day),
        cmocka_unit_test(suckling_sows_and_gilts_keep_an_open_share),
        cmocka_unit_test(a_service_seen_during_the_run_rules),
        cmocka_unit_test(which_service_is_likelier_follows_first_standing),
        cmocka_unit_test(looks_that_do_not_count_change_nothing),
        cmocka_unit_test(repeated_looks_count_once),
        cmocka_unit_test(early_signs_and_labour_are_said),
        cmocka_unit_test(since_the_last_look_she_may_have_farrowed),
        cmocka_unit_test(hours_add_up_to_windows),
        cmocka_unit_test(a_look_ahead_never_makes_news_from_nothing),
        cmocka_unit_test(a_look_ahead_is_the_answer_it_foretells),
        cmocka_unit_test(what_was_assumed_is_listed_and_only_that),
        cmocka_unit_test(bands_of_watching),
        cmocka_unit_test(bad_input_gets_a_sentence_and_leaves_no_trace),
        cmocka_unit_test(memory_that_runs_out_is_said),
    };

    return cmocka_run_group_tests_name("core/breeding-says", tests, NULL, NULL);
}
