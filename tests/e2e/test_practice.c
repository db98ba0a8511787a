/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What people who farrow outdoors do, and whether the reckoning comes to the same. Every fact here is common
 * practice, no source; the nights are invented.
 */
#include "tests/e2e/night_case.h"

#include "core/nest/facing.h"

static struct night_case a;

static void steady(double temp_c, double wind_mps, double rain_mm)
{
    case_begin(&a);
    for (size_t i = 0; i < CASE_RUN; i++) {
        a.hours[i].temp_c = temp_c;
        a.hours[i].wind_mps = wind_mps;
        a.hours[i].rain_mm = i >= CASE_BEFORE + 3 ? rain_mm : 0.0;
    }
}

/* A sow at term with a tight udder and milk in drops. */
static size_t near_sow(void)
{
    const size_t s = case_sow(&a, "Bracken", 114.8);
    case_sign(&a, s, BS_UDDER, 10.0, true);
    case_sign(&a, s, BS_DROPS, 2.0, true);
    return s;
}

static void hedge(void)
{
    a.breaks[0] = (struct herd_break){ .name = "the hedge",
                                       .uid = "hedge",
                                       .kind = "hedge",
                                       .height_m = 2.5,
                                       .porosity = 0.45,
                                       .bearing_deg = 270.0,
                                       .length_m = 80.0,
                                       .paddock = HERD_NONE };
    a.herd.n_breaks = 1;
}

static const struct night_option *what_serves(void)
{
    assert_true(case_advice(&a, "Bracken")->option != WATCH_NONE);
    return &a.night.options[case_advice(&a, "Bracken")->option];
}

/* Half a small bale goes into a hut, a little more in hard frost, never more than one (common practice, no source).
 * A small bale weighs about 18 kg. */
static void half_a_bale_to_a_bale_goes_into_a_bare_hut(void **state)
{
    double least = INFINITY, most = 0.0;

    (void)state;
    assert_true(fabs(night_straw_depth_m(9.0, false) - 0.15) < 1e-9); /* half a bale where she nests */
    assert_true(fabs(night_straw_depth_m(18.0, true) - 0.20) < 1e-9); /* a bale in the open spreads further */
    for (double temp_c = -16.0; temp_c <= 2.0; temp_c += 3.0)
        for (double wind_mps = 2.0; wind_mps <= 8.0; wind_mps += 3.0) {
            steady(temp_c, wind_mps, 0.0);
            (void)near_sow();
            (void)case_hut(&a, "Alder hut", WALL_WOOD, 90.0, 0.0);
            case_night(&a, false);
            const struct night_option *o = what_serves();
            assert_true(o->bedded);
            least = fmin(least, o->straw_kg_more / 18.0);
            most = fmax(most, o->straw_kg_more / 18.0);
            case_end(&a);
        }
    print_message("%.2f to %.2f of a bale\n", least, most);
    assert_true(least >= 0.45 && least <= 0.55 && most <= 1.0);
}

/* A sow who has nested in the open gets a whole bale, and is left where she is (common practice, no source). */
static void a_bale_for_a_sow_nesting_in_the_open(void **state)
{
    (void)state;
    for (double temp_c = -10.0; temp_c <= 4.0; temp_c += 7.0) {
        struct shelter nest = shelter_default(SHELTER_OPEN);
        steady(temp_c, 3.0, 0.0);
        const size_t s = near_sow();
        nest.straw_m = 0.03; /* what she carried together */
        const size_t at = case_site(&a, "her nest", &nest, true);
        (void)case_hut(&a, "Alder hut", WALL_WOOD, 90.0, 0.2);
        case_nests(&a, s, at);
        case_sign(&a, s, BS_NEST, 1.0, true);
        case_night(&a, false);
        const struct night_option *o = what_serves();
        assert_string_equal(a.night.sites[o->site].name, "her nest");
        assert_true(o->straw_kg_more >= 0.75 * 18.0 && o->straw_kg_more <= 1.1 * 18.0);
        assert_non_null(strstr(case_do(&a, "Bracken"), "a bale of straw"));
        assert_non_null(strstr(case_do(&a, "Bracken"), "Leave her where she is."));
        case_end(&a);
    }
}

/* Rain means huts: straw in the open is wet through in an hour (common practice, no source). */
static void rain_means_huts(void **state)
{
    (void)state;
    for (double temp_c = 1.0; temp_c <= 10.0; temp_c += 3.0)
        for (double wind_mps = 1.0; wind_mps <= 7.0; wind_mps += 3.0) {
            steady(temp_c, wind_mps, 1.5);
            (void)near_sow();
            hedge();
            a.sites[case_hut(&a, "Alder hut", WALL_WOOD, 90.0, 0.0)].placed = false;
            case_night(&a, false);
            const struct night_option *o = what_serves();
            assert_true(o->moved && a.night.sites[o->site].kind == NIGHT_HUT_IN_STORE);
            for (size_t i = 0; i < a.plan.n_actions; i++) /* and no bale is laid out to be rained on */
                assert_true(a.night.options[a.plan.actions[i].option].moved);
            case_end(&a);
        }
}

/* On a calm, dry, mild night straw in the lee will do: no hut is carried out (common practice, no source). */
static void on_a_calm_dry_mild_night_straw_in_the_lee_will_do(void **state)
{
    (void)state;
    for (double temp_c = 3.0; temp_c <= 12.0; temp_c += 3.0) {
        steady(temp_c, 1.5, 0.0);
        (void)near_sow();
        hedge();
        a.sites[case_hut(&a, "Alder hut", WALL_WOOD, 90.0, 0.0)].placed = false;
        case_night(&a, false);
        for (size_t i = 0; i < a.plan.n_actions; i++)
            assert_false(a.night.options[a.plan.actions[i].option].moved);
        assert_int_equal(a.night.sites[what_serves()->site].kind, NIGHT_BED_LEE);
        /* what danger is left is that of her lying down elsewhere */
        const double p_use = 0.75;
        assert_true(case_advice(&a, "Bracken")->after.danger <=
                    (1.0 - p_use) * case_advice(&a, "Bracken")->now.danger + 0.01);
        case_end(&a);
    }
}

/* In hard frost and wind a hut goes out, over frozen ground too (common practice, no source). */
static void in_frost_and_wind_a_hut_goes_out(void **state)
{
    (void)state;
    for (double temp_c = -14.0; temp_c <= -5.0; temp_c += 3.0) {
        steady(temp_c, 5.0, 0.0);
        (void)near_sow();
        hedge();
        a.sites[case_hut(&a, "Alder hut", WALL_WOOD, 90.0, 0.0)].placed = false;
        case_night(&a, false);
        const struct night_option *o = what_serves();
        assert_true(o->moved && o->bedded);
        case_end(&a);
    }
}

/* A sow at term who carries straw farrows within a day or two, mostly within the day (common practice, no source). */
static void a_sow_that_carries_straw_farrows_within_a_day_or_two(void **state)
{
    (void)state;
    for (double day = 114.0; day <= 117.0; day += 0.5) { /* at term, and scanned in pig */
        struct breeding_prior prior;
        struct breeding_posterior post;
        case_begin(&a);
        const size_t s = case_sow(&a, "Bracken", day);
        const struct breeding_scan scan = { .at_utc_s = case_at_utc_s - 80 * DAY_S, .positive = true };
        a.sows[s].evidence.scans = &scan;
        a.sows[s].evidence.n_scans = 1;
        case_sign(&a, s, BS_NEST, 1.0, true);
        case_weather(&a, true);
        assert_int_equal(herd_chance(&a.herd, s, BREEDING_SEEN_NOW, &a.coming, &a.mem, &prior, &post, &a.why), ST_OK);
        print_message("day %.1f: %.2f within 24 h, %.2f within 48 h\n", day, breeding_within(&post, 24.0),
                      breeding_within(&post, 48.0));
        assert_true(breeding_within(&post, 48.0) >= 0.9);
        assert_true(breeding_within(&post, 24.0) >= 0.75);
        case_end(&a);
    }
}

/* Cold degree-hours of a steel hut's door by bearing: ten January days at 45 N, half cloud, the wind from south-west
 * by west to west-north-west as it comes in such winters; or from south-west alone. */
static void doors(bool south_west_alone, struct facing *f)
{
    static struct hour hours[240];
    static const double from[] = { 225.0, 270.0, 292.0 };
    struct facing_ask ask = facing_ask_default();
    struct shelter hut = shelter_default(SHELTER_HUT);
    struct dice d = prop_start();

    case_begin(&a);
    for (size_t i = 0; i < COUNT(hours); i++) {
        hours[i] = a.hours[0];
        hours[i].utc_s = case_at_utc_s + (int64_t)i * HOUR_S;
        hours[i].temp_c = -6.0 + 4.0 * cos(((double)i - 21.0) * 0.2618); /* warmest in mid-afternoon */
        hours[i].cloud_oktas = 4.0;
        hours[i].wind_mps = prop_between(&d, 2.0, 8.0);
        hours[i].wind_from_deg = (south_west_alone ? 225.0 : from[i / 8 % COUNT(from)]) + prop_between(&d, -15.0, 15.0);
    }
    ask.n = COUNT(hours);
    ask.hours = hours;
    ask.lat_deg = 45.0;
    ask.lon_deg = -93.0;
    ask.shelter = &hut;
    ask.standard_offset_s = -6 * (int)HOUR_S;
    if (facing_find(&ask, &a.mem, f, &a.why) != ST_OK)
        fail_msg("%s: %s", a.why.field, a.why.text);
    case_end(&a);
}

static double cold_at(const struct facing *f, double deg)
{
    return f->rows[(size_t)(deg / 5.0)].cold_degree_hours_per_day;
}

/* Doors look south-east in winter where the wind comes from the south-west and west: out of the wind, first sun in
 * (common practice, no source). */
static void a_door_to_the_south_east_is_out_of_the_winter_wind(void **state)
{
    static struct facing f;

    (void)state;
    for (int alone = 0; alone < 2; alone++) {
        doors(alone, &f);
        print_message("%s: best %.0f (%.1f degree-hours a day), SE %.1f, S %.1f, SW %.1f, W %.1f, worst %.0f (%.1f)\n",
                      alone ? "SW alone" : "SW, W and WNW", f.best_deg, f.best, cold_at(&f, 135.0), cold_at(&f, 180.0),
                      cold_at(&f, 225.0), cold_at(&f, 270.0), f.worst_deg, f.worst);
        assert_true(f.best_deg >= 30.0 && f.best_deg <= 150.0);
        /* Near the best where the wind comes from all of the western side, as it does: about a fifth above. With
         * nothing but south-west wind the back of the hut wants north-east more strictly than the trade keeps it: two
         * thirds above. */
        assert_true(cold_at(&f, 135.0) < (alone ? 1.75 : 1.3) * f.best);
        assert_true(cold_at(&f, 135.0) < 0.5 * cold_at(&f, 225.0)); /* and far below a door into the wind */
        assert_true(f.worst - cold_at(&f, 135.0) > (alone ? 0.7 : 0.85) * (f.worst - f.best));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(half_a_bale_to_a_bale_goes_into_a_bare_hut),
        cmocka_unit_test(a_bale_for_a_sow_nesting_in_the_open),
        cmocka_unit_test(rain_means_huts),
        cmocka_unit_test(on_a_calm_dry_mild_night_straw_in_the_lee_will_do),
        cmocka_unit_test(in_frost_and_wind_a_hut_goes_out),
        cmocka_unit_test(a_sow_that_carries_straw_farrows_within_a_day_or_two),
        cmocka_unit_test(a_door_to_the_south_east_is_out_of_the_winter_wind),
    };
    return cmocka_run_group_tests_name("e2e/practice", tests, NULL, NULL);
}
