/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Making certificates. GnuTLS's codes become one of ours here: what fails in making a certificate is memory or the
 * machine's randomness, neither of which the user can put right.
 */
#include <arpa/inet.h>
#include <gnutls/abstract.h>
#include <gnutls/crypto.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "doors/web/certificate_own.h"

enum { BEFORE_S = 86400 }; /* a phone's clock may be behind */

static const char *const may_names[] = { "home.arpa", "localhost" };
static const char *const may_addresses[] = { "10.0.0.0/8",     "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8",
                                             "169.254.0.0/16", "fc00::/7",      "::1/128" };

enum status certificate_status(int code, const char *step, struct message *why)
{
    return code >= 0 ? ST_OK
                     : refuse(code == GNUTLS_E_MEMORY_ERROR ? ST_NO_MEMORY : ST_IO, why, "",
                              "the farm's certificate could not be made (%s): %s", step, gnutls_strerror(code));
}

int certificate_key(gnutls_x509_privkey_t *key)
{
    int rc = gnutls_x509_privkey_init(key);

    return rc < 0 ? rc
                  : gnutls_x509_privkey_generate(*key, GNUTLS_PK_ECDSA,
                                                 GNUTLS_CURVE_TO_BITS(GNUTLS_ECC_CURVE_SECP256R1), 0);
}

static int may_only(gnutls_x509_crt_t crt)
{
    gnutls_x509_name_constraints_t nc;
    int rc = gnutls_x509_name_constraints_init(&nc);

    if (rc < 0)
        return rc;
    for (size_t i = 0; i < COUNT(may_names) && rc >= 0; i++) {
        unsigned char name[16];
        const size_t n = strlen(may_names[i]);
        memcpy(name, may_names[i], n);
        const gnutls_datum_t datum = { name, (unsigned)n };
        rc = gnutls_x509_name_constraints_add_permitted(nc, GNUTLS_SAN_DNSNAME, &datum);
    }
    for (size_t i = 0; i < COUNT(may_addresses) && rc >= 0; i++) {
        gnutls_datum_t datum = { NULL, 0 };
        rc = gnutls_x509_cidr_to_rfc5280(may_addresses[i], &datum);
        if (rc >= 0)
            rc = gnutls_x509_name_constraints_add_permitted(nc, GNUTLS_SAN_IPADDRESS, &datum);
        gnutls_free(datum.data);
    }
    if (rc >= 0)
        rc = gnutls_x509_crt_set_name_constraints(crt, nc, 1);
    gnutls_x509_name_constraints_deinit(nc);
    return rc;
}

/* What all have: version, a random serial number, times, a name, a key. */
static int begin(gnutls_x509_crt_t *crt, const struct certificate_plan *plan)
{
    unsigned char serial[16] = { 0 }, id[20];
    size_t n = sizeof id;

    int rc = gnutls_x509_crt_init(crt);
    if (rc >= 0)
        rc = gnutls_rnd(GNUTLS_RND_NONCE, serial, sizeof serial);
    serial[0] = (unsigned char)((serial[0] & 0x3f) | 0x40); /* positive, and as long as the others */
    if (rc >= 0)
        rc = gnutls_x509_crt_set_version(*crt, 3);
    if (rc >= 0)
        rc = gnutls_x509_crt_set_serial(*crt, serial, sizeof serial);
    if (rc >= 0)
        rc = gnutls_x509_crt_set_activation_time(*crt, (time_t)(plan->now_utc_s - BEFORE_S));
    if (rc >= 0)
        rc = gnutls_x509_crt_set_expiration_time(*crt, (time_t)(plan->now_utc_s - BEFORE_S + plan->days * DAY_S));
    if (rc >= 0)
        rc = gnutls_x509_crt_set_dn_by_oid(*crt, GNUTLS_OID_X520_COMMON_NAME, 0, plan->called,
                                           (unsigned)strlen(plan->called));
    if (rc >= 0)
        rc = gnutls_x509_crt_set_key(*crt, plan->key);
    if (rc >= 0)
        rc = gnutls_x509_crt_get_key_id(*crt, GNUTLS_KEYID_USE_SHA1, id, &n); /* RFC 5280, 4.2.1.2, method 1 */
    return rc >= 0 ? gnutls_x509_crt_set_subject_key_id(*crt, id, n) : rc;
}

static int end(gnutls_x509_crt_t crt, const struct certificate_plan *plan)
{
    unsigned char id[20];
    size_t n = sizeof id;
    gnutls_x509_crt_t by = plan->by ? plan->by : crt;

    int rc = gnutls_x509_crt_get_key_id(by, GNUTLS_KEYID_USE_SHA1, id, &n);
    if (rc >= 0)
        rc = gnutls_x509_crt_set_authority_key_id(crt, id, n);
    return rc >= 0 ? gnutls_x509_crt_sign2(crt, by, plan->by ? plan->by_key : plan->key, GNUTLS_DIG_SHA256, 0) : rc;
}

/* An authority: its own (by NULL), or one under another, which may then sign servers alone. */
int certificate_authority(gnutls_x509_crt_t *crt, const struct certificate_plan *plan)
{
    int rc = begin(crt, plan);

    if (rc >= 0)
        rc = gnutls_x509_crt_set_basic_constraints(*crt, 1, plan->by ? 0 : 1);
    if (rc >= 0)
        rc = gnutls_x509_crt_set_key_usage(*crt, GNUTLS_KEY_KEY_CERT_SIGN);
    if (rc >= 0)
        rc = gnutls_x509_crt_set_key_purpose_oid(*crt, GNUTLS_KP_TLS_WWW_SERVER, 0);
    if (rc >= 0)
        rc = may_only(*crt);
    return rc >= 0 ? end(*crt, plan) : rc;
}

int certificate_server(gnutls_x509_crt_t *crt, const struct certificate_plan *plan, const struct reached *r)
{
    int rc = begin(crt, plan);

    if (rc >= 0)
        rc = gnutls_x509_crt_set_basic_constraints(*crt, 0, -1);
    if (rc >= 0)
        rc = gnutls_x509_crt_set_key_usage(*crt, GNUTLS_KEY_DIGITAL_SIGNATURE);
    if (rc >= 0)
        rc = gnutls_x509_crt_set_key_purpose_oid(*crt, GNUTLS_KP_TLS_WWW_SERVER, 0);
    for (size_t i = 0; i < r->n_names && rc >= 0; i++)
        rc = gnutls_x509_crt_set_subject_alt_name(*crt, GNUTLS_SAN_DNSNAME, r->name[i], (unsigned)strlen(r->name[i]),
                                                  GNUTLS_FSAN_APPEND);
    for (size_t i = 0; i < r->n_addresses && rc >= 0; i++) {
        unsigned char bytes[16];
        const bool v4 = inet_pton(AF_INET, r->address[i], bytes) == 1;
        if (!v4 && inet_pton(AF_INET6, r->address[i], bytes) != 1)
            return GNUTLS_E_INVALID_REQUEST;
        rc = gnutls_x509_crt_set_subject_alt_name(*crt, GNUTLS_SAN_IPADDRESS, bytes, v4 ? 4 : 16, GNUTLS_FSAN_APPEND);
    }
    return rc >= 0 ? end(*crt, plan) : rc;
}
