/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The yardstick: explicit Euler, bisected skin, nothing clever. run.c has to agree with it.
 */
#include "core/piglet/own.h"

#include "core/piglet/tally.h"

/* Loss and skin at one moment, skin by bisection. */
static struct flux reference_flux(const struct piglet_model *m, const struct body *b, double body_c, double wet,
                                  double age_h)
{
    const double skin_ref_c =
        piglet_skin_bisect(m, m->ref_body_c, m->tissue_ref, wet, b->h_c, b->air_c, b->radiant_c, b->vapour_kpa);
    const double tissue = piglet_tissue(m, b, skin_ref_c, exp(-age_h / m->vessel_h));
    const double skin_c = piglet_skin_bisect(m, body_c, tissue, wet, b->h_c, b->air_c, b->radiant_c, b->vapour_kpa);

    return piglet_flux(m, b, body_c, wet, tissue, skin_c, piglet_vapour_kpa(skin_c));
}

enum status piglet_run_reference(const struct piglet_model *m, const struct piglet *who, size_t n,
                                 const struct piglet_air air[], double step_s, struct piglet_series *series,
                                 struct piglet_result *out, struct message *why)
{
    struct tally tally;
    struct body b;
    enum status st = piglet_refuse_bad(who, n, air, why);

    if (st != ST_OK)
        return st;
    if (!(step_s >= 1.0 && step_s <= 60.0))
        return refuse(ST_BAD_INPUT, why, "step", "a step of %g s; give 1 to 60", step_s);
    if (!m)
        m = &piglet_published;

    struct moment now = moment_start(m, who);
    tally_start(m, who, n, air, series, &tally);
    for (double at_s = 0.0; at_s < who->hours * 3600.0 - 1e-6;) {
        const double at_min = at_s / 60.0, age_h = who->age_h + at_s / 3600.0;
        const size_t hour = (size_t)(at_s / 3600.0 + 1e-9);
        const struct piglet_air *a = &air[hour < n ? hour : n - 1];
        const bool alone = at_min + 1e-9 < who->alone_min || who->mates <= 0.0;
        const double full_kg = m->water_kg_m2 * m->area_coef * pow(who->mass_kg, m->area_exp);
        const double wet = fmax(a->wet_least, fmin(1.0, now.water_kg / full_kg));
        const double left_s = who->hours * 3600.0 - at_s, dt_s = step_s < left_s ? step_s : left_s;

        piglet_body(m, who->mass_kg, piglet_mates_at(who, at_min + 1e-9), who->at_udder && !alone, a, &b);
        const struct flux f = reference_flux(m, &b, now.body_c, wet, age_h);
        const bool may_eat = piglet_may_eat(m, who, age_h, at_min);
        const double milk = may_eat ? piglet_milk(m, now.body_c, a->air_c) : 0.0;
        now.fed = now.fed || milk > 0.0;
        const double want =
            piglet_demand(m, piglet_neutral_w_kg(m, age_h, now.fed), piglet_summit_w_kg(m, age_h, now.fed), now.body_c,
                          f.mean_skin_c, now.reserve_kj_kg);
        const struct moment before = now;

        tally_point(&tally, at_min, &now, &f, wet);
        now.body_c += dt_s * (before.heat_w_kg * b.mass_kg - f.loss_w) / (b.mass_kg * m->heat_capacity);
        now.water_kg = fmax(0.0, now.water_kg - dt_s * (f.dry_kg_s + piglet_rub_per_s(m, who, a) * before.water_kg));
        now.heat_w_kg += dt_s * (want - before.heat_w_kg) / m->heat_lag_s;
        now.milk_g_kg += milk * dt_s / 3600.0;
        now.reserve_kj_kg =
            within_or(now.reserve_kj_kg + dt_s * (milk * m->milk_kj_g / 3600.0 - before.heat_w_kg / 1000.0), 0.0,
                      m->reserve_most_kj_kg);
        at_s += dt_s;
        if (tally_step(&tally, &before, &now, (at_s - dt_s) / 60.0, at_s / 60.0))
            break;
    }
    tally_end(&tally, &now, out);
    return ST_OK;
}
