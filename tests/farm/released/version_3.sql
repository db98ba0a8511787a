-- SPDX-License-Identifier: GPL-3.0-or-later
-- A small farm file as version 3 of the tables wrote it (sqlite3 FILE .dump). Never changed: it stands for the files out there.
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE journal(number INTEGER PRIMARY KEY, at_utc_s INTEGER NOT NULL, recorded_utc_s INTEGER NOT NULL, what TEXT NOT NULL CHECK(what IN('recorded','voided','restored','settled','weather')), kind TEXT NOT NULL, uid TEXT NOT NULL, batch TEXT NOT NULL, who TEXT NOT NULL, device TEXT NOT NULL, before TEXT, after TEXT, chain TEXT NOT NULL) STRICT;
INSERT INTO journal VALUES(1,1795942272,1792497600,'recorded','farm','67650b8b3327d7d66db4ebaf6163c2f9','67650b8b3327d7d66db4ebaf6163c2f9','Ada','laptop',NULL,'{"name":"Larkmoor","lat_deg":54.62,"lon_deg":-2.41,"zone":"Europe/London","units":"metric"}','8338f9c02bdbf11081e46d2b776556ad');
INSERT INTO journal VALUES(2,1795942272,1792497600,'recorded','animal','e2adc69084b76b5b63e6f0fe5ab453dd','e2adc69084b76b5b63e6f0fe5ab453dd','Ada','laptop',NULL,'{"name":"Bramble","tag":"12","is":"sow","kept":"here","born":"2022-03-01"}','dc0fe84e53eb053277914b99015252eb');
INSERT INTO journal VALUES(3,1795942272,1792497600,'recorded','animal','2dbf0d3716703b96206cb2d314b78e86','2dbf0d3716703b96206cb2d314b78e86','Ada','laptop',NULL,'{"name":"Sedge","is":"gilt","kept":"here","dam":"e2adc69084b76b5b63e6f0fe5ab453dd","born":"2025-01-10"}','017dda3716397d17899568326fcbae79');
INSERT INTO journal VALUES(4,1795942272,1792497600,'recorded','animal','05151a227420580c85eee78393e3653b','05151a227420580c85eee78393e3653b','Ada','laptop',NULL,'{"name":"Rusty","is":"boar","kept":"here","born":"2021-05-05"}','5be72a2f32ae79e7c0c8e8689dc8ace4');
INSERT INTO journal VALUES(5,1795942272,1792497600,'recorded','paddock','d6cd4ca3d39ece707a26a726ce023fdb','d6cd4ca3d39ece707a26a726ce023fdb','Ada','laptop',NULL,'{"name":"Long Field"}','d642fa80146e949306fe4d554c499b95');
INSERT INTO journal VALUES(6,1795942272,1792497600,'recorded','shelter','a46d409c967405de6203983e6fce965e','a46d409c967405de6203983e6fce965e','Ada','laptop',NULL,'{"name":"Hut 1","is":"hut"}','deb67bb468d7d62bd2d6f60b2ec16e70');
INSERT INTO journal VALUES(7,1795942272,1792497600,'recorded','placement','172adeaeae03fdd972e6b05bae9ddb8c','172adeaeae03fdd972e6b05bae9ddb8c','Ada','laptop',NULL,'{"shelter":"a46d409c967405de6203983e6fce965e","is":"hut","paddock":"d6cd4ca3d39ece707a26a726ce023fdb","facing_deg":135,"from":"2026-01-10T12:00:00Z"}','9f6f75a14b32f396dd5c19effc65ca5f');
INSERT INTO journal VALUES(8,1795942272,1792497600,'recorded','service','f9685a794aca6fc012c786588c3db59b','f9685a794aca6fc012c786588c3db59b','Ada','laptop',NULL,'{"sow":"e2adc69084b76b5b63e6f0fe5ab453dd","at":"2025-10-03T11:00:00Z","boar":"05151a227420580c85eee78393e3653b","how":"seen","day_only":true}','4265788f09362df2bd04aa85ba5c3ade');
INSERT INTO journal VALUES(9,1795942272,1792497600,'recorded','farrowing','75c64cbba29f8d9357d917e6f7ebf7f6','75c64cbba29f8d9357d917e6f7ebf7f6','Ada','laptop',NULL,'{"sow":"e2adc69084b76b5b63e6f0fe5ab453dd","start":"2026-01-25T03:10:00Z","born_alive":9}','6f019616beb28f2d0fcb662ea8a180bf');
INSERT INTO journal VALUES(10,1795942272,1792497600,'recorded','weaning','a2966d26efe79f153cf9dca4c50860d3','a2966d26efe79f153cf9dca4c50860d3','Ada','laptop',NULL,'{"sow":"e2adc69084b76b5b63e6f0fe5ab453dd","at":"2026-03-20T12:00:00Z","weaned":8}','621e263cbd6b76ac2eafe57911af155a');
INSERT INTO journal VALUES(11,1795942272,1792497600,'recorded','note','6558f3320504d38fa7ca892dd1839526','6558f3320504d38fa7ca892dd1839526','Ada','laptop',NULL,'{"at":"2026-04-01T11:00:00Z","text":"hut roof mended, \"twice\""}','754470a8a3494851677eeab1b7d6fe98');
INSERT INTO journal VALUES(12,1795942273,1795942273,'voided','note','6558f3320504d38fa7ca892dd1839526','ddef81b987f6f1c2bc7184b5813cc40c','Wenna','','{"at":"2026-04-01T11:00:00Z","text":"hut roof mended, \"twice\""}',NULL,'806f4e0a3c603be517fef26681d511c0');
INSERT INTO journal VALUES(13,1795942273,1792497600,'voided','animal','2dbf0d3716703b96206cb2d314b78e86','5e25f259d491986a5651944be2872c5f','Ada','laptop','{"name":"Sedge","is":"gilt","kept":"here","dam":"e2adc69084b76b5b63e6f0fe5ab453dd","born":"2025-01-10"}',NULL,'a6317cf00f79d53e398d7cd0c79746cc');
INSERT INTO journal VALUES(14,1795942273,1792497600,'recorded','animal','5e25f259d491986a5651944be2872c5f','5e25f259d491986a5651944be2872c5f','Ada','laptop',NULL,'{"name":"Sedge","is":"gilt","kept":"here","dam":"e2adc69084b76b5b63e6f0fe5ab453dd","born":"2025-01-12"}','0d40a011ff08a82907e17ea1f6ec3d49');
INSERT INTO journal VALUES(15,1795942273,1795942273,'weather','weather','9bd124107fc4b3037614d3e6789af571','9bd124107fc4b3037614d3e6789af571','Wenna','',NULL,'past years: station, 6 hours','09885d7b2589fac33e82f719cf53aa97');
CREATE TABLE undo(batch TEXT PRIMARY KEY, undoes TEXT NOT NULL) STRICT, WITHOUT ROWID;
INSERT INTO undo VALUES('ddef81b987f6f1c2bc7184b5813cc40c','6558f3320504d38fa7ca892dd1839526');
CREATE TABLE fact(id INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE CHECK(length(uid) = 32), kind TEXT NOT NULL, root INTEGER NOT NULL REFERENCES fact(id), number INTEGER NOT NULL REFERENCES journal(number), given TEXT NOT NULL) STRICT;
INSERT INTO fact VALUES(1,'67650b8b3327d7d66db4ebaf6163c2f9','farm',1,1,'5e73e17bbd3ec64abbd6a8429f9d9a52');
INSERT INTO fact VALUES(2,'e2adc69084b76b5b63e6f0fe5ab453dd','animal',2,2,'1eb7ce4e6c340b76d5d0e5061169755a');
INSERT INTO fact VALUES(3,'2dbf0d3716703b96206cb2d314b78e86','animal',3,3,'ce133db696cc519307c3c0f9b2547f48');
INSERT INTO fact VALUES(4,'05151a227420580c85eee78393e3653b','animal',4,4,'b6899438fa46648bd234cc632eb42494');
INSERT INTO fact VALUES(5,'d6cd4ca3d39ece707a26a726ce023fdb','paddock',5,5,'076dd26e173aee121412a9ee0a6a4504');
INSERT INTO fact VALUES(6,'a46d409c967405de6203983e6fce965e','shelter',6,6,'aadce07d2f614ceecb9683337f4989cc');
INSERT INTO fact VALUES(7,'172adeaeae03fdd972e6b05bae9ddb8c','placement',7,7,'14b9b423a7416b3e8ddd2408bb28716c');
INSERT INTO fact VALUES(8,'f9685a794aca6fc012c786588c3db59b','service',8,8,'c0dff58c9d432fe9e7f4050eb0e59595');
INSERT INTO fact VALUES(9,'75c64cbba29f8d9357d917e6f7ebf7f6','farrowing',9,9,'59b3404611210ef446325bb6bc86ae46');
INSERT INTO fact VALUES(10,'a2966d26efe79f153cf9dca4c50860d3','weaning',10,10,'44df1ca8b9554a2143e16f8764ac85cf');
INSERT INTO fact VALUES(11,'6558f3320504d38fa7ca892dd1839526','note',11,11,'c52f0f5f5515eeac967c1143009dacd1');
INSERT INTO fact VALUES(14,'5e25f259d491986a5651944be2872c5f','animal',3,14,'b3856b7f9c84bc623e4a5c029fbf54ee');
CREATE TABLE lived(fact INTEGER NOT NULL REFERENCES fact(id), from_number INTEGER NOT NULL REFERENCES journal(number), to_number INTEGER REFERENCES journal(number), voided_by TEXT, PRIMARY KEY(fact, from_number)) STRICT, WITHOUT ROWID;
INSERT INTO lived VALUES(1,1,NULL,NULL);
INSERT INTO lived VALUES(2,2,NULL,NULL);
INSERT INTO lived VALUES(3,3,14,'5e25f259d491986a5651944be2872c5f');
INSERT INTO lived VALUES(4,4,NULL,NULL);
INSERT INTO lived VALUES(5,5,NULL,NULL);
INSERT INTO lived VALUES(6,6,NULL,NULL);
INSERT INTO lived VALUES(7,7,NULL,NULL);
INSERT INTO lived VALUES(8,8,NULL,NULL);
INSERT INTO lived VALUES(9,9,NULL,NULL);
INSERT INTO lived VALUES(10,10,NULL,NULL);
INSERT INTO lived VALUES(11,11,12,NULL);
INSERT INTO lived VALUES(14,14,NULL,NULL);
CREATE TABLE flag(number INTEGER PRIMARY KEY, key TEXT NOT NULL, uid TEXT NOT NULL REFERENCES fact(uid), other_uid TEXT NOT NULL, says TEXT NOT NULL, raised INTEGER NOT NULL REFERENCES journal(number), settled INTEGER REFERENCES journal(number), settled_by TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT '') STRICT;
CREATE TABLE held(number INTEGER PRIMARY KEY, kind TEXT NOT NULL, uid TEXT NOT NULL, body TEXT NOT NULL, who TEXT NOT NULL, device TEXT NOT NULL, batch TEXT NOT NULL, recorded_utc_s INTEGER NOT NULL, held_utc_s INTEGER NOT NULL, field TEXT NOT NULL, reason TEXT NOT NULL, settled TEXT NOT NULL DEFAULT '' CHECK(settled IN('','recorded','dropped')), settled_utc_s INTEGER, settled_by TEXT NOT NULL DEFAULT '') STRICT;
CREATE TABLE weather_lot(number INTEGER PRIMARY KEY REFERENCES journal(number), sort TEXT NOT NULL CHECK(sort IN('past years','observed','forecast','typed')), source TEXT NOT NULL, issued_utc_s INTEGER NOT NULL, fetched_utc_s INTEGER NOT NULL, expires_utc_s INTEGER NOT NULL, address TEXT NOT NULL, etag TEXT NOT NULL, last_modified TEXT NOT NULL, expires TEXT NOT NULL, credit TEXT NOT NULL, place TEXT NOT NULL, lat_deg REAL, lon_deg REAL, elevation_m REAL, first_utc_s INTEGER NOT NULL, last_utc_s INTEGER NOT NULL, n_hours INTEGER NOT NULL) STRICT;
INSERT INTO weather_lot VALUES(15,'past years','station',0,1769904000,0,'','','','','','',0.0,0.0,0.0,1769299200,1769317200,6);
CREATE TABLE weather_day(lot INTEGER NOT NULL REFERENCES weather_lot(number), day INTEGER NOT NULL, hours BLOB NOT NULL, PRIMARY KEY(lot, day)) STRICT, WITHOUT ROWID;
INSERT INTO weather_day VALUES(15,20478,X'01060001000102030405010000fffffefffdfffcfffbff06000000000000000006000000000000000006000000000000000006000000000000000006000000000000000006000000000000000006000000000000000006000000000000000006000000000000000006000000000000000006000000000000000006000000000000000006000000000000000000d6b2fc910ef43f05');
CREATE TABLE remember(name TEXT PRIMARY KEY, bytes BLOB NOT NULL) STRICT;
CREATE TABLE device(number INTEGER PRIMARY KEY, called TEXT NOT NULL, master INTEGER NOT NULL CHECK(master IN(0,1)), here INTEGER NOT NULL CHECK(here IN(0,1)), since_utc_s INTEGER NOT NULL, seen_utc_s INTEGER NOT NULL, digest BLOB NOT NULL UNIQUE CHECK(length(digest) = 32)) STRICT;
CREATE TABLE password(one INTEGER PRIMARY KEY CHECK(one = 1), hash TEXT NOT NULL, set_utc_s INTEGER NOT NULL) STRICT;
CREATE TABLE IF NOT EXISTS "farm"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "lat_deg" REAL NOT NULL CHECK("lat_deg" BETWEEN -90 AND 90),
 "lon_deg" REAL NOT NULL CHECK("lon_deg" BETWEEN -180 AND 180),
 "elevation_m" REAL CHECK("elevation_m" BETWEEN -430 AND 6000),
 "zone" TEXT NOT NULL,
 "units" TEXT CHECK("units" IN('metric','us')),
 "declination_deg" REAL CHECK("declination_deg" BETWEEN -90 AND 90),
 "soil" TEXT CHECK("soil" IN('sand','loam','clay','chalk','peat')),
 "people" INTEGER CHECK("people" BETWEEN 1 AND 50),
 "note" TEXT
) STRICT;
INSERT INTO farm VALUES(1,'Larkmoor',54.619999999999997442,-2.4100000000000001421,NULL,'Europe/London','metric',NULL,NULL,NULL,NULL);
CREATE TABLE IF NOT EXISTS "person"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "is" TEXT CHECK("is" IN('keeper','helper','vet','neighbour','buyer','other')),
 "phone" TEXT,
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "breed"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "gestation_shift_d" REAL CHECK("gestation_shift_d" BETWEEN -5 AND 5),
 "hardy_k" REAL CHECK("hardy_k" BETWEEN 0 AND 10),
 "sow_kg" REAL CHECK("sow_kg" BETWEEN 30 AND 500),
 "newborn_kg" REAL CHECK("newborn_kg" BETWEEN 0.29999999999999999 AND 3),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "animal"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "tag" TEXT,
 "is" TEXT NOT NULL CHECK("is" IN('sow','gilt','boar','barrow')),
 "kept" TEXT CHECK("kept" IN('here','elsewhere')),
 "breed" TEXT,
 "sire" INTEGER REFERENCES "animal"(id),
 "dam" INTEGER REFERENCES "animal"(id),
 "born" INTEGER,
 "teats" INTEGER CHECK("teats" BETWEEN 0 AND 24),
 "blind_teats" INTEGER CHECK("blind_teats" BETWEEN 0 AND 24),
 "temper" TEXT CHECK("temper" IN('calm','steady','wary','fierce')),
 "mass_kg" REAL CHECK("mass_kg" BETWEEN 0.29999999999999999 AND 500),
 "condition" REAL CHECK("condition" BETWEEN 1 AND 5),
 "litters_before" INTEGER CHECK("litters_before" BETWEEN 0 AND 25),
 "mean_litter_before" REAL CHECK("mean_litter_before" BETWEEN 0 AND 30),
 "gestations_before" INTEGER CHECK("gestations_before" BETWEEN 0 AND 25),
 "gestation_before_d" REAL CHECK("gestation_before_d" BETWEEN 100 AND 130),
 "cycling" TEXT CHECK("cycling" IN('yes','no')),
 "sows_most" INTEGER CHECK("sows_most" BETWEEN 0 AND 60),
 "arrived" INTEGER,
 "note" TEXT
) STRICT;
INSERT INTO animal VALUES(2,'Bramble','12','sow','here',NULL,NULL,NULL,19052,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO animal VALUES(3,'Sedge',NULL,'gilt','here',NULL,NULL,2,20098,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO animal VALUES(4,'Rusty',NULL,'boar','here',NULL,NULL,NULL,18752,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO animal VALUES(14,'Sedge',NULL,'gilt','here',NULL,NULL,2,20100,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE IF NOT EXISTS "group"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "paddock"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "area_m2" REAL CHECK("area_m2" BETWEEN 1 AND 10000000),
 "width_m" REAL CHECK("width_m" BETWEEN 1 AND 5000),
 "length_m" REAL CHECK("length_m" BETWEEN 1 AND 5000),
 "outline" TEXT,
 "origin_lat_deg" REAL CHECK("origin_lat_deg" BETWEEN -90 AND 90),
 "origin_lon_deg" REAL CHECK("origin_lon_deg" BETWEEN -180 AND 180),
 "slope_deg" REAL CHECK("slope_deg" BETWEEN 0 AND 45),
 "slope_faces_deg" REAL CHECK("slope_faces_deg" BETWEEN 0 AND 360),
 "lies" TEXT CHECK("lies" IN('hollow','level','slope','crest')),
 "drains" TEXT CHECK("drains" IN('dry','middling','wet')),
 "gateway_soft" INTEGER CHECK("gateway_soft" IN(0,1)),
 "note" TEXT
) STRICT;
INSERT INTO paddock VALUES(5,'Long Field',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE IF NOT EXISTS "mark"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "is" TEXT NOT NULL CHECK("is" IN('water','wet','gateway','tree','shade','stone','steep')),
 "paddock" INTEGER NOT NULL REFERENCES "paddock"(id),
 "points" TEXT NOT NULL,
 "name" TEXT,
 "from" INTEGER,
 "to" INTEGER,
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "shelter"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "is" TEXT CHECK("is" IN('hut','barn')),
 "length_m" REAL CHECK("length_m" BETWEEN 0.5 AND 100),
 "width_m" REAL CHECK("width_m" BETWEEN 0.5 AND 100),
 "height_m" REAL CHECK("height_m" BETWEEN 0.40000000000000002 AND 20),
 "door_width_m" REAL CHECK("door_width_m" BETWEEN 0.20000000000000001 AND 10),
 "door_height_m" REAL CHECK("door_height_m" BETWEEN 0.20000000000000001 AND 10),
 "skin_m2" REAL CHECK("skin_m2" BETWEEN 0.5 AND 2000),
 "leaks_m2" REAL CHECK("leaks_m2" BETWEEN 0 AND 5),
 "wall" TEXT CHECK("wall" IN('steel','plastic','wood')),
 "insulated" INTEGER CHECK("insulated" IN(0,1)),
 "floor" TEXT CHECK("floor" IN('soil','wood','concrete','mesh')),
 "colour" TEXT CHECK("colour" IN('white','dull','dark')),
 "flap" TEXT CHECK("flap" IN('none','can-hang','hung')),
 "vents" INTEGER CHECK("vents" IN(0,1)),
 "sows" INTEGER CHECK("sows" BETWEEN 1 AND 60),
 "mass_kg" REAL CHECK("mass_kg" BETWEEN 5 AND 20000),
 "hands" INTEGER CHECK("hands" BETWEEN 1 AND 20),
 "warmer_k" REAL CHECK("warmer_k" BETWEEN 0 AND 30),
 "gone" INTEGER CHECK("gone" IN(0,1)),
 "note" TEXT
) STRICT;
INSERT INTO shelter VALUES(6,'Hut 1','hut',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE IF NOT EXISTS "windbreak"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "is" TEXT NOT NULL CHECK("is" IN('hedge','trees','bales','boards','wall','bank','panels')),
 "paddock" INTEGER REFERENCES "paddock"(id),
 "height_m" REAL NOT NULL CHECK("height_m" BETWEEN 0.29999999999999999 AND 40),
 "porosity" REAL CHECK("porosity" BETWEEN 0 AND 1),
 "length_m" REAL CHECK("length_m" BETWEEN 0.5 AND 5000),
 "bearing_deg" REAL CHECK("bearing_deg" BETWEEN 0 AND 360),
 "x_m" REAL CHECK("x_m" BETWEEN -5000 AND 5000),
 "y_m" REAL CHECK("y_m" BETWEEN -5000 AND 5000),
 "x2_m" REAL CHECK("x2_m" BETWEEN -5000 AND 5000),
 "y2_m" REAL CHECK("y2_m" BETWEEN -5000 AND 5000),
 "from" INTEGER,
 "to" INTEGER,
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "placement"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "shelter" INTEGER REFERENCES "shelter"(id),
 "name" TEXT,
 "is" TEXT CHECK("is" IN('hut','lee','open','barn')),
 "paddock" INTEGER REFERENCES "paddock"(id),
 "x_m" REAL CHECK("x_m" BETWEEN -5000 AND 5000),
 "y_m" REAL CHECK("y_m" BETWEEN -5000 AND 5000),
 "facing_deg" REAL CHECK("facing_deg" BETWEEN 0 AND 360),
 "from" INTEGER NOT NULL,
 "to" INTEGER,
 "straw_depth_m" REAL CHECK("straw_depth_m" BETWEEN 0 AND 1.5),
 "straw_kg" REAL CHECK("straw_kg" BETWEEN 0 AND 2000),
 "bedded" INTEGER,
 "straw_state" TEXT CHECK("straw_state" IN('dry','damp','soaked')),
 "flap" TEXT CHECK("flap" IN('none','hung')),
 "pen" INTEGER CHECK("pen" IN(0,1)),
 "frozen_in" INTEGER CHECK("frozen_in" IN(0,1)),
 "drift_prone" INTEGER CHECK("drift_prone" IN(0,1)),
 "lee" INTEGER REFERENCES "windbreak"(id),
 "lee_distance_m" REAL CHECK("lee_distance_m" BETWEEN 0 AND 2000),
 "lee_bearing_deg" REAL CHECK("lee_bearing_deg" BETWEEN 0 AND 360),
 "note" TEXT,
 CHECK(("shelter" IS NOT NULL) + ("name" IS NOT NULL) = 1)
) STRICT;
INSERT INTO placement VALUES(7,6,NULL,'hut',5,NULL,NULL,135.0,1768046400,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE IF NOT EXISTS "bedding"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "placement" INTEGER NOT NULL REFERENCES "placement"(id),
 "at" INTEGER NOT NULL,
 "added_kg" REAL CHECK("added_kg" BETWEEN 0 AND 2000),
 "straw_depth_m" REAL CHECK("straw_depth_m" BETWEEN 0 AND 1.5),
 "straw_state" TEXT CHECK("straw_state" IN('dry','damp','soaked')),
 "flap" TEXT CHECK("flap" IN('none','hung')),
 "frozen_in" TEXT CHECK("frozen_in" IN('yes','no')),
 "cleared" INTEGER CHECK("cleared" IN(0,1)),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "stock"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "at" INTEGER NOT NULL,
 "straw_kg" REAL CHECK("straw_kg" BETWEEN 0 AND 1000000),
 "straw_bales" INTEGER CHECK("straw_bales" BETWEEN 0 AND 100000),
 "bale_kg" REAL CHECK("bale_kg" BETWEEN 2 AND 800),
 "flaps" INTEGER CHECK("flaps" BETWEEN 0 AND 1000),
 "wall_bales" INTEGER CHECK("wall_bales" BETWEEN 0 AND 100000),
 "panels" INTEGER CHECK("panels" BETWEEN 0 AND 10000),
 "people" INTEGER CHECK("people" BETWEEN 0 AND 50),
 "hand_minutes" REAL CHECK("hand_minutes" BETWEEN 0 AND 60),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "leaving"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "animal" INTEGER NOT NULL REFERENCES "animal"(id),
 "on" INTEGER NOT NULL,
 "how" TEXT NOT NULL CHECK("how" IN('sold','died','slaughtered','given','lent','lost')),
 "to" TEXT,
 "why" TEXT,
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "weighing"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "animal" INTEGER NOT NULL REFERENCES "animal"(id),
 "on" INTEGER NOT NULL,
 "mass_kg" REAL CHECK("mass_kg" BETWEEN 0.29999999999999999 AND 500),
 "condition" REAL CHECK("condition" BETWEEN 1 AND 5),
 "legs" REAL CHECK("legs" BETWEEN 1 AND 5),
 "how" TEXT CHECK("how" IN('scales','tape','eye')),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "heat"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "at" INTEGER NOT NULL,
 "strength" TEXT CHECK("strength" IN('standing','signs')),
 "boar" INTEGER REFERENCES "animal"(id),
 "day_only" INTEGER CHECK("day_only" IN(0,1)),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "service"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "at" INTEGER NOT NULL,
 "boar" INTEGER REFERENCES "animal"(id),
 "how" TEXT CHECK("how" IN('seen','hand','ai','guess')),
 "weight" REAL CHECK("weight" BETWEEN 0 AND 1),
 "day_only" INTEGER CHECK("day_only" IN(0,1)),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
INSERT INTO service VALUES(8,2,1759489200,4,'seen',NULL,1,NULL,NULL);
CREATE TABLE IF NOT EXISTS "boar_run"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "boar" INTEGER NOT NULL REFERENCES "animal"(id),
 "sow" INTEGER REFERENCES "animal"(id),
 "group" INTEGER REFERENCES "group"(id),
 "from" INTEGER NOT NULL,
 "to" INTEGER,
 "note" TEXT,
 CHECK(("sow" IS NOT NULL) + ("group" IS NOT NULL) = 1)
) STRICT;
CREATE TABLE IF NOT EXISTS "scan"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "at" INTEGER NOT NULL,
 "result" TEXT NOT NULL CHECK("result" IN('positive','negative','unclear')),
 "how" TEXT CHECK("how" IN('ultrasound','other')),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "return"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "at" INTEGER NOT NULL,
 "seen" TEXT NOT NULL CHECK("seen" IN('heat','none')),
 "from" INTEGER,
 "boar_there" INTEGER CHECK("boar_there" IN(0,1)),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "sign"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "at" INTEGER NOT NULL,
 "sign" TEXT NOT NULL CHECK("sign" IN('vulva-swollen','udder-tight','away','milk-drops','nest','not-at-feed','fast-breathing','milk-streams','temperature','restless','bloody-fluid','straining')),
 "arranging" TEXT CHECK("arranging" IN('yes','no')),
 "quiet" INTEGER CHECK("quiet" IN(0,1)),
 "breaths_min" INTEGER CHECK("breaths_min" BETWEEN 5 AND 250),
 "body_temp_c" REAL CHECK("body_temp_c" BETWEEN 34 AND 43),
 "placement" INTEGER REFERENCES "placement"(id),
 "place" TEXT CHECK("place" IN('put-out','elsewhere')),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "look"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "at" INTEGER NOT NULL,
 "absent" TEXT,
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "farrowing"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "start" INTEGER NOT NULL,
 "not_before" INTEGER,
 "end" INTEGER,
 "born_alive" INTEGER CHECK("born_alive" BETWEEN 0 AND 30),
 "still" INTEGER CHECK("still" BETWEEN 0 AND 30),
 "mummified" INTEGER CHECK("mummified" BETWEEN 0 AND 30),
 "placement" INTEGER REFERENCES "placement"(id),
 "place" TEXT CHECK("place" IN('hut','lee','open','barn')),
 "boar" INTEGER REFERENCES "animal"(id),
 "temper" TEXT CHECK("temper" IN('calm','steady','wary','fierce')),
 "helped" INTEGER CHECK("helped" IN(0,1)),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
INSERT INTO farrowing VALUES(9,2,1769310600,NULL,NULL,9,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE IF NOT EXISTS "birth"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "at" INTEGER NOT NULL,
 "is" TEXT CHECK("is" IN('alive','dead')),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "weaning"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "at" INTEGER NOT NULL,
 "weaned" INTEGER CHECK("weaned" BETWEEN 0 AND 30),
 "mass_kg" REAL CHECK("mass_kg" BETWEEN 0.29999999999999999 AND 2000),
 "all_lost" INTEGER CHECK("all_lost" IN(0,1)),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
INSERT INTO weaning VALUES(10,2,1774008000,8,NULL,NULL,NULL,NULL);
CREATE TABLE IF NOT EXISTS "move"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "animal" INTEGER REFERENCES "animal"(id),
 "group" INTEGER REFERENCES "group"(id),
 "at" INTEGER NOT NULL,
 "to_group" INTEGER REFERENCES "group"(id),
 "to_paddock" INTEGER REFERENCES "paddock"(id),
 "to_placement" INTEGER REFERENCES "placement"(id),
 "alone" INTEGER CHECK("alone" IN(0,1)),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT,
 CHECK(("animal" IS NOT NULL) + ("group" IS NOT NULL) = 1)
) STRICT;
CREATE TABLE IF NOT EXISTS "nested"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "at" INTEGER NOT NULL,
 "placement" INTEGER REFERENCES "placement"(id),
 "place" TEXT NOT NULL CHECK("place" IN('hut','lee','open','barn')),
 "put_out" TEXT NOT NULL CHECK("put_out" IN('used','not-used','nothing-there')),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "treatment"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "animal" INTEGER REFERENCES "animal"(id),
 "group" INTEGER REFERENCES "group"(id),
 "at" INTEGER NOT NULL,
 "what" TEXT NOT NULL,
 "dose" TEXT,
 "lot" TEXT,
 "why" TEXT,
 "withdrawal_ends" INTEGER,
 "booster_due" INTEGER,
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT,
 CHECK(("animal" IS NOT NULL) + ("group" IS NOT NULL) = 1)
) STRICT;
CREATE TABLE IF NOT EXISTS "weather_source"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "is" TEXT NOT NULL CHECK("is" IN('us-national','met-norway','met-norway-complete','station','past-years','own')),
 "address" TEXT,
 "contact" TEXT,
 "lat_deg" REAL CHECK("lat_deg" BETWEEN -90 AND 90),
 "lon_deg" REAL CHECK("lon_deg" BETWEEN -180 AND 180),
 "elevation_m" REAL CHECK("elevation_m" BETWEEN -430 AND 6000),
 "wind_height_m" REAL CHECK("wind_height_m" BETWEEN 1 AND 50),
 "unused" INTEGER CHECK("unused" IN(0,1)),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "reading"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "at" INTEGER NOT NULL,
 "paddock" INTEGER REFERENCES "paddock"(id),
 "placement" INTEGER REFERENCES "placement"(id),
 "temp_c" REAL CHECK("temp_c" BETWEEN -70 AND 60),
 "low_c" REAL CHECK("low_c" BETWEEN -70 AND 60),
 "high_c" REAL CHECK("high_c" BETWEEN -70 AND 60),
 "rh" REAL CHECK("rh" BETWEEN 0 AND 1),
 "wind_mps" REAL CHECK("wind_mps" BETWEEN 0 AND 75),
 "gust_mps" REAL CHECK("gust_mps" BETWEEN 0 AND 120),
 "wind_from_deg" REAL CHECK("wind_from_deg" BETWEEN 0 AND 360),
 "wind_height_m" REAL CHECK("wind_height_m" BETWEEN 0.10000000000000001 AND 50),
 "rain_mm" REAL CHECK("rain_mm" BETWEEN 0 AND 500),
 "snow_depth_m" REAL CHECK("snow_depth_m" BETWEEN 0 AND 5),
 "cloud" REAL CHECK("cloud" BETWEEN 0 AND 1),
 "since" INTEGER,
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "tick"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "prompt" TEXT NOT NULL,
 "at" INTEGER NOT NULL,
 "on" INTEGER,
 "is" TEXT CHECK("is" IN('done','not-needed')),
 "by" INTEGER REFERENCES "person"(id),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "note"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "at" INTEGER NOT NULL,
 "text" TEXT NOT NULL,
 "animal" INTEGER REFERENCES "animal"(id),
 "paddock" INTEGER REFERENCES "paddock"(id),
 "shelter" INTEGER REFERENCES "shelter"(id),
 "by" INTEGER REFERENCES "person"(id)
) STRICT;
INSERT INTO note VALUES(11,1775041200,'hut roof mended, "twice"',NULL,NULL,NULL,NULL);
CREATE TABLE IF NOT EXISTS "asked"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "from" INTEGER NOT NULL,
 "to" INTEGER,
 "pigs" INTEGER NOT NULL CHECK("pigs" BETWEEN 1 AND 5000),
 "price" REAL CHECK("price" BETWEEN 0 AND 1000000),
 "age_d" REAL CHECK("age_d" BETWEEN 20 AND 400),
 "mass_kg" REAL CHECK("mass_kg" BETWEEN 2 AND 200),
 "who" TEXT,
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "season_plan"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "boar_in" INTEGER NOT NULL,
 "boar_out" INTEGER NOT NULL,
 "group" INTEGER REFERENCES "group"(id),
 "sows" INTEGER CHECK("sows" BETWEEN 1 AND 500),
 "sell_from" INTEGER,
 "sell_to" INTEGER,
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "pairing"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "sow" INTEGER NOT NULL REFERENCES "animal"(id),
 "boar" INTEGER NOT NULL REFERENCES "animal"(id),
 "from" INTEGER NOT NULL,
 "decided" TEXT CHECK("decided" IN('reckoned','by-hand')),
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "society"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "breed" TEXT NOT NULL,
 "sow_share" REAL CHECK("sow_share" BETWEEN 0.5 AND 1),
 "boar_share" REAL CHECK("boar_share" BETWEEN 0.5 AND 1),
 "boars" TEXT CHECK("boars" IN('yes','no')),
 "source" TEXT NOT NULL,
 "note" TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS "setting"(
 id INTEGER PRIMARY KEY REFERENCES fact(id),
 "name" TEXT NOT NULL,
 "value" TEXT NOT NULL,
 "note" TEXT
) STRICT;
CREATE INDEX journal_uid ON journal(uid);
CREATE INDEX journal_batch ON journal(batch);
CREATE INDEX undo_undoes ON undo(undoes);
CREATE INDEX fact_root ON fact(root);
CREATE INDEX fact_kind ON fact(kind);
CREATE INDEX flag_uid ON flag(uid);
CREATE INDEX weather_lot_source ON weather_lot(source, sort);
CREATE INDEX "farm.name" ON "farm"("name" COLLATE NOCASE);
CREATE INDEX "person.name" ON "person"("name" COLLATE NOCASE);
CREATE INDEX "breed.name" ON "breed"("name" COLLATE NOCASE);
CREATE INDEX "animal.name" ON "animal"("name" COLLATE NOCASE);
CREATE INDEX "animal.tag" ON "animal"("tag" COLLATE NOCASE);
CREATE INDEX "animal.sire" ON "animal"("sire");
CREATE INDEX "animal.dam" ON "animal"("dam");
CREATE INDEX "group.name" ON "group"("name" COLLATE NOCASE);
CREATE INDEX "paddock.name" ON "paddock"("name" COLLATE NOCASE);
CREATE INDEX "mark.paddock" ON "mark"("paddock");
CREATE INDEX "shelter.name" ON "shelter"("name" COLLATE NOCASE);
CREATE INDEX "windbreak.name" ON "windbreak"("name" COLLATE NOCASE);
CREATE INDEX "windbreak.paddock" ON "windbreak"("paddock");
CREATE INDEX "placement.shelter" ON "placement"("shelter");
CREATE INDEX "placement.name" ON "placement"("name" COLLATE NOCASE);
CREATE INDEX "placement.paddock" ON "placement"("paddock");
CREATE INDEX "placement.lee" ON "placement"("lee");
CREATE INDEX "bedding.placement" ON "bedding"("placement");
CREATE INDEX "bedding.by" ON "bedding"("by");
CREATE INDEX "leaving.animal" ON "leaving"("animal");
CREATE INDEX "weighing.animal" ON "weighing"("animal");
CREATE INDEX "weighing.by" ON "weighing"("by");
CREATE INDEX "heat.sow" ON "heat"("sow");
CREATE INDEX "heat.boar" ON "heat"("boar");
CREATE INDEX "heat.by" ON "heat"("by");
CREATE INDEX "service.sow" ON "service"("sow");
CREATE INDEX "service.boar" ON "service"("boar");
CREATE INDEX "service.by" ON "service"("by");
CREATE INDEX "boar_run.boar" ON "boar_run"("boar");
CREATE INDEX "boar_run.sow" ON "boar_run"("sow");
CREATE INDEX "boar_run.group" ON "boar_run"("group");
CREATE INDEX "scan.sow" ON "scan"("sow");
CREATE INDEX "scan.by" ON "scan"("by");
CREATE INDEX "return.sow" ON "return"("sow");
CREATE INDEX "return.by" ON "return"("by");
CREATE INDEX "sign.sow" ON "sign"("sow");
CREATE INDEX "sign.placement" ON "sign"("placement");
CREATE INDEX "sign.by" ON "sign"("by");
CREATE INDEX "look.sow" ON "look"("sow");
CREATE INDEX "look.by" ON "look"("by");
CREATE INDEX "farrowing.sow" ON "farrowing"("sow");
CREATE INDEX "farrowing.placement" ON "farrowing"("placement");
CREATE INDEX "farrowing.boar" ON "farrowing"("boar");
CREATE INDEX "farrowing.by" ON "farrowing"("by");
CREATE INDEX "birth.sow" ON "birth"("sow");
CREATE INDEX "birth.by" ON "birth"("by");
CREATE INDEX "weaning.sow" ON "weaning"("sow");
CREATE INDEX "weaning.by" ON "weaning"("by");
CREATE INDEX "move.animal" ON "move"("animal");
CREATE INDEX "move.group" ON "move"("group");
CREATE INDEX "move.to_group" ON "move"("to_group");
CREATE INDEX "move.to_paddock" ON "move"("to_paddock");
CREATE INDEX "move.to_placement" ON "move"("to_placement");
CREATE INDEX "move.by" ON "move"("by");
CREATE INDEX "nested.sow" ON "nested"("sow");
CREATE INDEX "nested.placement" ON "nested"("placement");
CREATE INDEX "treatment.animal" ON "treatment"("animal");
CREATE INDEX "treatment.group" ON "treatment"("group");
CREATE INDEX "treatment.by" ON "treatment"("by");
CREATE INDEX "weather_source.name" ON "weather_source"("name" COLLATE NOCASE);
CREATE INDEX "reading.paddock" ON "reading"("paddock");
CREATE INDEX "reading.placement" ON "reading"("placement");
CREATE INDEX "reading.by" ON "reading"("by");
CREATE INDEX "tick.by" ON "tick"("by");
CREATE INDEX "note.animal" ON "note"("animal");
CREATE INDEX "note.paddock" ON "note"("paddock");
CREATE INDEX "note.shelter" ON "note"("shelter");
CREATE INDEX "note.by" ON "note"("by");
CREATE INDEX "season_plan.group" ON "season_plan"("group");
CREATE INDEX "pairing.sow" ON "pairing"("sow");
CREATE INDEX "pairing.boar" ON "pairing"("boar");
CREATE INDEX "society.breed" ON "society"("breed" COLLATE NOCASE);
CREATE INDEX "setting.name" ON "setting"("name" COLLATE NOCASE);
COMMIT;
PRAGMA application_id=1281713486;
PRAGMA user_version=3;
