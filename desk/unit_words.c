/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/unit_words.h"

#include <math.h>

#include "core/base/units.h"

static const char *in_unit(double si, enum quantity of, const char *unit, const char *word, int digits,
                           struct arena *mem)
{
    const double x = unit_from_si(si, unit, of), step = digits ? 10.0 : 1.0;
    return isfinite(x) ? arena_print(mem, "%.*f %s", digits, round(x * step) / step + 0.0, word) : "?";
}

const char *words_temp(const struct desk_place *place, double temp_c, struct arena *mem)
{
    return in_unit(temp_c, Q_TEMPERATURE, place->us_units ? "F" : "C", place->us_units ? "°F" : "°C", 0, mem);
}

const char *words_depth(const struct desk_place *place, double depth_m, struct arena *mem)
{
    return in_unit(depth_m, Q_LENGTH, place->us_units ? "in" : "cm", place->us_units ? "in" : "cm", 0, mem);
}

const char *words_length(const struct desk_place *place, double length_m, struct arena *mem)
{
    return in_unit(length_m, Q_LENGTH, place->us_units ? "ft" : "m", place->us_units ? "ft" : "m",
                   !place->us_units && length_m < 10.0, mem);
}

const char *words_mass(const struct desk_place *place, double mass_kg, struct arena *mem)
{
    return in_unit(mass_kg, Q_MASS, place->us_units ? "lb" : "kg", place->us_units ? "lb" : "kg", mass_kg < 10.0, mem);
}

const char *words_store(const struct desk_place *place, double mass_kg, struct arena *mem)
{
    static const double lb_kg = 0.45359237; /* exact by definition */
    const double one_kg = place->us_units ? lb_kg : 1.0, n = mass_kg / one_kg;
    const double step = n >= 2000.0 ? 50.0 : n >= 200.0 ? 10.0 : 1.0;

    return words_mass(place, ceil(n / step - 1e-9) * step * one_kg, mem);
}
