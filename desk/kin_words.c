/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Kin in words, and the parts of an answer that all questions about kin share. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/joined.h"
#include "desk/kin.h"
#include "desk/when.h"

/* A sum of halves of halves may come out a hair under the step it stands on. */
static const double hair = 1e-9;

static const struct {
    double from;
    const char *word;
    int level;
} steps[] = {
    { 0.375, "closer than a full brother", 4 }, { 0.25, "as full brother", 4 },
    { 0.1875, "as three-quarter brother", 3 },  { 0.125, "as half-brother", 3 },
    { 0.078125, "closer than cousins", 2 },     { 0.0625, "as first cousin", 2 },
    { 0.03125, "as half-cousin", 1 },           { 0.0, "hardly kin", 0 },
};

const char *kin_word(double f, int *level)
{
    *level = -1;
    if (isnan(f))
        return "?";
    size_t i = 0;
    while (i + 1 < COUNT(steps) && f < steps[i].from - hair)
        i++;
    *level = steps[i].level;
    return f <= 0.0 ? "not kin as far as is known" : steps[i].word;
}

int kin_squares(double f)
{
    return isnan(f) ? 0 : f >= 0.25 ? 8 : (int)lround(f * 32.0);
}

bool kin_too_close(double f, double best)
{
    return f >= 0.125 - hair && f - best >= 0.03125 - hair;
}

static bool same(size_t a, size_t b)
{
    return a != KIN_NONE && a == b;
}

static bool full_sibs(const struct kin_animal *a, const struct kin_animal *b)
{
    return same(a->sire, b->sire) && same(a->dam, b->dam);
}

static bool parent_of(const struct kin *kin, size_t parent, size_t animal)
{
    return animal != KIN_NONE && (kin->animals[animal].sire == parent || kin->animals[animal].dam == parent);
}

/* Is the boar a full brother of one of these two? */
static bool brother_of(const struct kin *kin, size_t boar, size_t one, size_t other)
{
    const struct kin_animal *b = &kin->animals[boar];
    return (one != KIN_NONE && one != boar && full_sibs(&kin->animals[one], b)) ||
           (other != KIN_NONE && other != boar && full_sibs(&kin->animals[other], b));
}

const char *kin_relation(const struct kin *kin, size_t sow, size_t boar)
{
    const struct kin_animal *s = &kin->animals[sow], *b = &kin->animals[boar];

    if (s->sire == boar)
        return "her father";
    if (b->dam == sow)
        return "her son";
    if (full_sibs(s, b))
        return "her full brother";
    if (same(s->sire, b->sire) || same(s->dam, b->dam))
        return "her half-brother";
    if (parent_of(kin, boar, s->sire) || parent_of(kin, boar, s->dam))
        return "her grandfather";
    if (parent_of(kin, sow, b->sire) || parent_of(kin, sow, b->dam))
        return "her grandson";
    if (brother_of(kin, boar, s->sire, s->dam))
        return "her uncle";
    if ((b->sire != KIN_NONE && full_sibs(&kin->animals[b->sire], s)) ||
        (b->dam != KIN_NONE && full_sibs(&kin->animals[b->dam], s)))
        return "her nephew";
    return NULL;
}

const char *kin_ancestor_word(const struct kin *kin, size_t ancestor, unsigned generations, struct arena *mem)
{
    const bool male = kin->animals[ancestor].male;

    switch (generations) {
    case 0: return male ? "himself" : "herself";
    case 1: return male ? "sire" : "dam";
    case 2: return male ? "grandsire" : "grandam";
    case 3: return male ? "great-grandsire" : "great-grandam";
    case 4: return male ? "great-great-grandsire" : "great-great-grandam";
    default: return arena_print(mem, "%u generations back", generations);
    }
}

const char *kin_percent(double f, struct arena *mem)
{
    if (isnan(f))
        return "not known";
    if (f <= 0.0)
        return "0 %";
    return f < 0.0005 ? "under 0.1 %"
                      : arena_print(mem, "%.1f %%", floor(1000.0 * f + 0.5) / 10.0); /* halves up, as a browser does */
}

const char *kin_names(size_t n, const char *const names[], struct arena *mem)
{
    return n ? joined_with_and(n, names, mem) : "nobody";
}

const char *kin_day(int64_t days, struct arena *mem)
{
    const struct civil c = civil_from_days(days);
    return arena_print(mem, "%d %s %d", c.day, when_month[c.month], c.year);
}

const char *kin_sure(double generations)
{
    return !(generations >= 0.5) ? "unknown" : generations < 2.0 ? "little" : generations < 4.0 ? "some" : "well";
}

const char *kin_f_says(const struct kin *kin, size_t animal, struct arena *mem)
{
    const double f = kin_f(kin, animal), t = kin_generations(kin, animal);

    if (isnan(t))
        return "stands for nobody in particular: no figure";
    if (isnan(f))
        return "an ancestor of itself: no figure before that is put right";
    if (t < 0.5)
        return "not known: no parents recorded";
    if (t < 2.0)
        return arena_print(mem, "%s, but only %.1f generations are known: it may be more", kin_percent(f, mem), t);
    return arena_print(mem, "%s over %.1f generations", kin_percent(f, mem), t);
}

struct answer *kin_answer_pair(const struct kin *kin, size_t sow, size_t boar, double f, double best,
                               struct answer *list)
{
    int level = -1;
    const char *word = kin_word(f, &level), *relation = kin_relation(kin, sow, boar);
    struct answer *row = answer_item(list);
    const bool is_best = f <= best + hair, close = kin_too_close(f, best);

    answer_text(row, "sow", kin->animals[sow].name);
    answer_text(row, "boar", kin->animals[boar].name);
    answer_real_or(row, "f", f, "one of the two stands for nobody in particular, or is an ancestor of itself");
    answer_whole(row, "squares", kin_squares(f));
    answer_text(row, "word", isnan(f) ? NULL : word);
    if (level < 0)
        answer_null(row, "level", NULL);
    else
        answer_whole(row, "level", level);
    answer_text(row, "relation", relation);
    answer_real_or(row, "above_best", f - best, "the figure is not known");
    answer_flag(row, "best", is_best);
    answer_flag(row, "too_close", close);
    answer_print(row, "says", "%s: %s%s%s%s", kin_percent(f, row->mem), relation ? "he is " : word,
                 relation ? relation : "", close ? ", too close" : "",
                 is_best    ? ", the best there is for her"
                 : isnan(f) ? ""
                            : arena_print(row->mem, ", %.1f points above the best for her", 100.0 * (f - best)));
    return row;
}

/* ---- what it rests on ---- */

static void answer_findings(const struct kin *kin, struct answer *a)
{
    static const char *const weight[] = { "note", "hint", "odd", "wrong" };
    struct answer *list = answer_list(a, "findings");

    for (size_t i = 0; i < kin->found.n; i++) {
        const struct pedigree_finding *f = &kin->found.list[i];
        struct answer *row = answer_item(list);
        if (f->line)
            answer_whole(row, "line", f->line);
        else
            answer_null(row, "line", NULL);
        answer_text(row, "id", f->id);
        answer_text(row, "kind", pedigree_kind_name[f->kind]);
        answer_text(row, "weight", weight[f->weight]);
        answer_text(row, "says", f->says);
    }
}

void kin_answer_rests_on(const struct kin *kin, size_t n, const size_t animals[], struct answer *a)
{
    struct answer *o = answer_object(a, "rests_on");
    double sum = 0.0, least = INFINITY;
    const char *who = NULL;
    size_t known = 0;

    for (size_t i = 0; i < n; i++) {
        const double t = kin_generations(kin, animals[i]);
        if (isnan(t))
            continue;
        known++;
        sum += t;
        if (t < least) {
            least = t;
            who = kin->animals[animals[i]].name;
        }
    }
    answer_whole(o, "animals", kin->p.n);
    answer_real_or(o, "generations", known ? sum / (double)known : (double)NAN, "no animal was asked about");
    answer_real_or(o, "generations_least", least, "no animal was asked about");
    answer_text(o, "least_known", who);
    if (kin->depth)
        answer_whole(o, "depth", kin->depth);
    else
        answer_null(o, "depth", "all generations that are known");
    answer_print(o, "says", "Rests on %u animals; %s generations known on average%s%s.", (unsigned)kin->p.n,
                 known ? arena_print(a->mem, "%.1f", sum / (double)known) : "no",
                 who && least < 2.0 ? arena_print(a->mem, ", least of %s: %.1f", who, least) : "",
                 kin->depth
                     ? arena_print(a->mem, "; reckoned %u generation%s deep", kin->depth, kin->depth == 1 ? "" : "s")
                     : "");
    answer_findings(kin, a);
}

void kin_answer_tail(const struct kin *kin, size_t n, const size_t animals[], struct answer *a)
{
    struct answer *record = answer_list(a, "record");
    const char *names[8];
    size_t none = 0;

    for (size_t i = 0; i < n; i++)
        if (kin->animals[animals[i]].sire == KIN_NONE || kin->animals[animals[i]].dam == KIN_NONE) {
            if (none < COUNT(names))
                names[none] = kin->animals[animals[i]].name;
            none++;
        }
    if (none)
        answer_words(record, arena_print(a->mem,
                                         "Both parents of %s%s, as far back as you know: record each ancestor once "
                                         "with kept elsewhere, then name it as sire or dam.",
                                         kin_names(none < COUNT(names) ? none : COUNT(names), names, a->mem),
                                         none > COUNT(names) ? " and others" : ""));
    if (kin->found.wrong)
        answer_words(record,
                     "What is wrong in the pedigree (see the findings): figures that rest on it are wrong too.");
    struct answer *cautions = answer_list(a, "cautions");
    answer_words(cautions, "On paper only. The figures say how related they are, not whether the boar is sound or the "
                           "sow will stand to him.");
    answer_words(cautions, "What is not recorded counts as not kin: true figures can only be higher.");
    answer_words(cautions, "Papers and entry are for the breed society to decide.");
    answer_words(cautions, "A boar may turn on anyone: never alone in with him, and a board in hand. One bought in "
                           "stays apart first, as long as your vet asks for.");
}
