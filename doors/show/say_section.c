/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/show/say_section.h"

void say_heading(struct text *out, const struct show_how *how, const char *title)
{
    text_print(out, "%s%s%s\n", how->colour ? "\033[1m" : "", title, how->colour ? "\033[0m" : "");
}

void say_section(struct text *out, const struct show_how *how, const char *title)
{
    text_add(out, "\n");
    say_heading(out, how, title);
}

const struct answer *say_rows(struct text *out, const struct show_how *how, const struct answer *a, const char *path,
                              const char *title)
{
    const struct answer *list = answer_at(a, path);

    if (!list || !list->first)
        return NULL;
    say_section(out, how, title);
    return list->first;
}

void say_texts(struct text *out, const struct show_how *how, const struct answer *list, const char *lead)
{
    for (const struct answer *w = list ? list->first : NULL; w; w = w->next)
        if (w->kind == ANSWER_TEXT)
            show_fold(out, how, lead, 4, w->is.text);
}

void say_titled_texts(struct text *out, const struct show_how *how, const struct answer *a, const char *path,
                      const char *title, const char *lead)
{
    if (say_rows(out, how, a, path, title))
        say_texts(out, how, answer_at(a, path), lead);
}
