/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/password.h"

#include <sodium.h>
#include <string.h>

enum { PASSES = 2, MEMORY_BYTES = 64 * 1024 * 1024 };
_Static_assert(PASSWORD_HASH == crypto_pwhash_argon2id_STRBYTES, "room for libsodium's text form");

/* Characters of UTF-8 text; 0 when it is none. Overlong forms and surrogates matter to nobody here: bytes are hashed. */
static size_t characters(const char *text)
{
    size_t n = 0;

    for (const unsigned char *s = (const unsigned char *)text; *s; n++) {
        const int more = *s < 0x80 ? 0 : *s >= 0xf0 && *s < 0xf8 ? 3 : *s >= 0xe0 ? 2 : *s >= 0xc2 ? 1 : -1;
        if (more < 0 || *s >= 0xf8)
            return 0;
        s++;
        for (int i = 0; i < more; i++, s++)
            if ((*s & 0xc0) != 0x80)
                return 0;
    }
    return n;
}

enum status password_fits(const char *text, struct message *why)
{
    if (strlen(text) > PASSWORD_MOST)
        return refuse(ST_BAD_INPUT, why, "password", "the password is longer than %d bytes; a sentence will do",
                      (int)PASSWORD_MOST);
    if (characters(text) < PASSWORD_LEAST)
        return refuse(ST_BAD_INPUT, why, "password",
                      "the password is too short; take at least %d characters, three or four words for example",
                      (int)PASSWORD_LEAST);
    if (strspn(text, (const char[]){ text[0], 0 }) == strlen(text))
        return refuse(ST_BAD_INPUT, why, "password",
                      "that is one character over and over; take three or four words for example");
    return ST_OK;
}

enum status password_hash(const char *text, char hash[static PASSWORD_HASH], struct message *why)
{
    if (sodium_init() < 0 || crypto_pwhash_argon2id_str(hash, text, strlen(text), PASSES, MEMORY_BYTES) != 0)
        return refuse(ST_NO_MEMORY, why, "", "there is not enough memory to hash a password (64 MB are needed)");
    return ST_OK;
}

bool password_right(const char *hash, const char *text)
{
    const size_t n = strlen(text);

    return n <= PASSWORD_MOST && sodium_init() >= 0 && crypto_pwhash_argon2id_str_verify(hash, text, n) == 0;
}

bool password_old_hash(const char *hash)
{
    return crypto_pwhash_argon2id_str_needs_rehash(hash, PASSES, MEMORY_BYTES) != 0;
}
