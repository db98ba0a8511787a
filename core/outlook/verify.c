/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/outlook/outlook.h"

#include <math.h>

#include "core/base/civil.h"

const double outlook_bin_from_h[OUTLOOK_BINS + 1] = { 0.0, 6.0, 12.0, 24.0, 48.0, HUGE_VAL };

static const double wet_mm = 0.1, least_ratio_mps = 0.5, least_turn_mps = 1.0, least_scale = 0.3, most_scale = 3.0;
static const int64_t apart_s = 6 * HOUR_S;

static double lead_of(const struct outlook_pair *p)
{
    return (double)(p->forecast.utc_s - p->made_utc_s) / (double)HOUR_S;
}

/* -1 where the forecast was made after the hour it speaks of. */
static int bin_of(double lead_h)
{
    for (int b = 0; b < OUTLOOK_BINS; b++)
        if (lead_h >= outlook_bin_from_h[b] && lead_h < outlook_bin_from_h[b + 1])
            return b;
    return -1;
}

static double turn_deg(double from_deg, double to_deg)
{
    const double t = fmod(to_deg - from_deg, 360.0);

    return t > 180.0 ? t - 360.0 : t <= -180.0 ? t + 360.0 : t;
}

static double temp_error(const struct outlook_pair *p)
{
    return p->forecast.temp_c - p->temp_c;
}

static double wind_error(const struct outlook_pair *p)
{
    return p->forecast.wind_mps - p->wind_mps;
}

static double wind_log_error(const struct outlook_pair *p)
{
    return p->forecast.wind_mps >= least_ratio_mps && p->wind_mps >= least_ratio_mps
               ? log(p->wind_mps / p->forecast.wind_mps)
               : (double)NAN;
}

static double from_error(const struct outlook_pair *p)
{
    return p->forecast.wind_mps >= least_turn_mps ? turn_deg(p->wind_from_deg, p->forecast.wind_from_deg) : (double)NAN;
}

/* Two passes over the pairs of one bin: no cancellation. */
static struct outlook_score score(size_t n, const struct outlook_pair pair[], int bin,
                                  double (*error)(const struct outlook_pair *))
{
    struct outlook_score s = { 0, NAN, NAN, NAN };
    double sum = 0.0, sum_abs = 0.0, squares = 0.0;

    for (size_t i = 0; i < n; i++) {
        const double e = error(&pair[i]);
        if (bin_of(lead_of(&pair[i])) != bin || isnan(e))
            continue;
        s.n++;
        sum += e;
        sum_abs += fabs(e);
    }
    if (s.n == 0)
        return s;
    s.bias = sum / (double)s.n;
    s.mae = sum_abs / (double)s.n;
    for (size_t i = 0; i < n; i++) {
        const double e = error(&pair[i]);
        if (bin_of(lead_of(&pair[i])) == bin && !isnan(e))
            squares += (e - s.bias) * (e - s.bias);
    }
    if (s.n > 1)
        s.sd = sqrt(squares / (double)(s.n - 1));
    return s;
}

void outlook_verify(size_t n, const struct outlook_pair pair[], struct outlook_verified *v)
{
    *v = (struct outlook_verified){ 0 };
    for (int b = 0; b < OUTLOOK_BINS; b++) {
        v->temp_k[b] = score(n, pair, b, temp_error);
        v->wind_mps[b] = score(n, pair, b, wind_error);
        v->from_deg[b] = score(n, pair, b, from_error);
    }
    for (size_t i = 0; i < n; i++) {
        const int b = bin_of(lead_of(&pair[i]));
        const bool said = pair[i].forecast.rain_mm >= wet_mm, fell = pair[i].rain_mm >= wet_mm;

        if (b < 0 || isnan(pair[i].forecast.rain_mm) || isnan(pair[i].rain_mm))
            continue;
        v->rain[b].hit += said && fell;
        v->rain[b].missed += !said && fell;
        v->rain[b].false_alarm += said && !fell;
        v->rain[b].dry += !said && !fell;
    }
}

/* The farm's errors over the default's, and how many separate pairs that rests on; 1 where there are too few. */
static double own_scale(size_t n, const struct outlook_pair pair[], double (*error)(const struct outlook_pair *),
                        double (*default_sd)(double lead_h), size_t *n_separate)
{
    int64_t counted_utc_s[OUTLOOK_BINS] = { 0 };
    bool any[OUTLOOK_BINS] = { false };
    double sum = 0.0, squares = 0.0, scale;
    size_t n_used = 0, separate = 0;

    *n_separate = 0;
    for (size_t i = 0; i < n; i++) {
        const int b = bin_of(lead_of(&pair[i]));
        const double e = error(&pair[i]);

        if (b < 0 || isnan(e))
            continue;
        sum += e;
        n_used++;
        if (!any[b] || pair[i].forecast.utc_s - counted_utc_s[b] >= apart_s) {
            any[b] = true;
            counted_utc_s[b] = pair[i].forecast.utc_s;
            separate++;
        }
    }
    if (separate < OUTLOOK_OWN_FROM)
        return 1.0;
    for (size_t i = 0; i < n; i++) {
        const double lead_h = lead_of(&pair[i]);
        const double e = (error(&pair[i]) - sum / (double)n_used) / default_sd(lead_h);

        if (bin_of(lead_h) >= 0 && !isnan(e))
            squares += e * e;
    }
    *n_separate = separate;
    scale = sqrt(squares / (double)(n_used - 1));
    return scale < least_scale ? least_scale : scale > most_scale ? most_scale : scale;
}

static double default_temp_sd(double lead_h)
{
    return outlook_grown(outlook_default_spread.temp_k, lead_h);
}

static double default_wind_sd(double lead_h)
{
    const double sd = outlook_grown(outlook_default_spread.wind_fraction, lead_h);

    return sqrt(log1p(sd * sd)); /* of the logarithm, as the members use it */
}

static double default_from_sd(double lead_h)
{
    return outlook_grown(outlook_default_spread.from_deg, lead_h);
}

static struct outlook_grow scaled(struct outlook_grow g, double by)
{
    return (struct outlook_grow){ g.first * by, g.last * by };
}

struct outlook_spread outlook_own_spread(size_t n, const struct outlook_pair pair[])
{
    struct outlook_spread s = outlook_default_spread;

    s.temp_k = scaled(s.temp_k, own_scale(n, pair, temp_error, default_temp_sd, &s.n_temp));
    s.wind_fraction = scaled(s.wind_fraction, own_scale(n, pair, wind_log_error, default_wind_sd, &s.n_wind));
    s.from_deg = scaled(s.from_deg, own_scale(n, pair, from_error, default_from_sd, &s.n_from));
    return s;
}
