/* Run-down: the coasting part, the drag fitted to it, what is not told. */
#include "tests/support.h"

#include "src/measure/bench/rundown.h"
#include "tests/measure/support_coast.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* J = 0.02 kg m2, T = 0.15 + 0.002 w from 100 rad/s. */
static const coast_model PLAIN = {.pole_pairs = 12,
                                  .inertia = 0.02,
                                  .constant = 0.15,
                                  .linear = 0.002,
                                  .from_rad_s = 100,
                                  .held_s = 2,
                                  .to_rad_s = 10,
                                  .jitter = 3e-4,
                                  .seed = 5};

static sw_rundown fitted(const coast_model *model) {
    sw_cycles cycles;
    sw_rundown rundown;
    sw_error error;
    coast_cycles(model, &cycles);
    assert_ok(sw_rundown_fit(&cycles, model->pole_pairs, &rundown, &error), &error);
    sw_cycles_free(&cycles);
    return rundown;
}

static sw_motor known_motor(const coast_model *model) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.pole_pairs.value = model->pole_pairs;
    motor.inertia = sw_quantity_of(model->inertia, 0, "kg m2");
    return motor;
}

static sw_motor told(const coast_model *model, sw_coast coast) {
    sw_rundown rundown = fitted(model);
    sw_motor motor = known_motor(model);
    sw_rundown_tell(&rundown, coast, &motor);
    return motor;
}

static void assert_within(sw_quantity found, double truth) {
    assert_close(found.value, truth, 3 * found.u);
}

static void finds_drag(void **state) {
    (void)state;
    sw_motor motor = told(&PLAIN, SW_COAST_FREE);
    const sw_drag *drag = &motor.drag_torque;
    double w = drag->middle_speed.value * M_PI / 30;
    assert_within(drag->constant, 0.15);
    assert_within(drag->linear, 0.002);
    assert_within(drag->quadratic, 0);
    assert_within(drag->middle_torque, 0.15 + 0.002 * w);
    /* middle of the part, 100 to 10 rad/s less what hold and hand take */
    assert_close(w, 54, 3);
    /* the method's own 0.2 % and little more */
    assert_true(drag->middle_torque.u < 0.004 * drag->middle_torque.value);
    assert_int_equal(motor.warnings, 0);
}

/* The part begins at most a tenth of the fall after the hand is off, and never before. */
static void finds_part(void **state) {
    (void)state;
    sw_rundown rundown = fitted(&PLAIN);
    assert_true(rundown.from_s > PLAIN.held_s);
    assert_true(rundown.from_s < PLAIN.held_s + 0.6);
    /* the last cycles are left out, each of which slows by 0.85 Hz */
    assert_close(rundown.part.to_hz, 10 * 12 / (2 * M_PI), 4.5 * 0.85);
}

static void uncertainty_of_inertia_counts(void **state) {
    (void)state;
    sw_rundown rundown = fitted(&PLAIN);
    sw_motor motor = known_motor(&PLAIN);
    motor.inertia.u = 0.1 * motor.inertia.value;
    sw_rundown_tell(&rundown, SW_COAST_FREE, &motor);
    sw_quantity torque = motor.drag_torque.middle_torque;
    assert_close(torque.u / torque.value, 0.1, 0.001);
    motor.inertia.u = NAN; /* not stated: 5 %, never nothing */
    sw_rundown_tell(&rundown, SW_COAST_FREE, &motor);
    torque = motor.drag_torque.middle_torque;
    assert_close(torque.u / torque.value, 0.05, 0.001);
}

/* One crossing in thirty a fifth of a cycle off moves an ordinary fit by many uncertainties. */
static void outliers(void **state) {
    (void)state;
    coast_model model = PLAIN;
    model.outliers = 1.0 / 30;
    sw_rundown rundown = fitted(&model);
    double middle_hz = 50 * 12 / (2 * M_PI);
    /* dw/dt = (0.15 + 0.002 x 50) / 0.02 = 12.5 rad/s2 at 50 rad/s */
    sw_quantity slowing = sw_rundown_slowing(&rundown, middle_hz);
    assert_close(slowing.value, 12.5 * 12 / (2 * M_PI), 0.01 * slowing.value);
}

/* The trigger was eased from 100 to 30 rad/s, the speed held, and then the shaft freed: the drag is
 * that of the second fall, though the first is larger. */
static void easing_the_trigger_is_no_rundown(void **state) {
    (void)state;
    coast_model eased = PLAIN;
    eased.constant = 1.5;
    eased.to_rad_s = 30;
    coast_model freed = PLAIN;
    freed.from_rad_s = 30;
    sw_cycles first;
    sw_cycles second;
    coast_cycles(&eased, &first);
    coast_cycles(&freed, &second);
    sw_cycles all = {.count = first.count + second.count};
    all.cycle = calloc(all.count, sizeof *all.cycle);
    assert_non_null(all.cycle);
    const sw_cycle *last = &first.cycle[first.count - 1];
    double later_s = last->start_s + last->length_s - second.cycle[0].start_s;
    for (size_t i = 0; i < all.count; i++) {
        bool before = i < first.count;
        all.cycle[i] = before ? first.cycle[i] : second.cycle[i - first.count];
        all.cycle[i].start_s += before ? 0 : later_s;
    }
    sw_rundown rundown;
    sw_error error;
    assert_ok(sw_rundown_fit(&all, PLAIN.pole_pairs, &rundown, &error), &error);
    assert_true(rundown.from_s > later_s + PLAIN.held_s);
    sw_motor motor = known_motor(&PLAIN);
    sw_rundown_tell(&rundown, SW_COAST_FREE, &motor);
    double w = motor.drag_torque.middle_speed.value * M_PI / 30;
    assert_within(motor.drag_torque.middle_torque, 0.15 + 0.002 * w);
    sw_cycles_free(&first);
    sw_cycles_free(&second);
    sw_cycles_free(&all);
}

static void drill_tells_nothing(void **state) {
    (void)state;
    const sw_coast ways[] = {SW_COAST_WITH_DRILL, SW_COAST_NOT_SAID};
    for (size_t i = 0; i < 2; i++) {
        sw_motor motor = told(&PLAIN, ways[i]);
        assert_true(sw_motor_warned(&motor, SW_WARN_DRILL_ATTACHED));
        assert_false(sw_quantity_known(motor.drag_torque.constant));
        assert_false(sw_quantity_known(motor.drag_torque.middle_torque));
    }
}

/* What was said of the drill before the run-down was looked at is not said twice. */
static void the_drill_is_named_once(void **state) {
    (void)state;
    const sw_coast ways[] = {SW_COAST_WITH_DRILL, SW_COAST_NOT_SAID};
    sw_rundown rundown = fitted(&PLAIN);
    for (size_t i = 0; i < 2; i++) {
        sw_motor motor = known_motor(&PLAIN);
        sw_motor_warn(&motor, SW_WARN_DRILL_ATTACHED, "it stops at once");
        sw_rundown_tell(&rundown, ways[i], &motor);
        assert_int_equal(motor.warnings, 1);
        assert_int_equal(motor.warning[0].code, SW_WARN_DRILL_ATTACHED);
        assert_null(strstr(motor.warning[0].message, "it stops at once"));
    }
}

/* Gears turn at ratios that are no whole numbers: a line of 11.4 periods a turn. */
static void gears_give_the_drill_away(void **state) {
    (void)state;
    coast_model model = PLAIN;
    sw_cycles cycles;
    sw_rundown rundown;
    model.pole_pairs = 30;
    coast_cycles(&model, &cycles);
    for (size_t i = 0; i < cycles.count; i++)
        cycles.cycle[i].start_s +=
            1e-3 * cycles.cycle[i].length_s * cos(2 * M_PI * 11.4 / 30 * (double)i);
    for (size_t i = 0; i + 1 < cycles.count; i++)
        cycles.cycle[i].length_s = cycles.cycle[i + 1].start_s - cycles.cycle[i].start_s;
    assert_ok(sw_rundown_fit(&cycles, 30, &rundown, NULL), NULL);
    sw_cycles_free(&cycles);
    assert_close(rundown.stray_order, 11.4, 0.05);
    sw_motor motor = known_motor(&model);
    sw_rundown_tell(&rundown, SW_COAST_FREE, &motor);
    assert_true(sw_motor_warned(&motor, SW_WARN_DRILL_ATTACHED));
    assert_false(sw_quantity_known(motor.drag_torque.constant));
}

static void needs_poles_and_inertia(void **state) {
    (void)state;
    sw_rundown rundown = fitted(&PLAIN);
    sw_motor motor = known_motor(&PLAIN);
    motor.inertia = sw_quantity_unknown();
    sw_rundown_tell(&rundown, SW_COAST_FREE, &motor);
    assert_false(sw_quantity_known(motor.drag_torque.constant));
    motor = known_motor(&PLAIN);
    motor.pole_pairs.value = 0;
    sw_rundown_tell(&rundown, SW_COAST_FREE, &motor);
    assert_false(sw_quantity_known(motor.drag_torque.constant));
    assert_true(sw_motor_warned(&motor, SW_WARN_SPEED_DOUBTFUL));
}

/* Held to the end: nothing coasts. */
static void nothing_coasts(void **state) {
    (void)state;
    coast_model model = PLAIN;
    model.to_rad_s = 97;
    sw_motor motor = told(&model, SW_COAST_FREE);
    assert_true(sw_motor_warned(&motor, SW_WARN_TOO_SHORT));
    assert_false(sw_quantity_known(motor.drag_torque.constant));
    sw_cycles none = {0};
    sw_rundown rundown;
    assert_ok(sw_rundown_fit(&none, 12, &rundown, NULL), NULL);
    assert_int_equal(rundown.part.from, rundown.part.to);
}

/* Grease: drag that falls as the speed rises is told as it is. */
static void falling_drag(void **state) {
    (void)state;
    coast_model model = PLAIN;
    model.constant = 0.4;
    model.linear = -0.002;
    sw_rundown rundown = fitted(&model);
    sw_motor motor = known_motor(&model);
    sw_rundown_tell(&rundown, SW_COAST_FREE, &motor);
    assert_true(rundown.falling);
    assert_within(motor.drag_torque.linear, -0.002);
    assert_within(motor.drag_torque.constant, 0.4);
}

/* The wave swings by more than half the speed: the part ends before. */
static void stops_at_cogging(void **state) {
    (void)state;
    sw_cycles cycles;
    sw_coasting part;
    coast_cycles(&PLAIN, &cycles);
    size_t rough = cycles.count - cycles.count / 5;
    for (size_t i = rough; i < cycles.count; i++)
        for (int k = 0; k < SW_CYCLE_POINTS; k++)
            cycles.cycle[i].shape[k] *= 1 + 0.4 * cos(2 * M_PI * 6 * k / SW_CYCLE_POINTS);
    assert_ok(sw_coasting_find(&cycles, 12, &part, NULL), NULL);
    assert_true(part.to <= rough);
    assert_true(part.to + 5 > rough);
    sw_cycles_free(&cycles);
}

/* J = J1 r2 / (r1 - r2): the same motor with a disc of 0.01 kg m2. */
static void added_disc(void **state) {
    (void)state;
    coast_model heavier = PLAIN;
    heavier.inertia += 0.01;
    heavier.seed = 6;
    sw_rundown alone = fitted(&PLAIN);
    sw_rundown with_disc = fitted(&heavier);
    sw_quantity inertia;
    sw_error error;
    sw_quantity disc = sw_quantity_of(0.01, 1e-4, "kg m2");
    assert_ok(sw_rundown_inertia(&alone, &with_disc, disc, &inertia, &error), &error);
    assert_within(inertia, 0.02);
    assert_true(inertia.u > 2e-4 && inertia.u < 6e-4); /* 1 % of the disc, 0.2 % of each slowing,
                                                           enlarged by J1 / J = 3 */
    assert_int_equal(sw_rundown_inertia(&alone, &alone, disc, &inertia, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "heavier"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_drag),
        cmocka_unit_test(finds_part),
        cmocka_unit_test(uncertainty_of_inertia_counts),
        cmocka_unit_test(outliers),
        cmocka_unit_test(easing_the_trigger_is_no_rundown),
        cmocka_unit_test(drill_tells_nothing),
        cmocka_unit_test(the_drill_is_named_once),
        cmocka_unit_test(gears_give_the_drill_away),
        cmocka_unit_test(needs_poles_and_inertia),
        cmocka_unit_test(nothing_coasts),
        cmocka_unit_test(falling_drag),
        cmocka_unit_test(stops_at_cogging),
        cmocka_unit_test(added_disc),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
