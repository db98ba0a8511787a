/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What stands where, and how it is bedded: shelters, placements, bedding and windbreaks folded into sites. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/herd_inside.h"
#include "desk/night.h"

static size_t paddock_of(const struct fold *fo, const char *uid)
{
    for (size_t i = 0; uid && i < fo->herd->n_paddocks; i++)
        if (strcmp(fo->herd->paddocks[i].uid, uid) == 0)
            return i;
    return HERD_NONE;
}

/* Gaps of a windbreak whose porosity was not recorded (judgement; hedges: the middle of the published belts). */
static double usual_porosity(const char *is)
{
    static const struct {
        const char *is;
        double porosity;
    } usual[] = {
        { "hedge", 0.5 }, { "trees", 0.6 }, { "bales", 0.15 }, { "boards", 0.3 },
        { "wall", 0.0 },  { "bank", 0.0 },  { "panels", 0.4 },
    };
    for (size_t i = 0; is && i < COUNT(usual); i++)
        if (strcmp(usual[i].is, is) == 0)
            return usual[i].porosity;
    return 0.5;
}

static enum status breaks(struct fold *fo, struct message *why)
{
    struct herd *h = fo->herd;

    h->breaks = ARENA_NEW(fo->mem, struct herd_break, fo->windbreak.n + 1);
    if (!h->breaks)
        return refuse(ST_NO_MEMORY, why, "", "too many windbreaks to hold at once");
    for (size_t i = 0; i < fo->windbreak.n; i++) {
        const struct fact *f = &fo->windbreak.fact[i];
        const int64_t to = row_when(f, "to");
        if (to != INT64_MIN && to <= h->at_utc_s)
            continue;
        const double p = row_real(f, "porosity");
        h->breaks[h->n_breaks++] = (struct herd_break){
            .name = row_text(f, "name"),
            .uid = f->uid,
            .kind = row_text(f, "is"),
            .height_m = row_real(f, "height_m"),
            .porosity = isnan(p) ? usual_porosity(row_text(f, "is")) : p,
            .bearing_deg = row_real(f, "bearing_deg"),
            .length_m = row_real(f, "length_m"),
            .paddock = paddock_of(fo, row_text(f, "paddock")),
            .x_m = row_real(f, "x_m"),
            .y_m = row_real(f, "y_m"),
            .x2_m = row_real(f, "x2_m"),
            .y2_m = row_real(f, "y2_m"),
        };
    }
    return ST_OK;
}

static size_t break_of(const struct fold *fo, const char *uid)
{
    for (size_t i = 0; uid && i < fo->herd->n_breaks; i++)
        if (strcmp(fo->herd->breaks[i].uid, uid) == 0)
            return i;
    return HERD_NONE;
}

static const double lee_most_heights = 10.0;

bool herd_lee_at(const struct herd *h, size_t paddock, double x_m, double y_m, struct windbreak *lee, size_t *which)
{
    double nearest = lee_most_heights;
    bool found = false;

    for (size_t i = 0; i < h->n_breaks; i++) {
        const struct herd_break *b = &h->breaks[i];
        const double dx = b->x2_m - b->x_m, dy = b->y2_m - b->y_m, length = hypot(dx, dy);
        if (b->paddock != paddock || !(length > 0.5) || !(b->height_m > 0.0) || !isfinite(x_m + y_m))
            continue;
        const double t = ((x_m - b->x_m) * dx + (y_m - b->y_m) * dy) / (length * length);
        const double px = b->x_m + t * dx - x_m, py = b->y_m + t * dy - y_m, heights = hypot(px, py) / b->height_m;
        if (!(t >= 0.0 && t <= 1.0) || heights > nearest)
            continue;
        const double deg = heights > 0.0 ? atan2(px, py) / 0.017453292519943295 : b->bearing_deg;
        *lee = (struct windbreak){ .stands = true,
                                   .porosity = b->porosity,
                                   .distance_heights = heights,
                                   .bearing_deg = deg < 0.0 ? deg + 360.0 : deg,
                                   .width_heights = fmin(1000.0, length / b->height_m) };
        nearest = heights;
        found = true;
        if (which)
            *which = i;
    }
    return found;
}

static void set_if(double *to, double value)
{
    if (isfinite(value))
        *to = value;
}

/* A hut as it was described; what was not recorded keeps the default of core/nest. */
static void hut_from(const struct fact *f, struct herd_site *s)
{
    struct hut *hut = &s->is.hut;
    const char *wall = row_text(f, "wall"), *flap = row_text(f, "flap"), *floor = row_text(f, "floor");
    const bool barn = row_is(f, "is", "barn");

    s->is = shelter_default(barn ? SHELTER_BARN : SHELTER_HUT);
    s->is.straw_m = 0.0;
    if (isfinite(row_real(f, "length_m")) || isfinite(row_real(f, "width_m")) || isfinite(row_real(f, "height_m")))
        hut->skin_m2 = NAN; /* from the sizes */
    set_if(&hut->floor_length_m, row_real(f, "length_m"));
    set_if(&hut->floor_width_m, row_real(f, "width_m"));
    set_if(&hut->height_m, row_real(f, "height_m"));
    set_if(&hut->skin_m2, row_real(f, "skin_m2"));
    set_if(&hut->door_width_m, row_real(f, "door_width_m"));
    set_if(&hut->door_height_m, row_real(f, "door_height_m"));
    set_if(&hut->leaks_m2, row_real(f, "leaks_m2"));
    set_if(&s->is.barn_warmer_k, row_real(f, "warmer_k"));
    for (int w = 0; wall && w < HUT_WALL_END; w++)
        if (strcmp(hut_wall_name[w], wall) == 0)
            hut->wall = (enum hut_wall)w;
    if (row_flag(f, "insulated"))
        hut->wall = WALL_INSULATED;
    hut->white = row_is(f, "colour", "white");
    hut->flap = flap && strcmp(flap, "hung") == 0;
    s->flap_possible = flap && strcmp(flap, "none") != 0;
    s->is.floor = PIGLET_SOIL;
    for (int k = 0; floor && k < PIGLET_FLOOR_END; k++)
        if (strcmp(piglet_floor_name[k], floor) == 0)
            s->is.floor = (enum piglet_floor)k;
    hut->facing_deg = NAN;
    s->mass_kg = row_real(f, "mass_kg");
    s->carriers = (int)fact_whole(f->kind, f->value, "hands", 0);
}

static void straw_state_from(const char *text, struct shelter *is)
{
    for (int k = 0; text && k < STRAW_STATE_END; k++)
        if (strcmp(straw_state_name[k], text) == 0)
            is->straw = (enum straw_state)k;
}

static bool is_open(const struct shelter *is)
{
    return is->kind == SHELTER_OPEN || is->kind == SHELTER_LEE;
}

static void lay(struct herd_site *s, double depth_m, double kg, bool added, int64_t when)
{
    if (isnan(depth_m) && isfinite(kg))
        depth_m = night_straw_depth_m((added && isfinite(s->straw_kg) ? s->straw_kg : 0.0) + kg, is_open(&s->is));
    if (isnan(depth_m))
        return;
    s->is.straw_m = fmin(1.5, depth_m);
    s->straw_kg = night_straw_kg(s->is.straw_m, is_open(&s->is));
    if (depth_m > 0.0)
        s->is.floor = PIGLET_STRAW;
    s->bedded_utc_s = when;
}

static void placed_at(struct fold *fo, const struct fact *p, struct herd_site *s)
{
    const char *is = row_text(p, "is"), *flap = row_text(p, "flap");
    const double straw_m = row_real(p, "straw_depth_m"), kg = row_real(p, "straw_kg"),
                 distance = row_real(p, "lee_distance_m");
    const int64_t bedded = row_when(p, "bedded");

    if (!*s->shelter_uid) {
        s->is = shelter_default(is && strcmp(is, "lee") == 0 ? SHELTER_LEE : SHELTER_OPEN);
        s->is.straw_m = 0.0;
        s->is.floor = PIGLET_SOIL;
    }
    s->uid = p->uid;
    s->placed = true;
    s->paddock = paddock_of(fo, row_text(p, "paddock"));
    s->x_m = row_real(p, "x_m");
    s->y_m = row_real(p, "y_m");
    s->placed_utc_s = row_when(p, "from");
    s->is.hut.facing_deg = fmod(row_real(p, "facing_deg"), 360.0);
    if (flap)
        s->is.hut.flap = strcmp(flap, "hung") == 0;
    s->frozen_in = row_flag(p, "frozen_in");
    s->drift_prone = row_flag(p, "drift_prone");
    lay(s, straw_m, kg, false, bedded != INT64_MIN ? bedded : s->placed_utc_s);
    straw_state_from(row_text(p, "straw_state"), &s->is);
    s->lee = break_of(fo, row_text(p, "lee"));
    if (s->lee != HERD_NONE) {
        const struct herd_break *b = &fo->herd->breaks[s->lee];
        const double bearing = row_real(p, "lee_bearing_deg"), widths = b->length_m / b->height_m;
        s->is.lee = (struct windbreak){
            .stands = true,
            .porosity = b->porosity,
            .distance_heights = fmin(60.0, (isnan(distance) ? 3.0 * b->height_m : distance) / b->height_m),
            .bearing_deg = fmod(isnan(bearing) ? b->bearing_deg : bearing, 360.0),
            .width_heights = widths > 1000.0 ? 1000.0 : widths, /* ten and more count in full */
        };
    } else if (!row_text(p, "lee")) { /* as it stands on the plan */
        (void)herd_lee_at(fo->herd, s->paddock, s->x_m, s->y_m, &s->is.lee, &s->lee);
    }
}

/* What was put in or seen since it was placed, oldest first. */
static void bed_since(struct fold *fo, struct herd_site *s)
{
    for (size_t i = 0; i < fo->bedding.n; i++) {
        const struct fact *b = &fo->bedding.fact[i];
        const double depth = row_real(b, "straw_depth_m"), kg = row_real(b, "added_kg");
        if (!row_is(b, "placement", s->uid))
            continue;
        if (row_flag(b, "cleared"))
            s->straw_kg = s->is.straw_m = 0.0;
        if (isfinite(kg)) {
            lay(s, depth, kg, true, row_when(b, "at"));
            s->is.straw = STRAW_DRY;
        } else if (isfinite(depth)) {
            lay(s, depth, NAN, false, s->bedded_utc_s);
        }
        straw_state_from(row_text(b, "straw_state"), &s->is);
        if (row_text(b, "flap"))
            s->is.hut.flap = row_is(b, "flap", "hung");
        if (row_text(b, "frozen_in"))
            s->frozen_in = row_is(b, "frozen_in", "yes");
    }
}

/* The newest placement of a hut; NULL when that one has ended. */
static const struct fact *standing(const struct fold *fo, const char *shelter_uid)
{
    for (size_t i = fo->placement.n; i-- > 0;) {
        const struct fact *p = &fo->placement.fact[i];
        const int64_t to = row_when(p, "to");
        if (row_is(p, "shelter", shelter_uid))
            return to != INT64_MIN && to <= fo->herd->at_utc_s ? NULL : p;
    }
    return NULL;
}

static struct herd_site blank(const char *name, const char *uid, const char *shelter_uid)
{
    return (struct herd_site){ .name = name,
                               .uid = uid,
                               .shelter_uid = shelter_uid,
                               .paddock = HERD_NONE,
                               .x_m = NAN,
                               .y_m = NAN,
                               .placed_utc_s = INT64_MIN,
                               .bedded_utc_s = INT64_MIN,
                               .straw_kg = NAN,
                               .mass_kg = NAN,
                               .lee = HERD_NONE,
                               .nest_of = HERD_NONE,
                               .litter_of = HERD_NONE };
}

static int by_name(const void *a, const void *b)
{
    const struct herd_site *x = a, *y = b;
    const int c = strcmp(x->name, y->name);
    return c ? c : strcmp(x->uid, y->uid);
}

static void age_of_straw(const struct fold *fo, struct herd_site *s)
{
    if (s->bedded_utc_s != INT64_MIN)
        s->is.straw_age_d = fmin(3650.0, (double)(fo->herd->at_utc_s - s->bedded_utc_s) / (double)DAY_S);
}

/* A shelter that cannot be reckoned with is left out and said, so that the rest of the farm goes on. */
static void keep_if_fit(struct fold *fo)
{
    const struct herd_site *s = &fo->herd->sites[fo->herd->n_sites - 1];
    struct message why = { "", "" };

    if (shelter_check(&s->is, &why) == ST_OK)
        return;
    herd_miss(fo, arena_print(fo->mem, "%s is left out of the reckoning: %s", s->name, why.text));
    fo->herd->n_sites--;
}

enum status herd_sites(struct fold *fo, struct message *why)
{
    struct herd *h = fo->herd;
    enum status st = breaks(fo, why);

    h->sites = ARENA_NEW(fo->mem, struct herd_site, fo->shelter.n + fo->placement.n + 1);
    if (st == ST_OK && !h->sites)
        st = refuse(ST_NO_MEMORY, why, "", "too many shelters to hold at once");
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < fo->shelter.n; i++) {
        const struct fact *f = &fo->shelter.fact[i], *p = standing(fo, f->uid);
        if (row_flag(f, "gone"))
            continue;
        struct herd_site *s = &h->sites[h->n_sites++];
        *s = blank(row_text(f, "name"), f->uid, f->uid);
        hut_from(f, s);
        if (p) {
            placed_at(fo, p, s);
            bed_since(fo, s);
        } else if (s->is.kind == SHELTER_BARN) {
            s->placed = true;
        }
        if (p && s->is.kind == SHELTER_HUT && isnan(s->is.hut.facing_deg))
            herd_miss(fo, arena_print(fo->mem, "Which way the door of %s looks.", s->name));
        age_of_straw(fo, s);
        keep_if_fit(fo);
    }
    for (size_t i = 0; i < fo->placement.n; i++) {
        const struct fact *p = &fo->placement.fact[i];
        const int64_t to = row_when(p, "to");
        if (row_text(p, "shelter") || (to != INT64_MIN && to <= h->at_utc_s))
            continue;
        struct herd_site *s = &h->sites[h->n_sites++];
        *s = blank(row_text(p, "name"), p->uid, "");
        placed_at(fo, p, s);
        bed_since(fo, s);
        age_of_straw(fo, s);
        keep_if_fit(fo);
    }
    qsort(h->sites, h->n_sites, sizeof *h->sites, by_name);
    return ST_OK;
}
