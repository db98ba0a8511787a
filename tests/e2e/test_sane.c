/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What must hold of every night, whatever the figures: weather that is worse never helps, work that is better never
 * harms, the order of names tells nothing, heat is not cold. Invented nights, a fixed seed (PROP_SEED=... tries
 * others). No figure here comes from the trade: these are properties of the reckoning itself.
 */
#include "tests/e2e/night_case.h"

#include "core/nest/facing.h"

static struct night_case a, b;
static const char *const sow_name[] = { "Bracken", "Dulse", "Fescue", "Gorse", "Melick" };
static const char *const hut_name[] = { "Alder hut", "Beech hut", "Cedar hut", "Elder hut" };

static bool chance_of(struct dice *d, double p)
{
    return prop_between(d, 0.0, 1.0) < p;
}

static void some_sow(struct night_case *c, struct dice *d, const char *name)
{
    const size_t s = case_sow(c, name, prop_between(d, 110.0, 117.0));
    for (enum breeding_sign g = BS_UDDER; g <= BS_NEST; g++)
        if (chance_of(d, 0.4))
            case_sign(c, s, g, prop_between(d, 0.3, 10.0), chance_of(d, 0.5));
}

static size_t some_hut(struct night_case *c, struct dice *d, const char *name)
{
    const size_t i = case_hut(c, name, (enum hut_wall)(prop_bits(d) % HUT_WALL_END), floor(prop_between(d, 0.0, 360.0)),
                              chance_of(d, 0.2) ? 0.0 : prop_between(d, 0.02, 0.22));
    c->sites[i].is.hut.flap = chance_of(d, 0.2);
    c->sites[i].placed = chance_of(d, 0.8);
    c->sites[i].flap_possible = chance_of(d, 0.7);
    if (chance_of(d, 0.2))
        c->sites[i].is.straw = STRAW_DAMP;
    return i;
}

static void some_night(struct night_case *c, struct dice *d, size_t n_sows, size_t n_huts)
{
    case_begin(c);
    case_some_weather(c, d);
    for (size_t i = 0; i < n_sows; i++)
        some_sow(c, d, sow_name[i]);
    for (size_t i = 0; i < n_huts; i++)
        (void)some_hut(c, d, hut_name[i]);
    c->herd.stock.flaps = (int)(prop_bits(d) % 3);
    c->herd.stock.straw_kg = prop_between(d, 0.0, 120.0);
    c->herd.stock.people = 1 + (int)(prop_bits(d) % 2);
}

/* The hours in which two options are worse and better: every hour that both have, typical and runt. Gives how many
 * differ. */
static size_t never_better(const struct night_option *worse, const struct night_option *better, const char *what,
                           const struct night_case *c)
{
    size_t differ = 0;

    for (size_t h = 0; h < c->night.n_hours; h++) {
        const struct watch_cell *w = &worse->cells[h], *x = &better->cells[h];
        if (w->heat_grade >= 1 || x->heat_grade >= 1)
            continue; /* too warm for the cold model to be asked */
        if ((double)w->shortfall_c < (double)x->shortfall_c - 0.02 ||
            (double)w->runt_shortfall_c < (double)x->runt_shortfall_c - 0.02 || w->grade < x->grade ||
            w->runt_grade < x->runt_grade)
            fail_msg("%s: hour %zu, %.1f °C, wind %.1f m/s from %.0f: shortfall %.3f (runt %.3f) where %.3f (%.3f) was "
                     "expected at the least; "
                     "grades %d %d, %d %d",
                     what, h, c->hours[CASE_BEFORE + h].temp_c, c->hours[CASE_BEFORE + h].wind_mps,
                     c->hours[CASE_BEFORE + h].wind_from_deg, (double)w->shortfall_c, (double)w->runt_shortfall_c,
                     (double)x->shortfall_c, (double)x->runt_shortfall_c, w->grade, w->runt_grade, x->grade,
                     x->runt_grade);
        differ += w->shortfall_c > x->shortfall_c;
    }
    return differ;
}

/* ---- weather ----------------------------------------------------------------------------------------------------- */

enum worse { WINDIER, WETTER, COLDER, WORSE_END };
static const char *const worse_name[WORSE_END] = { "more wind", "more rain", "more cold" };

static void worsen(struct night_case *c, enum worse how, double much)
{
    for (size_t i = 0; i < CASE_RUN; i++)
        switch (how) {
        case WINDIER: c->hours[i].wind_mps += 4.0 * much; break;
        case WETTER: c->hours[i].rain_mm += 2.0 * much; break;
        case COLDER: c->hours[i].temp_c -= 8.0 * much; break;
        case WORSE_END: break;
        }
}

static void worse_weather_never_makes_an_open_nest_better(void **state)
{
    struct dice d = prop_start();
    size_t differ[WORSE_END] = { 0 };

    (void)state;
    for (int i = 0; i < 90; i++) {
        const enum worse how = (enum worse)(i % WORSE_END);
        struct shelter nest = shelter_default(SHELTER_OPEN);
        nest.straw_m = prop_between(&d, 0.02, 0.3);
        some_night(&a, &d, 1, 0);
        (void)case_site(&a, "her nest", &nest, true);
        case_nests(&a, 0, 0);
        b = a;
        arena_open(&b.mem, 256u << 20);
        b.herd.sows = b.sows;
        b.herd.sites = b.sites;
        b.sows[0].evidence.looks = b.looks[0];
        b.sows[0].evidence.services = b.service;
        for (size_t k = 0; k < CASE_RUN && how == COLDER;
             k++) /* rain that turns to snow wets less: no fair comparison */
            a.hours[k].rain_mm = b.hours[k].rain_mm = 0.0;
        worsen(&b, how, prop_between(&d, 0.1, 1.0));
        case_night(&a, true);
        case_night(&b, true);
        differ[how] += never_better(case_stands(&b, "her nest"), case_stands(&a, "her nest"), worse_name[how], &b);
        differ[how] += never_better(case_stands(&b, "where she lies down"), case_stands(&a, "where she lies down"),
                                    worse_name[how], &b);
        assert_true(case_advice(&b, sow_name[0])->now.danger >= case_advice(&a, sow_name[0])->now.danger - 1e-9);
        case_end(&a);
        case_end(&b);
    }
    print_message("hours made worse: by wind %zu, by wet %zu, by cold %zu\n", differ[WINDIER], differ[WETTER],
                  differ[COLDER]);
    assert_true(differ[WINDIER] > 100 && differ[WETTER] > 20 && differ[COLDER] > 100);
}

/* ---- huts -------------------------------------------------------------------------------------------------------- */

static void a_door_out_of_the_wind_is_never_worse(void **state)
{
    struct dice d = prop_start();
    size_t differ = 0;

    (void)state;
    for (int i = 0; i < 80; i++) {
        some_night(&a, &d, 1, 0);
        const double from = floor(prop_between(&d, 0.0, 360.0));
        for (size_t k = 0; k < CASE_RUN; k++) {
            a.hours[k].wind_from_deg = from;
            a.hours[k].wind_mps += 3.0;
            a.hours[k].cloud_oktas = 8.0; /* no sun in at one door or the other */
        }
        const enum hut_wall wall = (enum hut_wall)(prop_bits(&d) % HUT_WALL_END);
        const double straw_m = prop_between(&d, 0.0, 0.25);
        (void)case_hut(&a, "into it", wall, from, straw_m);
        (void)case_hut(&a, "across it", wall, fmod(from + 90.0, 360.0), straw_m);
        (void)case_hut(&a, "out of it", wall, fmod(from + 180.0, 360.0), straw_m);
        case_night(&a, true);
        differ += never_better(case_stands(&a, "into it"), case_stands(&a, "across it"), "a door across the wind", &a);
        differ +=
            never_better(case_stands(&a, "across it"), case_stands(&a, "out of it"), "a door out of the wind", &a);
        case_end(&a);
    }
    print_message("%zu hours better out of the wind\n", differ);
    assert_true(differ > 500);
}

static void deeper_dry_straw_is_never_worse(void **state)
{
    static const char *const shallow[] = { "hut, thin", "open, thin", "lee, thin" }, *const deep[] = { "hut, deep",
                                                                                                       "open, deep",
                                                                                                       "lee, deep" };
    static const enum shelter_kind kind[] = { SHELTER_HUT, SHELTER_OPEN, SHELTER_LEE };
    struct dice d = prop_start();
    size_t differ = 0;

    (void)state;
    for (int i = 0; i < 60; i++) {
        some_night(&a, &d, 1, 0);
        for (size_t k = 0; k < CASE_RUN; k++)
            a.hours[k].rain_mm = 0.0; /* dry straw stays dry */
        const double thin_m = prop_between(&d, 0.0, 0.2), more_m = prop_between(&d, 0.01, 0.2);
        for (size_t s = 0; s < COUNT(kind); s++) {
            struct shelter is = shelter_default(kind[s]);
            is.hut.facing_deg = 120.0;
            is.lee = (struct windbreak){ .stands = kind[s] == SHELTER_LEE,
                                         .porosity = 0.4,
                                         .distance_heights = 4.0,
                                         .bearing_deg = 290.0,
                                         .width_heights = 12.0 };
            is.straw_m = thin_m;
            (void)case_site(&a, shallow[s], &is, true);
            is.straw_m = thin_m + more_m;
            (void)case_site(&a, deep[s], &is, true);
        }
        case_night(&a, true);
        for (size_t s = 0; s < COUNT(kind); s++)
            differ += never_better(case_stands(&a, shallow[s]), case_stands(&a, deep[s]), deep[s], &a);
        case_end(&a);
    }
    print_message("%zu hours better on deeper straw\n", differ);
    assert_true(differ > 500);
}

static void the_runt_is_never_better_off(void **state)
{
    struct dice d = prop_start();
    size_t cells = 0, worse = 0;

    (void)state;
    for (int i = 0; i < 15; i++) {
        some_night(&a, &d, 3, 3);
        case_night(&a, false);
        for (size_t o = 0; o < a.night.n_options; o++)
            for (size_t k = 0; k < a.night.watch.n_members * a.night.n_hours; k++) {
                const struct watch_cell *x = &a.night.options[o].cells[k];
                assert_true(x->runt_grade >= x->grade && (double)x->runt_shortfall_c >= (double)x->shortfall_c - 1e-6);
                cells++;
                worse += x->runt_grade > x->grade;
            }
        for (size_t s = 0; s < a.plan.n_advice; s++)
            assert_true(a.plan.advice[s].after.runt_danger >= a.plan.advice[s].after.danger - 1e-12 &&
                        a.plan.advice[s].now.runt_danger >= a.plan.advice[s].now.danger - 1e-12);
        case_end(&a);
    }
    print_message("%zu cells, the runt worse in %zu\n", cells, worse);
    assert_true(worse > 100);
}

/* ---- deadlines --------------------------------------------------------------------------------------------------- */

/* A sow a day or two off and a bare hut; it is dry until `rain_h`, then it rains to the end. By when must the straw
 * be in? */
static double straw_deadline_h(double rain_h, double temp_c)
{
    double by = INFINITY;

    case_begin(&a);
    for (size_t i = 0; i < CASE_RUN; i++) {
        a.hours[i].temp_c = temp_c;
        a.hours[i].wind_mps = 5.0;
        a.hours[i].rain_mm = (double)i >= CASE_BEFORE + rain_h ? 1.5 : 0.0;
    }
    (void)case_sow(&a, "Bracken", 112.6);
    (void)case_hut(&a, "Alder hut", WALL_STEEL, 90.0, 0.0);
    case_night(&a, false);
    for (size_t i = 0; i < a.plan.n_actions; i++)
        if (a.night.options[a.plan.actions[i].option].bedded && isfinite(a.plan.actions[i].deadline.by_h))
            by = fmin(by, a.plan.actions[i].deadline.by_h);
    case_end(&a);
    return by;
}

static void rain_that_comes_earlier_brings_the_deadline_forward(void **state)
{
    size_t earlier = 0;

    (void)state;
    for (double temp_c = 1.0; temp_c <= 7.0; temp_c += 3.0) {
        double before = INFINITY;
        for (double rain_h = 20.0; rain_h >= 2.0; rain_h -= 1.0) {
            const double by = straw_deadline_h(rain_h, temp_c);
            assert_true(isfinite(by) && by <= rain_h + 1e-9);
            assert_true(by <= before + 1e-9);
            earlier += by < before - 0.5;
            before = by;
        }
    }
    print_message("brought forward %zu times\n", earlier);
    assert_true(earlier >= 6);
}

/* ---- one hut more, other order, one visit more ------------------------------------------------------------------- */

static double summed_danger(const struct night_case *c)
{
    double sum = 0.0;
    for (size_t i = 0; i < c->plan.n_advice; i++)
        sum += c->plan.advice[i].after.danger;
    return sum;
}

/* What the plan makes small: need and the price of work. The spare is no part of it. */
static double objective(const struct night_case *c)
{
    double sum = c->plan.need_after_c;

    for (size_t i = 0; i < c->plan.n_actions; i++) {
        const struct watch_option *o = &c->night.watch.options[c->plan.actions[i].option];
        sum += (double)c->plan.actions[i].n_sows *
               (watch_usual_weights.minute_c * o->minutes * o->people + watch_usual_weights.straw_kg_c * o->straw_kg);
    }
    return sum;
}

static void one_hut_more_never_raises_the_danger(void **state)
{
    struct dice d = prop_start();
    size_t helped = 0;
    double all = 0.0, most = 0.0;

    (void)state;
    for (int i = 0; i < 60; i++) {
        const struct dice here = d;
        double danger = 0.0, cost = 0.0;
        for (size_t more = 0; more < 2; more++) {
            d = here;
            some_night(&a, &d, 3, 2);
            a.herd.stock.straw_kg = 400.0;
            if (more) {
                struct dice other = dice_from((uint64_t)i + 7);
                a.sites[some_hut(&a, &other, hut_name[3])].placed = true;
            }
            case_night(&a, true);
            if (more) {
                if (objective(&a) > cost + 1e-6)
                    fail_msg("night %d: %.4f of danger and work with a hut more, %.4f without", i, objective(&a), cost);
                helped += objective(&a) < cost - 1e-6;
                all += summed_danger(&a) - danger;
                most = fmax(most, summed_danger(&a) - danger);
            }
            danger = summed_danger(&a);
            cost = objective(&a);
            case_end(&a);
        }
    }
    /* How deep the danger goes is what the plan makes small; the mere chance of any may rise a little for it: a flap
     * that made one sow's hut safe serves better where it makes another's bearable. */
    print_message("a hut more helped in %zu of 60 nights; the chance of danger summed over sows went by %.2f a night, "
                  "at most by +%.2f\n",
                  helped, all / 60.0, most);
    assert_true(helped > 10 && all < 0.0 && most < 0.25);
}

static void the_order_of_names_changes_nothing(void **state)
{
    struct dice d = prop_start();

    (void)state;
    for (int i = 0; i < 25; i++) {
        some_night(&a, &d, 4, 3);
        b = a;
        arena_open(&b.mem, 256u << 20);
        b.herd.sows = b.sows;
        b.herd.sites = b.sites;
        for (size_t s = 0; s < 4; s++) { /* the same sows and huts from the other end */
            b.sows[s] = a.sows[3 - s];
            b.sows[s].evidence.looks = a.looks[3 - s];
            b.sows[s].evidence.services = &a.service[3 - s];
        }
        for (size_t s = 0; s < 3; s++)
            b.sites[s] = a.sites[2 - s];
        case_night(&a, false);
        case_night(&b, false);
        for (size_t s = 0; s < 4; s++) {
            assert_string_equal(case_do(&a, sow_name[s]), case_do(&b, sow_name[s]));
            assert_string_equal(tonight_why(&a.night, &a.plan, case_advice(&a, sow_name[s])),
                                tonight_why(&b.night, &b.plan, case_advice(&b, sow_name[s])));
            assert_true(fabs(case_advice(&a, sow_name[s])->after.danger - case_advice(&b, sow_name[s])->after.danger) <
                        1e-9);
        }
        case_end(&a);
        case_end(&b);
    }
}

static void an_agreeing_sign_never_lowers_the_chance(void **state)
{
    struct dice d = prop_start();
    size_t raised = 0;

    (void)state;
    for (int i = 0; i < 300; i++) {
        struct breeding_prior prior;
        struct breeding_posterior post;
        case_begin(&a);
        const size_t s = case_sow(&a, "Bracken", prop_between(&d, 109.0, 118.0));
        for (enum breeding_sign g = BS_VULVA; g < BS_END; g++)
            if (chance_of(&d, 0.25))
                case_sign(&a, s, g, prop_between(&d, 0.2, 6.0), true);
        case_weather(&a, true);
        assert_int_equal(herd_chance(&a.herd, s, BREEDING_SEEN_NOW, &a.coming, &a.mem, &prior, &post, &a.why), ST_OK);
        const double p = breeding_within(&post, 12.0);
        case_sign(&a, s, (enum breeding_sign)(prop_bits(&d) % BS_END), 0.1, true);
        assert_int_equal(herd_chance(&a.herd, s, BREEDING_SEEN_NOW, &a.coming, &a.mem, &prior, &post, &a.why), ST_OK);
        if (breeding_within(&post, 12.0) < p - 1e-9)
            fail_msg("case %d: %.6f within 12 h, %.6f with one more sign (%s)", i, p, breeding_within(&post, 12.0),
                     breeding_sign_name[a.looks[s][a.sows[s].evidence.n_looks - 1].sign]);
        raised += breeding_within(&post, 12.0) > p + 1e-3;
        case_end(&a);
    }
    print_message("raised in %zu of 300\n", raised);
    assert_true(raised > 80);
}

static void one_visit_more_never_leaves_more_uncovered(void **state)
{
    struct dice d = prop_start();
    size_t fell = 0;

    (void)state;
    for (int i = 0; i < 20; i++) {
        const double *risk[CASE_SOWS];
        struct watch_rounds fewer = { 0 }, more = { 0 };
        some_night(&a, &d, 4, 1);
        case_night(&a, true);
        for (size_t s = 0; s < a.plan.n_advice; s++)
            risk[a.plan.advice[s].sow] = a.plan.advice[s].danger_after;
        struct watch_rounds_ask ask = { .n_hours = a.night.n_hours,
                                        .n_sows = a.night.n_sows,
                                        .risk = risk,
                                        .slot_minutes = 30,
                                        .from_h = 1.0,
                                        .until_h = 13.0,
                                        .most = 1,
                                        .enough = 0.0,
                                        .enough_chance = 0.0 };
        for (; ask.most <= 8; ask.most++) {
            if (watch_rounds(&ask, &a.mem, &more, &a.why) != ST_OK)
                fail_msg("%s", a.why.text);
            for (unsigned k = 1; k <= ask.most; k++)
                assert_true(more.uncovered[k] <= more.uncovered[k - 1] + 1e-12);
            if (ask.most > 1) {
                assert_true(more.uncovered[ask.most] <= fewer.uncovered[ask.most - 1] + 1e-12);
                fell += more.uncovered[ask.most] < fewer.uncovered[ask.most - 1] - 1e-6;
            }
            fewer = more;
        }
        case_end(&a);
    }
    print_message("fell %zu times\n", fell);
    assert_true(fell > 40);
}

/* ---- heat, what is not known, words ------------------------------------------------------------------------------ */

static void has_none_of(const char *text, const char *const words[], size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strstr(text, words[i]))
            fail_msg("\"%s\" in:\n%s", words[i], text);
}

static void a_hot_afternoon_brings_heat_advice_and_no_cold_advice(void **state)
{
    static const char *const cold_words[] = { "wet newborn", "straw", "flap and", "hang the flap", "dry and warm",
                                              "snow",        "cold",  "wall of",  "turn the door", "carry it out" };

    (void)state;
    case_begin(&a);
    for (size_t i = 0; i < CASE_RUN; i++) {
        const double sun_hour = fmod((double)i - CASE_BEFORE + 17.0 + 24.0, 24.0);
        a.hours[i].utc_s += 195 * DAY_S; /* late July: the first hour is 17:00 by the sun */
        a.hours[i].temp_c = 32.0 + 6.0 * cos((sun_hour - 16.0) * 0.2618);
        a.hours[i].rh = 0.4;
        a.hours[i].cloud_oktas = 1.0;
    }
    a.herd.at_utc_s += 195 * DAY_S;
    const size_t s = case_sow(&a, "Bracken", 114.8), hut = case_hut(&a, "Alder hut", WALL_STEEL, 180.0, 0.1);
    a.service[s].at_utc_s += 195 * DAY_S;
    a.sows[s].last_look_utc_s += 195 * DAY_S;
    a.sows[s].evidence.not_farrowed_by_utc_s += 195 * DAY_S;
    a.sows[s].evidence.known_to_utc_s += 195 * DAY_S;
    a.sites[hut].placed_utc_s += 195 * DAY_S;
    a.sites[hut].bedded_utc_s += 195 * DAY_S;
    case_weather(&a, true);
    a.coming.from_utc_s = a.herd.at_utc_s;
    const struct night_ask ask = { .n_hours = CASE_HOURS - 6, .lone_member = true };
    if (night_lay_out(&a.herd, &a.coming, &ask, &a.mem, &a.night, &a.why) != ST_OK)
        fail_msg("%s: %s", a.why.field, a.why.text);
    assert_int_equal(watch_plan(&a.night.watch, &watch_usual_weights, &a.mem, &a.plan, &a.why), ST_OK);
    const char *text = case_all_words(&a);
    assert_true(a.plan.n_heat > 0);
    assert_non_null(strstr(text, "Shade and a wallow"));
    assert_true(case_advice(&a, "Bracken")->now.danger < 1e-12);
    for (size_t i = 0; i < a.plan.n_advice; i++) {
        const struct watch_advice *v = &a.plan.advice[i];
        has_none_of(tonight_do(&a.night, &a.plan, v, tonight_action_of(&a.plan, v)), cold_words, COUNT(cold_words));
        has_none_of(tonight_why(&a.night, &a.plan, v), cold_words, COUNT(cold_words));
    }
    for (size_t i = 0; i < a.plan.n_actions; i++)
        has_none_of(night_do(&a.night, a.plan.actions[i].option), cold_words, COUNT(cold_words));
    for (size_t i = 0; i < a.plan.n_heat; i++)
        has_none_of(tonight_heat_words(&a.night, &a.plan.heat[i]), cold_words, COUNT(cold_words));
    has_none_of(tonight_in_short(&a.night, &a.plan), cold_words, COUNT(cold_words));
    case_end(&a);
}

/* Leave out one thing of every hour; the cells then are no better than with any value of it, and a sentence says so. */
static void missing(bool humidity)
{
    struct dice d = prop_start();
    size_t differ = 0;

    for (int i = 0; i < 24; i++) {
        const struct dice here = d;
        some_night(&a, &d, 1, 2);
        struct shelter nest = shelter_default(SHELTER_OPEN);
        (void)case_site(&a, "a nest", &nest, true);
        for (size_t s = 0; s < 2; s++)
            a.sites[s].placed = true;
        for (size_t k = 0; k < CASE_RUN; k++)
            *(humidity ? &a.hours[k].rh : &a.hours[k].wind_from_deg) = NAN;
        case_night(&a, true);
        const char *says = humidity ? "Humidity not known" : "Wind direction not known";
        bool said = false;
        for (size_t n = 0; n < a.night.n_assumed; n++)
            said = said || strncmp(a.night.assumed[n], says, strlen(says)) == 0;
        if (!said)
            fail_msg("nowhere: %s", says);
        for (size_t v = 0; v < 4; v++) {
            d = here;
            some_night(&b, &d, 1, 2);
            (void)case_site(&b, "a nest", &nest, true);
            for (size_t s = 0; s < 2; s++)
                b.sites[s].placed = true;
            for (size_t k = 0; k < CASE_RUN; k++)
                *(humidity ? &b.hours[k].rh : &b.hours[k].wind_from_deg) =
                    humidity ? 0.4 + 0.2 * (double)v : 90.0 * (double)v;
            case_night(&b, true);
            differ += never_better(case_stands(&a, hut_name[0]), case_stands(&b, hut_name[0]), says, &b);
            differ += never_better(case_stands(&a, hut_name[1]), case_stands(&b, hut_name[1]), says, &b);
            differ += never_better(case_stands(&a, "a nest"), case_stands(&b, "a nest"), says, &b);
            case_end(&b);
        }
        case_end(&a);
    }
    print_message("%zu hours colder for want of it\n", differ);
    assert_true(differ > 100);
}

static void without_humidity_the_colder_is_taken_and_said(void **state)
{
    (void)state;
    missing(true);
}

static void without_a_wind_direction_the_colder_is_taken_and_said(void **state)
{
    (void)state;
    missing(false);
}

static void no_sentence_predicts_deaths(void **state)
{
    static const char *const words[] = { "die", "dead", "death", "mortal", "lost piglets", "surviv" };
    struct dice d = prop_start();
    size_t letters = 0;

    (void)state;
    for (int i = 0; i < 40; i++) {
        some_night(&a, &d, 4, 3);
        case_night(&a, true);
        const char *text = case_all_words(&a);
        letters += strlen(text);
        has_none_of(text, words, COUNT(words));
        case_end(&a);
    }
    assert_true(letters > 20000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(worse_weather_never_makes_an_open_nest_better),
        cmocka_unit_test(a_door_out_of_the_wind_is_never_worse),
        cmocka_unit_test(deeper_dry_straw_is_never_worse),
        cmocka_unit_test(the_runt_is_never_better_off),
        cmocka_unit_test(rain_that_comes_earlier_brings_the_deadline_forward),
        cmocka_unit_test(one_hut_more_never_raises_the_danger),
        cmocka_unit_test(the_order_of_names_changes_nothing),
        cmocka_unit_test(an_agreeing_sign_never_lowers_the_chance),
        cmocka_unit_test(one_visit_more_never_leaves_more_uncovered),
        cmocka_unit_test(a_hot_afternoon_brings_heat_advice_and_no_cold_advice),
        cmocka_unit_test(without_humidity_the_colder_is_taken_and_said),
        cmocka_unit_test(without_a_wind_direction_the_colder_is_taken_and_said),
        cmocka_unit_test(no_sentence_predicts_deaths),
    };
    return cmocka_run_group_tests_name("e2e/sane", tests, NULL, NULL);
}
