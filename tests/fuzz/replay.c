/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Replays kept cases through a fuzz target without libFuzzer: every file of every folder named. An empty or missing
 * folder is an error, so that a replay can't pass by having nothing to do.
 */
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static int replay(const char *path)
{
    FILE *f = fopen(path, "rb");
    if (!f)
        return -1;
    size_t size = 0, room = 1 << 16;
    uint8_t *data = malloc(room);
    for (size_t got; data && (got = fread(data + size, 1, room - size, f)) > 0;) {
        size += got;
        if (size == room) {
            uint8_t *more = realloc(data, room *= 2);
            if (!more)
                free(data);
            data = more;
        }
    }
    (void)fclose(f);
    if (!data)
        return -1;
    /* an exact copy, so that reading one byte past the end is seen by the sanitizer */
    uint8_t *exact = malloc(size ? size : 1);
    for (size_t i = 0; exact && i < size; i++)
        exact[i] = data[i];
    free(data);
    if (!exact)
        return -1;
    (void)LLVMFuzzerTestOneInput(exact, size);
    free(exact);
    return 0;
}

int main(int argc, char **argv)
{
    int n = 0, bad = 0;

    for (int i = 1; i < argc; i++) {
        DIR *dir = opendir(argv[i]);
        if (!dir) {
            (void)fprintf(stderr, "no folder %s\n", argv[i]);
            return 1;
        }
        for (struct dirent *e; (e = readdir(dir));) {
            char path[4096];
            if (e->d_name[0] == '.')
                continue;
            (void)snprintf(path, sizeof path, "%s/%s", argv[i], e->d_name);
            bad += replay(path) != 0;
            n++;
        }
        (void)closedir(dir);
    }
    (void)printf("%d cases replayed, %d could not be read\n", n, bad);
    return n == 0 || bad > 0;
}
