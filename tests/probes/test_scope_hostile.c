/* Broken and hostile scope files: each gives one line that names file, line and column, or opens
 * with a note; none crashes. Random mutations of the layouts in data/ follow. */
#include "tests/support.h"

#include "probes/recording.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static sw_status load_bytes(const char *bytes, size_t length, double rate_hz,
                            sw_recording *recording, sw_error *error) {
    FILE *file = fopen(support_at("scope.csv"), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    fclose(file);
    const char *paths[] = {support_at("scope.csv")};
    sw_recording_request request = {.paths = paths, .count = 1, .rate_hz = rate_hz};
    return sw_recording_load(&request, recording, error);
}

typedef struct hostile {
    const char *text;
    sw_status status;
    const char *says;
} hostile;

static const hostile REFUSED[] = {
    /* rows */
    {"t,v\n0,1\n1,2\n2,abc\n3,4\n4,5\n", SW_FORMAT,
     "line 4, column 2: found \"abc\", expected a number"},
    {"t,v\n0,1\n1,2\nabc,3\n3,4\n4,5\n", SW_FORMAT,
     "line 4, column 1: found \"abc\", expected a time"},
    {"t,v\n0,abc\n1,2\n2,3\n3,4\n", SW_FORMAT, "line 2, column 2: found \"abc\""},
    {"t,v\n0,1\nx,abc\n2,3\n3,4\n4,5\n", SW_FORMAT, "line 3, column 1: found \"x\""},
    {"t,v\n0,1\n1,2\n2,3,9\n3,4\n4,5\n", SW_FORMAT, "line 4, column 3: found \"9\""},
    {"t,v\n0,1\n1,2\n2\n3,4\n4,5\n", SW_FORMAT, "line 4, column 2: the row ends before it"},
    {"t,v\n0,1\n1,2\n,3\n3,4\n4,5\n", SW_FORMAT, "line 4, column 1"},
    {"t,v\n0,1\n1,2\n2,0x10\n3,4\n4,5\n", SW_FORMAT, "line 4, column 2: found \"0x10\""},
    {"t,v\n0,1\n1,2\n2,1e999\n3,4\n4,5\n", SW_FORMAT, "line 4, column 2: found \"1e999\""},
    {"t,v\n0,1\n1,2\n2,1.2.3\n3,4\n4,5\n", SW_FORMAT, "line 4, column 2: found \"1.2.3\""},
    {"t,v\n0,1\n1,2\n2,\"3\n3,4\n4,5\n", SW_FORMAT, "line 4, column 2"},
    {"t,v\n0,1\n1,2\ninf,3\n3,4\n4,5\n", SW_FORMAT, "line 4, column 1: found \"inf\""},
    {"t,v\n0,1\n1,2\nnan,3\n3,4\n4,5\n", SW_FORMAT, "line 4, column 1: found \"nan\""},
    {"t;v\n0;1,5\n1;2,5\n2;3.5\n3;4,5\n4;5,5\n", SW_FORMAT, "line 4, column 2: found \"3.5\""},
    {"t,v\n0,1\n1,2\nt,v\n0,1\n1,2\n", SW_FORMAT, "line 4, column 1: found \"t\""},
    {"t,v\n0,1\n1,2\n2,--3\n3,4\n4,5\n", SW_FORMAT, "line 4, column 2: found \"--3\""},
    /* times */
    {"t,v\n0,1\n1,2\n2,3\n5,4\n6,5\n7,6\n8,7\n9,8\n10,9\n11,9\n12,8\n", SW_FORMAT,
     "line 5, column 1: the time goes from 2 to 5"},
    {"t,v\n0,1\n1,2\n2,3\n2,4\n3,5\n4,6\n5,7\n6,8\n7,9\n8,9\n9,8\n", SW_FORMAT,
     "line 5, column 1: the time goes from 2 to 2"},
    {"t,v\n0,1\n1,2\n2,3\n1,4\n3,5\n4,6\n5,7\n6,8\n7,9\n8,9\n9,8\n", SW_FORMAT,
     "line 5, column 1: the time goes from 2 to 1"},
    {"t,v\n3,1\n2,2\n1,3\n0,4\n", SW_FORMAT, "line 2, column 1: the times do not rise"},
    {"t,v\n0,1\n0,2\n0,3\n0,4\n", SW_FORMAT, "the times do not rise"},
    {"time (s),v\n1,1\n10,2\n100,3\n1000,2\n10000,3\n", SW_FORMAT, "expected even steps"},
    {"X,CH1,Increment,\nSequence,Volt,0.001\n0,1,\n1,2,\n3,3,\n4,4,\n5,5,\n6,4,\n7,3,\n8,2,\n9,1,"
     "\n",
     SW_FORMAT, "line 5, column 1: the row number goes from 1 to 3"},
    /* no rate, no channels, too little */
    {"1.5\n2.5\n3.5\n2.5\n", SW_USAGE, "--rate"},
    {"CH1,CH2\n1.5,2\n2.5,1\n3.5,5\n2.5,4\n", SW_USAGE, "--rate"},
    {"Sample interval,0\nCH1\n1.5\n2.5\n3.5\n2.5\n", SW_USAGE, "--rate"},
    {"Sample interval,-1\nCH1\n1.5\n2.5\n3.5\n2.5\n", SW_USAGE, "--rate"},
    {"Sample interval,nan\nCH1\n1.5\n2.5\n3.5\n2.5\n", SW_USAGE, "--rate"},
    {"Sample interval,1 V\nCH1\n1.5\n2.5\n3.5\n2.5\n", SW_USAGE, "--rate"},
    {"time (s)\n0\n1\n2\n3\n", SW_FORMAT, "no column of voltages"},
    {"t,v\n0,1\n", SW_TOO_SHORT, "found 1 row"},
    {"t,v\n", SW_FORMAT, "no rows of numbers"},
    {"hello\nworld\n", SW_FORMAT, "no rows of numbers"},
    {"\n\n\n", SW_FORMAT, "no rows of numbers"},
    {",,,,\n;;;;\n", SW_FORMAT, "no rows of numbers"},
    {"t,a,b,c,d,e,f,g,h,i\n0,1,2,3,4,5,6,7,8,9\n1,2,3,4,5,6,7,8,9,1\n2,1,2,3,4,5,6,7,8,9\n",
     SW_UNSUPPORTED, "has 9 channels, expected 1 to 8"},
    {"t,v\n0,inf\n1,inf\n2,inf\n3,inf\n", SW_FORMAT, "no finite value"},
    {"t,v\n0,nan\n1,nan\n2,nan\n3,nan\n", SW_FORMAT, "no finite value"},
    /* commas between columns and inside numbers */
    {"t,v\n0,000,1,50\n0,001,1,52\n0,002,1,49\n0,003,1,51\n", SW_FORMAT, "commas both between"},
    /* logs of events */
    {"time;counter;overflow\n10;5;0\n25;6;0\n31;7;0\n57;8;1\n", SW_UNSUPPORTED, "zero crossings"},
};

static void refusals_name_line_and_column(void **state) {
    (void)state;
    size_t wrong = 0;
    for (size_t k = 0; k < sizeof REFUSED / sizeof *REFUSED; k++) {
        sw_recording recording;
        sw_error error = {0};
        sw_status status =
            load_bytes(REFUSED[k].text, strlen(REFUSED[k].text), 0, &recording, &error);
        bool fine = status == REFUSED[k].status && strstr(error.message, REFUSED[k].says) != NULL &&
                    strstr(error.message, "scope.csv: ") != NULL &&
                    strchr(error.message, '\n') == NULL;
        if (status == SW_OK)
            sw_recording_free(&recording);
        if (!fine)
            printf("case %zu: %s: %s\n", k, sw_status_name(status), error.message);
        wrong += !fine;
    }
    assert_int_equal(wrong, 0);
}

typedef struct forgiven {
    const char *text;
    size_t frames;
    size_t channels;
    double rate_hz;
    size_t missing;
    size_t clipped;
    const char *note;
} forgiven;

static const forgiven OPENED[] = {
    {"t,v\n0,1\n1,2\n2,1\n3,2\n4,", 5, 1, 1, 1, 0, "1 empty cell"},
    {"t,v\n0,1\n1,2\n2,1\n3,2\n4", 4, 1, 1, 0, 0, "line 6: the file stops in the middle"},
    {"t,v\n0,1\n1,2\n2,1\n3,2\n4,-", 5, 1, 1, 1, 0, ""},
    {"t,v\n0,1\n1,2\n2,1\n3,2\n4,1e", 4, 1, 1, 0, 0, "line 6: the file stops in the middle"},
    {"t,v\n0,1\n1,2\n2,1\n3,2\n[end]\n", 4, 1, 1, 0, 0, "line 6: no values from here"},
    {"t,v\n0,1\n1,\n2,1\n3,nan\n4,2\n5,1\n6,2\n7,1\n", 8, 1, 1, 2, 0, "2 empty cells"},
    {"t,v\n0,1\n\n1,2\n\n2,1\n3,2\n", 4, 1, 1, 0, 0, "2 empty lines"},
    {"t,v\n0,1\n1,inf\n2,-inf\n3,2\n4,1\n5,2\n", 6, 1, 1, 0, 2, "clipped"},
    {"t,v\n0,1\n1,OL\n2,1\n3,2\n4,1\n5,2\n", 6, 1, 1, 0, 1, "clipped"},
    {"t,v\r\r\n0,1\r\r\n1,2\r\r\n2,1\r\r\n3,2\r\r\n", 4, 1, 1, 0, 0, ""},
    {"# t,v\n# a remark\n0,1\n1,2\n# another\n2,1\n3,2\n", 4, 1, 1, 0, 0, ""},
    {"0\t1\n0.5\t2\n1\t1\n1.5\t2\n", 4, 1, 2, 0, 0, "tab"},
    {"time,mV\n0,1000\n1,2000\n2,1500\n3,1000\n", 4, 1, 1, 0, 0, "in mV"},
    {"t (\xC2\xB5s),v\n0,1\n10,2\n20,1\n30,2\n", 4, 1, 1e5, 0, 0, "in us"},
    {"t (\xB5s),v\n0,1\n10,2\n20,1\n30,2\n", 4, 1, 1e5, 0, 0, "in us"},
    {"rate=2 kHz\n1.5\n2.5\n1.5\n2.5\n", 4, 1, 2000, 0, 0, "from \"rate\""},
    {"Sample Rate: 2.5 MSa/s\nCH1\n1.5\n2.5\n1.5\n2.5\n", 4, 1, 2.5e6, 0, 0, "Sample Rate"},
    {"t,v\n0,1\n1,2\n2,1\n3,2\n\x1A", 4, 1, 1, 0, 0, ""},
};

static bool opened_as(const forgiven *expected, const sw_recording *recording) {
    const sw_waveform *waveform = &recording->waveform;
    bool fine = strstr(sw_text_string(&recording->notes), expected->note) != NULL &&
                waveform->frames == expected->frames && waveform->channels == expected->channels &&
                fabs(waveform->rate_hz / expected->rate_hz - 1) < 1e-6 &&
                recording->missing == expected->missing && recording->clipped == expected->clipped;
    for (size_t i = 0; i < waveform->frames; i++)
        fine = fine && isfinite(waveform->channel[0].samples[i]);
    return fine;
}

static void small_faults_are_noted(void **state) {
    (void)state;
    size_t wrong = 0;
    for (size_t k = 0; k < sizeof OPENED / sizeof *OPENED; k++) {
        sw_recording recording;
        sw_error error = {0};
        sw_status status =
            load_bytes(OPENED[k].text, strlen(OPENED[k].text), 0, &recording, &error);
        bool fine = status == SW_OK && opened_as(&OPENED[k], &recording);
        if (!fine)
            printf("case %zu: %s\n%s: %zu frames, %zu channels, %g Hz, %zu missing, %zu clipped\n",
                   k, error.message, sw_text_string(&recording.notes), recording.waveform.frames,
                   recording.waveform.channels, recording.waveform.rate_hz, recording.missing,
                   recording.clipped);
        if (status == SW_OK)
            sw_recording_free(&recording);
        wrong += !fine;
    }
    assert_int_equal(wrong, 0);
}

static void long_lines_and_nul_bytes_are_refused(void **state) {
    (void)state;
    enum { LONG = 200000 };
    char *text = malloc(LONG);
    sw_recording recording;
    sw_error error = {0};
    memset(text, '7', LONG);
    assert_int_equal(load_bytes(text, LONG, 0, &recording, &error), SW_FORMAT);
    assert_non_null(strstr(error.message, "line 1"));
    for (int i = 0; i < LONG; i++)
        text[i] = i % 2 == 0 ? '1' : ',';
    assert_int_not_equal(load_bytes(text, 60000, 0, &recording, &error), SW_OK);
    /* A NUL byte behind the first 64 KiB, where the look at the head does not see it. */
    size_t used = 0;
    for (int i = 0; used + 40 < LONG; i++)
        used += (size_t)snprintf(text + used, LONG - used, "%d,%d\n", i, i % 7);
    text[150000] = '\0';
    assert_int_equal(load_bytes(text, used, 1000, &recording, &error), SW_FORMAT);
    assert_non_null(strstr(error.message, "NUL byte"));
    free(text);
}

/* ---- mutations ---- */

static const char *const SEEDS[] = {
    "index_start_increment.csv",
    "quoted_header_block.csv",
    "comment_preamble_math.csv",
    "keys_beside_values.csv",
    "semicolons_decimal_comma_infinity.csv",
    "utf16.csv",
    "pairs_side_by_side.csv",
    "tab_padded_keys_mv.txt",
    "zero_crossing_log.csv",
    "one_column_decimal_comma.csv",
};

/* xorshift (Marsaglia 2003): the same bytes everywhere. */
static unsigned long next_random(unsigned long *state) {
    *state ^= (*state << 13) & 0xFFFFFFFFUL;
    *state ^= *state >> 17;
    *state ^= (*state << 5) & 0xFFFFFFFFUL;
    return *state;
}

static size_t mutate(char *bytes, size_t length, unsigned long *random) {
    static const char SPICE[] = ",;\t\n\r\"'-+.eE0123456789#[]()= \xFF";
    unsigned long count = 1 + next_random(random) % 6;
    for (unsigned long i = 0; i < count && length > 8; i++) {
        size_t at = next_random(random) % length;
        switch (next_random(random) % 5) {
        case 0:
            bytes[at] = (char)(unsigned char)(next_random(random) & 0xFF);
            break;
        case 1:
            bytes[at] = SPICE[next_random(random) % (sizeof SPICE - 1)];
            break;
        case 2:
            length = at + 1;
            break;
        case 3: {
            size_t span = next_random(random) % 40;
            span = at + span < length ? span : length - at;
            memmove(bytes + at, bytes + at + span, length - at - span);
            length -= span;
            break;
        }
        default: {
            size_t from = next_random(random) % length;
            size_t span = next_random(random) % 30;
            if (at + span < length && from + span < length)
                memmove(bytes + at, bytes + from, span);
        }
        }
    }
    return length;
}

static void mutated_files_never_crash(void **state) {
    (void)state;
    enum { TURNS = 60, ROOM = 65536 };
    char *original = malloc(ROOM);
    char *bytes = malloc(ROOM);
    unsigned long random = 20250;
    size_t opened = 0;
    printf("seed %lu\n", random);
    for (size_t k = 0; k < sizeof SEEDS / sizeof *SEEDS; k++) {
        char seed[512];
        snprintf(seed, sizeof seed, TEST_SOURCE_DIR "/probes/data/%s", SEEDS[k]);
        FILE *file = fopen(seed, "rb");
        assert_non_null(file);
        size_t length = fread(original, 1, ROOM, file);
        fclose(file);
        for (int i = 0; i < TURNS; i++) {
            memcpy(bytes, original, length);
            size_t left = mutate(bytes, length, &random);
            sw_recording recording;
            sw_error error = {0};
            sw_status status = load_bytes(bytes, left, i % 3 == 0 ? 1000 : 0, &recording, &error);
            assert_int_equal(error.message[0] == '\0', status == SW_OK);
            opened += status == SW_OK;
            for (size_t c = 0; status == SW_OK && c < recording.waveform.channels; c++)
                for (size_t n = 0; n < recording.waveform.frames; n++)
                    assert_true(isfinite(recording.waveform.channel[c].samples[n]));
            if (status == SW_OK)
                sw_recording_free(&recording);
        }
    }
    /* Both ways are walked: small damage in a header or a digit often leaves a readable file. */
    printf("%zu opened\n", opened);
    assert_in_range(opened, 50, 550);
    free(original);
    free(bytes);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refusals_name_line_and_column),
        cmocka_unit_test(small_faults_are_noted),
        cmocka_unit_test(long_lines_and_nul_bytes_are_refused),
        cmocka_unit_test(mutated_files_never_crash),
    };
    return cmocka_run_group_tests(tests, support_folder_setup, support_folder_teardown);
}
