/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/herd_family.h"

#include <math.h>
#include <string.h>

enum { MOST_GENERATIONS = 8 };

struct tree {
    const struct kin *kin;
    struct arena *mem;
    unsigned generations;
    size_t places;   /* 2^(generations + 1), the first one unused: 1 the animal, sire of k is 2 k, dam 2 k + 1 */
    size_t *who;     /* KIN_NONE: not known */
    unsigned *times; /* by animal */
    bool *sire_side, *dam_side;
};

static unsigned generation_of(size_t place)
{
    unsigned g = 0;
    while (place > 1) {
        place /= 2;
        g++;
    }
    return g;
}

static const char *position_of(size_t place, struct arena *mem)
{
    const unsigned g = generation_of(place);
    char text[MOST_GENERATIONS + 1];

    text[g] = '\0'; /* from the animal outwards: the bit after the leading one is its own parent */
    for (unsigned i = 0; i < g; i++)
        text[i] = (place >> (g - 1 - i)) & 1u ? 'D' : 'S';
    return arena_text(mem, text);
}

/* Parents as the pedigree has them: cut at the depth, and where a loop was opened. */
static size_t parent_of(const struct kin *kin, size_t animal, bool dam)
{
    const uint32_t at = kin->animals[animal].at, parent = at == 0 ? 0 : dam ? kin->p.dam[at] : kin->p.sire[at];
    return parent ? kin->who[parent] : KIN_NONE;
}

static bool grow(struct tree *t, size_t animal)
{
    t->places = (size_t)2 << t->generations;
    t->who = ARENA_NEW(t->mem, size_t, t->places);
    t->times = ARENA_NEW(t->mem, unsigned, t->kin->n + 1);
    t->sire_side = ARENA_NEW(t->mem, bool, t->kin->n + 1);
    t->dam_side = ARENA_NEW(t->mem, bool, t->kin->n + 1);
    if (!t->who || !t->times || !t->sire_side || !t->dam_side)
        return false;
    t->who[0] = KIN_NONE;
    t->who[1] = animal;
    t->times[animal]++;
    for (size_t k = 2; k < t->places; k++) {
        t->who[k] = t->who[k / 2] == KIN_NONE ? KIN_NONE : parent_of(t->kin, t->who[k / 2], k & 1u);
        if (t->who[k] == KIN_NONE)
            continue;
        t->times[t->who[k]]++;
        const bool sire_side = ((k >> (generation_of(k) - 1)) & 1u) == 0;
        *(sire_side ? &t->sire_side[t->who[k]] : &t->dam_side[t->who[k]]) = true;
    }
    return true;
}

static void answer_members(const struct tree *t, struct answer *o)
{
    const struct kin *kin = t->kin;
    struct answer *list = answer_list(o, "members");

    for (size_t k = 1; k < t->places; k++) {
        if (t->who[k] == KIN_NONE)
            continue;
        const struct kin_animal *a = &kin->animals[t->who[k]];
        struct answer *row = answer_item(list);
        answer_text(row, "position", position_of(k, t->mem));
        answer_whole(row, "generation", generation_of(k));
        answer_whole(row, "index", (int64_t)k);
        answer_text(row, "name", a->name);
        answer_text(row, "id", a->id);
        answer_text(row, "sex", a->male ? "m" : "f");
        answer_day_or(row, "born", a->born_days, NULL);
        answer_text(row, "breed", *a->breed ? a->breed : NULL);
        answer_flag(row, "here", a->here);
        answer_real_or(row, "f", kin_f(kin, t->who[k]), "it is an ancestor of itself");
        answer_whole(row, "times", t->times[t->who[k]]);
        answer_flag(row, "common", t->sire_side[t->who[k]] && t->dam_side[t->who[k]]);
    }
}

static enum status answer_common(const struct tree *t, size_t animal, struct answer *o, struct message *why)
{
    const struct kin *kin = t->kin;
    const uint32_t at = kin->animals[animal].at, sire = at ? kin->p.sire[at] : 0, dam = at ? kin->p.dam[at] : 0;
    const struct pedigree_through *through = NULL;
    const char *names[4];
    size_t n = 0, named = 0;

    if (sire && dam) {
        const enum status st = pedigree_kin_through(&kin->p, kin->d, sire, dam, t->mem, &through, &n, why);
        if (st != ST_OK)
            return st;
    }
    for (size_t i = 0; i < n && named < COUNT(names) - 1; i++)
        names[named++] = kin->animals[kin->who[through[i].ancestor]].name;
    if (n > named)
        names[named++] = "others";
    answer_print(o, "says", "%s",
                 !sire || !dam ? "Both parents would have to be known."
                 : n == 0      ? "Sire and dam have no ancestor in common, as far as is known."
                          : arena_print(t->mem, "Sire and dam are kin through %s.", kin_names(named, names, t->mem)));
    struct answer *list = answer_list(o, "common");
    for (size_t i = 0; i < n; i++) {
        const size_t who = kin->who[through[i].ancestor];
        struct answer *row = answer_item(list);
        answer_text(row, "name", kin->animals[who].name);
        answer_text(row, "id", kin->animals[who].id);
        answer_real(row, "part", through[i].part);
        answer_whole(row, "times", t->times[who]);
        answer_whole(row, "sire_side", through[i].from_i);
        answer_whole(row, "dam_side", through[i].from_j);
    }
    return ST_OK;
}

enum status herd_family(const struct kin *kin, size_t animal, unsigned generations, struct arena *mem, struct answer *a,
                        struct message *why)
{
    struct tree t = { .kin = kin, .mem = mem, .generations = generations };
    size_t known = 0, different = 0;

    if (!grow(&t, animal))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t k = 2; k < t.places; k++)
        known += t.who[k] != KIN_NONE;
    for (size_t i = 0; i < kin->n; i++)
        different += i != animal && t.times[i] > 0;
    struct answer *o = answer_object(a, "family");
    answer_text(o, "name", kin->animals[animal].name);
    answer_whole(o, "generations", generations);
    answer_real_or(o, "f", kin_f(kin, animal), "it stands for nobody in particular, or is an ancestor of itself");
    answer_text(o, "f_says", kin_f_says(kin, animal, mem));
    const enum status st = answer_common(&t, animal, o, why);
    answer_whole(o, "known", (int64_t)known);
    answer_whole(o, "places", (int64_t)t.places - 2);
    answer_whole(o, "different", (int64_t)different);
    answer_members(&t, o);
    return st;
}
