/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The last steps of every reader: order, doubles, made-up gusts, counts.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "weather/gather.h"

struct place_in_order {
    int64_t utc_s, seen_utc_s;
    int source;
    size_t was;
};

static int compare(const void *a, const void *b)
{
    const struct place_in_order *p = a, *q = b;

    if (p->utc_s != q->utc_s)
        return p->utc_s < q->utc_s ? -1 : 1;
    if (p->source != q->source)
        return p->source < q->source ? -1 : 1;
    if (p->seen_utc_s != q->seen_utc_s)
        return p->seen_utc_s < q->seen_utc_s ? -1 : 1;
    return p->was < q->was ? -1 : p->was > q->was;
}

static struct place_in_order *ordered(const struct gather *g)
{
    struct place_in_order *order = ARENA_NEW(g->mem, struct place_in_order, g->n);

    for (size_t i = 0; order && i < g->n; i++)
        order[i] = (struct place_in_order){ .utc_s = g->hour[i].utc_s,
                                            .source = g->hour[i].source,
                                            .was = i,
                                            .seen_utc_s = g->seen_utc_s ? g->seen_utc_s[i] : g->hour[i].utc_s };
    if (order)
        qsort(order, g->n, sizeof *order, compare);
    return order;
}

/* Put the rows in order; of several for one hour and source the latest report stays. */
static bool sort_and_merge(struct gather *g)
{
    struct place_in_order *order = ordered(g);
    struct hour *hour = ARENA_NEW(g->mem, struct hour, g->n);
    unsigned char *step_h = g->step_h ? ARENA_NEW(g->mem, unsigned char, g->n) : NULL;
    const char **says = g->says ? ARENA_NEW(g->mem, const char *, g->n) : NULL;
    size_t n = 0;

    if (!order || !hour || arena_full(g->mem))
        return false;
    for (size_t i = 0; i < g->n; i++) {
        if (i + 1 < g->n && order[i + 1].utc_s == order[i].utc_s && order[i + 1].source == order[i].source) {
            g->out.doubles++;
            continue;
        }
        hour[n] = g->hour[order[i].was];
        if (step_h)
            step_h[n] = g->step_h[order[i].was];
        if (says)
            says[n] = g->says[order[i].was];
        n++;
    }
    g->hour = hour;
    g->step_h = step_h;
    g->says = says;
    g->n = n;
    return true;
}

/* Some tables make their gusts by multiplying the mean: then gust/speed is the same in every row. Six rows with speeds
 * at least 1 m/s apart are asked for before that is believed; tables round to tenths, so 0.13 m/s (0.05 for the gust
 * and 1.5 x 0.05 for the mean) is let pass. */
static bool gusts_made_up(const struct hour *hour, size_t n)
{
    double gs = 0.0, ss = 0.0, low = INFINITY, high = 0.0;
    size_t rows = 0;

    for (size_t i = 0; i < n; i++) {
        if (!(hour[i].gust_mps > 0.0 && hour[i].wind_mps > 0.0))
            continue;
        gs += hour[i].gust_mps * hour[i].wind_mps;
        ss += hour[i].wind_mps * hour[i].wind_mps;
        low = fmin(low, hour[i].wind_mps);
        high = fmax(high, hour[i].wind_mps);
        rows++;
    }
    if (rows < 6 || !(high - low >= 1.0))
        return false;
    const double ratio = gs / ss;
    for (size_t i = 0; i < n; i++)
        if (hour[i].gust_mps > 0.0 && hour[i].wind_mps > 0.0 &&
            !(fabs(hour[i].gust_mps - ratio * hour[i].wind_mps) <= fmax(0.13, 0.005 * hour[i].gust_mps)))
            return false;
    return true;
}

static void drop_made_up_gusts(struct gather *g)
{
    size_t dropped = 0;

    if (!gusts_made_up(g->hour, g->n))
        return;
    for (size_t i = 0; i < g->n; i++) {
        dropped += g->hour[i].gust_mps > 0.0;
        g->hour[i].gust_mps = NAN;
    }
    gather_note(g,
                "Gusts are in a fixed ratio to the mean wind in all %zu hours that have them: not measured, dropped.",
                dropped);
}

void weather_count(struct weather *w)
{
    memset(w->missing, 0, sizeof w->missing);
    w->calm = w->variable = w->trace = 0;
    for (size_t i = 0; i < w->n; i++) {
        const struct hour *h = &w->hour[i];
        w->missing[WF_TEMP] += isnan(h->temp_c) ? 1 : 0;
        w->missing[WF_DEW_POINT] += isnan(h->dew_point_c) ? 1 : 0;
        w->missing[WF_RH] += isnan(h->rh) ? 1 : 0;
        w->missing[WF_WIND] += isnan(h->wind_mps) ? 1 : 0;
        w->missing[WF_GUST] += isnan(h->gust_mps) ? 1 : 0;
        w->missing[WF_WIND_FROM] += isnan(h->wind_from_deg) ? 1 : 0;
        w->missing[WF_CLOUD] += isnan(h->cloud_oktas) ? 1 : 0;
        w->missing[WF_RAIN] += isnan(h->rain_mm) ? 1 : 0;
        w->missing[WF_SNOW] += isnan(h->snow_cm) ? 1 : 0;
        w->missing[WF_SUN] += isnan(h->ghi_w_m2) ? 1 : 0;
        w->missing[WF_PRESSURE] += isnan(h->pressure_kpa) ? 1 : 0;
        w->calm += h->wind_mps <= 0.0;
        w->variable += h->wind_variable;
        w->trace += h->rain_trace;
    }
}

static void note_what_was_done(struct gather *g)
{
    if (g->out.doubles)
        gather_note(g, "%zu row%s had a later report of the same hour beside %s: the later is kept.", g->out.doubles,
                    g->out.doubles == 1 ? "" : "s", g->out.doubles == 1 ? "it" : "them");
    if (g->out.format == WEATHER_COLUMNS_CSV && g->out.doubles * 10 > g->out.rows)
        gather_note(g, "Are several stations in one table? --where HEADER=VALUE keeps one.");
    if (g->out.n_sources > 1)
        gather_note(g, "%zu stations or kinds of report are in one file; --where station=NAME keeps one station.",
                    g->out.n_sources);
    if (g->n_sources_dropped)
        gather_note(g, "More than %d stations: the rest was left out.", WEATHER_SOURCES_LISTED);
    if (g->n_risks_dropped)
        gather_note(g, "%zu further spells of possible heavier weather are not listed.", g->n_risks_dropped);
    if (g->out.n_rejected > g->out.n_rejected_listed)
        gather_note(g, "%zu things were refused; the first %zu are listed.", g->out.n_rejected,
                    g->out.n_rejected_listed);
}

enum status gather_finish(struct gather *g, struct weather *out, struct message *why)
{
    if (g->n == 0 && g->outside > 0) {
        return refuse(ST_BAD_INPUT, why, g->opt->has_from ? "from" : "to",
                      "%.120s: none of its %zu hours lies between --from and --to", g->name, g->outside);
    }
    if (g->n == 0)
        return gather_nothing(g, why);
    if (!g->sorted && !sort_and_merge(g))
        return refuse(ST_NO_MEMORY, why, "", "%.120s: too many hours to hold at once (%zu)", g->name, g->n);
    drop_made_up_gusts(g);
    note_what_was_done(g);
    g->out.hour = g->hour;
    g->out.step_h = g->step_h;
    g->out.says = g->says;
    g->out.n = g->n;
    g->out.source = g->source;
    g->out.rejected = g->rejected;
    g->out.note = g->note;
    g->out.risk = g->risk;
    weather_count(&g->out);
    if (arena_full(g->mem))
        return refuse(ST_NO_MEMORY, why, "", "%.120s: too much weather to hold at once", g->name);
    *out = g->out;
    return ST_OK;
}
