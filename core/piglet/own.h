/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared inside core/piglet: the body in one set of surroundings, and the pieces both solvers stand on.
 */
#ifndef CORE_PIGLET_OWN_H
#define CORE_PIGLET_OWN_H

#include <math.h>

#include "core/piglet/piglet.h"

/* One body among so many mates in one air: areas and boundary, worked out once, used for many steps. */
struct body {
    double mass_kg;
    double area_m2, udder_m2, air_m2, bed_m2; /* the rest is covered by litter-mates */
    double bed_share, open_share;             /* f_b; (area - udder - mates) / area, bed included */
    double r_bed;
    double h_c, air_c, radiant_c, bed_c, vapour_kpa;
    double latent_h;               /* lewis h_c: W/(m2 kPa) off fully wet skin */
    double per_area, dry_kg_s_kpa; /* 1/m2; water off the open skin, fully wet, for each kPa */
};

/* What a body loses and where its skin stands, at one moment. */
struct flux {
    double loss_w;      /* whole body */
    double skin_c;      /* open skin */
    double mean_skin_c; /* T_sk */
    double dry_kg_s;    /* water going off by evaporation */
};

double piglet_bed_resistance(const struct piglet_model *m, const struct piglet_air *air);
void piglet_body(const struct piglet_model *m, double mass_kg, double mates, bool at_udder,
                 const struct piglet_air *air, struct body *b);
/* The same for a body whose size is known: what does not hang on the air, worked out once for many airs. */
struct body_size {
    double mass_kg, area_m2, huddle; /* huddle: share of the skin that litter-mates leave open */
};
struct body_size piglet_size(const struct piglet_model *m, double mass_kg, double mates);
void piglet_body_of_size(const struct piglet_model *m, const struct body_size *size, bool at_udder,
                         const struct piglet_air *air, struct body *b);
double piglet_tissue(const struct piglet_model *m, const struct body *b, double skin_ref_c, double vessel_open);
bool piglet_air_ok(const struct piglet_air *air);
enum status piglet_refuse_bad(const struct piglet *who, size_t n, const struct piglet_air air[], struct message *why);
void piglet_no_figures(struct piglet_result *out);

/* Rates of the equation system that both solvers share. */
double piglet_neutral_w_kg(const struct piglet_model *m, double age_h, bool fed);
double piglet_summit_w_kg(const struct piglet_model *m, double age_h, bool fed);

/* fmax and fmin are calls under gcc 12, and took a tenth of a run; arguments here are never NAN. */
static inline double larger(double a, double b)
{
    return a > b ? a : b;
}

static inline double smaller(double a, double b)
{
    return a < b ? a : b;
}

static inline double within_or(double x, double low, double high)
{
    return x < low ? low : x > high ? high : x;
}

static inline double piglet_demand(const struct piglet_model *m, double neutral, double summit, double body_c,
                                   double skin_c, double reserve_kj_kg)
{
    const double f_t = within_or(1.0 - m->fail_per_k * (m->fail_body_c - body_c), m->fail_least, 1.0);
    const double f_e = reserve_kj_kg >= m->reserve_low_kj_kg
                           ? 1.0
                           : m->reserve_floor + (1.0 - m->reserve_floor) * reserve_kj_kg / m->reserve_low_kj_kg;
    const double want = neutral + m->shiver_skin_w * larger(0.0, m->shiver_skin_c - skin_c) +
                        m->shiver_body_w * larger(0.0, m->shiver_body_c - body_c);

    return smaller(want, summit * f_t * f_e);
}

/* g/(kg h) at body and air temperature, between milk_after_h and milk_until_h. */
static inline double piglet_milk(const struct piglet_model *m, double body_c, double air_c)
{
    return m->milk_g_kg_h * within_or((body_c - 34.0) / 3.0, 0.0, 1.0) *
           within_or(1.0 - 0.03 * (31.0 - air_c), 0.3, 1.0);
}

/* The run's clock: what a caller's struct piglet means at a minute of the run. */
double piglet_mates_at(const struct piglet *who, double at_min);
double piglet_wet_start_kg(const struct piglet_model *m, const struct piglet *who);
double piglet_rub_per_s(const struct piglet_model *m, const struct piglet *who, const struct piglet_air *air);

/* Back from the loss of the reference newborn to a temperature (near_c a guess that only helps speed). */
double feels_from_loss(const struct feels_table *t, double loss_w, double near_c);

#endif
