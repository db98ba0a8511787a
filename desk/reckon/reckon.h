/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the pieces of `leenest reckon`: one file a piece, each with its parameters, the shape of its answer and the
 * function that puts it. What a person may rely on (flags, keys, nulls) stands in docs/use/reckon.md.
 */
#ifndef DESK_RECKON_RECKON_H
#define DESK_RECKON_RECKON_H

#include "core/nest/nest.h"
#include "core/piglet/piglet.h"
#include "desk/question.h"

extern const struct question piece_sun, piece_beam, piece_air, piece_wind_chill, piece_wind_at, piece_lee,
    piece_driving_rain, piece_nights, piece_hours, piece_facing, piece_due, piece_piglet, piece_nest, piece_inbreeding,
    piece_kinship, piece_pairings, piece_notch;

/* Rows that every shape has. */
#define SHAPE_ASSUMED                                                                                                  \
    { "assumed", SHAPE_LIST, false, "what was not given and what was taken instead" },                                 \
    {                                                                                                                  \
        "assumed[]", SHAPE_TEXT, false, ""                                                                             \
    }
#define SHAPE_CAUTIONS                                                                                                 \
    { "cautions", SHAPE_LIST, false, "what to beware of" },                                                            \
    {                                                                                                                  \
        "cautions[]", SHAPE_TEXT, false, ""                                                                            \
    }

/* ---- one piglet's run, for `piglet` and `nest` ---- */

/* The figures of one run as members of `parent`.
 *
 * Given     who             as run
 *           lower_c         lower critical temperature; NAN = none lies in -60 .. 40
 */
void piglet_answer(struct answer *parent, const struct piglet *who, const struct piglet_result *r, double lower_c);

/* Shape rows of what piglet_answer() writes; `at` is "" or "typical.". */
#define SHAPE_PIGLET(at)                                                                                               \
    { at "mass_kg", SHAPE_REAL, false, "mass at birth" },                                                              \
        { at "min_body_temp_c", SHAPE_REAL, false, "lowest body temperature" },                                        \
        { at "min_at_minutes", SHAPE_REAL, false, "when that is, from the start" },                                    \
        { at "body_temp_30min_c", SHAPE_REAL, true, "null: the run ended or the piglet collapsed before" },            \
        { at "body_temp_2h_c", SHAPE_REAL, true, "likewise" }, { at "body_temp_6h_c", SHAPE_REAL, true, "likewise" },  \
        { at "mean_heat_w_kg", SHAPE_REAL, false, "heat made, mean of the run" },                                      \
        { at "peak_heat_w_kg", SHAPE_REAL, false, "heat made, most" },                                                 \
        { at "milk_g_kg", SHAPE_REAL, false, "milk taken in" },                                                        \
        { at "reserve_kj_kg", SHAPE_REAL, false, "reserve left at the end" },                                          \
        { at "collapsed_at_minutes", SHAPE_REAL, true, "null: it did not" },                                           \
        { at "grade", SHAPE_WHOLE, true, "0 bearable .. 3 not fit for newborns; null: the run is shorter than 6 h" },  \
        { at "grade_words", SHAPE_TEXT, true, "the grade in words" },                                                  \
        { at "shortfall_c", SHAPE_REAL, false, "34 C less the lowest body temperature, 0 .. 9" },                      \
        { at "near_limit", SHAPE_FLAG, false, "within 0.3 C of another grade" },                                       \
        { at "too_hot", SHAPE_FLAG, false, "nest air above 36 C: the temperatures mean nothing" },                     \
    {                                                                                                                  \
        at "lower_critical_temp_c", SHAPE_REAL, true, "air temperature below which it must make more heat"             \
    }

void piglet_cautions(struct answer *cautions, bool too_hot, int worst_grade);

/* ---- months ---- */

/* "12,1,2", "11-3", "Dec-Feb", "jan" -> bit 0 = January .. bit 11. ST_BAD_INPUT, field "months". */
enum status months_read(const char *text, unsigned *months, struct message *why) MUST_USE;

#endif
