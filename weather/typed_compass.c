/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "weather/typed.h"

#include <math.h>
#include <string.h>

#include "core/base/units.h"

enum { WORD_BYTES = 24 };

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool same_letters(const char *text, const char *small)
{
    while (*small && lower(*text) == *small) {
        text++;
        small++;
    }
    return *small == 0 && *text == 0;
}

static const char *const point_name[16] = { "n", "nne", "ne", "ene", "e", "ese", "se", "sse",
                                            "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw" };

/* "south-west", "southwesterly", "SW" -> "sw". False: other letters, or too long. */
static bool shorten(const char *text, char out[static 8])
{
    static const struct {
        const char *name;
        char letter;
    } side[] = {
        { "north", 'n' }, { "east", 'e' }, { "south", 's' }, { "west", 'w' },
        { "n", 'n' },     { "e", 'e' },    { "s", 's' },     { "w", 'w' },
    };
    char word[WORD_BYTES] = "";
    size_t length = 0;
    const char *p = word;

    if (strlen(text) >= WORD_BYTES)
        return false;
    for (size_t i = 0; i == 0 || text[i - 1]; i++)
        word[i] = lower(text[i]);
    while (*p) {
        size_t i = 0;

        if (*p == '-' || *p == ' ') {
            p++;
            continue;
        }
        if (length > 0 && strcmp(p, "erly") == 0)
            break;
        while (i < COUNT(side) && strncmp(p, side[i].name, strlen(side[i].name)) != 0)
            i++;
        if (i == COUNT(side) || length == 7)
            return false;
        out[length++] = side[i].letter;
        p += strlen(side[i].name);
    }
    out[length] = 0;
    return length > 0;
}

bool typed_point(const char *text, double *from_deg)
{
    char name[8];

    if (!shorten(text, name))
        return false;
    for (size_t i = 0; i < COUNT(point_name); i++) {
        if (strcmp(name, point_name[i]) == 0) {
            *from_deg = 22.5 * (double)i;
            return true;
        }
    }
    return false;
}

enum status typed_compass(const char *text, const char *field, double *from_deg, bool *variable, struct message *why)
{
    double deg;

    if (strlen(text) >= WORD_BYTES)
        return refuse(ST_BAD_INPUT, why, field,
                      "that is no direction; give a name such as SW, a bearing such as 225, "
                      "or variable");
    if (same_letters(text, "variable")) {
        *from_deg = NAN;
        *variable = true;
        return ST_OK;
    }
    if (!typed_point(text, &deg)) {
        if ((*text < '0' || *text > '9') && *text != '-' && *text != '+' && *text != '.')
            return refuse(ST_BAD_INPUT, why, field,
                          "'%s' is no direction; give a name such as SW, a bearing such as "
                          "225, or variable",
                          text);
        if (quantity_read(text, Q_ANGLE, 0.0, 360.0, field, &deg, why) != ST_OK)
            return ST_BAD_INPUT;
        deg = fmod(deg, 360.0);
    }
    *from_deg = deg;
    *variable = false;
    return ST_OK;
}
