/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Larkmoor, an invented upland farm: twelve sows in every state, eight huts of three kinds, three boars, little straw.
 * Times are written as days before the demo evening and the hour of that day. */
#include <stdarg.h>
#include <string.h>

#include "core/base/civil.h"
#include "demo/demo.h"
#include "demo/inside.h"

static const struct demo_row rows[] = {
    { "farm",
      { "name=Larkmoor", "lat=54.62", "lon=-2.41", "elevation=265m", "zone=Europe/London", "units=metric",
        "declination=-0.4", "soil=loam", "people=2" } },
    { "setting",
      { "name=show-at", "value=2026-01-22T15:40:00Z", "note=this farm is invented and stands still on one evening" } },
    { "person", { "name=Wenna", "is=keeper" } },
    { "person", { "name=Tam", "is=helper" } },
    { "breed", { "name=Hedgerow Black", "gestation-shift=0.3", "hardy=6" } },
    { "breed", { "name=Marsh Ginger", "hardy=5" } },
    { "paddock",
      { "name=Long Lea", "area=1.3ha", "width=160m", "length=109m", "lies=slope", "drains=middling", "gateway-soft=yes",
        "outline=8,7 80,0 152,5 160,58 158,109 138,104 22,73 2,69", "origin-lat=54.6212", "origin-lon=-2.4132" } },
    { "paddock",
      { "name=Quarry Piece", "area=0.86ha", "lies=level", "drains=dry", "outline=0,3 105,0 112,82 6,84",
        "origin-lat=54.6219", "origin-lon=-2.4171" } },
    { "mark", { "is=gateway", "paddock=Long Lea", "points=82,1", "name=the lane gate" } },
    { "mark", { "is=water", "paddock=Long Lea", "points=63,22", "name=the trough" } },
    { "mark", { "is=wet", "paddock=Long Lea", "points=112,9 140,11 147,31 119,35" } },
    { "mark", { "is=tree", "paddock=Long Lea", "points=149,88", "name=the ash" } },
    { "mark", { "is=water", "paddock=Quarry Piece", "points=20,60" } },
    { "group", { "name=farrowing" } },
    { "group", { "name=dry sows" } },

    { "animal",
      { "name=Thorn", "sire=Moss", "dam=Willow", "sows-most=6", "is=boar", "breed=Hedgerow Black", "born=2022-03-04",
        "temper=steady" } },
    { "animal",
      { "name=Rook", "sire=Tern", "dam=Saffron", "sows-most=5", "is=boar", "breed=Marsh Ginger 7/8, Hedgerow Black 1/8",
        "born=2023-08-19", "temper=wary" } },
    { "animal",
      { "name=Bramble", "sire=Bracken", "dam=Nettle", "is=sow", "tag=11", "breed=Hedgerow Black", "born=2021-03-12",
        "teats=14", "temper=calm", "mass=214kg", "condition=3", "litters-before=5", "mean-litter-before=7.4",
        "gestations-before=4", "gestation-before=115.6" } },
    { "animal",
      { "name=Sedge", "sire=Bracken", "dam=Juniper", "is=sow", "tag=14", "breed=Hedgerow Black", "born=2021-08-02",
        "teats=14", "temper=steady", "mass=226kg", "condition=3.5", "litters-before=4", "mean-litter-before=7" } },
    { "animal",
      { "name=Teasel", "sire=Tern", "dam=Juniper", "is=sow", "tag=17", "breed=Hedgerow Black 1/2, Marsh Ginger 1/2",
        "born=2022-02-20", "teats=14", "temper=wary", "mass=201kg", "condition=3", "litters-before=3",
        "mean-litter-before=6.7" } },
    { "animal",
      { "name=Yarrow", "sire=Tern", "dam=Marigold", "is=sow", "tag=18", "breed=Marsh Ginger", "born=2022-04-11",
        "teats=13", "temper=calm", "mass=208kg", "condition=3", "litters-before=3", "mean-litter-before=7.7" } },
    { "animal",
      { "name=Campion", "sire=Thorn", "dam=Bramble", "is=gilt", "tag=31-4", "breed=Hedgerow Black", "born=2024-12-30",
        "teats=15", "temper=steady", "mass=148kg", "condition=3", "cycling=yes" } },
    { "animal",
      { "name=Clover", "sire=Bracken", "dam=Willow", "is=sow", "tag=19", "breed=Hedgerow Black", "born=2022-07-07",
        "teats=12", "temper=calm", "mass=205kg", "litters-before=3", "mean-litter-before=7" } },
    { "animal",
      { "name=Sorrel", "sire=Kestrel", "dam=Larkspur", "is=sow", "tag=20", "breed=Marsh Ginger", "born=2022-08-15",
        "teats=14", "temper=steady", "mass=199kg", "litters-before=2", "mean-litter-before=6.5" } },
    { "animal",
      { "name=Betony", "sire=Bracken", "dam=Juniper", "is=sow", "tag=21", "breed=Hedgerow Black", "born=2020-10-10",
        "teats=13", "temper=calm", "mass=238kg", "litters-before=7", "mean-litter-before=7.3" } },
    { "animal",
      { "name=Mallow", "sire=Tern", "dam=Poppy", "is=sow", "tag=23", "breed=Marsh Ginger", "born=2023-01-25",
        "teats=14", "temper=calm", "mass=190kg", "litters-before=2", "mean-litter-before=7" } },
    { "animal",
      { "name=Tansy", "sire=Bracken", "dam=Motley", "is=sow", "tag=24-3", "breed=Hedgerow Black", "born=2023-02-03",
        "teats=14", "blind-teats=1", "temper=wary", "mass=187kg", "litters-before=2", "mean-litter-before=6" } },
    { "animal",
      { "name=Burdock", "sire=Rowan", "dam=Damson", "is=sow", "tag=25", "breed=Hedgerow Black 3/4, Marsh Ginger 1/4",
        "born=2023-03-01", "teats=16", "temper=steady", "mass=196kg", "litters-before=2", "mean-litter-before=6.5" } },
    { "animal",
      { "name=Vetch", "sire=Rook", "dam=Mallow", "is=gilt", "tag=33-2", "breed=Marsh Ginger", "born=2025-02-14",
        "mass=121kg" } },

    { "windbreak",
      { "name=the north hedge", "is=hedge", "paddock=Long Lea", "height=2.4m", "porosity=45%", "length=120m",
        "bearing=345", "x=22m", "y=73m", "x2=138m", "y2=104m" } },
    { "windbreak",
      { "name=the west bank", "is=bank", "paddock=Long Lea", "height=1.5m", "porosity=0", "length=60m", "bearing=265",
        "x=8m", "y=9m", "x2=2.8m", "y2=68.8m" } },
    { "shelter",
      { "name=Hut 1", "wall=wood", "insulated=yes", "flap=hung", "mass=140kg", "hands=2", "vents=yes",
        "colour=dull" } },
    { "shelter",
      { "name=Hut 2", "wall=wood", "insulated=yes", "flap=can-hang", "mass=140kg", "hands=2", "vents=yes",
        "colour=dull" } },
    { "shelter", { "name=Hut 3", "wall=steel", "flap=none", "mass=95kg", "hands=2", "colour=dull" } },
    { "shelter", { "name=Hut 4", "wall=steel", "flap=can-hang", "mass=95kg", "hands=2", "colour=dull" } },
    { "shelter", { "name=Hut 5", "wall=steel", "flap=can-hang", "mass=95kg", "hands=2", "colour=white" } },
    { "shelter", { "name=Hut 6", "wall=wood", "flap=can-hang", "mass=120kg", "hands=2", "vents=yes", "colour=dark" } },
    { "shelter", { "name=Hut 7", "wall=wood", "flap=can-hang", "mass=120kg", "hands=2", "vents=yes", "colour=dark" } },
    { "shelter", { "name=Hut 8", "wall=plastic", "flap=can-hang", "mass=80kg", "hands=2", "colour=white" } },
    { "placement",
      { "shelter=Hut 1", "paddock=Long Lea", "x=118m", "y=78m", "facing=140", "from=@-9 11:00", "straw_depth_m=0.22",
        "bedded=@-2 10:00", "straw-state=dry" } },
    { "placement",
      { "shelter=Hut 2", "paddock=Long Lea", "x=92m", "y=70m", "facing=275", "from=@-6 14:00", "straw_depth_m=0.12",
        "bedded=@-3 10:00", "straw-state=dry" } },
    { "placement",
      { "shelter=Hut 3", "paddock=Quarry Piece", "x=30m", "y=25m", "facing=160", "from=@-20 11:00",
        "straw_depth_m=0.15", "bedded=@-5 10:00", "straw-state=dry" } },
    { "placement",
      { "shelter=Hut 4", "paddock=Long Lea", "x=66m", "y=62m", "facing=225", "from=@-12 11:00", "straw_depth_m=0.05",
        "bedded=@-12 11:00", "straw-state=damp" } },
    { "placement",
      { "shelter=Hut 5", "paddock=Long Lea", "x=40m", "y=30m", "facing=350", "from=@-12 12:00", "straw_depth_m=0.04",
        "bedded=@-12 12:00", "straw-state=dry", "drift-prone=yes" } },
    { "placement",
      { "shelter=Hut 6", "paddock=Long Lea", "x=100m", "y=86m", "facing=130", "from=@-7 11:00", "straw_depth_m=0.10",
        "bedded=@-7 11:00", "straw-state=dry", "lee=the north hedge", "lee-distance=7m", "lee-bearing=345" } },
    { "stock",
      { "at=@-1 09:00", "straw-bales=9", "bale=18kg", "flaps=2", "wall-bales=8", "panels=0", "people=2",
        "hand-minutes=40" } },

    { "move", { "animal=Bramble", "at=@-6 15:00", "to-group=farrowing", "to-paddock=Long Lea" } },
    { "move", { "animal=Sedge", "at=@-6 15:00", "to-group=farrowing", "to-paddock=Long Lea" } },
    { "move", { "animal=Teasel", "at=@-6 15:00", "to-group=farrowing", "to-paddock=Long Lea" } },
    { "move", { "animal=Yarrow", "at=@-6 15:00", "to-group=farrowing", "to-paddock=Long Lea" } },
    { "move", { "animal=Campion", "at=@-6 15:00", "to-group=farrowing", "to-paddock=Long Lea" } },
    { "move", { "animal=Tansy", "at=@-6 15:00", "to-group=farrowing", "to-paddock=Long Lea" } },
    { "move", { "animal=Clover", "at=@-9 12:00", "to-group=farrowing", "to-paddock=Long Lea" } },
    { "move", { "animal=Sorrel", "at=@-20 12:00", "to-paddock=Quarry Piece" } },
    { "move", { "animal=Mallow", "at=@-60 12:00", "to-group=dry sows", "to-paddock=Quarry Piece" } },
    { "move", { "animal=Burdock", "at=@-60 12:00", "to-group=dry sows", "to-paddock=Quarry Piece" } },

    /* hand-served, and about to farrow */
    { "service", { "sow=Bramble", "at=@-115 16:00", "boar=Thorn", "how=hand" } },
    { "scan", { "sow=Bramble", "at=@-84 10:00", "result=positive" } },
    { "sign", { "sow=Bramble", "at=@-1 16:00", "sign=udder-tight" } },
    { "sign", { "sow=Bramble", "at=@0 14:30", "sign=milk-drops" } },
    { "sign", { "sow=Bramble", "at=@0 14:30", "sign=nest", "arranging=yes", "placement=Hut 2", "place=put-out" } },
    { "look", { "sow=Bramble", "at=@0 08:10", "absent=nest,milk-streams" } },
    /* two services of one heat, near */
    { "service", { "sow=Sedge", "at=@-115 08:00", "boar=Thorn", "how=hand" } },
    { "service", { "sow=Sedge", "at=@-114 08:00", "boar=Thorn", "how=hand" } },
    { "sign", { "sow=Sedge", "at=@0 08:20", "sign=udder-tight" } },
    { "sign", { "sow=Sedge", "at=@0 14:40", "sign=milk-drops" } },
    { "look", { "sow=Sedge", "at=@0 14:40", "absent=nest,milk-streams,restless" } },
    /* a boar's stay, scanned */
    { "heat", { "sow=Teasel", "at=@-133 09:00" } },
    { "boar_run", { "sow=Teasel", "boar=Rook", "from=@-121 12:00", "to=@-84 12:00" } },
    { "scan", { "sow=Teasel", "at=@-70 10:00", "result=positive" } },
    { "sign", { "sow=Teasel", "at=@0 08:30", "sign=vulva-swollen" } },
    { "look", { "sow=Teasel", "at=@0 14:45", "absent=nest,udder-tight" } },
    /* three days off */
    { "service", { "sow=Yarrow", "at=@-112 09:00", "boar=Rook", "how=hand" } },
    { "look", { "sow=Yarrow", "at=@0 14:50", "absent=nest,udder-tight" } },
    /* a gilt past her day */
    { "service", { "sow=Campion", "at=@-117 10:00", "boar=Rook", "how=hand" } },
    { "sign", { "sow=Campion", "at=@0 14:55", "sign=vulva-swollen" } },
    { "sign", { "sow=Campion", "at=@0 14:55", "sign=away" } },
    { "look", { "sow=Campion", "at=@0 14:55", "absent=nest,milk-streams" } },
    /* just farrowed */
    { "service", { "sow=Clover", "at=@-116 09:00", "boar=Thorn", "how=hand" } },
    { "farrowing",
      { "sow=Clover", "start=@-1 21:40", "end=@0 00:10", "born-alive=8", "still=1", "placement=Hut 1", "place=hut",
        "temper=calm" } },
    { "nested", { "sow=Clover", "at=@-1 21:40", "placement=Hut 1", "place=hut", "put-out=used" } },
    /* two weeks into her litter */
    { "service", { "sow=Sorrel", "at=@-128 09:00", "boar=Rook", "how=hand" } },
    { "farrowing",
      { "sow=Sorrel", "start=@-13 05:30", "born-alive=7", "placement=Hut 3", "place=hut", "temper=steady" } },
    { "nested", { "sow=Sorrel", "at=@-13 05:30", "placement=Hut 3", "place=hut", "put-out=used" } },
    { "treatment", { "animal=Sorrel", "at=@-10 09:00", "what=pain relief, lame behind", "withdrawal-ends=@-2" } },
    /* open */
    { "farrowing", { "sow=Betony", "start=@-94 03:00", "born-alive=7", "still=0", "place=open" } },
    { "nested", { "sow=Betony", "at=@-94 03:00", "place=open", "put-out=not-used" } },
    { "weaning", { "sow=Betony", "at=@-38 10:00", "weaned=6" } },
    /* two weeks off */
    { "service", { "sow=Mallow", "at=@-100 10:00", "boar=Rook", "how=seen" } },
    { "scan", { "sow=Mallow", "at=@-70 10:00", "result=positive" } },
    /* overdue */
    { "service", { "sow=Tansy", "at=@-120 10:00", "boar=Thorn", "how=seen" } },
    { "look", { "sow=Tansy", "at=@0 15:00", "absent=nest,udder-tight,milk-drops" } },
    /* a boar with the dry sows now */
    { "boar_run", { "group=dry sows", "boar=Thorn", "from=@-45 12:00" } },
    { "treatment",
      { "group=farrowing", "at=@-18 10:00", "what=booster before farrowing, as the vet set", "booster-due=@170" } },
    /* legs and feet, seen as they walked; Sorrel was lame and is on the mend; nobody has looked at Vetch */
    { "weighing", { "animal=Bramble", "on=@-6", "legs=3.5" } },
    { "weighing", { "animal=Sedge", "on=@-6", "legs=4" } },
    { "weighing", { "animal=Teasel", "on=@-6", "legs=4" } },
    { "weighing", { "animal=Yarrow", "on=@-6", "legs=4.5" } },
    { "weighing", { "animal=Campion", "on=@-6", "legs=4" } },
    { "weighing", { "animal=Tansy", "on=@-6", "legs=3" } },
    { "weighing", { "animal=Clover", "on=@-9", "legs=4" } },
    { "weighing", { "animal=Sorrel", "on=@-10", "legs=2" } },
    { "weighing", { "animal=Sorrel", "on=@-1", "legs=3" } },
    { "weighing", { "animal=Betony", "on=@-38", "legs=2.5" } },
    { "weighing", { "animal=Mallow", "on=@-20", "legs=4" } },
    { "weighing", { "animal=Burdock", "on=@-20", "legs=4.5" } },
    /* people ask in spring: counted from those who rang in two years */
    { "asked",
      { "from=2027-03-29", "to=2027-04-11", "pigs=14", "price=95", "age=56d", "who=those who rang in two springs" } },
    { "asked", { "from=2027-04-12", "to=2027-04-25", "pigs=16", "price=95", "age=56d" } },
    { "asked", { "from=2027-04-26", "to=2027-05-09", "pigs=6", "price=85", "age=56d" } },
};

/* "@-113 14:00" -> "2025-10-01T14:00Z" and "@-2" -> a date. */
static const char *value_of(const char *text, struct arena *mem)
{
    int64_t days = 0, hour = 0, minute = 0;
    char out[32];
    const char *space = strchr(text, ' ');

    if (*text != '@')
        return text;
    char *number = arena_bytes(mem, text + 1, space ? (size_t)(space - text - 1) : strlen(text) - 1);
    if (!number || !read_whole(number, &days))
        return text;
    const int64_t day = demo_at_utc_s / DAY_S + days;
    if (!space)
        return arena_text(mem, civil_date_text(day, out));
    char *clock = arena_text(mem, space + 1);
    if (!clock || strlen(clock) != 5)
        return text;
    clock[2] = '\0';
    if (!read_whole(clock, &hour) || !read_whole(clock + 3, &minute))
        return text;
    return arena_text(mem, civil_moment_text(day * DAY_S + hour * HOUR_S + minute * 60, out));
}

static enum status item_of(const struct demo_row *row, const struct fact_speech *speech, struct arena *mem,
                           struct farm_item *item, struct message *why)
{
    const struct fact_kind *kind = fact_kind_find(row->kind);
    struct fact_value *values = kind ? ARENA_NEW(mem, struct fact_value, kind->n_fields) : NULL;

    if (!values)
        return refuse(ST_NO_MEMORY, why, row->kind, "demo: no kind %s, or no memory", row->kind);
    for (size_t i = 0; i < DEMO_PAIRS && row->pair[i]; i++) {
        const char *equals = strchr(row->pair[i], '=');
        char *field = equals ? arena_bytes(mem, row->pair[i], (size_t)(equals - row->pair[i])) : NULL;
        if (!field)
            return refuse(ST_BAD_INPUT, why, row->kind, "demo: %s is no pair", row->pair[i]);
        if (!equals[1])
            continue;
        const size_t f = fact_field_find(kind, field);
        if (f == FACT_NO_FIELD)
            return refuse(ST_BAD_INPUT, why, field, "demo: %s has no field %s", row->kind, field);
        const enum status st =
            fact_value_read(&kind->fields[f], field, value_of(equals + 1, mem), speech, mem, &values[f], why);
        if (st != ST_OK)
            return st;
    }
    *item = (struct farm_item){ .kind = kind,
                                .values = values,
                                .meta = { .who = "Wenna", .recorded_utc_s = demo_at_utc_s } };
    return ST_OK;
}

enum status demo_facts(struct farm *farm, struct arena *mem, struct message *why)
{
    const size_t n = COUNT(rows) + demo_n_ancestors;
    struct farm_item *items = ARENA_NEW(mem, struct farm_item, n);
    const struct fact_speech speech = { .zone = NULL };
    const struct farm_meta meta = { .who = "Wenna", .recorded_utc_s = demo_at_utc_s };
    size_t good = 0;

    if (!items)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n; i++) {
        const struct demo_row *row = i < COUNT(rows) ? &rows[i] : &demo_ancestors[i - COUNT(rows)];
        const enum status st = item_of(row, &speech, mem, &items[i], why);
        if (st != ST_OK)
            return st;
    }
    return farm_record_batch(farm, FARM_ALL_OR_NOTHING, &meta, n, items, mem, &good, why);
}
