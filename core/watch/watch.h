/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Watch: tonight. The chance of each birth hour laid over the danger of each hour in each shelter there is or could
 * be: who farrows into danger, what should stand ready where, before when, when to get up, and which look pays.
 *
 * All pure, and blind to how danger was reckoned: the input is numbers. Hours count from the moment asked about
 * (hour 0 begins there); members are forecasts, member 0 the unperturbed one, all of equal weight. Everything handed
 * out lives in the arena passed in. The order in which sows, sites and options are given changes nothing: ties go by
 * key. Danger is never a death rate.
 */
#ifndef CORE_WATCH_WATCH_H
#define CORE_WATCH_WATCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"

#define WATCH_NONE SIZE_MAX /* no option, no site, no sow */

/* ---- what is given ------------------------------------------------------------------------------------------ */

struct watch_cell {    /* a litter born in this hour, in this shelter, in this forecast */
    float shortfall_c; /* typical piglet: how far the lowest body temperature falls short of 34 °C, 0 .. 9 */
    float runt_shortfall_c;
    unsigned char grade; /* 0 bearable, 1 cold, 2 danger, 3 not fit for newborns: typical piglet */
    unsigned char runt_grade;
    unsigned char heat_grade; /* of the sow, 0 .. 4 (hut air 22, 25, 27, 31 °C) */
    unsigned char near_limit; /* 1 = within 0.3 °C of a limit of the grades */
};

/* What an option changes, as bits; the sum orders options from least to most change. */
enum watch_change {
    WATCH_AS_IT_STANDS = 0,
    WATCH_TURN = 1,  /* the door turned */
    WATCH_STRAW = 2, /* straw put in, or a bed of straw made */
    WATCH_FLAP = 4,
    WATCH_WINDBREAK = 8, /* bale wall or panels */
    WATCH_MOVE = 16,     /* carried to another place, or a hut brought here */
    WATCH_VENTS = 32,    /* opened for heat */
};

/* What must still hold when the work is done, as bits. */
enum watch_needs {
    WATCH_BEFORE_RAIN = 1,   /* straw goes in dry; rain that falls already sets no deadline */
    WATCH_BEFORE_FREEZE = 2, /* the hut must come loose; ground already frozen: not possible */
    WATCH_BEFORE_THAW = 4,   /* through the gateway; already soft: not possible */
    WATCH_BEFORE_DUSK = 8,   /* by daylight; dark already: no deadline, by torch */
};

struct watch_moments { /* hours from now; NAN = not within the horizon; <= 0 = so already */
    double rain_h, freeze_h, thaw_h, dusk_h;
    double drift_h; /* snow begins to drift: drift-prone sites are then offered only to a sow already there */
    double dry_again_h, light_again_h; /* after rain_h, dusk_h: dry for some hours, day again; 0 or NAN = not within the
                                          horizon. Work that can wait till then for her has no deadline from them */
};

struct watch_site {  /* a hut, a pen, a spot for a bed, the nest of a sow, a stand a hut can be carried to */
    const char *key; /* unique among sites */
    unsigned room;   /* sows it can serve, each with a place of her own (work and straw count for each) */
    bool has_nest;   /* begun by a sow: may be bedded and screened, never turned or moved or taken; with room for
                        one it serves her alone */
    bool has_litter; /* likewise; with room for one it serves nobody */
    bool frozen_in;  /* cannot be turned, moved or taken */
    bool drift_prone;
    bool opens; /* has vents or a flap that can be opened in heat (a hut) */
};

struct watch_option { /* one state of one site */
    const char *key;  /* unique among options */
    size_t site;      /* where */
    size_t takes;     /* another site used up by it (the hut brought here, the stand gone to); or WATCH_NONE */
    bool brings;      /* with WATCH_MOVE: true = the hut `takes` is brought here; false = this hut is carried away */
    unsigned change;  /* enum watch_change bits */
    unsigned needs;   /* enum watch_needs bits */
    double minutes;   /* of work, with `people` at it */
    unsigned people;
    double straw_kg;
    unsigned flaps, bales, panels;
    double earliest_h;              /* not before, hours from now, >= 0; until then the site is as it stands */
    const struct watch_cell *cells; /* n_members x n_hours, member by member */
};

struct watch_sow {
    const char *key;     /* unique among sows */
    const double *birth; /* n_hours: chance that her first piglet comes in that hour; sum <= 1 */
    double p_use;        /* 0 .. 1, chance that she uses what is put out; taken as 1 for options of the site where
                            she lies or nests, so a bed beside her is a site of its own */
    bool near;           /* has a place made ready for her */
    size_t lies;         /* option: where she farrows if she uses nothing of what is put out, as it stands */
    size_t nests_at;     /* site where she has begun to nest or is penned, or WATCH_NONE. She is never moved:
                            only options of that site serve her */
};

struct watch_limits {
    unsigned people; /* who can be there at one time */
    unsigned flaps, bales, panels;
    double straw_kg;
    const double *hand_minutes; /* n_hours: people x minutes that can be worked in each hour; NULL = no limit. Work must
                                   find its hands before its deadline, and before half of what it gains is past */
};

struct watch_night {
    size_t n_hours, n_members, n_sows, n_sites, n_options;
    const struct watch_sow *sows;
    const struct watch_site *sites;
    const struct watch_option *options;
    const bool *reach;                   /* n_sows x n_options: she can come to it; NULL = all can */
    const struct watch_moments *moments; /* n_members */
    struct watch_limits limits;
};

struct watch_weights {    /* judgement, each; watch_usual_weights has the defaults */
    double typical, runt; /* share of each in the shortfall: 0.85, 0.15 */
    double least_c[4];    /* an hour of grade g counts at least this: 0, 0, 1, 2.5 (the limits 33 and 31.5 °C) */
    double heat_c;        /* an hour of heat grade g >= 2 counts heat_c x (g - 1): 1 */
    double minute_c;      /* one hand-minute is worth taking for this much expected shortfall: 0.001 */
    double straw_kg_c;    /* one kg of straw likewise: 0.0001 */
    double still_worth;   /* 'her chance' is the last hour at which this share of the gain is still to be had: 0.9 */
    double spare_share;   /* a spare that is work takes off at least this share of the need of her it is for: 0.5 */
    unsigned solver_ms;   /* longest time for the integer program of a plan where going through it is too much: 40 */
};
extern const struct watch_weights watch_usual_weights;

/* ---- the plan ----------------------------------------------------------------------------------------------- */

enum watch_why { WATCH_NO_DEADLINE, WATCH_RAIN, WATCH_FREEZE, WATCH_THAW, WATCH_DUSK, WATCH_HER_CHANCE };

struct watch_deadline {
    double by_h;       /* the work is finished; hours from now; NAN = none */
    double earliest_h; /* the same from the members: one in ten is this early or earlier */
    double start_h;    /* by_h less the work, not under 0 */
    enum watch_why why;
};

/* What to record to make it surer, as bits. */
enum watch_record {
    WATCH_RECORD_WEATHER = 1, /* forecasts disagree: a fresh one, a thermometer reading by the hut */
    WATCH_RECORD_SIGNS = 2,   /* her hour is wide open: look for signs, the date of service */
    WATCH_RECORD_NEST = 4,    /* it turns on where she lies: note where she nests */
    WATCH_RECORD_STRAW = 8,   /* near a limit: how deep the straw, dry or damp, wind at the door */
};

struct watch_chance { /* chance that she farrows, within the horizon, in hours that are ... */
    double danger;    /* grade >= 2 for a typical litter */
    double runt_danger;
    double cold;        /* grade 1: merely cold */
    double unfit;       /* grade 3 */
    double heat;        /* heat grade >= 2 where she farrows */
    double shortfall_c; /* sum of chance x (0.85 typical + 0.15 runt), as reckoned */
    double need_c;      /* the same over hours of danger alone: what the plan makes small */
};

enum { WATCH_COLD = 3, WATCH_HEAT = 4 };

/* Where she farrows, hour by hour: the share of members (a sow that may use a place or not counts in both, by p_use)
 * in which the cold grade is 1, 2, 3 and the heat grade 1, 2, 3, 4. In heat of grade 2 or more the cold grade is 0. */
struct watch_shares {
    const double *cold[WATCH_COLD], *heat[WATCH_HEAT]; /* n_hours each, 0 .. 1 */
};

struct watch_advice {                 /* for one sow */
    size_t sow;                       /* index in watch_night.sows */
    size_t option;                    /* what serves her; WATCH_NONE = nothing is put out for her */
    size_t now_option;                /* what would if nothing is done: something that stands already, or WATCH_NONE */
    double p_birth, p_12h;            /* of a birth within the horizon, within 12 h */
    struct watch_chance now;          /* if nothing is done */
    struct watch_chance after;        /* with the plan */
    double least_danger, most_danger; /* `after.danger` over the members */
    double agree;                     /* share of members whose own best plan does the same for her at the same site */
    const double *danger_now;         /* n_hours: chance of birth in that hour and danger, mean over members */
    const double *danger_after;       /* n_hours */
    struct watch_shares shares_now, shares_after; /* birth x (cold[1] + cold[2]) = danger, hour by hour */
    const double *gain_c;                         /* n_hours: need_c taken off in that hour */
    size_t from_h, to_h; /* the shortest run of hours with four fifths of the gain; to_h is past the end; 0, 0 = none */
    unsigned record;     /* enum watch_record bits */
};

struct watch_action {
    size_t option; /* index in watch_night.options; its change is not WATCH_AS_IT_STANDS */
    size_t n_sows; /* whom it serves; 0 = spare */
    const size_t *sows;
    struct watch_deadline deadline;
    double danger_before, danger_after; /* summed over the sows it serves */
    double gain_c; /* need_c it takes off, those sows together; of a spare: times the chance that it is used */
    double agree;  /* share of members whose own best plan has the same action: the same change there */
    unsigned record;
};

enum watch_tight {
    WATCH_TIGHT_FLAPS = 1,
    WATCH_TIGHT_BALES = 2,
    WATCH_TIGHT_PANELS = 4,
    WATCH_TIGHT_STRAW = 8,
    WATCH_TIGHT_HANDS = 16,
    WATCH_TIGHT_PLACES = 32,
};

struct watch_heat {         /* hours too hot where a sow is or will be: heat grade >= 2 in half the members or more */
    size_t sow, option;     /* option she is served by, or where she lies */
    size_t from_h, n_hours; /* first such hour, and how many */
    unsigned worst_grade;   /* in the middle member of the worst hour */
    bool vents;             /* it opens: open vents, tie up the flap. Shade and a wallow always */
};

struct watch_plan {
    size_t n_advice; /* = n_sows, most in need first: need_c now, then chance of birth, then key */
    const struct watch_advice *advice;
    size_t n_actions; /* by deadline, then gain, then key */
    const struct watch_action *actions;
    size_t spare;      /* option of a site that stands ready besides; WATCH_NONE. Among actions if it needs work */
    size_t n_ready;    /* places ready for near sows: served ones plus the spare */
    size_t n_unserved; /* near sows with need left and no place: too few places, or out of reach */
    double need_now_c, need_after_c; /* summed over all sows */
    double hand_minutes, straw_kg;
    unsigned tight; /* enum watch_tight bits: with more of it the plan would be better */
    bool proved;    /* false: the solver's time ran out, best plan found is given */
    size_t n_heat;
    const struct watch_heat *heat;
    const size_t *chosen; /* n_sows, by index of watch_night.sows: option or WATCH_NONE */
};

/* Decide together what stands ready for the near sows.
 *
 * Returned  *plan, in `mem`. Minimal: sum of chance x need over sows and members + minute_c x hand-minutes
 *           + straw_kg_c x straw, under the limits and the deadlines of member 0; among equals the least change
 * Fails     ST_BAD_INPUT naming the field and the key (chance not 0..1 or summing over 1, index or grade out of range,
 *           a key twice, not finite); ST_NO_MEMORY
 */
enum status watch_plan(const struct watch_night *night, const struct watch_weights *weights, struct arena *mem,
                       struct watch_plan *plan, struct message *why) MUST_USE;

/* What one hour counts, °C: each litter class counts its shortfall in the hours that are danger for it, at least
 * least_c[grade]; bearable and cold hours count nothing; heat grade >= 2 counts heat instead of cold. */
double watch_need_c(const struct watch_weights *w, const struct watch_cell *cell);

/* Deadline of one option serving a sow whose gain by hour is gain_c (n_hours), in one member's moments. */
struct watch_deadline watch_deadline_of(const struct watch_option *option, const struct watch_moments *moments,
                                        size_t n_hours, const double *gain_c, double still_worth);

/* ---- night rounds ------------------------------------------------------------------------------------------- */

/* Share of a litter's danger that a visit still meets, `minutes` after the first birth: later piglets are still to
 * come (a farrowing of 3 h, evenly), earlier ones have been alone since: 1 for 10 min, then exp(-(m - 10)/40 min).
 * Given     minutes   0 ..                     Returned  0 .. 1, falling; NAN below 0
 * Source    judgement, on the cooling times of the reference runs (lowest body temperature 20-30 min after birth) */
double watch_saved(double minutes);

struct watch_rounds_ask {
    size_t n_hours, n_sows;
    const double *const *risk; /* n_sows x n_hours: chance of birth in that hour and danger (danger_after) */
    double from_h, until_h;    /* visits lie within, hours from now */
    unsigned slot_minutes;     /* visits stand on a grid of this: 15, 20, 30 or 60 */
    unsigned most;             /* most visits looked at, 1 .. 24 */
    double enough;             /* the plan leaves at most this share of what no visit would leave uncovered ... */
    double enough_chance;      /* ... or at most this chance in all */
};

struct watch_visit {
    double at_h;
    size_t n_sows;
    const size_t *sows; /* to look at, most risk since the last visit first; those with a tenth of it or more */
    double meets;       /* chance of danger that this visit meets in time */
};

struct watch_rounds {
    const double *uncovered; /* most + 1: with 0, 1, ... visits; never rises */
    size_t n_visits;         /* the fewest that are enough; `most` if none is */
    bool enough;
    const struct watch_visit *visits;
    double sleep_from_h, sleep_to_h; /* the longest stretch without a visit, within from_h .. until_h */
};

enum status watch_rounds(const struct watch_rounds_ask *ask, struct arena *mem, struct watch_rounds *rounds,
                         struct message *why) MUST_USE;

/* ---- the look worth taking ---------------------------------------------------------------------------------- */

struct watch_look { /* a look that could be taken */
    size_t sow;
    const char *sign; /* key of the sign */
    double at_h;
    double p_present;                           /* predictive chance that it is seen */
    const double *birth_present, *birth_absent; /* n_hours each: her hours after either answer */
};

struct watch_look_worth {
    size_t look;      /* index of the look */
    double worth_c;   /* what the best plan gains by knowing, expected, °C (work counted as in the plan) */
    double p_changes; /* chance that the answer changes the plan */
    size_t option_present, option_absent; /* what would then serve her */
};

/* The best few looks: expected value of information over the plan.
 * Returned  *worth in `mem`, best first, only those worth more than 0; *n <= most. Work whose deadline (member 0) is
 *           past at the look is kept as planned; what is changed after a look serves from then on. Never below 0.
 *           A look at a sow who is not near is worth what it adds to a place for her without any look. */
enum status watch_looks(const struct watch_night *night, const struct watch_weights *weights,
                        const struct watch_plan *plan, size_t n_looks, const struct watch_look *looks, size_t most,
                        struct arena *mem, struct watch_look_worth **worth, size_t *n, struct message *why) MUST_USE;

/* ---- how often to look -------------------------------------------------------------------------------------- */

enum watch_often { WATCH_ROUTINE, WATCH_TWICE_A_DAY, WATCH_EVERY_6H, WATCH_EVERY_3H };

/* Given  p_12h chance of a birth within 12 h; frost: below 0 °C within them (one step earlier).
 * Limits 0.05, 0.25, 0.6: judgement. */
enum watch_often watch_how_often(double p_12h, bool frost);

#endif
