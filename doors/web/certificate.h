/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The farm's own certificates, in a folder beside the farm file (mode 0700, its files 0600):
 *
 *   authority.crt  the farm's authority: what a phone is told to trust. Its key signed one certificate, the issuer's,
 *                  and was thrown away; nobody has it, not even the farm
 *   issuer.pem     key and certificate of the issuer, which signs the server's certificate anew when an address changes
 *   server.pem     key, certificate and issuer's certificate of the server: P-256, 397 days
 *
 * Authority and issuer may speak for home.arpa, localhost and private addresses only (RFC 5280, 4.2.1.10), and for web
 * servers only. Some programs do not look at such limits in the certificate a person trusts by hand, but all must look
 * at them in one below it; therefore the issuer. docs/decisions/0005-the-door.md
 */
#ifndef DOORS_WEB_CERTIFICATE_H
#define DOORS_WEB_CERTIFICATE_H

#include <stdbool.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "doors/web/reached.h"

enum { CERTIFICATE_DAYS = 397, CERTIFICATE_RENEW_DAYS = 30, AUTHORITY_DAYS = 3650 };

struct certificate {
    const char *key;         /* PEM, of the server */
    const char *chain;       /* PEM: the server's certificate, then the issuer's */
    const char *authority;   /* PEM, for phones */
    const char *fingerprint; /* SHA-256 of the authority: "3F:2A:..." */
    int64_t ends_utc_s;      /* of the server's */
    bool made, remade;       /* new authority; new certificate of the server under the old authority */
    bool addresses_changed;  /* why it was remade */
};

/* "<farm file>.door" */
const char *certificate_folder(const char *farm_path, struct arena *mem);

/* Read them, or make what is not there, no longer good, or of other names and addresses than `r`.
 * Fails     ST_IO the folder or a file in it; the sentence says which */
enum status certificate_ready(const char *folder, const struct reached *r, int64_t now_utc_s, struct arena *mem,
                              struct certificate *c, struct message *why) MUST_USE;

struct certificate_state { /* for looking the door over */
    bool there;            /* there is a folder at all */
    bool broken;           /* something in it cannot be read or does not belong together */
    const char *open_file; /* one that others may read; NULL */
    int64_t ends_utc_s, authority_ends_utc_s;
};
enum status certificate_look(const char *folder, struct arena *mem, struct certificate_state *s,
                             struct message *why) MUST_USE;

/* Write a small file whole: a temporary name in the same folder, fsync, rename, fsync of the folder; mode 0600. */
enum status file_put(const char *folder, const char *name, const char *bytes, size_t n, struct message *why) MUST_USE;

#endif
