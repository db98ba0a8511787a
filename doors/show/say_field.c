/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * field as text: what stands in it, its winds and sun, and where the next hut could stand. The plan itself is the
 * page's, or the GeoJSON's. */
#include <math.h>
#include <string.h>

#include "doors/show/say_piece.h"

static void place_of(const struct answer *row, const struct show_how *how, struct text *line)
{
    const double x = answer_get_real(row, "x_m"), y = answer_get_real(row, "y_m");
    const double k = how->us_units ? 1.0 / 0.3048 : 1.0;
    if (isfinite(x) && isfinite(y))
        text_print(line, " (%.0f %s east, %.0f %s north)", x * k, how->us_units ? "ft" : "m", y * k,
                   how->us_units ? "ft" : "m");
}

static void rows(const struct answer *list, const char *head, const struct show_how *how, struct text *out)
{
    if (!list || !list->first)
        return;
    text_print(out, "\n%s\n", head);
    for (const struct answer *r = list->first; r; r = r->next) {
        const char *name = answer_get_text(r, "name"), *who = answer_get_text(r, "who"),
                   *leave = answer_get_text(r, "leave_because"), *says = answer_get_text(r, "says");
        struct text line;
        text_open_part(&line, out);
        text_print(&line, "%s%s%s", name ? name : "", name && says ? ": " : "", says ? says : "");
        place_of(r, how, &line);
        if (who && !(leave && strncmp(leave, who, strlen(who)) == 0)) /* the sentence names her already */
            text_print(&line, "; %s", who);
        if (leave)
            text_print(&line, ". %s", leave);
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
}

static void wind(const struct answer *a, const char *path, const char *words, const struct show_how *how,
                 struct text *out)
{
    const struct answer *w = answer_at(a, path), *share = w ? answer_at(w, "share") : NULL;
    const char *mostly = w ? answer_get_text(w, "mostly") : NULL;
    double most = 0.0;

    if (!share || !mostly)
        return;
    for (size_t i = 0; i < share->is.reals.n; i++)
        most = fmax(most, share->is.reals.at[i]);
    say(out, how, "%s the wind comes mostly from %s, %.0f hours in 100.", words, mostly, 100.0 * most);
}

static void spots(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "spots");

    if (!list || !list->first)
        return;
    text_add(out, "\nWHERE THE NEXT HUT COULD STAND\n");
    for (const struct answer *s = list->first; s; s = s->next) {
        const struct answer *why = answer_at(s, "reasons");
        struct text line;
        text_open_part(&line, out);
        text_add(&line, answer_get_text(s, "says"));
        place_of(s, how, &line);
        for (const struct answer *r = why ? why->first : NULL; r; r = r->next)
            text_print(&line, "%s %s", r == why->first ? ":" : ",", r->is.text);
        text_add(&line, ".");
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
}

void show_field(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double area = answer_get_real(a, "paddock.area_m2");
    const int64_t rise = say_moment_at(a, "sun.rise"), set = say_moment_at(a, "sun.set");
    char from[32], to[32];

    text_print(out, "%s", answer_get_text(a, "paddock.name"));
    if (area > 0.0)
        text_print(out, how->us_units ? ", %.2g acres" : ", %.2g ha", area / (how->us_units ? 4046.8564224 : 10000.0));
    text_add(out, "\n\n");
    wind(a, "wind.winters", "In the past winters", how, out);
    wind(a, "wind.night", "In the coming night", how, out);
    if (rise != INT64_MIN && set != INT64_MIN)
        say(out, how, "The sun rises %s at %.0f° and sets %s at %.0f°.", show_clock(rise, how, from),
            answer_get_real(a, "sun.rise_azimuth_deg"), show_clock(set, how, to),
            answer_get_real(a, "sun.set_azimuth_deg"));
    say(out, how, "Which way a hut should look: leenest where.");
    rows(answer_at(a, "huts"), "WHAT STANDS IN IT", how, out);
    rows(answer_at(a, "breaks"), "WINDBREAKS", how, out);
    rows(answer_at(a, "marks"), "MARKS", how, out);
    spots(a, how, out);
    say_list(out, how, answer_at(a, "record"), "SURER WITH", 20);
    say_tail(out, how, a);
}
