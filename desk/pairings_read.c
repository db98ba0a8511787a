/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * pairings: whom, with whom, how many, what is decided already and what cannot be. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/units.h"
#include "desk/pairings_inside.h"
#include "desk/when.h"

/* Ages and numbers: common practice, no source. A young boar is spared; a gilt is served at eight months or later. */
enum { LEAST_BOAR_D = 240, LEAST_GILT_D = 240 };
/* When a sow that is in pig or suckling can be served again: weaned at seven weeks, in heat within the week after. A
 * season is six weeks long: two heats. */
enum { SERVED_AGAIN_D = 49 + 5, SEASON_D = 42, SETTLED_D = 60 };

const char *pairing_name(const struct pairings *p, bool boar, size_t i)
{
    return p->kin.animals[boar ? p->table.boars[i] : p->table.sows[i]].name;
}

double pairing_f(const struct pairings *p, size_t sow, size_t boar)
{
    return p->table.f[sow * p->table.n_boars + boar];
}

size_t pairing_count(const struct pairings *p, const uint32_t plan[], uint32_t boar)
{
    size_t n = 0;
    for (size_t s = 0; s < p->table.n_sows; s++)
        n += plan[s] == boar;
    return n;
}

static void note(struct pairings *p, const char *says)
{
    p->notes[p->n_notes++] = says;
}

/* ---- boars ---- */

/* "Rook:4:1" -> the name's length, most and least (-1: not said). */
static enum status boar_typed(const char *text, size_t *length, int64_t *most, int64_t *least, struct message *why)
{
    const char *colon = strchr(text, ':');
    char number[24];
    int64_t *to[2] = { most, least };

    *most = *least = -1;
    *length = colon ? (size_t)(colon - text) : strlen(text);
    for (int k = 0; colon && k < 2; k++) {
        const size_t n = strcspn(colon + 1, ":");
        if (n == 0 || n >= sizeof number)
            return refuse(ST_BAD_INPUT, why, "boar", "--boar: \"%.40s\": write Rook, Rook:4 or Rook:4:1", text);
        memcpy(number, colon + 1, n);
        number[n] = '\0';
        if (!read_whole(number, to[k]) || *to[k] < 0 || *to[k] > 10000)
            return refuse(ST_BAD_INPUT, why, "boar", "--boar: \"%.40s\": sows are a whole number from 0 to 10000",
                          text);
        colon = colon[1 + n] == ':' ? colon + 1 + n : NULL;
        if (k == 1 && colon)
            return refuse(ST_BAD_INPUT, why, "boar", "--boar: \"%.40s\": write Rook, Rook:4 or Rook:4:1", text);
    }
    if (*most >= 0 && *least > *most)
        return refuse(ST_BAD_INPUT, why, "boar", "--boar: \"%.40s\": at least %d, but at most %d", text, (int)*least,
                      (int)*most);
    return ST_OK;
}

/* How many he may have when nobody says: as recorded; fewer when young. Called once the sows are known. */
static void boar_usual(const struct pairings *p, const struct kin_animal *a, int64_t most, int64_t least,
                       struct pairing_boar *b)
{
    const bool young = herd_boar_young(a->born_days, p->from);
    const uint32_t all = (uint32_t)p->table.n_sows;

    b->least = least > 0 ? (uint32_t)least : 0;
    if (most >= 0 || a->sows_most >= 0) {
        b->most = (uint32_t)(most >= 0 ? most : a->sows_most);
        b->says = arena_print(p->q->mem, "at most %u sow%s%s", b->most, b->most == 1 ? "" : "s",
                              b->least ? arena_print(p->q->mem, ", at least %u", b->least) : "");
    } else if (young) {
        b->most = all < HERD_YOUNG_BOAR_SOWS ? all : HERD_YOUNG_BOAR_SOWS;
        b->says = arena_print(p->q->mem, "young: at most %u sows", b->most);
        answer_words(p->said,
                     arena_print(p->q->mem, "%s is young: at most %d sows (common practice; record it: sows-most)",
                                 a->name, HERD_YOUNG_BOAR_SOWS));
    } else {
        b->most = all;
        b->says = "as many as there are";
        answer_words(
            p->said,
            arena_print(p->q->mem, "%s may have any number of sows: record what he may have (sows-most)", a->name));
    }
    if (b->least > b->most)
        b->most = b->least;
}

static enum status boars_typed(struct pairings *p, int64_t most[], int64_t least[], struct message *why)
{
    const struct given *g = &p->q->given[PAIR_BOAR];
    struct kin_table *t = &p->table;

    for (size_t i = 0; i < g->n; i++) {
        size_t length = 0;
        enum status st = boar_typed(g->text[i], &length, &most[i], &least[i], why);
        const char *name = st == ST_OK ? arena_bytes(p->q->mem, g->text[i], length) : NULL;
        if (st == ST_OK && !name)
            return refuse(ST_NO_MEMORY, why, "", "out of memory");
        if (st == ST_OK)
            st = kin_find(&p->kin, "boar", name, KIN_MALE, &t->boars[i], why);
        for (size_t k = 0; st == ST_OK && k < i; k++)
            if (t->boars[k] == t->boars[i])
                return refuse(ST_BAD_INPUT, why, "boar", "--boar: %s is named twice", p->kin.animals[t->boars[i]].name);
        if (st != ST_OK)
            return st;
        t->n_boars++;
    }
    return ST_OK;
}

/* Those of the herd that are old enough. */
static enum status boars_here(struct pairings *p, struct message *why)
{
    struct kin_table *t = &p->table;
    size_t n = 0;
    const enum status st = kin_here(&p->kin, true, p->q->mem, t->boars, &n, why);

    for (size_t i = 0; st == ST_OK && i < n; i++) {
        const struct kin_animal *a = &p->kin.animals[t->boars[i]];
        if (a->born_days != INT64_MIN && p->from - a->born_days < LEAST_BOAR_D)
            note(p, arena_print(p->q->mem,
                                "%s is too young for this season: name him with --boar to take him all the same.",
                                a->name));
        else
            t->boars[t->n_boars++] = t->boars[i];
    }
    return st;
}

/* ---- sows ---- */

static int64_t local_day(const struct pairings *p, int64_t utc_s)
{
    const struct civil c = when_local(p->herd.zone, utc_s);
    return civil_days(c.year, c.month, c.day);
}

/* Day on which a sow can be served (again); INT64_MIN: at once. */
static enum status free_on(const struct pairings *p, size_t animal, int64_t *day, struct message *why)
{
    const struct herd_sow *s = NULL;
    size_t i = 0;
    struct breeding_prior prior;
    struct breeding_posterior post;

    *day = INT64_MIN;
    for (; i < p->herd.n_sows && !s; i++)
        if (strcmp(p->herd.sows[i].uid, p->kin.animals[animal].uid) == 0)
            s = &p->herd.sows[i];
    if (!s || s->state == HERD_OPEN || s->state == HERD_UNKNOWN)
        return ST_OK;
    if (s->state == HERD_SUCKLING) {
        *day = local_day(p, s->farrowed_utc_s) + SERVED_AGAIN_D;
        return ST_OK;
    }
    const enum status st = herd_chance(&p->herd, i - 1, BREEDING_SINCE_LAST_LOOK, NULL, p->q->mem, &prior, &post, why);
    const int64_t mid = st == ST_OK && post.known ? breeding_quantile(&post.density, 0.5) : BREEDING_NONE;
    if (mid != BREEDING_NONE && post.p_pregnant >= 0.5)
        *day = local_day(p, mid) + SERVED_AGAIN_D;
    return st;
}

static void leave_out(struct pairings *p, size_t animal, const char *why)
{
    p->left_out[p->n_left_out] = animal;
    p->left_out_why[p->n_left_out++] = why;
}

static enum status sows_here(struct pairings *p, struct message *why)
{
    struct kin_table *t = &p->table;
    size_t n = 0;
    enum status st = kin_here(&p->kin, false, p->q->mem, t->sows, &n, why);

    for (size_t i = 0; st == ST_OK && i < n; i++) {
        const struct kin_animal *a = &p->kin.animals[t->sows[i]];
        int64_t day = INT64_MIN;
        st = free_on(p, t->sows[i], &day, why);
        if (st != ST_OK)
            return st;
        if (strcmp(a->is, "gilt") == 0 && a->born_days != INT64_MIN && p->from - a->born_days < LEAST_GILT_D)
            leave_out(p, t->sows[i], "too young: under eight months");
        else if (p->from_said && day != INT64_MIN && day > p->from + SEASON_D)
            leave_out(p, t->sows[i], arena_print(p->q->mem, "not free before %s", kin_day(day, p->q->mem)));
        else
            t->sows[t->n_sows++] = t->sows[i];
    }
    return st;
}

static enum status sows_typed(struct pairings *p, struct message *why)
{
    const struct given *g = &p->q->given[PAIR_SOW];
    struct kin_table *t = &p->table;
    enum status st = ST_OK;

    for (size_t i = 0; i < g->n && st == ST_OK; i++) {
        st = kin_find(&p->kin, "sow", g->text[i], KIN_FEMALE, &t->sows[i], why);
        for (size_t k = 0; st == ST_OK && k < i; k++)
            if (t->sows[k] == t->sows[i])
                return refuse(ST_BAD_INPUT, why, "sow", "--sow: %s is named twice", p->kin.animals[t->sows[i]].name);
        t->n_sows += st == ST_OK;
    }
    return st;
}

/* ---- pairs ---- */

static size_t place_of(const size_t list[], size_t n, size_t animal)
{
    size_t i = 0;
    while (i < n && list[i] != animal)
        i++;
    return i < n ? i : KIN_NONE;
}

/* "Bramble=Rook": one of the sows and one of the boars. */
static enum status pair_typed(const struct pairings *p, const char *field, const char *text, size_t *sow, size_t *boar,
                              struct message *why)
{
    const struct kin_table *t = &p->table;
    const char *equals = strchr(text, '=');
    size_t animal = 0;

    if (!equals || equals == text || !equals[1])
        return refuse(ST_BAD_INPUT, why, field, "--%s: \"%.60s\" is no pair; write Bramble=Rook: sow, then boar", field,
                      text);
    const char *name = arena_bytes(p->q->mem, text, (size_t)(equals - text));
    enum status st = name ? kin_find(&p->kin, field, name, KIN_FEMALE, &animal, why)
                          : refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st != ST_OK)
        return st;
    *sow = place_of(t->sows, t->n_sows, animal);
    if (*sow == KIN_NONE)
        return refuse(ST_BAD_INPUT, why, field, "--%s: %s is not among the sows to be served", field,
                      p->kin.animals[animal].name);
    st = kin_find(&p->kin, field, equals + 1, KIN_MALE, &animal, why);
    if (st != ST_OK)
        return st;
    *boar = place_of(t->boars, t->n_boars, animal);
    if (*boar == KIN_NONE)
        return refuse(ST_BAD_INPUT, why, field, "--%s: %s is not among the boars; name him with --boar", field,
                      p->kin.animals[animal].name);
    return ST_OK;
}

static enum status fixes(struct pairings *p, struct message *why)
{
    const struct given *fix = &p->q->given[PAIR_FIX], *forbid = &p->q->given[PAIR_FORBID];
    enum status st = ST_OK;
    size_t s = 0, b = 0;

    for (size_t i = 0; i < forbid->n && st == ST_OK; i++) {
        st = pair_typed(p, "forbid", forbid->text[i], &s, &b, why);
        if (st == ST_OK)
            p->forbidden[s * p->table.n_boars + b] = "as asked";
    }
    for (size_t i = 0; i < fix->n && st == ST_OK; i++) {
        st = pair_typed(p, "fix", fix->text[i], &s, &b, why);
        if (st != ST_OK)
            return st;
        if (p->forbidden[s * p->table.n_boars + b])
            return refuse(ST_BAD_INPUT, why, "fix", "--fix: %s with %s is forbidden too; leave one of the two out",
                          pairing_name(p, false, s), pairing_name(p, true, b));
        if (p->sows[s].how == PAIRING_BY_HAND && p->sows[s].fixed != b)
            return refuse(ST_BAD_INPUT, why, "fix", "--fix: %s is given to two boars", pairing_name(p, false, s));
        p->sows[s].how = PAIRING_BY_HAND;
        p->sows[s].fixed = (uint32_t)b;
    }
    return st;
}

/* Was she served since the pairing was to begin? Then it is done with. */
static bool served_since(const struct pairings *p, const char *uid, int64_t day)
{
    for (size_t i = 0; i < p->herd.n_sows; i++) {
        const struct breeding_evidence *e = &p->herd.sows[i].evidence;
        if (strcmp(p->herd.sows[i].uid, uid) != 0)
            continue;
        for (size_t k = 0; k < e->n_services; k++)
            if (local_day(p, e->services[k].at_utc_s) >= day)
                return true;
    }
    return false;
}

/* Facts `pairing` of this season stand, the newest of a sow, unless --fix or --forbid says otherwise. */
static void settled(struct pairings *p)
{
    for (size_t i = 0; i < p->n_settled; i++) {
        const struct fact *f = &p->settled[i];
        const char *sow = fact_text(f->kind, f->value, "sow"), *boar = fact_text(f->kind, f->value, "boar");
        size_t s = 0, b = 0;
        while (s < p->table.n_sows && strcmp(p->kin.animals[p->table.sows[s]].uid, sow) != 0)
            s++;
        while (b < p->table.n_boars && strcmp(p->kin.animals[p->table.boars[b]].uid, boar) != 0)
            b++;
        if (s == p->table.n_sows || served_since(p, sow, fact_whole(f->kind, f->value, "from", 0)))
            continue;
        if (b == p->table.n_boars) {
            note(p, arena_print(p->q->mem, "%s was settled with a boar who is not among these: she is decided anew.",
                                pairing_name(p, false, s)));
            p->sows[s] = (struct pairing_sow){ PAIRING_RECKONED, MATING_NONE, p->sows[s].free_on };
        } else {
            p->sows[s].how = PAIRING_SETTLED;
            p->sows[s].fixed = (uint32_t)b;
        }
    }
}

/* A settled pair that is asked to be forbidden is open again. */
static void reopen(struct pairings *p)
{
    for (size_t s = 0; s < p->table.n_sows; s++)
        if (p->sows[s].how == PAIRING_SETTLED && p->forbidden[s * p->table.n_boars + p->sows[s].fixed])
            p->sows[s] = (struct pairing_sow){ PAIRING_RECKONED, MATING_NONE, p->sows[s].free_on };
}

/* ---- the season ---- */

/* As typed; else the boar's day of the next season planned; else that of the newest pairings; else today. */
static enum status season(struct pairings *p, struct message *why)
{
    const struct fact_kind *plan = fact_kind_find("season_plan"), *pairing = fact_kind_find("pairing");
    struct fact *plans = NULL, *pairs = NULL;
    size_t n_plans = 0, n_pairs = 0;
    const int64_t today = p->kin.today;

    enum status st = farm_facts(p->q->farm, plan, p->kin.known_to, p->q->mem, &plans, &n_plans, why);
    if (st == ST_OK)
        st = farm_facts(p->q->farm, pairing, p->kin.known_to, p->q->mem, &pairs, &n_pairs, why);
    if (st != ST_OK)
        return st;
    p->from = INT64_MAX;
    for (size_t i = 0; i < n_plans; i++)
        if (fact_whole(plan, plans[i].value, "boar_out", INT64_MIN) >= today &&
            fact_whole(plan, plans[i].value, "boar_in", INT64_MAX) < p->from)
            p->from = fact_whole(plan, plans[i].value, "boar_in", INT64_MAX);
    p->from_said = p->from != INT64_MAX;
    for (size_t i = 0; i < n_pairs && !p->from_said; i++) {
        const int64_t from = fact_whole(pairing, pairs[i].value, "from", INT64_MIN);
        if (from >= today - SETTLED_D && (p->from == INT64_MAX || from > p->from))
            p->from = from;
    }
    if (p->from == INT64_MAX)
        p->from = today;
    if (given_is(p->q, PAIR_FROM)) {
        p->from = given_when(p->q, PAIR_FROM);
        p->from_said = true;
    }
    p->settled = pairs;
    for (size_t i = 0; i < n_pairs; i++) {
        const int64_t from = fact_whole(pairing, pairs[i].value, "from", INT64_MIN);
        if (from >= p->from - SETTLED_D && from <= p->from + SETTLED_D)
            p->settled[p->n_settled++] = pairs[i];
    }
    return ST_OK;
}

static bool rooms(struct pairings *p)
{
    const size_t n = p->kin.n + p->q->given[PAIR_BOAR].n + p->q->given[PAIR_SOW].n + 1;

    p->table.sows = ARENA_NEW(p->q->mem, size_t, n);
    p->table.boars = ARENA_NEW(p->q->mem, size_t, n);
    p->boars = ARENA_NEW(p->q->mem, struct pairing_boar, n);
    p->sows = ARENA_NEW(p->q->mem, struct pairing_sow, n);
    p->left_out = ARENA_NEW(p->q->mem, size_t, n);
    p->left_out_why = ARENA_NEW(p->q->mem, const char *, n);
    p->notes = ARENA_NEW(p->q->mem, const char *, n + p->n_settled);
    return p->table.sows && p->table.boars && p->boars && p->sows && p->left_out && p->left_out_why && p->notes;
}

static enum status reckon(struct pairings *p, struct message *why)
{
    struct kin_table *t = &p->table;
    size_t *all = ARENA_NEW(p->q->mem, size_t, t->n_sows + t->n_boars + 1);

    p->forbidden = ARENA_NEW(p->q->mem, const char *, t->n_sows * t->n_boars + 1);
    if (!all || !p->forbidden)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < t->n_sows; i++)
        all[t->n_all++] = t->sows[i];
    for (size_t i = 0; i < t->n_boars; i++)
        all[t->n_all++] = t->boars[i];
    t->all = all;
    enum status st = kin_reckon(&p->kin, given_is(p->q, PAIR_DEPTH) ? (unsigned)given_real(p->q, PAIR_DEPTH) : 0,
                                t->n_all, all, p->q->mem, why);
    if (st == ST_OK)
        st = kin_table_reckon(&p->kin, t, p->q->mem, why);
    for (size_t s = 0; st == ST_OK && s < t->n_sows; s++) {
        p->sows[s] = (struct pairing_sow){ PAIRING_RECKONED, MATING_NONE, INT64_MIN };
        st = free_on(p, t->sows[s], &p->sows[s].free_on, why);
    }
    if (st != ST_OK)
        return st;
    settled(p);
    st = fixes(p, why);
    if (st == ST_OK)
        reopen(p);
    return st;
}

enum status pairings_read(struct pairings *p, struct message *why)
{
    const struct asked *q = p->q;
    const size_t n_typed = q->given[PAIR_BOAR].n;
    int64_t *most = ARENA_NEW(q->mem, int64_t, n_typed + 1), *least = ARENA_NEW(q->mem, int64_t, n_typed + 1);

    enum status st = most && least ? herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &p->herd, why)
                                   : refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK)
        st = kin_read(q->farm, q->at_utc_s, p->herd.known_to, q->mem, &p->kin, why);
    if (st == ST_OK)
        st = season(p, why);
    if (st == ST_OK && !rooms(p))
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK)
        st = n_typed ? boars_typed(p, most, least, why) : boars_here(p, why);
    if (st == ST_OK)
        st = q->given[PAIR_SOW].n ? sows_typed(p, why) : sows_here(p, why);
    for (size_t b = 0; st == ST_OK && b < p->table.n_boars; b++)
        boar_usual(p, &p->kin.animals[p->table.boars[b]], n_typed ? most[b] : -1, n_typed ? least[b] : -1,
                   &p->boars[b]);
    return st == ST_OK ? reckon(p, why) : st;
}
