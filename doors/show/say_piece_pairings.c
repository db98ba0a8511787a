/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon pairings: as text. */
#include <math.h>

#include "doors/show/say_piece.h"

static void plan(const struct answer *list, const struct show_how *how, struct text *out)
{
    const int name = how->width < 60 ? 14 : 20; /* of an id; longer ones push the rest to the right */

    text_print(out, "\n  %-*s %-*s %s\n", name, "sow", name, "boar", how->width < 60 ? "F" : "F of the litter");
    for (const struct answer *row = list->first; row; row = row->next)
        text_print(out, "  %-*s %-*s %6.2f %%\n", name, answer_get_text(row, "sow"), name, answer_get_text(row, "boar"),
                   100.0 * answer_get_real(row, "f"));
}

void show_piece_pairings(const struct answer *a, const struct show_how *how, struct text *out)
{
    const char *no = answer_get_text(a, "infeasible");
    const struct answer *list = answer_at(a, no ? "with_that_change" : "plan"), *found = answer_at(a, "findings");
    const double listed = answer_get_real(a, "in_list_order_mean_f");

    if (no) {
        say(out, how, "%s", no);
        say(out, how, "With that change:");
    } else {
        say(out, how, "Mean F of the litters %.2f %%, the worst %.2f %%; no plan has a worst below %.2f %%.",
            100.0 * answer_get_real(a, "mean_f"), 100.0 * answer_get_real(a, "worst_f"),
            100.0 * answer_get_real(a, "worst_possible_f"));
        say(out, how, "Each sow to her best boar, whatever his number: %.2f %%.",
            100.0 * answer_get_real(a, "free_choice_mean_f"));
        if (isfinite(listed))
            say(out, how, "Sow after sow in the order named, the best boar with room left: %.2f %%.", 100.0 * listed);
        else
            say(out, how, "Sow after sow in the order named it does not come out: a sow finds no boar with room left.");
    }
    if (list)
        plan(list, how, out);
    for (const struct answer *f = found ? found->first : NULL; f; f = f->next)
        say(out, how, "%s: %s", answer_get_text(f, "weight"), answer_get_text(f, "says"));
    say_tail(out, how, a);
}
