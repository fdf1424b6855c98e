/* Single producer, single consumer (Lamport 1983, "Specifying concurrent program modules").
 *
 * Two counters only ever grow: `put` belongs to the producer, `taken` to the consumer; their
 * difference is what the ring holds, and a counter modulo the capacity (a power of two, so that
 * wrapping of the counters does no harm) is the place. Each side reads its own counter relaxed,
 * the other's with acquire, and publishes its own with release: the producer's release makes the
 * bytes visible before the count, the consumer's release makes sure that they were copied out
 * before they are overwritten. The two counters stand in cache lines of their own, so that the
 * sides do not slow each other. No call waits or allocates. */
#include "probes/capture/ring.h"

#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

enum { CACHE_LINE = 64 };

struct sw_ring {
    unsigned char *bytes;
    size_t element_bytes;
    size_t capacity;
    char apart_from_rest[CACHE_LINE];
    atomic_size_t put;
    char apart_from_each_other[CACHE_LINE];
    atomic_size_t taken;
};

static size_t power_of_two(size_t least) {
    size_t capacity = 2;
    while (capacity < least)
        capacity *= 2;
    return capacity;
}

sw_status sw_ring_new(size_t element_bytes, size_t capacity, sw_ring **ring, sw_error *error) {
    sw_ring *fresh = calloc(1, sizeof *fresh);
    size_t rounded = power_of_two(capacity);
    unsigned char *bytes = calloc(rounded, element_bytes);
    if (fresh == NULL || bytes == NULL) {
        free(fresh);
        free(bytes);
        return sw_fail(error, SW_MEMORY, "not enough memory for %zu frames", rounded);
    }
    fresh->bytes = bytes;
    fresh->element_bytes = element_bytes;
    fresh->capacity = rounded;
    atomic_init(&fresh->put, 0);
    atomic_init(&fresh->taken, 0);
    *ring = fresh;
    return SW_OK;
}

void sw_ring_free(sw_ring *ring) {
    if (ring != NULL)
        free(ring->bytes);
    free(ring);
}

/* Elements from place `at` to the end of the memory, at most `count`. */
static size_t before_wrap(const sw_ring *ring, size_t at, size_t count) {
    size_t left = ring->capacity - at;
    return count < left ? count : left;
}

size_t sw_ring_room(const sw_ring *ring) {
    size_t put = atomic_load_explicit(&ring->put, memory_order_relaxed);
    return ring->capacity - (put - atomic_load_explicit(&ring->taken, memory_order_acquire));
}

size_t sw_ring_put(sw_ring *ring, const void *elements, size_t count) {
    size_t put = atomic_load_explicit(&ring->put, memory_order_relaxed);
    size_t room = sw_ring_room(ring);
    count = count < room ? count : room;
    size_t at = put & (ring->capacity - 1);
    size_t first = before_wrap(ring, at, count);
    size_t width = ring->element_bytes;
    memcpy(ring->bytes + at * width, elements, first * width);
    memcpy(ring->bytes, (const unsigned char *)elements + first * width, (count - first) * width);
    atomic_store_explicit(&ring->put, put + count, memory_order_release);
    return count;
}

size_t sw_ring_take(sw_ring *ring, void *elements, size_t room) {
    size_t taken = atomic_load_explicit(&ring->taken, memory_order_relaxed);
    size_t put = atomic_load_explicit(&ring->put, memory_order_acquire);
    size_t count = put - taken < room ? put - taken : room;
    size_t at = taken & (ring->capacity - 1);
    size_t first = before_wrap(ring, at, count);
    size_t width = ring->element_bytes;
    memcpy(elements, ring->bytes + at * width, first * width);
    memcpy((unsigned char *)elements + first * width, ring->bytes, (count - first) * width);
    atomic_store_explicit(&ring->taken, taken + count, memory_order_release);
    return count;
}

size_t sw_ring_filled(const sw_ring *ring) {
    size_t taken = atomic_load_explicit(&ring->taken, memory_order_relaxed);
    return atomic_load_explicit(&ring->put, memory_order_acquire) - taken;
}
