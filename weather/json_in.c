/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "weather/json_in.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "core/base/units.h"

static bool number_char(char c)
{
    return (c >= '0' && c <= '9') || c == '-' || c == '+' || c == '.' || c == 'e' || c == 'E';
}

/* Ceilings before parsing: a parser that builds a tree first would need many times the bytes. */
static enum status look_over(const char *name, const char *s, const char *end, struct message *why)
{
    size_t line = 1, values = 1, depth = 0;
    bool quoted = false;

    for (; s < end; s++) {
        line += *s == '\n';
        if (quoted) {
            if (*s == '\\')
                s++;
            else if (*s == '"')
                quoted = false;
            continue;
        }
        if (number_char(*s)) {
            const char *from = s;
            while (s < end && number_char(*s))
                s++;
            if (s - from > JSON_IN_NUMBER)
                return refuse(ST_BAD_INPUT, why, "",
                              "%.120s, line %zu: a number of %zu characters; no figure of weather "
                              "is that long",
                              name, line, (size_t)(s - from));
            s--;
            continue;
        }
        quoted = *s == '"';
        values += *s == ',' || *s == '[' || *s == '{';
        depth += *s == '[' || *s == '{';
        if ((*s == ']' || *s == '}') && depth > 0)
            depth--;
        if (depth > JSON_IN_DEPTH || values > JSON_IN_VALUES)
            return refuse(ST_BAD_INPUT, why, "", "%.120s, line %zu: %s than any forecast has; this is not one", name,
                          line, depth > JSON_IN_DEPTH ? "nested deeper" : "more values");
    }
    return ST_OK;
}

enum status json_in(const char *name, const char *bytes, size_t n, json_t **root, struct message *why)
{
    json_error_t error;

    if (n >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        bytes += 3;
        n -= 3;
    }
    if (n > JSON_IN_BYTES)
        return refuse(ST_BAD_INPUT, why, "", "%.120s: larger than %d MB; a forecast is far smaller", name,
                      JSON_IN_BYTES / (1024 * 1024));
    const enum status st = look_over(name, bytes, bytes + n, why);
    if (st != ST_OK)
        return st;
    json_t *got = json_loadb(bytes, n, JSON_REJECT_DUPLICATES | JSON_DECODE_INT_AS_REAL, &error);
    if (!got && json_error_code(&error) == json_error_premature_end_of_input)
        return refuse(ST_BAD_INPUT, why, "", "%.120s, line %d: the file ends in the middle; fetch it again", name,
                      error.line);
    if (!got && json_error_code(&error) == json_error_out_of_memory)
        return refuse(ST_NO_MEMORY, why, "", "%.120s: out of memory", name);
    if (!got)
        return refuse(ST_BAD_INPUT, why, "", "%.120s, line %d: not whole JSON (%.120s)", name, error.line, error.text);
    *root = got;
    return ST_OK;
}

double json_in_number(const json_t *obj, const char *key)
{
    const json_t *v = json_object_get(obj, key);
    double value = NAN;

    if (json_is_number(v))
        return json_number_value(v);
    if (json_is_string(v) && read_real(json_string_value(v), &value))
        return value;
    return NAN;
}

const char *json_in_text(const json_t *obj, const char *key)
{
    const char *s = json_string_value(json_object_get(obj, key));
    return s ? s : "";
}
