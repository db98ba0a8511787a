/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Who may come in. One door for each server; server.c asks it about every request, door_routes.c answers for it.
 *
 *   the machine itself   by the key in the start address, once, over loopback; master
 *   a password           from anywhere it is served to; master
 *   a phone              by the key in a square code and a yes at the machine
 *
 * Each gets 32 random bytes in a cookie. The farm file keeps their digest (farm/device.h). While there is no farm file, or
 * it may not be written to, sessions live in memory; they are written down as soon as that can be done.
 *
 * Threads  all belongs to the thread that answers.
 */
#ifndef DOORS_WEB_DOOR_H
#define DOORS_WEB_DOOR_H

#include "desk/devices.h"
#include "doors/web/certificate.h"
#include "doors/web/web.h"

struct door;

enum { DOOR_TOKEN_TEXT = 44 }; /* 32 bytes in the characters of base64url, and a 0 */

struct door_how { /* its texts live as long as the door */
    const char *farm_path;
    struct farm *farm; /* NULL while there is none */
    bool lan;
    bool writes_later; /* until door_may_write() */
    const char *names; /* further names of this machine, comma between; NULL */
    int64_t now_utc_s;
};
/* Fails     ST_BAD_INPUT, field lan: no password is set; field names: one the certificate cannot carry; ST_IO */
enum status door_open(const struct door_how *how, struct door **door, struct message *why) MUST_USE;
void door_close(struct door *door); /* NULL is fine */

/* Port that the addresses told to people carry: of https with --lan, else of the loopback. */
void door_port(struct door *door, int port);
int door_told_port(const struct door *door);
/* The one-time key of the start address; good until it has served. */
const char *door_key(const struct door *door);
bool door_key_used(const struct door *door);
/* Key and chain for TLS; NULL without --lan. */
const struct certificate *door_tls(const struct door *door);
/* Names and addresses that a Host header may carry besides loopback's. */
const struct reached *door_reached(const struct door *door);
bool door_lan(const struct door *door);
/* Have this machine's addresses changed since they were looked up? Only with --lan. */
bool door_moved(const struct door *door);
/* Look them up anew, with a certificate for them; on failure all is as before. What door_tls() and door_reached() gave
 * is gone afterwards: nobody is to be served by it any more. */
enum status door_again(struct door *door, int64_t now_utc_s, struct message *why) MUST_USE;
/* May somebody speak to us from there at all? Private addresses alone, whatever a router lets through. */
bool door_lets(const char *address);

/* A cookie and its digest, so that one who asks again over the same connection costs none; all 0 at first. */
struct door_cookie {
    char text[DOOR_TOKEN_TEXT]; /* "" = none */
    unsigned char digest[DEVICE_DIGEST];
};

/* Who is that? *who is filled in; nobody known: device 0. `cookie`: what the session cookie holds, NULL = none. */
enum status door_who(struct door *door, struct farm *farm, const char *cookie, struct door_cookie *last,
                     const char *address, int64_t now_utc_s, struct arena *mem, struct web_who *who,
                     struct message *why) MUST_USE;

/* ---- for door_routes.c ---- */

struct door *web_door(const struct web *web); /* server.c */

struct pair *door_pair(struct door *door);
struct rate *door_rate(struct door *door);
/* Is that the start key? It serves once. */
bool door_take_key(struct door *door, const char *key);
/* The farm file (NULL = none) has been looked through: it may be written to. Sessions that were kept in memory until
 * then move into it; one that cannot be written now is tried again when it is used next. */
void door_may_write(struct door *door, struct farm *farm, int64_t now_utc_s);
bool door_writes(const struct door *door, struct farm *farm);
/* A new session; *token in mem. */
enum status door_enter(struct door *door, struct farm *farm, const struct farm_device *as, struct arena *mem,
                       const char **token, struct message *why) MUST_USE;
/* A token, and its digest, that is nobody's yet. */
const char *door_token(unsigned char digest[static DEVICE_DIGEST], struct arena *mem);
/* Digest of a cookie; false: not one of ours. */
bool door_digest(const char *cookie, unsigned char digest[static DEVICE_DIGEST]);
/* Sessions in memory, this one first; at most eight. */
size_t door_in_memory(const struct door *door, const struct farm_device **list);
enum status door_end(struct door *door, struct farm *farm, int64_t device, struct message *why) MUST_USE;
/* Forget what was looked up: somebody was sent out. */
void door_forget(struct door *door);
bool door_addresses_changed(const struct door *door); /* the certificate was made anew at the last opening for that */

#endif
