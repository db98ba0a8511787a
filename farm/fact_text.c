/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One value -> text: exactly, for files; kindly, for people; as JSON.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/exchange.h"
#include "farm/facts.h"
#include "farm/words.h"

const char *words_real(double value, char out[static 40])
{
    if (value == 0.0)
        value = 0.0; /* no minus zero */
    for (int digits = 15; digits <= 17; digits++) {
        (void)snprintf(out, 40, "%.*g", digits, value);
        if (strtod(out, NULL) == value)
            break;
    }
    return out;
}

bool words_clean(const char *text)
{
    const unsigned char *s = (const unsigned char *)text;

    while (*s) {
        const unsigned char c = *s;
        size_t more = 0;
        unsigned long point = c, least = 0;
        if (c < 0x80) {
            if ((c < 0x20 && c != '\n' && c != '\t') || c == 0x7f)
                return false;
        } else if (c >= 0xC2 && c <= 0xDF) {
            more = 1, point = c & 0x1FU, least = 0x80;
        } else if (c >= 0xE0 && c <= 0xEF) {
            more = 2, point = c & 0x0FU, least = 0x800;
        } else if (c >= 0xF0 && c <= 0xF4) {
            more = 3, point = c & 0x07U, least = 0x10000;
        } else {
            return false;
        }
        for (size_t i = 1; i <= more; i++) {
            if ((s[i] & 0xC0) != 0x80)
                return false;
            point = point << 6 | (s[i] & 0x3FU);
        }
        if (point < least || point > 0x10FFFF || (point >= 0xD800 && point <= 0xDFFF) ||
            (point >= 0x80 && point < 0xA0))
            return false;
        s += 1 + more;
    }
    return true;
}

bool words_one_line(const char *text)
{
    if (!words_clean(text) || strpbrk(text, "\t\n\r"))
        return false;
    for (const unsigned char *s = (const unsigned char *)text; *s; s++) {
        if (s[0] != 0xE2 || (s[1] != 0x80 && s[1] != 0x81))
            continue;
        if (s[1] == 0x80 && s[2] >= 0xA8 && s[2] <= 0xAE) /* U+2028 .. U+202E */
            return false;
        if (s[1] == 0x81 && s[2] >= 0xA6 && s[2] <= 0xA9) /* U+2066 .. U+2069 */
            return false;
    }
    return true;
}

void words_json(struct text *out, const char *text)
{
    text_add(out, "\"");
    for (const char *s = text; *s; s++) {
        const unsigned char c = (unsigned char)*s;
        if (c == '"' || c == '\\')
            text_print(out, "\\%c", c);
        else if (c == '\n')
            text_add(out, "\\n");
        else if (c == '\t')
            text_add(out, "\\t");
        else if (c < 0x20 || c == 0x7f)
            text_print(out, "\\u%04x", (unsigned)c);
        else
            text_add_bytes(out, s, 1);
    }
    text_add(out, "\"");
}

void words_csv(struct text *out, const char *text)
{
    const size_t n = strlen(text);

    /* also quoted: what a reader would trim or take for a comment */
    if (n == 0 || (!strpbrk(text, "\",;\t\n\r") && text[0] != ' ' && text[n - 1] != ' ' && text[0] != '#')) {
        text_add(out, text);
        return;
    }
    text_add(out, "\"");
    for (const char *s = text; *s; s++) {
        if (*s == '"')
            text_add(out, "\"");
        text_add_bytes(out, s, 1);
    }
    text_add(out, "\"");
}

const char *fact_value_text(const struct fact_field *field, const struct fact_value *value, struct arena *mem)
{
    char out[40];

    if (!value->given)
        return "";
    switch (field->type) {
    case FACT_TEXT:
    case FACT_CHOICE:
    case FACT_SET:
    case FACT_REF: return value->text;
    case FACT_REAL: return arena_text(mem, words_real(value->real, out));
    case FACT_WHOLE: return arena_print(mem, "%lld", (long long)value->whole);
    case FACT_DAY: return arena_text(mem, civil_date_text(value->whole, out));
    case FACT_MOMENT: return arena_text(mem, civil_moment_text(value->whole, out));
    case FACT_FLAG: return value->whole ? "yes" : "no";
    }
    return "";
}

static const char *show_quantity(const struct fact_field *f, double si, bool us_units, struct arena *mem)
{
    const char *unit = fact_unit(f, us_units);

    if (f->of == Q_FRACTION || f->of == Q_CLOUD)
        return arena_print(mem, "%.3g%%", si * 100.0);
    const double shown = unit[0] ? unit_from_si(si, unit, f->of) : si;
    if (f->of == Q_ANGLE)
        return arena_print(mem, "%.7g°", shown);
    return arena_print(mem, "%.4g%s%s", shown, unit[0] ? " " : "", unit);
}

const char *fact_value_show(const struct fact_field *field, const struct fact_value *value,
                            const struct fact_speech *speech, struct arena *mem)
{
    char out[40];

    if (!value->given)
        return "";
    if (field->type == FACT_REAL)
        return show_quantity(field, value->real, speech->us_units, mem);
    if (field->type == FACT_MOMENT) {
        char *t = civil_moment_text(value->whole + zone_offset_s(speech->zone, value->whole), out);
        t[10] = ' ';
        t[16] = '\0';
        return arena_text(mem, t);
    }
    return fact_value_text(field, value, mem);
}

static void json_value(const struct fact_field *f, const struct fact_value *v, struct text *out)
{
    char buffer[40];

    switch (f->type) {
    case FACT_TEXT:
    case FACT_CHOICE:
    case FACT_SET:
    case FACT_REF: words_json(out, v->text); break;
    case FACT_REAL: text_add(out, words_real(v->real, buffer)); break;
    case FACT_WHOLE: text_print(out, "%lld", (long long)v->whole); break;
    case FACT_DAY: words_json(out, civil_date_text(v->whole, buffer)); break;
    case FACT_MOMENT: words_json(out, civil_moment_text(v->whole, buffer)); break;
    case FACT_FLAG: text_add(out, v->whole ? "true" : "false"); break;
    }
}

const char *fact_json(const struct fact_kind *kind, const struct fact_value values[], struct arena *mem)
{
    struct text out;
    bool first = true;

    text_open(&out, 1024 * 1024);
    text_add(&out, "{");
    for (size_t i = 0; i < kind->n_fields; i++) {
        if (!values[i].given)
            continue;
        text_print(&out, "%s\"%s\":", first ? "" : ",", kind->fields[i].name);
        json_value(&kind->fields[i], &values[i], &out);
        first = false;
    }
    text_add(&out, "}");
    return text_keep(&out, mem);
}
