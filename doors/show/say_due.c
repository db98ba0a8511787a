/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * due as text: one sow a paragraph, with a bar for each likely day. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/in_100.h"
#include "doors/show/own.h"
#include "doors/show/say_piece.h"

static void days(const struct answer *row, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(row, "by_date");
    double most = 0.0;

    for (const struct answer *d = list ? list->first : NULL; d; d = d->next)
        most = fmax(most, answer_get_real(d, "probability"));
    for (const struct answer *d = list ? list->first : NULL; d; d = d->next) {
        const double p = answer_get_real(d, "probability");
        const int64_t day = (int64_t)answer_get_real(d, "date");
        const struct civil c = civil_from_days(day);
        const int bar = (int)lround(p / most * fmin(40.0, how->width - 28.0));
        if (p < 0.02 && p < most / 5.0)
            continue;
        text_print(out, "    %s %2d %s  %3.0f in 100%s", when_weekday[civil_weekday(day)], c.day, when_month[c.month],
                   p * 100.0, bar > 0 ? "  " : "");
        for (int i = 0; i < bar; i++)
            text_add(out, "=");
        text_add(out, "\n");
    }
}

static void one(const struct answer *row, const struct show_how *how, struct text *out)
{
    const double pregnant = answer_get_real(row, "p_pregnant");
    const struct answer *notes = answer_at(row, "notes"), *boars = answer_at(row, "boars");
    char from[32], to[32], in_pig[16];

    struct text head;
    text_open_part(&head, out);
    text_print(&head, "%s%s%s%s", how->colour ? "\033[1m" : "", answer_get_text(row, "name"),
               how->colour ? "\033[0m" : "", answer_at(row, "gilt")->is.flag ? " (gilt)" : "");
    text_add(out, "\n");
    show_fold(out, how, "", 2, text_get(&head));
    text_close(&head);
    show_fold(out, how, "  ", 2, answer_get_text(row, "known"));
    if (isnan(pregnant) || say_moment_at(row, "p5") == INT64_MIN) {
        text_add(out, "  No day can be given.\n");
    } else {
        const int64_t first = say_moment_at(row, "p5"), last = say_moment_at(row, "p95");
        char line[200];
        (void)snprintf(line, sizeof line,
                       pregnant < 0.05
                           ? "Most likely not in pig (%s in 100 that she is); if she is, nine in ten: %s to %s."
                           : "In pig: %s in 100. Nine in ten: %s to %s.",
                       in_100_figure(pregnant, in_pig), show_about(first, last - first, how, from),
                       show_about(last, last - first, how, to));
        show_fold(out, how, "  ", 2, line);
        days(row, how, out);
    }
    if (boars && boars->first && boars->first->next)
        for (const struct answer *b = boars->first; b; b = b->next)
            text_print(out, "  By %s: %s in 100\n", answer_get_text(b, "name"),
                       in_100_figure(answer_get_real(b, "probability"), in_pig));
    for (const struct answer *n = notes ? notes->first : NULL; n; n = n->next)
        show_fold(out, how, "  ! ", 4, n->is.text);
}

void show_due(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *sows = answer_at(a, "sows"), *others = answer_at(a, "others"),
                        *record = answer_at(a, "record");
    char when[32];

    text_print(out, "DUE  as of %s\n", show_moment(say_moment_at(a, "at"), how, when));
    if (!sows || !sows->first)
        text_add(out, "\n  No sow is recorded as served.\n");
    for (const struct answer *s = sows ? sows->first : NULL; s; s = s->next)
        one(s, how, out);
    if (others && others->first)
        text_add(out, "\nThe others\n");
    for (const struct answer *s = others ? others->first : NULL; s; s = s->next)
        text_print(out, "  %s: %s%s\n", answer_get_text(s, "name"), answer_get_text(s, "state"),
                   say_moment_at(s, "lost_all_at") != INT64_MIN ? ", lost all of her litter" : "");
    for (const struct answer *r = record ? record->first : NULL; r; r = r->next)
        show_fold(out, how, r == record->first ? "\nSurer with: " : "            ", 12, r->is.text);
}
