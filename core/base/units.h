/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Units: SI inside, whatever the farm uses outside. Text a person typed becomes a checked SI number here and
 * nowhere else. Decimal point always; the process's locale plays no part.
 */
#ifndef CORE_BASE_UNITS_H
#define CORE_BASE_UNITS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/status.h"

enum quantity {
    Q_NUMBER = 0,       /* a bare number; takes no unit */
    Q_TEMPERATURE,      /* °C; C F K */
    Q_TEMPERATURE_STEP, /* K, a difference; C F K without the shift */
    Q_SPEED,            /* m/s; mps kmh kn mph */
    Q_LENGTH,           /* m; m cm mm ft in km mi */
    Q_RAIN,             /* mm of water; mm cm in */
    Q_MASS,             /* kg; kg g lb */
    Q_PRESSURE,         /* kPa; kPa Pa hPa inHg */
    Q_AREA,             /* m2; m2 ha acre ft2 */
    Q_SPAN,             /* days; d h min s week */
    Q_ANGLE,            /* degrees; deg. Where the range is 0..360 also a point of the compass: N, NNE .. NNW */
    Q_FRACTION,         /* 0..1; bare or % */
    Q_CLOUD,            /* 0..1; bare, % or okta */
    Q_POWER,            /* W; W kW */
    Q_ENERGY,           /* MJ; MJ kJ kcal kWh */
    Q_IRRADIANCE,       /* W/m2; Wm2 */
    Q_HOURS,            /* h; h min s d: a short span */
    Q_MINUTES,          /* min; the same */
    Q_END
};

extern const char *const quantity_name[Q_END];    /* "temperature" */
extern const char *const quantity_si[Q_END];      /* "C", "mps": what a bare number means */
extern const char *const quantity_example[Q_END]; /* "12F" */

/* `given` in unit `name` -> SI. ST_BAD_INPUT when the unit is unknown or of another quantity. */
enum status unit_to_si(double given, const char *name, enum quantity want, double *si, struct message *why) MUST_USE;
/* SI -> unit `name`; NAN when the unit is not one of this quantity. */
double unit_from_si(double si, const char *name, enum quantity of);

/* The whole of `text` is one finite decimal number ("-12.5", "1e3"); no hexadecimal, no "inf", no "nan",
 * no spaces inside. Leading and trailing spaces are taken off. At most 64 characters. */
bool read_real(const char *text, double *value) MUST_USE;
bool read_whole(const char *text, int64_t *value) MUST_USE;

/* "12F", "-11.1", "15 mph", "85%" -> SI, checked against low..high (SI, both included).
 * Fails ST_BAD_INPUT, message field = `field`, sentence with the range and an example. */
enum status quantity_read(const char *text, enum quantity of, double low, double high, const char *field, double *si,
                          struct message *why) MUST_USE;

/* Names of the units of a quantity, for help: "C, F, K". */
void quantity_units(enum quantity of, char *text, size_t size);

#endif
