/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between certificate.c and certificate_make.c.
 */
#ifndef DOORS_WEB_CERTIFICATE_OWN_H
#define DOORS_WEB_CERTIFICATE_OWN_H

#include <gnutls/gnutls.h>
#include <gnutls/x509.h>

#include "doors/web/certificate.h"

struct certificate_plan {
    const char *called;
    gnutls_x509_privkey_t key;
    gnutls_x509_crt_t by; /* NULL: signs itself */
    gnutls_x509_privkey_t by_key;
    int64_t now_utc_s;
    int days;
};

/* All give GnuTLS's codes; below 0 is a failure, and what was begun is there to be deinited all the same. */
int certificate_key(gnutls_x509_privkey_t *key);
int certificate_authority(gnutls_x509_crt_t *crt, const struct certificate_plan *plan);
int certificate_server(gnutls_x509_crt_t *crt, const struct certificate_plan *plan, const struct reached *r);
enum status certificate_status(int code, const char *step, struct message *why);

#endif
