/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Several files as one.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "weather/gather.h"

/* Index in g of the source with this format and name. */
static int same_source(struct gather *g, const struct weather *w, int source)
{
    if (source < 0 || (size_t)source >= w->n_sources)
        return 0;
    return gather_source(g, w->source[source].format, w->source[source].station);
}

static bool take_hours(struct gather *g, const struct weather *w, size_t part)
{
    for (size_t i = 0; i < w->n; i++) {
        struct hour h = w->hour[i];
        const struct gather_extra extra = {
            .seen_utc_s = h.utc_s + (int64_t)part, /* of two files the later counts */
            .step_h = w->step_h ? w->step_h[i] : 1,
            .fall = h.snow ? FALL_SNOW : FALL_RAIN, /* as its reader decided */
            .says = w->says ? w->says[i] : NULL,
        };
        h.source = same_source(g, w, w->hour[i].source);
        if (h.source < 0)
            h.source = 0;
        if (!gather_put(g, &h, &extra))
            return false;
    }
    return true;
}

static void take_lists(struct gather *g, const struct weather *w)
{
    for (size_t i = 0; i < w->n_rejected_listed && g->out.n_rejected_listed < WEATHER_REJECTED_LISTED; i++)
        g->rejected[g->out.n_rejected_listed++] = w->rejected[i];
    g->out.n_rejected += w->n_rejected;
    for (size_t i = 0; i < w->n_notes; i++) {
        bool known = false;
        for (size_t k = 0; k < g->out.n_notes; k++)
            known = known || strcmp(g->note[k], w->note[i]) == 0;
        if (!known && g->out.n_notes < WEATHER_NOTES_LISTED)
            g->note[g->out.n_notes++] = w->note[i];
    }
    for (size_t i = 0; i < w->n_risks; i++) {
        struct weather_risk risk = w->risk[i];
        risk.source = same_source(g, w, risk.source);
        gather_risk(g, &risk);
    }
}

/* What the first file says of itself stays; a later one adds where the first is silent. */
static bool take_whole(struct gather *g, const struct weather *w, size_t part)
{
    struct weather *out = &g->out;

    if (part == 0) {
        out->format = w->format;
        out->place = w->place;
        out->credit = w->credit;
        out->forecast = w->forecast;
        out->sea_level_pressure = w->sea_level_pressure;
        out->lat_deg = w->lat_deg;
        out->lon_deg = w->lon_deg;
        out->elevation_m = w->elevation_m;
        out->wind_height_m = w->wind_height_m;
    } else {
        if (out->format != w->format)
            out->format = WEATHER_MIXED;
        if (w->credit[0] && !strstr(out->credit, w->credit))
            out->credit = arena_print(g->mem, "%s%s%s", out->credit, out->credit[0] ? "; " : "", w->credit);
        if (isnan(out->lat_deg)) {
            out->lat_deg = w->lat_deg;
            out->lon_deg = w->lon_deg;
            out->elevation_m = w->elevation_m;
        }
        out->forecast = out->forecast && w->forecast;
    }
    out->typical_year = out->typical_year || w->typical_year;
    out->issued_utc_s = w->issued_utc_s > out->issued_utc_s ? w->issued_utc_s : out->issued_utc_s;
    if (w->expires_utc_s && (!out->expires_utc_s || w->expires_utc_s < out->expires_utc_s))
        out->expires_utc_s = w->expires_utc_s;
    return out->credit != NULL;
}

enum status weather_join(const struct weather part[], size_t n, struct arena *mem, struct weather *out,
                         struct message *why)
{
    struct gather g;
    size_t hours = 0, rows = 0, doubles = 0;
    bool fits = true;
    enum status st = gather_open(&g, "the weather files", NULL, mem, why);

    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < n; i++) {
        hours += part[i].n;
        rows += part[i].rows;
        doubles += part[i].doubles;
    }
    fits = gather_reserve(&g, hours ? hours : 1);
    for (size_t i = 0; fits && i < n; i++) {
        fits = take_whole(&g, &part[i], i) && take_hours(&g, &part[i], i);
        take_lists(&g, &part[i]);
    }
    if (!fits)
        return refuse(ST_NO_MEMORY, why, "", "too many hours of weather to hold at once (%zu)", hours);
    st = gather_finish(&g, out, why);
    if (st == ST_OK) {
        out->rows = rows;
        out->doubles += doubles;
    }
    return st;
}
