/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The text form of a typed forecast. Nothing here needs memory: at most 400 bytes, split into short words.
 */
#include "weather/typed.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/units.h"

enum { MOST_BYTES = 400, MOST_WORDS = 16, WORD_BYTES = 24 };

/* ---- words ---- */

struct words {
    char word[MOST_WORDS][WORD_BYTES];
    size_t n, at; /* at: the next to be read */
};

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool passed_over(const char *word)
{
    static const char *const filler[] = { "tonight", "today", "tomorrow's", "about", "around", "of", "the" };

    for (size_t i = 0; i < COUNT(filler); i++)
        if (strcmp(word, filler[i]) == 0)
            return true;
    return false;
}

/* False: too many words, or one too long. Letters become small, except that units keep theirs: see as_typed. */
static bool split(const char *part, size_t n, struct words *w)
{
    size_t i = 0;

    *w = (struct words){ .n = 0 };
    while (i < n) {
        size_t length = 0;

        while (i < n && (part[i] == ' ' || part[i] == '\t'))
            i++;
        if (i == n)
            break;
        if (w->n == MOST_WORDS)
            return false;
        while (i < n && part[i] != ' ' && part[i] != '\t') {
            if (length + 1 >= WORD_BYTES)
                return false;
            w->word[w->n][length++] = part[i++];
        }
        w->word[w->n][length] = 0;
        w->n++;
    }
    return true;
}

static void small(const char *word, char out[static WORD_BYTES])
{
    size_t i = 0;

    for (; word[i] && i + 1 < WORD_BYTES; i++)
        out[i] = lower(word[i]);
    out[i] = 0;
}

/* The next word is this one: step over it. */
static bool word_is(struct words *w, const char *want)
{
    char is[WORD_BYTES];

    if (w->at >= w->n)
        return false;
    small(w->word[w->at], is);
    if (strcmp(is, want) != 0)
        return false;
    w->at++;
    return true;
}

static void skip_filler(struct words *w)
{
    char is[WORD_BYTES];

    while (w->at < w->n) {
        small(w->word[w->at], is);
        if (!passed_over(is))
            return;
        w->at++;
    }
}

/* ---- figures ---- */

static bool starts_number(const char *word)
{
    return (*word >= '0' && *word <= '9') || *word == '-' || *word == '+' || *word == '.';
}

/* "15 mph", "15mph", "15". False with *why untouched: no number here. */
static bool read_figure(struct words *w, enum quantity of, double low, double high, const char *field, double *si,
                        enum status *st, struct message *why)
{
    char both[2 * WORD_BYTES];
    struct message first = { "", "" };

    skip_filler(w);
    if (w->at >= w->n || !starts_number(w->word[w->at]))
        return false;
    if (w->at + 1 < w->n) { /* a unit apart from its number */
        (void)snprintf(both, sizeof both, "%s%s", w->word[w->at], w->word[w->at + 1]);
        if (quantity_read(both, of, low, high, field, si, &first) == ST_OK) {
            w->at += 2;
            return true;
        }
    }
    *st = quantity_read(w->word[w->at], of, low, high, field, si, why);
    w->at++;
    return true;
}

/* ---- clock ---- */

static bool two_digits(const char **p, int *value)
{
    int digits = 0;

    *value = 0;
    while (**p >= '0' && **p <= '9' && digits < 2) {
        *value = *value * 10 + (**p - '0');
        (*p)++;
        digits++;
    }
    return digits > 0;
}

/* "21:00", "9pm", "9:30pm", "midnight", "noon" -> seconds after local midnight. */
static bool clock_read(const char *word, int *of_day_s)
{
    const char *p;
    char is[WORD_BYTES];
    int hour, minute = 0;
    bool has_minutes = false;

    small(word, is);
    p = is;
    if (strcmp(is, "midnight") == 0 || strcmp(is, "noon") == 0) {
        *of_day_s = strcmp(is, "noon") == 0 ? 12 * 3600 : 0;
        return true;
    }
    if (!two_digits(&p, &hour))
        return false;
    if (*p == ':') {
        p++;
        has_minutes = true;
        if (!two_digits(&p, &minute) || p[-2] == ':')
            return false;
    }
    if (strcmp(p, "am") == 0 || strcmp(p, "pm") == 0) {
        if (hour < 1 || hour > 12)
            return false;
        hour = hour % 12 + (*p == 'p' ? 12 : 0);
        p += 2;
    } else if (!has_minutes) {
        return false; /* a bare "9" may be morning or evening */
    }
    if (*p || hour > 24 || minute > 59 || (hour == 24 && minute > 0))
        return false;
    *of_day_s = (hour % 24) * 3600 + minute * 60;
    return true;
}

static int64_t first_at(int of_day_s, int64_t after_utc_s, int offset_s)
{
    int64_t wait_s = (of_day_s - offset_s - after_utc_s) % DAY_S;

    return after_utc_s + (wait_s < 0 ? wait_s + DAY_S : wait_s);
}

static enum status read_clock(struct words *w, const char *field, int64_t after_utc_s, int offset_s, int64_t *utc_s,
                              struct message *why)
{
    int of_day_s;

    if (w->at >= w->n || !clock_read(w->word[w->at], &of_day_s))
        return refuse(ST_BAD_INPUT, why, field,
                      "%s: a clock time is missing or not understood; write it as 21:00 or 9pm", field);
    w->at++;
    *utc_s = first_at(of_day_s, after_utc_s, offset_s);
    return ST_OK;
}

/* ---- parts ---- */

struct reading {
    int64_t from_utc_s;
    int offset_s;
    struct typed t;
};

static enum status need_temperature(struct reading *r, struct words *w, const char *field, double *temp_c,
                                    int64_t *at_utc_s, struct message *why)
{
    enum status st = ST_OK;

    if (!read_figure(w, Q_TEMPERATURE, -70.0, 60.0, field, temp_c, &st, why))
        return refuse(ST_BAD_INPUT, why, field, "a temperature is missing after '%s'; write it as 12F or -11C", field);
    if (st == ST_OK && at_utc_s && word_is(w, "at"))
        st = read_clock(w, field, r->from_utc_s, r->offset_s, at_utc_s, why);
    return st;
}

static enum status read_gust(struct reading *r, struct words *w, struct message *why)
{
    enum status st = ST_OK;

    (void)(word_is(w, "to") || word_is(w, "up"));
    (void)word_is(w, "to");
    if (!read_figure(w, Q_SPEED, 0.0, 75.0, "gust", &r->t.gust_mps, &st, why))
        return refuse(ST_BAD_INPUT, why, "gust", "a speed is missing after gusts; write it as 30mph or 13mps");
    return st;
}

/* Two words that make one direction: "south west". */
static bool take_point(struct reading *r, struct words *w)
{
    char both[2 * WORD_BYTES];
    double deg;

    if (w->at + 1 < w->n) {
        (void)snprintf(both, sizeof both, "%s-%s", w->word[w->at], w->word[w->at + 1]);
        if (typed_point(both, &deg)) {
            w->at += 2;
            r->t.wind_from_deg = deg;
            return true;
        }
    }
    if (w->at < w->n && typed_point(w->word[w->at], &deg)) {
        w->at++;
        r->t.wind_from_deg = deg;
        return true;
    }
    return false;
}

static enum status read_wind(struct reading *r, struct words *w, struct message *why)
{
    bool any = false;

    (void)word_is(w, "from");
    while (w->at < w->n) {
        enum status st = ST_OK;

        skip_filler(w);
        if (word_is(w, "variable")) {
            r->t.wind_variable = any = true;
        } else if (word_is(w, "calm")) {
            r->t.wind_mps = 0.0;
            any = true;
        } else if (word_is(w, "gusts") || word_is(w, "gust") || word_is(w, "gusting")) {
            st = read_gust(r, w, why);
            any = true;
        } else if (take_point(r, w) || read_figure(w, Q_SPEED, 0.0, 75.0, "wind", &r->t.wind_mps, &st, why)) {
            any = true;
        } else {
            break;
        }
        if (st != ST_OK)
            return st;
    }
    if (!any)
        return refuse(ST_BAD_INPUT, why, "wind", "wind needs a direction or a speed; write it as: wind SW 15 mph");
    if (r->t.wind_variable)
        r->t.wind_from_deg = NAN;
    return ST_OK;
}

static enum status read_falling(struct reading *r, struct words *w, bool snow, struct message *why)
{
    const char *field = snow ? "snow" : "rain";
    enum status st = ST_OK;
    double mm;

    if (snow)
        r->t.snow = true;
    else
        r->t.rain = true;
    if (read_figure(w, Q_RAIN, 0.0, snow ? 5000.0 : 500.0, field, &mm, &st, why)) {
        if (st != ST_OK)
            return st;
        if (snow)
            r->t.snow_cm = mm / 10.0;
        else
            r->t.rain_mm = mm;
    }
    if (word_is(w, "from"))
        st = read_clock(w, field, r->from_utc_s, r->offset_s, &r->t.rain_from_utc_s, why);
    if (st == ST_OK && (word_is(w, "until") || word_is(w, "till") || word_is(w, "to")))
        st = read_clock(w, field, (r->t.rain_from_utc_s ? r->t.rain_from_utc_s : r->from_utc_s) + 1, r->offset_s,
                        &r->t.rain_until_utc_s, why);
    return st;
}

static enum status read_share(struct words *w, enum quantity of, double scale, const char *field, double *value,
                              struct message *why)
{
    enum status st = ST_OK;
    double share = NAN;

    if (!read_figure(w, of, 0.0, 1.0, field, &share, &st, why))
        return refuse(ST_BAD_INPUT, why, field, "a figure is missing after '%s'; write it as 60%%", field);
    if (st == ST_OK)
        *value = scale * share;
    return st;
}

static enum status read_part(struct reading *r, struct words *w, bool *understood, struct message *why)
{
    static const struct {
        const char *word;
        double oktas;
    } sky[] = {
        { "clear", 0.0 },
        { "cloudy", 6.0 },
        { "overcast", 8.0 },
    };

    *understood = true;
    skip_filler(w);
    if (word_is(w, "now"))
        return need_temperature(r, w, "now", &r->t.now_c, NULL, why);
    if (word_is(w, "low"))
        return need_temperature(r, w, "low", &r->t.low_c, &r->t.low_utc_s, why);
    if (word_is(w, "high"))
        return need_temperature(r, w, "high", &r->t.high_c, &r->t.high_utc_s, why);
    if (word_is(w, "wind"))
        return read_wind(r, w, why);
    if (word_is(w, "gusts") || word_is(w, "gust"))
        return read_gust(r, w, why);
    if (word_is(w, "rain"))
        return read_falling(r, w, false, why);
    if (word_is(w, "snow"))
        return read_falling(r, w, true, why);
    if (word_is(w, "cloud"))
        return read_share(w, Q_CLOUD, 8.0, "cloud", &r->t.cloud_oktas, why);
    if (word_is(w, "humidity"))
        return read_share(w, Q_FRACTION, 1.0, "humidity", &r->t.rh, why);
    if (word_is(w, "calm")) {
        r->t.wind_mps = 0.0;
        return ST_OK;
    }
    if (word_is(w, "dry")) {
        r->t.dry = true;
        return ST_OK;
    }
    for (size_t i = 0; i < COUNT(sky); i++) {
        if (word_is(w, sky[i].word)) {
            r->t.cloud_oktas = sky[i].oktas;
            return ST_OK;
        }
    }
    *understood = false;
    return ST_OK;
}

static bool ends_part(char c)
{
    return c == ',' || c == ';' || c == '\n' || c == '\r';
}

/* Degree signs go, and so do their two bytes; any other byte outside plain text is refused. */
static enum status plain(const char *text, char out[static MOST_BYTES + 1], struct message *why)
{
    size_t n = 0;

    for (const char *p = text; *p; p++) {
        if ((unsigned char)p[0] == 0xc2 && (unsigned char)p[1] == 0xb0) {
            p++;
            continue;
        }
        if (n == MOST_BYTES)
            return refuse(ST_BAD_INPUT, why, "forecast", "the text is longer than %d letters; say it shorter",
                          MOST_BYTES);
        if ((unsigned char)*p >= 127 || ((unsigned char)*p < 32 && *p != '\t' && *p != '\n' && *p != '\r'))
            return refuse(ST_BAD_INPUT, why, "forecast",
                          "a sign in the text is neither letter nor figure; use plain "
                          "ones");
        out[n++] = *p;
    }
    out[n] = 0;
    return ST_OK;
}

enum status typed_read(const char *text, int64_t from_utc_s, int offset_s, struct typed *out, struct message *why)
{
    struct reading r = { from_utc_s, offset_s, typed_nothing() };
    char line[MOST_BYTES + 1];
    bool any = false;

    if (plain(text, line, why) != ST_OK)
        return ST_BAD_INPUT;
    for (size_t i = 0; line[i];) {
        const size_t begin = i;
        struct words w = { 0 };
        bool understood = false;

        while (line[i] && !ends_part(line[i]))
            i++;
        if (!split(&line[begin], i - begin, &w))
            return refuse(ST_BAD_INPUT, why, "forecast", "'%.40s...' is too long; separate the parts with commas",
                          &line[begin]);
        if (line[i])
            i++;
        if (w.n == 0)
            continue;
        any = true;
        if (read_part(&r, &w, &understood, why) != ST_OK)
            return ST_BAD_INPUT;
        skip_filler(&w);
        if (!understood || w.at < w.n)
            return refuse(ST_BAD_INPUT, why, "forecast",
                          "'%s' is not understood; write it like: low 12F, wind SW 15 "
                          "mph, rain until 21:00",
                          w.at < w.n ? w.word[w.at] : w.word[0]);
    }
    if (!any)
        return refuse(ST_BAD_INPUT, why, "forecast",
                      "nothing was said; write it like: low 12F, wind SW 15 mph, rain "
                      "until 21:00");
    *out = r.t;
    return ST_OK;
}
