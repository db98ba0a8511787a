/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon nest: one outside hour and one shelter. */
#include "core/nest/nest.h"

#include <math.h>
#include <string.h>

#include "desk/reckon/reckon.h"

enum {
    SHELTER,
    TEMP,
    WIND,
    WIND_FROM,
    RH,
    CLOUD,
    RAIN,
    GHI,
    SUN_FACING,
    DNI,
    DHI,
    SUN_AZIMUTH,
    SUN_ELEVATION,
    FACING,
    WALL,
    WHITE,
    FLAP,
    FLOOR,
    STRAW_DEPTH,
    DAMP,
    SOAKED,
    BREAK_POROSITY,
    BREAK_DISTANCE,
    BREAK_BEARING,
    BREAK_WIDTH,
    BARN_TEMP,
    SOW_MASS,
    MILK,
    LITTERMATES,
    MASS,
    RUNT_MASS
};

static const struct param params[] = {
    [SHELTER] = { "shelter", P_CHOICE, Q_NUMBER, 0, 0, NULL, "open|lee|hut|barn", PARAM_REQUIRED,
                  "straw in the open, straw behind a windbreak, a hut, a pen in a building" },
    [TEMP] = { "temp", P_QUANTITY, Q_TEMPERATURE, -55, 48, NULL, NULL, PARAM_REQUIRED, "outside air" },
    [WIND] = { "wind", P_QUANTITY, Q_SPEED, 0, 60, NULL, NULL, PARAM_REQUIRED, "mean wind at 10 m" },
    [WIND_FROM] = { "wind-from", P_QUANTITY, Q_ANGLE, 0, 360, NULL, NULL, 0,
                    "where it comes from; straight in at the door unless given" },
    [RH] = { "rh", P_QUANTITY, Q_FRACTION, 0, 1, NULL, NULL, 0, "relative humidity outside" },
    [CLOUD] = { "cloud", P_QUANTITY, Q_CLOUD, 0, 1, NULL, NULL, 0, "share of the sky covered; clear unless given" },
    [RAIN] = { "rain", P_QUANTITY, Q_RAIN, 0, 300, NULL, NULL, 0,
               "rain in the hour; light rain is taken above 0.5 C unless given" },
    [GHI] = { "ghi", P_QUANTITY, Q_IRRADIANCE, 0, 1500, NULL, NULL, 0,
              "sun on the hut, on the level; none unless given" },
    [SUN_FACING] = { "sun-facing", P_QUANTITY, Q_IRRADIANCE, 0, 1500, NULL, NULL, 0,
                     "sun that falls into the door, for each m2 of it, as reckon beam gives it; needs --facing" },
    [DNI] = { "dni", P_QUANTITY, Q_IRRADIANCE, 0, 1500, NULL, NULL, 0, "with --ghi: the beam, square to it" },
    [DHI] = { "dhi", P_QUANTITY, Q_IRRADIANCE, 0, 1500, NULL, NULL, 0,
              "with --ghi: light of the sky alone, on the level" },
    [SUN_AZIMUTH] = { "sun-azimuth", P_QUANTITY, Q_ANGLE, 0, 360, NULL, NULL, 0, "with --dni: bearing of the sun" },
    [SUN_ELEVATION] = { "sun-elevation", P_QUANTITY, Q_ANGLE, -90, 90, NULL, NULL, 0,
                        "with --dni: its height over the horizon" },
    [FACING] = { "facing", P_QUANTITY, Q_ANGLE, 0, 360, NULL, NULL, 0,
                 "where the door looks; into the wind unless given" },
    [WALL] = { "wall", P_CHOICE, Q_NUMBER, 0, 0, "steel", "steel|plastic|wood|insulated", 0, "wall of the hut" },
    [WHITE] = { "white", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "the hut is painted white" },
    [FLAP] = { "flap", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "a flap hangs in the door" },
    [FLOOR] = { "floor", P_CHOICE, Q_NUMBER, 0, 0, NULL, "mesh|concrete|wood|soil|straw", 0,
                "what lies bare where there is no straw" },
    [STRAW_DEPTH] = { "straw-depth", P_QUANTITY, Q_LENGTH, 0, 1.5, "20 cm", NULL, 0,
                      "settled depth of straw; 0 = none" },
    [DAMP] = { "damp", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "the straw is damp" },
    [SOAKED] = { "soaked", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "the straw is soaked" },
    [BREAK_POROSITY] = { "windbreak-porosity", P_QUANTITY, Q_FRACTION, 0, 1, NULL, NULL, 0,
                         "0 solid, 0.5 a good hedge, 1 nothing there" },
    [BREAK_DISTANCE] = { "windbreak-distance-heights", P_QUANTITY, Q_NUMBER, -20, 60, NULL, NULL, 0,
                         "nest to windbreak in heights of it; negative on the windward side" },
    [BREAK_BEARING] = { "windbreak-bearing", P_QUANTITY, Q_ANGLE, 0, 360, NULL, NULL, 0,
                        "where it stands seen from the nest; square to the wind unless given" },
    [BREAK_WIDTH] = { "windbreak-width-heights", P_QUANTITY, Q_NUMBER, 0, 1000, NULL, NULL, 0,
                      "its length in heights of it; long unless given" },
    [BARN_TEMP] = { "barn-temp", P_QUANTITY, Q_TEMPERATURE, -40, 45, NULL, NULL, 0,
                    "measured in the building; outside + 2 K unless given" },
    [SOW_MASS] = { "sow-mass", P_QUANTITY, Q_MASS, 0, 600, "200 kg", NULL, 0,
                   "mass of the sow in it; 0 = no sow there" },
    [MILK] = { "milk", P_QUANTITY, Q_MASS, 0, 20, "1 kg", NULL, 0,
               "milk she gives a day: 0 to 1 kg at farrowing, 6 to 10 kg at the peak" },
    [LITTERMATES] = { "littermates", P_QUANTITY, Q_NUMBER, 0, 20, "7", NULL, 0,
                      "n huddling at the udder, itself among them (8 born: 7); 0 = alone throughout" },
    [MASS] = { "mass", P_QUANTITY, Q_MASS, 0.3, 3, "1.3 kg", NULL, 0, "mass of a typical piglet at birth" },
    [RUNT_MASS] = { "runt-mass", P_QUANTITY, Q_MASS, 0.3, 3, "0.9 kg", NULL, 0, "mass of a runt" },
};

static const struct shape shape[] = {
    { "hut_temp_c", SHAPE_REAL, false, "air of the hut or building; outside air in the open" },
    { "nest_temp_c", SHAPE_REAL, false, "air at the piglets" },
    { "draught_mps", SHAPE_REAL, false, "at the piglets" },
    { "flow_m3_s", SHAPE_REAL, true, "air through the hut; null where there is no hut" },
    { "bed_temp_c", SHAPE_REAL, false, "ground under the bed" },
    { "radiant_temp_c", SHAPE_REAL, false, "of walls and sky around the nest" },
    { "nest_rh", SHAPE_REAL, false, "humidity at the nest" },
    { "rain_in_l_m2", SHAPE_REAL, false,
      "rain driven into the door in the hour, for each m2 of it; all of it in the open" },
    { "sun_in_w_m2", SHAPE_REAL, false, "sun into the door, for each m2 of it" },
    { "straw", SHAPE_TEXT, false, "dry, damp, soaked: after this hour" },
    { "feels_c", SHAPE_REAL, true, "how it feels to a wet newborn; null: below -60" },
    { "grade", SHAPE_WHOLE, false, "the typical piglet's, 0 .. 3" },
    { "runt_grade", SHAPE_WHOLE, false, "" },
    { "grade_words", SHAPE_TEXT, false, "" },
    { "heat_grade", SHAPE_WHOLE, false, "for the sow, 0 .. 4 at 22, 25, 27, 31 C of hut air" },
    { "heat_words", SHAPE_TEXT, false, "" },
    { "shortfall_c", SHAPE_REAL, false, "0.85 typical + 0.15 runt" },
    { "typical", SHAPE_OBJECT, false, "born now, the hour going on for 6 h" },
    SHAPE_PIGLET("typical."),
    { "runt", SHAPE_OBJECT, false, "likewise" },
    SHAPE_PIGLET("runt."),
    { "notes", SHAPE_LIST, false, "what was given and is not used" },
    { "notes[]", SHAPE_TEXT, false, "" },
    SHAPE_CAUTIONS,
    SHAPE_ASSUMED,
};

static enum shelter_kind kind_of(const char *name)
{
    for (int k = 0; k < SHELTER_KIND_END; k++)
        if (strcmp(shelter_kind_name[k], name) == 0)
            return (enum shelter_kind)k;
    return SHELTER_OPEN; /* not reached: P_CHOICE lets no other name in */
}

/* What lies bare: huts without a floor and nests stand on soil, pens on concrete. */
static void floor_of(const struct asked *q, struct shelter *s, struct answer *taken)
{
    const char *name = given_text(q, FLOOR);

    s->floor = s->straw_m > 0.0 ? PIGLET_STRAW : s->kind == SHELTER_BARN ? PIGLET_CONCRETE : PIGLET_SOIL;
    if (s->straw_m > 0.0)
        return;
    for (int f = 0; name && f < PIGLET_FLOOR_END; f++)
        if (strcmp(piglet_floor_name[f], name) == 0)
            s->floor = (enum piglet_floor)f;
    if (!name)
        answer_words(taken,
                     s->kind == SHELTER_BARN ? "floor concrete: bare, as in most pens" : "floor soil: bare ground");
}

static void break_of(const struct asked *q, struct windbreak *b, struct answer *taken)
{
    const bool given = given_is(q, BREAK_POROSITY) || given_is(q, BREAK_DISTANCE) || given_is(q, BREAK_BEARING) ||
                       given_is(q, BREAK_WIDTH);

    b->stands = b->stands || given;
    if (!b->stands)
        return;
    if (given_is(q, BREAK_POROSITY))
        b->porosity = given_real(q, BREAK_POROSITY);
    else
        answer_words(taken, "windbreak-porosity 0.5: a good hedge");
    if (given_is(q, BREAK_DISTANCE))
        b->distance_heights = given_real(q, BREAK_DISTANCE);
    else
        answer_words(taken, "windbreak-distance-heights 5: where it helps most");
    if (given_is(q, BREAK_BEARING))
        b->bearing_deg = given_real(q, BREAK_BEARING);
    if (given_is(q, BREAK_WIDTH))
        b->width_heights = given_real(q, BREAK_WIDTH);
}

static enum status shelter_of(const struct asked *q, struct shelter *s, struct answer *taken, struct message *why)
{
    *s = shelter_default(kind_of(given_text(q, SHELTER)));
    if (given_flag(q, DAMP) && given_flag(q, SOAKED))
        return refuse(ST_BAD_INPUT, why, "damp", "--damp and --soaked exclude each other; give one");
    s->straw_m = given_real(q, STRAW_DEPTH);
    s->straw = given_flag(q, SOAKED) ? STRAW_SOAKED : given_flag(q, DAMP) ? STRAW_DAMP : STRAW_DRY;
    floor_of(q, s, taken);
    for (int w = 0; w < HUT_WALL_END; w++)
        if (strcmp(hut_wall_name[w], given_text(q, WALL)) == 0)
            s->hut.wall = (enum hut_wall)w;
    s->hut.white = given_flag(q, WHITE);
    s->hut.flap = given_flag(q, FLAP);
    if (given_is(q, FACING))
        s->hut.facing_deg = given_real(q, FACING);
    if (given_is(q, BARN_TEMP))
        s->barn_temp_c = given_real(q, BARN_TEMP);
    break_of(q, &s->lee, taken);
    return shelter_check(s, why);
}

static enum status sun_of(const struct asked *q, struct nest_sun *sun, struct message *why)
{
    const bool parts = given_is(q, DNI) || given_is(q, DHI) || given_is(q, SUN_AZIMUTH) || given_is(q, SUN_ELEVATION);

    *sun = nest_sun_unknown();
    if (given_is(q, GHI))
        sun->ghi_w_m2 = given_real(q, GHI);
    if (parts) {
        const size_t needed[] = { GHI, DNI, DHI, SUN_AZIMUTH, SUN_ELEVATION };
        for (size_t i = 0; i < COUNT(needed); i++)
            if (!given_is(q, needed[i]))
                return refuse(ST_BAD_INPUT, why, params[needed[i]].name,
                              "--%s is needed: --ghi, --dni, --dhi, --sun-azimuth and --sun-elevation go together",
                              params[needed[i]].name);
        if (given_is(q, SUN_FACING))
            return refuse(ST_BAD_INPUT, why, "sun-facing", "--sun-facing and --dni exclude each other; give one");
        sun->dni_w_m2 = given_real(q, DNI);
        sun->dhi_w_m2 = given_real(q, DHI);
        sun->azimuth_deg = given_real(q, SUN_AZIMUTH);
        sun->elevation_deg = given_real(q, SUN_ELEVATION);
    }
    if (given_is(q, SUN_FACING)) {
        if (!given_is(q, FACING))
            return refuse(ST_BAD_INPUT, why, "sun-facing", "--sun-facing needs --facing: the door it falls into");
        /* all of it as a beam square to the door, less what the balance adds for the ground before it */
        const double ghi = given_is(q, GHI) ? given_real(q, GHI) : 0.0;
        sun->ghi_w_m2 = fmax(ghi, 1e-6);
        sun->azimuth_deg = given_real(q, FACING);
        sun->elevation_deg = 1e-4;
        sun->dhi_w_m2 = 0.0;
        sun->dni_w_m2 = fmax(0.0, given_real(q, SUN_FACING) - 0.5 * place_default().albedo * ghi);
    }
    return ST_OK;
}

static struct hour hour_of(const struct asked *q)
{
    struct hour h = { .temp_c = given_real(q, TEMP),
                      .dew_point_c = (double)NAN,
                      .rh = given_real(q, RH),
                      .wind_mps = given_real(q, WIND),
                      .gust_mps = (double)NAN,
                      .wind_from_deg = given_real(q, WIND_FROM),
                      .rain_mm = given_real(q, RAIN),
                      .snow_cm = (double)NAN,
                      .pressure_kpa = (double)NAN,
                      .ghi_w_m2 = (double)NAN,
                      .dni_w_m2 = (double)NAN,
                      .dhi_w_m2 = (double)NAN,
                      .rain_probability = (double)NAN };

    h.cloud_oktas = 8.0 * given_real(q, CLOUD);
    if (h.wind_from_deg >= 360.0)
        h.wind_from_deg -= 360.0;
    return h;
}

static void answer_nest(const struct nest *n, struct answer *a)
{
    answer_real(a, "hut_temp_c", n->hut_c);
    answer_real(a, "nest_temp_c", n->nest_c);
    answer_real(a, "draught_mps", n->draught_mps);
    answer_real_or(a, "flow_m3_s", n->flow_m3_s, "air through it is reckoned for a hut alone");
    answer_real(a, "bed_temp_c", n->bed_c);
    answer_real(a, "radiant_temp_c", n->radiant_c);
    answer_real(a, "nest_rh", n->rh);
    answer_real(a, "rain_in_l_m2", n->rain_in_l_m2);
    answer_real(a, "sun_in_w_m2", n->sun_in_w_m2);
    answer_text(a, "straw", straw_state_name[n->straw]);
    answer_real_or(a, "feels_c", n->feels_c < -60.0 ? (double)NAN : n->feels_c,
                   "it feels colder than -60 C to a wet newborn");
}

static enum status run_one(const struct asked *q, double mass_kg, const struct nest *n, struct piglet *who,
                           struct piglet_result *r, double *lower_c, struct message *why)
{
    *who = piglet_newborn();
    who->mass_kg = mass_kg;
    who->mates = given_real(q, LITTERMATES);
    who->at_udder = who->mates > 0.0;
    *lower_c = piglet_lower_critical_c(NULL, mass_kg, fmax(1.0, who->mates), who->at_udder, 0.0, false, &n->air);
    return piglet_run(NULL, who, 1, &n->air, NULL, r, why);
}

static void answer_unused(const struct asked *q, const struct shelter *s, struct answer *a)
{
    static const size_t hut_only[] = { FACING, WALL, WHITE, FLAP, GHI, SUN_FACING, DNI };
    struct answer *notes = answer_list(a, "notes");

    for (size_t i = 0; s->kind != SHELTER_HUT && i < COUNT(hut_only); i++)
        if (given_typed(q, hut_only[i]))
            answer_words(notes,
                         arena_print(q->mem, "%s is for a hut: it changes nothing here", params[hut_only[i]].name));
    if (s->kind == SHELTER_BARN && s->lee.stands)
        answer_words(notes, "a windbreak changes nothing in a building");
    if (s->kind != SHELTER_BARN && given_is(q, BARN_TEMP))
        answer_words(notes, "barn-temp is for a building: it changes nothing here");
    if (s->straw_m > 0.0 && given_is(q, FLOOR))
        answer_words(notes, "floor is for a place without straw: it changes nothing here");
}

/* Everything that was taken for granted, in the answer's list. */
static void answer_taken(const struct asked *q, const struct answer *taken, const struct nest *n, struct answer *a)
{
    struct answer *assumed = asked_assumed(q, a);

    for (const struct answer *w = taken->first; w; w = w->next)
        answer_words(assumed, w->is.text);
    for (unsigned bit = 0; bit < NEST_ASSUMPTION_BITS; bit++)
        if (n->assumed >> bit & 1u)
            answer_words(assumed, nest_assumed_words(1u << bit));
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct answer taken = { .kind = ANSWER_LIST, .mem = q->mem }; /* until its place in the answer comes */
    struct feels_table *feels = ARENA_NEW(q->mem, struct feels_table, 1);
    const struct hour hour = hour_of(q);
    struct nest_bed bed = { 0 };
    struct shelter shelter;
    struct nest_sun sun;
    struct nest nest;
    struct piglet who[2];
    struct piglet_result r[2];
    double lower_c[2];
    enum status st =
        feels ? shelter_of(q, &shelter, &taken, why) : refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");

    if (st == ST_OK)
        st = sun_of(q, &sun, why);
    if (st != ST_OK)
        return st;
    const struct nest_inside inside = { .sow_kg = given_real(q, SOW_MASS),
                                        .milk_kg_d = given_real(q, MILK),
                                        .piglets = given_real(q, LITTERMATES) + 1.0,
                                        .piglet_kg = given_real(q, MASS) };
    feels_table_make(NULL, feels);
    nest_bed_hour(NULL, &shelter, NULL, &hour, &bed);
    st = nest_hour(NULL, &shelter, NULL, &inside, &bed, &hour, &sun, feels, &nest, why);
    for (int i = 0; i < 2 && st == ST_OK; i++)
        st = run_one(q, given_real(q, i ? RUNT_MASS : MASS), &nest, &who[i], &r[i], &lower_c[i], why);
    if (st != ST_OK)
        return st;
    answer_nest(&nest, a);
    answer_whole(a, "grade", r[0].grade);
    answer_whole(a, "runt_grade", r[1].grade);
    answer_text(a, "grade_words", piglet_grade_words(r[0].grade));
    answer_whole(a, "heat_grade", nest.heat_grade);
    answer_text(a, "heat_words", nest_heat_words(nest.heat_grade));
    answer_real(a, "shortfall_c", piglet_shortfall_both(r[0].shortfall_c, r[1].shortfall_c));
    piglet_answer(answer_object(a, "typical"), &who[0], &r[0], lower_c[0]);
    piglet_answer(answer_object(a, "runt"), &who[1], &r[1], lower_c[1]);
    answer_unused(q, &shelter, a);
    piglet_cautions(answer_list(a, "cautions"), nest.too_hot_for_piglet_model, r[1].grade);
    answer_taken(q, &taken, &nest, a);
    return ST_OK;
}

const struct question piece_nest = {
    "nest", "What a newborn meets in one shelter in one hour of weather, and how cold it gets",
    params, COUNT(params),
    shape,  COUNT(shape),
    NULL,   put,
};
