/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rules of age and interval: litter calendar of docs/reckoning/round.md, each with its source there. */
#include "desk/in_100.h"
#include "desk/prompts_inside.h"

#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/when.h"

const char *const prompt_kind_name[PROMPT_KIND_END] = {
    [PROMPT_WATER] = "water",   [PROMPT_FEED] = "feed",         [PROMPT_BEDDING] = "bedding",
    [PROMPT_LOOK] = "look",     [PROMPT_SHELTER] = "shelter",   [PROMPT_STOCK] = "stock",
    [PROMPT_LITTER] = "litter", [PROMPT_BREEDING] = "breeding", [PROMPT_VET] = "vet",
    [PROMPT_MOVE] = "move",     [PROMPT_RECORD] = "record",
};

int64_t prompts_at_clock(const struct prompt_fold *f, int64_t day, int hour, int minute)
{
    int64_t first = 0, second = 0;
    (void)zone_from_local(f->herd->zone, day * DAY_S + hour * HOUR_S + minute * 60, &first, &second);
    return first;
}

int64_t prompts_day_of(const struct prompt_fold *f, int64_t utc_s)
{
    const struct civil c = when_local(f->herd->zone, utc_s);
    return civil_days(c.year, c.month, c.day);
}

void prompts_add(struct prompt_fold *f, struct prompt p)
{
    if (p.day < f->first - (p.once ? PROMPTS_LATE_D : 0) || p.day > f->last || f->out->n == PROMPTS_MOST || !p.key ||
        !p.what)
        return;
    p.late = p.day < f->first;
    p.who = p.who ? p.who : "";
    p.where = p.where ? p.where : "";
    p.ticked_by = "";
    f->out->prompt[f->out->n++] = p;
}

/* ---- every day ---- */

double prompts_coldest(const struct prompt_fold *f, int64_t day)
{
    double t = NAN;
    const struct coming *c = f->coming;

    for (size_t i = 0; c && i < c->n_hours; i++) {
        const struct hour *h = &c->line[c->n_before + i];
        if (prompts_day_of(f, h->utc_s) == day)
            t = isnan(t) ? h->temp_c : fmin(t, h->temp_c);
    }
    return t;
}

static void every_day(struct prompt_fold *f, int64_t day)
{
    const double cold = prompts_coldest(f, day);
    const bool frost = cold < 0.0;
    const bool us = f->herd->place.us_units;
    const char *how_cold = isnan(cold) ? ""
                                       : arena_print(f->mem, "Lowest %.0f °%c.",
                                                     round(us ? cold * 1.8 + 32.0 : cold) + 0.0, us ? 'F' : 'C');

    prompts_add(f, (struct prompt){ .key = "water-morning",
                                    .kind = PROMPT_WATER,
                                    .day = day,
                                    .by_utc_s = prompts_at_clock(f, day, 9, 0),
                                    .what = frost ? "Water all, break or carry away the ice." : "Water all.",
                                    .why = frost ? how_cold : "A sow with a litter drinks more than she eats." });
    if (frost)
        prompts_add(f, (struct prompt){ .key = "water-afternoon",
                                        .kind = PROMPT_WATER,
                                        .day = day,
                                        .by_utc_s = prompts_at_clock(f, day, 15, 30),
                                        .what = "Water again before dark: it freezes between.",
                                        .why = how_cold });
    prompts_add(f,
                (struct prompt){ .key = "feed",
                                 .kind = PROMPT_FEED,
                                 .day = day,
                                 .by_utc_s = prompts_at_clock(f, day, 10, 0),
                                 .what = "Feed, and see who does not come: a sow that stays away may be near, or ill.",
                                 .why = frost ? "In frost they need more to keep warm; thin ones first." : "" });
}

/* ---- looks ---- */

static void looks(struct prompt_fold *f, size_t i)
{
    static const struct {
        const char *label;
        int n;
        int hour[9];
    } plan[BW_END] = {
        [BW_ROUTINE] = { "once a day", 1, { 15 } },
        [BW_TWICE_A_DAY] = { "twice a day", 2, { 8, 20 } },
        [BW_EVERY_6H] = { "every six hours", 4, { 4, 10, 16, 22 } },
        [BW_EVERY_2H] = { "every two to three hours", 9, { 1, 4, 6, 9, 12, 15, 18, 20, 22 } },
    };
    const struct herd_sow *s = &f->herd->sows[i];
    const bool frost = prompts_coldest(f, f->today) < 0.0;
    const enum breeding_watch band = herd_watch(&f->post[i], frost);
    const double chance = breeding_within(&f->post[i], 12.0);

    for (int k = 0; k < plan[band].n; k++)
        prompts_add(
            f, (struct prompt){ .key = arena_print(f->mem, "look:%s:%d", s->uid, plan[band].hour[k]),
                                .kind = PROMPT_LOOK,
                                .day = f->today,
                                .by_utc_s = prompts_at_clock(f, f->today, plan[band].hour[k], 0),
                                .who = s->name,
                                .what = arena_print(
                                    f->mem, "Look at %s and write down what you see, the absent signs too.", s->name),
                                .why = arena_print(f->mem, "To farrow within 12 h: %s. Look %s.",
                                                   in_100_words(chance, f->mem), plan[band].label) });
}

/* ---- breeding ---- */

static void overdue_and_near(struct prompt_fold *f, size_t i)
{
    const struct herd_sow *s = &f->herd->sows[i];
    const struct breeding_posterior *p = &f->post[i];
    const int64_t p5 = breeding_quantile(&p->density, 0.05);

    if (p->known && p->day >= 118.0 && f->today >= f->first)
        prompts_add(
            f, (struct prompt){ .key = arena_print(f->mem, "overdue:%s", s->uid),
                                .kind = PROMPT_VET,
                                .day = f->today,
                                .by_utc_s = INT64_MIN,
                                .who = s->name,
                                .what = arena_print(f->mem, "Ring the vet about %s.", s->name),
                                .why = arena_print(f->mem,
                                                   "Day %.0f since she can last have conceived. Sooner if she is dull, "
                                                   "off her feed or has a discharge.",
                                                   floor(p->day)) });
    if (!p->known || p5 == BREEDING_NONE || p->p_pregnant < 0.3)
        return;
    prompts_add(
        f, (struct prompt){ .key = arena_print(f->mem, "to-ground:%s", s->uid),
                            .kind = PROMPT_MOVE,
                            .day = prompts_day_of(f, p5) - 7,
                            .by_utc_s = INT64_MIN,
                            .who = s->name,
                            .what = arena_print(f->mem, "Have %s on her farrowing ground, used to the huts.", s->name),
                            .why = "Five to fourteen days before: late moves disturb nest building." });
    prompts_add(f,
                (struct prompt){
                    .key = arena_print(f->mem, "booster-ask:%s", s->uid),
                    .kind = PROMPT_VET,
                    .day = prompts_day_of(f, p5) - 24,
                    .by_utc_s = INT64_MIN,
                    .who = s->name,
                    .what = arena_print(
                        f->mem, "Ask the vet which boosters and worming %s needs before farrowing, and when.", s->name),
                    .why = "Usually two to four weeks before; your vet and the label decide." });
}

static void after_service(struct prompt_fold *f, size_t i)
{
    const struct herd_sow *s = &f->herd->sows[i];
    const struct breeding_evidence *e = &s->evidence;
    int64_t last = INT64_MIN;

    for (size_t k = 0; k < e->n_services; k++)
        last = e->services[k].at_utc_s > last ? e->services[k].at_utc_s : last;
    if (last == INT64_MIN)
        return;
    for (int d = 18; d <= 24; d++)
        prompts_add(
            f, (struct prompt){
                   .key = arena_print(f->mem, "return:%s", s->uid),
                   .kind = PROMPT_BREEDING,
                   .day = prompts_day_of(f, last) + d,
                   .by_utc_s = INT64_MIN,
                   .who = s->name,
                   .what = arena_print(f->mem, "See whether %s is in heat again.", s->name),
                   .why = arena_print(f->mem, "Day %d since she was served; none seen is worth recording too.", d) });
    if (e->n_scans == 0)
        prompts_add(f, (struct prompt){
                           .key = arena_print(f->mem, "scan:%s", s->uid),
                           .kind = PROMPT_BREEDING,
                           .day = prompts_day_of(f, last) + 28,
                           .by_utc_s = INT64_MIN,
                           .once = true,
                           .who = s->name,
                           .what = arena_print(f->mem, "Have %s scanned.", s->name),
                           .why = "From day 24 on it is nearly sure; an open sow found now can be served again." });
}

/* ---- the record itself ---- */

static enum status record(struct prompt_fold *f, struct message *why)
{
    struct farm_held *held = NULL;
    struct farm_flag *flag = NULL;
    size_t n_held = 0, n_flags = 0;
    enum status st = farm_held(f->farm, false, f->mem, &held, &n_held, why);

    if (st == ST_OK)
        st = farm_flags(f->farm, false, f->herd->known_to, f->mem, &flag, &n_flags, why);
    if (n_held)
        prompts_add(f, (struct prompt){ .key = "held",
                                        .kind = PROMPT_RECORD,
                                        .day = f->today,
                                        .by_utc_s = INT64_MIN,
                                        .what = arena_print(f->mem, "Settle %zu held record%s: leenest held.", n_held,
                                                            n_held == 1 ? "" : "s"),
                                        .why = held[0].reason });
    if (n_flags)
        prompts_add(f, (struct prompt){ .key = "odd",
                                        .kind = PROMPT_RECORD,
                                        .day = f->today,
                                        .by_utc_s = INT64_MIN,
                                        .what = arena_print(f->mem, "Look at %zu odd record%s: leenest flags.", n_flags,
                                                            n_flags == 1 ? "" : "s"),
                                        .why = flag[0].says });
    const struct coming *c = f->coming;
    if (!c || !c->forecast_name || f->herd->at_utc_s - c->forecast_made_utc_s > 12 * HOUR_S)
        prompts_add(f, (struct prompt){ .key = "forecast",
                                        .kind = PROMPT_RECORD,
                                        .day = f->today,
                                        .by_utc_s = prompts_at_clock(f, f->today, 16, 0),
                                        .what = "Fetch or type a fresh forecast.",
                                        .why = c && c->forecast_name ? "The one at hand is old." : "There is none." });
    return st;
}

/* "look:<uid>:15" of Old Bramble -> "look:Old-Bramble:15". */
static const char *shortened(const struct prompt_fold *f, const struct prompt *p)
{
    const char *name = *p->who ? p->who : p->where, *uid = strchr(p->key, ':');
    const size_t n = strlen(p->key);

    if (!uid || !*name || (size_t)(uid - p->key) + FARM_UID > n)
        return p->key;
    char *out = arena_get(f->mem, n + strlen(name) + 1, 1);
    if (!out)
        return p->key; /* the arena is full and says so */
    (void)snprintf(out, n + strlen(name) + 1, "%.*s:%s%s", (int)(uid - p->key), p->key, name, uid + FARM_UID);
    for (char *c = out; *c; c++)
        *c = *c == ' ' ? '-' : *c;
    return out;
}

static void short_keys(struct prompt_fold *f)
{
    for (size_t i = 0; i < f->out->n; i++)
        f->out->prompt[i].short_key = shortened(f, &f->out->prompt[i]);
    for (size_t i = 0; i < f->out->n; i++)
        for (size_t k = 0; k < f->out->n; k++) {
            struct prompt *a = &f->out->prompt[i], *b = &f->out->prompt[k];
            if (strcmp(a->key, b->key) != 0 && strcmp(a->short_key, b->short_key) == 0) { /* two of one name */
                a->short_key = a->key;
                b->short_key = b->key;
            }
        }
}

static enum status ticks(struct prompt_fold *f, struct message *why)
{
    struct fact *t = NULL;
    size_t n = 0;
    const enum status st = farm_facts(f->farm, fact_kind_find("tick"), f->herd->known_to, f->mem, &t, &n, why);

    for (size_t i = 0; i < n && st == ST_OK; i++) {
        const char *key = fact_text(t[i].kind, t[i].value, "prompt"), *by = fact_text(t[i].kind, t[i].value, "by");
        const int64_t on = fact_whole(t[i].kind, t[i].value, "on", INT64_MIN);
        const int64_t day = on != INT64_MIN ? on : prompts_day_of(f, fact_whole(t[i].kind, t[i].value, "at", 0));
        for (size_t k = 0; k < f->out->n; k++) {
            struct prompt *p = &f->out->prompt[k];
            if ((p->day != day && !(p->once && day >= p->day)) ||
                (strcmp(p->key, key) != 0 && strcmp(p->short_key, key) != 0))
                continue;
            p->ticked = true;
            p->ticked_by = by ? farm_called(f->farm, by, f->mem) : t[i].who;
        }
    }
    return st;
}

/* A look that was recorded in the hours before its time is done. */
static void looked_already(struct prompt_fold *f)
{
    for (size_t k = 0; k < f->out->n; k++) {
        struct prompt *p = &f->out->prompt[k];
        if (p->kind != PROMPT_LOOK)
            continue;
        for (size_t i = 0; i < f->herd->n_sows; i++) {
            const struct herd_sow *s = &f->herd->sows[i];
            if (strcmp(s->name, p->who) == 0 && s->last_look_utc_s != BREEDING_NONE &&
                s->last_look_utc_s >= p->by_utc_s - 2 * HOUR_S)
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
        if (x->by_utc_s == INT64_MIN || y->by_utc_s == INT64_MIN) /* some time that day: after what has an hour */
            return x->by_utc_s == INT64_MIN ? 1 : -1;
        return x->by_utc_s < y->by_utc_s ? -1 : 1;
    }
    const size_t n = strcspn(x->key, ":"), m = strcspn(y->key, ":");
    int c = strncmp(x->key, y->key, n < m ? n : m); /* alike things together, then by name: a key may end in a uid */
    c = c ? c : (n > m) - (n < m);
    c = c || !x->who || !y->who ? c : strcmp(x->who, y->who);
    c = c || !x->what || !y->what ? c : strcmp(x->what, y->what); /* a hut stands in the words */
    return c ? c : strcmp(x->key, y->key);
}

enum status prompts_fold(struct farm *farm, const struct herd *herd, const struct coming *coming, int64_t first_day,
                         int64_t last_day, struct arena *mem, struct prompts *out, struct message *why)
{
    struct prompt_fold f = {
        .farm = farm, .herd = herd, .coming = coming, .first = first_day, .last = last_day, .mem = mem, .out = out
    };
    enum status st = ST_OK;

    f.today = prompts_day_of(&f, herd->at_utc_s);
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
            prompts_litter(&f, &herd->sows[i]);
        }
    }
    for (int64_t day = first_day; day <= last_day && day < f.today + 2; day++) {
        every_day(&f, day);
        prompts_heat(&f, day);
    }
    prompts_bedding(&f);
    prompts_frost_coming(&f);
    prompts_stock(&f);
    st = prompts_treatments(&f, why);
    if (st == ST_OK)
        st = record(&f, why);
    looked_already(&f);
    short_keys(&f);
    if (st == ST_OK)
        st = ticks(&f, why);
    size_t kept = 0;
    for (size_t k = 0; k < out->n; k++)
        if (!(out->prompt[k].late && out->prompt[k].ticked)) /* done since: no longer of this day */
            out->prompt[kept++] = out->prompt[k];
    out->n = kept;
    qsort(out->prompt, out->n, sizeof *out->prompt, by_time);
    return arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "too much to do to hold at once") : st;
}
