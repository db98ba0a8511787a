/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What has been recorded of one animal: litters, treatments, notes. Used by sow.c alone.
 */
#ifndef DESK_SOW_PAST_H
#define DESK_SOW_PAST_H

#include "desk/answer.h"
#include "desk/herd.h"
#include "farm/farm.h"

/* Lists `litters`, `treatments`, `notes_about_her`, newest first, and `withdrawal_until` (null: none is open). */
enum status sow_past(struct farm *farm, const struct herd *herd, size_t sow, struct arena *mem, struct answer *a,
                     struct message *why) MUST_USE;

#define SHAPE_SOW_PAST                                                                                                 \
    { "litters", SHAPE_LIST, false, "recorded here, newest first" }, { "litters[]", SHAPE_OBJECT, false, "" },         \
        { "litters[].start", SHAPE_MOMENT, false, "" }, { "litters[].born_alive", SHAPE_WHOLE, true, "" },             \
        { "litters[].still", SHAPE_WHOLE, true, "born dead" }, { "litters[].mummified", SHAPE_WHOLE, true, "" },       \
        { "litters[].lost", SHAPE_WHOLE, false, "dead since birth, as far as recorded" },                              \
        { "litters[].lost_of", SHAPE_TEXT, true, "of what, as it was written down" },                                  \
        { "litters[].weaned", SHAPE_WHOLE, true, "" }, { "litters[].weaned_at", SHAPE_MOMENT, true, "" },              \
        { "litters[].gestation_d", SHAPE_REAL, true, "days from the service it came of" },                             \
        { "litters[].gestation_words", SHAPE_TEXT, true, "" },                                                         \
        { "litters[].place", SHAPE_TEXT, true, "hut, lee, open, barn" },                                               \
        { "litters[].at_place", SHAPE_TEXT, true, "its name" },                                                        \
        { "litters[].put_out", SHAPE_TEXT, true, "used, not-used, nothing-there" },                                    \
        { "litters[].temper", SHAPE_TEXT, true, "" }, { "litters[].helped", SHAPE_FLAG, false, "" },                   \
        { "treatments", SHAPE_LIST, false, "newest first" }, { "treatments[]", SHAPE_OBJECT, false, "" },              \
        { "treatments[].at", SHAPE_MOMENT, false, "" }, { "treatments[].what", SHAPE_TEXT, false, "" },                \
        { "treatments[].dose", SHAPE_TEXT, true, "" }, { "treatments[].lot", SHAPE_TEXT, true, "" },                   \
        { "treatments[].why", SHAPE_TEXT, true, "" }, { "treatments[].of_group", SHAPE_TEXT, true, "" },               \
        { "treatments[].withdrawal_ends", SHAPE_DAY, true, "first day on which meat may be eaten again" },             \
        { "treatments[].in_withdrawal", SHAPE_FLAG, false, "" }, { "treatments[].booster_due", SHAPE_DAY, true, "" },  \
        { "withdrawal_until", SHAPE_DAY, true, "null: none is open" },                                                 \
        { "notes_about_her", SHAPE_LIST, false, "newest first" }, { "notes_about_her[]", SHAPE_OBJECT, false, "" },    \
        { "notes_about_her[].at", SHAPE_MOMENT, false, "" },                                                           \
    {                                                                                                                  \
        "notes_about_her[].text", SHAPE_TEXT, false, ""                                                                \
    }

#endif
