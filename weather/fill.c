/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Short gaps filled by rule. One source at a time: first the rows that are absent inside a short gap are made, then
 * each value is looked at by itself.
 */
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "weather/gather.h"

enum { GAP_H = 3 }; /* longest gap that is bridged, in missing hours; common practice, no source */
static const double unknown_sky_oktas = 4; /* half: where nothing is known, neither the clear nor the covered night */

struct filling {
    const struct weather *in;
    struct arena *mem;
    struct hour *hour; /* of one source, in order, with the made rows */
    unsigned char *step_h;
    const char **says;
    size_t n;
    size_t made, steps, by_line[WF_END], carried, assumed;
};

static int64_t apart_h(const struct hour *a, const struct hour *b)
{
    return (b->utc_s - a->utc_s) / HOUR_S;
}

/* Longest distance between two known values that is bridged after row i. */
static int64_t reach_h(const struct filling *f, size_t i)
{
    return f->step_h[i] > GAP_H + 1 ? f->step_h[i] : GAP_H + 1;
}

static void add_row(struct filling *f, const struct hour *h, unsigned char step_h, const char *says)
{
    f->hour[f->n] = *h;
    f->step_h[f->n] = step_h;
    f->says[f->n] = says;
    f->n++;
}

/* Rows between row i of the input, just added, and the next of its source. A step's rain is for each of its hours. */
static void make_rows(struct filling *f, size_t i, int64_t gap_h)
{
    const struct hour *from = &f->in->hour[i];
    const size_t first = f->n - 1;

    for (int64_t k = 1; k < gap_h; k++) {
        struct hour h = gather_hour(from->utc_s + k * HOUR_S, from->source);
        const bool in_step = k < f->step_h[first];
        if (in_step) {
            h.rain_mm = from->rain_mm;
            h.rain_probability = from->rain_probability;
            h.snow = from->snow;
            h.risk = from->risk;
            f->steps++;
        } else {
            f->made++;
        }
        add_row(f, &h, 1, in_step ? f->says[first] : NULL);
    }
}

static unsigned char step_of(const struct weather *in, size_t i)
{
    return in->step_h && in->step_h[i] ? in->step_h[i] : 1;
}

/* Hours from row i to the next of its source when that gap is to be bridged; else 1. */
static int64_t bridged_h(const struct weather *in, size_t i)
{
    const int64_t most_h = step_of(in, i) > GAP_H + 1 ? step_of(in, i) : GAP_H + 1;

    for (size_t next = i + 1; next < in->n && apart_h(&in->hour[i], &in->hour[next]) <= most_h; next++)
        if (in->hour[next].source == in->hour[i].source)
            return apart_h(&in->hour[i], &in->hour[next]);
    return 1;
}

/* All rows of one source; false: out of memory. */
static bool lay_out(struct filling *f, int source)
{
    const struct weather *in = f->in;
    size_t rows = 0;

    for (size_t i = 0; i < in->n; i++)
        rows += in->hour[i].source == source ? (size_t)bridged_h(in, i) : 0;
    f->n = 0;
    f->hour = ARENA_NEW(f->mem, struct hour, rows);
    f->step_h = ARENA_NEW(f->mem, unsigned char, rows);
    f->says = ARENA_NEW(f->mem, const char *, rows);
    if (arena_full(f->mem))
        return false;
    for (size_t i = 0; i < in->n; i++) {
        if (in->hour[i].source != source)
            continue;
        add_row(f, &in->hour[i], step_of(in, i), in->says ? in->says[i] : NULL);
        make_rows(f, i, bridged_h(in, i));
    }
    return true;
}

static double *value_at(struct hour *h, size_t offset)
{
    return (double *)(void *)((char *)h + offset);
}

static void straight_line(struct filling *f, size_t offset, unsigned bit, enum weather_field what)
{
    size_t known = SIZE_MAX;

    for (size_t i = 0; i < f->n; i++) {
        const double to = *value_at(&f->hour[i], offset);
        if (isnan(to))
            continue;
        if (known != SIZE_MAX && i > known + 1 && apart_h(&f->hour[known], &f->hour[i]) <= reach_h(f, known)) {
            const double from = *value_at(&f->hour[known], offset);
            const double whole_s = (double)(f->hour[i].utc_s - f->hour[known].utc_s);
            for (size_t k = known + 1; k < i; k++) {
                *value_at(&f->hour[k], offset) =
                    from + (to - from) * (double)(f->hour[k].utc_s - f->hour[known].utc_s) / whole_s;
                f->hour[k].filled |= bit;
                f->by_line[what]++;
            }
        }
        known = i;
    }
}

/* Along the shorter arc, between two winds that blow from somewhere; never across a variable hour. Right opposite:
 * left. */
static void shorter_arc(struct filling *f)
{
    size_t known = SIZE_MAX;

    for (size_t i = 0; i < f->n; i++) {
        const struct hour *to = &f->hour[i];
        if (to->wind_variable || to->wind_mps <= 0.0) {
            known = SIZE_MAX;
            continue;
        }
        if (isnan(to->wind_from_deg))
            continue;
        if (known != SIZE_MAX && i > known + 1 && apart_h(&f->hour[known], to) <= reach_h(f, known)) {
            const struct hour *from = &f->hour[known];
            const double turn_deg = remainder(to->wind_from_deg - from->wind_from_deg, 360.0);
            for (size_t k = known + 1; k < i && fabs(turn_deg) < 179.5; k++) {
                const double share = (double)(f->hour[k].utc_s - from->utc_s) / (double)(to->utc_s - from->utc_s);
                const double deg = fmod(from->wind_from_deg + turn_deg * share + 360.0, 360.0);
                f->hour[k].wind_from_deg = deg;
                f->hour[k].filled |= HOUR_WIND_FROM;
                f->by_line[WF_WIND_FROM]++;
            }
        }
        known = i;
    }
}

static void fill_sky(struct filling *f)
{
    size_t known = SIZE_MAX;

    for (size_t i = 0; i < f->n; i++) {
        struct hour *h = &f->hour[i];
        if (!isnan(h->cloud_oktas)) {
            known = i;
            continue;
        }
        const int64_t limit_h = known == SIZE_MAX ? -1 : f->step_h[known] > GAP_H ? f->step_h[known] : GAP_H;
        const bool carry = known != SIZE_MAX && apart_h(&f->hour[known], h) <= limit_h;
        h->cloud_oktas = carry ? f->hour[known].cloud_oktas : unknown_sky_oktas;
        h->filled |= HOUR_CLOUD;
        f->carried += carry;
        f->assumed += !carry;
    }
}

static void calm_in_the_gap(struct filling *f)
{
    for (size_t i = 0; i < f->n; i++)
        if (f->hour[i].wind_mps <= 0.0)
            f->hour[i].wind_from_deg = 0.0;
}

static bool hand_over(struct filling *f, struct gather *g)
{
    for (size_t i = 0; i < f->n; i++) {
        const struct gather_extra extra = { .fall = f->hour[i].snow ? FALL_SNOW : FALL_RAIN, .says = f->says[i] };
        if (!gather_put(g, &f->hour[i], &extra))
            return false;
    }
    return true;
}

static void say_what_was_filled(const struct filling *f, struct gather *g)
{
    char list[200] = "";
    size_t used = 0;

    for (size_t k = 0; k < WF_END && used < sizeof list; k++)
        if (f->by_line[k])
            used += (size_t)snprintf(list + used, sizeof list - used, "%s%s in %zu", used ? ", " : "",
                                     weather_field_name[k], f->by_line[k]);
    if (f->made)
        gather_note(g, "%zu absent hours in gaps of at most %d h were made.", f->made, GAP_H);
    if (f->steps)
        gather_note(g,
                    "%zu hours were made inside longer steps of the forecast; each has its share of the step's rain.",
                    f->steps);
    if (list[0])
        gather_note(g, "Filled along a straight line between neighbours, hours: %s.", list);
    if (f->carried)
        gather_note(g, "Cloud was not given in %zu hours and carried on from the last known, at most %d h or one step.",
                    f->carried, GAP_H);
    if (f->assumed)
        gather_note(g, "Cloud is not known in %zu hours: half a sky (4 oktas) is assumed.", f->assumed);
}

static bool fill_source(struct filling *f, struct gather *g, int source)
{
    static const struct {
        size_t offset;
        unsigned bit;
        enum weather_field what;
    } lines[] = {
        { offsetof(struct hour, temp_c), HOUR_TEMP, WF_TEMP },
        { offsetof(struct hour, dew_point_c), HOUR_DEW_POINT, WF_DEW_POINT },
        { offsetof(struct hour, rh), HOUR_RH, WF_RH },
        { offsetof(struct hour, wind_mps), HOUR_WIND, WF_WIND },
        { offsetof(struct hour, pressure_kpa), HOUR_PRESSURE, WF_PRESSURE },
    };

    if (!lay_out(f, source))
        return false;
    shorter_arc(f); /* before the wind is filled: a made calm must not end an arc */
    for (size_t k = 0; k < COUNT(lines); k++)
        straight_line(f, lines[k].offset, lines[k].bit, lines[k].what);
    calm_in_the_gap(f);
    fill_sky(f);
    return hand_over(f, g);
}

static void take_over(struct gather *g, const struct weather *in)
{
    g->out = *in;
    g->out.n_sources = 0;
    g->out.n_rejected_listed = g->out.n_notes = g->out.n_risks = 0;
    for (size_t i = 0; i < in->n_sources; i++)
        (void)gather_source(g, in->source[i].format, in->source[i].station);
    for (size_t i = 0; i < in->n_notes; i++)
        g->note[g->out.n_notes++] = in->note[i];
    for (size_t i = 0; i < in->n_rejected_listed; i++)
        g->rejected[g->out.n_rejected_listed++] = in->rejected[i];
    for (size_t i = 0; i < in->n_risks; i++)
        g->risk[g->out.n_risks++] = in->risk[i];
}

enum status weather_fill(const struct weather *in, struct arena *mem, struct weather *out, struct message *why)
{
    struct filling f = { .in = in, .mem = mem };
    struct gather g;
    enum status st = gather_open(&g, "the weather", NULL, mem, why);

    if (st != ST_OK)
        return st;
    take_over(&g, in);
    const size_t rows = in->rows, doubles = in->doubles;
    for (size_t s = 0; s < in->n_sources; s++)
        if (!fill_source(&f, &g, (int)s))
            return refuse(ST_NO_MEMORY, why, "", "too many hours of weather to hold at once (%zu)", in->n);
    say_what_was_filled(&f, &g);
    g.out.doubles = 0;
    st = gather_finish(&g, out, why);
    if (st == ST_OK) {
        out->rows = rows;
        out->doubles = doubles;
    }
    return st;
}
