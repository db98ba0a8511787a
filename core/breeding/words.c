/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the codes say in plain words, and the bands of advice.
 */
#include "core/breeding/breeding.h"

#include <math.h>

const char *const breeding_assumed_words[BA_END] = {
    [BA_CYCLING] = "how she was when the boar came is not recorded: taken as cycling and not pregnant",
    [BA_PARITY] = "number of litters not recorded: chances of an older sow",
    [BA_NOON] = "a date without an hour counts as noon",
    [BA_EVEN_SERVICES] = "services in one heat count the same",
    [BA_RUN_GOES_ON] = "the boar is still with her: nobody recorded that he was taken out",
    [BA_WEI] = "days from weaning to heat are those of the general table",
    [BA_SIGNS] = "how early each sign begins is the general table, not her own",
    [BA_AGREEMENT] = "the strongest sign counts in full, each further one that agrees for less",
    [BA_HEAT_SERVED] = "a heat seen while the boar was with her counts as served",
    [BA_RETURN_SHARE] = "heat was looked for in only part of the days when a return would come",
    [BA_FIRST_BOAR_SHARE] = "with two boars there at once, each counts for half",
};

const char *const breeding_caution_name[BC_END] = {
    [BC_NOTHING_KNOWN] = "nothing-known",
    [BC_RING_VET] = "ring-vet",
    [BC_NOT_FROM_DATES] = "not-from-dates",
    [BC_MAY_BE_EMPTY] = "may-be-empty",
    [BC_ODD_GAP] = "odd-gap",
    [BC_HEAT_AFTER_SCAN] = "heat-after-scan",
    [BC_FALSE_NEST] = "false-nest",
    [BC_NEST_FINISHED] = "nest-finished",
    [BC_LABOUR] = "labour",
    [BC_EARLY] = "early",
    [BC_SIGN_GONE] = "sign-gone",
    [BC_HOT_BREATHING] = "hot-breathing",
    [BC_PAST_LENGTH] = "past-length",
    [BC_BUNCHED] = "bunched",
    [BC_BOAR_UNCERTAIN] = "boar-uncertain",
    [BC_SPENT] = "spent",
    [BC_LATE_CHANCE] = "late-chance",
};

const char *const breeding_caution_words[BC_END] = {
    [BC_NOTHING_KNOWN] = "No service and no boar is recorded, so nothing can be said about when she farrows: "
                         "write down what you know, have her scanned, and keep looking at her.",
    [BC_RING_VET] = "Day 118 or more since her last recorded chance: ring the vet, and at once if she is dull, "
                    "off her feed or has a discharge.",
    [BC_NOT_FROM_DATES] = "Dates alone do not say that she is not pregnant: treat her as if she were.",
    [BC_MAY_BE_EMPTY] =
        "More likely than not she is not pregnant: have her scanned or ask the vet before you act on it.",
    [BC_ODD_GAP] =
        "Two services 5 to 14 days apart are neither one heat nor two: one date may be wrong; both are kept.",
    [BC_HEAT_AFTER_SCAN] = "She was in heat after a scan that said pregnant: have her scanned again.",
    [BC_FALSE_NEST] = "Sows also carry straw onto fresh bedding and before weather: is she alone, and arranging it? "
                      "If so, record that.",
    [BC_NEST_FINISHED] = "A finished nest and a quiet sow: in labour, or within about two hours. Keep your distance "
                         "and look again soon.",
    [BC_LABOUR] = "Fluid or straining seen: she is starting. If 45 minutes pass without a piglet, ring the vet.",
    [BC_EARLY] = "Signs of birth before day 109 may mean a loss or a sick sow: ring the vet, and keep others away.",
    [BC_SIGN_GONE] = "A sign seen earlier was gone at a later look: look again, and say if the first was a mistake.",
    [BC_HOT_BREATHING] = "Breathing was left out: on a warm day every sow breathes fast.",
    [BC_PAST_LENGTH] = "A past length under 105 or over 125 days was left out: check that service date.",
    [BC_BUNCHED] = "Sows weaned together and gilts come in heat together: one boar may not serve them all.",
    [BC_BOAR_UNCERTAIN] = "Either boar may be the sire: settle it by test before the litter is registered.",
    [BC_SPENT] = "All recorded chances have passed: no time can be given. Check the dates, and ring the vet.",
    [BC_LATE_CHANCE] = "The boar is or was lately with her: a later litter than any shown may still begin.",
};

const char *const breeding_watch_words[BW_END] = {
    [BW_ROUTINE] = "look at her with the rest",
    [BW_TWICE_A_DAY] = "look twice a day",
    [BW_EVERY_6H] = "look every 6 hours, late evening too; straw and hut ready",
    [BW_EVERY_2H] = "look every 2 to 3 hours",
};

/* Bands .05, .25, .6: judgement [J], user-visible in docs/reckoning/breeding.md. */
enum breeding_watch breeding_watch_band(double p12, bool frost)
{
    static const double above[BW_END - 1] = { 0.05, 0.25, 0.6 };
    int band = BW_ROUTINE;

    if (isnan(p12))
        band = BW_TWICE_A_DAY;
    else if (p12 > above[2])
        band = BW_EVERY_2H;
    else if (p12 >= above[1])
        band = BW_EVERY_6H;
    else
        band += p12 >= above[0];
    if (frost && band < BW_EVERY_2H)
        band++;
    return (enum breeding_watch)band;
}

enum breeding_watch breeding_watch_for(const struct breeding_posterior *p, bool frost)
{
    const uint32_t urgent = 1U << BC_LABOUR | 1U << BC_NEST_FINISHED;

    if (p->notes.cautions & urgent)
        return BW_EVERY_2H;
    return breeding_watch_band(p->known ? breeding_within(p, 12.0) + p->already : (double)NAN, frost);
}

/* Under 109 abortion, 109-112 premature: UK small-keeper advice (Giles); 105 and 125: bounds of a fertile gestation
 * (common practice, no source). */
enum breeding_length breeding_length_of(double days)
{
    if (isnan(days))
        return BG_END;
    if (days < 105.0)
        return BG_IMPOSSIBLE_SHORT;
    if (days < 109.0)
        return BG_LOSS;
    if (days < 113.0)
        return BG_EARLY;
    if (days <= 119.0)
        return BG_NORMAL;
    return days <= 125.0 ? BG_LONG : BG_IMPOSSIBLE_LONG;
}

const char *const breeding_length_words[BG_END] = {
    [BG_IMPOSSIBLE_SHORT] = "too short for this service: she held to an earlier one, or the date is wrong",
    [BG_LOSS] = "under 109 days: a loss rather than a farrowing; ring the vet",
    [BG_EARLY] = "early, 109 to 112 days: piglets need more warmth and help",
    [BG_NORMAL] = "as expected",
    [BG_LONG] = "long",
    [BG_IMPOSSIBLE_LONG] = "too long for this service: she held to a later one, or the date is wrong",
};
