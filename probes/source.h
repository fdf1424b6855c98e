/* Where a probe's bytes come from: a file, or a pipe or standard input put into a temporary file,
 * so that every kind may read twice and seek. */
#ifndef SPINWORTH_PROBES_SOURCE_H
#define SPINWORTH_PROBES_SOURCE_H

#include "shared/status.h"

#include <stddef.h>
#include <stdint.h>

enum { SW_SOURCE_HEAD_BYTES = 65536 };

typedef struct sw_source sw_source;

/* Open path ("-" = standard input); SW_EMPTY when there is not one byte. The caller closes. */
sw_status sw_source_open(const char *path, sw_source **source, sw_error *error);
void sw_source_close(sw_source *source);

/* Name for messages: the path, or "standard input". */
const char *sw_source_name(const sw_source *source);
int64_t sw_source_size(const sw_source *source);

/* The first bytes, up to SW_SOURCE_HEAD_BYTES; owned by the source. */
const unsigned char *sw_source_head(const sw_source *source, size_t *length);

/* Seek to an offset from the start, 0 .. size; the position afterwards, -1 on failure. */
int64_t sw_source_seek(sw_source *source, int64_t offset);
int64_t sw_source_tell(const sw_source *source);

/* Bytes read, 0 at the end; sw_source_broken tells a disk fault from the end. */
size_t sw_source_read(sw_source *source, void *bytes, size_t count);
int sw_source_broken(const sw_source *source);

#endif
