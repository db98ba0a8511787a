/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ways to do a season: which boars when, with or without one in reserve, one litter or two. */
#ifndef DESK_SEASON_WAYS_H
#define DESK_SEASON_WAYS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/season/plan.h"

enum { SEASON_DAYS = 800, SEASON_RUNS = 6, SEASON_SEED = 1 };
/* A grown boar that runs with sows whose heats are spread: 15 to 20 (from memory). Of more a part is served. */
enum { SEASON_GROWN_BOAR_SOWS = 15 };
enum {
    SEASON_RESERVE_D = 24, /* days after the boar went in: those that come back have been seen by then */
    SEASON_SCAN_D = 24,    /* days after the boar came out: a scan is at its best (core/breeding) */
};

struct season_run { /* the boar with some of the sows; days */
    int64_t in, out;
};

struct season_way {
    size_t n_runs; /* 1 ..; sows are shared out among them as they come free */
    struct season_run run[SEASON_RUNS];
    bool reserve; /* a second boar goes in on day SEASON_RESERVE_D, for as long as the first stayed */
    bool hand;    /* each sow is brought to the boar in her first heat, and no more */
    bool second;  /* served again when she is weaned */
    bool scan;    /* scanned SEASON_SCAN_D after the boar came out; who is empty goes to him again */
    bool no_gilts;
    size_t more_huts, more_boars;
};

struct season_boar { /* at hand */
    const char *name;
    size_t most; /* sows he may serve in one run */
};

struct season_ways {
    size_t n_boars; /* 1 or more: where none is recorded one grown boar is taken */
    struct season_boar boar[PLAN_BOARS];
    bool taken;                        /* none was recorded */
    int64_t midnight[SEASON_DAYS + 1]; /* seconds UTC, of each day of the grid */
    struct season_way asked;           /* the way that the question asks about; its days those typed, or none */
};

struct season;
struct season_try;
struct answer;
struct message;
struct arena;

/* Who serves: boars at hand and their limits, from the herd. */
void season_boars(struct season *s);

/* The way asked about, but for the days. */
enum status season_way_asked(struct season *s, struct message *why) MUST_USE;

/* The way asked about with its first run on these days; the others keep their distance from it. */
struct season_way season_way_on(const struct season *s, int64_t boar_in, int64_t boar_out);

/* Which run each sow goes to. */
enum status season_batches(const struct season *s, const struct season_way *w, struct arena *mem, size_t batch[],
                           struct message *why) MUST_USE;

/* The plan of that way: costs as they are, every sow with her days. */
enum status season_lay(const struct season *s, const struct season_way *w, struct arena *mem, struct plan *plan,
                       struct message *why) MUST_USE;

/* One way reckoned through. */
enum status season_reckon_way(const struct season *s, const struct season_way *w, size_t n_winters, struct arena *mem,
                              struct season_try *t, struct message *why) MUST_USE;

/* Boars, who goes to which run, what else could be done (unless --choices no), pigs by week: into the answer. */
enum status season_say_ways(const struct season *s, const struct season_try *t, struct answer *a,
                            struct message *why) MUST_USE;
enum status season_choices(const struct season *s, const struct season_way *w, const struct season_try *t,
                           struct answer *a, struct message *why) MUST_USE;
enum status season_sale_weeks(const struct season *s, const struct season_way *w, const struct season_try *t,
                              struct answer *a, struct message *why) MUST_USE;
enum status season_wishes(const struct season *s, const struct season_way *w, const struct season_try *t,
                          struct answer *a, struct message *why) MUST_USE;

#define SEASON_WISHES_CHANGE(key, help)                                                                                \
    { "wishes.asked[]." key, SHAPE_OBJECT, false, help }, { "wishes.asked[]." key ".mean", SHAPE_REAL, false, "" },    \
    {                                                                                                                  \
        "wishes.asked[]." key ".se", SHAPE_REAL, false, "standard error of that mean"                                  \
    }
#define SEASON_WISHES_SHAPE                                                                                            \
    { "wishes", SHAPE_OBJECT, true, "which asking to give up; with two askings or more, and not with --choices no" },  \
        { "wishes.asked", SHAPE_LIST, false, "as `asked`" }, { "wishes.asked[]", SHAPE_OBJECT, false, "" },            \
        { "wishes.asked[].from", SHAPE_DAY, false, "" }, { "wishes.asked[].to", SHAPE_DAY, false, "" },                \
        { "wishes.asked[].pigs", SHAPE_REAL, false, "" },                                                              \
        { "wishes.asked[].met", SHAPE_REAL, false, "chance that it is met in full" },                                  \
        { "wishes.asked[].others_met", SHAPE_REAL, false, "chance that all the others are, as it is" },                \
        { "wishes.asked[].others_met_without", SHAPE_REAL, false, "the same with this one given up" },                 \
        SEASON_WISHES_CHANGE("gain", "of that chance"),                                                                \
        SEASON_WISHES_CHANGE("worth", "given up less kept, in the farm's own money"),                                  \
        SEASON_WISHES_CHANGE("in_time", "given up less kept: pigs sold when asked for"),                               \
        { "wishes.asked[].give_up", SHAPE_FLAG, false,                                                                 \
          "helps the others and costs least; none where all are met in 80 seasons of 100 or more" },                   \
        { "wishes.winters", SHAPE_WHOLE, false, "in which each was left out" },                                        \
        { "wishes.all_met", SHAPE_REAL, false, "chance that every asking is met in full" },                            \
    {                                                                                                                  \
        "wishes.says", SHAPE_TEXT, false, ""                                                                           \
    }

enum status season_say_groups(const struct season *s, const struct season_way *w, struct answer *a,
                              struct message *why) MUST_USE;

#endif
