/* The simulated spindle: run-down laws, ripple, drill. */
#include "tests/probes/simulate_support.h"

#include "probes/simulate/draw.h"
#include "probes/simulate/spindle.h"

static const double STEP_S = 1.0 / 48000;

/* A steady start at speed_rpm, let go at once. */
static sw_sim_spec coasting(double speed_rpm) {
    sw_sim_spec spec = clean_spec("hub-30", 1);
    spec.motor.drag_quadratic = 0;
    spec.motor.unbalance_nm = 0;
    spec.motor.cogging_nm = 0;
    spec.spin.speed_rpm = speed_rpm;
    spec.spin.coast = SW_SIM_COAST_FREE;
    spec.spin.release_s = 0;
    return spec;
}

/* Turn to time_s; the spindle goes on from where it is. */
static double turn_to(sw_spindle *spindle, double *time_s, double until_s) {
    while (*time_s + STEP_S / 2 < until_s) {
        sw_spindle_step(spindle, *time_s, STEP_S);
        *time_s += STEP_S;
    }
    return spindle->speed;
}

static gsl_rng *start(sw_spindle *spindle, const sw_sim_spec *spec) {
    gsl_rng *random = sw_draw_new(spec->seed, SW_SIM_STREAM_SPIN);
    assert_non_null(random);
    sw_spindle_start(spindle, spec, random);
    return random;
}

/* J dw/dt = -(T0 + T1 w): w = (w0 + T0 / T1) exp(-T1 t / J) - T0 / T1. With J = 0.02, T0 = 0.15,
 * T1 = 0.002, w0 = 100 it is 68.2779 after 2 s, 31.1429 after 5 s and stops at 8.473 s. The
 * midpoint rule errs by (T1 h / J)^2: nothing; friction fades below 0.05 rad/s. */
static void test_linear_drag(void **state) {
    (void)state;
    sw_sim_spec spec = coasting(100 * 60 / (2 * M_PI));
    spec.motor.inertia_kgm2 = 0.02;
    spec.motor.drag_constant_nm = 0.15;
    spec.motor.drag_linear = 0.002;
    sw_spindle spindle;
    double time_s = 0;
    gsl_rng *random = start(&spindle, &spec);
    assert_close(turn_to(&spindle, &time_s, 2), 68.2779, 1e-3);
    assert_close(turn_to(&spindle, &time_s, 5), 31.1429, 1e-3);
    assert_true(turn_to(&spindle, &time_s, 8.4) > 0.3);
    assert_close(turn_to(&spindle, &time_s, 8.6), 0, 0.01);
    gsl_rng_free(random);
}

/* J dw/dt = -T2 w^2: 1 / w = 1 / w0 + T2 t / J. */
static void test_quadratic_drag(void **state) {
    (void)state;
    sw_sim_spec spec = coasting(900);
    spec.motor.inertia_kgm2 = 0.01;
    spec.motor.drag_constant_nm = 0;
    spec.motor.drag_linear = 0;
    spec.motor.drag_quadratic = 2e-5;
    sw_spindle spindle;
    double time_s = 0;
    gsl_rng *random = start(&spindle, &spec);
    double first = 900 * 2 * M_PI / 60;
    double expected = 1 / (1 / first + 2e-5 * 10 / 0.01);
    assert_close(turn_to(&spindle, &time_s, 10) / expected, 1, 1e-6);
    gsl_rng_free(random);
}

/* What the turning mass loses is what drag takes: property over random motors. */
static void test_energy_balance(void **state) {
    (void)state;
    for (unsigned long seed = 1; seed <= 10; seed++) {
        sw_sim_spec spec;
        sw_error error;
        assert_ok(sw_sim_family("drum-48", seed, &spec, &error), &error);
        spec.spin.ramp_rpm_per_s = 0;
        spec.spin.release_s = 0;
        spec.spin.coast = SW_SIM_COAST_FREE;
        spec.motor.unbalance_nm = 0;
        spec.motor.cogging_nm = 0;
        sw_spindle spindle;
        double time_s = 0;
        gsl_rng *random = start(&spindle, &spec);
        double first = spindle.speed;
        double taken = 0;
        while (spindle.speed > first / 3) {
            double w = spindle.speed;
            taken += (spec.motor.drag_constant_nm + spec.motor.drag_linear * w +
                      spec.motor.drag_quadratic * w * w) *
                     w * STEP_S;
            sw_spindle_step(&spindle, time_s, STEP_S);
            time_s += STEP_S;
        }
        double lost = spec.motor.inertia_kgm2 / 2 * (first * first - spindle.speed * spindle.speed);
        /* The sum takes each step's speed at its start: late by half a step in some 1 s. */
        if (!(fabs(taken / lost - 1) < 1e-3))
            print_message("seed %lu\n", seed);
        assert_close(taken / lost, 1, 1e-3);
        gsl_rng_free(random);
    }
}

/* A freed shaft with cogging and an unbalance, no drag: kinetic plus stored energy stays. */
static void test_cogging_keeps_energy(void **state) {
    (void)state;
    sw_sim_spec spec = coasting(60);
    spec.motor.drag_constant_nm = 0;
    spec.motor.drag_linear = 0;
    spec.motor.cogging_nm = 0.1;
    spec.motor.unbalance_nm = 0.02;
    spec.motor.inertia_kgm2 = 0.01;
    sw_spindle spindle;
    double time_s = 0;
    gsl_rng *random = start(&spindle, &spec);
    double first = 2 * M_PI;
    double slowest = first;
    double fastest = first;
    for (int i = 0; i < 480000; i++) {
        sw_spindle_step(&spindle, time_s, STEP_S);
        time_s += STEP_S;
        slowest = fmin(slowest, spindle.speed);
        fastest = fmax(fastest, spindle.speed);
    }
    /* The unbalance swings the energy by 2 x 0.02 N m about 0.197 J, cogging (270 a turn, slots and
     * poles beside it) by less than 0.004 J: the speed stays within 15 % for ever. */
    assert_true(slowest > 0.85 * first);
    assert_true(fastest < 1.15 * first);
    assert_true(fastest - slowest > 0.02 * first);
    gsl_rng_free(random);
}

static void test_ripple_once_a_turn(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 1);
    spec.spin.turn_ripple = 0.004;
    spec.spin.gear_ratio[0] = 11.3;
    spec.spin.gear_ripple[0] = 0.001;
    sw_spindle spindle;
    double time_s = 0;
    gsl_rng *random = start(&spindle, &spec);
    double complex once = 0;
    double complex gear = 0;
    double before = spindle.angle_rad;
    enum { FRAMES = 480000 }; /* 50 turns, 565 gear periods */
    for (int i = 0; i < FRAMES; i++) {
        double turn = 2 * M_PI * 5 * time_s;
        once += spindle.speed * cexp(-I * turn) * 2 / FRAMES;
        gear += spindle.speed * cexp(-I * (11.3 * turn)) * 2 / FRAMES;
        sw_spindle_step(&spindle, time_s, STEP_S);
        time_s += STEP_S;
    }
    double w = 2 * M_PI * 5;
    assert_close(cabs(once) / w, 0.004, 1e-6);
    assert_close(cabs(gear) / w, 0.001, 1e-6);
    /* Fifty whole turns: the ripple comes back to where it was, the gears not quite. */
    assert_close((spindle.angle_rad - before) / (2 * M_PI), 50, 1e-4);
    gsl_rng_free(random);
}

/* The angle is the integral of the speed, whatever the spin: property. */
static void test_angle_is_integral_of_speed(void **state) {
    (void)state;
    for (unsigned long seed = 1; seed <= 12; seed++) {
        sw_sim_spec spec;
        sw_error error;
        assert_ok(sw_sim_family(NULL, seed, &spec, &error), &error);
        sw_spindle spindle;
        double time_s = 0;
        gsl_rng *random = start(&spindle, &spec);
        double first = spindle.angle_rad;
        double sum = 0;
        while (time_s < fmin(spec.spin.seconds, 8)) {
            double speed = spindle.speed;
            sw_spindle_step(&spindle, time_s, STEP_S);
            sum += (speed + spindle.speed) / 2 * STEP_S;
            time_s += STEP_S;
        }
        double moved = spindle.angle_rad - first;
        /* Trapezoid rule over 1e5 steps; the jump of the speed when a shaft is let go, and the
         * rate of the cogging lines' amplitude, are taken half a step late: some 1e-4 rad. */
        if (!(fabs(sum - moved) < 1e-3))
            print_message("seed %lu, family %s\n", seed, spec.motor.family);
        assert_close(sum, moved, 1e-3);
        gsl_rng_free(random);
    }
}

static void test_wobble_has_its_size(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 77);
    spec.spin.wobble = 0.01;
    spec.spin.wobble_hz = 3;
    sw_spindle spindle;
    gsl_rng *random = start(&spindle, &spec);
    double sum = 0;
    double squares = 0;
    enum { FRAMES = 400000 };
    for (int i = 0; i < FRAMES; i++) {
        sw_spindle_step(&spindle, i * 1e-3, 1e-3); /* 400 s */
        double relative = spindle.speed / (2 * M_PI * 5) - 1;
        sum += relative;
        squares += relative * relative;
    }
    double mean = sum / FRAMES;
    /* Two poles at 3 Hz: independent about every 0.1 s, 4,000 times, so the deviation is known
     * within 1 / sqrt(8000) = 1.1 %; four of those, and 1 % for the step of 1 ms. */
    assert_close(sqrt(squares / FRAMES - mean * mean), 0.01, 0.01 * 0.055);
    gsl_rng_free(random);
}

static void test_ramp_and_hold(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 1);
    spec.spin.lead_in_s = 0.5;
    spec.spin.ramp_rpm_per_s = 200;
    spec.spin.seconds = 4;
    sw_sim_truth truth;
    sw_waveform record = simulate_or_fail(&spec, &truth);
    assert_close(truth.track_rpm[5], 0, 1e-9); /* 0.25 s */
    /* One second into the ramp the drill lags by its 0.08 s: 200 x 0.92 rpm. */
    assert_close(truth.track_rpm[30], 200 * 0.92, 1);
    assert_close(truth.hold_speed_rpm, 300, 0.01);
    assert_close(truth.hold_from_s, 0.5 + 1.5 + 0.56, 1e-9);
    sw_waveform_free(&record);
}

static void test_drill_brakes_sooner(void **state) {
    (void)state;
    sw_sim_spec spec;
    sw_error error;
    assert_ok(sw_sim_family("hub-46", 3, &spec, &error), &error);
    spec.spin.seconds = spec.spin.release_s + 2;
    spec.spin.coast = SW_SIM_COAST_FREE;
    sw_sim_truth freely;
    sw_waveform record = simulate_or_fail(&spec, &freely);
    sw_waveform_free(&record);
    spec.spin.coast = SW_SIM_COAST_DRILL;
    sw_sim_truth braked;
    record = simulate_or_fail(&spec, &braked);
    sw_waveform_free(&record);
    assert_true(braked.track_rpm[braked.track - 1] < freely.track_rpm[freely.track - 1]);
    assert_close(freely.hold_speed_rpm, braked.hold_speed_rpm, 1e-9);
}

/* Seconds that are read on from here. */
static void read_on(sw_sim *sim, double seconds, double rate_hz) {
    double block[256];
    for (size_t left = (size_t)lround(seconds * rate_hz); left > 0;) {
        size_t got = sw_sim_read(sim, block, left < 256 ? left : 256);
        assert_true(got > 0);
        left -= got;
    }
}

/* Somebody holds another speed, lets go and ends the record: the truth is what happened, not what
 * was planned. */
static void test_truth_follows_the_person(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("drum-48", 1);
    sw_error error;
    sw_sim *sim = NULL;
    spec.spin.lead_in_s = 0;
    spec.spin.ramp_rpm_per_s = 300;
    spec.spin.speed_rpm = 300;
    spec.spin.coast = SW_SIM_COAST_FREE;
    spec.spin.release_s = 60;
    spec.spin.seconds = 100;
    assert_ok(sw_sim_new(&spec, &sim, &error), &error);
    double rate_hz = spec.front.rate_hz;
    read_on(sim, 3, rate_hz);
    sw_sim_hold(sim, 150);
    read_on(sim, 4, rate_hz);
    sw_sim_let_go(sim);
    read_on(sim, 1, rate_hz);
    sw_sim_end(sim);
    const sw_sim_truth *truth = sw_sim_truth_of(sim);
    /* eased by half the speed a second: ln 2 / 0.5 = 1.386 s, and 0.56 s until the drill follows */
    assert_close(truth->hold_from_s, 4.946, 0.001);
    assert_close(truth->hold_to_s, 7, 1e-3);
    assert_close(truth->coast_from_s, 7, 1e-3);
    assert_close(truth->hold_speed_rpm, 150, 3);
    sw_sim_free(sim);
    /* ended before the planned letting go: there was none */
    assert_ok(sw_sim_new(&spec, &sim, &error), &error);
    read_on(sim, 3, rate_hz);
    sw_sim_end(sim);
    assert_true(isnan(sw_sim_truth_of(sim)->coast_from_s));
    assert_close(sw_sim_truth_of(sim)->hold_to_s, 3, 1e-3);
    sw_sim_free(sim);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_linear_drag),
        cmocka_unit_test(test_quadratic_drag),
        cmocka_unit_test(test_energy_balance),
        cmocka_unit_test(test_cogging_keeps_energy),
        cmocka_unit_test(test_ripple_once_a_turn),
        cmocka_unit_test(test_angle_is_integral_of_speed),
        cmocka_unit_test(test_wobble_has_its_size),
        cmocka_unit_test(test_ramp_and_hold),
        cmocka_unit_test(test_drill_brakes_sooner),
        cmocka_unit_test(test_truth_follows_the_person),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
