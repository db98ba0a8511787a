/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a litter born in each hour would meet in each shelter, in each version of the forecast.
 *
 * First the forecast itself, at every third birth hour, for every option; options that cost more and bring no more than
 * another at the same site are then dropped. For what is left the forecast's other hours follow, and the other versions
 * at every twelfth birth hour, and at the sixth and third between where something happens there: another grade, or a
 * lowest body temperature that does not run straight, in that version or in the forecast itself. Temperatures between
 * are taken straight between their neighbours, and the grade from them: chances of danger move by a hundredth or two.
 * Two threads share the options. */
#include <math.h>
#include <string.h>

#include "desk/night_inside.h"
#include "desk/night_kept.h"
#include "desk/share.h"

enum { EVERY = 3, STRIDE = 12, KEPT_PER_SITE = 5, THREADS = 2 };

/* How closely births are followed: to choose what to keep; the rest of the forecast itself; its other versions. */
enum closely { SKETCH, WHOLE /* the rest of the sketch */, VERSION };

/* What a shelter is, as numbers: alike shelters are reckoned once. */
void night_key(const struct night_option *o, double key[NIGHT_KEY])
{
    const struct shelter *s = &o->is;
    const double k[NIGHT_KEY] = { s->kind,
                                  s->lee.stands,
                                  s->lee.porosity,
                                  s->lee.distance_heights,
                                  s->lee.bearing_deg,
                                  s->lee.width_heights,
                                  s->hut.floor_length_m,
                                  s->hut.floor_width_m,
                                  s->hut.height_m,
                                  s->hut.skin_m2,
                                  s->hut.door_width_m,
                                  s->hut.door_height_m,
                                  s->hut.leaks_m2,
                                  s->hut.wall,
                                  s->hut.white,
                                  s->hut.flap,
                                  s->hut.facing_deg,
                                  s->barn_warmer_k,
                                  s->barn_temp_c,
                                  s->floor,
                                  s->straw_m,
                                  s->straw,
                                  s->straw_age_d,
                                  o->bedded + 2.0 * o->earliest_h };
    for (size_t i = 0; i < NIGHT_KEY; i++)
        key[i] = isnan(k[i]) ? -1e300 : k[i];
}

struct work { /* one thread's share */
    struct night *n;
    size_t first, members; /* options first, first + THREADS, ...; members from..to */
    size_t from_member;
    enum closely how;      /* of member 0 */
    const size_t *same_as; /* option index whose cells serve; itself when it is the first of its kind */
    unsigned assumed;
    enum status st;
    struct message why;
};

static void cell_from(const struct piglet_pair *p, int heat, struct watch_cell *cell)
{
    cell->shortfall_c = (float)p->typical.shortfall_c;
    cell->runt_shortfall_c = (float)p->runt.shortfall_c;
    cell->grade = (unsigned char)(p->typical.grade < 0 ? 3 : p->typical.grade);
    cell->runt_grade = (unsigned char)(p->runt.grade < 0 ? 3 : p->runt.grade);
    cell->heat_grade = (unsigned char)(heat < 0 ? 0 : heat);
    cell->near_limit = p->typical.near_limit;
    if (p->typical.too_hot) { /* the cold model says nothing there */
        cell->grade = cell->runt_grade = 0;
        cell->shortfall_c = cell->runt_shortfall_c = 0.0f;
        cell->near_limit = 0;
    }
}

static double between(double a, double b, double w)
{
    return isnan(a) || isnan(b) ? (double)NAN : a + (b - a) * w;
}

static void mix(const struct piglet_result *a, const struct piglet_result *b, double w, struct piglet_result *out)
{
    out->min_c = between(a->min_c, b->min_c, w);
    out->at_2h_c = between(a->at_2h_c, b->at_2h_c, w);
    out->at_6h_c = between(a->at_6h_c, b->at_6h_c, w);
    out->shortfall_c = between(a->shortfall_c, b->shortfall_c, w);
    out->grade = piglet_grade(out->min_c, out->at_2h_c, out->at_6h_c);
    out->near_limit = piglet_near_limit(out->min_c, out->at_2h_c, out->at_6h_c);
    out->too_hot = a->too_hot || b->too_hot;
}

static enum status one_birth(const struct night *n, size_t total, const struct nest nests[], size_t h,
                             struct piglet_pair *pair, struct message *why)
{
    struct piglet_air air[7];
    const size_t k = nest_birth_air(total, nests, h, air);
    return piglet_run_pair_brisk(NULL, &n->typical, n->runt_kg, k, air, pair, why);
}

static void not_there(struct night_option *o, size_t m, size_t h, size_t n_hours)
{
    o->cells[m * n_hours + h] =
        (struct watch_cell){ .shortfall_c = 9.0f, .runt_shortfall_c = 9.0f, .grade = 3, .runt_grade = 3 };
    if (m == 0)
        o->feels_c[h] = o->nest_c[h] = o->draught_mps[h] = o->min_c[h] = NAN;
}

/* What all births of one option in one member are followed with. */
struct births {
    const struct night *n;
    const struct night_option *o;
    const struct nest *nests; /* from now on */
    size_t total;             /* of them */
    enum closely how;
    struct piglet_pair *pairs;
    struct message *why;
};

static void mix_between(const struct births *b, size_t from, size_t to)
{
    for (size_t h = from + 1; h < to; h++) {
        const double share = (double)(h - from) / (double)(to - from);
        mix(&b->pairs[from].typical, &b->pairs[to].typical, share, &b->pairs[h].typical);
        mix(&b->pairs[from].runt, &b->pairs[to].runt, share, &b->pairs[h].runt);
    }
}

static bool alike(const struct piglet_result *a, const struct piglet_result *b)
{
    return a->too_hot == b->too_hot && fabs(a->min_c - b->min_c) < 1.5;
}

/* The same grades at both ends, none of them near a limit, and in the forecast itself no other grade on the way. */
static bool keeps_its_grades(const struct births *b, size_t from, size_t to)
{
    const struct piglet_pair *x = &b->pairs[from], *y = &b->pairs[to];
    const struct watch_cell *cell = b->o->cells; /* of the forecast */

    if (x->typical.grade != y->typical.grade || x->runt.grade != y->runt.grade || x->typical.near_limit ||
        y->typical.near_limit || x->runt.near_limit || y->runt.near_limit || x->typical.too_hot || y->typical.too_hot ||
        fabs(x->typical.min_c - y->typical.min_c) > 3.0)
        return false;
    for (size_t h = from + 1; h <= to; h++)
        if (cell[h].grade != cell[from].grade || cell[h].runt_grade != cell[from].runt_grade)
            return false;
    return true;
}

/* Nothing happens between two birth hours: not at their ends, and not on the way in the forecast itself. */
static bool runs_straight(const struct births *b, size_t from, size_t to)
{
    const double *min_c = b->o->min_c;

    if (keeps_its_grades(b, from, to))
        return true;
    if (!alike(&b->pairs[from].typical, &b->pairs[to].typical) || !alike(&b->pairs[from].runt, &b->pairs[to].runt))
        return false;
    for (size_t h = from + 1; h < to; h++)
        if (!(fabs(min_c[h] - between(min_c[from], min_c[to], (double)(h - from) / (double)(to - from))) < 0.4))
            return false;
    return true;
}

static enum status birth_at(const struct births *b, size_t h)
{
    return one_birth(b->n, b->total, b->nests, h, &b->pairs[h], b->why);
}

/* Between two birth hours that are followed already: straight where nothing happens, else by halves down to EVERY. */
static enum status fill_between(const struct births *b, size_t from, size_t to)
{
    size_t open[8][2] = { { from, to } }, n = 1;
    enum status st = ST_OK;

    while (n > 0 && st == ST_OK) {
        const size_t h = open[n - 1][0], end = open[n - 1][1], middle = h + (end - h) / 2;
        n--;
        if (end - h < 2)
            continue;
        if (end - h <= EVERY || runs_straight(b, h, end)) {
            mix_between(b, h, end);
            continue;
        }
        st = birth_at(b, middle);
        open[n][0] = middle;
        open[n++][1] = end;
        open[n][0] = h;
        open[n++][1] = middle;
    }
    return st;
}

/* SKETCH: every third hour. VERSION: a coarse walk, finer where something happens. WHOLE: what the sketch left out. */
static enum status all_births(const struct births *b, size_t first)
{
    const size_t last = b->n->n_hours - 1, stride = b->how == VERSION ? STRIDE : EVERY;
    enum status st = b->how == WHOLE ? ST_OK : birth_at(b, first);

    for (size_t h = first, to; h < last && st == ST_OK; h = to) {
        to = h + stride < last ? h + stride : last;
        if (b->how == WHOLE) {
            for (size_t k = h + 1; k < to && st == ST_OK; k++)
                st = birth_at(b, k);
            continue;
        }
        st = birth_at(b, to);
        if (st == ST_OK)
            st = fill_between(b, h, to);
    }
    return st;
}

/* The shelter's own hours from now on. What is past is the same in every version: only the forecast goes through it. */
static enum status nests_of(struct work *w, struct night_option *o, size_t m, size_t begin, struct nest nests[])
{
    const struct coming *c = w->n->coming;
    const size_t run = c->n_before + c->n_hours, now = begin > c->n_before ? begin : c->n_before;
    const struct hour *hours = c->member + m * run;
    const struct feels_table *feels = m == 0 ? w->n->feels : NULL;
    struct nest_bed bed = o->bed;
    enum status st = ST_OK;

    if (m == 0) {
        bed = (struct nest_bed){ 0.0, 0.0 };
        if (begin < now)
            st = nest_hours(NULL, &o->is, NULL, &w->n->inside, now - begin, hours + begin, c->sun + begin, NULL, &bed,
                            nests + begin, &w->why);
        o->bed = bed;
    }
    return st == ST_OK ? nest_hours(NULL, &o->is, NULL, &w->n->inside, run - now, hours + now, c->sun + now, feels,
                                    &bed, nests + now, &w->why)
                       : st;
}

/* One option in one member. `nests` and `own` are this thread's scratch; the forecast's pairs stay with the option. */
static enum status one_member(struct work *w, struct night_option *o, size_t m, struct nest nests[],
                              struct piglet_pair own[])
{
    struct night *n = w->n;
    const struct coming *c = n->coming;
    const size_t laid = o->earliest_h < (double)n->n_hours ? (size_t)o->earliest_h : n->n_hours - 1;
    const size_t run = c->n_before + c->n_hours, begin = o->bedded ? c->n_before + laid : 0,
                 first = o->bedded ? laid : 0;
    struct piglet_pair *pairs = m == 0 ? o->pairs : own;
    const struct births births = { n,     o,      nests + c->n_before, run - c->n_before, m > 0 ? VERSION : w->how,
                                   pairs, &w->why };
    struct watch_cell *cells = o->cells + m * n->n_hours;

    if (m == 0)
        o->assumed = 0;
    enum status st = nests_of(w, o, m, begin, nests);
    if (st == ST_OK)
        st = all_births(&births, first);
    for (size_t h = 0; h < first && st == ST_OK; h++) /* not laid yet: nobody is offered it then */
        not_there(o, m, h, n->n_hours);
    for (size_t h = first; h < n->n_hours && st == ST_OK; h++) {
        const struct nest *x = &nests[c->n_before + h];
        cell_from(&pairs[h], x->heat_grade, &cells[h]);
        if (m == 0) {
            o->feels_c[h] = x->feels_c;
            o->nest_c[h] = x->nest_c;
            o->draught_mps[h] = x->draught_mps;
            o->min_c[h] = pairs[h].typical.min_c;
            o->assumed |= x->assumed;
        }
    }
    w->assumed |= o->assumed;
    return st;
}

/* One option in the members of this walk, or what a night before knew of it. */
static enum status one_option(struct work *w, struct night_option *o, struct nest nests[], struct piglet_pair own[])
{
    const struct night *n = w->n;
    const size_t end = w->from_member + w->members;
    enum status st = ST_OK;

    if (w->how == SKETCH)
        o->sketch_kept = night_kept_sketch(n, o, &w->assumed);
    if (w->how == WHOLE)
        o->whole_kept = night_kept_whole(n, o, &w->assumed);
    if (w->how == SKETCH ? o->sketch_kept : o->whole_kept)
        return ST_OK;
    if (w->how == WHOLE && o->sketch_kept) { /* what the sketch followed is needed after all */
        w->how = SKETCH;
        st = one_member(w, o, 0, nests, own);
        w->how = WHOLE;
    }
    for (size_t m = w->from_member; m < end && st == ST_OK; m++)
        st = one_member(w, o, m, nests, own);
    if (st == ST_OK && w->how == SKETCH)
        night_kept_sketch_is(n, o, o->assumed);
    else if (st == ST_OK && end == n->watch.n_members)
        night_kept_whole_is(n, o, o->assumed);
    return st;
}

static void share(void *job, size_t thread)
{
    struct work *w = (struct work *)job + thread;
    struct night *n = w->n;
    const size_t run = n->coming->n_before + n->coming->n_hours;
    struct arena scratch;

    arena_open(&scratch, 16u << 20);
    struct nest *nests = ARENA_NEW(&scratch, struct nest, run);
    struct piglet_pair *pairs = ARENA_NEW(&scratch, struct piglet_pair, n->n_hours);
    if (!pairs || !nests)
        w->st = refuse(ST_NO_MEMORY, &w->why, "", "out of memory");
    for (size_t i = w->first; i < n->n_options && w->st == ST_OK; i += THREADS)
        if (w->same_as[i] == i)
            w->st = one_option(w, &n->options[i], nests, pairs);
    arena_close(&scratch);
}

/* Members from..from + count of every option that is the first of its kind. */
static enum status run_members(struct night *n, const size_t same_as[], enum closely how, size_t from, size_t count,
                               struct message *why)
{
    struct work w[THREADS];

    for (size_t t = 0; t < THREADS; t++)
        w[t] =
            (struct work){ .n = n, .first = t, .members = count, .from_member = from, .how = how, .same_as = same_as };
    share_parts(NULL, share, w, THREADS);
    for (size_t t = 0; t < THREADS; t++) {
        n->nest_assumed |= w[t].assumed;
        if (w[t].st != ST_OK) {
            *why = w[t].why;
            return w[t].st;
        }
    }
    return ST_OK;
}

static enum status room(struct night *n, size_t members, struct message *why)
{
    for (size_t i = 0; i < n->n_options; i++) {
        struct night_option *o = &n->options[i];
        struct watch_cell *cells = ARENA_NEW(n->mem, struct watch_cell, members * n->n_hours);
        if (!cells)
            return refuse(ST_NO_MEMORY, why, "", "too many shelters and hours to weigh at once");
        if (o->cells)
            memcpy(cells, o->cells, n->n_hours * sizeof *cells);
        o->cells = cells;
        if (o->feels_c)
            continue;
        o->feels_c = ARENA_NEW(n->mem, double, n->n_hours);
        o->nest_c = ARENA_NEW(n->mem, double, n->n_hours);
        o->draught_mps = ARENA_NEW(n->mem, double, n->n_hours);
        o->min_c = ARENA_NEW(n->mem, double, n->n_hours);
        o->pairs = ARENA_NEW(n->mem, struct piglet_pair, n->n_hours);
        if (!o->pairs || !o->min_c || !o->draught_mps || !o->nest_c || !o->feels_c)
            return refuse(ST_NO_MEMORY, why, "", "too many shelters and hours to weigh at once");
    }
    return ST_OK;
}

bool night_same_key(const double a[NIGHT_KEY], const double b[NIGHT_KEY])
{
    for (size_t i = 0; i < NIGHT_KEY; i++)
        if (a[i] < b[i] || a[i] > b[i])
            return false;
    return true;
}

static void find_alike(const struct night *n, size_t same_as[])
{
    double a[NIGHT_KEY], b[NIGHT_KEY];

    for (size_t i = 0; i < n->n_options; i++) {
        same_as[i] = i;
        night_key(&n->options[i], a);
        for (size_t j = 0; j < i && same_as[i] == i; j++) {
            night_key(&n->options[j], b);
            if (night_same_key(a, b))
                same_as[i] = same_as[j];
        }
    }
}

static void copy_alike(struct night *n, const size_t same_as[], size_t members)
{
    for (size_t i = 0; i < n->n_options; i++) {
        struct night_option *o = &n->options[i];
        const struct night_option *first = &n->options[same_as[i]];
        if (o == first)
            continue;
        memcpy(o->cells, first->cells, members * n->n_hours * sizeof *o->cells);
        o->feels_c = first->feels_c;
        o->nest_c = first->nest_c;
        o->draught_mps = first->draught_mps;
        o->min_c = first->min_c;
        o->pairs = first->pairs;
        o->bed = first->bed;
        o->sketch_kept = first->sketch_kept;
    }
}

/* What an option still leaves to be wished for, over the hours in which a near sow may farrow. */
static double need(const struct night *n, const struct night_option *o)
{
    double sum = 0.0;
    for (size_t h = 0; h < n->n_hours; h++) {
        double f = 1e-5;
        for (size_t i = 0; i < n->n_sows; i++)
            f += n->sows[i].near ? n->sows[i].birth[h] : 0.0;
        sum += f * (watch_need_c(&watch_usual_weights, &o->cells[h]) + 1e-3 * (double)o->cells[h].shortfall_c);
    }
    return sum;
}

/* Hands at once: what the hut is recorded to take, else the usual. */
static unsigned people_of(const struct night *n, const struct night_option *o)
{
    const size_t herd = n->sites[o->site].herd;
    const int carriers = herd == HERD_NONE ? 0 : n->herd->sites[herd].carriers;

    if (!o->moved && !o->turned)
        return 1;
    return carriers > 0 ? (unsigned)carriers : o->moved ? night_work.move_people : night_work.turn_people;
}

static double work_of(const struct night *n, const struct night_option *o)
{
    const double carried = o->moved ? night_work.move_min : o->turned ? night_work.turn_min : 0.0;

    return carried * people_of(n, o) + (o->bedded ? night_work.straw_min : 0.0) +
           (o->flapped ? night_work.flap_min : 0.0) + (o->walled ? night_work.wall_min : 0.0);
}

/* a costs no more of anything than b and leaves no more to be wished for. */
static bool beats(const struct night *n, const struct night_option *a, double need_a, const struct night_option *b,
                  double need_b)
{
    const bool no_dearer = work_of(n, a) <= work_of(n, b) && a->straw_kg_more <= b->straw_kg_more + 1e-9 &&
                           a->flapped <= b->flapped && a->walled <= b->walled && a->turned <= b->turned;
    return no_dearer && need_a <= need_b + 1e-6;
}

static bool stands(const struct night *n, size_t i)
{
    return n->sites[n->options[i].site].as_it_stands == i;
}

/* Leave at each site what stands, and the few best of what no other option there beats. Indices move together. */
static enum status prune(struct night *n, struct message *why)
{
    double *needs = ARENA_NEW(n->mem, double, n->n_options);
    bool *keep = ARENA_NEW(n->mem, bool, n->n_options);
    size_t *moved = ARENA_NEW(n->mem, size_t, n->n_options);
    size_t left = 0;

    if (!moved || !keep || !needs)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n->n_options; i++)
        needs[i] = need(n, &n->options[i]);
    for (size_t i = 0; i < n->n_options; i++) {
        keep[i] = true;
        for (size_t j = 0; j < n->n_options && keep[i] && !stands(n, i); j++)
            if (j != i && n->options[j].site == n->options[i].site &&
                beats(n, &n->options[j], needs[j], &n->options[i], needs[i]) &&
                (j < i || !beats(n, &n->options[i], needs[i], &n->options[j], needs[j])))
                keep[i] = false;
    }
    for (size_t i = 0; i < n->n_options; i++) {
        size_t better = 0;
        for (size_t j = 0; j < n->n_options; j++)
            better += keep[j] && n->options[j].site == n->options[i].site &&
                      (needs[j] < needs[i] || (!(needs[j] > needs[i]) && j < i));
        if (better >= KEPT_PER_SITE && !stands(n, i))
            keep[i] = false;
    }
    for (size_t i = 0; i < n->n_options; i++) {
        moved[i] = left;
        if (keep[i])
            n->options[left++] = n->options[i];
    }
    for (size_t s = 0; s < n->n_sites; s++)
        n->sites[s].as_it_stands = moved[n->sites[s].as_it_stands];
    n->n_options = left;
    return ST_OK;
}

static enum status for_the_watch(struct night *n, struct message *why)
{
    struct watch_option *out = ARENA_NEW(n->mem, struct watch_option, n->n_options + 1);

    if (!out)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n->n_options; i++) {
        const struct night_option *o = &n->options[i];
        struct watch_option *w = &out[i];
        *w = (struct watch_option){ .key = arena_print(n->mem, "%s/%zu", n->sites[o->site].name, i),
                                    .site = o->site,
                                    .takes = WATCH_NONE,
                                    .earliest_h = o->earliest_h,
                                    .people = people_of(n, o),
                                    .straw_kg = o->straw_kg_more,
                                    .flaps = o->flapped,
                                    .bales = o->walled ? night_work.wall_bales : 0,
                                    .cells = o->cells };
        w->change = (o->turned ? WATCH_TURN : 0u) | (o->bedded ? WATCH_STRAW : 0u) | (o->flapped ? WATCH_FLAP : 0u) |
                    (o->walled ? WATCH_WINDBREAK : 0u) | (o->moved ? WATCH_MOVE : 0u);
        /* straw and flaps can be seen to by torch; what takes two to carry wants daylight */
        w->needs = (o->bedded && !(o->earliest_h > 0.0) ? WATCH_BEFORE_RAIN : 0u) |
                   (o->turned ? WATCH_BEFORE_FREEZE | WATCH_BEFORE_DUSK : 0u) |
                   /* out of store the way over frozen ground is the better one */
                   (o->moved ? WATCH_BEFORE_THAW | WATCH_BEFORE_DUSK : 0u);
        w->minutes = work_of(n, o) / (double)w->people;
    }
    n->watch.options = out;
    n->watch.n_options = n->n_options;
    return arena_full(n->mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : ST_OK;
}

static const char *as_sentence(const struct night *n, const char *words)
{
    char *s = arena_print(n->mem, "%s.", words);
    if (s && *s >= 'a' && *s <= 'z')
        *s = (char)(*s - 'a' + 'A');
    return s ? s : words;
}

enum status night_cells_of_all(struct night *n, struct message *why)
{
    size_t *same_as = ARENA_NEW(n->mem, size_t, n->n_options + 1);
    enum status st = same_as ? room(n, n->watch.n_members, why) : refuse(ST_NO_MEMORY, why, "", "out of memory");

    if (st != ST_OK)
        return st;
    find_alike(n, same_as);
    st = run_members(n, same_as, SKETCH, 0, 1, why); /* the forecast first: the others walk by it */
    if (st == ST_OK)
        st = run_members(n, same_as, WHOLE, 0, 1, why);
    if (st == ST_OK && n->watch.n_members > 1)
        st = run_members(n, same_as, VERSION, 1, n->watch.n_members - 1, why);
    if (st == ST_OK)
        copy_alike(n, same_as, n->watch.n_members);
    return st;
}

enum status night_cells(struct night *n, struct message *why)
{
    size_t *same_as = ARENA_NEW(n->mem, size_t, n->n_options + 1);
    if (!same_as)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = room(n, 1, why);

    if (st != ST_OK)
        return st;
    find_alike(n, same_as);
    st = run_members(n, same_as, SKETCH, 0, 1, why);
    if (st != ST_OK)
        return st;
    copy_alike(n, same_as, 1);
    st = prune(n, why);
    if (st == ST_OK)
        st = room(n, n->watch.n_members, why);
    if (st == ST_OK) {
        find_alike(n, same_as);
        st = run_members(n, same_as, WHOLE, 0, 1, why);
        if (st == ST_OK && n->watch.n_members > 1)
            st = run_members(n, same_as, VERSION, 1, n->watch.n_members - 1, why);
        if (st == ST_OK)
            copy_alike(n, same_as, n->watch.n_members);
    }
    for (unsigned bit = 0; bit < NEST_ASSUMPTION_BITS && st == ST_OK; bit++)
        if (n->nest_assumed & (1u << bit) && nest_assumed_words(1u << bit))
            night_assume(n, as_sentence(n, nest_assumed_words(1u << bit)));
    return st == ST_OK ? for_the_watch(n, why) : st;
}
