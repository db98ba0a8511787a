/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * keep: how it is asked, and the shape of its answer. */
#include "desk/kin_inside.h"
#include "desk/questions.h"
#include "desk/staying_inside.h"

static const struct param params[] = {
    [KEEP_AT] = PARAM_AT_KIN,
    [KEEP_PLACES] = { "places", P_WHOLE, Q_NUMBER, 1, 5000, NULL, NULL, 0,
                      "how many sows and gilts the ground carries next year; nobody is told to go unless given" },
    [KEEP_WEIGH] = { "weigh", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT,
                     "what a reason counts, 0 to 10: line=2,teats=1; of line, inbred, left, teats, legs, temper, age, "
                     "born, "
                     "weaned, back, returns, trouble" },
    [KEEP_WEANING] = { "weaning", P_QUANTITY, Q_SPAN, 14, 120, "56d", NULL, 0, "age at which litters are weaned" },
};

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "the moment asked about" },
    { "known_to", SHAPE_WHOLE, false, "number of the newest change that was known" },
    { "says", SHAPE_TEXT, false, "who stays, in a sentence" },
    { "places", SHAPE_WHOLE, true, "females that have a place; null: not said" },
    { "females", SHAPE_LIST, false, "sows and gilts of the herd, the one most speaks for first" },
    { "females[]", SHAPE_OBJECT, false, "" },
    { "females[].rank", SHAPE_WHOLE, false, "1 is best; equal scores have equal ranks" },
    { "females[].name", SHAPE_TEXT, false, "" },
    { "females[].uid", SHAPE_TEXT, false, "" },
    { "females[].tag", SHAPE_TEXT, true, "" },
    { "females[].is", SHAPE_TEXT, false, "sow, gilt" },
    { "females[].decision", SHAPE_TEXT, true,
      "stays, goes, goes later, find out first; null: no number of places was said" },
    { "females[].close", SHAPE_TEXT, true, "where the list can hardly tell her from the one across the line" },
    { "females[].held", SHAPE_TEXT, true, "why she cannot go now" },
    { "females[].not_before", SHAPE_DAY, true, "when her litter is weaned, about" },
    { "females[].score", SHAPE_REAL, false, "sum of the points; the herd is 0" },
    { "females[].sd", SHAPE_REAL, false, "spread of what is not known of her" },
    { "females[].known", SHAPE_REAL, false, "part known, 0 .. 1, by weight" },
    { "females[].says", SHAPE_TEXT, false, "what speaks most for and against her" },
    { "females[].danger", SHAPE_FLAG, false, "written down as fierce" },
    { "females[].vet_first", SHAPE_FLAG, false, "lame or near it" },
    { "females[].reasons", SHAPE_LIST, false, "all twelve, in one order" },
    { "females[].reasons[]", SHAPE_OBJECT, false, "" },
    { "females[].reasons[].key", SHAPE_TEXT, false, "as --weigh calls it" },
    { "females[].reasons[].label", SHAPE_TEXT, false, "" },
    { "females[].reasons[].sign", SHAPE_TEXT, false, "much for, for, even, against, much against, not known" },
    { "females[].reasons[].says", SHAPE_TEXT, false, "the reason in a sentence" },
    { "females[].reasons[].points", SHAPE_REAL, false, "weight times value" },
    { "females[].reasons[].value", SHAPE_REAL, true, "in usual differences between animals, from the herd" },
    { "females[].reasons[].known", SHAPE_REAL, false, "how much of the truth that is, 0 .. 1" },
    { "females[].reasons[].own", SHAPE_REAL, true,
      "her figure: mean kinship, F, females of the line, teats, legs, temper 0 calm .. 3 fierce, litters; of a record "
      "her "
      "own mean" },
    { "females[].reasons[].records", SHAPE_WHOLE, true, "how many it is the mean of" },
    { "females[].notes", SHAPE_LIST, false, "what was noted about her, newest first; it counts for nothing here" },
    { "females[].notes[]", SHAPE_TEXT, false, "" },
    { "lines_lost", SHAPE_LIST, false, "lines of which nobody would stay" },
    { "lines_lost[]", SHAPE_TEXT, false, "" },
    { "mean_kinship", SHAPE_REAL, true, "of the breeding herd now, selves included" },
    { "mean_kinship_then", SHAPE_REAL, true, "the same without those below the line" },
    { "weights", SHAPE_LIST, false, "what counts how much, and where the herd stands" },
    { "weights[]", SHAPE_OBJECT, false, "" },
    { "weights[].key", SHAPE_TEXT, false, "" },
    { "weights[].label", SHAPE_TEXT, false, "" },
    { "weights[].says", SHAPE_TEXT, false, "" },
    { "weights[].weight", SHAPE_REAL, false, "0 .. 10" },
    { "weights[].herd", SHAPE_REAL, true,
      "the herd's mean, in the unit of `own`; litters made alike for their number" },
    { "weights[].of", SHAPE_WHOLE, false, "animals or records it is the mean of" },
    SHAPE_RESTS_ON,
    SHAPE_KIN_TAIL,
};

const struct question question_keep = {
    "keep",
    "Which sows and gilts stay and which go: line, teats, legs, temper, own record, with reasons; you decide",
    params,
    COUNT(params),
    shape,
    COUNT(shape),
    "females",
    keep_put,
};
