/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * due: all sows that may be in pig, when they may farrow, and what that rests on. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/coming.h"
#include "desk/herd.h"
#include "desk/questions.h"
#include "desk/when.h"

enum { AT, DAYS };
static const struct param params[] = {
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
    [DAYS] = { "days", P_WHOLE, Q_NUMBER, 1, 200, "40", NULL, 0, "how many days to list the chance of" },
};

/* Local midnight that begins a day number. */
static int64_t midnight(const struct herd *h, int64_t day)
{
    int64_t first = 0, second = 0;
    (void)zone_from_local(h->zone, day * DAY_S, &first, &second);
    return first;
}

static void by_date(const struct herd *h, const struct breeding_posterior *p, int days, struct answer *row)
{
    const struct civil now = when_local(h->zone, h->at_utc_s);
    const int64_t today = civil_days(now.year, now.month, now.day);
    struct answer *list = answer_list(row, "by_date");

    for (int64_t d = today; d < today + days; d++) {
        const int64_t from = midnight(h, d) > h->at_utc_s ? midnight(h, d) : h->at_utc_s;
        const double chance = breeding_between(&p->density, from, midnight(h, d + 1));
        if (chance < 0.002)
            continue;
        struct answer *x = answer_item(list);
        answer_day(x, "date", d);
        answer_real(x, "probability", chance);
    }
}

static void boars(const struct herd *h, const struct breeding_prior *prior, const struct breeding_posterior *post,
                  struct answer *row)
{
    double p[BREEDING_BOARS + 1];
    const bool uncertain = breeding_boar_now(prior, post, p);
    struct answer *list = answer_list(row, "boars");

    for (int i = 0; i <= BREEDING_BOARS; i++)
        if (p[i] > 0.01) {
            struct answer *x = answer_item(list);
            answer_text(x, "name", i == BREEDING_BOARS ? "not recorded" : h->boars[i].name);
            answer_real(x, "probability", p[i]);
        }
    answer_flag(row, "boar_uncertain", uncertain);
}

static enum status one(const struct asked *q, const struct herd *h, const struct coming *coming, size_t i,
                       struct answer *list, struct message *why)
{
    static const struct {
        const char *key;
        double q;
    } quantile[] = { { "p5", 0.05 }, { "p25", 0.25 }, { "p50", 0.5 }, { "p75", 0.75 }, { "p95", 0.95 } };
    const struct herd_sow *s = &h->sows[i];
    struct breeding_prior prior;
    struct breeding_posterior post;

    const enum status st = herd_chance(h, i, BREEDING_SINCE_LAST_LOOK, coming, q->mem, &prior, &post, why);
    if (st != ST_OK)
        return st;
    struct answer *row = answer_item(list);
    answer_text(row, "name", s->name);
    answer_text(row, "state", herd_state_name[s->state]);
    answer_flag(row, "gilt", s->gilt);
    answer_text(row, "known", herd_known_words(h, i, q->mem));
    answer_real_or(row, "p_pregnant", post.known ? post.p_pregnant : (double)NAN, "nothing is recorded that says");
    answer_real_or(row, "days_since_last_chance", post.day, "nothing is recorded that says");
    for (size_t k = 0; k < COUNT(quantile); k++) {
        const int64_t t = post.known ? breeding_quantile(&post.density, quantile[k].q) : BREEDING_NONE;
        answer_moment_or(row, quantile[k].key, t, NULL);
    }
    answer_real(row, "p_within_24h", breeding_within(&post, 24.0));
    answer_real(row, "p_within_7d", breeding_within(&post, 168.0));
    answer_real(row, "gestation_d", prior.gestation_d);
    answer_real(row, "gestation_sd_d", prior.gestation_sd_d);
    boars(h, &prior, &post, row);
    by_date(h, &post, (int)given_real(q, DAYS), row);
    struct answer *notes = answer_list(row, "notes");
    for (unsigned c = 0; c < BC_END; c++)
        if (post.notes.cautions & (1u << c))
            answer_words(notes, breeding_caution_words[c]);
    for (size_t k = 0; k < s->n_flags; k++)
        answer_words(notes, s->flags[k]);
    return ST_OK;
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct herd h;
    struct coming c;
    const struct coming *coming = NULL;
    struct message no_weather = { "", "" };
    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &h, why);

    if (st != ST_OK)
        return st;
    /* as `tonight` and `sow` have it, so that all three say the same of her; where there is no weather nothing is made
     * of it */
    st = coming_read(q->farm, &h.place, h.zone, q->at_utc_s, h.known_to, 96, 36, q->mem, &c, &no_weather);
    arena_heed(q->mem, st);
    if (st == ST_OK)
        coming = &c;
    st = ST_OK;
    answer_moment(a, "at", h.at_utc_s);
    answer_whole(a, "known_to", h.known_to);
    struct answer *list = answer_list(a, "sows");
    for (size_t i = 0; i < h.n_sows && st == ST_OK; i++)
        if (h.sows[i].state == HERD_SERVED)
            st = one(q, &h, coming, i, list, why);
    struct answer *rest = answer_list(a, "others");
    for (size_t i = 0; i < h.n_sows; i++)
        if (h.sows[i].state != HERD_SERVED) {
            struct answer *row = answer_item(rest);
            answer_text(row, "name", h.sows[i].name);
            answer_text(row, "state", herd_state_name[h.sows[i].state]);
            if (h.sows[i].lost_all)
                answer_moment(row, "lost_all_at", h.sows[i].weaned_utc_s);
            else
                answer_null(row, "lost_all_at", NULL);
        }
    struct answer *record = answer_list(a, "record");
    for (size_t i = 0; i < h.n_missing; i++)
        answer_words(record, h.missing[i]);
    return st;
}

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "the moment asked about" },
    { "known_to", SHAPE_WHOLE, false, "number of the newest change that was known" },
    { "sows", SHAPE_LIST, false, "sows that may be in pig" },
    { "sows[]", SHAPE_OBJECT, false, "" },
    { "sows[].name", SHAPE_TEXT, false, "" },
    { "sows[].state", SHAPE_TEXT, false, "" },
    { "sows[].gilt", SHAPE_FLAG, false, "" },
    { "sows[].known", SHAPE_TEXT, false, "what is recorded of this turn" },
    { "sows[].p_pregnant", SHAPE_REAL, true, "" },
    { "sows[].days_since_last_chance", SHAPE_REAL, true, "days since she can last have conceived" },
    { "sows[].p5", SHAPE_MOMENT, true, "one birth in twenty is earlier, given that she is pregnant" },
    { "sows[].p25", SHAPE_MOMENT, true, "" },
    { "sows[].p50", SHAPE_MOMENT, true, "as many before as after" },
    { "sows[].p75", SHAPE_MOMENT, true, "" },
    { "sows[].p95", SHAPE_MOMENT, true, "" },
    { "sows[].p_within_24h", SHAPE_REAL, true, "" },
    { "sows[].p_within_7d", SHAPE_REAL, true, "" },
    { "sows[].gestation_d", SHAPE_REAL, true, "mean length reckoned with" },
    { "sows[].gestation_sd_d", SHAPE_REAL, true, "" },
    { "sows[].boars", SHAPE_LIST, false, "" },
    { "sows[].boars[]", SHAPE_OBJECT, false, "" },
    { "sows[].boars[].name", SHAPE_TEXT, false, "" },
    { "sows[].boars[].probability", SHAPE_REAL, false, "" },
    { "sows[].boar_uncertain", SHAPE_FLAG, false, "no one boar is sure enough to be written down" },
    { "sows[].by_date", SHAPE_LIST, false, "" },
    { "sows[].by_date[]", SHAPE_OBJECT, false, "" },
    { "sows[].by_date[].date", SHAPE_DAY, false, "" },
    { "sows[].by_date[].probability", SHAPE_REAL, false, "" },
    { "sows[].notes", SHAPE_LIST, false, "" },
    { "sows[].notes[]", SHAPE_TEXT, false, "" },
    { "others", SHAPE_LIST, false, "the other sows" },
    { "others[]", SHAPE_OBJECT, false, "" },
    { "others[].name", SHAPE_TEXT, false, "" },
    { "others[].state", SHAPE_TEXT, false, "" },
    { "others[].lost_all_at", SHAPE_MOMENT, true, "when the last of her newest litter was lost" },
    { "record", SHAPE_LIST, false, "what to record to make it surer" },
    { "record[]", SHAPE_TEXT, false, "" },
    { "assumed", SHAPE_LIST, true, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
};

const struct question question_due = {
    "due",  "All sows that may be in pig: when they may farrow, and what that rests on",
    params, COUNT(params),
    shape,  COUNT(shape),
    "sows", put,
};
