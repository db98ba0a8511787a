/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * try as text: as it stands, and so. */
#include <math.h>

#include "doors/show/say_piece.h"

static void state(const struct answer *a, const char *words, const struct show_how *how, struct text *out)
{
    char feels[32], when[32];

    if (!a || a->kind != ANSWER_OBJECT)
        return;
    say(out, how, "%s: %s. %s; feels like %s to a wet newborn at the worst, %s.", words, answer_get_text(a, "stands"),
        answer_get_text(a, "words"), show_feels(answer_get_real(a, "feels_c"), how, feels),
        show_moment(say_moment_at(a, "coldest"), how, when));
}

void show_try(const struct answer *a, const struct show_how *how, struct text *out)
{
    const char *leave = answer_get_text(a, "leave_because");
    const double best = answer_get_real(a, "best_facing_deg");

    text_print(out, "%s\n\n", answer_get_text(a, "shelter"));
    say(out, how, "%s", answer_get_text(a, "says"));
    if (leave)
        say(out, how, "%s", leave);
    text_add(out, "\n");
    state(answer_at(a, "now"), "As it stands", how, out);
    state(answer_at(a, "then"), "So", how, out);
    if (isfinite(best))
        say(out, how, "In these hours it would look best to %s, %.0f°.", show_compass(best), best);
    say_tail(out, how, a);
}
