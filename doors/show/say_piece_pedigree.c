/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon inbreeding, kinship: as text. */
#include <math.h>
#include <string.h>

#include "doors/show/say_piece.h"

/* Errors first, then what is odd; notes and hints are counted. */
static void say_findings(struct text *out, const struct show_how *how, const struct answer *a)
{
    static const struct {
        const char *weight, *heading;
    } kinds[] = { { "error", "Put right" }, { "odd", "Look at these" }, { "hint", "Perhaps" }, { "note", "Noted" } };
    const struct answer *list = answer_at(a, "findings");

    for (size_t k = 0; list && k < sizeof kinds / sizeof *kinds; k++) {
        size_t n = 0;
        const size_t most = k == 0 ? 200 : 12;
        for (const struct answer *f = list->first; f; f = f->next) {
            if (strcmp(answer_get_text(f, "weight"), kinds[k].weight) != 0 || n++ >= most)
                continue;
            const double line = answer_get_real(f, "line");
            if (n == 1)
                text_print(out, "\n%s\n", kinds[k].heading);
            char lead[48] = "- ";
            if (isfinite(line))
                (void)snprintf(lead, sizeof lead, "- line %.0f: ", line);
            show_fold(out, how, lead, 2, answer_get_text(f, "says"));
        }
        if (n > most)
            text_print(out, "- and %zu more; --json has them\n", n - most);
    }
}

void show_piece_inbreeding(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double mean = answer_get_real(a, "mean_f"), max = answer_get_real(a, "max_f");

    if (isfinite(mean))
        say(out, how,
            "%.0f animals, %.0f of them founders; %.0f are inbred. Mean inbreeding %.2f %%, the highest %.2f %% (%s).",
            answer_get_real(a, "animals"), answer_get_real(a, "founders"), answer_get_real(a, "inbred"), mean * 100.0,
            max * 100.0, answer_get_text(a, "max_id"));
    if (answer_get_real(a, "without_f") > 0.0)
        say(out, how, "%.0f are in a loop and have no figure.", answer_get_real(a, "without_f"));
    say(out, how, "The pedigree goes back %.1f full generations on average. Little known means little found.",
        answer_get_real(a, "mean_equivalent_generations"));
    if (answer_at(a, "group")) {
        text_add(out, "\n");
        say_figure(out, how, a, "group", "animals in the group", 0, "");
        say_figure(out, how, a, "group_mean_f", "their mean inbreeding", 4, "");
        say_figure(out, how, a, "mean_kinship", "mean kinship", 4, "");
        say_figure(out, how, a, "fe", "effective founders", 1, "");
        say_figure(out, how, a, "fa", "effective ancestors", 1, "");
        say_figure(out, how, a, "fg", "founder genomes left", 1, "");
        say_figure(out, how, a, "ne", "effective size", 1, "");
    }
    say_findings(out, how, a);
    say_tail(out, how, a);
}

void show_piece_kinship(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *pairs = answer_at(a, "through");

    for (const struct answer *p = pairs ? pairs->first : NULL; p; p = p->next) {
        const struct answer *list = answer_at(p, "ancestors");
        size_t n = 0;
        say(out, how, "%s and %s: a litter of the two would be inbred by %.2f %%.", answer_get_text(p, "of"),
            answer_get_text(p, "with"), answer_get_real(p, "kinship") * 100.0);
        for (const struct answer *x = list ? list->first : NULL; x; x = x->next, n++)
            if (n < 8)
                text_print(out, "  %6.2f %% through %s\n", answer_get_real(x, "part") * 100.0,
                           answer_get_text(x, "id"));
        if (n > 8)
            text_print(out, "  and %zu more; --json has them\n", n - 8);
    }
    say_findings(out, how, a);
    say_tail(out, how, a);
}
