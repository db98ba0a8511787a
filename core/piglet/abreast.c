/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The equations of run.c for several births side by side. Every birth is reckoned in the same order of operations as
 * alone, so what comes out is the same to the last bit (tests/core/test_piglet_many.c).
 */
#include "core/piglet/abreast.h"

#include "core/piglet/steps.h"
#include "core/piglet/tally.h"

static void wetness(const struct abreast *g, const lane water_kg, lane wet)
{
    for (size_t l = 0; l < ABREAST; l++)
        wet[l] = larger(g->wet_least[l], smaller(1.0, water_kg[l] * g->per_full_kg));
}

/* piglet_skin_newton() */
static void newton(const struct abreast *g, const lane body_c, const lane tissue, const lane wet, lane skin_c)
{
    const struct piglet_model *m = g->m;
    lane full;

    for (int i = 0; i < 3; i++) {
        for (size_t l = 0; l < ABREAST; l++)
            full[l] = 17.27 * skin_c[l] / (skin_c[l] + 237.3);
        for (size_t l = 0; l < ABREAST; l++)
            full[l] = exp(full[l]);
        for (size_t l = 0; l < ABREAST; l++) {
            const double t = skin_c[l], mean_k = 0.5 * (t + g->radiant_c[l]) + 273.15;
            const double h_r = 4.0 * m->emissivity * 5.67e-8 * mean_k * mean_k * mean_k;
            const double full_kpa = 0.6108 * full[l], over_kpa = full_kpa - g->vapour_kpa[l];
            const double wet_h = wet[l] * m->lewis * g->h_c[l], to_k = t + 237.3;
            const double goes = wet_h * over_kpa, rises = wet_h * full_kpa * 17.27 * 237.3 / (to_k * to_k);
            const double off =
                g->h_c[l] * (t - g->air_c[l]) + h_r * (t - g->radiant_c[l]) + (over_kpa > 0.0 ? goes : 0.0);
            const double slope = 1.0 / tissue[l] + g->h_c[l] + h_r + 1.5 * h_r * (t - g->radiant_c[l]) / mean_k +
                                 (over_kpa > 0.0 ? rises : 0.0);
            skin_c[l] = t + within_or(((body_c[l] - t) / tissue[l] - off) / slope, -40.0, 40.0);
        }
    }
}

void abreast_settle(struct abreast *g)
{
    const struct piglet_model *m = g->m;
    lane wet, ref_body_c, tissue;

    wetness(g, g->at.y.water_kg, wet);
    for (size_t l = 0; l < ABREAST; l++) {
        ref_body_c[l] = m->ref_body_c;
        tissue[l] = m->tissue_ref;
        g->at.ref_c[l] = 0.5 * (m->ref_body_c + g->air_c[l]);
    }
    newton(g, ref_body_c, tissue, wet, g->at.ref_c);
    for (size_t l = 0; l < ABREAST; l++) {
        tissue[l] = piglet_tissue(m, &g->body[l], g->at.ref_c[l], g->at.age.vessel[l]);
        g->at.open_c[l] = g->at.ref_c[l];
    }
    newton(g, g->at.y.body_c, tissue, wet, g->at.open_c);
}

static void ref_skin_open(struct abreast *g)
{
    const struct piglet_model *m = g->m;
    lane wet, full, cold, per_wet;

    wetness(g, g->at.y.water_kg, wet);
    for (size_t l = 0; l < ABREAST; l++)
        full[l] = 17.27 * g->at.ref_c[l] * (1.0 / (g->at.ref_c[l] + 237.3));
    for (size_t l = 0; l < ABREAST; l++)
        full[l] = exp(full[l]);
    for (size_t l = 0; l < ABREAST; l++) {
        const double t = g->at.ref_c[l], wet_h = wet[l] * g->latent_h[l], mean_k = 0.5 * (t + g->radiant_c[l]) + 273.15;
        const double h_r = 4.0 * m->emissivity * 5.67e-8 * mean_k * mean_k * mean_k, per_k = 1.0 / (t + 237.3);
        const double full_kpa = 0.6108 * full[l], rise = full_kpa * 17.27 * 237.3 * per_k * per_k;
        const double over = full_kpa - g->vapour_kpa[l], open = over > 0.0 ? wet_h : 0.0;
        const double surplus = (m->ref_body_c - t) / m->tissue_ref - g->h_c[l] * (t - g->air_c[l]) -
                               h_r * (t - g->radiant_c[l]) - open * over;
        const double slope =
            1.0 / m->tissue_ref + g->h_c[l] + h_r + 1.5 * h_r * (t - g->radiant_c[l]) / mean_k + open * rise;
        const double step = surplus / slope, falls = -g->latent_h[l] * (over + rise * step) / slope;
        g->at.ref_c[l] = t + step;
        per_wet[l] = over > 0.0 ? falls : 0.0;
        cold[l] = (m->vessel_skin_c - (g->at.ref_c[l] * g->open_share[l] + g->ref_bed_c[l])) / m->vessel_slope_k;
    }
    for (size_t l = 0; l < ABREAST; l++) {
        const double left = cold[l] > 0.0 ? exp(-cold[l]) : 1.0;
        g->wet0[l] = wet[l];
        g->vessels0[l] = 1.0 - left;
        g->vessels_per_wet[l] = cold[l] > 0.0 ? -left / m->vessel_slope_k * per_wet[l] * g->open_share[l] : 0.0;
    }
}

static void skins_open(struct abreast *g)
{
    lane full;

    ref_skin_open(g);
    for (size_t l = 0; l < ABREAST; l++)
        full[l] = 17.27 * g->at.open_c[l] * (1.0 / (g->at.open_c[l] + 237.3));
    for (size_t l = 0; l < ABREAST; l++)
        full[l] = exp(full[l]);
    for (size_t l = 0; l < ABREAST; l++) {
        const double at_k = 1.0 / (g->at.open_c[l] + 237.3), c = 17.27 * 237.3 * at_k * at_k;
        g->at_c[l] = g->at.open_c[l];
        g->full_kpa[l] = 0.6108 * full[l];
        g->rise1[l] = g->full_kpa[l] * c;
        g->rise2[l] = 0.5 * g->rise1[l] * (c - 2.0 * at_k);
        g->rise3[l] = g->rise1[l] * (c * c - 6.0 * c * at_k + 6.0 * at_k * at_k) / 6.0;
    }
}

/* Nothing here may branch on a birth: both sides are reckoned, then one is taken. */
static void rates(struct abreast *restrict g, const struct state *restrict y, const struct ages *restrict a,
                  struct speed *restrict r)
{
    const struct piglet_model m = *g->m;
    const double per_lag = g->per_lag, per_mass_heat = g->per_mass_heat, breath_w = m.breath_w_kg * g->mass_kg;
    const double eats = g->may_eat ? m.milk_g_kg_h : 0.0;
    const double mass_kg = g->mass_kg, per_full_kg = g->per_full_kg, udder_m2 = g->udder_m2, per_area = g->per_area;

    for (size_t l = 0; l < ABREAST; l++) {
        const double body_c = y->body_c[l], heat = y->heat_w_kg[l], reserve = y->reserve_kj_kg[l];
        const double wet = larger(g->wet_least[l], smaller(1.0, y->water_kg[l] * per_full_kg));
        const double wet_h = wet * g->latent_h[l];
        const double closing = larger(0.0, g->vessels0[l] + g->vessels_per_wet[l] * (wet - g->wet0[l]));
        const double tissue = m.tissue_least + m.tissue_more * closing * (1.0 - a->vessel[l]),
                     per_tissue = 1.0 / tissue;

        const double skin_c = g->at.open_c[l], from_c = skin_c - g->at_c[l];
        const double full = g->full_kpa[l] + from_c * (g->rise1[l] + from_c * (g->rise2[l] + from_c * g->rise3[l]));
        const double rise = g->rise1[l] + from_c * (2.0 * g->rise2[l] + 3.0 * from_c * g->rise3[l]);
        const double mean_k = 0.5 * (skin_c + g->radiant_c[l]) + 273.15;
        const double h_r = 4.0 * m.emissivity * 5.67e-8 * mean_k * mean_k * mean_k;
        const double over = full - g->vapour_kpa[l], open = over > 0.0 ? wet_h : 0.0;
        const double surplus = (body_c - skin_c) * per_tissue - g->h_c[l] * (skin_c - g->air_c[l]) -
                               h_r * (skin_c - g->radiant_c[l]) - open * over;
        const double slope = per_tissue + g->h_c[l] + h_r +
                             6.0 * m.emissivity * 5.67e-8 * mean_k * mean_k * (skin_c - g->radiant_c[l]) + open * rise;
        const double step = surplus / slope, new_c = skin_c + step;
        const double skin_kpa = full + step * (rise + step * g->rise2[l]), dry_kpa = skin_kpa - g->vapour_kpa[l];
        g->at.open_c[l] = new_c;

        const double udder_w = udder_m2 * (body_c - m.udder_c) / (tissue + m.r_udder);
        const double bed_w = g->bed_m2[l] * (body_c - g->bed_c[l]) / (tissue + g->r_bed[l]);
        const double loss_w = g->air_m2[l] * (body_c - new_c) / tissue + bed_w + udder_w + breath_w;
        const double mean_c = (g->air_m2[l] * new_c + g->covered_m2[l] * (body_c - 1.0)) * per_area;
        const double dries = g->dry_kg_s_kpa[l] * wet * dry_kpa, dry_kg_s = skin_kpa > g->vapour_kpa[l] ? dries : 0.0;

        const double milk = eats * within_or((body_c - 34.0) / 3.0, 0.0, 1.0) * g->milk_by_air[l] * (1.0 / 3600.0);
        const double more = m.neutral_fed_w_kg * (1.0 - a->neutral[l]);
        const double summit_more = m.summit_fed_w_kg * (1.0 - a->summit[l]);
        const double summit_at = m.summit_w_kg - m.summit_birth_w_kg * a->birth[l];
        const double neutral = m.neutral_w_kg + (g->fed[l] > 0.0 ? more : 0.0);
        const double summit = summit_at + (g->fed[l] > 0.0 ? summit_more : 0.0);
        const double f_t = within_or(1.0 - m.fail_per_k * (m.fail_body_c - body_c), m.fail_least, 1.0);
        const double spent = m.reserve_floor + (1.0 - m.reserve_floor) * reserve / m.reserve_low_kj_kg;
        const double f_e = reserve >= m.reserve_low_kj_kg ? 1.0 : spent;
        const double shivers = neutral + m.shiver_skin_w * larger(0.0, m.shiver_skin_c - mean_c) +
                               m.shiver_body_w * larger(0.0, m.shiver_body_c - body_c);
        const double want = smaller(shivers, summit * f_t * f_e);
        const double off_kg_s = -dry_kg_s - g->rub_per_s[l] * y->water_kg[l];

        r->body[l] = (heat * mass_kg - loss_w) * per_mass_heat;
        r->water[l] = y->water_kg[l] > 0.0 ? off_kg_s : 0.0;
        r->heat[l] = (want - heat) * per_lag;
        r->reserve[l] = milk * m.milk_kj_g - heat * 1e-3;
        r->milk[l] = milk;
    }
}

static void moved(const struct piglet_model *m, const struct state *restrict y, const struct speed *restrict r,
                  const lane dt_s, struct state *restrict z)
{
    const double most = m->reserve_most_kj_kg;

    for (size_t l = 0; l < ABREAST; l++) {
        z->body_c[l] = y->body_c[l] + dt_s[l] * r->body[l];
        z->water_kg[l] = larger(0.0, y->water_kg[l] + dt_s[l] * r->water[l]);
        z->heat_w_kg[l] = y->heat_w_kg[l] + dt_s[l] * r->heat[l];
        z->reserve_kj_kg[l] = within_or(y->reserve_kj_kg[l] + dt_s[l] * r->reserve[l], 0.0, most);
        z->milk_g_kg[l] = y->milk_g_kg[l] + dt_s[l] * r->milk[l];
    }
}

static void mean_speed(const struct speed *restrict k1, const struct speed *restrict k2,
                       const struct speed *restrict k3, struct speed *restrict k4)
{
    for (size_t l = 0; l < ABREAST; l++) {
        k4->body[l] = (k1->body[l] + 2.0 * (k2->body[l] + k3->body[l]) + k4->body[l]) / 6.0;
        k4->water[l] = (k1->water[l] + 2.0 * (k2->water[l] + k3->water[l]) + k4->water[l]) / 6.0;
        k4->heat[l] = (k1->heat[l] + 2.0 * (k2->heat[l] + k3->heat[l]) + k4->heat[l]) / 6.0;
        k4->reserve[l] = (k1->reserve[l] + 2.0 * (k2->reserve[l] + k3->reserve[l]) + k4->reserve[l]) / 6.0;
        k4->milk[l] = (k1->milk[l] + 2.0 * (k2->milk[l] + k3->milk[l]) + k4->milk[l]) / 6.0;
    }
}

static void aged_by(struct ages *restrict a, const struct ages *restrict by)
{
    for (size_t l = 0; l < ABREAST; l++) {
        a->vessel[l] *= by->vessel[l];
        a->birth[l] *= by->birth[l];
        a->neutral[l] *= by->neutral[l];
        a->summit[l] *= by->summit[l];
    }
}

void abreast_open(struct abreast *g, struct speed *now)
{
    skins_open(g);
    rates(g, &g->at.y, &g->at.age, now);
}

void abreast_step(struct abreast *g, const struct state *y, const struct ages *age, const struct ages *by,
                  const struct speed *now, const lane dt_s)
{
    struct state part;
    struct speed k2, k3, k4;
    struct ages at = *age;
    lane half_s;

    for (size_t l = 0; l < ABREAST; l++)
        half_s[l] = 0.5 * dt_s[l];
    aged_by(&at, by);
    moved(g->m, y, now, half_s, &part);
    rates(g, &part, &at, &k2);
    moved(g->m, y, &k2, half_s, &part);
    rates(g, &part, &at, &k3);
    moved(g->m, y, &k3, dt_s, &part);
    aged_by(&at, by);
    rates(g, &part, &at, &k4);
    mean_speed(now, &k2, &k3, &k4);
    moved(g->m, y, &k4, dt_s, &g->at.y);
    g->at.age = at;
}

void abreast_surround(struct abreast *g, double mates, bool at_udder, const struct piglet_air *const air[ABREAST])
{
    const struct piglet_model *m = g->m;
    const struct body_size size = piglet_size(m, g->mass_kg, mates);

    for (size_t l = 0; l < ABREAST; l++) {
        struct body *b = &g->body[l];
        piglet_body_of_size(m, &size, at_udder, air[l], b);
        const double under_bed =
            m->ref_body_c - (m->ref_body_c - b->bed_c) * m->tissue_ref / (m->tissue_ref + b->r_bed);
        g->air_m2[l] = b->air_m2;
        g->covered_m2[l] = b->area_m2 - b->air_m2;
        g->bed_m2[l] = b->bed_m2;
        g->open_share[l] = (1.0 - b->bed_share) * b->open_share;
        g->ref_bed_c[l] =
            (b->bed_share > 0.0 ? b->bed_share * under_bed * b->open_share : 0.0) + m->cover_c * (1.0 - b->open_share);
        g->r_bed[l] = b->r_bed;
        g->h_c[l] = b->h_c;
        g->air_c[l] = b->air_c;
        g->radiant_c[l] = b->radiant_c;
        g->bed_c[l] = b->bed_c;
        g->vapour_kpa[l] = b->vapour_kpa;
        g->latent_h[l] = b->latent_h;
        g->dry_kg_s_kpa[l] = b->dry_kg_s_kpa;
        g->wet_least[l] = air[l]->wet_least;
        g->rub_per_s[l] = piglet_rub_per_s(m, g->who, air[l]);
        g->milk_by_air[l] = within_or(1.0 - 0.03 * (31.0 - b->air_c), 0.3, 1.0);
    }
    g->udder_m2 = g->body[0].udder_m2;
    g->per_area = g->body[0].per_area;
}

void abreast_start(struct abreast *g, const struct piglet_model *m, const struct piglet *who)
{
    const struct moment y = moment_start(m, who);
    const struct aged age = aged_at(m, who->age_h);
    const double full_kg = m->water_kg_m2 * m->area_coef * pow(who->mass_kg, m->area_exp);

    *g = (struct abreast){ .m = m,
                           .who = who,
                           .mass_kg = who->mass_kg,
                           .per_full_kg = 1.0 / full_kg,
                           .per_mass_heat = 1.0 / (who->mass_kg * m->heat_capacity),
                           .per_lag = 1.0 / m->heat_lag_s };
    for (size_t l = 0; l < ABREAST; l++) {
        g->at.y.body_c[l] = y.body_c;
        g->at.y.water_kg[l] = y.water_kg;
        g->at.y.heat_w_kg[l] = y.heat_w_kg;
        g->at.y.reserve_kj_kg[l] = y.reserve_kj_kg;
        g->fed[l] = y.fed ? 1.0 : 0.0;
        g->at.open_c[l] = g->at.ref_c[l] = 30.0;
        g->at.age.vessel[l] = age.vessel;
        g->at.age.birth[l] = age.birth;
        g->at.age.neutral[l] = age.neutral;
        g->at.age.summit[l] = age.summit;
    }
}
