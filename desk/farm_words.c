/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/farm_words.h"

#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/farm.h"
#include "farm/zone.h"

static enum status farm_row(struct farm *farm, int64_t known_to, struct arena *mem, const struct fact **row,
                            struct message *why)
{
    struct fact *facts = NULL;
    size_t n = 0;
    const enum status st = farm_facts(farm, fact_kind_find("farm"), known_to, mem, &facts, &n, why);

    *row = n > 0 ? &facts[n - 1] : NULL;
    return st;
}

enum status desk_place(struct farm *farm, int64_t known_to, struct arena *mem, struct desk_place *place,
                       struct message *why)
{
    const struct fact *f = NULL;
    const enum status st = farm_row(farm, known_to, mem, &f, why);

    if (st != ST_OK)
        return st;
    if (!f)
        return refuse(ST_NOT_FOUND, why, "farm",
                      "where the farm lies is not recorded; write it down with: leenest record farm "
                      "--name NAME --lat 54.6 --lon -2.4 --zone Europe/London");
    const char *units = fact_text(f->kind, f->value, "units");
    *place = (struct desk_place){
        .name = fact_text(f->kind, f->value, "name"),
        .lat_deg = fact_real(f->kind, f->value, "lat_deg"),
        .lon_deg = fact_real(f->kind, f->value, "lon_deg"),
        .elevation_m = fact_real(f->kind, f->value, "elevation_m"),
        .declination_deg = fact_real(f->kind, f->value, "declination_deg"),
        .zone = fact_text(f->kind, f->value, "zone"),
        .us_units = units && strcmp(units, "us") == 0,
    };
    return ST_OK;
}

enum status desk_zone(struct farm *farm, struct arena *mem, const struct zone **zone, struct message *why)
{
    const struct fact *f = NULL;
    const enum status st = farm_row(farm, 0, mem, &f, why);

    *zone = NULL; /* UTC until the farm says where it is */
    if (st != ST_OK || !f)
        return st;
    return zone_open(fact_text(f->kind, f->value, "zone"), mem, zone, why);
}

bool desk_us_units(struct farm *farm)
{
    struct fact_speech speech;
    struct message ignored;
    return farm_speech(farm, &speech, &ignored) == ST_OK && speech.us_units;
}

const char *desk_setting(struct farm *farm, const char *name, struct arena *mem)
{
    struct fact *facts = NULL;
    size_t n = 0;
    struct message ignored;
    const char *value = NULL;

    arena_heed(mem, farm_facts(farm, fact_kind_find("setting"), 0, mem, &facts, &n, &ignored));
    for (size_t i = 0; i < n; i++) {
        const char *is = fact_text(facts[i].kind, facts[i].value, "name");
        if (is && strcmp(is, name) == 0)
            value = fact_text(facts[i].kind, facts[i].value, "value");
    }
    return value;
}

int64_t desk_now(struct farm *farm, int64_t clock_utc_s, struct arena *mem)
{
    const char *shown = desk_setting(farm, "show-at", mem);
    struct civil_text t;

    if (!shown || !civil_read(shown, &t) || !t.has_time || !t.has_offset)
        return clock_utc_s;
    return civil_seconds(&t.at) - t.offset_s;
}
