/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The night sheet: tonight as text, for a terminal, a phone's width or a sheet of paper. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "doors/show/own.h"
#include "doors/show/say_piece.h"
#include "doors/show/say_section.h"

/* Marks for the grades: they are counted, not coloured. */
static const char *const grade_mark[4] = { ".", "^", "^^", "###" };

static const char *bold(const struct show_how *how)
{
    return how->colour ? "\033[1m" : "";
}
static const char *straw(const struct show_how *how)
{
    return how->colour ? "\033[1;33m" : "";
}
static const char *plain(const struct show_how *how)
{
    return how->colour ? "\033[0m" : "";
}

/* "18:00" of today, "06:00" of the coming morning, or "Fri 23 Jan 18:00" */
static const char *by(int64_t at, int64_t now, const struct show_how *how, char out[static 32])
{
    const struct civil c = when_local(how->zone, at), today = when_local(how->zone, now);
    const int64_t days = civil_days(c.year, c.month, c.day) - civil_days(today.year, today.month, today.day);

    return days == 0 || (days == 1 && c.hour < 9) ? show_clock(at, how, out) : show_moment(at, how, out);
}

/* ---- jobs -------------------------------------------------------------------------------------------------------- */

static void job_details(const struct answer *job, const struct show_how *how, struct text *line)
{
    char mass[32], figure[16];
    const double minutes = answer_get_real(job, "minutes"), straw_kg = answer_get_real(job, "straw_kg");
    const struct answer *sows = answer_at(job, "sows");
    const char *because = answer_get_text(job, "deadline_because");

    if (sows && sows->first) {
        text_add(line, "For ");
        for (const struct answer *s = sows->first; s; s = s->next)
            text_print(line, "%s%s", s == sows->first ? "" : s->next ? ", " : " and ", s->is.text);
        const double after = answer_get_real(job, "danger_after");
        text_print(line, ": into danger %s in 100 as it stands, ",
                   in_100_figure(answer_get_real(job, "danger_before"), figure));
        text_print(line, "%s after. ", in_100_figure(after, figure));
    } else {
        text_add(line, "A spare, in case one chooses otherwise. ");
    }
    if (because)
        text_print(line, "Why then: %s. ", because);
    if (sows && sows->first && answer_get_real(job, "danger_after") > 0.8 * answer_get_real(job, "danger_before"))
        text_add(line, "It stays dangerous, only less so: be there. ");
    text_print(line, "%.0f min, %.0f %s", minutes, answer_get_real(job, "people"),
               answer_get_real(job, "people") > 1.5 ? "people" : "person");
    if (straw_kg > 0.0)
        text_print(line, ", %s of straw", show_mass(straw_kg, how, mass));
    text_add(line, ".");
}

static void jobs(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "jobs");
    const int64_t now = say_moment_at(a, "at");

    say_section(out, how, "TO DO");
    if (!list || !list->first) {
        text_add(out, "  Nothing to set out or turn.\n");
        return;
    }
    for (const struct answer *job = list->first; job; job = job->next) {
        char clock[32] = "", lead[96];
        struct text line;
        const int64_t deadline = say_moment_at(job, "deadline");

        if (deadline != INT64_MIN)
            (void)by(deadline, now, how, clock);
        text_open_part(&line, out);
        text_print(&line, "%s: %s.", answer_get_text(job, "place"), answer_get_text(job, "do"));
        if (*clock) {
            const int64_t start = say_moment_at(job, "start_by");
            const bool at_once = start != INT64_MIN && start - now <= 900;
            text_print(out, "  [ ] %s%sby %s%s%s", straw(how), at_once ? "now, " : "", clock, plain(how),
                       how->width < 60 ? "" : "  ");
            (void)snprintf(lead, sizeof lead, "%*s",
                           how->width < 60 ? 6 : 9 + (int)strlen(clock) + 2 + (at_once ? 5 : 0), "");
        } else {
            text_add(out, "  [ ] ");
            (void)snprintf(lead, sizeof lead, "%6s", "");
        }
        if (how->width < 60 && *clock) {
            text_add(out, "\n");
            show_fold(out, how, "      ", 6, text_get(&line));
        } else {
            struct text folded; /* the lead is written already: fold beside it */
            text_open_part(&folded, out);
            show_fold(&folded, how, lead, (int)strlen(lead), text_get(&line));
            text_add(out, text_get(&folded) + strlen(lead));
            text_close(&folded);
        }
        text_close(&line);
        text_open_part(&line, out);
        job_details(job, how, &line);
        show_fold(out, how, "      ", 6, text_get(&line));
        text_close(&line);
    }
    if (answer_get_text(a, "short_of"))
        show_fold(out, how, "  ", 2, answer_get_text(a, "short_of"));
}

/* ---- hours ------------------------------------------------------------------------------------------------------- */

static const struct answer *column(const struct answer *row, const char *name)
{
    char path[64];
    (void)snprintf(path, sizeof path, "hours.%s", name);
    const struct answer *c = answer_at(row, path);
    return c && c->kind == ANSWER_REALS ? c : NULL;
}

/* Worst (or, for a chance, the sum) of `step` hours from `from`. */
static double over(const struct answer *c, size_t from, size_t step, bool sum)
{
    double x = sum ? 0.0 : -1.0;
    for (size_t i = from; c && i < from + step && i < c->is.reals.n; i++)
        x = sum ? x + c->is.reals.at[i] : fmax(x, c->is.reals.at[i]);
    return x;
}

/* Where the shown hours begin: now, unless she may farrow only in hours that would not fit on the line. */
static size_t first_shown(const struct answer *chance, size_t step, size_t room)
{
    const size_t n = chance->is.reals.n / step;
    size_t first = 0;

    if (n <= room || over(chance, 0, room * step, true) >= 0.02)
        return 0;
    while (first + room < n && over(chance, 0, (first + 1) * step, true) < 0.005)
        first++;
    return first;
}

static void hours(const struct answer *a, const struct answer *row, const struct show_how *how, struct text *out)
{
    const struct answer *chance = column(row, "chance"), *now = column(row, "grade_now"),
                        *after = column(row, "grade_after");
    const int64_t from = say_moment_at(a, "weather.from");
    const size_t step = 2, most = (size_t)(how->width - 16) / 4;
    char label[32] = "from", clock[32];

    if (!chance || !now || !after || from == INT64_MIN)
        return;
    const size_t first = first_shown(chance, step, most), all = chance->is.reals.n / step;
    const size_t end = all < first + most ? all : first + most;
    if (first > 0)
        (void)snprintf(label, sizeof label, "from %.3s",
                       show_moment(from + (int64_t)(first * step) * HOUR_S, how, clock));
    text_print(out, "    %-10s", label);
    for (size_t i = first; i < end; i++)
        text_print(out, " %3.2s", show_clock(from + (int64_t)(i * step) * HOUR_S, how, clock));
    text_print(out, "\n    %-10s", "in 100");
    for (size_t i = first; i < end; i++) {
        const double p = over(chance, i * step, step, true);
        if (p < 0.005)
            text_add(out, "   -");
        else
            text_print(out, " %3d", in_100(p));
    }
    text_print(out, "\n    %-10s", "as it is");
    for (size_t i = first; i < end; i++)
        text_print(out, " %3s", grade_mark[(int)fmax(0.0, over(now, i * step, step, false)) & 3]);
    text_print(out, "\n    %-10s", "with work");
    for (size_t i = first; i < end; i++)
        text_print(out, " %3s", grade_mark[(int)fmax(0.0, over(after, i * step, step, false)) & 3]);
    text_add(out, "\n");
}

/* "Fri 23 Jan": of a window of days the minutes are nobody's business. */
static const char *day_of(int64_t utc_s, const struct show_how *how, char out[static 32])
{
    (void)show_moment(utc_s, how, out);
    char *clock = strrchr(out, ' ');
    if (clock)
        *clock = '\0';
    return out;
}

static void sow(const struct answer *a, const struct answer *row, const struct show_how *how, struct text *out)
{
    const struct answer *notes = answer_at(row, "notes"), *record = answer_at(row, "record");
    char from[32], to[32];

    const char *name = answer_get_text(row, "name"), *watch = answer_get_text(row, "watch");
    struct text head;
    text_open_part(&head, out);
    text_print(&head, "%s%s%s%s:", bold(how), name, plain(how), answer_at(row, "gilt")->is.flag ? " (gilt)" : "");
    if (strlen(name) + strlen(watch) + 11 <= (size_t)how->width)
        text_print(&head, " %s", watch);
    text_add(out, "\n");
    show_fold(out, how, "  ", 4, text_get(&head));
    text_close(&head);
    if (strlen(name) + strlen(watch) + 11 > (size_t)how->width)
        show_fold(out, how, "    ", 4, watch);
    show_fold(out, how, "    ", 4, answer_get_text(row, "do"));
    show_fold(out, how, "    ", 4, answer_get_text(row, "why"));
    if (answer_at(row, "near")->is.flag) {
        if (in_100(answer_get_real(row, "after.runt_danger")) > in_100(answer_get_real(row, "after.danger")) + 4) {
            struct text line;
            text_open_part(&line, out);
            text_print(&line, "For a small piglet, of %s, the danger is %d in 100 even so.",
                       how->us_units ? "2 lb" : "0.9 kg", in_100(answer_get_real(row, "after.runt_danger")));
            show_fold(out, how, "    ", 4, text_get(&line));
            text_close(&line);
        }
        show_fold(out, how, "    ", 4, answer_get_text(row, "how_sure"));
        hours(a, row, how, out);
    } else if (say_moment_at(row, "window.from") != INT64_MIN) {
        text_print(out, "    Nine in ten: %s to %s.\n", day_of(say_moment_at(row, "window.from"), how, from),
                   day_of(say_moment_at(row, "window.to"), how, to));
    }
    for (const struct answer *n = notes ? notes->first : NULL; n; n = n->next)
        show_fold(out, how, "    ! ", 6, n->is.text);
    for (const struct answer *n = record ? record->first : NULL; n && answer_at(row, "near")->is.flag; n = n->next)
        show_fold(out, how, "    surer with: ", 6, n->is.text);
}

/* ---- weather ----------------------------------------------------------------------------------------------------- */

static double cell(const struct answer *a, const char *name, size_t i)
{
    char path[64];
    (void)snprintf(path, sizeof path, "weather.hours.%s", name);
    const struct answer *c = answer_at(a, path);
    return c && c->kind == ANSWER_REALS && i < c->is.reals.n ? c->is.reals.at[i] : (double)NAN;
}

/* Three hours in a line. Where the line is narrow the day stands once, over its hours. */
static void weather_line(const struct answer *a, size_t i, int64_t begins, const struct show_how *how,
                         struct text *line)
{
    const double dir = cell(a, "wind_from_deg", i), wind = cell(a, "wind_mps", i);
    const bool narrow = how->width < 60;
    const char *comes = wind < 0.3 ? "calm" : isnan(dir) ? (narrow ? "var." : "varying") : show_compass(dir);
    double rain = 0.0;
    bool snow = false, unknown = false;
    char when[32], t[32], w[32], r[32];

    for (size_t k = i; k < i + 3; k++) {
        unknown = unknown || isnan(cell(a, "rain_mm", k));
        rain += isfinite(cell(a, "rain_mm", k)) ? cell(a, "rain_mm", k) : 0.0;
        snow = snow || cell(a, "snow", k) > 0.5;
    }
    if (narrow)
        text_print(line, "  %-5s", show_clock(begins, how, when));
    else
        text_print(line, "  %-16s", show_moment(begins, how, when));
    text_print(line, " %7s  %s", show_temp(cell(a, "temp_c", i), how, t), comes);
    if (wind >= 0.3)
        text_print(line, "%*s%7s", (narrow ? 4 : 8) - (int)strlen(comes), "", show_wind(wind, how, w));
    const char *gap = wind >= 0.3 ? "" : narrow ? "       " : "           ";
    if (rain >= 0.1)
        text_print(line, "%s  %s %s", gap, snow ? "snow" : "rain", show_rain(rain, how, r));
    else if (snow && unknown)
        text_print(line, "%s  snow", gap);
}

static void weather(const struct answer *a, const struct show_how *how, struct text *out)
{
    const int64_t from = say_moment_at(a, "weather.from");
    const struct answer *temp = answer_at(a, "weather.hours.temp_c");
    int64_t day = INT64_MIN;

    say_section(out, how, "WEATHER");
    show_fold(out, how, "  ", 2, answer_get_text(a, "weather.says"));
    for (size_t i = 0; temp && i < temp->is.reals.n && i < 37; i += 3) {
        const int64_t begins = from + (int64_t)i * HOUR_S;
        const struct civil c = when_local(how->zone, begins);
        const int64_t today = civil_days(c.year, c.month, c.day);
        struct text line;
        if (how->width < 60 && today != day)
            text_print(out, "  %s %d %s\n", when_weekday[civil_weekday(today)], c.day, when_month[c.month]);
        day = today;
        text_open_part(&line, out);
        weather_line(a, i, begins, how, &line);
        text_print(out, "%s\n", text_get(&line));
        text_close(&line);
    }
    if (answer_get_text(a, "weather.credit"))
        show_fold(out, how, "  ", 2, answer_get_text(a, "weather.credit"));
}

static void heat(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *h = say_rows(out, how, a, "heat", "HEAT"); h; h = h->next) {
        struct text line;
        char when[32];
        text_open_part(&line, out);
        text_print(&line, "%s%s%s, from %s for %.0f h: %s", answer_get_text(h, "sow") ? answer_get_text(h, "sow") : "",
                   answer_get_text(h, "sow") ? ", " : "", answer_get_text(h, "place"),
                   show_moment(say_moment_at(h, "from"), how, when), answer_get_real(h, "hours"),
                   answer_get_text(h, "do"));
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
}

static void looks(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *l = say_rows(out, how, a, "looks_worth_taking", "THE LOOK WORTH TAKING"); l; l = l->next)
        show_fold(out, how, "  ", 4, answer_get_text(l, "says"));
}

static void others(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *o = say_rows(out, how, a, "others", "THE OTHERS"); o; o = o->next) {
        struct text line;
        text_open_part(&line, out);
        text_print(&line, "%s: %s", answer_get_text(o, "name"), answer_get_text(o, "says"));
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
}

static void farrowing(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *f = say_rows(out, how, a, "farrowing_now", "FARROWING NOW"); f; f = f->next)
        show_fold(out, how, "  ", 4, answer_get_text(f, "says"));
}

static void litters(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *l = say_rows(out, how, a, "young_litters", "YOUNG LITTERS"); l; l = l->next) {
        struct text line;
        text_open_part(&line, out);
        text_print(&line, "%s %s", answer_get_text(l, "says"), answer_get_text(l, "do"));
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
}

void show_tonight(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *sows = answer_at(a, "sows");
    char when[32];

    text_print(out, "%sTONIGHT%s  %s%s%s\n\n", bold(how), plain(how), show_moment(say_moment_at(a, "at"), how, when),
               answer_get_text(a, "farm") ? "  " : "", answer_get_text(a, "farm") ? answer_get_text(a, "farm") : "");
    show_fold(out, how, "  ", 2, answer_get_text(a, "in_short"));
    farrowing(a, how, out);
    jobs(a, how, out);
    say_section(out, how, "GETTING UP");
    show_fold(out, how, "  ", 4, answer_get_text(a, "rounds.says"));
    if (sows && sows->first) {
        say_section(out, how, "SOWS, most in need first");
        show_fold(out, how, "  ", 2, ". bearable   ^ cold   ^^ danger   ### not fit for newborns");
        for (const struct answer *s = sows->first; s; s = s->next)
            sow(a, s, how, out);
    }
    litters(a, how, out);
    looks(a, how, out);
    heat(a, how, out);
    others(a, how, out);
    weather(a, how, out);
    say_titled_texts(out, how, a, "record", "SURER WITH", "  - ");
    say_titled_texts(out, how, a, "weather.notes", "ABOUT THE WEATHER FIGURES", "  - ");
    say_titled_texts(out, how, a, "assumed", "ASSUMED", "  - ");
    say_titled_texts(out, how, a, "cautions", "CAUTION", "  ! ");
}
