/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The figures, each with its source. [J] marks our own judgement: user-editable, to be refitted from own records.
 */
#include "core/breeding/inside.h"

#include <math.h>
#include <string.h>

#define SASAKI     "Sasaki & Koketsu 2007, Theriogenology 68:123-127 (66,254 farrowings)"
#define JUDGED     "judgement [J], no source"
#define ULTRASOUND "judgement [J] near handbook performance of ultrasound (from memory)"
#define SUCKLING   "Rowlinson & Bryant, lactational oestrus, parts 2 and 4 (62 of 80 sows 10.2 +/- 3.3 d after boar-in)"

const struct breeding_default breeding_defaults[BR_END] = {
    [BR_GESTATION_D] = { "gestation-mean", 115.0, 105.0, 125.0, "d", "mean length of gestation from service",
                         SASAKI ": 115.2-115.4; Petrovic et al. 2013 (Mangalica, 129 litters): 114.9" },
    [BR_GESTATION_SD_D] = { "gestation-sd", 1.4, 0.2, 6.0, "d", "spread (sd) of gestation length",
                            "1.3-1.7 usual in records (from memory)" },
    [BR_TAIL] = { "tail-share", 0.05, 0.0, 0.5, "", "share of births from a wider spread", JUDGED },
    [BR_TAIL_SHIFT_D] = { "tail-shift", 0.5, -5.0, 10.0, "d", "how much later the wider spread is centred", JUDGED },
    [BR_TAIL_SD_D] = { "tail-sd", 3.5, 0.5, 8.0, "d", "sd of the wider spread", JUDGED },
    [BR_WRONG_DATE] = { "wrong-date", 0.05, 0.0, 0.5, "", "chance that a service date is wrong by 1 to 3 days",
                        JUDGED },
    [BR_REPEATABILITY] = { "repeatability", 0.5, 0.0, 0.95, "", "how alike gestations of one sow are",
                           SASAKI ": 0.50; Kennedy & Moxley 1978, Anim Prod: 0.32" },
    [BR_LITTER_SHIFT_D] = { "litter-shift", -0.1, -1.0, 1.0, "d", "change of gestation for each piglet above the mean",
                            JUDGED "; direction: " SASAKI },
    [BR_CONCEPTION] = { "conception", NAN, 0.0, 1.0, "", "chance that she holds to a heat with a boar", "given" },
    [BR_CONCEPTION_SOW] = { "conception-sow", 0.80, 0.0, 1.0, "", "chance that a sow holds to a heat",
                            "judgement [J] near J Am Vet Med Assoc 177:631-635, 1980 (22,997 matings: 76.9 % outside "
                            "July-September)" },
    [BR_CONCEPTION_FIRST] = { "conception-first", 0.75, 0.0, 1.0, "", "the same after a first litter",
                              "judgement [J]; order of classes: J Am Vet Med Assoc 177:631-635, 1980" },
    [BR_CONCEPTION_GILT] = { "conception-gilt", 0.70, 0.0, 1.0, "", "the same for a gilt",
                             "judgement [J] near J Am Vet Med Assoc 177:631-635, 1980 (gilts 65.5 %)" },
    [BR_REPEAT_CONCEPTION] = { "repeat-conception", NAN, 0.0, 1.0, "", "chance that she holds to a repeat heat",
                               "given" },
    [BR_REPEAT_FACTOR] = { "repeat-factor", 0.8, 0.0, 1.0, "", "a repeat heat against the first",
                           "judgement [J]; direction: Meiji University study, Livest Sci 2007 (115,442 services)" },
    [BR_SUMMER_FACTOR] = { "summer-factor", 0.8, 0.0, 1.0, "", "high summer heats against the rest of the year",
                           "J Am Vet Med Assoc 177:631-635, 1980: 60.8 % / 76.9 % = 0.79" },
    [BR_CYCLE_D] = { "cycle", 21.0, 17.0, 26.0, "d", "days between heats", "extension consensus: 21, range 18-24" },
    [BR_CYCLE_SD_D] = { "cycle-sd", 1.5, 0.0, 4.0, "d", "spread (sd) of the days between heats", "1.5 (from memory)" },
    [BR_HEAT_WHILE_PREGNANT] = { "heat-while-pregnant", 0.03, 0.0, 1.0, "", "chance that she stands although pregnant",
                                 JUDGED },
    [BR_RETURN_SEEN] = { "return-seen", 0.9, 0.0, 1.0, "", "chance that a return is seen when she is empty", JUDGED },
    [BR_LOOK_FINDS_RETURN] = { "look-finds-return", 0.8, 0.0, 1.0, "", "chance that daily looks find a return",
                               JUDGED },
    [BR_SCAN_TRUE] = { "scan-true", 0.97, 0.0, 1.0, "", "positive scan of a pregnant sow from day 24", ULTRASOUND },
    [BR_SCAN_FALSE] = { "scan-false", 0.05, 0.0, 1.0, "", "positive scan of an empty sow", ULTRASOUND },
    [BR_SCAN_FROM_D] = { "scan-from", 18.0, 0.0, 60.0, "d", "earliest day a scan can tell", ULTRASOUND },
    [BR_SCAN_FULL_D] = { "scan-full", 24.0, 0.0, 90.0, "d", "day from which a scan is at its best", ULTRASOUND },
    [BR_SUCKLING_FROM_D] = { "suckling-from", 16.0, 0.0, 60.0, "d", "earliest boar effect after farrowing", SUCKLING },
    [BR_SUCKLING_AFTER_D] = { "suckling-after", 10.2, 0.0, 40.0, "d", "days from then to heat while suckling",
                              SUCKLING },
    [BR_SUCKLING_SD_D] = { "suckling-sd", 3.3, 0.2, 15.0, "d", "their spread (sd)", SUCKLING },
    [BR_SUCKLING_SHARE] = { "suckling-share", 0.4, 0.0, 1.0, "", "share of suckling sows in heat with a boar",
                            SUCKLING ": 40 % grouped, 10 % single, 78 % grouped, fed in full; but 2 of 21, Anim Prod "
                                     "31:107, 1980" },
    [BR_CYCLING] = { "cycling", 0.8, 0.0, 1.0, "", "chance that a gilt is cycling when the boar comes", JUDGED },
    [BR_STANDING_TO_EGG_H] = { "standing-to-egg", 40.0, 0.0, 96.0, "h", "best service after first standing",
                               "gilts: ovulation 44 h after onset, Theriogenology 53:1389-1396, 2000; sows 45.0 h, N. "
                               "Carolina State 2001" },
    [BR_CLOCK] = { "clock", 0.25, 0.0, 1.0, "", "how much more farrow at the favoured hour", JUDGED },
    [BR_CLOCK_PEAK_H] = { "clock-peak", 21.0, 0.0, 24.0, "h", "the favoured hour",
                          "most farrow late in the day and at night (veterinary text); moved by feeding: 51.4 % of 278 "
                          "at 07-15 h" },
    [BR_AGREE_POWER] = { "agree-power", 0.5, 0.0, 1.0, "", "weight of each further sign that agrees", JUDGED },
    [BR_SIGN_POWER] = { "sign-power", NAN, 0.0, 1.0, "", "power on the whole product of signs", "given" },
    [BR_FALSE_NEST] = { "false-nest", 0.15, 0.0, 0.6, "",
                        "false sighting of nesting on fresh bedding or before weather", JUDGED },
};
_Static_assert(BR_END <= 64, "breeding_notes.rules has 64 bits");

/* Medians stand on the timings of Jensen 1987 (Appl Anim Behav Sci 17:69-76), Mikkola 2019 (31 farrowings), Yun &
 * Valros 2015, J Anim Sci 1978 (60 females: breathing, temperature), a Czech report of 2004 (getting up and down),
 * veterinary texts (vulva, udder, milk). Spreads, sensitivities and false sightings are judgement [J]. */
const struct breeding_sign_rule breeding_sign_defaults[BS_END] = {
    [BS_VULVA] = { 72.0, 0.50, 0.85, 0.15 },      [BS_UDDER] = { 36.0, 0.50, 0.90, 0.10 },
    [BS_AWAY] = { 30.0, 0.35, 0.80, 0.08 },       [BS_DROPS] = { 24.0, 0.60, 0.90, 0.10 },
    [BS_NEST] = { 16.0, 0.40, 0.90, 0.02 },       [BS_NOT_AT_FEED] = { 10.0, 0.50, 0.60, 0.03 },
    [BS_BREATHING] = { 10.0, 0.40, 0.80, 0.05 },  [BS_STREAMS] = { 8.0, 0.50, 0.85, 0.02 },
    [BS_TEMPERATURE] = { 6.0, 0.50, 0.60, 0.10 }, [BS_RESTLESS] = { 5.0, 0.60, 0.80, 0.05 },
    [BS_FLUID] = { 0.8, 0.60, 0.60, 0.0005 },     [BS_STRAINING] = { 0.5, 0.60, 0.80, 0.0003 },
};

const char *const breeding_sign_name[BS_END] = {
    [BS_VULVA] = "vulva-swollen",
    [BS_UDDER] = "udder-tight",
    [BS_AWAY] = "away",
    [BS_DROPS] = "milk-drops",
    [BS_NEST] = "nest",
    [BS_NOT_AT_FEED] = "not-at-feed",
    [BS_BREATHING] = "fast-breathing",
    [BS_STREAMS] = "milk-streams",
    [BS_TEMPERATURE] = "temperature",
    [BS_RESTLESS] = "restless",
    [BS_FLUID] = "bloody-fluid",
    [BS_STRAINING] = "straining",
};

const char *const breeding_sign_words[BS_END] = {
    [BS_VULVA] = "vulva swollen",
    [BS_UDDER] = "udder tight",
    [BS_AWAY] = "away from the group",
    [BS_DROPS] = "milk in drops",
    [BS_NEST] = "nest building",
    [BS_NOT_AT_FEED] = "did not come to feed",
    [BS_BREATHING] = "breathing fast, over 60 a minute",
    [BS_STREAMS] = "milk in streams",
    [BS_TEMPERATURE] = "temperature up by 0.4 \u00b0C over her own",
    [BS_RESTLESS] = "restless, up and down",
    [BS_FLUID] = "bloody fluid",
    [BS_STRAINING] = "straining, tail flicking",
};

/* 88 % by day 10 and about 80 % by day 6: J Swine Health Prod 6(5), 1998; days between, and the rest spread evenly over
 * days 11 .. 32: judgement [J]. */
#define LATE (0.12 / 22.0)
static const double wei_default[BREEDING_WEI_DAYS] = {
    [3] = 0.07,  [4] = 0.27, [5] = 0.30, [6] = 0.16,  [7] = 0.04, [8] = 0.02, [9] = 0.01, [10] = 0.01,
    [11] = LATE, LATE,       LATE,       LATE,        LATE,       LATE,       LATE,       LATE,
    LATE,        LATE,       LATE,       [22] = LATE, LATE,       LATE,       LATE,       LATE,
    LATE,        LATE,       LATE,       LATE,        LATE,       LATE,
};

enum breeding_sign breeding_sign_find(const char *name)
{
    for (int s = 0; s < BS_END; s++)
        if (strcmp(breeding_sign_name[s], name) == 0)
            return (enum breeding_sign)s;
    return BS_END;
}

struct breeding_rules breeding_rules_default(void)
{
    struct breeding_rules r = { .utc_offset_s = 0, .southern = false };

    for (int i = 0; i < BR_END; i++)
        r.value[i] = NAN;
    for (int s = 0; s < BS_END; s++)
        r.sign[s] = (struct breeding_sign_rule){ NAN, NAN, NAN, NAN };
    r.wei[0] = NAN;
    return r;
}

struct breeding_rules breeding_rules_plain(void)
{
    struct breeding_rules r = breeding_rules_default();

    r.value[BR_TAIL] = 0.0;
    r.value[BR_WRONG_DATE] = 0.0;
    r.value[BR_CLOCK] = 0.0;
    r.value[BR_SIGN_POWER] = 1.0;
    return r;
}

double breeding_rule(const struct breeding_rules *r, enum breeding_rule which)
{
    return isnan(r->value[which]) ? breeding_defaults[which].value : r->value[which];
}

double breeding_use(const struct breeding_rules *r, enum breeding_rule which, struct breeding_notes *notes)
{
    if (isnan(r->value[which]) && !isnan(breeding_defaults[which].value))
        notes->rules |= UINT64_C(1) << which;
    return breeding_rule(r, which);
}

struct breeding_sign_rule breeding_sign_rule(const struct breeding_rules *r, enum breeding_sign s)
{
    const struct breeding_sign_rule d = breeding_sign_defaults[s], g = r->sign[s];

    return (struct breeding_sign_rule){
        isnan(g.median_h) ? d.median_h : g.median_h,
        isnan(g.log_sd) ? d.log_sd : g.log_sd,
        isnan(g.seen) ? d.seen : g.seen,
        isnan(g.false_seen) ? d.false_seen : g.false_seen,
    };
}

const double *breeding_wei(const struct breeding_rules *r, struct breeding_notes *notes)
{
    if (!isnan(r->wei[0]))
        return r->wei;
    notes->assumed |= 1U << BA_WEI;
    return wei_default;
}

struct breeding_evidence breeding_evidence_none(void)
{
    return (struct breeding_evidence){
        .state = BREEDING_STATE_UNKNOWN,
        .weaned_utc_s = BREEDING_NONE,
        .farrowed_utc_s = BREEDING_NONE,
        .standing_utc_s = BREEDING_NONE,
        .not_farrowed_by_utc_s = BREEDING_NONE,
        .known_to_utc_s = BREEDING_NONE,
        .parity = -1,
        .breed_shift_d = NAN,
        .litter_above_mean = NAN,
        .p_cycling = NAN,
    };
}

double breeding_clock(const struct breeding_rules *r, int64_t utc_s)
{
    const double two_pi = 6.28318530717958647692;
    const double hour = (double)((utc_s + r->utc_offset_s) % DAY_S) / 3600.0;

    return 1.0 + breeding_rule(r, BR_CLOCK) * cos(two_pi * (hour - breeding_rule(r, BR_CLOCK_PEAK_H)) / 24.0);
}

double breeding_sign_chance(const struct breeding_sign_rule *s, double hours_before)
{
    if (!(hours_before > 0.0))
        return NAN;
    const double there = 0.5 * erfc((log(hours_before) - log(s->median_h)) / s->log_sd * 0.70710678118654752440);
    return s->false_seen + (s->seen - s->false_seen) * there;
}

void breeding_normal_fill(struct breeding_normal *t)
{
    const double root_half = 0.70710678118654752440, density_0 = 0.39894228040143267794;

    for (size_t i = 0; i <= NORMAL_CELLS; i++) {
        const double z = (double)i / NORMAL_PER_UNIT - NORMAL_REACH;
        t->below[i] = 0.5 * erfc(-z * root_half);
        t->slope[i] = density_0 * exp(-0.5 * z * z) / NORMAL_PER_UNIT;
    }
}

double breeding_own_weight(size_t n, double repeatability)
{
    const double count = (double)n;
    return n ? count * repeatability / (1.0 + (count - 1.0) * repeatability) : 0.0;
}

void breeding_own_gestation(double base_d, double sd_d, double repeatability, size_t n, const double past_d[],
                            double *mean_d, double *own_sd_d)
{
    double sum = 0.0;

    for (size_t i = 0; i < n; i++)
        sum += past_d[i];
    const double w = breeding_own_weight(n, repeatability);
    *mean_d = n ? base_d + w * (sum / (double)n - base_d) : base_d;
    *own_sd_d = sd_d * sqrt(repeatability * (1.0 - w) + 1.0 - repeatability);
}
