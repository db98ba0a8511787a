/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Questions with a text of their own. Each function draws from the answer tree alone.
 */
#ifndef DOORS_SHOW_OWN_H
#define DOORS_SHOW_OWN_H

#include "doors/show/show.h"

typedef void show_function(const struct answer *a, const struct show_how *how, struct text *out);

struct show_own {
    const char *question;
    show_function *show;
};
extern const struct show_own show_own[];   /* question NULL at the end */

show_function show_tonight, show_due, show_shelters, show_weather;

#endif
