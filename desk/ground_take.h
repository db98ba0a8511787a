/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The outline of a field out of a file, into the farm file: what the page's "Outline" does, for the command line.
 */
#ifndef DESK_GROUND_TAKE_H
#define DESK_GROUND_TAKE_H

#include "core/base/text.h"
#include "desk/plan_world.h"
#include "farm/farm.h"

struct ground_how {
    const char *paddock; /* the field whose outline it is; NULL: the one the file names */
    const char *fresh;   /* or the name of a field to be written down with it; NULL */
    bool dry_run;        /* say what would be kept, keep nothing */
};

/* The outline that a file holds, GeoJSON or GPX; nothing is kept.
 * Given     called  the file in sentences
 * Fails     ST_BAD_INPUT what plan_from_bytes() refuses, over 8 MB; ST_NOT_FOUND no such file; ST_IO, ST_NO_MEMORY */
enum status ground_read(const char *path, const char *called, struct arena *mem, struct plan_read *read,
                        struct message *why) MUST_USE;

/* GeoJSON or GPX. The outline takes the place of what was recorded of the field's shape; its other figures stay.
 * Returned  *kept the uid recorded ("" in a dry run); `out` says what the file held
 * Fails     ST_BAD_INPUT what plan_from_bytes() refuses, or whose outline it is is not said; ST_NOT_FOUND no such file
 *           or field; ST_CONFLICT `fresh` is there already; ST_IO, ST_BUSY, ST_NO_MEMORY. Nothing is kept then. */
enum status ground_take(struct farm *farm, const char *path, const struct ground_how *how, const struct farm_meta *meta,
                        struct arena *mem, struct text *out, char kept[static FARM_UID], struct message *why) MUST_USE;

#endif
