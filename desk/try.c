/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * try: what it would be like if: a hut turned, moved, bedded deeper, its flap hung. The hours to come in one shelter as
 * it stands and as it is tried; nothing is recorded. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/in_100.h"
#include "desk/memory.h"
#include "desk/night_inside.h"
#include "desk/questions.h"
#include "desk/reckon/reckon.h"
#include "desk/shelter_words.h"
#include "desk/unit_words.h"
#include "farm/near.h"

enum { SHELTER, AT, HORIZON, SOW, FACING, FLAP, BALES, STRAW_DEPTH, X, Y, PADDOCK, LEE, SEEN_NOW };

static const struct param params[] = {
    [SHELTER] = { "shelter", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED | PARAM_WORD,
                  "the hut, or the nest or bed of straw" },
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
    [HORIZON] = { "horizon", P_QUANTITY, Q_SPAN, 0.25, 10, "48h", NULL, 0, "how far ahead" },
    [SOW] = { "sow", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
              "whose hours count; she that nests there unless given, else all that are near" },
    [FACING] = { "facing", P_QUANTITY, Q_ANGLE, 0, 360, NULL, NULL, 0, "where the door would look, from true north" },
    [FLAP] = { "flap", P_CHOICE, Q_NUMBER, 0, 0, NULL, "none|hung", 0, "curtain at the door" },
    [BALES] = { "bales", P_QUANTITY, Q_NUMBER, 0, 20, NULL, NULL, 0, "bales of dry straw put in" },
    [STRAW_DEPTH] = { "straw-depth", P_QUANTITY, Q_LENGTH, 0, 1.5, NULL, NULL, 0,
                      "or the depth it would have, settled" },
    [X] = { "x", P_QUANTITY, Q_LENGTH, -5000, 5000, NULL, NULL, 0,
            "plan: metres east of the south-west corner of the field" },
    [Y] = { "y", P_QUANTITY, Q_LENGTH, -5000, 5000, NULL, NULL, 0, "plan: metres north of it" },
    [PADDOCK] = { "paddock", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "field it would stand in; its own unless given" },
    [LEE] = { "lee", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
              "windbreak it would stand behind, or none; by the plan where x and y are given" },
    [SEEN_NOW] = { "seen-now", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                   "you have just walked round and none has farrowed" },
};

struct tried {
    const struct asked *q;
    struct night n;
    const struct herd_site *site;
    size_t sow;            /* index in n.sows; WATCH_NONE: all that are near */
    struct shelter is[2];  /* as it stands, as tried */
    bool stands;           /* false: it is in store, so there is no 'now' */
    const char *lee_words; /* NULL: nothing to say */
};

/* ---- what is asked ---- */

static bool same_name(const char *a, const char *b)
{
    return near_steps(a, b) == 0;
}

static enum status which_site(struct tried *t, struct message *why)
{
    const struct herd *h = t->n.herd;
    const char *name = given_text(t->q, SHELTER), *near = "";

    for (size_t i = 0; i < h->n_sites && !t->site; i++)
        if (same_name(h->sites[i].name, name) || strcmp(h->sites[i].uid, name) == 0 ||
            strcmp(h->sites[i].shelter_uid, name) == 0)
            t->site = &h->sites[i];
    for (size_t i = 0; i < h->n_sites && !t->site; i++)
        if (near_enough(name, h->sites[i].name))
            near = arena_print(t->q->mem, "%s%s%s", near ? near : "", near && *near ? ", " : "; did you mean ",
                               h->sites[i].name);
    if (!t->site)
        return refuse(ST_NOT_FOUND, why, "shelter", "there is no hut or bed \"%.40s\"%.120s%s", name, near ? near : "",
                      near && *near ? "?" : "");
    t->stands = t->site->placed || t->site->is.kind != SHELTER_HUT;
    t->is[0] = t->is[1] = t->site->is;
    return ST_OK;
}

static enum status which_sow(struct tried *t, struct message *why)
{
    const char *name = given_text(t->q, SOW);
    size_t herd = t->site->nest_of;

    t->sow = WATCH_NONE;
    if (name) {
        const enum status st = herd_find(t->n.herd, name, &herd, why);
        if (st != ST_OK)
            return st;
    }
    for (size_t i = 0; i < t->n.n_sows && herd != HERD_NONE; i++)
        if (t->n.sows[i].herd == herd)
            t->sow = i;
    if (name && t->sow == WATCH_NONE)
        return refuse(ST_NOT_FOUND, why, "sow",
                      "%s is not waited for: no service of hers is recorded that is still open",
                      t->n.herd->sows[herd].name);
    return ST_OK;
}

static enum status which_lee(struct tried *t, struct shelter *is, struct message *why)
{
    const struct herd *h = t->n.herd;
    const char *name = given_text(t->q, LEE), *paddock = given_text(t->q, PADDOCK);
    size_t which = HERD_NONE, field = t->site->paddock;

    for (size_t i = 0; i < h->n_paddocks && paddock; i++)
        field = same_name(h->paddocks[i].name, paddock) || strcmp(h->paddocks[i].uid, paddock) == 0 ? i : field;
    if (paddock && (field == HERD_NONE ||
                    (!same_name(h->paddocks[field].name, paddock) && strcmp(h->paddocks[field].uid, paddock) != 0)))
        return refuse(ST_NOT_FOUND, why, "paddock", "there is no field \"%.40s\"", paddock);
    if (given_is(t->q, X) != given_is(t->q, Y))
        return refuse(ST_BAD_INPUT, why, given_is(t->q, X) ? "y" : "x", "x and y go together: metres east and north");
    if (name && same_name(name, "none")) {
        is->lee.stands = false;
        return ST_OK;
    }
    for (size_t i = 0; i < h->n_breaks && name; i++)
        which = same_name(h->breaks[i].name, name) || strcmp(h->breaks[i].uid, name) == 0 ? i : which;
    if (name && which == HERD_NONE)
        return refuse(ST_NOT_FOUND, why, "lee", "there is no windbreak \"%.40s\"", name);
    if (name) {
        const struct herd_break *b = &h->breaks[which];
        is->lee = (struct windbreak){ .stands = true,
                                      .porosity = b->porosity,
                                      .distance_heights = night_work.lee_distance_heights,
                                      .bearing_deg = b->bearing_deg,
                                      .width_heights = fmin(1000.0, b->length_m / b->height_m) };
        t->lee_words = arena_print(t->q->mem, "It would stand in the lee of %s.", b->name);
    } else if (given_is(t->q, X)) {
        is->lee.stands = herd_lee_at(h, field, given_real(t->q, X), given_real(t->q, Y), &is->lee, &which);
        t->lee_words =
            is->lee.stands
                ? arena_print(t->q->mem, "There it stands %s from %s.",
                              words_length(&h->place, is->lee.distance_heights * h->breaks[which].height_m, t->q->mem),
                              h->breaks[which].name)
                : "There no drawn hedge or wall shelters it.";
    }
    return ST_OK;
}

static enum status as_tried(struct tried *t, struct message *why)
{
    struct shelter *is = &t->is[1];
    const bool hut = is->kind == SHELTER_HUT;
    double kg = 0.0;

    if (!hut && (given_is(t->q, FACING) || given_is(t->q, FLAP)))
        return refuse(ST_BAD_INPUT, why, given_is(t->q, FACING) ? "facing" : "flap", "%s has no door", t->site->name);
    if (given_is(t->q, BALES) && given_is(t->q, STRAW_DEPTH))
        return refuse(ST_BAD_INPUT, why, "bales", "give the bales put in or the depth there would be, not both");
    if (given_is(t->q, FACING))
        is->hut.facing_deg = fmod(given_real(t->q, FACING), 360.0);
    if (given_is(t->q, FLAP))
        is->hut.flap = strcmp(given_text(t->q, FLAP), "hung") == 0;
    if (given_is(t->q, BALES))
        (void)night_bedded(&t->n, is, given_real(t->q, BALES), &kg);
    if (given_is(t->q, STRAW_DEPTH)) {
        const double deep = given_real(t->q, STRAW_DEPTH);
        if (deep > is->straw_m) { /* what is put in is dry and lies on top */
            is->straw = STRAW_DRY;
            is->straw_age_d = 0.0;
        }
        is->straw_m = deep;
        is->floor = deep > 0.0 ? PIGLET_STRAW : is->floor == PIGLET_STRAW ? PIGLET_SOIL : is->floor;
    }
    const enum status st = which_lee(t, is, why);
    return st == ST_OK ? shelter_check(is, why) : st;
}

/* ---- the answer ---- */

/* The chance of a birth in each hour: hers; or the share of the near sows' births, summing to 1. */
static double *births(const struct tried *t)
{
    double *f = ARENA_NEW(t->q->mem, double, t->n.n_hours);

    for (size_t h = 0; f && h < t->n.n_hours; h++)
        for (size_t i = 0; i < t->n.n_sows; i++)
            f[h] += t->sow == WATCH_NONE ? (t->n.sows[i].near ? t->n.sows[i].birth[h] : 0.0)
                    : t->sow == i        ? t->n.sows[i].birth[h]
                                         : 0.0;
    double all = 0.0;
    for (size_t h = 0; f && h < t->n.n_hours; h++)
        all += f[h];
    for (size_t h = 0; f && h < t->n.n_hours && t->sow == WATCH_NONE && all > 0.0; h++)
        f[h] /= all;
    return f;
}

static const char *const share_key[3] = { "share1", "share2", "share3" };

static void answer_state(const struct tried *t, size_t option, const double f[], const char *key, struct answer *a)
{
    const struct night *n = &t->n;
    const struct night_option *o = &n->options[option];
    const size_t hours = n->n_hours;
    struct answer *s = answer_object(a, key);
    double *share[3], *grade = ARENA_NEW(t->q->mem, double, hours), danger = 0.0, feels = INFINITY;
    int worst = 0, runt = 0, heat = 0;
    size_t from = 0, to = 0, coldest = 0;

    for (size_t g = 0; g < 3; g++)
        share[g] = ARENA_NEW(t->q->mem, double, hours);
    if (!share[0] || !share[1] || !share[2] || !grade)
        return;
    night_span(n, &from, &to);
    for (size_t h = 0; h < hours; h++) {
        grade[h] = o->cells[h].grade;
        for (size_t m = 0; m < n->watch.n_members; m++) {
            const struct watch_cell *c = &o->cells[m * hours + h];
            const unsigned g = c->heat_grade >= 2 ? 0 : c->grade;
            if (g > 0)
                share[g - 1][h] += 1.0 / (double)n->watch.n_members;
        }
        danger += f[h] * (share[1][h] + share[2][h]);
        if (h < from || h >= to)
            continue;
        worst = o->cells[h].grade > worst ? o->cells[h].grade : worst;
        runt = o->cells[h].runt_grade > runt ? o->cells[h].runt_grade : runt;
        heat = o->cells[h].heat_grade > heat ? o->cells[h].heat_grade : heat;
        if (o->feels_c[h] < feels) {
            feels = o->feels_c[h];
            coldest = h;
        }
    }
    answer_text(s, "stands", shelter_words(&n->herd->place, &o->is, t->q->mem));
    answer_whole(s, "grade", worst);
    answer_text(s, "words", piglet_grade_words(worst));
    answer_whole(s, "runt_grade", runt);
    answer_whole(s, "heat_grade", heat);
    answer_real(s, "feels_c", feels);
    answer_moment(s, "coldest", n->coming->from_utc_s + (int64_t)coldest * HOUR_S);
    answer_real(s, "danger", danger);
    struct answer *h = answer_object(s, "hours");
    answer_reals(h, "grade", grade, hours, 0);
    for (size_t g = 0; g < 3; g++)
        answer_reals(h, share_key[g], share[g], hours, 4);
    answer_reals(h, "feels_c", o->feels_c, hours, 1);
    answer_reals(h, "nest_temp_c", o->nest_c, hours, 1);
}

static const char *says(const struct tried *t, const struct answer *a)
{
    struct arena *mem = t->q->mem;
    const char *now = in_100_words(answer_get_real(a, "now.danger"), mem),
               *then = in_100_words(answer_get_real(a, "then.danger"), mem);
    const bool hot = answer_get_real(a, "then.heat_grade") >= 2.0 || answer_get_real(a, "now.heat_grade") >= 2.0;
    const char *danger =
        hot ? "danger from cold" : "danger"; /* an hour that is hot is told apart from one that is cold */
    const char *who =
        t->sow == WATCH_NONE
            ? arena_print(mem, "Of the near sows' births in these hours, in %s, into %s", t->site->name, danger)
            : arena_print(mem, "Chance that %s farrows into %s, in %s", t->n.herd->sows[t->n.sows[t->sow].herd].name,
                          danger, t->site->name);

    const char *text = t->stands ? arena_print(mem, "%s: %s as it stands, %s so.", who, now, then)
                                 : arena_print(mem, "%s: %s so.", who, then);
    if (hot)
        text = arena_print(mem, "%s It gets hot for a sow in there: shade, a wallow and water.", text);
    return t->lee_words ? arena_print(mem, "%s %s", text, t->lee_words) : text;
}

static void leave_it(const struct tried *t, struct answer *a)
{
    const struct herd *h = t->n.herd;
    const bool moved = given_is(t->q, FACING) || given_is(t->q, X) || given_is(t->q, LEE);
    const size_t who = t->site->litter_of != HERD_NONE ? t->site->litter_of : t->site->nest_of;

    if (moved && who != HERD_NONE)
        answer_print(a, "leave_because", "%s %s there: do not turn or move it now.", h->sows[who].name,
                     t->site->litter_of != HERD_NONE ? "lies with her litter" : "nests");
    else if (moved && t->site->frozen_in)
        answer_text(a, "leave_because", "Frozen to the ground: not before it comes loose.");
    else
        answer_null(a, "leave_because", NULL);
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct tried t = { .q = q };
    const size_t horizon = (size_t)ceil(given_real(q, HORIZON) * 24.0);
    double best = NAN;

    enum status st = desk_memory_night(q, horizon, given_flag(q, SEEN_NOW), &t.n, why);
    if (st == ST_OK)
        st = which_site(&t, why);
    if (st == ST_OK)
        st = which_sow(&t, why);
    if (st == ST_OK)
        st = as_tried(&t, why);
    if (st == ST_OK)
        st = desk_memory_shelters(q, &t.n, t.stands ? 2 : 1, t.stands ? t.is : t.is + 1, why);
    if (st == ST_OK && t.is[1].kind == SHELTER_HUT)
        st = night_best_facing(&t.n, &t.is[1], &best, why);
    if (st != ST_OK)
        return st;
    const double *f = births(&t);
    if (!f)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    answer_moment(a, "at", t.n.herd->at_utc_s);
    answer_whole(a, "known_to", t.n.herd->known_to);
    answer_text(a, "shelter", t.site->name);
    answer_text(a, "sow", t.sow == WATCH_NONE ? NULL : t.n.herd->sows[t.n.sows[t.sow].herd].name);
    if (t.stands)
        answer_state(&t, 0, f, "now", a);
    else
        answer_null(a, "now", "it is in store");
    answer_state(&t, t.stands ? 1 : 0, f, "then", a);
    answer_text(a, "says", says(&t, a));
    leave_it(&t, a);
    answer_real_or(a, "best_facing_deg", best, "it hardly matters in these hours");
    struct answer *time = answer_list(a, "time");
    for (size_t h = 0; h < t.n.n_hours; h++)
        answer_moment_item(time, t.n.coming->from_utc_s + (int64_t)h * HOUR_S);
    answer_reals(a, "chance", f, t.n.n_hours, 4);
    struct answer *assumed = asked_assumed(q, a), *cautions = answer_list(a, "cautions");
    answer_words(assumed, "she uses it: where she lies down elsewhere, other hours hold");
    answer_words(cautions,
                 "The grade is danger from cold, never a count of deaths, and never replaces going out to look.");
    return ST_OK;
}

#define SHAPE_STATE(at)                                                                                                \
    { at ".stands", SHAPE_TEXT, false, "how it stands, in words" },                                                    \
        { at ".grade", SHAPE_WHOLE, false, "worst of the coming night, typical piglet, 0 .. 3" },                      \
        { at ".words", SHAPE_TEXT, false, "" }, { at ".runt_grade", SHAPE_WHOLE, false, "" },                          \
        { at ".heat_grade", SHAPE_WHOLE, false, "for the sow" },                                                       \
        { at ".feels_c", SHAPE_REAL, true, "to a wet newborn, at the worst of the night" },                            \
        { at ".coldest", SHAPE_MOMENT, false, "when that is" },                                                        \
        { at ".danger", SHAPE_REAL, false,                                                                             \
          "chance that she farrows there in hours of danger; of all near: share of births" },                          \
        { at ".hours", SHAPE_OBJECT, false, "columns; the first hour is time[0]" },                                    \
        { at ".hours.grade", SHAPE_REALS, false, "0 bearable 1 cold 2 danger 3 not fit for newborns" },                \
        { at ".hours.share1", SHAPE_REALS, false, "share of the forecasts in which the hour is of grade 1" },          \
        { at ".hours.share2", SHAPE_REALS, false, "" }, { at ".hours.share3", SHAPE_REALS, false, "" },                \
        { at ".hours.feels_c", SHAPE_REALS, false, "" },                                                               \
    {                                                                                                                  \
        at ".hours.nest_temp_c", SHAPE_REALS, false, ""                                                                \
    }

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "the moment asked about" },
    { "known_to", SHAPE_WHOLE, false, "number of the newest change that was known" },
    { "shelter", SHAPE_TEXT, false, "" },
    { "sow", SHAPE_TEXT, true, "whose hours count; null: all that are near, together" },
    { "now", SHAPE_OBJECT, true, "as it stands" },
    SHAPE_STATE("now"),
    { "then", SHAPE_OBJECT, false, "as tried" },
    SHAPE_STATE("then"),
    { "says", SHAPE_TEXT, false, "" },
    { "leave_because", SHAPE_TEXT, true, "why it may not be turned or moved now" },
    { "best_facing_deg", SHAPE_REAL, true, "for the coming hours, as tried" },
    { "time", SHAPE_LIST, false, "" },
    { "time[]", SHAPE_MOMENT, false, "" },
    { "chance", SHAPE_REALS, false, "of a first birth in the hour; of all near: share of their births" },
    SHAPE_ASSUMED,
    SHAPE_CAUTIONS,
};

const struct question question_try = {
    "try",  "What it would be like if a hut were turned, moved, bedded or closed: as it stands and so",
    params, COUNT(params),
    shape,  COUNT(shape),
    NULL,   put,
};
