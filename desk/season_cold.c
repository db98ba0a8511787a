/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Past winters laid under the plan: danger of cold by day of birth, in a hut of the farm's commonest make turned its
 * best way and in an open nest, from every past hour that is kept. Two threads share the two. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/season/cold.h"
#include "desk/facing_words.h"
#include "desk/memory.h"
#include "desk/season_inside.h"
#include "desk/season_kept.h"
#include "desk/share.h"
#include "desk/where_huts.h"
#include "farm/weather_store.h"

enum { SCRATCH = 768 << 20 };

struct half { /* one thread's shelter */
    const struct cold_past *past;
    const struct shelter *shelter;
    struct cold_daily daily;
    enum status st;
    struct message why;
};

static void one_shelter(void *job, size_t i)
{
    struct half *h = (struct half *)job + i;
    struct arena scratch;

    arena_open(&scratch, SCRATCH);
    h->st = cold_of_shelter(h->past, h->shelter, COLD_QUICK, &scratch, &h->daily, NULL, &h->why);
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

/* Its door where past hours of the cold months were kindest. */
static enum status best_facing(const struct season *s, size_t n, const struct hour hours[], struct shelter *hut,
                               struct message *why)
{
    struct facing_ask ask = facing_ask_default();
    struct facing f;
    struct arena scratch;

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
        hut->hut.facing_deg = f.best_deg;
    return st;
}

static void by_week(const struct cold_past *past, const struct half half[2], struct season_cold_table *t)
{
    cold_by_week(past->first_day, past->n_days, half[0].daily.danger, t->hut_week);
    cold_by_week(past->first_day, past->n_days, half[1].daily.danger, t->open_week);
    cold_by_week(past->first_day, past->n_days, half[0].daily.runt, t->hut_runt_week);
    cold_by_week(past->first_day, past->n_days, half[1].daily.runt, t->open_runt_week);
    cold_by_week(past->first_day, past->n_days, half[0].daily.heat, t->heat_week);
    cold_days_under(past->first_day, past->n_days, past->night_c, -10.0, t->nights_week);
}

static void answer_weeks(const struct season_cold_table *t, struct answer *list)
{
    for (size_t w = 0; w < COLD_WEEKS; w++) {
        const struct cold_week *hut = &t->hut_week[w], *open = &t->open_week[w];
        struct answer *row = answer_item(list);
        answer_whole(row, "week", (int64_t)w + 1);
        answer_whole(row, "years", (int64_t)hut->years);
        answer_real(row, "danger_in_hut", hut->mean);
        answer_real(row, "danger_in_hut_p10", hut->p10);
        answer_real(row, "danger_in_hut_p90", hut->p90);
        answer_real(row, "danger_in_open", open->mean);
        answer_real(row, "danger_in_open_p10", open->p10);
        answer_real(row, "danger_in_open_p90", open->p90);
        answer_real(row, "runt_danger_in_hut", t->hut_runt_week[w].mean);
        answer_real(row, "runt_danger_in_hut_p90", t->hut_runt_week[w].p90);
        answer_real(row, "runt_danger_in_open", t->open_runt_week[w].mean);
        answer_real(row, "too_warm", t->heat_week[w].mean);
        answer_real(row, "nights_under_minus_10", t->nights_week[w].mean);
        answer_real(row, "nights_under_minus_10_p90", t->nights_week[w].p90);
    }
}

/* The day of the past that stands for a day of the plan: the same date `back` years before. */
static size_t then(const struct season *s, const struct season_cold_table *past, size_t d, int back)
{
    const struct civil c = civil_from_days(s->today + (int64_t)d);
    const int day = c.month == 2 && c.day == 29 ? 28 : c.day;
    const int64_t at = civil_days(c.year - back, c.month, day) - past->first_day;

    return at >= 0 && at < (int64_t)past->n_days ? (size_t)at : SIZE_MAX;
}

static enum status lay_under(struct season *s, const struct season_cold_table *past, struct message *why)
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
            hut[d] = at == SIZE_MAX ? NAN : past->hut[at];
            open[d] = at == SIZE_MAX ? NAN : past->open[at];
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

/* How many of the hours lie behind the moment; between which moments it stays so. */
static size_t behind(size_t n, const struct hour hours[], int64_t at_utc_s, struct season_cold_table *t)
{
    size_t k = n;

    while (k > 0 && hours[k - 1].utc_s > at_utc_s)
        k--;
    t->from_utc_s = k > 0 ? hours[k - 1].utc_s : INT64_MIN;
    t->to_utc_s = k < n ? hours[k].utc_s : INT64_MAX;
    return k;
}

/* Newest lot of past hours, place, hut: nothing else is read. Not any: no past hour was ever stored. */
static enum status key_of(const struct season *s, const struct shelter *hut, double key[SEASON_COLD_KEY], bool *any,
                          struct message *why)
{
    const struct night_option option = { .is = *hut };
    struct weather_lot *lots = NULL;
    size_t n = 0;
    const enum status st =
        farm_weather_lots(s->q->farm, NULL, WEATHER_PAST, s->herd.known_to, s->q->mem, &lots, &n, why);

    *any = n > 0;
    night_key(&option, key);
    key[NIGHT_KEY] = n > 0 ? (double)lots[0].number : 0.0;
    key[NIGHT_KEY + 1] = (double)n;
    key[NIGHT_KEY + 2] = s->herd.place.lat_deg;
    key[NIGHT_KEY + 3] = s->herd.place.lon_deg;
    key[NIGHT_KEY + 4] = zone_standard_offset_s(s->herd.zone, s->herd.at_utc_s);
    return st;
}

static enum status reckon_days(const struct cold_site *site, const struct shelter shelter[2], struct arena *mem,
                               struct arena *scratch, struct season_cold_table *t, struct message *why)
{
    struct cold_past *past = NULL;
    struct half half[2];
    enum status st = cold_prepare(site, scratch, &past, why);

    for (size_t i = 0; st == ST_OK && i < 2; i++) {
        half[i] = (struct half){ .past = past,
                                 .shelter = &shelter[i],
                                 .daily = { .danger = ARENA_NEW(mem, float, past->n_days),
                                            .runt = ARENA_NEW(scratch, float, past->n_days),
                                            .heat = ARENA_NEW(scratch, float, past->n_days) } };
        if (!half[i].daily.danger || !half[i].daily.runt || !half[i].daily.heat)
            st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    }
    if (st == ST_OK)
        st = both(half, why);
    if (st != ST_OK)
        return st;
    t->first_day = past->first_day;
    t->n_days = past->n_days;
    t->facing_deg = shelter[0].hut.facing_deg;
    t->hut = half[0].daily.danger;
    t->open = half[1].daily.danger;
    by_week(past, half, t);
    return ST_OK;
}

static enum status reckon_table(const struct season *s, const struct shelter *hut, struct arena *mem,
                                struct season_cold_table *t, struct message *why)
{
    struct hour *hours = NULL;
    size_t n = 0;
    struct cold_site site = cold_site_default();
    struct shelter shelter[2] = { *hut, shelter_default(SHELTER_OPEN) };
    struct arena scratch;

    arena_open(&scratch, SCRATCH);
    enum status st = farm_weather_hours(s->q->farm, NULL, WEATHER_PAST, INT64_MIN / 2, INT64_MAX / 2, s->herd.known_to,
                                        &scratch, &hours, &n, why);
    site.n = st == ST_OK ? behind(n, hours, s->herd.at_utc_s, t) : 0;
    site.hours = hours;
    site.lat_deg = s->herd.place.lat_deg;
    site.lon_deg = s->herd.place.lon_deg;
    site.standard_offset_s = zone_standard_offset_s(s->herd.zone, s->herd.at_utc_s);
    t->n_days = 0;
    t->facing_deg = NAN;
    season_mean_air(site.n, hours, t->air_c);
    if (site.n > 0)
        st = best_facing(s, site.n, hours, &shelter[0], why);
    if (site.n > 0 && st == ST_OK)
        st = reckon_days(&site, shelter, mem, &scratch, t, why);
    arena_close(&scratch);
    return st;
}

enum status season_cold(struct season *s, struct answer *weeks, struct message *why)
{
    const struct herd_site *usual = where_usual_hut(&s->herd);
    const struct shelter hut = usual ? where_as_made(&usual->is, 0.2) : shelter_default(SHELTER_HUT);
    struct season_kept *kept = desk_memory_season(s->q->memory);
    struct arena *mem = s->q->mem;
    double key[SEASON_COLD_KEY];
    bool any;

    s->facing_deg = NAN;
    season_mean_air(0, NULL, s->air_c);
    enum status st = key_of(s, &hut, key, &any, why);
    if (st != ST_OK || !any)
        return st;
    const struct season_cold_table *t = season_kept_cold(kept, key, s->herd.at_utc_s);
    if (!t) {
        struct season_cold_table *fresh =
            kept ? season_kept_new_cold(kept, &mem) : ARENA_NEW(mem, struct season_cold_table, 1);
        if (!fresh)
            return refuse(ST_NO_MEMORY, why, "", "out of memory");
        memcpy(fresh->key, key, sizeof key);
        st = reckon_table(s, &hut, mem, fresh, why);
        if (st == ST_OK && kept)
            season_kept_cold_is(kept);
        t = fresh;
    }
    memcpy(s->air_c, t->air_c, sizeof s->air_c);
    if (st != ST_OK || t->n_days == 0)
        return st;
    s->hut = usual ? usual->name : NULL;
    s->facing_deg = t->facing_deg;
    answer_weeks(t, weeks);
    return lay_under(s, t, why);
}
