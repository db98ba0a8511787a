/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/outlook/outlook.h"

#include <math.h>

#include "core/base/civil.h"

const char *const outlook_class_name[OUTLOOK_CLASSES] = {
    "still clear night",  "still clear day",  "windy clear night",  "windy clear day",
    "still cloudy night", "still cloudy day", "windy cloudy night", "windy cloudy day",
};

static const double windy_mps = 2.0, cloudy_oktas = 4.0, shrink_n = 6.0, least_wind_mps = 1.0;
static const int64_t occasion_s = 6 * HOUR_S;

int outlook_class(const struct hour *forecast, bool daylight)
{
    int class = daylight ? OUTLOOK_DAY : 0;

    if (!(forecast->wind_mps < windy_mps))
        class |= OUTLOOK_WINDY;
    if (!(forecast->cloud_oktas < cloudy_oktas))
        class |= OUTLOOK_CLOUDY;
    return class;
}

/* Readings of one class close together say nearly the same thing twice, so they are averaged and count once. */
struct occasion {
    int64_t began_utc_s;
    size_t n;
    double read, forecast;
};
struct tally {
    struct occasion open;
    size_t n_readings, n;  /* n: closed occasions */
    double read, forecast; /* sums of the occasions' means */
};

static void tally_close(struct tally *t)
{
    if (t->open.n == 0)
        return;
    t->read += t->open.read / (double)t->open.n;
    t->forecast += t->open.forecast / (double)t->open.n;
    t->n++;
    t->open.n = 0;
}

static void tally_add(struct tally *t, int64_t utc_s, double read, double forecast)
{
    if (t->open.n > 0 && utc_s - t->open.began_utc_s >= occasion_s)
        tally_close(t);
    if (t->open.n == 0)
        t->open = (struct occasion){ utc_s, 0, 0.0, 0.0 };
    t->open.n++;
    t->open.read += read;
    t->open.forecast += forecast;
    t->n_readings++;
}

static double shrunk(double raw, double toward, size_t n)
{
    return n == 0 ? toward : toward + (raw - toward) * (double)n / ((double)n + shrink_n);
}

/* Of the pairs for one hour, beginning at i: the newest made. *next is the first pair of a later hour. */
static const struct outlook_pair *newest_of_hour(size_t n, const struct outlook_pair pair[], size_t i, size_t *next)
{
    const struct outlook_pair *best = &pair[i];
    size_t k = i + 1;

    for (; k < n && pair[k].forecast.utc_s == pair[i].forecast.utc_s; k++)
        if (pair[k].made_utc_s > best->made_utc_s)
            best = &pair[k];
    *next = k;
    return best;
}

void outlook_site_learn(size_t n, const struct outlook_pair pair[], struct outlook_site *site)
{
    struct tally temp[OUTLOOK_CLASSES] = { 0 }, wind[OUTLOOK_CLASSES] = { 0 };

    for (size_t i = 0, next = 0; i < n; i = next) {
        const struct outlook_pair *p = newest_of_hour(n, pair, i, &next);
        const struct hour *f = &p->forecast;
        const int class = outlook_class(f, p->daylight);

        if (!isnan(p->temp_c) && !isnan(f->temp_c))
            tally_add(&temp[class], f->utc_s, p->temp_c, f->temp_c);
        if (!isnan(p->wind_mps) && f->wind_mps >= least_wind_mps)
            tally_add(&wind[class], f->utc_s, p->wind_mps, f->wind_mps);
    }
    for (int c = 0; c < OUTLOOK_CLASSES; c++) {
        struct outlook_offset *o = &site->by_class[c];

        tally_close(&temp[c]);
        tally_close(&wind[c]);
        o->n_temp_readings = temp[c].n_readings;
        o->n_temp = temp[c].n;
        o->temp_raw_k = temp[c].n > 0 ? (temp[c].read - temp[c].forecast) / (double)temp[c].n : (double)NAN;
        o->temp_k = shrunk(o->temp_raw_k, 0.0, o->n_temp);
        o->n_wind_readings = wind[c].n_readings;
        o->n_wind = wind[c].n;
        o->wind_raw = wind[c].n > 0 ? wind[c].read / wind[c].forecast : (double)NAN;
        o->wind_factor = shrunk(o->wind_raw, 1.0, o->n_wind);
    }
}

void outlook_site_apply(const struct outlook_site *site, size_t n, const bool daylight[], struct hour hours[])
{
    for (size_t i = 0; i < n; i++) {
        const struct outlook_offset *o = &site->by_class[outlook_class(&hours[i], daylight[i])];

        hours[i].temp_c += o->temp_k;
        hours[i].dew_point_c += o->temp_k;
        hours[i].wind_mps *= o->wind_factor;
        hours[i].gust_mps *= o->wind_factor;
    }
}
