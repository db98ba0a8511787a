/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/air/rose.h"

#include <math.h>

#include "core/air/own.h"

const char *const rose_sector_name[ROSE_SECTORS] = { "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                                     "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW" };

static const double sector_deg = 360.0 / ROSE_SECTORS;
static const double prevailing_from = 0.3; /* under it two opposed winds may hide behind one mean direction */

int rose_sector(double from_deg)
{
    if (!isfinite(from_deg))
        return -1;
    return (int)floor((air_wrap(from_deg) + 0.5 * sector_deg) / sector_deg) % ROSE_SECTORS;
}

static bool same_letters(const char *a, const char *b) /* a in either case, b in capitals */
{
    for (; *a && *b; a++, b++)
        if (*a != *b && *a != *b - 'A' + 'a')
            return false;
    return *a == *b;
}

double rose_sector_deg(const char *name)
{
    for (int i = 0; i < ROSE_SECTORS; i++)
        if (same_letters(name, rose_sector_name[i]))
            return i * sector_deg;
    return NAN;
}

static void add(struct rose *r, int sector, double hours, double wind_mps)
{
    r->count[sector] += hours;
    r->speed_sum[sector] += hours * wind_mps;
}

/* Share one hour over from_deg +- spread_deg, walking from sector edge to sector edge. */
static void add_spread(struct rose *r, double from_deg, double wind_mps, double spread_deg)
{
    if (spread_deg == 0.0) {
        add(r, rose_sector(from_deg), 1.0, wind_mps);
        return;
    }
    const double first = from_deg - spread_deg + 0.5 * sector_deg, last = from_deg + spread_deg + 0.5 * sector_deg;
    double at = first;
    for (double edge = sector_deg * (floor(first / sector_deg) + 1.0); at < last; edge += sector_deg) {
        const double next = fmin(edge, last);
        add(r, rose_sector(0.5 * (at + next) - 0.5 * sector_deg), (next - at) / (last - first), wind_mps);
        at = next;
    }
}

struct rose_tally rose_begin(double spread_deg)
{
    return (struct rose_tally){
        .rose = { .mean_mps = NAN, .vector_from_deg = NAN, .unit_from_deg = NAN, .modal = -1 },
        .spread_deg = spread_deg,
    };
}

void rose_add(struct rose_tally *s, const struct hour *h)
{
    struct rose *r = &s->rose;

    if (!air_within(s->spread_deg, 0.0, 45.0))
        return;
    if (!(h->wind_mps >= 0.0)) {
        r->no_wind++;
        return;
    }
    r->hours++;
    r->max_mps = fmax(r->max_mps, h->wind_mps);
    s->speed += h->wind_mps;
    if (h->wind_mps == 0.0) {
        r->calm++;
    } else if (h->wind_variable || !isfinite(h->wind_from_deg)) {
        r->variable++;
    } else {
        const double sin_from = sin(AIR_RAD * h->wind_from_deg), cos_from = cos(AIR_RAD * h->wind_from_deg);
        s->east += h->wind_mps * sin_from;
        s->north += h->wind_mps * cos_from;
        s->unit_east += sin_from;
        s->unit_north += cos_from;
        add_spread(r, h->wind_from_deg, h->wind_mps, s->spread_deg);
    }
}

static double direction(double east, double north)
{
    return hypot(east, north) > 1e-9 ? air_wrap(atan2(east, north) / AIR_RAD) : (double)NAN;
}

struct rose rose_end(const struct rose_tally *s)
{
    struct rose r = s->rose;

    if (r.hours == 0)
        return r;
    r.mean_mps = s->speed / (double)r.hours;
    r.vector_mps = hypot(s->east, s->north) / (double)r.hours;
    r.vector_from_deg = direction(s->east, s->north);
    r.unit_from_deg = direction(s->unit_east, s->unit_north);
    r.steadiness = r.mean_mps > 0.0 ? r.vector_mps / r.mean_mps : 0.0;
    r.prevailing = r.steadiness >= prevailing_from;
    for (int i = 0; i < ROSE_SECTORS; i++)
        if (r.count[i] > (r.modal < 0 ? 0.0 : r.count[r.modal]))
            r.modal = i;
    return r;
}

struct rose rose_of(size_t n, const struct hour hours[], double spread_deg)
{
    struct rose_tally tally = rose_begin(spread_deg);

    for (size_t i = 0; i < n; i++)
        rose_add(&tally, &hours[i]);
    return rose_end(&tally);
}
