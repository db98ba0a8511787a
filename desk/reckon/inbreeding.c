/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon inbreeding: F of every animal of a pedigree, what is wrong in it, and what a group carries of its founders. */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/pedigree/genes.h"
#include "desk/reckon/pedigree_in.h"
#include "desk/reckon/reckon.h"

enum { PEDIGREE, OUT, THREADS, CANDIDATES, SINCE, DEPTH };

static const struct param params[] = {
    [PEDIGREE] = { "PEDIGREE", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
                   "CSV file: a line id,sire,dam and, if wanted, sex,born,breed,name" },
    [OUT] = { "out", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, 0, "file for id,f of every animal" },
    [THREADS] = { "threads", P_WHOLE, Q_NUMBER, 1, 64, NULL, NULL, 0,
                  "how many to reckon with; the answer is the same" },
    [CANDIDATES] = { "candidates", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, 0,
                     "file with the ids of a group, one on a line: what it carries of its founders" },
    [SINCE] = { "since", P_WHOLE, Q_NUMBER, 1600, 2400, NULL, NULL, 0, "the group: born in this year or later" },
    [DEPTH] = { "depth", P_WHOLE, Q_NUMBER, 1, 1000, NULL, NULL, 0,
                "count only so many generations of ancestors of each animal; all that are known unless given" },
};

static const struct shape shape[] = {
    { "animals", SHAPE_WHOLE, false, "with the parents that have no row" },
    { "founders", SHAPE_WHOLE, false, "both parents unknown" },
    { "half_known", SHAPE_WHOLE, false, "one parent unknown" },
    { "inbred", SHAPE_WHOLE, false, "F above 0" },
    { "without_f", SHAPE_WHOLE, false, "members of a loop: they have none" },
    { "mean_f", SHAPE_REAL, true, "over all that have one" },
    { "max_f", SHAPE_REAL, true, "" },
    { "max_id", SHAPE_TEXT, true, "whose it is; of several the first in the file" },
    { "mean_equivalent_generations", SHAPE_REAL, false, "how much of the pedigree is known, all animals" },
    { "group", SHAPE_WHOLE, true, "animals in the group" },
    { "group_mean_f", SHAPE_REAL, true, "" },
    { "mean_kinship", SHAPE_REAL, true, "of the group, selves included" },
    { "mean_kinship_without_self", SHAPE_REAL, true, "null: a group of one" },
    { "founder_shares", SHAPE_LIST, true, "of the genes of the group; sum 1" },
    { "founder_shares[]", SHAPE_OBJECT, false, "" },
    { "founder_shares[].id", SHAPE_TEXT, false, "the founder, or the animal whose other parent it is" },
    { "founder_shares[].share", SHAPE_REAL, false, "0: lost" },
    { "founder_shares[].phantom", SHAPE_FLAG, false, "the unknown parent of that animal" },
    { "fe", SHAPE_REAL, true, "effective founders" },
    { "fa", SHAPE_REAL, true, "effective ancestors" },
    { "fa_explained", SHAPE_REAL, true, "how much of the group's genes fa rests on; 1 = all" },
    { "fg", SHAPE_REAL, true, "founder genome equivalents" },
    { "equivalent_generations", SHAPE_REAL, true, "mean of the group" },
    { "ballou", SHAPE_REAL, true, "ancestral inbreeding, mean of the group" },
    { "ne", SHAPE_REAL, true,
      "effective size from individual increase, root t - 1; null: no inbreeding to reckon from" },
    SHAPE_PEDIGREE_IN,
    SHAPE_ASSUMED,
};

/* ---- all animals ---- */

static bool has_f(const struct pedigree_in *in, uint32_t i)
{
    return !in->in_loop || !in->in_loop[i];
}

/* Where the animal first stands in the file, for ties; parents without a row come last. */
static uint32_t place(const struct pedigree_in *in, uint32_t i)
{
    return in->p.line[i] ? in->p.line[i] : UINT32_MAX;
}

static enum status answer_all(struct pedigree_in *in, struct answer *a, struct message *why)
{
    const struct pedigree *p = &in->p;
    uint32_t founders = 0, half = 0, inbred = 0, without = 0, max = 0;
    double sum = 0.0, known = 0.0;
    double *t = ARENA_NEW(&in->mem, double, (size_t)p->n + 1);

    if (!t)
        return refuse(ST_NO_MEMORY, why, "PEDIGREE", "too many animals for the memory of this machine");
    pedigree_equivalent(p, t);
    for (uint32_t i = 1; i <= p->n; i++) {
        founders += !p->sire[i] && !p->dam[i];
        half += !p->sire[i] != !p->dam[i];
        known += t[i];
        if (!has_f(in, i)) {
            without++;
            continue;
        }
        sum += in->f[i];
        inbred += in->f[i] > 1e-15;
        if (!max || in->f[i] > in->f[max] + 1e-13 || (in->f[i] > in->f[max] - 1e-13 && place(in, i) < place(in, max)))
            max = i;
    }
    answer_whole(a, "animals", p->n);
    answer_whole(a, "founders", founders);
    answer_whole(a, "half_known", half);
    answer_whole(a, "inbred", inbred);
    answer_whole(a, "without_f", without);
    answer_real_or(a, "mean_f", max ? sum / (p->n - without) : (double)NAN, "no animal has one");
    answer_real_or(a, "max_f", max ? in->f[max] : (double)NAN, "no animal has one");
    answer_text(a, "max_id", max ? arena_text(a->mem, p->id[max]) : NULL);
    answer_real(a, "mean_equivalent_generations", known / p->n);
    return ST_OK;
}

/* ---- the file of figures ---- */

static void write_id(FILE *f, const char *id)
{
    if (!strpbrk(id, ",\"\r\n;")) {
        (void)fputs(id, f);
        return;
    }
    (void)fputc('"', f);
    for (; *id; id++) {
        if (*id == '"')
            (void)fputc('"', f);
        (void)fputc(*id, f);
    }
    (void)fputc('"', f);
}

static void write_f(FILE *f, const struct pedigree_in *in, uint32_t i)
{
    write_id(f, in->p.id[i]);
    if (!has_f(in, i))
        (void)fputs(",\n", f);
    else if (in->f[i] <= 0.0)
        (void)fputs(",0.0000000000\n", f);
    else
        (void)fprintf(f, ",%.17g\n", in->f[i]);
}

/* In the order of the file, then the parents without a row. */
static enum status write_out(const char *path, const struct pedigree_in *in, struct message *why)
{
    FILE *f = fopen(path, "wb");

    if (!f)
        return refuse(ST_BAD_INPUT, why, "out", "--out: %.120s can't be written: %s", path, strerror(errno));
    (void)fputs("id,f\n", f);
    for (size_t r = 0; r < in->p.n_rows; r++)
        if (in->p.of_row[r])
            write_f(f, in, in->p.of_row[r]);
    for (uint32_t i = 1; i <= in->p.n; i++)
        if (!in->p.line[i])
            write_f(f, in, i);
    const bool bad = ferror(f) != 0;
    if (fclose(f) != 0 || bad)
        return refuse(ST_IO, why, "out", "--out: %.120s can't be written to its end", path);
    return ST_OK;
}

/* ---- a group ---- */

static bool born_since(const struct pedigree *p, uint32_t i, double year)
{
    return p->born[i] != PEDIGREE_NO_DAY && civil_from_days(p->born[i]).year >= year;
}

/* Lines of ids; a first line "id" and what follows a comma are passed over. */
static enum status listed(struct pedigree_in *in, const char *path, uint8_t *in_group, struct message *why)
{
    char *bytes;
    size_t n, line = 0;
    enum status st = pedigree_in_bytes("candidates", path, &in->mem, &bytes, &n, why);

    if (st == ST_OK && !in->index)
        st = pedigree_index_make(&in->p, &in->mem, &in->index, why);
    if (st != ST_OK)
        return st;
    if (n >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0)
        bytes += 3;
    for (char *at = bytes, *next; at; at = next) {
        next = strchr(at, '\n');
        if (next)
            *next++ = 0;
        line++;
        at[strcspn(at, "\r,;\t")] = 0;
        at += strspn(at, " \"");
        for (size_t end = strlen(at); end && (at[end - 1] == ' ' || at[end - 1] == '"'); end--)
            at[end - 1] = 0;
        if (!*at)
            continue;
        const uint32_t i = pedigree_find(&in->p, in->index, at);
        if (!i && line == 1 && strcmp(at, "id") == 0)
            continue;
        if (!i)
            return refuse(ST_NOT_FOUND, why, "candidates",
                          "--candidates: line %zu: no animal \"%.80s\" in the pedigree", line, at);
        in_group[i] = 1;
    }
    return ST_OK;
}

static enum status group_of(const struct asked *q, struct pedigree_in *in, struct genes_group *group,
                            struct message *why)
{
    uint8_t *in_group = ARENA_NEW(&in->mem, uint8_t, (size_t)in->p.n + 1);
    uint32_t *list = ARENA_NEW(&in->mem, uint32_t, (size_t)in->p.n + 1);
    size_t n = 0;

    if (!in_group || !list)
        return refuse(ST_NO_MEMORY, why, "PEDIGREE", "too many animals for the memory of this machine");
    if (given_is(q, CANDIDATES)) {
        const enum status st = listed(in, given_text(q, CANDIDATES), in_group, why);
        if (st != ST_OK)
            return st;
    }
    for (uint32_t i = 1; i <= in->p.n; i++)
        if ((!given_is(q, CANDIDATES) || in_group[i]) &&
            (!given_is(q, SINCE) || born_since(&in->p, i, given_real(q, SINCE))))
            list[n++] = i;
    if (n == 0)
        return refuse(
            ST_BAD_INPUT, why, given_is(q, SINCE) ? "since" : "candidates", "no animal is in the group; give %s",
            given_is(q, SINCE) ? "an earlier --since, and the births in the column born" : "ids, one on a line");
    *group = (struct genes_group){ .n = n, .animal = list };
    return ST_OK;
}

static enum status answer_group(const struct asked *q, struct pedigree_in *in, struct answer *a, struct message *why)
{
    struct genes_group group;
    struct genes g;
    struct genes_ancestors up;
    enum status st = group_of(q, in, &group, why);

    if (st == ST_OK)
        st = genes_of(&in->p, in->f, in->d, &group, &in->mem, &g, why);
    if (st == ST_OK)
        st = genes_ancestors_of(&in->p, &group, 1.0, 2000, &in->mem, &up, why);
    if (st != ST_OK)
        return st;
    answer_whole(a, "group", (int64_t)group.n);
    answer_real(a, "group_mean_f", g.mean_f);
    answer_real(a, "mean_kinship", g.mean_kinship);
    answer_real_or(a, "mean_kinship_without_self", g.mean_kinship_without_self, "a group of one");
    struct answer *list = answer_list(a, "founder_shares");
    for (size_t i = 0; i < g.n_founders; i++) {
        struct answer *row = answer_item(list);
        answer_text(row, "id", arena_text(a->mem, in->p.id[g.founder[i].animal]));
        answer_real(row, "share", g.founder[i].share);
        answer_flag(row, "phantom", g.founder[i].phantom);
    }
    answer_real(a, "fe", g.fe);
    answer_real(a, "fa", up.fa);
    answer_real(a, "fa_explained", up.explained);
    answer_real(a, "fg", g.fg);
    answer_real(a, "equivalent_generations", g.equivalent_generations);
    answer_real(a, "ballou", g.ballou);
    answer_real_or(a, "ne", g.ne, "no inbreeding in the group to reckon it from");
    return ST_OK;
}

/* F from fewer generations, in place of that from all. */
static enum status count_depth(const struct asked *q, struct pedigree_in *in, struct message *why)
{
    if (given_is(q, CANDIDATES) || given_is(q, SINCE))
        return refuse(ST_BAD_INPUT, why, "depth",
                      "--depth: what a group carries rests on all that is known; leave out --depth, or the group");
    return pedigree_inbreeding_depth(&in->p, (unsigned)given_real(q, DEPTH), &in->mem, in->f, why);
}

static enum status put_inbreeding(const struct asked *q, struct answer *a, struct message *why)
{
    struct pedigree_in in;
    const size_t threads = given_is(q, THREADS) ? (size_t)given_real(q, THREADS) : 0;
    enum status st = pedigree_in_open(given_text(q, PEDIGREE), threads, &in, why);

    if (st == ST_OK && given_is(q, DEPTH))
        st = count_depth(q, &in, why);
    if (st == ST_OK)
        st = answer_all(&in, a, why);
    if (st == ST_OK && (given_is(q, CANDIDATES) || given_is(q, SINCE)))
        st = answer_group(q, &in, a, why);
    if (st == ST_OK && given_is(q, OUT))
        st = write_out(given_text(q, OUT), &in, why);
    if (st == ST_OK) {
        pedigree_in_findings(&in, a);
        struct answer *assumed = asked_assumed(q, a);
        answer_words(assumed, given_is(q, DEPTH)
                                  ? "of each animal only the generations of ancestors asked for; all that are known "
                                    "give the same or more"
                                  : "all generations that are known; an unknown parent is kin to nobody, so F is at "
                                    "least this");
    }
    pedigree_in_close(&in);
    return st;
}

const struct question piece_inbreeding = {
    "inbreeding", "Inbreeding of every animal of a pedigree file, and what is wrong in the file",
    params,       COUNT(params),
    shape,        COUNT(shape),
    "findings",   put_inbreeding,
};
