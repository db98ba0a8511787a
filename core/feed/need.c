/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/feed/need.h"

#include <math.h>
#include <stddef.h>

/* Noblet's energy of the litter carried, as NRC 2012 and Dourmad et al. 2008 use it: kJ = exp(a - b exp(-c t) + d LS) */
static const double noblet_a = 11.72, noblet_b = 8.62, noblet_c = 0.01382, noblet_d = 0.0932;
static const double carried_efficiency = 0.50, milk_efficiency = 0.70, kj_per_kcal = 4.184; /* Noblet 1997; NRC 2012 */
static const double outdoors = 1.15;
static const double creep_from_d = 21.0, creep_by_d = 56.0, creep_kg = 8.0;

double need_lower_critical(enum need_bed bed)
{
    switch (bed) {
    case NEED_DEEP_STRAW: return 12.0;
    case NEED_GROUP: return 16.0;
    case NEED_ALONE: break;
    }
    return 20.0;
}

struct need_sow need_sow_default(void)
{
    return (struct need_sow){
        .mass_kg = 200.0, .litter = 8.0, .gain_kg = 0.20, .on_foot_min = 60.0, .temp_c = NAN, .bed = NEED_DEEP_STRAW
    };
}

static double size(double mass_kg)
{
    return pow(mass_kg, 0.75);
}

double need_keep(double mass_kg)
{
    return 100.0 * size(mass_kg);
}

double need_walk(const struct need_sow *s)
{
    return 0.0717 * size(s->mass_kg) * s->on_foot_min;
}

double need_cold(const struct need_sow *s)
{
    const double under = need_lower_critical(s->bed) - s->temp_c;

    return under > 0.0 ? (s->bed == NEED_ALONE ? 4.30 : 2.39) * size(s->mass_kg) * under : 0.0; /* NAN: 0 */
}

double need_carried(double gestation_d, double litter)
{
    if (!(gestation_d > 0.0) || !(litter > 0.0))
        return 0.0;
    const double late = exp(-noblet_c * gestation_d);
    const double kj = exp(noblet_a - noblet_b * late + noblet_d * litter);
    return kj * noblet_b * noblet_c * late / kj_per_kcal / carried_efficiency;
}

double need_gained(double gain_kg)
{
    return 5000.0 * gain_kg;
}

double need_sow(const struct need_sow *s)
{
    const double still = need_keep(s->mass_kg) + need_carried(s->gestation_d, s->litter) + need_gained(s->gain_kg);

    return fmax(outdoors * still, still + need_walk(s) + need_cold(s));
}

double need_suckling(double mass_kg, double piglets, double gain_kg_each)
{
    const double milk = 4.92 * 1000.0 * gain_kg_each * piglets - 90.0 * piglets;

    return need_keep(mass_kg) + fmax(0.0, milk) / milk_efficiency;
}

double need_creep_kg(double age_d)
{
    const double to_d = creep_by_d - creep_from_d;

    return age_d > creep_from_d ? 2.0 * creep_kg * (age_d - creep_from_d) / (to_d * to_d) : 0.0;
}

/* NRC 2012, table 16-1, from memory: middle of the class in kg, kcal ME and g gained a day. */
static const struct {
    double kg, kcal, gain_g;
} class_of[] = { { 6.0, 904.0, 210.0 },   { 9.0, 1592.0, 335.0 },  { 18.0, 3033.0, 585.0 }, { 37.5, 4959.0, 758.0 },
                 { 62.5, 6989.0, 900.0 }, { 87.5, 8265.0, 917.0 }, { 117.5, 9196.0, 867.0 } };
enum { CLASSES = sizeof class_of / sizeof class_of[0] };

static double pig_keep(double mass_kg)
{
    return 197.0 * pow(mass_kg, 0.60);
}

static double gain_at(size_t i)
{
    return 1000.0 * (class_of[i].kcal - pig_keep(class_of[i].kg)) / class_of[i].gain_g;
}

double need_pig_gain(double mass_kg)
{
    size_t i = 1;

    if (mass_kg <= class_of[0].kg)
        return gain_at(0);
    if (mass_kg >= class_of[CLASSES - 1].kg)
        return gain_at(CLASSES - 1);
    while (class_of[i].kg < mass_kg)
        i++;
    const double part = (mass_kg - class_of[i - 1].kg) / (class_of[i].kg - class_of[i - 1].kg);
    return gain_at(i - 1) + part * (gain_at(i) - gain_at(i - 1));
}

double need_pig(double mass_kg, double gain_kg, double temp_c)
{
    const double cold = isnan(temp_c) ? 0.15 : 0.10 + 0.15 * fmin(1.0, fmax(0.0, (10.0 - temp_c) / 20.0));

    return (pig_keep(mass_kg) + need_pig_gain(mass_kg) * fmax(0.0, gain_kg)) * (1.0 + cold);
}

double need_feed_kg(double kcal, double kcal_per_kg, double waste)
{
    return kcal / kcal_per_kg / (1.0 - waste);
}

double need_water_sow(void)
{
    return 11.0;
}

double need_water_suckling(void)
{
    return 19.0;
}

double need_water_pig(void)
{
    return 3.0;
}

double need_straw_begin(void)
{
    return 32.0;
}

double need_straw_week(void)
{
    return 12.0;
}

double need_straw_dry_begin(void)
{
    return 30.0;
}

double need_straw_dry_week(void)
{
    return 6.0;
}
