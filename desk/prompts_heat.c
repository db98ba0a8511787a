/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a hot day asks for: docs/reckoning/round.md, "Every day, weather and stock", has each rule with its source. */
#include <math.h>

#include "desk/prompts_inside.h"
#include "desk/unit_words.h"

static const double HEAT_STRESS_C = 25.0, HEAT_EMERGENCY_C = 31.0; /* grades 2 and 4 of core/nest/nest.h */

struct hottest {
    double temp_c; /* NAN: no hour of that day is known */
    int64_t utc_s;
};

static struct hottest hottest_of(const struct prompt_fold *f, int64_t day)
{
    struct hottest most = { NAN, 0 };
    const struct coming *c = f->coming;

    for (size_t i = 0; c && i < c->n_hours; i++) {
        const struct hour *h = &c->line[c->n_before + i];
        if (prompts_day_of(f, h->utc_s) == day && !(h->temp_c <= most.temp_c))
            most = (struct hottest){ h->temp_c, h->utc_s };
    }
    return most;
}

void prompts_heat(struct prompt_fold *f, int64_t day)
{
    const struct hottest most = hottest_of(f, day);
    if (!(most.temp_c >= HEAT_STRESS_C))
        return;
    const char *how_hot = words_temp(&f->herd->place, most.temp_c, f->mem);

    prompts_add(f, (struct prompt){ .key = "wallow",
                                    .kind = PROMPT_WATER,
                                    .day = day,
                                    .by_utc_s = prompts_at_clock(f, day, 10, 0),
                                    .what = "Fill the wallow, see that all have shade, open vents and flaps.",
                                    .why = arena_print(f->mem, "Up to %s. A hut in the sun is hotter than the air.",
                                                       how_hot ? how_hot : "") });
    prompts_add(f, (struct prompt){ .key = "water-afternoon",
                                    .kind = PROMPT_WATER,
                                    .day = day,
                                    .by_utc_s = prompts_at_clock(f, day, 15, 30),
                                    .what = "Water again, wallow and troughs.",
                                    .why = "In heat they drink most, and a sow with a litter dries up without." });
    if (most.temp_c >= HEAT_EMERGENCY_C)
        prompts_add(
            f, (struct prompt){ .key = "heat-look",
                                .kind = PROMPT_SHELTER,
                                .day = day,
                                .by_utc_s = most.utc_s,
                                .what = "Look at all of them at the hottest hour.",
                                .why = "One that pants and stays down: shade, moving air, wet ground under her; do not "
                                       "drive her; ring the vet." });
}
