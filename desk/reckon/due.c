/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon due: when one sow will farrow, from what is known of her. */
#include "core/breeding/breeding.h"

#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/reckon/reckon.h"

enum {
    AT,
    SERVICE,
    BOAR_FROM,
    BOAR_TO,
    GESTATION_MEAN,
    GESTATION_SD,
    CONCEPTION,
    REPEAT_CONCEPTION,
    CYCLE_SD,
    CLOCK,
    SIGN_POWER,
    WRONG_DATE,
    HEAT_WHILE_PREGNANT,
    RETURN_SEEN,
    HEAVY_TAIL,
    PLAIN_NORMAL,
    PAST_GESTATION,
    SCAN,
    RETURN,
    NOT_FARROWED_BY,
    SIGN,
    NO_SIGN,
    FRESH_BEDDING,
    FRONT,
    GALE,
    ALONE,
    HOT_DAY,
    GIVEN_PREGNANT,
    WEANED,
    FARROWED,
    PARITY,
    SOUTHERN,
    BORN,
    ZONE
};

#define RULE(name, quantity, low, high, help)                                                                          \
    {                                                                                                                  \
        name, P_QUANTITY, quantity, low, high, NULL, NULL, 0, help                                                     \
    }
#define YES(name, help)                                                                                                \
    {                                                                                                                  \
        name, P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, help                                                              \
    }

static const struct param params[] = {
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about: she has not farrowed by then" },
    [SERVICE] = { "service", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT, "DATE or DATE@WEIGHT of each service" },
    [BOAR_FROM] = { "boar-from", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT,
                    "the day the boar came to her; once for each boar in turn" },
    [BOAR_TO] = { "boar-to", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT,
                  "the day he left; still there at --at unless given" },
    [GESTATION_MEAN] = RULE("gestation-mean", Q_SPAN, 105, 125, "mean length from service to birth"),
    [GESTATION_SD] = RULE("gestation-sd", Q_SPAN, 0.2, 6, "its spread (sd)"),
    [CONCEPTION] = RULE("conception", Q_FRACTION, 0, 1, "chance that she holds to a heat"),
    [REPEAT_CONCEPTION] = RULE("repeat-conception", Q_FRACTION, 0, 1, "the same for second and later heats"),
    [CYCLE_SD] = RULE("cycle-sd", Q_SPAN, 0, 4, "spread (sd) of the days between heats; 0 = fixed"),
    [CLOCK] = RULE("clock", Q_NUMBER, 0, 1, "how much more farrow at the favoured hour of the day; 0 = none"),
    [SIGN_POWER] = RULE("sign-power", Q_NUMBER, 0, 1, "power on the whole product of signs; 1 = plain product"),
    [WRONG_DATE] = RULE("wrong-date", Q_FRACTION, 0, 0.5, "chance that a service date is wrong by 1 to 3 days"),
    [HEAT_WHILE_PREGNANT] = RULE("heat-while-pregnant", Q_FRACTION, 0, 1, "chance that she stands although pregnant"),
    [RETURN_SEEN] = RULE("return-seen", Q_FRACTION, 0, 1, "chance that a return is seen when she is empty"),
    [HEAVY_TAIL] = YES("heavy-tail", "a few births from a wider spread; so unless --plain-normal"),
    [PLAIN_NORMAL] = YES("plain-normal", "one plain normal and right dates: no wider spread, no wrong dates"),
    [PAST_GESTATION] = { "past-gestation", P_QUANTITY, Q_SPAN, 90, 140, NULL, NULL, PARAM_REPEAT,
                         "each of her own past lengths" },
    [SCAN] = { "scan", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT, "DATE=positive or DATE=negative" },
    [RETURN] = { "return", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT, "a heat seen and not served" },
    [NOT_FARROWED_BY] = { "not-farrowed-by", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                          "seen then, and had not farrowed" },
    [SIGN] = { "sign", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT,
               "KIND@TIME of each sign seen; kinds: vulva-swollen udder-tight away "
               "milk-drops nest not-at-feed fast-breathing milk-streams temperature restless bloody-fluid straining" },
    [NO_SIGN] = { "no-sign", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT,
                  "KIND@TIME of each sign looked for and not seen" },
    [FRESH_BEDDING] = YES("fresh-bedding", "bedding was given within 24 hours before the looks"),
    [FRONT] = YES("front", "it falls by more than 5 C within 24 hours after them"),
    [GALE] = YES("gale", "a gale comes within 24 hours after them"),
    [ALONE] = YES("alone", "nesting: she was alone, and arranging it"),
    [HOT_DAY] = YES("hot-day", "above about 25 C, where breathing tells nothing"),
    [GIVEN_PREGNANT] = YES("given-pregnant", "take it that she is pregnant"),
    [WEANED] = { "weaned", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "her last litter was weaned then" },
    [FARROWED] = { "farrowed", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                   "her last litter was born then, and she suckled it when the boar came" },
    [PARITY] = { "parity", P_WHOLE, Q_NUMBER, 0, 30, NULL, NULL, 0, "litters so far; 0 = gilt" },
    [SOUTHERN] = YES("southern", "seasons of the southern half of the earth"),
    [BORN] = { "born", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "if she farrows then: whose litter is it" },
    [ZONE] = { "zone", P_ZONE, Q_NUMBER, 0, 0, "UTC", NULL, 0,
               "time zone of times without an offset, and of the dates" },
};

/* Which rule each flag overwrites. */
static const struct {
    size_t param;
    enum breeding_rule rule;
} overwrites[] = {
    { GESTATION_MEAN, BR_GESTATION_D },
    { GESTATION_SD, BR_GESTATION_SD_D },
    { CONCEPTION, BR_CONCEPTION },
    { REPEAT_CONCEPTION, BR_REPEAT_CONCEPTION },
    { CYCLE_SD, BR_CYCLE_SD_D },
    { CLOCK, BR_CLOCK },
    { SIGN_POWER, BR_SIGN_POWER },
    { WRONG_DATE, BR_WRONG_DATE },
    { HEAT_WHILE_PREGNANT, BR_HEAT_WHILE_PREGNANT },
    { RETURN_SEEN, BR_RETURN_SEEN },
};

static const struct shape shape[] = {
    { "known", SHAPE_FLAG, false, "false: no service and no boar, so nothing can be said" },
    { "p_pregnant", SHAPE_REAL, true, "0 .. 1" },
    { "p_not_pregnant_now", SHAPE_REAL, true, "0 .. 1" },
    { "p_within_6h", SHAPE_REAL, true, "null without --at" },
    { "p_within_12h", SHAPE_REAL, true, "likewise" },
    { "p_within_24h", SHAPE_REAL, true, "likewise" },
    { "p_within_48h", SHAPE_REAL, true, "likewise" },
    { "quantiles", SHAPE_OBJECT, true, "moments before which so many of 100 births fall, given that she is pregnant" },
    { "quantiles.5", SHAPE_MOMENT, false, "" },
    { "quantiles.25", SHAPE_MOMENT, false, "" },
    { "quantiles.50", SHAPE_MOMENT, false, "" },
    { "quantiles.75", SHAPE_MOMENT, false, "" },
    { "quantiles.95", SHAPE_MOMENT, false, "" },
    { "by_date", SHAPE_LIST, false, "dates of the zone; they add up to p_pregnant" },
    { "by_date[]", SHAPE_OBJECT, false, "" },
    { "by_date[].date", SHAPE_DAY, false, "" },
    { "by_date[].probability", SHAPE_REAL, false, "" },
    { "gestation_mean_d", SHAPE_REAL, true, "hers, after her own past" },
    { "gestation_sd_d", SHAPE_REAL, true, "" },
    { "day", SHAPE_REAL, true, "days from the last chance to --at" },
    { "strongest_sign", SHAPE_TEXT, true, "" },
    { "watch", SHAPE_TEXT, true, "how often to look" },
    { "boars", SHAPE_LIST, true, "with several boars: whose, given all that is known" },
    { "boars[]", SHAPE_OBJECT, false, "" },
    { "boars[].boar", SHAPE_WHOLE, false, "1 = the first --boar-from" },
    { "boars[].probability", SHAPE_REAL, false, "" },
    { "boars_if_born", SHAPE_LIST, true, "the same if she farrows at --born" },
    { "boars_if_born[]", SHAPE_OBJECT, false, "" },
    { "boars_if_born[].boar", SHAPE_WHOLE, false, "" },
    { "boars_if_born[].probability", SHAPE_REAL, false, "" },
    SHAPE_CAUTIONS,
    SHAPE_ASSUMED,
};

/* ---- what was typed -> evidence ---- */

/* "left@right" or "left=right": a copy of each. */
static bool split(const struct asked *q, const char *text, char mark, const char **left, const char **right)
{
    const char *at = strrchr(text, mark);

    *left = at ? arena_bytes(q->mem, text, (size_t)(at - text)) : text;
    *right = at ? at + 1 : NULL;
    return at && *left;
}

static enum status services_of(const struct asked *q, struct breeding_evidence *e, struct message *why)
{
    const struct given *g = &q->given[SERVICE];
    struct breeding_service *s = ARENA_NEW(q->mem, struct breeding_service, g->n + 1);
    enum status st = s ? ST_OK : refuse(ST_NO_MEMORY, why, "service", "--service: too many services");

    for (size_t i = 0; st == ST_OK && i < g->n; i++) {
        const char *date, *weight;
        s[i] = (struct breeding_service){ .weight = (double)NAN, .boar = -1 };
        const bool weighed = split(q, g->text[i], '@', &date, &weight);
        if (weighed && (!read_real(weight, &s[i].weight) || !(s[i].weight > 0.0 && s[i].weight <= 1000.0)))
            return refuse(ST_BAD_INPUT, why, "service",
                          "--service: \"%.40s\" is no weight; give a number over 0, up to 1000, such as "
                          "2026-01-22@0.5",
                          weight);
        st = moment_from_text("service", date, q->zone, &s[i].at_utc_s, &s[i].day_only, why);
    }
    e->services = s;
    e->n_services = g->n;
    return st;
}

static enum status runs_of(const struct asked *q, struct breeding_evidence *e, struct message *why)
{
    const struct given *from = &q->given[BOAR_FROM], *to = &q->given[BOAR_TO];
    struct breeding_run *run = ARENA_NEW(q->mem, struct breeding_run, from->n + 1);

    if (!run)
        return refuse(ST_NO_MEMORY, why, "boar-from", "--boar-from: too many boars");
    if (to->n > from->n)
        return refuse(ST_BAD_INPUT, why, "boar-from",
                      "--boar-to is given more often than --boar-from; each boar comes before he leaves");
    if (from->n > to->n + 1 || (from->n > to->n && !given_is(q, AT)))
        return refuse(ST_BAD_INPUT, why, "boar-to",
                      "--boar-to is needed: give the day he left, or --at while he is still there");
    if (from->n > BREEDING_BOARS)
        return refuse(ST_BAD_INPUT, why, "boar-from", "--boar-from: %zu boars; %d are taken", from->n, BREEDING_BOARS);
    for (size_t i = 0; i < from->n; i++)
        run[i] = (struct breeding_run){ from->when[i], i < to->n ? to->when[i] : BREEDING_NONE, (int)i };
    e->runs = run;
    e->n_runs = from->n;
    return ST_OK;
}

static enum status scans_of(const struct asked *q, struct breeding_evidence *e, struct message *why)
{
    const struct given *g = &q->given[SCAN];
    struct breeding_scan *s = ARENA_NEW(q->mem, struct breeding_scan, g->n + 1);
    enum status st = s ? ST_OK : refuse(ST_NO_MEMORY, why, "scan", "--scan: too many scans");

    for (size_t i = 0; st == ST_OK && i < g->n; i++) {
        const char *date, *found;
        if (!split(q, g->text[i], '=', &date, &found) ||
            (strcmp(found, "positive") != 0 && strcmp(found, "negative") != 0))
            return refuse(ST_BAD_INPUT, why, "scan",
                          "--scan: \"%.40s\" is no scan; write 2026-01-22=positive or 2026-01-22=negative", g->text[i]);
        s[i].positive = *found == 'p';
        st = moment_from_text("scan", date, q->zone, &s[i].at_utc_s, NULL, why);
    }
    e->scans = s;
    e->n_scans = g->n;
    return st;
}

static enum status look_of(const struct asked *q, size_t param, const char *text, unsigned flags,
                           struct breeding_look *look, struct message *why)
{
    const char *name = params[param].name, *kind, *time;

    *look = (struct breeding_look){ .present = param == SIGN, .flags = flags };
    if (!split(q, text, '@', &kind, &time))
        return refuse(ST_BAD_INPUT, why, name, "--%s: \"%.40s\" has no time; write nest@2026-01-22T15:40", name, text);
    look->sign = breeding_sign_find(kind);
    if (look->sign == BS_END)
        return refuse(ST_BAD_INPUT, why, name,
                      "--%s: unknown sign \"%.30s\"; known are vulva-swollen, udder-tight, away, milk-drops, nest, "
                      "not-at-feed, fast-breathing, milk-streams, temperature, restless, bloody-fluid, straining",
                      name, kind);
    return moment_from_text(name, time, q->zone, &look->at_utc_s, NULL, why);
}

static enum status looks_of(const struct asked *q, struct breeding_evidence *e, struct message *why)
{
    static const struct {
        size_t param;
        unsigned flag;
    } marks[] = { { FRESH_BEDDING, BL_FRESH_BED },
                  { FRONT, BL_FRONT },
                  { GALE, BL_GALE },
                  { ALONE, BL_ALONE },
                  { HOT_DAY, BL_HOT } };
    const struct given *seen = &q->given[SIGN], *absent = &q->given[NO_SIGN];
    struct breeding_look *look = ARENA_NEW(q->mem, struct breeding_look, seen->n + absent->n + 1);
    enum status st = look ? ST_OK : refuse(ST_NO_MEMORY, why, "sign", "--sign: too many signs");
    unsigned flags = 0;
    size_t n = 0;

    for (size_t i = 0; i < COUNT(marks); i++)
        flags |= given_flag(q, marks[i].param) ? marks[i].flag : 0u;
    for (size_t i = 0; st == ST_OK && i < seen->n; i++)
        st = look_of(q, SIGN, seen->text[i], flags, &look[n++], why);
    for (size_t i = 0; st == ST_OK && i < absent->n; i++)
        st = look_of(q, NO_SIGN, absent->text[i], flags, &look[n++], why);
    e->looks = look;
    e->n_looks = n;
    return st;
}

static void her_state(const struct asked *q, struct breeding_evidence *e)
{
    if (given_is(q, WEANED)) {
        e->state = BREEDING_WEANED;
        e->weaned_utc_s = given_when(q, WEANED);
    }
    if (given_is(q, FARROWED)) {
        e->state = BREEDING_SUCKLING;
        e->farrowed_utc_s = given_when(q, FARROWED);
    }
    if (given_is(q, PARITY)) {
        e->parity = (int)given_real(q, PARITY);
        if (e->parity == 0 && e->state == BREEDING_STATE_UNKNOWN)
            e->state = BREEDING_GILT;
    }
}

static enum status evidence_of(const struct asked *q, struct breeding_evidence *e, struct message *why)
{
    enum status st;

    *e = breeding_evidence_none();
    st = services_of(q, e, why);
    if (st == ST_OK)
        st = runs_of(q, e, why);
    if (st == ST_OK)
        st = scans_of(q, e, why);
    if (st == ST_OK)
        st = looks_of(q, e, why);
    e->heats_utc_s = q->given[RETURN].when;
    e->n_heats = q->given[RETURN].n;
    e->past_gestation_d = q->given[PAST_GESTATION].real;
    e->n_past = q->given[PAST_GESTATION].n;
    if (given_is(q, NOT_FARROWED_BY))
        e->not_farrowed_by_utc_s = given_when(q, NOT_FARROWED_BY);
    if (given_is(q, AT))
        e->known_to_utc_s = given_when(q, AT);
    e->given_pregnant = given_flag(q, GIVEN_PREGNANT);
    her_state(q, e);
    return st;
}

static struct breeding_rules rules_of(const struct asked *q, const struct breeding_evidence *e)
{
    struct breeding_rules r = breeding_rules_default();
    const int64_t when = given_is(q, AT) ? given_when(q, AT)
                         : e->n_services ? e->services[0].at_utc_s
                         : e->n_runs     ? e->runs[0].from_utc_s
                                         : 0;

    if (given_flag(q, PLAIN_NORMAL)) {
        r.value[BR_TAIL] = 0.0;
        r.value[BR_WRONG_DATE] = 0.0;
    }
    if (given_flag(q, HEAVY_TAIL))
        r.value[BR_TAIL] = breeding_defaults[BR_TAIL].value;
    for (size_t i = 0; i < COUNT(overwrites); i++)
        if (given_is(q, overwrites[i].param))
            r.value[overwrites[i].rule] = given_real(q, overwrites[i].param);
    r.utc_offset_s = zone_standard_offset_s(q->zone, when);
    r.southern = given_flag(q, SOUTHERN);
    return r;
}

/* ---- figures ---- */

static void answer_within(const struct breeding_posterior *post, bool at_given, struct answer *a)
{
    static const struct {
        const char *key;
        double hours;
    } within[] = {
        { "p_within_6h", 6.0 }, { "p_within_12h", 12.0 }, { "p_within_24h", 24.0 }, { "p_within_48h", 48.0 }
    };

    for (size_t i = 0; i < COUNT(within); i++) {
        if (at_given && post->known)
            answer_real(a, within[i].key, breeding_within(post, within[i].hours));
        else
            answer_null(a, within[i].key,
                        at_given ? "no service and no boar is known" : "no --at: there is no now to count from");
    }
}

static void answer_quantiles(const struct breeding_density *d, struct answer *a)
{
    static const struct {
        const char *key;
        double q;
    } at[] = { { "5", 0.05 }, { "25", 0.25 }, { "50", 0.5 }, { "75", 0.75 }, { "95", 0.95 } };

    if (breeding_quantile(d, 0.5) == BREEDING_NONE) {
        answer_null(a, "quantiles", "no chance of a birth is left to give times for");
        return;
    }
    struct answer *quantiles = answer_object(a, "quantiles");
    for (size_t i = 0; i < COUNT(at); i++)
        answer_moment(quantiles, at[i].key, breeding_quantile(d, at[i].q));
}

static int64_t midnight(const struct zone *zone, int64_t day)
{
    int64_t first, second;

    (void)zone_from_local(zone, day * DAY_S, &first, &second);
    return first;
}

/* Dates of the zone that hold any birth worth a figure: at least one in a million. */
static void answer_dates(const struct asked *q, const struct breeding_density *d, struct answer *a)
{
    struct answer *list = answer_list(a, "by_date");
    const double whole = d->n ? d->up_to[d->n] : 0.0, least = 1e-6;

    if (!(whole > 0.0))
        return;
    const int64_t end_s = d->start_utc_s + (int64_t)d->n * BREEDING_STEP_S;
    int64_t day = (d->start_utc_s + zone_offset_s(q->zone, d->start_utc_s)) / DAY_S - 1;
    bool begun = false;
    for (double so_far = 0.0; midnight(q->zone, day) < end_s && so_far < whole - least; day++) {
        const double p = breeding_between(d, midnight(q->zone, day), midnight(q->zone, day + 1));
        so_far += p;
        begun = begun || p >= least;
        if (!begun)
            continue;
        struct answer *row = answer_item(list);
        answer_day(row, "date", day);
        answer_real(row, "probability", p);
    }
}

static void answer_boars(struct answer *a, const char *key, size_t n, const double p[])
{
    struct answer *list = answer_list(a, key);

    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(list);
        answer_whole(row, "boar", (int64_t)i + 1);
        answer_real(row, "probability", p[i]);
    }
}

static void answer_sires(const struct asked *q, const struct breeding_evidence *e, const struct breeding_prior *prior,
                         const struct breeding_posterior *post, struct answer *a)
{
    double p[BREEDING_BOARS + 1];

    if (e->n_runs < 2) {
        answer_null(a, "boars", NULL);
        answer_null(a, "boars_if_born", NULL);
        return;
    }
    (void)breeding_boar_now(prior, post, p);
    if (isnan(p[0]))
        answer_null(a, "boars", "no recorded chance fits");
    else
        answer_boars(a, "boars", e->n_runs, p);
    if (!given_is(q, BORN)) {
        answer_null(a, "boars_if_born", "no --born");
        return;
    }
    (void)breeding_boar_at(prior, given_when(q, BORN), p);
    if (isnan(p[0]))
        answer_null(a, "boars_if_born", "no recorded chance fits a birth then");
    else
        answer_boars(a, "boars_if_born", e->n_runs, p);
}

static void answer_notes(const struct asked *q, const struct breeding_posterior *post, struct answer *a)
{
    struct answer *cautions = answer_list(a, "cautions"), *assumed = asked_assumed(q, a);

    answer_words(cautions, "This is reckoned from dates and signs. It never replaces going out to look, nor the vet.");
    for (int i = 0; i < BC_END; i++)
        if (post->notes.cautions >> i & 1u)
            answer_words(cautions, breeding_caution_words[i]);
    for (int i = 0; i < BR_END; i++)
        if (post->notes.rules >> i & 1u)
            answer_words(assumed, arena_print(q->mem, "%s %.6g%s%s: %s", breeding_defaults[i].name,
                                              breeding_defaults[i].value, *breeding_defaults[i].unit ? " " : "",
                                              breeding_defaults[i].unit, breeding_defaults[i].words));
    for (int i = 0; i < BA_END; i++)
        if (post->notes.assumed >> i & 1u)
            answer_words(assumed, breeding_assumed_words[i]);
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    const bool at_given = given_is(q, AT);
    struct breeding_evidence e;
    struct breeding_prior prior;
    struct breeding_posterior post;
    enum status st = evidence_of(q, &e, why);

    if (st != ST_OK)
        return st;
    const struct breeding_rules rules = rules_of(q, &e);
    st = breeding_prior(&rules, &e, q->mem, &prior, why);
    if (st == ST_OK)
        st = breeding_posterior(&rules, &e, &prior, at_given ? given_when(q, AT) : BREEDING_NONE,
                                at_given ? BREEDING_SEEN_NOW : BREEDING_NOT_PRESENT, q->mem, &post, why);
    if (st != ST_OK)
        return st;
    const char *unknown = "no service and no boar is known";
    answer_flag(a, "known", post.known);
    answer_real_or(a, "p_pregnant", post.known ? post.p_pregnant : (double)NAN, unknown);
    answer_real_or(a, "p_not_pregnant_now", post.known ? breeding_not_pregnant(&post) : (double)NAN, unknown);
    answer_within(&post, at_given, a);
    answer_quantiles(&post.density, a);
    answer_dates(q, &post.density, a);
    answer_real_or(a, "gestation_mean_d", post.known ? prior.gestation_d : (double)NAN, unknown);
    answer_real_or(a, "gestation_sd_d", post.known ? prior.gestation_sd_d : (double)NAN, unknown);
    answer_real(a, "day", post.day);
    answer_text(a, "strongest_sign", post.strongest == BS_END ? NULL : breeding_sign_name[post.strongest]);
    answer_text(a, "watch", at_given ? breeding_watch_words[breeding_watch_for(&post, false)] : NULL);
    answer_sires(q, &e, &prior, &post, a);
    answer_notes(q, &post, a);
    return ST_OK;
}

const struct question piece_due = {
    "due",     "When one sow will farrow, from services or a boar's stay, scans, returns and signs",
    params,    COUNT(params),
    shape,     COUNT(shape),
    "by_date", put,
};
