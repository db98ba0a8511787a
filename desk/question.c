/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/question.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"

const struct question *question_find(const struct question *const list[], const char *name)
{
    for (size_t i = 0; list[i]; i++)
        if (strcmp(list[i]->name, name) == 0)
            return list[i];
    return NULL;
}

static bool one_of(const char *choices, const char *text)
{
    const size_t n = strlen(text);

    for (const char *c = choices; *c;) {
        const size_t length = strcspn(c, "|");
        if (length == n && n > 0 && strncmp(c, text, n) == 0)
            return true;
        c += length + (c[length] == '|');
    }
    return false;
}

enum status moment_from_text(const char *field, const char *text, const struct zone *zone, int64_t *utc_s,
                             bool *day_only, struct message *why)
{
    struct civil_text t;

    if (!civil_read(text, &t))
        return refuse(
            ST_BAD_INPUT, why, field,
            "--%s: \"%.40s\" is not a date or time; write 2026-01-22, 2026-01-22T15:40 or 2026-01-22T15:40+01:00",
            field, text);
    if (day_only)
        *day_only = !t.has_time;
    if (!t.has_time)
        t.at.hour = 12; /* a date alone means noon */
    const int64_t local_s = civil_seconds(&t.at);
    if (t.has_offset) {
        *utc_s = local_s - t.offset_s;
        return ST_OK;
    }
    if (!zone) {
        *utc_s = local_s;
        return ST_OK;
    }
    struct message inner = { "", "" };
    const enum status st = zone_from_local_text(zone, local_s, field, utc_s, &inner);
    return st == ST_OK
               ? ST_OK
               : refuse(st, why, field, "%s%s%s%s", strstr(inner.text, "--") ? "" : "--",
                        strstr(inner.text, "--") ? "" : field, strstr(inner.text, "--") ? "" : ": ", inner.text);
}

/* The sentence names the flag as it is typed, and the range whatever is wrong. */
static enum status read_quantity(const struct param *p, const char *text, double *value, struct message *why)
{
    struct message inner = { "", "" };
    char flag[40], range[96] = "";

    (void)snprintf(flag, sizeof flag, "%s%s", p->how & PARAM_WORD ? "" : "--", p->name);
    const enum status st = quantity_read(text, p->of, p->low, p->high, flag, value, &inner);
    if (st == ST_OK)
        return ST_OK;
    if (p->low > -1e17 && p->high < 1e17 && !strstr(inner.text, "out of range"))
        (void)snprintf(range, sizeof range, " (%.10g to %.10g%s%s)", p->low, p->high, *quantity_si[p->of] ? " " : "",
                       quantity_si[p->of]);
    return refuse(st, why, p->name, "%s%s", inner.text, range);
}

/* Whole characters of UTF-8, none of them a control character, surrogate or overlong form. */
static bool utf8(const char *text)
{
    static const uint32_t least[5] = { 0, 0, 0x80, 0x800, 0x10000 };

    for (const unsigned char *s = (const unsigned char *)text; *s;) {
        const int n = *s < 0x80                 ? 1
                      : *s >= 0xF0 && *s < 0xF8 ? 4
                      : *s >= 0xE0 && *s < 0xF0 ? 3
                      : *s >= 0xC0 && *s < 0xE0 ? 2
                                                : 0;
        uint32_t c = n == 1 ? *s : n == 4 ? *s & 7u : n == 3 ? *s & 15u : *s & 31u;
        if (n == 0)
            return false;
        for (int i = 1; i < n; i++) {
            if ((s[i] & 0xC0) != 0x80)
                return false;
            c = c << 6 | (s[i] & 0x3Fu);
        }
        if (c < least[n] || c > 0x10FFFF || (c >= 0xD800 && c < 0xE000) || c < 0x20 || c == 0x7F)
            return false;
        s += n;
    }
    return true;
}

enum { PATH_BYTES = 4096 };

static enum status read_one(const struct asked *q, const struct param *p, const char *text, struct given *g, size_t i,
                            struct message *why)
{
    struct civil_text t;
    int64_t whole = 0;
    const char *dashes = p->how & PARAM_WORD ? "" : "--"; /* a bare word has none */

    g->text[i] = text;
    switch (p->kind) {
    case P_QUANTITY: return read_quantity(p, text, &g->real[i], why);
    case P_WHOLE:
        if (!read_whole(text, &whole) || (double)whole < p->low || (double)whole > p->high)
            return refuse(ST_BAD_INPUT, why, p->name,
                          "%s%s: \"%.40s\" will not do; give a whole number, %.10g to %.10g", dashes, p->name, text,
                          p->low, p->high);
        g->real[i] = (double)whole;
        return ST_OK;
    case P_CHOICE:
        if (!one_of(p->choices, text))
            return refuse(ST_BAD_INPUT, why, p->name, "%s%s: \"%.40s\" is none of %s", dashes, p->name, text,
                          p->choices);
        return ST_OK;
    case P_MOMENT: return moment_from_text(p->name, text, q->zone, &g->when[i], NULL, why);
    case P_DAY:
        if (!civil_read(text, &t) || t.has_time)
            return refuse(ST_BAD_INPUT, why, p->name, "%s%s: \"%.40s\" is not a date; write 2026-01-22", dashes,
                          p->name, text);
        g->when[i] = civil_days(t.at.year, t.at.month, t.at.day);
        return ST_OK;
    case P_TEXT:
    case P_FILE:
    case P_ZONE:
        if (!*text)
            return refuse(ST_BAD_INPUT, why, p->name, "%s%s is empty; give a value", dashes, p->name);
        if (p->kind == P_FILE && strnlen(text, PATH_BYTES) == PATH_BYTES)
            return refuse(ST_BAD_INPUT, why, p->name, "%s%s is longer than any file name; give a path under %d bytes",
                          dashes, p->name, PATH_BYTES);
        if (p->kind != P_FILE && !utf8(text))
            return refuse(ST_BAD_INPUT, why, p->name, "%s%s is not UTF-8 text", dashes, p->name);
        return ST_OK;
    case P_FLAG: return ST_OK;
    }
    return ST_OK;
}

/* The zone comes first: every moment is read in it. */
static enum status read_zone(struct asked *q, size_t n, const struct typed_param typed[], struct message *why)
{
    const struct question *qu = q->question;

    for (size_t p = 0; p < qu->n_params; p++) {
        if (qu->params[p].kind != P_ZONE)
            continue;
        const char *name = qu->params[p].otherwise;
        for (size_t i = 0; i < n; i++)
            if (typed[i].param == p)
                name = typed[i].text;
        if (name) {
            struct message inner = { "", "" };
            const enum status st = zone_open(name, q->mem, &q->zone, &inner);
            return st == ST_OK ? ST_OK
                               : refuse(st, why, qu->params[p].name, "--%s: %s", qu->params[p].name, inner.text);
        }
    }
    return ST_OK;
}

/* Days may be typed in a row, "2026-09-21,2026-11-02". */
static size_t days_in(const struct param *param, const char *text)
{
    size_t n = 1;

    for (; param->kind == P_DAY && (param->how & PARAM_REPEAT) && *text; text++)
        n += *text == ',';
    return n;
}

static enum status read_days(struct asked *q, const struct param *param, const char *text, struct given *g, size_t *k,
                             struct message *why)
{
    const size_t n = days_in(param, text);
    enum status st = ST_OK;

    for (size_t i = 0; i < n && st == ST_OK; i++) {
        const size_t length = strcspn(text, ",");
        const char *one = arena_print(q->mem, "%.*s", (int)length, text);
        st = one ? read_one(q, param, one, g, (*k)++, why) : refuse(ST_NO_MEMORY, why, param->name, "out of memory");
        text += length + (text[length] == ',');
    }
    return st;
}

static enum status read_param(struct asked *q, size_t p, size_t n, const struct typed_param typed[],
                              struct message *why)
{
    const struct param *param = &q->question->params[p];
    struct given *g = &q->given[p];
    size_t count = 0;
    enum status st = ST_OK;

    for (size_t i = 0; i < n; i++)
        count += typed[i].param == p;
    if (count > 1 && !(param->how & PARAM_REPEAT))
        return refuse(ST_BAD_INPUT, why, param->name, "--%s is given %zu times; once is enough", param->name, count);
    if (count == 0 && (param->how & PARAM_REQUIRED))
        return refuse(ST_BAD_INPUT, why, param->name, "%s%s is needed: %s", param->how & PARAM_WORD ? "" : "--",
                      param->name, param->help);
    g->typed = count > 0;
    for (size_t i = 0; i < n; i++)
        count += typed[i].param == p ? days_in(param, typed[i].text) - 1 : 0;
    g->n = count ? count : param->otherwise && *param->otherwise ? 1 : 0;
    if (g->n == 0)
        return ST_OK;
    g->real = ARENA_NEW(q->mem, double, g->n);
    g->when = ARENA_NEW(q->mem, int64_t, g->n);
    g->text = ARENA_NEW(q->mem, const char *, g->n);
    if (!g->text)
        return refuse(ST_NO_MEMORY, why, param->name, "too many values for --%s", param->name);
    if (count == 0)
        return read_one(q, param, param->otherwise, g, 0, why);
    for (size_t i = 0, k = 0; i < n && st == ST_OK; i++)
        if (typed[i].param == p)
            st = days_in(param, typed[i].text) > 1 ? read_days(q, param, typed[i].text, g, &k, why)
                                                   : read_one(q, param, typed[i].text, g, k++, why);
    return st;
}

enum status asked_read(struct asked *q, size_t n, const struct typed_param typed[], struct message *why)
{
    const struct question *qu = q->question;
    enum status st = read_zone(q, n, typed, why);

    q->given = ARENA_NEW(q->mem, struct given, qu->n_params + 1);
    if (st == ST_OK && !q->given)
        st = refuse(ST_NO_MEMORY, why, "", "too many parameters");
    for (size_t p = 0; st == ST_OK && p < qu->n_params; p++) {
        st = read_param(q, p, n, typed, why);
        if (st == ST_OK && qu->params[p].kind == P_MOMENT && strcmp(qu->params[p].name, "at") == 0 &&
            q->given[p].n > 0) {
            q->at_utc_s = q->given[p].when[0];
            q->at_typed = q->given[p].typed;
        }
    }
    return st;
}

/* Defaults that stood are said, so that no figure rests on something unsaid. */
struct answer *asked_assumed(const struct asked *q, struct answer *answer)
{
    struct answer *list = answer_list(answer, "assumed");

    for (size_t p = 0; p < q->question->n_params; p++) {
        const struct param *param = &q->question->params[p];
        if (q->given[p].typed || !param->otherwise || !*param->otherwise || param->kind == P_FLAG)
            continue;
        answer_words(list, arena_print(q->mem, "%s %s: %s", param->name, param->otherwise, param->help));
    }
    return list;
}

/* What the reckoning refuses names a field; if that is a flag of this question, the sentence says so as it is typed. */
static enum status name_the_flag(const struct asked *q, enum status st, const struct message *inner,
                                 struct message *why)
{
    char flag[sizeof inner->field];
    size_t n = 0;

    for (; inner->field[n]; n++)
        flag[n] = inner->field[n] == '_' ? '-' : inner->field[n];
    flag[n] = '\0';
    for (size_t p = 0; n > 0 && p < q->question->n_params; p++)
        if (strcmp(q->question->params[p].name, flag) == 0 && !strstr(inner->text, "--"))
            return refuse(st, why, flag, "--%s: %s", flag, inner->text);
    return refuse(st, why, inner->field, "%s", inner->text);
}

enum status question_put(struct asked *q, struct answer **answer, struct message *why)
{
    struct answer *a = answer_new(q->mem);
    struct message inner = { "", "" };

    if (!a)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    const enum status st = q->question->put(q, a, &inner);
    if (st != ST_OK)
        return name_the_flag(q, st, &inner, why);
    if (!answer_at(a, "assumed"))
        (void)asked_assumed(q, a);
    if (arena_full(q->mem))
        return refuse(ST_NO_MEMORY, why, "", "the answer to %s is too long to hold", q->question->name);
    *answer = a;
    return ST_OK;
}

bool given_is(const struct asked *q, size_t param)
{
    return q->given[param].n > 0;
}

double given_real(const struct asked *q, size_t param)
{
    return q->given[param].n ? q->given[param].real[0] : (double)NAN;
}

const char *given_text(const struct asked *q, size_t param)
{
    return q->given[param].n ? q->given[param].text[0] : NULL;
}

int64_t given_when(const struct asked *q, size_t param)
{
    return q->given[param].n ? q->given[param].when[0] : INT64_MIN;
}

bool given_flag(const struct asked *q, size_t param)
{
    return q->given[param].typed;
}

bool given_typed(const struct asked *q, size_t param)
{
    return q->given[param].typed;
}
