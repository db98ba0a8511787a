/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The balance of a shelter for one hour.
 */
#include "core/nest/own.h"

#include "core/air/air.h"

static double skin_from_sizes_m2(const struct hut *h)
{
    /* half an elliptic arch with its ends; 0.80 makes the default hut's sizes give its measured 8.5 m2 */
    const double a = 0.5 * h->floor_width_m, b = h->height_m, pi = 3.14159265358979323846;
    const double arch_m = 0.5 * pi * (3.0 * (a + b) - sqrt((3.0 * a + b) * (a + 3.0 * b)));

    return 0.80 * (arch_m * h->floor_length_m + pi * a * b);
}

void nest_stand(const struct nest_model *m, const struct shelter *s, const struct place *place,
                const struct nest_inside *inside, struct stand *st)
{
    static const struct nest_inside usual = { 200.0, 1.0, 8.0, 1.3 };
    static const struct place open_country = { 1.0, 0.0, 0.2 };
    const struct nest_inside *in = inside ? inside : &usual;
    const double flap = s->hut.flap ? m->flap_door : 1.0;
    const double door_m2 = s->hut.door_width_m * s->hut.door_height_m * flap, leaks_m2 = s->hut.leaks_m2;

    *st = (struct stand){
        .m = m,
        .s = s,
        .place = place ? place : &open_country,
        .door_m2 = door_m2,
        .through_m2 = leaks_m2 > 0.0 ? door_m2 * leaks_m2 / hypot(door_m2, leaks_m2) : 0.0,
        .skin_m2 = isnan(s->hut.skin_m2) ? skin_from_sizes_m2(&s->hut) : s->hut.skin_m2,
        .wall_r = m->wall_r[s->hut.wall],
        .sow_w20 =
            in->sow_kg > 0.0 ? m->sow_total_coef * pow(in->sow_kg, 0.75) + m->sow_milk_coef * in->milk_kg_d : 0.0,
        .piglets_w = in->sow_kg > 0.0 ? m->piglet_w_kg * in->piglets * in->piglet_kg : 0.0,
        .draught_ratio = s->hut.flap ? m->flap_draught : 1.0,
        .door_wind = air_wind_factor(m->hut_height_m, m->roughness_m),
        .nest_wind = air_wind_factor(m->nest_height_m, m->roughness_m),
    };
    if (s->kind == SHELTER_HUT)
        st->sun_radiant = m->sun_on_piglet * m->door_sun * door_m2 / (s->hut.floor_length_m * s->hut.floor_width_m);
    const double depth_m = s->floor == PIGLET_STRAW ? s->straw_m : 0.0;
    st->straw_warm = m->warm_share * (1.0 - exp(-depth_m / m->warm_depth_m));
    st->hollow = 1.0 - m->hollow_share * (1.0 - exp(-depth_m / m->hollow_depth_m));
}

static double sow_sensible_w(const struct nest_model *m, double at_20_w, double air_c)
{
    const double cube = air_c * air_c * air_c;

    return at_20_w *
           fmax(0.0, m->sow_sensible_0 * (1.0 + m->sow_per_k * (20.0 - air_c)) - m->sow_sensible_6 * cube * cube);
}

/* Air of the hut: heat given off inside = heat lost through the skin and with the air. Newton on the warmth over
 * outside. */
static void hut_air(const struct stand *st, const struct weather_at *w, const struct turned *t, struct met *out,
                    double *u_v)
{
    const struct nest_model *m = st->m;
    const double wind = w->wind10_mps * t->wind_ratio * st->door_wind,
                 outside_h = m->outside_h + m->outside_wind_h * wind;
    const double u = 1.0 / (1.0 / outside_h + 1.0 / m->inside_h + st->wall_r);
    const double through = m->flow_through * st->through_m2 * wind * t->through, through2 = through * through;
    const double single2 = 0.25 * st->door_m2 * st->door_m2;
    const double gusts = m->flow_wind * wind * wind + m->flow_rest, rise = m->flow_buoyancy * st->s->hut.door_height_m;
    const double rain_in = w->rain_mm > 0.0 ? air_driving_rain_l_m2(wind, w->rain_mm, 0.0) * t->head : 0.0;
    const double given_w = st->piglets_w + w->on_skin_w_m2 * st->skin_m2 * u / outside_h +
                           m->door_sun * st->door_m2 * t->sun_w_m2 - m->evaporate_w_l * st->door_m2 * rain_in;
    double warmer = 4.0, flow = 0.0;

    for (int i = 0; i < 4; i++) {
        const double in_c = w->out_c + warmer, sow_w = sow_sensible_w(m, st->sow_w20, in_c);
        flow = sqrt(single2 * (gusts + rise * fabs(warmer)) + through2);
        const double carry = u * st->skin_m2 + m->air_heat * flow;
        const double five = in_c * in_c * in_c * in_c * in_c;
        const double sow_slope =
            sow_w > 0.0 ? -st->sow_w20 * (m->sow_sensible_0 * m->sow_per_k + 6.0 * m->sow_sensible_6 * five) : 0.0;
        const double flow_slope = flow > 0.0 ? 0.5 * single2 * rise / flow : 0.0;
        const double slope = carry + m->air_heat * flow_slope * fabs(warmer) - sow_slope;
        const double step = (warmer * carry - sow_w - given_w) / slope;
        warmer -= step;
        if (fabs(step) < 1e-4)
            break;
    }
    out->in_c = w->out_c + warmer;
    out->flow_m3_s = sqrt(single2 * (gusts + rise * fabs(warmer)) + through2);
    out->rain_in_l_m2 = rain_in;
    *u_v = u;
}

void nest_meet(const struct stand *st, const struct weather_at *w, const struct turned *t, struct met *out)
{
    const struct nest_model *m = st->m;
    double wall_c, u_v = 0.0;

    switch (st->s->kind) {
    case SHELTER_HUT:
        hut_air(st, w, t, out, &u_v);
        out->draught_mps =
            m->draught_least + t->draught * st->draught_ratio * w->wind10_mps * t->wind_ratio * st->door_wind;
        wall_c = out->in_c - u_v / m->inside_h * (out->in_c - w->out_c);
        break;
    case SHELTER_BARN:
        out->in_c = isnan(st->s->barn_temp_c) ? w->out_c + st->s->barn_warmer_k : st->s->barn_temp_c;
        out->draught_mps = m->barn_draught_mps;
        out->flow_m3_s = NAN;
        out->rain_in_l_m2 = 0.0;
        wall_c = out->in_c;
        break;
    case SHELTER_OPEN:
    case SHELTER_LEE:
    case SHELTER_KIND_END:
    default:
        out->in_c = w->out_c;
        out->draught_mps = fmax(m->still_mps, w->wind10_mps * t->wind_ratio * st->nest_wind * st->hollow);
        out->flow_m3_s = NAN;
        out->rain_in_l_m2 = w->rain_mm;
        wall_c = w->out_c - m->open_sky_k * (1.0 - w->cloud);
        break;
    }
    out->nest_c =
        out->in_c + st->straw_warm * exp(-out->draught_mps / m->warm_wind_mps) * fmax(0.0, m->warm_c - out->in_c);
    out->radiant_c = 0.5 * wall_c + 0.5 * out->nest_c + st->sun_radiant * t->sun_w_m2;
}

double nest_bed_c(const struct nest_model *m, double out_c)
{
    if (out_c >= m->bed_cold_c)
        return out_c;
    return fmax(m->bed_least_c, out_c + m->bed_share * (m->bed_cold_c - out_c));
}

bool nest_wets(const struct nest_model *m, const struct hour *hour)
{
    return hour->temp_c > m->rain_from_c && !hour->snow;
}

/* Rain, cloud, humidity and sky of one hour, gaps filled on the colder side. */
static void weather_of(const struct stand *st, const struct hour *hour, const struct nest_sun *sun,
                       struct weather_at *w, unsigned *assumed)
{
    const struct nest_model *m = st->m;
    const bool roof = st->s->kind == SHELTER_HUT || st->s->kind == SHELTER_BARN;
    const bool sun_known = sun && !isnan(sun->ghi_w_m2);
    const bool night =
        sun && !isnan(sun->elevation_deg) ? sun->elevation_deg <= 0.0 : !(sun_known && sun->ghi_w_m2 > 0.0);
    const double ghi = sun_known ? fmax(0.0, sun->ghi_w_m2) : 0.0;

    w->out_c = hour->temp_c + st->place->temp_offset_k;
    w->wind10_mps = hour->wind_mps * st->place->wind_ratio;
    w->rh = st->s->kind == SHELTER_HUT ? m->hut_rh : hour->rh;
    if (isnan(hour->rh)) {
        w->rh = st->s->kind == SHELTER_HUT ? m->no_rh_hut : m->no_rh;
        *assumed |= NEST_NO_RH;
    }
    w->cloud = hour->cloud_oktas / 8.0;
    if (isnan(hour->cloud_oktas)) {
        w->cloud = 0.0;
        if (st->s->kind != SHELTER_BARN)
            *assumed |= NEST_NO_CLOUD;
    }
    w->wets = nest_wets(m, hour);
    w->rain_mm = w->wets ? hour->rain_mm : 0.0;
    if (isnan(hour->rain_mm)) {
        w->rain_mm = w->wets ? m->no_rain_mm : 0.0;
        if (st->s->kind != SHELTER_BARN)
            *assumed |= NEST_NO_RAIN;
    }
    w->wets = w->wets && w->rain_mm > 0.0 && !roof;
    if (!sun_known && !(sun && sun->elevation_deg <= 0.0) && st->s->kind == SHELTER_HUT)
        *assumed |= NEST_NO_SUN;
    w->on_skin_w_m2 = (st->s->hut.white ? m->alpha_white : m->alpha_dark) * m->sun_on_skin * ghi -
                      (night ? m->sky_w_m2 * (1.0 - w->cloud) * m->sky_on_skin : 0.0);
}

/* Wind against door and windbreak, sun into the door. */
static void turn_of(const struct stand *st, const struct hour *hour, const struct nest_sun *sun, struct turned *t,
                    unsigned *assumed)
{
    const struct shelter *s = st->s;
    const bool blows = hour->wind_mps > 0.0, from_known = !isnan(hour->wind_from_deg);
    double angle = 0.0;

    *t = (struct turned){ .wind_ratio = 1.0 };
    if (s->lee.stands && s->kind != SHELTER_BARN) {
        t->wind_ratio = nest_lee_ratio(&s->lee, hour->wind_from_deg);
        if (isnan(s->lee.bearing_deg))
            *assumed |= NEST_NO_BREAK_BEARING;
        else if (blows && !from_known)
            *assumed |= NEST_NO_WIND_FROM;
        if (isnan(s->lee.width_heights))
            *assumed |= NEST_NO_BREAK_WIDTH;
    }
    if (s->kind != SHELTER_HUT)
        return;
    if (isnan(s->hut.facing_deg))
        *assumed |= NEST_NO_FACING;
    else if (from_known)
        angle = nest_angle_between(hour->wind_from_deg, s->hut.facing_deg);
    else if (blows)
        *assumed |= NEST_NO_WIND_FROM;
    nest_angle(st->m, angle, &t->through, &t->draught);
    t->head = fmax(0.0, cos(angle * RADIANS));
    if (sun)
        t->sun_w_m2 = nest_sun_in_w_m2(sun, s->hut.facing_deg, st->place->albedo);
}

static enum status refuse_hour(const struct hour *h, const struct place *place, struct message *why)
{
    const double temp_c = h->temp_c + (place ? place->temp_offset_k : 0.0);
    const double wind_mps = h->wind_mps * (place ? place->wind_ratio : 1.0);

    if (isnan(temp_c))
        return refuse(ST_BAD_INPUT, why, "temp", "the temperature is not known; give one");
    if (!(temp_c >= -55.0 && temp_c <= 48.0))
        return refuse(ST_BAD_INPUT, why, "temp", "the temperature is %g °C; give -55 to 48", temp_c);
    if (isnan(wind_mps))
        return refuse(ST_BAD_INPUT, why, "wind", "the wind is not known; give one, 0 when it is calm");
    if (!(wind_mps >= 0.0 && wind_mps <= 60.0))
        return refuse(ST_BAD_INPUT, why, "wind", "the wind is %g m/s; give 0 to 60", wind_mps);
    if (!isnan(h->rh) && !(h->rh >= 0.0 && h->rh <= 1.0))
        return refuse(ST_BAD_INPUT, why, "rh", "humidity is %g; give a fraction from 0 to 1", h->rh);
    if (!isnan(h->cloud_oktas) && !(h->cloud_oktas >= 0.0 && h->cloud_oktas <= 8.0))
        return refuse(ST_BAD_INPUT, why, "cloud", "cloud is %g oktas; give 0 to 8", h->cloud_oktas);
    if (!isnan(h->rain_mm) && !(h->rain_mm >= 0.0 && h->rain_mm <= 300.0))
        return refuse(ST_BAD_INPUT, why, "rain", "rain is %g mm in the hour; give 0 to 300", h->rain_mm);
    if (!isnan(h->wind_from_deg) && !(h->wind_from_deg >= 0.0 && h->wind_from_deg <= 360.0))
        return refuse(ST_BAD_INPUT, why, "wind-from", "wind from %g degrees; give 0 to 360", h->wind_from_deg);
    return ST_OK;
}

/* One hour where the shelter stands already. */
static enum status stand_hour(const struct stand *stand, const struct nest_bed *bed, const struct hour *hour,
                              const struct nest_sun *sun, const struct feels_table *feels, struct nest *out,
                              struct message *why)
{
    const enum status st = refuse_hour(hour, stand->place, why);
    const struct nest_model *k = stand->m;
    const struct shelter *shelter = stand->s;
    struct weather_at w;
    struct turned t;
    struct met met;
    unsigned assumed = 0;

    if (st != ST_OK)
        return st;
    weather_of(stand, hour, sun, &w, &assumed);
    turn_of(stand, hour, sun, &t, &assumed);
    nest_meet(stand, &w, &t, &met);
    *out = (struct nest){
        .hut_c = met.in_c,
        .nest_c = met.nest_c,
        .draught_mps = met.draught_mps,
        .radiant_c = met.radiant_c,
        .bed_c = nest_bed_c(k, w.out_c),
        .rh = w.rh,
        .flow_m3_s = met.flow_m3_s,
        .rain_in_l_m2 = met.rain_in_l_m2,
        .sun_in_w_m2 = t.sun_w_m2,
        .straw = nest_bed_state(k, shelter, bed),
        .feels_c = NAN,
        .heat_grade = nest_heat_grade(met.in_c),
        .too_hot_for_piglet_model = met.nest_c > 36.0,
        .assumed = assumed,
    };
    out->air = (struct piglet_air){
        .air_c = out->nest_c,
        .rh = out->rh,
        .draught_mps = out->draught_mps,
        .radiant_c = out->radiant_c,
        .bed_c = out->bed_c,
        .floor = shelter->floor,
        .straw_m = shelter->straw_m,
        .straw = out->straw,
        .wet_least = w.wets ? k->rain_wet_least : 0.0,
    };
    if (feels)
        out->feels_c = feels_c(feels, &out->air);
    return ST_OK;
}

enum status nest_hour(const struct nest_model *m, const struct shelter *shelter, const struct place *place,
                      const struct nest_inside *inside, const struct nest_bed *bed, const struct hour *hour,
                      const struct nest_sun *sun, const struct feels_table *feels, struct nest *out,
                      struct message *why)
{
    struct stand stand;

    nest_stand(m ? m : &nest_published, shelter, place, inside, &stand);
    return stand_hour(&stand, bed, hour, sun, feels, out, why);
}

enum status nest_hours(const struct nest_model *m, const struct shelter *shelter, const struct place *place,
                       const struct nest_inside *inside, size_t n, const struct hour hours[],
                       const struct nest_sun suns[], const struct feels_table *feels, struct nest_bed *bed,
                       struct nest out[], struct message *why)
{
    struct nest_bed own = { 0 };
    struct nest_bed *wet = bed ? bed : &own;
    struct stand stand;

    nest_stand(m ? m : &nest_published, shelter, place, inside, &stand);
    for (size_t i = 0; i < n; i++) {
        struct message inner = { "", "" };
        nest_bed_hour(m, shelter, place, &hours[i], wet);
        const enum status st = stand_hour(&stand, wet, &hours[i], suns ? &suns[i] : NULL, feels, &out[i], &inner);
        if (st != ST_OK)
            return refuse(st, why, inner.field, "hour %zu: %s", i, inner.text);
    }
    return ST_OK;
}

size_t nest_birth_air(size_t n, const struct nest nests[], size_t h, struct piglet_air air[7])
{
    size_t filled = 0;

    for (; filled < 7 && h + filled < n; filled++)
        air[filled] = nests[h + filled].air;
    return filled;
}
