/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * where as text: the bearing first, by map, compass and sun; then why; then hut by hut. */
#include <math.h>
#include <string.h>

#include "doors/show/say_piece.h"

static double degrees(double deg)
{
    const double d = floor(deg + 0.5);
    return d >= 360.0 ? d - 360.0 : d;
}

static void by_sun(const struct answer *b, const struct show_how *how, struct text *out)
{
    const int64_t sun = say_moment_at(b, "sun_stands_there"), shadow = say_moment_at(b, "shadow_falls_there");
    const int64_t beside = say_moment_at(b, "sun_beside.at");
    const double turn = answer_get_real(b, "sun_beside.turn_deg");
    char when[32], line[200];

    if (sun != INT64_MIN)
        (void)snprintf(line, sizeof line, "By the sun: it stands there %s.", show_moment(sun, how, when));
    else if (shadow != INT64_MIN)
        (void)snprintf(line, sizeof line, "By the sun: the shadow of an upright post falls that way %s.",
                       show_moment(shadow, how, when));
    else if (beside != INT64_MIN)
        (void)snprintf(line, sizeof line,
                       "By the sun: it does not stand there now; at %s (%s) face it and turn %.0f° to the %s.",
                       answer_get_text(b, "sun_beside.when"), show_moment(beside, how, when), fabs(turn),
                       turn < 0.0 ? "left" : "right");
    else
        (void)snprintf(line, sizeof line, "By the sun: it is not seen at this time of year.");
    show_fold(out, how, "  ", 4, line);
}

static void bearing(const struct answer *b, bool first, const struct show_how *how, struct text *out)
{
    const double deg = answer_get_real(b, "true_deg"), compass = answer_get_real(b, "compass_deg");
    char line[160];

    if (!first)
        say(out, how, "The other good way: %s, %.0f° from true north.", show_compass(deg), degrees(deg));
    if (isfinite(compass))
        (void)snprintf(line, sizeof line, "On a compass: %.0f°.", degrees(compass));
    else
        (void)snprintf(line, sizeof line, "On a compass: not known; how far it points off true north is not recorded.");
    show_fold(out, how, "  ", 4, line);
    by_sun(b, how, out);
}

static const struct answer *row_of(const struct answer *a, double deg)
{
    const struct answer *list = answer_at(a, "by_facing");

    for (const struct answer *r = list ? list->first : NULL; r; r = r->next)
        if (fabs(remainder(answer_get_real(r, "facing_deg") - deg, 360.0)) <= 2.5)
            return r;
    return NULL;
}

static void line_of(const char *words, const char *best, const char *worst, struct text *out)
{
    int width = 26;
    for (const char *c = words; *c; c++)
        width += ((unsigned char)*c & 0xC0) == 0x80; /* bytes that take no column */
    text_print(out, "%-*s %8s %8s\n", width, words, best, worst);
}

/* Degree-hours as the farm counts degrees: a Fahrenheit degree is five ninths of a Celsius one. */
static double hours_of_cold(double celsius_hours, const struct show_how *how)
{
    return how->us_units ? celsius_hours * 1.8 : celsius_hours;
}
static const char *cold_unit(const struct show_how *how)
{
    return how->us_units ? "°F-hours" : "°C-hours";
}

static void compare(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *best = row_of(a, answer_get_real(a, "best_facing_deg")),
                        *worst = row_of(a, answer_get_real(a, "worst_facing_deg"));
    static const struct {
        const char *key, *words;
        int digits;
    } figure[] = {
        { "sun_kwh_m2_day", "sun into it, kWh/m2 a day", 2 },
        { "morning_sun_kwh_m2_day", "of that before noon", 2 },
    };
    static const char *const cold = "cold_degree_hours_per_day";
    char b[32], w[32], words[48];

    if (!best || !worst)
        return;
    text_add(out, "\n");
    line_of("", "best", "worst", out);
    line_of("looks to", show_compass(answer_get_real(best, "facing_deg")),
            show_compass(answer_get_real(worst, "facing_deg")), out);
    line_of("wind into the door", show_wind(answer_get_real(best, "wind_mps"), how, b),
            show_wind(answer_get_real(worst, "wind_mps"), how, w), out);
    line_of("rain into it in all", show_rain(answer_get_real(best, "rain_mm"), how, b),
            show_rain(answer_get_real(worst, "rain_mm"), how, w), out);
    (void)snprintf(words, sizeof words, "cold, %s a day", cold_unit(how));
    (void)snprintf(b, sizeof b, "%.0f", hours_of_cold(answer_get_real(best, cold), how));
    (void)snprintf(w, sizeof w, "%.0f", hours_of_cold(answer_get_real(worst, cold), how));
    line_of(words, b, w, out);
    for (size_t i = 0; i < COUNT(figure); i++) {
        (void)snprintf(b, sizeof b, "%.*f", figure[i].digits, answer_get_real(best, figure[i].key));
        (void)snprintf(w, sizeof w, "%.*f", figure[i].digits, answer_get_real(worst, figure[i].key));
        line_of(figure[i].words, b, w, out);
    }
}

static void why(const struct answer *a, const struct show_how *how, struct text *out)
{
    const char *modal = answer_get_text(a, "modal_sector");
    const double steadiness = answer_get_real(a, "steadiness"), sun = answer_get_real(a, "parts.sun");
    char wind[32];

    compare(a, how, out);
    text_add(out, "\n");
    say(out, how,
        "Of the %.0f %s between them the wind's side makes %.0f, rain %.0f, sun %.0f%s; they overlap, so they "
        "need not add up.",
        hours_of_cold(answer_get_real(a, "parts.between_best_and_worst"), how), cold_unit(how),
        hours_of_cold(answer_get_real(a, "parts.wind"), how), hours_of_cold(answer_get_real(a, "parts.rain"), how),
        hours_of_cold(sun, how), sun < -0.5 ? " (minus: the sun would have it look the other way)" : "");
    (void)show_wind(answer_get_real(a, "mean_wind_mps"), how, wind);
    if (say_flag_at(a, "prevailing"))
        say(out, how, "The prevailing wind comes from %s (mean %s, steadiness %.2f).",
            show_compass(answer_get_real(a, "vector_mean_from_deg")), wind, steadiness);
    else
        say(out, how, "There is no prevailing wind (mean %s, steadiness %.2f); it comes most often from %s.", wind,
            isfinite(steadiness) ? steadiness : 0.0, modal ? modal : "nowhere");
}

static void huts(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "huts");

    if (!list || !list->first)
        return;
    text_add(out, "\nThe huts that stand\n");
    for (const struct answer *h = list->first; h; h = h->next) {
        const double facing = answer_get_real(h, "facing_deg");
        struct text line;
        text_open_part(&line, out);
        text_print(&line, "%s", answer_get_text(h, "name"));
        if (isfinite(facing))
            text_print(&line, " (%s, %.0f°)", show_compass(facing), degrees(facing));
        text_print(&line, ": %s", answer_get_text(h, "says"));
        if (say_flag_at(h, "worth_turning"))
            text_print(&line, " Cold %.0f %s a day as it looks, %.0f turned.",
                       hours_of_cold(answer_get_real(h, "cold_degree_hours_per_day"), how), cold_unit(how),
                       hours_of_cold(answer_get_real(h, "cold_degree_hours_per_day_turned"), how));
        show_fold(out, how, say_flag_at(h, "worth_turning") ? "* " : "  ", 4, text_get(&line));
        text_close(&line);
    }
}

static void taken(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *sources = answer_at(a, "sources");
    struct text line;

    text_open_part(&line, out);
    text_print(&line, "From %.0f hours of %s%s, %.0f season%s:", answer_get_real(a, "hours"),
               answer_get_text(a, "months"), say_flag_at(a, "night_only") ? ", nights alone" : "",
               answer_get_real(a, "seasons"), answer_get_real(a, "seasons") > 1.5 ? "s" : "");
    for (const struct answer *s = sources ? sources->first : NULL; s; s = s->next)
        text_print(&line, "%s %s", s == sources->first ? "" : ",", s->is.text);
    text_add(&line, ".");
    if (answer_get_real(a, "calm_hours") > 0.0)
        text_print(&line, " In %.0f there was no wind.", answer_get_real(a, "calm_hours"));
    if (answer_get_real(a, "variable_hours") > 0.0)
        text_print(&line, " In %.0f it came from no steady side.", answer_get_real(a, "variable_hours"));
    say(out, how, "%s", text_get(&line));
    text_close(&line);
}

void show_where(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double best = answer_get_real(a, "best_facing_deg"), worst = answer_get_real(a, "worst_facing_deg");
    const struct answer *arcs = answer_at(a, "arcs"), *bearings = answer_at(a, "bearings");
    const bool lee = strcmp(answer_get_text(a, "shelter"), "lee") == 0;

    show_fold(out, how, how->colour ? "\033[1mWHERE\033[0m  " : "WHERE  ", 2,
              lee ? "which way a nest in the lee should look here" : "which way huts should look here");
    text_add(out, "\n");
    if (say_flag_at(a, "nothing_differs"))
        say(out, how, "It makes no difference; %s (%.0f° from true north) has most morning sun.", show_compass(best),
            degrees(best));
    else if (say_flag_at(a, "hardly_matters"))
        say(out, how, "It hardly matters here. Best is %s, %.0f° from true north; worst %s.", show_compass(best),
            degrees(best), show_compass(worst));
    else
        say(out, how, "Let the door look to %s, %.0f° from true north; never to %s.", show_compass(best), degrees(best),
            show_compass(worst));
    for (const struct answer *arc = arcs ? arcs->first : NULL; arc; arc = arc->next)
        say(out, how, "%s as good: anything from %.0f° to %.0f°, clockwise.", arc == arcs->first ? "About" : "And",
            degrees(answer_get_real(arc, "from_deg")), degrees(answer_get_real(arc, "to_deg")));
    for (const struct answer *b = bearings ? bearings->first : NULL; b; b = b->next)
        bearing(b, b == bearings->first, how, out);
    why(a, how, out);
    huts(a, how, out);
    text_add(out, "\n");
    taken(a, how, out);
    say_list(out, how, answer_at(a, "record"), "Surer with", 10);
    say_list(out, how, answer_at(a, "assumed"), "Not given, so taken", 20);
    say_list(out, how, answer_at(a, "cautions"), "Beware", 10);
}
