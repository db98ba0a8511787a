/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Phones: the square code and the yes, the certificate, the addresses.
 */
#include <string.h>

#include "desk/devices.h"
#include "doors/web/door_routes.h"
#include "doors/web/pair.h"

enum { SVG_BYTES = 64 * 1024 };

/* ---- pairing ---- */

enum status door_pair_post(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct door *door = web_door(call->web);
    char key[PAIR_KEY];
    struct text svg;

    if (!door_lan(door))
        return refuse(ST_CONFLICT, why, "",
                      "this machine is open to itself alone; stop leenest serve, start it again with --lan, and phones "
                      "can come in");
    const char *best = door_reached(door)->best;
    if (!best)
        return refuse(ST_CONFLICT, why, "", "this machine is in no network just now; join the one the phone is in");
    pair_offer(door_pair(door), call->now_utc_s, key);
    const char *address =
        arena_print(call->mem, strchr(best, ':') ? "https://[%s]:%d/#pair=%s" : "https://%s:%d/#pair=%s", best,
                    door_told_port(door), key);
    if (!address)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    text_open(&svg, SVG_BYTES);
    const enum status st = square_svg(address, &svg, why);
    struct answer *a = reply->answer = answer_new(call->mem);
    answer_text(a, "key", arena_text(call->mem, key));
    answer_text(a, "address", address);
    answer_text(a, "svg", arena_text(call->mem, text_get(&svg)));
    answer_moment(a, "until", call->now_utc_s + PAIR_FOR_S);
    text_close(&svg);
    return st == ST_OK ? door_full_or_ok(call, why) : st;
}

enum status door_pair_get(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct pair *pair = door_pair(web_door(call->web));
    struct answer *rows = answer_list(reply->answer = answer_new(call->mem), "waiting");

    for (size_t i = 0; i < PAIR_WAITING; i++) {
        const struct pair_waiting *w = pair_by_number(pair, pair->waiting[i].number, call->now_utc_s);
        if (!w || w->refused)
            continue;
        struct answer *row = answer_item(rows);
        answer_whole(row, "device", w->number);
        answer_text(row, "called", arena_text(call->mem, w->called));
    }
    return door_full_or_ok(call, why);
}

enum status door_pair_yes(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct door *door = web_door(call->web);
    const int64_t number = (int64_t)json_integer_value(json_object_get(call->body, "device"));
    struct pair_waiting *w = pair_by_number(door_pair(door), number, call->now_utc_s);

    if (!w || w->refused)
        return refuse(ST_NOT_FOUND, why, "device", "no such phone is waiting any more; show a new square code");
    const bool yes = json_is_true(json_object_get(call->body, "yes"));
    struct farm_device device = { .called = arena_text(call->mem, w->called),
                                  .since_utc_s = call->now_utc_s,
                                  .seen_utc_s = call->now_utc_s };
    memcpy(device.digest, w->session, DEVICE_DIGEST);
    const enum status st = !yes            ? ST_OK
                           : device.called ? farm_device_add(call->farm, &device, why)
                                           : refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st != ST_OK)
        return st;
    if (yes)
        *w = (struct pair_waiting){ .number = 0 };
    else
        w->refused = true;
    reply->answer = answer_new(call->mem);
    answer_whole(reply->answer, "device", device.number);
    answer_flag(reply->answer, "yes", yes);
    return door_full_or_ok(call, why);
}

/* ---- certificate and addresses ---- */

enum status door_certificate_get(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const struct certificate *c = door_tls(web_door(call->web));

    if (!c)
        return refuse(ST_NOT_FOUND, why, "",
                      "there is no certificate: this machine is open to itself alone (no --lan)");
    reply->bytes = c->authority;
    reply->length = strlen(c->authority);
    reply->type = WEB_CERTIFICATE_OUT;
    reply->download_as = "leenest-farm.crt";
    return ST_OK;
}

static void address_row(const struct web_call *call, struct answer *list, const char *host, bool name, bool best)
{
    struct answer *row = answer_item(list);

    answer_text(row, "address",
                arena_print(call->mem, strchr(host, ':') ? "https://[%s]:%d/" : "https://%s:%d/", host,
                            door_told_port(web_door(call->web))));
    answer_flag(row, "name", name);
    answer_flag(row, "best", best);
}

enum status door_addresses_get(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const struct door *door = web_door(call->web);
    const struct reached *r = door_reached(door);
    const struct certificate *c = door_tls(door);

    struct answer *a = reply->answer = answer_new(call->mem), *rows = answer_list(a, "addresses");
    for (size_t i = 0; i < r->n_names; i++)
        if (strcmp(r->name[i], "localhost") != 0)
            address_row(call, rows, r->name[i], true, r->name[i] == r->best);
    for (size_t i = 0; i < r->n_addresses; i++)
        if (!reached_is_loopback(r->address[i]))
            address_row(call, rows, r->address[i], false, r->address[i] == r->best);
    answer_text(a, "fingerprint", c ? c->fingerprint : NULL);
    if (c)
        answer_moment(a, "certificate_ends", c->ends_utc_s);
    else
        answer_null(a, "certificate_ends", "this machine is open to itself alone");
    return door_full_or_ok(call, why);
}
