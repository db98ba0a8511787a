/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * season: how it is asked, and the shape of its answer. */
#include "desk/questions.h"
#include "desk/season_inside.h"

static const struct param params[] = {
    [SEASON_AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
    [SEASON_SELL_FROM] = { "sell-from", P_DAY, Q_NUMBER, 0, 0, NULL, NULL, 0,
                           "first day on which people ask; what is recorded as asked unless given" },
    [SEASON_SELL_TO] = { "sell-to", P_DAY, Q_NUMBER, 0, 0, NULL, NULL, 0,
                         "last day; four weeks from the first unless given" },
    [SEASON_PIGS] = { "pigs", P_WHOLE, Q_NUMBER, 1, 5000, NULL, NULL, 0, "how many are asked for in those weeks" },
    [SEASON_PRICE] = { "price", P_QUANTITY, Q_NUMBER, 0, 1e6, NULL, NULL, 0,
                       "what one fetches, in the farm's own money; 100 unless recorded or given" },
    [SEASON_AGE] = { "age", P_QUANTITY, Q_SPAN, 20, 300, "56d", NULL, 0, "age at which a pig is ready to go" },
    [SEASON_STAY] = { "stay", P_QUANTITY, Q_SPAN, 1, 90, "21d", NULL, 0, "how long the boar stays with them" },
    [SEASON_BOAR_IN] = { "boar-in", P_DAY, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT,
                         "reckon this day and not the best one; several: sows go in groups as they come free" },
    [SEASON_BOAR_OUT] = { "boar-out", P_DAY, Q_NUMBER, 0, 0, NULL, NULL, 0, "and take him out on this" },
    [SEASON_WEANING] = { "weaning", P_QUANTITY, Q_SPAN, 14, 120, "56d", NULL, 0, "age at which litters are weaned" },
    [SEASON_DANGER_COST] = { "danger-cost", P_QUANTITY, Q_NUMBER, 0, 1e6, NULL, NULL, 0,
                             "what a litter born into danger of cold is to count; the price of two pigs unless given" },
    [SEASON_LATE_PRICE] = { "late-price", P_QUANTITY, Q_NUMBER, 0, 1e6, NULL, NULL, 0,
                            "what a pig fetches that nobody asked for in time; half the price unless given" },
    [SEASON_KEEP_COST] = { "keep-cost", P_QUANTITY, Q_NUMBER, 0, 1e5, NULL, NULL, 0,
                           "what a ready pig costs for each day it waits; one part in a hundred of the price unless "
                           "given" },
    [SEASON_WINTERS] = { "winters", P_WHOLE, Q_NUMBER, 100, 100000, "10000", NULL, 0, "how many winters are drawn" },
    SEASON_NEEDS_PARAMS,
    [SEASON_RESERVE] = { "reserve", P_CHOICE, Q_NUMBER, 0, 0, NULL, "yes|no", 0,
                         "a second boar goes in on day 24, when those that came back are known" },
    [SEASON_HAND] = { "hand", P_CHOICE, Q_NUMBER, 0, 0, NULL, "yes|no", 0,
                      "each sow is brought to the boar in her first heat, and no more" },
    [SEASON_LITTERS] = { "litters", P_WHOLE, Q_NUMBER, 1, 2, NULL, NULL, 0,
                         "litters of a sow in the year: 2, she is served again when she is weaned" },
    [SEASON_CHOOSE] = { "choices", P_CHOICE, Q_NUMBER, 0, 0, NULL, "yes|no", 0,
                        "reckon what would change the plan; no answers sooner" },
};

#define SPREAD(path, help)                                                                                             \
    { path, SHAPE_OBJECT, false, help }, { path ".mean", SHAPE_REAL, false, "" },                                      \
        { path ".p05", SHAPE_REAL, false, "" }, { path ".p50", SHAPE_REAL, false, "" },                                \
    {                                                                                                                  \
        path ".p95", SHAPE_REAL, false, "nine seasons of ten lie between p05 and p95"                                  \
    }
#define TRY(path)                                                                                                      \
    { path ".boar_in", SHAPE_DAY, false, "" }, { path ".boar_out", SHAPE_DAY, false, "" },                             \
        { path ".first_litters", SHAPE_DAY, true, "nine litters of ten come between this and last_litters" },          \
        { path ".last_litters", SHAPE_DAY, true, "" }, { path ".ready_from", SHAPE_DAY, true, "" },                    \
        { path ".ready_to", SHAPE_DAY, true, "" }, { path ".litters", SHAPE_REAL, false, "expected" },                 \
        { path ".pigs", SHAPE_REAL, false, "expected to be weaned" },                                                  \
        { path ".danger_litters", SHAPE_REAL, true, "expected litters born into danger of cold" },                     \
        { path ".huts_wanted", SHAPE_WHOLE, false, "enough in nine seasons of ten" },                                  \
        { path ".worst_night", SHAPE_WHOLE, false, "sows that farrow on the fullest night, nine seasons of ten" },     \
        { path ".bad_season", SHAPE_REAL, false, "chance that less than half of what is asked for is sold in time" },  \
        SPREAD(path ".in_time", "pigs sold when asked for"), SPREAD(path ".late", "pigs nobody asked for in time"),    \
        SPREAD(path ".in_danger", "litters born into danger"),                                                         \
        SPREAD(path ".worth", "in the farm's own money, less what danger, waiting and lateness count")

#define CHANGE(key, help)                                                                                              \
    { "choices[]." key, SHAPE_OBJECT, false, help }, { "choices[]." key ".mean", SHAPE_REAL, true, "" },               \
    {                                                                                                                  \
        "choices[]." key ".se", SHAPE_REAL, true, "standard error of that mean"                                        \
    }
#define AMOUNT(key, help)                                                                                              \
    { "sale_weeks[]." key, SHAPE_OBJECT, false, help }, { "sale_weeks[]." key ".expected", SHAPE_REAL, false, "" },    \
        { "sale_weeks[]." key ".p10", SHAPE_REAL, false, "" }, { "sale_weeks[]." key ".p50", SHAPE_REAL, false, "" },  \
    {                                                                                                                  \
        "sale_weeks[]." key ".p90", SHAPE_REAL, false, "eight seasons of ten lie between p10 and p90"                  \
    }
#define CHANGE_ROWS                                                                                                    \
    { "boars", SHAPE_LIST, false, "at hand; one grown boar where none is recorded" },                                  \
        { "boars[]", SHAPE_OBJECT, false, "" }, { "boars[].name", SHAPE_TEXT, false, "" },                             \
        { "boars[].most", SHAPE_WHOLE, false, "sows he may serve in one run" },                                        \
        { "groups", SHAPE_LIST, false, "one for each run of the boar" }, { "groups[]", SHAPE_OBJECT, false, "" },      \
        { "groups[].boar_in", SHAPE_DAY, false, "" }, { "groups[].boar_out", SHAPE_DAY, false, "" },                   \
        { "groups[].sows", SHAPE_WHOLE, false, "free in time" }, { "groups[].names", SHAPE_TEXT, true, "" },           \
        { "services", SHAPE_LIST, false, "service by hand: when each is looked at for heat" },                         \
        { "services[]", SHAPE_OBJECT, false, "" }, { "services[].name", SHAPE_TEXT, false, "" },                       \
        { "services[].from", SHAPE_DAY, false, "" }, { "services[].likely", SHAPE_DAY, true, "" },                     \
        { "services[].to", SHAPE_DAY, false, "" },                                                                     \
        { "choices", SHAPE_LIST, true, "what one change of the plan would bring, in the same winters" },               \
        { "choices[]", SHAPE_OBJECT, false, "" },                                                                      \
        { "choices[].key", SHAPE_TEXT, false, "hut boar reserve earlier later gilts second scan" },                    \
        { "choices[].title", SHAPE_TEXT, false, "" }, { "choices[].says", SHAPE_TEXT, false, "" },                     \
        CHANGE("pigs", "sold when asked for"), CHANGE("late", "pigs nobody asked for in time"),                        \
        CHANGE("worth", "in the farm's own money; what the change itself costs is not in it"),                         \
        CHANGE("bad_season", "chance that less than half of what is asked for is sold in time"),                       \
        CHANGE("litters", "born"), CHANGE("danger", "litters born into danger of cold"),                               \
        { "choices[].second_from", SHAPE_DAY, true, "second litters: nine of ten come from then" },                    \
        { "choices[].second_to", SHAPE_DAY, true, "to then" },                                                         \
        { "choices[].second_ready_from", SHAPE_DAY, true, "their pigs are ready" },                                    \
        { "choices[].second_ready_to", SHAPE_DAY, true, "" },                                                          \
        { "choices[].second_pigs", SHAPE_REAL, true, "expected" },                                                     \
        { "choice_winters", SHAPE_WHOLE, true, "in which the choices were drawn" },                                    \
        { "sale_weeks", SHAPE_LIST, false, "pigs by week, Monday to Sunday" },                                         \
        { "sale_weeks[]", SHAPE_OBJECT, false, "" }, { "sale_weeks[].from", SHAPE_DAY, false, "" },                    \
        { "sale_weeks[].to", SHAPE_DAY, false, "" },                                                                   \
        { "sale_weeks[].asked", SHAPE_REAL, false, "each asking spread evenly over its days" },                        \
        AMOUNT("ready", "become ready in it"), AMOUNT("by_then", "have become ready by its end")

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "" },
    { "assumed", SHAPE_LIST, false, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
    { "cold_weeks", SHAPE_LIST, false, "weeks of the year from 1 January, over past years; empty without them" },
    { "cold_weeks[]", SHAPE_OBJECT, false, "" },
    { "cold_weeks[].week", SHAPE_WHOLE, false, "1 .. 52" },
    { "cold_weeks[].years", SHAPE_WHOLE, false, "with five known days or more" },
    { "cold_weeks[].danger_in_hut", SHAPE_REAL, true, "share of births in danger of cold" },
    { "cold_weeks[].danger_in_hut_p10", SHAPE_REAL, true, "between years" },
    { "cold_weeks[].danger_in_hut_p90", SHAPE_REAL, true, "" },
    { "cold_weeks[].danger_in_open", SHAPE_REAL, true, "" },
    { "cold_weeks[].danger_in_open_p10", SHAPE_REAL, true, "" },
    { "cold_weeks[].danger_in_open_p90", SHAPE_REAL, true, "" },
    { "cold_weeks[].runt_danger_in_hut", SHAPE_REAL, true, "share of births whose runt (0.9 kg) is in danger" },
    { "cold_weeks[].runt_danger_in_hut_p90", SHAPE_REAL, true, "" },
    { "cold_weeks[].runt_danger_in_open", SHAPE_REAL, true, "" },
    { "cold_weeks[].too_warm", SHAPE_REAL, true, "share of births in hours with heat grade 3 or 4 in the hut" },
    { "cold_weeks[].nights_under_minus_10", SHAPE_REAL, true, "of seven" },
    { "cold_weeks[].nights_under_minus_10_p90", SHAPE_REAL, true, "" },
    { "asked_pigs", SHAPE_REAL, false, "" },
    { "huts", SHAPE_WHOLE, false, "there are" },
    { "winters", SHAPE_WHOLE, false, "of the past, laid under the plan" },
    { "hut", SHAPE_TEXT, true, "the cold is that of a hut of this make" },
    { "hut_facing_deg", SHAPE_REAL, true, "turned its best way" },
    { "sows", SHAPE_LIST, false, "" },
    { "sows[]", SHAPE_OBJECT, false, "" },
    { "sows[].name", SHAPE_TEXT, false, "" },
    { "sows[].free_from", SHAPE_MOMENT, false, "free for the boar" },
    { "sows[].expected", SHAPE_FLAG, false, "reckoned: she has still to farrow" },
    { "sows[].weans", SHAPE_REAL, false, "pigs, on average" },
    { "asked", SHAPE_LIST, false, "" },
    { "asked[]", SHAPE_OBJECT, false, "" },
    { "asked[].from", SHAPE_DAY, false, "" },
    { "asked[].to", SHAPE_DAY, false, "" },
    { "asked[].pigs", SHAPE_REAL, false, "" },
    { "asked[].price", SHAPE_REAL, false, "" },
    { "by_week", SHAPE_LIST, false, "the boar in on each Monday of the coming year" },
    { "by_week[]", SHAPE_OBJECT, false, "" },
    TRY("by_week[]"),
    { "plan", SHAPE_OBJECT, false, "the best of them, or the days asked about" },
    TRY("plan"),
    { "two_weeks_later", SHAPE_OBJECT, false, "the same with the boar two weeks later" },
    TRY("two_weeks_later"),
    { "by_day", SHAPE_LIST, false, "of the plan, days on which something is" },
    { "by_day[]", SHAPE_OBJECT, false, "" },
    { "by_day[].day", SHAPE_DAY, false, "" },
    { "by_day[].litters", SHAPE_REAL, false, "expected" },
    { "by_day[].huts", SHAPE_REAL, false, "in use, expected" },
    { "by_day[].huts_p90", SHAPE_REAL, false, "enough in nine seasons of ten" },
    { "by_day[].short", SHAPE_REAL, false, "chance that there are too few" },
    { "by_day[].danger", SHAPE_REAL, true, "litters born into danger, expected" },
    { "by_day[].ready", SHAPE_REAL, false, "pigs that become ready, expected" },
    CHANGE_ROWS,
    SEASON_WISHES_SHAPE,
    { "events", SHAPE_LIST, false, "the diary" },
    { "events[]", SHAPE_OBJECT, false, "" },
    { "events[].key", SHAPE_TEXT, false, "" },
    { "events[].from", SHAPE_DAY, false, "" },
    { "events[].to", SHAPE_DAY, false, "the last day, included" },
    { "events[].title", SHAPE_TEXT, false, "" },
    { "events[].says", SHAPE_TEXT, true, "" },
    SEASON_NEEDS_SHAPE,
    { "says", SHAPE_TEXT, false, "" },
    { "cautions", SHAPE_LIST, false, "" },
    { "cautions[]", SHAPE_TEXT, false, "" },
};

const struct question question_season = {
    "season",  "When the boar goes in so that pigs are ready when people ask, and what each week would cost",
    params,    COUNT(params),
    shape,     COUNT(shape),
    "by_week", season_put,
};
