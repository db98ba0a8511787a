/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A choice of days put into words and rows. */
#include <math.h>

#include "core/base/civil.h"
#include "desk/season_inside.h"
#include "desk/when.h"

static const char *day_words(const struct season *s, int64_t day)
{
    const struct civil c = civil_from_days(day);
    return arena_print(s->q->mem, "%s %d %s %d", when_weekday[civil_weekday(day)], c.day, when_month[c.month], c.year);
}

static void spread(struct answer *row, const char *key, const struct plan_spread *x)
{
    struct answer *o = answer_object(row, key);

    answer_real(o, "mean", x->mean);
    answer_real(o, "p05", x->p05);
    answer_real(o, "p50", x->p50);
    answer_real(o, "p95", x->p95);
}

static void day_or_null(struct answer *row, const char *key, int64_t day, int64_t add)
{
    if (day == INT64_MIN)
        answer_null(row, key, "no litter is expected");
    else
        answer_day(row, key, day + add);
}

void season_say_try(const struct season *s, const struct season_try *t, struct answer *row)
{
    const int64_t age = llround(s->costs.ready_d);

    answer_day(row, "boar_in", t->boar_in);
    answer_day(row, "boar_out", t->boar_out);
    day_or_null(row, "first_litters", t->first_litters, 0);
    day_or_null(row, "last_litters", t->last_litters, 0);
    day_or_null(row, "ready_from", t->first_litters, age);
    day_or_null(row, "ready_to", t->last_litters, age);
    answer_real(row, "litters", t->exact.litters);
    answer_real(row, "pigs", t->exact.pigs);
    answer_real_or(row, "danger_litters", t->exact.danger, "no past hours of weather are kept for that time of year");
    answer_whole(row, "huts_wanted", (int64_t)t->exact.huts_worst);
    answer_whole(row, "worst_night", (int64_t)t->exact.night_p90);
    answer_real(row, "bad_season", t->winters.bad_p);
    spread(row, "in_time", &t->winters.in_time);
    spread(row, "late", &t->winters.late);
    spread(row, "in_danger", &t->winters.danger);
    spread(row, "worth", &t->winters.worth);
}

void season_say_days(const struct season *s, const struct season_try *t, struct answer *list)
{
    for (size_t d = 0; d < SEASON_DAYS; d++) {
        const struct plan_day *x = &t->exact.day[d];
        if (x->huts < 1e-4 && (d >= t->exact.n_ready || t->exact.ready[d] < 1e-4))
            continue;
        struct answer *row = answer_item(list);
        answer_day(row, "day", s->today + (int64_t)d);
        answer_real(row, "litters", x->litters);
        answer_real(row, "huts", x->huts);
        answer_real(row, "huts_p90", x->huts_p90);
        answer_real(row, "short", x->short_p);
        answer_real(row, "danger", x->danger);
        answer_real(row, "ready", t->exact.ready[d]);
    }
}

static bool low_fertility(const struct season *s, const struct season_try *t)
{
    const int shift = s->herd.place.lat_deg < 0.0 ? 6 : 0;

    for (int64_t d = t->boar_in; d <= t->boar_out; d++) {
        const int month = (civil_from_days(d).month - 1 + shift) % 12 + 1;
        if (month >= 7 && month <= 9)
            return true;
    }
    return false;
}

void season_say_cautions(const struct season *s, const struct season_try *t, struct answer *list)
{
    if (low_fertility(s, t))
        answer_words(list, "He would serve in the warm weeks, in which fewer sows take: one in five fewer as a rule. A "
                           "second scan tells "
                           "early who is empty.");
    if (s->n_sows > s->boar_places)
        answer_words(list,
                     arena_print(s->q->mem,
                                 "%zu sows for boars that may have %zu in one run between them: of the heats only "
                                 "a part is taken as served.",
                                 s->n_sows, s->boar_places));
    if (s->n_winters == 0)
        answer_words(list, "No past winters are kept here: the cold is in none of these figures. Bring some years of a "
                           "station near by in.");
    else if (isnan(t->exact.danger))
        answer_words(list, "Past hours are kept for a part of the year only: where they fail the cold is not counted.");
    answer_words(list, "Danger is about cold at birth, not about how many die.");
    answer_words(list, "Boars: never with your back to one, never without a board and a way out. Strangers are kept "
                       "apart as long as your "
                       "vet asks for.");
}

void season_say_sows(const struct season *s, struct answer *list)
{
    for (size_t i = 0; i < s->n_sows; i++) {
        const struct season_sow *w = &s->sows[i];
        struct answer *row = answer_item(list);
        answer_text(row, "name", w->name);
        answer_moment(row, "free_from", w->free_utc_s);
        answer_flag(row, "expected", w->expected);
        answer_real(row, "weans", w->litter);
    }
}

void season_say(const struct season *s, const struct season_try *t, struct answer *a)
{
    if (s->n_asked == 0 && s->over > 0) {
        answer_text(a, "says", "The weeks in which people asked are over. Write down those to come.");
        return;
    }
    if (s->n_asked == 0) {
        answer_text(
            a, "says",
            "Nothing is written down of what people ask for. Write from which day to which, and how many pigs.");
        return;
    }
    if (t->first_litters == INT64_MIN) {
        answer_print(a, "says", "With the boar in on %s no litter is expected: nobody is free for him by then.",
                     day_words(s, t->boar_in));
        return;
    }
    answer_print(a, "says",
                 "Boar in on %s, out on %s. Litters from %s to %s; pigs ready from %s. Of %.0f asked for %.0f in time "
                 "(%.0f to %.0f).",
                 day_words(s, t->boar_in), day_words(s, t->boar_out), day_words(s, t->first_litters),
                 day_words(s, t->last_litters), day_words(s, t->first_litters + llround(s->costs.ready_d)),
                 s->asked_pigs, t->winters.in_time.mean, t->winters.in_time.p05, t->winters.in_time.p95);
}
