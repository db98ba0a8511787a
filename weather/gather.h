/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Gather: what every reader shares. A reader takes rows apart and hands them in; here values are checked against what
 * the world can do, moisture is brought over to ice, what is refused is listed, and at the end the hours are sorted,
 * doubles merged and counts made. For the readers in this room alone.
 */
#ifndef WEATHER_GATHER_H
#define WEATHER_GATHER_H

#include "weather/weather.h"

/* What falls, as the source's code has it. UNKNOWN: told from the temperature. */
enum fall { FALL_UNKNOWN = 0, FALL_RAIN, FALL_SNOW };

struct gather {
    const char *name;                  /* of the file, for messages */
    const struct weather_options *opt; /* never NULL */
    struct arena *mem;
    struct weather out; /* what the reader knows of the whole: place, credit, forecast ... */

    struct hour *hour;     /* as handed in, in the file's order */
    int64_t *seen_utc_s;   /* moment of the report; NULL until one is not at the hour's start */
    unsigned char *step_h; /* NULL until one is not 1 */
    const char **says;     /* NULL until one is given */
    size_t n, room;
    bool sorted;    /* so far in order, and no two the same hour and source */
    size_t outside; /* rows left out by from and to */
    struct weather_rejected *rejected;
    struct weather_source *source;
    const char **note;
    struct weather_risk *risk;
    size_t n_sources_dropped, n_risks_dropped;
};

enum status gather_open(struct gather *g, const char *name, const struct weather_options *opt, struct arena *mem,
                        struct message *why) MUST_USE;
/* Room for so many rows at once, where the reader can tell; else the room grows by itself. */
bool gather_reserve(struct gather *g, size_t rows) MUST_USE;

/* Index of the source of this format and station ("" = none), made when new. At most WEATHER_SOURCES_LISTED. */
int gather_source(struct gather *g, enum weather_format format, const char *station);

/* An hour in which nothing is known yet. */
struct hour gather_hour(int64_t utc_s, int source);

/* List something refused. line 0: the format has no lines. field "": the whole row. */
void gather_reject(struct gather *g, size_t line, const char *field, const char *fmt, ...) PRINTF_LIKE(4, 5);
void gather_note(struct gather *g, const char *fmt, ...) PRINTF_LIKE(2, 3);
void gather_risk(struct gather *g, const struct weather_risk *risk);

/* The value if it can be, else NAN and a line in the list. `entry` is put before the field's name where there are no
 * lines ("period 12"); "" for none. NAN goes through in silence: missing is not wrong. */
double gather_checked(struct gather *g, enum weather_field what, double value, size_t line, const char *entry,
                      const char *field);

/* A dew point over water, also checked against the air it is of (set in h->temp_c first): more than 2 K above it is a
 * slip. */
double gather_checked_dew(struct gather *g, const struct hour *h, double dew_c, size_t line, const char *entry,
                          const char *field);

/* Moisture from what services report: either or both of dew point (over water) and humidity (0..1, over water).
 * temp_c must be set first. What is not given follows from the other. Values are taken as checked. */
void gather_moisture(struct hour *h, double dew_over_water_c, double rh_over_water);
/* The same, dew point already over ice below 0.01 C and humidity over ice at air temperatures below it. */
void gather_moisture_kept(struct hour *h, double dew_point_c, double rh);

/* Direction and speed together: calm has direction 0, 360 becomes 0, `variable` makes the direction NAN. */
void gather_wind(struct hour *h, double wind_mps, double from_deg, bool variable);

/* Factor from a wind measured at height_m to 10 m over short grass; NAN outside 1 .. 200 m. */
double gather_wind_to_10m(double height_m);

struct gather_extra {
    int64_t seen_utc_s;   /* moment of the report: among doubles the latest is kept. 0: the hour's start */
    unsigned char step_h; /* 0 or 1: one hour */
    enum fall fall;
    const char *says; /* in the arena; NULL */
};
/* Hand in one hour. False: out of memory. */
bool gather_put(struct gather *g, const struct hour *h, const struct gather_extra *extra) MUST_USE;

/* "FILE: nothing in it can be read: ..." with the first thing rejected as the reason. */
enum status gather_nothing(struct gather *g, struct message *why);

/* Sort, merge doubles, look for made-up gusts, count; *out is set on ST_OK alone. */
enum status gather_finish(struct gather *g, struct weather *out, struct message *why) MUST_USE;

/* The same steps for hours that were gathered elsewhere (join, fill). */
void weather_count(struct weather *w);

#endif
