/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Corners: a list of places in a field, in metres east and north of its south-west corner, as a person types it and as
 * it is kept: "0,0 160,4 158,100". A field of a fact whose `how` has FACT_CORNERS is read by it.
 */
#ifndef FARM_CORNERS_H
#define FARM_CORNERS_H

#include <stddef.h>

#include "core/base/arena.h"
#include "core/base/status.h"

enum {
    FACT_CORNERS = 64,  /* fact_how: the text is corners; one or more */
    FACT_OUTLINE = 128, /* likewise, three or more, and no side crosses another */
    CORNERS_MOST = 60,
};

struct corner {
    double x_m, y_m;
};

/* Read what was typed: pairs "east,north" in metres, a space, a semicolon or a new line between; 12,5 or 12.5,3.
 *
 * Given     outline   three corners or more, and no side may cross another
 * Returned  *corners in `mem`, *n of them; the last is not the first again
 * Fails     ST_BAD_INPUT: the sentence names the corner and says what would be right
 */
enum status corners_read(const char *text, bool outline, struct arena *mem, struct corner **corners, size_t *n,
                         struct message *why) MUST_USE;

/* As it is kept: to the decimetre. NULL: arena full. */
const char *corners_text(const struct corner corners[], size_t n, struct arena *mem);

double corners_area_m2(const struct corner corners[], size_t n);
bool corners_hold(const struct corner corners[], size_t n, double x_m, double y_m); /* inside; on the edge either */

/* A walked line to at most `most` corners, none further than so many metres from what was walked (Douglas & Peucker
 * 1973, Cartographica 10:112; the distance is raised until so few are left). Returns how many are kept, in place. */
size_t corners_simplify(struct corner corners[], size_t n, double within_m, size_t most);

#endif
