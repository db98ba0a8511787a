/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The ancestors of Larkmoor's herd, four generations of two invented breeds, kept elsewhere or long dead: so made that
 * the pairings tell something. Mote hangs by Tansy alone, Quince is lost, Campion is Thorn's daughter and Vetch is
 * Rook's, and two rows are not quite right. */
#include "core/base/status.h"
#include "demo/inside.h"

const struct demo_row demo_ancestors[] = {
    /* founders: nothing is known of their parents */
    { "animal", { "name=Old Meg", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2010-04-02" } },
    { "animal", { "name=Barrow 3", "is=boar", "kept=elsewhere", "breed=Hedgerow Black", "born=2010-05-11" } },
    { "animal", { "name=Tinker", "is=boar", "kept=elsewhere", "breed=Hedgerow Black", "born=2011-03-08" } },
    { "animal", { "name=Wren", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2011-06-20" } },
    { "animal", { "name=Quince", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2012-02-14" } },
    { "animal", { "name=Mote", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2014-03-03" } },
    { "animal", { "name=Salt", "is=boar", "kept=elsewhere", "breed=Marsh Ginger", "born=2011-04-17" } },
    { "animal", { "name=Dancer", "is=sow", "kept=elsewhere", "breed=Marsh Ginger", "born=2012-05-05" } },
    { "animal", { "name=Ember", "is=sow", "kept=elsewhere", "breed=Marsh Ginger", "born=2012-09-09" } },
    { "animal", { "name=Larkspur", "is=sow", "kept=elsewhere", "breed=Marsh Ginger", "born=2016-04-01" } },
    { "animal", { "name=Poppy", "is=sow", "kept=elsewhere", "breed=Marsh Ginger", "born=2019-03-15" } },
    { "animal", { "name=Moss", "is=boar", "kept=elsewhere", "breed=Hedgerow Black", "born=2018-02-20" } },
    /* most likely Barrow 3 once more, written down by somebody else */
    { "animal", { "name=Barrow 03", "is=boar", "kept=elsewhere", "breed=Hedgerow Black", "born=2010-05-11" } },
    /* their young */
    { "animal",
      { "name=Gorse", "is=boar", "kept=elsewhere", "breed=Hedgerow Black", "born=2013-05-21", "sire=Barrow 3",
        "dam=Old Meg" } },
    { "animal",
      { "name=Heather", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2014-04-30", "sire=Tinker",
        "dam=Wren" } },
    { "animal",
      { "name=Nettle", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2015-03-18", "sire=Barrow 3",
        "dam=Wren" } },
    { "animal",
      { "name=Kestrel", "is=boar", "kept=elsewhere", "breed=Marsh Ginger", "born=2014-06-06", "sire=Salt",
        "dam=Dancer" } },
    { "animal",
      { "name=Marigold", "is=sow", "kept=elsewhere", "breed=Marsh Ginger", "born=2015-05-12", "sire=Salt",
        "dam=Ember" } },
    { "animal",
      { "name=Quill", "is=boar", "kept=elsewhere", "breed=Hedgerow Black", "born=2015-07-07", "sire=Tinker",
        "dam=Quince" } },
    /* and theirs; Damson cannot be right beside Bracken: one dam, ten weeks apart */
    { "animal",
      { "name=Bracken", "is=boar", "kept=elsewhere", "breed=Hedgerow Black", "born=2017-05-02", "sire=Gorse",
        "dam=Heather" } },
    { "animal",
      { "name=Damson", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2017-07-15", "sire=Gorse",
        "dam=Heather" } },
    { "animal",
      { "name=Juniper", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2017-09-10", "sire=Gorse",
        "dam=Nettle" } },
    { "animal",
      { "name=Motley", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2018-04-22", "sire=Barrow 03",
        "dam=Mote" } },
    { "animal",
      { "name=Rowan", "is=boar", "kept=elsewhere", "breed=Hedgerow Black 1/2, Marsh Ginger 1/2", "born=2018-05-25",
        "sire=Kestrel", "dam=Nettle" } },
    { "animal",
      { "name=Saffron", "is=sow", "kept=elsewhere", "breed=Marsh Ginger 3/4, Hedgerow Black 1/4", "born=2020-06-30",
        "sire=Rowan", "dam=Marigold" } },
    { "animal",
      { "name=Willow", "is=sow", "kept=elsewhere", "breed=Hedgerow Black", "born=2019-03-28", "sire=Tinker",
        "dam=Nettle" } },
    { "animal",
      { "name=Tern", "is=boar", "kept=elsewhere", "breed=Marsh Ginger", "born=2020-03-19", "sire=Kestrel",
        "dam=Larkspur" } },
    /* a young boar, born here */
    { "animal",
      { "name=Flint", "is=boar", "tag=32-7", "breed=Hedgerow Black", "born=2025-03-20", "sire=Thorn", "dam=Clover",
        "temper=steady", "sows-most=2" } },
    { "society",
      { "breed=Hedgerow Black", "sow-share=0.875", "boars=no", "source=the rule of an invented society, 2024" } },
};
const size_t demo_n_ancestors = COUNT(demo_ancestors);
