/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon due: as text. */
#include <math.h>

#include "core/base/civil.h"
#include "doors/show/say_piece.h"

static void window(const struct answer *a, const struct show_how *how, struct text *out)
{
    const int64_t early = say_moment_at(a, "quantiles.5"), middle = say_moment_at(a, "quantiles.50"),
                  late = say_moment_at(a, "quantiles.95");
    char text[3][32];

    if (middle == INT64_MIN) {
        say(out, how, "No time can be given.");
        return;
    }
    say(out, how, "If she is pregnant she farrows about %s; nine times in ten between %s and %s (%s).",
        show_moment(middle, how, text[0]), show_moment(early, how, text[1]), show_moment(late, how, text[2]),
        when_zone_name(how->zone));
}

static void now(const struct answer *a, const struct show_how *how, struct text *out)
{
    const char *watch = answer_get_text(a, "watch");

    if (!isfinite(answer_get_real(a, "p_within_24h")))
        return;
    say(out, how, "Within 6 hours %d in 100, 12 hours %d, 24 hours %d, 48 hours %d.",
        in_100(answer_get_real(a, "p_within_6h")), in_100(answer_get_real(a, "p_within_12h")),
        in_100(answer_get_real(a, "p_within_24h")), in_100(answer_get_real(a, "p_within_48h")));
    if (watch)
        say(out, how, "So: %s. In frost one step oftener.", watch);
}

static void dates(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "by_date");
    double most = 0.0;
    char date[32];

    for (const struct answer *d = list ? list->first : NULL; d; d = d->next)
        most = fmax(most, answer_get_real(d, "probability"));
    if (!list || !(most > 0.0))
        return;
    text_add(out, "\nChance by date, in 100\n");
    for (const struct answer *d = list->first; d; d = d->next) {
        const double p = answer_get_real(d, "probability");
        if (p < 0.0005)
            continue;
        const int bar = (int)lround(30.0 * p / most), weekday = civil_weekday(answer_at(d, "date")->is.whole);
        text_print(out, "  %s %s %5.1f%s%.*s\n", when_weekday[weekday],
                   civil_date_text(answer_at(d, "date")->is.whole, date), p * 100.0, bar ? " " : "",
                   how->width < 60 ? bar / 2 : bar, "##############################");
    }
}

static void boars(const struct answer *a, const char *key, const char *words, const struct show_how *how,
                  struct text *out)
{
    const struct answer *list = answer_at(a, key);

    if (!list || list->kind != ANSWER_LIST)
        return;
    for (const struct answer *b = list->first; b; b = b->next)
        say(out, how, "%s boar %.0f: %d in 100.", words, answer_get_real(b, "boar"),
            in_100(answer_get_real(b, "probability")));
}

void show_piece_due(const struct answer *a, const struct show_how *how, struct text *out)
{
    if (!say_flag_at(a, "known")) {
        say(out, how, "Nothing can be said: no service and no boar is known.");
        say_tail(out, how, a);
        return;
    }
    say(out, how, "Pregnant: %d in 100.", in_100(answer_get_real(a, "p_pregnant")));
    window(a, how, out);
    now(a, how, out);
    boars(a, "boars", "Sire, all told:", how, out);
    boars(a, "boars_if_born", "Sire, if born then:", how, out);
    dates(a, how, out);
    say_tail(out, how, a);
}
