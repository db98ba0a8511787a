/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Contradictions about a litter after its birth: piglets that died, and its weaning.
 * Ages at weaning: common practice, set wide.
 */
#include "core/base/civil.h"
#include "farm/contra_own.h"

enum { LEAST_D = 100, WEAN_YOUNG_D = 14, WEAN_OLD_D = 120 };

/* The litter that a moment falls to: her newest at or before it, until her next. */
struct litter {
    const char *sow, *uid; /* uid NULL: none is recorded before that moment */
    int64_t start_s, next_s;
    int64_t born;         /* born alive; -1 not counted */
    int64_t lost, weaned; /* recorded so far, without the fact in question */
    const char *weaned_uid;
    int64_t weaned_s; /* its first weaning; INT64_MAX: none */
};

static enum status litter_at(struct farm_contra *c, int64_t at_s, struct litter *l, struct message *why)
{
    struct contra_list born, lost, weaned;

    *l = (struct litter){
        .sow = contra_text(c, "sow"), .start_s = INT64_MIN, .next_s = INT64_MAX, .born = -1, .weaned_s = INT64_MAX
    };
    enum status st = contra_list(c, "farrowing", "sow", l->sow, &born, why);
    if (st == ST_OK)
        st = contra_list(c, "loss", "sow", l->sow, &lost, why);
    if (st == ST_OK)
        st = contra_list(c, "weaning", "sow", l->sow, &weaned, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < born.n; i++) {
        const int64_t start_s = fact_whole(born.kind, born.fact[i].value, "start", INT64_MIN);
        if (start_s > at_s) {
            l->next_s = start_s < l->next_s ? start_s : l->next_s;
        } else if (start_s > l->start_s) {
            l->start_s = start_s;
            l->uid = born.fact[i].uid;
            l->born = fact_whole(born.kind, born.fact[i].value, "born_alive", -1);
        }
    }
    for (size_t i = 0; l->uid && i < lost.n; i++) {
        const int64_t on_s = fact_whole(lost.kind, lost.fact[i].value, "at", INT64_MIN);
        if (on_s >= l->start_s && on_s < l->next_s)
            l->lost += fact_whole(lost.kind, lost.fact[i].value, "many", 0);
    }
    for (size_t i = 0; l->uid && i < weaned.n; i++) {
        const int64_t on_s = fact_whole(weaned.kind, weaned.fact[i].value, "at", INT64_MIN);
        if (on_s < l->start_s || on_s >= l->next_s)
            continue;
        l->weaned += fact_whole(weaned.kind, weaned.fact[i].value, "weaned", 0);
        if (on_s < l->weaned_s) {
            l->weaned_s = on_s;
            l->weaned_uid = weaned.fact[i].uid;
        }
    }
    return ST_OK;
}

/* Nothing can come of a litter before it is born, unless an older one is recorded. */
static enum status not_before_birth(struct farm_contra *c, const struct litter *l, const char *did, struct message *why)
{
    const int64_t at_s = contra_when(c);

    if (l->uid || l->next_s == INT64_MAX || l->next_s - at_s >= LEAST_D * DAY_S)
        return ST_OK;
    return refuse(ST_CONFLICT, why, "at", "at: %s %s on %s, before she farrowed on %s; look at both dates",
                  contra_called(c, l->sow), did, contra_day(c, at_s), contra_day(c, l->next_s));
}

enum status contra_of_weaning(struct farm_contra *c, struct message *why)
{
    const int64_t at_s = contra_when(c), weaned = contra_whole(c, "weaned");
    struct litter l;

    enum status st = litter_at(c, at_s, &l, why);
    if (st == ST_OK)
        st = not_before_birth(c, &l, "weaned", why);
    if (st != ST_OK || !l.uid)
        return st;
    const double age_d = (double)(at_s - l.start_s) / (double)DAY_S;
    if ((age_d < WEAN_YOUNG_D || age_d > WEAN_OLD_D) && contra_whole(c, "all_lost") != 1)
        farm_odd(c, "weaning-age-odd", l.uid, "the litter of %s would be weaned at %.0f days", contra_called(c, l.sow),
                 age_d);
    if (l.born >= 0 && weaned > l.born - l.lost && l.lost == 0)
        farm_odd(c, "weaned-more", l.uid, "%s weans %lld and bore %lld alive; were some fostered on?",
                 contra_called(c, l.sow), (long long)weaned, (long long)l.born);
    else if (l.born >= 0 && weaned > l.born - l.lost)
        farm_odd(c, "weaned-more", l.uid, "%s weans %lld, bore %lld alive and lost %lld since; were some fostered on?",
                 contra_called(c, l.sow), (long long)weaned, (long long)l.born, (long long)l.lost);
    if (l.weaned_s <= at_s)
        farm_odd(c, "weaned-twice", l.weaned_uid, "that litter of %s was weaned on %s already", contra_called(c, l.sow),
                 contra_day(c, l.weaned_s));
    return ST_OK;
}

enum status contra_of_loss(struct farm_contra *c, struct message *why)
{
    const int64_t at_s = contra_when(c), many = contra_whole(c, "many");
    struct litter l;

    enum status st = litter_at(c, at_s, &l, why);
    if (st == ST_OK)
        st = not_before_birth(c, &l, "lost piglets", why);
    if (st != ST_OK)
        return st;
    if (!l.uid) {
        farm_odd(c, "loss-without-litter", NULL, "no litter of %s is recorded before %s", contra_called(c, l.sow),
                 contra_day(c, at_s));
        return ST_OK;
    }
    if (l.weaned_s < at_s)
        farm_odd(c, "loss-after-weaning", l.weaned_uid, "that litter of %s was weaned on %s", contra_called(c, l.sow),
                 contra_day(c, l.weaned_s));
    if (l.born >= 0 && l.lost + many > l.born - l.weaned)
        farm_odd(c, "lost-more", l.uid,
                 "of the litter of %s %lld would have died and %lld been weaned, of %lld born "
                 "alive; were some fostered on?",
                 contra_called(c, l.sow), (long long)l.lost + (long long)many, (long long)l.weaned, (long long)l.born);
    return ST_OK;
}
