/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * keep: each reason as a sentence, and where the figures come from. */
#include <math.h>
#include <string.h>

#include "desk/in_100.h"
#include "desk/staying_inside.h"

const char *const staying_label[STAYING_END] = {
    [STAYING_LINE] = "genes",     [STAYING_INBRED] = "inbreeding",
    [STAYING_LEFT] = "her line",  [STAYING_TEATS] = "teats",
    [STAYING_LEGS] = "legs",      [STAYING_TEMPER] = "temper",
    [STAYING_AGE] = "age",        [STAYING_BORN] = "born alive",
    [STAYING_WEANED] = "weaned",  [STAYING_BACK] = "back to the boar",
    [STAYING_RETURNS] = "taking", [STAYING_TROUBLE] = "farrowing",
};
const char *const staying_help[STAYING_END] = {
    [STAYING_LINE] = "how rare her genes are in the herd",
    [STAYING_INBRED] = "her own inbreeding",
    [STAYING_LEFT] = "how few of her line are left",
    [STAYING_TEATS] = "good teats",
    [STAYING_LEGS] = "legs and feet",
    [STAYING_TEMPER] = "how she is with people and near her litter",
    [STAYING_AGE] = "litters behind her, past the fifth",
    [STAYING_BORN] = "born alive a litter",
    [STAYING_WEANED] = "weaned a litter",
    [STAYING_BACK] = "days from weaning to service",
    [STAYING_RETURNS] = "services that failed",
    [STAYING_TROUBLE] = "farrowings with trouble",
};

const char *staying_sign(const struct staying_part *p)
{
    /* half a usual difference from the herd is even with it (judgement) */
    return !(p->known > 0.0)  ? "not known"
           : p->value >= 1.25 ? "much for"
           : p->value >= 0.5  ? "for"
           : p->value > -0.5  ? "even"
           : p->value > -1.25 ? "against"
                              : "much against";
}

static const char *s_of(size_t n)
{
    return n == 1 ? "" : "s";
}

/* "; the herd has 8.1" */
static const char *herd_has(const struct staying *s, enum staying_reason r)
{
    return s->of[r].n ? arena_print(s->q->mem, "; the herd has %.1f", s->of[r].mean) : "";
}

static const char *line(const struct staying *s, const struct staying_female *f)
{
    struct arena *mem = s->q->mem;
    const double mk = f->is.seen[STAYING_LINE], mean = s->of[STAYING_LINE].mean;

    if (isnan(mk))
        return "how rare her genes are is not known: her parents are not recorded";
    const char *how = mk < mean - 0.002   ? "genes rarer here than most"
                      : mk > mean + 0.002 ? "genes that many here have"
                                          : "genes as common as any here";
    return arena_print(mem, "%s: mean kinship %s, the herd %s%s", how, kin_percent(mk, mem), kin_percent(mean, mem),
                       f->is.generations < 2.0 ? ", but little is known of her parents" : "");
}

static const char *inbred(const struct staying *s, const struct staying_female *f)
{
    const double x = f->is.seen[STAYING_INBRED];

    if (isnan(x))
        return "her inbreeding is not known";
    return arena_print(s->q->mem, "inbred %s; the herd has %s", kin_percent(x, s->q->mem),
                       kin_percent(s->of[STAYING_INBRED].mean, s->q->mem));
}

static const char *left(const struct staying *s, const struct staying_female *f)
{
    struct arena *mem = s->q->mem;
    const size_t count = isnan(f->is.seen[STAYING_LEFT]) ? 0 : (size_t)f->is.seen[STAYING_LEFT];
    const char *names[COUNT(f->left)];

    if (!count)
        return "her line is not known: her mother is not recorded";
    const char *root = s->kin.animals[f->root].name;
    if (count == 1)
        return arena_print(mem, "only she is left of the line of %s", root);
    for (size_t i = 0; i < f->n_left; i++)
        names[i] = s->kin.animals[f->left[i]].name;
    if (count == 2)
        return arena_print(mem, "only two left of the line of %s: she and %s", root, names[0]);
    return f->n_left + 1 == count ? arena_print(mem, "%zu left of the line of %s: %s besides her", count, root,
                                                kin_names(f->n_left, names, mem))
                                  : arena_print(mem, "%zu of the line of %s", count, root);
}

static const char *teats(const struct staying *s, const struct staying_female *f)
{
    if (f->teats < 0)
        return "teats not counted";
    return arena_print(s->q->mem, "%d teat%s%s%s%s", f->teats, s_of((size_t)f->teats),
                       f->blind > 0 ? arena_print(s->q->mem, ", and %d blind", f->blind) : "",
                       f->teats > STAYING_TEATS_MOST
                           ? arena_print(s->q->mem, " (past %d no more is counted)", (int)STAYING_TEATS_MOST)
                           : "",
                       herd_has(s, STAYING_TEATS));
}

static const char *legs(const struct staying *s, const struct staying_female *f)
{
    const double x = f->is.seen[STAYING_LEGS];

    if (isnan(x))
        return "legs not looked at";
    return arena_print(s->q->mem, "legs %.3g of 5 on %s%s", x, kin_day(f->legs_on, s->q->mem),
                       x <= STAYING_LAME ? ": lame or near it, for the vet to see first" : herd_has(s, STAYING_LEGS));
}

static const char *temper(const struct staying *s, const struct staying_female *f)
{
    static const char *const words[] = { "calm with people", "steady with people", "wary of people",
                                         "fierce: a danger to whoever is with her" };

    if (isnan(f->is.seen[STAYING_TEMPER]))
        return "temper not recorded";
    const char *is = words[(int)f->is.seen[STAYING_TEMPER]];
    return f->temper_on == INT64_MIN
               ? is
               : arena_print(s->q->mem, "%s, when she farrowed on %s", is, kin_day(f->temper_on, s->q->mem));
}

static const char *age(const struct staying *s, const struct staying_female *f)
{
    struct arena *mem = s->q->mem;
    const double n = f->is.seen[STAYING_AGE];
    const char *old = f->sow->born_days == INT64_MIN
                          ? ""
                          : arena_print(mem, ", %.1f years old", (double)(s->kin.today - f->sow->born_days) / 365.25);

    if (isnan(n))
        return arena_print(mem, "how many litters she had is not recorded%s", old);
    if (n < 1.0)
        return arena_print(mem, "no litter yet%s", old);
    return arena_print(mem, "%.0f litter%s so far%s%s", n, s_of((size_t)n), old,
                       n > STAYING_PRIME ? ": past her best years" : "");
}

static const char *how_much(const struct staying *s, const struct staying_female *f, enum staying_reason r)
{
    return arena_print(s->q->mem, "%s; her own counts %s", herd_has(s, r),
                       in_100_words(breeding_own_weight(f->is.n[r], staying_rules[r].repeats), s->q->mem));
}

static const char *born(const struct staying *s, const struct staying_female *f)
{
    struct arena *mem = s->q->mem;
    const size_t n = f->is.n[STAYING_BORN];
    const char *list = "";

    if (!n)
        return "no litter of hers is counted";
    for (size_t i = 0; i < f->n_told; i++)
        list = arena_print(mem, "%s%s%d", list, i ? ", " : "born ", f->told[i]);
    if (f->before)
        list = f->n_told ? arena_print(mem, "%s, and %.3g on average in %zu litter%s before", list, f->mean_before,
                                       f->before, s_of(f->before))
                         : arena_print(mem, "born %.3g on average in %zu litter%s", f->mean_before, f->before,
                                       s_of(f->before));
    const double alike = f->is.seen[STAYING_BORN];
    return arena_print(mem, "%s%s%s%s", list, f->n_told + f->before < n ? " and earlier" : "",
                       fabs(alike - f->born_sum / (double)n) >= 0.05
                           ? arena_print(mem, ", on average %.1f of a sow in her best years", alike)
                           : "",
                       how_much(s, f, STAYING_BORN));
}

static const char *weaned(const struct staying *s, const struct staying_female *f)
{
    const size_t n = f->is.n[STAYING_WEANED];

    if (!n)
        return "no weaning of hers is counted";
    return arena_print(s->q->mem, "weaned %.3g %s%s", f->is.seen[STAYING_WEANED],
                       n == 1 ? "from one litter" : arena_print(s->q->mem, "on average from %zu litters", n),
                       how_much(s, f, STAYING_WEANED));
}

static const char *back(const struct staying *s, const struct staying_female *f)
{
    const size_t n = f->is.n[STAYING_BACK];

    if (!n)
        return "days from weaning to service not known";
    return arena_print(s->q->mem, "served %.0f days after weaning%s%s", f->is.seen[STAYING_BACK],
                       n == 1 ? "" : arena_print(s->q->mem, ", mean of %zu", n), how_much(s, f, STAYING_BACK));
}

/* "1 of 7 failed": shares are plainer as what they are of. */
static const char *of_the_herd(const struct staying *s, enum staying_reason r, const char *did)
{
    const size_t n = s->of[r].n, some = n ? (size_t)llround(s->of[r].mean * (double)n) : 0;
    return some ? arena_print(s->q->mem, "%zu of %zu %s", some, n, did)
                : arena_print(s->q->mem, "none of %zu %s", n, did);
}

static const char *returns(const struct staying *s, const struct staying_female *f)
{
    struct arena *mem = s->q->mem;
    const char *tries =
        f->tries == 1 ? "the one service that is decided" : arena_print(mem, "%zu services that are decided", f->tries);

    if (!f->tries)
        return "no service of hers is decided yet";
    const char *said = f->failed == 0  ? arena_print(mem, "took at %s", tries)
                       : f->tries == 1 ? arena_print(mem, "came back after %s", tries)
                                       : arena_print(mem, "came back after %zu of %s", f->failed, tries);
    return arena_print(mem, "%s; in the herd %s", said, of_the_herd(s, STAYING_RETURNS, "failed"));
}

static const char *trouble(const struct staying *s, const struct staying_female *f)
{
    struct arena *mem = s->q->mem;
    const char *said = "";

    if (!f->farrowings)
        return "no farrowing of hers is recorded";
    if (f->helped)
        said = arena_print(mem, "helped in %zu", f->helped);
    if (f->dead)
        said = arena_print(mem, "%s%stwo or more born dead in %zu", said, *said ? ", " : "", f->dead);
    if (f->early)
        said = arena_print(mem, "%s%sunder 109 days in %zu", said, *said ? ", " : "", f->early);
    return arena_print(mem, "%s of %zu farrowing%s; in the herd %s", *said ? said : "no trouble in any", f->farrowings,
                       s_of(f->farrowings), of_the_herd(s, STAYING_TROUBLE, "had trouble"));
}

const char *staying_sentence(const struct staying *s, const struct staying_female *f, enum staying_reason r)
{
    static const char *(*const say[STAYING_END])(const struct staying *, const struct staying_female *) = {
        [STAYING_LINE] = line,     [STAYING_INBRED] = inbred, [STAYING_LEFT] = left,       [STAYING_TEATS] = teats,
        [STAYING_LEGS] = legs,     [STAYING_TEMPER] = temper, [STAYING_AGE] = age,         [STAYING_BORN] = born,
        [STAYING_WEANED] = weaned, [STAYING_BACK] = back,     [STAYING_RETURNS] = returns, [STAYING_TROUBLE] = trouble,
    };
    const char *text = say[r](s, f);
    return text ? text : "";
}

void staying_assumed(const struct staying *s, struct answer *list)
{
    static const char *const said[] = {
        "what is not known of an animal puts her at the herd: it neither helps nor harms (judgement)",
        "her own record counts n r / (1 + (n - 1) r) of itself, the herd's mean the rest (selection index); r: born "
        "alive "
        "0.15, weaned 0.10, days to service 0.10, failed services 0.05, trouble 0.10 (from memory)",
        "spread between litters 2.5 pigs (guidelines of the swine improvement federation; Berkshire 2.52, AJAS "
        "30:1358, "
        "2017), between days to service 8, of failed services 0.4, of trouble 0.35 (judgement)",
        "a first litter is one pig short of a sow's best, a second 0.3, from the seventh on 0.5 (judgement)",
        "one usual difference between animals: mean kinship 1/32, inbreeding 1/16, 1.5 teats, 0.75 of a point for "
        "legs, "
        "one step of temper and two for fierce (judgement)",
        "of a pedigree of t generations t / (t + 1) is believed (judgement)",
        "a line is that of the first mother written down; the only one left of it counts most, then two, then three "
        "(judgement)",
        "teats past 16 add nothing; litters past the fifth count against her (judgement)",
        "a service failed when she came back from 15 days on, was scanned empty or served again; trouble is help, two "
        "or more born dead, or under 109 days (judgement)",
        "service more than 60 days after weaning says nothing of her: no boar is the likelier cause (judgement)",
        "legs of 2 or less are lame or near it (judgement)",
    };

    for (size_t i = 0; i < COUNT(said); i++)
        answer_words(list, said[i]);
    const char *weights = "weights, of 0 to 10:";
    for (int r = 0; r < STAYING_END && weights; r++)
        weights = arena_print(s->q->mem, "%s %s %g%s", weights, staying_name[r], s->weight[r],
                              r + 1 < STAYING_END ? "," : " (judgement unless set with --weigh)");
    answer_words(list, weights ? weights : "");
}
