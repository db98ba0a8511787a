/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon facing: which way the opening of a hut should look, from hours of weather at its place. */
#include "core/nest/facing.h"

#include <math.h>
#include <string.h>

#include "desk/facing_words.h"
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
    SHAPE_FACING,
    SHAPE_WEATHER_IN,
    SHAPE_CAUTIONS,
    SHAPE_ASSUMED,
};

static enum status place_of(const struct asked *q, const struct weather *w, double *lat, double *lon,
                            struct answer *said, struct message *why)
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

static void answer_said(const struct asked *q, const struct answer *said, const struct facing *f, struct answer *a)
{
    struct answer *cautions = answer_list(a, "cautions"), *assumed = asked_assumed(q, a);

    answer_words(
        cautions,
        "Bearings are from true north; a compass needs its local correction. The field's own shelter, slope and "
        "drifts count too: look before you set a hut, and tie it down.");
    for (const struct answer *w = said->first; w; w = w->next)
        answer_words(assumed, w->is.text);
    facing_answer_assumed(f, assumed);
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct answer said = { .kind = ANSWER_LIST, .mem = q->mem }; /* until its place in the answer comes */
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
    st = facing_find_on_two(&ask, q->mem, NULL, f, why);
    if (st == ST_OK && f->hours == 0)
        st = refuse(ST_BAD_INPUT, why, "months",
                    "--months: no hour with temperature and wind lies in them; give others");
    if (st != ST_OK)
        return st;
    facing_answer(f, a);
    struct facing_ask read = ask; /* the rose counts what was read, not what was filled */
    read.n = w.n;
    read.hours = w.hour;
    st = facing_answer_rose(&read, q->mem, a, why);
    for (size_t i = w.n_notes; i < filled.n_notes; i++) /* what the filling of gaps adds to what the files say */
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
