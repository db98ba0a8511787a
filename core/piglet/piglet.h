/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Piglet: what happens to the body temperature of a newborn in the hours after birth.
 *
 * One temperature stands for the whole body. State: body temperature, water on the skin, heat production, reserve.
 * The answer is thermal danger, never a death rate: nothing here says how many live. Valid for birth to 24 h, healthy
 * piglets; calibrated on indoor pens at 10 .. 34 °C, below 0 °C it is physics and hope. Heat is not modelled: above 36
 * °C nest air `too_hot` is set and the temperatures mean nothing.
 *
 * All pure. Every function that takes `const struct piglet_model *m` accepts NULL for the published constants.
 * Formulas, sources and limits: docs/reckoning/piglet.md.
 */
#ifndef CORE_PIGLET_PIGLET_H
#define CORE_PIGLET_PIGLET_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/status.h"

enum piglet_floor { PIGLET_MESH, PIGLET_CONCRETE, PIGLET_WOOD, PIGLET_SOIL, PIGLET_STRAW, PIGLET_FLOOR_END };
enum straw_state { STRAW_DRY, STRAW_DAMP, STRAW_SOAKED, STRAW_STATE_END };

extern const char *const piglet_floor_name[PIGLET_FLOOR_END]; /* "mesh" "concrete" "wood" "soil" "straw" */
extern const char *const straw_state_name[STRAW_STATE_END];   /* "dry" "damp" "soaked" */

/* What the piglet lies and breathes in, for one hour. */
struct piglet_air {
    double air_c;            /* at the nest, -60 .. 80 */
    double rh;               /* 0 .. 1 */
    double draught_mps;      /* at the piglet, 0 .. 30; under 0.08 counts as 0.08 only where a shelter says so */
    double radiant_c;        /* mean radiant temperature, -90 .. 90 */
    double bed_c;            /* ground or floor under the bed, -60 .. 60 */
    enum piglet_floor floor; /* PIGLET_MESH: no contact with a floor */
    double straw_m;          /* settled depth, 0 .. 1.5; read only on PIGLET_STRAW */
    enum straw_state straw;
    double wet_least; /* 0 .. 1: rain keeps the skin at least this wet (0.3 in rain without a roof) */
};

/* Who is born. Start from piglet_newborn() and change what differs. */
struct piglet {
    double mass_kg;    /* 0.3 .. 3.0; typical 1.3, runt 0.9 */
    double wet;        /* 0 .. 1, share of full birth wetness at the start: 1 newborn, 0.2 towelled, 0 dry */
    bool suckles;      /* milk from 45 min after birth; false = never fed */
    bool milk_at_once; /* milk from the start of the run instead (for measurements made on fed piglets) */
    double alone_min;  /* minutes from the start in which it lies alone, away from the udder; 20 */
    double mates; /* n huddling after that, itself among them (8 born: 7 is typical); 0 = alone for the whole run */
    double mates_per_h; /* n grows by this many an hour after alone_min, up to mates_most; 0 = does not grow */
    double mates_most;
    bool at_udder;    /* touches the udder when not alone */
    double body_c;    /* at the start, 26 .. 41; 39.0 */
    double age_h;     /* since birth, at the start of the run; over 0 heat production starts thermoneutral */
    double hours;     /* length of the run, 0.5 .. 72; a grade needs 6 */
    double rub_per_h; /* drying by rubbing; NAN = by the bed: 1.5 in dry straw, 0.6 elsewhere */
};

/* Constants of the model. Tags in docs/reckoning/piglet.md say which are published and which are assumed. */
struct piglet_model {
    double area_coef, area_exp; /* m2 = coef kg^exp */
    double heat_capacity;       /* J/(kg K) */
    double sow_share;           /* of the skin, touching the udder */
    double udder_c;
    double huddle_least, huddle_fall; /* F(n) = least + (1 - least) exp(-(n - 1)/fall) */
    double bed_share, bed_share_straw, bed_share_depth_m;
    double still_h, wind_h; /* W/(m2 K); h_c = cbrt(still^3 + (wind sqrt(v))^3) */
    double emissivity;
    double lewis;                       /* W/(m2 kPa) of latent heat for each W/(m2 K) of h_c */
    double r_concrete, r_wood, r_soil;  /* m2 K/W */
    double r_straw_least, straw_squash; /* straw: least + squash depth / k */
    double k_straw[STRAW_STATE_END];    /* W/(m K) */
    double r_udder;
    double tissue_ref, tissue_least, tissue_more; /* m2 K/W */
    double vessel_skin_c, vessel_slope_k, vessel_h;
    double ref_body_c, cover_c; /* 38.5 and 37.5 in the reference skin temperature */
    double breath_w_kg;
    double water_kg_m2, latent_j_kg;
    double rub_bare_per_h, rub_straw_per_h;
    double neutral_w_kg, neutral_fed_w_kg, neutral_fed_h;
    double summit_w_kg, summit_birth_w_kg, summit_birth_h, summit_fed_w_kg, summit_fed_h;
    double shiver_skin_c, shiver_skin_w, shiver_body_c, shiver_body_w;
    double heat_lag_s;
    double fail_body_c, fail_per_k, fail_least;
    double reserve_kj_kg, reserve_most_kj_kg, reserve_low_kj_kg, reserve_floor;
    double milk_after_h, milk_until_h, milk_g_kg_h, milk_kj_g;
    double collapse_c;
};

extern const struct piglet_model piglet_published;

struct piglet_result {
    double min_c, min_at_min;            /* lowest body temperature, minutes from the start */
    double at_30min_c, at_2h_c, at_6h_c; /* NAN: the run ended or the piglet collapsed before */
    double end_c;                        /* at the end of the run (collapse_c if collapsed) */
    double mean_heat_w_kg, peak_heat_w_kg;
    double milk_g_kg;        /* eaten in the run, g per kg of piglet */
    double reserve_kj_kg;    /* left at the end */
    double collapsed_at_min; /* NAN = did not */
    double shortfall_c;      /* max(0, 34 - min), at most 9 */
    int grade;               /* 0 .. 3; -1 when the run is shorter than 6 h and did not collapse */
    bool near_limit;         /* within 0.3 °C of another grade */
    bool too_hot;            /* nest air above 36 °C in some hour: show a heat warning, not these figures */
};

struct piglet_point {
    double at_min, body_c, skin_c, heat_w_kg, loss_w_kg, wet, reserve_kj_kg;
};

struct piglet_series { /* optional; the caller owns the points */
    struct piglet_point *points;
    size_t room, n;   /* n is filled; points past room are left out */
    double every_min; /* at least 1 */
};

/* 1.3 kg, wet, suckling, alone 20 min, then 7 at the udder, 39.0 °C, age 0, 6 h. */
struct piglet piglet_newborn(void);

/* Follow one piglet.
 *
 * Given     who, air[n]     air[i] holds from hour i to i + 1 of the run; the last holds on when the run is longer
 *           n               1 or more
 *           series          may be NULL
 * Returned  *out            untouched on failure
 * Fails     ST_BAD_INPUT naming the field that is out of range
 * Error     within 0.02 °C of piglet_run_reference(), before collapse (tests/core/test_piglet.c)
 */
enum status piglet_run(const struct piglet_model *m, const struct piglet *who, size_t n, const struct piglet_air air[],
                       struct piglet_series *series, struct piglet_result *out, struct message *why) MUST_USE;

/* The same in half the steps, for many births: lowest temperature of a newborn within 0.1 °C. */
enum status piglet_run_brisk(const struct piglet_model *m, const struct piglet *who, size_t n,
                             const struct piglet_air air[], struct piglet_result *out, struct message *why) MUST_USE;

/* Only whether it is in danger (grade 2 or 3), by what it comes to within who->hours, 2 or more: lowest under 33 or under
 * 36 after two hours. The same steps as piglet_run_brisk(), given up as soon as that is sure. With air above 36 °C in one
 * of those hours false: the balance does not hold there. */
enum status piglet_run_danger(const struct piglet_model *m, const struct piglet *who, size_t n,
                              const struct piglet_air air[], bool *danger, struct message *why) MUST_USE;

/* The same for many births of one kind: air holds n_births x n hours, birth after birth; danger[n_births] is what
 * piglet_run_danger() says of each. Several are reckoned side by side, in a third of the time. */
enum status piglet_run_danger_many(const struct piglet_model *m, const struct piglet *who, size_t n_births, size_t n,
                                   const struct piglet_air air[], bool danger[], struct message *why) MUST_USE;

/* The same by explicit Euler with a skin found by bisection: slow, plain, the yardstick. step_s 1 .. 60; 20 is usual.
 */
enum status piglet_run_reference(const struct piglet_model *m, const struct piglet *who, size_t n,
                                 const struct piglet_air air[], double step_s, struct piglet_series *series,
                                 struct piglet_result *out, struct message *why) MUST_USE;

/* Many at once, without messages: a case that piglet_run() would refuse gives NAN figures and grade -1. Cases are
 * independent, so a caller may share them out over threads. */
struct piglet_case {
    const struct piglet *who;
    const struct piglet_air *air;
    size_t n_air;
};
void piglet_run_batch(const struct piglet_model *m, size_t n, const struct piglet_case cases[],
                      struct piglet_result out[]);

/* Typical and runt of one birth hour. Never merged; only the smooth figure weighs both. */
struct piglet_pair {
    struct piglet_result typical, runt;
    double shortfall_c; /* 0.85 typical + 0.15 runt (judgement) */
};
enum status piglet_run_pair(const struct piglet_model *m, const struct piglet *typical, double runt_mass_kg, size_t n,
                            const struct piglet_air air[], struct piglet_pair *out, struct message *why) MUST_USE;
/* The same in half the steps, for many births: lowest temperature of a newborn within 0.1 °C. */
enum status piglet_run_pair_brisk(const struct piglet_model *m, const struct piglet *typical, double runt_mass_kg,
                                  size_t n, const struct piglet_air air[], struct piglet_pair *out,
                                  struct message *why) MUST_USE;
double piglet_shortfall_both(double typical_c, double runt_c);

/* Grade 0 bearable .. 3 not fit for newborns, from lowest, 2 h and 6 h temperatures; NAN counts as fallen short. */
int piglet_grade(double min_c, double at_2h_c, double at_6h_c);
bool piglet_near_limit(double min_c, double at_2h_c, double at_6h_c);
const char *piglet_grade_words(int grade); /* "danger; be there, dry and warm each one"; NULL outside 0 .. 3 */

/* Heat lost per kg by a body at body_c, skin `wet` (0 .. 1), n huddling, at the udder or not, at age_h.
 * NAN when a condition is out of range. */
double piglet_loss_w_kg(const struct piglet_model *m, double mass_kg, double body_c, double wet, double mates,
                        bool at_udder, double age_h, const struct piglet_air *air);

/* Air temperature at which loss at body 38.6 °C equals thermoneutral heat, dry skin, still air: air, radiant and bed
 * are moved together; draught, humidity, floor and straw are those of `air`. NAN when none lies in -60 .. 40. */
double piglet_lower_critical_c(const struct piglet_model *m, double mass_kg, double mates, bool at_udder, double age_h,
                               bool fed, const struct piglet_air *air);

/* Litters aged 1 .. 3 days: what is left of the most heat they can make, M = 1 - loss(38, dry) / summit(age).
 * Under 0.2 warn, under 0 alarm. NAN out of range. */
double piglet_margin(const struct piglet_model *m, double mass_kg, double mates, double age_h, bool fed,
                     const struct piglet_air *air);

/* Skin temperature over one piece of skin: the heat that comes through the tissue equals what goes off it.
 *
 * Given     body_c, tissue (m2 K/W), wet, h_c (W/(m2 K)), air_c, radiant_c, vapour_kpa of the air
 * Error     the two agree within 0.01 °C over the whole range (tests/core/test_piglet.c)
 */
double piglet_skin_bisect(const struct piglet_model *m, double body_c, double tissue, double wet, double h_c,
                          double air_c, double radiant_c, double vapour_kpa);
double piglet_skin_newton(const struct piglet_model *m, double body_c, double tissue, double wet, double h_c,
                          double air_c, double radiant_c, double vapour_kpa, double start_c);
double piglet_h_c(const struct piglet_model *m, double draught_mps); /* convection, W/(m2 K) */
double piglet_vapour_kpa(double temp_c);                             /* saturation over water, the model's own form */

/* How it feels to a wet newborn: the temperature at which the same half-wet newborn loses as much in still air on 15 cm
 * of dry straw. The loss of that reference is tabulated once; the table belongs to the caller and is then read only. */
enum { FEELS_CELLS = 881 };
struct feels_table {
    double low_c, step_c;             /* -160, 0.25 */
    double loss_w[FEELS_CELLS];       /* falling */
    double newborn_m2, newborn_open;  /* skin of the reference newborn; share of it that nobody covers */
    const struct piglet_model *model; /* that it was made with; outlives the table */
};
void feels_table_make(const struct piglet_model *m, struct feels_table *t);

/* Returned  °C, exact to 0.01 against the root of the reference loss; NAN outside the ranges of struct piglet_air, or
 *           where the reference would be colder than -160. Not to be shown below -60: say "below -60". */
double feels_c(const struct feels_table *t, const struct piglet_air *air);

/* The same where millions are wanted on one bed: the bed is made once, inputs are taken as good (no range is checked),
 * the vapour pressure is the caller's. `skin_c` is a guess of the skin; the result does not hang on it by more than
 * 1e-4. */
struct feels_bed {
    double air_m2, bed_m2, r_bed, breath_w;
};
void feels_bed_make(const struct feels_table *t, enum piglet_floor floor, double straw_m, enum straw_state straw,
                    struct feels_bed *bed);
double feels_c_quick(const struct feels_table *t, const struct feels_bed *bed, double air_c, double vapour_kpa,
                     double draught_mps, double radiant_c, double bed_c, double skin_c);

#endif
