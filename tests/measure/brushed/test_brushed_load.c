/* A brushed motor's loaded runs with a known answer. */
#include "tests/support.h"

#include "src/measure/brushed/brushed_load.h"

#include <math.h>
#include <string.h>

static const double K = 0.03; /* V/rpm */
static const double OHM = 1.2;
static const double DROP_V = 1.6;

/* V Rl = (k n - drop) Rl / (R + Rl) */
static void add(sw_brushed_load *load, double rpm, double load_ohm) {
    double volts = (K * rpm - DROP_V) * load_ohm / (OHM + load_ohm);
    load->run[load->runs++] = (sw_brushed_run){sw_quantity_of(volts, 0.001 * volts, "V"),
                                               sw_quantity_of(rpm, 0.002 * rpm, "rpm"),
                                               sw_quantity_of(load_ohm, NAN, "ohm")};
}

static sw_brushed_load open_motor(void) {
    return (sw_brushed_load){.constant = sw_quantity_of(K, 0.002 * K, "V/rpm"),
                             .meter_ohm = sw_quantity_unknown()};
}

static void two_resistors_part_ohms_from_brushes(void **state) {
    (void)state;
    sw_brushed_load load = open_motor();
    sw_brushed_result found;
    sw_error error;
    add(&load, 1000, 8);
    add(&load, 800, 2);
    assert_ok(sw_brushed_load_fit(&load, &found, &error), &error);
    /* two observations, two unknowns: to rounding */
    assert_close(found.resistance.value, OHM, 1e-9);
    assert_close(found.brush_drop.value, DROP_V, 1e-9);
    double shares = 0;
    for (size_t i = 0; i < found.budget.lines; i++)
        shares += found.budget.line[i].share;
    assert_close(shares, 1, 1e-9);
    sw_motor motor;
    sw_motor_init(&motor);
    sw_brushed_load_tell(&found, &motor);
    assert_close(motor.brush_drop.value, DROP_V, 1e-9);
    assert_close(motor.winding_resistance.value, OHM, 1e-9);
}

/* Three runs and a meter: all agree, and the more there are the surer it is. */
static void more_runs_make_it_surer(void **state) {
    (void)state;
    sw_brushed_load load = open_motor();
    sw_brushed_result two;
    sw_brushed_result three;
    sw_error error;
    add(&load, 1000, 8);
    add(&load, 800, 2);
    assert_ok(sw_brushed_load_fit(&load, &two, &error), &error);
    add(&load, 900, 1.5);
    load.meter_ohm = sw_quantity_of(OHM, 0.02, "ohm");
    assert_ok(sw_brushed_load_fit(&load, &three, &error), &error);
    assert_close(three.brush_drop.value, DROP_V, 1e-9);
    assert_true(three.brush_drop.u < two.brush_drop.u);
}

static void one_resistor_needs_the_meter(void **state) {
    (void)state;
    sw_brushed_load load = open_motor();
    sw_brushed_result found;
    sw_error error;
    add(&load, 1000, 4);
    assert_int_equal(sw_brushed_load_fit(&load, &found, &error), SW_MISSING_KEY);
    assert_non_null(strstr(error.message, "--resistance"));
    load.meter_ohm = sw_quantity_of(OHM, 0.02, "ohm");
    assert_ok(sw_brushed_load_fit(&load, &found, &error), &error);
    assert_close(found.brush_drop.value, DROP_V, 1e-9);
    /* the meter's tenth decides */
    assert_string_equal(found.budget.line[0].from, "the multimeter's ohms through the brushes");
}

static void what_is_missing_is_said(void **state) {
    (void)state;
    sw_brushed_load load = open_motor();
    sw_brushed_result found;
    sw_error error;
    sw_motor unknown_speed;
    sw_motor_init(&unknown_speed);
    assert_int_equal(
        sw_brushed_load_add(&load, &unknown_speed, sw_quantity_of(4, NAN, "ohm"), &error),
        SW_MISSING_KEY);
    assert_non_null(strstr(error.message, "--load-speed"));
    load.constant = sw_quantity_unknown();
    add(&load, 1000, 4);
    assert_int_equal(sw_brushed_load_fit(&load, &found, &error), SW_MISSING_KEY);
    assert_non_null(strstr(error.message, "--speed"));
    /* as many volts as open: it was not loaded */
    load = open_motor();
    add(&load, 1000, 4);
    load.run[0].volts.value = K * 1000;
    assert_int_equal(sw_brushed_load_fit(&load, &found, &error), SW_VALUE);
}

/* A scale that is off moves the drop by its share and the ohms not at all. */
static void a_scale_is_common_to_all(void **state) {
    (void)state;
    sw_brushed_load load = open_motor();
    sw_brushed_result found;
    sw_error error;
    load.constant.value *= 1.05;
    add(&load, 1000, 8);
    add(&load, 800, 2);
    for (size_t i = 0; i < load.runs; i++)
        load.run[i].volts.value *= 1.05;
    assert_ok(sw_brushed_load_fit(&load, &found, &error), &error);
    assert_close(found.resistance.value, OHM, 1e-9);
    assert_close(found.brush_drop.value, 1.05 * DROP_V, 1e-9);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_resistors_part_ohms_from_brushes),
        cmocka_unit_test(more_runs_make_it_surer),
        cmocka_unit_test(one_resistor_needs_the_meter),
        cmocka_unit_test(what_is_missing_is_said),
        cmocka_unit_test(a_scale_is_common_to_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
