/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon piglet, reckon nest: as text. */
#include <math.h>
#include <stdio.h>

#include "doors/show/say_piece.h"

/* One piglet in a sentence. */
static void piglet(const struct answer *p, const char *who, const struct show_how *how, struct text *out)
{
    const char *words = answer_get_text(p, "grade_words");
    const double collapsed = answer_get_real(p, "collapsed_at_minutes"), grade = answer_get_real(p, "grade");

    if (say_flag_at(p, "too_hot"))
        say(out, how, "%s: too hot, not too cold.", who);
    else if (isfinite(collapsed))
        say(out, how, "%s cools without end and lies helpless after %.0f minutes: %s.", who, collapsed,
            words ? words : "not known");
    else
        say(out, how, "%s falls to %.1f °C, %.0f minutes from the start%s%s.%s", who,
            answer_get_real(p, "min_body_temp_c"), answer_get_real(p, "min_at_minutes"), words ? ": " : "",
            words ? words : "",
            say_flag_at(p, "near_limit") && isfinite(grade) ? " It is close to another grade." : "");
}

static void figures(const struct answer *p, const struct show_how *how, struct text *out)
{
    say_figure(out, how, p, "body_temp_30min_c", "body after half an hour", 1, "°C");
    say_figure(out, how, p, "body_temp_2h_c", "body after 2 hours", 1, "°C");
    say_figure(out, how, p, "body_temp_6h_c", "body after 6 hours", 1, "°C");
    say_figure(out, how, p, "grade", "grade, 0 bearable .. 3 not fit", 0, "");
    say_figure(out, how, p, "shortfall_c", "short of 34 °C by", 1, "K");
    say_figure(out, how, p, "mean_heat_w_kg", "heat it makes, mean", 1, "W/kg");
    say_figure(out, how, p, "peak_heat_w_kg", "heat it makes, most", 1, "W/kg");
    say_figure(out, how, p, "milk_g_kg", "milk taken in", 0, "g/kg");
    say_figure(out, how, p, "reserve_kj_kg", "reserve left", 0, "kJ/kg");
    say_figure(out, how, p, "lower_critical_temp_c", "makes more heat below", 1, "°C");
}

static void series(const struct answer *a, struct text *out)
{
    const struct answer *minutes = answer_at(a, "series.at_minutes"), *body = answer_at(a, "series.body_temp_c");
    const struct answer *skin = answer_at(a, "series.skin_temp_c"), *heat = answer_at(a, "series.heat_w_kg");
    const struct answer *loss = answer_at(a, "series.loss_w_kg");

    if (!minutes || !body || !skin || !heat || !loss)
        return;
    text_print(out, "\n%8s %9s %8s %8s %8s\n", "minutes", "body °C", "skin", "W/kg", "lost");
    for (size_t i = 0; i < minutes->is.reals.n; i++)
        text_print(out, "%8.0f %8.1f %8.1f %8.1f %8.1f\n", minutes->is.reals.at[i], body->is.reals.at[i],
                   skin->is.reals.at[i], heat->is.reals.at[i], loss->is.reals.at[i]);
}

void show_piece_piglet(const struct answer *a, const struct show_how *how, struct text *out)
{
    char who[48];

    (void)snprintf(who, sizeof who, "A newborn of %.2g kg", answer_get_real(a, "mass_kg"));
    piglet(a, who, how, out);
    text_add(out, "\n");
    figures(a, how, out);
    series(a, out);
    say_tail(out, how, a);
}

void show_piece_nest(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *typical = answer_at(a, "typical"), *runt = answer_at(a, "runt");
    const double feels = answer_get_real(a, "feels_c"), heat = answer_get_real(a, "heat_grade");
    const char *straw = answer_get_text(a, "straw"), *words = answer_get_text(a, "heat_words");

    if (isfinite(feels))
        say(out, how, "To a wet newborn it feels like %.0f °C.", feels);
    else
        say(out, how, "To a wet newborn it feels colder than -60 °C.");
    piglet(typical, "A typical piglet born now", how, out);
    piglet(runt, "A runt", how, out);
    if (heat > 0.0 && words)
        say(out, how, "The sow: %s.", words);
    text_add(out, "\n");
    say_figure(out, how, a, "hut_temp_c", "air inside", 1, "°C");
    say_figure(out, how, a, "nest_temp_c", "air at the piglets", 1, "°C");
    say_figure(out, how, a, "draught_mps", "draught at the piglets", 2, "m/s");
    say_figure(out, how, a, "bed_temp_c", "ground under the bed", 1, "°C");
    say_figure(out, how, a, "flow_m3_s", "air through the hut", 3, "m3/s");
    say_figure(out, how, a, "rain_in_l_m2", "rain in at the door", 1, "L/m2");
    say_figure(out, how, a, "sun_in_w_m2", "sun in at the door", 0, "W/m2");
    say(out, how, "  The straw is %s.", straw ? straw : "?");
    text_add(out, "\nTypical\n");
    figures(typical, how, out);
    text_add(out, "\nRunt\n");
    figures(runt, how, out);
    say_tail(out, how, a);
}
