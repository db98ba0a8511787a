/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The diary of a season: what has to be done when, so that the plan holds. */
#include <math.h>

#include "core/base/civil.h"
#include "desk/season_inside.h"
#include "desk/when.h"

enum {
    BEFORE_SNOW_D = 21,
    TO_HUT_D = 14,
    CHECK_FROM_D = 18,
    CHECK_TO_D = 24,
    NO_MIXING_FROM_D = 5,
    NO_MIXING_TO_D = 30
};

static void event(struct answer *list, const char *key, int64_t from, int64_t to, const char *title, const char *says)
{
    struct answer *row = answer_item(list);

    answer_text(row, "key", key);
    answer_day(row, "from", from);
    answer_day(row, "to", to);
    answer_text(row, "title", title);
    answer_text(row, "says", says);
}

/* Names of the sows that have to be weaned for this run, "Bramble, Sedge and 3 more"; NULL none. */
static const char *still_suckling(const struct season *s, int64_t boar_in, int64_t boar_out)
{
    const char *names = NULL;
    size_t more = 0, named = 0;

    for (size_t i = 0; i < s->n_sows; i++) {
        const struct season_sow *w = &s->sows[i];
        if (w->evidence.state != BREEDING_WEANED || w->free_utc_s <= s->herd.at_utc_s ||
            w->free_utc_s >= season_midnight(s, boar_out) || w->free_utc_s < season_midnight(s, boar_in - 40))
            continue;
        if (named == 6) {
            more++;
            continue;
        }
        names = names ? arena_print(s->q->mem, "%s, %s", names, w->name) : w->name;
        named++;
    }
    return names && more ? arena_print(s->q->mem, "%s and %zu more", names, more) : names;
}

static const char *numbered(const struct season *s, const char *key, size_t run)
{
    return run == 0 ? key : arena_print(s->q->mem, "%s-%zu", key, run + 1);
}

/* One pair of days for each run; with a boar in reserve his as well. */
static void boars_in_and_out(const struct season *s, const struct season_try *t, struct answer *list)
{
    const struct season_way w = season_way_on(s, t->boar_in, t->boar_in + t->first_stay);
    const bool several = w.n_runs > 1;

    for (size_t r = 0; r < w.n_runs; r++) {
        const int64_t in = w.run[r].in, out = w.run[r].out, reserve = in + SEASON_RESERVE_D;
        event(list, numbered(s, "season-boar-in", r), in, in,
              several ? arena_print(s->q->mem, "Boars in with group %zu", r + 1) : "Boars in",
              w.hand ? "By hand: look at each sow on her days, twice a day. Never turn your back on a boar; a board in "
                       "hand and a way out."
                     : "See the pairings. Never turn your back on a boar; a board in hand and a way out.");
        if (w.reserve)
            event(list, numbered(s, "season-reserve", r), reserve, reserve, "The boar in reserve in",
                  "With all that came back. A stranger: kept apart as long as your vet asks for, before.");
        event(list, numbered(s, "season-boar-out", r), out, out,
              several ? arena_print(s->q->mem, "Boars out of group %zu", r + 1) : "Boars out", NULL);
        if (w.reserve)
            event(list, numbered(s, "season-reserve-out", r), reserve + out - in, reserve + out - in,
                  "The boar in reserve out", NULL);
    }
}

void season_diary(const struct season *s, const struct season_try *t, struct answer *list)
{
    struct arena *mem = s->q->mem;
    const int64_t in = t->boar_in, out = t->boar_out;
    const char *wean = still_suckling(s, in, out);

    if (wean)
        event(list, "season-wean", in - 7, in, "Wean before the boar goes in",
              arena_print(mem, "%s. A sow that still suckles does not come on heat in time.", wean));
    boars_in_and_out(s, t, list);
    event(list, "season-returns", in + CHECK_FROM_D, out + CHECK_TO_D, "Watch for heat again",
          "18 to 24 days after each service. If most come back, it is the boar: bring in another at once.");
    event(list, "season-no-mixing", in + NO_MIXING_FROM_D, out + NO_MIXING_TO_D, "No new groups",
          "Sows that are moved or mixed in the first month lose litters.");
    if (t->first_litters != INT64_MIN) {
        const double bales = season_bales_to_begin(s, t);
        event(list, "season-straw", t->first_litters - TO_HUT_D - BEFORE_SNOW_D, t->first_litters - TO_HUT_D,
              "Straw in and huts out",
              arena_print(mem, "%.0f huts stand ready at most, you have %zu; %.0f bales of %.0f kg to begin with.",
                          t->exact.huts_worst, s->huts, bales, season_bale_kg(s)));
        event(list, "season-to-huts", t->first_litters - TO_HUT_D, t->last_litters - 7, "Sows to their huts",
              "7 to 14 days before each is due.");
        event(list, "season-litters", t->first_litters, t->last_litters, "Litters",
              arena_print(mem, "Someone at home each night. On the fullest night %zu may farrow.", t->exact.night_p90));
        event(list, "season-ready", t->first_litters + llround(s->costs.ready_d),
              t->last_litters + llround(s->costs.ready_d), "Pigs ready", NULL);
    }
}
