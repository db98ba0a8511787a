/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Growth and needs of a season: what a pig weighs on the day, then feed, straw and water by fortnight, then what has to
 * be there by when. */
#include "doors/show/say_season_needs.h"

#include <math.h>
#include <stdio.h>

#include "core/base/civil.h"
#include "desk/when.h"
#include "doors/show/own.h"
#include "doors/show/say_kin.h"
#include "doors/show/say_piece.h"

static double both(const struct answer *a, const struct answer *b, const char *key)
{
    return answer_get_real(a, key) + (b ? answer_get_real(b, key) : 0.0);
}

static double mass(double kg, const struct show_how *how)
{
    return how->us_units ? kg / 0.45359237 : kg;
}

/* Two weeks in a row of the table. */
static void fortnight(const struct answer *a, const struct answer *b, const struct show_how *how, struct text *out)
{
    const struct answer *from = answer_at(a, "from");
    const struct civil c = civil_from_days(from->is.whole);
    const double weeks = b ? 2.0 : 1.0;
    char day[24], temp[16] = "?";

    (void)snprintf(day, sizeof day, "%d %s", c.day, when_month[c.month]);
    if (isfinite(answer_get_real(a, "temp_c")))
        (void)snprintf(temp, sizeof temp, "%.0f",
                       how->us_units ? 1.8 * answer_get_real(a, "temp_c") + 32.0 : answer_get_real(a, "temp_c"));
    text_print(out, "  %-7s  %4.1f  %6.1f  %8.1f  %4.0f  %4s  %8.0f  %8.0f  %8.0f\n", day, both(a, b, "dry") / weeks,
               both(a, b, "in_pig") / weeks, both(a, b, "suckling") / weeks, both(a, b, "pigs") / weeks, temp,
               mass(both(a, b, "sow_feed_kg"), how), mass(both(a, b, "creep_kg") + both(a, b, "pig_feed_kg"), how),
               mass(both(a, b, "straw_kg"), how));
}

void say_season_needs(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *weeks = answer_at(a, "needs.by_week");

    say_section(out, how, "WHAT A PIG WEIGHS");
    show_fold(out, how, "  ", 2, answer_get_text(a, "growth.says"));
    say_section(out, how, "WHAT HAS TO BE THERE");
    say_texts(out, how, answer_at(a, "needs.says"), "  - ");
    const char *unit = how->us_units ? "lb" : "kg";
    text_print(out,
               "\n  two      sows  in pig  suckling  pigs  mean  for sows  for pigs     straw\n"
               "  weeks of  dry                    fed     %s        %s        %s        %s\n",
               how->us_units ? "F" : "C", unit, unit, unit);
    for (const struct answer *w = weeks ? weeks->first : NULL; w; w = w->next ? w->next->next : NULL)
        fortnight(w, w->next, how, out);
    text_print(out, "  In all %.0f %s of feed for sows, %.0f %s for pigs, %.0f %s of straw.\n",
               mass(answer_get_real(a, "needs.sow_feed_kg"), how), unit,
               mass(answer_get_real(a, "needs.creep_kg") + answer_get_real(a, "needs.pig_feed_kg"), how), unit,
               mass(answer_get_real(a, "needs.straw_kg"), how), unit);
    text_print(out, "  In frost %.0f litres of water a day have to be carried in the fullest week.\n",
               answer_get_real(a, "needs.water_l_day_most"));
    say_texts(out, how, answer_at(a, "needs.rests_on"), "  - ");
}
