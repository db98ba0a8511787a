/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon sun, reckon beam: as text. */
#include <math.h>
#include <stdio.h>

#include "doors/show/say_piece.h"

void show_piece_sun(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double high = answer_get_real(a, "elevation_deg"), bearing = answer_get_real(a, "azimuth_deg");
    const int64_t rise = say_moment_at(a, "sunrise"), set = say_moment_at(a, "sunset"),
                  noon = say_moment_at(a, "solar_noon");
    char from[32], to[32], middle[32];

    if (high > -0.27) /* half the disc's width: its upper edge shows */
        say(out, how, "The sun stands in the %s (%.1f°), %.1f° over the horizon.", show_compass(bearing), bearing,
            high);
    else
        say(out, how, "The sun is down: %.1f° below the horizon, in the %s (%.1f°).", -high, show_compass(bearing),
            bearing);
    if (rise != INT64_MIN && set != INT64_MIN)
        say(out, how, "It rises %s in the %s (%.1f°) and sets %s in the %s (%.1f°); solar noon is at %s. Times: %s.",
            show_moment(rise, how, from), show_compass(answer_get_real(a, "sunrise_azimuth_deg")),
            answer_get_real(a, "sunrise_azimuth_deg"), show_moment(set, how, to),
            show_compass(answer_get_real(a, "sunset_azimuth_deg")), answer_get_real(a, "sunset_azimuth_deg"),
            show_clock(noon, how, middle), when_zone_name(how->zone));
    else if (rise == INT64_MIN && set == INT64_MIN)
        say(out, how, "No sunrise and no sunset on this day: %s.", answer_get_text(a, "sun"));
    else
        say(out, how, "So near the polar circle this day has a %s alone, %s (%s).",
            rise != INT64_MIN ? "sunrise" : "sunset", show_moment(rise != INT64_MIN ? rise : set, how, from),
            when_zone_name(how->zone));
    if (say_flag_at(a, "grazing"))
        say(out, how, "It grazes the horizon today: the air decides whether it is seen.");
    text_add(out, "\n");
    say_figure(out, how, a, "elevation_true_deg", "height without the air's bending", 3, "°");
    say_figure(out, how, a, "noon_elevation_deg", "height at solar noon", 2, "°");
    say_tail(out, how, a);
}

void show_piece_beam(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double in = answer_get_real(a, "opening_w_m2"), high = answer_get_real(a, "elevation_deg");

    if (high <= 0.0)
        say(out, how, "The sun is down: nothing falls in.");
    else if (answer_get_real(a, "beam_w_m2") > 0.0)
        say(out, how,
            "%.0f W fall on each square metre of the opening: %.0f straight from the sun, the rest from sky and "
            "ground.",
            in, answer_get_real(a, "beam_w_m2"));
    else
        say(out, how, "The opening looks away from the sun: %.0f W on each square metre, from sky and ground alone.",
            in);
    text_add(out, "\n");
    say_figure(out, how, a, "azimuth_deg", "bearing of the sun", 1, "°");
    say_figure(out, how, a, "elevation_deg", "height of the sun", 1, "°");
    say_figure(out, how, a, "ghi_w_m2", "on the level", 0, "W/m2");
    say_figure(out, how, a, "dni_w_m2", "beam, square to it", 0, "W/m2");
    say_figure(out, how, a, "dhi_w_m2", "sky alone, on the level", 0, "W/m2");
    say_figure(out, how, a, "sky_w_m2", "sky into the opening", 0, "W/m2");
    say_figure(out, how, a, "ground_w_m2", "ground into the opening", 0, "W/m2");
    say_tail(out, how, a);
}
