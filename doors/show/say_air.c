/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon air, wind-chill, wind-at, lee, driving-rain: as text. */
#include <math.h>

#include "doors/show/say_piece.h"

void show_piece_air(const struct answer *a, const struct show_how *how, struct text *out)
{
    say(out, how,
        "Air of %.1f °C at %.0f %% humidity: dew or frost falls on anything colder than %.1f °C, and a wet thing in "
        "the wind "
        "cools to %.1f °C.",
        answer_get_real(a, "temp_c"), answer_get_real(a, "rh") * 100.0, answer_get_real(a, "dew_point_c"),
        answer_get_real(a, "wet_bulb_c"));
    text_add(out, "\n");
    say_figure(out, how, a, "vapour_pressure_kpa", "vapour pressure", 4, "kPa");
    say_figure(out, how, a, "saturation_pressure_kpa", "vapour pressure when full", 4, "kPa");
    say_figure(out, how, a, "humidity_ratio", "water in 1 kg of dry air", 6, "kg");
    say_figure(out, how, a, "enthalpy_kj_kg", "heat in it, from 0 °C and dry", 2, "kJ");
    say_figure(out, how, a, "density_kg_m3", "density", 4, "kg/m3");
    say_figure(out, how, a, "pressure_kpa", "air pressure", 2, "kPa");
    say_tail(out, how, a);
}

void show_piece_wind_chill(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double feels = answer_get_real(a, "wind_chill_c");

    if (isfinite(feels))
        say(out, how, "On your bare face it feels like %.1f °C without wind.%s", feels,
            feels <= -27.0 ? " Skin can freeze within half an hour: cover up." : "");
    else
        say(out, how, "%s",
            answer_get_text(a, "wind_chill_c_because") ? answer_get_text(a, "wind_chill_c_because") : "There is none.");
    say_tail(out, how, a);
}

void show_piece_wind_at(const struct answer *a, const struct show_how *how, struct text *out)
{
    say(out, how, "At that height the wind is %.1f m/s, %.2f of what it is at 10 m.%s", answer_get_real(a, "wind_mps"),
        answer_get_real(a, "factor"), say_flag_at(a, "guess") ? " So near the ground that is a guess." : "");
    say_tail(out, how, a);
}

void show_piece_lee(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double left = answer_get_real(a, "wind_ratio");

    if (left >= 0.995)
        say(out, how, "The windbreak does nothing there.");
    else
        say(out, how, "%d in 100 of the open wind is left there.%s", (int)lround(left * 100.0),
            say_flag_at(a, "eddies") ? " A solid wall throws eddies just there, and drops its snow." : "");
    say_tail(out, how, a);
}

void show_piece_driving_rain(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double all = answer_get_real(a, "index_mm");

    if (isfinite(all))
        say(out, how,
            "In these hours the wind drove %.0f litres of rain onto each square metre of a wall that looks that way, "
            "over open "
            "ground at 10 m; %.0f a year.",
            all, answer_get_real(a, "index_mm_per_year"));
    else
        say(out, how, "Nothing can be said: no hour has wind, its direction, rain and temperature.");
    text_add(out, "\n");
    say_figure(out, how, a, "hours", "hours taken", 0, "");
    say_figure(out, how, a, "wet_hours", "of them with rain", 0, "");
    say_figure(out, how, a, "not_known_hours", "hours left out", 0, "");
    say_tail(out, how, a);
}
