/* One faulty phase, seen in two lines against the third wire, to the star point, or not at all. */
#include "tests/support.h"

#include "src/measure/constant/phases.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static double complex phase(int number) {
    return cexp(-2 * M_PI * I * number / 3);
}

/* Phases 0, 1, 2 with a factor on one of them. */
static void emf(int odd, double complex factor, double complex e[3]) {
    for (int i = 0; i < 3; i++)
        e[i] = phase(i) * (i == odd ? factor : 1);
}

static double judge(const sw_relation *relation, sw_between between, sw_motor *motor) {
    double line_over_lead;
    bool of_phase;
    sw_motor_init(motor);
    sw_phases_judge(relation, between, motor, &line_over_lead, &of_phase);
    return line_over_lead;
}

static double two_lines(int odd, double complex factor, double scale, bool backwards,
                        sw_motor *motor) {
    double complex e[3];
    emf(odd, factor, e);
    double complex r = scale * (e[1] - e[2]) / (e[0] - e[2]);
    sw_relation relation = {.channels = 2, .ratio = {1, backwards ? conj(r) : r}};
    return judge(&relation, SW_BETWEEN_NOT_SAID, motor);
}

static const char *message(const sw_motor *motor, sw_warning_code code) {
    for (size_t i = 0; i < motor->warnings; i++)
        if (motor->warning[i].code == code)
            return motor->warning[i].message;
    return "";
}

static void test_shorted_phase_in_two_lines(void **state) {
    (void)state;
    static const char *const WHERE[] = {"channel 1's wire", "channel 2's wire", "common (ground)"};
    for (int odd = 0; odd < 3; odd++)
        for (int backwards = 0; backwards < 2; backwards++)
            for (double lack = 0.08; lack < 0.5; lack += 0.1) {
                sw_motor motor;
                char wanted[32];
                (void)two_lines(odd, 1 - lack, 1, backwards, &motor);
                assert_int_equal(motor.phases, 3);
                assert_true(sw_motor_warned(&motor, SW_WARN_SHORTED_COIL));
                const char *said = message(&motor, SW_WARN_SHORTED_COIL);
                assert_non_null(strstr(said, WHERE[odd]));
                snprintf(wanted, sizeof wanted, "%.0f %% less", 100 * lack);
                assert_non_null(strstr(said, wanted));
            }
}

/* A channel whose scale is off leaves the angle at 60 degrees: no coil is blamed. */
static void test_scale_is_no_coil(void **state) {
    (void)state;
    for (double scale = 0.8; scale < 1.3; scale += 0.07) {
        sw_motor motor;
        (void)two_lines(0, 1, scale, false, &motor);
        assert_false(sw_motor_warned(&motor, SW_WARN_SHORTED_COIL));
        assert_false(sw_motor_warned(&motor, SW_WARN_REVERSED_PHASE));
    }
}

static void test_sound_winding(void **state) {
    (void)state;
    sw_motor motor;
    /* 1 % is what sound windings differ by */
    (void)two_lines(1, 0.99, 1, false, &motor);
    assert_int_equal(motor.warnings, 0);
}

static void test_reversed_phase_in_two_lines(void **state) {
    (void)state;
    for (int odd = 0; odd < 2; odd++) {
        sw_motor motor;
        double line = two_lines(odd, -1, 1, false, &motor);
        assert_int_equal(motor.phases, 3);
        assert_true(sw_motor_warned(&motor, SW_WARN_REVERSED_PHASE));
        assert_false(sw_motor_warned(&motor, SW_WARN_SHORTED_COIL));
        /* lines of 1, 1 and sqrt 3 phases: their mean over the first one */
        double first = odd == 0 ? 1 : sqrt(3);
        assert_close(line, (2 + sqrt(3)) / 3 / first, 1e-9);
    }
}

static void test_shorted_phase_to_the_star_point(void **state) {
    (void)state;
    for (int odd = 0; odd < 3; odd++) {
        sw_motor motor;
        double complex e[3];
        char wanted[16];
        emf(odd, 0.9, e);
        sw_relation relation = {.channels = 3, .ratio = {e[0], e[1], e[2]}};
        (void)judge(&relation, SW_BETWEEN_STAR_POINT, &motor);
        snprintf(wanted, sizeof wanted, "channel %d gives", odd + 1);
        assert_non_null(strstr(message(&motor, SW_WARN_SHORTED_COIL), wanted));
        assert_non_null(strstr(message(&motor, SW_WARN_SHORTED_COIL), "scale is off"));
        /* an angle that moved along is no scale */
        emf(odd, 0.9 * cexp(0.06 * I), e);
        for (int i = 0; i < 3; i++)
            relation.ratio[i] = e[i];
        (void)judge(&relation, SW_BETWEEN_STAR_POINT, &motor);
        assert_null(strstr(message(&motor, SW_WARN_SHORTED_COIL), "scale is off"));
    }
}

static void test_dead_phase(void **state) {
    (void)state;
    sw_motor motor;
    sw_relation relation = {.channels = 3, .lead = 1, .ratio = {0.001, phase(1), phase(2)}};
    (void)judge(&relation, SW_BETWEEN_STAR_POINT, &motor);
    assert_int_equal(motor.phases, 3);
    assert_non_null(strstr(message(&motor, SW_WARN_DEAD_PHASE), "channel 1"));
    assert_true(sw_motor_warned(&motor, SW_WARN_UNBALANCED));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_shorted_phase_in_two_lines),
        cmocka_unit_test(test_scale_is_no_coil),
        cmocka_unit_test(test_sound_winding),
        cmocka_unit_test(test_reversed_phase_in_two_lines),
        cmocka_unit_test(test_shorted_phase_to_the_star_point),
        cmocka_unit_test(test_dead_phase),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
