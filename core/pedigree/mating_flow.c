/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The transport problem by successive shortest paths over boars alone (Ahuja, Magnanti & Orlin, Network Flows, 1993,
 * section 9.7; from memory): a sow comes in, and others move over, along the cheapest chain. Node n_boars is the end,
 * where every chain goes out. Prices are whole numbers, so that equal is equal and ties are no accident of rounding:
 * the cost in 2^-k of the power of two above the dearest pair, beneath a rank that counts forbidden pairs and leasts. */
#include <math.h>
#include <string.h>

#include "core/pedigree/mating_inside.h"

struct price {
    int64_t rank, fine;
};

static const struct price none = { INT64_MAX / 4, 0 };
static const int64_t spare_rank =
    4; /* of a sow without a place: dearer than a least missed, cheaper than what must not be */

struct flow {
    const struct mating_net *net;
    size_t n; /* boars and the end */
    uint32_t *at, *used;
    struct price *pair; /* n_sows * n_boars */
    struct price *move; /* n * n: cheapest way from boar to boar */
    uint32_t *who;      /* n * n: the sow that goes that way */
    struct price *pot, *dist;
    uint32_t *back; /* the node before, on the shortest chain; n: the sow herself */
    bool *done;
};

static struct price plus(struct price a, struct price b)
{
    return (struct price){ a.rank + b.rank, a.fine + b.fine };
}

static struct price less(struct price a, struct price b)
{
    return (struct price){ a.rank - b.rank, a.fine - b.fine };
}

static bool below(struct price a, struct price b)
{
    return a.rank != b.rank ? a.rank < b.rank : a.fine < b.fine;
}

static bool there(struct price a)
{
    return a.rank < none.rank / 2;
}

static bool zero(struct price a)
{
    return a.rank == 0 && a.fine == 0;
}

/* The way from a boar to the end, and back from it. */
static struct price way_out(const struct flow *w, size_t b)
{
    if (w->used[b] < w->net->least[b])
        return (struct price){ -1, 0 };
    return w->used[b] < w->net->most[b] ? (struct price){ 0, 0 } : none;
}

static struct price way_back(const struct flow *w, size_t b)
{
    if (w->used[b] == 0)
        return none;
    return w->used[b] <= w->net->least[b] ? (struct price){ 1, 0 } : (struct price){ 0, 0 };
}

static struct price pair_move(const struct flow *w, size_t sow, size_t from, size_t to)
{
    const struct price *row = w->pair + sow * w->net->n_boars;

    return less(row[to], row[from]);
}

/* Cheapest moves away from one boar, afresh. */
static void moves_from(struct flow *w, size_t boar)
{
    const size_t nb = w->net->n_boars;
    struct price *move = w->move + boar * w->n;
    uint32_t *who = w->who + boar * w->n;

    for (size_t b = 0; b < nb; b++)
        move[b] = none;
    for (uint32_t s = 0; s < w->net->n_sows; s++)
        for (size_t b = 0; w->at[s] == boar && b < nb; b++) {
            const struct price p = pair_move(w, s, boar, b);
            if (b != boar && below(p, move[b])) {
                move[b] = p;
                who[b] = s;
            }
        }
}

static void ends(struct flow *w)
{
    const size_t end = w->net->n_boars;

    for (size_t b = 0; b < end; b++) {
        w->move[b * w->n + end] = way_out(w, b);
        w->move[end * w->n + b] = way_back(w, b);
    }
}

/* True distances to all nodes from those of which one is known; Dijkstra over prices less potentials, which are never
 * below 0. */
static void spread(struct flow *w)
{
    for (size_t step = 0; step < w->n; step++) {
        size_t u = w->n;
        for (size_t b = 0; b < w->n; b++)
            if (!w->done[b] && there(w->dist[b]) &&
                (u == w->n || below(less(w->dist[b], w->pot[b]), less(w->dist[u], w->pot[u]))))
                u = b;
        if (u == w->n)
            return;
        w->done[u] = true;
        for (size_t b = 0; b < w->n; b++) {
            const struct price p = w->move[u * w->n + b];
            if (w->done[b] || b == u || !there(p) || !below(plus(w->dist[u], p), w->dist[b]))
                continue;
            w->dist[b] = plus(w->dist[u], p);
            w->back[b] = (uint32_t)u;
        }
    }
}

static void forget(struct flow *w)
{
    for (size_t b = 0; b < w->n; b++) {
        w->dist[b] = none;
        w->back[b] = (uint32_t)w->n;
        w->done[b] = false;
    }
}

static void distances(struct flow *w, uint32_t sow)
{
    const size_t nb = w->net->n_boars;

    forget(w);
    for (size_t b = 0; b < nb; b++)
        w->dist[b] = w->pair[sow * nb + b];
    spread(w);
}

static void bring_in(struct flow *w, uint32_t sow)
{
    const size_t end = w->net->n_boars;
    uint32_t to;

    distances(w, sow);
    for (size_t b = 0; b < w->n; b++)
        w->pot[b] = w->dist[b];
    to = w->back[end]; /* the boar whose number goes up */
    w->used[to]++;
    while (w->back[to] != w->n) { /* a chain to the end never passes the end */
        const uint32_t from = w->back[to];
        w->at[w->who[from * w->n + to]] = to;
        moves_from(w, to);
        to = from;
    }
    w->at[sow] = to;
    moves_from(w, to);
    ends(w);
}

/* ---- ties ---- */

/* Zero-price moves left to sows not yet settled: count[from * n + to]. */
static bool tight(const struct flow *w, struct price p, size_t from, size_t to)
{
    return there(p) && zero(less(plus(p, w->pot[from]), w->pot[to]));
}

static void count_moves(const struct flow *w, uint32_t *count, uint32_t sow, int by)
{
    const size_t from = w->at[sow];

    for (size_t b = 0; b < w->net->n_boars; b++)
        if (b != from && tight(w, pair_move(w, sow, from, b), from, b))
            count[from * w->n + b] += (uint32_t)by;
}

static bool way(const struct flow *w, const uint32_t *count, size_t from, size_t to)
{
    const size_t end = w->net->n_boars;

    if (from == end)
        return tight(w, way_back(w, to), from, to);
    return to == end ? tight(w, way_out(w, from), from, to) : count[from * w->n + to] > 0;
}

/* Which nodes reach `goal` by zero-price moves; back[] holds the next node on the way. */
static void reach(struct flow *w, const uint32_t *count, uint32_t goal, uint32_t *queue)
{
    size_t head = 0, tail = 0;

    for (size_t b = 0; b < w->n; b++)
        w->done[b] = false;
    w->done[goal] = true;
    queue[tail++] = goal;
    while (head < tail) {
        const uint32_t to = queue[head++];
        for (uint32_t b = 0; b < w->n; b++)
            if (!w->done[b] && way(w, count, b, to)) {
                w->done[b] = true;
                w->back[b] = to;
                queue[tail++] = b;
            }
    }
}

static void shift(struct flow *w, uint32_t *count, uint32_t after, uint32_t from, uint32_t to)
{
    const size_t end = w->net->n_boars;

    if (to == end) {
        w->used[from]++;
        return;
    }
    if (from == end) {
        w->used[to]--;
        return;
    }
    for (uint32_t s = after + 1; s < w->net->n_sows; s++)
        if (w->at[s] == from && tight(w, pair_move(w, s, from, to), from, to)) {
            count_moves(w, count, s, -1);
            w->at[s] = to;
            count_moves(w, count, s, 1);
            return;
        }
}

/* Sow after sow, the earliest boar that some plan of the same price gives her, given those before. */
static void settle(struct flow *w, uint32_t *count, uint32_t *queue)
{
    for (uint32_t s = 0; s < w->net->n_sows; s++)
        if (w->net->open[s])
            count_moves(w, count, s, 1);
    for (uint32_t s = 0; s < w->net->n_sows; s++) {
        if (!w->net->open[s])
            continue;
        const uint32_t now = w->at[s];
        bool any = false;
        count_moves(w, count, s, -1);
        for (uint32_t b = 0; b < now && !any; b++)
            any = tight(w, pair_move(w, s, now, b), now, b);
        if (!any)
            continue;
        reach(w, count, now, queue);
        for (uint32_t b = 0; b < now; b++)
            if (w->done[b] && tight(w, pair_move(w, s, now, b), now, b)) {
                w->at[s] = b;
                for (uint32_t from = b; from != now; from = w->back[from])
                    shift(w, count, s, from, w->back[from]);
                break;
            }
    }
}

/* ---- putting it together ---- */

static void prices(struct flow *w)
{
    const struct mating_net *net = w->net;
    const size_t n = net->n_sows * net->n_boars;
    double dearest = 0.0;
    int up = 0, bits = 60;

    for (size_t k = 0; k < n; k++)
        dearest = net->ok[k] && net->cost[k] > dearest ? net->cost[k] : dearest;
    (void)frexp(dearest, &up);
    for (size_t b = 1; b < w->n + 2; b *= 2) /* so that a chain over all boars fits */
        bits--;
    for (size_t k = 0; k < n; k++)
        w->pair[k] = net->ok[k] ? (struct price){ 0, (int64_t)floor(ldexp(net->cost[k], bits - up) + 0.5) }
                                : (struct price){ 4 * (int64_t)w->n, 0 };
}

static bool flow_open(struct flow *w, const struct mating_net *net, struct arena *mem, uint32_t at[])
{
    const size_t n = net->n_boars + 1;

    *w = (struct flow){ .net = net,
                        .n = n,
                        .at = at,
                        .used = ARENA_NEW(mem, uint32_t, n),
                        .pair = ARENA_NEW(mem, struct price, net->n_sows * net->n_boars),
                        .move = ARENA_NEW(mem, struct price, n * n),
                        .who = ARENA_NEW(mem, uint32_t, n * n),
                        .pot = ARENA_NEW(mem, struct price, n),
                        .dist = ARENA_NEW(mem, struct price, n),
                        .back = ARENA_NEW(mem, uint32_t, n),
                        .done = ARENA_NEW(mem, bool, n) };
    if (arena_full(mem))
        return false;
    for (size_t k = 0; k < n * n; k++)
        w->move[k] = none;
    w->pot[n - 1].rank = -1; /* so that a way out toward a least is not below 0 either */
    return true;
}

static void place_all(struct flow *w)
{
    for (uint32_t s = 0; s < w->net->n_sows; s++)
        w->at[s] = MATING_NONE;
    ends(w);
    for (uint32_t s = 0; s < w->net->n_sows; s++)
        if (w->net->open[s])
            bring_in(w, s);
}

enum status mating_flow(const struct mating_net *net, struct arena *mem, uint32_t at[], struct message *why)
{
    struct flow w;
    struct arena own;
    enum status st = ST_OK;

    (void)mem;
    arena_open(&own, SIZE_MAX);
    const size_t n = net->n_boars + 1;
    uint32_t *count = ARENA_NEW(&own, uint32_t, n * n), *queue = ARENA_NEW(&own, uint32_t, n);
    if (!flow_open(&w, net, &own, at)) {
        st = refuse(ST_NO_MEMORY, why, "sows", "too many sows and boars for the memory of this machine");
        goto done;
    }
    prices(&w);
    place_all(&w);
    settle(&w, count, queue);
done:
    arena_close(&own);
    return st;
}

/* ---- one boar with more places ---- */

/* The same net with a last boar who takes anybody, so that there is a plan. */
static bool with_spare(const struct mating_net *net, struct mating_net *wide, struct arena *mem)
{
    const size_t nb = net->n_boars, n = nb + 1;
    double *cost = ARENA_NEW(mem, double, net->n_sows *n);
    bool *ok = ARENA_NEW(mem, bool, net->n_sows *n);

    *wide = *net;
    wide->n_boars = n;
    wide->cost = cost;
    wide->ok = ok;
    wide->least = ARENA_NEW(mem, uint32_t, n);
    wide->most = ARENA_NEW(mem, uint32_t, n);
    if (arena_full(mem))
        return false;
    for (size_t s = 0; s < net->n_sows; s++) {
        for (size_t b = 0; b < nb; b++) {
            cost[s * n + b] = net->cost[s * nb + b];
            ok[s * n + b] = net->ok[s * nb + b];
        }
        ok[s * n + nb] = true;
    }
    for (size_t b = 0; b < nb; b++) {
        wide->least[b] = net->least[b];
        wide->most[b] = net->most[b];
    }
    wide->most[nb] = UINT32_MAX;
    return true;
}

/* One sow more to the boar along the cheapest ring through the end (out at the spare boar, as a rule); false: no ring
 * makes the plan cheaper. Rings come in rising order of their prices. */
static bool one_more(struct flow *w, uint32_t boar, struct price *ring)
{
    const uint32_t end = (uint32_t)w->net->n_boars;
    uint32_t to = boar;

    forget(w);
    w->dist[end] = (struct price){ 0, 0 };
    spread(w);
    *ring = plus(w->dist[boar], way_out(w, boar));
    if (!below(*ring, (struct price){ 0, 0 }))
        return false;
    for (size_t b = 0; b < w->n; b++)
        w->pot[b] = w->dist[b];
    w->used[boar]++;
    while (w->back[to] != end) {
        const uint32_t from = w->back[to];
        w->at[w->who[from * w->n + to]] = to;
        moves_from(w, to);
        to = from;
    }
    w->used[to]--;
    moves_from(w, to);
    ends(w);
    return true;
}

/* The price of it all, as a whole number of 2^32 and what is left; false: somebody is with the spare boar, or where she
 * must not be, or a least is not met. */
static bool whole(const struct flow *w, struct price *all)
{
    const size_t nb = w->net->n_boars;

    *all = (struct price){ 0, 0 };
    for (size_t b = 0; b < nb; b++)
        if (w->used[b] < w->net->least[b])
            return false;
    for (size_t s = 0; s < w->net->n_sows; s++) {
        const struct price p = w->net->open[s] ? w->pair[s * nb + w->at[s]] : (struct price){ 0, 0 };
        if (p.rank != 0)
            return false;
        *all = plus(*all, (struct price){ p.fine >> 32, p.fine & UINT32_MAX });
    }
    *all = (struct price){ all->rank + (all->fine >> 32), all->fine & UINT32_MAX };
    return true;
}

static void take_over(struct flow *w, const struct flow *from)
{
    memcpy(w->at, from->at, w->net->n_sows * sizeof *w->at);
    memcpy(w->used, from->used, w->n * sizeof *w->used);
    memcpy(w->pot, from->pot, w->n * sizeof *w->pot);
    memcpy(w->move, from->move, w->n * w->n * sizeof *w->move);
    memcpy(w->who, from->who, w->n * w->n * sizeof *w->who);
}

/* False: it is plain before the end that this boar would not do, or not be the cheapest so far: where no least is missed
 * each ring must take one sow from the spare boar, and none costs less than the one before. */
static bool still_hopes(struct price ring, int64_t missed, uint32_t rest, double sum, double best)
{
    if (missed > 0)
        return true;
    return ring.rank == -spare_rank && sum + (double)ring.fine * rest <= best;
}

enum status mating_flow_more(const struct mating_net *net, uint32_t more, uint32_t *who, struct message *why)
{
    struct arena mem;
    struct mating_net wide;
    struct flow all, w;
    struct price best = none, now, ring;
    double cheapest = (double)INFINITY;
    int64_t missed = 0;

    *who = MATING_NONE;
    arena_open(&mem, SIZE_MAX);
    uint32_t *at[2] = { ARENA_NEW(&mem, uint32_t, net->n_sows), ARENA_NEW(&mem, uint32_t, net->n_sows) };
    if (!with_spare(net, &wide, &mem) || !flow_open(&all, &wide, &mem, at[0]) || !flow_open(&w, &wide, &mem, at[1])) {
        arena_close(&mem);
        return refuse(ST_NO_MEMORY, why, "sows", "too many sows and boars for the memory of this machine");
    }
    prices(&all);
    for (size_t s = 0; s < net->n_sows; s++)
        all.pair[s * wide.n_boars + net->n_boars] = (struct price){ spare_rank, 0 };
    w.pair = all.pair;
    place_all(&all);
    for (size_t b = 0; b < net->n_boars; b++)
        missed += all.used[b] < net->least[b];
    for (uint32_t b = 0; b < net->n_boars; b++) {
        double sum = 0.0;
        uint32_t k = 0;
        take_over(&w, &all);
        wide.most[b] += more;
        ends(&w);
        while (k < more && one_more(&w, b, &ring) && still_hopes(ring, missed, more - ++k, sum, cheapest))
            sum += (double)ring.fine;
        if (whole(&w, &now) && (*who == MATING_NONE || below(now, best))) {
            best = now;
            *who = b;
            cheapest = sum + fabs(sum) * 1e-9 + 1.0; /* a little over, for sums are rounded */
        }
        wide.most[b] -= more;
    }
    arena_close(&mem);
    return ST_OK;
}
