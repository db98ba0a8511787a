/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which way the opening should look: 72 bearings through the hut's balance, hour by hour.
 */
#include "core/nest/facing.h"

#include "core/air/air.h"
#include "core/base/civil.h"
#include "core/nest/own.h"
#include "core/sun/sun.h"

enum { STEP_DEG = 5, ANGLES = 181 };
enum { WINDOW = 1024 }; /* most hours made ready at once */

/* What the angle between wind and door does, every degree from 0 to 180, already spread. */
struct by_angle {
    double through, draught, head, lee;
};

/* One hour, whatever way the door looks. */
struct facing_hour {
    struct weather_at w;
    double weight;    /* 0: only the wet of the bed is carried through it */
    double from_deg;  /* NAN = all round */
    double fixed_lee; /* of a windbreak that does not turn with the door */
    double vapour_kpa, bed_c, skin_c;
    double sun_level, sun_gain; /* into the opening: level + gain x max(0, cos of incidence) */
    double sun_north, sun_east; /* of the sun's direction, level parts */
    enum straw_state straw;     /* in the open; under a roof it hangs on the bearing */
    bool morning, starts_anew;  /* after a hole the bed counts as dry */
};

struct facing_prepared {
    struct stand stand;
    struct shelter shelter; /* copies: the asker's may go */
    struct place place;
    struct feels_table feels;
    struct feels_bed beds[STRAW_STATE_END];
    struct by_angle angle[ANGLES], round;
    struct facing_ask ask; /* its hours and weights are the asker's */
    double weight;
    size_t hours, calm, variable, skipped, no_cloud, no_rain;

    /* on the way through the hours, from one window to the next */
    size_t next, n; /* of the ask's hours; of those made ready */
    struct facing_hour *hour;
    int64_t last_s;
    struct nest_bed open_bed;
    struct {
        struct facing_row sum;
        struct nest_bed bed;
    } bearing[FACING_BEARINGS];
};

struct facing_ask facing_ask_default(void)
{
    return (struct facing_ask){ .comfort_c = 8.0, .spread_deg = 10.0 };
}

/* The lee at an angle between wind and where the nest looks: the break stands behind it. */
static double lee_behind(const struct shelter *s, double angle_deg)
{
    struct windbreak b = s->lee;

    if (s->kind != SHELTER_LEE)
        return 1.0;
    b.bearing_deg = 180.0;
    return nest_lee_ratio(&b, angle_deg);
}

static struct by_angle at_angle(const struct facing_prepared *p, double angle_deg)
{
    struct by_angle a;

    nest_angle(p->stand.m, angle_deg, &a.through, &a.draught);
    a.head = fmax(0.0, cos(angle_deg * RADIANS));
    a.lee = lee_behind(&p->shelter, angle_deg);
    return a;
}

static void add(struct by_angle *sum, const struct by_angle *a, double share)
{
    sum->through += share * a->through;
    sum->draught += share * a->draught;
    sum->head += share * a->head;
    sum->lee += share * a->lee;
}

/* Tables by angle, each direction shared evenly over +-spread; and their mean over the circle. */
static void fill_angles(struct facing_prepared *p, double spread_deg)
{
    struct by_angle sharp[ANGLES];
    const int points = spread_deg > 0.0 ? 41 : 1;

    p->round = (struct by_angle){ 0 };
    for (int i = 0; i < ANGLES; i++) {
        sharp[i] = at_angle(p, i);
        add(&p->round, &sharp[i], i == 0 || i == ANGLES - 1 ? 0.5 / 180.0 : 1.0 / 180.0);
    }
    for (int i = 0; i < ANGLES; i++) {
        p->angle[i] = (struct by_angle){ 0 };
        for (int k = 0; k < points; k++) {
            const double off_deg = points > 1 ? spread_deg * (2.0 * k / (points - 1) - 1.0) : 0.0;
            const struct by_angle a = at_angle(p, nest_angle_between(i + off_deg, 0.0));
            const double share = points == 1 ? 1.0 : (k == 0 || k == points - 1 ? 0.5 : 1.0) / (points - 1);
            add(&p->angle[i], &a, share);
        }
    }
}

static struct by_angle look_up(const struct facing_prepared *p, double angle_deg)
{
    const size_t i = angle_deg >= 180.0 ? ANGLES - 2 : (size_t)angle_deg;
    const double share = angle_deg - (double)i;
    struct by_angle a = { 0 };

    add(&a, &p->angle[i], 1.0 - share);
    add(&a, &p->angle[i + 1], share);
    return a;
}

/* Month 0 .. 11 by which an hour is chosen, and whether it is night: both in local standard time. */
static unsigned month_of(int64_t utc_s, int standard_offset_s, bool of_evening, bool *night)
{
    const int64_t local_s = utc_s + standard_offset_s;
    const struct civil c = civil_from_seconds(local_s);

    *night = c.hour >= 18 || c.hour < 6;
    return (unsigned)civil_from_seconds(of_evening && c.hour < 6 ? local_s - 12 * 3600 : local_s).month - 1;
}

static enum status check_ask(const struct facing_ask *ask, struct message *why)
{
    if (ask->shelter->kind != SHELTER_HUT && ask->shelter->kind != SHELTER_LEE)
        return refuse(ST_BAD_INPUT, why, "shelter",
                      "a facing is asked for a hut or for a nest in the lee of a windbreak");
    if (!(ask->lat_deg >= -90.0 && ask->lat_deg <= 90.0))
        return refuse(ST_BAD_INPUT, why, "lat", "the latitude is %g; give -90 to 90 degrees", ask->lat_deg);
    if (!(ask->lon_deg >= -180.0 && ask->lon_deg <= 180.0))
        return refuse(ST_BAD_INPUT, why, "lon", "the longitude is %g; give -180 to 180 degrees", ask->lon_deg);
    if (!(ask->comfort_c >= -40.0 && ask->comfort_c <= 40.0))
        return refuse(ST_BAD_INPUT, why, "comfort", "the comfort line is %g °C; give -40 to 40", ask->comfort_c);
    if (!(ask->spread_deg >= 0.0 && ask->spread_deg <= 45.0))
        return refuse(ST_BAD_INPUT, why, "spread", "directions are spread by %g degrees; give 0 to 45",
                      ask->spread_deg);
    for (size_t i = 0; ask->weight && i < ask->n; i++)
        if (!(ask->weight[i] >= 0.0 && isfinite(ask->weight[i])))
            return refuse(ST_BAD_INPUT, why, "weight", "the weight of hour %zu is %g; give 0 or more", i,
                          ask->weight[i]);
    return shelter_check(ask->shelter, why);
}

/* Sun on the hut and into its door. */
static void prepare_sun(const struct facing_prepared *p, const struct facing_ask *ask, const struct hour *h,
                        struct facing_hour *f)
{
    const struct sun_hour sun = sun_of_hour(h, ask->lat_deg, ask->lon_deg);
    const struct nest_model *m = p->stand.m;
    const double alpha = p->shelter.hut.white ? m->alpha_white : m->alpha_dark;
    const double elevation_deg = sun.sun.elevation_deg, azimuth_deg = sun.sun.azimuth_deg;
    const double level = cos(elevation_deg * RADIANS);
    const bool up = elevation_deg > 0.0;

    f->morning = sun.morning;
    f->w.on_skin_w_m2 =
        up ? alpha * m->sun_on_skin * sun.light.ghi : -m->sky_w_m2 * (1.0 - f->w.cloud) * m->sky_on_skin;
    if (!up || !(sun.light.ghi > 0.0))
        return;
    f->sun_level = sun_into_opening_w_m2(fmod(azimuth_deg + 180.0, 360.0), p->place.albedo, &sun.light, elevation_deg,
                                         azimuth_deg, sun.top_w_m2, NULL);
    f->sun_gain = (sun_into_opening_w_m2(azimuth_deg, p->place.albedo, &sun.light, elevation_deg, azimuth_deg,
                                         sun.top_w_m2, NULL) -
                   f->sun_level) /
                  fmax(level, 1e-6);
    f->sun_north = level * cos(azimuth_deg * RADIANS);
    f->sun_east = level * sin(azimuth_deg * RADIANS);
}

/* NAN = all round */
static double wind_from(const struct hour *h)
{
    return h->wind_mps > 0.0 && !h->wind_variable ? h->wind_from_deg : (double)NAN;
}

static void prepare_hour(const struct facing_prepared *p, const struct hour *h, double weight, struct nest_bed *bed,
                         struct facing_hour *f)
{
    const struct nest_model *m = p->stand.m;
    const bool hut = p->shelter.kind == SHELTER_HUT;
    struct hour filled = *h;

    filled.rain_mm = isnan(h->rain_mm) ? 0.0 : h->rain_mm;
    f->weight = weight;
    f->w.out_c = h->temp_c + p->place.temp_offset_k;
    f->w.wind10_mps = h->wind_mps * p->place.wind_ratio;
    f->w.cloud = isnan(h->cloud_oktas) ? 0.5 : h->cloud_oktas / 8.0;
    f->w.rain_mm = nest_wets(m, h) ? filled.rain_mm : 0.0;
    f->w.rh = hut ? m->hut_rh : isnan(h->rh) ? m->no_rh : h->rh;
    f->from_deg = wind_from(h);
    f->fixed_lee = hut && p->shelter.lee.stands ? nest_lee_ratio(&p->shelter.lee, f->from_deg) : 1.0;
    f->bed_c = nest_bed_c(m, f->w.out_c);
    f->skin_c = 0.5 * (f->w.out_c + 30.0);
    prepare_sun(p, &p->ask, h, f);
    if (!hut) {
        nest_bed_hour(m, &p->shelter, &p->place, &filled, bed);
        f->straw = nest_bed_state(m, &p->shelter, bed);
    }
    f->vapour_kpa = f->w.rh * piglet_vapour_kpa(f->w.out_c);
}

static bool usable(const struct hour *h, const struct place *place)
{
    const double temp_c = h->temp_c + place->temp_offset_k, wind_mps = h->wind_mps * place->wind_ratio;

    return temp_c >= -55.0 && temp_c <= 48.0 && wind_mps >= 0.0 && wind_mps <= 60.0;
}

/* Whether the i-th hour is of the months asked for, and its weight. */
static bool chosen(const struct facing_ask *ask, size_t i, const struct hour *h, double *weight)
{
    bool night;
    const unsigned month = month_of(h->utc_s, ask->standard_offset_s, ask->night_only, &night);

    *weight = ask->night_only && !night ? 0.0 : ask->weight ? ask->weight[i] : 1.0;
    return !ask->months || (ask->months >> month & 1u);
}

static struct hour changed(const struct facing_ask *ask, const struct hour *as_it_is)
{
    struct hour h = *as_it_is;

    if (ask->change)
        ask->change(&h, ask->by);
    return h;
}

size_t facing_hours(const struct facing_ask *ask, size_t first, struct hour room[static FACING_BLOCK],
                    const struct hour **hours)
{
    const size_t left = first < ask->n ? ask->n - first : 0, n = left < FACING_BLOCK ? left : FACING_BLOCK;

    if (n > 0 && !ask->hours)
        ask->fetch(ask->from, first, n, room);
    *hours = n == 0 ? NULL : ask->hours ? ask->hours + first : room;
    return n;
}

static void count_hour(struct facing_prepared *p, size_t i, const struct hour *as_it_is)
{
    double weight;

    if (!chosen(&p->ask, i, as_it_is, &weight))
        return;
    if (!usable(as_it_is, &p->place)) {
        p->skipped++;
        return;
    }
    if (!(weight > 0.0))
        return;
    const struct hour h = changed(&p->ask, as_it_is);
    p->hours++;
    p->weight += weight;
    p->calm += h.wind_mps == 0.0;
    p->variable += h.wind_mps > 0.0 && isnan(wind_from(&h));
    p->no_cloud += isnan(h.cloud_oktas) != 0;
    p->no_rain += isnan(h.rain_mm) != 0;
}

static void count_hours(struct facing_prepared *p)
{
    struct hour room[FACING_BLOCK];
    const struct hour *hours;

    for (size_t first = 0, n; (n = facing_hours(&p->ask, first, room, &hours)) > 0; first += n)
        for (size_t i = 0; i < n; i++)
            count_hour(p, first + i, &hours[i]);
}

static void take_hour(struct facing_prepared *p, size_t i, const struct hour *as_it_is)
{
    double weight;

    if (!chosen(&p->ask, i, as_it_is, &weight) || !usable(as_it_is, &p->place))
        return;
    const struct hour h = changed(&p->ask, as_it_is);
    struct facing_hour *f = &p->hour[p->n++];
    *f = (struct facing_hour){ .starts_anew = h.utc_s - p->last_s > 3 * 3600 };
    if (f->starts_anew)
        p->open_bed = (struct nest_bed){ 0 };
    p->last_s = h.utc_s;
    prepare_hour(p, &h, weight, &p->open_bed, f);
}

bool facing_next(struct facing_prepared *p)
{
    struct hour room[FACING_BLOCK];
    const struct hour *hours;

    p->n = 0;
    for (size_t n; p->n + FACING_BLOCK <= WINDOW && (n = facing_hours(&p->ask, p->next, room, &hours)) > 0;
         p->next += n)
        for (size_t i = 0; i < n; i++)
            take_hour(p, p->next + i, &hours[i]);
    return p->n > 0;
}

enum status facing_prepare(const struct facing_ask *ask, struct arena *mem, struct facing_prepared **prepared,
                           struct message *why)
{
    const enum status st = check_ask(ask, why);
    struct facing_prepared *p;

    if (st != ST_OK)
        return st;
    p = ARENA_NEW(mem, struct facing_prepared, 1);
    struct facing_hour *hours = ARENA_NEW(mem, struct facing_hour, ask->n < WINDOW ? ask->n + 1 : WINDOW);
    if (!p || !hours)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    p->ask = *ask;
    p->hour = hours;
    p->last_s = INT64_MIN / 2;
    p->shelter = *ask->shelter;
    p->place = ask->place ? *ask->place : place_default();
    nest_stand(ask->model ? ask->model : &nest_published, &p->shelter, &p->place, ask->inside, &p->stand);
    if (ask->feels)
        p->feels = *ask->feels;
    else
        feels_table_make(NULL, &p->feels);
    for (int s = 0; s < STRAW_STATE_END; s++)
        feels_bed_make(&p->feels, p->shelter.floor, p->shelter.straw_m, (enum straw_state)s, &p->beds[s]);
    fill_angles(p, ask->spread_deg);
    count_hours(p);
    if (p->hours == 0 || !(p->weight > 0.0))
        return refuse(ST_BAD_INPUT, why, "weather",
                      "no hour of the months and times asked for has both temperature and wind");
    *prepared = p;
    return ST_OK;
}

/* One hour at one bearing. */
static void scan_hour(const struct facing_prepared *p, const struct facing_hour *f, double facing_deg, double sun_w_m2,
                      struct nest_bed *bed, struct facing_row *row)
{
    const struct nest_model *m = p->stand.m;
    const bool all_round = isnan(f->from_deg), hut = p->shelter.kind == SHELTER_HUT;
    const double angle_deg = all_round ? 0.0 : nest_angle_between(f->from_deg, facing_deg);
    const struct by_angle a = all_round ? p->round : look_up(p, angle_deg);
    const struct turned t = { a.lee * f->fixed_lee, a.through, a.draught, a.head, sun_w_m2 };
    const double wind_mps = f->w.wind10_mps * t.wind_ratio * p->stand.door_wind;
    enum straw_state straw = f->straw;
    struct met met;

    if (hut) {
        if (f->starts_anew)
            *bed = (struct nest_bed){ 0 };
        if (f->w.rain_mm > 0.0 || bed->driven_h > 0.0)
            nest_bed_driven(m, p->shelter.hut.flap, wind_mps, f->w.rain_mm, all_round ? 180.0 : angle_deg, bed);
        straw = nest_straw_worse(m, &p->shelter, true, bed);
    }
    if (!(f->weight > 0.0))
        return;
    nest_meet(&p->stand, &f->w, &t, &met);
    const double vapour_kpa = hut ? f->w.rh * piglet_vapour_kpa(met.nest_c) : f->vapour_kpa;
    const double feels = feels_c_quick(&p->feels, &p->beds[straw], met.nest_c, vapour_kpa, met.draught_mps,
                                       met.radiant_c, f->bed_c, f->skin_c);
    row->cold_degree_hours_per_day += f->weight * fmax(0.0, p->ask.comfort_c - feels);
    row->wind_mps += f->weight * wind_mps * t.head;
    row->rain_l_m2 +=
        f->weight * (hut ? met.rain_in_l_m2 : air_driving_rain_l_m2(wind_mps, f->w.rain_mm, 0.0) * t.head);
    row->sun_kwh_m2_day += f->weight * sun_w_m2;
    row->morning_sun_kwh_m2_day += f->morning ? f->weight * sun_w_m2 : 0.0;
}

void facing_scan(struct facing_prepared *p, size_t first, size_t last)
{
    for (size_t g = first; g < last && g < FACING_BEARINGS; g++) {
        const double facing_deg = (double)(g * STEP_DEG);
        const double north = cos(facing_deg * RADIANS), east = sin(facing_deg * RADIANS);
        struct facing_row row = p->bearing[g].sum;
        struct nest_bed bed = p->bearing[g].bed;

        for (size_t i = 0; i < p->n; i++) {
            const struct facing_hour *f = &p->hour[i];
            const double sun_w_m2 = f->sun_level + f->sun_gain * fmax(0.0, north * f->sun_north + east * f->sun_east);
            scan_hour(p, f, facing_deg, sun_w_m2, &bed, &row);
        }
        p->bearing[g].sum = row;
        p->bearing[g].bed = bed;
    }
}

struct facing_row facing_row_of(const struct facing_prepared *p, size_t bearing)
{
    const double per_day = 24.0 / p->weight;
    struct facing_row row = p->bearing[bearing].sum;

    row.facing_deg = (double)(bearing * STEP_DEG);
    row.cold_degree_hours_per_day *= per_day;
    row.wind_mps /= p->weight;
    row.sun_kwh_m2_day *= per_day / 1000.0;
    row.morning_sun_kwh_m2_day *= per_day / 1000.0;
    return row;
}

void facing_conclude(const struct facing_prepared *p, struct facing *f)
{
    for (size_t g = 0; g < FACING_BEARINGS; g++)
        f->rows[g] = facing_row_of(p, g);
    f->hours = p->hours;
    f->calm_hours = p->calm;
    f->variable_hours = p->variable;
    f->skipped_hours = p->skipped;
    f->no_cloud_hours = p->no_cloud;
    f->no_rain_hours = p->no_rain;
    f->weight = p->weight;
    facing_judge(f);
}

enum status facing_find(const struct facing_ask *ask, struct arena *mem, struct facing *f, struct message *why)
{
    struct facing_prepared *p;
    const enum status st = facing_prepare(ask, mem, &p, why);

    if (st != ST_OK)
        return st;
    while (facing_next(p))
        facing_scan(p, 0, FACING_BEARINGS);
    facing_conclude(p, f);
    return ST_OK;
}
