/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * founders: how it is asked, and the shape of its answer. */
#include "desk/kin_inside.h"
#include "desk/questions.h"

static const struct param params[] = {
    [FOUNDERS_AT] = PARAM_AT_KIN,
    [FOUNDERS_REPLICATES] = { "replicates", P_WHOLE, Q_NUMBER, 64, 1000000, "10000", NULL, 0,
                              "how often genes are dropped down the pedigree" },
    [FOUNDERS_SEED] = { "seed", P_WHOLE, Q_NUMBER, 0, 4294967295.0, "1", NULL, 0,
                        "the same seed gives the same figures" },
    [FOUNDERS_DEPTH] = PARAM_DEPTH,
};

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "the moment asked about" },
    { "known_to", SHAPE_WHOLE, false, "number of the newest change that was known" },
    { "says", SHAPE_TEXT, false, "the founders in a sentence or two" },
    { "breeding", SHAPE_WHOLE, false, "sows, gilts and boars of the herd: the animals reckoned over" },
    { "founders", SHAPE_LIST, false, "the largest share first, the lost at the end" },
    { "founders[]", SHAPE_OBJECT, false, "" },
    { "founders[].name", SHAPE_TEXT, false, "; of an unknown parent: unknown sire of ..." },
    { "founders[].id", SHAPE_TEXT, false, "; of an unknown parent that of the animal whose parent it is" },
    { "founders[].unknown_parent", SHAPE_FLAG, false, "the unknown parent of a half-known animal" },
    { "founders[].share", SHAPE_REAL, false, "of the genes of the breeding herd; 0: lost" },
    { "founders[].lost", SHAPE_FLAG, false, "no living descendant in the herd" },
    { "founders[].carriers", SHAPE_WHOLE, false, "animals of the herd that descend from it" },
    { "founders[].only", SHAPE_TEXT, true, "the one animal by which it hangs" },
    { "founders[].survives", SHAPE_REAL, true, "chance that any of its genes at a place is still there (gene drop)" },
    { "founders[].alleles", SHAPE_REAL, true, "of its two genes at a place, how many are expected to be there" },
    { "founders[].says", SHAPE_TEXT, false, "" },
    { "equal_share", SHAPE_REAL, true, "what each would give if all gave alike" },
    { "lost", SHAPE_WHOLE, false, "founders with no descendant in the herd" },
    { "hanging", SHAPE_WHOLE, false, "founders that hang by one animal" },
    { "fe", SHAPE_REAL, true, "effective founders" },
    { "fa", SHAPE_REAL, true, "effective ancestors" },
    { "fg", SHAPE_REAL, true, "founder genome equivalents" },
    { "mean_f", SHAPE_REAL, true, "of the breeding herd" },
    { "mean_kinship", SHAPE_REAL, true, "selves included" },
    { "mean_kinship_without_self", SHAPE_REAL, true, "" },
    { "ballou", SHAPE_REAL, true, "mean ancestral inbreeding" },
    { "ne", SHAPE_REAL, true,
      "effective size, from the rise of inbreeding; null: no rise to be seen, or too little known" },
    { "ne_numbers", SHAPE_REAL, true, "effective size from the numbers of parents, an upper limit" },
    { "ne_says", SHAPE_TEXT, false, "" },
    { "ancestors", SHAPE_LIST, false, "in order of what each gives beyond those before it" },
    { "ancestors[]", SHAPE_OBJECT, false, "" },
    { "ancestors[].name", SHAPE_TEXT, false, "" },
    { "ancestors[].id", SHAPE_TEXT, false, "" },
    { "ancestors[].part", SHAPE_REAL, false, "" },
    { "keep", SHAPE_LIST, false, "the breeding herd, the least kin first: keep her line" },
    { "keep[]", SHAPE_OBJECT, false, "" },
    { "keep[].rank", SHAPE_WHOLE, false, "" },
    { "keep[].name", SHAPE_TEXT, false, "" },
    { "keep[].uid", SHAPE_TEXT, false, "" },
    { "keep[].sex", SHAPE_TEXT, false, "m or f" },
    { "keep[].mean_kinship", SHAPE_REAL, false, "with the breeding herd, herself included" },
    { "keep[].f", SHAPE_REAL, true, "" },
    { "keep[].generations", SHAPE_REAL, true, "equivalent complete generations known" },
    { "keep[].alone", SHAPE_LIST, false, "founders that hang by her" },
    { "keep[].alone[]", SHAPE_TEXT, false, "" },
    { "keep[].says", SHAPE_TEXT, false, "" },
    SHAPE_RESTS_ON,
    SHAPE_KIN_TAIL,
};

const struct question question_founders = {
    "founders", "What each founder still gives to the herd, what hangs by one animal, what is lost, whose line to keep",
    params,     COUNT(params),
    shape,      COUNT(shape),
    "founders", founders_put,
};
