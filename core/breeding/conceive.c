/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * When she may have conceived, and from whom: a list of moments with masses, and the mass that she did not.
 */
#include "core/breeding/inside.h"

enum status breeding_add_point(struct conception *c, int64_t at_utc_s, double mass, int boar, bool bin,
                               struct message *why)
{
    if (c->n == c->room)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    c->points[c->n++] = (struct breeding_point){ at_utc_s, mass, boar, bin };
    return ST_OK;
}

static bool is_summer(const struct breeding_rules *r, int64_t utc_s)
{
    const int month = civil_from_seconds(utc_s + r->utc_offset_s).month;

    return r->southern ? month >= 1 && month <= 3 : month >= 7 && month <= 9;
}

double breeding_takes(const struct breeding_rules *r, const struct breeding_evidence *e, int64_t at_utc_s, bool repeat,
                      struct breeding_notes *notes)
{
    double p = r->value[BR_CONCEPTION];

    if (repeat && !isnan(r->value[BR_REPEAT_CONCEPTION]))
        return r->value[BR_REPEAT_CONCEPTION];
    if (isnan(p)) {
        if (e->parity == 0 || e->state == BREEDING_GILT)
            p = breeding_use(r, BR_CONCEPTION_GILT, notes);
        else if (e->parity == 1)
            p = breeding_use(r, BR_CONCEPTION_FIRST, notes);
        else
            p = breeding_use(r, BR_CONCEPTION_SOW, notes);
        if (e->parity < 0 && e->state != BREEDING_GILT)
            notes->assumed |= 1U << BA_PARITY;
        if (is_summer(r, at_utc_s))
            p *= breeding_use(r, BR_SUMMER_FACTOR, notes);
    }
    return repeat ? p * breeding_use(r, BR_REPEAT_FACTOR, notes) : p;
}

/* Weight of a service in its heat: as recorded, or by nearness to the best hour after first standing. The nearest gets
 * most, none gets nothing: half a day off costs a third (judgement). */
static double service_weight(const struct breeding_rules *r, const struct breeding_evidence *e, const struct heat *heat,
                             const struct breeding_service *s, bool any_given, struct breeding_notes *notes)
{
    const int64_t standing = e->standing_utc_s;

    if (any_given)
        return isnan(s->weight) || s->weight <= 0.0 ? 1.0 : s->weight;
    if (standing != BREEDING_NONE && standing <= heat->to_utc_s && standing > heat->from_utc_s - 4 * DAY_S) {
        const double off_h = (double)(s->at_utc_s - standing) / 3600.0 - breeding_use(r, BR_STANDING_TO_EGG_H, notes);
        return 0.1 + exp(-0.5 * (off_h / 12.0) * (off_h / 12.0));
    }
    if (heat->n_services > 1)
        notes->assumed |= 1U << BA_EVEN_SERVICES;
    return 1.0;
}

/* A recorded date may be wrong by one to three days, either way, each as likely. */
static enum status add_service(struct conception *c, const struct breeding_service *s, double mass, double wrong,
                               struct message *why)
{
    enum status st = breeding_add_point(c, s->at_utc_s, mass * (1.0 - wrong), s->boar, false, why);

    for (int d = -3; d <= 3 && st == ST_OK; d++)
        if (d && wrong > 0.0)
            st = breeding_add_point(c, s->at_utc_s + d * DAY_S, mass * wrong / 6.0, s->boar, false, why);
    return st;
}

static enum status serve(const struct breeding_rules *r, const struct breeding_evidence *e, const struct heat *heat,
                         const struct heat_sight sights[], struct conception *c, struct breeding_notes *notes,
                         struct message *why)
{
    const double wrong = breeding_use(r, BR_WRONG_DATE, notes);
    bool any_given = false;
    double sum = 0.0;
    enum status st = ST_OK;

    for (size_t i = heat->first; i < heat->first + heat->n; i++)
        any_given = any_given || (sights[i].service && sights[i].service->weight > 0.0);
    for (size_t i = heat->first; i < heat->first + heat->n; i++)
        if (sights[i].service)
            sum += service_weight(r, e, heat, sights[i].service, any_given, notes);
    const double taken = c->fresh * breeding_takes(r, e, heat->mid_utc_s, false, notes) +
                         (c->failed > 0.0 ? c->failed * breeding_takes(r, e, heat->mid_utc_s, true, notes) : 0.0);
    for (size_t i = heat->first; i < heat->first + heat->n && st == ST_OK; i++) {
        const struct breeding_service *s = sights[i].service;
        if (!s)
            continue;
        if (s->day_only)
            notes->assumed |= 1U << BA_NOON;
        st = add_service(c, s, taken * service_weight(r, e, heat, s, any_given, notes) / sum, wrong, why);
    }
    c->failed += c->fresh - taken;
    c->fresh = 0.0;
    return st;
}

/* A heat seen, no service seen, while a boar was with her: served, by whoever was there. */
static enum status serve_unseen(const struct breeding_rules *r, const struct breeding_evidence *e,
                                const struct heat *heat, struct conception *c, struct breeding_notes *notes,
                                struct message *why)
{
    size_t there = 0;
    enum status st = ST_OK;

    for (size_t i = 0; i < e->n_runs; i++)
        there += heat->mid_utc_s >= e->runs[i].from_utc_s && heat->mid_utc_s <= breeding_run_end(e, &e->runs[i]);
    if (!there)
        return ST_OK;
    notes->assumed |= 1U << BA_HEAT_SERVED;
    const double taken = c->fresh * breeding_takes(r, e, heat->mid_utc_s, false, notes) +
                         (c->failed > 0.0 ? c->failed * breeding_takes(r, e, heat->mid_utc_s, true, notes) : 0.0);
    for (size_t i = 0; i < e->n_runs && st == ST_OK; i++)
        if (heat->mid_utc_s >= e->runs[i].from_utc_s && heat->mid_utc_s <= breeding_run_end(e, &e->runs[i]))
            st = breeding_add_point(c, heat->mid_utc_s, taken / (double)there, e->runs[i].boar, false, why);
    c->failed += c->fresh - taken;
    c->fresh = 0.0;
    return st;
}

/* Seen in heat (again): pregnant sows hardly ever stand, and a return is not always seen. */
static void seen_in_heat(const struct breeding_rules *r, struct conception *c, struct breeding_notes *notes)
{
    const double stands = breeding_use(r, BR_HEAT_WHILE_PREGNANT, notes), seen = breeding_use(r, BR_RETURN_SEEN, notes);

    for (size_t i = 0; i < c->n; i++)
        c->points[i].mass *= stands;
    c->fresh *= seen;
    c->failed *= seen;
    c->silent = 0.0; /* she does come in heat */
    c->by_evidence = true;
}

static void note_chance(struct conception *c, int64_t from, int64_t to)
{
    if (c->first_utc_s == BREEDING_NONE || from < c->first_utc_s)
        c->first_utc_s = from;
    if (c->last_utc_s == BREEDING_NONE || to > c->last_utc_s)
        c->last_utc_s = to;
}

/* First and last moment of any run, and of anything a run's first heat is counted from. */
static void span_of_runs(const struct breeding_evidence *e, const struct heat heats[], size_t n_heats, int64_t *origin,
                         int64_t *boar_in, int64_t *boar_out)
{
    *boar_in = INT64_MAX;
    *boar_out = INT64_MIN;
    for (size_t i = 0; i < e->n_runs; i++) {
        const int64_t end = breeding_run_end(e, &e->runs[i]);
        *boar_in = e->runs[i].from_utc_s < *boar_in ? e->runs[i].from_utc_s : *boar_in;
        *boar_out = end > *boar_out ? end : *boar_out;
    }
    *origin = *boar_in;
    if (n_heats && heats[0].from_utc_s < *origin)
        *origin = heats[0].from_utc_s;
    else if ((e->state == BREEDING_WEANED || e->state == BREEDING_SUCKLING) && e->weaned_utc_s != BREEDING_NONE &&
             e->weaned_utc_s < *origin)
        *origin = e->weaned_utc_s;
    *origin = (*origin >= 0 ? *origin : *origin - (BREEDING_STEP_S - 1)) / BREEDING_STEP_S * BREEDING_STEP_S;
}

enum status breeding_conceive(const struct breeding_rules *r, const struct breeding_evidence *e,
                              const struct breeding_normal *normal, struct arena *scratch, struct arena *mem,
                              struct conception *c, struct breeding_notes *notes, struct message *why)
{
    struct heat_sight *sights;
    struct heat *heats;
    struct herding herd = { 0 };
    size_t n_heats;
    bool odd = false;
    int64_t origin = 0, boar_in = INT64_MAX, boar_out = INT64_MIN;
    enum status st = breeding_heats(e, scratch, &sights, &heats, &n_heats, &odd, why);

    *c = (struct conception){ .fresh = 1.0, .first_utc_s = BREEDING_NONE, .last_utc_s = BREEDING_NONE };
    if (st == ST_OK && e->n_runs) {
        span_of_runs(e, heats, n_heats, &origin, &boar_in, &boar_out);
        st = breeding_herding(r, e, normal, origin, boar_out, scratch, &herd, notes, why);
    }
    if (st != ST_OK)
        return st;
    if (odd)
        notes->cautions |= 1U << BC_ODD_GAP;
    c->room = 7 * e->n_services + (e->n_heats + 1) * (e->n_runs + 1) + 2 * e->n_runs;
    for (size_t i = 0; i < e->n_runs; i++) {
        c->room += (size_t)((breeding_run_end(e, &e->runs[i]) - e->runs[i].from_utc_s) / BREEDING_BIN_S) + 1;
        note_chance(c, e->runs[i].from_utc_s, breeding_run_end(e, &e->runs[i]));
        if (e->runs[i].to_utc_s == BREEDING_NONE)
            notes->assumed |= 1U << BA_RUN_GOES_ON;
    }
    c->points = ARENA_NEW(mem, struct breeding_point, c->room);
    if (!c->points)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");

    if (e->n_runs && (!n_heats || heats[0].from_utc_s - 4 * DAY_S > boar_in)) {
        c->silent = breeding_first_heat(r, e, normal, &herd, boar_in, notes);
        c->fresh -= c->silent;
        st = breeding_follow(&herd, e, n_heats ? heats[0].from_utc_s - 4 * DAY_S : boar_out, c, &c->fresh, &c->failed,
                             notes, why);
    }
    for (size_t k = 0; k < n_heats && st == ST_OK; k++) {
        if (c->n)
            seen_in_heat(r, c, notes);
        else { /* nothing to set it against: she cycles, that is all */
            c->fresh += c->silent;
            c->silent = 0.0;
        }
        if (heats[k].n_services) {
            st = serve(r, e, &heats[k], sights, c, notes, why);
            note_chance(c, heats[k].from_utc_s, heats[k].to_utc_s);
        } else {
            st = serve_unseen(r, e, &heats[k], c, notes, why);
        }
        if (st == ST_OK && e->n_runs && boar_out > heats[k].mid_utc_s) {
            breeding_next_heat(&herd, heats[k].mid_utc_s, c->fresh, c->failed);
            st = breeding_follow(&herd, e, k + 1 < n_heats ? heats[k + 1].from_utc_s - 4 * DAY_S : boar_out, c,
                                 &c->fresh, &c->failed, notes, why);
        }
    }
    if (st == ST_OK)
        breeding_findings(r, e, heats, n_heats, c, notes);
    return st;
}
