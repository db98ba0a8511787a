/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Build step: one CSV file (RFC 4180, UTF-8, header first) -> one C file with a const table.
 * Usage: table_to_c NAME IN.csv OUT.c
 */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One field from f into out as a C string literal. Returns what ended it: ',', '\n' or EOF; -2 on a bad quote. */
static int field(FILE *f, FILE *out, bool *empty)
{
    int c = fgetc(f);
    const bool quoted = c == '"';

    *empty = true;
    (void)fputc('"', out);
    if (quoted)
        c = fgetc(f);
    for (;; c = fgetc(f)) {
        if (c == EOF && quoted)
            return -2;
        if (quoted && c == '"') {
            c = fgetc(f);
            if (c != '"')
                break;
        } else if (!quoted && (c == ',' || c == '\n' || c == '\r' || c == EOF)) {
            break;
        }
        *empty = false;
        if (c == '"' || c == '\\')
            (void)fprintf(out, "\\%c", c);
        else if (c < 0x20 || c >= 0x7f || c == '?')
            (void)fprintf(out, "\\%03o", (unsigned)c & 0xffU);
        else
            (void)fputc(c, out);
    }
    (void)fputc('"', out);
    if (c == '\r')
        c = fgetc(f);
    return c == ',' || c == '\n' || c == EOF ? c : -2;
}

int main(int argc, char **argv)
{
    if (argc != 4)
        return 2;
    FILE *in = fopen(argv[2], "rb"), *out = fopen(argv[3], "wb");
    size_t columns = 0, rows = 0, line = 1, n = 0;
    bool empty = false;
    int end = '\n';

    if (!in || !out) {
        (void)fprintf(stderr, "table_to_c: cannot open %s or %s\n", argv[2], argv[3]);
        return 1;
    }
    (void)fprintf(out, "/* Made from data/%s.csv by data/table_to_c.c. */\n#include \"data/table.h\"\n\n", argv[1]);
    (void)fprintf(out, "static const char *const columns[] = { ");
    do {
        end = field(in, out, &empty);
        (void)fputs(", ", out);
        columns++;
    } while (end == ',');
    (void)fprintf(out, "};\nstatic const char *const cells[] = {\n");
    while (end == '\n') {
        const int first = fgetc(in);
        if (first == EOF)
            break;
        (void)ungetc(first, in);
        line++;
        for (n = 0, end = ','; end == ','; n++) {
            end = field(in, out, &empty);
            (void)fputs(", ", out);
        }
        (void)fputc('\n', out);
        if (end == -2 || n != columns) {
            (void)fprintf(stderr, "%s, line %zu: %zu fields, the header has %zu\n", argv[2], line, n, columns);
            return 1;
        }
        rows++;
    }
    (void)fprintf(out,
                  "    0 };\nextern const struct table %s_table;\nconst struct table %s_table = { \"%s\", %zu, %zu, "
                  "columns, cells };\n",
                  argv[1], argv[1], argv[1], columns, rows);
    return fclose(in) || fclose(out) ? 1 : 0;
}
