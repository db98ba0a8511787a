/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What every answer about a facing holds: the bearings, the arcs, the table, the rose. `where` asks it of a farm,
 * `reckon facing` of weather files.
 */
#ifndef DESK_FACING_WORDS_H
#define DESK_FACING_WORDS_H

#include "core/base/arena.h"
#include "core/nest/facing.h"
#include "desk/answer.h"

/* facing_find() with the bearings shared by two threads. *prepared (may be NULL) is what was scanned, in the arena. */
enum status facing_find_on_two(const struct facing_ask *ask, struct arena *mem, struct facing_prepared **prepared,
                               struct facing *f, struct message *why) MUST_USE;

/* Is the hour one of those asked for, by the rule of core/nest/facing.h? In local standard time; the night belongs to
 * its evening. */
bool facing_takes(const struct facing_ask *ask, const struct hour *hour);

/* Best, worst, arcs, table, counts as members of `a`. */
void facing_answer(const struct facing *f, struct answer *a);

/* Wind of the hours asked for: mean, modal sector, vector mean, steadiness, rose. */
enum status facing_answer_rose(const struct facing_ask *ask, struct arena *mem, struct answer *a,
                               struct message *why) MUST_USE;

/* What was taken where the weather says nothing of cloud or rain, as items of the list `assumed`. */
void facing_answer_assumed(const struct facing *f, struct answer *assumed);

#define SHAPE_FACING                                                                                                   \
    { "best_facing_deg", SHAPE_REAL, false, "middle of the best run, from true north" },                               \
        { "worst_facing_deg", SHAPE_REAL, false, "" }, { "best_cold_degree_hours_per_day", SHAPE_REAL, false, "" },    \
        { "worst_cold_degree_hours_per_day", SHAPE_REAL, false, "" },                                                  \
        { "arcs", SHAPE_LIST, false, "every bearing within 5 % of the range, the best's arc first" },                  \
        { "arcs[]", SHAPE_OBJECT, false, "clockwise, both ends belong to it" },                                        \
        { "arcs[].from_deg", SHAPE_REAL, false, "" }, { "arcs[].to_deg", SHAPE_REAL, false, "" },                      \
        { "hardly_matters", SHAPE_FLAG, false, "best and worst differ by less than 15 %" },                            \
        { "nothing_differs", SHAPE_FLAG, false, "then the best has most morning sun" },                                \
        { "by_facing", SHAPE_LIST, false, "every 5 degrees" }, { "by_facing[]", SHAPE_OBJECT, false, "" },             \
        { "by_facing[].facing_deg", SHAPE_REAL, false, "" },                                                           \
        { "by_facing[].cold_degree_hours_per_day", SHAPE_REAL, false, "" },                                            \
        { "by_facing[].wind_mps", SHAPE_REAL, false, "mean into the opening, at a door's height" },                    \
        { "by_facing[].rain_mm", SHAPE_REAL, false, "driven into the opening in all these hours, L/m2" },              \
        { "by_facing[].sun_kwh_m2_day", SHAPE_REAL, false, "into the opening" },                                       \
        { "by_facing[].morning_sun_kwh_m2_day", SHAPE_REAL, false, "before solar noon" },                              \
        { "hours", SHAPE_WHOLE, false, "taken" },                                                                      \
        { "skipped_hours", SHAPE_WHOLE, false, "without temperature or wind" },                                        \
        { "calm_hours", SHAPE_WHOLE, false, "" },                                                                      \
        { "variable_hours", SHAPE_WHOLE, false, "wind from no steady or no known side" },                              \
        { "mean_wind_mps", SHAPE_REAL, true, "at 10 m, calm hours too" },                                              \
        { "modal_sector", SHAPE_TEXT, true, "where the wind comes from most often, 16 points" },                       \
        { "vector_mean_from_deg", SHAPE_REAL, true, "of the mean wind vector" },                                       \
        { "steadiness", SHAPE_REAL, true, "0 .. 1; under 0.3 there is no prevailing wind" },                           \
        { "prevailing", SHAPE_FLAG, false, "steadiness of 0.3 or more" },                                              \
    {                                                                                                                  \
        "rose", SHAPE_REALS, false, "hours by sector, 16 from N clockwise"                                             \
    }

#endif
