/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The newborn's heat balance against measurements outside this project. The tolerances are those of the measurements
 * (their own spread between piglets and pens), not of the arithmetic. Some of these data were used when the constants
 * were fitted; those rows say so: agreement there is no independent proof. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "core/piglet/piglet.h"

static struct piglet_air still(double temp_c, double rh, enum piglet_floor floor)
{
    return (struct piglet_air){ .air_c = temp_c,
                                .rh = rh,
                                .draught_mps = 0.1,
                                .radiant_c = temp_c,
                                .bed_c = temp_c,
                                .floor = floor,
                                .straw_m = floor == PIGLET_STRAW ? 0.05 : 0.0 };
}

static void near(const char *what, double got, double want, double tolerance, const char *source)
{
    if (!(fabs(got - want) <= tolerance))
        fail_msg("%s: want %g within %g, got %.4f - %s", what, want, tolerance, got, source);
}

static struct piglet_result follow(const struct piglet *who, const struct piglet_air *air, struct piglet_series *series)
{
    struct piglet_result r;
    struct message why = { "", "" };

    if (piglet_run(NULL, who, 1, air, series, &r, &why) != ST_OK)
        fail_msg("%s", why.text);
    return r;
}

static void lower_critical_temperature_of_one_newborn(void **state) /* C1, C2 */
{
    static const char *const source =
        "32 .. 35 C: Noblet et al. 1997, J. Anim. Sci. 75:2708; Milan et al. 2019, Trans. ASABE 62:321";
    const struct piglet_air air = still(30.0, 0.7, PIGLET_MESH);
    const double light = piglet_lower_critical_c(NULL, 1.0, 1.0, false, 0.0, false, &air);
    const double middle = piglet_lower_critical_c(NULL, 1.4, 1.0, false, 0.0, false, &air);
    const double heavy = piglet_lower_critical_c(NULL, 2.0, 1.0, false, 0.0, false, &air);

    (void)state;
    near("1.0 kg at birth", light, 34.5, 2.0, source);
    near("1.4 kg at birth", middle, 34.5, 2.0, source);
    near("2.0 kg at birth", heavy, 34.5, 2.0, source);
    assert_true(light > middle && middle > heavy);
    near("1.4 kg, 24 h, fed", piglet_lower_critical_c(NULL, 1.4, 1.0, false, 24.0, true, &air), 33.5, 2.0, source);
}

static void lower_critical_temperature_in_a_huddle(void **state) /* C3 */
{
    static const char *const source =
        "25 .. 30 C: veterinary disease reference 'Hypothermia'; saving grows: Mount 1960, J. Agric. "
        "Sci. 55 (fitted to)";
    const struct piglet_air air = still(30.0, 0.7, PIGLET_MESH);
    double before = 40.0;

    (void)state;
    for (int mates = 4; mates <= 12; mates += 4) {
        const double c = piglet_lower_critical_c(NULL, 1.4, mates, false, 24.0, true, &air);
        near("huddle", c, 27.5, 4.0, source);
        assert_true(c < before);
        before = c;
    }
}

static double loss_on(double temp_c, enum piglet_floor floor)
{
    const struct piglet_air air = still(temp_c, 0.7, floor);

    return piglet_loss_w_kg(NULL, 1.4, 38.2, 0.0, 1.0, false, 24.0, &air);
}

static void straw_against_concrete(void **state) /* C4, C5 */
{
    static const char *const source = "Stephens 1971, Anim. Prod. 13: -17 % at 10 C, -27 % at 20 C (fitted to)";
    double same_c = 10.0;

    (void)state;
    near("straw / concrete at 10 C", loss_on(10.0, PIGLET_STRAW) / loss_on(10.0, PIGLET_CONCRETE), 0.83, 0.08, source);
    near("straw / concrete at 20 C", loss_on(20.0, PIGLET_STRAW) / loss_on(20.0, PIGLET_CONCRETE), 0.73, 0.08, source);
    while (loss_on(same_c, PIGLET_CONCRETE) > loss_on(10.0, PIGLET_STRAW))
        same_c += 0.05;
    near("straw at 10 C equals concrete at", same_c, 18.0, 2.0, "Stephens 1971");
}

static double mean_heat(double temp_c, bool fed)
{
    const struct piglet_air air = still(temp_c, 0.7, PIGLET_MESH);
    struct piglet who = piglet_newborn();

    who.mass_kg = 1.4;
    who.wet = 0.0;
    who.mates = 0.0;
    who.hours = 24.0;
    who.suckles = fed;
    who.milk_at_once = true;
    return follow(&who, &air, NULL).mean_heat_w_kg;
}

static void heat_made_in_the_first_day(void **state) /* C6, C7, C8 */
{
    static const char *const source = "Herpin et al. 1994, Exp. Physiol. 79:1011: +74 % from 34 to 24 C; fasting -30 %";
    const struct piglet_air warm = still(34.0, 0.7, PIGLET_MESH), cool = still(24.0, 0.7, PIGLET_MESH);

    (void)state;
    near("24 C / 34 C, fed", mean_heat(24.0, true) / mean_heat(34.0, true), 1.74, 0.20, source);
    near("unfed / fed at 34 C", mean_heat(34.0, false) / mean_heat(34.0, true), 0.70, 0.20, source);
    near("unfed / fed at 24 C", mean_heat(24.0, false) / mean_heat(24.0, true), 0.70, 0.20, source);
    near("W/(kg C) from 34 to 24 C",
         (piglet_loss_w_kg(NULL, 1.4, 38.6, 0.0, 1.0, false, 24.0, &cool) -
          piglet_loss_w_kg(NULL, 1.4, 38.6, 0.0, 1.0, false, 24.0, &warm)) /
             10.0,
         0.38, 0.08, "Noblet et al. 1997: 25 J/(kg^0.75 min C) = 0.38 W/(kg C) at 1.4 kg");
}

static void an_unfed_newborn_cooling_at_14_c(void **state) /* C9 */
{
    struct piglet_air air = still(14.0, 0.7, PIGLET_MESH);
    struct piglet_point points[4];
    struct piglet_series series = { points, 4, 0, 240.0 };
    struct piglet who = piglet_newborn();

    (void)state;
    air.draught_mps = 0.15;
    who.mass_kg = 1.2;
    who.wet = 0.0;
    who.suckles = false;
    who.mates = 0.0;
    who.age_h = 2.0;
    who.body_c = 38.5;
    who.hours = 8.0;
    const struct piglet_result r = follow(&who, &air, &series);
    near("peak heat, W/kg", r.peak_heat_w_kg, 9.67, 1.3,
         "Lossec, Herpin & Le Dividich 1998, Exp. Physiol. 83: 9.67 +- 1.28");
    assert_true(series.n >= 2 && points[1].body_c < 38.5 && points[1].body_c > r.end_c); /* cools steadily */
    near("body after 8 h", r.end_c, 31.5, 2.5, "the same: cooled to about 30");
}

static struct piglet_result in_the_pen(double mass_kg, struct piglet_series *series)
{
    const struct piglet_air air = still(22.8, 0.5, PIGLET_WOOD);
    struct piglet who = piglet_newborn();

    who.mass_kg = mass_kg;
    who.mates = 6.0;
    who.rub_per_h = 0.6;
    return follow(&who, &air, series);
}

static void the_fall_after_birth_in_a_pen(void **state) /* C10, C11, C12 */
{
    static const char *const source =
        "Cooper, Ellis, Xiong & Gates 2018, ASAS Midwest: 1.40 kg, 22.8 C: -4.4 +- 1.6 at 30 min, -0.9 at "
        "240 min; lightest quarter coldest";
    struct piglet_point points[4];
    struct piglet_series series = { points, 4, 0, 240.0 };
    const struct piglet_result r = in_the_pen(1.4, &series);

    (void)state;
    near("fall at 30 min", 39.0 - r.at_30min_c, 4.4, 1.2, source);
    near("fall at 240 min", 39.0 - points[1].body_c, 0.9, 0.6, source);
    near("minute of the lowest", r.min_at_min, 30.0, 15.0, source);
    assert_true(in_the_pen(1.0, NULL).at_30min_c < in_the_pen(1.8, NULL).at_30min_c);
    assert_in_range(r.grade, 0, 1); /* the limits of the grades are anchored to this pen */
}

static void colostrum_eaten_in_the_cold(void **state) /* C13 */
{
    double milk[2];

    (void)state;
    for (int i = 0; i < 2; i++) {
        const struct piglet_air air = still(i ? 31.0 : 19.0, 0.6, PIGLET_WOOD);
        struct piglet who = piglet_newborn();
        who.mates = 6.0;
        who.rub_per_h = 0.6;
        who.hours = 24.0;
        milk[i] = follow(&who, &air, NULL).milk_g_kg;
    }
    near("eaten at 19 C / 31 C - 1", milk[0] / milk[1] - 1.0, -0.368, 0.12,
         "Le Dividich & Noblet 1981, Biol. Neonate 40:167: -36.8 % at 18-20 against 30-32 C");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lower_critical_temperature_of_one_newborn),
        cmocka_unit_test(lower_critical_temperature_in_a_huddle),
        cmocka_unit_test(straw_against_concrete),
        cmocka_unit_test(heat_made_in_the_first_day),
        cmocka_unit_test(an_unfed_newborn_cooling_at_14_c),
        cmocka_unit_test(the_fall_after_birth_in_a_pen),
        cmocka_unit_test(colostrum_eaten_in_the_cold),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
