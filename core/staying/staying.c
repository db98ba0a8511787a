/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/staying/staying.h"

#include <math.h>

#include "core/breeding/breeding.h"

const char *const staying_name[STAYING_END] = {
    [STAYING_LINE] = "line",   [STAYING_INBRED] = "inbred",   [STAYING_LEFT] = "left",
    [STAYING_TEATS] = "teats", [STAYING_LEGS] = "legs",       [STAYING_TEMPER] = "temper",
    [STAYING_AGE] = "age",     [STAYING_BORN] = "born",       [STAYING_WEANED] = "weaned",
    [STAYING_BACK] = "back",   [STAYING_RETURNS] = "returns", [STAYING_TROUBLE] = "trouble",
};

/* Scales are judgement: of kinship one square (1/32, as between half-cousins), of inbreeding a litter of cousins
 * (1/16). Spread of litters 2.5 (NSIF guidelines; Berkshire 2.52, AJAS 30:1358, 2017), repeatability 0.15 (from
 * memory); the other records from memory or judgement. */
const struct staying_rule staying_rules[STAYING_END] = {
    [STAYING_LINE] = { .scale = 1.0 / 32.0, .less_is_better = true },
    [STAYING_INBRED] = { .scale = 1.0 / 16.0, .less_is_better = true },
    [STAYING_LEFT] = { .scale = 0.35 },
    [STAYING_TEATS] = { .scale = 1.5 },
    [STAYING_LEGS] = { .scale = 0.75 },
    [STAYING_TEMPER] = { .scale = 1.0 },
    [STAYING_AGE] = { .scale = 2.0, .less_is_better = true },
    [STAYING_BORN] = { .spread = 2.5, .repeats = 0.15 },
    [STAYING_WEANED] = { .spread = 2.5, .repeats = 0.10 },
    [STAYING_BACK] = { .spread = 8.0, .repeats = 0.10, .less_is_better = true },
    [STAYING_RETURNS] = { .spread = 0.4, .repeats = 0.05, .less_is_better = true },
    [STAYING_TROUBLE] = { .spread = 0.35, .repeats = 0.10, .less_is_better = true },
};

const double staying_weights_usual[STAYING_END] = {
    [STAYING_LINE] = 1.5,   [STAYING_INBRED] = 0.5, [STAYING_LEFT] = 1.0,     [STAYING_TEATS] = 0.75,
    [STAYING_LEGS] = 1.5,   [STAYING_TEMPER] = 1.5, [STAYING_AGE] = 1.0,      [STAYING_BORN] = 1.0,
    [STAYING_WEANED] = 1.5, [STAYING_BACK] = 0.5,   [STAYING_RETURNS] = 0.75, [STAYING_TROUBLE] = 1.0,
};

static const struct {
    double low, high;
} range[STAYING_END] = {
    [STAYING_LINE] = { 0, 1 },   [STAYING_INBRED] = { 0, 1 },  [STAYING_LEFT] = { 1, 1e6 },
    [STAYING_TEATS] = { 0, 24 }, [STAYING_LEGS] = { 1, 5 },    [STAYING_TEMPER] = { STAYING_CALM, STAYING_FIERCE },
    [STAYING_AGE] = { 0, 100 },  [STAYING_BORN] = { -1, 32 },  [STAYING_WEANED] = { -1, 32 },
    [STAYING_BACK] = { 0, 60 },  [STAYING_RETURNS] = { 0, 1 }, [STAYING_TROUBLE] = { 0, 1 },
};

static const double level = 1e-9; /* scores nearer than that are equal: sums in another order round otherwise */

double staying_litter_shift(int litter)
{
    return litter <= 1 ? -1.0 : litter == 2 ? -0.3 : litter <= 6 ? 0.0 : -0.5;
}

/* What of a figure counts, in the reason's own unit. */
static double counts(enum staying_reason r, double x)
{
    static const double temper[] = { 1.0, 0.0, -1.0, -3.0 }; /* calm .. fierce; judgement */

    switch (r) {
    case STAYING_LEFT: return 1.0 / x;
    case STAYING_TEATS: return fmin(x, STAYING_TEATS_MOST);
    case STAYING_TEMPER: return temper[(int)x];
    case STAYING_AGE: return fmax(x - STAYING_PRIME, 0.0);
    default: return x;
    }
}

static double known_of(enum staying_reason r, const struct staying_animal *a)
{
    if (isnan(a->seen[r]))
        return 0.0;
    if (r >= STAYING_FIRST_RECORD)
        return breeding_own_weight(a->n[r], staying_rules[r].repeats);
    if (r == STAYING_LINE || r == STAYING_INBRED)
        return a->generations > 0.0 ? a->generations / (a->generations + 1.0) : 0.0;
    return 1.0;
}

static enum status check(size_t n, const struct staying_animal animals[], const double weight[STAYING_END],
                         struct message *why)
{
    for (int r = 0; r < STAYING_END; r++)
        if (!(weight[r] >= 0.0 && weight[r] <= STAYING_WEIGHT_MOST))
            return refuse(ST_BAD_INPUT, why, staying_name[r], "the weight of %s is out of range; give 0 to %d",
                          staying_name[r], STAYING_WEIGHT_MOST);
    for (size_t i = 0; i < n; i++)
        for (int r = 0; r < STAYING_END; r++) {
            const double x = animals[i].seen[r];
            if (!isnan(x) && !(x >= range[r].low && x <= range[r].high))
                return refuse(ST_BAD_INPUT, why, staying_name[r], "%s: %.6g is out of range; give %g to %g",
                              staying_name[r], x, range[r].low, range[r].high);
        }
    return ST_OK;
}

/* Mean of what counts, each by how far it is known; NAN: of nobody. */
static double mean_of(enum staying_reason r, size_t n, const struct staying_animal animals[])
{
    double sum = 0.0, of = 0.0;

    for (size_t i = 0; i < n; i++) {
        const double k = known_of(r, &animals[i]);
        if (k > 0.0) {
            sum += k * counts(r, animals[i].seen[r]);
            of += k;
        }
    }
    return of > 0.0 ? sum / of : (double)NAN;
}

static struct staying_part part_of(enum staying_reason r, const struct staying_animal *a, double mean, double weight)
{
    const struct staying_rule *rule = &staying_rules[r];
    const double scale = r >= STAYING_FIRST_RECORD ? rule->spread * sqrt(rule->repeats) : rule->scale;
    struct staying_part p = { 0.0, 0.0, isnan(mean) ? 0.0 : known_of(r, a) };

    if (p.known > 0.0)
        p.value = (rule->less_is_better ? -1.0 : 1.0) * p.known * (counts(r, a->seen[r]) - mean) / scale;
    p.points = weight * p.value;
    return p;
}

static void rank(size_t n, struct staying_score scores[])
{
    for (size_t i = 0; i < n; i++) {
        scores[i].rank = 1;
        for (size_t k = 0; k < n; k++)
            scores[i].rank += scores[k].score > scores[i].score + level;
    }
}

enum status staying_scores(size_t n, const struct staying_animal animals[], const double weight[STAYING_END],
                           const double record[STAYING_END], struct staying_score scores[], struct message *why)
{
    double mean[STAYING_END], all = 0.0;
    const enum status st = check(n, animals, weight, why);

    if (st != ST_OK)
        return st;
    for (int r = 0; r < STAYING_END; r++) {
        mean[r] = r >= STAYING_FIRST_RECORD ? record[r] : mean_of((enum staying_reason)r, n, animals);
        all += weight[r];
    }
    for (size_t i = 0; i < n; i++) {
        struct staying_score s = { .rank = 1 };
        double var = 0.0;
        for (int r = 0; r < STAYING_END; r++) {
            s.part[r] = part_of((enum staying_reason)r, &animals[i], mean[r], weight[r]);
            s.score += s.part[r].points;
            s.known += all > 0.0 ? weight[r] * s.part[r].known / all : 0.0;
            var += weight[r] * weight[r] * (1.0 - s.part[r].known);
        }
        s.sd = sqrt(var);
        scores[i] = s;
    }
    rank(n, scores);
    return ST_OK;
}

double staying_better(const struct staying_score *a, const struct staying_score *b)
{
    const double by = a->score - b->score, sd = hypot(a->sd, b->sd);

    if (!(sd > 0.0))
        return by > level ? 1.0 : by < -level ? 0.0 : 0.5;
    return 0.5 * erfc(-by / sd * 0.70710678118654752440);
}
