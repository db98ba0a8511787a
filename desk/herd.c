/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The herd as of a moment: reading the facts, and the questions that are asked of the fold. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/herd_inside.h"
#include "desk/when.h"
#include "farm/near.h"

enum { MOST_MISSING = 24 };

const char *const herd_state_name[] = {
    [HERD_UNKNOWN] = "nothing known",
    [HERD_OPEN] = "open",
    [HERD_SERVED] = "served",
    [HERD_SUCKLING] = "suckling",
};

const char *row_text(const struct fact *f, const char *field)
{
    return fact_text(f->kind, f->value, field);
}

double row_real(const struct fact *f, const char *field)
{
    return fact_real(f->kind, f->value, field);
}

int64_t row_when(const struct fact *f, const char *field)
{
    return fact_whole(f->kind, f->value, field, INT64_MIN);
}

bool row_is(const struct fact *f, const char *field, const char *text)
{
    const char *has = row_text(f, field);
    return has && text && strcmp(has, text) == 0;
}

bool row_flag(const struct fact *f, const char *field)
{
    return fact_whole(f->kind, f->value, field, 0) == 1;
}

int64_t day_of(const struct fold *fo, int64_t utc_s)
{
    const struct civil c = when_local(fo->herd->zone, utc_s);
    return civil_days(c.year, c.month, c.day);
}

void herd_miss(struct fold *fo, const char *sentence)
{
    for (size_t i = 0; i < fo->n_missing; i++)
        if (strcmp(fo->missing[i], sentence) == 0)
            return;
    if (sentence && fo->n_missing < MOST_MISSING)
        fo->missing[fo->n_missing++] = sentence;
}

/* In order of the moment they hold or happened; of one moment in the order recorded. */
static int by_when(const void *a, const void *b)
{
    const struct fact *x = a, *y = b;
    const int64_t tx = row_when(x, x->kind->when), ty = row_when(y, y->kind->when);
    if (tx != ty)
        return tx < ty ? -1 : 1;
    return (x->number > y->number) - (x->number < y->number);
}

/* Live facts of a kind that had happened by the moment asked about. */
static enum status read_rows(struct fold *fo, const char *name, struct rows *rows, struct message *why)
{
    rows->kind = fact_kind_find(name);
    const enum status st = farm_facts(fo->farm, rows->kind, fo->herd->known_to, fo->mem, &rows->fact, &rows->n, why);
    if (st != ST_OK || !rows->kind->when)
        return st;
    const size_t when = fact_field_find(rows->kind, rows->kind->when);
    const bool day = rows->kind->fields[when].type == FACT_DAY;
    const int64_t latest = day ? day_of(fo, fo->herd->at_utc_s) : fo->herd->at_utc_s;
    size_t kept = 0;
    for (size_t i = 0; i < rows->n; i++) {
        const struct fact_value *v = &rows->fact[i].value[when];
        if (!v->given || v->whole <= latest)
            rows->fact[kept++] = rows->fact[i];
    }
    rows->n = kept;
    if (kept > 1)
        qsort(rows->fact, kept, sizeof *rows->fact, by_when);
    return ST_OK;
}

static enum status read_all(struct fold *fo, struct message *why)
{
    const struct {
        const char *name;
        struct rows *rows;
    } all[] = {
        { "farm", &fo->farms },        { "animal", &fo->animal },       { "breed", &fo->breed },
        { "group", &fo->group },       { "paddock", &fo->paddock },     { "mark", &fo->mark },
        { "shelter", &fo->shelter },   { "windbreak", &fo->windbreak }, { "placement", &fo->placement },
        { "bedding", &fo->bedding },   { "stock", &fo->stock },         { "leaving", &fo->leaving },
        { "weighing", &fo->weighing }, { "heat", &fo->heat },           { "service", &fo->service },
        { "boar_run", &fo->boar_run }, { "scan", &fo->scan },           { "return", &fo->returns },
        { "sign", &fo->sign },         { "look", &fo->look },           { "farrowing", &fo->farrowing },
        { "birth", &fo->birth },       { "weaning", &fo->weaning },     { "loss", &fo->loss },
        { "move", &fo->move },         { "nested", &fo->nested },
    };
    enum status st = ST_OK;
    for (size_t i = 0; i < COUNT(all) && st == ST_OK; i++)
        st = read_rows(fo, all[i].name, all[i].rows, why);
    return st;
}

static enum status marks(struct fold *fo, struct message *why)
{
    struct herd *h = fo->herd;

    h->marks = ARENA_NEW(fo->mem, struct herd_mark, fo->mark.n + 1);
    if (!h->marks)
        return refuse(ST_NO_MEMORY, why, "", "too many marks to hold at once");
    for (size_t i = 0; i < fo->mark.n; i++) {
        const struct fact *f = &fo->mark.fact[i];
        const int64_t to = row_when(f, "to");
        struct corner *at = NULL;
        size_t n = 0;
        if (to != INT64_MIN && to <= h->at_utc_s)
            continue;
        const enum status st = corners_read(row_text(f, "points"), false, fo->mem, &at, &n, why);
        if (st != ST_OK)
            return st;
        struct herd_mark *m = &h->marks[h->n_marks++];
        *m = (struct herd_mark){ row_text(f, "is"), row_text(f, "name"), f->uid, HERD_NONE, at, n };
        for (size_t p = 0; p < h->n_paddocks; p++)
            if (row_is(f, "paddock", h->paddocks[p].uid))
                m->paddock = p;
    }
    return ST_OK;
}

static enum status paddocks(struct fold *fo, struct message *why)
{
    struct herd *h = fo->herd;

    h->paddocks = ARENA_NEW(fo->mem, struct herd_paddock, fo->paddock.n + 1);
    if (!h->paddocks)
        return refuse(ST_NO_MEMORY, why, "", "too many fields to hold at once");
    for (size_t i = 0; i < fo->paddock.n; i++) {
        const struct fact *f = &fo->paddock.fact[i];
        const char *outline = row_text(f, "outline");
        struct corner *corners = NULL;
        struct herd_paddock *p = &h->paddocks[h->n_paddocks++];
        *p = (struct herd_paddock){ .name = row_text(f, "name"),
                                    .uid = f->uid,
                                    .area_m2 = row_real(f, "area_m2"),
                                    .width_m = row_real(f, "width_m"),
                                    .length_m = row_real(f, "length_m"),
                                    .origin_lat_deg = row_real(f, "origin_lat_deg"),
                                    .origin_lon_deg = row_real(f, "origin_lon_deg"),
                                    .drains = row_text(f, "drains"),
                                    .gateway_soft = row_flag(f, "gateway_soft") };
        const enum status st = outline ? corners_read(outline, true, fo->mem, &corners, &p->n_outline, why) : ST_OK;
        if (st != ST_OK)
            return st;
        p->outline = corners;
    }
    return marks(fo, why);
}

/* Straw put in since it was counted, topped up or as a hut was set, is no longer in stock. */
static void straw_used_since(const struct fold *fo, struct herd_stock *s)
{
    for (size_t i = 0; i < fo->bedding.n && isfinite(s->straw_kg); i++) {
        const double kg = row_real(&fo->bedding.fact[i], "added_kg");
        if (row_when(&fo->bedding.fact[i], "at") > s->counted_utc_s && isfinite(kg))
            s->straw_kg = fmax(0.0, s->straw_kg - kg);
    }
    for (size_t i = 0; i < fo->placement.n && isfinite(s->straw_kg); i++) {
        const struct fact *p = &fo->placement.fact[i];
        const int64_t bedded = row_when(p, "bedded"), when = bedded != INT64_MIN ? bedded : row_when(p, "from");
        const double kg = row_real(p, "straw_kg");
        if (when > s->counted_utc_s && isfinite(kg))
            s->straw_kg = fmax(0.0, s->straw_kg - kg);
    }
}

/* The newest count of each thing stands. */
static void stock(struct fold *fo)
{
    struct herd_stock *s = &fo->herd->stock;
    struct {
        const char *field;
        double value;
        int64_t at;
    } item[] = {
        { "straw_kg", NAN, INT64_MIN },     { "bale_kg", NAN, INT64_MIN },     { "flaps", NAN, INT64_MIN },
        { "wall_bales", NAN, INT64_MIN },   { "panels", NAN, INT64_MIN },      { "people", NAN, INT64_MIN },
        { "hand_minutes", NAN, INT64_MIN }, { "straw_bales", NAN, INT64_MIN }, { "feed_kg", NAN, INT64_MIN },
    };

    for (size_t i = 0; i < fo->stock.n; i++) {
        const struct fact *f = &fo->stock.fact[i];
        const int64_t at = row_when(f, "at");
        for (size_t k = 0; k < COUNT(item); k++) {
            const size_t field = fact_field_find(f->kind, item[k].field);
            const struct fact_value *v = &f->value[field];
            if (!v->given || at < item[k].at)
                continue;
            item[k].value = f->kind->fields[field].type == FACT_WHOLE ? (double)v->whole : v->real;
            item[k].at = at;
        }
    }
    s->bale_kg = item[1].value;
    s->straw_kg = item[7].at > item[0].at ? item[7].value * (isnan(s->bale_kg) ? 18.0 : s->bale_kg) : item[0].value;
    s->flaps = isnan(item[2].value) ? -1 : (int)item[2].value;
    s->bales = isnan(item[3].value) ? -1 : (int)item[3].value;
    s->panels = isnan(item[4].value) ? -1 : (int)item[4].value;
    s->people = isnan(item[5].value) ? -1 : (int)item[5].value;
    s->hand_minutes_per_h = item[6].value;
    s->feed_kg = item[8].value;
    s->feed_at_utc_s = item[8].at;
    s->counted_utc_s = item[0].at > item[7].at ? item[0].at : item[7].at;
    if (s->people < 0 && fo->farms.n > 0)
        s->people = (int)fact_whole(fo->farms.kind, fo->farms.fact[fo->farms.n - 1].value, "people", -1);
    straw_used_since(fo, s);
    if (isnan(s->straw_kg))
        herd_miss(fo, "How much straw there is: leenest record stock --straw-bales 20 --bale 18kg");
    if (s->people < 0)
        herd_miss(fo, "How many people can help at one time: leenest record stock --people 2");
}

enum status herd_fold(struct farm *farm, int64_t at_utc_s, int64_t known_to, struct arena *mem, struct herd *herd,
                      struct message *why)
{
    struct fold *fo = ARENA_NEW(mem, struct fold, 1);

    *herd = (struct herd){ .at_utc_s = at_utc_s, .known_to = known_to };
    if (!fo)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    fo->farm = farm;
    fo->herd = herd;
    fo->mem = mem;
    fo->missing = ARENA_NEW(mem, const char *, MOST_MISSING);
    if (!fo->missing)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = known_to > 0 ? ST_OK : farm_number(farm, &herd->known_to, why);
    if (st == ST_OK)
        st = desk_place(farm, herd->known_to, mem, &herd->place, why);
    if (st == ST_OK)
        st = zone_open(herd->place.zone, mem, &herd->zone, why); /* as it was known, like the place */
    if (st == ST_OK)
        st = read_all(fo, why);
    if (st == ST_OK)
        st = paddocks(fo, why);
    if (st == ST_OK)
        st = herd_sites(fo, why);
    if (st == ST_OK)
        st = herd_sows(fo, why);
    if (st != ST_OK)
        return st;
    stock(fo);
    herd->missing = fo->missing;
    herd->n_missing = fo->n_missing;
    return arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "the herd is too large to hold at once") : ST_OK;
}

/* Names near what was typed; where none is near, those there are. */
static void near_names(const struct herd *herd, const char *name, char out[static 160])
{
    size_t used = 0;

    *out = '\0';
    for (int all = 0; all < 2 && used == 0; all++)
        for (size_t i = 0; i < herd->n_sows && used < 120; i++)
            if (all || near_enough(name, herd->sows[i].name)) {
                const int n = snprintf(out + used, 160 - used, "%s%.30s",
                                       used  ? ", "
                                       : all ? "there are "
                                             : "did you mean ",
                                       herd->sows[i].name);
                used += n > 0 ? (size_t)n : 0;
            }
    if (used)
        (void)snprintf(out + used, 160 - used, "%s", strncmp(out, "did", 3) == 0 ? "?" : "");
}

enum status herd_find(const struct herd *herd, const char *name, size_t *sow, struct message *why)
{
    size_t found = HERD_NONE, count = 0, alike = HERD_NONE, n_alike = 0;
    char near[160];

    for (size_t i = 0; i < herd->n_sows; i++) {
        const struct herd_sow *s = &herd->sows[i];
        if (strcmp(s->name, name) == 0 || strcmp(s->uid, name) == 0 || (*s->tag && strcmp(s->tag, name) == 0)) {
            found = i;
            count++;
        } else if (near_steps(s->name, name) == 0) { /* the same but for capitals */
            alike = i;
            n_alike++;
        }
    }
    if (count == 0 && n_alike == 1) {
        found = alike;
        count = 1;
    }
    if (count == 0) {
        near_names(herd, name, near);
        return refuse(ST_NOT_FOUND, why, "sow", "no sow or gilt \"%.40s\" is here on that day%s%s", name,
                      *near ? "; " : "", near);
    }
    if (count > 1)
        return refuse(ST_CONFLICT, why, "sow", "\"%.40s\" is the name or tag of %zu sows; use the other one of the two",
                      name, count);
    *sow = found;
    return ST_OK;
}

double herd_p_use(const struct herd *herd, size_t sow)
{
    const struct herd_sow *s = &herd->sows[sow];
    double used = 0.0, all = 0.0;

    if (s->penned || s->nests_at != HERD_NONE)
        return 1.0;
    for (size_t i = 0; i < herd->n_sows; i++) {
        used += (double)herd->sows[i].n_nested_used;
        all += (double)herd->sows[i].n_nested;
    }
    /* the herd pulls the default, her own record pulls the herd's: weights n / (n + 4), judgement */
    const double of_herd = (0.75 * 4.0 + used) / (4.0 + all);
    return (of_herd * 4.0 + (double)s->n_nested_used) / (4.0 + (double)s->n_nested);
}
