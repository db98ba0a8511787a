/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The outline of a field out of a file, for the page to show on the plan before anything is kept. The row of this route
 * stands in keep.c. */
#include "desk/ground_take.h"
#include "doors/web/recording.h"

enum { GROUND_BYTES = 400 << 20 }; /* the file, and its JSON as a tree */

const struct shape web_ground_gives[9] = {
    { "name", SHAPE_TEXT, true, "what the file calls it" },
    { "corners", SHAPE_LIST, false, "in order, 60 at most" },
    { "corners[]", SHAPE_OBJECT, false, "" },
    { "corners[].x_m", SHAPE_REAL, false, "east of the south-west corner of their box" },
    { "corners[].y_m", SHAPE_REAL, false, "north of it" },
    { "origin_lat_deg", SHAPE_REAL, false, "of that south-west corner" },
    { "origin_lon_deg", SHAPE_REAL, false, "" },
    { "places", SHAPE_WHOLE, false, "places that the file held" },
    { "gap_m", SHAPE_REAL, false, "a walk: from where it ended to where it began; a straight side closes it" },
};

enum status web_ground_read(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct plan_read read;
    struct arena mem;

    arena_open(&mem, GROUND_BYTES);
    const enum status st = ground_read(call->upload, "the file", &mem, &read, why);
    struct answer *a = answer_new(call->mem);
    if (st == ST_OK) {
        answer_text(a, "name", read.name ? arena_text(call->mem, read.name) : NULL);
        struct answer *corners = answer_list(a, "corners");
        for (size_t i = 0; i < read.n; i++) {
            struct answer *row = answer_item(corners);
            answer_real(row, "x_m", read.corners[i].x_m);
            answer_real(row, "y_m", read.corners[i].y_m);
        }
        answer_real(a, "origin_lat_deg", read.origin_lat_deg);
        answer_real(a, "origin_lon_deg", read.origin_lon_deg);
        answer_whole(a, "places", (int64_t)read.fixes);
        answer_real(a, "gap_m", read.gap_m);
    }
    arena_close(&mem);
    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}
