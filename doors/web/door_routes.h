/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between door_routes.c (coming in, devices, password, the table) and door_phone.c (pairing, certificate, addresses).
 */
#ifndef DOORS_WEB_DOOR_ROUTES_H
#define DOORS_WEB_DOOR_ROUTES_H

#include "doors/web/door.h"

/* ST_OK, or that the call's memory is full. */
enum status door_full_or_ok(const struct web_call *call, struct message *why) MUST_USE;

enum status door_session_post(struct web_call *call, struct web_reply *reply, struct message *why);
enum status door_pair_post(struct web_call *call, struct web_reply *reply, struct message *why);
enum status door_pair_get(struct web_call *call, struct web_reply *reply, struct message *why);
enum status door_pair_yes(struct web_call *call, struct web_reply *reply, struct message *why);
enum status door_certificate_get(struct web_call *call, struct web_reply *reply, struct message *why);
enum status door_addresses_get(struct web_call *call, struct web_reply *reply, struct message *why);

#endif
