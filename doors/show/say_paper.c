/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Text of paper: one animal on a sheet for a buyer, with lines to sign on. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "doors/show/own.h"
#include "doors/show/say_kin.h"
#include "doors/show/say_piece.h"

static void counted(const struct answer *a, const char *what, const char *key, const char *good, const char *less,
                    const char *bad, struct text *line)
{
    const double n = answer_get_real(a, key), m = answer_get_real(a, less);

    if (!isfinite(n)) {
        text_print(line, " %s: not recorded.", what);
        return;
    }
    text_print(line, " %s: %.0f %s", what, n, good);
    if (isfinite(m))
        text_print(line, ", %.0f %s", m, bad);
    text_add(line, ".");
}

static void own_litters(const struct answer *a, struct text *line)
{
    const double n = answer_get_real(a, "litters"), mean = answer_get_real(a, "mean_litter");

    if (strcmp(answer_get_text(a, "is"), "sow") != 0 || !isfinite(n))
        return;
    text_print(line, " Own litters: %.0f", n);
    if (n > 0.0 && isfinite(mean))
        text_print(line, ", %.1f born alive on average", mean);
    text_add(line, ".");
}

static void who(const struct answer *a, const struct show_how *how, struct text *out)
{
    const char *tag = answer_get_text(a, "tag"), *parts = answer_get_text(a, "breeds_say"),
               *gone = answer_get_text(a, "gone"), *notches = answer_get_text(a, "notches");
    const char *breed = parts && strcmp(parts, "unknown") != 0 ? parts : answer_get_text(a, "breed");
    struct text line;
    char day[32];

    text_open_part(&line, out);
    text_print(&line, "%s, tag or notch %s; %s, %s; born %s; breed %s%s%s.", answer_get_text(a, "name"),
               tag ? tag : "not recorded", answer_get_text(a, "is"),
               strcmp(answer_get_text(a, "sex"), "m") == 0 ? "male" : "female",
               say_day_year(a, "born", day) ? day : "not recorded", breed ? breed : "not recorded", gone ? "; " : "",
               gone ? gone : "");
    counted(a, "Litter at birth", "born_alive", "born alive", "born_dead", "dead", &line);
    counted(a, "Teats", "teats", "good", "blind_teats", "blind", &line);
    own_litters(a, &line);
    if (notches)
        text_print(&line, " Ear notches: %s.", notches);
    show_fold(out, how, "  ", 2, text_get(&line));
    text_close(&line);
}

/* Sire above dam, each a step to the right of its young. Four generations: the tree is no deeper than five. */
static void branch(const struct answer *members, double index, const struct show_how *how, struct text *out)
{
    for (const struct answer *m = members ? members->first : NULL; m; m = m->next) {
        if (answer_get_real(m, "index") != index)
            continue;
        const int far = (int)answer_get_real(m, "generation");
        struct text line;
        char lead[32], day[32];
        (void)snprintf(lead, sizeof lead, "%*s", 3 * far + 2, "");
        text_open_part(&line, out);
        text_print(&line, "%s %s", !far ? "" : fmod(index, 2.0) == 0.0 ? "sire" : "dam", answer_get_text(m, "name"));
        if (say_day_year(m, "born", day))
            text_print(&line, ", born %s", day);
        if (answer_get_text(m, "breed"))
            text_print(&line, ", %s", answer_get_text(m, "breed"));
        if (answer_at(m, "common") && answer_at(m, "common")->is.flag)
            text_add(&line, " (on both sides)");
        if (far)
            show_fold(out, how, lead, 3 * far + 4, text_get(&line));
        text_close(&line);
        branch(members, 2.0 * index, how, out);
        branch(members, 2.0 * index + 1.0, how, out);
        return;
    }
}

static void written(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *w = say_rows(out, how, a, "written", "WRITTEN DOWN"); w; w = w->next) {
        const char *by = answer_get_text(w, "who");
        struct text line;
        char day[32];
        text_open_part(&line, out);
        text_print(&line, "%s: %s, by %s", answer_get_text(w, "what"), say_day_year(w, "recorded", day),
                   by ? by : "nobody named");
        show_fold(out, how, "  - ", 4, text_get(&line));
        text_close(&line);
    }
}

void show_paper(const struct answer *a, const struct show_how *how, struct text *out)
{
    static const char *const sign[] = { "Breeder", "Address, herd number", "Signature", "Date",
                                        "Buyer",   "Date handed over" };
    const struct answer *members = answer_at(a, "family.members");
    char day[32];
    struct text line;

    text_open_part(&line, out);
    say_heading(out, how, "PAPER FOR A BUYER");
    text_print(out, "  As recorded on %s.\n", say_day_year(a, "on", day));
    show_fold(out, how, "  ", 2, answer_get_text(a, "says"));
    text_add(out, "\n");
    who(a, how, out);
    say_section(out, how, "ANCESTORS");
    if (members && members->first && members->first->next)
        branch(members, 1.0, how, out);
    else
        text_add(out, "  No parent is recorded.\n");
    say_section(out, how, "INBREEDING");
    text_print(&line, "Inbreeding %s. %s", answer_get_text(a, "family.f_says"), answer_get_text(a, "family.says"));
    show_fold(out, how, "  ", 2, text_get(&line));
    text_close(&line);
    written(a, how, out);
    say_titled_texts(out, how, a, "odd", "TO LOOK AT IN THE RECORDS", "  - ");
    if (say_day_year(a, "withdrawal_until", day))
        text_print(out, "\n  ! Not for meat before %s, as it was recorded.\n", day);
    say_titled_texts(out, how, a, "cautions", "CAUTION", "  ! ");
    say_section(out, how, "SIGNED");
    show_fold(out, how, "  ", 2, "I state that this is what is recorded here, to the best of my knowledge.");
    for (size_t i = 0; i < COUNT(sign); i++)
        text_print(out, "  %-21s %.*s\n", sign[i], how->width < 54 ? how->width > 32 ? how->width - 24 : 8 : 30,
                   "______________________________");
}
