/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Night: herd and weather laid out for core/watch. Which sow may farrow in which hour, what each shelter is and could
 * be, and what a litter born there in each hour would meet, in each version of the forecast.
 *
 * Figures of work are judgement; they stand in night_work[] and are listed in the answer as assumed.
 */
#ifndef DESK_NIGHT_H
#define DESK_NIGHT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/breeding/breeding.h"
#include "core/nest/nest.h"
#include "core/watch/watch.h"
#include "desk/coming.h"
#include "desk/herd.h"

struct night_sow {
    size_t herd; /* index in herd->sows */
    struct breeding_prior prior;
    struct breeding_posterior post;
    double *birth; /* n_hours */
    double p_24h, p_48h, p_horizon;
    bool near; /* a place is made ready for her */
};

struct night_option {
    size_t site; /* index in night->sites */
    struct shelter is;
    double straw_kg_more;
    bool moved, turned, flapped, walled, bedded;
    bool sketch_kept, whole_kept; /* cells are those of a night before; of a sketch nothing but its cells is there */
    double earliest_h;            /* a bed in the open is laid after the rain, not before it */
    struct watch_cell *cells;     /* n_members x n_hours */
    double *feels_c, *nest_c, *draught_mps; /* n_hours, of the unperturbed forecast */
    struct piglet_pair *pairs;              /* n_hours, while they are reckoned: of the unperturbed forecast */
    struct nest_bed bed;                    /* likewise: how wet it is now */
    unsigned assumed;                       /* enum nest_assumption bits met in it */
    double *min_c;                          /* n_hours: lowest body temperature of a typical newborn */
};

enum night_site_kind {
    NIGHT_HUT,
    NIGHT_HUT_IN_STORE,
    NIGHT_NEST,
    NIGHT_BED_LEE,
    NIGHT_BED_OPEN,
    NIGHT_GROUND,
    NIGHT_BARN
};

struct night_site {
    enum night_site_kind kind;
    size_t herd;            /* index in herd->sites; HERD_NONE for a bed that could be made */
    size_t lee;             /* windbreak of a bed in its lee */
    const char *name;       /* "Hut 4", "straw in the lee of the north hedge" */
    size_t as_it_stands;    /* option index */
    double best_facing_deg; /* for the coming hours; NAN where nothing turns */
};

struct night_kept;

struct night {
    const struct herd *herd;
    const struct coming *coming;
    struct arena *mem;
    struct nest_inside inside;
    struct piglet typical;
    double runt_kg;
    struct feels_table *feels;
    size_t n_hours;
    size_t n_sows, n_sites, n_options;
    struct night_sow *sows; /* served sows alone */
    struct night_site *sites;
    struct night_option *options;
    struct watch_night watch; /* ready for watch_plan() */
    const char **assumed;     /* sentences */
    size_t n_assumed;
    unsigned nest_assumed;   /* enum nest_assumption bits met */
    struct night_kept *kept; /* cells of nights before (desk/night_kept.h); NULL = none */
    uint64_t world[2];       /* what they hang on, as a digest */
};

struct night_ask {
    size_t n_hours;
    bool seen_now;           /* the asker has just walked round: none has farrowed */
    bool lone_member;        /* the forecast alone, no spread (what-if, quick) */
    struct night_kept *kept; /* of desk_memory_cells(); NULL = none */
};

enum status night_lay_out(const struct herd *herd, const struct coming *coming, const struct night_ask *ask,
                          struct arena *mem, struct night *night, struct message *why) MUST_USE;

/* The first part of it: sows and who lies in the shelters, without sites and options. */
enum status night_base(const struct herd *herd, const struct coming *coming, const struct night_ask *ask,
                       struct arena *mem, struct night *night, struct message *why) MUST_USE;

/* The hours of the first night that lies in the horizon; all hours when none does. */
void night_span(const struct night *n, size_t *from, size_t *to);

/* Straw: how deep so many kg lie in a nest, and back. A sow gathers it under herself: half a small bale in a hut and
 * one in the open make about 15 and 20 cm (common practice, no source; density 40 kg/m3). */
double night_straw_depth_m(double straw_kg, bool in_the_open);
double night_straw_kg(double depth_m, bool in_the_open);

/* What the change is, in words: "turn the door to SE (135), put in half a bale of straw". In the night's arena. */
const char *night_do(const struct night *n, size_t option);
/* How it stands with that change: "door to W (275°), 12 cm of dry straw, no flap". */
const char *night_stands(const struct night *n, size_t option);

#endif
