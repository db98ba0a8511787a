/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A breed that an animal can't have from its parents. Told only where no rule of grading up could have led there: both
 * parents recorded as one other breed, and nobody in the last generations of its own breed or of none that is known. */
#include "core/pedigree/given.h"

enum { BACK = 6 }; /* further back lies less than 1/64 from each ancestor; our choice */

static bool may_carry(const struct pedigree *p, uint32_t i, uint16_t breed, unsigned back)
{
    if (!i || p->breed[i] == PEDIGREE_NO_BREED || p->breed[i] == breed)
        return true;
    if (!p->sire[i] && !p->dam[i]) /* a founder, of another breed */
        return false;
    return back > 0 && (may_carry(p, p->sire[i], breed, back - 1) || may_carry(p, p->dam[i], breed, back - 1));
}

void check_breeds(const struct pedigree *p, struct findings_pot *pot)
{
    for (uint32_t i = 1; p->breed && i <= p->n; i++) {
        const uint16_t own = p->breed[i], of_sire = p->breed[p->sire[i]];
        if (!p->sire[i] || !p->dam[i] || own == PEDIGREE_NO_BREED || of_sire == PEDIGREE_NO_BREED || own == of_sire ||
            of_sire != p->breed[p->dam[i]] || may_carry(p, p->sire[i], own, BACK) || may_carry(p, p->dam[i], own, BACK))
            continue;
        tell(pot, PK_BREED, PEDIGREE_ODD, p->line[i], p->id[i],
             "%s is recorded as %s, but both its parents, %s and %s, are %s, and no ancestor known is %s. The breed or "
             "a "
             "parent is wrong.",
             p->id[i], p->breeds[own], p->id[p->sire[i]], p->id[p->dam[i]], p->breeds[of_sire], p->breeds[own]);
    }
}
