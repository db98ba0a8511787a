/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * shelters and weather as text. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "doors/show/say_piece.h"

static const char *const grade_words[4] = { "bearable", "cold", "danger", "not fit" };

static const char *grade(const struct answer *row, const char *key)
{
    return grade_words[(int)answer_get_real(row, key) & 3];
}

static void with_litter(const struct answer *s, bool first, const struct show_how *how, struct text *out)
{
    struct text line;

    text_open_part(&line, out);
    text_print(&line, "%s: %s lies there with her litter", answer_get_text(s, "name"), answer_get_text(s, "sow"));
    show_fold(out, how, first ? "\n" : "", 4, text_get(&line));
    text_close(&line);
}

void show_shelters(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "shelters"), *litters = answer_at(a, "with_litters");
    const struct answer *cautions = answer_at(a, "cautions");
    char from[32], to[32], t[32], t2[32], d[32];

    char head[96];
    (void)snprintf(head, sizeof head, "judged over %s to %s", show_moment(say_moment_at(a, "night_from"), how, from),
                   show_moment(say_moment_at(a, "night_to"), how, to));
    show_fold(out, how, "SHELTERS  ", 2, head);
    for (const struct answer *s = list ? list->first : NULL; s; s = s->next) {
        struct text line;
        text_open_part(&line, out);
        const char *name = answer_get_text(s, "name");
        if (strcmp(name, "where she lies down") == 0)
            name = "in the open, where she lies down";
        text_print(&line, "%s%c%s:%s %s (a small piglet: %s), feels like %s at the worst", how->colour ? "\033[1m" : "",
                   name[0] >= 'a' && name[0] <= 'z' ? name[0] - 'a' + 'A' : name[0], name + 1,
                   how->colour ? "\033[0m" : "", grade(s, "grade"), grade(s, "runt_grade"),
                   show_feels(answer_get_real(s, "feels_c"), how, t));
        text_add(out, "\n");
        show_fold(out, how, "", 4, text_get(&line));
        text_close(&line);
        text_open_part(&line, out);
        if (answer_get_text(s, "wall")) {
            text_print(&line, "%s, ", answer_get_text(s, "wall"));
            if (isfinite(answer_get_real(s, "facing_deg")))
                text_print(&line, "door to %s, ", show_compass(answer_get_real(s, "facing_deg")));
            text_print(&line, "%s, ", answer_at(s, "flap")->is.flag ? "flap hung" : "no flap");
        }
        if (answer_get_real(s, "straw_m") > 0.0)
            text_print(&line, "straw %s %s", show_depth(answer_get_real(s, "straw_m"), how, d),
                       answer_get_text(s, "straw"));
        else
            text_add(&line, "no straw");
        if (isfinite(answer_get_real(s, "straw_age_d")))
            text_print(&line, ", %.0f days old", answer_get_real(s, "straw_age_d"));
        if (answer_get_text(s, "nest_of"))
            text_print(&line, "; %s nests there", answer_get_text(s, "nest_of"));
        if (answer_at(s, "frozen_in")->is.flag)
            text_add(&line, "; frozen in");
        show_fold(out, how, "  ", 2, text_get(&line));
        text_close(&line);
        if (answer_get_text(s, "best_change")) {
            text_open_part(&line, out);
            text_print(&line, "Better: %s; then %s (small piglet: %s), feels like %s.",
                       answer_get_text(s, "best_change"), grade(s, "grade_after"), grade(s, "runt_grade_after"),
                       show_feels(answer_get_real(s, "feels_after_c"), how, t2));
            show_fold(out, how, "  ", 4, text_get(&line));
            text_close(&line);
        }
    }
    for (const struct answer *s = litters ? litters->first : NULL; s; s = s->next)
        with_litter(s, s == litters->first, how, out);
    text_add(out, "\n");
    for (const struct answer *c = cautions ? cautions->first : NULL; c; c = c->next)
        show_fold(out, how, "! ", 2, c->is.text);
}

enum { NARROW = 76 }; /* less than a line with both ends of the spread needs */

/* One hour. Where the line is narrow the day stands once, over its hours. */
static void hour_line(const struct answer *h, const struct show_how *how, struct text *out)
{
    const double wind = answer_get_real(h, "wind_mps"), from = answer_get_real(h, "wind_from_deg"),
                 rain = answer_get_real(h, "rain_mm");
    const int64_t time = say_moment_at(h, "time");
    char when[32], t[32], lo[32], hi[32], w[32], r[32];

    if (how->width < NARROW)
        text_print(out, "  %-5s %7s", show_clock(time, how, when), show_temp(answer_get_real(h, "temp_c"), how, t));
    else
        text_print(out, "  %-16s %7s  (%7s to %7s)", show_moment(time, how, when),
                   show_temp(answer_get_real(h, "temp_c"), how, t),
                   show_temp(answer_get_real(h, "temp_low_c"), how, lo),
                   show_temp(answer_get_real(h, "temp_high_c"), how, hi));
    if (wind < 0.3)
        text_add(out, "  calm");
    else
        text_print(out, "  %-4s %s", isnan(from) ? "var." : show_compass(from), show_wind(wind, how, w));
    if (rain >= 0.05)
        text_print(out, "  %s %s", answer_at(h, "snow")->is.flag ? "snow" : "rain", show_rain(rain, how, r));
    text_add(out, "\n");
}

static void hour_lines(const struct answer *rows, const struct show_how *how, struct text *out)
{
    const char *before = "";
    int64_t day = INT64_MIN;

    for (const struct answer *h = rows ? rows->first : NULL; h; h = h->next) {
        const char *source = answer_get_text(h, "source");
        const struct civil c = when_local(how->zone, say_moment_at(h, "time"));
        const int64_t today = civil_days(c.year, c.month, c.day);
        if (strcmp(source, before) != 0)
            show_fold(out, how, "  from ", 4, source);
        if (how->width < NARROW && today != day)
            text_print(out, "  %s %d %s\n", when_weekday[civil_weekday(today)], c.day, when_month[c.month]);
        before = source;
        day = today;
        hour_line(h, how, out);
    }
}

/* A difference of temperature, without its sign. */
static const char *degrees_words(double k, const struct show_how *how, char out[static 32])
{
    (void)snprintf(out, 32, how->us_units ? "%.1f °F" : "%.1f °C", fabs(k) * (how->us_units ? 1.8 : 1.0));
    return out;
}

void show_weather(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *notes = answer_at(a, "weather.notes"), *own = answer_at(a, "own_offsets"),
                        *verified = answer_at(a, "verified");
    char t[32], t2[32];

    show_fold(out, how, "WEATHER  ", 2, answer_get_text(a, "weather.says"));
    if (answer_get_text(a, "weather.credit"))
        show_fold(out, how, "  ", 2, answer_get_text(a, "weather.credit"));
    hour_lines(answer_at(a, "hours"), how, out);
    for (const struct answer *o = own ? own->first : NULL; o; o = o->next) {
        struct text line;
        text_open_part(&line, out);
        const double k = answer_get_real(o, "temp_k");
        text_print(&line, "On a %s this place is %s %s than forecast, with %.0f in 100 of the wind (%.0f readings).",
                   answer_get_text(o, "when"), degrees_words(k, how, t), k < 0.0 ? "colder" : "warmer",
                   100.0 * answer_get_real(o, "wind_factor"), answer_get_real(o, "readings"));
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
    for (const struct answer *v = verified ? verified->first : NULL; v; v = v->next) {
        struct text line;
        char to[32] = "and more";
        text_open_part(&line, out);
        if (isfinite(answer_get_real(v, "to_h")))
            (void)snprintf(to, sizeof to, "to %.0f", answer_get_real(v, "to_h"));
        const double bias = answer_get_real(v, "temp_bias_k");
        text_print(&line, "Forecasts made %.0f %s hours ahead were out by %s, on the mean %s too %s (%.0f readings).",
                   answer_get_real(v, "from_h"), to, degrees_words(answer_get_real(v, "temp_error_k"), how, t),
                   degrees_words(bias, how, t2), bias < 0.0 ? "cold" : "warm", answer_get_real(v, "readings"));
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
    for (const struct answer *n = notes ? notes->first : NULL; n; n = n->next)
        show_fold(out, how, "  - ", 4, n->is.text);
}
