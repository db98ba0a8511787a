/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/corners.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "core/base/text.h"
#include "core/base/units.h"

static const double furthest_m = 5000.0;
enum { TEXT_MOST = CORNERS_MOST * 24 };

static double turn_of(const struct corner *a, const struct corner *b, const struct corner *c)
{
    return (b->x_m - a->x_m) * (c->y_m - a->y_m) - (b->y_m - a->y_m) * (c->x_m - a->x_m);
}

static bool sides_cross(const struct corner *a, const struct corner *b, const struct corner *c, const struct corner *d)
{
    const double s = turn_of(a, b, c), t = turn_of(a, b, d), u = turn_of(c, d, a), v = turn_of(c, d, b);
    return ((s > 0.0 && t < 0.0) || (s < 0.0 && t > 0.0)) && ((u > 0.0 && v < 0.0) || (u < 0.0 && v > 0.0));
}

/* The first corner of a side that crosses another; n when none does. */
static size_t crossing(const struct corner p[], size_t n)
{
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 2; j < n; j++)
            if (!(i == 0 && j == n - 1) && sides_cross(&p[i], &p[(i + 1) % n], &p[j], &p[(j + 1) % n]))
                return i;
    return n;
}

static double as_kept(double m)
{
    return round(m * 10.0) / 10.0 + 0.0; /* never -0 */
}

static bool same_place(const struct corner *a, const struct corner *b)
{
    return hypot(a->x_m - b->x_m, a->y_m - b->y_m) < 0.05;
}

/* A place given twice running is one corner, and a walk that came back to where it began ends before that. */
static size_t without_twins(struct corner p[], size_t n)
{
    size_t left = 0;

    for (size_t i = 0; i < n; i++)
        if (left == 0 || !same_place(&p[left - 1], &p[i]))
            p[left++] = p[i];
    while (left > 1 && same_place(&p[0], &p[left - 1]))
        left--;
    return left;
}

static enum status one_number(const char *from, size_t n, size_t corner, double *m, struct message *why)
{
    char text[32];

    if (n > 0 && n < sizeof text) {
        memcpy(text, from, n);
        text[n] = '\0';
        if (read_real(text, m) && fabs(*m) <= furthest_m) {
            *m = as_kept(*m);
            return ST_OK;
        }
    }
    return refuse(
        ST_BAD_INPUT, why, "outline",
        "corner %zu, \"%.*s\": give metres east and north of the south-west corner of the field, within %.0f: "
        "0,0 160,4 158,100",
        corner, (int)(n < 30 ? n : 30), from, furthest_m);
}

enum status corners_read(const char *text, bool outline, struct arena *mem, struct corner **corners, size_t *n,
                         struct message *why)
{
    static const char between[] = " \t\r\n;";
    struct corner *out = ARENA_NEW(mem, struct corner, CORNERS_MOST);
    size_t k = 0;

    if (!out)
        return refuse(ST_NO_MEMORY, why, "outline", "too many corners to hold at once");
    for (const char *p = text + strspn(text, between); *p; p += strspn(p, between)) {
        const size_t whole = strcspn(p, between), first = strcspn(p, ",");
        if (k == CORNERS_MOST)
            return refuse(ST_BAD_INPUT, why, "outline", "more than %d corners; leave out those on a straight side",
                          (int)CORNERS_MOST);
        if (first >= whole)
            return refuse(ST_BAD_INPUT, why, "outline",
                          "corner %zu, \"%.*s\": a corner is two numbers with a comma, metres east and north of the "
                          "south-west corner of the field: 0,0 160,4 158,100",
                          k + 1, (int)(whole < 30 ? whole : 30), p);
        enum status st = one_number(p, first, k + 1, &out[k].x_m, why);
        if (st == ST_OK)
            st = one_number(p + first + 1, whole - first - 1, k + 1, &out[k].y_m, why);
        if (st != ST_OK)
            return st;
        k++;
        p += whole;
    }
    k = without_twins(out, k);
    if (k < (outline ? 3u : 1u))
        return refuse(ST_BAD_INPUT, why, "outline",
                      outline ? "an outline has three corners or more; here are %zu"
                              : "give one place at least; here are %zu",
                      k);
    const size_t bad = outline ? crossing(out, k) : k;
    if (bad < k)
        return refuse(
            ST_BAD_INPUT, why, "outline",
            "the side from corner %zu to corner %zu crosses another; give the corners in their order round the "
            "field",
            bad + 1, (bad + 1) % k + 1);
    *corners = out;
    *n = k;
    return ST_OK;
}

const char *corners_text(const struct corner corners[], size_t n, struct arena *mem)
{
    struct text out;

    text_open(&out, TEXT_MOST);
    for (size_t i = 0; i < n; i++)
        text_print(&out, "%s%.10g,%.10g", i ? " " : "", as_kept(corners[i].x_m), as_kept(corners[i].y_m));
    return text_keep(&out, mem);
}

double corners_area_m2(const struct corner p[], size_t n)
{
    double twice = 0.0;
    for (size_t i = 0; i < n; i++)
        twice += p[i].x_m * p[(i + 1) % n].y_m - p[(i + 1) % n].x_m * p[i].y_m;
    return fabs(twice) / 2.0;
}

bool corners_hold(const struct corner p[], size_t n, double x_m, double y_m)
{
    bool in = false;
    for (size_t i = 0, j = n - 1; i < n; j = i++)
        if ((p[i].y_m > y_m) != (p[j].y_m > y_m) &&
            x_m < (p[j].x_m - p[i].x_m) * (y_m - p[i].y_m) / (p[j].y_m - p[i].y_m) + p[i].x_m)
            in = !in;
    return in;
}

/* ---- a walked line ---- */

static double off_line(const struct corner *p, const struct corner *a, const struct corner *b)
{
    const double dx = b->x_m - a->x_m, dy = b->y_m - a->y_m, length = dx * dx + dy * dy;
    double t = length > 0.0 ? ((p->x_m - a->x_m) * dx + (p->y_m - a->y_m) * dy) / length : 0.0;

    t = fmin(1.0, fmax(0.0, t));
    return hypot(p->x_m - a->x_m - t * dx, p->y_m - a->y_m - t * dy);
}

/* Marks what is kept between two kept corners. The pieces still to be looked at stand in `todo`: no recursion. */
static size_t keep_within(const struct corner p[], size_t n, double within_m, unsigned char keep[], size_t todo[])
{
    size_t kept = 2, deep = 0;

    memset(keep, 0, n);
    keep[0] = keep[n - 1] = 1;
    todo[deep++] = 0;
    todo[deep++] = n - 1;
    while (deep > 0) {
        const size_t to = todo[--deep], from = todo[--deep];
        double worst = within_m;
        size_t at = 0;
        for (size_t i = from + 1; i < to; i++) {
            const double off = off_line(&p[i], &p[from], &p[to]);
            if (off > worst) {
                worst = off;
                at = i;
            }
        }
        if (at == 0)
            continue;
        keep[at] = 1;
        kept++;
        todo[deep++] = from;
        todo[deep++] = at;
        todo[deep++] = at;
        todo[deep++] = to;
    }
    return kept;
}

size_t corners_simplify(struct corner p[], size_t n, double within_m, size_t most)
{
    struct arena mem;
    size_t left = 0;

    if (n < 3)
        return n;
    arena_open(&mem, (size_t)64 << 20);
    unsigned char *keep = ARENA_NEW(&mem, unsigned char, n);
    size_t *todo = ARENA_NEW(&mem, size_t, 4 * n + 8);
    while (keep && todo && keep_within(p, n, within_m, keep, todo) > most)
        within_m = within_m * 1.25 + 0.01;
    for (size_t i = 0; keep && todo && i < n; i++)
        if (keep[i])
            p[left++] = p[i];
    arena_close(&mem);
    return left;
}
