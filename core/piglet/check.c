/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What may be asked, who is born, and the grade.
 */
#include "core/piglet/own.h"

struct piglet piglet_newborn(void)
{
    return (struct piglet){
        .mass_kg = 1.3,
        .wet = 1.0,
        .suckles = true,
        .alone_min = 20.0,
        .mates = 7.0,
        .at_udder = true,
        .body_c = 39.0,
        .hours = 6.0,
        .rub_per_h = NAN,
    };
}

static bool within(double x, double low, double high)
{
    return x >= low && x <= high; /* false for NAN */
}

/* The upper ends are a steel hut in full sun on the hottest day: what comes of it is "too hot", not a refusal. */
/* clang-format off */
static const struct {
    const char *field, *unit;
    double low, high;
} air_limits[] = {
    { "temp", "°C", -60.0, 80.0 },      { "rh", "as a fraction", 0.0, 1.0 },  { "draught", "m/s", 0.0, 30.0 },
    { "radiant", "°C", -90.0, 90.0 },   { "bed-temp", "°C", -60.0, 60.0 },    { "straw-depth", "m", 0.0, 1.5 },
    { "wet-least", "as a fraction", 0.0, 1.0 },
}, who_limits[] = {
    { "mass", "kg", 0.3, 3.0 },          { "wet", "as a fraction", 0.0, 1.0 }, { "alone-minutes", "min", 0.0, 4320.0 },
    { "littermates", "", 0.0, 30.0 },    { "littermates-per-hour", "", 0.0, 30.0 },
    { "start-body-temp", "°C", 26.0, 41.0 }, { "start-age", "h", 0.0, 72.0 },  { "hours", "h", 0.5, 72.0 },
};
/* clang-format on */

static void air_values(const struct piglet_air *a, double v[COUNT(air_limits)])
{
    v[0] = a->air_c;
    v[1] = a->rh;
    v[2] = a->draught_mps;
    v[3] = a->radiant_c;
    v[4] = a->bed_c;
    v[5] = a->floor == PIGLET_STRAW ? a->straw_m : 0.0;
    v[6] = a->wet_least;
}

bool piglet_air_ok(const struct piglet_air *air)
{
    double v[COUNT(air_limits)];

    air_values(air, v);
    for (size_t i = 0; i < COUNT(air_limits); i++)
        if (!within(v[i], air_limits[i].low, air_limits[i].high))
            return false;
    return (unsigned)air->floor < PIGLET_FLOOR_END && (unsigned)air->straw < STRAW_STATE_END;
}

static enum status refuse_air(size_t hour, const struct piglet_air *air, struct message *why)
{
    double v[COUNT(air_limits)];

    air_values(air, v);
    for (size_t i = 0; i < COUNT(air_limits); i++)
        if (!within(v[i], air_limits[i].low, air_limits[i].high))
            return refuse(ST_BAD_INPUT, why, air_limits[i].field, "%s of hour %zu is %g; give %g to %g %s",
                          air_limits[i].field, hour, v[i], air_limits[i].low, air_limits[i].high, air_limits[i].unit);
    return refuse(ST_BAD_INPUT, why, "floor",
                  "the floor of hour %zu is none that is known: mesh, concrete, wood, soil or straw", hour);
}

enum status piglet_refuse_bad(const struct piglet *who, size_t n, const struct piglet_air air[], struct message *why)
{
    const double v[COUNT(who_limits)] = { who->mass_kg,     who->wet,    who->alone_min, who->mates,
                                          who->mates_per_h, who->body_c, who->age_h,     who->hours };

    if (n == 0)
        return refuse(ST_BAD_INPUT, why, "hours", "no hour of conditions was given; give at least one");
    for (size_t i = 0; i < COUNT(who_limits); i++)
        if (!within(v[i], who_limits[i].low, who_limits[i].high))
            return refuse(ST_BAD_INPUT, why, who_limits[i].field, "%s is %g; give %g to %g %s", who_limits[i].field,
                          v[i], who_limits[i].low, who_limits[i].high, who_limits[i].unit);
    if (!isnan(who->rub_per_h) && !within(who->rub_per_h, 0.0, 20.0))
        return refuse(ST_BAD_INPUT, why, "rub", "drying by rubbing is %g an hour; give 0 to 20", who->rub_per_h);
    for (size_t i = 0; i < n; i++)
        if (!piglet_air_ok(&air[i]))
            return refuse_air(i, &air[i], why);
    return ST_OK;
}

void piglet_no_figures(struct piglet_result *out)
{
    *out = (struct piglet_result){
        .min_c = NAN,
        .min_at_min = NAN,
        .at_30min_c = NAN,
        .at_2h_c = NAN,
        .at_6h_c = NAN,
        .end_c = NAN,
        .mean_heat_w_kg = NAN,
        .peak_heat_w_kg = NAN,
        .milk_g_kg = NAN,
        .reserve_kj_kg = NAN,
        .collapsed_at_min = NAN,
        .shortfall_c = NAN,
        .grade = -1,
    };
}

double piglet_mates_at(const struct piglet *who, double at_min)
{
    if (at_min < who->alone_min || who->mates <= 0.0)
        return 1.0;
    if (who->mates_per_h <= 0.0)
        return fmax(1.0, who->mates);
    const double grown = who->mates + floor((at_min - who->alone_min) / 60.0 * who->mates_per_h + 1e-9);
    return fmax(1.0, fmin(grown, fmax(who->mates, who->mates_most)));
}

double piglet_wet_start_kg(const struct piglet_model *m, const struct piglet *who)
{
    return who->wet * m->water_kg_m2 * m->area_coef * pow(who->mass_kg, m->area_exp);
}

double piglet_rub_per_s(const struct piglet_model *m, const struct piglet *who, const struct piglet_air *air)
{
    const double per_h = !isnan(who->rub_per_h) ? who->rub_per_h
                         : air->floor == PIGLET_STRAW && air->straw == STRAW_DRY && air->straw_m > 0.0
                             ? m->rub_straw_per_h
                             : m->rub_bare_per_h;
    return per_h / 3600.0;
}

int piglet_grade(double min_c, double at_2h_c, double at_6h_c)
{
    if (min_c >= 34.0 && at_2h_c >= 37.0)
        return 0;
    if (min_c >= 33.0 && at_2h_c >= 36.0)
        return 1;
    if (min_c >= 31.5 && at_6h_c >= 36.0)
        return 2;
    return 3;
}

bool piglet_near_limit(double min_c, double at_2h_c, double at_6h_c)
{
    const int grade = piglet_grade(min_c, at_2h_c, at_6h_c);

    return piglet_grade(min_c + 0.3, at_2h_c + 0.3, at_6h_c + 0.3) != grade ||
           piglet_grade(min_c - 0.3, at_2h_c - 0.3, at_6h_c - 0.3) != grade;
}

const char *piglet_grade_words(int grade)
{
    static const char *const words[] = {
        "bearable; normal watch",
        "cold; dry them, look twice",
        "danger; be there, dry and warm each one",
        "not fit for newborns: change it before she starts",
    };

    return grade >= 0 && (size_t)grade < COUNT(words) ? words[grade] : NULL;
}

double piglet_shortfall_both(double typical_c, double runt_c)
{
    return 0.85 * typical_c + 0.15 * runt_c;
}
