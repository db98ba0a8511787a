/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * field: the ground sheltered by what stands there, in this site's own cold winds, and where the next hut could stand.
 * docs/reckoning/field.md. */
#include <math.h>
#include <string.h>

#include "desk/field_inside.h"
#include "desk/unit_words.h"

/* Distances, all judgement: off the fence, between huts so that sows keep apart, off a gateway's mud, off wet ground and
 * off trees that may fall; water not further than so much. */
static const double off_edge_m = 4.0, off_hut_m = 15.0, off_gateway_m = 20.0, off_wet_m = 5.0, off_tree_m = 12.0,
                    off_water_m = 8.0, far_water_m = 60.0, apart_m = 20.0, too_steep_share = 0.02;
enum { SPOTS = 3, GRID = 48 };

struct grid {
    double x0_m, y0_m, step_m;
    size_t columns, rows;
    double *share; /* NAN outside the outline */
    double *drift; /* share of the cold wind that would lay snow there */
};

/* ---- sheltered ground ---- */

static double off_line(const struct corner *a, const struct corner *b, double x, double y)
{
    const double dx = b->x_m - a->x_m, dy = b->y_m - a->y_m, length = dx * dx + dy * dy;
    double t = length > 0.0 ? ((x - a->x_m) * dx + (y - a->y_m) * dy) / length : 0.0;

    t = fmin(1.0, fmax(0.0, t));
    return hypot(x - a->x_m - t * dx, y - a->y_m - t * dy);
}

static double off_outline(const struct field *f, double x, double y)
{
    double least = INFINITY;
    for (size_t i = 0; i < f->n_outline; i++)
        least = fmin(least, off_line(&f->outline[i], &f->outline[(i + 1) % f->n_outline], x, y));
    return least;
}

static double share_at(const struct field *f, double x, double y)
{
    double sum = 0.0, weight = 0.0;

    for (size_t s = 0; s < ROSE_SECTORS; s++) {
        if (!(f->cold_weight[s] > 0.0))
            continue;
        sum += f->cold_weight[s] * air_lee_among(f->n_lines, f->lines, x, y, (double)s * 360.0 / ROSE_SECTORS);
        weight += f->cold_weight[s];
    }
    return weight > 0.0 ? sum / weight : (double)NAN;
}

/* Behind a solid wall snow falls out of the eddies one to three heights on (air.h). */
static double drift_at(const struct field *f, double x, double y)
{
    double share = 0.0;

    for (size_t s = 0; s < ROSE_SECTORS; s++) {
        const double from = (double)s * 360.0 / ROSE_SECTORS * 0.017453292519943295;
        bool in = false;
        for (size_t i = 0; i < f->n_lines && !in; i++) {
            const struct air_line *b = &f->lines[i];
            const double ux = sin(from), uy = cos(from), dx = b->x2_m - b->x_m, dy = b->y2_m - b->y_m;
            const double cross = ux * dy - uy * dx, px = b->x_m - x, py = b->y_m - y;
            if (fabs(cross) < 1e-9)
                continue;
            const double t = (px * dy - py * dx) / cross, at = (px * uy - py * ux) / cross;
            in = at >= 0.0 && at <= 1.0 && t > 0.0 &&
                 air_lee_eddies(t * fabs(cross) / hypot(dx, dy) / b->height_m, b->porosity);
        }
        share += in ? f->cold_weight[s] : 0.0;
    }
    return share;
}

static enum status grid_of(const struct field *f, struct grid *g, struct message *why)
{
    double x1 = -INFINITY, y1 = -INFINITY;

    *g = (struct grid){ .x0_m = INFINITY, .y0_m = INFINITY };
    for (size_t i = 0; i < f->n_outline; i++) {
        g->x0_m = fmin(g->x0_m, f->outline[i].x_m);
        g->y0_m = fmin(g->y0_m, f->outline[i].y_m);
        x1 = fmax(x1, f->outline[i].x_m);
        y1 = fmax(y1, f->outline[i].y_m);
    }
    g->step_m = fmax(given_is(f->q, FIELD_GRID) ? given_real(f->q, FIELD_GRID) : 2.0,
                     ceil(fmax(x1 - g->x0_m, y1 - g->y0_m) / GRID));
    g->columns = (size_t)ceil((x1 - g->x0_m) / g->step_m);
    g->rows = (size_t)ceil((y1 - g->y0_m) / g->step_m);
    g->share = ARENA_NEW(f->q->mem, double, g->columns * g->rows + 1);
    g->drift = ARENA_NEW(f->q->mem, double, g->columns * g->rows + 1);
    if (!g->share || !g->drift)
        return refuse(ST_NO_MEMORY, why, "", "the field is too large to draw at once");
    for (size_t r = 0; r < g->rows; r++)
        for (size_t c = 0; c < g->columns; c++) {
            const double x = g->x0_m + ((double)c + 0.5) * g->step_m, y = g->y0_m + ((double)r + 0.5) * g->step_m;
            const bool in = corners_hold(f->outline, f->n_outline, x, y);
            g->share[r * g->columns + c] = in ? share_at(f, x, y) : (double)NAN;
            g->drift[r * g->columns + c] = in ? drift_at(f, x, y) : 0.0;
        }
    return ST_OK;
}

/* ---- where the next hut could stand ---- */

static double off_mark(const struct herd_mark *m, double x, double y)
{
    double least = INFINITY;

    if (m->n >= 3 && corners_hold(m->at, m->n, x, y))
        return 0.0;
    if (m->n == 1)
        return hypot(m->at[0].x_m - x, m->at[0].y_m - y);
    for (size_t i = 0; i < (m->n == 2 ? 1 : m->n); i++)
        least = fmin(least, off_line(&m->at[i], &m->at[(i + 1) % m->n], x, y));
    return least;
}

static double nearest(const struct field *f, const char *is, double x, double y)
{
    double least = INFINITY;
    for (size_t i = 0; i < f->herd.n_marks; i++)
        if (f->herd.marks[i].paddock == f->at && strcmp(f->herd.marks[i].is, is) == 0)
            least = fmin(least, off_mark(&f->herd.marks[i], x, y));
    return least;
}

static double nearest_hut(const struct field *f, double x, double y)
{
    double least = INFINITY;
    for (size_t i = 0; i < f->herd.n_sites; i++)
        if (f->herd.sites[i].placed && f->herd.sites[i].paddock == f->at && isfinite(f->herd.sites[i].x_m))
            least = fmin(least, hypot(f->herd.sites[i].x_m - x, f->herd.sites[i].y_m - y));
    return least;
}

static double row_of(const struct grid *g, size_t cell)
{
    const size_t row = cell / g->columns;
    return (double)row;
}

static bool may_stand(const struct field *f, const struct grid *g, size_t cell, double x, double y)
{
    return isfinite(g->share[cell]) && g->drift[cell] <= too_steep_share && off_outline(f, x, y) >= off_edge_m &&
           nearest(f, "wet", x, y) >= off_wet_m && nearest(f, "steep", x, y) > 0.0 && nearest(f, "stone", x, y) > 2.0 &&
           nearest(f, "tree", x, y) >= off_tree_m && nearest(f, "gateway", x, y) >= off_gateway_m &&
           nearest(f, "water", x, y) >= off_water_m && nearest_hut(f, x, y) >= off_hut_m;
}

/* Wind left there, and a twentieth more for every far_water_m that water is further off than that (judgement). */
static double cost(const struct field *f, double share, double x, double y)
{
    const double water = nearest(f, "water", x, y);
    return share + (isfinite(water) ? 0.05 * fmax(0.0, water / far_water_m - 1.0) : 0.0);
}

static const struct herd_break *break_near(const struct field *f, double x, double y, double *off)
{
    const struct herd_break *best = NULL;

    *off = INFINITY;
    for (size_t i = 0; i < f->herd.n_breaks; i++) {
        const struct herd_break *b = &f->herd.breaks[i];
        const struct corner from = { b->x_m, b->y_m }, to = { b->x2_m, b->y2_m };
        if (b->paddock != f->at || isnan(b->x_m + b->y_m + b->x2_m + b->y2_m))
            continue;
        const double d = off_line(&from, &to, x, y);
        if (d < *off) {
            *off = d;
            best = b;
        }
    }
    return best;
}

static void answer_spot(const struct field *f, const struct grid *g, size_t cell, struct answer *row)
{
    const struct desk_place *p = &f->herd.place;
    struct arena *mem = f->q->mem;
    const double x = g->x0_m + ((double)(cell % g->columns) + 0.5) * g->step_m,
                 y = g->y0_m + (row_of(g, cell) + 0.5) * g->step_m;
    const double water = nearest(f, "water", x, y), gate = nearest(f, "gateway", x, y), wet = nearest(f, "wet", x, y),
                 hut = nearest_hut(f, x, y);
    double off = INFINITY;
    const struct herd_break *b = break_near(f, x, y, &off);
    const bool behind = b && off <= 15.0 * b->height_m;

    answer_real(row, "x_m", x);
    answer_real(row, "y_m", y);
    answer_real(row, "wind_left", g->share[cell]);
    if (behind)
        answer_print(row, "says", "%s from %s", words_length(p, off, mem), b->name);
    else
        answer_print(row, "says", "%s east and %s north of the south-west corner", words_length(p, x, mem),
                     words_length(p, y, mem));
    struct answer *why = answer_list(row, "reasons");
    answer_words(why, arena_print(mem, "%.0f in 100 of the cold wind is left there", 100.0 * g->share[cell]));
    if (isfinite(wet))
        answer_words(why, arena_print(mem, "%s from the wet ground", words_length(p, wet, mem)));
    if (isfinite(gate))
        answer_words(why, arena_print(mem, "%s from the gateway and its mud", words_length(p, gate, mem)));
    if (isfinite(water))
        answer_words(why, arena_print(mem, "%s from the water", words_length(p, water, mem)));
    if (isfinite(hut))
        answer_words(why, arena_print(mem, "%s from the next hut", words_length(p, hut, mem)));
    if (f->n_lines > 0)
        answer_words(why, "out of where snow drifts behind a wall or bank");
}

static enum status answer_spots(const struct field *f, const struct grid *g, struct answer *a, struct message *why)
{
    struct answer *list = answer_list(a, "spots");
    const size_t cells = g->columns * g->rows;
    double *at = ARENA_NEW(f->q->mem, double, cells + 1);
    size_t taken[SPOTS], n = 0;

    if (!at)
        return refuse(ST_NO_MEMORY, why, "", "the field is too large to draw at once");
    for (size_t i = 0; i < cells; i++) {
        const double x = g->x0_m + ((double)(i % g->columns) + 0.5) * g->step_m,
                     y = g->y0_m + (row_of(g, i) + 0.5) * g->step_m;
        at[i] = may_stand(f, g, i, x, y) ? cost(f, g->share[i], x, y) : (double)INFINITY;
    }
    while (n < SPOTS) {
        size_t best = cells;
        for (size_t i = 0; i < cells; i++) {
            bool apart = isfinite(at[i]);
            for (size_t k = 0; k < n && apart; k++) {
                const double dx = (double)(i % g->columns) - (double)(taken[k] % g->columns),
                             dy = row_of(g, i) - row_of(g, taken[k]);
                apart = hypot(dx, dy) * g->step_m >= apart_m;
            }
            if (apart && (best == cells || at[i] < at[best] - 1e-12))
                best = i;
        }
        if (best == cells)
            break;
        taken[n++] = best;
        answer_spot(f, g, best, answer_item(list));
    }
    return ST_OK;
}

enum status field_ground(struct field *f, struct answer *a, struct message *why)
{
    struct grid g;
    double sum = 0.0;

    for (size_t i = 0; i < ROSE_SECTORS; i++)
        sum += f->cold_weight[i];
    if (f->n_outline < 3 || !(sum > 0.0)) {
        answer_null(a, "lee", f->n_outline < 3 ? "the field has no outline yet" : "no wind is known");
        (void)answer_list(a, "spots");
        return ST_OK;
    }
    enum status st = grid_of(f, &g, why);
    if (st != ST_OK)
        return st;
    struct answer *lee = answer_object(a, "lee");
    answer_real(lee, "x0_m", g.x0_m);
    answer_real(lee, "y0_m", g.y0_m);
    answer_real(lee, "step_m", g.step_m);
    answer_whole(lee, "columns", (int64_t)g.columns);
    answer_whole(lee, "rows", (int64_t)g.rows);
    answer_reals(lee, "wind_left", g.share, g.columns * g.rows, 2);
    return answer_spots(f, &g, a, why);
}
