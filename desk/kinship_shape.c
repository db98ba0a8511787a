/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * kinship: how it is asked, and the shape of its answer. */
#include "desk/kin_inside.h"
#include "desk/questions.h"

static const struct param params[] = {
    [KINSHIP_AT] = PARAM_AT_KIN,
    [KINSHIP_BOAR] = { "boar", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT,
                       "a boar, here or elsewhere; the boars here unless given" },
    [KINSHIP_SOW] = { "sow", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT,
                      "a sow or gilt; all that are here unless given" },
    [KINSHIP_DEPTH] = PARAM_DEPTH,
};

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "the moment asked about" },
    { "known_to", SHAPE_WHOLE, false, "number of the newest change that was known" },
    { "says", SHAPE_TEXT, false, "the table in a sentence" },
    { "boars", SHAPE_LIST, false, "in the order of the columns" },
    { "boars[]", SHAPE_OBJECT, false, "" },
    { "boars[].name", SHAPE_TEXT, false, "" },
    { "boars[].uid", SHAPE_TEXT, false, "" },
    { "boars[].mean_f", SHAPE_REAL, true, "of his pairs" },
    { "boars[].here", SHAPE_FLAG, false, "" },
    { "sows", SHAPE_LIST, false, "in the order of the rows" },
    { "sows[]", SHAPE_OBJECT, false, "" },
    { "sows[].name", SHAPE_TEXT, false, "" },
    { "sows[].uid", SHAPE_TEXT, false, "" },
    { "sows[].best_f", SHAPE_REAL, true, "with the boar least kin to her" },
    { "sows[].here", SHAPE_FLAG, false, "" },
    SHAPE_PAIR,
    { "pairs[].through", SHAPE_LIST, false, "through whom they are kin, the largest part first" },
    { "pairs[].through[]", SHAPE_OBJECT, false, "" },
    { "pairs[].through[].name", SHAPE_TEXT, false, "the common ancestor" },
    { "pairs[].through[].id", SHAPE_TEXT, false, "" },
    { "pairs[].through[].part", SHAPE_REAL, false, "of f; the parts add up to it" },
    { "pairs[].through[].sow_generations", SHAPE_WHOLE, false, "back from the sow; 0: she herself" },
    { "pairs[].through[].boar_generations", SHAPE_WHOLE, false, "back from the boar; 0: he himself" },
    { "pairs[].through[].says", SHAPE_TEXT, false, "grandsire of her, sire of him" },
    { "mean_f", SHAPE_REAL, true, "of all pairs: as by chance" },
    { "least_f", SHAPE_REAL, true, "" },
    { "most_f", SHAPE_REAL, true, "" },
    { "unavoidable", SHAPE_TEXT, true, "where no pair is less than half-sibs" },
    SHAPE_RESTS_ON,
    SHAPE_KIN_TAIL,
};

const struct question question_kinship = {
    "kinship", "How near kin each sow is to each boar: the inbreeding of their litter, and through which ancestors",
    params,    COUNT(params),
    shape,     COUNT(shape),
    "pairs",   kinship_put,
};
