/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * where: which way huts should look at this farm's own site, from the past hours kept in the farm file: every good arc,
 * the same bearing by map, compass and sun, what wind, rain and sun each do, and whether the huts that stand are worth
 * turning. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/sun/sun.h"
#include "desk/facing_words.h"
#include "desk/herd.h"
#include "desk/memory.h"
#include "desk/questions.h"
#include "desk/reckon/reckon.h"
#include "desk/when.h"
#include "desk/where_huts.h"
#include "farm/weather_store.h"

enum { AT, MONTHS, NIGHT_ONLY, SHELTER, WALL, FLAP, STRAW_DEPTH, COMFORT, DECLINATION };

static const struct param params[] = {
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
    [MONTHS] = { "months", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                 "12,1,2 or Dec-Feb; the months of cold unless given: Nov-Mar in the north, May-Sep in the south" },
    [NIGHT_ONLY] = { "night-only", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "only 18:00 to 06:00 local standard time" },
    [SHELTER] = { "shelter", P_CHOICE, Q_NUMBER, 0, 0, "hut", "hut|lee", 0,
                  "a hut, or a nest with its windbreak behind it" },
    [WALL] = { "wall", P_CHOICE, Q_NUMBER, 0, 0, NULL, "steel|plastic|wood|insulated", 0,
               "wall of the hut; that of the commonest hut here unless given" },
    [FLAP] = { "flap", P_CHOICE, Q_NUMBER, 0, 0, NULL, "none|hung", 0,
               "curtain at the door; as in the commonest hut here unless given" },
    [STRAW_DEPTH] = { "straw-depth", P_QUANTITY, Q_LENGTH, 0, 1.5, "20 cm", NULL, 0, "settled depth of straw" },
    [COMFORT] = { "comfort", P_QUANTITY, Q_TEMPERATURE, -20, 30, "8 C", NULL, 0,
                  "line under which an hour counts as cold: how it feels to a wet newborn" },
    [DECLINATION] = { "declination", P_QUANTITY, Q_ANGLE, -90, 90, NULL, NULL, 0,
                      "how far the compass points east of true north, west minus; as recorded unless given" },
};

/* What is asked, and what it was asked with. */
struct site {
    const struct asked *q;
    struct herd herd;
    struct shelter shelter;
    struct facing_ask ask;
    struct facing *f;
    double declination_deg;
    struct answer *said; /* what was assumed, until its place in the answer comes */
};

/* ---- what is asked ---- */

static enum status months_of(struct site *s, struct message *why)
{
    const bool south = s->herd.place.lat_deg < 0.0;

    if (given_is(s->q, MONTHS))
        return months_read(given_text(s->q, MONTHS), &s->ask.months, why);
    answer_words(s->said, south ? "months May to September: the cold half of the year in the south"
                                : "months November to March: the cold half of the year in the north");
    return months_read(south ? "May-Sep" : "Nov-Mar", &s->ask.months, why);
}

static void shelter_of(struct site *s)
{
    const bool hut = strcmp(given_text(s->q, SHELTER), "hut") == 0;
    const struct herd_site *usual = hut ? where_usual_hut(&s->herd) : NULL;
    const char *wall = given_text(s->q, WALL), *flap = given_text(s->q, FLAP);

    s->shelter = usual ? where_as_made(&usual->is, 0.0) : shelter_default(hut ? SHELTER_HUT : SHELTER_LEE);
    if (usual && !(wall && flap))
        answer_words(s->said,
                     arena_print(s->q->mem, "made as %s is, the commonest kind of hut here: %s, %s", usual->name,
                                 hut_wall_name[usual->is.hut.wall], usual->is.hut.flap ? "flap hung" : "no flap"));
    else if (hut && !usual)
        answer_words(s->said, "a hut of 2.4 x 1.8 m: no hut is recorded here");
    for (int w = 0; wall && w < HUT_WALL_END; w++)
        if (strcmp(hut_wall_name[w], wall) == 0)
            s->shelter.hut.wall = (enum hut_wall)w;
    if (flap)
        s->shelter.hut.flap = strcmp(flap, "hung") == 0;
    s->shelter.straw_m = given_real(s->q, STRAW_DEPTH);
    s->shelter.floor = s->shelter.straw_m > 0.0 ? PIGLET_STRAW : PIGLET_SOIL;
}

static enum status past_hours(struct site *s, struct answer *a, struct message *why)
{
    struct weather_holding *held = NULL;
    struct weather_packed *packed = NULL; /* many years: unpacked they would be 130 bytes an hour */
    size_t n = 0, n_held = 0;
    const int64_t at = s->herd.at_utc_s;
    enum status st = farm_weather_packed(s->q->farm, NULL, WEATHER_PAST, INT64_MIN / 2, at, s->herd.known_to, s->q->mem,
                                         &packed, &n, why);

    if (st == ST_OK)
        st = farm_weather_holdings(s->q->farm, s->herd.known_to, s->q->mem, &held, &n_held, why);
    if (st != ST_OK)
        return st;
    if (n == 0)
        return refuse(ST_NOT_FOUND, why, "weather",
                      "no past hours of weather are kept; bring in some years of a station near by "
                      "with: leenest weather import FILE --as past");
    s->ask.n = n;
    s->ask.fetch = farm_weather_unpack;
    s->ask.from = packed;
    struct answer *sources = answer_list(a, "sources");
    for (size_t i = 0; i < n_held; i++)
        if (held[i].sort == WEATHER_PAST)
            answer_words(sources, held[i].source);
    return ST_OK;
}

struct span {
    int64_t first, last;
    size_t seasons;
};

static void span_of(const struct site *s, struct span *is)
{
    struct hour room[FACING_BLOCK];
    const struct hour *hours;

    *is = (struct span){ INT64_MAX, INT64_MIN, 0 };
    for (size_t from = 0, n; (n = facing_hours(&s->ask, from, room, &hours)) > 0; from += n)
        for (size_t i = 0; i < n; i++) {
            const int64_t t = hours[i].utc_s;
            if (!facing_takes(&s->ask, &hours[i]))
                continue;
            if (is->seasons == 0 || t - is->last > 60 * DAY_S) /* a gap of two months: another season */
                is->seasons++;
            is->first = t < is->first ? t : is->first;
            is->last = t;
        }
}

static void first_and_last(const struct site *s, struct answer *a)
{
    struct span is;

    span_of(s, &is);
    if (is.seasons == 0) {
        answer_null(a, "first", NULL);
        answer_null(a, "last", NULL);
    } else {
        answer_moment(a, "first", is.first);
        answer_moment(a, "last", is.last);
    }
    answer_whole(a, "seasons", (int64_t)is.seasons);
}

/* ---- the bearing by map, compass and sun ---- */

static double round_the_circle(double deg)
{
    const double d = fmod(deg, 360.0);
    return d < 0.0 ? d + 360.0 : d;
}

/* When the sun next stands over a bearing: today, or tomorrow where that is past. */
static bool sun_next_over(const struct herd *h, double bearing_deg, int64_t *at_utc_s)
{
    for (int day = 0; day < 2; day++)
        if (sun_when_over(h->at_utc_s + day * DAY_S, h->place.lat_deg, h->place.lon_deg, bearing_deg, at_utc_s) &&
            *at_utc_s >= h->at_utc_s)
            return true;
    return false;
}

/* Where the sun stands when it next rises, is highest or sets, whichever is nearest the bearing. False: it is not seen.
 */
static bool sun_beside(const struct herd *h, double bearing_deg, int64_t *at_utc_s, double *sun_deg, const char **when)
{
    double nearest = INFINITY;

    for (int day = 0; day < 2; day++) {
        const struct sun_day d = sun_day(h->at_utc_s + day * DAY_S, h->place.lat_deg, h->place.lon_deg);
        const struct sun_position noon = sun_position(d.transit_utc_s, h->place.lat_deg, h->place.lon_deg);
        const struct {
            bool is;
            int64_t at;
            double deg;
            const char *when;
        } mark[] = {
            { d.has_rise, d.rise_utc_s, d.rise_azimuth_deg, "sunrise" },
            { noon.elevation_deg > 0.0 && noon.elevation_deg < 85.0, d.transit_utc_s, noon.azimuth_deg, "midday" },
            { d.has_set, d.set_utc_s, d.set_azimuth_deg, "sunset" },
        };
        for (size_t i = 0; i < COUNT(mark); i++) {
            const double off = mark[i].is && mark[i].at >= h->at_utc_s
                                   ? fabs(remainder(mark[i].deg - bearing_deg, 360.0))
                                   : (double)INFINITY;
            if (off < nearest - 1.0) { /* a day later it is hardly elsewhere: the sooner one stands */
                nearest = off;
                *at_utc_s = mark[i].at;
                *sun_deg = mark[i].deg;
                *when = mark[i].when;
            }
        }
    }
    return isfinite(nearest);
}

static void moment_or_null(struct answer *row, const char *key, bool is, int64_t at, const char *because)
{
    if (is)
        answer_moment(row, key, at);
    else
        answer_null(row, key, because);
}

static void answer_bearing(const struct site *s, double deg, struct answer *row)
{
    const double compass = round_the_circle(deg - s->declination_deg);
    const char *when = NULL;
    double sun_deg = NAN;
    int64_t at = 0;

    answer_real(row, "true_deg", deg);
    answer_real_or(row, "compass_deg", compass, "how far the compass is off is not recorded");
    bool is = sun_next_over(&s->herd, deg, &at);
    moment_or_null(row, "sun_stands_there", is, at, "the sun does not stand there by day at this time of year");
    is = sun_next_over(&s->herd, round_the_circle(deg + 180.0), &at);
    moment_or_null(row, "shadow_falls_there", is, at, "no shadow falls that way at this time of year");
    is = sun_beside(&s->herd, deg, &at, &sun_deg, &when);
    struct answer *beside = answer_object(row, "sun_beside");
    moment_or_null(beside, "at", is, at, "the sun is not seen at this time of year");
    answer_text(beside, "when", when);
    answer_real(beside, "sun_deg", sun_deg);
    answer_real(beside, "turn_deg", is ? remainder(deg - sun_deg, 360.0) : (double)NAN);
}

static double middle_of(const struct facing_arc *arc)
{
    const double span =
        arc->to_deg >= arc->from_deg ? arc->to_deg - arc->from_deg : arc->to_deg + 360.0 - arc->from_deg;
    return round_the_circle(arc->from_deg + span / 2.0);
}

/* The best, and the middle of every further arc: two good arcs are two answers. */
static void answer_bearings(const struct site *s, struct answer *a)
{
    struct answer *list = answer_list(a, "bearings");

    answer_bearing(s, s->f->best_deg, answer_item(list));
    for (size_t i = 1; i < s->f->n_arcs; i++)
        answer_bearing(s, middle_of(&s->f->arcs[i]), answer_item(list));
    answer_real_or(a, "declination_deg", s->declination_deg,
                   "not recorded; correct the farm with --declination, east plus, west minus");
    const struct sun_day day = sun_day(s->herd.at_utc_s, s->herd.place.lat_deg, s->herd.place.lon_deg);
    const struct sun_position noon = sun_position(day.transit_utc_s, s->herd.place.lat_deg, s->herd.place.lon_deg);
    const char *side = !(noon.elevation_deg > 0.0)                           ? "below the horizon"
                       : noon.elevation_deg > 85.0                           ? "overhead"
                       : noon.azimuth_deg > 90.0 && noon.azimuth_deg < 270.0 ? "south"
                                                                             : "north";
    answer_text(a, "noon_sun", side);
}

/* ---- what wind, rain and sun each do ---- */

enum { PARTS = 3 };

static const struct {
    const char *key;
    enum where_without without;
} parts[PARTS] = { { "wind", WHERE_WIND }, { "rain", WHERE_RAIN }, { "sun", WHERE_SUN } };

static void want_parts(const struct site *s, struct where_job job[static PARTS])
{
    for (size_t p = 0; p < PARTS; p++) {
        job[p].is = s->shelter;
        job[p].without = parts[p].without;
        job[p].wanted[where_row_of(s->f->best_deg)] = true;
        job[p].wanted[where_row_of(s->f->worst_deg)] = true;
    }
}

/* How many of the degree-hours between best and worst are gone when one of the three is taken away. */
static void answer_parts(const struct site *s, const struct where_job job[static PARTS], struct answer *a)
{
    const size_t best = where_row_of(s->f->best_deg), worst = where_row_of(s->f->worst_deg);
    const double all = s->f->rows[worst].cold_degree_hours_per_day - s->f->rows[best].cold_degree_hours_per_day;
    struct answer *list = answer_object(a, "parts");

    answer_real(list, "between_best_and_worst", all);
    for (size_t p = 0; p < PARTS; p++)
        answer_real(list, parts[p].key,
                    all - (job[p].rows[worst].cold_degree_hours_per_day - job[p].rows[best].cold_degree_hours_per_day));
}

/* ---- the answer ---- */

static const char *months_words(unsigned months, struct arena *mem)
{
    const char *text = NULL;

    for (int m = 1; m <= 12; m++) {
        const bool on = months >> (m - 1) & 1u, before = months >> ((m + 10) % 12) & 1u;
        int last = m;
        if (!on || before)
            continue; /* runs begin here alone, so that November to March stays one */
        while (months >> (last % 12) & 1u)
            last++;
        const char *run =
            last == m ? when_month[m] : arena_print(mem, "%s-%s", when_month[m], when_month[(last - 1) % 12 + 1]);
        text = text ? arena_print(mem, "%s, %s", text, run) : run;
    }
    return text ? text : "all";
}

static void answer_words_of(const struct site *s, struct answer *a)
{
    struct answer *cautions = answer_list(a, "cautions"), *assumed = asked_assumed(s->q, a);

    answer_words(cautions, "The field's own hedges, slope and drifts are not in these hours: stand there in the wind "
                           "before you set a hut.");
    answer_words(cautions,
                 "Two people carry a hut; tie it down. Never turn or move one with a nest or a litter in it.");
    answer_words(cautions,
                 "This is for whole winters. For one night leenest tonight goes by that night's wind, and may "
                 "set a hut another way.");
    for (const struct answer *w = s->said->first; w; w = w->next)
        answer_words(assumed, w->is.text);
    facing_answer_assumed(s->f, assumed);
    struct answer *record = answer_list(a, "record");
    if (isnan(s->declination_deg))
        answer_words(record,
                     "How far the compass points off true north here, so that the bearing can be walked with one.");
    for (size_t i = 0; i < s->herd.n_sites; i++) {
        const struct herd_site *h = &s->herd.sites[i];
        if (h->placed && h->is.kind == SHELTER_HUT && isnan(h->is.hut.facing_deg))
            answer_words(record, arena_print(s->q->mem, "Which way the door of %s looks.", h->name));
    }
}

/* All bearings of the usual hut, and what parts and huts want: from memory where it is known. */
static enum status find_out(const struct site *s, struct where_job job[], struct where_huts *huts, struct message *why)
{
    struct where_rows *kept = desk_memory_rows(s->q->memory), *known = kept ? kept : where_rows_open();
    uint64_t digest[2];

    if (!known)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    where_digest(&s->ask, digest);
    enum status st = where_whole(known, &s->ask, digest, s->f, why);
    if (st == ST_OK)
        st = where_huts_want(&s->herd, s->shelter.straw_m, s->f, s->q->mem, job + PARTS, huts, why);
    if (st == ST_OK) {
        want_parts(s, job);
        st = where_some(known, &s->ask, digest, PARTS + huts->n_jobs, job, why);
    }
    if (!kept)
        where_rows_close(known);
    return st;
}

static enum status reckoned(struct site *s, struct answer *a, struct message *why)
{
    struct where_job *job = ARENA_NEW(s->q->mem, struct where_job, PARTS + s->herd.n_sites);
    struct where_huts huts;
    enum status st =
        job ? find_out(s, job, &huts, why) : refuse(ST_NO_MEMORY, why, "", "too many huts to hold at once");

    if (st != ST_OK)
        return st;
    answer_text(a, "months", months_words(s->ask.months, s->q->mem));
    answer_flag(a, "night_only", s->ask.night_only);
    first_and_last(s, a);
    answer_text(a, "shelter", shelter_kind_name[s->shelter.kind]);
    answer_text(a, "wall", s->shelter.kind == SHELTER_HUT ? hut_wall_name[s->shelter.hut.wall] : NULL);
    answer_flag(a, "flap", s->shelter.kind == SHELTER_HUT && s->shelter.hut.flap);
    facing_answer(s->f, a);
    answer_bearings(s, a);
    answer_parts(s, job, a);
    st = facing_answer_rose(&s->ask, s->q->mem, a, why);
    if (st == ST_OK)
        where_huts_answer(&s->herd, s->f, &huts, job + PARTS, a);
    return st;
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct answer said = { .kind = ANSWER_LIST, .mem = q->mem };
    struct site s = { .q = q, .ask = facing_ask_default(), .f = ARENA_NEW(q->mem, struct facing, 1), .said = &said };

    if (!s.f)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &s.herd, why);
    if (st != ST_OK)
        return st;
    answer_moment(a, "at", s.herd.at_utc_s);
    answer_whole(a, "known_to", s.herd.known_to);
    st = months_of(&s, why);
    if (st == ST_OK)
        st = past_hours(&s, a, why);
    if (st != ST_OK)
        return st;
    shelter_of(&s);
    s.declination_deg = given_is(q, DECLINATION) ? given_real(q, DECLINATION) : s.herd.place.declination_deg;
    s.ask.lat_deg = s.herd.place.lat_deg;
    s.ask.lon_deg = s.herd.place.lon_deg;
    s.ask.shelter = &s.shelter;
    s.ask.comfort_c = given_real(q, COMFORT);
    s.ask.night_only = given_flag(q, NIGHT_ONLY);
    struct hour earliest;
    s.ask.fetch(s.ask.from, 0, 1, &earliest);
    s.ask.standard_offset_s = zone_standard_offset_s(s.herd.zone, earliest.utc_s);
    st = reckoned(&s, a, why);
    if (st == ST_OK)
        answer_words_of(&s, a);
    return st;
}

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "the moment asked about" },
    { "known_to", SHAPE_WHOLE, false, "number of the newest change that was known" },
    { "sources", SHAPE_LIST, false, "where the past hours come from" },
    { "sources[]", SHAPE_TEXT, false, "" },
    { "months", SHAPE_TEXT, false, "that were taken" },
    { "night_only", SHAPE_FLAG, false, "" },
    { "first", SHAPE_MOMENT, true, "hour taken" },
    { "last", SHAPE_MOMENT, true, "" },
    { "seasons", SHAPE_WHOLE, false, "winters, or spells two months apart" },
    { "shelter", SHAPE_TEXT, false, "hut or lee" },
    { "wall", SHAPE_TEXT, true, "" },
    { "flap", SHAPE_FLAG, false, "" },
    SHAPE_FACING,
    { "bearings", SHAPE_LIST, false, "the best, then the middle of every further arc" },
    { "bearings[]", SHAPE_OBJECT, false, "" },
    { "bearings[].true_deg", SHAPE_REAL, false, "clockwise from true north" },
    { "bearings[].compass_deg", SHAPE_REAL, true, "the same on a compass" },
    { "bearings[].sun_stands_there", SHAPE_MOMENT, true, "next, today or tomorrow" },
    { "bearings[].shadow_falls_there", SHAPE_MOMENT, true, "next: the shadow of a post points that way" },
    { "bearings[].sun_beside", SHAPE_OBJECT, false, "the sun's rise, height or set nearest to it" },
    { "bearings[].sun_beside.at", SHAPE_MOMENT, true, "" },
    { "bearings[].sun_beside.when", SHAPE_TEXT, true, "sunrise, midday, sunset" },
    { "bearings[].sun_beside.sun_deg", SHAPE_REAL, true, "where it then stands" },
    { "bearings[].sun_beside.turn_deg", SHAPE_REAL, true, "from there to the bearing, clockwise (right) plus" },
    { "declination_deg", SHAPE_REAL, true, "how far the compass points east of true north" },
    { "noon_sun", SHAPE_TEXT, false, "south, north, overhead, below the horizon: where the midday sun stands today" },
    { "parts", SHAPE_OBJECT, false, "cold degree-hours a day" },
    { "parts.between_best_and_worst", SHAPE_REAL, false, "" },
    { "parts.wind", SHAPE_REAL, false, "of them gone if the wind came from no side; the three overlap" },
    { "parts.rain", SHAPE_REAL, false, "of them gone without rain" },
    { "parts.sun", SHAPE_REAL, false, "of them gone without sun" },
    SHAPE_WHERE_HUTS,
    { "record", SHAPE_LIST, false, "what to record to make it surer" },
    { "record[]", SHAPE_TEXT, false, "" },
    SHAPE_CAUTIONS,
    SHAPE_ASSUMED,
};

const struct question question_where = {
    "where",     "Which way huts should look here, from past years: by map, compass and sun; and what stands badly",
    params,      COUNT(params),
    shape,       COUNT(shape),
    "by_facing", put,
};
