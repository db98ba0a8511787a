/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Contradictions about services, farrowings and litters. Boars: contra_boars.c.
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
    SCAN_D = 18,
    SUCKLING_D = 10
};

static double days_between(int64_t from_s, int64_t to_s)
{
    return (double)(to_s - from_s) / (double)DAY_S;
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
        const int64_t at_s = i < services.n ? contra_at(&services, i, "at") : t->extra_service_s;
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
        const int64_t start_s = contra_at(farrowings, i, "start");
        if (start_s < at_s && (*before == SIZE_MAX || start_s > contra_at(farrowings, *before, "start")))
            *before = i;
        if (start_s >= at_s && (*after == SIZE_MAX || start_s < contra_at(farrowings, *after, "start")))
            *after = i;
    }
}

/* ---- farrowing ---- */

static enum status litters_apart(struct farm_contra *c, const struct contra_list *others, int64_t start_s,
                                 struct message *why)
{
    for (size_t i = 0; i < others->n; i++) {
        const int64_t other_s = contra_at(others, i, "start");
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
        const int64_t at_s = contra_at(&looks, i, "at");
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

/* A service in her first days with the litter: one of the two dates is likely wrong. */
static void served_suckling(struct farm_contra *c, const char *sow, int64_t start_s, int64_t served_s, const char *uid)
{
    const double d = days_between(start_s, served_s);

    if (d > 0 && d < SUCKLING_D)
        farm_odd(c, "served-suckling", uid, "%s was served %.0f days after farrowing", contra_called(c, sow), d);
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
                               .since_s = before == SIZE_MAX ? INT64_MIN : contra_at(&others, before, "start") };
    struct contra_list services;
    odd_litter(c);
    st = contra_list(c, "service", "sow", sow, &services, why);
    for (size_t i = 0; st == ST_OK && i < services.n; i++)
        served_suckling(c, sow, start_s, contra_at(&services, i, "at"), services.fact[i].uid);
    return st == ST_OK ? explain(c, &turn, why) : st;
}

/* ---- service ---- */

static enum status other_boar(struct farm_contra *c, struct message *why)
{
    const char *sow = contra_text(c, "sow"), *boar = contra_text(c, "boar");
    const int64_t at_s = contra_when(c);
    struct contra_list services;
    const enum status st = contra_list(c, "service", "sow", sow, &services, why);

    for (size_t i = 0; st == ST_OK && i < services.n; i++) {
        const double d = days_between(contra_at(&services, i, "at"), at_s);
        const char *other = fact_text(services.kind, services.fact[i].value, "boar");
        const double apart = d < 0 ? -d : d;
        if (boar && other && strcmp(boar, other) != 0 && apart <= HEAT_D)
            farm_odd(c, "two-boars", services.fact[i].uid,
                     "%s was served by %s and by %s in one heat: the father is uncertain", contra_called(c, sow),
                     contra_called(c, other), contra_called(c, boar));
        if (apart > HEAT_D && apart < 15)
            farm_odd(c, "services-apart", services.fact[i].uid,
                     "%s was served %.0f days apart (%s, %s): neither one heat nor two", contra_called(c, sow), apart,
                     contra_day(c, contra_at(&services, i, "at")), contra_day(c, at_s));
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
    if (before != SIZE_MAX)
        served_suckling(c, sow, contra_at(&farrowings, before, "start"), at_s, farrowings.fact[before].uid);
    if (after == SIZE_MAX)
        return ST_OK;
    const struct turn turn = { .sow = sow,
                               .start_s = contra_at(&farrowings, after, "start"),
                               .farrowing_uid = farrowings.fact[after].uid,
                               .extra_service_s = at_s,
                               .since_s = before == SIZE_MAX ? INT64_MIN : contra_at(&farrowings, before, "start") };
    return explain(c, &turn, why);
}

/* ---- scan, look, sign ---- */

enum status contra_of_scan(struct farm_contra *c, struct message *why)
{
    const char *sow = contra_text(c, "sow");
    struct contra_list services;
    int64_t last_s = INT64_MIN;
    const enum status st = contra_list(c, "service", "sow", sow, &services, why);

    for (size_t i = 0; st == ST_OK && i < services.n; i++)
        if (contra_at(&services, i, "at") <= contra_when(c) && contra_at(&services, i, "at") > last_s)
            last_s = contra_at(&services, i, "at");
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
    if (*which != SIZE_MAX && at_s > contra_at(farrowings, *which, "start") + AFTER_FARROWING_D * DAY_S)
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
                      contra_called(c, contra_text(c, "sow")), contra_moment(c, contra_at(&farrowings, which, "start")),
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
                 contra_called(c, contra_text(c, "sow")), contra_moment(c, contra_at(&farrowings, which, "start")));
    return st;
}
