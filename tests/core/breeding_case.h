/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Random evidence of one sow, for the properties of core/breeding.
 */
#ifndef TESTS_CORE_BREEDING_CASE_H
#define TESTS_CORE_BREEDING_CASE_H

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/breeding/breeding.h"
#include "tests/prop.h"

#define DAYS(d) ((int64_t)llround((d)*86400.0))

static const int64_t day_0 = INT64_C(20089) * 86400 + 43200; /* 2025-01-01T12:00Z */

struct sow_case {
    struct breeding_rules rules;
    struct breeding_evidence e;
    struct breeding_service services[6];
    struct breeding_run runs[3];
    struct breeding_scan scans[3];
    struct breeding_return_look return_looks[2];
    int64_t heats[3];
    struct breeding_look looks[24];
    double past[4];
    int64_t at_utc_s;
    struct arena mem;
    struct breeding_prior prior;
    struct breeding_posterior post;
};

static inline size_t case_below(struct dice *p, size_t n)
{
    return (size_t)(prop_bits(p) % n);
}

static inline void case_wire(struct sow_case *c) /* after a copy */
{
    c->e.services = c->services;
    c->e.runs = c->runs;
    c->e.scans = c->scans;
    c->e.return_looks = c->return_looks;
    c->e.heats_utc_s = c->heats;
    c->e.looks = c->looks;
    c->e.past_gestation_d = c->past;
}

static inline void case_open(struct sow_case *c)
{
    memset(c, 0, sizeof *c);
    arena_open(&c->mem, (size_t)256 << 20);
    c->rules = breeding_rules_default();
    c->e = breeding_evidence_none();
    case_wire(c);
}

static inline void case_close(struct sow_case *c)
{
    arena_close(&c->mem);
}

static inline struct breeding_look case_look(struct dice *p, int64_t before_utc_s)
{
    struct breeding_look l = { .sign = (enum breeding_sign)case_below(p, BS_END), .present = case_below(p, 2) == 1 };

    l.at_utc_s = before_utc_s - DAYS(prop_between(p, 0.0, case_below(p, 3) ? 1.0 : 6.0));
    if (case_below(p, 4) == 0)
        l.flags = (unsigned)case_below(p, 64);
    return l;
}

/* A sow near her time, or anywhere else; served by hand, by a run, or both. */
static inline void case_fill(struct sow_case *c, struct dice *p)
{
    const bool run = case_below(p, 2) == 1;

    case_open(c);
    c->e.n_services = run ? case_below(p, 3) : 1 + case_below(p, 4);
    for (size_t i = 0; i < c->e.n_services; i++)
        c->services[i] = (struct breeding_service){ day_0 + DAYS(prop_between(p, 0.0, case_below(p, 2) ? 3.0 : 45.0)),
                                                    case_below(p, 2) ? (double)NAN : prop_between(p, 0.0, 2.0),
                                                    (int)case_below(p, 4) - 1, case_below(p, 2) == 1 };
    c->e.n_runs = run ? 1 + case_below(p, 2) : 0;
    for (size_t i = 0; i < c->e.n_runs; i++) {
        const double from = prop_between(p, -10.0, 30.0);
        c->runs[i] = (struct breeding_run){ day_0 + DAYS(from), day_0 + DAYS(from + prop_between(p, 1.0, 60.0)),
                                            (int)case_below(p, 3) };
    }
    c->e.state = (enum breeding_state)case_below(p, 5);
    c->e.weaned_utc_s = day_0 - DAYS(prop_between(p, -10.0, 20.0));
    c->e.farrowed_utc_s = c->e.weaned_utc_s - DAYS(prop_between(p, 20.0, 60.0));
    c->e.n_heats = case_below(p, 4) == 0 ? 1 + case_below(p, 2) : 0;
    for (size_t i = 0; i < c->e.n_heats; i++)
        c->heats[i] = day_0 + DAYS(prop_between(p, -25.0, 60.0));
    c->e.n_scans = case_below(p, 3) == 0 ? 1 + case_below(p, 2) : 0;
    for (size_t i = 0; i < c->e.n_scans; i++)
        c->scans[i] = (struct breeding_scan){ day_0 + DAYS(prop_between(p, 10.0, 80.0)), case_below(p, 3) != 0 };
    c->e.n_return_looks = case_below(p, 4) == 0;
    c->return_looks[0] = (struct breeding_return_look){ day_0 + DAYS(17.0), day_0 + DAYS(prop_between(p, 18.0, 30.0)) };
    c->e.n_past = case_below(p, 4);
    for (size_t i = 0; i < c->e.n_past; i++)
        c->past[i] = prop_between(p, 104.0, 122.0);
    c->e.parity = (int)case_below(p, 9) - 1;
    c->at_utc_s = day_0 + DAYS(prop_between(p, case_below(p, 3) ? 108.0 : 60.0, case_below(p, 3) ? 122.0 : 170.0));
    c->e.n_looks = case_below(p, 10);
    for (size_t i = 0; i < c->e.n_looks; i++)
        c->looks[i] = case_look(p, c->at_utc_s);
    if (case_below(p, 4) == 0)
        c->rules.value[BR_CLOCK] = 0.0;
    if (case_below(p, 4) == 0)
        c->rules.value[BR_TAIL] = 0.0;
}

static inline enum status case_reckon(struct sow_case *c, enum breeding_from how, struct message *why)
{
    enum status st = breeding_prior(&c->rules, &c->e, &c->mem, &c->prior, why);

    if (st == ST_OK)
        st = breeding_posterior(&c->rules, &c->e, &c->prior, c->at_utc_s, how, &c->mem, &c->post, why);
    return st;
}

#endif
