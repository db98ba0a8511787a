/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The family of one animal, as places of a tree. Used by herd_list.c and paper.c.
 */
#ifndef DESK_HERD_FAMILY_H
#define DESK_HERD_FAMILY_H

#include "desk/kin.h"

/* The object `family`: ancestors to so many generations (1 .. 8), those common to sire and dam marked and counted. */
enum status herd_family(const struct kin *kin, size_t animal, unsigned generations, struct arena *mem, struct answer *a,
                        struct message *why) MUST_USE;

/* The members of `family`, for the shape of an answer that has it. */
#define SHAPE_FAMILY                                                                                                   \
    { "family.name", SHAPE_TEXT, false, "" }, { "family.generations", SHAPE_WHOLE, false, "" },                        \
        { "family.f", SHAPE_REAL, true, "inbreeding" }, { "family.f_says", SHAPE_TEXT, false, "" },                    \
        { "family.says", SHAPE_TEXT, false, "through whom the parents are kin" },                                      \
        { "family.known", SHAPE_WHOLE, false, "places of the tree that are known" },                                   \
        { "family.places", SHAPE_WHOLE, false, "places of the tree in all" },                                          \
        { "family.different", SHAPE_WHOLE, false, "different animals in them" },                                       \
        { "family.members", SHAPE_LIST, false,                                                                         \
          "generation by generation, sires' sides first; unknown places left out" },                                   \
        { "family.members[]", SHAPE_OBJECT, false, "" },                                                               \
        { "family.members[].position", SHAPE_TEXT, false,                                                              \
          "empty: the animal; S sire, D dam, SS sire's sire, SD ..." },                                                \
        { "family.members[].generation", SHAPE_WHOLE, false, "0: the animal" },                                        \
        { "family.members[].index", SHAPE_WHOLE, false,                                                                \
          "1 the animal, 2 sire, 3 dam; sire of k is 2 k, dam 2 k + 1" },                                              \
        { "family.members[].name", SHAPE_TEXT, false, "" }, { "family.members[].id", SHAPE_TEXT, false, "" },          \
        { "family.members[].sex", SHAPE_TEXT, false, "m or f" }, { "family.members[].born", SHAPE_DAY, true, "" },     \
        { "family.members[].breed", SHAPE_TEXT, true, "" }, { "family.members[].here", SHAPE_FLAG, false, "" },        \
        { "family.members[].f", SHAPE_REAL, true, "" },                                                                \
        { "family.members[].times", SHAPE_WHOLE, false, "how often she or he stands in this tree" },                   \
        { "family.members[].common", SHAPE_FLAG, false, "an ancestor of sire and dam both" },                          \
        { "family.common", SHAPE_LIST, false, "through whom sire and dam are kin, the largest part first" },           \
        { "family.common[]", SHAPE_OBJECT, false, "" }, { "family.common[].name", SHAPE_TEXT, false, "" },             \
        { "family.common[].id", SHAPE_TEXT, false, "" },                                                               \
        { "family.common[].part", SHAPE_REAL, false, "of F; the parts add up to F" },                                  \
        { "family.common[].times", SHAPE_WHOLE, false, "in this tree; 0: further back than it goes" },                 \
        { "family.common[].sire_side", SHAPE_WHOLE, false, "generations back from the sire; 0: the sire himself" },    \
    {                                                                                                                  \
        "family.common[].dam_side", SHAPE_WHOLE, false, "from the dam"                                                 \
    }

#endif
