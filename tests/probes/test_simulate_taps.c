/* The simulated battery taps are what a calibration can read. */
#include "tests/support.h"

#include "probes/calibrate.h"
#include "probes/simulate/simulate.h"
#include "probes/simulate/taps.h"

#include <math.h>

static const unsigned long SEEDS = 4;

static sw_calibration calibrated(const sw_sim_spec *spec, const sw_sim_batteries *batteries,
                                 sw_sim_front *front) {
    sw_waveform waveform;
    sw_error error = {SW_OK, ""};
    sw_calibration found;
    sw_tap_request request = {.batteries = batteries->count};
    for (size_t b = 0; b < batteries->count; b++)
        request.battery[b] = sw_quantity_of(batteries->volts[b], 0, "V");
    assert_ok(sw_sim_taps(spec, batteries, &waveform, front, &error), &error);
    assert_ok(sw_calibrate_tap(&waveform, &request, &found, &error), &error);
    sw_waveform_free(&waveform);
    return found;
}

/* The figures asked of a calibration: volts within 0.3 %, low cut within 2 %. A battery that
 * fills a tenth of the range, as it does where one was chosen for the divider. */
static void a_calibration_finds_the_front(void **state) {
    (void)state;
    for (unsigned long seed = 1; seed <= SEEDS; seed++) {
        sw_sim_spec spec;
        sw_sim_front front;
        assert_ok(sw_sim_family("drum-48", seed, &spec, NULL), NULL);
        spec.front.volts_per_unit = 90;
        sw_sim_batteries batteries = {2, {9.2, 18.5}};
        sw_calibration found = calibrated(&spec, &batteries, &front);
        assert_close(front.volts_per_unit, 90, 0);
        assert_close(found.volts_per_unit.value / 90, 1, 0.003);
        assert_close(found.low_cut_hz.value / front.low_cut_hz, 1, 0.02);
        assert_int_equal(found.plus, 10);
        assert_int_equal(found.minus, 10);
        assert_false(found.doubt[SW_CALIBRATION_NOT_LINEAR]);
    }
}

/* Without a scale of its own the front has the one the motor would be recorded with. */
static void the_scale_is_the_motors(void **state) {
    (void)state;
    sw_sim_spec spec;
    sw_sim_front front;
    sw_sim *sim = NULL;
    assert_ok(sw_sim_family("hub-30", 2, &spec, NULL), NULL);
    sw_sim_batteries batteries = {1, {9.2}};
    (void)calibrated(&spec, &batteries, &front);
    assert_ok(sw_sim_new(&spec, &sim, NULL), NULL);
    assert_close(front.volts_per_unit, sw_sim_truth_of(sim)->spec.front.volts_per_unit, 0);
    sw_sim_free(sim);
}

static void a_scope_is_refused(void **state) {
    (void)state;
    sw_sim_spec spec;
    sw_sim_front front;
    sw_waveform waveform;
    sw_error error;
    assert_ok(sw_sim_family("brushed-2", 1, &spec, NULL), NULL);
    sw_sim_batteries batteries = {1, {9.2}};
    assert_int_equal(sw_sim_taps(&spec, &batteries, &waveform, &front, &error), SW_UNSUPPORTED);
}

/* True values scatter about the profile's as its uncertainties say: 100 draws of a standard
 * normal have a root mean square of 1 within 0.2 (three standard deviations, 1/sqrt(200)). */
static void a_profile_is_as_true_as_it_says(void **state) {
    (void)state;
    sw_profile profile = sw_profile_uncalibrated();
    profile.volts_per_unit = sw_quantity_of(160, 0.5, "V");
    profile.low_cut_hz = sw_quantity_of(4, 0.05, "Hz");
    profile.linear_limit = 0.8;
    double volts = 0;
    double cuts = 0;
    for (unsigned long seed = 1; seed <= 100; seed++) {
        sw_sim_spec spec;
        assert_ok(sw_sim_family("drum-48", seed, &spec, NULL), NULL);
        sw_sim_wire_as(&profile, &spec);
        volts += pow((spec.front.volts_per_unit - 160) / 0.5, 2);
        cuts += pow((spec.front.low_cut_hz - 4) / 0.05, 2);
        assert_close(spec.front.linear_limit, 0.8, 0);
        assert_false(spec.front.scope);
    }
    assert_close(sqrt(volts / 100), 1, 0.22);
    assert_close(sqrt(cuts / 100), 1, 0.22);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_calibration_finds_the_front),
        cmocka_unit_test(the_scale_is_the_motors),
        cmocka_unit_test(a_scope_is_refused),
        cmocka_unit_test(a_profile_is_as_true_as_it_says),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
