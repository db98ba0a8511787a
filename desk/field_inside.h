/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the files of field (field.c, field_ground.c, field_drawn.c, field_shape.c) and by nobody else.
 */
#ifndef DESK_FIELD_INSIDE_H
#define DESK_FIELD_INSIDE_H

#include "core/air/air.h"
#include "core/air/rose.h"
#include "desk/herd.h"
#include "desk/question.h"

enum { FIELD_PADDOCK, FIELD_AT, FIELD_MONTHS, FIELD_GRID };
enum { FIELD_CELLS_MOST = 2500 };

struct field {
    const struct asked *q;
    struct herd herd;
    size_t at;                    /* index of the paddock */
    const struct corner *outline; /* as recorded, or the sides of width and length; n_outline 0: neither */
    size_t n_outline;
    struct air_line *lines; /* windbreaks whose ends are recorded */
    size_t n_lines;
    double cold_weight[ROSE_SECTORS]; /* of the cold hours of past winters, or of the hours to come; sums to 1, or 0 */
    bool weight_from_past;
    bool uses_plan; /* something was left out for want of a place on the plan */
};

enum status field_put(const struct asked *q, struct answer *a, struct message *why);

/* Sheltered ground as a grid, and where the next hut could stand. */
enum status field_ground(struct field *f, struct answer *a, struct message *why) MUST_USE;

/* Outline, windbreaks, marks and huts as GeoJSON (RFC 7946), NULL without an origin; in the question's arena. */
const char *field_geojson(const struct field *f);

#endif
