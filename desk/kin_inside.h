/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the questions of the pedigree (herd, kinship, pairings, founders), and by nobody else: how they are asked,
 * and the pieces of shape that they have in common.
 */
#ifndef DESK_KIN_INSIDE_H
#define DESK_KIN_INSIDE_H

#include "desk/kin.h"
#include "desk/question.h"

enum { HERD_AT, HERD_SEARCH, HERD_FAMILY, HERD_GENERATIONS, HERD_ALL, HERD_DEPTH };
enum { KINSHIP_AT, KINSHIP_BOAR, KINSHIP_SOW, KINSHIP_DEPTH };
enum {
    PAIR_AT,
    PAIR_FROM,
    PAIR_BOAR,
    PAIR_SOW,
    PAIR_FIX,
    PAIR_FORBID,
    PAIR_LIMIT,
    PAIR_WORST_FIRST,
    PAIR_OUTSIDE,
    PAIR_DEPTH
};
enum { FOUNDERS_AT, FOUNDERS_REPLICATES, FOUNDERS_SEED, FOUNDERS_DEPTH };

enum status herd_put(const struct asked *q, struct answer *a, struct message *why) MUST_USE;
enum status kinship_put(const struct asked *q, struct answer *a, struct message *why) MUST_USE;
enum status pairings_put(const struct asked *q, struct answer *a, struct message *why) MUST_USE;
enum status founders_put(const struct asked *q, struct answer *a, struct message *why) MUST_USE;

#define PARAM_AT_KIN                                                                                                   \
    {                                                                                                                  \
        "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given"                      \
    }
#define PARAM_DEPTH                                                                                                    \
    {                                                                                                                  \
        "depth", P_WHOLE, Q_NUMBER, 1, 60, NULL, NULL, 0,                                                              \
            "generations of ancestors to reckon with; all that are known unless given"                                 \
    }

/* What every answer about kin rests on, and what is wrong in the pedigree. */
#define SHAPE_RESTS_ON                                                                                                 \
    { "rests_on", SHAPE_OBJECT, false, "what is known of the pedigree" },                                              \
        { "rests_on.animals", SHAPE_WHOLE, false, "in the pedigree" },                                                 \
        { "rests_on.generations", SHAPE_REAL, true,                                                                    \
          "equivalent complete generations, mean of the animals asked about" },                                        \
        { "rests_on.generations_least", SHAPE_REAL, true, "of the one least is known of" },                            \
        { "rests_on.least_known", SHAPE_TEXT, true, "her or his name" },                                               \
        { "rests_on.depth", SHAPE_WHOLE, true, "generations that were taken; null: all known" },                       \
        { "rests_on.says", SHAPE_TEXT, false, "the same in a sentence" },                                              \
        { "findings", SHAPE_LIST, false, "what is wrong, odd or missing in the pedigree" },                            \
        { "findings[]", SHAPE_OBJECT, false, "" },                                                                     \
        { "findings[].line", SHAPE_WHOLE, true, "which animal, in the order they were recorded" },                     \
        { "findings[].id", SHAPE_TEXT, true, "" },                                                                     \
        { "findings[].kind", SHAPE_TEXT, false, "loop, duplicate, no-row, sex, born, placeholder ..." },               \
        { "findings[].weight", SHAPE_TEXT, false, "note, hint, odd, wrong" },                                          \
    {                                                                                                                  \
        "findings[].says", SHAPE_TEXT, false, "one sentence"                                                           \
    }

#define SHAPE_KIN_TAIL                                                                                                 \
    { "record", SHAPE_LIST, false, "what to record to make it surer" }, { "record[]", SHAPE_TEXT, false, "" },         \
        { "cautions", SHAPE_LIST, false, "" }, { "cautions[]", SHAPE_TEXT, false, "" },                                \
        { "assumed", SHAPE_LIST, true, "" },                                                                           \
    {                                                                                                                  \
        "assumed[]", SHAPE_TEXT, false, ""                                                                             \
    }

/* One pair, "pairs[]" of kinship and of pairings. */
#define SHAPE_PAIR                                                                                                     \
    { "pairs", SHAPE_LIST, false, "every sow with every boar, sow by sow" }, { "pairs[]", SHAPE_OBJECT, false, "" },   \
        { "pairs[].sow", SHAPE_TEXT, false, "" }, { "pairs[].boar", SHAPE_TEXT, false, "" },                           \
        { "pairs[].f", SHAPE_REAL, true, "inbreeding of their litter, 0 .. 1: kinship of the two" },                   \
        { "pairs[].squares", SHAPE_WHOLE, true, "of eight, each 1/32; 8 = a quarter or more" },                        \
        { "pairs[].word", SHAPE_TEXT, true, "hardly kin, as half-cousin, as first cousin, as half-brother ..." },      \
        { "pairs[].level", SHAPE_WHOLE, true, "0 hardly kin .. 4 as a full brother or closer" },                       \
        { "pairs[].relation", SHAPE_TEXT, true, "where the two are near kin: her father, her half-brother" },          \
        { "pairs[].above_best", SHAPE_REAL, true, "above the best boar there is for her" },                            \
        { "pairs[].best", SHAPE_FLAG, false, "no boar is less kin to her" },                                           \
        { "pairs[].too_close", SHAPE_FLAG, false, "nearer than need be, and as near as half-sibs" },                   \
    {                                                                                                                  \
        "pairs[].says", SHAPE_TEXT, false, "one sentence"                                                              \
    }

#endif
