/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * keep: the records of each female, litter by litter and service by service, and the herd's means of them. Sows that
 * have left count in the means: else only those that were kept would. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/herd_inside.h"
#include "desk/staying_inside.h"

/* Services so near are one try; a heat from so late on says that a try failed (returns at 18 to 24 and 39 to 45 days);
 * between weaning and service no boar is the likelier cause of a longer wait; a womb that has just farrowed takes its
 * time, so the wait after a litter lost sooner says nothing of her (judgement). */
enum { SUCKLED_LEAST_D = 14 };
enum { ONE_TRY_D = 14, RETURN_FROM_D = 15, RETURN_TO_D = 70, SCAN_FROM_D = 18, BACK_MOST_D = 60 };
enum { BORN_FROM_D = 105, BORN_TO_D = 125, EARLY_D = 109, DEAD_ODD = 2 };

struct kept { /* facts of one kind, by animal and then by time */
    const char *who;
    struct rows rows;
};
struct past {
    struct staying *s;
    struct kept farrowing, weaning, service, returns, scan, loss;
};
struct litter_end {
    int64_t dry_utc_s;
    int weaned; /* -1 not counted */
};
struct sums {
    size_t n[STAYING_END];
    double sum[STAYING_END];
};

struct by {
    const char *uid;
    int64_t when;
    const struct fact *fact;
};

static int by_animal(const void *a, const void *b)
{
    const struct by *x = a, *y = b;
    const int who = strcmp(x->uid, y->uid);
    if (who)
        return who;
    if (x->when != y->when)
        return x->when < y->when ? -1 : 1;
    return (x->fact->number > y->fact->number) - (x->fact->number < y->fact->number);
}

static enum status read_kept(struct staying *s, const char *kind, struct kept *k, struct message *why)
{
    struct fact *all = NULL;
    size_t n = 0;

    k->rows.kind = fact_kind_find(kind);
    const enum status st = farm_facts(s->q->farm, k->rows.kind, s->herd.known_to, s->q->mem, &all, &n, why);
    struct by *order = st == ST_OK ? ARENA_NEW(s->q->mem, struct by, n + 1) : NULL;
    k->rows.fact = st == ST_OK ? ARENA_NEW(s->q->mem, struct fact, n + 1) : NULL;
    if (!order || !k->rows.fact)
        return st != ST_OK ? st : refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n; i++)
        if (row_text(&all[i], k->who) && row_when(&all[i], k->rows.kind->when) <= s->herd.at_utc_s)
            order[k->rows.n++] =
                (struct by){ row_text(&all[i], k->who), row_when(&all[i], k->rows.kind->when), &all[i] };
    qsort(order, k->rows.n, sizeof *order, by_animal);
    for (size_t i = 0; i < k->rows.n; i++)
        k->rows.fact[i] = *order[i].fact;
    return ST_OK;
}

/* Those of one animal. */
static struct rows of(const struct kept *k, const char *uid)
{
    size_t low = 0, high = k->rows.n;

    while (low < high) {
        const size_t mid = low + (high - low) / 2;
        if (strcmp(row_text(&k->rows.fact[mid], k->who), uid) < 0)
            low = mid + 1;
        else
            high = mid;
    }
    struct rows r = { k->rows.kind, k->rows.fact + low, 0 };
    while (low + r.n < k->rows.n && row_is(&r.fact[r.n], k->who, uid))
        r.n++;
    return r;
}

static double days(int64_t from, int64_t to)
{
    return (double)(to - from) / (double)DAY_S;
}

static void add(struct sums *sums, enum staying_reason r, double x)
{
    sums->n[r]++;
    sums->sum[r] += x;
}

/* ---- litters ---- */

static const struct fact *first_between(const struct rows *r, const char *field, int64_t from, int64_t to)
{
    for (size_t i = 0; i < r->n; i++)
        if (row_when(&r->fact[i], field) >= from && row_when(&r->fact[i], field) < to)
            return &r->fact[i];
    return NULL;
}

static bool trouble(const struct fact *f, const struct rows *service, const char *uid, struct staying_female *w)
{
    const bool helped = row_flag(f, "helped"), dead = fact_whole(f->kind, f->value, "still", 0) >= DEAD_ODD;
    const bool early = herd_length_d(service, uid, row_when(f, "start")) < EARLY_D;

    if (w) {
        w->farrowings++;
        w->helped += helped;
        w->dead += dead;
        w->early += early;
    }
    return helped || dead || early;
}

static void tell_born(struct staying_female *w, int alive)
{
    if (!w)
        return;
    memmove(w->told + 1, w->told, (STAYING_TOLD - 1) * sizeof w->told[0]);
    w->told[0] = alive;
    w->n_told += w->n_told < STAYING_TOLD;
    w->born_sum += alive;
}

/* Dry after a litter: how many went from it, and since when. False: nothing says so. */
static bool dry_after(const struct past *p, const struct fact *farrowing, const struct rows *weaning, int64_t next,
                      struct litter_end *end)
{
    const int64_t start = row_when(farrowing, "start");
    const char *sow = row_text(farrowing, "sow");
    const struct fact *weaned = first_between(weaning, "at", start, next);
    const int born = (int)fact_whole(farrowing->kind, farrowing->value, "born_alive", -1);
    const struct rows lost = of(&p->loss, sow);
    const int64_t last = herd_all_lost(&lost, sow, start, next, born);

    *end = (struct litter_end){ .dry_utc_s = weaned ? row_when(weaned, "at") : last, .weaned = -1 };
    if (weaned && !herd_none_weaned(weaned)) {
        end->weaned = (int)fact_whole(weaned->kind, weaned->value, "weaned", -1);
        return true;
    }
    if (weaned || last != INT64_MIN)
        end->weaned = 0;
    if (last != INT64_MIN && last < end->dry_utc_s)
        end->dry_utc_s = last;
    return end->weaned == 0;
}

static void litters(const struct past *p, const struct fact *animal, struct staying_female *w, struct sums *sums)
{
    const struct rows farrowing = of(&p->farrowing, animal->uid), weaning = of(&p->weaning, animal->uid),
                      service = of(&p->service, animal->uid);
    const int before = (int)fact_whole(animal->kind, animal->value, "litters_before", 0);

    for (size_t i = 0; i < farrowing.n; i++) {
        const struct fact *f = &farrowing.fact[i];
        const int64_t start = row_when(f, "start");
        const int64_t next = i + 1 < farrowing.n ? row_when(&farrowing.fact[i + 1], "start") : INT64_MAX;
        struct litter_end end;
        if (fact_given(f->kind, f->value, "born_alive")) {
            const int alive = (int)fact_whole(f->kind, f->value, "born_alive", 0);
            add(sums, STAYING_BORN, alive - staying_litter_shift(before + (int)i + 1));
            tell_born(w, alive);
        }
        add(sums, STAYING_TROUBLE, trouble(f, &service, animal->uid, w));
        if (!dry_after(p, f, &weaning, next, &end))
            continue;
        if (end.weaned >= 0)
            add(sums, STAYING_WEANED, end.weaned);
        const struct fact *back =
            first_between(&service, "at", end.dry_utc_s, next < INT64_MAX ? next : p->s->herd.at_utc_s + 1);
        if (back && days(end.dry_utc_s, row_when(back, "at")) <= BACK_MOST_D &&
            (end.weaned != 0 || days(start, end.dry_utc_s) >= SUCKLED_LEAST_D))
            add(sums, STAYING_BACK, days(end.dry_utc_s, row_when(back, "at")));
    }
}

/* Litters before those recorded here: their mean, made alike by what litters of those numbers are short of on average.
 */
static void litters_before(const struct fact *animal, struct staying_female *w, struct sums *sums)
{
    const int before = (int)fact_whole(animal->kind, animal->value, "litters_before", 0);
    const double mean = row_real(animal, "mean_litter_before");
    double short_of = 0.0;

    if (before <= 0 || !isfinite(mean))
        return;
    for (int k = 1; k <= before; k++)
        short_of += staying_litter_shift(k);
    sums->n[STAYING_BORN] += (size_t)before;
    sums->sum[STAYING_BORN] += before * mean - short_of;
    if (w) {
        w->before = (size_t)before;
        w->mean_before = mean;
        w->born_sum += before * mean;
    }
}

/* ---- services ---- */

static bool came_back(const struct rows *returns, const struct rows *scan, int64_t at, int64_t next)
{
    for (size_t i = 0; i < returns->n; i++) {
        const int64_t when = row_when(&returns->fact[i], "at");
        if (row_is(&returns->fact[i], "seen", "heat") && when < next && days(at, when) >= RETURN_FROM_D &&
            days(at, when) <= RETURN_TO_D)
            return true;
    }
    for (size_t i = 0; i < scan->n; i++) {
        const int64_t when = row_when(&scan->fact[i], "at");
        if (row_is(&scan->fact[i], "result", "negative") && when < next && days(at, when) >= SCAN_FROM_D &&
            days(at, when) <= BORN_TO_D)
            return true;
    }
    return false;
}

/* Each try: taken when a litter came of it, failed when she came back, was found empty or was served again; else it is
 * open and counts for nothing. */
static void tries(const struct past *p, const struct fact *animal, struct staying_female *w, struct sums *sums)
{
    const struct rows service = of(&p->service, animal->uid), farrowing = of(&p->farrowing, animal->uid),
                      returns = of(&p->returns, animal->uid), scan = of(&p->scan, animal->uid);

    for (size_t i = 0; i < service.n; i++) {
        const int64_t at = row_when(&service.fact[i], "at");
        const int64_t next = i + 1 < service.n ? row_when(&service.fact[i + 1], "at") : INT64_MAX;
        if (next != INT64_MAX && days(at, next) <= ONE_TRY_D)
            continue; /* the same heat, or one that nobody can tell from it */
        const struct fact *litter = first_between(&farrowing, "start", at, INT64_MAX);
        const double length = litter ? days(at, row_when(litter, "start")) : (double)INFINITY;
        const bool took = length >= BORN_FROM_D && length <= BORN_TO_D,
                   failed = !took && (came_back(&returns, &scan, at, next) ||
                                      (next != INT64_MAX && !(litter && row_when(litter, "start") < next)));
        if (!took && !failed)
            continue;
        add(sums, STAYING_RETURNS, failed);
        if (w) {
            w->tries++;
            w->failed += failed;
        }
    }
}

/* ---- all of them ---- */

static void one(struct past *p, const struct fact *animal, struct sums *herd)
{
    struct staying_female *w = NULL;
    struct sums own = { .n = { 0 } };

    for (size_t i = 0; i < p->s->n && !w; i++)
        if (strcmp(p->s->female[i].sow->uid, animal->uid) == 0)
            w = &p->s->female[i];
    litters_before(animal, w, &own);
    litters(p, animal, w, &own);
    tries(p, animal, w, &own);
    for (int r = STAYING_FIRST_RECORD; r < STAYING_END; r++) {
        herd->n[r] += own.n[r];
        herd->sum[r] += own.sum[r];
        if (w) {
            w->is.n[r] = own.n[r];
            w->is.seen[r] = own.n[r] ? own.sum[r] / (double)own.n[r] : (double)NAN;
        }
    }
}

static bool of_the_farm(const struct fact *animal)
{
    return (row_is(animal, "is", "sow") || row_is(animal, "is", "gilt")) && !row_is(animal, "kept", "elsewhere");
}

enum status staying_past(struct staying *s, struct message *why)
{
    struct past p = { .s = s,
                      .farrowing = { .who = "sow" },
                      .weaning = { .who = "sow" },
                      .service = { .who = "sow" },
                      .returns = { .who = "sow" },
                      .scan = { .who = "sow" },
                      .loss = { .who = "sow" } };
    const struct {
        const char *kind;
        struct kept *kept;
    } all[] = { { "farrowing", &p.farrowing }, { "weaning", &p.weaning }, { "service", &p.service },
                { "return", &p.returns },      { "scan", &p.scan },       { "loss", &p.loss } };
    struct fact *animals = NULL;
    size_t n = 0;
    struct sums herd = { .n = { 0 } };
    enum status st = farm_facts(s->q->farm, fact_kind_find("animal"), s->herd.known_to, s->q->mem, &animals, &n, why);

    for (size_t i = 0; i < COUNT(all) && st == ST_OK; i++)
        st = read_kept(s, all[i].kind, all[i].kept, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < n; i++)
        if (of_the_farm(&animals[i]))
            one(&p, &animals[i], &herd);
    for (int r = STAYING_FIRST_RECORD; r < STAYING_END; r++)
        s->of[r] = (struct staying_mean){ herd.n[r] ? herd.sum[r] / (double)herd.n[r] : (double)NAN, herd.n[r] };
    return ST_OK;
}
