/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the two files that keep weather: reading and putting in.
 */
#ifndef FARM_WEATHER_OWN_H
#define FARM_WEATHER_OWN_H

#include "farm/own.h"
#include "farm/weather_pack.h"
#include "farm/weather_store.h"

enum { WEATHER_WORK_BYTES = 1024 * 1024 * 1024, WEATHER_MOST_HOURS = 4000000 };

struct hours { /* grows by doubling in the arena */
    struct hour *hour;
    size_t n, room;
    size_t hint; /* room to begin with: doubling copies, and 30 winters are 15 MB */
    struct arena *mem;
    struct weather_packed *packed; /* not NULL: put there, day by day, instead */
};
struct window { /* both included */
    int64_t from_s, to_s;
};

bool weather_add_hour(struct hours *h, const struct hour *hour);
/* Hours of one day, sorted; false: out of memory. */
bool weather_packed_add(struct weather_packed *packed, int64_t day, size_t n, const struct hour hours[]);
int64_t weather_day_of(int64_t utc_s);
/* Hours of a source (NULL: of every source) and sort, all lots merged. */
enum status weather_merged(struct farm *f, const char *source, enum weather_sort sort, const struct window *window,
                           int64_t known_to, struct hours *out, struct message *why);

#endif
