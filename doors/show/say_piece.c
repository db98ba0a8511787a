/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/show/say_piece.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/when.h"

void say(struct text *out, const struct show_how *how, const char *fmt, ...)
{
    char line[1024];
    va_list args;

    va_start(args, fmt);
    const int n = vsnprintf(line, sizeof line, fmt, args);
    va_end(args);
    if (n > 0)
        show_fold(out, how, "", 0, line);
}

static int width_of(const char *s)
{
    int n = 0;
    for (; *s; s++)
        n += ((unsigned char)*s & 0xC0) != 0x80;
    return n;
}

void say_figure(struct text *out, const struct show_how *how, const struct answer *a, const char *key,
                const char *words, int digits, const char *unit)
{
    const double value = answer_get_real(a, key);
    char lead[96], figure[96], because[64];

    const int room = how->width < 60 ? 30 : 34, pad = room - width_of(words);
    (void)snprintf(lead, sizeof lead, "  %s%*s ", words, pad > 0 ? pad : 0, "");
    (void)snprintf(because, sizeof because, "%s_because", key);
    if (isfinite(value)) {
        const double shown = fabs(value) < 0.5 * pow(10.0, -digits) ? 0.0 : value;
        (void)snprintf(figure, sizeof figure, "%.*f%s%s", digits, shown, *unit ? " " : "", unit);
        show_fold(out, how, lead, room + 3, figure);
        return;
    }
    const char *why = answer_get_text(a, because);
    (void)snprintf(figure, sizeof figure, "-%s%.80s%s", why ? " (" : "", why ? why : "", why ? ")" : "");
    show_fold(out, how, lead, room + 3, figure);
}

void say_list(struct text *out, const struct show_how *how, const struct answer *list, const char *heading, size_t most)
{
    size_t n = 0;

    if (!list || !list->first)
        return;
    text_print(out, "\n%s\n", heading);
    for (const struct answer *w = list->first; w; w = w->next, n++)
        if (n < most && w->kind == ANSWER_TEXT)
            show_fold(out, how, "- ", 2, w->is.text);
    if (n > most)
        text_print(out, "- and %zu more; --json has them\n", n - most);
}

void say_tail(struct text *out, const struct show_how *how, const struct answer *a)
{
    say_list(out, how, answer_at(a, "notes"), "To know", 12);
    say_list(out, how, answer_at(a, "assumed"), "Not given, so taken", 40);
    say_list(out, how, answer_at(a, "cautions"), "Beware", 40);
}

int64_t say_moment_at(const struct answer *a, const char *path)
{
    const struct answer *m = answer_at(a, path);
    return m && m->kind == ANSWER_MOMENT ? m->is.whole : INT64_MIN;
}

const char *say_day_year(const struct answer *a, const char *key, char out[static 32])
{
    const struct answer *x = answer_at(a, key);

    if (!x || x->kind != ANSWER_DAY)
        return NULL;
    const struct civil c = civil_from_days(x->is.whole);
    (void)snprintf(out, 32, "%d %s %d", c.day, when_month[c.month], c.year);
    return out;
}

bool say_flag_at(const struct answer *a, const char *path)
{
    const struct answer *f = answer_at(a, path);
    return f && f->kind == ANSWER_FLAG && f->is.flag;
}
