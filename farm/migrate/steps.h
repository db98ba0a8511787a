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

/* Who may come in (farm/device.h): tables of step 2, the same in a new file. Not changed after release. */
#define FARM_DOOR_SQL_1                                                                                                \
    "CREATE TABLE device(number INTEGER PRIMARY KEY, called TEXT NOT NULL, master INTEGER NOT NULL"                    \
    " CHECK(master IN(0,1)), here INTEGER NOT NULL CHECK(here IN(0,1)), since_utc_s INTEGER NOT NULL,"                 \
    " seen_utc_s INTEGER NOT NULL, digest BLOB NOT NULL UNIQUE CHECK(length(digest) = 32)) STRICT"
#define FARM_DOOR_SQL_2                                                                                                \
    "CREATE TABLE password(one INTEGER PRIMARY KEY CHECK(one = 1), hash TEXT NOT NULL, set_utc_s INTEGER NOT NULL)"    \
    " STRICT"

#endif
