/* One winding the other way round, where the windings' ends are separate. */
#include "tests/support.h"

#include "src/measure/constant/phases.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static double complex phase(int number) {
    return cexp(-2 * M_PI * I * number / 3);
}

static void judge(const sw_relation *relation, sw_between between, sw_motor *motor) {
    double line_over_lead;
    bool of_phase;
    sw_motor_init(motor);
    sw_phases_judge(relation, between, motor, &line_over_lead, &of_phase);
}

static void test_three_windings(void **state) {
    (void)state;
    for (int odd = 0; odd < 3; odd++) {
        sw_motor motor;
        sw_relation relation = {.channels = 3};
        for (int i = 0; i < 3; i++)
            relation.ratio[i] = i == odd ? -phase(i) : phase(i);
        judge(&relation, SW_BETWEEN_WINDINGS, &motor);
        assert_int_equal(motor.phases, 3);
        assert_true(sw_motor_warned(&motor, SW_WARN_REVERSED_PHASE));
        char wanted[48];
        snprintf(wanted, sizeof wanted, "channel %d is the other way", odd + 1);
        assert_non_null(strstr(motor.warning[0].message, wanted));
        /* turned back, they are even: rounding only */
        assert_close(motor.balance.value, 0, 1e-12);
    }
}

static void test_right_way_round(void **state) {
    (void)state;
    sw_motor motor;
    sw_relation relation = {.channels = 3, .ratio = {phase(0), phase(1), phase(2)}};
    judge(&relation, SW_BETWEEN_WINDINGS, &motor);
    assert_false(sw_motor_warned(&motor, SW_WARN_REVERSED_PHASE));
}

static void test_two_of_three_windings(void **state) {
    (void)state;
    sw_motor motor;
    sw_relation relation = {.channels = 2, .ratio = {1, -phase(1)}};
    judge(&relation, SW_BETWEEN_WINDINGS, &motor);
    assert_int_equal(motor.phases, 3);
    assert_true(sw_motor_warned(&motor, SW_WARN_REVERSED_PHASE));
    /* The same angle on a common ground is two lines against the third wire: nothing odd. */
    judge(&relation, SW_BETWEEN_NOT_SAID, &motor);
    assert_false(sw_motor_warned(&motor, SW_WARN_REVERSED_PHASE));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_three_windings),
        cmocka_unit_test(test_right_way_round),
        cmocka_unit_test(test_two_of_three_windings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
