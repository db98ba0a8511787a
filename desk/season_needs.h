/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What growth and need say within `season`: at what age a pig weighs what people ask for, and what feed, straw, water
 * and hands there have to be. */
#ifndef DESK_SEASON_NEEDS_H
#define DESK_SEASON_NEEDS_H

#include "core/base/hour.h"
#include "core/base/status.h"
#include "core/growth/growth.h"
#include "desk/answer.h"

struct season;
struct season_try;

struct season_grown {
    struct growth curve; /* moved by the farm's own weighings */
    struct growth_own own;
    double wanted_kg;       /* NAN: an age was asked for */
    double age_d;           /* at which the pig in the middle is taken to be ready */
    double most_age_d;      /* and five in six have the weight: NAN with an age */
    bool differ, from_asks; /* what people ask for differs by more than a week; it is what they ask for */
};

/* Sets s->grown and the plan's age at which a pig is ready, from --weight, --age or what is recorded as asked. */
enum status season_growth(struct season *s, struct message *why) MUST_USE;
void season_say_growth(const struct season *s, struct answer *o);

enum status season_needs(const struct season *s, const struct season_try *t, struct answer *o,
                         struct message *why) MUST_USE;

enum { SEASON_AIR_WEEKS = 53 }; /* seven days each from 1 January */
/* Mean of past hours by week of the year; NAN where under half a week of hours is known. */
void season_mean_air(size_t n, const struct hour hours[], double temp_c[SEASON_AIR_WEEKS]);

double season_bale_kg(const struct season *s); /* as counted, or 18 (common practice, no source) */
double season_bales_to_begin(const struct season *s, const struct season_try *t); /* of the huts that stand ready */

#define SEASON_NEEDS_PARAMS                                                                                            \
    [SEASON_WEIGHT] = { "weight", P_QUANTITY, Q_MASS,                                                                  \
                        3,        120,        NULL,                                                                    \
                        NULL,     0,          "weight at which a pig is wanted, in place of --age" },                  \
    [SEASON_FEED_PRICE] = { "feed-price",                                                                              \
                            P_QUANTITY,                                                                                \
                            Q_NUMBER,                                                                                  \
                            0,                                                                                         \
                            1e5,                                                                                       \
                            NULL,                                                                                      \
                            NULL,                                                                                      \
                            0,                                                                                         \
                            "what a kg of feed costs, in the farm's own money; no money is said without it" },         \
    [SEASON_STRAW_PRICE] = { "straw-price", P_QUANTITY, Q_NUMBER, 0, 1e5, NULL, NULL, 0, "what a bale costs" },        \
    [SEASON_FEED_THERE] = { "feed-there",                                                                              \
                            P_QUANTITY,                                                                                \
                            Q_MASS,                                                                                    \
                            0,                                                                                         \
                            1e6,                                                                                       \
                            NULL,                                                                                      \
                            NULL,                                                                                      \
                            0,                                                                                         \
                            "feed there is already, in place of what was counted" },                                   \
    [SEASON_FEED_KCAL] = { "feed-kcal", P_QUANTITY, Q_NUMBER,                                                          \
                           1500,        4500,       "3050",                                                            \
                           NULL,        0,          "kcal ME in a kg of the sows' feed" }

#define SEASON_NEEDS_SHAPE                                                                                             \
    { "growth", SHAPE_OBJECT, false, "" }, { "growth.wanted_kg", SHAPE_REAL, true, "null: an age was asked for" },     \
        { "growth.age_d", SHAPE_REAL, false, "at which a pig is taken to be ready" },                                  \
        { "growth.five_in_six_age_d", SHAPE_REAL, true, "at which five pigs in six have the weight" },                 \
        { "growth.kg", SHAPE_REAL, false, "of the pig in the middle at that age" },                                    \
        { "growth.light_kg", SHAPE_REAL, false, "one pig in six is lighter" },                                         \
        { "growth.heavy_kg", SHAPE_REAL, false, "one in six is heavier" },                                             \
        { "growth.own_weighings", SHAPE_WHOLE, false, "of the farm's own that were taken" },                           \
        { "growth.own_litters", SHAPE_WHOLE, false, "" },                                                              \
        { "growth.own_weight", SHAPE_REAL, false, "0 .. 1: how far they count against the curve" },                    \
        { "growth.says", SHAPE_TEXT, false, "" }, { "needs", SHAPE_OBJECT, false, "of the plan" },                     \
        { "needs.from", SHAPE_DAY, false, "boar in, or today" }, { "needs.to", SHAPE_DAY, false, "the last sale" },    \
        { "needs.by_week", SHAPE_LIST, false, "" }, { "needs.by_week[]", SHAPE_OBJECT, false, "" },                    \
        { "needs.by_week[].from", SHAPE_DAY, false, "" },                                                              \
        { "needs.by_week[].days", SHAPE_WHOLE, false, "7; fewer in the last" },                                        \
        { "needs.by_week[].dry", SHAPE_REAL, false, "sows, expected" },                                                \
        { "needs.by_week[].in_pig", SHAPE_REAL, false, "" }, { "needs.by_week[].suckling", SHAPE_REAL, false, "" },    \
        { "needs.by_week[].pigs", SHAPE_REAL, false, "weaned and not yet sold" },                                      \
        { "needs.by_week[].temp_c", SHAPE_REAL, true, "mean over past years" },                                        \
        { "needs.by_week[].sow_feed_kg", SHAPE_REAL, false, "in that week, boars with them" },                         \
        { "needs.by_week[].creep_kg", SHAPE_REAL, false, "" },                                                         \
        { "needs.by_week[].pig_feed_kg", SHAPE_REAL, false, "" },                                                      \
        { "needs.by_week[].straw_kg", SHAPE_REAL, false, "" },                                                         \
        { "needs.by_week[].water_l_day", SHAPE_REAL, false, "to be there each day in frost" },                         \
        { "needs.sow_feed_kg", SHAPE_REAL, false, "the whole season" }, { "needs.creep_kg", SHAPE_REAL, false, "" },   \
        { "needs.pig_feed_kg", SHAPE_REAL, false, "" }, { "needs.feed_kg", SHAPE_REAL, false, "all three" },           \
        { "needs.straw_kg", SHAPE_REAL, false, "" }, { "needs.straw_bales", SHAPE_WHOLE, false, "" },                  \
        { "needs.bale_kg", SHAPE_REAL, false, "" },                                                                    \
        { "needs.water_l_day_most", SHAPE_REAL, false, "in the week that wants most" },                                \
        { "needs.there_by", SHAPE_DAY, true, "day by which it has to be there: two weeks before the first litters" },  \
        { "needs.there_feed_kg", SHAPE_REAL, true, "from that day to the last sale, and two weeks to spare" },         \
        { "needs.feed_there_kg", SHAPE_REAL, true, "as --feed-there says, or as last counted" },                       \
        { "needs.feed_left_kg", SHAPE_REAL, true, "of it by that day" },                                               \
        { "needs.feed_lacks_kg", SHAPE_REAL, true, "then" },                                                           \
        { "needs.there_bales", SHAPE_WHOLE, true, "from that day on" },                                                \
        { "needs.bales_to_begin", SHAPE_WHOLE, false, "of them at once, for the huts that stand ready" },              \
        { "needs.bales_there", SHAPE_WHOLE, true, "as last counted" },                                                 \
        { "needs.bales_left", SHAPE_WHOLE, true, "of them by that day" },                                              \
        { "needs.bales_lack", SHAPE_WHOLE, true, "then" },                                                             \
        { "needs.night_litters", SHAPE_WHOLE, false, "on the fullest night, nine seasons of ten" },                    \
        { "needs.night_minutes", SHAPE_REAL, false, "of work in it" },                                                 \
        { "needs.night_hands", SHAPE_WHOLE, false, "people it wants" },                                                \
        { "needs.hands_there", SHAPE_WHOLE, true, "as recorded" },                                                     \
        { "needs.feed_cost", SHAPE_REAL, true, "in the farm's own money" },                                            \
        { "needs.straw_cost", SHAPE_REAL, true, "" }, { "needs.buyers", SHAPE_WHOLE, false, "two pigs to each" },      \
        { "needs.autumn_kg", SHAPE_REAL, false, "what one then weighs at the beginning of winter" },                   \
        { "needs.autumn_day", SHAPE_DAY, false, "1 December, in the south 1 June" },                                   \
        { "needs.says", SHAPE_LIST, false, "" }, { "needs.says[]", SHAPE_TEXT, false, "" },                            \
        { "needs.rests_on[]", SHAPE_TEXT, false, "" },                                                                 \
    {                                                                                                                  \
        "needs.rests_on", SHAPE_LIST, false, ""                                                                        \
    }

#endif
