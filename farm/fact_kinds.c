/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The fact table: every kind of fact, field by field. Order: what is referred to comes before what refers to it.
 * Limits keep out slips of the finger and of the unit; what is merely odd is for contradict.c.
 */
#include "farm/corners.h"
#include "farm/facts.h"

/* clang-format off: one row is one field */
#define TEXT(name, how, help)                                                                                          \
    {                                                                                                                  \
        name, FACT_TEXT, Q_NUMBER, 0, 0, how, NULL, NULL, NULL, help                                                   \
    }
#define CHOICE(name, choices, how, otherwise, help)                                                                    \
    {                                                                                                                  \
        name, FACT_CHOICE, Q_NUMBER, 0, 0, how, choices, NULL, otherwise, help                                         \
    }
#define SET(name, choices, how, help)                                                                                  \
    {                                                                                                                  \
        name, FACT_SET, Q_NUMBER, 0, 0, how, choices, NULL, NULL, help                                                 \
    }
#define REAL(name, of, low, high, how, help)                                                                           \
    {                                                                                                                  \
        name, FACT_REAL, of, low, high, how, NULL, NULL, NULL, help                                                    \
    }
#define WHOLE(name, low, high, how, help)                                                                              \
    {                                                                                                                  \
        name, FACT_WHOLE, Q_NUMBER, low, high, how, NULL, NULL, NULL, help                                             \
    }
#define DAY(name, how, help)                                                                                           \
    {                                                                                                                  \
        name, FACT_DAY, Q_NUMBER, 0, 0, how, NULL, NULL, NULL, help                                                    \
    }
#define MOMENT(name, how, help)                                                                                        \
    {                                                                                                                  \
        name, FACT_MOMENT, Q_NUMBER, 0, 0, how, NULL, NULL, NULL, help                                                 \
    }
#define FLAG(name, help)                                                                                               \
    {                                                                                                                  \
        name, FACT_FLAG, Q_NUMBER, 0, 0, 0, NULL, NULL, NULL, help                                                     \
    }
#define REF(name, kind, how, help)                                                                                     \
    {                                                                                                                  \
        name, FACT_REF, Q_NUMBER, 0, 0, how, NULL, kind, NULL, help                                                    \
    }
#define NOTE TEXT("note", 0, "anything else worth keeping")
#define BY   REF("by", "person", 0, "who did it or saw it")
enum { MUST = FACT_REQUIRED, EACH = FACT_EACH };

const char fact_signs[] = "vulva-swollen|udder-tight|away|milk-drops|nest|not-at-feed|fast-breathing|milk-streams|"
                          "temperature|restless|bloody-fluid|straining";
#define SIGNS                                                                                                          \
    "vulva-swollen|udder-tight|away|milk-drops|nest|not-at-feed|fast-breathing|milk-streams|"                          \
    "temperature|restless|bloody-fluid|straining"

static const struct fact_field farm_fields[] = {
    TEXT("name", MUST, "what the farm is called"),
    REAL("lat_deg", Q_ANGLE, -90, 90, MUST, "latitude, degrees north (south is minus)"),
    REAL("lon_deg", Q_ANGLE, -180, 180, MUST, "longitude, degrees east (west is minus)"),
    REAL("elevation_m", Q_LENGTH, -430, 6000, 0, "height above the sea"),
    TEXT("zone", MUST, "time zone, as Area/City: America/Chicago, Europe/Berlin"),
    CHOICE("units", "metric|us", 0, "metric", "units in which a bare number is taken and shown"),
    REAL("declination_deg", Q_ANGLE, -90, 90, 0, "how far the compass points east of true north (west is minus)"),
    CHOICE("soil", "sand|loam|clay|chalk|peat", 0, NULL, "what most of the ground is"),
    WHOLE("people", 1, 50, 0, "people who can help at one time"),
    NOTE,
};

static const struct fact_field person_fields[] = {
    TEXT("name", MUST, "what they are called here"),
    CHOICE("is", "keeper|helper|vet|neighbour|buyer|other", 0, "helper", "what they are to the farm"),
    TEXT("phone", 0, "telephone"),
    NOTE,
};

static const struct fact_field breed_fields[] = {
    TEXT("name", MUST, "name of the breed or cross"),
    REAL("gestation_shift_d", Q_SPAN, -5, 5, 0, "days longer (or, minus, shorter) in pig than the usual 115"),
    REAL("hardy_k", Q_TEMPERATURE_STEP, 0, 10, 0,
         "how much more cold a dry sow bears than a lean white one (hair and fat)"),
    REAL("sow_kg", Q_MASS, 30, 500, 0, "what a grown sow weighs"),
    REAL("newborn_kg", Q_MASS, 0.3, 3, 0, "what a newborn piglet weighs"),
    NOTE,
};

static const struct fact_field animal_fields[] = {
    TEXT("name", MUST, "what she or he is called"),
    TEXT("tag", 0, "ear tag, notch or tattoo"),
    CHOICE("is", "sow|gilt|boar|barrow", MUST, NULL, "what it was when recorded; a gilt becomes a sow by farrowing"),
    CHOICE("kept", "here|elsewhere", 0, "here", "elsewhere: an ancestor, or a boar that is not of this herd"),
    TEXT("breed", 0, "breed, or parts of breeds: Hedgerow Black 3/4, Marsh Ginger 1/4"),
    REF("sire", "animal", 0, "father"),
    REF("dam", "animal", 0, "mother"),
    DAY("born", 0, "day of birth"),
    WHOLE("teats", 0, 24, 0, "good teats, both sides together"),
    WHOLE("blind_teats", 0, 24, 0, "teats that give nothing"),
    CHOICE("temper", "calm|steady|wary|fierce", 0, NULL, "how she is with people and near her litter"),
    REAL("mass_kg", Q_MASS, 0.3, 500, 0, "weight when recorded"),
    REAL("condition", Q_NUMBER, 1, 5, 0, "body condition when recorded, 1 thin .. 5 fat"),
    WHOLE("litters_before", 0, 25, 0, "litters she had before the ones recorded here"),
    REAL("mean_litter_before", Q_NUMBER, 0, 30, 0, "born alive in those, on average"),
    WHOLE("gestations_before", 0, 25, 0, "of those, how many whose length is known"),
    REAL("gestation_before_d", Q_SPAN, 100, 130, 0, "their length on average"),
    CHOICE("cycling", "yes|no", 0, NULL, "gilt: has been seen in heat"),
    WHOLE("sows_most", 0, 60, 0, "boar: most sows he may have in one season"),
    DAY("arrived", 0, "day she or he came to the farm; empty: born here or always here"),
    NOTE,
};

static const struct fact_field group_fields[] = {
    TEXT("name", MUST, "what the group is called"),
    NOTE,
};

static const struct fact_field paddock_fields[] = {
    TEXT("name", MUST, "what the field is called"),
    REAL("area_m2", Q_AREA, 1, 1e7, 0, "its area"),
    REAL("width_m", Q_LENGTH, 1, 5000, 0, "west to east, for the plan"),
    REAL("length_m", Q_LENGTH, 1, 5000, 0, "south to north, for the plan"),
    TEXT("outline", FACT_OUTLINE,
         "plan: corners in order, metres east and north of its south-west corner: 0,0 160,4 158,100"),
    REAL("origin_lat_deg", Q_ANGLE, -90, 90, 0, "plan: latitude of that south-west corner"),
    REAL("origin_lon_deg", Q_ANGLE, -180, 180, 0, "plan: longitude of it"),
    REAL("slope_deg", Q_ANGLE, 0, 45, 0, "how steep, degrees"),
    REAL("slope_faces_deg", Q_ANGLE, 0, 360, 0, "where the slope looks to, degrees from north"),
    CHOICE("lies", "hollow|level|slope|crest", 0, NULL, "a hollow is colder in clear nights, a crest windier"),
    CHOICE("drains", "dry|middling|wet", 0, NULL, "how the ground stands after rain"),
    FLAG("gateway_soft", "the gateway is impassable in a thaw"),
    NOTE,
};

static const struct fact_field mark_fields[] = {
    CHOICE("is", "water|wet|gateway|tree|shade|stone|steep", MUST, NULL, "what is there"),
    REF("paddock", "paddock", MUST, "field it lies in"),
    TEXT("points", MUST | FACT_CORNERS,
         "plan: one place, or the corners of a patch, metres east and north of the field's south-west corner: 41,12"),
    TEXT("name", 0, "what it is called"),
    MOMENT("from", 0, "since when it is there; empty: always"),
    MOMENT("to", 0, "until when it was there; empty: still"),
    NOTE,
};

static const struct fact_field shelter_fields[] = {
    TEXT("name", MUST, "what the hut is called or its number"),
    CHOICE("is", "hut|barn", 0, "hut", "a hut that can be moved, or a building"),
    REAL("length_m", Q_LENGTH, 0.5, 100, 0, "length of the floor inside"),
    REAL("width_m", Q_LENGTH, 0.5, 100, 0, "width of the floor inside"),
    REAL("height_m", Q_LENGTH, 0.4, 20, 0, "height inside at the highest"),
    REAL("door_width_m", Q_LENGTH, 0.2, 10, 0, "width of the opening"),
    REAL("door_height_m", Q_LENGTH, 0.2, 10, 0, "height of the opening"),
    REAL("skin_m2", Q_AREA, 0.5, 2000, 0, "outside skin, walls and roof; empty: from the sizes"),
    REAL("leaks_m2", Q_AREA, 0, 5, 0, "cracks and vents on the side away from the door"),
    CHOICE("wall", "steel|plastic|wood", 0, NULL, "what the walls are"),
    FLAG("insulated", "the walls and roof are insulated"),
    CHOICE("floor", "soil|wood|concrete|mesh", 0, NULL, "what lies under the straw"),
    CHOICE("colour", "white|dull|dark", 0, NULL, "of the roof"),
    CHOICE("flap", "none|can-hang|hung", 0, NULL, "curtain at the door: not possible, can be hung, hangs"),
    FLAG("vents", "it has vents that can be opened in heat"),
    WHOLE("sows", 1, 60, 0, "sows it has a place for, each with her own; empty: one"),
    REAL("mass_kg", Q_MASS, 5, 20000, 0, "weight of the hut"),
    WHOLE("hands", 1, 20, 0, "people needed to move it"),
    REAL("warmer_k", Q_TEMPERATURE_STEP, 0, 30, 0, "building: how much warmer than outside it is"),
    FLAG("gone", "sold, broken or given up: it is no longer there"),
    NOTE,
};

static const struct fact_field windbreak_fields[] = {
    TEXT("name", MUST, "what it is called"),
    CHOICE("is", "hedge|trees|bales|boards|wall|bank|panels", MUST, NULL, "what it is"),
    REF("paddock", "paddock", 0, "field it shelters"),
    REAL("height_m", Q_LENGTH, 0.3, 40, MUST, "how high it is"),
    REAL("porosity", Q_FRACTION, 0, 1, 0, "share of it that is gaps: 0 solid, 0.5 a good hedge"),
    REAL("length_m", Q_LENGTH, 0.5, 5000, 0, "how long it is"),
    REAL("bearing_deg", Q_ANGLE, 0, 360, 0, "where it stands seen from the ground it shelters, degrees from north"),
    REAL("x_m", Q_LENGTH, -5000, 5000, 0, "plan: one end, metres east of the south-west corner of the field"),
    REAL("y_m", Q_LENGTH, -5000, 5000, 0, "plan: that end, metres north of it"),
    REAL("x2_m", Q_LENGTH, -5000, 5000, 0, "plan: the other end, east"),
    REAL("y2_m", Q_LENGTH, -5000, 5000, 0, "plan: the other end, north"),
    MOMENT("from", 0, "since when it stands; empty: always"),
    MOMENT("to", 0, "until when it stood; empty: still"),
    NOTE,
};

static const struct fact_field placement_fields[] = {
    REF("shelter", "shelter", 0, "the hut or building that stands here"),
    TEXT("name", 0, "a nest or bed of straw without a hut: what to call it"),
    CHOICE("is", "hut|lee|open|barn", 0, "hut", "hut, straw in the lee, straw in the open, building"),
    REF("paddock", "paddock", 0, "field it stands in"),
    REAL("x_m", Q_LENGTH, -5000, 5000, 0, "plan: metres east of the south-west corner of the field"),
    REAL("y_m", Q_LENGTH, -5000, 5000, 0, "plan: metres north of it"),
    REAL("facing_deg", Q_ANGLE, 0, 360, 0, "where the door looks to, degrees from true north"),
    MOMENT("from", MUST, "since when it stands so"),
    MOMENT("to", 0, "until when; empty: still, or until the hut is placed anew"),
    REAL("straw_depth_m", Q_LENGTH, 0, 1.5, 0, "depth of straw, settled"),
    REAL("straw_kg", Q_MASS, 0, 2000, 0, "straw put in"),
    MOMENT("bedded", 0, "when it was bedded; empty with straw given: when it was placed"),
    CHOICE("straw_state", "dry|damp|soaked", 0, NULL, "how the straw is"),
    CHOICE("flap", "none|hung", 0, NULL, "curtain at the door as it stands here"),
    FLAG("pen", "a sow has it to herself, in a pen or paddock of her own"),
    FLAG("frozen_in", "frozen to the ground: cannot be turned or moved"),
    FLAG("drift_prone", "snow drifts in here"),
    REF("lee", "windbreak", 0, "windbreak behind which it stands"),
    REAL("lee_distance_m", Q_LENGTH, 0, 2000, 0, "how far from that windbreak"),
    REAL("lee_bearing_deg", Q_ANGLE, 0, 360, 0, "where that windbreak stands seen from here, degrees from north"),
    NOTE,
};

static const struct fact_field bedding_fields[] = {
    REF("placement", "placement", MUST | EACH, "hut or nest, where it stands now"),
    MOMENT("at", MUST, "when it was bedded or looked at"),
    REAL("added_kg", Q_MASS, 0, 2000, 0, "straw added"),
    REAL("straw_depth_m", Q_LENGTH, 0, 1.5, 0, "depth of straw now, settled"),
    CHOICE("straw_state", "dry|damp|soaked", 0, NULL, "how the straw is now"),
    CHOICE("flap", "none|hung", 0, NULL, "curtain at the door now"),
    CHOICE("frozen_in", "yes|no", 0, NULL, "frozen to the ground now"),
    FLAG("cleared", "old bedding was taken out first"),
    BY,
    NOTE,
};

static const struct fact_field stock_fields[] = {
    MOMENT("at", MUST, "when it was counted"),
    REAL("straw_kg", Q_MASS, 0, 1e6, 0, "straw for bedding, in all"),
    WHOLE("straw_bales", 0, 100000, 0, "the same counted in bales"),
    REAL("bale_kg", Q_MASS, 2, 800, 0, "what one bale weighs"),
    WHOLE("flaps", 0, 1000, 0, "door flaps not in use"),
    WHOLE("wall_bales", 0, 100000, 0, "bales that may be used as walls"),
    WHOLE("panels", 0, 10000, 0, "windbreak panels not in use"),
    WHOLE("people", 0, 50, 0, "people who can help at one time"),
    REAL("hand_minutes", Q_NUMBER, 0, 60, 0, "minutes in each hour that one of them can give"),
    REAL("feed_kg", Q_MASS, 0, 1e6, 0, "feed in store, in all"),
    NOTE,
};

static const struct fact_field leaving_fields[] = {
    REF("animal", "animal", MUST | EACH, "who left"),
    DAY("on", MUST, "the day"),
    CHOICE("how", "sold|died|slaughtered|given|lent|lost", MUST, NULL, "how"),
    TEXT("to", 0, "where to"),
    TEXT("why", 0, "why, or of what"),
    NOTE,
};

static const struct fact_field weighing_fields[] = {
    REF("animal", "animal", MUST, "who"),
    DAY("on", MUST, "the day"),
    REAL("mass_kg", Q_MASS, 0.3, 500, 0, "weight"),
    REAL("condition", Q_NUMBER, 1, 5, 0, "body condition, 1 thin .. 5 fat"),
    REAL("legs", Q_NUMBER, 1, 5, 0, "legs and feet, 1 lame .. 5 sound and easy"),
    CHOICE("how", "scales|tape|eye", 0, NULL, "how it was found"),
    BY,
    NOTE,
};

static const struct fact_field heat_fields[] = {
    REF("sow", "animal", MUST | EACH, "sow or gilt"),
    MOMENT("at", MUST, "when it was seen"),
    CHOICE("strength", "standing|signs", 0, "standing", "stood to be mounted, or signs only"),
    REF("boar", "animal", 0, "boar that found it"),
    FLAG("day_only", "the hour is not known"),
    BY,
    NOTE,
};

static const struct fact_field service_fields[] = {
    REF("sow", "animal", MUST | EACH, "sow or gilt"),
    MOMENT("at", MUST, "when she was served"),
    REF("boar", "animal", 0, "boar"),
    CHOICE("how", "seen|hand|ai|guess", 0, "seen", "seen in the field, in hand, artificial, or guessed"),
    REAL("weight", Q_FRACTION, 0, 1, 0, "how much this service counts among those of one heat; empty: by the hours"),
    FLAG("day_only", "the hour is not known"),
    BY,
    NOTE,
};

static const struct fact_field boar_run_fields[] = {
    REF("boar", "animal", MUST, "boar"),
    REF("sow", "animal", EACH, "sow he ran with"),
    REF("group", "group", EACH, "or the group he ran with"),
    MOMENT("from", MUST, "when he was put in"),
    MOMENT("to", 0, "when he was taken out; empty: still in"),
    NOTE,
};

static const struct fact_field scan_fields[] = {
    REF("sow", "animal", MUST | EACH, "sow or gilt"),
    MOMENT("at", MUST, "when"),
    CHOICE("result", "positive|negative|unclear", MUST, NULL, "what was found"),
    CHOICE("how", "ultrasound|other", 0, "ultrasound", "how it was done"),
    BY,
    NOTE,
};

static const struct fact_field return_fields[] = {
    REF("sow", "animal", MUST | EACH, "sow or gilt"),
    MOMENT("at", MUST, "when she was in heat again, or the last day it was looked for"),
    CHOICE("seen", "heat|none", MUST, NULL, "in heat again, or looked for and not seen"),
    MOMENT("from", 0, "not seen: looked for daily since"),
    FLAG("boar_there", "a boar was there, or back pressure was tried"),
    BY,
    NOTE,
};

static const struct fact_field sign_fields[] = {
    REF("sow", "animal", MUST | EACH, "sow or gilt"),
    MOMENT("at", MUST, "when it was seen"),
    CHOICE("sign", SIGNS, MUST | EACH, NULL, "what was seen"),
    CHOICE("arranging", "yes|no", 0, NULL, "nest: alone, and arranging it"),
    FLAG("quiet", "nest: finished, and she lies quiet in it"),
    WHOLE("breaths_min", 5, 250, 0, "breaths in a minute"),
    REAL("body_temp_c", Q_TEMPERATURE, 34, 43, 0, "her temperature"),
    REF("placement", "placement", 0, "nest: at which hut or bed"),
    CHOICE("place", "put-out|elsewhere", 0, NULL, "nest: in what was put out for her, or where she chose"),
    BY,
    NOTE,
};

static const struct fact_field look_fields[] = {
    REF("sow", "animal", MUST | EACH, "sow or gilt that was looked at and had not farrowed"),
    MOMENT("at", MUST, "when"),
    SET("absent", SIGNS, 0, "signs looked for and not there, comma between; empty: none was looked for"),
    BY,
    NOTE,
};

static const struct fact_field farrowing_fields[] = {
    REF("sow", "animal", MUST, "sow or gilt"),
    MOMENT("start", MUST, "first piglet, as near as is known"),
    MOMENT("not_before", 0, "found farrowed: when she was last seen without"),
    MOMENT("end", 0, "last piglet or afterbirth"),
    WHOLE("born_alive", 0, 30, 0, "born alive; empty: not counted yet"),
    WHOLE("still", 0, 30, 0, "born dead"),
    WHOLE("mummified", 0, 30, 0, "shrivelled, died long before"),
    REF("placement", "placement", 0, "hut or bed in which she farrowed"),
    CHOICE("place", "hut|lee|open|barn", 0, NULL, "in a hut, in the lee, in the open, in a building"),
    REF("boar", "animal", 0, "father, where it is known"),
    CHOICE("temper", "calm|steady|wary|fierce", 0, NULL, "how she was"),
    FLAG("helped", "she had to be helped"),
    BY,
    NOTE,
};

static const struct fact_field birth_fields[] = {
    REF("sow", "animal", MUST, "sow or gilt that is farrowing"),
    MOMENT("at", MUST, "when this piglet came"),
    CHOICE("is", "alive|dead", 0, "alive", "how it was born"),
    BY,
    NOTE,
};

static const struct fact_field weaning_fields[] = {
    REF("sow", "animal", MUST | EACH, "sow"),
    MOMENT("at", MUST, "when"),
    WHOLE("weaned", 0, 30, 0, "piglets weaned"),
    REAL("mass_kg", Q_MASS, 0.3, 2000, 0, "what they weighed together"),
    FLAG("all_lost", "no litter was left to wean"),
    BY,
    NOTE,
};

static const struct fact_field loss_fields[] = {
    REF("sow", "animal", MUST, "sow whose litter it was, or who suckles it"),
    MOMENT("at", MUST, "when it was found"),
    WHOLE("many", 1, 30, MUST, "how many piglets, born alive and dead since"),
    TEXT("cause", 0, "what of, in your own words"),
    BY,
    NOTE,
};

static const struct fact_field move_fields[] = {
    REF("animal", "animal", EACH, "who was moved"),
    REF("group", "group", EACH, "or the group that was moved"),
    MOMENT("at", MUST, "when"),
    REF("to_group", "group", 0, "into which group"),
    REF("to_paddock", "paddock", 0, "into which field"),
    REF("to_placement", "placement", 0, "to which hut or bed"),
    FLAG("alone", "into a pen or paddock of her own"),
    BY,
    NOTE,
};

static const struct fact_field nested_fields[] = {
    REF("sow", "animal", MUST, "sow or gilt"),
    MOMENT("at", MUST, "when she farrowed or nested"),
    REF("placement", "placement", 0, "hut or bed she used"),
    CHOICE("place", "hut|lee|open|barn", MUST, NULL, "where she did nest"),
    CHOICE("put_out", "used|not-used|nothing-there", MUST, NULL, "whether she used what was put out for her"),
    NOTE,
};

static const struct fact_field treatment_fields[] = {
    REF("animal", "animal", EACH, "who was treated"),
    REF("group", "group", EACH, "or the group treated"),
    MOMENT("at", MUST, "when"),
    TEXT("what", MUST, "what was given or done"),
    TEXT("dose", 0, "how much, and how it was given"),
    TEXT("lot", 0, "number on the bottle"),
    TEXT("why", 0, "what for"),
    DAY("withdrawal_ends", 0, "first day on which meat may be eaten again, as the vet or the label says"),
    DAY("booster_due", 0, "when it is due again"),
    BY,
    NOTE,
};

static const struct fact_field weather_source_fields[] = {
    TEXT("name", MUST, "what the source is called"),
    CHOICE("is", "us-national|met-norway|met-norway-complete|station|past-years|own", MUST, NULL, "what it is"),
    TEXT("address", 0, "where it is asked, when not at the usual address"),
    TEXT("contact", 0, "an address of yours that the service wants to see"),
    REAL("lat_deg", Q_ANGLE, -90, 90, 0, "latitude of the station"),
    REAL("lon_deg", Q_ANGLE, -180, 180, 0, "longitude of the station"),
    REAL("elevation_m", Q_LENGTH, -430, 6000, 0, "height of the station above the sea"),
    REAL("wind_height_m", Q_LENGTH, 1, 50, 0, "height of its wind gauge above ground"),
    FLAG("unused", "not to be asked any more"),
    NOTE,
};

static const struct fact_field reading_fields[] = {
    MOMENT("at", MUST, "when it was read"),
    REF("paddock", "paddock", 0, "where"),
    REF("placement", "placement", 0, "or in which hut or bed"),
    REAL("temp_c", Q_TEMPERATURE, -70, 60, 0, "air temperature"),
    REAL("low_c", Q_TEMPERATURE, -70, 60, 0, "lowest since the last reading"),
    REAL("high_c", Q_TEMPERATURE, -70, 60, 0, "highest since the last reading"),
    REAL("rh", Q_FRACTION, 0, 1, 0, "humidity of the air, 0..1 or with %"),
    REAL("wind_mps", Q_SPEED, 0, 75, 0, "wind"),
    REAL("gust_mps", Q_SPEED, 0, 120, 0, "strongest gust"),
    REAL("wind_from_deg", Q_ANGLE, 0, 360, 0, "where the wind comes from, degrees from north"),
    REAL("wind_height_m", Q_LENGTH, 0.1, 50, 0, "height at which the wind was measured; empty: 2 m, held in the hand"),
    REAL("rain_mm", Q_RAIN, 0, 500, 0, "rain in the gauge since it was last emptied"),
    REAL("snow_depth_m", Q_LENGTH, 0, 5, 0, "depth of snow on the ground"),
    REAL("cloud", Q_CLOUD, 0, 1, 0, "share of the sky that is cloud"),
    MOMENT("since", 0, "start of the time that low, high or rain cover"),
    BY,
    NOTE,
};

static const struct fact_field tick_fields[] = {
    TEXT("prompt", MUST, "key of the prompt that `round` gave"),
    MOMENT("at", MUST, "when it was done"),
    DAY("on", 0, "the day it was due"),
    CHOICE("is", "done|not-needed", 0, "done", "done, or found not to be needed"),
    BY,
    NOTE,
};

static const struct fact_field note_fields[] = {
    MOMENT("at", MUST, "when"),
    TEXT("text", MUST, "what is to be kept"),
    REF("animal", "animal", 0, "about whom"),
    REF("paddock", "paddock", 0, "about which field"),
    REF("shelter", "shelter", 0, "about which hut"),
    BY,
};

static const struct fact_field asked_fields[] = {
    DAY("from", MUST, "first day of the weeks in which they are wanted"),
    DAY("to", 0, "last day; empty: six days after the first"),
    WHOLE("pigs", 1, 5000, MUST, "how many are asked for"),
    REAL("price", Q_NUMBER, 0, 1e6, 0, "what one fetches, in the farm's own money"),
    REAL("age_d", Q_SPAN, 20, 400, 0, "age at which they are wanted"),
    REAL("mass_kg", Q_MASS, 2, 200, 0, "weight at which they are wanted"),
    TEXT("who", 0, "who asks, or how this was counted"),
    NOTE,
};

static const struct fact_field season_plan_fields[] = {
    DAY("boar_in", MUST, "day on which the boar goes in"),
    DAY("boar_out", MUST, "day on which he comes out"),
    REF("group", "group", 0, "group he goes to; empty: all that are open"),
    WHOLE("sows", 1, 500, 0, "how many sows"),
    DAY("sell_from", 0, "first day on which the pigs are to be ready"),
    DAY("sell_to", 0, "last day"),
    NOTE,
};

static const struct fact_field pairing_fields[] = {
    REF("sow", "animal", MUST, "sow or gilt"),
    REF("boar", "animal", MUST, "boar she is to go to"),
    DAY("from", MUST, "first day of the season it is for"),
    CHOICE("decided", "reckoned|by-hand", 0, "by-hand", "as reckoned, or put otherwise by hand"),
    NOTE,
};

static const struct fact_field society_fields[] = {
    TEXT("breed", MUST, "name of the breed"),
    REAL("sow_share", Q_NUMBER, 0.5, 1, 0,
         "share of the breed from which a sow is taken into the book; empty: pure only"),
    REAL("boar_share", Q_NUMBER, 0.5, 1, 0, "the same for a boar"),
    CHOICE("boars", "yes|no", 0, "yes", "whether graded-up boars are taken at all"),
    TEXT("source", MUST, "where the rule stands, and of what year"),
    NOTE,
};

static const struct fact_field setting_fields[] = {
    TEXT("name", MUST, "which figure or habit of the reckoning"),
    TEXT("value", MUST, "what it shall be; the newest counts"),
    NOTE,
};

#define KIND(k, ...)                                                                                                   \
    static const struct fact_kind k##_kind = { .fields = k##_fields, .n_fields = COUNT(k##_fields), __VA_ARGS__ }

KIND(farm, .name = "farm", .help = "the farm itself: where it lies, its clock, its units", .called = "name",
     .single = true);
KIND(person, .name = "person", .help = "somebody who works here or is asked", .called = "name");
KIND(breed, .name = "breed", .help = "a breed and what sets it apart", .called = "name");
KIND(animal, .name = "animal", .help = "a sow, gilt, boar or ancestor", .called = "name", .also_called = "tag");
KIND(group, .name = "group", .help = "animals that are kept together", .called = "name");
KIND(paddock, .name = "paddock", .help = "a field or pen", .called = "name");
KIND(mark, .name = "mark", .help = "water, wet ground, a gateway, a tree or the like on the plan of a field",
     .when = "from", .until = "to");
KIND(shelter, .name = "shelter", .help = "a hut or building", .called = "name");
KIND(windbreak, .name = "windbreak", .help = "a hedge, wall of bales or boards that breaks the wind", .called = "name",
     .when = "from", .until = "to");
KIND(placement, .name = "placement", .help = "where a hut or a bed of straw stands, from when to when",
     .called = "name", .also_called = "shelter", .when = "from", .until = "to", .exactly_one = "shelter|name");
KIND(bedding, .name = "bedding", .help = "straw put in, or looked at as it lies", .when = "at",
     .at_least_one = "added_kg|straw_depth_m|straw_state|flap|frozen_in");
KIND(stock, .name = "stock", .help = "straw, feed, flaps, panels and hands there are; the newest count of each stands",
     .when = "at", .at_least_one = "straw_kg|straw_bales|bale_kg|flaps|wall_bales|panels|people|hand_minutes|feed_kg");
KIND(leaving, .name = "leaving", .help = "an animal left the farm or died", .when = "on");
KIND(weighing, .name = "weighing", .help = "weight or body condition of an animal", .when = "on",
     .at_least_one = "mass_kg|condition|legs");
KIND(heat, .name = "heat", .help = "a sow seen in heat, not served", .when = "at");
KIND(service, .name = "service", .help = "a sow served", .when = "at");
KIND(boar_run, .name = "boar_run", .help = "a boar running with sows or a group; several sows make one fact each",
     .when = "from", .until = "to", .exactly_one = "sow|group");
KIND(scan, .name = "scan", .help = "a test for being in pig", .when = "at");
KIND(return, .name = "return", .help = "heat after service: seen again, or looked for and not seen", .when = "at");
KIND(sign, .name = "sign", .help = "a sign that farrowing is near, seen on a sow", .when = "at");
KIND(look, .name = "look", .help = "a sow looked at: she has not farrowed", .when = "at");
KIND(farrowing, .name = "farrowing", .help = "a litter born", .when = "start", .until = "end");
KIND(birth, .name = "birth", .help = "one piglet born while you are there; the litter itself is a farrowing",
     .when = "at");
KIND(weaning, .name = "weaning", .help = "a litter weaned", .when = "at");
KIND(loss, .name = "loss", .help = "piglets of a litter that died after birth, before weaning", .when = "at");
KIND(move, .name = "move", .help = "an animal or a group put somewhere", .when = "at", .exactly_one = "animal|group",
     .at_least_one = "to_group|to_paddock|to_placement");
KIND(nested, .name = "nested", .help = "where a sow did nest, to learn how she chooses", .when = "at");
KIND(treatment, .name = "treatment", .help = "medicine, worming or the like; withdrawal as the vet or label says",
     .when = "at", .exactly_one = "animal|group");
KIND(weather_source, .name = "weather_source", .help = "where weather comes from", .called = "name");
KIND(reading, .name = "reading", .help = "own thermometer, gauge or wind", .when = "at",
     .at_least_one = "temp_c|low_c|high_c|rh|wind_mps|gust_mps|rain_mm|snow_depth_m|cloud");
KIND(tick, .name = "tick", .help = "a prompt of the round that was done", .when = "at");
KIND(note, .name = "note", .help = "anything else", .when = "at");
KIND(asked, .name = "asked", .help = "pigs that people ask for, and when");
KIND(season_plan, .name = "season_plan", .help = "days settled for the boar to go in and come out");
KIND(pairing, .name = "pairing", .help = "which boar a sow is to go to");
KIND(society, .name = "society", .help = "from what share a breed society takes graded-up animals", .called = "breed");
KIND(setting, .name = "setting", .help = "a figure of the reckoning set for this farm", .called = "name");

const struct fact_kind *const fact_kinds[] = {
    &farm_kind,    &person_kind,   &breed_kind,     &animal_kind,      &group_kind,          &paddock_kind,
    &mark_kind,    &shelter_kind,  &windbreak_kind, &placement_kind,   &bedding_kind,        &stock_kind,
    &leaving_kind, &weighing_kind, &heat_kind,      &service_kind,     &boar_run_kind,       &scan_kind,
    &return_kind,  &sign_kind,     &look_kind,      &farrowing_kind,   &birth_kind,          &weaning_kind,
    &loss_kind,    &move_kind,     &nested_kind,    &treatment_kind,   &weather_source_kind, &reading_kind,
    &tick_kind,    &note_kind,     &asked_kind,     &season_plan_kind, &pairing_kind,        &society_kind,
    &setting_kind, NULL,
};
/* clang-format on */
