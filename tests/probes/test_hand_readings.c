/* Tables of hand readings: spellings, units, remarks, and what is wrong named by line and column.
 */
#include "tests/support.h"

#include "probes/readings.h"
#include "probes/recording.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static sw_status load(void **state, const char *text, sw_recording *recording, sw_error *error) {
    FILE *file = fopen(support_at("bench.csv"), "wb");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
    const char *paths[] = {support_at("bench.csv")};
    sw_recording_request request = {.paths = paths, .count = 1, .units = *state};
    return sw_recording_load(&request, recording, error);
}

typedef struct table {
    const char *text;
    sw_reading first; /* NaN where there must be none */
    size_t count;
    sw_meter meter;
    int phases;
} table;

static const table TABLES[] = {
    {"rpm,volts\n120,8.5\n240,17.1\n", {120, NAN, 8.5, NAN, NAN, 2}, 2, SW_METER_AC_AVERAGE, 0},
    {"# on the bench\n# meter: true-rms\n# phases: 3\nSpeed (rpm);Volts (mV);Load\n120;8500;"
     "10 ohm\n",
     {120, NAN, 8.5, NAN, 10, 5},
     1,
     SW_METER_AC_TRUE_RMS,
     3},
    {"turns\thz\tv\ta\tr\n48 turns in 10 s\t12,5\t3,25\t0,5\t6,5\n",
     {288, 12.5, 3.25, 0.5, 6.5, 2},
     1,
     SW_METER_AC_AVERAGE,
     0},
    {"meter: dc-bridge-capacitor\nfrequency (kHz),VDC\n0.05,40\n0.06,48\n0.07,56\n",
     {NAN, 50, 40, NAN, NAN, 3},
     3,
     SW_METER_DC_BRIDGE_CAPACITOR,
     0},
    {"Hz  volts  ohms\n50 12 -\n60 14.4 8\n",
     {NAN, 50, 12, NAN, NAN, 2},
     2,
     SW_METER_AC_AVERAGE,
     0},
    {"\xEF\xBB\xBFrpm,volts,note\r\n\r\n100,6 V,cold\r\n,,\r\n200,12 V,warm\r\n",
     {100, NAN, 6, NAN, NAN, 3},
     2,
     SW_METER_AC_AVERAGE,
     0},
    {"% meter = dc\nshaft speed (turns/min)|V DC|current\n500|12.2|\n500|11.4|2.1\n",
     {500, NAN, 12.2, NAN, NAN, 3},
     2,
     SW_METER_DC,
     0},
    {"hz,volts,resistor\n50,12,open\n60,14.4,INF\n70,17,None\n80,16,47\n",
     {NAN, 50, 12, NAN, NAN, 2},
     4,
     SW_METER_AC_AVERAGE,
     0},
    {"mV AC,RPM\n900,33\n", {33, NAN, 0.9, NAN, NAN, 2}, 1, SW_METER_AC_AVERAGE, 0},
};

static void spellings_and_units_are_understood(void **state) {
    for (size_t k = 0; k < sizeof TABLES / sizeof *TABLES; k++) {
        const table *expected = &TABLES[k];
        sw_recording recording;
        sw_error error = {0};
        assert_ok(load(state, expected->text, &recording, &error), &error);
        assert_true(recording.is_readings);
        assert_string_equal(recording.kind, "hand readings");
        const sw_readings *readings = recording.readings;
        assert_int_equal(readings->count, expected->count);
        assert_int_equal(readings->meter, expected->meter);
        assert_int_equal(readings->phases, expected->phases);
        const double found[] = {readings->reading->speed_rpm, readings->reading->frequency_hz,
                                readings->reading->volts, readings->reading->amps,
                                readings->reading->load_ohm};
        const double wanted[] = {expected->first.speed_rpm, expected->first.frequency_hz,
                                 expected->first.volts, expected->first.amps,
                                 expected->first.load_ohm};
        for (size_t i = 0; i < 5; i++) {
            assert_int_equal(isnan(found[i]), isnan(wanted[i]));
            if (!isnan(wanted[i]))
                assert_close(found[i], wanted[i], 1e-9 * fabs(wanted[i]));
        }
        assert_int_equal(readings->reading->line, expected->first.line);
        sw_recording_free(&recording);
    }
}

typedef struct bad {
    const char *text;
    sw_status status;
    const char *says;
} bad;

static void what_is_wrong_is_named(void **state) {
    static const bad CASES[] = {
        {"rpm,volts\n100,12\n200,abc\n", SW_FORMAT, "line 3, column 2: found \"abc\""},
        {"rpm,volts\n100,12\n200,nan\n", SW_FORMAT, "line 3, column 2: found \"nan\""},
        {"rpm,volts\n100,12\n200,1e999\n", SW_FORMAT, "line 3, column 2"},
        {"rpm,volts\n100,12\n200,12 ohm\n", SW_FORMAT, "line 3, column 2: found \"12 ohm\""},
        {"rpm,volts\n100,12\n200\n", SW_FORMAT, "line 3: found 1 reading"},
        {"rpm,volts\n100,12,13\n", SW_FORMAT, "line 2, column 3: found \"13\""},
        {"rpm,volts\n-100,12\n", SW_VALUE, "line 2, column 1: found -100"},
        {"rpm,volts\n", SW_EMPTY, "no readings"},
        {"rpm,volts,vac\n1,2,3\n", SW_DUPLICATE_KEY, "second column of voltage"},
        {"rpm,volts (ohm)\n1,2\n", SW_UNIT, "unit \"ohm\" is no voltage"},
        {"# meter: pointer\nrpm,volts\n1,2\n", SW_VALUE, "line 1: found \"pointer\""},
        {"# phases: 4\nrpm,volts\n1,2\n", SW_VALUE, "expected 1, 2 or 3"},
    };
    for (size_t k = 0; k < sizeof CASES / sizeof *CASES; k++) {
        sw_recording recording;
        sw_error error = {0};
        assert_int_equal(load(state, CASES[k].text, &recording, &error), CASES[k].status);
        assert_non_null(strstr(error.message, CASES[k].says));
        assert_non_null(strstr(error.message, "bench.csv: "));
    }
}

static void a_waveform_is_not_taken_for_readings(void **state) {
    static const char *const TEXTS[] = {
        "time (s),volts,rpm\n0,1,2\n1,2,2\n2,3,2\n3,5,2\n",
        "Frequency,Channel A\n(ms),(V)\n\n0,1\n1,2\n2,3\n3,1\n",
        "t,v\n0,1\n1,2\n2,3\n3,1\n",
    };
    for (size_t k = 0; k < sizeof TEXTS / sizeof *TEXTS; k++) {
        sw_recording recording;
        sw_error error = {0};
        assert_ok(load(state, TEXTS[k], &recording, &error), &error);
        assert_false(recording.is_readings);
        sw_recording_free(&recording);
    }
}

static void readings_stream_as_rows(void **state) {
    sw_recording recording;
    sw_error error = {0};
    assert_ok(load(state, "rpm,volts,ohm\n100,8,\n200,15,10\n", &recording, &error), &error);
    sw_recording_free(&recording);
    sw_probe *probe = NULL;
    sw_probe_request request = {.path = support_at("bench.csv"), .units = *state};
    assert_ok(sw_probe_open(&request, &probe, &error), &error);
    const sw_probe_description *about = sw_probe_describe(probe);
    assert_int_equal(about->channels, 3);
    assert_close(about->rate_hz, 0, 0);
    assert_string_equal(about->channel[0].unit, "rpm");
    double block[12];
    size_t got = 0;
    assert_ok(sw_probe_read(probe, block, 4, &got, &error), &error);
    assert_int_equal(got, 2);
    assert_close(block[3], 200, 0);
    assert_close(block[4], 15, 0);
    assert_true(isnan(block[2]));
    assert_ok(sw_probe_read(probe, block, 4, &got, &error), &error);
    assert_int_equal(got, 0);
    sw_probe_close(probe);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spellings_and_units_are_understood),
        cmocka_unit_test(what_is_wrong_is_named),
        cmocka_unit_test(a_waveform_is_not_taken_for_readings),
        cmocka_unit_test(readings_stream_as_rows),
    };
    return cmocka_run_group_tests(tests, support_folder_units_setup, support_folder_units_teardown);
}
