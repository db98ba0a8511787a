/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The answering thread's own handle on the farm file. Its first opening leaves the pages for later, so that the first
 * questions do not wait for them.
 */
#include <sys/stat.h>

#include "doors/web/server.h"

static void take_first(struct web *web)
{
    if (!web->farm)
        web->farm = work_take_first(&web->work, &web->file.device, &web->file.inode);
}

enum status serve_farm(struct web *web, struct farm **farm, struct message *why)
{
    const struct farm_how how = { .busy_ms = SERVE_BUSY_MS, .pages_later = web->look_owed, .one_of_many = true };
    struct stat is;

    take_first(web);
    const bool there = stat(web->how->farm_path, &is) == 0;

    if (web->farm && (!there || web->file.device != is.st_dev || web->file.inode != is.st_ino)) {
        farm_close(web->farm); /* put back, moved or taken away by another program */
        web->farm = NULL;
        web->generation++;
    }
    enum status st = ST_OK;
    if (!web->farm && there) {
        st = farm_open_how(web->how->farm_path, &how, &web->farm, why);
        web->file.device = is.st_dev;
        web->file.inode = is.st_ino;
    }
    web->file.changed_ns = there ? (int64_t)is.st_mtim.tv_sec * 1000000000 + is.st_mtim.tv_nsec : 0;
    *farm = web->farm;
    return st;
}

void serve_look(struct web *web)
{
    struct message why = { "", "" };

    if (!web->look_owed)
        return;
    take_first(web);
    web->look_owed = false; /* without a handle: then with the next opening */
    if (web->farm && farm_look(web->farm, &why) != ST_OK) {
        server_log("the farm file could not be looked through, or is damaged");
        farm_close(web->farm); /* opened anew with the next request, which is told so if it is still so */
        web->farm = NULL;
        web->generation++;
    }
    web->heap_used = true;
    const struct own_write before = serve_own_write(web);
    door_may_write(web->door, web->farm, (int64_t)time(NULL));
    serve_own_written(web, &before);
}
