/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The quick solver: classical Runge-Kutta of fourth order over steps that end wherever the conditions jump (a new hour,
 * mates arriving, the first milk), short while the piglet is wet and longer later. Each stage moves the skin by one
 * Newton step from where it stood; at a jump it is solved anew. Measured against the reference in
 * tests/core/test_piglet.c.
 */
#include "core/piglet/own.h"

#include "core/piglet/steps.h"
#include "core/piglet/tally.h"

/* Fine: within 0.02 °C of the yardstick. Brisk: half the steps; newborns come out within 0.1 (worst of 4000 random ones
 * 0.07, on average 0.005). */
static const struct pace fine[] = {
    { 5.0, 1.25 }, { 20.0, 3.0 }, { 60.0, 5.0 }, { 120.0, 10.0 }, { INFINITY, 20.0 },
};
const struct pace piglet_brisk[] = {
    { 5.0, 2.5 }, { 20.0, 7.5 }, { 60.0, 15.0 }, { 120.0, 30.0 }, { INFINITY, 30.0 },
};

/* Skins carried along. The reference skin is taken anew at each step and runs straight with the wetness inside it;
 * vapour pressure is taken anew at the first stage of a step and follows its own series inside it. */
struct skins {
    double open_c, ref_c;
    double wet0, vessels0, vessels_per_wet;     /* share of the vessels' closing that the reference skin asks for */
    double at_c, full_kpa, rise1, rise2, rise3; /* vapour pressure around at_c */
};

struct rates {
    double body, water, heat, reserve, milk;
};

struct leg { /* a stretch in which nothing jumps */
    const struct piglet_model *m;
    const struct body *b;
    double per_full_kg, wet_least, rub_per_s, per_mass_heat; /* 1/kg, -, 1/s, K/J */
    double air_c;
    double ref_bed_c; /* the bed's part of the reference skin */
    double per_lag;   /* 1/s */
    bool jumped;      /* the surroundings are others than in the leg before */
    bool may_eat, fed;
};

static inline double wetness(const struct leg *leg, double water_kg)
{
    return larger(leg->wet_least, smaller(1.0, water_kg * leg->per_full_kg));
}

static inline double radiative_h(const struct piglet_model *m, double mean_k)
{
    return 4.0 * m->emissivity * 5.67e-8 * mean_k * mean_k * mean_k;
}

/* Open a step: reference skin by one Newton step (it moved little since the last), vapour series around the last skin.
 */
static void skins_open(const struct leg *leg, const struct moment *y, struct skins *s)
{
    const struct piglet_model *m = leg->m;
    const struct body *b = leg->b;
    const double wet = wetness(leg, y->water_kg), wet_h = wet * b->latent_h;
    const double mean_k = 0.5 * (s->ref_c + b->radiant_c) + 273.15, h_r = radiative_h(m, mean_k);
    const double per_k = 1.0 / (s->ref_c + 237.3);
    const double full = 0.6108 * exp(17.27 * s->ref_c * per_k), rise = full * 17.27 * 237.3 * per_k * per_k;
    const double over = full - b->vapour_kpa, open = over > 0.0 ? wet_h : 0.0;
    const double surplus = (m->ref_body_c - s->ref_c) / m->tissue_ref - b->h_c * (s->ref_c - b->air_c) -
                           h_r * (s->ref_c - b->radiant_c) - open * over;
    const double slope =
        1.0 / m->tissue_ref + b->h_c + h_r + 1.5 * h_r * (s->ref_c - b->radiant_c) / mean_k + open * rise;
    const double step = surplus / slope;

    s->ref_c += step;
    const double per_wet = over > 0.0 ? -b->latent_h * (over + rise * step) / slope : 0.0;
    const double open_share = (1.0 - b->bed_share) * b->open_share;
    const double ref_c = s->ref_c * open_share + leg->ref_bed_c;
    const double cold = (m->vessel_skin_c - ref_c) / m->vessel_slope_k, left = cold > 0.0 ? exp(-cold) : 1.0;
    s->wet0 = wet;
    s->vessels0 = 1.0 - left;
    s->vessels_per_wet = cold > 0.0 ? -left / m->vessel_slope_k * per_wet * open_share : 0.0;

    const double at_k = 1.0 / (s->open_c + 237.3), c = 17.27 * 237.3 * at_k * at_k; /* d ln e / dT */
    s->at_c = s->open_c;
    s->full_kpa = 0.6108 * exp(17.27 * s->open_c * at_k);
    s->rise1 = s->full_kpa * c;
    s->rise2 = 0.5 * s->rise1 * (c - 2.0 * at_k);
    s->rise3 = s->rise1 * (c * c - 6.0 * c * at_k + 6.0 * at_k * at_k) / 6.0;
}

/* At a jump: both skins from nothing. */
static void skins_settle(const struct leg *leg, const struct moment *y, const struct aged *a, struct skins *s)
{
    const struct piglet_model *m = leg->m;
    const struct body *b = leg->b;
    const double wet = wetness(leg, y->water_kg);

    s->ref_c = piglet_skin_newton(m, m->ref_body_c, m->tissue_ref, wet, b->h_c, b->air_c, b->radiant_c, b->vapour_kpa,
                                  0.5 * (m->ref_body_c + b->air_c));
    s->open_c = piglet_skin_newton(m, y->body_c, piglet_tissue(m, b, s->ref_c, a->vessel), wet, b->h_c, b->air_c,
                                   b->radiant_c, b->vapour_kpa, s->ref_c);
}

static struct rates rates(const struct leg *leg, const struct moment *y, const struct aged *a, struct skins *s,
                          struct flux *f)
{
    const struct piglet_model *m = leg->m;
    const struct body *b = leg->b;
    const double wet = wetness(leg, y->water_kg), wet_h = wet * b->latent_h;
    const double closing = larger(0.0, s->vessels0 + s->vessels_per_wet * (wet - s->wet0));
    const double tissue = m->tissue_least + m->tissue_more * closing * (1.0 - a->vessel), per_tissue = 1.0 / tissue;

    const double skin_c = s->open_c, from_c = skin_c - s->at_c;
    const double full = s->full_kpa + from_c * (s->rise1 + from_c * (s->rise2 + from_c * s->rise3));
    const double rise = s->rise1 + from_c * (2.0 * s->rise2 + 3.0 * from_c * s->rise3);
    const double mean_k = 0.5 * (skin_c + b->radiant_c) + 273.15, h_r = radiative_h(m, mean_k);
    const double over = full - b->vapour_kpa, open = over > 0.0 ? wet_h : 0.0;
    const double surplus =
        (y->body_c - skin_c) * per_tissue - b->h_c * (skin_c - b->air_c) - h_r * (skin_c - b->radiant_c) - open * over;
    const double slope = per_tissue + b->h_c + h_r +
                         6.0 * m->emissivity * 5.67e-8 * mean_k * mean_k * (skin_c - b->radiant_c) + open * rise;
    const double step = surplus / slope;
    s->open_c = skin_c + step;
    *f = piglet_flux(m, b, y->body_c, wet, tissue, s->open_c, full + step * (rise + step * s->rise2));

    const double milk = leg->may_eat ? piglet_milk(m, y->body_c, leg->air_c) * (1.0 / 3600.0) : 0.0; /* g/(kg s) */
    const double neutral = m->neutral_w_kg + (leg->fed ? m->neutral_fed_w_kg * (1.0 - a->neutral) : 0.0);
    const double summit =
        m->summit_w_kg - m->summit_birth_w_kg * a->birth + (leg->fed ? m->summit_fed_w_kg * (1.0 - a->summit) : 0.0);
    const double want = piglet_demand(m, neutral, summit, y->body_c, f->mean_skin_c, y->reserve_kj_kg);

    return (struct rates){
        .body = (y->heat_w_kg * b->mass_kg - f->loss_w) * leg->per_mass_heat,
        .water = y->water_kg > 0.0 ? -f->dry_kg_s - leg->rub_per_s * y->water_kg : 0.0,
        .heat = (want - y->heat_w_kg) * leg->per_lag,
        .reserve = milk * m->milk_kj_g - y->heat_w_kg * 1e-3,
        .milk = milk,
    };
}

static struct moment moved(const struct piglet_model *m, const struct moment *y, const struct rates *r, double dt_s)
{
    struct moment z = *y;

    z.body_c += dt_s * r->body;
    z.water_kg = larger(0.0, z.water_kg + dt_s * r->water);
    z.heat_w_kg += dt_s * r->heat;
    z.reserve_kj_kg = within_or(z.reserve_kj_kg + dt_s * r->reserve, 0.0, m->reserve_most_kj_kg);
    z.milk_g_kg += dt_s * r->milk;
    return z;
}

static void note_low(struct tally *t, const struct moment *y0, const struct moment *y1, double d0, double d1,
                     double from_min, double dt_min)
{
    double share;

    if (!(d0 < 0.0 && d1 > 0.0))
        return;
    const double low_c = cubic_low(y0->body_c, y1->body_c, d0, d1, dt_min * 60.0, &share);
    if (low_c < t->r.min_c && isnan(t->r.collapsed_at_min)) {
        t->r.min_c = low_c;
        t->r.min_at_min = from_min + share * dt_min;
    }
}

/* One step of dt_s; *k1 comes in, *y goes out moved. */
static void live_step(const struct leg *leg, const struct aged at[3], const struct rates *k1, double dt_s,
                      struct moment *y, struct skins *s)
{
    const struct piglet_model *m = leg->m;
    struct flux unused;
    const struct moment y2 = moved(m, y, k1, 0.5 * dt_s);
    const struct rates k2 = rates(leg, &y2, &at[1], s, &unused);
    const struct moment y3 = moved(m, y, &k2, 0.5 * dt_s);
    const struct rates k3 = rates(leg, &y3, &at[1], s, &unused);
    const struct moment y4 = moved(m, y, &k3, dt_s);
    const struct rates k4 = rates(leg, &y4, &at[2], s, &unused);
    const struct rates k = {
        .body = (k1->body + 2.0 * (k2.body + k3.body) + k4.body) / 6.0,
        .water = (k1->water + 2.0 * (k2.water + k3.water) + k4.water) / 6.0,
        .heat = (k1->heat + 2.0 * (k2.heat + k3.heat) + k4.heat) / 6.0,
        .reserve = (k1->reserve + 2.0 * (k2.reserve + k3.reserve) + k4.reserve) / 6.0,
        .milk = (k1->milk + 2.0 * (k2.milk + k3.milk) + k4.milk) / 6.0,
    };

    *y = moved(m, y, &k, dt_s);
}

enum outcome { LEG_LIVED, LEG_COLLAPSED, LEG_FIRST_MILK };

/* One leg from from_min to *to_min. It ends early when the piglet collapses, or when it warms so far that it begins to
 * suck: that is a jump too, and *to_min is then brought back to it. */
static enum outcome live_leg(const struct leg *leg, struct aged *age, double from_min, double *to_min, double step_min,
                             struct moment *y, struct skins *s, struct tally *t)
{
    const double n = ceil((*to_min - from_min) / step_min - 1e-6);
    double dt_min = (*to_min - from_min) / n, at_min = from_min, slope_before = NAN, before_min = from_min;
    struct aged by = aged_at(leg->m, 0.5 * dt_min / 60.0), at[3];
    struct moment before = *y;
    enum outcome how = LEG_LIVED;
    struct flux f;

    y->fed = leg->fed;
    at[0] = *age;
    if (leg->jumped)
        skins_settle(leg, y, &at[0], s);
    for (double i = 0.0; i < n && how == LEG_LIVED; i += 1.0) {
        skins_open(leg, y, s);
        const struct rates k1 = rates(leg, y, &at[0], s, &f);
        note_low(t, &before, y, slope_before, k1.body, before_min, at_min - before_min);
        tally_point(t, at_min, y, &f, wetness(leg, y->water_kg));
        at[1] = aged_on(&at[0], &by);
        at[2] = aged_on(&at[1], &by);
        before = *y;
        before_min = at_min;
        slope_before = k1.body;
        live_step(leg, at, &k1, dt_min * 60.0, y, s);
        if (leg->may_eat && !leg->fed && y->milk_g_kg > before.milk_g_kg && dt_min > 0.05) {
            /* sucking began inside this step: live it again up to there */
            const double share = within_or((34.0 - before.body_c) / (y->body_c - before.body_c), 0.0, 1.0);
            dt_min = smaller(dt_min, share * dt_min + 0.02);
            by = aged_at(leg->m, 0.5 * dt_min / 60.0);
            at[1] = aged_on(&at[0], &by);
            at[2] = aged_on(&at[1], &by);
            *y = before;
            live_step(leg, at, &k1, dt_min * 60.0, y, s);
            *to_min = at_min + dt_min;
            how = LEG_FIRST_MILK;
        }
        at_min += dt_min;
        if (tally_step(t, &before, y, before_min, at_min))
            return LEG_COLLAPSED;
        at[0] = at[2];
    }
    *age = at[0];
    if (slope_before < 0.0) { /* still cooling when the last step began: did it turn inside? */
        skins_open(leg, y, s);
        note_low(t, &before, y, slope_before, rates(leg, y, &at[0], s, &f).body, before_min, at_min - before_min);
    }
    return how;
}

double piglet_next_jump(const struct piglet_model *m, const struct piglet *who, double at_min)
{
    static const double marks_min[] = { 5.0, 20.0, 30.0, 120.0 };
    const double late = at_min + 1e-6;
    double next = smaller(who->hours * 60.0, (floor(late / 60.0) + 1.0) * 60.0);
    const double milk[2] = { (m->milk_after_h - who->age_h) * 60.0, (m->milk_until_h - who->age_h) * 60.0 };

    for (size_t i = 0; i < COUNT(marks_min); i++)
        if (marks_min[i] > late)
            next = smaller(next, marks_min[i]);
    for (size_t i = 0; i < COUNT(milk); i++)
        if (who->suckles && milk[i] > late)
            next = smaller(next, milk[i]);
    if (who->mates > 0.0 && who->alone_min > late)
        next = smaller(next, who->alone_min);
    if (who->mates > 0.0 && who->mates_per_h > 0.0 && at_min + 1e-6 >= who->alone_min) {
        const double every = 60.0 / who->mates_per_h;
        next = smaller(next, who->alone_min + every * (floor((late - who->alone_min) / every) + 1.0));
    }
    return next;
}

/* until_sure: the run may end as soon as it is sure to come to grade 2 or 3. */
static void run(const struct piglet_model *m, const struct pace *pace, const struct piglet *who, size_t n,
                const struct piglet_air air[], bool until_sure, struct piglet_series *series, struct piglet_result *out)
{
    const double full_kg = m->water_kg_m2 * m->area_coef * pow(who->mass_kg, m->area_exp);
    struct moment y = moment_start(m, who);
    struct skins skins = { .open_c = 30.0, .ref_c = 30.0 };
    struct aged age = aged_at(m, who->age_h);
    struct tally tally;
    struct body b = { .mass_kg = who->mass_kg };

    tally_start(m, who, n, air, series, &tally);
    const struct piglet_air *last_air = NULL;
    double last_mates = -1.0;
    for (double at_min = 0.0; at_min < who->hours * 60.0 - 1e-6;) {
        double to_min = piglet_next_jump(m, who, at_min);
        const double age_h = who->age_h + at_min / 60.0;
        const size_t hour = (size_t)(at_min / 60.0 + 1e-9);
        const struct piglet_air *a = &air[hour < n ? hour : n - 1];
        const bool alone = who->mates <= 0.0 || at_min + 1e-6 < who->alone_min;

        const double mates = alone ? 0.0 : piglet_mates_at(who, at_min + 1e-6); /* 0: alone, and not at the udder */
        const bool jumped = last_mates < 0.0 || a != last_air || mates != last_mates; /* so at the first step */

        if (jumped)
            piglet_body(m, who->mass_kg, mates, who->at_udder && !alone, a, &b);
        last_air = a;
        last_mates = mates;
        const bool may_eat = piglet_may_eat(m, who, age_h + 1e-8, at_min);
        const double under_bed = m->ref_body_c - (m->ref_body_c - b.bed_c) * m->tissue_ref / (m->tissue_ref + b.r_bed);
        const struct leg leg = {
            .m = m,
            .b = &b,
            .per_full_kg = 1.0 / full_kg,
            /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): without air nothing comes this far (check.c) */
            .wet_least = a->wet_least,
            .rub_per_s = piglet_rub_per_s(m, who, a),
            .per_mass_heat = 1.0 / (b.mass_kg * m->heat_capacity),
            .air_c = a->air_c,
            .may_eat = may_eat,
            .per_lag = 1.0 / m->heat_lag_s,
            .jumped = jumped,
            .ref_bed_c =
                (b.bed_share > 0.0 ? b.bed_share * under_bed * b.open_share : 0.0) + m->cover_c * (1.0 - b.open_share),
            .fed = y.fed || (may_eat && piglet_milk(m, y.body_c, a->air_c) > 0.0),
        };
        if (live_leg(&leg, &age, at_min, &to_min, pace_at(pace, at_min), &y, &skins, &tally) == LEG_COLLAPSED)
            break;
        at_min = to_min;
        if (until_sure && piglet_danger_is_sure(tally.r.min_c, tally.r.at_2h_c))
            break;
    }
    tally_end(&tally, &y, out);
}

enum status piglet_run(const struct piglet_model *m, const struct piglet *who, size_t n, const struct piglet_air air[],
                       struct piglet_series *series, struct piglet_result *out, struct message *why)
{
    const enum status st = piglet_refuse_bad(who, n, air, why);

    if (st == ST_OK && air)
        run(m ? m : &piglet_published, fine, who, n, air, false, series, out);
    return st;
}

enum status piglet_run_brisk(const struct piglet_model *m, const struct piglet *who, size_t n,
                             const struct piglet_air air[], struct piglet_result *out, struct message *why)
{
    const enum status st = piglet_refuse_bad(who, n, air, why);

    if (st == ST_OK && air)
        run(m ? m : &piglet_published, piglet_brisk, who, n, air, false, NULL, out);
    return st;
}

enum status piglet_run_danger(const struct piglet_model *m, const struct piglet *who, size_t n,
                              const struct piglet_air air[], bool *danger, struct message *why)
{
    struct piglet_result r;
    const enum status st = piglet_refuse_bad(who, n, air, why);

    if (st != ST_OK || !air)
        return st;
    if (!(who->hours >= 2.0))
        return refuse(ST_BAD_INPUT, why, "hours", "danger shows in two hours: give 2 or more");
    run(m ? m : &piglet_published, piglet_brisk, who, n, air, true, NULL, &r);
    *danger = !r.too_hot && piglet_danger_is_sure(r.min_c, r.at_2h_c);
    return ST_OK;
}

void piglet_run_batch(const struct piglet_model *m, size_t n, const struct piglet_case cases[],
                      struct piglet_result out[])
{
    struct message unread = { "", "" };

    for (size_t i = 0; i < n; i++)
        if (piglet_run(m, cases[i].who, cases[i].n_air, cases[i].air, NULL, &out[i], &unread) != ST_OK)
            piglet_no_figures(&out[i]);
}

static enum status pair_of(const struct piglet_model *m, const struct pace *pace, const struct piglet *typical,
                           double runt_mass_kg, size_t n, const struct piglet_air air[], struct piglet_pair *out,
                           struct message *why)
{
    struct piglet runt = *typical;
    struct piglet_pair pair;

    runt.mass_kg = runt_mass_kg;
    enum status st = piglet_refuse_bad(typical, n, air, why);
    if (st == ST_OK)
        st = piglet_refuse_bad(&runt, n, air, why);
    if (st != ST_OK)
        return st;
    run(m ? m : &piglet_published, pace, typical, n, air, false, NULL, &pair.typical);
    run(m ? m : &piglet_published, pace, &runt, n, air, false, NULL, &pair.runt);
    pair.shortfall_c = piglet_shortfall_both(pair.typical.shortfall_c, pair.runt.shortfall_c);
    *out = pair;
    return ST_OK;
}

enum status piglet_run_pair(const struct piglet_model *m, const struct piglet *typical, double runt_mass_kg, size_t n,
                            const struct piglet_air air[], struct piglet_pair *out, struct message *why)
{
    return pair_of(m, fine, typical, runt_mass_kg, n, air, out, why);
}

enum status piglet_run_pair_brisk(const struct piglet_model *m, const struct piglet *typical, double runt_mass_kg,
                                  size_t n, const struct piglet_air air[], struct piglet_pair *out, struct message *why)
{
    return pair_of(m, piglet_brisk, typical, runt_mass_kg, n, air, out, why);
}
