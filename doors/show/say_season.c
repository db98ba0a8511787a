/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The season: the days of the boar, what they bring, what other weeks would, the diary. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>

#include "doors/show/own.h"
#include "doors/show/say_kin.h"
#include "doors/show/say_piece.h"
#include "doors/show/say_season_choices.h"
#include "doors/show/say_season_needs.h"

static void para(struct text *out, const struct show_how *how, const char *fmt, ...) PRINTF_LIKE(3, 4);
static void para(struct text *out, const struct show_how *how, const char *fmt, ...)
{
    char line[1024];
    va_list args;

    va_start(args, fmt);
    (void)vsnprintf(line, sizeof line, fmt, args);
    va_end(args);
    show_fold(out, how, "  ", 4, line);
}

static void one_way(const struct answer *t, const char *name, const struct show_how *how, struct text *out)
{
    char in[24], first[24], last[24];
    const double danger = answer_get_real(t, "danger_litters");

    para(out, how, "%s: boar in %s, litters %s to %s; %.0f pigs in time (%.0f to %.0f), %.0f that nobody asked for.",
         name, say_season_day(t, "boar_in", in), say_season_day(t, "first_litters", first),
         say_season_day(t, "last_litters", last), answer_get_real(t, "in_time.mean"), answer_get_real(t, "in_time.p05"),
         answer_get_real(t, "in_time.p95"), answer_get_real(t, "late.mean"));
    if (isnan(danger))
        para(out, how, "Of %.1f litters nobody can say here how many come into danger of cold. %.0f huts wanted.",
             answer_get_real(t, "litters"), answer_get_real(t, "huts_wanted"));
    else
        para(out, how, "Of %.1f litters %.1f come into danger of cold (%.0f to %.0f). %.0f huts wanted.",
             answer_get_real(t, "litters"), danger, answer_get_real(t, "in_danger.p05"),
             answer_get_real(t, "in_danger.p95"), answer_get_real(t, "huts_wanted"));
}

static void curve(const struct answer *list, const struct show_how *how, struct text *out)
{
    const struct answer *row = list ? list->first : NULL;

    say_section(out, how, "THE BOAR IN ON EACH SECOND MONDAY");
    text_add(out, "  boar in  litters from  in time  late  in danger  huts  worth\n");
    for (size_t i = 0; row; row = row->next, i++) {
        char in[24], first[24], danger[16] = "   ?";
        if (i % 2)
            continue;
        if (isfinite(answer_get_real(row, "danger_litters")))
            (void)snprintf(danger, sizeof danger, "%4.1f", answer_get_real(row, "danger_litters"));
        text_print(out, "  %-7s  %-12s  %7.0f  %4.0f  %9s  %4.0f  %5.0f\n", say_season_day(row, "boar_in", in),
                   say_season_day(row, "first_litters", first), answer_get_real(row, "in_time.mean"),
                   answer_get_real(row, "late.mean"), danger, answer_get_real(row, "huts_wanted"),
                   answer_get_real(row, "worth.mean"));
    }
    if (list && list->first)
        para(out, how, "In time and late are pigs, in danger litters, worth is in your own money.");
}

static void diary(const struct answer *list, const struct show_how *how, struct text *out)
{
    say_section(out, how, "TO PUT IN THE DIARY");
    for (const struct answer *e = list ? list->first : NULL; e; e = e->next) {
        char from[24], to[24];
        const char *says = answer_get_text(e, "says");
        const bool one = answer_get_real(e, "from") >= answer_get_real(e, "to");
        para(out, how, "%s%s%s: %s.%s%s", say_season_day(e, "from", from), one ? "" : " to ",
             one ? "" : say_season_day(e, "to", to), answer_get_text(e, "title"), says ? " " : "", says ? says : "");
    }
}

void show_season(const struct answer *a, const struct show_how *how, struct text *out)
{
    say_heading(out, how, "WHEN THE BOAR GOES IN");
    show_fold(out, how, "  ", 2, answer_get_text(a, "says"));
    say_section(out, how, "TWO WAYS TO DO IT");
    one_way(answer_at(a, "plan"), "So", how, out);
    one_way(answer_at(a, "two_weeks_later"), "Two weeks later", how, out);
    para(out, how, "In brackets: nine seasons of ten. Chance that less than half is sold in time: %.0f in 100.",
         100.0 * answer_get_real(a, "plan.bad_season"));
    say_season_wishes(a, how, out);
    say_season_groups(a, how, out);
    say_season_choices(a, how, out);
    say_season_sales(a, how, out);
    curve(answer_at(a, "by_week"), how, out);
    say_season_cold(a, how, out);
    say_season_needs(a, how, out);
    diary(answer_at(a, "events"), how, out);
    say_section(out, how, "CAUTIONS");
    say_texts(out, how, answer_at(a, "cautions"), "  - ");
    say_section(out, how, "TAKEN FOR GRANTED");
    say_texts(out, how, answer_at(a, "assumed"), "  - ");
}
