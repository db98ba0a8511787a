/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The herd as of a moment, folded once from the facts: who is where, in which group, of what parity, what is known of
 * her pregnancy, what shelters stand where and how bedded, what is in stock. No status is stored anywhere; every
 * question reads this. Facts recorded for after `at` do not count, nor those past journal number `known_to`.
 *
 * Memory   everything lives in the arena given. The fold takes no lock after it returns.
 */
#ifndef DESK_HERD_H
#define DESK_HERD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "core/breeding/breeding.h"
#include "core/nest/nest.h"
#include "desk/farm_words.h"
#include "farm/corners.h"
#include "farm/farm.h"
#include "farm/zone.h"

#define HERD_NONE SIZE_MAX

enum herd_state {               /* of a sow or gilt */
                  HERD_UNKNOWN, /* nothing recorded that says whether she is in pig */
                  HERD_OPEN,   /* known or taken to be empty: weaned, all lost or grown, no service and no boar since */
                  HERD_SERVED, /* a service or a boar run that may have taken; breeding evidence stands */
                  HERD_SUCKLING, /* farrowed, not weaned, some left as far as is written */
};
extern const char *const herd_state_name[]; /* "nothing known" "open" "served" "suckling" */

struct herd_sow {
    const char *name, *uid;
    const char *tag, *breed;   /* "" when not recorded */
    bool gilt;                 /* has not farrowed */
    int parity;                /* litters so far; -1 not known */
    int64_t born_days;         /* INT64_MIN not known */
    double mass_kg, condition; /* newest; NAN not known (condition 1..5) */
    const char *temper;        /* "" not recorded */
    enum herd_state state;
    struct breeding_evidence evidence; /* HERD_SERVED: ready for core/breeding; else empty */
    int64_t last_look_utc_s;           /* newest look, sign or farrowing; INT64_MIN never */
    int64_t nesting_utc_s; /* newest 'nest' sign of this pregnancy not taken back by a later absence; INT64_MIN none */
    /* after farrowing */
    int64_t farrowed_utc_s, weaned_utc_s; /* newest; INT64_MIN never. Weaned: or the last of a litter lost */
    int born_alive, born_dead;            /* of the newest litter; -1 not recorded */
    bool farrowing;                       /* has begun, and nothing says that it is over */
    int lost;                             /* of the newest litter, dead since birth as far as recorded */
    bool lost_all;                        /* none of the newest litter is left; weaned_utc_s says since when */
    bool counted;                         /* born_alive is what was counted, not births so far */
    int64_t last_birth_utc_s;             /* newest `birth` of that litter; INT64_MIN none */
    int64_t strained_utc_s;               /* newest sign of straining in it; INT64_MIN none */
    double mean_litter;                   /* born alive over her own litters; NAN none */
    size_t n_litters;
    /* where */
    size_t paddock, group;          /* index; HERD_NONE */
    size_t nests_at;                /* site index where she nests, lies with her litter or is penned; HERD_NONE */
    bool penned;                    /* alone in a pen or paddock of her own: uses what is put out */
    size_t n_nested, n_nested_used; /* where past litters were nested: in all, and in what was put out */
    const char *const *flags;       /* open contradictions about her, sentences */
    size_t n_flags;
};

struct herd_boar {
    const char *name, *uid;
    int64_t born_days;
    int sows_most; /* -1 not recorded */
    bool here;     /* false: has left, or is not of this herd */
};

/* How many of her newest litter live as far as recorded: born alive less lost since, 0 at least; -1 not counted. */
int herd_living(const struct herd_sow *s);

/* A boar under a year is spared (common practice, no source): so many sows where nothing is recorded. */
enum { HERD_YOUNG_BOAR_SOWS = 4 };
bool herd_boar_young(int64_t born_days, int64_t on_days); /* false when his birth is not known */

struct herd_break {                                   /* a windbreak that stands in the field */
    const char *name, *uid, *kind;                    /* "hedge", "bales", "boards" */
    double height_m, porosity, bearing_deg, length_m; /* bearing: where it stands seen from the ground it shelters */
    size_t paddock;
    double x_m, y_m, x2_m, y2_m; /* its ends on the plan; NAN not recorded */
};

struct herd_mark {         /* what else is on the plan */
    const char *is, *name; /* "water" "wet" "gateway" "tree" "shade" "stone" "steep"; name NULL: none */
    const char *uid;
    size_t paddock;
    const struct corner *at; /* one place, or the corners of a patch */
    size_t n;
};

struct herd_site {           /* a hut, nest, bed or pen, where and as it stands */
    const char *name, *uid;  /* hut's name, or "straw by the hedge" */
    const char *shelter_uid; /* of the hut; "" for a nest in straw */
    struct shelter is;       /* ready for core/nest: kind, walls, door, facing, flap, straw now, lee */
    bool placed;             /* stands in a field now; false = in store */
    size_t paddock;
    double x_m, y_m;                    /* in the paddock; NAN not recorded */
    int64_t placed_utc_s, bedded_utc_s; /* INT64_MIN not known */
    double straw_kg;                    /* in it; NAN not recorded */
    double mass_kg;                     /* of the hut; NAN */
    int carriers;                       /* people to move it; 0 not recorded */
    bool flap_possible;                 /* a flap can be hung */
    bool frozen_in, drift_prone;
    size_t lee;                /* index of the windbreak behind it; HERD_NONE */
    size_t nest_of, litter_of; /* sow that has begun a nest there; that lies there with her litter; HERD_NONE */
};

struct herd_stock {                   /* NAN / -1: never recorded */
    double straw_kg, bale_kg;         /* straw in all, and what one bale weighs */
    int flaps, bales, panels, people; /* bales that may be used as walls */
    double hand_minutes_per_h;        /* for one pair of hands */
    double feed_kg;                   /* in store when last counted: what was eaten since is not taken off */
    int64_t feed_at_utc_s;            /* when that was; INT64_MIN never */
    int64_t counted_utc_s;
};

struct herd_paddock {
    const char *name, *uid;
    double area_m2, width_m, length_m;     /* NAN not recorded */
    double origin_lat_deg, origin_lon_deg; /* of its south-west corner; NAN not recorded */
    const struct corner *outline;          /* in order; n_outline 0: not recorded */
    size_t n_outline;
    const char *drains; /* "dry" "middling" "wet"; NULL not recorded */
    bool gateway_soft;
};

struct herd {
    int64_t at_utc_s, known_to; /* journal number the fold knew */
    struct desk_place place;
    const struct zone *zone;
    size_t n_sows, n_boars, n_sites, n_breaks, n_paddocks, n_marks;
    struct herd_sow *sows; /* alive and here, by name */
    struct herd_boar *boars;
    struct herd_site *sites; /* by name */
    struct herd_break *breaks;
    struct herd_paddock *paddocks;
    struct herd_mark *marks;
    struct herd_stock stock;
    const char *const *missing; /* what to record to make answers surer, sentences */
    size_t n_missing;
};

enum status herd_fold(struct farm *farm, int64_t at_utc_s, int64_t known_to, struct arena *mem, struct herd *herd,
                      struct message *why) MUST_USE;

/* The sow by name, tag or uid, as of the fold. ST_NOT_FOUND names near ones. */
enum status herd_find(const struct herd *herd, const char *name, size_t *sow, struct message *why) MUST_USE;

/* Chance that a sow uses what is put out: 0.75 (judgement), pulled by where she and the herd did nest with weight
 * n / (n + 4) (judgement); 1 when penned or already nesting there. */
double herd_p_use(const struct herd *herd, size_t sow);

/* The drawn windbreak that shelters a place on the plan: the nearest in its own heights, 10 at most, that stands square
 * to it somewhere along its length. *which (may be NULL) is its index. False: none. */
bool herd_lee_at(const struct herd *herd, size_t paddock, double x_m, double y_m, struct windbreak *lee, size_t *which);

struct coming;

/* When she may farrow: the density of her first birth, before and after what has been seen of her.
 *
 * Given     how       BREEDING_SINCE_LAST_LOOK as a rule; BREEDING_SEEN_NOW when the asker has just walked round
 *           coming    NULL, or the hours about the looks: a front or a gale within 24 h of a look makes nesting
 *           doubtful */
enum status herd_chance(const struct herd *herd, size_t sow, enum breeding_from how, const struct coming *coming,
                        struct arena *mem, struct breeding_prior *prior, struct breeding_posterior *post,
                        struct message *why) MUST_USE;

/* How often to look: by the chance of 12 h, a step earlier in frost for a sow that is at all likely within three
 * days. */
enum breeding_watch herd_watch(const struct breeding_posterior *post, bool frost);

/* What is known of her turn, in words: "served 29 Sep by Thorn, scanned in pig 30 Oct". */
const char *herd_known_words(const struct herd *herd, size_t sow, struct arena *mem);

#endif
