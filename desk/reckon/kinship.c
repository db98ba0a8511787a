/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon kinship: how close animals of a pedigree are, and through whom. */
#include "desk/reckon/pedigree_in.h"
#include "desk/reckon/reckon.h"

enum { PEDIGREE, OF, WITH };

static const struct param params[] = {
    [PEDIGREE] = { "PEDIGREE", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
                   "CSV file: a line id,sire,dam and, if wanted, sex,born,breed,name" },
    [OF] = { "of", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED, "ids, with commas between" },
    [WITH] = { "with", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED, "ids, with commas between" },
};

static const struct shape shape[] = {
    { "of", SHAPE_LIST, false, "the rows" },
    { "of[]", SHAPE_TEXT, false, "" },
    { "with", SHAPE_LIST, false, "the columns" },
    { "with[]", SHAPE_TEXT, false, "" },
    { "kinship", SHAPE_LIST, false, "one row for each of `of`: the inbreeding of a litter of the two" },
    { "kinship[]", SHAPE_LIST, false, "" },
    { "kinship[][]", SHAPE_REAL, false, "" },
    { "through", SHAPE_LIST, false, "each pair: common ancestors and their part" },
    { "through[]", SHAPE_OBJECT, false, "" },
    { "through[].of", SHAPE_TEXT, false, "" },
    { "through[].with", SHAPE_TEXT, false, "" },
    { "through[].kinship", SHAPE_REAL, false, "" },
    { "through[].ancestors", SHAPE_LIST, false, "largest part first; parts add up to the kinship" },
    { "through[].ancestors[]", SHAPE_OBJECT, false, "" },
    { "through[].ancestors[].id", SHAPE_TEXT, false, "" },
    { "through[].ancestors[].part", SHAPE_REAL, false, "" },
    { "through[].ancestors[].generations_of", SHAPE_WHOLE, false, "back from `of`; 0: the animal itself" },
    { "through[].ancestors[].generations_with", SHAPE_WHOLE, false, "back from `with`" },
    SHAPE_PEDIGREE_IN,
    SHAPE_ASSUMED,
};

static const char *id_of(const struct pedigree_in *in, const struct answer *a, uint32_t i)
{
    return arena_text(a->mem, in->p.id[i]);
}

static enum status answer_pair(struct pedigree_in *in, uint32_t i, uint32_t j, double k, struct answer *list,
                               struct message *why)
{
    const struct pedigree_through *through;
    size_t n;
    const enum status st = pedigree_kin_through(&in->p, in->d, i, j, &in->mem, &through, &n, why);

    if (st != ST_OK)
        return st;
    struct answer *pair = answer_item(list);
    answer_text(pair, "of", id_of(in, list, i));
    answer_text(pair, "with", id_of(in, list, j));
    answer_real(pair, "kinship", k);
    struct answer *ancestors = answer_list(pair, "ancestors");
    for (size_t x = 0; x < n; x++) {
        struct answer *row = answer_item(ancestors);
        answer_text(row, "id", id_of(in, list, through[x].ancestor));
        answer_real(row, "part", through[x].part);
        answer_whole(row, "generations_of", through[x].from_i);
        answer_whole(row, "generations_with", through[x].from_j);
    }
    return ST_OK;
}

static enum status answer_table(struct pedigree_in *in, const struct asked *q, struct answer *a, struct message *why)
{
    const struct pedigree_hands hands = pedigree_in_hands(0);
    const uint32_t *of, *with;
    size_t n_of, n_with;
    enum status st = pedigree_in_ids(in, "of", given_text(q, OF), &of, &n_of, why);

    if (st == ST_OK)
        st = pedigree_in_ids(in, "with", given_text(q, WITH), &with, &n_with, why);
    if (st != ST_OK)
        return st;
    double *k = ARENA_NEW(&in->mem, double, n_of *n_with);
    if (!k)
        return refuse(ST_NO_MEMORY, why, "of", "too many pairs for the memory of this machine");
    st = pedigree_kinship(&in->p, in->d, n_of, of, n_with, with, &hands, &in->mem, k, why);
    struct answer *list = answer_list(a, "of");
    for (size_t i = 0; i < n_of; i++)
        answer_words(list, id_of(in, a, of[i]));
    list = answer_list(a, "with");
    for (size_t j = 0; j < n_with; j++)
        answer_words(list, id_of(in, a, with[j]));
    struct answer *rows = answer_list(a, "kinship");
    for (size_t i = 0; i < n_of; i++) {
        struct answer *row = answer_list(rows, NULL);
        for (size_t j = 0; j < n_with; j++)
            answer_number_item(row, k[i * n_with + j]);
    }
    list = answer_list(a, "through");
    for (size_t i = 0; st == ST_OK && i < n_of; i++)
        for (size_t j = 0; st == ST_OK && j < n_with; j++)
            st = answer_pair(in, of[i], with[j], k[i * n_with + j], list, why);
    return st;
}

static enum status put_kinship(const struct asked *q, struct answer *a, struct message *why)
{
    struct pedigree_in in;
    enum status st = pedigree_in_open(given_text(q, PEDIGREE), 0, &in, why);

    if (st == ST_OK)
        st = answer_table(&in, q, a, why);
    if (st == ST_OK) {
        pedigree_in_findings(&in, a);
        answer_words(asked_assumed(q, a), "all generations that are known; an unknown parent is kin to nobody");
    }
    pedigree_in_close(&in);
    return st;
}

const struct question piece_kinship = {
    "kinship", "How close animals of a pedigree file are, and through whom",
    params,    COUNT(params),
    shape,     COUNT(shape),
    "through", put_kinship,
};
