/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/labels.h"

#include <stdio.h>
#include <string.h>

/* kind NULL: wherever the field stands. What is not listed is called by its own name. */
static const struct {
    const char *kind, *field, *label;
} labels[] = {
    { "leaving", "to", "where to" },
    { "leaving", "how", "how they left" },
    { "leaving", "why", "why, or of what" },
    { "weighing", "how", "how it was found" },
    { "loss", "many", "how many piglets" },
    { "loss", "cause", "what of" },
    { "asked", "to", "until when" },
    { "asked", "age_d", "age at which they are wanted" },
    { "asked", "mass_kg", "weight at which they are wanted" },
    { "animal", "sows_most", "boar: most sows in a season" },
    { "pairing", "from", "first day of the season" },
    { "service", "how", "how it was seen or done" },
    { "service", "weight", "counts for" },
    { "stock", "people", "people at hand" },
    { "farm", "people", "people at hand" },
    { "placement", "name", "name of a bed without a hut" },
    { "placement", "is", "what stands here" },
    { "animal", "is", "sow, gilt, boar or barrow" },
    { "animal", "kept", "lives here or elsewhere" },
    { "shelter", "is", "hut or building" },
    { "shelter", "sows", "places for sows" },
    { "sign", "place", "where the nest is" },
    { "tick", "is", "done or not needed" },
    { "tick", "on", "day it was due" },
    { "birth", "is", "alive or dead" },
    { "return", "from", "looked for daily since" },
    { "treatment", "what", "what was given or done" },
    { "treatment", "lot", "number on the bottle" },
    { "treatment", "why", "what for" },
    { "nested", "place", "where she did nest" },
    { "reading", "wind_height_m", "height of the wind gauge" },
    { "weather_source", "is", "kind of source" },
    { "weather_source", "wind_height_m", "height of its wind gauge" },
    { NULL, "is", "what it is" },
    { NULL, "at", "when" },
    { NULL, "on", "day" },
    { NULL, "from", "since when" },
    { NULL, "to", "until when" },
    { NULL, "by", "who did it or saw it" },
    { NULL, "lat_deg", "latitude" },
    { NULL, "lon_deg", "longitude" },
    { NULL, "elevation_m", "height above the sea" },
    { NULL, "declination_deg", "compass east of true north" },
    { NULL, "zone", "time zone" },
    { NULL, "gestation_shift_d", "in pig longer than usual by" },
    { NULL, "hardy_k", "bears more cold by" },
    { NULL, "sow_kg", "weight of a grown sow" },
    { NULL, "newborn_kg", "weight of a newborn" },
    { NULL, "sire", "father" },
    { NULL, "dam", "mother" },
    { NULL, "teats", "good teats" },
    { NULL, "mass_kg", "weight" },
    { NULL, "condition", "body condition" },
    { NULL, "litters_before", "litters before these records" },
    { NULL, "mean_litter_before", "born alive in those, on average" },
    { NULL, "gestations_before", "of those, length known" },
    { NULL, "gestation_before_d", "their length on average" },
    { NULL, "cycling", "has been in heat" },
    { NULL, "slope_deg", "slope" },
    { NULL, "slope_faces_deg", "slope looks to" },
    { NULL, "lies", "how it lies" },
    { NULL, "drains", "how it drains" },
    { NULL, "gateway_soft", "gateway soft in a thaw" },
    { NULL, "skin_m2", "outside skin" },
    { NULL, "leaks_m2", "cracks and vents" },
    { NULL, "wall", "walls" },
    { NULL, "hands", "people to move it" },
    { NULL, "warmer_k", "warmer than outside by" },
    { NULL, "gone", "no longer there" },
    { NULL, "porosity", "share of gaps" },
    { NULL, "bearing_deg", "stands to" },
    { NULL, "x_m", "east on the plan" },
    { NULL, "y_m", "north on the plan" },
    { NULL, "x2_m", "other end, east" },
    { NULL, "y2_m", "other end, north" },
    { NULL, "facing_deg", "door looks to" },
    { NULL, "straw_depth_m", "depth of straw" },
    { NULL, "straw_kg", "straw" },
    { NULL, "feed_kg", "feed" },
    { NULL, "straw_state", "state of the straw" },
    { NULL, "added_kg", "straw added" },
    { NULL, "cleared", "old bedding taken out first" },
    { NULL, "bedded", "when it was bedded" },
    { NULL, "pen", "a pen of her own" },
    { NULL, "drift_prone", "snow drifts in" },
    { NULL, "lee", "windbreak it stands behind" },
    { NULL, "lee_distance_m", "how far from it" },
    { NULL, "lee_bearing_deg", "where it stands seen from here" },
    { NULL, "straw_bales", "bales of straw" },
    { NULL, "bale_kg", "weight of a bale" },
    { NULL, "wall_bales", "bales for walls" },
    { NULL, "hand_minutes", "minutes an hour for each" },
    { NULL, "day_only", "hour not known" },
    { NULL, "boar_there", "a boar was there" },
    { NULL, "sign", "what was seen" },
    { NULL, "arranging", "alone, and arranging it" },
    { NULL, "quiet", "finished, and lies quiet" },
    { NULL, "breaths_min", "breaths in a minute" },
    { NULL, "body_temp_c", "her temperature" },
    { NULL, "absent", "looked for and not there" },
    { NULL, "start", "first piglet" },
    { NULL, "end", "last piglet or afterbirth" },
    { NULL, "not_before", "last seen without piglets" },
    { NULL, "still", "born dead" },
    { NULL, "mummified", "shrivelled" },
    { NULL, "helped", "had to be helped" },
    { NULL, "place", "where" },
    { NULL, "all_lost", "no litter left" },
    { NULL, "paddock", "field" },
    { NULL, "placement", "hut or bed" },
    { NULL, "shelter", "hut or building" },
    { NULL, "to_group", "into group" },
    { NULL, "to_paddock", "into field" },
    { NULL, "to_placement", "to hut or bed" },
    { NULL, "alone", "in a pen of her own" },
    { NULL, "put_out", "what was put out" },
    { NULL, "withdrawal_ends", "meat may be eaten from" },
    { NULL, "booster_due", "due again" },
    { NULL, "unused", "not asked any more" },
    { NULL, "temp_c", "temperature" },
    { NULL, "low_c", "lowest" },
    { NULL, "high_c", "highest" },
    { NULL, "rh", "humidity" },
    { NULL, "gust_mps", "strongest gust" },
    { NULL, "wind_from_deg", "wind comes from" },
    { NULL, "snow_depth_m", "depth of snow" },
    { NULL, "since", "since when" },
    { NULL, "prompt", "what the round asked for" },
};

const char *fact_label(const struct fact_kind *kind, const struct fact_field *field, char out[static 40])
{
    for (size_t i = 0; i < COUNT(labels); i++)
        if (strcmp(labels[i].field, field->name) == 0 && (!labels[i].kind || strcmp(labels[i].kind, kind->name) == 0))
            return labels[i].label;
    (void)fact_flag_name(field, out);
    for (char *c = out; *c; c++)
        *c = *c == '-' ? ' ' : *c;
    return out;
}

static bool begins_with(const char *text, const char *name)
{
    const size_t n = strlen(name);
    return strncmp(text, name, n) == 0 && (text[n] == ':' || text[n] == ' ');
}

void fact_label_message(const struct fact_kind *kind, struct message *why)
{
    const size_t i = why->field[0] ? fact_field_find(kind, why->field) : FACT_NO_FIELD;
    char flag[40], label[40];

    if (i == FACT_NO_FIELD)
        return;
    const struct fact_field *f = &kind->fields[i];
    const char *known[] = { f->name, fact_flag_name(f, flag) };
    const struct message was = *why;
    size_t skip = 0;
    for (size_t k = 0; k < COUNT(known) && !skip; k++)
        skip = begins_with(was.text, known[k]) ? strlen(known[k]) : 0;
    (void)refuse(ST_BAD_INPUT, why, f->name, "%s%s", skip ? fact_label(kind, f, label) : "", was.text + skip);
}
