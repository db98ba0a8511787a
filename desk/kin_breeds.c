/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Parts of breeds, and what a breed society makes of them. Shares are exact: halves of halves. */
#include <math.h>
#include <string.h>

#include "core/base/units.h"
#include "core/pedigree/genes.h"
#include "desk/kin.h"

/* A part of a breed as recorded: "Hedgerow Black 3/4", "Marsh Ginger 25%", "Marsh Ginger". Its name is s[0 .. length);
 * the share NAN where none is written. */
struct part {
    const char *name;
    size_t length;
    double share;
};

/* "3/4" -> 0.75, "25%" -> 0.25; NAN: no share. */
static double share_of(const char *s, size_t n)
{
    char text[32];
    double over = NAN, under = NAN;
    char *slash = NULL;

    if (n == 0 || n >= sizeof text)
        return NAN;
    memcpy(text, s, n);
    text[n] = '\0';
    if (text[n - 1] == '%') {
        text[n - 1] = '\0';
        return read_real(text, &over) && over >= 0.0 && over <= 100.0 ? over / 100.0 : (double)NAN;
    }
    slash = strchr(text, '/');
    if (!slash)
        return NAN;
    *slash = '\0';
    if (!read_real(text, &over) || !read_real(slash + 1, &under) || !(under > 0.0) || !(over >= 0.0 && over <= under))
        return NAN;
    return over / under;
}

static struct part part_of(const char *s, size_t n)
{
    while (n > 0 && *s == ' ') {
        s++;
        n--;
    }
    while (n > 0 && s[n - 1] == ' ')
        n--;
    size_t space = n;
    while (space > 0 && s[space - 1] != ' ')
        space--;
    const double share = share_of(s + space, n - space);
    if (isnan(share))
        return (struct part){ s, n, NAN };
    while (space > 0 && s[space - 1] == ' ')
        space--;
    return (struct part){ s, space, share };
}

struct breeds {
    const char **name;
    size_t n;
    struct arena *mem;
};

/* Index of a breed, which is added when it is new; KIN_NONE: too many, or no memory. */
static size_t breed_index(struct breeds *b, const char *name, size_t length)
{
    for (size_t i = 0; i < b->n; i++)
        if (strlen(b->name[i]) == length && strncmp(b->name[i], name, length) == 0)
            return i;
    if (b->n == KIN_BREEDS_MOST)
        return KIN_NONE;
    b->name[b->n] = arena_bytes(b->mem, name, length);
    return b->name[b->n] ? b->n++ : KIN_NONE;
}

/* Calls back each part of a record; the number of parts. */
static size_t parts_of(const char *breed, struct part part[static KIN_BREEDS_MOST])
{
    size_t n = 0;

    for (const char *s = breed; *s && n < KIN_BREEDS_MOST;) {
        const size_t length = strcspn(s, ",;");
        const struct part p = part_of(s, length);
        if (p.length > 0)
            part[n++] = p;
        s += length + (s[length] != '\0');
    }
    return n;
}

/* What is recorded of one animal, as shares that sum to 1: parts without a share divide what is left between them, and
 * what is left over is unknown. True: it is recorded in parts. */
static bool recorded(struct breeds *b, const char *breed, double share[static KIN_BREEDS_MOST + 1])
{
    struct part part[KIN_BREEDS_MOST];
    const size_t n = parts_of(breed, part);
    double sum = 0.0;
    size_t bare = 0;

    memset(share, 0, (KIN_BREEDS_MOST + 1) * sizeof *share);
    for (size_t i = 0; i < n; i++) {
        bare += isnan(part[i].share) ? 1u : 0u;
        sum += isnan(part[i].share) ? 0.0 : part[i].share;
    }
    const double scale = sum > 1.0 ? 1.0 / sum : 1.0, left = sum < 1.0 ? 1.0 - sum : 0.0;
    for (size_t i = 0; i < n; i++) {
        const size_t at = breed_index(b, part[i].name, part[i].length);
        const double x = isnan(part[i].share) ? left / (double)bare : part[i].share * scale;
        share[at == KIN_NONE ? KIN_BREEDS_MOST : at] += x;
    }
    if (bare == 0)
        share[KIN_BREEDS_MOST] += left;
    return n > 1;
}

enum status kin_breeds(struct kin *kin, struct arena *mem, struct message *why)
{
    struct breeds b = { ARENA_NEW(mem, const char *, KIN_BREEDS_MOST), 0, mem };
    double own[KIN_BREEDS_MOST + 1];
    double **g = ARENA_NEW(mem, double *, (size_t)kin->p.n + 1);

    if (!g || !b.name)
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    for (size_t i = 0; i < kin->n; i++) /* all names first, so that rows have one length */
        (void)recorded(&b, kin->animals[i].breed, own);
    for (uint32_t i = 1; i <= kin->p.n; i++) {
        const double *s = kin->p.sire[i] ? g[kin->p.sire[i]] : NULL, *d = kin->p.dam[i] ? g[kin->p.dam[i]] : NULL;
        const size_t a = kin->who[i];
        g[i] = ARENA_NEW(mem, double, b.n + 1);
        if (!g[i])
            return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
        const bool in_parts = recorded(&b, a == KIN_NONE ? "" : kin->animals[a].breed, own);
        const bool said = a != KIN_NONE && *kin->animals[a].breed;
        own[b.n] = own[KIN_BREEDS_MOST];
        if (!said)
            own[b.n] = 1.0;
        for (size_t k = 0; k <= b.n; k++)
            g[i][k] = s && d                   ? (s[k] + d[k]) / 2.0
                      : (!s && !d) || in_parts ? own[k]
                                               : ((s ? s[k] : d[k]) + own[k]) / 2.0;
    }
    for (size_t i = 0; i < kin->n; i++)
        kin->animals[i].parts = kin->animals[i].at ? g[kin->animals[i].at] : NULL;
    kin->breeds = b.name;
    kin->n_breeds = b.n;
    return ST_OK;
}

/* ---- societies ---- */

enum status kin_societies(struct farm *farm, int64_t known_to, struct arena *mem, struct kin_society **list, size_t *n,
                          struct message *why)
{
    const struct fact_kind *kind = fact_kind_find("society");
    struct fact *facts = NULL;
    const enum status st = farm_facts(farm, kind, known_to, mem, &facts, n, why);

    if (st != ST_OK)
        return st;
    *list = ARENA_NEW(mem, struct kin_society, *n + 1);
    if (!*list)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < *n; i++) {
        const char *boars = fact_text(kind, facts[i].value, "boars");
        (*list)[i] =
            (struct kin_society){ fact_text(kind, facts[i].value, "breed"),
                                  fact_real(kind, facts[i].value, "sow_share"),
                                  fact_real(kind, facts[i].value, "boar_share"), !boars || strcmp(boars, "yes") == 0 };
    }
    return ST_OK;
}

const char *kin_society_says(const struct kin_society *s, bool male, double share, struct arena *mem)
{
    static const char *const times[] = { "", "one more cross", "two more crosses", "three more crosses",
                                         "four more crosses" };
    const double from = male ? s->boar_share : s->sow_share;
    unsigned crosses = 0;

    if (share >= 1.0)
        return "may be entered";
    if (male && !s->boars)
        return "not by its rule: graded-up boars are not taken";
    if (isnan(from))
        return "not by its rule: pure only";
    for (double x = share; x < from && crosses < 5; x = (1.0 + x) / 2.0)
        crosses++;
    if (crosses == 0)
        return "may be entered";
    if (crosses > 4)
        return "far from it";
    return arena_print(mem, "%s with a pure %s, and %s may be entered", times[crosses], male ? "sow" : "boar",
                       male ? "his sons" : "her daughters");
}

/* ---- words ---- */

size_t kin_breeds_by_share(const struct kin *kin, const struct kin_animal *a, size_t which[static KIN_BREEDS_MOST + 1])
{
    bool done[KIN_BREEDS_MOST + 1] = { false };
    size_t n = 0;

    while (a->parts && n <= KIN_BREEDS_MOST) {
        size_t best = SIZE_MAX;
        for (size_t k = 0; k <= kin->n_breeds && k <= KIN_BREEDS_MOST; k++)
            if (!done[k] && a->parts[k] > 0.0 && (best == SIZE_MAX || a->parts[k] > a->parts[best]))
                best = k;
        if (best == SIZE_MAX)
            break;
        done[best] = true;
        which[n++] = best;
    }
    return n;
}

const char *kin_breed_name(const struct kin *kin, size_t which)
{
    return which == kin->n_breeds ? "unknown" : kin->breeds[which];
}

const char *kin_breeds_say(const struct kin *kin, const struct kin_animal *a, struct arena *mem)
{
    size_t which[KIN_BREEDS_MOST + 1];
    const size_t n = kin_breeds_by_share(kin, a, which);
    const char *says = NULL;

    for (size_t i = 0; i < n; i++) {
        const double share = a->parts[which[i]];
        const char *name = kin_breed_name(kin, which[i]);
        uint32_t over = 0, under = 0;
        const char *part = share >= 1.0 ? name
                           : genes_fraction(share, &over, &under)
                               ? arena_print(mem, "%s %u/%u", name, over, under)
                               : arena_print(mem, "%s %s", name, kin_percent(share, mem));
        says = says ? arena_print(mem, "%s, %s", says, part) : part;
    }
    return says;
}
