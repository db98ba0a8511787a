/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Nest: one outside hour and one shelter -> the air, draught, floor and wet that a newborn meets there, and the air of
 * the hut for the sow. One heat balance serves tonight, the field's facing and the season.
 *
 * What is not known is taken on the colder side and listed in `assumed`. Bearings: wind is where it comes FROM, a door
 * where it looks TO, a windbreak where it stands as seen from the nest.
 * All pure. `const struct nest_model *m` may be NULL for the published constants.
 * Formulas, sources and limits: docs/reckoning/nest.md.
 */
#ifndef CORE_NEST_NEST_H
#define CORE_NEST_NEST_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/hour.h"
#include "core/base/status.h"
#include "core/piglet/piglet.h"

enum shelter_kind { SHELTER_OPEN, SHELTER_LEE, SHELTER_HUT, SHELTER_BARN, SHELTER_KIND_END };
enum hut_wall { WALL_STEEL, WALL_PLASTIC, WALL_WOOD, WALL_INSULATED, HUT_WALL_END };

extern const char *const shelter_kind_name[SHELTER_KIND_END]; /* "open" "lee" "hut" "barn" */
extern const char *const hut_wall_name[HUT_WALL_END];         /* "steel" "plastic" "wood" "insulated" */

struct windbreak { /* hedge, bales, boards; counts for every kind of shelter but the barn */
    bool stands;
    double porosity;         /* 0 solid .. 1 nothing; 0.5 a good hedge */
    double distance_heights; /* nest to break in heights of it, -20 .. 60; negative: the nest is on its windward side */
    double bearing_deg;      /* where it stands; NAN = square to the wind whatever the wind does */
    double width_heights;    /* its length in heights; 10 or more counts in full; NAN = wide */
};

struct hut {
    double floor_length_m, floor_width_m, height_m;
    double skin_m2; /* outside skin; NAN = from the sizes */
    double door_width_m, door_height_m;
    double leaks_m2; /* cracks on the far side */
    enum hut_wall wall;
    bool white; /* roof painted white; else dull or dark */
    bool flap;
    double facing_deg; /* 0 .. 360, where the door looks; NAN = not known: taken square into the wind */
};

struct shelter { /* start from shelter_default() */
    enum shelter_kind kind;
    struct windbreak lee;
    struct hut hut;
    double barn_warmer_k;    /* barn: above outside; 2 unless measured */
    double barn_temp_c;      /* barn: measured air, NAN = not */
    enum piglet_floor floor; /* PIGLET_STRAW, or what lies bare */
    double straw_m;          /* settled depth, 0 .. 1.5 */
    enum straw_state straw;  /* as it was laid or last seen */
    double straw_age_d;      /* days since; over 14 dry counts as damp (common practice, no source) */
};

struct place {            /* the site against the weather station; start from place_default() */
    double wind_ratio;    /* 1; open-country wind at 10 m times this */
    double temp_offset_k; /* 0; a hollow on a clear night is below 0 */
    double albedo;        /* 0.2 grass, 0.8 fresh snow */
};

struct nest_inside {           /* who is in it; start from nest_inside_default() */
    double sow_kg, milk_kg_d;  /* 200, 1; 6 .. 10 at the peak of milk; sow_kg 0 = no sow there */
    double piglets, piglet_kg; /* 8 of 1.3 */
};

struct nest_sun {                        /* the sun in the middle of the hour */
    double azimuth_deg, elevation_deg;   /* elevation NAN = nothing is known of the sun */
    double ghi_w_m2, dni_w_m2, dhi_w_m2; /* NAN = not known: taken as none */
    double top_w_m2;                     /* outside the atmosphere, square to the beam; NAN = 1366.1 */
};

/* How wet the bed has become. Carry it from hour to hour with nest_bed_hour(); zero it when straw is laid. */
struct nest_bed {
    double water_mm; /* open bed: rain held, falling again when it is dry */
    double driven_h; /* hut: hours of rain driven in at the door */
};

enum nest_assumption { /* bits of nest.assumed */
                       NEST_NO_RH = 1 << 0,
                       NEST_NO_WIND_FROM = 1 << 1,
                       NEST_NO_CLOUD = 1 << 2,
                       NEST_NO_RAIN = 1 << 3,
                       NEST_NO_SUN = 1 << 4,
                       NEST_NO_FACING = 1 << 5,
                       NEST_NO_BREAK_BEARING = 1 << 6,
                       NEST_NO_BREAK_WIDTH = 1 << 7,
};
enum { NEST_ASSUMPTION_BITS = 8 };
/* What was assumed and why it is the colder side, one sentence; NULL for an unknown bit. */
const char *nest_assumed_words(unsigned bit);

struct nest {
    double hut_c; /* air of the hut or barn; outside air in the open */
    double nest_c;
    double draught_mps, radiant_c, bed_c, rh;
    double flow_m3_s;       /* through the hut; NAN where there is none */
    double rain_in_l_m2;    /* driven into the opening in the hour, per m2 of it (all rain in the open) */
    double sun_in_w_m2;     /* into the opening: beam + Hay-Davies sky + ground; 0 where there is none */
    enum straw_state straw; /* after the wet of the hour */
    double feels_c;         /* NAN when no table was given */
    int heat_grade;         /* 0 .. 4 by the air: 22, 25, 27, 31 °C */
    bool too_hot_for_piglet_model;
    unsigned assumed;      /* enum nest_assumption bits */
    struct piglet_air air; /* ready for piglet_run() */
};

/* Constants; tags in docs/reckoning/nest.md. */
struct nest_model {
    double roughness_m, hut_height_m, nest_height_m;
    double still_mps, hollow_share, hollow_depth_m;
    double sow_total_coef, sow_milk_coef, sow_sensible_0, sow_per_k, sow_sensible_6, piglet_w_kg;
    double wall_r[HUT_WALL_END];
    double outside_h, outside_wind_h, inside_h;
    double flow_wind, flow_buoyancy, flow_rest, flow_through, flap_door, flap_draught;
    double through[5], draught[5], draught_least; /* at 0, 45, 90, 135, 180 degrees between wind and door */
    double air_heat;                              /* J/(m3 K) */
    double alpha_dark, alpha_white, sun_on_skin, door_sun, sun_on_piglet, sky_w_m2, sky_on_skin;
    double warm_share, warm_depth_m, warm_wind_mps, warm_c;
    double bed_cold_c, bed_share, bed_least_c;
    double open_sky_k;
    double barn_draught_mps, hut_rh;
    double rain_wet_least, rain_from_c, damp_mm, soaked_mm, dry_mm_h;
    double driven_mm, driven_mps, driven_deg, damp_after_h, soaked_after_h, driven_dry_h;
    double evaporate_w_l; /* W for a litre an hour */
    double no_rh, no_rh_hut, no_rain_mm, straw_damp_after_d;
};
extern const struct nest_model nest_published;

struct shelter
shelter_default(enum shelter_kind kind); /* hut: 2.4 x 1.8 x 1.1 m, steel, door 0.70 x 0.85, 20 cm dry straw */
struct place place_default(void);
struct nest_inside nest_inside_default(void);
struct nest_sun nest_sun_unknown(void);

/* Refuse a shelter with an impossible size, depth, bearing ... naming the field. nest_hour() relies on it. */
enum status shelter_check(const struct shelter *s, struct message *why) MUST_USE;

/* One hour.
 *
 * Given     shelter    checked; place, inside, sun may be NULL for the defaults (sun: not known)
 *           bed        wet of the straw so far; NULL = as the shelter says
 *           hour       temp_c and wind_mps must be known; rh, wind_from, cloud, rain may be NAN
 *           feels      a table made once, or NULL
 * Returned  *out; untouched on failure
 * Fails     ST_BAD_INPUT naming what is missing or out of range
 */
enum status nest_hour(const struct nest_model *m, const struct shelter *shelter, const struct place *place,
                      const struct nest_inside *inside, const struct nest_bed *bed, const struct hour *hour,
                      const struct nest_sun *sun, const struct feels_table *feels, struct nest *out,
                      struct message *why) MUST_USE;

/* Carry the wet of the bed over one hour (call it before nest_hour() of that hour). */
void nest_bed_hour(const struct nest_model *m, const struct shelter *shelter, const struct place *place,
                   const struct hour *hour, struct nest_bed *bed);
enum straw_state nest_bed_state(const struct nest_model *m, const struct shelter *shelter, const struct nest_bed *bed);

/* A run of hours in one shelter, wet carried along: out[i] for hours[i]. suns may be NULL. Hours more than one hour
 * apart are taken as following each other. Fails as nest_hour(), the message naming the hour. */
enum status nest_hours(const struct nest_model *m, const struct shelter *shelter, const struct place *place,
                       const struct nest_inside *inside, size_t n, const struct hour hours[],
                       const struct nest_sun suns[], const struct feels_table *feels, struct nest_bed *bed,
                       struct nest out[], struct message *why) MUST_USE;

/* A litter born at the start of hour h: conditions h .. h + 6 of a run of nests, for piglet_run(). air has room for 7.
 * Returned  number filled, 1 .. 7 (fewer at the end of the run; piglet_run() holds the last) */
size_t nest_birth_air(size_t n, const struct nest nests[], size_t h, struct piglet_air air[7]);

/* Pieces, each usable alone. Wind at a height, a windbreak's lee, driving rain: core/air; sun on an opening: core/sun.
 */
double nest_lee_ratio(const struct windbreak *b, double wind_from_deg); /* wind there over open wind, 0 .. 1 */
double nest_sow_heat_w(const struct nest_model *m, double sow_kg, double milk_kg_d, double air_c, bool sensible);
double nest_flow_single(const struct nest_model *m, double door_m2, double height_m, double wind_mps, double warmer_k);

/* The sow. */
int nest_heat_grade(double hut_c);      /* 0 .. 4; -1 for NAN */
const char *nest_heat_words(int grade); /* what to do; NULL outside 0 .. 4 */

struct nest_sow_bed {
    bool alone, deep_dry_straw, wet_or_draughty;
    double hardy_k;   /* 0 .. 10 lower for hairy, fat breeds */
    double condition; /* score 1 .. 5; NAN = 3 */
};
double nest_sow_lower_critical_c(const struct nest_sow_bed *bed);
/* How cold it is for her: 0 above her lower critical temperature, 1 she needs more feed, 2 at risk (thin, wet or
 * unbedded below 0 °C, or below -10 °C even so). */
int nest_sow_cold_grade(const struct nest_sow_bed *bed, double air_c);
const char *nest_sow_cold_words(int grade);

#endif
