/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One way to do a season laid out as a plan: each sow's run, her boar, and the chance of her litter on every day. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/memory.h"
#include "desk/season_inside.h"
#include "desk/season_kept.h"

static const double recycles_after_d = 33.0; /* days from weaning past which she counts as cycling */
static const double scan_misses = 0.05;      /* an empty sow that a scan calls in pig (core/breeding, scan-false) */
enum { FIRST_BIRTH_D = 100, LAST_BIRTH_D = 140, RUNS_OF_ONE = SEASON_BIRTHS_STAYS };

struct stays { /* of boars with one sow, days */
    size_t n;
    struct season_run run[RUNS_OF_ONE];
};

struct laid { /* of one sow and all that are like her */
    struct season_births_key key;
    const double *born; /* NULL: free */
};

/* What her second litters rest on: the days of her first, and what is known of her. Compared byte by byte. */
struct second_key {
    const double *born, *both, *instead;
    int64_t sow, parity, stay;
    uint64_t breed_bits, cycling_bits;
};
struct second_laid {
    struct second_key key;
    const struct plan_second *second; /* NULL: free */
};

struct laying {
    const struct season *s;
    const struct season_way *w;
    struct arena *mem, scratch;
    struct breeding_rules rules;
    size_t *batch;
    struct laid *laid; /* n_laid, a power of two and more than can be asked for */
    size_t n_laid;
    struct second_laid *second; /* as many; NULL unless there is a second litter */
    double *served;             /* share of her heats that her boar manages */
};

static void add_stay(struct stays *t, int64_t in, int64_t out)
{
    t->run[t->n++] = (struct season_run){ in, out };
}

/* He manages so many of her heats; a sow brought by hand is served in her first only. */
static void manage(const struct laying *l, double share, struct breeding_rules *r)
{
    static const enum breeding_rule takes[] = { BR_CONCEPTION_SOW, BR_CONCEPTION_FIRST, BR_CONCEPTION_GILT };

    *r = l->rules;
    for (size_t i = 0; share < 1.0 && i < COUNT(takes); i++)
        r->value[takes[i]] = share * breeding_defaults[takes[i]].value;
    if (l->w->hand)
        r->value[BR_REPEAT_CONCEPTION] = 0.0;
}

/* Mass of births by day of the grid, from a density. */
static void by_day(const struct season *s, const struct breeding_prior *p, int64_t from_day, int64_t to_day,
                   double born[SEASON_DAYS])
{
    const int64_t low = from_day > s->today ? from_day - s->today : 0, high = to_day - s->today;

    for (int64_t d = low; d < SEASON_DAYS && d < high; d++)
        born[d] = breeding_between(&p->density, s->ways.midnight[d], s->ways.midnight[d + 1]);
}

static uint64_t bits_of(double x)
{
    uint64_t bits;

    memcpy(&bits, &x, sizeof bits);
    return bits;
}

/* Her evidence with those of the stays that find her free. */
struct free_for {
    struct breeding_evidence e;
    struct breeding_run run[RUNS_OF_ONE];
    size_t n, first; /* stays; the first of them */
    int64_t bits;
};

static void free_for(const struct season *s, const struct season_sow *sow, const struct stays *stays,
                     struct free_for *f)
{
    *f = (struct free_for){ .e = sow->evidence };
    for (size_t i = 0; i < stays->n; i++) {
        const int64_t to = season_midnight(s, stays->run[i].out) + DAY_S / 2;
        if (sow->free_utc_s >= to)
            continue; /* not weaned yet */
        f->first = f->n ? f->first : i;
        f->bits |= (int64_t)1 << i;
        f->run[f->n++] = (struct breeding_run){ season_midnight(s, stays->run[i].in) + DAY_S / 2, to, 0 };
    }
    if (f->n > 0 && f->e.state == BREEDING_WEANED &&
        (double)(f->run[0].from_utc_s - sow->free_utc_s) > recycles_after_d * (double)DAY_S) {
        f->e.state = BREEDING_CYCLING;
        f->e.weaned_utc_s = BREEDING_NONE;
    }
}

/* All that her days rest on. */
static struct season_births_key key_of(const struct laying *l, const struct season_sow *sow, const struct stays *stays,
                                       double share)
{
    struct season_births_key key;
    struct free_for f;

    free_for(l->s, sow, stays, &f);
    memset(&key, 0, sizeof key); /* compared by its bytes */
    key.sow = f.e.n_past > 0 ? sow - l->s->sows : -1;
    key.stays = f.bits;
    key.today = l->s->today;
    key.weaned_utc_s = f.e.weaned_utc_s;
    key.state = f.e.state;
    key.parity = f.e.parity;
    key.hand = l->w->hand;
    key.n_stays = (int64_t)stays->n;
    for (size_t i = 0; i < stays->n; i++) {
        key.in[i] = stays->run[i].in;
        key.out[i] = stays->run[i].out;
    }
    key.share_bits = bits_of(share);
    key.breed_bits = bits_of(f.e.breed_shift_d);
    key.cycling_bits = bits_of(f.e.p_cycling);
    return key;
}

/* Chance of her first birth on each day of the grid, with boars there on those days. */
static enum status days_reckoned(struct laying *l, const struct season_sow *sow, const struct stays *stays,
                                 double share, double born[SEASON_DAYS], struct message *why)
{
    struct breeding_rules rules;
    struct breeding_prior prior;
    struct free_for f;

    free_for(l->s, sow, stays, &f);
    if (f.n == 0)
        return ST_OK;
    manage(l, share, &rules);
    f.e.runs = f.run;
    f.e.n_runs = f.n;
    f.e.known_to_utc_s = f.run[f.n - 1].to_utc_s;
    arena_open(&l->scratch, (size_t)64 << 20);
    const enum status st = breeding_prior(&rules, &f.e, &l->scratch, &prior, why);
    if (st == ST_OK)
        by_day(l->s, &prior, stays->run[f.first].in + FIRST_BIRTH_D, stays->run[stays->n - 1].out + LAST_BIRTH_D, born);
    arena_close(&l->scratch);
    return st;
}

static enum status days_of(struct laying *l, const struct season_sow *sow, const struct stays *stays, double share,
                           double born[SEASON_DAYS], struct message *why)
{
    struct season_births *kept = season_kept_births(desk_memory_season(l->s->q->memory));
    const struct season_births_key key = key_of(l, sow, stays, share);

    memset(born, 0, SEASON_DAYS * sizeof born[0]);
    if (season_births_find(kept, &key, SEASON_DAYS, born))
        return ST_OK;
    const enum status st = days_reckoned(l, sow, stays, share, born, why);
    if (st == ST_OK)
        season_births_add(kept, &key, SEASON_DAYS, born);
    return st;
}

/* Days that a sow like her had in this plan, or the place for them. */
static struct laid *laid_as(const struct laying *l, const struct season_births_key *key)
{
    for (size_t at = season_births_hash(key, sizeof *key) & (l->n_laid - 1);; at = (at + 1) & (l->n_laid - 1))
        if (!l->laid[at].born || memcmp(&l->laid[at].key, key, sizeof *key) == 0)
            return &l->laid[at];
}

/* The same with a scan SEASON_SCAN_D after the last of them: who is found empty goes to the boar again. Sows that are
 * alike share one array. */
static enum status days_with_scan(struct laying *l, const struct season_sow *sow, const struct stays *stays,
                                  double share, const double **born, struct message *why)
{
    struct stays more = *stays;
    const struct season_run *last = &stays->run[stays->n - 1];
    const int64_t scanned = last->out + SEASON_SCAN_D;

    if (l->w->scan)
        add_stay(&more, scanned, scanned + last->out - last->in);
    const struct season_births_key key = key_of(l, sow, &more, share);
    struct laid *laid = laid_as(l, &key);
    *born = laid->born;
    if (laid->born)
        return ST_OK;
    double *days = ARENA_NEW(l->mem, double, SEASON_DAYS),
           *first = l->w->scan ? ARENA_NEW(l->mem, double, SEASON_DAYS) : NULL;
    if (!days || (l->w->scan && !first))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = days_of(l, sow, &more, share, days, why);
    if (st == ST_OK && l->w->scan)
        st = days_of(l, sow, stays, share, first, why);
    for (size_t d = 0; d < SEASON_DAYS && st == ST_OK && l->w->scan; d++)
        days[d] = scan_misses * first[d] + (1.0 - scan_misses) * days[d];
    *laid = (struct laid){ key, days };
    *born = days;
    return st;
}

/* ---- the second litter ---- */

static bool may_farrow(const struct plan_sow *row, size_t from, size_t to)
{
    for (size_t d = from; d < to && d < SEASON_DAYS; d++)
        if (row->born[d] > 1e-9 || (row->both && row->both[d] > 1e-9) || (row->instead && row->instead[d] > 1e-9))
            return true;
    return false;
}

/* Chance of her second birth so many days after a first one on `day`: weaned, then with the boar for a stay. */
static enum status second_of(struct laying *l, const struct season_sow *sow, size_t day, struct plan_second *out,
                             struct message *why)
{
    const struct season *s = l->s;
    const int64_t birth = s->ways.midnight[day] + DAY_S / 2,
                  weaned = birth + llround(given_real(s->q, SEASON_WEANING) * (double)DAY_S);
    const struct season_run *r = &l->w->run[l->batch[sow - s->sows]];
    const struct breeding_run run = { weaned, weaned + (r->out - r->in) * DAY_S, 0 };
    const size_t from = (size_t)((weaned - birth) / DAY_S) + FIRST_BIRTH_D,
                 n = (size_t)(r->out - r->in) + LAST_BIRTH_D - FIRST_BIRTH_D;
    struct breeding_evidence e = sow->evidence;
    struct breeding_rules rules;
    struct breeding_prior prior;
    double *p = ARENA_NEW(l->mem, double, n);

    if (!p)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    manage(l, 1.0, &rules);
    e.state = BREEDING_WEANED;
    e.parity = e.parity < 0 ? -1 : e.parity + 1;
    e.weaned_utc_s = weaned;
    e.runs = &run;
    e.n_runs = 1;
    e.known_to_utc_s = run.to_utc_s;
    arena_open(&l->scratch, (size_t)64 << 20);
    const enum status st = breeding_prior(&rules, &e, &l->scratch, &prior, why);
    for (size_t i = 0; i < n && st == ST_OK; i++) {
        const int64_t at = birth - DAY_S / 2 + (int64_t)(from + i) * DAY_S;
        p[i] = breeding_between(&prior.density, at, at + DAY_S);
    }
    arena_close(&l->scratch);
    *out = (struct plan_second){ from, n, p };
    return st;
}

/* Those of a sow like her, or the place for them. */
static struct second_laid *second_laid_as(const struct laying *l, const struct season_sow *sow,
                                          const struct plan_sow *row)
{
    const struct season_run *r = &l->w->run[l->batch[sow - l->s->sows]];
    struct second_key key;

    memset(&key, 0, sizeof key);
    key.born = row->born;
    key.both = row->both;
    key.instead = row->instead;
    key.sow = sow->evidence.n_past > 0 ? sow - l->s->sows : -1;
    key.parity = sow->evidence.parity;
    key.stay = r->out - r->in;
    key.breed_bits = bits_of(sow->evidence.breed_shift_d);
    key.cycling_bits = bits_of(sow->evidence.p_cycling);
    for (size_t at = season_births_hash(&key, sizeof key) & (l->n_laid - 1);; at = (at + 1) & (l->n_laid - 1)) {
        struct second_laid *laid = &l->second[at];
        if (!laid->second)
            laid->key = key;
        if (!laid->second || memcmp(&laid->key, &key, sizeof key) == 0)
            return laid;
    }
}

/* One reckoning for every week of first births: within it the months and the days shift by no more than three days. */
static enum status second_litters(struct laying *l, const struct season_sow *sow, struct plan_sow *row,
                                  struct message *why)
{
    struct second_laid *laid = second_laid_as(l, sow, row);

    row->second = laid->second;
    if (laid->second)
        return ST_OK;
    struct plan_second *second = ARENA_NEW(l->mem, struct plan_second, SEASON_DAYS);
    enum status st = second ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");

    for (size_t d = 0; d < SEASON_DAYS && st == ST_OK; d += 7) {
        if (!may_farrow(row, d, d + 7))
            continue;
        struct plan_second one;
        st = second_of(l, sow, d + 3 < SEASON_DAYS ? d + 3 : d, &one, why);
        for (size_t k = d; k < d + 7 && k < SEASON_DAYS && st == ST_OK; k++)
            second[k] = one;
    }
    row->second = laid->second = second;
    return st;
}

/* ---- boars ---- */

static bool left_out(const struct laying *l, const struct season_sow *sow)
{
    return l->w->no_gilts && sow->evidence.state == BREEDING_GILT;
}

static bool comes(const struct laying *l, size_t i)
{
    const struct season_sow *sow = &l->s->sows[i];

    return !left_out(l, sow) && sow->free_utc_s < season_midnight(l->s, l->w->run[l->batch[i]].out) + DAY_S / 2;
}

static size_t manages(const struct season *s, size_t boar)
{
    return boar < s->ways.n_boars ? s->ways.boar[boar].most : SEASON_GROWN_BOAR_SOWS;
}

/* Each run's sows in turn to the boar who has most room left for his size. */
static void share_out(const struct laying *l, size_t n_boars, struct plan_sow rows[])
{
    const struct season *s = l->s;

    for (size_t r = 0; r < l->w->n_runs; r++) {
        size_t load[PLAN_BOARS] = { 0 };
        for (size_t i = 0; i < s->n_sows; i++) {
            size_t best = 0;
            if (l->batch[i] != r || !comes(l, i))
                continue;
            for (size_t b = 1; b < n_boars; b++) /* (load + 1) / most, without dividing */
                if ((load[b] + 1) * manages(s, best) < (load[best] + 1) * manages(s, b))
                    best = b;
            load[best]++;
            rows[i].boar = best;
        }
        for (size_t i = 0; i < s->n_sows; i++)
            if (l->batch[i] == r && comes(l, i) && load[rows[i].boar] > manages(s, rows[i].boar))
                l->served[i] = (double)manages(s, rows[i].boar) / (double)load[rows[i].boar];
    }
}

static double reserve_manages(const struct laying *l, size_t batch, size_t boar, const struct plan_sow rows[])
{
    size_t n = 0;

    for (size_t i = 0; i < l->s->n_sows; i++)
        n += l->batch[i] == batch && rows[i].boar == boar && comes(l, i);
    return n > SEASON_GROWN_BOAR_SOWS ? (double)SEASON_GROWN_BOAR_SOWS / (double)n : 1.0;
}

static enum status lay_sow(struct laying *l, size_t i, struct plan_sow rows[], struct message *why)
{
    const struct season_sow *sow = &l->s->sows[i];
    const struct season_run *run = &l->w->run[l->batch[i]];
    const int64_t reserve_in = run->in + SEASON_RESERVE_D, reserve_out = reserve_in + run->out - run->in;
    struct stays own = { 0 }, both = { 0 }, instead = { 0 };
    const double *born = NULL, *with = NULL, *alone = NULL;
    enum status st = ST_OK;

    add_stay(&own, run->in, run->out);
    add_stay(&both, run->in, run->out);
    add_stay(&both, reserve_in, reserve_out);
    add_stay(&instead, reserve_in, reserve_out);
    st = days_with_scan(l, sow, &own, l->served[i], &born, why);
    if (st == ST_OK && l->w->reserve)
        st = days_with_scan(l, sow, &both, l->served[i], &with, why);
    if (st == ST_OK && l->w->reserve)
        st = days_with_scan(l, sow, &instead, reserve_manages(l, l->batch[i], rows[i].boar, rows), &alone, why);
    rows[i].born = born;
    rows[i].both = with;
    rows[i].instead = alone;
    rows[i].litter = sow->litter;
    rows[i].litter_sd = sow->litter_sd;
    if (st == ST_OK && l->w->second)
        st = second_litters(l, sow, &rows[i], why);
    return st;
}

enum status season_lay(const struct season *s, const struct season_way *w, struct arena *mem, struct plan *plan,
                       struct message *why)
{
    struct plan_sow *rows = ARENA_NEW(mem, struct plan_sow, s->n_sows + 1);
    struct laying l = { .s = s,
                        .w = w,
                        .mem = mem,
                        .rules = breeding_rules_default(),
                        .batch = ARENA_NEW(mem, size_t, s->n_sows + 1),
                        .served = ARENA_NEW(mem, double, s->n_sows + 1),
                        .n_laid = 16 };
    static const double nothing[SEASON_DAYS];

    while (l.n_laid < 2 * 3 * (s->n_sows + 1)) /* three kinds of stays each, and half of it free */
        l.n_laid *= 2;
    l.laid = ARENA_NEW(mem, struct laid, l.n_laid);
    l.second = w->second ? ARENA_NEW(mem, struct second_laid, l.n_laid) : NULL;
    if (!rows || !l.batch || !l.served || !l.laid || (w->second && !l.second))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    *plan = s->costs;
    plan->huts += w->more_huts;
    plan->n_boars = s->ways.n_boars + w->more_boars < PLAN_BOARS ? s->ways.n_boars + w->more_boars : PLAN_BOARS;
    plan->reserve_fails = w->reserve ? plan->boar_fails : 1.0;
    plan->sows = rows;
    plan->n_sows = s->n_sows;
    l.rules.utc_offset_s = zone_standard_offset_s(s->herd.zone, s->herd.at_utc_s);
    l.rules.southern = s->herd.place.lat_deg < 0.0;
    enum status st = season_batches(s, w, mem, l.batch, why);
    for (size_t i = 0; i < s->n_sows; i++)
        l.served[i] = 1.0;
    if (st == ST_OK)
        share_out(&l, plan->n_boars, rows);
    for (size_t i = 0; i < s->n_sows && st == ST_OK; i++)
        if (left_out(&l, &s->sows[i]))
            rows[i] = (struct plan_sow){ .born = nothing, .litter = s->sows[i].litter, .litter_sd = 1.0 };
        else
            st = lay_sow(&l, i, rows, why);
    return st;
}
