/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What would change a season's plan; pigs by week; who goes to which run. */
#include "doors/show/say_season_choices.h"

#include <math.h>
#include <stdio.h>

#include "core/base/civil.h"
#include "desk/when.h"
#include "doors/show/own.h"
#include "doors/show/say_kin.h"
#include "doors/show/say_piece.h"

const char *say_season_day(const struct answer *a, const char *path, char out[static 24])
{
    const struct answer *d = answer_at(a, path);

    if (!d || d->kind != ANSWER_DAY)
        return "-";
    const struct civil c = civil_from_days(d->is.whole);
    (void)snprintf(out, 24, "%d %s", c.day, when_month[c.month]);
    return out;
}

static void group(const struct answer *g, size_t n, const struct show_how *how, struct text *out)
{
    char in[24], end[24], line[1024];
    const char *names = answer_get_text(g, "names");

    (void)snprintf(line, sizeof line, "Group %zu, boar %s to %s: %.900s.", n, say_season_day(g, "boar_in", in),
                   say_season_day(g, "boar_out", end), names ? names : "nobody is free by then");
    show_fold(out, how, "  ", 4, line);
}

static void service(const struct answer *row, const struct show_how *how, struct text *out)
{
    char from[24], to[24], likely[24], line[256];
    const struct answer *l = answer_at(row, "likely");

    (void)snprintf(line, sizeof line, "%.60s: %s to %s%s%s.", answer_get_text(row, "name"),
                   say_season_day(row, "from", from), say_season_day(row, "to", to),
                   l && l->kind == ANSWER_DAY ? ", most likely " : "",
                   l && l->kind == ANSWER_DAY ? say_season_day(row, "likely", likely) : "");
    show_fold(out, how, "  ", 4, line);
}

void say_season_groups(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *groups = answer_at(a, "groups"), *services = answer_at(a, "services");
    size_t n = 0;

    if (answer_count(groups) > 1) {
        say_section(out, how, "GROUPS");
        for (const struct answer *g = groups->first; g; g = g->next)
            group(g, ++n, how, out);
    }
    if (answer_count(services) > 0) {
        say_section(out, how, "BY HAND: WHEN TO LOOK FOR HEAT");
        for (const struct answer *s = services->first; s; s = s->next)
            service(s, how, out);
    }
}

void say_season_choices(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "choices");
    char line[400];

    if (answer_count(list) == 0)
        return;
    say_section(out, how, "WHAT WOULD CHANGE IT");
    for (const struct answer *c = list->first; c; c = c->next)
        show_fold(out, how, "  ", 4, answer_get_text(c, "says"));
    (void)snprintf(
        line, sizeof line,
        "Each against the plan, in the same %.0f winters. Worth is in your own money: pigs sold in time, less "
        "what waiting and danger are set to cost. What the change itself costs, a boar or a hut or feed, is "
        "not in it.",
        answer_get_real(a, "choice_winters"));
    show_fold(out, how, "  ", 2, line);
}

void say_season_sales(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "sale_weeks");

    if (answer_count(list) == 0)
        return;
    say_section(out, how, "PIGS BY WEEK");
    text_add(out, "  week of  asked  become ready       ready by its end\n");
    for (const struct answer *w = list->first; w; w = w->next) {
        char from[24], ready[32], by[32];
        if (answer_get_real(w, "ready.expected") < 0.05)
            continue;
        (void)snprintf(ready, sizeof ready, "%.0f (%.0f to %.0f)", answer_get_real(w, "ready.expected"),
                       answer_get_real(w, "ready.p10"), answer_get_real(w, "ready.p90"));
        (void)snprintf(by, sizeof by, "%.0f (%.0f to %.0f)", answer_get_real(w, "by_then.expected"),
                       answer_get_real(w, "by_then.p10"), answer_get_real(w, "by_then.p90"));
        text_print(out, "  %-7s  %5.0f  %-17s  %s\n", say_season_day(w, "from", from), answer_get_real(w, "asked"),
                   ready, by);
    }
    show_fold(out, how, "  ", 2, "In brackets: eight seasons of ten.");
}

void say_season_wishes(const struct answer *a, const struct show_how *how, struct text *out)
{
    if (!answer_at(a, "wishes"))
        return;
    say_section(out, how, "HOW SURE");
    show_fold(out, how, "  ", 2, answer_get_text(a, "wishes.says"));
    text_add(out, "  asked for from  to       pigs  met  others met  without it\n");
    for (const struct answer *w = answer_at(a, "wishes.asked")->first; w; w = w->next) {
        char from[24], to[24];
        text_print(out, "  %-14s  %-7s  %4.0f  %3.0f  %10.0f  %10.0f\n", say_season_day(w, "from", from),
                   say_season_day(w, "to", to), answer_get_real(w, "pigs"), 100.0 * answer_get_real(w, "met"),
                   100.0 * answer_get_real(w, "others_met"), 100.0 * answer_get_real(w, "others_met_without"));
    }
    show_fold(out, how, "  ", 2, "In 100 seasons; met is in full and in time.");
}

void say_season_cold(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "cold_weeks");
    size_t i = 0;

    if (answer_count(list) == 0)
        return;
    say_section(out, how, "DANGER OF COLD BY WEEK OF BIRTH");
    text_add(out, "  week     in a hut        in the open\n"
                  "           typical  runt   typical  runt\n");
    for (const struct answer *w = list->first; w; w = w->next, i++) {
        static const char *const keys[] = { "danger_in_hut", "runt_danger_in_hut", "danger_in_open",
                                            "runt_danger_in_open" };
        char cell[COUNT(keys)][8];
        double most = 0.0;
        for (size_t k = 0; k < COUNT(keys); k++) {
            const double x = answer_get_real(w, keys[k]);
            most = isnan(x) ? most : fmax(most, x);
            if (isnan(x))
                (void)snprintf(cell[k], sizeof cell[k], "?");
            else
                (void)snprintf(cell[k], sizeof cell[k], "%.0f", 100.0 * x);
        }
        if (i % 2 == 0 && most >= 0.005)
            text_print(out, "  %4.0f     %7s  %4s   %7s  %4s\n", answer_get_real(w, "week"), cell[0], cell[1], cell[2],
                       cell[3]);
    }
    show_fold(out, how, "  ", 2,
              "Of 100 litters born in that week so many have their typical piglet (1.3 kg), their runt (0.9 kg) in "
              "danger. Every second week; those with none are left out. Week 1 begins on 1 January.");
}
