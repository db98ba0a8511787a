/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What both solvers keep of a run: the moment, the figures gathered on the way, the series.
 */
#ifndef CORE_PIGLET_TALLY_H
#define CORE_PIGLET_TALLY_H

#include "core/piglet/own.h"

struct moment {
    double body_c, water_kg, heat_w_kg, reserve_kj_kg, milk_g_kg;
    bool fed;
};

struct tally {
    const struct piglet_model *m;
    const struct piglet *who;
    struct piglet_series *series;
    struct piglet_result r;
    double heat_sum, heat_min, next_point_min;
};

struct moment moment_start(const struct piglet_model *m, const struct piglet *who);
void tally_start(const struct piglet_model *m, const struct piglet *who, size_t n, const struct piglet_air air[],
                 struct piglet_series *series, struct tally *t);
void tally_point(struct tally *t, double at_min, const struct moment *now, const struct flux *f, double wet);
void tally_end(struct tally *t, const struct moment *now, struct piglet_result *out);

/* One step is over; true when the piglet has collapsed. */
static inline bool tally_step(struct tally *t, const struct moment *before, const struct moment *now, double from_min, double to_min)
{
    static const double marks_min[3] = { 30.0, 120.0, 360.0 };
    double *const at[3] = { &t->r.at_30min_c, &t->r.at_2h_c, &t->r.at_6h_c };
    const double share = 1.0 / (to_min - from_min);

    t->heat_sum += 0.5 * (before->heat_w_kg + now->heat_w_kg) * (to_min - from_min);
    t->heat_min = to_min;
    t->r.peak_heat_w_kg = fmax(t->r.peak_heat_w_kg, now->heat_w_kg);
    if (now->body_c < t->m->collapse_c) {
        t->r.collapsed_at_min = from_min + (to_min - from_min) * (before->body_c - t->m->collapse_c) /
                                           (before->body_c - now->body_c);
        t->r.min_c = t->m->collapse_c;
        t->r.min_at_min = t->r.collapsed_at_min;
    } else if (now->body_c < t->r.min_c) {
        t->r.min_c = now->body_c;
        t->r.min_at_min = to_min;
    }
    for (int i = 0; i < 3; i++)
        if (from_min < marks_min[i] && to_min >= marks_min[i] - 1e-9 && !(t->r.collapsed_at_min < marks_min[i]))
            *at[i] = before->body_c + (now->body_c - before->body_c) * fmin(1.0, (marks_min[i] - from_min) * share);
    return t->r.collapsed_at_min <= to_min;
}

/* Heat, skin and evaporation once the skin of the open part is known. */
static inline struct flux piglet_flux(const struct piglet_model *m, const struct body *b, double body_c, double wet, double tissue,
                                      double skin_c, double skin_kpa)
{
    const double udder_w = b->udder_m2 * (body_c - m->udder_c) / (tissue + m->r_udder);
    const double bed_w = b->bed_m2 > 0.0 ? b->bed_m2 * (body_c - b->bed_c) / (tissue + b->r_bed) : 0.0;
    const double off = b->air_m2 * wet * b->latent_h / m->latent_j_kg;

    return (struct flux){
        .loss_w = b->air_m2 * (body_c - skin_c) / tissue + bed_w + udder_w + m->breath_w_kg * b->mass_kg,
        .skin_c = skin_c,
        .mean_skin_c = (b->air_m2 * skin_c + (b->area_m2 - b->air_m2) * (body_c - 1.0)) / b->area_m2,
        .dry_kg_s = skin_kpa > b->vapour_kpa ? off * (skin_kpa - b->vapour_kpa) : 0.0,
    };
}

static inline bool piglet_may_eat(const struct piglet_model *m, const struct piglet *who, double age_h, double at_min)
{
    (void)at_min;
    return who->suckles && age_h <= m->milk_until_h && (who->milk_at_once || age_h + 1e-9 >= m->milk_after_h);
}

#endif
