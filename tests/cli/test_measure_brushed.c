/* measure with loaded recordings of a brushed motor, and with an equal motor to compare with. */
#include "tests/support.h"

#include "shared/files.h"
#include "shared/motor.h"

#include <stdio.h>
#include <string.h>

/* The truth is given with the simulation: 30 V at 1000 rpm, 1.2 ohm. */
static int set_up(void **state) {
    if (support_folder_units_setup(state) != 0)
        return -1;
    static const char *const MAKE[] = {
        "--speed 1200rpm -o open.csv",
        "--speed 1100rpm --load-resistance 8ohm -o a.csv",
        "--speed 1000rpm --load-resistance 2ohm -o b.csv",
    };
    for (size_t i = 0; i < sizeof MAKE / sizeof *MAKE; i++) {
        char command[300];
        snprintf(command, sizeof command,
                 "simulate --family brushed-4 --seed 6 --coast no --wobble 0.001 --lead-in 1s "
                 "--winding-resistance 1.2ohm --volts-per-unit 80V %s",
                 MAKE[i]);
        if (support_call(command) != 0)
            return -1;
    }
    return 0;
}

static sw_motor saved(const sw_units *units, const char *name) {
    sw_motor motor;
    sw_error error;
    assert_ok(sw_motor_read(support_at(name), units, &motor, &error), &error);
    return motor;
}

static void ohms_and_brush_drop(void **state) {
    assert_int_equal(
        support_call("measure open.csv --speed '1200rpm ± 2' --loaded a.csv --load-ohm "
                     "8ohm --load-speed '1100rpm ± 2' --loaded b.csv --load-ohm 2ohm "
                     "--load-speed '1000rpm ± 2' --budget -o m.json"),
        0);
    assert_non_null(strstr(support_out, "through the brushes"));
    assert_non_null(strstr(support_out, "Where its"));
    sw_motor motor = saved(*state, "m.json");
    assert_close(motor.winding_resistance.value, 1.2, 3 * motor.winding_resistance.u);
    /* the simulator's brushes take 0.8 to 2 V */
    assert_close(motor.brush_drop.value, 1.4, 0.6 + 3 * motor.brush_drop.u);
}

static void says_what_is_missing(void **state) {
    (void)state;
    static const struct {
        const char *call;
        int status;
        const char *says;
    } ROWS[] = {
        {"measure open.csv --speed 1200rpm --loaded a.csv --load-ohm 8ohm", 3, "--load-speed"},
        {"measure open.csv --speed 1200rpm --loaded a.csv --load-ohm 8ohm --load-speed 1100rpm", 3,
         "--resistance"},
        {"measure open.csv --loaded a.csv --load-ohm 8ohm --load-speed 1100rpm", 3, "--speed"},
        {"measure open.csv --speed 1200rpm --load-speed 1100rpm", 2, "--loaded"},
        {"measure open.csv --speed 1200rpm --loaded a.csv --load-ohm 8ohm --load-speed 11kg", 2,
         "--load-speed"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        assert_int_equal(support_call(ROWS[i].call), ROWS[i].status);
        assert_non_null(strstr(support_err, ROWS[i].says));
    }
}

static void an_equal_motor(void **state) {
    (void)state;
    static const char *const CALLS[] = {
        "simulate --family model-14 --seed 3 -o good.wav --probe-out good.json",
        "simulate --family model-14 --seed 3 --fault demagnetised -o tired.wav --probe-out "
        "tired.json",
        "measure good.wav --probe good.json --magnets 14 --resistance 0.3ohm --test-leads 0.1ohm "
        "-o one.json",
        "measure tired.wav --probe tired.json --magnets 14 --resistance 0.3ohm --test-leads "
        "0.1ohm --like one.json -o two.json",
    };
    for (size_t i = 0; i < sizeof CALLS / sizeof *CALLS; i++)
        assert_int_equal(support_call(CALLS[i]), 0);
    assert_non_null(strstr(support_out, "weaker than those of its like"));
    sw_motor motor = saved(*state, "two.json");
    assert_true(sw_motor_warned(&motor, SW_WARN_WEAK_MAGNET));
    assert_int_equal(support_call("measure --into two.json --like m.json"), 3);
    assert_non_null(strstr(support_err, "m.json"));
}

/* It turned before the record began and after it ended: no "No" on either input. */
static void turning_all_the_while(void **state) {
    static const char *const MAKE[] = {"--low-cut 0Hz --scope -o still.csv",
                                       "--low-cut 3Hz -o blocked.wav --probe-out probe.json"};
    static const char *const MEASURE[] = {"still.csv", "blocked.wav --probe probe.json"};
    for (int i = 0; i < 2; i++) {
        char command[300];
        snprintf(command, sizeof command,
                 "simulate --family brushed-2 --seed 1 --lead-in 0s --ramp-time 0s --coast no "
                 "--speed 600rpm %s",
                 MAKE[i]);
        assert_int_equal(support_call(command), 0);
        snprintf(command, sizeof command, "measure %s", MEASURE[i]);
        assert_int_equal(support_call(command), 0);
        assert_memory_equal(support_out, "Cannot tell", 11);
        assert_non_null(strstr(support_out, "--dc-volts"));
        /* 5.2 V by the meter: brushes, and the rest is settled */
        snprintf(command, sizeof command, "measure %s --speed 600rpm --dc-volts 5.2V -o m%d.json",
                 MEASURE[i], i);
        assert_int_equal(support_call(command), 0);
        assert_memory_equal(support_out, "Yes, it generates. Direct current", 33);
        char name[16];
        snprintf(name, sizeof name, "m%d.json", i);
        sw_motor motor = saved(*state, name);
        assert_int_equal(motor.kind, SW_BRUSHED);
        assert_false(sw_motor_warned(&motor, SW_WARN_STEADY_VOLTAGE));
        assert_false(sw_motor_warned(&motor, SW_WARN_DC_BLOCKED));
        /* 5.2 V at 600 rpm; the scope's zero and the meter's 0.8 % */
        assert_close(motor.voltage_constant.value, 5.2 / 600, 2e-4);
    }
}

/* 200 V at 5 rpm: no motor does that, so nothing is built on it; read again, it counts. */
static void volts_that_no_motor_gives(void **state) {
    (void)state;
    static const char MOTOR[] = "{\"document\": \"motor\", \"version\": 1, \"kind\": \"brushed\"}";
    sw_error error;
    assert_ok(sw_file_save(support_at("by_hand.json"), MOTOR, strlen(MOTOR), true, &error), &error);
    assert_int_equal(support_call("measure --into by_hand.json --dc-volts 200V --speed 5rpm"), 0);
    assert_non_null(strstr(support_out, "no brushed motor known here gives more than 210"));
    assert_null(strstr(support_out, "12 V at"));
    assert_null(strstr(support_out, "your meter should show"));
    assert_int_equal(support_call("measure --into by_hand.json --dc-volts 12V --speed 500rpm"), 0);
    assert_null(strstr(support_out, "known here"));
    assert_non_null(strstr(support_out, "at 200 rpm your meter should show about 4.8 V DC"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ohms_and_brush_drop),       cmocka_unit_test(says_what_is_missing),
        cmocka_unit_test(volts_that_no_motor_gives), cmocka_unit_test(an_equal_motor),
        cmocka_unit_test(turning_all_the_while),
    };
    return cmocka_run_group_tests(tests, set_up, support_folder_units_teardown);
}
