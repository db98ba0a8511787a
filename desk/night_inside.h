/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the files of night (night.c, night_options.c, night_cells.c, night_words.c), memory.c, try.c and the litters
 * of tonight, and by nobody else.
 */
#ifndef DESK_NIGHT_INSIDE_H
#define DESK_NIGHT_INSIDE_H

#include "desk/night.h"

enum { NIGHT_SITES = 160, NIGHT_OPTIONS = 1200, NIGHT_KEY = 24, NIGHT_ASSUMED = 48 };

/* Figures of work, all judgement; changed here and nowhere else. */
struct night_work {
    double turn_min, straw_min, flap_min, wall_min, move_min, bed_min, vents_min;
    unsigned turn_people, move_people;
    unsigned wall_bales;
    double wall_porosity, wall_distance_heights, wall_height_m, wall_length_m;
    double half_bale, deepest_m; /* of a bale; past this straw can hide piglets from the sow */
    double found_bed_m;          /* what a sow scrapes together for herself where nothing is put out */
    double lee_distance_heights; /* of a bed made in the lee */
    double near_chance;          /* a place is made ready for a sow that may farrow this likely in the horizon */
};
extern const struct night_work night_work;

enum status night_sites_and_options(struct night *n, struct message *why) MUST_USE;
enum status night_cells(struct night *n, struct message *why) MUST_USE;
enum status night_cells_of_all(struct night *n, struct message *why) MUST_USE; /* of every option, none dropped */
void night_key(const struct night_option *o, double key[NIGHT_KEY]);           /* alike shelters have the same */
bool night_same_key(const double a[NIGHT_KEY], const double b[NIGHT_KEY]);
/* The door's best bearing over the coming hours, each weighed by the chance that a sow in need of a place farrows in
 * it. NAN: it hardly matters. */
enum status night_best_facing(struct night *n, const struct shelter *is, double *deg, struct message *why) MUST_USE;
void night_moments(const struct night *n, struct watch_moments *moments);
double night_bale_kg(const struct night *n);
/* More straw on what lies there: on dry straw it adds up, wet straw is forked out first. False: nothing is gained. */
bool night_bedded(const struct night *n, struct shelter *is, double bales, double *kg);
void night_assume(struct night *n, const char *sentence);

#endif
