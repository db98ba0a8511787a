/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What looks wrong in a finished pedigree: sexes, births, litters, parents without a row. */
#include <stdlib.h>

#include "core/base/civil.h"
#include "core/pedigree/given.h"

/* ---- use: who is named as what, how often, where first ---- */

struct use {
    uint32_t as_sire, as_dam, line;
};

static void use_of(const struct pedigree *p, struct use *use)
{
    for (uint32_t i = 1; i <= p->n; i++) {
        struct use *s = &use[p->sire[i]], *m = &use[p->dam[i]];
        s->as_sire++;
        m->as_dam++;
        if (!s->line || p->line[i] < s->line)
            s->line = p->line[i];
        if (!m->line || p->line[i] < m->line)
            m->line = p->line[i];
    }
}

static const char *times(uint32_t n)
{
    return n == 1 ? "row" : "rows";
}

static void check_use(const struct pedigree *p, const struct use *use, struct findings_pot *pot)
{
    for (uint32_t i = 1; i <= p->n; i++) {
        const struct use *u = &use[i];
        const char *id = p->id[i];
        const uint32_t line = p->line[i] ? p->line[i] : u->line;
        if (!p->line[i])
            tell(pot, PK_NO_ROW, PEDIGREE_NOTE, u->line, id,
                 "%s is named as a parent in %u %s and has no row of its own; its parents count as unknown.", id,
                 u->as_sire + u->as_dam, times(u->as_sire + u->as_dam));
        if (u->as_sire && u->as_dam)
            tell(pot, PK_SEX, PEDIGREE_WRONG, line, id, "%s is used as a sire in %u %s and as a dam in %u.", id,
                 u->as_sire, times(u->as_sire), u->as_dam);
        else if (u->as_sire && p->sex[i] == PEDIGREE_FEMALE)
            tell(pot, PK_SEX, PEDIGREE_WRONG, line, id, "%s is entered as female and used as a sire in %u %s.", id,
                 u->as_sire, times(u->as_sire));
        else if (u->as_dam && p->sex[i] == PEDIGREE_MALE)
            tell(pot, PK_SEX, PEDIGREE_WRONG, line, id, "%s is entered as male and used as a dam in %u %s.", id,
                 u->as_dam, times(u->as_dam));
    }
}

/* ---- births ---- */

struct birth {
    char text[32];
};

static struct birth birth(const struct pedigree *p, uint32_t i)
{
    struct birth b;

    (void)civil_date_text(p->born[i], b.text);
    if (p->year_only[i])
        b.text[4] = 0;
    return b;
}

static void by_years(const struct pedigree *p, uint32_t i, uint32_t parent, bool dam,
                     const struct pedigree_rules *rules, struct findings_pot *pot)
{
    const int years = civil_from_days(p->born[i]).year - civil_from_days(p->born[parent]).year;
    const char *role = dam ? "dam" : "sire", *id = p->id[i], *of = p->id[parent];

    if (years < 0)
        tell(pot, PK_BORN, PEDIGREE_WRONG, p->line[i], id, "%s was born in %s, before its %s %s (%s).", id,
             birth(p, i).text, role, of, birth(p, parent).text);
    else if (years == 0)
        tell(pot, PK_BORN, PEDIGREE_HINT, p->line[i], id, "%s was born in the same year as its %s %s (%s).", id, role,
             of, birth(p, i).text);
    else if (dam && (years - 1) * 365.25 > rules->sow_most_d)
        tell(pot, PK_BORN, PEDIGREE_ODD, p->line[i], id, "The dam of %s, %s, was %d years old.", id, of, years);
}

static void by_days(const struct pedigree *p, uint32_t i, uint32_t parent, bool dam, const struct pedigree_rules *rules,
                    struct findings_pot *pot)
{
    const int days = (int)((int64_t)p->born[i] - p->born[parent]);
    const double least = dam ? rules->sow_least_d : rules->boar_least_d;
    const char *role = dam ? "dam" : "sire", *id = p->id[i], *of = p->id[parent];

    if (days <= 0)
        tell(pot, PK_BORN, PEDIGREE_WRONG, p->line[i], id, "%s was born on %s, %s its %s %s (%s).", id,
             birth(p, i).text, days ? "before" : "on the same day as", role, of, birth(p, parent).text);
    else if (days < least)
        tell(pot, PK_BORN, PEDIGREE_ODD, p->line[i], id, "The %s of %s, %s, was only %d days old when it was born.",
             role, id, of, days);
    else if (dam && days > rules->sow_most_d)
        tell(pot, PK_BORN, PEDIGREE_ODD, p->line[i], id, "The dam of %s, %s, was %.1f years old.", id, of,
             days / 365.25);
}

static void check_births(const struct pedigree *p, const struct pedigree_rules *rules, struct findings_pot *pot)
{
    for (uint32_t i = 1; i <= p->n; i++)
        for (unsigned k = 0; k < 2; k++) {
            const uint32_t parent = k ? p->dam[i] : p->sire[i];
            if (!parent || p->born[i] == PEDIGREE_NO_DAY || p->born[parent] == PEDIGREE_NO_DAY)
                continue;
            if (p->year_only[i] || p->year_only[parent])
                by_years(p, i, parent, k == 1, rules, pot);
            else
                by_days(p, i, parent, k == 1, rules, pot);
        }
}

/* ---- litters ---- */

struct young {
    int32_t born;
    uint32_t animal;
};

static int by_birth(const void *a, const void *b)
{
    const struct young *x = a, *y = b;

    if (x->born != y->born)
        return x->born < y->born ? -1 : 1;
    return x->animal < y->animal ? -1 : x->animal > y->animal;
}

/* One litter: y[0 .. n), born within three days. */
static void check_litter(const struct pedigree *p, uint32_t dam, size_t n, const struct young y[],
                         const struct pedigree_rules *rules, struct findings_pot *pot)
{
    const uint32_t i = y[0].animal;
    uint32_t sire = 0;

    for (size_t k = 0; k < n; k++) {
        const uint32_t s = p->sire[y[k].animal];
        if (sire && s && s != sire) {
            tell(pot, PK_LITTER, PEDIGREE_ODD, p->line[y[k].animal], p->id[y[k].animal],
                 "%s of dam %s, born %s, has sire %s; its litter mate %s has %s.", p->id[y[k].animal], p->id[dam],
                 birth(p, y[k].animal).text, p->id[s], p->id[i], p->id[sire]);
            break;
        }
        sire = s ? s : sire;
    }
    if (n > rules->litter_most)
        tell(pot, PK_LITTER, PEDIGREE_ODD, p->line[i], p->id[dam], "%s has %zu young born on %s.", p->id[dam], n,
             birth(p, i).text);
}

static void check_dam(const struct pedigree *p, uint32_t dam, size_t n, struct young y[],
                      const struct pedigree_rules *rules, struct findings_pot *pot)
{
    size_t from = 0;

    if (n > 1)
        qsort(y, n, sizeof *y, by_birth);
    while (from < n) {
        size_t to = from + 1;
        while (to < n && (int64_t)y[to].born - y[from].born <= 3)
            to++;
        check_litter(p, dam, to - from, y + from, rules, pot);
        if (from) {
            const int64_t apart = (int64_t)y[from].born - y[from - 1].born;
            if ((double)apart < rules->litters_apart_d)
                tell(pot, PK_BORN, PEDIGREE_ODD, p->line[y[from].animal], p->id[y[from].animal],
                     "%s was born %d days after the litter before it of the same dam, %s (%s).", p->id[y[from].animal],
                     (int)apart, p->id[dam], birth(p, y[from - 1].animal).text);
        }
        from = to;
    }
}

static bool check_litters(const struct pedigree *p, const struct pedigree_rules *rules, struct arena *work,
                          struct findings_pot *pot)
{
    uint32_t *end = ARENA_NEW(work, uint32_t, (size_t)p->n + 2);
    struct young *y = ARENA_NEW(work, struct young, p->n);

    if (!end || !y)
        return false;
    for (uint32_t i = 1; i <= p->n; i++)
        if (p->dam[i] && p->born[i] != PEDIGREE_NO_DAY && !p->year_only[i])
            end[p->dam[i] + 1]++;
    for (uint32_t m = 0; m <= p->n; m++)
        end[m + 1] += end[m];
    for (uint32_t i = 1; i <= p->n; i++)
        if (p->dam[i] && p->born[i] != PEDIGREE_NO_DAY && !p->year_only[i])
            y[end[p->dam[i]]++] = (struct young){ p->born[i], i };
    for (uint32_t m = 1; m <= p->n; m++)
        if (end[m] > end[m - 1])
            check_dam(p, m, end[m] - end[m - 1], y + end[m - 1], rules, pot);
    return true;
}

bool checks(const struct pedigree *p, const struct given *g, const struct pedigree_rules *rules, struct arena *work,
            struct findings_pot *pot)
{
    struct use *use = ARENA_NEW(work, struct use, (size_t)p->n + 1);

    if (!use)
        return false;
    use_of(p, use);
    check_use(p, use, pot);
    check_breeds(p, pot);
    if (g->born) {
        check_births(p, rules, pot);
        if (!check_litters(p, rules, work, pot))
            return false;
    }
    return !arena_full(pot->mem);
}
