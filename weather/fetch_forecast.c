/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What to ask, how often, and what to believe. What was kept is given up only for a reply that is whole and good.
 */
#include "weather/fetch.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/dice.h"
#include "weather/fetch_own.h"

const char *const fetch_service_name[FETCH_SERVICES] = { "us-national", "met-norway", "met-norway-complete" };
const char *const fetch_service_base[FETCH_SERVICES] = {
    "https://api.weather.gov",
    "https://api.met.no/weatherapi",
    "https://api.met.no/weatherapi",
};
const char *const fetch_service_credit[FETCH_SERVICES] = {
    "Forecast: US National Weather Service (public domain)",
    "Weather data from MET Norway (CC BY 4.0)",
    "Weather data from MET Norway (CC BY 4.0)",
};

enum { MOST_TRIES = 4, MOST_SLOW_TRIES = 2, MOST_REDIRECTS = 5, NOTE_ROOM = 12 };
static const double first_wait_s = 2.0, longest_wait_s = 60.0;
static const int64_t point_good_s = 7 * 24 * 3600, left_alone_s = 600, longest_alone_s = 24 * 3600;
static const int64_t spread_s = 600, off_the_hour_s = 300;

struct job { /* one call of fetch_forecast */
    const struct fetch_ask *ask;
    struct fetch_result *out;
    struct arena *mem;
    char origin[FETCH_ORIGIN_BYTES];
};

static void note(struct job *j, const char *says)
{
    if (says && j->out->n_notes < NOTE_ROOM)
        j->out->note[j->out->n_notes++] = says;
}

/* ---- one address: redirects and tries ---- */

static enum status follow(const struct job *j, struct fetch_got *got, char url[static FETCH_URL_BYTES],
                          struct message *why)
{
    char origin[FETCH_ORIGIN_BYTES];
    struct message there = { "", "" };

    if (got->location[0] == 0)
        return refuse(ST_IO, why, "", "the service sent us on without saying where");
    if (fetch_origin(got->location, j->ask->plain_loopback, origin, &there) != ST_OK)
        return refuse(ST_IO, why, "", "the service sent us on to an address that is not https; not followed");
    if (strcmp(origin, j->origin) != 0)
        return refuse(ST_IO, why, "", "the service sent us on to another host; not followed");
    memcpy(url, got->location, sizeof got->location);
    return ST_OK;
}

static bool redirects(int status)
{
    return status == 301 || status == 302 || status == 303 || status == 307 || status == 308;
}

/* One try: the address and whatever it sends us on to. */
static enum status get_followed(const struct job *j, const char *first_url, const char *since, struct fetch_got *got,
                                struct message *why)
{
    char url[FETCH_URL_BYTES];

    (void)snprintf(url, sizeof url, "%s", first_url);
    for (int hops = 0; hops <= MOST_REDIRECTS; hops++) {
        enum status st = fetch_get(j->ask, url, since, got, why);

        if (st != ST_OK || got->line != FETCH_LINE_OK || !redirects(got->status))
            return st;
        st = follow(j, got, url, why);
        if (st != ST_OK)
            return st;
        text_close(&got->body);
    }
    return refuse(ST_IO, why, "", "the service sends us round in circles");
}

static bool worth_another_try(const struct fetch_got *got, int tries)
{
    if (got->line == FETCH_LINE_SLOW)
        return tries < MOST_SLOW_TRIES;
    if (got->line == FETCH_LINE_BROKEN)
        return true;
    return got->line == FETCH_LINE_OK &&
           (got->status == 429 || got->status == 500 || got->status == 502 || got->status == 503 || got->status == 504);
}

/* True: waited, try again. A service that asks for a long rest gets it: see leave_alone. */
static bool waited(const struct job *j, const struct fetch_got *got, int tries)
{
    double wait_s = ldexp(first_wait_s, tries - 1);

    if (tries >= MOST_TRIES || !worth_another_try(got, tries) || !j->ask->may_sleep)
        return false;
    if ((double)got->retry_after_s > longest_wait_s)
        return false;
    if ((double)got->retry_after_s > wait_s)
        wait_s = (double)got->retry_after_s;
    return j->ask->may_sleep(j->ask->own, wait_s);
}

/* ---- one part ---- */

static void fail_part(struct job *j, enum fetch_part part, const char *says)
{
    struct fetch_reply *r = &j->out->part[part];
    const char *kept = arena_text(j->mem, says);

    r->outcome = FETCH_FAILED;
    r->says = kept ? kept : "no memory";
    r->bytes = NULL;
    r->n_bytes = 0;
}

/* Remember that the service wants a rest. */
static void leave_alone(struct job *j, const struct fetch_got *got)
{
    int64_t rest_s = got->retry_after_s;

    if (got->line != FETCH_LINE_OK || (got->status != 429 && got->status != 503))
        return;
    if (rest_s < left_alone_s)
        rest_s = left_alone_s;
    if (rest_s > longest_alone_s)
        rest_s = longest_alone_s;
    j->out->memory.not_before_utc_s = j->ask->now_utc_s + rest_s;
    note(j, arena_print(j->mem, "the service asks us to slow down; it is left alone for %lld min",
                        (long long)(rest_s / 60)));
}

static void fail_by_status(struct job *j, enum fetch_part part, const struct fetch_got *got)
{
    const char *says;

    switch (got->status) {
    case 400: says = "the service did not understand the question (400)"; break;
    case 403: says = "the service refuses us (403); it wants a real contact in the settings, and few requests"; break;
    case 404:
        says = part == FETCH_POINT ? "the service has no forecast for this place (404); the US national one covers the "
                                     "United States alone"
                                   : "the service knows no forecast at that address (404)";
        break;
    case 429: says = "the service says we ask too often (429)"; break;
    default: says = arena_print(j->mem, "the service is in trouble (%d)", got->status); break;
    }
    fail_part(j, part, says ? says : "no memory");
}

static void keep_page(struct job *j, enum fetch_part part, const char *url, const struct fetch_got *got, bool new)
{
    struct fetch_page *page = &j->out->memory.page[part];

    if (new || got->last_modified[0])
        memcpy(page->last_modified, got->last_modified, sizeof page->last_modified);
    (void)snprintf(page->url, sizeof page->url, "%s", url);
    page->expires_utc_s = got->lifetime_s > 0 ? j->ask->now_utc_s + got->lifetime_s : 0;
    if (new)
        page->fetched_utc_s = j->ask->now_utc_s;
}

static void take_new(struct job *j, enum fetch_part part, const char *url, const struct fetch_got *got)
{
    const char *bytes = text_get(&got->body);
    struct fetch_memory found = j->out->memory;
    struct message why = { "", "" };
    enum status st = ST_OK;

    if (!got->json)
        st = refuse(ST_IO, &why, "",
                    "the reply is a page of another kind, not a forecast; a sign-in page of the "
                    "network, perhaps");
    if (st == ST_OK)
        st = fetch_check(part, bytes, got->body.length, &found, &why);
    if (st == ST_OK && j->ask->good)
        st = j->ask->good(j->ask->own, part, bytes, got->body.length, &why);
    if (st != ST_OK) {
        fail_part(j, part, why.text);
        return;
    }
    j->out->part[part].bytes = arena_bytes(j->mem, bytes, got->body.length);
    if (!j->out->part[part].bytes) {
        fail_part(j, part, "no memory for the reply");
        return;
    }
    j->out->part[part].n_bytes = got->body.length;
    j->out->part[part].outcome = FETCH_NEW;
    j->out->memory = found;
    keep_page(j, part, url, got, true);
    if (got->status == 203)
        note(j, "the service says this version of it will end soon (203); look for a newer leenest");
}

static void settle_part(struct job *j, enum fetch_part part, const char *url, bool asked_if_changed,
                        const struct fetch_got *got)
{
    if (got->line != FETCH_LINE_OK) {
        fail_part(j, part, got->says);
    } else if (got->status == 200 || got->status == 203) {
        take_new(j, part, url, got);
    } else if (got->status == 304 && asked_if_changed) {
        j->out->part[part].outcome = FETCH_UNCHANGED;
        keep_page(j, part, url, got, false);
    } else {
        fail_by_status(j, part, got);
    }
}

static void ask_part(struct job *j, enum fetch_part part, const char *url)
{
    const struct fetch_page *page = &j->out->memory.page[part];
    struct fetch_reply *r = &j->out->part[part];
    const bool kept = page->fetched_utc_s > 0 && strcmp(page->url, url) == 0;
    struct fetch_got got = { .line = FETCH_LINE_BAD };
    struct message why = { "", "" };
    char since[sizeof page->last_modified] = "";
    enum status st;

    if (kept && j->ask->now_utc_s < page->expires_utc_s) {
        r->outcome = FETCH_STILL_GOOD;
        return;
    }
    if (j->ask->now_utc_s < j->out->memory.not_before_utc_s) {
        fail_part(j, part, "the service asked to be left alone for a while, so it was not asked");
        return;
    }
    if (kept)
        memcpy(since, page->last_modified, sizeof since);
    do {
        text_close(&got.body);
        st = get_followed(j, url, since, &got, &why);
        r->tries++;
        r->http_status = got.status;
    } while (st == ST_OK && waited(j, &got, r->tries));
    if (st != ST_OK)
        fail_part(j, part, why.text);
    else
        settle_part(j, part, url, since[0] != 0, &got);
    leave_alone(j, &got);
    text_close(&got.body);
}

static bool served(const struct fetch_reply *r)
{
    return r->outcome == FETCH_NEW || r->outcome == FETCH_UNCHANGED || r->outcome == FETCH_STILL_GOOD;
}

/* ---- the services ---- */

/* Rounded to 0.01 and without needless zeros: "45", "-93.2", "0". */
static void coordinate(double deg, char out[static 16])
{
    const double rounded = round(deg * 100.0) / 100.0;
    size_t n;

    (void)snprintf(out, 16, "%.2f", rounded == 0.0 ? 0.0 : rounded);
    n = strlen(out);
    while (n > 0 && out[n - 1] == '0')
        out[--n] = 0;
    if (n > 0 && out[n - 1] == '.')
        out[--n] = 0;
}

static const char *base_of(const struct fetch_ask *ask)
{
    return ask->base ? ask->base : fetch_service_base[ask->service];
}

/* The two addresses of a point answer are followed only on the service's own host. */
static bool at_home(struct job *j, const char *url)
{
    char origin[FETCH_ORIGIN_BYTES];
    struct message why = { "", "" };

    return fetch_origin(url, j->ask->plain_loopback, origin, &why) == ST_OK && strcmp(origin, j->origin) == 0;
}

/* The point answer hardly ever changes: kept for a week whatever its Expires says, and kept on when asking again
 * fails. */
static bool look_up_point(struct job *j, const char *url, bool again)
{
    struct fetch_memory before = j->out->memory;
    const struct fetch_page *page = &before.page[FETCH_POINT];
    const bool kept = page->fetched_utc_s > 0 && strcmp(page->url, url) == 0 && before.hourly_url[0];
    struct fetch_reply *r = &j->out->part[FETCH_POINT];

    if (kept && !again && j->ask->now_utc_s - page->fetched_utc_s < point_good_s) {
        r->outcome = FETCH_STILL_GOOD;
        return true;
    }
    j->out->memory.page[FETCH_POINT].expires_utc_s = 0; /* old, or proved wrong: ask, whatever it says */
    if (again)
        j->out->memory.page[FETCH_POINT].last_modified[0] = 0;
    ask_part(j, FETCH_POINT, url);
    if (r->outcome == FETCH_UNCHANGED)
        j->out->memory.page[FETCH_POINT].fetched_utc_s = j->ask->now_utc_s; /* good for another week */
    if (r->outcome == FETCH_NEW && !(at_home(j, j->out->memory.hourly_url) && at_home(j, j->out->memory.grid_url))) {
        j->out->memory = before;
        fail_part(j, FETCH_POINT, "the service points to another host for its forecasts; not followed");
    }
    if (r->outcome != FETCH_FAILED)
        return true;
    before.not_before_utc_s = j->out->memory.not_before_utc_s;
    j->out->memory = before;
    if (kept)
        note(j, "the point could not be looked up again; the forecast of the last known cell is asked for");
    return kept;
}

static void ask_us_national(struct job *j)
{
    char url[FETCH_URL_BYTES], lat[16], lon[16];
    bool again = false;

    coordinate(j->ask->lat_deg, lat);
    coordinate(j->ask->lon_deg, lon);
    (void)snprintf(url, sizeof url, "%s/points/%s,%s", base_of(j->ask), lat, lon);
    while (look_up_point(j, url, again)) {
        ask_part(j, FETCH_HOURLY, j->out->memory.hourly_url);
        ask_part(j, FETCH_GRID, j->out->memory.grid_url);
        /* cells are renumbered now and then: a kept point that leads nowhere is looked up once more */
        if (again || j->out->part[FETCH_POINT].outcome == FETCH_NEW || j->out->part[FETCH_HOURLY].http_status != 404)
            return;
        again = true;
    }
}

static void ask_met_norway(struct job *j)
{
    char url[FETCH_URL_BYTES], lat[16], lon[16], height[24] = "";

    coordinate(j->ask->lat_deg, lat);
    coordinate(j->ask->lon_deg, lon);
    if (!isnan(j->ask->altitude_m))
        (void)snprintf(height, sizeof height, "&altitude=%.0f", round(j->ask->altitude_m / 10.0) * 10.0 + 0.0);
    (void)snprintf(url, sizeof url, "%s/locationforecast/2.0/%s?lat=%s&lon=%s%s", base_of(j->ask),
                   j->ask->service == FETCH_MET_NORWAY_COMPLETE ? "complete" : "compact", lat, lon, height);
    ask_part(j, FETCH_GLOBAL, url);
}

/* ---- the whole ---- */

static bool real_contact(const char *contact)
{
    if (!contact || strlen(contact) < 5 || strlen(contact) > 120)
        return false;
    for (const char *p = contact; *p; p++)
        if (*p < 32 || *p > 126 || *p == '(' || *p == ')')
            return false;
    return strchr(contact, '@') || strstr(contact, "://");
}

static enum status check_ask(const struct fetch_ask *ask, struct job *j, struct message *why)
{
    const char *base = base_of(ask);
    const size_t n = strlen(base);

    if (!real_contact(ask->contact))
        return refuse(ST_BAD_INPUT, why, "contact",
                      "the weather services want to know whom to write to; give a mail "
                      "address or a web page of yours");
    if (!(ask->lat_deg >= -90.0 && ask->lat_deg <= 90.0))
        return refuse(ST_BAD_INPUT, why, "lat", "the latitude is not between -90 and 90 degrees");
    if (!(ask->lon_deg >= -180.0 && ask->lon_deg <= 180.0))
        return refuse(ST_BAD_INPUT, why, "lon", "the longitude is not between -180 and 180 degrees");
    if (!isnan(ask->altitude_m) && !(ask->altitude_m >= -500.0 && ask->altitude_m <= 9000.0))
        return refuse(ST_BAD_INPUT, why, "altitude", "the height is not between -500 and 9000 m");
    if (n > 128 || (n > 0 && base[n - 1] == '/') || strpbrk(base, "?# "))
        return refuse(ST_BAD_INPUT, why, "base",
                      "the address is like https://host/path, at most 128 letters, with no "
                      "/ at its end");
    return fetch_origin(base, ask->plain_loopback, j->origin, why);
}

static enum status sum_up(struct job *j, struct message *why)
{
    struct fetch_reply *part = j->out->part;
    const char *says = NULL;
    bool any = false;

    for (int p = 0; p < FETCH_PARTS; p++) {
        any = any || (p != FETCH_POINT && served(&part[p]));
        if (part[p].outcome == FETCH_FAILED && !says)
            says = part[p].says;
    }
    if (arena_full(j->mem))
        return refuse(ST_NO_MEMORY, why, "", "no memory for the forecast");
    if (!any)
        return refuse(ST_AWAY, why, "", "no forecast: %s", says ? says : "nothing was asked");
    for (int p = FETCH_HOURLY; p < FETCH_PARTS; p++)
        if (part[p].outcome == FETCH_FAILED)
            note(j, arena_print(j->mem, "the %s part of the forecast failed: %s", fetch_part_name[p], part[p].says));
    return ST_OK;
}

enum status fetch_forecast(const struct fetch_ask *ask, const struct fetch_memory *memory, struct arena *mem,
                           struct fetch_result *out, struct message *why)
{
    struct job j = { .ask = ask, .out = out, .mem = mem };
    enum status st;

    assert(ask->service < FETCH_SERVICES);
    *out = (struct fetch_result){ .memory = *memory, .credit = fetch_service_credit[ask->service] };
    for (int p = 0; p < FETCH_PARTS; p++)
        out->part[p].says = "";
    st = check_ask(ask, &j, why);
    if (st != ST_OK)
        return st;
    out->note = ARENA_NEW(mem, const char *, NOTE_ROOM);
    if (!out->note)
        return refuse(ST_NO_MEMORY, why, "", "no memory for the forecast");
    if (ask->now_utc_s >= out->memory.not_before_utc_s)
        out->memory.not_before_utc_s = 0;
    switch (ask->service) {
    case FETCH_US_NATIONAL: ask_us_national(&j); break;
    case FETCH_MET_NORWAY_COMPACT:
    case FETCH_MET_NORWAY_COMPLETE: ask_met_norway(&j); break;
    case FETCH_SERVICES: break;
    }
    return sum_up(&j, why);
}

int64_t fetch_next_utc_s(const struct fetch_memory *m, int64_t now_utc_s, uint64_t seed)
{
    struct dice d = dice_from(seed);
    int64_t next = now_utc_s + left_alone_s, in_hour;

    for (int p = FETCH_HOURLY; p < FETCH_PARTS; p++)
        if (m->page[p].expires_utc_s > next)
            next = m->page[p].expires_utc_s;
    if (m->not_before_utc_s > next)
        next = m->not_before_utc_s;
    next += (int64_t)(dice_even(&d) * (double)spread_s);
    in_hour = next % HOUR_S;
    if (in_hour < off_the_hour_s)
        next += off_the_hour_s - in_hour + (int64_t)(dice_even(&d) * (double)spread_s);
    else if (in_hour >= HOUR_S - off_the_hour_s)
        next += HOUR_S - in_hour + off_the_hour_s + (int64_t)(dice_even(&d) * (double)spread_s);
    return next;
}
