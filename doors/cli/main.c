/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>

int main(void)
{
    (void)puts("leenest");
    return 0;
}
