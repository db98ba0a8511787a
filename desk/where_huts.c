/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/where_huts.h"

#include <math.h>
#include <string.h>

/* Worth the work: colder than it need be by the share at which core/nest/facing.h says that it matters at all, and by
 * so many degree-hours a day (judgement; 10 is under half a degree through the day). */
static const double worth_share = 0.15, worth_least = 10.0;

size_t where_row_of(double facing_deg)
{
    const long i = lround(facing_deg / (360.0 / FACING_BEARINGS)) % FACING_BEARINGS;
    return (size_t)(i < 0 ? i + FACING_BEARINGS : i);
}

struct shelter where_as_made(const struct shelter *is, double straw_m)
{
    struct shelter s = *is;

    s.lee = shelter_default(SHELTER_HUT).lee;
    s.hut.facing_deg = NAN;
    s.straw_m = straw_m;
    s.floor = straw_m > 0.0 ? PIGLET_STRAW : PIGLET_SOIL;
    s.straw = STRAW_DRY;
    s.straw_age_d = 0.0;
    return s;
}

enum { KEY = 11 };
static void key_of(const struct hut *h, double key[KEY])
{
    const double k[KEY] = { h->floor_length_m, h->floor_width_m, h->height_m, h->skin_m2,
                            h->door_width_m,   h->door_height_m, h->leaks_m2, h->wall,
                            h->white,          h->flap,          0.0 };
    for (size_t i = 0; i < KEY; i++)
        key[i] = isnan(k[i]) ? -1e300 : k[i];
}

static bool same_make(const struct shelter *a, const struct shelter *b)
{
    double x[KEY], y[KEY];

    key_of(&a->hut, x);
    key_of(&b->hut, y);
    for (size_t i = 0; i < KEY; i++)
        if (x[i] < y[i] || x[i] > y[i])
            return false;
    return true;
}

const struct herd_site *where_usual_hut(const struct herd *h)
{
    const struct herd_site *best = NULL;
    size_t most = 0;

    for (size_t i = 0; i < h->n_sites; i++) {
        size_t alike = 0;
        if (h->sites[i].is.kind != SHELTER_HUT)
            continue;
        for (size_t k = 0; k < h->n_sites; k++)
            alike += h->sites[k].is.kind == SHELTER_HUT && same_make(&h->sites[i].is, &h->sites[k].is);
        if (alike > most) {
            most = alike;
            best = &h->sites[i];
        }
    }
    return best;
}

/* ---- one hut ---- */

static double turn(double from_deg, double to_deg)
{
    return remainder(to_deg - from_deg, 360.0); /* clockwise plus, -180 .. 180 */
}

static bool within_arc(const struct facing_arc *arc, double deg)
{
    const double span = fmod(arc->to_deg - arc->from_deg + 360.0, 360.0);
    if (arc->to_deg - arc->from_deg >= 360.0)
        return true;
    return fmod(deg - arc->from_deg + 720.0, 360.0) <= span + 1e-9;
}

/* The nearest bearing that is as good as the best; true when it looks there already. */
static bool nearest_good(const struct facing *f, double facing_deg, double *to_deg)
{
    *to_deg = f->best_deg;
    for (size_t i = 0; i < f->n_arcs; i++)
        if (within_arc(&f->arcs[i], facing_deg)) {
            *to_deg = facing_deg;
            return true;
        }
    for (size_t i = 0; i < f->n_arcs; i++) {
        const double ends[2] = { f->arcs[i].from_deg, f->arcs[i].to_deg };
        for (int e = 0; e < 2; e++)
            if (fabs(turn(facing_deg, ends[e])) < fabs(turn(facing_deg, *to_deg)) - 1e-9)
                *to_deg = ends[e];
    }
    *to_deg = fmod(*to_deg + 360.0, 360.0);
    return false;
}

struct where_judged {
    bool done;
    size_t job;
    bool good;          /* looks a good way already */
    double to_deg;      /* nearest good bearing */
    double own, turned; /* cold degree-hours a day, in a hut of this make */
};

static bool worth(const struct facing *f, const struct where_judged *j)
{
    return !f->hardly_matters && !f->nothing_differs && !j->good && j->own - j->turned >= worth_share * j->turned &&
           j->own - j->turned >= worth_least;
}

static const char *hut_words(const struct herd *h, const struct herd_site *s, const struct facing *f,
                             const struct where_judged *j, struct arena *mem)
{
    const double off = turn(s->is.hut.facing_deg, j->to_deg);
    const char *by = fabs(fabs(off) - 180.0) < 2.5
                         ? "right round"
                         : arena_print(mem, "%.0f° %s", fabs(off), off > 0.0 ? "clockwise" : "anticlockwise");

    if (f->hardly_matters || f->nothing_differs)
        return "Leave it: the way a hut looks hardly matters here.";
    if (j->good)
        return "Looks a good way: leave it.";
    if (!worth(f, j))
        return arena_print(mem, "Could look better, %s, but it would gain little: turn it when it is moved anyway.",
                           by);
    if (s->litter_of != HERD_NONE)
        return arena_print(mem,
                           "Looks the wrong way, but %s lies there with her litter: not now. Afterwards turn it %s.",
                           h->sows[s->litter_of].name, by);
    if (s->nest_of != HERD_NONE)
        return arena_print(mem, "Looks the wrong way, but %s nests there: not now. Afterwards turn it %s.",
                           h->sows[s->nest_of].name, by);
    if (s->frozen_in)
        return arena_print(mem, "Looks the wrong way: turn it %s once the ground lets it go.", by);
    return arena_print(mem, "Worth turning, %s.", by);
}

static void answer_hut(const struct herd *h, const struct herd_site *s, const struct facing *f,
                       const struct where_judged *j, struct answer *list)
{
    const double facing = s->is.hut.facing_deg;
    struct answer *row = answer_item(list);

    answer_text(row, "name", s->name);
    answer_real_or(row, "facing_deg", facing, "not recorded");
    if (isnan(facing)) {
        answer_text(row, "says", "Which way its door looks is not recorded.");
        return;
    }
    answer_real(row, "off_best_deg", turn(facing, f->best_deg));
    answer_flag(row, "in_a_good_arc", j->good);
    answer_real(row, "turn_to_deg", j->to_deg);
    answer_real(row, "turn_deg", turn(facing, j->to_deg));
    answer_real(row, "cold_degree_hours_per_day", j->own);
    answer_real(row, "cold_degree_hours_per_day_turned", j->turned);
    answer_flag(row, "worth_turning", worth(f, j));
    answer_text(row, "says", hut_words(h, s, f, j, list ? list->mem : NULL));
}

static bool stands(const struct herd_site *s)
{
    return s->placed && s->is.kind == SHELTER_HUT;
}

/* All huts of the make of site i: one job serves them. */
static void want_make(const struct herd *h, size_t i, double straw_m, const struct facing *f, struct where_huts *huts,
                      struct where_job *job)
{
    job->is = where_as_made(&h->sites[i].is, straw_m);
    job->without = WHERE_WHOLE;
    for (size_t k = i; k < h->n_sites; k++) {
        const struct herd_site *s = &h->sites[k];
        struct where_judged *j = &huts->judged[k];
        if (!stands(s) || !same_make(&s->is, &h->sites[i].is))
            continue;
        j->done = true;
        j->job = huts->n_jobs;
        if (isnan(s->is.hut.facing_deg))
            continue;
        j->good = nearest_good(f, s->is.hut.facing_deg, &j->to_deg);
        job->wanted[where_row_of(s->is.hut.facing_deg)] = true;
        job->wanted[where_row_of(j->to_deg)] = true;
    }
    huts->n_jobs++;
}

enum status where_huts_want(const struct herd *h, double straw_m, const struct facing *f, struct arena *mem,
                            struct where_job job[], struct where_huts *huts, struct message *why)
{
    *huts = (struct where_huts){ .judged = ARENA_NEW(mem, struct where_judged, h->n_sites + 1) };
    if (!huts->judged)
        return refuse(ST_NO_MEMORY, why, "", "too many huts to hold at once");
    for (size_t i = 0; i < h->n_sites; i++)
        if (stands(&h->sites[i]) && !huts->judged[i].done)
            want_make(h, i, straw_m, f, huts, &job[huts->n_jobs]);
    return ST_OK;
}

void where_huts_answer(const struct herd *h, const struct facing *f, const struct where_huts *huts,
                       const struct where_job job[], struct answer *a)
{
    struct answer *list = answer_list(a, "huts");

    for (size_t i = 0; i < h->n_sites; i++) {
        const struct herd_site *s = &h->sites[i];
        struct where_judged *j = &huts->judged[i];
        if (!stands(s))
            continue;
        if (!isnan(s->is.hut.facing_deg)) {
            j->own = job[j->job].rows[where_row_of(s->is.hut.facing_deg)].cold_degree_hours_per_day;
            j->turned = job[j->job].rows[where_row_of(j->to_deg)].cold_degree_hours_per_day;
        }
        answer_hut(h, s, f, j, list);
    }
}
