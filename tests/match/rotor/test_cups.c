/* The cup rotor by itself: scale, symmetry, shield and number of vanes. */
#include "tests/support.h"

#include "src/match/rotor/cups.h"

#include <math.h>

static void cups_scale_and_mirror(void **state) {
    (void)state;
    sw_cups small = {3, 0.2, 0.5, 0.4, 1.42, 0.38, 0.2};
    sw_cups large = {3, 0.6, 1.9, 1.2, 1.42, 0.38, 0.2};
    for (double ratio = 0; ratio < 1; ratio += 0.1)
        assert_close(sw_cups_torque(&small, ratio), sw_cups_torque(&large, ratio), 1e-12);
    /* A vane that drags alike both ways does not start, at the mean over a turn. */
    sw_cups even = {4, 0.2, 0.5, 0.4, 1.2, 1.2, 0};
    assert_close(sw_cups_torque(&even, 0), 0, 2e-3); /* shadows are sampled in 1 degree steps */
    /* Static torque over a turn has the mean of the torque at no speed. */
    double sum = 0;
    for (int i = 0; i < 720; i++)
        sum += sw_cups_static_torque(&small, i * 0.5 + 0.25) / 720;
    assert_close(sum, sw_cups_torque(&small, 0), 2e-3);
}

static void shielding_helps(void **state) {
    (void)state;
    sw_cups open = {4, 0.4, 1, 0.6, 1.2, 1.2, 0};
    sw_cups shielded = {4, 0.4, 1, 0.6, 1.2, 1.2, 1};
    assert_true(sw_cups_torque(&shielded, 0.2) > sw_cups_torque(&open, 0.2) + 0.02);
    /* Hidden vanes are still braked by the air they stand in. */
    assert_true(sw_cups_torque(&shielded, 0.9) < 0);
}

static void more_vanes_start_better(void **state) {
    (void)state;
    double before = -1;
    for (int vanes = 1; vanes <= 3; vanes += 2) {
        sw_cups cups = {vanes, 0.3, 0.9, 0.65, 1.42, 0.38, 0};
        double lowest = HUGE_VAL;
        for (int angle = 0; angle < 360; angle += 5)
            lowest = fmin(lowest, sw_cups_static_torque(&cups, angle));
        assert_true(lowest > before);
        before = lowest;
    }
    assert_true(before > 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cups_scale_and_mirror),
        cmocka_unit_test(shielding_helps),
        cmocka_unit_test(more_vanes_start_better),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
