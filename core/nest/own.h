/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared inside core/nest: the one balance, split into what an hour brings whatever way the door looks, what the
 * bearing adds, and what comes out. nest.c uses it for one hour, facing.c for 72 bearings of it.
 */
#ifndef CORE_NEST_OWN_H
#define CORE_NEST_OWN_H

#include <math.h>

#include "core/nest/nest.h"

#define RADIANS (3.14159265358979323846 / 180.0)

/* A shelter, ready: nothing here changes with the hour. */
struct stand {
    const struct nest_model *m;
    const struct shelter *s;
    const struct place *place;
    double door_m2, through_m2; /* door with its flap as it stands; door and leaks in series */
    double skin_m2, wall_r;
    double sow_w20, piglets_w;   /* sow's total heat at 20 °C; piglets, all taken as sensible */
    double draught_ratio;        /* a flap's effect on the draught */
    double sun_radiant;          /* K of radiant temperature for each W/m2 into the door */
    double straw_warm, hollow;   /* 0.35 (1 - exp(-d/0.15)); share of the wind that the bed's wall leaves */
    double door_wind, nest_wind; /* wind at those heights over wind at 10 m */
};

/* An hour at a stand, before the bearing. */
struct weather_at {
    double out_c, wind10_mps; /* at the site, before any windbreak */
    double rh, cloud, rain_mm;
    double on_skin_w_m2; /* sun the skin takes up less sky, W per m2 of horizontal: alpha GHI - night sky */
    bool wets;           /* liquid rain falls, or may */
};

/* What the bearing adds. */
struct turned {
    double wind_ratio;       /* of a windbreak */
    double through, draught; /* c, kappa */
    double head;             /* max(0, cos) between wind and door */
    double sun_w_m2;         /* into the opening */
};

/* What a newborn meets. */
struct met {
    double in_c, nest_c, draught_mps, radiant_c, flow_m3_s, rain_in_l_m2;
};

void nest_stand(const struct nest_model *m, const struct shelter *s, const struct place *place,
                const struct nest_inside *inside, struct stand *st);
void nest_meet(const struct stand *st, const struct weather_at *w, const struct turned *t, struct met *out);
double nest_bed_c(const struct nest_model *m, double out_c);
/* c and kappa at an angle between wind and door: a smooth curve through the tabled ones. */
void nest_angle(const struct nest_model *m, double angle_deg, double *through, double *draught);
double nest_angle_between(double a_deg, double b_deg); /* 0 .. 180 */
double nest_sun_in_w_m2(const struct nest_sun *sun, double facing_deg, double albedo);
bool nest_wets(const struct nest_model *m, const struct hour *hour);
enum straw_state nest_straw_worse(const struct nest_model *m, const struct shelter *s, bool roof,
                                  const struct nest_bed *bed);
/* One hour's effect on a bed under a roof: rain driven in at the door. */
void nest_bed_driven(const struct nest_model *m, bool flap, double wind_mps, double rain_mm, double angle_deg,
                     struct nest_bed *bed);

#endif
