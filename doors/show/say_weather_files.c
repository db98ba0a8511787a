/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon hours, nights, facing: as text. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "doors/show/say_piece.h"

static const double *column(const struct answer *a, const char *key, size_t *n)
{
    const struct answer *c = answer_at(a, key);

    *n = c && c->kind == ANSWER_REALS ? c->is.reals.n : 0;
    return *n ? c->is.reals.at : NULL;
}

static void cell(struct text *out, const double *at, size_t n, size_t i, int width, int digits, double scale)
{
    if (i < n && isfinite(at[i]))
        text_print(out, " %*.*f", width, digits, at[i] * scale);
    else
        text_print(out, " %*s", width, "-");
}

static void rejected(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "rejected");
    size_t n = 0;

    if (!list || !list->first)
        return;
    text_print(out, "\n%.0f not taken\n", answer_get_real(a, "rejected_count"));
    for (const struct answer *r = list->first; r && n < 8; r = r->next, n++) {
        char lead[48] = "- ";
        if (isfinite(answer_get_real(r, "line")))
            (void)snprintf(lead, sizeof lead, "- line %.0f: ", answer_get_real(r, "line"));
        show_fold(out, how, lead, 2, answer_get_text(r, "says"));
    }
}

static void from_where(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *sources = answer_at(a, "sources");
    const char *first = sources && sources->first ? sources->first->is.text : "?",
               *credit = answer_get_text(a, "credit");

    say(out, how, "From %s%s%s%s.", first, answer_count(sources) > 1 ? " and others" : "", credit ? ". " : "",
        credit ? credit : "");
}

void show_piece_hours(const struct answer *a, const struct show_how *how, struct text *out)
{
    enum { MOST_SHOWN = 200 };
    size_t n, nt, nw, nf, nr, nh, nc;
    const double *temp = column(a, "temp_c", &nt), *wind = column(a, "wind_mps", &nw),
                 *from = column(a, "wind_from_deg", &nf);
    const double *rain = column(a, "rain_mm", &nr), *rh = column(a, "rh", &nh), *cloud = column(a, "cloud_oktas", &nc);
    const struct answer *time = answer_at(a, "time"), *snow = answer_at(a, "snow");
    const bool narrow = how->width < 60;
    bool rain_known = false;
    double low = INFINITY, high = -INFINITY, most = 0.0, wet = 0.0;
    char begin[32] = "", moment[32];

    n = (size_t)answer_get_real(a, "hours");
    for (size_t i = 0; i < nt; i++) {
        low = fmin(low, isnan(temp[i]) ? low : temp[i]);
        high = fmax(high, isnan(temp[i]) ? high : temp[i]);
        most = i < nw && wind[i] > most ? wind[i] : most;
        wet += i < nr && rain[i] > 0.0 ? rain[i] : 0.0;
        rain_known = rain_known || (i < nr && isfinite(rain[i]));
    }
    if (time && time->first)
        (void)show_moment(time->first->is.whole, how, begin);
    say(out, how, "%zu hours from %s (%s). Wind up to %.1f m/s.", n, begin, when_zone_name(how->zone), most);
    if (isfinite(low))
        say(out, how, "From %.1f to %.1f °C.", low, high);
    if (rain_known)
        say(out, how, "%.1f mm of rain and melted snow.", wet);
    else
        say(out, how, "Nothing is said of how much rain falls.");
    from_where(a, how, out);
    if (narrow)
        text_print(out, "\n%-12s %7s %6s %5s %5s\n", "begins", "°C", "m/s", "from", "mm");
    else
        text_print(out, "\n%-16s %7s %5s %6s %5s %6s %6s\n", "begins", "°C", "rh %", "m/s", "from", "sky/8", "mm");
    const struct answer *t = time ? time->first : NULL, *s = snow ? snow->first : NULL;
    for (size_t i = 0; t && i < n && i < MOST_SHOWN; i++, t = t->next) {
        (void)show_moment(t->is.whole, how, moment);
        text_print(out, "%-*s", narrow ? 12 : 16, narrow ? moment + 4 : moment); /* without the weekday */
        cell(out, temp, nt, i, 6, 1, 1.0);
        if (!narrow)
            cell(out, rh, nh, i, 5, 0, 100.0);
        cell(out, wind, nw, i, 6, 1, 1.0);
        text_print(out, " %5s", i < nf && isfinite(from[i]) && wind && wind[i] > 0.0 ? show_compass(from[i]) : "-");
        if (!narrow)
            cell(out, cloud, nc, i, 6, 0, 1.0);
        cell(out, rain, nr, i, narrow ? 5 : 6, 1, 1.0);
        text_print(out, "%s\n", s && s->is.flag ? " snow" : "");
        s = s ? s->next : NULL;
    }
    if (n > MOST_SHOWN)
        text_print(out, "... and %zu more; --csv and --json give all\n", n - MOST_SHOWN);
    rejected(a, how, out);
    say_tail(out, how, a);
}

enum { MOST_NIGHTS = 130 };

void show_piece_nights(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *nights = answer_at(a, "nights"), *coldest = NULL;
    char date[32];

    for (const struct answer *n = nights ? nights->first : NULL; n; n = n->next)
        if (!coldest || answer_get_real(n, "min_temp_c") < answer_get_real(coldest, "min_temp_c"))
            coldest = n;
    if (!coldest) {
        say(out, how, "No night with a temperature lies in these hours.");
        say_tail(out, how, a);
        return;
    }
    say(out, how,
        "%.0f nights. One in ten falls to %.1f °C or lower, half of them to %.1f °C; %.0f were at or under -10 °C, "
        "%.0f at or "
        "under -15 °C. The coldest began on the evening of %s: %.1f °C.",
        answer_get_real(a, "summary.nights"), answer_get_real(a, "summary.p10_min_temp_c"),
        answer_get_real(a, "summary.p50_min_temp_c"), answer_get_real(a, "summary.nights_at_or_under_minus_10"),
        answer_get_real(a, "summary.nights_at_or_under_minus_15"),
        civil_date_text(answer_at(coldest, "night")->is.whole, date), answer_get_real(coldest, "min_temp_c"));
    from_where(a, how, out);
    const bool narrow = how->width < 60;
    if (narrow)
        text_print(out, "\n%-10s %6s %6s %5s %6s\n", "evening", "low", "wind", "from", "mm");
    else
        text_print(out, "\n%-10s %5s %6s %6s %6s %6s %5s %6s\n", "evening", "hours", "low", "mean", "wind", "most",
                   "from", "mm");
    size_t shown = 0;
    for (const struct answer *n = nights->first; n && shown < MOST_NIGHTS; n = n->next, shown++) {
        const double from = answer_get_real(n, "vector_from_deg");
        const double row[] = { answer_get_real(n, "min_temp_c"), answer_get_real(n, "mean_temp_c"),
                               answer_get_real(n, "mean_wind_mps"), answer_get_real(n, "max_wind_mps"),
                               answer_get_real(n, "rain_mm") };
        text_add(out, civil_date_text(answer_at(n, "night")->is.whole, date));
        if (!narrow)
            text_print(out, " %5.0f", answer_get_real(n, "hours"));
        for (size_t i = 0; i < 4; i++)
            if (!narrow || i % 2 == 0)
                cell(out, row, 5, i, 6, 1, 1.0);
        text_print(out, " %5s", isfinite(from) ? show_compass(from) : "-");
        cell(out, row, 5, 4, 6, 1, 1.0);
        text_add(out, "\n");
    }
    if (shown == MOST_NIGHTS && answer_get_real(a, "summary.nights") > MOST_NIGHTS)
        text_print(out, "... and %.0f more; --csv and --json give all\n",
                   answer_get_real(a, "summary.nights") - MOST_NIGHTS);
    rejected(a, how, out);
    say_tail(out, how, a);
}

static const struct answer *facing_row(const struct answer *a, double facing_deg)
{
    const struct answer *rows = answer_at(a, "by_facing"), *best = NULL;
    double off = 1e9;

    for (const struct answer *r = rows ? rows->first : NULL; r; r = r->next) {
        double turn = fabs(fmod(answer_get_real(r, "facing_deg") - facing_deg, 360.0));
        turn = turn > 180.0 ? 360.0 - turn : turn;
        if (turn < off) {
            off = turn;
            best = r;
        }
    }
    return best;
}

static void facing_line(const struct answer *row, const char *words, const struct show_how *how, struct text *out)
{
    if (row)
        say(out, how,
            "%s %.0f° (%s): %.0f cold degree-hours a day; wind into the door %.1f m/s, rain %.0f mm, sun %.1f kWh a "
            "day on each m2 of it.",
            words, answer_get_real(row, "facing_deg"), show_compass(answer_get_real(row, "facing_deg")),
            answer_get_real(row, "cold_degree_hours_per_day"), answer_get_real(row, "wind_mps"),
            answer_get_real(row, "rain_mm"), answer_get_real(row, "sun_kwh_m2_day"));
}

void show_piece_facing(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double best = answer_get_real(a, "best_facing_deg"), worst = answer_get_real(a, "worst_facing_deg");
    const char *modal = answer_get_text(a, "modal_sector");

    if (say_flag_at(a, "nothing_differs"))
        say(out, how, "In these hours the way it looks makes no difference; %.0f° (%s) has most morning sun.", best,
            show_compass(best));
    else if (say_flag_at(a, "hardly_matters"))
        say(out, how, "It hardly matters here. Best is %.0f° (%s), worst %.0f° (%s).", best, show_compass(best), worst,
            show_compass(worst));
    else
        say(out, how, "Let it look to %.0f° (%s); never to %.0f° (%s).", best, show_compass(best), worst,
            show_compass(worst));
    const struct answer *arcs = answer_at(a, "arcs");
    for (const struct answer *arc = arcs ? arcs->first : NULL; arc; arc = arc->next)
        say(out, how, "%s as good: anything from %.0f° to %.0f°, clockwise.", arc == arcs->first ? "About" : "And",
            answer_get_real(arc, "from_deg"), answer_get_real(arc, "to_deg"));
    text_add(out, "\n");
    facing_line(facing_row(a, best), "Best", how, out);
    facing_line(facing_row(a, worst), "Worst", how, out);
    say(out, how, "%.0f hours; mean wind %.1f m/s, most often from %s%s; calm in %.0f, unsteady in %.0f.",
        answer_get_real(a, "hours"), answer_get_real(a, "mean_wind_mps"), modal ? modal : "nowhere",
        say_flag_at(a, "prevailing") ? "" : " (but no side prevails)", answer_get_real(a, "calm_hours"),
        answer_get_real(a, "variable_hours"));
    from_where(a, how, out);
    if (how->width < 60)
        text_print(out, "\n%5s %-3s %7s %5s %6s %5s\n", "looks", "", "cold", "wind", "rain", "sun");
    else
        text_print(out, "\n%6s %-4s %10s %9s %8s %8s\n", "looks", "", "cold K h/d", "wind m/s", "rain mm", "sun kWh");
    for (int deg = 0; deg < 360; deg += 15) {
        const struct answer *r = facing_row(a, deg);
        if (r)
            text_print(
                out, how->width < 60 ? "%4d° %-3s %7.1f %5.2f %6.1f %5.2f\n" : "%5d° %-4s %10.1f %9.2f %8.1f %8.2f\n",
                deg, show_compass(deg), answer_get_real(r, "cold_degree_hours_per_day"), answer_get_real(r, "wind_mps"),
                answer_get_real(r, "rain_mm"), answer_get_real(r, "sun_kwh_m2_day"));
    }
    say_tail(out, how, a);
}
