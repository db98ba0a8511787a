/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/in_100.h"

#include <math.h>

int in_100(double p)
{
    return isfinite(p) ? (int)lround(fmin(1.0, fmax(0.0, p)) * 100.0) : 0;
}

const char *in_100_words(double p, struct arena *mem)
{
    return !(p >= 0.005) ? "under 1 in 100" : p > 0.995 ? "over 99 in 100" : arena_print(mem, "%d in 100", in_100(p));
}
