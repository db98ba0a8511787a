/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rules of age and interval: litter calendar of docs/reckoning/round.md, each with its source there. */
#include "desk/prompts.h"

#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/when.h"

const char *const prompt_kind_name[PROMPT_KIND_END] = {
    [PROMPT_WATER] = "water", [PROMPT_FEED] = "feed", [PROMPT_BEDDING] = "bedding", [PROMPT_LOOK] = "look",
    [PROMPT_SHELTER] = "shelter", [PROMPT_STOCK] = "stock", [PROMPT_LITTER] = "litter", [PROMPT_BREEDING] = "breeding",
    [PROMPT_VET] = "vet", [PROMPT_MOVE] = "move", [PROMPT_RECORD] = "record",
};

struct fold {
    struct farm *farm;
    const struct herd *herd;
    const struct coming *coming;
    int64_t today, first, last;
    struct arena *mem;
    struct prompts *out;
    struct breeding_prior *prior;
    struct breeding_posterior *post;   /* by sow, for served ones */
};

static int64_t at_clock(const struct fold *f, int64_t day, int hour, int minute)
{
    int64_t first = 0, second = 0;
    (void)zone_from_local(f->herd->zone, day * DAY_S + hour * HOUR_S + minute * 60, &first, &second);
    return first;
}

static int64_t day_of(const struct fold *f, int64_t utc_s)
{
    const struct civil c = when_local(f->herd->zone, utc_s);
    return civil_days(c.year, c.month, c.day);
}

static void add(struct fold *f, struct prompt p)
{
    if (p.day < f->first - (p.once ? PROMPTS_LATE_D : 0) || p.day > f->last || f->out->n == PROMPTS_MOST || !p.key || !p.what)
        return;
    p.late = p.day < f->first;
    p.who = p.who ? p.who : "";
    p.where = p.where ? p.where : "";
    p.ticked_by = "";
    f->out->prompt[f->out->n++] = p;
}

/* ---- every day --------------------------------------------------------------------------------------------------------- */

static double coldest(const struct fold *f, int64_t day)
{
    double t = NAN;
    const struct coming *c = f->coming;

    for (size_t i = 0; c && i < c->n_hours; i++) {
        const struct hour *h = &c->line[c->n_before + i];
        if (day_of(f, h->utc_s) == day)
            t = isnan(t) ? h->temp_c : fmin(t, h->temp_c);
    }
    return t;
}

static void every_day(struct fold *f, int64_t day)
{
    const double cold = coldest(f, day);
    const bool frost = cold < 0.0;
    const bool us = f->herd->place.us_units;
    const char *how_cold = isnan(cold) ? "" : arena_print(f->mem, "Lowest %.0f °%c.", round(us ? cold * 1.8 + 32.0 : cold) + 0.0, us ? 'F' : 'C');

    add(f, (struct prompt){ .key = "water-morning", .kind = PROMPT_WATER, .day = day, .by_utc_s = at_clock(f, day, 9, 0),
                            .what = frost ? "Water all, break or carry away the ice." : "Water all.",
                            .why = frost ? how_cold : "A sow with a litter drinks more than she eats." });
    if (frost)
        add(f, (struct prompt){ .key = "water-afternoon", .kind = PROMPT_WATER, .day = day, .by_utc_s = at_clock(f, day, 15, 30),
                                .what = "Water again before dark: it freezes between.", .why = how_cold });
    add(f, (struct prompt){ .key = "feed", .kind = PROMPT_FEED, .day = day, .by_utc_s = at_clock(f, day, 10, 0),
                            .what = "Feed, and see who does not come: a sow that stays away may be near, or ill.",
                            .why = frost ? "In frost they need more to keep warm; thin ones first." : "" });
}

/* ---- looks ----------------------------------------------------------------------------------------------------------------- */

static void looks(struct fold *f, size_t i)
{
    static const struct { const char *label; int n; int hour[9]; } plan[BW_END] = {
        [BW_ROUTINE] = { "once", 1, { 15 } }, [BW_TWICE_A_DAY] = { "twice", 2, { 8, 20 } },
        [BW_EVERY_6H] = { "every six hours", 4, { 4, 10, 16, 22 } },
        [BW_EVERY_2H] = { "every two to three hours", 9, { 1, 4, 6, 9, 12, 15, 18, 20, 22 } },
    };
    const struct herd_sow *s = &f->herd->sows[i];
    const bool frost = coldest(f, f->today) < 0.0;
    const enum breeding_watch band = herd_watch(&f->post[i], frost);

    for (int k = 0; k < plan[band].n; k++)
        add(f, (struct prompt){ .key = arena_print(f->mem, "look:%s:%d", s->uid, plan[band].hour[k]), .kind = PROMPT_LOOK, .day = f->today,
                                .by_utc_s = at_clock(f, f->today, plan[band].hour[k], 0), .who = s->name,
                                .what = arena_print(f->mem, "Look at %s and write down what you see, the absent signs too.", s->name),
                                .why = arena_print(f->mem, "%.0f in 100 within 12 h: %s.", 100.0 * breeding_within(&f->post[i], 12.0),
                                                   plan[band].label) });
}

/* ---- breeding -------------------------------------------------------------------------------------------------------------- */

static void overdue_and_near(struct fold *f, size_t i)
{
    const struct herd_sow *s = &f->herd->sows[i];
    const struct breeding_posterior *p = &f->post[i];
    const int64_t p5 = breeding_quantile(&p->density, 0.05);

    if (p->known && p->day >= 118.0 && f->today >= f->first)
        add(f, (struct prompt){ .key = arena_print(f->mem, "overdue:%s", s->uid), .kind = PROMPT_VET, .day = f->today, .by_utc_s = INT64_MIN,
                                .who = s->name, .what = arena_print(f->mem, "Ring the vet about %s.", s->name),
                                .why = arena_print(f->mem, "Day %.0f since she can last have conceived. Sooner if she is dull, off her feed or has a discharge.",
                                                   floor(p->day)) });
    if (!p->known || p5 == BREEDING_NONE || p->p_pregnant < 0.3)
        return;
    add(f, (struct prompt){ .key = arena_print(f->mem, "to-ground:%s", s->uid), .kind = PROMPT_MOVE, .day = day_of(f, p5) - 7,
                            .by_utc_s = INT64_MIN, .who = s->name,
                            .what = arena_print(f->mem, "Have %s on her farrowing ground, used to the huts.", s->name),
                            .why = "Five to fourteen days before: late moves disturb nest building." });
    add(f, (struct prompt){ .key = arena_print(f->mem, "booster-ask:%s", s->uid), .kind = PROMPT_VET, .day = day_of(f, p5) - 24,
                            .by_utc_s = INT64_MIN, .who = s->name,
                            .what = arena_print(f->mem, "Ask the vet which boosters and worming %s needs before farrowing, and when.", s->name),
                            .why = "Usually two to four weeks before; your vet and the label decide." });
}

static void after_service(struct fold *f, size_t i)
{
    const struct herd_sow *s = &f->herd->sows[i];
    const struct breeding_evidence *e = &s->evidence;
    int64_t last = INT64_MIN;

    for (size_t k = 0; k < e->n_services; k++)
        last = e->services[k].at_utc_s > last ? e->services[k].at_utc_s : last;
    if (last == INT64_MIN)
        return;
    for (int d = 18; d <= 24; d++)
        add(f, (struct prompt){ .key = arena_print(f->mem, "return:%s", s->uid), .kind = PROMPT_BREEDING, .day = day_of(f, last) + d,
                                .by_utc_s = INT64_MIN, .who = s->name, .what = arena_print(f->mem, "See whether %s is in heat again.", s->name),
                                .why = arena_print(f->mem, "Day %d since she was served; none seen is worth recording too.", d) });
    if (e->n_scans == 0)
        add(f, (struct prompt){ .key = arena_print(f->mem, "scan:%s", s->uid), .kind = PROMPT_BREEDING, .day = day_of(f, last) + 28,
                                .by_utc_s = INT64_MIN, .once = true, .who = s->name, .what = arena_print(f->mem, "Have %s scanned.", s->name),
                                .why = "From day 24 on it is nearly sure; an open sow found now can be served again." });
}

/* ---- litters ---------------------------------------------------------------------------------------------------------------- */

/* Margin of heat at the nest for a litter of one to three days, in the coming night. */
static double margin(const struct fold *f, const struct herd_sow *s, int64_t *when)
{
    const struct coming *c = f->coming;
    double least = NAN;

    if (!c || s->nests_at == HERD_NONE)
        return NAN;
    struct nest *nests = ARENA_NEW(f->mem, struct nest, c->n_before + c->n_hours);
    struct nest_inside in = nest_inside_default();
    struct nest_bed bed = { 0.0, 0.0 };
    struct message ignored;
    in.piglets = s->born_alive > 0 ? s->born_alive : 7;
    if (!nests || nest_hours(NULL, &f->herd->sites[s->nests_at].is, NULL, &in, c->n_before + c->n_hours, c->line, c->sun, NULL, &bed, nests,
                             &ignored) != ST_OK)
        return NAN;
    for (size_t h = 0; h < c->n_hours && h < 36; h++) {
        const double age_h = (double)(c->line[c->n_before + h].utc_s - s->farrowed_utc_s) / (double)HOUR_S;
        if (age_h < 12.0 || age_h > 84.0)
            continue;
        const double m = piglet_margin(NULL, 1.2, in.piglets, age_h, true, &nests[c->n_before + h].air);
        if (isnan(least) || m < least) {
            least = m;
            *when = c->line[c->n_before + h].utc_s;
        }
    }
    return least;
}

static void young_litter(struct fold *f, const struct herd_sow *s, double age_d)
{
    const int64_t born = day_of(f, s->farrowed_utc_s);
    int64_t when = 0;
    const double m = margin(f, s, &when);

    if (age_d < 1.5)
        add(f, (struct prompt){ .key = arena_print(f->mem, "suck:%s", s->uid), .kind = PROMPT_LITTER, .day = f->today, .by_utc_s = s->farrowed_utc_s + 6 * HOUR_S,
                                .who = s->name, .what = arena_print(f->mem, "See that every piglet of %s has sucked; warm a cold one first.", s->name),
                                .why = "The first milk counts within six hours. Warm before feeding; the vet for any that fail." });
    if (age_d < 2.0)
        add(f, (struct prompt){ .key = arena_print(f->mem, "foster:%s", s->uid), .kind = PROMPT_LITTER, .day = f->today, .by_utc_s = s->farrowed_utc_s + 36 * HOUR_S,
                                .who = s->name, .what = arena_print(f->mem, "Count piglets and working teats of %s; if one must be fostered, do it now.", s->name),
                                .why = "After twelve hours with the dam, done by thirty-six; move the big ones." });
    if (age_d < 3.5 && m < 0.2)
        add(f, (struct prompt){ .key = arena_print(f->mem, "cold-litter:%s", s->uid), .kind = PROMPT_LITTER, .day = f->today, .by_utc_s = when,
                                .who = s->name, .what = arena_print(f->mem, "More dry straw to %s, the flap down, and look at the litter at the coldest hour.", s->name),
                                .why = m < 0.0 ? "They cannot keep warm there: piling, noses down, cold ears mean act."
                                               : "They have little heat to spare there in the coming night." });
    if (age_d < 3.0 && coldest(f, f->today) < -1.0)
        add(f, (struct prompt){ .key = arena_print(f->mem, "iron:%s", s->uid), .kind = PROMPT_VET, .day = born + 2, .by_utc_s = INT64_MIN,
                                .who = s->name, .what = arena_print(f->mem, "Ask the vet about iron for the litter of %s.", s->name),
                                .why = "On frozen ground or a hut floor there is no soil to root in." });
}

static void litter(struct fold *f, const struct herd_sow *s)
{
    const double age_d = (double)(f->herd->at_utc_s - s->farrowed_utc_s) / (double)DAY_S;
    const int64_t born = day_of(f, s->farrowed_utc_s);

    young_litter(f, s, age_d);
    add(f, (struct prompt){ .key = arena_print(f->mem, "mark:%s", s->uid), .kind = PROMPT_LITTER, .day = born + 6, .by_utc_s = INT64_MIN, .once = true,
                            .who = s->name, .what = arena_print(f->mem, "Mark the litter of %s.", s->name),
                            .why = "They begin to roam about day ten and mix: until then you know whose they are. A second person keeps the sow off." });
    add(f, (struct prompt){ .key = arena_print(f->mem, "creep:%s", s->uid), .kind = PROMPT_FEED, .day = born + 14, .by_utc_s = INT64_MIN, .once = true,
                            .who = s->name, .what = arena_print(f->mem, "Begin creep feed for the litter of %s.", s->name), .why = "From day ten to twenty-one." });
    add(f, (struct prompt){ .key = arena_print(f->mem, "wean:%s", s->uid), .kind = PROMPT_LITTER, .day = born + 49, .by_utc_s = INT64_MIN, .once = true,
                            .who = s->name, .what = arena_print(f->mem, "Plan the weaning of %s.", s->name),
                            .why = "Six to eight weeks on pasture; local rules set the least age." });
}

/* ---- bedding and shelter -------------------------------------------------------------------------------------------------------- */

static double rain_since(const struct fold *f, int64_t since)
{
    double mm = 0.0;
    const struct coming *c = f->coming;

    for (size_t i = 0; c && i < c->n_before; i++)
        if (c->line[i].utc_s >= since && isfinite(c->line[i].rain_mm))
            mm += c->line[i].rain_mm;
    return mm;
}

static int64_t first_rain(const struct fold *f)
{
    const struct coming *c = f->coming;
    for (size_t i = 0; c && i < c->n_hours; i++)
        if (c->line[c->n_before + i].rain_mm >= 0.2)
            return c->line[c->n_before + i].utc_s;
    return INT64_MIN;
}

static void bedding(struct fold *f)
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
            add(f, (struct prompt){ .key = arena_print(f->mem, "bed:%s", s->uid), .kind = PROMPT_BEDDING, .day = f->today,
                                    .by_utc_s = first_rain(f), .where = s->name,
                                    .what = arena_print(f->mem, "Feel the bed in %s and top it up with dry straw, not hay.", s->name), .why = why });
    }
}

static void frost_coming(struct fold *f)
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
        add(f, (struct prompt){ .key = "huts-before-frost", .kind = PROMPT_SHELTER, .day = f->today, .by_utc_s = c->line[c->n_before + i].utc_s,
                                .what = stored ? arena_print(f->mem, "Set out and turn the huts that will be wanted (%zu %s in store).", stored,
                                                             stored == 1 ? "is" : "are")
                                               : "Turn and loosen the huts that will have to be moved.",
                                .why = "Then the ground freezes and they will not come loose." });
        return;
    }
}

static void stock(struct fold *f)
{
    const struct herd_stock *s = &f->herd->stock;
    double near = 0.0;

    for (size_t i = 0; i < f->herd->n_sows; i++)
        if (f->herd->sows[i].state == HERD_SERVED && f->post[i].known)
            near += breeding_within(&f->post[i], 14.0 * 24.0);
    const double bale = isnan(s->bale_kg) ? 18.0 : s->bale_kg, wanted = (near + 1.0) * 1.5 * bale;
    if (isfinite(s->straw_kg) && s->straw_kg < wanted)
        add(f, (struct prompt){ .key = "straw-in", .kind = PROMPT_STOCK, .day = f->today, .by_utc_s = INT64_MIN,
                                .what = arena_print(f->mem, "Get straw in: %.0f bales are left.", floor(s->straw_kg / bale)),
                                .why = arena_print(f->mem, "About %.0f sows within two weeks, a bale and a half each and one spare: %.0f bales.",
                                                   near, ceil(wanted / bale)) });
}

/* ---- medicine ------------------------------------------------------------------------------------------------------------------------ */

static enum status treatments(struct fold *f, struct message *why)
{
    struct fact *t = NULL;
    size_t n = 0;
    const enum status st = farm_facts(f->farm, fact_kind_find("treatment"), f->herd->known_to, f->mem, &t, &n, why);

    for (size_t i = 0; i < n && st == ST_OK; i++) {
        const char *animal = fact_text(t[i].kind, t[i].value, "animal"), *group = fact_text(t[i].kind, t[i].value, "group");
        const char *who = farm_called(f->farm, animal ? animal : group ? group : "", f->mem);
        const char *what = fact_text(t[i].kind, t[i].value, "what");
        const int64_t ends = fact_whole(t[i].kind, t[i].value, "withdrawal_ends", INT64_MIN);
        const int64_t booster = fact_whole(t[i].kind, t[i].value, "booster_due", INT64_MIN);
        if (fact_whole(t[i].kind, t[i].value, "at", INT64_MAX) > f->herd->at_utc_s)
            continue;
        if (ends != INT64_MIN)
            add(f, (struct prompt){ .key = arena_print(f->mem, "withdrawal:%s", t[i].uid), .kind = PROMPT_VET, .day = ends, .by_utc_s = INT64_MIN,
                                    .who = who, .what = arena_print(f->mem, "Withdrawal for %s ends.", who ? who : ""),
                                    .why = arena_print(f->mem, "After %s; the label and your vet decide.", what ? what : "treatment") });
        if (booster != INT64_MIN)
            add(f, (struct prompt){ .key = arena_print(f->mem, "booster:%s", t[i].uid), .kind = PROMPT_VET, .day = booster, .by_utc_s = INT64_MIN, .once = true,
                                    .who = who, .what = arena_print(f->mem, "Booster due for %s: ask the vet.", who ? who : ""),
                                    .why = arena_print(f->mem, "After %s.", what ? what : "treatment") });
    }
    return st;
}

/* ---- the record itself ------------------------------------------------------------------------------------------------------------------- */

static enum status record(struct fold *f, struct message *why)
{
    struct farm_held *held = NULL;
    struct farm_flag *flag = NULL;
    size_t n_held = 0, n_flags = 0;
    enum status st = farm_held(f->farm, false, f->mem, &held, &n_held, why);

    if (st == ST_OK)
        st = farm_flags(f->farm, false, f->herd->known_to, f->mem, &flag, &n_flags, why);
    if (n_held)
        add(f, (struct prompt){ .key = "held", .kind = PROMPT_RECORD, .day = f->today, .by_utc_s = INT64_MIN,
                                .what = arena_print(f->mem, "Settle %zu held record%s: leenest held.", n_held, n_held == 1 ? "" : "s"),
                                .why = held[0].reason });
    if (n_flags)
        add(f, (struct prompt){ .key = "odd", .kind = PROMPT_RECORD, .day = f->today, .by_utc_s = INT64_MIN,
                                .what = arena_print(f->mem, "Look at %zu odd record%s: leenest flags.", n_flags, n_flags == 1 ? "" : "s"),
                                .why = flag[0].says });
    const struct coming *c = f->coming;
    if (!c || !c->forecast_name || f->herd->at_utc_s - c->forecast_made_utc_s > 12 * HOUR_S)
        add(f, (struct prompt){ .key = "forecast", .kind = PROMPT_RECORD, .day = f->today, .by_utc_s = at_clock(f, f->today, 16, 0),
                                .what = "Fetch or type a fresh forecast.", .why = c && c->forecast_name ? "The one at hand is old." : "There is none." });
    return st;
}

/* "look:<uid>:15" of Old Bramble -> "look:Old-Bramble:15". */
static const char *shortened(const struct fold *f, const struct prompt *p)
{
    const char *name = *p->who ? p->who : p->where, *uid = strchr(p->key, ':');
    const size_t n = strlen(p->key);

    if (!uid || !*name || (size_t)(uid - p->key) + FARM_UID > n)
        return p->key;
    char *out = arena_get(f->mem, n + strlen(name) + 1, 1);
    if (!out)
        return p->key;   /* the arena is full and says so */
    (void)snprintf(out, n + strlen(name) + 1, "%.*s:%s%s", (int)(uid - p->key), p->key, name, uid + FARM_UID);
    for (char *c = out; *c; c++)
        *c = *c == ' ' ? '-' : *c;
    return out;
}

static void short_keys(struct fold *f)
{
    for (size_t i = 0; i < f->out->n; i++)
        f->out->prompt[i].short_key = shortened(f, &f->out->prompt[i]);
    for (size_t i = 0; i < f->out->n; i++)
        for (size_t k = 0; k < f->out->n; k++) {
            struct prompt *a = &f->out->prompt[i], *b = &f->out->prompt[k];
            if (strcmp(a->key, b->key) != 0 && strcmp(a->short_key, b->short_key) == 0) {   /* two of one name */
                a->short_key = a->key;
                b->short_key = b->key;
            }
        }
}

static enum status ticks(struct fold *f, struct message *why)
{
    struct fact *t = NULL;
    size_t n = 0;
    const enum status st = farm_facts(f->farm, fact_kind_find("tick"), f->herd->known_to, f->mem, &t, &n, why);

    for (size_t i = 0; i < n && st == ST_OK; i++) {
        const char *key = fact_text(t[i].kind, t[i].value, "prompt"), *by = fact_text(t[i].kind, t[i].value, "by");
        const int64_t on = fact_whole(t[i].kind, t[i].value, "on", INT64_MIN);
        const int64_t day = on != INT64_MIN ? on : day_of(f, fact_whole(t[i].kind, t[i].value, "at", 0));
        for (size_t k = 0; k < f->out->n; k++) {
            struct prompt *p = &f->out->prompt[k];
            if ((p->day != day && !(p->once && day >= p->day)) || (strcmp(p->key, key) != 0 && strcmp(p->short_key, key) != 0))
                continue;
            p->ticked = true;
            p->ticked_by = by ? farm_called(f->farm, by, f->mem) : t[i].who;
        }
    }
    return st;
}

/* A look that was recorded in the hours before its time is done. */
static void looked_already(struct fold *f)
{
    for (size_t k = 0; k < f->out->n; k++) {
        struct prompt *p = &f->out->prompt[k];
        if (p->kind != PROMPT_LOOK)
            continue;
        for (size_t i = 0; i < f->herd->n_sows; i++) {
            const struct herd_sow *s = &f->herd->sows[i];
            if (strcmp(s->name, p->who) == 0 && s->last_look_utc_s != BREEDING_NONE && s->last_look_utc_s >= p->by_utc_s - 2 * HOUR_S)
                p->ticked = true;
        }
    }
}

static int by_time(const void *a, const void *b)
{
    const struct prompt *x = a, *y = b;
    if (x->day != y->day)
        return x->day < y->day ? -1 : 1;
    if (x->by_utc_s != y->by_utc_s) {
        if (x->by_utc_s == INT64_MIN || y->by_utc_s == INT64_MIN)   /* some time that day: after what has an hour */
            return x->by_utc_s == INT64_MIN ? 1 : -1;
        return x->by_utc_s < y->by_utc_s ? -1 : 1;
    }
    return strcmp(x->key, y->key);
}

enum status prompts_fold(struct farm *farm, const struct herd *herd, const struct coming *coming, int64_t first_day, int64_t last_day,
                         struct arena *mem, struct prompts *out, struct message *why)
{
    struct fold f = { .farm = farm, .herd = herd, .coming = coming, .first = first_day, .last = last_day, .mem = mem, .out = out };
    enum status st = ST_OK;

    f.today = day_of(&f, herd->at_utc_s);
    *out = (struct prompts){ 0, ARENA_NEW(mem, struct prompt, PROMPTS_MOST) };
    f.prior = ARENA_NEW(mem, struct breeding_prior, herd->n_sows + 1);
    f.post = ARENA_NEW(mem, struct breeding_posterior, herd->n_sows + 1);
    if (!f.post || !f.prior || !out->prompt)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < herd->n_sows && st == ST_OK; i++) {
        if (herd->sows[i].state == HERD_SERVED) {
            st = herd_chance(herd, i, BREEDING_SINCE_LAST_LOOK, coming, mem, &f.prior[i], &f.post[i], why);
            if (st != ST_OK)
                return st;
            if (f.post[i].known)
                looks(&f, i);
            overdue_and_near(&f, i);
            after_service(&f, i);
        } else if (herd->sows[i].state == HERD_SUCKLING) {
            litter(&f, &herd->sows[i]);
        }
    }
    for (int64_t day = first_day; day <= last_day && day < f.today + 2; day++)
        every_day(&f, day);
    bedding(&f);
    frost_coming(&f);
    stock(&f);
    st = treatments(&f, why);
    if (st == ST_OK)
        st = record(&f, why);
    looked_already(&f);
    short_keys(&f);
    if (st == ST_OK)
        st = ticks(&f, why);
    size_t kept = 0;
    for (size_t k = 0; k < out->n; k++)
        if (!(out->prompt[k].late && out->prompt[k].ticked))   /* done since: no longer of this day */
            out->prompt[kept++] = out->prompt[k];
    out->n = kept;
    qsort(out->prompt, out->n, sizeof *out->prompt, by_time);
    return arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "too much to do to hold at once") : st;
}
