/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <qrencode.h>

#include "doors/web/pair.h"

enum { QUIET = 4 }; /* modules of white around it: ISO/IEC 18004, 5.3.8 */

enum status square_svg(const char *text, struct text *svg, struct message *why)
{
    QRcode *code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);

    if (!code)
        return errno == ENOMEM ? refuse(ST_NO_MEMORY, why, "", "out of memory")
                               : refuse(ST_BAD_INPUT, why, "", "the address is too long for a square code");
    const int side = code->width + 2 * QUIET;
    text_print(svg,
               "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" role=\"img\" "
               "shape-rendering=\"crispEdges\"><title>Square code for the phone</title>"
               "<path fill=\"#fff\" d=\"M0 0h%dv%dh-%dz\"/><path fill=\"#000\" d=\"",
               side, side, side, side, side);
    for (int y = 0; y < code->width; y++)
        for (int x = 0, run = 0; x < code->width; x += run) { /* runs of black in a row */
            const unsigned char *row = code->data + y * code->width;
            for (run = 0; x + run < code->width && (row[x + run] & 1); run++)
                ;
            if (run)
                text_print(svg, "M%d %dh%dv1h-%dz", x + QUIET, y + QUIET, run, run);
            else
                run = 1;
        }
    text_add(svg, "\"/></svg>");
    QRcode_free(code);
    return text_full(svg) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : ST_OK;
}
