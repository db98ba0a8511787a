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

/* A mark inside (from, to] of a step that runs straight from from_min to step_end. */
static inline void tally_mark(double *at_c, double mark_min, double from_c, double step_end_c, double from_min,
                              double step_end, double to_min)
{
    if (from_min < mark_min && to_min >= mark_min - 1e-9)
        *at_c = from_c + (step_end_c - from_c) * smaller(1.0, (mark_min - from_min) / (step_end - from_min));
}

/* One step is over; true when the piglet has collapsed. */
static inline bool tally_step(struct tally *t, const struct moment *before, const struct moment *now, double from_min,
                              double to_min)
{
    const double step_end = to_min;

    t->heat_sum += 0.5 * (before->heat_w_kg + now->heat_w_kg) * (to_min - from_min);
    t->heat_min = to_min;
    t->r.peak_heat_w_kg = larger(t->r.peak_heat_w_kg, now->heat_w_kg);
    if (now->body_c < t->m->collapse_c) {
        t->r.collapsed_at_min =
            from_min + (to_min - from_min) * (before->body_c - t->m->collapse_c) / (before->body_c - now->body_c);
        t->r.min_c = t->m->collapse_c;
        t->r.min_at_min = t->r.collapsed_at_min;
        to_min = t->r.collapsed_at_min;
    } else if (now->body_c < t->r.min_c) {
        t->r.min_c = now->body_c;
        t->r.min_at_min = to_min;
    }
    tally_mark(&t->r.at_30min_c, 30.0, before->body_c, now->body_c, from_min, step_end, to_min);
    tally_mark(&t->r.at_2h_c, 120.0, before->body_c, now->body_c, from_min, step_end, to_min);
    tally_mark(&t->r.at_6h_c, 360.0, before->body_c, now->body_c, from_min, step_end, to_min);
    return now->body_c < t->m->collapse_c;
}

/* Heat, skin and evaporation once the skin of the open part is known. */
static inline struct flux piglet_flux(const struct piglet_model *m, const struct body *b, double body_c, double wet,
                                      double tissue, double skin_c, double skin_kpa)
{
    const double udder_w = b->udder_m2 > 0.0 ? b->udder_m2 * (body_c - m->udder_c) / (tissue + m->r_udder) : 0.0;
    const double bed_w = b->bed_m2 > 0.0 ? b->bed_m2 * (body_c - b->bed_c) / (tissue + b->r_bed) : 0.0;

    return (struct flux){
        .loss_w = b->air_m2 * (body_c - skin_c) / tissue + bed_w + udder_w + m->breath_w_kg * b->mass_kg,
        .skin_c = skin_c,
        .mean_skin_c = (b->air_m2 * skin_c + (b->area_m2 - b->air_m2) * (body_c - 1.0)) * b->per_area,
        .dry_kg_s = skin_kpa > b->vapour_kpa ? b->dry_kg_s_kpa * wet * (skin_kpa - b->vapour_kpa) : 0.0,
    };
}

static inline bool piglet_may_eat(const struct piglet_model *m, const struct piglet *who, double age_h, double at_min)
{
    (void)at_min;
    return who->suckles && age_h <= m->milk_until_h && (who->milk_at_once || age_h + 1e-9 >= m->milk_after_h);
}

#endif
