/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is asked of the door itself: coming in, going out, who is in, the password; and the table of all its routes.
 */
#include <string.h>

#include "desk/devices.h"
#include "doors/web/door_routes.h"
#include "doors/web/pair.h"
#include "doors/web/password.h"
#include "doors/web/rate.h"

static enum status refused(struct web_reply *reply, int code, struct message *why, const char *field,
                           const char *sentence)
{
    reply->code = code;
    return refuse(ST_BAD_INPUT, why, field, "%s", sentence);
}

enum status door_full_or_ok(const struct web_call *call, struct message *why)
{
    return arena_full(call->mem) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : ST_OK;
}

/* One try at a password or key; beyond the limit it is not even looked at. */
static enum status may_try(const struct web_call *call, struct web_reply *reply, struct message *why)
{
    const int wait_s = rate_take(door_rate(web_door(call->web)), call->address, call->now_utc_s);

    if (wait_s == 0)
        return ST_OK;
    reply->code = 429;
    reply->retry_after_s = wait_s;
    return refuse(ST_BAD_INPUT, why, "", "too many tries; wait %d s and try again", wait_s);
}

static void was_right(const struct web_call *call)
{
    rate_give_back(door_rate(web_door(call->web)), call->address);
}

/* A name for people: no line breaks or other control characters, at most so many bytes, cut at a whole character. */
static const char *called_of(const struct web_call *call, const char *given, const char *otherwise)
{
    char name[DEVICE_CALLED + 1];
    size_t n = 0;

    for (const char *s = given ? given : ""; *s && n < DEVICE_CALLED; s++)
        if ((unsigned char)*s >= 0x20 && *s != 0x7f && (n > 0 || *s != ' '))
            name[n++] = *s;
    if (n == DEVICE_CALLED) /* perhaps in the middle of a character */
        while (n > 0 && ((unsigned char)name[n - 1] & 0xc0) == 0x80)
            n--;
    if (n > 0 && (unsigned char)name[n - 1] >= 0xc0)
        n--;
    while (n > 0 && name[n - 1] == ' ')
        n--;
    name[n] = 0;
    return arena_text(call->mem, n ? name : otherwise);
}

static enum status password_of_farm(const struct web_call *call, const char **hash, struct message *why)
{
    *hash = NULL;
    return call->farm ? farm_password(call->farm, call->mem, hash, why) : ST_OK;
}

/* ---- the session ---- */

static enum status session_get(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const struct door *door = web_door(call->web);
    const char *hash = NULL;
    const enum status st = password_of_farm(call, &hash, why);

    if (st != ST_OK)
        return st;
    struct answer *a = reply->answer = answer_new(call->mem);
    answer_flag(a, "signed_in", call->who.device != 0);
    answer_text(a, "called", call->who.device ? call->who.called : NULL);
    answer_flag(a, "here", call->who.here);
    answer_flag(a, "master", call->who.master);
    answer_flag(a, "lan", door_lan(door));
    answer_flag(a, "password_set", hash != NULL);
    answer_flag(a, "secure", call->secure);
    answer_flag(a, "setting_up", call->farm == NULL);
    answer_flag(a, "address_changed", door_addresses_changed(door));
    return door_full_or_ok(call, why);
}

static enum status enter(struct web_call *call, struct web_reply *reply, const char *called, bool master, bool here,
                         struct message *why)
{
    const struct farm_device as = {
        .called = called, .master = master, .here = here, .since_utc_s = call->now_utc_s, .seen_utc_s = call->now_utc_s
    };
    const enum status st = called
                               ? door_enter(web_door(call->web), call->farm, &as, call->mem, &reply->set_session, why)
                               : refuse(ST_NO_MEMORY, why, "", "out of memory");

    if (st != ST_OK)
        return st;
    reply->answer = answer_new(call->mem);
    answer_text(reply->answer, "called", called);
    answer_flag(reply->answer, "waiting", false);
    return door_full_or_ok(call, why);
}

static enum status by_key(struct web_call *call, struct web_reply *reply, const char *key, struct message *why)
{
    if (!call->who.here || !door_take_key(web_door(call->web), key))
        return refused(reply, 401, why, "key",
                       "that key has been used, or is not of this start; stop leenest serve and start it again");
    was_right(call);
    return enter(call, reply, "this machine", true, true, why);
}

/* With lesser settings than today's: hashed anew while the password is at hand. What fails here is tried next time. */
static void hash_anew(const struct web_call *call, const char *hash, const char *password)
{
    char newer[PASSWORD_HASH];
    struct message ignored = { "", "" };

    if (password_old_hash(hash) && door_writes(web_door(call->web), call->farm) &&
        password_hash(password, newer, &ignored) == ST_OK && farm_password_rehash(call->farm, newer, &ignored) != ST_OK)
        return;
}

static enum status by_password(struct web_call *call, struct web_reply *reply, const char *password, const char *called,
                               struct message *why)
{
    const char *hash = NULL;
    const enum status st = password_of_farm(call, &hash, why);

    if (st != ST_OK)
        return st;
    if (!hash)
        return refused(reply, 401, why, "password",
                       "no password is set on this farm; on its machine: leenest password");
    if (!password_right(hash, password))
        return refused(reply, 401, why, "password", "that is not the password");
    was_right(call);
    hash_anew(call, hash, password);
    return enter(call, reply, called_of(call, called, "another device"), true, false, why);
}

static enum status wait_for_yes(struct web_call *call, struct web_reply *reply, struct message *why)
{
    reply->answer = answer_new(call->mem);
    answer_text(reply->answer, "called", NULL);
    answer_flag(reply->answer, "waiting", true);
    return door_full_or_ok(call, why);
}

/* The first time the key is taken and the phone gets a token that is worth nothing yet; it asks again with that. */
static enum status by_pair(struct web_call *call, struct web_reply *reply, const char *key, const char *called,
                           struct message *why)
{
    struct pair *pair = door_pair(web_door(call->web));
    unsigned char digest[DEVICE_DIGEST];

    if (call->who.device) { /* somebody at the machine has said yes */
        was_right(call);
        reply->answer = answer_new(call->mem);
        answer_text(reply->answer, "called", call->who.called);
        answer_flag(reply->answer, "waiting", false);
        return door_full_or_ok(call, why);
    }
    const struct pair_waiting *w =
        door_digest(call->cookie, digest) ? pair_by_session(pair, digest, call->now_utc_s) : NULL;
    if (w && w->refused)
        return refused(reply, 401, why, "pair", "the machine said no to this phone");
    if (w) {
        was_right(call);
        return wait_for_yes(call, reply, why);
    }
    const char *token = door_token(digest, call->mem), *name = called_of(call, called, "a phone");
    if (!token || !name)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (!pair_come(pair, key, name, digest, call->now_utc_s))
        return refused(reply, 401, why, "pair",
                       "that square code has been used or is older than five minutes; let the machine show a new one");
    was_right(call);
    reply->set_session = token;
    return wait_for_yes(call, reply, why);
}

enum status door_session_post(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const char *key = NULL, *password = NULL, *pair = NULL, *called = NULL;
    enum status st = web_body_text(call, "key", &key, why);

    if (st == ST_OK)
        st = web_body_text(call, "password", &password, why);
    if (st == ST_OK)
        st = web_body_text(call, "pair", &pair, why);
    if (st == ST_OK)
        st = web_body_text(call, "called", &called, why);
    if (st == ST_OK && (key != NULL) + (password != NULL) + (pair != NULL) != 1)
        st = refuse(ST_BAD_INPUT, why, "", "give one of key, password and pair");
    if (st == ST_OK && password && strlen(password) > PASSWORD_MOST)
        st = refuse(ST_BAD_INPUT, why, "password", "no password is longer than %d bytes", (int)PASSWORD_MOST);
    if (st == ST_OK)
        st = may_try(call, reply, why);
    if (st != ST_OK)
        return st;
    return key        ? by_key(call, reply, key, why)
           : password ? by_password(call, reply, password, called, why)
                      : by_pair(call, reply, pair, called, why);
}

static enum status session_end(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const enum status st = door_end(web_door(call->web), call->farm, call->who.device, why);

    reply->end_session = st == ST_OK || st == ST_NOT_FOUND;
    if (!reply->end_session)
        return st;
    reply->answer = answer_new(call->mem);
    answer_flag(reply->answer, "signed_in", false);
    return door_full_or_ok(call, why);
}

/* ---- devices ---- */

static void device_row(const struct web_call *call, struct answer *list, const struct farm_device *d)
{
    struct answer *row = answer_item(list);

    answer_whole(row, "device", d->number);
    answer_text(row, "called", arena_text(call->mem, d->called));
    answer_moment(row, "since", d->since_utc_s);
    answer_moment(row, "seen", d->seen_utc_s);
    answer_flag(row, "master", d->master);
    answer_flag(row, "ended", device_ended(d, call->now_utc_s));
    answer_flag(row, "this_one", d->number == call->who.device);
}

static enum status devices_get(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const struct farm_device *memory[8];
    struct farm_device *list = NULL;
    size_t n = 0;
    const enum status st = call->farm ? farm_devices(call->farm, call->mem, &list, &n, why) : ST_OK;

    if (st != ST_OK)
        return st;
    struct answer *rows = answer_list(reply->answer = answer_new(call->mem), "devices");
    const size_t n_memory = door_in_memory(web_door(call->web), memory);
    for (size_t i = 0; i < n_memory; i++)
        device_row(call, rows, memory[i]);
    for (size_t i = 0; i < n; i++)
        device_row(call, rows, &list[i]);
    return door_full_or_ok(call, why);
}

/* A phone may end itself; only a master ends others. */
static enum status devices_end(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const int64_t device = (int64_t)json_integer_value(json_object_get(call->body, "device"));

    if (device != call->who.device && !call->who.master)
        return refused(reply, 403, why, "device",
                       "only the machine, or one who gave the password, may send others out");
    const enum status st = door_end(web_door(call->web), call->farm, device, why);
    if (st != ST_OK)
        return st;
    reply->end_session = device == call->who.device;
    reply->answer = answer_new(call->mem);
    answer_whole(reply->answer, "device", device);
    return door_full_or_ok(call, why);
}

/* ---- password ---- */

static enum status password_post(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const char *password = NULL, *old = NULL, *hash = NULL;
    char newer[PASSWORD_HASH];
    enum status st = web_body_text(call, "password", &password, why);

    if (st == ST_OK)
        st = web_body_text(call, "old", &old, why);
    if (st == ST_OK && !password)
        st = refuse(ST_BAD_INPUT, why, "password", "give the new password");
    if (st == ST_OK)
        st = password_fits(password, why);
    if (st == ST_OK)
        st = password_of_farm(call, &hash, why);
    if (st == ST_OK && hash) {
        st = may_try(call, reply, why);
        if (st != ST_OK)
            return st;
        if (!old || !password_right(hash, old))
            return refused(
                reply, 403, why, "old",
                "that is not the password so far; who has forgotten it sets a new one at the machine: leenest "
                "password");
        was_right(call);
    }
    if (st == ST_OK)
        st = password_hash(password, newer, why);
    if (st == ST_OK)
        st = farm_password_set(call->farm, newer, call->who.device, call->now_utc_s, why);
    if (st != ST_OK)
        return st;
    door_forget(web_door(call->web));
    reply->answer = answer_new(call->mem);
    answer_flag(reply->answer, "password_set", true);
    return door_full_or_ok(call, why);
}

/* ---- tables ---- */

static const struct web_field session_takes[] = {
    { "key", SHAPE_TEXT, false, "the one-time key of the start address" },
    { "password", SHAPE_TEXT, false, "the farm's password" },
    { "pair", SHAPE_TEXT, false, "the key of a square code" },
    { "called", SHAPE_TEXT, false, "what this device is called" },
};
static const struct web_field password_takes[] = {
    { "password", SHAPE_TEXT, true, "the new password, from 8 characters to 1,024 bytes" },
    { "old", SHAPE_TEXT, false, "the password so far, where one is set" },
};
static const struct web_field device_takes[] = {
    { "device", SHAPE_WHOLE, true, "number of the device" },
};
static const struct web_field yes_takes[] = {
    { "device", SHAPE_WHOLE, true, "number of the phone that waits" },
    { "yes", SHAPE_FLAG, true, "true: this is the phone; false: send it away" },
};

static const struct shape session_shape[] = {
    { "signed_in", SHAPE_FLAG, false, "has a session" },
    { "called", SHAPE_TEXT, true, "what the device is called" },
    { "here", SHAPE_FLAG, false, "asks over the loopback address: it is the machine itself" },
    { "master", SHAPE_FLAG, false, "may pair phones, set the password, go back to a backup" },
    { "lan", SHAPE_FLAG, false, "phones can come in" },
    { "password_set", SHAPE_FLAG, false, "the farm has a password" },
    { "secure", SHAPE_FLAG, false, "came over TLS" },
    { "setting_up", SHAPE_FLAG, false, "there is no farm file yet" },
    { "address_changed", SHAPE_FLAG, false,
      "the machine has other names or addresses than before: phones that know the old one do not find it" },
};
static const struct shape entered_shape[] = {
    { "called", SHAPE_TEXT, true, "what the device is called" },
    { "waiting", SHAPE_FLAG, false, "somebody at the machine has to say yes first; ask again" },
};
static const struct shape ended_shape[] = { { "signed_in", SHAPE_FLAG, false, "false" } };
static const struct shape devices_shape[] = {
    { "devices", SHAPE_LIST, false, "who may come in, the last seen first" },
    { "devices[]", SHAPE_OBJECT, false, "one device" },
    { "devices[].device", SHAPE_WHOLE, false, "its number" },
    { "devices[].called", SHAPE_TEXT, false, "what it is called" },
    { "devices[].since", SHAPE_MOMENT, false, "when it came in first" },
    { "devices[].seen", SHAPE_MOMENT, false, "when it was seen last, to ten minutes" },
    { "devices[].master", SHAPE_FLAG, false, "may pair phones and set the password" },
    { "devices[].ended", SHAPE_FLAG, false, "unused for 30 days: it has to be paired again" },
    { "devices[].this_one", SHAPE_FLAG, false, "the one that asks" },
};
static const struct shape device_shape[] = { { "device", SHAPE_WHOLE, false, "its number" } };
static const struct shape password_shape[] = { { "password_set", SHAPE_FLAG, false, "true" } };
static const struct shape pair_shape[] = {
    { "key", SHAPE_TEXT, false, "serves once" },
    { "address", SHAPE_TEXT, false, "what the square code says" },
    { "svg", SHAPE_TEXT, false, "the square code as a drawing" },
    { "until", SHAPE_MOMENT, false, "the key is good until then" },
};
static const struct shape waiting_shape[] = {
    { "waiting", SHAPE_LIST, false, "phones that gave a key and wait for a yes" },
    { "waiting[]", SHAPE_OBJECT, false, "one phone" },
    { "waiting[].device", SHAPE_WHOLE, false, "its number, for saying yes" },
    { "waiting[].called", SHAPE_TEXT, false, "what it calls itself" },
};
static const struct shape yes_shape[] = {
    { "device", SHAPE_WHOLE, false, "its number from now on; 0 when it was sent away" },
    { "yes", SHAPE_FLAG, false, "what was said" },
};
static const struct shape addresses_shape[] = {
    { "addresses", SHAPE_LIST, false, "how the machine is reached from the farm's network" },
    { "addresses[]", SHAPE_OBJECT, false, "one of them" },
    { "addresses[].address", SHAPE_TEXT, false, "https://..." },
    { "addresses[].name", SHAPE_FLAG, false, "a name, which stays when numbers change" },
    { "addresses[].best", SHAPE_FLAG, false, "the one in the square code" },
    { "fingerprint", SHAPE_TEXT, true, "of the farm's certificate (SHA-256), to compare on the phone" },
    { "certificate_ends", SHAPE_MOMENT, true, "the server's own; it is made anew before" },
    { "certificate_ends_because", SHAPE_TEXT, true, "why there is none" },
};

#define TAKES(x) x, COUNT(x)
#define GIVES(x) x, COUNT(x)

const struct web_route web_routes_door[] = {
    { WEB_GET, "/api/session", WEB_OPEN | WEB_NO_FARM, "Who is asking, and how the door stands", NULL, 0,
      GIVES(session_shape), session_get },
    { WEB_POST, "/api/session", WEB_OPEN | WEB_NO_FARM | WEB_JSON, "Come in", TAKES(session_takes),
      GIVES(entered_shape), door_session_post },
    { WEB_POST, "/api/session/end", WEB_NO_FARM | WEB_JSON, "Go out: the session of this device ends", NULL, 0,
      GIVES(ended_shape), session_end },
    { WEB_GET, "/api/devices", WEB_NO_FARM, "Who may come in", NULL, 0, GIVES(devices_shape), devices_get },
    { WEB_POST, "/api/devices/end", WEB_NO_FARM | WEB_JSON, "Send a device out", TAKES(device_takes),
      GIVES(device_shape), devices_end },
    { WEB_POST, "/api/password", WEB_MASTER | WEB_JSON, "Set the password; all other devices are sent out",
      TAKES(password_takes), GIVES(password_shape), password_post },
    { WEB_POST, "/api/pair", WEB_MASTER | WEB_JSON, "A square code for one phone, good for five minutes", NULL, 0,
      GIVES(pair_shape), door_pair_post },
    { WEB_GET, "/api/pair", WEB_MASTER, "Phones that wait for a yes", NULL, 0, GIVES(waiting_shape), door_pair_get },
    { WEB_POST, "/api/pair/yes", WEB_MASTER | WEB_JSON, "Say yes or no to a phone", TAKES(yes_takes), GIVES(yes_shape),
      door_pair_yes },
    { WEB_GET, "/api/certificate", WEB_OPEN | WEB_NO_FARM, "The farm's certificate, for phones to trust", NULL, 0, NULL,
      0, door_certificate_get },
    { WEB_GET, "/api/addresses", WEB_NO_FARM, "How the machine is reached from the farm's network", NULL, 0,
      GIVES(addresses_shape), door_addresses_get },
    { .path = NULL },
};
