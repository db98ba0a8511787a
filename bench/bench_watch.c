/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Watch at full size: 12 sows, 70 options of 16 sites, 72 hours, 15 forecasts, each forecast's own plan too; with
 * plenty of everything, with little, and with next to nothing. Then the looks and the rounds of such a night. Processor
 * time, so that others on the machine do not count.
 */
#include <math.h>
#include <stdio.h>
#include <time.h>

#include "core/base/dice.h"
#include "core/watch/watch.h"

enum {
    HOURS = 72,
    MEMBERS = 15,
    SOWS = 12,
    HUTS = 8,
    BEDS = 7,
    SITES = HUTS + BEDS + 1,
    OPTIONS = HUTS * 7 + BEDS * 2 - 1 + 1,
    LOOKS = SOWS * 12 * 4,
    ROUNDS = 20
};

static struct watch_cell cells[OPTIONS][MEMBERS * HOURS];
static double birth[SOWS][HOURS], hands[HOURS], yes[LOOKS][HOURS], no[LOOKS][HOURS];
static char names[SOWS + SITES + OPTIONS][16];

static double now_ms(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static void weather(struct dice *d)
{
    static double chill[MEMBERS][HOURS]; /* a common course with each member's own drift */

    for (size_t m = 0; m < MEMBERS; m++) {
        double drift = 0.0;
        for (size_t h = 0; h < HOURS; h++) {
            drift = 0.95 * drift + 0.3 * dice_normal(d) * (m ? 1.0 : 0.0);
            chill[m][h] = 3.0 + 2.0 * sin((double)h / 24.0 * 6.2832) + (double)h / 36.0 + drift;
        }
    }
    for (size_t o = 0; o < OPTIONS; o++) {
        const double helps = o == 0 ? 0.0 : dice_between(d, 0.5, 5.0);
        for (size_t i = 0; i < (size_t)MEMBERS * HOURS; i++) {
            const double s = fmin(9.0, fmax(0.0, chill[i / HOURS][i % HOURS] - helps)), r = fmin(9.0, s + 1.0);
            cells[o][i] = (struct watch_cell){ .shortfall_c = (float)s,
                                               .runt_shortfall_c = (float)r,
                                               .grade = s > 2.5   ? 3
                                                        : s > 1.0 ? 2
                                                        : s > 0.0 ? 1
                                                                  : 0,
                                               .runt_grade = r > 2.5   ? 3
                                                             : r > 1.0 ? 2
                                                             : r > 0.0 ? 1
                                                                       : 0 };
        }
    }
}

static void lay_out(struct dice *d, struct watch_sow *sows, struct watch_site *sites, struct watch_option *options)
{
    for (size_t i = 0; i < COUNT(names); i++)
        (void)snprintf(names[i], sizeof names[i], "n%03zu", i);
    for (size_t j = 0; j < SITES; j++)
        sites[j] = (struct watch_site){ .key = names[SOWS + j], .room = j == SITES - 1 ? 50 : 1, .frozen_in = j == 2 };
    for (size_t o = 0; o < OPTIONS; o++) {
        const size_t hut = (o - 1) / 7, bed = o - 1 - HUTS * 7;
        const unsigned kind = o == 0 ? 0 : o <= HUTS * 7 ? (unsigned)((o - 1) % 7) : (unsigned)(1 + bed % 2);
        static const unsigned change[] = { WATCH_AS_IT_STANDS, WATCH_TURN,
                                           WATCH_STRAW,        WATCH_TURN | WATCH_STRAW,
                                           WATCH_FLAP,         WATCH_TURN | WATCH_STRAW | WATCH_FLAP,
                                           WATCH_MOVE };
        options[o] = (struct watch_option){ .key = names[SOWS + SITES + o],
                                            .takes = WATCH_NONE,
                                            .cells = cells[o],
                                            .site = o == 0          ? SITES - 1
                                                    : o <= HUTS * 7 ? hut
                                                                    : HUTS + bed / 2,
                                            .change = change[kind],
                                            .needs = (change[kind] & WATCH_TURN ? WATCH_BEFORE_FREEZE : 0) |
                                                     (change[kind] & WATCH_STRAW ? WATCH_BEFORE_RAIN : 0),
                                            .minutes = kind ? 10.0 + 8.0 * kind : 0.0,
                                            .people = kind ? 1 + kind % 2 : 0,
                                            .straw_kg = change[kind] & WATCH_STRAW ? 17.0 : 0.0,
                                            .flaps = change[kind] & WATCH_FLAP ? 1 : 0,
                                            .bales = o > HUTS * 7 ? 4 * (unsigned)(bed % 2) : 0 };
    }
    for (size_t s = 0; s < SOWS; s++) {
        const double at = dice_between(d, 4.0, 70.0), wide = dice_between(d, 3.0, 20.0);
        sows[s] = (struct watch_sow){ .key = names[s],
                                      .birth = birth[s],
                                      .p_use = 0.75,
                                      .near = true,
                                      .lies = 0,
                                      .nests_at = s == 3 ? 2 : WATCH_NONE };
        double sum = 0.0;
        for (size_t h = 0; h < HOURS; h++)
            sum += birth[s][h] = exp(-0.5 * pow(((double)h - at) / wide, 2.0));
        for (size_t h = 0; h < HOURS; h++)
            birth[s][h] *= dice_between(d, 0.5, 0.95) / sum;
    }
}

static int run(struct watch_night *night, const char *what)
{
    double least = HUGE_VAL, all = 0.0;
    struct watch_plan plan = { 0 };
    struct message why = { "", "" };

    for (int k = 0; k < ROUNDS; k++) {
        struct arena mem;
        arena_open(&mem, 64u << 20);
        const double from = now_ms();
        if (watch_plan(night, &watch_usual_weights, &mem, &plan, &why) != ST_OK) {
            printf("%s: %s\n", what, why.text);
            return 1;
        }
        const double took = now_ms() - from;
        least = fmin(least, took);
        all += took;
        if (k == ROUNDS - 1)
            printf("watch: plan, %-22s %6.2f ms (least %.2f), need %.3f -> %.3f, %zu pieces of work, tight %#x, %s, "
                   "%.1f MB\n",
                   what, all / ROUNDS, least, plan.need_now_c, plan.need_after_c, plan.n_actions, plan.tight,
                   plan.proved ? "proved" : "NOT proved", (double)mem.used / 1e6);
        arena_close(&mem);
    }
    return 0;
}

static int looks_and_rounds(struct watch_night *night, struct dice *d, const char *what)
{
    static struct watch_look looks[LOOKS];
    const double *risk[SOWS];
    struct arena mem;
    struct watch_plan plan;
    struct watch_look_worth *worth = NULL;
    struct watch_rounds rounds;
    struct message why = { "", "" };
    size_t n = 0;

    arena_open(&mem, 64u << 20);
    if (watch_plan(night, &watch_usual_weights, &mem, &plan, &why) != ST_OK)
        return 1;
    for (size_t i = 0; i < LOOKS; i++) {
        const size_t s = i % SOWS;
        const double p = dice_between(d, 0.1, 0.9);
        for (size_t h = 0; h < HOURS; h++) {
            yes[i][h] = birth[s][h] * (h < 12 ? dice_between(d, 1.0, fmin(1.0 / p, 3.0)) : 0.7);
            no[i][h] = fmax(0.0, birth[s][h] - p * yes[i][h]) / (1.0 - p);
        }
        looks[i] = (struct watch_look){ s, "sign", 3.0 * (double)(i / (12 * SOWS)), p, yes[i], no[i] };
    }
    double from = now_ms();
    if (watch_looks(night, &watch_usual_weights, &plan, LOOKS, looks, 5, &mem, &worth, &n, &why) != ST_OK) {
        printf("looks: %s\n", why.text);
        return 1;
    }
    printf("watch: best 5 of %d looks, %-12s %6.2f ms, best worth %.4f\n", LOOKS, what, now_ms() - from,
           n ? worth[0].worth_c : 0.0);
    for (size_t i = 0; i < plan.n_advice; i++)
        risk[plan.advice[i].sow] = plan.advice[i].danger_after;
    const struct watch_rounds_ask ask = { .n_hours = HOURS,
                                          .n_sows = SOWS,
                                          .risk = risk,
                                          .until_h = 16.0,
                                          .slot_minutes = 15,
                                          .most = 12,
                                          .enough = 0.2,
                                          .enough_chance = 0.01 };
    from = now_ms();
    if (watch_rounds(&ask, &mem, &rounds, &why) != ST_OK)
        return 1;
    printf("watch: rounds of a night of 16 h       %6.2f ms, %zu visits leave %.3f of %.3f\n", now_ms() - from,
           rounds.n_visits, rounds.uncovered[rounds.n_visits], rounds.uncovered[0]);
    arena_close(&mem);
    return 0;
}

int main(void)
{
    static struct watch_sow sows[SOWS];
    static struct watch_site sites[SITES];
    static struct watch_option options[OPTIONS];
    static struct watch_moments moments[MEMBERS];
    struct dice d = dice_from(42);
    struct watch_night night = { .n_hours = HOURS,
                                 .n_members = MEMBERS,
                                 .n_sows = SOWS,
                                 .n_sites = SITES,
                                 .n_options = OPTIONS,
                                 .sows = sows,
                                 .sites = sites,
                                 .options = options,
                                 .moments = moments };

    weather(&d);
    lay_out(&d, sows, sites, options);
    for (size_t m = 0; m < MEMBERS; m++)
        moments[m] = (struct watch_moments){ .rain_h = 20.0 + dice_normal(&d) * 3.0,
                                             .freeze_h = 30.0 + dice_normal(&d) * 3.0,
                                             .thaw_h = NAN,
                                             .dusk_h = NAN,
                                             .drift_h = NAN };
    night.limits = (struct watch_limits){ .people = 2, .flaps = 20, .bales = 100, .panels = 10, .straw_kg = 1000.0 };
    int bad = run(&night, "plenty");
    night.limits = (struct watch_limits){
        .people = 2, .flaps = 3, .bales = 12, .panels = 2, .straw_kg = 110.0, .hand_minutes = hands
    };
    for (size_t h = 0; h < HOURS; h++)
        hands[h] = h % 24 < 4 ? 60.0 : 0.0;
    bad += run(&night, "little");
    bad += looks_and_rounds(&night, &d, "little");
    night.limits =
        (struct watch_limits){ .people = 2, .flaps = 1, .bales = 4, .straw_kg = 40.0, .hand_minutes = hands };
    for (size_t h = 0; h < HOURS; h++)
        hands[h] = h == 1 || h == 25 ? 45.0 : 0.0;
    bad += run(&night, "next to nothing");
    return bad ? 1 : 0;
}
