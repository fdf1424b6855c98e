/* The tachometer's channel: marks found, counted over gaps, and what they make of the motor. */
#include "tests/support.h"

#include "probes/simulate/simulate.h"
#include "src/measure/measure.h"
#include "src/measure/poles/tach.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <string.h>

enum { FRAMES = 48000, RATE = 16000, TURNS = 30 };

/* Three seconds at ten turns a second, one pulse of 3 ms a turn, its middle at (k + 0.3) / 10 s. */
static sw_waveform pulses(double sign, double offset, bool sine) {
    sw_waveform waveform;
    sw_error error;
    assert_ok(sw_waveform_new(1, FRAMES, RATE, &waveform, &error), &error);
    for (size_t i = 0; i < FRAMES; i++) {
        double turns = 10.0 * (double)i / RATE - 0.3;
        double off_s = (turns - round(turns)) / 10.0;
        double x = sine ? cos(2 * M_PI * turns) : exp(-0.5 * pow(off_s / 0.003, 2));
        waveform.channel[0].samples[i] = offset + sign * x;
    }
    return waveform;
}

/* Middles are exact for a symmetrical pulse; crossings by straight lines between samples 1/16 ms
 * apart leave curvature: below (1/16 ms / 3 ms)^2 / 8 of 3 ms = 0.2 us. */
static void test_middles(void **state) {
    (void)state;
    for (int kind = 0; kind < 3; kind++) {
        sw_error error;
        sw_tach tach;
        sw_waveform waveform = pulses(kind == 1 ? -0.4 : 0.7, kind == 1 ? 0.6 : -0.1, kind == 2);
        assert_ok(sw_tach_read(&waveform, 0, 1, RATE, &tach, &error), &error);
        assert_int_equal(tach.count, TURNS);
        for (size_t i = 0; i < tach.count; i++)
            assert_close(tach.time_s[i], ((double)i + 0.3) / 10.0, 2e-7);
        sw_quantity speed = sw_tach_speed(&tach, 0.5, 2.5);
        assert_close(speed.value, 600, 600 * 1e-6);
        sw_tach_free(&tach);
        sw_waveform_free(&waveform);
    }
}

/* A track of 7.5 cycles a turn at ten turns a second. */
static void make_track(double cycles_a_turn, sw_track *track) {
    sw_error error;
    assert_ok(sw_track_new(31, track, &error), &error);
    for (size_t i = 0; i < track->count; i++)
        track->knot[i] = (sw_knot){cycles_a_turn * (double)i, 0.1 * (double)i, 10 * cycles_a_turn};
}

static void test_missed_and_double_marks(void **state) {
    (void)state;
    double times[40];
    size_t count = 0;
    for (int i = 0; i < TURNS; i++) {
        if (i == 4 || i == 11 || i == 12)
            continue;
        times[count++] = (i + 0.3) / 10.0;
        if (i == 20)
            times[count++] = (i + 0.33) / 10.0;
    }
    sw_tach tach = {.marks = 1, .count = count, .time_s = times};
    sw_tach_count found;
    sw_track track;
    sw_error error;
    make_track(7, &track);
    assert_ok(sw_tach_compare(&tach, &track, &found, &error), &error);
    assert_int_equal(found.turns, TURNS - 1);
    /* straight track, exact marks: rounding only */
    assert_close(found.cycles.value, 7, 1e-9);
    assert_close(found.mark_cycles, 7 * 0.3, 1e-9);
    sw_track_free(&track);
}

/* Marks that come at random do not pass for a count. */
static void test_marks_of_another_machine(void **state) {
    (void)state;
    double times[120];
    unsigned long draw = 12345;
    double at = 0;
    size_t count = 0;
    while (at < 2.9 && count < 120) {
        draw = (draw * 1103515245UL + 12345UL) % 2147483648UL;
        at += 0.005 + 0.1 * (double)draw / 2147483648.0;
        times[count++] = at;
    }
    sw_tach tach = {.marks = 1, .count = count, .time_s = times};
    sw_tach_count found;
    sw_track track;
    sw_error error;
    make_track(7, &track);
    assert_ok(sw_tach_compare(&tach, &track, &found, &error), &error);
    assert_int_equal(found.turns, 0);
    sw_track_free(&track);
}

typedef struct outcome {
    sw_motor motor;
    sw_sim_truth truth;
} outcome;

static void measure_spec(const sw_sim_spec *spec, int tach_channel, outcome *o) {
    sw_error error;
    sw_waveform waveform;
    sw_sim_calibration honest = {0.002, 0.03, 2e-5};
    sw_measure_request request = sw_measure_default();
    assert_ok(sw_simulate(spec, &waveform, &o->truth, &error), &error);
    request.profile = sw_sim_profile(&o->truth, &honest);
    request.tach_channel = tach_channel > 0 ? tach_channel : (int)waveform.channels;
    request.tach_marks = spec->front.tach_marks;
    assert_ok(sw_measure(&waveform, o->truth.clipped, &request, &o->motor, &error), &error);
    sw_waveform_free(&waveform);
}

/* Pole pairs need nothing else; the speed is that of the held stretch. Two channels of the motor
 * keep their phases. */
static void test_pole_pairs(void **state) {
    (void)state;
    static const char *const FAMILIES[] = {"pump-2",   "pump-6",    "model-14", "drum-24",
                                           "drum-36",  "drum-48",   "hub-46",   "ring-80",
                                           "ring-112", "stepper-24"};
    static const int MARKS[] = {1, 2, 6};
    size_t right = 0;
    size_t all = 0;
    for (size_t i = 0; i < sizeof FAMILIES / sizeof *FAMILIES; i++) {
        sw_sim_spec spec;
        sw_error error;
        outcome o;
        assert_ok(sw_sim_family(FAMILIES[i], 31 + i, &spec, &error), &error);
        spec.front.automatic_level = false;
        spec.front.channels = spec.motor.phases > 1 && i % 2 == 0 ? 2 : 1;
        spec.front.tach_marks = MARKS[i % 3];
        spec.front.tach_sine = i % 4 == 3;
        measure_spec(&spec, 0, &o);
        print_message("%s, %d marks: %d pairs, probability %.5f\n", FAMILIES[i],
                      spec.front.tach_marks, o.motor.pole_pairs.value,
                      o.motor.pole_pairs.probability);
        all++;
        right += o.motor.pole_pairs.value == spec.motor.pole_pairs;
        if (spec.front.channels == 2)
            assert_int_equal(o.motor.phases, spec.motor.phases);
    }
    assert_int_equal(right, all);
}

/* The tachometer said to be on the motor's channel: told, not used. */
static void test_wrong_channel(void **state) {
    (void)state;
    sw_sim_spec spec;
    sw_error error;
    sw_waveform waveform;
    sw_motor motor;
    sw_measure_request request = sw_measure_default();
    assert_ok(sw_sim_family("fan-8", 3, &spec, &error), &error);
    spec.front.channels = 1;
    assert_ok(sw_simulate(&spec, &waveform, NULL, &error), &error);
    request.tach_channel = 2;
    assert_int_equal(sw_measure(&waveform, 0, &request, &motor, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "channel 2"));
    sw_waveform_free(&waveform);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_middles),
        cmocka_unit_test(test_missed_and_double_marks),
        cmocka_unit_test(test_marks_of_another_machine),
        cmocka_unit_test(test_pole_pairs),
        cmocka_unit_test(test_wrong_channel),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
