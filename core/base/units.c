/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/units.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* value_SI = factor x (given + shift). Every row says where its figure comes from. */
static const struct unit {
    const char *name;
    enum quantity of;
    double factor, shift;
    const char *source;
} units[] = {
    { "C", Q_TEMPERATURE, 1.0, 0.0, "kept in °C: SI Brochure, derived unit" },
    { "F", Q_TEMPERATURE, 5.0 / 9.0, -32.0, "exact, by definition" },
    { "K", Q_TEMPERATURE, 1.0, -273.15, "exact, SI Brochure" },
    { "C", Q_TEMPERATURE_STEP, 1.0, 0.0, "a difference of 1 °C is 1 K" },
    { "K", Q_TEMPERATURE_STEP, 1.0, 0.0, "SI base unit" },
    { "F", Q_TEMPERATURE_STEP, 5.0 / 9.0, 0.0, "exact, by definition" },
    { "mps", Q_SPEED, 1.0, 0.0, "SI derived unit" },
    { "m/s", Q_SPEED, 1.0, 0.0, "SI derived unit" },
    { "kmh", Q_SPEED, 1.0 / 3.6, 0.0, "exact" },
    { "km/h", Q_SPEED, 1.0 / 3.6, 0.0, "exact" },
    { "mph", Q_SPEED, 0.44704, 0.0, "1609.344 m / 3600 s, exact" },
    { "kn", Q_SPEED, 1852.0 / 3600.0, 0.0, "nautical mile per hour, exact: SI Brochure, table 8" },
    { "kt", Q_SPEED, 1852.0 / 3600.0, 0.0, "the same, as aviation reports write it" },
    { "m", Q_LENGTH, 1.0, 0.0, "SI base unit" },
    { "cm", Q_LENGTH, 0.01, 0.0, "SI prefix" },
    { "mm", Q_LENGTH, 0.001, 0.0, "SI prefix" },
    { "km", Q_LENGTH, 1000.0, 0.0, "SI prefix" },
    { "ft", Q_LENGTH, 0.3048, 0.0, "international foot, exact (1959 agreement)" },
    { "in", Q_LENGTH, 0.0254, 0.0, "international inch, exact (1959 agreement)" },
    { "mi", Q_LENGTH, 1609.344, 0.0, "international mile, exact (1959 agreement)" },
    { "mm", Q_RAIN, 1.0, 0.0, "1 mm of rain = 1 L/m2" },
    { "cm", Q_RAIN, 10.0, 0.0, "SI prefix" },
    { "in", Q_RAIN, 25.4, 0.0, "international inch, exact (1959 agreement)" },
    { "kg", Q_MASS, 1.0, 0.0, "SI base unit" },
    { "g", Q_MASS, 0.001, 0.0, "SI prefix" },
    { "lb", Q_MASS, 0.45359237, 0.0, "international pound, exact (1959 agreement)" },
    { "kPa", Q_PRESSURE, 1.0, 0.0, "SI prefix; the contract gives pressure in kPa" },
    { "hPa", Q_PRESSURE, 0.1, 0.0, "SI prefix" },
    { "Pa", Q_PRESSURE, 0.001, 0.0, "SI derived unit" },
    { "inHg", Q_PRESSURE, 3.386389, 0.0, "conventional inch of mercury: NIST SP 811, appendix B" },
    { "m2", Q_AREA, 1.0, 0.0, "SI derived unit" },
    { "ha", Q_AREA, 10000.0, 0.0, "SI Brochure, table 8" },
    { "acre", Q_AREA, 4046.8564224, 0.0, "international acre, exact" },
    { "ft2", Q_AREA, 0.09290304, 0.0, "exact from the international foot" },
    { "d", Q_SPAN, 1.0, 0.0, "SI Brochure, table 8" },
    { "h", Q_SPAN, 1.0 / 24.0, 0.0, "SI Brochure, table 8" },
    { "min", Q_SPAN, 1.0 / 1440.0, 0.0, "SI Brochure, table 8" },
    { "s", Q_SPAN, 1.0 / 86400.0, 0.0, "SI base unit" },
    { "week", Q_SPAN, 7.0, 0.0, "seven days" },
    { "deg", Q_ANGLE, 1.0, 0.0, "SI Brochure, table 8" },
    { "%", Q_FRACTION, 0.01, 0.0, "SI Brochure, 5.4.7" },
    { "%", Q_CLOUD, 0.01, 0.0, "SI Brochure, 5.4.7" },
    { "okta", Q_CLOUD, 0.125, 0.0, "eighths of the sky: WMO-No. 8" },
    { "W", Q_POWER, 1.0, 0.0, "SI derived unit" },
    { "kW", Q_POWER, 1000.0, 0.0, "SI prefix" },
    { "MJ", Q_ENERGY, 1.0, 0.0, "SI prefix" },
    { "kJ", Q_ENERGY, 0.001, 0.0, "SI prefix" },
    { "kcal", Q_ENERGY, 0.004184, 0.0, "thermochemical, exact: NIST SP 811, appendix B" },
    { "kWh", Q_ENERGY, 3.6, 0.0, "exact" },
    { "Wm2", Q_IRRADIANCE, 1.0, 0.0, "SI derived unit" },
    { "h", Q_HOURS, 1.0, 0.0, "SI Brochure, table 8" },
    { "min", Q_HOURS, 1.0 / 60.0, 0.0, "SI Brochure, table 8" },
    { "s", Q_HOURS, 1.0 / 3600.0, 0.0, "SI base unit" },
    { "d", Q_HOURS, 24.0, 0.0, "SI Brochure, table 8" },
    { "min", Q_MINUTES, 1.0, 0.0, "SI Brochure, table 8" },
    { "s", Q_MINUTES, 1.0 / 60.0, 0.0, "SI base unit" },
    { "h", Q_MINUTES, 60.0, 0.0, "SI Brochure, table 8" },
    { "d", Q_MINUTES, 1440.0, 0.0, "SI Brochure, table 8" },
};

const char *const quantity_name[Q_END] = {
    [Q_NUMBER] = "number",
    [Q_TEMPERATURE] = "temperature",
    [Q_TEMPERATURE_STEP] = "temperature difference",
    [Q_SPEED] = "speed",
    [Q_LENGTH] = "length",
    [Q_RAIN] = "rain",
    [Q_MASS] = "mass",
    [Q_PRESSURE] = "pressure",
    [Q_AREA] = "area",
    [Q_SPAN] = "span of time",
    [Q_ANGLE] = "angle",
    [Q_FRACTION] = "fraction",
    [Q_CLOUD] = "cloud",
    [Q_POWER] = "power",
    [Q_ENERGY] = "energy",
    [Q_IRRADIANCE] = "irradiance",
    [Q_HOURS] = "span of hours",
    [Q_MINUTES] = "span of minutes",
};

const char *const quantity_si[Q_END] = {
    [Q_NUMBER] = "",        [Q_TEMPERATURE] = "C", [Q_TEMPERATURE_STEP] = "K",
    [Q_SPEED] = "mps",      [Q_LENGTH] = "m",      [Q_RAIN] = "mm",
    [Q_MASS] = "kg",        [Q_PRESSURE] = "kPa",  [Q_AREA] = "m2",
    [Q_SPAN] = "d",         [Q_ANGLE] = "deg",     [Q_FRACTION] = "",
    [Q_CLOUD] = "",         [Q_POWER] = "W",       [Q_ENERGY] = "MJ",
    [Q_IRRADIANCE] = "Wm2", [Q_HOURS] = "h",       [Q_MINUTES] = "min",
};

const char *const quantity_example[Q_END] = {
    [Q_NUMBER] = "12",      [Q_TEMPERATURE] = "12F",   [Q_TEMPERATURE_STEP] = "3K",
    [Q_SPEED] = "15mph",    [Q_LENGTH] = "6in",        [Q_RAIN] = "4mm",
    [Q_MASS] = "3lb",       [Q_PRESSURE] = "101.3kPa", [Q_AREA] = "1acre",
    [Q_SPAN] = "2d",        [Q_ANGLE] = "135",         [Q_FRACTION] = "85%",
    [Q_CLOUD] = "4okta",    [Q_POWER] = "450W",        [Q_ENERGY] = "30MJ",
    [Q_IRRADIANCE] = "300", [Q_HOURS] = "6h",          [Q_MINUTES] = "20min",
};
_Static_assert(COUNT(quantity_name) == Q_END && COUNT(quantity_si) == Q_END && COUNT(quantity_example) == Q_END,
               "one text for each quantity");

/* "1.4kg or 3lb": farms weigh in both. */
static const char *such_as(enum quantity of)
{
    switch (of) {
    case Q_TEMPERATURE: return "-5C or 23F";
    case Q_SPEED: return "7mps or 15mph";
    case Q_LENGTH: return "15cm or 6in";
    case Q_MASS: return "1.4kg or 3lb";
    case Q_AREA: return "0.4ha or 1acre";
    default: return quantity_example[of];
    }
}

enum status unit_to_si(double given, const char *name, enum quantity want, double *si, struct message *why)
{
    const struct unit *elsewhere = NULL;

    for (size_t i = 0; i < COUNT(units); i++) {
        if (strcmp(units[i].name, name) != 0)
            continue;
        if (units[i].of == want) {
            *si = units[i].factor * (given + units[i].shift);
            return ST_OK;
        }
        elsewhere = &units[i];
    }
    if (elsewhere)
        return refuse(ST_BAD_INPUT, why, "", "\"%s\" is a unit of %s, not of %s; try %s", name,
                      quantity_name[elsewhere->of], quantity_name[want], such_as(want));
    return refuse(ST_BAD_INPUT, why, "", "\"%.20s\" is no unit that is known here; try %s", name, such_as(want));
}

double unit_from_si(double si, const char *name, enum quantity of)
{
    for (size_t i = 0; i < COUNT(units); i++)
        if (units[i].of == of && strcmp(units[i].name, name) == 0)
            return si / units[i].factor - units[i].shift;
    return NAN;
}

void quantity_units(enum quantity of, char *text, size_t size)
{
    size_t used = 0;

    if (size)
        text[0] = '\0';
    for (size_t i = 0; i < COUNT(units); i++) {
        if (units[i].of != of || used >= size)
            continue;
        const int n = snprintf(text + used, size - used, "%s%s", used ? ", " : "", units[i].name);
        used += n > 0 ? (size_t)n : 0;
    }
}

static bool is_space(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* Length of the decimal number at the start of s: sign, digits, point, exponent. 0 when there is none. */
static size_t number_length(const char *s)
{
    size_t i = 0, digits = 0;

    if (s[i] == '+' || s[i] == '-')
        i++;
    for (; s[i] >= '0' && s[i] <= '9'; i++)
        digits++;
    if (s[i] == '.')
        for (i++; s[i] >= '0' && s[i] <= '9'; i++)
            digits++;
    if (digits == 0)
        return 0;
    if (s[i] == 'e' || s[i] == 'E') {
        size_t j = i + 1;
        if (s[j] == '+' || s[j] == '-')
            j++;
        if (s[j] >= '0' && s[j] <= '9') {
            while (s[j] >= '0' && s[j] <= '9')
                j++;
            i = j;
        }
    }
    return i;
}

static bool copy_trimmed(const char *text, char *out, size_t size)
{
    while (is_space(*text))
        text++;
    size_t n = strnlen(text, size);
    while (n > 0 && is_space(text[n - 1]))
        n--;
    if (n == 0 || n >= size)
        return false;
    memcpy(out, text, n);
    out[n] = '\0';
    return true;
}

bool read_real(const char *text, double *value)
{
    char s[65];

    if (!copy_trimmed(text, s, sizeof s) || number_length(s) != strlen(s))
        return false;
    const double got = strtod(s, NULL); /* the program never calls setlocale, so the point is a point */
    if (!isfinite(got))
        return false;
    *value = got;
    return true;
}

bool read_whole(const char *text, int64_t *value)
{
    char s[65];
    uint64_t sum = 0;
    size_t i = 0;

    if (!copy_trimmed(text, s, sizeof s))
        return false;
    const bool minus = s[0] == '-';
    if (s[0] == '-' || s[0] == '+')
        i++;
    if (!s[i])
        return false;
    for (; s[i]; i++) {
        if (s[i] < '0' || s[i] > '9' || sum > (UINT64_C(0x7fffffffffffffff) - 9) / 10)
            return false;
        sum = sum * 10 + (uint64_t)(s[i] - '0');
    }
    *value = minus ? -(int64_t)sum : (int64_t)sum;
    return true;
}

/* A bearing may be said as one of the 16 points, as people at a gate do. */
static bool compass_point(const char *word, double *deg)
{
    static const char *const point[16] = { "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                           "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW" };

    char upper[5] = "";

    for (size_t i = 0; word[i]; i++) {
        if (i + 1 == sizeof upper)
            return false;
        upper[i] = word[i] >= 'a' && word[i] <= 'z' ? (char)(word[i] - 'a' + 'A') : word[i];
    }
    for (size_t i = 0; i < COUNT(point); i++) {
        if (strcmp(upper, point[i]) == 0) {
            *deg = 22.5 * (double)i;
            return true;
        }
    }
    return false;
}

static enum status not_one(const char *text, enum quantity of, bool bearing, const char *field, struct message *why)
{
    const char *name = bearing ? "bearing" : quantity_name[of];

    return refuse(ST_BAD_INPUT, why, field, "%s: \"%.40s\" is not %s %s; give one such as %s", field, text,
                  strchr("aeiou", *name) ? "an" : "a", name, bearing ? "135 or SE" : such_as(of));
}

enum status quantity_read(const char *text, enum quantity of, double low, double high, const char *field, double *si,
                          struct message *why)
{
    char s[65], number[65];
    double given = NAN, got = NAN;
    struct message unit_why = { "", "" };
    const bool bearing = of == Q_ANGLE && !(low < 0.0) && high >= 360.0;

    if (!copy_trimmed(text, s, sizeof s))
        return not_one(text, of, bearing, field, why);
    if (bearing && compass_point(s, si))
        return ST_OK;
    const size_t n = number_length(s);
    memcpy(number, s, n);
    number[n] = '\0';
    if (n == 0 || !read_real(number, &given))
        return not_one(text, of, bearing, field, why);
    const char *unit = s + n;
    while (is_space(*unit))
        unit++;
    if (*unit == '\0')
        got = given;
    else if (unit_to_si(given, unit, of, &got, &unit_why) != ST_OK)
        return refuse(ST_BAD_INPUT, why, field, "%s: %s", field, unit_why.text);
    if (!(got >= low && got <= high))
        return refuse(ST_BAD_INPUT, why, field, "%s: %.40s is out of range; give %.10g to %.10g%s%s%s", field, s, low,
                      high, quantity_si[of][0] ? " " : "", quantity_si[of],
                      of == Q_FRACTION || of == Q_CLOUD ? ", or a percentage with its % sign" : "");
    *si = got;
    return ST_OK;
}
