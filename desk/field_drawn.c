/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * field: the plan as GeoJSON (RFC 7946: WGS 84, longitude before latitude, a ring closed and anticlockwise). */
#include <math.h>

#include "core/base/text.h"
#include "desk/field_inside.h"
#include "desk/plan_world.h"

enum { MOST_BYTES = 512 * 1024 };

static void json_text(struct text *out, const char *s)
{
    text_add(out, "\"");
    for (; *s; s++) {
        const unsigned char c = (unsigned char)*s;
        if (c == '"' || c == '\\')
            text_print(out, "\\%c", c);
        else if (c < 0x20)
            text_print(out, "\\u%04x", c);
        else
            text_add_bytes(out, s, 1);
    }
    text_add(out, "\"");
}

static void at(struct text *out, const struct plan_world *w, double x_m, double y_m)
{
    double lat, lon;
    plan_to_world(w, x_m, y_m, &lat, &lon);
    text_print(out, "[%.7f,%.7f]", lon, lat);
}

static void begin(struct text *out, bool *first, const char *name, const char *is, const char *uid,
                  const char *geometry)
{
    text_add(out, *first ? "{\"type\":\"Feature\",\"properties\":{\"name\":"
                         : ",{\"type\":\"Feature\",\"properties\":{\"name\":");
    *first = false;
    json_text(out, name);
    text_add(out, ",\"is\":");
    json_text(out, is);
    text_add(out, ",\"uid\":");
    json_text(out, uid);
    text_print(out, "},\"geometry\":{\"type\":\"%s\",\"coordinates\":", geometry);
}

static double twice_area(const struct corner c[], size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++)
        sum += c[i].x_m * c[(i + 1) % n].y_m - c[(i + 1) % n].x_m * c[i].y_m;
    return sum;
}

static void ring(struct text *out, const struct plan_world *w, const struct corner c[], size_t n)
{
    const bool clockwise = twice_area(c, n) < 0.0;

    text_add(out, "[[");
    for (size_t i = 0; i <= n; i++) {
        const struct corner *k = &c[clockwise ? (n - i) % n : i % n];
        text_add(out, i ? "," : "");
        at(out, w, k->x_m, k->y_m);
    }
    text_add(out, "]]}}");
}

const char *field_geojson(const struct field *f)
{
    const struct herd *h = &f->herd;
    const struct herd_paddock *p = &h->paddocks[f->at];
    struct plan_world w;
    struct text out;
    bool first = true;

    if (!plan_world_of(p->origin_lat_deg, p->origin_lon_deg, &w))
        return NULL;
    text_open(&out, MOST_BYTES);
    text_add(&out, "{\"type\":\"FeatureCollection\",\"features\":[");
    if (p->n_outline) {
        begin(&out, &first, p->name, "paddock", p->uid, "Polygon");
        ring(&out, &w, p->outline, p->n_outline);
    }
    for (size_t i = 0; i < h->n_breaks; i++) {
        const struct herd_break *b = &h->breaks[i];
        if (b->paddock != f->at || isnan(b->x_m + b->y_m + b->x2_m + b->y2_m))
            continue;
        begin(&out, &first, b->name, b->kind, b->uid, "LineString");
        text_add(&out, "[");
        at(&out, &w, b->x_m, b->y_m);
        text_add(&out, ",");
        at(&out, &w, b->x2_m, b->y2_m);
        text_add(&out, "]}}");
    }
    for (size_t i = 0; i < h->n_marks; i++) {
        const struct herd_mark *m = &h->marks[i];
        if (m->paddock != f->at || m->n == 2)
            continue;
        begin(&out, &first, m->name ? m->name : m->is, m->is, m->uid, m->n == 1 ? "Point" : "Polygon");
        if (m->n == 1) {
            at(&out, &w, m->at[0].x_m, m->at[0].y_m);
            text_add(&out, "}}");
        } else {
            ring(&out, &w, m->at, m->n);
        }
    }
    for (size_t i = 0; i < h->n_sites; i++) {
        const struct herd_site *s = &h->sites[i];
        if (!s->placed || s->paddock != f->at || isnan(s->x_m + s->y_m))
            continue;
        begin(&out, &first, s->name, shelter_kind_name[s->is.kind], s->uid, "Point");
        at(&out, &w, s->x_m, s->y_m);
        text_add(&out, "}}");
    }
    text_add(&out, "]}");
    return text_keep(&out, f->q->mem);
}
