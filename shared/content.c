#include "shared/content.h"

#include "shared/files.h"

#include <errno.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

enum { PIECE_BYTES = 65536 };

uint64_t sw_fnv(uint64_t so_far, const void *bytes, size_t count) {
    static const uint64_t PRIME = 0x100000001b3U;
    const unsigned char *byte = bytes;
    for (size_t i = 0; i < count; i++)
        so_far = (so_far ^ byte[i]) * PRIME;
    return so_far;
}

sw_status sw_content_of(const char *path, char out[SW_CONTENT_ROOM], sw_error *error) {
    unsigned char piece[PIECE_BYTES];
    uint64_t fingerprint = SW_FNV_START;
    out[0] = '\0';
    if (!sw_file_is_plain(path))
        return SW_OK;
    FILE *stream = fopen(path, "rb");
    if (stream == NULL)
        return sw_fail(error, SW_NOT_READABLE, "%s: cannot be read: %s", path, strerror(errno));
    for (size_t count; (count = fread(piece, 1, sizeof piece, stream)) > 0;)
        fingerprint = sw_fnv(fingerprint, piece, count);
    int failed = ferror(stream);
    (void)fclose(stream);
    if (failed)
        return sw_fail(error, SW_NOT_READABLE, "%s: cannot be read to its end", path);
    (void)snprintf(out, SW_CONTENT_ROOM, "%016" PRIx64, fingerprint);
    return SW_OK;
}
