/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/vapour.h"

#include <math.h>
#include <stdbool.h>

enum { ZERO_C_IS_K_HUNDREDTHS = 27315 }; /* 273.15 K: SI Brochure */
static const double turn_c = 0.01;       /* from here on over water: ASHRAE ch. 1 puts the change at the triple point */

static bool within(double x, double low, double high)
{
    return x >= low && x <= high; /* false for NAN */
}

static double kelvin(double temp_c)
{
    return temp_c + ZERO_C_IS_K_HUNDREDTHS / 100.0;
}

double vapour_over_ice_pa(double temp_c)
{
    if (!within(temp_c, -100.0, 0.01))
        return NAN;
    const double t = kelvin(temp_c); /* eq. 5 */
    return exp(-5.6745359e3 / t + 6.3925247 +
               t * (-9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 - t * 9.484024e-13))) + 4.1635019 * log(t));
}

double vapour_over_water_pa(double temp_c)
{
    if (!within(temp_c, -60.0, 100.0))
        return NAN;
    const double t = kelvin(temp_c); /* eq. 6 */
    return exp(-5.8002206e3 / t + 1.3914993 + t * (-4.8640239e-2 + t * (4.1764768e-5 - t * 1.4452093e-8)) +
               6.5459673 * log(t));
}

double vapour_saturation_pa(double temp_c)
{
    return temp_c < turn_c ? vapour_over_ice_pa(temp_c) : vapour_over_water_pa(temp_c);
}

/* d ln(pressure) / dT of the two forms above. */
static double log_slope(double temp_c, bool ice)
{
    const double t = kelvin(temp_c);
    if (ice)
        return 5.6745359e3 / (t * t) - 9.677843e-3 +
               t * (2.0 * 6.2215701e-7 + t * (3.0 * 2.0747825e-9 - t * 4.0 * 9.484024e-13)) + 4.1635019 / t;
    return 5.8002206e3 / (t * t) - 4.8640239e-2 + t * (2.0 * 4.1764768e-5 - t * 3.0 * 1.4452093e-8) + 6.5459673 / t;
}

/* Newton's steps on the logarithm, which is nearly straight: three give 1e-9 K; eight are allowed. */
static double solve(double vapour_pa, double guess_c, bool ice)
{
    const double want = log(vapour_pa), low = ice ? -100.0 : -60.0, high = ice ? 0.01 : 100.0;
    double temp_c = fmin(fmax(guess_c, low), high);

    for (int i = 0; i < 8; i++) {
        const double have = log(ice ? vapour_over_ice_pa(temp_c) : vapour_over_water_pa(temp_c));
        const double step = (want - have) / log_slope(temp_c, ice);
        const double next = fmin(fmax(temp_c + step, low), high);
        if (fabs(next - temp_c) < 1e-9)
            return next;
        temp_c = next;
    }
    return temp_c;
}

/* A first guess from the Magnus form over water: WMO-No. 8, annex 4.B. */
static double guess_c(double vapour_pa)
{
    const double x = log(vapour_pa / 611.2);
    return 243.12 * x / (17.62 - x);
}

double vapour_dew_point_c(double vapour_pa)
{
    if (!within(vapour_pa, 0.002, 20000.0))
        return NAN;
    const bool ice = vapour_pa < vapour_over_water_pa(turn_c);
    return solve(vapour_pa, guess_c(vapour_pa), ice);
}

double vapour_dew_point_over_ice_c(double over_water_c)
{
    if (!within(over_water_c, -60.0, 60.0))
        return NAN;
    if (over_water_c >= turn_c)
        return over_water_c;
    /* over ice the same vapour condenses a little earlier: about a ninth of the way to 0 C */
    return solve(vapour_over_water_pa(over_water_c), over_water_c * 0.89, true);
}

double vapour_dew_point_over_water_c(double over_ice_c)
{
    if (!within(over_ice_c, -60.0, 60.0))
        return NAN;
    if (over_ice_c >= turn_c)
        return over_ice_c;
    return solve(vapour_over_ice_pa(over_ice_c), over_ice_c * 1.12, false);
}
