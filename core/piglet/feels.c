/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How it feels to a wet newborn, and the losses that need no time-stepping.
 */
#include "core/piglet/own.h"

#include "core/piglet/tally.h"

static const double newborn_kg = 1.3, newborn_wet = 0.5; /* alone, no sow, tissue_ref, ref_body_c */

/* Loss of the reference newborn, given areas already known; start_c is a guess of its skin, left at the skin found. */
static double newborn_loss(const struct piglet_model *m, const struct body *b, double *skin_c)
{
    *skin_c = piglet_skin_newton(m, m->ref_body_c, m->tissue_ref, newborn_wet, b->h_c, b->air_c, b->radiant_c,
                                 b->vapour_kpa, *skin_c);
    return piglet_flux(m, b, m->ref_body_c, newborn_wet, m->tissue_ref, *skin_c, b->vapour_kpa).loss_w;
}

static struct piglet_air still_straw(double temp_c)
{
    return (struct piglet_air){ .air_c = temp_c,
                                .rh = 0.70,
                                .draught_mps = 0.08,
                                .radiant_c = temp_c,
                                .bed_c = temp_c,
                                .floor = PIGLET_STRAW,
                                .straw_m = 0.15 };
}

static double still_loss(const struct piglet_model *m, double temp_c)
{
    const struct piglet_air air = still_straw(temp_c);
    struct body b;

    piglet_body(m, newborn_kg, 1.0, false, &air, &b);
    const double skin_c =
        piglet_skin_bisect(m, m->ref_body_c, m->tissue_ref, newborn_wet, b.h_c, b.air_c, b.radiant_c, b.vapour_kpa);
    return piglet_flux(m, &b, m->ref_body_c, newborn_wet, m->tissue_ref, skin_c, b.vapour_kpa).loss_w;
}

void feels_table_make(const struct piglet_model *m, struct feels_table *t)
{
    t->model = m ? m : &piglet_published;
    t->low_c = -160.0;
    t->step_c = 0.25;
    const struct body_size newborn = piglet_size(t->model, newborn_kg, 1.0);
    t->newborn_m2 = newborn.area_m2;
    t->newborn_open = newborn.huddle;
    for (size_t i = 0; i < FEELS_CELLS; i++)
        t->loss_w[i] = still_loss(t->model, t->low_c + t->step_c * (double)i);
}

double feels_from_loss(const struct feels_table *t, double loss_w, double near_c)
{
    size_t low = 0, high = FEELS_CELLS - 1;

    if (isnan(loss_w))
        return NAN;
    const double guess = (near_c - t->low_c) / t->step_c; /* a window of 32 cells around a guess, if it is there */
    if (guess >= 17.0 && guess <= (double)FEELS_CELLS - 18.0) {
        const size_t g = (size_t)guess;
        if (loss_w <= t->loss_w[g - 16] && loss_w >= t->loss_w[g + 16]) {
            low = g - 16;
            high = g + 16;
        }
    }
    while (high - low > 1) { /* beyond either end of the table its last cell runs straight on */
        const size_t middle = low + (high - low) / 2;
        if (t->loss_w[middle] >= loss_w)
            low = middle;
        else
            high = middle;
    }
    return t->low_c + t->step_c * ((double)low + (t->loss_w[low] - loss_w) / (t->loss_w[low] - t->loss_w[high]));
}

double feels_c(const struct feels_table *t, const struct piglet_air *air)
{
    const struct piglet_model *m = t->model;
    const struct body_size newborn = { newborn_kg, t->newborn_m2, t->newborn_open };
    double skin_c = 0.5 * (m->ref_body_c + air->air_c);
    struct body b;

    if (!piglet_air_ok(air))
        return NAN;
    piglet_body_of_size(m, &newborn, false, air, &b);
    return feels_from_loss(t, newborn_loss(m, &b, &skin_c), air->air_c);
}

void feels_bed_make(const struct feels_table *t, enum piglet_floor floor, double straw_m, enum straw_state straw,
                    struct feels_bed *bed)
{
    const struct piglet_air air = { .rh = 0.7, .draught_mps = 0.1, .floor = floor, .straw_m = straw_m, .straw = straw };
    struct body b;

    piglet_body(t->model, newborn_kg, 1.0, false, &air, &b);
    *bed = (struct feels_bed){ b.air_m2, b.bed_m2, b.r_bed, t->model->breath_w_kg * newborn_kg };
}

double feels_c_quick(const struct feels_table *t, const struct feels_bed *bed, double air_c, double vapour_kpa,
                     double draught_mps, double radiant_c, double bed_c, double skin_c)
{
    const struct piglet_model *m = t->model;
    const double h_c = piglet_h_c(m, draught_mps), wet_h = newborn_wet * m->lewis * h_c,
                 per_tissue = 1.0 / m->tissue_ref;

    for (int i = 0; i < 6; i++) {
        const double mean_k = 0.5 * (skin_c + radiant_c) + 273.15, radiates = m->emissivity * 5.67e-8 * mean_k * mean_k;
        const double h_r = 4.0 * radiates * mean_k, per_k = 1.0 / (skin_c + 237.3);
        const double full = 0.6108 * exp(17.27 * skin_c * per_k), over = full - vapour_kpa,
                     open = over > 0.0 ? wet_h : 0.0;
        const double surplus =
            (m->ref_body_c - skin_c) * per_tissue - h_c * (skin_c - air_c) - h_r * (skin_c - radiant_c) - open * over;
        const double slope = per_tissue + h_c + h_r + 6.0 * radiates * (skin_c - radiant_c) +
                             open * full * 17.27 * 237.3 * per_k * per_k;
        const double step = surplus / slope;
        skin_c += step;
        if (fabs(step) < 0.05) /* what is left is under a thousandth of this */
            break;
    }
    const double loss_w =
        bed->air_m2 * (m->ref_body_c - skin_c) * per_tissue + bed->breath_w +
        (bed->bed_m2 > 0.0 ? bed->bed_m2 * (m->ref_body_c - bed_c) / (m->tissue_ref + bed->r_bed) : 0.0);
    return feels_from_loss(t, loss_w, air_c);
}

double piglet_loss_w_kg(const struct piglet_model *m, double mass_kg, double body_c, double wet, double mates,
                        bool at_udder, double age_h, const struct piglet_air *air)
{
    struct body b;

    if (!m)
        m = &piglet_published;
    if (!piglet_air_ok(air) || !(mass_kg >= 0.3 && mass_kg <= 3.0) || !(body_c >= 20.0 && body_c <= 43.0) ||
        !(wet >= 0.0 && wet <= 1.0) || !(mates >= 0.0 && mates <= 30.0) || !(age_h >= 0.0))
        return NAN;
    piglet_body(m, mass_kg, mates, at_udder, air, &b);
    const double skin_ref_c =
        piglet_skin_bisect(m, m->ref_body_c, m->tissue_ref, wet, b.h_c, b.air_c, b.radiant_c, b.vapour_kpa);
    const double tissue = piglet_tissue(m, &b, skin_ref_c, exp(-age_h / m->vessel_h));
    const double skin_c = piglet_skin_bisect(m, body_c, tissue, wet, b.h_c, b.air_c, b.radiant_c, b.vapour_kpa);
    return piglet_flux(m, &b, body_c, wet, tissue, skin_c, b.vapour_kpa).loss_w / mass_kg;
}

double piglet_lower_critical_c(const struct piglet_model *m, double mass_kg, double mates, bool at_udder, double age_h,
                               bool fed, const struct piglet_air *air)
{
    double low_c = -60.0, high_c = 40.0;
    struct piglet_air at = *air;

    if (!m)
        m = &piglet_published;
    const double makes = piglet_neutral_w_kg(m, age_h, fed);
    for (int i = 0; i < 50; i++) {
        const double middle = 0.5 * (low_c + high_c);
        at.air_c = at.radiant_c = at.bed_c = middle;
        const double loss = piglet_loss_w_kg(m, mass_kg, 38.6, 0.0, mates, at_udder, age_h, &at);
        if (isnan(loss))
            return NAN;
        if (loss > makes)
            low_c = middle;
        else
            high_c = middle;
    }
    return high_c - -60.0 < 1e-6 || 40.0 - low_c < 1e-6 ? (double)NAN : 0.5 * (low_c + high_c);
}

double piglet_margin(const struct piglet_model *m, double mass_kg, double mates, double age_h, bool fed,
                     const struct piglet_air *air)
{
    if (!m)
        m = &piglet_published;
    return 1.0 - piglet_loss_w_kg(m, mass_kg, 38.0, 0.0, mates, true, age_h, air) / piglet_summit_w_kg(m, age_h, fed);
}
