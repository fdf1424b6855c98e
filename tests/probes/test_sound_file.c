/* Sound files: every container and word length comes back as it went in; broken ones are told. */
#include "tests/support.h"

#include "probes/recording.h"
#include "tests/probes/sound_maker.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { FRAMES = 3000, CHANNELS = 2 };

static double wave[FRAMES * CHANNELS];

static void make_wave(void) {
    for (size_t i = 0; i < FRAMES; i++) {
        wave[2 * i] = 0.7 * sin(0.05 * (double)i);
        wave[2 * i + 1] = -0.3 * cos(0.031 * (double)i) + 0.1;
    }
}

static sw_status load(const char *path, double rate_hz, sw_recording *recording, sw_error *error) {
    const char *paths[] = {path};
    sw_recording_request request = {.paths = paths, .count = 1, .rate_hz = rate_hz};
    return sw_recording_load(&request, recording, error);
}

typedef struct coding {
    const char *name;
    int format;
    double tolerance; /* a step for rounding, one for the writer's scale; floats: rounding */
    double step;
} coding;

static const coding CODINGS[] = {
    {"8.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_U8, 2.0 / 128, 1.0 / 128},
    {"16.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16, 2.0 / 32768, 1.0 / 32768},
    {"24.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_24, 2.0 / 8388608, 1.0 / 8388608},
    {"32.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_32, 2.0 / 2147483648, 1.0 / 2147483648},
    {"float.wav", SF_FORMAT_WAV | SF_FORMAT_FLOAT, 1e-7, -1},
    {"double.wav", SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 1e-15, -1},
    {"ulaw.wav", SF_FORMAT_WAV | SF_FORMAT_ULAW, 0.02, -1},
    {"16.w64", SF_FORMAT_W64 | SF_FORMAT_PCM_16, 2.0 / 32768, 1.0 / 32768},
    {"24.rf64", SF_FORMAT_RF64 | SF_FORMAT_PCM_24, 2.0 / 8388608, 1.0 / 8388608},
    {"16.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 2.0 / 32768, 1.0 / 32768},
    {"24.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_24, 2.0 / 8388608, 1.0 / 8388608},
    {"16.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_16, 2.0 / 32768, 1.0 / 32768},
    {"24.wavex", SF_FORMAT_WAVEX | SF_FORMAT_PCM_24, 2.0 / 8388608, 1.0 / 8388608},
    {"16.caf", SF_FORMAT_CAF | SF_FORMAT_PCM_16, 2.0 / 32768, 1.0 / 32768},
};

static void every_word_length_comes_back(void **state) {
    (void)state;
    for (size_t k = 0; k < sizeof CODINGS / sizeof *CODINGS; k++) {
        const char *path = support_at(CODINGS[k].name);
        assert_true(write_sound(path, CODINGS[k].format, 11025, CHANNELS, wave, FRAMES));
        sw_recording recording;
        sw_error error = {0};
        assert_ok(load(path, 0, &recording, &error), &error);
        assert_string_equal(recording.kind, "sound file");
        assert_int_equal(recording.waveform.frames, FRAMES);
        assert_int_equal(recording.waveform.channels, CHANNELS);
        assert_int_equal(recording.waveform.coupling, SW_COUPLING_AC);
        assert_close(recording.waveform.rate_hz, 11025, 0);
        assert_int_equal(recording.clipped, 0);
        if (CODINGS[k].step > 0)
            assert_close(recording.waveform.channel[0].step, CODINGS[k].step, 0);
        for (size_t i = 0; i < FRAMES * CHANNELS; i++)
            assert_close(recording.waveform.channel[i % 2].samples[i / 2], wave[i],
                         CODINGS[k].tolerance);
        sw_recording_free(&recording);
    }
}

/* ---- WAV files with a header of our own ---- */

static void put(unsigned char **at, unsigned long value, int bytes) {
    for (int i = 0; i < bytes; i++)
        *(*at)++ = (unsigned char)(value >> (8 * i));
}

typedef struct header {
    unsigned long riff_size, format, channels, rate_hz, bits, data_size;
} header;

static void write_wav(const char *path, const header *head, size_t data_bytes) {
    unsigned char bytes[44];
    unsigned char *at = bytes;
    memcpy(at, "RIFF", 4);
    at += 4;
    put(&at, head->riff_size, 4);
    memcpy(at, "WAVEfmt ", 8);
    at += 8;
    put(&at, 16, 4);
    put(&at, head->format, 2);
    put(&at, head->channels, 2);
    put(&at, head->rate_hz, 4);
    put(&at, head->rate_hz * head->channels * head->bits / 8, 4);
    put(&at, head->channels * head->bits / 8, 2);
    put(&at, head->bits, 2);
    memcpy(at, "data", 4);
    at += 4;
    put(&at, head->data_size, 4);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    fwrite(bytes, 1, sizeof bytes, file);
    for (size_t i = 0; i < data_bytes; i++)
        fputc((int)(i % 7), file);
    fclose(file);
}

static void torn_headers_are_read_as_far_as_they_go(void **state) {
    (void)state;
    static const unsigned long SIZES[] = {0, 0xFFFFFFFF, 100000};
    for (size_t k = 0; k < 3; k++) {
        header head = {36 + SIZES[k], 1, 1, 8000, 16, SIZES[k]};
        const char *path = support_at("torn.wav");
        write_wav(path, &head, 2001);
        sw_recording recording;
        sw_error error = {0};
        assert_ok(load(path, 0, &recording, &error), &error);
        assert_int_equal(recording.waveform.frames, 1000);
        assert_non_null(strstr(sw_text_string(&recording.notes), "read as far as it goes"));
        sw_recording_free(&recording);
    }
}

typedef struct broken {
    header head;
    size_t data_bytes;
    sw_status status;
    const char *says;
} broken;

static void broken_headers_are_told(void **state) {
    (void)state;
    static const broken CASES[] = {
        {{2036, 1, 1, 0, 16, 2000}, 2000, SW_VALUE, "0 samples a second"},
        {{2036, 1, 0, 8000, 16, 2000}, 2000, SW_VALUE, "0 channels"},
        {{24036, 1, 12, 8000, 16, 24000}, 24000, SW_UNSUPPORTED, "12 channels, expected 1 to 8"},
        {{36, 1, 1, 8000, 16, 0}, 0, SW_EMPTY, "no sound"},
        {{2036, 1, 1, 2147483647, 16, 2000}, 2000, SW_VALUE, "2147483647 samples a second"},
        {{2036, 1, 1, 8000, 0, 2000}, 2000, SW_FORMAT, "cannot be read as a sound file"},
        {{2036, 0x4321, 1, 8000, 16, 2000}, 2000, SW_FORMAT, "cannot be read as a sound file"},
    };
    for (size_t k = 0; k < sizeof CASES / sizeof *CASES; k++) {
        const char *path = support_at("broken.wav");
        write_wav(path, &CASES[k].head, CASES[k].data_bytes);
        sw_recording recording;
        sw_error error = {0};
        assert_int_equal(load(path, 0, &recording, &error), CASES[k].status);
        assert_non_null(strstr(error.message, CASES[k].says));
        assert_non_null(strstr(error.message, "broken.wav: "));
    }
}

static void what_is_no_recording_is_told(void **state) {
    (void)state;
    sw_recording recording;
    sw_error error = {0};
    assert_int_equal(load(support_at("none.wav"), 0, &recording, &error), SW_NOT_FOUND);
    assert_int_equal(load(support_folder(), 0, &recording, &error), SW_NOT_READABLE);
    FILE *file = fopen(support_at("empty.wav"), "wb");
    fclose(file);
    assert_int_equal(load(support_at("empty.wav"), 0, &recording, &error), SW_EMPTY);
    file = fopen(support_at("head.wav"), "wb");
    fputs("RIFF....WAVE", file);
    fclose(file);
    assert_int_equal(load(support_at("head.wav"), 0, &recording, &error), SW_FORMAT);
    file = fopen(support_at("binary"), "wb");
    for (int i = 0; i < 5000; i++)
        fputc(i * 37 % 251, file);
    fclose(file);
    assert_int_equal(load(support_at("binary"), 0, &recording, &error), SW_FORMAT);
    assert_non_null(strstr(error.message, "neither a sound file nor text"));
}

static void a_rate_that_was_asked_for_wins(void **state) {
    (void)state;
    const char *path = support_at("rate.wav");
    assert_true(write_sound(path, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 8000, 2, wave, FRAMES));
    sw_recording recording;
    sw_error error = {0};
    assert_ok(load(path, 8001.5, &recording, &error), &error);
    assert_close(recording.waveform.rate_hz, 8001.5, 0);
    assert_non_null(strstr(sw_text_string(&recording.notes), "as asked"));
    sw_recording_free(&recording);
}

static void full_scale_samples_are_counted(void **state) {
    (void)state;
    double loud[FRAMES];
    size_t expected = 0;
    for (size_t i = 0; i < FRAMES; i++) {
        loud[i] = fmax(-1, fmin(1, 1.3 * sin(0.02 * (double)i)));
        expected += fabs(loud[i]) >= 1;
    }
    const char *path = support_at("loud.wav");
    assert_true(write_sound(path, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 8000, 1, loud, FRAMES));
    sw_recording recording;
    sw_error error = {0};
    assert_ok(load(path, 0, &recording, &error), &error);
    /* A sample one step below full scale may round up to it at each of the edges. */
    assert_close((double)recording.clipped, (double)expected, 8);
    sw_recording_free(&recording);
}

static int setup(void **state) {
    make_wave();
    return support_folder_setup(state);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_word_length_comes_back),
        cmocka_unit_test(torn_headers_are_read_as_far_as_they_go),
        cmocka_unit_test(broken_headers_are_told),
        cmocka_unit_test(what_is_no_recording_is_told),
        cmocka_unit_test(a_rate_that_was_asked_for_wins),
        cmocka_unit_test(full_scale_samples_are_counted),
    };
    return cmocka_run_group_tests(tests, setup, support_folder_teardown);
}
