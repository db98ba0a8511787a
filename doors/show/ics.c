/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The events of an answer as an iCalendar file (RFC 5545), written by libical, which is never given a stranger's
 * calendar to read. The one file that knows libical. */
#include <libical/ical.h>

#include "core/base/civil.h"
#include "doors/show/show.h"

static struct icaltimetype date(int64_t day)
{
    struct icaltimetype t = icaltime_null_date();
    const struct civil c = civil_from_days(day);

    t.year = c.year;
    t.month = c.month;
    t.day = c.day;
    t.is_date = 1;
    return t;
}

static struct icaltimetype stamp(int64_t utc_s)
{
    struct icaltimetype t = icaltime_null_time();
    const struct civil c = civil_from_seconds(utc_s);

    t.year = c.year;
    t.month = c.month;
    t.day = c.day;
    t.hour = c.hour;
    t.minute = c.minute;
    t.second = c.second;
    t.zone = icaltimezone_get_utc_timezone();
    return t;
}

static icalcomponent *event(const struct answer *row, int64_t at_utc_s)
{
    icalcomponent *e = icalcomponent_new_vevent();
    char uid[256];

    if (!e)
        return NULL;
    (void)snprintf(uid, sizeof uid, "%.200s@leenest.invalid", answer_get_text(row, "key"));
    icalcomponent_add_property(e, icalproperty_new_uid(uid));
    icalcomponent_add_property(e, icalproperty_new_dtstamp(stamp(at_utc_s)));
    icalcomponent_add_property(e, icalproperty_new_dtstart(date((int64_t)answer_get_real(row, "from"))));
    icalcomponent_add_property(
        e, icalproperty_new_dtend(date((int64_t)answer_get_real(row, "to") + 1))); /* the end is exclusive */
    icalcomponent_add_property(e, icalproperty_new_summary(answer_get_text(row, "title")));
    if (answer_get_text(row, "says"))
        icalcomponent_add_property(e, icalproperty_new_description(answer_get_text(row, "says")));
    icalcomponent_add_property(e, icalproperty_new_transp(ICAL_TRANSP_TRANSPARENT));
    return e;
}

/* RFC 5545, 3.6: a calendar holds one component at least. Where nothing is to come it says which clock it would have been
 * told in: nobody's calendar shows that. */
static icalcomponent *clock_alone(void)
{
    icalcomponent *zone = icalcomponent_new_vtimezone(), *standard = icalcomponent_new_xstandard();
    struct icaltimetype from = date(0);

    if (!zone || !standard)
        return NULL;
    from.is_date = from.hour = from.minute = from.second = 0;
    icalcomponent_add_property(zone, icalproperty_new_tzid("Etc/UTC"));
    icalcomponent_add_property(standard, icalproperty_new_dtstart(from));
    icalcomponent_add_property(standard, icalproperty_new_tzoffsetfrom(0));
    icalcomponent_add_property(standard, icalproperty_new_tzoffsetto(0));
    icalcomponent_add_component(zone, standard);
    return zone;
}

enum status show_ics(const struct answer *a, struct text *out, struct message *why)
{
    const struct answer *list = answer_at(a, "events");
    const int64_t at = (int64_t)answer_get_real(a, "at");

    if (!list || list->kind != ANSWER_LIST)
        return refuse(ST_BAD_INPUT, why, "ics", "this answer is no calendar; leave out --ics");
    icalcomponent *cal = icalcomponent_new_vcalendar();
    if (!cal)
        return refuse(ST_IO, why, "ics", "no calendar can be written: the library libical is not there");
    icalcomponent_add_property(cal, icalproperty_new_version("2.0"));
    icalcomponent_add_property(cal, icalproperty_new_prodid("-//leenest//farrowing calendar//EN"));
    for (const struct answer *row = list->first; row; row = row->next) {
        icalcomponent *e = event(row, at);
        if (e)
            icalcomponent_add_component(cal, e);
    }
    icalcomponent *clock = list->first ? NULL : clock_alone();
    if (clock)
        icalcomponent_add_component(cal, clock);
    char *text = icalcomponent_as_ical_string_r(cal);
    if (text)
        text_add(out, text);
    const bool good = text && !text_full(out);
    icalmemory_free_buffer(text);
    icalcomponent_free(cal);
    return good ? ST_OK : refuse(ST_NO_MEMORY, why, "", "the calendar is too long to be written out");
}
