/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "doors/show/own.h"
#include "doors/show/say_kin.h"
#include "doors/show/say_piece.h"

/* ---- one animal ---- */

static void who(const struct answer *r, struct text *line)
{
    const char *tag = answer_get_text(r, "tag"), *gone = answer_get_text(r, "gone"),
               *place = answer_get_text(r, "place"), *group = answer_get_text(r, "group"),
               *lies = answer_get_text(r, "lies");

    text_print(line, "%s", answer_get_text(r, "name"));
    if (tag)
        text_print(line, " (%s)", tag);
    text_print(line, ", %s", answer_get_text(r, "is"));
    if (gone)
        text_print(line, ", %s", gone);
    if (place)
        text_print(line, "; %s", place);
    if (group)
        text_print(line, "%s%s", place ? ", " : "; ", group);
    if (lies)
        text_print(line, ", %s", lies);
    text_add(line, ".");
}

static void next(const struct answer *r, struct text *line)
{
    const char *state = answer_get_text(r, "state"), *says = answer_get_text(r, "next");
    char day[32];

    if (!state)
        return;
    text_print(line, " %c%s", state[0] - (state[0] >= 'a' && state[0] <= 'z' ? 32 : 0), state + 1);
    if (says)
        text_print(line, ": %s", says);
    if (say_day_year(r, "next_on", day))
        text_print(line, ", about %s", day);
    text_add(line, ".");
}

static void blood(const struct answer *r, double here, const struct show_how *how, struct text *out)
{
    struct text line;
    const char *breeds = answer_get_text(r, "breeds_say");
    const double mk = answer_get_real(r, "mean_kinship");
    char percent[32];

    text_open_part(&line, out);
    text_print(&line, "Inbreeding %s.", answer_get_text(r, "f_says"));
    if (isfinite(answer_get_real(r, "rank")))
        text_print(&line, " Kin to the herd %s, place %.0f of %.0f.", say_percent(mk, percent),
                   answer_get_real(r, "rank"), here);
    const struct answer *list = answer_at(r, "breeds");
    const bool named = list && list->first && !list->first->next && answer_get_text(list->first, "society");
    if (breeds && strcmp(breeds, "unknown") != 0 && !named) /* of one breed alone: its society says its name */
        text_print(&line, " %s.", breeds);
    for (const struct answer *b = list ? list->first : NULL; b; b = b->next)
        if (answer_get_text(b, "society"))
            text_print(&line, " %s %s: %s.", answer_get_text(b, "breed"), answer_get_text(b, "code"),
                       answer_get_text(b, "society"));
    show_fold(out, how, "    ", 4, text_get(&line));
    text_close(&line);
}

static void animals(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "animals");
    const double here = answer_get_real(a, "here");

    for (const struct answer *r = list ? list->first : NULL; r; r = r->next) {
        struct text line;
        text_open_part(&line, out);
        who(r, &line);
        next(r, &line);
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
        blood(r, here, how, out);
    }
}

/* ---- the family ---- */

static const char *place_words(const char *position, char out[static 48])
{
    const size_t n = strlen(position);
    size_t used = 0;

    if (n == 0)
        return "";
    for (size_t i = 3; i <= n && used < 24; i++) {
        const int k = snprintf(out + used, 48 - used, "great-");
        used += k > 0 ? (size_t)k : 0;
    }
    (void)snprintf(out + used, 48 - used, "%s%s", n > 1 ? "grand" : "",
                   position[n - 1] == 'S' ? "sire"
                   : n > 1                ? "am"
                                          : "dam");
    return out;
}

static void family(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *f = answer_at(a, "family"), *members = answer_at(f, "members"),
                        *common = answer_at(f, "common");
    char words[48], percent[32], line[512];

    if (!f || f->kind != ANSWER_OBJECT)
        return;
    say_section(out, how, "FAMILY");
    (void)snprintf(line, sizeof line, "%.80s: inbreeding %.160s. %.160s", answer_get_text(f, "name"),
                   answer_get_text(f, "f_says"), answer_get_text(f, "says"));
    show_fold(out, how, "  ", 2, line);
    (void)snprintf(line, sizeof line,
                   "%.0f of %.0f places known, %.0f different animals in them; * an ancestor of sire and dam both.",
                   answer_get_real(f, "known"), answer_get_real(f, "places"), answer_get_real(f, "different"));
    show_fold(out, how, "  ", 2, line);
    for (const struct answer *m = members ? members->first : NULL; m; m = m->next) {
        const char *position = answer_get_text(m, "position");
        const int deep = (int)strlen(position);
        if (deep == 0)
            continue;
        char lead[48], day[32];
        (void)snprintf(lead, sizeof lead, "  %*s%-5s ", 2 * (deep - 1), "", position);
        (void)snprintf(line, sizeof line, "%.80s%s, %s%s%s%s", answer_get_text(m, "name"),
                       say_flag_at(m, "common") ? " *" : "", place_words(position, words),
                       say_day_year(m, "born", day) ? ", born " : "",
                       say_day_year(m, "born", day) ? say_day_year(m, "born", day) : "",
                       answer_get_real(m, "times") > 1.5 ? "; stands here more than once" : "");
        show_fold(out, how, lead, 2 + 2 * (deep - 1) + 6, line);
    }
    for (const struct answer *c = common ? common->first : NULL; c; c = c->next) {
        (void)snprintf(line, sizeof line, "Through %.80s: %s of it.", answer_get_text(c, "name"),
                       say_percent(answer_get_real(c, "part"), percent));
        show_fold(out, how, "  ", 2, line);
    }
}

void show_herd(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *places = answer_at(a, "places");
    const char *search = answer_get_text(a, "search");
    char line[256];

    say_heading(out, how, "HERD");
    show_fold(out, how, "  ", 2, answer_get_text(a, "says"));
    if (search) {
        (void)snprintf(line, sizeof line, "%.0f with \"%.80s\" in name, tag or breed.", answer_get_real(a, "listed"),
                       search);
        show_fold(out, how, "  ", 2, line);
    }
    for (const struct answer *p = places && !search ? places->first : NULL; p; p = p->next) {
        struct text names;
        const struct answer *list = answer_at(p, "names");
        text_open_part(&names, out);
        text_print(&names, "%s%s%s: ", answer_get_text(p, "place") ? answer_get_text(p, "place") : "No field recorded",
                   answer_get_text(p, "group") ? ", " : "",
                   answer_get_text(p, "group") ? answer_get_text(p, "group") : "");
        for (const struct answer *n = list ? list->first : NULL; n; n = n->next)
            text_print(&names, "%s%s", n->is.text, n->next ? ", " : ".");
        show_fold(out, how, "  ", 4, text_get(&names));
        text_close(&names);
    }
    text_add(out, "\n");
    animals(a, how, out);
    family(a, how, out);
    say_kin_tail(a, how, out);
}
