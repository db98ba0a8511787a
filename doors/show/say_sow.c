/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sow as text: who she is, how near, what each look said, what she has done before. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "doors/show/say_piece.h"
#include "doors/show/say_section.h"

static void comma(struct text *line, const char *words)
{
    if (line->length)
        text_add(line, ", ");
    text_add(line, words);
}

static void day_text(int64_t day, char out[static 32])
{
    const struct civil c = civil_from_days(day);
    (void)snprintf(out, 32, "%d %s %d", c.day, when_month[c.month], c.year);
}

static int64_t day_at(const struct answer *a, const char *key)
{
    const struct answer *d = answer_at(a, key);
    return d && d->kind == ANSWER_DAY ? d->is.whole : INT64_MIN;
}

/* With the year: what is told here goes back a long way. */
static void old_moment(int64_t utc_s, const struct show_how *how, char out[static 48])
{
    const struct civil c = when_local(how->zone, utc_s);
    (void)snprintf(out, 48, "%d %s %d %02d:%02d", c.day, when_month[c.month], c.year, c.hour, c.minute);
}

static void capital(struct text *line, const char *words)
{
    const char first = *words >= 'a' && *words <= 'z' ? (char)(*words - 'a' + 'A') : *words;
    text_print(line, "%.*s%s", *words ? 1 : 0, &first, *words ? words + 1 : "");
}

static void who(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double parity = answer_get_real(a, "parity"), age = answer_get_real(a, "age_d"),
                 mass = answer_get_real(a, "mass_kg");
    const double condition = answer_get_real(a, "condition"), mean = answer_get_real(a, "mean_litter");
    struct text line;
    char t[64], m[32];

    text_open_part(&line, out);
    comma(&line, say_flag_at(a, "gilt") ? "gilt" : "sow");
    if (answer_get_text(a, "breed"))
        comma(&line, answer_get_text(a, "breed"));
    if (isfinite(age)) {
        (void)snprintf(t, sizeof t, age < 730.0 ? "%.0f months old" : "%.1f years old",
                       age < 730.0 ? age / 30.44 : age / 365.25);
        comma(&line, t);
    }
    if (isfinite(parity) && parity > 0.0) {
        (void)snprintf(t, sizeof t, "%.0f litter%s", parity, parity > 1.5 ? "s" : "");
        comma(&line, t);
    }
    if (isfinite(mean)) {
        (void)snprintf(t, sizeof t, "%.1f born alive on average", mean);
        comma(&line, t);
    }
    if (isfinite(mass))
        comma(&line, show_mass(mass, how, m));
    if (isfinite(condition)) {
        (void)snprintf(t, sizeof t, "condition %g", condition);
        comma(&line, t);
    }
    if (answer_get_text(a, "temper"))
        comma(&line, answer_get_text(a, "temper"));
    text_add(&line, ".");
    show_fold(out, how, "  ", 2, text_get(&line));
    text_close(&line);
}

static void nested(struct text *line, double times, double in_it)
{
    if (times < 1.5)
        text_print(line, " Nested once on record, %sin what was put out.", in_it > 0.5 ? "" : "not ");
    else
        text_print(line, " Nested %.0f times on record, %.0f of them in what was put out.", times, in_it);
}

static void where(const struct answer *a, const struct show_how *how, struct text *out)
{
    const double times = answer_get_real(a, "nested_times");
    char p_use[16], when[32];
    struct text line;

    text_open_part(&line, out);
    const char *state = answer_get_text(a, "state");
    capital(&line, state);
    if (say_moment_at(a, "lost_all_at") != INT64_MIN)
        text_print(&line, ", lost all of her litter by %s", show_moment(say_moment_at(a, "lost_all_at"), how, when));
    if (answer_get_text(a, "paddock"))
        text_print(&line, ", in %s", answer_get_text(a, "paddock"));
    if (answer_get_text(a, "group"))
        text_print(&line, ", group %s", answer_get_text(a, "group"));
    if (say_flag_at(a, "penned"))
        text_add(&line, ", in a pen of her own");
    if (answer_get_text(a, "lies"))
        text_print(&line, "; %s at %s", say_moment_at(a, "nesting_since") != INT64_MIN ? "nests" : "lies",
                   answer_get_text(a, "lies"));
    text_add(&line, ".");
    if (times > 0.5)
        nested(&line, times, answer_get_real(a, "nested_in_what_was_put_out"));
    if (strcmp(state, "suckling") != 0)
        text_print(&line, " Chance that she uses what is put out: %s in 100.",
                   in_100_figure(answer_get_real(a, "p_use"), p_use));
    show_fold(out, how, "  ", 2, text_get(&line));
    text_close(&line);
}

static void turn(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *t = answer_at(a, "turn"), *boars = answer_at(t, "boars");
    char from[32], mid[32], to[32], in_pig[16], p6[16], p12[16], p24[16], p48[16], line[256];

    if (!t)
        return;
    say_section(out, how, "THIS TURN");
    struct text known;
    text_open_part(&known, out);
    capital(&known, answer_get_text(t, "known"));
    text_add(&known, ".");
    show_fold(out, how, "  ", 2, text_get(&known));
    text_close(&known);
    if (say_moment_at(t, "window.from") == INT64_MIN) {
        show_fold(out, how, "  ", 2, "No day can be given.");
    } else {
        const int64_t first = say_moment_at(t, "window.from"), last = say_moment_at(t, "window.to");
        (void)snprintf(line, sizeof line, "In pig: %s in 100. Nine in ten: %s to %s, the middle %s.",
                       in_100_figure(answer_get_real(t, "p_pregnant"), in_pig),
                       show_about(first, last - first, how, from), show_about(last, last - first, how, to),
                       show_about(say_moment_at(t, "window.likeliest"), last - first, how, mid));
        show_fold(out, how, "  ", 2, line);
        const char *within = in_100_figure(answer_get_real(t, "p_within_48h"), p48);
        if (strcmp(within, "under 1") == 0)
            (void)snprintf(line, sizeof line, "To farrow within 48 h: under 1 in 100.");
        else
            (void)snprintf(line, sizeof line, "To farrow within 6 h %s, 12 h %s, 24 h %s, 48 h %s in 100.",
                           in_100_figure(answer_get_real(t, "p_within_6h"), p6),
                           in_100_figure(answer_get_real(t, "p_within_12h"), p12),
                           in_100_figure(answer_get_real(t, "p_within_24h"), p24), within);
        show_fold(out, how, "  ", 2, line);
        if (answer_get_real(t, "p_farrowed_unseen") >= 0.02) {
            (void)snprintf(line, sizeof line, "She may have farrowed since she was last looked at: %d in 100.",
                           in_100(answer_get_real(t, "p_farrowed_unseen")));
            show_fold(out, how, "  ", 2, line);
        }
        (void)snprintf(line, sizeof line, "Reckoned with %.1f days in pig, give or take %.1f%s.",
                       answer_get_real(t, "gestation_d"), answer_get_real(t, "gestation_sd_d"),
                       answer_get_real(t, "own_lengths_known") > 0.5 ? ", her own lengths in it" : "");
        show_fold(out, how, "  ", 2, line);
    }
    for (const struct answer *b = boars && boars->first && boars->first->next ? boars->first : NULL; b; b = b->next) {
        (void)snprintf(line, sizeof line, "By %.80s: %s in 100.", answer_get_text(b, "name"),
                       in_100_figure(answer_get_real(b, "probability"), in_pig));
        show_fold(out, how, "  ", 2, line);
    }
    text_open_part(&known, out);
    capital(&known, answer_get_text(t, "watch"));
    text_add(&known, ".");
    show_fold(out, how, "  ", 2, text_get(&known));
    text_close(&known);
    say_texts(out, how, answer_at(t, "beware"), "  ! ");
}

static void looks(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *r = say_rows(out, how, a, "looks", "WHAT EACH LOOK SAID");
    const int room = how->width < 60 ? 12 : 42;
    char when[32];

    if (!r)
        return;
    show_fold(out, how, "  ", 2, "Chance in 100 of a birth within 12 h of it, before and after the sign is told.");
    for (; r; r = r->next) {
        const char *words = answer_get_text(r, how->width < 60 ? "sign" : "words");
        const double before = answer_get_real(r, "p_within_12h_before"),
                     after = answer_get_real(r, "p_within_12h_after");
        text_print(out, "  %-16s %s %-*.*s", show_moment(say_moment_at(r, "at"), how, when),
                   say_flag_at(r, "seen") ? "yes" : "no ", room, room, words);
        if (isfinite(before))
            text_print(out, " %3d->%d\n", in_100(before), in_100(after));
        else
            text_add(out, "    -\n");
    }
    if (answer_get_real(a, "looks_left_out") > 0.5)
        text_print(out, "  (%.0f older ones are left out)\n", answer_get_real(a, "looks_left_out"));
}

static void litters(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *r = say_rows(out, how, a, "litters", "LITTERS RECORDED HERE"); r; r = r->next) {
        const double alive = answer_get_real(r, "born_alive"), still = answer_get_real(r, "still"),
                     weaned = answer_get_real(r, "weaned");
        const double length = answer_get_real(r, "gestation_d");
        const char *at = answer_get_text(r, "at_place"), *place = answer_get_text(r, "place"),
                   *put_out = answer_get_text(r, "put_out");
        struct text line;
        char when[48];
        text_open_part(&line, out);
        old_moment(say_moment_at(r, "start"), how, when);
        text_print(&line, "%s: ", when);
        if (isfinite(alive))
            text_print(&line, "%.0f born alive", alive);
        else
            text_add(&line, "not counted");
        if (isfinite(still))
            text_print(&line, ", %.0f dead", still);
        if (answer_get_real(r, "lost") > 0.5) {
            const char *of = answer_get_text(r, "lost_of");
            text_print(&line, ", %.0f lost since%s%s%s", answer_get_real(r, "lost"), of ? " (" : "", of ? of : "",
                       of ? ")" : "");
        }
        if (isfinite(weaned))
            text_print(&line, ", %.0f weaned", weaned);
        if (at)
            text_print(&line, "; at %s", at);
        else if (place)
            text_print(&line, "; %s %s",
                       strcmp(place, "hut") == 0    ? "in a"
                       : strcmp(place, "barn") == 0 ? "in a"
                                                    : "in the",
                       place);
        if (put_out)
            text_add(&line, strcmp(put_out, "used") == 0       ? ", in what was put out"
                            : strcmp(put_out, "not-used") == 0 ? ", not in what was put out"
                                                               : ", nothing was put out");
        if (isfinite(length))
            text_print(&line, "; %.1f days: %s", length, answer_get_text(r, "gestation_words"));
        if (answer_get_text(r, "temper"))
            text_print(&line, "; %s", answer_get_text(r, "temper"));
        if (say_flag_at(r, "helped"))
            text_add(&line, "; she had to be helped");
        text_add(&line, ".");
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
}

static void treatments(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *r = say_rows(out, how, a, "treatments", "TREATMENTS");
    const int64_t until = day_at(a, "withdrawal_until");
    char when[48], day[32], line[320];

    if (!r)
        return;
    if (until != INT64_MIN) {
        day_text(until, day);
        (void)snprintf(line, sizeof line,
                       "In withdrawal: no meat before %s, as it was recorded; the label and your vet decide.", day);
        show_fold(out, how, "  ! ", 4, line);
    }
    for (; r; r = r->next) {
        const int64_t ends = day_at(r, "withdrawal_ends"), due = day_at(r, "booster_due");
        struct text text;
        text_open_part(&text, out);
        old_moment(say_moment_at(r, "at"), how, when);
        text_print(&text, "%s: %s", when, answer_get_text(r, "what"));
        if (answer_get_text(r, "dose"))
            text_print(&text, ", %s", answer_get_text(r, "dose"));
        if (answer_get_text(r, "why"))
            text_print(&text, " (%s)", answer_get_text(r, "why"));
        if (answer_get_text(r, "of_group"))
            text_print(&text, "; with the group %s", answer_get_text(r, "of_group"));
        if (ends != INT64_MIN) {
            day_text(ends, day);
            text_print(&text, "; withdrawal %s %s", say_flag_at(r, "in_withdrawal") ? "ends" : "ended", day);
        }
        if (due != INT64_MIN) {
            day_text(due, day);
            text_print(&text, "; again on %s", day);
        }
        text_add(&text, ".");
        show_fold(out, how, "  ", 4, text_get(&text));
        text_close(&text);
    }
}

static void notes(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *n = say_rows(out, how, a, "notes_about_her", "NOTES"); n; n = n->next) {
        struct text line;
        char when[48];
        text_open_part(&line, out);
        old_moment(say_moment_at(n, "at"), how, when);
        text_print(&line, "%s: %s", when, answer_get_text(n, "text"));
        show_fold(out, how, "  ", 4, text_get(&line));
        text_close(&line);
    }
}

void show_sow(const struct answer *a, const struct show_how *how, struct text *out)
{
    char when[32], line[200];

    (void)snprintf(line, sizeof line, "%.80s%s%.40s%s", answer_get_text(a, "name"),
                   answer_get_text(a, "tag") ? " (tag " : "",
                   answer_get_text(a, "tag") ? answer_get_text(a, "tag") : "", answer_get_text(a, "tag") ? ")" : "");
    text_print(out, "%s%s%s\nas of %s\n\n", how->colour ? "\033[1m" : "", line, how->colour ? "\033[0m" : "",
               show_moment(say_moment_at(a, "at"), how, when));
    who(a, how, out);
    where(a, how, out);
    turn(a, how, out);
    looks(a, how, out);
    litters(a, how, out);
    treatments(a, how, out);
    notes(a, how, out);
    say_titled_texts(out, how, a, "odd", "ODD RECORDS (leenest flags)", "  ! ");
    say_titled_texts(out, how, a, "record", "SURER WITH", "  - ");
    say_section(out, how, "CAUTION");
    say_texts(out, how, answer_at(a, "cautions"), "  ! ");
}
