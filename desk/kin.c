/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * All animals the farm knows of, as a pedigree. */
#include "desk/kin.h"

#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/pedigree/genes.h"
#include "desk/farm_words.h"
#include "desk/when.h"
#include "farm/near.h"

/* ---- reading ---- */

static const char *text_of(const struct fact *f, const char *field)
{
    const char *text = fact_text(f->kind, f->value, field);
    return text ? text : "";
}

struct uids { /* uid -> index, sorted */
    const char *uid;
    size_t index;
};

static int by_uid(const void *a, const void *b)
{
    return strcmp(((const struct uids *)a)->uid, ((const struct uids *)b)->uid);
}

static size_t of_uid(const struct uids *list, size_t n, const char *uid)
{
    const struct uids key = { uid, 0 };
    const struct uids *hit = *uid ? bsearch(&key, list, n, sizeof *list, by_uid) : NULL;
    return hit ? hit->index : KIN_NONE;
}

static int by_name(const void *a, const void *b)
{
    const struct kin_animal *const *x = a, *const *y = b;
    return strcmp((*x)->name, (*y)->name);
}

/* Ids: the name where it is one animal's alone, else name and tag, else the uid. A uid is never anybody's name. */
static bool name_ids(struct kin *kin, struct arena *mem)
{
    struct kin_animal **order = ARENA_NEW(mem, struct kin_animal *, kin->n + 1);

    for (size_t i = 0; order && i < kin->n; i++)
        order[i] = &kin->animals[i];
    if (!order)
        return false;
    qsort(order, kin->n, sizeof order[0], by_name); /* NOLINT(bugprone-sizeof-expression): pointers are sorted */
    for (size_t i = 0; i < kin->n;) {
        size_t end = i + 1;
        while (end < kin->n && strcmp(order[i]->name, order[end]->name) == 0)
            end++;
        for (size_t k = i; k < end; k++) {
            bool alone = *order[k]->tag != '\0';
            for (size_t j = i; j < end; j++)
                alone = alone && (j == k || strcmp(order[j]->tag, order[k]->tag) != 0);
            order[k]->id = end - i == 1 ? order[k]->name
                           : alone      ? arena_print(mem, "%s (%s)", order[k]->name, order[k]->tag)
                                        : order[k]->uid;
            if (!order[k]->id)
                return false;
        }
        i = end;
    }
    return true;
}

/* Who left, as in the herd's own fold: lent out is still of the herd. */
static const char *gone_words(const struct kin *kin, const struct fact *animal, const struct fact *leaving, size_t n,
                              struct arena *mem)
{
    const int64_t arrived = fact_whole(animal->kind, animal->value, "arrived", INT64_MIN);

    for (size_t i = 0; i < n; i++) {
        const char *how = text_of(&leaving[i], "how");
        const int64_t on = fact_whole(leaving[i].kind, leaving[i].value, "on", INT64_MIN);
        if (strcmp(text_of(&leaving[i], "animal"), animal->uid) == 0 && on <= kin->today && strcmp(how, "lent") != 0)
            return arena_print(mem, "%s %s", how, kin_day(on, mem));
    }
    if (strcmp(text_of(animal, "kept"), "elsewhere") == 0)
        return "elsewhere";
    if (arrived > kin->today)
        return arena_print(mem, "comes %s", kin_day(arrived, mem));
    if (fact_whole(animal->kind, animal->value, "born", INT64_MIN) > kin->today)
        return "not born yet";
    return NULL;
}

static bool fill(struct kin *kin, const struct fact *facts, const struct fact *leaving, size_t n_leaving,
                 struct arena *mem)
{
    struct uids *uids = ARENA_NEW(mem, struct uids, kin->n + 1);

    if (!uids)
        return false;
    for (size_t i = 0; i < kin->n; i++)
        uids[i] = (struct uids){ facts[i].uid, i };
    qsort(uids, kin->n, sizeof *uids, by_uid);
    for (size_t i = 0; i < kin->n; i++) {
        const struct fact *f = &facts[i];
        const char *is = text_of(f, "is"), *gone = gone_words(kin, f, leaving, n_leaving, mem);
        kin->animals[i] = (struct kin_animal){
            .name = text_of(f, "name"),
            .uid = f->uid,
            .tag = text_of(f, "tag"),
            .breed = text_of(f, "breed"),
            .is = is,
            .male = strcmp(is, "boar") == 0 || strcmp(is, "barrow") == 0,
            .here = !gone,
            .breeds = !gone && strcmp(is, "barrow") != 0,
            .gone = gone,
            .born_days = fact_whole(f->kind, f->value, "born", INT64_MIN),
            .sows_most = (int)fact_whole(f->kind, f->value, "sows_most", -1),
            .sire = of_uid(uids, kin->n, text_of(f, "sire")),
            .dam = of_uid(uids, kin->n, text_of(f, "dam")),
        };
    }
    return name_ids(kin, mem);
}

enum status kin_read(struct farm *farm, int64_t at_utc_s, int64_t known_to, struct arena *mem, struct kin *kin,
                     struct message *why)
{
    struct fact *facts = NULL, *leaving = NULL;
    size_t n_leaving = 0;
    struct desk_place place;

    *kin = (struct kin){ .at_utc_s = at_utc_s, .known_to = known_to };
    enum status st = known_to > 0 ? ST_OK : farm_number(farm, &kin->known_to, why);
    if (st == ST_OK)
        st = desk_place(farm, kin->known_to, mem, &place, why);
    if (st == ST_OK)
        st = zone_open(place.zone, mem, &kin->zone, why);
    if (st == ST_OK)
        st = farm_facts(farm, fact_kind_find("animal"), kin->known_to, mem, &facts, &kin->n, why);
    if (st == ST_OK)
        st = farm_facts(farm, fact_kind_find("leaving"), kin->known_to, mem, &leaving, &n_leaving, why);
    if (st != ST_OK)
        return st;
    const struct civil now = when_local(kin->zone, at_utc_s);
    kin->today = civil_days(now.year, now.month, now.day);
    kin->animals = ARENA_NEW(mem, struct kin_animal, kin->n + 1);
    if (!kin->animals || !fill(kin, facts, leaving, n_leaving, mem))
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    return ST_OK;
}

/* ---- reckoning ---- */

/* Generations back from the nearest animal of the herd (or of `also`); UINT_MAX: no ancestor of theirs. */
static unsigned *distances(const struct kin *kin, size_t n_also, const size_t also[], struct arena *mem)
{
    unsigned *far = ARENA_NEW(mem, unsigned, kin->n + 1);
    size_t *queue = ARENA_NEW(mem, size_t, kin->n + 1);
    size_t head = 0, tail = 0;

    if (!far || !queue)
        return NULL;
    for (size_t i = 0; i < kin->n; i++)
        far[i] = kin->animals[i].here ? 0 : UINT32_MAX;
    for (size_t i = 0; i < n_also; i++)
        far[also[i]] = 0;
    for (size_t i = 0; i < kin->n; i++)
        if (far[i] == 0)
            queue[tail++] = i;
    while (head < tail) {
        const size_t i = queue[head++], parent[2] = { kin->animals[i].sire, kin->animals[i].dam };
        for (int side = 0; side < 2; side++)
            if (parent[side] != KIN_NONE && far[parent[side]] == UINT32_MAX) {
                far[parent[side]] = far[i] + 1;
                queue[tail++] = parent[side];
            }
    }
    return far;
}

static const char *id_of(const struct kin *kin, size_t animal)
{
    return animal == KIN_NONE ? NULL : kin->animals[animal].id;
}

static enum status order(struct kin *kin, const unsigned *far, struct arena *mem, struct message *why)
{
    struct pedigree_row *rows = ARENA_NEW(mem, struct pedigree_row, kin->n + 1);

    if (!rows)
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    for (size_t i = 0; i < kin->n; i++) {
        const struct kin_animal *a = &kin->animals[i];
        const bool deep = kin->depth > 0 && far[i] != UINT32_MAX && far[i] >= kin->depth;
        rows[i] = (struct pedigree_row){
            .id = a->id,
            .sire = deep ? NULL : id_of(kin, a->sire),
            .dam = deep ? NULL : id_of(kin, a->dam),
            .name = a->name,
            .breed = a->breed,
            .sex = a->male ? PEDIGREE_MALE : PEDIGREE_FEMALE,
            .born = a->born_days == INT64_MIN ? PEDIGREE_NO_DAY : (int32_t)a->born_days,
            .line = (uint32_t)(i + 1),
        };
    }
    return pedigree_order(kin->n, rows, NULL, mem, &kin->p, &kin->found, &kin->in_loop, why);
}

static enum status measure(struct kin *kin, struct arena *mem, struct message *why)
{
    const size_t n = (size_t)kin->p.n + 1;
    size_t *who = ARENA_NEW(mem, size_t, n);
    uint32_t *group = ARENA_NEW(mem, uint32_t, kin->n + 1);

    kin->f = ARENA_NEW(mem, double, n);
    kin->d = ARENA_NEW(mem, double, n);
    kin->t = ARENA_NEW(mem, double, n);
    if (!who || !group || !kin->f || !kin->d || !kin->t)
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    for (size_t i = 0; i < n; i++)
        who[i] = KIN_NONE;
    for (size_t i = 0; i < kin->n; i++) {
        const uint32_t at = kin->p.of_row[i];
        kin->animals[i].at = at;
        if (at && who[at] == KIN_NONE)
            who[at] = i;
        if (at && kin->animals[i].breeds)
            group[kin->n_group++] = at;
    }
    kin->who = who;
    kin->group = group;
    enum status st = pedigree_inbreeding(&kin->p, PEDIGREE_BEST, NULL, mem, kin->f, why);
    if (st != ST_OK)
        return st;
    pedigree_mendelian(&kin->p, kin->f, kin->d);
    pedigree_equivalent(&kin->p, kin->t);
    if (kin->n_group == 0)
        return ST_OK;
    kin->mk = ARENA_NEW(mem, double, n);
    if (!kin->mk)
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    const struct genes_group all = { kin->n_group, group, NULL };
    return genes_mean_kinship(&kin->p, kin->d, &all, mem, kin->mk, why);
}

enum status kin_reckon(struct kin *kin, unsigned depth, size_t n_also, const size_t also[], struct arena *mem,
                       struct message *why)
{
    kin->depth = depth;
    if (kin->n == 0)
        return ST_OK;
    const unsigned *far = distances(kin, n_also, also, mem);
    if (!far)
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    enum status st = order(kin, far, mem, why);
    if (st == ST_OK)
        st = measure(kin, mem, why);
    return st == ST_OK ? kin_breeds(kin, mem, why) : st;
}

double kin_f(const struct kin *kin, size_t animal)
{
    const uint32_t at = kin->animals[animal].at;
    return at == 0 || (kin->in_loop && kin->in_loop[at]) ? (double)NAN : kin->f[at];
}

double kin_generations(const struct kin *kin, size_t animal)
{
    const uint32_t at = kin->animals[animal].at;
    return at == 0 ? (double)NAN : kin->t[at];
}

/* ---- finding ---- */

static void near_names(const struct kin *kin, const char *name, enum kin_sex sex, char out[static 160])
{
    size_t used = 0;

    *out = '\0';
    for (size_t i = 0; i < kin->n && used < 120; i++)
        if ((sex == KIN_ANY || kin->animals[i].male == (sex == KIN_MALE)) && near_enough(name, kin->animals[i].name)) {
            const int n =
                snprintf(out + used, 160 - used, "%s%.30s", used ? ", " : "; did you mean ", kin->animals[i].name);
            used += n > 0 ? (size_t)n : 0;
        }
    if (used)
        (void)snprintf(out + used, 160 - used, "?");
}

enum status kin_find(const struct kin *kin, const char *field, const char *name, enum kin_sex sex, size_t *animal,
                     struct message *why)
{
    static const char *const what[] = { "animal", "boar", "sow or gilt" };
    size_t hit[4] = { KIN_NONE, KIN_NONE, KIN_NONE, KIN_NONE }, n[4] = { 0, 0, 0, 0 };
    char near[160];

    for (size_t i = 0; i < kin->n; i++) {
        const struct kin_animal *a = &kin->animals[i];
        const bool exact = strcmp(a->name, name) == 0 || strcmp(a->uid, name) == 0 || strcmp(a->id, name) == 0 ||
                           (*a->tag && strcmp(a->tag, name) == 0);
        if (sex != KIN_ANY && a->male != (sex == KIN_MALE))
            continue;
        if (!exact && near_steps(a->name, name) != 0) /* the same but for capitals */
            continue;
        const size_t rank = (a->here ? 0u : 1u) + (exact ? 0u : 2u);
        hit[rank] = i;
        n[rank]++;
    }
    for (size_t rank = 0; rank < COUNT(n); rank++) {
        if (n[rank] > 1)
            return refuse(ST_CONFLICT, why, field, "--%s: \"%.40s\" is the name or tag of %zu animals; use the uid",
                          field, name, n[rank]);
        if (n[rank] == 1) {
            *animal = hit[rank];
            return ST_OK;
        }
    }
    near_names(kin, name, sex, near);
    return refuse(ST_NOT_FOUND, why, field, "--%s: no %s \"%.40s\" is known%s", field, what[sex], name, near);
}
