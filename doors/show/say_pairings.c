/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Texts of kinship, pairings and founders. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/when.h"
#include "doors/show/own.h"
#include "doors/show/say_kin.h"
#include "doors/show/say_piece.h"

/* ---- kinship ---- */

void show_kinship(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *pairs = answer_at(a, "pairs");
    const char *unavoidable = answer_get_text(a, "unavoidable");

    say_heading(out, how, "INBREEDING OF EACH LITTER");
    show_fold(out, how, "  ", 2, answer_get_text(a, "says"));
    if (unavoidable)
        show_fold(out, how, "  ", 2, unavoidable);
    text_add(out, "\n");
    say_kin_table(a, how, out);
    if (pairs && pairs->first) {
        text_add(out, "\n");
        show_fold(out, how, "  ", 2, "x too close: as half-sibs or nearer, and there is better for her.");
        say_section(out, how, "EACH PAIR");
    }
    for (const struct answer *p = pairs ? pairs->first : NULL; p; p = p->next) {
        const struct answer *through = answer_at(p, "through");
        struct text line;
        char percent[32];
        int told = 0;
        text_open_part(&line, out);
        text_print(&line, "%s with %s, %s", answer_get_text(p, "sow"), answer_get_text(p, "boar"),
                   answer_get_text(p, "says"));
        for (const struct answer *t = through ? through->first : NULL; t && told < 3; t = t->next, told++)
            text_print(&line, "%s%s %s (%s)", told ? ", " : ". Through ", answer_get_text(t, "name"),
                       say_percent(answer_get_real(t, "part"), percent), answer_get_text(t, "says"));
        text_add(&line, through && answer_count(through) > 3 ? " and others." : ".");
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
    say_kin_tail(a, how, out);
}

/* ---- pairings ---- */

static void boars(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "boars");

    for (const struct answer *b = list ? list->first : NULL; b; b = b->next) {
        char line[256];
        (void)snprintf(line, sizeof line, "%.80s: %.80s; %zu in this plan.", answer_get_text(b, "name"),
                       answer_get_text(b, "most_says"), answer_count(answer_at(b, "sows")));
        show_fold(out, how, "  ", 4, line);
    }
}

static void plan(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *p = say_rows(out, how, a, "plan", "WHY"); p; p = p->next) {
        const struct answer *free_on = answer_at(p, "free_on");
        const char *decided = answer_get_text(p, "decided");
        struct text line;
        text_open_part(&line, out);
        text_print(&line, "%s to %s", answer_get_text(p, "sow"),
                   answer_get_text(p, "boar") ? answer_get_text(p, "boar") : "nobody");
        if (strcmp(decided, "reckoned") != 0)
            text_print(&line, " (%s)", decided);
        text_print(&line, ", %s", answer_get_text(p, "why"));
        if (free_on && free_on->kind == ANSWER_DAY) {
            const struct civil c = civil_from_days(free_on->is.whole);
            text_print(&line, "; free about %d %s", c.day, when_month[c.month]);
        }
        text_add(&line, ".");
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
    say_texts(out, how, answer_at(a, "why"), "  - ");
}

static void says_of(const struct answer *list, const struct show_how *how, struct text *out)
{
    for (const struct answer *w = list ? list->first : NULL; w; w = w->next)
        show_fold(out, how, "  - ", 4, answer_get_text(w, "says"));
}

static void contributions(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "contributions");
    const char *crop = answer_get_text(a, "crop.says");

    if (!crop || !*crop)
        return;
    say_section(out, how, "THE NEXT CROP");
    show_fold(out, how, "  ", 2, crop);
    for (const struct answer *c = list ? list->first : NULL; c; c = c->next) {
        char line[256];
        (void)snprintf(line, sizeof line, "%.80s: %.0f in 100 of the litters; to keep most genes %.1f sows.",
                       answer_get_text(c, "boar"), 100.0 * answer_get_real(c, "share"),
                       answer_get_real(c, "best_sows"));
        show_fold(out, how, "  - ", 4, line);
    }
}

static void circle(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *o = answer_at(a, "circle"), *list = answer_at(o, "sows");
    char line[256], percent[32];

    if (!o || o->kind != ANSWER_OBJECT)
        return;
    say_section(out, how, "IN A CIRCLE");
    show_fold(out, how, "  ", 2, answer_get_text(o, "says"));
    for (const struct answer *s = list ? list->first : NULL; s; s = s->next) {
        (void)snprintf(line, sizeof line, "%.80s (%s%.80s) to %.80s, %s", answer_get_text(s, "sow"),
                       answer_get_text(s, "line") ? "line of " : "no line",
                       answer_get_text(s, "line") ? answer_get_text(s, "line") : "",
                       answer_get_text(s, "boar") ? answer_get_text(s, "boar") : "nobody",
                       say_percent(answer_get_real(s, "f"), percent));
        if (answer_get_real(s, "f") >= 0.125) /* as half-sibs or nearer: the rule knows nothing of it */
            (void)snprintf(line + strlen(line), sizeof line - strlen(line), ": too close, take another boar for her");
        show_fold(out, how, "  - ", 4, line);
    }
}

static void left_out(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *s = say_rows(out, how, a, "not_served", "NOT IN THIS PLAN"); s; s = s->next) {
        char line[256];
        (void)snprintf(line, sizeof line, "%.80s: %.120s.", answer_get_text(s, "name"), answer_get_text(s, "why"));
        show_fold(out, how, "  - ", 4, line);
    }
}

void show_pairings(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *lame = answer_at(a, "if_lame");
    const char *infeasible = answer_get_text(a, "infeasible"), *outside = answer_get_text(a, "outside.says"),
               *mean = answer_get_text(a, "mean_says");

    say_heading(out, how, "WHICH BOAR TO WHICH SOW");
    if (infeasible)
        show_fold(out, how, "  ! ", 4, infeasible);
    show_fold(out, how, "  ", 2, answer_get_text(a, "says"));
    if (mean && *mean)
        show_fold(out, how, "  ", 2, mean);
    text_add(out, "\n");
    say_kin_table(a, how, out);
    if (answer_count(answer_at(a, "pairs")) > 0)
        show_fold(out, how, "  ", 2, "[ ] chosen; x too close; - cannot be.");
    text_add(out, "\n");
    boars(a, how, out);
    plan(a, how, out);
    if (lame && lame->first) {
        say_section(out, how, "IF A BOAR FAILS");
        says_of(lame, how, out);
    }
    contributions(a, how, out);
    circle(a, how, out);
    if (outside) {
        say_section(out, how, "ONE BOAR FROM OUTSIDE");
        show_fold(out, how, "  ", 2, outside);
    }
    left_out(a, how, out);
    say_kin_tail(a, how, out);
}

/* ---- founders ---- */

static void founder_lines(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "founders");

    for (const struct answer *f = list ? list->first : NULL; f; f = f->next) {
        const double survives = answer_get_real(f, "survives");
        struct text line;
        text_open_part(&line, out);
        text_print(&line, "%s: %s", answer_get_text(f, "name"), answer_get_text(f, "says"));
        if (!say_flag_at(f, "lost") && isfinite(survives))
            text_print(&line, "; genes still here %d in 100", in_100(survives));
        text_add(&line, ".");
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
}

static void keep(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *k = say_rows(out, how, a, "keep", "KEEP THESE LINES, THE FIRST MOST"); k; k = k->next) {
        struct text line;
        text_open_part(&line, out);
        text_print(&line, "%.0f. %s: %s.", answer_get_real(k, "rank"), answer_get_text(k, "name"),
                   answer_get_text(k, "says"));
        show_fold(out, how, "  ", 5, text_get(&line));
        text_close(&line);
    }
}

void show_founders(const struct answer *a, const struct show_how *how, struct text *out)
{
    static const struct {
        const char *key, *words;
        int digits;
        double times;
    } figure[] = {
        { "fe", "effective founders", 2, 1.0 },          { "fa", "effective ancestors", 2, 1.0 },
        { "fg", "founder genomes left", 2, 1.0 },        { "mean_f", "mean inbreeding, %", 1, 100.0 },
        { "mean_kinship", "mean kinship, %", 1, 100.0 }, { "ne", "effective size", 1, 1.0 },
        { "ne_numbers", "by numbers, at most", 1, 1.0 },
    };

    say_heading(out, how, "WHAT THE FOUNDERS STILL GIVE");
    show_fold(out, how, "  ", 2, answer_get_text(a, "says"));
    text_add(out, "\n");
    founder_lines(a, how, out);
    say_section(out, how, "IN FIGURES");
    for (size_t i = 0; i < COUNT(figure); i++) {
        const double x = answer_get_real(a, figure[i].key);
        if (isfinite(x))
            text_print(out, "  %-22s %8.*f\n", figure[i].words, figure[i].digits, figure[i].times * x);
        else
            text_print(out, "  %-22s %8s\n", figure[i].words, "-");
    }
    show_fold(out, how, "  ", 2, answer_get_text(a, "ne_says"));
    keep(a, how, out);
    say_kin_tail(a, how, out);
}
