/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon piglet: one newborn under conditions that stay the same. */
#include "core/piglet/piglet.h"

#include <math.h>
#include <string.h>

#include "desk/reckon/reckon.h"

enum {
    TEMP,
    RH,
    DRAUGHT,
    RADIANT,
    BED_TEMP,
    FLOOR,
    STRAW_DEPTH,
    DAMP,
    SOAKED,
    MASS,
    WET,
    DRY,
    SUCKLING,
    UNFED,
    MILK_AT_ONCE,
    LITTERMATES,
    ALONE,
    AT_UDDER,
    BODY_TEMP,
    AGE,
    HOURS,
    SERIES
};

static const struct param params[] = {
    [TEMP] = { "temp", P_QUANTITY, Q_TEMPERATURE, -60, 50, NULL, NULL, PARAM_REQUIRED, "air at the piglet" },
    [RH] = { "rh", P_QUANTITY, Q_FRACTION, 0, 1, "0.7", NULL, 0, "relative humidity there" },
    [DRAUGHT] = { "draught", P_QUANTITY, Q_SPEED, 0, 30, "0.1 mps", NULL, 0,
                  "air movement at the piglet; 0.1 m/s is still air" },
    [RADIANT] = { "radiant", P_QUANTITY, Q_TEMPERATURE, -90, 60, NULL, NULL, 0,
                  "temperature of walls and sky around; that of the air unless given" },
    [BED_TEMP] = { "bed-temp", P_QUANTITY, Q_TEMPERATURE, -60, 50, NULL, NULL, 0,
                   "ground or floor under it; that of the air unless given" },
    [FLOOR] = { "floor", P_CHOICE, Q_NUMBER, 0, 0, NULL, "mesh|concrete|wood|soil|straw", 0,
                "what it lies on; mesh (no contact) unless given, straw with --straw-depth" },
    [STRAW_DEPTH] = { "straw-depth", P_QUANTITY, Q_LENGTH, 0, 1.5, NULL, NULL, 0,
                      "settled depth; 20 cm on --floor straw unless given" },
    [DAMP] = { "damp", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "the straw is damp" },
    [SOAKED] = { "soaked", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "the straw is soaked" },
    [MASS] = { "mass", P_QUANTITY, Q_MASS, 0.3, 3, "1.3 kg", NULL, 0, "mass at birth; a runt is about 0.9 kg" },
    [WET] = { "wet", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "wet from birth; so unless --dry" },
    [DRY] = { "dry", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "dry from the start" },
    [SUCKLING] = { "suckling", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                   "milk from 45 minutes after birth; so unless --unfed" },
    [UNFED] = { "unfed", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "never fed" },
    [MILK_AT_ONCE] = { "milk-at-once", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                       "milk from the start, as where fed piglets were measured" },
    [LITTERMATES] = { "littermates", P_QUANTITY, Q_NUMBER, 0, 20, "7", NULL, 0,
                      "n huddling after the time alone, itself among them (8 born: 7); 0 = alone throughout" },
    [ALONE] = { "alone-minutes", P_QUANTITY, Q_MINUTES, 0, 4320, "20", NULL, 0,
                "minutes alone, away from the udder, at first" },
    [AT_UDDER] = { "at-udder", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                   "touches the udder when not alone; so unless --littermates is given" },
    [BODY_TEMP] = { "start-body-temp", P_QUANTITY, Q_TEMPERATURE, 26, 41, "39.0 C", NULL, 0,
                    "body temperature at the start" },
    [AGE] = { "start-age", P_QUANTITY, Q_HOURS, 0, 72, "0 h", NULL, 0, "hours since birth at the start" },
    [HOURS] = { "hours", P_QUANTITY, Q_HOURS, 0.5, 72, "6 h", NULL, 0, "length of the run; a grade needs 6" },
    [SERIES] = { "series", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                 "give the whole course, points 5 minutes apart and later 20" },
};

static const struct shape shape[] = {
    SHAPE_PIGLET(""),
    { "series", SHAPE_OBJECT, true, "columns, with --series" },
    { "series.at_minutes", SHAPE_REALS, false, "" },
    { "series.body_temp_c", SHAPE_REALS, false, "" },
    { "series.skin_temp_c", SHAPE_REALS, false, "" },
    { "series.heat_w_kg", SHAPE_REALS, false, "heat made" },
    { "series.loss_w_kg", SHAPE_REALS, false, "heat lost" },
    { "series.wet", SHAPE_REALS, false, "share of full birth wetness" },
    { "series.reserve_kj_kg", SHAPE_REALS, false, "" },
    SHAPE_CAUTIONS,
    SHAPE_ASSUMED,
};

enum { EVERY_MIN = 5, MOST_POINTS = 72 * 60 / EVERY_MIN + 2 };

static void figure_at(struct answer *parent, const char *key, double value, bool collapsed, double at_h, double hours)
{
    const char *because = collapsed      ? "it had collapsed by then"
                          : hours < at_h ? "the run is shorter; give more --hours"
                                         : "not reached";
    answer_real_or(parent, key, value, because);
}

void piglet_answer(struct answer *parent, const struct piglet *who, const struct piglet_result *r, double lower_c)
{
    const bool collapsed = !isnan(r->collapsed_at_min);

    answer_real(parent, "mass_kg", who->mass_kg);
    answer_real(parent, "min_body_temp_c", r->min_c);
    answer_real(parent, "min_at_minutes", r->min_at_min);
    figure_at(parent, "body_temp_30min_c", r->at_30min_c, collapsed, 0.5, who->hours);
    figure_at(parent, "body_temp_2h_c", r->at_2h_c, collapsed, 2.0, who->hours);
    figure_at(parent, "body_temp_6h_c", r->at_6h_c, collapsed, 6.0, who->hours);
    answer_real(parent, "mean_heat_w_kg", r->mean_heat_w_kg);
    answer_real(parent, "peak_heat_w_kg", r->peak_heat_w_kg);
    answer_real(parent, "milk_g_kg", r->milk_g_kg);
    answer_real(parent, "reserve_kj_kg", r->reserve_kj_kg);
    answer_real_or(parent, "collapsed_at_minutes", r->collapsed_at_min, "it did not collapse");
    if (r->grade >= 0) {
        answer_whole(parent, "grade", r->grade);
        answer_text(parent, "grade_words", piglet_grade_words(r->grade));
    } else {
        answer_null(parent, "grade", "a grade needs a run of 6 hours");
        answer_null(parent, "grade_words", NULL);
    }
    answer_real(parent, "shortfall_c", r->shortfall_c);
    answer_flag(parent, "near_limit", r->near_limit);
    answer_flag(parent, "too_hot", r->too_hot);
    answer_real_or(parent, "lower_critical_temp_c", lower_c, "no air temperature from -60 to 40 C balances its heat");
}

void piglet_cautions(struct answer *cautions, bool too_hot, int worst_grade)
{
    answer_words(
        cautions,
        "This is reckoned, and says how cold they get, not how many live. It never replaces going out to look: "
        "shivering, piling up, noses down, cold ears or silence mean act.");
    if (worst_grade > 0)
        answer_words(
            cautions,
            "Dry a chilled piglet, warm it at 34-35 °C, then back to the udder; no milk forced into one under about "
            "35 °C. Keep heat lamps and flames away from straw. Ask your vet about any that fail.");
    if (too_hot)
        answer_words(
            cautions,
            "Too hot for newborns and sow: shade, open vents and water; the temperatures here mean nothing in heat.");
}

static enum status refuse_pair(const struct asked *q, size_t one, size_t other, struct message *why)
{
    if (!given_flag(q, one) || !given_flag(q, other))
        return ST_OK;
    return refuse(ST_BAD_INPUT, why, params[one].name, "--%s and --%s exclude each other; give one", params[one].name,
                  params[other].name);
}

static enum status air_of(const struct asked *q, struct piglet_air *air, struct answer *assumed, struct message *why)
{
    const bool depth = given_is(q, STRAW_DEPTH);
    const char *floor = given_is(q, FLOOR) ? given_text(q, FLOOR) : depth ? "straw" : "mesh";

    *air = (struct piglet_air){ .air_c = given_real(q, TEMP),
                                .rh = given_real(q, RH),
                                .draught_mps = given_real(q, DRAUGHT) };
    air->radiant_c = given_is(q, RADIANT) ? given_real(q, RADIANT) : air->air_c;
    air->bed_c = given_is(q, BED_TEMP) ? given_real(q, BED_TEMP) : air->air_c;
    for (int f = 0; f < PIGLET_FLOOR_END; f++)
        if (strcmp(piglet_floor_name[f], floor) == 0)
            air->floor = (enum piglet_floor)f;
    if (air->floor != PIGLET_STRAW && (depth || given_flag(q, DAMP) || given_flag(q, SOAKED)))
        return refuse(ST_BAD_INPUT, why,
                      depth                 ? "straw-depth"
                      : given_flag(q, DAMP) ? "damp"
                                            : "soaked",
                      "--%s is about straw, and the floor is %s; give --floor straw",
                      depth                 ? "straw-depth"
                      : given_flag(q, DAMP) ? "damp"
                                            : "soaked",
                      floor);
    air->straw_m = air->floor != PIGLET_STRAW ? 0.0 : depth ? given_real(q, STRAW_DEPTH) : 0.20;
    air->straw = given_flag(q, SOAKED) ? STRAW_SOAKED : given_flag(q, DAMP) ? STRAW_DAMP : STRAW_DRY;
    if (!given_is(q, FLOOR))
        answer_words(assumed,
                     depth ? "floor straw: a depth of straw was given" : "floor mesh: no contact with a floor");
    if (air->floor == PIGLET_STRAW && !depth)
        answer_words(assumed, "straw-depth 20 cm: settled depth of a good bed");
    if (air->floor == PIGLET_STRAW && air->straw == STRAW_DRY)
        answer_words(assumed, "dry straw");
    if (!given_is(q, RADIANT))
        answer_words(assumed, "radiant: walls and sky as warm as the air");
    if (air->floor != PIGLET_MESH && !given_is(q, BED_TEMP))
        answer_words(assumed, "bed-temp: ground as warm as the air");
    return ST_OK;
}

static void who_of(const struct asked *q, struct piglet *who, struct answer *assumed)
{
    const bool full = !given_typed(q, LITTERMATES) && !given_flag(q, AT_UDDER);

    *who = piglet_newborn();
    who->mass_kg = given_real(q, MASS);
    who->wet = given_flag(q, DRY) ? 0.0 : 1.0;
    who->suckles = !given_flag(q, UNFED);
    who->milk_at_once = given_flag(q, MILK_AT_ONCE);
    who->mates = given_real(q, LITTERMATES);
    who->alone_min = given_real(q, ALONE);
    who->at_udder = (full || given_flag(q, AT_UDDER)) && who->mates > 0.0;
    who->body_c = given_real(q, BODY_TEMP);
    who->age_h = given_real(q, AGE);
    who->hours = given_real(q, HOURS);
    if (!given_flag(q, WET) && !given_flag(q, DRY))
        answer_words(assumed, "wet: newborn, not yet dried");
    if (!given_flag(q, SUCKLING) && !given_flag(q, UNFED))
        answer_words(assumed, who->milk_at_once ? "suckling" : "suckling: milk from 45 minutes after birth");
    if (full)
        answer_words(assumed, "at-udder: with its litter-mates at the udder after the time alone");
}

static void answer_series(const struct asked *q, const struct piglet_series *s, struct answer *a)
{
    static const struct {
        const char *key;
        size_t offset;
        int digits;
    } columns[] = {
        { "at_minutes", offsetof(struct piglet_point, at_min), 1 },
        { "body_temp_c", offsetof(struct piglet_point, body_c), 3 },
        { "skin_temp_c", offsetof(struct piglet_point, skin_c), 3 },
        { "heat_w_kg", offsetof(struct piglet_point, heat_w_kg), 3 },
        { "loss_w_kg", offsetof(struct piglet_point, loss_w_kg), 3 },
        { "wet", offsetof(struct piglet_point, wet), 4 },
        { "reserve_kj_kg", offsetof(struct piglet_point, reserve_kj_kg), 2 },
    };
    struct answer *series = answer_object(a, "series");

    for (size_t c = 0; c < COUNT(columns); c++) {
        double *at = ARENA_NEW(q->mem, double, s->n);
        if (!at)
            return; /* the arena is full, and whoever asked looks at that once */
        for (size_t i = 0; i < s->n; i++)
            at[i] = *(const double *)(const void *)((const char *)&s->points[i] + columns[c].offset);
        answer_reals(series, columns[c].key, at, s->n, columns[c].digits);
    }
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct answer taken = { .kind = ANSWER_LIST,
                            .mem = q->mem }; /* what was taken, until its place in the answer comes */
    struct piglet who;
    struct piglet_air air;
    struct piglet_result r;
    struct piglet_series series = { .points = ARENA_NEW(q->mem, struct piglet_point, MOST_POINTS),
                                    .room = MOST_POINTS,
                                    .every_min = EVERY_MIN };
    enum status st = refuse_pair(q, WET, DRY, why);

    if (st == ST_OK)
        st = refuse_pair(q, SUCKLING, UNFED, why);
    if (st == ST_OK)
        st = refuse_pair(q, UNFED, MILK_AT_ONCE, why);
    if (st == ST_OK)
        st = refuse_pair(q, DAMP, SOAKED, why);
    if (st == ST_OK && !series.points)
        st = refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    if (st == ST_OK)
        st = air_of(q, &air, &taken, why);
    if (st != ST_OK)
        return st;
    who_of(q, &who, &taken);
    st = piglet_run(NULL, &who, 1, &air, given_flag(q, SERIES) ? &series : NULL, &r, why);
    if (st != ST_OK)
        return st;
    const bool fed = who.suckles && (who.milk_at_once || who.age_h >= piglet_published.milk_after_h);
    const double lower_c =
        piglet_lower_critical_c(NULL, who.mass_kg, fmax(1.0, who.mates), who.at_udder, who.age_h, fed, &air);
    piglet_answer(a, &who, &r, lower_c);
    if (given_flag(q, SERIES))
        answer_series(q, &series, a);
    piglet_cautions(answer_list(a, "cautions"), r.too_hot, r.grade < 0 ? 3 : r.grade);
    struct answer *assumed = asked_assumed(q, a);
    for (const struct answer *w = taken.first; w; w = w->next)
        answer_words(assumed, w->is.text);
    return ST_OK;
}

const struct question piece_piglet = {
    "piglet", "What happens to the body temperature of a newborn piglet under steady conditions",
    params,   COUNT(params),
    shape,    COUNT(shape),
    "series", put,
};
