/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/weather_pack.h"

#include <math.h>
#include <sodium.h>
#include <string.h>

#include "core/base/attr.h"
#include "core/base/civil.h"

enum { VERSION = 1, SUM_BYTES = 8, NOT_KNOWN = -32768 };
enum form { ALL_UNKNOWN, WHOLE, TENTH, HUNDREDTH, SINGLE, DOUBLE, CONSTANT, FORMS };

static const size_t columns[] = {
    /* of struct hour, in the order packed: never change it, add at the end */
    offsetof(struct hour, temp_c),       offsetof(struct hour, dew_point_c),      offsetof(struct hour, rh),
    offsetof(struct hour, wind_mps),     offsetof(struct hour, gust_mps),         offsetof(struct hour, wind_from_deg),
    offsetof(struct hour, cloud_oktas),  offsetof(struct hour, rain_mm),          offsetof(struct hour, snow_cm),
    offsetof(struct hour, pressure_kpa), offsetof(struct hour, ghi_w_m2),         offsetof(struct hour, dni_w_m2),
    offsetof(struct hour, dhi_w_m2),     offsetof(struct hour, rain_probability),
};

static double get(const struct hour *h, size_t column)
{
    double x;
    memcpy(&x, (const char *)h + columns[column], sizeof x);
    return x;
}

static void set(struct hour *h, size_t column, double x)
{
    memcpy((char *)h + columns[column], &x, sizeof x);
}

/* The same number; every NAN is the same, and minus zero is not zero. */
static bool same(double a, double b)
{
    return isnan(a) ? isnan(b) : a == b && !signbit(a) == !signbit(b);
}

void weather_no_minus_zero(struct hour *h)
{
    for (size_t c = 0; c < COUNT(columns); c++)
        if (get(h, c) == 0.0)
            set(h, c, 0.0);
}

bool weather_same_hour(const struct hour *a, const struct hour *b)
{
    if (a->utc_s != b->utc_s || a->snow != b->snow || a->wind_variable != b->wind_variable ||
        a->rain_trace != b->rain_trace || a->filled != b->filled || a->risk != b->risk)
        return false;
    for (size_t c = 0; c < COUNT(columns); c++)
        if (!same(get(a, c), get(b, c)))
            return false;
    return true;
}

/* ---- bytes, lowest first ---- */

struct writing {
    unsigned char *at;
};
struct reading {
    const unsigned char *at, *end;
};

static void put(struct writing *w, uint64_t value, size_t bytes)
{
    for (size_t i = 0; i < bytes; i++)
        *w->at++ = (unsigned char)(value >> (8 * i) & 0xff);
}

static uint64_t take(struct reading *r, size_t bytes)
{
    uint64_t value = 0;

    for (size_t i = 0; i < bytes; i++)
        value |= (uint64_t)r->at[i] << (8 * i);
    r->at += bytes;
    return value;
}

static uint64_t bits_of(double x)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    return bits;
}

static double double_of(uint64_t bits)
{
    double x;
    memcpy(&x, &bits, sizeof x);
    return x;
}

static uint32_t single_bits(float x)
{
    uint32_t bits;
    memcpy(&bits, &x, sizeof bits);
    return bits;
}

static float single_of(uint32_t bits)
{
    float x;
    memcpy(&x, &bits, sizeof x);
    return x;
}

static const double scale[FORMS] = { [WHOLE] = 1.0, [TENTH] = 10.0, [HUNDREDTH] = 100.0 };

static bool fits(enum form form, double x)
{
    if (isnan(x))
        return form != CONSTANT;
    if (form == SINGLE)
        return fabs(x) < 1e30 && same((double)(float)x, x);
    if (form == DOUBLE)
        return true;
    const double k = round(x * scale[form]);
    return fabs(k) < 32768.0 && !(k == 0.0 && signbit(x)) && same(k / scale[form], x);
}

static enum form narrowest(size_t n, const struct hour hours[], size_t column)
{
    bool constant = true, unknown = true;

    for (size_t i = 0; i < n; i++) {
        constant = constant && !isnan(get(&hours[i], column)) && same(get(&hours[i], column), get(&hours[0], column));
        unknown = unknown && isnan(get(&hours[i], column));
    }
    if (unknown)
        return ALL_UNKNOWN;
    if (constant)
        return CONSTANT;
    for (enum form form = WHOLE; form < DOUBLE; form++) {
        size_t good = 0;
        while (good < n && fits(form, get(&hours[good], column)))
            good++;
        if (good == n)
            return form;
    }
    return DOUBLE;
}

static void put_column(struct writing *w, size_t n, const struct hour hours[], size_t column)
{
    const enum form form = narrowest(n, hours, column);

    put(w, form, 1);
    if (form == CONSTANT)
        put(w, bits_of(get(&hours[0], column)), 8);
    if (form == ALL_UNKNOWN || form == CONSTANT)
        return;
    for (size_t i = 0; i < n; i++) {
        const double x = get(&hours[i], column);
        if (form == SINGLE)
            put(w, single_bits((float)x), 4);
        else if (form == DOUBLE)
            put(w, bits_of(x), 8);
        else
            put(w, (uint64_t)(int64_t)(isnan(x) ? NOT_KNOWN : (int)lround(x * scale[form])), 2);
    }
}

static bool take_column(struct reading *r, size_t n, struct hour hours[], size_t column)
{
    static const size_t width[FORMS] = { [WHOLE] = 2, [TENTH] = 2, [HUNDREDTH] = 2, [SINGLE] = 4, [DOUBLE] = 8 };

    if (r->at >= r->end)
        return false;
    const uint64_t form = take(r, 1);
    if (form >= FORMS || (size_t)(r->end - r->at) < (form == CONSTANT ? 8 : n * width[form]))
        return false;
    const double constant = form == CONSTANT ? double_of(take(r, 8)) : (double)NAN;
    for (size_t i = 0; i < n; i++) {
        double x = constant;
        if (form == SINGLE) {
            x = (double)single_of((uint32_t)take(r, 4));
        } else if (form == DOUBLE) {
            x = double_of(take(r, 8));
        } else if (width[form] == 2) {
            const int k = (int16_t)(uint16_t)take(r, 2);
            x = k == NOT_KNOWN ? (double)NAN : (double)k / scale[form];
        }
        set(&hours[i], column, x);
    }
    return true;
}

/* ---- the parts that are no columns of numbers ---- */

static void put_times(struct writing *w, int64_t day, size_t n, const struct hour hours[])
{
    bool whole = true;

    for (size_t i = 0; i < n; i++)
        whole = whole && (hours[i].utc_s - day * DAY_S) % HOUR_S == 0;
    put(w, whole, 1);
    for (size_t i = 0; i < n; i++) {
        const int64_t s = hours[i].utc_s - day * DAY_S;
        put(w, (uint64_t)(whole ? s / HOUR_S : s), whole ? 1 : 4);
    }
}

static bool take_times(struct reading *r, int64_t day, size_t n, struct hour hours[])
{
    if (r->at >= r->end)
        return false;
    const bool whole = take(r, 1) == 1;
    if ((size_t)(r->end - r->at) < n * (whole ? 1 : 4))
        return false;
    for (size_t i = 0; i < n; i++) {
        const int64_t s = (int64_t)take(r, whole ? 1 : 4) * (whole ? HOUR_S : 1);
        hours[i].utc_s = day * DAY_S + s;
        if (s >= DAY_S || (i > 0 && hours[i].utc_s <= hours[i - 1].utc_s))
            return false;
    }
    return true;
}

static void put_marks(struct writing *w, size_t n, const struct hour hours[])
{
    bool any = false;

    for (size_t i = 0; i < n; i++)
        any = any || hours[i].snow || hours[i].wind_variable || hours[i].rain_trace || hours[i].filled || hours[i].risk;
    put(w, any, 1);
    for (size_t i = 0; any && i < n; i++) {
        put(w, (hours[i].snow ? 1U : 0U) | (hours[i].wind_variable ? 2U : 0U) | (hours[i].rain_trace ? 4U : 0U), 1);
        put(w, hours[i].filled, 2);
        put(w, hours[i].risk, 4);
    }
}

static bool take_marks(struct reading *r, size_t n, struct hour hours[])
{
    if (r->at >= r->end)
        return false;
    if (take(r, 1) == 0)
        return true;
    if ((size_t)(r->end - r->at) < n * 7)
        return false;
    for (size_t i = 0; i < n; i++) {
        const uint64_t marks = take(r, 1);
        hours[i].snow = marks & 1;
        hours[i].wind_variable = marks & 2;
        hours[i].rain_trace = marks & 4;
        hours[i].filled = (unsigned)take(r, 2);
        hours[i].risk = (unsigned)take(r, 4);
    }
    return true;
}

/* SipHash-2-4 with a key of our own: not against malice, against a bad disk. */
static void sum_of(int64_t day, const unsigned char *bytes, size_t n, unsigned char sum[SUM_BYTES])
{
    unsigned char key[crypto_shorthash_KEYBYTES] = "leenest weather";

    memcpy(key, &day, sizeof day);
    (void)crypto_shorthash(sum, bytes, n, key);
}

size_t weather_pack(int64_t day, size_t n, const struct hour hours[], unsigned char *out)
{
    struct writing w = { out };

    put(&w, VERSION, 1);
    put(&w, n, 2);
    put_times(&w, day, n, hours);
    for (size_t c = 0; c < COUNT(columns); c++)
        put_column(&w, n, hours, c);
    put_marks(&w, n, hours);
    sum_of(day, out, (size_t)(w.at - out), w.at);
    return (size_t)(w.at - out) + SUM_BYTES;
}

bool weather_unpack(int64_t day, const unsigned char *bytes, size_t n_bytes, struct hour hours[PACK_HOURS], size_t *n)
{
    unsigned char sum[SUM_BYTES];

    if (!bytes || n_bytes < 3 + SUM_BYTES)
        return false;
    sum_of(day, bytes, n_bytes - SUM_BYTES, sum);
    if (memcmp(sum, bytes + n_bytes - SUM_BYTES, SUM_BYTES) != 0)
        return false;
    struct reading r = { bytes, bytes + n_bytes - SUM_BYTES };
    if (take(&r, 1) != VERSION)
        return false;
    const size_t count = (size_t)take(&r, 2);
    if (count < 1 || count > PACK_HOURS)
        return false;
    memset(hours, 0, count * sizeof *hours);
    bool good = take_times(&r, day, count, hours);
    for (size_t c = 0; good && c < COUNT(columns); c++)
        good = take_column(&r, count, hours, c);
    good = good && take_marks(&r, count, hours) && r.at == r.end;
    *n = good ? count : 0;
    return good;
}
