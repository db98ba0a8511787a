/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Has this very file been looked through before? A mark on the file itself says so: a copy made by hand is another file,
 * and may have torn while it was made. Where the disk keeps no marks nothing is known.
 */
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/xattr.h>
#include <unistd.h>

#include "farm/own.h"

static const char mark_name[] = "user.leenest.looked";
enum { MARK = 64 };

/* A copy that takes marks along is told by its number on the disk. */
static bool mark_of(const char *path, char mark[static MARK])
{
    struct stat is;

    if (stat(path, &is) != 0)
        return false;
    (void)snprintf(mark, MARK, "%llu:%llu", (unsigned long long)is.st_dev, (unsigned long long)is.st_ino);
    return true;
}

bool farm_is_new_here(const char *path)
{
    char mark[MARK], there[MARK] = "";

    if (!mark_of(path, mark) || access(path, W_OK) != 0)
        return false;
    const ssize_t n = getxattr(path, mark_name, there, sizeof there - 1);
    if (n < 0) /* none yet, or none are kept here: then none can be set */
        return setxattr(path, mark_name, "-", 1, XATTR_CREATE) == 0;
    there[n] = '\0';
    return strcmp(there, mark) != 0;
}

void farm_mark_looked(const char *path)
{
    char mark[MARK];

    if (mark_of(path, mark) && setxattr(path, mark_name, mark, strlen(mark), 0) != 0)
        return; /* it is looked through again next time */
}
