/* A fingerprint of a file's bytes, to know a recording again under another name.
 *
 * FNV-1a, 64 bits (G. Fowler, L. C. Noll, K.-P. Vo; IETF draft-eastlake-fnv): no protection
 * against forgery, only against oversight. */
#ifndef SPINWORTH_SHARED_CONTENT_H
#define SPINWORTH_SHARED_CONTENT_H

#include "shared/status.h"

#include <stddef.h>
#include <stdint.h>

enum { SW_CONTENT_ROOM = 17 };

static const uint64_t SW_FNV_START = 0xcbf29ce484222325U;

/* More bytes into a fingerprint, which begins with SW_FNV_START. */
uint64_t sw_fnv(uint64_t so_far, const void *bytes, size_t count);

/* Of a file, as 16 hexadecimal digits; "" where it can be read only once (a pipe). */
sw_status sw_content_of(const char *path, char out[SW_CONTENT_ROOM], sw_error *error);

#endif
