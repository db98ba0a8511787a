/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon facing: which way the opening of a hut should look, from hours of weather at its place. */
#include "core/nest/facing.h"

#include <math.h>
#include <string.h>

#include "core/air/rose.h"
#include "core/base/civil.h"
#include "desk/reckon/reckon.h"
#include "desk/reckon/weather_in.h"

enum { LAT = WIN_END, LON, MONTHS, NIGHT_ONLY, SHELTER, WALL, FLAP, STRAW_DEPTH, COMFORT };

static const struct param params[] = {
    WEATHER_IN_PARAMS,
    [LAT] = { "lat", P_QUANTITY, Q_ANGLE, -90, 90, NULL, NULL, 0,
              "latitude, north positive; that of the file unless given" },
    [LON] = { "lon", P_QUANTITY, Q_ANGLE, -180, 180, NULL, NULL, 0,
              "longitude, east positive; that of the file unless given" },
    [MONTHS] = { "months", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                 "12,1,2 or Dec-Feb; of the evening with --night-only; all unless given" },
    [NIGHT_ONLY] = { "night-only", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "only 18:00 to 06:00 local standard time" },
    [SHELTER] = { "shelter", P_CHOICE, Q_NUMBER, 0, 0, "hut", "hut|lee", 0,
                  "a hut, or a nest with its windbreak behind it" },
    [WALL] = { "wall", P_CHOICE, Q_NUMBER, 0, 0, "steel", "steel|plastic|wood|insulated", 0, "wall of the hut" },
    [FLAP] = { "flap", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "a flap hangs in the door" },
    [STRAW_DEPTH] = { "straw-depth", P_QUANTITY, Q_LENGTH, 0, 1.5, "20 cm", NULL, 0, "settled depth of straw" },
    [COMFORT] = { "comfort", P_QUANTITY, Q_TEMPERATURE, -20, 30, "8 C", NULL, 0,
                  "line under which an hour counts as cold: how it feels to a wet newborn" },
};

static const struct shape shape[] = {
    { "best_facing_deg", SHAPE_REAL, false, "middle of the best run" },
    { "worst_facing_deg", SHAPE_REAL, false, "" },
    { "best_cold_degree_hours_per_day", SHAPE_REAL, false, "" },
    { "worst_cold_degree_hours_per_day", SHAPE_REAL, false, "" },
    { "arcs", SHAPE_LIST, false, "every bearing within 5 % of the range, the best's arc first" },
    { "arcs[]", SHAPE_OBJECT, false, "clockwise, both ends belong to it" },
    { "arcs[].from_deg", SHAPE_REAL, false, "" },
    { "arcs[].to_deg", SHAPE_REAL, false, "" },
    { "hardly_matters", SHAPE_FLAG, false, "best and worst differ by less than 15 %" },
    { "nothing_differs", SHAPE_FLAG, false, "then the best has most morning sun" },
    { "by_facing", SHAPE_LIST, false, "every 5 degrees" },
    { "by_facing[]", SHAPE_OBJECT, false, "" },
    { "by_facing[].facing_deg", SHAPE_REAL, false, "" },
    { "by_facing[].cold_degree_hours_per_day", SHAPE_REAL, false, "" },
    { "by_facing[].wind_mps", SHAPE_REAL, false, "mean into the opening, at a door's height" },
    { "by_facing[].rain_mm", SHAPE_REAL, false, "driven into the opening in all these hours, L/m2" },
    { "by_facing[].sun_kwh_m2_day", SHAPE_REAL, false, "into the opening" },
    { "by_facing[].morning_sun_kwh_m2_day", SHAPE_REAL, false, "before solar noon" },
    { "hours", SHAPE_WHOLE, false, "taken" },
    { "skipped_hours", SHAPE_WHOLE, false, "without temperature or wind" },
    { "calm_hours", SHAPE_WHOLE, false, "" },
    { "variable_hours", SHAPE_WHOLE, false, "wind from no steady or no known side" },
    { "mean_wind_mps", SHAPE_REAL, true, "at 10 m, calm hours too" },
    { "modal_sector", SHAPE_TEXT, true, "where the wind comes from most often, 16 points" },
    { "vector_mean_from_deg", SHAPE_REAL, true, "of the mean wind vector" },
    { "steadiness", SHAPE_REAL, true, "0 .. 1; under 0.3 there is no prevailing wind" },
    { "prevailing", SHAPE_FLAG, false, "steadiness of 0.3 or more" },
    { "rose", SHAPE_REALS, false, "hours by sector, 16 from N clockwise" },
    SHAPE_WEATHER_IN,
    SHAPE_CAUTIONS,
    SHAPE_ASSUMED,
};

/* The hours a facing is asked for, by the same rule as core/nest/facing.h. */
static bool taken(const struct hour *h, const struct facing_ask *ask)
{
    const int64_t local_s = h->utc_s + ask->standard_offset_s;
    const struct civil c = civil_from_seconds(local_s);
    int month = c.month;

    if (ask->night_only) {
        if (c.hour >= 6 && c.hour < 18)
            return false;
        month = civil_from_seconds(local_s - 6 * HOUR_S).month;   /* the night belongs to its evening */
    }
    return ask->months == 0 || (ask->months >> (month - 1) & 1u);
}

static enum status place_of(const struct asked *q, const struct weather *w, double *lat, double *lon, struct answer *said,
                            struct message *why)
{
    *lat = given_is(q, LAT) ? given_real(q, LAT) : w->lat_deg;
    *lon = given_is(q, LON) ? given_real(q, LON) : w->lon_deg;
    if (isnan(*lat) || isnan(*lon))
        return refuse(ST_BAD_INPUT, why, isnan(*lat) ? "lat" : "lon",
                      "--%s is needed: the weather file does not say where it is from", isnan(*lat) ? "lat" : "lon");
    if (!given_is(q, LAT) || !given_is(q, LON))
        answer_words(said, arena_print(q->mem, "place %.3f, %.3f: as the weather file says", *lat, *lon));
    return ST_OK;
}

static void shelter_of(const struct asked *q, struct shelter *s)
{
    *s = shelter_default(strcmp(given_text(q, SHELTER), "lee") == 0 ? SHELTER_LEE : SHELTER_HUT);
    for (int w = 0; w < HUT_WALL_END; w++)
        if (strcmp(hut_wall_name[w], given_text(q, WALL)) == 0)
            s->hut.wall = (enum hut_wall)w;
    s->hut.flap = given_flag(q, FLAP);
    s->straw_m = given_real(q, STRAW_DEPTH);
    if (!(s->straw_m > 0.0))
        s->floor = PIGLET_SOIL;
}

static void answer_facing(const struct facing *f, struct answer *a)
{
    answer_real(a, "best_facing_deg", f->best_deg);
    answer_real(a, "worst_facing_deg", f->worst_deg);
    answer_real(a, "best_cold_degree_hours_per_day", f->best);
    answer_real(a, "worst_cold_degree_hours_per_day", f->worst);
    struct answer *arcs = answer_list(a, "arcs");
    for (size_t i = 0; i < f->n_arcs; i++) {
        struct answer *arc = answer_item(arcs);
        answer_real(arc, "from_deg", f->arcs[i].from_deg);
        answer_real(arc, "to_deg", f->arcs[i].to_deg);
    }
    answer_flag(a, "hardly_matters", f->hardly_matters);
    answer_flag(a, "nothing_differs", f->nothing_differs);
    struct answer *rows = answer_list(a, "by_facing");
    for (size_t i = 0; i < FACING_BEARINGS; i++) {
        struct answer *row = answer_item(rows);
        answer_real(row, "facing_deg", f->rows[i].facing_deg);
        answer_real(row, "cold_degree_hours_per_day", f->rows[i].cold_degree_hours_per_day);
        answer_real(row, "wind_mps", f->rows[i].wind_mps);
        answer_real(row, "rain_mm", f->rows[i].rain_l_m2);
        answer_real(row, "sun_kwh_m2_day", f->rows[i].sun_kwh_m2_day);
        answer_real(row, "morning_sun_kwh_m2_day", f->rows[i].morning_sun_kwh_m2_day);
    }
    answer_whole(a, "hours", (int64_t)f->hours);
    answer_whole(a, "skipped_hours", (int64_t)f->skipped_hours);
    answer_whole(a, "calm_hours", (int64_t)f->calm_hours);
    answer_whole(a, "variable_hours", (int64_t)f->variable_hours);
}

static enum status answer_rose(const struct asked *q, const struct weather *w, const struct facing_ask *ask, struct answer *a,
                               struct message *why)
{
    struct hour *kept = ARENA_NEW(q->mem, struct hour, w->n);
    double *count = ARENA_NEW(q->mem, double, ROSE_SECTORS);
    size_t n = 0;

    if (!kept || !count)
        return refuse(ST_NO_MEMORY, why, "weather", "--weather: too many hours");
    for (size_t i = 0; i < w->n; i++)
        if (taken(&w->hour[i], ask))
            kept[n++] = w->hour[i];
    const struct rose rose = rose_of(n, kept, 0.0);
    answer_real_or(a, "mean_wind_mps", rose.mean_mps, "no hour has a wind");
    answer_text(a, "modal_sector", rose.modal >= 0 ? rose_sector_name[rose.modal] : NULL);
    answer_real_or(a, "vector_mean_from_deg", rose.vector_from_deg, "no wind, or from all sides alike");
    answer_real_or(a, "steadiness", rose.steadiness, "no hour has a wind");
    answer_flag(a, "prevailing", rose.prevailing);
    memcpy(count, rose.count, ROSE_SECTORS * sizeof *count);
    answer_reals(a, "rose", count, ROSE_SECTORS, 3);
    return ST_OK;
}

static void answer_said(const struct asked *q, const struct answer *said, const struct facing *f, struct answer *a)
{
    struct answer *cautions = answer_list(a, "cautions"), *assumed = asked_assumed(q, a);

    answer_words(
        cautions,
        "Bearings are from true north; a compass needs its local correction. The field's own shelter, slope and "
        "drifts count too: look before you set a hut, and tie it down.");
    for (const struct answer *w = said->first; w; w = w->next)
        answer_words(assumed, w->is.text);
    if (f->no_cloud_hours)
        answer_words(assumed, arena_print(q->mem, "cloud 4 oktas in %zu hours that nobody looked", f->no_cloud_hours));
    if (f->no_rain_hours)
        answer_words(assumed, arena_print(q->mem, "no rain in %zu hours that have no reading of it", f->no_rain_hours));
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct answer said = { .kind = ANSWER_LIST, .mem = q->mem };   /* until its place in the answer comes */
    struct weather w, filled;
    struct facing *f = ARENA_NEW(q->mem, struct facing, 1);
    struct facing_ask ask = facing_ask_default();
    struct shelter shelter;
    enum status st = f ? ST_OK : refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");

    ask.months = 0;
    if (st == ST_OK && given_is(q, MONTHS))
        st = months_read(given_text(q, MONTHS), &ask.months, why);
    if (st == ST_OK)
        st = weather_in_read_once(q, &w, why);
    if (st == ST_OK)
        st = place_of(q, &w, &ask.lat_deg, &ask.lon_deg, &said, why);
    if (st == ST_OK)
        st = weather_fill(&w, q->mem, &filled, why);
    if (st != ST_OK)
        return st;
    shelter_of(q, &shelter);
    ask.n = filled.n;
    ask.hours = filled.hour;
    ask.shelter = &shelter;
    ask.comfort_c = given_real(q, COMFORT);
    ask.night_only = given_flag(q, NIGHT_ONLY);
    ask.standard_offset_s = weather_in_standard_s(q, &w);
    st = facing_find(&ask, q->mem, f, why);
    if (st == ST_OK && f->hours == 0)
        st = refuse(ST_BAD_INPUT, why, "months", "--months: no hour with temperature and wind lies in them; give others");
    if (st != ST_OK)
        return st;
    answer_facing(f, a);
    st = answer_rose(q, &w, &ask, a, why);
    for (size_t i = w.n_notes; i < filled.n_notes; i++)   /* what the filling of gaps adds to what the files say */
        answer_words(&said, filled.note[i]);
    weather_in_answer(&w, a);
    answer_said(q, &said, f, a);
    return st;
}

const struct question piece_facing = {
    "facing",    "Which way the opening of a hut should look at a place, from hours of weather there",
    params,      COUNT(params),
    shape,       COUNT(shape),
    "by_facing", put,
};
