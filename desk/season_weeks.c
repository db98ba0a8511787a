/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What every Monday of the coming year would bring, and the best of them. */
#include <math.h>

#include "core/base/civil.h"
#include "desk/season_inside.h"

enum { WEEKS = 52, CURVE_WINTERS = 1000 };

/* A week whose cold is not known is not set beside those whose cold is, as long as there are such. */
static bool better(const struct season_try *t, double worth, bool known)
{
    const bool this_known = !isnan(t->exact.danger);

    return this_known != known ? this_known : t->winters.worth.mean > worth;
}

enum status season_weeks(struct season *s, int64_t stay, struct answer *list, int64_t *best_in, struct message *why)
{
    const int64_t first = s->today + 7 - (int64_t)civil_weekday(s->today); /* the next Monday */
    enum status st = ST_OK;
    double best = -INFINITY;
    bool known = false;

    for (int64_t w = 0; w < WEEKS && st == ST_OK; w++) {
        struct season_try t;
        struct arena mem;
        arena_open(&mem, (size_t)64 << 20);
        st = season_reckon(s, first + 7 * w, first + 7 * w + stay, CURVE_WINTERS, &mem, &t, why);
        if (st == ST_OK) {
            season_say_try(s, &t, answer_item(list));
            if (better(&t, best, known)) {
                best = t.winters.worth.mean;
                known = !isnan(t.exact.danger);
                *best_in = t.boar_in;
            }
        }
        arena_close(&mem);
    }
    return st;
}
