/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Piglets that died after birth: held against what was born and weaned of that litter. The counts are worked out by hand.
 */
#include "farm/own.h"
#include "tests/farm/farm_help.h"

/* Bramble bears eight on 26 January 2027. */
static void open_litter(struct scratch *s)
{
    scratch_open(s);
    some_farm(s);
    RECORDED(s, "farrowing", "sow", "Bramble", "start", "2027-01-26T03:00", "born_alive", "8", NULL);
}

static void losses_add_up_and_no_more_than_lived(void **state)
{
    struct scratch s;

    (void)state;
    open_litter(&s);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-27", "many", "2", "cause", "lain on", NULL);
    assert_int_equal(s.outcome.n_flags, 0);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-29", "many", "6", NULL); /* 8 of 8 */
    assert_int_equal(s.outcome.n_flags, 0);
    FLAGGED(&s, "lost-more", "loss", "sow", "Bramble", "at", "2027-01-28", "many", "1", NULL); /* 9 of 8 */
    assert_non_null(strstr(s.outcome.flags[0].says, "9 would have died"));
    scratch_close(&s);
}

static void a_weaning_counts_what_was_lost(void **state)
{
    struct scratch s;

    (void)state;
    open_litter(&s);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-27", "many", "2", NULL);
    RECORDED(&s, "weaning", "sow", "Bramble", "at", "2027-03-10", "weaned", "6", NULL); /* 8 - 2 */
    assert_int_equal(s.outcome.n_flags, 0);
    FLAGGED(&s, "lost-more", "loss", "sow", "Bramble", "at", "2027-02-10", "many", "1", NULL); /* 3 + 6 of 8 */
    FLAGGED(&s, "loss-after-weaning", "loss", "sow", "Bramble", "at", "2027-03-12", "many", "1", NULL);
    scratch_close(&s);
    open_litter(&s);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-27", "many", "2", NULL);
    FLAGGED(&s, "weaned-more", "weaning", "sow", "Bramble", "at", "2027-03-10", "weaned", "7", NULL);
    assert_non_null(strstr(s.outcome.flags[0].says, "lost 2 since"));
    scratch_close(&s);
}

/* Put right, a loss is not counted twice. */
static void a_corrected_loss_stands_alone(void **state)
{
    struct scratch s;
    char uid[FARM_UID];

    (void)state;
    open_litter(&s);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-27", "many", "5", NULL);
    memcpy(uid, s.outcome.uid, sizeof uid);
    s.replaces = uid;
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-27", "many", "8", NULL);
    assert_int_equal(s.outcome.n_flags, 0);
    scratch_close(&s);
}

static void a_loss_belongs_to_the_litter_before_it(void **state)
{
    struct scratch s;

    (void)state;
    open_litter(&s);
    REFUSED(&s, ST_CONFLICT, "before she farrowed", "loss", "sow", "Bramble", "at", "2027-01-20", "many", "1", NULL);
    FLAGGED(&s, "loss-without-litter", "loss", "sow", "Sedge", "at", "2027-01-20", "many", "1", NULL);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-27", "many", "8", NULL);
    RECORDED(&s, "weaning", "sow", "Bramble", "at", "2027-01-28", "all_lost", "yes", NULL);
    s.recorded_utc_s = utc(2027, 9, 1, 12, 0);
    RECORDED(&s, "farrowing", "sow", "Bramble", "start", "2027-06-20T03:00", "born_alive", "7", NULL);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-06-21", "many", "7", NULL); /* all of the next */
    assert_int_equal(s.outcome.n_flags, 0);
    REFUSED(&s, ST_BAD_INPUT, "many", "loss", "sow", "Bramble", "at", "2027-06-21", "many", "0", NULL);
    REFUSED(&s, ST_BAD_INPUT, "many", "loss", "sow", "Bramble", "at", "2027-06-21", NULL);
    scratch_close(&s);
}

/* Her litter may die after she has: that is no contradiction, in whichever order it is written down. */
static void orphans_are_lost_after_their_dam(void **state)
{
    struct scratch s;

    (void)state;
    open_litter(&s);
    RECORDED(&s, "leaving", "animal", "Bramble", "on", "2027-01-28", "how", "died", NULL);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-29", "many", "3", NULL);
    scratch_close(&s);
    open_litter(&s);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-29", "many", "3", NULL);
    RECORDED(&s, "leaving", "animal", "Bramble", "on", "2027-01-28", "how", "died", NULL);
    scratch_close(&s);
}

static void a_file_of_version_3_gets_its_losses(void **state)
{
    struct scratch s;
    struct farm_backup *backups = NULL;
    size_t n = 0;

    (void)state;
    open_litter(&s);
    assert_int_equal(sqlite3_exec(s.farm->db, "DROP TABLE loss; PRAGMA user_version = 3", NULL, NULL, NULL), SQLITE_OK);
    farm_close(s.farm);
    s.farm = NULL;
    if (farm_open(s.path, &s.farm, &s.why) != ST_OK)
        fail_msg("%s", s.why.text);
    assert_int_equal(farm_backups(s.path, NULL, &s.mem, &backups, &n, &s.why), ST_OK);
    assert_int_equal(n, 1); /* a copy from before */
    assert_int_equal(count_facts(&s, "farrowing", 0), 1);
    RECORDED(&s, "loss", "sow", "Bramble", "at", "2027-01-27", "many", "2", NULL);
    assert_int_equal(count_facts(&s, "loss", 0), 1);
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(losses_add_up_and_no_more_than_lived),
        cmocka_unit_test(a_weaning_counts_what_was_lost),
        cmocka_unit_test(a_corrected_loss_stands_alone),
        cmocka_unit_test(a_loss_belongs_to_the_litter_before_it),
        cmocka_unit_test(orphans_are_lost_after_their_dam),
        cmocka_unit_test(a_file_of_version_3_gets_its_losses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
