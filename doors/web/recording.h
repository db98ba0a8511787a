/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between record.c, mend.c and keep.c: shapes they share and small helpers of their handlers.
 */
#ifndef DOORS_WEB_RECORDING_H
#define DOORS_WEB_RECORDING_H

#include "desk/keeping.h"
#include "doors/web/web.h"

/* clang-format off: one row is one member */
#define ODD_SHAPE(at)                                                                                                  \
    { at, SHAPE_OBJECT, true, "" }, { at ".number", SHAPE_WHOLE, false, "to settle it by" },                           \
        { at ".key", SHAPE_TEXT, false, "what is odd, as a key" },                                                     \
    {                                                                                                                  \
        at ".says", SHAPE_TEXT, false, "the same as a sentence"                                                        \
    }

#define FACT_SHAPE(at)                                                                                                 \
    { at "uid", SHAPE_TEXT, false, "of the record" },                                                                  \
        { at "number", SHAPE_WHOLE, false, "of the change that recorded it" },                                         \
        { at "recorded", SHAPE_MOMENT, false, "when the person recorded it" },                                         \
        { at "who", SHAPE_TEXT, true, "who said so" }, { at "device", SHAPE_TEXT, true, "on which device" },           \
        { at "called", SHAPE_TEXT, true, "what it is called" },                                                        \
        { at "fact", SHAPE_OBJECT, false, "its fields, as they are read back: SI numbers, uids" },                     \
        { at "fact.*", SHAPE_OBJECT, true, "a field" },                                                                \
        { at "shown", SHAPE_OBJECT, false, "the same as texts for people" },                                           \
    {                                                                                                                  \
        at "shown.*", SHAPE_TEXT, true, "a field"                                                                      \
    }

#define CHANGED_SHAPE                                                                                                  \
    { "changes", SHAPE_LIST, false, "what was changed" }, { "changes[]", SHAPE_OBJECT, true, "" },                     \
        { "changes[].what", SHAPE_TEXT, false, "recorded, voided, restored, settled or weather" },                     \
        { "changes[].kind", SHAPE_TEXT, false, "kind of record" },                                                     \
        { "changes[].uid", SHAPE_TEXT, false, "of the record" },                                                       \
    {                                                                                                                  \
        "changes[].called", SHAPE_TEXT, true, "in words"                                                               \
    }

#define CHANGE_SHAPE                                                                                                   \
    CHANGED_SHAPE, { "changes[].number", SHAPE_WHOLE, false, "of the change" },                                        \
        { "changes[].at", SHAPE_MOMENT, false, "when it reached the farm file" },                                      \
        { "changes[].recorded", SHAPE_MOMENT, false, "when the person recorded it" },                                  \
        { "changes[].batch", SHAPE_TEXT, false, "what is undone together" },                                           \
        { "changes[].who", SHAPE_TEXT, true, "who said so" },                                                          \
        { "changes[].device", SHAPE_TEXT, true, "on which device" },                                                   \
        { "changes[].undoes", SHAPE_TEXT, true, "batch that this one took back" },                                     \
        { "changes[].changed", SHAPE_TEXT, true, "one fact's history: what a correction put right, in words" },        \
    {                                                                                                                  \
        "more", SHAPE_FLAG, false, "there are older ones"                                                              \
    }
/* clang-format on */

/* The answer as the reply, if the arena held it. */
enum status web_answer(struct web_call *call, struct web_reply *reply, struct answer *answer,
                       struct message *why) MUST_USE;
/* "sow", "boar_run" of an address -> its kind. ST_NOT_FOUND. */
enum status web_kind(const char *word, const struct fact_kind **kind, struct message *why) MUST_USE;
/* A whole number of the query; `otherwise` when it is not there. */
int64_t web_whole(const struct web_call *call, const char *name, int64_t otherwise);
/* before= and most= of the query. */
enum status web_page(const struct web_call *call, int64_t *before, size_t *most, struct message *why) MUST_USE;
/* The device of the session as it goes into the record. */
const char *web_device(const struct web_call *call);
/* A moment as a person or a program writes it, in the farm's zone; NULL and "": *utc_s = 0. */
enum status web_moment(struct farm *farm, const char *field, const char *text, struct arena *mem, int64_t *utc_s,
                       struct message *why) MUST_USE;

/* weather_routes.c, for the table in keep.c */
extern const struct web_field web_fetch_takes[2], web_type_takes[2], web_weather_takes[1];
extern const struct shape web_fetch_gives[2], web_type_gives[1], web_weather_gives[6], web_kept_gives[7];
enum status web_weather_fetch(struct web_call *call, struct web_reply *reply, struct message *why) MUST_USE;
enum status web_weather_type(struct web_call *call, struct web_reply *reply, struct message *why) MUST_USE;
enum status web_weather_import(struct web_call *call, struct web_reply *reply, struct message *why) MUST_USE;
enum status web_weather_kept(struct web_call *call, struct web_reply *reply, struct message *why) MUST_USE;

/* ground_routes.c, likewise */
extern const struct shape web_ground_gives[9];
enum status web_ground_read(struct web_call *call, struct web_reply *reply, struct message *why) MUST_USE;

#endif
