/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The page in the machine's own browser, where there is one. The start key does not stand on the browser's command
 * line, where every user of the machine could read it: it stands in a small file that only this user may read, and that
 * sends the browser on.
 */
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/stat.h>
#include <unistd.h>

#include "doors/web/server.h"

extern char **environ;

static bool is_set(const char *name)
{
    const char *value = getenv(name);
    return value && *value;
}

static bool open_browser(char *file)
{
    char opener[] = "xdg-open";
    char *words[] = { opener, file, NULL };
    posix_spawnattr_t how;
    sigset_t none;
    pid_t pid = 0;

    (void)sigemptyset(&none);
    if (posix_spawnattr_init(&how) != 0)
        return false;
    const bool done = posix_spawnattr_setsigmask(&how, &none) == 0 &&
                      posix_spawnattr_setflags(&how, POSIX_SPAWN_SETSIGMASK) == 0 &&
                      posix_spawnp(&pid, opener, NULL, &how, words, environ) == 0;
    (void)posix_spawnattr_destroy(&how);
    (void)signal(SIGCHLD, SIG_IGN); /* nobody waits for it */
    return done;
}

void show_page(struct web *web)
{
    const char *run = getenv("XDG_RUNTIME_DIR"), *home = getenv("HOME"), *key = door_key(web->door);

    if (!is_set("DISPLAY") && !is_set("WAYLAND_DISPLAY"))
        return;
    const int n = snprintf(web->small_file, sizeof web->small_file, "%s/leenest-%ld.html",
                           run && *run     ? run
                           : home && *home ? home
                                           : "/tmp",
                           (long)getpid());
    const int fd = n > 0 && (size_t)n < sizeof web->small_file
                       ? open(web->small_file, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600)
                       : -1;
    FILE *f = fd >= 0 ? fdopen(fd, "w") : NULL;
    if (!f) {
        if (fd >= 0)
            (void)close(fd);
        *web->small_file = '\0';
        server_log("no browser was opened; open the address yourself");
        return;
    }
    (void)fprintf(f,
                  "<!doctype html><meta charset=utf-8><title>leenest</title>"
                  "<meta http-equiv=refresh content=\"0;url=http://127.0.0.1:%d/#key=%s\">"
                  "<p><a href=\"http://127.0.0.1:%d/#key=%s\">Open the farm's page</a>\n",
                  web->port, key, web->port, key);
    if (fclose(f) != 0 || !open_browser(web->small_file))
        server_log("no browser was opened; open the address yourself");
}

void show_page_over(struct web *web)
{
    if (*web->small_file)
        (void)unlink(web->small_file);
    *web->small_file = '\0';
}
