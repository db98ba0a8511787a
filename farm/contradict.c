/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A new fact held against those recorded: what is impossible is refused, what is merely odd is kept and flagged.
 */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/contra_own.h"

enum { SLACK_S = 15 * 60 }; /* two clocks, a phone's and a watch, differ by this much without harm */

void farm_odd(struct farm_contra *c, const char *key, const char *other_uid, const char *fmt, ...)
{
    char long_says[512];
    struct message says;
    va_list args;

    if (c->n_odd >= COUNT(c->odd))
        return;
    va_start(args, fmt);
    (void)vsnprintf(long_says, sizeof long_says, fmt, args);
    va_end(args);
    (void)refuse(ST_OK, &says, "", "%s", long_says); /* cut at a whole character, on one line */
    c->odd[c->n_odd].key = key;
    c->odd[c->n_odd].other_uid = other_uid ? other_uid : "";
    c->odd[c->n_odd].says = arena_text(c->mem, says.text);
    c->n_odd += c->odd[c->n_odd].says != NULL;
}

/* ---- short forms ---- */

enum status contra_list(struct farm_contra *c, const char *kind, const char *field, const char *uid,
                        struct contra_list *list, struct message *why)
{
    int64_t root = 0;
    enum status st = farm_root(c->farm, uid, &root, NULL, why);

    *list = (struct contra_list){ .kind = fact_kind_find(kind) };
    if (st == ST_OK)
        st = farm_facts_of(c->farm, list->kind, field, root, c->mem, &list->fact, &list->n, why);
    if (st != ST_OK || !c->replaces)
        return st;
    size_t kept = 0;
    for (size_t i = 0; i < list->n; i++)
        if (strcmp(list->fact[i].uid, c->replaces) != 0)
            list->fact[kept++] = list->fact[i];
    list->n = kept;
    return ST_OK;
}

enum status contra_animal(struct farm_contra *c, const char *uid, struct fact *animal, struct message *why)
{
    return farm_fact(c->farm, uid, 0, c->mem, animal, why);
}

const char *contra_called(struct farm_contra *c, const char *uid)
{
    const char *called = farm_called(c->farm, uid, c->mem);
    return called ? called : "?";
}

const char *contra_date(struct farm_contra *c, int64_t day)
{
    char out[32];
    const char *text = arena_text(c->mem, civil_date_text(day, out));
    return text ? text : "?";
}

const char *contra_day(struct farm_contra *c, int64_t utc_s)
{
    return contra_date(c, words_local_day(c->farm->zone, utc_s));
}

const char *contra_moment(struct farm_contra *c, int64_t utc_s)
{
    const struct fact_speech speech = { .zone = c->farm->zone };
    const struct fact_field field = { .type = FACT_MOMENT };
    const struct fact_value value = { .given = true, .whole = utc_s };
    const char *text = fact_value_show(&field, &value, &speech, c->mem);
    return text ? text : "?";
}

const char *contra_text(const struct farm_contra *c, const char *field)
{
    return fact_text(c->kind, c->values, field);
}

int64_t contra_whole(const struct farm_contra *c, const char *field)
{
    return fact_whole(c->kind, c->values, field, INT64_MIN);
}

double contra_real(const struct farm_contra *c, const char *field)
{
    return fact_real(c->kind, c->values, field);
}

int64_t contra_when(const struct farm_contra *c)
{
    return contra_whole(c, c->kind->when);
}

/* ---- what holds for every kind ---- */

static enum status not_in_the_future(struct farm_contra *c, struct message *why)
{
    static const char *const days[] = { "born", "arrived", "on" };
    const int64_t today = words_local_day(c->farm->zone, c->recorded_utc_s);
    char flag[40];

    for (size_t i = 0; i < c->kind->n_fields; i++) {
        const struct fact_field *f = &c->kind->fields[i];
        const struct fact_value *v = &c->values[i];
        bool future = false;
        if (!v->given)
            continue;
        if (f->type == FACT_MOMENT && words_local_day(c->farm->zone, v->whole) == today && v->day_only)
            continue; /* today without an hour stands for noon, and noon may be still to come */
        if (f->type == FACT_MOMENT)
            future = v->whole > c->recorded_utc_s + SLACK_S;
        for (size_t d = 0; f->type == FACT_DAY && d < COUNT(days); d++)
            future =
                future || (strcmp(f->name, days[d]) == 0 && strcmp(c->kind->name, "tick") != 0 && v->whole > today);
        if (future)
            return refuse(
                ST_CONFLICT, why, f->name, "%s: %s is still to come (it is recorded on %s); give the day it happened",
                fact_flag_name(f, flag), f->type == FACT_DAY ? contra_date(c, v->whole) : contra_moment(c, v->whole),
                contra_date(c, today));
    }
    return ST_OK;
}

static enum status fits_role(struct farm_contra *c, const struct fact_field *f, const struct fact *animal,
                             struct message *why)
{
    const char *is = fact_text(animal->kind, animal->value, "is");
    const bool female = strcmp(is, "sow") == 0 || strcmp(is, "gilt") == 0;
    const bool wants_female = strcmp(f->name, "sow") == 0 || strcmp(f->name, "dam") == 0;
    const bool wants_boar = strcmp(f->name, "boar") == 0 || strcmp(f->name, "sire") == 0;

    if ((wants_female && !female) || (wants_boar && strcmp(is, "boar") != 0))
        return refuse(ST_CONFLICT, why, f->name, "%s: %s is recorded as a %s; a %s is wanted here", f->name,
                      contra_called(c, animal->uid), is, wants_female ? "sow or gilt" : "boar");
    return ST_OK;
}

/* Nobody acts before birth or after death. */
static enum status alive_then(struct farm_contra *c, const struct fact_field *f, const struct fact *animal, int64_t day,
                              struct message *why)
{
    struct contra_list left;
    const int64_t born = fact_whole(animal->kind, animal->value, "born", INT64_MIN);

    if (born > day)
        return refuse(ST_CONFLICT, why, f->name, "%s: %s was born on %s, after %s", f->name,
                      contra_called(c, animal->uid), contra_date(c, born), contra_date(c, day));
    const enum status st = contra_list(c, "leaving", "animal", animal->uid, &left, why);
    for (size_t i = 0; st == ST_OK && i < left.n; i++) {
        const char *how = fact_text(left.kind, left.fact[i].value, "how");
        const int64_t on = fact_whole(left.kind, left.fact[i].value, "on", INT64_MAX);
        if (on >= day || strcmp(how, "lent") == 0)
            continue;
        if (strcmp(how, "died") == 0 || strcmp(how, "slaughtered") == 0)
            return refuse(ST_CONFLICT, why, f->name, "%s: %s %s on %s, before %s", f->name,
                          contra_called(c, animal->uid), strcmp(how, "died") == 0 ? "died" : "was slaughtered",
                          contra_date(c, on), contra_date(c, day));
        farm_odd(c, "after-leaving", left.fact[i].uid, "%s left the farm (%s) on %s, before %s",
                 contra_called(c, animal->uid), how, contra_date(c, on), contra_date(c, day));
    }
    return st;
}

static enum status actors(struct farm_contra *c, struct message *why)
{
    const int64_t day = farm_day_of(c->farm, c->kind, c->values);
    enum status st = ST_OK;

    for (size_t i = 0; i < c->kind->n_fields && st == ST_OK; i++) {
        const struct fact_field *f = &c->kind->fields[i];
        struct fact animal;
        if (f->type != FACT_REF || !c->values[i].given || strcmp(f->refers_to, "animal") != 0)
            continue;
        st = contra_animal(c, c->values[i].text, &animal, why);
        if (st == ST_OK)
            st = fits_role(c, f, &animal, why);
        const bool acts =
            day != INT64_MIN && strcmp(c->kind->name, "note") != 0 && strcmp(c->kind->name, "leaving") != 0;
        if (st == ST_OK && acts && !farm_outlives(c->kind->name, f->name))
            st = alive_then(c, f, &animal, day, why);
    }
    return st;
}

/* Two that live and are called the same: allowed, since names come back, but worth a look. */
static enum status same_name(struct farm_contra *c, struct message *why)
{
    static const char *const unnamed[] = { "placement", "setting", "farm" };
    struct fact *facts = NULL;
    size_t n = 0;

    for (size_t i = 0; i < COUNT(unnamed); i++)
        if (!c->kind->called || strcmp(c->kind->name, unnamed[i]) == 0)
            return ST_OK;
    const char *name = contra_text(c, c->kind->called);
    enum status st = farm_facts_called(c->farm, c->kind, name, c->mem, &facts, &n, why);
    for (size_t i = 0; st == ST_OK && i < n; i++) {
        struct contra_list left = { .n = 0 };
        if (c->replaces && strcmp(facts[i].uid, c->replaces) == 0)
            continue;
        if (strcmp(c->kind->name, "animal") == 0)
            st = contra_list(c, "leaving", "animal", facts[i].uid, &left, why);
        if (st == ST_OK && left.n == 0)
            farm_odd(c, "same-name", facts[i].uid, "another %s is called %s already", c->kind->name, name);
    }
    return st;
}

/* ---- small kinds ---- */

static enum status of_farm(struct farm_contra *c, struct message *why)
{
    struct arena mem;
    const struct zone *zone = NULL;

    arena_open(&mem, 1024 * 1024);
    const enum status st = zone_open(contra_text(c, "zone"), &mem, &zone, why);
    arena_close(&mem);
    return st;
}

static enum status of_treatment(struct farm_contra *c, struct message *why)
{
    static const char *const later[] = { "withdrawal_ends", "booster_due" };
    const int64_t day = words_local_day(c->farm->zone, contra_when(c));

    (void)why;
    for (size_t i = 0; i < COUNT(later); i++)
        if (contra_whole(c, later[i]) != INT64_MIN && contra_whole(c, later[i]) < day)
            farm_odd(c, "date-before-treatment", NULL, "%s lies before the treatment of %s", later[i],
                     contra_date(c, day));
    return ST_OK;
}

static enum status of_reading(struct farm_contra *c, struct message *why)
{
    const double low = contra_real(c, "low_c"), high = contra_real(c, "high_c"), now = contra_real(c, "temp_c");

    if (low > high)
        return refuse(ST_BAD_INPUT, why, "low_c",
                      "low: the lowest temperature is above the highest; put them the right way round");
    if (now < low - 0.5 || now > high + 0.5)
        farm_odd(c, "reading-odd", NULL,
                 "the temperature read lies outside the lowest and highest since the last reading");
    if (contra_real(c, "gust_mps") < contra_real(c, "wind_mps"))
        farm_odd(c, "reading-odd", NULL, "the gust is weaker than the wind");
    if (contra_whole(c, "since") > contra_when(c))
        return refuse(ST_BAD_INPUT, why, "since", "since: it lies after the reading itself");
    return ST_OK;
}

static const struct {
    const char *kind;
    enum status (*check)(struct farm_contra *c, struct message *why);
} checks[] = {
    { "farm", of_farm },
    { "animal", contra_of_animal },
    { "leaving", contra_of_leaving },
    { "weighing", contra_of_weighing },
    { "service", contra_of_service },
    { "boar_run", contra_of_boar_run },
    { "scan", contra_of_scan },
    { "look", contra_of_look },
    { "sign", contra_of_sign },
    { "farrowing", contra_of_farrowing },
    { "weaning", contra_of_weaning },
    { "loss", contra_of_loss },
    { "shelter", contra_of_shelter },
    { "placement", contra_of_placement },
    { "bedding", contra_of_bedding },
    { "treatment", of_treatment },
    { "reading", of_reading },
};

enum status farm_contradict(struct farm_contra *c, struct message *why)
{
    struct fact_speech speech;
    enum status st = farm_speech(c->farm, &speech, why); /* the farm's zone, for every day told of */

    if (st == ST_OK && !c->again)
        st = not_in_the_future(c, why);
    if (st == ST_OK)
        st = actors(c, why);
    if (st == ST_OK)
        st = same_name(c, why);
    for (size_t i = 0; i < COUNT(checks) && st == ST_OK; i++)
        if (strcmp(checks[i].kind, c->kind->name) == 0)
            st = checks[i].check(c, why);
    if (st == ST_OK && arena_full(c->mem))
        st = refuse(ST_NO_MEMORY, why, "", "too many facts to hold this one against");
    return st;
}
