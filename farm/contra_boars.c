/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Contradictions about a boar that runs with sows: himself elsewhere, another beside him.
 */
#include <string.h>

#include "farm/contra_own.h"

/* Group an animal was in at a moment, by moves of its own; NULL = not recorded. */
static enum status group_at(struct farm_contra *c, const char *animal, int64_t at_s, const char **group,
                            struct message *why)
{
    struct contra_list own;
    int64_t newest_s = INT64_MIN;

    *group = NULL;
    const enum status st = contra_list(c, "move", "animal", animal, &own, why);
    for (size_t i = 0; st == ST_OK && i < own.n; i++) {
        const int64_t s = contra_at(&own, i, "at");
        const char *to_group = fact_text(own.kind, own.fact[i].value, "to_group");
        if (s <= at_s && to_group && s >= newest_s) {
            newest_s = s;
            *group = to_group;
        }
    }
    return st;
}

/* Field an animal was in at a moment, by moves of its own and of its group; "" = not recorded. */
static enum status paddock_at(struct farm_contra *c, const char *animal, int64_t at_s, const char **paddock,
                              struct message *why)
{
    struct contra_list own, of_group = { .n = 0 };
    const char *group = NULL;
    int64_t own_s = INT64_MIN, moved_s = INT64_MIN;

    *paddock = "";
    enum status st = contra_list(c, "move", "animal", animal, &own, why);
    for (size_t i = 0; st == ST_OK && i < own.n; i++) {
        const int64_t s = contra_at(&own, i, "at");
        const char *to = fact_text(own.kind, own.fact[i].value, "to_paddock");
        if (s <= at_s && to && s >= own_s) {
            own_s = s;
            *paddock = to;
        }
    }
    if (st == ST_OK)
        st = group_at(c, animal, at_s, &group, why);
    if (st == ST_OK && group)
        st = contra_list(c, "move", "group", group, &of_group, why);
    for (size_t i = 0; st == ST_OK && i < of_group.n; i++) {
        const int64_t s = contra_at(&of_group, i, "at");
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
        if (!overlap(contra_when(c), end_of(c->kind, c->values), contra_at(&runs, i, "from"), end_of(runs.kind, v)))
            continue;
        if ((sow && other_sow && strcmp(sow, other_sow) == 0) ||
            (group && other_group && strcmp(group, other_group) == 0))
            return refuse(ST_CONFLICT, why, "boar",
                          "boar: %s with %s is recorded already, from %s; correct that instead", contra_called(c, boar),
                          contra_called(c, sow ? sow : group), contra_day(c, contra_at(&runs, i, "from")));
        if (group && other_group)
            return refuse(ST_CONFLICT, why, "boar", "boar: %s cannot be in two groups at once; he is with %s from %s%s",
                          contra_called(c, boar), contra_called(c, other_group),
                          contra_day(c, contra_at(&runs, i, "from")),
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
        const int64_t from_s = contra_at(&runs, i, "from");
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

/* A run with a sow and another with the group she was in then are one company. */
static enum status of_her_group(struct farm_contra *c, const char *sow, const char *group, int64_t at_s, bool *yes,
                                struct message *why)
{
    const char *hers = NULL;

    *yes = false;
    if (!sow || !group)
        return ST_OK;
    const enum status st = group_at(c, sow, at_s, &hers, why);
    *yes = st == ST_OK && hers && strcmp(hers, group) == 0;
    return st;
}

static enum status boar_beside_by_group(struct farm_contra *c, struct message *why)
{
    const char *sow = contra_text(c, "sow"), *group = contra_text(c, "group"), *boar = contra_text(c, "boar");
    struct fact *run = NULL;
    size_t n = 0;
    enum status st = farm_facts(c->farm, c->kind, 0, c->mem, &run, &n, why);

    for (size_t i = 0; st == ST_OK && i < n; i++) {
        const struct fact_value *v = run[i].value;
        const char *other = fact_text(c->kind, v, "boar"), *her = sow ? sow : fact_text(c->kind, v, "sow");
        const int64_t from_s = fact_whole(c->kind, v, "from", 0),
                      both_s = from_s > contra_when(c) ? from_s : contra_when(c);
        bool together = false;
        if ((c->replaces && strcmp(run[i].uid, c->replaces) == 0) || strcmp(other, boar) == 0 ||
            !overlap(contra_when(c), end_of(c->kind, c->values), from_s, end_of(c->kind, v)))
            continue;
        st = of_her_group(c, her, sow ? fact_text(c->kind, v, "group") : group, both_s, &together, why);
        if (st == ST_OK && together)
            farm_odd(c, "two-boars", run[i].uid, "%s and %s both run with %s from %s: the father will be uncertain",
                     contra_called(c, boar), contra_called(c, other), contra_called(c, her), contra_day(c, both_s));
    }
    return st;
}

enum status contra_of_boar_run(struct farm_contra *c, struct message *why)
{
    enum status st = boar_elsewhere(c, why);

    if (st == ST_OK)
        st = boar_beside(c, "sow", why);
    if (st == ST_OK)
        st = boar_beside(c, "group", why);
    return st == ST_OK ? boar_beside_by_group(c, why) : st;
}
