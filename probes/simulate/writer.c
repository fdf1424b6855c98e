#include "probes/simulate/writer.h"

#include "shared/files.h"
#include "shared/text.h"

#include <limits.h>
#include <math.h>
#include <sndfile.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK_FRAMES = 4096 };

/* ---- a sound file in memory ---- */

typedef struct memory_file {
    char *data;
    sf_count_t length;
    sf_count_t room;
    sf_count_t at;
    bool failed;
} memory_file;

static sf_count_t memory_length(void *user) {
    return ((memory_file *)user)->length;
}

static sf_count_t memory_tell(void *user) {
    return ((memory_file *)user)->at;
}

static sf_count_t memory_seek(sf_count_t offset, int whence, void *user) {
    memory_file *file = user;
    sf_count_t from = whence == SEEK_CUR ? file->at : whence == SEEK_END ? file->length : 0;
    if (from + offset < 0)
        return -1;
    file->at = from + offset;
    return file->at;
}

static sf_count_t memory_read(void *bytes, sf_count_t count, void *user) {
    memory_file *file = user;
    sf_count_t left = file->length > file->at ? file->length - file->at : 0;
    sf_count_t got = count < left ? count : left;
    if (got > 0)
        memcpy(bytes, file->data + file->at, (size_t)got);
    file->at += got;
    return got;
}

static bool make_room(memory_file *file, sf_count_t needed) {
    if (needed <= file->room)
        return true;
    sf_count_t room = needed + needed / 2 + 65536;
    char *larger = realloc(file->data, (size_t)room);
    if (larger == NULL)
        return false;
    memset(larger + file->room, 0, (size_t)(room - file->room));
    file->data = larger;
    file->room = room;
    return true;
}

static sf_count_t memory_write(const void *bytes, sf_count_t count, void *user) {
    memory_file *file = user;
    if (!make_room(file, file->at + count)) {
        file->failed = true;
        return 0;
    }
    memcpy(file->data + file->at, bytes, (size_t)count);
    file->at += count;
    if (file->at > file->length)
        file->length = file->at;
    return count;
}

/* ---- samples ---- */

static double unit_of(const sw_sim_front *front) {
    return front->scope ? front->volts_per_unit : 1;
}

/* The simulator's steps are whole multiples of 2^(1 - bits): as the top bits of 32 they reach the
 * file unchanged, which scaling by the library would not grant. */
static int as_whole(double sample) {
    double scaled = rint(ldexp(sample, 31));
    return scaled >= INT_MAX ? INT_MAX : scaled <= INT_MIN ? INT_MIN : (int)scaled;
}

static bool write_whole(SNDFILE *file, const sw_waveform *waveform, double unit) {
    int block[BLOCK_FRAMES * SW_CHANNEL_LIMIT];
    for (size_t from = 0; from < waveform->frames; from += BLOCK_FRAMES) {
        size_t left = waveform->frames - from;
        size_t count = left < BLOCK_FRAMES ? left : BLOCK_FRAMES;
        for (size_t i = 0; i < count; i++)
            for (size_t c = 0; c < waveform->channels; c++)
                block[i * waveform->channels + c] =
                    as_whole(waveform->channel[c].samples[from + i] / unit);
        if (sf_writef_int(file, block, (sf_count_t)count) != (sf_count_t)count)
            return false;
    }
    return true;
}

static bool write_float(SNDFILE *file, const sw_waveform *waveform, double unit) {
    double block[SW_CHANNEL_LIMIT];
    for (size_t i = 0; i < waveform->frames; i++) {
        for (size_t c = 0; c < waveform->channels; c++)
            block[c] = waveform->channel[c].samples[i] / unit;
        if (sf_writef_double(file, block, 1) != 1)
            return false;
    }
    return true;
}

static bool ends_with(const char *path, const char *suffix) {
    size_t length = strlen(path);
    size_t width = strlen(suffix);
    return length >= width && strcmp(path + length - width, suffix) == 0;
}

static int format_of(const char *path, int bits) {
    int container = ends_with(path, ".flac") ? SF_FORMAT_FLAC : SF_FORMAT_WAV;
    if (bits == 0 && container == SF_FORMAT_WAV)
        return container | SF_FORMAT_FLOAT;
    return container | (bits > 16 || bits == 0 ? SF_FORMAT_PCM_24 : SF_FORMAT_PCM_16);
}

static sw_status encode(const char *path, const sw_waveform *waveform, const sw_sim_front *front,
                        memory_file *memory, sw_error *error) {
    static SF_VIRTUAL_IO functions = {memory_length, memory_seek, memory_read, memory_write,
                                      memory_tell};
    SF_INFO info = {.samplerate = (int)lrint(waveform->rate_hz),
                    .channels = (int)waveform->channels,
                    .format = format_of(path, front->bits)};
    if (fabs(info.samplerate - waveform->rate_hz) > 1e-9)
        return sw_fail(error, SW_UNSUPPORTED,
                       "%s: a sound file has a whole number of samples a second, found %g Hz", path,
                       waveform->rate_hz);
    SNDFILE *file = sf_open_virtual(&functions, SFM_WRITE, &info, memory);
    if (file == NULL)
        return sw_fail(error, SW_UNSUPPORTED, "%s: cannot be written: %s", path, sf_strerror(NULL));
    bool is_float = (info.format & SF_FORMAT_SUBMASK) == SF_FORMAT_FLOAT;
    /* No peak chunk: it carries the time of day, and files should repeat bit by bit. */
    sf_command(file, SFC_SET_ADD_PEAK_CHUNK, NULL, SF_FALSE);
    bool fine = is_float ? write_float(file, waveform, unit_of(front))
                         : write_whole(file, waveform, unit_of(front));
    fine = sf_close(file) == 0 && fine && !memory->failed;
    return fine ? SW_OK : sw_fail(error, SW_MEMORY, "%s: not enough memory to write it", path);
}

sw_status sw_sim_save_sound(const char *path, const sw_waveform *waveform,
                            const sw_sim_front *front, bool force, sw_error *error) {
    memory_file memory = {0};
    sw_status status = encode(path, waveform, front, &memory, error);
    if (status == SW_OK)
        status = sw_file_save(path, memory.data, (size_t)memory.length, force, error);
    free(memory.data);
    return status;
}

/* ---- a table ---- */

sw_status sw_sim_save_table(const char *path, const sw_waveform *waveform,
                            const sw_sim_front *front, bool force, sw_error *error) {
    sw_text text = {0};
    sw_text_add(&text, "Time (s)");
    for (size_t c = 0; c < waveform->channels; c++)
        sw_text_add(&text, ",CH%zu (%s)", c + 1, front->scope ? "V" : "FS");
    sw_text_add(&text, "\n");
    for (size_t i = 0; i < waveform->frames && !text.failed; i++) {
        sw_text_add(&text, "%.9f", (double)i / waveform->rate_hz);
        for (size_t c = 0; c < waveform->channels; c++)
            sw_text_add(&text, ",%.7g", waveform->channel[c].samples[i]);
        sw_text_add(&text, "\n");
    }
    sw_status status = text.failed
                           ? sw_fail(error, SW_MEMORY, "%s: not enough memory to write it", path)
                           : sw_file_save(path, text.data, text.length, force, error);
    sw_text_free(&text);
    return status;
}
