/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * F of all litters of a boar from his column of A (Colleau 2002; Sargolzaei, Iwaisaki & Colleau 2005), or of a sow from
 * hers where sows are fewer.
 *
 * The column of a boar rests on F of his parents and of theirs. F of an animal comes from its sire's column, whose
 * longest ancestral path is at least one shorter than the animal's own. So boars of two neighbouring lengths never wait
 * for one another: they are one group, done eight at a time. */
#include "core/pedigree/inbreeding.h"
#include "core/pedigree/lanes.h"

/* An animal under the parent with the column, and the new number of its mate; 0 = not known. */
struct young {
    uint32_t animal, mate;
};

struct sweep {
    const struct pedigree *p;
    const struct parents *up;
    const uint32_t *side, *other; /* of the whole pedigree: the parent with the column, and its mate */
    const uint32_t *start;        /* offspring by parent (new number): of[start[b]] .. of[start[b + 1]] */
    const struct young *of;
    const double *d;
    double *f;
    const uint32_t *who; /* of this group */
    size_t n, workers;
    const struct sheet *sheet; /* of each worker */
};

enum { WORTH = 4 }; /* packs for each worker: fewer are done before a thread has begun */

static void pack(const struct sweep *s, const struct sheet *sheet, size_t first)
{
    const size_t n = s->n - first < LANES ? s->n - first : LANES;
    uint32_t last = 1;

    for (size_t k = 0; k < n; k++) {
        const uint32_t b = s->who[first + k];
        last = b > last ? b : last;
        for (uint32_t at = s->start[b]; at < s->start[b + 1]; at++) {
            const uint32_t mate = s->of[at].mate;
            last = mate > last ? mate : last;
            lanes_want(sheet, mate);
        }
    }
    lanes_columns(s->up->sire, s->up->dam, s->d, n, s->who + first, last, sheet);
    for (size_t k = 0; k < n; k++) {
        const uint32_t b = s->who[first + k];
        for (uint32_t at = s->start[b]; at < s->start[b + 1]; at++)
            s->f[s->of[at].animal] = 0.5 * sheet->w[s->of[at].mate].w[k]; /* an unknown mate: w[0] = 0 */
    }
}

static void part(void *self, size_t worker)
{
    const struct sweep *s = self;

    for (size_t first = worker * LANES; first < s->n; first += s->workers * LANES)
        pack(s, &s->sheet[worker], first);
}

/* Offspring of each parent on the side, by its new number; [0] collects those without. */
static bool offspring(struct sweep *s, struct arena *work)
{
    const struct pedigree *p = s->p;
    const uint32_t *number = s->up->number, n = s->up->n;
    uint32_t *end = ARENA_NEW(work, uint32_t, (size_t)n + 2);
    struct young *list = ARENA_NEW(work, struct young, (size_t)p->n + 1);

    if (!end || !list)
        return false;
    for (uint32_t i = 1; i <= p->n; i++)
        end[number[s->side[i]] + 1]++;
    for (uint32_t b = 0; b <= n; b++)
        end[b + 1] += end[b];
    for (uint32_t i = 1; i <= p->n; i++) {
        const uint32_t b = number[s->side[i]];
        list[end[b]++] = (struct young){ i, number[s->other[i]] };
    }
    for (uint32_t b = n + 1; b > 0; b--)
        end[b] = end[b - 1];
    end[0] = 0;
    s->start = end;
    s->of = list;
    return true;
}

/* Parents of the side by longest ancestral path; level_end[l] = how many have one of at most l. */
static bool by_level(const struct parents *up, unsigned use, uint32_t top, struct arena *work, uint32_t **who,
                     uint32_t **level_end)
{
    uint32_t *end = ARENA_NEW(work, uint32_t, (size_t)top + 2), *list = ARENA_NEW(work, uint32_t, (size_t)up->n + 1);

    if (!end || !list)
        return false;
    for (uint32_t k = 1; k <= up->n; k++)
        if (up->use[k] & use)
            end[up->level[k] + 1]++;
    for (uint32_t l = 0; l <= top; l++)
        end[l + 1] += end[l];
    for (uint32_t k = 1; k <= up->n; k++)
        if (up->use[k] & use)
            list[end[up->level[k]]++] = k;
    *who = list;
    *level_end = end;
    return true;
}

/* D of the parents whose own parents have their F by now. */
static void refresh(const struct sweep *s, double *d, const uint32_t *sorted, const uint32_t *end, uint32_t level,
                    uint32_t upto)
{
    const struct pedigree *p = s->p;

    for (uint32_t at = level ? end[level - 1] : 0; at < end[upto]; at++) {
        const uint32_t i = s->up->of[sorted[at]], a = p->sire[i], b = p->dam[i];
        d[sorted[at]] = 0.5 - 0.25 * ((a ? s->f[a] : -1.0) + (b ? s->f[b] : -1.0));
    }
}

bool inbreeding_by_sire(const struct pedigree *p, const struct parents *up, const struct pedigree_hands *hands,
                        struct arena *work, double f[])
{
    const bool boars = up->n_sires <= up->n_dams;
    const size_t threads = hands && hands->threads ? hands->threads : 1;
    struct sweep s = { .p = p, .up = up, .side = boars ? p->sire : p->dam, .other = boars ? p->dam : p->sire, .f = f };
    uint32_t *who, *end, *all, *all_end, top = 0;
    double *d = ARENA_NEW(work, double, (size_t)up->n + 1);

    for (uint32_t k = 1; k <= up->n; k++)
        top = up->level[k] > top ? up->level[k] : top;
    s.sheet = sheets_open(threads, up->n, work);
    if (!d || !s.sheet || !offspring(&s, work) || !by_level(up, boars ? 1 : 2, top, work, &who, &end) ||
        !by_level(up, 3, top, work, &all, &all_end))
        return false;
    s.d = d;
    for (uint32_t level = 0; level <= top; level += 2) {
        const uint32_t upto = level < top ? level + 1 : top, from = level ? end[level - 1] : 0;
        refresh(&s, d, all, all_end, level, upto);
        s.who = who + from;
        s.n = end[upto] - from;
        const size_t packs = (s.n + LANES - 1) / LANES;
        s.workers = packs / WORTH < threads ? packs / WORTH : threads;
        if (s.workers > 1) {
            hands->share(hands->self, part, &s, s.workers);
        } else {
            s.workers = 1;
            part(&s, 0);
        }
    }
    return true;
}
