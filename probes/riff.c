/* Resource interchange file format: Microsoft and IBM, Multimedia Programming Interface and Data
 * Specifications 1.0 (1991): chunks of a four-letter name, a little-endian length, the content,
 * and a pad byte after an odd length. */
#include "probes/riff.h"

#include <string.h>

static uint32_t little_endian(const unsigned char *bytes, int count) {
    uint32_t value = 0;
    for (int i = count - 1; i >= 0; i--)
        value = value << 8 | bytes[i];
    return value;
}

static void note_format(sw_riff *riff, const unsigned char *content) {
    riff->found = true;
    riff->channels = (uint16_t)little_endian(content + 2, 2);
    riff->rate_hz = little_endian(content + 4, 4);
}

static void note_data(sw_riff *riff, const sw_source *source, size_t at, uint32_t size) {
    riff->data_found = true;
    riff->data_size_at = (int64_t)at + 4;
    riff->data_declared = size;
    riff->data_actual = sw_source_size(source) - (int64_t)at - 8;
}

sw_riff sw_riff_look(const sw_source *source) {
    sw_riff riff = {0};
    size_t length = 0;
    const unsigned char *head = sw_source_head(source, &length);
    if (length < 12 || memcmp(head, "RIFF", 4) != 0 || memcmp(head + 8, "WAVE", 4) != 0)
        return riff;
    for (size_t at = 12; at + 8 <= length && !riff.data_found;) {
        uint32_t size = little_endian(head + at + 4, 4);
        if (memcmp(head + at, "fmt ", 4) == 0 && size >= 16 && at + 24 <= length)
            note_format(&riff, head + at + 8);
        if (memcmp(head + at, "data", 4) == 0)
            note_data(&riff, source, at, size);
        if (size > length) /* beyond the head; where size_t is narrow the sum could wrap */
            break;
        at += 8 + (size_t)size + (size & 1U);
    }
    return riff;
}
