/* A ring between two threads, one that puts and one that takes, without locks: what a sound
 * card's callback may use. Elements are plain bytes of one size. */
#ifndef SPINWORTH_PROBES_CAPTURE_RING_H
#define SPINWORTH_PROBES_CAPTURE_RING_H

#include "shared/status.h"

#include <stddef.h>

typedef struct sw_ring sw_ring;

/* Room for at least `capacity` elements (rounded up to a power of two). */
sw_status sw_ring_new(size_t element_bytes, size_t capacity, sw_ring **ring, sw_error *error);
void sw_ring_free(sw_ring *ring);

/* The putting thread: how many of `count` elements there was room for. */
size_t sw_ring_put(sw_ring *ring, const void *elements, size_t count);
/* Elements there is room for now, or more. */
size_t sw_ring_room(const sw_ring *ring);

/* The taking thread: how many elements were taken, 0 when it is empty. */
size_t sw_ring_take(sw_ring *ring, void *elements, size_t room);
/* Elements that can be taken now. */
size_t sw_ring_filled(const sw_ring *ring);

#endif
