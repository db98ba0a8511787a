/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/window.h"

#include "core/base/attr.h"

void window_answer(const struct breeding_posterior *post, struct answer *parent)
{
    static const struct {
        const char *key;
        double q;
    } quantile[] = { { "from", 0.05 }, { "likeliest", 0.5 }, { "to", 0.95 } };
    struct answer *w = answer_object(parent, "window");

    for (size_t i = 0; i < COUNT(quantile); i++)
        answer_moment_or(w, quantile[i].key,
                         post->known ? breeding_quantile(&post->density, quantile[i].q) : BREEDING_NONE,
                         "nothing recorded gives a day");
}
