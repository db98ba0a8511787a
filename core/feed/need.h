/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Need: what a sow dry, in pig or suckling, a litter beside her and a weaned pig need a day, as energy to be
 * metabolised (kcal ME), and what of feed, water and straw that makes. More in cold.
 *
 * Planning figures: her condition wins over any of them. Sources, ranges and limits: docs/reckoning/growth-and-feed.md.
 */
#ifndef CORE_FEED_NEED_H
#define CORE_FEED_NEED_H

enum need_bed {                  /* with the temperature under which a sow spends more, lower critical */
                NEED_DEEP_STRAW, /* a group in deep dry straw: 12 C (from memory; 15 in another advisory table) */
                NEED_GROUP,      /* a group, little straw: 16 C */
                NEED_ALONE,      /* alone on a bare floor: 20 C (Noblet 1997; Geuyen et al. 1984) */
};
double need_lower_critical(enum need_bed bed);

struct need_sow {       /* start from need_sow_default() */
    double mass_kg;     /* 200; 80 .. 400 */
    double gestation_d; /* 0: not in pig; 0 .. 116 */
    double litter;      /* pigs she carries: 8; 0 .. 20 */
    double gain_kg;     /* of her own, a day: 0.20 (0.15 .. 0.25 grown, 0.35 .. 0.45 a gilt) */
    double on_foot_min; /* minutes a day on foot over 240: 60 (judgement for the field; 0 .. 240) */
    double temp_c;      /* mean of the day's air; NAN: not known */
    enum need_bed bed;
};
struct need_sow need_sow_default(void);

double need_keep(double mass_kg);           /* 100 W^0.75 (NRC 2012) */
double need_walk(const struct need_sow *s); /* 0.0717 W^0.75 a minute over 240 (NRC 2012) */
double need_cold(const struct need_sow *s); /* 2.39, alone 4.30 W^0.75 a degree under the lower critical; 0 not known */
double need_carried(double gestation_d, double litter); /* for the unborn; 0 when not in pig */
double need_gained(double gain_kg);                     /* 5,000 kcal a kg */

/* Dry or in pig, outdoors: the larger of (keep + carried + gain) x 1.15 (Edwards 2003, outdoors in Northern Europe) and
 * keep + walk + cold + carried + gain. Never both added. */
double need_sow(const struct need_sow *s);

/* In milk: keep + milk / 0.70, milk 4.92 LG - 90 LS (NRC 2012), LG the litter's gain in g a day. No more in cold: a fed
 * sow in a dry straw nest is not at risk above about -10 C. */
double need_suckling(double mass_kg, double piglets, double gain_kg_each);

double
need_creep_kg(double age_d); /* of a suckling piglet, a day: from 21 d on; 8 kg by 56 d (worked unit's 64 kg for 8) */
double
need_pig_gain(double mass_kg); /* kcal a kg gained, over keeping 197 W^0.60: from NRC 2012's table of growing pigs */
/* A weaned pig, outdoors: (197 W^0.60 + gain) and 10 to 25 in 100 more as the air falls from 10 to -10 C (the range
 * from memory, the line judgement); 15 when the temperature is not known. */
double need_pig(double mass_kg, double gain_kg, double temp_c);

/* kg put out for a need of so many kcal: what is trodden into mud (0 .. 0.5) is put out too. */
double need_feed_kg(double kcal, double kcal_per_kg, double waste);

/* Litres a day that have to be there in frost: where the two extension ranges meet. */
double need_water_sow(void);      /* 11: 11 .. 23 and 8 .. 11 */
double need_water_suckling(void); /* 19: 19 .. 38 and 15 .. 19 */
double need_water_pig(void);      /* 3: 2 .. 4, a weaner */

/* Straw, kg (planning guesses): a farrowing hut to begin with, and topped up a week for eight weeks; dry sows a head. */
double need_straw_begin(void);     /* 32: 25 .. 40 */
double need_straw_week(void);      /* 12: 10 .. 15 */
double need_straw_dry_begin(void); /* 30 */
double need_straw_dry_week(void);  /* 6: 5 .. 8, in winter */

#endif
