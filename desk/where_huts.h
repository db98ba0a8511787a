/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The huts of this farm against what is best for the site. Used by where.c alone.
 */
#ifndef DESK_WHERE_HUTS_H
#define DESK_WHERE_HUTS_H

#include "core/nest/facing.h"
#include "desk/answer.h"
#include "desk/herd.h"
#include "desk/where_rows.h"

size_t where_row_of(double facing_deg); /* nearest of the FACING_BEARINGS rows */
struct shelter where_as_made(const struct shelter *is,
                             double straw_m); /* the hut itself, freshly bedded, no windbreak */
const struct herd_site *
where_usual_hut(const struct herd *herd); /* first by name of the commonest make; NULL: no hut */

struct where_huts {
    struct where_judged *judged; /* of each site of the herd */
    size_t n_jobs;
};

/* What is to be reckoned for the huts that stand: one job for each make. `job` has room for one for each site. */
enum status where_huts_want(const struct herd *herd, double straw_m, const struct facing *f, struct arena *mem,
                            struct where_job job[], struct where_huts *huts, struct message *why) MUST_USE;

/* List `huts`: each hut that stands, how far from the best it looks, what that costs in a hut of its own make, and
 * whether turning it is worth the work. */
void where_huts_answer(const struct herd *herd, const struct facing *f, const struct where_huts *huts,
                       const struct where_job job[], struct answer *a);

#define SHAPE_WHERE_HUTS                                                                                               \
    { "huts", SHAPE_LIST, false, "huts that stand in a field now" }, { "huts[]", SHAPE_OBJECT, false, "" },            \
        { "huts[].name", SHAPE_TEXT, false, "" },                                                                      \
        { "huts[].facing_deg", SHAPE_REAL, true, "where its door looks, true" },                                       \
        { "huts[].off_best_deg", SHAPE_REAL, true, "turn to the best bearing, clockwise plus" },                       \
        { "huts[].in_a_good_arc", SHAPE_FLAG, true, "" },                                                              \
        { "huts[].turn_to_deg", SHAPE_REAL, true, "nearest good bearing" },                                            \
        { "huts[].turn_deg", SHAPE_REAL, true, "turn to that one, clockwise plus; 0: it looks a good way" },           \
        { "huts[].cold_degree_hours_per_day", SHAPE_REAL, true, "as it looks, in a hut of its own make" },             \
        { "huts[].cold_degree_hours_per_day_turned", SHAPE_REAL, true, "turned to turn_to_deg" },                      \
        { "huts[].worth_turning", SHAPE_FLAG, true, "15 % and 10 degree-hours a day colder than it need be" },         \
    {                                                                                                                  \
        "huts[].says", SHAPE_TEXT, false, ""                                                                           \
    }

#endif
