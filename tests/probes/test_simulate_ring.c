/* Tolerances of magnets and coils have the size that was asked for. */
#include "tests/support.h"

#include "probes/simulate/ring.h"
#include "probes/simulate/winding.h"

#include <gsl/gsl_math.h>
#include <math.h>

enum { PAIRS = 12, POLES = 2 * PAIRS, ORDERS = 40, SEEDS = 600 };
static const double ARC = 0.8;
static const double EDGE = 0.1;

static sw_sim_motor ring_of_24(void) {
    return (sw_sim_motor){.pole_pairs = PAIRS, .magnet_arc = ARC, .magnet_edge = EDGE};
}

/* Series of one magnet's soft-edged block, up to a factor. */
static double block(int k) {
    double pitch = 2 * M_PI / POLES;
    return sin(k * ARC * pitch / 2) / k * exp(-pow(k * EDGE * pitch, 2) / 2);
}

static void field_of(const sw_sim_motor *motor, unsigned long seed, double complex *field) {
    sw_error error;
    assert_ok(sw_ring_field(motor, seed, ORDERS, field, &error), &error);
}

/* Mean square of order k over the fundamental, over many rings, relative to one magnet's series. */
static double side_square(const sw_sim_motor *motor, int k) {
    double complex field[ORDERS + 1];
    double sum = 0;
    for (unsigned long seed = 0; seed < SEEDS; seed++) {
        field_of(motor, seed, field);
        sum += pow(cabs(field[k] / field[PAIRS]) * block(PAIRS) / block(k), 2) / SEEDS;
    }
    return sum;
}

/* Tolerances are cut at three standard deviations, which takes 2.7 % of the variance. The mean of
 * 600 exponential squares is known within 4.1 %; four of those. */
static const double CUT = 0.973;
static const double SCATTER = 0.165;

/* P magnets of relative spread s: each order gets s^2 / P. */
static void test_strength(void **state) {
    (void)state;
    sw_sim_motor motor = ring_of_24();
    motor.strength_sd = 0.02;
    for (int k = 1; k <= PAIRS + 4; k += 5)
        assert_close(side_square(&motor, k) / (CUT * 0.02 * 0.02 / POLES), 1, SCATTER);
}

/* A magnet that is off by d electrical radians turns its phasor of order k by k d / p. */
static void test_position(void **state) {
    (void)state;
    sw_sim_motor motor = ring_of_24();
    motor.position_sd_deg = 1;
    double spread = M_PI / 180;
    for (int k = 4; k <= PAIRS + 4; k += 6) {
        double expected = CUT * pow(spread * k / PAIRS, 2) / POLES;
        assert_close(side_square(&motor, k) / expected, 1, SCATTER);
    }
}

/* Segments of four poles that differ: seen at 1 turn^-1 of the strength, which is p - 1 and p + 1
 * of the field, as s^2 / 6 times what four neighbours leave of it. */
static void test_batches(void **state) {
    (void)state;
    sw_sim_motor motor = ring_of_24();
    motor.batch_sd = 0.02;
    motor.segment_poles = 4;
    double four = 0.25 * sin(4 * M_PI / POLES) / sin(M_PI / POLES);
    double expected = CUT * 0.02 * 0.02 / 6 * four * four;
    assert_close(side_square(&motor, PAIRS + 1) / expected, 1, SCATTER);
    /* Segments repeat 6 times a turn: their differences leave no order 6 of the strength. */
    double six = 0.25 * sin(4 * 6 * M_PI / POLES) / sin(6 * M_PI / POLES);
    assert_close(six, 0, 1e-12);
    assert_close(side_square(&motor, PAIRS + 6), 0, 1e-9);
}

/* 1 + e cos: side lines of e / 2 at one order above and below. */
static void test_runout(void **state) {
    (void)state;
    double complex field[ORDERS + 1];
    sw_sim_motor motor = ring_of_24();
    motor.runout = 0.03;
    field_of(&motor, 5, field);
    assert_close(cabs(field[PAIRS + 1] / field[PAIRS]), 0.015, 1e-12);
    assert_close(cabs(field[PAIRS - 1] / field[PAIRS]), 0.015, 1e-12);
    assert_close(cabs(field[PAIRS + 2] / field[PAIRS]), 0, 1e-12);
    assert_close(cabs(field[0]), 0, 0);
    /* Same place on both sides: the product of the side lines has the fundamental's phase twice. */
    double complex turned = field[PAIRS + 1] * field[PAIRS - 1] / (field[PAIRS] * field[PAIRS]);
    assert_close(carg(turned), 0, 1e-9);
}

static void test_equal_magnets(void **state) {
    (void)state;
    double complex field[ORDERS + 1];
    sw_sim_motor motor = ring_of_24();
    field_of(&motor, 5, field);
    for (int k = 1; k <= ORDERS; k++)
        if (k % (2 * PAIRS) != PAIRS) /* odd harmonics only */
            assert_close(cabs(field[k] / field[PAIRS]), 0, 1e-12);
    assert_close(cabs(field[3 * PAIRS] / field[PAIRS]), fabs(block(3 * PAIRS) / block(PAIRS)),
                 1e-12);
}

/* A gap that is wider on one side: coil weights go round with it. */
static void test_standing_gap(void **state) {
    (void)state;
    sw_sim_motor motor = {.winding = SW_SIM_SLOTS,
                          .phases = 3,
                          .pole_pairs = 24,
                          .slots = 36,
                          .span = 1,
                          .stator_offset = 0.02};
    static sw_sim_coils coils;
    sw_error error;
    assert_ok(sw_winding_lay(&motor, &coils, &error), &error);
    assert_ok(sw_winding_tolerances(&motor, 3, &coils, &error), &error);
    double complex once = 0;
    double mean = 0;
    for (size_t c = 0; c < coils.count; c++) {
        once += 2 * fabs(coils.coil[c].weight) * cexp(-I * coils.coil[c].angle_rad) / 36;
        mean += fabs(coils.coil[c].weight) / 36;
    }
    assert_close(cabs(once), 0.02, 1e-12);
    assert_close(mean, 1, 1e-12);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_strength),      cmocka_unit_test(test_position),
        cmocka_unit_test(test_batches),       cmocka_unit_test(test_runout),
        cmocka_unit_test(test_equal_magnets), cmocka_unit_test(test_standing_gap),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
