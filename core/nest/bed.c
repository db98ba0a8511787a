/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Wet straw. In the open the bed holds what rains on it; under a roof it is the rain driven in at the door that counts.
 * Thresholds are assumed; straw carried wet on feet is not seen here: say so with the shelter's own straw state.
 */
#include "core/nest/own.h"

#include "core/air/air.h"

void nest_bed_driven(const struct nest_model *m, bool flap, double wind_mps, double rain_mm, double angle_deg,
                     struct nest_bed *bed)
{
    if (rain_mm > m->driven_mm && wind_mps > m->driven_mps && angle_deg < m->driven_deg && !flap)
        bed->driven_h += 1.0;
    else
        bed->driven_h = fmax(0.0, bed->driven_h - m->driven_dry_h);
}

void nest_bed_hour(const struct nest_model *m, const struct shelter *shelter, const struct place *place,
                   const struct hour *hour, struct nest_bed *bed)
{
    const struct nest_model *k = m ? m : &nest_published;
    const double rain_mm = nest_wets(k, hour) ? isnan(hour->rain_mm) ? k->no_rain_mm : hour->rain_mm : 0.0;

    switch (shelter->kind) {
    case SHELTER_HUT: {
        const double ratio = shelter->lee.stands ? nest_lee_ratio(&shelter->lee, hour->wind_from_deg) : 1.0;
        const double wind_mps = hour->wind_mps * (place ? place->wind_ratio : 1.0) *
                                air_wind_factor(k->hut_height_m, k->roughness_m) * ratio;
        const bool known = !isnan(hour->wind_from_deg) && !isnan(shelter->hut.facing_deg);
        const double angle_deg = known ? nest_angle_between(hour->wind_from_deg, shelter->hut.facing_deg) : 0.0;
        nest_bed_driven(k, shelter->hut.flap, wind_mps, rain_mm, angle_deg, bed);
        break;
    }
    case SHELTER_OPEN:
    case SHELTER_LEE:
        bed->water_mm = rain_mm > 0.0 ? bed->water_mm + rain_mm : fmax(0.0, bed->water_mm - k->dry_mm_h);
        break;
    case SHELTER_BARN:
    case SHELTER_KIND_END: break;
    }
}

enum straw_state nest_straw_worse(const struct nest_model *m, const struct shelter *s, bool roof,
                                  const struct nest_bed *bed)
{
    enum straw_state state = s->straw;

    if (state == STRAW_DRY && s->straw_age_d > m->straw_damp_after_d)
        state = STRAW_DAMP;
    if (!bed)
        return state;
    const double wet = roof ? bed->driven_h : bed->water_mm;
    if (state == STRAW_DRY && wet >= (roof ? m->damp_after_h : m->damp_mm) - 1e-9)
        state = STRAW_DAMP;
    if (wet >= (roof ? m->soaked_after_h : m->soaked_mm) - 1e-9)
        state = STRAW_SOAKED;
    return state;
}

enum straw_state nest_bed_state(const struct nest_model *m, const struct shelter *shelter, const struct nest_bed *bed)
{
    return nest_straw_worse(m ? m : &nest_published, shelter,
                            shelter->kind == SHELTER_HUT || shelter->kind == SHELTER_BARN, bed);
}
