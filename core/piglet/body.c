/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The body in its surroundings: constants, areas, skin, loss. Sources tag by tag in docs/reckoning/piglet.md.
 */
#include "core/piglet/own.h"

const char *const piglet_floor_name[PIGLET_FLOOR_END] = { "mesh", "concrete", "wood", "soil", "straw" };
const char *const straw_state_name[STRAW_STATE_END] = { "dry", "damp", "soaked" };

/* clang-format off */
const struct piglet_model piglet_published = {
    .area_coef = 0.0974, .area_exp = 0.633,            /* Brody form, recalled */
    .heat_capacity = 3600.0,
    .sow_share = 0.12, .udder_c = 36.0, .r_udder = 0.03,
    .huddle_least = 0.60, .huddle_fall = 2.5, /* fitted to a lower critical temperature of 25 .. 30 °C in a huddle */
    .bed_share = 0.20, .bed_share_straw = 0.25, .bed_share_depth_m = 0.08,
    .still_h = 3.5, .wind_h = 11.0, .emissivity = 0.95, .lewis = 16.5,
    .r_concrete = 0.03, .r_wood = 0.11, .r_soil = 0.06, /* concrete, straw: Stephens 1971; wood fitted; soil assumed */
    .r_straw_least = 0.05, .straw_squash = 0.5,
    .k_straw = { 0.06, 0.12, 0.30 },
    .tissue_ref = 0.05, .tissue_least = 0.01, .tissue_more = 0.10,
    .vessel_skin_c = 36.6, .vessel_slope_k = 3.5, .vessel_h = 0.35,
    .ref_body_c = 38.5, .cover_c = 37.5,
    .breath_w_kg = 0.35,
    .water_kg_m2 = 0.20, .latent_j_kg = 2.43e6,
    .rub_bare_per_h = 0.6, .rub_straw_per_h = 1.5,     /* assumed */
    .neutral_w_kg = 3.5, .neutral_fed_w_kg = 1.5, .neutral_fed_h = 10.0, /* Mount 1959; Herpin et al. 2002 */
    .summit_w_kg = 9.7, .summit_birth_w_kg = 2.7, .summit_birth_h = 0.8, /* Lossec et al. 1998 at 2 h */
    .summit_fed_w_kg = 5.5, .summit_fed_h = 24.0,      /* Herpin et al. 2002 */
    .shiver_skin_c = 36.0, .shiver_skin_w = 0.35, .shiver_body_c = 38.6, .shiver_body_w = 1.5,
    .heat_lag_s = 900.0,
    .fail_body_c = 34.4, .fail_per_k = 0.08, .fail_least = 0.05, /* 34.4: Lossec et al. 1998; slope fitted */
    .reserve_kj_kg = 420.0, .reserve_most_kj_kg = 600.0, .reserve_low_kj_kg = 100.0, .reserve_floor = 0.35,
    .milk_after_h = 0.75, .milk_until_h = 24.0, .milk_g_kg_h = 9.0, .milk_kj_g = 3.6,
    .collapse_c = 25.0,
};
/* clang-format on */

double piglet_vapour_kpa(double temp_c)
{
    return 0.6108 * exp(17.27 * temp_c / (temp_c + 237.3));
}

double piglet_h_c(const struct piglet_model *m, double draught_mps)
{
    if (!m)
        m = &piglet_published;
    if (!(draught_mps >= 0.0))
        return NAN;
    const double wind = m->wind_h * sqrt(draught_mps);
    return cbrt(m->still_h * m->still_h * m->still_h + wind * wind * wind);
}

double piglet_bed_resistance(const struct piglet_model *m, const struct piglet_air *air)
{
    switch (air->floor) {
    case PIGLET_MESH: return INFINITY;
    case PIGLET_CONCRETE: return m->r_concrete;
    case PIGLET_WOOD: return m->r_wood;
    case PIGLET_SOIL: return m->r_soil;
    case PIGLET_STRAW: return m->r_straw_least + m->straw_squash * air->straw_m / m->k_straw[air->straw];
    case PIGLET_FLOOR_END: break;
    }
    return NAN;
}

static double bed_share(const struct piglet_model *m, const struct piglet_air *air)
{
    switch (air->floor) {
    case PIGLET_MESH: return 0.0;
    case PIGLET_STRAW: return m->bed_share + m->bed_share_straw * (1.0 - exp(-air->straw_m / m->bed_share_depth_m));
    case PIGLET_CONCRETE:
    case PIGLET_WOOD:
    case PIGLET_SOIL:
    case PIGLET_FLOOR_END: break;
    }
    return m->bed_share;
}

struct body_size piglet_size(const struct piglet_model *m, double mass_kg, double mates)
{
    return (struct body_size){ mass_kg, m->area_coef * pow(mass_kg, m->area_exp),
                               m->huddle_least +
                                   (1.0 - m->huddle_least) * exp(-(fmax(1.0, mates) - 1.0) / m->huddle_fall) };
}

void piglet_body(const struct piglet_model *m, double mass_kg, double mates, bool at_udder,
                 const struct piglet_air *air, struct body *b)
{
    const struct body_size size = piglet_size(m, mass_kg, mates);

    piglet_body_of_size(m, &size, at_udder, air, b);
}

void piglet_body_of_size(const struct piglet_model *m, const struct body_size *size, bool at_udder,
                         const struct piglet_air *air, struct body *b)
{
    b->mass_kg = size->mass_kg;
    b->area_m2 = size->area_m2;
    b->udder_m2 = at_udder ? m->sow_share * b->area_m2 : 0.0;
    const double open_m2 = (b->area_m2 - b->udder_m2) * size->huddle;
    b->open_share = open_m2 / b->area_m2;
    b->bed_share = bed_share(m, air);
    b->bed_m2 = b->bed_share * open_m2;
    b->air_m2 = open_m2 - b->bed_m2;
    b->r_bed = piglet_bed_resistance(m, air);
    b->h_c = piglet_h_c(m, air->draught_mps);
    b->latent_h = m->lewis * b->h_c;
    b->per_area = 1.0 / b->area_m2;
    b->dry_kg_s_kpa = b->air_m2 * b->latent_h / m->latent_j_kg;
    b->air_c = air->air_c;
    b->radiant_c = air->radiant_c;
    b->bed_c = air->bed_c;
    b->vapour_kpa = air->rh * piglet_vapour_kpa(air->air_c);
}

/* Heat through the tissue less heat off the skin, W/m2; falls as skin_c rises. */
static double skin_surplus(const struct piglet_model *m, double skin_c, double body_c, double tissue, double wet,
                           double h_c, double air_c, double radiant_c, double vapour_kpa)
{
    const double mean_k = 0.5 * (skin_c + radiant_c) + 273.15;
    const double h_r = 4.0 * m->emissivity * 5.67e-8 * mean_k * mean_k * mean_k;

    return (body_c - skin_c) / tissue - h_c * (skin_c - air_c) - h_r * (skin_c - radiant_c) -
           wet * m->lewis * h_c * fmax(0.0, piglet_vapour_kpa(skin_c) - vapour_kpa);
}

double piglet_skin_bisect(const struct piglet_model *m, double body_c, double tissue, double wet, double h_c,
                          double air_c, double radiant_c, double vapour_kpa)
{
    double low, high;

    if (!m)
        m = &piglet_published;
    low = fmin(body_c, fmin(air_c, radiant_c)) - 40.0; /* evaporation cools below air, never this far */
    high = fmax(body_c, fmax(air_c, radiant_c)) + 1.0;
    for (int i = 0; i < 60 && high - low > 1e-9; i++) {
        const double middle = 0.5 * (low + high);
        if (skin_surplus(m, middle, body_c, tissue, wet, h_c, air_c, radiant_c, vapour_kpa) > 0.0)
            low = middle;
        else
            high = middle;
    }
    return 0.5 * (low + high);
}

double piglet_skin_newton(const struct piglet_model *m, double body_c, double tissue, double wet, double h_c,
                          double air_c, double radiant_c, double vapour_kpa, double start_c)
{
    double skin_c = start_c;

    if (!m)
        m = &piglet_published;
    for (int i = 0; i < 3; i++) {
        const double mean_k = 0.5 * (skin_c + radiant_c) + 273.15;
        const double h_r = 4.0 * m->emissivity * 5.67e-8 * mean_k * mean_k * mean_k;
        const double full_kpa = piglet_vapour_kpa(skin_c);
        const double over_kpa = full_kpa - vapour_kpa, wet_h = wet * m->lewis * h_c;
        const double off =
            h_c * (skin_c - air_c) + h_r * (skin_c - radiant_c) + (over_kpa > 0.0 ? wet_h * over_kpa : 0.0);
        const double to_k = skin_c + 237.3;
        const double slope = 1.0 / tissue + h_c + h_r + 1.5 * h_r * (skin_c - radiant_c) / mean_k +
                             (over_kpa > 0.0 ? wet_h * full_kpa * 17.27 * 237.3 / (to_k * to_k) : 0.0);

        skin_c += within_or(((body_c - skin_c) / tissue - off) / slope, -40.0, 40.0);
    }
    return skin_c;
}

double piglet_tissue(const struct piglet_model *m, const struct body *b, double skin_ref_c, double vessel_open)
{
    const double under_bed = m->ref_body_c - (m->ref_body_c - b->bed_c) * m->tissue_ref / (m->tissue_ref + b->r_bed);
    const double open = b->bed_share > 0.0 ? (1.0 - b->bed_share) * skin_ref_c + b->bed_share * under_bed : skin_ref_c;
    const double ref_c = open * b->open_share + m->cover_c * (1.0 - b->open_share);

    return m->tissue_least +
           m->tissue_more * (1.0 - exp(-fmax(0.0, m->vessel_skin_c - ref_c) / m->vessel_slope_k)) * (1.0 - vessel_open);
}

double piglet_neutral_w_kg(const struct piglet_model *m, double age_h, bool fed)
{
    return m->neutral_w_kg + (fed ? m->neutral_fed_w_kg * (1.0 - exp(-age_h / m->neutral_fed_h)) : 0.0);
}

double piglet_summit_w_kg(const struct piglet_model *m, double age_h, bool fed)
{
    return m->summit_w_kg - m->summit_birth_w_kg * exp(-age_h / m->summit_birth_h) +
           (fed ? m->summit_fed_w_kg * (1.0 - exp(-age_h / m->summit_fed_h)) : 0.0);
}
