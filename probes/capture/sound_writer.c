/* The sound library writes through functions of ours, so that the file is made with "must be
 * new", faults of the disk keep their reason, and each second the disk is told to keep it.
 * The container is RF64 with "downgrade": a plain WAV with room kept for the 64-bit lengths, that
 * turns into an RF64 only when it passes 4 GiB. */
#include "probes/capture/sound_writer.h"

#include "shared/platform.h"

#include <sndfile.h>
#include <stdlib.h>
#include <string.h>

enum { BYTES_A_SAMPLE = 3 };

struct sw_sound_writer {
    const char *path;
    sw_new_file *file;
    SNDFILE *sound;
    bool flac;
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
    return (double)form->rate_hz * (double)form->channels * BYTES_A_SAMPLE;
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

/* ---- opening and closing ---- */

static sw_status open_sound(sw_sound_writer *writer, const sw_sound_form *form, sw_error *error) {
    static SF_VIRTUAL_IO functions = {file_length, file_seek, file_read, file_write, file_tell};
    int container = writer->flac ? SF_FORMAT_FLAC : SF_FORMAT_RF64;
    SF_INFO info = {.samplerate = form->rate_hz,
                    .channels = (int)form->channels,
                    .format = container | SF_FORMAT_PCM_24};
    writer->sound = sf_open_virtual(&functions, SFM_WRITE, &info, writer->file);
    if (writer->sound == NULL)
        return sw_fail(error, SW_UNSUPPORTED, "%s: cannot be written: %s", writer->path,
                       sf_strerror(NULL));
    if (!writer->flac)
        sf_command(writer->sound, SFC_RF64_AUTO_DOWNGRADE, NULL, SF_TRUE);
    if (form->comment != NULL)
        sf_set_string(writer->sound, SF_STR_COMMENT, form->comment);
    return SW_OK;
}

sw_status sw_sound_writer_open(const char *path, const sw_sound_form *form,
                               sw_sound_writer **writer, sw_error *error) {
    sw_sound_writer *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to write it", path);
    fresh->path = path;
    fresh->flac = ends_with(path, ".flac");
    sw_status status = sw_sound_writer_check(path, error);
    if (status == SW_OK)
        status = sw_new_file_open(path, &fresh->file, error);
    if (status == SW_OK) {
        status = open_sound(fresh, form, error);
        if (status != SW_OK)
            sw_platform_remove(path);
    }
    if (status == SW_OK)
        status = sw_sound_writer_keep(fresh, error);
    if (status == SW_OK)
        *writer = fresh;
    else
        (void)sw_sound_writer_close(fresh, NULL);
    return status;
}

static sw_status fault(const sw_sound_writer *writer, sw_error *error) {
    const char *reason = sw_new_file_fault(writer->file);
    return sw_fail(error, SW_IO, "%s: writing failed: %s", writer->path,
                   reason != NULL ? reason : sf_strerror(writer->sound));
}

sw_status sw_sound_writer_put(sw_sound_writer *writer, const int32_t *frames, size_t count,
                              sw_error *error) {
    _Static_assert(sizeof(int) == sizeof(int32_t), "the sound library takes int");
    sf_count_t done = sf_writef_int(writer->sound, frames, (sf_count_t)count);
    if (done == (sf_count_t)count && sw_new_file_fault(writer->file) == NULL)
        return SW_OK;
    return fault(writer, error);
}

sw_status sw_sound_writer_keep(sw_sound_writer *writer, sw_error *error) {
    if (!writer->flac)
        sf_command(writer->sound, SFC_UPDATE_HEADER_NOW, NULL, 0);
    if (sw_new_file_sync(writer->file) && sw_new_file_fault(writer->file) == NULL)
        return SW_OK;
    return fault(writer, error);
}

sw_status sw_sound_writer_close(sw_sound_writer *writer, sw_error *error) {
    if (writer == NULL)
        return SW_OK;
    sw_status status = SW_OK;
    bool fine = true;
    if (writer->sound != NULL && sf_close(writer->sound) != 0)
        fine = false;
    if (writer->file != NULL && (!sw_new_file_sync(writer->file) || !fine)) {
        const char *reason = sw_new_file_fault(writer->file);
        status = sw_fail(error, SW_IO, "%s: closing it failed: %s", writer->path,
                         reason != NULL ? reason : "the disk did not take all");
    }
    if (!sw_new_file_close(writer->file) && status == SW_OK)
        status = sw_fail(error, SW_IO, "%s: the disk did not take all", writer->path);
    free(writer);
    return status;
}
