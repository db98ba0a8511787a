/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From rows to animals: who has a row, who has two, who stands for nobody; then the order and the finished arrays. */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/pedigree/given.h"

const char *const pedigree_kind_name[PK_END] = {
    [PK_LOOP] = "loop",   [PK_DUPLICATE] = "duplicate",     [PK_NO_ROW] = "no-row", [PK_SEX] = "sex",
    [PK_BORN] = "born",   [PK_PLACEHOLDER] = "placeholder", [PK_LITTER] = "litter", [PK_SAME_PARENTS] = "same-parent",
    [PK_BREED] = "breed",
};

struct pedigree_rules pedigree_rules_default(void)
{
    return (struct pedigree_rules){ .boar_least_d = 183,
                                    .sow_least_d = 274,
                                    .sow_most_d = 4383,
                                    .litters_apart_d = 115,
                                    .litter_most = 25,
                                    .generations = 0 };
}

/* ---- findings ---- */

void tell(struct findings_pot *pot, enum pedigree_kind kind, enum pedigree_weight weight, uint32_t line, const char *id,
          const char *fmt, ...)
{
    va_list args;
    char small[512];

    if (pot->n == pot->room) {
        const size_t room = pot->room ? pot->room * 2 : 64;
        struct pedigree_finding *list = ARENA_NEW(&pot->work, struct pedigree_finding, room);
        if (!list) {
            pot->mem->full = true;
            return;
        }
        if (pot->n)
            memcpy(list, pot->list, pot->n * sizeof *list);
        pot->list = list;
        pot->room = room;
    }
    va_start(args, fmt);
    const int n = vsnprintf(small, sizeof small, fmt, args);
    va_end(args);
    char *says = n < 0 ? NULL : ARENA_NEW(pot->mem, char, (size_t)n + 1);
    if (!says)
        return;
    va_start(args, fmt);
    (void)vsnprintf(says, (size_t)n + 1, fmt, args);
    va_end(args);
    pot->list[pot->n++] = (struct pedigree_finding){ kind, weight, line, id, says };
    pot->wrong += weight == PEDIGREE_WRONG;
}

static int by_line(const void *a, const void *b)
{
    const struct pedigree_finding *x = a, *y = b;

    if (x->line != y->line)
        return x->line < y->line ? -1 : 1;
    if (x->kind != y->kind)
        return x->kind < y->kind ? -1 : 1;
    const int d = strcmp(x->id, y->id);
    return d ? d : strcmp(x->says, y->says);
}

/* ---- rows ---- */

static void drop(struct given *g, size_t r)
{
    g->id[r] = 0;
}

static void second_row(struct order *o, struct given *g, size_t r)
{
    const uint32_t i = g->id[r], first = o->row[i] - 1;
    const char *id = name_text(o, i);

    if (g->sire[first] == g->sire[r] && g->dam[first] == g->dam[r])
        tell(o->pot, PK_DUPLICATE, PEDIGREE_ODD, g->line[r], id,
             "%s is entered twice with the same parents, first on line %u. The second row was left out.", id,
             g->line[first]);
    else
        tell(o->pot, PK_DUPLICATE, PEDIGREE_WRONG, g->line[r], id,
             "%s is entered twice with different parents, first on line %u. The second row was left out; keep the "
             "right one.",
             id, g->line[first]);
    drop(g, r);
}

static void take_rows(struct order *o, struct given *g)
{
    for (size_t r = 0; r < g->n; r++) {
        const uint32_t i = g->id[r];
        if (i && o->nobody[i]) {
            const char *id = name_text(o, i);
            tell(o->pot, PK_PLACEHOLDER, PEDIGREE_WRONG, g->line[r], id,
                 "\"%s\" is no id: it stands for an animal that is not known. The row was left out.", id);
            drop(g, r);
        } else if (!i) {
            tell(o->pot, PK_PLACEHOLDER, PEDIGREE_WRONG, g->line[r], "",
                 "A row without an id (empty, 0 or another way to write unknown). It was left out.");
        } else if (o->row[i]) {
            second_row(o, g, r);
        } else {
            o->row[i] = (uint32_t)r + 1;
            o->sire[i] = g->sire[r];
            o->dam[i] = g->dam[r];
        }
    }
}

/* Named stand-ins among the parents are unknown; told once each, with how often. */
static bool clear_nobodies(struct order *o, struct given *g)
{
    uint32_t *times = NULL, *line = NULL;

    for (uint32_t i = 1; i <= g->names.n; i++) {
        const struct piece p = g->names.text[i];
        o->nobody[i] = placeholder_text(p.at, p.n);
        if (o->nobody[i] && !times) {
            times = ARENA_NEW(o->work, uint32_t, (size_t)g->names.n + 1);
            line = ARENA_NEW(o->work, uint32_t, (size_t)g->names.n + 1);
            if (!times || !line)
                return false;
        }
    }
    if (!times)
        return true;
    for (size_t r = 0; r < g->n; r++)
        for (unsigned k = 0; k < 2; k++) {
            uint32_t *parent = k ? &g->dam[r] : &g->sire[r];
            if (*parent && o->nobody[*parent]) {
                if (!times[*parent]++)
                    line[*parent] = g->line[r];
                *parent = 0;
            }
        }
    for (uint32_t i = 1; i <= g->names.n; i++)
        if (times[i]) {
            const char *id = name_text(o, i);
            tell(o->pot, PK_PLACEHOLDER, PEDIGREE_WRONG, line[i], id,
                 "\"%s\" stands for a parent that is not known, %u %s. As an animal it would make half sibs that are "
                 "none; it was taken as unknown. Leave the cell empty.",
                 id, times[i], times[i] == 1 ? "time" : "times");
        }
    return true;
}

static bool same_parents(struct order *o, const struct given *g)
{
    for (size_t r = 0; r < g->n; r++)
        if (g->id[r] && g->sire[r] && g->sire[r] == g->dam[r] && g->sire[r] != g->id[r]) {
            const char *id = name_text(o, g->id[r]);
            tell(o->pot, PK_SAME_PARENTS, PEDIGREE_WRONG, g->line[r], id,
                 "%s has the same animal, %s, as sire and as dam. One of them is wrong.", id, name_text(o, g->sire[r]));
        }
    return !arena_full(o->pot->mem);
}

/* ---- finished arrays ---- */

static char *all_ids(const struct order *o, struct arena *mem)
{
    size_t bytes = 1;

    for (uint32_t k = 1; k <= o->n; k++)
        bytes += o->g->names.text[o->sequence[k]].n + 1;
    return ARENA_NEW(mem, char, bytes);
}

struct columns { /* of the pedigree, while it is filled */
    uint32_t *sire, *dam, *line, *of_row, *number;
    const char **id, **name;
    uint8_t *sex, *year_only;
    int32_t *born;
    uint16_t *breed;
};

static bool columns_open(struct columns *c, const struct given *g, const struct order *o, struct arena *mem)
{
    const size_t all = (size_t)o->n + 1;

    *c = (struct columns){ .sire = ARENA_NEW(mem, uint32_t, all), .dam = ARENA_NEW(mem, uint32_t, all) };
    c->line = ARENA_NEW(mem, uint32_t, all);
    c->of_row = ARENA_NEW(mem, uint32_t, g->n);
    c->number = ARENA_NEW(o->work, uint32_t, (size_t)g->names.n + 1);
    c->id = ARENA_NEW(mem, const char *, all);
    c->sex = ARENA_NEW(mem, uint8_t, all);
    c->year_only = ARENA_NEW(mem, uint8_t, all);
    c->born = ARENA_NEW(mem, int32_t, all);
    c->name = g->name ? ARENA_NEW(mem, const char *, all) : NULL;
    c->breed = g->breed ? ARENA_NEW(mem, uint16_t, all) : NULL;
    return !arena_full(mem) && c->number;
}

static void fill_row(struct columns *c, const struct given *g, uint32_t k, size_t r)
{
    c->line[k] = g->line[r];
    if (g->sex)
        c->sex[k] = g->sex[r];
    if (g->born && g->born[r] != PEDIGREE_NO_DAY) {
        c->born[k] = g->born[r];
        c->year_only[k] = g->year_only[r];
    }
    if (g->name && g->name[r])
        c->name[k] = g->name[r];
    if (g->breed)
        c->breed[k] = g->breed[r];
    c->of_row[r] = k;
}

static bool fill(struct columns *c, const struct given *g, const struct order *o, struct arena *mem)
{
    char *text = all_ids(o, mem);

    if (!text || !columns_open(c, g, o, mem))
        return false;
    *text++ = 0;
    c->id[0] = text - 1;
    c->born[0] = PEDIGREE_NO_DAY;
    if (c->name)
        c->name[0] = c->id[0];
    if (c->breed)
        c->breed[0] = PEDIGREE_NO_BREED;
    for (uint32_t k = 1; k <= o->n; k++) {
        const uint32_t i = o->sequence[k];
        const struct piece p = g->names.text[i];
        c->number[i] = k;
        c->sire[k] = c->number[o->sire[i]];
        c->dam[k] = c->number[o->dam[i]];
        memcpy(text, p.at, p.n);
        c->id[k] = text;
        text += p.n + 1;
        c->born[k] = PEDIGREE_NO_DAY;
        if (c->name)
            c->name[k] = c->id[0];
        if (c->breed)
            c->breed[k] = PEDIGREE_NO_BREED;
        if (o->row[i])
            fill_row(c, g, k, o->row[i] - 1);
    }
    return true;
}

/* Parents of animals that are `generations` or more above every animal without offspring that descends from them are
 * not read. */
static bool cut_depth(struct columns *c, uint32_t n, unsigned generations, struct arena *work)
{
    uint32_t *above = ARENA_NEW(work, uint32_t, (size_t)n + 1);

    if (!above)
        return false;
    memset(above, 0xff, ((size_t)n + 1) * sizeof *above);
    for (uint32_t i = n; i > 0; i--) {
        if (above[i] == UINT32_MAX)
            above[i] = 0;
        if (above[i] >= generations)
            c->sire[i] = c->dam[i] = 0;
        const uint32_t next = above[i] + 1, s = c->sire[i], m = c->dam[i];
        above[s] = next < above[s] ? next : above[s];
        above[m] = next < above[m] ? next : above[m];
    }
    return true;
}

static void finish(struct pedigree *p, const struct columns *c, const struct given *g, uint32_t n)
{
    *p = (struct pedigree){ .n = n,
                            .sire = c->sire,
                            .dam = c->dam,
                            .id = c->id,
                            .name = c->name,
                            .sex = c->sex,
                            .born = c->born,
                            .year_only = c->year_only,
                            .breed = c->breed,
                            .breeds = g->breeds,
                            .n_breeds = g->n_breeds,
                            .line = c->line,
                            .of_row = c->of_row,
                            .n_rows = g->n };
}

static bool loops(const struct order *o, struct arena *mem, const uint8_t **in_loop)
{
    *in_loop = NULL;
    if (!o->loop)
        return true;
    uint8_t *in = ARENA_NEW(mem, uint8_t, (size_t)o->n + 1);
    for (uint32_t k = 1; in && k <= o->n; k++)
        in[k] = o->loop[o->sequence[k]];
    *in_loop = in;
    return in != NULL;
}

static void imply_sex(struct pedigree *p, uint8_t *sex)
{
    for (uint32_t i = 1; i <= p->n; i++) {
        if (p->sire[i] && sex[p->sire[i]] == PEDIGREE_SEX_UNKNOWN)
            sex[p->sire[i]] = PEDIGREE_MALE;
        if (p->dam[i] && sex[p->dam[i]] == PEDIGREE_SEX_UNKNOWN)
            sex[p->dam[i]] = PEDIGREE_FEMALE;
    }
}

static bool settle(struct given *g, const struct pedigree_rules *rules, struct arena *mem, struct arena *work,
                   struct findings_pot *pot, struct pedigree *p, const uint8_t **in_loop)
{
    const size_t names = (size_t)g->names.n + 1;
    struct order o = { .g = g,
                       .row = ARENA_NEW(work, uint32_t, names),
                       .sire = ARENA_NEW(work, uint32_t, names),
                       .dam = ARENA_NEW(work, uint32_t, names),
                       .nobody = ARENA_NEW(work, uint8_t, names),
                       .work = work,
                       .pot = pot };
    struct columns c;

    if (!o.row || !o.sire || !o.dam || !o.nobody || !clear_nobodies(&o, g))
        return false;
    take_rows(&o, g);
    if (!same_parents(&o, g) || !order_make(&o) || !fill(&c, g, &o, mem) || !loops(&o, mem, in_loop))
        return false;
    if (rules->generations && !cut_depth(&c, o.n, rules->generations, work))
        return false;
    finish(p, &c, g, o.n);
    if (!checks(p, g, rules, work, pot) || !check_spellings(p, work, pot))
        return false;
    imply_sex(p, c.sex);
    return !arena_full(mem);
}

static enum status finding_list(struct findings_pot *pot, struct arena *mem, struct pedigree_findings *out,
                                struct message *why)
{
    struct pedigree_finding *list = ARENA_NEW(mem, struct pedigree_finding, pot->n);

    if (!list)
        return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
    if (pot->n) {
        memcpy(list, pot->list, pot->n * sizeof *list);
        qsort(list, pot->n, sizeof *list, by_line);
    }
    *out = (struct pedigree_findings){ .n = pot->n, .wrong = pot->wrong, .list = list };
    return ST_OK;
}

enum status given_refuse(uint32_t n_breeds, uint32_t line, struct message *why)
{
    if (n_breeds >= PEDIGREE_NO_BREED)
        return refuse(ST_BAD_INPUT, why, "pedigree",
                      "line %u: this is breed number %u, and %d can be told apart; is another column meant as breed?",
                      line, n_breeds, PEDIGREE_NO_BREED - 1);
    return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
}

enum status given_settle(struct given *g, const struct pedigree_rules *rules, struct findings_pot *pot,
                         struct arena *mem, struct pedigree *p, struct pedigree_findings *out, const uint8_t **in_loop,
                         struct message *why)
{
    const struct pedigree_rules usual = pedigree_rules_default();
    const uint8_t *loop = NULL;
    struct arena work;
    enum status st;

    arena_open(&work, SIZE_MAX);
    if (!settle(g, rules ? rules : &usual, mem, &work, pot, p, &loop))
        st = refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
    else if (p->n == 0)
        st = refuse(ST_BAD_INPUT, why, "pedigree",
                    g->n ? "no row has an id that can be used; give each animal one"
                         : "there is no row in the pedigree; give one for each animal");
    else
        st = finding_list(pot, mem, out, why);
    if (in_loop)
        *in_loop = loop;
    arena_close(&work);
    names_close(&g->names);
    return st;
}
