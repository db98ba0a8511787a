/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A pedigree file taken into the farm: id,sire,dam and, as far as there is, sex,born,breed,name, rows in any order.
 */
#ifndef DESK_PEDIGREE_TAKE_H
#define DESK_PEDIGREE_TAKE_H

#include "core/base/text.h"
#include "farm/farm.h"

struct pedigree_taken {
    size_t animals;  /* in the file, those named only as parents too */
    size_t added;    /* new, as kept elsewhere */
    size_t linked;   /* here already, and given what they lacked: parents, day of birth */
    size_t already;  /* here already, and nothing was lacking */
    size_t left_out; /* no sex is given and no young says it */
    size_t wrong;    /* findings and refusals that stand against the whole */
};

/* An animal of the farm is known again by its name or tag = id, or by its name = the file's name for it. All or nothing;
 * `only_try`: nothing is kept. `report` gets a line for each finding, and a closing sentence.
 *
 * Fails     ST_NOT_FOUND, ST_IO the file; ST_BAD_INPUT it is no pedigree, or something in it is wrong: then `wrong` is
 *           over 0 and the report has the lines */
enum status pedigree_take(struct farm *farm, const char *path, bool only_try, const struct farm_meta *meta,
                          struct pedigree_taken *done, struct text *report, struct message *why) MUST_USE;

#endif
