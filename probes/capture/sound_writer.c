/* A WAV is written by hand: its head is simple, and so it can be made true at any moment while
 * the file grows (wav_head.c). A FLAC goes through the sound library, which writes through
 * functions of ours. Either way the file is made with "must be new", and faults of the disk keep
 * their reason. */
#include "probes/capture/sound_writer.h"

#include "probes/capture/wav_head.h"
#include "shared/platform.h"
#include "shared/text.h"

#include <sndfile.h>
#include <stdlib.h>
#include <string.h>

enum { PACK_SAMPLES = 4096 };

struct sw_sound_writer {
    const char *path;
    sw_new_file *file;
    SNDFILE *flac; /* NULL = a WAV */
    sw_wav_form form;
    size_t head_bytes;
    char comment[SW_WAV_HEAD_ROOM];
};

static bool ends_with(const char *path, const char *suffix) {
    size_t length = strlen(path);
    size_t width = strlen(suffix);
    return length > width && path[length - width - 1] != '/' &&
           strcmp(path + length - width, suffix) == 0;
}

sw_status sw_sound_writer_check(const char *path, sw_error *error) {
    if (ends_with(path, ".wav") || ends_with(path, ".flac"))
        return SW_OK;
    return sw_fail(error, SW_USAGE, "%s: expected a name that ends in .wav or .flac", path);
}

double sw_sound_form_bytes(const sw_sound_form *form) {
    return (double)form->rate_hz * (double)form->channels * SW_WAV_SAMPLE_BYTES;
}

/* ---- the library's view of the file ---- */

static sf_count_t file_length(void *user) {
    return sw_new_file_length(user);
}

static sf_count_t file_seek(sf_count_t offset, int whence, void *user) {
    if (whence == SF_SEEK_CUR)
        offset += sw_new_file_tell(user);
    if (whence == SF_SEEK_END)
        offset += sw_new_file_length(user);
    return sw_new_file_seek(user, offset);
}

static sf_count_t file_read(void *bytes, sf_count_t count, void *user) {
    return (sf_count_t)sw_new_file_read(user, bytes, (size_t)count);
}

static sf_count_t file_write(const void *bytes, sf_count_t count, void *user) {
    return (sf_count_t)sw_new_file_write(user, bytes, (size_t)count);
}

static sf_count_t file_tell(void *user) {
    return sw_new_file_tell(user);
}

/* ---- FLAC ---- */

static sw_status open_flac(sw_sound_writer *writer, const sw_sound_form *form, sw_error *error) {
    static SF_VIRTUAL_IO functions = {file_length, file_seek, file_read, file_write, file_tell};
    SF_INFO info = {.samplerate = form->rate_hz,
                    .channels = (int)form->channels,
                    .format = SF_FORMAT_FLAC | SF_FORMAT_PCM_24};
    writer->flac = sf_open_virtual(&functions, SFM_WRITE, &info, writer->file);
    if (writer->flac == NULL)
        return sw_fail(error, SW_UNSUPPORTED, "%s: cannot be written: %s", writer->path,
                       sf_strerror(NULL));
    sf_set_string(writer->flac, SF_STR_COMMENT, writer->comment);
    return SW_OK;
}

static bool put_flac(sw_sound_writer *writer, const int32_t *frames, size_t count) {
    _Static_assert(sizeof(int) == sizeof(int32_t), "the sound library takes int");
    return sf_writef_int(writer->flac, frames, (sf_count_t)count) == (sf_count_t)count;
}

/* ---- WAV ---- */

static bool write_head(sw_sound_writer *writer) {
    unsigned char head[SW_WAV_HEAD_ROOM];
    int64_t length = sw_new_file_length(writer->file);
    int64_t data = length > (int64_t)writer->head_bytes ? length - (int64_t)writer->head_bytes : 0;
    data -= data % (SW_WAV_SAMPLE_BYTES * writer->form.channels); /* a frame torn by a full disk */
    writer->head_bytes = sw_wav_head(&writer->form, (uint64_t)data, head);
    bool fine = sw_new_file_seek(writer->file, 0) == 0 &&
                sw_new_file_write(writer->file, head, writer->head_bytes) == writer->head_bytes;
    (void)sw_new_file_seek(writer->file, sw_new_file_length(writer->file));
    return fine;
}

static bool put_wav(sw_sound_writer *writer, const int32_t *samples, size_t count) {
    unsigned char bytes[PACK_SAMPLES * SW_WAV_SAMPLE_BYTES];
    for (size_t from = 0; from < count; from += PACK_SAMPLES) {
        size_t part = count - from < PACK_SAMPLES ? count - from : PACK_SAMPLES;
        sw_wav_samples(samples + from, part, bytes);
        size_t length = part * SW_WAV_SAMPLE_BYTES;
        if (sw_new_file_write(writer->file, bytes, length) != length)
            return false;
    }
    return true;
}

/* Chunks have even lengths; the pad byte is not counted as data. */
static bool end_wav(sw_sound_writer *writer) {
    bool fine = write_head(writer);
    int64_t data = sw_new_file_length(writer->file) - (int64_t)writer->head_bytes;
    if (fine && data % 2 != 0)
        fine = sw_new_file_write(writer->file, "", 1) == 1;
    return fine;
}

/* ---- opening and closing ---- */

sw_status sw_sound_writer_open(const char *path, const sw_sound_form *form,
                               sw_sound_writer **writer, sw_error *error) {
    sw_sound_writer *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to write it", path);
    fresh->path = path;
    sw_text_copy(form->comment != NULL ? form->comment : "", fresh->comment, sizeof fresh->comment);
    fresh->form = (sw_wav_form){(uint32_t)form->rate_hz, (uint16_t)form->channels, fresh->comment};
    sw_status status = sw_sound_writer_check(path, error);
    if (status == SW_OK)
        status = sw_new_file_open(path, &fresh->file, error);
    if (status == SW_OK) {
        if (ends_with(path, ".flac"))
            status = open_flac(fresh, form, error);
        if (status == SW_OK)
            status = sw_sound_writer_keep(fresh, error);
        if (status != SW_OK)
            sw_platform_remove(path);
    }
    if (status == SW_OK)
        *writer = fresh;
    else
        (void)sw_sound_writer_close(fresh, NULL);
    return status;
}

static sw_status fault(const sw_sound_writer *writer, sw_error *error) {
    const char *reason = sw_new_file_fault(writer->file);
    if (reason == NULL && writer->flac != NULL)
        reason = sf_strerror(writer->flac);
    return sw_fail(error, SW_IO, "%s: writing failed: %s", writer->path,
                   reason != NULL ? reason : "the disk did not take all");
}

sw_status sw_sound_writer_put(sw_sound_writer *writer, const int32_t *frames, size_t count,
                              sw_error *error) {
    bool fine = writer->flac != NULL ? put_flac(writer, frames, count)
                                     : put_wav(writer, frames, count * writer->form.channels);
    return fine && sw_new_file_fault(writer->file) == NULL ? SW_OK : fault(writer, error);
}

sw_status sw_sound_writer_keep(sw_sound_writer *writer, sw_error *error) {
    bool fine = writer->flac != NULL || write_head(writer);
    if (sw_new_file_sync(writer->file) && fine && sw_new_file_fault(writer->file) == NULL)
        return SW_OK;
    return fault(writer, error);
}

static bool end_sound(sw_sound_writer *writer) {
    if (writer->flac == NULL)
        return end_wav(writer);
    bool fine = sf_close(writer->flac) == 0;
    writer->flac = NULL;
    return fine;
}

sw_status sw_sound_writer_close(sw_sound_writer *writer, sw_error *error) {
    sw_status status = SW_OK;
    if (writer != NULL && writer->file != NULL) {
        bool fine = end_sound(writer);
        fine = sw_new_file_sync(writer->file) && fine;
        status = fine && sw_new_file_fault(writer->file) == NULL ? SW_OK : fault(writer, error);
        bool taken = sw_new_file_close(writer->file);
        if (!taken && status == SW_OK)
            status = sw_fail(error, SW_IO, "%s: the disk did not take all", writer->path);
    }
    free(writer);
    return status;
}
