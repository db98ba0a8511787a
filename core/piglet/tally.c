/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/piglet/tally.h"

struct moment moment_start(const struct piglet_model *m, const struct piglet *who)
{
    const bool fed = who->suckles && (who->milk_at_once || who->age_h > m->milk_after_h);

    return (struct moment){
        .body_c = who->body_c,
        .water_kg = piglet_wet_start_kg(m, who),
        .heat_w_kg = who->age_h > 0.0 ? piglet_neutral_w_kg(m, who->age_h, fed) : m->neutral_w_kg,
        .reserve_kj_kg = m->reserve_kj_kg,
        .fed = fed,
    };
}

void tally_start(const struct piglet_model *m, const struct piglet *who, size_t n, const struct piglet_air air[],
                 struct piglet_series *series, struct tally *t)
{
    const size_t lived = (size_t)ceil(who->hours);

    *t = (struct tally){ .m = m, .who = who, .series = series };
    piglet_no_figures(&t->r);
    t->r.min_c = who->body_c;
    t->r.min_at_min = 0.0;
    t->r.peak_heat_w_kg = 0.0;
    for (size_t i = 0; i < n && i < lived; i++)
        t->r.too_hot = t->r.too_hot || air[i].air_c > 36.0;
    if (series)
        series->n = 0;
}

void tally_point(struct tally *t, double at_min, const struct moment *now, const struct flux *f, double wet)
{
    struct piglet_series *s = t->series;

    if (!s || at_min + 1e-9 < t->next_point_min || s->n >= s->room)
        return;
    s->points[s->n++] = (struct piglet_point){
        .at_min = at_min,
        .body_c = now->body_c,
        .skin_c = f->skin_c,
        .heat_w_kg = now->heat_w_kg,
        .loss_w_kg = f->loss_w / t->who->mass_kg,
        .wet = wet,
        .reserve_kj_kg = now->reserve_kj_kg,
    };
    t->next_point_min = at_min + fmax(1.0, s->every_min);
}

void tally_end(struct tally *t, const struct moment *now, struct piglet_result *out)
{
    struct piglet_result *r = &t->r;
    const bool collapsed = !isnan(r->collapsed_at_min);

    r->end_c = collapsed ? t->m->collapse_c : now->body_c;
    r->mean_heat_w_kg = t->heat_sum / t->heat_min;
    r->milk_g_kg = now->milk_g_kg;
    r->reserve_kj_kg = now->reserve_kj_kg;
    r->shortfall_c = fmin(9.0, fmax(0.0, 34.0 - r->min_c));
    if (collapsed || !isnan(r->at_6h_c)) {
        r->grade = piglet_grade(r->min_c, r->at_2h_c, r->at_6h_c);
        r->near_limit = piglet_near_limit(r->min_c, r->at_2h_c, r->at_6h_c);
    }
    *out = *r;
}
