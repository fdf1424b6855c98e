/* Two equal motors: magnets by volts and ohms, whatever the wire. */
#include "tests/support.h"

#include "src/measure/twin.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>

static sw_motor motor_of(double volts_per_hertz, double ohm) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.phases = 3;
    motor.pole_pairs.value = 15;
    motor.volts_per_hertz = sw_quantity_of(volts_per_hertz, 0.004 * volts_per_hertz, "V/Hz");
    motor.winding_resistance = sw_quantity_of(ohm, 0.02 * ohm, "ohm");
    return motor;
}

static sw_twin twin_of(sw_motor *motor, const sw_motor *good) {
    sw_twin twin;
    sw_error error;
    assert_ok(sw_twin_compare(motor, good, &twin, &error), &error);
    return twin;
}

static void other_wire_is_no_other_strength(void **state) {
    (void)state;
    sw_motor good = motor_of(0.2, 0.4);
    sw_motor motor = motor_of(0.3, 0.9); /* half as many turns again */
    sw_twin twin = twin_of(&motor, &good);
    assert_close(twin.strength.value, 1, 1e-12);
    assert_close(twin.ohms, 2.25, 1e-12);
    /* 0.4 % and 2 % of ohms by the root, twice, and 3 % between equals */
    assert_close(twin.strength.u, sqrt(2 * (0.004 * 0.004 + 0.01 * 0.01) + 0.03 * 0.03), 1e-4);
    assert_int_equal(motor.warnings, 0);
}

static void unequal_motors_are_refused(void **state) {
    (void)state;
    sw_motor good = motor_of(0.2, 0.4);
    sw_motor motor = motor_of(0.2, 0.4);
    sw_twin twin;
    sw_error error;
    good.pole_pairs.value = 16;
    assert_int_equal(sw_twin_compare(&motor, &good, &twin, &error), SW_MISMATCH);
    good.pole_pairs.value = 15;
    good.winding_resistance = sw_quantity_unknown();
    assert_int_equal(sw_twin_compare(&motor, &good, &twin, &error), SW_MISSING_KEY);
    good = motor_of(0.2, 0.4);
    good.volts_per_hertz = sw_quantity_unknown();
    assert_int_equal(sw_twin_compare(&motor, &good, &twin, &error), SW_MISSING_KEY);
}

/* How often a loss is said: equal motors within 2 % of one another, volts good to 0.4 %, ohms to
 * 2 %. */
static void losses_are_found(void **state) {
    (void)state;
    enum { TRIALS = 500 };
    static const double LOSS[] = {0, 0.1, 0.2, 0.4};
    /* what a normal distribution leaves within: 8 % stand 3.4 standard deviations (0.024) above
     * none, and 20 % as far above the 8 */
    static const int LEAST[] = {0, 300, 490, 500};
    static const int MOST[] = {3, 480, 500, 500};
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 41);
    print_message("seed 41\n");
    for (int k = 0; k < 4; k++) {
        int said = 0;
        for (int i = 0; i < TRIALS; i++) {
            double turns = exp(gsl_ran_gaussian(random, 0.1));
            double own = (1 - LOSS[k]) * (1 + gsl_ran_gaussian(random, 0.02));
            sw_motor good = motor_of(0.2, 0.4 * (1 + gsl_ran_gaussian(random, 0.02)));
            sw_motor motor = motor_of(0.2 * turns * own * (1 + gsl_ran_gaussian(random, 0.004)),
                                      0.4 * turns * turns * (1 + gsl_ran_gaussian(random, 0.02)));
            (void)twin_of(&motor, &good);
            said += sw_motor_warned(&motor, SW_WARN_WEAK_MAGNET);
        }
        print_message("loss of %.0f %%: said of %d of %d\n", 100 * LOSS[k], said, TRIALS);
        assert_in_range(said, (unsigned long)LEAST[k], (unsigned long)MOST[k]);
    }
    gsl_rng_free(random);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(other_wire_is_no_other_strength),
        cmocka_unit_test(unequal_motors_are_refused),
        cmocka_unit_test(losses_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
