/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/show/own.h"

#include <string.h>

const struct show_own show_own[] = {
    { "tonight", show_tonight },
    { "due", show_due },
    { "shelters", show_shelters },
    { "weather", show_weather },
    { NULL, NULL },
};

void show_text(const char *question, const struct answer *a, const struct show_how *how, struct text *out)
{
    for (size_t i = 0; show_own[i].question; i++)
        if (strcmp(show_own[i].question, question) == 0) {
            show_own[i].show(a, how, out);
            return;
        }
    show_tree(a, how, out);
}
