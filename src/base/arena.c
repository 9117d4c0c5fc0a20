// SPDX-License-Identifier: Apache-2.0
// Arena memory: a chain of blocks, freed together.
#include "base/base.h"

#include <stdalign.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#if defined(__SANITIZE_ADDRESS__)
#define ONE_BLOCK_EACH 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define ONE_BLOCK_EACH 1
#endif
#endif

// Blocks grow with the arena: most scratch arenas never need more than a few kilobytes, and every
// block is cleared.
enum { ALIGN = 16, LEAST_BLOCK = 4 * 1024, MOST_BLOCK = 64 * 1024 };

struct kw_arena_block {
    struct kw_arena_block *before;
    size_t used, size;
    alignas(ALIGN) unsigned char bytes[];
};

static void out_of_memory(void) {
    fputs("kitwright: out of memory\n", stderr);
    _Exit(70);
}

static struct kw_arena_block *add_block(struct kw_arena *a, size_t size) {
    struct kw_arena_block *b = calloc(1, sizeof *b + size);
    if (!b) out_of_memory();
    b->before = a->last;
    b->size = size;
    a->last = b;
    return b;
}

#ifndef ONE_BLOCK_EACH
static size_t block_size(const struct kw_arena *a) {
    if (a->total < LEAST_BLOCK) return LEAST_BLOCK;
    return a->total < MOST_BLOCK ? a->total : MOST_BLOCK;
}
#endif

void *kw_alloc(struct kw_arena *a, size_t size) {
    if (size > SIZE_MAX / 4) out_of_memory();
    a->total += size;
#ifdef ONE_BLOCK_EACH
    struct kw_arena_block *b = add_block(a, size);
    b->used = size;
    return b->bytes;
#else
    size_t need = (size + ALIGN - 1) / ALIGN * ALIGN;
    struct kw_arena_block *b = a->last;
    if (!b || b->size - b->used < need) {
        size_t block = block_size(a);
        b = add_block(a, need > block / 4 ? need : block);
        // A large piece gets a block of its own, behind the one in use, which stays open.
        if (need > block / 4 && b->before) {
            a->last = b->before;
            b->before = a->last->before;
            a->last->before = b;
        }
    }
    void *p = b->bytes + b->used;
    b->used += need;
    return p;
#endif
}

char *kw_copy_text(struct kw_arena *a, const char *s, size_t length) {
    char *copy = kw_alloc(a, length + 1);
    if (length > 0) memcpy(copy, s, length);
    return copy;
}

char *kw_format(struct kw_arena *a, const char *fmt, ...) {
    va_list args, again;
    va_start(args, fmt);
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, fmt, args);
    va_end(args);
    kw_assert(n >= 0);
    char *s = kw_alloc(a, (size_t)n + 1);
    vsnprintf(s, (size_t)n + 1, fmt, again);
    va_end(again);
    return s;
}

void kw_arena_free(struct kw_arena *a) {
    while (a->last) {
        struct kw_arena_block *before = a->last->before;
        free(a->last);
        a->last = before;
    }
    a->total = 0;
}

void kw_arena_take(struct kw_arena *into, struct kw_arena *from) {
    if (from->last) { // behind the block in use, which stays open
        struct kw_arena_block *oldest = from->last;
        while (oldest->before)
            oldest = oldest->before;
        oldest->before = into->last ? into->last->before : NULL;
        if (into->last)
            into->last->before = from->last;
        else
            into->last = from->last;
    }
    into->total += from->total;
    *from = (struct kw_arena){0};
}

static bool is_power_of_two(int n) {
    return n > 0 && (n & (n - 1)) == 0;
}

void *kw_grow(struct kw_arena *a, void *v, int count, size_t item) {
    // Full exactly when the count is a power of two (or nothing is there yet).
    if (count != 0 && !is_power_of_two(count)) return v;
    kw_assert(count < (1 << 29));
    void *more = kw_alloc(a, item * (size_t)(count == 0 ? 1 : 2 * count));
    if (count > 0) memcpy(more, v, item * (size_t)count);
    return more;
}
