/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tonight: sows that are farrowing now, and litters in their first three days. */
#include <math.h>

#include "core/base/civil.h"
#include "desk/night_inside.h"
#include "desk/shelter_words.h"
#include "desk/tonight_inside.h"
#include "desk/when.h"

/* ---- farrowing now ----------------------------------------------------------------------------------------------- */

enum { LOOK_MIN = 30, RING_MIN = 45, LONG_MIN = 300 };
static const char minutes_source[] =
    "45 minutes without progress, or of straining: act (pork quality assurance procedure, Canada); a look at 30 and "
    "five hours in all: common practice, no source. Your vet's own figures go before these.";

static const char *clock_of(const struct night *n, int64_t utc_s)
{
    const struct civil c = when_local(n->herd->zone, utc_s);
    return arena_print(n->mem, "%02d:%02d", c.hour, c.minute);
}

static const char *farrowing_words(const struct night *n, const struct herd_sow *s, int64_t last, double since_min)
{
    const bool born = s->born_alive >= 0, seen = s->last_birth_utc_s != BREEDING_NONE;
    const char *text = arena_print(n->mem, "%s began at %s", s->name, clock_of(n, s->farrowed_utc_s));

    if (born)
        text = arena_print(n->mem, "%s; %d born alive so far", text, s->born_alive);
    if (s->born_dead > 0)
        text = arena_print(n->mem, "%s, %d dead", text, s->born_dead);
    text = arena_print(n->mem, "%s. %.0f minutes since %s", text, floor(since_min),
                       seen ? "the last that is written down" : "she began");
    if (since_min >= RING_MIN)
        return arena_print(n->mem,
                           "%s: longer than usual. Go to her now and ring the vet, unless she is finished; then write "
                           "down when she was done.",
                           text);
    if (since_min >= LOOK_MIN)
        return arena_print(n->mem, "%s: look at her now. Ring the vet if none has come by %s.", text,
                           clock_of(n, last + RING_MIN * 60));
    return arena_print(n->mem, "%s: that is usual. Look again at %s.", text, clock_of(n, last + LOOK_MIN * 60));
}

enum status tonight_farrowing(const struct night *n, struct answer *a, struct message *why)
{
    struct answer *list = answer_list(a, "farrowing_now");

    for (size_t i = 0; i < n->herd->n_sows; i++) {
        const struct herd_sow *s = &n->herd->sows[i];
        if (!s->farrowing)
            continue;
        const int64_t last = s->last_birth_utc_s > s->farrowed_utc_s ? s->last_birth_utc_s : s->farrowed_utc_s;
        const double since_min = (double)(n->herd->at_utc_s - last) / 60.0;
        struct answer *row = answer_item(list);
        answer_text(row, "sow", s->name);
        answer_text(row, "uid", s->uid);
        answer_moment(row, "started", s->farrowed_utc_s);
        if (s->born_alive >= 0)
            answer_whole(row, "born_so_far", s->born_alive);
        if (s->born_dead >= 0)
            answer_whole(row, "born_dead", s->born_dead);
        if (s->last_birth_utc_s != BREEDING_NONE)
            answer_moment(row, "last_birth", s->last_birth_utc_s);
        if (s->strained_utc_s != BREEDING_NONE)
            answer_moment(row, "strained", s->strained_utc_s);
        answer_text(row, "place", s->nests_at == HERD_NONE ? NULL : n->herd->sites[s->nests_at].name);
        answer_real(row, "since_min", since_min);
        answer_moment(row, "look_at", last + LOOK_MIN * 60);
        answer_moment(row, "ring_vet_at", last + RING_MIN * 60);
        answer_moment(row, "long_at", s->farrowed_utc_s + LONG_MIN * 60);
        answer_text(row, "says", farrowing_words(n, s, last, since_min));
        answer_text(row, "source", minutes_source);
    }
    return arena_full(n->mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : ST_OK;
}

/* ---- young litters ----------------------------------------------------------------------------------------------- */

/* From when the skin is dry to the end of the third day and the night after it; a piglet of so much; docs/reckoning/
 * tonight.md. */
static const double first_h = 2.0, last_h = 84.0, piglet_kg = 1.2, young_d = 3.0, little = 0.2;

struct spare { /* of one litter in one state of its place; n_hours each */
    double *margin, *cold, *danger;
    double sum; /* of danger and a fifth of cold, to compare */
};

static enum status spare_of(const struct night *n, const struct herd_sow *s, const struct shelter *is, bool laid,
                            struct nest nests[], struct spare *out, struct message *why)
{
    const struct coming *c = n->coming;
    const size_t run = c->n_before + c->n_hours, begin = laid ? c->n_before : 0, members = n->watch.n_members;
    struct nest_inside in = n->inside;

    in.piglets = herd_living(s) > 0 ? herd_living(s) : in.piglets;
    in.sow_kg = isfinite(s->mass_kg) ? s->mass_kg : in.sow_kg;
    *out = (struct spare){ ARENA_NEW(n->mem, double, n->n_hours), ARENA_NEW(n->mem, double, n->n_hours),
                           ARENA_NEW(n->mem, double, n->n_hours), 0.0 };
    if (!out->margin || !out->cold || !out->danger)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t h = 0; h < n->n_hours; h++)
        out->margin[h] = out->cold[h] = out->danger[h] = NAN;
    for (size_t m = 0; m < members; m++) {
        struct nest_bed bed = { 0.0, 0.0 };
        const enum status st = nest_hours(NULL, is, NULL, &in, run - begin, c->member + m * run + begin, c->sun + begin,
                                          NULL, &bed, nests + begin, why);
        if (st != ST_OK)
            return st;
        for (size_t h = 0; h < n->n_hours; h++) {
            const double age_h =
                (double)(c->line[c->n_before + h].utc_s + HOUR_S / 2 - s->farrowed_utc_s) / (double)HOUR_S;
            if (age_h < first_h || age_h > last_h)
                continue;
            const double left =
                piglet_margin(NULL, piglet_kg, fmax(1.0, in.piglets - 1.0), age_h, true, &nests[c->n_before + h].air);
            if (m == 0) {
                out->margin[h] = left;
                out->cold[h] = out->danger[h] = 0.0;
            }
            *(left < 0.0 ? &out->danger[h] : &out->cold[h]) += left < little ? 1.0 / (double)members : 0.0;
            out->sum += left < 0.0 ? 1.0 : left < little ? 0.2 : 0.0;
        }
    }
    return ST_OK;
}

static struct shelter where_they_lie(const struct night *n, const struct herd_sow *s)
{
    struct shelter is = shelter_default(SHELTER_OPEN);

    if (s->nests_at != HERD_NONE)
        return n->herd->sites[s->nests_at].is;
    is.straw_m = night_work.found_bed_m;
    return is;
}

/* What may be done to a place with a litter in it: straw and flap, never a turn. */
static const char *better(const struct night *n, const struct herd_sow *s, struct shelter *is)
{
    const struct herd_site *site = s->nests_at == HERD_NONE ? NULL : &n->herd->sites[s->nests_at];
    const char *name = site ? site->name : "where she lies";
    const bool flap = site && is->kind == SHELTER_HUT && site->flap_possible && !is->hut.flap && n->watch.limits.flaps;
    double kg = 0.0;
    const bool straw = night_bedded(n, is, 0.5, &kg);

    if (flap)
        is->hut.flap = true;
    if (straw && flap)
        return arena_print(n->mem, "Hang the flap on %s and put in half a bale of dry straw.", name);
    if (straw)
        return arena_print(n->mem, "Put half a bale of dry straw to them in %s.", name);
    return flap ? arena_print(n->mem, "Hang the flap on %s.", name) : NULL;
}

static const char *litter_words(const struct night *n, const struct herd_sow *s, const struct spare *now, size_t worst)
{
    const int days = (int)((n->herd->at_utc_s - s->farrowed_utc_s) / DAY_S);
    const char *who = s->born_alive < 0 ? arena_print(n->mem, "%s's litter, not counted yet", s->name)
                                        : arena_print(n->mem, "%s's %d", s->name, herd_living(s));
    const char *age = days < 1    ? "born in the last day"
                      : days == 1 ? "a day old"
                                  : arena_print(n->mem, "%d days old", days);

    if (worst == n->n_hours)
        return arena_print(n->mem, "%s, %s: see that all suck and the bed is dry.", who, age);
    const char *at = clock_of(n, n->coming->line[n->coming->n_before + worst].utc_s);
    if (now->danger[worst] >= 0.5)
        return arena_print(n->mem,
                           "%s, %s: about %s they cannot keep warm as it stands. Piling, noses down, cold ears: "
                           "act.",
                           who, age, at);
    if (now->danger[worst] + now->cold[worst] >= 0.5)
        return arena_print(n->mem, "%s, %s: about %s they have little heat to spare. Look at them then.", who, age, at);
    return arena_print(n->mem, "%s, %s: warm enough as it stands; see that all suck and the bed is dry.", who, age);
}

static enum status one_litter(const struct night *n, const struct herd_sow *s, struct nest nests[], struct answer *row,
                              struct message *why)
{
    const struct shelter is = where_they_lie(n, s);
    struct shelter then = is;
    struct spare now, after;
    const char *change = better(n, s, &then);
    size_t worst = n->n_hours;

    enum status st = spare_of(n, s, &is, false, nests, &now, why);
    if (st == ST_OK && now.sum > 0.0 && change)
        st = spare_of(n, s, &then, true, nests, &after, why);
    else
        after = now;
    if (st != ST_OK)
        return st;
    for (size_t h = 0; h < n->n_hours; h++)
        if (isfinite(now.margin[h]) && (worst == n->n_hours || now.margin[h] < now.margin[worst]))
            worst = h;
    answer_text(row, "sow", s->name);
    answer_text(row, "uid", s->uid);
    if (s->born_alive >= 0)
        answer_whole(row, "living", herd_living(s));
    answer_real(row, "age_d", (double)(n->herd->at_utc_s - s->farrowed_utc_s) / (double)DAY_S);
    answer_text(row, "place", s->nests_at == HERD_NONE ? NULL : n->herd->sites[s->nests_at].name);
    answer_text(row, "stands", shelter_words(&n->herd->place, &is, n->mem));
    answer_text(row, "do", change && after.sum < now.sum - 1e-9 ? change : "Nothing to put to them.");
    answer_text(row, "says", litter_words(n, s, &now, worst));
    if (worst < n->n_hours)
        answer_moment(row, "worst_at", tonight_moment(n, (double)worst));
    struct answer *h = answer_object(row, "hours");
    answer_reals(h, "margin_now", now.margin, n->n_hours, 2);
    answer_reals(h, "margin_after", after.margin, n->n_hours, 2);
    answer_reals(h, "cold_now", now.cold, n->n_hours, 2);
    answer_reals(h, "danger_now", now.danger, n->n_hours, 2);
    answer_reals(h, "cold_after", after.cold, n->n_hours, 2);
    answer_reals(h, "danger_after", after.danger, n->n_hours, 2);
    return ST_OK;
}

enum status tonight_litters(const struct night *n, struct answer *a, struct message *why)
{
    struct answer *list = answer_list(a, "young_litters");
    struct nest *nests = ARENA_NEW(n->mem, struct nest, n->coming->n_before + n->coming->n_hours);
    enum status st = nests ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");

    for (size_t i = 0; i < n->herd->n_sows && st == ST_OK; i++) {
        const struct herd_sow *s = &n->herd->sows[i];
        if (s->state == HERD_SUCKLING && herd_living(s) != 0 && !s->farrowing &&
            (double)(n->herd->at_utc_s - s->farrowed_utc_s) / (double)DAY_S < young_d)
            st = one_litter(n, s, nests, answer_item(list), why);
    }
    return st;
}
