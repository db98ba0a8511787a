/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/units.h"
#include "doors/show/show.h"

/* Columns on a terminal line: UTF-8 continuation bytes and colours ("ESC [ ... m") take none. */
static int columns_of(const char *s, size_t n)
{
    int columns = 0;
    bool colour = false;

    for (size_t i = 0; i < n; i++) {
        colour = colour || s[i] == '\033';
        columns += !colour && ((unsigned char)s[i] & 0xC0) != 0x80;
        colour = colour && s[i] != 'm';
    }
    return columns;
}

void show_fold(struct text *out, const struct show_how *how, const char *lead, int indent, const char *paragraph)
{
    int at = columns_of(lead, strlen(lead));
    bool fresh = true; /* nothing on this line yet but lead or indent */

    text_add(out, lead);
    for (const char *s = paragraph; *s;) {
        const size_t n = strcspn(s, " \n");
        const int columns = columns_of(s, n);
        if (!fresh && at + 1 + columns > how->width) {
            text_print(out, "\n%*s", indent, "");
            at = indent;
            fresh = true;
        }
        if (!fresh) {
            text_add(out, " ");
            at++;
        }
        text_add_bytes(out, s, n);
        at += columns;
        fresh = fresh && n == 0;
        s += n;
        if (*s == '\n') {
            text_print(out, "\n%*s", indent, "");
            at = indent;
            fresh = true;
        }
        s += *s != '\0';
    }
    text_add(out, "\n");
}

static const char *in_unit(double si, enum quantity of, const char *unit, const char *word, int digits,
                           char out[static 32])
{
    const double x = unit_from_si(si, unit, of);
    if (!isfinite(x))
        (void)snprintf(out, 32, "?");
    else
        (void)snprintf(out, 32, "%.*f %s", digits, fabs(x) <= 0.5 * pow(10.0, -digits) ? 0.0 : x, word);
    return out;
}

const char *show_temp(double temp_c, const struct show_how *how, char out[static 32])
{
    return how->us_units ? in_unit(temp_c, Q_TEMPERATURE, "F", "°F", 0, out)
                         : in_unit(temp_c, Q_TEMPERATURE, "C", "°C", 0, out);
}

const char *show_feels(double feels_c, const struct show_how *how, char out[static 32])
{
    if (!(feels_c < -60.0))
        return show_temp(feels_c, how, out);
    (void)snprintf(out, 32, "%s or colder", how->us_units ? "-76 °F" : "-60 °C");
    return out;
}

const char *show_wind(double wind_mps, const struct show_how *how, char out[static 32])
{
    return how->us_units ? in_unit(wind_mps, Q_SPEED, "mph", "mph", 0, out)
                         : in_unit(wind_mps, Q_SPEED, "mps", "m/s", 0, out);
}

const char *show_mass(double mass_kg, const struct show_how *how, char out[static 32])
{
    return how->us_units ? in_unit(mass_kg, Q_MASS, "lb", "lb", 0, out)
                         : in_unit(mass_kg, Q_MASS, "kg", "kg", mass_kg < 10 ? 1 : 0, out);
}

const char *show_depth(double length_m, const struct show_how *how, char out[static 32])
{
    return how->us_units ? in_unit(length_m, Q_LENGTH, "in", "in", 0, out)
                         : in_unit(length_m, Q_LENGTH, "cm", "cm", 0, out);
}

const char *show_rain(double rain_mm, const struct show_how *how, char out[static 32])
{
    return how->us_units ? in_unit(rain_mm, Q_RAIN, "in", "in", 2, out) : in_unit(rain_mm, Q_RAIN, "mm", "mm", 1, out);
}

const char *show_moment(int64_t utc_s, const struct show_how *how, char out[static 32])
{
    const struct civil c = when_local(how->zone, utc_s);
    const int64_t days = civil_days(c.year, c.month, c.day);
    (void)snprintf(out, 32, "%s %d %s %02d:%02d", when_weekday[civil_weekday(days)], c.day, when_month[c.month], c.hour,
                   c.minute);
    return out;
}

/* A window of days is told in days, a shorter one to the hour: its minutes mean nothing. */
const char *show_about(int64_t utc_s, int64_t width_s, const struct show_how *how, char out[static 32])
{
    const bool days = width_s >= 60 * HOUR_S;
    if (!days)
        return show_moment((utc_s + HOUR_S / 2) / HOUR_S * HOUR_S, how, out);
    const struct civil c = when_local(how->zone, utc_s);
    (void)snprintf(out, 32, "%s %d %s", when_weekday[civil_weekday(civil_days(c.year, c.month, c.day))], c.day,
                   when_month[c.month]);
    return out;
}

const char *show_clock(int64_t utc_s, const struct show_how *how, char out[static 32])
{
    const struct civil c = when_local(how->zone, utc_s);
    (void)snprintf(out, 32, "%02d:%02d", c.hour, c.minute);
    return out;
}

const char *show_compass(double bearing_deg)
{
    static const char *const point[16] = { "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                           "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW" };
    if (!isfinite(bearing_deg))
        return "?";
    const double turn = fmod(fmod(bearing_deg, 360.0) + 360.0 + 11.25, 360.0);
    return point[(int)(turn / 22.5) % 16];
}

/* "min_temp_c" -> "min temp c": keys are plain words joined by _ */
static void key_words(struct text *out, const char *key)
{
    for (; *key; key++)
        text_add_bytes(out, *key == '_' ? " " : key, 1);
}

static void plain(const struct answer *a, const struct show_how *how, struct text *out)
{
    char text[32];

    switch (a->kind) {
    case ANSWER_REAL: text_print(out, "%.6g", a->is.real); break;
    case ANSWER_WHOLE: text_print(out, "%lld", (long long)a->is.whole); break;
    case ANSWER_TEXT: text_add(out, a->is.text); break;
    case ANSWER_MOMENT: text_add(out, show_moment(a->is.whole, how, text)); break;
    case ANSWER_DAY: text_add(out, civil_date_text(a->is.whole, text)); break;
    case ANSWER_FLAG: text_add(out, a->is.flag ? "yes" : "no"); break;
    case ANSWER_NULL: text_add(out, "-"); break;
    case ANSWER_REALS:
        for (size_t i = 0; i < a->is.reals.n; i++)
            text_print(out, "%s%.*f", i ? " " : "", a->is.reals.digits, a->is.reals.at[i]);
        break;
    case ANSWER_OBJECT:
    case ANSWER_LIST: break;
    }
}

static bool is_row(const struct answer *a)
{
    if (a->kind != ANSWER_OBJECT)
        return false;
    for (const struct answer *c = a->first; c; c = c->next)
        if (c->kind == ANSWER_OBJECT || c->kind == ANSWER_LIST || c->kind == ANSWER_REALS)
            return false;
    return true;
}

static void tree(const struct answer *a, const struct show_how *how, int indent, struct text *out)
{
    for (const struct answer *c = a->first; c; c = c->next) {
        struct text line;
        char lead[96];

        text_open_part(&line, out);
        (void)snprintf(lead, sizeof lead, "%*s", indent, "");
        if (a->kind == ANSWER_LIST && is_row(c)) { /* a row of a table: one line */
            for (const struct answer *m = c->first; m; m = m->next) {
                if (m != c->first)
                    text_add(&line, ", ");
                if (m->key) {
                    key_words(&line, m->key);
                    text_add(&line, " ");
                }
                plain(m, how, &line);
            }
            show_fold(out, how, lead, indent + 2, text_get(&line));
        } else if (c->kind == ANSWER_OBJECT || c->kind == ANSWER_LIST) {
            if (c->key && c->first) {
                key_words(&line, c->key);
                text_print(out, "%s%s\n", lead, text_get(&line));
            }
            tree(c, how, indent + 2, out);
        } else {
            if (c->key) {
                key_words(&line, c->key);
                text_add(&line, ": ");
            }
            plain(c, how, &line);
            show_fold(out, how, lead, indent + 2, text_get(&line));
        }
        text_close(&line);
    }
}

void show_tree(const struct answer *a, const struct show_how *how, struct text *out)
{
    tree(a, how, 0, out);
}
