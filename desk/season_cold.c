/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Past winters laid under the plan: danger of cold by day of birth, in a hut of the farm's commonest make turned its
 * best way and in an open nest, from every past hour that is kept. Two threads share the two. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/season/cold.h"
#include "desk/facing_words.h"
#include "desk/season_inside.h"
#include "desk/share.h"
#include "desk/where_huts.h"
#include "farm/weather_store.h"

enum { SCRATCH = 768 << 20 };

struct half { /* one thread's shelter */
    const struct cold_past *past;
    const struct shelter *shelter;
    float *danger, *heat;
    enum status st;
    struct message why;
};

static void one_shelter(void *job, size_t i)
{
    struct half *h = (struct half *)job + i;
    struct arena scratch;

    arena_open(&scratch, SCRATCH);
    h->st = cold_of_shelter(h->past, h->shelter, COLD_QUICK, &scratch, h->danger, h->heat, NULL, &h->why);
    arena_close(&scratch);
}

static enum status both(struct half half[2], struct message *why)
{
    share_parts(NULL, one_shelter, half, 2);
    for (size_t i = 0; i < 2; i++)
        if (half[i].st != ST_OK) {
            *why = half[i].why;
            return half[i].st;
        }
    return ST_OK;
}

/* November to March, in the south May to September; the whole year where no hour of those is kept. */
static unsigned cold_months(const struct season *s, const struct facing_ask *ask)
{
    struct facing_ask part = *ask;

    part.months = s->herd.place.lat_deg < 0.0 ? 0x1f0u : 0xc07u;
    for (size_t i = 0; i < ask->n; i++)
        if (facing_takes(&part, &ask->hours[i]))
            return part.months;
    return 0;
}

/* The commonest hut with fresh straw, its door where past hours of the cold months were kindest. */
static enum status hut_of(struct season *s, size_t n, const struct hour hours[], struct shelter *hut,
                          struct message *why)
{
    const struct herd_site *usual = where_usual_hut(&s->herd);
    struct facing_ask ask = facing_ask_default();
    struct facing f;
    struct arena scratch;

    *hut = usual ? where_as_made(&usual->is, 0.2) : shelter_default(SHELTER_HUT);
    s->hut = usual ? usual->name : NULL;
    ask.n = n;
    ask.hours = hours;
    ask.lat_deg = s->herd.place.lat_deg;
    ask.lon_deg = s->herd.place.lon_deg;
    ask.shelter = hut;
    ask.standard_offset_s = zone_standard_offset_s(s->herd.zone, s->herd.at_utc_s);
    ask.months = cold_months(s, &ask);
    arena_open(&scratch, WHERE_SCRATCH);
    const enum status st = facing_find_on_two(&ask, &scratch, NULL, &f, why);
    arena_close(&scratch);
    if (st == ST_OK)
        s->facing_deg = hut->hut.facing_deg = f.best_deg;
    return st;
}

static void answer_weeks(const struct cold_past *past, const struct half half[2], struct answer *list)
{
    struct cold_week hut[COLD_WEEKS], open[COLD_WEEKS], heat[COLD_WEEKS], nights[COLD_WEEKS];

    cold_by_week(past->first_day, past->n_days, half[0].danger, hut);
    cold_by_week(past->first_day, past->n_days, half[1].danger, open);
    cold_by_week(past->first_day, past->n_days, half[0].heat, heat);
    cold_days_under(past->first_day, past->n_days, past->night_c, -10.0, nights);
    for (size_t w = 0; w < COLD_WEEKS; w++) {
        struct answer *row = answer_item(list);
        answer_whole(row, "week", (int64_t)w + 1);
        answer_whole(row, "years", (int64_t)hut[w].years);
        answer_real(row, "danger_in_hut", hut[w].mean);
        answer_real(row, "danger_in_hut_p10", hut[w].p10);
        answer_real(row, "danger_in_hut_p90", hut[w].p90);
        answer_real(row, "danger_in_open", open[w].mean);
        answer_real(row, "danger_in_open_p10", open[w].p10);
        answer_real(row, "danger_in_open_p90", open[w].p90);
        answer_real(row, "too_warm", heat[w].mean);
        answer_real(row, "nights_under_minus_10", nights[w].mean);
        answer_real(row, "nights_under_minus_10_p90", nights[w].p90);
    }
}

/* The day of the past that stands for a day of the plan: the same date `back` years before. */
static size_t then(const struct season *s, const struct cold_past *past, size_t d, int back)
{
    const struct civil c = civil_from_days(s->today + (int64_t)d);
    const int day = c.month == 2 && c.day == 29 ? 28 : c.day;
    const int64_t at = civil_days(c.year - back, c.month, day) - past->first_day;

    return at >= 0 && at < (int64_t)past->n_days ? (size_t)at : SIZE_MAX;
}

static enum status lay_under(struct season *s, const struct cold_past *past, const struct half half[2],
                             struct message *why)
{
    const int this_year = civil_from_days(s->today).year;
    const int first = civil_from_days(past->first_day).year,
              last = civil_from_days(past->first_day + (int64_t)past->n_days - 1).year;

    for (int back = this_year - last; back <= this_year - first + 1 && s->n_winters < SEASON_WINTERS_MOST; back++) {
        float *hut = ARENA_NEW(s->q->mem, float, SEASON_DAYS), *open = ARENA_NEW(s->q->mem, float, SEASON_DAYS);
        size_t known = 0;
        if (!hut || !open)
            return refuse(ST_NO_MEMORY, why, "", "out of memory");
        for (size_t d = 0; d < SEASON_DAYS; d++) {
            const size_t at = then(s, past, d, back);
            hut[d] = at == SIZE_MAX ? NAN : half[0].danger[at];
            open[d] = at == SIZE_MAX ? NAN : half[1].danger[at];
            known += !isnan(hut[d]) && !isnan(open[d]);
        }
        if (known < 30)
            continue; /* under a month of it is known: no winter */
        s->in_hut[s->n_winters] = hut;
        s->in_open[s->n_winters++] = open;
    }
    s->winter_from = first;
    s->winter_to = last;
    return ST_OK;
}

enum status season_cold(struct season *s, struct answer *weeks, struct message *why)
{
    struct hour *hours = NULL;
    size_t n = 0;
    struct cold_site site = cold_site_default();
    struct cold_past *past = NULL;
    struct shelter shelter[2] = { shelter_default(SHELTER_HUT), shelter_default(SHELTER_OPEN) };
    struct half half[2];

    s->facing_deg = NAN;
    enum status st = farm_weather_hours(s->q->farm, NULL, WEATHER_PAST, INT64_MIN / 2, s->herd.at_utc_s,
                                        s->herd.known_to, s->q->mem, &hours, &n, why);
    if (st != ST_OK || n == 0)
        return st;
    site.n = n;
    site.hours = hours;
    site.lat_deg = s->herd.place.lat_deg;
    site.lon_deg = s->herd.place.lon_deg;
    site.standard_offset_s = zone_standard_offset_s(s->herd.zone, s->herd.at_utc_s);
    st = hut_of(s, n, hours, &shelter[0], why);
    if (st == ST_OK)
        st = cold_prepare(&site, s->q->mem, &past, why);
    for (size_t i = 0; st == ST_OK && i < 2; i++) {
        half[i] = (struct half){ .past = past,
                                 .shelter = &shelter[i],
                                 .danger = ARENA_NEW(s->q->mem, float, past->n_days),
                                 .heat = ARENA_NEW(s->q->mem, float, past->n_days) };
        if (!half[i].danger || !half[i].heat)
            st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    }
    if (st == ST_OK)
        st = both(half, why);
    if (st == ST_OK)
        answer_weeks(past, half, weeks);
    return st == ST_OK ? lay_under(s, past, half, why) : st;
}
