/* The live meter on simulated spins whose course is known. */
#include "tests/support.h"

#include "probes/simulate/simulate.h"
#include "src/measure/meter/meter.h"

#include <math.h>
#include <string.h>

enum { BLOCK = 1000, MOST_READINGS = 1200 };

/* A drum motor at 300 rpm, 120 Hz: half a second at rest, two seconds of ramp, nine of hold. */
static sw_sim_spec drum(void) {
    sw_sim_spec spec;
    assert_ok(sw_sim_family("drum-48", 5, &spec, NULL), NULL);
    spec.motor.cogging_nm = 0;
    spec.spin.speed_rpm = 300;
    spec.spin.lead_in_s = 0.5;
    spec.spin.ramp_rpm_per_s = 150;
    spec.spin.coast = SW_SIM_COAST_FREE;
    spec.spin.release_s = 11.5;
    spec.spin.seconds = 25;
    spec.spin.wobble = 0.005;
    spec.front.channels = 2;
    spec.front.rate_hz = 16000;
    spec.front.volts_per_unit = 0;
    spec.front.level = 0.5;
    spec.front.low_cut_hz = 4;
    spec.front.hum = 1e-3;
    return spec;
}

typedef struct story {
    size_t count;
    sw_live_reading reading[MOST_READINGS];
} story;

static story told;

static int32_t whole(double sample) {
    return (int32_t)fmin(fmax(rint(ldexp(sample, 31)), -2147483648.0), 2147483647.0);
}

static sw_live_request asked(const sw_sim *sim) {
    const sw_sim_front *front = &sw_sim_truth_of(sim)->spec.front;
    sw_profile profile = sw_profile_uncalibrated();
    profile.volts_per_unit = sw_quantity_of(front->volts_per_unit, 0, "V");
    profile.low_cut_hz = sw_quantity_of(front->low_cut_hz, 0, "Hz");
    profile.calibrated = true;
    return (sw_live_request){.rate_hz = front->rate_hz,
                             .channels = (size_t)front->channels,
                             .profile = profile,
                             .pole_pairs = 24,
                             .about_rpm = NAN,
                             .hold_s = 5};
}

static void listen(const sw_sim_spec *spec, void (*change)(sw_live_request *)) {
    static double block[BLOCK * SW_SIM_PHASE_LIMIT];
    static int32_t samples[BLOCK * SW_SIM_PHASE_LIMIT];
    sw_sim *sim = NULL;
    sw_live_meter *meter = NULL;
    sw_error error = {SW_OK, ""};
    assert_ok(sw_sim_new(spec, &sim, &error), &error);
    sw_live_request request = asked(sim);
    if (change != NULL)
        change(&request);
    assert_ok(sw_live_meter_new(&request, &meter, &error), &error);
    told.count = 0;
    size_t got = 0;
    int64_t fed = 0;
    while ((got = sw_sim_read(sim, block, BLOCK)) > 0) {
        for (size_t i = 0; i < got * request.channels; i++)
            samples[i] = whole(block[i]);
        if (sw_live_meter_feed(meter, fed, samples, got, &told.reading[told.count]))
            told.count++;
        fed += (int64_t)got;
        assert_true(told.count < MOST_READINGS);
    }
    sw_live_meter_free(meter);
    sw_sim_free(sim);
}

static const sw_live_reading *at(double time_s) {
    for (size_t i = 0; i < told.count; i++)
        if (told.reading[i].elapsed_s >= time_s - 1e-9)
            return &told.reading[i];
    fail_msg("no reading at %g s", time_s);
    return NULL;
}

/* When an advice is first given, NAN = never. */
static double first(sw_live_advice advice) {
    for (size_t i = 0; i < told.count; i++)
        if (told.reading[i].advice == advice)
            return told.reading[i].elapsed_s;
    return NAN;
}

static bool ever(sw_live_advice advice) {
    return isfinite(first(advice));
}

static void ramp_hold_and_coast_get_their_advice(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    listen(&spec, NULL);
    assert_int_equal(told.count, 250); /* ten a second */
    assert_int_equal(at(0.3)->advice, SW_LIVE_WAIT);
    assert_int_equal(at(1.8)->advice, SW_LIVE_SPEED_UP);
    assert_int_equal(at(6)->advice, SW_LIVE_KEEP_HOLDING);
    assert_close(at(7)->held_s - at(6)->held_s, 1, 0.15); /* a reading either way */
    assert_close(at(7)->to_go_s + at(7)->held_s, 5, 1e-9);
    /* at speed from 2.5 s, steady when 1.5 s lie within 12 %, then 5 s: 8.2 to 9.2 */
    assert_close(first(SW_LIVE_FREE_SHAFT), 8.7, 0.5);
    double down_s = first(SW_LIVE_RUN_DOWN);
    assert_true(down_s > 11.5 && down_s < 13);
    assert_true(first(SW_LIVE_DONE) > down_s);
    assert_int_equal(told.reading[told.count - 1].advice, SW_LIVE_DONE);
    assert_false(ever(SW_LIVE_AGAIN));
    assert_false(ever(SW_LIVE_TOO_LOUD));
    assert_false(ever(SW_LIVE_TOO_QUIET));
}

static void numbers_are_those_of_the_spin(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    spec.front.rate_hz = 48000;
    spec.spin.seconds = 12;
    sw_sim_truth truth;
    sw_waveform waveform;
    assert_ok(sw_simulate(&spec, &waveform, &truth, NULL), NULL);
    sw_waveform_free(&waveform);
    listen(&spec, NULL);
    double sum_hz = 0;
    double sum_v = 0;
    size_t count = 0;
    for (double s = 4; s < 11; s += 0.5, count++) {
        sum_hz += at(s)->frequency_hz;
        sum_v += at(s)->volts;
        assert_close(at(s)->rpm, at(s)->frequency_hz * 60 / 24, 1e-9);
        assert_true(at(s)->wander >= 0 && at(s)->wander < 0.03);
    }
    /* wobble of half a per cent, fourteen readings */
    double hz = truth.hold_speed_rpm / 60 * 24;
    assert_close(sum_hz / (double)count / hz, 1, 0.005);
    /* the rms holds harmonics (a few per cent of the fundamental: 0.3 %), the lines differ a bit */
    double volts = truth.volts_per_hertz * hz;
    assert_close(sum_v / (double)count / volts, 1, 0.02);
    /* full scale was chosen so that the peak is half of it */
    assert_close(at(8)->peak[0], 0.5, 0.03);
    assert_true(at(8)->peak[0] >= at(8)->level[0]);
    assert_int_equal(at(8)->clipped_samples, 0);
    assert_true(isnan(at(0.3)->frequency_hz) && isnan(at(0.3)->volts) && isnan(at(0.3)->rpm));
}

static void rough_speed(sw_live_request *request) {
    request->pole_pairs = 0;
    request->about_rpm = 305;
    request->profile.calibrated = false;
}

/* Within a fifth of 305 rpm 120 Hz may be 20 to 29 pole pairs: turns a minute are the rough speed
 * again, and follow the hertz from there. */
static void a_rough_speed_that_decides_nothing_is_told_as_rough(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    listen(&spec, rough_speed);
    assert_true(isnan(at(2)->rpm)); /* not before it was held for a while */
    assert_true(at(8)->rpm_guessed && at(8)->rpm_rough);
    /* the hold wanders by some percent about where it began */
    assert_close(at(8)->rpm, 305, 15);
    assert_close(at(8)->frequency_hz, 120, 3);
    assert_true(isnan(at(8)->volts));
}

/* Three pole pairs are the only whole number within a fifth. */
static void rpm_comes_from_a_rough_speed_that_decides(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    sw_sim_spec pump;
    assert_ok(sw_sim_family("pump-6", 5, &pump, NULL), NULL);
    spec.motor = pump.motor;
    spec.motor.cogging_nm = 0;
    listen(&spec, rough_speed);
    assert_true(isnan(at(2)->rpm)); /* not before it was held for a while */
    assert_close(at(8)->rpm, at(8)->frequency_hz * 20, 1e-9);
    assert_true(at(8)->rpm_guessed && !at(8)->rpm_rough);
}

static void too_loud_and_too_quiet(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    spec.front.level = 1.3;
    spec.spin.release_s = 20; /* patience: 2.5 s to speed, 5 s wanted, 10 s more */
    spec.spin.seconds = 33;
    listen(&spec, NULL);
    assert_int_equal(at(7)->advice, SW_LIVE_TOO_LOUD);
    assert_close(at(11)->held_s, 0, 0); /* what is cut off does not count as held */
    assert_true(at(7)->clipped[0] && at(7)->clipped[1]);
    assert_true(at(7)->clipped_samples > 1000);
    /* a peak meter holds what it saw for two seconds; the mark goes out after the run-down */
    assert_false(told.reading[told.count - 1].clipped[0]);
    assert_int_equal(told.reading[told.count - 1].advice, SW_LIVE_DONE);

    spec.front.level = 0.015;
    spec.front.noise = 3e-4;
    spec.front.hum = 3e-4;
    listen(&spec, NULL);
    assert_int_equal(at(7)->advice, SW_LIVE_TOO_QUIET);
    assert_true(ever(SW_LIVE_FREE_SHAFT)); /* advice, not a bar */
}

/* Clamps begin to conduct at 0.45 of full scale, a peak of half of it is too much. */
static void clamp_limit(sw_live_request *request) {
    request->profile.linear_limit = 0.45;
}

static void clamps_count_as_too_loud(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    listen(&spec, clamp_limit);
    assert_int_equal(at(7)->advice, SW_LIVE_TOO_LOUD);
    assert_false(at(7)->clipped[0]);
}

static void hum_alone_is_no_motor(void **state) {
    (void)state;
    static const double MAINS_HZ[] = {50.02, 59.98};
    for (size_t i = 0; i < 2; i++) {
        sw_sim_spec spec = drum();
        spec.spin.lead_in_s = 20;
        spec.spin.release_s = 24;
        spec.spin.seconds = 15;
        spec.spin.coast = SW_SIM_COAST_NO;
        spec.front.hum = 0.01;
        spec.front.hum_hz = MAINS_HZ[i];
        listen(&spec, NULL);
        assert_int_equal(at(5)->advice, SW_LIVE_HUM);
        for (size_t k = 0; k < told.count; k++)
            assert_true(told.reading[k].advice == SW_LIVE_HUM ||
                        told.reading[k].advice == SW_LIVE_WAIT);
        assert_true(isnan(at(5)->frequency_hz));
    }
}

/* Hum goes on when the motor stands still: done all the same. */
static void hum_does_not_hide_the_stop(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    spec.front.hum = 0.01;
    spec.front.hum_hz = 50;
    listen(&spec, NULL);
    assert_true(ever(SW_LIVE_DONE));
    assert_false(ever(SW_LIVE_AGAIN));
}

static void let_go_too_early(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    spec.spin.release_s = 5;
    listen(&spec, NULL);
    assert_false(ever(SW_LIVE_FREE_SHAFT));
    assert_false(ever(SW_LIVE_DONE));
    assert_int_equal(told.reading[told.count - 1].advice, SW_LIVE_AGAIN);
    assert_close(told.reading[told.count - 1].held_s, 0, 0);
}

static void a_hand_is_never_steady_but_let_go_on(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    sw_sim_turn_by_hand(&spec, 60);
    spec.spin.wobble = 0.12;
    spec.spin.release_s = 20;
    spec.spin.seconds = 30;
    listen(&spec, NULL);
    assert_true(ever(SW_LIVE_HOLD_STEADY));
    assert_true(ever(SW_LIVE_FREE_SHAFT));
    assert_true(ever(SW_LIVE_DONE));
}

static void block_size_does_not_matter(void **state) {
    (void)state;
    enum { FRAMES = 96000 };
    static int32_t samples[FRAMES];
    for (size_t i = 0; i < FRAMES; i++)
        samples[i] = whole(0.4 * sin(2 * acos(-1) * 110.0 * (double)i / 48000));
    sw_live_request request = {48000, 1, sw_profile_uncalibrated(), 0, NAN, 5};
    sw_live_reading last[2];
    for (size_t way = 0; way < 2; way++) {
        sw_live_meter *meter = NULL;
        size_t block = way == 0 ? 7 : FRAMES;
        assert_ok(sw_live_meter_new(&request, &meter, NULL), NULL);
        for (size_t i = 0; i < FRAMES; i += block) {
            size_t count = FRAMES - i < block ? FRAMES - i : block;
            (void)sw_live_meter_feed(meter, (int64_t)i, samples + i, count, &last[way]);
        }
        sw_live_meter_free(meter);
    }
    assert_close(last[0].elapsed_s, 2, 1e-9);
    assert_close(last[1].frequency_hz, last[0].frequency_hz, 0);
    /* crossings interpolated in a straight line: a part in ten thousand */
    assert_close(last[0].frequency_hz, 110, 0.02);
    assert_close(last[0].level[0], 0.4, 1e-3);
}

/* A second of blocks that the meter never saw: its clock is the recording's all the same, and the
 * frequency does not jump. */
static void skipped_frames_are_counted(void **state) {
    (void)state;
    enum { FRAMES = 48000, SKIPPED = 48000 + 137 };
    static int32_t samples[FRAMES];
    sw_live_request request = {48000, 1, sw_profile_uncalibrated(), 0, NAN, 5};
    sw_live_meter *meter = NULL;
    sw_live_reading reading = {0};
    assert_ok(sw_live_meter_new(&request, &meter, NULL), NULL);
    for (int64_t first = 0; first < 2 * (FRAMES + SKIPPED); first += FRAMES + SKIPPED) {
        for (size_t i = 0; i < FRAMES; i++)
            samples[i] =
                whole(0.4 * sin(2 * acos(-1) * 110.0 * (double)(first + (int64_t)i) / 48000));
        for (size_t i = 0; i < FRAMES; i += 1200)
            if (sw_live_meter_feed(meter, first + (int64_t)i, samples + i, 1200, &reading) &&
                (first > 0 || i > FRAMES / 2))
                assert_close(reading.frequency_hz, 110, 0.05); /* as in the test of block sizes */
    }
    assert_close(reading.elapsed_s, (2.0 * FRAMES + SKIPPED) / 48000, 1e-9);
    sw_live_meter_free(meter);
}

static void noise_alone_is_nothing(void **state) {
    (void)state;
    sw_sim_spec spec = drum();
    spec.spin.lead_in_s = 20;
    spec.spin.release_s = 24;
    spec.spin.seconds = 15;
    spec.spin.coast = SW_SIM_COAST_NO;
    spec.front.noise = 0.05;
    listen(&spec, NULL);
    for (size_t k = 0; k < told.count; k++) {
        assert_int_equal(told.reading[k].advice, SW_LIVE_WAIT);
        assert_true(isnan(told.reading[k].frequency_hz));
    }
}

static void wrong_requests(void **state) {
    (void)state;
    sw_live_meter *meter = NULL;
    sw_error error;
    sw_live_request request = {NAN, 1, sw_profile_uncalibrated(), 0, NAN, 5};
    assert_int_equal(sw_live_meter_new(&request, &meter, &error), SW_VALUE);
    request.rate_hz = 48000;
    request.channels = 9;
    assert_int_equal(sw_live_meter_new(&request, &meter, &error), SW_VALUE);
    assert_null(meter);
    sw_live_meter_free(NULL);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ramp_hold_and_coast_get_their_advice),
        cmocka_unit_test(numbers_are_those_of_the_spin),
        cmocka_unit_test(a_rough_speed_that_decides_nothing_is_told_as_rough),
        cmocka_unit_test(rpm_comes_from_a_rough_speed_that_decides),
        cmocka_unit_test(too_loud_and_too_quiet),
        cmocka_unit_test(clamps_count_as_too_loud),
        cmocka_unit_test(hum_alone_is_no_motor),
        cmocka_unit_test(hum_does_not_hide_the_stop),
        cmocka_unit_test(let_go_too_early),
        cmocka_unit_test(a_hand_is_never_steady_but_let_go_on),
        cmocka_unit_test(block_size_does_not_matter),
        cmocka_unit_test(skipped_frames_are_counted),
        cmocka_unit_test(noise_alone_is_nothing),
        cmocka_unit_test(wrong_requests),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
