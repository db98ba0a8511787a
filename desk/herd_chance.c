/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From a sow's evidence to when she may farrow, and what is known of her in words. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/coming.h"
#include "desk/herd.h"
#include "desk/when.h"

/* Before a front all sows carry straw, and in a gale: a fall of more than 5 °C, or 17 m/s, within 24 h (judgement). */
static unsigned weather_flags(const struct coming *c, int64_t at_utc_s)
{
    unsigned flags = 0;
    double here = NAN, coldest = INFINITY;

    for (size_t i = 0; c && i < c->n_before + c->n_hours; i++) {
        const struct hour *h = &c->line[i];
        const int64_t after = h->utc_s - at_utc_s;
        if (after > -HOUR_S && after <= 0) {
            here = h->temp_c;
            flags |= h->temp_c > 25.0 ? (unsigned)BL_HOT : 0u;
        }
        if (after >= 0 && after <= DAY_S) {
            coldest = fmin(coldest, h->temp_c);
            flags |= h->wind_mps >= 17.0 || h->gust_mps >= 25.0 ? (unsigned)BL_GALE : 0u;
        }
    }
    return flags | (here - coldest > 5.0 ? (unsigned)BL_FRONT : 0u);
}

enum status herd_chance(const struct herd *herd, size_t sow, enum breeding_from how, const struct coming *coming,
                        struct arena *mem, struct breeding_prior *prior, struct breeding_posterior *post,
                        struct message *why)
{
    struct breeding_rules rules = breeding_rules_default();
    struct breeding_evidence e = herd->sows[sow].evidence;
    struct breeding_look *looks = ARENA_NEW(mem, struct breeding_look, e.n_looks + 1);

    if (!looks)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < e.n_looks; i++) {
        looks[i] = e.looks[i];
        looks[i].flags |= weather_flags(coming, looks[i].at_utc_s);
    }
    e.looks = looks;
    rules.utc_offset_s = zone_standard_offset_s(herd->zone, herd->at_utc_s);
    rules.southern = herd->place.lat_deg < 0.0;
    const enum status st = breeding_prior(&rules, &e, mem, prior, why);
    return st == ST_OK ? breeding_posterior(&rules, &e, prior, herd->at_utc_s, how, mem, post, why) : st;
}

enum breeding_watch herd_watch(const struct breeding_posterior *post, bool frost)
{
    return breeding_watch_for(post, frost && breeding_within(post, 72.0) >= 0.02);
}

/* ---- in words ---- */

static const char *day_words(const struct herd *h, int64_t utc_s, struct arena *mem)
{
    const struct civil c = when_local(h->zone, utc_s);
    return arena_print(mem, "%d %s", c.day, when_month[c.month]);
}

static const char *join(const char *a, const char *b, struct arena *mem)
{
    return a ? arena_print(mem, "%s, %s", a, b) : b;
}

const char *herd_known_words(const struct herd *h, size_t sow, struct arena *mem)
{
    const struct herd_sow *s = &h->sows[sow];
    const struct breeding_evidence *e = &s->evidence;
    const char *text = NULL;

    for (size_t i = 0; i < e->n_services; i++) {
        const int b = e->services[i].boar;
        text = join(text,
                    arena_print(mem, "served %s%s%s", day_words(h, e->services[i].at_utc_s, mem), b >= 0 ? " by " : "",
                                b >= 0 ? h->boars[b].name : ""),
                    mem);
    }
    for (size_t i = 0; i < e->n_runs; i++) {
        const struct breeding_run *r = &e->runs[i];
        text = join(text,
                    arena_print(mem, "%s with her %s to %s", r->boar >= 0 ? h->boars[r->boar].name : "a boar",
                                day_words(h, r->from_utc_s, mem),
                                r->to_utc_s == BREEDING_NONE ? "now" : day_words(h, r->to_utc_s, mem)),
                    mem);
    }
    for (size_t i = 0; i < e->n_scans; i++)
        text = join(text,
                    arena_print(mem, "scanned %s %s", e->scans[i].positive ? "in pig" : "empty",
                                day_words(h, e->scans[i].at_utc_s, mem)),
                    mem);
    for (size_t i = 0; i < e->n_return_looks; i++)
        text = join(text,
                    arena_print(mem, "no heat seen %s to %s", day_words(h, e->return_looks[i].from_utc_s, mem),
                                day_words(h, e->return_looks[i].to_utc_s, mem)),
                    mem);
    return text ? text : "nothing recorded";
}
