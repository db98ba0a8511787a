/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon notch: as text, with both ears drawn as seen facing the pig. */
#include "doors/show/say_piece.h"

static int notches_at(const struct answer *ear, int value)
{
    int n = 0;

    for (const struct answer *v = ear ? ear->first : NULL; v; v = v->next)
        n += v->kind == ANSWER_WHOLE && v->is.whole == value;
    return n;
}

/* "V" for each notch, "-" for none, two wide. */
static const char *cut(const struct answer *ear, int value)
{
    const int n = notches_at(ear, value);
    return n == 0 ? "--" : n == 1 ? "V-" : "VV";
}

/* Ears stand out sideways; the upper edge is the inner one, the tips are outermost. */
static void draw(const struct answer *a, bool narrow, struct text *out)
{
    const struct answer *r = answer_at(a, "right"), *l = answer_at(a, "left");
    const char *between = "  |  ";
    struct text right[3], left[3];

    for (int row = 0; row < 3; row++) {
        text_open_part(&right[row], out);
        text_open_part(&left[row], out);
    }
    text_print(&right[0], "   .--9:%s---27:%s--.   ", cut(r, 9), cut(r, 27));
    text_print(&right[1], "81:%s             head", cut(r, 81));
    text_print(&right[2], "   '--3:%s---1:%s---'   ", cut(r, 3), cut(r, 1));
    text_print(&left[0], "   .--27:%s---9:%s--.", cut(l, 27), cut(l, 9));
    text_print(&left[1], "head             81:%s", cut(l, 81));
    text_print(&left[2], "   '---1:%s---3:%s--'", cut(l, 1), cut(l, 3));
    text_add(out, "\nFacing the pig (V = a notch, VV = two)\n");
    text_print(out, "\n  %-22s", "her RIGHT ear: litter");
    if (!narrow)
        text_print(out, "%s%s", between, "her LEFT ear: pig");
    for (int row = 0; row < 3; row++)
        text_print(out, "\n  %s%s%s", text_get(&right[row]), narrow ? "" : between, narrow ? "" : text_get(&left[row]));
    if (narrow)
        text_add(out, "\n\n  her LEFT ear: pig");
    for (int row = 0; narrow && row < 3; row++)
        text_print(out, "\n  %s", text_get(&left[row]));
    text_add(out, "\n");
    for (int row = 0; row < 3; row++) {
        text_close(&right[row]);
        text_close(&left[row]);
    }
}

void show_piece_notch(const struct answer *a, const struct show_how *how, struct text *out)
{
    say(out, how, "%s: litter %.0f, pig %.0f.", answer_get_text(a, "number"), answer_get_real(a, "litter"),
        answer_get_real(a, "pig"));
    say(out, how, "%s", answer_get_text(a, "says"));
    draw(a, how->width < 60, out);
    say_tail(out, how, a);
}
