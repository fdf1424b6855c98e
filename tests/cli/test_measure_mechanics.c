/* measure with a workshop's evidence: run-down, loaded runs, lever; and what it refuses. */
#include "tests/support.h"

#include "shared/motor.h"

#include <stdio.h>
#include <string.h>

static sw_motor saved(const sw_units *units, const char *name) {
    sw_motor motor;
    sw_error error;
    assert_ok(sw_motor_read(support_at(name), units, &motor, &error), &error);
    return motor;
}

/* The drum's truth is given with the simulation, so that only measuring is tried. */
static int set_up(void **state) {
    if (support_folder_units_setup(state) != 0)
        return -1;
    static const char *const MAKE[] = {
        "simulate --family drum-48 --seed 7 --coast free --inertia '0.025 kg m2' --drag-constant "
        "'0.4 N m' --drag-linear '0.002 N m s/rad' --drag-quadratic '0 N m s2/rad2' -o free.wav "
        "--probe-out free.json",
        "simulate --family drum-48 --seed 7 --coast free --inertia '0.035 kg m2' --drag-constant "
        "'0.4 N m' --drag-linear '0.002 N m s/rad' --drag-quadratic '0 N m s2/rad2' -o disc.wav",
        "simulate --family drum-48 --seed 7 --coast with-drill -o drill.wav",
        "simulate --family drum-48 --seed 7 --coast no --channels 1 --volts-per-unit 300V "
        "--winding-resistance 7ohm --winding-inductance 45mH -o open.wav --probe-out open.json",
        "simulate --family drum-48 --seed 7 --coast no --channels 1 --volts-per-unit 300V "
        "--winding-resistance 7ohm --winding-inductance 45mH --load-resistance 20ohm -o load.wav",
        "simulate --family drum-48 --seed 7 --coast no --channels 1 --volts-per-unit 300V "
        "--winding-resistance 7ohm --winding-inductance 45mH --load-resistance 60ohm -o less.wav",
    };
    for (size_t i = 0; i < sizeof MAKE / sizeof *MAKE; i++)
        if (support_call(MAKE[i]) != 0)
            return -1;
    return 0;
}

static void drag_by_run_down(void **state) {
    assert_int_equal(
        support_call("measure free.wav --probe free.json --about 300rpm --coast free --inertia "
                     "'0.025 kg m2 ± 0.001' -o one.json --json"),
        0);
    sw_motor motor = saved(*state, "one.json");
    const sw_drag *drag = &motor.drag_torque;
    assert_close(drag->constant.value, 0.4, 3 * drag->constant.u);
    double w = drag->middle_speed.value * 3.14159265 / 30;
    assert_close(drag->middle_torque.value, 0.4 + 0.002 * w, 2 * drag->middle_torque.u);
    /* u of the inertia is half of its ±, 2 % */
    assert_close(drag->middle_torque.u / drag->middle_torque.value, 0.02, 0.002);
    assert_non_null(strstr(support_out, "\"run_down\""));
    assert_null(strstr(support_out, "drill_attached"));
}

/* The disc adds 0.010 kg m2: 2.222 kg of 189.7 mm across. */
static void inertia_by_second_run(void **state) {
    assert_int_equal(support_call("measure free.wav --probe free.json --about 300rpm --coast free "
                                  "--second-run disc.wav --added-mass '2.2222 kg' --added-diameter "
                                  "'189.737 mm' -o two.json"),
                     0);
    sw_motor motor = saved(*state, "two.json");
    assert_close(motor.inertia.value, 0.025, 2 * motor.inertia.u);
    assert_true(motor.inertia.u < 0.03 * motor.inertia.value);
    assert_non_null(strstr(support_out, "cannot tell them apart"));
}

static void a_drill_gives_no_drag(void **state) {
    static const char *const WAYS[] = {"", "--coast with-drill"};
    for (size_t i = 0; i < 2; i++) {
        char command[300];
        snprintf(command, sizeof command,
                 "measure drill.wav --probe free.json --about 300rpm %s --inertia '0.02 kg m2' -o "
                 "drill%zu.json --json",
                 WAYS[i], i);
        assert_int_equal(support_call(command), 0);
        assert_non_null(strstr(support_out, "drill_attached"));
        char name[40];
        snprintf(name, sizeof name, "drill%zu.json", i);
        assert_false(sw_quantity_known(saved(*state, name).drag_torque.constant));
    }
}

static void winding_by_loaded_runs(void **state) {
    assert_int_equal(
        support_call("measure open.wav --probe open.json --about 300rpm --loaded load.wav "
                     "--load-ohm '20 ohm ± 0.04' --loaded less.wav --load-ohm '60 ohm ± 0.12' "
                     "-o three.json --at 20degC"),
        0);
    sw_motor motor = saved(*state, "three.json");
    assert_close(motor.winding_resistance.value, 7, 3 * motor.winding_resistance.u);
    assert_close(motor.winding_inductance.value, 45, 3 * motor.winding_inductance.u);
    assert_true(motor.winding_resistance.u < 0.1);
    assert_non_null(strstr(support_out, "No saturation seen"));
}

/* 200 ohm typed for 20: said, named, and no inductance; typed right, all is well again. */
static void a_mistyped_resistor(void **state) {
    assert_int_equal(
        support_call("measure open.wav --probe open.json --about 300rpm --resistance 7ohm "
                     "--test-leads 0.1ohm -o typed.json"),
        0);
    assert_int_equal(
        support_call("measure --into typed.json --loaded load.wav --load-ohm 200ohm --json"), 0);
    assert_non_null(strstr(support_out, "load_doubtful"));
    assert_non_null(strstr(support_out, "in place of 200 would fit"));
    assert_non_null(strstr(support_out, "\"winding_inductance\":\t\"the loaded run contradicts"));
    assert_false(sw_quantity_known(saved(*state, "typed.json").winding_inductance));
    assert_int_equal(support_call("measure --into typed.json --loaded load.wav --load-ohm 200ohm"),
                     0);
    assert_non_null(strstr(support_out, "The two do not fit"));
    assert_int_equal(
        support_call("measure --into typed.json --loaded load.wav --load-ohm 20ohm --json"), 0);
    assert_null(strstr(support_out, "load_doubtful"));
    sw_motor motor = saved(*state, "typed.json");
    assert_close(motor.winding_inductance.value, 45, 3 * motor.winding_inductance.u);
}

/* Let go at 140 rpm the drum stands within half a second: less than a turn. No part of the drag is
 * below nothing, no grease is made up, and it is said what such a run-down cannot tell. */
static void a_short_run_down(void **state) {
    assert_int_equal(
        support_call("simulate --family drum-48 --seed 2 --speed 140rpm --coast free --inertia "
                     "'0.025 kg m2' --drag-constant '0.5 N m' --drag-linear '0.0026 N m s/rad' "
                     "--drag-quadratic '0 N m s2/rad2' -o short.wav --probe-out short.json"),
        0);
    assert_int_equal(support_call("measure short.wav --probe short.json --magnets 48 --coast free "
                                  "--inertia '0.025 kg m2 ± 0.0001' -o short_motor.json"),
                     0);
    sw_motor motor = saved(*state, "short_motor.json");
    const sw_drag *drag = &motor.drag_torque;
    assert_true(drag->constant.value > 0 && drag->linear.value >= 0 && drag->quadratic.value >= 0);
    assert_close(drag->linear.value, 0.0026, 2 * drag->linear.u);
    double w = drag->middle_speed.value * 3.14159265 / 30;
    assert_close(drag->middle_torque.value, 0.5 + 0.0026 * w, 2 * drag->middle_torque.u);
    assert_null(strstr(support_out, "grease"));
    assert_non_null(strstr(support_out, "is too short to tell"));
}

static void lever_and_heat(void **state) {
    assert_int_equal(
        support_call("measure open.wav --probe open.json --about 300rpm --slots 36 --lever "
                     "200mm --weights '310 240, 280 g' --weights-back '1.5N 2.1N 1.7 N' "
                     "--resistance 7ohm --test-leads 0.1ohm --running-at 80degC --magnet-kind "
                     "ferrite -o four.json"),
        0);
    sw_motor motor = saved(*state, "four.json");
    /* half differences 78.5, 12.9, 53.3 g: half their span, 32.8 g, on 200 mm */
    double half = ((0.310 - 1.5 / 9.80665) / 2 - (0.240 - 2.1 / 9.80665) / 2) / 2;
    assert_close(motor.cogging_torque.value, half * 9.80665 * 0.2, 1e-6);
    assert_non_null(strstr(support_out, "144 times a turn"));
    assert_non_null(strstr(support_out, "12.0 % fewer volts"));
    assert_int_equal(motor.magnet_kind, SW_MAGNET_FERRITE); /* kept */
}

static void refuses(void **state) {
    (void)state;
    static const struct {
        const char *arguments;
        const char *says;
    } ROWS[] = {
        {"--coast", "HOW"},
        {"--coast maybe", "free, with-drill"},
        {"--coast free", "inertia"},
        {"--coast free --disc-mass 1kg", "--disc-diameter"},
        {"--disc-bore 3mm", "--disc-mass"},
        {"--coast free --disc-mass 1kg --disc-diameter 30mm --disc-bore 40mm", "bore"},
        {"--second-run disc.wav", "--added-mass"},
        {"--falling-weight 1kg", "--drop"},
        {"--loaded load.wav", "--load-ohm"},
        {"--loaded load.wav --load-ohm 0ohm", "more than 0"},
        {"--loaded load.wav --loaded less.wav --load-ohm 20ohm", "in the same order"},
        {"--loaded missing.wav --load-ohm 20ohm", "missing.wav"},
        {"--lever 20mm", "--weights"},
        {"--lever 20mm --weights '1 kg'", "several"},
        {"--lever 20mm --weights '1 kg, 2 volts'", "--weights"},
        {"--lever 20mm --weights '1 2'", "--weights"},
        {"--slots 3.5", "whole"},
        {"--running-at 80degC --magnet-kind wax", "wax"},
        {"--diameter 10", "--diameter"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        char command[400];
        snprintf(command, sizeof command, "measure free.wav --probe free.json %s",
                 ROWS[i].arguments);
        int code = support_call(command);
        if ((code != 2 && code != 3) || strstr(support_err, ROWS[i].says) == NULL)
            fail_msg("%s: status %d, %s", ROWS[i].arguments, code, support_err);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drag_by_run_down),      cmocka_unit_test(inertia_by_second_run),
        cmocka_unit_test(a_drill_gives_no_drag), cmocka_unit_test(winding_by_loaded_runs),
        cmocka_unit_test(lever_and_heat),        cmocka_unit_test(a_mistyped_resistor),
        cmocka_unit_test(a_short_run_down),      cmocka_unit_test(refuses),
    };
    return cmocka_run_group_tests(tests, set_up, support_folder_units_teardown);
}
