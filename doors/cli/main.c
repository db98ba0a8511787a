/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/cli/cli.h"

int main(int argc, char **argv)
{
    return cli_run(argc, argv);
}
