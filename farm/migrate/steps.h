/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Steps from one released farm file to the next, in order, never changed after release. A new kind or a new field needs
 * no step of its own: tables that differ from the fact table are made anew and what both have is carried over. A step
 * is for what only a person can say: a field renamed, a choice put into other words, a unit changed.
 * docs/change/farm-file.md
 */
#ifndef FARM_MIGRATE_STEPS_H
#define FARM_MIGRATE_STEPS_H

#include <stddef.h>

struct farm_step {
    int to_version;
    const char *name;
    const char *sql; /* runs on the old tables, before those that differ are made anew */
};
extern const struct farm_step *const farm_steps;
extern const size_t farm_n_steps;

#endif
