/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What litters, beds, huts, straw and medicine ask for: docs/reckoning/round.md has each rule with its source. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/prompts_inside.h"

/* ---- litters ---- */

/* Margin of heat at the nest for a litter of one to three days, in the coming night. */
static double margin(const struct prompt_fold *f, const struct herd_sow *s, int64_t *when)
{
    const struct coming *c = f->coming;
    double least = NAN;

    if (!c || s->nests_at == HERD_NONE)
        return NAN;
    struct nest *nests = ARENA_NEW(f->mem, struct nest, c->n_before + c->n_hours);
    struct nest_inside in = nest_inside_default();
    struct nest_bed bed = { 0.0, 0.0 };
    struct message ignored;
    in.piglets = herd_living(s) > 0 ? herd_living(s) : 7;
    const enum status st = !nests ? ST_NO_MEMORY
                                  : nest_hours(NULL, &f->herd->sites[s->nests_at].is, NULL, &in,
                                               c->n_before + c->n_hours, c->line, c->sun, NULL, &bed, nests, &ignored);
    arena_heed(f->mem, st);
    if (st != ST_OK)
        return NAN;
    for (size_t h = 0; h < c->n_hours && h < 36; h++) {
        const double age_h = (double)(c->line[c->n_before + h].utc_s - s->farrowed_utc_s) / (double)HOUR_S;
        if (age_h < 12.0 || age_h > 84.0)
            continue;
        const double m =
            piglet_margin(NULL, 1.2, fmax(1.0, in.piglets - 1.0), age_h, true, &nests[c->n_before + h].air);
        if (isnan(least) || m < least) {
            least = m;
            *when = c->line[c->n_before + h].utc_s;
        }
    }
    return least;
}

static void young_litter(struct prompt_fold *f, const struct herd_sow *s, double age_d)
{
    const int64_t born = prompts_day_of(f, s->farrowed_utc_s);
    int64_t when = 0;
    const double m = margin(f, s, &when);

    if (age_d < 1.5)
        prompts_add(
            f,
            (struct prompt){
                .key = arena_print(f->mem, "suck:%s", s->uid),
                .kind = PROMPT_LITTER,
                .day = f->today,
                .by_utc_s = s->farrowed_utc_s + 6 * HOUR_S,
                .who = s->name,
                .what = arena_print(f->mem, "See that every piglet of %s has sucked; warm a cold one first.", s->name),
                .why = "The first milk counts within six hours. Warm before feeding; the vet for any that fail." });
    if (age_d < 2.0)
        prompts_add(
            f, (struct prompt){
                   .key = arena_print(f->mem, "foster:%s", s->uid),
                   .kind = PROMPT_LITTER,
                   .day = f->today,
                   .by_utc_s = s->farrowed_utc_s + 36 * HOUR_S,
                   .who = s->name,
                   .what = arena_print(
                       f->mem, "Count piglets and working teats of %s; if one must be fostered, do it now.", s->name),
                   .why = "After twelve hours with the dam, done by thirty-six; move the big ones." });
    if (age_d < 3.5 && m < 0.2)
        prompts_add(f,
                    (struct prompt){
                        .key = arena_print(f->mem, "cold-litter:%s", s->uid),
                        .kind = PROMPT_LITTER,
                        .day = f->today,
                        .by_utc_s = when,
                        .who = s->name,
                        .what = arena_print(
                            f->mem, "More dry straw to %s, the flap down, and look at the litter at the coldest hour.",
                            s->name),
                        .why = m < 0.0 ? "They cannot keep warm there: piling, noses down, cold ears mean act."
                                       : "They have little heat to spare there in the coming night." });
    if (age_d < 3.0 && prompts_coldest(f, f->today) < -1.0)
        prompts_add(
            f, (struct prompt){ .key = arena_print(f->mem, "iron:%s", s->uid),
                                .kind = PROMPT_VET,
                                .day = born + 2,
                                .by_utc_s = INT64_MIN,
                                .who = s->name,
                                .what = arena_print(f->mem, "Ask the vet about iron for the litter of %s.", s->name),
                                .why = "On frozen ground or a hut floor there is no soil to root in." });
}

void prompts_litter(struct prompt_fold *f, const struct herd_sow *s)
{
    const double age_d = (double)(f->herd->at_utc_s - s->farrowed_utc_s) / (double)DAY_S;
    const int64_t born = prompts_day_of(f, s->farrowed_utc_s);

    const int living = herd_living(s);

    if (living == 0) /* none is left to feed or to wean */
        return;
    young_litter(f, s, age_d);
    prompts_add(
        f, (struct prompt){ .key = arena_print(f->mem, "mark:%s", s->uid),
                            .kind = PROMPT_LITTER,
                            .day = born + 6,
                            .by_utc_s = INT64_MIN,
                            .once = true,
                            .who = s->name,
                            .what = arena_print(f->mem, "Mark the litter of %s.", s->name),
                            .why = "They begin to roam about day ten and mix: until then you know whose they are. A "
                                   "second person keeps the sow off." });
    prompts_add(f, (struct prompt){ .key = arena_print(f->mem, "creep:%s", s->uid),
                                    .kind = PROMPT_FEED,
                                    .day = born + 14,
                                    .by_utc_s = INT64_MIN,
                                    .once = true,
                                    .who = s->name,
                                    .what = arena_print(f->mem, "Begin creep feed for the litter of %s.", s->name),
                                    .why = "From day ten to twenty-one." });
    prompts_add(f, (struct prompt){
                       .key = arena_print(f->mem, "wean:%s", s->uid),
                       .kind = PROMPT_LITTER,
                       .day = born + 49,
                       .by_utc_s = INT64_MIN,
                       .once = true,
                       .who = s->name,
                       .what = living > 0 ? arena_print(f->mem, "Plan the weaning of %s: %d piglets.", s->name, living)
                                          : arena_print(f->mem, "Plan the weaning of %s.", s->name),
                       .why = "Six to eight weeks on pasture; local rules set the least age." });
}

/* ---- bedding and shelter ---- */

static double rain_since(const struct prompt_fold *f, int64_t since)
{
    double mm = 0.0;
    const struct coming *c = f->coming;

    for (size_t i = 0; c && i < c->n_before; i++)
        if (c->line[i].utc_s >= since && isfinite(c->line[i].rain_mm))
            mm += c->line[i].rain_mm;
    return mm;
}

static int64_t first_rain(const struct prompt_fold *f)
{
    const struct coming *c = f->coming;
    for (size_t i = 0; c && i < c->n_hours; i++)
        if (c->line[c->n_before + i].rain_mm >= 0.2)
            return c->line[c->n_before + i].utc_s;
    return INT64_MIN;
}

void prompts_bedding(struct prompt_fold *f)
{
    for (size_t i = 0; i < f->herd->n_sites; i++) {
        const struct herd_site *s = &f->herd->sites[i];
        const bool lived_in = s->litter_of != HERD_NONE || s->nest_of != HERD_NONE;
        const bool open = s->is.kind == SHELTER_OPEN || s->is.kind == SHELTER_LEE;
        const double wet = open ? rain_since(f, s->bedded_utc_s) : 0.0;
        const char *why = NULL;

        if (!s->placed || (s->is.straw_m <= 0.0 && !lived_in))
            continue;
        if (s->is.straw != STRAW_DRY)
            why = arena_print(f->mem, "The straw there is %s: wet is worse than cold.", straw_state_name[s->is.straw]);
        else if (wet >= 3.0)
            why = arena_print(f->mem, "%.0f mm of rain have fallen on it.", wet);
        else if (lived_in && s->is.straw_age_d > 5.0)
            why = arena_print(f->mem, "Bedded %.0f days ago.", floor(s->is.straw_age_d));
        else if (!lived_in && s->is.straw_age_d > 14.0)
            why = arena_print(f->mem, "Bedded %.0f days ago; it draws damp even unused.", floor(s->is.straw_age_d));
        if (why)
            prompts_add(
                f, (struct prompt){ .key = arena_print(f->mem, "bed:%s", s->uid),
                                    .kind = PROMPT_BEDDING,
                                    .day = f->today,
                                    .by_utc_s = first_rain(f),
                                    .where = s->name,
                                    .what = arena_print(
                                        f->mem, "Feel the bed in %s and top it up with dry straw, not hay.", s->name),
                                    .why = why });
    }
}

void prompts_frost_coming(struct prompt_fold *f)
{
    const struct coming *c = f->coming;
    double frost = 0.0;
    size_t stored = 0;

    for (size_t i = 0; i < f->herd->n_sites; i++)
        stored += !f->herd->sites[i].placed && f->herd->sites[i].is.kind == SHELTER_HUT;
    for (size_t i = 0; c && i < c->n_hours; i++) {
        frost = fmax(0.0, frost + fmin(4.0, -c->line[c->n_before + i].temp_c));
        if (frost < 24.0)
            continue;
        prompts_add(
            f,
            (struct prompt){
                .key = "huts-before-frost",
                .kind = PROMPT_SHELTER,
                .day = f->today,
                .by_utc_s = c->line[c->n_before + i].utc_s,
                .what = stored ? arena_print(f->mem, "Set out and turn the huts that will be wanted (%zu %s in store).",
                                             stored, stored == 1 ? "is" : "are")
                               : "Turn and loosen the huts that will have to be moved.",
                .why = "Then the ground freezes and they will not come loose." });
        return;
    }
}

void prompts_stock(struct prompt_fold *f)
{
    const struct herd_stock *s = &f->herd->stock;
    double near = 0.0;

    for (size_t i = 0; i < f->herd->n_sows; i++)
        if (f->herd->sows[i].state == HERD_SERVED && f->post[i].known)
            near += breeding_within(&f->post[i], 14.0 * 24.0);
    const double bale = isnan(s->bale_kg) ? 18.0 : s->bale_kg, wanted = (near + 1.0) * 1.5 * bale;
    if (isfinite(s->straw_kg) && s->straw_kg < wanted)
        prompts_add(
            f, (struct prompt){
                   .key = "straw-in",
                   .kind = PROMPT_STOCK,
                   .day = f->today,
                   .by_utc_s = INT64_MIN,
                   .what = arena_print(f->mem, "Get straw in: %.0f bales are left.", floor(s->straw_kg / bale)),
                   .why = arena_print(
                       f->mem, "About %.0f sows within two weeks, a bale and a half each and one spare: %.0f bales.",
                       near, ceil(wanted / bale)) });
}

/* ---- medicine ---- */

enum status prompts_treatments(struct prompt_fold *f, struct message *why)
{
    struct fact *t = NULL;
    size_t n = 0;
    const enum status st = farm_facts(f->farm, fact_kind_find("treatment"), f->herd->known_to, f->mem, &t, &n, why);

    for (size_t i = 0; i < n && st == ST_OK; i++) {
        const char *animal = fact_text(t[i].kind, t[i].value, "animal"),
                   *group = fact_text(t[i].kind, t[i].value, "group");
        const char *who = farm_called(f->farm, animal ? animal : group ? group : "", f->mem);
        const char *what = fact_text(t[i].kind, t[i].value, "what");
        const int64_t ends = fact_whole(t[i].kind, t[i].value, "withdrawal_ends", INT64_MIN);
        const int64_t booster = fact_whole(t[i].kind, t[i].value, "booster_due", INT64_MIN);
        if (fact_whole(t[i].kind, t[i].value, "at", INT64_MAX) > f->herd->at_utc_s)
            continue;
        if (ends != INT64_MIN)
            prompts_add(f, (struct prompt){ .key = arena_print(f->mem, "withdrawal:%s", t[i].uid),
                                            .kind = PROMPT_VET,
                                            .day = ends,
                                            .by_utc_s = INT64_MIN,
                                            .who = who,
                                            .what = arena_print(f->mem, "Withdrawal for %s ends.", who ? who : ""),
                                            .why = arena_print(f->mem, "After %s; the label and your vet decide.",
                                                               what ? what : "treatment") });
        if (booster != INT64_MIN)
            prompts_add(
                f, (struct prompt){ .key = arena_print(f->mem, "booster:%s", t[i].uid),
                                    .kind = PROMPT_VET,
                                    .day = booster,
                                    .by_utc_s = INT64_MIN,
                                    .once = true,
                                    .who = who,
                                    .what = arena_print(f->mem, "Booster due for %s: ask the vet.", who ? who : ""),
                                    .why = arena_print(f->mem, "After %s.", what ? what : "treatment") });
    }
    return st;
}
