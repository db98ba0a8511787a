/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Each sow as of the moment: her turn (since she last farrowed), the evidence of it, where she is, what she has shown.
 */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/herd_inside.h"

static const double gestation_least_d = 105.0, gestation_most_d = 125.0, suckling_most_d = 100.0;

/* What happened longer ago can have no birth still to come, and says nothing of this turn: a boar may have been there
 * for years, or a farrowing was never written down. */
enum { TURN_MOST_D = 400, MOST_RUNS = 60 };

static bool hers(const struct fact *f, const struct herd_sow *s)
{
    return row_is(f, "sow", s->uid);
}

static int64_t later(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

/* ---- past litters ---- */

double herd_length_d(const struct rows *services, const char *sow_uid, int64_t farrowed_utc_s)
{
    double best = NAN;

    for (size_t i = 0; i < services->n; i++) {
        const struct fact *f = &services->fact[i];
        const double d = (double)(farrowed_utc_s - row_when(f, "at")) / (double)DAY_S;
        if (row_is(f, "sow", sow_uid) && d >= gestation_least_d && d <= gestation_most_d && !(d > best))
            best = d; /* the last service that can have been it */
    }
    return best;
}

/* A farrowing is taken as over when its end is written, when the litter was found or counted long after, or after so
 * long. */
static const double farrowing_most_h = 12.0, counted_over_h = 6.0;

/* Piglets written down one by one, of the newest litter. One that nobody has begun as a farrowing begins with its first
 * piglet. */
static void births(struct fold *fo, struct herd_sow *s)
{
    const struct fact *litter = NULL;
    int alive = 0, dead = 0;

    for (size_t i = 0; i < fo->birth.n; i++) { /* in order of time */
        const int64_t at = row_when(&fo->birth.fact[i], "at");
        if (hers(&fo->birth.fact[i], s) &&
            (s->farrowed_utc_s == BREEDING_NONE || at - s->farrowed_utc_s > (int64_t)gestation_least_d * DAY_S)) {
            s->farrowed_utc_s = at;
            s->born_alive = s->born_dead = -1;
        }
    }
    if (s->farrowed_utc_s == BREEDING_NONE)
        return;
    for (size_t i = 0; i < fo->farrowing.n; i++)
        if (hers(&fo->farrowing.fact[i], s) && row_when(&fo->farrowing.fact[i], "start") == s->farrowed_utc_s)
            litter = &fo->farrowing.fact[i];
    for (size_t i = 0; i < fo->birth.n; i++) {
        const struct fact *f = &fo->birth.fact[i];
        if (!hers(f, s) || row_when(f, "at") < s->farrowed_utc_s - HOUR_S)
            continue;
        *(row_is(f, "is", "dead") ? &dead : &alive) += 1;
        s->last_birth_utc_s = later(s->last_birth_utc_s, row_when(f, "at"));
    }
    for (size_t i = 0; i < fo->sign.n; i++)
        if (hers(&fo->sign.fact[i], s) && row_is(&fo->sign.fact[i], "sign", "straining") &&
            row_when(&fo->sign.fact[i], "at") >= s->farrowed_utc_s - HOUR_S)
            s->strained_utc_s = later(s->strained_utc_s, row_when(&fo->sign.fact[i], "at"));
    s->counted = s->born_alive >= 0;
    s->born_alive = s->counted ? s->born_alive : alive > 0 || dead > 0 ? alive : -1;
    s->born_dead = s->born_dead >= 0 ? s->born_dead : dead > 0 ? dead : -1;
    const double since_h =
        (double)(fo->herd->at_utc_s - later(s->farrowed_utc_s, s->last_birth_utc_s)) / (double)HOUR_S;
    s->farrowing = since_h < (s->counted && s->last_birth_utc_s == BREEDING_NONE ? counted_over_h : farrowing_most_h) &&
                   !(litter && (row_when(litter, "end") != INT64_MIN || row_when(litter, "not_before") != INT64_MIN));
}

static void past(struct fold *fo, const struct fact *animal, struct herd_sow *s)
{
    const int before = (int)fact_whole(animal->kind, animal->value, "litters_before", 0);
    const int known = (int)fact_whole(animal->kind, animal->value, "gestations_before", 0);
    const double mean_before = row_real(animal, "mean_litter_before"),
                 length_before = row_real(animal, "gestation_before_d");
    double *lengths = ARENA_NEW(fo->mem, double, fo->farrowing.n + 32);
    double sum = isfinite(mean_before) ? mean_before * before : 0.0;
    size_t n = 0, counted = isfinite(mean_before) ? (size_t)before : 0;
    int litters = 0;

    for (int i = 0; lengths && i < known && i < 25 && isfinite(length_before); i++)
        lengths[n++] = length_before;
    for (size_t i = 0; i < fo->farrowing.n; i++) {
        const struct fact *f = &fo->farrowing.fact[i];
        if (!hers(f, s))
            continue;
        const int64_t start = row_when(f, "start");
        const int alive = (int)fact_whole(f->kind, f->value, "born_alive", -1);
        const double d = herd_length_d(&fo->service, s->uid, start);
        litters++;
        if (lengths && isfinite(d))
            lengths[n++] = d;
        if (alive >= 0) {
            sum += alive;
            counted++;
        }
        if (start > s->farrowed_utc_s) {
            s->farrowed_utc_s = start;
            s->born_alive = alive;
            s->born_dead = (int)fact_whole(f->kind, f->value, "still", -1);
            s->nests_at = herd_site_of(fo->herd, row_text(f, "placement"));
        }
    }
    births(fo, s);
    s->parity = row_is(animal, "is", "sow") && before == 0 && litters == 0 ? -1 : before + litters;
    s->gilt = s->parity == 0;
    s->n_litters = counted;
    s->mean_litter = counted ? sum / (double)counted : (double)NAN;
    s->evidence.past_gestation_d = lengths;
    s->evidence.n_past = n;
    herd_dry(fo, s);
    for (size_t i = 0; i < fo->nested.n; i++)
        if (hers(&fo->nested.fact[i], s) && !row_is(&fo->nested.fact[i], "put_out", "nothing-there")) {
            s->n_nested++;
            s->n_nested_used += row_is(&fo->nested.fact[i], "put_out", "used");
        }
}

int herd_living(const struct herd_sow *s)
{
    if (s->born_alive < 0)
        return -1;
    return s->lost < s->born_alive ? s->born_alive - s->lost : 0;
}

/* ---- this turn ---- */

static int boar_index(const struct fold *fo, const char *uid)
{
    for (size_t i = 0; uid && i < fo->herd->n_boars && i < BREEDING_BOARS; i++)
        if (strcmp(fo->herd->boars[i].uid, uid) == 0)
            return (int)i;
    return -1;
}

static bool services(struct fold *fo, struct herd_sow *s, int64_t since)
{
    struct breeding_service *list = ARENA_NEW(fo->mem, struct breeding_service, fo->service.n + 1);
    int64_t *heats = ARENA_NEW(fo->mem, int64_t, fo->heat.n + fo->returns.n + 1);
    struct breeding_evidence *e = &s->evidence;

    if (!heats || !list)
        return false;
    for (size_t i = 0; i < fo->service.n; i++) {
        const struct fact *f = &fo->service.fact[i];
        if (hers(f, s) && row_when(f, "at") > since)
            list[e->n_services++] =
                (struct breeding_service){ row_when(f, "at"), row_real(f, "weight"),
                                           boar_index(fo, row_text(f, "boar")), row_flag(f, "day_only") };
    }
    for (size_t i = 0; i < fo->heat.n; i++) {
        const struct fact *f = &fo->heat.fact[i];
        if (!hers(f, s) || row_when(f, "at") <= since)
            continue;
        heats[e->n_heats++] = row_when(f, "at");
        if (row_is(f, "strength", "standing"))
            e->standing_utc_s = later(e->standing_utc_s, row_when(f, "at"));
    }
    for (size_t i = 0; i < fo->returns.n; i++)
        if (hers(&fo->returns.fact[i], s) && row_when(&fo->returns.fact[i], "at") > since &&
            row_is(&fo->returns.fact[i], "seen", "heat"))
            heats[e->n_heats++] = row_when(&fo->returns.fact[i], "at");
    e->services = list;
    e->heats_utc_s = heats;
    /* a standing heat long before the last service says nothing about the hour of that one */
    for (size_t i = 0; i < e->n_services; i++)
        if (e->standing_utc_s != BREEDING_NONE && list[i].at_utc_s > e->standing_utc_s + 5 * DAY_S)
            e->standing_utc_s = BREEDING_NONE;
    return true;
}

/* One stay of a boar with her, cut to this turn. Of very many the newest are kept. */
static void add_run(const struct fold *fo, const struct fact *run, int64_t from, int64_t to, int64_t since,
                    struct breeding_evidence *e, struct breeding_run list[])
{
    from = later(from, since);
    if ((to == INT64_MIN ? fo->herd->at_utc_s : to) <= from)
        return;
    if (e->n_runs == MOST_RUNS)
        memmove(list, list + 1, --e->n_runs * sizeof *list);
    list[e->n_runs++] =
        (struct breeding_run){ from, to == INT64_MIN ? BREEDING_NONE : to, boar_index(fo, row_text(run, "boar")) };
}

/* A boar with a group is with her while she is in it. */
static void group_run(const struct fold *fo, const struct herd_sow *s, const struct fact *run, int64_t to,
                      int64_t since, struct breeding_evidence *e, struct breeding_run list[])
{
    const char *group = row_text(run, "group"), *in = herd_group_at(fo, s, row_when(run, "from"));
    int64_t from = in && strcmp(in, group) == 0 ? row_when(run, "from") : INT64_MIN;

    for (size_t k = 0; k < fo->move.n; k++) {
        const struct fact *m = &fo->move.fact[k];
        const int64_t when = row_when(m, "at");
        if (!row_is(m, "animal", s->uid) || !row_text(m, "to_group") || when <= row_when(run, "from"))
            continue;
        if (to != INT64_MIN && when >= to)
            break;
        if (row_is(m, "to_group", group)) {
            from = from == INT64_MIN ? when : from;
        } else if (from != INT64_MIN) {
            add_run(fo, run, from, when, since, e, list);
            from = INT64_MIN;
        }
    }
    if (from != INT64_MIN)
        add_run(fo, run, from, to, since, e, list);
}

static bool runs(struct fold *fo, struct herd_sow *s, int64_t since)
{
    struct breeding_run *list = ARENA_NEW(fo->mem, struct breeding_run, MOST_RUNS);

    if (!list)
        return false;
    for (size_t i = 0; i < fo->boar_run.n; i++) {
        const struct fact *f = &fo->boar_run.fact[i];
        int64_t to = row_when(f, "to");
        if (to != INT64_MIN && to > fo->herd->at_utc_s)
            to = INT64_MIN; /* he is still there */
        if (row_is(f, "sow", s->uid))
            add_run(fo, f, row_when(f, "from"), to, since, &s->evidence, list);
        else if (row_text(f, "group"))
            group_run(fo, s, f, to, since, &s->evidence, list);
    }
    s->evidence.runs = list;
    return true;
}

static bool scans(struct fold *fo, struct herd_sow *s, int64_t since)
{
    struct breeding_scan *list = ARENA_NEW(fo->mem, struct breeding_scan, fo->scan.n + 1);
    struct breeding_return_look *none = ARENA_NEW(fo->mem, struct breeding_return_look, fo->returns.n + 1);
    struct breeding_evidence *e = &s->evidence;

    if (!none || !list)
        return false;
    for (size_t i = 0; i < fo->scan.n; i++) {
        const struct fact *f = &fo->scan.fact[i];
        if (hers(f, s) && row_when(f, "at") > since && !row_is(f, "result", "unclear"))
            list[e->n_scans++] = (struct breeding_scan){ row_when(f, "at"), row_is(f, "result", "positive") };
    }
    for (size_t i = 0; i < fo->returns.n; i++) {
        const struct fact *f = &fo->returns.fact[i];
        const int64_t at = row_when(f, "at"), from = row_when(f, "from");
        if (hers(f, s) && at > since && row_is(f, "seen", "none") && (from == INT64_MIN || from < at))
            none[e->n_return_looks++] = (struct breeding_return_look){ from == INT64_MIN ? at - DAY_S / 2 : from, at };
    }
    e->scans = list;
    e->return_looks = none;
    return true;
}

static bool fresh_bed(const struct fold *fo, const struct herd_sow *s, const char *placement, int64_t at)
{
    (void)s;
    for (size_t i = 0; placement && i < fo->bedding.n; i++) {
        const struct fact *b = &fo->bedding.fact[i];
        const int64_t when = row_when(b, "at");
        if (row_is(b, "placement", placement) && when <= at && at - when <= DAY_S && isfinite(row_real(b, "added_kg")))
            return true;
    }
    return false;
}

static bool looks(struct fold *fo, struct herd_sow *s, int64_t since)
{
    struct breeding_look *list = ARENA_NEW(fo->mem, struct breeding_look, fo->sign.n + fo->look.n * BS_END + 1);
    struct breeding_evidence *e = &s->evidence;
    const char *nest_place = NULL;

    if (!list)
        return false;
    for (size_t i = 0; i < fo->sign.n; i++) {
        const struct fact *f = &fo->sign.fact[i];
        const int64_t at = row_when(f, "at");
        if (!hers(f, s) || at <= since)
            continue;
        struct breeding_look l = { .at_utc_s = at, .sign = breeding_sign_find(row_text(f, "sign")), .present = true };
        if (l.sign == BS_END)
            continue;
        l.flags = (row_is(f, "arranging", "yes") ? BL_ALONE : 0u) | (row_flag(f, "quiet") ? BL_NEST_FINISHED : 0u) |
                  (fresh_bed(fo, s, row_text(f, "placement"), at) ? BL_FRESH_BED : 0u);
        list[e->n_looks++] = l;
        e->not_farrowed_by_utc_s = later(e->not_farrowed_by_utc_s, at);
        s->last_look_utc_s = later(s->last_look_utc_s, at);
        if (l.sign == BS_NEST && at >= s->nesting_utc_s) {
            s->nesting_utc_s = at;
            nest_place = row_text(f, "placement");
        }
    }
    for (size_t i = 0; i < fo->look.n; i++) {
        const struct fact *f = &fo->look.fact[i];
        const int64_t at = row_when(f, "at");
        const char *absent = row_text(f, "absent");
        if (!hers(f, s) || at <= since)
            continue;
        for (int k = 0; absent && k < BS_END; k++)
            if (fact_set_has(absent, breeding_sign_name[k]))
                list[e->n_looks++] = (struct breeding_look){ .at_utc_s = at, .sign = (enum breeding_sign)k };
        e->not_farrowed_by_utc_s = later(e->not_farrowed_by_utc_s, at);
        s->last_look_utc_s = later(s->last_look_utc_s, at);
        if (absent && fact_set_has(absent, "nest") && at > s->nesting_utc_s)
            s->nesting_utc_s = BREEDING_NONE;
    }
    e->looks = list;
    if (s->nesting_utc_s != BREEDING_NONE && herd_site_of(fo->herd, nest_place) != HERD_NONE)
        s->nests_at = herd_site_of(fo->herd, nest_place);
    return true;
}

/* How she was when the boar came. */
static void state_for_boar(const struct fact *animal, struct herd_sow *s)
{
    struct breeding_evidence *e = &s->evidence;

    e->parity = s->parity;
    e->farrowed_utc_s = s->farrowed_utc_s;
    e->weaned_utc_s = s->weaned_utc_s >= s->farrowed_utc_s ? s->weaned_utc_s : BREEDING_NONE;
    e->state = BREEDING_STATE_UNKNOWN;
    if (e->n_runs == 0)
        return;
    int64_t first = e->runs[0].from_utc_s;
    for (size_t i = 1; i < e->n_runs; i++)
        first = e->runs[i].from_utc_s < first ? e->runs[i].from_utc_s : first;
    if (s->gilt) {
        e->state = BREEDING_GILT;
        e->p_cycling = row_is(animal, "cycling", "yes") ? 1.0 : (double)NAN;
    } else if (s->farrowed_utc_s != BREEDING_NONE && (e->weaned_utc_s == BREEDING_NONE || e->weaned_utc_s > first)) {
        e->state = BREEDING_SUCKLING;
    } else if (e->weaned_utc_s != BREEDING_NONE && first - e->weaned_utc_s <= 10 * DAY_S) {
        e->state = BREEDING_WEANED;
    } else if (e->weaned_utc_s != BREEDING_NONE || e->n_heats > 0) {
        e->state = BREEDING_CYCLING;
    }
}

static void breed_of(const struct fold *fo, struct herd_sow *s)
{
    for (size_t i = 0; i < fo->breed.n; i++) {
        const struct fact *b = &fo->breed.fact[i];
        const char *name = row_text(b, "name");
        if (!name || !*s->breed || strncmp(s->breed, name, strlen(name)) != 0)
            continue;
        const double shift = row_real(b, "gestation_shift_d"), mass = row_real(b, "sow_kg");
        if (isfinite(shift))
            s->evidence.breed_shift_d = shift;
        if (isnan(s->mass_kg) && !s->gilt)
            s->mass_kg = mass;
    }
}

static void weights(const struct fold *fo, const struct fact *animal, struct herd_sow *s)
{
    int64_t newest_mass = INT64_MIN, newest_condition = INT64_MIN;

    s->mass_kg = row_real(animal, "mass_kg");
    s->condition = row_real(animal, "condition");
    for (size_t i = 0; i < fo->weighing.n; i++) {
        const struct fact *f = &fo->weighing.fact[i];
        const int64_t on = row_when(f, "on");
        if (!row_is(f, "animal", s->uid))
            continue;
        if (isfinite(row_real(f, "mass_kg")) && on >= newest_mass) {
            newest_mass = on;
            s->mass_kg = row_real(f, "mass_kg");
        }
        if (isfinite(row_real(f, "condition")) && on >= newest_condition) {
            newest_condition = on;
            s->condition = row_real(f, "condition");
        }
    }
}

static void judge_state(struct fold *fo, struct herd_sow *s)
{
    const struct breeding_evidence *e = &s->evidence;
    const bool chance = e->n_services > 0 || e->n_runs > 0 || (e->n_heats > 0 && e->n_scans > 0);
    const bool weaned = s->weaned_utc_s != BREEDING_NONE && s->weaned_utc_s >= s->farrowed_utc_s;
    const double since_d = s->farrowed_utc_s == BREEDING_NONE
                               ? (double)INFINITY
                               : (double)(fo->herd->at_utc_s - s->farrowed_utc_s) / (double)DAY_S;

    if (s->farrowed_utc_s != BREEDING_NONE && !weaned && since_d < suckling_most_d)
        s->state = HERD_SUCKLING; /* whatever boar runs with her: no birth can be near */
    else if (chance)
        s->state = HERD_SERVED;
    else if (weaned)
        s->state = HERD_OPEN;
    else
        s->state = HERD_UNKNOWN;
    if (s->state == HERD_UNKNOWN && s->farrowed_utc_s != BREEDING_NONE)
        herd_miss(fo, arena_print(fo->mem, "When %s was weaned.", s->name));
    if (s->state == HERD_UNKNOWN && s->farrowed_utc_s == BREEDING_NONE)
        herd_miss(fo,
                  arena_print(fo->mem,
                              "Whether %s was served, or a boar ran with her: leenest record service --sow %s --at ...",
                              s->name, s->name));
}

static bool one(struct fold *fo, const struct fact *animal, struct herd_sow *s)
{
    const char *tag = row_text(animal, "tag"), *breed = row_text(animal, "breed"), *temper = row_text(animal, "temper");

    *s = (struct herd_sow){
        .name = row_text(animal, "name"),
        .uid = animal->uid,
        .tag = tag ? tag : "",
        .breed = breed ? breed : "",
        .temper = temper ? temper : "",
        .born_days = row_when(animal, "born"),
        .last_look_utc_s = BREEDING_NONE,
        .nesting_utc_s = BREEDING_NONE,
        .farrowed_utc_s = BREEDING_NONE,
        .weaned_utc_s = BREEDING_NONE,
        .last_birth_utc_s = BREEDING_NONE,
        .strained_utc_s = BREEDING_NONE,
        .born_alive = -1,
        .born_dead = -1,
        .paddock = HERD_NONE,
        .group = HERD_NONE,
        .nests_at = HERD_NONE,
        .evidence = breeding_evidence_none(),
    };
    s->evidence.known_to_utc_s = fo->herd->at_utc_s;
    past(fo, animal, s);
    weights(fo, animal, s);
    breed_of(fo, s);
    const int64_t since = later(s->farrowed_utc_s, fo->herd->at_utc_s - TURN_MOST_D * DAY_S);
    if (!services(fo, s, since) || !runs(fo, s, since) || !scans(fo, s, since) || !looks(fo, s, since))
        return false;
    s->last_look_utc_s = later(s->last_look_utc_s, s->farrowed_utc_s);
    state_for_boar(animal, s);
    judge_state(fo, s);
    herd_where(fo, s);
    if (s->state != HERD_SUCKLING && s->nesting_utc_s == BREEDING_NONE && !s->penned)
        s->nests_at = HERD_NONE;
    if (s->nests_at != HERD_NONE) {
        struct herd_site *site = &fo->herd->sites[s->nests_at];
        const size_t me = fo->herd->n_sows;
        if (s->state == HERD_SUCKLING)
            site->litter_of = me;
        else if (s->nesting_utc_s != BREEDING_NONE)
            site->nest_of = me;
    }
    return true;
}

/* ---- all ---- */

static bool is_here(const struct fold *fo, const struct fact *animal)
{
    const int64_t arrived = row_when(animal, "arrived"), born = row_when(animal, "born"),
                  today = day_of(fo, fo->herd->at_utc_s);

    if (row_is(animal, "kept", "elsewhere") || (arrived != INT64_MIN && arrived > today) ||
        (born != INT64_MIN && born > today))
        return false;
    for (size_t i = 0; i < fo->leaving.n; i++)
        if (row_is(&fo->leaving.fact[i], "animal", animal->uid) && !row_is(&fo->leaving.fact[i], "how", "lent"))
            return false;
    return true;
}

static int by_name(const void *a, const void *b)
{
    const struct fact *const *x = a, *const *y = b;
    const int c = strcmp(row_text(*x, "name"), row_text(*y, "name"));
    return c ? c : strcmp((*x)->uid, (*y)->uid);
}

/* Is the fact she herself, or does it speak of her? */
static bool about(const struct fact *f, const char *sow_uid)
{
    if (!f->kind)
        return false;
    for (size_t i = 0; i < f->kind->n_fields; i++)
        if (f->kind->fields[i].type == FACT_REF && f->value[i].given && strcmp(f->value[i].text, sow_uid) == 0)
            return true;
    return strcmp(f->uid, sow_uid) == 0;
}

/* The fact behind a flag; one without a kind when there is none. */
static enum status flagged(const struct fold *fo, const char *uid, struct fact *f, struct message *why)
{
    struct message none;
    *f = (struct fact){ .kind = NULL };
    if (!uid || !*uid)
        return ST_OK;
    const enum status st = farm_fact(fo->farm, uid, fo->herd->known_to, fo->mem, f, &none);
    if (st == ST_OK || st == ST_NOT_FOUND)
        return ST_OK;
    *why = none;
    return st;
}

static enum status flags(struct fold *fo, struct message *why)
{
    struct farm_flag *flag = NULL;
    size_t n = 0;
    enum status st = farm_flags(fo->farm, false, fo->herd->known_to, fo->mem, &flag, &n, why);
    const char **says = st == ST_OK ? ARENA_NEW(fo->mem, const char *, fo->herd->n_sows *n + 1) : NULL;

    if (st == ST_OK && !says)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < fo->herd->n_sows && st == ST_OK; i++)
        fo->herd->sows[i].flags = says + i * n;
    for (size_t k = 0; k < n && st == ST_OK; k++) {
        struct fact of, other;
        st = flagged(fo, flag[k].uid, &of, why);
        if (st == ST_OK)
            st = flagged(fo, flag[k].other_uid, &other, why);
        for (size_t i = 0; i < fo->herd->n_sows && st == ST_OK; i++) {
            struct herd_sow *s = &fo->herd->sows[i];
            if (about(&of, s->uid) || about(&other, s->uid))
                says[i * n + s->n_flags++] = flag[k].says;
        }
    }
    return st;
}

/* A boar that can have sired a litter of this herd: of the herd, now or once, or named in what was recorded. Of an
 * ancestor elsewhere that is no more than a name nothing here can be. */
static bool may_have_served(const struct fold *fo, const struct fact *boar)
{
    const struct rows *const named[] = { &fo->service, &fo->boar_run, &fo->heat };

    if (!row_is(boar, "kept", "elsewhere"))
        return true;
    for (size_t k = 0; k < COUNT(named); k++)
        for (size_t i = 0; i < named[k]->n; i++)
            if (row_is(&named[k]->fact[i], "boar", boar->uid))
                return true;
    return false;
}

enum status herd_sows(struct fold *fo, struct message *why)
{
    struct herd *h = fo->herd;
    const struct fact **order = ARENA_NEW(fo->mem, const struct fact *, fo->animal.n + 1);
    size_t n = 0;

    h->sows = ARENA_NEW(fo->mem, struct herd_sow, fo->animal.n + 1);
    h->boars = ARENA_NEW(fo->mem, struct herd_boar, fo->animal.n + 1);
    if (!order || !h->sows || !h->boars)
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    for (size_t i = 0; i < fo->animal.n; i++) {
        const struct fact *f = &fo->animal.fact[i];
        if (row_is(f, "is", "boar") && may_have_served(fo, f)) /* also those that have left: their services stand */
            h->boars[h->n_boars++] =
                (struct herd_boar){ row_text(f, "name"), f->uid, row_when(f, "born"),
                                    (int)fact_whole(f->kind, f->value, "sows_most", -1), is_here(fo, f) };
        if ((row_is(f, "is", "sow") || row_is(f, "is", "gilt")) && is_here(fo, f))
            order[n++] = f;
    }
    qsort(order, n, sizeof order[0], by_name); /* NOLINT(bugprone-sizeof-expression): pointers are what is sorted */
    for (size_t i = 0; i < n; i++) {
        if (!one(fo, order[i], &h->sows[h->n_sows]))
            return refuse(ST_NO_MEMORY, why, "", "too many facts to hold at once");
        h->n_sows++;
    }
    return flags(fo, why);
}

bool herd_boar_young(int64_t born_days, int64_t on_days)
{
    enum { YOUNG_D = 365 };
    return born_days != INT64_MIN && on_days - born_days < YOUNG_D;
}
