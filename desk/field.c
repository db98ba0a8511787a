/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * field: one paddock to scale: outline, windbreaks, marks and huts on one plan, where the wind comes from, the sun's
 * way today, the ground sheltered in this site's own winds and where the next hut could stand. Which way a hut should
 * look is `where`'s to say. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/sun/sun.h"
#include "desk/coming.h"
#include "desk/facing_words.h"
#include "desk/field_inside.h"
#include "desk/reckon/reckon.h"
#include "desk/shelter_words.h"
#include "desk/unit_words.h"
#include "desk/when.h"
#include "farm/near.h"
#include "farm/weather_store.h"

/* ---- which field ---- */

static bool has_huts(const struct herd *h, size_t paddock)
{
    for (size_t i = 0; i < h->n_sites; i++)
        if (h->sites[i].placed && h->sites[i].paddock == paddock)
            return true;
    return false;
}

static enum status which(struct field *f, struct message *why)
{
    const struct herd *h = &f->herd;
    const char *name = given_text(f->q, FIELD_PADDOCK);

    f->at = HERD_NONE;
    if (h->n_paddocks == 0)
        return refuse(ST_NOT_FOUND, why, "paddock",
                      "no field is recorded yet; write one down with: leenest record paddock --name NAME");
    for (size_t i = 0; name && i < h->n_paddocks; i++)
        if (near_steps(h->paddocks[i].name, name) == 0 || strcmp(h->paddocks[i].uid, name) == 0)
            f->at = i;
    for (size_t i = 0; !name && i < h->n_paddocks && f->at == HERD_NONE; i++)
        if (has_huts(h, i))
            f->at = i;
    if (f->at == HERD_NONE && !name)
        f->at = 0;
    if (f->at != HERD_NONE)
        return ST_OK;
    const char *all = "";
    for (size_t i = 0; i < h->n_paddocks && i < 6; i++)
        all = arena_print(f->q->mem, "%s%s%s", all ? all : "", i ? ", " : "", h->paddocks[i].name);
    return refuse(ST_NOT_FOUND, why, "paddock", "there is no field \"%.40s\"; there are %.120s", name, all ? all : "");
}

static void outline_of(struct field *f)
{
    const struct herd_paddock *p = &f->herd.paddocks[f->at];

    f->outline = p->outline;
    f->n_outline = p->n_outline;
    if (f->n_outline || !(p->width_m > 0.0) || !(p->length_m > 0.0))
        return;
    struct corner *c = ARENA_NEW(f->q->mem, struct corner, 4);
    if (!c)
        return;
    c[1].x_m = c[2].x_m = p->width_m;
    c[2].y_m = c[3].y_m = p->length_m;
    f->outline = c;
    f->n_outline = 4;
}

static void columns(struct answer *row, const struct corner corners[], size_t n, struct arena *mem)
{
    double *x = ARENA_NEW(mem, double, n + 1), *y = ARENA_NEW(mem, double, n + 1);

    for (size_t i = 0; x && y && i < n; i++) {
        x[i] = corners[i].x_m;
        y[i] = corners[i].y_m;
    }
    if (x && y) {
        answer_reals(row, "x_m", x, n, 1);
        answer_reals(row, "y_m", y, n, 1);
    }
}

static void answer_paddock(const struct field *f, struct answer *a)
{
    const struct herd_paddock *p = &f->herd.paddocks[f->at];
    struct answer *list = answer_list(a, "paddocks");

    for (size_t i = 0; i < f->herd.n_paddocks; i++) {
        struct answer *row = answer_item(list);
        answer_text(row, "name", f->herd.paddocks[i].name);
        answer_text(row, "uid", f->herd.paddocks[i].uid);
    }
    struct answer *o = answer_object(a, "paddock");
    answer_text(o, "name", p->name);
    answer_text(o, "uid", p->uid);
    answer_real(o, "area_m2", isfinite(p->area_m2) ? p->area_m2 : corners_area_m2(f->outline, f->n_outline));
    answer_text(o, "drains", p->drains);
    answer_flag(o, "gateway_soft", p->gateway_soft);
    answer_real(o, "origin_lat_deg", p->origin_lat_deg);
    answer_real(o, "origin_lon_deg", p->origin_lon_deg);
    struct answer *outline = answer_object(a, "outline");
    answer_flag(outline, "recorded", p->n_outline > 0);
    columns(outline, f->outline, f->n_outline, f->q->mem);
}

/* ---- what stands on the plan ---- */

static void answer_breaks(struct field *f, struct answer *a)
{
    struct answer *list = answer_list(a, "breaks");

    for (size_t i = 0; i < f->herd.n_breaks; i++) {
        const struct herd_break *b = &f->herd.breaks[i];
        if (b->paddock != f->at && b->paddock != HERD_NONE)
            continue;
        struct answer *row = answer_item(list);
        answer_text(row, "name", b->name);
        answer_text(row, "uid", b->uid);
        answer_text(row, "is", b->kind);
        answer_real(row, "height_m", b->height_m);
        answer_real(row, "porosity", b->porosity);
        answer_real(row, "x_m", b->x_m);
        answer_real(row, "y_m", b->y_m);
        answer_real(row, "x2_m", b->x2_m);
        answer_real(row, "y2_m", b->y2_m);
        answer_print(row, "says", "%s, %s high", b->kind ? b->kind : "windbreak",
                     words_length(&f->herd.place, b->height_m, f->q->mem));
    }
}

static void answer_marks(const struct field *f, struct answer *a)
{
    static const struct {
        const char *is, *words;
    } words[] = { { "water", "water" }, { "wet", "wet ground" }, { "gateway", "gateway" }, { "tree", "tree" },
                  { "shade", "shade" }, { "stone", "stone" },    { "steep", "steep" } };
    struct answer *list = answer_list(a, "marks");

    for (size_t i = 0; i < f->herd.n_marks; i++) {
        const struct herd_mark *m = &f->herd.marks[i];
        const char *says = m->name;
        if (m->paddock != f->at)
            continue;
        for (size_t k = 0; k < COUNT(words) && !says; k++)
            says = strcmp(words[k].is, m->is) == 0 ? words[k].words : NULL;
        struct answer *row = answer_item(list);
        answer_text(row, "uid", m->uid);
        answer_text(row, "is", m->is);
        answer_text(row, "says", says ? says : m->is);
        columns(row, m->at, m->n, f->q->mem);
    }
}

static const char *who_lies(const struct herd *h, size_t site, struct arena *mem)
{
    const char *who = NULL;

    for (size_t i = 0; i < h->n_sows; i++)
        if (h->sows[i].nests_at == site)
            who = who ? arena_print(mem, "%s, %s", who, h->sows[i].name) : h->sows[i].name;
    return who;
}

static const char *leave_because(const struct field *f, const struct herd_site *s)
{
    const struct herd *h = &f->herd;

    if (s->litter_of != HERD_NONE)
        return arena_print(f->q->mem, "%s lies there with her litter: leave it as it stands.",
                           h->sows[s->litter_of].name);
    if (s->nest_of != HERD_NONE)
        return arena_print(f->q->mem, "%s nests there: leave it as it stands.", h->sows[s->nest_of].name);
    return s->frozen_in ? "Frozen to the ground: not before it comes loose." : NULL;
}

static void answer_hut(const struct field *f, size_t i, struct answer *row)
{
    const struct herd_site *s = &f->herd.sites[i];
    const bool hut = s->is.kind == SHELTER_HUT;
    const char *leave = leave_because(f, s);

    answer_text(row, "name", s->name);
    answer_text(row, "kind", shelter_kind_name[s->is.kind]);
    answer_text(row, "shelter", *s->shelter_uid ? s->shelter_uid : NULL);
    answer_text(row, "placement", s->uid);
    answer_real(row, "x_m", s->x_m);
    answer_real(row, "y_m", s->y_m);
    answer_real(row, "facing_deg", hut ? s->is.hut.facing_deg : (double)NAN);
    answer_real(row, "length_m", hut ? s->is.hut.floor_length_m : (double)NAN);
    answer_real(row, "width_m", hut ? s->is.hut.floor_width_m : (double)NAN);
    answer_flag(row, "flap", hut && s->is.hut.flap);
    answer_flag(row, "flap_possible", hut && s->flap_possible);
    answer_real(row, "straw_m", s->is.floor == PIGLET_STRAW ? s->is.straw_m : 0.0);
    answer_text(row, "straw",
                s->is.floor == PIGLET_STRAW && s->is.straw_m > 0.0 ? straw_state_name[s->is.straw] : "none");
    answer_text(row, "who", who_lies(&f->herd, i, f->q->mem));
    answer_flag(row, "drift_prone", s->drift_prone);
    answer_flag(row, "leave", leave != NULL);
    answer_text(row, "leave_because", leave);
    answer_text(row, "says", shelter_words(&f->herd.place, &s->is, f->q->mem));
}

static void answer_huts(const struct field *f, struct answer *a)
{
    const struct herd *h = &f->herd;
    struct answer *huts = answer_list(a, "huts"), *elsewhere = answer_list(a, "elsewhere");

    for (size_t i = 0; i < h->n_sites; i++) {
        const struct herd_site *s = &h->sites[i];
        if (s->placed && s->paddock == f->at) {
            answer_hut(f, i, answer_item(huts));
        } else if (s->is.kind == SHELTER_HUT) {
            struct answer *row = answer_item(elsewhere);
            answer_text(row, "name", s->name);
            answer_text(row, "shelter", s->shelter_uid);
            answer_text(row, "where",
                        !s->placed                ? "in store"
                        : s->paddock == HERD_NONE ? "in no field that is recorded"
                                                  : h->paddocks[s->paddock].name);
        }
    }
}

/* ---- wind and sun ---- */

static void add_cold(double weight[ROSE_SECTORS], const struct hour *h)
{
    const int sector = h->wind_variable ? -1 : rose_sector(h->wind_from_deg);
    if (sector >= 0 && h->wind_mps > 0.0 && isfinite(h->temp_c))
        weight[sector] += h->wind_mps * fmax(0.0, 10.0 - h->temp_c);
}

static void rose_columns(const struct field *f, const struct rose *rose, struct answer *o)
{
    double *share = ARENA_NEW(f->q->mem, double, ROSE_SECTORS), *speed = ARENA_NEW(f->q->mem, double, ROSE_SECTORS);

    if (!share || !speed)
        return;
    for (size_t i = 0; i < ROSE_SECTORS; i++) {
        share[i] = rose->hours ? rose->count[i] / (double)rose->hours : 0.0;
        speed[i] = rose->count[i] > 0.0 ? rose->speed_sum[i] / rose->count[i] : (double)NAN;
    }
    answer_whole(o, "hours", (int64_t)rose->hours);
    answer_real(o, "calm", rose->hours ? (double)(rose->calm + rose->variable) / (double)rose->hours : (double)NAN);
    answer_reals(o, "share", share, ROSE_SECTORS, 4);
    answer_reals(o, "wind_mps", speed, ROSE_SECTORS, 1);
    answer_text(o, "mostly", rose->modal >= 0 ? rose_sector_name[rose->modal] : NULL);
}

static enum status past_wind(struct field *f, struct answer *o, struct message *why)
{
    struct facing_ask ask = facing_ask_default();
    struct hour *hours = NULL;
    size_t n = 0, kept = 0;
    const char *months = given_text(f->q, FIELD_MONTHS);

    enum status st = months_read(months                        ? months
                                 : f->herd.place.lat_deg < 0.0 ? "May-Sep"
                                                               : "Nov-Mar",
                                 &ask.months, why);
    if (st == ST_OK)
        st = farm_weather_hours(f->q->farm, NULL, WEATHER_PAST, INT64_MIN / 2, f->herd.at_utc_s, f->herd.known_to,
                                f->q->mem, &hours, &n, why);
    if (st != ST_OK)
        return st;
    ask.standard_offset_s = zone_standard_offset_s(f->herd.zone, f->herd.at_utc_s);
    for (size_t i = 0; i < n; i++)
        if (facing_takes(&ask, &hours[i])) {
            hours[kept++] = hours[i];
            add_cold(f->cold_weight, &hours[i]);
        }
    const struct rose rose = rose_of(kept, hours, 5.0);
    rose_columns(f, &rose, answer_object(o, "winters"));
    f->weight_from_past = kept > 0;
    return ST_OK;
}

/* The coming night: 18:00 to 06:00, or what is left of the one that is under way. */
static enum status coming_wind(struct field *f, struct answer *o, struct message *why)
{
    struct coming c;
    struct message none;
    const int64_t at = f->herd.at_utc_s, six = when_next_clock(f->herd.zone, at, 18, 0),
                  from = six - at > 12 * HOUR_S ? at : six, to = when_next_clock(f->herd.zone, from + 60, 6, 0);
    const enum status st =
        coming_read(f->q->farm, &f->herd.place, f->herd.zone, at, f->herd.known_to, 0, 36, f->q->mem, &c, &none);
    size_t first = 0, n = 0;

    if (st == ST_NOT_FOUND) {
        answer_text(o, "no_weather", arena_text(o->mem, none.text));
        return ST_OK;
    }
    if (st != ST_OK) {
        *why = none;
        return st;
    }
    while (first < c.n_hours && c.line[first].utc_s < from - HOUR_S / 2)
        first++;
    while (first + n < c.n_hours && c.line[first + n].utc_s < to)
        n++;
    const struct rose rose = rose_of(n, c.line + first, 0.0);
    struct answer *night = answer_object(o, "night");
    answer_moment(night, "from", from);
    answer_moment(night, "to", to);
    rose_columns(f, &rose, night);
    for (size_t i = 0; i < c.n_hours && !f->weight_from_past; i++)
        add_cold(f->cold_weight, &c.line[i]);
    return ST_OK;
}

static void weights_to_one(struct field *f)
{
    double sum = 0.0;
    for (size_t i = 0; i < ROSE_SECTORS; i++)
        sum += f->cold_weight[i];
    for (size_t i = 0; i < ROSE_SECTORS && sum > 0.0; i++)
        f->cold_weight[i] /= sum;
}

static void answer_sun(const struct field *f, struct answer *a)
{
    const struct desk_place *p = &f->herd.place;
    const struct sun_day day = sun_day(f->herd.at_utc_s, p->lat_deg, p->lon_deg);
    struct answer *o = answer_object(a, "sun"), *times = NULL;
    const struct civil c = when_local(f->herd.zone, f->herd.at_utc_s);
    const int64_t begin = f->herd.at_utc_s - c.hour * HOUR_S - c.minute * 60 - c.second;
    double *azimuth = ARENA_NEW(f->q->mem, double, 26), *elevation = ARENA_NEW(f->q->mem, double, 26);
    size_t n = 0;

    if (day.has_rise) {
        answer_moment(o, "rise", day.rise_utc_s);
        answer_real(o, "rise_azimuth_deg", day.rise_azimuth_deg);
    }
    if (day.has_set) {
        answer_moment(o, "set", day.set_utc_s);
        answer_real(o, "set_azimuth_deg", day.set_azimuth_deg);
    }
    answer_moment(o, "noon", day.transit_utc_s);
    answer_real(o, "noon_elevation_deg", day.transit_elevation_deg);
    answer_text(o, "state", sun_state_name[day.state]);
    times = answer_list(o, "time");
    for (int h = 0; h < 25 && azimuth && elevation; h++) {
        const struct sun_position s = sun_position(begin + h * HOUR_S, p->lat_deg, p->lon_deg);
        if (!(s.elevation_deg > 0.0))
            continue;
        answer_moment_item(times, begin + h * HOUR_S);
        azimuth[n] = s.azimuth_deg;
        elevation[n++] = s.elevation_deg;
    }
    if (azimuth && elevation) {
        answer_reals(o, "azimuth_deg", azimuth, n, 1);
        answer_reals(o, "elevation_deg", elevation, n, 1);
    }
}

/* ---- all ---- */

static void answer_lists(const struct field *f, struct answer *a)
{
    struct answer *record = answer_list(a, "record"), *assumed = answer_list(a, "assumed"),
                  *cautions = answer_list(a, "cautions");
    size_t no_ends = 0, no_place = 0;

    for (size_t i = 0; i < f->herd.n_breaks; i++)
        no_ends += f->herd.breaks[i].paddock == f->at && isnan(f->herd.breaks[i].x_m + f->herd.breaks[i].x2_m +
                                                               f->herd.breaks[i].y_m + f->herd.breaks[i].y2_m);
    for (size_t i = 0; i < f->herd.n_sites; i++)
        no_place += f->herd.sites[i].placed && f->herd.sites[i].paddock == f->at && isnan(f->herd.sites[i].x_m);
    if (f->herd.paddocks[f->at].n_outline == 0)
        answer_words(record, "The corners of the field: walk round it with the phone, or type them.");
    if (no_ends)
        answer_words(record, "Where the hedges and walls begin and end on the plan.");
    if (no_place)
        answer_words(record, "Where each hut stands on the plan.");
    if (isnan(f->herd.paddocks[f->at].origin_lat_deg))
        answer_words(record, "Latitude and longitude of the field's south-west corner, so that a walk with the phone "
                             "fits the plan.");
    answer_words(assumed, f->weight_from_past
                              ? "Sheltered ground: mean over the cold hours of the past winters kept here, windy and "
                                "cold ones counting most."
                              : "No past winters are kept: sheltered ground is that of the hours to come.");
    answer_words(assumed, "Level ground: slopes and what stands beyond the plan are not reckoned.");
    answer_words(cautions, "Stand there in the wind before you set a hut.");
    answer_words(cautions,
                 "Two people carry a hut; tie it down. Never turn or move one with a nest or a litter in it.");
}

static enum status lines_of(struct field *f, struct message *why)
{
    f->lines = ARENA_NEW(f->q->mem, struct air_line, f->herd.n_breaks + 1);
    if (!f->lines)
        return refuse(ST_NO_MEMORY, why, "", "too many windbreaks to hold at once");
    for (size_t i = 0; i < f->herd.n_breaks; i++) {
        const struct herd_break *b = &f->herd.breaks[i];
        if (b->paddock == f->at && isfinite(b->x_m + b->y_m + b->x2_m + b->y2_m) && b->height_m > 0.0)
            f->lines[f->n_lines++] = (struct air_line){ b->x_m, b->y_m, b->x2_m, b->y2_m, b->height_m, b->porosity };
    }
    return ST_OK;
}

enum status field_put(const struct asked *q, struct answer *a, struct message *why)
{
    struct field f = { .q = q };

    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &f.herd, why);
    if (st == ST_OK)
        st = which(&f, why);
    if (st != ST_OK)
        return st;
    outline_of(&f);
    answer_moment(a, "at", f.herd.at_utc_s);
    answer_whole(a, "known_to", f.herd.known_to);
    answer_paddock(&f, a);
    answer_breaks(&f, a);
    answer_marks(&f, a);
    answer_huts(&f, a);
    struct answer *wind = answer_object(a, "wind");
    st = past_wind(&f, wind, why);
    if (st == ST_OK)
        st = coming_wind(&f, wind, why);
    if (st == ST_OK)
        st = lines_of(&f, why);
    if (st != ST_OK)
        return st;
    weights_to_one(&f);
    answer_sun(&f, a);
    st = field_ground(&f, a, why);
    if (st != ST_OK)
        return st;
    answer_text(a, "geojson", field_geojson(&f));
    answer_lists(&f, a);
    return ST_OK;
}
