/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "weather/report.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"

static const double knot_mps = 1852.0 / 3600.0; /* SI Brochure, table 8 */

bool like_pattern(const char *word, const char *pattern)
{
    size_t i = 0;

    for (; pattern[i]; i++) {
        const bool digit = word[i] >= '0' && word[i] <= '9', capital = word[i] >= 'A' && word[i] <= 'Z';
        if (pattern[i] == '9'   ? !digit
            : pattern[i] == 'A' ? !capital
            : pattern[i] == 'X' ? !(digit || capital)
                                : word[i] != pattern[i])
            return false;
    }
    return word[i] == '\0';
}

bool is_station(const char *word)
{
    return like_pattern(word, "AXXX");
}

int two_digits(const char *s)
{
    return (s[0] - '0') * 10 + (s[1] - '0');
}

struct sky_state sky_nothing(void)
{
    return (struct sky_state){ .wind_mps = NAN, .gust_mps = NAN, .from_deg = NAN, .oktas = NAN };
}

/* Two or three digits, perhaps after P ("above"). NULL: no such thing. */
static const char *take_speed(const char *s, double *speed)
{
    int n = 0, sum = 0;

    if (*s == 'P')
        s++;
    for (; n < 3 && s[n] >= '0' && s[n] <= '9'; n++)
        sum = sum * 10 + (s[n] - '0');
    if (n < 2)
        return NULL;
    *speed = sum;
    return s + n;
}

/* dddff, dddffGff, VRBff, 00000, /////, with KT, MPS or KMH */
bool take_wind(const char *word, struct sky_state *s)
{
    struct sky_state got = sky_nothing();
    const char *at = word + 3;
    double speed = NAN, gust = NAN;

    if (strlen(word) < 7 || strlen(word) > 15)
        return false;
    if (strncmp(word, "VRB", 3) == 0)
        got.variable = true;
    else if (strncmp(word, "///", 3) != 0) {
        for (int i = 0; i < 3; i++)
            if (word[i] < '0' || word[i] > '9')
                return false;
        got.from_deg = (word[0] - '0') * 100 + two_digits(word + 1);
    }
    if (strncmp(at, "//", 2) == 0)
        at += 2;
    else if (!(at = take_speed(at, &speed)))
        return false;
    if (*at == 'G') {
        if (strncmp(at + 1, "//", 2) == 0)
            at += 3;
        else if (!(at = take_speed(at + 1, &gust)))
            return false;
    }
    const double scale = strcmp(at, "KT") == 0    ? knot_mps
                         : strcmp(at, "MPS") == 0 ? 1.0
                         : strcmp(at, "KMH") == 0 ? 1.0 / 3.6
                                                  : (double)NAN;
    if (isnan(scale) || got.from_deg > 360.0)
        return false;
    s->has_wind = true;
    s->wind_mps = speed * scale;
    s->gust_mps = gust * scale;
    s->from_deg = got.from_deg;
    s->variable = got.variable;
    return true;
}

/* The middle of what each word covers (FEW 1-2, SCT 3-4, BKN 5-7 eighths: WMO-No. 306, FM 15), rounded up; OVC and a
 * sky that can't be seen are 8. The largest layer counts. */
bool take_cloud(const char *word, struct sky_state *s)
{
    static const struct {
        const char *code;
        double oktas;
    } covers[] = {
        { "FEW", 2.0 }, { "SCT", 4.0 }, { "BKN", 6.0 }, { "OVC", 8.0 }, { "VV", 8.0 },
    };
    static const char *const clear[] = { "SKC", "CLR", "NCD", "NSC", "CAVOK" };

    for (size_t i = 0; i < COUNT(clear); i++)
        if (strcmp(word, clear[i]) == 0) {
            s->has_cloud = true;
            s->oktas = isnan(s->oktas) ? 0.0 : s->oktas;
            return true;
        }
    for (size_t i = 0; i < COUNT(covers); i++) {
        const size_t n = strlen(covers[i].code);
        if (strncmp(word, covers[i].code, n) != 0 ||
            !(like_pattern(word + n, "999") || strncmp(word + n, "///", 3) == 0 ||
              (strlen(word + n) > 3 && word[n] >= '0' && word[n] <= '9') || word[n] == '\0'))
            continue;
        s->has_cloud = true;
        s->oktas = isnan(s->oktas) ? covers[i].oktas : fmax(s->oktas, covers[i].oktas);
        return true;
    }
    return strncmp(word, "//////", 6) == 0;
}

/* Two-letter codes of present weather: WMO-No. 306, code table 4678. */
static const struct {
    char code[3];
    bool falls, snow;
    unsigned risk;
} phenomena[] = {
    { "DZ", true, false, WEATHER_RISK_RAIN },
    { "RA", true, false, WEATHER_RISK_RAIN },
    { "SN", true, true, WEATHER_RISK_SNOW },
    { "SG", true, true, WEATHER_RISK_SNOW },
    { "IC", true, true, WEATHER_RISK_SNOW },
    { "PL", true, false, WEATHER_RISK_FREEZING },
    { "GR", true, false, WEATHER_RISK_HAIL },
    { "GS", true, true, WEATHER_RISK_HAIL },
    { "UP", false, false, 0 },
    { "BR", false, false, 0 },
    { "FG", false, false, 0 },
    { "FU", false, false, 0 },
    { "VA", false, false, 0 },
    { "DU", false, false, 0 },
    { "SA", false, false, 0 },
    { "HZ", false, false, 0 },
    { "PO", false, false, 0 },
    { "SQ", false, false, WEATHER_RISK_WIND },
    { "FC", false, false, WEATHER_RISK_WIND },
    { "SS", false, false, 0 },
    { "DS", false, false, 0 },
};
static const char descriptors[][3] = { "MI", "BC", "PR", "DR", "BL", "SH", "TS", "FZ" };

static bool is_descriptor(const char *s)
{
    for (size_t i = 0; i < COUNT(descriptors); i++)
        if (strncmp(s, descriptors[i], 2) == 0)
            return true;
    return false;
}

static void add_weather(struct sky_state *s, const char *word)
{
    const size_t used = strlen(s->weather);
    if (used + strlen(word) + 2 <= sizeof s->weather)
        (void)snprintf(s->weather + used, sizeof s->weather - used, "%s%s", used ? " " : "", word);
}

/* [-+ or VC] [descriptor] up to three phenomena. What is in the vicinity or blown from the ground does not fall here.
 */
bool take_weather(const char *word, struct sky_state *s)
{
    const char *at = word;
    const bool near = strncmp(at, "VC", 2) == 0;
    bool blown = false, known = false;
    unsigned risks = 0;
    enum fall fall = FALL_UNKNOWN;

    if (strcmp(word, "NSW") == 0) { /* no significant weather: an end to what there was */
        s->has_weather = true;
        s->weather[0] = '\0';
        s->fall = FALL_UNKNOWN;
        s->risks = s->heavy = 0;
        return true;
    }
    at += near ? 2 : *at == '-' || *at == '+';
    for (; *at && is_descriptor(at); at += 2, known = true) {
        blown = blown || strncmp(at, "BL", 2) == 0 || strncmp(at, "DR", 2) == 0;
        risks |= strncmp(at, "TS", 2) == 0   ? (unsigned)WEATHER_RISK_THUNDER
                 : strncmp(at, "FZ", 2) == 0 ? (unsigned)WEATHER_RISK_FREEZING
                                             : 0u;
    }
    for (; *at; at += 2) {
        size_t i = 0;
        while (i < COUNT(phenomena) && strncmp(at, phenomena[i].code, 2) != 0)
            i++;
        if (i == COUNT(phenomena))
            return false;
        known = true;
        if (blown || near)
            continue;
        risks |= phenomena[i].risk;
        if (phenomena[i].falls && fall == FALL_UNKNOWN) /* the first named is the main one */
            fall = phenomena[i].snow ? FALL_SNOW : FALL_RAIN;
    }
    if (!known)
        return false;
    s->has_weather = true;
    s->fall = s->fall == FALL_UNKNOWN ? fall : s->fall;
    s->risks |= near ? 0 : risks;
    s->heavy |= *word == '+' ? risks : 0;
    add_weather(s, word);
    return true;
}

enum moment_found report_moment(const struct gather *g, const struct report *r, int day, int hour, int minute,
                                int64_t *utc_s)
{
    int64_t at_utc_s = r->has_date ? r->date_utc_s : g->opt->at_utc_s;

    if (!r->has_date && !g->opt->has_at)
        return MOMENT_NO_MONTH;
    const struct civil at = civil_from_seconds(at_utc_s);
    const int64_t of_day_s = hour * HOUR_S + minute * INT64_C(60);
    const int before_month = at.month == 1 ? 12 : at.month - 1, before_year = at.month == 1 ? at.year - 1 : at.year;
    const bool here = civil_is_date(at.year, at.month, day), before = civil_is_date(before_year, before_month, day);
    const int64_t here_s = here ? civil_days(at.year, at.month, day) * DAY_S + of_day_s : INT64_MAX;
    const int64_t before_s = before ? civil_days(before_year, before_month, day) * DAY_S + of_day_s : INT64_MIN;

    const bool just_turned = here_s > at_utc_s + DAY_S && before_s > at_utc_s - 3 * DAY_S;
    if (before && (just_turned || !here))
        *utc_s = before_s;
    else if (here)
        *utc_s = here_s;
    else
        return MOMENT_NO_SUCH_DAY;
    return MOMENT_FOUND;
}
