/* Magnets behind the map: what slots and poles let one see, and one weak magnet among good ones. */
#include "tests/support.h"

#include "probes/simulate/simulate.h"
#include "src/measure/measure.h"
#include "src/measure/ring/ring_magnets.h"

#include <stdio.h>

static void test_response_keeps_the_mean(void **state) {
    (void)state;
    static const int PAIRS[][2] = {{12, 14}, {27, 30}, {36, 48}, {27, 24},
                                   {51, 46}, {36, 12}, {30, 4}};
    for (size_t i = 0; i < sizeof PAIRS / sizeof *PAIRS; i++)
        for (int one = 0; one < 2; one++) {
            sw_stator stator = {PAIRS[i][0], PAIRS[i][1], 3, one};
            double response[SW_RING_POLE_LIMIT];
            double sum = 0;
            assert_true(sw_stator_response(&stator, response));
            for (int m = 0; m < stator.poles; m++)
                sum += response[m];
            /* a ring that is stronger all round is seen as that; rounding only */
            assert_close(sum, 1, 1e-9);
        }
}

static void test_what_gives_no_winding(void **state) {
    (void)state;
    double response[SW_RING_POLE_LIMIT];
    sw_stator none = {1, 14, 3, false};
    sw_stator misfit = {2, 4, 3, true}; /* hardly any flux */
    assert_false(sw_stator_response(&none, response));
    assert_false(sw_stator_response(&misfit, response));
}

/* A ring with one magnet of 0.6, made with the response itself. */
static void weaken(const sw_stator *stator, int place, sw_magnet_ring *ring) {
    double response[SW_RING_POLE_LIMIT];
    int n = stator->poles;
    assert_true(sw_stator_response(stator, response));
    *ring = (sw_magnet_ring){.poles = n};
    for (int h = 0; h < n; h++) {
        ring->strength[h] = 1 - 0.4 * (response[((place - h) % n + n) % n] - 1.0 / n);
        ring->strength_u[h] = 1e-3;
    }
}

static void test_how_many_likes(void **state) {
    (void)state;
    /* slots, poles, places that the volts cannot tell apart: gcd(slots, pole pairs), twice that
     * where the other half of the turn is the same with north and south exchanged */
    static const int ROWS[][3] = {{12, 14, 2}, {27, 30, 3}, {36, 48, 12}, {27, 24, 3},
                                  {18, 16, 2}, {51, 46, 1}, {36, 40, 4}};
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        sw_stator stator = {ROWS[i][0], ROWS[i][1], 3, false};
        sw_magnet_ring ring;
        weaken(&stator, 5, &ring);
        sw_ring_magnets(&stator, &ring);
        assert_int_equal(ring.weak_count, ROWS[i][2]);
        /* half of it is lost where the mean of a few places is taken off */
        assert_close(ring.weak_lack.value, 0.4, 1e-6);
    }
}

static void test_blind_winding(void **state) {
    (void)state;
    sw_stator stator = {36, 12, 3, false};
    sw_magnet_ring ring;
    weaken(&stator, 5, &ring);
    sw_ring_magnets(&stator, &ring);
    assert_int_equal(ring.weak_count, 0);
    assert_true(ring.smallest_weak > 1);
}

static sw_motor measured(const char *family, double strength, unsigned long seed) {
    sw_sim_spec spec;
    sw_sim_truth truth;
    sw_waveform waveform;
    sw_motor motor;
    sw_error error;
    assert_ok(sw_sim_family(family, seed, &spec, &error), &error);
    spec.front.channels = 2;
    spec.front.tach_marks = 1;
    spec.spin.coast = SW_SIM_COAST_NO;
    spec.motor.weak_magnet = 5;
    spec.motor.weak_strength = strength;
    assert_ok(sw_simulate(&spec, &waveform, &truth, &error), &error);
    sw_measure_request request = sw_measure_default();
    request.tach_channel = 3;
    request.slots = spec.motor.slots;
    assert_ok(sw_measure(&waveform, truth.clipped, &request, &motor, &error), &error);
    sw_waveform_free(&waveform);
    return motor;
}

static void test_weak_magnet_of_a_hub(void **state) {
    (void)state;
    sw_motor motor = measured("hub-30", 0.6, 7);
    assert_int_equal(motor.magnet_ring.weak_count, 3);
    /* the block model is good to a tenth, the other magnets add theirs */
    assert_close(motor.magnet_ring.weak_lack.value, 0.4, 2 * motor.magnet_ring.weak_lack.u);
    assert_true(sw_motor_warned(&motor, SW_WARN_WEAK_MAGNET));
}

static void test_good_hub(void **state) {
    (void)state;
    sw_motor motor = measured("hub-30", 1, 8);
    assert_int_equal(motor.magnet_ring.weak_count, 0);
    assert_false(sw_motor_warned(&motor, SW_WARN_WEAK_MAGNET));
    assert_true(motor.magnet_ring.magnet_spread < 0.05);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_response_keeps_the_mean),
        cmocka_unit_test(test_what_gives_no_winding),
        cmocka_unit_test(test_how_many_likes),
        cmocka_unit_test(test_blind_winding),
        cmocka_unit_test(test_weak_magnet_of_a_hub),
        cmocka_unit_test(test_good_hub),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
