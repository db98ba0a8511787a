/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Weather: bytes of any known format in, one sorted array of hours out. What the bytes are is found from the bytes,
 * never from the name. A bad value costs itself, an unreadable row costs the row, and both are listed with their line;
 * a file in which nothing can be read is refused in one sentence that names it.
 *
 * Known     ISD-Lite (plain or .gz), the US National Weather Service's hourly and grid forecasts, MET Norway's
 *           Locationforecast 2.0, METAR and SPECI, TAF, EPW, our own CSV, and any hourly CSV whose columns are named
 * Owner     everything in struct weather lives in the arena handed in; nothing is freed by itself
 * Threads   no state of its own
 */
#ifndef WEATHER_WEATHER_H
#define WEATHER_WEATHER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/hour.h"
#include "core/base/status.h"

enum { WEATHER_FILE_BYTES = 64 * 1024 * 1024 }; /* largest file, and largest after unpacking */
enum {
    WEATHER_REJECTED_LISTED = 200,
    WEATHER_NOTES_LISTED = 64,
    WEATHER_SOURCES_LISTED = 256,
    WEATHER_RISKS_LISTED = 512
};

enum weather_format {
    WEATHER_ISD_LITE = 0,
    WEATHER_NWS_HOURLY,
    WEATHER_NWS_GRID,
    WEATHER_MET_NORWAY,
    WEATHER_METAR,
    WEATHER_TAF,
    WEATHER_EPW,
    WEATHER_OWN_CSV,
    WEATHER_COLUMNS_CSV,
    WEATHER_MIXED,
    WEATHER_FORMAT_END
};
extern const char *const weather_format_name[WEATHER_FORMAT_END]; /* "ISD-Lite", "METAR" */

/* What is counted as missing: the index into `missing`, one for each value of an hour. */
enum weather_field {
    WF_TEMP = 0,
    WF_DEW_POINT,
    WF_RH,
    WF_WIND,
    WF_GUST,
    WF_WIND_FROM,
    WF_CLOUD,
    WF_RAIN,
    WF_SNOW,
    WF_SUN,
    WF_PRESSURE,
    WF_END
};
extern const char *const weather_field_name[WF_END]; /* "temp_c", "wind_from_deg": the keys of the answers */

/* What may come on top of the hour's own state (TEMPO, PROB, BECMG under way): bits of hour.risk. */
enum weather_risk_bit {
    WEATHER_RISK_WIND = 1 << 0, /* stronger mean wind or gusts */
    WEATHER_RISK_RAIN = 1 << 1,
    WEATHER_RISK_SNOW = 1 << 2,
    WEATHER_RISK_FREEZING = 1 << 3, /* rain, drizzle or fog that freezes */
    WEATHER_RISK_THUNDER = 1 << 4,
    WEATHER_RISK_HAIL = 1 << 5,
    WEATHER_RISK_HAZARD = 1 << 6 /* an official warning */
};

struct weather_risk {
    int64_t from_utc_s, to_utc_s; /* to is exclusive */
    unsigned bits;
    double probability;        /* 0 .. 1; NAN when the forecast gives none */
    double wind_mps, gust_mps; /* NAN when the group says nothing of wind */
    int source;
    const char *says; /* the group as written, or the warning in words */
};

struct weather_rejected {
    size_t line;       /* 1-based; 0 where the format has no lines (says then names the entry) */
    const char *field; /* as the file calls it; "" = the row */
    const char *says;  /* one sentence */
};

struct weather_source {
    const char *name; /* format and station: "METAR KDCA" */
    enum weather_format format;
    const char *station; /* "" when not known */
};

struct weather {
    struct hour *hour;           /* sorted by utc_s, then source; one for each hour (or step) and source */
    const unsigned char *step_h; /* hours that hour[i] stands for: 1, or 6 in the far part of a forecast (its rain_mm is
                                  * that of one hour); NULL = 1 everywhere */
    const char *const *says;     /* weather as the source puts it: "-SN BLSN", "Chance Snow"; NULL, or NULL entries */
    size_t n;
    enum weather_format format;
    const struct weather_source *source; /* hour.source is an index into it */
    size_t n_sources;
    const char *place;                    /* "" when not known */
    double lat_deg, lon_deg, elevation_m; /* NAN unknown */
    double wind_height_m;                 /* of the anemometer; the hours are at 10 m whatever it is */
    bool sea_level_pressure;              /* pressure_kpa is brought to sea level, not the station's own */
    bool forecast;                        /* says what will be, not what was */
    bool typical_year;                    /* months taken from different years (EPW) */
    const char *credit;                   /* line to show with the data; "" = none is asked for */
    int64_t issued_utc_s, expires_utc_s;  /* 0 unknown */
    size_t rows;                  /* rows, periods, steps or reports the source gave, before doubles were merged */
    size_t doubles;               /* rows dropped because a later report of the same hour and source is there */
    size_t calm, variable, trace; /* hours with wind 0; with wind from no steady direction; with a trace of rain */
    size_t missing[WF_END];       /* hours without the value */
    const struct weather_rejected *rejected; /* the first WEATHER_REJECTED_LISTED of them */
    size_t n_rejected_listed, n_rejected;
    const char *const *note; /* sentences: what was assumed, merged, dropped */
    size_t n_notes;
    const struct weather_risk *risk;
    size_t n_risks;
};

/* Zeroed = nothing asked for: times without an offset are UTC, all rows are kept. */
struct weather_options {
    const char *columns; /* "time=HEADER,temp=HEADER:F,..." -> the file is a CSV read by these; NULL */
    const char *where;   /* "HEADER=VALUE" keeps the rows of a CSV with it; "station=KDCA" reports; NULL */
    bool has_at, has_from, has_to;
    int64_t at_utc_s;             /* METAR and TAF give a day of the month: month and year come from here */
    int64_t from_utc_s, to_utc_s; /* hours that begin in from .. to are kept, both included */
    /* Local civil seconds (as if UTC) -> offset of that zone east of UTC, seconds. *ambiguous = the clock shows this
     * twice (autumn): either of the two offsets may be given. NULL: the zone is UTC. */
    int (*offset_s)(void *zone, int64_t local_s, bool *ambiguous);
    void *zone;
};

/* Read one file's bytes.
 *
 * Given     name      how the user knows the file; it begins every refusal
 *           bytes, n  plain or gzip; need not end in 0 or a newline
 *           opt       NULL is fine
 * Returned  *out      untouched on failure; dew points below 0.01 C over ice, wind at 10 m, snow told from rain
 * Fails     ST_BAD_INPUT: not a known format, nothing readable, too large, a bad --columns or --where;
 *           ST_NO_MEMORY: the arena's ceiling (an hour takes about 150 bytes)
 */
enum status weather_read(const char *name, const char *bytes, size_t n, const struct weather_options *opt,
                         struct arena *mem, struct weather *out, struct message *why) MUST_USE;

/* The same from a file on disk; at most WEATHER_FILE_BYTES of it. ST_NOT_FOUND, ST_IO. */
enum status weather_read_file(const char *path, const struct weather_options *opt, struct arena *mem,
                              struct weather *out, struct message *why) MUST_USE;

/* Several files as one: hours sorted; where two give the same hour of the same source the later file's is kept. Sources
 * with the same name become one. Place, credit and so on are the first's; a further credit is appended. n >= 1. */
enum status weather_join(const struct weather part[], size_t n, struct arena *mem, struct weather *out,
                         struct message *why) MUST_USE;

/* Fill short gaps, by rule, each said in hour.filled and counted in a note.
 *
 * Cloud     the last known value for at most 3 h (or one step of a forecast), else 4 oktas
 * Temperature, dew point, humidity, wind, pressure   linear across at most 3 missing hours (or within one step of a
 *           forecast); direction along the shorter arc, not across calm or variable hours; rows that are absent inside
 * such a gap are made Rain      a step's rain goes to each of its hours; otherwise a missing rain stays missing Longer
 * gaps and gusts stay missing. Each source is filled by itself.
 */
enum status weather_fill(const struct weather *in, struct arena *mem, struct weather *out,
                         struct message *why) MUST_USE;

#endif
