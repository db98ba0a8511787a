/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Several births of one kind side by side: what stands as arrays for the compiler to turn into vectors.
 */
#ifndef CORE_PIGLET_ABREAST_H
#define CORE_PIGLET_ABREAST_H

#include "core/piglet/own.h"

enum { ABREAST = 4 };
typedef double lane[ABREAST];

struct state { /* struct moment without what danger does not ask for */
    lane body_c, water_kg, heat_w_kg, reserve_kj_kg, milk_g_kg;
};

struct speed {
    lane body, water, heat, reserve, milk;
};

struct ages { /* struct aged */
    lane vessel, birth, neutral, summit;
};

struct moving { /* all that a step moves; the skins as in run.c */
    struct state y;
    struct ages age;
    lane open_c, ref_c;
};

struct abreast {
    const struct piglet_model *m;
    const struct piglet *who;
    double per_full_kg, per_mass_heat, per_lag, per_area, mass_kg, udder_m2;
    bool may_eat;
    lane fed; /* 1 or 0 */
    lane wet_least, rub_per_s, milk_by_air;
    lane air_m2, covered_m2, bed_m2, open_share, ref_bed_c, r_bed; /* open_share: without the bed */
    lane h_c, air_c, radiant_c, bed_c, vapour_kpa, latent_h, dry_kg_s_kpa;
    struct body body[ABREAST];
    struct moving at;
    lane wet0, vessels0, vessels_per_wet, at_c, full_kpa, rise1, rise2, rise3;
};

/* At the start of a run. */
void abreast_start(struct abreast *g, const struct piglet_model *m, const struct piglet *who);
/* New surroundings for all; then both skins from nothing. */
void abreast_surround(struct abreast *g, double mates, bool at_udder, const struct piglet_air *const air[ABREAST]);
void abreast_settle(struct abreast *g);
/* Open a step: series of the skins, and how fast all changes now. */
void abreast_open(struct abreast *g, struct speed *now);
/* From y on over dt_s of each, now as abreast_open() gave it; by: ages over half of it. Moves g->at. */
void abreast_step(struct abreast *g, const struct state *y, const struct ages *age, const struct ages *by,
                  const struct speed *now, const lane dt_s);

#endif
