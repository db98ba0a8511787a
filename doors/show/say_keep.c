/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Text of keep. */
#include <math.h>
#include <string.h>

#include "doors/show/own.h"
#include "doors/show/say_kin.h"
#include "doors/show/say_piece.h"

/* The sentences of one sign (or of its stronger sister), behind a mark. */
static void reasons(const struct answer *f, const char *sign, const char *strong, const char *title,
                    const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(f, "reasons");
    struct text line;
    size_t n = 0;

    text_open_part(&line, out);
    for (int pass = 0; pass < 2; pass++)
        for (const struct answer *r = list ? list->first : NULL; r; r = r->next) {
            const char *is = answer_get_text(r, "sign"), *want = pass ? sign : strong;
            if (!want || strcmp(is, want) != 0)
                continue;
            text_print(&line, "%s%s%s", n++ ? "; " : "", pass ? "" : "much: ", answer_get_text(r, "says"));
        }
    if (n) {
        text_add(&line, ".");
        show_fold(out, how, title, 5, text_get(&line));
    }
    text_close(&line);
}

/* What is not known, by its label alone. */
static void unknown(const struct answer *f, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(f, "reasons");
    struct text line;
    size_t n = 0;

    text_open_part(&line, out);
    for (const struct answer *r = list ? list->first : NULL; r; r = r->next)
        if (strcmp(answer_get_text(r, "sign"), "not known") == 0)
            text_print(&line, "%s%s", n++ ? ", " : "not known: ", answer_get_text(r, "label"));
    if (n) {
        text_add(&line, ".");
        show_fold(out, how, "   ? ", 5, text_get(&line));
    }
    text_close(&line);
}

static void female(const struct answer *f, const struct show_how *how, struct text *out)
{
    const char *decision = answer_get_text(f, "decision"), *held = answer_get_text(f, "held"),
               *close = answer_get_text(f, "close");
    struct text line;
    char lead[16];

    (void)snprintf(lead, sizeof lead, "%3.0f. ", answer_get_real(f, "rank"));
    text_open_part(&line, out);
    text_print(&line, "%s, %s%s%s: %s; score %+.1f, give or take %.1f.", answer_get_text(f, "name"),
               answer_get_text(f, "is"), decision ? ", " : "", decision ? decision : "", answer_get_text(f, "says"),
               answer_get_real(f, "score"), answer_get_real(f, "sd"));
    show_fold(out, how, lead, 5, text_get(&line));
    text_close(&line);
    if (held && !(decision && strcmp(decision, "stays") == 0))
        show_fold(out, how, "   ! ", 5, held);
    if (close)
        show_fold(out, how, "   ~ ", 5, close);
    reasons(f, "for", "much for", "   + ", how, out);
    reasons(f, "against", "much against", "   - ", how, out);
    reasons(f, "even", NULL, "   = ", how, out);
    unknown(f, how, out);
    say_texts(out, how, answer_at(f, "notes"), "   # ");
}

static void weights(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "weights");

    say_section(out, how, "WHAT COUNTS HOW MUCH");
    for (const struct answer *w = list ? list->first : NULL; w; w = w->next) {
        char lead[48];
        (void)snprintf(lead, sizeof lead, "  %-8.20s %4.2g  ", answer_get_text(w, "key"), answer_get_real(w, "weight"));
        show_fold(out, how, lead, 17, answer_get_text(w, "says"));
    }
}

void show_keep(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "females"), *lost = answer_at(a, "lines_lost");
    const double now = answer_get_real(a, "mean_kinship"), then = answer_get_real(a, "mean_kinship_then"),
                 places = answer_get_real(a, "places");
    char was[32], is[32], line[160];
    size_t n = 0;

    say_heading(out, how, "WHO STAYS, WHO GOES");
    show_fold(out, how, "  ", 2, answer_get_text(a, "says"));
    if (list && list->first)
        show_fold(out, how, "  ", 2,
                  "+ for her, - against her, = even with the herd, ? not known, # noted: counts for nothing here.");
    say_texts(out, how, lost, "  ! ");
    if (isfinite(then)) {
        (void)snprintf(line, sizeof line, "Mean kinship of the herd is %s; with those above the line alone %s.",
                       say_percent(now, was), say_percent(then, is));
        show_fold(out, how, "  ", 2, line);
    }
    for (const struct answer *f = list ? list->first : NULL; f; f = f->next, n++) {
        text_add(out, "\n");
        if (isfinite(places) && (double)n >= places && (double)n < places + 1.0) {
            for (int k = 0; k < how->width; k++)
                text_add(out, "-");
            text_print(out, "\n%.*s\n\n", how->width, "no place left below this line");
        }
        female(f, how, out);
    }
    if (list && list->first)
        weights(a, how, out);
    say_kin_tail(a, how, out);
}
