/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tonight: what a sow's strip and a job's picture are drawn from, so that a page draws and does not reckon. */
#include <math.h>

#include "desk/tonight_inside.h"
#include "desk/tonight_words.h"

/* ---- hours ------------------------------------------------------------------------------------------------------- */

/* The worst grade that at least half of the forecasts reach, hour by hour. */
static double *lane_of(const struct night *n, size_t grades, const double *const share[])
{
    double *lane = ARENA_NEW(n->mem, double, n->n_hours);

    for (size_t h = 0; lane && h < n->n_hours; h++) {
        double reach = 0.0;
        for (size_t g = grades; g-- > 0 && reach < 0.5;) {
            reach += share[g][h];
            lane[h] = reach >= 0.5 - 1e-9 ? (double)(g + 1) : 0.0;
            reach = reach >= 0.5 - 1e-9 ? 1.0 : reach;
        }
    }
    return lane;
}

static bool any(const struct night *n, const double *const share[], size_t from, size_t to)
{
    for (size_t g = from; g < to; g++)
        for (size_t h = 0; h < n->n_hours; h++)
            if (share[g][h] > 0.0)
                return true;
    return false;
}

static void shares(const struct night *n, const struct watch_shares *s, bool after, bool heat, struct answer *h)
{
    static const char *const cold[2][WATCH_COLD] = { { "share1_now", "share2_now", "share3_now" },
                                                     { "share1_after", "share2_after", "share3_after" } };
    static const char *const hot[2][WATCH_HEAT] = { { "heat1_now", "heat2_now", "heat3_now", "heat4_now" },
                                                    { "heat1_after", "heat2_after", "heat3_after", "heat4_after" } };
    const double *lane = lane_of(n, WATCH_COLD, s->cold);

    for (size_t g = 0; g < WATCH_COLD; g++)
        answer_reals(h, cold[after][g], s->cold[g], n->n_hours, 4);
    if (lane)
        answer_reals(h, after ? "lane_after" : "lane_now", lane, n->n_hours, 0);
    if (!heat)
        return;
    lane = lane_of(n, WATCH_HEAT, s->heat);
    for (size_t g = 0; g < WATCH_HEAT; g++)
        answer_reals(h, hot[after][g], s->heat[g], n->n_hours, 4);
    if (lane)
        answer_reals(h, after ? "heat_lane_after" : "heat_lane_now", lane, n->n_hours, 0);
}

void tonight_columns(const struct night *n, const struct watch_advice *v, const struct night_sow *s, struct answer *row)
{
    const size_t hours = n->n_hours;
    const struct watch_sow *w = &n->watch.sows[v->sow];
    const struct night_option *now = &n->options[v->now_option == WATCH_NONE ? w->lies : v->now_option];
    const struct night_option *after = v->option == WATCH_NONE ? now : &n->options[v->option];
    double *grade_now = ARENA_NEW(n->mem, double, hours), *grade_after = ARENA_NEW(n->mem, double, hours);
    double *runt_now = ARENA_NEW(n->mem, double, hours), *runt_after = ARENA_NEW(n->mem, double, hours);
    struct answer *h = answer_object(row, "hours");

    if (!runt_after || !runt_now || !grade_after || !grade_now)
        return;
    for (size_t i = 0; i < hours; i++) {
        grade_now[i] = now->cells[i].grade;
        grade_after[i] = after->cells[i].grade;
        runt_now[i] = now->cells[i].runt_grade;
        runt_after[i] = after->cells[i].runt_grade;
    }
    answer_reals(h, "chance", s->birth, hours, 4);
    answer_reals(h, "danger_now", v->danger_now, hours, 4);
    answer_reals(h, "danger_after", v->danger_after, hours, 4);
    answer_reals(h, "grade_now", grade_now, hours, 0);
    answer_reals(h, "grade_after", grade_after, hours, 0);
    answer_reals(h, "runt_grade_now", runt_now, hours, 0);
    answer_reals(h, "runt_grade_after", runt_after, hours, 0);
    answer_reals(h, "feels_now_c", now->feels_c, hours, 1);
    answer_reals(h, "feels_after_c", after->feels_c, hours, 1);
    const bool heat = any(n, v->shares_now.heat, 1, WATCH_HEAT) || any(n, v->shares_after.heat, 1, WATCH_HEAT);
    shares(n, &v->shares_now, false, heat, h);
    shares(n, &v->shares_after, true, heat, h);
    if (heat) { /* of the shelter's air, for a sow */
        answer_reals(h, "hut_now_c", now->nest_c, hours, 1);
        answer_reals(h, "hut_after_c", after->nest_c, hours, 1);
    }
}

/* ---- places ------------------------------------------------------------------------------------------------------ */

static const struct herd_site *herd_site(const struct night *n, size_t option)
{
    const size_t at = n->sites[n->options[option].site].herd;
    return at == HERD_NONE ? NULL : &n->herd->sites[at];
}

void tonight_place(const struct night *n, size_t option, const char *key, struct answer *row)
{
    const struct night_option *o = &n->options[option];
    const struct herd_site *h = herd_site(n, option);
    const bool hut = o->is.kind == SHELTER_HUT;
    struct answer *p = answer_object(row, key);

    answer_text(p, "name", n->sites[o->site].name);
    answer_text(p, "kind", shelter_kind_name[o->is.kind]);
    answer_text(p, "says", night_stands(n, option));
    answer_text(p, "paddock", h && h->paddock != HERD_NONE ? n->herd->paddocks[h->paddock].name : NULL);
    answer_real(p, "x_m", h ? h->x_m : (double)NAN);
    answer_real(p, "y_m", h ? h->y_m : (double)NAN);
    answer_real(p, "facing_deg", hut ? o->is.hut.facing_deg : (double)NAN);
    answer_flag(p, "flap", hut && o->is.hut.flap);
    answer_real(p, "straw_m", o->is.floor == PIGLET_STRAW ? o->is.straw_m : 0.0);
    answer_text(p, "straw",
                o->is.floor == PIGLET_STRAW && o->is.straw_m > 0.0 ? straw_state_name[o->is.straw] : "none");
    answer_real(p, "break_bearing_deg", o->is.lee.stands ? o->is.lee.bearing_deg : (double)NAN);
}

void tonight_lay(const struct night *n, size_t option, struct answer *row)
{
    const struct night_option *o = &n->options[option];
    const struct night_site *s = &n->sites[o->site];
    const struct herd_site *h = herd_site(n, option);
    struct answer *lay = answer_object(row, "lay");

    answer_text(lay, "uid", h ? h->uid : NULL);
    answer_text(lay, "shelter", h && *h->shelter_uid ? h->shelter_uid : NULL);
    answer_flag(lay, "placed", h && h->placed);
    answer_flag(lay, "moved", o->moved);
    answer_flag(lay, "turned", o->turned);
    answer_flag(lay, "bedded", o->bedded);
    answer_flag(lay, "flapped", o->flapped);
    answer_flag(lay, "walled", o->walled);
    answer_text(lay, "lee", s->lee != HERD_NONE && s->lee < n->herd->n_breaks ? n->herd->breaks[s->lee].name : NULL);
    if (h && h->placed)
        tonight_place(n, s->as_it_stands, "before", lay);
    tonight_place(n, option, "after", lay);
}
