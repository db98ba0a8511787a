/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/coming.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/air/air.h"
#include "core/base/civil.h"
#include "core/sun/sun.h"
#include "desk/when.h"
#include "farm/weather_store.h"

enum { SCRATCH = 256 << 20 };
enum { MOST_FORECASTS = 6, MOST_SOURCES = 16, MOST_NOTES = 24, MOST_PAIRS = 4000, LEARN_DAYS = 400 };

struct gather { /* what is collected on the way */
    struct farm *farm;
    const struct desk_place *place;
    const struct zone *zone;
    int64_t at_utc_s, from_utc_s, to_utc_s;
    struct arena *mem;
    struct coming *c;
    struct series_source *sources;
    size_t n_sources;
    struct fact *reading;
    size_t n_readings;
    struct outlook_pair *pair;
    size_t n_pairs;
};

static void note(struct gather *g, const char *sentence)
{
    if (sentence && g->c->n_notes < MOST_NOTES)
        g->c->note[g->c->n_notes++] = sentence;
}

static void source(struct gather *g, enum series_rank rank, const char *name, int64_t made, size_t n,
                   const struct hour *hours)
{
    if (n > 0 && g->n_sources < MOST_SOURCES)
        g->sources[g->n_sources++] = (struct series_source){ rank, name, made, n, hours };
}

/* ---- own readings ---- */

static int64_t hour_of(int64_t utc_s)
{
    return utc_s - ((utc_s % HOUR_S) + HOUR_S) % HOUR_S;
}

/* A hand-held gauge reads at 2 m unless it says otherwise; the series is at 10 m. Under 0.3 m nothing is made of it. */
static double wind_at_10m(const struct fact *f)
{
    const double wind = fact_real(f->kind, f->value, "wind_mps"),
                 height = fact_real(f->kind, f->value, "wind_height_m");
    const double z = isnan(height) ? 2.0 : height;
    return z < 0.3 ? (double)NAN : wind / air_wind_factor(z, 0.03);
}

static struct hour reading_hour(const struct fact *f)
{
    struct hour h = hour_unknown(hour_of(fact_whole(f->kind, f->value, "at", 0)));
    const double cloud = fact_real(f->kind, f->value, "cloud");

    h.temp_c = fact_real(f->kind, f->value, "temp_c");
    h.rh = fact_real(f->kind, f->value, "rh");
    h.wind_mps = wind_at_10m(f);
    h.gust_mps = fact_real(f->kind, f->value, "gust_mps");
    h.wind_from_deg = fmod(fact_real(f->kind, f->value, "wind_from_deg"), 360.0);
    h.cloud_oktas = isnan(cloud) ? (double)NAN : cloud * 8.0;
    return h;
}

/* Readings inside huts tell of the hut, not of the air outside. */
static bool outside(const struct fact *f)
{
    return !fact_given(f->kind, f->value, "placement");
}

static enum status readings(struct gather *g, int64_t known_to, struct message *why)
{
    const enum status st =
        farm_facts(g->farm, fact_kind_find("reading"), known_to, g->mem, &g->reading, &g->n_readings, why);
    struct hour *hours = st == ST_OK ? ARENA_NEW(g->mem, struct hour, g->n_readings + 1) : NULL;
    size_t n = 0;

    for (size_t i = 0; hours && i < g->n_readings; i++) {
        const int64_t at = fact_whole(g->reading[i].kind, g->reading[i].value, "at", INT64_MAX);
        if (outside(&g->reading[i]) && at <= g->at_utc_s && at >= g->from_utc_s)
            hours[n++] = reading_hour(&g->reading[i]);
    }
    if (hours)
        source(g, SERIES_OWN, "own reading", g->at_utc_s, n, hours);
    return st;
}

/* ---- forecasts, and how they have held ---- */

static void pair_with(struct gather *g, const struct weather_lot *lot, size_t n, const struct hour hours[])
{
    for (size_t i = 0; i < g->n_readings && g->n_pairs < MOST_PAIRS; i++) {
        const struct fact *f = &g->reading[i];
        const int64_t at = fact_whole(f->kind, f->value, "at", INT64_MAX),
                      made = lot->issued_utc_s ? lot->issued_utc_s : lot->fetched_utc_s;
        if (!outside(f) || at > g->at_utc_s || at <= made)
            continue;
        for (size_t k = 0; k < n; k++) {
            if (hours[k].utc_s != hour_of(at))
                continue;
            const struct hour r = reading_hour(f);
            g->pair[g->n_pairs++] = (struct outlook_pair){
                .made_utc_s = made,
                .forecast = hours[k],
                .temp_c = r.temp_c,
                .wind_mps = r.wind_mps,
                .wind_from_deg = r.wind_from_deg,
                .rain_mm = NAN,
                .daylight =
                    sun_position(hours[k].utc_s + HOUR_S / 2, g->place->lat_deg, g->place->lon_deg).elevation_deg > 0.0
            };
            break;
        }
    }
}

static int by_hour(const void *a, const void *b)
{
    const struct outlook_pair *x = a, *y = b;
    if (x->forecast.utc_s != y->forecast.utc_s)
        return x->forecast.utc_s < y->forecast.utc_s ? -1 : 1;
    return (x->made_utc_s > y->made_utc_s) - (x->made_utc_s < y->made_utc_s);
}

static enum status forecasts(struct gather *g, enum weather_sort sort, int64_t known_to, struct message *why)
{
    struct weather_lot *lots = NULL;
    size_t n = 0, used = 0;
    enum status st = farm_weather_lots(g->farm, NULL, sort, known_to, g->mem, &lots, &n, why);

    for (size_t i = 0; i < n && st == ST_OK; i++) {
        const int64_t made = lots[i].issued_utc_s ? lots[i].issued_utc_s : lots[i].fetched_utc_s;
        struct hour *hours = NULL;
        size_t k = 0;
        if (made > g->at_utc_s)
            continue; /* not yet there at the moment asked about */
        const bool wanted = used < MOST_FORECASTS && lots[i].last_utc_s >= g->from_utc_s;
        const bool learns =
            g->n_readings > 0 && g->n_pairs < MOST_PAIRS && lots[i].last_utc_s >= g->at_utc_s - LEARN_DAYS * DAY_S;
        if (!wanted && !learns)
            continue;
        st = farm_weather_of_lot(g->farm, lots[i].number, learns ? INT64_MIN / 2 : g->from_utc_s, g->to_utc_s, g->mem,
                                 &hours, &k, why);
        if (st != ST_OK)
            return st;
        if (learns)
            pair_with(g, &lots[i], k, hours);
        if (!wanted)
            continue;
        used++;
        source(g, SERIES_FORECAST, lots[i].source, made, k, hours);
        if (made > g->c->forecast_made_utc_s || !g->c->forecast_name) {
            g->c->forecast_name = lots[i].source;
            g->c->forecast_made_utc_s = made;
            g->c->credit = *lots[i].credit ? lots[i].credit : NULL;
        }
    }
    return st;
}

static enum status observed(struct gather *g, int64_t known_to, struct message *why)
{
    struct hour *hours = NULL;
    size_t n = 0, kept = 0;
    const enum status st = farm_weather_hours(g->farm, NULL, WEATHER_OBSERVED, g->from_utc_s, g->to_utc_s, known_to,
                                              g->mem, &hours, &n, why);

    for (size_t i = 0; i < n; i++)
        if (hours[i].utc_s <= g->at_utc_s)
            hours[kept++] = hours[i];
    if (st == ST_OK)
        source(g, SERIES_OBSERVED, "observed", g->at_utc_s, kept, hours);
    return st;
}

/* ---- past years ---- */

static enum status past_years(struct gather *g, int64_t known_to, struct arena *mem, struct hour **past, size_t *n_past,
                              struct message *why)
{
    const struct civil c = civil_from_seconds(g->from_utc_s);
    int first = civil_day_of_year(c.year, c.month, c.day) - 12;
    const int days = (int)((g->to_utc_s - g->from_utc_s) / DAY_S) + 26;

    if (first < 1)
        first += 365;
    return farm_weather_season(g->farm, NULL, first, days, known_to, mem, past, n_past, why);
}

/* The stretch of a past year that went most like the days before goes on after the forecast. */
static void after_the_forecast(struct gather *g, size_t n_past, const struct hour past[], const struct series *firm)
{
    struct outlook_analog best;
    const size_t n = firm->n_hours, known = firm->n_firm;
    struct hour *line = series_plain(firm, g->mem);

    if (!line || known >= n || n_past == 0 ||
        outlook_analogs(n_past, past, known, line, g->from_utc_s, n, 1, &best) == 0)
        return;
    struct hour *hours = ARENA_NEW(g->mem, struct hour, n);
    if (!hours)
        return;
    outlook_analog_hours(n_past, past, &best, g->from_utc_s, n, hours);
    source(g, SERIES_PAST_YEARS, "past years", 0, n, hours);
}

/* ---- together ---- */

static bool is_forecast(const struct gather *g, size_t i, enum series_field field)
{
    const int from = g->c->series.hours[i].from[field];
    return from >= 0 && g->sources[from].rank == SERIES_FORECAST;
}

/* The place's own offsets, on what is forecast alone: a figure that was read at the place holds them already. */
static void offsets_on_forecast(struct gather *g, size_t i)
{
    struct hour *h = &g->c->line[i], shifted = *h;

    outlook_site_apply(&g->c->site, 1, &g->c->daylight[i], &shifted);
    if (is_forecast(g, i, SERIES_TEMP)) {
        h->temp_c = shifted.temp_c;
        h->dew_point_c = shifted.dew_point_c;
    }
    if (is_forecast(g, i, SERIES_WIND))
        h->wind_mps = shifted.wind_mps;
    if (is_forecast(g, i, SERIES_GUST))
        h->gust_mps = shifted.gust_mps;
}

static enum status sun_and_offsets(struct gather *g, struct message *why)
{
    struct coming *c = g->c;
    const size_t n = c->n_before + c->n_hours;

    c->sun = ARENA_NEW(g->mem, struct nest_sun, n);
    c->daylight = ARENA_NEW(g->mem, bool, n);
    if (!c->daylight || !c->sun)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n; i++) {
        const struct sun_hour s = sun_of_hour(&c->line[i], g->place->lat_deg, g->place->lon_deg);
        c->sun[i] =
            (struct nest_sun){ s.sun.azimuth_deg, s.sun.elevation_true_deg, s.light.ghi, s.light.dni, s.light.dhi,
                               s.top_w_m2 };
        c->daylight[i] = s.sun.elevation_deg > 0.0;
    }
    if (g->n_pairs > 0) {
        qsort(g->pair, g->n_pairs, sizeof *g->pair, by_hour);
        outlook_site_learn(g->n_pairs, g->pair, &c->site);
        outlook_verify(g->n_pairs, g->pair, &c->verified);
        c->site_learned = true;
        c->n_pairs = g->n_pairs;
        c->pair = g->pair;
        for (size_t i = 0; i < n; i++)
            offsets_on_forecast(g, i);
        size_t readings = 1; /* one reading may stand against several forecasts */
        for (size_t i = 1; i < g->n_pairs; i++)
            readings += g->pair[i].forecast.utc_s != g->pair[i - 1].forecast.utc_s;
        note(g, arena_print(g->mem, "This place's own offsets are laid on the forecast: %zu own reading%s.", readings,
                            readings == 1 ? "" : "s"));
    }
    c->spread = outlook_own_spread(g->n_pairs, g->pair);
    return ST_OK;
}

static enum status members(struct gather *g, size_t n_past, const struct hour past[], struct message *why)
{
    struct coming *c = g->c;
    const size_t n = c->n_before + c->n_hours;
    /* how far ahead an hour lies counts from the hour that has begun: hours are what a forecast is made of, and whoever
     * asks again within the hour meets the same weather */
    const int64_t hour_begun_utc_s = g->at_utc_s / HOUR_S * HOUR_S;
    const struct outlook_beyond beyond = { c->n_before + c->n_firm, n_past, past };

    c->member = ARENA_NEW(g->mem, struct hour, OUTLOOK_MEMBERS * n);
    if (!c->member)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    outlook_members(&c->spread, outlook_seed, hour_begun_utc_s, n, c->line, &beyond, c->member);
    return ST_OK;
}

/* What the line lacks makes the hours after it unusable: it ends where temperature or wind ends. */
static enum status trim(struct gather *g, struct message *why)
{
    struct coming *c = g->c;
    size_t good = 0;

    while (c->n_before > 0 && (isnan(c->line[0].temp_c) || isnan(c->line[0].wind_mps))) {
        c->line++;
        c->series.hours++;
        c->series.n_hours--;
        c->n_before--;
        c->series.n_firm -= c->series.n_firm > 0;
    }
    for (size_t i = 0; i < c->n_before; i++)
        if (isnan(c->line[i].temp_c) ||
            isnan(c->line[i].wind_mps)) { /* a hole in the past days: only what follows it counts */
            c->line += i + 1;
            c->series.hours += i + 1;
            c->series.n_hours -= i + 1;
            c->n_before -= i + 1;
            c->series.n_firm -= c->series.n_firm > i ? i + 1 : c->series.n_firm;
            i = (size_t)-1;
        }
    while (good < c->n_hours && isfinite(c->line[c->n_before + good].temp_c) &&
           isfinite(c->line[c->n_before + good].wind_mps))
        good++;
    if (good < 7)
        return refuse(ST_NOT_FOUND, why, "weather",
                      "no weather is known for the coming hours; fetch a forecast (leenest weather "
                      "fetch), import one (leenest weather import FILE) or type it (leenest weather type \"low 12F, "
                      "wind SW 15 mph\")");
    if (good < c->n_hours)
        note(g, arena_print(g->mem, "Weather is known for %zu hours only.", good));
    c->n_hours = good;
    c->n_firm = c->series.n_firm > c->n_before ? c->series.n_firm - c->n_before : 0;
    if (c->n_firm > good)
        c->n_firm = good;
    return ST_OK;
}

static const char *of_hours(struct gather *g, size_t n)
{
    return n == g->c->n_hours ? "all of the coming hours"
                              : arena_print(g->mem, "%zu of the coming %zu hours", n, g->c->n_hours);
}

/* What the figures of the coming hours lean on: only what the reckoning uses, and only hours that are still to come. */
static void say_holes(struct gather *g, size_t wanted_before)
{
    static const struct {
        enum series_field f;
        const char *filled, *missing;
    } field[] = {
        { SERIES_TEMP, "temperature taken between the hours beside them", NULL },
        { SERIES_WIND, "wind taken between the hours beside them", NULL },
        { SERIES_WIND_FROM, "the wind's direction taken between the hours beside them",
          "the wind's direction is not known" },
        { SERIES_CLOUD, "cloud is not given; the last known is carried for 3 h, then half a sky is taken",
          "cloud is not known" },
        { SERIES_RAIN, "no rain taken between dry hours", "how much rain or snow falls is not known" },
    };
    const struct coming *c = g->c;
    size_t beyond = 0;

    for (size_t k = 0; k < COUNT(field); k++) {
        size_t filled = 0, missing = 0;
        for (size_t h = c->n_before; h < c->n_before + c->n_hours; h++) {
            const struct series_hour *x = &c->series.hours[h];
            filled += x->from[field[k].f] == SERIES_BY_RULE;
            missing += x->from[field[k].f] == SERIES_NOT_KNOWN &&
                       !(field[k].f == SERIES_WIND_FROM && x->is.wind_mps < 0.3); /* a calm comes from nowhere */
        }
        if (filled)
            note(g, arena_print(g->mem, "In %s %s.", of_hours(g, filled), field[k].filled));
        if (missing && field[k].missing)
            note(g, arena_print(g->mem, "In %s %s.", of_hours(g, missing), field[k].missing));
    }
    for (size_t h = c->n_before; h < c->n_before + c->n_hours; h++)
        beyond += h >= c->n_before + c->n_firm;
    if (beyond)
        note(g,
             arena_print(g->mem, "The last %zu of the coming %zu hours lie beyond the forecast and lean on past years.",
                         beyond, c->n_hours));
    if (c->n_before + 6 < wanted_before)
        note(g, arena_print(
                    g->mem,
                    "Of the %zu h before now %s is known: straw is taken as recorded and the ground as not yet frozen.",
                    wanted_before,
                    c->n_before == 0 ? "no weather" : arena_print(g->mem, "the weather of %zu h alone", c->n_before)));
}

/* All sources together, with past years where the forecast ends, and the versions of them. */
static enum status lines(struct gather *g, int64_t known_to, struct arena *scratch, struct message *why)
{
    struct coming *c = g->c;
    const size_t n_before = c->n_before, n_hours = c->n_hours;
    struct hour *past = NULL;
    size_t n_past = 0;
    enum status st = past_years(g, known_to, scratch, &past, &n_past, why);

    while (st == ST_OK && n_past > 0 && past[n_past - 1].utc_s >= c->from_utc_s)
        n_past--; /* sorted; a year on file may hold what is still to come at the moment asked about */
    if (st == ST_OK)
        st = series_merge(g->from_utc_s, n_before + n_hours, g->n_sources, g->sources, g->mem, &c->series, why);
    if (st == ST_OK && c->series.n_firm < c->series.n_hours && n_past > 0) {
        after_the_forecast(g, n_past, past, &c->series);
        st = series_merge(g->from_utc_s, n_before + n_hours, g->n_sources, g->sources, g->mem, &c->series, why);
    }
    if (st != ST_OK)
        return st;
    c->sources = g->sources;
    c->n_sources = g->n_sources;
    c->line = series_plain(&c->series, g->mem);
    if (!c->line)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    st = trim(g, why);
    if (st == ST_OK)
        say_holes(g, n_before);
    if (st == ST_OK)
        st = sun_and_offsets(g, why);
    if (st == ST_OK)
        st = members(g, n_past, past, why);
    return st;
}

enum status coming_read(struct farm *farm, const struct desk_place *place, const struct zone *zone, int64_t at_utc_s,
                        int64_t known_to, size_t n_before, size_t n_hours, struct arena *mem, struct coming *c,
                        struct message *why)
{
    struct gather g = { .farm = farm, .place = place, .zone = zone, .at_utc_s = at_utc_s, .mem = mem, .c = c };

    *c = (struct coming){ .from_utc_s = hour_of(at_utc_s), .n_before = n_before, .n_hours = n_hours };
    g.from_utc_s = c->from_utc_s - (int64_t)n_before * HOUR_S;
    g.to_utc_s = c->from_utc_s + (int64_t)n_hours * HOUR_S;
    g.sources = ARENA_NEW(mem, struct series_source, MOST_SOURCES);
    g.pair = ARENA_NEW(mem, struct outlook_pair, MOST_PAIRS);
    c->note = ARENA_NEW(mem, const char *, MOST_NOTES);
    if (!c->note || !g.pair || !g.sources)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (!isfinite(place->lat_deg) || !isfinite(place->lon_deg))
        return refuse(ST_NOT_FOUND, why, "lat",
                      "where the farm lies is not recorded: leenest record farm --lat ... --lon ...");

    enum status st = readings(&g, known_to, why);
    if (st == ST_OK)
        st = observed(&g, known_to, why);
    if (st == ST_OK)
        st = forecasts(&g, WEATHER_FORECAST, known_to, why);
    if (st == ST_OK)
        st = forecasts(&g, WEATHER_TYPED, known_to, why);
    if (st == ST_OK) { /* past years are long, and done with when the lines are drawn */
        struct arena scratch;
        arena_open(&scratch, SCRATCH);
        st = lines(&g, known_to, &scratch, why);
        arena_close(&scratch);
    }
    return st;
}

/* ---- in an answer ---- */

static const char *place_in_words(const struct coming *c, int64_t at_utc_s, struct arena *mem)
{
    if (!c->forecast_name)
        return "There is no forecast: past years of the same season stand in.";
    const double age_h = (double)(at_utc_s - c->forecast_made_utc_s) / (double)HOUR_S;
    if (age_h < 1.0)
        return arena_print(mem, "%s, made within the hour.", c->forecast_name);
    return arena_print(mem, "%s, made %.0f h ago%s.", c->forecast_name, floor(age_h + 0.5),
                       age_h > 12.0 ? ": old, fetch a fresh one" : "");
}

void coming_answer(const struct coming *c, int64_t at_utc_s, struct answer *parent)
{
    struct answer *w = answer_object(parent, "weather");
    const size_t n = c->n_hours;
    const struct hour *x = c->line + c->n_before;
    struct arena *mem = parent->mem;
    static const struct {
        const char *key;
        int digits;
    } column[] = {
        { "temp_c", 1 },      { "wind_mps", 1 }, { "gust_mps", 1 }, { "wind_from_deg", 0 },
        { "cloud_oktas", 0 }, { "rain_mm", 2 },  { "snow", 0 },     { "daylight", 0 },
    };
    double *at[COUNT(column)];

    answer_text(w, "says", place_in_words(c, at_utc_s, mem));
    answer_moment(w, "from", c->from_utc_s);
    answer_text(w, "forecast", c->forecast_name);
    if (c->forecast_name) {
        answer_moment(w, "made", c->forecast_made_utc_s);
        answer_real(w, "age_h", (double)(at_utc_s - c->forecast_made_utc_s) / (double)HOUR_S);
    }
    answer_whole(w, "firm_h", (int64_t)c->n_firm);
    answer_text(w, "credit", c->credit);
    struct answer *notes = answer_list(w, "notes");
    for (size_t i = 0; i < c->n_notes; i++)
        answer_words(notes, c->note[i]);
    struct answer *h = answer_object(w, "hours"), *time = answer_list(h, "time");
    for (size_t i = 0; i < n; i++)
        answer_moment_item(time, x[i].utc_s);
    for (size_t k = 0; k < COUNT(column); k++) {
        at[k] = ARENA_NEW(mem, double, n);
        if (!at[k])
            return;
    }
    for (size_t i = 0; i < n; i++) {
        const double value[COUNT(column)] = { x[i].temp_c,      x[i].wind_mps,
                                              x[i].gust_mps,    x[i].wind_from_deg,
                                              x[i].cloud_oktas, x[i].rain_mm,
                                              x[i].snow,        c->daylight[c->n_before + i] };
        for (size_t k = 0; k < COUNT(column); k++)
            at[k][i] = value[k];
    }
    for (size_t k = 0; k < COUNT(column); k++)
        answer_reals(h, column[k].key, at[k], n, column[k].digits);
}

bool coming_frost_within(const struct coming *c, size_t hours)
{
    for (size_t i = 0; c && i < hours && i < c->n_hours; i++)
        if (c->line[c->n_before + i].temp_c < 0.0)
            return true;
    return false;
}
