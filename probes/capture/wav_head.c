/* Layout: RIFF (or RF64), JUNK (or ds64), fmt, LIST with the comment, data.
 *
 * RIFF's lengths have 32 bits. EBU Tech 3306 (2009), "MBWF / RF64: an extended file format for
 * audio": keep room for a ds64 chunk from the start, under the name JUNK, which readers skip; when
 * the file outgrows 4 GiB, write the 64-bit lengths there, rename JUNK to ds64 and RIFF to RF64,
 * and set the 32-bit lengths to all ones. Only bytes in the head change, so that it can be
 * brought up to date while the file grows. */
#include "probes/capture/wav_head.h"

#include <string.h>

enum { DS64_BYTES = 28, FMT_BYTES = 16, COMMENT_LIMIT = 380, PCM = 1 };

typedef struct pen {
    unsigned char *at;
} pen;

static void put_name(pen *to, const char *name) {
    memcpy(to->at, name, 4);
    to->at += 4;
}

static void put_number(pen *to, uint64_t value, int bytes) {
    for (int i = 0; i < bytes; i++)
        *to->at++ = (unsigned char)(value >> (8 * i));
}

static void put_sizes(pen *to, uint64_t file_bytes, uint64_t data_bytes, uint64_t frames) {
    put_number(to, DS64_BYTES, 4);
    put_number(to, file_bytes, 8);
    put_number(to, data_bytes, 8);
    put_number(to, frames, 8);
    put_number(to, 0, 4); /* no table of further chunks */
}

static void put_format(pen *to, const sw_wav_form *form) {
    uint32_t frame_bytes = SW_WAV_SAMPLE_BYTES * (uint32_t)form->channels;
    put_name(to, "fmt ");
    put_number(to, FMT_BYTES, 4);
    put_number(to, PCM, 2);
    put_number(to, form->channels, 2);
    put_number(to, form->rate_hz, 4);
    put_number(to, (uint64_t)form->rate_hz * frame_bytes, 4);
    put_number(to, frame_bytes, 2);
    put_number(to, 8 * SW_WAV_SAMPLE_BYTES, 2);
}

/* With its NUL and made even. */
static size_t comment_bytes(const sw_wav_form *form) {
    size_t length = form->comment != NULL ? strlen(form->comment) : 0;
    length = length < COMMENT_LIMIT ? length : COMMENT_LIMIT;
    return length == 0 ? 0 : (length + 2) / 2 * 2;
}

static void put_comment(pen *to, const sw_wav_form *form) {
    size_t room = comment_bytes(form);
    if (room == 0)
        return;
    put_name(to, "LIST");
    put_number(to, room + 12, 4);
    put_name(to, "INFO");
    put_name(to, "ICMT");
    put_number(to, room, 4);
    size_t length = strlen(form->comment);
    memset(to->at, 0, room);
    memcpy(to->at, form->comment, length < room ? length : room - 1);
    to->at += room;
}

size_t sw_wav_head(const sw_wav_form *form, uint64_t data_bytes, unsigned char *out) {
    size_t comment = comment_bytes(form);
    size_t length = 12 + 8 + DS64_BYTES + 8 + FMT_BYTES + (comment > 0 ? comment + 20 : 0) + 8;
    uint64_t file_bytes = length - 8 + data_bytes + (data_bytes & 1);
    int large = file_bytes > UINT32_MAX;
    uint64_t frames = data_bytes / SW_WAV_SAMPLE_BYTES / form->channels;
    pen to = {out};
    put_name(&to, large ? "RF64" : "RIFF");
    put_number(&to, large ? UINT32_MAX : file_bytes, 4);
    put_name(&to, "WAVE");
    put_name(&to, large ? "ds64" : "JUNK");
    if (large)
        put_sizes(&to, file_bytes, data_bytes, frames);
    else {
        put_number(&to, DS64_BYTES, 4);
        memset(to.at, 0, DS64_BYTES);
        to.at += DS64_BYTES;
    }
    put_format(&to, form);
    put_comment(&to, form);
    put_name(&to, "data");
    put_number(&to, large ? UINT32_MAX : data_bytes, 4);
    return length;
}

void sw_wav_samples(const int32_t *samples, size_t count, unsigned char *out) {
    for (size_t i = 0; i < count; i++) {
        uint32_t bits = (uint32_t)samples[i];
        *out++ = (unsigned char)(bits >> 8);
        *out++ = (unsigned char)(bits >> 16);
        *out++ = (unsigned char)(bits >> 24);
    }
}
