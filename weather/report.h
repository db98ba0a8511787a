/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * METAR, SPECI and TAF (WMO-No. 306, FM 15, FM 16, FM 51; ICAO Annex 3): the groups they share. A report is a row of
 * words.
 */
#ifndef WEATHER_REPORT_H
#define WEATHER_REPORT_H

#include "weather/gather.h"

enum { REPORT_WORDS = 300, REPORT_WORD_BYTES = 40 };

struct report {
    const char *word[REPORT_WORDS]; /* each ends in 0; in `text` */
    char text[REPORT_WORDS][REPORT_WORD_BYTES + 1];
    size_t n;
    size_t line;   /* where it begins */
    bool too_long; /* more words than that: the rest is not looked at */
    bool has_date; /* a line "2026/01/22 14:51" stood before it */
    int64_t date_utc_s;
};

/* What one group, or a run of groups, says. NAN and false: not said. */
struct sky_state {
    bool has_wind, has_cloud, has_weather;
    double wind_mps, gust_mps, from_deg;
    bool variable;
    double oktas;
    enum fall fall;
    unsigned risks;   /* enum weather_risk_bit of the weather codes */
    unsigned heavy;   /* those of them that come heavy (+) */
    char weather[64]; /* "-SN BLSN" */
};
struct sky_state sky_nothing(void);

/* Wind, cloud or weather: true when the word is such a group, and taken. */
bool take_wind(const char *word, struct sky_state *s);
bool take_cloud(const char *word, struct sky_state *s);
bool take_weather(const char *word, struct sky_state *s);

bool like_pattern(const char *word, const char *pattern); /* 9 digit, A capital, X either; whole word */
bool is_station(const char *word);
int two_digits(const char *s);

/* Day, hour and minute of a report in the month the options give. The day of the month is all a report says: the month
 * is the one of opt->at, or the month before where that month has no such day, or where it has just turned (the day
 * would lie more than a day after `at`, and in the month before less than three days before it). */
enum moment_found { MOMENT_FOUND, MOMENT_NO_SUCH_DAY, MOMENT_NO_MONTH };
enum moment_found report_moment(const struct gather *g, const struct report *r, int day, int hour, int minute,
                                int64_t *utc_s);

bool read_metar(struct gather *g, const struct report *r, bool *no_month) MUST_USE; /* false: out of memory */
bool read_taf(struct gather *g, const struct report *r, bool *no_month) MUST_USE;

#endif
