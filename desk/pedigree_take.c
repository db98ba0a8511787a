/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/pedigree_take.h"

#include <string.h>

#include "core/pedigree/pedigree.h"
#include "desk/reckon/pedigree_in.h"

enum { MOST_ANIMALS = 100000 };
#define MOST_BYTES ((size_t)1 << 30)

struct take {
    struct farm *farm;
    const char *file;
    struct arena mem;
    struct pedigree p;
    struct pedigree_findings found;
    const uint8_t *in_loop;
    const struct fact_kind *kind;
    struct fact *here; /* animals of the farm */
    size_t n_here;
    struct called *by_name, *by_tag; /* sorted */
    const struct fact **known;       /* p.n + 1: the animal of the farm; NULL: a new one */
    const char **uid;                /* p.n + 1: under which it will stand; NULL: left out */
    struct farm_item *items;
    size_t n_items;
    struct pedigree_taken *done;
    struct text *report;
};

struct called {
    const char *text;
    const struct fact *animal;
};

static int by_text(const void *a, const void *b)
{
    return strcmp(((const struct called *)a)->text, ((const struct called *)b)->text);
}

/* ---- whom the farm has already ---- */

static bool list_here(struct take *t)
{
    t->by_name = ARENA_NEW(&t->mem, struct called, t->n_here + 1);
    t->by_tag = ARENA_NEW(&t->mem, struct called, t->n_here + 1);
    if (!t->by_name || !t->by_tag)
        return false;
    for (size_t i = 0; i < t->n_here; i++) {
        const char *tag = fact_text(t->kind, t->here[i].value, "tag");
        t->by_name[i] = (struct called){ fact_text(t->kind, t->here[i].value, "name"), &t->here[i] };
        t->by_tag[i] = (struct called){ tag ? tag : "", &t->here[i] };
    }
    qsort(t->by_name, t->n_here, sizeof *t->by_name, by_text);
    qsort(t->by_tag, t->n_here, sizeof *t->by_tag, by_text);
    return true;
}

/* The one animal with this name or tag; *several when there are more. */
static const struct fact *one_called(const struct called *list, size_t n, const char *text, bool *several)
{
    const struct called key = { text, NULL };
    const struct called *hit = *text ? bsearch(&key, list, n, sizeof *list, by_text) : NULL;

    if (!hit)
        return NULL;
    if ((hit > list && by_text(hit - 1, &key) == 0) || (hit + 1 < list + n && by_text(hit + 1, &key) == 0)) {
        *several = true;
        return NULL;
    }
    return hit->animal;
}

static bool is_male(const struct take *t, const struct fact *f)
{
    const char *is = fact_text(t->kind, f->value, "is");
    return strcmp(is, "boar") == 0 || strcmp(is, "barrow") == 0;
}

static void wrong(struct take *t, uint32_t i, const char *says)
{
    t->done->wrong++;
    if (t->p.line[i])
        text_print(t->report, "%s, line %u, %s: %s\n", t->file, (unsigned)t->p.line[i], t->p.id[i], says);
    else
        text_print(t->report, "%s, %s: %s\n", t->file, t->p.id[i], says);
}

static void recognise(struct take *t)
{
    for (uint32_t i = 1; i <= t->p.n; i++) {
        bool several = false;
        const struct fact *f = one_called(t->by_name, t->n_here, t->p.id[i], &several);
        if (!f && !several)
            f = one_called(t->by_tag, t->n_here, t->p.id[i], &several);
        if (!f && !several && t->p.name && *t->p.name[i])
            f = one_called(t->by_name, t->n_here, t->p.name[i], &several);
        if (several)
            wrong(t, i, "several animals here are called so; give them tags, and use the tag as id");
        else if (f && t->p.sex[i] != PEDIGREE_SEX_UNKNOWN && is_male(t, f) != (t->p.sex[i] == PEDIGREE_MALE))
            wrong(t, i, "here it is recorded with the other sex");
        else
            t->known[i] = f;
    }
}

/* ---- facts ---- */

static struct fact_value *value_of(const struct take *t, struct fact_value values[], const char *field)
{
    return &values[fact_field_find(t->kind, field)];
}

static void set_text(const struct take *t, struct fact_value values[], const char *field, const char *text)
{
    if (text && *text)
        *value_of(t, values, field) = (struct fact_value){ .given = true, .text = text };
}

static void set_born(const struct take *t, struct fact_value values[], uint32_t i)
{
    if (t->p.born[i] != PEDIGREE_NO_DAY && !t->p.year_only[i]) /* a year alone is no day of birth */
        *value_of(t, values, "born") = (struct fact_value){ .given = true, .whole = t->p.born[i] };
}

static void add(struct take *t, uint32_t i, struct fact_value *values, const char *replaces)
{
    t->items[t->n_items++] = (struct farm_item){ .kind = t->kind,
                                                 .values = values,
                                                 .meta = { .uid = t->uid[i], .replaces = replaces },
                                                 .file = t->file,
                                                 .line = t->p.line[i] };
}

static bool add_new(struct take *t, uint32_t i)
{
    struct fact_value *values = ARENA_NEW(&t->mem, struct fact_value, t->kind->n_fields);
    const bool named = t->p.name && *t->p.name[i] && strcmp(t->p.name[i], t->p.id[i]) != 0;

    if (!values)
        return false;
    set_text(t, values, "name", named ? t->p.name[i] : t->p.id[i]);
    set_text(t, values, "tag", named ? t->p.id[i] : NULL);
    set_text(t, values, "is", t->p.sex[i] == PEDIGREE_MALE ? "boar" : "sow");
    set_text(t, values, "kept", "elsewhere");
    if (t->p.breed && t->p.breed[i] != PEDIGREE_NO_BREED)
        set_text(t, values, "breed", t->p.breeds[t->p.breed[i]]);
    set_text(t, values, "sire", t->uid[t->p.sire[i]]);
    set_text(t, values, "dam", t->uid[t->p.dam[i]]);
    set_born(t, values, i);
    add(t, i, values, NULL);
    t->done->added++;
    return true;
}

/* Is the parent recorded here another one than the file's? Then ours stays, and it is said. */
static void differs(struct take *t, uint32_t i, const char *side, uint32_t parent)
{
    const char *has = fact_text(t->kind, t->known[i]->value, side);

    if (has && parent && !(t->known[parent] && strcmp(t->known[parent]->uid, has) == 0))
        text_print(t->report, "%s, line %u, %s: the file has another %s, %s; what is recorded here stays\n", t->file,
                   (unsigned)t->p.line[i], t->p.id[i], side, t->p.id[parent]);
}

static bool lacks(const struct take *t, uint32_t i)
{
    const struct fact *f = t->known[i];
    return (t->p.sire[i] && t->uid[t->p.sire[i]] && !fact_given(t->kind, f->value, "sire")) ||
           (t->p.dam[i] && t->uid[t->p.dam[i]] && !fact_given(t->kind, f->value, "dam")) ||
           (t->p.born[i] != PEDIGREE_NO_DAY && !t->p.year_only[i] && !fact_given(t->kind, f->value, "born"));
}

/* A parent recorded here whose fact is replaced too is meant by its new uid; all else is as it was. */
static void keep_parent(const struct take *t, struct fact_value values[], const char *side, uint32_t parent)
{
    const struct fact_value *said = value_of(t, values, side);

    if (!said->given || (parent && t->known[parent] && strcmp(said->text, t->known[parent]->uid) == 0))
        set_text(t, values, side, t->uid[parent]);
}

static bool correct(struct take *t, uint32_t i)
{
    struct fact_value *values = ARENA_NEW(&t->mem, struct fact_value, t->kind->n_fields);

    if (!values)
        return false;
    memcpy(values, t->known[i]->value, t->kind->n_fields * sizeof *values);
    keep_parent(t, values, "sire", t->p.sire[i]);
    keep_parent(t, values, "dam", t->p.dam[i]);
    if (!value_of(t, values, "born")->given)
        set_born(t, values, i);
    add(t, i, values, t->known[i]->uid);
    t->done->linked++;
    return true;
}

static bool name_uids(struct take *t)
{
    for (uint32_t i = 1; i <= t->p.n; i++) { /* parents come first */
        char uid[FARM_UID];
        if (t->known[i] && !lacks(t, i)) {
            t->uid[i] = t->known[i]->uid;
            continue;
        }
        if (!t->known[i] && t->p.sex[i] == PEDIGREE_SEX_UNKNOWN) {
            text_print(t->report, "%s, line %u, %s: no sex is given and no young says it; left out\n", t->file,
                       (unsigned)t->p.line[i], t->p.id[i]);
            t->done->left_out++;
            continue;
        }
        farm_new_uid(uid);
        t->uid[i] = arena_text(&t->mem, uid);
        if (!t->uid[i])
            return false;
    }
    return true;
}

static bool make_items(struct take *t)
{
    bool room = true;

    for (uint32_t i = 1; i <= t->p.n && room; i++) {
        if (!t->known[i]) {
            room = !t->uid[i] || add_new(t, i);
            continue;
        }
        differs(t, i, "sire", t->p.sire[i]);
        differs(t, i, "dam", t->p.dam[i]);
        if (lacks(t, i))
            room = correct(t, i);
        else
            t->done->already++;
    }
    return room;
}

/* ---- all ---- */

static enum status read_in(struct take *t, const char *path, struct message *why)
{
    char *bytes = NULL;
    size_t n = 0;

    enum status st = pedigree_in_bytes("FILE", path, &t->mem, &bytes, &n, why);
    if (st == ST_OK)
        st = pedigree_read(bytes, n, NULL, &t->mem, &t->p, &t->found, &t->in_loop, why);
    if (st != ST_OK)
        return st;
    if (t->p.n > MOST_ANIMALS)
        return refuse(ST_BAD_INPUT, why, "FILE", "%s has %u animals; a farm takes %d at once", t->file,
                      (unsigned)t->p.n, MOST_ANIMALS);
    for (size_t i = 0; i < t->found.n; i++) {
        const struct pedigree_finding *f = &t->found.list[i];
        if (f->line)
            text_print(t->report, "%s, line %u: %s\n", t->file, (unsigned)f->line, f->says);
        else
            text_print(t->report, "%s: %s\n", t->file, f->says);
    }
    t->done->animals = t->p.n;
    t->done->wrong = t->found.wrong;
    return farm_facts(t->farm, t->kind, 0, &t->mem, &t->here, &t->n_here, why);
}

static enum status prepare(struct take *t, struct message *why)
{
    const size_t n = (size_t)t->p.n + 1;

    t->known = ARENA_NEW(&t->mem, const struct fact *, n);
    t->uid = ARENA_NEW(&t->mem, const char *, n);
    t->items = ARENA_NEW(&t->mem, struct farm_item, n);
    if (!t->known || !t->uid || !t->items || !list_here(t))
        return refuse(ST_NO_MEMORY, why, "", "too many animals to take in at once");
    recognise(t);
    if (!name_uids(t) || !make_items(t))
        return refuse(ST_NO_MEMORY, why, "", "too many animals to take in at once");
    return ST_OK;
}

static enum status record(struct take *t, bool only_try, const struct farm_meta *meta, struct message *why)
{
    size_t good = 0;

    if (t->n_items == 0)
        return ST_OK;
    const enum status st = farm_record_batch(t->farm, only_try ? FARM_TRY : FARM_ALL_OR_NOTHING, meta, t->n_items,
                                             t->items, &t->mem, &good, why);
    for (size_t i = 0; i < t->n_items; i++) {
        const struct farm_item *item = &t->items[i];
        for (size_t k = 0; item->status == ST_OK && k < item->outcome.n_flags; k++)
            text_print(t->report, "%s, line %zu, odd: %s\n", t->file, item->line, item->outcome.flags[k].says);
        if (item->status == ST_OK)
            continue;
        t->done->wrong++;
        text_print(t->report, "%s, line %zu: %s\n", t->file, item->line, item->why.text);
    }
    return st;
}

static void closing(const struct take *t, bool kept)
{
    const struct pedigree_taken *d = t->done;

    text_print(
        t->report,
        "%zu animals in the file: %zu new ones, as kept elsewhere; %zu of yours given what they lacked; %zu known "
        "already; %zu left out%s\n",
        d->animals, d->added, d->linked, d->already, d->left_out, kept ? "" : "; nothing was kept");
}

enum status pedigree_take(struct farm *farm, const char *path, bool only_try, const struct farm_meta *meta,
                          struct pedigree_taken *done, struct text *report, struct message *why)
{
    const char *slash = strrchr(path, '/');
    struct take t = {
        .farm = farm, .file = slash ? slash + 1 : path, .kind = fact_kind_find("animal"), .done = done, .report = report
    };

    *done = (struct pedigree_taken){ .animals = 0 };
    arena_open(&t.mem, MOST_BYTES);
    enum status st = read_in(&t, path, why);
    if (st == ST_OK)
        st = prepare(&t, why);
    if (st == ST_OK && (done->wrong == 0 || only_try))
        st = record(&t, only_try, meta, why);
    if (st == ST_OK || done->wrong > 0)
        closing(&t, st == ST_OK && !only_try && done->wrong == 0);
    if (st == ST_OK && done->wrong > 0)
        st = refuse(ST_BAD_INPUT, why, "FILE",
                    "%s: %zu thing%s in it cannot be right; nothing was kept: --try lists them", t.file, done->wrong,
                    done->wrong == 1 ? "" : "s");
    arena_close(&t.mem);
    return st;
}
