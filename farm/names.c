/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From what people call something to the fact, and back.
 */
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/near.h"
#include "farm/own.h"

enum { NAMES_BYTES = 64 * 1024 * 1024 };

struct asked_name {
    struct farm *farm;
    const struct fact_kind *kind;
    const char *field; /* field that asks, for the sentence and for who can be meant ("boar"); "" */
    const char *name;
    int64_t day; /* INT64_MIN: any */
    struct arena *mem;
};

static const char *kind_words(const struct fact_kind *kind, char out[static 40])
{
    (void)snprintf(out, 40, "%s", kind->name);
    for (char *c = out; *c; c++)
        if (*c == '_')
            *c = ' ';
    return out;
}

static enum status left_on(struct farm *f, const char *uid, int64_t *day, struct arena *mem, struct message *why)
{
    const struct fact_kind *leaving = fact_kind_find("leaving");
    struct fact *facts = NULL;
    int64_t root = 0;
    size_t n = 0;

    *day = INT64_MAX;
    enum status st = farm_root(f, uid, &root, NULL, why);
    if (st == ST_OK)
        st = farm_facts_of(f, leaving, "animal", root, mem, &facts, &n, why);
    for (size_t i = 0; st == ST_OK && i < n; i++)
        if (strcmp(fact_text(leaving, facts[i].value, "how"), "lent") != 0)
            *day = fact_whole(leaving, facts[i].value, "on", INT64_MAX);
    return st;
}

/* Does it hold on that day? For an animal: is it alive, and not gone. */
static enum status holds(const struct asked_name *a, const struct fact *fact, bool *yes, int64_t *until,
                         struct message *why)
{
    const struct fact_kind *k = a->kind;

    *yes = true;
    *until = INT64_MAX;
    if (a->day == INT64_MIN)
        return ST_OK;
    if (strcmp(k->name, "animal") == 0) {
        const enum status st = left_on(a->farm, fact->uid, until, a->mem, why);
        *yes = fact_whole(k, fact->value, "born", INT64_MIN) <= a->day && a->day <= *until;
        return st;
    }
    if (k->when && fact_given(k, fact->value, k->when))
        *yes = words_local_day(a->farm->zone, fact_whole(k, fact->value, k->when, 0)) <= a->day;
    if (k->until && fact_given(k, fact->value, k->until)) {
        *until = words_local_day(a->farm->zone, fact_whole(k, fact->value, k->until, 0));
        *yes = *yes && a->day <= *until;
    }
    return ST_OK;
}

/* Can this animal be meant in that field? */
static bool fits(const struct asked_name *a, const struct fact *fact)
{
    if (strcmp(a->kind->name, "animal") != 0)
        return true;
    const char *is = fact_text(a->kind, fact->value, "is");
    if (strcmp(a->field, "sow") == 0 || strcmp(a->field, "dam") == 0)
        return strcmp(is, "sow") == 0 || strcmp(is, "gilt") == 0;
    if (strcmp(a->field, "boar") == 0 || strcmp(a->field, "sire") == 0)
        return strcmp(is, "boar") == 0;
    return true;
}

static bool here(const struct asked_name *a, const struct fact *fact)
{
    if (strcmp(a->kind->name, "animal") != 0)
        return true;
    return strcmp(fact_text(a->kind, fact->value, "kept"), "here") == 0 &&
           (a->day == INT64_MIN || fact_whole(a->kind, fact->value, "arrived", INT64_MIN) <= a->day);
}

enum status farm_fact_here(struct farm *f, const struct fact *fact, int64_t day, struct arena *mem, bool *yes,
                           struct message *why)
{
    const struct asked_name a = { f, fact->kind, "", "", day, mem };
    struct fact_speech speech;
    int64_t until = 0;
    enum status st = farm_speech(f, &speech, why); /* the zone in which days are told */

    if (st == ST_OK)
        st = holds(&a, fact, yes, &until, why);
    *yes = st == ST_OK && *yes && here(&a, fact);
    return st;
}

static enum status nobody(const struct asked_name *a, struct message *why)
{
    struct fact *all = NULL;
    char words[40], near[200] = "";
    size_t n = 0, used = 0, found = 0;
    const size_t called = fact_field_find(a->kind, a->kind->called);
    struct message ignored;

    if (farm_facts(a->farm, a->kind, 0, a->mem, &all, &n, &ignored) != ST_OK)
        n = 0;
    for (size_t i = 0; i < n && found < 4 && used < sizeof near; i++) {
        const char *name = all[i].value[called].text;
        if (!all[i].value[called].given || !near_enough(a->name, name))
            continue;
        const int more = snprintf(near + used, sizeof near - used, "%s%.40s", found ? ", " : "", name);
        used += more > 0 ? (size_t)more : 0;
        found++;
    }
    const char *before = a->field[0] ? a->field : a->kind->name;
    if (found)
        return refuse(ST_NOT_FOUND, why, before, "%s: no %s is called \"%.40s\"; did you mean %s?", before,
                      kind_words(a->kind, words), a->name, near);
    return refuse(ST_NOT_FOUND, why, before, "%s: no %s is called \"%.40s\"; record it first", before,
                  kind_words(a->kind, words), a->name);
}

static enum status several(const struct asked_name *a, const struct fact *const meant[], size_t n, struct message *why)
{
    char list[240] = "", words[40];
    size_t used = 0;

    for (size_t i = 0; i < n && i < 4 && used < sizeof list; i++) {
        const char *tag = strcmp(a->kind->name, "animal") == 0 ? fact_text(a->kind, meant[i]->value, "tag") : NULL;
        const char *is = strcmp(a->kind->name, "animal") == 0 ? fact_text(a->kind, meant[i]->value, "is")
                                                              : kind_words(a->kind, words);
        const int more = snprintf(list + used, sizeof list - used, "%s%s %s %.36s", i ? ", " : "", is,
                                  tag ? "tagged" : "uid", tag ? tag : meant[i]->uid);
        used += more > 0 ? (size_t)more : 0;
    }
    const char *before = a->field[0] ? a->field : a->kind->name;
    return refuse(ST_CONFLICT, why, before, "%s: %zu are called \"%.40s\": %s; name the one you mean by tag or uid",
                  before, n, a->name, list);
}

static enum status gone(const struct asked_name *a, int64_t until, struct message *why)
{
    char day[32], end[32];
    const char *before = a->field[0] ? a->field : a->kind->name;

    (void)civil_date_text(a->day, day);
    if (until != INT64_MAX && until < a->day)
        return refuse(ST_NOT_FOUND, why, before, "%s: %.40s was no longer here on %s: gone since %s", before, a->name,
                      day, civil_date_text(until, end));
    return refuse(ST_NOT_FOUND, why, before, "%s: %.40s was not there yet on %s", before, a->name, day);
}

/* Of several that hold: who fits the field, then who is here, then the newest placement. */
static size_t narrow(const struct asked_name *a, const struct fact *meant[], size_t n)
{
    bool (*const by[])(const struct asked_name *, const struct fact *) = { fits, here };

    for (size_t b = 0; b < COUNT(by) && n > 1; b++) {
        size_t left = 0;
        for (size_t i = 0; i < n; i++)
            left += by[b](a, meant[i]);
        if (left == 0 || left == n)
            continue;
        for (size_t i = 0, k = 0; i < n; i++)
            if (by[b](a, meant[i]))
                meant[k++] = meant[i];
        n = left;
    }
    if (n > 1 && strcmp(a->kind->name, "placement") == 0) {
        for (size_t i = 1; i < n; i++)
            if (fact_whole(a->kind, meant[i]->value, "from", 0) > fact_whole(a->kind, meant[0]->value, "from", 0))
                meant[0] = meant[i];
        n = 1;
    }
    return n;
}

static enum status by_name(const struct asked_name *a, char uid[static FARM_UID], struct message *why)
{
    struct fact *facts = NULL;
    int64_t until = INT64_MAX, last_until = INT64_MAX;
    size_t n = 0, n_meant = 0;

    enum status st = farm_facts_called(a->farm, a->kind, a->name, a->mem, &facts, &n, why);
    if (st != ST_OK)
        return st;
    if (n == 0)
        return nobody(a, why);
    const struct fact **meant = ARENA_NEW(a->mem, const struct fact *, n);
    if (!meant)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n && st == ST_OK; i++) {
        bool yes = false;
        st = holds(a, &facts[i], &yes, &until, why);
        if (yes)
            meant[n_meant++] = &facts[i];
        last_until = until;
    }
    if (st != ST_OK)
        return st;
    if (n_meant == 0)
        return gone(a, last_until, why);
    n_meant = narrow(a, meant, n_meant);
    if (n_meant > 1)
        return several(a, meant, n_meant, why);
    (void)snprintf(uid, FARM_UID, "%s", meant[0]->uid);
    return ST_OK;
}

static enum status by_uid(const struct asked_name *a, char uid[static FARM_UID], struct message *why)
{
    const struct fact_kind *is = NULL;
    int64_t root = 0;
    bool live = false;
    char words[40];
    const char *before = a->field[0] ? a->field : a->kind->name;

    enum status st = farm_root(a->farm, a->name, &root, &is, why);
    if (st != ST_OK)
        return st;
    if (root == 0)
        return refuse(ST_NOT_FOUND, why, before, "%s: no %s with the uid %s is recorded", before,
                      kind_words(a->kind, words), a->name);
    if (is != a->kind)
        return refuse(ST_BAD_INPUT, why, before, "%s: the uid %s is that of a %s; a %s is wanted", before, a->name,
                      is ? is->name : "fact of an unknown kind", kind_words(a->kind, words));
    st = farm_standing(a->farm, root, 0, uid, &live, why);
    if (st == ST_OK && !live)
        return refuse(ST_CONFLICT, why, before, "%s: the %s with the uid %s has been voided", before,
                      kind_words(a->kind, words), a->name);
    return st;
}

static enum status resolve(struct farm *f, const struct fact_kind *kind, const char *field, const char *name,
                           int64_t day, char uid[static FARM_UID], struct message *why)
{
    struct arena mem;
    struct fact_speech speech;

    arena_open(&mem, NAMES_BYTES);
    const struct asked_name a = { f, kind, field, name, day, &mem };
    enum status st = farm_speech(f, &speech, why); /* the zone in which days are told */
    if (st == ST_OK && farm_is_uid(name))
        st = by_uid(&a, uid, why);
    else if (st == ST_OK && !kind->called)
        st = refuse(ST_BAD_INPUT, why, field, "%s: a %s has no name; give its uid", field, kind->name);
    else if (st == ST_OK)
        st = by_name(&a, uid, why);
    arena_close(&mem);
    return st;
}

enum status farm_resolve(struct farm *f, const struct fact_kind *kind, const char *name, int64_t day,
                         char uid[static FARM_UID], struct message *why)
{
    return resolve(f, kind, "", name, day, uid, why);
}

int64_t farm_day_of(const struct farm *f, const struct fact_kind *kind, const struct fact_value values[])
{
    if (!kind->when)
        return INT64_MIN;
    const size_t when = fact_field_find(kind, kind->when);
    if (!values[when].given)
        return INT64_MIN;
    return kind->fields[when].type == FACT_DAY ? values[when].whole : words_local_day(f->zone, values[when].whole);
}

bool farm_outlives(const char *kind, const char *field)
{
    return (strcmp(kind, "farrowing") == 0 && strcmp(field, "boar") == 0) ||
           (strcmp(kind, "loss") == 0 && strcmp(field, "sow") == 0);
}

enum status farm_resolve_all(struct farm *f, const struct fact_kind *kind, struct fact_value values[],
                             struct arena *mem, struct message *why)
{
    struct fact_speech speech;
    char uid[FARM_UID];
    enum status st = farm_speech(f, &speech, why);

    for (size_t i = 0; i < kind->n_fields && st == ST_OK; i++) {
        const struct fact_field *field = &kind->fields[i];
        if (field->type != FACT_REF || !values[i].given)
            continue;
        const struct fact_kind *of = fact_kind_find(field->refers_to);
        st = resolve(f, of, field->name, values[i].text, farm_day_of(f, kind, values), uid, why);
        struct message ignored = { "", "" };
        if (st == ST_NOT_FOUND && farm_outlives(kind->name, field->name) &&
            resolve(f, of, field->name, values[i].text, INT64_MIN, uid, &ignored) == ST_OK)
            st = ST_OK;
        if (st == ST_OK)
            values[i].text = arena_text(mem, uid);
        if (st == ST_OK && !values[i].text)
            st = refuse(ST_NO_MEMORY, why, field->name, "out of memory");
    }
    return st;
}

const char *farm_called(struct farm *f, const char *uid, struct arena *mem)
{
    struct fact fact;
    struct message ignored;
    struct fact_speech speech;
    const char *of = NULL, *when = NULL;
    char words[40];

    enum status st = farm_fact(f, uid, 0, mem, &fact, &ignored);
    if (st == ST_OK)
        st = farm_speech(f, &speech, &ignored);
    arena_heed(mem, st);
    if (st != ST_OK)
        return NULL;
    const struct fact_kind *k = fact.kind;
    if (k->called && fact_given(k, fact.value, k->called) && !k->single)
        return fact_text(k, fact.value, k->called);
    for (size_t i = 0; i < k->n_fields && !of; i++)
        if (k->fields[i].type == FACT_REF && fact.value[i].given && strcmp(k->fields[i].name, "by") != 0)
            of = farm_called(f, fact.value[i].text, mem);
    if (k->when && fact_given(k, fact.value, k->when))
        when = fact_value_show(&k->fields[fact_field_find(k, k->when)], &fact.value[fact_field_find(k, k->when)],
                               &speech, mem);
    return arena_print(mem, "%s%s%s%s%s", kind_words(k, words), of ? " of " : "", of ? of : "", when ? ", " : "",
                       when ? when : "");
}
