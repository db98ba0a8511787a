/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Constants, defaults and words of the nest. Sources tag by tag in docs/reckoning/nest.md.
 */
#include "core/nest/own.h"

const char *const shelter_kind_name[SHELTER_KIND_END] = { "open", "lee", "hut", "barn" };
const char *const hut_wall_name[HUT_WALL_END] = { "steel", "plastic", "wood", "insulated" };

/* clang-format off */
const struct nest_model nest_published = {
    .roughness_m = 0.03, .hut_height_m = 0.5, .nest_height_m = 0.25,
    .still_mps = 0.08, .hollow_share = 0.55, .hollow_depth_m = 0.10, /* assumed: the bed's wall and the sow's back */
    .sow_total_coef = 4.85, .sow_milk_coef = 28.0, .sow_sensible_0 = 0.62, .sow_per_k = 0.012,
    .sow_sensible_6 = 1.15e-10,
    .piglet_w_kg = 5.0,                                                      /* CIGR 2002, recalled */
    .wall_r = { 0.0, 0.015, 0.10, 0.8 },
    .outside_h = 10.0, .outside_wind_h = 4.0, .inside_h = 8.0,
    .flow_wind = 0.001, .flow_buoyancy = 0.0035, .flow_rest = 0.01,          /* de Gids & Phaff 1982, recalled */
    .flow_through = 0.6, .flap_door = 0.25, .flap_draught = 0.25,            /* flap: assumed, sows leave it gaping */
    .through = { 1.00, 0.75, 0.35, 0.25, 0.30 },                             /* assumed */
    .draught = { 0.20, 0.16, 0.07, 0.045, 0.03 }, .draught_least = 0.06,      /* assumed */
    .air_heat = 1230.0,
    .alpha_dark = 0.75, .alpha_white = 0.25, .sun_on_skin = 0.40, .door_sun = 0.8, .sun_on_piglet = 0.065,
    .sky_w_m2 = 60.0, .sky_on_skin = 0.36,
    .warm_share = 0.35, .warm_depth_m = 0.15, .warm_wind_mps = 0.5, .warm_c = 35.0, /* assumed, least certain of all */
    .bed_cold_c = 5.0, .bed_share = 0.35, .bed_least_c = -3.0,               /* assumed */
    .open_sky_k = 20.0,
    .barn_draught_mps = 0.12, .hut_rh = 0.80,
    .rain_wet_least = 0.3, .rain_from_c = 0.5, .damp_mm = 0.5, .soaked_mm = 3.0, .dry_mm_h = 0.05,
    .driven_mm = 0.5, .driven_mps = 3.0, .driven_deg = 60.0, .damp_after_h = 2.0, .soaked_after_h = 12.0,
    .driven_dry_h = 0.1,
    .evaporate_w_l = 680.0,
    .no_rh = 0.4, .no_rh_hut = 0.6, .no_rain_mm = 0.5, .straw_damp_after_d = 14.0,
};
/* clang-format on */

struct shelter shelter_default(enum shelter_kind kind)
{
    return (struct shelter){
        .kind = kind,
        .lee = { .stands = kind == SHELTER_LEE,
                 .porosity = 0.5,
                 .distance_heights = 5.0,
                 .bearing_deg = NAN,
                 .width_heights = NAN },
        .hut = { .floor_length_m = 2.4,
                 .floor_width_m = 1.8,
                 .height_m = 1.1,
                 .skin_m2 = 8.5,
                 .door_width_m = 0.70,
                 .door_height_m = 0.85,
                 .leaks_m2 = 0.02,
                 .wall = WALL_STEEL,
                 .facing_deg = NAN },
        .barn_warmer_k = 2.0,
        .barn_temp_c = NAN,
        .floor = PIGLET_STRAW,
        .straw_m = 0.20,
        .straw = STRAW_DRY,
    };
}

struct place place_default(void)
{
    return (struct place){ .wind_ratio = 1.0, .temp_offset_k = 0.0, .albedo = 0.2 };
}

struct nest_inside nest_inside_default(void)
{
    return (struct nest_inside){ .sow_kg = 200.0, .milk_kg_d = 1.0, .piglets = 8.0, .piglet_kg = 1.3 };
}

struct nest_sun nest_sun_unknown(void)
{
    return (struct nest_sun){ NAN, NAN, NAN, NAN, NAN, NAN };
}

const char *nest_assumed_words(unsigned bit)
{
    switch ((enum nest_assumption)bit) {
    case NEST_NO_RH: return "humidity not known: dry air is taken, it cools wet skin more";
    case NEST_NO_WIND_FROM: return "wind direction not known: the wind is taken to blow straight in at the door";
    case NEST_NO_CLOUD:
        return "cloud not known: a clear sky is taken, it draws more warmth from an open nest and from a hut by night";
    case NEST_NO_RAIN: return "rain not known: above 0.5 °C (33 °F) light rain is taken";
    case NEST_NO_SUN: return "sun not known: none is taken, so a hut may be warmer than shown by day";
    case NEST_NO_FACING: return "the door's bearing not known: it is taken to look straight into the wind";
    case NEST_NO_BREAK_BEARING: return "where the windbreak stands is not known: it is taken as square to the wind";
    case NEST_NO_BREAK_WIDTH:
        return "the windbreak's length not known: it is taken as long enough, ten times its height";
    }
    return NULL;
}

int nest_heat_grade(double hut_c)
{
    static const double from_c[] = { 22.0, 25.0, 27.0, 31.0 };
    int grade = 0;

    if (isnan(hut_c))
        return -1;
    for (size_t i = 0; i < COUNT(from_c); i++)
        if (hut_c >= from_c[i])
            grade = (int)i + 1;
    return grade;
}

const char *nest_heat_words(int grade)
{
    static const char *const words[] = {
        "cool enough for her",
        "warm; water within reach, open the vents, watch her breathing",
        "she is under heat stress; open vents and flap, give shade and plenty of water",
        "too hot to farrow well: shade, wet ground, every opening open, look often",
        "emergency: shade, moving air, wet ground under her; do not drive her; call the vet",
    };

    return grade >= 0 && (size_t)grade < COUNT(words) ? words[grade] : NULL;
}

double nest_sow_lower_critical_c(const struct nest_sow_bed *bed)
{
    const double condition = isnan(bed->condition) ? 3.0 : bed->condition;

    if (!(condition >= 1.0 && condition <= 5.0) || !(bed->hardy_k >= 0.0 && bed->hardy_k <= 10.0))
        return NAN;
    /* alone on a bare floor 20, in a group 16, in deep dry straw 12, wet or draughty 5 more; 2 K a score is judgement
     */
    return (bed->deep_dry_straw ? 12.0
            : bed->alone        ? 20.0
                                : 16.0) +
           (bed->wet_or_draughty ? 5.0 : 0.0) - bed->hardy_k + 2.0 * (3.0 - condition);
}

int nest_sow_cold_grade(const struct nest_sow_bed *bed, double air_c)
{
    const double lower_c = nest_sow_lower_critical_c(bed);
    const bool poor = bed->wet_or_draughty || !bed->deep_dry_straw || bed->condition < 2.5;

    if (isnan(lower_c) || isnan(air_c))
        return -1;
    if (air_c < -10.0 || (poor && air_c < 0.0))
        return 2;
    return air_c < lower_c ? 1 : 0;
}

const char *nest_sow_cold_words(int grade)
{
    static const char *const words[] = {
        "warm enough for her",
        "she needs more feed in this cold",
        "too cold for her as she lies: dry deep straw, shelter and more feed now; a thin or wet sow first",
    };

    return grade >= 0 && (size_t)grade < COUNT(words) ? words[grade] : NULL;
}
