/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/sun/sun.h"

#include <math.h>

#include "core/base/attr.h"
#include "core/sun/own.h"

const char *const sun_sky_name[] = { "isotropic", "Hay-Davies", "Perez" };

/* Perez et al. (1990), Solar Energy 44:271, table 1: upper edge of the bin of sky clearness; f11 f12 f13 f21 f22 f23.
 */
static const struct {
    double up_to, f11, f12, f13, f21, f22, f23;
} perez_bin[] = {
    /* clang-format off */
    { 1.065, -0.008, 0.588, -0.062, -0.060, 0.072, -0.022 },
    { 1.23, 0.130, 0.683, -0.151, -0.019, 0.066, -0.029 },
    { 1.5, 0.330, 0.487, -0.221, 0.055, -0.064, -0.026 },
    { 1.95, 0.568, 0.187, -0.295, 0.109, -0.152, -0.014 },
    { 2.8, 0.873, -0.392, -0.362, 0.226, -0.462, 0.001 },
    { 4.5, 1.132, -1.237, -0.412, 0.288, -0.823, 0.056 },
    { 6.2, 1.060, -1.600, -0.359, 0.264, -1.127, 0.131 },
    { INFINITY, 0.678, -0.327, -0.250, 0.156, -1.377, 0.251 },
};
/* clang-format on */

double sun_cos_incidence(double elevation_deg, double azimuth_deg, double tilt_deg, double facing_deg)
{
    const double e = SUN_RAD * elevation_deg, t = SUN_RAD * tilt_deg;
    return sin(e) * cos(t) + cos(e) * sin(t) * cos(SUN_RAD * (azimuth_deg - facing_deg));
}

/* The sun's own share of the sky light on a plane against on the level; the level is not taken lower than 1 degree. */
static double hay_davies(double dhi, double dni, double top, double toward, double cos_z, double see_sky)
{
    const double share = fmin(1.0, dni / top);
    return dhi * (share * toward / fmax(cos_z, 0.01745) + (1.0 - share) * see_sky);
}

static double perez(double dhi, double dni, double top, double toward, double cos_z, double see_sky, double sin_tilt,
                    double air_mass)
{
    if (!(dhi > 0.0))
        return 0.0;
    const double z = acos(fmin(1.0, fmax(-1.0, cos_z))), z3 = 1.041 * z * z * z;
    const double clear = ((dhi + dni) / dhi + z3) / (1.0 + z3), bright = dhi * air_mass / top;
    size_t i = 0;
    while (i + 1 < COUNT(perez_bin) && clear >= perez_bin[i].up_to)
        i++;
    const double f1 = fmax(0.0, perez_bin[i].f11 + perez_bin[i].f12 * bright + perez_bin[i].f13 * z);
    const double f2 = perez_bin[i].f21 + perez_bin[i].f22 * bright + perez_bin[i].f23 * z;
    return dhi * ((1.0 - f1) * see_sky + f1 * toward / fmax(cos(SUN_RAD * 85.0), cos_z) + f2 * sin_tilt);
}

struct sun_seen sun_on_plane(enum sun_sky sky, const struct sun_plane *plane, const struct sun_light *light,
                             double elevation_deg, double azimuth_deg, double top_w_m2, double air_mass)
{
    const struct sun_seen bad = { NAN, NAN, NAN, NAN };

    if (!sun_within(plane->tilt_deg, 0.0, 180.0) || !sun_within(plane->facing_deg, -360.0, 720.0) ||
        !sun_within(plane->albedo, 0.0, 1.0) || !sun_within(elevation_deg, -90.0, 90.0) ||
        !sun_within(azimuth_deg, -360.0, 720.0) || !sun_within(top_w_m2, 1.0, 1500.0) ||
        !sun_within(light->ghi, 0.0, 2000.0) || !sun_within(light->dni, 0.0, 2000.0) ||
        !sun_within(light->dhi, 0.0, 2000.0))
        return bad;
    const double cos_z = sin(SUN_RAD * elevation_deg), cos_t = cos(SUN_RAD * plane->tilt_deg);
    const double see_sky = 0.5 * (1.0 + cos_t);
    const double toward = fmax(0.0, sun_cos_incidence(elevation_deg, azimuth_deg, plane->tilt_deg, plane->facing_deg));
    struct sun_seen s = { .beam = cos_z > 0.0 ? light->dni * toward : 0.0,
                          .sky = NAN,
                          .ground = plane->albedo * light->ghi * 0.5 * (1.0 - cos_t) };
    switch (sky) {
    case SUN_ISOTROPIC: s.sky = light->dhi * see_sky; break;
    case SUN_HAY_DAVIES: s.sky = hay_davies(light->dhi, light->dni, top_w_m2, toward, cos_z, see_sky); break;
    case SUN_PEREZ: {
        const double mass = isnan(air_mass) ? sun_air_mass(90.0 - fmax(0.0, elevation_deg)) : air_mass;
        s.sky = perez(light->dhi, light->dni, top_w_m2, toward, cos_z, see_sky, sin(SUN_RAD * plane->tilt_deg), mass);
        break;
    }
    }
    s.sky = fmax(0.0, s.sky); /* Perez's F2 can push a plane turned away a little below nothing */
    s.total = s.beam + s.sky + s.ground;
    return s;
}

double sun_into_opening_w_m2(double facing_deg, double albedo, const struct sun_light *light, double elevation_deg,
                             double azimuth_deg, double top_w_m2, double *beam_w_m2)
{
    const struct sun_plane door = { .tilt_deg = 90.0, .facing_deg = facing_deg, .albedo = albedo };
    const struct sun_seen s = sun_on_plane(SUN_HAY_DAVIES, &door, light, elevation_deg, azimuth_deg, top_w_m2, NAN);

    if (beam_w_m2)
        *beam_w_m2 = s.beam;
    return s.total;
}
