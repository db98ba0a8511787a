/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Contradictions about services, boars, farrowings and litters.
 * Gestation of about 115 days: Sasaki & Koketsu (2007), Theriogenology 68:123-127. The limits round it, 105-125 (odd
 * outside) and under 100 (impossible), and the other spans are common practice, set wide.
 */
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/contra_own.h"

enum {
    LEAST_D = 100,
    SHORT_D = 105,
    LONG_D = 125,
    HEAT_D = 4,
    LITTER_APART_D = 105,
    AFTER_FARROWING_D = 60,
    SCAN_D = 18
};

static double days_between(int64_t from_s, int64_t to_s)
{
    return (double)(to_s - from_s) / (double)DAY_S;
}

static int64_t at_of(const struct contra_list *l, size_t i, const char *field)
{
    return fact_whole(l->kind, l->fact[i].value, field, INT64_MIN);
}

/* ---- does a farrowing fit what is recorded of services? ---- */

struct turn {
    const char *sow;
    int64_t start_s, since_s;  /* the farrowing, and the one before it (INT64_MIN: none) */
    const char *farrowing_uid; /* "" = the new one */
    int64_t extra_service_s;   /* a new service among the others; INT64_MIN: none */
};

/* A boar ran with her, or with any group, at a time from which this birth can have come. */
static enum status boar_was_there(struct farm_contra *c, const struct turn *t, bool *yes, struct message *why)
{
    struct contra_list runs;
    struct fact *all = NULL;
    size_t n = 0;
    const struct fact_kind *kind = fact_kind_find("boar_run");

    *yes = false;
    enum status st = contra_list(c, "boar_run", "sow", t->sow, &runs, why);
    if (st == ST_OK)
        st = farm_facts(c->farm, kind, 0, c->mem, &all, &n, why);
    for (size_t i = 0; st == ST_OK && i < runs.n + n; i++) {
        const struct fact *run = i < runs.n ? &runs.fact[i] : &all[i - runs.n];
        if (i >= runs.n && !fact_given(kind, run->value, "group"))
            continue;
        const int64_t from_s = fact_whole(kind, run->value, "from", 0),
                      to_s = fact_whole(kind, run->value, "to", INT64_MAX);
        *yes = *yes || (from_s <= t->start_s - SHORT_D * DAY_S && to_s >= t->start_s - LONG_D * DAY_S);
    }
    return st;
}

static enum status bought_in_pig(struct farm_contra *c, const struct turn *t, bool *yes, struct message *why)
{
    struct fact sow;
    const enum status st = contra_animal(c, t->sow, &sow, why);

    *yes = false;
    if (st == ST_OK) {
        const int64_t arrived = fact_whole(sow.kind, sow.value, "arrived", INT64_MIN);
        *yes = arrived != INT64_MIN && arrived > words_local_day(c->farm->zone, t->start_s) - SHORT_D;
    }
    return st;
}

static enum status explain(struct farm_contra *c, const struct turn *t, struct message *why)
{
    struct contra_list services;
    double nearest = 0;
    int64_t nearest_s = INT64_MIN;
    bool boar = false, bought = false, fits = false, any_long = false;

    enum status st = contra_list(c, "service", "sow", t->sow, &services, why);
    for (size_t i = 0; st == ST_OK && i < services.n + 1; i++) {
        const int64_t at_s = i < services.n ? at_of(&services, i, "at") : t->extra_service_s;
        if (at_s == INT64_MIN || at_s > t->start_s || at_s <= t->since_s)
            continue;
        /* by the calendar: summer time must not make a day of 23 hours out of one */
        const double g = (double)(words_local_day(c->farm->zone, t->start_s) - words_local_day(c->farm->zone, at_s));
        fits = fits || (g >= SHORT_D && g <= LONG_D);
        any_long = any_long || g > LONG_D;
        if (nearest_s == INT64_MIN || (g > 115 ? g - 115 : 115 - g) < (nearest > 115 ? nearest - 115 : 115 - nearest)) {
            nearest = g;
            nearest_s = at_s;
        }
    }
    if (st != ST_OK || fits || nearest_s == INT64_MIN)
        return st;
    st = boar_was_there(c, t, &boar, why);
    if (st == ST_OK)
        st = bought_in_pig(c, t, &bought, why);
    if (st != ST_OK || boar)
        return st;
    if (nearest < LEAST_D && !any_long && !bought)
        return refuse(ST_CONFLICT, why, t->extra_service_s == INT64_MIN ? "start" : "at",
                      "%s farrowed on %s, only %.0f days after her service on %s; a sow carries about 115: correct the "
                      "date, or record "
                      "first the service that took",
                      contra_called(c, t->sow), contra_day(c, t->start_s), nearest, contra_day(c, nearest_s));
    farm_odd(c, "gestation-odd", t->farrowing_uid[0] ? t->farrowing_uid : NULL,
             "%s farrowed on %s, %.0f days after the service that fits best (%s); 105 to 125 is usual",
             contra_called(c, t->sow), contra_day(c, t->start_s), nearest, contra_day(c, nearest_s));
    return ST_OK;
}

/* Latest farrowing of a sow before a moment, and the first at or after it. SIZE_MAX: none. */
static void around(const struct contra_list *farrowings, int64_t at_s, size_t *before, size_t *after)
{
    *before = *after = SIZE_MAX;
    for (size_t i = 0; i < farrowings->n; i++) {
        const int64_t start_s = at_of(farrowings, i, "start");
        if (start_s < at_s && (*before == SIZE_MAX || start_s > at_of(farrowings, *before, "start")))
            *before = i;
        if (start_s >= at_s && (*after == SIZE_MAX || start_s < at_of(farrowings, *after, "start")))
            *after = i;
    }
}

/* ---- farrowing ---- */

static enum status litters_apart(struct farm_contra *c, const struct contra_list *others, int64_t start_s,
                                 struct message *why)
{
    for (size_t i = 0; i < others->n; i++) {
        const int64_t other_s = at_of(others, i, "start");
        const double d = days_between(other_s < start_s ? other_s : start_s, other_s < start_s ? start_s : other_s);
        if (d < 3)
            return refuse(ST_CONFLICT, why, "start", "%s is recorded already as farrowing on %s; correct that instead",
                          contra_called(c, contra_text(c, "sow")), contra_day(c, other_s));
        if (d < LITTER_APART_D)
            return refuse(ST_CONFLICT, why, "start",
                          "%s farrowed on %s too, %.0f days apart; no sow does that: look at both dates",
                          contra_called(c, contra_text(c, "sow")), contra_day(c, other_s), d);
    }
    return ST_OK;
}

static enum status not_seen_since(struct farm_contra *c, int64_t start_s, struct message *why)
{
    struct contra_list looks;
    const enum status st = contra_list(c, "look", "sow", contra_text(c, "sow"), &looks, why);

    for (size_t i = 0; st == ST_OK && i < looks.n; i++) {
        const int64_t at_s = at_of(&looks, i, "at");
        if (at_s > start_s && at_s < start_s + AFTER_FARROWING_D * DAY_S)
            return refuse(ST_CONFLICT, why, "start",
                          "start: %s was looked at on %s and had not farrowed; give a later start, or void "
                          "that look",
                          contra_called(c, contra_text(c, "sow")), contra_moment(c, at_s));
    }
    return st;
}

static void odd_litter(struct farm_contra *c)
{
    const int64_t alive = contra_whole(c, "born_alive"), still = contra_whole(c, "still");
    const int64_t start_s = contra_when(c), end_s = contra_whole(c, "end");

    if ((alive > 0 ? alive : 0) + (still > 0 ? still : 0) > 20)
        farm_odd(c, "litter-odd", NULL, "%lld born alive and %lld dead is an uncommonly large litter",
                 (long long)(alive > 0 ? alive : 0), (long long)(still > 0 ? still : 0));
    if (end_s != INT64_MIN && end_s - start_s > 24 * HOUR_S)
        farm_odd(c, "farrowing-long", NULL, "the farrowing took %.0f hours",
                 (double)(end_s - start_s) / (double)HOUR_S);
}

/* Weanings of this sow must not lie in the 100 days before, unless a litter lies before them. */
static enum status age_of_sow(struct farm_contra *c, int64_t at_s, int least_d, int young_d, const char *field,
                              const char *what, const char *animal_field, struct message *why)
{
    struct fact sow;
    const enum status st = contra_animal(c, contra_text(c, animal_field), &sow, why);

    if (st != ST_OK)
        return st;
    const int64_t born = fact_whole(sow.kind, sow.value, "born", INT64_MIN);
    if (born == INT64_MIN)
        return ST_OK;
    const int64_t age = words_local_day(c->farm->zone, at_s) - born;
    if (age < least_d)
        return refuse(ST_CONFLICT, why, field, "%s: %s was born on %s, too young to have %s on %s", field,
                      contra_called(c, sow.uid), contra_date(c, born), what, contra_day(c, at_s));
    if (age < young_d)
        farm_odd(c, "young", NULL, "%s was only %lld days old", contra_called(c, sow.uid), (long long)age);
    return ST_OK;
}

enum status contra_of_farrowing(struct farm_contra *c, struct message *why)
{
    const char *sow = contra_text(c, "sow");
    const int64_t start_s = contra_when(c);
    struct contra_list others;
    size_t before, after;

    if (contra_whole(c, "not_before") != INT64_MIN && contra_whole(c, "not_before") > start_s)
        return refuse(ST_BAD_INPUT, why, "not_before", "not-before: it lies after the start of farrowing");
    enum status st = contra_list(c, "farrowing", "sow", sow, &others, why);
    if (st == ST_OK)
        st = litters_apart(c, &others, start_s, why);
    if (st == ST_OK)
        st = not_seen_since(c, start_s, why);
    if (st == ST_OK)
        st = age_of_sow(c, start_s, 220, 270, "start", "farrowed", "sow", why);
    if (st != ST_OK)
        return st;
    around(&others, start_s, &before, &after);
    const struct turn turn = { .sow = sow,
                               .start_s = start_s,
                               .farrowing_uid = "",
                               .extra_service_s = INT64_MIN,
                               .since_s = before == SIZE_MAX ? INT64_MIN : at_of(&others, before, "start") };
    odd_litter(c);
    return explain(c, &turn, why);
}

/* ---- service ---- */

static enum status other_boar(struct farm_contra *c, struct message *why)
{
    const char *sow = contra_text(c, "sow"), *boar = contra_text(c, "boar");
    const int64_t at_s = contra_when(c);
    struct contra_list services;
    const enum status st = contra_list(c, "service", "sow", sow, &services, why);

    for (size_t i = 0; st == ST_OK && i < services.n; i++) {
        const double d = days_between(at_of(&services, i, "at"), at_s);
        const char *other = fact_text(services.kind, services.fact[i].value, "boar");
        const double apart = d < 0 ? -d : d;
        if (boar && other && strcmp(boar, other) != 0 && apart <= HEAT_D)
            farm_odd(c, "two-boars", services.fact[i].uid,
                     "%s was served by %s and by %s in one heat: the father is uncertain", contra_called(c, sow),
                     contra_called(c, other), contra_called(c, boar));
        if (apart > HEAT_D && apart < 15)
            farm_odd(c, "services-apart", services.fact[i].uid,
                     "%s was served %.0f days apart (%s, %s): neither one heat nor two", contra_called(c, sow), apart,
                     contra_day(c, at_of(&services, i, "at")), contra_day(c, at_s));
    }
    return st;
}

enum status contra_of_service(struct farm_contra *c, struct message *why)
{
    const char *sow = contra_text(c, "sow");
    const int64_t at_s = contra_when(c);
    struct contra_list farrowings;
    size_t before, after;

    enum status st = other_boar(c, why);
    if (st == ST_OK)
        st = age_of_sow(c, at_s, 120, 180, "at", "been served", "sow", why);
    if (st == ST_OK && contra_text(c, "boar"))
        st = age_of_sow(c, at_s, 120, 180, "at", "served", "boar", why);
    if (st == ST_OK)
        st = contra_list(c, "farrowing", "sow", sow, &farrowings, why);
    if (st != ST_OK)
        return st;
    around(&farrowings, at_s, &before, &after);
    if (before != SIZE_MAX && days_between(at_of(&farrowings, before, "start"), at_s) < 10)
        farm_odd(c, "served-suckling", farrowings.fact[before].uid, "%s was served %.0f days after farrowing",
                 contra_called(c, sow), days_between(at_of(&farrowings, before, "start"), at_s));
    if (after == SIZE_MAX)
        return ST_OK;
    const struct turn turn = { .sow = sow,
                               .start_s = at_of(&farrowings, after, "start"),
                               .farrowing_uid = farrowings.fact[after].uid,
                               .extra_service_s = at_s,
                               .since_s = before == SIZE_MAX ? INT64_MIN : at_of(&farrowings, before, "start") };
    return explain(c, &turn, why);
}

/* ---- a boar with sows ---- */

/* Field an animal was in at a moment, by moves of its own and of its group; "" = not recorded. */
static enum status paddock_at(struct farm_contra *c, const char *animal, int64_t at_s, const char **paddock,
                              struct message *why)
{
    struct contra_list own, of_group = { .n = 0 };
    const char *group = NULL;
    int64_t own_s = INT64_MIN, group_s = INT64_MIN, moved_s = INT64_MIN;

    *paddock = "";
    enum status st = contra_list(c, "move", "animal", animal, &own, why);
    for (size_t i = 0; st == ST_OK && i < own.n; i++) {
        const int64_t s = at_of(&own, i, "at");
        const char *to = fact_text(own.kind, own.fact[i].value, "to_paddock");
        const char *to_group = fact_text(own.kind, own.fact[i].value, "to_group");
        if (s <= at_s && to && s >= own_s) {
            own_s = s;
            *paddock = to;
        }
        if (s <= at_s && to_group && s >= group_s) {
            group_s = s;
            group = to_group;
        }
    }
    if (st == ST_OK && group)
        st = contra_list(c, "move", "group", group, &of_group, why);
    for (size_t i = 0; st == ST_OK && i < of_group.n; i++) {
        const int64_t s = at_of(&of_group, i, "at");
        const char *to = fact_text(of_group.kind, of_group.fact[i].value, "to_paddock");
        if (s <= at_s && to && s >= moved_s && s >= own_s) {
            moved_s = s;
            *paddock = to;
        }
    }
    return st;
}

static bool overlap(int64_t a_from, int64_t a_to, int64_t b_from, int64_t b_to)
{
    return a_from < b_to && b_from < a_to;
}

static int64_t end_of(const struct fact_kind *kind, const struct fact_value values[])
{
    return fact_whole(kind, values, "to", INT64_MAX);
}

/* The same boar elsewhere at that time. */
static enum status boar_elsewhere(struct farm_contra *c, struct message *why)
{
    const char *boar = contra_text(c, "boar"), *sow = contra_text(c, "sow"), *group = contra_text(c, "group");
    struct contra_list runs;
    const enum status st = contra_list(c, "boar_run", "boar", boar, &runs, why);

    for (size_t i = 0; st == ST_OK && i < runs.n; i++) {
        const struct fact_value *v = runs.fact[i].value;
        const char *other_sow = fact_text(runs.kind, v, "sow"), *other_group = fact_text(runs.kind, v, "group");
        if (!overlap(contra_when(c), end_of(c->kind, c->values), at_of(&runs, i, "from"), end_of(runs.kind, v)))
            continue;
        if ((sow && other_sow && strcmp(sow, other_sow) == 0) ||
            (group && other_group && strcmp(group, other_group) == 0))
            return refuse(ST_CONFLICT, why, "boar",
                          "boar: %s with %s is recorded already, from %s; correct that instead", contra_called(c, boar),
                          contra_called(c, sow ? sow : group), contra_day(c, at_of(&runs, i, "from")));
        if (group && other_group)
            return refuse(ST_CONFLICT, why, "boar", "boar: %s cannot be in two groups at once; he is with %s from %s%s",
                          contra_called(c, boar), contra_called(c, other_group), contra_day(c, at_of(&runs, i, "from")),
                          end_of(runs.kind, v) == INT64_MAX ? " and not recorded as taken out" : "");
    }
    return st;
}

/* Another boar with the same sow or group. */
static enum status boar_beside(struct farm_contra *c, const char *field, struct message *why)
{
    const char *with = contra_text(c, field), *boar = contra_text(c, "boar"), *here = "", *there = "";
    struct contra_list runs;

    if (!with)
        return ST_OK;
    enum status st = contra_list(c, "boar_run", field, with, &runs, why);
    for (size_t i = 0; st == ST_OK && i < runs.n; i++) {
        const struct fact_value *v = runs.fact[i].value;
        const char *other = fact_text(runs.kind, v, "boar");
        const int64_t from_s = at_of(&runs, i, "from");
        if (strcmp(other, boar) == 0 ||
            !overlap(contra_when(c), end_of(c->kind, c->values), from_s, end_of(runs.kind, v)))
            continue;
        const int64_t both_s = from_s > contra_when(c) ? from_s : contra_when(c);
        st = paddock_at(c, boar, both_s, &here, why);
        if (st == ST_OK)
            st = paddock_at(c, other, both_s, &there, why);
        if (st == ST_OK && here[0] && there[0] && strcmp(here, there) != 0)
            return refuse(ST_CONFLICT, why, "boar", "boar: %s would be with %s in %s and with %s in %s at one time",
                          contra_called(c, with), contra_called(c, boar), contra_called(c, here),
                          contra_called(c, other), contra_called(c, there));
        if (st == ST_OK)
            farm_odd(c, "two-boars", runs.fact[i].uid,
                     "%s and %s both run with %s from %s: the father will be uncertain", contra_called(c, boar),
                     contra_called(c, other), contra_called(c, with), contra_day(c, both_s));
    }
    return st;
}

enum status contra_of_boar_run(struct farm_contra *c, struct message *why)
{
    enum status st = boar_elsewhere(c, why);

    if (st == ST_OK)
        st = boar_beside(c, "sow", why);
    return st == ST_OK ? boar_beside(c, "group", why) : st;
}

/* ---- scan, look, sign ---- */

enum status contra_of_scan(struct farm_contra *c, struct message *why)
{
    const char *sow = contra_text(c, "sow");
    struct contra_list services;
    int64_t last_s = INT64_MIN;
    const enum status st = contra_list(c, "service", "sow", sow, &services, why);

    for (size_t i = 0; st == ST_OK && i < services.n; i++)
        if (at_of(&services, i, "at") <= contra_when(c) && at_of(&services, i, "at") > last_s)
            last_s = at_of(&services, i, "at");
    if (last_s != INT64_MIN && days_between(last_s, contra_when(c)) < SCAN_D)
        farm_odd(c, "scan-early", NULL, "%s was scanned %.0f days after service; before day %d a scan says little",
                 contra_called(c, sow), days_between(last_s, contra_when(c)), SCAN_D);
    return st;
}

static enum status farrowed_before(struct farm_contra *c, int64_t at_s, struct contra_list *farrowings, size_t *which,
                                   struct message *why)
{
    size_t after;
    const enum status st = contra_list(c, "farrowing", "sow", contra_text(c, "sow"), farrowings, why);

    *which = SIZE_MAX;
    if (st == ST_OK)
        around(farrowings, at_s, which, &after);
    if (*which != SIZE_MAX && at_s > at_of(farrowings, *which, "start") + AFTER_FARROWING_D * DAY_S)
        *which = SIZE_MAX;
    return st;
}

enum status contra_of_look(struct farm_contra *c, struct message *why)
{
    struct contra_list farrowings;
    size_t which;
    const enum status st = farrowed_before(c, contra_when(c), &farrowings, &which, why);

    if (st == ST_OK && which != SIZE_MAX)
        return refuse(ST_CONFLICT, why, "at", "at: %s is recorded as farrowing on %s; on %s she could not be without",
                      contra_called(c, contra_text(c, "sow")), contra_moment(c, at_of(&farrowings, which, "start")),
                      contra_moment(c, contra_when(c)));
    return st;
}

enum status contra_of_sign(struct farm_contra *c, struct message *why)
{
    struct contra_list farrowings;
    size_t which;
    const enum status st = farrowed_before(c, contra_when(c), &farrowings, &which, why);

    if (st == ST_OK && which != SIZE_MAX)
        farm_odd(c, "sign-after-farrowing", farrowings.fact[which].uid,
                 "a sign of farrowing on %s, after %s had farrowed on %s", contra_moment(c, contra_when(c)),
                 contra_called(c, contra_text(c, "sow")), contra_moment(c, at_of(&farrowings, which, "start")));
    return st;
}
