/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * round and calendar as text: a list to tick off, on a screen or on paper. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "doors/show/say_piece.h"

static void day_head(int64_t day, struct text *out)
{
    const struct civil c = civil_from_days(day);
    text_print(out, "%s %d %s %d", when_weekday[civil_weekday(day)], c.day, when_month[c.month], c.year);
}

/* The key on a line of its own: it is typed from there, so it is not folded. */
static void key_line(const char *key, const struct show_how *how, struct text *out)
{
    const int n = (int)strlen(key), room = how->width - n;
    text_print(out, "%*s%s\n", room < 0 ? 0 : room < 13 ? room : 13, "", key);
}

enum which { WITH_VET, WITHOUT_VET };

/* What wants the vet comes first: it has no hour, but his day has. */
static void lines(const struct answer *list, enum which which, int64_t day, const struct show_how *how,
                  struct text *out)
{
    for (const struct answer *p = list ? list->first : NULL; p; p = p->next) {
        const int64_t by = say_moment_at(p, "by");
        const struct answer *tick = answer_at(p, "ticked");
        char clock[32] = "     ", lead[48];
        struct text line;

        const char *kind = answer_get_text(p, "kind");
        if ((tick && tick->is.flag) || (kind && strcmp(kind, "vet") == 0) != (which == WITH_VET))
            continue;
        if (by != INT64_MIN) {
            const struct civil c = when_local(how->zone, by);
            const int64_t on = civil_days(c.year, c.month, c.day);
            (void)snprintf(clock, sizeof clock, "%s%s%02d:%02d", on == day ? "" : when_weekday[civil_weekday(on)],
                           on == day ? "" : " ", c.hour, c.minute);
        }
        (void)snprintf(lead, sizeof lead, "  [ ] %s  ", clock);
        text_open_part(&line, out);
        if (answer_get_text(p, "place"))
            text_print(&line, "%s: ", answer_get_text(p, "place"));
        text_print(&line, "%s", answer_get_text(p, "what"));
        const struct answer *late = answer_at(p, "late");
        if (late && late->is.flag) {
            const struct civil c = civil_from_days((int64_t)answer_get_real(p, "day"));
            text_print(&line, " (Due %d %s.)", c.day, when_month[c.month]);
        }
        if (answer_get_text(p, "why")) /* a night's job goes on in the same sentence */
            text_print(&line, answer_get_text(p, "place") ? ", %s." : " %s", answer_get_text(p, "why"));
        show_fold(out, how, lead, 13, text_get(&line));
        text_close(&line);
        if (answer_get_text(p, "short_key"))
            key_line(answer_get_text(p, "short_key"), how, out);
    }
}

/* What is ticked is told in short: what was looked at several times stands once. */
static void done(const struct answer *list, const struct show_how *how, struct text *out)
{
    struct text line;
    bool any = false;

    text_open_part(&line, out);
    for (const struct answer *p = list ? list->first : NULL; p; p = p->next) {
        const struct answer *tick = answer_at(p, "ticked");
        const char *what = answer_get_text(p, "what");
        bool before = false;
        size_t n = strcspn(what, ".");
        if (!tick || !tick->is.flag)
            continue;
        for (const struct answer *q = list->first; q != p && !before; q = q->next)
            before = answer_at(q, "ticked") && answer_at(q, "ticked")->is.flag &&
                     strcmp(answer_get_text(q, "what"), what) == 0;
        if (before)
            continue;
        if (strstr(what, " and write down") && (size_t)(strstr(what, " and write down") - what) < n)
            n = (size_t)(strstr(what, " and write down") - what);
        text_print(&line, "%s%.*s", any ? "; " : "", (int)n, what);
        any = true;
    }
    if (any) {
        text_add(&line, ".");
        show_fold(out, how, "\n  Done today: ", 14, text_get(&line));
    }
    text_close(&line);
}

void show_round(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *record = answer_at(a, "record"), *cautions = answer_at(a, "cautions"),
                        *night = answer_at(a, "night_jobs");
    const int64_t day = (int64_t)answer_get_real(a, "day");

    text_add(out, "ROUND  ");
    day_head(day, out);
    text_print(out, ", %.0f open\n\n", answer_get_real(a, "open"));
    lines(answer_at(a, "to_do"), WITH_VET, day, how, out);
    lines(answer_at(a, "to_do"), WITHOUT_VET, day, how, out);
    if (night && night->first) {
        show_fold(out, how, "\n  ", 4, "For the coming nights (leenest tonight tells why)");
        lines(night, WITHOUT_VET, day, how, out);
    }
    done(answer_at(a, "to_do"), how, out);
    if (answer_get_text(a, "no_weather"))
        show_fold(out, how, "\n  ! ", 4, answer_get_text(a, "no_weather"));
    for (const struct answer *r = record ? record->first : NULL; r; r = r->next)
        show_fold(out, how, r == record->first ? "\n  Surer with: " : "              ", 14, r->is.text);
    show_fold(out, how, "\n  ", 4, "Tick off with: leenest record tick --prompt KEY");
    for (const struct answer *c = cautions ? cautions->first : NULL; c; c = c->next)
        show_fold(out, how, "  ! ", 4, c->is.text);
}

void show_calendar(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *list = answer_at(a, "events");

    text_print(out, "CALENDAR%s%s\n\n", answer_get_text(a, "farm") ? "  " : "",
               answer_get_text(a, "farm") ? answer_get_text(a, "farm") : "");
    for (const struct answer *e = list ? list->first : NULL; e; e = e->next) {
        const int64_t from = (int64_t)answer_get_real(e, "from"), to = (int64_t)answer_get_real(e, "to");
        struct text line;
        text_open_part(&line, out);
        day_head(from, &line);
        if (to != from) {
            text_add(&line, " to ");
            day_head(to, &line);
        }
        text_print(&line, ": %s", answer_get_text(e, "title"));
        if (answer_get_text(e, "says"))
            text_print(&line, "%s %s", line.bytes && line.bytes[line.length - 1] == '.' ? "" : ".",
                       answer_get_text(e, "says"));
        show_fold(out, how, "  ", 6, text_get(&line));
        text_close(&line);
    }
    if (!list || !list->first)
        text_add(out, "  Nothing falls due.\n");
}
