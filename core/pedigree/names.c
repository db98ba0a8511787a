/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/pedigree/names.h"

#include <string.h>

/* Up to 11 bytes in full with their length; longer ones by 88 bits of hash, and their text is compared. */
struct names_slot {
    uint64_t low;
    uint32_t high;   /* 3 bytes and the length; LONG: a hash */
    uint32_t number; /* 0 = free */
};
enum { INLINE = 11 };
static const uint32_t LONG = 0xffu << 24;

struct key {
    uint64_t low, hash;
    uint32_t high;
};

static uint64_t mix(uint64_t x)
{
    x ^= x >> 32;
    x *= UINT64_C(0xd6e8feb86659fd93);
    x ^= x >> 32;
    x *= UINT64_C(0xd6e8feb86659fd93);
    return x ^ x >> 32;
}

/* Parts that overlap: with the length they give every byte back. */
static void short_key(struct key *k, const unsigned char *s, uint32_t n)
{
    uint32_t a, b;

    k->high = n << 24;
    if (n >= 8) {
        memcpy(&k->low, s, 8);
        k->high |= (uint32_t)s[n - 3] | (uint32_t)s[n - 2] << 8 | (uint32_t)s[n - 1] << 16;
    } else if (n >= 4) {
        memcpy(&a, s, 4);
        memcpy(&b, s + n - 4, 4);
        k->low = a | (uint64_t)b << 32;
    } else if (n) {
        k->low = (uint64_t)s[0] | (uint64_t)s[n / 2] << 8 | (uint64_t)s[n - 1] << 16;
    }
}

static struct key key_of(struct piece p)
{
    struct key k = { .low = 0 };

    if (p.n <= INLINE) {
        short_key(&k, (const unsigned char *)p.at, p.n);
    } else {
        uint64_t h = p.n, word;
        uint32_t at = 0;
        for (; at + 8 <= p.n; at += 8) {
            memcpy(&word, p.at + at, 8);
            h = mix(h ^ word) * UINT64_C(0x9e3779b97f4a7c15);
        }
        memcpy(&word, p.at + p.n - 8, 8);
        h = mix(h ^ word);
        k.low = h;
        k.high = LONG | (uint32_t)(mix(h + 1) >> 40);
    }
    k.hash = mix(k.low ^ (uint64_t)k.high * UINT64_C(0x9e3779b97f4a7c15));
    return k;
}

bool names_open(struct names *t, size_t expect)
{
    uint64_t slots = 64;

    *t = (struct names){ .n = 0 };
    arena_open(&t->mem, SIZE_MAX);
    while (slots < expect + expect / 3) /* at most three in four are taken */
        slots *= 2;
    t->mask = slots - 1;
    t->room = (uint32_t)(expect < 64 ? 64 : expect);
    t->slot = ARENA_NEW(&t->mem, struct names_slot, slots);
    t->text = ARENA_NEW(&t->mem, struct piece, (size_t)t->room + 1);
    return t->slot && t->text;
}

void names_close(struct names *t)
{
    arena_close(&t->mem);
}

static bool grow(struct names *t)
{
    struct names old = *t;

    if (old.room >= UINT32_MAX / 4)
        return false;
    if (!names_open(t, (size_t)old.room * 2)) {
        names_close(&old);
        return false;
    }
    memcpy(t->text, old.text, ((size_t)old.n + 1) * sizeof *t->text);
    t->n = old.n;
    for (uint64_t i = 0; i <= old.mask; i++)
        if (old.slot[i].number) {
            const struct names_slot *s = &old.slot[i];
            uint64_t at = mix(s->low ^ (uint64_t)s->high * UINT64_C(0x9e3779b97f4a7c15)) & t->mask;
            while (t->slot[at].number)
                at = (at + 1) & t->mask;
            t->slot[at] = *s;
        }
    names_close(&old);
    return true;
}

static bool same(const struct names *t, const struct names_slot *s, const struct key *k, struct piece p)
{
    if (s->low != k->low || s->high != k->high)
        return false;
    if (p.n <= INLINE)
        return true;
    const struct piece q = t->text[s->number];
    return q.n == p.n && memcmp(q.at, p.at, p.n) == 0;
}

bool names_add(struct names *t, size_t n, const struct piece piece[], uint32_t number[])
{
    struct key key[NAMES_BATCH];

    while (t->room - t->n < n)
        if (!grow(t))
            return false;
    for (size_t i = 0; i < n; i++)
        if (piece[i].n) {
            key[i] = key_of(piece[i]);
            __builtin_prefetch(&t->slot[key[i].hash & t->mask]);
        }
    for (size_t i = 0; i < n; i++) {
        number[i] = 0;
        if (!piece[i].n)
            continue;
        uint64_t at = key[i].hash & t->mask;
        while (t->slot[at].number && !same(t, &t->slot[at], &key[i], piece[i]))
            at = (at + 1) & t->mask;
        if (!t->slot[at].number) {
            t->slot[at] = (struct names_slot){ key[i].low, key[i].high, ++t->n };
            t->text[t->n] = piece[i];
        }
        number[i] = t->slot[at].number;
    }
    return true;
}

uint32_t names_find(const struct names *t, struct piece piece)
{
    if (!piece.n || !t->slot)
        return 0;
    const struct key key = key_of(piece);
    uint64_t at = key.hash & t->mask;
    while (t->slot[at].number && !same(t, &t->slot[at], &key, piece))
        at = (at + 1) & t->mask;
    return t->slot[at].number;
}
