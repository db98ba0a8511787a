/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Breeding: from what was recorded of ONE sow to the chance of first birth in every quarter of an hour.
 *
 * All pure. Moments are whole seconds since 1970 in UTC (`_utc_s`); spans are days (`_d`) or hours (`_h`); chances
 * are 0 .. 1. The sequence is
 *
 *     breeding_prior()       services, boar runs, heats, scans  -> a density of the moment of first birth, and the
 *                            mass that no birth comes of it ("open": she is not pregnant)
 *     breeding_posterior()   + not farrowed yet + signs looked for  -> the same, conditioned
 *     breeding_within() ...  the figures a person asks for
 *
 * Give the evidence of the present turn only: what happened since she last farrowed, lost a litter or was reset by
 * hand. Of that, everything is used; the order in which it is listed never matters.
 *
 * Grid: 15 minutes. It divides the hour and the offset of every time zone (they differ by whole quarters of an
 * hour, which 10 minutes do not divide), and half an hour, the median onset of the shortest sign (straining), is
 * two cells. Halving it changes no chance by more than 0.003 (tests/core/test_breeding.c). Inside a cell mass is even.
 *
 * Limits: spreads are judgement where the table says [J]; see docs/reckoning/breeding.md. Nothing here replaces
 * a look at the sow or a vet.
 */
#ifndef CORE_BREEDING_BREEDING_H
#define CORE_BREEDING_BREEDING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"

#define BREEDING_STEP_S   900       /* the grid */
#define BREEDING_NONE     INT64_MIN /* a moment that is not known */
#define BREEDING_WEI_DAYS 33        /* weaning to heat: days 0 .. 32 */

/* ---- rules: every figure that can be overwritten ------------------------------------------------------------ */

enum breeding_rule {
    BR_GESTATION_D, /* mean length from service */
    BR_GESTATION_SD_D,
    BR_TAIL, /* share of the wide second part; 0 = plain normal */
    BR_TAIL_SHIFT_D,
    BR_TAIL_SD_D,
    BR_WRONG_DATE,     /* chance that a service is recorded 1 .. 3 days wrong */
    BR_REPEATABILITY,  /* of gestation length within a sow */
    BR_LITTER_SHIFT_D, /* for each piglet above the herd's mean */
    BR_CONCEPTION,     /* in any heat with a boar; when given it holds as it is, whatever her parity or the month */
    BR_CONCEPTION_SOW, /* the three by parity, each times the month's factor */
    BR_CONCEPTION_FIRST,
    BR_CONCEPTION_GILT,
    BR_REPEAT_CONCEPTION, /* second and later heats; when given it holds as it is */
    BR_REPEAT_FACTOR,     /* otherwise this times the first heat's */
    BR_SUMMER_FACTOR,     /* July to September; January to March with `southern` */
    BR_CYCLE_D,
    BR_CYCLE_SD_D,          /* 0 = fixed */
    BR_HEAT_WHILE_PREGNANT, /* chance that she stands although pregnant */
    BR_RETURN_SEEN,         /* chance that a return is seen when she is empty */
    BR_LOOK_FINDS_RETURN,   /* daily look with boar or back test through the days of return */
    BR_SCAN_TRUE,           /* positive when pregnant, from BR_SCAN_FULL_D on */
    BR_SCAN_FALSE,          /* positive when empty, or before BR_SCAN_FROM_D */
    BR_SCAN_FROM_D,
    BR_SCAN_FULL_D,
    BR_SUCKLING_FROM_D,  /* earliest heat with a boar while suckling, days after farrowing */
    BR_SUCKLING_AFTER_D, /* mean from boar-in (or that day) to heat */
    BR_SUCKLING_SD_D,
    BR_SUCKLING_SHARE,    /* of suckling sows that come in heat at all with a boar there */
    BR_CYCLING,           /* chance that an unproven gilt is cycling */
    BR_STANDING_TO_EGG_H, /* best service, hours after first standing */
    BR_CLOCK,             /* a of 1 + a cos(2 pi (hour - peak) / 24); 0 = off */
    BR_CLOCK_PEAK_H,      /* local hour */
    BR_AGREE_POWER,       /* of each further sign that agrees with the strongest */
    BR_SIGN_POWER,        /* when given: of the whole product of signs, instead of the agreement rule; 1 = plain */
    BR_FALSE_NEST,        /* false sighting of nesting on fresh bedding, before a front or in a gale */
    BR_END
};

struct breeding_default {
    const char *name;  /* "gestation-mean": as flags and answers call it */
    double value;      /* NAN: no default, another rule stands in (see the enum) */
    double low, high;  /* allowed, both included */
    const char *unit;  /* "d", "h", "" */
    const char *words; /* "length of gestation" */
    const char *source;
};
extern const struct breeding_default breeding_defaults[BR_END];

enum breeding_sign { /* in the order of their median onset */
                     BS_VULVA,
                     BS_UDDER,
                     BS_AWAY,
                     BS_DROPS,
                     BS_NEST,
                     BS_NOT_AT_FEED,
                     BS_BREATHING,
                     BS_STREAMS,
                     BS_TEMPERATURE,
                     BS_RESTLESS,
                     BS_FLUID,
                     BS_STRAINING,
                     BS_END
};

/* Onset before birth is lognormal; the sign stays till birth. */
struct breeding_sign_rule {
    double median_h; /* of onset before first birth */
    double log_sd;
    double seen;       /* chance to see it when it is there */
    double false_seen; /* chance to think so when it is not */
};
extern const struct breeding_sign_rule breeding_sign_defaults[BS_END];
extern const char *const breeding_sign_name[BS_END];     /* "vulva-swollen" ... "straining" */
extern const char *const breeding_sign_words[BS_END];    /* "vulva swollen" ... "straining, tail flicking" */
enum breeding_sign breeding_sign_find(const char *name); /* BS_END: no such sign */

struct breeding_rules {
    double value[BR_END];                   /* NAN = the default, and the answer lists it as assumed */
    struct breeding_sign_rule sign[BS_END]; /* NAN members = the default */
    double wei[BREEDING_WEI_DAYS];          /* weaning to heat by whole day, sum at most 1; wei[0] NAN = the default */
    int utc_offset_s;                       /* local standard time, east positive: clock factor and months */
    bool southern;                          /* seasons six months shifted */
};

struct breeding_rules breeding_rules_default(void); /* all NAN: everything assumed */
struct breeding_rules breeding_rules_plain(void);   /* plain normal, right dates, no clock, plain product */
double breeding_rule(const struct breeding_rules *r, enum breeding_rule which); /* given or default; may be NAN */
struct breeding_sign_rule breeding_sign_rule(const struct breeding_rules *r, enum breeding_sign s);

/* ---- evidence ------------------------------------------------------------------------------------------------ */

struct breeding_service {
    int64_t at_utc_s;
    double weight; /* within its heat, any scale; NAN or 0 = by the hours after first standing, else even */
    int boar;      /* caller's index 0 .. BREEDING_BOARS - 1; -1 = not recorded */
    bool day_only; /* the hour is not known: at_utc_s is noon of the date */
};

struct breeding_run {             /* a boar with her (or with her group), services not necessarily seen */
    int64_t from_utc_s, to_utc_s; /* to: BREEDING_NONE = still there; reckoned to `known_to_utc_s` */
    int boar;
};

enum breeding_state {                         /* how she was when the first run began */
                      BREEDING_STATE_UNKNOWN, /* taken as cycling, and said so */
                      BREEDING_CYCLING,
                      BREEDING_WEANED,   /* freshly weaned: weaned_utc_s */
                      BREEDING_SUCKLING, /* farrowed_utc_s; weaned_utc_s as well if she was weaned during the run */
                      BREEDING_GILT,     /* unproven; p_cycling */
};

struct breeding_scan {
    int64_t at_utc_s;
    bool positive;
};
struct breeding_return_look {
    int64_t from_utc_s, to_utc_s;
}; /* heat looked for daily in these days, none seen */

enum breeding_look_flag {
    BL_FRESH_BED = 1 << 0,     /* bedding given within 24 h before */
    BL_FRONT = 1 << 1,         /* a fall of more than 5 C within 24 h after */
    BL_GALE = 1 << 2,          /* a gale within 24 h after */
    BL_ALONE = 1 << 3,         /* nesting: "alone, and arranging it" was answered yes */
    BL_HOT = 1 << 4,           /* above about 25 C: breathing tells nothing */
    BL_NEST_FINISHED = 1 << 5, /* a finished nest and she lies quiet in it */
};

struct breeding_look { /* one sign looked for, once */
    int64_t at_utc_s;
    enum breeding_sign sign;
    bool present;
    unsigned flags;
};

#define BREEDING_BOARS 16
#define BREEDING_MOST  4096 /* ceiling for each list */

struct breeding_evidence {
    size_t n_services;
    const struct breeding_service *services;
    size_t n_runs;
    const struct breeding_run *runs;
    size_t n_heats;
    const int64_t *heats_utc_s; /* heats seen, no service seen: before a run or as a return */
    size_t n_scans;
    const struct breeding_scan *scans;
    size_t n_return_looks;
    const struct breeding_return_look *return_looks;
    size_t n_looks;
    const struct breeding_look *looks;
    size_t n_past;
    const double *past_gestation_d; /* her own past lengths; outside 105 .. 125 left out, said so */
    enum breeding_state state;
    int64_t weaned_utc_s, farrowed_utc_s; /* BREEDING_NONE = not known */
    int64_t standing_utc_s;               /* first standing in the last served heat, or BREEDING_NONE */
    int64_t not_farrowed_by_utc_s;        /* last moment she was seen and had not farrowed, or BREEDING_NONE */
    int64_t known_to_utc_s;               /* the moment asked about: ends a run that is still going on */
    int parity;                           /* litters so far; -1 = not known */
    double breed_shift_d;                 /* on the mean length; NAN = 0 */
    double litter_above_mean;             /* piglets expected above the herd's mean; NAN = by parity */
    double p_cycling;                     /* gilt: chance that she is cycling; NAN = the rule */
    bool given_pregnant;                  /* take it that one of the chances took: no open mass */
};

struct breeding_evidence breeding_evidence_none(void); /* nothing known: the starting point to fill */

/* ---- notes: what was assumed, what to beware of -------------------------------------------------------------- */

enum breeding_assumed {             /* assumptions that are no single rule */
                        BA_CYCLING, /* her state when the boar came was not recorded: taken as cycling and empty */
                        BA_PARITY,  /* parity not recorded: chances of an older sow */
                        BA_NOON,    /* a date without an hour: noon */
                        BA_EVEN_SERVICES, /* services of one heat weigh the same */
                        BA_RUN_GOES_ON,   /* the boar has not been recorded as taken out */
                        BA_WEI,           /* table of days from weaning to heat */
                        BA_SIGNS,         /* table of signs */
                        BA_AGREEMENT,     /* strongest sign in full, half the weight to others that agree */
                        BA_HEAT_SERVED,   /* a heat seen while the boar was with her counts as served */
                        BA_RETURN_SHARE,  /* heat looked for in part of the days of return, or without a known last heat
                                           */
                        BA_FIRST_BOAR_SHARE, /* two boars at once: shared evenly */
                        BA_END
};

enum breeding_caution {
    BC_NOTHING_KNOWN,   /* no service, no boar: nothing can be said */
    BC_RING_VET,        /* day 118 or more */
    BC_NOT_FROM_DATES,  /* before day 125 dates alone never say "not pregnant" */
    BC_MAY_BE_EMPTY,    /* more likely not pregnant, by a scan, a return or a day past 125 */
    BC_ODD_GAP,         /* services 5 .. 14 days apart */
    BC_HEAT_AFTER_SCAN, /* a heat after a positive scan */
    BC_FALSE_NEST,      /* nesting seen on fresh bedding or before weather: ask whether alone and arranging it */
    BC_NEST_FINISHED,   /* in labour or within 2 h */
    BC_LABOUR,          /* fluid or straining seen */
    BC_EARLY,           /* near-birth signs before day 109: may be a loss */
    BC_SIGN_GONE,       /* a sign seen earlier was later looked for and absent */
    BC_HOT_BREATHING,   /* breathing left out: too warm a day */
    BC_PAST_LENGTH,     /* a past length outside 105 .. 125 days left out */
    BC_BUNCHED,         /* group weaned together or gilts: heats bunch, one boar may not manage */
    BC_BOAR_UNCERTAIN,  /* two boars possible: 0.05 .. 0.95 */
    BC_SPENT,           /* every recorded chance has run out; figures given pregnant are not given */
    BC_LATE_CHANCE,     /* she may still be served or in early pregnancy: the boar is with her */
    BC_END
};

struct breeding_notes {
    uint64_t rules;    /* bit i: breeding_defaults[i] was taken */
    uint32_t assumed;  /* bits of enum breeding_assumed */
    uint32_t cautions; /* bits of enum breeding_caution */
};
extern const char *const breeding_assumed_words[BA_END];
extern const char *const breeding_caution_name[BC_END];  /* "ring-vet": stable, for JSON */
extern const char *const breeding_caution_words[BC_END]; /* one plain sentence */

/* ---- the density --------------------------------------------------------------------------------------------- */

struct breeding_density {
    int64_t start_utc_s; /* of the grid: a whole quarter of an hour, or the moment conditioned on */
    size_t n;            /* cells of BREEDING_STEP_S */
    const double *up_to; /* n + 1: mass before each edge; up_to[0] = 0. In the arena of the call */
    double open;         /* mass that no birth comes; up_to[n] + open = 1. 1 when nothing is known */
};

struct breeding_point;  /* a possible moment of conception with its mass and boar */
struct breeding_normal; /* the normal distribution, tabled */

struct breeding_prior {
    struct breeding_density density;    /* not conditioned on anything after the scans and returns; no clock factor */
    bool known;                         /* false: nothing recorded; the density is empty and says nothing */
    double gestation_d, gestation_sd_d; /* of this sow, after breed, litter and her own past */
    int64_t first_chance_utc_s, last_chance_utc_s; /* of conception, as recorded; BREEDING_NONE when not known */
    struct breeding_notes notes;
    size_t n_points; /* private from here */
    const struct breeding_point *points;
    const struct breeding_normal *normal;
    bool by_evidence;               /* a scan or return speaks, not dates alone */
    double tail, tail_d, tail_sd_d; /* the wider part of the length */
};

/* The density of first birth.
 *
 * Given     rules, e       as above; nothing is taken that is not in them
 *           mem            keeps about 40 kB a sow, 90 kB with a boar run of six weeks
 * Returned  *out           untouched on failure
 * Fails     ST_BAD_INPUT naming the field ("service", "boar-from", "gestation-sd", ...); ST_NO_MEMORY
 * Error     mass up to any moment within 4e-6 (services) and 2e-4 of their value (boar runs) of the exact integral
 * Source    uniform first oestrus and renewal by the cycle: own model on the published figures of
 *           docs/reckoning/breeding.md; gestation: Sasaki & Koketsu 2007, Theriogenology 68:123-127
 */
enum status breeding_prior(const struct breeding_rules *rules, const struct breeding_evidence *e, struct arena *mem,
                           struct breeding_prior *out, struct message *why) MUST_USE;

enum breeding_from {
    BREEDING_SEEN_NOW,        /* she has not farrowed at `at` */
    BREEDING_SINCE_LAST_LOOK, /* known only up to the last look: she may have farrowed since */
    BREEDING_NOT_PRESENT,     /* nothing is conditioned on `at`: only on recorded looks, if any */
};

struct breeding_posterior {
    struct breeding_density density; /* whole mass 1; nothing before from_utc_s; clock factor in it */
    int64_t at_utc_s;                /* the moment asked about */
    int64_t from_utc_s;              /* not farrowed up to here; BREEDING_NONE = not conditioned */
    bool known;                      /* as in the prior */
    double already;                  /* chance that she has farrowed between from and at */
    double p_pregnant;               /* chance that a birth is still to come or has come since from_utc_s */
    double day;                      /* days from the last chance of conception to `at`; NAN when not known */
    enum breeding_sign strongest;    /* of the signs seen; BS_END = none seen */
    bool false_nest_doubt;           /* a look at nesting counted for less; ask "alone, and arranging it?" */
    struct breeding_notes notes;     /* the prior's and what was added */
    unsigned seen, absent;           /* bits of enum breeding_sign that took part */
    struct breeding_rules rules;     /* as used */
    size_t n_looks;
    const struct breeding_look *looks;    /* the caller's */
    const struct breeding_normal *normal; /* private */
};

/* Conditioned on not having farrowed and on every look at a sign.
 *
 * Given     at_utc_s       no look may be later (refused, field "sign" or "no-sign")
 *           p              from breeding_prior() with the same rules and evidence
 * Returned  *out           untouched on failure. When every recorded chance has run out (total mass 0) the density
 *                          is empty with open = 1 and the caution BC_SPENT is set
 * Fails     ST_BAD_INPUT, ST_NO_MEMORY
 * Source    Bayes; onset model and one-event rule as in docs/reckoning/breeding.md
 */
enum status breeding_posterior(const struct breeding_rules *rules, const struct breeding_evidence *e,
                               const struct breeding_prior *p, int64_t at_utc_s, enum breeding_from how,
                               struct arena *mem, struct breeding_posterior *out, struct message *why) MUST_USE;

/* ---- figures ------------------------------------------------------------------------------------------------- */

/* Chance of first birth from..to (whole mass, not given pregnant). to before from gives 0. A date's chance is this from
 * its midnight to the next. */
double breeding_between(const struct breeding_density *d, int64_t from_utc_s, int64_t to_utc_s);
double breeding_within(const struct breeding_posterior *p, double hours); /* from at; 0 when not known */
/* The moment before which a share q (0 .. 1) of births falls, given pregnant. BREEDING_NONE: no mass or q outside. */
int64_t breeding_quantile(const struct breeding_density *d, double q);
double breeding_not_pregnant(const struct breeding_posterior *p); /* now: neither pregnant nor farrowed; NAN unknown */
/* Chance of first birth in each of n whole hours beginning at from_utc_s; with `at` inside, the past part is in it. */
void breeding_hours(const struct breeding_density *d, int64_t from_utc_s, size_t n, double p[]);

/* Which boar: chance of each given that she farrows at x_utc_s; from services, runs, scans and returns alone; or given
 * all that is known, with the time waited and the signs. p[] holds BREEDING_BOARS + 1; the last is "not recorded". All
 * NAN when no chance fits. True: no single boar reaches 0.95, so the paternity is uncertain. */
bool breeding_boar_at(const struct breeding_prior *prior, int64_t x_utc_s, double p[BREEDING_BOARS + 1]);
bool breeding_boar_prior(const struct breeding_prior *prior,
                         double p[BREEDING_BOARS + 1]); /* given that she is pregnant */
bool breeding_boar_now(const struct breeding_prior *prior, const struct breeding_posterior *post,
                       double p[BREEDING_BOARS + 1]);

/* ---- the value of a look ------------------------------------------------------------------------------------- */

/* A look not yet taken, at look->at_utc_s >= post->at_utc_s (look->present is not read).
 *
 * Returned  p_before      chance that she has farrowed by then: there is nothing left to look for
 *           p_seen        chance that the sign is seen, given that she has not farrowed by then
 *           seen, not_seen   what the density would be, as chances of first birth in n hours from from_utc_s, and the
 *                         open mass; each outcome sums to 1 over all hours with its open mass.
 *           The two outcomes, weighed by p_seen, give back today's density beyond the look: the value of a look is
 *           never negative by arithmetic. With another sign already seen the new one counts for the agreement power
 *           only, in a form that keeps this. To see exactly what the next answer will say, add the look to the
 *           evidence and ask again.
 * Fails     ST_BAD_INPUT when the look lies before post->at_utc_s or post is not known
 */
struct breeding_outcome {
    double open, within_6h, within_12h, within_24h;
};
struct breeding_ahead {
    double p_before, p_seen;
    struct breeding_outcome seen, not_seen;
};
enum status breeding_look_ahead(const struct breeding_posterior *post, const struct breeding_look *look,
                                int64_t from_utc_s, size_t n, double if_seen[], double if_not_seen[],
                                struct breeding_ahead *out,
                                struct message *why) MUST_USE; /* arrays may be NULL with n 0 */

/* Weight of the hour: 1 + a cos(2 pi (local hour - peak) / 24). Mean 1 over a day. */
double breeding_clock(const struct breeding_rules *r, int64_t utc_s);

/* P(seen | h hours before first birth); h <= 0 gives NAN. false_seen for an open sow. */
double breeding_sign_chance(const struct breeding_sign_rule *s, double hours_before);

/* ---- advice -------------------------------------------------------------------------------------------------- */

enum breeding_watch { BW_ROUTINE, BW_TWICE_A_DAY, BW_EVERY_6H, BW_EVERY_2H, BW_END };
/* From the chance within 12 h; frost takes one step earlier; NAN (nothing known) gives BW_TWICE_A_DAY. */
enum breeding_watch breeding_watch_band(double p12, bool frost);
/* The same with what the signs say beyond a chance: labour signs or a finished nest always give BW_EVERY_2H. */
enum breeding_watch breeding_watch_for(const struct breeding_posterior *p, bool frost);
extern const char *const breeding_watch_words[BW_END];

enum breeding_length { BG_IMPOSSIBLE_SHORT, BG_LOSS, BG_EARLY, BG_NORMAL, BG_LONG, BG_IMPOSSIBLE_LONG, BG_END };
/* What a length from service to farrowing means: under 105 and over 125 belong to another service; under 109 a loss;
 * 109 .. under 113 early; to 119 normal; longer is long. NAN gives BG_END. */
enum breeding_length breeding_length_of(double days);
extern const char *const breeding_length_words[BG_END];

/* What n records of her own count for beside the herd's mean: n r / (1 + (n - 1) r), 0 for none. */
double breeding_own_weight(size_t n, double repeatability);

/* Mean and sd of gestation for a sow with past lengths of her own (shrunk toward the base).
 * Source    repeatability 0.50: Sasaki & Koketsu 2007; weights: selection-index form n r / (1 + (n - 1) r) */
void breeding_own_gestation(double base_d, double sd_d, double repeatability, size_t n, const double past_d[],
                            double *mean_d, double *own_sd_d);

#endif
