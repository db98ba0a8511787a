/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * When a sow has no litter with her any more: weaned, or the last of it lost. Piglets moved from sow to sow are not
 * written down: what she was given is not known here. */
#include "desk/herd_inside.h"

int64_t herd_all_lost(const struct rows *loss, const char *sow_uid, int64_t start_utc_s, int64_t next_utc_s,
                      int born_alive)
{
    int64_t left = born_alive;

    if (born_alive < 0)
        return BREEDING_NONE;
    if (born_alive == 0)
        return start_utc_s;
    for (size_t i = 0; i < loss->n; i++) {
        const struct fact *f = &loss->fact[i];
        const int64_t at = row_when(f, "at");
        if (!row_is(f, "sow", sow_uid) || at < start_utc_s || at >= next_utc_s)
            continue;
        left -= fact_whole(loss->kind, f->value, "many", 0);
        if (left <= 0)
            return at;
    }
    return BREEDING_NONE;
}

bool herd_none_weaned(const struct fact *weaning)
{
    return row_flag(weaning, "all_lost") || fact_whole(weaning->kind, weaning->value, "weaned", -1) == 0;
}

void herd_dry(struct fold *fo, struct herd_sow *s)
{
    const struct fact *weaned = NULL; /* newest */

    for (size_t i = 0; i < fo->loss.n; i++)
        if (row_is(&fo->loss.fact[i], "sow", s->uid) && row_when(&fo->loss.fact[i], "at") >= s->farrowed_utc_s)
            s->lost += (int)fact_whole(fo->loss.kind, fo->loss.fact[i].value, "many", 0);
    for (size_t i = 0; i < fo->weaning.n; i++) /* in order of time */
        if (row_is(&fo->weaning.fact[i], "sow", s->uid))
            weaned = &fo->weaning.fact[i];
    if (weaned)
        s->weaned_utc_s = row_when(weaned, "at");
    if (s->farrowed_utc_s == BREEDING_NONE || s->farrowing) /* more may be born */
        return;
    const bool of_this = weaned && s->weaned_utc_s >= s->farrowed_utc_s;
    const int64_t last = herd_all_lost(&fo->loss, s->uid, s->farrowed_utc_s, INT64_MAX, s->born_alive);
    if (of_this && !herd_none_weaned(weaned))
        return;
    s->lost_all = of_this || last != BREEDING_NONE;
    if (last != BREEDING_NONE && !(of_this && s->weaned_utc_s < last))
        s->weaned_utc_s = last;
}
