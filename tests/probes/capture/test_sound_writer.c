/* A sound file that grows is readable at any moment, whatever its size; faults of the disk are
 * told and cost nothing that was there. The general sound library reads what was written. */
#include "tests/support.h"

#include "probes/capture/sound_writer.h"
#include "probes/capture/wav_head.h"
#include "probes/recording.h"
#include "shared/files.h"
#include "tests/probes/capture/support_script.h"

#include <math.h>
#include <signal.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

enum { FRAMES = 60000, CHANNELS = 2, FLAC_BLOCK = 4096 };

static const sw_sound_form FORM = {48000, CHANNELS, "recorded somewhere from something"};

static sw_sound_writer *open_writer(const char *path) {
    sw_sound_writer *writer = NULL;
    sw_error error = {SW_OK, ""};
    assert_ok(sw_sound_writer_open(path, &FORM, &writer, &error), &error);
    return writer;
}

static sw_status put(sw_sound_writer *writer, int64_t from, size_t count) {
    int32_t *frames = malloc(count * CHANNELS * sizeof *frames);
    for (size_t i = 0; i < count; i++)
        for (size_t c = 0; c < CHANNELS; c++)
            frames[i * CHANNELS + c] = script_sample(from + (int64_t)i, c);
    sw_status status = sw_sound_writer_put(writer, frames, count, NULL);
    free(frames);
    return status;
}

/* What a kill at this moment would leave. */
static const char *copy_of(const char *from, size_t drop) {
    const char *to = support_at(strstr(from, ".flac") != NULL ? "copy.flac" : "copy.wav");
    char *data = NULL;
    size_t length = 0;
    assert_int_equal(sw_file_read(from, 1 << 28, &data, &length, NULL), SW_OK);
    assert_int_equal(sw_file_save(to, data, length - drop, true, NULL), SW_OK);
    free(data);
    return to;
}

/* Frames that measuring finds in the file; all of them as fed, to 24 bits. */
static size_t frames_of(const char *path) {
    sw_recording recording = {0};
    sw_error error = {SW_OK, ""};
    const char *paths[] = {path};
    sw_recording_request request = {.paths = paths, .count = 1};
    assert_ok(sw_recording_load(&request, &recording, &error), &error);
    size_t frames = recording.waveform.frames;
    size_t wrong = 0;
    for (size_t c = 0; c < CHANNELS; c++)
        for (size_t i = 0; i < frames; i++) {
            double fed = floor(ldexp(script_sample((int64_t)i, c), -8));
            wrong += ldexp(recording.waveform.channel[c].samples[i], 23) != fed;
        }
    assert_int_equal(wrong, 0);
    sw_recording_free(&recording);
    return frames;
}

static void killed_wav(void **state) {
    (void)state;
    const char *path = support_at("killed.wav");
    sw_sound_writer *writer = open_writer(path);
    assert_int_equal(put(writer, 0, FRAMES), SW_OK);
    assert_int_equal(sw_sound_writer_keep(writer, NULL), SW_OK);
    assert_int_equal(frames_of(copy_of(path, 0)), FRAMES);
    assert_int_equal(put(writer, FRAMES, 1000), SW_OK); /* after the last keeping */
    assert_true(frames_of(copy_of(path, 0)) >= FRAMES);
    /* torn in the middle of a sample */
    assert_true(frames_of(copy_of(path, 2)) >= FRAMES);
    assert_int_equal(sw_sound_writer_close(writer, NULL), SW_OK);
    assert_int_equal(frames_of(path), FRAMES + 1000);
}

/* Told before it is read, or a long one could not be thinned. */
static int64_t told_frames(const char *path) {
    sw_probe_request request = {path, 0, NULL};
    sw_probe *probe = NULL;
    sw_error error = {SW_OK, ""};
    assert_ok(sw_probe_open(&request, &probe, &error), &error);
    int64_t frames = sw_probe_describe(probe)->frames;
    sw_probe_close(probe);
    return frames;
}

static void killed_flac(void **state) {
    (void)state;
    const char *path = support_at("killed.flac");
    sw_sound_writer *writer = open_writer(path);
    assert_int_equal(put(writer, 0, FRAMES), SW_OK);
    assert_int_equal(sw_sound_writer_keep(writer, NULL), SW_OK);
    /* The encoder holds back the block it is filling and looks one ahead. */
    assert_true(frames_of(copy_of(path, 0)) + 2 * FLAC_BLOCK >= FRAMES);
    assert_int_equal(told_frames(copy_of(path, 0)), (int64_t)frames_of(copy_of(path, 0)));
    assert_true(frames_of(copy_of(path, 100)) + 3 * FLAC_BLOCK >= FRAMES);
    assert_int_equal(sw_sound_writer_close(writer, NULL), SW_OK);
    assert_int_equal(frames_of(path), FRAMES);
}

static void nothing_yet_is_a_whole_head(void **state) {
    (void)state;
    const char *path = support_at("fresh.wav");
    SF_INFO info = {0};
    sw_sound_writer *writer = open_writer(path);
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.frames, 0);
    assert_int_equal(info.format, SF_FORMAT_WAV | SF_FORMAT_PCM_24);
    assert_string_equal(sf_get_string(file, SF_STR_COMMENT), FORM.comment);
    sf_close(file);
    assert_int_equal(sw_sound_writer_close(writer, NULL), SW_OK);
}

/* ---- beyond 4 GiB: the head alone, on a file that pretends ---- */

typedef struct pretender {
    unsigned char head[SW_WAV_HEAD_ROOM];
    sf_count_t head_bytes, length, at;
} pretender;

static sf_count_t pretended_length(void *user) {
    return ((pretender *)user)->length;
}

static sf_count_t pretended_seek(sf_count_t offset, int whence, void *user) {
    pretender *self = user;
    self->at = offset + (whence == SEEK_CUR ? self->at : whence == SEEK_END ? self->length : 0);
    return self->at;
}

static sf_count_t pretended_read(void *bytes, sf_count_t count, void *user) {
    pretender *self = user;
    for (sf_count_t i = 0; i < count; i++)
        ((unsigned char *)bytes)[i] =
            self->at + i < self->head_bytes ? self->head[self->at + i] : 0;
    self->at += count;
    return count;
}

static sf_count_t pretended_write(const void *bytes, sf_count_t count, void *user) {
    (void)bytes;
    (void)user;
    return count;
}

static sf_count_t pretended_tell(void *user) {
    return ((pretender *)user)->at;
}

static void large_files(void **state) {
    (void)state;
    static const uint64_t DATA_BYTES[] = {0, 6, 6000000, 4294967088U, 4294967298U, 60000000000U};
    static SF_VIRTUAL_IO functions = {pretended_length, pretended_seek, pretended_read,
                                      pretended_write, pretended_tell};
    sw_wav_form form = {48000, 2, "a comment"};
    for (size_t i = 0; i < sizeof DATA_BYTES / sizeof *DATA_BYTES; i++) {
        pretender file = {.at = 0};
        SF_INFO info = {0};
        file.head_bytes = (sf_count_t)sw_wav_head(&form, DATA_BYTES[i], file.head);
        file.length = file.head_bytes + (sf_count_t)DATA_BYTES[i];
        SNDFILE *sound = sf_open_virtual(&functions, SFM_READ, &info, &file);
        assert_non_null(sound);
        bool large = (uint64_t)file.length - 8 > UINT32_MAX;
        assert_int_equal(info.format & SF_FORMAT_TYPEMASK, large ? SF_FORMAT_RF64 : SF_FORMAT_WAV);
        assert_int_equal(info.frames, DATA_BYTES[i] / 6);
        assert_int_equal(info.samplerate, 48000);
        sf_close(sound);
    }
}

static void comments_of_any_length(void **state) {
    (void)state;
    char comment[1000];
    unsigned char head[SW_WAV_HEAD_ROOM + 8];
    for (size_t length = 0; length < sizeof comment; length += length < 20 ? 1 : 97) {
        memset(comment, 'x', length);
        comment[length] = '\0';
        memset(head, 0xA5, sizeof head);
        sw_wav_form form = {8000, 1, comment};
        size_t bytes = sw_wav_head(&form, 0, head);
        assert_true(bytes <= SW_WAV_HEAD_ROOM && bytes % 2 == 0);
        assert_memory_equal(head + bytes - 8, "data", 4);
        assert_int_equal(head[bytes], 0xA5);
    }
}

/* A limit on the size of files is what a full disk is, without needing one. */
static void full_disk(void **state) {
    (void)state;
    static const char *const NAMES[] = {"full.wav", "full.flac"};
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    (void)signal(SIGXFSZ, SIG_IGN);
    for (size_t i = 0; i < 2; i++) {
        const char *path = support_at(NAMES[i]);
        sw_error error = {SW_OK, ""};
        sw_sound_writer *writer = open_writer(path);
        struct rlimit small = {100000, before.rlim_max};
        assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
        sw_status status = SW_OK;
        int64_t at = 0;
        for (; at < 10 * FRAMES && status == SW_OK; at += 5000)
            status = put(writer, at, 5000);
        assert_int_equal(status, SW_IO);
        assert_int_equal(sw_sound_writer_close(writer, &error), SW_IO);
        assert_non_null(strstr(error.message, NAMES[i]));
        assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
        /* All but the last block or two of what fits is there. */
        assert_true(frames_of(path) > 100000 / 6 - 3 * FLAC_BLOCK);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(killed_wav),
        cmocka_unit_test(killed_flac),
        cmocka_unit_test(nothing_yet_is_a_whole_head),
        cmocka_unit_test(large_files),
        cmocka_unit_test(comments_of_any_length),
        cmocka_unit_test(full_disk),
    };
    return cmocka_run_group_tests(tests, support_folder_setup, support_folder_teardown);
}
