/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Contradictions about who is who, who is gone, and what they weigh.
 * Ages and weights: common practice, no source, set wide so that only slips are caught.
 */
#include <math.h>
#include <string.h>

#include "farm/contra_own.h"

enum { PARENT_DAYS = 150, YOUNG_PARENT_DAYS = 270, ANCESTORS = 64 };

static enum status parent_older(struct farm_contra *c, const char *field, struct message *why)
{
    const char *uid = contra_text(c, field);
    const int64_t born = contra_whole(c, "born");
    struct fact parent;

    if (!uid)
        return ST_OK;
    if (c->replaces) { /* a correction may point at itself through the chain of corrections */
        int64_t mine = 0, theirs = 0;
        enum status st = farm_root(c->farm, c->replaces, &mine, NULL, why);
        if (st == ST_OK)
            st = farm_root(c->farm, uid, &theirs, NULL, why);
        if (st != ST_OK)
            return st;
        if (mine == theirs)
            return refuse(ST_CONFLICT, why, field, "%s: an animal cannot be its own parent", field);
    }
    const enum status st = contra_animal(c, uid, &parent, why);
    if (st != ST_OK)
        return st;
    const int64_t parent_born = fact_whole(parent.kind, parent.value, "born", INT64_MIN);
    if (born == INT64_MIN || parent_born == INT64_MIN)
        return ST_OK;
    if (born - parent_born < PARENT_DAYS)
        return refuse(ST_CONFLICT, why, field, "%s: %s was born on %s, too late to have young on %s", field,
                      contra_called(c, uid), contra_date(c, parent_born), contra_date(c, born));
    if (born - parent_born < YOUNG_PARENT_DAYS)
        farm_odd(c, "young-parent", uid, "%s was only %lld days old at this birth", contra_called(c, uid),
                 (long long)(born - parent_born));
    return ST_OK;
}

/* Nobody is his own grandfather. Only a correction can close such a ring: a new animal is nobody's parent yet. */
static enum status no_ring(struct farm_contra *c, struct message *why)
{
    const char *open[ANCESTORS];
    size_t n = 0;
    int64_t mine = 0;

    if (!c->replaces)
        return ST_OK;
    enum status st = farm_root(c->farm, c->replaces, &mine, NULL, why);
    if (contra_text(c, "sire"))
        open[n++] = contra_text(c, "sire");
    if (contra_text(c, "dam"))
        open[n++] = contra_text(c, "dam");
    for (size_t looked = 0; st == ST_OK && n > 0 && looked < 4096; looked++) {
        struct fact a;
        int64_t root = 0;
        const char *uid = open[--n];
        st = farm_root(c->farm, uid, &root, NULL, why);
        if (st == ST_OK && root == mine)
            return refuse(ST_CONFLICT, why, "sire", "the animal would be its own ancestor; correct the parents of %s",
                          contra_called(c, c->replaces));
        if (st == ST_OK)
            st = contra_animal(c, uid, &a, why);
        for (int side = 0; st == ST_OK && side < 2; side++) {
            const char *next = fact_text(a.kind, a.value, side ? "dam" : "sire");
            if (next && n < ANCESTORS)
                open[n++] = next;
        }
    }
    return st;
}

static enum status same_tag(struct farm_contra *c, struct message *why)
{
    const char *tag = contra_text(c, "tag");
    struct fact *facts = NULL;
    size_t n = 0;

    if (!tag)
        return ST_OK;
    const enum status st = farm_facts_called(c->farm, c->kind, tag, c->mem, &facts, &n, why);
    for (size_t i = 0; st == ST_OK && i < n; i++) {
        const char *other = fact_text(facts[i].kind, facts[i].value, "tag");
        if ((!c->replaces || strcmp(facts[i].uid, c->replaces) != 0) && other && strcmp(other, tag) == 0)
            farm_odd(c, "same-tag", facts[i].uid, "%s carries the tag %s already", contra_called(c, facts[i].uid), tag);
    }
    return st;
}

static void odd_mass(struct farm_contra *c, const char *is, double mass_kg)
{
    const bool grown = strcmp(is, "sow") == 0 || strcmp(is, "boar") == 0;

    if ((grown && mass_kg < 50) || mass_kg > 400)
        farm_odd(c, "mass-odd", NULL, "%.4g kg is an odd weight for a %s", mass_kg, is);
}

enum status contra_of_animal(struct farm_contra *c, struct message *why)
{
    if (contra_whole(c, "arrived") != INT64_MIN && contra_whole(c, "arrived") < contra_whole(c, "born"))
        return refuse(ST_CONFLICT, why, "arrived", "arrived: it lies before the day of birth");
    enum status st = parent_older(c, "sire", why);
    if (st == ST_OK)
        st = parent_older(c, "dam", why);
    if (st == ST_OK)
        st = no_ring(c, why);
    if (st == ST_OK)
        st = same_tag(c, why);
    odd_mass(c, contra_text(c, "is"), contra_real(c, "mass_kg"));
    if (strcmp(contra_text(c, "is"), "gilt") == 0 && contra_whole(c, "litters_before") > 0)
        farm_odd(c, "gilt-with-litters", NULL, "a gilt that has had litters is a sow");
    return st;
}

/* What a dead animal did after its death. */
static enum status nothing_after(struct farm_contra *c, const char *animal, int64_t on, const char *how,
                                 struct message *why)
{
    const bool dead = strcmp(how, "died") == 0 || strcmp(how, "slaughtered") == 0;
    enum status st = ST_OK;

    for (size_t k = 0; fact_kinds[k] && st == ST_OK; k++) {
        const struct fact_kind *kind = fact_kinds[k];
        if (!kind->when || strcmp(kind->name, "note") == 0 || strcmp(kind->name, "leaving") == 0)
            continue;
        for (size_t i = 0; i < kind->n_fields && st == ST_OK; i++) {
            struct contra_list list;
            if (kind->fields[i].type != FACT_REF || strcmp(kind->fields[i].refers_to, "animal") != 0 ||
                farm_outlives(kind->name, kind->fields[i].name))
                continue;
            st = contra_list(c, kind->name, kind->fields[i].name, animal, &list, why);
            for (size_t f = 0; st == ST_OK && f < list.n; f++) {
                const int64_t day = farm_day_of(c->farm, kind, list.fact[f].value);
                if (day <= on)
                    continue;
                if (dead)
                    return refuse(ST_CONFLICT, why, "on", "on: %s is recorded with a %s on %s, after that",
                                  contra_called(c, animal), kind->name, contra_date(c, day));
                farm_odd(c, "after-leaving", list.fact[f].uid, "%s is recorded with a %s on %s, after leaving",
                         contra_called(c, animal), kind->name, contra_date(c, day));
            }
        }
    }
    return st;
}

enum status contra_of_leaving(struct farm_contra *c, struct message *why)
{
    const char *animal = contra_text(c, "animal"), *how = contra_text(c, "how");
    const int64_t on = contra_whole(c, "on");
    struct fact is;
    struct contra_list left;

    enum status st = contra_animal(c, animal, &is, why);
    if (st != ST_OK)
        return st;
    const int64_t born = fact_whole(is.kind, is.value, "born", INT64_MIN);
    const int64_t arrived = fact_whole(is.kind, is.value, "arrived", INT64_MIN);
    if (born > on || arrived > on)
        return refuse(ST_CONFLICT, why, "on", "on: %s %s on %s, after that", contra_called(c, animal),
                      born > on ? "was born" : "came", contra_date(c, born > on ? born : arrived));
    st = contra_list(c, "leaving", "animal", animal, &left, why);
    for (size_t i = 0; st == ST_OK && i < left.n; i++)
        if (strcmp(fact_text(left.kind, left.fact[i].value, "how"), "lent") != 0)
            return refuse(ST_CONFLICT, why, "animal", "animal: %s left already, on %s; correct that instead",
                          contra_called(c, animal), contra_date(c, fact_whole(left.kind, left.fact[i].value, "on", 0)));
    if (st == ST_OK && strcmp(how, "lent") != 0)
        st = nothing_after(c, animal, on, how, why);
    return st;
}

enum status contra_of_weighing(struct farm_contra *c, struct message *why)
{
    const char *animal = contra_text(c, "animal");
    const double mass_kg = contra_real(c, "mass_kg");
    const int64_t on = contra_whole(c, "on");
    struct fact is;
    struct contra_list list;

    enum status st = contra_animal(c, animal, &is, why);
    if (st == ST_OK)
        st = contra_list(c, "weighing", "animal", animal, &list, why);
    if (st != ST_OK || isnan(mass_kg))
        return st;
    odd_mass(c, fact_text(is.kind, is.value, "is"), mass_kg);
    for (size_t i = 0; i < list.n; i++) {
        const double other_kg = fact_real(list.kind, list.fact[i].value, "mass_kg");
        const int64_t days = on - fact_whole(list.kind, list.fact[i].value, "on", INT64_MIN / 2);
        if (days >= -14 && days <= 14 && other_kg > 40 && fabs(mass_kg / other_kg - 1.0) > 0.25)
            farm_odd(c, "mass-odd", list.fact[i].uid, "%s weighed %.4g kg on %s and %.4g kg on %s",
                     contra_called(c, animal), other_kg, contra_date(c, on - days), mass_kg, contra_date(c, on));
    }
    return ST_OK;
}
