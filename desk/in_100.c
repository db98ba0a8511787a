/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/in_100.h"

#include <math.h>
#include <stdio.h>

int in_100(double p)
{
    return isfinite(p) ? (int)lround(fmin(1.0, fmax(0.0, p)) * 100.0) : 0;
}

const char *in_100_figure(double p, char out[static 16])
{
    if (!(p >= 0.01) || p > 0.99)
        (void)snprintf(out, 16, "%s", p > 0.99 ? "over 99" : "under 1");
    else
        (void)snprintf(out, 16, "%d", in_100(p));
    return out;
}

const char *in_100_words(double p, struct arena *mem)
{
    char figure[16];
    return arena_print(mem, "%s in 100", in_100_figure(p, figure));
}
