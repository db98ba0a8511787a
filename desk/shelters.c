/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * shelters: every hut, nest and bed there is or could be, what a litter born there in the coming night would meet,
 * and the change that would do most. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/night.h"
#include "desk/questions.h"
#include "desk/when.h"

enum { AT, HORIZON };
static const struct param params[] = {
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
    [HORIZON] = { "horizon", P_QUANTITY, Q_SPAN, 0.25, 10, "48h", NULL, 0, "how far ahead" },
};

struct worst {
    int grade, runt, heat;
    double feels_c, hut_c;
    size_t hour;
    double mean_need;
};

static struct worst worst_of(const struct night *n, size_t option, size_t from, size_t to)
{
    const struct night_option *o = &n->options[option];
    struct worst w = { 0, 0, 0, INFINITY, NAN, from, 0.0 };

    for (size_t h = from; h < to; h++) {
        const struct watch_cell *c = &o->cells[h];
        if (o->feels_c[h] < w.feels_c) {
            w.feels_c = o->feels_c[h];
            w.hut_c = o->nest_c[h];
            w.hour = h;
        }
        w.grade = c->grade > w.grade ? c->grade : w.grade;
        w.runt = c->runt_grade > w.runt ? c->runt_grade : w.runt;
        w.heat = c->heat_grade > w.heat ? c->heat_grade : w.heat;
        w.mean_need += watch_need_c(&watch_usual_weights, c) + 0.01 * (double)c->shortfall_c;
    }
    return w;
}

static size_t best_option(const struct night *n, size_t site, size_t from, size_t to)
{
    size_t best = n->sites[site].as_it_stands;

    for (size_t i = 0; i < n->n_options; i++)
        if (n->options[i].site == site &&
            worst_of(n, i, from, to).mean_need < worst_of(n, best, from, to).mean_need - 1e-9)
            best = i;
    return best;
}

static void stands(const struct night *n, const struct night_site *s, struct answer *row)
{
    const struct night_option *o = &n->options[s->as_it_stands];
    const struct herd_site *h = s->herd == HERD_NONE ? NULL : &n->herd->sites[s->herd];
    const char *who = h && h->nest_of != HERD_NONE ? n->herd->sows[h->nest_of].name : NULL;

    answer_text(row, "kind", shelter_kind_name[o->is.kind]);
    answer_flag(row, "placed", h ? h->placed : false);
    answer_text(row, "wall", o->is.kind == SHELTER_HUT ? hut_wall_name[o->is.hut.wall] : NULL);
    answer_real(row, "facing_deg", o->is.kind == SHELTER_HUT ? o->is.hut.facing_deg : (double)NAN);
    answer_flag(row, "flap", o->is.kind == SHELTER_HUT && o->is.hut.flap);
    answer_real(row, "straw_m", o->is.straw_m);
    answer_text(row, "straw", o->is.straw_m > 0.0 ? straw_state_name[o->is.straw] : "none");
    answer_real(row, "straw_age_d", h && h->bedded_utc_s != INT64_MIN ? o->is.straw_age_d : (double)NAN);
    answer_flag(row, "frozen_in", h && h->frozen_in);
    answer_text(row, "nest_of", who);
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct herd herd;
    struct coming coming;
    struct night n;
    size_t from = 0, to = 0;
    const size_t horizon = (size_t)ceil(given_real(q, HORIZON) * 24.0);
    const struct night_ask ask = { .n_hours = horizon, .lone_member = true };

    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &herd, why);
    if (st == ST_OK)
        st = coming_read(q->farm, &herd.place, herd.zone, q->at_utc_s, herd.known_to, 48, horizon + 6, q->mem, &coming,
                         why);
    if (st == ST_OK)
        st = night_lay_out(&herd, &coming, &ask, q->mem, &n, why);
    if (st != ST_OK)
        return st;
    night_span(&n, &from, &to);
    answer_moment(a, "at", q->at_utc_s);
    answer_moment(a, "night_from", coming.from_utc_s + (int64_t)from * HOUR_S);
    answer_moment(a, "night_to", coming.from_utc_s + (int64_t)to * HOUR_S);
    struct answer *list = answer_list(a, "shelters");
    for (size_t i = 0; i < n.n_sites; i++) {
        const struct night_site *s = &n.sites[i];
        const size_t best = best_option(&n, i, from, to);
        const struct worst w = worst_of(&n, s->as_it_stands, from, to), b = worst_of(&n, best, from, to);
        struct answer *row = answer_item(list);
        answer_text(row, "name", s->name);
        stands(&n, s, row);
        answer_whole(row, "grade", w.grade);
        answer_text(row, "words", piglet_grade_words(w.grade));
        answer_whole(row, "runt_grade", w.runt);
        answer_whole(row, "heat_grade", w.heat);
        answer_real(row, "feels_c", w.feels_c);
        answer_real(row, "nest_temp_c", w.hut_c);
        answer_moment(row, "coldest", coming.from_utc_s + (int64_t)w.hour * HOUR_S);
        answer_text(row, "best_change", best == s->as_it_stands ? NULL : night_do(&n, best));
        answer_whole(row, "grade_after", b.grade);
        answer_whole(row, "runt_grade_after", b.runt);
        answer_real(row, "feels_after_c", b.feels_c);
    }
    struct answer *litters = answer_list(a, "with_litters");
    for (size_t i = 0; i < herd.n_sites; i++)
        if (herd.sites[i].litter_of != HERD_NONE) {
            struct answer *row = answer_item(litters);
            answer_text(row, "name", herd.sites[i].name);
            answer_text(row, "sow", herd.sows[herd.sites[i].litter_of].name);
        }
    struct answer *assumed = answer_list(a, "assumed");
    for (size_t i = 0; i < n.n_assumed; i++)
        answer_words(assumed, n.assumed[i]);
    struct answer *cautions = answer_list(a, "cautions");
    answer_words(cautions,
                 "The grade is danger from cold, never a count of deaths, and never replaces going out to look.");
    answer_words(cautions,
                 "Two people carry a hut; tie it down; never turn or move one with a nest or a litter in it.");
    return ST_OK;
}

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "" },
    { "night_from", SHAPE_MOMENT, false, "the hours judged" },
    { "night_to", SHAPE_MOMENT, false, "" },
    { "shelters", SHAPE_LIST, false, "" },
    { "shelters[]", SHAPE_OBJECT, false, "" },
    { "shelters[].name", SHAPE_TEXT, false, "" },
    { "shelters[].kind", SHAPE_TEXT, false, "open, lee, hut or barn" },
    { "shelters[].placed", SHAPE_FLAG, false, "stands in a field now" },
    { "shelters[].wall", SHAPE_TEXT, true, "" },
    { "shelters[].facing_deg", SHAPE_REAL, true, "where the door looks, true" },
    { "shelters[].flap", SHAPE_FLAG, false, "" },
    { "shelters[].straw_m", SHAPE_REAL, false, "settled depth" },
    { "shelters[].straw", SHAPE_TEXT, false, "" },
    { "shelters[].straw_age_d", SHAPE_REAL, true, "" },
    { "shelters[].frozen_in", SHAPE_FLAG, false, "" },
    { "shelters[].nest_of", SHAPE_TEXT, true, "sow that has begun a nest there" },
    { "shelters[].grade", SHAPE_WHOLE, false, "worst of the night, typical piglet" },
    { "shelters[].words", SHAPE_TEXT, false, "" },
    { "shelters[].runt_grade", SHAPE_WHOLE, false, "" },
    { "shelters[].heat_grade", SHAPE_WHOLE, false, "for the sow" },
    { "shelters[].feels_c", SHAPE_REAL, true, "to a wet newborn, at the worst" },
    { "shelters[].nest_temp_c", SHAPE_REAL, true, "then" },
    { "shelters[].coldest", SHAPE_MOMENT, false, "" },
    { "shelters[].best_change", SHAPE_TEXT, true, "" },
    { "shelters[].grade_after", SHAPE_WHOLE, false, "" },
    { "shelters[].runt_grade_after", SHAPE_WHOLE, false, "" },
    { "shelters[].feels_after_c", SHAPE_REAL, true, "" },
    { "with_litters", SHAPE_LIST, false, "not offered to any other sow" },
    { "with_litters[]", SHAPE_OBJECT, false, "" },
    { "with_litters[].name", SHAPE_TEXT, false, "" },
    { "with_litters[].sow", SHAPE_TEXT, false, "" },
    { "assumed", SHAPE_LIST, true, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
    { "cautions", SHAPE_LIST, false, "" },
    { "cautions[]", SHAPE_TEXT, false, "" },
};

const struct question question_shelters = {
    "shelters",
    "Every hut and bed: what a litter born there in the coming night would meet, and what change would do most",
    params,
    COUNT(params),
    shape,
    COUNT(shape),
    "shelters",
    put,
};
